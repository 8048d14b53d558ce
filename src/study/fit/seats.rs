//! What of a case does not hang on its pattern: the pyramids, their largest wedges, and the
//! placements that were bad for a pattern.

use crate::case::Case;
use crate::opening::Opening;
use crate::stability::Mode;
use crate::study::seat::{Drive, Seat as OnDrive, criterion_fs};
use crate::study::wedges::{Candidate as Pyramid, candidates};
use crate::study::{LEAST_VOLUME_M3, LONGEST_PLACED_M};
use crate::support::{
    Layout, PhaseGroup, Positions, bolted_ground, least_along, located_groups, phase_groups,
};
use crate::wedge::Footprint;

/// So many bad placements of a pyramid are remembered, the latest first.
const REMEMBERED: usize = 12;

/// A placement across the section refuses a pattern where its factor lies below the criterion by
/// more than this share: the search that judges finds the least to 0.1 %.
const SURE_SHARE: f64 = 0.998;

/// The pyramids of a case.
pub(super) fn pyramids(case: &Case, opening: &Opening) -> Vec<Pyramid> {
    candidates(case, opening, &mut Vec::new())
}

/// A pyramid whose largest wedge moves.
pub(super) struct Seat<'a> {
    pub pyramid: &'a Pyramid,
    opening: &'a Opening,
    on: OnDrive<'a>,
    shown: Footprint,
    pub asked: f64,
    pub mode: Mode,
}

/// Placements that were bad for some pattern.
#[derive(Debug, Clone, Default)]
pub(super) struct Bad {
    /// Of the largest wedge.
    pub largest: Vec<Footprint>,
    /// Of smaller ones.
    pub smaller: Vec<Footprint>,
}

impl Bad {
    pub fn remember(list: &mut Vec<Footprint>, foot: Footprint) {
        list.retain(|f| *f != foot);
        list.insert(0, foot);
        list.truncate(REMEMBERED);
    }
}

impl<'a> Seat<'a> {
    /// `None` where the pyramid has no wedge that bolts are to hold.
    pub fn of(case: &'a Case, opening: &'a Opening, pyramid: &'a Pyramid) -> Option<Self> {
        let drive = Drive { case, opening, layouts: &[], groups: &[] };
        let on = OnDrive::of_candidate(drive, pyramid)?;
        let whole = on.uncapped()?;
        if on.volume_m3(&whole) < LEAST_VOLUME_M3
            || on.chain().extent_along_drive_m(&whole) > LONGEST_PLACED_M
        {
            return None; // left to the check itself
        }
        let found = on.largest()?;
        if found.volume_m3 < LEAST_VOLUME_M3 {
            return None;
        }
        let mode = on.stability(&found.shown).motion.mode;
        let asked = criterion_fs(case, mode)?;
        Some(Self { pyramid, opening, on, shown: found.shown, asked, mode })
    }

    fn fs(&self, pattern: &Laid, foot: &Footprint) -> f64 {
        let groups = located_groups(&pattern.groups, self.on.located());
        let positions = Positions {
            patterns: &pattern.case.patterns,
            layouts: std::slice::from_ref(&pattern.layout),
            bolts: &pattern.case.bolts,
            groups: &groups,
            ..self.on.positions()
        };
        least_along(&positions, foot, &self.on.stability(foot))
    }

    /// Whether a known placement of the largest wedge is short with this pattern: the least over all
    /// placements is never above it.
    pub fn short_at_largest(&self, pattern: &Laid, bad: &Bad) -> bool {
        self.fs(pattern, &self.shown) < self.asked
            || bad.largest.iter().any(|foot| self.fs(pattern, foot) < SURE_SHARE * self.asked)
    }

    /// How near the largest wedge comes to what is asked, at the placements that are known.
    pub fn margin_at_largest(&self, pattern: &Laid, bad: &Bad) -> f64 {
        let shown = self.fs(pattern, &self.shown);
        bad.largest.iter().map(|foot| self.fs(pattern, foot)).fold(shown, f64::min) / self.asked
    }

    /// Whether a known smaller wedge is short with this pattern, one that the bolts carry: larger
    /// than what slips between them, its whole face on ground that they cover.
    pub fn short_at_smaller(&self, pattern: &Laid, bad: &Bad, above_m3: f64) -> bool {
        if bad.smaller.is_empty() {
            return false;
        }
        let layouts = std::slice::from_ref(&pattern.layout);
        let grounds = bolted_ground(self.on.chain(), self.opening, &pattern.case.patterns, layouts);
        bad.smaller.iter().any(|foot| {
            let [from_m, _, to_m] = foot.along_m;
            self.on.volume_m3(foot) > above_m3
                && grounds.iter().any(|g| g.from_m <= from_m && to_m <= g.to_m)
                && self.fs(pattern, foot) < SURE_SHARE * self.asked
        })
    }
}

/// A candidate laid out.
pub(super) struct Laid {
    pub case: Case,
    layout: Layout,
    groups: Vec<PhaseGroup>,
}

impl Laid {
    /// `None` where no collar falls on what it covers.
    pub fn of(case: Case, opening: &Opening) -> Option<Self> {
        let layout = Layout::new(case.patterns.first()?, opening).ok()?;
        Some(Self { groups: phase_groups(&case.patterns), layout, case })
    }
}
