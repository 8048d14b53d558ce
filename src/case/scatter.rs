//! Numbers of a case that scatter: how each is distributed, and the number that stands for it wherever one is
//! asked for.

use statrs::distribution::{ContinuousCDF, Normal};

use super::{Case, JointKind};
use crate::numeric::{normal_quantile, normal_quantiles};
use crate::orientation::Plane;

/// How a number is distributed before it is cut off.
#[derive(Debug, Clone, PartialEq)]
pub enum Law {
    /// Normal.
    Normal {
        /// Mean.
        mean: f64,
        /// Standard deviation, above 0.
        sd: f64,
    },
    /// Lognormal: mean and standard deviation are those of the number itself, not of its logarithm.
    Lognormal {
        /// Mean, above 0.
        mean: f64,
        /// Standard deviation, above 0.
        sd: f64,
    },
    /// Triangular.
    Triangular {
        /// Least.
        min: f64,
        /// Likeliest.
        mode: f64,
        /// Greatest.
        max: f64,
    },
    /// Uniform.
    Uniform {
        /// Least.
        min: f64,
        /// Greatest.
        max: f64,
    },
    /// One of these, each as likely as the others; sorted.
    Data(Vec<f64>),
}

impl Law {
    /// The word that case files use.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Self::Normal { .. } => "normal",
            Self::Lognormal { .. } => "lognormal",
            Self::Triangular { .. } => "triangular",
            Self::Uniform { .. } => "uniform",
            Self::Data(_) => "data",
        }
    }

    /// Its mean before it is cut off: the number that stands for it.
    #[must_use]
    pub fn mean(&self) -> f64 {
        match self {
            Self::Normal { mean, .. } | Self::Lognormal { mean, .. } => *mean,
            Self::Triangular { min, mode, max } => (min + mode + max) / 3.0,
            Self::Uniform { min, max } => 0.5 * (min + max),
            #[allow(clippy::cast_precision_loss)] // a list that somebody typed
            Self::Data(values) => values.iter().sum::<f64>() / values.len() as f64,
        }
    }

    /// Mean and standard deviation of the logarithm of a lognormal number.
    fn of_logarithm(mean: f64, sd: f64) -> (f64, f64) {
        let variance = (sd / mean).powi(2).ln_1p();
        (mean.ln() - 0.5 * variance, variance.sqrt())
    }

    /// The share below a value.
    fn below(&self, value: f64) -> f64 {
        match self {
            Self::Normal { mean, sd } => Normal::standard().cdf((value - mean) / sd),
            Self::Lognormal { mean, sd } => {
                let (m, s) = Self::of_logarithm(*mean, *sd);
                if value <= 0.0 { 0.0 } else { Normal::standard().cdf((value.ln() - m) / s) }
            }
            Self::Triangular { min, mode, max } => {
                let whole = max - min;
                if value <= *min {
                    0.0
                } else if value >= *max {
                    1.0
                } else if value <= *mode {
                    (value - min).powi(2) / (whole * (mode - min))
                } else {
                    1.0 - (max - value).powi(2) / (whole * (max - mode))
                }
            }
            Self::Uniform { min, max } => ((value - min) / (max - min)).clamp(0.0, 1.0),
            Self::Data(_) => 0.0,
        }
    }

    /// The value below which a share of it lies.
    fn quantile(&self, share: f64) -> f64 {
        match self {
            Self::Normal { mean, sd } => mean + sd * normal_quantile(share),
            Self::Lognormal { mean, sd } => {
                let (m, s) = Self::of_logarithm(*mean, *sd);
                (m + s * normal_quantile(share)).exp()
            }
            Self::Triangular { min, mode, max } => {
                let (whole, rising) = (max - min, mode - min);
                if share * whole <= rising {
                    min + (share * whole * rising).sqrt()
                } else {
                    max - ((1.0 - share) * whole * (max - mode)).sqrt()
                }
            }
            Self::Uniform { min, max } => min + share * (max - min),
            Self::Data(values) => {
                #[allow(
                    clippy::cast_precision_loss,
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss
                )]
                // a place in a list that somebody typed
                let at = (share * values.len() as f64) as usize;
                values[at.min(values.len() - 1)]
            }
        }
    }
}

/// A number that scatters, with what is cut off.
#[derive(Debug, Clone, PartialEq)]
pub struct Scattered {
    law: Law,
    least: f64,
    most: f64,
    /// The shares of the law below both.
    within: [f64; 2],
}

/// Why a number cannot scatter so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoScatter {
    /// Nothing of it lies between the two ends.
    Nothing,
}

/// A law that keeps less than this share between its ends is no law of that number.
const LEAST_KEPT: f64 = 1e-9;

