use super::common::{Common, Signed};
use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome, SHORT};
use super::progress::{Progress, announce};
use super::read::{read, remarks};
use super::{again, terminal};
use crate::case::{Case, Heading, ReadCase};
use crate::orientation::Line;
use crate::report::{Asked, CAUTION_LINE, NOT_ASKED, TurnOutputs};
use crate::study::{TurnDraws, Verdict, directions, turn_counted};

/// What judging a direction takes of what checking it does: no changes are tried, and nothing is drawn.
const OF_A_CHECK: f64 = 0.25;
/// Step between directions without a switch, degrees.
const STEP_DEG: f64 = 10.0;
/// Steps that are taken, degrees.
const STEPS_DEG: [f64; 2] = [1.0, 90.0];
/// Plunges at most: as many as the chart has lines for.
const MOST_PLUNGES: usize = 6;
/// Draws of a direction at most: at the slowest some hours each.
const MOST_DRAWS: u64 = 10_000_000;

/// The same drive in every other direction, or in those of a mine plan: which one meets the joints best, and where
/// this support is not enough. A case that names a table of headings (headings = "headings.csv") is asked for those.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
    /// Degrees between directions, 1 to 90; 10 without this switch. Asks for all directions where the case names
    /// headings.
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true, conflicts_with = "again")]
    step_deg: Option<f64>,
    /// Plunge of the drives that are tried, degrees, positive down; the case's own without this switch. May be given
    /// up to 6 times.
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true, conflicts_with = "again")]
    plunge_deg: Vec<f64>,
    /// How likely a wedge is short, too, where the case's numbers scatter: so many draws of every direction, as
    /// chance draws them, the same ground in each.
    #[arg(long, value_name = "N", conflicts_with = "again")]
    draws: Option<u64>,
    /// Judge so many of the first draws of every direction as a check does, every piece with collars off their place:
    /// a second or so each.
    #[arg(long, value_name = "N", requires = "draws", conflicts_with = "again")]
    judged: Option<u64>,
    /// What fixes the draws; 1 when absent.
    #[arg(long, value_name = "NUMBER", requires = "draws", conflicts_with = "again")]
    seed: Option<u64>,
    /// Exit with status 1 when the drive as it lies, or a heading of the plan, does not hold everything that is asked.
    #[arg(long, conflicts_with = "again")]
    strict: bool,
}

/// Turns the drive, writes the folder, and says which directions hold.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let common = &arguments.common;
    if let Some(summary) = &common.again {
        return again::run(summary, "turn", common, |read, asked, signed| {
            found(read, asked, signed, |outputs| Ok(outputs.files()?))
        });
    }
    let (case, out) = common.case_and_out()?;
    let read = read(case)?;
    let asked = asked(arguments, &read)?;
    let folder = Folder::begin(out, common.overwrite)?;
    found(&read, &asked, &common.signed, |outputs| {
        let set_aside = folder.fill(&outputs.files()?)?;
        terminal::answer(&outputs.answer());
        terminal::table(&outputs.terminal_table());
        terminal::lines(&outputs.terminal_lines());
        terminal::result(&format!(
            "\nWritten to {}:\nturn.html, turn.csv, summary.json, plots/",
            out.display()
        ));
        terminal::result(&terminal::wrapped(NOT_ASKED));
        terminal::result(&terminal::wrapped(CAUTION_LINE));
        terminal::set_aside(set_aside.as_deref());
        let planned = outputs.turn.others.iter().filter(|t| t.heading.name.is_some());
        let all_hold = planned.chain([&outputs.turn.own]).all(|t| t.verdict() == Verdict::Held);
        Ok(if arguments.strict && !all_hold { SHORT } else { DONE })
    })
}

/// What the switches ask of this case.
fn asked(arguments: &Arguments, read: &ReadCase) -> Result<Asked, Failure> {
    let Arguments { step_deg, plunge_deg, draws, seed, judged, .. } = arguments;
    let mut wrong = Vec::new();
    let [least, most] = STEPS_DEG;
    if let Some(step) = step_deg.filter(|step| !(least..=most).contains(step)) {
        wrong.push(format!("--step-deg {step}: {least} to {most} degrees"));
    }
    for plunge in plunge_deg.iter().filter(|plunge| !(-90.0..=90.0).contains(*plunge)) {
        wrong.push(format!("--plunge-deg {plunge}: -90 to 90 degrees, positive down"));
    }
    if plunge_deg.len() > MOST_PLUNGES {
        wrong.push(format!("--plunge-deg {} times: at most {MOST_PLUNGES}", plunge_deg.len()));
    }
    for (at, plunge) in plunge_deg.iter().enumerate() {
        if plunge_deg[..at].contains(plunge) {
            wrong.push(format!("--plunge-deg {plunge} twice: each once"));
        }
    }
    if let Some(draws) = draws.filter(|draws| !(1..=MOST_DRAWS).contains(draws)) {
        wrong.push(format!("--draws {draws}: 1 to {MOST_DRAWS} of each direction"));
    }
    if let Some((judged, draws)) = judged.zip(draws.filter(|draws| (1..=MOST_DRAWS).contains(draws)))
        && !(1..=draws).contains(&judged)
    {
        wrong.push(format!(
            "--judged {judged}: 1 to {draws}, the draws of each direction; give fewer, or more --draws"
        ));
    }
    if !wrong.is_empty() {
        return Err(Failure::Usage(wrong.join("\n")));
    }
    let by_plan = step_deg.is_none() && plunge_deg.is_empty() && !read.headings.is_empty();
    Ok(Asked::Turn {
        step_deg: (!by_plan).then(|| step_deg.unwrap_or(STEP_DEG)),
        plunges_deg: plunge_deg.clone(),
        draws: draws.map(|draws| (draws, seed.unwrap_or(1))),
        judged: judged.unwrap_or(0),
    })
}

/// Turns, and hands over what its files need.
fn found<T>(
    read: &ReadCase,
    asked: &Asked,
    signed: &Signed,
    then: impl FnOnce(&TurnOutputs<'_>) -> Result<T, Failure>,
) -> Result<T, Failure> {
    let headings: Vec<Heading> = match asked {
        Asked::Turn { step_deg: Some(step_deg), plunges_deg, .. } if plunges_deg.is_empty() => {
            directions(*step_deg, &[read.case.advance.plunge_deg])
        }
        Asked::Turn { step_deg: Some(step_deg), plunges_deg, .. } => directions(*step_deg, plunges_deg),
        _ => read.headings.clone(),
    };
    let towards = |advance: Line| Case { advance, ..read.case.clone() };
    let cases: Vec<Case> = headings.iter().map(|h| towards(h.advance)).collect();
    announce(&cases, OF_A_CHECK);
    let progress = Progress::begin("judging directions");
    let steps = progress.steps();
    let draws = match *asked {
        Asked::Turn { draws: Some((draws, seed)), judged, .. } => {
            Some(TurnDraws { scatter: &read.scatter, draws, seed, judged })
        }
        _ => None,
    };
    let turn = turn_counted(&read.case, &headings, draws.as_ref(), steps);
    let turn = turn.map_err(|e| Failure::Usage(e.to_string()))?;
    steps.begin("drawing and writing", 0);
    then(&TurnOutputs {
        case: &read.case,
        turn: &turn,
        asked,
        notes: &remarks(read),
        sign_off: signed.of(&read.files),
        dated: signed.dated.as_deref(),
    })
}
