//! Bolts where they stand: each has a place of its own, and nothing repeats along the drive.

use super::across::HAIR_SHARE;
use super::along::EVENT_GAP_M;
use super::least::STAND_OFF_M;
use super::loss::{Stretch, least_with_loss};
use super::positions::{Positions, enough_m3};
use super::track::{Body, Hole, Track};
use super::{Bolt, Capacity, Collar, Layout, Pattern};
use crate::opening::Section;
use crate::stability::{Reaction, Stability};
use crate::wedge::{Admissible, Footprint, Shape};

/// A ring this near the end of a stretch stands in it.
const IN_STRETCH_M: f64 = 1e-9;

/// Evenly spaced places across a band that are held against all bolts of the stretch.
const PLACES: usize = 32;

/// How many of the lowest of them are followed, and rounds of halving round each.
const FOLLOWED: usize = 4;
const ROUNDS: usize = 10;

/// Round the lowest places the search looks so far along the drive, metres: about a ring.
const LOCAL_M: f64 = 1.5;

/// A bolt where it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SetBolt {
    /// Index of its kind, in the state that it is in.
    pub kind: usize,
    /// Chainage of its collar, metres.
    pub chainage_m: f64,
    /// Its collar in the section, and its direction, which may lean along the drive.
    pub collar: Collar,
    /// Length in the hole, metres.
    pub length_in_hole_m: f64,
}

/// The bolts of a stretch of drive, in the order of their chainage.
#[derive(Debug, Clone, Copy)]
pub struct SetBolts<'a> {
    bolts: &'a [SetBolt],
    kinds: &'a [Bolt],
}

/// A bolt of a [`SetBolts`] that serves a wedge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SetServing {
    /// Index into the bolts.
    pub bolt: usize,
    /// The joint that it crosses first, index into the wedge's planes.
    pub plane: usize,
    /// Length inside the wedge, metres.
    pub head_m: f64,
    /// Length beyond the joint, metres.
    pub toe_m: f64,
    /// What it can take, and what gives first.
    pub capacity: Capacity,
    /// What it adds to the resistance along the movement, kN.
    pub share_kn: f64,
}

/// The worst place of a wedge in a stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct SetPlacement {
    /// Least factor of safety over the places where the wedge's face lies in the stretch: an infimum.
    pub least_fs: f64,
    /// The wedge there.
    pub foot: Footprint,
    /// Chainage of its apex, metres.
    pub chainage_m: f64,
    /// The bolts that cross it there.
    pub serving: Vec<SetServing>,
}

/// The bolts of a pattern with its ring 0 at `offset_m` that stand in a stretch, ring by ring, each
/// with its ring; their kind is the pattern's bolt.
#[must_use]
pub fn drawn_bolts(
    pattern: &Pattern,
    layout: &Layout,
    offset_m: f64,
    from_m: f64,
    to_m: f64,
) -> Vec<(i64, SetBolt)> {
    let mut drawn = Vec::new();
    let step_m = pattern.ring_spacing_m;
    let kinds = i64::from(layout.rings_in_period);
    let mut ring = ((from_m - IN_STRETCH_M - offset_m) / step_m).ceil();
    let mut last = f64::INFINITY;
    if let Some(rings) = layout.rings {
        ring = ring.max(0.0);
        last = f64::from(rings) - 1.0;
    }
    while offset_m + ring * step_m <= to_m + IN_STRETCH_M && ring <= last {
        let kind = (ring as i64).rem_euclid(kinds);
        for row in layout.rows.iter().filter(|r| i64::from(r.first_ring) == kind) {
            let bolt = SetBolt {
                kind: pattern.bolt,
                chainage_m: offset_m + ring * step_m,
                collar: row.collar,
                length_in_hole_m: pattern.length_in_hole_m(),
            };
            drawn.push((ring as i64, bolt));
        }
        ring += 1.0;
    }
    drawn
}

/// Working memory of a sweep, kept from call to call.
#[derive(Debug, Default)]
pub struct SweepScratch<'a> {
    standing: Vec<Standing<'a>>,
    events: Vec<f64>,
    active: Vec<usize>,
}

/// A bolt that can do something for the wedge.
#[derive(Debug, Clone, Copy)]
struct Standing<'a> {
    bolt: usize,
    chainage_m: f64,
    track: Track<'a>,
}

