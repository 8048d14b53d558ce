use std::io;
use std::path::Path;

use thiserror::Error;

use crate::case::Problems;
use crate::report::OutputError;
use crate::study::CheckError;

/// What a command returns: its exit status, or why it could not be done.
pub(super) type Outcome = Result<u8, Failure>;

/// Done, and everything asked for is held.
pub(super) const DONE: u8 = 0;
/// Done, and with `--strict` a wedge is short or not judged, or nothing compared or on stock holds, or
/// with `--again` something differs.
pub(super) const SHORT: u8 = 1;
/// Exit status of bad input or usage.
pub(super) const BAD_INPUT: u8 = 2;
/// Exit status when the machine said no.
pub(super) const MACHINE: u8 = 3;

/// Why a command could not be done.
#[derive(Debug, Error)]
pub(super) enum Failure {
    /// The case file has problems; all of them are listed.
    #[error(transparent)]
    Case(#[from] Problems),
    /// A sentence for the user, who can do something about it.
    #[error("{0}")]
    Usage(String),
    /// The study refused; a case that was read from a file never gets here.
    #[error("this case cannot be checked: {0}")]
    Check(#[from] CheckError),
    /// Disk, permission and the like.
    #[error("{what}: {}", machine_words(error))]
    Machine {
        /// What was being done.
        what: String,
        /// What the system said.
        error: io::Error,
    },
    /// A table, the summary or a drawing could not be made.
    #[error(transparent)]
    Output(#[from] OutputError),
}

/// What the machine said, in words of ours where there are some.
fn machine_words(error: &io::Error) -> String {
    use io::ErrorKind as Kind;
    let words = match error.kind() {
        Kind::NotFound => "there is no such file or folder",
        Kind::PermissionDenied => "this user has no permission to",
        Kind::AlreadyExists => "something of this name is there already",
        Kind::NotADirectory => "a part of the path is a file and no folder",
        Kind::IsADirectory => "this is a folder and no file",
        Kind::DirectoryNotEmpty => "the folder there is not empty",
        Kind::ReadOnlyFilesystem => "the disk can only be read",
        Kind::StorageFull | Kind::QuotaExceeded => "the disk is full",
        Kind::FileTooLarge => "the file is too large",
        Kind::InvalidFilename => "the name is too long, or has letters that the system does not allow",
        _ => return error.to_string(),
    };
    words.to_owned()
}

impl Failure {
    /// A failure of the machine while doing `what` with `path`.
    pub(super) fn machine(what: &str, path: &Path, error: io::Error) -> Self {
        Self::Machine { what: format!("{what} {}", path.display()), error }
    }

    /// The exit status that goes with it.
    pub(super) fn status(&self) -> u8 {
        match self {
            Self::Case(problems) if problems.machine_said_no() => MACHINE,
            Self::Case(_) | Self::Usage(_) | Self::Check(_) => BAD_INPUT,
            Self::Machine { .. } | Self::Output(_) => MACHINE,
        }
    }
}
