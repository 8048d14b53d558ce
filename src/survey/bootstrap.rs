use nalgebra::{Matrix4, SymmetricEigen, Unit, Vector4};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use rayon::prelude::*;

use super::mixture::uniform;
use crate::orientation::{Vec3, angle_between_deg};

/// Sets of more readings than this are not redrawn one by one: the sums of a redraw are then drawn from the
/// normal distribution that they follow (central limit theorem). What that leaves out of their shape goes
/// with 1/√n, below a hundredth here and far below what a few hundred redraws scatter by.
const MOST_REDRAWN: usize = 20_000;

/// How far a set's statistics move when its readings are drawn again, with replacement (Efron
/// 1979, *Ann. Stat.* 7, 1-26). Assumes nothing about the shape of the scatter, but that the
/// readings are independent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Angle in degrees from the mean within which 95 % of the redrawn means fall.
    pub mean_95_deg: f64,
    /// 2.5 % and 97.5 % points of the redrawn Fisher K.
    pub k_95: [f64; 2],
}

/// Redraws `resamples` times from weighted axes that are turned to one side already; `count` is
/// the number of readings they stand for. `None` for fewer than 3 axes, which cannot show
/// their spread, or without resamples.
pub(crate) fn spread_of(
    axes: &[(Vec3, f64)],
    count: f64,
    resamples: u32,
    seed: u64,
    set: usize,
) -> Option<Spread> {
    if axes.len() < 3 || resamples == 0 {
        return None;
    }
    let sum: Vec3 = axes.iter().map(|(axis, weight)| axis * *weight).sum();
    let mean = Unit::try_new(sum, 0.0)?;
    let sums = Sums::of(axes);
    let drawn: Vec<(f64, f64)> = (0..resamples)
        .into_par_iter()
        .filter_map(|resample| {
            let mut rng = ChaCha8Rng::seed_from_u64(seed);
            // A stream for each resample, so that no result depends on threads.
            rng.set_stream(((set as u64 + 1) << 32) | u64::from(resample));
            let (sum, weights) = match &sums {
                None => redrawn(axes, &mut rng),
                Some(sums) => sums.drawn(&mut rng),
            };
            let length = (sum.norm() / weights).min(1.0) * count;
            let angle = angle_between_deg(&sum, &mean);
            (weights > 0.0).then_some((angle, (count - 1.0) / (count - length)))
        })
        .collect();
    let sorted = |of: fn(&(f64, f64)) -> f64| {
        let mut values: Vec<f64> = drawn.iter().map(of).collect();
        values.sort_by(f64::total_cmp);
        values
    };
    let (angles, ks) = (sorted(|d| d.0), sorted(|d| d.1));
    (!angles.is_empty()).then(|| Spread {
        mean_95_deg: quantile(&angles, 0.95),
        k_95: [quantile(&ks, 0.025), quantile(&ks, 0.975)],
    })
}

/// The sums of weighted axes and of weights over as many axes as there are, drawn with replacement.
fn redrawn(axes: &[(Vec3, f64)], rng: &mut ChaCha8Rng) -> (Vec3, f64) {
    let (mut sum, mut weights) = (Vec3::zeros(), 0.0);
    for _ in 0..axes.len() {
        let (axis, weight) = axes[below(rng, axes.len())];
        sum += axis * weight;
        weights += weight;
    }
    (sum, weights)
}

/// How such sums are distributed where there are many axes.
struct Sums {
    mean: Vector4<f64>,
    /// Turns four independent normal numbers into how far a redraw is off the mean.
    spread: Matrix4<f64>,
}

impl Sums {
    /// `None` where there are few enough to be redrawn.
    fn of(axes: &[(Vec3, f64)]) -> Option<Self> {
        if axes.len() <= MOST_REDRAWN {
            return None;
        }
        let of_one = |(axis, weight): &(Vec3, f64)| {
            Vector4::new(axis.x * weight, axis.y * weight, axis.z * weight, *weight)
        };
        #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
        let n = axes.len() as f64;
        let sum: Vector4<f64> = axes.iter().map(of_one).sum();
        let each = sum / n;
        let mut scatter = Matrix4::zeros();
        for one in axes.iter().map(of_one) {
            let off = one - each;
            scatter += off * off.transpose();
        }
        let own = SymmetricEigen::new(scatter);
        // A direction in which nothing scatters is a rounding above or below 0.
        let roots = own.eigenvalues.map(|v| v.max(0.0).sqrt());
        Some(Self { mean: sum, spread: own.eigenvectors * Matrix4::from_diagonal(&roots) })
    }

