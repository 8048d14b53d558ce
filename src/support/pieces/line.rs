//! Pieces whose apexes structures hold on a line of the section.

use super::cell::Cell;
use crate::opening::{Vec2, cross2};
use crate::wedge::{AXIS_TOLERANCE, Chain};

/// Places that a ray along the line gives again and again differ by rounding alone, metres: they stay inside a cell.
const SAME_PLACE_M: f64 = 1e-9;

/// Where pieces with their apex on a line begin and end: one of the two places tells the other, and each goes
/// one way along the line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line {
    through: Vec2,
    along: Vec2,
    /// Which side of a cell tells the other: 0 starts, 1 ends. The ray that runs most across the line.
    side: usize,
    /// The place of the other ray where it runs along the line, as both rays of a joint do that runs along the
    /// drive: then all pieces begin, or end, where that joint meets the opening.
    still_m: Option<f64>,
    /// The part of the line from which both rays meet the chain, from `through` along `along`.
    from_m: f64,
    to_m: f64,
}

impl Line {
    /// `None` where both rays meet the chain from no part of the line.
    pub fn of(chain: &Chain, (through, along): (Vec2, Vec2)) -> Option<Self> {
        let (from_m, to_m) = chain.line_span_m(&through, &along)?;
        let [start, _, end] = chain.sector().rays;
        let across = |ray: &Vec2| cross2(ray, &along).abs() / ray.norm();
        let side = usize::from(across(&end) > across(&start));
        let other = if side == 0 { end } else { start };
        let mut line = Self { through, along, side, still_m: None, from_m, to_m };
        if across(&other) <= AXIS_TOLERANCE {
            line.still_m = Some(line.piece_at_m(chain, 0.5 * (from_m + to_m))?[1 - side]);
        }
        Some(line)
    }

    /// The side of a cell that is divided; the other one follows.
    pub fn side(&self) -> usize {
        self.side
    }

    /// Where the piece begins and ends that does so at this place of the side that tells.
    fn piece_m(&self, chain: &Chain, place_m: f64) -> Option<[f64; 2]> {
        let rays = chain.sector().rays;
        let ray = if self.side == 0 { rays[0] } else { rays[2] };
        let t = cross2(&ray, &(chain.point_at(place_m) - self.through)) / cross2(&ray, &self.along);
        self.piece_at_m(chain, t)
    }

    fn piece_at_m(&self, chain: &Chain, t: f64) -> Option<[f64; 2]> {
        let mut places_m =
            chain.outer_places_m(&(self.through + self.along * t.clamp(self.from_m, self.to_m)))?;
        if let Some(still_m) = self.still_m {
            places_m[1 - self.side] = still_m;
        }
        Some(places_m)
    }

    /// The piece on the line that begins where the given one does, or ends there.
    pub fn onto(&self, chain: &Chain, start_m: f64, end_m: f64) -> Option<[f64; 2]> {
        self.piece_m(chain, if self.side == 0 { start_m } else { end_m })
    }

    /// Draws the side that follows in to what the other leaves it. Where an end of that is on no piece, to
    /// rounding, it stays as it is.
    pub fn draw_in(&self, chain: &Chain, cell: &mut Cell) {
        let (tells, follows) = (self.side, 1 - self.side);
        let (from, to) = cell.side(tells);
        let (Some(a), Some(b)) = (self.piece_m(chain, from), self.piece_m(chain, to)) else { return };
        let side = cell.side_mut(follows);
        if let Some(still_m) = self.still_m {
            *side = (still_m, still_m);
            return;
        }
        let (low, high) = between(a[follows], b[follows]);
        *side = (side.0.max(low), side.1.min(high));
    }

    /// Between which places all pieces on the line begin, and end.
    pub fn spans_m(&self, chain: &Chain) -> Option<[(f64, f64); 2]> {
        let (a, b) = (self.piece_at_m(chain, self.from_m)?, self.piece_at_m(chain, self.to_m)?);
        let all = |side: usize| match self.still_m {
            Some(still_m) if side != self.side => (still_m, still_m),
            _ => between(a[side], b[side]),
        };
        Some([0, 1].map(all))
    }
}

/// From the first to the last of two places, and what rounding leaves beyond them.
fn between(a: f64, b: f64) -> (f64, f64) {
    (a.min(b) - SAME_PLACE_M, a.max(b) + SAME_PLACE_M)
}
