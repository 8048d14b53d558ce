//! Where the search may put a wedge.

use super::along::Support;
use super::track::Body;
use super::{Bolt, Layout, Pattern, PhaseGroup};
use crate::wedge::{ADMISSIBLE_SHARE, Admissible, Cone, Footprint, Frontier};

/// Room for rounding where a wedge at the end of a band is measured again, relative.
const ENOUGH_ROUNDING: f64 = 1e-9;

/// A band shorter than this share of the chain is one place.
const POINT_SHARE: f64 = 1e-9;

/// Where the search may put a wedge, and the support it meets there.
#[derive(Debug, Clone, Copy)]
pub struct Positions<'a> {
    /// The admissible wedges of its pyramid.
    pub frontier: &'a Frontier<'a>,
    /// Its cone, local.
    pub cone: &'a Cone,
    /// The section's perimeter, metres.
    pub perimeter_m: f64,
    /// The patterns of the case.
    pub patterns: &'a [Pattern],
    /// The same, laid out.
    pub layouts: &'a [Layout],
    /// The bolts that the patterns name.
    pub bolts: &'a [Bolt],
    /// Which patterns slide together.
    pub groups: &'a [PhaseGroup],
}

impl<'a> Positions<'a> {
    pub(super) fn support(&self) -> Support<'a> {
        Support { patterns: self.patterns, layouts: self.layouts, bolts: self.bolts, groups: self.groups }
    }

    /// Chainage of the apex of the wedge with a footprint, where structures fix it, metres.
    pub(super) fn chainage_m(&self, foot: &Footprint) -> Option<f64> {
        self.groups.first()?.located.and_then(|l| l.chainage_m(&foot.apex))
    }

    /// The wedge with a footprint as bolts meet it.
    #[must_use]
    pub fn body(&self, foot: Footprint) -> Body<'a> {
        Body { chain: self.frontier.chain(), cone: self.cone, foot, perimeter_m: self.perimeter_m }
    }

    /// The equally admissible wedge at a place, of at least `enough_m3`. A band is known by its
    /// samples: between two of them the volume may fall short.
    pub(super) fn seat(&self, place_m: f64, enough_m3: f64) -> Option<Footprint> {
        let frontier = self.frontier;
        frontier.widest(place_m).filter(|foot| frontier.chain().volume_m3(foot) >= enough_m3)
    }

    /// Whether a band is so short that all its places are one.
    pub(super) fn is_point(&self, from_m: f64, to_m: f64) -> bool {
        to_m - from_m <= POINT_SHARE * self.frontier.chain().length_m()
    }
}

/// Volume that makes a wedge equally admissible.
pub(super) fn enough_m3(admissible: &Admissible) -> f64 {
    ADMISSIBLE_SHARE * (1.0 - ENOUGH_ROUNDING) * admissible.volume_m3
}
