use super::common::{Common, Signed};
use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome, SHORT};
use super::progress::{Progress, announce};
use super::read::{read, remarks};
use super::{again, terminal};
use crate::case::ReadCase;
use crate::report::{CAUTION_LINE, CompareOutputs, NOT_ASKED};
use crate::study::{Compared, Variant, compare_counted};

/// What judging an option takes of what checking it does: no changes are tried, and little is drawn.
const OF_A_CHECK: f64 = 0.25;

/// Support options side by side on the same wedges: factors of safety, bolts, metres, minutes, cost.
/// The case file has an `[[option]]` for each choice beside the case itself.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
    /// Exit with status 1 when no option holds everything that is asked.
    #[arg(long, conflicts_with = "again")]
    strict: bool,
}

/// Compares the case with its options, writes the folder, and says which of them hold.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let common = &arguments.common;
    if let Some(summary) = &common.again {
        return again::run(summary, "compare", common, |read, _, signed| {
            found(read, signed, |outputs| Ok(outputs.files()?))
        });
    }
    let (case, out) = common.case_and_out()?;
    let read = read(case)?;
    if read.options.is_empty() {
        return Err(Failure::Usage(format!(
            "{}: found no [[option]]; add one for each choice that is to stand beside the case",
            case.display()
        )));
    }
    let folder = Folder::begin(out, common.overwrite)?;
    found(&read, &common.signed, |outputs| {
        let set_aside = folder.fill(&outputs.files()?)?;
        terminal::answer(&outputs.answer());
        terminal::table(&outputs.terminal_table());
        let below = outputs.below_the_answer().into_iter().chain(outputs.as_drawn_line());
        terminal::lines(&below.collect::<Vec<_>>());
        terminal::result(&format!(
            "\nWritten to {}:\ncompare.html, compare.csv, summary.json, plots/",
            out.display()
        ));
        terminal::result(&terminal::wrapped(NOT_ASKED));
        terminal::result(&terminal::wrapped(CAUTION_LINE));
        terminal::set_aside(set_aside.as_deref());
        let none_holds = !outputs.comparison.options.iter().any(Compared::holds);
        Ok(if arguments.strict && none_holds { SHORT } else { DONE })
    })
}

/// Compares, and hands over what its files need.
fn found<T>(
    read: &ReadCase,
    signed: &Signed,
    then: impl FnOnce(&CompareOutputs<'_>) -> Result<T, Failure>,
) -> Result<T, Failure> {
    let base = Variant { name: &read.base_option, case: &read.case, plan: &read.plan, changes: &[] };
    let mut variants = vec![base];
    variants.extend(read.options.iter().map(|o| Variant {
        name: &o.name,
        case: &o.case,
        plan: &o.plan,
        changes: &o.changes,
    }));
    announce(variants.iter().map(|v| v.case), OF_A_CHECK);
    let progress = Progress::begin("comparing options");
    let steps = progress.steps();
    let comparison = compare_counted(&variants, steps).map_err(|e| Failure::Usage(e.to_string()))?;
    steps.begin("drawing and writing", 0);
    then(&CompareOutputs {
        case: &read.case,
        comparison: &comparison,
        currency: read.plan.currency.as_deref(),
        notes: &remarks(read),
        sign_off: signed.of(&read.files),
        dated: signed.dated.as_deref(),
    })
}
