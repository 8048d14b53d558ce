//! The page's sections on surface support, the scaling list, prisms of two sets, and advice.

use crate::case::Case;
use crate::report::check::page::marked;
use crate::report::paper::html::Html;
use crate::report::paper::numbers::{Number, factor, fixed, kn, shortest, volume};
use crate::report::words::NO_SOURCE;
use crate::study::Beside;
use crate::support::{SurfaceKind, SurfaceSupport};

fn cell(value: Option<Number>, write: impl Fn(f64) -> String) -> String {
    value.map(|n| write(n.0)).unwrap_or_default()
}

/// What hangs between the bolts, and what is left to the scaling bar.
pub(crate) fn surface_support(body: &mut Html, case: &Case, beside: &Beside) {
    if !beside.surface.duty.is_empty() {
        body.heading("Between the bolts: what the screen must carry");
        let header = [
            ("surface", false),
            ("wedge", false),
            ("verdict", false),
            ("carried by", false),
            ("mode", false),
            ("volume m³", true),
            ("weight kN", true),
            ("perimeter m", true),
            ("FS bare", true),
            ("capacity kN", true),
            ("governed by", false),
            ("FS", true),
            ("asked", true),
        ];
        let rows: Vec<Vec<String>> = super::rows::screen_duty_rows(case, &beside.surface.duty)
            .into_iter()
            .zip(&beside.surface.duty)
            .map(|(row, duty)| {
                let nothing = if case.surface_support.is_empty() { "not entered" } else { "nothing" };
                vec![
                    row.surface,
                    row.wedge,
                    marked(duty.verdict),
                    row.support.unwrap_or_else(|| nothing.into()),
                    row.mode,
                    volume(row.volume_m3.0),
                    kn(row.weight_kn.0),
                    fixed(row.perimeter_m.0, 2),
                    factor(row.fs_bare.0),
                    cell(row.capacity_kn, kn),
                    row.governed_by.unwrap_or_default(),
                    cell(row.fs, factor),
                    fixed(row.criterion.0, 2),
                ]
            })
            .collect();
        body.table(&header, &rows);
        body.list(
            [
                "For each pyramid and surface the largest wedge without a collar on its face. Screen and straps are slack: one bay is held against the whole weight. Shotcrete adheres before anything moves: what its perimeter carries is added to what the joints resist. A piece counts as carried where its whole face is covered; layers are not added.".to_owned(),
            ]
            .into_iter(),
        );
    }
    if !beside.surface.shared.is_empty() {
        body.heading("Bolts with surface support");
        let header = [
            ("wedge", false),
            ("surface support adds kN", true),
            ("FS with it", true),
            ("at the governing size", true),
        ];
        let rows: Vec<Vec<String>> = beside
            .surface
            .shared
            .iter()
            .map(|row| {
                vec![
                    row.wedge.clone(),
                    kn(row.capacity_kn),
                    factor(row.fs),
                    row.fs_governing.map(factor).unwrap_or_default(),
                ]
            })
            .collect();
        body.table(&header, &rows);
        body.raw("<p>").text("Added once, however many bays a wedge spans, whole and against its movement, where it covers all of its face. It decides nothing: verdicts rest on bolts alone.").raw("</p>");
    }
    if let Some(most_m3) = case.criteria.scaling_up_to_m3 {
        body.heading("For the scaling bar");
        let header = [
            ("surface", false),
            ("wedge", false),
            ("piece", false),
            ("volume m³", true),
            ("weight kN", true),
            ("mode", false),
            ("FS bare", true),
            ("loose", false),
        ];
        let rows: Vec<Vec<String>> = super::rows::scaling_rows(&beside.surface.scaling)
            .into_iter()
            .map(|row| {
                vec![
                    row.surface,
                    row.wedge,
                    row.piece,
                    volume(row.volume_m3.0),
                    kn(row.weight_kn.0),
                    row.mode,
                    factor(row.fs_bare.0),
                    if row.loose { "yes" } else { "no" }.into(),
                ]
            })
            .collect();
        body.table(&header, &rows);
        body.raw("<p>").text(&format!("Pieces up to {} m³, the site's size, are barred down and not counted on the screen. No verdict on a wedge changes by that: one that is short stays short. Loose: its joints alone do not meet the criterion.", shortest(most_m3))).raw("</p>");
    }
}

