//! The wedges: wedges.csv, the page's table and the terminal's.

use super::cells::{marked, plunge_deg, trend_deg};
use crate::case::Case;
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::numbers::{factor, fixed};
use crate::report::paper::table::{Grid, Table};
use crate::study::{
    self, Check, CheckedWedge, Decided, DecidedBy, Gap, Installed, SharedFs, SizeCurve, Unjudged, Verdict,
    Whole,
};
use crate::support::none_works;

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub(super) struct WedgeRow<'a> {
    case: &'a Case,
    pub(super) wedge: &'a CheckedWedge,
    /// Of the wedge's three sets, among the triples of the case.
    meeting_probability: Option<f64>,
    shared: Option<&'a SharedFs>,
    curve: Option<&'a SizeCurve>,
}

impl<'a> WedgeRow<'a> {
    fn set_name(&self, index: usize) -> &'a str {
        &self.case.joints[self.wedge.wedge.sets[index]].name
    }

    fn slides_on(&self) -> impl Iterator<Item = &'a str> {
        let planes = self.wedge.wedge.stability.motion.mode.slides_on();
        planes.into_iter().map(|plane| self.set_name(plane))
    }

    /// Those of its sets that are mapped structures.
    fn structures(&self) -> impl Iterator<Item = &'a str> {
        (0..3).filter(|&i| self.case.is_structure(self.wedge.wedge.sets[i])).map(|i| self.set_name(i))
    }

    fn gap(&self) -> Option<&'a Gap> {
        self.curve.and_then(|c| c.gap.as_ref())
    }

    /// Its weight; of a wedge that is judged as it is, its own.
    fn deciding_weight_kn(&self) -> Option<f64> {
        let whole = self.wedge.decided.fs.map(|_| self.wedge.wedge.weight_kn);
        self.wedge.deciding_weight_kn().or(whole)
    }

    fn installed(&self) -> Option<&'a Installed> {
        self.wedge.found.installed.as_ref()
    }

    /// The mode, and what it slides on.
    fn movement(&self) -> String {
        let joints: Vec<&str> = self.slides_on().collect();
        let mode = self.wedge.wedge.stability.motion.mode.name();
        if joints.is_empty() { mode.to_owned() } else { format!("{mode} on {}", joints.join(", ")) }
    }
}

/// The wedges of a check, those at the face last.
pub(super) fn wedge_rows<'a>(case: &'a Case, whole: &'a Whole) -> Vec<WedgeRow<'a>> {
    let shared = &whole.beside.surface.shared;
    let meeting = study::meeting(case);
    let row = |wedge: &'a CheckedWedge| WedgeRow {
        case,
        wedge,
        meeting_probability: meeting.iter().find(|t| t.sets == wedge.wedge.sets).map(|t| t.probability),
        shared: shared.iter().find(|s| s.wedge == wedge.wedge.id),
        curve: whole.sizes.iter().find(|c| c.wedge == wedge.wedge.id),
    };
    whole.check.every().map(row).collect()
}

