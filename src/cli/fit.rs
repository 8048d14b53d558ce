use std::path::PathBuf;

use super::common::{Common, Signed};
use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome, SHORT};
use super::progress::Progress;
use super::read::{read, remarks};
use super::write::{NewCase, ReadyCase, Wanted};
use super::{again, terminal};
use crate::case::{InPlace, ReadCase, Stock};
use crate::report::{CAUTION_LINE, FitOutputs, NOT_ASKED};
use crate::study::{FitError, fit_counted};

/// The cheapest and the quickest pattern of what the mine stocks that hold everything that is asked.
/// The case file has a `[stock]`.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
    /// Also write the case with the cheapest pattern that holds as a case file of its own, which check
    /// takes as it stands.
    #[arg(long, value_name = "FILE", conflicts_with = "again")]
    write: Option<PathBuf>,
    /// Exit with status 1 when nothing on stock holds everything.
    #[arg(long, conflicts_with = "again")]
    strict: bool,
}

/// Searches the stock, writes the folder, and says what fits.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let common = &arguments.common;
    if let Some(summary) = &common.again {
        return again::run(summary, "fit", common, |read, _, signed| {
            found(read, signed, "the case in the summary", |outputs| Ok(outputs.files()?))
        });
    }
    let (case, out) = common.case_and_out()?;
    let read = read(case)?;
    let name = case.display().to_string();
    stock(&read, &name)?;
    let target = arguments.write.as_deref();
    let place = target.map(|t| NewCase::at(t, case, &read, out, common.overwrite)).transpose()?;
    let folder = Folder::begin(out, common.overwrite)?;
    found(&read, &common.signed, &name, |outputs| {
        let cheapest = outputs.fit.efficient.first();
        let new_case = place.zip(cheapest).map(|(place, cheapest)| {
            let wanted = Wanted {
                put: InPlace::Stock(&cheapest.from_stock(outputs.stock)),
                words: "the cheapest pattern of its [stock] that holds everything asked",
                case: &cheapest.case,
                plan: &cheapest.plan(&read.plan, outputs.stock),
                dated: outputs.dated,
            };
            place.ready(&read, &wanted)
        });
        let new_case = new_case.transpose()?;
        let set_aside = folder.fill(&outputs.files()?)?;
        let case_set_aside = new_case.map(ReadyCase::finish).transpose()?.flatten();
        terminal::answer(&outputs.answer());
        terminal::table(&outputs.terminal_table());
        let off = outputs.as_drawn_line().into_iter().chain(outputs.doubled_line());
        terminal::lines(&outputs.below_the_answer().into_iter().chain(off).collect::<Vec<_>>());
        terminal::result(&format!(
            "\nWritten to {}:\nfit.html, fit.csv, summary.json, plots/",
            out.display()
        ));
        let nothing_written = target.filter(|_| cheapest.is_none());
        terminal::new_case(target.filter(|_| cheapest.is_some()));
        if let Some(file) = nothing_written {
            terminal::result(&terminal::wrapped(&format!(
                "{} is not written: nothing on stock holds everything.",
                file.display()
            )));
        }
        terminal::result(&terminal::wrapped(NOT_ASKED));
        terminal::result(&terminal::wrapped(CAUTION_LINE));
        terminal::set_aside(set_aside.as_deref());
        terminal::set_aside(case_set_aside.as_deref());
        let short = (arguments.strict && cheapest.is_none()) || nothing_written.is_some();
        Ok(if short { SHORT } else { DONE })
    })
}

/// Why the stock cannot be searched; of a price that is missing, where in the case prices stand.
fn refused(error: &FitError, read: &ReadCase, case: &str) -> Failure {
    let line_of = |table: &str| read.text.lines().position(|line| line.trim_start().starts_with(table));
    let at =
        ["[plan.price]", "[plan]", "[stock]"].iter().find_map(|table| Some((table, line_of(table)? + 1)));
    match (error, at) {
        (FitError::NoPrice { .. }, Some((table, line))) => Failure::Usage(format!(
            "{case}:{line}: {table}: {error}\n  do: bolts have prices in [[stock.bolt]], plates price_per_plate in [[bolt]], everything else stands in [plan.price]"
        )),
        _ => Failure::Usage(format!("{case}: {error}")),
    }
}

fn stock<'r>(read: &'r ReadCase, case: &str) -> Result<&'r Stock, Failure> {
    read.stock.as_ref().ok_or_else(|| {
        Failure::Usage(format!(
            "{case}: found no [stock]; add one with the bolts, spacings and coverages that may be chosen"
        ))
    })
}

/// Searches, and hands over what its files need.
fn found<T>(
    read: &ReadCase,
    signed: &Signed,
    case: &str,
    then: impl FnOnce(&FitOutputs<'_>) -> Result<T, Failure>,
) -> Result<T, Failure> {
    let stock = stock(read, case)?;
    let progress = Progress::begin("searching the stock");
    let steps = progress.steps();
    let fit = fit_counted(&read.case, &read.plan, stock, steps).map_err(|e| refused(&e, read, case))?;
    steps.begin("drawing and writing", 0);
    then(&FitOutputs {
        case: &read.case,
        stock,
        fit: &fit,
        currency: read.plan.currency.as_deref(),
        notes: &remarks(read),
        sign_off: signed.of(&read.files),
        dated: signed.dated.as_deref(),
    })
}
