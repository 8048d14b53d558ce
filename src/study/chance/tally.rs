//! What is counted of the draws. Every number in it is a count or a sum of whole numbers, so tallies of parts
//! add up to the same, however the draws were parted and whatever came first.

use serde::{Deserialize, Serialize};

use super::one::DrawnWedge;
use crate::case::Case;
use crate::study::seat::criterion_fs;

/// Bits of the fraction that tell bins apart: 128 bins an octave, each less than 0.8 % wide.
const BITS: u32 = 7;
/// The first and the last octave of a histogram: from 6e-5 to 4e6.
const FIRST_OCTAVE: i64 = -14;
const LAST_OCTAVE: i64 = 22;
const BINS: usize = ((LAST_OCTAVE - FIRST_OCTAVE) as usize) << BITS;

/// A quantile of a [`Histogram`] is the middle of its bin, off by at most this share of itself.
pub const QUANTILE_ERROR: f64 = 1.0 / (2 << BITS) as f64;

/// Whole parts that a volume is counted in, cubic metres: a cubic centimetre.
const VOLUME_PART: f64 = 1e-6;

/// How often positive numbers fell where, at a memory that does not grow with them.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(from = "Sparse", into = "Sparse")]
pub struct Histogram {
    /// Empty until something is counted.
    bins: Vec<u64>,
    below: u64,
    above: u64,
}

/// A histogram as it is written: pairs of bin and count.
#[derive(Serialize, Deserialize)]
struct Sparse {
    below: u64,
    bins: Vec<(usize, u64)>,
    above: u64,
}

impl From<Histogram> for Sparse {
    fn from(histogram: Histogram) -> Self {
        let bins = histogram.bins.iter().copied().enumerate().filter(|(_, n)| *n > 0).collect();
        Self { below: histogram.below, bins, above: histogram.above }
    }
}

impl From<Sparse> for Histogram {
    fn from(sparse: Sparse) -> Self {
        let mut bins = if sparse.bins.is_empty() { Vec::new() } else { vec![0; BINS] };
        for (bin, count) in sparse.bins.into_iter().filter(|(bin, _)| *bin < BINS) {
            bins[bin] = count;
        }
        Self { bins, below: sparse.below, above: sparse.above }
    }
}

impl Histogram {
    /// Counts a number; those below the first bin (0 among them) and above the last are counted by themselves.
    pub fn add(&mut self, value: f64) {
        if value.is_nan() {
            return;
        }
        // Of a positive number exponent and first digits of the fraction stand at the front of its bits.
        #[allow(clippy::cast_possible_wrap)]
        let at = (value.to_bits() >> (52 - BITS)) as i64 - ((1023 + FIRST_OCTAVE) << BITS);
        if value <= 0.0 || at < 0 {
            self.below += 1;
        } else if at >= BINS as i64 {
            self.above += 1;
        } else {
            if self.bins.is_empty() {
                self.bins = vec![0; BINS];
            }
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // within the bins
            {
                self.bins[at as usize] += 1;
            }
        }
    }

    /// Adds what another one counted.
    pub(super) fn merge(&mut self, other: &Self) {
        self.below += other.below;
        self.above += other.above;
        if self.bins.is_empty() {
            self.bins.clone_from(&other.bins);
        } else {
            self.bins.iter_mut().zip(&other.bins).for_each(|(mine, theirs)| *mine += theirs);
        }
    }

    /// How many were counted.
    #[must_use]
    pub fn count(&self) -> u64 {
        self.below + self.above + self.bins.iter().sum::<u64>()
    }

    /// The edges of a bin.
    fn edges(bin: usize) -> [f64; 2] {
        [bin as u64, bin as u64 + 1]
            .map(|at| f64::from_bits((at + (((1023 + FIRST_OCTAVE) as u64) << BITS)) << (52 - BITS)))
    }

    /// The number that a share of all is at most, off by at most [`QUANTILE_ERROR`]; 0 below the first bin,
    /// infinite above the last. `None` where nothing was counted.
    #[must_use]
    pub fn quantile(&self, share: f64) -> Option<f64> {
        self.quantile_over(share, self.count())
    }

    /// The same of `all`, of which those that were not counted are 0.
    #[must_use]
    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
    pub fn quantile_over(&self, share: f64, all: u64) -> Option<f64> {
        if all == 0 {
            return None;
        }
        let wanted = (share * all as f64).ceil().max(1.0);
        let mut sum = self.below + (all - self.count().min(all));
        if sum as f64 >= wanted {
            return Some(0.0);
        }
        for (bin, count) in self.bins.iter().enumerate() {
            sum += count;
            if sum as f64 >= wanted {
                let [low, high] = Self::edges(bin);
                return Some(0.5 * (low + high));
            }
        }
        Some(f64::INFINITY)
    }

