use std::cmp::Ordering;
use std::collections::HashMap;

use rayon::prelude::*;

use super::{Candidate, Choice, Costed, FitError, missing_price};
use crate::case::{Case, FromStock, PlanInputs, Stock, StockPattern, StockedPattern};
use crate::opening::Opening;
use crate::study::plan::per_metre;
use crate::support::{Layout, LocalBolts, Pattern};

/// Most patterns that stand together: back, walls, and long ones.
pub(super) const MOST_PATTERNS: usize = 3;

/// In place of a pick: no pattern, or none that a wedge could meet.
pub(super) const NONE: u32 = u32::MAX;

/// One way to make a pattern of the stock; `None` where it is left out.
#[derive(Debug, Clone)]
pub(super) struct Way {
    pub choice: Option<Choice>,
    pub made: Option<(StockedPattern, Layout)>,
}

/// The ways to make one pattern.
#[derive(Debug)]
pub(super) struct Ways {
    /// Those that can be drilled, each once.
    pub all: Vec<Way>,
    /// How many of them lay the same collars as another one.
    alike: usize,
}

/// A combination: of each pattern the way it is made, by its place in the list of those that can be drilled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct Picks {
    pub ways: [u32; MOST_PATTERNS],
    /// [`NONE`] where the case's surface support stands.
    pub surface: u32,
}

/// A combination with what it costs and takes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Entry {
    pub picks: Picks,
    pub cost_per_m: f64,
    pub minutes_per_m: f64,
    bolts_per_m: f64,
    drill_m_per_m: f64,
    /// Whether it is a plan's own and no sum.
    pub is_exact: bool,
}

/// All that a stock offers.
#[derive(Debug)]
pub(super) struct Offers<'a> {
    case: &'a Case,
    stock: &'a Stock,
    /// For each pattern of the stock the ways in which it can be drilled, in the order of the lists.
    pub ways: Vec<Ways>,
}

impl<'a> Offers<'a> {
    pub fn of(case: &'a Case, stock: &'a Stock, opening: &Opening) -> Self {
        let ways = stock.patterns.iter().map(|p| ways(p, opening)).collect();
        Self { case, stock, ways }
    }

    /// Every combination that can be drilled, in the order of the stock's lists.
    pub fn every(&self) -> Vec<Picks> {
        let surfaces: Vec<u32> = match self.stock.surfaces.len() as u32 {
            0 => vec![NONE],
            count => (0..count).collect(),
        };
        let mut all = vec![[NONE; MOST_PATTERNS]];
        for (slot, ways) in self.ways.iter().enumerate() {
            all = all
                .iter()
                .flat_map(|picks| {
                    (0..ways.all.len() as u32).map(move |way| {
                        let mut picks = *picks;
                        picks[slot] = way;
                        picks
                    })
                })
                .collect();
        }
        // Without any bolt there is no pattern to choose.
        all.retain(|picks| self.made(picks).next().is_some());
        all.iter().flat_map(|&ways| surfaces.iter().map(move |&surface| Picks { ways, surface })).collect()
    }

    /// How many combinations lay the same collars as another one that is tried.
    pub fn alike(&self) -> usize {
        let product = |of: fn(&Ways) -> usize| self.ways.iter().map(of).product::<usize>();
        let (tried, all) = (product(|w| w.all.len()), product(|w| w.all.len() + w.alike));
        (all - tried) * self.stock.surfaces.len().max(1)
    }

    fn way(&self, slot: usize, pick: u32) -> Option<&Way> {
        self.ways.get(slot)?.all.get(pick as usize)
    }

    /// The patterns that are made, in the order of the stock.
    pub fn made<'s>(&'s self, picks: &'s [u32; MOST_PATTERNS]) -> impl Iterator<Item = &'s StockedPattern> {
        picks
            .iter()
            .enumerate()
            .filter_map(|(slot, &pick)| self.way(slot, pick)?.made.as_ref().map(|(stocked, _)| stocked))
    }

    pub fn candidate(&self, picks: &Picks) -> Candidate {
        let choice = |slot: usize| self.way(slot, picks.ways[slot]).and_then(|way| way.choice);
        Candidate {
            patterns: (0..self.ways.len()).map(choice).collect(),
            surface: (picks.surface != NONE).then_some(picks.surface as usize),
        }
    }

