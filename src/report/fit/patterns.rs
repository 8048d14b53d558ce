//! The patterns that fit, and those that nearly do: fit.csv, the page's table and the terminal's.

use super::outputs::FitOutputs;
use crate::case::{Case, Stock};
use crate::report::lacks::{drawn_words, lack_words};
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::numbers::shortest;
use crate::report::paper::table::Table;
use crate::study::{AsDrawn, Candidate, Costed, Fitted, Lack, margin};

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub(super) struct PatternRow<'a> {
    case: &'a Case,
    stock: &'a Stock,
    /// `efficient`, `next cheaper`, `next quicker` or `nearest`.
    what: &'static str,
    costed: &'a Costed,
    lacks: &'a [Lack],
    as_drawn: &'a AsDrawn,
    /// Least ratio of factor of safety to what is asked.
    margin: f64,
}

impl<'a> PatternRow<'a> {
    fn candidate(&self) -> &'a Candidate {
        &self.costed.candidate
    }

    fn bolt(&self) -> &'a str {
        &self.case.bolts[self.stock.bolts[self.candidate().bolt].bolt].name
    }

    /// Whole length of the bolt, metres.
    fn length_m(&self) -> f64 {
        self.stock.bolts[self.candidate().bolt].lengths[self.candidate().length].0
    }

    fn ring_spacing_m(&self) -> f64 {
        self.stock.ring_spacings_m[self.candidate().rings]
    }

    fn is_staggered(&self) -> bool {
        self.stock.stagger[self.candidate().stagger]
    }

    fn covers(&self) -> impl Iterator<Item = &'static str> {
        self.stock.coverages[self.candidate().coverage].covers.iter().map(|c| c.name())
    }

    /// The surface support chosen; none where that of the case stands.
    fn surface(&self) -> Option<&'a str> {
        let chosen = self.candidate().surface?;
        Some(&self.case.surface_support[self.stock.surfaces[chosen].surface].name)
    }
}

/// The efficient ones by rising cost, then those that do not do.
pub(super) fn pattern_rows<'a>(outputs: &FitOutputs<'a>) -> Vec<PatternRow<'a>> {
    let (case, stock, fit) = (outputs.case, outputs.stock, outputs.fit);
    let row = |what, costed, lacks, as_drawn, margin| PatternRow {
        case,
        stock,
        what,
        costed,
        lacks,
        as_drawn,
        margin,
    };
    let efficient = |f: &'a Fitted| row("efficient", &f.costed, &[][..], &f.as_drawn, margin(&f.whole));
    let mut rows: Vec<PatternRow<'a>> = fit.efficient.iter().map(efficient).collect();
    let failing = [
        ("next cheaper", fit.next_cheaper.as_ref()),
        ("next quicker", fit.next_quicker.as_ref()),
        ("nearest", fit.stop.as_ref().map(|s| &s.nearest)),
    ];
    for (what, failing) in failing {
        if let Some(f) = failing {
            rows.push(row(what, &f.costed, &f.lacks, &f.as_drawn, f.lacks.first().map_or(0.0, Lack::margin)));
        }
    }
    rows
}

/// The columns; the README says what each means. Costs are in `currency`.
pub(super) fn pattern_table<'a>(currency: Option<&str>) -> Table<PatternRow<'a>> {
    use Format::{Factor, Fixed, Shortest, Words};
    let cost = format!("{}/m", currency.unwrap_or("cost"));
    Table::<PatternRow<'a>>::new()
        .column("what", |r| r.what.into())
        .on_page("what", Words)
        .on_terminal("what", Words)
        .column("verdict", |r| if r.lacks.is_empty() { "held" } else { "short" }.into())
        .on_page("everything asked", Words)
        .column("bolt", |r| r.bolt().into())
        .on_page("bolt", Words)
        .on_terminal("bolt", Words)
        .column("length_m", |r| r.length_m().into())
        .on_page("length m", Fixed(2))
        .on_terminal("length m", Shortest)
        .column("ring_spacing_m", |r| r.ring_spacing_m().into())
        .on_page("rings m", Fixed(2))
        .on_terminal_as("rings m", Shortest, |r| {
            let stagger = if r.is_staggered() { " stag." } else { "" };
            format!("{}{stagger}", shortest(r.ring_spacing_m())).into()
        })
        .column("spacing_m", |r| r.stock.spacings_m[r.candidate().spacing].into())
        .on_page("collars m", Fixed(2))
        .on_terminal("collars m", Shortest)
        .column("stagger", |r| Cell::Flag(r.is_staggered()))
        .on_page("staggered", Words)
        .column("covers", |r| Cell::list(r.covers()))
        .on_page("covers", Words)
        .on_terminal("covers", Words)
        .column("lowest_collar_m", |r| r.stock.coverages[r.candidate().coverage].lowest_collar_m.into())
        .column("surface", |r| r.surface().into())
        .on_page_as("surface support", Words, |r| r.surface().unwrap_or("as in the case").into())
        .column("cost_per_m", |r| r.costed.cost_per_m.into())
        .on_page("cost a metre", Fixed(2))
        .on_terminal(cost, Fixed(0))
        .column("minutes_per_m", |r| r.costed.minutes_per_m.into())
        .on_page("min a metre", Fixed(2))
        .on_terminal("min/m", Fixed(1))
        .column("bolts_per_m", |r| r.costed.bolts_per_m.into())
        .on_page("bolts a metre", Fixed(2))
        // Metres of bolt holes a metre.
        .column("drill_m_per_m", |r| r.costed.drill_m_per_m.into())
        .column("margin", |r| r.margin.into())
        .on_page("FS over asked", Factor)
        .on_terminal("FS/asked", Factor)
        // The same where every collar may stand off its drawn place by `collar_tolerance_m`.
        .column("margin_as_drawn", |r| r.as_drawn.margin.into())
        .on_page_as("as drawn", Words, |r| drawn_words(r.as_drawn).into())
        .on_terminal("drawn", Factor)
        .column("collar_tolerance_m", |r| r.as_drawn.tolerance_m.into())
        .column("as_drawn_wedge", |r| r.as_drawn.wedge.as_ref().into())
        .column("lacks", |r| Cell::Sentences(r.lacks.iter().map(lack_words).collect()))
        .on_page("lacks", Words)
}

// What holds stands in "what": the efficient ones do, the others do not.
pub(super) const ON_TERMINAL: [&str; 10] = [
    "bolt",
    "covers",
    "what",
    "length_m",
    "ring_spacing_m",
    "spacing_m",
    "minutes_per_m",
    "cost_per_m",
    "margin",
    "margin_as_drawn",
];
