use super::bolt_warnings::bolt_warnings;
use super::{
    AsBuiltCheck, Beside, Check, CheckError, Remedy, SizeCurve, Stages, as_built, as_installed, beside,
    check_with_moments, face, govern, installed, remedy, sizes, stages,
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

/// The whole check of a case: [`check_with_moments`], then [`sizes()`] and [`installed()`], each of
/// which can turn a verdict from held to short, then the wedges at the [`face()`], the [`stages()`], what
/// stands [`beside()`], and the stretch that was surveyed [`as_built()`].
///
/// # Errors
/// As [`super::check()`].
pub fn whole(case: &Case) -> Result<Whole, CheckError> {
    let checked = check_with_moments(case)?;
    let sizes = sizes(case, &checked);
    let found = installed(case, &checked);
    let mut check = face(case, as_installed(case, govern(case, checked, &sizes), found));
    let of_bolts = bolt_warnings(case, &check);
    check.warnings.extend(of_bolts);
    let stages = stages(case, &check);
    let beside = beside(case, &check, &sizes);
    let as_built = as_built(case, &check);
    Ok(Whole { check, sizes, stages, beside, as_built })
}

impl Whole {
    /// What would hold the worst wedge; see [`remedy()`].
    ///
    /// # Errors
    /// As [`super::check()`].
    pub fn remedy(&self, case: &Case) -> Result<Option<Remedy>, CheckError> {
        remedy(case, &self.check)
    }
}
