use super::across::Across;
use super::along::{Support, each_bolt, each_interval, each_joint_phase};
use super::least::STAND_OFF_M;
use super::placement::serving;
use super::track::{Body, Track};
use super::{Along, PhaseGroup, Placement, Positions, Serving};
use crate::numeric::golden_least;
use crate::opening::Vec2;
use crate::orientation::Vec3;
use crate::stability::{Balance, BoltPull, Contact, Rotation, RotationScratch, Stability};
use crate::wedge::{Admissible, Footprint};

/// Combinations of what each freely sliding group can do that are all tried; beyond, a spread of
/// starts goes down one group at a time.
const ALL_COMBINATIONS: usize = 4096;

/// The same at a place across the section on the way to the worst one.
const ALL_ON_THE_WAY: usize = 128;

/// Starts of the descent where combinations are too many, at the end and on the way.
const STARTS: usize = 16;
const STARTS_ON_THE_WAY: usize = 4;

/// Evenly spaced places across a band at which the search starts, besides those where gaps open and
/// rows come in. More than forces need: moments sag between those places too. Of 115 wedges walked
/// in 1,001 places each, 40 and 80 starts missed some, one that nothing holds among them; 160 and
/// 240 missed none.
const ROTATION_PLACES: usize = 240;

/// Places strictly between two events that are tried besides their ends: there the factor may sag,
/// since the arms of all bolts change together.
const INNER: usize = 1;

/// Samples, and golden-section steps after them, between the two events round the worst place.
const LAST_SAMPLES: usize = 16;
const LAST_STEPS: usize = 30;

/// Where along the drive and across the section force and moment hold a wedge least.
#[derive(Debug, Clone, PartialEq)]
pub struct RotationPlacement {
    /// Least load factor over the places tried.
    pub least_fs: f64,
    /// The wedge there.
    pub foot: Footprint,
    /// Chainage of its apex, counted as in [`Placement::chainage_m`].
    pub chainage_m: f64,
    /// How far the rings of each group stand shifted from where their offset says, metres.
    pub shifts_m: Vec<f64>,
    /// The bolts that cross it there. Their shares are those of the balance of forces.
    pub serving: Vec<Serving>,
    /// The point that the active force acts at: the centroid, or where the resultant of weight,
    /// hung loads and water acts; local, apex at s = 0, metres.
    pub centroid: Vec3,
    /// The active force there, kN, local.
    pub active_kn: Vec3,
    /// The couple that acts besides, kN·m, local: zero without water.
    pub couple_knm: Vec3,
    /// Where the joints may press, in the order of [`Balance::contacts_kn`]; local, apex at s = 0.
    pub contacts: Vec<Contact>,
    /// The forces there, bolts in the order of `serving`. They are those at the very event where
    /// the least is an infimum; the chainage and `serving` stand a hair beside it.
    pub balance: Balance,
}

