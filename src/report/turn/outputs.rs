//! A turned drive with all that its files need.

use super::words::turn_answer;
use crate::case::Case;
use crate::report::record::{Asked, SignOff};
use crate::study::Turn;

/// A turned drive with all that its files need.
#[derive(Debug, Clone, Copy)]
pub struct TurnOutputs<'a> {
    /// The case as it stands.
    pub case: &'a Case,
    /// The directions.
    pub turn: &'a Turn,
    /// What was asked.
    pub asked: &'a Asked,
    /// What the reader of the case file wondered about.
    pub notes: &'a [String],
    /// Who signs, and the files that the case was read from.
    pub sign_off: SignOff<'a>,
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
}

impl TurnOutputs<'_> {
    /// The directions in words.
    #[must_use]
    pub fn answer(&self) -> String {
        turn_answer(self.turn, self.case).0
    }

    /// What the answer has no room for, and what was left out of the case, a sentence each.
    #[must_use]
    pub fn below_the_answer(&self) -> Vec<String> {
        let mut below = turn_answer(self.turn, self.case).1;
        if !self.turn.left_out.is_empty() {
            below.push(format!(
                "Left out of every direction, this drive's own too, since they are known by chainage: {}.",
                self.turn.left_out.join(", ")
            ));
        }
        below
    }
}
