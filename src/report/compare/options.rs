//! Options side by side: compare.csv, the page's tables and the terminal's.

use crate::opening::Surface;
use crate::report::lacks::{drawn_words, lack_words};
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::table::Table;
use crate::report::words::change_words;
use crate::study::{Compared, Comparison, GoverningWedge, LackOf, ScreenLoad, SurfaceFs};

/// A row of the tables.
#[derive(Debug, Clone, Copy)]
pub(super) struct OptionRow<'a> {
    /// From 1, the case as it stands first.
    pub(super) number: usize,
    pub(super) option: &'a Compared,
}

impl<'a> OptionRow<'a> {
    fn on(&self, surface: Surface) -> Option<&'a SurfaceFs> {
        self.option.surfaces.iter().find(|s| s.surface == surface)
    }

    fn least_fs(&self, surface: Surface) -> Option<f64> {
        self.on(surface).map(|s| s.least_fs)
    }

    fn median_fs(&self, surface: Surface) -> Option<f64> {
        self.on(surface).and_then(|s| s.median_fs)
    }

    fn governing(&self) -> Option<&'a GoverningWedge> {
        self.option.governing.as_ref()
    }

    fn screen(&self) -> Option<&'a ScreenLoad> {
        self.option.screen.as_ref()
    }

    /// The wedge that leaves the least margin, and in what, with this between them.
    fn tightest(&self, between: &str) -> Option<String> {
        self.option.tightest.as_ref().map(|t| format!("{}{between}{}", t.wedge, t.of.words()))
    }
}

/// The options, in their order.
pub(super) fn option_rows(comparison: &Comparison) -> Vec<OptionRow<'_>> {
    let numbered = comparison.options.iter().enumerate();
    numbered.map(|(index, option)| OptionRow { number: index + 1, option }).collect()
}

/// What is said of the whole of an option: `held` where everything that is asked is held.
fn verdict(option: &Compared) -> &'static str {
    if option.holds() {
        "held"
    } else if option.lacks.iter().all(|l| l.of == LackOf::NotJudged) {
        "not judged"
    } else {
        "short"
    }
}

