use nalgebra::Unit;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use rayon::prelude::*;

use crate::orientation::{Vec3, angle_between_deg};

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
    let drawn: Vec<(f64, f64)> = (0..resamples)
        .into_par_iter()
        .filter_map(|resample| {
            let mut rng = ChaCha8Rng::seed_from_u64(seed);
            // A stream for each resample, so that no result depends on threads.
            rng.set_stream(((set as u64 + 1) << 32) | u64::from(resample));
            let (mut sum, mut weights) = (Vec3::zeros(), 0.0);
            for _ in 0..axes.len() {
                let (axis, weight) = axes[below(&mut rng, axes.len())];
                sum += axis * weight;
                weights += weight;
            }
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
