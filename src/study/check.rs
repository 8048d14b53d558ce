use super::bolt_warnings::bolt_warnings;
use super::face::at_face;
use super::forces::{Moments, check_one, moments_of_fixed};
use super::judgement::{judgement_counted, with_factors_as_drawn};
use super::law_warnings::law_warnings;
use super::needles::needles;
use super::stressed::with_stress_warnings;
use super::structure_warnings::structure_warnings;
use super::wedges::named;
use super::{
    AsBuiltCheck, Beside, Check, CheckError, ScanRow, SizeCurve, Stages, Steps, as_built, as_installed,
    beside, decided, installed, judge, scan_along, sizes, stages, with_spot_bolts,
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
/// of the wedges in the drive, the wedges at the [`super::face()`], and the verdict on each ([`decided()`]); then
/// the [`stages()`], what stands [`beside()`], and the stretch that was surveyed [`as_built()`].
///
/// # Example
/// A heading typed in code, its back bolted, no screen: what finds room between the collars has nobody to carry it.
/// ```
/// use backhold::{Bolt, BoltKind, Case, Criteria, Joint, Line, MohrCoulomb, Pattern, Plane, SectionShape};
/// use backhold::{Verdict, study};
///
/// # fn main() -> Result<(), study::CheckError> {
/// let set = |name, dip_deg, dip_direction_deg, friction_deg| {
///     Joint::set(name, Plane { dip_deg, dip_direction_deg }, MohrCoulomb { friction_deg, cohesion_kpa: 0.0 })
/// };
/// let mut case = Case::bare(
///     "heading 12 (invented)",
///     Line { trend_deg: 35.0, plunge_deg: 0.0 },
///     SectionShape::Arched { width_m: 5.0, wall_height_m: 3.2, rise_m: 1.6 },
///     3.6,                      // length of a round, metres
///     27.0,                     // unit weight, kN/m³
///     Criteria::of(2.0, 1.5),   // factors asked of what falls and of what slides
/// );
/// case.joints = vec![set("A", 66.0, 48.0, 32.0), set("B", 59.0, 170.0, 30.0), set("C", 51.0, 288.0, 29.0)];
/// case.bolts = vec![Bolt::bonded("rebar (invented)", BoltKind::Resin, 120.0, 180.0, 100.0)];
/// case.patterns = vec![Pattern::of_back(0, 2.4, 1.2, 1.2)];
///
/// let whole = study::check(&case)?;
/// let falling = whole.check.wedges.iter().find(|w| w.wedge.id == "A-B-C.111").expect("it is removable");
/// assert!(falling.wedge.weight_kn > 0.0);
/// assert_ne!(falling.decided.verdict, Verdict::Held);
/// // What decides is a piece of it: how large, and by what it is carried.
/// let piece = falling.deciding_piece().map(|p| p.weight_kn);
/// println!("{:?} of {:.1} kN, FS {:?}", piece, falling.wedge.weight_kn, falling.decided.fs);
/// # Ok(())
/// # }
/// ```
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
    let found = all_but_pieces(case)?;
    // None of the three asks what another finds: a core that one leaves idle goes on with the next.
    let pieces = || with_factors_as_drawn(case, with_pieces(case, found.clone(), steps), steps);
    let (mut judged, (sizes, at_face)) =
        rayon::join(pieces, || rayon::join(|| sizes(case, &found), || at_face(case, &found)));
    judged.face = at_face;
    let mut check = with_stress_warnings(case, decided(case, judged));
    let warnings = needles(case, &check)
        .into_iter()
        .chain(bolt_warnings(case, &check))
        .chain(law_warnings(case, &check))
        .chain(structure_warnings(case, &check));
    check.warnings.extend(warnings.collect::<Vec<_>>());
    let doing = match case.site.as_built {
        Some(_) => "sweeping the stretch as built",
        None => "looking at stages, and what stands beside",
    };
    steps.begin(doing, 0);
    let (stages, (beside, as_built)) = rayon::join(
        || stages(case, &check),
        || {
            let built = || as_built(case, &check).map(|found| with_spot_bolts(case, &check, found));
            rayon::join(|| beside(case, &check), built)
        },
    );
    let scan_along = scan_along(case);
    Ok(Whole { check, sizes, stages, beside, as_built, scan_along })
}

fn judged_of(case: &Case, checked: Check, steps: &Steps) -> Check {
    with_pieces(case, with_installed(case, checked), steps)
}

fn with_pieces(case: &Case, checked: Check, steps: &Steps) -> Check {
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
    verdicts_of_some(case, |_| true)
}

/// The same of some wedges alone, by their ids.
pub(super) fn verdicts_of_some(case: &Case, is_asked: impl Fn(&str) -> bool) -> Result<Check, CheckError> {
    let mut checked = moments_of_fixed(case)?;
    checked.wedges.retain(|w| is_asked(&w.wedge.id));
    Ok(decided(case, judged_of(case, checked, &Steps::default())))
}

/// The same with the stages: all that says what a case lacks.
pub(super) fn verdicts_and_stages(case: &Case) -> Result<(Check, Stages), CheckError> {
    let check = verdicts_alone(case)?;
    let stages = stages(case, &check);
    Ok((check, stages))
}

/// As [`verdicts_and_stages`], of one wedge of the drive by its id.
pub(super) fn verdicts_of_one(case: &Case, id: &str) -> Result<(Check, Stages), CheckError> {
    let checked = check_one(case, named(case, id), Moments::OfFixed)?;
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
        for wedge in check.wedges.iter_mut().chain(&mut check.face) {
            if let Some(piece) = wedge.deciding() {
                *wedge = piece;
            }
        }
        check
    }
}
