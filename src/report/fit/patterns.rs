//! The patterns that fit, and those that nearly do: fit.csv, the page's table and the terminal's.

use super::outputs::FitOutputs;
use crate::case::{Case, Stock, StockPattern};
use crate::report::lacks::{drawn_words, lack_words};
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::numbers::{factor, shortest};
use crate::report::paper::table::Table;
use crate::study::{AsDrawn, Candidate, Choice, Costed, Doubled, Failing, Fitted, Lack, margin};

/// Stands for a pattern that is left out beside others that are not.
const LEFT_OUT: &str = "none";

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub(super) struct PatternRow<'a> {
    case: &'a Case,
    stock: &'a Stock,
    /// `efficient`, `holds`, `next cheaper`, `next quicker` or `nearest`.
    what: &'static str,
    /// Its place among the cheapest that hold, from 1.
    rank: Option<usize>,
    costed: &'a Costed,
    lacks: &'a [Lack],
    force_needed_kn: Option<f64>,
    force_provided_kn: Option<f64>,
    as_drawn: &'a AsDrawn,
    doubled: Option<&'a Doubled>,
    /// Least ratio of factor of safety to what is asked.
    margin: f64,
    /// Where each of several patterns has a line of its own: this one, and whether it is the first of them.
    line: Option<(usize, bool)>,
}

impl<'a> PatternRow<'a> {
    fn candidate(&self) -> &'a Candidate {
        &self.costed.candidate
    }

    /// What is said of each pattern; of one alone where the stock makes no more, or this line is of it.
    fn of_each(&self, said: impl Fn(&'a StockPattern, &'a Choice) -> Cell<'a>) -> Cell<'a> {
        let stock: &'a Stock = self.stock;
        let mut cells = stock
            .patterns
            .iter()
            .zip(&self.candidate().patterns)
            .enumerate()
            .filter(|(slot, _)| self.line.is_none_or(|(only, _)| only == *slot))
            .map(|(_, (of, choice))| choice.as_ref().map_or_else(|| LEFT_OUT.into(), |c| said(of, c)));
        if stock.patterns.len() == 1 || self.line.is_some() {
            return cells.next().unwrap_or(Cell::Absent);
        }
        Cell::List(cells.collect())
    }

    /// What is said of the whole candidate: where patterns have lines of their own, in the first of them.
    fn once<'c>(&self, cell: Cell<'c>) -> Cell<'c> {
        if self.line.is_some_and(|(_, first)| !first) { Cell::Absent } else { cell }
    }

    fn bolt(&self) -> Cell<'a> {
        let bolts = &self.case.bolts;
        self.of_each(|of, c| (&bolts[of.bolts[c.bolt].bolt].name).into())
    }

    fn covers(&self) -> Cell<'a> {
        let several = self.stock.patterns.len() > 1;
        self.of_each(|of, c| {
            let names = of.coverages[c.coverage].covers.iter().map(|c| c.name());
            if several { names.collect::<Vec<&str>>().join(" and ").into() } else { Cell::list(names) }
        })
    }

    /// The surface support chosen; none where that of the case stands.
    fn surface(&self) -> Option<&'a str> {
        let chosen = self.candidate().surface?;
        Some(&self.case.surface_support[self.stock.surfaces[chosen].surface].name)
    }

    /// One row for each of its patterns, where the stock makes several.
    pub(super) fn lines(self) -> impl Iterator<Item = Self> {
        let several = self.stock.patterns.len() > 1;
        let made =
            (0..self.stock.patterns.len()).filter(move |&slot| self.candidate().patterns[slot].is_some());
        made.enumerate()
            .map(move |(index, slot)| Self { line: several.then_some((slot, index == 0)), ..self })
    }
}

/// The cheapest that hold and the efficient ones by rising cost, then those that do not do.
pub(super) fn pattern_rows<'a>(outputs: &FitOutputs<'a>) -> Vec<PatternRow<'a>> {
    let fit = outputs.fit;
    let held = |what, rank, f: &'a Fitted| PatternRow {
        case: outputs.case,
        stock: outputs.stock,
        what,
        rank,
        costed: &f.costed,
        lacks: &[],
        force_needed_kn: None,
        force_provided_kn: None,
        as_drawn: &f.as_drawn,
        doubled: f.doubled.as_ref(),
        margin: margin(&f.whole),
        line: None,
    };
    let best = fit.best();
    let mut rows: Vec<PatternRow<'a>> = Vec::new();
    for (index, &f) in best.iter().enumerate() {
        let efficient = fit.efficient.iter().any(|e| std::ptr::eq(e, f));
        rows.push(held(if efficient { "efficient" } else { "holds" }, Some(index + 1), f));
    }
    let told = |f: &Fitted| best.iter().any(|b| std::ptr::eq(*b, f));
    rows.extend(fit.efficient.iter().filter(|f| !told(f)).map(|f| held("efficient", None, f)));
    let failing = |what, f: &'a Failing| PatternRow {
        case: outputs.case,
        stock: outputs.stock,
        what,
        rank: None,
        costed: &f.costed,
        lacks: &f.lacks,
        force_needed_kn: f.force_needed_kn,
        force_provided_kn: f.force_provided_kn,
        as_drawn: &f.as_drawn,
        doubled: f.doubled.as_ref(),
        margin: f.lacks.first().map_or(0.0, Lack::margin),
        line: None,
    };
    let which = [
        ("next cheaper", fit.next_cheaper.as_ref()),
        ("next quicker", fit.next_quicker.as_ref()),
        ("nearest", fit.stop.as_ref()),
    ];
    rows.extend(which.into_iter().filter_map(|(what, f)| Some(failing(what, f?))));
    rows
}

