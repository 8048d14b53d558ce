use super::Capacity;
use super::across::{Across, PLACES};
use super::along::{AlongScratch, Support};
use super::positions::{Positions, enough_m3};
use super::track::{Body, Crossed, Track, direction};
use crate::opening::{Surface, Vec2};
use crate::orientation::Vec3;
use crate::stability::{Reaction, Stability};
use crate::wedge::{Admissible, Footprint};

/// Places across a band that the median is taken over.
const MEDIAN_PLACES: usize = 16;

/// Samples between two events along the drive for the median.
const MEDIAN_SAMPLES: usize = 8;

/// A joint that crosses a bolt nearer to its collar than this, metres, is within reach of its plate:
/// what the plate bears on is then loose itself. Half the side of a large plate; common practice, no
/// source. It changes no capacity.
pub const PLATE_REACH_M: f64 = 0.15;

/// A bolt that serves a wedge at a placement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Serving {
    /// Index of its pattern.
    pub pattern: usize,
    /// Ring, counted from ring 0 of its pattern.
    pub ring: i64,
    /// Arc length of the collar from the crown, metres, positive right.
    pub arc_m: f64,
    /// Chainage of the collar, on the placement's own count.
    pub chainage_m: f64,
    /// Collar in the section.
    pub point: Vec2,
    /// Surface of the collar.
    pub surface: Surface,
    /// Unit vector into the rock, local (u, s, v).
    pub direction: Vec3,
    /// The joint that it crosses first, index into the wedge's planes.
    pub plane: usize,
    /// Length inside the wedge, metres.
    pub head_m: f64,
    /// Length beyond the joint, metres.
    pub toe_m: f64,
    /// How much nearer each joint its collar may stand than drawn, metres; 0 as drawn. The lengths and the
    /// capacity are the least that it can then have.
    pub off_m: [f64; 3],
    /// What it can take, and what gives first.
    pub capacity: Capacity,
    /// What it adds to the resistance along the movement, kN.
    pub share_kn: f64,
}

/// The worst placement of a wedge, and how it compares with the rest.
#[derive(Debug, Clone, PartialEq)]
pub struct Placement {
    /// Least factor of safety over all placements: an infimum.
    pub least_fs: f64,
    /// The factor of safety that half of the positions exceed, by length.
    pub median_fs: f64,
    /// The wedge there.
    pub foot: Footprint,
    /// Chainage of its apex; rings of the first group of patterns stand where their offset says.
    pub chainage_m: f64,
    /// How far the rings of each group stand shifted from where their offset says, metres.
    pub shifts_m: Vec<f64>,
    /// The bolts that cross it there.
    pub serving: Vec<Serving>,
}

/// Searches every placement of a pyramid's admissible wedges: along the drive by events, across
/// the section by refinement. `judge` gives the equilibrium of the wedge with a footprint.
#[must_use]
pub fn place<'a>(
    positions: &Positions<'a>,
    admissible: &Admissible,
    judge: &dyn Fn(&Footprint) -> Stability,
) -> Placement {
    let support = positions.support();
    let mut scratch = AlongScratch::default();
    let mut along = |foot: &Footprint| support.along(&positions.body(*foot), &judge(foot), &mut scratch);
    let tracks = |foot: &Footprint, into: &mut Vec<Track<'a>>| {
        support.tracks(&positions.body(*foot), &judge(foot), into);
    };
    let (foot, along) =
        Across::new(positions, PLACES, admissible, &mut along, &tracks).least(admissible, &[]);
    let median_fs = Median { positions, support, judge, scratch: &mut scratch }.of(admissible, &foot);
    let stability = judge(&foot);
    let body = positions.body(foot);
    let chainage_m = positions.chainage_m(&foot).unwrap_or(along.phases_m[0]);
    let shifts_m: Vec<f64> = along.phases_m.iter().map(|phase| chainage_m - phase).collect();
    Placement {
        least_fs: along.least_fs,
        median_fs,
        foot,
        chainage_m,
        serving: serving(&support, &body, &stability, chainage_m, &shifts_m),
        shifts_m,
    }
}

/// One wedge at one place along the drive: `phases_m` is the chainage of its apex for each group of
/// patterns, counted from where their offsets say. The factor is that of the sum of forces.
#[must_use]
pub fn placed_at(
    positions: &Positions,
    foot: &Footprint,
    stability: &Stability,
    phases_m: &[f64],
) -> Placement {
    let chainage_m = positions.chainage_m(foot).or(phases_m.first().copied()).unwrap_or(0.0);
    let shifts_m: Vec<f64> = phases_m.iter().map(|phase| chainage_m - phase).collect();
    let serving = serving(&positions.support(), &positions.body(*foot), stability, chainage_m, &shifts_m);
    let mut support = Reaction::default();
    for bolt in &serving {
        support += stability.effect(&bolt.direction).times(bolt.capacity.kn);
    }
    let least_fs = stability.fs(&support);
    Placement { least_fs, median_fs: least_fs, foot: *foot, chainage_m, shifts_m, serving }
}

/// The worst place along the drive of one wedge by the sum of forces; its median is not asked. `None` without bolts.
#[must_use]
pub fn placed_least(positions: &Positions, foot: &Footprint, stability: &Stability) -> Option<Placement> {
    if positions.groups.is_empty() {
        return None;
    }
    let support = positions.support();
    let along = support.along(&positions.body(*foot), stability, &mut AlongScratch::default());
    let placed = placed_at(positions, foot, stability, &along.phases_m);
    // One-sided limits count: beside an event a bolt more or less may be on the wedge.
    Some(Placement { least_fs: along.least_fs, median_fs: along.least_fs, ..placed })
}

