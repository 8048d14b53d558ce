//! A fit in words.

use super::outputs::FitOutputs;
use crate::report::lacks::first_lacks;
use crate::report::paper::numbers::{fixed, kn, shortest};
use crate::report::words::NOT_ASKED;
use crate::study::{Costed, DecidedBy, Failing, LackOf};

/// `resin rebar 20 mm of 2.4 m, rings at 1.2 m staggered, 1.2 m apart, back and walls down to 1.2 m`
#[must_use]
pub(super) fn candidate_words(outputs: &FitOutputs, costed: &Costed) -> String {
    let (stock, c) = (outputs.stock, &costed.candidate);
    let bolt = &stock.bolts[c.bolt];
    let coverage = &stock.coverages[c.coverage];
    let covers: Vec<&str> = coverage.covers.iter().map(|c| c.name()).collect();
    let lowest = coverage.lowest_collar_m.filter(|_| coverage.covers.iter().any(|c| c.is_wall()));
    let down = lowest.map(|m| format!(" down to {} m", shortest(m))).unwrap_or_default();
    let surface = c.surface.map(|s| &outputs.case.surface_support[stock.surfaces[s].surface].name);
    let with = surface.map(|name| format!(", {name}")).unwrap_or_default();
    format!(
        "{} of {} m, rings at {} m{}, collars {} m apart, {}{down}{with}",
        outputs.case.bolts[bolt.bolt].name,
        shortest(bolt.lengths[c.length].0),
        shortest(stock.ring_spacings_m[c.rings]),
        if stock.stagger[c.stagger] { " staggered" } else { "" },
        shortest(stock.spacings_m[c.spacing]),
        covers.join(" and "),
    )
}

/// `2.4 m, 1.2 × 1.2 m`: bolt length, rings by collars.
pub(super) fn short_name(outputs: &FitOutputs, costed: &Costed) -> String {
    let (stock, c) = (outputs.stock, &costed.candidate);
    format!(
        "{} m, {} × {} m",
        shortest(stock.bolts[c.bolt].lengths[c.length].0),
        shortest(stock.ring_spacings_m[c.rings]),
        shortest(stock.spacings_m[c.spacing])
    )
}

pub(super) fn costs(outputs: &FitOutputs, costed: &Costed) -> String {
    let currency = outputs.currency.map(|c| format!(" {c}")).unwrap_or_default();
    format!("{}{currency} and {} min a metre", fixed(costed.cost_per_m, 0), fixed(costed.minutes_per_m, 1))
}

fn does_not_do(outputs: &FitOutputs, failing: &Failing, which: &str) -> String {
    format!(
        "The next {which} ({}; {}) is short: {}.",
        candidate_words(outputs, &failing.costed),
        costs(outputs, &failing.costed),
        first_lacks(&failing.lacks)
    )
}

/// The fit in words: the cheapest and the quickest, why the next ones do not do; or what stops it.
#[must_use]
pub(super) fn fit_answer(outputs: &FitOutputs) -> String {
    let fit = outputs.fit;
    let mut parts = Vec::new();
    match (fit.efficient.first(), fit.efficient.last()) {
        (Some(cheapest), Some(quickest)) => {
            let both = fit.efficient.len() == 1;
            parts.push(format!(
                "{} that holds everything: {}; {}.",
                if both { "Cheapest and quickest pattern on stock" } else { "Cheapest pattern on stock" },
                candidate_words(outputs, &cheapest.costed),
                costs(outputs, &cheapest.costed)
            ));
            if !both {
                parts.push(format!(
                    "Quickest: {}; {}.",
                    candidate_words(outputs, &quickest.costed),
                    costs(outputs, &quickest.costed)
                ));
            }
            parts.extend(fit.next_cheaper.as_ref().map(|f| does_not_do(outputs, f, "cheaper one")));
            if !both {
                parts.extend(fit.next_quicker.as_ref().map(|f| does_not_do(outputs, f, "quicker one")));
            }
        }
        _ => {
            parts.push(format!("None of {} combinations on stock holds everything.", fit.tally.combinations));
            if let Some(stop) = &fit.stop {
                parts.push(format!(
                    "Nearest comes {}: {}.",
                    candidate_words(outputs, &stop.nearest.costed),
                    first_lacks(&stop.nearest.lacks)
                ));
                let screen = stop.nearest.lacks.first().is_some_and(|l| {
                    matches!(l.of, LackOf::Pieces(DecidedBy::Screen | DecidedBy::Shotcrete))
                });
                if let (Some(needed), Some(provided)) = (stop.force_needed_kn, stop.force_provided_kn) {
                    parts.push(if screen {
                        format!(
                            "Surface support that carries {} kN there would do; what there is carries {}.",
                            kn(needed),
                            kn(provided)
                        )
                    } else if provided > 0.0 {
                        format!(
                            "{} kN of support are needed there and its bolts give {}: bolts of {} times the capacity would do, or as many more on that wedge.",
                            kn(needed),
                            kn(provided),
                            // Rounded up: a little less would not do.
                            fixed((needed / provided * 100.0).ceil() / 100.0, 2)
                        )
                    } else {
                        format!(
                            "{} kN of support are needed there and its bolts give none: no bolt that carries anything meets that wedge.",
                            kn(needed)
                        )
                    });
                }
            }
        }
    }
    parts.push(NOT_ASKED.to_owned());
    parts.join(" ")
}
