use std::path::PathBuf;

use clap::CommandFactory;
use clap_complete::{Shell, generate};
use clap_mangen::Man;

use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome};
use super::terminal;
use crate::report::OutputFile;

/// Write manual pages, and completions for shells.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The folder to write into, all or nothing.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Set aside what backhold did not write, instead of refusing.
    #[arg(long)]
    overwrite: bool,
}

/// Writes the folder and says what is in it.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let out = &arguments.out;
    let folder = Folder::begin(out, arguments.overwrite)?;
    let failed = |error| Failure::machine("cannot write", out, error);
    let mut files = pages().map_err(failed)?;
    files.extend(completions());
    let set_aside = folder.fill(&files)?;
    terminal::result(&format!(
        "Written to {}:\nman/ (read one with man -l man/backhold.1), completions/ for {}",
        out.display(),
        shells().map(|shell| shell.to_string()).collect::<Vec<_>>().join(", ")
    ));
    terminal::set_aside(set_aside.as_deref());
    Ok(DONE)
}

fn shells() -> impl Iterator<Item = Shell> {
    [Shell::Bash, Shell::Elvish, Shell::Fish, Shell::PowerShell, Shell::Zsh].into_iter()
}

/// A page for the program and one for each of its commands.
fn pages() -> std::io::Result<Vec<OutputFile>> {
    let mut whole = super::Arguments::command();
    // Gives the commands their names as they are typed.
    whole.build();
    let commands = whole.get_subcommands().filter(|c| c.get_name() != "help").cloned();
    let mut files = Vec::new();
    for command in std::iter::once(whole.clone()).chain(commands) {
        let name = command.get_bin_name().unwrap_or(command.get_name()).replace(' ', "-");
        let mut content = Vec::new();
        let named: &'static str = Box::leak(name.clone().into_boxed_str());
        Man::new(command.name(named)).render(&mut content)?;
        files.push(OutputFile { name: format!("man/{name}.1"), content });
    }
    Ok(files)
}

fn completions() -> Vec<OutputFile> {
    let one = |shell: Shell| {
        let mut content = Vec::new();
        generate(shell, &mut super::Arguments::command(), "backhold", &mut content);
        OutputFile { name: format!("completions/backhold.{shell}"), content }
    };
    shells().map(one).collect()
}
