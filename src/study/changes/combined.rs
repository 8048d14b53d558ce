//! Several changes together, where no single one leaves nothing short.

use rayon::prelude::*;

use super::{Edit, Judged, Search, Together};
use crate::study::variant::{Known, keep};

/// Values of one key that enter pairs: the weakest, the strongest, steps between them, and the best.
const VALUES_OF_A_KEY: usize = 4;

/// Most pairs that are judged. Those whose members mend what is short between them come first, so that what
/// is left out is what promises least; [`TakingBack`] goes on with more than two changes then.
const MOST_PAIRS: usize = 1_500;

/// Pairs of which nobody knows, after which no more are asked: each takes a search to its last cell, and where so
/// many end so, others do as a rule.
const MOST_OPEN: usize = 40;

/// Pairs that are judged before what they left short is told to the next: a fixed number, so that what is found
/// does not hang on the number of threads.
const PAIRS_AT_ONCE: usize = 8;

/// Most pieces that are kept of a wedge: asking one takes a hundredth of a search.
const MOST_LEFT_SHORT: usize = 32;

/// Most changes that are listed together: more is another design.
const MOST_TOGETHER: usize = 4;

/// What combinations give.
pub(super) struct Combined {
    /// The cheapest found after which every wedge is held.
    pub does: Option<Judged>,
    /// How many were judged.
    pub judged: usize,
    /// How many pairs were left unasked after [`MOST_OPEN`] of which nobody knows.
    pub unasked: usize,
    /// Whether not even the strongest of every key that only adds support, all together, leave every wedge held.
    pub none_can: bool,
}

/// The cheapest pair after which every wedge is held; where no pair does, the fewest changes that are left
/// when from the strongest of every key one after the other is taken back, the dearest first.
pub(super) fn cheapest(search: &Search, base: &Judged, judged: &[Vec<Option<Judged>>]) -> Combined {
    let keys: Vec<Vec<&Judged>> = judged.iter().map(|rungs| candidates(search, rungs)).collect();
    let mut found = Combined { does: None, judged: 0, unasked: 0, none_can: false };
    let mut open = 0;
    let mut known = search.known.clone();
    let blocks = hopeful(search, &keys, &mut known, (&mut found.judged, &mut open));
    let sets = pairs(search, base, &blocks);
    search.steps.begin("combining changes", sets.len());
    for (at, at_once) in sets.chunks(PAIRS_AT_ONCE).enumerate() {
        if open >= MOST_OPEN {
            found.unasked = sets.len() - at * PAIRS_AT_ONCE;
            break;
        }
        let said: Vec<Together> = at_once.par_iter().map(|pair| search.together(pair, &known)).collect();
        search.steps.reach(at * PAIRS_AT_ONCE + said.len());
        found.judged += said.len();
        for one in said {
            match one {
                Together::Holds(judged) => {
                    found.does = Some(*judged);
                    return found;
                }
                Together::Short(wedge, piece) => keep(&mut known[wedge], piece, MOST_LEFT_SHORT),
                Together::Open => open += 1,
                Together::KnownNot => {}
            }
        }
    }
    search.steps.begin("combining more than two changes", 0);
    TakingBack { search, base, judged, known, count: 0 }.run(&mut found);
    found
}

/// Values of two keys, each of which may do with each.
#[derive(Clone)]
struct Block<'j> {
    a: Vec<&'j Judged>,
    b: Vec<&'j Judged>,
    /// Whether the last of both was found not to do, or nobody knows: it is not asked again.
    but_the_strongest: bool,
}

impl<'j> Block<'j> {
    fn strongest(&self) -> Vec<&'j Judged> {
        self.a.last().into_iter().chain(self.b.last()).copied().collect()
    }

    /// What is left to ask where nobody knows of the strongest: of one value each nothing, and nothing of
    /// values that carry no more than the strongest does wherever there is anything.
    fn less_the_strongest(&self) -> Option<Self> {
        let of_one = self.a.len() == 1 && self.b.len() == 1;
        let all_nest = self.a.iter().chain(&self.b).flat_map(|j| &j.edits).all(Edit::nests);
        (!of_one && !all_nest).then(|| Self { but_the_strongest: true, ..self.clone() })
    }

    fn pairs(&self) -> impl Iterator<Item = Vec<&'j Judged>> {
        let (rows, columns, but_the_strongest) = (self.a.len(), self.b.len(), self.but_the_strongest);
        let asked = move |i: usize, j: usize| but_the_strongest && i + 1 == rows && j + 1 == columns;
        let all = (0..rows).flat_map(move |i| (0..columns).map(move |j| (i, j)));
        all.filter(move |&(i, j)| !asked(i, j)).map(|(i, j)| vec![self.a[i], self.b[j]])
    }
}

