use super::words::bounds;
use crate::input::document::{Node, Table, Value};
use crate::input::{Collector, Place, ProblemKind, Says, nearest, one_of, quoted};
use crate::orientation::Plane;

use super::rules::Range;
use super::strengths::check_strength;
use super::structures::gives;

/// Wedges are cut out by three joint planes.
const LEAST_SETS: usize = 3;

/// Two sets whose planes differ by less are one set: no compass tells them apart, and the wedge
/// between them would be endless.
pub const LEAST_ANGLE_BETWEEN_SETS_DEG: f64 = 0.1;

/// What a set that comes from a file of joint sets may be given in the case: the engineer's own.
const ADDED_BY_THE_CASE: [&str; 8] = [
    "name",
    "strength",
    "friction_deg",
    "cohesion_kpa",
    "max_trace_m",
    "friction_cohesion_correlation",
    "orientation",
    "source",
];

/// The sets of a file of joint sets, with what the case adds to them.
pub(super) fn merge(
    fragment: &Node,
    fragment_name: &str,
    added: &[Node],
    named: &Node,
    problems: &mut Collector,
) -> Vec<Node> {
    let file = fragment.table();
    let mut sets = file.map(|f| f.list("joint_set").to_vec()).unwrap_or_default();
    let common_source = file.and_then(|f| f.get("source"));
    for set in &mut sets {
        if let (Value::Table(table), Some(source)) = (&mut set.value, common_source)
            && !table.has("source")
        {
            table.entries.push(("source".to_owned(), source.clone()));
        }
    }
    let names: Vec<String> = sets.iter().filter_map(|s| s.table()?.text("name").map(str::to_owned)).collect();
    let mut seen: Vec<(&str, usize)> = Vec::new();
    for entry in added {
        let Some(name) = entry.table().and_then(|t| t.text("name")) else { continue };
        let name_place = entry.table().and_then(|t| t.get("name")).map_or(entry.place, |n| n.place);
        let key = format!("{}.name", entry.path);
        if let Some((_, line)) = seen.iter().find(|(n, _)| *n == name) {
            let says = Says::new(
                format!("{} again, as on line {line}", quoted(name)),
                "one entry for each set",
                "put both into one [[joint_set]]",
            );
            problems.add(ProblemKind::Conflict, name_place, &key, says);
            continue;
        }
        seen.push((name, name_place.line));
        let target = sets.iter_mut().find(|s| s.table().and_then(|t| t.text("name")) == Some(name));
        let Some(Node { value: Value::Table(target), .. }) = target else {
            let near = nearest(name, names.iter().map(String::as_str));
            let says = Says::new(
                format!("{}, which {fragment_name} does not have", quoted(name)),
                if names.is_empty() {
                    "a set of that file".to_owned()
                } else {
                    one_of(names.iter().map(String::as_str))
                },
                near.map_or_else(
                    || {
                        format!(
                            "add the set to {fragment_name}, or write all sets here and take joint_sets out"
                        )
                    },
                    |n| format!("did you mean \"{n}\"?"),
                ),
            );
            problems.add(ProblemKind::Conflict, name_place, &key, says);
            continue;
        };
        add_to(target, entry, fragment_name, problems);
    }
    lacking_friction(&sets, fragment_name, named.place, problems);
    sets
}

fn add_to(target: &mut Table, entry: &Node, fragment_name: &str, problems: &mut Collector) {
    let Some(table) = entry.table() else { return };
    for (key, node) in &table.entries {
        if key == "name" {
            continue;
        }
        let there = target.entries.iter_mut().find(|(k, _)| k == key);
        if !ADDED_BY_THE_CASE.contains(&key.as_str()) {
            let says = Says::new(
                format!("a value for what is measured, which {fragment_name} is there for"),
                one_of(ADDED_BY_THE_CASE.into_iter()),
                format!("delete it here, or change it in {fragment_name}"),
            );
            problems.add(ProblemKind::Conflict, node.place, &node.path, says);
        } else if let Some((_, there)) = there {
            // Orientation and strength may each have a source.
            if let ("source", Value::Text(map), Value::Text(case)) =
                (key.as_str(), &mut there.value, &node.value)
            {
                *map = format!("orientation: {map}; strength: {case}");
            } else {
                let says = Says::new(
                    format!("a second value, beside line {} of {fragment_name}", there.place.line),
                    "one value, in one of the two files",
                    "delete one of the two",
                );
                problems.add(ProblemKind::Conflict, node.place, &node.path, says);
            }
        } else {
            target.entries.push((key.clone(), node.clone()));
        }
    }
    target.meant.extend(table.meant.iter().cloned());
}

