//! A wedge of a stretch judged by the bolts that stand there: the same judgement as that of the drive, over each
//! part of the stretch.

use rayon::prelude::*;

use super::part::{Built, Part};
use super::standing::Standing;
use crate::stability::Mode;
use crate::study::UnderStress;
use crate::study::checked::{Decided, DecidedBy, InDrive, Placed, Unjudged};
use crate::study::judgement::{JUDGED, Judging, over_whole_face};
use crate::study::seat::Seat;
use crate::study::{CheckedWedge, Judged, Verdict};
use crate::support::{Serving, SetBolt, SetPlacement, Uncarried, balanced_at, placed_at};

/// What is known of a part is enough where none of its pieces is carried less than the least one found before by
/// more than this share: what a search brackets to.
const BRACKET_SHARE: f64 = 1e-3;

/// Parts that are looked at side by side before what was found in them is told to the next: a fixed number, so that
/// what is found does not hang on the number of threads.
const PARTS_AT_ONCE: usize = 8;

/// A wedge that has one place is looked at with the bolts and loads that are at most so many of its lengths off.
const LENGTHS_OFF: f64 = 2.0;

/// What was decided of a wedge of a stretch, and the piece that decides.
#[derive(Debug, Clone, PartialEq)]
pub struct BuiltDecision {
    /// What was decided.
    pub decided: Decided,
    /// The piece that decides where it sits; `None` where nothing was found that says anything.
    pub piece: Option<BuiltPiece>,
}

/// The piece of a wedge that decides in a stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct BuiltPiece {
    /// Chainage of its apex, metres.
    pub apex_m: f64,
    /// Where it sits.
    pub place: InDrive,
    /// The bolts that cross it there.
    pub serving: Vec<BuiltServing>,
}

/// A bolt that crosses the piece that decides.
#[derive(Debug, Clone, PartialEq)]
pub struct BuiltServing {
    /// The bolt.
    pub set: SetBolt,
    /// Index into the as-built bolts; `None` for one of the design.
    pub found: Option<usize>,
    /// What it does there.
    pub serving: Serving,
}

/// What the judgement asks of: the stretch, and the bolts that stand there.
pub(super) struct Asked<'s> {
    pub stretch: Built<'s>,
    pub standing: &'s Standing,
}

