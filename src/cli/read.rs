use std::path::Path;

use super::outcome::Failure;
use super::terminal;
use crate::case::{ReadCase, read_case};

/// The case, once what its file made the reader wonder about is said.
pub(super) fn read(path: &Path) -> Result<ReadCase, Failure> {
    let read = read_case(path)?;
    for note in &read.notes {
        terminal::message(&note.to_string());
    }
    Ok(read)
}

/// The notes of a case as outputs carry them.
pub(super) fn remarks(read: &ReadCase) -> Vec<String> {
    read.notes.iter().map(|note| note.remark()).collect()
}
