use std::sync::Arc;

use rayon::prelude::*;
use thiserror::Error;

use super::checked::{CheckedWedge, Decided, Found, InDrive, Placed, Wedge, is_fixed};
use super::scan::scan_warnings;
use super::seat::{Drive, Seat};
use super::stressed::{AskedPiece, Stressed};
use super::wedges::{Candidate, candidate, candidates};
use super::{LEAST_VOLUME_M3, LONG_WEDGE_RATIO, LONGEST_PLACED_M, Verdict, Warning};
use crate::case::Case;
use crate::opening::{Opening, SectionError, Surface};
use crate::orientation::Line;
use crate::stability::{Mode, Motion, Reaction, Stability};
use crate::strength::MohrCoulomb;
use crate::stress::{Accuracy, SectionStress};
use crate::support::{
    Layout, LayoutError, LocalBolts, Pattern, PhaseGroup, Placement, Serving, phase_groups, place_rotation,
};
use crate::wedge::{Admissible, Cone, Footprint, JointPyramid, Limits, Shape};

/// A face of less than this share of a wedge's whole opening face does not put the wedge on that
/// surface: it is the rounding of a corner.
pub(super) const SURFACE_SHARE: f64 = 1e-9;

/// Friction angles below this are asked about, degrees: even clay fillings keep more (common practice, no
/// source), while 0.5 is a typical angle in radians, or its tangent.
const LIKELY_FRICTION_DEG: f64 = 5.0;

/// A checked drive.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// The opening that wedges sit on.
    pub opening: Opening,
    /// The patterns, laid out, in the order of the case.
    pub layouts: Vec<Layout>,
    /// What stands at known chainages alone ([`Case::local`]), laid out, in the order of the case.
    pub local: Vec<Layout>,
    /// The bolts in the face ([`Case::face_bolts`]), laid out, in the order of the case.
    pub face_bolts: Vec<Layout>,
    /// Which patterns slide along the drive together.
    pub groups: Vec<PhaseGroup>,
    /// Every removable wedge above a litre, triples and pyramids in the order of the case.
    pub wedges: Vec<CheckedWedge>,
    /// The wedges at the face, ids with `.face`, in the same order; empty until [`super::face()`] has
    /// looked for them. Their local frame has the face at s = 0.
    pub face: Vec<CheckedWedge>,
    /// The elastic stress round the section, solved once; `None` where the case has no stress, or it has no solution.
    pub stress: Option<Arc<SectionStress>>,
    /// How many removable wedges below a litre are left out.
    pub left_out: usize,
    /// What else a reader should know.
    pub warnings: Vec<Warning>,
}

impl Check {
    /// The wedge of the drive that lacks most force, the first of equals; `None` where none is short.
    #[must_use]
    pub fn lacks_most(&self) -> Option<&CheckedWedge> {
        let short = self.wedges.iter().filter(|w| w.decided.verdict == Verdict::Short);
        short.reduce(|a, b| if b.force_lacking_kn() > a.force_lacking_kn() { b } else { a })
    }

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
    find(case, Moments::No)
}

/// As [`forces_alone`], with moments of those wedges that structures hold in one place: of the others the
/// judgement asks moments of every piece.
pub(super) fn moments_of_fixed(case: &Case) -> Result<Check, CheckError> {
    find(case, Moments::OfFixed)
}

/// Of which wedges moments are balanced as well as forces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Moments {
    /// Of none.
    No,
    /// Of those that structures hold in one place.
    OfFixed,
    /// Of every one that moves.
    OfAll,
}

/// As [`forces_alone`], with moments in balance too: every moving wedge is searched a second time for
/// its least load factor with forces and moments. It takes much longer where limits leave wedges room
/// across the section, and gives no verdict either.
///
/// # Errors
/// As [`forces_alone`].
pub fn forces_and_moments(case: &Case) -> Result<Check, CheckError> {
    find(case, Moments::OfAll)
}

fn find(case: &Case, moments: Moments) -> Result<Check, CheckError> {
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
    let Ground { opening, layouts, local, face_bolts, groups, stress } = ground;
    let named = [Surface::Back, Surface::Floor];
    if !opening.surfaces().iter().any(|s| named.contains(s)) {
        warnings.push(Warning::SteepDrive { plunge_deg: case.advance.plunge_deg.abs() });
    }
    warnings.extend(low_frictions(case));
    whole_drive_warnings(case, &groups, &layouts, &wedges, &mut warnings);
    let face = Vec::new();
    Ok(Check { opening, layouts, local, face_bolts, groups, wedges, face, stress, left_out, warnings })
}

