//! The `backhold` command: everything is in [`backhold::cli`].

use std::process::ExitCode;

fn main() -> ExitCode {
    backhold::cli::run()
}
