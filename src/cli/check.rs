use std::path::{Path, PathBuf};

use super::folder::Folder;
use super::{DONE, Failure, Outcome, SHORT, again, date, interrupt, terminal};
use crate::case::{ReadCase, read_case};
use crate::report::paper::numbers;
use crate::report::{self, words};
use crate::study::{self, CheckedWedge, Remedy, Verdict, Whole};
use crate::support::none_works;

/// Longest name of a person in the sign-off, characters.
const MOST_NAME: usize = 100;

/// Find every removable wedge of a drive, weigh it, and hold it against the bolt pattern.
#[derive(Debug, clap::Args)]
pub struct Arguments {
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

fn name(text: &str) -> Result<String, String> {
    let text = text.trim();
    if text.is_empty() || text.chars().count() > MOST_NAME || text.chars().any(char::is_control) {
        return Err(format!("a name of 1 to {MOST_NAME} characters on one line"));
    }
    Ok(text.to_owned())
}

/// All that is found of a case, and what would hold the worst wedge.
pub(super) fn judge(read: &ReadCase) -> Result<(Whole, Option<Remedy>), Failure> {
    let whole = study::whole(&read.case)?;
    interrupt::safe_point()?;
    let remedy = whole.remedy(&read.case)?;
    interrupt::safe_point()?;
    Ok((whole, remedy))
}

/// Checks the case, writes the folder, and says the answer.
pub fn run(arguments: &Arguments) -> Outcome {
    if let Some(summary) = &arguments.again {
        return again::run(summary, arguments);
    }
    let (Some(case), Some(out)) = (&arguments.case, &arguments.out) else {
        return Err(Failure::Usage("give a case file and --out, or --again and a summary.json".into()));
    };
    let read = read_case(case)?;
    say_notes(&read);
    let folder = Folder::begin(out, arguments.overwrite)?;
    let (mut whole, remedy) = judge(&read)?;
    if arguments.spacings {
        whole.beside.widest = study::widest(&read.case, &whole.check)?;
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
    say(&read, &whole, &answer, out);
    terminal::set_aside(set_aside.as_deref());
    let built = whole.as_built.iter().flat_map(|b| &b.wedges);
    let mut verdicts = whole.check.every().map(|w| w.verdict).chain(built.map(|w| w.as_built_verdict));
    let all_held = verdicts.all(|verdict| verdict == Verdict::Held);
    let carried = whole.beside.surface.duty.iter().all(|row| row.verdict != Verdict::Short);
    Ok(if arguments.strict && !(all_held && carried) { SHORT } else { DONE })
}

/// What the case file made the reader wonder about.
pub(super) fn say_notes(read: &ReadCase) {
    for note in &read.notes {
        terminal::message(&note.to_string());
    }
}

fn say(read: &ReadCase, whole: &Whole, answer: &str, out: &Path) {
    let Whole { check: checked, sizes, beside, .. } = whole;
    terminal::result(&terminal::emphasis(&terminal::wrapped(answer)));
    if checked.every().next().is_some() {
        let header = [
            "wedge",
            "surfaces",
            "mode",
            "m³",
            "kN",
            "FS bare",
            "FS bolted",
            "asked",
            "verdict",
            "uncapped m³/FS",
        ];
        let right = ["m³", "kN", "FS bare", "FS bolted", "asked"];
        let capped = checked.every().any(|w| !w.limited_by.is_empty());
        let columns = if capped { header.len() } else { header.len() - 1 };
        let rows: Vec<Vec<String>> =
            checked.every().map(|w| row(w).into_iter().take(columns).collect()).collect();
        terminal::result(&format!("\n{}", terminal::table(&header[..columns], &rows, &right)));
    }
    let mut after = Vec::new();
    let lacking: Vec<String> = checked
        .every()
        .filter(|w| w.verdict == Verdict::Short)
        .map(|w| format!("{} by {} kN", w.id, numbers::kn(w.force_lacking_kn())))
        .collect();
    if !lacking.is_empty() {
        after.push(format!("Short: {}.", lacking.join(", ")));
    }
    let marked = |mark: &str| checked.every().any(|w| bolt_mark(w) == mark);
    if marked(UNCROSSED) {
        after.push(format!("{UNCROSSED} {}.", report::NO_BOLT));
    }
    for wedge in checked.wedges.iter().filter(|w| w.rotation_decides()) {
        if let Some(rotation) = wedge.fs_rotation {
            after.push(format!(
                "{}: with moments in balance FS {}: its bolts stand off its centre.",
                wedge.id,
                numbers::factor(rotation)
            ));
        }
    }
    if marked(IDLE) {
        after.push(format!("{IDLE} {}.", report::IDLE_BOLTS));
    }
    // Where moments or collars off their place give less, no size decides.
    let other = |w: &CheckedWedge| w.tolerance_decides() || w.rotation_decides();
    for wedge in &checked.wedges {
        if let Some(g) = wedge.governing.as_ref().filter(|g| g.is_smaller && !other(wedge)) {
            after.push(format!(
                "{}: FS {} at {} m³ decides, a smaller wedge than the largest.",
                wedge.id,
                numbers::factor(g.size.fs_bolted),
                numbers::volume(g.size.volume_m3)
            ));
        }
    }
    after.extend(report::located_lines(&read.case, checked));
    after.extend(report::unbolted_ground(sizes));
    after.extend(report::off_their_place(&read.case, checked));
    after.extend(report::one_missing(checked));
    if checked.left_out > 0 {
        after.push(format!("Removable wedges below 1 litre, left out: {}.", checked.left_out));
    }
    for bolt in &read.case.bolts {
        let source = bolt.source.as_deref().unwrap_or(words::NO_SOURCE);
        after.push(format!("Capacities of {}: {source}.", bolt.name));
    }
    for support in &read.case.surface_support {
        let source = support.source.as_deref().unwrap_or(words::NO_SOURCE);
        after.push(format!("Capacities of {}: {source}.", support.name));
    }
    let is_short = |id: &str| checked.wedges.iter().any(|w| w.id == id && w.verdict == Verdict::Short);
    for shared in beside.surface.shared.iter().filter(|s| s.capacity_kn > 0.0 && is_short(&s.wedge)) {
        after.push(format!(
            "{}: with surface support added once to the bolts FS {}; it decides nothing.",
            shared.wedge,
            numbers::factor(shared.fs)
        ));
    }
    after.extend(report::scan_lines(&read.case));
    after.extend(checked.warnings.iter().map(|w| format!("Note: {w}.")));
    if !after.is_empty() {
        let text: Vec<String> = after.iter().map(|line| terminal::wrapped(line)).collect();
        terminal::result(&format!("\n{}", text.join("\n")));
    }
    let more = if whole.as_built.is_some() {
        "\nas_built.csv, as_built_wedges.csv, as_built_bolts.csv, bolts_rejected.csv"
    } else {
        ""
    };
    terminal::result(&format!(
        "\nWritten to {}:\nreport.html, wedges.csv, bolt_demand.csv, bolts.csv, size_curve.csv, stages.csv,\nscreen_duty.csv, prisms.csv, advice.csv, {}summary.json, plots/{more}",
        out.display(),
        if read.case.criteria.scaling_up_to_m3.is_some() { "scaling.csv, " } else { "" }
    ));
    terminal::result(&terminal::wrapped(words::CAUTION_LINE));
}

/// Stands behind the factor of a wedge that no bolt crosses.
const UNCROSSED: &str = "*";
/// Stands behind the factor of a wedge whose bolts carry nothing.
const IDLE: &str = "†";

fn bolt_mark(wedge: &CheckedWedge) -> &'static str {
    match wedge.serving() {
        Some([]) => UNCROSSED,
        Some(serving) if none_works(serving) => IDLE,
        _ => "",
    }
}

fn row(wedge: &CheckedWedge) -> Vec<String> {
    let surfaces: Vec<&str> = wedge.surfaces.iter().map(|s| s.name()).collect();
    let uncapped = match wedge.fs_bolted_uncapped {
        _ if wedge.limited_by.is_empty() => String::new(),
        Some(fs) => format!("{:.2}/{}", wedge.volume_uncapped_m3, numbers::factor(fs)),
        None => format!("{:.2}", wedge.volume_uncapped_m3),
    };
    vec![
        wedge.id.clone(),
        surfaces.join(", "),
        wedge.stability.motion.mode.name().into(),
        numbers::fixed(wedge.shape.volume_m3, 3),
        numbers::fixed(wedge.weight_kn, 2),
        numbers::factor(wedge.fs_bare),
        wedge.fs_bolted.map(|fs| numbers::factor(fs) + bolt_mark(wedge)).unwrap_or_default(),
        wedge.criterion_fs.map(|fs| numbers::fixed(fs, 2)).unwrap_or_default(),
        wedge.verdict.name().into(),
        uncapped,
    ]
}
