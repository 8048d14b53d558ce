//! Which loop of a cut is the heading, and where it has a hole.

use super::ScanError;
use super::join::{Joined, Path};
use crate::opening::Vec2;

/// The floor that was scanned may lie this far above or below the drive's axis (muck, a floor
/// that broke deep), metres; a cut that is further off is another heading, or the origin is wrong.
pub const FLOOR_OFF_M: f64 = 1.0;

/// A piece that is narrower than this, metres, counts as so wide where places on it are compared with
/// its size.
const LEAST_BOUND_M: f64 = 1e-9;

/// What of a cut is not the heading: other drives, equipment, scraps.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LeftOut {
    /// Further closed loops.
    pub loops: usize,
    /// Their areas, square metres, added up.
    pub loops_area_m2: f64,
    /// Open pieces.
    pub pieces: usize,
    /// Length of the longest open piece, metres.
    pub longest_piece_m: f64,
}

/// The loop round the drive's axis, and what is left out besides.
///
/// The axis is the middle of the floor, so it lies on the loop and not inside: what is asked for
/// is that the upright line over it runs through the loop's inside within [`FLOOR_OFF_M`] of the
/// axis. Of several such loops the one of greatest area is taken: a wider opening never hides a
/// wedge.
pub(super) fn heading(joined: Joined) -> Result<(Path, LeftOut), ScanError> {
    let Joined { mut loops, loose } = joined;
    let lengths: Vec<f64> = loose.iter().map(Path::length_m).collect();
    let longest = longest_of(&lengths, |_| true);
    let mut best: Option<(usize, f64)> = None;
    for (index, candidate) in loops.iter().enumerate() {
        let area = candidate.area_m2().abs();
        if near_axis(&candidate.points) && best.is_none_or(|(_, most)| area > most) {
            best = Some((index, area));
        }
    }
    let chosen = best.map(|(index, _)| index);
    let open = longest_of(&lengths, |i| near_axis(&loose[i].points));
    let Some(index) = chosen else {
        let widest = loops.iter().max_by(|a, b| a.area_m2().abs().total_cmp(&b.area_m2().abs()));
        return Err(match (open.or(longest), widest) {
            // A heading that is closed, but elsewhere: its scraps are not what is wrong.
            (Some(line), Some(heading)) if open.is_none() && perimeter(heading) > lengths[line] => {
                off_axis(heading)
            }
            (Some(line), _) => hole(&loose, line),
            (None, Some(heading)) => off_axis(heading),
            (None, None) => ScanError::NothingMet,
        });
    };
    // Something small that stands on the axis is no heading while a longer line round it lies open.
    if let Some(open) = open.filter(|&open| lengths[open] > perimeter(&loops[index])) {
        return Err(hole(&loose, open));
    }
    let mut path = loops.remove(index);
    if path.area_m2() < 0.0 {
        path.points.reverse();
    }
    let left_out = LeftOut {
        loops: loops.len(),
        loops_area_m2: loops.iter().map(|l| l.area_m2().abs()).sum(),
        pieces: loose.len(),
        longest_piece_m: longest.map_or(0.0, |l| lengths[l]),
    };
    Ok((path, left_out))
}

/// Length round a closed path, metres.
fn perimeter(path: &Path) -> f64 {
    path.length_m() + path.points.first().zip(path.points.last()).map_or(0.0, |(a, b)| (a - b).norm())
}

fn off_axis(path: &Path) -> ScanError {
    let (low, high) = bounds(&path.points).unwrap_or_default();
    ScanError::OffAxis { low, high }
}

/// The longest of the lengths that are asked for, the first among equals.
fn longest_of(lengths: &[f64], asked: impl Fn(usize) -> bool) -> Option<usize> {
    (0..lengths.len()).filter(|&i| asked(i)).reduce(|a, b| if lengths[b] > lengths[a] { b } else { a })
}

/// Whether a line, closed straight where it is open, begins near the axis.
fn near_axis(points: &[Vec2]) -> bool {
    off_axis_m(points).is_some_and(|off| off <= FLOOR_OFF_M)
}

/// How far above or below v = 0 the inside of a loop begins on the line u = 0; `None` where the
/// line does not meet it.
fn off_axis_m(points: &[Vec2]) -> Option<f64> {
    let mut met: Vec<f64> = Vec::new();
    for (i, a) in points.iter().enumerate() {
        let b = &points[(i + 1) % points.len()];
        if (a.x < 0.0) != (b.x < 0.0) {
            met.push(a.y + (b.y - a.y) * (a.x / (a.x - b.x)));
        }
    }
    met.sort_by(f64::total_cmp);
    met.chunks_exact(2).map(|pair| pair[0].max(-pair[1]).max(0.0)).min_by(f64::total_cmp)
}

