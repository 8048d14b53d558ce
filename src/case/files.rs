use std::io::{self, Read};
use std::path::{Path, PathBuf};

use crate::input::{Collector, Place, ProblemKind, Says};

/// Larger files are refused unread: a case file has some kilobytes.
pub const LARGEST_FILE_BYTES: usize = 1 << 20;

/// Where the files come from that a case names.
pub trait CaseFiles {
    /// The text of a file.
    ///
    /// # Errors
    /// What the machine says; `InvalidData` where the file is not UTF-8, `FileTooLarge` where it is
    /// larger than [`LARGEST_FILE_BYTES`].
    fn text(&self, name: &str) -> io::Result<String>;

    /// The bytes of a file, which need not be text.
    ///
    /// # Errors
    /// What the machine says; `FileTooLarge` where there are more than `most`.
    fn bytes(&self, name: &str, most: usize) -> io::Result<Vec<u8>>;
}

/// Files on disk, names starting from a folder.
pub(super) struct Folder(pub PathBuf);

impl CaseFiles for Folder {
    fn text(&self, name: &str) -> io::Result<String> {
        read_text(&self.0.join(name))
    }

    fn bytes(&self, name: &str, most: usize) -> io::Result<Vec<u8>> {
        read_bytes(&self.0.join(name), most)
    }
}

/// Files that are all text, from a function.
pub(super) struct Texts<'a>(pub &'a dyn Fn(&str) -> io::Result<String>);

impl CaseFiles for Texts<'_> {
    fn text(&self, name: &str) -> io::Result<String> {
        (self.0)(name)
    }

    fn bytes(&self, name: &str, most: usize) -> io::Result<Vec<u8>> {
        let bytes = (self.0)(name)?.into_bytes();
        if bytes.len() > most { Err(io::ErrorKind::FileTooLarge.into()) } else { Ok(bytes) }
    }
}

/// Whether reading this would wait, for ever where nobody writes into it: a pipe or a device. What a shell pipes in
/// (below /dev) ends; what is not there says so when it is opened.
pub(crate) fn would_wait(path: &Path) -> bool {
    !path.starts_with("/dev")
        && std::fs::metadata(path).is_ok_and(|found| !found.is_file() && !found.is_dir())
}

/// Reads a file from disk, no more of it than `most` bytes.
fn read_bytes(path: &Path, most: usize) -> io::Result<Vec<u8>> {
    if would_wait(path) {
        return Err(io::ErrorKind::Unsupported.into());
    }
    let mut bytes = Vec::new();
    std::fs::File::open(path)?.take(most as u64 + 1).read_to_end(&mut bytes)?;
    if bytes.len() > most {
        return Err(io::ErrorKind::FileTooLarge.into());
    }
    Ok(bytes)
}

/// Reads a text from disk, no more of it than [`LARGEST_FILE_BYTES`].
///
/// # Errors
/// What the machine says; `InvalidData` where the file is not UTF-8, `FileTooLarge` where it is
/// too large.
pub(super) fn read_text(path: &Path) -> io::Result<String> {
    String::from_utf8(read_bytes(path, LARGEST_FILE_BYTES)?).map_err(|error| {
        let good = error.utf8_error().valid_up_to();
        let bytes = error.as_bytes();
        let what = if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
            "UTF-16 text".to_owned()
        } else {
            let line = 1 + bytes[..good].iter().filter(|&&b| b == b'\n').count();
            format!("bytes that are no UTF-8 text in line {line}")
        };
        io::Error::new(io::ErrorKind::InvalidData, what)
    })
}

/// Says why a file could not be read. `place` and `key` are where it was named; for the case
/// file itself that is the file as a whole.
pub(super) fn refuse(error: &io::Error, name: &str, place: Place, key: &str, problems: &mut Collector) {
    let named = |what: &str| if key.is_empty() { what.to_owned() } else { format!("{name}: {what}") };
    let allowed = "a UTF-8 text file";
    let mut kind = ProblemKind::File;
    let says = match error.kind() {
        io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => {
            let advice = if key.is_empty() {
                "check the path; `backhold new` writes a case to start from"
            } else {
                "check the path; it starts from the folder of the case file"
            };
            Says::new(named("no such file"), "a file that is there", advice)
        }
        io::ErrorKind::IsADirectory => Says::new(named("a directory"), allowed, "name a file in it"),
        io::ErrorKind::InvalidData => {
            Says::new(named(&error.to_string()), allowed, "save it as UTF-8 in your editor")
        }
        io::ErrorKind::Unsupported => Says::new(
            named("a pipe or a device, which may be waited for without an end"),
            allowed,
            "write what comes out of it into a file, and name that",
        ),
        io::ErrorKind::FileTooLarge => too_large(&named("a file")),
        io::ErrorKind::InvalidInput | io::ErrorKind::InvalidFilename => {
            Says::new(named("a name that no file can have"), "the path of a file", "correct the path")
        }
        io::ErrorKind::PermissionDenied => {
            kind = ProblemKind::Machine;
            Says::new(
                named("a file that may not be read"),
                "a file that you have permission to read",
                "ask for permission, or copy the file to a place of your own",
            )
        }
        _ => {
            kind = ProblemKind::Machine;
            Says::new(
                named(&error.to_string()),
                "a file that can be read",
                "try again, or copy it to another disk",
            )
        }
    };
    problems.add(kind, place, key, says);
}

/// What is said of a file beyond [`LARGEST_FILE_BYTES`].
pub(super) fn too_large(what: &str) -> Says {
    Says::new(
        format!("{what} of more than {LARGEST_FILE_BYTES} bytes"),
        format!("at most {LARGEST_FILE_BYTES} bytes"),
        "check that it is the file you mean",
    )
}
