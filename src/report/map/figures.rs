//! The drawings of a survey.

use super::outputs::SurveyOutputs;
use super::words::counted;
use crate::orientation::Projection;
use crate::report::paper::chart::{Across, Axis, Chart, Layer, histogram};
use crate::report::paper::numbers::fixed;
use crate::report::paper::rose::{Rose, axial_counts};
use crate::report::paper::sheet::{Sheet, Stroke};
use crate::report::paper::stereonet::{
    BlindZone, Cone, NetBorder, NetPlane, NetPole, Sight, Stereonet, great_arcs, small_circle,
};
use crate::report::paper::style::{self, PALE};
use crate::survey::{
    DEFAULT_SIGMA, FEW_READINGS, KambDensity, LineKind, NetGrid, SetBorder, SetSource, contour_levels,
    spacings_seen_m, trace_contours,
};

type Draw = fn(&SurveyOutputs<'_>) -> Option<Sheet>;

/// Each drawing by the name of its files; one that has nothing to show is not made.
pub(super) const DRAWINGS: [(&str, Draw); 5] = [
    ("domains", super::domains::drawing),
    ("stereonet", stereonet),
    ("rose", rose),
    ("trace_lengths", trace_lengths),
    ("spacings", spacings),
];

/// Points along each side of the grid that contours are traced on: cells of 1 mm on paper.
const GRID_SIDE: usize = 121;
/// A mean that may lie anywhere within a wider cone is no mean; its number is in the table.
const WIDEST_CONE_DEG: f64 = 45.0;
const MOST_LEVELS: usize = 6;
/// The share of the hemisphere in which poles are counted by hand, with a 1 % counter. Common
/// practice, no source.
const LEAST_AREA: f64 = 0.01;
/// Strikes of flatter joints say nothing. Common practice, no source.
const FLAT_DEG: f64 = 10.0;
const PETAL_DEG: f64 = 10.0;
/// Bars of a histogram, about: twice the root of the number of values, within these.
const BARS: [f64; 2] = [6.0, 24.0];
/// A histogram reaches over all but the longest of its values: one in fifty.
const SHOWN_SHARE: f64 = 0.98;
/// Sets whose curves a histogram can hold.
const MOST_CURVES: usize = 6;

fn stereonet(outputs: &SurveyOutputs<'_>) -> Option<Sheet> {
    let (survey, mapped) = (outputs.survey, outputs.mapped);
    let weighted = mapped.classes.iter().any(|class| class.weight != 1.0);
    // Let go before the poles are made: each takes as much as a third of the survey.
    let axes: Vec<_> = survey
        .readings
        .iter()
        .zip(&mapped.classes)
        .map(|(reading, class)| (reading.plane.upward_normal().into_inner(), class.weight))
        .collect();
    let density = KambDensity::new(&axes, sigma_of(axes.len()));
    drop(axes);
    let contours = density.map_or_else(Vec::new, |density| {
        let grid = NetGrid::of_density(&density, outputs.projection, GRID_SIDE);
        let levels = contour_levels(grid.greatest(), MOST_LEVELS);
        levels.into_iter().flat_map(|level| trace_contours(&grid, level)).collect()
    });
    let poles: Vec<NetPole> = survey
        .readings
        .iter()
        .zip(&mapped.classes)
        .map(|(reading, class)| NetPole { pole: reading.plane.pole(), set: class.set })
        .collect();
    let of_weighted = match (weighted, survey.readings.iter().any(|r| r.mapper_weight.is_some())) {
        (_, true) => ", with Terzaghi weights and the mapper's",
        (true, false) => ", with Terzaghi weights",
        (false, false) => "",
    };
    let net = Stereonet {
        title: net_title(outputs),
        north: outputs.north.to_owned(),
        projection: outputs.projection,
        planes: mapped
            .sets
            .iter()
            .enumerate()
            .map(|(set, s)| NetPlane { label: s.name.clone(), plane: s.mean, set })
            .collect(),
        poles,
        contours,
        contour_unit: format!("times the deviation expected by chance{of_weighted}"),
        cones: mapped
            .sets
            .iter()
            .enumerate()
            .filter_map(|(set, s)| {
                let half_angle_deg = s.cone_95_deg.filter(|&cone| cone < WIDEST_CONE_DEG)?;
                Some(Cone { axis: s.mean.pole(), half_angle_deg, set: Some(set) })
            })
            .collect(),
        cone_note: "95 % cone of a mean pole".to_owned(),
        borders: borders(outputs),
        blind_zones: blind_zone(outputs).into_iter().collect(),
        ..Stereonet::default()
    };
    Some(net.draw())
}

/// The smoothing for so many poles. Kamb's counting area σ²/(n + σ²) shrinks with their number
/// until contours follow single poles; it is kept at [`LEAST_AREA`] of the hemisphere.
pub(super) fn sigma_of(poles: usize) -> f64 {
    DEFAULT_SIGMA.max((poles as f64 * LEAST_AREA / (1.0 - LEAST_AREA)).sqrt())
}

fn net_title(outputs: &SurveyOutputs<'_>) -> String {
    let mapped = outputs.mapped;
    let all = mapped.classes.len();
    let held = mapped.classes.iter().filter(|class| class.set.is_some()).count();
    match mapped.sets.len() {
        0 => format!("{} without any set", counted(all, "pole", "poles")),
        sets => format!(
            "{} {} {held} of {all} poles",
            counted(sets, "set", "sets"),
            if sets == 1 { "holds" } else { "hold" }
        ),
    }
}

/// The borders that the sets were taken by, where somebody drew them.
fn borders(outputs: &SurveyOutputs<'_>) -> Vec<NetBorder> {
    let SetSource::ByHand(sets) = &outputs.options.source else { return Vec::new() };
    sets.iter()
        .map(|set| NetBorder {
            outline: match &set.border {
                SetBorder::Round { mean, within_deg } => small_circle(&mean.upward_normal(), *within_deg),
                SetBorder::Polygon(polygon) => great_arcs(polygon.corners()),
            },
            // A border that held nothing has no set.
            set: outputs.mapped.sets.iter().position(|s| s.name == set.name),
        })
        .collect()
}

/// What all lines together could hardly see, as the weights' cap draws the border.
fn blind_zone(outputs: &SurveyOutputs<'_>) -> Option<BlindZone> {
    outputs.mapped.blind_zone.as_ref().filter(|zone| zone.share > 0.0)?;
    let mut used = vec![false; outputs.survey.lines.len()];
    for line in outputs.survey.readings.iter().filter_map(|r| r.line) {
        used[line] = true;
    }
    let sights: Vec<Sight> = outputs
        .survey
        .lines
        .iter()
        .zip(used)
        .filter(|(_, used)| *used)
        .filter_map(|(line, _)| {
            let direction = line.direction?;
            Some(if line.kind == Some(LineKind::Window) {
                Sight::Square(direction)
            } else {
                Sight::Along(direction)
            })
        })
        .collect();
    let label = match sights.len() {
        1 => "of the survey's line".to_owned(),
        many => format!("of all {many} lines"),
    };
    let half_width_deg = (1.0 / outputs.options.max_weight).asin().to_degrees();
    Some(BlindZone { sights, half_width_deg, label })
}

fn rose(outputs: &SurveyOutputs<'_>) -> Option<Sheet> {
    let trends_deg: Vec<f64> = outputs
        .survey
        .readings
        .iter()
        .map(|r| if r.plane.dip_deg < FLAT_DEG { f64::NAN } else { r.plane.dip_direction_deg - 90.0 })
        .collect();
    let shown = trends_deg.iter().filter(|t| t.is_finite()).count();
    if shown == 0 {
        return None;
    }
    let (counts, _) = axial_counts(&trends_deg, (180.0 / PETAL_DEG) as usize);
    let (at, most) = counts.iter().enumerate().max_by(|a, b| a.1.cmp(b.1).then(b.0.cmp(&a.0)))?;
    let from = PETAL_DEG * at as f64;
    let rose = Rose {
        title: format!(
            "More joints strike between {from:03.0} and {:03.0} than in any other 10°: {most} of {shown}",
            from + PETAL_DEG
        ),
        north: outputs.north.to_owned(),
        counted: format!("Strikes of joints that dip {FLAT_DEG}° or more, as read, without weights"),
        trends_deg,
        petal_deg: PETAL_DEG,
        drive: None,
    };
    Some(rose.draw())
}

/// Values of one set, with the mean that its table shows.
struct OfSet {
    set: usize,
    name: String,
    values: Vec<f64>,
    mean: Option<f64>,
}

fn trace_lengths(outputs: &SurveyOutputs<'_>) -> Option<Sheet> {
    let mapped = outputs.mapped;
    let mut sets: Vec<OfSet> = mapped
        .sets
        .iter()
        .enumerate()
        .map(|(set, s)| OfSet {
            set,
            name: s.name.clone(),
            values: Vec::new(),
            mean: s.trace_length.map(|t| t.mean_m),
        })
        .collect();
    let mut all = Vec::new();
    for (reading, class) in outputs.survey.readings.iter().zip(&mapped.classes) {
        if let Some(length) = reading.trace_length_m {
            all.push(length);
            if let Some(of) = class.set.and_then(|at| sets.get_mut(at)) {
                of.values.push(length);
            }
        }
    }
    let words = |median: &str, count: usize| {
        format!("Half of the {count} traces that were measured are shorter than {median} m")
    };
    chart(all, &sets, ("trace length that was seen", "traces"), words)
}

fn spacings(outputs: &SurveyOutputs<'_>) -> Option<Sheet> {
    let (survey, mapped) = (outputs.survey, outputs.mapped);
    let sets: Vec<OfSet> = mapped
        .sets
        .iter()
        .enumerate()
        .map(|(set, s)| OfSet {
            set,
            name: s.name.clone(),
            values: spacings_seen_m(
                &s.normal(),
                &survey.readings,
                |at| mapped.classes[at].set == Some(set) && !mapped.classes[at].repeat,
                &survey.lines,
            ),
            mean: s.spacing.map(|spacing| spacing.mean_m),
        })
        .collect();
    let all = sets.iter().flat_map(|of| of.values.iter().copied()).collect();
    let words = |median: &str, count: usize| {
        format!("Half of the {count} spacings within sets are closer than {median} m")
    };
    chart(all, &sets, ("spacing square to the set", "spacings"), words)
}

/// All values as bars, each set's as a curve over the same bars, with its mean as a rule.
fn chart(
    mut all: Vec<f64>,
    sets: &[OfSet],
    (x, y): (&str, &str),
    words: impl Fn(&str, usize) -> String,
) -> Option<Sheet> {
    all.sort_by(f64::total_cmp);
    let longest = *all.last()?;
    let reach = all[((all.len() - 1) as f64 * SHOWN_SHARE) as usize];
    if longest <= 0.0 {
        return None;
    }
    let reach = if reach > 0.0 { reach } else { longest };
    let width = round_step(reach / (2.0 * (all.len() as f64).sqrt()).clamp(BARS[0], BARS[1]));
    let count = (reach / width).floor() as usize + 1;
    let (bars, beyond) = histogram(&all, 0.0, width, count);
    let title = words(&fixed(all[all.len() / 2], 2), all.len());
    let mut x = x.to_owned();
    if beyond > 0 {
        x.push_str(&format!(", {beyond} beyond the frame up to {}", fixed(longest, 1)));
    }
    let edge = width * count as f64;
    let mut chart = Chart::new(&title, Axis::linear(&x, "m").between(0.0, edge), Axis::linear(y, ""))
        .with(Layer::Bars { label: "all".to_owned(), bars, colour: PALE });
    chart.frame_height_mm = 60.0;
    for of in sets.iter().filter(|of| !of.values.is_empty()).take(MOST_CURVES) {
        let stroke = style::set_style(of.set).stroke();
        // A curve through a handful of values is a row of spikes.
        if of.values.len() >= FEW_READINGS {
            let (bars, _) = histogram(&of.values, 0.0, width, count);
            chart = chart.with(Layer::Line {
                label: format!("set {} ({})", of.name, of.values.len()),
                points: bars.iter().map(|bar| [f64::midpoint(bar.from, bar.to), bar.height]).collect(),
                stroke,
            });
        }
        if let Some(mean) = of.mean.filter(|&mean| mean < edge) {
            let thin = Stroke { width_mm: style::THIN_MM, ..stroke };
            chart = chart.with(Layer::Rule {
                label: format!("mean {}", of.name),
                across: Across::X,
                value: mean,
                stroke: thin,
            });
        }
    }
    Some(chart.draw())
}

/// 1, 2 or 5 times a power of ten, at or above `least`.
fn round_step(least: f64) -> f64 {
    let decade = 10_f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|f| f * decade).find(|&step| step >= least).unwrap_or(least)
}

/// The projection in words.
pub(super) const fn projection_words(projection: Projection) -> &'static str {
    projection.name()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_are_of_round_widths() {
        for (least, step) in [(0.06, 0.1), (0.11, 0.2), (0.21, 0.5), (0.7, 1.0), (1.0, 1.0), (13.0, 20.0)] {
            assert!((round_step(least) - step).abs() < 1e-12, "{least}");
        }
    }
}
