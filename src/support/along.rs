use super::least::{Along, STAND_OFF_M};
use super::loss::{Stretch, least_with_loss, loses_a_joint};
use super::track::{Body, Crossing, Track};
use super::{Bolt, Layout, Pattern};
use crate::opening::Vec2;
use crate::stability::{Reaction, Stability};
use crate::wedge::Located;

/// Two events nearer than this are one: no placement fits between them that anybody could tell
/// from either.
pub(super) const EVENT_GAP_M: f64 = 1e-9;

/// Periods of patterns that are surveyed in are matched to the millimetre.
const PERIOD_STEP_M: f64 = 1e-3;

/// A period within this of a whole number of those steps, metres, is one: what a decimal loses as a
/// double.
const WHOLE_STEP_M: f64 = 1e-9;

/// Patterns that repeat together only after more than this are taken as free to slide: the least
/// over free phases is never above the true one.
const LONGEST_COMMON_PERIOD_M: f64 = 60.0;

/// Phases of each group that the median is taken over when several groups slide freely.
const MEDIAN_PHASES: usize = 512;

/// Patterns that slide along the drive together.
#[derive(Debug, Clone, PartialEq)]
pub struct PhaseGroup {
    /// Indices into the patterns.
    pub patterns: Vec<usize>,
    /// After how many metres all of them repeat.
    pub period_m: f64,
    /// Where structures put the wedge that is placed: its apex then has a chainage at each place of
    /// the section.
    pub located: Option<Located>,
    /// Whether the chainage of its rings is known too, so that nothing slides.
    pub surveyed: bool,
}

impl PhaseGroup {
    /// The one phase that a wedge with its apex at this place of the section can have; `None` where
    /// the rings slide.
    #[must_use]
    pub fn known_m(&self, apex: &Vec2) -> Option<f64> {
        if self.surveyed { self.located.and_then(|l| l.chainage_m(apex)) } else { None }
    }

    /// Bolts that stand at known chainages and nowhere else, for a wedge that may be anywhere in a stretch of so
    /// many metres.
    #[must_use]
    pub fn over_stretch(patterns: Vec<usize>, length_m: f64) -> Self {
        Self { patterns, period_m: length_m, located: None, surveyed: true }
    }

    /// Whether wedges have one phase each.
    pub(super) fn is_known(&self) -> bool {
        self.surveyed && self.located.is_some_and(|l| l.has_chainage())
    }

    /// Patterns that stand at known chainages and nowhere else, for a wedge that structures put in its place.
    #[must_use]
    pub fn local(patterns: Vec<usize>, located: Located) -> Self {
        // Nothing slides, so the length after which it would come again is never asked for.
        Self { patterns, period_m: 1.0, located: Some(located), surveyed: true }
    }
}

/// The same groups for a wedge that structures put in its place.
#[must_use]
pub fn located_groups(groups: &[PhaseGroup], located: Option<&Located>) -> Vec<PhaseGroup> {
    groups.iter().map(|group| PhaseGroup { located: located.copied(), ..group.clone() }).collect()
}

/// Groups patterns by what fixes their phase: each pattern has its own, unless two or more give
/// the chainage of their ring 0 and repeat together within 60 m.
#[must_use]
pub fn phase_groups(patterns: &[Pattern]) -> Vec<PhaseGroup> {
    let mut groups: Vec<PhaseGroup> = Vec::new();
    let mut fixed: Option<usize> = None;
    for (index, pattern) in patterns.iter().enumerate() {
        let period_m = pattern.period_m();
        if pattern.offset_m.is_some() {
            if let Some(group) = fixed {
                if let Some(common) = common_period_m(groups[group].period_m, period_m) {
                    groups[group].patterns.push(index);
                    groups[group].period_m = common;
                    continue;
                }
            } else {
                fixed = Some(groups.len());
            }
        }
        let surveyed = pattern.offset_m.is_some();
        groups.push(PhaseGroup { patterns: vec![index], period_m, located: None, surveyed });
    }
    groups
}

fn common_period_m(a_m: f64, b_m: f64) -> Option<f64> {
    let steps = |m: f64| (m / PERIOD_STEP_M).round();
    let (a, b) = (steps(a_m), steps(b_m));
    let exact = |m: f64, n: f64| (m - n * PERIOD_STEP_M).abs() < WHOLE_STEP_M;
    if !exact(a_m, a) || !exact(b_m, b) || a < 1.0 || b < 1.0 {
        return None;
    }
    let (mut x, mut y) = (a as u64, b as u64);
    while y != 0 {
        (x, y) = (y, x % y);
    }
    let common = a * (b / x as f64) * PERIOD_STEP_M;
    (common <= LONGEST_COMMON_PERIOD_M).then_some(common)
}