impl Scattered {
    /// A law cut off below and above (infinite where it is not): what lies outside is drawn again, so that
    /// what is left keeps its shape.
    ///
    /// # Errors
    /// [`NoScatter`] where nothing is left.
    pub fn new(law: Law, least: f64, most: f64) -> Result<Self, NoScatter> {
        let law = match law {
            Law::Data(values) => {
                let mut kept: Vec<f64> = values.into_iter().filter(|v| (least..=most).contains(v)).collect();
                kept.sort_by(f64::total_cmp);
                if kept.is_empty() {
                    return Err(NoScatter::Nothing);
                }
                return Ok(Self { law: Law::Data(kept), least, most, within: [0.0, 1.0] });
            }
            law => law,
        };
        let share = |value: f64| match value {
            f64::NEG_INFINITY => 0.0,
            f64::INFINITY => 1.0,
            value => law.below(value),
        };
        let within = [share(least), share(most)];
        if within[1] - within[0] < LEAST_KEPT {
            return Err(NoScatter::Nothing);
        }
        Ok(Self { law, least, most, within })
    }

    /// Its law.
    #[must_use]
    pub fn law(&self) -> &Law {
        &self.law
    }

    /// Least and greatest value that it can have.
    #[must_use]
    pub fn ends(&self) -> [f64; 2] {
        [self.least, self.most]
    }

    /// Share of the law that is cut off.
    #[must_use]
    pub fn cut_off(&self) -> f64 {
        1.0 - (self.within[1] - self.within[0])
    }

    /// The value below which a share of it lies, 0 < share < 1: of a uniform number it makes a draw.
    #[must_use]
    pub fn quantile(&self, share: f64) -> f64 {
        let [low, high] = self.within;
        self.law.quantile(low + share * (high - low)).clamp(self.least, self.most)
    }

    /// [`Scattered::quantile`] of each share, to the same bits, the sooner for being many.
    pub fn quantiles(&self, shares: &mut [f64]) {
        let Law::Normal { mean, sd } = self.law else {
            return shares.iter_mut().for_each(|share| *share = self.quantile(*share));
        };
        let [low, high] = self.within;
        shares.iter_mut().for_each(|share| *share = low + *share * (high - low));
        normal_quantiles(shares);
        shares.iter_mut().for_each(|z| *z = (mean + sd * *z).clamp(self.least, self.most));
    }
}

/// A number of a case that may scatter; indices into the case's lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Unit weight of the rock.
    UnitWeight,
    /// Friction angle of a joint.
    Friction(usize),
    /// Cohesion of a joint.
    Cohesion(usize),
    /// Longest trace on a joint.
    MaxTrace(usize),
    /// Mean spacing of a set.
    Spacing(usize),
    /// Cap on every trace.
    LimitTrace,
    /// Cap on the depth of the apex.
    LimitDepth,
    /// Cap on the length along the drive.
    LimitLength,
    /// Cap on the volume.
    LimitVolume,
    /// What the steel of a bolt carries.
    Steel(usize),
    /// Bond of a bolt.
    Bond(usize),
    /// What the anchor of a bolt carries.
    Anchor(usize),
    /// What the plate of a bolt carries.
    Plate(usize),
}

/// A number of a case and how it scatters.
#[derive(Debug, Clone, PartialEq)]
pub struct ScatteredInput {
    /// Which one.
    pub quantity: Quantity,
    /// Its key as the case file has it, such as `joint_set[1].friction_deg`.
    pub key: String,
    /// How it scatters, as typed.
    pub scattered: Scattered,
    /// What the drawn number is multiplied by before it goes into the case: what is left of a bolt.
    pub factor: f64,
}

/// A joint set whose orientation is one of its own readings: each as often as its share of all weight, as it was
/// read and not turned about the mean.
#[derive(Debug, Clone, PartialEq)]
pub struct Resampled {
    /// Which joint.
    pub joint: usize,
    /// The table, as the case names it.
    pub file: String,
    /// The set, as the table names it.
    pub set: String,
    planes: Vec<Plane>,
    /// Share of all weight that a reading and those before it have.
    up_to: Vec<f64>,
}

impl Resampled {
    /// Readings of a set with their weights; `None` where no weight is above 0.
    #[must_use]
    pub fn new(joint: usize, file: &str, set: &str, readings: &[(Plane, f64)]) -> Option<Self> {
        let all: f64 = readings.iter().map(|(_, weight)| weight).sum();
        if all.is_nan() || all <= 0.0 {
            return None;
        }
        let mut sum = 0.0;
        let mut up_to = |weight: f64| {
            sum += weight;
            sum / all
        };
        Some(Self {
            joint,
            file: file.to_owned(),
            set: set.to_owned(),
            planes: readings.iter().map(|(plane, _)| *plane).collect(),
            up_to: readings.iter().map(|(_, weight)| up_to(*weight)).collect(),
        })
    }

    /// The readings, in the order of the table.
    #[must_use]
    pub fn planes(&self) -> &[Plane] {
        &self.planes
    }

    /// Which of them a share of all weight falls on, 0 < share < 1: of a uniform number it makes a draw.
    #[must_use]
    pub fn at(&self, share: f64) -> usize {
        self.up_to.partition_point(|up_to| *up_to <= share).min(self.planes.len() - 1)
    }
}

