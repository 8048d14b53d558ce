//! Which wedges matter most, and the words that titles and labels use for them.

use std::cmp::Ordering;

use crate::report::paper::numbers::{factor, fixed, volume};
use crate::report::paper::sheet::{Point, Sheet};
use crate::report::paper::style;
use crate::report::words::surface_words;
use crate::stability::Mode;
use crate::study::{Check, CheckedWedge, Verdict};

/// Most wedges that one drawing names: more labels hide what they name.
pub(crate) const MOST_NAMED: usize = 12;

/// The wedges in the order in which they matter: short ones first, those that lack most force
/// before the others, as in the answer line; then the moving ones by their factor of safety
/// against its criterion; then those that do not move, the heaviest first.
pub(super) fn by_importance(check: &Check) -> Vec<&CheckedWedge> {
    let mut order: Vec<&CheckedWedge> = check.wedges.iter().collect();
    order.sort_by(|a, b| compare(a, b));
    order
}

/// The same, then those at the face in the same order, which it says of each.
pub(crate) fn every_by_importance(check: &Check) -> Vec<(&CheckedWedge, bool)> {
    let mut face: Vec<&CheckedWedge> = check.face.iter().collect();
    face.sort_by(|a, b| compare(a, b));
    by_importance(check).into_iter().map(|w| (w, false)).chain(face.into_iter().map(|w| (w, true))).collect()
}

fn compare(a: &CheckedWedge, b: &CheckedWedge) -> Ordering {
    rank(a)
        .cmp(&rank(b))
        .then_with(|| b.force_lacking_kn().total_cmp(&a.force_lacking_kn()))
        .then_with(|| ratio(a).total_cmp(&ratio(b)))
        .then_with(|| b.wedge.weight_kn.total_cmp(&a.wedge.weight_kn))
}

fn rank(wedge: &CheckedWedge) -> u8 {
    match (wedge.decided.verdict, moves(wedge)) {
        (Verdict::Short, _) => 0,
        (_, true) if !wedge.decided.is_left_out() => 1,
        (_, true) => 2,
        (_, false) => 3,
    }
}

/// Of one of which no factor is known nothing says how near it is.
fn ratio(wedge: &CheckedWedge) -> f64 {
    if wedge.decided.fs.is_some() { wedge.decided.margin() } else { f64::INFINITY }
}

/// Whether it moves when nothing holds it.
pub(super) fn moves(wedge: &CheckedWedge) -> bool {
    wedge.wedge.stability.motion.mode != Mode::NoMotion
}

/// `the back and the left wall`
pub(super) fn place_words(wedge: &CheckedWedge) -> String {
    surface_words(&wedge.wedge.surfaces)
}

/// `no bolt crosses it`, `3 bolts cross it`
pub(crate) fn crossing_words(count: usize) -> String {
    match count {
        0 => "no bolt crosses it".into(),
        1 => "1 bolt crosses it".into(),
        _ => format!("{count} bolts cross it"),
    }
}

/// How many bolts cross it at its worst placement, at the size that the words of its factor speak of;
/// `None` without a pattern or without movement.
pub(super) fn crossing(wedge: &CheckedWedge) -> Option<usize> {
    wedge.placement().map(|p| p.serving.len())
}

/// `FS 1.05`, or that it does not move.
pub(super) fn fs_words(wedge: &CheckedWedge) -> String {
    if moves(wedge) { format!("{}{}", fs_alone(wedge), size_words(wedge)) } else { "no motion".into() }
}

/// `FS 1.05`, or that it is for the scaling bar, or not judged.
pub(super) fn fs_alone(wedge: &CheckedWedge) -> String {
    match (wedge.decided.fs, wedge.decided.verdict) {
        (Some(fs), _) => format!("FS {}", factor(fs)),
        (None, Verdict::Held) => "for the bar".into(),
        (None, _) if wedge.decided.is_left_out() => "left out".into(),
        (None, _) => "not judged".into(),
    }
}

/// ` at 0.71 m³` where a smaller piece than the largest decides: it is the one drawn.
pub(super) fn size_words(wedge: &CheckedWedge) -> String {
    wedge.least_piece().map(|piece| format!(" at {} m³", volume(piece.volume_m3))).unwrap_or_default()
}

/// `FS 1.05 where 2.00 is asked`
pub(super) fn fs_against_criterion(wedge: &CheckedWedge) -> String {
    match wedge.decided.criterion_fs {
        Some(asked) => format!("{}{} where {} is asked", fs_alone(wedge), size_words(wedge), fixed(asked, 2)),
        None => fs_words(wedge),
    }
}

/// Draws the mark of a wedge's verdict; one that is not judged has none.
pub(super) fn verdict_mark(sheet: &mut Sheet, centre: Point, side_mm: f64, verdict: Verdict) {
    match verdict {
        Verdict::Held => style::held_mark(sheet, centre, side_mm),
        Verdict::Short => style::short_mark(sheet, centre, side_mm * 1.15),
        Verdict::NotJudged => {}
    }
}

/// `X`, `X and Y`, `X and 3 more`
pub(super) fn some_of(ids: &[&str]) -> String {
    match ids {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [one, two] => format!("{one} and {two}"),
        [first, rest @ ..] => format!("{first} and {} more", rest.len()),
    }
}
