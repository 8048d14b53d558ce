//! What the terminal says of a check below the answer.

use super::inputs::scan::scan_lines;
use super::installed::{off_their_place, one_missing};
use super::outputs::Outputs;
use super::pieces::piece_lines;
use super::sizes::words::unbolted_ground;
use super::structures::located_lines;
use super::wedges::{self, IDLE, IDLE_BOLTS, NO_BOLT, UNCROSSED, bolt_mark, left_out, wedge_rows};
use crate::report::paper::numbers::{factor, kn, volume};
use crate::report::paper::table::Grid;
use crate::report::words::NO_SOURCE;
use crate::study::{Check, CheckedWedge, Verdict, Whole, lowest_rows};

impl Outputs<'_> {
    /// The table of wedges; `None` where there are none.
    pub(crate) fn terminal_table(&self) -> Option<Grid> {
        let rows = wedge_rows(self.case, &self.whole.check, &self.whole.beside.surface.shared);
        (!rows.is_empty()).then(|| wedges::on_terminal(&rows))
    }

    /// What stands below the table, a line each.
    pub(crate) fn terminal_lines(&self) -> Vec<String> {
        let Whole { check, sizes, beside, .. } = self.whole;
        let case = self.case;
        let mut lines = Vec::new();
        lines.extend(piece_lines(check, &beside.pieces));
        lines.extend(short(check));
        let marked = |mark: &str| check.every().any(|w| bolt_mark(w) == mark);
        if marked(UNCROSSED) {
            lines.push(format!("{UNCROSSED} {NO_BOLT}."));
        }
        lines.extend(check.wedges.iter().filter(|w| w.rotation_decides()).filter_map(rotation));
        if marked(IDLE) {
            lines.push(format!("{IDLE} {IDLE_BOLTS}."));
        }
        lines.extend(check.wedges.iter().filter_map(smaller_size));
        lines.extend(located_lines(case, check));
        lines.extend(unbolted_ground(sizes));
        lines.extend(off_their_place(case, check));
        lines.extend(one_missing(check));
        lines.extend(left_out(check));
        let bolts = case.bolts.iter().map(|bolt| (&bolt.name, &bolt.source));
        let supports = case.surface_support.iter().map(|support| (&support.name, &support.source));
        for (name, source) in bolts.chain(supports) {
            lines.push(format!("Capacities of {name}: {}.", source.as_deref().unwrap_or(NO_SOURCE)));
        }
        let is_short =
            |id: &str| check.wedges.iter().any(|w| w.wedge.id == id && w.decided.verdict == Verdict::Short);
        for shared in beside.surface.shared.iter().filter(|s| s.capacity_kn > 0.0 && is_short(&s.wedge)) {
            lines.push(format!(
                "{}: with surface support added once to the bolts FS {}; it decides nothing.",
                shared.wedge,
                factor(shared.fs)
            ));
        }
        lines.extend(scan_lines(case));
        lines.extend(lowest_rows(case, &check.layouts).iter().map(|row| format!("Note: {row}.")));
        lines.extend(check.warnings.iter().map(|w| format!("Note: {w}.")));
        lines
    }
}

/// Which wedges are short, and by how much; `None` where none is.
fn short(check: &Check) -> Option<String> {
    let lacking: Vec<String> = check
        .every()
        .filter(|w| w.decided.verdict == Verdict::Short)
        .map(|w| format!("{} by {} kN", w.wedge.id, kn(w.force_lacking_kn())))
        .collect();
    (!lacking.is_empty()).then(|| format!("Short: {}.", lacking.join(", ")))
}

fn rotation(wedge: &CheckedWedge) -> Option<String> {
    let fs = factor(wedge.found.fs_rotation?);
    Some(format!("{}: with moments in balance FS {fs}: its bolts stand off its centre.", wedge.wedge.id))
}

/// A smaller size that decides; where moments or collars off their place give less, no size does.
fn smaller_size(wedge: &CheckedWedge) -> Option<String> {
    let size = wedge.smaller_that_decides()?;
    Some(format!(
        "{}: FS {} at {} m³ decides, a smaller wedge than the largest.",
        wedge.wedge.id,
        factor(size.fs_bolted),
        volume(size.volume_m3)
    ))
}
