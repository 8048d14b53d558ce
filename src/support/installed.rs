//! Bolts as they get installed: one missing, or some of them without effect.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

use super::Positions;
use super::across::{Across, PLACES};
use super::along::{AlongScratch, each_bolt, each_joint_phase};
use super::track::Track;
use crate::stability::{Reaction, Stability};
use crate::wedge::{Admissible, Footprint};

/// How far from its drawn place a collar stands where a case does not say, metres. Common practice for
/// holes that are collared from a boom by eye; no source.
const COLLAR_TOLERANCE_M: f64 = 0.1;

/// How bolts get installed, as far as the user states it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Installation {
    /// How far from its drawn place a collar may stand, measured on the surface, metres; `None` stands
    /// for 0.1 m, and 0 for collars exactly as drawn.
    pub collar_tolerance_m: Option<f64>,
    /// Whether to ask what any one missing bolt leaves.
    pub any_one_missing: bool,
    /// Share of bolts without effect, 0 to below 1.
    pub ineffective_share: Option<f64>,
    /// What fixes which bolts those are.
    pub seed: u64,
}

impl Installation {
    /// The tolerance that verdicts count with, metres.
    #[must_use]
    pub fn judged_tolerance_m(&self) -> f64 {
        self.collar_tolerance_m.unwrap_or(COLLAR_TOLERANCE_M)
    }

    /// Whether it asks for anything beside the verdicts.
    #[must_use]
    pub fn asks(&self) -> bool {
        self.collar_tolerance_m.is_some_and(|m| m > 0.0)
            || self.any_one_missing
            || self.ineffective_share.is_some()
    }
}

/// Draws that a thinned pattern is judged by: the share of them below a factor is then known to
/// about one in a hundred.
pub const THINNED_DRAWS: usize = 2000;

/// The least factor of safety over all placements of a pyramid's admissible wedges with any one
/// bolt missing. `known` is a wedge that the search includes: the worst with every bolt in place.
#[must_use]
pub fn place_one_missing<'a>(
    positions: &Positions<'a>,
    admissible: &Admissible,
    judge: &dyn Fn(&Footprint) -> Stability,
    known: &Footprint,
) -> f64 {
    let support = positions.support();
    let mut scratch = AlongScratch::default();
    let mut along =
        |foot: &Footprint| support.along_one_missing(&positions.body(*foot), &judge(foot), &mut scratch);
    let tracks = |foot: &Footprint, into: &mut Vec<Track<'a>>| {
        support.tracks(&positions.body(*foot), &judge(foot), into);
    };
    let mut across = Across::new(positions, PLACES, admissible, &mut along, &tracks);
    across.least(admissible, &[*known]).1.least_fs
}

/// Factors of safety of one wedge at `THINNED_DRAWS` positions spread evenly along the drive, in
/// rising order, with each bolt without effect at a chance of `share` (0 to 1), independently: in
/// each position other bolts are. `seed` and `stream` fix the draws.
///
/// The wedge stays where it is across the section. In a drive without end some wedge meets any lot
/// of bolts, so the least of all draws says nothing: their quantiles do.
#[must_use]
pub fn thinned(
    positions: &Positions,
    foot: &Footprint,
    stability: &Stability,
    share: f64,
    seed: u64,
    stream: u64,
) -> Vec<f64> {
    let support = positions.support();
    let mut tracks = Vec::new();
    support.tracks(&positions.body(*foot), stability, &mut tracks);
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    rng.set_stream(stream);
    let mut factors = Vec::with_capacity(THINNED_DRAWS);
    each_joint_phase(support.groups, &foot.apex, THINNED_DRAWS, |phases| {
        let mut sum = Reaction::default();
        for (group, &phase_m) in support.groups.iter().zip(phases) {
            each_bolt(group, &tracks, phase_m, phase_m, |track, _, kn| {
                // 53 random bits: a number from 0 up to but not including 1.
                let chance = (rng.next_u64() >> 11) as f64 * (0.5f64).powi(53);
                if chance >= share {
                    sum += track.effect.times(kn);
                }
            });
        }
        factors.push(stability.fs(&sum));
    });
    factors.sort_by(f64::total_cmp);
    factors
}
