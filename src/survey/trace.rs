//! Trace lengths: what windows hide, and what discs leave on a plane.

use nalgebra::Unit;

use super::{SurveyLine, WindowShape};
use crate::orientation::Vec3;

/// Traces of one set in one window, by how many of their ends could be seen.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct EndCounts {
    /// Both ends hidden, N₀.
    pub none: usize,
    /// One end seen.
    pub one: usize,
    /// Both ends seen, N₂.
    pub both: usize,
}

impl EndCounts {
    /// Counts one more trace.
    pub fn add(&mut self, ends_seen: u8) {
        match ends_seen {
            0 => self.none += 1,
            1 => self.one += 1,
            _ => self.both += 1,
        }
    }

    /// N + N₀ − N₂ = 2N₀ + N₁: sides of the window that traces run out through.
    fn running_out(self) -> usize {
        2 * self.none + self.one
    }

    /// Whether an end of any of them was seen.
    pub(crate) fn any_end_seen(self) -> bool {
        self.ends() > 0
    }

    /// N − N₀ + N₂ = N₁ + 2N₂: trace ends in the window.
    fn ends(self) -> usize {
        self.one + 2 * self.both
    }
}

/// A window as traces of a set meet it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WindowMeasure {
    /// Area, m².
    pub area_m2: f64,
    /// Mean width square to the traces, metres: what a trace's middle may be off by and still
    /// be met. For a circle it is the diameter whatever the traces do.
    pub across_m: f64,
}

impl WindowMeasure {
    /// The measure of `line`'s window for joints with these unit normals; `None` without a
    /// window, and for a rectangle whose direction is not known or whose traces have none.
    #[must_use]
    pub fn of(line: &SurveyLine, normals: &[Unit<Vec3>]) -> Option<Self> {
        match line.window? {
            WindowShape::Circle { radius_m } => {
                Some(Self { area_m2: std::f64::consts::PI * radius_m * radius_m, across_m: 2.0 * radius_m })
            }
            WindowShape::Rectangle { width_m, height_m } => {
                let into = line.direction?.to_vector();
                // A level window has no level side of its own: east stands in for it.
                let level = into.cross(&Vec3::z()).try_normalize(1e-9).unwrap_or_else(Vec3::x);
                let up = level.cross(&into);
                let (mut sum, mut count) = (0.0, 0.0);
                for normal in normals {
                    if let Some(trace) = normal.cross(&into).try_normalize(1e-9) {
                        sum += width_m * trace.dot(&up).abs() + height_m * trace.dot(&level).abs();
                        count += 1.0;
                    }
                }
                (count > 0.0).then(|| Self { area_m2: width_m * height_m, across_m: sum / count })
            }
        }
    }
}

/// Mean trace length in metres of a set seen in windows, free of the bias that long traces are
/// met more often and that the window hides their ends. `None` where no end was seen, which leaves
/// no upper bound, and where no end was hidden: a balance of nothing running out says nothing of length.
///
/// With traces' middles at random, the window holds on average 2ρA trace ends, and 2ρμP times
/// a trace runs out of it (ρ middles a square metre, A its area, P its width square to the
/// traces), so μ = A/P · (N + N₀ − N₂)/(N − N₀ + N₂). For a circle A/P = πc/2: Zhang & Einstein
/// (1998), *Rock Mech. Rock Eng.* 31, 217-242; Mauldon, Dunne & Rohrbaugh (2001), *J. Struct.
/// Geol.* 23, 247-258 (formula from memory); several windows and rectangles by the same
/// balance, derived. Pahl (1981), *Int. J. Rock Mech. Min. Sci.* 18, 221-228, is the rectangle
/// with parallel traces.
#[must_use]
pub fn mean_trace_length_m(windows: &[(EndCounts, WindowMeasure)]) -> Option<f64> {
    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
    let total =
        |of: fn(EndCounts) -> usize| windows.iter().map(|(counts, _)| of(*counts)).sum::<usize>() as f64;
    let (out, ends) = (total(EndCounts::running_out), total(EndCounts::ends));
    let area: f64 = windows.iter().map(|(_, window)| window.area_m2).sum();
    let across: f64 = windows.iter().map(|(_, window)| window.across_m).sum();
    (ends > 0.0 && out > 0.0 && across > 0.0).then(|| area / across * out / ends)
}