    pub fn costed(&self, entry: &Entry) -> Costed {
        Costed {
            candidate: self.candidate(&entry.picks),
            cost_per_m: entry.cost_per_m,
            minutes_per_m: entry.minutes_per_m,
            bolts_per_m: entry.bolts_per_m,
            drill_m_per_m: entry.drill_m_per_m,
        }
    }

    fn put_of(&self, picks: &Picks) -> FromStock {
        FromStock {
            patterns: self.made(&picks.ways).cloned().collect(),
            surface: (picks.surface != NONE).then(|| self.stock.surfaces[picks.surface as usize]),
        }
    }

    /// The case with a combination in place of its patterns.
    pub fn case_of(&self, picks: &Picks) -> Case {
        let mut changed = self.case.clone();
        put_in(&mut changed, self.case, self.put_of(picks));
        changed
    }

    /// What one combination costs and takes, exactly as a plan of it says.
    pub fn exact(&self, inputs: &PlanInputs, picks: &Picks) -> Result<Entry, FitError> {
        self.plan_of(&mut self.case.clone(), &mut inputs.clone(), inputs, picks)
    }

    fn plan_of(
        &self,
        own_case: &mut Case,
        own: &mut PlanInputs,
        inputs: &PlanInputs,
        picks: &Picks,
    ) -> Result<Entry, FitError> {
        let put = self.put_of(picks);
        set_prices(own, inputs, &put);
        put_in(own_case, self.case, put);
        let found = per_metre(own_case, own)?;
        let Some(cost_per_m) = found.cost else {
            let what = missing_price(&found.notes).unwrap_or_else(|| "something".to_owned());
            return Err(FitError::NoPrice { what });
        };
        Ok(Entry {
            picks: *picks,
            cost_per_m,
            minutes_per_m: found.minutes,
            bolts_per_m: found.bolts,
            drill_m_per_m: found.drill_m,
            is_exact: true,
        })
    }

    fn every_exact(&self, inputs: &PlanInputs, all: &[Picks]) -> Result<Vec<Entry>, FitError> {
        all.par_iter()
            .map_init(
                || (self.case.clone(), inputs.clone()),
                |(own_case, own), picks| self.plan_of(own_case, own, inputs, picks),
            )
            .collect()
    }

    /// The combinations by rising cost, then minutes; of equals the first in the order of the stock.
    ///
    /// Plans by the metre add up over patterns, so those of several are summed from plans of each way alone,
    /// but for rounding; where that leaves the order open they are planned as they are.
    pub fn by_cost(&self, inputs: &PlanInputs) -> Result<Vec<Entry>, FitError> {
        let all = self.every();
        let mut entries = match self.summed(inputs, &all)? {
            Some(summed) => summed,
            None => self.every_exact(inputs, &all)?,
        };
        entries.sort_by(by_cost);
        let mut open: Vec<usize> = Vec::new();
        for at in 1..entries.len() {
            if is_near(entries[at - 1].cost_per_m, entries[at].cost_per_m) {
                open.extend([at - 1, at].iter().filter(|&&i| !entries[i].is_exact));
            }
        }
        open.dedup();
        let picks: Vec<Picks> = open.iter().map(|&at| entries[at].picks).collect();
        for (&at, exact) in open.iter().zip(self.every_exact(inputs, &picks)?) {
            entries[at] = exact;
        }
        if !open.is_empty() {
            // As they were before, where what was summed is equal.
            let place: HashMap<Picks, usize> =
                all.iter().enumerate().map(|(at, picks)| (*picks, at)).collect();
            entries.sort_by(|a, b| by_cost(a, b).then_with(|| place[&a.picks].cmp(&place[&b.picks])));
        }
        Ok(entries)
    }

