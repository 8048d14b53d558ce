//! samples.csv: a row for each draw, what was drawn and what came of it.

use crate::case::{Case, Scatter};
use crate::report::paper::cell::Cell;
use crate::report::paper::table::{CsvWriter, TableError};
use crate::study::chance::{SeenDraw, drawn_names, pyramid_id};

/// What comes of a draw, behind what was drawn: the count of wedges that can move, then those that are short
/// bare and bolted, the largest and what it weighs, the least factors and whose they are.
const CAME_TO: [&str; 9] = [
    "moves",
    "short_bare",
    "short_bolted",
    "largest_m3",
    "largest_kn",
    "least_fs_bare",
    "least_fs_bolted",
    "least_of",
    "needed_kn",
];

/// The header.
///
/// # Errors
/// [`TableError`] where it cannot be written, which no input can cause.
pub fn samples_header(case: &Case, scatter: &Scatter) -> Result<String, TableError> {
    let names = drawn_names(case, scatter);
    let names = std::iter::once("draw").chain(names.iter().map(String::as_str)).chain(CAME_TO);
    CsvWriter::new(names)?.finish()
}

/// Adds the row of one draw to a text. `case` has the criteria, which do not scatter.
pub fn samples_row(case: &Case, draw: &SeenDraw, text: &mut String) {
    let wedges = &draw.wedges;
    let short = |of: fn(&crate::study::chance::DrawnWedge) -> Option<f64>| {
        wedges.iter().filter(|w| of(w).is_some_and(|fs| w.is_short(case, fs))).count()
    };
    let least = |of: fn(&crate::study::chance::DrawnWedge) -> Option<f64>| {
        let factors = wedges.iter().filter_map(|w| Some((of(w)?, w.pyramid)));
        factors.reduce(|a, b| if b.0 < a.0 { b } else { a })
    };
    let largest = wedges.iter().reduce(|a, b| if b.volume_m3 > a.volume_m3 { b } else { a });
    let bare = least(|w| Some(w.fs_bare));
    let bolted = least(|w| w.fs_bolted);
    let whose = bolted.or(bare).map(|(_, pyramid)| pyramid_id(case, pyramid));
    let needed = wedges.iter().map(|w| w.needed_kn).reduce(f64::max);
    let values = draw.values.iter().map(|v| Cell::from(*v));
    let came_to = [
        Cell::from(wedges.len()),
        short(|w| Some(w.fs_bare)).into(),
        short(|w| w.fs_bolted).into(),
        largest.map(|w| w.volume_m3).into(),
        largest.map(|w| w.weight_kn).into(),
        bare.map(|b| b.0).into(),
        bolted.map(|b| b.0).into(),
        whose.into(),
        needed.into(),
    ];
    // No name of a joint and no number needs quotation marks.
    for (at, cell) in std::iter::once(Cell::from(draw.index)).chain(values).chain(came_to).enumerate() {
        if at > 0 {
            text.push(',');
        }
        cell.put_csv(text);
    }
    text.push('\n');
}
