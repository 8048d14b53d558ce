//! What a case file may ask for at most, so that whatever is accepted ends and stays within the memory of a
//! small machine: said with what it would cost.

use super::Case;
use super::bolting::pattern_of;
use super::bounds::{CheckCost, check_cost, triples};
use super::face_bolting::is_on_face;
use super::file::PatternTable;
use crate::input::document::{Node, Table};
use crate::input::{Collector, Place, ProblemKind, Says};
use crate::opening::{Opening, STEEP_DEG};
use crate::support::phase_groups;

/// Triples of joints of which at most one is a structure: each is eight pyramids that are searched through
/// all their sizes and places. A triple takes about a second of one core and two megabytes (119 MB were
/// measured for 56): 124 of them come to some 250 MB. Triples of two and three structures take a twentieth of
/// that at the most, as few of them meet at the drive, and are not counted: 40 structures took 70 s.
const MOST_TRIPLES: usize = 124;

/// Collars on a square metre of surface, all patterns of the whole drive together. Bolts are set 0.8 to 2 m
/// apart; at 0.3 by 0.3 m a check takes four times as long as at 1.2 by 1.2 m, and from there on the time
/// goes with the square: at 0.1 by 0.1 m minutes for each triple become hours.
const MOST_COLLARS_PER_M2: f64 = 12.5;

/// Patterns that slide along the drive by themselves. The worst of all their places against each other is
/// searched, which takes half as long again with each: six take ten times as long as one, ten a hundred.
const MOST_SLIDING: usize = 6;

/// Rings of patterns over stretches, all together, and metres of a stretch as built: two kilometres with a
/// ring each metre. They are drawn and listed ring by ring.
const MOST_RINGS_OF_STRETCHES: f64 = 2000.0;
/// See [`MOST_RINGS_OF_STRETCHES`].
pub(super) const LONGEST_AS_BUILT_M: f64 = 2000.0;

/// A guess beyond this, seconds of one core, is refused: nobody waits for it, and what made it so long is
/// likelier a slip.
const MOST_CORE_SECONDS: f64 = 3600.0;

/// Checks a document against what can be asked for. `sets` are the joint sets, wherever they stand.
pub(super) fn check_bounds(root: &Table, sets: &[Node], problems: &mut Collector) {
    check_steepness(root, problems);
    check_triples(root, sets, problems);
    let patterns = root.list("pattern");
    check_collars(patterns, problems);
    check_sliding(patterns, problems);
    check_stretches(root, patterns, problems);
}

/// A drive so steep that no side of any section is back or floor by true level: what is judged by these words, and
/// by heights above a floor, is none of a raise or a shaft.
fn check_steepness(root: &Table, problems: &mut Collector) {
    let Some(drive) = root.table("drive") else { return };
    let (Some(plunge_deg), Some(at)) = (drive.number("plunge_deg"), drive.get("plunge_deg")) else { return };
    let steepest_deg = 90.0 - STEEP_DEG;
    if plunge_deg.abs() < steepest_deg {
        return;
    }
    let says = Says::new(
        format!(
            "{plunge_deg}: by true level every side of so steep a drive is a wall, and back, floor and heights above the floor mean nothing there"
        ),
        format!("less than {steepest_deg} either way"),
        "raises and shafts are not judged; an incline that climbs has a negative plunge, in degrees below level",
    );
    problems.add(ProblemKind::Conflict, at.place, &at.path, says);
}

fn check_triples(root: &Table, sets: &[Node], problems: &mut Collector) {
    let structures = root.list("structure");
    let count = triples(sets.len(), structures.len());
    if count <= MOST_TRIPLES {
        return;
    }
    let by_sets = triples(sets.len(), 0) > MOST_TRIPLES;
    // The first that is too much.
    let fits = |n: &usize| if by_sets { triples(*n, 0) } else { triples(sets.len(), *n) } <= MOST_TRIPLES;
    let most = (0..).take_while(fits).last().unwrap_or(0);
    let (list, key, what) =
        if by_sets { (sets, "joint_set", "joint sets") } else { (structures, "structure", "structures") };
    let place = list.get(most).map_or(Place::default(), |n| n.place);
    let minutes = count / 60 + 1;
    let says = Says::new(
        format!(
            "{} joint sets and {} structures: {count} triples that bound wedges, some {minutes} minutes of one \
             core and {} MB",
            sets.len(),
            structures.len(),
            2 * count
        ),
        if by_sets {
            format!("at most {MOST_TRIPLES} triples: {most} sets without structures")
        } else {
            format!("at most {MOST_TRIPLES} triples: {most} structures with so many sets")
        },
        format!(
            "put alike {what} together, or divide them over cases in which those stand that meet each other"
        ),
    );
    problems.add(ProblemKind::Conflict, place, key, says);
}

/// Whether it is a pattern of the whole drive.
fn of_drive(pattern: &Table) -> bool {
    !pattern.mentions("from_m") && !pattern.mentions("to_m") && !is_on_face(pattern)
}

