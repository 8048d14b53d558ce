//! The wedges at the face of every size: which of them is carried least, as a scan of apexes finds it.
//!
//! Pieces of the drive are bracketed from both sides; those at the face, whose apex is a point in space, are
//! scanned: apexes over even grids on planes ahead of the face, and walks down from the least of them, which
//! move one joint at a time, to where it just leaves a collar. That is a search and no bound: the count of
//! apexes is told with what was found.

use std::cmp::Ordering;

use super::checked::DecidedBy;
use super::face_moments::{least_at, least_with_moments};
use super::forces::surfaces_of;
use super::judgement::{JUDGED, over_whole_face};
use super::seat::criterion_fs;
use super::{Check, FacePlacement, LEAST_VOLUME_M3};
use crate::case::Case;
use crate::opening::{Surface, Vec2};
use crate::orientation::Vec3;
use crate::stability::{Mode, Stability};
use crate::support::{Carrier, FaceSupport, Layout, PatternEnd, Serving};
use crate::wedge::{FaceBody, FaceLimits, Reach, Shape};

/// Each plane of apexes stands this share as far ahead of the face as the one before: wedges fall by half in
/// volume from one to the next.
const NEXT_PLANE: f64 = 0.794;

/// Planes that are tried: from a kilometre ahead to a centimetre. Those before the first on which caps leave a
/// wedge, and after the last with one of a litre, are not counted.
const MOST_PLANES: usize = 50;

/// Apexes each way across a plane.
const ACROSS: usize = 17;

/// Walks down, from the least apexes that are a step of their grid apart.
const WALKS: usize = 12;

/// A walk ends when its steps are this short, metres: a bolt that gains 250 kN/m gains 2.5 N on it.
const LEAST_STEP_M: f64 = 1e-5;

/// Rounds of a walk, and rounds in which a joint is moved to collars.
const MOST_ROUNDS: usize = 120;
const COLLAR_ROUNDS: usize = 6;

/// An apex this far outside those that the pyramid may have is one of them, metres: rounding of its corners.
const ON_REACH_M: f64 = 1e-9;

/// Corners of a plane, and the farthest corner of all, are looked at this share inside.
const JUST_INSIDE: f64 = 1e-9;

/// How far a joint is moved beyond a collar that it leaves, metres: ten times what a collar on the edge has.
const OFF_COLLAR_M: f64 = 1e-8;

/// Two factors that differ by less than this share are one; of such pieces the larger is told.
const SAME_FACTOR: f64 = 1e-9;

/// What was asked of the wedges of a pyramid at the face.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceScan {
    /// Apexes on the grids that the caps allow.
    pub apexes: usize,
    /// Planes ahead of the face that they lie on: sizes, each half of the one before.
    pub planes: usize,
    /// Apexes that the walks from the least of them looked at.
    pub walked: usize,
    /// The piece that is carried least of all these; `None` where none moves or is above what is barred down.
    pub least: Option<FacePiece>,
    /// The largest piece met that nothing entered is on: bolts are in the face, none is sure to cross it, and
    /// nothing covers the face between them.
    pub uncarried: Option<FacePiece>,
    /// The carriers that pieces on the way needed, in order.
    pub needed: Vec<Carrier>,
}

/// One wedge at the face, where it sits among the bolts.
#[derive(Debug, Clone, PartialEq)]
pub struct FacePiece {
    /// The factor of its best carrier.
    pub fs: f64,
    /// The factor that is asked of it.
    pub asked_fs: f64,
    /// The carrier that gives it most.
    pub carrier: Carrier,
    /// What its factor comes from.
    pub by: DecidedBy,
    /// Its weight, kN.
    pub weight_kn: f64,
    /// Its equilibrium without support.
    pub stability: Stability,
    /// The surfaces it shows on.
    pub surfaces: Vec<Surface>,
    /// Its corners, the face at s = 0.
    pub shape: Shape,
    /// The worst end of the rings for it, with the bolts that are sure to cross it.
    pub worst: FacePlacement,
    /// Least load factor with forces and moments in balance, of a falling one.
    pub fs_rotation: Option<f64>,
}

