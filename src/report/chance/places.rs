//! What comes of each surface, and of all together: chance.csv, exceedance.csv and what people see of them.

use crate::opening::Surface;
use crate::report::paper::cell::Format;
use crate::report::paper::table::Table;
use crate::report::shares::chance;
use crate::study::chance::{Chance, Histogram, PlaceTally};

/// A row of the table: the worst wedge of each draw on one surface, or on any.
#[derive(Debug, Clone, Copy)]
pub(super) struct PlaceRow<'a> {
    pub place: &'static str,
    pub draws: u64,
    pub tally: &'a PlaceTally,
    pub bolted: bool,
    pub thinned: bool,
    /// Draws that were judged, and those of them with a short wedge there.
    pub judged: Option<(u64, u64)>,
}

/// A row for all surfaces, then one for each that a wedge showed on.
pub(super) fn place_rows(found: &Chance, bolted: bool, thinned: bool) -> Vec<PlaceRow<'_>> {
    let judged_draws = found.judged.len() as u64;
    let names = std::iter::once("all surfaces").chain(Surface::ALL.into_iter().map(Surface::name));
    let rows = names.zip(&found.tally.places).enumerate().map(|(at, (place, tally))| {
        let is_short = |draw: &&crate::study::chance::JudgedDraw| match at {
            0 => !draw.short.is_empty(),
            at => draw.short_on.contains(&(at - 1)),
        };
        let short = found.judged.iter().filter(is_short).count() as u64;
        let judged = (judged_draws > 0).then_some((judged_draws, short));
        PlaceRow { place, draws: found.draws(), tally, bolted, thinned, judged }
    });
    rows.enumerate().filter(|(at, row)| *at == 0 || row.tally.moves > 0).map(|(_, row)| row).collect()
}

impl PlaceRow<'_> {
    fn of(&self, hits: u64, which: usize) -> f64 {
        chance(hits, self.draws)[which]
    }

    fn bolted(&self, which: usize) -> Option<f64> {
        self.bolted.then(|| self.of(self.tally.short.bolted, which))
    }

    /// With bolts where there are any.
    fn deciding(&self, which: usize) -> f64 {
        self.bolted(which).unwrap_or_else(|| self.of(self.tally.short.bare, which))
    }

    fn somewhere(&self, which: usize) -> Option<f64> {
        self.thinned.then(|| self.of(self.tally.short.somewhere, which))
    }

    fn judged(&self, which: usize) -> Option<f64> {
        self.judged.map(|(draws, short)| chance(short, draws)[which])
    }
}

/// The columns; the README says what each means.
pub(super) fn place_table<'a>() -> Table<PlaceRow<'a>> {
    use Format::{Factor, Fixed, Kn, Volume, Words};
    Table::<PlaceRow<'a>>::new()
        .column("place", |r| r.place.into())
        .on_page("where", Words)
        .on_terminal("where", Words)
        .column("draws", |r| r.draws.into())
        .column("moves", |r| r.tally.moves.into())
        .column("chance_moves", |r| r.of(r.tally.moves, 0).into())
        .on_page_as("a wedge can move %", Fixed(1), |r| (100.0 * r.of(r.tally.moves, 0)).into())
        .on_terminal_as("moves %", Fixed(1), |r| (100.0 * r.of(r.tally.moves, 0)).into())
        .column("chance_moves_low", |r| r.of(r.tally.moves, 1).into())
        .column("chance_moves_high", |r| r.of(r.tally.moves, 2).into())
        .column("short_bare", |r| r.tally.short.bare.into())
        .column("chance_short_bare", |r| r.of(r.tally.short.bare, 0).into())
        .on_page_as("short bare %", Fixed(1), |r| (100.0 * r.of(r.tally.short.bare, 0)).into())
        .on_terminal_as("bare %", Fixed(1), |r| (100.0 * r.of(r.tally.short.bare, 0)).into())
        .column("chance_short_bare_low", |r| r.of(r.tally.short.bare, 1).into())
        .column("chance_short_bare_high", |r| r.of(r.tally.short.bare, 2).into())
        .column("short_bolted", |r| r.bolted.then_some(r.tally.short.bolted).into())
        .column("chance_short_bolted", |r| r.bolted(0).into())
        .on_page_as("short bolted %", Fixed(1), |r| r.bolted(0).map(|c| 100.0 * c).into())
        .on_terminal_as("bolted %", Fixed(1), |r| r.bolted(0).map(|c| 100.0 * c).into())
        .column("chance_short_bolted_low", |r| r.bolted(1).into())
        .column("chance_short_bolted_high", |r| r.bolted(2).into())
        // The interval of the chance that decides.
        .only_shown("from", |r| (100.0 * r.deciding(1)).into())
        .on_page("from %", Fixed(1))
        .on_terminal("from %", Fixed(1))
        .only_shown("to", |r| (100.0 * r.deciding(2)).into())
        .on_page("to %", Fixed(1))
        .on_terminal("to %", Fixed(1))
        .column("short_ineffective", |r| r.thinned.then_some(r.tally.short.somewhere).into())
        .column("chance_short_ineffective", |r| r.somewhere(0).into())
        .on_page_as("somewhere, some bolts without effect %", Fixed(1), |r| {
            r.somewhere(0).map(|c| 100.0 * c).into()
        })
        .column("chance_short_ineffective_low", |r| r.somewhere(1).into())
        .column("chance_short_ineffective_high", |r| r.somewhere(2).into())
        .column("judged_draws", |r| r.judged.map(|j| j.0).into())
        .column("judged_short", |r| r.judged.map(|j| j.1).into())
        .column("chance_judged_short", |r| r.judged(0).into())
        .on_page_as("short as judged %", Fixed(1), |r| r.judged(0).map(|c| 100.0 * c).into())
        .column("chance_judged_short_low", |r| r.judged(1).into())
        .column("chance_judged_short_high", |r| r.judged(2).into())
        .column("volume_50_m3", |r| r.tally.volume_m3.quantile_over(0.5, r.draws).into())
        .on_page("50 % below m³", Volume)
        .column("volume_90_m3", |r| r.tally.volume_m3.quantile_over(0.9, r.draws).into())
        .on_page("90 % below m³", Volume)
        .column("volume_95_m3", |r| r.tally.volume_m3.quantile_over(0.95, r.draws).into())
        .on_page("95 % below m³", Volume)
        .on_terminal("95 % m³", Volume)
        .column("volume_99_m3", |r| r.tally.volume_m3.quantile_over(0.99, r.draws).into())
        .on_page("99 % below m³", Volume)
        .column("needed_50_kn", |r| r.tally.needed_kn.quantile_over(0.5, r.draws).into())
        .column("needed_90_kn", |r| r.tally.needed_kn.quantile_over(0.9, r.draws).into())
        .column("needed_95_kn", |r| r.tally.needed_kn.quantile_over(0.95, r.draws).into())
        .on_page("95 % need at most kN", Kn)
        .on_terminal("95 % kN", Kn)
        .column("needed_99_kn", |r| r.tally.needed_kn.quantile_over(0.99, r.draws).into())
        .column("needed_50_kpa", |r| r.tally.needed_kpa.quantile_over(0.5, r.draws).into())
        .on_page("covers 50 % kPa", Fixed(1))
        .column("needed_90_kpa", |r| r.tally.needed_kpa.quantile_over(0.9, r.draws).into())
        .on_page("covers 90 % kPa", Fixed(1))
        .column("needed_95_kpa", |r| r.tally.needed_kpa.quantile_over(0.95, r.draws).into())
        .on_page("covers 95 % kPa", Fixed(1))
        .on_terminal("95 % kPa", Fixed(1))
        .column("needed_99_kpa", |r| r.tally.needed_kpa.quantile_over(0.99, r.draws).into())
        .on_page("covers 99 % kPa", Fixed(1))
        .column("fs_bare_05", |r| r.tally.fs_bare.quantile(0.05).into())
        .column("fs_bare_50", |r| r.tally.fs_bare.quantile(0.5).into())
        .column("fs_bolted_01", |r| r.tally.fs_bolted.quantile(0.01).into())
        .column("fs_bolted_05", |r| r.tally.fs_bolted.quantile(0.05).into())
        .on_page("FS bolted, 5 % below", Factor)
        .column("fs_bolted_50", |r| r.tally.fs_bolted.quantile(0.5).into())
        .on_page("FS bolted, median", Factor)
}

