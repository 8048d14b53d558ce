//! Prisms of two sets: prisms.csv and the page's table.

use super::cells::{marked, plunge_deg, trend_deg};
use crate::case::Case;
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::numbers::{factor, fixed, kn};
use crate::report::paper::table::Table;
use crate::report::words::surface_words;
use crate::study::{Beside, CheckedPrism, Verdict};

/// A row of the table.
#[derive(Debug, Clone, Copy)]
pub(super) struct PrismRow<'a> {
    case: &'a Case,
    prism: &'a CheckedPrism,
}

impl<'a> PrismRow<'a> {
    fn set_name(&self, index: usize) -> &'a str {
        &self.case.joints[self.prism.sets[index]].name
    }

    fn slides_on(&self) -> impl Iterator<Item = &'a str> {
        let planes = self.prism.stability.motion.mode.slides_on();
        planes.into_iter().map(|plane| self.set_name(plane))
    }

    /// Which side of each joint it lies on: 1 is below.
    fn code(&self) -> String {
        self.prism.lower.iter().map(|&lower| if lower { '1' } else { '0' }).collect()
    }
}

/// The prisms of a check.
pub(super) fn prism_rows<'a>(case: &'a Case, prisms: &'a [CheckedPrism]) -> Vec<PrismRow<'a>> {
    prisms.iter().map(|prism| PrismRow { case, prism }).collect()
}

/// The columns; the README says what each means.
pub(super) fn prism_table<'a>() -> Table<PrismRow<'a>> {
    use Format::{Factor, Fixed, Kn, Whole, Words};
    Table::<PrismRow<'a>>::new()
        .column("prism", |r| (&r.prism.id).into())
        .on_page("prism", Words)
        .column("sets", |r| Cell::list((0..2).map(|i| r.set_name(i))))
        .column("joint_pyramid", |r| r.code().into())
        .column("surfaces", |r| Cell::list(r.prism.surfaces.iter().map(|s| s.name())))
        .on_page("surfaces", Words)
        .column("mode", |r| r.prism.stability.motion.mode.name().into())
        .on_page("mode", Words)
        .column("slides_on", |r| Cell::list(r.slides_on()))
        .on_page_as("slides on", Words, |r| Cell::list(r.slides_on()).csv().into_owned().into())
        .column("slide_trend_deg", |r| trend_deg(r.prism.slide).into())
        .column("slide_plunge_deg", |r| plunge_deg(r.prism.slide).into())
        .column("off_axis_deg", |r| r.prism.off_axis_deg.into())
        .on_page("line off axis °", Fixed(1))
        .column("length_m", |r| r.prism.length_m.into())
        .on_page("length m", Fixed(2))
        .column("area_m2", |r| r.prism.area_m2.into())
        .on_page("section m²", Fixed(3))
        .column("area_uncapped_m2", |r| r.prism.area_uncapped_m2.into())
        .on_page("without caps m²", Fixed(3))
        .column("limited_by", |r| Cell::list(r.prism.limited_by.iter().map(|c| c.name())))
        .column("weight_kn_per_m", |r| r.prism.weight_kn_per_m.into())
        .on_page("kN per m", Kn)
        .column("depth_m", |r| r.prism.depth_m.into())
        .on_page("depth m", Fixed(2))
        .column("width_m", |r| r.prism.width_m.into())
        .column("fs_bare", |r| r.prism.fs_bare.into())
        .on_page("FS bare", Factor)
        .column("fs_bolted", |r| r.prism.fs_bolted.into())
        .on_page("FS bolted", Factor)
        .column("bolts_serving", |r| r.prism.bolts_serving.into())
        .on_page("bolts", Whole)
        .column("criterion", |r| r.prism.criterion_fs.into())
        .on_page("asked", Fixed(2))
        .column("verdict", |r| r.prism.verdict.name().into())
        .on_page_as("verdict", Words, |r| marked(r.prism.verdict).into())
}

const ON_PAGE: [&str; 15] = [
    "prism",
    "verdict",
    "surfaces",
    "mode",
    "slides_on",
    "off_axis_deg",
    "length_m",
    "area_m2",
    "area_uncapped_m2",
    "weight_kn_per_m",
    "depth_m",
    "fs_bare",
    "fs_bolted",
    "criterion",
    "bolts_serving",
];

/// The page's section; nothing without prisms.
pub(super) fn section(body: &mut Html, rows: &[PrismRow<'_>]) {
    if rows.is_empty() {
        return;
    }
    body.heading("Two sets alone: prisms along the drive, both ends released");
    body.table(&prism_table().page(&ON_PAGE, rows));
    body.paragraph("Assumed: cross joints or the face release both ends, without strength; a round long, or shorter where a cap says so. Sections taper where the line of the two joints is off the axis; the widest one is taken for the whole length, and further off than 10° none is judged as held by bolts, since narrower sections may miss some. Only the largest is judged, with as few rings as any place along the drive leaves it.");
}

/// Prisms that nothing is said of, though their joints alone do not hold them.
fn unjudged_prisms(beside: &Beside) -> Option<String> {
    let unjudged = beside.prisms.iter().filter(|p| p.verdict == Verdict::NotJudged);
    let heaviest =
        unjudged.clone().reduce(|a, b| if b.weight_kn_per_m > a.weight_kn_per_m { b } else { a })?;
    Some(format!(
        "If cross joints or the face release both ends, {} of {} prisms of two sets would need bolts and are not judged, the heaviest {}, {} kN per metre.",
        unjudged.count(),
        beside.prisms.len(),
        heaviest.id,
        kn(heaviest.weight_kn_per_m)
    ))
}

/// Prisms of two sets that are short, or else those that are not judged, in one sentence; `None` where
/// there is neither.
#[must_use]
pub(super) fn prism_sentence(beside: &Beside) -> Option<String> {
    let ratio = |p: &CheckedPrism| p.fs_bolted.unwrap_or(p.fs_bare) / p.criterion_fs;
    let short: Vec<&CheckedPrism> = beside.prisms.iter().filter(|p| p.verdict == Verdict::Short).collect();
    let Some(worst) = short.iter().copied().reduce(|a, b| if ratio(b) < ratio(a) { b } else { a }) else {
        return unjudged_prisms(beside);
    };
    Some(format!(
        "If cross joints or the face release both ends, {} of {} prisms of two sets {} {} in {}, {} kN per metre, FS {} where {} is asked.",
        short.len(),
        beside.prisms.len(),
        if short.len() == 1 { "is short:" } else { "are short, worst" },
        worst.id,
        surface_words(&worst.surfaces),
        kn(worst.weight_kn_per_m),
        factor(worst.fs_bolted.unwrap_or(worst.fs_bare)),
        fixed(worst.criterion_fs, 2)
    ))
}
