use std::path::{Path, PathBuf};

use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome, SHORT};
use super::read::read;
use super::{date, interrupt, terminal};
use crate::case::ReadCase;
use crate::report;
use crate::study::{self, Remedy, Verdict, Whole};

/// Longest name of a person in the sign-off, characters.
const MOST_NAME: usize = 100;

/// Find every removable wedge of a drive, weigh it, and hold it against the bolt pattern.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The case file.
    #[arg(value_name = "CASE", required_unless_present = "again")]
    case: Option<PathBuf>,
    /// The folder to write tables, plots and page into, all or nothing.
    #[arg(long, value_name = "DIR", required_unless_present = "again")]
    pub(super) out: Option<PathBuf>,
    /// Set aside a folder that backhold did not write, instead of refusing.
    #[arg(long)]
    pub(super) overwrite: bool,
    /// Exit with status 1 when a wedge is short or not judged, or the surface support is short.
    #[arg(long)]
    strict: bool,
    /// Also search, wedge by wedge, for the widest spacings and the shortest bolts that hold it; takes
    /// many times as long.
    #[arg(long)]
    spacings: bool,
    /// Also search, wedge by wedge, for the piece of any size and place that joints, bolts, screen,
    /// shotcrete or the scaling bar carry least, from both sides: stricter than the verdicts.
    #[arg(long)]
    pieces: bool,
    /// A date to print in the outputs, such as 2026-11-25; none is printed otherwise.
    #[arg(long, value_name = "DATE", value_parser = date::parse)]
    dated: Option<String>,
    /// Who prepared the case, for the sign-off.
    #[arg(long, value_name = "NAME", value_parser = name)]
    prepared: Option<String>,
    /// Who checked it.
    #[arg(long, value_name = "NAME", value_parser = name)]
    checked: Option<String>,
    /// Who approved it.
    #[arg(long, value_name = "NAME", value_parser = name)]
    approved: Option<String>,
    /// Run again from the inputs in the summary.json of an earlier check, and say what differs.
    #[arg(
        long,
        value_name = "SUMMARY",
        conflicts_with_all = ["case", "strict", "dated", "prepared", "checked", "approved"]
    )]
    again: Option<PathBuf>,
}

impl Arguments {
    /// The summary to run again from, where one was given.
    pub(super) fn again(&self) -> Option<&Path> {
        self.again.as_deref()
    }
}

fn name(text: &str) -> Result<String, String> {
    let text = text.trim();
    if text.is_empty() || text.chars().count() > MOST_NAME || text.chars().any(char::is_control) {
        return Err(format!("a name of 1 to {MOST_NAME} characters on one line"));
    }
    Ok(text.to_owned())
}

/// All that is found of a case, and what would hold the worst wedge.
pub(super) fn judge(read: &ReadCase) -> Result<(Whole, Option<Remedy>), Failure> {
    let whole = study::check(&read.case)?;
    interrupt::safe_point()?;
    let remedy = whole.remedy(&read.case)?;
    interrupt::safe_point()?;
    Ok((whole, remedy))
}

/// Checks the case, writes the folder, and says the answer.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let (Some(case), Some(out)) = (&arguments.case, &arguments.out) else {
        return Err(Failure::Usage("give a case file and --out, or --again and a summary.json".into()));
    };
    let read = read(case)?;
    let folder = Folder::begin(out, arguments.overwrite)?;
    let (mut whole, remedy) = judge(&read)?;
    if arguments.spacings {
        whole.beside.widest = study::widest(&read.case, &whole.check)?;
        interrupt::safe_point()?;
    }
    if arguments.pieces {
        whole.beside.pieces = study::pieces(&read.case, &whole.check);
        interrupt::safe_point()?;
    }
    let notes: Vec<String> = read.notes.iter().map(|n| n.remark()).collect();
    let outputs = report::Outputs {
        notes: &notes,
        case: &read.case,
        whole: &whole,
        remedy: remedy.as_ref(),
        dated: arguments.dated.as_deref(),
        sign_off: report::SignOff {
            prepared: arguments.prepared.as_deref(),
            checked: arguments.checked.as_deref(),
            approved: arguments.approved.as_deref(),
            files: &read.files,
        },
        bond_tests: &read.bond_tests,
        bolt_origins: &read.bolt_origins,
    };
    let answer = outputs.answer();
    let set_aside = folder.fill(&outputs.files()?)?;
    say(&outputs, &answer, out);
    terminal::set_aside(set_aside.as_deref());
    let built = whole.as_built.iter().flat_map(|b| &b.wedges);
    let mut verdicts =
        whole.check.every().map(|w| w.decided.verdict).chain(built.map(|w| w.as_built_verdict));
    let all_held = verdicts.all(|verdict| verdict == Verdict::Held);
    let carried = whole.beside.surface.duty.iter().all(|row| row.verdict != Verdict::Short);
    let asked = |id: &str| whole.check.wedges.iter().find(|w| w.wedge.id == id)?.decided.criterion_fs;
    let pieces = whole.beside.pieces.iter().all(|p| p.verdict(asked(&p.wedge)) != Verdict::Short);
    Ok(if arguments.strict && !(all_held && carried && pieces) { SHORT } else { DONE })
}

fn say(outputs: &report::Outputs<'_>, answer: &str, out: &Path) {
    terminal::answer(answer);
    if let Some(table) = outputs.terminal_table() {
        terminal::table(&table);
    }
    terminal::lines(&outputs.terminal_lines());
    let more = if outputs.whole.as_built.is_some() {
        "\nas_built.csv, as_built_wedges.csv, as_built_bolts.csv, bolts_rejected.csv"
    } else {
        ""
    };
    terminal::result(&format!(
        "\nWritten to {}:\nreport.html, wedges.csv, bolt_demand.csv, bolts.csv, size_curve.csv, stages.csv,\nscreen_duty.csv, prisms.csv, advice.csv, {}summary.json, plots/{more}",
        out.display(),
        if outputs.case.criteria.scaling_up_to_m3.is_some() { "scaling.csv, " } else { "" }
    ));
    terminal::result(&terminal::wrapped(report::CAUTION_LINE));
}
