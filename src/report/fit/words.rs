//! A fit in words.

use super::outputs::FitOutputs;
use crate::case::{Stock, StockPattern};
use crate::report::lacks::{first_lacks, lack_words};
use crate::report::paper::numbers::{factor, fixed, kn, shortest};
use crate::report::words::{MOST_WORDS, fitting, words_in};
use crate::study::{Choice, Costed, DecidedBy, Failing, Fitted, LackOf, Met};

/// `resin rebar 20 mm of 2.4 m, rings at 1.2 m staggered, collars 1.2 m apart, back and walls down to 1.2 m`;
/// several patterns are divided by semicolons.
#[must_use]
pub(super) fn candidate_words(outputs: &FitOutputs, costed: &Costed) -> String {
    let (stock, c) = (outputs.stock, &costed.candidate);
    let surface = c.surface.map(|s| &outputs.case.surface_support[stock.surfaces[s].surface].name);
    let with = surface.map(|name| format!(", {name}")).unwrap_or_default();
    let patterns: Vec<String> = made(stock, costed)
        .map(|(of, c)| {
            let bolt = &of.bolts[c.bolt];
            let coverage = &of.coverages[c.coverage];
            let covers: Vec<&str> = coverage.covers.iter().map(|c| c.name()).collect();
            let lowest = coverage.lowest_collar_m.filter(|_| coverage.covers.iter().any(|c| c.is_wall()));
            let down = lowest.map(|m| format!(" down to {} m", shortest(m))).unwrap_or_default();
            format!(
                "{} of {} m, rings at {} m{}, collars {} m apart, {}{down}",
                outputs.case.bolts[bolt.bolt].name,
                shortest(bolt.lengths[c.length].0),
                shortest(of.ring_spacings_m[c.rings]),
                if of.stagger[c.stagger] { " staggered" } else { "" },
                shortest(of.spacings_m[c.spacing]),
                covers.join(" and "),
            )
        })
        .collect();
    patterns.join(" + ") + &with
}

/// The patterns of a candidate that are not left out.
fn made<'a>(stock: &'a Stock, costed: &'a Costed) -> impl Iterator<Item = (&'a StockPattern, &'a Choice)> {
    let patterns = stock.patterns.iter().zip(&costed.candidate.patterns);
    patterns.filter_map(|(of, choice)| Some((of, choice.as_ref()?)))
}

/// `2.4 m, 1.2 × 1.2 m`: bolt length, rings by collars.
pub(super) fn short_name(outputs: &FitOutputs, costed: &Costed) -> String {
    let names: Vec<String> = made(outputs.stock, costed)
        .map(|(of, c)| {
            format!(
                "{} m, {} × {} m",
                shortest(of.bolts[c.bolt].lengths[c.length].0),
                shortest(of.ring_spacings_m[c.rings]),
                shortest(of.spacings_m[c.spacing])
            )
        })
        .collect();
    names.join(" + ")
}

/// What the crew gains or loses by how closely collars are marked: the cheapest with every collar twice as
/// far off as verdicts count with; `None` where nothing holds, or collars are counted on exactly.
#[must_use]
pub(super) fn doubled_line(outputs: &FitOutputs) -> Option<String> {
    let best = outputs.fit.best();
    let off = best.first()?.doubled.as_ref()?;
    let (by, asked_m) = (shortest(off.tolerance_m), shortest(0.5 * off.tolerance_m));
    let tightest = off.tightest.as_ref();
    let others = || {
        let hold = |f: &&&Fitted| f.doubled.as_ref().is_some_and(|d| d.margin >= 1.0);
        match best.iter().skip(1).find(hold) {
            Some(f) => format!(
                " The cheapest of these {} that still holds there: {}; {}.",
                best.len(),
                candidate_words(outputs, &f.costed),
                costs(outputs, &f.costed)
            ),
            None if best.len() > 1 => format!(" So is each of these {}.", best.len()),
            None => String::new(),
        }
    };
    Some(if off.margin >= 1.0 {
        let least =
            tightest.map(|lack| format!(", least {} of what is asked, {}", factor(off.margin), lack.wedge));
        format!(
            "With collars up to {by} m off, twice as far, the cheapest still holds{}: it bears collars marked no closer than that.",
            least.unwrap_or_default()
        )
    } else {
        let what = tightest.map_or_else(String::new, |lack| format!(": {}", lack_words(lack)));
        format!(
            "With collars up to {by} m off, twice as far, the cheapest is short{what}. It asks the crew to mark each collar and to keep within {asked_m} m of it.{}",
            others()
        )
    })
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

/// The fit in words: the cheapest and the quickest, why the next ones do not do; or what stops it; and the
/// sentences that such an answer has no room for.
#[must_use]
pub(super) fn fit_answer(outputs: &FitOutputs) -> (String, Vec<String>) {
    let whole = sentences(outputs, &candidate_words);
    // The head of the answer says which candidate it is, in few words where it has no room for all.
    let heads = if outputs.fit.efficient.len() == 1 { 1 } else { 2 };
    let head: usize = whole.iter().take(heads).map(|s| words_in(s)).sum();
    if head <= MOST_WORDS {
        return fitting(whole);
    }
    let short = sentences(outputs, &short_name);
    let (answer, _) = fitting(short.into_iter().take(heads).collect());
    (answer, whole)
}

/// All that is to be said, each candidate by `name`.
fn sentences(outputs: &FitOutputs, name: &dyn Fn(&FitOutputs, &Costed) -> String) -> Vec<String> {
    let fit = outputs.fit;
    let mut parts = Vec::new();
    match (fit.efficient.first(), fit.efficient.last()) {
        (Some(cheapest), Some(quickest)) => {
            let both = fit.efficient.len() == 1;
            parts.push(format!(
                "{} that holds everything: {}; {}.",
                if both { "Cheapest and quickest pattern on stock" } else { "Cheapest pattern on stock" },
                name(outputs, &cheapest.costed),
                costs(outputs, &cheapest.costed)
            ));
            if !both {
                parts.push(format!(
                    "Quickest: {}; {}.",
                    name(outputs, &quickest.costed),
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
                    name(outputs, &stop.costed),
                    first_lacks(&stop.lacks)
                ));
                let screen = stop.lacks.first().is_some_and(|l| {
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
    parts
}

/// Which wedges share patterns; `None` for a stock of one pattern.
#[must_use]
pub(super) fn met_line(outputs: &FitOutputs) -> Option<String> {
    let count = outputs.stock.patterns.len();
    if count < 2 {
        return None;
    }
    let met = &outputs.fit.met;
    let names = |which: &dyn Fn(&Met) -> bool| {
        let ids: Vec<&str> = met.iter().filter(|m| which(m)).map(|m| m.wedge.as_str()).collect();
        ids.join(", ")
    };
    let mut parts = Vec::new();
    for pattern in 0..count {
        let ids = names(&|m: &Met| m.patterns == [pattern]);
        if !ids.is_empty() {
            parts.push(format!("pattern {} alone: {ids}", pattern + 1));
        }
    }
    let shared = names(&|m: &Met| m.patterns.len() > 1);
    if !shared.is_empty() {
        parts.push(format!("several, so that these are searched together: {shared}"));
    }
    let none = names(&|m: &Met| m.patterns.is_empty());
    if !none.is_empty() {
        parts.push(format!("none: {none}"));
    }
    Some(format!(
        "Wedges by the patterns of the stock whose collars can be on their faces: {}. A wedge was judged {} times in all, each time under what it can meet.",
        parts.join("; "),
        outputs.fit.tally.judged
    ))
}
