//! Where along a drive the sets change.
//!
//! Poles are counted on a net of overlapping counters, in windows before and after a place: as many readings as a
//! window holds, or as there are. How far the two are apart, n₁n₂/(n₁ + n₂) times the squared distance of their
//! means, is the statistic; its greatest value over all places is held against those of the same readings in random order (a permutation test,
//! Fisher 1935), so that the chance of a border where none is is that of the level over the whole drive, whatever
//! the sets look like. Readings are taken to follow each other independently: joints of one set in swarms, and
//! lines of another direction further on, which meet other joints, look like borders.

mod counters;
mod nearest;
mod parts;

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rayon::prelude::*;

use self::counters::{COUNTERS, counted};
pub use self::nearest::NearestSet;
pub use self::parts::{Domain, map_domains, say_of_domains};
use super::mixture::uniform;
use super::{LineKind, Reading, Survey};
use crate::numeric::evenly_picked;
use crate::orientation::Vec3;

/// Of surveys without a border one in a hundred shows one.
pub const BORDER_LEVEL: f64 = 0.01;
/// Random orders that a statistic is held against.
const ORDERS: u32 = 499;
/// Most readings in a window on one side: more would not see a short domain between two others. Tried on synthetic
/// surveys: with 40 two borders in five are found, with 100 and more nearly all.
const WINDOW: usize = 150;
/// Fewer readings than this on a side show no sets. Common practice, no source.
const LEAST_SIDE: usize = 10;
/// Of more readings than this evenly picked ones are looked at.
const MOST_READINGS: usize = 4000;

/// What places along the drive are counted by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AlongDrive {
    /// Chainage.
    Chainage,
    /// Distance on one line, an index into [`Survey::lines`].
    Distance(usize),
}

impl AlongDrive {
    /// What a survey has most of: chainages, or distances on the line with most readings. `None` without any.
    #[must_use]
    pub fn of(survey: &Survey) -> Option<Self> {
        if survey.readings.iter().any(|r| r.chainage_m.is_some()) {
            return Some(Self::Chainage);
        }
        let mut counts = vec![0_usize; survey.lines.len()];
        for line in survey.readings.iter().filter(|r| r.distance_m.is_some()).filter_map(|r| r.line) {
            counts[line] += usize::from(survey.lines[line].kind != Some(LineKind::Window));
        }
        // Of equals the first by its name, whatever the order of rows.
        let name = |line: usize| &survey.lines[line].id;
        let most = (0..counts.len()).filter(|&l| counts[l] > 0);
        most.max_by(|&a, &b| counts[a].cmp(&counts[b]).then_with(|| name(b).cmp(name(a)))).map(Self::Distance)
    }

    /// Where a reading is, metres.
    #[must_use]
    pub fn place_m(self, reading: &Reading) -> Option<f64> {
        self.place_of(reading.chainage_m, reading.distance_m, reading.line)
    }

    /// Where a row is that stood at this chainage, or at this distance on this line.
    pub(crate) fn place_of(
        self,
        chainage_m: Option<f64>,
        distance_m: Option<f64>,
        on: Option<usize>,
    ) -> Option<f64> {
        match self {
            Self::Chainage => chainage_m,
            Self::Distance(line) => distance_m.filter(|_| on == Some(line)),
        }
    }
}

/// A place where the sets change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Border {
    /// Half-way between the last reading before it and the first after it, metres.
    pub at_m: f64,
    /// Those two readings, metres.
    pub between_m: [f64; 2],
    /// Share of random orders that are parted as far somewhere, the drawn order among them.
    pub chance: f64,
}

/// Where the sets of a survey change along the drive.
#[derive(Debug, Clone, PartialEq)]
pub struct Domains {
    /// What places are counted by.
    pub along: AlongDrive,
    /// Readings that have a place.
    pub readings: usize,
    /// Most readings in a window on one side of a place.
    pub window: usize,
    /// Borders, ascending.
    pub borders: Vec<Border>,
    /// The statistic over all readings: place in metres, value.
    pub curve: Vec<[f64; 2]>,
    /// What it has to exceed for a border of the whole drive.
    pub limit: f64,
}

/// Looks for borders; `ordered` are the readings in canonical order, `axes` beside them. `None` where too few have a
/// place.
pub(crate) fn find_domains(
    survey: &Survey,
    ordered: &[&Reading],
    axes: &[Vec3],
    seed: u64,
) -> Option<Domains> {
    let along = AlongDrive::of(survey)?;
    let mut placed: Vec<(f64, usize)> =
        ordered.iter().enumerate().filter_map(|(at, r)| Some((along.place_m(r)?, at))).collect();
    // Readings at one place stay in canonical order.
    placed.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let readings = placed.len();
    placed = evenly_picked(&placed, MOST_READINGS);
    if placed.len() < 2 * LEAST_SIDE {
        return None;
    }
    let counts: Vec<[f64; COUNTERS]> = placed.iter().map(|&(_, at)| counted(&axes[at])).collect();
    let places: Vec<f64> = placed.into_iter().map(|(place, _)| place).collect();
    let whole = Looked::at(&counts, seed);
    let curve = whole.values.iter().enumerate();
    let curve = curve.map(|(k, value)| [between(&places, k + LEAST_SIDE)[0], *value]).collect();
    let limit = whole.limit;
    let mut borders = Vec::new();
    part(&whole, &counts, &places, seed, &mut borders);
    borders.sort_by(|a, b| a.at_m.total_cmp(&b.at_m));
    Some(Domains { along, readings, window: WINDOW.min(counts.len()), borders, curve, limit })
}

