//! The wedges: wedges.csv, the page's table and the terminal's.

use super::cells::{marked, plunge_deg, trend_deg};
use crate::case::Case;
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::numbers::{factor, fixed};
use crate::report::paper::table::{Grid, Table};
use crate::study::{self, Check, CheckedWedge, Governing, Installed, SharedFs};
use crate::support::none_works;

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub(super) struct WedgeRow<'a> {
    case: &'a Case,
    pub(super) wedge: &'a CheckedWedge,
    /// Of the wedge's three sets, among the triples of the case.
    meeting_probability: Option<f64>,
    shared: Option<&'a SharedFs>,
}

impl<'a> WedgeRow<'a> {
    fn set_name(&self, index: usize) -> &'a str {
        &self.case.joints[self.wedge.sets[index]].name
    }

    fn slides_on(&self) -> impl Iterator<Item = &'a str> {
        let planes = self.wedge.stability.motion.mode.slides_on();
        planes.into_iter().map(|plane| self.set_name(plane))
    }

    /// Those of its sets that are mapped structures.
    fn structures(&self) -> impl Iterator<Item = &'a str> {
        (0..3).filter(|&i| self.case.is_structure(self.wedge.sets[i])).map(|i| self.set_name(i))
    }

    fn governing(&self) -> Option<&'a Governing> {
        self.wedge.governing.as_ref()
    }

    fn installed(&self) -> Option<&'a Installed> {
        self.wedge.installed.as_ref()
    }

    /// The mode, and what it slides on.
    fn movement(&self) -> String {
        let joints: Vec<&str> = self.slides_on().collect();
        let mode = self.wedge.stability.motion.mode.name();
        if joints.is_empty() { mode.to_owned() } else { format!("{mode} on {}", joints.join(", ")) }
    }

    fn is_capped(&self) -> bool {
        !self.wedge.limited_by.is_empty()
    }

    /// Volume and factor without caps; nothing where none binds.
    fn uncapped(&self) -> String {
        let volume_m3 = self.wedge.volume_uncapped_m3;
        match self.wedge.fs_bolted_uncapped {
            _ if !self.is_capped() => String::new(),
            Some(fs) => format!("{volume_m3:.2}/{}", factor(fs)),
            None => format!("{volume_m3:.2}"),
        }
    }
}

/// The wedges of a check, those at the face last.
pub(super) fn wedge_rows<'a>(case: &'a Case, check: &'a Check, shared: &'a [SharedFs]) -> Vec<WedgeRow<'a>> {
    let meeting = study::meeting(case);
    let row = |wedge: &'a CheckedWedge| WedgeRow {
        case,
        wedge,
        meeting_probability: meeting.iter().find(|t| t.sets == wedge.sets).map(|t| t.probability),
        shared: shared.iter().find(|s| s.wedge == wedge.id),
    };
    check.every().map(row).collect()
}

/// The columns; the README says what each means.
pub(super) fn wedge_table<'a>() -> Table<WedgeRow<'a>> {
    use Format::{Factor, Fixed, Whole, Words};
    Table::<WedgeRow<'a>>::new()
        .column("wedge", |r| (&r.wedge.id).into())
        .on_page("wedge", Words)
        .on_terminal("wedge", Words)
        .column("sets", |r| Cell::list((0..3).map(|i| r.set_name(i))))
        .column("joint_pyramid", |r| r.wedge.pyramid.code().into())
        .column("surfaces", |r| Cell::list(r.wedge.surfaces.iter().map(|s| s.name())))
        .on_page("surfaces", Words)
        .on_terminal("surfaces", Words)
        .column("mode", |r| r.wedge.stability.motion.mode.name().into())
        .on_page_as("mode", Words, |r| r.movement().into())
        .on_terminal("mode", Words)
        .column("slides_on", |r| Cell::list(r.slides_on()))
        .column("slide_trend_deg", |r| r.wedge.slide.and_then(trend_deg).into())
        .column("slide_plunge_deg", |r| r.wedge.slide.map(plunge_deg).into())
        .column("volume_m3", |r| r.wedge.shape.volume_m3.into())
        .on_page("volume m³", Fixed(3))
        .on_terminal("m³", Fixed(3))
        .column("weight_kn", |r| r.wedge.weight_kn.into())
        .on_page("weight kN", Fixed(2))
        .on_terminal("kN", Fixed(2))
        .column("depth_m", |r| r.wedge.shape.depth_m.into())
        .on_page("depth m", Fixed(2))
        .column("length_m", |r| r.wedge.shape.length_m.into())
        .on_page("length m", Fixed(2))
        .column("opening_area_m2", |r| r.wedge.shape.opening_area_m2().into())
        .column("trace_m", |r| Cell::list(r.wedge.shape.joints.iter().map(|j| j.trace_m)))
        .column("limited_by", |r| Cell::list(r.wedge.limited_by.iter().map(|c| c.name())))
        .column("volume_uncapped_m3", |r| r.wedge.volume_uncapped_m3.into())
        .on_terminal_as("uncapped m³/FS", Words, |r| r.uncapped().into())
        .column("fs_bare", |r| r.wedge.fs_bare.into())
        .on_page("FS bare", Factor)
        .on_terminal("FS bare", Factor)
        .column("fs_bare_no_cohesion", |r| r.wedge.fs_bare_no_cohesion.into())
        .on_page("c = 0", Factor)
        .column("fs_bolted", |r| r.wedge.fs_bolted.into())
        .on_page("FS bolted, least", Factor)
        .on_terminal_as("FS bolted", Factor, |r| {
            r.wedge.fs_bolted.map(|fs| factor(fs) + bolt_mark(r.wedge)).into()
        })
        .column("fs_bolted_median", |r| r.wedge.fs_bolted_median.into())
        .on_page("median", Factor)
        .column("fs_tensioned", |r| r.wedge.fs_tensioned.into())
        .column("fs_rotation", |r| r.wedge.fs_rotation.into())
        .on_page("FS rotation", Factor)
        .column("fs_bolted_uncapped", |r| r.wedge.fs_bolted_uncapped.into())
        .column("bolts_serving", |r| r.wedge.serving().map(<[_]>::len).into())
        .on_page("bolts", Whole)
        .column("criterion", |r| r.wedge.criterion_fs.into())
        .on_page("asked", Fixed(2))
        .on_terminal("asked", Fixed(2))
        .column("verdict", |r| r.wedge.verdict.name().into())
        .on_page_as("verdict", Words, |r| marked(r.wedge.verdict).into())
        .on_terminal("verdict", Words)
        .column("volume_governing_m3", |r| r.governing().map(|g| g.size.volume_m3).into())
        .column("fs_governing", |r| r.governing().map(|g| g.size.fs_bolted).into())
        .column("gap_volume_m3", |r| r.governing().and_then(|g| g.gap).map(|g| g.0).into())
        .column("gap_weight_kn", |r| r.governing().and_then(|g| g.gap).map(|g| g.1).into())
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
        .column("fs_governing_with_surface", |r| r.shared.and_then(|s| s.fs_governing).into())
        .column("hung_kn", |r| (!r.case.site.hung_loads.is_empty()).then_some(r.wedge.hung_kn).into())
        .column("structures", |r| Cell::list(r.structures()))
        // With the shear resistance of dowels instead of their axial share; decides nothing.
        .column("fs_dowel", |r| r.wedge.fs_dowel.into())
}

