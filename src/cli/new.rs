use std::fs::OpenOptions;
use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use super::outcome::{DONE, Failure, Outcome};
use super::{interrupt, terminal};
use crate::case::TEMPLATE;
use crate::survey::SURVEY_TEMPLATE;

/// Write a commented case to start from, and a survey when asked; both run as they are.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Where to write the case.
    #[arg(value_name = "FILE", default_value = "case.toml")]
    file: PathBuf,
    /// Where to write a survey as well, for `backhold map`.
    #[arg(long, value_name = "SURVEY")]
    survey: Option<PathBuf>,
}

/// Writes the templates; a file that is already there is left alone, and nothing is written then.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let case = &arguments.file;
    let mut files: Vec<(&Path, &str)> = vec![(case, TEMPLATE)];
    files.extend(arguments.survey.as_deref().map(|path| (path, SURVEY_TEMPLATE)));
    let there: Vec<String> = files
        .iter()
        .filter(|(path, _)| path.symlink_metadata().is_ok())
        .map(|(path, _)| already(path))
        .collect();
    if !there.is_empty() {
        return Err(Failure::Usage(there.join("\n")));
    }
    if arguments.survey.as_ref() == Some(case) {
        return Err(Failure::Usage(format!("--survey {}: case and survey need a name each", case.display())));
    }
    for (path, text) in files {
        write(path, text)?;
    }
    let (name, out) = (case.display(), "out");
    let mut said = format!("{name} is written. Its data are invented: put in your own, then run\n");
    if let Some(survey) = &arguments.survey {
        said = format!(
            "{name} and {} are written. Their data are invented: put in your own, then run\n\n    \
             backhold map {} --out sets\n\nand put the sets into the case, or name them in it: its \
             comments say how. Then run\n",
            survey.display(),
            survey.display()
        );
    }
    terminal::result(&format!("{said}\n    backhold check {name} --out {out}"));
    Ok(DONE)
}

fn already(path: &Path) -> String {
    format!("{}: this file is already there; give another name", path.display())
}

fn write(path: &Path, text: &str) -> Result<(), Failure> {
    let mut on_disk = interrupt::undisturbed();
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(|error| {
        if error.kind() == ErrorKind::AlreadyExists {
            Failure::Usage(already(path))
        } else {
            Failure::machine("cannot write", path, error)
        }
    })?;
    file.write_all(text.as_bytes()).map_err(|e| Failure::machine("cannot write", path, e))?;
    on_disk.is_whole(path, path);
    Ok(())
}
