use std::collections::BTreeMap;

use nalgebra::Unit;

use super::{LineKind, Reading, StatedSpacing, SurveyLine};
use crate::orientation::Vec3;

/// What a mean spacing was made from, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SpacingBasis {
    /// Joints counted along scanlines or holes of known length and direction.
    LineFrequency,
    /// Distances between neighbouring joints of the set along a line.
    Gaps,
    /// Spacings that were measured square to the joints.
    Measured,
    /// Mean spacings that a log states for the set.
    Stated,
}

impl SpacingBasis {
    /// The basis in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::LineFrequency => "counted along lines",
            Self::Gaps => "distances between neighbours along lines",
            Self::Measured => "measured spacings",
            Self::Stated => "stated in the log",
        }
    }
}

/// Mean spacing of a set square to its joints.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spacing {
    /// Mean spacing, metres.
    pub mean_m: f64,
    /// What it was made from.
    pub basis: SpacingBasis,
    /// How many joints, gaps or values that was.
    pub values: usize,
}

/// Fewest joints that give a frequency, and fewest values that give a mean.
const LEAST_VALUES: usize = 2;

/// Mean spacing of a set in metres square to its joints, from the best basis there is.
///
/// Counted along lines it is Σ `Lⱼ·eⱼ`/N, `eⱼ` the exposure |n·lⱼ| (Terzaghi 1965): the maximum
/// of the likelihood for joints at random with N met on lines of lengths `Lⱼ`, so that a line
/// nearly along the set adds next to nothing instead of a huge weight. `readings` are the set's,
/// in canonical order; `lines_used` tells which lines were surveyed at all.
pub(crate) fn spacing_of(
    normal: &Unit<Vec3>,
    readings: &[&Reading],
    lines: &[SurveyLine],
    lines_used: &[bool],
    stated: &[StatedSpacing],
    label: Option<usize>,
) -> Option<Spacing> {
    along_lines(normal, readings, lines, lines_used)
        .or_else(|| gaps(normal, readings, lines))
        .or_else(|| {
            let values: Vec<f64> = readings.iter().filter_map(|r| r.spacing_m).collect();
            mean_of(&values, SpacingBasis::Measured)
        })
        .or_else(|| {
            let label = label?;
            let values: Vec<f64> = stated
                .iter()
                .filter(|s| s.label == Some(label))
                .map(|s| {
                    let exposure = s.line.and_then(|at| lines[at].exposure(normal));
                    s.mean_m * exposure.unwrap_or(1.0)
                })
                .collect();
            mean_of(&values, SpacingBasis::Stated)
        })
}

fn is_along(line: &SurveyLine) -> bool {
    matches!(line.kind, Some(LineKind::Scanline | LineKind::Hole))
}

fn along_lines(
    normal: &Unit<Vec3>,
    readings: &[&Reading],
    lines: &[SurveyLine],
    lines_used: &[bool],
) -> Option<Spacing> {
    let sampled = |at: usize| -> Option<f64> {
        let line = &lines[at];
        (is_along(line) && lines_used[at])
            .then(|| Some(line.length_m? * line.exposure(normal)?))
            .flatten()
    };
    let square_to_set: f64 = (0..lines.len()).filter_map(sampled).sum();
    let values = readings
        .iter()
        .filter(|r| r.line.and_then(sampled).is_some())
        .count();
    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
    let mean_m = square_to_set / values as f64;
    (values >= LEAST_VALUES && mean_m > 0.0).then_some(Spacing {
        mean_m,
        basis: SpacingBasis::LineFrequency,
        values,
    })
}

fn gaps(normal: &Unit<Vec3>, readings: &[&Reading], lines: &[SurveyLine]) -> Option<Spacing> {
    let mut places: BTreeMap<&str, (f64, Vec<f64>)> = BTreeMap::new();
    for reading in readings {
        let (Some(at), Some(distance)) = (reading.line, reading.distance_m) else {
            continue;
        };
        let line = &lines[at];
        if let Some(exposure) = line.exposure(normal).filter(|_| is_along(line)) {
            let entry = places.entry(&line.id).or_insert((exposure, Vec::new()));
            entry.1.push(distance);
        }
    }
    let mut square_to_set = 0.0;
    let mut values = 0;
    for (exposure, mut distances) in places.into_values() {
        distances.sort_by(f64::total_cmp);
        if let (Some(first), Some(last)) = (distances.first(), distances.last()) {
            square_to_set += (last - first) * exposure;
            values += distances.len() - 1;
        }
    }
    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
    let mean_m = square_to_set / values as f64;
    (values >= LEAST_VALUES && mean_m > 0.0).then_some(Spacing {
        mean_m,
        basis: SpacingBasis::Gaps,
        values,
    })
}

fn mean_of(values: &[f64], basis: SpacingBasis) -> Option<Spacing> {
    // One stated mean is a mean already.
    let least = if basis == SpacingBasis::Stated {
        1
    } else {
        LEAST_VALUES
    };
    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
    let mean_m = values.iter().sum::<f64>() / values.len() as f64;
    (values.len() >= least && mean_m > 0.0).then_some(Spacing {
        mean_m,
        basis,
        values: values.len(),
    })
}
