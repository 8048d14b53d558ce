use super::{Anchorage, Bolt, Capacity, Layout, Pattern};
use crate::opening::Vec2;
use crate::orientation::Vec3;
use crate::stability::{Reaction, Stability};
use crate::wedge::{Chain, Cone, Footprint, ON_FACE_M};

/// A wedge where the section sees it: what the placement search needs of its shape.
#[derive(Debug, Clone, Copy)]
pub struct Body<'a> {
    /// The chain it sits on.
    pub chain: &'a Chain<'a>,
    /// Its cone in the drive's local frame.
    pub cone: &'a Cone,
    /// Where it daylights.
    pub foot: Footprint,
    /// The section's perimeter, metres.
    pub perimeter_m: f64,
}

impl Body<'_> {
    /// Whether the wedge's face covers a place of the perimeter, metres along it, and all places
    /// within `off_m` of it.
    pub(super) fn covers(&self, along_m: f64, off_m: f64) -> bool {
        let mut along = along_m - self.chain.offset_m();
        // A remainder takes as long as all else here; within one round none is needed.
        if along < 0.0 && along >= -self.perimeter_m {
            along += self.perimeter_m;
        } else if !(0.0..self.perimeter_m).contains(&along) {
            along = along.rem_euclid(self.perimeter_m);
        }
        if along > self.perimeter_m - ON_FACE_M {
            along -= self.perimeter_m;
        }
        let [start_m, _, end_m] = self.foot.along_m;
        along - off_m >= start_m - ON_FACE_M && along + off_m <= end_m + ON_FACE_M
    }
}

/// One row of collars against one wedge. Along the drive a collar stands at x metres from the
/// wedge's apex; it is inside the face for `low_m` ≤ x ≤ `high_m`, and meets plane i after
/// `reach_m[i]` + `drift[i]`·x metres.
///
/// Where collars may stand off their place ([`Layout::tolerance_m`]), `low_m` to `high_m` is where
/// the collar is inside the face wherever it stands, and it meets plane i at the latest after
/// `reach_m[i]` + `drift[i]`·x metres, at the earliest `spread_m[i]` before that.
#[derive(Debug, Clone, Copy)]
pub(super) struct Track<'a> {
    pub low_m: f64,
    pub high_m: f64,
    pub reach_m: [f64; 3],
    pub spread_m: [f64; 3],
    pub drift: [f64; 3],
    pub bolt: &'a Bolt,
    pub length_in_hole_m: f64,
    /// The collar in the section.
    pub collar: Vec2,
    /// Unit vector into the rock, local (u, s, v).
    pub direction: Vec3,
    /// What one kN of the bolt does for the wedge.
    pub effect: Reaction,
    /// Chainage of the row's first ring in its pattern, metres.
    pub ring_m: f64,
    pub period_m: f64,
    /// Which times the row comes, first and last, counted from that ring.
    pub turns: (f64, f64),
    pub pattern: usize,
    pub row: usize,
}

/// A drilled hole with its bolt.
#[derive(Debug, Clone, Copy)]
pub(super) struct Hole<'a> {
    /// The collar in the section.
    pub collar: Vec2,
    /// Unit vector into the rock, local (u, s, v).
    pub direction: Vec3,
    pub bolt: &'a Bolt,
    pub length_in_hole_m: f64,
}

/// Which joint a bolt crosses and whether its anchor sits beyond it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Crossing {
    pub plane: usize,
    /// The joint that it crosses first where its collar stands nearest: another one only where
    /// collars may stand off their place.
    pub nearest: usize,
    pub anchored: bool,
}

/// What a bolt takes of a wedge where it crosses a joint.
#[derive(Debug, Clone, Copy)]
pub(super) struct Crossed {
    pub plane: usize,
    /// Least length inside the wedge, metres.
    pub head_m: f64,
    /// Least length beyond the joint, metres.
    pub toe_m: f64,
    pub capacity: Capacity,
}

