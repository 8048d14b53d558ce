//! The page's section on a stretch as designed and as built.

use super::bolts::rejected_section;
use super::wedges::{ON_PAGE, as_built_wedge_table};
use super::words::{as_built_answer, as_built_lines};
use super::{compared, rings, spots};
use crate::case::Case;
use crate::report::paper::html::Html;
use crate::study::AsBuiltCheck;

/// The section; nothing where there is no such stretch.
pub(crate) fn section(body: &mut Html, case: &Case, found: Option<&AsBuiltCheck>) {
    let Some(found) = found else { return };
    body.heading("As built: what changed");
    body.paragraph(&as_built_answer(case, found));
    body.table(&as_built_wedge_table().page(&ON_PAGE, &found.wedges));
    body.list(as_built_lines(case, found).into_iter());
    compared::section(body, case, found);
    spots::section(body, case, found);
    rings::section(body, &found.rings);
    rejected_section(body, case);
}