/// Sets that were mapped have no strength yet: says which, with the lines to fill in.
fn lacking_friction(sets: &[Node], fragment_name: &str, named_at: Place, problems: &mut Collector) {
    let lacking: Vec<&str> = sets
        .iter()
        .filter_map(Node::table)
        .filter(|t| !gives(t, "friction_deg"))
        .filter_map(|t| t.text("name"))
        .collect();
    if lacking.is_empty() {
        return;
    }
    let paste: Vec<String> = lacking
        .iter()
        .map(|name| {
            format!(
                "[[joint_set]]\nname = \"{name}\"\nfriction_deg =    # degrees, 0 to 85\ncohesion_kpa = 0.0\n"
            )
        })
        .collect();
    let says = Says::new(
        format!("no friction_deg for {} of {fragment_name}", lacking.join(", ")),
        "friction_deg for every set: mapping does not measure it",
        "paste the lines below into the case file and type each friction angle",
    );
    problems.add_with(ProblemKind::MissingKey, named_at, "joint_sets", says, Some(paste.join("\n")));
}

/// Checks sets among themselves. `added_up` says that they come from two files.
pub(super) fn check_sets(sets: &[Node], added_up: bool, count_at: Place, problems: &mut Collector) {
    if sets.len() < LEAST_SETS {
        let says = Says::new(
            format!("{} joint set{}", sets.len(), if sets.len() == 1 { "" } else { "s" }),
            "three or more",
            "add sets: prisms of two sets come beside wedges of three, and single planes are not covered yet",
        );
        problems.add(ProblemKind::Conflict, count_at, "joint_set", says);
    }
    let orientation = |key| (key, if key == "dip_deg" { 90.0 } else { 360.0 });
    for set in sets {
        let Some(table) = set.table() else { continue };
        check_strength(set, problems);
        let mut needed = vec![orientation("dip_deg"), orientation("dip_direction_deg")];
        if !added_up {
            needed.push(("friction_deg", 85.0));
        }
        for (key, most) in needed {
            if !gives(table, key) {
                let range = Range { least: Some(0.0), above: None, most: Some(most), whole: false };
                let advice = match key {
                    "friction_deg" => "add the friction angle of the joints; there is no default",
                    _ => "add it as mapped",
                };
                let says = Says::new("nothing", bounds(&range, key), advice);
                problems.add(ProblemKind::MissingKey, set.place, &format!("{}.{key}", set.path), says);
            }
        }
    }
    for (later, set) in sets.iter().enumerate() {
        for earlier in &sets[..later] {
            compare(earlier, set, problems);
        }
    }
}

fn compare(earlier: &Node, later: &Node, problems: &mut Collector) {
    let (Some(a), Some(b)) = (earlier.table(), later.table()) else { return };
    let same_name = a.text("name").is_some() && a.text("name") == b.text("name");
    let angle = plane(a).zip(plane(b)).map(|(a, b)| a.angle_to_deg(b));
    let same_plane = angle.is_some_and(|angle| angle < LEAST_ANGLE_BETWEEN_SETS_DEG);
    let line = earlier.place.line;
    let at = |key: &str| (b.get(key).map_or(later.place, |n| n.place), format!("{}.{key}", later.path));
    if same_name {
        let (place, key) = at("name");
        let name = quoted(b.text("name").unwrap_or_default());
        let says = if same_plane {
            Says::new(
                format!("{name}, the same set as on line {line}"),
                "each set once",
                "delete one of the two",
            )
        } else {
            Says::new(
                format!("{name}, which is the name of the set on line {line} too"),
                "a name of its own for each set",
                "rename one of the two",
            )
        };
        problems.add(ProblemKind::Conflict, place, &key, says);
    } else if same_plane {
        let (place, key) = at("dip_deg");
        let says = Says::new(
            format!(
                "a plane {:.3}° from set {} on line {line}",
                angle.unwrap_or(0.0),
                quoted(a.text("name").unwrap_or_default())
            ),
            format!("sets at least {LEAST_ANGLE_BETWEEN_SETS_DEG}° apart"),
            "take the two as one set, or correct an orientation",
        );
        problems.add(ProblemKind::Conflict, place, &key, says);
    }
}

fn plane(set: &Table) -> Option<Plane> {
    Some(Plane { dip_deg: set.number("dip_deg")?, dip_direction_deg: set.number("dip_direction_deg")? })
}
