use std::path::PathBuf;

use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome, SHORT};
use super::read::read;
use super::{date, interrupt, terminal};
use crate::report::{CAUTION_LINE, FitOutputs};
use crate::study::fit;

/// The cheapest and the quickest pattern of what the mine stocks that hold everything that is asked.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The case file, with a `[stock]`.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// The folder to write table, chart and page into, all or nothing.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Set aside a folder that backhold did not write, instead of refusing.
    #[arg(long)]
    overwrite: bool,
    /// Exit with status 1 when nothing on stock holds everything.
    #[arg(long)]
    strict: bool,
    /// A date to print in the outputs, such as 2026-11-25; none is printed otherwise.
    #[arg(long, value_name = "DATE", value_parser = date::parse)]
    dated: Option<String>,
}

/// Searches the stock, writes the folder, and says what fits.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let read = read(&arguments.case)?;
    let Some(stock) = &read.stock else {
        return Err(Failure::Usage(format!(
            "{}: found no [stock]; add one with the bolts, spacings and coverages that may be chosen",
            arguments.case.display()
        )));
    };
    let folder = Folder::begin(&arguments.out, arguments.overwrite)?;
    let found = fit(&read.case, &read.plan, stock)
        .map_err(|e| Failure::Usage(format!("{}: {e}", arguments.case.display())))?;
    interrupt::safe_point()?;
    let outputs = FitOutputs {
        case: &read.case,
        stock,
        fit: &found,
        currency: read.plan.currency.as_deref(),
        files: &read.files,
        dated: arguments.dated.as_deref(),
    };
    let set_aside = folder.fill(&outputs.files()?)?;
    terminal::answer(&outputs.answer());
    terminal::table(&outputs.terminal_table());
    terminal::result(&format!("\nWritten to {}:\nfit.html, fit.csv, plots/", arguments.out.display()));
    terminal::result(&terminal::wrapped(CAUTION_LINE));
    terminal::set_aside(set_aside.as_deref());
    Ok(if arguments.strict && found.efficient.is_empty() { SHORT } else { DONE })
}