const ON_PAGE: [&str; 15] = [
    "wedge",
    "verdict",
    "surfaces",
    "mode",
    "volume_m3",
    "weight_kn",
    "depth_m",
    "length_m",
    "fs_bare",
    "fs_bare_no_cohesion",
    "fs_bolted",
    "fs_bolted_median",
    "fs_rotation",
    "criterion",
    "bolts_serving",
];

/// The last one only where some wedge is capped.
const ON_TERMINAL: [&str; 10] = [
    "wedge",
    "surfaces",
    "mode",
    "volume_m3",
    "weight_kn",
    "fs_bare",
    "fs_bolted",
    "criterion",
    "verdict",
    "volume_uncapped_m3",
];

/// The terminal's table.
pub(super) fn on_terminal(rows: &[WedgeRow<'_>]) -> Grid {
    let capped = rows.iter().any(WedgeRow::is_capped);
    let names = if capped { &ON_TERMINAL[..] } else { &ON_TERMINAL[..ON_TERMINAL.len() - 1] };
    wedge_table().terminal(names, rows)
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

/// The page's section.
pub(super) fn section(body: &mut Html, check: &Check, rows: &[WedgeRow<'_>]) {
    body.heading("Wedges");
    body.table(&wedge_table().page(&ON_PAGE, rows));
    let mut notes: Vec<String> = rows.iter().flat_map(|row| remarks(row.wedge)).collect();
    notes.extend(left_out(check));
    notes.push("Factors are rounded down. Least: over all placements of the wedge between the bolts; median: half of the positions are better. FS rotation: the least load factor with forces and moments in balance and joints without friction, at its own worst placement; the lower one decides for a falling wedge, for a sliding one it stands beside.".into());
    body.list(notes.into_iter());
}

/// How many wedges were too small to list.
pub(super) fn left_out(check: &Check) -> Option<String> {
    (check.left_out > 0).then(|| format!("Removable wedges below 1 litre, left out: {}.", check.left_out))
}

/// What stands below the page's table of one wedge.
fn remarks(wedge: &CheckedWedge) -> Vec<String> {
    let id = &wedge.id;
    let mut said = Vec::new();
    if !wedge.limited_by.is_empty() {
        let caps: Vec<&str> = wedge.limited_by.iter().map(|c| c.name()).collect();
        let uncapped = match wedge.fs_bolted_uncapped {
            Some(fs) if fs.is_finite() => format!(", where its FS with bolts would be {}", factor(fs)),
            _ => String::new(),
        };
        said.push(format!(
            "{id} is capped by {}: {} m³ instead of {} m³{uncapped}.",
            caps.join(", "),
            fixed(wedge.shape.volume_m3, 3),
            fixed(wedge.volume_uncapped_m3, 3),
        ));
    }
    if let Some(note) = note(wedge) {
        said.push(format!("{id}: {note}."));
    }
    if let Some(tensioned) = wedge.fs_tensioned {
        let fs = factor(tensioned);
        said.push(format!("{id}: with the tension as a load instead FS is {fs}; it decides nothing."));
    }
    if let Some(dowel) = wedge.fs_dowel {
        said.push(format!(
            "{id}: with the shear resistance of dowels instead of their axial share FS is {}; it decides nothing.",
            factor(dowel)
        ));
    }
    said
}
