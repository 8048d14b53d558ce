use nalgebra::Unit;
use rayon::prelude::*;

use super::{Mixture, NEGLIGIBLE_EXPONENT, Scale};
use crate::orientation::Vec3;

/// A set broader than this is no set: two thirds of it spread over 36° about its mean.
pub(super) const LEAST_K: f64 = 5.0;
/// A set tighter than this is tighter than whole degrees can express.
pub(super) const GREATEST_K: f64 = 2000.0;

/// A weak prior on the scatter of a set, worth this many readings at [`PRIOR_K`]: it keeps a
/// handful of equal readings from becoming a set of infinite K (Fraley & Raftery 2007,
/// *J. Classif.* 24, 155-181, who regularise in the same way). Statistics of the sets are made
/// without it.
const PRIOR_READINGS: f64 = 2.0;
const PRIOR_K: f64 = 25.0;

/// Readings summed in one go. Fixed, so that sums do not depend on the number of threads.
const CHUNK: usize = 4096;

/// The fit has settled when a round gains less than this in ln L: far below the difference of
/// a criterion that decides on a set.
const SETTLED: f64 = 1e-7;
/// The same for each reading of more than a chunk of them: a hundredth for a million, by which no number of
/// a set moves by a tenth of what it is known to.
const SETTLED_EACH: f64 = 1e-8;

/// An orientation that was read so many times.
#[derive(Debug, Clone, Copy)]
pub(super) struct Counted {
    axis: Vec3,
    readings: f64,
}

impl Counted {
    /// Each axis by itself.
    fn singly(axes: &[Vec3]) -> Vec<Self> {
        axes.iter().map(|&axis| Self { axis, readings: 1.0 }).collect()
    }

    /// Axes that follow each other and are the same counted together: compasses are read in whole degrees, so that a
    /// survey of a million has some ten thousand of them.
    pub(super) fn together(axes: &[Vec3]) -> Vec<Self> {
        #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
        let counted = |same: &[Vec3]| Self { axis: same[0], readings: same.len() as f64 };
        axes.chunk_by(|a, b| a == b).map(counted).collect()
    }
}

/// Sums over readings that a round of maximisation needs.
#[derive(Clone)]
struct Sums {
    log_likelihood: f64,
    background: f64,
    sets: Vec<(f64, Vec3)>,
}

impl Sums {
    fn zero(sets: usize) -> Self {
        Self { log_likelihood: 0.0, background: 0.0, sets: vec![(0.0, Vec3::zeros()); sets] }
    }

    fn add(&mut self, other: &Self) {
        self.log_likelihood += other.log_likelihood;
        self.background += other.background;
        for (mine, theirs) in self.sets.iter_mut().zip(&other.sets) {
            mine.0 += theirs.0;
            mine.1 += theirs.1;
        }
    }
}

/// `toward` gives a component's relative density at the cosine between an axis and its mean, and the share of the
/// near end of the axis less that of the far one: an axis belongs to both.
fn sums_of(
    axes: &[Counted],
    mixture: &Mixture,
    scales: &[Scale],
    toward: impl Fn(&Scale, f64) -> (f64, f64),
) -> Sums {
    let mut sums = Sums::zero(scales.len());
    let mut densities = vec![(0.0, 0.0); scales.len()];
    for Counted { axis, readings } in axes {
        let mut total = mixture.background;
        for ((density, component), scale) in densities.iter_mut().zip(&mixture.components).zip(scales) {
            let (relative, near) = toward(scale, component.axis.dot(axis));
            *density = (component.share * relative, near);
            total += density.0;
        }
        sums.log_likelihood += readings * total.ln();
        sums.background += readings * (mixture.background / total);
        for (sum, &(density, near)) in sums.sets.iter_mut().zip(&densities) {
            let probability = readings * (density / total);
            sum.0 += probability;
            sum.1 += axis * (probability * near);
        }
    }
    sums
}

