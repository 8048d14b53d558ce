use super::{
    Check, CheckError, Remedy, SizeCurve, as_installed, check_with_moments, govern, installed, remedy, sizes,
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
}

/// The whole check of a case: [`check_with_moments`], then [`sizes`] and [`installed`], each of
/// which can turn a verdict from held to short.
///
/// # Errors
/// As [`super::check()`].
pub fn whole(case: &Case) -> Result<Whole, CheckError> {
    let checked = check_with_moments(case)?;
    let sizes = sizes(case, &checked);
    let found = installed(case, &checked);
    Ok(Whole { check: as_installed(govern(checked, &sizes), found), sizes })
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
