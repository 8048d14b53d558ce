//! Sections as polygons, and what follows from the polygon alone.

use super::{Input, ZERO_M};

/// Greatest sagitta of a chord, m.
const SAGITTA_M: f64 = 1e-3;

/// Rectangle.
pub fn flat(width_m: f64, height_m: f64) -> Vec<[f64; 2]> {
    let b = width_m / 2.0;
    vec![[-b, 0.0], [b, 0.0], [b, height_m], [-b, height_m]]
}

/// Walls and a circular arc through both springlines.
pub fn arched(width_m: f64, wall_height_m: f64, rise_m: f64) -> Vec<[f64; 2]> {
    let b = width_m / 2.0;
    let radius = (b * b + rise_m * rise_m) / (2.0 * rise_m);
    let half = 2.0 * (rise_m / b).atan();
    let n = chords(radius, half);
    let centre = wall_height_m + rise_m - radius;
    let mut out = vec![[-b, 0.0], [b, 0.0], [b, wall_height_m]];
    for k in 1..n {
        let a = half - 2.0 * half * k as f64 / n as f64;
        let x = if 2 * k == n { 0.0 } else { radius * a.sin() };
        out.push([x, centre + radius * a.cos()]);
    }
    out.push([-b, wall_height_m]);
    out
}

/// Circle that touches the floor's origin.
pub fn circular(diameter_m: f64) -> Vec<[f64; 2]> {
    let radius = diameter_m / 2.0;
    let n = chords(radius, std::f64::consts::PI);
    (0..n)
        .map(|k| {
            let a = 2.0 * std::f64::consts::PI * k as f64 / n as f64;
            [-radius * a.sin(), radius + radius * a.cos()]
        })
        .collect()
}

/// Least even number of equal chords over twice the half angle with a sagitta of at most 1 mm.
fn chords(radius: f64, half: f64) -> usize {
    (1..).map(|k| 2 * k).find(|&n| radius - radius * (half / n as f64).cos() <= SAGITTA_M).unwrap()
}

/// Ends of facet j.
pub fn facet(section: &[[f64; 2]], j: usize) -> ([f64; 2], [f64; 2]) {
    (section[j], section[(j + 1) % section.len()])
}

/// Outward unit normal of facet j, (u, v).
pub fn normal(section: &[[f64; 2]], j: usize) -> [f64; 2] {
    let (a, b) = facet(section, j);
    let l = (b[0] - a[0]).hypot(b[1] - a[1]);
    [(b[1] - a[1]) / l, (a[0] - b[0]) / l]
}

/// Height of a point above facet j, m; positive in the rock.
pub fn height(section: &[[f64; 2]], j: usize, p: [f64; 2]) -> f64 {
    let n = normal(section, j);
    n[0] * (p[0] - section[j][0]) + n[1] * (p[1] - section[j][1])
}

/// Shortest distance from a point to the section's outline, m.
pub fn distance(section: &[[f64; 2]], p: [f64; 2]) -> f64 {
    (0..section.len())
        .map(|j| {
            let (a, b) = facet(section, j);
            let d = [b[0] - a[0], b[1] - a[1]];
            let t = ((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / (d[0] * d[0] + d[1] * d[1]);
            let t = t.clamp(0.0, 1.0);
            (a[0] + t * d[0] - p[0]).hypot(a[1] + t * d[1] - p[1])
        })
        .fold(f64::INFINITY, f64::min)
}

/// First step t >= 0 at which p + t * d is in the section; a miss by at most 1e-9 m counts.
pub fn first_hit(section: &[[f64; 2]], p: [f64; 2], d: [f64; 2]) -> Option<f64> {
    let (mut from, mut to) = (0.0_f64, f64::INFINITY);
    for j in 0..section.len() {
        let n = normal(section, j);
        let h = height(section, j, p) - ZERO_M;
        let rate = n[0] * d[0] + n[1] * d[1];
        if rate < 0.0 {
            from = from.max(h / -rate);
        } else if rate > 0.0 {
            to = to.min(-h / rate);
        } else if h > 0.0 {
            return None;
        }
    }
    (from <= to).then_some(from)
}

/// Surface of a facet; its 30 degrees are from true level, so a steep drive needs its plunge.
pub fn surface(input: &Input, j: usize) -> &'static str {
    let n = normal(&input.section, j);
    let rise_deg = (n[1] * input.plunge_deg.to_radians().cos()).asin().to_degrees();
    if rise_deg > 30.0 {
        "back"
    } else if rise_deg < -30.0 {
        "floor"
    } else if n[0] < 0.0 {
        "left wall"
    } else {
        "right wall"
    }
}