/// tanh, which is 1 to the last bit far from 0.
fn near_share(t: f64) -> f64 {
    if t.abs() > NEGLIGIBLE_EXPONENT { t.signum() } else { t.tanh() }
}

/// The share of the near end is tanh.
fn by_tangent(scale: &Scale, along: f64) -> (f64, f64) {
    (scale.relative_density(along.abs()), near_share(scale.k * along))
}

/// The same to some last bits, in half the time: the share of the near end comes from the two ends of the
/// density instead of a tangent of its own.
fn by_ends(scale: &Scale, along: f64) -> (f64, f64) {
    let (near, far) = scale.ends(along.abs());
    let both = near + far;
    // Too far from the mean for either end to count.
    let share = if both > 0.0 { (near - far) / both } else { 0.0 };
    (scale.factor * both, share.copysign(along))
}

fn expectation(axes: &[Counted], mixture: &Mixture) -> Sums {
    let scales: Vec<Scale> = mixture.components.iter().map(|c| Scale::of(c.k)).collect();
    if axes.len() <= CHUNK {
        return sums_of(axes, mixture, &scales, by_tangent);
    }
    let parts: Vec<Sums> =
        axes.par_chunks(CHUNK).map(|chunk| sums_of(chunk, mixture, &scales, by_ends)).collect();
    let mut sums = Sums::zero(scales.len());
    for part in &parts {
        sums.add(part);
    }
    sums
}

/// What the prior on K adds to ln L.
fn log_prior(mixture: &Mixture) -> f64 {
    let slack = PRIOR_READINGS * (1.0 - mean_cos(PRIOR_K));
    mixture.components.iter().map(|c| PRIOR_READINGS * Scale::of(c.k).factor.ln() - c.k * slack).sum()
}

/// Rounds of expectation and maximisation from `start`, at most `rounds`.
pub(super) fn improve(axes: &[Vec3], start: Mixture, rounds: usize) -> Mixture {
    improve_on(&Counted::singly(axes), start, rounds)
}

/// The same on axes that are counted.
pub(super) fn improve_on(axes: &[Counted], start: Mixture, rounds: usize) -> Mixture {
    let mut mixture = start;
    let n: f64 = axes.iter().map(|a| a.readings).sum();
    #[allow(clippy::cast_precision_loss)] // a few thousand
    let settled = if n > CHUNK as f64 { SETTLED_EACH * n } else { SETTLED * (1.0 + n * 1e-3) };
    let mut last = f64::NEG_INFINITY;
    for _ in 0..rounds {
        let sums = expectation(axes, &mixture);
        let objective = sums.log_likelihood + log_prior(&mixture);
        mixture.log_likelihood = sums.log_likelihood;
        if objective - last < settled {
            break;
        }
        last = objective;
        for (component, (count, sum)) in mixture.components.iter_mut().zip(&sums.sets) {
            component.share = count / n;
            if let Some(axis) = Unit::try_new(*sum, f64::MIN_POSITIVE) {
                component.axis = axis;
            }
            component.k = shrunk_k(*count, sum.norm());
        }
        mixture.background = sums.background / n;
    }
    mixture.bic = bic(mixture.log_likelihood, mixture.components.len(), n);
    mixture
}

/// K of `count` readings whose resultant is this long, with the prior.
pub(super) fn shrunk_k(count: f64, resultant: f64) -> f64 {
    let slack = (count - resultant).max(0.0) + PRIOR_READINGS * (1.0 - mean_cos(PRIOR_K));
    let mean_length = 1.0 - slack / (count + PRIOR_READINGS);
    k_of_mean_cos(mean_length).clamp(LEAST_K, GREATEST_K)
}

/// −2·ln L + parameters·ln n; a set has two angles, a K and a share.
pub(super) fn bic(log_likelihood: f64, sets: usize, n: f64) -> f64 {
    #[allow(clippy::cast_precision_loss)] // a handful of sets
    let parameters = 4.0 * sets as f64;
    -2.0 * log_likelihood + parameters * n.ln()
}

