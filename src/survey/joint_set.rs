use nalgebra::Unit;

use super::bootstrap::{Spread, spread_of};
use super::counts::LineCounts;
use super::isrm::{persistence_word, spacing_word};
use super::long_trace::{LongTraces, long_traces};
use super::quality::{FrictionHint, HintConditions, QualitySummary, Quantity, summarise};
use super::spacing::{Places, Scatter, Spacing, spacing_of};
use super::trace::{EndCounts, WindowMeasure, mean_trace_length_m};
use super::{LineKind, Reading, Survey};
use crate::orientation::{FisherStatistics, OrientationTensor, Plane, Vec3};

/// Whether a set scatters round a point or along a band.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Woodcock's shape above 1.
    Cluster,
    /// Woodcock's shape below 1: poles lie along a band, and a mean plane says little.
    Girdle,
}

impl Form {
    /// The form in a word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Cluster => "cluster",
            Self::Girdle => "girdle",
        }
    }
}

/// Mean trace length of a set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TraceLength {
    /// Mean, metres.
    pub mean_m: f64,
    /// True when it is corrected for what windows hide; false for the plain mean of what was
    /// seen, which hidden ends make too short and long traces' better chance too long.
    pub corrected: bool,
    /// How many traces.
    pub values: usize,
}

/// A joint set with the statistics that its readings carry. What they do not carry is `None`.
#[derive(Debug, Clone, PartialEq)]
pub struct JointSet {
    /// Name: the mapper's label, or a letter.
    pub name: String,
    /// Readings assigned to it.
    pub readings: usize,
    /// Sum of the Terzaghi weights of those readings, each by its own plane and up to the cap, and times the mapper's
    /// own where there is one: for counting
    /// poles. `spacing` rests on another weight: the mean exposure of the whole set, without a cap.
    pub weighted_count: f64,
    /// Sum of the membership probabilities over all readings: what the statistics rest on.
    pub expected_count: f64,
    /// Mean plane: principal axis of the orientation tensor, weighted (Terzaghi weight times
    /// membership).
    pub mean: Plane,
    /// The tensor itself.
    pub tensor: OrientationTensor,
    /// Fisher's K and its kin round the weighted resultant; `None` for a single reading.
    pub fisher_k: Option<f64>,
    /// Half-angle of the 95 % cone of confidence of the mean, degrees (Fisher 1953).
    pub cone_95_deg: Option<f64>,
    /// True when all its poles are one direction: nothing can then be said of their scatter, and K, cone, form
    /// and spread are `None`.
    pub no_scatter: bool,
    /// Cluster or girdle (Woodcock 1977); `None` where the readings cannot tell.
    pub form: Option<Form>,
    /// Bootstrap spread of mean and K.
    pub spread: Option<Spread>,
    /// Mean spacing square to the joints; its inverse is the set's frequency.
    pub spacing: Option<Spacing>,
    /// Mean trace length.
    pub trace_length: Option<TraceLength>,
    /// True when traces were seen in windows but none of their ends.
    pub traces_endless: bool,
    /// The long end of its traces; `None` where no length was recorded.
    pub long_traces: Option<LongTraces>,
    /// Mean of the JRC that was recorded.
    pub jrc: Option<f64>,
    /// What its readings say of rock quality.
    pub quality: QualitySummary,
    /// What the medians of JRC and JCS would make of its friction, where that was asked for.
    pub friction_hint: Option<FrictionHint>,
}

impl JointSet {
    /// The upward unit normal of the mean plane.
    #[must_use]
    pub fn normal(&self) -> Unit<Vec3> {
        self.mean.upward_normal()
    }

    /// Joints per metre square to the set.
    #[must_use]
    pub fn frequency_per_m(&self) -> Option<f64> {
        self.spacing.map(|spacing| 1.0 / spacing.mean_m)
    }

    /// The word of ISRM (1978) for the mean spacing.
    #[must_use]
    pub fn spacing_word(&self) -> Option<&'static str> {
        self.spacing.map(|spacing| spacing_word(spacing.mean_m))
    }

    /// The word of ISRM (1978) for persistence by mean trace length.
    #[must_use]
    pub fn persistence_word(&self) -> Option<&'static str> {
        self.trace_length.map(|trace| persistence_word(trace.mean_m))
    }
}

/// Memberships below this are left out of sums: a thousand of them weigh as much as a reading.
const LEAST_MEMBERSHIP: f64 = 1e-3;

/// A set whose poles are on average less than this off their mean, as 1 − cos, has no scatter to speak of: it is
/// 0.003°, which no instrument reads, and a thousand times what rounding leaves of equal poles.
const LEAST_SCATTER: f64 = 1e-9;

/// Two poles always lie along a band: a form takes more.
const LEAST_FOR_A_FORM: f64 = 2.5;

/// What all sets of a survey share.
pub(crate) struct Sample<'s> {
    pub survey: &'s Survey,
    /// Readings in canonical order, with unit axes and weights beside them.
    pub ordered: &'s [&'s Reading],
    pub axes: &'s [Vec3],
    pub weights: &'s [f64],
    /// Whether each repeats an earlier row.
    pub repeats: &'s [bool],
    pub counts: &'s LineCounts,
    pub lines_used: &'s [bool],
    pub resamples: u32,
    pub seed: u64,
    pub hint: Option<HintConditions>,
}

