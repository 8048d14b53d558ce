//! Many cases that were checked in one call: a row each, taken from the summary in its own folder.

mod files;
mod rows;

pub use rows::{CaseRow, CaseState};

/// Cases side by side, with all that their table needs.
#[derive(Debug, Clone, Copy)]
pub struct CasesOutputs<'a> {
    /// The cases, in the order of their list.
    pub rows: &'a [CaseRow],
    /// What listed them.
    pub list: &'a str,
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
}
