use std::path::{Path, PathBuf};

use super::common::{Common, Signed};
use super::each::{self, Each};
use super::folder::Folder;
use super::outcome::{DONE, Failure, Outcome, SHORT};
use super::progress::{Progress, announce};
use super::read::{read, remarks};
use super::write::{NewCase, ReadyCase, Wanted};
use super::{again, terminal};
use crate::case::{Chosen, InPlace, ReadCase};
use crate::input::one_of;
use crate::report::{self, Also, Asked, CasesOf};
use crate::study::{self, Verdict, Whole};

/// Find every removable wedge of a drive, weigh it, and hold it against the bolt pattern.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
    /// Check the case with this `[[option]]` of it laid over it, as compare judges it.
    #[arg(long, value_name = "NAME", conflicts_with = "again")]
    option: Option<String>,
    /// Also write the case of that option as a case file of its own, which check takes as it stands.
    #[arg(long, value_name = "FILE", requires = "option", conflicts_with = "again")]
    write: Option<PathBuf>,
    /// Exit with status 1 when a wedge is short or not judged, at any stage.
    #[arg(long, conflicts_with = "again")]
    strict: bool,
    /// Also search, wedge by wedge, for the widest spacings and the shortest bolts that hold it; takes
    /// many times as long.
    #[arg(long, conflicts_with = "again")]
    spacings: bool,
    /// Also write, for other programs: models (wedges, bolts and opening as glTF and STL), drawings (the
    /// section as DXF lines), tables (JSON, and what the columns of the CSV files hold); several divided by
    /// commas.
    #[arg(long, value_name = "WHAT", value_delimiter = ',', value_parser = also, conflicts_with = "again")]
    also: Vec<Also>,
}

fn also(word: &str) -> Result<Also, String> {
    Also::named(word.trim())
        .ok_or_else(|| format!("choose {}", one_of(Also::ALL.map(Also::name).into_iter())))
}

/// Each once, in the order in which they are written.
fn in_order(also: &[Also]) -> Vec<Also> {
    Also::ALL.into_iter().filter(|a| also.contains(a)).collect()
}

/// Checks the case, writes the folder, and says the answer.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let common = &arguments.common;
    if let Some(summary) = &common.again {
        return again::run(summary, "check", common, |read, asked, signed| {
            found(read, asked, signed, "the case in the summary", |outputs| Ok(outputs.files()?))
        });
    }
    let (case, out) = common.case_and_out()?;
    if each::is_many(case) {
        return run_each(arguments, case, out);
    }
    let read = read(case)?;
    let asked = Asked::Check {
        option: arguments.option.clone(),
        spacings: arguments.spacings,
        also: in_order(&arguments.also),
    };
    // An option that is not there is said before a folder is made.
    let chosen = chosen(&read, &asked, &case.display().to_string())?;
    let new_case = arguments.write.as_ref().zip(arguments.option.as_ref());
    let new_case = new_case
        .map(|(target, name)| {
            let words = format!("its option \"{name}\"");
            let wanted = Wanted {
                put: InPlace::Choice(name),
                words: &words,
                case: chosen.case,
                plan: chosen.plan,
                dated: common.signed.dated.as_deref(),
            };
            NewCase::at(target, case, &read, out, common.overwrite)?.ready(&read, &wanted)
        })
        .transpose()?;
    let folder = Folder::begin(out, common.overwrite)?;
    found(&read, &asked, &common.signed, &case.display().to_string(), |outputs| {
        let answer = outputs.answer();
        let set_aside = folder.fill(&outputs.files()?)?;
        let case_set_aside = new_case.map(ReadyCase::finish).transpose()?.flatten();
        say(outputs, &answer, out, arguments.write.as_deref());
        terminal::set_aside(set_aside.as_deref());
        terminal::set_aside(case_set_aside.as_deref());
        let held = everything_held(outputs.whole);
        Ok(if arguments.strict && !held { SHORT } else { DONE })
    })
}

/// Checks every case of a folder or of a list.
fn run_each(arguments: &Arguments, list: &Path, out: &Path) -> Outcome {
    let Arguments { common, option, write, strict, spacings, also } = arguments;
    if write.is_some() {
        return Err(Failure::Usage(
            "--write: one case is written from one case; give that case alone".into(),
        ));
    }
    let (overwrite, signed) = (common.overwrite, &common.signed);
    let each = Each { list, out, overwrite, signed, of: CasesOf::Check, strict: *strict };
    each.run(
        |case| {
            Ok(Asked::Check {
                option: case.option.clone().or_else(|| option.clone()),
                spacings: *spacings,
                also: in_order(also),
            })
        },
        |read, asked, _| found(read, asked, &common.signed, "this case", |outputs| Ok(outputs.files()?)),
    )
}

