//! The calculation sheet of one wedge: every number that its verdict rests on, with the numbers
//! that it was made from, in an order that a pocket calculator can follow.

mod bolts;
mod forces;
mod gap;
mod ground;
mod moments;
mod shape;
mod sheet;
mod stress;
mod verdict;

use sheet::Sheet;

use crate::case::Case;
use crate::study::{Check, CheckedWedge, SizeCurve};

/// Which wedge of a pyramid a sheet follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Followed {
    /// The piece that decides, where one was looked for.
    Deciding,
    /// The largest.
    Largest,
}

/// The sheet of one wedge, in Markdown. Vectors are local: u to the right, s along the advance, v
/// up the section; the apex is at s = 0, or the face for a wedge there.
#[must_use]
pub fn calculation_sheet(
    case: &Case,
    check: &Check,
    wedge: &CheckedWedge,
    curve: Option<&SizeCurve>,
    followed: Followed,
) -> String {
    let piece = wedge.deciding().filter(|_| followed == Followed::Deciding);
    let is_piece = piece.is_some();
    let largest = wedge;
    let wedge = piece.as_ref().unwrap_or(largest);
    let mut sheet = Sheet { text: String::new(), case, check, wedge, largest, is_piece };
    sheet.heading();
    sheet.frame();
    sheet.joints();
    sheet.edges();
    sheet.body();
    sheet.weight_and_mode();
    sheet.bare();
    sheet.with_stress();
    sheet.bolts();
    sheet.moments();
    sheet.gap(curve);
    sheet.installed();
    sheet.verdict();
    sheet.text
}
