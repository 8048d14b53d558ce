//! Bolts in the face of the heading: rows across it that go up from the lowest one, drilled ahead.
//!
//! They stand in the face and nowhere else, so they never count for a wedge of the drive; the next round
//! blasts them away.

use super::pattern::{CORNER_COLLAR_M, HEIGHT_TOLERANCE_M, LEAST_ENTRY_SINE};
use super::track::{Hole, Track};
use super::{Bolt, Collar, Covered, Layout, LayoutError, Pattern, Row, Serving};
use crate::opening::{Opening, Section, Surface, Vec2};
use crate::orientation::Vec3;
use crate::stability::Stability;
use crate::wedge::{AXIS_TOLERANCE, Cone, ON_FACE_M};

/// A pattern on the face: rows `row_spacing_m` above each other from the lowest collar on, in each row
/// collars at 0, ±spacing, … to either side of the middle of the drive; every other row of a staggered one
/// at ± half a spacing and so on.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceBolts {
    /// Which bolt, its lengths and spacing; of the rings of a drive it has none: what stands for their
    /// spacing is that of the rows.
    pattern: Pattern,
    /// How the bolts leave the drive's axis: rising, and to the right, degrees.
    up_deg: f64,
    right_deg: f64,
}

impl FaceBolts {
    /// Bolts (their index in the case's list) of a length, metres, in rows over the face, along the drive's
    /// axis. Collars stand `spacing_m` apart across the face, rows `row_spacing_m` above each other, the
    /// lowest `lowest_collar_m` above the floor.
    #[must_use]
    pub fn new(
        bolt: usize,
        length_m: f64,
        [spacing_m, row_spacing_m]: [f64; 2],
        lowest_collar_m: f64,
    ) -> Self {
        let pattern = Pattern {
            covers: vec![Covered::Face],
            lowest_collar_m: Some(lowest_collar_m),
            ..Pattern::of_back(bolt, length_m, row_spacing_m, spacing_m)
        };
        Self { pattern, up_deg: 0.0, right_deg: 0.0 }
    }

    /// The same with this part of each bolt outside its hole, metres.
    #[must_use]
    pub fn outside_hole_m(mut self, outside_hole_m: f64) -> Self {
        self.pattern.outside_hole_m = outside_hole_m;
        self
    }

    /// The same with every other row shifted by half a spacing.
    #[must_use]
    pub fn staggered(mut self, stagger: bool) -> Self {
        self.pattern.stagger = stagger;
        self
    }

    /// The same with bolts that rise from the drive's axis and leave it to the right, degrees.
    #[must_use]
    pub fn aimed(self, up_deg: f64, right_deg: f64) -> Self {
        Self { up_deg, right_deg, ..self }
    }

    /// The same with another bolt of the case's list.
    #[must_use]
    pub fn of_bolt(mut self, bolt: usize) -> Self {
        self.pattern.bolt = bolt;
        self
    }

    /// Its bolts, lengths and spacing across the face as a pattern has them.
    #[must_use]
    pub fn pattern(&self) -> &Pattern {
        &self.pattern
    }

    /// Row to row up the face, metres.
    #[must_use]
    pub fn row_spacing_m(&self) -> f64 {
        self.pattern.ring_spacing_m
    }

    /// Height of its lowest row above the floor, metres.
    #[must_use]
    pub fn lowest_collar_m(&self) -> f64 {
        self.pattern.lowest_collar_m.unwrap_or(0.0)
    }

    /// How its bolts rise from the drive's axis, degrees.
    #[must_use]
    pub fn up_deg(&self) -> f64 {
        self.up_deg
    }

    /// How they leave it to the right, degrees.
    #[must_use]
    pub fn right_deg(&self) -> f64 {
        self.right_deg
    }

    /// Unit vector of its bolts, local (u, s, v): turned to the right first, then raised.
    #[must_use]
    pub fn direction(&self) -> Vec3 {
        let (up, right) = (self.up_deg.to_radians(), self.right_deg.to_radians());
        Vec3::new(up.cos() * right.sin(), up.cos() * right.cos(), up.sin())
    }

