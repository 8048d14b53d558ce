//! Where rings and their collars stand for a wedge at its worst placement.

use crate::case::Case;
use crate::study::{Check, CheckedWedge};
use crate::support::Placement;

/// A collar and a serving bolt this near each other along the drive are one: far below a drill
/// bit, far above the rounding of any chainage.
const SAME_COLLAR_M: f64 = 1e-6;

/// A collar of one ring on the unrolled surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct RingCollar {
    pub pattern: usize,
    /// Index into the layout's rows.
    pub row: usize,
    pub ring: i64,
    pub chainage_m: f64,
    pub arc_m: f64,
}

/// How far the rings of a pattern stand shifted from where their offset says, metres.
pub(super) fn shift_m(check: &Check, pattern: usize, shifts_m: &[f64]) -> f64 {
    let group = check.groups.iter().position(|g| g.patterns.contains(&pattern));
    group.and_then(|g| shifts_m.get(g)).copied().unwrap_or(0.0)
}

/// Chainage of ring 0 of a pattern, metres.
fn first_ring_m(case: &Case, check: &Check, pattern: usize, shifts_m: &[f64]) -> f64 {
    case.patterns[pattern].offset_m.unwrap_or(0.0) + shift_m(check, pattern, shifts_m)
}

/// Every collar between two chainages, in the order of patterns, rows and rings.
pub(super) fn collars(
    case: &Case,
    check: &Check,
    shifts_m: &[f64],
    [from_m, to_m]: [f64; 2],
) -> Vec<RingCollar> {
    let mut found = Vec::new();
    for (pattern, layout) in check.layouts.iter().enumerate() {
        let zero_m = first_ring_m(case, check, pattern, shifts_m);
        let spacing_m = case.patterns[pattern].ring_spacing_m;
        for (row, line) in layout.rows.iter().enumerate() {
            let start_m = zero_m + f64::from(line.first_ring) * spacing_m;
            let mut k = ((from_m - start_m) / layout.period_m).ceil();
            loop {
                let chainage_m = start_m + k * layout.period_m;
                if chainage_m > to_m {
                    break;
                }
                let ring = k as i64 * i64::from(layout.rings_in_period) + i64::from(line.first_ring);
                found.push(RingCollar { pattern, row, ring, chainage_m, arc_m: line.collar.arc_m });
                k += 1.0;
            }
        }
    }
    found
}

/// Every collar between two chainages that stands at its chainage alone: of patterns over a stretch and of
/// single bolts; patterns count on behind those of the whole drive.
pub(super) fn local_collars(case: &Case, check: &Check, [from_m, to_m]: [f64; 2]) -> Vec<RingCollar> {
    let mut found = Vec::new();
    for (at, (bolts, layout)) in case.local.iter().zip(&check.local).enumerate() {
        for ring in 0..bolts.rings() {
            let chainage_m = bolts.from_m() + f64::from(ring) * bolts.pattern().ring_spacing_m;
            if !(from_m..=to_m).contains(&chainage_m) {
                continue;
            }
            for (row, line) in layout.rows.iter().enumerate() {
                if line.first_ring == ring % layout.rings_in_period {
                    let pattern = case.patterns.len() + at;
                    let (ring, arc_m) = (i64::from(ring), line.collar.arc_m);
                    found.push(RingCollar { pattern, row, ring, chainage_m, arc_m });
                }
            }
        }
    }
    found
}

/// Whether this collar is of a bolt that serves the wedge, which stands `moved_m` further along
/// the drive than its placement says.
pub(super) fn serves(collar: &RingCollar, placement: &Placement, moved_m: f64) -> bool {
    placement.serving.iter().any(|s| {
        s.pattern == collar.pattern
            && s.arc_m == collar.arc_m
            && (s.chainage_m + moved_m - collar.chainage_m).abs() < SAME_COLLAR_M
    })
}

/// For each pattern the ring nearest to the centroid of a wedge at its worst placement, with its
/// chainage, metres; the earlier one where two are equally near.
pub(super) fn nearest(case: &Case, check: &Check, wedge: &CheckedWedge) -> Vec<(usize, i64, f64)> {
    let Some(placement) = &wedge.placement() else { return Vec::new() };
    let centroid_m = placement.chainage_m + centroid_along_m(wedge);
    (0..check.layouts.len())
        .map(|pattern| {
            let zero_m = first_ring_m(case, check, pattern, &placement.shifts_m);
            let spacing_m = case.patterns[pattern].ring_spacing_m;
            let ring = ((centroid_m - zero_m) / spacing_m - 0.5).ceil();
            (pattern, ring as i64, zero_m + ring * spacing_m)
        })
        .collect()
}

/// Chainage of a wedge's centroid from its apex, metres: each pyramid over a part of the face has
/// its own at a quarter of its height.
pub(super) fn centroid_along_m(wedge: &CheckedWedge) -> f64 {
    let shape = wedge.worst_shape();
    let (mut sum, mut volume) = (0.0, 0.0);
    for face in &shape.openings {
        let Some(&anchor) = face.polygon.first() else { continue };
        let (mut base, mut area) = (0.0, 0.0);
        for pair in face.polygon.windows(2) {
            let triangle = 0.5 * (pair[0] - anchor).cross(&(pair[1] - anchor)).norm();
            base += triangle * (anchor.y + pair[0].y + pair[1].y) / 3.0;
            area += triangle;
        }
        if area > 0.0 {
            let part = face.area_m2 * face.height_m;
            sum += part * (0.75 * base / area + 0.25 * shape.apex.y);
            volume += part;
        }
    }
    if volume > 0.0 { sum / volume } else { shape.apex.y }
}