/// Mean of cos θ in Fisher's distribution: coth K − 1/K.
fn mean_cos(k: f64) -> f64 {
    1.0 / k.tanh() - 1.0 / k
}

/// The K whose mean of cos θ is `mean`, which is below 1.
fn k_of_mean_cos(mean: f64) -> f64 {
    if mean <= 0.0 {
        return 0.0;
    }
    let mut k = mean * (3.0 - mean * mean) / (1.0 - mean * mean);
    // From this start (Banerjee et al. 2005, J. Mach. Learn. Res. 6, 1345-1382) a few steps of
    // Newton reach the last bits; for small K the start itself is good.
    for _ in 0..4 {
        if !(1e-3..1e6).contains(&k) {
            break;
        }
        let slope = 1.0 / (k * k) - 1.0 / k.sinh().powi(2);
        k -= (mean_cos(k) - mean) / slope;
    }
    k
}

#[cfg(test)]
mod tests {
    use super::super::Component;
    use super::*;

    #[test]
    fn the_share_of_the_near_end_is_the_hyperbolic_tangent_to_the_bit() {
        for i in -4000..4000 {
            let t = f64::from(i) / 100.0 + 1e-3;
            assert_eq!(near_share(t).to_bits(), t.tanh().to_bits(), "{t}");
        }
    }

    #[test]
    fn many_are_summed_as_few_are() {
        use crate::orientation::Plane;
        let axis = |dip_deg, dip_direction_deg| Plane { dip_deg, dip_direction_deg }.upward_normal();
        let axes: Vec<Vec3> = (0..2000_u32)
            .map(|i| axis(f64::from(i * 7 % 91), f64::from(i * 31 % 360)).into_inner())
            .collect();
        let singly = Counted::singly(&axes);
        let set = |dip, direction, k, share| Component { axis: axis(dip, direction), k, share };
        let mixture = Mixture {
            components: vec![
                set(70.0, 40.0, 5.0, 0.3),
                set(20.0, 200.0, 60.0, 0.3),
                set(89.0, 120.0, 900.0, 0.2),
            ],
            background: 0.2,
            log_likelihood: 0.0,
            bic: 0.0,
        };
        let scales: Vec<Scale> = mixture.components.iter().map(|c| Scale::of(c.k)).collect();
        let (few, many) =
            (sums_of(&singly, &mixture, &scales, by_tangent), sums_of(&singly, &mixture, &scales, by_ends));
        // Sums of 2,000 terms of up to 1.
        let same = |a: f64, b: f64| assert!((a - b).abs() < 1e-10, "{a} {b}");
        let alike = |one: &Sums, other: &Sums| {
            same(one.log_likelihood, other.log_likelihood);
            same(one.background, other.background);
            for (a, b) in one.sets.iter().zip(&other.sets) {
                same(a.0, b.0);
                same((a.1 - b.1).norm(), 0.0);
            }
        };
        alike(&few, &many);
        // Some orientations twice, some three times, side by side.
        let repeated: Vec<Vec3> =
            axes.iter().enumerate().flat_map(|(i, axis)| std::iter::repeat_n(*axis, 1 + i % 3)).collect();
        let together = Counted::together(&repeated);
        assert_eq!(together.len(), axes.len());
        let repeated = Counted::singly(&repeated);
        alike(
            &sums_of(&repeated, &mixture, &scales, by_ends),
            &sums_of(&together, &mixture, &scales, by_ends),
        );
    }

    #[test]
    fn k_returns_from_its_mean_cosine() {
        for k in [0.5, 2.0, 10.0, 50.0, 400.0] {
            let back = k_of_mean_cos(mean_cos(k));
            assert!((back - k).abs() < 1e-9 * k, "{k} {back}");
        }
    }
}
