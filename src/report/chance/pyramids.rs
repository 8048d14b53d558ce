//! What comes of each pyramid: pyramids.csv; and what drives it: drivers.csv.

use crate::case::Case;
use crate::report::paper::cell::Format;
use crate::report::paper::table::Table;
use crate::report::shares::chance;
use crate::study::chance::{Chance, Driver, PyramidTally, meets, pyramid_id};

/// A row of the table.
#[derive(Debug, Clone)]
pub(super) struct PyramidRow<'a> {
    pub wedge: String,
    pub draws: u64,
    pub tally: &'a PyramidTally,
    /// How likely its triple is the one that meets, where that is known.
    pub meets: Option<f64>,
    pub bolted: bool,
    pub thinned: bool,
    /// Draws that were judged, and those of them in which it is short.
    pub judged: Option<(u64, u64)>,
}

/// A row for each pyramid that had a wedge which can move.
pub(super) fn pyramid_rows<'a>(
    case: &Case,
    found: &'a Chance,
    bolted: bool,
    thinned: bool,
) -> Vec<PyramidRow<'a>> {
    let meets = meets(found);
    let judged_draws = found.judged.len() as u64;
    let moving = found.tally.pyramids.iter().enumerate().filter(|(_, tally)| tally.moves > 0);
    let row = |(at, tally)| PyramidRow {
        wedge: pyramid_id(case, at),
        draws: found.draws(),
        tally,
        meets: meets.get(at / 8).copied(),
        bolted,
        thinned,
        judged: (judged_draws > 0)
            .then(|| (judged_draws, found.judged.iter().filter(|d| d.short.contains(&at)).count() as u64)),
    };
    moving.map(row).collect()
}

impl PyramidRow<'_> {
    fn of(&self, hits: u64, which: usize) -> f64 {
        chance(hits, self.draws)[which]
    }

    fn bolted(&self, which: usize) -> Option<f64> {
        self.bolted.then(|| self.of(self.tally.short.bolted, which))
    }
}

/// The columns; the README says what each means.
pub(super) fn pyramid_table<'a>() -> Table<PyramidRow<'a>> {
    use Format::{Factor, Fixed, Volume, Words};
    Table::<PyramidRow<'a>>::new()
        .column("wedge", |r| (&r.wedge).into())
        .on_page("wedge", Words)
        .column("chance_meets", |r| r.meets.into())
        .on_page_as("its sets meet %", Fixed(1), |r| r.meets.map(|m| 100.0 * m).into())
        .column("draws", |r| r.draws.into())
        .column("moves", |r| r.tally.moves.into())
        .column("falls", |r| r.tally.falls.into())
        .column("chance_moves", |r| r.of(r.tally.moves, 0).into())
        .on_page_as("can move %", Fixed(1), |r| (100.0 * r.of(r.tally.moves, 0)).into())
        .column("chance_moves_low", |r| r.of(r.tally.moves, 1).into())
        .column("chance_moves_high", |r| r.of(r.tally.moves, 2).into())
        .column("short_bare", |r| r.tally.short.bare.into())
        .column("chance_short_bare", |r| r.of(r.tally.short.bare, 0).into())
        .on_page_as("short bare %", Fixed(1), |r| (100.0 * r.of(r.tally.short.bare, 0)).into())
        .column("chance_short_bare_low", |r| r.of(r.tally.short.bare, 1).into())
        .column("chance_short_bare_high", |r| r.of(r.tally.short.bare, 2).into())
        .column("short_bolted", |r| r.bolted.then_some(r.tally.short.bolted).into())
        .column("chance_short_bolted", |r| r.bolted(0).into())
        .on_page_as("short bolted %", Fixed(1), |r| r.bolted(0).map(|c| 100.0 * c).into())
        .column("chance_short_bolted_low", |r| r.bolted(1).into())
        .column("chance_short_bolted_high", |r| r.bolted(2).into())
        .column("short_ineffective", |r| r.thinned.then_some(r.tally.short.somewhere).into())
        .column("judged_draws", |r| r.judged.map(|j| j.0).into())
        .column("judged_short", |r| r.judged.map(|j| j.1).into())
        // Of the draws in which it can move, as all that follow.
        .column("volume_mean_m3", |r| mean_m3(r.tally).into())
        .on_page("mean m³", Volume)
        .column("volume_50_m3", |r| r.tally.volume_m3.quantile(0.5).into())
        .column("volume_90_m3", |r| r.tally.volume_m3.quantile(0.9).into())
        .column("volume_95_m3", |r| r.tally.volume_m3.quantile(0.95).into())
        .on_page("95 % below m³", Volume)
        .column("volume_99_m3", |r| r.tally.volume_m3.quantile(0.99).into())
        .column("fs_05", |r| r.tally.fs.quantile(0.05).into())
        .on_page("FS, 5 % below", Factor)
        .column("fs_50", |r| r.tally.fs.quantile(0.5).into())
        .on_page("FS, median", Factor)
}

#[allow(clippy::cast_precision_loss)] // counts are far below 2^53
fn mean_m3(tally: &PyramidTally) -> f64 {
    tally.volume_cm3 as f64 * 1e-6 / tally.moves as f64
}

/// The columns of drivers.csv.
pub(super) fn driver_table() -> Table<Driver> {
    use Format::{Fixed, Words};
    Table::<Driver>::new()
        .column("input", |r| (&r.input).into())
        .on_page("input", Words)
        .column("rank_correlation_volume", |r| r.rank_volume.into())
        .on_page("rank correlation with the largest volume", Fixed(2))
        .column("rank_correlation_fs", |r| r.rank_fs.into())
        .on_page("with the least FS", Fixed(2))
        .column("first_order_volume", |r| r.first_order_volume.into())
        .on_page("share of the volume's variance", Fixed(2))
        .column("first_order_short", |r| r.first_order_short.into())
        .on_page("share of the variance of short or not", Fixed(2))
}
