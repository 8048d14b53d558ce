//! The command line: arguments, files and words. No mechanics.
//!
//! Exit status: 0 done; 1 done, and with `--strict` a wedge is short or not judged, or with `--again`
//! something differs; 2 bad input or usage; 3 the machine said no; 130 interrupted, 143 and 129 ended by
//! the system or with its terminal.

mod again;
mod chance;
mod check;
mod common;
mod compare;
mod date;
mod each;
mod explain;
mod fit;
mod folder;
mod interrupt;
mod manual;
mod map;
mod new;
mod outcome;
mod plan;
mod progress;
mod read;
mod terminal;
mod turn;
mod verdict;
mod write;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use outcome::{BAD_INPUT, DONE, MACHINE};

/// Does the bolt pattern hold the back? Finds the rock wedges that joints can release into a mine
/// drive, weighs them, and says by how much the bolts hold them.
#[derive(Debug, Parser)]
#[command(name = "backhold", version, max_term_width = 100, after_help = AFTER_HELP)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

const AFTER_HELP: &str = "Exit status: 0 done; 1 done, and with --strict a wedge is short or not judged, at any stage, or \
nothing compared or on stock holds, or with --again something differs; 2 bad input or usage; 3 the machine said no (disk, permission); 130 interrupted, 143 ended by the system.\n\nThe output needs the judgement of a \
competent person; mine standards, local codes and licensed practice come first.";

#[derive(Debug, Subcommand)]
enum Command {
    New(new::Arguments),
    Map(map::Arguments),
    Check(check::Arguments),
    Verdict(verdict::Arguments),
    Chance(chance::Arguments),
    Explain(explain::Arguments),
    Plan(plan::Arguments),
    Compare(compare::Arguments),
    Fit(fit::Arguments),
    Turn(turn::Arguments),
    Manual(manual::Arguments),
}

/// Parses the arguments, runs the command, writes what it says, and returns the exit status.
#[must_use]
pub fn run() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version are answers, not mistakes; clap knows which stream and status.
            let status = if error.use_stderr() { BAD_INPUT } else { DONE };
            let _ = error.print();
            return ExitCode::from(status);
        }
    };
    interrupt::watch();
    let outcome = match arguments.command {
        Command::New(arguments) => new::run(&arguments),
        Command::Map(arguments) => map::run(&arguments),
        Command::Check(arguments) => check::run(&arguments),
        Command::Verdict(arguments) => verdict::run(&arguments),
        Command::Chance(arguments) => chance::run(&arguments),
        Command::Explain(arguments) => explain::run(&arguments),
        Command::Plan(arguments) => plan::run(&arguments),
        Command::Compare(arguments) => compare::run(&arguments),
        Command::Fit(arguments) => fit::run(&arguments),
        Command::Turn(arguments) => turn::run(&arguments),
        Command::Manual(arguments) => manual::run(&arguments),
    };
    match outcome {
        Ok(_) if terminal::unwritten() => {
            terminal::message("the results could not be written to standard output");
            ExitCode::from(MACHINE)
        }
        Ok(status) => ExitCode::from(status),
        Err(failure) => {
            terminal::message(&failure.to_string());
            ExitCode::from(failure.status())
        }
    }
}
