//! What elastic stress does to the wedges of a check: beside what decides where it clamps, and a loss of resistance where it
//! harms.

use super::{Check, CheckedWedge, Warning};
use crate::case::Case;
use crate::orientation::Vec3;
use crate::stability::{Clamped, ClampedFace, Mode, SAME_RESISTANCE, Stability, StressLoss};
use crate::strength::{MohrCoulomb, StrengthLaw};
use crate::stress::{Accuracy, FaceForce, RockStress, StressAround, forces_on_block};
use crate::wedge::{Footprint, Shape};

/// A wedge that moves without stress, as its largest size, clamped by the elastic stress in unbroken rock.
#[derive(Debug, Clone, PartialEq)]
pub struct Stressed {
    /// What stress brings to each joint before the wedge loosens, shear local (u, s, v); they add up to none.
    pub elastic: [FaceForce; 3],
    /// What its joints hold then; `None` where no balance was found.
    pub clamped: Option<Clamped>,
    /// The pieces of its pyramid that are asked, the largest first: what support has to hold of them with stress is asked by
    /// the judgement.
    pub asked: Vec<AskedPiece>,
    /// Whether what drives a wedge out fades ([`RockStress::fades`]).
    pub fades: bool,
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
    /// not found. Below 0 stress drives it out.
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
        let same = SAME_RESISTANCE * bare.max(1.0);
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

/// What stress does to one of the pieces of a pyramid that are asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PieceUnderStress {
    /// It holds no less with it.
    Unharmed,
    /// It holds so much less.
    Harmed(StressLoss),
    /// No balance was found.
    NotFound,
}

/// A piece of a pyramid that is asked what stress does to it, whatever supports it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AskedPiece {
    /// The piece.
    pub foot: Footprint,
    /// Its volume, cubic metres.
    pub volume_m3: f64,
    /// What was found.
    pub found: PieceUnderStress,
}

impl Stressed {
    /// A wedge with this shape and this equilibrium without stress; `None` where it does not move.
    pub(super) fn of(
        (rock, around, accuracy): (&RockStress, &StressAround<'_>, Accuracy),
        shape: &Shape,
        inward: &[Vec3; 3],
        strengths: &[MohrCoulomb; 3],
        stability: &Stability,
    ) -> Option<Self> {
        if stability.motion.mode == Mode::NoMotion {
            return None;
        }
        let faces: [(Vec<Vec3>, Vec3); 3] = std::array::from_fn(|i| {
            let corners = std::iter::once(shape.apex).chain(shape.joints[i].trace.iter().copied());
            (corners.collect(), inward[i])
        });
        let elastic: [FaceForce; 3] = forces_on_block(around, &faces, accuracy).try_into().ok()?;
        let faces: [ClampedFace; 3] = std::array::from_fn(|i| ClampedFace {
            inward: inward[i],
            force: elastic[i],
            strength: strengths[i],
            stiffness_ratio: rock.stiffness_ratio,
        });
        Some(Self {
            elastic,
            clamped: Clamped::of(&stability.motion, &faces).ok(),
            asked: Vec::new(),
            fades: rock.fades,
        })
    }

    /// What it does to the wedge, whose equilibrium without stress this is.
    pub(super) fn found(&self, stability: &Stability) -> PieceUnderStress {
        match self.clamped.as_ref().map(|clamped| StressLoss::of(stability, clamped)) {
            None => PieceUnderStress::NotFound,
            Some(None) => PieceUnderStress::Unharmed,
            // What the forces may be off counts against it.
            Some(Some(loss)) => {
                let error_kn: f64 = self.elastic.iter().map(|force| force.error_kn).sum();
                let out_kn = if loss.out_kn > 0.0 { loss.out_kn + error_kn } else { 0.0 };
                let loss = StressLoss { lost_kn: loss.lost_kn + error_kn, out_kn };
                let counts = if self.fades { loss.faded(stability) } else { Some(loss) };
                counts.map_or(PieceUnderStress::Unharmed, PieceUnderStress::Harmed)
            }
        }
    }
}

/// A check with what a reader should know of what the case's stress does; untouched where the case has none.
pub(super) fn with_stress_warnings(case: &Case, mut check: Check) -> Check {
    if case.site.stress.is_some() {
        let warnings = warnings(case, &check);
        check.warnings.extend(warnings);
    }
    check
}

fn warnings(case: &Case, check: &Check) -> Vec<Warning> {
    let with = |is: fn(StressEffect) -> bool| check.wedges.iter().filter(move |w| is(w.stress_effect()));
    let harmed: Vec<String> = with(StressEffect::harms)
        .map(|w| {
            let fs = w.fs_with_stress().unwrap_or_default();
            format!("{} from {:.2} to {fs:.2}", w.wedge.id, w.found.fs_bare)
        })
        .collect();
    let lost = |w: &&CheckedWedge| {
        w.stress_effect() == StressEffect::NotFound || w.under_stress().is_some_and(|u| u.not_found > 0)
    };
    let lost: Vec<&str> = check.wedges.iter().filter(lost).map(|w| w.wedge.id.as_str()).collect();
    let harmed = (!harmed.is_empty()).then(|| Warning::StressHarms {
        wedges: harmed.join(", "),
        fades: case.site.stress.as_ref().is_some_and(|rock| rock.fades),
    });
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
            let area_m2 = wedge.found.stressed.as_ref()?.elastic[place].area_m2;
            let kpa = clamped.normal_kn.get(place)? / area_m2;
            Some((kpa, wedge.wedge.id.clone()))
        });
        let (kpa, wedge) = pressed.max_by(|a, b| a.0.total_cmp(&b.0))?;
        let joint = joint.name.clone();
        (kpa > up_to_kpa).then_some(Warning::StressBeyondLaw { joint, wedge, kpa, up_to_kpa })
    };
    case.joints.iter().enumerate().filter_map(beyond).collect()
}