    /// Its collars on a face, all of which are in the one ring that a round has of them: rows from the
    /// lowest up, each from the middle outward, right before left.
    ///
    /// # Errors
    /// [`LayoutError`] where a spacing is not above zero, the bolts do not enter the rock, or no collar
    /// stands inside the section.
    pub fn layout(&self, opening: &Opening) -> Result<Layout, LayoutError> {
        let pattern = &self.pattern;
        for (key, found) in [("spacing_m", pattern.spacing_m), ("row_spacing_m", pattern.ring_spacing_m)] {
            if !(found.is_finite() && found > 0.0) {
                return Err(LayoutError::NoSpacing { key, found });
            }
        }
        let direction = self.direction();
        let section = &opening.section;
        let (low, high) = section.bounds();
        let lowest_m = self.lowest_collar_m();
        if direction.y < LEAST_ENTRY_SINE {
            return Err(LayoutError::DoesNotEnter {
                u_m: 0.0,
                v_m: lowest_m,
                surface: Surface::Face,
                angle_deg: direction.y.clamp(-1.0, 1.0).asin().to_degrees(),
            });
        }
        let mut rows = Vec::new();
        let mut step = 0u32;
        loop {
            let v = lowest_m + f64::from(step) * pattern.ring_spacing_m;
            if v > high.y + HEIGHT_TOLERANCE_M {
                break;
            }
            let shift = if pattern.stagger && step % 2 == 1 { 0.5 } else { 0.0 };
            let mut place = 0u32;
            loop {
                let u = (f64::from(place) + shift) * pattern.spacing_m;
                if u > low.x.abs().max(high.x) {
                    break;
                }
                for side in [1.0, -1.0] {
                    let point = Vec2::new(side * u, v);
                    if (side < 0.0 && u == 0.0) || !is_inside(section, &point) {
                        continue;
                    }
                    let (along_m, _) = section.nearest_m(&point);
                    let collar = Collar { arc_m: point.x, along_m, point, surface: Surface::Face, direction };
                    rows.push(Row { collar, first_ring: 0 });
                }
                place += 1;
            }
            step += 1;
        }
        if rows.is_empty() { Err(LayoutError::NoCollar) } else { Ok(Layout::of_rows(rows)) }
    }
}

/// Whether a collar stands on the face: inside the section, and not in the corner that the face makes with
/// back, walls and floor.
fn is_inside(section: &Section, point: &Vec2) -> bool {
    section.facets().iter().all(|f| f.normal.dot(&(point - f.start)) <= -CORNER_COLLAR_M)
}

/// The bolts of one case that stand in a face.
#[derive(Debug, Clone, Copy)]
pub struct FaceSupport<'a> {
    /// The patterns on the face.
    pub patterns: &'a [FaceBolts],
    /// The same laid out.
    pub layouts: &'a [Layout],
    /// The bolts of the case.
    pub bolts: &'a [Bolt],
    /// Where results count them on from: how many patterns the case has before them.
    pub first: usize,
    /// How far from its place a collar may stand on the face, metres.
    pub tolerance_m: f64,
}

impl<'a> FaceSupport<'a> {
    /// No bolts in the face.
    #[must_use]
    pub fn none(bolts: &'a [Bolt]) -> Self {
        Self { patterns: &[], layouts: &[], bolts, first: 0, tolerance_m: 0.0 }
    }