/// Searches the placements of a pyramid's admissible wedges for the least factor by which the
/// active force may grow with forces *and* moments in balance (see [`Rotation`]). `judge` gives
/// the equilibrium of the wedge with a footprint; `worst` is where the balance of forces is least.
///
/// Along the drive every event of the search for forces is tried, both one-sided limits, and these
/// are exact. Between events the factor is not concave, as the arms of the bolts change: the middle
/// of each interval is tried, and the interval of the lowest is searched by samples and golden
/// section. Across the section it starts from even places, from those between which gaps between
/// bolts open and close, and from `worst`, and halves the steps round the lowest: a search. With
/// several freely sliding groups all combinations of their events are tried where they are at most
/// 4096; beyond that a spread of them, each improved one group at a time, is a search too.
#[must_use]
pub fn place_rotation<'a>(
    positions: &Positions<'a>,
    admissible: &Admissible,
    judge: &dyn Fn(&Footprint) -> Stability,
    worst: &Placement,
) -> RotationPlacement {
    let support = positions.support();
    let mut scratch = Scratch::default();
    let mut along =
        |foot: &Footprint| support.rotation(&positions.body(*foot), &judge(foot), &mut scratch, false);
    let tracks = |foot: &Footprint, into: &mut Vec<Track<'a>>| {
        support.all_tracks(&positions.body(*foot), &judge(foot), into);
    };
    let (foot, _) = Across::new(positions, ROTATION_PLACES, admissible, &mut along, &tracks)
        .least(admissible, &[worst.foot]);
    let (body, stability) = (positions.body(foot), judge(&foot));
    let along = support.rotation(&body, &stability, &mut scratch, true);

    let chainage_m = positions.chainage_m(&foot).unwrap_or(along.phases_m[0]);
    let shifts_m: Vec<f64> = along.phases_m.iter().map(|phase| chainage_m - phase).collect();
    let serving = serving(&support, &body, &stability, chainage_m, &shifts_m);
    let contacts = contacts(&body);
    let action = stability.action(&body.chain.centroid(body.cone, &foot));
    let rotation = Rotation::of(&action, &contacts);
    let mut balance = rotation.balance(&scratch.worst, &mut scratch.rotation);
    balance.bolts_kn = in_order_of(&serving, chainage_m, &scratch.worst, &balance.bolts_kn);
    RotationPlacement {
        least_fs: along.least_fs,
        foot,
        chainage_m,
        shifts_m,
        serving,
        centroid: action.at,
        active_kn: action.force_kn,
        couple_knm: action.couple_knm,
        contacts: contacts.to_vec(),
        balance,
    }
}

/// Forces and moments of one wedge where [`super::placed_at`] put it.
#[must_use]
pub fn balanced_at(positions: &Positions, stability: &Stability, at: &Placement) -> RotationPlacement {
    let body = positions.body(at.foot);
    let contacts = contacts(&body);
    let action = stability.action(&body.chain.centroid(body.cone, &at.foot));
    let rotation = Rotation::of(&action, &contacts);
    let pulls: Vec<BoltPull> = at
        .serving
        .iter()
        .map(|s| BoltPull {
            point: Vec3::new(s.point.x, s.chainage_m - at.chainage_m, s.point.y),
            direction: s.direction,
            capacity_kn: s.capacity.kn,
        })
        .collect();
    let balance = rotation.balance(&pulls, &mut RotationScratch::default());
    RotationPlacement {
        least_fs: balance.load_factor,
        foot: at.foot,
        chainage_m: at.chainage_m,
        shifts_m: at.shifts_m.clone(),
        serving: at.serving.clone(),
        centroid: action.at,
        active_kn: action.force_kn,
        couple_knm: action.couple_knm,
        contacts: contacts.to_vec(),
        balance,
    }
}

/// Two descriptions of one bolt, at an event and a hair beside it, are this near.
const SAME_BOLT_M: f64 = 2.0 * STAND_OFF_M;

/// The forces of `pulls` in the order of the bolts that serve with the apex at `chainage_m`.
fn in_order_of(serving: &[Serving], chainage_m: f64, pulls: &[BoltPull], kn: &[f64]) -> Vec<f64> {
    let mut free = vec![true; pulls.len()];
    serving
        .iter()
        .map(|s| {
            let point = Vec3::new(s.point.x, s.chainage_m - chainage_m, s.point.y);
            let same = |p: &BoltPull| (p.point - point).norm() <= SAME_BOLT_M && p.direction == s.direction;
            let found = (0..pulls.len()).find(|&i| free[i] && same(&pulls[i]));
            found.map_or(0.0, |i| {
                free[i] = false;
                kn[i]
            })
        })
        .collect()
}

/// The corners of each joint's face, apex first, with the joint's normal.
fn contacts(body: &Body) -> [Contact; 9] {
    let corners = body.chain.corners(body.cone, &body.foot);
    std::array::from_fn(|k| {
        let (plane, corner) = (k / 3, k % 3);
        let point = if corner == 0 { corners[0] } else { corners[1 + (plane + corner) % 3] };
        Contact { point, normal: body.cone.inward[plane] }
    })
}

/// Working memory of the search along the drive.
#[derive(Debug, Default)]
struct Scratch<'a> {
    rotation: RotationScratch,
    tracks: Vec<Track<'a>>,
    events: Vec<f64>,
    groups: Vec<Candidates>,
    chosen: Vec<usize>,
    pulls: Vec<BoltPull>,
    /// The bolts at the least of a thorough search.
    worst: Vec<BoltPull>,
}

