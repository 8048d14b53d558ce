//! A checked wedge: what it is, where it was placed, what was found of it, and what was decided.

use serde::Serialize;

use super::{Check, FacePlacement, Governing, Installed, Size};
use crate::case::Case;
use crate::opening::{Section, Surface, Vec2};
use crate::orientation::{Line, Vec3};
use crate::stability::{Mode, Reaction, Stability};
use crate::support::{Placement, RotationPlacement, Serving, force_needed_kn};
use crate::wedge::{Across, Cap, Chain, Cone, JointPyramid, Located, Sector, Shape};

/// What is said of a wedge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Verdict {
    /// It meets its criterion.
    #[serde(rename = "held")]
    Held,
    /// It does not.
    #[serde(rename = "short")]
    Short,
    /// Nothing is said of it.
    #[serde(rename = "not judged")]
    NotJudged,
}

impl Verdict {
    /// What a factor of safety means against the one that is asked; nothing is asked of what does not
    /// move.
    #[must_use]
    pub fn of(fs: f64, asked_fs: Option<f64>) -> Self {
        if asked_fs.is_none_or(|asked| fs >= asked) { Self::Held } else { Self::Short }
    }

    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Held => "held",
            Self::Short => "short",
            Self::NotJudged => "not judged",
        }
    }
}

/// A removable wedge: the largest admissible one of its pyramid.
#[derive(Debug, Clone, PartialEq)]
pub struct Wedge {
    /// Its joints and the digits of its pyramid, `A-B-C.101`; with `.face` at the face.
    pub id: String,
    /// Places of its joints in the case.
    pub sets: [usize; 3],
    /// The side of each joint that it lies on.
    pub pyramid: JointPyramid,
    /// The surfaces it shows on, in the order of [`Surface::ALL`].
    pub surfaces: Vec<Surface>,
    /// Its cone, local frame.
    pub cone: Cone,
    /// Its shape, apex at s = 0, local frame; at the face the face is at s = 0.
    pub shape: Shape,
    /// Weight, kN.
    pub weight_kn: f64,
    /// What hangs from it at its worst placement, kN; part of the active force besides its weight.
    pub hung_kn: f64,
    /// Its equilibrium without support, vectors in the local frame.
    pub stability: Stability,
    /// Direction of movement, or `None` where there is none.
    pub slide: Option<Line>,
    /// What caps its size.
    pub limited_by: Vec<Cap>,
    /// Volume without caps, cubic metres.
    pub volume_uncapped_m3: f64,
    /// Where structures put it; `None` where its joints are all of sets, and may be anywhere.
    pub located: Option<Located>,
}

/// Where a wedge was held against the bolts.
#[derive(Debug, Clone, PartialEq)]
pub enum Placed {
    /// Nowhere: it does not move, there is no pattern, or it is too long (`LONGEST_PLACED_M`).
    Nowhere,
    /// In the drive.
    InDrive(Box<InDrive>),
    /// At the face.
    AtFace(Box<AtFace>),
}

/// A wedge in the drive among the bolts.
#[derive(Debug, Clone, PartialEq)]
pub struct InDrive {
    /// Where the bolts hold it least, by forces.
    pub worst: Placement,
    /// The wedge there: the largest one itself, unless caps leave it room to sit elsewhere across the
    /// section.
    pub shape: Shape,
    /// Where forces and moments together hold it least: elsewhere, as a rule; `None` where moments
    /// were not asked for.
    pub moments: Option<RotationPlacement>,
}

/// A wedge at the face behind which the pattern ends.
#[derive(Debug, Clone, PartialEq)]
pub struct AtFace {
    /// The worst end of the pattern.
    pub worst: FacePlacement,
    /// The wedge there.
    pub shape: Shape,
}

/// What was found of a wedge.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Found {
    /// Factor of safety without support.
    pub fs_bare: f64,
    /// The same with friction alone.
    pub fs_bare_no_cohesion: f64,
    /// Least factor of safety with bolts as resistance; `None` without a pattern, and where the
    /// wedge is too long to place (`LONGEST_PLACED_M`).
    pub fs_bolted: Option<f64>,
    /// Median over placements; `None` without a pattern.
    pub fs_bolted_median: Option<f64>,
    /// Factor of safety with tension as a load, at the worst placement; decides nothing.
    pub fs_tensioned: Option<f64>,
    /// Factor of safety with the shear resistance of dowels instead of their axial share, at the worst
    /// placement; `None` where the case does not ask for it, where no dowel crosses a joint that the
    /// wedge slides on, and at the face. Decides nothing.
    pub fs_dowel: Option<f64>,
    /// Least bolted factor of safety without caps; `None` without a pattern, and where the uncapped
    /// wedge is too long to place.
    pub fs_bolted_uncapped: Option<f64>,
    /// Least load factor with forces and moments in balance and joints without friction; `None`
    /// without a pattern or without movement, and where the wedge is too long to place. It governs
    /// a falling wedge where it is below `fs_bolted`, and stands beside for a sliding one.
    pub fs_rotation: Option<f64>,
    /// The size that decides, where sizes were studied ([`super::govern`]); `None` otherwise.
    pub governing: Option<Governing>,
    /// What bolts hold as they get installed ([`super::as_installed`]); `None` where nothing was
    /// asked.
    pub installed: Option<Installed>,
}

