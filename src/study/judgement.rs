//! The judgement: of every wedge the piece that is carried least, of any size, at any place, by the
//! best of what may carry it.

use rayon::prelude::*;

use super::checked::{DecidedBy, InDrive};
use super::forces::surfaces_of;
use super::seat::{Drive, Seat};
use super::{Check, CheckedWedge, LEAST_VOLUME_M3, LONGEST_PLACED_M, Steps, UnderStress, Verdict};
use crate::case::Case;
use crate::opening::{Opening, Surface, Vec2};
use crate::stability::{Mode, Stability};
use crate::support::{
    Bracket, Carrier, Covering, Decision, Layout, LeastPiece, PieceAt, Pieces, Positions, ShortPiece, Span,
    SurfaceKind, SurfaceSupport, Uncarried, above, balanced_at, ground_of, joined, placed_at,
};
use crate::wedge::{Chain, Shape};

/// The surfaces that are judged: over people and beside them.
pub(super) const JUDGED: [Surface; 3] = [Surface::Back, Surface::LeftWall, Surface::RightWall];

/// Two ways to the same factor differ by less than this share; more, and something else decides.
const SAME_FACTOR: f64 = 1e-6;

/// What was found of the pieces of one wedge's pyramid.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Id of the wedge.
    pub wedge: String,
    /// The piece that is carried least; `None` where none is looked at.
    pub least: Option<LeastPiece>,
    /// The same piece as a wedge among the bolts.
    pub deciding: Option<Deciding>,
    /// Whether there is a piece that nothing entered would carry: no collar is sure to be on it, its joints
    /// do not hold it, and no surface support is entered.
    pub uncarried: Uncarried,
    /// Whether any of its pieces shows on ground that is judged.
    pub on_judged_ground: bool,
    /// The least factor with every collar exactly where it is drawn; `None` where the tolerance is 0,
    /// and where it was not asked for.
    pub fs_as_drawn: Option<f64>,
    /// What the same support holds of the pieces that are asked with stress; `None` without stress.
    pub under_stress: Option<UnderStress>,
}

/// The piece that decides, where it sits.
#[derive(Debug, Clone, PartialEq)]
pub struct Deciding {
    /// What its factor comes from.
    pub by: DecidedBy,
    /// Its weight, kN.
    pub weight_kn: f64,
    /// Its equilibrium without support.
    pub stability: Stability,
    /// The surfaces it shows on.
    pub surfaces: Vec<Surface>,
    /// Where it sits, with the bolts that are sure to cross it and the least that each can take; for a
    /// falling one forces and moments there.
    pub place: InDrive,
}

/// For every wedge of the drive that moves, the piece of its pyramid that is carried least: of every size
/// that the caps allow, wherever it can sit, by the best of what may carry it. Collars count where they
/// are sure within the case's tolerance. Wedges that structures hold in one place are judged as they are,
/// with the surface support over their whole face. `check` is what [`super::forces_alone()`] found for
/// `case`.
#[must_use]
pub fn judgement(case: &Case, check: &Check) -> Vec<Judged> {
    judgement_counted(case, check, &Steps::default())
}

/// As [`judgement`], with its steps counted.
pub(super) fn judgement_counted(case: &Case, check: &Check, steps: &Steps) -> Vec<Judged> {
    let judging = Judging::of(check.drive(case));
    steps.begin("judging wedges", check.wedges.len());
    let of_one = |wedge| {
        let judged = judging.judged(wedge);
        steps.step();
        judged
    };
    // Collected in the order of the check, whatever the number of threads.
    check.wedges.par_iter().filter_map(of_one).collect()
}

/// What is decided of the pieces of one wedge's pyramid.
#[derive(Debug, Clone, PartialEq)]
pub struct DecidedPieces {
    /// Id of the wedge.
    pub wedge: String,
    /// Whether each piece is carried.
    pub decision: Decision,
}

/// As [`judgement`], whether each piece is carried and no more: much sooner. `tried_first` are pieces of a
/// wedge (by its id) that may well be short, such as those that were under a similar pattern.
#[must_use]
pub fn decide_pieces(
    case: &Case,
    check: &Check,
    tried_first: &(dyn Fn(&str) -> Vec<PieceAt> + Sync),
) -> Vec<DecidedPieces> {
    let judging = Judging::of(check.drive(case));
    let of_one = |wedge: &CheckedWedge| {
        let (decision, _) = judging.decision(wedge, &tried_first(&wedge.wedge.id))?;
        Some(DecidedPieces { wedge: wedge.wedge.id.clone(), decision })
    };
    // Collected in the order of the check, whatever the number of threads.
    check.wedges.par_iter().filter_map(of_one).collect()
}

