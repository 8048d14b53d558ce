use std::collections::HashSet;

use super::doubt::repeats;
use super::{LineKind, Survey, Warning};

/// The rule by which joints along lines are counted, in words.
pub const COUNTING_RULE: &str = "Along a line each joint counts once: a row that repeats an earlier one does not \
count again, and a rejected row that says where on the line it stood counts as a joint there. A rejected joint \
goes to the set of its label, where sets are labelled, and otherwise to each set in the share that the set has \
of the line's readings.";

/// What was counted on one line.
#[derive(Debug, Clone, Default, PartialEq)]
struct OfLine {
    readings: usize,
    /// Of those, rows that repeat an earlier one.
    repeats: usize,
    /// Rejected rows with a distance on the line, each with the label it had.
    rejects: Vec<Option<usize>>,
}

/// Joints by line, counted as [`COUNTING_RULE`] says.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LineCounts {
    lines: Vec<OfLine>,
    /// For each reading of the survey whether it repeats an earlier one.
    pub repeat: Vec<bool>,
}

impl LineCounts {
    /// Of lines on which nothing was rejected or repeated.
    #[cfg(test)]
    pub(crate) fn without_rejects(lines: usize) -> Self {
        Self { lines: vec![OfLine::default(); lines], repeat: Vec::new() }
    }

    pub(crate) fn of(survey: &Survey) -> Self {
        let mut repeat = vec![false; survey.readings.len()];
        for (at, _) in repeats(&survey.readings) {
            repeat[at] = true;
        }
        let mut lines = vec![OfLine::default(); survey.lines.len()];
        for (reading, repeat) in survey.readings.iter().zip(&repeat) {
            if let Some(line) = reading.line {
                lines[line].readings += 1;
                lines[line].repeats += usize::from(*repeat);
            }
        }
        // A rejected row twice, word for word, is one joint as well.
        let mut seen: HashSet<&str> = HashSet::new();
        for reject in &survey.rejects {
            if let Some(line) = reject.line.filter(|_| reject.distance_m.is_some())
                && seen.insert(&reject.row)
            {
                lines[line].rejects.push(reject.label);
            }
        }
        Self { lines, repeat }
    }

    /// Readings, repeated ones among them, and rejected rows with a distance, of one line.
    pub(crate) fn readings_repeats_rejects(&self, line: usize) -> [usize; 3] {
        let of = &self.lines[line];
        [of.readings, of.repeats, of.rejects.len()]
    }

    /// Joints that a set with so many readings on a line, repeats left out, has there; `label` is that of the
    /// set where sets are labelled.
    pub(crate) fn of_set(&self, line: usize, readings: usize, label: Option<usize>) -> f64 {
        let of = &self.lines[line];
        let own = of.rejects.iter().filter(|l| label.is_some() && **l == label).count();
        let shared = of.rejects.iter().filter(|l| label.is_none() || l.is_none()).count();
        let once = of.readings - of.repeats;
        #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
        let [readings, own, shared, once] = [readings, own, shared, once].map(|n| n as f64);
        if once > 0.0 { readings + own + shared * readings / once } else { readings + own }
    }

    /// What the rule changed, a line each, in the order of their names.
    pub(crate) fn warn(&self, survey: &Survey, warnings: &mut Vec<Warning>) {
        let mut lines: Vec<usize> = (0..self.lines.len()).collect();
        lines.sort_by(|a, b| survey.lines[*a].id.cmp(&survey.lines[*b].id));
        for line in lines {
            let [readings, repeats, rejects] = self.readings_repeats_rejects(line);
            let of = &survey.lines[line];
            let counted =
                of.kind != Some(LineKind::Window) && of.length_m.or(of.direction.map(|_| 0.0)).is_some();
            if repeats + rejects > 0 && counted {
                let (line, length_m) = (of.id.clone(), of.length_m);
                warnings.push(Warning::CountedByRule { line, readings, repeats, rejects, length_m });
            }
        }
    }
}
