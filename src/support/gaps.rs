//! Where, across the section, gaps between bolts open and close.

use super::PhaseGroup;
use super::track::Track;

/// Between two places at which no jump is further apart than this share of the period, jumps are
/// taken to run straight.
const STRAIGHT_SHARE: f64 = 0.25;

/// Names one jump of one row's bolts: pattern, row, which jump, and which ring of the period.
type Key = (usize, usize, usize, usize);

/// The positions along the drive at which one group's bolts begin and cease to hold a wedge, with
/// its apex at one place across the section: phases of the apex, sorted by name. A phase is not
/// brought into the period, so that one name's phases at two places tell how far it moved.
#[derive(Debug, Clone, Default)]
pub(super) struct Jumps {
    /// A collar comes on the face, an anchor comes to sit beyond its joint.
    rises: Vec<(Key, f64)>,
    /// A collar leaves the face, an anchor ceases to sit beyond its joint.
    drops: Vec<(Key, f64)>,
}

impl Jumps {
    /// The jumps of a group among the tracks of one wedge.
    pub fn of(group: &PhaseGroup, tracks: &[Track]) -> Self {
        let mut jumps = Self::default();
        for track in tracks.iter().filter(|t| group.patterns.contains(&t.pattern)) {
            let copies = (group.period_m / track.period_m).round().max(1.0) as usize;
            track.each_jump(|which, x, rises| {
                let list = if rises { &mut jumps.rises } else { &mut jumps.drops };
                for copy in 0..copies {
                    let phase = track.ring_m + copy as f64 * track.period_m - x;
                    list.push(((track.pattern, track.row, which, copy), phase));
                }
            });
        }
        jumps.rises.sort_by_key(|r| r.0);
        jumps.drops.sort_by_key(|d| d.0);
        jumps
    }

    /// Whether every jump that is there at both places moves little enough from one to the other
    /// to be taken as straight.
    pub fn run_straight_to(&self, after: &Self, period_m: f64) -> bool {
        let far = |m: &(f64, f64)| m.1.abs() > STRAIGHT_SHARE * period_m;
        !moved(&self.rises, &after.rises).iter().any(far) && !moved(&self.drops, &after.drops).iter().any(far)
    }
}

/// (phase at the first place, way to the second) of every jump that is there at both.
fn moved(old: &[(Key, f64)], new: &[(Key, f64)]) -> Vec<(f64, f64)> {
    let mut both = Vec::with_capacity(old.len());
    let mut rest = new.iter().peekable();
    for (key, phase) in old {
        while rest.next_if(|n| n.0 < *key).is_some() {}
        if let Some((_, later)) = rest.next_if(|n| n.0 == *key) {
            both.push((*phase, later - phase));
        }
    }
    both
}

/// Calls `visit(share)` where between two places, `share` of the way from `before` to `after`, a
/// drop and a rise pass each other: there a stretch of positions between them opens or closes.
/// Along the drive the factor of safety is least in a stretch that begins with a drop and ends
/// with a rise, and each such stretch opens and closes where two of these pass.
pub(super) fn each_passing(before: &Jumps, after: &Jumps, period_m: f64, mut visit: impl FnMut(f64)) {
    let within = |list: Vec<(f64, f64)>| -> Vec<(f64, f64)> {
        list.into_iter().map(|(phase, step)| (phase.rem_euclid(period_m), step)).collect()
    };
    let mut rises = within(moved(&before.rises, &after.rises));
    let drops = within(moved(&before.drops, &after.drops));
    rises.sort_by(|a, b| a.0.total_cmp(&b.0));
    let fastest = rises.iter().map(|r| r.1.abs()).fold(0.0, f64::max);
    for (phase, step) in &drops {
        let reach = (step.abs() + fastest).min(0.5 * period_m);
        // Rises that can be met, once more round the period on either side.
        for turn in [-period_m, 0.0, period_m] {
            let first = rises.partition_point(|r| r.0 + turn < phase - reach);
            for rise in rises[first..].iter().take_while(|r| r.0 + turn <= phase + reach) {
                let apart = phase - (rise.0 + turn);
                let closing = step - rise.1;
                let share = -apart / closing;
                if share > 0.0 && share < 1.0 {
                    visit(share);
                }
            }
        }
    }
}

/// Keeps a spread of at most `most` of the values that are pushed, every one at first, then every
/// second, and so on: the same for the same values.
#[derive(Debug)]
pub(super) struct Spread {
    kept: Vec<f64>,
    most: usize,
    stride: usize,
    seen: usize,
}

impl Spread {
    pub fn new(most: usize) -> Self {
        Self { kept: Vec::new(), most, stride: 1, seen: 0 }
    }

    pub fn push(&mut self, value: f64) {
        if self.seen.is_multiple_of(self.stride) {
            if self.kept.len() == self.most {
                self.kept = self.kept.iter().copied().step_by(2).collect();
                self.stride *= 2;
            }
            if self.seen.is_multiple_of(self.stride) {
                self.kept.push(value);
            }
        }
        self.seen += 1;
    }

    pub fn into_kept(self) -> Vec<f64> {
        self.kept
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spread_is_even_and_bounded() {
        let mut all = Spread::new(10);
        let mut some = Spread::new(4);
        for i in 0..10 {
            all.push(f64::from(i));
            some.push(f64::from(i));
        }
        assert_eq!(all.into_kept().len(), 10);
        assert_eq!(some.into_kept(), [0.0, 4.0, 8.0]);
    }

    #[test]
    fn a_drop_and_a_rise_that_pass_are_found_across_the_end_of_the_period() {
        let key = (0, 0, 0, 0);
        let at = |rise: f64, drop: f64| Jumps { rises: vec![(key, rise)], drops: vec![(key, drop)] };
        let passings = |before: &Jumps, after: &Jumps| {
            let mut found = Vec::new();
            each_passing(before, after, 1.2, |share| found.push(share));
            found
        };
        // The drop goes from 1.15 to 1.25 (over the end), the rise stays at 1.175 or a period before.
        for rise in [1.175, -0.025] {
            let found = passings(&at(rise, 1.15), &at(rise, 1.25));
            assert!(found.len() == 1 && (found[0] - 0.25).abs() < 1e-12, "{found:?}");
        }
        assert!(passings(&at(0.5, 0.2), &at(0.6, 0.3)).is_empty());
    }

    #[test]
    fn a_jump_that_goes_nearly_once_round_is_not_taken_as_still() {
        let at = |rise: f64| Jumps { rises: vec![((0, 0, 0, 0), rise)], drops: Vec::new() };
        assert!(at(0.1).run_straight_to(&at(0.2), 1.2));
        assert!(!at(0.1).run_straight_to(&at(1.2), 1.2));
    }
}
