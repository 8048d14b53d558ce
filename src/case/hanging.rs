//! Hung loads of a case file: what their keys ask of each other, and the plain values.

use super::file::HungLoadTable;
use crate::input::document::{Node, Table};
use crate::input::{Collector, ProblemKind, Says};
use crate::opening::{Opening, Section, Vec2};
use crate::stability::{HungLoad, HungSize};

/// A load that is said to hang farther than this from the surface, metres, hangs from something
/// else, or its place is a slip of the pen.
const FARTHEST_FROM_SURFACE_M: f64 = 0.5;

/// Checks hung loads; `section` where it is known.
pub(super) fn check_hung_loads(loads: &[Node], section: Option<&Section>, problems: &mut Collector) {
    for node in loads {
        let Some(table) = node.table() else { continue };
        one_of_two(node, table, ("kn", "kn_per_m"), "how much hangs there", problems);
        place(node, table, problems);
        if let (true, Some(at)) = (table.has("kn_per_m"), table.get("chainage_m")) {
            let says = Says::new(
                "a chainage for a load all along the drive",
                "chainage_m for a load at one place, kn",
                "delete it, or give kn instead of kn_per_m",
            );
            problems.add(ProblemKind::Conflict, at.place, &at.path, says);
        }
        if let Some(section) = section {
            check_place(node, table, section, problems);
        }
    }
}

fn one_of_two(node: &Node, table: &Table, (a, b): (&str, &str), what: &str, problems: &mut Collector) {
    match (table.mentions(a), table.mentions(b)) {
        (false, false) => {
            let says = Says::new("nothing", format!("{a} or {b}"), format!("say {what}: add {a} or {b}"));
            problems.add(ProblemKind::MissingKey, node.place, &format!("{}.{a}", node.path), says);
        }
        (true, true) => {
            if let Some(at) = table.get(b) {
                let says =
                    Says::new(format!("both {a} and {b}"), format!("{a} or {b}"), "delete one of the two");
                problems.add(ProblemKind::Conflict, at.place, &at.path, says);
            }
        }
        _ => {}
    }
}

fn place(node: &Node, table: &Table, problems: &mut Collector) {
    let (u, v) = (table.mentions("u_m"), table.mentions("v_m"));
    if u != v && !table.mentions("arc_m") {
        let (has, lacks) = if u { ("u_m", "v_m") } else { ("v_m", "u_m") };
        let says = Says::new(
            format!("{has} without {lacks}"),
            "arc_m, or u_m and v_m together",
            format!("add {lacks}"),
        );
        problems.add(ProblemKind::MissingKey, node.place, &format!("{}.{lacks}", node.path), says);
        return;
    }
    one_of_two(node, table, ("arc_m", if u { "u_m" } else { "v_m" }), "where it hangs", problems);
}

fn check_place(node: &Node, table: &Table, section: &Section, problems: &mut Collector) {
    let half_m = 0.5 * section.perimeter_m();
    if let (Some(arc_m), Some(at)) = (table.number("arc_m"), table.get("arc_m"))
        && arc_m.abs() > half_m
    {
        let says = Says::new(
            format!("{arc_m}, farther round than the middle of the floor"),
            format!("a number from -{half_m:.3} to {half_m:.3} metres"),
            "count along the surface from the crown, to the right of the advance positive",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
    let (Some(u_m), Some(v_m)) = (table.number("u_m"), table.number("v_m")) else { return };
    let (_, off_m) = section.nearest_m(&Vec2::new(u_m, v_m));
    if off_m > FARTHEST_FROM_SURFACE_M {
        let at = table.get("u_m").unwrap_or(node);
        let says = Says::new(
            format!("a place {off_m:.2} m from the surface"),
            format!("a place within {FARTHEST_FROM_SURFACE_M} metres of it"),
            "give the place on the surface that it hangs from",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
}

/// The plain value of a hung load on a section.
pub(super) fn hung_load_of(table: &HungLoadTable, opening: &Opening) -> Option<HungLoad> {
    let size = match (table.kn, table.kn_per_m) {
        (Some(kn), _) => HungSize::AtPlace { kn, chainage_m: table.chainage_m },
        (None, per_m) => HungSize::PerMetre { kn_per_m: per_m? },
    };
    let section = &opening.section;
    let arc_m = match (table.arc_m, table.u_m, table.v_m) {
        (Some(arc_m), _, _) => arc_m,
        (None, u, v) => section.arc_from_crown_m(section.nearest_m(&Vec2::new(u?, v?)).0),
    };
    Some(HungLoad { name: table.name.clone(), size, arc_m, source: table.source.clone() })
}
