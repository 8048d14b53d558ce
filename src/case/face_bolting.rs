//! Bolts in the face of the heading in a case file: what their keys ask of each other, and the plain value.

use super::collars::Ground;
use super::file::PatternTable;
use super::rules::Keys;
use super::walk::missing_key;
use crate::input::document::{Node, Table, Value};
use crate::input::{Collector, ProblemKind, Says, one_of};
use crate::support::{FaceBolts, LayoutError};

/// Keys that a pattern on the face does not have, and why.
const NOT_ON_FACE: [(&str, &str); 8] = [
    ("ring_spacing_m", "rows up the face stand row_spacing_m above each other"),
    ("row_at_m", "the lowest row of a face stands at lowest_collar_m, the others above it"),
    ("direction", "bolts in the face go along the drive's axis, or as up_deg and right_deg say"),
    ("boom", "bolts in the face go along the drive's axis, or as up_deg and right_deg say"),
    ("offset_m", "they stand in the face, wherever that is"),
    ("from_m", "they stand in the face, wherever that is"),
    ("to_m", "they stand in the face, wherever that is"),
    ("tension_kn", "the factor with tension is one of wedges of the drive"),
];

/// Keys that only a pattern on the face has.
const ON_FACE_ALONE: [&str; 3] = ["row_spacing_m", "up_deg", "right_deg"];

/// Whether a pattern stands in the face.
pub(super) fn is_on_face(pattern: &Table) -> bool {
    pattern.list("covers").iter().any(names_face)
}

fn names_face(entry: &Node) -> bool {
    matches!(&entry.value, Value::Text(t) if t == "face")
}

/// Says of a pattern that is not on the face what it has of one, and what it lacks; `keys` are those of a
/// `[[pattern]]`.
pub(super) fn check_off_face(node: &Node, pattern: &Table, keys: Option<&Keys>, problems: &mut Collector) {
    lacks(node, pattern, keys, &["ring_spacing_m"], problems);
    for at in ON_FACE_ALONE.iter().filter_map(|key| pattern.get(key)) {
        let says = Says::new(
            "a key of bolts in the face, on a pattern that does not cover it",
            "it where covers is [\"face\"]",
            "delete it, or write covers = [\"face\"]",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
}

/// Checks a pattern on the face by its own keys and, where it is known, against the opening.
pub(super) fn check_on_face(
    node: &Node,
    pattern: &Table,
    keys: Option<&Keys>,
    ground: Ground<'_>,
    problems: &mut Collector,
) {
    let covers = pattern.list("covers");
    if let (true, Some(at)) = (covers.len() > 1, covers.iter().find(|entry| names_face(entry))) {
        let others = one_of(["back", "walls", "left wall", "right wall"].into_iter());
        let says = Says::new(
            "\"face\" beside other surfaces",
            format!("\"face\" alone, or without it {others}"),
            "give the bolts in the face a [[pattern]] of their own: their rows lie across it",
        );
        problems.add(ProblemKind::Value, at.place, &at.path, says);
        return;
    }
    lacks(node, pattern, keys, &["row_spacing_m", "lowest_collar_m"], problems);
    for (key, why) in NOT_ON_FACE {
        if let Some(at) = pattern.get(key) {
            let says = Says::new(
                format!("{key} of a pattern on the face"),
                format!("no {key}: {why}"),
                "delete it, or cover another surface",
            );
            problems.add(ProblemKind::Conflict, at.place, &at.path, says);
        }
    }
    if let Some(section) = ground.section {
        super::bolting::check_height(pattern, section, problems);
    }
}

/// Checks that a pattern on the face, sound by itself, can be drilled.
pub(super) fn check_face_layout(node: &Node, table: &Table, ground: Ground<'_>, problems: &mut Collector) {
    let (Some(opening), Ok(typed)) = (ground.opening, serde_json::from_value::<PatternTable>(node.to_json()))
    else {
        return;
    };
    let Some(bolts) = face_bolts_of(&typed, 0) else { return };
    let at = |key: &str| {
        let place = table.get(key).map_or(node.place, |n| n.place);
        (place, format!("{}.{key}", node.path))
    };
    let (key, says) = match bolts.layout(opening) {
        Ok(_) => return,
        Err(LayoutError::NoCollar) => (
            "covers",
            Says::new(
                "a pattern that lays no collar on the face",
                "at least one collar inside the section",
                "make spacing_m and row_spacing_m smaller, or lowest_collar_m lower",
            ),
        ),
        Err(error) => (
            if table.has("right_deg") { "right_deg" } else { "up_deg" },
            Says::new(
                error.to_string(),
                "bolts that enter the rock at more than 6° to the face",
                "turn them nearer to the drive's axis",
            ),
        ),
    };
    let (place, key) = at(key);
    problems.add(ProblemKind::Conflict, place, &key, says);
}

/// Checks that patterns on the face come after all others: results count them on from those.
pub(super) fn check_face_last(patterns: &[Node], problems: &mut Collector) {
    let mut first: Option<&Node> = None;
    for node in patterns {
        let Some(table) = node.table() else { continue };
        if is_on_face(table) {
            first = first.or(Some(node));
        } else if let Some(before) = first {
            let says = Says::new(
                format!("a pattern of the drive behind one on the face, on line {}", before.place.line),
                "patterns on the face last",
                "move it before those that cover the face",
            );
            problems.add(ProblemKind::Conflict, node.place, &node.path, says);
        }
    }
}

fn lacks(node: &Node, table: &Table, keys: Option<&Keys>, needed: &[&str], problems: &mut Collector) {
    for key in needed.iter().filter(|key| !table.mentions(key)) {
        if let Some(key) = keys.and_then(|keys| keys.get(key)) {
            let path = format!("{}.{}", node.path, key.name);
            problems.add(ProblemKind::MissingKey, node.place, &path, missing_key(key, &node.path));
        }
    }
}

/// The plain value of a pattern on the face; `None` where a key of it is missing, which has been reported.
pub(super) fn face_bolts_of(table: &PatternTable, bolt: usize) -> Option<FaceBolts> {
    let spacings = [table.spacing_m, table.row_spacing_m?];
    Some(
        FaceBolts::new(bolt, table.length_m, spacings, table.lowest_collar_m?)
            .outside_hole_m(table.outside_hole_m)
            .staggered(table.stagger)
            .aimed(table.up_deg.unwrap_or(0.0), table.right_deg.unwrap_or(0.0)),
    )
}
