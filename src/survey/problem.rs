use std::fmt;

use thiserror::Error;

/// One thing that keeps a file from being read: where it stands, what was found, what is
/// allowed, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// The file's name as the caller gave it.
    pub file: String,
    /// Line in the file, counted from 1, where there is one.
    pub line: Option<usize>,
    /// The column's header, where the problem is in one.
    pub column: Option<String>,
    /// What was found there.
    pub found: String,
    /// What would have been allowed.
    pub allowed: String,
    /// The next step.
    pub help: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if let Some(line) = self.line {
            write!(f, ", line {line}")?;
        }
        if let Some(column) = &self.column {
            write!(f, ", column {column}")?;
        }
        write!(f, ": found {}; allowed: {}", self.found, self.allowed)?;
        if !self.help.is_empty() {
            write!(f, ". {}", self.help)?;
        }
        Ok(())
    }
}

/// Everything that keeps a file from being read, all at once, in the order of the file.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
pub struct Problems(pub Vec<Problem>);

/// Gathers problems of one file.
#[derive(Debug)]
pub(crate) struct Collector {
    file: String,
    problems: Vec<Problem>,
}

impl Collector {
    pub(crate) fn new(file: &str) -> Self {
        Self { file: file.to_owned(), problems: Vec::new() }
    }

    pub(crate) fn add(
        &mut self,
        line: Option<usize>,
        column: Option<&str>,
        found: impl Into<String>,
        allowed: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.problems.push(Problem {
            file: self.file.clone(),
            line,
            column: column.map(str::to_owned),
            found: found.into(),
            allowed: allowed.into(),
            help: help.into(),
        });
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.problems.is_empty()
    }

    /// `Ok` with the value when nothing was gathered.
    pub(crate) fn finish<T>(self, value: T) -> Result<T, Problems> {
        if self.problems.is_empty() { Ok(value) } else { Err(Problems(self.problems)) }
    }
}
