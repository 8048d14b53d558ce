//! Pieces that water presses on: what acts on them has no one direction, and they may not all move alike.
//!
//! A piece's resultant is its weight and, square to each joint, what water presses. Seen from where the lines of the
//! outer rays lie, weights and joint faces are convex: within a cell they are at most the mixture of what they are at its
//! corners, and at least what touches them in the middle. So at each corner there is a box of weights and pressures, and
//! every piece's resultant is a mixture of those at the corners of these boxes. What withstands a resultant, a piece that
//! moves in one way at a time, is convex in it: the least factor at the corners of the boxes bounds that of every piece
//! that moves so. A cell whose resultants may belong to several ways is bounded in each of them.

use super::super::SurfaceKind;
use super::Carrier;
use super::balance::{BEND_SHARE, BEND_TIMES};
use super::bounds::{Carried, Corners, Ground, SCREEN_SHARES, Scratch, Wanted};
use super::cell::{Cell, width};
use super::rows::{Found, MOST_PLACES};
use crate::orientation::Vec3;
use crate::stability::{
    Action, BoltPull, Contact, Mode, Motion, Reaction, Rotation, Stability, Water, WaterModel, components,
};
use crate::strength::MohrCoulomb;
use crate::wedge::{Chain, Footprint, Frontier};

/// A direction counts as one that a resultant may have up to this share of it: what rounding could undo.
const TOUCHES_SHARE: f64 = 1e-9;

/// Even places, on either side, of the pieces that are asked how they move.
const MODE_PLACES: usize = 16;

/// A couple or a force that is this share of the whole is none.
const NOTHING_SHARE: f64 = 1e-12;

/// From this share of the heaviest on, a cell's lightest piece is bounded by more water on the heaviest.
const ALIKE_SHARE: f64 = 0.8;

/// What water does to the pieces of a pyramid.
#[derive(Debug, Clone, Copy)]
pub struct OnPieces<'a> {
    /// The water.
    pub water: &'a Water,
    /// Which of the three planes it acts on.
    pub acts_on: [bool; 3],
    /// The unit vector upward, local.
    pub up: Vec3,
    /// The force on a kN of rock and of what hangs from it: down, and what shakes it.
    pub pull: Vec3,
    /// Of the rock, kN/m³.
    pub unit_weight_kn_m3: f64,
    /// Of the three planes.
    pub strengths: [MohrCoulomb; 3],
    /// The factors that are asked of what falls and of what slides.
    pub asked_fs: [f64; 2],
}

impl OnPieces<'_> {
    /// The share that a factor counts with: where pieces that move so are asked more than the pyramid is.
    fn share(&self, mode: Mode, asked_fs: f64) -> f64 {
        let own = match mode {
            Mode::NoMotion => return 1.0,
            Mode::Falling => self.asked_fs[0],
            Mode::SlidingOnOne(_) | Mode::SlidingOnTwo(..) => self.asked_fs[1],
        };
        if own > asked_fs { asked_fs / own } else { 1.0 }
    }
}

/// A quantity at each place of a cell: never more, never less than a mixture of these.
#[derive(Clone, Copy)]
struct Range {
    low: [f64; MOST_PLACES],
    high: [f64; MOST_PLACES],
}

/// What bounds the pieces of a cell.
struct Wet {
    outer: Footprint,
    inner: Option<Footprint>,
    corners: Option<Corners>,
    /// How many places there are.
    count: usize,
    /// Weight with what hangs, kN.
    weight_kn: Range,
    /// Area of each joint face, square metres.
    areas_m2: [Range; 3],
    /// What water presses onto each, kN.
    water_kn: [Range; 3],
    /// The corners of the boxes of resultants: the place, and the force, kN.
    forces: Vec<(usize, Vec3)>,
    bay_kn: f64,
}

/// One way to move, as its regions and forces hang on the resultant: all that is asked is linear in it, but for the length
/// of what drives along a plane.
struct Way {
    mode: Mode,
    inward: [Vec3; 3],
    /// Along the line of two joints.
    line: Vec3,
}

impl Way {
    /// All ways, of which a piece has one.
    fn all(inward: &[Vec3; 3]) -> Vec<Self> {
        let mut ways = vec![(Mode::Falling, Vec3::zeros())];
        ways.extend((0..3).map(|i| (Mode::SlidingOnOne(i), Vec3::zeros())));
        for (i, j, k) in [(0, 1, 2), (0, 2, 1), (1, 2, 0)] {
            let line = inward[i].cross(&inward[j]).normalize();
            let line = if line.dot(&inward[k]) < 0.0 { -line } else { line };
            ways.push((Mode::SlidingOnTwo(i, j), line));
        }
        ways.into_iter().map(|(mode, line)| Self { mode, inward: *inward, line }).collect()
    }

    /// What has to be above zero for a resultant to move a piece so.
    fn asks(&self, force: &Vec3) -> [f64; 3] {
        let m = &self.inward;
        match self.mode {
            Mode::Falling => m.map(|m| force.dot(&m)),
            Mode::SlidingOnOne(i) => {
                let away = force.dot(&m[i]);
                std::array::from_fn(
                    |k| {
                        if k == i { -away } else { force.dot(&m[k]) - away * m[i].dot(&m[k]) }
                    },
                )
            }
            Mode::SlidingOnTwo(i, j) => {
                let (on_i, on_j) = components(&m[i], &m[j], force);
                [on_i, on_j, force.dot(&self.line)]
            }
            Mode::NoMotion => [f64::NEG_INFINITY; 3],
        }
    }

    /// Whether a mixture of some resultants may move a piece so.
    fn may_be(&self, forces: &[(usize, Vec3)], size_kn: f64) -> bool {
        let most = forces.iter().fold([f64::NEG_INFINITY; 3], |most, (_, force)| {
            let here = self.asks(force);
            std::array::from_fn(|k| f64::max(most[k], here[k]))
        });
        most.iter().all(|m| *m >= -TOUCHES_SHARE * size_kn)
    }

