//! The bolts that a section shows.

use crate::case::Case;
use crate::opening::Vec2;
use crate::study::{Check, CheckedWedge};

use super::rings;

/// A bolt of a ring that is drawn, section coordinates in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SectionBolt {
    pub pattern: usize,
    pub row: usize,
    pub collar: Vec2,
    pub end: Vec2,
    /// Where it leaves the wedge that it crosses; `None` for one that crosses none in its ring.
    pub joint: Option<Vec2>,
    pub plate: bool,
}

/// The bolts of the rings nearest to the named wedges; each row of a pattern once.
pub(super) fn bolts(case: &Case, check: &Check, named: &[&CheckedWedge]) -> Vec<SectionBolt> {
    let mut found: Vec<SectionBolt> = Vec::new();
    for wedge in named {
        let Some(placement) = &wedge.placement() else { continue };
        for (pattern, ring, _) in rings::nearest(case, check, wedge) {
            let design = &case.patterns[pattern];
            let layout = &check.layouts[pattern];
            let parity = ring.rem_euclid(i64::from(layout.rings_in_period));
            for (row, line) in layout.rows.iter().enumerate() {
                if i64::from(line.first_ring) != parity {
                    continue;
                }
                let collar = &line.collar;
                let at = |m: f64| collar.point + Vec2::new(collar.direction.x, collar.direction.z) * m;
                let serving = placement
                    .serving
                    .iter()
                    .find(|s| s.pattern == pattern && s.ring == ring && s.arc_m == collar.arc_m);
                let joint = serving.map(|s| at(s.head_m));
                match found.iter_mut().find(|b| b.pattern == pattern && b.row == row) {
                    Some(known) => known.joint = known.joint.or(joint),
                    None => found.push(SectionBolt {
                        pattern,
                        row,
                        collar: collar.point,
                        end: at(design.length_in_hole_m()),
                        joint,
                        plate: case.bolts[design.bolt].plate_kn > 0.0,
                    }),
                }
            }
        }
        // Those that stand at their chainage alone, where they cross the wedge.
        for s in placement.serving.iter().filter(|s| s.pattern >= case.patterns.len()) {
            if found.iter().any(|b| b.pattern == s.pattern && b.collar == s.point) {
                continue;
            }
            let design = case.pattern_at(s.pattern);
            let at = |m: f64| s.point + Vec2::new(s.direction.x, s.direction.z) * m;
            found.push(SectionBolt {
                pattern: s.pattern,
                row: found.len(),
                collar: s.point,
                end: at(design.length_in_hole_m()),
                joint: Some(at(s.head_m)),
                plate: case.bolts[design.bolt].plate_kn > 0.0,
            });
        }
    }
    found
}
