use rayon::prelude::*;
use serde::Serialize;
use thiserror::Error;

use super::scan::scan_warnings;
use super::seat::{Drive, Seat, criterion_fs};
use super::wedges::{Candidate, candidates};
use super::{
    FacePlacement, Governing, Installed, LEAST_VOLUME_M3, LONG_WEDGE_RATIO, LONGEST_PLACED_M, Warning,
};
use crate::case::Case;
use crate::opening::{Opening, Section, SectionError, Surface, Vec2};
use crate::orientation::{Line, Vec3};
use crate::stability::{Mode, Motion, Reaction, Stability};
use crate::strength::MohrCoulomb;
use crate::support::{
    Layout, LayoutError, PhaseGroup, Placement, RotationPlacement, Serving, force_needed_kn, phase_groups,
    place_rotation,
};
use crate::wedge::{
    Across, Admissible, Cap, Chain, Cone, Footprint, JointPyramid, Limits, Located, Sector, Shape,
};

/// A face of less than this share of a wedge's whole opening face does not put the wedge on that
/// surface: it is the rounding of a corner.
const SURFACE_SHARE: f64 = 1e-9;

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

/// A removable wedge, weighed and held against the pattern.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckedWedge {
    /// Its sets and the digits of its pyramid, `A-B-C.101`.
    pub id: String,
    /// Indices of its sets in the case.
    pub sets: [usize; 3],
    /// The side of each joint that it lies on.
    pub pyramid: JointPyramid,
    /// The surfaces it shows on, in the order of [`Surface::ALL`].
    pub surfaces: Vec<Surface>,
    /// Its cone, local frame.
    pub cone: Cone,
    /// The largest admissible wedge, apex at s = 0, local frame.
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
    /// Factor of safety without support.
    pub fs_bare: f64,
    /// The same with friction alone.
    pub fs_bare_no_cohesion: f64,
    /// The worst placement against the pattern; `None` without a pattern or without movement.
    pub placement: Option<Placement>,
    /// The wedge at that placement; the same as `shape` unless caps leave it room to sit
    /// elsewhere across the section.
    pub placed_shape: Option<Shape>,
    /// Least factor of safety with bolts as resistance; `None` without a pattern, and where the
    /// wedge is too long to place ([`LONGEST_PLACED_M`]).
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
    /// Where that is; not where `placement` is, as a rule.
    pub rotation_placement: Option<RotationPlacement>,
    /// Of a wedge at the face: the worst end of the pattern; `None` in the drive, without a pattern
    /// or without movement.
    pub at_face: Option<FacePlacement>,
    /// The factor of safety that is asked for; `None` where nothing moves.
    pub criterion_fs: Option<f64>,
    /// The size that decides, where sizes were studied ([`super::govern`]); `None` otherwise.
    pub governing: Option<Governing>,
    /// What bolts hold as they get installed ([`super::as_installed`]); `None` where nothing was
    /// asked.
    pub installed: Option<Installed>,
    /// Where structures put it; `None` where its joints are all of sets, and may be anywhere.
    pub located: Option<Located>,
    /// What is said of it.
    pub verdict: Verdict,
}

impl CheckedWedge {
    /// Whether it has its one place: structures put its apex on a line or a point of the section, or
    /// rings of a known chainage stand beside one of a known chainage. Smaller sizes are then not
    /// studied.
    #[must_use]
    pub fn is_fixed(&self, case: &Case) -> bool {
        self.located.is_some_and(|l| {
            l.across != Across::Anywhere || case.patterns.iter().any(|p| p.offset_m.is_some())
        })
    }

    /// The factor of safety that the verdict rests on: bolted where there is a pattern, at the
    /// governing size where sizes were studied, with collars anywhere within their tolerance where
    /// one is given, and for a falling wedge the lower one of forces alone and of forces with
    /// moments.
    #[must_use]
    pub fn deciding_fs(&self) -> f64 {
        deciding_fs(self.stability.motion.mode, self.fs_bare, self.deciding_forces(), self.fs_rotation)
    }

    /// The least factor of forces alone, as drawn and within the collar tolerance.
    fn deciding_forces(&self) -> Option<f64> {
        let governed = self.governing.as_ref().map(|g| g.size.fs_bolted).or(self.fs_bolted);
        match (governed, self.within_tolerance()) {
            (Some(drawn), Some(within)) => Some(drawn.min(within)),
            _ => governed,
        }
    }

