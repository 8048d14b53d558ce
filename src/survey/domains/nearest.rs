//! What sets of a domain go on from: a letter means the same on both sides of a border.

use std::collections::BTreeSet;

use super::Domain;
use crate::survey::assign::set_letter;
use crate::survey::{JointSet, Mapped};

/// A set of the domain before and how far it is off.
#[derive(Debug, Clone, PartialEq)]
pub struct NearestSet {
    /// Its name.
    pub name: String,
    /// Between both means, degrees.
    pub angle_deg: f64,
}

/// Sets further apart than this do not go on from each other, degrees. Common practice, no source.
const GOES_ON_DEG: f64 = 30.0;

/// The sets of the last domain that has any, and whether they were found.
fn before(domains: &[Domain]) -> Option<&Mapped> {
    domains.iter().rev().map(|domain| &domain.mapped).find(|mapped| !mapped.sets.is_empty())
}

/// For each set the nearest one before it.
pub(super) fn nearest_of(domains: &[Domain], mapped: &Mapped) -> Vec<Option<NearestSet>> {
    let nearest = |set: &JointSet| {
        let others = before(domains)?.sets.iter();
        let angles =
            others.map(|o| NearestSet { name: o.name.clone(), angle_deg: o.mean.angle_to_deg(set.mean) });
        angles.min_by(|a, b| a.angle_deg.total_cmp(&b.angle_deg))
    };
    mapped.sets.iter().map(nearest).collect()
}

/// Calls found sets as those that they go on from, so that the angles add up to the least; labels and names by hand
/// stay as they are.
pub(super) fn name_after(domains: &[Domain], mapped: &mut Mapped) {
    if mapped.mixture.is_none() || domains.is_empty() {
        return;
    }
    let earlier = before(domains);
    let found = earlier.filter(|earlier| earlier.mixture.is_some()).map_or(&[][..], |e| &e.sets);
    let angles: Vec<Vec<f64>> = mapped
        .sets
        .iter()
        .map(|set| found.iter().map(|other| other.mean.angle_to_deg(set.mean)).collect())
        .collect();
    let goes_on = least_together(&angles, found.len());
    let mut taken: BTreeSet<String> =
        domains.iter().flat_map(|d| &d.mapped.sets).map(|set| set.name.clone()).collect();
    for (set, on) in mapped.sets.iter_mut().zip(goes_on) {
        set.name = match on {
            Some(at) => found[at].name.clone(),
            // There are more letters than names.
            None => (0..).map(set_letter).find(|name| !taken.contains(name)).unwrap_or_default(),
        };
        taken.insert(set.name.clone());
    }
}

/// For each row the column that it goes with, each column once, so that the sum of the angles, with
/// [`GOES_ON_DEG`] for a row that goes with none, is least. Over all sets of columns: a case has at most 20, and
/// hardly more than six are ever found.
fn least_together(angles: &[Vec<f64>], columns: usize) -> Vec<Option<usize>> {
    let all = 1_usize << columns;
    let mut sums = vec![f64::INFINITY; all];
    sums[0] = 0.0;
    let mut chosen: Vec<Vec<Option<usize>>> = Vec::new();
    for row in angles {
        let mut next: Vec<f64> = sums.iter().map(|sum| sum + GOES_ON_DEG).collect();
        let mut choice = vec![None; all];
        for (used, sum) in sums.iter().enumerate().filter(|(_, sum)| sum.is_finite()) {
            for (column, angle) in row.iter().enumerate().filter(|(_, angle)| **angle <= GOES_ON_DEG) {
                let with = used | 1 << column;
                if with != used && sum + angle < next[with] {
                    next[with] = sum + angle;
                    choice[with] = Some(column);
                }
            }
        }
        sums = next;
        chosen.push(choice);
    }
    let mut used = (0..all).min_by(|&a, &b| sums[a].total_cmp(&sums[b])).unwrap_or(0);
    let mut of_rows: Vec<Option<usize>> = Vec::new();
    for choice in chosen.iter().rev() {
        let column = choice[used];
        used &= !column.map_or(0, |column| 1 << column);
        of_rows.push(column);
    }
    of_rows.reverse();
    of_rows
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The nearest of the first row is the only one that the second can go with; the third is too far from all.
    #[test]
    fn angles_add_up_to_the_least() {
        let angles = [vec![5.0, 8.0], vec![6.0, 29.0], vec![31.0, 90.0]];
        assert_eq!(least_together(&angles, 2), [Some(1), Some(0), None]);
        assert_eq!(least_together(&[Vec::new(), Vec::new()], 0), [None, None]);
        assert_eq!(least_together(&[], 2), []);
    }
}
