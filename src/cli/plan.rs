use std::path::PathBuf;

use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome};
use super::read::read;
use super::{date, interrupt, terminal};
use crate::report::{CAUTION_LINE, PLAN_CAUTION, PlanOutputs};
use crate::study::plan::{plan, planned_collars};

/// What a crew brings, drills and sets for a length of drive, how long it takes and what it costs.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The case file.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// Metres of drive to plan.
    #[arg(long, value_name = "METRES", allow_negative_numbers = true)]
    length_m: f64,
    /// The folder to write tables, drawing and page into, all or nothing.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Set aside a folder that backhold did not write, instead of refusing.
    #[arg(long)]
    overwrite: bool,
    /// A date to print in the outputs, such as 2026-11-25; none is printed otherwise.
    #[arg(long, value_name = "DATE", value_parser = date::parse)]
    dated: Option<String>,
}

/// Plans the length and one round, writes the folder, and says the sum.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let read = read(&arguments.case)?;
    let whole = plan(&read.case, &read.plan, arguments.length_m)
        .map_err(|e| Failure::Usage(format!("--length-m: {e}")))?;
    let refused = |e| Failure::Usage(format!("this case cannot be planned: {e}"));
    let round = plan(&read.case, &read.plan, read.case.round_length_m).map_err(refused)?;
    let collars = planned_collars(&read.case, &read.plan).map_err(refused)?;
    let folder = Folder::begin(&arguments.out, arguments.overwrite)?;
    interrupt::safe_point()?;
    let outputs = PlanOutputs {
        case: &read.case,
        inputs: &read.plan,
        plan: &whole,
        round: &round,
        collars: &collars,
        files: &read.files,
        dated: arguments.dated.as_deref(),
    };
    let files = outputs.files()?;
    let set_aside = folder.fill(&files)?;
    say(&outputs, arguments);
    terminal::set_aside(set_aside.as_deref());
    Ok(DONE)
}

fn say(outputs: &PlanOutputs<'_>, arguments: &Arguments) {
    terminal::answer(&outputs.answer());
    terminal::table(&outputs.terminal_table());
    terminal::lines(&outputs.terminal_lines());
    terminal::result(&format!(
        "\nWritten to {}:\nplan.html, plan.csv, collars.csv, tests.csv, plots/",
        arguments.out.display()
    ));
    terminal::result(&terminal::wrapped(PLAN_CAUTION));
    terminal::result(&terminal::wrapped(CAUTION_LINE));
}
