use std::io::{self, Read};
use std::path::{Path, PathBuf};

use super::common::{Common, Signed};
use super::folder::{Folder, Written};
use super::outcome::{DONE, Failure, Outcome, SHORT};
use super::terminal;
use crate::case::{CaseFiles, ReadCase, SourceFile, parse_case_with, sha256_hex};
use crate::report::{Asked, OutputFile, Recorded, differences};

/// The name of the file that is run again from.
pub(super) const SUMMARY: &str = "summary.json";

/// A larger file is no summary of ours.
const LARGEST_SUMMARY_BYTES: u64 = 1 << 28;

/// Runs again from the inputs that a summary.json holds, and says whether the summary and every file of
/// that run that stands beside it come out the same, byte for byte, or what differs; what is not there,
/// and what nothing guards. `make` makes the files of this command. Exit status 1 where something
/// differs.
pub(super) fn run(
    summary: &Path,
    command: &str,
    common: &Common,
    make: impl FnOnce(&ReadCase, &Asked, &Signed) -> Result<Vec<OutputFile>, Failure>,
) -> Outcome {
    compare(summary, command, (common.out.as_ref(), common.overwrite), |recorded, folder| {
        let refused = |why: &str| Failure::Usage(format!("--again {}: {why}", summary.display()));
        let Some((case_file, beside)) = recorded.files.split_first() else {
            return Err(refused("it holds no inputs"));
        };
        let Some(case_text) = case_file.text() else { return Err(refused("its case file is no text")) };
        let read = parse_case_with(case_text, &case_file.name, &Embedded { files: beside, folder })?;
        make(&read, &recorded.asked, &Signed::as_recorded(recorded))
    })
}

/// The same whatever was read: `make` makes the files of this command from what the summary recorded and, for
/// inputs too large to be held, from the folder that it lies in.
pub(super) fn compare(
    summary: &Path,
    command: &str,
    (out, overwrite): (Option<&PathBuf>, bool),
    make: impl FnOnce(&Recorded, &Path) -> Result<Vec<OutputFile>, Failure>,
) -> Outcome {
    let text = read(summary)?;
    let refused = |why: String| Failure::Usage(format!("--again {}: {why}", summary.display()));
    let recorded = Recorded::of(&text).map_err(refused)?;
    let made_by = recorded.asked.command();
    if made_by != command {
        return Err(refused(format!("backhold {made_by} wrote it; give backhold {made_by} --again with it")));
    }
    let folder = out.map(|out| Folder::begin(out, overwrite)).transpose()?;
    let files = make(&recorded, summary.parent().unwrap_or(Path::new("")))?;
    let now = files.iter().find(|f| f.name == SUMMARY).map(|f| f.content.as_slice()).unwrap_or_default();
    let mut said = differences(&text, &String::from_utf8_lossy(now));
    let mut beside = Beside::of(summary.parent().unwrap_or(Path::new("")), summary, &files);
    said.append(&mut beside.differ);
    let is_date = |date: &String| super::date::parse(date).is_ok();
    if let Some(date) = recorded.dated.as_ref().filter(|date| !is_date(date)) {
        said.push(format!("dated: {date:.40} is no date that --dated takes: somebody changed it"));
    }
    if let Some(folder) = folder {
        terminal::set_aside(folder.fill(&files)?.as_deref());
    }
    say(&recorded, &said, &beside, out);
    Ok(if said.is_empty() { DONE } else { SHORT })
}

/// The files that a summary holds; one that is too large to be held stands beside it.
struct Embedded<'a> {
    files: &'a [SourceFile],
    folder: &'a Path,
}

impl Embedded<'_> {
    fn file(&self, name: &str) -> io::Result<&SourceFile> {
        self.files.iter().find(|f| f.name == name).ok_or_else(|| io::ErrorKind::NotFound.into())
    }
}

