//! The rows of bolts as a pyramid meets them, and where its planes stand in a cell.

use super::super::{Anchorage, Bolt, Positions};
use super::cell::Cell;
use crate::opening::{Vec2, cross2};
use crate::orientation::Vec3;
use crate::stability::{Reaction, Stability};
use crate::wedge::{AXIS_TOLERANCE, ON_FACE_M};

/// Most places of the apex that a cell is bounded at: its corners, cut by the caps.
pub(super) const MOST_PLACES: usize = 10;

/// A row of bolts, prepared for a cone.
pub(super) struct RowAt<'a> {
    /// Place along the chain, metres.
    pub along_m: f64,
    pub point: Vec2,
    pub direction: Vec3,
    /// How much nearer each plane a collar may stand than drawn, and its tolerance along the section, metres.
    near_m: [f64; 3],
    pub tolerance_m: f64,
    /// Of the collar at chainage 0 to each plane's normal.
    base: [f64; 3],
    into: [f64; 3],
    ring_m: f64,
    period_m: f64,
    /// Which times it comes, first and last.
    turns: (f64, f64),
    pub group: usize,
    /// Between which chainages, from where the start edge passes the reference line, its collars are inside the
    /// planes of some piece at all.
    anywhere_m: (f64, f64),
    length_m: f64,
    bolt: &'a Bolt,
    pub effect: Reaction,
    /// The same where bolts pull no more than keeps joints closed.
    pub called: Reaction,
    /// What a kN of it adds to the resistance while every joint stays in contact.
    pub gain: f64,
}

/// A bolt that is sure to hold something in every piece of a cell, or may be in some.
#[derive(Debug, Clone, Copy)]
pub(super) struct Found {
    pub row: usize,
    /// Chainage of its ring from its group's ring 0, metres.
    pub ring_m: f64,
    /// The least it can take in any of the pieces that it is sure to hold, kN.
    pub kn: f64,
}

/// Where the planes of pieces stand: plane i keeps off the point of a piece's start edge on the reference
/// line what is linear in where the outer rays' lines lie. Where rings of a known chainage stand beside
/// pieces of one, it keeps that off chainage 0 instead: structures make the apex's chainage linear too.
#[derive(Debug, Clone)]
pub(super) struct Planes {
    /// m_i · apex with the start edge passing the reference line at chainage 0: constant, and for each line.
    constant: [f64; 3],
    slopes: [[f64; 2]; 3],
    /// From that chainage to the apex's, for the same three.
    back: [f64; 3],
}

impl Planes {
    pub fn of(positions: &Positions) -> Self {
        let chain = positions.frontier.chain();
        let sector = chain.sector();
        let start = sector.rays[0];
        let vertices = chain.vertices();
        let (first, last) = (vertices[0], vertices[vertices.len() - 1]);
        // The chord of the chain: every facet faces the start ray, so it is not along it.
        let chord = last - first;
        let known = positions.groups.iter().filter(|g| g.is_known()).find_map(|g| g.located);
        let back_of = |apex: &Vec2| {
            // Structures give each place of the apex its chainage: then all counts from chainage 0.
            if let Some(chainage_m) = known.and_then(|located| located.chainage_m(apex)) {
                return chainage_m;
            }
            let multiple = -cross2(&chord, &(apex - first)) / cross2(&chord, &start);
            -multiple * sector.axial[0]
        };
        let places = [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]].map(|lines| chain.apex_of(lines));
        let backs = places.map(|apex| back_of(&apex));
        let inward = &positions.cone.inward;
        let at = |i: usize, k: usize| {
            let m = &inward[i];
            m.x * places[k].x + m.z * places[k].y + m.y * backs[k]
        };
        Self {
            constant: std::array::from_fn(|i| at(i, 0)),
            slopes: std::array::from_fn(|i| [at(i, 1) - at(i, 0), at(i, 2) - at(i, 0)]),
            back: [backs[0], backs[1] - backs[0], backs[2] - backs[0]],
        }
    }

    /// From the chainage at which the start edge passes the reference line to the apex's, metres.
    pub fn back_m(&self, lines: [f64; 2]) -> f64 {
        self.back[0] + self.back[1] * lines[0] + self.back[2] * lines[1]
    }

    /// Where plane i stands for a piece.
    fn at(&self, i: usize, lines: [f64; 2]) -> f64 {
        self.constant[i] + self.slopes[i][0] * lines[0] + self.slopes[i][1] * lines[1]
    }

    /// Least and most of it between the lines of two pieces.
    pub fn range(&self, low: [f64; 2], high: [f64; 2]) -> [(f64, f64); 3] {
        std::array::from_fn(|i| {
            let mut range = (self.constant[i], self.constant[i]);
            for k in 0..2 {
                let (a, b) = (self.slopes[i][k] * low[k], self.slopes[i][k] * high[k]);
                range.0 += a.min(b);
                range.1 += a.max(b);
            }
            range
        })
    }
}