/// The columns; the README says what each means.
pub(super) fn wedge_table<'a>() -> Table<WedgeRow<'a>> {
    use Format::{Factor, Fixed, Kn, Volume, Whole, Words};
    Table::<WedgeRow<'a>>::new()
        .column("wedge", |r| (&r.wedge.wedge.id).into())
        .on_page("wedge", Words)
        .on_terminal("wedge", Words)
        .column("verdict", |r| r.wedge.decided.verdict.name().into())
        .on_page_as("verdict", Words, |r| marked(r.wedge.decided.verdict).into())
        .on_terminal("verdict", Words)
        .column("fs_deciding", |r| r.wedge.decided.fs.into())
        .on_page("FS that decides", Factor)
        .on_terminal("FS", Factor)
        .column("criterion", |r| r.wedge.decided.criterion_fs.into())
        .on_page("asked", Fixed(2))
        .on_terminal("asked", Fixed(2))
        .column("held_by", |r| Cell::list(r.wedge.decided.held_by.iter().map(|c| c.name())))
        .column("decided_by", |r| r.wedge.decided.by.map(|by| by.name()).into())
        .on_page_as("why", Words, |r| why(r.wedge).into())
        .on_terminal_as("why", Words, |r| why(r.wedge).into())
        // The piece that decides.
        .column("deciding_volume_m3", |r| r.wedge.decided.volume_m3.into())
        .on_page("of m³", Volume)
        .on_terminal("of m³", Volume)
        .column("deciding_weight_kn", |r| r.deciding_weight_kn().into())
        .on_page("kN", Kn)
        .on_terminal("kN", Kn)
        .column("deciding_bolts", |r| r.wedge.deciding_carrier().map(|(_, bolts)| bolts).into())
        .on_page("sure bolts", Whole)
        // Pieces under stress are asked one by one: nothing is proven of the others.
        .column("deciding_fs_at_least", |r| {
            let least = r.wedge.least_piece().filter(|_| r.wedge.decided.by != Some(DecidedBy::Stress));
            least.map(|l| l.fs_at_least).into()
        })
        .column("fs_as_drawn", |r| r.wedge.fs_as_drawn().into())
        .on_page("as drawn", Factor)
        .column("sets", |r| Cell::list((0..3).map(|i| r.set_name(i))))
        .column("joint_pyramid", |r| r.wedge.wedge.pyramid.code().into())
        .column("surfaces", |r| Cell::list(r.wedge.wedge.surfaces.iter().map(|s| s.name())))
        .on_page("surfaces", Words)
        .on_terminal("surfaces", Words)
        .column("mode", |r| r.wedge.wedge.stability.motion.mode.name().into())
        .on_page_as("mode", Words, |r| r.movement().into())
        .on_terminal("mode", Words)
        .column("slides_on", |r| Cell::list(r.slides_on()))
        .column("slide_trend_deg", |r| r.wedge.wedge.slide.and_then(trend_deg).into())
        .column("slide_plunge_deg", |r| r.wedge.wedge.slide.map(plunge_deg).into())
        .column("volume_m3", |r| r.wedge.wedge.shape.volume_m3.into())
        .on_page("largest m³", Volume)
        .on_terminal("largest m³", Volume)
        .column("weight_kn", |r| r.wedge.wedge.weight_kn.into())
        .on_page("its kN", Kn)
        .column("depth_m", |r| r.wedge.wedge.shape.depth_m.into())
        .on_page("depth m", Fixed(2))
        .column("length_m", |r| r.wedge.wedge.shape.length_m.into())
        .on_page("length m", Fixed(2))
        .column("opening_area_m2", |r| r.wedge.wedge.shape.opening_area_m2().into())
        .column("trace_m", |r| Cell::list(r.wedge.wedge.shape.joints.iter().map(|j| j.trace_m)))
        .column("limited_by", |r| Cell::list(r.wedge.wedge.limited_by.iter().map(|c| c.name())))
        .column("volume_uncapped_m3", |r| r.wedge.wedge.volume_uncapped_m3.into())
        .column("fs_bare", |r| r.wedge.found.fs_bare.into())
        .on_page("FS bare", Factor)
        .on_terminal("FS bare", Factor)
        .column("fs_bare_no_cohesion", |r| r.wedge.found.fs_bare_no_cohesion.into())
        .on_page("c = 0", Factor)
        .column("fs_bolted", |r| r.wedge.found.fs_bolted.into())
        .on_page("FS bolted, least", Factor)
        .column("fs_bolted_median", |r| r.wedge.found.fs_bolted_median.into())
        .on_page("median", Factor)
        .column("fs_tensioned", |r| r.wedge.found.fs_tensioned.into())
        .column("fs_rotation", |r| r.wedge.fs_with_moments().into())
        .on_page("moments", Factor)
        .column("fs_bolted_uncapped", |r| r.wedge.found.fs_bolted_uncapped.into())
        .column("bolts_serving", |r| r.wedge.serving().map(<[_]>::len).into())
        .on_page("bolts", Whole)
        .column("gap_volume_m3", |r| r.gap().map(|g| g.volume_m3).into())
        .column("gap_weight_kn", |r| r.gap().map(|g| g.weight_kn).into())
        // The worst placement: chainage (from the face, for a wedge there) and place in the section.
        .column("worst_apex_chainage_m", |r| r.wedge.worst_apex().map(|a| a.y).into())
        .column("worst_apex_u_m", |r| r.wedge.worst_apex().map(|a| a.x).into())
        .column("worst_apex_v_m", |r| r.wedge.worst_apex().map(|a| a.z).into())
        .column("note", |r| note(r.wedge).into())
        .column("meeting_probability", |r| r.meeting_probability.into())
        .column("fs_collar_tolerance", |r| r.installed().and_then(|i| i.fs_collar_tolerance).into())
        .column("fs_one_missing", |r| r.installed().and_then(|i| i.fs_one_missing).into())
        .column("fs_thinned_median", |r| r.installed().and_then(|i| i.thinned).map(|t| t.fs_median).into())
        .column("fs_thinned_low", |r| r.installed().and_then(|i| i.thinned).map(|t| t.fs_low).into())
        .column("thinned_short_share", |r| {
            r.installed().and_then(|i| i.thinned).map(|t| t.short_share).into()
        })
        // With surface support added once to the bolts; decides nothing.
        .column("surface_support_kn", |r| r.shared.map(|s| s.capacity_kn).into())
        .column("fs_with_surface", |r| r.shared.map(|s| s.fs).into())
        .column("hung_kn", |r| (!r.case.site.hung_loads.is_empty()).then_some(r.wedge.wedge.hung_kn).into())
        .column("structures", |r| Cell::list(r.structures()))
        // With the shear resistance of dowels instead of their axial share; decides nothing.
        .column("fs_dowel", |r| r.wedge.found.fs_dowel.into())
}

