use super::nearest::{NearestSet, name_after, nearest_of};
use super::{AlongDrive, Border};
use crate::survey::analyse::map_renamed;
use crate::survey::{LineKind, MapOptions, Mapped, Reject, Survey, Warning};

/// A stretch of the drive, taken for itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Domain {
    /// Which one along the drive, from 1.
    pub number: usize,
    /// Where it begins, metres; `None` of the first.
    pub from_m: Option<f64>,
    /// Where it ends, metres; `None` of the last.
    pub to_m: Option<f64>,
    /// Readings and rejects within it, on lines that are as long as their part of it.
    pub survey: Survey,
    /// Its sets. Those that were found, and not labelled or drawn by hand, are called as what they go on from in the
    /// domain before; one that goes on from none has a name that no domain before has.
    pub mapped: Mapped,
    /// For each of its sets the nearest one of the last domain before it that has any.
    pub nearest: Vec<Option<NearestSet>>,
}

/// Chainages and distances of one line that run on together may be off by so much, metres.
const SAME_COUNT_M: f64 = 0.5;

/// Places are told to this, metres.
const TOLD_TO_M: f64 = 0.1;

/// Maps each stretch between borders, ascending, by itself. Readings without a place are in none of them; spacings
/// that a log states for a set are left out, since nobody knows where they hold.
#[must_use]
pub fn map_domains(
    survey: &Survey,
    along: AlongDrive,
    borders_m: &[f64],
    options: &MapOptions,
) -> Vec<Domain> {
    let starts: Vec<Option<f64>> = std::iter::once(None).chain(borders_m.iter().copied().map(Some)).collect();
    let ends = borders_m.iter().copied().map(Some).chain(std::iter::once(None));
    let mut domains: Vec<Domain> = Vec::new();
    for (at, (&from_m, to_m)) in starts.iter().zip(ends).enumerate() {
        let survey = within(survey, along, from_m, to_m);
        let mapped = map_renamed(&survey, options, |mapped| name_after(&domains, mapped));
        let nearest = nearest_of(&domains, &mapped);
        domains.push(Domain { number: at + 1, from_m, to_m, survey, mapped, nearest });
    }
    domains
}

/// Says in a survey's warnings that it was mapped in domains, or that no border was there for it. `found` tells whether
/// borders were asked for where they are found.
pub fn say_of_domains(mapped: &mut Mapped, domains: &[Domain], found: bool) {
    let borders: Vec<Border> = mapped.domains.as_ref().map_or_else(Vec::new, |d| d.borders.clone());
    let places: Vec<f64> = domains.iter().filter_map(|domain| domain.from_m).collect();
    // A border that was asked for as it is told, to the decimetre, is that border.
    let is_applied = |at_m: f64| {
        let border = borders.iter().find(|b| b.at_m == at_m);
        let near = |place: f64| (place - at_m).abs() <= TOLD_TO_M;
        let between = |place: f64| border.is_some_and(|b| place > b.between_m[0] && place <= b.between_m[1]);
        places.iter().any(|&place| near(place) || between(place))
    };
    for warning in &mut mapped.warnings {
        if let Warning::BorderFound { at_m, applied, .. } = warning {
            *applied = is_applied(*at_m);
        }
    }
    let mut said = Vec::new();
    if domains.len() > 1 {
        said.push(Warning::SetsOfWholeMixed { domains: domains.len() });
    } else if found {
        said.push(Warning::NoBorder { placed: mapped.domains.is_some() });
    }
    said.extend(
        domains
            .iter()
            .filter(|d| d.mapped.sets.is_empty())
            .map(|d| Warning::DomainWithoutSets { domain: d.number, readings: d.survey.readings.len() }),
    );
    mapped.warnings.splice(0..0, said);
}

fn within(survey: &Survey, along: AlongDrive, from_m: Option<f64>, to_m: Option<f64>) -> Survey {
    let holds = |place: f64| from_m.is_none_or(|from| place >= from) && to_m.is_none_or(|to| place < to);
    let place_of_reject = |r: &Reject| along.place_of(r.chainage_m, r.distance_m, r.line);
    let mut lines = survey.lines.clone();
    for (at, line) in lines.iter_mut().enumerate().filter(|(_, l)| l.kind != Some(LineKind::Window)) {
        let Some(length_m) = line.length_m else { continue };
        let start = match along {
            AlongDrive::Distance(of) => (of == at).then_some(0.0),
            AlongDrive::Chainage => chainage_of_start(survey, at),
        };
        line.length_m = start.map(|start| {
            let (from, to) = (from_m.unwrap_or(f64::NEG_INFINITY), to_m.unwrap_or(f64::INFINITY));
            (to.min(start + length_m) - from.max(start)).max(0.0)
        });
        line.length_m = line.length_m.filter(|m| *m > 0.0);
    }
    Survey {
        readings: survey.readings.iter().filter(|r| along.place_m(r).is_some_and(holds)).cloned().collect(),
        rejects: survey.rejects.iter().filter(|r| place_of_reject(r).is_some_and(holds)).cloned().collect(),
        lines,
        stated_spacings: Vec::new(),
        warnings: Vec::new(),
        ..survey.clone()
    }
}

/// The chainage at which a line begins, where its chainages and distances grow together.
fn chainage_of_start(survey: &Survey, line: usize) -> Option<f64> {
    let on_line = survey.readings.iter().filter(|r| r.line == Some(line));
    let starts: Vec<f64> = on_line.filter_map(|r| Some(r.chainage_m? - r.distance_m?)).collect();
    let (least, most) = (starts.iter().copied().reduce(f64::min)?, starts.iter().copied().reduce(f64::max)?);
    (most - least <= SAME_COUNT_M).then(|| f64::midpoint(least, most))
}
