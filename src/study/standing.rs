//! How a case stands, without what is not asked: the verdicts, what is short at stages, the least margin.

use rayon::prelude::*;

use super::check::all_but_pieces;
use super::checked::decided;
use super::judgement::Judging;
use super::lacks::{Lack, LackOf, of_row, of_wedge};
use super::stages::{Place, Stage, StageRow, face_passes, has_young, without_pieces, young_case};
use super::verdicts::Stands;
use super::{Check, CheckError, CheckedWedge, Unjudged, Verdict, judge};
use crate::case::Case;
use crate::support::{Carrier, Decision, PieceAt, ShortPiece, Uncarried};

/// What a check of a case would say of all its wedges together.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Standing {
    /// The wedges of the drive, in the order of the check.
    pub wedges: Vec<Stands>,
    /// What is short at a stage, as [`super::lacks()`] has it (what is not judged there is not judged in the pattern
    /// either), in no order, but for what stands in the whole pattern: the wedges say that themselves.
    pub at_stages: Vec<Lack>,
    /// Whether [`super::lacks()`] finds nothing.
    pub holds_everything: bool,
    /// [`super::margin()`].
    pub margin: f64,
}

/// What is known of a wedge's pieces.
enum Pieces {
    /// They are not looked at: the wedge is judged as it is.
    None,
    /// This one is carried too little; there may be one of less.
    Short(Box<ShortPiece>),
    /// All are carried.
    Held,
    /// Some cannot be judged, and none of the others is short.
    Uncarried,
    /// The wedge with the piece that is carried least, decided.
    Least(Box<CheckedWedge>),
}

/// How a case stands, as [`super::check()`] would find it and much sooner. Only of the wedge with the least
/// margin the least piece is searched to the end; of the others no more than that none of theirs has less.
/// `known` gives pieces of a wedge (by its id) that may well be short, `is_held` whether a search of this case has
/// found all of them carried.
///
/// # Errors
/// As [`super::forces_alone()`].
pub(super) fn standing(
    case: &Case,
    known: &(dyn Fn(&str) -> Vec<PieceAt> + Sync),
    is_held: &(dyn Fn(&str) -> bool + Sync),
) -> Result<Standing, CheckError> {
    Ok(standing_of(case, &all_but_pieces(case)?, known, is_held, false))
}

/// The same of a check that has all but its pieces. `tells_least`: the least of what is short is searched to the end
/// though something is not judged, whose margin is 0.
pub(super) fn standing_of(
    case: &Case,
    check: &Check,
    known: &(dyn Fn(&str) -> Vec<PieceAt> + Sync),
    is_held: &(dyn Fn(&str) -> bool + Sync),
    tells_least: bool,
) -> Standing {
    let judging = Judging::of(check.drive(case));
    let mut side = Side::of(case, check, &judging, known, is_held);
    // As they are: those whose pieces are not looked at.
    let alone = decided(case, judge(case, check.clone(), Vec::new()));
    let mut found = Found { holds_everything: true, margin: f64::INFINITY, at_stages: Vec::new() };
    for (at, wedge) in alone.wedges.iter().enumerate() {
        let (lack, verdict) = match &side.pieces[at] {
            Pieces::None => {
                let Some((lack, verdict)) = of_wedge(wedge) else { continue };
                (lack.margin(), verdict)
            }
            Pieces::Least(judged) => {
                let Some((lack, verdict)) = of_wedge(judged) else { continue };
                (lack.margin(), verdict)
            }
            Pieces::Uncarried => (0.0, Verdict::NotJudged),
            Pieces::Short(..) => (f64::INFINITY, Verdict::Short),
            Pieces::Held => (f64::INFINITY, Verdict::Held),
        };
        found.asks(lack, verdict);
    }
    let so_far = if tells_least { f64::INFINITY } else { found.margin };
    let of_pieces = side.least_margin(so_far, |w| of_wedge(w).map(|(lack, _)| lack.margin()));
    found.margin = found.margin.min(of_pieces);
    if has_young(case) {
        let green = young_case(case);
        let judging = Judging::of(check.drive(&green));
        let mut young = Side::of(&green, check, &judging, known, &|_| false);
        let of_row = |w: &CheckedWedge| Some(w.decided.fs? / w.decided.criterion_fs?);
        for (wedge, pieces) in check.wedges.iter().zip(&mut young.pieces) {
            if matches!(pieces, Pieces::Uncarried) && face_passes(&wedge) {
                *pieces = least(&green, &judging, wedge);
            }
            match pieces {
                _ if !face_passes(&wedge) => *pieces = Pieces::None,
                Pieces::Short(piece) => {
                    found.asks(f64::INFINITY, Verdict::Short);
                    found.at_stages.push(young_lack(wedge, piece.fs));
                }
                Pieces::Least(judged) => {
                    if let Some(margin) = of_row(judged) {
                        found.asks(margin, judged.decided.verdict);
                        if let (Verdict::Short, Some(fs)) = (judged.decided.verdict, judged.decided.fs) {
                            found.at_stages.push(young_lack(wedge, fs));
                        }
                    }
                }
                Pieces::None | Pieces::Held | Pieces::Uncarried => {}
            }
        }
        found.margin = young.least_margin(found.margin, of_row);
    }
    for row in without_pieces(case, check, &judging) {
        let Some(asked_fs) = row.criterion_fs else { continue };
        let margin = row.fs / asked_fs;
        let matters = row.verdict != Verdict::Held || margin < found.margin;
        if matters && !(row.place == Place::Across && side.needs_no_bolts(&alone, &row)) {
            found.asks(margin, row.verdict);
            if row.verdict == Verdict::Short {
                let wedge = alone.wedges.iter().find(|w| w.wedge.id == row.wedge);
                found.at_stages.push(of_row(&row, wedge, asked_fs));
            }
        }
    }
    let wedges: Vec<Stands> =
        alone.wedges.iter().zip(&side.pieces).map(|(wedge, pieces)| stands(case, wedge, pieces)).collect();
    let Found { holds_everything, margin, mut at_stages } = found;
    at_stages.retain(|lack| lack.of != LackOf::Stage(Stage::WholePattern, Place::InPattern));
    Standing { wedges, at_stages, holds_everything, margin }
}