impl Asked<'_> {
    /// The verdict on a wedge of the check. `largest` is where the bolts that stand there hold its largest size
    /// least, by forces; `None` where its face does not fit into the stretch.
    pub fn of(&self, wedge: &CheckedWedge, largest: Option<&SetPlacement>) -> BuiltDecision {
        let asked = Decided::asked(wedge.decided.criterion_fs);
        let not = |why: Unjudged| BuiltDecision {
            decided: Decided { unjudged: Some(why), ..asked.clone() },
            piece: None,
        };
        if wedge.decided.is_left_out() {
            return not(Unjudged::BelowJudgedGround);
        }
        let found = if wedge.is_fixed() { self.as_one(wedge, largest) } else { self.by_pieces(wedge) };
        match found {
            Some(found) if largest.is_some() || found.decided.verdict == Verdict::Short => found,
            _ => not(Unjudged::TooLong),
        }
    }

    /// By the piece that is carried least; `None` where its pieces are not looked at.
    fn by_pieces(&self, wedge: &CheckedWedge) -> Option<BuiltDecision> {
        let mut found = OverParts::default();
        let parts_m = self.stretch.parts_m(wedge)?;
        // The first says what the others are asked.
        let (first_m, others_m) = parts_m.split_at(parts_m.len().min(1));
        for at_once in std::iter::once(first_m).chain(others_m.chunks(PARTS_AT_ONCE)) {
            let enough = found.enough();
            // Collected in order, whatever the number of threads.
            let looked: Vec<Looked> = at_once
                .par_iter()
                .map(|&part_m| {
                    let part = self.stretch.part(self.standing, part_m);
                    let judging = part.judging(self.stretch.opening);
                    let under = judging.under_stress(wedge);
                    let held = held(&judging, wedge, enough);
                    Looked { part, under, held }
                })
                .collect();
            for Looked { part, under, held: there } in looked {
                found.take_stress(under, part.stretch_m);
                if let Some(there) = there {
                    found.take_held(there)?;
                    continue;
                }
                let judging = part.judging(self.stretch.opening);
                // One before it of the same lot may have less.
                match held(&judging, wedge, found.enough()) {
                    Some(there) => found.take_held(there)?,
                    None => found.take(judging.judged(wedge)?, part),
                }
            }
        }
        let OverParts { known, uncarried, at_least, under } = found;
        let (mut judged, part) = known?;
        judged.uncarried = uncarried;
        if let Some(least) = &mut judged.least {
            least.fs_at_least = least.fs_at_least.min(at_least);
        }
        let under_m = under.as_ref().map(|(_, part_m)| *part_m);
        judged.under_stress = under.map(|(under, _)| under);
        let mut judged_wedge = wedge.clone();
        judged_wedge.found.judged = Some(Box::new(judged));
        judged_wedge.decide(&part.case);
        let by_stress = judged_wedge.decided.by == Some(DecidedBy::Stress);
        let part = match under_m.filter(|_| by_stress) {
            Some(part_m) => self.stretch.part(self.standing, part_m),
            None => part,
        };
        let deciding = judged_wedge.deciding_piece();
        let piece = deciding.map(|deciding| self.piece(&part, deciding.place.clone()));
        Some(BuiltDecision { decided: judged_wedge.decided, piece })
    }

    /// As it is: one that structures hold in its place, where the bolts hold it least by forces, with moments
    /// there.
    fn as_one(&self, wedge: &CheckedWedge, largest: Option<&SetPlacement>) -> Option<BuiltDecision> {
        let largest = largest?;
        let Built { bare, opening, .. } = self.stretch;
        // Nothing farther off can be on it, and a stretch has bolts by the thousand.
        let near_m = LENGTHS_OFF * largest.foot.edge_m.iter().fold(0.0f64, |a, &b| a.max(b));
        let (from_m, to_m) = self.stretch.stretch_m();
        let at_m = largest.chainage_m;
        let part = self.stretch.part(self.standing, (from_m.max(at_m - near_m), to_m.min(at_m + near_m)));
        let seat = Seat::of_wedge(part.drive(opening), wedge)?;
        let stability = seat.stability(&largest.foot);
        let positions = seat.positions_of(part.judged_layouts());
        let groups = positions.groups.len();
        let mut worst = placed_at(&positions, &largest.foot, &stability, &vec![largest.chainage_m; groups]);
        worst.least_fs = worst.least_fs.min(largest.least_fs);
        let falls = stability.motion.mode == Mode::Falling;
        let moments = falls.then(|| balanced_at(&positions, &stability, &worst));
        let shape = seat.shape(&largest.foot);
        let mut judged = wedge.clone();
        judged.wedge.stability = stability;
        judged.found.fs_bare = stability.fs_bare();
        judged.found.fs_bolted = Some(worst.least_fs);
        judged.found.fs_rotation = moments.as_ref().map(|m| m.least_fs);
        judged.found.installed = None;
        let judging = part.judging(opening);
        judged.found.under_stress = judging.under_stress(wedge).map(Box::new);
        judged.found.surface = over_whole_face((&bare.surface_support, &JUDGED), opening, &shape, &stability);
        let place = InDrive { worst, shape, moments };
        judged.placed = Placed::InDrive(Box::new(place.clone()));
        judged.decide(&part.case);
        Some(BuiltDecision { decided: judged.decided, piece: Some(self.piece(&part, place)) })
    }

    fn piece(&self, part: &Part, place: InDrive) -> BuiltPiece {
        let serving = |serving: &Serving| {
            let at = part.standing_at(serving.pattern);
            BuiltServing { set: self.standing.bolts[at], found: self.standing.found[at], serving: *serving }
        };
        BuiltPiece {
            apex_m: place.worst.chainage_m,
            serving: place.worst.serving.iter().map(serving).collect(),
            place,
        }
    }
}