/// The rows that can be on a piece; `planes` is between what the planes of all of them stand.
pub(super) fn rows_at<'a>(
    positions: &Positions<'a>,
    stability: &Stability,
    planes: &[(f64, f64); 3],
) -> Vec<RowAt<'a>> {
    let chain = positions.frontier.chain();
    let cone = positions.cone;
    let mut rows = Vec::new();
    for (group, in_group) in positions.groups.iter().enumerate() {
        for &pattern in &in_group.patterns {
            let (design, layout) = (&positions.patterns[pattern], &positions.layouts[pattern]);
            for (row, line) in layout.rows.iter().enumerate() {
                let along_m = (line.collar.along_m - chain.offset_m()).rem_euclid(positions.perimeter_m);
                if along_m > chain.length_m() {
                    continue;
                }
                let direction = line.collar.direction;
                let effect = stability.effect(&direction);
                let mut row_at = RowAt {
                    along_m,
                    point: line.collar.point,
                    direction,
                    near_m: cone.inward.map(|m| layout.nearer_m(row, &m)),
                    tolerance_m: layout.tolerance_m,
                    base: cone.inward.map(|m| m.x * line.collar.point.x + m.z * line.collar.point.y),
                    into: cone.inward.map(|m| m.dot(&direction)),
                    ring_m: design.offset_m.unwrap_or(0.0)
                        + f64::from(line.first_ring) * design.ring_spacing_m,
                    period_m: layout.period_m,
                    turns: layout.turns(row),
                    group,
                    anywhere_m: (f64::NEG_INFINITY, f64::INFINITY),
                    length_m: design.length_in_hole_m(),
                    bolt: &positions.bolts[design.bolt],
                    effect,
                    called: stability.called(&direction),
                    gain: stability.gain_kn(&effect),
                };
                let nowhere_m = (f64::INFINITY, f64::NEG_INFINITY);
                row_at.anywhere_m =
                    row_at.reach(&cone.inward, planes).map_or(nowhere_m, |(some_m, _)| some_m);
                rows.push(row_at);
            }
        }
    }
    rows
}