    /// What combinations of several patterns cost and take, summed; `None` where that is not to be had: of
    /// one pattern, and where mesh goes as far as the collars of all.
    fn summed(&self, inputs: &PlanInputs, all: &[Picks]) -> Result<Option<Vec<Entry>>, FitError> {
        let Some(sums) = Sums::of(self, inputs)? else { return Ok(None) };
        let summed: Vec<Entry> = all.iter().map(|picks| sums.entry(picks)).collect();
        // The sum is the plan's own only as long as plans add up: looked after on some of them.
        let step = (all.len() / PROVED).max(1);
        let some: Vec<Picks> = all.iter().step_by(step).copied().collect();
        let proved = self.every_exact(inputs, &some)?;
        let same = proved.iter().zip(summed.iter().step_by(step)).all(|(exact, summed)| {
            is_near(exact.cost_per_m, summed.cost_per_m) && is_near(exact.minutes_per_m, summed.minutes_per_m)
        });
        Ok(same.then_some(summed))
    }
}

fn by_cost(a: &Entry, b: &Entry) -> Ordering {
    a.cost_per_m.total_cmp(&b.cost_per_m).then(a.minutes_per_m.total_cmp(&b.minutes_per_m))
}

/// How many of the sums are held against plans.
const PROVED: usize = 64;

/// Two costs or times that differ by no more than this share may be equal but for rounding, and are no
/// money and no time apart.
const ROUNDING_SHARE: f64 = 1e-10;

pub(super) fn is_near(a: f64, b: f64) -> bool {
    (a - b).abs() <= ROUNDING_SHARE * a.abs().max(b.abs())
}

/// What each way to make a pattern adds, for each surface support.
struct Sums {
    /// Of a metre without any pattern.
    base: Vec<[f64; 4]>,
    /// By surface, pattern, way.
    added: Vec<Vec<Vec<[f64; 4]>>>,
}

impl Sums {
    fn of(offers: &Offers, inputs: &PlanInputs) -> Result<Option<Self>, FitError> {
        let made = |slot: usize| offers.ways[slot].all.iter().position(|way| way.made.is_some());
        let firsts: Vec<(usize, usize)> =
            (0..offers.ways.len()).filter_map(|slot| Some((slot, made(slot)?))).collect();
        let [(a, way_a), (b, way_b), ..] = firsts.as_slice() else { return Ok(None) };
        let surfaces: Vec<u32> = match offers.stock.surfaces.len() as u32 {
            0 => vec![NONE],
            count => (0..count).collect(),
        };
        let (mut base, mut added) = (Vec::new(), Vec::new());
        for surface in surfaces {
            let picks = |chosen: &[(usize, usize)]| {
                let mut ways = [NONE; MOST_PATTERNS];
                chosen.iter().for_each(|&(slot, way)| ways[slot] = way as u32);
                Picks { ways, surface }
            };
            let mut alone: Vec<Vec<[f64; 4]>> = Vec::new();
            for (slot, ways) in offers.ways.iter().enumerate() {
                let of_slot: Vec<Picks> = (0..ways.all.len())
                    .filter(|&way| ways.all[way].made.is_some())
                    .map(|way| picks(&[(slot, way)]))
                    .collect();
                let plans = offers.every_exact(inputs, &of_slot)?;
                alone.push(plans.iter().map(Entry::numbers).collect());
            }
            let both = offers.exact(inputs, &picks(&[(*a, *way_a), (*b, *way_b)]))?.numbers();
            let of_base: [f64; 4] =
                std::array::from_fn(|i| alone[*a][*way_a][i] + alone[*b][*way_b][i] - both[i]);
            for ways in &mut alone {
                ways.iter_mut().for_each(|way| (0..4).for_each(|i| way[i] -= of_base[i]));
            }
            base.push(of_base);
            added.push(alone);
        }
        Ok(Some(Self { base, added }))
    }

    fn entry(&self, picks: &Picks) -> Entry {
        let surface = if picks.surface == NONE { 0 } else { picks.surface as usize };
        let mut sum = self.base[surface];
        for (ways, &pick) in self.added[surface].iter().zip(&picks.ways) {
            // Ways that are made stand before that without the pattern.
            if let Some(way) = ways.get(pick as usize) {
                (0..4).for_each(|i| sum[i] += way[i]);
            }
        }
        let [cost_per_m, minutes_per_m, bolts_per_m, drill_m_per_m] = sum;
        Entry { picks: *picks, cost_per_m, minutes_per_m, bolts_per_m, drill_m_per_m, is_exact: false }
    }
}

