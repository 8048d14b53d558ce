use super::collars::Ground;
use super::face_bolting::{check_face_layout, check_off_face, check_on_face, is_on_face};
use super::file::PatternTable;
use super::practice::LONGEST_CABLE_HOLE_M;
use super::rules::Keys;
use super::walk::missing_key;
use crate::input::document::{Node, Table, Value};
use crate::input::{Collector, ProblemKind, Says, nearest, one_of, quoted};
use crate::opening::{Opening, Section};
use crate::support::{Aim, Layout, LayoutError, Pattern};

/// Room for rounding where the lowest collar is put exactly at the crown.
pub(super) const CROWN_TOLERANCE_M: f64 = 1e-9;

/// Checks bolts among themselves and by their kind; `keys` are those of a `[[bolt]]`.
pub(super) fn check_bolts(bolts: &[Node], keys: Option<&Keys>, problems: &mut Collector) {
    for (index, node) in bolts.iter().enumerate() {
        let Some(bolt) = node.table() else { continue };
        let earlier = bolts[..index].iter().find(|b| b.table().is_some_and(|b| same_text(b, bolt, "name")));
        if let (Some(earlier), Some(name)) = (earlier, bolt.get("name")) {
            let says = Says::new(
                format!("{}, which is the name of the bolt on line {} too", text(name), earlier.place.line),
                "a name of its own for each bolt",
                "rename one of the two, or delete it",
            );
            problems.add(ProblemKind::Conflict, name.place, &name.path, says);
        }
        check_needed(node, bolt, keys, problems);
        if let Some(kind) = bolt.text("kind") {
            check_kind(node, bolt, kind, problems);
        }
    }
}

/// What a bolt needs, from itself or from its preset.
fn check_needed(node: &Node, bolt: &Table, keys: Option<&Keys>, problems: &mut Collector) {
    if bolt.mentions("preset") && !bolt.has("kind") {
        return; // its preset was not found, and that has been reported
    }
    for key in ["kind", "steel_kn", "plate_kn"].into_iter().filter(|key| !bolt.mentions(key)) {
        if let Some(key) = keys.and_then(|keys| keys.get(key)) {
            let path = format!("{}.{}", node.path, key.name);
            problems.add(ProblemKind::MissingKey, node.place, &path, missing_key(key, &node.path));
        }
    }
}

