//! What the terminal says of a check below the answer.

use super::answer::{besides, not_judged};
use super::as_built::compared::since_words;
use super::as_built::words::doubtful_fits;
use super::changes::change_lines;
use super::inputs::scan::scan_lines;
use super::installed::one_missing;
use super::outputs::Outputs;
use super::scan_along::scan_along_lines;
use super::sizes::words::unbolted_ground;
use super::stress::is_harm;
use super::structures::located_lines;
use super::wedges::{self, left_out, wedge_rows};
use crate::report::paper::numbers::{factor, kn};
use crate::report::paper::table::Grid;
use crate::report::words::NO_SOURCE;
use crate::study::{Check, Verdict, Whole, lowest_rows};

impl Outputs<'_> {
    /// The table of wedges; `None` where there are none.
    pub(crate) fn terminal_table(&self) -> Option<Grid> {
        let rows = wedge_rows(self.case, self.whole);
        (!rows.is_empty()).then(|| wedges::on_terminal(&rows))
    }

    /// What stands below the table, a line each.
    pub(crate) fn terminal_lines(&self) -> Vec<String> {
        let Whole { check, sizes, beside, .. } = self.whole;
        let case = self.case;
        let since = self.whole.as_built.as_ref().and_then(|found| since_words(case, found));
        let mut lines: Vec<String> = since.into_iter().chain(self.below_the_answer()).collect();
        if let Some(changes) = self.mending {
            lines.extend(change_lines(case, changes));
        }
        lines.extend(short(check));
        lines.extend(besides(case, self.whole));
        lines.extend(located_lines(case, check));
        lines.extend(unbolted_ground(sizes));
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
        lines.extend(scan_along_lines(&self.whole.scan_along));
        lines.extend(lowest_rows(case, &check.layouts).iter().map(|row| format!("Note: {row}.")));
        lines.extend(self.whole.as_built.iter().flat_map(doubtful_fits).map(|fit| format!("Note: {fit}")));
        let notes = check.warnings.iter().filter(|w| !is_harm(w));
        lines.extend(notes.map(|w| format!("Note: {w}.")));
        lines.push(not_judged(case, check));
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
