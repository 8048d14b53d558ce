use std::fs::OpenOptions;
use std::io::{ErrorKind, Write as _};
use std::path::PathBuf;

use super::{DONE, Failure, Outcome, terminal};
use crate::case::TEMPLATE;

/// Write a commented case to start from; it runs as it is.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Where to write it.
    #[arg(value_name = "FILE", default_value = "case.toml")]
    file: PathBuf,
}

/// Writes the template; a file that is already there is left alone.
pub fn run(arguments: &Arguments) -> Outcome {
    let path = &arguments.file;
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(|error| {
        if error.kind() == ErrorKind::AlreadyExists {
            Failure::Usage(format!("{}: this file is already there; give another name", path.display()))
        } else {
            Failure::machine("cannot write", path, error)
        }
    })?;
    file.write_all(TEMPLATE.as_bytes()).map_err(|e| Failure::machine("cannot write", path, e))?;
    terminal::result(&format!(
        "{} is written. Its data are invented: put in your own, then run\n\n    backhold check {} --out out",
        path.display(),
        path.display()
    ));
    Ok(DONE)
}
