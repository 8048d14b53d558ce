//! The judgement of what stress harms: the pieces that are asked, losing what stress takes, by the best of what may carry
//! them.
//!
//! No search: how much stress takes of a piece hangs on the rock about it in a way that is not bounded over a box of pieces,
//! so that some named pieces are asked ([`Seat::asked_under_stress`]) and nothing is said of those between.

use super::checked::{Decided, DecidedBy, InDrive, Unjudged};
use super::forces::surfaces_of;
use super::judgement::{Deciding, JUDGED, Judging, judged_ground, over_whole_face};
use super::seat::Seat;
use super::stressed::{AskedPiece, PieceUnderStress};
use super::{CheckedWedge, LONGEST_PLACED_M, Verdict};
use crate::stability::{Mode, Stability};
use crate::support::{
    Carrier, PieceAt, Placement, Positions, RotationPlacement, SetBolts, ShortPiece, balanced_at, placed_at,
    placed_least,
};
use crate::wedge::Footprint;

/// Even places along a part of a stretch at which an asked piece is held against the bolts there.
const STRETCH_PLACES: usize = 64;

/// What was found of the pieces of a wedge that are asked what stress does to them, under one support.
#[derive(Debug, Clone, PartialEq)]
pub struct UnderStress {
    /// How many are asked: on judged ground, and larger than what is barred down.
    pub asked: usize,
    /// How many of these hold less with stress.
    pub harmed: usize,
    /// Of how many no balance was found.
    pub not_found: usize,
    /// The one of those it harms that is carried least with stress; `None` where it harms none.
    pub least: Option<LeastUnderStress>,
}

/// A piece that stress harms, where it is carried least.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastUnderStress {
    /// The factor of its best carrier, with stress.
    pub fs: f64,
    /// That carrier.
    pub carrier: Carrier,
    /// The piece, and where it sits.
    pub at: PieceAt,
    /// How many bolts cross it there.
    pub bolts: usize,
    /// Its equilibrium without support, losing what stress takes.
    pub stability: Stability,
    /// Where it sits among the bolts; `None` without bolts.
    pub deciding: Option<Deciding>,
}

impl UnderStress {
    /// What is decided with stress, of what was decided without it: a wedge has to hold with and without.
    pub(super) fn decides(&self, without: Decided, asked_fs: f64) -> Decided {
        let Some(least) = self.least.as_ref().filter(|_| !without.is_left_out()) else {
            return self.not_known(without);
        };
        if without.fs.is_some_and(|fs| fs <= least.fs) {
            return self.not_known(without);
        }
        let found = Decided {
            fs: Some(least.fs),
            by: Some(DecidedBy::Stress),
            volume_m3: Some(least.at.volume_m3),
            ..without.clone()
        };
        match (least.fs < asked_fs, without.verdict) {
            (true, _) => Decided { verdict: Verdict::Short, held_by: Vec::new(), unjudged: None, ..found },
            (false, Verdict::Held) => {
                let mut held_by = found.held_by.clone();
                if !held_by.contains(&least.carrier) {
                    held_by.push(least.carrier);
                    held_by.sort_unstable();
                }
                self.not_known(Decided { held_by, ..found })
            }
            (false, _) => without,
        }
    }

    /// A wedge that would be held is not where of some asked piece no balance was found.
    fn not_known(&self, decided: Decided) -> Decided {
        if self.not_found == 0 || decided.verdict != Verdict::Held {
            return decided;
        }
        let unjudged = Some(Unjudged::StressNotFound);
        Decided { verdict: Verdict::NotJudged, held_by: Vec::new(), unjudged, ..decided }
    }

    /// The asked piece that is short of a factor.
    pub(super) fn short_of(&self, fs: f64) -> Option<ShortPiece> {
        let least = self.least.as_ref().filter(|least| least.fs < fs)?;
        let LeastUnderStress { fs, carrier, bolts, .. } = *least;
        Some(ShortPiece { fs, carrier, bolts, at: least.at.clone() })
    }
}

/// An asked piece held against what may carry it.
struct Held {
    fs: f64,
    carrier: Carrier,
    among: Option<(Placement, Option<RotationPlacement>)>,
}