    /// What a resultant drives with, kN, and presses onto each joint: below zero where it pulls from it.
    fn parts(&self, force: &Vec3) -> (Vec3, [f64; 3]) {
        let mut normal = [0.0; 3];
        let along = match self.mode {
            Mode::Falling | Mode::NoMotion => *force,
            Mode::SlidingOnOne(i) => {
                normal[i] = -force.dot(&self.inward[i]);
                force + self.inward[i] * normal[i]
            }
            Mode::SlidingOnTwo(i, j) => {
                (normal[i], normal[j]) = components(&self.inward[i], &self.inward[j], force);
                self.line * force.dot(&self.line)
            }
        };
        (along, normal)
    }

    fn touches(&self, plane: usize) -> bool {
        match self.mode {
            Mode::SlidingOnOne(i) => i == plane,
            Mode::SlidingOnTwo(i, j) => i == plane || j == plane,
            Mode::Falling | Mode::NoMotion => false,
        }
    }

    /// As [`Way::parts`], what drives as a number: along two joints it is below zero where it would drive back.
    fn driving(&self, force: &Vec3) -> (f64, [f64; 3]) {
        let (along, normal) = self.parts(force);
        let driving =
            if let Mode::SlidingOnTwo(..) = self.mode { force.dot(&self.line) } else { along.norm() };
        (driving, normal)
    }

    /// The directions of pieces that move so under these resultants; none where one of them has none.
    fn directions(&self, forces: &[(usize, Vec3)]) -> Vec<Vec3> {
        if let Mode::SlidingOnTwo(..) = self.mode {
            return vec![self.line];
        }
        forces
            .iter()
            .map(|(_, force)| self.parts(force).0.try_normalize(0.0))
            .collect::<Option<_>>()
            .unwrap_or_default()
    }

    /// What a kN along a direction does to any piece whose direction is a mixture of these, at least: nothing where it
    /// may pull with the movement. A linear function that is nowhere below zero at the corners, over a length that is at
    /// most the mixture of those there, is at least the least ratio.
    fn called(&self, direction: &Vec3, along: &[Vec3]) -> Reaction {
        let against_kn = along.iter().map(|a| -direction.dot(a)).fold(f64::INFINITY, f64::min);
        if against_kn <= 0.0 || !against_kn.is_finite() {
            return Reaction::default();
        }
        let mut reaction = Reaction { normal_kn: [0.0; 3], against_kn };
        match self.mode {
            Mode::SlidingOnOne(i) => reaction.normal_kn[i] = -direction.dot(&self.inward[i]),
            Mode::SlidingOnTwo(i, j) => {
                (reaction.normal_kn[i], reaction.normal_kn[j]) =
                    components(&self.inward[i], &self.inward[j], direction);
            }
            Mode::Falling | Mode::NoMotion => {}
        }
        reaction
    }
}

/// How the wedges that a frontier leaves move, of all sizes from `least_m3` on and as far as even places tell: whether
/// some fall, and whether some slide.
pub fn ways_of(frontier: &Frontier, least_m3: f64, judge: &dyn Fn(&Footprint) -> Stability) -> (bool, bool) {
    let (from_m, to_m) = frontier.span_m();
    let at = |k: usize| from_m + (to_m - from_m) * k as f64 / MODE_PLACES as f64;
    let mut found = (false, false);
    let mut ask = |foot: &Footprint| match judge(foot).motion.mode {
        Mode::Falling => found.0 = true,
        Mode::SlidingOnOne(_) | Mode::SlidingOnTwo(..) => found.1 = true,
        Mode::NoMotion => {}
    };
    let smallest = frontier.up_to_m3(least_m3);
    for start in 0..MODE_PLACES {
        for end in start + 1..=MODE_PLACES {
            let foot = frontier.chain().footprint(at(start), at(end));
            if frontier.admits(&foot) && frontier.chain().volume_m3(&foot) >= least_m3 {
                ask(&foot);
            }
        }
        if let Some(foot) = smallest.widest(at(start)) {
            ask(&foot);
        }
    }
    found
}

impl<'s, 'a> Ground<'s, 'a> {
    /// What counts of a piece's factor.
    pub(super) fn wet_share(&self, mode: Mode) -> f64 {
        self.pieces.wet.as_ref().map_or(1.0, |wet| wet.share(mode, self.pieces.asked_fs))
    }

    /// The equilibrium of a piece; `None` where it does not move.
    pub(super) fn wet_piece(&self, foot: &Footprint) -> Option<Stability> {
        let stability = (self.pieces.judge)(foot);
        (stability.motion.mode != Mode::NoMotion).then_some(stability)
    }

    /// What carries every piece of a cell that moves at least; `None` where it has none.
    pub(super) fn carried_wet(&mut self, cell: &Cell, wanted: Wanted) -> Option<Carried> {
        let looked = self.wet(cell)?;
        let carried = |fs: f64| Carried { fs, carrier: Carrier::Joints, first: None, bolts: 0 };
        if looked.corners.as_ref().is_some_and(|c| c.count == 0) {
            return None;
        }
        let ways = self.ways(&looked);
        let mut least: Option<f64> = None;
        for way in &ways {
            let share = self.wet_share(way.mode);
            let wanted = Wanted { floor: wanted.floor / share, enough: wanted.enough / share, ..wanted };
            let Some(fs) = self.carried_in(cell, &looked, way, wanted) else { continue };
            let fs = fs * share;
            least = Some(least.map_or(fs, |l| l.min(fs)));
            if fs <= wanted.floor {
                break;
            }
        }
        least.map(carried)
    }