impl CaseFiles for Embedded<'_> {
    fn text(&self, name: &str) -> io::Result<String> {
        self.file(name)?.text().map(str::to_owned).ok_or_else(|| io::ErrorKind::InvalidData.into())
    }

    fn bytes(&self, name: &str, most: usize) -> io::Result<Vec<u8>> {
        match &self.file(name)?.content {
            Some(bytes) => Ok(bytes.clone()),
            None => {
                let mut bytes = Vec::new();
                std::fs::File::open(self.folder.join(name))?.take(most as u64 + 1).read_to_end(&mut bytes)?;
                if bytes.len() > most { Err(io::ErrorKind::FileTooLarge.into()) } else { Ok(bytes) }
            }
        }
    }
}

fn read(path: &Path) -> Result<String, Failure> {
    let not_ours = |why: &str| Failure::Usage(format!("--again {}: {why}", path.display()));
    let file = std::fs::File::open(path).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => not_ours("no such file; give the summary.json of an earlier run"),
        _ => Failure::machine("cannot read", path, error),
    })?;
    if file.metadata().is_ok_and(|m| m.is_dir()) {
        return Err(not_ours("this is a folder; give the summary.json in it"));
    }
    let mut bytes = Vec::new();
    file.take(LARGEST_SUMMARY_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|e| Failure::machine("cannot read", path, e))?;
    if bytes.len() as u64 > LARGEST_SUMMARY_BYTES {
        return Err(not_ours("too large for a summary"));
    }
    String::from_utf8(bytes)
        .map_err(|_| not_ours("this is no UTF-8 text; give the summary.json of an earlier run"))
}

/// The files of a run beside its summary, against those that running again makes.
#[derive(Default)]
struct Beside {
    /// Those with the same bytes.
    same: Vec<String>,
    /// What is to be said of those that are not the same.
    differ: Vec<String>,
    /// Those that are not there though the folder was written with them.
    absent: Vec<String>,
    /// Those that no run wrote.
    others: Vec<String>,
}

impl Beside {
    /// The summary may travel alone, or with some of its files: what is not there is no difference, and is
    /// said where the folder's mark tells that it was.
    fn of(folder: &Path, summary: &Path, files: &[OutputFile]) -> Self {
        let written = Written::of(folder);
        let own = summary.file_name().map(|name| name.to_string_lossy().into_owned());
        let is_summary = |name: &str| Some(name) == own.as_deref() || name == SUMMARY;
        let mut found = Self::default();
        // Its check sum alone tells of a date or a name that somebody changed: nothing computed rests on them.
        if let (Some(written), Ok(bytes)) = (&written, std::fs::read(summary))
            && own.as_deref() == Some(SUMMARY)
            && written.names().any(|name| name == SUMMARY)
            && !written.is_untouched(SUMMARY, &bytes)
        {
            found.differ.push(format!("{SUMMARY}: changed since it was written"));
        }
        for file in files.iter().filter(|f| !is_summary(&f.name)) {
            let marked = written.as_ref().is_some_and(|w| w.names().any(|name| name == file.name));
            match std::fs::read(folder.join(&file.name)) {
                Ok(bytes) if bytes == file.content => found.same.push(file.name.clone()),
                Ok(bytes) => {
                    let since = match &written {
                        Some(w) if w.is_untouched(&file.name, &bytes) => ", as it was written",
                        Some(_) if marked => ", changed since it was written",
                        _ => "",
                    };
                    let difference = first_difference(&bytes, &file.content);
                    found.differ.push(format!("{} beside the summary{since}: {difference}", file.name));
                }
                Err(_) if marked => found.absent.push(file.name.clone()),
                Err(_) => {}
            }
        }
        let made = |name: &str| is_summary(name) || files.iter().any(|f| f.name == name);
        if let Some(written) = &written {
            let no_longer = written.names().filter(|name| !made(name));
            found.differ.extend(no_longer.map(|name| format!("{name}: written then, and not made now")));
            let others = written.there.iter().filter(|f| !made(f) && !written.names().any(|n| n == *f));
            found.others.extend(others.cloned());
        }
        found
    }
}

