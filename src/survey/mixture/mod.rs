//! A mixture of axial Fisher distributions over a uniform background: which joint belongs to
//! which set, when nobody said so.
//!
//! The density of an axis x in a set with mean axis μ and concentration K is
//! K·cosh(K·μ·x)/(2π·sinh K) on a hemisphere: Fisher's distribution (Fisher 1953) folded over,
//! so that x and −x are the same joint. The background is 1/2π. Fitted by expectation and
//! maximisation (Dempster, Laird & Rubin 1977, *J. R. Stat. Soc.* B 39, 1-38); the number of
//! sets by the Bayesian information criterion (Schwarz 1978, *Ann. Stat.* 6, 461-464).
//!
//! Everything here depends on the order of its input in the last bits only, and callers sort
//! readings first, so that the order of a file's rows does not matter at all.

mod choose;
mod em;
mod known;
mod starts;

pub use choose::{MixtureOptions, fit_mixture};
pub(crate) use known::{component_of, with_shares};
pub(crate) use starts::uniform;

use nalgebra::Unit;

use crate::orientation::Vec3;

/// One joint set of a mixture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Component {
    /// Mean axis; its sense means nothing.
    pub axis: Unit<Vec3>,
    /// Fisher's K.
    pub k: f64,
    /// Share of all readings, 0 to 1.
    pub share: f64,
}

/// A fitted mixture.
#[derive(Debug, Clone, PartialEq)]
pub struct Mixture {
    /// The sets, greatest share first.
    pub components: Vec<Component>,
    /// Share of readings that belong to none, 0 to 1.
    pub background: f64,
    /// Logarithm of the likelihood against all readings being background.
    pub log_likelihood: f64,
    /// Bayesian information criterion, −2·ln L + 4·sets·ln n; least is best.
    pub bic: f64,
}

impl Component {
    /// Density of `axis`, a unit vector, as a multiple of the uniform one:
    /// K·cosh(K·c)/sinh K = K·(e^(K(c−1)) + e^(−K(c+1)))/(1 − e^(−2K)) with c = |μ·x|.
    #[must_use]
    pub fn relative_density(&self, axis: &Vec3) -> f64 {
        let cos = self.axis.dot(axis).abs();
        Scale::of(self.k).relative_density(cos)
    }
}

/// What of the density does not depend on the reading.
#[derive(Debug, Clone, Copy)]
struct Scale {
    k: f64,
    factor: f64,
}

/// Below e^−40 the far end of an axis adds nothing to a double.
const NEGLIGIBLE_EXPONENT: f64 = 20.0;

impl Scale {
    fn of(k: f64) -> Self {
        Self { k, factor: k / -(-2.0 * k).exp_m1() }
    }

    fn relative_density(self, cos: f64) -> f64 {
        let (near, far) = self.ends(cos);
        self.factor * (near + far)
    }

    /// What the near and the far end of the mean axis give, over `factor`.
    fn ends(self, cos: f64) -> (f64, f64) {
        let near = (self.k * (cos - 1.0)).exp();
        let far = if self.k * cos > NEGLIGIBLE_EXPONENT { 0.0 } else { (-self.k * (cos + 1.0)).exp() };
        (near, far)
    }
}

impl Mixture {
    /// The probability of each set for one axis after the other, unit vectors, given to `each` in the order
    /// of the components; what is missing to 1 is the background's.
    pub fn memberships(&self, axes: &[Vec3], mut each: impl FnMut(&[f64])) {
        let scales: Vec<Scale> = self.components.iter().map(|c| Scale::of(c.k)).collect();
        let mut row = vec![0.0; scales.len()];
        let mut before = None;
        for axis in axes {
            // Many readings are of one orientation, and side by side where they are in order.
            if before == Some(axis) {
                each(&row);
                continue;
            }
            before = Some(axis);
            let mut total = self.background;
            for ((probability, component), scale) in row.iter_mut().zip(&self.components).zip(&scales) {
                *probability = component.share * scale.relative_density(component.axis.dot(axis).abs());
                total += *probability;
            }
            if total > 0.0 {
                for probability in &mut row {
                    *probability /= total;
                }
            }
            each(&row);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The density must integrate to 1: by the midpoint rule in cos θ, ∫₀¹ g dc = 1 as g is
    /// relative to the uniform density on the hemisphere.
    #[test]
    fn the_density_integrates_to_one() {
        for k in [1.0, 5.0, 30.0, 300.0] {
            let scale = Scale::of(k);
            let n = 200_000;
            let sum: f64 = (0..n).map(|i| scale.relative_density((f64::from(i) + 0.5) / f64::from(n))).sum();
            assert!((sum / f64::from(n) - 1.0).abs() < 1e-5, "K {k}");
        }
    }
}
