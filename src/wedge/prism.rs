use super::sector::FlatSide;
use super::{Chain, Footprint, Sector};
use crate::numeric::{bisect, golden_greatest};
use crate::opening::{Section, Vec2, cross2};
use crate::orientation::Vec3;

/// Two joints whose traces in the section are nearer than this, degrees, cut a sliver whose depth
/// hangs on the last digit of a compass reading: the same 0.2° as for three joints.
pub const THIN_PRISM_DEG: f64 = 0.2;

/// A line that runs less along the drive than this, per metre of itself, runs square to it.
const SQUARE_TO_DRIVE: f64 = 1e-6;

/// A joint whose unit normal has less than this across the drive stands square to it: it leaves no
/// trace in the section.
const LEAST_ACROSS: f64 = 1e-9;

/// A ridge whose traces daylight after less than this, metres, lies in the surface.
const LEAST_TRACE_M: f64 = 1e-9;

/// The largest section's traces are tangent to the opening: they meet a corner within rounding, as a
/// share of its facet.
const TANGENT_SHARE: f64 = 1e-9;

/// Places of the first trace that the search for the largest admissible section starts from.
const SAMPLES: usize = 240;

/// Golden-section steps at the best of them: the bracket shrinks to 1e-8 of a sample's spacing.
const GOLDEN_STEPS: usize = 40;

/// Halvings of the place where a cap is met: a double has no finer place.
const HALVINGS: usize = 60;

/// Caps on a prism's section; `None` means no cap.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PrismCaps {
    /// Longest trace of each joint in the section, metres.
    pub trace_m: [Option<f64>; 2],
    /// Greatest depth of the ridge, metres.
    pub depth_m: Option<f64>,
    /// Greatest area, square metres.
    pub area_m2: Option<f64>,
}

/// What two joints cut from the ground round a drive, seen in the section: a sector whose two rays
/// are their traces there. In three dimensions it is a prism along the line in which they meet; the
/// section shows it whole where that line runs along the drive.
#[derive(Debug, Clone, Copy)]
pub struct Prism<'a> {
    chain: Chain<'a>,
    /// Which of the two joints the first ray, counter-clockwise along the perimeter, lies in.
    first: usize,
    /// How far the ridge moves across the section for each metre along the drive.
    drift: Vec2,
}

impl<'a> Prism<'a> {
    /// The prism between two joints with these unit normals into it, local (u, s, v). `None` where
    /// their traces in the section are parallel or their line runs square to the drive, and where no
    /// facet faces both.
    #[must_use]
    pub fn of(section: &'a Section, inward: &[Vec3; 2]) -> Option<Self> {
        let seen = inward.map(|m| Vec2::new(m.x, m.z));
        let [a, b] = [seen[0].try_normalize(LEAST_ACROSS)?, seen[1].try_normalize(LEAST_ACROSS)?];
        if cross2(&a, &b).abs() < THIN_PRISM_DEG.to_radians().sin() {
            return None;
        }
        let line = inward[0].cross(&inward[1]).normalize();
        if line.y.abs() < SQUARE_TO_DRIVE {
            return None;
        }
        // Along one joint's trace, away from the other joint.
        let ray = |own: &Vec2, other: &Vec2| {
            let along = Vec2::new(-own.y, own.x);
            if along.dot(other) < 0.0 { -along } else { along }
        };
        let rays = [ray(&a, &b), ray(&b, &a)];
        let first = usize::from(cross2(&rays[0], &rays[1]) >= 0.0);
        let (start, end) = (rays[first], rays[1 - first]);
        // A sector without a third joint: its middle ray is its first one.
        let sector = Sector {
            order: [0, 0, 1],
            rays: [start, start, end],
            axial: [0.0; 3],
            ridge: 0.0,
            flat_side: Some(FlatSide::Start),
        };
        let chain = Chain::of(section, &sector)?;
        Some(Self { chain, first, drift: Vec2::new(line.x, line.z) / line.y })
    }