/// A pyramid at the face of a checked drive with all that may carry its wedges.
pub(super) struct Scan<'a, 'b> {
    pub case: &'a Case,
    pub check: &'a Check,
    /// The layouts with collars off their place, and as drawn.
    pub within: &'a [Layout],
    pub drawn: &'a [Layout],
    pub reach: &'b Reach,
    pub limits: &'b FaceLimits,
    pub body: &'b mut FaceBody<'a>,
    /// The equilibrium without support of the wedge with an apex, of so many cubic metres.
    pub equilibrium: &'b dyn Fn(&mut FaceBody<'a>, &Vec3, f64) -> Stability,
    /// How far behind the face the last ring may stand, metres.
    pub last_rings_m: (f64, f64),
}

/// What an apex came to.
#[derive(Debug, Clone, Copy)]
struct Asked {
    apex: Vec3,
    volume_m3: f64,
    /// Factor of the best carrier over what is asked.
    ratio: f64,
}

/// What a wedge with an apex is in the scan.
enum At {
    /// None that is looked at.
    Nothing,
    /// One that does not move.
    Still,
    /// One that is barred down.
    Bar,
    /// One that nothing entered is on.
    Uncarried(f64),
    /// One with a factor, and the first carrier in order that reaches what is asked.
    Carried(Asked, Option<Carrier>),
}

/// What one piece is held by.
struct Held {
    stability: Stability,
    asked_fs: f64,
    fs_bare: f64,
    bolts: Option<(f64, FacePlacement)>,
    surface: Option<(Carrier, f64)>,
}

impl Held {
    /// The best of its carriers; the first of equals.
    fn best(&self) -> (Carrier, f64) {
        let mut best = (Carrier::Joints, self.fs_bare);
        let bolts = self.bolts.as_ref().map(|(fs, _)| (Carrier::Bolts, *fs));
        for other in [bolts, self.surface].into_iter().flatten() {
            if other.1 > best.1 {
                best = other;
            }
        }
        best
    }

    /// The first carrier that reaches what is asked.
    fn first(&self) -> Option<Carrier> {
        let bolts = self.bolts.as_ref().map(|(fs, _)| (Carrier::Bolts, *fs));
        let all = [Some((Carrier::Joints, self.fs_bare)), bolts, self.surface];
        all.into_iter().flatten().find(|(_, fs)| *fs >= self.asked_fs).map(|(carrier, _)| carrier)
    }
}

