//! The wedges of a plan, one behind the other along the drive.

use crate::case::Case;
use crate::opening::Surface;
use crate::orientation::Vec3;
use crate::study::{Check, CheckedWedge};

use super::arrange::{Slot, arrange};
use super::traces::{StructureTrace, traces};

/// Most wedges in a plan: they stand one behind the other along the drive.
const MOST_WEDGES: usize = 5;
/// A wedge longer than this many sizes of the section is cut, and one that reaches further than
/// that to the side of the walls.
const LONGEST: f64 = 4.0;
const WIDEST: f64 = 1.2;
/// Kept free between a wedge at its chainage and those behind it, metres.
const BEHIND_M: f64 = 0.6;
/// Structures farther from the wedges than this are left to a note, metres: a plan shows one place.
const FARTHEST_TRACE_M: f64 = 30.0;
/// Steps by which wedges move along a drive without a pattern, metres.
const FREE_STEP_M: f64 = 0.5;

/// A wedge where it stands along the drive.
#[derive(Debug, Clone)]
pub(super) struct Standing<'a> {
    pub wedge: &'a CheckedWedge,
    /// Chainage of its apex, metres.
    pub apex_m: f64,
    /// Chainages between which it is drawn, metres.
    pub along: [f64; 2],
    /// And between which u.
    pub across: [f64; 2],
    pub cut: bool,
}

/// A line of a wedge, in the drive's frame with chainage as s.
#[derive(Debug, Clone)]
pub(super) struct WedgeLine {
    pub points: Vec<Vec3>,
    /// Set of a trace; `None` for an edge between two joints.
    pub set: Option<usize>,
}

pub(super) fn largest(check: &Check) -> Vec<&CheckedWedge> {
    let mut wedges: Vec<&CheckedWedge> = check.wedges.iter().collect();
    wedges.sort_by(|a, b| b.wedge.shape.volume_m3.total_cmp(&a.wedge.shape.volume_m3));
    wedges.truncate(MOST_WEDGES);
    wedges
}

/// The largest wedges where they stand along the drive, and the structures that cross it there.
pub(super) fn standing<'a>(case: &Case, check: &'a Check) -> (Vec<Standing<'a>>, Vec<StructureTrace>) {
    let wedges = largest(check);
    let size_m = check.opening.section.size_m();
    let longest_m = LONGEST * size_m;
    let (low, high) = check.opening.section.bounds();
    let across = [low.x - WIDEST * size_m, high.x + WIDEST * size_m];
    let ranges: Vec<([f64; 2], bool)> = wedges.iter().map(|w| drawn_range(w, longest_m)).collect();
    let slots: Vec<Slot> = ranges.iter().map(|(along, _)| Slot { along: *along, arc: [0.0, 0.0] }).collect();
    let period_m = check.groups.first().map_or(FREE_STEP_M, |g| g.period_m);
    let has_place = |&i: &usize| wedges[i].wedge.located.is_some_and(|l| l.has_chainage());
    let (placed, free): (Vec<usize>, Vec<usize>) = (0..wedges.len()).partition(has_place);
    // Those that have a chainage stand there, the largest of those that would lie over each other.
    let mut faces: Vec<(usize, f64)> = Vec::new();
    for index in placed {
        let [from, to] = slots[index].along;
        if faces.iter().all(|(other, _)| slots[*other].along[1] < from || to < slots[*other].along[0]) {
            faces.push((index, 0.0));
        }
    }
    let traces = shown_traces(case, check, faces.first().map(|(i, _)| wedges[*i].apex_chainage_m()));
    let crossed = traces.iter().map(|t| t.along()[1]);
    let to = faces.iter().map(|(i, _)| slots[*i].along[1]).chain(crossed).reduce(f64::max);
    // One endless stretch: every other wedge finds its place further on.
    let moved: Vec<f64> = free
        .iter()
        .map(|&i| to.map_or(0.0, |to| ((to + BEHIND_M - slots[i].along[0]) / period_m).ceil() * period_m))
        .collect();
    let behind: Vec<Slot> = free
        .iter()
        .zip(&moved)
        .map(|(&i, moved)| Slot { along: slots[i].along.map(|m| m + moved), ..slots[i] })
        .collect();
    let arrangement = arrange(&behind, period_m, 1e6, 1);
    let found = arrangement.stretches.into_iter().flat_map(|s| s.faces);
    faces.extend(found.map(|(at, further)| (free[at], moved[at] + further)));
    let standing = faces
        .into_iter()
        .map(|(index, moved)| {
            let (along, cut) = ranges[index];
            Standing {
                wedge: wedges[index],
                apex_m: wedges[index].apex_chainage_m() + moved,
                along: [along[0] + moved, along[1] + moved],
                across,
                cut: cut || !(across[0]..=across[1]).contains(&wedges[index].worst_shape().apex.x),
            }
        })
        .collect();
    (standing, traces)
}