impl<'a> Track<'a> {
    /// The track of row `row` of pattern `pattern`, or `None` where the row passes the wedge by
    /// or can do nothing for it.
    pub fn new(
        body: &Body,
        stability: &Stability,
        patterns: &[Pattern],
        layouts: &[Layout],
        bolts: &'a [Bolt],
        (pattern, row): (usize, usize),
    ) -> Option<Self> {
        if !body.covers(layouts[pattern].rows[row].collar.along_m, layouts[pattern].tolerance_m) {
            return None;
        }
        Self::through(&body.foot.apex, body.cone, stability, patterns, layouts, bolts, (pattern, row))
    }

    /// As [`Track::new`], for a pyramid with its apex at this place in the section, wherever it
    /// daylights: the row has to be on a facet that the apex sees.
    pub fn through(
        apex: &Vec2,
        cone: &Cone,
        stability: &Stability,
        patterns: &[Pattern],
        layouts: &[Layout],
        bolts: &'a [Bolt],
        (pattern, row): (usize, usize),
    ) -> Option<Self> {
        let design = &patterns[pattern];
        let layout = &layouts[pattern];
        let line = &layout.rows[row];
        let hole = Hole {
            collar: line.collar.point,
            direction: line.collar.direction,
            bolt: &bolts[design.bolt],
            length_in_hole_m: design.length_in_hole_m(),
        };
        let track = Self::of_hole(apex, cone, stability, &hole, |m| layout.nearer_m(row, m))?;
        Some(Self {
            ring_m: design.offset_m.unwrap_or(0.0) + f64::from(line.first_ring) * design.ring_spacing_m,
            period_m: layout.period_m,
            turns: layout.turns(row),
            pattern,
            row,
            ..track
        })
    }

    /// The track of one hole, its ring at chainage 0, in no pattern. `nearer_m` tells how much nearer
    /// a plane with this unit normal its collar may stand than drawn, metres.
    pub fn of_hole(
        apex: &Vec2,
        cone: &Cone,
        stability: &Stability,
        hole: &Hole<'a>,
        nearer_m: impl Fn(&Vec3) -> f64,
    ) -> Option<Self> {
        let effect = stability.effect(&hole.direction);
        let offset = hole.collar - apex;
        let direction = &hole.direction;
        let (mut low_m, mut high_m) = (f64::NEG_INFINITY, f64::INFINITY);
        let mut reach_m = [f64::INFINITY; 3];
        let mut spread_m = [0.0; 3];
        let mut drift = [0.0; 3];
        for (i, m) in cone.inward.iter().enumerate() {
            // How much nearer the plane a collar may stand than drawn.
            let nearer_m = nearer_m(m);
            let across = m.x * offset.x + m.z * offset.y - nearer_m;
            if m.y > crate::wedge::AXIS_TOLERANCE {
                low_m = low_m.max(-across / m.y);
            } else if m.y < -crate::wedge::AXIS_TOLERANCE {
                high_m = high_m.min(-across / m.y);
            }
            let into = m.dot(direction);
            if into < 0.0 {
                reach_m[i] = -(across + 2.0 * nearer_m) / into;
                spread_m[i] = -2.0 * nearer_m / into;
                drift[i] = -m.y / into;
            }
        }
        if low_m > high_m + ON_FACE_M {
            return None;
        }
        Some(Self {
            low_m,
            high_m,
            reach_m,
            spread_m,
            drift,
            bolt: hole.bolt,
            length_in_hole_m: hole.length_in_hole_m,
            collar: hole.collar,
            direction: hole.direction,
            effect,
            ring_m: 0.0,
            period_m: f64::INFINITY,
            turns: (f64::NEG_INFINITY, f64::INFINITY),
            pattern: 0,
            row: 0,
        })
    }

    /// Whether its bolts do anything for the wedge.
    pub fn works(&self) -> bool {
        self.effect.against_kn > 0.0
    }

