//! Lines of equal value on the net.

use std::collections::HashMap;

use super::grid::NetGrid;
use crate::orientation::Vec3;

/// A line of equal density on the lower hemisphere.
#[derive(Debug, Clone, PartialEq)]
pub struct Contour {
    /// The value along the line: for a density, multiples of the expected deviation.
    pub level: f64,
    /// Unit vectors that point down, in the order of the line.
    pub points: Vec<Vec3>,
    /// True when the last point joins the first; otherwise both ends lie on the rim.
    pub closed: bool,
}

/// Levels at every second multiple of the expected deviation from 2 up, at most `most`; the
/// step doubles until they are few enough.
#[must_use]
pub fn contour_levels(greatest: f64, most: usize) -> Vec<f64> {
    let mut step = 2.0;
    #[allow(clippy::cast_precision_loss)] // a handful of levels
    while greatest / step > most.max(1) as f64 + 1.0 {
        step *= 2.0;
    }
    let mut levels = Vec::new();
    let mut level = step;
    while level < greatest && levels.len() < most {
        levels.push(level);
        level += step;
    }
    levels
}

/// An edge between two neighbouring grid points, by the lower point and the way it runs.
type Edge = (usize, bool);

/// Traces the line of `level` over the grid by marching squares, straight between grid edges,
/// and cuts it at the rim.
#[must_use]
pub fn trace_contours(grid: &NetGrid, level: f64) -> Vec<Contour> {
    let segments = segments(grid, level);
    let lines = join(&segments);
    let mut contours = Vec::new();
    for (edges, closed) in lines {
        let places: Vec<[f64; 2]> = edges.iter().map(|&e| crossing(grid, level, e)).collect();
        for (part, closed) in cut_at_rim(&places, closed) {
            let points: Vec<Vec3> =
                part.iter().filter_map(|&place| grid.projection.from_net(place)).collect();
            if points.len() > 1 {
                contours.push(Contour { level, points, closed });
            }
        }
    }
    contours
}

fn segments(grid: &NetGrid, level: f64) -> Vec<(Edge, Edge)> {
    let side = grid.side;
    let mut segments = Vec::new();
    for row in 0..side - 1 {
        for column in 0..side - 1 {
            let at = row * side + column;
            let corners = [at, at + 1, at + side + 1, at + side];
            let high = corners.map(|c| grid.values[c] >= level);
            // Bottom, right, top, left.
            let edges: [Edge; 4] = [(at, true), (at + 1, false), (at + side, true), (at, false)];
            let crossed: Vec<usize> = (0..4).filter(|&e| high[e] != high[(e + 1) % 4]).collect();
            match crossed[..] {
                [a, b] => segments.push((edges[a], edges[b])),
                [_, _, _, _] => {
                    // A saddle: the middle says which corners hang together.
                    let middle = corners.iter().map(|&c| grid.values[c]).sum::<f64>() / 4.0;
                    let pairs =
                        if high[0] == (middle >= level) { [(0, 1), (2, 3)] } else { [(3, 0), (1, 2)] };
                    for (a, b) in pairs {
                        segments.push((edges[a], edges[b]));
                    }
                }
                _ => {}
            }
        }
    }
    segments
}

/// Chains segments that share an edge: each edge belongs to one or two of them.
fn join(segments: &[(Edge, Edge)]) -> Vec<(Vec<Edge>, bool)> {
    let mut at_edge: HashMap<Edge, Vec<usize>> = HashMap::new();
    for (index, (a, b)) in segments.iter().enumerate() {
        at_edge.entry(*a).or_default().push(index);
        at_edge.entry(*b).or_default().push(index);
    }
    let mut used = vec![false; segments.len()];
    let mut lines = Vec::new();
    // Open lines first, from their ends, then the closed ones; in the order of the grid, never
    // in the order of a hash.
    let is_end = |edge: Edge| at_edge.get(&edge).is_some_and(|s| s.len() == 1);
    let follow = |first: usize, from: Edge, used: &mut Vec<bool>| {
        let mut line = vec![from];
        let mut segment = first;
        let mut edge = from;
        loop {
            used[segment] = true;
            let (a, b) = segments[segment];
            edge = if a == edge { b } else { a };
            line.push(edge);
            let next = at_edge.get(&edge).and_then(|around| around.iter().copied().find(|&s| !used[s]));
            match next {
                Some(next) => segment = next,
                None => return line,
            }
        }
    };
    for (index, &(a, b)) in segments.iter().enumerate() {
        if used[index] {
            continue;
        }
        if is_end(a) {
            lines.push((follow(index, a, &mut used), false));
        } else if is_end(b) {
            lines.push((follow(index, b, &mut used), false));
        }
    }
    for (index, &(a, _)) in segments.iter().enumerate() {
        if !used[index] {
            let mut line = follow(index, a, &mut used);
            line.pop();
            lines.push((line, true));
        }
    }
    lines
}

