//! Where mapped structures meet the drive.

use crate::case::Case;
use crate::opening::Vec2;
use crate::orientation::Vec3;
use crate::study::Check;
use crate::wedge::AXIS_TOLERANCE;

/// A point of a trace.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct TracePoint {
    /// In the drive's frame (u, s, v), s its chainage.
    pub at: Vec3,
    /// Arc length from the crown, metres, positive to the right.
    pub arc_m: f64,
}

/// A structure on the surface of the drive.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct StructureTrace {
    /// Its place among the case's joints.
    pub joint: usize,
    /// One line round the perimeter where its plane crosses the drive, lines along it where it does not.
    pub lines: Vec<Vec<TracePoint>>,
    /// Whether it crosses the drive, and so has a chainage.
    pub crosses: bool,
}

impl StructureTrace {
    /// Chainages of its ends.
    pub(super) fn along(&self) -> [f64; 2] {
        let points = self.lines.iter().flatten().map(|p| p.at.y);
        points.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], s| [low.min(s), high.max(s)])
    }
}

/// Every structure where it meets the surface between two arc lengths; those that run along the drive from
/// one chainage to another.
pub(super) fn traces(case: &Case, check: &Check, arc: [f64; 2], along: [f64; 2]) -> Vec<StructureTrace> {
    let section = &check.opening.section;
    let place = |arc_m: f64| section.at(section.crown_m() - arc_m, 0.0).point;
    let mut arcs = vec![arc[0], arc[1]];
    for start_m in section.round_m() {
        for turn in [-1.0, 0.0, 1.0] {
            let arc_m = section.crown_m() - start_m + turn * section.perimeter_m();
            if arc_m > arc[0] && arc_m < arc[1] {
                arcs.push(arc_m);
            }
        }
    }
    arcs.sort_by(f64::total_cmp);
    case.structures()
        .map(|(joint, structure, through)| {
            let n = check.opening.frame.to_local(&structure.plane.upward_normal());
            // How far a place of the section is off the plane at the chainage of the mapped point.
            let off = |p: &Vec2| n.x * (p.x - through.x) + n.z * (p.y - through.z);
            let crosses = n.y.abs() > AXIS_TOLERANCE;
            let lines = if crosses {
                let on = |&arc_m: &f64| {
                    let p = place(arc_m);
                    TracePoint { at: Vec3::new(p.x, through.y - off(&p) / n.y, p.y), arc_m }
                };
                vec![arcs.iter().map(on).collect()]
            } else {
                let met = |pair: &[f64]| {
                    let (a, b) = (off(&place(pair[0])), off(&place(pair[1])));
                    ((a < 0.0) != (b < 0.0)).then(|| pair[0] + (pair[1] - pair[0]) * a / (a - b))
                };
                let line = |arc_m: f64| {
                    let p = place(arc_m);
                    along.map(|s| TracePoint { at: Vec3::new(p.x, s, p.y), arc_m }).to_vec()
                };
                arcs.windows(2).filter_map(met).map(line).collect()
            };
            StructureTrace { joint, lines, crosses }
        })
        .collect()
}