    /// How many lie in each bin that is not empty: its edges and the count, rising.
    pub fn filled(&self) -> impl Iterator<Item = ([f64; 2], u64)> + '_ {
        let bins = self.bins.iter().enumerate().filter(|(_, n)| **n > 0);
        bins.map(|(bin, n)| (Self::edges(bin), *n))
    }

    /// How many lie below the first bin.
    #[must_use]
    pub fn below(&self) -> u64 {
        self.below
    }

    /// How many lie above a number, to within the bin that it lies in.
    #[must_use]
    pub fn above(&self, value: f64) -> u64 {
        self.above + self.filled().filter(|([low, _], _)| *low >= value).map(|(_, n)| n).sum::<u64>()
    }
}

/// How often something was short.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shorts {
    /// Without support.
    pub bare: u64,
    /// With bolts at the worst place.
    pub bolted: u64,
    /// With bolts at one place, some of them without effect.
    pub somewhere: u64,
}

impl Shorts {
    fn merge(&mut self, other: &Self) {
        self.bare += other.bare;
        self.bolted += other.bolted;
        self.somewhere += other.somewhere;
    }
}

/// What was counted of one pyramid.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct PyramidTally {
    /// Draws in which it has a wedge of a litre or more that can move.
    pub moves: u64,
    /// Of them those in which it falls.
    pub falls: u64,
    /// Draws in which it is short.
    pub short: Shorts,
    /// Sum of its volumes, cubic centimetres.
    pub volume_cm3: u64,
    /// Its volumes.
    pub volume_m3: Histogram,
    /// Its factors of safety: with bolts where the case has any, else bare.
    pub fs: Histogram,
}

/// What was counted of one surface, or of all together: of each draw the worst wedge.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct PlaceTally {
    /// Draws in which a wedge there can move.
    pub moves: u64,
    /// Draws in which one is short.
    pub short: Shorts,
    /// The largest that can move, of the draws with one, as in all that follow.
    pub volume_m3: Histogram,
    /// The greatest force that a criterion asks of support.
    pub needed_kn: Histogram,
    /// The greatest pressure that one asks.
    pub needed_kpa: Histogram,
    /// The least factor without support.
    pub fs_bare: Histogram,
    /// The same with bolts.
    pub fs_bolted: Histogram,
}

/// Everything that is counted of a run of draws.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Tally {
    /// How many draws.
    pub draws: u64,
    /// By triple times 8 and pyramid.
    pub pyramids: Vec<PyramidTally>,
    /// All surfaces together, then each of [`crate::opening::Surface::ALL`].
    pub places: Vec<PlaceTally>,
    /// By triple the sum of the chances that it is the one that meets, in parts of 2^-32; empty where a set has
    /// no spacing.
    pub meets: Vec<u64>,
    /// Wedges that were too long to be held against bolts.
    pub too_long: u64,
}

/// Parts that a chance is counted in.
pub(super) const CHANCE_PARTS: f64 = 4_294_967_296.0;

/// How many places a tally has: all together, then five surfaces.
pub(super) const PLACES: usize = 6;

#[derive(Debug, Clone, Copy)]
struct Worst {
    moves: bool,
    short: [bool; 3],
    volume_m3: f64,
    needed_kn: f64,
    needed_kpa: f64,
    fs_bare: f64,
    fs_bolted: f64,
}

impl Worst {
    const NONE: Self = Self {
        moves: false,
        short: [false; 3],
        volume_m3: 0.0,
        needed_kn: 0.0,
        needed_kpa: 0.0,
        fs_bare: f64::INFINITY,
        fs_bolted: f64::INFINITY,
    };
}

/// The largest volume of a draw and its least factor of safety.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct CameTo {
    pub volume_m3: f64,
    pub fs: f64,
    pub short: bool,
}

impl Tally {
    pub(super) fn new(triples: usize) -> Self {
        Self {
            pyramids: vec![PyramidTally::default(); 8 * triples],
            places: vec![PlaceTally::default(); PLACES],
            ..Self::default()
        }
    }

    /// Draws in which a wedge is short: with bolts where the case has any, else bare.
    pub(super) fn short(&self, case: &Case) -> u64 {
        let short = self.places[0].short;
        if case.patterns.is_empty() { short.bare } else { short.bolted }
    }

