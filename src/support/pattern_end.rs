//! Bolts near the face: a pattern that ends at its last ring.

use super::along::EVENT_GAP_M;
use super::least::Along;
use super::loss::{Stretch, least_with_loss, loses_a_joint};
use super::track::{Crossed, Track};
use super::{Bolt, FaceSupport, Layout, Pattern, Serving};
use crate::opening::Section;
use crate::orientation::Vec3;
use crate::stability::{Reaction, Stability};
use crate::wedge::{AXIS_TOLERANCE, Cone, ON_FACE_M};

/// A collar this near a facet is on it, metres.
const ON_FACET_M: f64 = 1e-6;

/// Staggered patterns whose last ring is tried both ways; further ones end with an even ring.
const MOST_STAGGERED: usize = 5;

/// The support of a wedge by patterns that end at a last ring. Positions are those of the apex from
/// the last ring, metres along the advance; every pattern ends at the same distance from the face.
#[derive(Debug)]
pub struct PatternEnd<'a> {
    patterns: &'a [Pattern],
    layouts: &'a [Layout],
    stability: Stability,
    tracks: Vec<Track<'a>>,
    /// The joints' normals into the wedge, local.
    inward: [Vec3; 3],
    /// The bolts in the face that cross it, whichever ring is the last; chainages from the face.
    in_face: Vec<Serving>,
    /// What they do together.
    of_face: Reaction,
    /// The apex from the face, metres ahead.
    ahead_m: f64,
}

/// Where a pattern's end leaves a wedge worst.
#[derive(Debug, Clone, PartialEq)]
pub struct EndPlacement {
    /// Least factor of safety over the positions; one-sided limits count.
    pub least_fs: f64,
    /// The apex from the last ring, metres along the advance.
    pub from_last_ring_m: f64,
    /// The bolts that cross it there. Rings count back from the last one, 0; chainages are from it.
    pub serving: Vec<Serving>,
}

/// A row's rings: the first one back from the last ring of all, and the step, metres.
#[derive(Debug, Clone, Copy)]
struct Rings {
    first_m: f64,
    first: i64,
    step_m: f64,
    step: i64,
}

