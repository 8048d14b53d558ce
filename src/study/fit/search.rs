use rayon::prelude::*;

use super::candidates::case_of;
use super::seats::{Bad, Laid, Seat, pyramids};
use super::{Costed, Failing, Fit, FitError, Fitted, Stop, Tally, failing};
use crate::case::{Case, Stock};
use crate::stability::Mode;
use crate::study::forces::check_one;
use crate::study::sizes::{ABOVE_GAP, gaps_alone};
use crate::study::{
    Check, CheckError, Lack, LackOf, SizeCurve, Verdict, Whole, check, collars_off, decided, forces_alone,
    lacks, size_curve, surface_study,
};
use crate::support::SurfaceGovernedBy;
use crate::wedge::Footprint;

/// Candidates that are looked at side by side. What is learnt of one serves those of the next lot, so
/// the number fixes what is looked at, whatever the number of threads.
const LOT: usize = 16;

/// A bound on what slips between the bolts is met within this.
const SLIPS_SHARE: f64 = 1.002;

/// What became of a candidate.
enum Outcome {
    OnePlacement { margin: f64 },
    Forces { margin: f64, bad: Option<(String, Footprint)> },
    Screen,
    OneSize,
    Rotation,
    Sizes { bad: (String, Footprint) },
    Whole,
    Holds(Box<Fitted>),
}

struct Search<'a> {
    case: &'a Case,
    stock: &'a Stock,
    opening: &'a crate::opening::Opening,
    seats: Vec<Seat<'a>>,
}