/// What is said of a wedge, whose pieces are not looked at, by what is known of them all the same.
fn stands(case: &Case, alone: &CheckedWedge, pieces: &Pieces) -> Stands {
    let of = |verdict: Verdict, unjudged: Option<Unjudged>| Stands {
        verdict,
        unjudged,
        fs_between: None,
        carrier: None,
        volume_m3: None,
        ..Stands::decided(alone)
    };
    match pieces {
        Pieces::None => Stands::decided(alone),
        Pieces::Least(judged) => Stands::decided(judged),
        Pieces::Short(piece) => Stands {
            fs_between: Some((0.0, piece.fs)),
            carrier: Some(piece.carrier),
            volume_m3: Some(piece.at.volume_m3),
            ..of(Verdict::Short, None)
        },
        // Of what is for the bar nothing is asked.
        Pieces::Held if case.criteria.is_for_the_bar(alone.wedge.shape.volume_m3) => of(Verdict::Held, None),
        Pieces::Held => {
            Stands { fs_between: Some((asked_fs(alone), f64::INFINITY)), ..of(Verdict::Held, None) }
        }
        Pieces::Uncarried => of(Verdict::NotJudged, Some(Unjudged::NoSurfaceSupport)),
    }
}

/// A wedge in the pattern while only fast resin has set.
fn young_lack(wedge: &CheckedWedge, fs: f64) -> Lack {
    Lack {
        of: LackOf::Stage(Stage::YoungResin, Place::InPattern),
        wedge: wedge.wedge.id.clone(),
        surfaces: wedge.wedge.surfaces.clone(),
        fs: Some(fs),
        asked_fs: asked_fs(wedge),
    }
}

/// What is asked of a wedge that moves.
fn asked_fs(wedge: &CheckedWedge) -> f64 {
    wedge.decided.criterion_fs.unwrap_or(f64::INFINITY)
}

/// What has been asked so far.
struct Found {
    holds_everything: bool,
    margin: f64,
    at_stages: Vec<Lack>,
}

impl Found {
    fn asks(&mut self, margin: f64, verdict: Verdict) {
        self.margin = self.margin.min(margin);
        self.holds_everything &= verdict == Verdict::Held;
    }
}

/// The wedges of a check under the bolts of one time.
struct Side<'s> {
    case: &'s Case,
    check: &'s Check,
    judging: &'s Judging<'s>,
    known: &'s (dyn Fn(&str) -> Vec<PieceAt> + Sync),
    /// In the order of the check.
    pieces: Vec<Pieces>,
}