/// Prisms of two sets.
pub(crate) fn prisms(body: &mut Html, case: &Case, beside: &Beside) {
    if beside.prisms.is_empty() {
        return;
    }
    body.heading("Two sets alone: prisms along the drive, both ends released");
    let header = [
        ("prism", false),
        ("verdict", false),
        ("surfaces", false),
        ("mode", false),
        ("slides on", false),
        ("line off axis °", true),
        ("length m", true),
        ("section m²", true),
        ("without caps m²", true),
        ("kN per m", true),
        ("depth m", true),
        ("FS bare", true),
        ("FS bolted", true),
        ("asked", true),
        ("bolts", true),
    ];
    let rows: Vec<Vec<String>> = super::rows::prism_rows(case, &beside.prisms)
        .into_iter()
        .zip(&beside.prisms)
        .map(|(row, prism)| {
            vec![
                row.prism,
                marked(prism.verdict),
                row.surfaces.replace('|', ", "),
                row.mode,
                row.slides_on.unwrap_or_default(),
                fixed(row.off_axis_deg.0, 1),
                fixed(row.length_m.0, 2),
                fixed(row.area_m2.0, 3),
                fixed(row.area_uncapped_m2.0, 3),
                kn(row.weight_kn_per_m.0),
                fixed(row.depth_m.0, 2),
                factor(row.fs_bare.0),
                cell(row.fs_bolted, factor),
                fixed(row.criterion.0, 2),
                row.bolts_serving.map(|n| n.to_string()).unwrap_or_default(),
            ]
        })
        .collect();
    body.table(&header, &rows);
    body.raw("<p>").text("Assumed: cross joints or the face release both ends, without strength; a round long, or shorter where a cap says so. Sections taper where the line of the two joints is off the axis; the widest one is taken for the whole length, and further off than 10° none is judged as held by bolts, since narrower sections may miss some. Only the largest is judged, with as few rings as any place along the drive leaves it.").raw("</p>");
}

/// Advisory rules.
pub(crate) fn advice(body: &mut Html, beside: &Beside) {
    if beside.advice.is_empty() {
        return;
    }
    body.heading("Advice from print");
    let header = [
        ("about", false),
        ("advised", false),
        ("found m", true),
        ("advised m", true),
        ("as advised", false),
        ("source", false),
    ];
    let rows: Vec<Vec<String>> = super::rows::advice_rows(&beside.advice)
        .into_iter()
        .map(|row| {
            vec![
                row.about,
                row.rule,
                cell(row.found_m, |v| fixed(v, 2)),
                cell(row.advised_m, |v| fixed(v, 2)),
                if row.as_advised { "yes" } else { "no" }.into(),
                row.source,
            ]
        })
        .collect();
    body.table(&header, &rows);
    body.raw("<p>")
        .text("Rules of thumb that others printed, for comparison. They decide nothing here.")
        .raw("</p>");
}

/// A surface support among the inputs.
pub(crate) fn surface_words(support: &SurfaceSupport) -> String {
    let covers: Vec<&str> = support.covers.iter().map(|c| c.name()).collect();
    let carries = match support.kind {
        SurfaceKind::Screen { bay_kn } | SurfaceKind::Strap { bay_kn } => {
            format!("{} kN a bay", shortest(bay_kn))
        }
        SurfaceKind::Shotcrete { thickness_m, shear_strength_kpa, adhesion_kpa, adhesion_width_m } => {
            format!(
                "{} m thick, shear strength {} kPa, adhesion {} kPa over a strip of {} m",
                shortest(thickness_m),
                shortest(shear_strength_kpa),
                shortest(adhesion_kpa),
                shortest(adhesion_width_m)
            )
        }
    };
    format!(
        "{} ({}) on {}{}: {carries}. Capacities: {}.",
        support.name,
        support.kind.name(),
        covers.join(", "),
        support.lowest_m.map(|v| format!(", walls down to {} m", shortest(v))).unwrap_or_default(),
        support.source.as_deref().unwrap_or(NO_SOURCE)
    )
}
