//! The largest wedge that some placement lets sit between the bolts.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::{Obstacles, Span};
use crate::numeric::{bisect, bisect_to};
use crate::wedge::{Cone, Footprint, Frontier};

/// The search ends when no untouched wedge can be larger than the largest one found by more than
/// this share.
const GAP_SHARE: f64 = 1e-3;

/// Ends of untouched wedges are bisected to this share of the stretch that they lie on.
const END_SHARE: f64 = 1e-7;

/// Even stretches of places that the search starts from.
const FIRST_STRETCHES: usize = 16;

/// Most places that are tried on one stretch of bolted ground. A search ends after some 100; the
/// bound that it returns holds whenever it ends.
const MOST_PLACES: usize = 1500;

/// A stretch of places shorter than this share of the whole is not divided where bounds do not
/// close in on it.
const LEAST_STRETCH: f64 = 1e-5;

/// How the cap on the trace between middle and end draws the ends of a stretch in: so many times as long as
/// it draws in more than a share of what is left, by so many halvings each time.
const CAP_ROUNDS: usize = 6;
const CAP_HALVINGS: usize = 10;
const CAP_PROGRESS: f64 = 0.01;

/// The largest wedge of a pyramid that some placement lets sit between the bolts, untouched.
#[derive(Debug, Clone, PartialEq)]
pub struct GapWedge {
    /// The largest untouched wedge that was found.
    pub foot: Footprint,
    /// Chainage of its apex for each group of patterns, counted from where their offsets say.
    pub phases_m: Vec<f64>,
    /// No untouched wedge is larger than this, cubic metres: at most 0.1 % above the one found.
    pub volume_m3: f64,
}

/// The largest wedge whose face lies on one of the `grounds` and that meets every cap of the
/// frontier, over all placements at which no bolt touches it. `most_m3` is a volume that no wedge of
/// the frontier exceeds. `None` where every wedge down to
/// rounding is touched, or where there is no such ground.
///
/// For a given place of the start ray every wedge lies inside the ones whose end ray daylights
/// further off, moved along the start edge. So an untouched end is untouched for all nearer ends
/// and found by bisection, and likewise for later starts the untouched end never comes nearer. That
/// bounds the volume between two places of the start from above by the wedge with the earlier
/// start and the later end, and a search that always divides the stretch with the greatest bound
/// ends at the largest gap, none overlooked. The cap on the trace between middle and end, which does not
/// grow with the end's place, draws the bound in where no end of a stretch can meet it; where that does not
/// close the bracket, the largest wedge found is what is returned.
#[must_use]
pub fn gap_wedge(
    frontier: &Frontier,
    cone: &Cone,
    obstacles: &Obstacles,
    grounds: &[Span],
    most_m3: f64,
) -> Option<GapWedge> {
    let mut largest: Option<GapWedge> = None;
    for ground in grounds {
        let within = frontier.within(ground.from_m, ground.to_m);
        let found = Search::new(within, cone, obstacles, most_m3).run();
        if let Some(found) = found
            && largest.as_ref().is_none_or(|l| found.volume_m3 > l.volume_m3)
        {
            largest = Some(found);
        }
    }
    largest
}

/// A place of the start ray with the bracket of its farthest untouched end.
#[derive(Debug, Clone, Copy)]
struct Place {
    start_m: f64,
    free_m: f64,
    touched_m: f64,
}

/// A stretch of places and the most that any of its wedges can have.
struct Stretch {
    bound_m3: f64,
    first: Place,
    last: Place,
}

impl PartialEq for Stretch {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Stretch {}

impl PartialOrd for Stretch {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Stretch {
    fn cmp(&self, other: &Self) -> Ordering {
        // The first of equals is the one that starts earlier, so that the order is the same always.
        self.bound_m3.total_cmp(&other.bound_m3).then(other.first.start_m.total_cmp(&self.first.start_m))
    }
}

struct Search<'s, 'a> {
    frontier: Frontier<'a>,
    cone: &'s Cone,
    obstacles: &'s Obstacles<'s>,
    best: Option<(f64, Footprint, Vec<f64>)>,
    tolerance_m: f64,
    most_m3: f64,
}

impl<'s, 'a> Search<'s, 'a> {
    fn new(frontier: Frontier<'a>, cone: &'s Cone, obstacles: &'s Obstacles<'s>, most_m3: f64) -> Self {
        let (from_m, to_m) = frontier.span_m();
        Self { frontier, cone, obstacles, best: None, tolerance_m: END_SHARE * (to_m - from_m), most_m3 }
    }

