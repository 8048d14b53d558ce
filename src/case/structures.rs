//! Mapped structures of a case file: what their keys ask of each other, and the plain values.

use super::Joint;
use super::file::StructureTable;
use crate::input::document::{Node, Value};
use crate::input::{Collector, ProblemKind, Says, quoted};
use crate::opening::Opening;
use crate::orientation::{Plane, Vec3};
use crate::strength::MohrCoulomb;

const BY_SECTION: [&str; 3] = ["chainage_m", "u_m", "v_m"];
const BY_COORDINATES: [&str; 3] = ["east_m", "north_m", "up_m"];

/// Checks structures among themselves and against the joint sets, where they are known.
pub(super) fn check_structures(structures: &[Node], sets: &[Node], problems: &mut Collector) {
    for (index, node) in structures.iter().enumerate() {
        let Some(table) = node.table() else { continue };
        let same = |other: &&Node| {
            other.table().is_some_and(|o| o.text("name").is_some() && o.text("name") == table.text("name"))
        };
        let earlier = sets.iter().chain(&structures[..index]).find(same);
        if let (Some(earlier), Some(name)) = (earlier, table.get("name")) {
            let what = match &name.value {
                Value::Text(text) => quoted(text),
                _ => String::new(),
            };
            let says = Says::new(
                format!("{what}, which is the name of the joints on line {} too", earlier.place.line),
                "a name of its own for each set and structure",
                "rename one of the two",
            );
            problems.add(ProblemKind::Conflict, name.place, &name.path, says);
        }
        let given = |keys: &[&str; 3]| keys.iter().filter(|k| table.mentions(k)).count();
        let (section, coordinates) = (given(&BY_SECTION), given(&BY_COORDINATES));
        if (section, coordinates) != (3, 0) && (section, coordinates) != (0, 3) {
            let found = match (section, coordinates) {
                (0, 0) => "no point that it passes through",
                (1.., 1..) => "parts of two points that it passes through",
                _ => "a part of a point that it passes through",
            };
            let says = Says::new(
                found,
                "chainage_m, u_m and v_m, or east_m, north_m and up_m",
                "give one point, all three numbers of it",
            );
            problems.add(ProblemKind::MissingKey, node.place, &format!("{}.chainage_m", node.path), says);
        }
    }
}

/// A structure as it stands among the joints.
pub(super) fn structure_of(table: &StructureTable, opening: &Opening) -> Option<Joint> {
    let through = match (table.chainage_m, table.east_m) {
        (Some(s), _) => Vec3::new(table.u_m?, s, table.v_m?),
        (None, east_m) => opening.frame.to_local(&Vec3::new(east_m?, table.north_m?, table.up_m?)),
    };
    let plane = Plane { dip_deg: table.dip_deg, dip_direction_deg: table.dip_direction_deg };
    let strength =
        MohrCoulomb { friction_deg: table.friction_deg, cohesion_kpa: table.cohesion_kpa.unwrap_or(0.0) };
    Some(Joint {
        max_trace_m: table.max_trace_m,
        source: table.source.clone(),
        ..Joint::structure(&table.name, plane, strength, through)
    })
}
