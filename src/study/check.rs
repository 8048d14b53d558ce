use super::bolt_warnings::bolt_warnings;
use super::needles::needles;
use super::{
    AsBuiltCheck, Beside, Check, CheckError, Remedy, SizeCurve, Stages, as_built, as_installed, beside,
    decided, face, forces_and_moments, govern, installed, remedy, sizes, stages,
};
use crate::case::Case;

/// All that is asked of a case at once: the check with every verdict final, and what its verdicts
/// rest on.
#[derive(Debug, Clone, PartialEq)]
pub struct Whole {
    /// Every wedge with moments in balance, judged by its governing size and as bolts get installed.
    pub check: Check,
    /// Every moving wedge over all its sizes.
    pub sizes: Vec<SizeCurve>,
    /// What stands at each moment of the cycle.
    pub stages: Stages,
    /// Surface support, prisms of two sets, advice.
    pub beside: Beside,
    /// A stretch of the drive as designed and as built; `None` where the case has no bolts as built.
    pub as_built: Option<AsBuiltCheck>,
}

/// The whole check of a case: [`forces_and_moments`], [`sizes()`] and [`installed()`] of the wedges in
/// the drive, the wedges at the [`face()`], and the verdict on each ([`decided()`]); then the [`stages()`],
/// what stands [`beside()`], and the stretch that was surveyed [`as_built()`].
///
/// # Errors
/// As [`super::forces_alone()`].
pub fn check(case: &Case) -> Result<Whole, CheckError> {
    let checked = forces_and_moments(case)?;
    let sizes = sizes(case, &checked);
    let found = installed(case, &checked);
    let mut check = decided(case, face(case, as_installed(govern(checked, &sizes), found)));
    let warnings = needles(case, &check).into_iter().chain(bolt_warnings(case, &check));
    check.warnings.extend(warnings.collect::<Vec<_>>());
    let stages = stages(case, &check);
    let beside = beside(case, &check, &sizes);
    let as_built = as_built(case, &check);
    Ok(Whole { check, sizes, stages, beside, as_built })
}

impl Whole {
    /// What would hold the worst wedge; see [`remedy()`].
    ///
    /// # Errors
    /// As [`super::forces_alone()`].
    pub fn remedy(&self, case: &Case) -> Result<Option<Remedy>, CheckError> {
        remedy(case, &self.check)
    }
}
