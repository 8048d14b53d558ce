use rayon::prelude::*;

use super::{Candidate, Costed, FitError, missing_price, per_metre};
use crate::case::{Case, FromStock, PlanInputs, Stock};
use crate::study::plan::PlanError;
use crate::support::{Aim, LocalBolts, Pattern};

/// Every combination, in the order of the stock's lists.
pub(super) fn every(stock: &Stock) -> Vec<Candidate> {
    let surfaces: Vec<Option<usize>> =
        if stock.surfaces.is_empty() { vec![None] } else { (0..stock.surfaces.len()).map(Some).collect() };
    let mut all = Vec::with_capacity(stock.candidates());
    for bolt in 0..stock.bolts.len() {
        for length in 0..stock.bolts[bolt].lengths.len() {
            for spacing in 0..stock.spacings_m.len() {
                for rings in 0..stock.ring_spacings_m.len() {
                    for stagger in 0..stock.stagger.len() {
                        for coverage in 0..stock.coverages.len() {
                            for &surface in &surfaces {
                                let one =
                                    Candidate { bolt, length, spacing, rings, stagger, coverage, surface };
                                all.push(one);
                            }
                        }
                    }
                }
            }
        }
    }
    all
}

/// What a candidate puts into a case: bolts square to the surface, without tension.
pub(super) fn of_stock(stock: &Stock, candidate: &Candidate) -> FromStock {
    let bolt = &stock.bolts[candidate.bolt];
    let coverage = &stock.coverages[candidate.coverage];
    let (length_m, price_per_bolt) = bolt.lengths[candidate.length];
    let pattern = Pattern {
        bolt: bolt.bolt,
        length_m,
        outside_hole_m: bolt.outside_hole_m,
        ring_spacing_m: stock.ring_spacings_m[candidate.rings],
        spacing_m: stock.spacings_m[candidate.spacing],
        covers: coverage.covers.clone(),
        lowest_collar_m: coverage.lowest_collar_m,
        stagger: stock.stagger[candidate.stagger],
        aim: Aim::Normal,
        row_at_m: None,
        offset_m: None,
        tension_kn: None,
    };
    FromStock { pattern, price_per_bolt, surface: candidate.surface.map(|s| stock.surfaces[s]) }
}

/// The case with a candidate in place of its patterns.
pub(super) fn case_of(case: &Case, stock: &Stock, candidate: &Candidate) -> Case {
    let mut changed = case.clone();
    put_in(&mut changed, case, of_stock(stock, candidate));
    changed
}

/// Puts a candidate in place of patterns; its surface support is one of `case`.
fn put_in(own: &mut Case, case: &Case, put: FromStock) {
    own.patterns = vec![put.pattern];
    // A pattern over a stretch is one of the case's patterns too; single bolts stay.
    own.local.retain(LocalBolts::is_spot);
    if let Some(chosen) = put.surface {
        // The mesh that is ordered is the one that the verdict counts on.
        own.surface_support = vec![case.surface_support[chosen.surface].clone()];
    }
}

/// The plan with a candidate's prices in it.
pub(super) fn set_prices(own: &mut PlanInputs, inputs: &PlanInputs, put: &FromStock) {
    own.prices.per_bolt = vec![Some(put.price_per_bolt)];
    if let Some(chosen) = put.surface {
        own.prices.screen_sheet = chosen.price_per_sheet.or(inputs.prices.screen_sheet);
    }
}

/// What each candidate that can be drilled costs and takes.
pub(super) fn costed(
    case: &Case,
    inputs: &PlanInputs,
    stock: &Stock,
    all: &[Candidate],
) -> Result<Vec<Costed>, FitError> {
    let found: Result<Vec<Option<Costed>>, FitError> = all
        .par_iter()
        .map_init(
            || (case.clone(), inputs.clone()),
            |(own_case, own), candidate| {
                let put = of_stock(stock, candidate);
                set_prices(own, inputs, &put);
                put_in(own_case, case, put);
                let found = match per_metre(own_case, own) {
                    Ok(found) => found,
                    Err(PlanError::Layout(_)) => return Ok(None),
                    Err(error) => return Err(error.into()),
                };
                let Some(cost_per_m) = found.cost else {
                    let what = missing_price(&found.notes).unwrap_or_else(|| "something".to_owned());
                    return Err(FitError::NoPrice { what });
                };
                Ok(Some(Costed {
                    candidate: *candidate,
                    cost_per_m,
                    minutes_per_m: found.minutes,
                    bolts_per_m: found.bolts,
                    drill_m_per_m: found.drill_m,
                }))
            },
        )
        .collect();
    Ok(found?.into_iter().flatten().collect())
}
