//! What stands apart from joints: structures.csv, structures.toml and the page's section.

use std::fmt::Write as _;

use super::fragment::{angle, decimal, quoted};
use super::outputs::SurveyOutputs;
use super::words::counted;
use crate::report::paper::cell::Format;
use crate::report::paper::html::Html;
use crate::report::paper::table::Table;
use crate::survey::MappedStructure;

/// Structures that the page lists; all of them are in the table.
const MOST_STRUCTURES: usize = 100;
/// Letters of the survey's name that a source quotes.
const MOST_NAME: usize = 120;

/// The columns; the README says what each means.
pub(super) fn structure_table() -> Table<MappedStructure> {
    use Format::{Fixed, Whole, Words};
    Table::<MappedStructure>::new()
        .column("structure", |s| (&s.name).into())
        .on_page("structure", Words)
        .column("kind", |s| s.kind.word().into())
        .column("line_number", |s| s.reading.line_number.into())
        .on_page("line of the file", Whole)
        .column("dip_deg", |s| s.reading.plane.dip_deg.into())
        .on_page("dip °", Fixed(0))
        .column("dip_direction_deg", |s| s.reading.plane.dip_direction_deg.into())
        .on_page("dip direction °", Fixed(0))
        .column("chainage_m", |s| s.reading.chainage_m.into())
        .on_page("chainage m", Fixed(2))
        .column("distance_m", |s| s.reading.distance_m.into())
        .on_page("distance on line m", Fixed(2))
        .column("trace_length_m", |s| s.reading.trace_length_m.into())
        .on_page("trace m", Fixed(1))
        .column("type", |s| (&s.as_read).into())
        .on_page("type as it stood", Words)
        .column("row", |s| (&s.row).into())
}

/// structures.toml: a `[[structure]]` table each, for a case that names this file. What no survey holds (friction, where on
/// the section it was seen) stands there as keys to be filled in.
#[must_use]
pub(super) fn structures_toml(outputs: &SurveyOutputs<'_>) -> String {
    let file: String = outputs.file_name.chars().take(MOST_NAME).collect();
    let mut text = String::from(
        "# Structures as `backhold map` found them: rows whose type says fault, shear, contact or dyke. They are in no\n\
         # set. A case names this file (structures = \"structures.toml\") and, in [[structure]] entries of its own, those\n\
         # that can meet its drive: their name, friction_deg, and the point that they pass through, u_m to the right of\n\
         # the middle of the floor, v_m above it. At most two beside eight sets.\n\n",
    );
    let _ = writeln!(text, "north = {}", quoted(outputs.north));
    for structure in &outputs.survey.structures {
        let reading = &structure.reading;
        let mut put = |line: String| {
            text.push_str(&line);
            text.push('\n');
        };
        put(String::new());
        put("[[structure]]".to_owned());
        put(format!("name = {}", quoted(&structure.name)));
        put(format!("dip_deg = {}", angle(reading.plane.dip_deg)));
        put(format!("dip_direction_deg = {}", angle(reading.plane.dip_direction_deg)));
        put(match reading.chainage_m {
            Some(chainage) => format!("chainage_m = {}", decimal(chainage)),
            None => "# chainage_m = ".to_owned(),
        });
        put("# u_m = ".to_owned());
        put("# v_m = ".to_owned());
        put("# friction_deg = ".to_owned());
        let place = match (reading.line.and_then(|at| outputs.survey.lines.get(at)), reading.distance_m) {
            (Some(on), Some(distance)) => format!(", at {distance} m of line {}", on.id),
            (Some(on), None) => format!(", on line {}", on.id),
            _ => String::new(),
        };
        let source: String = format!("{file}, line {}: {}{place}", reading.line_number, structure.as_read)
            .chars()
            .take(500)
            .collect();
        put(format!("source = {}", quoted(&source)));
        let trace = reading.trace_length_m.map(|m| format!("a trace of {} m", decimal(m)));
        let chainage = reading.chainage_m.map(|m| format!("at chainage {} m", decimal(m)));
        let mapped: Vec<String> = trace.into_iter().chain(chainage).collect();
        if !mapped.is_empty() {
            put(format!("# Mapped: {}; how far it reaches beyond is not known.", mapped.join(" ")));
        }
    }
    text
}

/// The page's section; nothing without structures.
pub(super) fn section(body: &mut Html, structures: &[MappedStructure]) {
    if structures.is_empty() {
        return;
    }
    body.heading("What stands apart");
    body.table(&structure_table().page_of_all(structures.iter().take(MOST_STRUCTURES)));
    body.paragraph(&format!(
        "{} in no set: single planes belong into the case where they are, by structures.toml.",
        counted(structures.len(), "structure is", "structures are")
    ));
}
