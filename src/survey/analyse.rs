use nalgebra::Unit;

use super::assign::{Assignment, SetSource, assign};
use super::counts::LineCounts;
use super::domains::{Domains, find_domains};
use super::frequency::{rqd_percent, volumetric_joint_count_per_m3};
use super::hand::warn_about_borders;
use super::joint_set::{JointSet, Membership, Sample, joint_set};
use super::meeting::{Triple, meeting_probabilities};
use super::mixture::{Mixture, MixtureOptions};
use super::order::canonical_order;
use super::quality::{HintConditions, QualitySummary, summarise};
use super::set_doubt::warn_about_sets;
use super::weight::{BlindZone, DEFAULT_MAX_WEIGHT, lines_seen, terzaghi_weight};
use super::{LineKind, Reading, Survey, Warning};
use crate::orientation::Vec3;

/// How a survey is turned into sets.
#[derive(Debug, Clone, PartialEq)]
pub struct MapOptions {
    /// Labels, mixture or borders by hand.
    pub source: SetSource,
    /// Number of sets, starting directions, seed.
    pub mixture: MixtureOptions,
    /// Greatest Terzaghi weight; infinite for none.
    pub max_weight: f64,
    /// Bootstrap resamples; 0 for none.
    pub resamples: u32,
    /// What a hint on friction from JRC and JCS holds for; no hint without.
    pub hint: Option<HintConditions>,
}

impl Default for MapOptions {
    fn default() -> Self {
        Self {
            source: SetSource::default(),
            mixture: MixtureOptions::default(),
            max_weight: DEFAULT_MAX_WEIGHT,
            resamples: 400,
            hint: None,
        }
    }
}

/// Where one reading belongs.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingClass {
    /// Index into [`Mapped::sets`]; `None` for a reading of no set.
    pub set: Option<usize>,
    /// Terzaghi weight (1 where the line's direction is not known) times the mapper's own.
    pub weight: f64,
    /// Whether it repeats an earlier row: the same joint at the same place.
    pub repeat: bool,
}

/// How probably each reading belongs to each set: a row a reading, one after the other, as surveys have a million.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Memberships {
    sets: usize,
    rows: Vec<f64>,
}

impl Memberships {
    /// Probability of each set for one of [`Survey::readings`], in the order of [`Mapped::sets`]; what is missing to 1
    /// is that of none. Labels are certain. Empty where there are no sets, or no such reading.
    #[must_use]
    pub fn of(&self, reading: usize) -> &[f64] {
        self.rows.get(reading * self.sets..(reading + 1) * self.sets).unwrap_or_default()
    }
}

/// What one scanline or hole says about the rock along it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineSummary {
    /// Index into [`Survey::lines`].
    pub line: usize,
    /// Readings on it.
    pub readings: usize,
    /// Of those, rows that repeat an earlier one.
    pub repeats: usize,
    /// Rejected rows with a distance on it.
    pub rejects: usize,
    /// Joints per metre along it, counted as [`super::COUNTING_RULE`] says.
    pub frequency_per_m: f64,
    /// RQD estimated from that, percent (Priest & Hudson 1976).
    pub rqd_percent: f64,
}

/// A survey's sets and what they are worth.
#[derive(Debug, Clone, PartialEq)]
pub struct Mapped {
    /// Sets: labelled ones by name, found ones by size.
    pub sets: Vec<JointSet>,
    /// One for each of [`Survey::readings`], in their order.
    pub classes: Vec<ReadingClass>,
    /// How probably each belongs to each set.
    pub memberships: Memberships,
    /// The mixture, when sets were found and not labelled.
    pub mixture: Option<Mixture>,
    /// Scanlines and holes of known length.
    pub lines: Vec<LineSummary>,
    /// Joints per cubic metre from the sets that have a spacing, and how many those are.
    pub volumetric_count_per_m3: Option<(f64, usize)>,
    /// Triples of sets that have a spacing, likeliest first, with block volumes.
    pub triples: Vec<Triple>,
    /// Where the sets change along the drive; `None` where too few readings have a place. Nothing else rests on it.
    pub domains: Option<Domains>,
    /// What all readings, in sets or not, say of rock quality.
    pub quality: QualitySummary,
    /// What could hardly be seen; `None` when lines are not known.
    pub blind_zone: Option<BlindZone>,
    /// What a person should look at, besides [`Survey::warnings`].
    pub warnings: Vec<Warning>,
}