/// Working memory of the search, kept from call to call.
#[derive(Debug, Default)]
pub struct AlongScratch<'a> {
    tracks: Vec<Track<'a>>,
    events: Vec<f64>,
    candidates: Vec<Vec<Candidate>>,
    stretches: Vec<Vec<Stretch>>,
    bolts: Vec<(Reaction, Reaction)>,
}

#[derive(Debug, Clone, Copy)]
struct Candidate {
    phase_m: f64,
    reaction: Reaction,
}

/// All that the search knows of the support.
#[derive(Debug, Clone, Copy)]
pub(super) struct Support<'a> {
    pub patterns: &'a [Pattern],
    pub layouts: &'a [Layout],
    pub bolts: &'a [Bolt],
    pub groups: &'a [PhaseGroup],
}

impl<'a> Support<'a> {
    /// The rows that can do something for a wedge's movement.
    pub fn tracks(&self, body: &Body, stability: &Stability, tracks: &mut Vec<Track<'a>>) {
        self.all_tracks(body, stability, tracks);
        tracks.retain(Track::works);
    }

    /// The rows that pass through a wedge's face.
    pub fn all_tracks(&self, body: &Body, stability: &Stability, tracks: &mut Vec<Track<'a>>) {
        tracks.clear();
        // Patterns of no group stand where the wedge never is.
        let grouped = |pattern: &usize| self.groups.iter().any(|g| g.patterns.contains(pattern));
        for pattern in (0..self.patterns.len()).filter(grouped) {
            for row in 0..self.layouts[pattern].rows.len() {
                let key = (pattern, row);
                tracks.extend(Track::new(body, stability, self.patterns, self.layouts, self.bolts, key));
            }
        }
    }

    /// The search along the drive.
    pub fn along(&self, body: &Body, stability: &Stability, scratch: &mut AlongScratch<'a>) -> Along {
        self.least_along(body, stability, scratch, None)
    }

    /// Pairs of factor of safety and share of the positions, for the median: with `per_interval` samples between two
    /// events of one group, at even phases of several.
    pub fn sample(
        &self,
        body: &Body,
        stability: &Stability,
        scratch: &mut AlongScratch<'a>,
        samples: &mut Vec<(f64, f64)>,
        per_interval: usize,
    ) {
        let AlongScratch { tracks, events, .. } = scratch;
        self.tracks(body, stability, tracks);
        if let [group] = self.groups {
            let known_m = group.known_m(&body.foot.apex);
            sample_one_group((group, known_m), tracks, events, stability, samples, per_interval);
            return;
        }
        each_joint_phase(self.groups, &body.foot.apex, MEDIAN_PHASES, |phases| {
            let mut sum = Reaction::default();
            for (group, &phase) in self.groups.iter().zip(phases) {
                sum += reaction(group, tracks, phase, phase);
            }
            samples.push((stability.fs(&sum), 1.0 / MEDIAN_PHASES as f64));
        });
    }

    /// As [`Support::along`], with one bolt missing wherever that takes most away.
    pub fn along_one_missing(
        &self,
        body: &Body,
        stability: &Stability,
        scratch: &mut AlongScratch<'a>,
    ) -> Along {
        let least = (0..self.groups.len())
            .map(|group| self.least_along(body, stability, scratch, Some(group)))
            .reduce(|a, b| if b.least_fs < a.least_fs { b } else { a });
        least.unwrap_or_else(|| self.least_along(body, stability, scratch, None))
    }

