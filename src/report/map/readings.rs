//! The tables that hold a survey's rows: too many, and of too various columns, for structs.

use std::borrow::Cow;
use std::collections::BTreeSet;

use crate::report::paper::numbers::shortest;
use crate::report::paper::tables::TableError;
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
pub fn readings_csv(survey: &Survey, mapped: &Mapped, text: &str) -> Result<String, TableError> {
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
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(&header)?;
    let mut row: Vec<Cow<'_, str>> = Vec::with_capacity(header.len());
    for (reading, class) in survey.readings.iter().zip(&mapped.classes) {
        let set = class.set.and_then(|at| mapped.sets.get(at));
        let membership = match class.set {
            Some(at) => class.probabilities.get(at).copied(),
            None => Some((1.0 - class.probabilities.iter().sum::<f64>()).clamp(0.0, 1.0)),
        };
        row.clear();
        row.push(reading.line_number.to_string().into());
        row.push(if set.is_some() { "set" } else { UNASSIGNED }.into());
        row.push(set.map_or("", |s| s.name.as_str()).into());
        row.push(membership.map(probability).unwrap_or_default().into());
        row.push(shortest(class.weight).into());
        row.push(shortest(reading.plane.dip_deg).into());
        row.push(shortest(reading.plane.dip_direction_deg).into());
        if by_set {
            row.extend(class.probabilities.iter().map(|&p| Cow::from(probability(p))));
        }
        // Both run in the order of the file; rows in between were rejected.
        let cells = as_read.find(|(line, _)| *line == reading.line_number);
        let mut cells = cells.map(|(_, cells)| cells).unwrap_or_default();
        // A row may be shorter than its header, or end in empty cells beyond it.
        cells.resize(columns, Cow::Borrowed(""));
        row.extend(cells);
        writer.write_record(row.iter().map(|cell| cell.as_bytes()))?;
    }
    finished(writer)
}

/// rejects.csv: `line_number,reason,row`, the row as it stood.
///
/// # Errors
/// [`TableError`] where the table cannot be written, which no input can cause.
pub fn rejects_csv(survey: &Survey) -> Result<String, TableError> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(["line_number", "reason", "row"])?;
    for reject in &survey.rejects {
        writer.write_record([&reject.line_number.to_string(), &reject.reason, &reject.row])?;
    }
    finished(writer)
}

/// To a millionth: what is left of an unlikely set would be hundreds of zeros.
fn probability(value: f64) -> String {
    shortest((value * 1e6).round() / 1e6)
}

fn finished(writer: csv::Writer<Vec<u8>>) -> Result<String, TableError> {
    let bytes = writer.into_inner().map_err(|e| TableError::Flush(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| TableError::Flush(e.to_string()))
}