/// What one group can do: at each candidate the bolts `pulls[first..first + count]`.
#[derive(Debug, Default)]
struct Candidates {
    list: Vec<Candidate>,
    pulls: Vec<BoltPull>,
}

#[derive(Debug, Clone, Copy)]
struct Candidate {
    /// A phase inside the interval, and the one of the candidate: the same but for limits.
    inside_m: f64,
    /// The interval.
    from_m: f64,
    to_m: f64,
    first: usize,
    count: usize,
}

impl Candidates {
    fn fill(
        &mut self,
        (group, known_m): (&PhaseGroup, Option<f64>),
        tracks: &[Track],
        events: &mut Vec<f64>,
    ) {
        self.list.clear();
        self.pulls.clear();
        each_interval((group, known_m), tracks, events, false, |from_m, to_m| {
            let middle = 0.5 * (from_m + to_m);
            let stand_off = STAND_OFF_M.min(0.25 * (to_m - from_m));
            let mut add = |phase_m: f64, inside_m: f64| {
                let first = self.pulls.len();
                pulls(group, tracks, middle, phase_m, &mut self.pulls);
                let count = self.pulls.len() - first;
                self.list.push(Candidate { inside_m, from_m, to_m, first, count });
            };
            add(from_m, from_m + stand_off);
            for i in 1..=INNER {
                let at = from_m + (to_m - from_m) * i as f64 / (INNER + 1) as f64;
                add(at, at);
            }
            add(to_m, to_m - stand_off);
        });
    }

    fn of(&self, candidate: usize) -> &[BoltPull] {
        let c = &self.list[candidate];
        &self.pulls[c.first..c.first + c.count]
    }
}

/// The group's bolts with the apex at `phase_m`, in the state that they have at `state_m`.
fn pulls(group: &PhaseGroup, tracks: &[Track], state_m: f64, phase_m: f64, into: &mut Vec<BoltPull>) {
    each_bolt(group, tracks, state_m, phase_m, |track, x, capacity_kn| {
        let point = Vec3::new(track.collar.x, x, track.collar.y);
        into.push(BoltPull { point, direction: track.direction, capacity_kn });
    });
}

impl<'a> Support<'a> {
    /// The least load factor along the drive for one wedge. `thorough` tries more combinations of
    /// groups, and looks between the events round the lowest.
    fn rotation(
        &self,
        body: &Body,
        stability: &Stability,
        scratch: &mut Scratch<'a>,
        thorough: bool,
    ) -> Along {
        let action = stability.action(&body.chain.centroid(body.cone, &body.foot));
        let rotation = Rotation::of(&action, &contacts(body));
        self.all_tracks(body, stability, &mut scratch.tracks);
        scratch.groups.resize_with(self.groups.len(), Candidates::default);
        for (group, candidates) in self.groups.iter().zip(&mut scratch.groups) {
            let known_m = group.known_m(&body.foot.apex);
            candidates.fill((group, known_m), &scratch.tracks, &mut scratch.events);
        }
        let Scratch { rotation: simplex, tracks, groups, chosen, pulls: all, worst, .. } = scratch;
        let mut value = |chosen: &[usize], enough: f64| {
            all.clear();
            for (group, &candidate) in groups.iter().zip(chosen) {
                all.extend_from_slice(group.of(candidate));
            }
            rotation.load_factor_up_to(all, enough, simplex)
        };
        let (most, starts) =
            if thorough { (ALL_COMBINATIONS, STARTS) } else { (ALL_ON_THE_WAY, STARTS_ON_THE_WAY) };
        let combinations = groups.iter().try_fold(1usize, |n, g| n.checked_mul(g.list.len()));
        let (mut least_fs, best) = match combinations {
            // With one group every candidate is tried, however many there are.
            Some(n) if n <= most || groups.len() == 1 => every(groups, chosen, &mut value),
            _ => descents(self.groups, &body.foot.apex, groups, starts, &mut value),
        };
        let mut phases_m: Vec<f64> = groups.iter().zip(&best).map(|(g, &c)| g.list[c].inside_m).collect();
        if thorough {
            worst.clear();
            for (group, &candidate) in groups.iter().zip(&best) {
                worst.extend_from_slice(group.of(candidate));
            }
            for (g, group) in self.groups.iter().enumerate() {
                let at = groups[g].list[best[g]];
                let assemble = |phase_m: f64, all: &mut Vec<BoltPull>| {
                    all.clear();
                    for (other, &candidate) in groups.iter().zip(&best).take(g) {
                        all.extend_from_slice(other.of(candidate));
                    }
                    pulls(group, tracks, 0.5 * (at.from_m + at.to_m), phase_m, all);
                    for (other, &candidate) in groups.iter().zip(&best).skip(g + 1) {
                        all.extend_from_slice(other.of(candidate));
                    }
                };
                let mut there = |phase_m: f64, enough: f64| {
                    assemble(phase_m, all);
                    rotation.load_factor_up_to(all, enough, simplex)
                };
                // With one group moved off its event the others stay at theirs.
                if let Some((low, phase_m)) = between(at.from_m, at.to_m, least_fs, &mut there) {
                    least_fs = low;
                    phases_m[g] = phase_m;
                    assemble(phase_m, worst);
                    break;
                }
            }
        }
        Along { least_fs, phases_m }
    }
}