    fn run(mut self) -> Option<GapWedge> {
        let (from_m, to_m) = self.frontier.span_m();
        if to_m <= from_m {
            return None;
        }
        let step_m = (to_m - from_m) / FIRST_STRETCHES as f64;
        let end = Place { start_m: to_m, free_m: to_m, touched_m: to_m };
        let mut heap = BinaryHeap::new();
        let mut before: Option<Place> = None;
        for i in 0..=FIRST_STRETCHES {
            let place = if i == FIRST_STRETCHES {
                end
            } else {
                let start_m = from_m + step_m * i as f64;
                self.try_place(start_m, before.map_or(start_m, |b| b.free_m.max(start_m)), to_m)
            };
            if let Some(first) = before {
                heap.extend(self.stretch(first, place));
            }
            before = Some(place);
        }
        let mut tried = FIRST_STRETCHES;
        let mut bound_m3 = 0.0f64;
        while let Some(top) = heap.pop() {
            let best_m3 = self.best.as_ref().map_or(0.0, |b| b.0);
            if top.bound_m3 <= best_m3 * (1.0 + GAP_SHARE) {
                bound_m3 = bound_m3.max(top.bound_m3);
                break;
            }
            let length_m = top.last.start_m - top.first.start_m;
            if tried >= MOST_PLACES || length_m <= LEAST_STRETCH * (to_m - from_m) {
                // Where the cap on one trace bends the frontier, bounds may stay above what there is.
                if self.frontier.is_even() {
                    bound_m3 = bound_m3.max(top.bound_m3);
                }
                continue;
            }
            tried += 1;
            let start_m = 0.5 * (top.first.start_m + top.last.start_m);
            let middle = self.try_place(start_m, top.first.free_m.max(start_m), top.last.touched_m);
            heap.extend(self.stretch(top.first, middle));
            heap.extend(self.stretch(middle, top.last));
        }
        let (found_m3, foot, phases_m) = self.best?;
        Some(GapWedge { foot, phases_m, volume_m3: bound_m3.max(found_m3) })
    }

    /// `None` where nothing of the stretch can be larger than what is found already.
    fn stretch(&self, first: Place, last: Place) -> Option<Stretch> {
        let end_m = last.touched_m.max(first.touched_m);
        if end_m <= first.start_m {
            return None;
        }
        let chain = self.frontier.chain();
        let end_m = self.within_caps(first.start_m, last.start_m, end_m);
        let bound_m3 = chain.volume_m3(&chain.footprint(first.start_m, end_m)).min(self.most_m3);
        Some(Stretch { bound_m3, first, last })
    }

    /// A place beyond which no end of any start of a stretch meets every cap, at most `end_m`. The cap on
    /// the trace between middle and end is the one that the bracket of ends does not know.
    fn within_caps(&self, first_m: f64, last_m: f64, mut end_m: f64) -> f64 {
        if self.frontier.is_even() || end_m <= last_m {
            return end_m;
        }
        for _ in 0..CAP_ROUNDS {
            let (excluded_m, _) = bisect(end_m, last_m, CAP_HALVINGS, |from_m| {
                self.frontier.excludes((first_m, last_m), (from_m, end_m))
            });
            if end_m - excluded_m <= CAP_PROGRESS * (end_m - last_m) {
                break;
            }
            end_m = excluded_m;
        }
        end_m
    }

    /// Bisects the farthest untouched end of a start between one that is known to be untouched (or
    /// the start itself, a wedge of nothing) and one that is not nearer.
    fn try_place(&mut self, start_m: f64, free_m: f64, touched_m: f64) -> Place {
        let nothing = Place { start_m, free_m: start_m, touched_m: start_m };
        let Some(widest) = self.frontier.widest_even(start_m) else { return nothing };
        let cap_m = widest.along_m[2];
        let chain = *self.frontier.chain();
        let (mut low_m, mut high_m) = (free_m.min(cap_m), touched_m.max(free_m).min(cap_m));
        let mut found: Option<(Footprint, Vec<f64>)> = None;
        let mut is_free = |end_m: f64| {
            let foot = if end_m == cap_m { widest } else { chain.footprint(start_m, end_m) };
            let free = self.obstacles.free_phases_m(self.cone, &foot).map(|phases_m| (foot, phases_m));
            let is_free = free.is_some();
            found = free.or(found.take());
            is_free
        };
        // The bracket's own end first: caps and the edge of bolted ground end most searches.
        if is_free(high_m) {
            low_m = high_m;
        } else {
            (low_m, high_m) = bisect_to(low_m, high_m, self.tolerance_m, is_free);
        }
        if found.is_none() && low_m > start_m {
            let foot = chain.footprint(start_m, low_m);
            found = self.obstacles.free_phases_m(self.cone, &foot).map(|phases_m| (foot, phases_m));
        }
        if !self.frontier.is_even() {
            let (from_m, _) = self.frontier.span_m();
            let under_every_cap = self.frontier.within(from_m, low_m).widest(start_m);
            found = under_every_cap.and_then(|foot| {
                self.obstacles.free_phases_m(self.cone, &foot).map(|phases_m| (foot, phases_m))
            });
        }
        if let Some((foot, phases_m)) = found {
            let volume_m3 = chain.volume_m3(&foot);
            if self.best.as_ref().is_none_or(|b| volume_m3 > b.0) {
                self.best = Some((volume_m3, foot, phases_m));
            }
        }
        Place { start_m, free_m: low_m, touched_m: high_m }
    }
}