    /// Metres from a collar at `x` to plane `plane`, at most.
    pub fn head_m(&self, plane: usize, x: f64) -> f64 {
        self.reach_m[plane] + self.drift[plane] * x
    }

    /// The same at least.
    pub fn nearest_m(&self, plane: usize, x: f64) -> f64 {
        self.head_m(plane, x) - self.spread_m[plane]
    }

    /// Lengths inside the wedge and beyond the joint that a bolt with its collar at `x` can count
    /// on while it crosses as `crossing` says, metres.
    pub fn lengths_m(&self, crossing: &Crossing, x: f64) -> (f64, f64) {
        (self.nearest_m(crossing.nearest, x), self.length_in_hole_m - self.head_m(crossing.plane, x))
    }

    /// What a bolt with its collar at `x` can take while it crosses as `crossing` says, kN.
    pub fn taken_kn(&self, crossing: &Crossing, x: f64) -> f64 {
        let (head_m, toe_m) = self.lengths_m(crossing, x);
        self.bolt.capacity_when(head_m, toe_m, crossing.anchored).kn
    }

    /// What a bolt with its collar at `x` crosses, or `None` where it does not reach a joint.
    pub fn crossing(&self, x: f64) -> Option<Crossing> {
        let (mut plane, mut nearest) = (0, 0);
        let (mut head, mut least) = (f64::INFINITY, f64::INFINITY);
        for i in 0..3 {
            let reach = self.head_m(i, x);
            if reach < head {
                head = reach;
                plane = i;
            }
            if reach - self.spread_m[i] < least {
                least = reach - self.spread_m[i];
                nearest = i;
            }
        }
        if head > self.length_in_hole_m {
            return None;
        }
        let anchored = match self.bolt.anchorage {
            Anchorage::Bonded { .. } | Anchorage::BondedAtToe { .. } => true,
            Anchorage::PointAnchored { anchor_length_m, .. } => {
                self.length_in_hole_m - head >= anchor_length_m
            }
        };
        Some(Crossing { plane, nearest, anchored })
    }

    /// What a bolt with its collar at `x` crosses and can take there, or `None` where it does not reach a
    /// joint: of every bolt that serves a wedge, wherever it is drilled from.
    pub fn crossed(&self, x: f64) -> Option<Crossed> {
        let crossing = self.crossing(x)?;
        let (head_m, toe_m) = self.lengths_m(&crossing, x);
        Some(Crossed { plane: crossing.plane, head_m, toe_m, capacity: self.bolt.capacity(head_m, toe_m) })
    }

    /// Calls `visit(x, k)` for each ring k (counted from the row's first one) whose collar stands
    /// inside the face when the apex is at chainage `phase_m`.
    pub fn each_collar(&self, phase_m: f64, mut visit: impl FnMut(f64, i64)) {
        let ring = self.ring_m - phase_m;
        let first = ((self.low_m - ON_FACE_M - ring) / self.period_m).ceil();
        let mut k = first.max(self.turns.0);
        loop {
            let x = ring + k * self.period_m;
            if x > self.high_m + ON_FACE_M || k > self.turns.1 {
                break;
            }
            visit(x, k as i64);
            k += 1.0;
        }
    }

    /// Calls `visit(x)` at every x where the bolt's part changes: a collar on the edge of the
    /// face, a crossing that passes from one joint to the next, a toe or an anchor that passes a
    /// joint.
    pub fn each_event(&self, mut visit: impl FnMut(f64)) {
        visit(self.low_m);
        visit(self.high_m);
        let mut inside = |x: f64| {
            if x > self.low_m && x < self.high_m {
                visit(x);
            }
        };
        let anchor_m = match self.bolt.anchorage {
            Anchorage::Bonded { .. } | Anchorage::BondedAtToe { .. } => None,
            Anchorage::PointAnchored { anchor_length_m, .. } => Some(anchor_length_m),
        };
        for i in 0..3 {
            if self.reach_m[i].is_infinite() {
                continue;
            }
            for j in i + 1..3 {
                if self.reach_m[j].is_finite() && self.drift[i] != self.drift[j] {
                    let apart = self.drift[i] - self.drift[j];
                    inside((self.reach_m[j] - self.reach_m[i]) / apart);
                    let spread = self.spread_m[j] - self.spread_m[i];
                    if spread != 0.0 {
                        inside((self.reach_m[j] - self.reach_m[i] - spread) / apart);
                    }
                }
            }
            if self.drift[i] != 0.0 {
                inside((self.length_in_hole_m - self.reach_m[i]) / self.drift[i]);
                if let Some(anchor) = anchor_m {
                    inside((self.length_in_hole_m - anchor - self.reach_m[i]) / self.drift[i]);
                }
            }
        }
    }

