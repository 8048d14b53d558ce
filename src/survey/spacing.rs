use std::collections::BTreeMap;

use nalgebra::Unit;

use super::counts::LineCounts;
use super::{DEFAULT_MAX_WEIGHT, LineKind, Reading, StatedSpacing, SurveyLine};
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
    /// How many joints, gaps or values that was, each once.
    pub values: usize,
    /// Joints along lines that were counted besides: the set's part of rejected rows, by
    /// [`super::COUNTING_RULE`].
    pub rejects: f64,
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

/// Where a set's joints were looked for, and what the survey counted there.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Places<'s> {
    pub lines: &'s [SurveyLine],
    /// Which lines were surveyed.
    pub used: &'s [bool],
    pub counts: &'s LineCounts,
    pub stated: &'s [StatedSpacing],
    /// The set's label, where sets are labelled.
    pub label: Option<usize>,
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
/// N and the gaps are counted as [`super::COUNTING_RULE`] says. `readings` are the set's, in canonical order,
/// repeats left out.
pub(crate) fn spacing_of(set: &Scatter, readings: &[&Reading], places: &Places<'_>) -> Option<Spacing> {
    along_lines(set, readings, places)
        .or_else(|| gaps(set, readings, places))
        .or_else(|| {
            let values: Vec<f64> = readings.iter().filter_map(|r| r.spacing_m).collect();
            mean_of(&values, SpacingBasis::Measured)
        })
        .or_else(|| {
            let label = places.label?;
            let values: Vec<f64> = places
                .stated
                .iter()
                .filter(|s| s.label == Some(label))
                .map(|s| {
                    let exposure = s.line.and_then(|at| set.exposure(&places.lines[at]));
                    s.mean_m * exposure.unwrap_or(1.0)
                })
                .collect();
            mean_of(&values, SpacingBasis::Stated)
        })
}

/// Single spacings of one set as the survey shows them, metres square to the set, ascending:
/// distances between its neighbouring joints along each line, or, where no line has any, spacings
/// that were measured. `of_set` says which readings are the set's, one for each.
///
/// Neighbours along a line are turned square to the set by the exposure of its mean plane;
/// lines that it runs along are passed over, since a distance there says nothing.
#[must_use]
pub fn spacings_seen_m(
    normal: &Unit<Vec3>,
    readings: &[Reading],
    of_set: impl Fn(usize) -> bool,
    lines: &[SurveyLine],
) -> Vec<f64> {
    let mut places: Vec<Vec<f64>> = vec![Vec::new(); lines.len()];
    let mut measured = Vec::new();
    for (_, reading) in readings.iter().enumerate().filter(|(at, _)| of_set(*at)) {
        measured.extend(reading.spacing_m);
        if let (Some(line), Some(distance)) = (reading.line, reading.distance_m) {
            places[line].push(distance);
        }
    }
    let mut spacings = Vec::new();
    for (line, distances) in lines.iter().zip(&mut places) {
        let exposure = line.exposure(normal).filter(|&e| is_along(line) && e * DEFAULT_MAX_WEIGHT > 1.0);
        if let Some(exposure) = exposure {
            distances.sort_by(f64::total_cmp);
            spacings.extend(distances.windows(2).map(|pair| (pair[1] - pair[0]) * exposure));
        }
    }
    if spacings.is_empty() {
        spacings = measured;
    }
    spacings.sort_by(f64::total_cmp);
    spacings
}

fn is_along(line: &SurveyLine) -> bool {
    matches!(line.kind, Some(LineKind::Scanline | LineKind::Hole))
}

fn along_lines(set: &Scatter, readings: &[&Reading], places: &Places<'_>) -> Option<Spacing> {
    let sampled: Vec<Option<f64>> = places
        .lines
        .iter()
        .zip(places.used)
        .map(|(line, used)| {
            (is_along(line) && *used).then(|| Some(line.length_m? * set.exposure(line)?)).flatten()
        })
        .collect();
    let square_to_set: f64 = sampled.iter().flatten().sum();
    let mut on_line = vec![0_usize; sampled.len()];
    for line in readings.iter().filter_map(|r| r.line).filter(|&at| sampled[at].is_some()) {
        on_line[line] += 1;
    }
    let values = on_line.iter().sum::<usize>();
    let sampled_lines = (0..sampled.len()).filter(|&at| sampled[at].is_some());
    let joints: f64 = sampled_lines.map(|at| places.counts.of_set(at, on_line[at], places.label)).sum();
    let mean_m = square_to_set / joints;
    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
    let rejects = joints - values as f64;
    (values >= LEAST_VALUES && mean_m > 0.0).then_some(Spacing {
        mean_m,
        basis: SpacingBasis::LineFrequency,
        values,
        rejects,
    })
}

