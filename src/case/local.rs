//! Bolts at known chainages in a case file: patterns over a stretch, and single bolts; what their keys ask
//! of each other, and the plain values.

use super::bolting::{check_lengths, pattern_of, undefined_bolt};
use super::collars::{Ground, collar_along};
use super::file::{BoltAtTable, DirectionEntry, PatternTable};
use crate::input::document::{Node, Table};
use crate::input::{Collector, ProblemKind, Says};
use crate::opening::{DriveFrame, Opening, Section, Vec2};
use crate::orientation::{Line, Vec3};
use crate::support::{Aim, Collar, LocalBolts};

/// A designed collar farther than this from the section is none of it, metres: far above what rounding to
/// centimetres leaves on an arch.
const OFF_SECTION_M: f64 = 0.1;

/// Two single bolts with collars nearer than this are one bolt written twice, metres.
const SAME_BOLT_M: f64 = 1e-3;

/// How a bolt says where its collar is.
const WAYS: [&[&str]; 3] =
    [&["chainage_m", "arc_m"], &["chainage_m", "u_m", "v_m"], &["east_m", "north_m", "up_m"]];

const PLACE_KEYS: [&str; 7] = ["chainage_m", "arc_m", "u_m", "v_m", "east_m", "north_m", "up_m"];

/// Checks the ends of patterns, and that those of the whole drive come first: results count both on.
pub(super) fn check_stretches(patterns: &[Node], has_structure: bool, problems: &mut Collector) {
    let mut first: Option<&Node> = None;
    for node in patterns {
        let Some(table) = node.table() else { continue };
        let (from, to) = (table.mentions("from_m"), table.mentions("to_m"));
        if !from && !to {
            if let Some(before) = first {
                let says = Says::new(
                    format!(
                        "a pattern of the whole drive behind one over a stretch, on line {}",
                        before.place.line
                    ),
                    "patterns of the whole drive first",
                    "move it before those with from_m and to_m",
                );
                problems.add(ProblemKind::Conflict, node.place, &node.path, says);
            }
            continue;
        }
        first = first.or(Some(node));
        for (has, key, other, what) in [
            (from, "from_m", "to_m", "the chainage of its first ring, metres"),
            (to, "to_m", "from_m", "the chainage at or before which its last ring stands, metres"),
        ] {
            if !has {
                let says = Says::new(
                    format!("nothing, though {other} is there"),
                    what,
                    format!("add {key}, or delete {other} for a pattern of the whole drive"),
                );
                problems.add(ProblemKind::MissingKey, node.place, &format!("{}.{key}", node.path), says);
            }
        }
        let advice = "give the chainage of the first ring as from_m; a single bolt is a [[bolt_at]]";
        check_stretch(table, advice, problems);
        if let (true, Some(at)) = (from, table.get("offset_m")) {
            let says = Says::new(
                "offset_m beside from_m",
                "one of the two",
                "delete offset_m: the first ring of a stretch stands at from_m",
            );
            problems.add(ProblemKind::Conflict, at.place, &at.path, says);
        }
        if !has_structure {
            problems.add(
                ProblemKind::Note,
                node.place,
                &node.path,
                counts_for_none("a pattern over a stretch"),
            );
        }
    }
}

fn counts_for_none(what: &str) -> Says {
    Says::new(
        format!("{what} counts for wedges that a [[structure]] puts at a chainage, and there is none"),
        "",
        "",
    )
}

/// Checks single bolts against the bolts of the case, and their places against the section and the opening,
/// where they are known: a place needs no more of its table than its own numbers.
pub(super) fn check_spots(
    spots: &[Node],
    bolts: &[Node],
    bolts_known: bool,
    has_structure: bool,
    ground: Ground<'_>,
    problems: &mut Collector,
) {
    let names: Vec<&str> = bolts.iter().filter_map(|b| b.table()?.text("name")).collect();
    let mut earlier: Vec<(f64, Collar, usize)> = Vec::new();
    for node in spots {
        let Some(table) = node.table() else { continue };
        let before = problems.count();
        let named = table.text("bolt");
        let bolt =
            named.and_then(|n| bolts.iter().filter_map(Node::table).find(|b| b.text("name") == Some(n)));
        if let (Some(name), None, true, Some(at)) = (named, bolt, bolts_known, table.get("bolt")) {
            undefined_bolt(name, at, &names, problems);
        }
        check_lengths(table, bolt, problems);
        if let (true, Some(section)) = (check_place(node, table, problems), ground.section) {
            let numbers = Numbers::of_table(table);
            let frame = ground.opening.map(|o| &o.frame);
            if let Some(Err(wrong)) = numbers.map(|n| place_of(&n, section, frame)) {
                wrong.report(node, table, problems);
            }
        }
        check_direction(node, table, problems);
        if !has_structure {
            problems.add(ProblemKind::Note, node.place, &node.path, counts_for_none("a single bolt"));
        }
        let sound = problems.count() == before && node.whole();
        let (Some(opening), true) = (ground.opening, sound) else { continue };
        let Ok(typed) = serde_json::from_value::<BoltAtTable>(node.to_json()) else { continue };
        match collar_of(&typed, opening) {
            Err(wrong) => wrong.report(node, table, problems),
            Ok((chainage_m, collar)) => {
                let same = |(s, c, _): &&(f64, Collar, usize)| {
                    (s - chainage_m).hypot((c.point - collar.point).norm()) <= SAME_BOLT_M
                };
                if let Some((_, _, line)) = earlier.iter().find(same) {
                    let says = Says::new(
                        format!("the collar of the bolt on line {line} once more"),
                        "a collar of its own for each bolt",
                        "move one of the two, or delete it",
                    );
                    problems.add(ProblemKind::Conflict, node.place, &node.path, says);
                }
                earlier.push((chainage_m, collar, node.place.line));
            }
        }
    }
}

