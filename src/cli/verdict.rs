use std::path::PathBuf;

use super::check::chosen_by_name;
use super::each;
use super::outcome::{DONE, Failure, Outcome, SHORT};
use super::progress::announce;
use super::read::read;
use super::terminal;
use crate::report::{CAUTION_LINE, VerdictOutputs};
use crate::study;

/// Say which wedges are held, short or not judged, as check would, in a fraction of its time; nothing is written.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The case file.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// Judge the case with this `[[option]]` of it laid over it, as compare judges it.
    #[arg(long, value_name = "NAME")]
    option: Option<String>,
    /// Exit with status 1 when a wedge is short or not judged, at any stage; not for a case with bolts as built.
    #[arg(long)]
    strict: bool,
    /// Refused with what to do: nothing is written.
    #[arg(long, value_name = "DIR", hide = true)]
    out: Option<PathBuf>,
}

/// Says how the case stands.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let path = &arguments.case;
    if let Some(out) = &arguments.out {
        return Err(Failure::Usage(format!(
            "--out {}: verdict writes nothing; leave --out out, or run `check` for tables, drawings and a page",
            out.display()
        )));
    }
    if each::is_many(path) {
        return Err(Failure::Usage(format!(
            "{}: verdict takes one case; `check` takes a folder of them, or a list",
            path.display()
        )));
    }
    let read = read(path)?;
    let chosen = chosen_by_name(&read, arguments.option.as_deref(), &path.display().to_string())?;
    if arguments.strict && chosen.case.site.as_built.is_some() {
        return Err(Failure::Usage(format!(
            "--strict: {} has bolts as built, which verdict does not look at; run `check --strict`, or leave --strict out",
            path.display()
        )));
    }
    announce([chosen.case], 1.0);
    let verdicts = study::verdicts(chosen.case)?;
    let outputs = VerdictOutputs { case: chosen.case, verdicts: &verdicts };
    terminal::answer(&outputs.answer());
    if let Some(table) = outputs.terminal_table() {
        terminal::table(&table);
    }
    terminal::lines(&outputs.lines());
    terminal::result(&terminal::wrapped(CAUTION_LINE));
    Ok(if arguments.strict && !verdicts.is_all_held() { SHORT } else { DONE })
}