    /// Counts one draw. What it came to is returned: with bolts where the case has any.
    pub(super) fn add(&mut self, case: &Case, wedges: &[DrawnWedge]) -> CameTo {
        let bolted = !case.patterns.is_empty();
        self.draws += 1;
        let mut worst = [Worst::NONE; PLACES];
        for wedge in wedges {
            let asked = criterion_fs(case, wedge.mode).unwrap_or(f64::NEG_INFINITY);
            let short = [
                wedge.fs_bare < asked,
                wedge.fs_bolted.is_some_and(|fs| fs < asked),
                wedge.fs_somewhere.is_some_and(|fs| fs < asked),
            ];
            self.too_long += u64::from(bolted && wedge.fs_bolted.is_none());
            let of = &mut self.pyramids[wedge.pyramid];
            of.moves += 1;
            of.falls += u64::from(wedge.mode == crate::stability::Mode::Falling);
            add_shorts(&mut of.short, short);
            of.volume_cm3 = of.volume_cm3.saturating_add(rounded(wedge.volume_m3 / VOLUME_PART));
            of.volume_m3.add(wedge.volume_m3);
            if let Some(fs) = if bolted { wedge.fs_bolted } else { Some(wedge.fs_bare) } {
                of.fs.add(fs);
            }
            for (at, w) in worst.iter_mut().enumerate() {
                // The first place is all surfaces together.
                if at > 0 && !wedge.shows_on[at - 1] {
                    continue;
                }
                w.moves = true;
                for (all, one) in w.short.iter_mut().zip(short) {
                    *all |= one;
                }
                w.volume_m3 = w.volume_m3.max(wedge.volume_m3);
                w.needed_kn = w.needed_kn.max(wedge.needed_kn);
                w.needed_kpa = w.needed_kpa.max(wedge.needed_kpa);
                w.fs_bare = w.fs_bare.min(wedge.fs_bare);
                w.fs_bolted = w.fs_bolted.min(wedge.fs_bolted.unwrap_or(f64::INFINITY));
            }
        }
        for (place, worst) in self.places.iter_mut().zip(&worst) {
            if worst.moves {
                place.moves += 1;
                add_shorts(&mut place.short, worst.short);
                place.volume_m3.add(worst.volume_m3);
                place.needed_kn.add(worst.needed_kn);
                place.needed_kpa.add(worst.needed_kpa);
                place.fs_bare.add(worst.fs_bare);
                if bolted {
                    place.fs_bolted.add(worst.fs_bolted);
                }
            }
        }
        let all = &worst[0];
        let (fs, short) = if bolted { (all.fs_bolted, all.short[1]) } else { (all.fs_bare, all.short[0]) };
        CameTo { volume_m3: all.volume_m3, fs, short }
    }

    /// Adds what another one counted of the same case.
    pub(super) fn merge(&mut self, other: &Self) {
        self.draws += other.draws;
        self.too_long += other.too_long;
        for (mine, theirs) in self.pyramids.iter_mut().zip(&other.pyramids) {
            mine.moves += theirs.moves;
            mine.falls += theirs.falls;
            mine.short.merge(&theirs.short);
            mine.volume_cm3 = mine.volume_cm3.saturating_add(theirs.volume_cm3);
            mine.volume_m3.merge(&theirs.volume_m3);
            mine.fs.merge(&theirs.fs);
        }
        for (mine, theirs) in self.places.iter_mut().zip(&other.places) {
            mine.moves += theirs.moves;
            mine.short.merge(&theirs.short);
            mine.volume_m3.merge(&theirs.volume_m3);
            mine.needed_kn.merge(&theirs.needed_kn);
            mine.needed_kpa.merge(&theirs.needed_kpa);
            mine.fs_bare.merge(&theirs.fs_bare);
            mine.fs_bolted.merge(&theirs.fs_bolted);
        }
        if self.meets.is_empty() {
            self.meets.clone_from(&other.meets);
        } else {
            self.meets.iter_mut().zip(&other.meets).for_each(|(mine, theirs)| *mine += theirs);
        }
    }
}

/// A number that is not negative to the next whole one, halves up; not `round`, which is a call where the processor's
/// oldest instructions have to do.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
fn rounded(number: f64) -> u64 {
    // Beyond it every number is whole.
    const WHOLE: f64 = 4_503_599_627_370_496.0;
    if number >= WHOLE {
        return number as u64;
    }
    let below = number as i64;
    below as u64 + u64::from(number - below as f64 >= 0.5)
}

fn add_shorts(shorts: &mut Shorts, [bare, bolted, somewhere]: [bool; 3]) {
    shorts.bare += u64::from(bare);
    shorts.bolted += u64::from(bolted);
    shorts.somewhere += u64::from(somewhere);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_are_as_near_as_they_say() {
        let mut histogram = Histogram::default();
        let values: Vec<f64> = (1..=10_000).map(|i| 1e-3 * f64::from(i).powf(1.7)).collect();
        values.iter().for_each(|v| histogram.add(*v));
        for share in [0.01, 0.5, 0.9, 0.95, 0.99, 1.0] {
            let exact = values[((share * 10_000.0) as usize).max(1) - 1];
            let found = histogram.quantile(share).unwrap();
            assert!((found / exact - 1.0).abs() <= QUANTILE_ERROR, "{share} {found} {exact}");
        }
        assert_eq!(Histogram::default().quantile(0.5), None);
        let mut nothing = Histogram::default();
        [0.0, 0.0, f64::INFINITY].iter().for_each(|v| nothing.add(*v));
        assert_eq!((nothing.quantile(0.5), nothing.quantile(1.0)), (Some(0.0), Some(f64::INFINITY)));
        assert_eq!(nothing.count(), 3);
    }

    #[test]
    fn parts_add_up_to_the_whole_in_any_order() {
        let of = |range: std::ops::Range<i32>| {
            let mut histogram = Histogram::default();
            range.for_each(|i| histogram.add(f64::from(i) * 0.37));
            histogram
        };
        let mut parts = of(700..1000);
        parts.merge(&of(0..300));
        parts.merge(&of(300..700));
        assert_eq!(parts, of(0..1000));
        let written = serde_json::to_string(&parts).unwrap();
        assert_eq!(serde_json::from_str::<Histogram>(&written).unwrap(), parts);
    }
}
