use nalgebra::Unit;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::Rng;
use rayon::prelude::*;

use super::{Component, Mixture, Scale};
use crate::orientation::Vec3;

/// K of a set before anything is known about it.
pub(super) const STARTING_K: f64 = 25.0;
/// Share of a set that is tried in addition to others.
const TRIED_SHARE: f64 = 0.1;
/// Readings that are tried as the mean of a new set.
const CANDIDATES: usize = 200;

/// A mixture with equal shares round `axes`, and a fifth left to the background.
pub(super) fn around(axes: &[Unit<Vec3>]) -> Mixture {
    #[allow(clippy::cast_precision_loss)] // a handful of sets
    let share = 0.8 / axes.len().max(1) as f64;
    let background = if axes.is_empty() { 1.0 } else { 0.2 };
    Mixture {
        components: axes.iter().map(|&axis| Component { axis, k: STARTING_K, share }).collect(),
        background,
        log_likelihood: f64::NEG_INFINITY,
        bic: f64::INFINITY,
    }
}

/// `fitted` with one more set where it helps the likelihood most, tried at readings evenly
/// picked from all.
pub(super) fn with_one_more(axes: &[Vec3], fitted: &Mixture) -> Option<Mixture> {
    let densities: Vec<f64> = axes
        .iter()
        .map(|axis| {
            fitted.background
                + fitted.components.iter().map(|c| c.share * c.relative_density(axis)).sum::<f64>()
        })
        .collect();
    let scale = Scale::of(STARTING_K);
    let stride = axes.len().div_ceil(CANDIDATES).max(1);
    let gains: Vec<(f64, usize)> = (0..axes.len())
        .step_by(stride)
        .collect::<Vec<_>>()
        .into_par_iter()
        .map(|candidate| {
            let mean = &axes[candidate];
            let gain = axes
                .iter()
                .zip(&densities)
                .map(|(axis, density)| {
                    let new = scale.relative_density(mean.dot(axis).abs());
                    (TRIED_SHARE * (new / density - 1.0)).ln_1p()
                })
                .sum();
            (gain, candidate)
        })
        .collect();
    let &(_, best) = gains.iter().max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))?;
    let axis = Unit::try_new(axes[best], f64::MIN_POSITIVE)?;
    let mut start = fitted.clone();
    for component in &mut start.components {
        component.share *= 1.0 - TRIED_SHARE;
    }
    start.background *= 1.0 - TRIED_SHARE;
    start.components.push(Component { axis, k: STARTING_K, share: TRIED_SHARE });
    Some(start)
}

/// Means drawn from the readings, each new one likelier the further it is from those before
/// (Arthur & Vassilvitskii 2007, with the squared sine as distance of axes).
pub(super) fn scattered(axes: &[Vec3], sets: usize, rng: &mut ChaCha8Rng) -> Mixture {
    let mut means: Vec<Unit<Vec3>> = Vec::with_capacity(sets);
    let mut distance = vec![1.0_f64; axes.len()];
    for _ in 0..sets {
        let total: f64 = distance.iter().sum();
        let mut left = uniform(rng) * total;
        let drawn = distance
            .iter()
            .position(|d| {
                left -= d;
                left < 0.0
            })
            .unwrap_or(axes.len() - 1);
        let Some(mean) = Unit::try_new(axes[drawn], f64::MIN_POSITIVE) else {
            continue;
        };
        for (distance, axis) in distance.iter_mut().zip(axes) {
            let cos = mean.dot(axis);
            *distance = distance.min((1.0 - cos * cos).max(0.0));
        }
        means.push(mean);
    }
    around(&means)
}

/// A uniform number in 0 ≤ u < 1 with 53 random bits.
pub(crate) fn uniform(rng: &mut ChaCha8Rng) -> f64 {
    #[allow(clippy::cast_precision_loss)] // 53 bits fit exactly
    let bits = (rng.next_u64() >> 11) as f64;
    bits * (1.0 / 9_007_199_254_740_992.0)
}
