use std::io::{self, Read};
use std::path::{Path, PathBuf};

use super::check::{Arguments, judge};
use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome, SHORT};
use super::{interrupt, terminal};
use crate::case::{CaseFiles, SourceFile, parse_case_with, sha256_hex};
use crate::report::{OutputFile, Outputs, Recorded, SignOff, differences};

/// The name of the file that a check is run again from.
const SUMMARY: &str = "summary.json";

/// A larger file is no summary of ours.
const LARGEST_SUMMARY_BYTES: u64 = 1 << 28;

/// Runs a check again from the inputs that its summary.json holds, and says whether the tables come
/// out the same, byte for byte, or what differs. Exit status 1 where something does.
pub(super) fn run(summary: &Path, arguments: &Arguments) -> Outcome {
    let text = read(summary)?;
    let refused = |why: String| Failure::Usage(format!("--again {}: {why}", summary.display()));
    let recorded = Recorded::of(&text).map_err(refused)?;
    let Some((case_file, beside)) = recorded.files.split_first() else {
        return Err(refused("it holds no inputs".into()));
    };
    let Some(case_text) = case_file.text() else { return Err(refused("its case file is no text".into())) };
    let beside = Embedded { files: beside, folder: summary.parent().unwrap_or(Path::new("")) };
    let read = parse_case_with(case_text, &case_file.name, &beside)?;
    let folder = arguments.out.as_deref().map(|out| Folder::begin(out, arguments.overwrite)).transpose()?;
    let (whole, remedy) = judge(&read)?;
    let [prepared, checked, approved] = &recorded.names;
    let notes: Vec<String> = read.notes.iter().map(|n| n.remark()).collect();
    let outputs = Outputs {
        notes: &notes,
        case: &read.case,
        whole: &whole,
        remedy: remedy.as_ref(),
        dated: recorded.dated.as_deref(),
        sign_off: SignOff {
            prepared: prepared.as_deref(),
            checked: checked.as_deref(),
            approved: approved.as_deref(),
            files: &read.files,
        },
        bond_tests: &read.bond_tests,
        bolt_origins: &read.bolt_origins,
    };
    let files = outputs.files()?;
    interrupt::safe_point()?;
    let now = files.iter().find(|f| f.name == SUMMARY).map(|f| f.content.as_slice()).unwrap_or_default();
    let mut said = differences(&text, &String::from_utf8_lossy(now));
    let (same, changed) = tables_beside(summary, &files);
    said.extend(changed);
    if let Some(folder) = folder {
        terminal::set_aside(folder.fill(&files)?.as_deref());
    }
    say(&recorded, &said, &same, arguments.out.as_ref());
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
        io::ErrorKind::NotFound => not_ours("no such file; give the summary.json of a check"),
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
        return Err(not_ours("too large for the summary of a check"));
    }
    String::from_utf8(bytes).map_err(|_| not_ours("this is no UTF-8 text; give the summary.json of a check"))
}

/// The tables that stand beside the summary: those with the same bytes, and what is to be said of
/// the others. A table that is not there is no difference: the summary may travel alone.
fn tables_beside(summary: &Path, files: &[OutputFile]) -> (Vec<String>, Vec<String>) {
    let folder = summary.parent().unwrap_or(Path::new(""));
    let (mut same, mut changed) = (Vec::new(), Vec::new());
    for file in files.iter().filter(|f| f.name.ends_with(".csv")) {
        let Ok(bytes) = std::fs::read(folder.join(&file.name)) else { continue };
        if bytes == file.content {
            same.push(file.name.clone());
        } else {
            changed.push(format!(
                "{} beside the summary: {}",
                file.name,
                first_difference(&bytes, &file.content)
            ));
        }
    }
    (same, changed)
}

fn first_difference(there: &[u8], now: &[u8]) -> String {
    let lines = |bytes: &[u8]| -> Vec<Vec<u8>> { bytes.split(|b| *b == b'\n').map(<[u8]>::to_vec).collect() };
    let (there_lines, now_lines) = (lines(there), lines(now));
    let line = there_lines.iter().zip(&now_lines).position(|(a, b)| a != b);
    let line = line.unwrap_or(there_lines.len().min(now_lines.len())) + 1;
    format!(
        "differs from line {line} on (SHA-256 there {}, now {})",
        &sha256_hex(there)[..12],
        &sha256_hex(now)[..12]
    )
}

fn say(recorded: &Recorded, said: &[String], same: &[String], out: Option<&PathBuf>) {
    let hash = &recorded.inputs_sha256;
    if said.is_empty() {
        let beside = match same {
            [] => " No table stands beside it; the summary holds their hashes, and those are the same."
                .to_owned(),
            same => format!(" Beside it, with the same bytes: {}.", same.join(", ")),
        };
        terminal::result(&terminal::emphasis(&terminal::wrapped(&format!(
            "Reproduced byte for byte from the inputs in the summary.{beside}"
        ))));
    } else {
        terminal::result(&terminal::emphasis("Not the same as it was written:"));
        for line in said {
            terminal::result(&terminal::wrapped(&format!("- {line}")));
        }
    }
    terminal::result(&format!("Version {}. Inputs, SHA-256:\n{hash}", env!("CARGO_PKG_VERSION")));
    if let Some(out) = out {
        terminal::result(&format!("Written to {}.", out.display()));
    }
}
