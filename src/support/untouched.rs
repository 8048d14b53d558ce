//! Whether a wedge can stand along the drive where no bolt touches it.

use super::{Layout, Pattern, PhaseGroup};
use crate::opening::{Section, Vec2};
use crate::orientation::Vec3;
use crate::wedge::{AXIS_TOLERANCE, Cone, Footprint};

/// A stretch of positions along the drive shorter than this is no room to stand in.
const LEAST_ROOM_M: f64 = 1e-9;

/// Room for rounding where a corner of the touching range is measured, metres.
const CORNER_M: f64 = 1e-12;

/// A row of bolts as an obstacle to wedges that would sit between bolts.
#[derive(Debug, Clone)]
struct Obstacle {
    point: Vec2,
    direction: Vec3,
    length_m: f64,
    ring_m: f64,
    period_m: f64,
    pattern: usize,
    /// Points and outward normals of the facets that it enters through.
    entries: Vec<(Vec2, Vec2)>,
    /// How far off its place its collar may stand, and the normals of the facets it may stand on.
    off: Option<(f64, Vec<Vec2>)>,
}

/// All rows of bolts round a section, as obstacles.
#[derive(Debug, Clone)]
pub struct Obstacles<'a> {
    rows: Vec<Obstacle>,
    groups: &'a [PhaseGroup],
}

impl<'a> Obstacles<'a> {
    /// The rows of laid-out patterns.
    #[must_use]
    pub fn new(
        section: &Section,
        patterns: &[Pattern],
        layouts: &[Layout],
        groups: &'a [PhaseGroup],
    ) -> Self {
        let facets = section.facets();
        let mut rows = Vec::new();
        for (index, (pattern, layout)) in patterns.iter().zip(layouts).enumerate() {
            for (at, row) in layout.rows.iter().enumerate() {
                let collar = &row.collar;
                let direction = Vec2::new(collar.direction.x, collar.direction.z);
                // A collar near a corner stands on one facet and belongs to the other.
                let stands_on = facets.iter().filter(|f| {
                    let along = (collar.point - f.start).dot(&f.tangent);
                    let off = (collar.point - f.start).dot(&f.normal);
                    off.abs() <= super::pattern::CORNER_COLLAR_M
                        && along >= -super::pattern::CORNER_COLLAR_M
                        && along <= f.length_m + super::pattern::CORNER_COLLAR_M
                });
                rows.push(Obstacle {
                    point: collar.point,
                    direction: collar.direction,
                    length_m: pattern.length_in_hole_m(),
                    ring_m: pattern.offset_m.unwrap_or(0.0)
                        + f64::from(row.first_ring) * pattern.ring_spacing_m,
                    period_m: layout.period_m,
                    pattern: index,
                    entries: stands_on
                        .filter(|f| f.normal.dot(&direction) > 0.0)
                        .map(|f| (f.start, f.normal))
                        .collect(),
                    off: layout.off_its_place(at),
                });
            }
        }
        Self { rows, groups }
    }

    /// The collars alone: what matters to a screen that hangs from plates. Of layouts with a tolerance a
    /// collar touches a wedge only where it is on its face from anywhere within it.
    #[must_use]
    pub fn collars(&self) -> Self {
        let alone = |row: &Obstacle| Obstacle { length_m: 0.0, ..row.clone() };
        let rows = self.rows.iter().map(alone).collect();
        Self { rows, groups: self.groups }
    }

    /// The chainage of the wedge's apex, for each group of patterns counted from where their
    /// offsets say, at which none of the group's bolts touches it: the middle of the longest free
    /// stretch. `None` where some group has none. A bolt touches a wedge whose face its collar is
    /// on, or whose body any of it meets.
    #[must_use]
    pub fn free_phases_m(&self, cone: &Cone, foot: &Footprint) -> Option<Vec<f64>> {
        let ranges: Vec<Option<(f64, f64)>> =
            self.rows.iter().map(|row| row.touching(cone, &foot.apex)).collect();
        let mut stretches = Vec::new();
        self.groups.iter().map(|group| self.free_phase_m(group, &ranges, &mut stretches)).collect()
    }