impl RowAt<'_> {
    /// Whether its collars are between the rays of some of a cell's pieces, and of all of them. A bolt that stands alone
    /// and far off along the drive is on none.
    pub fn across(&self, cell: &Cell) -> (bool, bool) {
        if self.turns.0 == self.turns.1 {
            let (shift_m, at_m) = (cell.shifts_m[self.group], self.ring_m + self.turns.0 * self.period_m);
            if at_m - shift_m.1 > self.anywhere_m.1 + ON_FACE_M
                || at_m - shift_m.0 < self.anywhere_m.0 - ON_FACE_M
            {
                return (false, false);
            }
        }
        let (from_m, to_m) = (self.along_m - self.tolerance_m, self.along_m + self.tolerance_m);
        let some = from_m >= cell.starts_m.0 - ON_FACE_M && to_m <= cell.ends_m.1 + ON_FACE_M;
        let all = from_m >= cell.starts_m.1 - ON_FACE_M && to_m <= cell.ends_m.0 + ON_FACE_M;
        (some, all)
    }

    /// Where collars are inside the three planes, from where the start edge passes the reference line: for
    /// some of a cell's pieces, and for all of them (then the first may lie beyond the second).
    fn reach(&self, inward: &[Vec3; 3], planes: &[(f64, f64); 3]) -> Option<((f64, f64), (f64, f64))> {
        // Least and most of the collar's place for the smallest piece, and for the largest one.
        let mut all = (f64::NEG_INFINITY, f64::INFINITY);
        let mut some = all;
        for (i, m) in inward.iter().enumerate() {
            let (low, high) = planes[i];
            let (short, long) = (self.base[i] - high - self.near_m[i], self.base[i] - low - self.near_m[i]);
            if m.y > AXIS_TOLERANCE {
                all.0 = all.0.max(-short / m.y);
                some.0 = some.0.max(-long / m.y);
            } else if m.y < -AXIS_TOLERANCE {
                all.1 = all.1.min(short / -m.y);
                some.1 = some.1.min(long / -m.y);
            } else {
                if short < -ON_FACE_M {
                    all = (f64::INFINITY, f64::NEG_INFINITY);
                }
                if long < -ON_FACE_M {
                    return None;
                }
            }
        }
        (some.0 <= some.1 + ON_FACE_M).then_some((some, all))
    }

    /// Calls `visit(chainage of the ring, whether it is inside the three planes of every piece)` for each
    /// ring that is inside them for some piece.
    pub fn rings(
        &self,
        inward: &[Vec3; 3],
        planes: &[(f64, f64); 3],
        shift_m: (f64, f64),
        mut visit: impl FnMut(f64, bool),
    ) {
        let Some((some, all)) = self.reach(inward, planes) else { return };
        self.each_ring(some, shift_m, |z| {
            visit(z, z - shift_m.1 >= all.0 - ON_FACE_M && z - shift_m.0 <= all.1 + ON_FACE_M);
        });
    }

    /// Calls `visit(chainage)` for each ring that may be within a reach.
    fn each_ring(&self, some: (f64, f64), shift_m: (f64, f64), mut visit: impl FnMut(f64)) {
        let first = ((some.0 - ON_FACE_M + shift_m.0 - self.ring_m) / self.period_m).ceil();
        let mut ring = first.max(self.turns.0);
        loop {
            let z = self.ring_m + ring * self.period_m;
            if z - shift_m.1 > some.1 + ON_FACE_M || ring > self.turns.1 {
                break;
            }
            visit(z);
            ring += 1.0;
        }
    }

    /// The least that its bolt in the ring at this chainage can take in any piece of a cell, kN.
    pub fn least_kn(
        &self,
        inward: &[Vec3; 3],
        planes: &[(f64, f64); 3],
        ring_m: f64,
        shift_m: (f64, f64),
    ) -> f64 {
        let (mut head_m, mut most_m) = (f64::INFINITY, f64::INFINITY);
        for (i, m) in inward.iter().enumerate() {
            if self.into[i] >= 0.0 {
                continue;
            }
            let (a, b) = (m.y * (ring_m - shift_m.1), m.y * (ring_m - shift_m.0));
            let (low, high) = planes[i];
            head_m = head_m.min((self.base[i] + a.min(b) - high - self.near_m[i]) / -self.into[i]);
            most_m = most_m.min((self.base[i] + a.max(b) - low + self.near_m[i]) / -self.into[i]);
        }
        let toe_m = self.length_m - most_m;
        if toe_m < 0.0 { 0.0 } else { self.bolt.capacity(head_m.max(0.0), toe_m).kn }
    }

    /// What its bolt in the ring at this chainage takes, from below and concave over a cell: at each of
    /// these places of the apex (the lines) and at both ends of the chainages, into `values`. `false` where
    /// that is not known better than the least. The joint that it crosses is taken to be the one that it
    /// crosses at the first place's side of the middle: any joint's distance is at least that of the first
    /// crossing, so what lies beyond it is at most what lies beyond the first.
    pub fn concave_kn(
        &self,
        (inward, planes): (&[Vec3; 3], &Planes),
        ring_m: f64,
        shift_m: (f64, f64),
        places: &[[f64; 2]],
        least_kn: f64,
        values: &mut [[f64; 2]; MOST_PLACES],
    ) -> bool {
        let Anchorage::Bonded { bond_kn_per_m } = self.bolt.anchorage else { return false };
        if least_kn >= self.bolt.steel_kn {
            return false;
        }
        let at = |i: usize, lines: [f64; 2], shift: f64| {
            self.base[i] + inward[i].y * (ring_m - shift) - planes.at(i, lines)
        };
        let crossed = (0..3).filter(|&i| self.into[i] < 0.0);
        let share = 1.0 / places.len() as f64;
        let centre: [f64; 2] = std::array::from_fn(|k| share * places.iter().map(|p| p[k]).sum::<f64>());
        let middle = 0.5 * (shift_m.0 + shift_m.1);
        let most =
            |i: usize, lines: [f64; 2], shift: f64| (at(i, lines, shift) + self.near_m[i]) / -self.into[i];
        let first =
            crossed.clone().min_by(|&a, &b| most(a, centre, middle).total_cmp(&most(b, centre, middle)));
        let Some(first) = first else { return false };
        let mut lowest = f64::INFINITY;
        for (value, &lines) in values.iter_mut().zip(places) {
            *value = [shift_m.0, shift_m.1].map(|shift| {
                let head_m = crossed
                    .clone()
                    .map(|i| (at(i, lines, shift) - self.near_m[i]) / -self.into[i])
                    .fold(f64::INFINITY, f64::min);
                let toe_m = self.length_m - most(first, lines, shift);
                let head_kn = self.bolt.plate_kn + bond_kn_per_m * head_m;
                let kn = self.bolt.steel_kn.min(head_kn).min(bond_kn_per_m * toe_m);
                lowest = lowest.min(kn);
                kn
            });
        }
        lowest > least_kn
    }

    /// For each ring that is inside the planes of some piece, chainages from its group's ring 0: of the
    /// ring, those between which it is inside for some piece, and for all of them.
    pub fn stretches(
        &self,
        inward: &[Vec3; 3],
        planes: &[(f64, f64); 3],
        shift_m: (f64, f64),
        mut visit: impl FnMut(f64, (f64, f64), (f64, f64)),
    ) {
        let Some((some, all)) = self.reach(inward, planes) else { return };
        self.each_ring(some, shift_m, |z| {
            let stretch = |s: (f64, f64)| (z - s.1 - ON_FACE_M, z - s.0 + ON_FACE_M);
            visit(z, stretch(some), stretch(all));
        });
    }
}