    /// The least that joints alone give any piece of a cell that moves; `None` where it has none.
    pub(super) fn wet_bare(&self, cell: &Cell) -> Option<f64> {
        let looked = self.wet(cell)?;
        let of = |way: &Way| {
            let cohesion = self.cohesion_at(&looked, way);
            self.least_ratio(&looked, way, &cohesion, 0.0) * self.wet_share(way.mode)
        };
        self.ways(&looked).iter().map(of).reduce(f64::min)
    }

    /// What forces tell of a cell, and of no more than its largest and its smallest piece: no bound.
    pub(super) fn wet_roughly(&mut self, cell: &Cell) -> f64 {
        let Some(looked) = self.wet_measured(cell) else { return f64::INFINITY };
        let outer = (self.pieces.judge)(&looked.0);
        self.find_bolts(cell);
        let dry = outer.without_water_kn().unwrap_or_else(|| outer.active_kn());
        let wet: Vec3 =
            outer.water().map_or_else(Vec3::zeros, |w| w.resultant_kn(&self.pieces.positions.cone.inward));
        let lightest = looked.1.as_ref().map_or(0.0, |foot| {
            let chain = self.pieces.positions.frontier.chain();
            chain.volume_m3(foot) / chain.volume_m3(&looked.0)
        });
        let inward = &self.pieces.positions.cone.inward;
        let of = |force: Vec3| {
            let motion = Motion::of(inward, &force);
            if motion.mode == Mode::NoMotion {
                return f64::INFINITY;
            }
            let stability = outer.moved(motion, [0.0; 3]);
            let gain = |b: &Found| {
                let effect = stability.effect(&self.rows[b.row].direction);
                stability.gain_kn(&effect) * b.kn
            };
            stability.fs_bare() + self.found_sure().iter().map(gain).sum::<f64>() / motion.driving_kn
        };
        of(dry + wet).min(of(dry * lightest + wet))
    }

    fn tan_friction(&self) -> [f64; 3] {
        self.pieces.wet.as_ref().map_or([0.0; 3], |wet| wet.strengths.map(|s| s.tan_friction()))
    }

    fn chain(&self) -> &'s Chain<'a> {
        self.pieces.positions.frontier.chain()
    }

    /// The largest piece of a cell and the one within all, where it may hold one to look at.
    fn wet_measured(&self, cell: &Cell) -> Option<(Footprint, Option<Footprint>, f64)> {
        let (outer, volume_m3) = self.largest_of(cell)?;
        if self.pieces.positions.frontier.excludes(cell.starts_m, cell.ends_m) {
            return None;
        }
        Some((outer, self.within_all(cell), volume_m3))
    }

    /// What bounds the pieces of a cell.
    fn wet(&self, cell: &Cell) -> Option<Wet> {
        let wet = self.pieces.wet.as_ref()?;
        let (outer, inner, outer_m3) = self.wet_measured(cell)?;
        let (chain, cone) = (self.chain(), self.pieces.positions.cone);
        let hung_kn = (self.pieces.judge)(&outer).hung().kn;
        let unit = wet.unit_weight_kn_m3;
        let corners = inner.and_then(|inner| self.places(cell, &outer, &inner));
        // The smallest piece that is looked at is no lighter than this.
        let least_m3 = self.pieces.least_m3.max(self.pieces.bar_m3.unwrap_or(0.0));
        let inner_m3 = inner.as_ref().map_or(0.0, |foot| chain.volume_m3(foot)).max(least_m3);
        let outer_areas = chain.joint_areas_m2(cone, &outer);
        let inner_areas = inner.as_ref().map_or([0.0; 3], |foot| chain.joint_areas_m2(cone, foot));
        let mut looked = Wet {
            count: 1,
            weight_kn: Range::flat(unit * inner_m3, unit * outer_m3 + hung_kn),
            areas_m2: std::array::from_fn(|i| Range::flat(inner_areas[i], outer_areas[i])),
            water_kn: self.water_between(wet, &outer, inner.as_ref(), &inner_areas, &outer_areas),
            outer,
            inner,
            corners: None,
            forces: Vec::new(),
            bay_kn: self.bay_kn(cell),
        };
        if let Some(corners) = corners {
            self.at_places(wet, &corners, hung_kn, &mut looked);
            looked.corners = Some(corners);
        }
        for place in 0..looked.count {
            let ends = |range: &Range| {
                let (low, high) = (range.low[place], range.high[place]);
                [Some(high), Some(low).filter(|_| low < high)].into_iter().flatten()
            };
            for weight in ends(&looked.weight_kn) {
                let dry = wet.pull * weight;
                for a in ends(&looked.water_kn[0]) {
                    for b in ends(&looked.water_kn[1]) {
                        for c in ends(&looked.water_kn[2]) {
                            let water = cone.inward[0] * a + cone.inward[1] * b + cone.inward[2] * c;
                            looked.forces.push((place, dry + water));
                        }
                    }
                }
            }
        }
        Some(looked)
    }