impl Entry {
    fn numbers(&self) -> [f64; 4] {
        [self.cost_per_m, self.minutes_per_m, self.bolts_per_m, self.drill_m_per_m]
    }
}

/// Every way to make a pattern that can be drilled, in the order of the lists; that without it last.
///
/// Of those that lay the same collars (another spacing or lowest collar may not change them) the first.
fn ways(stock: &StockPattern, opening: &Opening) -> Ways {
    let mut all: Vec<Way> = Vec::with_capacity(stock.candidates());
    let mut alike = 0;
    // Places in the list of those with the same bolts and rings.
    let mut of_rings: HashMap<(usize, usize, usize, usize), Vec<usize>> = HashMap::new();
    for bolt in 0..stock.bolts.len() {
        for length in 0..stock.bolts[bolt].lengths.len() {
            for spacing in 0..stock.spacings_m.len() {
                for rings in 0..stock.ring_spacings_m.len() {
                    for stagger in 0..stock.stagger.len() {
                        for coverage in 0..stock.coverages.len() {
                            let choice = Choice { bolt, length, spacing, rings, stagger, coverage };
                            let stocked = made_of(stock, &choice);
                            let Ok(layout) = Layout::new(&stocked.pattern, opening) else { continue };
                            let with = (bolt, length, rings, stagger);
                            let same = of_rings.entry(with).or_default();
                            let laid = |at: &usize| all[*at].made.as_ref().is_some_and(|m| m.1 == layout);
                            if same.iter().any(laid) {
                                alike += 1;
                                continue;
                            }
                            same.push(all.len());
                            all.push(Way { choice: Some(choice), made: Some((stocked, layout)) });
                        }
                    }
                }
            }
        }
    }
    if stock.may_be_left_out {
        all.push(Way { choice: None, made: None });
    }
    Ways { alike, all }
}

/// A pattern of the stock as it is chosen: bolts square to the surface, without tension.
fn made_of(stock: &StockPattern, choice: &Choice) -> StockedPattern {
    let bolt = &stock.bolts[choice.bolt];
    let coverage = &stock.coverages[choice.coverage];
    let (length_m, price_per_bolt) = bolt.lengths[choice.length];
    let ring_spacing_m = stock.ring_spacings_m[choice.rings];
    let spacing_m = stock.spacings_m[choice.spacing];
    let pattern = Pattern {
        outside_hole_m: bolt.outside_hole_m,
        covers: coverage.covers.clone(),
        lowest_collar_m: coverage.lowest_collar_m,
        stagger: stock.stagger[choice.stagger],
        ..Pattern::of_back(bolt.bolt, length_m, ring_spacing_m, spacing_m)
    };
    StockedPattern { pattern, price_per_bolt }
}

/// What a candidate puts into a case.
pub(super) fn of_stock(stock: &Stock, candidate: &Candidate) -> FromStock {
    let chosen = stock.patterns.iter().zip(&candidate.patterns);
    FromStock {
        patterns: chosen.filter_map(|(of, choice)| Some(made_of(of, choice.as_ref()?))).collect(),
        surface: candidate.surface.map(|s| stock.surfaces[s]),
    }
}

/// Puts a combination in place of patterns; its surface support is one of `case`.
fn put_in(own: &mut Case, case: &Case, put: FromStock) {
    own.patterns = put.patterns.into_iter().map(|stocked| stocked.pattern).collect();
    // A pattern over a stretch is one of the case's patterns too; single bolts stay.
    own.local.retain(LocalBolts::is_spot);
    // So is one on the face, and what is chosen stands in place of all of them.
    own.face_bolts.clear();
    if let Some(chosen) = put.surface {
        // The mesh that is ordered is the one that the verdict counts on.
        let support = case.surface_support[chosen.surface].clone();
        own.face_support.retain(|s| s.name == support.name);
        own.surface_support = vec![support];
    }
}

/// The plan with a candidate's prices in it.
pub(super) fn set_prices(own: &mut PlanInputs, inputs: &PlanInputs, put: &FromStock) {
    own.prices.per_bolt = put.patterns.iter().map(|stocked| Some(stocked.price_per_bolt)).collect();
    if let Some(chosen) = put.surface {
        own.prices.screen_sheet = chosen.price_per_sheet.or(inputs.prices.screen_sheet);
    }
}
