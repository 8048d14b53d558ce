use super::bolt_warnings::bolt_warnings;
use super::forces::{Moments, check_one, moments_of_fixed};
use super::judgement::{judgement_counted, with_factors_as_drawn};
use super::law_warnings::law_warnings;
use super::needles::needles;
use super::{
    AsBuiltCheck, Beside, Check, CheckError, ScanRow, SizeCurve, Stages, Steps, as_built, as_installed,
    beside, decided, face, installed, judge, scan_along, sizes, stages, with_spot_bolts,
};
use crate::case::Case;

/// All that is asked of a case at once: the check with every verdict final, and what its verdicts
/// rest on.
#[derive(Debug, Clone, PartialEq)]
pub struct Whole {
    /// Every wedge, judged by the piece of its pyramid that is carried least.
    pub check: Check,
    /// Every moving wedge over all its sizes.
    pub sizes: Vec<SizeCurve>,
    /// What stands at each moment of the cycle.
    pub stages: Stages,
    /// Surface support, prisms of two sets, advice.
    pub beside: Beside,
    /// A stretch of the drive as designed and as built; `None` where the case has no bolts as built.
    pub as_built: Option<AsBuiltCheck>,
    /// A scanned drive cut by cut; empty where the case asks for no further cuts.
    pub scan_along: Vec<ScanRow>,
}

/// The whole check of a case: [`super::forces_alone()`], [`sizes()`], [`installed()`] and the [`judgement()`](super::judgement())
/// of the wedges in the drive, the wedges at the [`face()`], and the verdict on each ([`decided()`]); then
/// the [`stages()`], what stands [`beside()`], and the stretch that was surveyed [`as_built()`].
///
/// # Errors
/// As [`super::forces_alone()`].
pub fn check(case: &Case) -> Result<Whole, CheckError> {
    check_counted(case, &Steps::default())
}

/// As [`check`], with its steps counted.
///
/// # Errors
/// As [`check`].
pub fn check_counted(case: &Case, steps: &Steps) -> Result<Whole, CheckError> {
    steps.begin("finding wedges", 0);
    let found = moments_of_fixed(case)?;
    let judged = with_factors_as_drawn(case, judged_of(case, found, steps), steps);
    steps.begin("looking at all sizes", 0);
    let sizes = sizes(case, &judged);
    steps.begin("looking at the face", 0);
    let mut check = decided(case, face(case, judged));
    let warnings = needles(case, &check)
        .into_iter()
        .chain(bolt_warnings(case, &check))
        .chain(law_warnings(case, &check));
    check.warnings.extend(warnings.collect::<Vec<_>>());
    steps.begin("looking at stages", 0);
    let stages = stages(case, &check);
    steps.begin("looking at what stands beside", 0);
    let beside = beside(case, &check);
    if case.site.as_built.is_some() {
        steps.begin("sweeping the stretch as built", 0);
    }
    let as_built = as_built(case, &check).map(|found| with_spot_bolts(case, &check, found));
    let scan_along = scan_along(case);
    Ok(Whole { check, sizes, stages, beside, as_built, scan_along })
}

/// All that is found of the wedges of the drive, nothing decided yet.
fn judged(case: &Case) -> Result<Check, CheckError> {
    Ok(judged_of(case, moments_of_fixed(case)?, &Steps::default()))
}

fn judged_of(case: &Case, checked: Check, steps: &Steps) -> Check {
    let checked = with_installed(case, checked);
    let pieces = judgement_counted(case, &checked, steps);
    judge(case, checked, pieces)
}

/// As much of it as does not hang on pieces: what decides on wedges that structures hold in one place.
pub(super) fn all_but_pieces(case: &Case) -> Result<Check, CheckError> {
    Ok(with_installed(case, moments_of_fixed(case)?))
}

fn with_installed(case: &Case, checked: Check) -> Check {
    let found = installed(case, &checked);
    as_installed(checked, found)
}

/// As much of [`check`] as says what the wedges of the drive lack.
pub(super) fn verdicts_alone(case: &Case) -> Result<Check, CheckError> {
    Ok(decided(case, judged(case)?))
}

/// The same with the stages: all that says what a case lacks.
pub(super) fn verdicts_and_stages(case: &Case) -> Result<(Check, Stages), CheckError> {
    let check = verdicts_alone(case)?;
    let stages = stages(case, &check);
    Ok((check, stages))
}

/// As [`verdicts_and_stages`], of one wedge of the drive by its id.
pub(super) fn verdicts_of_one(case: &Case, id: &str) -> Result<(Check, Stages), CheckError> {
    let checked = check_one(case, id, Moments::OfFixed)?;
    let check = decided(case, judged_of(case, checked, &Steps::default()));
    let stages = stages(case, &check);
    Ok((check, stages))
}

impl Whole {
    /// The check with each wedge as the piece that decides on it ([`CheckedWedge::deciding`]), where one
    /// was looked for: what drawings, bolts and sheets show.
    ///
    /// [`CheckedWedge::deciding`]: super::CheckedWedge::deciding
    #[must_use]
    pub fn deciding(&self) -> Check {
        let mut check = self.check.clone();
        for wedge in &mut check.wedges {
            if let Some(piece) = wedge.deciding() {
                *wedge = piece;
            }
        }
        check
    }
}
