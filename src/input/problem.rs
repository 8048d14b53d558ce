use std::fmt;

use serde::Serialize;
use thiserror::Error;

/// Problems beyond this many are counted, not listed: nobody reads more, and a file of garbage
/// stays cheap to refuse.
pub const LISTED_PROBLEMS: usize = 200;

/// Text that is quoted from a file is cut after this many characters.
const QUOTED_CHARS: usize = 60;

/// What sort of problem it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum ProblemKind {
    /// The machine said no: a disk or a permission. Nothing is wrong with the input.
    Machine,
    /// A file that is not there, or that is no text.
    File,
    /// The file is no TOML, or no table, at this place.
    Syntax,
    /// A value of the wrong type or out of its range.
    Value,
    /// A key or column that no table of its kind has.
    UnknownKey,
    /// A key, column or table that is required and not there.
    MissingKey,
    /// Values that make no sense together.
    Conflict,
    /// Worth knowing; the input can be used all the same.
    Note,
}

/// One problem of a file that was handed over, or of one that it names.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// What sort of problem it is.
    pub kind: ProblemKind,
    /// The file, as it was named.
    pub file: String,
    /// Line in the file, from 1; `None` where the file as a whole is meant.
    pub line: Option<usize>,
    /// Dotted path of the key, lists counted from 1: `joint_set[2].dip_deg`; the column of a table.
    /// Empty where the file or line as a whole is meant.
    pub key: String,
    /// What was found there.
    pub found: String,
    /// What is allowed there.
    pub allowed: String,
    /// What to do about it; may be empty.
    pub advice: String,
    /// Lines that may be pasted into the file and filled in.
    pub paste: Option<String>,
}

/// Three lines at most: where and what, what is allowed, what to do; then the lines to paste,
/// where there are any.
impl Problem {
    /// The problem as a remark on one line, for reports: without the file's name, which differs
    /// from place to place.
    #[must_use]
    pub fn remark(&self) -> String {
        let mut text = match self.line {
            Some(line) => format!("Case file, line {line}"),
            None => "Case file".to_owned(),
        };
        for part in [&self.key, &self.found, &self.advice] {
            if !part.is_empty() {
                text.push_str(": ");
                text.push_str(part);
            }
        }
        text.push('.');
        text
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:", self.file)?;
        if let Some(line) = self.line {
            write!(f, "{line}:")?;
        }
        if !self.key.is_empty() {
            write!(f, " {}:", self.key)?;
        }
        match self.kind {
            ProblemKind::Note => write!(f, " note: {}", self.found)?,
            _ => write!(f, " found {}", self.found)?,
        }
        if !self.allowed.is_empty() {
            write!(f, "\n  allowed: {}", self.allowed)?;
        }
        if !self.advice.is_empty() {
            write!(f, "\n  do: {}", self.advice)?;
        }
        if let Some(paste) = &self.paste {
            write!(f, "\n\n{paste}")?;
        }
        Ok(())
    }
}

/// Every problem of an input, in the order of the file; files that it names come after it.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.text())]
pub struct Problems {
    list: Vec<Problem>,
    unlisted: usize,
}

impl Problems {
    /// The problems, at least one, at most [`LISTED_PROBLEMS`].
    #[must_use]
    pub fn list(&self) -> &[Problem] {
        &self.list
    }

    /// How many more there are.
    #[must_use]
    pub fn unlisted(&self) -> usize {
        self.unlisted
    }

    /// Whether the input could not be judged because the machine refused to hand it over (disk,
    /// permission): exit status 3 instead of 2.
    #[must_use]
    pub fn machine_said_no(&self) -> bool {
        self.list.iter().any(|p| p.kind == ProblemKind::Machine)
    }

    fn text(&self) -> String {
        let mut lines: Vec<String> = self.list.iter().map(ToString::to_string).collect();
        if self.unlisted > 0 {
            lines.push(format!("… and {} more problems", self.unlisted));
        }
        lines.join("\n")
    }
}

/// Where something stands: which of the files that are read, and the line from 1. Line 0 means
/// the file as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(crate) struct Place {
    pub file: usize,
    pub line: usize,
}

impl Place {
    /// A line of the first file, for readers of one.
    pub fn line(line: usize) -> Self {
        Self { file: 0, line }
    }

