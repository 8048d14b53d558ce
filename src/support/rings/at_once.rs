//! What rows of bolts add up to at many chainages of the apex at once, worked on together by whatever vectors the
//! processor has.

use pulp::{Arch, NullaryFnOnce};

use super::{Bounds, End, GAIN, Line, within_period};
use crate::numeric::whole_below;
use crate::support::along::EVENT_GAP_M;

/// Chainages that are worked on at a time.
const LANES: usize = 8;

/// A collar nearer to an end of the face than this, metres, counts as outside: rounding is far below, and placements
/// nearer to each other are one.
const AT_END_M: f64 = EVENT_GAP_M;

/// How far from a bend the bolts that count are looked up, metres: beyond what counts as on the face.
const ASIDE_M: f64 = 4.0 * EVENT_GAP_M;

/// Sums that differ by less than this share, or so many kN, are the same.
const SAME: f64 = 1e-9;

/// A chainage at which a sum may be least, and on which side of it, −1 or 1; 0 where it is on both.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    phase_m: f64,
    side: f64,
}

/// A row as it is summed: a collar x metres from the low end of the face meets plane i after `reach_m[i]` +
/// `drift[i]`·x metres.
#[derive(Debug, Clone, Copy)]
struct Row {
    /// From the low end to where the row's ring stands with the apex at 0.
    ring_m: f64,
    length_m: f64,
    /// Rings that may be on the face together.
    rings: usize,
    reach_m: [f64; 3],
    drift: [f64; 3],
    steel_kn: f64,
    plate_kn: f64,
    bond_kn_per_m: f64,
    toe_kn: f64,
    adds: f64,
}

/// Working memory.
#[derive(Debug, Default)]
pub(super) struct AtOnce {
    rows: Vec<Row>,
    candidates: Vec<Candidate>,
    phases_m: Vec<[f64; LANES]>,
    sums_kn: Vec<[f64; LANES]>,
}

impl AtOnce {
    /// The end of an interval between bends at which a group's bolts add least to the resistance, and what that is,
    /// kN; `None` where bends so near to each other that they are one, or none, leave that to a walk over them.
    ///
    /// What a bolt gives is never below nothing, and bends up where its toe gives, or nothing: so a sum is least
    /// where a collar is about to come onto the face, or has just left it, or where it bends up.
    pub fn least(
        &mut self,
        lines: &[Line],
        bounds: &[Bounds],
        period_m: f64,
        arch: Arch,
    ) -> Option<(End, f64)> {
        let Self { rows, candidates, phases_m, sums_kn } = self;
        rows.clear();
        candidates.clear();
        let over_period = 1.0 / period_m;
        for line in lines {
            let bounds = &bounds[line.bounds];
            let mut add = |x: f64, side: f64| {
                let phase_m = within_period(line.ring_m - x, period_m, over_period);
                candidates.push(Candidate { phase_m, side });
            };
            // Collars come on at the high end as the apex goes on, and leave at the low one.
            add(line.low_m, 1.0);
            add(line.high_m, -1.0);
            if line.may_end_by_toe(bounds) {
                line.each_bend(bounds, |x, jump_kn, slope_kn_per_m| {
                    if jump_kn == 0.0 && slope_kn_per_m > 0.0 {
                        add(x, 0.0);
                    }
                });
            }
            rows.push(Row::of(line, bounds, over_period));
        }
        let last = *candidates.last()?;
        phases_m.clear();
        for chunk in candidates.chunks(LANES) {
            let mut lanes = [last.phase_m; LANES];
            for (lane, candidate) in lanes.iter_mut().zip(chunk) {
                *lane = candidate.phase_m;
            }
            phases_m.push(lanes);
        }
        sums_kn.clear();
        sums_kn.resize(phases_m.len(), [0.0; LANES]);
        arch.dispatch(Sums { rows, phases_m, period_m, over_period, sums_kn });
        let mut least = (f64::INFINITY, last);
        for (sum_kn, candidate) in sums_kn.as_flattened().iter().zip(&*candidates) {
            if *sum_kn < least.0 {
                least = (*sum_kn, *candidate);
            }
        }
        let (sum_kn, Candidate { phase_m, side }) = least;
        let end = End { middle_m: phase_m + side * ASIDE_M, at_m: phase_m };
        let given = |line: &Line| line.adds[GAIN] * line.given_kn(&bounds[line.bounds], &end, period_m);
        let there_kn = lines.iter().map(given).sum::<f64>();
        // Where another collar comes on or leaves just there, it counts on one side.
        ((there_kn - sum_kn).abs() <= SAME * there_kn.max(1.0)).then_some((end, there_kn))
    }
}

