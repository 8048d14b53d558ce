//! Prisms that two joint sets alone cut along the drive, a round long and released at both ends.

use super::seat::criterion_fs;
use super::shaken::{pull, shaken};
use super::{Check, LEAST_VOLUME_M3, Verdict};
use crate::case::Case;
use crate::opening::Surface;
use crate::orientation::{Line, Vec3};
use crate::stability::{Loads, Mode, Motion, Reaction, Stability};
use crate::strength::MohrCoulomb;
use crate::support::{PhaseGroup, Row};
use crate::wedge::{ADMISSIBLE_SHARE, Cap, Footprint, LIMITING_SHARE, ON_FACE_M, Prism, PrismCaps};

/// A line further off the drive's axis than this, degrees, makes a prism that tapers too much for its
/// bolts to be counted on one section: over a round of 3.6 m its ridge moves by 0.63 m, half a usual
/// spacing of collars.
pub const ALONG_DRIVE_DEG: f64 = 10.0;

/// Places across the section at which an equally large prism is held against the bolts, besides
/// those where one of its edges passes a row of collars.
const PLACES: usize = 600;

/// A facet with less of a prism's face than this, metres, does not put it on that surface.
const LEAST_FACE_M: f64 = 1e-6;

/// A prism of two sets against the pattern.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckedPrism {
    /// Its sets and their digits, `A-B.11`.
    pub id: String,
    /// Indices of its sets in the case.
    pub sets: [usize; 2],
    /// For each set, whether it lies below the joint.
    pub lower: [bool; 2],
    /// The surfaces it shows on.
    pub surfaces: Vec<Surface>,
    /// Length along the drive that it is taken with, metres.
    pub length_m: f64,
    /// Angle between the line of the two joints and the drive's axis, degrees.
    pub off_axis_deg: f64,
    /// Area of its section, square metres.
    pub area_m2: f64,
    /// The same without caps.
    pub area_uncapped_m2: f64,
    /// Weight of a metre of drive, kN.
    pub weight_kn_per_m: f64,
    /// Depth of its ridge, metres.
    pub depth_m: f64,
    /// Width of its face along the perimeter, metres.
    pub width_m: f64,
    /// What caps it.
    pub limited_by: Vec<Cap>,
    /// How it moves, forces of its whole length.
    pub stability: Stability,
    /// Direction of movement.
    pub slide: Line,
    /// Least factor of safety without support, over equally large prisms across the section.
    pub fs_bare: f64,
    /// Least with bolts as resistance; `None` without a pattern.
    pub fs_bolted: Option<f64>,
    /// Bolts that cross it then, over its length.
    pub bolts_serving: Option<usize>,
    /// The factor of safety asked for.
    pub criterion_fs: f64,
    /// What is said of it.
    pub verdict: Verdict,
}

/// Every prism of two sets that moves, pairs and sides in the order of the case. `check` is what
/// [`super::forces_alone()`] found for the case.
///
/// The prism is as long as a round, or as the caps on its length and on the traces of its joints
/// along the drive allow, and **its two ends are taken as released**: by cross joints or by the face,
/// without strength, at its worst place. Two joints of any strike cut such a prism as long as its
/// ridge, which is off the drive's axis where their line is, stays in the rock over that length; its
/// sections then taper, and the widest one is taken for all of it: weight and bare factor are on the
/// cautious side. Bolts are counted on it too, which flatters them where a narrower section would miss
/// some: further off the axis than [`ALONG_DRIVE_DEG`] a prism is not judged as held by bolts. It moves as its two joints let it, in space, not in the section: falling, or
/// down the dip of one joint ([`Motion::of_prism`]). A cap on traces holds along the drive and, at an
/// end, in the section.
///
/// Bolts: a bolt serves where its collar is on the prism's face and it crosses one of the joints, at
/// its capacity there; as many rings count as the worst place along the drive leaves over the length.
/// Only the largest admissible prism is judged, and mapped structures make none: they are in one place.
#[must_use]
pub fn prisms(case: &Case, check: &Check) -> Vec<CheckedPrism> {
    let mut found = Vec::new();
    let sets: Vec<usize> = case.sets().map(|(index, _)| index).collect();
    for (at, &i) in sets.iter().enumerate() {
        for &j in &sets[at + 1..] {
            for lower in [[false, false], [false, true], [true, false], [true, true]] {
                found.extend(of_pair(case, check, [i, j], lower));
            }
        }
    }
    found
}

