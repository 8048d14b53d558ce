//! Directions in words.

use super::directions::direction_words;
use crate::case::Case;
use crate::report::lacks::first_lacks;
use crate::report::paper::compass::azimuth_words;
use crate::report::paper::numbers::{factor, fixed, percent, shortest, thousands};
use crate::report::shares::chance;
use crate::report::words::fitting;
use crate::study::{Turn, TurnChance, Turned, Verdict};

/// Directions or headings that are named one by one.
const NAMED: usize = 3;

/// The directions in words: how the drive stands as it lies, which directions hold everything, what the best is; and
/// the sentences that such an answer has no room for.
#[must_use]
pub(super) fn turn_answer(turn: &Turn, case: &Case) -> (String, Vec<String>) {
    let support = if case.patterns.is_empty() { "without bolts" } else { "with this support" };
    let own = &turn.own;
    let advance = azimuth_words(own.heading.advance.trend_deg);
    let mut parts = vec![match own.verdict() {
        Verdict::Held => format!("Driven towards {advance} as it lies, everything that is asked is held."),
        Verdict::Short => {
            format!("Driven towards {advance} as it lies, it is short: {}.", first_lacks(&own.lacks[..1]))
        }
        Verdict::NotJudged => {
            format!("Driven towards {advance} as it lies, it is not judged: {} of wedges.", own.lacks.len())
        }
    }];
    let planned = turn.others.iter().any(|t| t.heading.name.is_some());
    let holding: Vec<&Turned> = turn.others.iter().filter(|t| t.verdict() == Verdict::Held).collect();
    let all = turn.others.len();
    let what = match (planned, all) {
        (true, 1) => "heading",
        (true, _) => "headings",
        (false, _) => "directions",
    };
    parts.push(match holding.len() {
        0 => format!("None of {all} {what} holds everything {support}."),
        n if planned => {
            let metres =
                |of: &mut dyn Iterator<Item = &Turned>| of.filter_map(|t| t.heading.length_m).sum::<f64>();
            let total_m = metres(&mut turn.others.iter());
            let held_m = metres(&mut holding.iter().copied());
            let lengths = if total_m > 0.0 {
                format!(", {} of {} m", fixed(held_m, 0), fixed(total_m, 0))
            } else {
                String::new()
            };
            format!(
                "{n} of {all} {what} {} everything {support}{lengths}.",
                if n == 1 { "holds" } else { "hold" }
            )
        }
        n => format!("{n} of {all} {what} hold everything {support}: {}.", ranges(&turn.others)),
    });
    let order = turn.ranked();
    let margin_words = |t: &Turned| match t.margin() {
        m if m.is_infinite() => "nothing moves there".to_owned(),
        m => format!("{} of what is asked", factor(m)),
    };
    if let Some(best) = order.first().map(|&at| &turn.others[at]) {
        parts.push(format!("Best: {}, {}.", direction_words(best, turn), margin_words(best)));
    }
    if planned {
        let short: Vec<String> = turn
            .others
            .iter()
            .filter(|t| t.verdict() != Verdict::Held)
            .map(|t| t.heading.name.clone().unwrap_or_default())
            .collect();
        if !short.is_empty() && !holding.is_empty() {
            let more = short.len().saturating_sub(NAMED);
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            let named = short[..short.len().min(NAMED)].join(", ");
            parts.push(format!("Not held: {named}{more}: {}.", "more support there, or another direction"));
        }
    }
    parts.extend(chance_words(turn, case));
    let weight = |t: &Turned| t.heaviest.as_ref().map_or(0.0, |h| h.weight_kn);
    let heaviest = turn.others.iter().reduce(|a, b| if weight(b) > weight(a) { b } else { a });
    let lightest = turn.others.iter().reduce(|a, b| if weight(b) < weight(a) { b } else { a });
    if let (Some(heaviest), Some(lightest)) = (heaviest, lightest)
        && weight(heaviest) > weight(lightest)
    {
        parts.push(format!(
            "Heaviest wedge: {} kN towards {}, {} kN towards {}.",
            fixed(weight(lightest), 0),
            direction_words(lightest, turn),
            fixed(weight(heaviest), 0),
            direction_words(heaviest, turn)
        ));
    }
    fitting(parts)
}

