//! The largest wedge under caps, by a dense grid over the apexes and finer grids at its best.

use super::section::first_hit;
use super::{Input, Wedge, edges, inward_normals, largest_apex, wedge_at};

/// Caps; `None` means no cap. Traces are per set of the triple.
#[derive(Clone, Debug, Default)]
pub struct Caps {
    pub traces_m: [Option<f64>; 3],
    pub depth_m: Option<f64>,
    pub length_m: Option<f64>,
    pub volume_m3: Option<f64>,
}

impl Caps {
    /// A finite wedge that meets every cap (equality counts, to rounding).
    pub fn admit(&self, w: &Wedge) -> bool {
        let under = |x: f64, cap: Option<f64>| cap.is_none_or(|c| x <= c * (1.0 + 1e-12));
        w.finite
            && (0..3).all(|i| under(w.traces_m[i], self.traces_m[i]))
            && under(w.depth_m, self.depth_m)
            && under(w.length_m, self.length_m)
            && under(w.volume_m3, self.volume_m3)
    }
}

/// Rounds of finer grids; each divides the spacing by ten, so 1/n becomes 1/(n * 1e5).
const ROUNDS: usize = 5;
/// Local maxima of the coarse grid that are followed up.
const FOLLOWED: usize = 12;

/// Best admissible apex and its volume, over an n by n grid of the region of finite apexes.
///
/// The region lies in the triangle of the uncapped largest apex and its two tangent points.
/// Lines run through it from the two sides at that apex to the chord, along a direction inside
/// the pyramid: the wedge shrinks strictly along such a line, so the first admissible apex on it is
/// its best. Steps of 1/n find the interval of that apex, bisection its place; a window of
/// admissible apexes narrower than a step can be overlooked.
pub fn dense_largest(
    input: &Input,
    sets: [usize; 3],
    pyramid: [u8; 3],
    caps: &Caps,
    n: usize,
) -> Option<([f64; 2], f64)> {
    dense_largest_in(input, sets, pyramid, caps, Effort { n, rounds: ROUNDS, followed: FOLLOWED })
}

/// How hard [`dense_largest_in`] looks.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    /// Lines through the region, and steps along each.
    pub n: usize,
    /// Finer grids.
    pub rounds: usize,
    /// Local maxima that get them.
    pub followed: usize,
}

/// As [`dense_largest`], with its effort given.
pub fn dense_largest_in(
    input: &Input,
    sets: [usize; 3],
    pyramid: [u8; 3],
    caps: &Caps,
    effort: Effort,
) -> Option<([f64; 2], f64)> {
    let Effort { n, rounds, followed } = effort;
    let (apex, [p, q]) = largest_apex(input, sets, pyramid)?;
    let e = edges(inward_normals(input, sets, pyramid));
    let mid = [0.5 * (p[0] + q[0]) - apex[0], 0.5 * (p[1] + q[1]) - apex[1]];
    // any direction inside the sector serves; the one to the middle of the chord is inside
    debug_assert!(e.iter().all(|x| x[0] * x[0] + x[1] * x[1] > 0.0));
    // s from 0 (at p) over 1 (at the apex) to 2 (at q) along the two sides
    let start = |s: f64| {
        let (end, f) = if s < 1.0 { (p, 1.0 - s) } else { (q, s - 1.0) };
        [apex[0] + f * (end[0] - apex[0]), apex[1] + f * (end[1] - apex[1])]
    };
    let line = |s: f64| -> Option<([f64; 2], f64)> {
        let a = start(s);
        let run = first_hit(&input.section, a, mid)?;
        let at = |t: f64| [a[0] + t * run * mid[0], a[1] + t * run * mid[1]];
        let good = |t: f64| {
            let w = wedge_at(input, sets, pyramid, at(t));
            (caps.admit(&w), w.volume_m3)
        };
        let first = (0..n).find(|&k| good(k as f64 / n as f64).0)?;
        let (mut bad, mut ok) = ((first as f64 - 1.0) / n as f64, first as f64 / n as f64);
        if first > 0 {
            for _ in 0..40 {
                let half = 0.5 * (bad + ok);
                if good(half).0 {
                    ok = half;
                } else {
                    bad = half;
                }
            }
        }
        Some((at(ok), good(ok).1))
    };
    let mut step = 2.0 / n as f64;
    let coarse: Vec<f64> = (0..=n).map(|k| k as f64 * step).collect();
    let found: Vec<_> = coarse.iter().map(|&s| line(s)).collect();
    let volume = |k: usize| found[k].map_or(-1.0, |x| x.1);
    let mut peaks: Vec<usize> = (0..=n)
        .filter(|&k| {
            volume(k) >= 0.0
                && (k == 0 || volume(k) >= volume(k - 1))
                && (k == n || volume(k) >= volume(k + 1))
        })
        .collect();
    peaks.sort_by(|&a, &b| volume(b).total_cmp(&volume(a)));
    peaks.truncate(followed);
    let mut centres: Vec<f64> = peaks.iter().map(|&k| coarse[k]).collect();
    let mut best = peaks.first().and_then(|&k| found[k])?;
    for _ in 0..rounds {
        let fine = step / 10.0;
        for c in centres.iter_mut() {
            let mut top = (-1.0, *c);
            for k in -10..=10 {
                let s = (*c + k as f64 * fine).clamp(0.0, 2.0);
                if let Some(x) = line(s) {
                    if x.1 > top.0 {
                        top = (x.1, s);
                    }
                    if x.1 > best.1 {
                        best = x;
                    }
                }
            }
            *c = top.1;
        }
        step = fine;
    }
    Some(best)
}
