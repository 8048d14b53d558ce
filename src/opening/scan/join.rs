use std::collections::BTreeMap;

use crate::numeric::signed_area;
use crate::opening::Vec2;

/// Ends nearer than this are the same point: files round coordinates to a millimetre at best.
pub const SAME_POINT_M: f64 = 1e-3;

/// More loose pieces than this are no surface any more but shreds; pairing their ends would take
/// long and mean nothing.
const MOST_LOOSE: usize = 2000;

/// A piece closes on itself only where it is at least this many times as long as the gap between
/// its ends. A scrap inside a hole, nearly straight, would otherwise close on itself instead of
/// bridging the hole; walls and back over a floor that was not scanned are twice as long as it.
const SELF_CLOSING_RATIO: f64 = 1.5;

/// A gap in a cut that was closed by a straight line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClosedGap {
    /// One end, section coordinates.
    pub from: Vec2,
    /// The other end.
    pub to: Vec2,
}

impl ClosedGap {
    /// Its width, metres.
    #[must_use]
    pub fn width_m(&self) -> f64 {
        (self.to - self.from).norm()
    }
}

/// A line through points of the cut, with the gaps on it that were closed.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Path {
    pub points: Vec<Vec2>,
    pub gaps: Vec<ClosedGap>,
}

impl Path {
    pub fn length_m(&self) -> f64 {
        self.points.windows(2).map(|w| (w[1] - w[0]).norm()).sum()
    }

    /// Signed area of a closed path, whose last point is not the first one again.
    pub fn area_m2(&self) -> f64 {
        signed_area(&self.points)
    }
}

/// The pieces of a cut, joined.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Joined {
    /// Closed paths.
    pub loops: Vec<Path>,
    /// Paths whose ends meet nothing near enough.
    pub loose: Vec<Path>,
}

/// Joins pieces that share ends, then closes gaps of up to `gap_m`, the narrowest first. `Err`
/// with the number of loose pieces where they are too many to make sense of.
pub(super) fn join(pieces: &[[Vec2; 2]], gap_m: f64) -> Result<Joined, usize> {
    let mut joined = by_shared_ends(pieces);
    close(&mut joined, SAME_POINT_M);
    if joined.loose.len() > MOST_LOOSE {
        return Err(joined.loose.len());
    }
    close(&mut joined, gap_m);
    Ok(joined)
}

/// A point by its bits; −0 and 0 are one.
fn key(point: &Vec2) -> [u64; 2] {
    [(point.x + 0.0).to_bits(), (point.y + 0.0).to_bits()]
}

/// Walks along pieces that share ends to the last bit. Wherever a walk comes back to a point that
/// it has passed, the round is taken off as a loop; what is left over is loose.
fn by_shared_ends(pieces: &[[Vec2; 2]]) -> Joined {
    let mut nodes: BTreeMap<[u64; 2], usize> = BTreeMap::new();
    let mut points: Vec<Vec2> = Vec::new();
    let mut edges: Vec<[usize; 2]> = Vec::new();
    for piece in pieces {
        let ends = [0, 1].map(|i| {
            *nodes.entry(key(&piece[i])).or_insert_with(|| {
                points.push(piece[i]);
                points.len() - 1
            })
        });
        if ends[0] != ends[1] {
            edges.push([ends[0].min(ends[1]), ends[0].max(ends[1])]);
        }
    }
    // A face that stands twice in the file is one.
    edges.sort_unstable();
    edges.dedup();
    let mut at_node: Vec<Vec<usize>> = vec![Vec::new(); points.len()];
    for (index, [a, b]) in edges.iter().enumerate() {
        at_node[*a].push(index);
        at_node[*b].push(index);
    }
    let mut walk = Walk {
        used: vec![false; edges.len()],
        on_path: vec![None; points.len()],
        joined: Joined::default(),
        edges: &edges,
        at_node: &at_node,
        points: &points,
    };
    // Loose ends first: a walk that begins in the middle of a loose piece would cut it in two.
    for node in (0..points.len()).filter(|&n| at_node[n].len() % 2 == 1) {
        walk.from(node);
    }
    for node in 0..points.len() {
        walk.from(node);
    }
    walk.joined
}

struct Walk<'a> {
    used: Vec<bool>,
    /// Where on the present path a node stands.
    on_path: Vec<Option<usize>>,
    joined: Joined,
    edges: &'a [[usize; 2]],
    at_node: &'a [Vec<usize>],
    points: &'a [Vec2],
}

impl Walk<'_> {
    fn from(&mut self, start: usize) {
        let mut path = vec![start];
        self.on_path[start] = Some(0);
        while let Some(&here) = path.last() {
            let Some(&edge) = self.at_node[here].iter().find(|&&e| !self.used[e]) else { break };
            self.used[edge] = true;
            let [a, b] = self.edges[edge];
            let next = if a == here { b } else { a };
            match self.on_path[next] {
                None => {
                    self.on_path[next] = Some(path.len());
                    path.push(next);
                }
                Some(since) => {
                    let points = path[since..].iter().map(|&n| self.points[n]).collect();
                    self.joined.loops.push(Path { points, gaps: Vec::new() });
                    for node in path.drain(since + 1..) {
                        self.on_path[node] = None;
                    }
                }
            }
        }
        for &node in &path {
            self.on_path[node] = None;
        }
        if path.len() > 1 {
            let points = path.iter().map(|&n| self.points[n]).collect();
            self.joined.loose.push(Path { points, gaps: Vec::new() });
        }
    }
}

