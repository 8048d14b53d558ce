use nalgebra::Unit;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rayon::prelude::*;

use super::Mixture;
use super::em::{Counted, bic, improve, improve_on};
use super::starts::{around, scattered, with_one_more};
use crate::numeric::evenly_picked;
use crate::orientation::Vec3;

/// How a mixture is fitted.
#[derive(Debug, Clone, PartialEq)]
pub struct MixtureOptions {
    /// The number of sets, when it is not to be chosen.
    pub sets: Option<usize>,
    /// Mean axes to start from, of any length. Without `sets` their number is taken.
    pub starts: Vec<Vec3>,
    /// The most sets to try when the number is chosen.
    pub most_sets: usize,
    /// Seed of the random starts.
    pub seed: u64,
}

impl Default for MixtureOptions {
    fn default() -> Self {
        Self { sets: None, starts: Vec::new(), most_sets: 8, seed: 1 }
    }
}

/// A set that stands for fewer readings than this is not counted as one.
const LEAST_READINGS: f64 = 4.0;
/// Random starts for each number of sets, besides the one that grows from the fit before.
const RANDOM_STARTS: u64 = 8;
/// Rounds that a start is given to show what it is worth, and that the best one gets.
const TRIAL_ROUNDS: usize = 12;
const FULL_ROUNDS: usize = 400;
/// The number of sets is chosen on at most this many readings, evenly picked: more would only
/// resolve departures of real sets from the model, not further sets. The fit itself uses all.
const READINGS_TO_CHOOSE: usize = 3000;
/// Numbers of sets tried beyond the best one so far before giving up.
const PATIENCE: usize = 2;

/// Fits a mixture to unit `axes`; without readings there is nothing but background.
///
/// Reproducible: the same axes in the same order, options and seed give the same bits on any
/// number of threads.
#[must_use]
pub fn fit_mixture(axes: &[Vec3], options: &MixtureOptions) -> Mixture {
    let nothing = Mixture { components: Vec::new(), background: 1.0, log_likelihood: 0.0, bic: 0.0 };
    if axes.is_empty() {
        return nothing;
    }
    let picked = evenly_picked(axes, READINGS_TO_CHOOSE);
    let chosen = if !options.starts.is_empty() || options.sets.is_some() {
        fixed(&picked, options, nothing)
    } else {
        choose(&picked, options, nothing)
    };
    let mut fitted = if picked.len() < axes.len() {
        improve_on(&Counted::together(axes), chosen, FULL_ROUNDS)
    } else {
        chosen
    };
    if options.starts.is_empty() {
        fitted.components.sort_by(|a, b| {
            b.share
                .total_cmp(&a.share)
                .then(b.k.total_cmp(&a.k))
                .then(b.axis.x.abs().total_cmp(&a.axis.x.abs()))
        });
    }
    fitted
}

fn fixed(axes: &[Vec3], options: &MixtureOptions, nothing: Mixture) -> Mixture {
    let sets = options.sets.unwrap_or(options.starts.len());
    let starts: Vec<Unit<Vec3>> =
        options.starts.iter().filter_map(|axis| Unit::try_new(*axis, f64::MIN_POSITIVE)).collect();
    let mut fitted = nothing;
    if !starts.is_empty() {
        fitted = improve(axes, around(&starts), FULL_ROUNDS);
    }
    while fitted.components.len() < sets {
        let more = fitted.components.len() + 1;
        match best_of(axes, &fitted, more, starts.is_empty(), options.seed) {
            Some(next) => fitted = next,
            None => break,
        }
    }
    fitted
}

fn choose(axes: &[Vec3], options: &MixtureOptions, nothing: Mixture) -> Mixture {
    let mut best = nothing.clone();
    let mut fitted = nothing;
    for sets in 1..=options.most_sets {
        let Some(next) = best_of(axes, &fitted, sets, true, options.seed) else {
            break;
        };
        fitted = next;
        if fitted.bic < best.bic && is_whole(&fitted, axes.len()) {
            best = fitted.clone();
        } else if sets >= best.components.len() + PATIENCE {
            break;
        }
    }
    best
}

/// True when every set stands for enough readings to be one.
fn is_whole(mixture: &Mixture, readings: usize) -> bool {
    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
    let n = readings as f64;
    mixture.components.iter().all(|c| c.share * n >= LEAST_READINGS)
}

/// The best fit with `sets` sets, from the one with a set less and from random starts.
fn best_of(axes: &[Vec3], smaller: &Mixture, sets: usize, random: bool, seed: u64) -> Option<Mixture> {
    let grown = with_one_more(axes, smaller)?;
    let mut starts = vec![grown];
    if random && sets > 1 {
        for start in 0..RANDOM_STARTS {
            let mut rng = ChaCha8Rng::seed_from_u64(seed);
            // A stream for each start: none depends on how many there are.
            rng.set_stream(sets as u64 * 1000 + start);
            starts.push(scattered(axes, sets, &mut rng));
        }
    }
    let trials: Vec<Mixture> =
        starts.into_par_iter().map(|start| improve(axes, start, TRIAL_ROUNDS)).collect();
    // The grown start is always carried through, as is the most promising other one.
    let promising = trials
        .iter()
        .enumerate()
        .skip(1)
        .max_by(|a, b| a.1.log_likelihood.total_cmp(&b.1.log_likelihood))
        .map(|(at, _)| at);
    [Some(0), promising]
        .into_iter()
        .flatten()
        .map(|at| improve(axes, trials[at].clone(), FULL_ROUNDS))
        .max_by(|a, b| a.log_likelihood.total_cmp(&b.log_likelihood))
        .map(|mut best| {
            #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
            let n = axes.len() as f64;
            best.bic = bic(best.log_likelihood, sets, n);
            best
        })
}