/// The columns; the README says what each means. Costs are in `currency`.
pub(super) fn option_table<'a>(currency: Option<&str>) -> Table<OptionRow<'a>> {
    use Format::{Factor, Fixed, Kn, Whole, Words};
    let on_page = currency.map_or_else(|| "cost a metre".to_owned(), |c| format!("{c} a metre"));
    let on_terminal = format!("{}/m", currency.unwrap_or("cost"));
    Table::<OptionRow<'a>>::new()
        .only_shown("number", |r| r.number.into())
        .on_page("no.", Whole)
        .column("option", |r| (&r.option.name).into())
        .on_page("option", Words)
        .on_terminal("option", Words)
        .column("verdict", |r| verdict(r.option).into())
        .on_page("everything asked", Words)
        .on_terminal("asked", Words)
        // Least ratio of factor of safety to what is asked, and what has that ratio.
        .column("margin", |r| r.option.margin.into())
        .on_page("FS over asked", Factor)
        .on_terminal("FS/asked", Factor)
        .column("margin_of", |r| r.option.tightest.as_ref().map(|t| t.of.words()).into())
        .column("margin_wedge", |r| r.option.tightest.as_ref().map(|t| &t.wedge).into())
        .on_page_as("least of", Words, |r| r.tightest(", ").into())
        .on_terminal_as("least margin", Words, |r| r.tightest(" ").into())
        // The same where every collar may stand off its drawn place by `collar_tolerance_m`.
        .column("margin_as_drawn", |r| r.option.as_drawn.margin.into())
        .on_page_as("as drawn", Words, |r| drawn_words(&r.option.as_drawn).into())
        .on_terminal("drawn", Factor)
        .column("collar_tolerance_m", |r| r.option.as_drawn.tolerance_m.into())
        .column("as_drawn_wedge", |r| r.option.as_drawn.wedge.as_ref().into())
        // The wedge nearest to its criterion.
        .column("governing_wedge", |r| r.governing().map(|g| &g.wedge).into())
        .on_page("governing wedge", Words)
        .column("governing_surfaces", |r| {
            r.governing().map(|g| Cell::list(g.surfaces.iter().map(|s| s.name()))).into()
        })
        .column("governing_fs", |r| r.governing().and_then(|g| g.fs).into())
        .on_page("its FS", Factor)
        .column("governing_criterion", |r| r.governing().map(|g| g.asked_fs).into())
        // Least factor by surface; median over placements of that wedge.
        .column("fs_back", |r| r.least_fs(Surface::Back).into())
        .column("fs_back_median", |r| r.median_fs(Surface::Back).into())
        .column("fs_left_wall", |r| r.least_fs(Surface::LeftWall).into())
        .column("fs_left_wall_median", |r| r.median_fs(Surface::LeftWall).into())
        .column("fs_right_wall", |r| r.least_fs(Surface::RightWall).into())
        .column("fs_right_wall_median", |r| r.median_fs(Surface::RightWall).into())
        // Least load factor of falling wedges with moments in balance.
        .column("fs_rotation", |r| r.option.least_rotation_fs.into())
        .on_page("least with moments", Factor)
        // The heaviest wedge between the bolts.
        .column("gap_wedge", |r| r.option.gap.as_ref().map(|g| &g.0).into())
        .column("gap_volume_m3", |r| r.option.gap.as_ref().map(|g| g.1).into())
        .column("gap_weight_kn", |r| r.option.gap.as_ref().map(|g| g.2).into())
        .on_page("gap wedge kN", Kn)
        // The piece that leaves the surface support the least margin.
        .only_shown("screen_surface", |r| r.screen().map(|s| s.surface.name()).into())
        .on_page("surface", Words)
        .column("screen_wedge", |r| r.screen().map(|s| &s.wedge).into())
        .on_page("piece", Words)
        .column("screen_weight_kn", |r| r.screen().map(|s| s.weight_kn).into())
        .on_page("kN", Kn)
        .column("screen_capacity_kn", |r| r.screen().and_then(|s| s.capacity_kn).into())
        .on_page("carried kN", Kn)
        .column("screen_verdict", |r| r.screen().map(|s| s.verdict.name()).into())
        .on_page("screen", Words)
        .only_shown("screen_verdict_between", |r| r.screen().map(|s| s.verdict.name()).into())
        .on_page("surface support", Words)
        .column("short_wedges", |r| r.option.short.into())
        .on_page("short wedges", Whole)
        .on_terminal("short", Whole)
        .column("not_judged_wedges", |r| r.option.not_judged.into())
        .column("short_screen", |r| r.option.short_screen.into())
        // Rows of stages that are short though bolts can meet them.
        .column("short_in_stages", |r| r.option.short_in_stages.into())
        .on_page("stages short", Whole)
        // They decide which option is better, and not whether one holds.
        .column("short_at_face", |r| r.option.short_at_face.into())
        .on_page("wedges at the face short", Whole)
        .column("use_of_capacity", |r| r.option.use_of_capacity().into())
        .column("bolts_per_m", |r| r.option.bolts_per_m().into())
        .on_page("bolts a metre", Fixed(2))
        .on_terminal("bolts/m", Fixed(2))
        .column("drill_m_per_m", |r| r.option.drill_m_per_m().into())
        .on_page("drilled m a metre", Fixed(2))
        .column("minutes_per_m", |r| r.option.minutes_per_m().into())
        .on_page("min a metre", Fixed(1))
        .on_terminal("min/m", Fixed(1))
        .column("cost_per_m", |r| r.option.cost_per_m().into())
        .on_page(on_page, Fixed(0))
        .on_terminal(on_terminal, Fixed(0))
        // What stands at known chainages alone, all of it.
        .column("once_bolts", |r| r.option.once.as_ref().map(|o| o.bolts).into())
        .on_page("bolts at chainages, once", Whole)
        .column("once_minutes", |r| r.option.once.as_ref().map(|o| o.minutes).into())
        .column("once_cost", |r| r.option.once.as_ref().and_then(|o| o.cost).into())
        // Options that are no worse in margin, wedges short at the face, minutes and cost, and better in one.
        .column("dominated_by", |r| Cell::list(&r.option.dominated_by))
        .on_page_as("dominated by", Words, |r| {
            match (r.option.is_efficient(), r.option.dominated_by.is_empty()) {
                (true, _) => "none: efficient".into(),
                (false, true) => format!("none, but {}", verdict(r.option)).into(),
                (false, false) => Cell::list(&r.option.dominated_by),
            }
        })
        .only_shown("efficient", |r| Cell::YesNo(r.option.is_efficient()))
        .on_terminal("efficient", Words)
        .column("lacks", |r| Cell::Sentences(r.option.lacks.iter().map(lack_words).collect()))
        .column("changes", |r| Cell::Sentences(r.option.changes.iter().map(change_words).collect()))
}

/// What the page shows first.
pub(super) const ON_PAGE: [&str; 17] = [
    "number",
    "option",
    "verdict",
    "margin",
    "margin_wedge",
    "margin_as_drawn",
    "governing_wedge",
    "governing_fs",
    "fs_rotation",
    "gap_weight_kn",
    "screen_verdict",
    "short_wedges",
    "bolts_per_m",
    "drill_m_per_m",
    "minutes_per_m",
    "cost_per_m",
    "dominated_by",
];

/// What the page shows of the ground between the bolts, of stages and face.
pub(super) const BETWEEN: [&str; 8] = [
    "number",
    "screen_surface",
    "screen_wedge",
    "screen_weight_kn",
    "screen_capacity_kn",
    "screen_verdict_between",
    "short_in_stages",
    "short_at_face",
];

pub(super) const ON_TERMINAL: [&str; 10] = [
    "option",
    "margin_wedge",
    "verdict",
    "margin",
    "margin_as_drawn",
    "short_wedges",
    "bolts_per_m",
    "minutes_per_m",
    "cost_per_m",
    "efficient",
];
