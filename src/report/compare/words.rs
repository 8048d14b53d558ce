//! A comparison in words.

use crate::report::lacks::first_lacks;
use crate::report::paper::numbers::fixed;
use crate::report::words::{MOST_WORDS, fitting, words_in};
use crate::study::{Compared, Comparison};

/// The comparison in words: which options hold everything, which of them is the cheapest and the
/// quickest, what each of the others lacks; and the sentences that such an answer has no room for.
#[must_use]
pub(super) fn compare_answer(comparison: &Comparison, currency: Option<&str>) -> (String, Vec<String>) {
    let options = &comparison.options;
    let holding: Vec<&Compared> = options.iter().filter(|o| o.holds()).collect();
    // Of many long names half an answer is enough; the table has all.
    let names = |list: &[&Compared]| -> String {
        let named: Vec<String> = list.iter().map(|o| format!("\"{}\"", o.name)).collect();
        let mut words = 0;
        let has_room = |name: &&String| {
            words += words_in(name);
            words <= MOST_WORDS / 3
        };
        let shown = named.iter().take_while(has_room).count().max(1).min(named.len());
        let rest = named.len() - shown;
        let more = if rest > 0 { format!(" and {rest} more") } else { String::new() };
        named[..shown].join(", ") + &more
    };
    let mut parts = vec![match (holding.len(), options.len()) {
        (0, 1) => "The case does not hold everything that is asked.".to_owned(),
        (0, all) => format!("None of {all} options holds everything that is asked."),
        (1, 1) => "The case holds everything that is asked.".to_owned(),
        (1, all) => format!("1 of {all} options holds everything that is asked: {}.", names(&holding)),
        (n, all) if n == all => format!("All {all} options hold everything that is asked."),
        (n, all) => format!("{n} of {all} options hold everything that is asked: {}.", names(&holding)),
    }];
    // Of equals all are named, so that no order decides.
    let least = |of: &dyn Fn(&Compared) -> Option<f64>| -> Option<(f64, Vec<&Compared>)> {
        let values = holding.iter().map(|o| of(o)).collect::<Option<Vec<f64>>>()?;
        let least = values.iter().copied().reduce(f64::min)?;
        Some((least, holding.iter().copied().filter(|o| of(o) == Some(least)).collect()))
    };
    let currency = currency.map(|c| format!(" {c}")).unwrap_or_default();
    if let Some((cost, cheapest)) = least(&Compared::cost_per_m) {
        parts.push(format!("Cheapest of them: {}, {}{currency} a metre.", names(&cheapest), fixed(cost, 0)));
    } else if !holding.is_empty() && !comparison.costs_known {
        parts.push("Which is the cheapest is not known: prices are missing.".to_owned());
    }
    if let Some((minutes, quickest)) = least(&Compared::minutes_per_m) {
        parts.push(format!("Quickest: {}, {} min a metre.", names(&quickest), fixed(minutes, 1)));
    }
    if options.iter().any(|o| o.short_at_face != options[0].short_at_face) {
        let short = options.iter().filter(|o| o.short_at_face > 0);
        let short: Vec<String> = short.map(|o| format!("\"{}\" {}", o.name, o.short_at_face)).collect();
        parts.push(format!("Wedges short at the face: {}.", short.join(", ")));
    }
    for option in options.iter().filter(|o| !o.holds()) {
        parts.push(format!("\"{}\" is short: {}.", option.name, first_lacks(&option.lacks)));
    }
    fitting(parts)
}
