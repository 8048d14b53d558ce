use super::along::{AlongScratch, Support};
use super::gaps::{Jumps, Spread, each_passing};
use super::track::{Body, Track, direction};
use super::{Along, Bolt, Capacity, Layout, Pattern, PhaseGroup};
use crate::opening::{Surface, Vec2};
use crate::orientation::Vec3;
use crate::stability::Stability;
use crate::wedge::{ADMISSIBLE_SHARE, Admissible, Cone, Footprint, Frontier};

/// Evenly spaced places across a band at which the search across the section starts.
const PLACES: usize = 40;

/// Most places between openings of gaps that are tried in one band: 30 ms at the outside.
const MOST_GAPS: usize = 600;

/// Rounds of halving round the lowest places found so far.
const ROUNDS: usize = 10;

/// How many of the lowest places are followed in each round.
const FOLLOWED: usize = 5;

/// Places across a band that the median is taken over.
const MEDIAN_PLACES: usize = 16;

/// Samples between two events along the drive for the median.
const MEDIAN_SAMPLES: usize = 8;

/// Room for rounding where a wedge at the end of a band is measured again, relative.
const ENOUGH_ROUNDING: f64 = 1e-9;

/// A band shorter than this share of the chain is one place.
const POINT_SHARE: f64 = 1e-9;

