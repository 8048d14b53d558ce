//! Pairs and triples of changes, where no single one leaves nothing short.

use rayon::prelude::*;

use super::{Edit, Judged, Search, Uneven};

/// Values of one key that enter combinations: the best, and the strongest.
const VALUES_OF_A_KEY: usize = 4;

/// Most combinations that are judged of each size.
const MOST_COMBINED: usize = 240;

/// What combinations give.
pub(super) struct Combined {
    /// The cheapest after which every wedge is held.
    pub does: Option<Judged>,
    /// How many were judged.
    pub judged: usize,
}

/// The cheapest pair after which every wedge is held, or the cheapest triple where no pair does.
pub(super) fn cheapest(
    search: &Search,
    base: &Judged,
    judged: &[Vec<Option<Judged>>],
    best: &[(Judged, Option<Uneven>)],
) -> Combined {
    let keys: Vec<Vec<&Judged>> = judged.iter().map(|rungs| candidates(search, rungs)).collect();
    let mut found = Combined { does: None, judged: 0 };
    // Of triples only those of the keys that mend most by themselves.
    let leading: Vec<usize> = (0..keys.len())
        .filter(|&k| keys[k].iter().any(|j| best.iter().take(6).any(|(b, _)| b.edits == j.edits)))
        .collect();
    for size in [2, 3] {
        let all = if size == 2 { pairs(&keys) } else { triples(&keys, &leading) };
        let mut sets: Vec<((usize, f64, f64), Vec<Edit>)> = all
            .into_iter()
            .map(|set| (more_cost(base, &set), set.iter().flat_map(|j| j.edits.clone()).collect()))
            .collect();
        let order = |a: &(usize, f64, f64), b: &(usize, f64, f64)| {
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2))
        };
        sets.sort_by(|a, b| order(&a.0, &b.0));
        sets.truncate(MOST_COMBINED);
        found.judged += sets.len();
        // The first in order that does, whatever the number of threads.
        search.steps.begin("combining changes", sets.len());
        found.does = sets.into_par_iter().find_map_first(|(_, edits)| {
            let judged = search.judged(edits, true);
            search.steps.step();
            judged
        });
        if found.does.is_some() {
            return found;
        }
    }
    found
}

/// The values of one key that are worth combining: the one that is best alone, the strongest, and steps
/// between them.
fn candidates<'j>(search: &Search, rungs: &'j [Option<Judged>]) -> Vec<&'j Judged> {
    let all: Vec<&Judged> = rungs.iter().flatten().filter(|j| search.turned(j, false).is_empty()).collect();
    if all.len() <= VALUES_OF_A_KEY {
        return all;
    }
    let step = (all.len() - 1) as f64 / (VALUES_OF_A_KEY - 1) as f64;
    let mut kept: Vec<usize> = (0..VALUES_OF_A_KEY).map(|i| (i as f64 * step).round() as usize).collect();
    if let Some(best) = (0..all.len()).min_by(|&a, &b| all[a].better(all[b])) {
        kept.push(best);
    }
    kept.sort_unstable();
    kept.dedup();
    kept.into_iter().map(|i| all[i]).collect()
}

/// How many of a combination have no price, what it costs more than the case, and how many minutes more it
/// takes.
fn more_cost(base: &Judged, set: &[&Judged]) -> (usize, f64, f64) {
    let cost = |j: &Judged| j.per_metre.as_ref().map_or(Some(0.0), |p| p.cost);
    let minutes = |j: &Judged| j.per_metre.as_ref().map_or(0.0, |p| p.minutes);
    let mut more = (0, 0.0, 0.0);
    for one in set {
        match cost(one).zip(cost(base)) {
            Some((one, base)) => more.1 += one - base,
            None => more.0 += 1,
        }
        more.2 += minutes(one) - minutes(base);
    }
    more
}

fn pairs<'j>(keys: &[Vec<&'j Judged>]) -> Vec<Vec<&'j Judged>> {
    let mut all = Vec::new();
    for (i, a) in keys.iter().enumerate() {
        for b in &keys[i + 1..] {
            all.extend(a.iter().flat_map(|x| b.iter().map(move |y| vec![*x, *y])));
        }
    }
    all
}

fn triples<'j>(keys: &[Vec<&'j Judged>], leading: &[usize]) -> Vec<Vec<&'j Judged>> {
    let mut all = Vec::new();
    for (i, &a) in leading.iter().enumerate() {
        for (j, &b) in leading.iter().enumerate().skip(i + 1) {
            for &c in &leading[j + 1..] {
                for x in &keys[a] {
                    for y in &keys[b] {
                        all.extend(keys[c].iter().map(|z| vec![*x, *y, *z]));
                    }
                }
            }
        }
    }
    all
}