    /// The least along the drive; group `one_missing`, where given, lacks one bolt, whichever takes
    /// most away.
    ///
    /// With a bolt missing the factor is the least of several that are each concave between two
    /// events: still concave.
    fn least_along(
        &self,
        body: &Body,
        stability: &Stability,
        scratch: &mut AlongScratch<'a>,
        one_missing: Option<usize>,
    ) -> Along {
        self.tracks(body, stability, &mut scratch.tracks);
        let AlongScratch { tracks, events, candidates, stretches, bolts } = scratch;
        let mut opens = may_lose_a_joint(tracks, stability);
        if opens {
            stretches.resize_with(self.groups.len(), Vec::new);
            for (g, (group, list)) in self.groups.iter().zip(stretches.iter_mut()).enumerate() {
                list.clear();
                let known_m = group.known_m(&body.foot.apex);
                each_interval((group, known_m), tracks, events, true, |from_m, to_m| {
                    at_ends(group, tracks, from_m, to_m, bolts);
                    each_lot(bolts, one_missing == Some(g), |first, last| {
                        list.push(Stretch { from_m, to_m, first, last });
                    });
                });
            }
            opens = loses_a_joint(stretches, stability);
        }
        if opens {
            least_with_loss(stretches, stability)
        } else {
            candidates.resize_with(self.groups.len(), Vec::new);
            for (g, (group, list)) in self.groups.iter().zip(candidates.iter_mut()).enumerate() {
                list.clear();
                let known_m = group.known_m(&body.foot.apex);
                each_interval((group, known_m), tracks, events, false, |from_m, to_m| {
                    let stand_off = STAND_OFF_M.min(0.25 * (to_m - from_m));
                    at_ends(group, tracks, from_m, to_m, bolts);
                    each_lot(bolts, one_missing == Some(g), |first, last| {
                        list.push(Candidate { phase_m: from_m + stand_off, reaction: first });
                        list.push(Candidate { phase_m: to_m - stand_off, reaction: last });
                    });
                });
            }
            least_of_each(candidates, stability)
        }
    }
}

/// What each of the group's bolts does at either end of an interval, as limits from inside.
fn at_ends(
    group: &PhaseGroup,
    tracks: &[Track],
    from_m: f64,
    to_m: f64,
    bolts: &mut Vec<(Reaction, Reaction)>,
) {
    bolts.clear();
    let middle_m = 0.5 * (from_m + to_m);
    each_crossing(group, tracks, middle_m, |track, crossing, x| {
        let at = |m: f64| track.effect.times(track.taken_kn(crossing, x - (m - middle_m)));
        bolts.push((at(from_m), at(to_m)));
    });
}

/// Calls `visit` with the sums of all bolts at either end, or of all but one for each of them.
fn each_lot(bolts: &[(Reaction, Reaction)], one_missing: bool, mut visit: impl FnMut(Reaction, Reaction)) {
    let sum = |missing: usize| {
        let (mut first, mut last) = (Reaction::default(), Reaction::default());
        for (_, (a, b)) in bolts.iter().enumerate().filter(|(i, _)| *i != missing) {
            first += *a;
            last += *b;
        }
        (first, last)
    };
    if !one_missing || bolts.is_empty() {
        let (first, last) = sum(usize::MAX);
        visit(first, last);
        return;
    }
    for missing in 0..bolts.len() {
        let (first, last) = sum(missing);
        visit(first, last);
    }
}

/// Whether bolts could pull a joint open that the wedge slides on, were all of them at their
/// strongest at once.
pub(super) fn may_lose_a_joint(tracks: &[Track], stability: &Stability) -> bool {
    stability.motion.normal_kn.iter().enumerate().any(|(joint, &normal)| {
        let pull: f64 = tracks
            .iter()
            .map(|track| {
                let bolts = ((track.high_m - track.low_m).max(0.0) / track.period_m).floor() + 1.0;
                (-track.effect.normal_kn[joint]).max(0.0) * track.bolt.steel_kn * bolts
            })
            .sum();
        normal > 0.0 && pull >= normal
    })
}

fn sample_one_group(
    (group, known_m): (&PhaseGroup, Option<f64>),
    tracks: &[Track],
    events: &mut Vec<f64>,
    stability: &Stability,
    samples: &mut Vec<(f64, f64)>,
    per_interval: usize,
) {
    each_interval((group, known_m), tracks, events, false, |from, to| {
        let middle = 0.5 * (from + to);
        for i in 0..per_interval {
            let phase = from + (to - from) * (i as f64 + 0.5) / per_interval as f64;
            let fs = stability.fs(&reaction(group, tracks, middle, phase));
            let whole = if known_m.is_some() { 1.0 } else { (to - from) / group.period_m };
            samples.push((fs, whole / per_interval as f64));
        }
    });
}

