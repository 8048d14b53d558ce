//! The bolts that stand in a stretch, each with where it comes from.

use super::phase::RingPhase;
use crate::case::{AsBuilt, Case};
use crate::study::Check;
use crate::support::{SetBolt, drawn_bolts};

/// The bolts of a stretch in the order of their chainage.
pub(super) struct Standing {
    pub bolts: Vec<SetBolt>,
    /// For each its index into the as-built bolts, `None` for a drawn one.
    pub found: Vec<Option<usize>>,
}

/// The bolts as drawn, and as they stand.
pub(super) struct Both {
    pub drawn: Standing,
    pub standing: Standing,
}

type Bolts = Vec<(SetBolt, Option<usize>)>;

impl Standing {
    fn of(mut all: Bolts) -> Self {
        all.sort_by(|a, b| a.0.chainage_m.total_cmp(&b.0.chainage_m));
        let (bolts, found) = all.into_iter().unzip();
        Self { bolts, found }
    }

    /// No bolts.
    pub fn none() -> Self {
        Self::of(Vec::new())
    }

    /// The bolts with their collars between two chainages, metres.
    pub fn between(&self, from_m: f64, to_m: f64) -> std::ops::Range<usize> {
        let first = self.bolts.partition_point(|b| b.chainage_m < from_m);
        let end = self.bolts.partition_point(|b| b.chainage_m <= to_m);
        first..end.max(first)
    }

    /// The bolts that stand in the stretch: those found, and where they add to the patterns those drawn.
    fn as_built(built: &AsBuilt, drawn: &Bolts) -> Self {
        let mut all: Bolts = built.bolts.iter().enumerate().map(|(i, b)| (b.set, Some(i))).collect();
        if !built.replaces {
            all.extend(drawn.iter().copied());
        }
        Self::of(all)
    }

    /// The same with further bolts, which are drilled where they are drawn.
    pub fn with(&self, more: impl IntoIterator<Item = SetBolt>) -> Self {
        let here = self.bolts.iter().copied().zip(self.found.iter().copied());
        Self::of(here.chain(more.into_iter().map(|bolt| (bolt, None))).collect())
    }
}

impl Both {
    /// Without what the design has at known chainages alone, and with it: such bolts are drawn for wedges that
    /// have a chainage too.
    pub fn of(case: &Case, check: &Check, built: &AsBuilt, phases: &[RingPhase]) -> (Self, Self) {
        let whole = drawn(case, check, built, phases);
        let with_local = whole.iter().copied().chain(drawn_locally(case, check, built)).collect();
        let both =
            |drawn: Bolts| Self { standing: Standing::as_built(built, &drawn), drawn: Standing::of(drawn) };
        (both(whole), both(with_local))
    }
}

/// The bolts that the patterns draw in the stretch.
fn drawn(case: &Case, check: &Check, built: &AsBuilt, phases: &[RingPhase]) -> Bolts {
    let mut drawn = Vec::new();
    for (index, phase) in phases.iter().enumerate() {
        let (pattern, layout) = (&case.patterns[index], &check.layouts[index]);
        let bolts = drawn_bolts(pattern, layout, phase.offset_m, built.from_m, built.to_m);
        drawn.extend(bolts.into_iter().map(|(_, bolt)| (bolt, None)));
    }
    drawn
}

/// The bolts of the stretch that the design has at known chainages alone.
fn drawn_locally(case: &Case, check: &Check, built: &AsBuilt) -> Bolts {
    let mut drawn = Vec::new();
    for (bolts, layout) in case.local.iter().zip(&check.local) {
        let found = drawn_bolts(bolts.pattern(), layout, bolts.from_m(), built.from_m, built.to_m);
        drawn.extend(found.into_iter().map(|(_, bolt)| (bolt, None)));
    }
    drawn
}
