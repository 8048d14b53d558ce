use super::AlongDrive;
use crate::survey::{LineKind, MapOptions, Mapped, Reject, Survey, map_survey};

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
    /// Its sets.
    pub mapped: Mapped,
}

/// Chainages and distances of one line that run on together may be off by so much, metres.
const SAME_COUNT_M: f64 = 0.5;

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
    let stretch = |(at, (&from_m, to_m)): (usize, (&Option<f64>, Option<f64>))| {
        let survey = within(survey, along, from_m, to_m);
        let mapped = map_survey(&survey, options);
        Domain { number: at + 1, from_m, to_m, survey, mapped }
    };
    starts.iter().zip(ends).enumerate().map(stretch).collect()
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