impl Line {
    /// Whether a joint may be so far up a bolt that its toe gives, or nothing: what it gives bends up nowhere else.
    fn may_end_by_toe(&self, bounds: &Bounds) -> bool {
        let farthest = |i: usize| {
            let (low_m, high_m) = (self.head_m(i, self.low_m), self.head_m(i, self.high_m));
            if low_m > high_m { low_m } else { high_m }
        };
        let least = |a: f64, b: f64| if a < b { a } else { b };
        least(farthest(0), least(farthest(1), farthest(2))) > bounds.over_m[1]
    }
}

impl Row {
    fn of(line: &Line, bounds: &Bounds, over_period: f64) -> Self {
        let Bounds { steel_kn, plate_kn, bond_kn_per_m, length_m: hole_m, .. } = *bounds;
        let length_m = line.high_m - line.low_m;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a drive is short
        let rings = (length_m * over_period) as usize + 1;
        let reach_m = [0, 1, 2].map(|i| {
            // A plane that is never met stays so.
            if line.reach_m[i] == f64::INFINITY { f64::INFINITY } else { line.head_m(i, line.low_m) }
        });
        Self {
            ring_m: line.ring_m - line.low_m,
            length_m,
            rings,
            reach_m,
            drift: line.drift,
            steel_kn,
            plate_kn,
            bond_kn_per_m,
            toe_kn: bond_kn_per_m * hole_m,
            adds: line.adds[GAIN],
        }
    }
}

/// Sums to be found: a type of its own, as a closure would not be compiled for the processor's own vectors.
struct Sums<'w> {
    rows: &'w [Row],
    phases_m: &'w [[f64; LANES]],
    period_m: f64,
    over_period: f64,
    sums_kn: &'w mut [[f64; LANES]],
}

impl NullaryFnOnce for Sums<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        for (sums_kn, phases_m) in self.sums_kn.iter_mut().zip(self.phases_m) {
            for row in self.rows {
                let mut from_low_m = [0.0; LANES];
                for lane in 0..LANES {
                    from_low_m[lane] =
                        first_of_ring(row.ring_m - phases_m[lane], self.period_m, self.over_period);
                }
                for _ in 0..row.rings {
                    for lane in 0..LANES {
                        sums_kn[lane] += row.adds * row.given_kn(from_low_m[lane]);
                        from_low_m[lane] += self.period_m;
                    }
                }
            }
        }
    }
}

impl Row {
    /// What the bolt gives whose collar is so far from the low end of the face, kN; nothing beyond either end, or on it.
    #[inline(always)]
    fn given_kn(&self, x: f64) -> f64 {
        let least = |a: f64, b: f64| if a < b { a } else { b };
        let head_m = least(
            self.reach_m[0] + self.drift[0] * x,
            least(self.reach_m[1] + self.drift[1] * x, self.reach_m[2] + self.drift[2] * x),
        );
        let bonded_kn = self.bond_kn_per_m * head_m;
        let toe_kn = self.toe_kn - bonded_kn;
        let toe_kn = if toe_kn > 0.0 { toe_kn } else { 0.0 };
        let kn = least(self.steel_kn, least(toe_kn, self.plate_kn + bonded_kn));
        let on_face = (x > AT_END_M) & (x < self.length_m - AT_END_M);
        if on_face { kn } else { 0.0 }
    }
}

/// A chainage counted round one period, from 0.
#[inline(always)]
fn first_of_ring(at_m: f64, period_m: f64, over_period: f64) -> f64 {
    at_m - period_m * whole_below(at_m * over_period)
}
