use std::collections::{BTreeMap, HashMap};

use super::warning::Warning;
use super::{SurveyLine, reading::Reading};

/// Lines by name: those of the lines file, and those that rows name.
pub(crate) struct LineNames {
    pub lines: Vec<SurveyLine>,
    index: HashMap<String, usize>,
}

impl LineNames {
    pub(crate) fn new(lines: &[SurveyLine]) -> Self {
        let index = lines.iter().enumerate().map(|(at, line)| (line.id.clone(), at)).collect();
        Self { lines: lines.to_vec(), index }
    }

    /// The line called `id`, made known if it was not.
    pub(crate) fn index_of(&mut self, id: &str) -> usize {
        if let Some(&at) = self.index.get(id) {
            return at;
        }
        let at = self.lines.len();
        self.lines.push(SurveyLine::named(id));
        self.index.insert(id.to_owned(), at);
        at
    }

    /// A warning for each line that readings name and nothing describes.
    pub(crate) fn warn_unknown(&self, readings: &[Reading], warnings: &mut Vec<Warning>) {
        let mut counts: BTreeMap<usize, usize> = BTreeMap::new();
        for line in readings.iter().filter_map(|reading| reading.line) {
            *counts.entry(line).or_default() += 1;
        }
        for (at, readings) in counts {
            let line = &self.lines[at];
            if line.direction.is_none() {
                warnings.push(Warning::UnknownLine { id: line.id.clone(), readings });
            }
        }
    }
}

/// Letters of a name that a case takes.
const LONGEST_NAME: usize = 24;

/// Set labels as names.
#[derive(Default)]
pub(crate) struct LabelNames {
    pub names: Vec<String>,
    index: HashMap<String, usize>,
}

impl LabelNames {
    /// The set labelled `label`, where it is one already.
    pub(crate) fn known(&self, label: &str) -> Option<usize> {
        self.index.get(label).copied()
    }

    /// The set labelled `label`. A label that is no name becomes one that no other label has.
    pub(crate) fn index_of(&mut self, label: &str, warnings: &mut Vec<Warning>) -> usize {
        if let Some(&at) = self.index.get(label) {
            return at;
        }
        let plain: String = label.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '_' }).collect();
        let cut = |ending: &str| -> String {
            plain.chars().take(LONGEST_NAME - ending.len()).chain(ending.chars()).collect()
        };
        let mut name = cut("");
        let mut count = 1_usize;
        while self.names.contains(&name) {
            name = if count == 1 { cut("_") } else { cut(&format!("_{count}")) };
            count += 1;
        }
        if name != label {
            warnings.push(Warning::LabelRenamed { from: label.to_owned(), to: name.clone() });
        }
        let at = self.names.len();
        self.names.push(name);
        self.index.insert(label.to_owned(), at);
        at
    }
}