/// The middle between the reading at `k` and the one before it, then both.
fn between(places: &[f64], k: usize) -> [f64; 3] {
    [f64::midpoint(places[k - 1], places[k]), places[k - 1], places[k]]
}

/// The statistic over readings in a row, against chance.
struct Looked {
    /// The statistic at each place.
    values: Vec<f64>,
    /// What the greatest value has to exceed at [`BORDER_LEVEL`].
    limit: f64,
    /// The chance of one as great as it is.
    chance: f64,
}

impl Looked {
    fn at(counts: &[[f64; COUNTERS]], seed: u64) -> Self {
        let values = statistic(&sums(counts.iter()));
        let (limit, chance) = Stretch { counts, seed }.against_chance(&values);
        Self { values, limit, chance }
    }
}

/// Parts a stretch at the border that was found in it, where one was, and looks for others on both sides.
fn part(looked: &Looked, counts: &[[f64; COUNTERS]], places: &[f64], seed: u64, borders: &mut Vec<Border>) {
    let Some(best) = greatest(&looked.values).filter(|_| looked.chance <= BORDER_LEVEL) else { return };
    let at = best + LEAST_SIDE;
    let [at_m, before, after] = between(places, at);
    borders.push(Border { at_m, between_m: [before, after], chance: looked.chance });
    for (counts, places) in [(&counts[..at], &places[..at]), (&counts[at..], &places[at..])] {
        if counts.len() >= 2 * LEAST_SIDE {
            part(&Looked::at(counts, seed), counts, places, seed, borders);
        }
    }
}

/// Sums of counts from the first reading up to each, none first.
fn sums<'c>(counts: impl Iterator<Item = &'c [f64; COUNTERS]>) -> Vec<[f64; COUNTERS]> {
    let mut sums = vec![[0.0; COUNTERS]];
    let mut sum = [0.0; COUNTERS];
    for of in counts {
        sum.iter_mut().zip(of).for_each(|(sum, value)| *sum += value);
        sums.push(sum);
    }
    sums
}

/// How far the window before each place is from the one after it, from the first place on that has enough readings
/// before it to the last that has enough after it.
fn statistic(sums: &[[f64; COUNTERS]]) -> Vec<f64> {
    let n = sums.len() - 1;
    let at = |k: usize| {
        let (from, to) = (k.saturating_sub(WINDOW), (k + WINDOW).min(n));
        #[allow(clippy::cast_precision_loss)] // some dozens
        let [before, after] = [(k - from) as f64, (to - k) as f64];
        let (first, here, last) = (&sums[from], &sums[k], &sums[to]);
        let off = |j: usize| (here[j] - first[j]) / before - (last[j] - here[j]) / after;
        before * after / (before + after) * (0..COUNTERS).map(|j| off(j) * off(j)).sum::<f64>()
    };
    (LEAST_SIDE..=n - LEAST_SIDE).map(at).collect()
}

/// The place of the greatest value, the first of equals.
fn greatest(values: &[f64]) -> Option<usize> {
    (0..values.len()).reduce(|best, at| if values[at] > values[best] { at } else { best })
}

/// Readings in a row, to be looked at in random orders.
struct Stretch<'c> {
    counts: &'c [[f64; COUNTERS]],
    seed: u64,
}

impl Stretch<'_> {
    /// What the greatest value has to exceed at [`BORDER_LEVEL`], and the chance of one as great as this.
    fn against_chance(&self, values: &[f64]) -> (f64, f64) {
        let found = values.iter().copied().fold(0.0, f64::max);
        let mut by_chance: Vec<f64> =
            (0..ORDERS).into_par_iter().map(|order| self.in_random_order(order)).collect();
        let as_great = by_chance.iter().filter(|v| **v >= found).count();
        by_chance.sort_by(|a, b| b.total_cmp(a));
        #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        // hundreds
        let (chance, rank) = (
            (as_great + 1) as f64 / f64::from(ORDERS + 1),
            (BORDER_LEVEL * f64::from(ORDERS + 1)) as usize - 1,
        );
        (by_chance[rank], chance)
    }

    fn in_random_order(&self, order: u32) -> f64 {
        let mut rng = ChaCha8Rng::seed_from_u64(self.seed);
        // A stream for each order, far from those of starts and redraws.
        rng.set_stream((1 << 48) | u64::from(order));
        let mut at: Vec<usize> = (0..self.counts.len()).collect();
        for i in (1..at.len()).rev() {
            #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            // below i + 1
            let other = (uniform(&mut rng) * (i + 1) as f64) as usize;
            at.swap(i, other.min(i));
        }
        let sums = sums(at.iter().map(|&i| &self.counts[i]));
        statistic(&sums).into_iter().fold(0.0, f64::max)
    }
}