/// What one part says before anything is searched to its end.
struct Looked {
    part: Part,
    under: Option<UnderStress>,
    /// Where that is enough.
    held: Option<Held>,
}

/// A part none of whose pieces is carried less than one that is known.
struct Held {
    at_least: f64,
    /// `None` where its pieces are not looked at.
    uncarried: Option<Uncarried>,
}

/// Whether none of a wedge's pieces in a part is carried less than `enough`; `None` too where nothing is known yet.
fn held(judging: &Judging, wedge: &CheckedWedge, enough: Option<f64>) -> Option<Held> {
    let at_least = enough.filter(|&enough| judging.none_below(wedge, enough, &[]))?;
    Some(Held { at_least, uncarried: judging.uncarried(wedge) })
}

/// What is known of a wedge over the parts so far.
struct OverParts {
    /// The part whose least piece is the least, and what was found there.
    known: Option<(Judged, Part)>,
    uncarried: Uncarried,
    at_least: f64,
    /// What carries least under stress, and in which part.
    under: Option<(UnderStress, (f64, f64))>,
}

impl Default for OverParts {
    fn default() -> Self {
        Self { known: None, uncarried: Uncarried::Absent, at_least: f64::INFINITY, under: None }
    }
}

impl OverParts {
    fn least_fs(&self) -> Option<f64> {
        Some(self.known.as_ref()?.0.least.as_ref()?.fs)
    }

    /// What no piece of a further part may be carried less than for it to be left at that.
    fn enough(&self) -> Option<f64> {
        self.least_fs().map(|fs| fs * (1.0 - BRACKET_SHARE))
    }

    fn take_stress(&mut self, here: Option<UnderStress>, part_m: (f64, f64)) {
        let Some(here) = here else { return };
        if self.under.as_ref().is_none_or(|known| carries_less(&here, &known.0)) {
            self.under = Some((here, part_m));
        }
    }

    /// `None` where pieces are not looked at.
    fn take_held(&mut self, held: Held) -> Option<()> {
        self.at_least = self.at_least.min(held.at_least);
        self.take_uncarried(held.uncarried?);
        Some(())
    }

    fn take_uncarried(&mut self, here: Uncarried) {
        self.uncarried = worse(std::mem::replace(&mut self.uncarried, Uncarried::Absent), here);
    }

    fn take(&mut self, judged: Judged, part: Part) {
        self.take_uncarried(judged.uncarried.clone());
        if let Some(least) = &judged.least {
            self.at_least = self.at_least.min(least.fs_at_least);
        }
        let lower = match (judged.least.as_ref().map(|least| least.fs), self.least_fs()) {
            (Some(fs), Some(least)) => fs < least,
            (fs, None) => fs.is_some() || self.known.is_none(),
            (None, Some(_)) => false,
        };
        if lower {
            self.known = Some((judged, part));
        }
    }
}

/// Whether what is known of asked pieces under stress in one part is worse than in another.
fn carries_less(a: &UnderStress, b: &UnderStress) -> bool {
    let fs = |under: &UnderStress| under.least.as_ref().map_or(f64::INFINITY, |least| least.fs);
    fs(a) < fs(b)
}

/// What is worse of two parts.
fn worse(a: Uncarried, b: Uncarried) -> Uncarried {
    match (a, b) {
        (found @ Uncarried::Found(_), _) | (_, found @ Uncarried::Found(_)) => found,
        (Uncarried::Open, _) | (_, Uncarried::Open) => Uncarried::Open,
        (Uncarried::Absent, Uncarried::Absent) => Uncarried::Absent,
    }
}
