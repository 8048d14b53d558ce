//! Many cases in one call: those in a folder, or those of a list.

use std::fs;
use std::path::{Path, PathBuf};

use super::common::Signed;
use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome, SHORT};
use super::read::read;
use super::terminal;
use crate::case::{ListedCase, ReadCase, inputs_sha256, read_case_list, with_own_names};
use crate::report::{Asked, CAUTION_LINE, CaseRow, CaseState, CasesOf, CasesOutputs, OutputFile, Recorded};

/// The folder of the table, beside those of the cases.
const TABLE: &str = "all-cases";
/// The header that a case file has and no other file of ours.
const CASE_HEADER: &str = "[drive]";

/// Whether these are many cases: a folder of case files, or a list of them.
pub(super) fn is_many(case: &Path) -> bool {
    case.is_dir() || case.extension().is_some_and(|end| end.eq_ignore_ascii_case("csv"))
}

/// What is asked of each of them.
pub(super) struct Each<'a> {
    /// The folder, or the list.
    pub list: &'a Path,
    /// Where the folder of each goes.
    pub out: &'a Path,
    pub overwrite: bool,
    pub signed: &'a Signed,
    /// What is asked of each.
    pub of: CasesOf,
    /// Exit with status 1 where one does not hold.
    pub strict: bool,
}

impl Each<'_> {
    /// Makes the folder of each case (what grows with it is written into the folder as it is made), or leaves it where it has the same from an earlier run, and a table of all of
    /// them. One that fails is named, and the others go on.
    pub(super) fn run(
        &self,
        asked: impl Fn(&ListedCase) -> Result<Asked, Failure>,
        make: impl Fn(&ReadCase, &Asked, &mut Folder) -> Result<Vec<OutputFile>, Failure>,
    ) -> Outcome {
        let (folder, cases) = self.listed()?;
        if let Some(case) = cases.iter().find(|case| case.name.eq_ignore_ascii_case(TABLE)) {
            return Err(Failure::Usage(format!(
                "{}: the folder {TABLE} is for the table of all; give the case another name",
                case.file
            )));
        }
        terminal::message(&terminal::wrapped(&format!(
            "{} cases; what is done stays: where this ends before the last, the same command goes on from there",
            cases.len()
        )));
        let mut status = DONE;
        let mut rows = Vec::new();
        for (at, case) in cases.iter().enumerate() {
            terminal::message(&format!("{} of {}: {}", at + 1, cases.len(), case.name));
            let row = asked(case).and_then(|asked| self.one(&folder.join(&case.file), case, &asked, &make));
            let row = row.unwrap_or_else(|failure| {
                terminal::message(&format!("{}: {failure}", case.name));
                status = status.max(failure.status());
                CaseRow::failed(case, failure.to_string().lines().next().unwrap_or_default())
            });
            rows.push(row);
        }
        let list = self.list.display().to_string();
        let outputs =
            CasesOutputs { rows: &rows, asked: self.of, list: &list, dated: self.signed.dated.as_deref() };
        let set_aside = Folder::begin(&self.out.join(TABLE), self.overwrite)?.fill(&outputs.files()?)?;
        terminal::answer(&outputs.answer());
        terminal::table(&outputs.terminal_table());
        terminal::result(&format!(
            "\nWritten to {}:\n{TABLE}/cases.csv, {TABLE}/cases.html, and a folder for each case",
            self.out.display()
        ));
        terminal::result(&terminal::wrapped(CAUTION_LINE));
        terminal::set_aside(set_aside.as_deref());
        let all_hold = rows.iter().all(CaseRow::holds);
        Ok(if status == DONE && self.strict && !all_hold { SHORT } else { status })
    }

    fn one(
        &self,
        path: &Path,
        case: &ListedCase,
        asked: &Asked,
        make: &impl Fn(&ReadCase, &Asked, &mut Folder) -> Result<Vec<OutputFile>, Failure>,
    ) -> Result<CaseRow, Failure> {
        let read = read(path)?;
        let target = self.out.join(&case.name);
        let row = |state: CaseState, summary: &str| {
            CaseRow::of_summary(case, state, self.of, summary)
                .map_err(|why| Failure::Usage(format!("{}: {why}", case.file)))
        };
        if let Some(summary) = self.stands_there(&target, &read, asked) {
            return row(CaseState::AsBefore, &summary);
        }
        let mut folder = Folder::begin(&target, self.overwrite)?;
        let files = make(&read, asked, &mut folder)?;
        let summary = files.iter().find(|file| file.name == super::again::SUMMARY);
        let summary =
            summary.map(|file| String::from_utf8_lossy(&file.content).into_owned()).unwrap_or_default();
        terminal::set_aside(folder.fill(&files)?.as_deref());
        row(CaseState::Done, &summary)
    }

    /// The summary of a folder that an earlier run of this version made of the same inputs and the same question.
    fn stands_there(&self, target: &Path, read: &ReadCase, asked: &Asked) -> Option<String> {
        let summary = fs::read_to_string(target.join(super::again::SUMMARY)).ok()?;
        let recorded = Recorded::of(&summary).ok()?;
        let same = recorded.version == env!("CARGO_PKG_VERSION")
            && recorded.inputs_sha256 == inputs_sha256(&read.files)
            && recorded.asked == *asked
            && self.signed.is_as_recorded(&recorded);
        same.then_some(summary)
    }

    /// The folder that the cases are named from, and the cases.
    fn listed(&self) -> Result<(PathBuf, Vec<ListedCase>), Failure> {
        let name = self.list.display().to_string();
        let cannot_read = |error| Failure::machine("cannot read", self.list, error);
        if !self.list.is_dir() {
            let text = fs::read_to_string(self.list).map_err(cannot_read)?;
            let folder = self.list.parent().unwrap_or(Path::new("")).to_owned();
            return Ok((folder, read_case_list(&name, &text)?));
        }
        let mut files = Vec::new();
        for entry in fs::read_dir(self.list).map_err(cannot_read)? {
            let path = entry.map_err(cannot_read)?.path();
            let is_toml = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("toml"));
            // One that cannot be read is taken for a case, so that it is named.
            let is_case = || {
                fs::read_to_string(&path)
                    .map_or(true, |text| text.lines().any(|line| line.trim_start().starts_with(CASE_HEADER)))
            };
            if is_toml && path.is_file() && is_case() {
                files.extend(path.file_name().map(|name| name.to_string_lossy().into_owned()));
            }
        }
        files.sort();
        if files.is_empty() {
            return Err(Failure::Usage(format!(
                "{name}: no case file lies in this folder; give a folder with .toml files that have a {CASE_HEADER}, or a list (.csv) of them"
            )));
        }
        let cases = files.iter().map(|file| ListedCase::of_file(file)).collect();
        Ok((self.list.to_owned(), with_own_names(cases)))
    }
}