    /// What water presses onto the joint faces of a cell's pieces, least and most. All but a table grow with the piece.
    ///
    /// Moved along the outer edges, a face comes to lie within that of a larger piece on its plane; under a table the
    /// pressure differs then by how far it has moved down.
    fn water_between(
        &self,
        wet: &OnPieces,
        outer: &Footprint,
        inner: Option<&Footprint>,
        inner_m2: &[f64; 3],
        outer_m2: &[f64; 3],
    ) -> [Range; 3] {
        let kn = |foot: &Footprint| (self.pieces.judge)(foot).water().map_or([0.0; 3], |water| water.kn);
        let (most, least) = (kn(outer), inner.map_or([0.0; 3], kn));
        if !matches!(wet.water.model, WaterModel::Table { .. }) {
            return std::array::from_fn(|i| Range::flat(least[i], most[i]));
        }
        let sector = self.chain().sector();
        // From the largest piece's apex to the smallest one's along the outer edges.
        let [along_start, along_end] = inner.map_or([outer.edge_m[0], outer.edge_m[2]], |inner| {
            let off = inner.apex - outer.apex;
            let [start, _, end] = sector.rays;
            let sine = crate::opening::cross2(&start, &end);
            [crate::opening::cross2(&off, &end) / sine, crate::opening::cross2(&start, &off) / sine]
                .map(|m| m.max(0.0))
        });
        let up = &wet.up;
        // Down in the section for each metre along an outer edge, and what the drive's slope makes of the way along it.
        let down = |k: usize| -(up.x * sector.rays[k].x + up.z * sector.rays[k].y);
        let slope = |k: usize| sector.axial[k] * up.y;
        std::array::from_fn(|i| {
            if !wet.acts_on[i] {
                return Range::flat(0.0, 0.0);
            }
            let of_start = if sector.order[0] == i { down(0) } else { slope(0) };
            let of_end = if sector.order[2] == i { down(2) } else { slope(2) };
            let fall_m = along_start * of_start.max(0.0) + along_end * of_end.max(0.0);
            let kpa = wet.water.unit_weight_kn_m3 * fall_m;
            Range::flat((least[i] - kpa * inner_m2[i]).max(0.0), most[i] + kpa * outer_m2[i])
        })
    }

    /// Weights, areas and pressures at the places of a cell.
    fn at_places(&self, wet: &OnPieces, corners: &Corners, hung_kn: f64, looked: &mut Wet) {
        let (chain, cone) = (self.chain(), self.pieces.positions.cone);
        let centre = &corners.centre;
        let places = &corners.places[..corners.count];
        let mut feet = [*centre; MOST_PLACES];
        for (k, foot) in feet.iter_mut().enumerate().take(corners.count) {
            let at = if corners.is_cut {
                chain.footprint_at(&chain.apex_of(places[k]))
            } else {
                Some(corners.feet[k])
            };
            let Some(at) = at else { return };
            *foot = at;
        }
        let feet = &feet[..corners.count];
        let lines = chain.lines_at(centre.along_m[0], centre.along_m[2]);
        let origin = chain.apex_of([0.0, 0.0]);
        let steps = [[1.0, 0.0], [0.0, 1.0]].map(|l| chain.apex_of(l) - origin);
        let convex = |own: &Range, value: &dyn Fn(&Footprint) -> f64, slopes: Option<[f64; 2]>| {
            let mut range = *own;
            let middle = value(centre);
            let mut touching = [0.0; MOST_PLACES];
            for (k, (at, foot)) in places.iter().zip(feet).enumerate() {
                range.high[k] = value(foot);
                touching[k] = slopes.map_or(f64::NEG_INFINITY, |s| {
                    middle + s[0] * (at[0] - lines[0]) + s[1] * (at[1] - lines[1])
                });
            }
            if touching[..places.len()].iter().all(|&t| t >= 0.0) {
                for (low, (t, high)) in range.low.iter_mut().zip(touching.iter().zip(range.high)) {
                    // Rounding apart, what touches is never above.
                    *low = t.min(high);
                }
            }
            range
        };
        let areas: [Range; 3] = std::array::from_fn(|i| {
            let sector = chain.sector();
            let position = (0..3).find(|&k| sector.order[k] == i).unwrap_or_default();
            let slopes = chain.joint_area_slopes(cone, centre, position);
            convex(&looked.areas_m2[i], &|foot| chain.joint_area_m2(cone, foot, position), slopes)
        });
        // A body grows by its faces times how far each moves out.
        let faces_m2 = chain.joint_areas_m2(cone, centre);
        let out = |step: &crate::opening::Vec2| {
            -(0..3)
                .map(|i| faces_m2[i] * (cone.inward[i].x * step.x + cone.inward[i].z * step.y))
                .sum::<f64>()
        };
        let unit = wet.unit_weight_kn_m3;
        let slopes = Some(steps.map(|step| unit * out(&step)));
        let rock = Range { low: looked.weight_kn.low, high: looked.weight_kn.high.map(|h| h - hung_kn) };
        let mut weight = convex(&rock, &|foot| unit * chain.volume_m3(foot), slopes);
        weight.high = weight.high.map(|h| h + hung_kn);
        let whole = wet.water.unit_weight_kn_m3;
        let water = match wet.water.model {
            WaterModel::Pressure { kpa } => {
                Some([areas[0].times(kpa), areas[1].times(kpa), areas[2].times(kpa)])
            }
            WaterModel::ApexHead { head_m } => {
                let kpa = whole * head_m / 3.0;
                Some([areas[0].times(kpa), areas[1].times(kpa), areas[2].times(kpa)])
            }
            WaterModel::HeadPerMetre { m_per_m } => {
                let depth_m = |foot: &Footprint| chain.depth_m(&foot.apex).0;
                let own = Range::flat(looked.inner.as_ref().map_or(0.0, depth_m), depth_m(&looked.outer));
                let (middle_m, along_m) = chain.depth_m(&centre.apex);
                let away = (centre.apex - chain.point_at(along_m)) / middle_m;
                let slopes = (middle_m > 0.0).then(|| steps.map(|step| away.dot(&step)));
                let depth = convex(&own, &depth_m, slopes);
                let kpa = whole * m_per_m / 3.0;
                Some(std::array::from_fn(|i| {
                    // A product, written about the middle: what is left over is no more than both ways off it.
                    let (a, d) = (faces_m2[i], middle_m);
                    let off = |own: (f64, f64), middle: f64| (own.1 - middle).max(middle - own.0).max(0.0);
                    let left = off((own.low[0], own.high[0]), d)
                        * off((looked.areas_m2[i].low[0], looked.areas_m2[i].high[0]), a);
                    let about =
                        |area: f64, depth: f64, left: f64| kpa * (d * area + a * depth - a * d + left);
                    let mut range = looked.water_kn[i];
                    for k in 0..places.len() {
                        range.high[k] = about(areas[i].high[k], depth.high[k], left);
                        range.low[k] = about(areas[i].low[k], depth.low[k], -left);
                    }
                    if range.low[..places.len()].iter().any(|&kn| kn < 0.0) {
                        range.low = looked.water_kn[i].low;
                    }
                    range
                }))
            }
            // What a table presses is no convex function of the place: least and most stand.
            WaterModel::Table { .. } => None,
        };
        if let Some(water) = water {
            for (i, range) in water.into_iter().enumerate() {
                looked.water_kn[i] = if wet.acts_on[i] { range } else { Range::flat(0.0, 0.0) };
            }
        }
        looked.weight_kn = weight;
        looked.areas_m2 = areas;
        looked.count = corners.count;
    }