    fn within_tolerance(&self) -> Option<f64> {
        self.installed.as_ref().and_then(|i| i.fs_collar_tolerance)
    }

    /// Whether collars off their place decide: nothing else gives as low a factor.
    #[must_use]
    pub fn tolerance_decides(&self) -> bool {
        let drawn = self.governing.as_ref().map(|g| g.size.fs_bolted).or(self.fs_bolted);
        matches!((drawn, self.within_tolerance()), (Some(d), Some(w)) if w < d) && !self.rotation_decides()
    }

    /// The bolts that cross it at its worst placement, in the drive or at the face; `None` where it
    /// was not placed.
    #[must_use]
    pub fn serving(&self) -> Option<&[Serving]> {
        let in_drive = self.placement.as_ref().map(|p| p.serving.as_slice());
        in_drive.or(self.at_face.as_ref().map(|p| p.serving.as_slice()))
    }

    /// Apex at its worst placement: chainage (from the face, for a wedge there) and place in the
    /// section, local (u, s, v); `None` where it was not placed.
    #[must_use]
    pub fn worst_apex(&self) -> Option<Vec3> {
        let in_drive = self.placement.as_ref().map(|p| Vec3::new(p.foot.apex.x, p.chainage_m, p.foot.apex.y));
        let fixed = || {
            let apex = &self.shape.apex;
            let s = self.located?.chainage_m(&Vec2::new(apex.x, apex.z))?;
            Some(Vec3::new(apex.x, s, apex.z))
        };
        in_drive.or(self.at_face.as_ref().map(|p| p.apex)).or_else(fixed)
    }

    /// The wedge as it sits at its worst placement, or as shown where there is none.
    #[must_use]
    pub fn worst_shape(&self) -> &Shape {
        self.placed_shape.as_ref().unwrap_or(&self.shape)
    }

    /// Chainage of its apex at its worst placement, or where structures put it, metres; 0 where it may
    /// be anywhere.
    #[must_use]
    pub fn apex_chainage_m(&self) -> f64 {
        let fixed = || {
            let apex = Vec2::new(self.shape.apex.x, self.shape.apex.z);
            self.located.and_then(|l| l.chainage_m(&apex)).unwrap_or(0.0)
        };
        self.placement.as_ref().map_or_else(fixed, |p| p.chainage_m)
    }

    /// Support force against the movement that its criterion asks for, kN.
    #[must_use]
    pub fn force_needed_kn(&self) -> f64 {
        self.criterion_fs.map_or(0.0, |fs| force_needed_kn(&self.stability, fs))
    }

    /// Support force against the movement that the pattern gives at the worst placement, kN.
    #[must_use]
    pub fn force_provided_kn(&self) -> Option<f64> {
        self.fs_bolted.filter(|fs| fs.is_finite()).map(|fs| {
            let bare = self.stability.resistance_kn(&Reaction::default());
            (fs * self.stability.motion.driving_kn - bare).max(0.0)
        })
    }
}

impl CheckedWedge {
    /// Volume of the wedge where moments hold it least, cubic metres.
    #[must_use]
    pub fn rotation_volume_m3(&self, section: &Section, placement: &RotationPlacement) -> f64 {
        let chain = Sector::of(&self.cone).and_then(|sector| Chain::of(section, &sector));
        chain.map_or(self.shape.volume_m3, |chain| chain.volume_m3(&placement.foot))
    }

