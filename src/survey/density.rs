//! Density of axes on the sphere.

use rayon::prelude::*;

use crate::orientation::Vec3;

/// Smoothing that is used when nothing else is asked for: a uniform sample strays from the
/// expected density by three deviations within the counting area.
pub const DEFAULT_SIGMA: f64 = 3.0;

/// Density of axes on the sphere by Kamb's method with exponential smoothing, in multiples of
/// the deviation expected from a uniform sample.
///
/// Kernel e^(f(|x·p| − 1)) with f = 2(1 + n/σ²), summed over readings with weights of mean 1,
/// less a half, over √(n(f/2 − 1)/f²); below zero it is zero. Source: Vollmer (1995),
/// *Comput. Geosci.* 21, 31-49; Kamb (1959), *J. Geophys. Res.* 64, 1891-1909.
#[derive(Debug, Clone)]
pub struct KambDensity {
    /// Unit axes (east, north, up) and weights, sorted by the first coordinate.
    axes: Vec<[f64; 4]>,
    exponent: f64,
    unit: f64,
}

/// A reading whose share of the kernel is below e^−32, 1e-14, is not looked at.
const FARTHEST_EXPONENT: f64 = 32.0;

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
        let mut points: Vec<[f64; 4]> = axes
            .iter()
            .filter_map(|(axis, weight)| {
                let unit = axis.try_normalize(0.0)?;
                Some([unit.x, unit.y, unit.z, weight / mean_weight])
            })
            .collect();
        points.sort_by(|a, b| {
            a.iter()
                .zip(b)
                .map(|(x, y)| x.total_cmp(y))
                .find(|o| o.is_ne())
                .unwrap_or(std::cmp::Ordering::Equal)
        });
        Some(Self {
            axes: points,
            exponent,
            unit: (n * (exponent / 2.0 - 1.0)).sqrt() / exponent,
        })
    }

    /// Density in the direction of the unit vector `direction`.
    #[must_use]
    pub fn at(&self, direction: &Vec3) -> f64 {
        // |x·p| ≥ 1 − far means that the chord to x or −x is at most √(2·far), and so is the
        // difference of their first coordinates.
        let far = FARTHEST_EXPONENT / self.exponent;
        let reach = (2.0 * far).sqrt();
        let mut sum = 0.0;
        if reach >= 1.0 {
            sum = self.sum_of(&self.axes, direction, far);
        } else {
            let x = direction.x;
            let window = |from: f64, to: f64| {
                let start = self.axes.partition_point(|p| p[0] < from);
                let end = self.axes.partition_point(|p| p[0] <= to);
                &self.axes[start..end.max(start)]
            };
            if x.abs() <= reach {
                // The windows of both senses meet in the middle.
                let half = x.abs() + reach;
                sum += self.sum_of(window(-half, half), direction, far);
            } else {
                sum += self.sum_of(window(x - reach, x + reach), direction, far);
                sum += self.sum_of(window(-x - reach, -x + reach), direction, far);
            }
        }
        ((sum - 0.5) / self.unit).max(0.0)
    }

    fn sum_of(&self, points: &[[f64; 4]], direction: &Vec3, far: f64) -> f64 {
        let mut sum = 0.0;
        for [x, y, z, weight] in points {
            let below = 1.0 - (x * direction.x + y * direction.y + z * direction.z).abs();
            if below < far {
                sum += weight * (-self.exponent * below).exp();
            }
        }
        sum
    }

    /// Densities in many unit directions, in their order, on all threads.
    #[must_use]
    pub fn at_all(&self, directions: &[Vec3]) -> Vec<f64> {
        directions.par_iter().map(|d| self.at(d)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::Line;

    /// The window in x must not change a sum: against the plain sum over everything, for
    /// kernels from broad to narrow.
    #[test]
    fn the_search_window_loses_nothing() {
        for n in [5_u32, 60, 600, 5000] {
            let axes: Vec<(Vec3, f64)> = (0..n)
                .map(|i| {
                    let line = Line {
                        trend_deg: f64::from(i * 137 % 360),
                        plunge_deg: f64::from(i * 53 % 91),
                    };
                    (line.to_vector().into_inner(), 1.0 + f64::from(i % 3))
                })
                .collect();
            let density = KambDensity::new(&axes, 3.0).unwrap();
            for trend in 0..12 {
                for plunge in 0..4 {
                    let line = Line {
                        trend_deg: f64::from(trend * 30),
                        plunge_deg: f64::from(plunge * 30),
                    };
                    let direction = line.to_vector().into_inner();
                    let sum: f64 = density
                        .axes
                        .iter()
                        .map(|[x, y, z, w]| {
                            let cos = Vec3::new(*x, *y, *z).dot(&direction).abs();
                            w * (density.exponent * (cos - 1.0)).exp()
                        })
                        .sum();
                    let wanted = ((sum - 0.5) / density.unit).max(0.0);
                    let found = density.at(&direction);
                    assert!((found - wanted).abs() < 1e-9, "n {n}: {found} {wanted}");
                    // An axis has no sense.
                    assert!((density.at(&-direction) - found).abs() < 1e-9);
                }
            }
        }
    }
}