impl<'a> Scan<'a, '_> {
    /// Scans all sizes, `largest` among them.
    pub fn run(mut self, largest: &[Vec3]) -> FaceScan {
        let mut found =
            FaceScan { apexes: 0, planes: 0, walked: 0, least: None, uncarried: None, needed: Vec::new() };
        let mut asked: Vec<Asked> = Vec::new();
        let mut uncarried: Option<(f64, Vec3)> = None;
        let mut needed = Vec::new();
        let mut step_m: f64 = 0.0;
        let mut look = |scan: &mut Self, apex: &Vec3| {
            let at = scan.at(apex);
            let is_one = !matches!(at, At::Nothing);
            match at {
                At::Nothing | At::Still => {}
                At::Bar => add(&mut needed, Carrier::Bar),
                At::Uncarried(volume_m3) => {
                    if uncarried.is_none_or(|(most_m3, _)| volume_m3 > most_m3) {
                        uncarried = Some((volume_m3, *apex));
                    }
                }
                At::Carried(one, first) => {
                    if let Some(carrier) = first {
                        add(&mut needed, carrier);
                    }
                    asked.push(one);
                }
            }
            is_one
        };
        for apex in largest {
            look(&mut self, apex);
        }
        let farthest_m = self.reach.corners().iter().map(|c| c.y).fold(0.0, f64::max);
        let mut ahead_m = farthest_m * (1.0 - JUST_INSIDE);
        for _ in 0..MOST_PLANES {
            let (apexes, plane_step_m) = self.plane(ahead_m);
            let ones = apexes.iter().filter(|apex| look(&mut self, apex)).count();
            if ones > 0 {
                found.planes += 1;
                found.apexes += ones;
                step_m = step_m.max(plane_step_m);
            } else if found.planes > 0 {
                break;
            }
            ahead_m *= NEXT_PLANE;
        }
        asked.sort_by(better);
        let mut starts: Vec<Asked> = Vec::new();
        for one in asked {
            let apart_m = one.apex.y.min(step_m);
            if starts.len() < WALKS && starts.iter().all(|s| (s.apex - one.apex).norm() > apart_m) {
                starts.push(one);
            }
        }
        for start in &mut starts {
            found.walked += self.walk(start, 0.5 * step_m.min(start.apex.y));
        }
        starts.sort_by(better);
        found.least = starts.first().and_then(|one| self.piece(&one.apex));
        found.uncarried = uncarried.and_then(|(_, apex)| self.piece(&apex));
        needed.sort();
        found.needed = needed;
        found
    }

    /// Apexes over an even grid on the plane this far ahead of the face, and the step between them, metres.
    fn plane(&self, ahead_m: f64) -> (Vec<Vec3>, f64) {
        let polygon = self.reach.slice(ahead_m);
        let Some(first) = polygon.first().filter(|_| polygon.len() >= 3) else { return (Vec::new(), 0.0) };
        let (low, high) = polygon.iter().fold((*first, *first), |(low, high), p| (low.inf(p), high.sup(p)));
        let step = (high - low) / (ACROSS - 1) as f64;
        let mut apexes: Vec<Vec3> = Vec::new();
        for i in 0..ACROSS {
            for k in 0..ACROSS {
                // From the ends alike, so that a mirrored drive has the mirrored apexes.
                let at = |n: usize, from: f64, to: f64| {
                    let share = n as f64 / (ACROSS - 1) as f64;
                    from * (1.0 - share) + to * share
                };
                let apex = Vec3::new(at(i, low.x, high.x), ahead_m, at(k, low.y, high.y));
                if self.reach.outside_m(&apex) <= ON_REACH_M {
                    apexes.push(apex);
                }
            }
        }
        let middle = polygon.iter().sum::<Vec2>() / polygon.len() as f64;
        apexes.extend(polygon.iter().map(|p| {
            let p = p + (middle - p) * JUST_INSIDE;
            Vec3::new(p.x, ahead_m, p.y)
        }));
        (apexes, step.x.max(step.y))
    }

    /// What the wedge with an apex is.
    fn at(&mut self, apex: &Vec3) -> At {
        if apex.y <= 0.0 || self.reach.outside_m(apex) > ON_REACH_M {
            return At::Nothing;
        }
        let measures = self.limits.measure(self.body, apex);
        if measures.volume_m3 < LEAST_VOLUME_M3 || !self.limits.admits(&measures) {
            return At::Nothing;
        }
        let volume_m3 = measures.volume_m3;
        let Some(held) = self.held(apex, volume_m3, false) else { return At::Still };
        if self.case.criteria.is_for_the_bar(volume_m3) {
            return At::Bar;
        }
        let between_bolts = !self.case.face_bolts.is_empty() && self.case.face_support.is_empty();
        if between_bolts && held.bolts.is_none() && held.fs_bare < held.asked_fs {
            return At::Uncarried(volume_m3);
        }
        let (_, fs) = held.best();
        At::Carried(Asked { apex: *apex, volume_m3, ratio: fs / held.asked_fs }, held.first())
    }

    fn face(&self, tolerance_m: f64) -> FaceSupport<'a> {
        FaceSupport {
            patterns: &self.case.face_bolts,
            layouts: &self.check.face_bolts,
            bolts: &self.case.bolts,
            first: self.case.first_on_face(),
            tolerance_m,
        }
    }

    /// What holds the wedge with an apex, of so many cubic metres; `None` where it does not move. `in_full`: moments of a
    /// falling one over all places of the last ring, not at those alone where forces hold it least and at both ends.
    fn held(&mut self, apex: &Vec3, volume_m3: f64, in_full: bool) -> Option<Held> {
        let tolerance_m = self.case.installation.judged_tolerance_m();
        let stability = (self.equilibrium)(self.body, apex, volume_m3);
        let asked_fs = criterion_fs(self.case, stability.motion.mode)?;
        let bolts = self.by_bolts(apex, &stability, (self.within, tolerance_m), in_full);
        let surface = if self.case.face_support.is_empty() {
            None
        } else {
            let shape = self.body.shape(apex);
            let on = [&JUDGED[..], &[Surface::Face]].concat();
            over_whole_face((&self.case.face_support, &on), &self.check.opening, &shape, &stability)
        };
        Some(Held { fs_bare: stability.fs_bare(), stability, asked_fs, bolts, surface })
    }

    /// The factor with bolts, and where they hold least; `None` where none crosses it.
    fn by_bolts(
        &mut self,
        apex: &Vec3,
        stability: &Stability,
        (layouts, tolerance_m): (&[Layout], f64),
        in_full: bool,
    ) -> Option<(f64, FacePlacement)> {
        let support = (&self.case.patterns[..], layouts, &self.case.bolts[..]);
        let face = self.face(tolerance_m);
        let (section, cone) = (self.body.section(), self.body.cone());
        let end = PatternEnd::at_face(section, apex, cone, *stability, support, &face);
        if !end.is_met() {
            return None;
        }
        let (from_m, to_m) = self.last_rings_m;
        let worst = super::face::from_face(apex, end.least(apex.y + from_m, apex.y + to_m));
        if worst.serving.is_empty() {
            return None;
        }
        let fs = if stability.motion.mode == Mode::Falling {
            let shape = self.body.shape(apex);
            let turning = if in_full {
                least_with_moments(&shape, cone, stability, &end, self.last_rings_m, &worst)
            } else {
                least_at(&shape, cone, stability, &end, &[from_m, to_m], &worst)
            };
            worst.least_fs.min(turning)
        } else {
            in_balance(stability, &worst)
        };
        Some((fs, worst))
    }

    /// Walks down from an apex; how many others it looked at.
    fn walk(&mut self, here: &mut Asked, first_step_m: f64) -> usize {
        let edges = self.body.cone().edges;
        let mut along: Vec<Vec3> = edges.to_vec();
        for (i, j) in [(0, 1), (1, 2), (2, 0)] {
            along.extend((edges[i] - edges[j]).try_normalize(f64::MIN_POSITIVE));
        }
        let mut count = self.leave_collars(here);
        let mut step_m = first_step_m;
        for _ in 0..MOST_ROUNDS {
            if step_m < LEAST_STEP_M {
                break;
            }
            let mut moved = false;
            for way in &along {
                for side in [1.0, -1.0] {
                    count += 1;
                    moved |= self.step(here, &(here.apex + way * (side * step_m)));
                }
            }
            if !moved {
                step_m *= 0.5;
            }
        }
        count + self.leave_collars(here)
    }

    /// Moves one joint at a time to where it just leaves a collar on the face; how many apexes it looked at.
    fn leave_collars(&mut self, here: &mut Asked) -> usize {
        let check = self.check;
        let tolerance_m = self.case.installation.judged_tolerance_m();
        let collars: Vec<Vec3> = check
            .face_bolts
            .iter()
            .flat_map(|l| &l.rows)
            .map(|r| Vec3::new(r.collar.point.x, 0.0, r.collar.point.y))
            .collect();
        let mut count = 0;
        for _ in 0..COLLAR_ROUNDS {
            let mut moved = false;
            for plane in 0..3 {
                let (m, edge) = (self.body.cone().inward[plane], self.body.cone().edges[plane]);
                let nearer_m = tolerance_m * m.x.hypot(m.z);
                for collar in &collars {
                    let short_m = m.dot(&(collar - here.apex)) - nearer_m + OFF_COLLAR_M;
                    let to = here.apex + edge * (short_m / m.dot(&edge));
                    count += 1;
                    moved |= self.step(here, &to);
                }
            }
            if !moved {
                break;
            }
        }
        count
    }

    /// Goes to an apex if it is carried less; whether it went.
    fn step(&mut self, here: &mut Asked, to: &Vec3) -> bool {
        let At::Carried(there, _) = self.at(to) else { return false };
        let goes = better(&there, here) == Ordering::Less
            && (there.ratio < here.ratio * (1.0 - SAME_FACTOR)
                || there.volume_m3 > here.volume_m3 * (1.0 + SAME_FACTOR));
        if goes {
            *here = there;
        }
        goes
    }

    /// The piece with an apex as it is told.
    fn piece(&mut self, apex: &Vec3) -> Option<FacePiece> {
        let volume_m3 = self.body.measure_but_depth(apex).volume_m3;
        let held = self.held(apex, volume_m3, true)?;
        let (carrier, fs) = held.best();
        let falls = held.stability.motion.mode == Mode::Falling;
        let by = match carrier {
            Carrier::Screen => DecidedBy::Screen,
            Carrier::Shotcrete => DecidedBy::Shotcrete,
            Carrier::Joints | Carrier::Bar => DecidedBy::Forces,
            Carrier::Bolts => {
                let drawn = self.by_bolts(apex, &held.stability, (self.drawn, 0.0), true);
                let same = |a: f64, b: f64| (a - b).abs() <= 1e-6 * b.abs();
                let forces = held.bolts.as_ref().map_or(fs, |(_, worst)| worst.least_fs);
                if drawn.is_none_or(|(drawn_fs, _)| !same(drawn_fs, fs)) {
                    DecidedBy::Collars
                } else if falls && !same(forces, fs) {
                    DecidedBy::Moments
                } else {
                    DecidedBy::Forces
                }
            }
        };
        let fs_rotation = held.bolts.as_ref().filter(|_| falls).map(|(fs, _)| *fs);
        let worst = held.bolts.map_or_else(
            || FacePlacement {
                least_fs: held.fs_bare,
                apex: *apex,
                last_ring_m: self.last_rings_m.1,
                serving: Vec::new(),
            },
            |(_, worst)| worst,
        );
        let shape = self.body.shape(apex);
        Some(FacePiece {
            fs,
            asked_fs: held.asked_fs,
            carrier,
            by,
            weight_kn: shape.volume_m3 * self.case.unit_weight_kn_m3,
            stability: held.stability,
            surfaces: surfaces_of(&self.check.opening, &shape),
            shape,
            worst,
            fs_rotation,
        })
    }
}

