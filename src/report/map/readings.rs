//! The readings, with every column that the survey came with.

use std::borrow::Cow;
use std::collections::BTreeSet;

use crate::report::paper::cell::Cell;
use crate::report::paper::table::{CsvWriter, TableError};
use crate::survey::{AsRead, Mapped, Survey};

/// The class of a reading that is in no set.
const UNASSIGNED: &str = "unassigned";

/// readings.csv: each reading with its class, then every column of the survey as it was read,
/// under its own header, or with `as_read_` before it where the name is taken.
///
/// `membership` is the probability of the reading's own class; where sets were found and not
/// labelled, `membership_A` and so on are those of each set. Dip and dip direction are to the
/// case's north.
///
/// # Errors
/// [`TableError`] where the table cannot be written, which no input can cause.
pub(super) fn readings_csv(survey: &Survey, mapped: &Mapped, text: &str) -> Result<String, TableError> {
    let mut as_read = AsRead::of(text);
    let columns = as_read.header().len();
    let mut header: Vec<String> =
        ["line_number", "class", "set", "membership", "weight", "dip_deg", "dip_direction_deg"]
            .map(str::to_owned)
            .to_vec();
    let by_set = mapped.mixture.is_some();
    if by_set {
        header.extend(mapped.sets.iter().map(|set| format!("membership_{}", set.name)));
    }
    let mut taken: BTreeSet<String> = header.iter().cloned().collect();
    for name in as_read.header() {
        let mut name = name.clone().into_owned();
        while taken.contains(&name) {
            name.insert_str(0, "as_read_");
        }
        taken.insert(name.clone());
        header.push(name);
    }
    let mut writer = CsvWriter::new(header.iter().map(String::as_str))?;
    for (reading, class) in survey.readings.iter().zip(&mapped.classes) {
        let set = class.set.and_then(|at| mapped.sets.get(at));
        let membership = match class.set {
            Some(at) => class.probabilities.get(at).copied(),
            None => Some((1.0 - class.probabilities.iter().sum::<f64>()).clamp(0.0, 1.0)),
        };
        let own = [
            reading.line_number.into(),
            if set.is_some() { "set" } else { UNASSIGNED }.into(),
            set.map(|s| &s.name).into(),
            membership.map(to_a_millionth).into(),
            class.weight.into(),
            reading.plane.dip_deg.into(),
            reading.plane.dip_direction_deg.into(),
        ];
        let of_sets = class.probabilities.iter().filter(|_| by_set).map(|&p| to_a_millionth(p).into());
        // Both run in the order of the file; rows in between were rejected.
        let cells = as_read.find(|(line, _)| *line == reading.line_number);
        let mut cells = cells.map(|(_, cells)| cells).unwrap_or_default();
        // A row may be shorter than its header, or end in empty cells beyond it.
        cells.resize(columns, Cow::Borrowed(""));
        writer.row(own.into_iter().chain(of_sets).chain(cells.into_iter().map(Cell::from)))?;
    }
    writer.finish()
}

/// To a millionth: what is left of an unlikely set would be hundreds of zeros.
fn to_a_millionth(probability: f64) -> f64 {
    (probability * 1e6).round() / 1e6
}