/// File names as people read them: those of a folder by their number.
fn listed(names: &[String]) -> String {
    let mut words: Vec<String> = names.iter().filter(|n| !n.contains('/')).cloned().collect();
    let mut folders: Vec<(&str, usize)> = Vec::new();
    for folder in names.iter().filter_map(|n| Some(n.split_once('/')?.0)) {
        match folders.iter_mut().find(|(name, _)| *name == folder) {
            Some((_, count)) => *count += 1,
            None => folders.push((folder, 1)),
        }
    }
    words.extend(folders.iter().map(|(folder, count)| match count {
        1 => format!("1 file in {folder}/"),
        n => format!("{n} files in {folder}/"),
    }));
    words.join(", ")
}

fn first_difference(there: &[u8], now: &[u8]) -> String {
    let hashes = format!("(SHA-256 there {}, now {})", &sha256_hex(there)[..12], &sha256_hex(now)[..12]);
    if std::str::from_utf8(there).is_err() || std::str::from_utf8(now).is_err() {
        return format!("differs {hashes}");
    }
    let lines = |bytes: &[u8]| -> Vec<Vec<u8>> { bytes.split(|b| *b == b'\n').map(<[u8]>::to_vec).collect() };
    let (there_lines, now_lines) = (lines(there), lines(now));
    let line = there_lines.iter().zip(&now_lines).position(|(a, b)| a != b);
    let line = line.unwrap_or(there_lines.len().min(now_lines.len())) + 1;
    format!("differs from line {line} on {hashes}")
}

fn say(recorded: &Recorded, said: &[String], beside: &Beside, out: Option<&PathBuf>) {
    let (hash, noun) = (&recorded.inputs_sha256, recorded.asked.noun());
    if said.is_empty() {
        let others = match beside.same.as_slice() {
            [] => format!(
                "No other file of the {noun} stands beside it; it holds the hashes of the tables, and those are the same."
            ),
            same => format!("Beside it, with the same bytes: {}.", listed(same)),
        };
        terminal::result(&terminal::emphasis(&terminal::wrapped(&format!(
            "Reproduced byte for byte from the inputs in the summary: the summary. {others}"
        ))));
    } else {
        terminal::result(&terminal::emphasis("Not the same as it was written:"));
        for line in said {
            terminal::result(&terminal::wrapped(&format!("- {line}")));
        }
        if !beside.same.is_empty() {
            terminal::result(&terminal::wrapped(&format!("The same bytes: {}.", listed(&beside.same))));
        }
    }
    if !beside.absent.is_empty() {
        let absent = listed(&beside.absent);
        terminal::result(&terminal::wrapped(&format!("Not there, and not compared: {absent}.")));
    }
    if !beside.others.is_empty() {
        let others = listed(&beside.others);
        terminal::result(&terminal::wrapped(&format!("Not of the {noun}, and not looked at: {others}.")));
    }
    terminal::result(&terminal::wrapped(&unprotected(recorded)));
    terminal::result(&format!("Version {}. Inputs, SHA-256:\n{hash}", env!("CARGO_PKG_VERSION")));
    if let Some(out) = out {
        terminal::result(&format!("Written to {}.", out.display()));
    }
}

/// What is taken from the summary as it stands there: nothing computed rests on it, so no run tells
/// whether somebody changed it.
fn unprotected(recorded: &Recorded) -> String {
    let [prepared, checked, approved] = &recorded.names;
    let dated =
        [("dated", &recorded.dated), ("prepared", prepared), ("checked", checked), ("approved", approved)];
    let found: Vec<String> =
        dated.iter().filter_map(|(what, name)| Some(format!("{what} {}", name.as_ref()?))).collect();
    let found = if found.is_empty() { "none stands there".to_owned() } else { found.join(", ") };
    format!(
        "Not protected: date and names are taken from the summary as they stand there ({found}); nothing that is computed tells whether they were changed, only the check sum of the summary in the folder that it was written into."
    )
}
