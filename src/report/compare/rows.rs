use serde::Serialize;

use super::words::lack_words;
use crate::case::Change;
use crate::opening::Surface;
use crate::report::paper::numbers::Number;
use crate::study::{Compared, Comparison, LackOf};

/// A row of compare.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct CompareRow {
    /// What the option is called.
    pub option: String,
    /// `held` where everything that is asked is held, `short`, or `not judged`.
    pub verdict: String,
    /// Least ratio of factor of safety to what is asked.
    pub margin: Number,
    /// What has that ratio: `falling`, `sliding`, `rotation`, `screen`, a stage.
    pub margin_of: Option<String>,
    /// The wedge that has it.
    pub margin_wedge: Option<String>,
    /// The wedge nearest to its criterion.
    pub governing_wedge: Option<String>,
    /// Its surfaces.
    pub governing_surfaces: Option<String>,
    /// Its deciding factor.
    pub governing_fs: Option<Number>,
    /// What is asked of it.
    pub governing_criterion: Option<Number>,
    /// Least factor in the back.
    pub fs_back: Option<Number>,
    /// Median over placements of that wedge.
    pub fs_back_median: Option<Number>,
    /// Least factor on the left wall.
    pub fs_left_wall: Option<Number>,
    /// Median over placements of that wedge.
    pub fs_left_wall_median: Option<Number>,
    /// Least factor on the right wall.
    pub fs_right_wall: Option<Number>,
    /// Median over placements of that wedge.
    pub fs_right_wall_median: Option<Number>,
    /// Least load factor of falling wedges with moments in balance.
    pub fs_rotation: Option<Number>,
    /// The heaviest wedge between the bolts.
    pub gap_wedge: Option<String>,
    /// Its volume, cubic metres.
    pub gap_volume_m3: Option<Number>,
    /// Its weight, kN.
    pub gap_weight_kn: Option<Number>,
    /// The piece that leaves the surface support the least margin.
    pub screen_wedge: Option<String>,
    /// Its weight, kN.
    pub screen_weight_kn: Option<Number>,
    /// What the surface support carries of it, kN.
    pub screen_capacity_kn: Option<Number>,
    /// What is said of it.
    pub screen_verdict: Option<String>,
    /// Wedges of the drive that are short.
    pub short_wedges: usize,
    /// Wedges of the drive that are not judged.
    pub not_judged_wedges: usize,
    /// Pieces that are too much for the surface support.
    pub short_screen: usize,
    /// Rows of stages that are short though bolts can meet them.
    pub short_in_stages: usize,
    /// Wedges at the face that are short; they decide nothing here.
    pub short_at_face: usize,
    /// Greatest force needed over force provided.
    pub use_of_capacity: Option<Number>,
    /// Bolts a metre of drive.
    pub bolts_per_m: Number,
    /// Metres of bolt holes a metre of drive.
    pub drill_m_per_m: Number,
    /// Minutes at the work a metre of drive.
    pub minutes_per_m: Option<Number>,
    /// Cost a metre of drive.
    pub cost_per_m: Option<Number>,
    /// Options that are no worse in margin, minutes and cost, and better in one.
    pub dominated_by: String,
    /// What it lacks.
    pub lacks: String,
    /// What differs from the case as it stands.
    pub changes: String,
}

/// `pattern[1].ring_spacing_m: 1.2 -> 1.5`
pub(super) fn change_words(change: &Change) -> String {
    let or_none = |value: &Option<String>| value.clone().unwrap_or_else(|| "none".to_owned());
    format!("{}: {} -> {}", change.key, or_none(&change.from), or_none(&change.to))
}

/// What is said of the whole of an option.
pub(in crate::report) fn verdict(option: &Compared) -> &'static str {
    if option.holds() {
        "held"
    } else if option.lacks.iter().all(|l| l.of == LackOf::NotJudged) {
        "not judged"
    } else {
        "short"
    }
}

/// The rows of compare.csv, in the order of the options.
#[must_use]
pub fn compare_rows(comparison: &Comparison) -> Vec<CompareRow> {
    comparison.options.iter().map(row).collect()
}

fn row(option: &Compared) -> CompareRow {
    let on = |surface: Surface| option.surfaces.iter().find(|s| s.surface == surface);
    let least = |surface| on(surface).map(|s| Number(s.least_fs));
    let median = |surface| on(surface).and_then(|s| s.median_fs).map(Number);
    let governing = option.governing.as_ref();
    let names = |surfaces: &[Surface]| surfaces.iter().map(|s| s.name()).collect::<Vec<_>>().join("|");
    let screen = option.screen.as_ref();
    let gap = option.gap.as_ref();
    CompareRow {
        option: option.name.clone(),
        verdict: verdict(option).to_owned(),
        margin: option.margin.into(),
        margin_of: option.tightest.as_ref().map(|t| t.of.words()),
        margin_wedge: option.tightest.as_ref().map(|t| t.wedge.clone()),
        governing_wedge: governing.map(|g| g.wedge.clone()),
        governing_surfaces: governing.map(|g| names(&g.surfaces)),
        governing_fs: governing.map(|g| Number(g.fs)),
        governing_criterion: governing.map(|g| Number(g.asked_fs)),
        fs_back: least(Surface::Back),
        fs_back_median: median(Surface::Back),
        fs_left_wall: least(Surface::LeftWall),
        fs_left_wall_median: median(Surface::LeftWall),
        fs_right_wall: least(Surface::RightWall),
        fs_right_wall_median: median(Surface::RightWall),
        fs_rotation: option.least_rotation_fs.map(Number),
        gap_wedge: gap.map(|g| g.0.clone()),
        gap_volume_m3: gap.map(|g| Number(g.1)),
        gap_weight_kn: gap.map(|g| Number(g.2)),
        screen_wedge: screen.map(|s| s.wedge.clone()),
        screen_weight_kn: screen.map(|s| Number(s.weight_kn)),
        screen_capacity_kn: screen.and_then(|s| s.capacity_kn).map(Number),
        screen_verdict: screen.map(|s| s.verdict.name().to_owned()),
        short_wedges: option.short,
        not_judged_wedges: option.not_judged,
        short_screen: option.short_screen,
        short_in_stages: option.short_in_stages,
        short_at_face: option.short_at_face,
        use_of_capacity: option.use_of_capacity().map(Number),
        bolts_per_m: option.bolts_per_m().into(),
        drill_m_per_m: option.drill_m_per_m().into(),
        minutes_per_m: option.minutes_per_m().map(Number),
        cost_per_m: option.cost_per_m().map(Number),
        dominated_by: option.dominated_by.join("|"),
        lacks: option.lacks.iter().map(lack_words).collect::<Vec<_>>().join("; "),
        changes: option.changes.iter().map(change_words).collect::<Vec<_>>().join("; "),
    }
}