/// Mean length in metres of the traces that discs leave on a plane: πE\[D²\]/(4E\[D\]).
///
/// Source: Baecher, Lanney & Einstein (1977); Warburton (1980), formula from memory. Large
/// discs are cut more often, which is why the second moment enters.
#[must_use]
pub fn mean_trace_of_discs_m(mean_diameter_m: f64, mean_square_diameter_m2: f64) -> f64 {
    std::f64::consts::PI * mean_square_diameter_m2 / (4.0 * mean_diameter_m)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::Line;
    use crate::survey::{AzimuthFrom, LineKind};
    use rand_chacha::ChaCha8Rng;
    use rand_chacha::rand_core::SeedableRng;

    fn circle(radius_m: f64) -> WindowMeasure {
        WindowMeasure { area_m2: std::f64::consts::PI * radius_m * radius_m, across_m: 2.0 * radius_m }
    }

    /// Zhang & Einstein (1998), Mauldon et al. (2001), formula from memory:
    /// (πc/2)(N + N₀ − N₂)/(N − N₀ + N₂) with c 2, N 20, N₀ 4, N₂ 6: π·18/22.
    #[test]
    fn a_circular_window_after_zhang_and_einstein() {
        let counts = EndCounts { none: 4, one: 10, both: 6 };
        let found = mean_trace_length_m(&[(counts, circle(2.0))]).unwrap();
        assert!((found - std::f64::consts::PI * 18.0 / 22.0).abs() < 1e-12);
        let endless = EndCounts { none: 5, ..EndCounts::default() };
        assert_eq!(mean_trace_length_m(&[(endless, circle(2.0))]), None);
        let whole = EndCounts { both: 5, ..EndCounts::default() };
        assert_eq!(mean_trace_length_m(&[(whole, circle(2.0))]), None);
    }

    /// Monte Carlo, seeded: traces of exponential length (mean 3 m), all at 25° from level, in
    /// a circle and in a rectangle. About 50 000 traces are met; with a spread of the ratio of
    /// the order of 1/√n, 1.5 % is three deviations.
    #[test]
    fn windows_find_the_mean_that_traces_were_made_with() {
        let mut rng = ChaCha8Rng::seed_from_u64(6);
        let mut uniform = || crate::survey::mixture::uniform(&mut rng);
        let (mean, half) = (3.0_f64, 30.0_f64);
        let (sin, cos) = 25.0_f64.to_radians().sin_cos();
        let (radius, width, height) = (2.5_f64, 6.0, 3.0);
        let (mut in_circle, mut in_rectangle) = (EndCounts::default(), EndCounts::default());
        for _ in 0..2_000_000 {
            let (x, y) = ((uniform() - 0.5) * half, (uniform() - 0.5) * half);
            let length = -mean * (1.0 - uniform()).ln();
            let end = |sign: f64| (x + sign * length / 2.0 * cos, y + sign * length / 2.0 * sin);
            let ends = [end(-1.0), end(1.0)];
            let round = |p: (f64, f64)| p.0.hypot(p.1) <= radius;
            let seen = ends.iter().filter(|p| round(**p)).count();
            // The nearest point of the trace to the middle decides whether it is met at all.
            let along = (-(x * cos + y * sin)).clamp(-length / 2.0, length / 2.0);
            if seen > 0 || round((x + along * cos, y + along * sin)) {
                in_circle.add(u8::try_from(seen).unwrap());
            }
            let square = |p: (f64, f64)| p.0.abs() <= width / 2.0 && p.1.abs() <= height / 2.0;
            let seen = ends.iter().filter(|p| square(**p)).count();
            if seen > 0 || crosses(ends, width, height) {
                in_rectangle.add(u8::try_from(seen).unwrap());
            }
        }
        let found = mean_trace_length_m(&[(in_circle, circle(radius))]).unwrap();
        assert!((found / mean - 1.0).abs() < 0.015, "circle {found}");
        // A window facing north whose joints leave traces at 25°: normal across both.
        let line = SurveyLine {
            id: "w".to_owned(),
            kind: Some(LineKind::Window),
            direction: Some(Line { trend_deg: 0.0, plunge_deg: 0.0 }),
            azimuth_from: AzimuthFrom::Grid,
            length_m: None,
            window: Some(WindowShape::Rectangle { width_m: width, height_m: height }),
            reference: None,
        };
        let normal = Unit::new_normalize(Vec3::new(-sin, 0.0, cos));
        let window = WindowMeasure::of(&line, &[normal]).unwrap();
        let found = mean_trace_length_m(&[(in_rectangle, window)]).unwrap();
        assert!((found / mean - 1.0).abs() < 0.015, "rectangle {found}");
    }

    /// Whether a segment with both ends outside crosses a rectangle round the origin.
    fn crosses(ends: [(f64, f64); 2], width: f64, height: f64) -> bool {
        let [(x0, y0), (x1, y1)] = ends;
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for (start, step, half) in [(x0, x1 - x0, width / 2.0), (y0, y1 - y0, height / 2.0)] {
            let (a, b) = ((-half - start) / step, (half - start) / step);
            from = from.max(a.min(b));
            to = to.min(a.max(b));
        }
        from <= to
    }

    /// Baecher et al. (1977), Warburton (1980), formula from memory: equal discs of 2 m give
    /// π/2 m; discs of exponential diameter, mean 1 m, have E[D²] = 2 and give π/2 as well.
    #[test]
    fn traces_of_discs_after_baecher_and_warburton() {
        let half_pi = std::f64::consts::FRAC_PI_2;
        assert!((mean_trace_of_discs_m(2.0, 4.0) - half_pi).abs() < 1e-12);
        assert!((mean_trace_of_discs_m(1.0, 2.0) - half_pi).abs() < 1e-12);
        // By integration: a disc cut at a uniform distance from its middle leaves a mean chord
        // of πD/4.
        let n = 1_000_000;
        let chord: f64 = (0..n)
            .map(|i| {
                let off = (f64::from(i) + 0.5) / f64::from(n);
                2.0 * (1.0 - off * off).sqrt()
            })
            .sum::<f64>()
            / f64::from(n);
        assert!((mean_trace_of_discs_m(2.0, 4.0) - chord).abs() < 1e-6);
    }
}