/// All that scatters in a case besides the orientations by Fisher's law, whose sets have [`super::Joint::fisher_k`].
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Scatter {
    /// The numbers, in the order of the file.
    pub inputs: Vec<ScatteredInput>,
    /// Correlation of friction and cohesion, by joint, between the normal numbers that both are drawn by.
    pub friction_cohesion: Vec<(usize, f64)>,
    /// Sets whose orientations are drawn from readings; a Fisher K that they have besides draws nothing.
    pub resampled: Vec<Resampled>,
}

impl Scatter {
    /// How the orientation of a joint of a case scatters.
    #[must_use]
    pub fn orientation<'a>(&'a self, case: &Case, joint: usize) -> OrientationScatter<'a> {
        let of = &case.joints[joint];
        match (self.resampled.iter().find(|r| r.joint == joint), of.fisher_k) {
            _ if of.kind != JointKind::Set => OrientationScatter::Fixed,
            (Some(resampled), _) => OrientationScatter::Resampled(resampled),
            (None, Some(k)) => OrientationScatter::Fisher(k),
            (None, None) => OrientationScatter::Fixed,
        }
    }
}

/// How the orientation of a joint scatters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OrientationScatter<'a> {
    /// It does not.
    Fixed,
    /// By Fisher's law round the mean, with this K.
    Fisher(f64),
    /// One of the set's readings.
    Resampled(&'a Resampled),
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moments(scattered: &Scattered) -> (f64, f64) {
        let n = 20_000;
        let values: Vec<f64> =
            (0..n).map(|i| scattered.quantile((f64::from(i) + 0.5) / f64::from(n))).collect();
        let mean = values.iter().sum::<f64>() / f64::from(n);
        let square = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / f64::from(n);
        (mean, square.sqrt())
    }

    /// Closed forms: triangular (a² + b² + c² − ab − ac − bc)/18, uniform width²/12, a normal cut at its
    /// mean: mean + sd·√(2/π), variance (1 − 2/π)·sd².
    #[test]
    fn quantiles_give_the_moments_of_the_laws() {
        let free = |law| Scattered::new(law, f64::NEG_INFINITY, f64::INFINITY).unwrap();
        let near = |s: &Scattered, mean: f64, sd: f64| {
            let found = moments(s);
            assert!((found.0 - mean).abs() < 2e-3 * sd && (found.1 / sd - 1.0).abs() < 5e-3, "{found:?}");
        };
        near(&free(Law::Normal { mean: 30.0, sd: 3.0 }), 30.0, 3.0);
        near(&free(Law::Lognormal { mean: 10.0, sd: 4.0 }), 10.0, 4.0);
        let triangular = free(Law::Triangular { min: 2.0, mode: 3.0, max: 7.0 });
        near(&triangular, 4.0, ((4.0f64 + 9.0 + 49.0 - 6.0 - 14.0 - 21.0) / 18.0).sqrt());
        near(&free(Law::Uniform { min: 2.0, max: 5.0 }), 3.5, 0.75f64.sqrt());
        near(&free(Law::Data(vec![1.0, 2.0, 6.0])), 3.0, (14.0f64 / 3.0).sqrt());
        let pi = std::f64::consts::PI;
        let half = Scattered::new(Law::Normal { mean: 5.0, sd: 2.0 }, 5.0, f64::INFINITY).unwrap();
        near(&half, 5.0 + 2.0 * (2.0 / pi).sqrt(), 2.0 * (1.0 - 2.0 / pi).sqrt());
        assert!((half.cut_off() - 0.5).abs() < 1e-12);
    }

    #[test]
    fn readings_are_drawn_by_their_weights() {
        let plane = |dip_deg| Plane { dip_deg, dip_direction_deg: 0.0 };
        let readings = [(plane(10.0), 1.0), (plane(20.0), 0.0), (plane(30.0), 3.0)];
        let of = Resampled::new(0, "readings.csv", "A", &readings).unwrap();
        let n = 1000;
        let drawn: Vec<usize> = (0..n).map(|i| of.at((f64::from(i) + 0.5) / f64::from(n))).collect();
        assert_eq!([0, 1, 2].map(|at| drawn.iter().filter(|d| **d == at).count()), [250, 0, 750]);
        assert_eq!(of.planes()[of.at(1.0 - 1e-16)].dip_deg, 30.0);
        assert!(Resampled::new(0, "readings.csv", "A", &readings[1..2]).is_none());
    }

    #[test]
    fn a_law_with_nothing_left_is_none() {
        let normal = Law::Normal { mean: 5.0, sd: 0.1 };
        assert_eq!(Scattered::new(normal, 9.0, 10.0), Err(NoScatter::Nothing));
        assert_eq!(Scattered::new(Law::Data(vec![1.0, 2.0]), 3.0, 4.0), Err(NoScatter::Nothing));
    }
}