/// What tells one set from another.
pub(crate) struct Membership<'s> {
    pub index: usize,
    pub name: &'s str,
    pub label: Option<usize>,
    pub sets: usize,
    pub set: &'s [Option<usize>],
    pub probabilities: &'s [f64],
}

/// Statistics of one set; `None` when nothing belongs to it.
pub(crate) fn joint_set(sample: &Sample<'_>, of: &Membership<'_>) -> Option<JointSet> {
    let mut members: Vec<(Vec3, f64)> = Vec::new();
    let (mut expected_count, mut weighted_count) = (0.0, 0.0);
    let (mut assigned, mut once): (Vec<&Reading>, Vec<&Reading>) = (Vec::new(), Vec::new());
    for (at, axis) in sample.axes.iter().enumerate() {
        let probability = of.probabilities[at * of.sets + of.index];
        if of.set[at] == Some(of.index) {
            assigned.push(sample.ordered[at]);
            once.extend((!sample.repeats[at]).then_some(sample.ordered[at]));
            weighted_count += sample.weights[at];
        }
        if probability >= LEAST_MEMBERSHIP {
            expected_count += probability;
            members.push((*axis, probability * sample.weights[at]));
        }
    }
    let tensor = OrientationTensor::of_weighted(members.iter().copied())?;
    let toward = tensor.axes[0];
    for (axis, _) in &mut members {
        if axis.dot(&toward) < 0.0 {
            *axis = -*axis;
        }
    }
    let fisher = FisherStatistics::of_axes(members.iter().copied(), &toward, expected_count)?;
    // Of one reading K is not known either, but nobody would take it for a scatter of none.
    let no_scatter = expected_count > 1.0 && fisher.count - fisher.resultant < LEAST_SCATTER * fisher.count;
    let [fisher_k, cone_95_deg] = [fisher.k, fisher.cone_95_deg].map(|value| value.filter(|_| !no_scatter));
    let normal = Unit::new_unchecked(-toward.into_inner());
    let resamples = if no_scatter { 0 } else { sample.resamples };
    let spread = spread_of(&members, expected_count, resamples, sample.seed, of.index);
    let (trace_length, traces_endless) = trace_length(&assigned, sample.survey);
    let quality = summarise(assigned.iter().copied());
    let median = |quantity| quality.quantity(quantity).map(|summary| summary.median);
    let friction_hint = sample
        .hint
        .and_then(|conditions| FrictionHint::of(median(Quantity::Jrc)?, median(Quantity::Jcs)?, conditions));
    Some(JointSet {
        name: of.name.to_owned(),
        readings: assigned.len(),
        weighted_count,
        expected_count,
        mean: Plane::from_normal(&normal),
        tensor,
        fisher_k,
        cone_95_deg,
        no_scatter,
        form: tensor
            .shape()
            .filter(|_| expected_count > LEAST_FOR_A_FORM && !no_scatter)
            .map(|shape| if shape >= 1.0 { Form::Cluster } else { Form::Girdle }),
        spread,
        spacing: spacing_of(
            &Scatter { normal, k: fisher_k },
            &once,
            &Places {
                lines: &sample.survey.lines,
                used: sample.lines_used,
                counts: sample.counts,
                stated: &sample.survey.stated_spacings,
                label: of.label,
            },
        ),
        trace_length,
        traces_endless,
        long_traces: long_traces(&once, &sample.survey.lines),
        jrc: mean(assigned.iter().filter_map(|r| r.jrc)),
        quality,
        friction_hint,
    })
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (mut sum, mut count) = (0.0, 0.0);
    for value in values {
        sum += value;
        count += 1.0;
    }
    (count > 0.0).then(|| sum / count)
}

/// The mean trace length, corrected where windows allow it, and whether windows showed traces
/// without any end.
fn trace_length(readings: &[&Reading], survey: &Survey) -> (Option<TraceLength>, bool) {
    let mut windows = Vec::new();
    let mut values = 0;
    for (at, line) in survey.lines.iter().enumerate() {
        if line.kind != Some(LineKind::Window) || line.window.is_none() {
            continue;
        }
        let mut counts = EndCounts::default();
        let mut normals = Vec::new();
        for reading in readings.iter().filter(|r| r.line == Some(at)) {
            if let Some(ends) = reading.ends_seen {
                counts.add(ends);
                normals.push(reading.plane.upward_normal());
            }
        }
        if let Some(measure) = WindowMeasure::of(line, &normals).filter(|_| !normals.is_empty()) {
            values += normals.len();
            windows.push((counts, measure));
        }
    }
    if let Some(mean_m) = mean_trace_length_m(&windows) {
        return (Some(TraceLength { mean_m, corrected: true, values }), false);
    }
    if !windows.is_empty() && !windows.iter().any(|(counts, _)| counts.any_end_seen()) {
        return (None, true);
    }
    // No windows, or every trace lies whole in its window: what was seen is what there is.
    let seen: Vec<f64> = readings.iter().filter_map(|r| r.trace_length_m).collect();
    let plain =
        mean(seen.iter().copied()).map(|mean_m| TraceLength { mean_m, corrected: false, values: seen.len() });
    (plain, false)
}
