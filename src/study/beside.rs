use super::{
    AdviceRow, Check, CheckedPrism, PieceOf, SizeCurve, SurfaceStudy, Widest, advice, prisms, surface_study,
};
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
    /// Of each wedge the piece that is carried least ([`super::pieces()`]); empty unless they were asked
    /// for. They are stricter than the verdicts, which they do not change yet.
    pub pieces: Vec<PieceOf>,
}

/// Everything that stands beside a check and its sizes, without the search for spacings.
#[must_use]
pub fn beside(case: &Case, check: &Check, curves: &[SizeCurve]) -> Beside {
    Beside {
        surface: surface_study(case, check, curves),
        prisms: prisms(case, check),
        advice: advice(case, check),
        widest: Vec::new(),
        pieces: Vec::new(),
    }
}