/// Turns a survey into joint sets with statistics: the study behind `map`, on plain values.
///
/// The result does not depend on the order of the readings, and with the same options it is
/// the same to the last bit on any number of threads.
///
/// # Units
/// Degrees, metres; see each field.
///
/// # Example
/// ```
/// use backhold::survey::{MapOptions, ReadOptions, SURVEY_TEMPLATE, map_survey, read_survey};
///
/// let survey = read_survey("survey", SURVEY_TEMPLATE, &ReadOptions::default())?;
/// let mapped = map_survey(&survey, &MapOptions::default());
/// assert_eq!(mapped.sets.len(), 3);
/// assert!(mapped.sets.iter().all(|set| set.fisher_k > Some(10.0) && set.spacing.is_some()));
/// # Ok::<(), backhold::survey::Problems>(())
/// ```
#[must_use]
pub fn map_survey(survey: &Survey, options: &MapOptions) -> Mapped {
    map_renamed(survey, options, |_| {})
}

/// The same with sets that `rename` gives other names before anything is said of them.
pub(crate) fn map_renamed(survey: &Survey, options: &MapOptions, rename: impl FnOnce(&mut Mapped)) -> Mapped {
    let order = canonical_order(survey);
    let ordered: Vec<&Reading> = order.iter().map(|&at| &survey.readings[at]).collect();
    // Worked in the order of the readings, which lie one after the other.
    let weighted = |reading: &Reading| {
        let (normal, line) = (reading.plane.upward_normal(), reading.line.map(|at| &survey.lines[at]));
        let own = reading.mapper_weight.unwrap_or(1.0);
        (normal.into_inner(), own * terzaghi_weight(line, &normal, options.max_weight))
    };
    let by_reading: Vec<(Vec3, f64)> = survey.readings.iter().map(weighted).collect();
    let (axes, weights): (Vec<Vec3>, Vec<f64>) = order.iter().map(|&at| by_reading[at]).unzip();
    drop(by_reading);
    let mut lines_used = vec![false; survey.lines.len()];
    for line in ordered.iter().filter_map(|r| r.line) {
        lines_used[line] = true;
    }
    let counts = LineCounts::of(survey);
    let repeats: Vec<bool> = order.iter().map(|&at| counts.repeat[at]).collect();
    let assignment = assign(survey, &ordered, &axes, &options.source, &options.mixture);
    let sample = Sample {
        survey,
        ordered: &ordered,
        axes: &axes,
        weights: &weights,
        repeats: &repeats,
        counts: &counts,
        lines_used: &lines_used,
        resamples: options.resamples,
        seed: options.mixture.seed,
        hint: options.hint,
    };
    let found: Vec<Option<JointSet>> = (0..assignment.names.len())
        .map(|index| {
            joint_set(
                &sample,
                &Membership {
                    index,
                    name: &assignment.names[index],
                    label: assignment.labels[index],
                    sets: assignment.names.len(),
                    set: &assignment.set,
                    probabilities: &assignment.probabilities,
                },
            )
        })
        .collect();
    let (classes, memberships) = classes(&order, &assignment, &weights, &counts.repeat, &found);
    // A million readings take room: what is not asked for any more is let go.
    let mixture = assignment.mixture;
    drop((assignment.set, assignment.probabilities, weights, order));
    let sets: Vec<JointSet> = found.into_iter().flatten().collect();
    let blind_zone = lines_seen(&survey.readings, &survey.lines)
        .filter(|_| options.max_weight.is_finite())
        .map(|lines| BlindZone::of(&lines, options.max_weight));
    let mut mapped = Mapped {
        classes,
        memberships,
        mixture,
        lines: line_summaries(survey, &counts),
        volumetric_count_per_m3: volumetric(&sets),
        triples: triples(&sets),
        sets,
        domains: find_domains(survey, &ordered, &axes, options.mixture.seed),
        quality: summarise(survey.readings.iter()),
        blind_zone,
        warnings: Vec::new(),
    };
    rename(&mut mapped);
    counts.warn(survey, &mut mapped.warnings);
    if let SetSource::ByHand(sets) = &options.source {
        warn_about_borders(sets, &axes, &mut mapped.warnings);
    }
    warn_about_sets(survey, options, &mut mapped);
    mapped
}