impl Standing<'_> {
    /// Apex chainages at which the collar comes onto the face and leaves it.
    fn enters_m(&self) -> f64 {
        self.chainage_m - self.track.high_m
    }

    fn leaves_m(&self) -> f64 {
        self.chainage_m - self.track.low_m
    }

    /// What the bolt does with the apex at `at_m`, in the state that it has at `state_m`.
    fn does(&self, state_m: f64, at_m: f64) -> Option<Reaction> {
        let x = self.chainage_m - state_m;
        let crossing = self.track.crossing(x)?;
        let (head, toe) = self.track.lengths_m(&crossing, self.chainage_m - at_m);
        Some(self.track.effect.times(self.track.bolt.capacity_when(head, toe, crossing.anchored).kn))
    }
}

/// Where a wedge may be along a stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reachable {
    /// Chainages of its apex, first and last.
    pub from_m: f64,
    /// The same.
    pub to_m: f64,
    /// Its face from its apex, least and greatest s.
    pub face_m: (f64, f64),
}

impl Reachable {
    /// The same at the one chainage that an apex may have, where it is known; `None` where it is not
    /// within reach.
    #[must_use]
    pub fn at(self, apex_m: Option<f64>) -> Option<Self> {
        match apex_m {
            None => Some(self),
            Some(m) if m < self.from_m || m > self.to_m => None,
            Some(m) => Some(Self { from_m: m, to_m: m, ..self }),
        }
    }
}

impl<'a> SetBolts<'a> {
    /// The bolts have to stand in the order of their chainage.
    #[must_use]
    pub fn new(bolts: &'a [SetBolt], kinds: &'a [Bolt]) -> Self {
        Self { bolts, kinds }
    }

