use std::path::PathBuf;

use super::outcome::{DONE, Failure, Outcome};
use super::read::read;
use super::terminal;
use crate::report::{Followed, calculation_sheet};

/// Print one wedge as a calculation sheet that a person can follow by hand (Markdown).
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The case file.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// Which wedge, by its id, such as A-B-C.101.
    #[arg(long, value_name = "ID")]
    wedge: String,
    /// Follow the largest wedge of its pyramid, instead of the piece that decides.
    #[arg(long)]
    largest: bool,
}

/// Prints the calculation sheet of one wedge.
pub(super) fn run(arguments: &Arguments) -> Outcome {
    let read = read(&arguments.case)?;
    let whole = crate::study::check(&read.case)?;
    let checked = &whole.check;
    // Names of sets may differ in case alone, so the exact id comes first.
    let wedge = checked.every().find(|w| w.wedge.id == arguments.wedge);
    let alike = || checked.every().find(|w| w.wedge.id.eq_ignore_ascii_case(&arguments.wedge));
    let Some(wedge) = wedge.or_else(alike) else {
        let ids: Vec<&str> = checked.every().map(|w| w.wedge.id.as_str()).collect();
        let known = if ids.is_empty() {
            "this case has no removable wedge of a litre or more".to_owned()
        } else {
            format!("this case has {}", ids.join(", "))
        };
        return Err(Failure::Usage(format!("--wedge {}: no such wedge; {known}", arguments.wedge)));
    };
    let curve = whole.sizes.iter().find(|c| c.wedge == wedge.wedge.id);
    let followed = if arguments.largest { Followed::Largest } else { Followed::Deciding };
    terminal::result(calculation_sheet(&read.case, checked, wedge, curve, followed).trim_end());
    Ok(DONE)
}
