//! Checks of screen, straps and shotcrete across their keys.

use super::bolting::CROWN_TOLERANCE_M;
use super::bolting::WallHeight;
use super::file::{SurfaceKindWord, SurfaceTable};
use crate::input::document::{Node, Table, Value};
use crate::input::{Collector, ProblemKind, Says, quoted};
use crate::opening::Section;
use crate::support::{SurfaceKind, SurfaceSupport};

/// Keys of screen and straps, and of shotcrete.
const BAY_KEYS: [&str; 1] = ["bay_kn"];
const SHOTCRETE_KEYS: [&str; 4] = ["thickness_m", "shear_strength_kpa", "adhesion_kpa", "adhesion_width_m"];

/// Shotcrete thicker than this, metres, is more likely in centimetres.
const THICK_SHOTCRETE_M: f64 = 0.5;

/// Checks surface support by its kind, among itself, and against section and patterns.
pub(super) fn check_surfaces(
    surfaces: &[Node],
    patterns: &[Node],
    section: Option<&Section>,
    problems: &mut Collector,
) {
    for (index, node) in surfaces.iter().enumerate() {
        let Some(table) = node.table() else { continue };
        let same = |other: &&Node| {
            other.table().is_some_and(|o| o.text("name").is_some() && o.text("name") == table.text("name"))
        };
        if let (Some(earlier), Some(name)) = (surfaces[..index].iter().find(same), table.get("name")) {
            let says = Says::new(
                format!(
                    "{}, which is the name of the surface support on line {} too",
                    quoted(table.text("name").unwrap_or_default()),
                    earlier.place.line
                ),
                "a name of its own for each surface support",
                "rename one of the two, or delete it",
            );
            problems.add(ProblemKind::Conflict, name.place, &name.path, says);
        }
        if let Some(kind) = table.text("kind") {
            check_kind(node, table, kind, problems);
            if kind != "shotcrete" && patterns.is_empty() {
                let says = Says::new(
                    format!("{} without a pattern: a bay is what lies between bolts", quoted(kind)),
                    "",
                    "",
                );
                problems.add(ProblemKind::Note, node.place, &node.path, says);
            }
        }
        check_covers(node, table, section, problems);
        let mut earlier = surfaces[..index].iter().filter_map(Node::table);
        if !on_face_alone(table) && earlier.any(on_face_alone) {
            let says = Says::new(
                "surface support of the drive behind one on the face alone",
                "those on the face alone last",
                "move it before them",
            );
            problems.add(ProblemKind::Conflict, node.place, &node.path, says);
        }
        if let (Some(thickness_m), Some(at)) = (table.number("thickness_m"), table.get("thickness_m"))
            && thickness_m > THICK_SHOTCRETE_M
        {
            let says = Says::new(format!("{thickness_m} m is thick for shotcrete: is it metres?"), "", "");
            problems.add(ProblemKind::Note, at.place, &at.path, says);
        }
    }
}

fn on_face_alone(surface: &Table) -> bool {
    let face = |entry: &Node| matches!(&entry.value, Value::Text(t) if t == "face");
    let covers = surface.list("covers");
    !covers.is_empty() && covers.iter().all(face)
}

fn check_kind(node: &Node, table: &Table, kind: &str, problems: &mut Collector) {
    let (needed, refused): (&[&str], &[&str]) =
        if kind == "shotcrete" { (&SHOTCRETE_KEYS, &BAY_KEYS) } else { (&BAY_KEYS, &SHOTCRETE_KEYS) };
    let list = match needed.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => needed.concat(),
    };
    for key in needed.iter().filter(|key| !table.mentions(key)) {
        let says = Says::new(
            "nothing",
            format!("{list} for kind {}", quoted(kind)),
            format!("add {key} from your tests; there is no default"),
        );
        problems.add(ProblemKind::MissingKey, node.place, &format!("{}.{key}", node.path), says);
    }
    for wrong in refused.iter().filter_map(|key| table.get(key)) {
        let says = Says::new(
            format!("a value that kind {} does not have", quoted(kind)),
            format!("{list} for kind {}", quoted(kind)),
            "delete it, or correct the kind",
        );
        problems.add(ProblemKind::Conflict, wrong.place, &wrong.path, says);
    }
}

fn check_covers(node: &Node, table: &Table, section: Option<&Section>, problems: &mut Collector) {
    let height = WallHeight {
        key: "lowest_m",
        advice: "add lowest_m: the height above the floor down to which the wall is covered",
        face: None,
    };
    let wall = height.check(node, table, problems);
    let Some((lowest_m, at)) = table.number("lowest_m").zip(table.get("lowest_m")) else { return };
    let Some(section) = section else { return };
    let crown_m = section.at(section.crown_m(), 0.0).point.y;
    if wall && lowest_m >= crown_m - CROWN_TOLERANCE_M {
        let says = Says::new(
            format!("{lowest_m}, at or above the crown of the section"),
            format!("a height below the crown, {crown_m:.3} metres"),
            "give the height above the floor down to which the wall is covered",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
}

/// The plain value of a surface support; `None` when a key of its kind is missing.
pub(super) fn surface_of(table: &SurfaceTable) -> Option<SurfaceSupport> {
    let kind = match table.kind {
        SurfaceKindWord::Screen => SurfaceKind::Screen { bay_kn: table.bay_kn? },
        SurfaceKindWord::Strap => SurfaceKind::Strap { bay_kn: table.bay_kn? },
        SurfaceKindWord::Shotcrete => SurfaceKind::Shotcrete {
            thickness_m: table.thickness_m?,
            shear_strength_kpa: table.shear_strength_kpa?,
            adhesion_kpa: table.adhesion_kpa?,
            adhesion_width_m: table.adhesion_width_m?,
        },
    };
    Some(SurfaceSupport {
        name: table.name.clone(),
        kind,
        covers: table.covers.iter().map(|&c| c.into()).collect(),
        lowest_m: table.lowest_m,
        source: table.source.clone(),
    })
}
