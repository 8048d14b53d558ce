//! Directions side by side: turn.csv, the page's table and the terminal's.

use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::compass::azimuth_words;
use crate::report::paper::numbers::shortest;
use crate::report::paper::table::Table;
use crate::report::shares::chance;
use crate::study::{Turn, TurnChance, Turned};

/// A row of the tables.
#[derive(Debug, Clone, Copy)]
pub(super) struct DirectionRow<'a> {
    /// From 1, the best first; `None` of the drive as it lies.
    rank: Option<usize>,
    turned: &'a Turned,
    turn: &'a Turn,
}

/// The drive as it lies, then the directions, the best first.
pub(super) fn direction_rows(turn: &Turn) -> Vec<DirectionRow<'_>> {
    let own = DirectionRow { rank: None, turned: &turn.own, turn };
    let ranked = turn.ranked().into_iter().enumerate();
    std::iter::once(own)
        .chain(ranked.map(|(at, place)| DirectionRow {
            rank: Some(at + 1),
            turned: &turn.others[place],
            turn,
        }))
        .collect()
}

/// What a direction is called: `ramp 035`, `035, plunge −8`. The plunge stands where it is not that
/// of the drive as it lies.
pub(super) fn direction_words(turned: &Turned, turn: &Turn) -> String {
    let advance = turned.heading.advance;
    let trend = azimuth_words(advance.trend_deg);
    let name = match &turned.heading.name {
        Some(name) => format!("{name} "),
        None => String::new(),
    };
    if advance.plunge_deg == turn.own.heading.advance.plunge_deg {
        format!("{name}{trend}")
    } else {
        format!("{name}{trend}, plunge {}", shortest(advance.plunge_deg).replace('-', "\u{2212}"))
    }
}

impl DirectionRow<'_> {
    /// Share of its draws with a wedge short, and the ends of its interval: without support, or with bolts where there
    /// are any.
    fn bare(&self, which: usize) -> Option<f64> {
        self.turned.chance.map(|c| chance(c.short_bare, c.draws)[which])
    }

    fn bolted(&self, which: usize) -> Option<f64> {
        let of = self.turned.chance?;
        of.short_bolted.map(|short| chance(short, of.draws)[which])
    }

    fn judged(&self, which: usize) -> Option<f64> {
        self.turned.chance?.judged.map(|(draws, short)| chance(short, draws)[which])
    }

    /// The one that decides.
    fn deciding_percent(&self, which: usize) -> Option<f64> {
        let (short, draws) = self.turned.chance?.deciding();
        Some(100.0 * chance(short, draws)[which])
    }
}

/// The columns, with those of chances where any were asked for; the README says what each means.
pub(super) fn direction_table<'a>(turn: &Turn) -> Table<DirectionRow<'a>> {
    let table = directions_alone();
    match turn.own.chance {
        None => table,
        Some(TurnChance { judged: None, .. }) => with_interval(with_chances(table)),
        Some(_) => with_interval(with_judged(with_chances(table))),
    }
}

/// What stands on the page and on a terminal of chances, where any were asked for.
pub(super) fn chance_names(turn: &Turn) -> &'static [&'static str] {
    match turn.own.chance {
        None => &[],
        Some(TurnChance { judged: None, .. }) => &["chance_short_bare", "chance_short_bolted", "from", "to"],
        Some(_) => &["chance_short_bare", "chance_short_bolted", "chance_judged_short", "from", "to"],
    }
}

fn with_chances<'a>(table: Table<DirectionRow<'a>>) -> Table<DirectionRow<'a>> {
    use Format::Fixed;
    table
        .column("draws", |r| r.turned.chance.map(|c| c.draws).into())
        .column("short_bare", |r| r.turned.chance.map(|c| c.short_bare).into())
        .column("chance_short_bare", |r| r.bare(0).into())
        .on_page_as("short bare %", Fixed(1), |r| r.bare(0).map(|c| 100.0 * c).into())
        .on_terminal_as("bare %", Fixed(1), |r| r.bare(0).map(|c| 100.0 * c).into())
        .column("chance_short_bare_low", |r| r.bare(1).into())
        .column("chance_short_bare_high", |r| r.bare(2).into())
        .column("short_bolted", |r| r.turned.chance.and_then(|c| c.short_bolted).into())
        .column("chance_short_bolted", |r| r.bolted(0).into())
        .on_page_as("short bolted %", Fixed(1), |r| r.bolted(0).map(|c| 100.0 * c).into())
        .on_terminal_as("bolted %", Fixed(1), |r| r.bolted(0).map(|c| 100.0 * c).into())
        .column("chance_short_bolted_low", |r| r.bolted(1).into())
        .column("chance_short_bolted_high", |r| r.bolted(2).into())
}

fn with_judged<'a>(table: Table<DirectionRow<'a>>) -> Table<DirectionRow<'a>> {
    use Format::Fixed;
    table
        .column("judged_draws", |r| r.turned.chance.and_then(|c| Some(c.judged?.0)).into())
        .column("judged_short", |r| r.turned.chance.and_then(|c| Some(c.judged?.1)).into())
        .column("chance_judged_short", |r| r.judged(0).into())
        .on_page_as("short as judged %", Fixed(1), |r| r.judged(0).map(|c| 100.0 * c).into())
        .on_terminal_as("judged %", Fixed(1), |r| r.judged(0).map(|c| 100.0 * c).into())
        .column("chance_judged_short_low", |r| r.judged(1).into())
        .column("chance_judged_short_high", |r| r.judged(2).into())
}

