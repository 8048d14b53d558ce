//! What `check`, `compare`, `fit` and `plan` are all asked.

use std::path::{Path, PathBuf};

use super::date;
use super::outcome::Failure;
use crate::case::SourceFile;
use crate::report::{Recorded, SignOff};

/// Longest name of a person in the sign-off, characters.
const MOST_NAME: usize = 100;

#[derive(Debug, clap::Args)]
pub(super) struct Common {
    /// The case file. `check` and `chance` also take a folder of case files, or a list of them (.csv).
    #[arg(value_name = "CASE", required_unless_present = "again")]
    case: Option<PathBuf>,
    /// The folder to write tables, drawings and page into, all or nothing.
    #[arg(long, value_name = "DIR", required_unless_present = "again")]
    pub(super) out: Option<PathBuf>,
    /// Set aside what backhold did not write, instead of refusing.
    #[arg(long)]
    pub(super) overwrite: bool,
    #[command(flatten)]
    pub(super) signed: Signed,
    /// Run again from the inputs in the summary.json of an earlier run, and say what differs.
    #[arg(
        long,
        value_name = "SUMMARY",
        conflicts_with_all = ["case", "dated", "prepared", "checked", "approved"]
    )]
    pub(super) again: Option<PathBuf>,
}

impl Common {
    /// The case file and the folder to write.
    ///
    /// # Errors
    /// Where one of them was not given, which the arguments rule out.
    pub(super) fn case_and_out(&self) -> Result<(&Path, &Path), Failure> {
        match (&self.case, &self.out) {
            (Some(case), Some(out)) => Ok((case, out)),
            _ => Err(Failure::Usage("give a case file and --out, or --again and a summary.json".into())),
        }
    }
}

/// The date, and who answers for it: a name there is no signature.
#[derive(Debug, Clone, clap::Args)]
pub(super) struct Signed {
    /// A date to print in the outputs, such as 2026-11-25; none is printed otherwise.
    #[arg(long, value_name = "DATE", value_parser = date::parse)]
    pub(super) dated: Option<String>,
    /// Who prepared the case, for the sign-off.
    #[arg(long, value_name = "NAME", value_parser = name)]
    prepared: Option<String>,
    /// Who checked it.
    #[arg(long, value_name = "NAME", value_parser = name)]
    checked: Option<String>,
    /// Who approved it.
    #[arg(long, value_name = "NAME", value_parser = name)]
    approved: Option<String>,
}

impl Signed {
    /// As an earlier run was signed.
    pub(super) fn as_recorded(recorded: &Recorded) -> Self {
        let [prepared, checked, approved] = recorded.names.clone();
        Self { dated: recorded.dated.clone(), prepared, checked, approved }
    }

    /// Whether an earlier run was signed so.
    pub(super) fn is_as_recorded(&self, recorded: &Recorded) -> bool {
        let names = [&self.prepared, &self.checked, &self.approved];
        self.dated == recorded.dated && names.into_iter().eq(&recorded.names)
    }

    /// The sign-off of what was made from these files.
    pub(super) fn of<'a>(&'a self, files: &'a [SourceFile]) -> SignOff<'a> {
        SignOff {
            prepared: self.prepared.as_deref(),
            checked: self.checked.as_deref(),
            approved: self.approved.as_deref(),
            files,
        }
    }
}

fn name(text: &str) -> Result<String, String> {
    let text = text.trim();
    if text.is_empty() || text.chars().count() > MOST_NAME || text.chars().any(char::is_control) {
        return Err(format!("a name of 1 to {MOST_NAME} characters on one line"));
    }
    Ok(text.to_owned())
}
