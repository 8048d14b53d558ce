use rayon::prelude::*;

use super::checked::{AtFace as InFace, Decided, Found, Placed, Wedge};
use super::face_moments::least_with_moments;
use super::face_pieces::Scan;
use super::forces::surfaces_of;
use super::seat::criterion_fs;
use super::shaken::{AtRest, Shaken};
use super::wedges::{Candidate, candidates};
use super::{Check, CheckedWedge, LEAST_VOLUME_M3};
use crate::case::Case;
use crate::orientation::{Line, Vec3};
use crate::stability::{Hung, Mode, Stability, WaterForces};
use crate::support::{EndPlacement, FaceSupport, Layout, PatternEnd, Serving};
use crate::wedge::{Across, FaceAdmissible, FaceBody, FaceLimits, Limits, Reach, largest_at_face};

/// A wedge at the face counts as one of its own where it is larger than the drive's by more than
/// this share.
const LARGER_SHARE: f64 = 1.01;

/// A pyramid whose farthest apex is no farther ahead of the face than this shows on back, walls and floor
/// alone, metres: rounding of its corners.
const ON_FACE_AHEAD_M: f64 = 1e-6;

/// Of the equally admissible apexes that the search met, so many are held against the bolts.
const PLACED_APEXES: usize = 24;

/// Where the end of the pattern leaves a wedge at the face worst.
#[derive(Debug, Clone, PartialEq)]
pub struct FacePlacement {
    /// Least factor of safety.
    pub least_fs: f64,
    /// The apex there; local (u, s, v), face at s = 0, metres.
    pub apex: Vec3,
    /// How far behind the face the last ring stands there, metres.
    pub last_ring_m: f64,
    /// The bolts that cross it there. Rings count back from the last one, 0; chainages are from the
    /// face.
    pub serving: Vec<Serving>,
}

/// Adds the wedges at the face to a check of the whole case: those of pyramids that have none in
/// the drive, and those that are more than 1 % larger there; where anything supports the face itself, those
/// of every pyramid that moves and can show on the face. They are held by the rings behind the
/// face: the last one where the case says it is, otherwise at the worst distance up to one ring
/// spacing, and by the bolts in the face. Moments are balanced at the apex where forces hold least. Beside the
/// largest stands what a scan of all sizes found ([`super::FaceScan`]).
#[must_use]
pub fn face(case: &Case, mut check: Check) -> Check {
    check.face = at_face(case, &check);
    check
}

/// The wedges at the face, as [`face`] has them.
pub(super) fn at_face(case: &Case, check: &Check) -> Vec<CheckedWedge> {
    let all = candidates(case, &check.opening, &mut Vec::new());
    let within = check.drive(case).off_their_place();
    let within = within.as_ref().map_or(&check.layouts[..], |all| &all[..check.layouts.len()]);
    let judge = |candidate| AtFace::of(case, check, candidate, within).judge();
    all.par_iter().filter_map(judge).collect()
}

/// The longest step between rings of a case, metres; `None` without a pattern.
fn widest_rings_m(case: &Case) -> Option<f64> {
    case.patterns.iter().map(|p| p.ring_spacing_m).reduce(f64::max)
}

/// The distances behind the face at which the last ring may stand, metres.
fn last_rings_m(case: &Case) -> (f64, f64) {
    case.last_ring_from_face_m.map_or((0.0, widest_rings_m(case).unwrap_or(0.0)), |m| (m, m))
}

struct AtFace<'a> {
    case: &'a Case,
    check: &'a Check,
    candidate: &'a Candidate,
    /// The patterns with every collar off its place as far as it may be.
    within: &'a [Layout],
    shaken: Option<Shaken>,
}

impl<'a> AtFace<'a> {
    fn of(case: &'a Case, check: &'a Check, candidate: &'a Candidate, within: &'a [Layout]) -> Self {
        let shaken = check.drive(case).shaken(candidate.sets, &candidate.cone.inward, &Vec3::zeros());
        Self { case, check, candidate, within, shaken }
    }

