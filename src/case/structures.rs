//! Mapped structures of a case file: what their keys ask of each other, and the plain values.

use super::Joint;
use super::file::StructureTable;
use super::rules::Range;
use super::strengths::{check_strength, law_of, line_of};
use super::words::bounds;
use crate::input::document::{Node, Table, Value};
use crate::input::{Collector, ProblemKind, Says, nearest, one_of, quoted};
use crate::opening::Opening;
use crate::orientation::{Plane, Vec3};

const BY_SECTION: [&str; 3] = ["chainage_m", "u_m", "v_m"];
const BY_COORDINATES: [&str; 3] = ["east_m", "north_m", "up_m"];

/// What no survey holds of a structure, and a point that it may hold: the engineer's own, in the case.
const ADDED_BY_THE_CASE: [&str; 12] = [
    "name",
    "strength",
    "friction_deg",
    "cohesion_kpa",
    "max_trace_m",
    "chainage_m",
    "u_m",
    "v_m",
    "east_m",
    "north_m",
    "up_m",
    "source",
];

/// Fills the structures of the case from a file of mapped ones, by their names, so that the case alone says which of
/// them meet this drive. What the file holds and the case does not name is noted: a fault that is forgotten holds
/// nothing and shows nowhere.
pub(super) fn take_in(
    fragment: &Node,
    fragment_name: &str,
    root: &mut Table,
    named: &Node,
    problems: &mut Collector,
) {
    let mapped = fragment.table().map(|f| f.list("structure")).unwrap_or_default();
    let names: Vec<&str> = mapped.iter().filter_map(name_of).collect();
    let mut taken: Vec<&str> = Vec::new();
    let here = root.entries.iter_mut().find(|(key, node)| key == "structure" && node.usable);
    if let Some((_, Node { value: Value::List(here), .. })) = here {
        for node in here.iter_mut() {
            let name = name_of(node).map(str::to_owned);
            let found = mapped.iter().find(|m| name.is_some() && name_of(m) == name.as_deref());
            let place = node.place;
            let path = node.path.clone();
            let Value::Table(entry) = &mut node.value else { continue };
            if let Some(found) = found {
                taken.extend(name_of(found));
                fill(entry, found, fragment_name, problems);
            } else if let Some(name) = name.filter(|_| !entry.mentions("dip_deg")) {
                let at = entry.get("name").map_or((place, path), |n| (n.place, n.path.clone()));
                let allowed = if names.is_empty() {
                    "a structure of that file".to_owned()
                } else {
                    one_of(names.iter().copied())
                };
                let advice = match nearest(&name, names.iter().copied()) {
                    Some(near) => format!("did you mean {}?", quoted(near)),
                    None => "correct the name, or give dip_deg and dip_direction_deg here".to_owned(),
                };
                let found = format!("{}, which {fragment_name} does not have", quoted(&name));
                problems.add(ProblemKind::Conflict, at.0, &at.1, Says::new(found, allowed, advice));
                // What the file would have given is not asked for besides.
                entry.meant.extend(["dip_deg", "dip_direction_deg"].map(str::to_owned));
                if !BY_COORDINATES.iter().any(|key| entry.mentions(key)) {
                    entry.meant.extend(BY_SECTION.map(str::to_owned));
                }
            }
        }
    }
    let left: Vec<&str> = names.into_iter().filter(|name| !taken.contains(name)).collect();
    if !left.is_empty() {
        let says = Says::new(
            format!(
                "{} of {fragment_name} named by no [[structure]]: {} in no wedge of this case",
                left.join(", "),
                if left.len() == 1 { "it is" } else { "they are" }
            ),
            "",
            "",
        );
        problems.add(ProblemKind::Note, named.place, &named.path, says);
    }
}

fn name_of(node: &Node) -> Option<&str> {
    node.table()?.text("name")
}

/// Puts what was mapped beside what the case gives. The case's own point replaces the mapped one: that may be on another
/// count than the drive's.
fn fill(entry: &mut Table, mapped: &Node, fragment_name: &str, problems: &mut Collector) {
    let Some(mapped) = mapped.table() else { return };
    let by_coordinates = BY_COORDINATES.iter().any(|key| entry.mentions(key));
    for (key, node) in &mapped.entries {
        if BY_SECTION.contains(&key.as_str()) && by_coordinates {
            continue;
        }
        let Some((_, here)) = entry.entries.iter_mut().find(|(k, _)| k == key) else {
            entry.entries.push((key.clone(), node.clone()));
            continue;
        };
        match (key.as_str(), &mut here.value, &node.value) {
            ("source", Value::Text(case), Value::Text(map)) => {
                *case = format!("orientation: {map}; strength: {case}")
            }
            (key, ..) if ADDED_BY_THE_CASE.contains(&key) => {}
            _ => {
                let says = Says::new(
                    format!("a second value, beside line {} of {fragment_name}", node.place.line),
                    one_of(ADDED_BY_THE_CASE.into_iter()),
                    format!("delete it here, or change it in {fragment_name}"),
                );
                problems.add(ProblemKind::Conflict, here.place, &here.path, says);
            }
        }
    }
    entry.meant.extend(mapped.meant.iter().cloned());
}

/// Whether a joint has this key, or a law of strength in place of its friction.
pub(super) fn gives(table: &Table, key: &str) -> bool {
    table.mentions(key) || key == "friction_deg" && table.mentions("strength")
}

/// What every structure needs, in the case or in the file that it names.
fn check_complete(node: &Node, problems: &mut Collector) {
    let Some(table) = node.table() else { return };
    check_strength(node, problems);
    let needed = [
        ("dip_deg", 90.0, "add it as mapped"),
        ("dip_direction_deg", 360.0, "add it as mapped"),
        ("friction_deg", 85.0, "add the friction angle of the plane or its filling; there is no default"),
    ];
    for (key, most, advice) in needed.into_iter().filter(|(key, ..)| !gives(table, key)) {
        let range = Range { least: Some(0.0), above: None, most: Some(most), whole: false };
        let says = Says::new("nothing", bounds(&range, key), advice);
        problems.add(ProblemKind::MissingKey, node.place, &format!("{}.{key}", node.path), says);
    }
}

/// Checks structures among themselves and against the joint sets, where they are known.
pub(super) fn check_structures(structures: &[Node], sets: &[Node], problems: &mut Collector) {
    for (index, node) in structures.iter().enumerate() {
        let Some(table) = node.table() else { continue };
        check_complete(node, problems);
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
    let plane = Plane { dip_deg: table.dip_deg?, dip_direction_deg: table.dip_direction_deg? };
    let law = table.strength.as_ref().map(law_of);
    let strength = line_of(law.as_ref(), table.friction_deg, table.cohesion_kpa)?;
    Some(Joint {
        law,
        max_trace_m: table.max_trace_m,
        source: table.source.clone(),
        ..Joint::structure(&table.name, plane, strength, through)
    })
}