impl Judging<'_> {
    /// What the case's support holds of the pieces of a wedge that are asked what stress does; `None` without stress, where
    /// it does not move, and where it is too long for its bolts.
    pub fn under_stress(&self, wedge: &CheckedWedge) -> Option<UnderStress> {
        let (case, opening) = (self.case(), self.drive().opening);
        let asked_fs = wedge.decided.criterion_fs?;
        case.site.stress.as_ref()?;
        let pieces = wedge.found.stressed.as_deref().map_or(&[][..], |stressed| &stressed.asked);
        let seat = Seat::of_wedge(self.drive(), wedge)?;
        if seat.has_bolts() && wedge.wedge.shape.length_m > LONGEST_PLACED_M {
            return None;
        }
        let judged = judged_ground(case, opening, seat.chain());
        let counts = |piece: &&AskedPiece| {
            let [from_m, _, to_m] = piece.foot.along_m;
            judged.iter().any(|span| span.meets(from_m, to_m))
                && !case.criteria.is_for_the_bar(piece.volume_m3)
        };
        let mut found = UnderStress { asked: 0, harmed: 0, not_found: 0, least: None };
        if pieces.is_empty() {
            // The wedge moves and nothing was found of it.
            found.not_found = 1;
        }
        for piece in pieces.iter().filter(counts) {
            found.asked += 1;
            match piece.found {
                PieceUnderStress::Unharmed => {}
                PieceUnderStress::NotFound => found.not_found += 1,
                PieceUnderStress::Harmed(loss) => {
                    found.harmed += 1;
                    let plain = seat.stability(&piece.foot);
                    // Dry or at rest where it was asked, it may stay as it is where it now stands.
                    if plain.motion.mode == Mode::NoMotion {
                        continue;
                    }
                    let stability = plain.losing(loss);
                    let Some(held) = self.held(&seat, &piece.foot, &stability, plain.fs_bare() >= asked_fs)
                    else {
                        continue;
                    };
                    if found.least.as_ref().is_none_or(|least| held.fs < least.fs) {
                        found.least = Some(self.least(&seat, piece, stability, held));
                    }
                }
            }
        }
        Some(found)
    }

    /// By the best of its carriers, where bolts hold it least; `None` where nothing entered is on it, which is no matter of
    /// stress, and where it does not fit into the stretch.
    fn held(&self, seat: &Seat, foot: &Footprint, stability: &Stability, stands: bool) -> Option<Held> {
        let (case, opening) = (self.case(), self.drive().opening);
        let mut held = Held { fs: stability.fs_bare(), carrier: Carrier::Joints, among: None };
        if seat.has_bolts() {
            let positions = self.positions(seat);
            let worst = self.worst(&positions, seat, foot, stability)?;
            if worst.serving.is_empty() && case.surface_support.is_empty() && !stands {
                return None;
            }
            let falls = stability.motion.mode == Mode::Falling;
            let moments = falls.then(|| balanced_at(&positions, stability, &worst));
            let bolts: Vec<_> = worst.serving.iter().map(|s| (s.direction, s.capacity.kn)).collect();
            let by_forces =
                if stability.opens(&bolts) { stability.fs_in_balance(&bolts) } else { worst.least_fs };
            let fs = match &moments {
                Some(moments) => by_forces.min(moments.least_fs - stability.driven_out_share()),
                None => by_forces,
            };
            if fs > held.fs {
                (held.fs, held.carrier) = (fs, Carrier::Bolts);
            }
            held.among = Some((worst, moments));
        }
        if let Some((carrier, fs)) =
            over_whole_face((&case.surface_support, &JUDGED), opening, &seat.shape(foot), stability)
            && fs > held.fs
        {
            (held.fs, held.carrier) = (fs, carrier);
        }
        Some(held)
    }

    /// Where its bolts hold a piece least by forces; `None` where it does not fit into the stretch.
    fn worst(
        &self,
        positions: &Positions,
        seat: &Seat,
        foot: &Footprint,
        stability: &Stability,
    ) -> Option<Placement> {
        let Some((from_m, to_m)) = self.drive().stretch_m else {
            return placed_least(positions, foot, stability);
        };
        let section = &self.drive().opening.section;
        let within = SetBolts::reachable(section, &positions.body(*foot), from_m, to_m)?;
        let within = within.at(seat.chainage_m(foot))?;
        let step_m = (within.to_m - within.from_m) / STRETCH_PLACES as f64;
        let at = |k: usize| {
            let phases_m = vec![within.from_m + step_m * k as f64; positions.groups.len()];
            placed_at(positions, foot, stability, &phases_m)
        };
        (0..=STRETCH_PLACES).map(at).reduce(|a, b| if b.least_fs < a.least_fs { b } else { a })
    }

    fn least(&self, seat: &Seat, piece: &AskedPiece, stability: Stability, held: Held) -> LeastUnderStress {
        let shape = seat.shape(&piece.foot);
        let (phases_m, bolts) = held.among.as_ref().map_or((Vec::new(), 0), |(worst, _)| {
            let phases_m = worst.shifts_m.iter().map(|shift| worst.chainage_m - shift).collect();
            (phases_m, worst.serving.len())
        });
        let deciding = held.among.map(|(worst, moments)| Deciding {
            by: DecidedBy::Stress,
            weight_kn: piece.volume_m3 * self.case().unit_weight_kn_m3,
            stability,
            surfaces: surfaces_of(self.drive().opening, &shape),
            place: InDrive { worst, shape, moments },
        });
        LeastUnderStress {
            fs: held.fs,
            carrier: held.carrier,
            at: PieceAt { foot: piece.foot, volume_m3: piece.volume_m3, phases_m },
            bolts,
            stability,
            deciding,
        }
    }
}
