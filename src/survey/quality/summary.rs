use std::collections::BTreeMap;

use crate::survey::Reading;

/// A number that rows hold, or that follows from what they hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quantity {
    /// Joint roughness coefficient.
    Jrc,
    /// Joint wall compressive strength, MPa.
    Jcs,
    /// Joint roughness number.
    Jr,
    /// Joint alteration number.
    Ja,
    /// Joint set number.
    Jn,
    /// RQD as logged, percent.
    Rqd,
    /// Joint condition rating of RMR 1989.
    Jcond89,
    /// Q' of rows that hold all its inputs.
    QPrime,
    /// GSI of rows that hold both its inputs.
    Gsi,
}

impl Quantity {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::Jrc,
        Self::Jcs,
        Self::Jr,
        Self::Ja,
        Self::Jn,
        Self::Rqd,
        Self::Jcond89,
        Self::QPrime,
        Self::Gsi,
    ];

    /// Its name in tables, unit included.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Jrc => "jrc",
            Self::Jcs => "jcs_mpa",
            Self::Jr => "jr",
            Self::Ja => "ja",
            Self::Jn => "jn",
            Self::Rqd => "rqd_percent",
            Self::Jcond89 => "jcond89",
            Self::QPrime => "q_prime",
            Self::Gsi => "gsi",
        }
    }

    /// What a reading says of it.
    #[must_use]
    pub fn of(self, reading: &Reading) -> Option<f64> {
        let quality = reading.quality.as_deref();
        match self {
            Self::Jrc => reading.jrc,
            Self::Jcs => quality?.jcs_mpa,
            Self::Jr => quality?.jr,
            Self::Ja => quality?.ja,
            Self::Jn => quality?.jn,
            Self::Rqd => quality?.rqd_percent,
            Self::Jcond89 => quality?.jcond89,
            Self::QPrime => quality?.q_prime(),
            Self::Gsi => quality?.gsi(),
        }
    }
}

/// Median and range of a quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct QuantitySummary {
    /// Which.
    pub quantity: Quantity,
    /// How many readings have it.
    pub readings: usize,
    /// The middle of them, or halfway between the two in the middle.
    pub median: f64,
    /// The least.
    pub least: f64,
    /// The greatest.
    pub greatest: f64,
}

/// A column of words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WordColumn {
    /// Roughness in words.
    Roughness,
    /// Filling.
    Filling,
    /// Water.
    Water,
}

impl WordColumn {
    /// Its name in tables.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Roughness => "roughness",
            Self::Filling => "filling",
            Self::Water => "water",
        }
    }
}

/// How often a column says something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WordCount {
    /// The column.
    pub column: WordColumn,
    /// What it says, in small letters.
    pub words: String,
    /// How many readings.
    pub readings: usize,
}

/// What some readings say of rock quality. Readings count alike: weights are for directions.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct QualitySummary {
    /// Quantities that any of them has, in the order of [`Quantity::ALL`].
    pub quantities: Vec<QuantitySummary>,
    /// Words by column, the commonest first, of equals the first in the alphabet.
    pub words: Vec<WordCount>,
}

impl QualitySummary {
    /// The summary of one quantity, where any reading has it.
    #[must_use]
    pub fn quantity(&self, quantity: Quantity) -> Option<&QuantitySummary> {
        self.quantities.iter().find(|summary| summary.quantity == quantity)
    }

    /// Whether nothing was recorded.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.quantities.is_empty() && self.words.is_empty()
    }
}

/// The summary of some readings; their order does not matter.
#[must_use]
pub fn summarise<'r>(readings: impl Iterator<Item = &'r Reading> + Clone) -> QualitySummary {
    let quantities = Quantity::ALL
        .into_iter()
        .filter_map(|quantity| {
            let mut values: Vec<f64> = readings.clone().filter_map(|r| quantity.of(r)).collect();
            values.sort_by(f64::total_cmp);
            let (least, greatest) = (*values.first()?, *values.last()?);
            let half = values.len() / 2;
            let below = if values.len().is_multiple_of(2) { values[half - 1] } else { values[half] };
            let median = f64::midpoint(below, values[half]);
            Some(QuantitySummary { quantity, readings: values.len(), median, least, greatest })
        })
        .collect();
    QualitySummary { quantities, words: words(readings) }
}

fn words<'r>(readings: impl Iterator<Item = &'r Reading>) -> Vec<WordCount> {
    let mut counts: BTreeMap<(WordColumn, String), usize> = BTreeMap::new();
    for remarks in readings.filter_map(|r| r.remarks.as_ref()) {
        let columns = [
            (WordColumn::Roughness, &remarks.roughness),
            (WordColumn::Filling, &remarks.filling),
            (WordColumn::Water, &remarks.water),
        ];
        for (column, said) in columns {
            let Some(said) = said else { continue };
            *counts.entry((column, said.trim().to_lowercase())).or_default() += 1;
        }
    }
    let mut words: Vec<WordCount> =
        counts.into_iter().map(|((column, words), readings)| WordCount { column, words, readings }).collect();
    // Stable: of equals the alphabet's order stays.
    words.sort_by_key(|count| (count.column, std::cmp::Reverse(count.readings)));
    words
}
