//! A checked wedge: what it is, where it was placed, what was found of it, and what was decided.

use serde::Serialize;

use super::stressed::PieceUnderStress;
use super::{
    AtRest, Check, Deciding, FacePiece, FacePlacement, FaceScan, Installed, Judged, Shaken, Stressed,
    UnderStress,
};
use crate::case::Case;
use crate::opening::{Section, Surface, Vec2};
use crate::orientation::{Line, Vec3};
use crate::stability::{Mode, Reaction, Stability};
use crate::support::{
    Carrier, LeastPiece, Placement, RotationPlacement, Serving, Uncarried, force_needed_kn,
};
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
    /// How the case's shaking acts on it; `None` without shaking.
    pub shaken: Option<Shaken>,
    /// The same wedge without it.
    pub at_rest: Option<AtRest>,
    /// The same wedge without the case's water and without its shaking; `None` without water.
    pub dry: Option<AtRest>,
    /// The same wedge clamped by the case's stress; `None` without one, where it does not move, and at the face. Where it
    /// clamps it decides nothing.
    pub stressed: Option<Box<Stressed>>,
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
    /// What bolts hold as they get installed ([`super::as_installed`]); `None` where nothing was
    /// asked.
    pub installed: Option<Installed>,
    /// The piece of its pyramid that is carried least ([`super::judge()`]); `None` where its pieces were
    /// not looked at: structures hold it in one place, it stands at the face, or nothing supports it.
    pub judged: Option<Box<Judged>>,
    /// What a scan of all sizes found of a wedge at the face; `None` in the drive, and where nothing moves.
    pub at_face: Option<Box<FaceScan>>,
    /// What the support holds of the pieces that are asked with stress, of a wedge whose pieces are not looked at ([`Judged`]
    /// has the others'); `None` without stress, and at the face.
    pub under_stress: Option<Box<UnderStress>>,
    /// For a wedge that structures hold in one place, the best of the surface support over its whole
    /// face: what it is and the factor of safety it gives.
    pub surface: Option<(Carrier, f64)>,
}

/// What the factor that decides comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum DecidedBy {
    /// The sum of forces on joints and bolts.
    Forces,
    /// Forces and moments in balance, of a falling wedge.
    Moments,
    /// Collars off their drawn place: as drawn the same piece is held better.
    Collars,
    /// One bay of screen or straps.
    Screen,
    /// Shotcrete.
    Shotcrete,
    /// Whatever carries a piece that stress harms, less what stress takes.
    Stress,
}

impl DecidedBy {
    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Forces => "forces",
            Self::Moments => "moments",
            Self::Collars => "collars",
            Self::Screen => "screen",
            Self::Shotcrete => "shotcrete",
            Self::Stress => "stress",
        }
    }
}

/// Why nothing is said of a wedge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unjudged {
    /// What would have to carry its pieces between the bolts is not entered.
    NoSurfaceSupport,
    /// It is too long to be held against bolts.
    TooLong,
    /// Its whole face lies below the ground that is judged.
    BelowJudgedGround,
    /// The search ended between a piece that is held and a bound that is not.
    Open,
    /// Of a piece that was asked what stress does to it no balance was found.
    StressNotFound,
}

/// What is asked of a wedge, and what is said of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Decided {
    /// The factor of safety that is asked for; `None` where nothing moves.
    pub criterion_fs: Option<f64>,
    /// What is said: nothing ([`Verdict::NotJudged`]) until [`decided()`] has said it.
    pub verdict: Verdict,
    /// The factor of safety that decides: of the piece with the least, by the best of its carriers.
    /// `None` where nothing moves, or nothing was found that says anything.
    pub fs: Option<f64>,
    /// What that factor comes from.
    pub by: Option<DecidedBy>,
    /// Volume of that piece, cubic metres.
    pub volume_m3: Option<f64>,
    /// The carriers that its pieces need, in their order; empty unless it is held.
    pub held_by: Vec<Carrier>,
    /// Why it is not judged.
    pub unjudged: Option<Unjudged>,
}

