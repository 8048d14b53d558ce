//! Exceedance, factors of safety, drivers, sampled poles.

use super::outputs::ChanceOutputs;
use super::places::{PlaceRow, exceedance};
use crate::case::OrientationScatter;
use crate::report::paper::chart::{Across, Axis, Bar, Chart, Layer};
use crate::report::paper::numbers::{factor, fixed, thousands, volume};
use crate::report::paper::sheet::{Anchor, FULL_WIDTH_MM, Fill, Sheet, Stroke};
use crate::report::paper::stereonet::{NetPlane, NetPole, Stereonet};
use crate::report::paper::style::{
    self, GREY, HAIR_MM, INK, LABEL, LABEL_LEADING_MM, LINE_MM, PALE, THIN_MM, set_style,
};
use crate::report::shares::chance;
use crate::study::CheckError;
use crate::study::chance::{Driver, Histogram, drawn_planes};

/// Draws whose poles are shown.
const POLES_OF: u64 = 300;

/// Factors are drawn up to this, in bars of this width.
const HIGHEST_FS: f64 = 5.0;
const FS_BAR: f64 = 0.1;

/// Width of the line of all surfaces together, millimetres.
const ALL_MM: f64 = 1.6;

/// How often a wedge is above a size, on each surface.
pub(super) fn exceedance_chart(rows: &[PlaceRow<'_>], of: &str) -> Sheet {
    let all = exceedance(rows);
    let axis = match of {
        "needed_kpa" => Axis::log("Pressure that covers it", "kPa"),
        "needed_kn" => Axis::log("Force that holds it", "kN"),
        _ => Axis::log("Volume", "m³"),
    };
    let whole = rows[0].tally;
    let at_95 = match of {
        "needed_kpa" => &whole.needed_kpa,
        "needed_kn" => &whole.needed_kn,
        _ => &whole.volume_m3,
    };
    let at_95 = at_95.quantile_over(0.95, rows[0].draws).unwrap_or(0.0);
    let title = match of {
        "needed_kpa" => format!("{} kPa cover the largest demand of 95 % of draws", fixed(at_95, 1)),
        "needed_kn" => format!("{} kN hold the largest demand of 95 % of draws", fixed(at_95, 0)),
        _ => format!("95 % of draws have no wedge above {} m³", volume(at_95)),
    };
    let least = 0.5 * chance(1, rows[0].draws)[0];
    let mut chart = Chart::new(
        &title,
        axis,
        Axis { from: Some(least.max(1e-7)), to: Some(1.0), ..Axis::log("Share of draws above", "") },
    );
    for (at, row) in rows.iter().enumerate() {
        let points: Vec<[f64; 2]> = all
            .iter()
            .filter(|e| e.place == row.place && e.of == of && e.above > 0)
            .map(|e| [e.value, chance(e.above, e.draws)[0]])
            .collect();
        // Where all surfaces are one of them, its narrower line lies on the wide one and both are seen.
        let stroke = if at == 0 {
            Stroke::solid(GREY, ALL_MM)
        } else {
            Stroke { width_mm: LINE_MM, ..set_style(at - 1).stroke() }
        };
        if points.len() > 1 {
            chart = chart.with(Layer::Line { label: row.place.into(), points, stroke });
        }
    }
    chart
        .with(Layer::Rule {
            label: "5 %".into(),
            across: Across::Y,
            value: 0.05,
            stroke: Stroke::solid(GREY, THIN_MM),
        })
        .draw()
}

/// The least factors of the draws, bare and bolted.
pub(super) fn fs_chart(outputs: &ChanceOutputs<'_>, row: &PlaceRow<'_>) -> Sheet {
    let shown = if row.bolted { &row.tally.fs_bolted } else { &row.tally.fs_bare };
    let asked = outputs.case.criteria;
    let title = format!(
        "The least FS of a draw {} has a median of {}",
        if row.bolted { "with bolts" } else { "without support" },
        shown.quantile(0.5).map_or_else(|| "none".into(), factor)
    );
    let mut chart = Chart::new(
        &title,
        Axis::linear("Least FS of a draw", "").between(0.0, HIGHEST_FS),
        Axis { from: Some(0.0), ..Axis::linear("Share of draws", "%") },
    );
    let bars = |histogram: &Histogram| fs_bars(histogram, row.draws);
    if row.bolted {
        chart = chart
            .with(Layer::Bars { label: "bare".into(), bars: bars(&row.tally.fs_bare), colour: PALE })
            .with(Layer::Bars { label: "with bolts".into(), bars: bars(&row.tally.fs_bolted), colour: INK });
    } else {
        chart = chart.with(Layer::Bars { label: "bare".into(), bars: bars(&row.tally.fs_bare), colour: INK });
    }
    for (label, value) in [("asked, sliding", asked.min_fs_sliding), ("asked, falling", asked.min_fs_falling)]
    {
        chart = chart.with(Layer::Rule {
            label: label.into(),
            across: Across::X,
            value,
            stroke: Stroke::solid(INK, THIN_MM),
        });
    }
    chart.draw()
}

#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
// counts, and bars of a chart
fn fs_bars(histogram: &Histogram, draws: u64) -> Vec<Bar> {
    let count = (HIGHEST_FS / FS_BAR).round() as usize;
    let mut counts = vec![0u64; count];
    counts[0] += histogram.below();
    for ([low, high], n) in histogram.filled() {
        let at = (0.5 * (low + high) / FS_BAR) as usize;
        if let Some(bar) = counts.get_mut(at) {
            *bar += n;
        }
    }
    let bar = |(at, n): (usize, u64)| Bar {
        from: at as f64 * FS_BAR,
        to: (at + 1) as f64 * FS_BAR,
        height: 100.0 * n as f64 / draws.max(1) as f64,
    };
    counts.into_iter().enumerate().map(bar).collect()
}

const MARGIN_MM: f64 = 8.0;
const BAR_MM: f64 = 3.6;
const STEP_MM: f64 = 6.2;
const NAME_ROOM_MM: f64 = 62.0;
const NUMBER_ROOM_MM: f64 = 16.0;
/// Bars that are drawn.
const MOST_BARS: usize = 12;

/// Drivers as people read them: by how much goes with the least factor, the strongest first.
pub(super) fn strongest_first(drivers: &[Driver]) -> Vec<&Driver> {
    let strength = |d: &Driver| d.rank_fs.map_or(-1.0, f64::abs);
    let mut order: Vec<&Driver> = drivers.iter().collect();
    order.sort_by(|a, b| strength(b).total_cmp(&strength(a)).then_with(|| a.input.cmp(&b.input)));
    order
}

/// Rank correlations with the least factor, the strongest first.
pub(super) fn driver_bars(drivers: &[Driver]) -> Option<Sheet> {
    let mut shown: Vec<(&str, f64)> =
        strongest_first(drivers).into_iter().filter_map(|d| Some((d.input.as_str(), d.rank_fs?))).collect();
    shown.truncate(MOST_BARS);
    let (first, _) = shown.first()?;
    let title = format!("{first} goes most with the least FS of a draw (rank correlation)");
    let mut trial = Sheet::new(FULL_WIDTH_MM, 100.0, "");
    let width_mm = FULL_WIDTH_MM - 2.0 * MARGIN_MM;
    let top = style::title(&mut trial, [MARGIN_MM; 2], &title, width_mm) + 3.0;
    let foot = top + STEP_MM * shown.len() as f64;
    let mut sheet = Sheet::new(FULL_WIDTH_MM, foot + 3.0 + 2.5 * LABEL_LEADING_MM + MARGIN_MM, &title);
    sheet.describe("A bar for each input: to the right where more of it goes with a higher least FS.");
    style::title(&mut sheet, [MARGIN_MM; 2], &title, width_mm);
    let (left, right) = (MARGIN_MM + NAME_ROOM_MM, FULL_WIDTH_MM - MARGIN_MM - NUMBER_ROOM_MM);
    let at = |value: f64| left + (right - left) * (0.5 + 0.5 * value.clamp(-1.0, 1.0));
    for (row, (name, value)) in shown.iter().enumerate() {
        let y = top + STEP_MM * row as f64;
        let (a, b) = (at(value.min(0.0)), at(value.max(0.0)));
        let corners = [[a, y], [b, y], [b, y + BAR_MM], [a, y + BAR_MM]];
        sheet.polygon(&corners, Some(Fill::tint(INK, 0.45)), Some(Stroke::solid(INK, THIN_MM)));
        let middle = y + 0.5 * BAR_MM;
        sheet.text([left - 3.0, middle], name, &LABEL.anchored(Anchor::End));
        sheet.text([right + 2.0, middle], &fixed(*value, 2), &LABEL);
    }
    for value in [-1.0, 0.0, 1.0] {
        let width = if value == 0.0 { THIN_MM } else { HAIR_MM };
        sheet.polyline(&[[at(value), top - 1.0], [at(value), foot]], Stroke::solid(INK, width));
        sheet.text([at(value), foot + 3.0], &fixed(value, 0), &LABEL.anchored(Anchor::Middle));
    }
    for (end, anchor, words) in
        [(-1.0, Anchor::Start, "← more of it, lower FS"), (1.0, Anchor::End, "more of it, higher FS →")]
    {
        sheet.text([at(end), foot + 3.0 + LABEL_LEADING_MM], words, &LABEL.anchored(anchor));
    }
    let axis = "Rank correlation with the least FS of a draw";
    sheet.text([at(0.0), foot + 3.0 + 2.0 * LABEL_LEADING_MM], axis, &LABEL.anchored(Anchor::Middle));
    Some(sheet)
}

/// The poles of the first draws; `None` where no orientation scatters.
pub(super) fn poles(outputs: &ChanceOutputs<'_>) -> Result<Option<Sheet>, CheckError> {
    let case = outputs.case;
    let scatters = |set: &usize| outputs.scatter.orientation(case, *set) != OrientationScatter::Fixed;
    if !(0..case.joints.len()).any(|set| scatters(&set)) {
        return Ok(None);
    }
    let draws = drawn_planes(case, outputs.scatter, outputs.ask, POLES_OF)?;
    let pole = |(set, plane): (usize, &crate::orientation::Plane)| {
        let normal = plane.upward_normal();
        NetPole { pole: crate::orientation::Line::from_vector(&normal), set: Some(set) }
    };
    let poles = draws.iter().flat_map(|planes| {
        planes.iter().enumerate().filter(|(set, _)| scatters(set)).map(pole).collect::<Vec<_>>()
    });
    let net = Stereonet {
        title: format!("Poles of the first {} draws round their means", thousands(POLES_OF)),
        north: case.north.clone(),
        planes: case
            .joints
            .iter()
            .enumerate()
            .map(|(set, joint)| NetPlane { label: joint.name.clone(), plane: joint.plane, set })
            .collect(),
        poles: poles.collect(),
        drive: Some(case.advance),
        ..Stereonet::default()
    };
    Ok(Some(net.draw()))
}
