//! One walk over all chainages at which what a group's bolts give changes.

use super::{AGAINST, Bounds, End, Line, ON_JOINT, within_period};
use crate::stability::{Reaction, Stability};
use crate::support::along::EVENT_GAP_M;
use crate::support::loss::{Stretch, least_with_loss};

/// A chainage of the apex at which what a row's bolts give changes: by how much it jumps, and its slope.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bend {
    phase_m: f64,
    jump_kn: f64,
    slope_kn_per_m: f64,
    /// Which of the group's lines.
    line: usize,
}

/// Low bits of the key that bends are sorted by: which one it is. What they take from a chainage is far below
/// [`EVENT_GAP_M`].
const WHICH: u64 = (1 << 11) - 1;

/// What a group's bolts give, once round its period.
#[derive(Clone, Copy)]
pub(super) struct Round<'a> {
    pub lines: &'a [Line],
    pub bounds: &'a [Bounds],
    pub bends: &'a [Bend],
    /// Keys of the bends by chainage, from 0 to the period.
    pub order: &'a [u64],
    pub period_m: f64,
}

/// Numbers that rows of bolts add up to: by how much each changes along the drive.
type Sums<const N: usize> = [f64; N];

impl<'a> Round<'a> {
    /// `None` where bends are too many to be told apart, or none.
    pub fn of(
        (lines, bounds): (&'a [Line], &'a [Bounds]),
        period_m: f64,
        (bends, order): (&'a mut Vec<Bend>, &'a mut Vec<u64>),
    ) -> Option<Self> {
        bends.clear();
        order.clear();
        let over_period = 1.0 / period_m;
        for (at, line) in lines.iter().enumerate() {
            line.each_bend(&bounds[line.bounds], |x, jump_kn, slope_kn_per_m| {
                let phase_m = within_period(line.ring_m - x, period_m, over_period);
                order.push((phase_m.to_bits() & !WHICH) | bends.len() as u64);
                bends.push(Bend { phase_m, jump_kn, slope_kn_per_m, line: at });
            });
        }
        if bends.is_empty() || bends.len() as u64 > WHICH {
            return None;
        }
        order.sort_unstable();
        Some(Self { lines, bounds, bends, order, period_m })
    }

    /// What is added up of each of `whats` at the end of an interval, kN.
    pub fn sum_kn(&self, what: usize, end: &End) -> f64 {
        let given =
            |line: &Line| line.adds[what] * line.given_kn(&self.bounds[line.bounds], end, self.period_m);
        self.lines.iter().map(given).sum()
    }

    /// Calls `visit(begun, ended, from_m, to_m)` for every interval between bends: what `whats` add up to at either
    /// end, as limits from within, above what they are at chainage 0.
    ///
    /// Once round the period each comes back to what it was, which gives the slope that it begins with.
    #[inline]
    fn each_interval<const N: usize>(
        &self,
        whats: [usize; N],
        mut visit: impl FnMut(Sums<N>, Sums<N>, f64, f64),
    ) {
        let mut slope = [0.0; N];
        for bend in self.bends {
            let adds = &self.lines[bend.line].adds;
            let turned_kn = bend.jump_kn + bend.slope_kn_per_m * (self.period_m - bend.phase_m);
            for (slope, what) in slope.iter_mut().zip(whats) {
                *slope -= adds[what] * turned_kn;
            }
        }
        let over_period = 1.0 / self.period_m;
        slope = slope.map(|slope| slope * over_period);
        let first_slope = slope;
        let (mut kn, mut at_m, mut begun_kn) = ([0.0; N], 0.0, None);
        #[allow(clippy::cast_possible_truncation)] // below a few thousand
        for key in self.order {
            let bend = &self.bends[(key & WHICH) as usize];
            let adds = &self.lines[bend.line].adds;
            for (kn, slope) in kn.iter_mut().zip(slope) {
                *kn += slope * (bend.phase_m - at_m);
            }
            if let Some(begun_kn) = begun_kn {
                visit(begun_kn, kn, at_m, bend.phase_m);
            }
            for ((kn, slope), what) in kn.iter_mut().zip(&mut slope).zip(whats) {
                *kn += adds[what] * bend.jump_kn;
                *slope += adds[what] * bend.slope_kn_per_m;
            }
            (begun_kn, at_m) = (Some(kn), bend.phase_m);
        }
        if let (Some(begun_kn), Some(first)) = (begun_kn, self.order.first()) {
            #[allow(clippy::cast_possible_truncation)] // as above
            let first_m = self.bends[(first & WHICH) as usize].phase_m;
            visit(begun_kn, first_slope.map(|s| s * first_m), at_m, first_m + self.period_m);
        }
    }

    /// The end of an interval at which the group's bolts add least of `what`; `None` where nothing is an interval.
    pub fn least(&self, what: usize) -> Option<End> {
        let mut least_kn = f64::INFINITY;
        let mut least = None;
        self.each_interval([what], |[begun_kn], [ended_kn], from_m, to_m| {
            // No placement fits between two bends that are one.
            if begun_kn.min(ended_kn) < least_kn && to_m - from_m > EVENT_GAP_M {
                least_kn = begun_kn.min(ended_kn);
                let at_m = if begun_kn <= ended_kn { from_m } else { to_m };
                least = Some(End { middle_m: 0.5 * (from_m + to_m), at_m });
            }
        });
        least
    }

    /// The least factor of safety where the bolts open a joint somewhere: between bends all that they press and resist
    /// is straight, which is what [`least_with_loss`] asks for. `None` where nothing is an interval.
    pub fn least_fs_opening(&self, stability: &Stability) -> Option<f64> {
        const ALL: [usize; 4] = [AGAINST, ON_JOINT, ON_JOINT + 1, ON_JOINT + 2];
        // How high the sums stand at chainage 0, from one place where they are added up bolt by bolt.
        let mut stood_kn = None;
        let mut stretches = Vec::new();
        self.each_interval(ALL, |begun_kn, ended_kn, from_m, to_m| {
            if to_m - from_m <= EVENT_GAP_M {
                return;
            }
            let stood_kn: Sums<4> = *stood_kn.get_or_insert_with(|| {
                let end = End { middle_m: 0.5 * (from_m + to_m), at_m: from_m };
                std::array::from_fn(|n| self.sum_kn(ALL[n], &end) - begun_kn[n])
            });
            let reaction = |kn: Sums<4>| {
                let [against_kn, a, b, c]: Sums<4> = std::array::from_fn(|n| kn[n] + stood_kn[n]);
                Reaction { normal_kn: [a, b, c], against_kn }
            };
            stretches.push(Stretch { from_m, to_m, first: reaction(begun_kn), last: reaction(ended_kn) });
        });
        (!stretches.is_empty()).then(|| least_with_loss(&[stretches], stability).least_fs)
    }
}
