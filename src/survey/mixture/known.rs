use super::{Component, Mixture};
use crate::orientation::{OrientationTensor, Vec3};

use super::em::shrunk_k;

/// Rounds in which shares settle; each only moves what lies between two sets.
const ROUNDS: usize = 100;
/// Shares that move by less than this have settled: a tenth of what one reading in a thousand is.
const SETTLED_SHARE: f64 = 1e-4;

/// A set as the unit axes that are known to belong to it show it; `None` without any. Its share is 0 until
/// [`with_shares`] finds it.
pub(crate) fn component_of(axes: &[Vec3]) -> Option<Component> {
    let axis = OrientationTensor::of_weighted(axes.iter().map(|axis| (*axis, 1.0)))?.axes[0];
    let resultant: f64 = axes.iter().map(|a| a.dot(&axis).abs()).sum();
    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
    let k = shrunk_k(axes.len() as f64, resultant);
    Some(Component { axis, k, share: 0.0 })
}

/// The mixture of sets whose means and scatter are known: only their shares of `axes`, and that of a uniform
/// background, are found (expectation and maximisation, as in [`super::fit_mixture`]).
pub(crate) fn with_shares(axes: &[Vec3], mut components: Vec<Component>) -> Mixture {
    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
    let (sets, n) = (components.len() as f64, axes.len() as f64);
    // As much to each set as to the background.
    let equal = 1.0 / (sets + 1.0);
    components.iter_mut().for_each(|c| c.share = equal);
    let mut mixture = Mixture { components, background: equal, log_likelihood: 0.0, bic: 0.0 };
    for _ in 0..if axes.is_empty() { 0 } else { ROUNDS } {
        let mut sums = vec![0.0; mixture.components.len()];
        mixture.memberships(axes, |row| sums.iter_mut().zip(row).for_each(|(sum, p)| *sum += p));
        let mut moved: f64 = 0.0;
        for (component, sum) in mixture.components.iter_mut().zip(&sums) {
            moved = moved.max((component.share - sum / n).abs());
            component.share = sum / n;
        }
        mixture.background = (1.0 - sums.iter().sum::<f64>() / n).max(0.0);
        if moved < SETTLED_SHARE {
            break;
        }
    }
    mixture
}