    /// The ways in which pieces of a cell may move.
    fn ways(&self, looked: &Wet) -> Vec<Way> {
        let size_kn = looked.forces.iter().map(|(_, f)| f.norm()).fold(0.0, f64::max);
        let all = Way::all(&self.pieces.positions.cone.inward).into_iter();
        all.filter(|way| way.may_be(&looked.forces, size_kn)).collect()
    }

    /// Cohesion of the joints that pieces slide on in a way, kN, at each place of a cell at least.
    fn cohesion_at(&self, looked: &Wet, way: &Way) -> [f64; MOST_PLACES] {
        let mut kn = [0.0; MOST_PLACES];
        let Some(wet) = &self.pieces.wet else { return kn };
        for (i, strength) in wet.strengths.iter().enumerate().filter(|(i, _)| way.touches(*i)) {
            for (kn, area_m2) in kn.iter_mut().zip(looked.areas_m2[i].low) {
                *kn += strength.cohesion_kpa * area_m2;
            }
        }
        kn
    }

    /// The factor that friction, cohesion and what bolts add give every piece that moves in a way at least, or a bay of
    /// screen where that is better: the better of two holds at least any share of one with the rest of the other.
    fn least_ratio(&self, looked: &Wet, way: &Way, held_kn: &[f64; MOST_PLACES], bay_kn: f64) -> f64 {
        let tan = self.tan_friction();
        let shares = if bay_kn > 0.0 { &SCREEN_SHARES[..] } else { &SCREEN_SHARES[..1] };
        let mut least = [f64::INFINITY; SCREEN_SHARES.len()];
        for (place, force) in &looked.forces {
            let (driving, normal) = way.driving(force);
            let friction: f64 = normal.iter().zip(tan).map(|(n, t)| n * t).sum();
            let (held, size) = (friction + held_kn[*place], force.norm());
            for (least, share) in least.iter_mut().zip(shares) {
                let top = share * bay_kn + (1.0 - share) * held;
                let bottom = share * size + (1.0 - share) * driving;
                // What drives nothing asks nothing, unless it pulls on what holds.
                let ratio = if bottom > 0.0 {
                    top / bottom
                } else if top >= 0.0 {
                    f64::INFINITY
                } else {
                    0.0
                };
                *least = least.min(ratio);
            }
        }
        least[..shares.len()].iter().fold(0.0, |most, &fs| f64::max(most, fs))
    }

    /// The most that joints alone give any piece of a cell that moves in a way.
    fn most_bare_in(&self, looked: &Wet, way: &Way) -> f64 {
        let Some(wet) = &self.pieces.wet else { return f64::INFINITY };
        if way.mode == Mode::Falling {
            return 0.0;
        }
        let tan = self.tan_friction();
        // No piece drives with less than its part along one direction.
        let sum: Vec3 = looked.forces.iter().map(|(_, force)| way.parts(force).0).sum();
        let Some(along) = sum.try_normalize(0.0) else { return f64::INFINITY };
        let mut most = 0.0f64;
        for (place, force) in &looked.forces {
            let (part, normal) = way.parts(force);
            let driving = part.dot(&along);
            if driving <= 0.0 {
                return f64::INFINITY;
            }
            let mut held: f64 = normal.iter().zip(tan).map(|(n, t)| n * t).sum();
            for (i, strength) in wet.strengths.iter().enumerate().filter(|(i, _)| way.touches(*i)) {
                held += strength.cohesion_kpa * looked.areas_m2[i].high[*place];
            }
            most = most.max(held / driving);
        }
        most
    }

    /// What carries every piece of a cell that moves in a way at least; `None` where none of these is looked at.
    fn carried_in(&mut self, cell: &Cell, looked: &Wet, way: &Way, wanted: Wanted) -> Option<f64> {
        let cohesion = self.cohesion_at(looked, way);
        let mut best = self.least_ratio(looked, way, &cohesion, looked.bay_kn);
        let bare = self.least_ratio(looked, way, &cohesion, 0.0);
        for cover in self.covering(cell) {
            if let SurfaceKind::Shotcrete { .. } = cover.support.kind {
                let frontier = self.pieces.positions.frontier;
                let around_m = looked.inner.as_ref().map_or(0.0, |foot| frontier.traces_m(foot));
                let kn = cover.support.capacity(around_m).kn;
                best = best.max(self.least_ratio(looked, way, &cohesion.map(|c| c + kn), 0.0));
            }
        }
        if best >= wanted.enough {
            return Some(best);
        }
        let gains = self.gains(cell, looked, way);
        if way.mode != Mode::Falling {
            let fs = self.sliding_in(cell, looked, way, &cohesion, &gains, bare);
            if fs == f64::INFINITY {
                return None;
            }
            best = best.max(fs);
            if best >= wanted.enough {
                return Some(best);
            }
        }
        let wanted = Wanted { floor: wanted.floor.max(best), ..wanted };
        match self.bolts_in(cell, looked, way, &cohesion, &gains, bare, wanted) {
            Some(fs) => best = best.max(fs),
            None if self.pieces.coverings.is_empty() && bare < self.pieces.asked_fs => {
                if self.most_bare_in(looked, way) < self.pieces.asked_fs {
                    return None;
                }
                best = best.max(self.pieces.asked_fs);
            }
            None => {}
        }
        Some(best)
    }

