use super::forces::{CheckError, CheckedWedge, Verdict, check_one};
use super::{Check, as_installed, decided, govern, installed, sizes};
use crate::case::Case;

/// Steps in which closer rings are tried, metres.
const RING_STEP_M: f64 = 0.1;

/// Closest rings that are tried, metres: below this a boom has no room between plates.
pub const CLOSEST_RINGS_M: f64 = 0.5;

/// Steps in which longer bolts are tried, metres: a foot, as bars are stocked.
pub(super) const LENGTH_STEP_M: f64 = 0.3;

/// Longest bolts that are tried, metres: what is set without a coupling in a five-metre heading.
pub const LONGEST_BOLT_M: f64 = 6.0;

/// The wedge that lacks most, and what would hold it.
#[derive(Debug, Clone, PartialEq)]
pub struct Remedy {
    /// Id of the wedge.
    pub wedge: String,
    /// Support force that is missing at its worst placement, kN.
    pub force_lacking_kn: f64,
    /// The widest rings that hold it with the same bolts; `None` when none down to
    /// [`CLOSEST_RINGS_M`] do, or without a pattern there.
    pub ring_spacing_m: Option<f64>,
    /// The shortest bolts that hold it in the same pattern; `None` when none up to
    /// [`LONGEST_BOLT_M`] do, or without a pattern there.
    pub length_m: Option<f64>,
    /// Index of the pattern that was changed, the first that covers one of the wedge's surfaces;
    /// `None` where none does.
    pub pattern: Option<usize>,
}

impl CheckedWedge {
    /// Support force that is missing at its worst placement, at the governing size where sizes were
    /// studied, kN; 0 where it is held.
    #[must_use]
    pub fn force_lacking_kn(&self) -> f64 {
        match (self.verdict, self.criterion_fs, &self.governing) {
            // Of a smaller size only its own forces tell; moments and collars off their place are
            // those of the largest.
            (Verdict::Short, Some(asked), Some(g)) if g.is_smaller && g.size.fs_bolted < asked => {
                (g.size.force_needed_kn - g.size.force_provided_kn).max(0.0)
            }
            (Verdict::Short, Some(asked), _) => {
                (asked - self.deciding_fs()).max(0.0) * self.stability.motion.driving_kn
            }
            _ => 0.0,
        }
    }
}

/// The short wedge that lacks most force, if any is short, and what would hold it: closer rings
/// or longer bolts in the first pattern that covers one of its surfaces. Where the check carries
/// governing sizes ([`govern`]), what would do holds every size.
///
/// # Errors
/// [`CheckError`] as [`super::check()`].
pub fn remedy(case: &Case, check: &Check) -> Result<Option<Remedy>, CheckError> {
    let worst = check
        .wedges
        .iter()
        .filter(|w| w.verdict == Verdict::Short)
        // The first of equals, whatever the order of the search.
        .reduce(|a, b| if b.force_lacking_kn() > a.force_lacking_kn() { b } else { a });
    let Some(worst) = worst else { return Ok(None) };
    let pattern = case
        .patterns
        .iter()
        .position(|p| worst.surfaces.iter().any(|&s| p.covers.iter().any(|c| c.includes(s))));
    let mut found = Remedy {
        wedge: worst.id.clone(),
        force_lacking_kn: worst.force_lacking_kn(),
        ring_spacing_m: None,
        length_m: None,
        pattern,
    };
    let Some(pattern) = pattern else { return Ok(Some(found)) };
    let holds =
        |changed: Case| holds(&changed, &worst.id, worst.governing.is_some() || worst.installed.is_some());
    let now = &case.patterns[pattern];

    // Whole tenths of a metre, so that what is printed is what was tried.
    let mut tenths = ((now.ring_spacing_m / RING_STEP_M) - 1e-6).floor();
    while tenths * RING_STEP_M >= CLOSEST_RINGS_M - 1e-9 {
        let mut changed = case.clone();
        changed.patterns[pattern].ring_spacing_m = tenths / 10.0;
        if holds(changed)? {
            found.ring_spacing_m = Some(tenths / 10.0);
            break;
        }
        tenths -= 1.0;
    }
    let mut steps = (now.length_m / LENGTH_STEP_M + 1e-6).floor() + 1.0;
    while steps * LENGTH_STEP_M <= LONGEST_BOLT_M + 1e-9 {
        let length_m = (steps * 3.0).round() / 10.0;
        let mut changed = case.clone();
        changed.patterns[pattern].length_m = length_m;
        if holds(changed)? {
            found.length_m = Some(length_m);
            break;
        }
        steps += 1.0;
    }
    Ok(Some(found))
}

/// Whether a wedge is held in a changed case, at every size where sizes count.
pub(super) fn holds(changed: &Case, id: &str, with_sizes: bool) -> Result<bool, CheckError> {
    let held = |check: &Check| check.wedges.first().is_some_and(|w| w.verdict == Verdict::Held);
    let alone = decided(changed, check_one(changed, id)?);
    // The largest alone first: it takes less time, and where it is short so is the whole.
    if !held(&alone) || !with_sizes {
        return Ok(held(&alone));
    }
    let curves = sizes(changed, &alone);
    let found = installed(changed, &alone);
    Ok(held(&decided(changed, as_installed(govern(alone, &curves), found))))
}
