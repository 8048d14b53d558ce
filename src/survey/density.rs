//! Density of axes on the sphere.

use pulp::{Arch, NullaryFnOnce};
use rayon::prelude::*;

use crate::orientation::{Projection, Vec3, angle_between_deg};

/// Smoothing that is used when nothing else is asked for: a uniform sample strays from the
/// expected density by three deviations within the counting area.
pub const DEFAULT_SIGMA: f64 = 3.0;

/// Density of axes on the sphere by Kamb's method with exponential smoothing, in multiples of
/// the deviation expected from a uniform sample.
///
/// Kernel e^(f(|x·p| − 1)) with f = 2(1 + n/σ²), summed over readings with weights of mean 1,
/// less a half, over √(n(f/2 − 1)/f²); below zero it is zero. Source: Vollmer (1995),
/// *Comput. Geosci.* 21, 31-49; Kamb (1959), *J. Geophys. Res.* 64, 1891-1909.
///
/// Many axes under a broad kernel (beyond 20,000) are gathered in cells of the net first, which changes
/// a density by less than 0.2 % of the greatest.
#[derive(Debug, Clone)]
pub struct KambDensity {
    /// Axes in buckets of neighbours, so that far ones are passed over together.
    buckets: Vec<Bucket>,
    /// Lanes of axes: x, y, z, weight; buckets are padded with weights of 0.
    lanes: Vec<[[f64; LANES]; 4]>,
    exponent: f64,
    unit: f64,
    /// Exponent beyond which a reading is not looked at.
    farthest: f64,
}

/// Neighbouring axes.
#[derive(Debug, Clone)]
struct Bucket {
    centre: Vec3,
    /// Cosine of the greatest angle at which one of its axes can still matter.
    least_cos: f64,
    lanes: std::ops::Range<usize>,
}

/// Axes that are worked on together.
const LANES: usize = 4;
/// Directions that a thread takes at a time.
const CHUNK: usize = 64;
/// Readings a bucket holds on average, and the most cells along a side of the net.
const BUCKET_READINGS: usize = 4;
const MOST_CELLS: usize = 20;
/// Readings that are passed over change a density by less than this, in multiples of the
/// expected deviation: far below what a contour or a reader can tell.
const NEGLIGIBLE: f64 = 1e-5;

impl KambDensity {
    /// The density of weighted axes, which need not be of unit length; `None` without any, and
    /// for a sigma that is not above 0.
    #[must_use]
    pub fn new(axes: &[(Vec3, f64)], sigma: f64) -> Option<Self> {
        if axes.is_empty() || sigma.is_nan() || sigma <= 0.0 {
            return None;
        }
        #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
        let n = axes.len() as f64;
        let mean_weight = axes.iter().map(|(_, w)| w).sum::<f64>() / n;
        if mean_weight.is_nan() || mean_weight <= 0.0 {
            return None;
        }
        let exponent = 2.0 * (1.0 + n / (sigma * sigma));
        let unit = (n * (exponent / 2.0 - 1.0)).sqrt() / exponent;
        let mut density = Self {
            buckets: Vec::new(),
            lanes: Vec::new(),
            exponent,
            unit,
            farthest: (n / (NEGLIGIBLE * unit)).ln(),
        };
        let cells = axes.len().div_ceil(BUCKET_READINGS).isqrt().clamp(1, MOST_CELLS);
        let down = |(axis, weight): &(Vec3, f64)| {
            let unit = axis.try_normalize(0.0)?;
            Some((if unit.z > 0.0 { -unit } else { unit }, weight / mean_weight))
        };
        let placed = |(down, weight): (Vec3, f64)| (cell_of(&down, cells), [down.x, down.y, down.z, weight]);
        let singles = axes.iter().filter_map(down);
        let mut points: Vec<(usize, [f64; 4])> = match gathering_cells(axes.len(), exponent) {
            None => singles.map(placed).collect(),
            Some(side) => gathered(singles, side).map(placed).collect(),
        };
        // In an order that depends on the values alone, so that sums do too.
        points.sort_by(|a, b| {
            a.0.cmp(&b.0).then_with(|| {
                let pairs = a.1.iter().zip(&b.1);
                pairs.fold(std::cmp::Ordering::Equal, |order, (x, y)| order.then_with(|| x.total_cmp(y)))
            })
        });
        for bucket in points.chunk_by(|a, b| a.0 == b.0) {
            density.add_bucket(bucket);
        }
        Some(density)
    }

