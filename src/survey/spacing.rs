use std::collections::BTreeMap;

use nalgebra::Unit;

use super::{LineKind, Reading, StatedSpacing, SurveyLine};
use crate::orientation::{Vec3, fisher_direction};

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

/// Orientation of a set as a line meets it: its mean and its scatter.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Scatter {
    pub normal: Unit<Vec3>,
    /// Fisher's K; `None` where one reading cannot tell.
    pub k: Option<f64>,
}

/// Rings and spokes of the scatter that an exposure is averaged over: good to a part in a
/// thousand, which a count of joints never is.
const RINGS: u32 = 24;
const SPOKES: u32 = 24;

impl Scatter {
    /// Mean exposure of the set's joints to `line`, by Fisher's distribution round the mean. The
    /// mean plane alone would be wrong for a set nearly along the line: its joints are met
    /// because they scatter.
    fn exposure(&self, line: &SurveyLine) -> Option<f64> {
        let Some(k) = self.k.filter(|k| k.is_finite()) else {
            return line.exposure(&self.normal);
        };
        let mut sum = 0.0;
        for ring in 0..RINGS {
            for spoke in 0..SPOKES {
                let uniform = [
                    (f64::from(ring) + 0.5) / f64::from(RINGS),
                    (f64::from(spoke) + 0.5) / f64::from(SPOKES),
                ];
                sum += line.exposure(&fisher_direction(&self.normal, k, uniform))?;
            }
        }
        Some(sum / f64::from(RINGS * SPOKES))
    }
}

/// Mean spacing of a set in metres square to its joints, from the best basis there is.
///
/// Counted along lines it is Σ `Lⱼ·eⱼ`/N, `eⱼ` the mean exposure |n·lⱼ| of its joints (Terzaghi
/// 1965): the maximum of the likelihood for joints at random with N met on lines of lengths
/// `Lⱼ`, so that a line nearly along the set adds next to nothing instead of a huge weight.
/// `readings` are the set's, in canonical order; `lines_used` tells which lines were surveyed.
pub(crate) fn spacing_of(
    set: &Scatter,
    readings: &[&Reading],
    lines: &[SurveyLine],
    lines_used: &[bool],
    stated: &[StatedSpacing],
    label: Option<usize>,
) -> Option<Spacing> {
    along_lines(set, readings, lines, lines_used)
        .or_else(|| gaps(set, readings, lines))
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
                    let exposure = s.line.and_then(|at| set.exposure(&lines[at]));
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
    set: &Scatter,
    readings: &[&Reading],
    lines: &[SurveyLine],
    lines_used: &[bool],
) -> Option<Spacing> {
    let sampled: Vec<Option<f64>> = lines
        .iter()
        .zip(lines_used)
        .map(|(line, used)| {
            (is_along(line) && *used).then(|| Some(line.length_m? * set.exposure(line)?)).flatten()
        })
        .collect();
    let square_to_set: f64 = sampled.iter().flatten().sum();
    let values = readings.iter().filter(|r| r.line.is_some_and(|at| sampled[at].is_some())).count();
    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
    let mean_m = square_to_set / values as f64;
    (values >= LEAST_VALUES && mean_m > 0.0).then_some(Spacing {
        mean_m,
        basis: SpacingBasis::LineFrequency,
        values,
    })
}