impl Decided {
    /// What is asked, and nothing said yet.
    #[must_use]
    pub fn asked(criterion_fs: Option<f64>) -> Self {
        Self {
            criterion_fs,
            verdict: Verdict::NotJudged,
            fs: None,
            by: None,
            volume_m3: None,
            held_by: Vec::new(),
            unjudged: None,
        }
    }

    /// Whether a wedge that this is said of moves and is one of those that a verdict on the drive counts.
    #[must_use]
    pub fn counts(&self) -> bool {
        self.criterion_fs.is_some() && !self.is_left_out()
    }

    /// Whether the case leaves it out: its whole face lies below the ground that is judged.
    #[must_use]
    pub fn is_left_out(&self) -> bool {
        self.unjudged == Some(Unjudged::BelowJudgedGround)
    }

    /// Factor that decides over what is asked; 0 where nothing is found, infinite where nothing moves or
    /// all of it is for the scaling bar.
    #[must_use]
    pub fn margin(&self) -> f64 {
        match (self.criterion_fs, self.fs) {
            (None, _) => f64::INFINITY,
            (Some(asked), Some(fs)) => fs / asked,
            (Some(_), None) if self.verdict == Verdict::Held => f64::INFINITY,
            (Some(_), None) => 0.0,
        }
    }
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
    /// The piece of its pyramid that is carried least; `None` where none was looked for.
    #[must_use]
    pub fn least_piece(&self) -> Option<&LeastPiece> {
        self.found.judged.as_ref()?.least.as_ref()
    }

    /// The same where it sits among the bolts.
    #[must_use]
    pub fn deciding_piece(&self) -> Option<&Deciding> {
        if self.decided.by == Some(DecidedBy::Stress) {
            return self.under_stress()?.least.as_ref()?.deciding.as_ref();
        }
        self.found.judged.as_ref()?.deciding.as_ref()
    }

    /// What the support holds of the pieces that are asked with stress; `None` without stress, and at the face.
    #[must_use]
    pub fn under_stress(&self) -> Option<&UnderStress> {
        let of_pieces = self.found.judged.as_ref().and_then(|judged| judged.under_stress.as_ref());
        of_pieces.or(self.found.under_stress.as_deref())
    }

    /// The least factor of its pieces with every collar exactly where it is drawn; `None` where that was not
    /// asked for.
    #[must_use]
    pub fn fs_as_drawn(&self) -> Option<f64> {
        self.found.judged.as_ref()?.fs_as_drawn
    }

    /// Of a wedge at the face the piece that is carried least, as a scan found it; `None` for any other.
    #[must_use]
    pub fn face_piece(&self) -> Option<&FacePiece> {
        self.found.at_face.as_ref()?.least.as_ref()
    }

    /// The carrier that gives the piece that decides most, and how many bolts are sure to cross that.
    #[must_use]
    pub fn deciding_carrier(&self) -> Option<(Carrier, usize)> {
        let in_drive = self.least_piece().map(|l| (l.carrier, l.bolts));
        in_drive.or_else(|| self.face_piece().map(|p| (p.carrier, p.worst.serving.len())))
    }

    /// The weight of the piece that decides, kN; `None` where none was looked for.
    #[must_use]
    pub fn deciding_weight_kn(&self) -> Option<f64> {
        let in_drive = self.deciding_piece().map(|p| p.weight_kn);
        in_drive.or_else(|| self.face_piece().map(|p| p.weight_kn))
    }

    /// The equilibrium without support of the piece that decides, or of the wedge where none was looked for.
    fn deciding_stability(&self) -> &Stability {
        if self.decided.by == Some(DecidedBy::Stress)
            && let Some(least) = self.under_stress().and_then(|under| under.least.as_ref())
        {
            return &least.stability;
        }
        let in_drive = self.deciding_piece().map(|piece| &piece.stability);
        in_drive.or(self.face_piece().map(|piece| &piece.stability)).unwrap_or(&self.wedge.stability)
    }

