use rayon::prelude::*;
use serde::Serialize;

use super::{Check, CheckedWedge};
use crate::case::Case;
use crate::support::{Layout, place_one_missing, thinned};

/// The low quantile of a thinned pattern that is printed: one position in twenty is worse.
const LOW_SHARE: f64 = 0.05;

/// What the bolts hold of one wedge, its largest admissible size, as they get installed. Forces
/// alone: moments take collars as drawn and every bolt in place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Installed {
    /// Id of the wedge.
    pub wedge: String,
    /// Least factor of safety over all placements that holds wherever each collar stands within its
    /// tolerance: a bound from below. It enters the verdict.
    pub fs_collar_tolerance: Option<f64>,
    /// Least factor of safety over all placements with any one bolt missing; decides nothing.
    pub fs_one_missing: Option<f64>,
    /// The pattern with some bolts without effect; decides nothing.
    pub thinned: Option<Thinned>,
}

/// Factors of safety over positions along the drive with some bolts without effect.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Thinned {
    /// One position in twenty has less.
    pub fs_low: f64,
    /// Every other position has less.
    pub fs_median: f64,
    /// Share of positions where the criterion is not met.
    pub short_share: f64,
}

/// What the case's [`crate::support::Installation`] asks, for every wedge that moves and is held
/// against bolts, in the order of the check; empty where it asks nothing. `check` is what
/// [`super::forces_alone()`] found for `case`.
#[must_use]
pub fn installed(case: &Case, check: &Check) -> Vec<Installed> {
    // Of wedges in one place it decides; of others the judgement asks every size.
    let within = check.drive(case).off_their_place();
    check.wedges.par_iter().filter_map(|wedge| of_wedge(case, check, wedge, within.as_deref())).collect()
}

fn of_wedge(
    case: &Case,
    check: &Check,
    wedge: &CheckedWedge,
    within: Option<&[Layout]>,
) -> Option<Installed> {
    let placement = wedge.placement()?;
    let asked = wedge.decided.criterion_fs?;
    let installation = &case.installation;
    if !installation.asks() && !wedge.is_fixed() {
        return None;
    }
    let seat = check.seat(case, wedge)?;
    let admissible = seat.largest()?;
    let drawn = seat.positions();
    let thin = installation.ineffective_share.map(|share| {
        let stability = seat.stability(&placement.foot);
        let stream = stream(wedge);
        let factors = thinned(&drawn, &placement.foot, &stability, share, installation.seed, stream);
        let at = |quantile: f64| factors[(quantile * (factors.len() - 1) as f64) as usize];
        let short = factors.partition_point(|&fs| fs < asked);
        Thinned {
            fs_low: at(LOW_SHARE),
            fs_median: at(0.5),
            short_share: short as f64 / factors.len() as f64,
        }
    });
    Some(Installed {
        wedge: wedge.wedge.id.clone(),
        fs_collar_tolerance: within
            .map(|layouts| seat.place(&seat.positions_of(layouts), &admissible).least_fs),
        fs_one_missing: installation
            .any_one_missing
            .then(|| place_one_missing(&drawn, &admissible, &|foot| seat.stability(foot), &placement.foot)),
        thinned: thin,
    })
}

/// Draws of their own for each wedge of a case, whatever others it has.
fn stream(wedge: &CheckedWedge) -> u64 {
    let sides = wedge.wedge.pyramid.lower.iter().fold(0, |n, &lower| 2 * n + u64::from(lower));
    wedge.wedge.sets.iter().fold(sides, |n, &set| 1000 * n + set as u64)
}

/// The check with what [`installed`] found beside each wedge.
#[must_use]
pub fn as_installed(mut check: Check, found: Vec<Installed>) -> Check {
    for installed in found {
        if let Some(wedge) = check.wedges.iter_mut().find(|w| w.wedge.id == installed.wedge) {
            wedge.found.installed = Some(installed);
        }
    }
    check
}