/// Where the level crosses a grid edge.
fn crossing(grid: &NetGrid, level: f64, (at, along_row): Edge) -> [f64; 2] {
    let other = if along_row { at + 1 } else { at + grid.side };
    let place = |i: usize| grid.place(i % grid.side, i / grid.side);
    let (from, to) = (grid.values[at], grid.values[other]);
    let share = ((level - from) / (to - from)).clamp(0.0, 1.0);
    let (a, b) = (place(at), place(other));
    [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])]
}

/// The parts of a line inside the unit circle.
fn cut_at_rim(line: &[[f64; 2]], closed: bool) -> Vec<(Vec<[f64; 2]>, bool)> {
    let inside = |p: &[f64; 2]| p[0] * p[0] + p[1] * p[1] <= 1.0;
    if line.iter().all(inside) {
        return vec![(line.to_vec(), closed)];
    }
    let Some(outside) = line.iter().position(|p| !inside(p)) else {
        return Vec::new();
    };
    // A closed line is walked once round from a point outside, so that no part is split there.
    let walk: Vec<[f64; 2]> = if closed {
        line[outside..].iter().chain(&line[..=outside]).copied().collect()
    } else {
        line.to_vec()
    };
    let mut parts = Vec::new();
    let mut part: Vec<[f64; 2]> = Vec::new();
    if let Some(first) = walk.first().filter(|p| inside(p)) {
        part.push(*first);
    }
    for pair in walk.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        match (inside(&a), inside(&b)) {
            (true, true) => part.push(b),
            (true, false) => {
                part.push(rim_between(a, b));
                parts.push((std::mem::take(&mut part), false));
            }
            (false, true) => {
                part = vec![rim_between(b, a), b];
            }
            // A segment is a cell long at most; what it may cut off the rim is invisible.
            (false, false) => {}
        }
    }
    if part.len() > 1 {
        parts.push((part, false));
    }
    parts
}

/// The point of the unit circle on the way from a point inside to one outside.
fn rim_between(inside: [f64; 2], outside: [f64; 2]) -> [f64; 2] {
    let d = [outside[0] - inside[0], outside[1] - inside[1]];
    let a = d[0] * d[0] + d[1] * d[1];
    let b = inside[0] * d[0] + inside[1] * d[1];
    let c = inside[0] * inside[0] + inside[1] * inside[1] - 1.0;
    let share = if a > 0.0 { (-b + (b * b - a * c).max(0.0).sqrt()) / a } else { 0.0 };
    let point = [inside[0] + share * d[0], inside[1] + share * d[1]];
    let radius = point[0].hypot(point[1]);
    [point[0] / radius, point[1] / radius]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::{Line, Projection};
    use crate::survey::density::KambDensity;

    fn grid_of(lines: &[(f64, f64)]) -> (KambDensity, NetGrid) {
        let axes: Vec<(Vec3, f64)> = lines
            .iter()
            .map(|&(trend_deg, plunge_deg)| {
                let line = Line { trend_deg, plunge_deg };
                (line.to_vector().into_inner(), 1.0)
            })
            .collect();
        let density = KambDensity::new(&axes, 3.0).unwrap();
        let grid = NetGrid::of_density(&density, Projection::EqualArea, 121);
        (density, grid)
    }

    #[test]
    fn contours_lie_on_their_level_and_point_down() {
        let (density, grid) = grid_of(&[
            (40.0, 30.0),
            (45.0, 33.0),
            (50.0, 28.0),
            (200.0, 70.0),
            (205.0, 60.0),
            (120.0, 3.0),
            (300.0, 4.0),
            (122.0, 5.0),
        ]);
        let levels = contour_levels(grid.greatest(), 6);
        assert!(!levels.is_empty());
        for &level in &levels {
            let contours = trace_contours(&grid, level);
            assert!(!contours.is_empty());
            for contour in contours {
                for point in &contour.points {
                    assert!((point.norm() - 1.0).abs() < 1e-12 && point.z <= 1e-9);
                    // Straight lines across a cell of 1/60 of the net: a hundredth of the range.
                    let error = (density.at(point) - level).abs();
                    assert!(error < 0.01 * grid.greatest(), "{error} at {point:?}");
                }
                if !contour.closed {
                    for end in [contour.points.first(), contour.points.last()] {
                        assert!(end.unwrap().z.abs() < 1e-9, "open ends lie on the rim");
                    }
                }
            }
        }
    }

    #[test]
    fn one_cluster_gives_one_closed_line() {
        let (_, grid) = grid_of(&[(90.0, 60.0), (95.0, 62.0), (85.0, 58.0)]);
        let contours = trace_contours(&grid, grid.greatest() / 2.0);
        assert_eq!(contours.len(), 1);
        assert!(contours[0].closed);
    }

    #[test]
    fn levels_are_few_and_below_the_greatest() {
        assert_eq!(contour_levels(9.0, 6), [2.0, 4.0, 6.0, 8.0]);
        assert_eq!(contour_levels(1.5, 6), Vec::<f64>::new());
        assert!(contour_levels(900.0, 6).len() <= 6);
    }
}