/// Classes and memberships in the order of the readings. A set of the mixture that nothing belongs to was not
/// `found`, and takes no place among the rest.
fn classes(
    order: &[usize],
    assignment: &Assignment,
    weights: &[f64],
    repeat: &[bool],
    found: &[Option<JointSet>],
) -> (Vec<ReadingClass>, Memberships) {
    let sets = assignment.names.len();
    let mut places = Vec::with_capacity(sets);
    let mut next = 0;
    for set in found {
        places.push(set.is_some().then_some(next));
        next += usize::from(set.is_some());
    }
    // Made in the order of the readings, so that what is read together lies together.
    let mut place_of = vec![0_usize; order.len()];
    for (at, &reading) in order.iter().enumerate() {
        place_of[reading] = at;
    }
    let kept = places.iter().flatten().count();
    let mut memberships = Memberships { sets: kept, rows: Vec::with_capacity(kept * order.len()) };
    let mut classes = Vec::with_capacity(order.len());
    for (at, &repeat) in place_of.into_iter().zip(repeat) {
        let all = assignment.probabilities[at * sets..(at + 1) * sets].iter().zip(&places);
        memberships.rows.extend(all.filter_map(|(&probability, place)| place.map(|_| probability)));
        let set = assignment.set[at].and_then(|set| places[set]);
        classes.push(ReadingClass { set, weight: weights[at], repeat });
    }
    (classes, memberships)
}

fn line_summaries(survey: &Survey, counts: &LineCounts) -> Vec<LineSummary> {
    (0..survey.lines.len())
        .filter_map(|line| {
            let found = &survey.lines[line];
            let along = matches!(found.kind, Some(LineKind::Scanline | LineKind::Hole));
            let [readings, repeats, rejects] = counts.readings_repeats_rejects(line);
            let length = found.length_m.filter(|_| along && readings + rejects > 0)?;
            #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
            let frequency_per_m = (readings - repeats + rejects) as f64 / length;
            Some(LineSummary {
                line,
                readings,
                repeats,
                rejects,
                frequency_per_m,
                rqd_percent: rqd_percent(frequency_per_m),
            })
        })
        .collect()
}

fn volumetric(sets: &[JointSet]) -> Option<(f64, usize)> {
    let spacings: Vec<f64> = sets.iter().filter_map(|s| s.spacing.map(|spacing| spacing.mean_m)).collect();
    (!spacings.is_empty()).then(|| (volumetric_joint_count_per_m3(&spacings), spacings.len()))
}

fn triples(sets: &[JointSet]) -> Vec<Triple> {
    let with_spacing: Vec<(usize, (Unit<Vec3>, f64))> =
        sets.iter().enumerate().filter_map(|(at, s)| Some((at, (s.normal(), s.spacing?.mean_m)))).collect();
    let values: Vec<(Unit<Vec3>, f64)> = with_spacing.iter().map(|(_, v)| *v).collect();
    let mut triples = meeting_probabilities(&values);
    for triple in &mut triples {
        triple.sets = triple.sets.map(|at| with_spacing[at].0);
    }
    triples
}
