//! A comparison with all that its files need.

use super::words::compare_answer;
use crate::case::Case;
use crate::report::record::SignOff;
use crate::report::words::as_drawn_words;
use crate::study::Comparison;

/// A comparison with all that its files need.
#[derive(Debug, Clone, Copy)]
pub struct CompareOutputs<'a> {
    /// The case as it stands.
    pub case: &'a Case,
    /// The options.
    pub comparison: &'a Comparison,
    /// What prices are counted in.
    pub currency: Option<&'a str>,
    /// What the reader of the case file wondered about.
    pub notes: &'a [String],
    /// Who signs, and the files that the case was read from.
    pub sign_off: SignOff<'a>,
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
}

impl CompareOutputs<'_> {
    /// The comparison in words.
    #[must_use]
    pub fn answer(&self) -> String {
        compare_answer(self.comparison, self.currency).0
    }

    /// What the answer has no room for, a sentence each.
    #[must_use]
    pub fn below_the_answer(&self) -> Vec<String> {
        compare_answer(self.comparison, self.currency).1
    }

    /// What the column of collars off says; options have their tolerance from one case.
    pub(crate) fn as_drawn_line(&self) -> Option<String> {
        self.comparison.options.first().map(|option| as_drawn_words(&option.as_drawn))
    }
}