    fn judge(mut self) -> Option<CheckedWedge> {
        let (case, cone) = (self.case, &self.candidate.cone);
        let section = &self.check.opening.section;
        // The face passes a structure that crosses the drive wherever it is; one that runs along the
        // drive would leave its wedges a line of apexes, which is not looked at.
        let fixed = case.located(&self.check.opening, &self.candidate.sets);
        if self.candidate.sets.iter().any(|&j| case.is_structure(j))
            && fixed.is_none_or(|l| l.across != Across::Anywhere)
        {
            return None;
        }
        let reach = Reach::of(section, cone)?;
        let mut body = FaceBody::new(section, cone);
        let limits = FaceLimits { caps: self.candidate.limits, behind_face_m: None };
        let found = largest_at_face(&reach, &mut body, &limits)?;
        let in_drive = self.check.wedges.iter().find(|w| w.wedge.id == self.candidate.id);
        let is_larger = in_drive.is_none_or(|w| found.volume_m3 >= LARGER_SHARE * w.wedge.shape.volume_m3);
        if found.volume_m3 < LEAST_VOLUME_M3 {
            return None;
        }
        let shape = body.shape(&found.shown);
        let volume_m3 = shape.volume_m3;
        self.shake_wet(&mut body, &found.shown, volume_m3);
        let stability = self.equilibrium(&mut body, &found.shown);
        let mode = stability.motion.mode;
        let moves = mode != Mode::NoMotion;
        let on_face = reach.corners().iter().any(|corner| corner.y > ON_FACE_AHEAD_M);
        let supported = moves && on_face && case.supports_face();
        if !is_larger && !supported {
            return None;
        }
        let bolted = !case.patterns.is_empty() || !case.face_bolts.is_empty();
        let at_face = (moves && bolted).then(|| self.placed(&mut body, &found));
        let placed_shape = at_face.as_ref().map(|p| body.shape(&p.apex));
        let fs_bolted = match &at_face {
            Some(placed) => Some(placed.least_fs),
            None => bolted.then_some(f64::INFINITY),
        };
        let capped = !found.limited_by.is_empty();
        let fs_bolted_uncapped = if at_face.is_some() && capped {
            let free = FaceLimits { caps: Limits::default(), behind_face_m: None };
            largest_at_face(&reach, &mut body, &free).map(|whole| self.placed(&mut body, &whole).least_fs)
        } else {
            fs_bolted
        };
        let fs_rotation = at_face.as_ref().zip(placed_shape.as_ref()).map(|(placed, shape)| {
            let stability = self.equilibrium(&mut body, &placed.apex);
            let support = (&case.patterns[..], &self.check.layouts[..], &case.bolts[..]);
            let end = PatternEnd::at_face(section, &placed.apex, cone, stability, support, &self.in_face());
            let rings_m = last_rings_m(case);
            least_with_moments(shape, cone, &stability, &end, rings_m, placed)
        });
        // Where water presses, smaller wedges may move though the largest does not.
        let pieces = (moves || case.site.pressing().is_some()).then(|| {
            let scan = Scan {
                case,
                check: self.check,
                within: self.within,
                drawn: &self.check.layouts,
                reach: &reach,
                limits: &limits,
                body: &mut body,
                equilibrium: &|body, apex, volume_m3| self.equilibrium_of(body, apex, volume_m3),
                last_rings_m: last_rings_m(case),
            };
            Box::new(scan.run(&found.equals))
        });
        let slides = || Line::from_vector(&self.check.opening.frame.to_world(&stability.motion.direction));
        let placed = match at_face.zip(placed_shape) {
            Some((worst, shape)) => Placed::AtFace(Box::new(InFace { worst, shape })),
            None => Placed::Nowhere,
        };
        Some(CheckedWedge {
            wedge: Wedge {
                id: format!("{}.face", self.candidate.id),
                sets: self.candidate.sets,
                pyramid: self.candidate.pyramid,
                surfaces: surfaces_of(&self.check.opening, &shape),
                cone: *cone,
                weight_kn: shape.volume_m3 * case.unit_weight_kn_m3,
                hung_kn: 0.0,
                slide: moves.then(slides),
                limited_by: found.limited_by,
                volume_uncapped_m3: found.volume_uncapped_m3,
                located: None,
                stability,
                shape,
            },
            placed,
            found: Found {
                fs_bare: stability.fs_bare(),
                fs_bare_no_cohesion: stability.fs_bare_no_cohesion(),
                fs_bolted,
                fs_bolted_uncapped,
                fs_rotation,
                at_face: pieces,
                shaken: self.shaken,
                at_rest: self.shaken.map(|_| {
                    let water = self.water(&mut body, &found.shown);
                    AtRest::of(&self.equilibrium_under(&mut body, &found.shown, volume_m3, None, water))
                }),
                dry: case.site.water.as_ref().map(|_| {
                    AtRest::of(&self.equilibrium_under(&mut body, &found.shown, volume_m3, None, None))
                }),
                ..Found::default()
            },
            decided: Decided::asked(criterion_fs(case, mode)),
        })
    }

