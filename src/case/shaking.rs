//! Shaking of a case file: what its keys ask of each other, and the plain value.

use super::file::ShakingTable;
use crate::input::document::{Node, Table};
use crate::input::{Collector, ProblemKind, Says};
use crate::stability::{GroundVelocity, Shaking};

/// A coefficient above this is no shaking that a steady force stands for: a slip of the pen, or mm for m.
const GREATEST: f64 = 2.0;

/// Checks `[shaking]`: a coefficient, or a velocity with its frequency.
pub(super) fn check_shaking(root: &Table, problems: &mut Collector) {
    let Some(node) = root.get("shaking") else { return };
    let Some(table) = node.table() else { return };
    let mentions = |key: &str| table.mentions(key);
    let missing = |key: &str, found: &str, allowed: &str, todo: &str, problems: &mut Collector| {
        let says = Says::new(found.to_owned(), allowed.to_owned(), todo.to_owned());
        problems.add(ProblemKind::MissingKey, node.place, &format!("{}.{key}", node.path), says);
    };
    match (mentions("horizontal"), mentions("ppv_mm_s"), mentions("frequency_hz")) {
        (false, false, false) => missing(
            "horizontal",
            "nothing",
            "horizontal, or ppv_mm_s and frequency_hz",
            "say how strong it shakes: add horizontal, a share of the weight",
            problems,
        ),
        (false, true, false) => missing(
            "frequency_hz",
            "ppv_mm_s without frequency_hz",
            "both, or horizontal",
            "add frequency_hz: a velocity alone is no acceleration",
            problems,
        ),
        (false, false, true) => {
            missing(
                "ppv_mm_s",
                "frequency_hz without ppv_mm_s",
                "both, or horizontal",
                "add ppv_mm_s",
                problems,
            );
        }
        (true, velocity, frequency) if velocity || frequency => {
            let key = if velocity { "ppv_mm_s" } else { "frequency_hz" };
            let at = table.get(key).unwrap_or(node);
            let says = Says::new(
                format!("both horizontal and {key}"),
                "horizontal, or ppv_mm_s and frequency_hz",
                "delete horizontal, or the velocity and its frequency",
            );
            problems.add(ProblemKind::Conflict, at.place, &at.path, says);
        }
        _ => {}
    }
    check_size(node, table, problems);
}

fn check_size(node: &Node, table: &Table, problems: &mut Collector) {
    let (Some(ppv_mm_s), Some(frequency_hz)) = (table.number("ppv_mm_s"), table.number("frequency_hz"))
    else {
        return;
    };
    let coefficient = GroundVelocity { ppv_mm_s, frequency_hz }.coefficient();
    if coefficient > GREATEST {
        let at = table.get("ppv_mm_s").unwrap_or(node);
        let says = Says::new(
            format!("{ppv_mm_s} mm/s at {frequency_hz} Hz, {coefficient:.2} times the weight"),
            format!("at most {GREATEST} times"),
            "check both; beyond that a steady force does not stand for a blast",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
}

/// The plain value.
pub(super) fn shaking_of(table: &ShakingTable) -> Shaking {
    let velocity = table
        .ppv_mm_s
        .zip(table.frequency_hz)
        .map(|(ppv_mm_s, frequency_hz)| GroundVelocity { ppv_mm_s, frequency_hz });
    Shaking {
        horizontal: velocity.map_or(table.horizontal.unwrap_or(0.0), GroundVelocity::coefficient),
        vertical: table.vertical.unwrap_or(0.0),
        trend_deg: table.trend_deg,
        velocity,
        source: table.source.clone(),
    }
}