/// The least over all combinations of candidates.
fn every(
    groups: &[Candidates],
    chosen: &mut Vec<usize>,
    value: &mut impl FnMut(&[usize], f64) -> f64,
) -> (f64, Vec<usize>) {
    chosen.clear();
    chosen.resize(groups.len(), 0);
    let mut best = (f64::INFINITY, chosen.clone());
    loop {
        let here = value(chosen, best.0);
        if here < best.0 {
            best = (here, chosen.clone());
        }
        // The next combination, the last group fastest.
        let Some(turn) = (0..groups.len()).rev().find(|&g| chosen[g] + 1 < groups[g].list.len()) else {
            return best;
        };
        chosen[turn] += 1;
        for later in &mut chosen[turn + 1..] {
            *later = 0;
        }
    }
}

/// From a spread of starts down, one group at a time.
fn descents(
    phases: &[PhaseGroup],
    apex: &Vec2,
    groups: &[Candidates],
    starts: usize,
    value: &mut impl FnMut(&[usize], f64) -> f64,
) -> (f64, Vec<usize>) {
    let mut best = (f64::INFINITY, vec![0; groups.len()]);
    each_joint_phase(phases, apex, starts, |at_m| {
        let mut chosen: Vec<usize> = groups
            .iter()
            .zip(phases)
            .zip(at_m)
            .map(|((g, phase), at)| {
                let share = (at / phase.period_m).clamp(0.0, 1.0);
                ((share * g.list.len() as f64) as usize).min(g.list.len() - 1)
            })
            .collect();
        let mut least = value(&chosen, f64::INFINITY);
        loop {
            let before = least;
            for g in 0..groups.len() {
                let mut low = chosen[g];
                for candidate in 0..groups[g].list.len() {
                    chosen[g] = candidate;
                    let here = value(&chosen, least);
                    if here < least {
                        least = here;
                        low = candidate;
                    }
                }
                chosen[g] = low;
            }
            if least >= before {
                break;
            }
        }
        if least < best.0 {
            best = (least, chosen);
        }
    });
    best
}

/// The least of `value(place, enough)` strictly between two places, where it is below `least`.
fn between(from: f64, to: f64, least: f64, value: &mut impl FnMut(f64, f64) -> f64) -> Option<(f64, f64)> {
    let step = (to - from) / LAST_SAMPLES as f64;
    let mut best = (least, None);
    for i in 0..LAST_SAMPLES {
        let at = from + (i as f64 + 0.5) * step;
        let here = value(at, best.0);
        if here < best.0 {
            best = (here, Some(at));
        }
    }
    let centre = best.1?;
    golden_least(((centre - step).max(from), (centre + step).min(to)), LAST_STEPS, |at| {
        let here = value(at, f64::INFINITY);
        if here < best.0 {
            best = (here, Some(at));
        }
        here
    });
    best.1.map(|at| (best.0, at))
}