    /// Whether the balance of moments decides: a falling wedge that swings out before it drops.
    #[must_use]
    pub fn rotation_decides(&self) -> bool {
        self.stability.motion.mode == Mode::Falling
            && matches!((self.deciding_forces(), self.fs_rotation), (Some(f), Some(r)) if r < f)
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
        let asked_of_bolts = self.criterion_fs.is_some() && !case.patterns.is_empty();
        self.verdict = if asked_of_bolts && self.fs_bolted.is_none() {
            Verdict::NotJudged
        } else {
            Verdict::of(self.deciding_fs(), self.criterion_fs)
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

/// A checked drive.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// The opening that wedges sit on.
    pub opening: Opening,
    /// The patterns, laid out, in the order of the case.
    pub layouts: Vec<Layout>,
    /// Which patterns slide along the drive together.
    pub groups: Vec<PhaseGroup>,
    /// Every removable wedge above a litre, triples and pyramids in the order of the case.
    pub wedges: Vec<CheckedWedge>,
    /// The wedges at the face, ids with `.face`, in the same order; empty until [`super::face()`] has
    /// looked for them. Their local frame has the face at s = 0.
    pub face: Vec<CheckedWedge>,
    /// How many removable wedges below a litre are left out.
    pub left_out: usize,
    /// What else a reader should know.
    pub warnings: Vec<Warning>,
}

impl Check {
    /// The wedges of the drive, then those at the face.
    pub fn every(&self) -> impl Iterator<Item = &CheckedWedge> {
        self.wedges.iter().chain(&self.face)
    }
}

/// Why a case cannot be checked. A case that came from a file has been asked all this before.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum CheckError {
    /// Its section is none.
    #[error(transparent)]
    Section(#[from] SectionError),
    /// A pattern cannot be drilled.
    #[error("pattern {}: {error}", pattern + 1)]
    Layout {
        /// Index of the pattern.
        pattern: usize,
        /// Why.
        error: LayoutError,
    },
    /// A pattern names a bolt that the case does not have.
    #[error("pattern {} names bolt {bolt}, but there are only {count}", pattern + 1)]
    UnknownBolt {
        /// Index of the pattern.
        pattern: usize,
        /// Index of the bolt.
        bolt: usize,
        /// How many bolts there are.
        count: usize,
    },
}

/// The fast half of a check: finds every removable wedge of a drive, sizes it under the case's limits,
/// and says what its joints and the patterns hold of the largest at its worst placement, forces alone.
/// It gives no verdict: moments, smaller sizes and collars off their place are not asked.
///
/// # Errors
/// [`CheckError`] where section or patterns make no sense together.
pub fn forces_alone(case: &Case) -> Result<Check, CheckError> {
    find(case, false)
}

/// As [`forces_alone`], with moments in balance too: every moving wedge is searched a second time for
/// its least load factor with forces and moments. It takes much longer where limits leave wedges room
/// across the section, and gives no verdict either.
///
/// # Errors
/// As [`forces_alone`].
pub fn forces_and_moments(case: &Case) -> Result<Check, CheckError> {
    find(case, true)
}

fn find(case: &Case, moments: bool) -> Result<Check, CheckError> {
    let ground = Ground::of(case)?;
    let mut warnings = scan_warnings(case);
    let candidates = candidates(case, &ground.opening, &mut warnings);
    // Collected in the order of the candidates, whatever the number of threads.
    let judged: Vec<Judged> =
        candidates.par_iter().map(|c| ground.checking(case, moments).judge(c)).collect();

    let mut wedges = Vec::new();
    let mut left_out = 0;
    for result in judged {
        match result {
            Judged::NotFinite => {}
            Judged::BelowLitre => left_out += 1,
            Judged::CappedAway(warning) => {
                left_out += 1;
                warnings.push(warning);
            }
            Judged::Wedge { wedge, warning } => {
                warnings.extend(warning);
                wedges.push(*wedge);
            }
        }
    }
    let Ground { opening, layouts, groups } = ground;
    let named = [Surface::Back, Surface::Floor];
    if !opening.surfaces().iter().any(|s| named.contains(s)) {
        warnings.push(Warning::SteepDrive { plunge_deg: case.advance.plunge_deg.abs() });
    }
    whole_drive_warnings(case, &groups, &layouts, &wedges, &mut warnings);
    Ok(Check { opening, layouts, groups, wedges, face: Vec::new(), left_out, warnings })
}

/// A check of one wedge by its id, without the warnings that concern the whole drive.
pub(super) fn check_one(case: &Case, id: &str) -> Result<Check, CheckError> {
    let ground = Ground::of(case)?;
    let candidates = candidates(case, &ground.opening, &mut Vec::new());
    let judged = candidates.iter().find(|c| c.id == id).map(|c| ground.checking(case, true).judge(c));
    let wedges = match judged {
        Some(Judged::Wedge { wedge, .. }) => vec![*wedge],
        _ => Vec::new(),
    };
    let Ground { opening, layouts, groups } = ground;
    Ok(Check { opening, layouts, groups, wedges, face: Vec::new(), left_out: 0, warnings: Vec::new() })
}

/// A case's opening with its patterns laid out.
struct Ground {
    opening: Opening,
    layouts: Vec<Layout>,
    groups: Vec<PhaseGroup>,
}

impl Ground {
    fn of(case: &Case) -> Result<Self, CheckError> {
        let opening = case.opening()?;
        let mut layouts = Vec::with_capacity(case.patterns.len());
        for (index, pattern) in case.patterns.iter().enumerate() {
            if pattern.bolt >= case.bolts.len() {
                return Err(CheckError::UnknownBolt {
                    pattern: index,
                    bolt: pattern.bolt,
                    count: case.bolts.len(),
                });
            }
            let layout = Layout::new(pattern, &opening)
                .map_err(|error| CheckError::Layout { pattern: index, error })?;
            layouts.push(layout);
        }
        Ok(Self { opening, layouts, groups: phase_groups(&case.patterns) })
    }

    fn checking<'a>(&'a self, case: &'a Case, moments: bool) -> Checking<'a> {
        let drive = Drive { case, opening: &self.opening, layouts: &self.layouts, groups: &self.groups };
        Checking { drive, moments }
    }
}

enum Judged {
    NotFinite,
    BelowLitre,
    CappedAway(Warning),
    Wedge { wedge: Box<CheckedWedge>, warning: Option<Warning> },
}

/// What the search against the bolts found of a wedge.
struct Placed {
    worst: Placement,
    shape: Shape,
    rotation: Option<RotationPlacement>,
    uncapped_fs: Option<f64>,
    tensioned_fs: Option<f64>,
    dowel_fs: Option<f64>,
}

/// How long wedges of a pyramid get along the drive, metres.
struct Lengths {
    /// Without caps.
    uncapped_m: f64,
    /// No admissible one is longer: each fits inside the uncapped one.
    most_m: f64,
    /// From here on it is worth a warning.
    long_m: f64,
}

impl Lengths {
    fn of(drive: &Drive, seat: &Seat, whole: &Footprint) -> Self {
        let uncapped_m = seat.chain().extent_along_drive_m(whole);
        Self {
            uncapped_m,
            most_m: drive.case.limits.max_length_m.map_or(uncapped_m, |m| m.min(uncapped_m)),
            long_m: LONG_WEDGE_RATIO * drive.opening.section.size_m(),
        }
    }

    fn can_place(&self) -> bool {
        self.most_m <= LONGEST_PLACED_M
    }

    fn can_place_uncapped(&self) -> bool {
        self.uncapped_m <= LONGEST_PLACED_M
    }

    fn warning(&self, candidate: &Candidate, asked_of_bolts: bool, is_capped: bool) -> Option<Warning> {
        let wedge = candidate.id.clone();
        if asked_of_bolts && !self.can_place() {
            return Some(Warning::TooLongToPlace {
                wedge,
                length_m: self.most_m,
                longest_m: LONGEST_PLACED_M,
            });
        }
        (self.uncapped_m > self.long_m && !is_capped)
            .then(|| Warning::LongWedge { wedge, length_m: self.uncapped_m })
    }
}

/// The search of a whole drive.
struct Checking<'a> {
    drive: Drive<'a>,
    /// Whether moments are balanced as well as forces.
    moments: bool,
}

impl Checking<'_> {
    fn judge(&self, candidate: &Candidate) -> Judged {
        let Some(seat) = Seat::of_candidate(self.drive, candidate) else { return Judged::NotFinite };
        // Not where its structures are: there is no such wedge.
        let Some(whole) = seat.uncapped() else { return Judged::NotFinite };
        let volume_uncapped_m3 = seat.volume_m3(&whole);
        if volume_uncapped_m3 < LEAST_VOLUME_M3 {
            return Judged::BelowLitre;
        }
        let Some(admissible) = seat.largest().filter(|a| a.volume_m3 >= LEAST_VOLUME_M3) else {
            return Judged::CappedAway(Warning::CappedAway {
                wedge: candidate.id.clone(),
                volume_uncapped_m3,
                litres: LEAST_VOLUME_M3 * 1000.0,
            });
        };
        let moves = seat.stability(&admissible.shown).motion.mode != Mode::NoMotion;
        let lengths = Lengths::of(&self.drive, &seat, &whole);
        let asked_of_bolts = moves && !self.drive.case.patterns.is_empty();
        let placed = (asked_of_bolts && lengths.can_place())
            .then(|| self.placed(candidate, &seat, &admissible, &lengths));
        let warning = lengths.warning(candidate, asked_of_bolts, !admissible.limited_by.is_empty());
        let wedge = self.wedge(candidate, &seat, admissible, volume_uncapped_m3, placed);
        Judged::Wedge { wedge: Box::new(wedge), warning }
    }

