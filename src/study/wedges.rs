//! Which pyramids of a case are to be looked at.

use super::Warning;
use crate::case::Case;
use crate::numeric::triples;
use crate::opening::Opening;
use crate::orientation::Vec3;
use crate::wedge::{Cone, JointPyramid, Limits, THIN_TRIPLE_SR, smallest_solid_angle_sr};

/// Wedges below this are left out with a count: a litre of rock is barred down, not bolted.
pub const LEAST_VOLUME_M3: f64 = 1e-3;

/// A wedge longer than this many times the larger of the section's width and height is warned
/// about: its joints strike nearly along the drive and its length hangs on the last degree.
pub const LONG_WEDGE_RATIO: f64 = 4.0;

/// A wedge that may be longer than this is not held against bolts: no joint runs along a drive for
/// a kilometre, and its bolts would be counted by the thousand. Its length hangs on a fraction of
/// a degree; the case needs a cap.
pub const LONGEST_PLACED_M: f64 = 1000.0;

/// One joint pyramid of one triple of sets.
#[derive(Debug, Clone)]
pub(super) struct Candidate {
    pub id: String,
    /// Indices into the case's sets.
    pub sets: [usize; 3],
    pub pyramid: JointPyramid,
    /// In the drive's local frame.
    pub cone: Cone,
    pub limits: Limits,
}

/// Every pyramid of every triple of sets, in the order of the case file.
pub(super) fn candidates(case: &Case, opening: &Opening, warnings: &mut Vec<Warning>) -> Vec<Candidate> {
    let mut all = Vec::new();
    for sets in triples(case.joints.len()) {
        of_triple(case, opening, sets, &mut all, warnings);
    }
    all
}

/// One of them; `None` where its joints nearly share a line.
pub(super) fn candidate(
    case: &Case,
    opening: &Opening,
    sets: [usize; 3],
    pyramid: JointPyramid,
) -> Option<Candidate> {
    let mut all = Vec::new();
    of_triple(case, opening, sets, &mut all, &mut Vec::new());
    all.into_iter().find(|c| c.pyramid == pyramid)
}

/// The pyramid whose wedge is called so.
pub(super) fn named(case: &Case, id: &str) -> Option<([usize; 3], JointPyramid)> {
    let all = triples(case.joints.len())
        .into_iter()
        .flat_map(|sets| JointPyramid::all().map(|pyramid| (sets, pyramid)));
    all.into_iter().find(|(sets, pyramid)| wedge_id(case, *sets, *pyramid) == id)
}

/// What the wedge of a pyramid of these joints is called.
pub(super) fn wedge_id(case: &Case, sets: [usize; 3], pyramid: JointPyramid) -> String {
    format!("{}.{}", sets.map(|s| case.joints[s].name.as_str()).join("-"), pyramid.code())
}

fn of_triple(
    case: &Case,
    opening: &Opening,
    sets: [usize; 3],
    all: &mut Vec<Candidate>,
    warnings: &mut Vec<Warning>,
) {
    let upward: [Vec3; 3] = sets.map(|s| opening.frame.to_local(&case.joints[s].plane.upward_normal()));
    let solid_angle_sr = smallest_solid_angle_sr(&upward);
    if solid_angle_sr < THIN_TRIPLE_SR {
        warnings.push(Warning::ThinTriple {
            sets: sets.map(|s| case.joints[s].name.as_str()).join("|"),
            solid_angle_sr,
            threshold_sr: THIN_TRIPLE_SR,
        });
        return;
    }
    let limits = limits(case, sets);
    for pyramid in JointPyramid::all() {
        all.push(Candidate {
            id: wedge_id(case, sets, pyramid),
            sets,
            pyramid,
            cone: Cone::new(&upward, pyramid),
            limits,
        });
    }
}

/// The caps of a case on the wedges of one triple.
pub(super) fn limits(case: &Case, sets: [usize; 3]) -> Limits {
    Limits {
        trace_m: sets.map(|s| case.joints[s].max_trace_m.or(case.limits.max_trace_m)),
        depth_m: case.limits.max_depth_m,
        length_m: case.limits.max_length_m,
        volume_m3: case.limits.max_volume_m3,
    }
}