    fn free_phase_m(
        &self,
        group: &PhaseGroup,
        ranges: &[Option<(f64, f64)>],
        taken: &mut Vec<(f64, f64)>,
    ) -> Option<f64> {
        taken.clear();
        for (row, range) in self.rows.iter().zip(ranges) {
            let &Some((low_m, high_m)) = range else { continue };
            if !group.patterns.contains(&row.pattern) {
                continue;
            }
            if high_m - low_m >= row.period_m - LEAST_ROOM_M {
                return None;
            }
            let copies = (group.period_m / row.period_m).round().max(1.0) as usize;
            for copy in 0..copies {
                let first = (row.ring_m + copy as f64 * row.period_m - high_m).rem_euclid(group.period_m);
                taken.push((first, first + high_m - low_m));
            }
        }
        if taken.is_empty() {
            return Some(0.0);
        }
        taken.sort_by(|a, b| a.0.total_cmp(&b.0));
        // What reaches over the end of the period takes its beginning too.
        let mut reach = taken.iter().map(|t| t.1).fold(f64::NEG_INFINITY, f64::max) - group.period_m;
        let mut longest = (LEAST_ROOM_M, None);
        for &(first, last) in taken.iter() {
            if first - reach > longest.0 {
                longest = (first - reach, Some(0.5 * (first + reach)));
            }
            reach = reach.max(last);
        }
        longest.1
    }
}

impl Obstacle {
    /// How much nearer its collar may stand to a plane than drawn, metres; of a bolt's body nothing, which
    /// stands as drawn.
    fn nearer_m(&self, plane: &Vec3) -> f64 {
        match &self.off {
            Some((tolerance_m, stands_on)) if self.length_m == 0.0 => {
                super::pattern::nearer_m(*tolerance_m, stands_on, plane)
            }
            _ => 0.0,
        }
    }

    /// The range of x, metres from the apex to the collar along the drive, in which the bolt
    /// touches the wedge with this apex.
    ///
    /// A bolt leaves the opening through a facet and stays outside that facet's plane. Where the
    /// apex lies outside it too, all of the cone on that side is wedge, so bolt and wedge meet
    /// where bolt and cone do; where it does not, the wedge lies on the other side.
    /// Points at depth t of a bolt at x lie in the cone where three half-planes of (x, t) overlap
    /// the strip of its length: a convex polygon, whose least and greatest x are at corners.
    fn touching(&self, cone: &Cone, apex: &Vec2) -> Option<(f64, f64)> {
        if !self.entries.iter().any(|(point, normal)| (apex - point).dot(normal) > 0.0) {
            return None;
        }
        let offset = self.point - apex;
        let across: [f64; 3] = std::array::from_fn(|i| {
            let m = &cone.inward[i];
            m.x * offset.x + m.z * offset.y - self.nearer_m(m)
        });
        let into: [f64; 3] = std::array::from_fn(|i| cone.inward[i].dot(&self.direction));
        let along: [f64; 3] = std::array::from_fn(|i| cone.inward[i].y);
        let flat = |i: usize| along[i].abs() <= AXIS_TOLERANCE;

        let mut range: Option<(f64, f64)> = None;
        let mut look = |t: f64| {
            if !(t >= 0.0 && t <= self.length_m) {
                return;
            }
            let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
            for i in 0..3 {
                let inside = across[i] + into[i] * t;
                if flat(i) {
                    if inside < -CORNER_M {
                        return;
                    }
                } else if along[i] > 0.0 {
                    low = low.max(-inside / along[i]);
                } else {
                    high = high.min(-inside / along[i]);
                }
            }
            if low <= high + CORNER_M {
                let (least, most) = range.unwrap_or((low, high));
                range = Some((least.min(low), most.max(high)));
            }
        };
        look(0.0);
        look(self.length_m);
        for i in 0..3 {
            if flat(i) {
                look(-across[i] / into[i]);
                continue;
            }
            for j in (i + 1..3).filter(|&j| !flat(j)) {
                let apart = across[i] / along[i] - across[j] / along[j];
                let closing = into[i] / along[i] - into[j] / along[j];
                look(-apart / closing);
            }
        }
        range
    }
}
