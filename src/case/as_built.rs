use super::Case;
use crate::support::{Bolt, Condition, SetBolt};

/// A bolt farther than this from its drawn place is off its place, metres, where the case does not
/// say: about what a boom misses by; common practice, no source.
pub const OFF_BY_M: f64 = 0.3;

/// Bolts as somebody found them over a stretch of the drive.
#[derive(Debug, Clone, PartialEq)]
pub struct AsBuilt {
    /// The file that they were read from, as the case names it.
    pub file: String,
    /// Whether they are all there is in the stretch; otherwise the patterns are there too.
    pub replaces: bool,
    /// The stretch, metres of chainage.
    pub from_m: f64,
    /// The same.
    pub to_m: f64,
    /// A bolt farther than this from its drawn place is off its place, metres on the surface.
    pub off_by_m: f64,
    /// How far a collar may stand from where the list puts it, metres on the surface: the error of the survey. 0
    /// where the case says nothing.
    pub survey_error_m: f64,
    /// The case's bolts, in its order, then those in other states than good.
    pub kinds: Vec<Bolt>,
    /// The bolts that are used, in the order of their chainage; [`SetBolt::kind`] counts in `kinds`.
    pub bolts: Vec<FoundBolt>,
    /// The rows that are not.
    pub rejected: Vec<RejectedRow>,
    /// An earlier survey of the same stretch that this one is compared with.
    pub earlier: Option<Box<AsBuilt>>,
}

/// A row of the file that is used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoundBolt {
    /// Its line, from 1.
    pub line: usize,
    /// Index into the case's bolts.
    pub bolt: usize,
    /// The state in which it was found.
    pub condition: Condition,
    /// Where it stands.
    pub set: SetBolt,
}

/// A row of the file that is not used, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RejectedRow {
    /// Its line, from 1.
    pub line: usize,
    /// Every reason.
    pub reason: String,
    /// The row as it stood.
    pub row: String,
}

impl AsBuilt {
    /// The bolts alone, in the same order.
    #[must_use]
    pub fn set_bolts(&self) -> Vec<SetBolt> {
        self.bolts.iter().map(|b| b.set).collect()
    }

    /// How many rows the file has.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.bolts.len() + self.rejected.len()
    }

    /// As-built bolts on plain data: every one good, in any order; `set.kind` counts in the case's
    /// bolts.
    #[must_use]
    pub fn of_good(case: &Case, mut bolts: Vec<SetBolt>, (from_m, to_m): (f64, f64)) -> Self {
        bolts.sort_by(|a, b| a.chainage_m.total_cmp(&b.chainage_m));
        let found = |(i, set): (usize, SetBolt)| FoundBolt {
            line: i + 1,
            bolt: set.kind,
            condition: Condition::Good,
            set,
        };
        Self {
            file: String::new(),
            replaces: true,
            from_m,
            to_m,
            off_by_m: OFF_BY_M,
            survey_error_m: 0.0,
            kinds: case.bolts.clone(),
            bolts: bolts.into_iter().enumerate().map(found).collect(),
            rejected: Vec::new(),
            earlier: None,
        }
    }
}
