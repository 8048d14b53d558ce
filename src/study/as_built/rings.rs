use super::phase::{DrawnMatch, Matches};
use super::{RingPhase, Verdict};
use crate::case::{AsBuilt, Case};
use crate::support::Condition;

/// A ring of a pattern and what stands there.
#[derive(Debug, Clone, PartialEq)]
pub struct RingRow {
    /// Index of its pattern.
    pub pattern: usize,
    /// Ring, counted from ring 0 of its pattern.
    pub ring: i64,
    /// Its chainage, metres.
    pub chainage_m: f64,
    /// Bolts drawn.
    pub designed: usize,
    /// Drawn bolts that were found, in whatever state but missing.
    pub found: usize,
    /// Drawn bolts that were not.
    pub missing: usize,
    /// Of those found, how many stand off their place by more than the case's `off_by_m`.
    pub off_place: usize,
    /// Of those found, how many are not good.
    pub not_good: usize,
    /// Bolts found nearest to this ring that were not drawn.
    pub extra: usize,
    /// The wedge nearest to its criterion there with the bolts as drawn; `None` where no wedge's face
    /// lies in the stretch there.
    pub as_designed: Option<RingWorst>,
    /// The same with the bolts as they stand.
    pub as_built: Option<RingWorst>,
}

/// The wedge nearest to its criterion at a ring.
#[derive(Debug, Clone, PartialEq)]
pub struct RingWorst {
    /// Its id.
    pub wedge: String,
    /// Its least factor of safety with the middle of its face within half a ring spacing of the ring.
    pub fs: f64,
    /// What is asked of it.
    pub criterion_fs: f64,
}

impl RingWorst {
    /// Whether it meets its criterion.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        Verdict::of(self.fs, Some(self.criterion_fs))
    }

    fn is_worse_than(&self, other: &Self) -> bool {
        self.fs / self.criterion_fs < other.fs / other.criterion_fs
    }
}

/// The worst wedge of every ring, as drawn and as built.
#[derive(Debug, Clone)]
pub(super) struct Bins {
    patterns: Vec<OfPattern>,
}

#[derive(Debug, Clone)]
struct OfPattern {
    offset_m: f64,
    step_m: f64,
    first: i64,
    worst: Vec<[Option<RingWorst>; 2]>,
}

impl OfPattern {
    fn last(&self) -> i64 {
        self.first + self.worst.len() as i64 - 1
    }
}

impl Bins {
    pub fn new(case: &Case, phases: &[RingPhase], built: &AsBuilt) -> Self {
        let patterns = case.patterns.iter().zip(phases).map(|(pattern, phase)| {
            let (offset_m, step_m) = (phase.offset_m, pattern.ring_spacing_m);
            let first = ((built.from_m - offset_m) / step_m - 0.5).ceil() as i64;
            let last = ((built.to_m - offset_m) / step_m + 0.5).floor() as i64;
            let count = usize::try_from(last - first + 1).unwrap_or(0);
            OfPattern { offset_m, step_m, first, worst: vec![[None, None]; count] }
        });
        Self { patterns: patterns.collect() }
    }

    /// Chainages half-way between rings.
    pub fn bounds_m(&self) -> impl Iterator<Item = f64> {
        self.patterns
            .iter()
            .flat_map(|p| (p.first..=p.last() + 1).map(|ring| p.offset_m + (ring as f64 - 0.5) * p.step_m))
    }

    /// A factor of a wedge whose face has its middle at a chainage.
    pub fn note(&mut self, middle_m: f64, built: bool, wedge: &str, fs: f64, criterion_fs: f64) {
        for pattern in &mut self.patterns {
            let ring = ((middle_m - pattern.offset_m) / pattern.step_m).round() as i64;
            let Ok(index) = usize::try_from(ring - pattern.first) else { continue };
            let Some(worst) = pattern.worst.get_mut(index) else { continue };
            let worst = &mut worst[usize::from(built)];
            let better = worst.as_ref().is_some_and(|w| w.fs / w.criterion_fs <= fs / criterion_fs);
            if !better {
                *worst = Some(RingWorst { wedge: wedge.to_owned(), fs, criterion_fs });
            }
        }
    }

    pub fn merge(&mut self, other: Self) {
        for (mine, theirs) in self.patterns.iter_mut().zip(other.patterns) {
            for (mine, theirs) in mine.worst.iter_mut().zip(theirs.worst) {
                for (mine, theirs) in mine.iter_mut().zip(theirs) {
                    let Some(theirs) = theirs else { continue };
                    if mine.as_ref().is_none_or(|m| theirs.is_worse_than(m)) {
                        *mine = Some(theirs);
                    }
                }
            }
        }
    }
}

/// The rows of all rings with a drawn bolt in the stretch, by pattern, then by ring.
pub(super) fn ring_rows(
    case: &Case,
    built: &AsBuilt,
    phases: &[RingPhase],
    matches: &Matches,
    bins: Bins,
) -> Vec<RingRow> {
    let mut rows: Vec<RingRow> = Vec::new();
    for &DrawnMatch { pattern, ring, found } in &matches.drawn {
        let same = rows.last().is_some_and(|r| (r.pattern, r.ring) == (pattern, ring));
        if !same {
            let of = &bins.patterns[pattern];
            let index = usize::try_from(ring - of.first).ok();
            let worst = index.and_then(|i| of.worst.get(i)).cloned().unwrap_or_default();
            let [as_designed, as_built] = worst;
            rows.push(RingRow {
                pattern,
                ring,
                chainage_m: phases[pattern].offset_m + ring as f64 * case.patterns[pattern].ring_spacing_m,
                designed: 0,
                found: 0,
                missing: 0,
                off_place: 0,
                not_good: 0,
                extra: 0,
                as_designed,
                as_built,
            });
        }
        let Some(row) = rows.last_mut() else { continue };
        row.designed += 1;
        match found {
            None if !built.replaces => row.found += 1, // taken to stand there
            None => row.missing += 1,
            Some((bolt, off_m)) => {
                row.found += 1;
                row.off_place += usize::from(off_m > built.off_by_m);
                row.not_good += usize::from(built.bolts[bolt].condition != Condition::Good);
            }
        }
    }
    for &bolt in &matches.extra {
        let at_m = built.bolts[bolt].set.chainage_m;
        let nearest = rows
            .iter_mut()
            .reduce(|a, b| if (b.chainage_m - at_m).abs() < (a.chainage_m - at_m).abs() { b } else { a });
        if let Some(row) = nearest {
            row.extra += 1;
        }
    }
    rows
}
