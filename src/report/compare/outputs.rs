//! A comparison with all that its files need.

use super::words::compare_answer;
use crate::case::{Case, SourceFile};
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
    /// The files that the case was read from.
    pub files: &'a [SourceFile],
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
}

impl CompareOutputs<'_> {
    /// The comparison in words.
    #[must_use]
    pub fn answer(&self) -> String {
        compare_answer(self.comparison, self.currency)
    }
}