fn check_kind(node: &Node, bolt: &Table, kind: &str, problems: &mut Collector) {
    let (needed, refused): (&[&str], &[&str]) = if kind == "mechanical" {
        (&["anchor_kn", "anchor_length_m"], &["bond_kn_per_m", "bond_from", "tests_condition"])
    } else if bolt.mentions("bond_from") {
        (&["bond_from"], &["anchor_kn", "anchor_length_m"])
    } else {
        (&["bond_kn_per_m"], &["anchor_kn", "anchor_length_m"])
    };
    if let (Some(typed), true) = (bolt.get("bond_kn_per_m"), bolt.mentions("bond_from")) {
        let says = Says::new(
            "a typed bond beside bond_from",
            "one of the two",
            "delete one: the bond comes from the tests, or it is typed",
        );
        problems.add(ProblemKind::Conflict, typed.place, &typed.path, says);
    }
    for key in needed.iter().filter(|key| !bolt.mentions(key)) {
        let says = Says::new(
            "nothing",
            format!("{} for kind {}", needed.join(" and "), quoted(kind)),
            format!("add {key} from your pull tests; there is no default"),
        );
        problems.add(ProblemKind::MissingKey, node.place, &format!("{}.{key}", node.path), says);
    }
    if let (true, Some(at)) = (kind != "resin", bolt.get("fast_length_m")) {
        let says = Says::new(
            format!("a length of fast resin, on a bolt of kind {}", quoted(kind)),
            "fast_length_m for kind \"resin\" alone",
            "delete it, or correct the kind",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
    for wrong in refused.iter().filter_map(|key| bolt.get(key)) {
        let says = Says::new(
            format!("a value that kind {} does not have", quoted(kind)),
            format!("{} for kind {}", needed.join(" and "), quoted(kind)),
            "delete it, or correct the kind",
        );
        problems.add(ProblemKind::Conflict, wrong.place, &wrong.path, says);
    }
}

/// The bolts of a case as its document has them.
pub(super) struct BoltsKnown<'a> {
    pub bolts: &'a [Node],
    /// Whether that is all of them.
    pub all: bool,
}

/// Checks patterns against their bolts and against the opening, where it is known; `keys` are those of a
/// `[[pattern]]`.
pub(super) fn check_patterns(
    patterns: &[Node],
    keys: Option<&Keys>,
    &BoltsKnown { bolts, all: bolts_known }: &BoltsKnown<'_>,
    ground: Ground<'_>,
    problems: &mut Collector,
) {
    let names: Vec<&str> = bolts.iter().filter_map(|b| b.table()?.text("name")).collect();
    for node in patterns {
        let Some(pattern) = node.table() else { continue };
        let before = problems.count();
        let bolt_name = pattern.text("bolt");
        let bolt =
            bolt_name.and_then(|n| bolts.iter().filter_map(Node::table).find(|b| b.text("name") == Some(n)));
        if let (Some(name), None, true, Some(at)) = (bolt_name, bolt, bolts_known, pattern.get("bolt")) {
            undefined_bolt(name, at, &names, problems);
        }
        check_lengths(pattern, bolt, problems);
        if is_on_face(pattern) {
            check_on_face(node, pattern, keys, ground, problems);
            if problems.count() == before && node.whole() {
                check_face_layout(node, pattern, ground, problems);
            }
            continue;
        }
        check_off_face(node, pattern, keys, problems);
        check_covers(node, pattern, problems);
        check_boom(node, pattern, problems);
        if let Some(section) = ground.section {
            check_height(pattern, section, problems);
        }
        if let (Some(opening), true) = (ground.opening, problems.count() == before && node.whole()) {
            check_layout(node, pattern, opening, problems);
        }
        check_tension(pattern, bolt, problems);
    }
}

/// Says which bolts no pattern uses.
pub(super) fn note_unused_bolts(
    patterns: &[Node],
    bolts: &[Node],
    used_elsewhere: &[&str],
    problems: &mut Collector,
) {
    let named = patterns.iter().filter_map(|p| p.table()?.text("bolt"));
    let used: Vec<&str> = named.chain(used_elsewhere.iter().copied()).collect();
    for bolt in bolts.iter().filter_map(|b| b.table()?.get("name")) {
        if !used.iter().any(|name| matches!(&bolt.value, Value::Text(t) if t == name)) {
            let says = Says::new(format!("no pattern uses the bolt {}", text(bolt)), "", "");
            problems.add(ProblemKind::Note, bolt.place, &bolt.path, says);
        }
    }
}

pub(super) fn undefined_bolt(name: &str, at: &Node, names: &[&str], problems: &mut Collector) {
    let allowed = match names {
        [] => "the name of a [[bolt]]; there is none".to_owned(),
        names => one_of(names.iter().copied()),
    };
    let advice = match nearest(name, names.iter().copied()) {
        Some(near) => format!("did you mean {}?", quoted(near)),
        None => format!("add a [[bolt]] with name = {}", quoted(name)),
    };
    let says = Says::new(format!("{}, a bolt that nobody defined", quoted(name)), allowed, advice);
    problems.add(ProblemKind::Conflict, at.place, &at.path, says);
}

pub(super) fn check_lengths(pattern: &Table, bolt: Option<&Table>, problems: &mut Collector) {
    let (Some(length_m), Some(outside_m)) = (pattern.number("length_m"), pattern.number("outside_hole_m"))
    else {
        return;
    };
    let in_hole_m = length_m - outside_m;
    let Some(at) = pattern.get("outside_hole_m") else { return };
    if outside_m > in_hole_m {
        let says = Says::new(
            format!(
                "{outside_m} m outside the hole of a bolt of {length_m} m: it is longer outside than in it"
            ),
            format!("at most half of length_m: {} metres", 0.5 * length_m),
            "give the part of the bolt that sticks out of the hole, in metres",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
        return;
    }
    let cable = bolt.and_then(|b| b.text("kind")) == Some("cable");
    if let (true, Some(at)) = (cable && length_m > LONGEST_CABLE_HOLE_M, pattern.get("length_m")) {
        let says = Says::new(
            format!(
                "a cable of {length_m} m; their holes are drilled up to {LONGEST_CABLE_HOLE_M} m (common practice, no source)"
            ),
            "",
            "make sure that such holes can be drilled and grouted",
        );
        problems.add(ProblemKind::Note, at.place, &at.path, says);
    }
    if let (Some(fast_m), Some(at)) = (bolt.and_then(|b| b.number("fast_length_m")), pattern.get("length_m"))
        && fast_m > in_hole_m
    {
        let says = Says::new(
            format!("{in_hole_m} m of bolt in its hole, less than its fast_length_m {fast_m}"),
            format!("at least {fast_m} metres in the hole"),
            "correct length_m, outside_hole_m or the bolt's fast_length_m",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
    let Some(anchor_m) = bolt.and_then(|b| b.number("anchor_length_m")) else { return };
    if let (true, Some(at)) = (anchor_m > in_hole_m, pattern.get("length_m")) {
        let says = Says::new(
            format!("{in_hole_m} m of bolt in its hole, less than its anchor_length_m {anchor_m}"),
            format!("at least {anchor_m} metres in the hole"),
            "correct length_m, outside_hole_m or the bolt's anchor_length_m",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
}

pub(super) fn check_covers(node: &Node, pattern: &Table, problems: &mut Collector) {
    let height = WallHeight {
        key: "lowest_collar_m",
        advice: "add lowest_collar_m: the height above the floor of the lowest collar on the wall",
        face: Some("take it out: bolts in the face are a [[pattern]] of their own, bought as it stands"),
    };
    let wall = height.check(node, pattern, problems);
    if let (false, false, Some(at)) = (wall, pattern.list("covers").is_empty(), pattern.get("row_at_m")) {
        let says = Says::new(
            "a row on the wall, though no wall is covered",
            "row_at_m where covers names a wall",
            "cover the wall, or delete it",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
}

/// The key that says how far down a wall is covered, and what is advised about it.
pub(super) struct WallHeight {
    pub key: &'static str,
    /// Where the key is missing.
    pub advice: &'static str,
    /// What is advised where the face is covered and may not be; `None` where it may.
    pub face: Option<&'static str>,
}

impl WallHeight {
    /// Checks what a table covers against that key; whether it covers a wall.
    pub fn check(&self, node: &Node, table: &Table, problems: &mut Collector) -> bool {
        let key = self.key;
        let covers = table.list("covers");
        let named = |entry: &Node, words: &[&str]| matches!(&entry.value, Value::Text(t) if words.contains(&t.as_str()));
        let face = covers.iter().find(|e| named(e, &["face"]));
        if let (Some(face), Some(advice)) = (face, self.face) {
            let allowed = one_of(["back", "walls", "left wall", "right wall"].into_iter());
            let says = Says::new("\"face\"", allowed, advice);
            problems.add(ProblemKind::Value, face.place, &face.path, says);
        }
        let wall = covers.iter().any(|e| named(e, &["walls", "left wall", "right wall"]));
        if wall && !table.mentions(key) {
            let says =
                Says::new("nothing, though a wall is covered", "a number from 0 to 100 metres", self.advice);
            problems.add(ProblemKind::MissingKey, node.place, &format!("{}.{key}", node.path), says);
        }
        let bare = covers.is_empty() || face.is_some();
        if let (false, false, Some(at)) = (wall, bare, table.get(key)) {
            let says = Says::new(format!("{key} does nothing where no wall is covered"), "", "");
            problems.add(ProblemKind::Note, at.place, &at.path, says);
        }
        wall
    }
}

fn check_boom(node: &Node, pattern: &Table, problems: &mut Collector) {
    let aimed = pattern.text("direction") == Some("boom");
    if aimed && !pattern.mentions("boom") {
        let says = Says::new(
            "nothing, though the direction is \"boom\"",
            "a table with pivot_u_m, pivot_v_m, tilt_deg and off_normal_deg",
            "add boom = { pivot_u_m = …, pivot_v_m = …, tilt_deg = …, off_normal_deg = … }; there is no default",
        );
        problems.add(ProblemKind::MissingKey, node.place, &format!("{}.boom", node.path), says);
    }
    // A direction that is wrong has been reported; one that is absent is normal.
    let other = !aimed && (!pattern.has("direction") || pattern.get("direction").is_some());
    if let (true, Some(at)) = (other, pattern.get("boom")) {
        let says = Says::new(
            "a boom, though the direction is not \"boom\"",
            "direction = \"boom\" beside it",
            "write the direction, or delete the boom",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
}

pub(super) fn check_height(pattern: &Table, section: &Section, problems: &mut Collector) {
    let (Some(lowest_m), Some(at)) = (pattern.number("lowest_collar_m"), pattern.get("lowest_collar_m"))
    else {
        return;
    };
    check_below_crown(lowest_m, at, section, problems);
}

/// Checks that a height of lowest collars is one that the section has.
pub(super) fn check_below_crown(lowest_m: f64, at: &Node, section: &Section, problems: &mut Collector) {
    let crown_m = section.at(section.crown_m(), 0.0).point.y;
    if lowest_m >= crown_m - CROWN_TOLERANCE_M {
        let says = Says::new(
            format!("{lowest_m}, at or above the crown of the section"),
            format!("a height below the crown, {crown_m:.3} metres"),
            "give the height above the floor of the lowest collar on the wall",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
}

fn check_layout(node: &Node, table: &Table, opening: &Opening, problems: &mut Collector) {
    let Ok(typed) = serde_json::from_value::<PatternTable>(node.to_json()) else { return };
    let Some(pattern) = pattern_of(&typed, 0) else { return };
    let at = |key: &str| {
        let place = table.get(key).map_or(node.place, |n| n.place);
        (place, format!("{}.{key}", node.path))
    };
    match Layout::new(&pattern, opening) {
        Ok(_) => {}
        Err(LayoutError::NoCollar) => {
            let (place, key) = at("covers");
            let says = Says::new(
                "a pattern that lays no collar on what it covers",
                "at least one collar",
                "make spacing_m smaller, lowest_collar_m lower, or cover another surface",
            );
            problems.add(ProblemKind::Conflict, place, &key, says);
        }
        Err(error @ LayoutError::RowOffWall { from_m, to_m, .. }) => {
            let (place, key) = at("row_at_m");
            let allowed = format!("a height on the wall, between {from_m:.3} and {to_m:.3} metres");
            let says = Says::new(error.to_string(), allowed, "give the height of the row above the floor");
            problems.add(ProblemKind::Conflict, place, &key, says);
        }
        Err(error) => {
            let beyond = matches!(error, LayoutError::BeyondBoom { .. });
            let (place, key) = at(if beyond { "boom" } else { "direction" });
            let advice = match pattern.aim {
                Aim::Vertical => "cover the back alone, or aim the bolts \"normal\"",
                Aim::Fan { .. } => "move the fan's origin into the opening, away from the surface",
                Aim::Boom(_) => {
                    "move the pivot, cover less, or give the collars that it cannot drill to another pattern"
                }
                Aim::Normal => "correct the section",
            };
            let allowed = match error {
                LayoutError::BeyondBoom { .. } => {
                    "collars within tilt_deg, off_normal_deg and reach_m of the boom"
                }
                _ => "bolts that enter the rock",
            };
            let says = Says::new(error.to_string(), allowed, advice);
            problems.add(ProblemKind::Conflict, place, &key, says);
        }
    }
}

fn check_tension(pattern: &Table, bolt: Option<&Table>, problems: &mut Collector) {
    let (Some(tension_kn), Some(at)) = (pattern.number("tension_kn"), pattern.get("tension_kn")) else {
        return;
    };
    let Some(steel_kn) = bolt.and_then(|b| b.number("steel_kn")) else { return };
    if tension_kn > steel_kn {
        let says = Says::new(
            format!(
                "tension_kn {tension_kn} is more than the bolt's steel_kn {steel_kn}; no more than the capacity counts"
            ),
            "",
            "",
        );
        problems.add(ProblemKind::Note, at.place, &at.path, says);
    }
}

/// The plain value of a pattern; `None` where its boom or its ring spacing is missing.
pub(super) fn pattern_of(table: &PatternTable, bolt: usize) -> Option<Pattern> {
    Some(Pattern {
        bolt,
        length_m: table.length_m,
        outside_hole_m: table.outside_hole_m,
        ring_spacing_m: table.ring_spacing_m?,
        spacing_m: table.spacing_m,
        covers: table.covers.iter().map(|&c| c.into()).collect(),
        lowest_collar_m: table.lowest_collar_m,
        stagger: table.stagger,
        aim: table.direction.aim(table.boom)?,
        row_at_m: table.row_at_m,
        offset_m: table.offset_m,
        tension_kn: table.tension_kn,
    })
}

fn same_text(a: &Table, b: &Table, key: &str) -> bool {
    a.text(key).is_some() && a.text(key) == b.text(key)
}

fn text(node: &Node) -> String {
    match &node.value {
        Value::Text(text) => quoted(text),
        _ => String::new(),
    }
}