fn of_pair(case: &Case, check: &Check, sets: [usize; 2], lower: [bool; 2]) -> Option<CheckedPrism> {
    let opening = &check.opening;
    let section = &opening.section;
    let inward: [Vec3; 2] = std::array::from_fn(|k| {
        let upward = opening.frame.to_local(&case.joints[sets[k]].plane.upward_normal());
        if lower[k] { -upward } else { upward }
    });
    // Signs first: most pairs of sides stay where they are.
    let shaken = shaken(case, &opening.frame, &sets, |force| Motion::of_prism(&inward, force));
    let pull = pull(&opening.frame, shaken.as_ref());
    if case.site.pressing().is_none() && Motion::of_prism(&inward, &pull).mode == Mode::NoMotion {
        return None;
    }
    let prism = Prism::of(section, &inward)?;
    let trace_cap_m = sets.map(|s| case.joints[s].max_trace_m.or(case.limits.max_trace_m));
    let (length_m, length_cap) = length(case, trace_cap_m);
    if !prism.reaches_m(length_m) {
        return None;
    }
    let caps = PrismCaps {
        trace_m: trace_cap_m,
        depth_m: case.limits.max_depth_m,
        area_m2: case.limits.max_volume_m3.map(|v| v / length_m),
    };
    let foot = prism.largest_within(&caps)?;
    let area_m2 = prism.area_m2(&foot);
    if area_m2 * length_m < LEAST_VOLUME_M3 {
        return None;
    }
    let on = Held { case, check, prism: &prism, inward, sets, length_m, pull };
    let stability = on.stability(&foot);
    let criterion_fs = criterion_fs(case, stability.motion.mode)?;
    let worst = on.worst(&foot, &caps);
    let fs_bare = worst.fs_bare;
    let worst = (!case.patterns.is_empty()).then_some(worst);
    let deciding = worst.as_ref().map_or(fs_bare, |w| w.fs);
    let names = sets.map(|s| case.joints[s].name.as_str());
    let digits: String = lower.iter().map(|&l| if l { '1' } else { '0' }).collect();
    let line = inward[0].cross(&inward[1]).normalize();
    let off_axis_deg = line.y.abs().clamp(0.0, 1.0).acos().to_degrees();
    let verdict = if deciding < criterion_fs {
        Verdict::Short
    } else if fs_bare >= criterion_fs || off_axis_deg <= ALONG_DRIVE_DEG {
        Verdict::Held
    } else {
        Verdict::NotJudged
    };
    Some(CheckedPrism {
        id: format!("{}.{digits}", names.join("-")),
        sets,
        lower,
        surfaces: on.surfaces(&foot),
        length_m,
        off_axis_deg,
        area_m2,
        area_uncapped_m2: prism.area_m2(&prism.largest()),
        weight_kn_per_m: area_m2 * case.unit_weight_kn_m3,
        depth_m: prism.depth_m(&foot),
        width_m: foot.along_m[2] - foot.along_m[0],
        limited_by: limited_by(&prism, &foot, &caps, length_cap),
        slide: Line::from_vector(&opening.frame.to_world(&stability.motion.direction)),
        stability,
        fs_bare,
        fs_bolted: worst.as_ref().map(|w| w.fs),
        bolts_serving: worst.as_ref().map(|w| w.bolts),
        criterion_fs,
        verdict,
    })
}

/// The round, or what the caps leave of it, and which cap that was.
fn length(case: &Case, trace_cap_m: [Option<f64>; 2]) -> (f64, Option<Cap>) {
    let mut least = (case.round_length_m, None);
    let caps =
        [(case.limits.max_length_m, Cap::Length), (trace_cap_m[0], Cap::Trace), (trace_cap_m[1], Cap::Trace)];
    for (cap_m, cap) in caps {
        if let Some(m) = cap_m.filter(|&m| m < least.0) {
            least = (m, Some(cap));
        }
    }
    least
}

fn limited_by(prism: &Prism, foot: &Footprint, caps: &PrismCaps, length: Option<Cap>) -> Vec<Cap> {
    let binds = |value: f64, cap: Option<f64>| cap.is_some_and(|c| value >= c * (1.0 - LIMITING_SHARE));
    let traces = prism.trace_m(foot);
    let mut list: Vec<Cap> = length.into_iter().collect();
    let all = [
        (binds(traces[0], caps.trace_m[0]) || binds(traces[1], caps.trace_m[1]), Cap::Trace),
        (binds(prism.depth_m(foot), caps.depth_m), Cap::Depth),
        (binds(prism.area_m2(foot), caps.area_m2), Cap::Volume),
    ];
    list.extend(all.iter().filter(|(limits, _)| *limits).map(|(_, cap)| *cap));
    list.sort_unstable();
    list.dedup();
    list
}

