//! A mapped survey with all that its files need.

use super::answer::survey_answer;
use crate::orientation::Projection;
use crate::report::record::{Asked, SignOff};
use crate::survey::{Domain, MapOptions, Mapped, Survey};

/// A mapped survey with all that its files need.
#[derive(Debug, Clone, Copy)]
pub struct SurveyOutputs<'a> {
    /// The survey.
    pub survey: &'a Survey,
    /// What was made of it.
    pub mapped: &'a Mapped,
    /// The domains that were asked for, each mapped by itself; none unless borders were.
    pub domains: &'a [Domain],
    /// How.
    pub options: &'a MapOptions,
    /// Name of the survey's file, without folders.
    pub file_name: &'a str,
    /// Its text, for the columns that are carried along as read.
    pub text: &'a str,
    /// Name of the file of lines, windows and holes, if there was one.
    pub lines_name: Option<&'a str>,
    /// Name of the file of borders by hand, if there was one.
    pub set_borders_name: Option<&'a str>,
    /// What the case calls its north.
    pub north: &'a str,
    /// Projection of the stereonet.
    pub projection: Projection,
    /// What was asked besides the survey.
    pub asked: &'a Asked,
    /// The survey's file, then that of its lines and that of borders by hand.
    pub sign_off: SignOff<'a>,
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
}

impl SurveyOutputs<'_> {
    /// The answer line.
    #[must_use]
    pub fn answer(&self) -> String {
        survey_answer(self.survey, self.mapped, self.domains)
    }
}