    /// A wedge that moves, held against the bolts.
    fn placed(
        &self,
        candidate: &Candidate,
        seat: &Seat,
        admissible: &Admissible,
        lengths: &Lengths,
    ) -> Placed {
        let positions = seat.positions();
        let worst = seat.place(&positions, admissible);
        let bare = seat.stability(&worst.foot);
        let rotation = self
            .moments
            .then(|| place_rotation(&positions, admissible, &|foot| seat.stability(foot), &worst));
        let uncapped_fs = match (admissible.limited_by.is_empty(), lengths.can_place_uncapped()) {
            (true, _) => Some(worst.least_fs),
            (false, false) => None,
            (false, true) => {
                let free = seat.under(&Limits::default());
                free.largest().map(|whole| free.place(&free.positions(), &whole).least_fs)
            }
        };
        Placed {
            tensioned_fs: self.tensioned(&worst, &bare, candidate.sets, seat),
            dowel_fs: self.dowelled(&worst, &bare, candidate, seat.cone()),
            shape: seat.shape(&worst.foot),
            worst,
            rotation,
            uncapped_fs,
        }
    }

    fn wedge(
        &self,
        candidate: &Candidate,
        seat: &Seat,
        admissible: Admissible,
        volume_uncapped_m3: f64,
        placed: Option<Placed>,
    ) -> CheckedWedge {
        let case = self.drive.case;
        let shape = seat.shape(&admissible.shown);
        // Which load hangs from it depends on where it sits.
        let sits = placed.as_ref().map_or_else(|| seat.most_hung(&admissible), |p| p.worst.foot);
        let stability =
            seat.stability(if case.site.hung_loads.is_empty() { &admissible.shown } else { &sits });
        let mode = stability.motion.mode;
        // Without movement the factor is infinite with bolts as without.
        let resting = (mode == Mode::NoMotion && !case.patterns.is_empty()).then_some(f64::INFINITY);
        let mut wedge = CheckedWedge {
            id: candidate.id.clone(),
            sets: candidate.sets,
            pyramid: candidate.pyramid,
            surfaces: surfaces_of(self.drive.opening, &shape),
            cone: candidate.cone,
            weight_kn: shape.volume_m3 * case.unit_weight_kn_m3,
            hung_kn: stability.hung().kn,
            slide: (mode != Mode::NoMotion)
                .then(|| Line::from_vector(&self.drive.opening.frame.to_world(&stability.motion.direction))),
            limited_by: admissible.limited_by,
            volume_uncapped_m3,
            fs_bare: stability.fs_bare(),
            fs_bare_no_cohesion: stability.fs_bare_no_cohesion(),
            criterion_fs: criterion_fs(case, mode),
            stability,
            fs_bolted: resting,
            fs_bolted_median: resting,
            fs_bolted_uncapped: resting,
            fs_tensioned: None,
            fs_dowel: None,
            fs_rotation: None,
            rotation_placement: None,
            at_face: None,
            governing: None,
            installed: None,
            located: seat.located().copied(),
            verdict: Verdict::NotJudged,
            shape,
            placement: None,
            placed_shape: None,
        };
        if let Some(placed) = placed {
            wedge.fs_bolted = Some(placed.worst.least_fs);
            wedge.fs_bolted_median = Some(placed.worst.median_fs);
            wedge.fs_bolted_uncapped = placed.uncapped_fs;
            wedge.fs_tensioned = placed.tensioned_fs;
            wedge.fs_dowel = placed.dowel_fs;
            wedge.fs_rotation = placed.rotation.as_ref().map(|p| p.least_fs);
            wedge.rotation_placement = placed.rotation;
            wedge.placed_shape = Some(placed.shape);
            wedge.placement = Some(placed.worst);
        }
        wedge
    }

