//! Two surveys of the bolts of a stretch: which were lost, which were added, which are in another state.

use super::phase::nearest_pairs;
use crate::case::{AsBuilt, FoundBolt};
use crate::support::Condition;

/// Collars of two surveys nearer than this on the surface, metres, are those of one bolt: farther than two surveys of
/// a collar lie apart, no farther than two holes are drilled from each other.
const SAME_COLLAR_M: f64 = 0.3;

/// Lengths in the hole that differ by less than this, metres, were written differently.
const SAME_LENGTH_M: f64 = 1e-3;

/// What became of a bolt between two surveys.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BoltChange {
    /// It was there, and is not there any more.
    Lost,
    /// It is there, and was not.
    Added,
    /// It is there in another state, of another kind or length.
    Changed,
}

impl BoltChange {
    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Lost => "lost",
            Self::Added => "added",
            Self::Changed => "changed",
        }
    }
}

/// A bolt that is not as it was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChangedBolt {
    /// What became of it.
    pub change: BoltChange,
    /// Its row of the earlier survey; `None` where that has none.
    pub before: Option<FoundBolt>,
    /// Its row of this one; `None` where this has none.
    pub now: Option<FoundBolt>,
}

impl ChangedBolt {
    /// The row that says where it is: this survey's, where it has one.
    #[must_use]
    pub fn row(&self) -> Option<&FoundBolt> {
        self.now.as_ref().or(self.before.as_ref())
    }
}

/// The bolts of a stretch that are not as an earlier survey found them, in the order of their chainage; none where
/// there is no earlier survey. Rows outside the stretch are not compared. Bolts are matched by their collars, nearest
/// first.
#[must_use]
pub fn bolt_changes(built: &AsBuilt, perimeter_m: f64) -> Vec<ChangedBolt> {
    let Some(earlier) = &built.earlier else { return Vec::new() };
    let in_stretch = |bolt: &&FoundBolt| (built.from_m..=built.to_m).contains(&bolt.set.chainage_m);
    let before: Vec<FoundBolt> = earlier.bolts.iter().filter(in_stretch).copied().collect();
    let now: Vec<FoundBolt> = built.bolts.iter().filter(in_stretch).copied().collect();
    let sought = before.iter().map(|bolt| (&bolt.set, SAME_COLLAR_M));
    let pairs = nearest_pairs(sought, &now, |_| true, perimeter_m);
    let mut is_new = vec![true; now.len()];
    let mut changes = Vec::new();
    for (bolt, pair) in before.iter().zip(pairs) {
        let there = pair.map(|(at, _)| {
            is_new[at] = false;
            now[at]
        });
        changes.extend(between(Some(*bolt), there));
    }
    let new = now.iter().zip(is_new).filter(|(_, is_new)| *is_new);
    changes.extend(new.filter_map(|(bolt, _)| between(None, Some(*bolt))));
    let place =
        |bolt: &ChangedBolt| bolt.row().map_or((0.0, 0.0), |r| (r.set.chainage_m, r.set.collar.arc_m));
    changes.sort_by(|a, b| {
        let (a, b) = (place(a), place(b));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    changes
}

fn between(before: Option<FoundBolt>, now: Option<FoundBolt>) -> Option<ChangedBolt> {
    let there = |bolt: &FoundBolt| bolt.condition != Condition::Missing;
    let change = match (before.filter(there), now.filter(there)) {
        (Some(_), None) => BoltChange::Lost,
        (None, Some(_)) => BoltChange::Added,
        (None, None) => return None,
        (Some(a), Some(b)) => {
            let same = a.condition == b.condition
                && a.bolt == b.bolt
                && (a.set.length_in_hole_m - b.set.length_in_hole_m).abs() <= SAME_LENGTH_M;
            if same {
                return None;
            }
            BoltChange::Changed
        }
    };
    Some(ChangedBolt { change, before, now })
}
