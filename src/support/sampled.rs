//! The least along the drive of one wedge after the other, as fast as it goes: for studies that ask it of
//! very many.

use super::along::{AlongScratch, EVENT_GAP_M, Support, each_bolt, may_lose_a_joint};
use super::track::{Body, Track};
use super::{Anchorage, Bolt, Layout, Pattern, PhaseGroup};
use crate::stability::{Reaction, Stability};
use crate::wedge::{Chain, Cone, Footprint};

/// The bolts of a drive whose patterns slide.
#[derive(Debug, Clone, Copy)]
pub struct Bolting<'a> {
    /// The section's perimeter, metres.
    pub perimeter_m: f64,
    /// The patterns.
    pub patterns: &'a [Pattern],
    /// The same, laid out.
    pub layouts: &'a [Layout],
    /// The bolts that the patterns name.
    pub bolts: &'a [Bolt],
    /// Which patterns slide together.
    pub groups: &'a [PhaseGroup],
}

/// Working memory, for one lot of bolts.
#[derive(Debug, Default)]
pub struct BoltingScratch<'a> {
    along: AlongScratch<'a>,
    tracks: Vec<Track<'a>>,
}

/// Working memory for any.
#[derive(Debug, Default)]
pub struct PhaseScratch {
    bends: Vec<Bend>,
    knots: Vec<(f64, f64)>,
}

/// A chainage of the apex at which what a group's bolts give changes: by how much it jumps, and its slope.
#[derive(Debug, Clone, Copy)]
struct Bend {
    phase_m: f64,
    jump_kn: f64,
    slope_kn_per_m: f64,
}

/// One end of an interval between bends.
#[derive(Debug, Clone, Copy)]
struct End {
    kn: f64,
    from_m: f64,
    to_m: f64,
    at_first: bool,
}