/// The factor by forces of a sliding wedge with the bolts that cross it.
fn in_balance(stability: &Stability, worst: &FacePlacement) -> f64 {
    let bolts: Vec<(Vec3, f64)> = worst.serving.iter().map(of_serving).collect();
    if stability.opens(&bolts) { worst.least_fs.min(stability.fs_in_balance(&bolts)) } else { worst.least_fs }
}

fn of_serving(bolt: &Serving) -> (Vec3, f64) {
    (bolt.direction, bolt.capacity.kn)
}

fn add(all: &mut Vec<Carrier>, one: Carrier) {
    if !all.contains(&one) {
        all.push(one);
    }
}

/// Less carried first; of equals the larger first, then by place.
fn better(a: &Asked, b: &Asked) -> Ordering {
    // Whole steps of a share, so that what is equal is so to all others too.
    let step = |one: &Asked| (one.ratio.ln() / SAME_FACTOR).round();
    let by_place = || {
        let at = |one: &Asked| [one.apex.x, one.apex.y, one.apex.z];
        at(a).iter().zip(at(b)).map(|(p, q)| p.total_cmp(&q)).find(|o| o.is_ne()).unwrap_or(Ordering::Equal)
    };
    step(a).total_cmp(&step(b)).then(b.volume_m3.total_cmp(&a.volume_m3)).then_with(by_place)
}