    fn add_bucket(&mut self, points: &[(usize, [f64; 4])]) {
        let vector = |p: &[f64; 4]| Vec3::new(p[0], p[1], p[2]);
        let sum: Vec3 = points.iter().map(|(_, p)| vector(p)).sum();
        let centre = sum.try_normalize(0.0).unwrap_or_else(|| -Vec3::z());
        let radius = points
            .iter()
            .map(|(_, p)| angle_between_deg(&centre, &vector(p)).to_radians())
            .fold(0.0, f64::max);
        // 1 − |x·p| reaches farthest/exponent at this angle.
        let reach = (1.0 - self.farthest / self.exponent).clamp(0.0, 1.0).acos();
        let start = self.lanes.len();
        for chunk in points.chunks(LANES) {
            let mut lanes = [[0.0; LANES]; 4];
            for (lane, (_, point)) in chunk.iter().enumerate() {
                for (row, value) in lanes.iter_mut().zip(point) {
                    row[lane] = *value;
                }
            }
            self.lanes.push(lanes);
        }
        self.buckets.push(Bucket {
            centre,
            least_cos: (radius + reach).min(std::f64::consts::FRAC_PI_2).cos() - ROUNDING,
            lanes: start..self.lanes.len(),
        });
    }

    /// Density in the direction of the unit vector `direction`.
    #[must_use]
    pub fn at(&self, direction: &Vec3) -> f64 {
        let mut density = 0.0;
        Arch::new().dispatch(Work {
            density: self,
            directions: std::slice::from_ref(direction),
            out: std::slice::from_mut(&mut density),
        });
        density
    }

    /// The work of [`Self::at`]: inlined into what is compiled for the processor's own vectors.
    /// Lanes are summed in the same order on every processor, so the bits are the same.
    #[inline(always)]
    fn sum_over_buckets(&self, direction: &Vec3) -> f64 {
        let mut sums = [0.0; LANES];
        for bucket in &self.buckets {
            if bucket.centre.dot(direction).abs() < bucket.least_cos {
                continue;
            }
            for [x, y, z, weight] in &self.lanes[bucket.lanes.clone()] {
                for lane in 0..LANES {
                    let cos = x[lane] * direction.x + y[lane] * direction.y + z[lane] * direction.z;
                    let power = self.exponent * (1.0 - cos.abs());
                    // Not `min`, which costs three operations more for the sake of NaN.
                    let power = if power < self.farthest { power } else { self.farthest };
                    sums[lane] += weight[lane] * exp_of_minus(power);
                }
            }
        }
        let sum: f64 = sums.iter().sum();
        ((sum - 0.5) / self.unit).max(0.0)
    }

    /// Densities in many unit directions, in their order, on all threads.
    #[must_use]
    pub fn at_all(&self, directions: &[Vec3]) -> Vec<f64> {
        let mut densities = vec![0.0; directions.len()];
        densities.par_chunks_mut(CHUNK).zip(directions.par_chunks(CHUNK)).for_each(|(out, directions)| {
            Arch::new().dispatch(Work { density: self, directions, out });
        });
        densities
    }
}

/// Densities to be found: a type of its own, as a closure would not be compiled for the
/// processor's own vectors.
struct Work<'w> {
    density: &'w KambDensity,
    directions: &'w [Vec3],
    out: &'w mut [f64],
}

impl NullaryFnOnce for Work<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        for (out, direction) in self.out.iter_mut().zip(self.directions) {
            *out = self.density.sum_over_buckets(direction);
        }
    }
}

