use super::hand::{HandSet, set_of};
use super::mixture::{Component, Mixture, MixtureOptions, component_of, fit_mixture, with_shares};
use super::{Reading, Survey};
use crate::orientation::Vec3;

/// Where sets come from.
#[derive(Debug, Clone, Default, PartialEq)]
pub enum SetSource {
    /// The mapper's labels when any reading has one, else the mixture.
    #[default]
    LabelsElseAutomatic,
    /// The same, and readings without a label go to the labelled set that they most likely belong to, or to
    /// none: the labelled readings say where each set lies and how it scatters.
    LabelsForAll,
    /// The mixture, whatever the labels say.
    Automatic,
    /// Borders that somebody drew, whatever the labels say, in this order; what is outside of all is in no set.
    ByHand(Vec<HandSet>),
}

/// Which reading belongs to which set, readings in canonical order.
pub(crate) struct Assignment {
    pub names: Vec<String>,
    /// The survey's label behind each set, when the mapper labelled.
    pub labels: Vec<Option<usize>>,
    /// The set of each reading, or none.
    pub set: Vec<Option<usize>>,
    /// Probability of each set for each reading, a row a reading. Labels are certain.
    pub probabilities: Vec<f64>,
    pub mixture: Option<Mixture>,
}

pub(crate) fn assign(
    survey: &Survey,
    ordered: &[&Reading],
    axes: &[Vec3],
    source: &SetSource,
    options: &MixtureOptions,
) -> Assignment {
    if let SetSource::ByHand(sets) = source {
        return by_hand(axes, sets);
    }
    let labelled = ordered.iter().any(|r| r.label.is_some());
    if !labelled || *source == SetSource::Automatic {
        return by_mixture(axes, options);
    }
    let mut labels = by_label(survey, ordered);
    if *source == SetSource::LabelsForAll {
        join_unlabelled(axes, &mut labels);
    }
    labels
}

fn by_label(survey: &Survey, ordered: &[&Reading]) -> Assignment {
    let mut used = vec![false; survey.labels.len()];
    for label in ordered.iter().filter_map(|r| r.label) {
        used[label] = true;
    }
    let mut labels: Vec<usize> = (0..survey.labels.len()).filter(|&l| used[l]).collect();
    // By name, short ones first, so that 2 comes before 10: rows may come in any order.
    labels.sort_by_key(|&l| (survey.labels[l].len(), &survey.labels[l]));
    let mut set_of_label = vec![None; survey.labels.len()];
    for (set, &label) in labels.iter().enumerate() {
        set_of_label[label] = Some(set);
    }
    let set: Vec<Option<usize>> =
        ordered.iter().map(|r| r.label.and_then(|label| set_of_label[label])).collect();
    Assignment {
        names: labels.iter().map(|&l| survey.labels[l].clone()).collect(),
        probabilities: certain(&set, labels.len()),
        labels: labels.into_iter().map(Some).collect(),
        set,
        mixture: None,
    }
}

fn by_hand(axes: &[Vec3], sets: &[HandSet]) -> Assignment {
    let set: Vec<Option<usize>> = axes.iter().map(|axis| set_of(sets, axis)).collect();
    Assignment {
        names: sets.iter().map(|set| set.name.clone()).collect(),
        labels: vec![None; sets.len()],
        probabilities: certain(&set, sets.len()),
        set,
        mixture: None,
    }
}

/// Probabilities of sets that nobody doubts, a row a reading.
fn certain(set: &[Option<usize>], sets: usize) -> Vec<f64> {
    let mut probabilities = vec![0.0; set.len() * sets];
    for (reading, set) in set.iter().enumerate() {
        if let Some(set) = set {
            probabilities[reading * sets + set] = 1.0;
        }
    }
    probabilities
}

/// Readings without a label join the labelled sets.
fn join_unlabelled(axes: &[Vec3], labels: &mut Assignment) {
    let of = |wanted: Option<usize>| -> Vec<Vec3> {
        axes.iter().zip(&labels.set).filter(|(_, set)| **set == wanted).map(|(axis, _)| *axis).collect()
    };
    let sets = labels.names.len();
    let components: Vec<Component> = (0..sets).filter_map(|set| component_of(&of(Some(set)))).collect();
    let loose = of(None);
    // Every label has a reading, and every reading a direction.
    if components.len() < sets || loose.is_empty() {
        return;
    }
    let mixture = with_shares(&loose, components);
    let at: Vec<usize> = (0..axes.len()).filter(|&at| labels.set[at].is_none()).collect();
    let mut next = at.into_iter();
    mixture.memberships(&loose, |row| {
        if let Some(at) = next.next() {
            labels.probabilities[at * sets..(at + 1) * sets].copy_from_slice(row);
            labels.set[at] = likeliest(row);
        }
    });
}

/// The likeliest set, where none of all is less likely.
fn likeliest(probabilities: &[f64]) -> Option<usize> {
    let background = 1.0 - probabilities.iter().sum::<f64>();
    let best = probabilities.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(&a.0)));
    best.filter(|(_, p)| **p > background).map(|(at, _)| at)
}

fn by_mixture(axes: &[Vec3], options: &MixtureOptions) -> Assignment {
    let mixture = fit_mixture(axes, options);
    let sets = mixture.components.len();
    let mut set = Vec::with_capacity(axes.len());
    let mut probabilities = Vec::with_capacity(axes.len() * sets);
    mixture.memberships(axes, |row| {
        probabilities.extend_from_slice(row);
        set.push(likeliest(row));
    });
    Assignment {
        names: (0..sets).map(set_letter).collect(),
        labels: vec![None; sets],
        set,
        probabilities,
        mixture: Some(mixture),
    }
}

/// A, B, … Z, A1, B1, …
pub(crate) fn set_letter(index: usize) -> String {
    let letter = char::from(b'A' + u8::try_from(index % 26).unwrap_or(0));
    match index / 26 {
        0 => letter.to_string(),
        round => format!("{letter}{round}"),
    }
}