/// What is asked of a wedge, and what is said of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Decided {
    /// The factor of safety that is asked for; `None` where nothing moves.
    pub criterion_fs: Option<f64>,
    /// What is said: nothing ([`Verdict::NotJudged`]) until [`decided()`] has said it.
    pub verdict: Verdict,
}

/// A removable wedge, weighed and held against the pattern.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckedWedge {
    /// What it is.
    pub wedge: Wedge,
    /// Where it was held against the bolts.
    pub placed: Placed,
    /// What was found of it.
    pub found: Found,
    /// What was decided.
    pub decided: Decided,
}

impl CheckedWedge {
    /// Its worst placement in the drive; `None` where it was not placed there.
    #[must_use]
    pub fn placement(&self) -> Option<&Placement> {
        match &self.placed {
            Placed::InDrive(drive) => Some(&drive.worst),
            _ => None,
        }
    }

    /// Where forces and moments together hold it least in the drive; `None` where that was not asked.
    #[must_use]
    pub fn rotation_placement(&self) -> Option<&RotationPlacement> {
        match &self.placed {
            Placed::InDrive(drive) => drive.moments.as_ref(),
            _ => None,
        }
    }

    /// The worst end of the pattern for a wedge at the face; `None` for any other.
    #[must_use]
    pub fn at_face(&self) -> Option<&FacePlacement> {
        match &self.placed {
            Placed::AtFace(face) => Some(&face.worst),
            _ => None,
        }
    }

    /// The wedge at its worst placement; `None` where it was not placed.
    #[must_use]
    pub fn placed_shape(&self) -> Option<&Shape> {
        match &self.placed {
            Placed::Nowhere => None,
            Placed::InDrive(drive) => Some(&drive.shape),
            Placed::AtFace(face) => Some(&face.shape),
        }
    }
}

impl CheckedWedge {
    /// Whether it has its one place: structures put its apex on a line or a point of the section, or
    /// rings of a known chainage stand beside one of a known chainage. Smaller sizes are then not
    /// studied.
    #[must_use]
    pub fn is_fixed(&self, case: &Case) -> bool {
        self.wedge.located.is_some_and(|l| {
            l.across != Across::Anywhere || case.patterns.iter().any(|p| p.offset_m.is_some())
        })
    }

    /// The factor of safety that the verdict rests on: bolted where there is a pattern, at the
    /// governing size where sizes were studied, with collars anywhere within their tolerance where
    /// one is given, and for a falling wedge the lower one of forces alone and of forces with
    /// moments.
    #[must_use]
    pub fn deciding_fs(&self) -> f64 {
        deciding_fs(
            self.wedge.stability.motion.mode,
            self.found.fs_bare,
            self.deciding_forces(),
            self.found.fs_rotation,
        )
    }

    /// The least factor of forces alone, as drawn and within the collar tolerance.
    fn deciding_forces(&self) -> Option<f64> {
        let governed = self.found.governing.as_ref().map(|g| g.size.fs_bolted).or(self.found.fs_bolted);
        match (governed, self.within_tolerance()) {
            (Some(drawn), Some(within)) => Some(drawn.min(within)),
            _ => governed,
        }
    }

    fn within_tolerance(&self) -> Option<f64> {
        self.found.installed.as_ref().and_then(|i| i.fs_collar_tolerance)
    }

    /// Whether collars off their place decide: nothing else gives as low a factor.
    #[must_use]
    pub fn tolerance_decides(&self) -> bool {
        let drawn = self.found.governing.as_ref().map(|g| g.size.fs_bolted).or(self.found.fs_bolted);
        matches!((drawn, self.within_tolerance()), (Some(d), Some(w)) if w < d) && !self.rotation_decides()
    }

    /// The size that decides where it is smaller than the largest; `None` where the largest decides, and
    /// where moments or collars off their place give less than any size as drawn.
    #[must_use]
    pub fn smaller_that_decides(&self) -> Option<&Size> {
        let other = self.tolerance_decides() || self.rotation_decides();
        self.found.governing.as_ref().filter(|g| g.is_smaller && !other).map(|g| &g.size)
    }