/// The pairs of keys of which the strongest values together leave nothing short, or nobody knows: where those
/// leave a piece short, weaker ones are not asked. A key that does not only add support is asked value by value.
fn hopeful<'j>(
    search: &Search,
    keys: &[Vec<&'j Judged>],
    known: &mut [Vec<Known>],
    (count, open): (&mut usize, &mut usize),
) -> Vec<Block<'j>> {
    let parts = |key: &Vec<&'j Judged>| -> Vec<Vec<&'j Judged>> {
        if key.iter().all(|j| j.edits.iter().all(Edit::only_adds)) {
            vec![key.clone()]
        } else {
            key.iter().map(|j| vec![*j]).collect()
        }
    };
    let mut blocks: Vec<Block> = Vec::new();
    for (i, a) in keys.iter().enumerate() {
        for b in keys[i + 1..].iter().filter(|b| !a.is_empty() && !b.is_empty()) {
            for x in parts(a) {
                let with = |y| Block { a: x.clone(), b: y, but_the_strongest: false };
                blocks.extend(parts(b).into_iter().map(with));
            }
        }
    }
    search.steps.begin("combining the strongest changes", blocks.len());
    let mut left: Vec<Block> = Vec::new();
    for (at, at_once) in blocks.chunks(PAIRS_AT_ONCE).enumerate() {
        if *open >= MOST_OPEN {
            left.extend_from_slice(&blocks[at * PAIRS_AT_ONCE..]);
            break;
        }
        let said: Vec<Option<Together>> = at_once
            .par_iter()
            .map(|block| {
                let strongest = block.strongest();
                // Of two that write one key weaker values may not.
                (!alters_a_key_twice(search, &strongest)).then(|| search.together(&strongest, known))
            })
            .collect();
        search.steps.reach(at * PAIRS_AT_ONCE + said.len());
        *count += said.iter().flatten().count();
        for (block, said) in at_once.iter().zip(said) {
            match said {
                None | Some(Together::Holds(_)) => left.push(block.clone()),
                Some(Together::Open) => {
                    *open += 1;
                    left.extend(block.less_the_strongest());
                }
                Some(Together::Short(wedge, piece)) => keep(&mut known[wedge], piece, MOST_LEFT_SHORT),
                Some(Together::KnownNot) => {}
            }
        }
    }
    left
}

/// The values of one key that are worth combining.
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
/// takes: the sums over its members.
type More = (usize, f64, f64);

fn more_than(base: &Judged, set: &[&Judged]) -> More {
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

fn by_more(a: &More, b: &More) -> std::cmp::Ordering {
    a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2))
}

/// The pairs that are judged, the cheapest first.
fn pairs<'j>(search: &Search, base: &Judged, blocks: &[Block<'j>]) -> Vec<Vec<&'j Judged>> {
    let mut all: Vec<(bool, More, Vec<&Judged>)> = Vec::new();
    for block in blocks {
        for pair in block.pairs() {
            if !alters_a_key_twice(search, &pair) {
                all.push((!search.mend_between_them(&pair), more_than(base, &pair), pair));
            }
        }
    }
    // Stable: of equals the first in the order of keys.
    all.sort_by(|a, b| a.0.cmp(&b.0).then(by_more(&a.1, &b.1)));
    all.truncate(MOST_PAIRS);
    all.sort_by(|a, b| by_more(&a.1, &b.1));
    all.into_iter().map(|(_, _, pair)| pair).collect()
}

/// Whether two changes write the same key of the case file: what would be listed is not what was judged.
fn alters_a_key_twice(search: &Search, set: &[&Judged]) -> bool {
    let mut keys: Vec<String> = Vec::new();
    for edit in set.iter().flat_map(|j| &j.edits) {
        for change in edit.keys(search.base) {
            if keys.contains(&change.key) {
                return true;
            }
            keys.push(change.key);
        }
    }
    false
}

/// A value of a key: the place of its ladder, and its place in it.
type Rung = (usize, usize);

/// From the strongest of every key towards the fewest changes.
struct TakingBack<'s, 'a> {
    search: &'s Search<'a>,
    base: &'s Judged,
    judged: &'s [Vec<Option<Judged>>],
    known: Vec<Vec<Known>>,
    count: usize,
}

