//! The readings, with every column that the survey came with.

use std::borrow::Cow;
use std::collections::BTreeSet;

use crate::report::paper::cell::Cell;
use crate::report::paper::table::{CsvWriter, TableError};
use crate::survey::{AsRead, Domain, Mapped, Survey};

/// The class of a reading that is in no set.
const UNASSIGNED: &str = "unassigned";

/// readings.csv: each reading with its class, then every column of the survey as it was read,
/// under its own header, or with `as_read_` before it where the name is taken.
///
/// `membership` is the probability of the reading's own class; where sets were found and not
/// labelled, `membership_A` and so on are those of each set. Dip and dip direction are to the
/// case's north. Where domains were asked for, `domain` and `domain_set` say in which of them it is and in which of
/// its sets.
///
/// # Errors
/// [`TableError`] where the table cannot be written, which no input can cause.
pub(super) fn readings_csv(
    survey: &Survey,
    mapped: &Mapped,
    domains: &[Domain],
    text: &str,
) -> Result<String, TableError> {
    let mut as_read = AsRead::of(text, survey.layout);
    let columns = as_read.header().len();
    let mut header: Vec<String> =
        ["line_number", "class", "set", "membership", "weight", "dip_deg", "dip_direction_deg"]
            .map(str::to_owned)
            .to_vec();
    let by_set = mapped.mixture.is_some();
    if by_set {
        header.extend(mapped.sets.iter().map(|set| format!("membership_{}", set.name)));
    }
    if !domains.is_empty() {
        header.extend(["domain", "domain_set"].map(str::to_owned));
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
    // Readings of a domain stand in the order of the survey's.
    let mut next = vec![0_usize; domains.len()];
    for (row, (reading, class)) in survey.readings.iter().zip(&mapped.classes).enumerate() {
        let probabilities = mapped.memberships.of(row);
        let set = class.set.and_then(|at| mapped.sets.get(at));
        let membership = match class.set {
            Some(at) => probabilities.get(at).copied(),
            None => Some((1.0 - probabilities.iter().sum::<f64>()).clamp(0.0, 1.0)),
        };
        writer.cell(&reading.line_number.into())?;
        writer.cell(&if set.is_some() { "set" } else { UNASSIGNED }.into())?;
        writer.cell(&set.map(|s| &s.name).into())?;
        match membership {
            Some(probability) => writer.cell_of(|text| put_millionths(probability, text))?,
            None => writer.cell(&Cell::Absent)?,
        }
        writer.cell(&class.weight.into())?;
        writer.cell(&reading.plane.dip_deg.into())?;
        writer.cell(&reading.plane.dip_direction_deg.into())?;
        for &probability in probabilities.iter().filter(|_| by_set) {
            writer.cell_of(|text| put_millionths(probability, text))?;
        }
        if !domains.is_empty() {
            let here = |(at, domain): (usize, &Domain)| {
                let first = domain.survey.readings.get(next[at])?;
                (first.line_number == reading.line_number).then_some(at)
            };
            let at = domains.iter().enumerate().find_map(here);
            let class = at.and_then(|at| domains[at].mapped.classes.get(next[at]));
            let sets = at.map_or(&[][..], |at| &domains[at].mapped.sets);
            let set = class.and_then(|class| sets.get(class.set?));
            writer.cell(&at.map(|at| domains[at].number).into())?;
            writer.cell(&set.map(|s| &s.name).into())?;
            next.iter_mut().enumerate().filter(|(of, _)| Some(*of) == at).for_each(|(_, next)| *next += 1);
        }
        // Both run in the order of the file; rows in between were rejected.
        let cells = as_read.find(|(line, _)| *line == reading.line_number);
        let mut cells = cells.map(|(_, cells)| cells).unwrap_or_default();
        // A row may be shorter than its header, or end in empty cells beyond it.
        cells.resize(columns, Cow::Borrowed(""));
        writer.row(cells.into_iter().map(Cell::from))?;
    }
    writer.finish()
}

/// A probability to a millionth, as short as it reads back: what is left of an unlikely set would be hundreds
/// of zeros. A survey of a million readings has some millions of them, so they are written by hand.
fn put_millionths(probability: f64, text: &mut String) {
    let millionths = (probability.clamp(0.0, 1.0) * 1e6).round();
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0 to a million
    let millionths = millionths as u32;
    if millionths.is_multiple_of(1_000_000) {
        text.push(if millionths == 0 { '0' } else { '1' });
        return;
    }
    text.push_str("0.");
    let (mut left, mut place) = (millionths, 100_000);
    while left > 0 {
        let digit = left / place;
        // Below ten.
        text.extend(char::from_digit(digit, 10));
        left -= digit * place;
        place /= 10;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::paper::numbers::shortest;

    #[test]
    fn millionths_are_written_as_short_as_they_read_back() {
        let written = |p: f64| {
            let mut text = String::new();
            put_millionths(p, &mut text);
            text
        };
        for millionth in (0..=1_000_000).step_by(37).chain([1, 10, 100_000, 999_999, 1_000_000]) {
            let p = f64::from(millionth) / 1e6;
            assert_eq!(written(p), shortest(p));
        }
        assert_eq!([1e-9, 0.123_456_49, 0.999_999_7].map(written), ["0", "0.123456", "1"]);
    }
}