    /// How many bolts cross it where it has the factor that decides ([`Self::deciding_fs`]), at the size
    /// that it is of; `None` where it was not placed.
    #[must_use]
    pub fn deciding_bolts(&self) -> Option<usize> {
        let by_moments = self.rotation_placement().filter(|_| self.rotation_decides());
        self.smaller_that_decides()
            .map(|size| size.bolts_serving)
            .or(by_moments.map(|placed| placed.serving.len()))
            .or(self.serving().map(<[Serving]>::len))
    }

    /// The bolts that cross it at its worst placement, in the drive or at the face; `None` where it
    /// was not placed.
    #[must_use]
    pub fn serving(&self) -> Option<&[Serving]> {
        let in_drive = self.placement().map(|p| p.serving.as_slice());
        in_drive.or(self.at_face().map(|p| p.serving.as_slice()))
    }

    /// Apex at its worst placement: chainage (from the face, for a wedge there) and place in the
    /// section, local (u, s, v); `None` where it was not placed.
    #[must_use]
    pub fn worst_apex(&self) -> Option<Vec3> {
        let in_drive = self.placement().map(|p| Vec3::new(p.foot.apex.x, p.chainage_m, p.foot.apex.y));
        let fixed = || {
            let apex = &self.wedge.shape.apex;
            let s = self.wedge.located?.chainage_m(&Vec2::new(apex.x, apex.z))?;
            Some(Vec3::new(apex.x, s, apex.z))
        };
        in_drive.or(self.at_face().map(|p| p.apex)).or_else(fixed)
    }

    /// The wedge as it sits at its worst placement, or as shown where there is none.
    #[must_use]
    pub fn worst_shape(&self) -> &Shape {
        self.placed_shape().unwrap_or(&self.wedge.shape)
    }

    /// Chainage of its apex at its worst placement, or where structures put it, metres; 0 where it may
    /// be anywhere.
    #[must_use]
    pub fn apex_chainage_m(&self) -> f64 {
        let fixed = || {
            let apex = Vec2::new(self.wedge.shape.apex.x, self.wedge.shape.apex.z);
            self.wedge.located.and_then(|l| l.chainage_m(&apex)).unwrap_or(0.0)
        };
        self.placement().map_or_else(fixed, |p| p.chainage_m)
    }

    /// Support force against the movement that its criterion asks for, kN.
    #[must_use]
    pub fn force_needed_kn(&self) -> f64 {
        self.decided.criterion_fs.map_or(0.0, |fs| force_needed_kn(&self.wedge.stability, fs))
    }

    /// Support force against the movement that the pattern gives at the worst placement, kN.
    #[must_use]
    pub fn force_provided_kn(&self) -> Option<f64> {
        self.found.fs_bolted.filter(|fs| fs.is_finite()).map(|fs| {
            let bare = self.wedge.stability.resistance_kn(&Reaction::default());
            (fs * self.wedge.stability.motion.driving_kn - bare).max(0.0)
        })
    }
}

impl CheckedWedge {
    /// Volume of the wedge where moments hold it least, cubic metres.
    #[must_use]
    pub fn rotation_volume_m3(&self, section: &Section, placement: &RotationPlacement) -> f64 {
        let chain = Sector::of(&self.wedge.cone).and_then(|sector| Chain::of(section, &sector));
        chain.map_or(self.wedge.shape.volume_m3, |chain| chain.volume_m3(&placement.foot))
    }

    /// Whether the balance of moments decides: a falling wedge that swings out before it drops.
    #[must_use]
    pub fn rotation_decides(&self) -> bool {
        self.wedge.stability.motion.mode == Mode::Falling
            && matches!((self.deciding_forces(), self.found.fs_rotation), (Some(f), Some(r)) if r < f)
    }
}

/// A check with the verdict on each of its wedges, from all that was found of it: the one place where
/// a wedge's verdict is made. Where bolts would have to hold a wedge and nothing was found of them, it
/// is not judged.
#[must_use]
pub fn decided(case: &Case, mut check: Check) -> Check {
    check.wedges.iter_mut().chain(&mut check.face).for_each(|wedge| wedge.decide(case));
    check
}

impl CheckedWedge {
    fn decide(&mut self, case: &Case) {
        let asked_of_bolts = self.decided.criterion_fs.is_some() && !case.patterns.is_empty();
        self.decided.verdict = if asked_of_bolts && self.found.fs_bolted.is_none() {
            Verdict::NotJudged
        } else {
            Verdict::of(self.deciding_fs(), self.decided.criterion_fs)
        };
    }
}

fn deciding_fs(mode: Mode, fs_bare: f64, fs_bolted: Option<f64>, fs_rotation: Option<f64>) -> f64 {
    let fs = fs_bolted.unwrap_or(fs_bare);
    match (mode, fs_rotation) {
        (Mode::Falling, Some(rotation)) => fs.min(rotation),
        _ => fs,
    }
}