/// Joints whose friction angle looks like a slip of the pen; frictionless ones are meant.
fn low_frictions(case: &Case) -> impl Iterator<Item = Warning> {
    let is_low = |deg: f64| deg > 0.0 && deg < LIKELY_FRICTION_DEG;
    case.joints.iter().filter(move |joint| is_low(joint.strength.friction_deg)).map(|joint| {
        Warning::LowFriction {
            joint: joint.name.clone(),
            friction_deg: joint.strength.friction_deg,
            likely_deg: LIKELY_FRICTION_DEG,
        }
    })
}

/// A check of the wedge of one pyramid of these joints, or of none, without the warnings that concern the whole drive.
pub(super) fn check_one(
    case: &Case,
    of: Option<([usize; 3], JointPyramid)>,
    moments: Moments,
) -> Result<Check, CheckError> {
    let ground = Ground::of(case)?;
    let candidate = of.and_then(|(sets, pyramid)| candidate(case, &ground.opening, sets, pyramid));
    let judged = candidate.map(|c| ground.checking(case, moments).judge(&c));
    let wedges = match judged {
        Some(Judged::Wedge { wedge, .. }) => vec![*wedge],
        _ => Vec::new(),
    };
    let Ground { opening, layouts, local, face_bolts, groups, stress } = ground;
    let (face, warnings) = (Vec::new(), Vec::new());
    Ok(Check { opening, layouts, local, face_bolts, groups, wedges, face, stress, left_out: 0, warnings })
}

/// A case's opening with its patterns laid out.
#[derive(Debug)]
pub(super) struct Ground {
    pub opening: Opening,
    layouts: Vec<Layout>,
    local: Vec<Layout>,
    face_bolts: Vec<Layout>,
    groups: Vec<PhaseGroup>,
    stress: Option<Arc<SectionStress>>,
}

impl Ground {
    /// # Errors
    /// As [`forces_alone`].
    pub fn of(case: &Case) -> Result<Self, CheckError> {
        let opening = case.opening()?;
        let laid = |index: usize, pattern: &Pattern, layout: Result<Layout, LayoutError>| {
            if pattern.bolt >= case.bolts.len() {
                return Err(CheckError::UnknownBolt {
                    pattern: index,
                    bolt: pattern.bolt,
                    count: case.bolts.len(),
                });
            }
            layout.map_err(|error| CheckError::Layout { pattern: index, error })
        };
        let whole = case.patterns.iter().enumerate();
        let layouts = whole.map(|(at, p)| laid(at, p, Layout::new(p, &opening))).collect::<Result<_, _>>()?;
        let behind = case.local.iter().enumerate().map(|(at, b)| (case.patterns.len() + at, b));
        let local =
            behind.map(|(at, b)| laid(at, b.pattern(), b.layout(&opening))).collect::<Result<_, _>>()?;
        let first = case.first_on_face();
        let in_face = case.face_bolts.iter().enumerate();
        let face_bolts = in_face
            .map(|(at, b)| laid(first + at, b.pattern(), b.layout(&opening)))
            .collect::<Result<_, _>>()?;
        let stress = case.site.stress.as_ref().and_then(|_| SectionStress::shared(&opening.section));
        Ok(Self { opening, layouts, local, face_bolts, groups: phase_groups(&case.patterns), stress })
    }

    fn checking<'a>(&'a self, case: &'a Case, moments: Moments) -> Checking<'a> {
        Checking { drive: self.drive(case), moments }
    }

    /// The drive of the case that it was made of.
    pub fn drive<'a>(&'a self, case: &'a Case) -> Drive<'a> {
        Drive {
            case,
            opening: &self.opening,
            layouts: &self.layouts,
            local: &self.local,
            groups: &self.groups,
            stretch_m: None,
            stress: self.stress.as_deref(),
        }
    }
}

enum Judged {
    NotFinite,
    BelowLitre,
    CappedAway(Warning),
    Wedge { wedge: Box<CheckedWedge>, warning: Option<Warning> },
}

/// What the search against the bolts found of a wedge.
struct AmongBolts {
    place: InDrive,
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
            .then_some(Warning::LongWedge { wedge, length_m: self.uncapped_m })
    }
}

