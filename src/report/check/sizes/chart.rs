//! The size curve: factor of safety against volume.

use crate::report::paper::chart::{Across, Axis, Chart, Layer, Mark};
use crate::report::paper::numbers::{factor, fixed, volume};
use crate::report::paper::sheet::{Sheet, Stroke};
use crate::report::paper::style::{GREY, HAIR_MM, INK, LINE_MM, THIN_MM};
use crate::study::{CheckedWedge, JudgedBy, Size, SizeCurve, Verdict};

/// The chart reaches this many times the criterion; curves leave it through its frame.
const SHOWN_CRITERIA: f64 = 4.0;

/// The chart begins at this share of what the screen carries: below it nothing changes.
const SHOWN_BELOW_GAP: f64 = 0.25;

/// The curve of one wedge: least factor solid, median thin, its joints alone dashed where the screen
/// carries it; the criterion as a rule, gap wedge and largest wedge marked.
#[must_use]
pub(crate) fn size_chart(wedge: &CheckedWedge, curve: &SizeCurve) -> Sheet {
    let asked = wedge.decided.criterion_fs.unwrap_or(0.0);
    let of = |judged_by: JudgedBy, fs: fn(&Size) -> f64| -> Vec<[f64; 2]> {
        curve.sizes.iter().filter(|s| s.judged_by == judged_by).map(|s| [s.volume_m3, fs(s)]).collect()
    };
    let least = of(JudgedBy::Bolts, |s| s.fs_bolted);
    let highest = least.iter().map(|p| p[1]).filter(|fs| fs.is_finite()).fold(asked, f64::max);
    let top = (1.15 * highest).min(SHOWN_CRITERIA * asked).max(1.5 * asked);
    let from = curve.screen_wedge().map(|gap| SHOWN_BELOW_GAP * gap.volume_m3);
    let mut chart = Chart::new(
        &title(wedge, curve, asked),
        Axis { from, ..Axis::log("Volume", "m³") },
        Axis::linear("FS", "").between(0.0, top),
    )
    .with(Layer::Line {
        label: "median over placements".into(),
        points: of(JudgedBy::Bolts, |s| s.fs_bolted_median),
        stroke: Stroke::solid(INK, HAIR_MM),
    })
    .with(Layer::Line {
        label: "least over placements".into(),
        points: least,
        stroke: Stroke::solid(INK, LINE_MM),
    });
    let alone = of(JudgedBy::Screen, |s| s.fs_bolted);
    if !alone.is_empty() {
        chart = chart.with(Layer::Line {
            label: "between the bolts: its joints alone".into(),
            points: alone,
            stroke: Stroke { colour: INK, width_mm: LINE_MM, dash_mm: &[2.0, 1.2] },
        });
    }
    chart = chart.with(Layer::Rule {
        label: format!("asked {}", fixed(asked, 2)),
        across: Across::Y,
        value: asked,
        stroke: Stroke::solid(INK, THIN_MM),
    });
    if let Some(gap) = &curve.gap {
        chart = chart.with(Layer::Rule {
            label: format!("gap wedge {} m³", volume(gap.volume_m3)),
            across: Across::X,
            value: gap.volume_m3,
            stroke: Stroke::solid(GREY, THIN_MM),
        });
    }
    let point = |size: &Size| vec![[size.volume_m3, size.fs_bolted.min(top)]];
    let mark = |held: bool| if held { Mark::Held } else { Mark::Short };
    if let Some(largest) = curve.sizes.last() {
        chart = chart.with(Layer::Marks {
            label: "largest wedge".into(),
            points: point(largest),
            mark: if curve.smaller_governs() { Mark::Ring(INK) } else { mark(largest.fs_bolted >= asked) },
        });
    }
    if curve.smaller_governs() {
        chart = chart.with(Layer::Marks {
            label: "least of these".into(),
            points: point(curve.governing_size()),
            mark: mark(wedge.decided.verdict == Verdict::Held),
        });
    }
    chart.draw()
}

/// What is seen: where the least factor lies below the criterion, or how near it comes.
fn title(wedge: &CheckedWedge, curve: &SizeCurve, asked: f64) -> String {
    let id = &wedge.wedge.id;
    let size = curve.governing_size();
    let short: Vec<f64> = curve
        .sizes
        .iter()
        .filter(|s| s.judged_by == JudgedBy::Bolts && s.fs_bolted < asked)
        .map(|s| s.volume_m3)
        .collect();
    let asked = fixed(asked, 2);
    let (fs, at) = (factor(size.fs_bolted), volume(size.volume_m3));
    match (short.first(), short.last()) {
        (Some(from), Some(to)) if volume(*from) != volume(*to) => format!(
            "Least FS of {id} falls below {asked} between {} and {} m³: {fs} at {at} m³",
            volume(*from),
            volume(*to)
        ),
        (Some(_), _) => format!("Least FS of {id} is {fs} at {at} m³, where {asked} is asked"),
        _ => format!("Least FS of {id} stays above {asked} where bolts hold it: {fs} at {at} m³"),
    }
}
