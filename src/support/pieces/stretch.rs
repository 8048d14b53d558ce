//! Pieces whose face lies in a stretch of the drive: where along it they can sit.

use super::super::Positions;
use super::cell::Cell;
use super::rows::Planes;
use crate::opening::{Vec2, cross2};
use crate::wedge::{Chain, ON_FACE_M};

/// A stretch of drive, and how far along it the corners of faces lie from where their piece is counted.
///
/// The corners of a face are the three places where the edges of its piece daylight. How far along the drive
/// such a place lies is the sum of two parts: one is linear in where the lines of the outer rays lie, the other
/// goes with the height of the place over the chord of the chain. Both are bounded exactly over a cell, so a
/// cell is drawn in to the chainages at which some of its pieces fit, and a piece to those at which it does.
pub(super) struct Stretch {
    from_m: f64,
    to_m: f64,
    /// For each corner the linear part: constant, and for each line.
    linear: [[f64; 3]; 3],
    /// For each corner metres along the drive for each unit of height.
    drift: [f64; 3],
    /// A point of the chord and its direction.
    chord: (Vec2, Vec2),
    /// Metres along the chain at each of its vertices, and its height there.
    heights: Vec<(f64, f64)>,
}

impl Stretch {
    /// The stretch between two chainages for the pieces of a pyramid.
    pub fn new((from_m, to_m): (f64, f64), positions: &Positions, planes: &Planes) -> Self {
        let chain = positions.frontier.chain();
        let vertices = chain.vertices();
        let first = vertices[0];
        let chord = (first, vertices[vertices.len() - 1] - first);
        let height = |p: &Vec2| cross2(&chord.1, &(p - chord.0));
        let sector = chain.sector();
        // No ray that daylights on the chain runs along its chord.
        let drift = std::array::from_fn(|k| sector.axial[k] / cross2(&chord.1, &sector.rays[k]));
        let linear = drift.map(|drift: f64| {
            let at = [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]
                .map(|lines| planes.back_m(lines) - drift * height(&chain.apex_of(lines)));
            [at[0], at[1] - at[0], at[2] - at[0]]
        });
        let heights = vertices.iter().enumerate().map(|(k, p)| (chain.vertex_along_m(k), height(p)));
        Self { from_m, to_m, linear, drift, chord, heights: heights.collect() }
    }

    /// Least and greatest height of a part of the chain over its chord.
    fn height(&self, chain: &Chain, (from_m, to_m): (f64, f64)) -> (f64, f64) {
        let at = |m: f64| cross2(&self.chord.1, &(chain.point_at(m) - self.chord.0));
        let (a, b) = (at(from_m), at(to_m));
        let first = self.heights.partition_point(|v| v.0 <= from_m);
        let between = self.heights[first..].iter().take_while(|v| v.0 < to_m).map(|v| v.1);
        between.fold((a.min(b), a.max(b)), |(low, high), h| (low.min(h), high.max(h)))
    }

    /// Between which places the middle ray of a cell's pieces daylights: it does not turn, so the place goes one
    /// way with the apex, which is linear in the lines.
    fn middles(chain: &Chain, cell: &Cell) -> (f64, f64) {
        if cell.starts_m.1 >= cell.ends_m.0 {
            return (cell.starts_m.0, cell.ends_m.1);
        }
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for start_m in [cell.starts_m.0, cell.starts_m.1] {
            for end_m in [cell.ends_m.0, cell.ends_m.1] {
                let middle_m = chain.footprint(start_m, end_m).along_m[1];
                (low, high) = (low.min(middle_m), high.max(middle_m));
            }
        }
        (low, high)
    }

    /// Between which chainages, as cells count them, pieces of a cell have all corners of their face in the
    /// stretch: none has elsewhere; of a single piece just those at which it has. The first lies beyond the
    /// second where there are none.
    pub fn shifts_m(&self, chain: &Chain, cell: &Cell) -> (f64, f64) {
        let low = chain.lines_at(cell.starts_m.0, cell.ends_m.0);
        let high = chain.lines_at(cell.starts_m.1, cell.ends_m.1);
        let places = [cell.starts_m, Self::middles(chain, cell), cell.ends_m];
        let mut shifts_m = (f64::NEG_INFINITY, f64::INFINITY);
        for (corner, &place) in places.iter().enumerate() {
            let (least, most) = self.height(chain, place);
            let by_height = (self.drift[corner] * least, self.drift[corner] * most);
            let [constant, slopes @ ..] = self.linear[corner];
            let mut nearest = constant + by_height.0.min(by_height.1);
            let mut farthest = constant + by_height.0.max(by_height.1);
            for (k, slope) in slopes.into_iter().enumerate() {
                let ends = (slope * low[k], slope * high[k]);
                nearest += ends.0.min(ends.1);
                farthest += ends.0.max(ends.1);
            }
            shifts_m.0 = shifts_m.0.max(self.from_m - farthest);
            shifts_m.1 = shifts_m.1.min(self.to_m - nearest);
        }
        (shifts_m.0 - ON_FACE_M, shifts_m.1 + ON_FACE_M)
    }
}