/// The case as it stands, or with the option that is asked for.
fn chosen<'r>(read: &'r ReadCase, asked: &Asked, case: &str) -> Result<Chosen<'r>, Failure> {
    let Asked::Check { option, .. } = asked else { return Ok(read.as_it_stands()) };
    chosen_by_name(read, option.as_deref(), case)
}

/// The same by the name of the option; without one the case as it stands.
pub(super) fn chosen_by_name<'r>(
    read: &'r ReadCase,
    option: Option<&str>,
    case: &str,
) -> Result<Chosen<'r>, Failure> {
    let Some(name) = option else { return Ok(read.as_it_stands()) };
    read.chosen(name).ok_or_else(|| {
        let advice = if read.options.is_empty() {
            "it has no [[option]]; add one with that name, or leave --option out".to_owned()
        } else {
            format!("choose {}", one_of(read.choices()))
        };
        Failure::Usage(format!("--option {name}: {case} has no such option; {advice}"))
    })
}

/// Checks what is asked for, and hands over what its files need.
fn found<T>(
    read: &ReadCase,
    asked: &Asked,
    signed: &Signed,
    case: &str,
    then: impl FnOnce(&report::Outputs<'_>) -> Result<T, Failure>,
) -> Result<T, Failure> {
    let chosen = chosen(read, asked, case)?;
    announce([chosen.case], 1.0);
    let progress = Progress::begin("checking the case");
    let steps = progress.steps();
    let mut whole = study::check_counted(chosen.case, steps)?;
    let mending = study::changes_counted(chosen.case, &whole, chosen.plan, read.stock.as_ref(), steps)?;
    if matches!(asked, Asked::Check { spacings: true, .. }) {
        whole.beside.widest = study::widest_counted(chosen.case, &whole.check, steps)?;
    }
    steps.begin("drawing and writing", 0);
    then(&report::Outputs {
        notes: &remarks(read),
        case: chosen.case,
        asked,
        changes: chosen.changes,
        whole: &whole,
        deciding: &whole.deciding(),
        mending: Some(&mending),
        dated: signed.dated.as_deref(),
        sign_off: signed.of(&read.files),
        bond_tests: chosen.bond_tests,
        bolt_origins: chosen.bolt_origins,
    })
}

/// Whether nothing is short or not judged, at any stage, surface support and bolts as built among it.
fn everything_held(whole: &Whole) -> bool {
    let built = whole.as_built.iter().flat_map(|b| &b.wedges).filter(|w| !w.found.decided.is_left_out());
    let judged = whole.check.every().filter(|w| !w.decided.is_left_out());
    let mut verdicts = judged.map(|w| w.decided.verdict).chain(built.map(|w| w.as_built_verdict()));
    verdicts.all(|verdict| verdict == Verdict::Held) && study::lacks(whole).is_empty()
}

fn say(outputs: &report::Outputs<'_>, answer: &str, out: &Path, new_case: Option<&Path>) {
    terminal::answer(answer);
    if let Some(table) = outputs.terminal_table() {
        terminal::table(&table);
    }
    terminal::lines(&outputs.terminal_lines());
    let more = outputs.whole.as_built.as_ref().map_or_else(String::new, |found| {
        let compared = outputs.case.site.as_built.as_ref().is_some_and(|built| built.earlier.is_some());
        let changes = if compared { "bolt_changes.csv, " } else { "" };
        let spots = if found.spot_bolts.is_some() { "spot_bolts.csv, " } else { "" };
        format!("\nas_built.csv, as_built_wedges.csv, bolts_as_built.csv, {changes}{spots}bolts_rejected.csv")
    });
    let besides: String = outputs
        .also()
        .iter()
        .map(|also| match also {
            Also::Models => "\nmodels/",
            Also::Drawings => "\ndrawings/",
            Also::Tables => "\ntables/, csv-metadata.json",
        })
        .collect();
    let site = &outputs.case.site;
    let acting = [
        (site.water.is_some(), "water.csv"),
        (site.shaking.is_some(), "shaking.csv"),
        (site.stress.is_some(), "stress.csv"),
        (outputs.tells_what_acts(), "acts.csv"),
    ];
    let acting: Vec<&str> = acting.iter().filter(|(is, _)| *is).map(|(_, name)| *name).collect();
    let acting = if acting.is_empty() { String::new() } else { format!("\n{}", acting.join(", ")) };
    terminal::result(&format!(
        "\nWritten to {}:\nreport.html, wedges.csv, changes.csv, bolt_demand.csv, bolts.csv, size_curve.csv, stages.csv,\nscreen_duty.csv, prisms.csv, advice.csv, {}{}summary.json, plots/{acting}{besides}{more}",
        out.display(),
        if outputs.case.criteria.scaling_up_to_m3.is_some() { "scaling.csv, " } else { "" },
        if outputs.whole.scan_along.is_empty() { "" } else { "scan_along.csv, " }
    ));
    terminal::new_case(new_case);
    terminal::result(&terminal::wrapped(report::CAUTION_LINE));
}