/// Up to this many axes are summed one by one.
const MOST_SINGLE: usize = 20_000;
/// More of them are gathered in cells first, so small that a density changes by less than this share of
/// its greatest value: no line on a net moves by what anybody sees.
const GATHERED_ERROR: f64 = 2e-3;
/// Gathering pays where a cell takes several axes.
const LEAST_GATHERED: usize = 4;
/// Gathered sums are kept in whole steps of this: they then do not hang on the order of the axes.
const STEPS: f64 = (1_u64 << 40) as f64;

/// Cells along a side of the net that so many axes are gathered in under a kernel e^(f(cos θ − 1)); `None`
/// where each of them is taken by itself.
///
/// Square cells of side a (their area on the sphere being 8/side²) spread axes by a²/12 each way about
/// their middle, and the kernel bends by f at its crest: a density changes by f·a²/12 of it.
fn gathering_cells(axes: usize, exponent: f64) -> Option<usize> {
    let side = (exponent * 8.0 / (12.0 * GATHERED_ERROR)).sqrt().ceil();
    #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    // compared with counts that are far below 2^53
    let pays = axes > MOST_SINGLE && side * side * LEAST_GATHERED as f64 <= axes as f64;
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // below a count, then
    pays.then_some(side as usize)
}

/// Weighted axes, each standing for those of its cell: the mean of them, and the sum of their weights.
fn gathered(axes: impl Iterator<Item = (Vec3, f64)>, side: usize) -> impl Iterator<Item = (Vec3, f64)> {
    let mut cells = vec![[0_i128; 4]; side * side];
    for (down, weight) in axes {
        let sums = &mut cells[cell_of(&down, side)];
        for (sum, value) in sums.iter_mut().zip([down.x * weight, down.y * weight, down.z * weight, weight]) {
            #[allow(clippy::cast_possible_truncation)] // a million weights of a million are far below 2^127
            let steps = (value * STEPS).round() as i128;
            *sum += steps;
        }
    }
    cells.into_iter().filter_map(|sums| {
        #[allow(clippy::cast_precision_loss)] // to the last bit of a float
        let [x, y, z, weight] = sums.map(|steps| steps as f64 / STEPS);
        (weight > 0.0).then(|| (Vec3::new(x, y, z) / weight, weight))
    })
}

/// Cosines of nearly equal directions are good to a few units of 1e-16.
const ROUNDING: f64 = 1e-14;

/// The cell of the equal-area net, `cells` along a side, that a downward direction falls in.
fn cell_of(down: &Vec3, cells: usize) -> usize {
    let [x, y] = Projection::EqualArea.to_net(down);
    #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    // within 0 to `cells`, which is small
    let index = |v: f64| (((v + 1.0) / 2.0 * cells as f64).max(0.0) as usize).min(cells - 1);
    index(y) * cells + index(x)
}

