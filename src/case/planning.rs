use super::practice;
use crate::input::document::{Node, Table};
use crate::input::{Collector, ProblemKind, Says, quoted};

/// Checks what `[plan]`, bolts and patterns say for planning among themselves.
pub(super) fn check_plan(root: &Table, problems: &mut Collector) {
    for bolt in root.list("bolt") {
        if let Some(table) = bolt.table() {
            check_diameters(table, problems);
        }
    }
    let Some(plan) = root.table("plan") else { return };
    if let Some(screen) = plan.table("screen") {
        check_overlap(screen, problems);
        let is_screen = |n: &Node| n.table().is_some_and(|t| t.text("kind") == Some("screen"));
        if let (Some(at), true) = (screen.get("beyond_m"), root.list("surface").iter().any(is_screen)) {
            let found = "beyond_m does nothing where a [[surface]] of kind screen says how far mesh hangs";
            problems.add(ProblemKind::Note, at.place, &at.path, Says::new(found, "", ""));
        }
    }
    check_currency(root, plan, problems);
}

fn check_diameters(bolt: &Table, problems: &mut Collector) {
    let resin = bolt.text("kind").is_none_or(|kind| kind == "resin");
    if let (false, Some(node)) = (resin, bolt.get("cartridge_mm")) {
        let kind = quoted(bolt.text("kind").unwrap_or_default());
        let says = Says::new(
            format!("a value that kind {kind} does not have"),
            "kind \"resin\" alone has resin",
            "delete it, or correct the kind",
        );
        problems.add(ProblemKind::Conflict, node.place, &node.path, says);
    }
    let Some(hole_mm) = bolt.number("hole_mm") else { return };
    for (key, what) in [("bar_mm", "bar"), ("cartridge_mm", "cartridge")] {
        let (Some(value), Some(node)) = (bolt.number(key), bolt.get(key)) else { continue };
        if value >= hole_mm {
            let says = Says::new(
                format!("{value}, a {what} that does not go into a hole of {hole_mm} mm"),
                format!("a number below hole_mm, {hole_mm} millimetres"),
                "correct one of the two diameters",
            );
            problems.add(ProblemKind::Conflict, node.place, &node.path, says);
        }
    }
}

fn check_overlap(screen: &Table, problems: &mut Collector) {
    let overlap_m = screen.number("overlap_m").unwrap_or(practice::SCREEN_OVERLAP_M);
    for (key, practice_m) in [("across_m", practice::SCREEN_ACROSS_M), ("along_m", practice::SCREEN_ALONG_M)]
    {
        let size_m = screen.number(key).unwrap_or(practice_m);
        let Some(at) = screen.get("overlap_m").or_else(|| screen.get(key)) else { continue };
        if overlap_m >= 0.5 * size_m {
            let says = Says::new(
                format!("an overlap of {overlap_m} m of sheets of {size_m} m ({key})"),
                format!("less than half a sheet, {} metres", 0.5 * size_m),
                "give overlap_m and the size of a sheet in metres",
            );
            problems.add(ProblemKind::Conflict, at.place, &at.path, says);
            return;
        }
    }
}

/// A price in no currency is a number that two readers take for two things.
fn check_currency(root: &Table, plan: &Table, problems: &mut Collector) {
    if plan.mentions("currency") {
        return;
    }
    let in_plan = plan.table("price").and_then(|p| p.entries.first()).map(|(_, node)| node);
    let keyed = |list: &str, key: &str| root.list(list).iter().find_map(|n| n.table()?.get(key)).cloned();
    let elsewhere = keyed("pattern", "price_per_bolt")
        .or_else(|| keyed("bolt_at", "price_per_bolt"))
        .or_else(|| keyed("bolt", "price_per_plate"));
    if let Some(node) = in_plan.or(elsewhere.as_ref()) {
        let says = Says::new("a price in no currency", "", "add currency to [plan]");
        problems.add(ProblemKind::Note, node.place, &node.path, says);
    }
}