/// The least factors, and how many bolts cross the prism where the bolted one is least.
#[derive(Debug, Clone, Copy)]
struct Worst {
    fs_bare: f64,
    fs: f64,
    bolts: usize,
}

struct Held<'s> {
    case: &'s Case,
    check: &'s Check,
    prism: &'s Prism<'s>,
    inward: [Vec3; 2],
    sets: [usize; 2],
    length_m: f64,
    /// The active force on unit weight.
    pull: Vec3,
}

/// What one bolt of a row does for a prism.
struct Part {
    reaction: Reaction,
    gain_kn: f64,
    ring_m: f64,
    period_m: f64,
    pattern: usize,
}

impl Held<'_> {
    /// The equilibrium of the prism over its whole length. Cohesion acts on the joints' traces in the
    /// section times the length: less than their faces where their line is off the axis.
    fn stability(&self, foot: &Footprint) -> Stability {
        let volume_m3 = self.prism.area_m2(foot) * self.length_m;
        let dry_kn = Loads::weight(volume_m3, self.case.unit_weight_kn_m3).pulled_kn(&self.pull);
        let force = self.water_kn(foot).map_or(dry_kn, |wet_kn| dry_kn + wet_kn);
        let motion = Motion::of_prism(&self.inward, &force);
        let none = MohrCoulomb { friction_deg: 0.0, cohesion_kpa: 0.0 };
        let [a, b] = self.sets.map(|s| self.case.joints[s].strength);
        let [trace_a, trace_b] = self.prism.trace_m(foot);
        let areas = [trace_a * self.length_m, trace_b * self.length_m, 0.0];
        Stability::new(motion, [self.inward[0], self.inward[1], Vec3::zeros()], &[a, b, none], &areas)
    }

    /// What water presses onto the two joints over the whole length: their faces lie behind their traces in the
    /// section, wider than these where a joint leans along the drive. A table stands above the floor in the middle
    /// of the prism.
    fn water_kn(&self, foot: &Footprint) -> Option<Vec3> {
        let water = self.case.site.pressing()?;
        let up = self.check.opening.frame.to_local(&Vec3::z());
        let field = water.pressure_kpa(self.prism.depth_m(foot), &up);
        let ridge = Vec3::new(foot.apex.x, 0.0, foot.apex.y);
        let on = |k: usize| {
            let end = self.prism.trace_end(foot, k);
            let along = (end - foot.apex).norm();
            let seen = self.inward[k].x.hypot(self.inward[k].z);
            let mean = field.over_line(&ridge, &Vec3::new(end.x, 0.0, end.y));
            self.inward[k] * (mean * along * self.length_m / seen)
        };
        Some((0..2).filter(|&k| water.acts_on(self.sets[k])).map(on).sum())
    }

    fn surfaces(&self, foot: &Footprint) -> Vec<Surface> {
        let opening = &self.check.opening;
        let facets = opening.section.facets().len();
        let mut shows = Vec::new();
        self.prism.chain().each_facet(foot.along_m[0], foot.along_m[2], |k, from_m, to_m| {
            if to_m - from_m > LEAST_FACE_M {
                shows.push(opening.surface_of(self.prism.chain().facet_index(k, facets)));
            }
        });
        Surface::ALL.into_iter().filter(|s| shows.contains(s)).collect()
    }

    /// Least over all equally large prisms across the section.
    fn worst(&self, shown: &Footprint, caps: &PrismCaps) -> Worst {
        let mut least = self.against_bolts(shown);
        let enough_m2 = ADMISSIBLE_SHARE * self.prism.area_m2(shown);
        let chain = self.prism.chain();
        let whole_m = chain.length_m();
        let step_m = whole_m / PLACES as f64;
        let mut places: Vec<f64> = (0..PLACES).map(|i| step_m * (i as f64 + 0.5)).collect();
        for row in self.check.layouts.iter().flat_map(|l| &l.rows) {
            let along = self.along_m(row);
            places.extend([along - 2.0 * ON_FACE_M, along + 2.0 * ON_FACE_M]);
        }
        for start_m in places.into_iter().filter(|&m| m >= 0.0 && m < whole_m) {
            let Some(foot) = self.prism.widest(start_m, caps) else { continue };
            if self.prism.area_m2(&foot) < enough_m2 {
                continue;
            }
            let here = self.against_bolts(&foot);
            let fs_bare = here.fs_bare.min(least.fs_bare);
            if here.fs < least.fs {
                least = here;
            }
            least.fs_bare = fs_bare;
        }
        least
    }

    /// Where a row stands, metres along the prism's chain.
    fn along_m(&self, row: &Row) -> f64 {
        (row.collar.along_m - self.prism.chain().offset_m())
            .rem_euclid(self.check.opening.section.perimeter_m())
    }

    /// The least factor over all places along the drive for one section.
    fn against_bolts(&self, foot: &Footprint) -> Worst {
        let stability = self.stability(foot);
        let mut parts = Vec::new();
        for (index, layout) in self.check.layouts.iter().enumerate() {
            parts.extend(layout.rows.iter().filter_map(|row| self.part(foot, &stability, index, row)));
        }
        let mut sum = Reaction::default();
        let mut bolts = 0;
        for group in &self.check.groups {
            let (reaction, count) = self.fewest(group, &parts);
            sum += reaction;
            bolts += count;
        }
        Worst { fs_bare: stability.fs_bare(), fs: stability.fs(&sum), bolts }
    }

    /// What a bolt of a row does, or `None` where it does not cross a joint inside the face.
    fn part(&self, foot: &Footprint, stability: &Stability, pattern: usize, row: &Row) -> Option<Part> {
        let [start_m, _, end_m] = foot.along_m;
        let along = self.along_m(row);
        if along <= start_m + ON_FACE_M || along >= end_m - ON_FACE_M {
            return None;
        }
        let design = &self.case.patterns[pattern];
        let direction = row.collar.direction;
        let offset = row.collar.point - foot.apex;
        // The joints as their traces in the section, the same at every chainage.
        let head_m = self
            .inward
            .iter()
            .filter_map(|m| {
                let into = m.x * direction.x + m.z * direction.z;
                (into < 0.0).then(|| -(m.x * offset.x + m.z * offset.y) / into)
            })
            .fold(f64::INFINITY, f64::min);
        let toe_m = design.length_in_hole_m() - head_m;
        if toe_m < 0.0 {
            return None;
        }
        let capacity = self.case.bolts[design.bolt].capacity(head_m, toe_m);
        let reaction = stability.effect(&direction).times(capacity.kn);
        Some(Part {
            reaction,
            gain_kn: stability.gain_kn(&reaction),
            ring_m: design.offset_m.unwrap_or(0.0) + f64::from(row.first_ring) * design.ring_spacing_m,
            period_m: self.check.layouts[pattern].period_m,
            pattern,
        })
    }

    /// What a group's bolts do where the prism's length meets least of them: just after a ring, or
    /// just before the one that its far end would reach.
    fn fewest(&self, group: &PhaseGroup, parts: &[Part]) -> (Reaction, usize) {
        let parts: Vec<&Part> = parts.iter().filter(|p| group.patterns.contains(&p.pattern)).collect();
        let mut least: Option<(f64, Reaction, usize)> = None;
        for part in &parts {
            let copies = (group.period_m / part.period_m).round().max(1.0) as usize;
            for copy in 0..copies {
                let ring_m = part.ring_m + copy as f64 * part.period_m;
                for from_m in [ring_m, ring_m - self.length_m] {
                    let mut here = (0.0, Reaction::default(), 0);
                    for p in &parts {
                        let count = rings_between(p, from_m, from_m + self.length_m);
                        here.0 += p.gain_kn * count as f64;
                        here.1 += p.reaction.times(count as f64);
                        here.2 += count;
                    }
                    if least.as_ref().is_none_or(|l| here.0 < l.0) {
                        least = Some(here);
                    }
                }
            }
        }
        least.map_or((Reaction::default(), 0), |l| (l.1, l.2))
    }
}

/// Rings of a row between two chainages, those at the ends left out.
fn rings_between(part: &Part, from_m: f64, to_m: f64) -> usize {
    let steps = |m: f64| (m - part.ring_m) / part.period_m;
    let slack = ON_FACE_M / part.period_m;
    let (first, last) = ((steps(from_m) + slack).ceil(), (steps(to_m) - slack).floor());
    (last - first + 1.0).max(0.0) as usize
}