struct Median<'s, 'a> {
    positions: &'s Positions<'a>,
    support: Support<'a>,
    judge: &'s dyn Fn(&Footprint) -> Stability,
    scratch: &'s mut AlongScratch<'a>,
}

impl Median<'_, '_> {
    /// The median over positions, by the length of the apex's path across the section and by
    /// chainage along the drive.
    fn of(mut self, admissible: &Admissible, at: &Footprint) -> f64 {
        let mut samples = Vec::new();
        let mut moved = false;
        for band in &admissible.bands {
            if self.positions.is_point(band.from_m, band.to_m) {
                continue;
            }
            moved = true;
            let frontier = self.positions.frontier;
            let step = (band.to_m - band.from_m) / MEDIAN_PLACES as f64;
            for i in 0..MEDIAN_PLACES {
                let left = band.from_m + step * i as f64;
                let ends = (frontier.widest(left), frontier.widest(left + step));
                if let (Some(a), Some(b)) = ends
                    && let Some(foot) = self.positions.seat(left + 0.5 * step, enough_m3(admissible))
                {
                    self.sample(foot, (b.apex - a.apex).norm(), 2, &mut samples);
                }
            }
        }
        if !moved {
            self.sample(*at, 1.0, MEDIAN_SAMPLES, &mut samples);
        }
        weighted_median(samples)
    }

    fn sample(&mut self, foot: Footprint, weight: f64, per_interval: usize, samples: &mut Vec<(f64, f64)>) {
        let stability = (self.judge)(&foot);
        let body = self.positions.body(foot);
        let first = samples.len();
        self.support.sample(&body, &stability, self.scratch, samples, per_interval);
        for sample in &mut samples[first..] {
            sample.1 *= weight;
        }
    }
}

/// Sums of weights that differ by less than this share are equal: what their order leaves of rounding.
const SAME_WEIGHT: f64 = 1e-12;

/// The least value that is not below half of the weight.
fn weighted_median(mut samples: Vec<(f64, f64)>) -> f64 {
    let half = 0.5 * samples.iter().map(|s| s.1).sum::<f64>() * (1.0 - SAME_WEIGHT);
    let mut rest = &mut samples[..];
    let mut below = 0.0;
    // Samples come by the thousand: parted in the middle until one is left, which is sooner than sorted.
    while rest.len() > 1 {
        let middle = (rest.len() - 1) / 2;
        rest.select_nth_unstable_by(middle, |a, b| a.0.total_cmp(&b.0));
        let (lower, upper) = rest.split_at_mut(middle + 1);
        let up_to_middle = below + lower.iter().map(|s| s.1).sum::<f64>();
        if up_to_middle >= half {
            rest = lower;
        } else {
            below = up_to_middle;
            rest = upper;
        }
    }
    rest.first().map_or(f64::NAN, |s| s.0)
}

/// The bolts that cross a wedge with its apex at this chainage, in the order of patterns, rings
/// and arc length; `shifts_m` moves the rings of each group.
pub(super) fn serving(
    support: &Support,
    body: &Body,
    stability: &Stability,
    chainage_m: f64,
    shifts_m: &[f64],
) -> Vec<Serving> {
    let mut serving = Vec::new();
    for (group, shift) in support.groups.iter().zip(shifts_m) {
        for &pattern in &group.patterns {
            let layout = &support.layouts[pattern];
            for row in 0..layout.rows.len() {
                let key = (pattern, row);
                let Some(track) =
                    Track::new(body, stability, support.patterns, support.layouts, support.bolts, key)
                else {
                    continue;
                };
                let line = &layout.rows[row];
                track.each_collar(chainage_m - shift, |x, k| {
                    let Some(Crossed { plane, head_m, toe_m, capacity }) = track.crossed(x) else { return };
                    serving.push(Serving {
                        pattern: track.pattern,
                        ring: k * i64::from(layout.rings_in_period) + i64::from(line.first_ring),
                        arc_m: line.collar.arc_m,
                        chainage_m: chainage_m + x,
                        point: line.collar.point,
                        surface: line.collar.surface,
                        direction: direction(support.layouts, pattern, track.row),
                        plane,
                        head_m,
                        toe_m,
                        off_m: body.cone.inward.map(|m| layout.nearer_m(row, &m)),
                        capacity,
                        share_kn: stability.gain_kn(&track.effect) * capacity.kn,
                    });
                });
            }
        }
    }
    serving.sort_by(|a, b| (a.pattern, a.ring).cmp(&(b.pattern, b.ring)).then(a.arc_m.total_cmp(&b.arc_m)));
    serving
}

impl Serving {
    /// Whether the joint crosses the bolt within [`PLATE_REACH_M`] of its collar.
    #[must_use]
    pub fn near_plate(&self) -> bool {
        self.head_m < PLATE_REACH_M
    }
}

impl Placement {
    /// Whether bolts cross the wedge and none of them carries anything: each would pull the
    /// joints that it slides on open, or pulls with the movement.
    #[must_use]
    pub fn none_works(&self) -> bool {
        none_works(&self.serving)
    }
}

/// Whether there are bolts and none of them carries anything.
#[must_use]
pub fn none_works(serving: &[Serving]) -> bool {
    !serving.is_empty() && serving.iter().all(|s| s.share_kn <= 0.0)
}
