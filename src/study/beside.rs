use super::{AdviceRow, Check, CheckedPrism, SurfaceStudy, Widest, advice, prisms, surface_study};
use crate::case::Case;

/// What stands beside the verdicts on wedges: surface support and what it carries, prisms of two
/// sets, advice.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Beside {
    /// Screen, straps and shotcrete; the scaling list.
    pub surface: SurfaceStudy,
    /// Prisms of two joint sets along the drive.
    pub prisms: Vec<CheckedPrism>,
    /// Advisory rules from print.
    pub advice: Vec<AdviceRow>,
    /// Widest spacings and shortest bolts for each wedge ([`super::widest()`]); empty unless they were
    /// asked for: that search takes long.
    pub widest: Vec<Widest>,
}

/// Everything that stands beside a check, without the search for spacings.
#[must_use]
pub fn beside(case: &Case, check: &Check) -> Beside {
    Beside {
        surface: surface_study(case, check),
        prisms: prisms(case, check),
        advice: advice(case, check),
        widest: Vec::new(),
    }
}
