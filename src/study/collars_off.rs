use super::{Whole, installed, margin, tightest};
use crate::case::Case;
use crate::case::practice::COLLAR_TOLERANCE_M;
use crate::support::Installation;

/// What is left of an option's margin where every collar may stand off its drawn place: what rests on a
/// few millimetres of bolt inside a wedge shows here.
#[derive(Debug, Clone, PartialEq)]
pub struct CollarsOff {
    /// How far off, metres on the surface.
    pub tolerance_m: f64,
    /// Whether the case gives it; otherwise it is common practice without a source.
    pub given: bool,
    /// Least ratio of factor of safety to what is asked, over all that [`margin()`] looks at and over the
    /// largest wedges with collars off by as much as that, forces alone.
    pub margin: f64,
    /// The wedge that has it; `None` where nothing moves.
    pub wedge: Option<String>,
}

/// How a checked case fares with its collars off by the case's tolerance, or by
/// [`COLLAR_TOLERANCE_M`] where it gives none.
#[must_use]
pub fn collars_off(case: &Case, whole: &Whole) -> CollarsOff {
    let typed_m = case.installation.collar_tolerance_m;
    let tolerance_m = typed_m.unwrap_or(COLLAR_TOLERANCE_M);
    let mut asking = case.clone();
    asking.installation = Installation { collar_tolerance_m: Some(tolerance_m), ..Installation::default() };
    let mut found = CollarsOff {
        tolerance_m,
        given: typed_m.is_some(),
        margin: margin(whole),
        wedge: tightest(whole).map(|lack| lack.wedge),
    };
    for off in installed(&asking, &whole.check) {
        let asked = whole.check.wedges.iter().find(|w| w.wedge.id == off.wedge);
        let asked_fs = asked.and_then(|w| w.decided.criterion_fs);
        let Some((fs, asked_fs)) = off.fs_collar_tolerance.zip(asked_fs) else { continue };
        if fs / asked_fs < found.margin {
            found.margin = fs / asked_fs;
            found.wedge = Some(off.wedge);
        }
    }
    found
}