/// Calls `visit(from, to)` for each interval of apex chainage between two events of the group,
/// once round its period, or once at the phase that is known; `kinks` counts places where a bolt's capacity bends as events too.
pub(super) fn each_interval(
    (group, known_m): (&PhaseGroup, Option<f64>),
    tracks: &[Track],
    events: &mut Vec<f64>,
    kinks: bool,
    mut visit: impl FnMut(f64, f64),
) {
    if let Some(known_m) = known_m {
        visit(known_m, known_m);
        return;
    }
    events.clear();
    let period = group.period_m;
    for track in tracks.iter().filter(|t| group.patterns.contains(&t.pattern)) {
        let copies = (period / track.period_m).round().max(1.0) as usize;
        let mut add = |x: f64| {
            for k in 0..copies {
                let phase = track.ring_m + k as f64 * track.period_m - x;
                events.push(phase.rem_euclid(period));
            }
        };
        track.each_event(&mut add);
        if kinks {
            track.each_kink(&mut add);
        }
    }
    if events.is_empty() {
        visit(0.0, period);
        return;
    }
    events.sort_unstable_by(f64::total_cmp);
    for i in 0..events.len() {
        let from = events[i];
        let to = events.get(i + 1).copied().unwrap_or(events[0] + period);
        if to - from > EVENT_GAP_M {
            visit(from, to);
        }
    }
}

/// Sum of what the group's bolts do with the apex at `phase_m`, each taken in the state it has
/// at `state_m` of the same interval: one-sided limits at the interval's ends come out exactly.
fn reaction(group: &PhaseGroup, tracks: &[Track], state_m: f64, phase_m: f64) -> Reaction {
    let mut sum = Reaction::default();
    each_bolt(group, tracks, state_m, phase_m, |track, _, kn| sum += track.effect.times(kn));
    sum
}

/// Calls `visit(track, x, capacity in kN)` for each of the group's bolts that cross the wedge with
/// the apex at `phase_m`, each taken in the state it has at `state_m` of the same interval.
pub(super) fn each_bolt(
    group: &PhaseGroup,
    tracks: &[Track],
    state_m: f64,
    phase_m: f64,
    mut visit: impl FnMut(&Track, f64, f64),
) {
    each_crossing(group, tracks, state_m, |track, crossing, x| {
        let there = x - (phase_m - state_m);
        visit(track, there, track.taken_kn(crossing, there));
    });
}

/// Calls `visit(track, what it crosses, x)` for each of the group's bolts that cross the wedge with the apex at
/// `phase_m`.
fn each_crossing(
    group: &PhaseGroup,
    tracks: &[Track],
    phase_m: f64,
    mut visit: impl FnMut(&Track, &Crossing, f64),
) {
    for track in tracks.iter().filter(|t| group.patterns.contains(&t.pattern)) {
        track.each_collar(phase_m, |x, _| {
            if let Some(crossing) = track.crossing(x) {
                visit(track, &crossing, x);
            }
        });
    }
}

/// The least over freely sliding groups while no joint is lost: their parts add up, so each group
/// is at its own worst.
fn least_of_each(candidates: &[Vec<Candidate>], stability: &Stability) -> Along {
    let mut sum = Reaction::default();
    let mut phases_m = Vec::with_capacity(candidates.len());
    for list in candidates {
        let mut worst: Option<(f64, &Candidate)> = None;
        for candidate in list {
            let gain = stability.gain_kn(&candidate.reaction);
            if worst.is_none_or(|w| gain < w.0) {
                worst = Some((gain, candidate));
            }
        }
        sum += worst.map_or_else(Reaction::default, |(_, c)| c.reaction);
        phases_m.push(worst.map_or(0.0, |(_, c)| c.phase_m));
    }
    Along { least_fs: stability.fs(&sum), phases_m }
}

/// Calls `visit` with `count` evenly spread tuples of phases, one a group: an additive
/// recurrence on the generalised golden ratio (Roberts 2018), the same on every machine.
pub(super) fn each_joint_phase(
    groups: &[PhaseGroup],
    apex: &Vec2,
    count: usize,
    mut visit: impl FnMut(&[f64]),
) {
    let dimension = groups.len() as i32;
    let mut ratio = 1.5f64;
    for _ in 0..60 {
        ratio = (1.0 + ratio).powf(1.0 / f64::from(dimension + 1));
    }
    let mut phases = vec![0.0; groups.len()];
    for n in 0..count {
        for (g, group) in groups.iter().enumerate() {
            let step = ratio.powi(-(g as i32 + 1));
            let free_m = group.period_m * (0.5 + step * n as f64).fract();
            phases[g] = group.known_m(apex).unwrap_or(free_m);
        }
        visit(&phases);
    }
}
