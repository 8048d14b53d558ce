//! Which pixels an area covers, and by how much.
//!
//! plotters' own rasterizer works on whole pixels: thin lines get steps and letters stand
//! unevenly. This one keeps fractions and hands plotters' bitmap the coverage as opacity.

use super::Point;

/// Rows of samples in each row of pixels. Along a row the coverage is exact.
const SAMPLES_PER_ROW: i64 = 16;

/// Some pixels side by side that are covered by the same share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Span {
    pub row: i32,
    /// First pixel.
    pub from: i32,
    /// One past the last pixel.
    pub to: i32,
    /// 0 to 1.
    pub coverage: f64,
}

struct Edge {
    top: f64,
    bottom: f64,
    x_at_top: f64,
    x_per_row: f64,
    winding: i32,
}

/// The pixels of a picture of `width` by `height` that the polygons cover: everything that they
/// wind round at least once in the sum. Coordinates in pixels, which begin at whole numbers.
pub(super) fn cover(polygons: &[Vec<Point>], width: i32, height: i32, mut emit: impl FnMut(Span)) {
    let mut edges = edges(polygons);
    edges.sort_by(|a, b| a.top.total_cmp(&b.top));
    let (Some(first), Some(last)) =
        (edges.first().map(|e| e.top), edges.iter().map(|e| e.bottom).max_by(f64::total_cmp))
    else {
        return;
    };
    let first_row = (first.floor().max(0.0)) as i32;
    let last_row = (last.ceil().min(f64::from(height))) as i32;
    let mut shares = vec![0.0_f64; width.max(0) as usize];
    let mut active: Vec<usize> = Vec::new();
    let mut next = 0;
    let mut crossings: Vec<(f64, i32)> = Vec::new();
    for row in first_row..last_row {
        let (row_top, row_bottom) = (f64::from(row), f64::from(row) + 1.0);
        while next < edges.len() && edges[next].top < row_bottom {
            active.push(next);
            next += 1;
        }
        active.retain(|&i| edges[i].bottom > row_top);
        if active.is_empty() {
            continue;
        }
        let mut touched: Option<(usize, usize)> = None;
        for sample in 0..SAMPLES_PER_ROW {
            let y = row_top + (sample as f64 + 0.5) / SAMPLES_PER_ROW as f64;
            crossings.clear();
            crossings.extend(
                active
                    .iter()
                    .map(|&i| &edges[i])
                    .filter(|e| e.top <= y && y < e.bottom)
                    .map(|e| (e.x_at_top + (y - e.top) * e.x_per_row, e.winding)),
            );
            crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mut winding = 0;
            let mut begin = 0.0;
            for &(x, turn) in &crossings {
                let before = winding;
                winding += turn;
                if before == 0 {
                    begin = x;
                } else if winding == 0
                    && let Some((a, b)) = add_run(&mut shares, begin, x)
                {
                    touched = Some(touched.map_or((a, b), |(p, q)| (p.min(a), q.max(b))));
                }
            }
        }
        if let Some((from, to)) = touched {
            emit_row(&mut shares[from..to], row, from as i32, &mut emit);
        }
    }
}

fn edges(polygons: &[Vec<Point>]) -> Vec<Edge> {
    let mut edges = Vec::new();
    for polygon in polygons {
        let next = polygon.iter().cycle().skip(1);
        for (&a, &b) in polygon.iter().zip(next) {
            let (upper, lower, winding) = if a[1] < b[1] { (a, b, 1) } else { (b, a, -1) };
            // Level edges bound no row.
            if upper[1] < lower[1] {
                edges.push(Edge {
                    top: upper[1],
                    bottom: lower[1],
                    x_at_top: upper[0],
                    x_per_row: (lower[0] - upper[0]) / (lower[1] - upper[1]),
                    winding,
                });
            }
        }
    }
    edges
}

/// Adds one row of samples between two places to the pixels' shares and gives the pixels it
/// touched.
fn add_run(shares: &mut [f64], begin: f64, end: f64) -> Option<(usize, usize)> {
    let width = shares.len() as f64;
    let (begin, end) = (begin.clamp(0.0, width), end.clamp(0.0, width));
    if begin >= end {
        return None;
    }
    let weight = 1.0 / SAMPLES_PER_ROW as f64;
    let (first, past) = (begin.floor() as usize, end.ceil() as usize);
    for (pixel, share) in shares.iter_mut().enumerate().take(past).skip(first) {
        let left = begin.max(pixel as f64);
        let right = end.min(pixel as f64 + 1.0);
        *share += weight * (right - left).max(0.0);
    }
    Some((first, past))
}

/// Hands on a row's shares as spans and clears them.
fn emit_row(shares: &mut [f64], row: i32, offset: i32, emit: &mut impl FnMut(Span)) {
    let mut open: Option<Span> = None;
    for (pixel, share) in (offset..).zip(shares.iter_mut()) {
        let coverage = std::mem::take(share).min(1.0);
        match &mut open {
            Some(span) if span.coverage == coverage => span.to = pixel + 1,
            _ => {
                if let Some(span) = open.take().filter(|s| s.coverage > 0.0) {
                    emit(span);
                }
                open = Some(Span { row, from: pixel, to: pixel + 1, coverage });
            }
        }
    }
    if let Some(span) = open.filter(|s| s.coverage > 0.0) {
        emit(span);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(polygons: &[Vec<Point>]) -> f64 {
        let mut sum = 0.0;
        cover(polygons, 40, 40, |s| {
            sum += s.coverage * f64::from(s.to - s.from);
        });
        sum
    }

    #[test]
    fn the_coverage_adds_up_to_the_area() {
        // Corners on sixteenths of a row, where the samples are exact.
        let square = vec![[2.25, 3.5], [12.75, 3.5], [12.75, 9.25], [2.25, 9.25]];
        assert!((area(&[square]) - 10.5 * 5.75).abs() < 1e-9);
        let triangle = vec![[0.0, 0.0], [32.0, 0.0], [0.0, 32.0]];
        // Midpoint samples are exact for straight edges.
        assert!((area(&[triangle]) - 512.0).abs() < 1e-9);
    }

    #[test]
    fn overlaps_count_once_and_holes_not_at_all() {
        let big = vec![[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]];
        let shifted: Vec<Point> = big.iter().map(|p| [p[0] + 5.0, p[1]]).collect();
        assert!((area(&[big.clone(), shifted]) - 150.0).abs() < 1e-9);
        let hole = vec![[2.0, 2.0], [2.0, 4.0], [4.0, 4.0], [4.0, 2.0]];
        assert!((area(&[big, hole]) - 96.0).abs() < 1e-9);
    }

    #[test]
    fn what_lies_off_the_picture_is_cut() {
        let square = vec![[-5.0, -5.0], [5.0, -5.0], [5.0, 5.0], [-5.0, 5.0]];
        assert!((area(&[square]) - 25.0).abs() < 1e-9);
        let far = vec![[50.0, 50.0], [60.0, 50.0], [60.0, 60.0]];
        assert_eq!(area(&[far]), 0.0);
        assert_eq!(area(&[]), 0.0);
    }
}