/// Where the search may put a wedge, and the support it meets there.
#[derive(Debug, Clone, Copy)]
pub struct Positions<'a> {
    /// The admissible wedges of its pyramid.
    pub frontier: &'a Frontier<'a>,
    /// Its cone, local.
    pub cone: &'a Cone,
    /// The section's perimeter, metres.
    pub perimeter_m: f64,
    /// The patterns of the case.
    pub patterns: &'a [Pattern],
    /// The same, laid out.
    pub layouts: &'a [Layout],
    /// The bolts that the patterns name.
    pub bolts: &'a [Bolt],
    /// Which patterns slide together.
    pub groups: &'a [PhaseGroup],
}

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
pub fn place(
    positions: &Positions,
    admissible: &Admissible,
    judge: &dyn Fn(&Footprint) -> Stability,
) -> Placement {
    let support = Support {
        patterns: positions.patterns,
        layouts: positions.layouts,
        bolts: positions.bolts,
        groups: positions.groups,
    };
    let mut scratch = AlongScratch::default();
    let enough_m3 = ADMISSIBLE_SHARE * (1.0 - ENOUGH_ROUNDING) * admissible.volume_m3;
    let mut search = Across { positions, support, judge, enough_m3, scratch: &mut scratch };
    let (foot, along) = search.least(admissible);
    let median_fs = search.median(admissible, &foot);
    let stability = judge(&foot);
    let body = search.body(foot);
    let chainage_m = along.phases_m[0];
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

struct Across<'s, 'a> {
    positions: &'s Positions<'a>,
    support: Support<'a>,
    judge: &'s dyn Fn(&Footprint) -> Stability,
    /// Volume of an equally admissible wedge, cubic metres.
    enough_m3: f64,
    scratch: &'s mut AlongScratch<'a>,
}

/// A place of the start ray with the wedge there and the least along the drive.
struct Tried {
    place_m: f64,
    foot: Footprint,
    along: Along,
}

impl<'s, 'a> Across<'s, 'a> {
    fn body(&self, foot: Footprint) -> Body<'a> {
        let positions: &Positions<'a> = self.positions;
        Body {
            chain: positions.frontier.chain(),
            cone: positions.cone,
            foot,
            perimeter_m: positions.perimeter_m,
        }
    }

    fn along(&mut self, foot: Footprint) -> Along {
        let stability = (self.judge)(&foot);
        let body = self.body(foot);
        self.support.along(&body, &stability, self.scratch, None)
    }

    fn is_point(&self, from_m: f64, to_m: f64) -> bool {
        to_m - from_m <= POINT_SHARE * self.positions.frontier.chain().length_m()
    }

    fn least(&mut self, admissible: &Admissible) -> (Footprint, Along) {
        let mut best = (admissible.shown, self.along(admissible.shown));
        for band in &admissible.bands {
            if self.is_point(band.from_m, band.to_m) {
                continue;
            }
            let (foot, along) = self.least_in_band(band.from_m, band.to_m, &best);
            if along.least_fs < best.1.least_fs {
                best = (foot, along);
            }
        }
        best
    }

    /// The equally admissible wedge at a place. A band is known by its samples: between two of
    /// them the volume may fall short.
    fn seat(&self, place_m: f64) -> Option<Footprint> {
        let frontier = self.positions.frontier;
        frontier.widest(place_m).filter(|foot| frontier.chain().volume_m3(foot) >= self.enough_m3)
    }

    fn try_place(&mut self, place_m: f64, tried: &mut Vec<Tried>) {
        if let Some(foot) = self.seat(place_m) {
            let along = self.along(foot);
            tried.push(Tried { place_m, foot, along });
        }
    }

    /// Starts from even places, from those where a row of collars enters or leaves the face, and
    /// from those between which gaps between bolts open and close; then halves the steps on either side of the lowest.
    fn least_in_band(&mut self, from_m: f64, to_m: f64, known: &(Footprint, Along)) -> (Footprint, Along) {
        let mut tried = Vec::with_capacity(2 * PLACES);
        for i in 0..=PLACES {
            self.try_place(from_m + (to_m - from_m) * i as f64 / PLACES as f64, &mut tried);
        }
        for place_m in self.row_places(from_m, to_m) {
            self.try_place(place_m, &mut tried);
        }
        tried.sort_by(|a, b| a.place_m.total_cmp(&b.place_m));
        for place_m in self.gap_places(&tried) {
            self.try_place(place_m, &mut tried);
        }
        for _ in 0..ROUNDS {
            tried.sort_by(|a, b| a.place_m.total_cmp(&b.place_m));
            tried.dedup_by(|a, b| a.place_m == b.place_m);
            let mut order: Vec<usize> = (0..tried.len()).collect();
            order.sort_by(|&a, &b| {
                tried[a].along.least_fs.total_cmp(&tried[b].along.least_fs).then(a.cmp(&b))
            });
            let mut next: Vec<f64> = Vec::new();
            for &i in order.iter().take(FOLLOWED) {
                for j in [i.checked_sub(1), (i + 1 < tried.len()).then_some(i + 1)].into_iter().flatten() {
                    let middle = 0.5 * (tried[i].place_m + tried[j].place_m);
                    if !self.is_point(tried[i].place_m.min(middle), tried[i].place_m.max(middle))
                        && !next.contains(&middle)
                    {
                        next.push(middle);
                    }
                }
            }
            if next.is_empty() {
                break;
            }
            for place_m in next {
                self.try_place(place_m, &mut tried);
            }
        }
        tried
            .into_iter()
            .map(|t| (t.foot, t.along))
            .fold(known.clone(), |best, t| if t.1.least_fs < best.1.least_fs { t } else { best })
    }

    /// Places between those where gaps between bolts open or close: every gap, however narrow, is
    /// there at one of them, as far as its edges run straight from one of `tried` to the next.
    fn gap_places(&mut self, tried: &[Tried]) -> Vec<f64> {
        let mut places = Spread::new(MOST_GAPS);
        let mut passings: Vec<f64> = Vec::new();
        let mut before: Option<(f64, Vec<Jumps>)> = None;
        for t in tried {
            let jumps = self.jumps(t.foot);
            if let Some((from_m, old)) = before {
                passings.clear();
                for ((old, new), group) in old.iter().zip(&jumps).zip(self.positions.groups) {
                    each_passing(old, new, group.period_m, |share| {
                        passings.push(from_m + share * (t.place_m - from_m));
                    });
                }
                passings.sort_by(f64::total_cmp);
                for pair in passings.windows(2) {
                    if !self.is_point(pair[0], pair[1]) {
                        places.push(0.5 * (pair[0] + pair[1]));
                    }
                }
            }
            before = Some((t.place_m, jumps));
        }
        places.into_kept()
    }

    fn jumps(&mut self, foot: Footprint) -> Vec<Jumps> {
        let stability = (self.judge)(&foot);
        let body = self.body(foot);
        let tracks = self.support.tracks_of(&body, &stability, self.scratch);
        self.positions.groups.iter().map(|group| Jumps::of(group, tracks)).collect()
    }

    /// Places of the start ray a hair on either side of where it, or the end ray, passes a row.
    fn row_places(&self, from_m: f64, to_m: f64) -> Vec<f64> {
        let frontier = self.positions.frontier;
        let chain = frontier.chain();
        let hair = 1e-7 * chain.length_m();
        let mut places = Vec::new();
        let end_of = |place: f64| frontier.widest(place).map(|foot| foot.along_m[2]);
        let (first_end, last_end) = (end_of(from_m), end_of(to_m));
        for row in self.positions.layouts.iter().flat_map(|l| &l.rows) {
            let along = (row.collar.along_m - chain.offset_m()).rem_euclid(self.positions.perimeter_m);
            if along > from_m && along < to_m {
                places.extend([along - hair, along + hair]);
            }
            if let (Some(low), Some(high)) = (first_end, last_end)
                && (low - along) * (high - along) < 0.0
            {
                let (mut a, mut b) = (from_m, to_m);
                for _ in 0..28 {
                    let middle = 0.5 * (a + b);
                    match end_of(middle) {
                        Some(end) if (end - along) * (low - along) > 0.0 => a = middle,
                        _ => b = middle,
                    }
                }
                places.extend([a - hair, b + hair]);
            }
        }
        places.retain(|p| *p >= from_m && *p <= to_m);
        places
    }

    /// The median over positions, by the length of the apex's path across the section and by
    /// chainage along the drive.
    fn median(&mut self, admissible: &Admissible, at: &Footprint) -> f64 {
        let mut samples = Vec::new();
        let mut moved = false;
        for band in &admissible.bands {
            if self.is_point(band.from_m, band.to_m) {
                continue;
            }
            moved = true;
            let frontier = self.positions.frontier;
            let step = (band.to_m - band.from_m) / MEDIAN_PLACES as f64;
            for i in 0..MEDIAN_PLACES {
                let left = band.from_m + step * i as f64;
                let ends = (frontier.widest(left), frontier.widest(left + step));
                if let (Some(a), Some(b)) = ends
                    && let Some(foot) = self.seat(left + 0.5 * step)
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
        let body = self.body(foot);
        let first = samples.len();
        self.support.along(&body, &stability, self.scratch, Some((samples, per_interval)));
        for sample in &mut samples[first..] {
            sample.1 *= weight;
        }
    }
}

fn weighted_median(mut samples: Vec<(f64, f64)>) -> f64 {
    samples.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = 0.5 * samples.iter().map(|s| s.1).sum::<f64>();
    let mut sum = 0.0;
    for (fs, weight) in &samples {
        sum += weight;
        if sum >= half {
            return *fs;
        }
    }
    samples.last().map_or(f64::NAN, |s| s.0)
}

/// The bolts that cross a wedge with its apex at this chainage, in the order of patterns, rings
/// and arc length; `shifts_m` moves the rings of each group.
fn serving(
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
                    let Some(crossing) = track.crossing(x) else { return };
                    let head_m = track.head_m(crossing.plane, x);
                    let toe_m = track.length_in_hole_m - head_m;
                    let capacity = track.bolt.capacity(head_m, toe_m);
                    serving.push(Serving {
                        pattern: track.pattern,
                        ring: k * i64::from(layout.rings_in_period) + i64::from(line.first_ring),
                        arc_m: line.collar.arc_m,
                        chainage_m: chainage_m + x,
                        point: line.collar.point,
                        surface: line.collar.surface,
                        direction: direction(support.layouts, pattern, track.row),
                        plane: crossing.plane,
                        head_m,
                        toe_m,
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

impl Placement {
    /// Whether bolts cross the wedge and none of them carries anything: each would pull the
    /// joints that it slides on open, or pulls with the movement.
    #[must_use]
    pub fn none_works(&self) -> bool {
        !self.serving.is_empty() && self.serving.iter().all(|s| s.share_kn <= 0.0)
    }
}
