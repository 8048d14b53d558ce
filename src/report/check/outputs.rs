//! A check with all that its files need.

use super::answer::{answer, answer_as_built};
use super::as_built::words::as_built_answer;
use super::stress::harm;
use crate::case::{BoltOrigin, Case, Change};
use crate::report::record::{Also, Asked, Head, SignOff};
use crate::study::{Changes, Check, Whole};
use crate::support::BondTests;

/// A check with all that its files need.
#[derive(Debug, Clone, Copy)]
pub struct Outputs<'a> {
    /// The case.
    pub case: &'a Case,
    /// What was asked of it; an option that it names is laid over `case` already.
    pub asked: &'a Asked,
    /// What the option changes; empty where the case was checked as it stands.
    pub changes: &'a [Change],
    /// What was found.
    pub whole: &'a Whole,
    /// What the reader of the case file wondered about; it stands with the check's own warnings.
    pub notes: &'a [String],
    /// The same with each wedge as the piece that decides on it ([`Whole::deciding`]).
    pub deciding: &'a Check,
    /// What could be changed; `None` where it was not looked for.
    pub mending: Option<&'a Changes>,
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
    /// Who signs, and the files that the case was read from.
    pub sign_off: SignOff<'a>,
    /// What pull tests say of each bolt whose bond comes from them.
    pub bond_tests: &'a [Option<BondTests>],
    /// How each bolt came to its numbers.
    pub bolt_origins: &'a [BoltOrigin],
}

impl Outputs<'_> {
    /// The answer line.
    #[must_use]
    pub fn answer(&self) -> String {
        let said = self.said().0;
        match self.option() {
            Some(name) => format!("Option \"{name}\" of the case.\n{said}"),
            None => said,
        }
    }

    /// What must stand right below the answer, a sentence each: where stress does harm, and what the answer has no
    /// room for.
    #[must_use]
    pub fn below_the_answer(&self) -> Vec<String> {
        harm(&self.whole.check).chain(self.said().1).collect()
    }

    fn said(&self) -> (String, Vec<String>) {
        match &self.whole.as_built {
            Some(found) => {
                let built = as_built_answer(self.case, found);
                answer_as_built(self.case, self.whole, self.mending, built)
            }
            None => (answer(self.case, self.whole, self.mending), Vec::new()),
        }
    }

    /// The option that was laid over the case.
    pub(super) fn option(&self) -> Option<&str> {
        match self.asked {
            Asked::Check { option, .. } => option.as_deref(),
            _ => None,
        }
    }

    /// What is written besides, for other programs.
    #[must_use]
    pub fn also(&self) -> &[Also] {
        match self.asked {
            Asked::Check { also, .. } => also,
            _ => &[],
        }
    }

    pub(super) fn head<'a>(&'a self, answer: &'a str, inputs: serde_json::Value) -> Head<'a> {
        Head { answer, asked: self.asked, dated: self.dated, sign_off: &self.sign_off, inputs }
    }
}