/// Joins loose paths end to end where the ends are at most `gap_m` apart, the narrowest gap first.
fn close(joined: &mut Joined, gap_m: f64) {
    let mut paths: Vec<Option<Path>> = joined.loose.drain(..).map(Some).collect();
    // End 2i is the first point of path i, end 2i + 1 its last; `owner` says which path an end
    // belongs to by now, `None` once it is joined.
    let mut owner: Vec<Option<usize>> = (0..2 * paths.len()).map(|end| Some(end / 2)).collect();
    let ends: Vec<Vec2> =
        paths.iter().flatten().flat_map(|p| [p.points[0], p.points[p.points.len() - 1]]).collect();
    for (_, a, b) in pairs(&ends, gap_m) {
        let (Some(i), Some(j)) = (owner[a], owner[b]) else { continue };
        let gap = ClosedGap { from: ends[a], to: ends[b] };
        if i == j {
            let long = paths[i].as_ref().is_some_and(|p| p.length_m() >= SELF_CLOSING_RATIO * gap.width_m());
            if !long {
                continue;
            }
            if let Some(mut path) = paths[i].take() {
                note(&mut path, gap);
                joined.loops.push(path);
            }
            (owner[a], owner[b]) = (None, None);
            continue;
        }
        let (Some(mut first), Some(mut second)) = (paths[i].take(), paths[j].take()) else { continue };
        if first.points.first() == Some(&ends[a]) {
            first.points.reverse();
        }
        if second.points.last() == Some(&ends[b]) {
            second.points.reverse();
        }
        note(&mut first, gap);
        first.points.append(&mut second.points);
        first.gaps.append(&mut second.gaps);
        paths[i] = Some(first);
        for end in &mut owner {
            if *end == Some(j) {
                *end = Some(i);
            }
        }
        (owner[a], owner[b]) = (None, None);
    }
    joined.loose.extend(paths.into_iter().flatten());
}

/// A gap below [`SAME_POINT_M`] is a rounded coordinate, not a gap.
fn note(path: &mut Path, gap: ClosedGap) {
    if gap.width_m() > SAME_POINT_M {
        path.gaps.push(gap);
    }
}

/// All pairs of ends at most `gap_m` apart, nearest first, ties in order of the ends.
fn pairs(ends: &[Vec2], gap_m: f64) -> Vec<(f64, usize, usize)> {
    let mut order: Vec<usize> = (0..ends.len()).collect();
    order.sort_by(|&a, &b| ends[a].x.total_cmp(&ends[b].x).then(a.cmp(&b)));
    let mut pairs = Vec::new();
    for (at, &a) in order.iter().enumerate() {
        for &b in order[at + 1..].iter().take_while(|&&b| ends[b].x - ends[a].x <= gap_m) {
            let apart = (ends[b] - ends[a]).norm();
            if apart <= gap_m {
                pairs.push((apart, a.min(b), a.max(b)));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(points: &[(f64, f64)]) -> Vec<[Vec2; 2]> {
        let points: Vec<Vec2> = points.iter().map(|&(u, v)| Vec2::new(u, v)).collect();
        points.windows(2).map(|w| [w[0], w[1]]).collect()
    }

    const SQUARE: [(f64, f64); 5] = [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0), (0.0, 0.0)];

    #[test]
    fn a_loop_with_a_fin_keeps_both() {
        let mut pieces = line(&SQUARE);
        pieces.extend(line(&[(4.0, 3.0), (5.0, 4.0)]));
        pieces.reverse();
        let joined = join(&pieces, 0.1).unwrap();
        assert_eq!((joined.loops.len(), joined.loose.len()), (1, 1));
        assert!((joined.loops[0].area_m2().abs() - 12.0).abs() < 1e-12);
    }

    #[test]
    fn gaps_close_up_to_their_limit_and_are_counted() {
        let pieces = line(&[(0.0, 0.2), (0.0, 3.0), (4.0, 3.0), (4.0, 0.0), (0.2, 0.0)]);
        let joined = join(&pieces, 0.3).unwrap();
        assert_eq!((joined.loops.len(), joined.loose.len()), (1, 0));
        assert_eq!(joined.loops[0].gaps.len(), 1);
        assert!((joined.loops[0].gaps[0].width_m() - 0.08f64.sqrt()).abs() < 1e-12);
        assert!((joined.loops[0].area_m2().abs() - (12.0 - 0.02)).abs() < 1e-12);
        let joined = join(&pieces, 0.28).unwrap();
        assert_eq!((joined.loops.len(), joined.loose.len()), (0, 1));
    }

    #[test]
    fn a_scrap_inside_a_hole_bridges_it() {
        let mut pieces = line(&[(0.0, 0.0), (0.0, 3.0), (4.0, 3.0), (4.0, 0.0), (2.0, 0.0)]);
        // 0.1 m long, in the middle of what is missing: its own ends are nearest to each other.
        pieces.extend(line(&[(0.95, 0.0), (1.05, 0.0)]));
        let joined = join(&pieces, 1.0).unwrap();
        assert_eq!((joined.loops.len(), joined.loose.len()), (1, 0));
        assert_eq!(joined.loops[0].gaps.len(), 2);
        assert!((joined.loops[0].area_m2().abs() - 12.0).abs() < 1e-12);
    }

    #[test]
    fn rounded_coordinates_are_no_gaps_and_twice_the_same_face_is_one() {
        let shift = |(u, v): (f64, f64), by: f64| (u + by, v - by);
        let mut pieces = Vec::new();
        for (i, pair) in SQUARE.windows(2).enumerate() {
            let by = 2e-4 * i as f64;
            pieces.extend(line(&[shift(pair[0], by), shift(pair[1], by)]));
        }
        pieces.push(pieces[0]);
        let joined = join(&pieces, 0.0).unwrap();
        assert_eq!((joined.loops.len(), joined.loose.len()), (1, 0));
        assert!(joined.loops[0].gaps.is_empty());
    }
}