    /// The factor of safety with the shear resistance of dowels, where the case asks for it.
    fn dowelled(
        &self,
        placement: &Placement,
        bare: &Stability,
        candidate: &Candidate,
        cone: &Cone,
    ) -> Option<f64> {
        let friction_deg = candidate.sets.map(|s| self.drive.case.joints[s].strength.friction_deg);
        let case = self.drive.case;
        let kind_of = |pattern: usize| case.bolts[case.patterns[pattern].bolt].kind;
        case.dowel_shear?.fs(kind_of, &placement.serving, bare, &cone.inward, &friction_deg)
    }

    /// The factor of safety with the tension of tensioned bolts as a load, and what is left of
    /// their capacity, with the other bolts, as resistance.
    fn tensioned(
        &self,
        placement: &Placement,
        bare: &Stability,
        sets: [usize; 3],
        seat: &Seat,
    ) -> Option<f64> {
        let case = self.drive.case;
        let cone = seat.cone();
        let tension = |s: &Serving| case.patterns[s.pattern].tension_kn.map(|t| t.min(s.capacity.kn));
        if case.patterns.iter().all(|p| p.tension_kn.is_none()) {
            return None;
        }
        let mut force = bare.motion.direction * bare.motion.driving_kn;
        for (m, normal) in cone.inward.iter().zip(bare.motion.normal_kn) {
            force -= m * normal;
        }
        for s in &placement.serving {
            force += s.direction * tension(s).unwrap_or(0.0);
        }
        let motion = Motion::of(&cone.inward, &force);
        let areas = seat.chain().joint_areas_m2(cone, &placement.foot);
        let strengths: [MohrCoulomb; 3] = sets.map(|s| case.joints[s].strength);
        let stability = Stability::new(motion, cone.inward, &strengths, &areas);
        let mut reaction = Reaction::default();
        for s in &placement.serving {
            let left = s.capacity.kn - tension(s).unwrap_or(0.0);
            reaction += stability.effect(&s.direction).times(left);
        }
        Some(stability.fs(&reaction))
    }
}