/// The candidates by rising cost, each only while nothing that holds is as quick.
pub(super) fn search(case: &Case, stock: &Stock, costed: &[Costed]) -> Result<Fit, FitError> {
    let opening = case.opening().map_err(CheckError::from)?;
    let all = pyramids(case, &opening);
    let seats: Vec<Seat> = all.iter().filter_map(|p| Seat::of(case, &opening, p)).collect();
    let search = Search { case, stock, opening: &opening, seats };
    let mut bad: Vec<Bad> = vec![Bad::default(); search.seats.len()];
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
            lot.par_iter().map(|&index| search.look_at(&costed[index], &bad)).collect();
        for (&index, outcome) in lot.iter().zip(outcomes) {
            let quickest = efficient.last().map_or(f64::INFINITY, |f| f.costed.minutes_per_m);
            if costed[index].minutes_per_m >= quickest {
                tally.undercut += 1;
                continue;
            }
            let margin = match outcome? {
                Outcome::OnePlacement { margin } => {
                    tally.one_placement += 1;
                    margin
                }
                Outcome::Forces { margin, bad: placement } => {
                    tally.forces += 1;
                    search.learn(&mut bad, placement, |b| &mut b.largest);
                    margin
                }
                Outcome::Screen => {
                    tally.screen += 1;
                    1.0
                }
                Outcome::OneSize => {
                    tally.one_size += 1;
                    1.0
                }
                Outcome::Rotation => {
                    tally.rotation += 1;
                    1.0
                }
                Outcome::Sizes { bad: placement } => {
                    tally.sizes += 1;
                    search.learn(&mut bad, Some(placement), |b| &mut b.smaller);
                    1.0
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
    let own = case_of(case, stock, &costed.candidate);
    let found = check(&own)?;
    let list = lacks(&found);
    let Some(first) = list.first() else { return Ok(None) };
    let (force_needed_kn, force_provided_kn) = forces(&found, first).unzip();
    let nearest = Failing { costed: *costed, lacks: list, collars_off: collars_off(&own, &found) };
    Ok(Some(Stop { nearest, force_needed_kn, force_provided_kn }))
}

/// What is asked of support, and what there is, kN: of the surface support between the bolts, of
/// bolts against the movement otherwise.
fn forces(found: &Whole, lack: &Lack) -> Option<(f64, f64)> {
    if lack.of == LackOf::Screen {
        let duty = found.beside.surface.duty.iter();
        let duty =
            duty.filter(|d| d.wedge == lack.wedge && Some(d.surface) == lack.surfaces.first().copied());
        let duty = duty.filter(|d| d.verdict == Verdict::Short);
        let worst = duty.reduce(|a, b| if b.fs < a.fs { b } else { a })?;
        // Screen and straps are slack: they carry the whole weight. Shotcrete adds to the joints.
        let shotcrete = worst.capacity.is_some_and(|c| c.governed_by != SurfaceGovernedBy::Bay);
        let needed = if shotcrete { worst.force_needed_kn } else { worst.criterion_fs * worst.weight_kn };
        return Some((needed, worst.capacity.map_or(0.0, |c| c.kn)));
    }
    let wedge = found.check.wedges.iter().find(|w| w.wedge.id == lack.wedge)?;
    let driving_kn = wedge.wedge.stability.motion.driving_kn;
    match (lack.of, &wedge.found.governing) {
        (LackOf::NotJudged, _) => None,
        (LackOf::Falling | LackOf::Sliding, Some(g)) => {
            Some((g.size.force_needed_kn, g.size.force_provided_kn))
        }
        _ => {
            let needed_kn = wedge.force_needed_kn();
            Some((needed_kn, (needed_kn - (lack.asked_fs - lack.fs?) * driving_kn).max(0.0)))
        }
    }
}

impl Search<'_> {
    fn learn(
        &self,
        bad: &mut [Bad],
        placement: Option<(String, Footprint)>,
        list: impl Fn(&mut Bad) -> &mut Vec<Footprint>,
    ) {
        let Some((wedge, foot)) = placement else { return };
        if let Some(at) = self.seats.iter().position(|s| s.pyramid.id == wedge) {
            Bad::remember(list(&mut bad[at]), foot);
        }
    }

    /// Tests from the cheapest to the dearest; the last is the whole check.
    fn look_at(&self, costed: &Costed, bad: &[Bad]) -> Result<Outcome, CheckError> {
        let Some(laid) = Laid::of(case_of(self.case, self.stock, &costed.candidate), self.opening) else {
            return Ok(Outcome::Whole); // never: it has been planned
        };
        if self.seats.iter().zip(bad).any(|(seat, bad)| seat.short_at_largest(&laid, bad)) {
            let margins = self.seats.iter().zip(bad).map(|(seat, bad)| seat.margin_at_largest(&laid, bad));
            return Ok(Outcome::OnePlacement { margin: margins.fold(f64::INFINITY, f64::min) });
        }
        let case = &laid.case;
        let checked = decided(case, forces_alone(case)?);
        if let Some(outcome) = short_by_forces(&checked) {
            return Ok(outcome);
        }
        let gaps: Vec<SizeCurve> =
            checked.wedges.iter().filter_map(|w| gaps_alone(case, &checked, w)).collect();
        let duty = surface_study(case, &checked, &gaps).duty;
        if duty.iter().any(|d| d.verdict == Verdict::Short) {
            return Ok(Outcome::Screen);
        }
        let slips_m3 = |seat: &Seat| {
            let slips = gaps.iter().find(|g| g.wedge == seat.pyramid.id).and_then(SizeCurve::screen_wedge);
            slips.map_or(0.0, |g| g.volume_m3 * ABOVE_GAP * SLIPS_SHARE)
        };
        let small = |(seat, bad): (&Seat, &Bad)| seat.short_at_smaller(&laid, bad, slips_m3(seat));
        if self.seats.iter().zip(bad).any(small) {
            return Ok(Outcome::OneSize);
        }
        for seat in self.seats.iter().filter(|s| s.mode == Mode::Falling) {
            let found = decided(case, check_one(case, &seat.pyramid.id)?);
            if found.wedges.iter().any(|w| w.decided.verdict == Verdict::Short) {
                return Ok(Outcome::Rotation);
            }
        }
        for wedge in &checked.wedges {
            let Some(asked) = wedge.decided.criterion_fs else { continue };
            let Some(curve) = size_curve(case, &checked, wedge) else { continue };
            let size = curve.governing_size();
            if size.fs_bolted < asked {
                return Ok(Outcome::Sizes { bad: (wedge.wedge.id.clone(), size.foot) });
            }
        }
        let found = check(case)?;
        if !lacks(&found).is_empty() {
            return Ok(Outcome::Whole);
        }
        let collars_off = collars_off(case, &found);
        let fitted = Fitted { costed: *costed, case: case.clone(), whole: found, collars_off };
        Ok(Outcome::Holds(Box::new(fitted)))
    }
}

fn short_by_forces(checked: &Check) -> Option<Outcome> {
    let ratio = |w: &crate::study::CheckedWedge| {
        w.decided.criterion_fs.map_or(f64::INFINITY, |asked| {
            if w.decided.verdict == Verdict::NotJudged { 0.0 } else { w.deciding_fs() / asked }
        })
    };
    let worst = checked
        .wedges
        .iter()
        .filter(|w| w.decided.verdict != Verdict::Held)
        .reduce(|a, b| if ratio(b) < ratio(a) { b } else { a })?;
    let bad = worst.placement().map(|p| (worst.wedge.id.clone(), p.foot));
    Some(Outcome::Forces { margin: ratio(worst), bad })
}