    /// Calls `visit(which, x, rises)` at every x where the bolt's part jumps; `rises` where it
    /// jumps up as the apex advances and x falls.
    pub fn each_jump(&self, mut visit: impl FnMut(usize, f64, bool)) {
        visit(0, self.low_m, false);
        visit(1, self.high_m, true);
        if let Anchorage::PointAnchored { anchor_length_m, .. } = self.bolt.anchorage {
            for i in (0..3).filter(|&i| self.reach_m[i].is_finite() && self.drift[i] != 0.0) {
                let x = (self.length_in_hole_m - anchor_length_m - self.reach_m[i]) / self.drift[i];
                if x > self.low_m && x < self.high_m {
                    visit(2 + i, x, self.drift[i] > 0.0);
                }
            }
        }
    }

    /// Calls `visit(x)` at every x where a bonded bolt's capacity passes from one of its bounds
    /// (steel, head, toe) to another: it bends there.
    pub fn each_kink(&self, mut visit: impl FnMut(f64)) {
        let (steel_kn, plate_kn) = (self.bolt.steel_kn, self.bolt.plate_kn);
        // Where the farthest part inside the wedge, the nearest part, or both together have these
        // lengths; both are of one plane unless collars may stand off their place.
        let (far_m, near_m, both_m) = match self.bolt.anchorage {
            Anchorage::PointAnchored { .. } => return,
            Anchorage::Bonded { bond_kn_per_m } => (
                [Some(self.length_in_hole_m - steel_kn / bond_kn_per_m), None, None],
                Some((steel_kn - plate_kn) / bond_kn_per_m),
                Some(self.length_in_hole_m - plate_kn / bond_kn_per_m),
            ),
            Anchorage::BondedAtToe { bond_kn_per_m, set_length_m } => (
                [
                    Some(self.length_in_hole_m - steel_kn / bond_kn_per_m),
                    Some(self.length_in_hole_m - plate_kn / bond_kn_per_m),
                    Some(self.length_in_hole_m - set_length_m),
                ],
                None,
                None,
            ),
        };
        let mut inside = |x: f64| {
            if x > self.low_m && x < self.high_m {
                visit(x);
            }
        };
        for i in (0..3).filter(|&i| self.reach_m[i].is_finite()) {
            if self.drift[i] != 0.0 {
                for length_m in far_m.into_iter().flatten() {
                    inside((length_m - self.reach_m[i]) / self.drift[i]);
                }
                if let Some(length_m) = near_m {
                    inside((length_m + self.spread_m[i] - self.reach_m[i]) / self.drift[i]);
                }
            }
            let Some(both_m) = both_m else { continue };
            for j in (0..3).filter(|&j| self.reach_m[j].is_finite()) {
                let drift = self.drift[i] + self.drift[j];
                if (i == j || self.spread_m != [0.0; 3]) && drift != 0.0 {
                    inside((both_m - self.reach_m[i] - self.reach_m[j] + self.spread_m[j]) / drift);
                }
            }
        }
    }
}

/// Unit vector of a row's bolts, local (u, s, v).
pub(super) fn direction(layouts: &[Layout], pattern: usize, row: usize) -> Vec3 {
    layouts[pattern].rows[row].collar.direction
}