/// The structures that cross the drive near a chainage, where they meet back and walls; the first of them, and
/// what is near it, where none is given.
fn shown_traces(case: &Case, check: &Check, near: Option<f64>) -> Vec<StructureTrace> {
    let section = &check.opening.section;
    let mut arc = [0.0_f64, 0.0_f64];
    for (i, facet) in section.facets().iter().enumerate() {
        if check.opening.surface_of(i) != Surface::Floor {
            let end = section.crown_m() - section.round_m()[i];
            for turn in [-1.0, 0.0, 1.0].map(|t| t * section.perimeter_m()) {
                let (low, high) = (end - facet.length_m + turn, end + turn);
                if (0.5 * (low + high)).abs() <= 0.5 * section.perimeter_m() {
                    arc = [arc[0].min(low), arc[1].max(high)];
                }
            }
        }
    }
    let all = traces(case, check, arc, [0.0, 0.0]);
    let middle = |t: &StructureTrace| {
        let [from, to] = t.along();
        0.5 * (from + to)
    };
    let crossing = || all.iter().filter(|t| t.crosses);
    let Some(near) = near.or_else(|| crossing().map(middle).next()) else { return Vec::new() };
    crossing().filter(|t| (middle(t) - near).abs() <= FARTHEST_TRACE_M).cloned().collect()
}

/// Chainages of the part of a wedge that is drawn, and whether that is not all of it.
fn drawn_range(wedge: &CheckedWedge, longest_m: f64) -> ([f64; 2], bool) {
    let apex_m = wedge.apex_chainage_m();
    let range = |points: &mut dyn Iterator<Item = f64>| {
        points.fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], s| [a.min(s + apex_m), b.max(s + apex_m)])
    };
    let shape = wedge.worst_shape();
    let whole = range(&mut shape.vertices().iter().map(|v| v.y));
    if whole[1] - whole[0] <= longest_m {
        return (whole, false);
    }
    // About the middle of the face: what matters is where it opens into the drive.
    let face = range(&mut shape.joints.iter().flat_map(|j| &j.trace).map(|p| p.y));
    let middle = 0.5 * (face[0] + face[1]);
    ([middle - 0.5 * longest_m, middle + 0.5 * longest_m], true)
}

/// Traces and edges of a wedge where it stands, cut at the ends of what is drawn of it.
pub(super) fn lines(standing: &Standing) -> Vec<WedgeLine> {
    let shape = standing.wedge.worst_shape();
    let moved = |p: &Vec3| Vec3::new(p.x, p.y + standing.apex_m, p.z);
    let mut found = Vec::new();
    let mut feet: Vec<Vec3> = Vec::new();
    for (joint, set) in shape.joints.iter().zip(standing.wedge.wedge.sets) {
        let trace: Vec<Vec3> = joint.trace.iter().map(moved).collect();
        for foot in [trace.first(), trace.last()].into_iter().flatten() {
            if !feet.contains(foot) {
                feet.push(*foot);
            }
        }
        for points in cut(&trace, 1, standing.along) {
            found.push(WedgeLine { points, set: Some(set) });
        }
    }
    for foot in feet {
        for part in cut(&[moved(&shape.apex), foot], 1, standing.along) {
            let parts = cut(&part, 0, standing.across);
            found.extend(parts.into_iter().map(|points| WedgeLine { points, set: None }));
        }
    }
    found
}

/// The parts of a line whose coordinate `axis` (0 is u, 1 is s) lies between two values.
fn cut(line: &[Vec3], axis: usize, [from, to]: [f64; 2]) -> Vec<Vec<Vec3>> {
    let mut parts: Vec<Vec<Vec3>> = Vec::new();
    for pair in line.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let run = b[axis] - a[axis];
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        for (outward, room) in [(-run, a[axis] - from), (run, to - a[axis])] {
            if outward > 0.0 {
                leave = leave.min(room / outward);
            } else if outward < 0.0 {
                enter = enter.max(room / outward);
            } else if room < 0.0 {
                leave = -1.0;
            }
        }
        if enter >= leave {
            continue;
        }
        let (start, end) = (a + (b - a) * enter, a + (b - a) * leave);
        match parts.last_mut() {
            Some(part) if enter == 0.0 && part.last() == Some(&a) => part.push(end),
            _ => parts.push(vec![start, end]),
        }
    }
    parts
}