/// What the terminal shows, in its order.
pub(super) const ON_TERMINAL: [&str; 9] = [
    "place",
    "chance_moves",
    "chance_short_bare",
    "chance_short_bolted",
    "from",
    "to",
    "volume_95_m3",
    "needed_95_kn",
    "needed_95_kpa",
];

/// A row of exceedance.csv.
#[derive(Debug, Clone, Copy)]
pub(super) struct ExceedanceRow {
    pub place: &'static str,
    pub of: &'static str,
    pub value: f64,
    pub above: u64,
    pub draws: u64,
}

/// Steps an octave at which exceedance is told: bins of the histogram begin there.
const STEPS: i32 = 8;

/// How often the worst wedge of a draw is above so much: at eight steps an octave, as far as anything lies.
pub(super) fn exceedance(rows: &[PlaceRow<'_>]) -> Vec<ExceedanceRow> {
    let mut all = Vec::new();
    for row in rows {
        let of: [(&str, &Histogram); 3] = [
            ("volume_m3", &row.tally.volume_m3),
            ("needed_kn", &row.tally.needed_kn),
            ("needed_kpa", &row.tally.needed_kpa),
        ];
        for (of, histogram) in of {
            let (Some(first), Some(last)) = (histogram.filled().next(), histogram.filled().last()) else {
                continue;
            };
            for value in steps(first.0[0], last.0[1]) {
                let above = histogram.above(value);
                all.push(ExceedanceRow { place: row.place, of, value, above, draws: row.draws });
            }
        }
    }
    all
}

/// The even parts of octaves from one number to another.
fn steps(from: f64, to: f64) -> impl Iterator<Item = f64> {
    #[allow(clippy::cast_possible_truncation)] // octaves
    let octave = from.log2().floor() as i32;
    let of = move |step: i32| {
        let part = f64::from(step.rem_euclid(STEPS)) / f64::from(STEPS);
        (1.0 + part) * 2f64.powi(octave + step.div_euclid(STEPS))
    };
    (0..).map(of).skip_while(move |v| *v * (1.0 + 1.0 / f64::from(STEPS)) < from).take_while(move |v| *v < to)
}

/// Its columns.
pub(super) fn exceedance_table() -> Table<ExceedanceRow> {
    Table::<ExceedanceRow>::new()
        .column("place", |r| r.place.into())
        .column("of", |r| r.of.into())
        .column("value", |r| r.value.into())
        .column("draws_above", |r| r.above.into())
        .column("chance_above", |r| chance(r.above, r.draws)[0].into())
        .column("chance_above_low", |r| chance(r.above, r.draws)[1].into())
        .column("chance_above_high", |r| chance(r.above, r.draws)[2].into())
}
