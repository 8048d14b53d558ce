//! The surfaces of an unrolled drive, and the numbers of its axes.

use crate::opening::Surface;
use crate::study::Check;

/// Arc lengths at which facets of two surfaces, or at a corner, meet; whether it is a corner.
pub(super) fn boundaries(check: &Check, [low, high]: [f64; 2]) -> Vec<(f64, bool)> {
    let section = &check.opening.section;
    let n = section.facets().len();
    let mut found = Vec::new();
    for i in 0..n {
        let is_corner = section.is_corner(i);
        if !is_corner && check.opening.surface_of(i) == check.opening.surface_of((i + n - 1) % n) {
            continue;
        }
        for turn in [-1.0, 0.0, 1.0] {
            let arc = section.crown_m() - section.round_m()[i] + turn * section.perimeter_m();
            if arc > low && arc < high {
                found.push((arc, is_corner));
            }
        }
    }
    found
}

/// The surfaces from the top of the drawing to its foot, each with its range of arc length.
pub(super) fn surfaces(check: &Check, [low, high]: [f64; 2]) -> Vec<(Surface, [f64; 2])> {
    let section = &check.opening.section;
    let mut parts: Vec<(Surface, [f64; 2])> = Vec::new();
    for (i, facet) in section.facets().iter().enumerate() {
        for turn in [-1.0, 0.0, 1.0] {
            let end = section.crown_m() - section.round_m()[i] + turn * section.perimeter_m();
            let range = [(end - facet.length_m).max(low), end.min(high)];
            if range[0] < range[1] {
                parts.push((check.opening.surface_of(i), range));
            }
        }
    }
    parts.sort_by(|a, b| a.1[0].total_cmp(&b.1[0]));
    let mut merged: Vec<(Surface, [f64; 2])> = Vec::new();
    for (surface, range) in parts {
        match merged.last_mut() {
            Some((last, whole)) if *last == surface => whole[1] = range[1],
            _ => merged.push((surface, range)),
        }
    }
    merged
}

/// The least of 0.1, 0.2, 0.5, 1, 2, 5 … that is at least `least_m`.
pub(super) fn tick_step_m(least_m: f64) -> f64 {
    let decade = 10_f64.powf(least_m.log10().floor());
    [1.0, 2.0, 5.0].map(|s| s * decade).into_iter().find(|s| *s >= least_m).unwrap_or(10.0 * decade)
}

pub(super) fn number(value: f64, step: f64) -> String {
    let decimals = if step < 1.0 { 1 } else { 0 };
    let value = if value.abs() < 0.01 * step { 0.0 } else { value };
    format!("{value:.decimals$}").replace('-', "\u{2212}")
}
