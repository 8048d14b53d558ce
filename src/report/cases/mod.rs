//! Many cases in one call: a row each, taken from the summary in its own folder.

mod files;
mod rows;

pub use rows::{CaseRow, CaseState, CasesOf};

/// Cases side by side, with all that their table needs.
#[derive(Debug, Clone, Copy)]
pub struct CasesOutputs<'a> {
    /// The cases, in the order of their list.
    pub rows: &'a [CaseRow],
    /// What was asked of each.
    pub asked: CasesOf,
    /// What listed them.
    pub list: &'a str,
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
}
