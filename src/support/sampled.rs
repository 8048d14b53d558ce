//! The least along the drive of one wedge after the other, as fast as it goes: for studies that ask it of
//! very many.

use super::along::{AlongScratch, Support, each_bolt};
use super::track::Body;
use super::{Bolt, Layout, Pattern, PhaseGroup};
use crate::stability::{Reaction, Stability};
use crate::wedge::{Chain, Cone, Footprint};

/// The bolts of a drive whose patterns slide.
#[derive(Debug, Clone, Copy)]
pub struct Bolting<'a> {
    /// The section's perimeter, metres.
    pub perimeter_m: f64,
    /// The patterns.
    pub patterns: &'a [Pattern],
    /// The same, laid out.
    pub layouts: &'a [Layout],
    /// The bolts that the patterns name.
    pub bolts: &'a [Bolt],
    /// Which patterns slide together.
    pub groups: &'a [PhaseGroup],
}

/// Working memory, for one lot of bolts.
#[derive(Debug, Default)]
pub struct BoltingScratch<'a> {
    along: AlongScratch<'a>,
}

impl<'a> Bolting<'a> {
    fn support(&self) -> Support<'a> {
        Support { patterns: self.patterns, layouts: self.layouts, bolts: self.bolts, groups: self.groups }
    }

    /// The least factor of safety over all places along the drive of the wedge with this footprint, forces
    /// alone: that of [`super::place`] where one wedge alone is admissible. [`super::Rings`] find it sooner where
    /// they can.
    #[must_use]
    pub fn least_fs(
        &self,
        (chain, cone, foot): (&Chain<'_>, &Cone, &Footprint),
        stability: &Stability,
        scratch: &mut BoltingScratch<'a>,
    ) -> f64 {
        let body = Body { chain, cone, foot: *foot, perimeter_m: self.perimeter_m };
        self.support().along(&body, stability, &mut scratch.along).least_fs
    }

    /// The factor of safety at one place along the drive, each bolt without effect at a chance of `share`:
    /// `uniform` gives numbers from 0 up to 1, first one a group of patterns for the place, then one a bolt.
    #[must_use]
    pub fn fs_somewhere(
        &self,
        (chain, cone, foot): (&Chain<'_>, &Cone, &Footprint),
        stability: &Stability,
        share: f64,
        uniform: &mut dyn FnMut() -> f64,
    ) -> f64 {
        let body = Body { chain, cone, foot: *foot, perimeter_m: self.perimeter_m };
        let mut tracks = Vec::new();
        self.support().tracks(&body, stability, &mut tracks);
        let mut sum = Reaction::default();
        for group in self.groups {
            let phase_m = group.known_m(&foot.apex).unwrap_or_else(|| group.period_m * uniform());
            each_bolt(group, &tracks, phase_m, phase_m, |track, _, kn| {
                if uniform() >= share {
                    sum += track.effect.times(kn);
                }
            });
        }
        stability.fs(&sum)
    }
}
