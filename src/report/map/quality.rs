//! Rock quality by set: quality.csv, quality_words.csv, the page's section, and the hint on friction in words.

use super::outputs::SurveyOutputs;
use super::words::counted;
use crate::report::paper::cell::Format;
use crate::report::paper::html::Html;
use crate::report::paper::numbers::{fixed, shortest};
use crate::report::paper::table::Table;
use crate::strength::PEAK_CAP_DEG;
use crate::survey::{
    FrictionHint, HintConditions, LEAST_RQD_PERCENT, Mapped, QualitySummary, Quantity, QuantitySummary,
    WordCount,
};

/// What the rows of all readings have instead of a set.
const ALL: &str = "all";
/// Rows of words that the page shows; all of them are in the table.
const MOST_WORDS_SHOWN: usize = 60;

/// A row about a set, or about all readings.
pub(super) struct Of<'m, T> {
    set: Option<&'m str>,
    what: &'m T,
}

impl<T> Of<'_, T> {
    fn class(&self) -> &'static str {
        if self.set.is_some() { "set" } else { ALL }
    }
}

/// Of each set, then of all readings.
fn rows<'m, T>(mapped: &'m Mapped, pick: fn(&QualitySummary) -> &[T]) -> Vec<Of<'m, T>> {
    let sets = mapped.sets.iter().map(|set| (Some(set.name.as_str()), &set.quality));
    sets.chain([(None, &mapped.quality)])
        .flat_map(|(set, quality)| pick(quality).iter().map(move |what| Of { set, what }))
        .collect()
}

/// The rows of quality.csv.
pub(super) fn quantity_rows(mapped: &Mapped) -> Vec<Of<'_, QuantitySummary>> {
    rows(mapped, |quality| &quality.quantities)
}

/// The rows of quality_words.csv.
pub(super) fn word_rows(mapped: &Mapped) -> Vec<Of<'_, WordCount>> {
    rows(mapped, |quality| &quality.words)
}

/// The columns of quality.csv; the README says what each means.
pub(super) fn quantity_table<'m>() -> Table<Of<'m, QuantitySummary>> {
    use Format::{Fixed, Whole, Words};
    Table::<Of<'m, QuantitySummary>>::new()
        .column("class", |row| row.class().into())
        .column("set", |row| row.set.into())
        .only_shown("of", |row| row.set.unwrap_or(ALL).into())
        .on_page("set", Words)
        .column("quantity", |row| row.what.quantity.name().into())
        .on_page("quantity", Words)
        .column("readings", |row| row.what.readings.into())
        .on_page("readings", Whole)
        .column("median", |row| row.what.median.into())
        .on_page("median", Fixed(2))
        .column("least", |row| row.what.least.into())
        .on_page("least", Fixed(2))
        .column("greatest", |row| row.what.greatest.into())
        .on_page("greatest", Fixed(2))
}

/// The columns of quality_words.csv.
pub(super) fn word_table<'m>() -> Table<Of<'m, WordCount>> {
    use Format::{Whole, Words};
    Table::<Of<'m, WordCount>>::new()
        .column("class", |row| row.class().into())
        .column("set", |row| row.set.into())
        .only_shown("of", |row| row.set.unwrap_or(ALL).into())
        .on_page("set", Words)
        .column("column", |row| row.what.column.name().into())
        .on_page("column", Words)
        .column("words", |row| row.what.words.as_str().into())
        .on_page("words", Words)
        .column("readings", |row| row.what.readings.into())
        .on_page("readings", Whole)
}

/// The page's section; nothing where nothing was recorded.
pub(super) fn section(body: &mut Html, outputs: &SurveyOutputs<'_>) {
    let mapped = outputs.mapped;
    if mapped.quality.is_empty() && outputs.options.hint.is_none() {
        return;
    }
    body.heading("Rock quality as recorded");
    let (quantities, words) = (quantity_rows(mapped), word_rows(mapped));
    if !quantities.is_empty() {
        body.table(&quantity_table().page_of_all(&quantities));
    }
    if !words.is_empty() {
        body.table(&word_table().page_of_all(words.iter().take(MOST_WORDS_SHOWN)));
    }
    if words.len() > MOST_WORDS_SHOWN {
        let more = words.len() - MOST_WORDS_SHOWN;
        body.paragraph(&format!("And {}, in quality_words.csv.", counted(more, "row more", "rows more")));
    }
    let mut notes = vec![
        "Every reading counts alike, without weights; RQD and Jn of a stretch count as often as it has readings."
            .to_owned(),
        format!(
            "Q' = RQD/Jn × Jr/Ja, terms after Barton et al. (1974), an RQD below {} counting as that, from memory: {}.",
            shortest(LEAST_RQD_PERCENT),
            inputs_of(&mapped.quality, Quantity::QPrime, &[Quantity::Rqd, Quantity::Jn, Quantity::Jr, Quantity::Ja])
        ),
        format!(
            "GSI = 1.5 Jcond89 + RQD/2 after Hoek, Carter & Diederichs (2013), from memory: {}.",
            inputs_of(&mapped.quality, Quantity::Gsi, &[Quantity::Jcond89, Quantity::Rqd])
        ),
    ];
    if let Some(conditions) = outputs.options.hint {
        for set in &mapped.sets {
            notes.push(match set.friction_hint {
                Some(hint) => format!("{}: {}.", set.name, hint_words(hint, conditions)),
                None => format!(
                    "{}: no hint on friction; it takes JRC and JCS, and a normal stress below the JCS.",
                    set.name
                ),
            });
        }
    }
    body.list(notes.into_iter());
}

/// Of how many rows something follows, or what stands in no row.
fn inputs_of(quality: &QualitySummary, result: Quantity, inputs: &[Quantity]) -> String {
    if let Some(found) = quality.quantity(result) {
        return format!("of {} that hold all of it", counted(found.readings, "row", "rows"));
    }
    let absent: Vec<&str> =
        inputs.iter().filter(|input| quality.quantity(**input).is_none()).map(|input| input.name()).collect();
    if absent.is_empty() {
        "not given, since no row holds all of it".to_owned()
    } else {
        format!("not given, since no row holds {}", absent.join(", "))
    }
}

/// A hint on friction, and what it rests on.
pub(super) fn hint_words(hint: FrictionHint, conditions: HintConditions) -> String {
    format!(
        "a hint, which decides nothing: JRC {} and JCS {} MPa (medians) give a peak friction of {}°{} at a normal \
         stress of {} kPa with a base friction of {}° (Barton & Choubey 1977, from memory; no filling, no scale, no \
         water)",
        fixed(hint.jrc, 1),
        fixed(hint.jcs_mpa, 0),
        fixed(hint.peak_deg, 0),
        if hint.capped { format!(", capped at {PEAK_CAP_DEG}°,") } else { String::new() },
        shortest(conditions.normal_stress_kpa),
        shortest(conditions.base_friction_deg)
    )
}