    /// What the criterion asks of whatever carries the piece that decides, kN: against the movement, or of
    /// a screen the whole weight as many times over; `None` where nothing is asked.
    #[must_use]
    pub fn force_asked_kn(&self) -> Option<f64> {
        let asked = self.decided.criterion_fs?;
        let stability = self.deciding_stability();
        Some(if self.decided.by == Some(DecidedBy::Screen) {
            asked * stability.active_kn().norm()
        } else {
            force_needed_kn(stability, asked)
        })
    }

    /// What is missing of it, kN; 0 where the wedge is not short.
    #[must_use]
    pub fn force_lacking_kn(&self) -> f64 {
        let (Verdict::Short, Some(fs), Some(asked)) =
            (self.decided.verdict, self.decided.fs, self.decided.criterion_fs)
        else {
            return 0.0;
        };
        let stability = self.deciding_stability();
        let load_kn = if self.decided.by == Some(DecidedBy::Screen) {
            stability.active_kn().norm()
        } else {
            stability.motion.driving_kn
        };
        (asked - fs) * load_kn
    }

    /// Whether it has its one place: structures put its apex at one point of the section, so that it has no
    /// smaller pieces.
    #[must_use]
    pub fn is_fixed(&self) -> bool {
        is_fixed(self.wedge.located.as_ref())
    }

    /// Whether structures put its apex on a line or at a point of the section. Smaller sizes are then not
    /// drawn, nor what slips between the bolts; the pieces of those on a line are judged.
    #[must_use]
    pub fn is_held_across(&self) -> bool {
        self.wedge.located.is_some_and(|l| l.across != Across::Anywhere)
    }

    /// The piece that decides as a wedge of its own, where it was looked for: its shape, its place among
    /// the bolts that are sure, its factors there. What is said of it is what is said of this one.
    #[must_use]
    pub fn deciding(&self) -> Option<Self> {
        if let Some(piece) = self.face_piece() {
            return Some(self.deciding_at_face(piece));
        }
        let piece = self.deciding_piece()?;
        let InDrive { worst, shape, moments } = &piece.place;
        let found = Found {
            fs_bolted: Some(worst.least_fs),
            fs_rotation: moments.as_ref().map(|m| m.least_fs),
            judged: self.found.judged.clone(),
            ..Found::default()
        };
        let placed = Placed::InDrive(Box::new(piece.place.clone()));
        Some(self.as_piece((&piece.surfaces, shape, piece.weight_kn, piece.stability), found, placed))
    }

    fn deciding_at_face(&self, piece: &FacePiece) -> Self {
        let FacePiece { surfaces, shape, weight_kn, stability, worst, .. } = piece;
        let bolted = self.found.fs_bolted.is_some();
        let found = Found {
            fs_bolted: bolted.then_some(worst.least_fs),
            fs_rotation: piece.fs_rotation.filter(|_| bolted),
            at_face: self.found.at_face.clone(),
            ..Found::default()
        };
        let placed = Placed::AtFace(Box::new(AtFace { worst: worst.clone(), shape: shape.clone() }));
        self.as_piece((surfaces, shape, *weight_kn, *stability), found, placed)
    }

    /// A piece of its pyramid as a wedge of its own, with what was found of it under bolts.
    fn as_piece(
        &self,
        (surfaces, shape, weight_kn, stability): (&[Surface], &Shape, f64, Stability),
        found: Found,
        placed: Placed,
    ) -> Self {
        Self {
            wedge: Wedge {
                surfaces: surfaces.to_vec(),
                shape: shape.clone(),
                weight_kn,
                hung_kn: stability.hung().kn,
                stability,
                ..self.wedge.clone()
            },
            found: Found {
                fs_bare: stability.fs_bare(),
                fs_bare_no_cohesion: stability.fs_bare_no_cohesion(),
                shaken: self.found.shaken,
                ..found
            },
            placed,
            decided: self.decided.clone(),
        }
    }

