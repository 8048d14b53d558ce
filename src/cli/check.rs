use std::path::PathBuf;

use super::folder::Folder;
use super::{DONE, Outcome, SHORT, date, interrupt, terminal};
use crate::case::{ReadCase, read_case};
use crate::report::{self, numbers, words};
use crate::study::{self, CheckedWedge, Verdict, Whole};
use crate::support::none_works;

/// Find every removable wedge of a drive, weigh it, and hold it against the bolt pattern.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The case file.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// The folder to write tables, plots and page into, all or nothing.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Set aside a folder that backhold did not write, instead of refusing.
    #[arg(long)]
    overwrite: bool,
    /// Exit with status 1 when a wedge is short or not judged.
    #[arg(long)]
    strict: bool,
    /// A date to print in the outputs, such as 2026-11-25; none is printed otherwise.
    #[arg(long, value_name = "DATE", value_parser = date::parse)]
    dated: Option<String>,
}

/// Checks the case, writes the folder, and says the answer.
pub fn run(arguments: &Arguments) -> Outcome {
    let read = read_case(&arguments.case)?;
    say_notes(&read);
    let mut folder = Folder::begin(&arguments.out, arguments.overwrite)?;
    let whole = study::whole(&read.case)?;
    interrupt::safe_point()?;
    let remedy = whole.remedy(&read.case)?;
    let (checked, sizes) = (&whole.check, &whole.sizes);
    interrupt::safe_point()?;
    let notes: Vec<String> = read.notes.iter().map(|n| n.remark()).collect();
    let outputs = report::Outputs {
        notes: &notes,
        case: &read.case,
        check: checked,
        sizes,
        stages: &whole.stages,
        as_built: whole.as_built.as_ref(),
        remedy: remedy.as_ref(),
        dated: arguments.dated.as_deref(),
    };
    let answer = outputs.answer();
    for file in outputs.files()? {
        folder.write(&file.name, &file.content)?;
    }
    let set_aside = folder.finish()?;
    say(&read, &whole, &answer, arguments);
    if let Some(aside) = set_aside {
        terminal::message(&format!("what stood there is now {}", aside.display()));
    }
    let built = whole.as_built.iter().flat_map(|b| &b.wedges);
    let all_held = checked.every().map(|w| w.verdict).chain(built.map(|w| w.as_built_verdict));
    let all_held = all_held.into_iter().all(|verdict| verdict == Verdict::Held);
    Ok(if arguments.strict && !all_held { SHORT } else { DONE })
}

/// What the case file made the reader wonder about.
pub(super) fn say_notes(read: &ReadCase) {
    for note in &read.notes {
        terminal::message(&note.to_string());
    }
}

fn say(read: &ReadCase, whole: &Whole, answer: &str, arguments: &Arguments) {
    let (checked, sizes) = (&whole.check, &whole.sizes);
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
    for wedge in &checked.wedges {
        if let Some(g) = wedge.governing.as_ref().filter(|g| g.is_smaller) {
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
    after.extend(report::one_missing(checked));
    if checked.left_out > 0 {
        after.push(format!("Removable wedges below 1 litre, left out: {}.", checked.left_out));
    }
    for bolt in &read.case.bolts {
        let source = bolt.source.as_deref().unwrap_or(words::NO_SOURCE);
        after.push(format!("Capacities of {}: {source}.", bolt.name));
    }
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
        "\nWritten to {}:\nreport.html, wedges.csv, bolt_demand.csv, bolts.csv, size_curve.csv, stages.csv,\nsummary.json, plots/{more}",
        arguments.out.display()
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