/// A judged check with the least factor of each wedge's pieces with every collar exactly where it is drawn;
/// as it is where the case's tolerance is 0.
pub(super) fn with_factors_as_drawn(case: &Case, mut check: Check, steps: &Steps) -> Check {
    if case.installation.judged_tolerance_m() == 0.0 {
        return check;
    }
    let judging = Judging { drive: check.drive(case), within: None };
    let drawn = |wedge: &CheckedWedge| {
        steps.step();
        wedge.found.judged.as_ref()?;
        judging.with_pieces(wedge, |pieces, _| pieces.least_found())?
    };
    steps.begin("judging wedges with collars as drawn", check.wedges.len());
    // Collected in the order of the check, whatever the number of threads.
    let found: Vec<Option<f64>> = check.wedges.par_iter().map(drawn).collect();
    for (wedge, fs) in check.wedges.iter_mut().zip(found) {
        if let Some(judged) = &mut wedge.found.judged {
            judged.fs_as_drawn = fs;
        }
    }
    check
}

/// The check with what [`judgement`] found beside each wedge, and the surface support over those that
/// structures hold in one place.
#[must_use]
pub fn judge(case: &Case, mut check: Check, found: Vec<Judged>) -> Check {
    for judged in found {
        if let Some(wedge) = check.wedges.iter_mut().find(|w| w.wedge.id == judged.wedge) {
            wedge.found.judged = Some(Box::new(judged));
        }
    }
    if case.site.stress.is_some() {
        let judging = Judging::of(check.drive(case));
        let of_one = |wedge: &CheckedWedge| {
            let alone = wedge.found.judged.is_none();
            alone.then(|| judging.under_stress(wedge)).flatten().map(Box::new)
        };
        // Collected in the order of the check, whatever the number of threads.
        let found: Vec<_> = check.wedges.par_iter().map(of_one).collect();
        for (wedge, found) in check.wedges.iter_mut().zip(found) {
            wedge.found.under_stress = found;
        }
    }
    let opening = &check.opening;
    let all = (&case.surface_support[..], &JUDGED[..]);
    for wedge in check.wedges.iter_mut().filter(|w| w.is_fixed()) {
        wedge.found.surface = over_whole_face(all, opening, wedge.worst_shape(), &wedge.wedge.stability);
    }
    check
}

/// The best of surface support that covers all of a wedge's face, where all of that is on surfaces that are
/// judged.
pub(super) fn over_whole_face(
    (supports, judged): (&[SurfaceSupport], &[Surface]),
    opening: &Opening,
    shape: &Shape,
    stability: &Stability,
) -> Option<(Carrier, f64)> {
    let surfaces = surfaces_of(opening, shape);
    let covers = |s: &&SurfaceSupport| {
        surfaces.iter().all(|surface| judged.contains(surface) && s.covers_face(opening, shape, *surface))
    };
    let traces_m: f64 = shape.joints.iter().map(|j| j.trace_m).sum();
    let given = |support: &SurfaceSupport| {
        let kn = support.capacity(traces_m).kn;
        match support.kind {
            SurfaceKind::Screen { .. } | SurfaceKind::Strap { .. } => {
                // A screen counts on no joint: it has to bear what drives the wedge out besides.
                (Carrier::Screen, (kn - stability.loss().out_kn) / stability.active_kn().norm())
            }
            SurfaceKind::Shotcrete { .. } => {
                (Carrier::Shotcrete, stability.fs_bare() + kn / stability.motion.driving_kn)
            }
        }
    };
    supports.iter().filter(covers).map(given).reduce(|a, b| if b.1 > a.1 { b } else { a })
}

/// A drive made ready for its pieces to be judged.
pub(super) struct Judging<'s> {
    drive: Drive<'s>,
    /// The layouts with collars off their place; `None` where the tolerance is 0.
    within: Option<Vec<Layout>>,
}

impl<'s> Judging<'s> {
    pub fn of(drive: Drive<'s>) -> Self {
        Self { drive, within: drive.off_their_place() }
    }

    /// Over the stretch of a drive ([`Drive::stretch_m`]), with the same bolts off their place as far as their
    /// survey leaves open; `None` where it leaves nothing open.
    pub fn over_stretch(drive: Drive<'s>, within: Option<Vec<Layout>>) -> Self {
        Self { drive, within }
    }