/// The search of a whole drive.
struct Checking<'a> {
    drive: Drive<'a>,
    moments: Moments,
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
        let asked_of_bolts = moves && seat.has_bolts();
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
    ) -> AmongBolts {
        let positions = seat.positions();
        let worst = seat.place(&positions, admissible);
        let bare = seat.stability(&worst.foot);
        let balanced = match self.moments {
            Moments::No => false,
            Moments::OfFixed => is_fixed(seat.located()),
            Moments::OfAll => true,
        };
        let moments =
            balanced.then(|| place_rotation(&positions, admissible, &|foot| seat.stability(foot), &worst));
        let uncapped_fs = match (admissible.limited_by.is_empty(), lengths.can_place_uncapped()) {
            (true, _) => Some(worst.least_fs),
            (false, false) => None,
            (false, true) => {
                let free = seat.under(&Limits::default());
                free.largest().map(|whole| free.place(&free.positions(), &whole).least_fs)
            }
        };
        AmongBolts {
            tensioned_fs: self.tensioned(&worst, &bare, candidate.sets, seat),
            dowel_fs: self.dowelled(&worst, &bare, candidate, seat.cone()),
            place: InDrive { shape: seat.shape(&worst.foot), worst, moments },
            uncapped_fs,
        }
    }

    fn wedge(
        &self,
        candidate: &Candidate,
        seat: &Seat,
        admissible: Admissible,
        volume_uncapped_m3: f64,
        among_bolts: Option<AmongBolts>,
    ) -> CheckedWedge {
        let case = self.drive.case;
        let shape = seat.shape(&admissible.shown);
        // Which load hangs from it depends on where it sits.
        let sits = among_bolts.as_ref().map_or_else(|| seat.most_hung(&admissible), |a| a.place.worst.foot);
        // What presses on it does too.
        let hangs = !case.site.hung_loads.is_empty() || case.site.pressing().is_some();
        let stands = if hangs { &sits } else { &admissible.shown };
        let stability = seat.stability(stands);
        let mode = stability.motion.mode;
        // Without movement the factor is infinite with bolts as without.
        let resting = (mode == Mode::NoMotion && seat.has_bolts()).then_some(f64::INFINITY);
        let mut found = Found {
            fs_bare: stability.fs_bare(),
            fs_bare_no_cohesion: stability.fs_bare_no_cohesion(),
            shaken: seat.shaken(),
            at_rest: seat.at_rest(stands),
            dry: seat.dry(stands),
            stressed: seat.stressed(stands, &stability, Accuracy::Fine).map(|stressed| {
                let found = stressed.found(&stability);
                let largest = AskedPiece { foot: *stands, volume_m3: seat.volume_m3(stands), found };
                let asked = std::iter::once(largest).chain(seat.asked_under_stress()).collect();
                Box::new(Stressed { asked, ..stressed })
            }),
            fs_bolted: resting,
            fs_bolted_median: resting,
            fs_bolted_uncapped: resting,
            ..Found::default()
        };
        let mut sits_in = Placed::Nowhere;
        if let Some(among) = among_bolts {
            let InDrive { worst, moments, .. } = &among.place;
            found.fs_bolted = Some(worst.least_fs);
            found.fs_bolted_median = Some(worst.median_fs);
            found.fs_bolted_uncapped = among.uncapped_fs;
            found.fs_tensioned = among.tensioned_fs;
            found.fs_dowel = among.dowel_fs;
            found.fs_rotation = moments.as_ref().map(|p| p.least_fs);
            sits_in = Placed::InDrive(Box::new(among.place));
        }
        let slides = || Line::from_vector(&self.drive.opening.frame.to_world(&stability.motion.direction));
        CheckedWedge {
            wedge: Wedge {
                id: candidate.id.clone(),
                sets: candidate.sets,
                pyramid: candidate.pyramid,
                surfaces: surfaces_of(self.drive.opening, &shape),
                cone: candidate.cone,
                weight_kn: shape.volume_m3 * case.unit_weight_kn_m3,
                hung_kn: stability.hung().kn,
                slide: (mode != Mode::NoMotion).then(slides),
                limited_by: admissible.limited_by,
                volume_uncapped_m3,
                located: seat.located().copied(),
                stability,
                shape,
            },
            placed: sits_in,
            found,
            decided: Decided::asked(seat.criterion_fs(mode)),
        }
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
        let kind_of = |pattern: usize| case.bolts[case.pattern_at(pattern).bolt].kind;
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
        let tension = |s: &Serving| case.pattern_at(s.pattern).tension_kn.map(|t| t.min(s.capacity.kn));
        let mut all = case.patterns.iter().chain(case.local.iter().map(LocalBolts::pattern));
        if all.all(|p| p.tension_kn.is_none()) {
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
    let served = wedges.iter().filter(|w| w.placement().is_some_and(|p| !p.serving.is_empty())).count();
    if served > 1 {
        warnings.push(Warning::SharedBolts);
    }
    for surface in [Surface::Back, Surface::LeftWall, Surface::RightWall] {
        let bolted = layouts.iter().flat_map(|l| &l.rows).any(|r| r.collar.surface == surface);
        let there: Vec<&str> = wedges
            .iter()
            .filter(|w| w.decided.criterion_fs.is_some() && w.wedge.surfaces.contains(&surface))
            .map(|w| w.wedge.id.as_str())
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