impl<'s> TakingBack<'s, '_> {
    fn run(mut self, found: &mut Combined) {
        let strongest = self.strongest();
        if strongest.len() > 2 {
            match self.holds(&strongest) {
                None => found.none_can = true,
                Some(_) => found.does = self.fewest(strongest),
            }
        }
        found.judged += self.count;
    }

    /// What stands at these places, those that make a case that can be drilled.
    fn of(&self, set: &[Rung]) -> Vec<&'s Judged> {
        set.iter().filter_map(|&(ladder, rung)| self.judged[ladder][rung].as_ref()).collect()
    }

    fn holds(&mut self, set: &[Rung]) -> Option<Judged> {
        self.count += 1;
        self.search.steps.step();
        match self.search.together(&self.of(set), &self.known) {
            Together::Holds(judged) => Some(*judged),
            Together::Short(wedge, piece) => {
                keep(&mut self.known[wedge], piece, MOST_LEFT_SHORT);
                None
            }
            Together::Open | Together::KnownNot => None,
        }
    }

    /// The last of each ladder that only adds support. Of two that write the same key the first.
    fn strongest(&self) -> Vec<Rung> {
        let mut set: Vec<Rung> = Vec::new();
        for (ladder, rungs) in self.judged.iter().enumerate() {
            let Some(rung) = rungs.iter().rposition(Option::is_some) else { continue };
            set.push((ladder, rung));
            let all = self.of(&set);
            let only_adds = all.last().is_some_and(|j| j.edits.iter().all(Edit::only_adds));
            if !only_adds || alters_a_key_twice(self.search, &all) {
                set.pop();
            }
        }
        set
    }

    /// Takes back one key after the other, then makes each that is left as weak as it may be. Which are taken
    /// back first decides which are left, so that it is done twice: the dearest first, and the last of the
    /// ladders (what hangs) first.
    fn fewest(&mut self, strongest: Vec<Rung>) -> Option<Judged> {
        let hung_first: Vec<Rung> = strongest.iter().rev().copied().collect();
        let dearest_first = self.dearest_first(strongest);
        let left = self.each_by_itself(vec![dearest_first, hung_first], Self::taken_back);
        let fewest = left.iter().map(Vec::len).min().filter(|&fewest| fewest <= MOST_TOGETHER)?;
        let fewest = left.into_iter().filter(|set| set.len() == fewest).collect();
        let weak = self.each_by_itself(fewest, Self::weakened);
        let best = weak.into_iter().min_by(|a, b| by_more(&self.more(a), &self.more(b)))?;
        self.holds(&best)
    }

    /// Does the same to several sets side by side, each with what is known so far; what each learns is known then.
    fn each_by_itself(
        &mut self,
        sets: Vec<Vec<Rung>>,
        make: impl Fn(&mut Self, Vec<Rung>) -> Vec<Rung> + Sync,
    ) -> Vec<Vec<Rung>> {
        let of_one = |set: Vec<Rung>| {
            let mut own = Self { known: self.known.clone(), count: 0, ..*self };
            (make(&mut own, set), own.known, own.count)
        };
        // Collected in order, whatever the number of threads.
        let made: Vec<(Vec<Rung>, Vec<Vec<Known>>, usize)> = sets.into_par_iter().map(of_one).collect();
        let mut left = Vec::with_capacity(made.len());
        for (set, known, count) in made {
            for (mine, theirs) in self.known.iter_mut().zip(known) {
                for piece in theirs {
                    if !mine.iter().any(|k| k.piece == piece.piece) {
                        keep(mine, piece, MOST_LEFT_SHORT);
                    }
                }
            }
            self.count += count;
            left.push(set);
        }
        left
    }

    fn more(&self, set: &[Rung]) -> More {
        more_than(self.base, &self.of(set))
    }

    fn dearest_first(&self, mut set: Vec<Rung>) -> Vec<Rung> {
        set.sort_by(|a, b| by_more(&self.more(&[*b]), &self.more(&[*a])));
        set
    }

    /// What is left of a set that holds when its members are taken out, one after the other in this order,
    /// wherever the others do without.
    fn taken_back(&mut self, order: Vec<Rung>) -> Vec<Rung> {
        let mut kept = order.clone();
        for one in order {
            let without: Vec<Rung> = kept.iter().copied().filter(|&rung| rung != one).collect();
            if self.holds(&without).is_some() {
                kept = without;
            }
        }
        kept
    }

    /// The same keys with each as weak as the others let it be, the dearest first.
    fn weakened(&mut self, set: Vec<Rung>) -> Vec<Rung> {
        let mut set = self.dearest_first(set);
        for at in 0..set.len() {
            let (ladder, strongest) = set[at];
            for rung in (0..strongest).filter(|&rung| self.judged[ladder][rung].is_some()) {
                let mut tried = set.clone();
                tried[at] = (ladder, rung);
                if !alters_a_key_twice(self.search, &self.of(&tried)) && self.holds(&tried).is_some() {
                    set = tried;
                    break;
                }
            }
        }
        set
    }
}
