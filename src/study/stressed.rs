//! What elastic stress does to the wedges of a check, beside what decides on them.

use rayon::prelude::*;

use super::{Check, CheckedWedge, Warning};
use crate::case::Case;
use crate::orientation::Vec3;
use crate::stability::{Clamped, ClampedFace, Mode};
use crate::strength::StrengthLaw;
use crate::stress::{FaceForce, SectionStress, StressAround, forces_on_block};

/// Factors nearer than this share, or this much of the load along the movement, are the same: the way out of the
/// clamps is followed in steps.
const SAME_SHARE: f64 = 1e-4;

/// A wedge that moves without stress, as its largest size, clamped by the elastic stress in unbroken rock.
#[derive(Debug, Clone, PartialEq)]
pub struct Stressed {
    /// What stress brings to each joint before the wedge loosens, shear local (u, s, v); they add up to none.
    pub elastic: [FaceForce; 3],
    /// What its joints hold then; `None` where no balance was found.
    pub clamped: Option<Clamped>,
}

/// What stress does to a wedge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StressEffect {
    /// Its factor is higher with it.
    Clamps,
    /// Its factor is the same.
    Nothing,
    /// Its factor is lower.
    Lowers,
    /// It needs support even without its load.
    DrivesOut,
    /// No balance was found.
    NotFound,
    /// It does not move without stress.
    NotAsked,
}

impl StressEffect {
    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Clamps => "clamps",
            Self::Nothing => "nothing",
            Self::Lowers => "lowers",
            Self::DrivesOut => "drives out",
            Self::NotFound => "not found",
            Self::NotAsked => "not asked",
        }
    }

    /// Whether the wedge holds less with it.
    #[must_use]
    pub fn harms(self) -> bool {
        matches!(self, Self::Lowers | Self::DrivesOut)
    }
}

impl CheckedWedge {
    /// Factor of safety without support as its largest size, with the case's stress; `None` where it was not asked or
    /// not found. Below 0 stress drives it out. It decides nothing.
    #[must_use]
    pub fn fs_with_stress(&self) -> Option<f64> {
        Some(self.found.stressed.as_ref()?.clamped.as_ref()?.fs())
    }

    /// What the case's stress does to it, for a wedge of the drive in a case that has one.
    #[must_use]
    pub fn stress_effect(&self) -> StressEffect {
        if self.wedge.stability.motion.mode == Mode::NoMotion {
            return StressEffect::NotAsked;
        }
        let Some(fs) = self.fs_with_stress() else { return StressEffect::NotFound };
        let bare = self.found.fs_bare;
        let same = SAME_SHARE * bare.max(1.0);
        if fs < -same {
            StressEffect::DrivesOut
        } else if fs < bare - same {
            StressEffect::Lowers
        } else if fs > bare + same {
            StressEffect::Clamps
        } else {
            StressEffect::Nothing
        }
    }

    /// Support against the movement that its criterion asks for as its largest size with stress, kN: criterion × driving
    /// force − what the joints hold, as [`CheckedWedge::force_needed_kn`] is without; `None` where that is not known.
    #[must_use]
    pub fn force_needed_with_stress_kn(&self) -> Option<f64> {
        let clamped = self.found.stressed.as_ref()?.clamped.as_ref()?;
        Some((self.decided.criterion_fs? * clamped.driving_kn - clamped.resistance_kn).max(0.0))
    }
}

/// A check with what the case's stress does to each wedge of the drive that moves without it; untouched where the case has
/// none. The stress round the section is solved once. Wedges at the face are not asked: the stress there is no plane
/// strain.
pub(super) fn stressed(case: &Case, mut check: Check) -> Check {
    let Some(rock) = &case.site.stress else { return check };
    if let Some(solved) = SectionStress::of(&check.opening.section) {
        let around = solved.under(&rock.far, &check.opening.frame, rock.poisson);
        check.wedges.par_iter_mut().for_each(|wedge| {
            wedge.found.stressed = clamped(case, rock.stiffness_ratio, &around, wedge).map(Box::new);
        });
    }
    let warnings = warnings(case, &check);
    check.warnings.extend(warnings);
    check
}

fn clamped(
    case: &Case,
    stiffness_ratio: f64,
    around: &StressAround<'_>,
    wedge: &CheckedWedge,
) -> Option<Stressed> {
    let motion = &wedge.wedge.stability.motion;
    if motion.mode == Mode::NoMotion {
        return None;
    }
    let (shape, inward) = (&wedge.wedge.shape, &wedge.wedge.cone.inward);
    let faces: [(Vec<Vec3>, Vec3); 3] = std::array::from_fn(|i| {
        let corners = std::iter::once(shape.apex).chain(shape.joints[i].trace.iter().copied());
        (corners.collect(), inward[i])
    });
    let elastic: [FaceForce; 3] = forces_on_block(around, &faces).try_into().ok()?;
    let faces: [ClampedFace; 3] = std::array::from_fn(|i| ClampedFace {
        inward: inward[i],
        force: elastic[i],
        strength: case.joints[wedge.wedge.sets[i]].strength,
        stiffness_ratio,
    });
    Some(Stressed { elastic, clamped: Clamped::of(motion, &faces).ok() })
}

fn warnings(case: &Case, check: &Check) -> Vec<Warning> {
    let with = |is: fn(StressEffect) -> bool| check.wedges.iter().filter(move |w| is(w.stress_effect()));
    let harmed: Vec<String> = with(StressEffect::harms)
        .map(|w| {
            let fs = w.fs_with_stress().unwrap_or_default();
            format!("{} from {:.2} to {fs:.2}", w.wedge.id, w.found.fs_bare)
        })
        .collect();
    let lost: Vec<&str> = with(|e| e == StressEffect::NotFound).map(|w| w.wedge.id.as_str()).collect();
    let harmed = (!harmed.is_empty()).then(|| Warning::StressHarms { wedges: harmed.join(", ") });
    let lost = (!lost.is_empty()).then(|| Warning::StressNotFound { wedges: lost.join(", ") });
    harmed.into_iter().chain(lost).chain(beyond_laws(case, check)).collect()
}

/// Joints whose law was drawn as a line up to a normal stress that a wedge under stress goes beyond: the most of each
/// joint, in the order of the case.
fn beyond_laws(case: &Case, check: &Check) -> Vec<Warning> {
    let beyond = |(index, joint): (usize, &crate::case::Joint)| {
        let up_to_kpa = joint.law.as_ref().and_then(StrengthLaw::up_to_kpa)?;
        let pressed = check.wedges.iter().filter_map(|wedge| {
            let place = wedge.wedge.sets.iter().position(|s| *s == index)?;
            let clamped = wedge.found.stressed.as_ref()?.clamped.as_ref()?;
            let kpa = clamped.normal_kn.get(place)? / wedge.wedge.shape.joints[place].area_m2;
            Some((kpa, wedge.wedge.id.clone()))
        });
        let (kpa, wedge) = pressed.max_by(|a, b| a.0.total_cmp(&b.0))?;
        let joint = joint.name.clone();
        (kpa > up_to_kpa).then_some(Warning::StressBeyondLaw { joint, wedge, kpa, up_to_kpa })
    };
    case.joints.iter().enumerate().filter_map(beyond).collect()
}
