use rayon::prelude::*;

use super::candidates::case_of;
use super::{Costed, Failing, Fit, FitError, Fitted, Stop, Tally, checked, failing};
use crate::case::{Case, Stock};
use crate::study::forces::Ground;
use crate::study::judgement::Judging;
use crate::study::standing::standing;
use crate::study::variant::{Known, Wedges};
use crate::study::{CheckError, Lack, LackOf, Whole, as_drawn, check};

/// Candidates that are looked at side by side. What is learnt of one serves those of the next lot, so
/// the number fixes what is looked at, whatever the number of threads.
const LOT: usize = 16;

/// What became of a candidate.
enum Outcome {
    /// A piece of the wedge at this place of the list is carried too little.
    Piece {
        wedge: usize,
        known: Known,
    },
    Whole,
    Holds(Box<Fitted>),
}

struct Search<'a> {
    case: &'a Case,
    stock: &'a Stock,
    wedges: Wedges,
}

/// The candidates by rising cost, each only while nothing that holds is as quick.
pub(super) fn search(case: &Case, stock: &Stock, costed: &[Costed]) -> Result<Fit, FitError> {
    let search = Search { case, stock, wedges: Wedges::of(case)? };
    let mut known = search.wedges.nothing_known();
    let mut tally = Tally::default();
    let mut efficient: Vec<Fitted> = Vec::new();
    let mut nearest: Option<(f64, usize)> = None;
    let mut next = 0;
    while next < costed.len() {
        let quicker_than = efficient.last().map_or(f64::INFINITY, |f| f.costed.minutes_per_m);
        let mut lot: Vec<usize> = Vec::with_capacity(LOT);
        while next < costed.len() && lot.len() < LOT {
            if costed[next].minutes_per_m < quicker_than {
                lot.push(next)
            } else {
                tally.undercut += 1
            }
            next += 1;
        }
        // Collected in order, whatever the number of threads.
        let outcomes: Vec<Result<Outcome, CheckError>> =
            lot.par_iter().map(|&index| search.look_at(&costed[index], &known)).collect();
        for (&index, outcome) in lot.iter().zip(outcomes) {
            let quickest = efficient.last().map_or(f64::INFINITY, |f| f.costed.minutes_per_m);
            if costed[index].minutes_per_m >= quickest {
                tally.undercut += 1;
                continue;
            }
            let margin = match outcome? {
                Outcome::Piece { wedge, known: found } => {
                    tally.pieces += 1;
                    let margin = found.margin;
                    search.wedges.learn(&mut known, wedge, found);
                    margin
                }
                Outcome::Whole => {
                    tally.whole += 1;
                    1.0
                }
                Outcome::Holds(fitted) => {
                    efficient.push(*fitted);
                    continue;
                }
            };
            // The dearest of equals: it has most to give.
            if nearest.is_none_or(|(best, _)| margin >= best) {
                nearest = Some((margin, index));
            }
        }
    }
    let cheapest = efficient.first().and_then(|f| position(costed, f));
    let next_cheaper = match cheapest.and_then(|at| at.checked_sub(1)) {
        Some(before) => failing(case, stock, &costed[before])?,
        None => None,
    };
    let next_quicker = match efficient.last() {
        Some(quickest) => next_quicker(case, stock, costed, quickest)?,
        None => None,
    };
    let stop = match (efficient.is_empty(), nearest) {
        (true, Some((_, index))) => stop(case, stock, &costed[index])?,
        _ => None,
    };
    Ok(Fit { efficient, next_cheaper, next_quicker, stop, tally })
}

fn position(costed: &[Costed], fitted: &Fitted) -> Option<usize> {
    costed.iter().position(|c| c.candidate == fitted.costed.candidate)
}

/// The slowest of those that are quicker than the quickest that holds, the dearest of equals.
fn next_quicker(
    case: &Case,
    stock: &Stock,
    costed: &[Costed],
    quickest: &Fitted,
) -> Result<Option<Failing>, CheckError> {
    let quicker = costed.iter().filter(|c| c.minutes_per_m < quickest.costed.minutes_per_m);
    match quicker.reduce(|a, b| if b.minutes_per_m >= a.minutes_per_m { b } else { a }) {
        Some(next) => failing(case, stock, next),
        None => Ok(None),
    }
}

fn stop(case: &Case, stock: &Stock, costed: &Costed) -> Result<Option<Stop>, CheckError> {
    let (found, nearest) = checked(case, stock, costed)?;
    let Some(first) = nearest.lacks.first() else { return Ok(None) };
    let (force_needed_kn, force_provided_kn) = forces(&found, first).unzip();
    Ok(Some(Stop { nearest, force_needed_kn, force_provided_kn }))
}

/// What is asked of what carries it, and what there is, kN: of the piece that decides, and at a stage of
/// the wedge that stands there, against the movement.
fn forces(found: &Whole, lack: &Lack) -> Option<(f64, f64)> {
    let wedge = found.check.wedges.iter().find(|w| w.wedge.id == lack.wedge)?;
    match lack.of {
        LackOf::NotJudged => None,
        LackOf::Pieces(_) => {
            let needed_kn = wedge.force_asked_kn()?;
            Some((needed_kn, (needed_kn - wedge.force_lacking_kn()).max(0.0)))
        }
        LackOf::Stage(stage, place) => {
            let rows = &found.stages.rows;
            let row = rows.iter().find(|r| (r.stage, r.place, &r.wedge) == (stage, place, &lack.wedge))?;
            let own = &wedge.wedge;
            // Forces go with volume.
            let share = row.volume_m3 / own.shape.volume_m3;
            let needed_kn = wedge.force_needed_kn() * share;
            let lacking_kn = (lack.asked_fs - row.fs) * own.stability.motion.driving_kn * share;
            Some((needed_kn, (needed_kn - lacking_kn).max(0.0)))
        }
    }
}

impl Search<'_> {
    /// First whether some piece is carried too little; the whole check last.
    fn look_at(&self, costed: &Costed, known: &[Vec<Known>]) -> Result<Outcome, CheckError> {
        let case = case_of(self.case, self.stock, &costed.candidate);
        let Ok(ground) = Ground::of(&case) else {
            return Ok(Outcome::Whole); // never: it has been planned
        };
        if let Some((wedge, found)) = self.wedges.first_short(&Judging::of(ground.drive(&case)), known) {
            return Ok(Outcome::Piece { wedge, known: found });
        }
        if !standing(&case, &|_| Vec::new())?.holds_everything {
            return Ok(Outcome::Whole);
        }
        let found = check(&case)?;
        let as_drawn = as_drawn(&case, &found);
        Ok(Outcome::Holds(Box::new(Fitted { costed: *costed, case, whole: found, as_drawn })))
    }
}