    /// Least load factor with forces and moments in balance: of the piece that decides, where one was looked
    /// for; `None` where moments were not asked for.
    #[must_use]
    pub fn fs_with_moments(&self) -> Option<f64> {
        let of_piece = self.deciding_piece().and_then(|d| d.place.moments.as_ref()).map(|m| m.least_fs);
        of_piece.or(self.found.fs_rotation)
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

    /// Its equilibrium without support, losing what stress takes of its largest size.
    #[must_use]
    pub fn stability_with_stress(&self) -> Stability {
        let stability = self.wedge.stability;
        match self.found.stressed.as_ref().map(|stressed| stressed.found(&stability)) {
            Some(PieceUnderStress::Harmed(loss)) => stability.losing(loss),
            _ => stability,
        }
    }

    /// Support force against the movement that its criterion asks for, kN: with stress where that asks for more.
    #[must_use]
    pub fn force_needed_kn(&self) -> f64 {
        self.decided.criterion_fs.map_or(0.0, |fs| force_needed_kn(&self.stability_with_stress(), fs))
    }

    /// The same without stress.
    #[must_use]
    pub fn force_needed_without_stress_kn(&self) -> f64 {
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
}

/// As [`CheckedWedge::is_fixed`], of a wedge that structures put so.
pub(super) fn is_fixed(located: Option<&Located>) -> bool {
    located.is_some_and(|l| matches!(l.across, Across::At(_)))
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
    pub(super) fn decide(&mut self, case: &Case) {
        let asked = Decided::asked(self.decided.criterion_fs);
        if let Some(scan) = &self.found.at_face {
            self.decided = self.by_scan(case, scan);
            return;
        }
        self.decided = match (asked.criterion_fs, &self.found.judged) {
            (None, _) => Decided { verdict: Verdict::Held, ..asked },
            (Some(asked_fs), Some(judged)) => self.by_pieces(case, judged, asked_fs),
            (Some(asked_fs), None) => self.as_one(case, asked_fs),
        };
        if let (Some(under), Some(asked_fs)) = (self.under_stress(), asked.criterion_fs) {
            self.decided = under.decides(self.decided.clone(), asked_fs);
        }
    }

    /// From the piece at the face that a scan found to be carried least.
    fn by_scan(&self, case: &Case, scan: &FaceScan) -> Decided {
        let asked = Decided::asked(self.decided.criterion_fs);
        let Some(least) = &scan.least else {
            return match &scan.uncarried {
                Some(_) => Decided { unjudged: Some(Unjudged::NoSurfaceSupport), ..asked },
                None if scan.needed.contains(&Carrier::Bar) => Decided {
                    verdict: Verdict::Held,
                    volume_m3: Some(self.wedge.shape.volume_m3),
                    held_by: vec![Carrier::Bar],
                    ..asked
                },
                // None of them moves, or the largest alone does, which is judged as it is.
                None => asked
                    .criterion_fs
                    .map_or(Decided { verdict: Verdict::Held, ..asked }, |fs| self.as_one(case, fs)),
            };
        };
        let found = Decided {
            fs: Some(least.fs),
            by: Some(least.by),
            volume_m3: Some(least.shape.volume_m3),
            ..Decided::asked(Some(least.asked_fs))
        };
        if least.fs < least.asked_fs {
            Decided { verdict: Verdict::Short, ..found }
        } else if scan.uncarried.is_some() {
            Decided { unjudged: Some(Unjudged::NoSurfaceSupport), ..found }
        } else {
            let held_by = scan.needed.iter().copied().filter(|c| *c != Carrier::Bar).collect();
            Decided { verdict: Verdict::Held, held_by, ..found }
        }
    }

    /// From the piece that is carried least.
    fn by_pieces(&self, case: &Case, judged: &Judged, asked_fs: f64) -> Decided {
        let asked = Decided::asked(Some(asked_fs));
        let not = |why: Unjudged| Decided { unjudged: Some(why), ..asked.clone() };
        let Some(least) = &judged.least else {
            let for_the_bar = case.criteria.is_for_the_bar(self.wedge.shape.volume_m3);
            return match (&judged.uncarried, for_the_bar) {
                (Uncarried::Found(_), _) => not(Unjudged::NoSurfaceSupport),
                (Uncarried::Open, false) => not(Unjudged::Open),
                (Uncarried::Absent | Uncarried::Open, true) => Decided {
                    verdict: Verdict::Held,
                    volume_m3: Some(self.wedge.shape.volume_m3),
                    held_by: vec![Carrier::Bar],
                    ..asked
                },
                // Where water moves some wedges of a pyramid and others not, none of those on judged ground moves.
                (Uncarried::Absent, false) if case.site.pressing().is_some() && judged.on_judged_ground => {
                    Decided { verdict: Verdict::Held, ..asked }
                }
                (Uncarried::Absent, false) => not(Unjudged::BelowJudgedGround),
            };
        };
        let found = Decided {
            fs: Some(least.fs),
            by: judged.deciding.as_ref().map(|d| d.by),
            volume_m3: Some(least.volume_m3),
            ..asked.clone()
        };
        if least.fs < asked_fs {
            Decided { verdict: Verdict::Short, ..found }
        } else if least.fs_at_least < asked_fs {
            Decided { unjudged: Some(Unjudged::Open), ..found }
        } else if judged.uncarried != Uncarried::Absent {
            let is_found = matches!(judged.uncarried, Uncarried::Found(_));
            let why = if is_found { Unjudged::NoSurfaceSupport } else { Unjudged::Open };
            Decided { unjudged: Some(why), ..found }
        } else {
            Decided { verdict: Verdict::Held, held_by: least.needed.clone(), ..found }
        }
    }

    /// The factor of the wedge as it is by forces: with its bolts where they hold it least, and where all they
    /// can take would open a joint that it slides on, no more of that than an equilibrium has.
    fn fs_by_forces(&self) -> f64 {
        let Some(fs) = self.found.fs_bolted else { return self.found.fs_bare };
        let stability = &self.wedge.stability;
        if matches!(stability.motion.mode, Mode::Falling | Mode::NoMotion) {
            return fs;
        }
        let serving = match &self.placed {
            Placed::Nowhere => return fs,
            Placed::InDrive(drive) => &drive.worst.serving,
            Placed::AtFace(face) => &face.worst.serving,
        };
        let bolts: Vec<(Vec3, f64)> = serving.iter().map(|s| (s.direction, s.capacity.kn)).collect();
        if stability.opens(&bolts) { fs.min(stability.fs_in_balance(&bolts)) } else { fs }
    }

    /// From what was found of the wedge as it is: one that structures hold in its place, one at the face,
    /// one in a drive without support.
    fn as_one(&self, case: &Case, asked_fs: f64) -> Decided {
        let asked = Decided::asked(Some(asked_fs));
        if !case.patterns.is_empty() && self.found.fs_bolted.is_none() {
            return Decided { unjudged: Some(Unjudged::TooLong), ..asked };
        }
        let (mut fs, mut by) = (self.fs_by_forces(), DecidedBy::Forces);
        if let Some(within) = self.found.installed.as_ref().and_then(|i| i.fs_collar_tolerance)
            && within < fs
        {
            (fs, by) = (within, DecidedBy::Collars);
        }
        if let (Mode::Falling, Some(moments)) = (self.wedge.stability.motion.mode, self.found.fs_rotation)
            && moments < fs
        {
            (fs, by) = (moments, DecidedBy::Moments);
        }
        let mut carrier = if self.found.fs_bare >= asked_fs { Carrier::Joints } else { Carrier::Bolts };
        if let Some((covering, surface_fs)) = self.found.surface
            && surface_fs > fs
        {
            if fs < asked_fs {
                carrier = covering;
            }
            by = if covering == Carrier::Shotcrete { DecidedBy::Shotcrete } else { DecidedBy::Screen };
            fs = surface_fs;
        }
        let verdict = Verdict::of(fs, Some(asked_fs));
        Decided {
            verdict,
            fs: Some(fs),
            by: Some(by),
            volume_m3: Some(self.wedge.shape.volume_m3),
            held_by: if verdict == Verdict::Held { vec![carrier] } else { Vec::new() },
            ..asked
        }
    }
}