    fn drawn(&self, rng: &mut ChaCha8Rng) -> (Vec3, f64) {
        let ([a, b], [c, d]) = (normal_pair(rng), normal_pair(rng));
        let sums = self.mean + self.spread * Vector4::new(a, b, c, d);
        (sums.xyz(), sums.w)
    }
}

/// Two independent normal numbers (Box & Muller 1958, *Ann. Math. Stat.* 29, 610-611).
fn normal_pair(rng: &mut ChaCha8Rng) -> [f64; 2] {
    // From above 0 on: a logarithm of nothing is none.
    let radius = (-2.0 * (1.0 - uniform(rng)).ln()).sqrt();
    let (sin, cos) = (std::f64::consts::TAU * uniform(rng)).sin_cos();
    [radius * cos, radius * sin]
}

/// A number below `n` by multiplication; the bias is n/2⁶⁴.
fn below(rng: &mut ChaCha8Rng, n: usize) -> usize {
    let wide = u128::from(rng.next_u64()) * n as u128;
    #[allow(clippy::cast_possible_truncation)] // below n
    let index = (wide >> 64) as usize;
    index
}

/// The quantile of sorted values by linear interpolation (type 7 of Hyndman & Fan 1996).
fn quantile(sorted: &[f64], share: f64) -> f64 {
    #[allow(clippy::cast_precision_loss)] // some hundred values
    let at = share * (sorted.len() - 1) as f64;
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // within the slice
    let low = at.floor() as usize;
    let high = (low + 1).min(sorted.len() - 1);
    let part = at - at.floor();
    // Equal neighbours are left alone: infinities do not subtract.
    if sorted[low].total_cmp(&sorted[high]).is_eq() {
        sorted[low]
    } else {
        sorted[low] + part * (sorted[high] - sorted[low])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Of axes with uneven weights round a mean: both ways of drawing sums have the same mean, and in each
    /// component the same deviation, to three times what 2,000 draws leave of a deviation (1/√4000 each).
    #[test]
    fn sums_of_many_are_spread_as_if_each_were_redrawn() {
        let mut rng = ChaCha8Rng::seed_from_u64(4);
        let axes: Vec<(Vec3, f64)> = (0..=MOST_REDRAWN)
            .map(|_| {
                let ([x, y], weight) = (normal_pair(&mut rng), 1.0 + 3.0 * uniform(&mut rng));
                (Vec3::new(0.2 * x, 0.3 * y, 1.0).normalize(), weight)
            })
            .collect();
        let many = Sums::of(&axes).unwrap();
        let draws = 2000;
        let deviations = |mut draw: Box<dyn FnMut() -> (Vec3, f64) + '_>| {
            let drawn: Vec<Vector4<f64>> = (0..draws)
                .map(|_| {
                    let (sum, weights) = draw();
                    Vector4::new(sum.x, sum.y, sum.z, weights) - many.mean
                })
                .collect();
            let mean: Vector4<f64> = drawn.iter().sum::<Vector4<f64>>() / f64::from(draws);
            let square: Vector4<f64> = drawn.iter().map(|d| (d - mean).map(|v| v * v)).sum();
            (mean, square.map(|v| (v / f64::from(draws)).sqrt()))
        };
        let mut other = ChaCha8Rng::seed_from_u64(5);
        let (mean_of_redrawn, redrawn_each) = deviations(Box::new(|| redrawn(&axes, &mut other)));
        let (mean_of_drawn, drawn) = deviations(Box::new(|| many.drawn(&mut rng)));
        for at in 0..4 {
            assert!((drawn[at] / redrawn_each[at] - 1.0).abs() < 3.0 * (2.0_f64 / 4000.0).sqrt(), "{at}");
            for mean in [mean_of_redrawn[at], mean_of_drawn[at]] {
                assert!(mean.abs() < 4.0 * redrawn_each[at] / f64::from(draws).sqrt(), "{at} {mean}");
            }
        }
    }

    #[test]
    fn equal_weights_do_not_scatter() {
        let axes = vec![(Vec3::new(0.6, 0.0, 0.8), 1.0); MOST_REDRAWN + 1];
        let spread = spread_of(&axes, axes.len() as f64, 50, 1, 0).unwrap();
        assert!(spread.mean_95_deg < 1e-4, "{spread:?}");
        assert!(spread.k_95[0] > 1e9, "{spread:?}");
    }
}