fn gaps(set: &Scatter, readings: &[&Reading], lines: &[SurveyLine]) -> Option<Spacing> {
    let exposures: Vec<Option<f64>> =
        lines.iter().map(|line| is_along(line).then(|| set.exposure(line)).flatten()).collect();
    let mut places: BTreeMap<&str, (f64, Vec<f64>)> = BTreeMap::new();
    for reading in readings {
        let (Some(at), Some(distance)) = (reading.line, reading.distance_m) else {
            continue;
        };
        let line = &lines[at];
        if let Some(exposure) = exposures[at] {
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
    (values >= LEAST_VALUES && mean_m > 0.0).then_some(Spacing { mean_m, basis: SpacingBasis::Gaps, values })
}

fn mean_of(values: &[f64], basis: SpacingBasis) -> Option<Spacing> {
    // One stated mean is a mean already.
    let least = if basis == SpacingBasis::Stated { 1 } else { LEAST_VALUES };
    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
    let mean_m = values.iter().sum::<f64>() / values.len() as f64;
    (values.len() >= least && mean_m > 0.0).then_some(Spacing { mean_m, basis, values: values.len() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::{Line, Plane};
    use crate::survey::Notation;
    use crate::survey::mixture::uniform;
    use rand_chacha::ChaCha8Rng;
    use rand_chacha::rand_core::SeedableRng;

    fn reading(line: usize, distance_m: f64) -> Reading {
        Reading {
            line_number: 1,
            plane: Plane { dip_deg: 0.0, dip_direction_deg: 0.0 },
            notation: Notation::DipDirection,
            label: None,
            line: Some(line),
            distance_m: Some(distance_m),
            trace_length_m: None,
            ends_seen: None,
            spacing_m: None,
            jrc: None,
            near_steel: false,
            remarks: None,
        }
    }

    fn line(trend_deg: f64, plunge_deg: f64, length_m: Option<f64>) -> SurveyLine {
        SurveyLine {
            kind: Some(LineKind::Scanline),
            direction: Some(Line { trend_deg, plunge_deg }),
            length_m,
            ..SurveyLine::named(&format!("{trend_deg}"))
        }
    }

    /// Joints at random, 1.5 m apart, of a set that dips 12° and scatters with K 30: a level
    /// line meets those that scatter across it. Seeded; some 2000 joints met, so 7 % is three
    /// standard errors.
    #[test]
    fn a_set_nearly_along_the_line_keeps_its_spacing() {
        let mut rng = ChaCha8Rng::seed_from_u64(8);
        let level = line(90.0, 0.0, Some(20_000.0));
        let set = Scatter {
            normal: Plane { dip_deg: 4.0, dip_direction_deg: 200.0 }.upward_normal(),
            k: Some(30.0),
        };
        let (mut at, mut readings) = (0.0, Vec::new());
        loop {
            at -= 1.5 * (1.0 - uniform(&mut rng)).ln();
            if at > 20_000.0 {
                break;
            }
            let numbers = [uniform(&mut rng), uniform(&mut rng)];
            let joint = fisher_direction(&set.normal, 30.0, numbers);
            if uniform(&mut rng) < level.exposure(&joint).unwrap() {
                readings.push(reading(0, at));
            }
        }
        assert!(readings.len() > 1500, "{}", readings.len());
        let readings: Vec<&Reading> = readings.iter().collect();
        let known = spacing_of(&set, &readings, std::slice::from_ref(&level), &[true], &[], None).unwrap();
        assert_eq!(known.basis, SpacingBasis::LineFrequency);
        assert!((known.mean_m / 1.5 - 1.0).abs() < 0.07, "{known:?}");
        let unmeasured = SurveyLine { length_m: None, ..level };
        let by_gaps = spacing_of(&set, &readings, &[unmeasured], &[true], &[], None).unwrap();
        assert_eq!(by_gaps.basis, SpacingBasis::Gaps);
        assert!((by_gaps.mean_m / 1.5 - 1.0).abs() < 0.07, "{by_gaps:?}");
    }

    /// By hand: 5 joints on 10 m square to the set and 2 on 4 m at 30° to it, no scatter:
    /// (10 + 4·0.5)/7 = 1.714 m. A line that nobody surveyed does not count.
    #[test]
    fn lines_are_pooled_by_what_they_could_meet() {
        let lines = [line(0.0, 0.0, Some(10.0)), line(60.0, 0.0, Some(4.0)), line(0.0, 1.0, Some(99.0))];
        let set =
            Scatter { normal: Plane { dip_deg: 90.0, dip_direction_deg: 0.0 }.upward_normal(), k: None };
        let mut readings = vec![reading(0, 1.0); 5];
        readings.extend(vec![reading(1, 1.0); 2]);
        let readings: Vec<&Reading> = readings.iter().collect();
        let used = [true, true, false];
        let found = spacing_of(&set, &readings, &lines, &used, &[], None).unwrap();
        assert!((found.mean_m - 12.0 / 7.0).abs() < 1e-12 && found.values == 7);
    }

    #[test]
    fn without_distances_measured_spacings_count_and_without_any_nothing_is_said() {
        let set = Scatter { normal: Unit::new_normalize(Vec3::z()), k: None };
        let bare = Reading { line: None, distance_m: None, ..reading(0, 0.0) };
        let measured = |spacing_m| Reading { spacing_m: Some(spacing_m), ..bare.clone() };
        let (a, b) = (measured(0.5), measured(0.9));
        let found = spacing_of(&set, &[&a, &b, &bare], &[], &[], &[], None).unwrap();
        assert_eq!((found.basis, found.values), (SpacingBasis::Measured, 2));
        assert!((found.mean_m - 0.7).abs() < 1e-12);
        assert_eq!(spacing_of(&set, &[&bare, &bare], &[], &[], &[], None), None);
    }
}
