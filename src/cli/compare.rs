use std::path::PathBuf;

use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome, SHORT};
use super::read::read;
use super::{date, interrupt, terminal};
use crate::report::{CAUTION_LINE, CompareOutputs, NOT_ASKED};
use crate::study::{Compared, Variant, compare};

/// Support options side by side on the same wedges: factors of safety, bolts, metres, minutes, cost.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The case file, with an `[[option]]` for each choice beside the case itself.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// The folder to write table, charts and page into, all or nothing.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Set aside a folder that backhold did not write, instead of refusing.
    #[arg(long)]
    overwrite: bool,
    /// Exit with status 1 when no option holds everything that is asked.
    #[arg(long)]
    strict: bool,
    /// A date to print in the outputs, such as 2026-11-25; none is printed otherwise.
    #[arg(long, value_name = "DATE", value_parser = date::parse)]
    dated: Option<String>,
}

/// Compares the case with its options, writes the folder, and says which of them hold.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let read = read(&arguments.case)?;
    if read.options.is_empty() {
        return Err(Failure::Usage(format!(
            "{}: found no [[option]]; add one for each choice that is to stand beside the case",
            arguments.case.display()
        )));
    }
    let folder = Folder::begin(&arguments.out, arguments.overwrite)?;
    let base = Variant { name: &read.base_option, case: &read.case, plan: &read.plan, changes: &[] };
    let mut variants = vec![base];
    variants.extend(read.options.iter().map(|o| Variant {
        name: &o.name,
        case: &o.case,
        plan: &o.plan,
        changes: &o.changes,
    }));
    let comparison = compare(&variants).map_err(|e| Failure::Usage(e.to_string()))?;
    interrupt::safe_point()?;
    let outputs = CompareOutputs {
        case: &read.case,
        comparison: &comparison,
        currency: read.plan.currency.as_deref(),
        files: &read.files,
        dated: arguments.dated.as_deref(),
    };
    let set_aside = folder.fill(&outputs.files()?)?;
    terminal::answer(&outputs.answer());
    terminal::table(&outputs.terminal_table());
    terminal::result(&format!(
        "\nWritten to {}:\ncompare.html, compare.csv, plots/",
        arguments.out.display()
    ));
    terminal::result(&terminal::wrapped(NOT_ASKED));
    terminal::result(&terminal::wrapped(CAUTION_LINE));
    terminal::set_aside(set_aside.as_deref());
    let none_holds = !comparison.options.iter().any(Compared::holds);
    Ok(if arguments.strict && none_holds { SHORT } else { DONE })
}