/// The surfaces of a wedge's face, in the order of [`Surface::ALL`].
pub(super) fn surfaces_of(opening: &Opening, shape: &Shape) -> Vec<Surface> {
    let whole = shape.opening_area_m2();
    Surface::ALL
        .into_iter()
        .filter(|&surface| {
            let area: f64 = shape
                .openings
                .iter()
                .filter(|f| opening.surface_of(f.facet) == surface)
                .map(|f| f.area_m2)
                .sum();
            area > SURFACE_SHARE * whole
        })
        .collect()
}

fn whole_drive_warnings(
    case: &Case,
    groups: &[PhaseGroup],
    layouts: &[Layout],
    wedges: &[CheckedWedge],
    warnings: &mut Vec<Warning>,
) {
    if layouts.is_empty() {
        return;
    }
    let served =
        wedges.iter().filter(|w| w.placement.as_ref().is_some_and(|p| !p.serving.is_empty())).count();
    if served > 1 {
        warnings.push(Warning::SharedBolts);
    }
    for surface in [Surface::Back, Surface::LeftWall, Surface::RightWall] {
        let bolted = layouts.iter().flat_map(|l| &l.rows).any(|r| r.collar.surface == surface);
        let there: Vec<&str> = wedges
            .iter()
            .filter(|w| w.criterion_fs.is_some() && w.surfaces.contains(&surface))
            .map(|w| w.id.as_str())
            .collect();
        if !bolted && !there.is_empty() {
            warnings
                .push(Warning::UnboltedSurface { surface: surface.name().into(), wedges: there.join(", ") });
        }
    }
    let surveyed = case.patterns.iter().filter(|p| p.offset_m.is_some()).count();
    let together = groups.iter().map(|g| g.patterns.len()).max().unwrap_or(0);
    if surveyed > 1 && together < surveyed {
        warnings.push(Warning::FreePhases);
    }
}
