use std::path::PathBuf;

use super::folder::Folder;
use super::{DONE, Failure, Outcome, SHORT, check, date, interrupt, terminal};
use crate::case::read_case;
use crate::report::paper::numbers::{factor, fixed, kn};
use crate::report::{CompareOutputs, NOT_ASKED, compare_answer, compare_rows, words};
use crate::study::{Comparison, Variant, compare};

/// Support options side by side on the same wedges: factors of safety, bolts, metres, minutes, cost.
#[derive(Debug, clap::Args)]
pub struct Arguments {
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
pub fn run(arguments: &Arguments) -> Outcome {
    let read = read_case(&arguments.case)?;
    check::say_notes(&read);
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
    let currency = read.plan.currency.as_deref();
    let outputs = CompareOutputs {
        case: &read.case,
        comparison: &comparison,
        currency,
        files: &read.files,
        dated: arguments.dated.as_deref(),
    };
    let set_aside = folder.fill(&outputs.files()?)?;
    let answer = compare_answer(&comparison, currency);
    terminal::result(&terminal::emphasis(&terminal::wrapped(&answer)));
    say(&comparison, currency);
    terminal::result(&format!(
        "\nWritten to {}:\ncompare.html, compare.csv, plots/",
        arguments.out.display()
    ));
    terminal::result(&terminal::wrapped(NOT_ASKED));
    terminal::result(&terminal::wrapped(words::CAUTION_LINE));
    terminal::set_aside(set_aside.as_deref());
    let none_holds = !comparison.options.iter().any(crate::study::Compared::holds);
    Ok(if arguments.strict && none_holds { SHORT } else { DONE })
}

fn say(comparison: &Comparison, currency: Option<&str>) {
    let cost = format!("{}/m", currency.unwrap_or("cost"));
    let header = [
        "option",
        "least margin",
        "asked",
        "FS/asked",
        "gap kN",
        "short",
        "bolts/m",
        "min/m",
        &cost,
        "efficient",
    ];
    let right = ["FS/asked", "gap kN", "short", "bolts/m", "min/m", &cost];
    let rows: Vec<Vec<String>> = comparison
        .options
        .iter()
        .zip(compare_rows(comparison))
        .map(|(option, row)| {
            vec![
                row.option,
                option.tightest.as_ref().map(|t| format!("{} {}", t.wedge, t.of.words())).unwrap_or_default(),
                row.verdict,
                factor(option.margin),
                option.gap.as_ref().map(|g| kn(g.2)).unwrap_or_default(),
                option.short.to_string(),
                fixed(option.bolts_per_m(), 2),
                option.minutes_per_m().map(|m| fixed(m, 1)).unwrap_or_default(),
                option.cost_per_m().map(|c| fixed(c, 0)).unwrap_or_default(),
                if option.holds() && option.is_efficient() { "yes" } else { "no" }.to_owned(),
            ]
        })
        .collect();
    terminal::result(&format!("\n{}", terminal::table(&header, &rows, &right)));
}