    /// What a kN of each row's bolts adds to every piece that moves in a way at least, with every joint in contact, and
    /// what it presses onto the joints.
    fn gains(&self, cell: &Cell, looked: &Wet, way: &Way) -> Vec<Gain> {
        let tan = self.tan_friction();
        let along = way.directions(&looked.forces);
        let of = |row: &super::rows::RowAt| {
            let none = Gain { gain: 0.0, normal_kn: [0.0; 3], called: Reaction::default() };
            if !row.across(cell).0 {
                return none;
            }
            let called = way.called(&row.direction, &along);
            let gain = called.against_kn + called.normal_kn.iter().zip(tan).map(|(n, t)| n * t).sum::<f64>();
            if gain > 0.0 {
                Gain { gain, normal_kn: called.normal_kn, called }
            } else {
                Gain { called, ..none }
            }
        };
        self.rows.iter().map(of).collect()
    }

    /// The share that bolts may pull with so that no joint of any piece opens: of what presses it least over what they
    /// unload it by, kN.
    fn pulled_share(&self, looked: &Wet, way: &Way, opened_kn: &[f64; 3]) -> f64 {
        let least = |i: usize| {
            looked.forces.iter().map(|(_, f)| way.parts(f).1[i]).fold(f64::INFINITY, f64::min).max(0.0)
        };
        let opened = (0..3).filter(|&i| way.touches(i) && opened_kn[i] > 0.0);
        opened.map(|i| least(i) / opened_kn[i]).fold(1.0, f64::min)
    }

    /// As for dry pieces: what joints and bolts give every piece that slides in a way at least, with every joint in
    /// contact; infinite where none of them is looked at.
    fn sliding_in(
        &mut self,
        cell: &Cell,
        looked: &Wet,
        way: &Way,
        cohesion: &[f64; MOST_PLACES],
        gains: &[Gain],
        bare: f64,
    ) -> f64 {
        let Some(corners) = looked.corners.as_ref().filter(|c| c.count == looked.count) else { return 0.0 };
        let alone = self.pieces.coverings.is_empty();
        let mut added_kn = [0.0; MOST_PLACES];
        let mut single_kn = [f64::INFINITY; MOST_PLACES];
        let mut opened_kn = [0.0; 3];
        let mut always = false;
        for group in 0..cell.shifts_m.len() {
            let added = self.added(cell, corners, group, &|row, _| (gains[row].gain, gains[row].normal_kn));
            always |= !added.none_sure;
            for place in 0..corners.count {
                if !added.none_sure {
                    added_kn[place] += added.sure[place];
                }
                single_kn[place] = single_kn[place].min(added.sure[place].min(added.single[place]));
            }
            for (sum, kn) in opened_kn.iter_mut().zip(added.opened_kn) {
                *sum += kn;
            }
        }
        let pulled = self.pulled_share(looked, way, &opened_kn);
        if pulled < 1.0 {
            self.opens = true;
            for kn in added_kn.iter_mut().chain(&mut single_kn).filter(|kn| kn.is_finite()) {
                *kn *= pulled;
            }
        }
        let with =
            |kn: &[f64; MOST_PLACES]| -> [f64; MOST_PLACES] { std::array::from_fn(|p| cohesion[p] + kn[p]) };
        if always || !alone {
            return self.least_ratio(looked, way, &with(&added_kn), looked.bay_kn).max(bare);
        }
        // Each piece that is looked at has at least one bolt, or stands by its joints.
        let mut least = f64::INFINITY;
        if single_kn[..corners.count].iter().all(|kn| kn.is_finite()) {
            least = self.least_ratio(looked, way, &with(&single_kn), looked.bay_kn).max(bare);
        }
        if self.most_bare_in(looked, way) >= self.pieces.asked_fs {
            least = least.min(bare.max(self.pieces.asked_fs));
        }
        least
    }

    /// As for dry pieces: what bolts that are sure give every piece that moves in a way at least; `None` where none is
    /// sure for any.
    #[expect(clippy::too_many_arguments, reason = "what is known of one way of one cell")]
    fn bolts_in(
        &mut self,
        cell: &Cell,
        looked: &Wet,
        way: &Way,
        cohesion: &[f64; MOST_PLACES],
        gains: &[Gain],
        bare: f64,
        wanted: Wanted,
    ) -> Option<f64> {
        self.find_bolts(cell);
        let (sure, maybe) = self.take_found();
        let fs = if !sure.is_empty() {
            Some(self.held_in(cell, looked, way, cohesion, gains, &sure, wanted))
        } else if maybe.is_empty() {
            None
        } else if self.pieces.coverings.is_empty() {
            let stands = self.most_bare_in(looked, way) >= self.pieces.asked_fs;
            let mut least = if stands { bare.max(self.pieces.asked_fs) } else { f64::INFINITY };
            for one in &maybe {
                if least <= wanted.floor {
                    break;
                }
                let wanted = Wanted { enough: wanted.enough.min(least), ..wanted };
                let one = std::slice::from_ref(one);
                least = least.min(self.held_in(cell, looked, way, cohesion, gains, one, wanted));
            }
            Some(least.max(bare))
        } else {
            Some(bare)
        };
        self.give_back_found(sure, maybe);
        fs
    }