    /// The bolts that cross a wedge at the face, its apex local (u, s, v) with the face at s = 0: those with
    /// their collar on its face from anywhere within the tolerance, with the least part inside the wedge and
    /// the least beyond the joint that they can then have. Chainages count from the face. None where the
    /// apex stands behind the face: the wedge then shows on back, walls or floor alone.
    #[must_use]
    pub fn serving(&self, apex: &Vec3, cone: &Cone, stability: &Stability) -> Vec<Serving> {
        let mut serving = Vec::new();
        if apex.y <= 0.0 {
            return serving;
        }
        let place = Vec2::new(apex.x, apex.z);
        // On the face a way goes towards a plane at most as steeply as the plane leans to the face.
        let nearer_m = |m: &Vec3| self.tolerance_m * m.x.hypot(m.z);
        for (at, (design, layout)) in self.patterns.iter().zip(self.layouts).enumerate() {
            for row in &layout.rows {
                let collar = &row.collar;
                // Planes along the axis bound no chainage, so a track does not ask them.
                let beside = cone.inward.iter().filter(|m| m.y.abs() <= AXIS_TOLERANCE).any(|m| {
                    m.x * (collar.point.x - place.x) + m.z * (collar.point.y - place.y) - nearer_m(m)
                        < -ON_FACE_M
                });
                let hole = Hole {
                    collar: collar.point,
                    direction: collar.direction,
                    bolt: &self.bolts[design.pattern.bolt],
                    length_in_hole_m: design.pattern.length_in_hole_m(),
                };
                let track = (!beside).then(|| Track::of_hole(&place, cone, stability, &hole, nearer_m));
                let Some(track) = track.flatten() else { continue };
                let x = -apex.y;
                if x < track.low_m - ON_FACE_M || x > track.high_m + ON_FACE_M {
                    continue;
                }
                let Some(crossed) = track.crossed(x) else { continue };
                serving.push(Serving {
                    pattern: self.first + at,
                    ring: 0,
                    arc_m: collar.arc_m,
                    chainage_m: 0.0,
                    point: collar.point,
                    surface: collar.surface,
                    direction: collar.direction,
                    plane: crossed.plane,
                    head_m: crossed.head_m,
                    toe_m: crossed.toe_m,
                    off_m: cone.inward.map(|m| nearer_m(&m)),
                    capacity: crossed.capacity,
                    share_kn: stability.gain_kn(&track.effect) * crossed.capacity.kn,
                });
            }
        }
        serving
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::opening::{DriveFrame, SectionShape};
    use crate::orientation::Line;

    fn opening() -> Opening {
        let shape = SectionShape::Flat { width_m: 5.0, height_m: 4.5 };
        Opening::new(shape.section().unwrap(), DriveFrame::new(Line { trend_deg: 0.0, plunge_deg: 0.0 }))
    }

    #[test]
    fn rows_go_up_from_the_lowest_and_lie_even_about_the_middle() {
        let layout = FaceBolts::new(0, 2.4, [1.5, 1.2], 0.9).staggered(true).layout(&opening()).unwrap();
        let places: Vec<(f64, f64)> =
            layout.rows.iter().map(|r| (r.collar.point.x, (1e6 * r.collar.point.y).round() / 1e6)).collect();
        let even = |v: f64| [(0.0, v), (1.5, v), (-1.5, v)];
        let odd = |v: f64| [(0.75, v), (-0.75, v), (2.25, v), (-2.25, v)];
        assert_eq!(places, [&even(0.9)[..], &odd(2.1), &even(3.3)].concat());
        assert!(layout.rows.iter().all(|r| r.collar.direction == Vec3::y()));
    }

    #[test]
    fn bolts_rise_and_turn() {
        let up = FaceBolts::new(0, 2.4, [1.5, 1.2], 0.9).aimed(30.0, 0.0).direction();
        assert!((up - Vec3::new(0.0, 0.75f64.sqrt(), 0.5)).norm() < 1e-12);
        let right = FaceBolts::new(0, 2.4, [1.5, 1.2], 0.9).aimed(0.0, 30.0).direction();
        assert!((right - Vec3::new(0.5, 0.75f64.sqrt(), 0.0)).norm() < 1e-12);
    }

    #[test]
    fn what_cannot_be_drilled_is_refused() {
        let on = |bolts: FaceBolts| bolts.layout(&opening());
        let plain = || FaceBolts::new(0, 2.4, [1.5, 1.2], 0.9);
        assert!(matches!(on(plain().aimed(85.0, 0.0)), Err(LayoutError::DoesNotEnter { .. })));
        assert!(matches!(on(FaceBolts::new(0, 2.4, [1.5, 1.2], 4.6)), Err(LayoutError::NoCollar)));
        let none = FaceBolts::new(0, 2.4, [0.0, 1.2], 0.9);
        assert!(matches!(on(none), Err(LayoutError::NoSpacing { key: "spacing_m", .. })));
    }
}
