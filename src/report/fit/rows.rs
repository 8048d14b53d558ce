use serde::Serialize;

use super::FitOutputs;
use crate::report::compare::lack_words;
use crate::report::paper::numbers::Number;
use crate::study::{Costed, Lack, margin};

/// A row of fit.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct FitRow {
    /// `efficient`, `next cheaper`, `next quicker` or `nearest`.
    pub what: String,
    /// `held` or `short`.
    pub verdict: String,
    /// The bolt.
    pub bolt: String,
    /// Its whole length, metres.
    pub length_m: Number,
    /// Ring to ring, metres.
    pub ring_spacing_m: Number,
    /// Collar to collar, metres.
    pub spacing_m: Number,
    /// Whether rings are staggered.
    pub stagger: bool,
    /// The surfaces covered, divided by `|`.
    pub covers: String,
    /// Height of the lowest collar, metres.
    pub lowest_collar_m: Option<Number>,
    /// The surface support chosen; empty where that of the case stands.
    pub surface: Option<String>,
    /// Cost a metre of drive.
    pub cost_per_m: Number,
    /// Minutes at the work a metre of drive.
    pub minutes_per_m: Number,
    /// Bolts a metre.
    pub bolts_per_m: Number,
    /// Metres of bolt holes a metre.
    pub drill_m_per_m: Number,
    /// Least ratio of factor of safety to what is asked.
    pub margin: Number,
    /// What it lacks.
    pub lacks: String,
}

/// The rows of fit.csv: the efficient ones by rising cost, then those that do not do.
#[must_use]
pub fn fit_rows(outputs: &FitOutputs) -> Vec<FitRow> {
    let fit = outputs.fit;
    let mut rows: Vec<FitRow> =
        fit.efficient.iter().map(|f| row(outputs, "efficient", &f.costed, &[], margin(&f.whole))).collect();
    let stop = fit.stop.as_ref().map(|s| &s.nearest);
    for (what, failing) in [
        ("next cheaper", fit.next_cheaper.as_ref()),
        ("next quicker", fit.next_quicker.as_ref()),
        ("nearest", stop),
    ] {
        if let Some(f) = failing {
            let least = f.lacks.first().map_or(0.0, Lack::margin);
            rows.push(row(outputs, what, &f.costed, &f.lacks, least));
        }
    }
    rows
}

fn row(outputs: &FitOutputs, what: &str, costed: &Costed, lacks: &[Lack], margin: f64) -> FitRow {
    let (stock, c) = (outputs.stock, &costed.candidate);
    let bolt = &stock.bolts[c.bolt];
    let coverage = &stock.coverages[c.coverage];
    FitRow {
        what: what.to_owned(),
        verdict: if lacks.is_empty() { "held" } else { "short" }.to_owned(),
        bolt: outputs.case.bolts[bolt.bolt].name.clone(),
        length_m: bolt.lengths[c.length].0.into(),
        ring_spacing_m: stock.ring_spacings_m[c.rings].into(),
        spacing_m: stock.spacings_m[c.spacing].into(),
        stagger: stock.stagger[c.stagger],
        covers: coverage.covers.iter().map(|c| c.name()).collect::<Vec<_>>().join("|"),
        lowest_collar_m: coverage.lowest_collar_m.map(Number),
        surface: c.surface.map(|s| outputs.case.surface_support[stock.surfaces[s].surface].name.clone()),
        cost_per_m: costed.cost_per_m.into(),
        minutes_per_m: costed.minutes_per_m.into(),
        bolts_per_m: costed.bolts_per_m.into(),
        drill_m_per_m: costed.drill_m_per_m.into(),
        margin: margin.into(),
        lacks: lacks.iter().map(lack_words).collect::<Vec<_>>().join("; "),
    }
}