/// Whether a bolt says in one way where its collar is; reports where it does not.
fn check_place(node: &Node, table: &Table, problems: &mut Collector) -> bool {
    let given: Vec<&str> = PLACE_KEYS.into_iter().filter(|k| table.mentions(k)).collect();
    if WAYS.iter().any(|way| given == *way) {
        return true;
    }
    let found = if given.is_empty() {
        "no place of a collar".to_owned()
    } else {
        format!("a collar by {}", given.join(", "))
    };
    let says = Says::new(
        found,
        "one of: chainage_m with arc_m; chainage_m with u_m and v_m; east_m, north_m and up_m",
        "give one of them, all of its numbers",
    );
    problems.add(ProblemKind::MissingKey, node.place, &format!("{}.chainage_m", node.path), says);
    false
}

fn check_direction(node: &Node, table: &Table, problems: &mut Collector) {
    let (trend, plunge) = (table.mentions("trend_deg"), table.mentions("plunge_deg"));
    if trend != plunge {
        let (key, other) = if trend { ("plunge_deg", "trend_deg") } else { ("trend_deg", "plunge_deg") };
        let says = Says::new(
            format!("nothing, though {other} is there"),
            "both, or neither for a bolt that direction aims",
            format!("add {key}"),
        );
        problems.add(ProblemKind::MissingKey, node.place, &format!("{}.{key}", node.path), says);
    }
    let Some(at) = table.get("direction") else { return };
    if trend || plunge {
        let says = Says::new(
            "a direction beside trend_deg and plunge_deg",
            "one of the two",
            "delete one: the bolt goes where trend and plunge say, or where direction aims it",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
    if table.text("direction") == Some("boom") {
        let says = Says::new(
            "\"boom\"",
            "\"normal\", \"vertical\", a fan's origin, or trend_deg and plunge_deg",
            "give the direction that the hole is drilled in",
        );
        problems.add(ProblemKind::Value, at.place, &at.path, says);
    }
}

/// What is wrong with a collar, and the key that says it.
struct Wrong {
    key: &'static str,
    says: Says,
}

impl Wrong {
    fn report(self, node: &Node, table: &Table, problems: &mut Collector) {
        let key = table.get(self.key);
        let (place, path) = key.map_or((node.place, &node.path), |n| (n.place, &n.path));
        problems.add(ProblemKind::Conflict, place, path, self.says);
    }
}

/// Where a collar is said to be.
enum Numbers {
    Arc { chainage_m: f64, arc_m: f64 },
    Section { chainage_m: f64, point: Vec2 },
    World(Vec3),
}

impl Numbers {
    fn of(number: impl Fn(&str) -> Option<f64>) -> Option<Self> {
        if let Some(chainage_m) = number("chainage_m") {
            if let Some(arc_m) = number("arc_m") {
                return Some(Self::Arc { chainage_m, arc_m });
            }
            let point = Vec2::new(number("u_m")?, number("v_m")?);
            return Some(Self::Section { chainage_m, point });
        }
        Some(Self::World(Vec3::new(number("east_m")?, number("north_m")?, number("up_m")?)))
    }

    /// Of the numbers in a table that are ones; `None` where one that is needed is none.
    fn of_table(table: &Table) -> Option<Self> {
        Self::of(|key| table.number(key))
    }

    fn of_bolt(table: &BoltAtTable) -> Option<Self> {
        Self::of(|key| match key {
            "chainage_m" => table.chainage_m,
            "arc_m" => table.arc_m,
            "u_m" => table.u_m,
            "v_m" => table.v_m,
            "east_m" => table.east_m,
            "north_m" => table.north_m,
            _ => table.up_m,
        })
    }
}

/// Chainage of a collar, metres, where the frame says it or none is needed, and its place on the perimeter,
/// metres.
fn place_of(
    numbers: &Numbers,
    section: &Section,
    frame: Option<&DriveFrame>,
) -> Result<Option<(f64, f64)>, Wrong> {
    let off = |key: &'static str, point: Vec2| {
        let (along_m, off_m) = section.nearest_m(&point);
        if off_m <= OFF_SECTION_M {
            return Ok(along_m);
        }
        let at = section.at(along_m, 0.0).point;
        Err(Wrong {
            key,
            says: Says::new(
                format!("a collar {off_m:.2} m off the section"),
                format!("a place on it, to {OFF_SECTION_M} m; the nearest is u {:.2}, v {:.2}", at.x, at.y),
                "correct the place of the collar",
            ),
        })
    };
    match *numbers {
        Numbers::Arc { chainage_m, arc_m } => {
            let half_m = 0.5 * section.perimeter_m();
            if arc_m.abs() > half_m {
                let says = Says::new(
                    format!("{arc_m}, farther round than the middle of the floor"),
                    format!("an arc length from {:.3} to {half_m:.3} metres", -half_m),
                    "give the arc length from the crown, positive to the right",
                );
                return Err(Wrong { key: "arc_m", says });
            }
            Ok(Some((chainage_m, section.crown_m() - arc_m)))
        }
        Numbers::Section { chainage_m, point } => Ok(Some((chainage_m, off("u_m", point)?))),
        Numbers::World(world) => {
            let Some(frame) = frame else { return Ok(None) };
            let local = frame.to_local(&world);
            Ok(Some((local.y, off("east_m", Vec2::new(local.x, local.z))?)))
        }
    }
}

/// Chainage and collar of a single bolt.
fn collar_of(table: &BoltAtTable, opening: &Opening) -> Result<(f64, Collar), Wrong> {
    let lacks = || Wrong { key: "chainage_m", says: Says::new("no place of a collar", "a place", "add it") };
    let numbers = Numbers::of_bolt(table).ok_or_else(lacks)?;
    let (chainage_m, along_m) =
        place_of(&numbers, &opening.section, Some(&opening.frame))?.ok_or_else(lacks)?;
    let line = table.trend_deg.zip(table.plunge_deg);
    let collar = collar_along(opening, along_m, |point, normal| match line {
        Some((trend_deg, plunge_deg)) => opening.frame.to_local(&Line { trend_deg, plunge_deg }.to_vector()),
        None => match table.direction.and_then(|d: DirectionEntry| d.aim(None)) {
            Some(Aim::Vertical) => opening.frame.to_local(&Vec3::z()),
            Some(Aim::Fan { origin }) => {
                let away = point - origin;
                Vec3::new(away.x, 0.0, away.y).try_normalize(f64::MIN_POSITIVE).unwrap_or_default()
            }
            _ => normal,
        },
    });
    let key = if line.is_some() { "trend_deg" } else { "direction" };
    let enters = |how: String| {
        let says = Says::new(
            format!("a bolt that {how}"),
            "a bolt that enters the rock",
            "turn it away from the opening; trend and plunge point into the rock",
        );
        Wrong { key, says }
    };
    Ok((chainage_m, collar.map_err(enters)?))
}

/// A pattern over a stretch; `None` for one of the whole drive, or where its boom is missing.
pub(super) fn stretch_of(table: &PatternTable, bolt: usize) -> Option<LocalBolts> {
    let (from_m, to_m) = (table.from_m?, table.to_m?);
    Some(LocalBolts::stretch(pattern_of(table, bolt)?, from_m, to_m))
}

/// A single bolt; `None` where it has no collar, which has been reported.
pub(super) fn spot_of(table: &BoltAtTable, bolt: usize, opening: &Opening) -> Option<LocalBolts> {
    let (chainage_m, collar) = collar_of(table, opening).ok()?;
    Some(LocalBolts::spot(bolt, table.length_m, table.outside_hole_m, chainage_m, collar))
}

/// Whether a table's stretch of chainages ends beyond where it begins; `advice` says what to do where not.
pub(super) fn check_stretch(table: &Table, advice: &str, problems: &mut Collector) {
    if let (Some(from_m), Some(to_m), Some(at)) =
        (table.number("from_m"), table.number("to_m"), table.get("to_m"))
        && to_m <= from_m
    {
        let says = Says::new(
            format!("{to_m}, not beyond from_m {from_m}"),
            format!("a chainage above {from_m} metres"),
            advice,
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
}