    /// The factor that these bolts give every piece that moves in a way at least.
    #[expect(clippy::too_many_arguments, reason = "what is known of one way of one cell")]
    fn held_in(
        &mut self,
        cell: &Cell,
        looked: &Wet,
        way: &Way,
        cohesion: &[f64; MOST_PLACES],
        gains: &[Gain],
        bolts: &[Found],
        wanted: Wanted,
    ) -> f64 {
        if way.mode == Mode::Falling {
            let mut scratch = self.take_scratch();
            let fs = self.balanced_wet(cell, looked, bolts, wanted, &mut scratch);
            self.give_back_scratch(scratch);
            return fs;
        }
        let (mut kn, mut opened_kn) = (0.0, [0.0; 3]);
        for bolt in bolts {
            let gain = &gains[bolt.row];
            kn += gain.gain * bolt.kn;
            for (opened, normal) in opened_kn.iter_mut().zip(gain.normal_kn) {
                *opened += (-normal).max(0.0) * bolt.kn;
            }
        }
        let pulled = self.pulled_share(looked, way, &opened_kn);
        let held: [f64; MOST_PLACES] = std::array::from_fn(|p| cohesion[p] + pulled * kn);
        let fs = self.least_ratio(looked, way, &held, 0.0);
        // While no joint opens, what hanging gives along the movement all bolts give with friction besides.
        if pulled >= 1.0 || fs >= wanted.enough {
            return fs;
        }
        let fs = fs.max(self.called_in(looked, way, gains, bolts));
        if fs >= wanted.enough { fs } else { fs.max(self.hanging(looked, bolts)) }
    }

    /// With bolts that pull no more than keeps joints closed, at every corner of the boxes: what joints and bolts
    /// withstand is convex while all resultants move a piece alike.
    fn called_in(&self, looked: &Wet, way: &Way, gains: &[Gain], bolts: &[Found]) -> f64 {
        let Some(wet) = &self.pieces.wet else { return 0.0 };
        let inward = self.pieces.positions.cone.inward;
        let called: Vec<(Reaction, f64)> = bolts
            .iter()
            .map(|b| (gains[b.row].called, b.kn))
            .filter(|(effect, kn)| effect.against_kn > 0.0 && *kn > 0.0)
            .collect();
        let mut least = f64::INFINITY;
        for (place, force) in &looked.forces {
            let motion = Motion::of(&inward, force);
            if motion.mode != way.mode {
                return 0.0;
            }
            let areas_m2 = std::array::from_fn(|i| looked.areas_m2[i].low[*place]);
            let stability = Stability::new(motion, inward, &wet.strengths, &areas_m2);
            least = least.min(stability.fs_called(&called));
        }
        least
    }

    /// Hanging in bolts and leaning on joints without friction, forces alone. Joints press where water does, so that
    /// less of it is never worse.
    fn hanging(&mut self, looked: &Wet, bolts: &[Found]) -> f64 {
        let Some(wet) = self.pieces.wet else { return 0.0 };
        let inward = self.pieces.positions.cone.inward;
        let point = Vec3::zeros();
        let contacts = inward.map(|normal| Contact { point, normal });
        let mut scratch = self.take_scratch();
        scratch.pulls.clear();
        scratch.pulls.extend(bolts.iter().filter(|b| b.kn > 0.0).map(|b| BoltPull {
            point,
            direction: self.rows[b.row].direction,
            capacity_kn: b.kn,
        }));
        let mut least = f64::INFINITY;
        for place in 0..looked.count {
            let water: Vec3 = (0..3).map(|i| inward[i] * looked.water_kn[i].high[place]).sum();
            for weight in [looked.weight_kn.high[place], looked.weight_kn.low[place]] {
                let force = wet.pull * weight + water;
                let rotation = Rotation::new(&force, &point, &contacts);
                least = least.min(rotation.load_factor(&scratch.pulls, &mut scratch.rotation));
            }
        }
        self.give_back_scratch(scratch);
        least
    }

    /// The factor by which what acts on falling pieces may grow, forces and moments in balance, for every piece of a cell
    /// at least: as for dry ones, with the moment of all that acts in the place of the centroid.
    fn balanced_wet(
        &self,
        cell: &Cell,
        looked: &Wet,
        bolts: &[Found],
        wanted: Wanted,
        scratch: &mut Scratch,
    ) -> f64 {
        let (Some(wet), Some(corners)) = (&self.pieces.wet, &looked.corners) else { return 0.0 };
        // The corners of the box itself: places that caps cut off it lie among them.
        let along = cell.shifts_m.first().map_or(0.0, |&s| 0.5 * width(s));
        let placed = corners.feet.map(|foot| self.placed_wet(&foot));
        let centre = self.placed_wet(&corners.centre);
        let contacts = self.common_contacts(&placed.map(|p| p.corners), &centre.corners, along);
        let inward = &self.pieces.positions.cone.inward;
        let reference = centre.centroid;
        // What acts at a corner, for each kN, about the reference: the weight's part and each water's.
        let whole: f64 = placed.iter().map(|p| p.weight_kn).sum();
        let mixed = placed.iter().map(|p| p.centroid * p.weight_kn).sum::<Vec3>() / whole;
        let mut off = (centre.centroid - mixed).cross(&wet.pull) * centre.weight_kn;
        let mut bend = off.abs() * BEND_TIMES;
        for (i, normal) in inward.iter().enumerate() {
            let whole: f64 = placed.iter().map(|p| p.water_kn[i]).sum();
            if whole > 0.0 {
                let mixed = placed.iter().map(|p| p.water_at[i] * p.water_kn[i]).sum::<Vec3>() / whole;
                off = (centre.water_at[i] - mixed).cross(normal) * centre.water_kn[i];
                bend += off.abs() * BEND_TIMES;
            }
        }
        let moments = placed.map(|p| p.moment_knm(wet, inward, &reference));
        let least = moments.iter().fold(Vec3::repeat(f64::INFINITY), |l, m| l.inf(m));
        let most = moments.iter().fold(Vec3::repeat(f64::NEG_INFINITY), |l, m| l.sup(m));
        bend += (most - least) * BEND_SHARE;
        let groups = self.pieces.positions.groups.len();
        let ends = if groups > 1 { 1usize << (groups - 1) } else { 1 };
        let still = |g: usize| width(cell.shifts_m[g]) == 0.0;
        let twice = |end: &usize| (1..groups).any(|g| *end >> (g - 1) & 1 == 1 && still(g));
        let mut rotation: Option<Rotation> = None;
        let mut all = wanted.enough;
        for end in (0..ends).filter(|end| !twice(end)) {
            self.pulls(cell, bolts, end, scratch);
            let mut going_on = false;
            for (c, p) in placed.iter().enumerate() {
                let low_kn = self.lightest(looked, corners, c);
                let share = low_kn / p.weight_kn;
                // With as much more water the lightest is a part of the heaviest; else each is looked at.
                let loads = if share >= ALIKE_SHARE {
                    [Some((p.weight_kn, 1.0 / share)), None]
                } else {
                    [Some((p.weight_kn, 1.0)), Some((low_kn, 1.0))]
                };
                for (weight_kn, more) in loads.into_iter().flatten() {
                    let (force, moment) = p.acts(
                        wet,
                        inward,
                        &reference,
                        weight_kn,
                        more,
                        &self.most_water(looked, corners, c),
                    );
                    // Bolts stand still while the wedge ranges along the drive about them.
                    let shaken = Vec3::y().cross(&force).abs() * along;
                    let bend = bend + shaken;
                    let size = force.norm();
                    for corner in 0..8usize {
                        let mut here = moment;
                        let mut known = false;
                        for k in 0..3 {
                            let up = corner >> k & 1 == 1;
                            known |= up && bend[k] <= NOTHING_SHARE * size;
                            here[k] += if up { bend[k] } else { -bend[k] };
                        }
                        if known {
                            continue;
                        }
                        let action = Action { force_kn: force, at: reference, couple_knm: here };
                        let rotation = rotation.get_or_insert_with(|| Rotation::of(&action, &contacts));
                        rotation.under_action(&action);
                        all = all.min(scratch.load_factor(rotation, going_on, all));
                        going_on = true;
                        if all <= wanted.floor {
                            return all;
                        }
                    }
                }
            }
        }
        all
    }