    /// The part of the perimeter that it can show on.
    #[must_use]
    pub fn chain(&self) -> &Chain<'a> {
        &self.chain
    }

    /// The largest section: both traces are tangent to the opening.
    #[must_use]
    pub fn largest(&self) -> Footprint {
        self.chain.largest()
    }

    /// Area of a section, square metres: the polygon of ridge and perimeter, exactly.
    #[must_use]
    pub fn area_m2(&self, foot: &Footprint) -> f64 {
        let mut area = 0.0;
        self.chain.each_piece(foot, |_, a, b, _, _| area -= 0.5 * cross2(&a, &b));
        area
    }

    /// Length of each joint's trace in the section, from the ridge to the opening, metres.
    #[must_use]
    pub fn trace_m(&self, foot: &Footprint) -> [f64; 2] {
        let [start, _, end] = foot.edge_m;
        if self.first == 0 { [start, end] } else { [end, start] }
    }

    /// Where a joint's trace in the section daylights.
    #[must_use]
    pub fn trace_end(&self, foot: &Footprint, joint: usize) -> Vec2 {
        let [start, _, end] = self.chain.sector().rays;
        let [start_edge, _, end_edge] = foot.edge_m;
        if joint == self.first { foot.apex + start * start_edge } else { foot.apex + end * end_edge }
    }

    /// Shortest distance from the ridge to the opening, metres.
    #[must_use]
    pub fn depth_m(&self, foot: &Footprint) -> f64 {
        self.chain.depth_m(&foot.apex).0
    }

    /// Whether there is such a prism as long as this: at both ends its ridge is still in the rock.
    ///
    /// A ridge that is not along the drive moves across the section. Sections with the ridge nearer
    /// to the opening along either ray lie inside, so the prism that keeps most of both rays is the
    /// largest: its ridge starts from, or ends at, the largest section's.
    #[must_use]
    pub fn reaches_m(&self, length_m: f64) -> bool {
        let [start, _, end] = self.chain.sector().rays;
        let moved = self.drift * length_m;
        let sine = cross2(&start, &end);
        let (along_start, along_end) = (cross2(&moved, &end) / sine, cross2(&start, &moved) / sine);
        let from = self.largest().apex + start * (-along_start).max(0.0) + end * (-along_end).max(0.0);
        self.sees_opening(&from) && self.sees_opening(&(from + moved))
    }

    /// Whether both traces from a ridge daylight: rays from a point in the rock that meet the chain.
    fn sees_opening(&self, ridge: &Vec2) -> bool {
        let [start, _, end] = self.chain.sector().rays;
        [start, end].iter().all(|ray| {
            self.chain.vertices().windows(2).any(|pair| {
                let (from, chord) = (pair[0] - ridge, pair[1] - pair[0]);
                let sine = cross2(ray, &chord);
                // The chain faces both rays: no facet is parallel to one.
                let (reach_m, share) = (cross2(&from, &chord) / sine, cross2(&from, ray) / sine);
                reach_m > LEAST_TRACE_M && (-TANGENT_SHARE..=1.0 + TANGENT_SHARE).contains(&share)
            })
        })
    }

    /// Whether a section meets every cap.
    fn admits(&self, foot: &Footprint, caps: &PrismCaps) -> bool {
        let within = |value: f64, cap: Option<f64>| cap.is_none_or(|c| value <= c);
        let traces = self.trace_m(foot);
        within(traces[0], caps.trace_m[0])
            && within(traces[1], caps.trace_m[1])
            && within(self.depth_m(foot), caps.depth_m)
            && within(self.area_m2(foot), caps.area_m2)
    }

    /// The largest admissible section whose first trace daylights at `start_m` (metres along the
    /// chain). As the other one daylights further off the ridge moves away along the first trace, and
    /// both traces, depth and area grow: the cap that is met first is found by halving.
    #[must_use]
    pub fn widest(&self, start_m: f64, caps: &PrismCaps) -> Option<Footprint> {
        let high_m = self.chain.length_m();
        if high_m <= start_m {
            return None;
        }
        let whole = self.chain.footprint(start_m, high_m);
        if self.admits(&whole, caps) {
            return Some(whole);
        }
        let admitted = |end_m: f64| self.admits(&self.chain.footprint(start_m, end_m), caps);
        let (low_m, _) = bisect(start_m, high_m, HALVINGS, admitted);
        (low_m > start_m).then(|| self.chain.footprint(start_m, low_m))
    }

    /// The largest section that meets every cap.
    #[must_use]
    pub fn largest_within(&self, caps: &PrismCaps) -> Option<Footprint> {
        let largest = self.largest();
        if self.admits(&largest, caps) {
            return Some(largest);
        }
        let step_m = self.chain.length_m() / SAMPLES as f64;
        let area = |start_m: f64| self.widest(start_m, caps).map_or(0.0, |foot| self.area_m2(&foot));
        let (mut best_m, mut best_m2) = (0.0, area(0.0));
        for i in 1..SAMPLES {
            let start_m = step_m * i as f64;
            let found = area(start_m);
            if found > best_m2 {
                (best_m, best_m2) = (start_m, found);
            }
        }
        let about = (f64::max(best_m - step_m, 0.0), best_m + step_m);
        let (low, high) = golden_greatest(about, GOLDEN_STEPS, area);
        let refined = 0.5 * (low + high);
        if area(refined) > best_m2 {
            best_m = refined;
        }
        self.widest(best_m, caps)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::opening::SectionShape;

    /// Into the prism, of a joint along the drive that dips to one side: hanging or footing.
    fn along_drive(dip_deg: f64, to_the_right: bool) -> Vec3 {
        let (sin, cos) = dip_deg.to_radians().sin_cos();
        // Below the joint.
        Vec3::new(if to_the_right { -sin } else { sin }, 0.0, -cos)
    }

    /// Dips of 60° and 45° over a back of 5 m: height h = w / (cot 60 + cot 45), area w h / 2.
    #[test]
    fn a_prism_over_a_flat_back_is_a_triangle() {
        let section = SectionShape::Flat { width_m: 5.0, height_m: 4.0 }.section().unwrap();
        let prism = Prism::of(&section, &[along_drive(60.0, true), along_drive(45.0, false)]).unwrap();
        let foot = prism.largest();
        let height = 5.0 / (1.0 / 60f64.to_radians().tan() + 1.0);
        assert!((foot.apex.y - 4.0 - height).abs() < 1e-12);
        assert!((prism.area_m2(&foot) - 2.5 * height).abs() < 1e-12);
        assert!((prism.depth_m(&foot) - height).abs() < 1e-12);
        let traces = prism.trace_m(&foot);
        assert!((traces[0] - height / 60f64.to_radians().sin()).abs() < 1e-12);
        assert!((traces[1] - height / 45f64.to_radians().sin()).abs() < 1e-12);
        assert!(prism.reaches_m(100.0));
    }

    #[test]
    fn caps_bind_the_same_triangle_in_proportion() {
        let section = SectionShape::Flat { width_m: 5.0, height_m: 4.0 }.section().unwrap();
        let prism = Prism::of(&section, &[along_drive(60.0, true), along_drive(45.0, false)]).unwrap();
        let whole = prism.largest();
        let share = 0.6;
        let area = prism.area_m2(&whole);
        let traces = prism.trace_m(&whole);
        for caps in [
            PrismCaps { depth_m: Some(share * prism.depth_m(&whole)), ..PrismCaps::default() },
            PrismCaps { area_m2: Some(share * share * area), ..PrismCaps::default() },
            PrismCaps { trace_m: [Some(share * traces[0]), None], ..PrismCaps::default() },
            PrismCaps { trace_m: [None, Some(share * traces[1])], ..PrismCaps::default() },
        ] {
            let foot = prism.largest_within(&caps).unwrap();
            assert!((prism.area_m2(&foot) / area - share * share).abs() < 1e-9, "{caps:?}");
            assert!(prism.admits(&foot, &caps));
        }
    }

    #[test]
    fn a_line_across_the_drive_makes_no_prism_of_a_round() {
        let section = SectionShape::Flat { width_m: 5.0, height_m: 4.0 }.section().unwrap();
        // Both joints turned 60° out of the drive: their line too.
        let (sin, cos) = 60f64.to_radians().sin_cos();
        let turned = |m: Vec3| Vec3::new(m.x * cos, m.x * sin, m.z);
        let joints = [turned(along_drive(60.0, true)), turned(along_drive(60.0, false))];
        let prism = Prism::of(&section, &joints).unwrap();
        assert!(prism.reaches_m(0.5) && !prism.reaches_m(3.6));
        // Traces in the section that are parallel.
        let level = [Vec3::new(0.0, 0.6, -0.8), Vec3::new(0.0, -0.6, -0.8)];
        assert!(Prism::of(&section, &level).is_none());
    }
}
