//! The page's section on sizes.

use super::words::unbolted_ground;
use crate::case::Case;
use crate::report::check::surface::words::{scaling_sentence, screen_sentence};
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::{Figure, Html};
use crate::report::paper::table::Table;
use crate::study::{Beside, Check, CheckedWedge, Gap, SizeCurve};

/// A row of the table: a wedge over its sizes.
#[derive(Debug, Clone, Copy)]
struct CurveRow<'a> {
    wedge: &'a CheckedWedge,
    curve: &'a SizeCurve,
}

/// What has to carry a wedge that slips between the bolts, kN, where its joints do not.
fn duty(gap: &Gap) -> Cell<'static> {
    if gap.force_needed_kn > 0.0 { gap.weight_kn.into() } else { "held by its joints".into() }
}

fn table<'a>() -> Table<CurveRow<'a>> {
    use Format::{Factor, Fixed, Kn, Volume, Words};
    Table::<CurveRow<'a>>::new()
        .only_shown("wedge", |r| (&r.curve.wedge).into())
        .on_page("wedge", Words)
        .only_shown("gap_volume_m3", |r| r.curve.gap.as_ref().map(|g| g.volume_m3).into())
        .on_page("gap wedge m³", Volume)
        .only_shown("screen_kn", |r| r.curve.screen_wedge().map(duty).into())
        .on_page("screen must carry kN", Kn)
        .only_shown("volume_governing_m3", |r| r.curve.governing_size().volume_m3.into())
        .on_page("least at m³", Volume)
        .only_shown("fs_governing", |r| r.curve.governing_size().fs_bolted.into())
        .on_page("FS there", Factor)
        .only_shown("criterion", |r| r.wedge.decided.criterion_fs.into())
        .on_page("asked", Fixed(2))
        .only_shown("volume_m3", |r| r.wedge.wedge.shape.volume_m3.into())
        .on_page("largest m³", Volume)
        .only_shown("fs_bolted", |r| r.wedge.found.fs_bolted.into())
        .on_page("FS there", Factor)
        .only_shown("unbolted_kn", |r| r.curve.unbolted.as_ref().map(duty).into())
        .on_page("untouched on unbolted ground kN", Kn)
}

/// Name of the files of a size curve, without ending.
pub(crate) fn size_stem(curve: &SizeCurve) -> String {
    format!("sizes_{}", curve.wedge)
}

/// The page's section; nothing where no size was studied.
pub(crate) fn section<'a>(
    body: &mut Html,
    case: &Case,
    check: &'a Check,
    curves: &'a [SizeCurve],
    beside: &Beside,
    figures: &[Figure],
) {
    if curves.is_empty() {
        return;
    }
    body.heading("Sizes: what the bolts hold and what the screen must carry");
    let row = |curve: &'a SizeCurve| {
        let wedge = check.wedges.iter().find(|w| w.wedge.id == curve.wedge)?;
        Some(CurveRow { wedge, curve })
    };
    let rows: Vec<CurveRow<'a>> = curves.iter().filter_map(row).collect();
    body.table(&table().page_of_all(&rows));
    let mut notes: Vec<String> = screen_sentence(case, beside, curves)
        .into_iter()
        .chain(scaling_sentence(case, beside, check))
        .chain(unbolted_ground(curves))
        .collect();
    notes.push("Gap wedge: the largest wedge that some placement lets sit between the bolts, no collar on its face and no bolt in its body, on bolted ground: surfaces that a pattern covers, walls down to half a spacing below the lowest collar. What is smaller is the screen's, and so is a larger one with no collar on its face that bolts only pierce; what is larger is judged by the bolts. Sizes show how the factor goes, collars as drawn and forces alone; what decides is the piece in the table of wedges.".into());
    body.list(notes.into_iter());
    for curve in curves {
        body.details(&format!("{} by size", curve.wedge), |body| body.figure(figures, &size_stem(curve)));
    }
}