    /// The drive that it is of.
    pub fn drive(&self) -> Drive<'s> {
        self.drive
    }

    /// The case that it is judged by.
    pub fn case(&self) -> &'s Case {
        self.drive.case
    }

    /// Whether the pieces of a wedge are looked at: it moves, something may carry it, and structures do
    /// not hold it in one place.
    pub fn looks_at(&self, wedge: &CheckedWedge) -> bool {
        Seat::of_wedge(self.drive, wedge).is_some_and(|seat| self.looks_at_in(wedge, &seat))
    }

    fn looks_at_in(&self, wedge: &CheckedWedge, seat: &Seat) -> bool {
        let case = self.drive.case;
        // Where the largest stands by its joints, water may still move smaller ones.
        let may_hold = |asked: f64| case.site.pressing().is_some() && wedge.found.fs_bare >= asked;
        let supported = seat.has_bolts()
            || !case.surface_support.is_empty()
            || wedge.decided.criterion_fs.is_some_and(may_hold);
        let short_enough = !seat.has_bolts() || wedge.wedge.shape.length_m <= LONGEST_PLACED_M;
        wedge.decided.criterion_fs.is_some() && supported && short_enough && !wedge.is_fixed()
    }

    /// What `ask` says of a wedge's pieces; `None` where they are not looked at.
    fn with_pieces<T>(&self, wedge: &CheckedWedge, ask: impl FnOnce(&Pieces, &Seat) -> T) -> Option<T> {
        let (case, opening) = (self.drive.case, self.drive.opening);
        let seat = Seat::of_wedge(self.drive, wedge)?;
        if !self.looks_at_in(wedge, &seat) {
            return None;
        }
        let chain = seat.chain();
        let coverings: Vec<Covering> = case
            .surface_support
            .iter()
            .map(|support| {
                let covered = |surface: Surface| support.covered_ground(chain, opening, surface);
                Covering { support, spans: joined(JUDGED.into_iter().flat_map(covered).collect()) }
            })
            .collect();
        let pieces = Pieces {
            positions: self.positions(&seat),
            judge: &|foot| seat.stability(foot),
            asked_fs: wedge.decided.criterion_fs?,
            coverings: &coverings,
            judged: &judged_ground(case, opening, chain),
            bar_m3: case.criteria.scaling_up_to_m3,
            least_m3: LEAST_VOLUME_M3,
            wet: seat.on_pieces(),
            stretch_m: self.drive.stretch_m,
            apexes_on: seat.apexes_on(),
        };
        Some(ask(&pieces, &seat))
    }

    /// The wedges of a seat among the bolts, with collars as far off as the case counts.
    pub fn positions<'p>(&'p self, seat: &'p Seat) -> Positions<'p> {
        self.within.as_deref().map_or_else(|| seat.positions(), |layouts| seat.positions_of(layouts))
    }

    /// The piece that is carried least.
    pub fn judged(&self, wedge: &CheckedWedge) -> Option<Judged> {
        self.with_pieces(wedge, |pieces, seat| {
            let Bracket { least, uncarried } = pieces.least();
            Judged {
                wedge: wedge.wedge.id.clone(),
                deciding: least.as_ref().map(|piece| self.deciding(seat, piece)),
                uncarried,
                on_judged_ground: on_judged(pieces, seat),
                fs_as_drawn: None,
                under_stress: None,
                least,
            }
        })
        .map(|judged| Judged { under_stress: self.under_stress(wedge), ..judged })
    }

    /// Whether all pieces of a wedge are carried, and whether there are any to carry on judged ground; `None` where
    /// its pieces are not looked at. `known` are tried first.
    pub fn decision(&self, wedge: &CheckedWedge, known: &[PieceAt]) -> Option<(Decision, bool)> {
        let found = self.with_pieces(wedge, |pieces, seat| {
            let decision = pieces.decision(known);
            let any = match decision {
                Decision::Held(Uncarried::Absent) => self.has_any(wedge, pieces, seat),
                _ => on_judged(pieces, seat),
            };
            (decision, any)
        })?;
        if matches!(found.0, Decision::Short(_)) {
            return Some(found);
        }
        // What stress harms comes last: it takes longer, and most of it is short without.
        let Some(under) = self.under_stress(wedge) else { return Some(found) };
        let short = wedge.decided.criterion_fs.and_then(|asked_fs| under.short_of(asked_fs));
        Some(match (short, &found.0) {
            (Some(piece), _) => (Decision::Short(piece), found.1),
            (None, Decision::Held(Uncarried::Absent)) if under.not_found > 0 => (Decision::Open, found.1),
            (None, _) => found,
        })
    }

    /// Whether a wedge all of whose pieces are carried has any on judged ground, as [`CheckedWedge::decide`] has it.
    fn has_any(&self, wedge: &CheckedWedge, pieces: &Pieces, seat: &Seat) -> bool {
        let (case, largest) = (self.drive.case, &wedge.wedge.shape);
        if case.criteria.is_for_the_bar(largest.volume_m3) {
            return true;
        }
        // Under caps those that show on judged ground may all be too small, while the largest shows elsewhere.
        let shows = || {
            let foot = seat.chain().footprint_at(&Vec2::new(largest.apex.x, largest.apex.z));
            foot.is_some_and(|foot| shows_in(pieces, foot.along_m[0], foot.along_m[2]))
        };
        on_judged(pieces, seat)
            && (case.site.pressing().is_some() || shows() || pieces.least().least.is_some())
    }

    /// Whether no piece of a wedge is carried less than a factor; `false` too where that was not found out.
    pub fn none_below(&self, wedge: &CheckedWedge, fs: f64, known: &[PieceAt]) -> bool {
        self.with_pieces(wedge, |pieces, _| pieces.none_below(fs, known)).unwrap_or(false)
            && self.under_stress(wedge).is_none_or(|under| under.short_of(fs).is_none())
    }

    /// Whether one of some pieces of a wedge is carried too little: no search.
    pub fn is_short_of(&self, wedge: &CheckedWedge, tried: &[PieceAt]) -> bool {
        self.with_pieces(wedge, |pieces, _| pieces.is_short_of(tried)).unwrap_or(false)
    }

    /// Whether there is a piece of a wedge that nothing entered is on; `None` where its pieces are not looked at.
    pub fn uncarried(&self, wedge: &CheckedWedge) -> Option<Uncarried> {
        self.with_pieces(wedge, |pieces, _| pieces.uncarried())
    }

    /// The verdict that [`CheckedWedge::decide`] comes to, and a piece that is not carried; `None` where its
    /// pieces are not looked at. Pieces that were bad under other support are tried first.
    pub fn verdict(&self, wedge: &CheckedWedge, known: &[PieceAt]) -> Option<(Verdict, Option<ShortPiece>)> {
        Some(match self.decision(wedge, known)? {
            (Decision::Short(piece), _) => (Verdict::Short, Some(piece)),
            (Decision::Held(Uncarried::Absent), true) => (Verdict::Held, None),
            (Decision::Held(_) | Decision::Open, _) => (Verdict::NotJudged, None),
        })
    }

    fn deciding(&self, seat: &Seat, piece: &LeastPiece) -> Deciding {
        let stability = seat.stability(&piece.foot);
        let falls = stability.motion.mode == Mode::Falling;
        let at = |positions: &Positions| {
            let worst = placed_at(positions, &piece.foot, &stability, &piece.phases_m);
            let moments = falls.then(|| balanced_at(positions, &stability, &worst));
            (worst, moments)
        };
        let factor =
            |(worst, moments): &(crate::support::Placement, Option<crate::support::RotationPlacement>)| {
                moments.as_ref().map_or(worst.least_fs, |m| m.least_fs.min(worst.least_fs))
            };
        let (worst, moments) = at(&self.positions(seat));
        let by = match piece.carrier {
            Carrier::Screen => DecidedBy::Screen,
            Carrier::Shotcrete => DecidedBy::Shotcrete,
            Carrier::Joints | Carrier::Bar => DecidedBy::Forces,
            Carrier::Bolts => {
                let drawn = at(&seat.positions());
                let same = |a: f64, b: f64| (a - b).abs() <= SAME_FACTOR * b.abs();
                let here = (worst.clone(), moments.clone());
                if self.within.is_some() && !same(factor(&drawn), factor(&here)) {
                    DecidedBy::Collars
                } else if falls && !same(worst.least_fs, piece.fs) {
                    DecidedBy::Moments
                } else {
                    DecidedBy::Forces
                }
            }
        };
        let shape = seat.shape(&piece.foot);
        Deciding {
            by,
            weight_kn: piece.volume_m3 * self.drive.case.unit_weight_kn_m3,
            stability,
            surfaces: surfaces_of(self.drive.opening, &shape),
            place: InDrive { worst, shape, moments },
        }
    }
}

/// Whether any of a pyramid's pieces shows on ground that is judged.
fn on_judged(pieces: &Pieces, seat: &Seat) -> bool {
    let (from_m, to_m) = seat.frontier().span_m();
    shows_in(pieces, from_m, to_m)
}

/// Whether judged ground lies between two places of a chain.
fn shows_in(pieces: &Pieces, from_m: f64, to_m: f64) -> bool {
    pieces.judged.iter().any(|s| s.meets(from_m, to_m))
}

/// The judged ground of a chain: back, and walls down to where the case says.
pub(super) fn judged_ground(case: &Case, opening: &Opening, chain: &Chain) -> Vec<Span> {
    let down_to_m = case.criteria.judged_down_to_m;
    let judged = |surface: Surface| {
        let lowest_m = Some(down_to_m).filter(|&v| surface.is_wall() && v > 0.0);
        ground_of(chain, opening, surface)
            .into_iter()
            .filter_map(move |span| lowest_m.map_or(Some(span), |v| above(chain, span, v)))
            .collect::<Vec<_>>()
    };
    joined(JUDGED.into_iter().flat_map(judged).collect())
}