impl<'a> Bolting<'a> {
    fn support(&self) -> Support<'a> {
        Support { patterns: self.patterns, layouts: self.layouts, bolts: self.bolts, groups: self.groups }
    }

    /// The least factor of safety over all places along the drive of the wedge with this footprint, forces
    /// alone: that of [`super::place`] where one wedge alone is admissible.
    ///
    /// Between two events what a bonded bolt gives is straight but for where steel, head or toe takes over, so
    /// that the sum of a group is straight between bends and one walk over all of them finds the interval at
    /// whose end it is least. Other anchors, collars off their place, and bolts that may open a joint take the
    /// way of the placement search.
    #[must_use]
    pub fn least_fs(
        &self,
        (chain, cone, foot): (&Chain<'_>, &Cone, &Footprint),
        stability: &Stability,
        scratch: &mut BoltingScratch<'a>,
        room: &mut PhaseScratch,
    ) -> f64 {
        let body = Body { chain, cone, foot: *foot, perimeter_m: self.perimeter_m };
        let support = self.support();
        support.tracks(&body, stability, &mut scratch.tracks);
        let tracks = &scratch.tracks;
        if !tracks.iter().all(is_straight)
            || self.groups.iter().any(|g| g.known_m(&foot.apex).is_some())
            || may_lose_a_joint(tracks, stability)
        {
            return support.along(&body, stability, &mut scratch.along, None).least_fs;
        }
        let mut sum = Reaction::default();
        for group in self.groups {
            let of_group = |t: &&Track| group.patterns.contains(&t.pattern);
            if !tracks.iter().any(|t| of_group(&t)) {
                continue;
            }
            let least = least_end(group, tracks, stability, room);
            let middle_m = 0.5 * (least.from_m + least.to_m);
            let at_m = if least.at_first { least.from_m } else { least.to_m };
            each_bolt(group, tracks, middle_m, at_m, |track, _, kn| sum += track.effect.times(kn));
        }
        stability.fs(&sum)
    }

    /// The factor of safety at one place along the drive, each bolt without effect at a chance of `share`:
    /// `uniform` gives numbers from 0 up to 1, first one a group of patterns for the place, then one a bolt.
    #[must_use]
    pub fn fs_somewhere(
        &self,
        (chain, cone, foot): (&Chain<'_>, &Cone, &Footprint),
        stability: &Stability,
        share: f64,
        uniform: &mut dyn FnMut() -> f64,
    ) -> f64 {
        let body = Body { chain, cone, foot: *foot, perimeter_m: self.perimeter_m };
        let mut tracks = Vec::new();
        self.support().tracks(&body, stability, &mut tracks);
        let mut sum = Reaction::default();
        for group in self.groups {
            let phase_m = group.known_m(&foot.apex).unwrap_or_else(|| group.period_m * uniform());
            each_bolt(group, &tracks, phase_m, phase_m, |track, _, kn| {
                if uniform() >= share {
                    sum += track.effect.times(kn);
                }
            });
        }
        stability.fs(&sum)
    }
}

/// Whether what a row's bolts give is straight between bends: bonded all along, collars as drawn, rings
/// without end.
fn is_straight(track: &Track) -> bool {
    matches!(track.bolt.anchorage, Anchorage::Bonded { .. })
        && track.spread_m == [0.0; 3]
        && track.turns == (f64::NEG_INFINITY, f64::INFINITY)
        && track.low_m.is_finite()
        && track.high_m.is_finite()
}

/// The end of an interval between bends at which a group's bolts add least.
fn least_end(group: &PhaseGroup, tracks: &[Track], stability: &Stability, room: &mut PhaseScratch) -> End {
    let PhaseScratch { bends, knots } = room;
    bends.clear();
    let period_m = group.period_m;
    for track in tracks.iter().filter(|t| group.patterns.contains(&t.pattern)) {
        knots_of(track, stability.gain_kn(&track.effect), knots);
        let copies = (period_m / track.period_m).round().max(1.0) as usize;
        for copy in 0..copies {
            let ring_m = track.ring_m + copy as f64 * track.period_m;
            // As the apex advances, x falls from the high end to the low one.
            let mut slope = 0.0;
            for at in (0..knots.len()).rev() {
                let (x, kn) = knots[at];
                let next = at.checked_sub(1).map_or(0.0, |below| {
                    let (x_below, kn_below) = knots[below];
                    (kn_below - kn) / (x - x_below)
                });
                let jump_kn = if at + 1 == knots.len() { kn } else { 0.0 };
                let jump_kn = if at == 0 { jump_kn - kn } else { jump_kn };
                bends.push(Bend {
                    phase_m: within_period(ring_m - x, period_m),
                    jump_kn,
                    slope_kn_per_m: next - slope,
                });
                slope = next;
            }
        }
    }
    bends.sort_unstable_by(|a, b| a.phase_m.total_cmp(&b.phase_m));
    walk(bends, period_m)
}

/// A chainage counted round one period; what a remainder gives but for rounding, in a fraction of its time.
fn within_period(at_m: f64, period_m: f64) -> f64 {
    let left_m = at_m - period_m * (at_m / period_m).floor();
    // Rounding may end at either end of the period.
    if (0.0..period_m).contains(&left_m) { left_m } else { 0.0 }
}

/// Places of a collar, rising, between which what its bolt adds is straight, with what it adds there, kN.
fn knots_of(track: &Track, gain: f64, knots: &mut Vec<(f64, f64)>) {
    knots.clear();
    let Anchorage::Bonded { bond_kn_per_m } = track.bolt.anchorage else { return };
    let (steel_kn, plate_kn, length_m) = (track.bolt.steel_kn, track.bolt.plate_kn, track.length_in_hole_m);
    let given = |head_m: f64| {
        let toe_kn = bond_kn_per_m * (length_m - head_m).max(0.0);
        gain * steel_kn.min(toe_kn).min(plate_kn + bond_kn_per_m * head_m.max(0.0))
    };
    // How far a joint is from the collar where another bound takes over: head or toe from steel, or, where steel
    // never gives, the one from the other.
    let (from_head_m, to_toe_m) =
        ((steel_kn - plate_kn) / bond_kn_per_m, length_m - steel_kn / bond_kn_per_m);
    let between_m = if from_head_m < to_toe_m {
        [from_head_m, to_toe_m]
    } else {
        [0.5 * (length_m - plate_kn / bond_kn_per_m); 2]
    };
    let bounds_m = [0.0, between_m[0], between_m[1], length_m];
    // One knot a place, rising: two bends at one place are one, and bounds that lie in no order (a plate above the
    // steel) bend nothing there.
    let mut put = |x: f64, head_m: f64| {
        if knots.last().is_none_or(|last| x > last.0) {
            knots.push((x, given(head_m)));
        }
    };
    let mut joint = first_joint(track);
    let mut at = track.low_m;
    loop {
        let (reach_m, drift) = (track.reach_m[joint], track.drift[joint]);
        let next = next_joint(track, joint, at);
        let end = next.map_or(track.high_m, |(_, x)| x);
        put(at, reach_m + drift * at);
        if drift != 0.0 {
            let mut reached = |bound_m: f64| {
                let x = (bound_m - reach_m) / drift;
                if x > at && x < end {
                    put(x, bound_m);
                }
            };
            if drift > 0.0 {
                bounds_m.into_iter().for_each(&mut reached);
            } else {
                bounds_m.into_iter().rev().for_each(&mut reached);
            }
        }
        let Some((other, x)) = next else { break };
        (joint, at) = (other, x);
    }
    put(track.high_m, track.head_m(joint, track.high_m));
}

/// The joint that a bolt crosses first right beyond the low end of its row: of equals the one that comes nearer.
fn first_joint(track: &Track) -> usize {
    let key = |i: usize| (track.head_m(i, track.low_m), track.drift[i]);
    let mut first = 0;
    for i in 1..3 {
        if key(i) < key(first) {
            first = i;
        }
    }
    first
}

/// The joint that a bolt crosses first after this one as its collar goes on, and from where on, below the high end:
/// one whose reach grows less. Where three meet it is the one that grows least.
fn next_joint(track: &Track, joint: usize, from: f64) -> Option<(usize, f64)> {
    let mut next: Option<(usize, f64)> = None;
    for other in 0..3 {
        let apart = track.drift[joint] - track.drift[other];
        if apart <= 0.0 || track.reach_m[other].is_infinite() {
            continue;
        }
        // Rounding may put it before where this one begins.
        let x = ((track.reach_m[other] - track.reach_m[joint]) / apart).max(from);
        let sooner = |(first, at): (usize, f64)| x < at || x == at && track.drift[other] < track.drift[first];
        if x < track.high_m && next.is_none_or(sooner) {
            next = Some((other, x));
        }
    }
    next
}

/// Walks once round the period and gives the end of an interval at which the sum is least; what it is from the
/// first bend on is found by walking, so that only differences count.
fn walk(bends: &[Bend], period_m: f64) -> End {
    let (mut kn, mut slope, mut at_m) = (0.0, 0.0, bends[0].phase_m);
    // The slope right before the first bend: the sum of all changes round the period is none, and so is that of
    // the heights; both are found by a first round.
    let mut turned = (0.0, 0.0);
    for bend in bends {
        turned.0 += turned.1 * (bend.phase_m - at_m) + bend.jump_kn;
        turned.1 += bend.slope_kn_per_m;
        at_m = bend.phase_m;
    }
    let back_m = bends[0].phase_m + period_m - at_m;
    // After a whole round it stands where it stood: what is left is the slope that it began with.
    slope -= (turned.0 + turned.1 * back_m) / period_m;
    at_m = bends[0].phase_m;
    let mut least: Option<End> = None;
    let mut keep = |end: End| {
        if least.is_none_or(|l| end.kn < l.kn) {
            least = Some(end);
        }
    };
    for (i, bend) in bends.iter().enumerate() {
        kn += slope * (bend.phase_m - at_m) + bend.jump_kn;
        slope += bend.slope_kn_per_m;
        at_m = bend.phase_m;
        let next_m = bends.get(i + 1).map_or(bends[0].phase_m + period_m, |b| b.phase_m);
        // No placement fits between two bends that are one.
        if next_m - at_m > EVENT_GAP_M {
            let (from_m, to_m) = (at_m, next_m);
            keep(End { kn, from_m, to_m, at_first: true });
            keep(End { kn: kn + slope * (next_m - at_m), from_m, to_m, at_first: false });
        }
    }
    // A period without a single interval is none.
    least.unwrap_or(End { kn, from_m: at_m, to_m: at_m, at_first: true })
}