fn gaps(set: &Scatter, readings: &[&Reading], survey: &Places<'_>) -> Option<Spacing> {
    let lines = survey.lines;
    let exposures: Vec<Option<f64>> =
        lines.iter().map(|line| is_along(line).then(|| set.exposure(line)).flatten()).collect();
    let mut places: BTreeMap<&str, (usize, f64, Vec<f64>)> = BTreeMap::new();
    for reading in readings {
        let (Some(at), Some(distance)) = (reading.line, reading.distance_m) else {
            continue;
        };
        let line = &lines[at];
        if let Some(exposure) = exposures[at] {
            let entry = places.entry(&line.id).or_insert((at, exposure, Vec::new()));
            entry.2.push(distance);
        }
    }
    let mut square_to_set = 0.0;
    let (mut values, mut rejects) = (0, 0.0);
    for (at, exposure, mut distances) in places.into_values() {
        distances.sort_by(f64::total_cmp);
        if let (Some(first), Some(last)) = (distances.first(), distances.last()) {
            square_to_set += (last - first) * exposure;
            values += distances.len() - 1;
            // Joints between the first and the last that nobody could read part gaps as well.
            #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
            let joints = survey.counts.of_set(at, distances.len(), survey.label) / distances.len() as f64;
            #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
            let gaps = (distances.len() - 1) as f64;
            rejects += gaps * (joints - 1.0);
        }
    }
    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
    let mean_m = square_to_set / (values as f64 + rejects);
    let basis = SpacingBasis::Gaps;
    (values >= LEAST_VALUES && mean_m > 0.0).then_some(Spacing { mean_m, basis, values, rejects })
}

fn mean_of(values: &[f64], basis: SpacingBasis) -> Option<Spacing> {
    // One stated mean is a mean already.
    let least = if basis == SpacingBasis::Stated { 1 } else { LEAST_VALUES };
    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
    let mean_m = values.iter().sum::<f64>() / values.len() as f64;
    (values.len() >= least && mean_m > 0.0).then_some(Spacing {
        mean_m,
        basis,
        values: values.len(),
        rejects: 0.0,
    })
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
            chainage_m: None,
            terminations: None,
            trace_length_m: None,
            ends_seen: None,
            spacing_m: None,
            jrc: None,
            quality: None,
            mapper_weight: None,
            near_steel: false,
            remarks: None,
        }
    }

    fn found_on(
        set: &Scatter,
        readings: &[&Reading],
        lines: &[SurveyLine],
        used: &[bool],
    ) -> Option<Spacing> {
        let counts = LineCounts::without_rejects(lines.len());
        spacing_of(set, readings, &Places { lines, used, counts: &counts, stated: &[], label: None })
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
        let known = found_on(&set, &readings, std::slice::from_ref(&level), &[true]).unwrap();
        assert_eq!(known.basis, SpacingBasis::LineFrequency);
        assert!((known.mean_m / 1.5 - 1.0).abs() < 0.07, "{known:?}");
        let unmeasured = SurveyLine { length_m: None, ..level };
        let by_gaps = found_on(&set, &readings, &[unmeasured], &[true]).unwrap();
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
        let found = found_on(&set, &readings, &lines, &used).unwrap();
        assert!((found.mean_m - 12.0 / 7.0).abs() < 1e-12 && found.values == 7);
    }

    /// By hand: joints at 1, 2 and 4 m on a line at 30° to the set are 0.5 and 1 m apart.
    #[test]
    fn single_spacings_are_square_to_the_set() {
        let lines = [line(60.0, 0.0, None), line(90.0, 0.0, None)];
        let normal = Plane { dip_deg: 90.0, dip_direction_deg: 0.0 }.upward_normal();
        let all = [reading(0, 4.0), reading(0, 1.0), reading(0, 2.0), reading(0, 3.0), reading(1, 9.0)];
        // The fourth is another set's; the second line runs along the set.
        let seen = spacings_seen_m(&normal, &all, |at| at != 3, &lines);
        assert!(seen.len() == 2 && (seen[0] - 0.5).abs() < 1e-12 && (seen[1] - 1.0).abs() < 1e-12);
        let measured = [Reading { spacing_m: Some(0.7), line: None, ..reading(0, 0.0) }];
        assert_eq!(spacings_seen_m(&normal, &measured, |_| true, &lines), [0.7]);
    }

    #[test]
    fn without_distances_measured_spacings_count_and_without_any_nothing_is_said() {
        let set = Scatter { normal: Unit::new_normalize(Vec3::z()), k: None };
        let bare = Reading { line: None, distance_m: None, ..reading(0, 0.0) };
        let measured = |spacing_m| Reading { spacing_m: Some(spacing_m), ..bare.clone() };
        let (a, b) = (measured(0.5), measured(0.9));
        let found = found_on(&set, &[&a, &b, &bare], &[], &[]).unwrap();
        assert_eq!((found.basis, found.values), (SpacingBasis::Measured, 2));
        assert!((found.mean_m - 0.7).abs() < 1e-12);
        assert_eq!(found_on(&set, &[&bare, &bare], &[], &[]), None);
    }
}
