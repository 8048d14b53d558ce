use crate::case::{AsBuilt, Case, FoundBolt};
use crate::study::Check;
use crate::support::{Condition, Layout, Pattern, SetBolt, drawn_bolts};

/// Where the rings of a pattern stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RingPhase {
    /// Chainage of ring 0, metres.
    pub offset_m: f64,
    /// Whether that was fitted to the bolts found, since the case does not say it.
    pub fitted: bool,
    /// How many bolts the pattern draws in the stretch.
    pub drawn: usize,
    /// At how many of their places one was found; none where the case's bolts stand between those of the pattern.
    pub found: usize,
}

impl RingPhase {
    /// Whether it was fitted to so few bolts that it may be anything: less than half of the drawn ones were found
    /// where it puts them.
    #[must_use]
    pub fn fits_badly(&self) -> bool {
        self.fitted && 2 * self.found < self.drawn
    }
}

/// A drawn bolt and what was found there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct DrawnMatch {
    pub pattern: usize,
    pub ring: i64,
    /// The bolt found there and its distance, metres.
    pub found: Option<(usize, f64)>,
}

/// What was found of each drawn bolt.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Matches {
    /// The drawn bolts.
    pub drawn: Vec<DrawnMatch>,
    /// Which of the bolts found in the stretch stand at none.
    pub extra: Vec<usize>,
    /// How many of those found stand at none and outside the stretch.
    pub outside: usize,
}

/// Where every pattern's rings stand, and which bolt was found where.
pub(super) fn phases(case: &Case, check: &Check, built: &AsBuilt) -> (Vec<RingPhase>, Matches) {
    let mut phases: Vec<RingPhase> = case
        .patterns
        .iter()
        .zip(&check.layouts)
        .map(|(pattern, layout)| match pattern.offset_m {
            Some(offset_m) => RingPhase { offset_m, fitted: false, drawn: 0, found: 0 },
            None => {
                let offset_m = fit(check, pattern, layout, built);
                RingPhase { offset_m, fitted: true, drawn: 0, found: 0 }
            }
        })
        .collect();
    let mut drawn = Vec::new();
    for (index, phase) in phases.iter().enumerate() {
        let (pattern, layout) = (&case.patterns[index], &check.layouts[index]);
        let bolts = drawn_bolts(pattern, layout, phase.offset_m, built.from_m, built.to_m);
        let reach_m = reach_m(pattern);
        drawn.extend(bolts.into_iter().map(|(ring, bolt)| (index, ring, bolt, reach_m)));
    }
    let perimeter_m = check.opening.section.perimeter_m();
    let matches = if built.replaces {
        nearest_pairs(drawn.iter().map(|d| (&d.2, d.3)), &built.bolts, is_there, perimeter_m)
    } else {
        vec![None; drawn.len()] // bolts between those of a pattern stand for none of them
    };
    let used: std::collections::BTreeSet<usize> = matches.iter().flatten().map(|m| m.0).collect();
    let in_stretch = |i: &usize| (built.from_m..=built.to_m).contains(&built.bolts[*i].set.chainage_m);
    let (extra, outside): (Vec<usize>, Vec<usize>) = (0..built.bolts.len())
        .filter(|i| !used.contains(i) && built.bolts[*i].condition != Condition::Missing)
        .partition(in_stretch);
    for (d, found) in drawn.iter().zip(&matches) {
        phases[d.0].drawn += 1;
        phases[d.0].found += usize::from(found.is_some());
    }
    let drawn = drawn.iter().zip(matches);
    let drawn = drawn.map(|(d, found)| DrawnMatch { pattern: d.0, ring: d.1, found }).collect();
    (phases, Matches { drawn, extra, outside: outside.len() })
}

/// A bolt stands for a drawn one within half the way to the next.
fn reach_m(pattern: &Pattern) -> f64 {
    0.5 * pattern.ring_spacing_m.min(pattern.spacing_m)
}

/// The chainage of ring 0 at which the most drawn bolts are found: rings stand at the circular mean
/// of the bolts' chainages over one ring spacing; of a staggered pattern both ways are tried.
fn fit(check: &Check, pattern: &Pattern, layout: &Layout, built: &AsBuilt) -> f64 {
    let turn = std::f64::consts::TAU / pattern.ring_spacing_m;
    let (sine, cosine) = built.bolts.iter().fold((0.0, 0.0), |(s, c), bolt| {
        let (sin, cos) = (turn * bolt.set.chainage_m).sin_cos();
        (s + sin, c + cos)
    });
    let first_m = (sine.atan2(cosine) / turn).rem_euclid(pattern.ring_spacing_m);
    let perimeter_m = check.opening.section.perimeter_m();
    let found = |offset_m: f64| {
        let drawn = drawn_bolts(pattern, layout, offset_m, built.from_m, built.to_m);
        let reach_m = reach_m(pattern);
        let sought = drawn.iter().map(|d| (&d.1, reach_m));
        let matches = nearest_pairs(sought, &built.bolts, is_there, perimeter_m);
        let count = matches.iter().flatten().count();
        let off: f64 = matches.iter().flatten().map(|m| m.1).sum();
        (count, off)
    };
    if !pattern.stagger {
        return first_m;
    }
    let other_m = first_m + pattern.ring_spacing_m;
    let ((a, off_a), (b, off_b)) = (found(first_m), found(other_m));
    if b > a || (b == a && off_b < off_a) { other_m } else { first_m }
}

fn is_there(bolt: &FoundBolt) -> bool {
    bolt.condition != Condition::Missing
}

/// For each bolt that is sought the nearest listed one that counts within its reach on the surface, and how far off
/// that is: nearest pairs first, each listed bolt once. The list is in the order of chainage.
pub(super) fn nearest_pairs<'b>(
    sought: impl Iterator<Item = (&'b SetBolt, f64)>,
    listed: &[FoundBolt],
    counts: impl Fn(&FoundBolt) -> bool,
    perimeter_m: f64,
) -> Vec<Option<(usize, f64)>> {
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    let mut count = 0;
    for (index, (bolt, reach_m)) in sought.enumerate() {
        count += 1;
        let first = listed.partition_point(|b| b.set.chainage_m < bolt.chainage_m - reach_m);
        for (i, found) in listed.iter().enumerate().skip(first) {
            let along = found.set.chainage_m - bolt.chainage_m;
            if along > reach_m {
                break;
            }
            if !counts(found) {
                continue;
            }
            let round = (found.set.collar.along_m - bolt.collar.along_m).rem_euclid(perimeter_m);
            let off_m = along.hypot(round.min(perimeter_m - round));
            if off_m <= reach_m {
                pairs.push((off_m, index, i));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
    let mut matches = vec![None; count];
    let mut taken = vec![false; listed.len()];
    for (off_m, index, i) in pairs {
        if matches[index].is_none() && !taken[i] {
            matches[index] = Some((i, off_m));
            taken[i] = true;
        }
    }
    matches
}