/// How likely a wedge is short as the drive lies and in the direction where it is least likely, of equals the one that
/// ranks first; nothing where that was not asked.
fn chance_words(turn: &Turn, case: &Case) -> Option<String> {
    let own = turn.own.chance?;
    let how = short_how(own, case);
    let share = |t: &Turned| t.chance.map_or(f64::NAN, deciding_share);
    let ranked = turn.ranked();
    let least = ranked.iter().map(|&at| &turn.others[at]);
    let least = least.reduce(|a, b| if share(b) < share(a) { b } else { a });
    let there = match least {
        Some(t) => format!(", least towards {}: {} %", direction_words(t, turn), percent(share(t))),
        None => String::new(),
    };
    Some(format!(
        "As it lies {} % of {} draws are short {how}{there}.",
        percent(share(&turn.own)),
        thousands(own.deciding().1)
    ))
}

/// The share of a direction's draws that are short, by what counts.
pub(super) fn deciding_share(of: TurnChance) -> f64 {
    let (short, draws) = of.deciding();
    chance(short, draws)[0]
}

/// How they are short.
pub(super) fn short_how(of: TurnChance, case: &Case) -> &'static str {
    match of.judged {
        Some(_) => "as a check judges",
        None if case.patterns.is_empty() => "without support",
        None => "with the bolts as drawn",
    }
}

/// Neighbouring directions that hold everything, in the order of azimuth, each plunge by itself: `050 to 110, 230`.
fn ranges(turned: &[Turned]) -> String {
    let mut plunges: Vec<f64> = turned.iter().map(|t| t.heading.advance.plunge_deg).collect();
    plunges.dedup();
    let several = plunges.len() > 1;
    let of_plunge = |plunge: f64| {
        let here: Vec<&Turned> = turned.iter().filter(|t| t.heading.advance.plunge_deg == plunge).collect();
        let named = runs(&here.iter().map(|t| t.verdict() == Verdict::Held).collect::<Vec<_>>())
            .into_iter()
            .map(|(from, to)| {
                let words = |at: usize| azimuth_words(here[at].heading.advance.trend_deg);
                if from == to { words(from) } else { format!("{} to {}", words(from), words(to)) }
            })
            .collect::<Vec<_>>();
        let shown = named.len().min(NAMED);
        let more = if named.len() > shown { " and others" } else { "" };
        let plunge = if several {
            format!(" at plunge {}", shortest(plunge).replace('-', "\u{2212}"))
        } else {
            String::new()
        };
        (!named.is_empty()).then(|| format!("{}{more}{plunge}", named[..shown].join(", ")))
    };
    plunges.into_iter().filter_map(of_plunge).collect::<Vec<_>>().join("; ")
}

/// Runs of `true` round a circle, each as its first and last place; all round is one that ends before it began.
fn runs(held: &[bool]) -> Vec<(usize, usize)> {
    let n = held.len();
    let Some(start) = (0..n).find(|&at| !held[at]) else {
        return if n == 0 { Vec::new() } else { vec![(0, n - 1)] };
    };
    let mut found: Vec<(usize, usize)> = Vec::new();
    let mut open = None;
    // Once round from a place that is not held, so that no run is cut at north.
    for at in (start..=start + n).map(|i| i % n) {
        match (held[at], open) {
            (true, None) => open = Some(at),
            (false, Some(from)) => {
                found.push((from, (at + n - 1) % n));
                open = None;
            }
            _ => {}
        }
    }
    found.sort_unstable();
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_go_on_over_north() {
        assert_eq!(runs(&[true, false, true, true, false, true]), [(2, 3), (5, 0)]);
        assert_eq!(runs(&[true, true]), [(0, 1)]);
        assert!(runs(&[false, false]).is_empty() && runs(&[]).is_empty());
        assert_eq!(runs(&[false, true]), [(1, 1)]);
    }
}