/// The columns; the README says what each means. Costs are in `currency`.
pub(super) fn pattern_table<'a>(currency: Option<&str>) -> Table<PatternRow<'a>> {
    use Format::{Factor, Fixed, Kn, Shortest, Whole, Words};
    let cost = format!("{}/m", currency.unwrap_or("cost"));
    Table::<PatternRow<'a>>::new()
        .column("what", |r| r.what.into())
        .on_page("what", Words)
        .on_terminal_as("what", Words, |r| r.once(r.what.into()))
        // Its place among the cheapest that hold.
        .column("rank", |r| r.rank.into())
        .on_page("rank", Whole)
        .column("verdict", |r| if r.lacks.is_empty() { "held" } else { "short" }.into())
        .on_page("everything asked", Words)
        .column("bolt", |r| r.bolt())
        .on_page("bolt", Words)
        .on_terminal("bolt", Words)
        .column("length_m", |r| r.of_each(|of, c| of.bolts[c.bolt].lengths[c.length].0.into()))
        .on_page("length m", Fixed(2))
        .on_terminal("length m", Shortest)
        .column("ring_spacing_m", |r| r.of_each(|of, c| of.ring_spacings_m[c.rings].into()))
        .on_page("rings m", Fixed(2))
        .on_terminal_as("rings m", Shortest, |r| {
            r.of_each(|of, c| {
                let stagger = if of.stagger[c.stagger] { " stag." } else { "" };
                format!("{}{stagger}", shortest(of.ring_spacings_m[c.rings])).into()
            })
        })
        .column("spacing_m", |r| r.of_each(|of, c| of.spacings_m[c.spacing].into()))
        .on_page("collars m", Fixed(2))
        .on_terminal("collars m", Shortest)
        .column("stagger", |r| r.of_each(|of, c| Cell::Flag(of.stagger[c.stagger])))
        .on_page("staggered", Words)
        .column("covers", |r| r.covers())
        .on_page("covers", Words)
        .on_terminal("covers", Words)
        .column("lowest_collar_m", |r| r.of_each(|of, c| of.coverages[c.coverage].lowest_collar_m.into()))
        .column("surface", |r| r.surface().into())
        .on_page_as("surface support", Words, |r| r.surface().unwrap_or("as in the case").into())
        .column("cost_per_m", |r| r.costed.cost_per_m.into())
        .on_page("cost a metre", Fixed(2))
        .on_terminal_as(cost, Fixed(0), |r| r.once(r.costed.cost_per_m.into()))
        .column("minutes_per_m", |r| r.costed.minutes_per_m.into())
        .on_page("min a metre", Fixed(2))
        .on_terminal_as("min/m", Fixed(1), |r| r.once(r.costed.minutes_per_m.into()))
        .column("bolts_per_m", |r| r.costed.bolts_per_m.into())
        .on_page("bolts a metre", Fixed(2))
        // Metres of bolt holes a metre.
        .column("drill_m_per_m", |r| r.costed.drill_m_per_m.into())
        .column("margin", |r| r.margin.into())
        .on_page("FS over asked", Factor)
        .on_terminal_as("FS/asked", Factor, |r| r.once(r.margin.into()))
        // The same where every collar may stand off its drawn place by `collar_tolerance_m`.
        .column("margin_as_drawn", |r| r.as_drawn.margin.into())
        .on_page_as("as drawn", Words, |r| drawn_words(r.as_drawn).into())
        .on_terminal_as("drawn", Factor, |r| r.once(r.as_drawn.margin.into()))
        .column("collar_tolerance_m", |r| r.as_drawn.tolerance_m.into())
        .column("as_drawn_wedge", |r| r.as_drawn.wedge.as_ref().into())
        // The same with every collar anywhere within twice that.
        .column("margin_doubled", |r| r.doubled.map(|d| d.margin).into())
        .on_page_as("collars twice as far off", Words, |r| r.doubled.map(doubled_words).into())
        .column("doubled_wedge", |r| r.doubled.and_then(|d| Some(&d.tightest.as_ref()?.wedge)).into())
        .column("lacks", |r| Cell::Sentences(r.lacks.iter().map(lack_words).collect()))
        // Of the first of them: against the movement, or between the bolts.
        .column("lacks_wedge", |r| r.lacks.first().map(|lack| &lack.wedge).into())
        .column("force_needed_kn", |r| r.force_needed_kn.into())
        .on_page("needed kN", Kn)
        .column("force_provided_kn", |r| r.force_provided_kn.into())
        .on_page("provided kN", Kn)
}

/// What each of the patterns that do not hold lacks: its row in the table, and the lacks in words.
pub(super) fn lacking(rows: &[PatternRow<'_>]) -> Vec<(&'static str, Vec<String>)> {
    let short = rows.iter().filter(|r| !r.lacks.is_empty());
    short.map(|r| (r.what, r.lacks.iter().map(lack_words).collect())).collect()
}

/// `0.84, A-B-C.111`
fn doubled_words(doubled: &Doubled) -> String {
    let wedge = doubled.tightest.as_ref().map(|lack| format!(", {}", lack.wedge)).unwrap_or_default();
    format!("{}{wedge}", factor(doubled.margin))
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