impl<'a> PatternEnd<'a> {
    /// The bolts of a wedge at the face, its apex local (u, s, v) with the face at s = 0; a row counts where
    /// the apex sees every facet that its collars may stand on. `face` are those in the face itself.
    #[must_use]
    pub fn at_face(
        section: &Section,
        apex: &Vec3,
        cone: &Cone,
        stability: Stability,
        (patterns, layouts, bolts): (&'a [Pattern], &'a [Layout], &'a [Bolt]),
        face: &FaceSupport,
    ) -> Self {
        let place = crate::opening::Vec2::new(apex.x, apex.z);
        let sees = |point: &crate::opening::Vec2| {
            section.facets().iter().any(|facet| {
                let along = (point - facet.start).dot(&facet.tangent).clamp(0.0, facet.length_m);
                let off = (facet.start + facet.tangent * along - point).norm();
                off <= ON_FACET_M && facet.normal.dot(&(place - facet.start)) > 0.0
            })
        };
        let sees_around = |layout: &Layout, along_m: f64| {
            let mut around = section.facets_within(along_m, layout.tolerance_m);
            layout.tolerance_m == 0.0 || around.all(|f| f.normal.dot(&(place - f.start)) > 0.0)
        };
        // A plane along the axis bounds no chainage, so a track does not ask it.
        let beside = |layout: &Layout, row: usize| {
            let offset = layout.rows[row].collar.point - place;
            let mut along = cone.inward.iter().filter(|m| m.y.abs() <= AXIS_TOLERANCE);
            along.any(|m| m.x * offset.x + m.z * offset.y - layout.nearer_m(row, m) < -ON_FACE_M)
        };
        let mut tracks = Vec::new();
        for (pattern, layout) in layouts.iter().enumerate() {
            for (row, line) in layout.rows.iter().enumerate() {
                let collar = &line.collar;
                if sees(&collar.point) && sees_around(layout, collar.along_m) && !beside(layout, row) {
                    let key = (pattern, row);
                    tracks.extend(Track::through(&place, cone, &stability, patterns, layouts, bolts, key));
                }
            }
        }
        let in_face = face.serving(apex, cone, &stability);
        let mut of_face = Reaction::default();
        for bolt in &in_face {
            of_face += stability.effect(&bolt.direction).times(bolt.capacity.kn);
        }
        let inward = cone.inward;
        Self { patterns, layouts, stability, tracks, inward, in_face, of_face, ahead_m: apex.y }
    }

    /// The bolts of a wedge of the drive.
    #[must_use]
    pub fn in_drive(
        body: &super::Body,
        stability: Stability,
        (patterns, layouts, bolts): (&'a [Pattern], &'a [Layout], &'a [Bolt]),
    ) -> Self {
        let mut tracks = Vec::new();
        for (pattern, layout) in layouts.iter().enumerate() {
            for row in 0..layout.rows.len() {
                let key = (pattern, row);
                tracks.extend(Track::new(body, &stability, patterns, layouts, bolts, key));
            }
        }
        let (in_face, of_face) = (Vec::new(), Reaction::default());
        let inward = body.cone.inward;
        Self { patterns, layouts, stability, tracks, inward, in_face, of_face, ahead_m: 0.0 }
    }

    /// Whether any bolt may cross the wedge, wherever the rings end.
    #[must_use]
    pub fn is_met(&self) -> bool {
        !self.tracks.is_empty() || !self.in_face.is_empty()
    }

    /// The least factor of safety while the apex stands `from_m` to `to_m` ahead of the last ring
    /// (one position where they are equal), whichever ring of a staggered pattern is the last.
    #[must_use]
    pub fn least(&self, from_m: f64, to_m: f64) -> EndPlacement {
        let staggered: Vec<usize> =
            (0..self.patterns.len()).filter(|&p| self.patterns[p].stagger).take(MOST_STAGGERED).collect();
        let mut best: Option<(Along, Vec<u32>)> = None;
        for choice in 0..1u32 << staggered.len() {
            let mut last = vec![0; self.patterns.len()];
            for (bit, &pattern) in staggered.iter().enumerate() {
                last[pattern] = (choice >> bit) & 1;
            }
            let along = self.least_along(self.stretches(&last, from_m, to_m));
            if best.as_ref().is_none_or(|b| along.least_fs < b.0.least_fs) {
                best = Some((along, last));
            }
        }
        let bare = || Along { least_fs: self.stability.fs_bare(), phases_m: Vec::new() };
        let (along, last) = best.unwrap_or_else(|| (bare(), vec![0; self.patterns.len()]));
        let from_last_ring_m = along.phases_m.first().copied().unwrap_or(to_m);
        let serving = self.serving(&last, from_last_ring_m);
        EndPlacement { least_fs: along.least_fs, from_last_ring_m, serving }
    }

    /// The least over stretches of positions: at their ends, or where a joint is just lost.
    fn least_along(&self, stretches: Vec<Stretch>) -> Along {
        let stretches = [stretches];
        if loses_a_joint(&stretches, &self.stability) {
            return least_with_loss(&stretches, &self.stability);
        }
        let mut least = Along { least_fs: f64::INFINITY, phases_m: Vec::new() };
        for stretch in &stretches[0] {
            for (reaction, at_m) in [(&stretch.first, stretch.from_m), (&stretch.last, stretch.to_m)] {
                let fs = self.stability.fs(reaction);
                if least.phases_m.is_empty() || fs < least.least_fs {
                    least = Along { least_fs: fs, phases_m: vec![stretch.inside(at_m)] };
                }
            }
        }
        least
    }

    /// The positions between events, with what the bolts do at either end.
    fn stretches(&self, last: &[u32], from_m: f64, to_m: f64) -> Vec<Stretch> {
        let between = |from_m: f64, to_m: f64| {
            let [first, last] = self.reactions(last, 0.5 * (from_m + to_m), [from_m, to_m]);
            Stretch { from_m, to_m, first, last }
        };
        if to_m - from_m <= EVENT_GAP_M {
            return vec![between(to_m, to_m)];
        }
        let mut events = vec![from_m, to_m];
        for track in self.tracks.iter().filter(|t| t.works()) {
            let rings = self.rings(track, last);
            let mut add = |x: f64| {
                // The apex where a ring stands x from it: −first − k·step − x.
                let furthest = -rings.first_m - x;
                let mut k = ((furthest - to_m) / rings.step_m).ceil().max(0.0);
                while furthest - k * rings.step_m >= from_m {
                    events.push(furthest - k * rings.step_m);
                    k += 1.0;
                }
            };
            track.each_event(&mut add);
            track.each_kink(&mut add);
        }
        events.retain(|e| (from_m..=to_m).contains(e));
        events.sort_by(f64::total_cmp);
        let apart = events.windows(2).filter(|pair| pair[1] - pair[0] > EVENT_GAP_M);
        apart.map(|pair| between(pair[0], pair[1])).collect()
    }

    fn rings(&self, track: &Track, last: &[u32]) -> Rings {
        let pattern = &self.patterns[track.pattern];
        let layout = &self.layouts[track.pattern];
        let step = i64::from(layout.rings_in_period);
        let kind = layout.rows[track.row].first_ring;
        let first = (i64::from(last[track.pattern]) - i64::from(kind)).rem_euclid(step);
        Rings { first_m: first as f64 * pattern.ring_spacing_m, first, step_m: layout.period_m, step }
    }

    /// Calls `visit(collar from the apex, ring)` for each collar of a row on the face of the wedge
    /// with its apex `apex_m` ahead of the last ring.
    fn each_collar(&self, track: &Track, last: &[u32], apex_m: f64, mut visit: impl FnMut(f64, i64)) {
        let rings = self.rings(track, last);
        let nearest = -rings.first_m - apex_m;
        let mut k = ((nearest - track.high_m - ON_FACE_M) / rings.step_m).ceil().max(0.0);
        while nearest - k * rings.step_m >= track.low_m - ON_FACE_M {
            visit(nearest - k * rings.step_m, rings.first + k as i64 * rings.step);
            k += 1.0;
        }
    }

    /// What the bolts do with the apex at either of two places, each taken in the state it has at `state_m`.
    fn reactions(&self, last: &[u32], state_m: f64, at_m: [f64; 2]) -> [Reaction; 2] {
        let mut sums = [self.of_face; 2];
        for track in self.tracks.iter().filter(|t| t.works()) {
            self.each_collar(track, last, state_m, |x, _| {
                let Some(crossing) = track.crossing(x) else { return };
                for (sum, at_m) in sums.iter_mut().zip(at_m) {
                    *sum += track.effect.times(track.taken_kn(&crossing, x - (at_m - state_m)));
                }
            });
        }
        sums
    }

    fn serving(&self, last: &[u32], apex_m: f64) -> Vec<Serving> {
        let at_face_m = apex_m - self.ahead_m;
        let in_face = self.in_face.iter().map(|b| Serving { chainage_m: at_face_m, ..*b });
        let mut serving: Vec<Serving> = Vec::new();
        for track in &self.tracks {
            self.each_collar(track, last, apex_m, |x, ring| {
                let Some(Crossed { plane, head_m, toe_m, capacity }) = track.crossed(x) else { return };
                let layout = &self.layouts[track.pattern];
                let collar = &layout.rows[track.row].collar;
                serving.push(Serving {
                    pattern: track.pattern,
                    ring: -ring,
                    arc_m: collar.arc_m,
                    chainage_m: apex_m + x,
                    point: collar.point,
                    surface: collar.surface,
                    direction: track.direction,
                    plane,
                    head_m,
                    toe_m,
                    off_m: self.inward.map(|m| layout.nearer_m(track.row, &m)),
                    capacity,
                    share_kn: self.stability.gain_kn(&track.effect) * capacity.kn,
                });
            });
        }
        serving.sort_by(|a, b| {
            (a.pattern, -a.ring).cmp(&(b.pattern, -b.ring)).then(a.arc_m.total_cmp(&b.arc_m))
        });
        serving.extend(in_face);
        serving
    }
}