/// The interval of the chance that decides.
fn with_interval<'a>(table: Table<DirectionRow<'a>>) -> Table<DirectionRow<'a>> {
    use Format::Fixed;
    table
        .only_shown("from", |r| r.deciding_percent(1).into())
        .on_page("from %", Fixed(1))
        .on_terminal("from %", Fixed(1))
        .only_shown("to", |r| r.deciding_percent(2).into())
        .on_page("to %", Fixed(1))
        .on_terminal("to %", Fixed(1))
}

fn directions_alone<'a>() -> Table<DirectionRow<'a>> {
    use Format::{Factor, Fixed, Kn, Whole, Words};
    Table::<DirectionRow<'a>>::new()
        // From 1, the best first; empty of the drive as it lies.
        .column("rank", |r| r.rank.into())
        .on_page("rank", Whole)
        .on_terminal("rank", Whole)
        .only_shown("direction", |r| {
            let own = if r.rank.is_none() { "as it lies " } else { "" };
            format!("{own}{}", direction_words(r.turned, r.turn)).into()
        })
        .on_page("drive towards", Words)
        .on_terminal("towards", Words)
        .column("heading", |r| r.turned.heading.name.as_ref().into())
        .column("trend_deg", |r| r.turned.heading.advance.trend_deg.into())
        .column("plunge_deg", |r| r.turned.heading.advance.plunge_deg.into())
        .column("length_m", |r| r.turned.heading.length_m.into())
        .on_page("to be driven m", Fixed(0))
        .column("verdict", |r| r.turned.verdict().name().into())
        .on_page("everything asked", Words)
        .on_terminal("asked", Words)
        // Least ratio of factor of safety to what is asked, and what has that ratio.
        .column("margin", |r| r.turned.margin().into())
        .on_page("FS over asked", Factor)
        .on_terminal("FS/asked", Factor)
        .column("margin_of", |r| r.turned.tightest.as_ref().map(|t| t.of.words()).into())
        .column("margin_wedge", |r| r.turned.tightest.as_ref().map(|t| &t.wedge).into())
        .on_page_as("least of", Words, |r| {
            r.turned.tightest.as_ref().map(|t| format!("{}, {}", t.wedge, t.of.words())).into()
        })
        .on_terminal_as("least of", Words, |r| {
            r.turned.tightest.as_ref().map(|t| format!("{} {}", t.wedge, t.of.words())).into()
        })
        .column("short_wedges", |r| r.turned.short.into())
        .on_page("short wedges", Whole)
        .on_terminal("short", Whole)
        .column("not_judged_wedges", |r| r.turned.not_judged.into())
        .on_page("not judged", Whole)
        .column("moving_wedges", |r| r.turned.moving.into())
        .on_page("wedges that can move", Whole)
        // The heaviest wedge that can move, at its largest size under the caps.
        .column("heaviest_wedge", |r| r.turned.heaviest.as_ref().map(|h| &h.wedge).into())
        .on_page("heaviest", Words)
        .column("heaviest_surfaces", |r| {
            r.turned.heaviest.as_ref().map(|h| Cell::list(h.surfaces.iter().map(|s| s.name()))).into()
        })
        .column("heaviest_volume_m3", |r| r.turned.heaviest.as_ref().map(|h| h.volume_m3).into())
        .column("heaviest_weight_kn", |r| r.turned.heaviest.as_ref().map(|h| h.weight_kn).into())
        .on_page("its weight kN", Kn)
        .on_terminal("heaviest kN", Kn)
        .column("least_fs_bare", |r| r.turned.least_bare.as_ref().map(|b| b.0).into())
        .on_page("least bare FS", Factor)
        .column("least_fs_bare_wedge", |r| r.turned.least_bare.as_ref().map(|b| &b.1).into())
        // The most that back and walls ask of support.
        .column("pressure_needed_kpa", |r| r.turned.pressure.as_ref().map(|p| p.kpa).into())
        .on_page("support needed kPa", Fixed(1))
        .on_terminal("kPa needed", Fixed(1))
        .column("pressure_surface", |r| r.turned.pressure.as_ref().map(|p| p.surface.name()).into())
        .on_page("on", Words)
        .column("pressure_wedge", |r| r.turned.pressure.as_ref().map(|p| &p.wedge).into())
}

pub(super) const ON_TERMINAL: [&str; 8] = [
    "rank",
    "direction",
    "verdict",
    "margin",
    "margin_wedge",
    "short_wedges",
    "heaviest_weight_kn",
    "pressure_needed_kpa",
];

pub(super) const ON_PAGE: [&str; 13] = [
    "rank",
    "direction",
    "length_m",
    "verdict",
    "margin",
    "margin_wedge",
    "short_wedges",
    "not_judged_wedges",
    "moving_wedges",
    "heaviest_wedge",
    "heaviest_weight_kn",
    "pressure_needed_kpa",
    "pressure_surface",
];

/// What the terminal has room for beside chances.
pub(super) const ON_TERMINAL_BESIDE: [&str; 6] =
    ["rank", "direction", "verdict", "margin", "short_wedges", "heaviest_weight_kn"];