pub(super) fn bounds(points: &[Vec2]) -> Option<(Vec2, Vec2)> {
    let first = *points.first()?;
    Some(points.iter().fold((first, first), |(low, high), p| (low.inf(p), high.sup(p))))
}

/// The hole at an end of the longest open piece: to the nearest other end, which may be its own.
fn hole(loose: &[Path], longest: usize) -> ScanError {
    let ends = |path: &Path| [path.points[0], path.points[path.points.len() - 1]];
    let [from, other] = ends(&loose[longest]);
    let mut to = other;
    for (index, path) in loose.iter().enumerate() {
        for end in ends(path) {
            if index != longest && (end - from).norm() < (to - from).norm() {
                to = end;
            }
        }
    }
    let (low, high) = bounds(&loose[longest].points).unwrap_or_default();
    let middle = 0.5 * (from + to);
    // Which quarter of the piece's own bounds the hole lies in.
    let off = (middle - 0.5 * (low + high)).component_div(&(high - low).sup(&Vec2::repeat(LEAST_BOUND_M)));
    let place = match (off.x.abs() > off.y.abs(), off.x < 0.0, off.y < 0.0) {
        (true, true, _) => "left side",
        (true, false, _) => "right side",
        (false, _, true) => "floor",
        (false, _, false) => "back",
    };
    ScanError::Hole { from, to, place, pieces: loose.len() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn path(points: &[(f64, f64)]) -> Path {
        Path { points: points.iter().map(|&(u, v)| Vec2::new(u, v)).collect(), gaps: Vec::new() }
    }

    fn square(u: f64, v: f64, size: f64) -> Path {
        path(&[(u, v), (u, v + size), (u + size, v + size), (u + size, v)])
    }

    #[test]
    fn the_heading_is_the_loop_over_the_axis_and_the_widest_of_them() {
        let joined = Joined {
            loops: vec![square(10.0, 0.0, 6.0), square(-0.2, 0.1, 0.5), square(-2.0, 0.3, 4.0)],
            loose: vec![path(&[(1.0, 1.0), (1.0, 1.5)])],
        };
        let (found, left_out) = heading(joined).unwrap();
        assert!((found.area_m2() - 16.0).abs() < 1e-12, "counter-clockwise");
        assert_eq!((left_out.loops, left_out.pieces), (2, 1));
        assert!((left_out.loops_area_m2 - 36.25).abs() < 1e-12);
        assert!((left_out.longest_piece_m - 0.5).abs() < 1e-12);
    }

    #[test]
    fn an_open_line_beside_the_heading_does_no_harm_and_one_round_it_does() {
        let open = |u: f64| path(&[(u - 4.0, 0.0), (u - 4.0, 8.0), (u + 4.0, 8.0), (u + 4.0, 0.0)]);
        let with = |u: f64| heading(Joined { loops: vec![square(-2.0, 0.0, 4.0)], loose: vec![open(u)] });
        assert_eq!(with(30.0).unwrap().1.pieces, 1);
        assert!(matches!(with(0.0), Err(ScanError::Hole { place: "floor", .. })));
    }

    #[test]
    fn a_loop_beside_or_above_the_axis_is_not_the_heading() {
        for aside in [square(3.0, 0.0, 4.0), square(-2.0, 1.1, 4.0), square(-2.0, -5.1, 4.0)] {
            for loose in [Vec::new(), vec![path(&[(-9.0, 1.0), (-9.0, 1.5)])]] {
                let joined = Joined { loops: vec![aside.clone()], loose };
                assert!(matches!(heading(joined), Err(ScanError::OffAxis { .. })));
            }
        }
    }

    #[test]
    fn a_hole_is_named_by_where_it_is() {
        let open = path(&[(-2.0, 0.0), (-2.0, 4.0), (2.0, 4.0), (2.0, 0.0)]);
        let turned = |k: f64| Path {
            points: open.points.iter().map(|p| Vec2::new(k * (p.y - 2.0), k * p.x + 2.0)).collect(),
            gaps: Vec::new(),
        };
        let place =
            |loose: Path| match heading(Joined { loops: vec![square(-0.5, 0.0, 1.0)], loose: vec![loose] }) {
                Err(ScanError::Hole { place, from, to, .. }) => (place, (to - from).norm()),
                other => panic!("{other:?}"),
            };
        assert_eq!(place(open.clone()), ("floor", 4.0));
        assert_eq!(place(turned(1.0)).0, "left side");
        assert_eq!(place(turned(-1.0)).0, "right side");
    }
}