    /// The first file as a whole.
    pub fn whole() -> Self {
        Self::default()
    }
}

/// What is said of a place.
#[derive(Debug, Clone, Default)]
pub(crate) struct Says {
    pub found: String,
    pub allowed: String,
    pub advice: String,
}

impl Says {
    pub fn new(found: impl Into<String>, allowed: impl Into<String>, advice: impl Into<String>) -> Self {
        Self { found: found.into(), allowed: allowed.into(), advice: advice.into() }
    }
}

/// Gathers problems and puts them in order.
#[derive(Debug, Default)]
pub(crate) struct Collector {
    files: Vec<String>,
    all: Vec<(Place, Problem)>,
    unlisted: usize,
}

impl Collector {
    /// For the problems of one file.
    pub fn of_file(name: &str) -> Self {
        let mut collector = Self::default();
        collector.file(name);
        collector
    }

    /// A further file; its number goes into places.
    pub fn file(&mut self, name: &str) -> usize {
        self.files.push(one_line(name, 4 * QUOTED_CHARS));
        self.files.len() - 1
    }

    pub fn file_name(&self, file: usize) -> &str {
        self.files.get(file).map_or("", String::as_str)
    }

    pub fn add(&mut self, kind: ProblemKind, place: Place, key: &str, says: Says) {
        self.add_with(kind, place, key, says, None);
    }

    pub fn add_with(
        &mut self,
        kind: ProblemKind,
        place: Place,
        key: &str,
        says: Says,
        paste: Option<String>,
    ) {
        // Twice the list, so that sorting does not lose the ones that come first in the file.
        if self.all.len() >= 2 * LISTED_PROBLEMS {
            self.unlisted += 1;
            return;
        }
        let problem = Problem {
            kind,
            file: self.file_name(place.file).to_owned(),
            line: (place.line > 0).then_some(place.line),
            key: key.to_owned(),
            found: says.found,
            allowed: says.allowed,
            advice: says.advice,
            paste,
        };
        // What an option shares with the case is looked at once for each of them.
        if !self.all.iter().any(|(at, there)| *at == place && *there == problem) {
            self.all.push((place, problem));
        }
    }

    /// How many problems there are that keep the input from being used.
    pub fn count(&self) -> usize {
        self.all.iter().filter(|(_, p)| p.kind != ProblemKind::Note).count()
    }

    /// Drops what does not stand up to `keep`.
    pub fn retain(&mut self, keep: impl Fn(Place, &Problem) -> bool) {
        self.all.retain(|(place, problem)| keep(*place, problem));
    }

    /// Problems and notes in order. Problems of one line stay in the order in which they were
    /// found.
    fn sorted(mut self) -> (Vec<Problem>, usize) {
        self.all.sort_by_key(|(place, _)| *place);
        (self.all.into_iter().map(|(_, problem)| problem).collect(), self.unlisted)
    }

    /// `Ok` with the value where nothing is wrong.
    pub fn finish<T>(self, value: T) -> Result<T, Problems> {
        if self.count() == 0 { Ok(value) } else { Err(self.problems()) }
    }

    /// What is worth knowing of an input without problems.
    pub fn notes(self) -> Vec<Problem> {
        self.sorted().0
    }

    /// What is wrong.
    pub fn problems(mut self) -> Problems {
        self.all.retain(|(_, p)| p.kind != ProblemKind::Note);
        let (mut list, unlisted) = self.sorted();
        let cut = list.len().saturating_sub(LISTED_PROBLEMS);
        list.truncate(LISTED_PROBLEMS);
        Problems { list, unlisted: unlisted + cut }
    }
}

/// A piece of a file as a message quotes it: one line, no control characters, not too long.
pub(crate) fn quoted(text: &str) -> String {
    format!("\"{}\"", one_line(text, QUOTED_CHARS))
}

/// As [`quoted`], without the quotation marks.
pub(crate) fn cited(text: &str) -> String {
    one_line(text, QUOTED_CHARS)
}

fn one_line(text: &str, most_chars: usize) -> String {
    let mut line: String =
        text.chars().take(most_chars).map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect();
    if text.chars().nth(most_chars).is_some() {
        line.push('…');
    }
    line
}
