use std::path::Path;

use super::common::{Common, Signed};
use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome};
use super::read::{read, remarks};
use super::{again, terminal};
use crate::case::ReadCase;
use crate::report::{Asked, CAUTION_LINE, PLAN_CAUTION, PlanOutputs};
use crate::study::plan::{plan, plan_round, planned_collars};

/// What a crew brings, drills and sets for a length of drive, how long it takes and what it costs.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
    /// Metres of drive to plan.
    #[arg(
        long,
        value_name = "METRES",
        allow_negative_numbers = true,
        required_unless_present = "again",
        conflicts_with = "again"
    )]
    length_m: Option<f64>,
}

/// Plans the length and one round, writes the folder, and says the sum.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let common = &arguments.common;
    if let Some(summary) = &common.again {
        return again::run(summary, "plan", common, |read, asked, signed| {
            found(read, asked, signed, |outputs| Ok(outputs.files()?))
        });
    }
    let (case, out) = common.case_and_out()?;
    let read = read(case)?;
    let asked = Asked::Plan { length_m: arguments.length_m.unwrap_or(f64::NAN) };
    found(&read, &asked, &common.signed, |outputs| {
        let folder = Folder::begin(out, common.overwrite)?;
        let set_aside = folder.fill(&outputs.files()?)?;
        say(outputs, out);
        terminal::set_aside(set_aside.as_deref());
        Ok(DONE)
    })
}

/// Plans, and hands over what its files need.
fn found<T>(
    read: &ReadCase,
    asked: &Asked,
    signed: &Signed,
    then: impl FnOnce(&PlanOutputs<'_>) -> Result<T, Failure>,
) -> Result<T, Failure> {
    let length_m = match asked {
        Asked::Plan { length_m } => *length_m,
        _ => f64::NAN, // refused below, as any other length that is none
    };
    let whole =
        plan(&read.case, &read.plan, length_m).map_err(|e| Failure::Usage(format!("--length-m: {e}")))?;
    let refused = |e| Failure::Usage(format!("this case cannot be planned: {e}"));
    let round = plan_round(&read.case, &read.plan).map_err(refused)?;
    let collars = planned_collars(&read.case, &read.plan).map_err(refused)?;
    then(&PlanOutputs {
        case: &read.case,
        inputs: &read.plan,
        plan: &whole,
        round: &round,
        collars: &collars,
        notes: &remarks(read),
        sign_off: signed.of(&read.files),
        dated: signed.dated.as_deref(),
    })
}

fn say(outputs: &PlanOutputs<'_>, out: &Path) {
    terminal::answer(&outputs.answer());
    terminal::table(&outputs.terminal_table());
    terminal::lines(&outputs.terminal_lines());
    terminal::result(&format!(
        "\nWritten to {}:\nplan.html, plan.csv, collars.csv, tests.csv, summary.json, plots/",
        out.display()
    ));
    terminal::result(&terminal::wrapped(PLAN_CAUTION));
    terminal::result(&terminal::wrapped(CAUTION_LINE));
}