    /// Where the wedge with a footprint may be for its face to lie in the stretch; `None` where the
    /// stretch is too short for it.
    #[must_use]
    pub fn reachable(section: &Section, body: &Body, from_m: f64, to_m: f64) -> Option<Reachable> {
        let shape = Shape::new(section, body.chain, body.cone, &body.foot);
        let corners = shape.openings.iter().flat_map(|f| &f.polygon).map(|p| p.y);
        let (low, high) = corners.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), s| (l.min(s), h.max(s)));
        let (from, to) = (from_m - low, to_m - high);
        (from <= to).then_some(Reachable { from_m: from, to_m: to, face_m: (low, high) })
    }

    /// The bolts that can do something for a wedge with its apex in a range of chainages.
    fn stand(
        &self,
        body: &Body,
        stability: &Stability,
        within: &Reachable,
        standing: &mut Vec<Standing<'a>>,
    ) {
        standing.clear();
        let first =
            self.bolts.partition_point(|b| b.chainage_m < within.from_m + within.face_m.0 - STAND_OFF_M);
        for (bolt, set) in self.bolts.iter().enumerate().skip(first) {
            if set.chainage_m > within.to_m + within.face_m.1 + STAND_OFF_M {
                break;
            }
            let kind = &self.kinds[set.kind];
            if kind.steel_kn <= 0.0 || !body.covers(set.collar.along_m, 0.0) {
                continue;
            }
            let hole = Hole {
                collar: set.collar.point,
                direction: set.collar.direction,
                bolt: kind,
                length_in_hole_m: set.length_in_hole_m,
            };
            if let Some(track) = Track::of_hole(&body.foot.apex, body.cone, stability, &hole, |_| 0.0)
                && track.works()
            {
                standing.push(Standing { bolt, chainage_m: set.chainage_m, track });
            }
        }
        standing.sort_by(|a, b| a.enters_m().total_cmp(&b.enters_m()));
    }

    /// Calls `visit(apex, factor of safety)` with the least of every interval between two events, a
    /// hair inside it: a collar on an edge of the face, a crossing that passes from one joint to the
    /// next, a toe or an anchor that passes a joint. Between them the factor is concave while no
    /// joint is lost, so its least is a one-sided limit at an end. `breaks_m` are further chainages
    /// at which an interval ends, none of `visit` stands on.
    pub fn sweep(
        &self,
        body: &Body,
        stability: &Stability,
        within: &Reachable,
        breaks_m: &[f64],
        scratch: &mut SweepScratch<'a>,
        mut visit: impl FnMut(f64, f64),
    ) {
        let SweepScratch { standing, events, active } = scratch;
        self.stand(body, stability, within, standing);
        let fs_at = |active: &[usize], state_m: f64, at_m: f64| {
            let mut sum = Reaction::default();
            for reaction in active.iter().filter_map(|&i| standing[i].does(state_m, at_m)) {
                sum += reaction;
            }
            sum
        };
        let (from_m, to_m) = (within.from_m, within.to_m);
        if to_m - from_m <= EVENT_GAP_M {
            let on =
                |s: &Standing| s.enters_m() <= from_m + EVENT_GAP_M && s.leaves_m() >= from_m - EVENT_GAP_M;
            active.clear();
            active.extend((0..standing.len()).filter(|&i| on(&standing[i])));
            visit(from_m, stability.fs(&fs_at(active, from_m, from_m)));
            return;
        }
        events.clear();
        events.extend([from_m, to_m]);
        events.extend(breaks_m.iter().filter(|b| (from_m..=to_m).contains(b)));
        let pulls_open = standing.iter().any(|s| s.track.effect.normal_kn.iter().any(|&n| n < 0.0));
        for s in standing.iter() {
            let mut add = |x: f64| {
                let apex_m = s.chainage_m - x;
                if apex_m > from_m && apex_m < to_m {
                    events.push(apex_m);
                }
            };
            s.track.each_event(&mut add);
            if pulls_open {
                s.track.each_kink(&mut add);
            }
        }
        events.sort_by(f64::total_cmp);
        active.clear();
        let mut next = 0;
        for pair in events.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            if b - a <= EVENT_GAP_M {
                continue;
            }
            let middle = 0.5 * (a + b);
            while next < standing.len() && standing[next].enters_m() <= middle {
                active.push(next);
                next += 1;
            }
            active.retain(|&i| standing[i].leaves_m() >= middle);
            let (first, last) = (fs_at(active, middle, a), fs_at(active, middle, b));
            if pulls_open && may_lose_a_joint(active.iter().map(|&i| &standing[i].track), stability) {
                let stretch = Stretch { from_m: a, to_m: b, first, last };
                let least = least_with_loss(&[vec![stretch]], stability);
                visit(least.phases_m[0], least.least_fs);
            } else {
                let hair = STAND_OFF_M.min(0.25 * (b - a));
                let (at_a, at_b) = (stability.fs(&first), stability.fs(&last));
                if at_a <= at_b { visit(a + hair, at_a) } else { visit(b - hair, at_b) }
            }
        }
    }

    /// The least of a sweep: (apex, factor of safety).
    fn least(
        &self,
        body: &Body,
        stability: &Stability,
        within: &Reachable,
        scratch: &mut SweepScratch<'a>,
    ) -> (f64, f64) {
        let mut best = (within.from_m, f64::INFINITY);
        self.sweep(body, stability, within, &[], scratch, |apex_m, fs| {
            if fs < best.1 {
                best = (apex_m, fs);
            }
        });
        best
    }

    /// The bolts that cross the wedge with its apex at this chainage, those that cannot do anything
    /// for it left out.
    #[must_use]
    pub fn serving(
        &self,
        section: &Section,
        body: &Body,
        stability: &Stability,
        apex_m: f64,
    ) -> Vec<SetServing> {
        let mut standing = Vec::new();
        let Some(here) = Self::reachable(section, body, f64::NEG_INFINITY, f64::INFINITY) else {
            return Vec::new();
        };
        let here = Reachable { from_m: apex_m, to_m: apex_m, ..here };
        self.stand(body, stability, &here, &mut standing);
        let mut serving: Vec<SetServing> = standing
            .iter()
            .filter(|s| s.enters_m() <= apex_m + EVENT_GAP_M && s.leaves_m() >= apex_m - EVENT_GAP_M)
            .filter_map(|s| {
                let x = s.chainage_m - apex_m;
                let crossing = s.track.crossing(x)?;
                let (head_m, toe_m) = s.track.lengths_m(&crossing, x);
                let capacity = s.track.bolt.capacity(head_m, toe_m);
                Some(SetServing {
                    bolt: s.bolt,
                    plane: crossing.plane,
                    head_m,
                    toe_m,
                    capacity,
                    share_kn: stability.gain_kn(&s.track.effect) * capacity.kn,
                })
            })
            .collect();
        serving.sort_by_key(|s| s.bolt);
        serving
    }

    /// Searches the stretch for the worst place of a pyramid's equally admissible wedges: along the
    /// drive by events, exactly; across the section from even places and from `known`, then by
    /// halving round the lowest and where their ends pass a collar: a search. `None` where the stretch
    /// is too short for all, or does not hold the one place that structures leave the wedge.
    #[must_use]
    pub fn place(
        &self,
        section: &Section,
        positions: &Positions<'a>,
        admissible: &Admissible,
        known: &[Footprint],
        (from_m, to_m): (f64, f64),
        judge: &dyn Fn(&Footprint) -> Stability,
    ) -> Option<SetPlacement> {
        let mut scratch = SweepScratch::default();
        let mut tried: Vec<Tried> = Vec::new();
        let mut look = |foot: Footprint, near: Option<f64>, tried: &mut Vec<Tried>| {
            let body = positions.body(foot);
            let within = Self::reachable(section, &body, from_m, to_m);
            let Some(mut within) = within.and_then(|w| w.at(positions.chainage_m(&foot))) else { return };
            if let Some(apex_m) = near {
                within.from_m = within.from_m.max(apex_m - LOCAL_M);
                within.to_m = within.to_m.min(apex_m + LOCAL_M);
                if within.from_m > within.to_m {
                    return;
                }
            }
            let (apex_m, fs) = self.least(&body, &judge(&foot), &within, &mut scratch);
            tried.push(Tried { foot, apex_m, fs });
        };
        look(admissible.shown, None, &mut tried);
        for foot in known {
            look(*foot, None, &mut tried);
        }
        let enough = enough_m3(admissible);
        for band in &admissible.bands {
            if positions.is_point(band.from_m, band.to_m) {
                continue;
            }
            let mut here: Vec<Tried> = Vec::new();
            let step = (band.to_m - band.from_m) / PLACES as f64;
            for i in 0..=PLACES {
                if let Some(foot) = positions.seat(band.from_m + step * i as f64, enough) {
                    look(foot, None, &mut here);
                }
            }
            here.sort_by(|a, b| a.fs.total_cmp(&b.fs).then(a.apex_m.total_cmp(&b.apex_m)));
            for start in here.clone().iter().take(FOLLOWED) {
                for place_m in self.collar_places(positions, start, (band.from_m, band.to_m)) {
                    if let Some(foot) = positions.seat(place_m, enough) {
                        look(foot, Some(start.apex_m), &mut here);
                    }
                }
                let mut low = *start;
                let mut half = 0.5 * step;
                for _ in 0..ROUNDS {
                    let mut beside = Vec::new();
                    for place_m in [low.foot.along_m[0] - half, low.foot.along_m[0] + half] {
                        if (band.from_m..=band.to_m).contains(&place_m)
                            && let Some(foot) = positions.seat(place_m, enough)
                        {
                            look(foot, Some(low.apex_m), &mut beside);
                        }
                    }
                    for t in beside {
                        if t.fs < low.fs {
                            low = t;
                        }
                    }
                    half *= 0.5;
                }
                here.push(low);
            }
            tried.extend(here);
        }
        let best = tried.into_iter().reduce(|a, b| if b.fs < a.fs { b } else { a })?;
        let (body, stability) = (positions.body(best.foot), judge(&best.foot));
        Some(SetPlacement {
            least_fs: best.fs,
            foot: best.foot,
            chainage_m: best.apex_m,
            serving: self.serving(section, &body, &stability, best.apex_m),
        })
    }

    /// Places of the start ray a hair on either side of where it passes a collar near a wedge.
    fn collar_places(&self, positions: &Positions, at: &Tried, (from_m, to_m): (f64, f64)) -> Vec<f64> {
        let chain = positions.frontier.chain();
        let hair = HAIR_SHARE * chain.length_m();
        let reach_m = LOCAL_M + at.foot.edge_m.iter().fold(0.0f64, |a, &b| a.max(b));
        let first = self.bolts.partition_point(|b| b.chainage_m < at.apex_m - reach_m);
        let mut places = Vec::new();
        for bolt in self.bolts[first..].iter().take_while(|b| b.chainage_m <= at.apex_m + reach_m) {
            let along = (bolt.collar.along_m - chain.offset_m()).rem_euclid(positions.perimeter_m);
            places.extend([along - hair, along + hair]);
            // The end ray runs with the start ray, so the end passes a collar where the start is
            // about as much nearer.
            let shifted = at.foot.along_m[0] + along - at.foot.along_m[2];
            places.extend([shifted - hair, shifted + hair]);
        }
        places.retain(|p| (from_m..=to_m).contains(p));
        places.sort_by(f64::total_cmp);
        places.dedup_by(|a, b| (*a - *b).abs() < 0.5 * hair);
        places
    }
}

#[derive(Debug, Clone, Copy)]
struct Tried {
    foot: Footprint,
    apex_m: f64,
    fs: f64,
}

/// Whether these bolts could pull a joint open that the wedge slides on, all at their strongest.
fn may_lose_a_joint<'t, 'a: 't>(
    tracks: impl Iterator<Item = &'t Track<'a>> + Clone,
    stability: &Stability,
) -> bool {
    stability.motion.normal_kn.iter().enumerate().any(|(joint, &normal)| {
        let pull: f64 = tracks.clone().map(|t| (-t.effect.normal_kn[joint]).max(0.0) * t.bolt.steel_kn).sum();
        normal > 0.0 && pull >= normal
    })
}