    /// The least weight at a corner of a cell's box, kN.
    fn lightest(&self, looked: &Wet, corners: &Corners, corner: usize) -> f64 {
        if corners.is_cut || looked.count != corners.count {
            looked.weight_kn.low[..looked.count].iter().copied().fold(f64::INFINITY, f64::min)
        } else {
            looked.weight_kn.low[corner]
        }
    }

    /// The most water at a corner of a cell's box, kN.
    fn most_water(&self, looked: &Wet, corners: &Corners, corner: usize) -> [f64; 3] {
        let whole = corners.is_cut || looked.count != corners.count;
        std::array::from_fn(|i| {
            let high = &looked.water_kn[i].high;
            if whole { high[..looked.count].iter().copied().fold(0.0, f64::max) } else { high[corner] }
        })
    }

    /// A piece with what acts on it. Its start edge passes the reference line at chainage 0.
    fn placed_wet(&self, foot: &Footprint) -> PlacedWet {
        let positions = &self.pieces.positions;
        let (chain, cone) = (positions.frontier.chain(), positions.cone);
        let lines = chain.lines_at(foot.along_m[0], foot.along_m[2]);
        let back = Vec3::new(0.0, self.planes.back_m(lines), 0.0);
        let stability = (self.pieces.judge)(foot);
        let water = stability.water().copied().unwrap_or_default();
        let unit = self.pieces.wet.as_ref().map_or(0.0, |wet| wet.unit_weight_kn_m3);
        let (own_kn, hung) = (unit * chain.volume_m3(foot), stability.hung());
        let weight_kn = own_kn + hung.kn;
        let mut centroid = chain.centroid(cone, foot);
        if hung.kn > 0.0 {
            centroid += (hung.at - centroid) * (hung.kn / weight_kn);
        }
        PlacedWet {
            corners: chain.corners(cone, foot).map(|c| c + back),
            centroid: centroid + back,
            weight_kn,
            water_kn: water.kn,
            water_at: water.at.map(|at| at + back),
        }
    }
}

/// What a kN of a row's bolts does.
struct Gain {
    gain: f64,
    normal_kn: [f64; 3],
    /// The same where bolts pull no more than keeps joints closed.
    called: Reaction,
}

/// A piece with what acts on it.
#[derive(Clone, Copy)]
struct PlacedWet {
    corners: [Vec3; 4],
    /// Where the weight acts, with what hangs.
    centroid: Vec3,
    weight_kn: f64,
    water_kn: [f64; 3],
    water_at: [Vec3; 3],
}

impl PlacedWet {
    /// Force and moment about a point, of another weight and of another water that acts where this one does.
    fn acts(
        &self,
        wet: &OnPieces,
        inward: &[Vec3; 3],
        about: &Vec3,
        weight_kn: f64,
        more: f64,
        water_kn: &[f64; 3],
    ) -> (Vec3, Vec3) {
        let mut force = wet.pull * weight_kn;
        let mut moment = (self.centroid - about).cross(&force);
        for (i, normal) in inward.iter().enumerate() {
            let pressed = normal * (water_kn[i] * more);
            force += pressed;
            moment += (self.water_at[i] - about).cross(&pressed);
        }
        (force, moment)
    }

    fn moment_knm(&self, wet: &OnPieces, inward: &[Vec3; 3], about: &Vec3) -> Vec3 {
        self.acts(wet, inward, about, self.weight_kn, 1.0, &self.water_kn).1
    }
}

impl Range {
    fn flat(low: f64, high: f64) -> Self {
        Self { low: [low.min(high); MOST_PLACES], high: [high; MOST_PLACES] }
    }

    fn times(&self, factor: f64) -> Self {
        Self { low: self.low.map(|v| v * factor), high: self.high.map(|v| v * factor) }
    }
}