impl<'s> Side<'s> {
    fn of(
        case: &'s Case,
        check: &'s Check,
        judging: &'s Judging<'s>,
        known: &'s (dyn Fn(&str) -> Vec<PieceAt> + Sync),
        is_held: &(dyn Fn(&str) -> bool + Sync),
    ) -> Self {
        let decision = |wedge: &CheckedWedge| match is_held(&wedge.wedge.id) && judging.looks_at(wedge) {
            true => Some((Decision::Held(Uncarried::Absent), true)),
            false => judging.decision(wedge, &known(&wedge.wedge.id)),
        };
        let of_one = |wedge: &CheckedWedge| match decision(wedge) {
            None => Pieces::None,
            Some((Decision::Short(piece), _)) => Pieces::Short(Box::new(piece)),
            Some((Decision::Held(Uncarried::Absent), true)) => Pieces::Held,
            Some((Decision::Held(Uncarried::Found(_)), _)) => Pieces::Uncarried,
            // A check searches longer.
            Some((Decision::Held(Uncarried::Absent), false))
            | Some((Decision::Held(Uncarried::Open) | Decision::Open, _)) => least(case, judging, wedge),
        };
        // Collected in the order of the check, whatever the number of threads.
        let pieces = check.wedges.par_iter().map(of_one).collect();
        Self { case, check, judging, known, pieces }
    }

    /// The least margin of all pieces, and of what else has been found: `so_far`. `margin` is that of a wedge
    /// whose least piece is known; `None` where it asks nothing.
    fn least_margin(&mut self, so_far: f64, margin: impl Fn(&CheckedWedge) -> Option<f64>) -> f64 {
        let mut order: Vec<usize> = (0..self.pieces.len())
            .filter(|&at| matches!(self.pieces[at], Pieces::Short(..) | Pieces::Held))
            .collect();
        let at_most = |at: usize| match &self.pieces[at] {
            Pieces::Short(piece) => piece.fs / asked_fs(&self.check.wedges[at]),
            _ => f64::INFINITY,
        };
        order.sort_by(|&a, &b| at_most(a).total_cmp(&at_most(b)));
        let mut least_so_far = so_far;
        for at in order {
            let wedge = &self.check.wedges[at];
            let Some(asked_fs) = wedge.decided.criterion_fs else { continue };
            let mut known = (self.known)(&wedge.wedge.id);
            if let Pieces::Short(piece) = &self.pieces[at] {
                known.push(piece.at.clone());
            }
            if least_so_far.is_finite() && self.judging.none_below(wedge, least_so_far * asked_fs, &known) {
                continue;
            }
            let judged = least(self.case, self.judging, wedge);
            if let Pieces::Least(judged) = &judged
                && let Some(found) = margin(judged)
            {
                least_so_far = least_so_far.min(found);
            }
            match &self.pieces[at] {
                // What was found short stays so, whatever a search that knew nothing of it makes of it.
                Pieces::Short(piece) => {
                    if matches!(&judged, Pieces::Least(w) if w.decided.verdict == Verdict::Short) {
                        self.pieces[at] = judged;
                    } else {
                        least_so_far = least_so_far.min(piece.fs / asked_fs);
                    }
                }
                _ => self.pieces[at] = judged,
            }
        }
        least_so_far
    }

    /// Whether all pieces of the wedge of a row are held, and none by bolts: then nothing is asked of
    /// them across the last ring.
    fn needs_no_bolts(&mut self, alone: &Check, row: &StageRow) -> bool {
        let Some(at) = alone.wedges.iter().position(|w| w.wedge.id == row.wedge) else { return false };
        if matches!(self.pieces[at], Pieces::Held) {
            self.pieces[at] = least(self.case, self.judging, &self.check.wedges[at]);
        }
        let decided = match &self.pieces[at] {
            Pieces::None => &alone.wedges[at].decided,
            Pieces::Least(judged) => &judged.decided,
            Pieces::Short(..) | Pieces::Uncarried | Pieces::Held => return false,
        };
        decided.verdict == Verdict::Held && !decided.held_by.contains(&Carrier::Bolts)
    }
}

/// A wedge with the piece that is carried least.
fn least(case: &Case, judging: &Judging, wedge: &CheckedWedge) -> Pieces {
    let mut judged = wedge.clone();
    judged.found.judged = judging.judged(wedge).map(Box::new);
    judged.decide(case);
    Pieces::Least(Box::new(judged))
}