const ON_PAGE: [&str; 19] = [
    "wedge",
    "verdict",
    "fs_deciding",
    "criterion",
    "decided_by",
    "deciding_volume_m3",
    "deciding_weight_kn",
    "deciding_bolts",
    "fs_as_drawn",
    "surfaces",
    "mode",
    "volume_m3",
    "weight_kn",
    "depth_m",
    "length_m",
    "fs_bare",
    "fs_bolted",
    "fs_bolted_median",
    "fs_rotation",
];

const ON_TERMINAL: [&str; 10] = [
    "wedge",
    "verdict",
    "fs_deciding",
    "criterion",
    "decided_by",
    "deciding_volume_m3",
    "deciding_weight_kn",
    "surfaces",
    "mode",
    "volume_m3",
];

/// Why a wedge is not judged, in a word or two.
pub(in crate::report) fn unjudged_words(why: Unjudged) -> &'static str {
    match why {
        Unjudged::NoSurfaceSupport => "no screen",
        Unjudged::TooLong => "too long",
        Unjudged::BelowJudgedGround => "left out",
        Unjudged::Open => "search open",
        Unjudged::StressNotFound => "stress not found",
    }
}

/// What carries it, or what makes it short, or why it is not judged: `bolts`, `bolts, moments`.
pub(super) fn why(wedge: &CheckedWedge) -> String {
    let Decided { verdict, by, held_by, unjudged, .. } = &wedge.decided;
    match (verdict, unjudged) {
        (Verdict::Held, _) if wedge.decided.criterion_fs.is_none() => "no motion".into(),
        (Verdict::Held, _) => {
            let all: Vec<&str> = held_by.iter().map(|c| c.name()).collect();
            all.join(", ")
        }
        (_, Some(why)) => unjudged_words(*why).into(),
        (_, None) => {
            let carrier = if *by == Some(DecidedBy::Stress) {
                wedge.under_stress().and_then(|under| under.least.as_ref()).map(|least| least.carrier)
            } else {
                wedge.deciding_carrier().map(|(carrier, _)| carrier)
            };
            let by = by.map(|by| by.name()).unwrap_or_default();
            match carrier {
                Some(carrier) if carrier.name() != by => format!("{}, {by}", carrier.name()),
                _ => by.to_owned(),
            }
        }
    }
}

/// The terminal's table.
pub(super) fn on_terminal(rows: &[WedgeRow<'_>]) -> Grid {
    wedge_table().terminal(&ON_TERMINAL, rows)
}

/// What is said of a wedge that no bolt crosses.
pub(super) const NO_BOLT: &str = "no bolt crosses it at its worst placement";

/// What is said of a wedge whose bolts carry nothing.
pub(super) const IDLE_BOLTS: &str = "the bolts that cross it at its worst placement carry nothing: their anchors do not sit beyond the joint, their pull goes with the movement, or it would open the joints it slides on";

/// Stands behind the factor of a wedge that no bolt crosses.
pub(super) const UNCROSSED: &str = "*";
/// Stands behind the factor of a wedge whose bolts carry nothing.
pub(super) const IDLE: &str = "†";

/// The mark behind its factor on the terminal; empty where its bolts work.
pub(super) fn bolt_mark(wedge: &CheckedWedge) -> &'static str {
    match wedge.serving() {
        Some([]) => UNCROSSED,
        Some(serving) if none_works(serving) => IDLE,
        _ => "",
    }
}

/// What is worth saying of a wedge besides its numbers.
fn note(wedge: &CheckedWedge) -> Option<&'static str> {
    match bolt_mark(wedge) {
        UNCROSSED => Some(NO_BOLT),
        IDLE => Some(IDLE_BOLTS),
        _ => None,
    }
}

/// Rows of the table that a sheet of paper has room for under the section.
const ON_PAPER: usize = 22;

/// Columns of the page that paper has no room for, by their headings.
const BEYOND_PAPER: [&str; 5] = ["its kN", "depth m", "length m", "FS bolted, least", "median"];