    /// The worst direction of shaking is that of the largest wedge with its water.
    fn shake_wet(&mut self, body: &mut FaceBody, apex: &Vec3, volume_m3: f64) {
        if self.shaken.is_some_and(|shaken| shaken.is_worst)
            && let Some(water) = self.water(body, apex)
        {
            let Candidate { sets, cone, .. } = self.candidate;
            let per_kn = water.resultant_kn(&cone.inward) / (volume_m3 * self.case.unit_weight_kn_m3);
            self.shaken = self.check.drive(self.case).shaken(*sets, &cone.inward, &per_kn);
        }
    }

    /// The bolts in the face, as drawn.
    fn in_face(&self) -> FaceSupport<'a> {
        FaceSupport {
            patterns: &self.case.face_bolts,
            layouts: &self.check.face_bolts,
            bolts: &self.case.bolts,
            first: self.case.first_on_face(),
            tolerance_m: 0.0,
        }
    }

    fn equilibrium(&self, body: &mut FaceBody, apex: &Vec3) -> Stability {
        let volume_m3 = body.measure_but_depth(apex).volume_m3;
        self.equilibrium_of(body, apex, volume_m3)
    }

    /// The same of a wedge of so many cubic metres.
    fn equilibrium_of(&self, body: &mut FaceBody, apex: &Vec3, volume_m3: f64) -> Stability {
        let water = self.water(body, apex);
        self.equilibrium_under(body, apex, volume_m3, self.shaken.as_ref(), water)
    }

    fn equilibrium_under(
        &self,
        body: &mut FaceBody,
        apex: &Vec3,
        volume_m3: f64,
        shaken: Option<&Shaken>,
        water: Option<WaterForces>,
    ) -> Stability {
        let Candidate { sets, cone, .. } = self.candidate;
        let drive = self.check.drive(self.case);
        let measured = (volume_m3, || body.joint_areas_m2(apex));
        drive.equilibrium(*sets, cone.inward, measured, Hung::default(), shaken, water)
    }

    /// What water presses onto the wedge with this apex.
    fn water(&self, body: &mut FaceBody, apex: &Vec3) -> Option<WaterForces> {
        self.case.site.pressing()?;
        self.check.drive(self.case).water_on_shape(self.candidate.sets, &body.shape(apex))
    }

    /// The worst of the equally admissible apexes that the search met, at the worst end of the
    /// pattern.
    fn placed(&self, body: &mut FaceBody, found: &FaceAdmissible) -> FacePlacement {
        let step = found.equals.len().div_ceil(PLACED_APEXES).max(1);
        let placed = found.equals.iter().step_by(step).map(|apex| {
            let stability = self.equilibrium(body, apex);
            let last_ring_m = last_rings_m(self.case);
            let support = (&self.case.patterns[..], &self.check.layouts[..], &self.case.bolts[..]);
            let (section, cone) = (body.section(), body.cone());
            let end = PatternEnd::at_face(section, apex, cone, stability, support, &self.in_face());
            from_face(apex, end.least(apex.y + last_ring_m.0, apex.y + last_ring_m.1))
        });
        // There is always one apex; the first of equals.
        placed.reduce(|a, b| if b.least_fs < a.least_fs { b } else { a }).unwrap_or_else(|| FacePlacement {
            least_fs: 0.0,
            apex: found.shown,
            last_ring_m: 0.0,
            serving: Vec::new(),
        })
    }
}

/// A placement told from the face instead of from the last ring.
pub(super) fn from_face(apex: &Vec3, end: EndPlacement) -> FacePlacement {
    let last_ring_m = end.from_last_ring_m - apex.y;
    let mut serving = end.serving;
    for bolt in &mut serving {
        bolt.chainage_m -= last_ring_m;
    }
    FacePlacement { least_fs: end.least_fs, apex: *apex, last_ring_m, serving }
}