fn check_collars(patterns: &[Node], problems: &mut Collector) {
    let cost = "a check takes four times as long at 0.3 by 0.3 m as at 1.2 by 1.2 m, at 0.1 by 0.1 m hours";
    let allowed = format!("at most {MOST_COLLARS_PER_M2} a square metre of all patterns together ({cost})");
    let mut all_per_m2 = 0.0;
    for node in patterns {
        let Some(pattern) = node.table() else { continue };
        let (Some(ring_m), Some(along_m)) = (pattern.number("ring_spacing_m"), pattern.number("spacing_m"))
        else {
            continue;
        };
        let Some(at) = pattern.get("ring_spacing_m") else { continue };
        if !of_drive(pattern) {
            continue;
        }
        let per_m2 = 1.0 / (ring_m * along_m);
        let before = all_per_m2;
        all_per_m2 += per_m2;
        let says = if per_m2 > MOST_COLLARS_PER_M2 {
            all_per_m2 = before; // said here, and not once more of all
            Says::new(
                format!("{ring_m} by {along_m} m: {per_m2:.0} collars a square metre"),
                allowed.clone(),
                "give spacings in metres, such as 1.2",
            )
        } else if before <= MOST_COLLARS_PER_M2 && all_per_m2 > MOST_COLLARS_PER_M2 {
            Says::new(
                format!("{all_per_m2:.1} collars a square metre with the patterns before it"),
                allowed.clone(),
                "leave patterns out, or make their spacings wider",
            )
        } else {
            continue;
        };
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
}

fn check_sliding(patterns: &[Node], problems: &mut Collector) {
    let mut typed = Vec::new();
    for node in patterns.iter().filter(|n| n.whole() && n.table().is_some_and(of_drive)) {
        let Ok(table) = serde_json::from_value::<PatternTable>(node.to_json()) else { continue };
        typed.extend(pattern_of(&table, 0));
        if phase_groups(&typed).len() > MOST_SLIDING {
            let sliding = patterns.iter().filter(|n| n.table().is_some_and(of_drive)).count();
            let says = Says::new(
                format!(
                    "the {}th of {sliding} patterns that slide along the drive by themselves",
                    MOST_SLIDING + 1
                ),
                format!(
                    "at most {MOST_SLIDING}: each makes a check half as long again, ten of them a hundred times as long"
                ),
                "give offset_m (the chainage of ring 0) to patterns whose rings have fixed places to each other: \
                 these slide as one",
            );
            problems.add(ProblemKind::Conflict, node.place, &node.path, says);
            return;
        }
    }
}

fn check_stretches(root: &Table, patterns: &[Node], problems: &mut Collector) {
    let mut all_rings = 0.0;
    for pattern in patterns.iter().filter_map(Node::table) {
        let (Some(from_m), Some(to_m), Some(ring_m)) =
            (pattern.number("from_m"), pattern.number("to_m"), pattern.number("ring_spacing_m"))
        else {
            continue;
        };
        let Some(at) = pattern.get("to_m") else { continue };
        let before = all_rings;
        all_rings += ((to_m - from_m) / ring_m).max(0.0).floor() + 1.0;
        if before <= MOST_RINGS_OF_STRETCHES && all_rings > MOST_RINGS_OF_STRETCHES {
            let says = Says::new(
                format!("{all_rings} rings of patterns over stretches"),
                format!(
                    "at most {MOST_RINGS_OF_STRETCHES} of all of them together; they are listed ring by ring"
                ),
                "give the stretch that the structure crosses: rings elsewhere meet no wedge of it",
            );
            problems.add(ProblemKind::Conflict, at.place, &at.path, says);
        }
    }
    let Some(built) = root.table("as_built") else { return };
    if let (Some(from_m), Some(to_m), Some(at)) =
        (built.number("from_m"), built.number("to_m"), built.get("to_m"))
        && to_m - from_m > LONGEST_AS_BUILT_M
    {
        problems.add(ProblemKind::Conflict, at.place, &at.path, too_long(to_m - from_m));
    }
}

/// What is said of a stretch as built that is too long.
pub(super) fn too_long(length_m: f64) -> Says {
    Says::new(
        format!("a stretch of {length_m} m"),
        format!(
            "at most {LONGEST_AS_BUILT_M} m: every wedge is slid past every bolt of it, some seconds for each 100 m"
        ),
        "divide the list by chainage, a case for each part; let parts overlap by the length of a wedge",
    )
}

/// Checks the guess of what a whole case takes; `what` names the case or one of its options.
pub(super) fn check_time(case: &Case, opening: &Opening, root: &Node, problems: &mut Collector) {
    let cost = check_cost(case, opening);
    if cost.core_seconds <= MOST_CORE_SECONDS {
        return;
    }
    let CheckCost { triples, facets, sliding, collars, core_seconds } = cost;
    let says = Says::new(
        format!(
            "{triples} triples of joints, {facets} facets, {sliding} sliding patterns, about {collars:.0} collars \
             on a wedge: together about {:.0} hours of one core",
            core_seconds / 3600.0
        ),
        format!("about {:.0} minutes of one core", MOST_CORE_SECONDS / 60.0),
        "cap the wedges in [limits] by what was mapped, leave sets out, or make spacings wider",
    );
    problems.add(ProblemKind::Conflict, root.place, "", says);
}