/// The page's section.
pub(super) fn section(body: &mut Html, check: &Check, rows: &[WedgeRow<'_>]) {
    body.heading("Wedges");
    let grid = wedge_table().page(&ON_PAGE, &as_read(rows, check));
    let has_column = |heading: &str| !BEYOND_PAPER.contains(&heading);
    body.table_on_paper(&grid, &|index| index < ON_PAPER, &has_column);
    if rows.len() > ON_PAPER {
        body.on_paper(&format!(
            "{ON_PAPER} of {} wedges stand here, those that matter most; all stand in wedges.csv and on the screen.",
            rows.len()
        ));
    }
    body.on_paper("Depth, length and weight of the largest wedge and its factors with bolts are on the screen, in wedges.csv and on the calculation sheets.");
    body.paragraph("Factors are rounded down. The FS that decides is that of the piece of the wedge's pyramid that is carried least, of any size and at any place, by the best of joints, bolts, screen and shotcrete; a falling one with forces and moments in balance. As drawn: the same with every collar exactly in its place. The other factors are those of the largest wedge, collars as drawn: least over all placements, median (half of the positions are better). Moments: forces and moments of the piece that decides, joints without friction.");
}

/// The rows as people read them, what matters most first: what is short, in the drive and then at the face, by the
/// force that it lacks; what nobody judged; what is held, by how near it comes to what is asked; what is left out;
/// what does not move. Files keep the order of the joints.
fn as_read<'a>(rows: &[WedgeRow<'a>], check: &Check) -> Vec<WedgeRow<'a>> {
    let at_face = |row: &WedgeRow<'_>| check.face.iter().any(|w| std::ptr::eq(w, row.wedge));
    let rank = |row: &WedgeRow<'_>| {
        let decided = &row.wedge.decided;
        match decided.verdict {
            Verdict::Short if at_face(row) => 1,
            Verdict::Short => 0,
            Verdict::NotJudged if !decided.is_left_out() => 2,
            _ if decided.criterion_fs.is_none() => 5,
            Verdict::NotJudged => 4,
            Verdict::Held => 3,
        }
    };
    let lacking = |row: &WedgeRow<'_>| row.wedge.force_lacking_kn();
    let margin = |row: &WedgeRow<'_>| row.wedge.decided.margin();
    let mut rows = rows.to_vec();
    rows.sort_by(|a, b| {
        rank(a)
            .cmp(&rank(b))
            .then_with(|| lacking(b).total_cmp(&lacking(a)))
            .then_with(|| margin(a).total_cmp(&margin(b)))
    });
    rows
}

/// What is to be said of single wedges; nothing where nothing is.
pub(super) fn remarks_section(body: &mut Html, check: &Check, rows: &[WedgeRow<'_>]) {
    let mut notes: Vec<String> = rows.iter().flat_map(|row| remarks(row.wedge)).collect();
    notes.extend(left_out(check));
    if !notes.is_empty() {
        body.heading("Wedges one by one");
        body.list(notes.into_iter());
    }
}

/// How many wedges were too small to list.
pub(super) fn left_out(check: &Check) -> Option<String> {
    (check.left_out > 0).then(|| format!("Removable wedges below 1 litre, left out: {}.", check.left_out))
}

/// What stands below the page's table of one wedge.
fn remarks(wedge: &CheckedWedge) -> Vec<String> {
    let id = &wedge.wedge.id;
    let mut said = Vec::new();
    if !wedge.wedge.limited_by.is_empty() {
        let caps: Vec<&str> = wedge.wedge.limited_by.iter().map(|c| c.name()).collect();
        let uncapped = match wedge.found.fs_bolted_uncapped {
            Some(fs) if fs.is_finite() => format!(", where its FS with bolts would be {}", factor(fs)),
            _ => String::new(),
        };
        said.push(format!(
            "{id} is capped by {}: {} m³ instead of {} m³{uncapped}.",
            caps.join(", "),
            fixed(wedge.wedge.shape.volume_m3, 3),
            fixed(wedge.wedge.volume_uncapped_m3, 3),
        ));
    }
    if let Some(note) = note(wedge) {
        said.push(format!("{id}: {note}."));
    }
    if let Some(tensioned) = wedge.found.fs_tensioned {
        let fs = factor(tensioned);
        said.push(format!("{id}: with the tension as a load instead FS is {fs}; it decides nothing."));
    }
    if let Some(dowel) = wedge.found.fs_dowel {
        said.push(format!(
            "{id}: with the shear resistance of dowels instead of their axial share FS is {}; it decides nothing.",
            factor(dowel)
        ));
    }
    said
}