/// e^−t for t ≥ 0, by the series of e^(−t/16) to the sixth power and four squarings: off by at
/// most 2e-8 for t up to 25, which is where sums end. Without a branch or a call, so that lanes
/// are worked on together, which the standard library's does not allow.
#[inline(always)]
fn exp_of_minus(t: f64) -> f64 {
    let u = t * (-1.0 / 16.0);
    let square = u * u;
    // Estrin's order: shorter chains of dependent operations than Horner's.
    let low = (1.0 + u) + (0.5 + u * (1.0 / 6.0)) * square;
    let high = (1.0 / 24.0 + u * (1.0 / 120.0)) + square * (1.0 / 720.0);
    let mut e = low + high * (square * square);
    for _ in 0..4 {
        e *= e;
    }
    e
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::Line;

    #[test]
    fn the_short_exponential_is_good_to_2e_8() {
        for i in 0..2500 {
            let t = f64::from(i) / 100.0;
            assert!((exp_of_minus(t) - (-t).exp()).abs() < 2e-8, "{t}");
        }
    }

    /// A survey of many readings, whose contours have to be those of its readings one by one.
    #[test]
    fn gathering_changes_next_to_nothing() {
        let mut rng = {
            use rand_chacha::rand_core::SeedableRng;
            rand_chacha::ChaCha8Rng::seed_from_u64(9)
        };
        let mut uniform = || crate::survey::mixture::uniform(&mut rng);
        let n = 300_000;
        let axes: Vec<(Vec3, f64)> = (0..n)
            .map(|i| {
                let (at, off) = ([(30.0, 20.0), (150.0, 60.0), (280.0, 5.0)][i % 3], 12.0);
                let line = Line { trend_deg: at.0 + off * uniform(), plunge_deg: at.1 + off * uniform() };
                (line.to_vector().into_inner(), 1.0 + uniform())
            })
            .collect();
        // The counting area of large surveys: a hundredth of the hemisphere.
        let sigma = (n as f64 / 99.0).sqrt();
        let density = KambDensity::new(&axes, sigma).unwrap();
        assert!(gathering_cells(n, density.exponent).is_some());
        assert!(density.lanes.len() * LANES < n / LEAST_GATHERED);
        let mean_weight = axes.iter().map(|(_, w)| w).sum::<f64>() / n as f64;
        let mut found: Vec<(f64, f64)> = Vec::new();
        for trend in 0..12 {
            for plunge in 0..4 {
                let line = Line { trend_deg: f64::from(trend * 30), plunge_deg: f64::from(plunge * 25) };
                let direction = line.to_vector().into_inner();
                let sum: f64 = axes
                    .iter()
                    .map(|(a, w)| {
                        w / mean_weight * (density.exponent * (a.dot(&direction).abs() - 1.0)).exp()
                    })
                    .sum();
                found.push((density.at(&direction), ((sum - 0.5) / density.unit).max(0.0)));
            }
        }
        let greatest = found.iter().map(|f| f.1).fold(0.0, f64::max);
        for (gathered, single) in found {
            assert!((gathered - single).abs() < GATHERED_ERROR * greatest, "{gathered} {single} {greatest}");
        }
        // Whatever the order.
        let mut turned = axes.clone();
        turned.reverse();
        let direction = Line { trend_deg: 33.0, plunge_deg: 22.0 }.to_vector().into_inner();
        let turned = KambDensity::new(&turned, sigma).unwrap().at(&direction);
        assert!((turned / density.at(&direction) - 1.0).abs() < 1e-9);
        // Few readings and a narrow kernel are left alone.
        assert_eq!(gathering_cells(MOST_SINGLE, 200.0), None);
        assert_eq!(gathering_cells(1_000_000, 2e5), None);
    }

    /// Buckets must not change a density: against the plain sum over everything, for kernels
    /// from broad to narrow.
    #[test]
    fn buckets_lose_nothing() {
        for n in [5_u32, 60, 600, 5000] {
            let axes: Vec<(Vec3, f64)> = (0..n)
                .map(|i| {
                    let line =
                        Line { trend_deg: f64::from(i * 137 % 360), plunge_deg: f64::from(i * 53 % 91) };
                    (line.to_vector().into_inner(), 1.0 + f64::from(i % 3))
                })
                .collect();
            let density = KambDensity::new(&axes, 3.0).unwrap();
            let mean_weight = axes.iter().map(|(_, w)| w).sum::<f64>() / f64::from(n);
            for trend in 0..12 {
                for plunge in 0..4 {
                    let line = Line { trend_deg: f64::from(trend * 30), plunge_deg: f64::from(plunge * 30) };
                    let direction = line.to_vector().into_inner();
                    let sum: f64 = axes
                        .iter()
                        .map(|(axis, w)| {
                            let cos = axis.dot(&direction).abs();
                            w / mean_weight * (density.exponent * (cos - 1.0)).exp()
                        })
                        .sum();
                    let wanted = ((sum - 0.5) / density.unit).max(0.0);
                    let found = density.at(&direction);
                    assert!((found - wanted).abs() < 2.0 * NEGLIGIBLE, "n {n}: {found} {wanted}");
                    // An axis has no sense.
                    assert!((density.at(&-direction) - found).abs() < 2.0 * NEGLIGIBLE);
                }
            }
        }
    }
}
