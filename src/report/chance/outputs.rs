//! Chances with all that their files need.

use crate::case::{Case, Scatter};
use crate::report::record::{Asked, SignOff};
use crate::study::chance::{Chance, ChanceAsk, Driver, Spread, drivers};

/// What was asked of draws, as a summary holds it.
#[must_use]
pub fn chance_asked(ask: &ChanceAsk, samples: bool) -> Asked {
    let ChanceAsk { from, to, seed, spread, half_width, judged } = *ask;
    Asked::Chance { from, to, seed, latin: spread == Spread::LatinHypercube, half_width, judged, samples }
}

/// Chances with all that their files need.
#[derive(Debug, Clone, Copy)]
pub struct ChanceOutputs<'a> {
    /// The case, numbers at their means.
    pub case: &'a Case,
    /// What scatters in it.
    pub scatter: &'a Scatter,
    /// What was asked.
    pub ask: &'a ChanceAsk,
    /// What was found.
    pub found: &'a Chance,
    /// Whether samples.csv was asked for.
    pub samples: bool,
    /// What the reader of the case file wondered about.
    pub notes: &'a [String],
    /// Who signs, and the files that the case was read from.
    pub sign_off: SignOff<'a>,
    /// The date that was given, if any.
    pub dated: Option<&'a str>,
}

impl ChanceOutputs<'_> {
    /// What was asked, as a summary holds it.
    pub(super) fn asked(&self) -> Asked {
        chance_asked(self.ask, self.samples)
    }

    /// What drives what comes out.
    pub(super) fn drivers(&self) -> Vec<Driver> {
        drivers(self.case, self.scatter, self.found)
    }

    /// Whether the case has bolts.
    pub(super) fn bolted(&self) -> bool {
        !self.case.patterns.is_empty()
    }

    /// Whether some bolts are drawn to be without effect.
    pub(super) fn thinned(&self) -> bool {
        self.bolted() && self.case.installation.ineffective_share.is_some()
    }
}
