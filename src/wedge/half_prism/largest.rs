use super::{FaceBody, Measures, Reach};
use crate::orientation::Vec3;
use crate::wedge::{ADMISSIBLE_SHARE, Cap, Limits};

/// Caps are met with this relative margin, so that a wedge recomputed from its printed vertices
/// still meets them.
const CAP_MARGIN: f64 = 1e-9;

/// A cap counts as what limits a wedge when the wedge comes this near to it, relative.
const LIMITING_SHARE: f64 = 1e-3;

/// Two uncapped corners within this share of the largest volume are equally large.
const EQUAL_SHARE: f64 = 1e-9;

/// Lines through the pyramid that the capped search starts from, each way across it.
const LINES: usize = 22;

/// Steps down a line in which the first admissible apex is looked for: traces may grow before they
/// shrink.
const STEPS: usize = 10;

/// The best lines of the first round that are refined.
const REFINED: usize = 4;

/// Rounds of refinement; each looks at a square of lines about the best one, [`SHRINK`] as wide as
/// the last.
const ROUNDS: usize = 9;

/// How much narrower each round is: 0.45⁹ is under a thousandth of the first spacing.
const SHRINK: f64 = 0.45;

/// Halvings that find where a line becomes admissible, in the first round and in the others.
const HALVINGS: [usize; 2] = [8, 22];

/// Caps on a wedge at the face.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FaceLimits {
    /// The same as in the drive; lengths are along the drive, apex included.
    pub caps: Limits,
    /// How far it may reach back from the face, metres; `None` means no cap.
    pub behind_face_m: Option<f64>,
}

/// The largest admissible wedge of a pyramid at the face.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceAdmissible {
    /// The apex to show: of the equally large ones that with its foot nearest the crown. Local
    /// (u, s, v), face at s = 0.
    pub shown: Vec3,
    /// The greatest admissible volume that was found, cubic metres.
    pub volume_m3: f64,
    /// The greatest without caps, cubic metres.
    pub volume_uncapped_m3: f64,
    /// Extent along the drive without caps, metres.
    pub length_uncapped_m: f64,
    /// What limits it, sorted; empty where no cap binds.
    pub limited_by: Vec<Cap>,
    /// Apexes that the search met within 0.1 % of the greatest volume, `shown` first. They stand
    /// for the equally admissible ones; they are not all of them.
    pub equals: Vec<Vec3>,
}

/// The largest wedge of a pyramid at the face that meets every cap, over all apexes of `reach`;
/// `None` where there is none of any volume.
///
/// Without caps it is exact: the volume is convex, so a corner has it. With caps the search runs
/// along lines through the pyramid's middle: down such a line wedges lie within each other, so
/// volume, depth and length shrink, and the first admissible apex is the best of its line. Which
/// line is best is searched on a grid that is refined.
#[must_use]
pub fn largest_at_face(reach: &Reach, body: &mut FaceBody, limits: &FaceLimits) -> Option<FaceAdmissible> {
    let measured: Vec<(Vec3, Measures)> =
        reach.corners().iter().map(|apex| (*apex, body.measure(apex))).collect();
    let largest = measured.iter().max_by(|a, b| a.1.volume_m3.total_cmp(&b.1.volume_m3))?;
    let uncapped = largest.1;
    if uncapped.volume_m3 <= 0.0 {
        return None;
    }
    let mut found = FaceAdmissible {
        shown: largest.0,
        volume_m3: uncapped.volume_m3,
        volume_uncapped_m3: uncapped.volume_m3,
        length_uncapped_m: uncapped.length_m,
        limited_by: Vec::new(),
        equals: Vec::new(),
    };
    let excess = |m: &Measures| excess(m, limits);
    let (candidates, share) = if measured.iter().all(|(_, m)| excess(m) <= 0.0) {
        let all = measured.iter().map(|(apex, m)| (*apex, m.volume_m3)).collect();
        (all, 1.0 - EQUAL_SHARE)
    } else {
        let candidates = Lines::over(reach, body, &measured, &excess)?.search();
        (candidates, ADMISSIBLE_SHARE)
    };
    found.volume_m3 = candidates.iter().map(|c| c.1).fold(0.0, f64::max);
    if found.volume_m3 <= 0.0 {
        return None;
    }
    let enough = share * found.volume_m3;
    found.equals = candidates.into_iter().filter(|c| c.1 >= enough).map(|c| c.0).collect();
    found.equals.sort_by(|a, b| {
        let (a, b) = (seat(body, a), seat(body, b));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2))
    });
    found.shown = *found.equals.first()?;
    if share < 1.0 - EQUAL_SHARE {
        found.limited_by = limiting(&body.measure(&found.shown), limits);
    }
    Some(found)
}

/// By how much a wedge breaks its caps, as a share of the cap it breaks most; 0 or less where it
/// meets them all.
fn excess(m: &Measures, limits: &FaceLimits) -> f64 {
    let caps = &limits.caps;
    let pairs = [
        (m.trace_m[0], caps.trace_m[0]),
        (m.trace_m[1], caps.trace_m[1]),
        (m.trace_m[2], caps.trace_m[2]),
        (m.depth_m, caps.depth_m),
        (m.length_m, caps.length_m),
        (m.volume_m3, caps.volume_m3),
        (m.behind_face_m, limits.behind_face_m),
    ];
    pairs
        .iter()
        .filter_map(|(value, cap)| cap.map(|c| value / (c * (1.0 - CAP_MARGIN)) - 1.0))
        .fold(f64::NEG_INFINITY, f64::max)
}

fn limiting(m: &Measures, limits: &FaceLimits) -> Vec<Cap> {
    let near = |value: f64, cap: Option<f64>| cap.is_some_and(|c| value >= c * (1.0 - LIMITING_SHARE));
    let caps = &limits.caps;
    let mut by = Vec::new();
    if (0..3).any(|i| near(m.trace_m[i], caps.trace_m[i])) {
        by.push(Cap::Trace);
    }
    if near(m.depth_m, caps.depth_m) {
        by.push(Cap::Depth);
    }
    if near(m.length_m, caps.length_m) || near(m.behind_face_m, limits.behind_face_m) {
        by.push(Cap::Length);
    }
    if near(m.volume_m3, caps.volume_m3) {
        by.push(Cap::Volume);
    }
    by
}

/// What decides which of equally large wedges is shown: how far over the surface its foot is from
/// the crown (along the perimeter, or straight across the face), the foot's u, and its s.
fn seat(body: &FaceBody, apex: &Vec3) -> (f64, f64, f64) {
    let section = body.section();
    let (_, foot) = body.depth_m(apex);
    let place = crate::opening::Vec2::new(foot.x, foot.z);
    let crown = section.at(section.crown_m(), 0.0).point;
    let mut nearest = (f64::INFINITY, 0.0);
    for (i, facet) in section.facets().iter().enumerate() {
        let along = (place - facet.start).dot(&facet.tangent).clamp(0.0, facet.length_m);
        let off = (facet.start + facet.tangent * along - place).norm();
        if off < nearest.0 {
            nearest = (off, section.round_m()[i] + along);
        }
    }
    // A foot on the perimeter is off it by rounding alone.
    let on_perimeter = nearest.0 <= 1e-9 * section.size_m();
    let from_crown_m =
        if on_perimeter { section.arc_from_crown_m(nearest.1).abs() } else { (place - crown).norm() };
    // Whole micrometres, so that rounding does not choose between mirror images.
    ((from_crown_m * 1e6).round(), (foot.x * 1e6).round(), -foot.y)
}

/// Lines through the middle of a pyramid, each known by where it passes the plane square to them.
struct Lines<'s, 'a> {
    reach: &'s Reach,
    body: &'s mut FaceBody<'a>,
    excess: &'s dyn Fn(&Measures) -> f64,
    /// Down the pyramid; then across it, so that the axis lies along the first.
    down: Vec3,
    across: [Vec3; 2],
    from: [f64; 2],
    to: [f64; 2],
    candidates: Vec<(Vec3, f64)>,
    best_m3: f64,
}

impl<'s, 'a> Lines<'s, 'a> {
    fn over(
        reach: &'s Reach,
        body: &'s mut FaceBody<'a>,
        corners: &[(Vec3, Measures)],
        excess: &'s dyn Fn(&Measures) -> f64,
    ) -> Option<Self> {
        let down = body.cone().edges.iter().sum::<Vec3>().try_normalize(f64::MIN_POSITIVE)?;
        let axis = Vec3::y();
        let first = (axis - down * down.y).try_normalize(1e-9).or_else(|| {
            let up = Vec3::z();
            (up - down * down.z).try_normalize(1e-9)
        })?;
        let across = [first, down.cross(&first)];
        let mut lines = Self {
            reach,
            body,
            excess,
            down,
            across,
            from: [f64::INFINITY; 2],
            to: [f64::NEG_INFINITY; 2],
            candidates: Vec::new(),
            best_m3: 0.0,
        };
        // Further behind the face than this no wedge touches it.
        let back = corners.iter().map(|(_, m)| m.length_m).fold(0.0, f64::max);
        for (corner, _) in corners {
            for apex in [*corner, corner - axis * (back + corner.y.max(0.0))] {
                for (k, direction) in across.iter().enumerate() {
                    let at = direction.dot(&apex);
                    lines.from[k] = lines.from[k].min(at);
                    lines.to[k] = lines.to[k].max(at);
                }
            }
        }
        Some(lines)
    }

    fn search(mut self) -> Vec<(Vec3, f64)> {
        let step: [f64; 2] = std::array::from_fn(|k| (self.to[k] - self.from[k]) / LINES as f64);
        let at = |from: f64, step: f64, i: usize| from + step * (i as f64 + 0.5);
        let mut grid = vec![0.0; LINES * LINES];
        // Never cut short by what other lines have: the neighbours of a line are compared with it.
        for i in 0..LINES {
            for j in 0..LINES {
                let place = [at(self.from[0], step[0], i), at(self.from[1], step[1], j)];
                grid[i * LINES + j] = self.first_admissible(place, 0.0, HALVINGS[0]);
            }
        }
        let mut peaks: Vec<usize> = (0..LINES * LINES)
            .filter(|&n| grid[n] > 0.0 && neighbours(n).all(|other| grid[other] <= grid[n]))
            .collect();
        peaks.sort_by(|&a, &b| grid[b].total_cmp(&grid[a]).then(a.cmp(&b)));
        peaks.truncate(REFINED);
        for n in peaks {
            let mut centre = [at(self.from[0], step[0], n / LINES), at(self.from[1], step[1], n % LINES)];
            let mut width = step.map(|s| 0.5 * s);
            let mut here = self.first_admissible(centre, 0.0, HALVINGS[1]);
            for _ in 0..ROUNDS {
                let about = centre;
                for i in -2i32..=2 {
                    for j in -2i32..=2 {
                        if (i, j) == (0, 0) {
                            continue;
                        }
                        let place =
                            [about[0] + width[0] * f64::from(i), about[1] + width[1] * f64::from(j)];
                        let volume = self.first_admissible(place, here, HALVINGS[1]);
                        if volume > here {
                            (here, centre) = (volume, place);
                        }
                    }
                }
                width = width.map(|w| w * SHRINK);
            }
        }
        self.candidates
    }

    /// The volume of the first admissible apex down a line; 0 where it has none, or none above
    /// `least_m3`.
    fn first_admissible(&mut self, place: [f64; 2], least_m3: f64, halvings: usize) -> f64 {
        let base = self.across[0] * place[0] + self.across[1] * place[1];
        let Some((top, bottom)) = self.reach.line(&base, &self.down) else { return 0.0 };
        let Some(bottom) = self.entry(&base, top, bottom) else { return 0.0 };
        let apex = |tau: f64| base + self.down * tau;
        let mut above = top;
        for k in 0..STEPS {
            let tau = top + (bottom - top) * k as f64 / STEPS as f64;
            let measures = self.body.measure(&apex(tau));
            if measures.volume_m3 <= least_m3 {
                return 0.0;
            }
            if (self.excess)(&measures) > 0.0 {
                above = tau;
                continue;
            }
            let (mut out, mut inside, mut volume) = (above, tau, measures.volume_m3);
            if k > 0 {
                for _ in 0..halvings {
                    let middle = 0.5 * (out + inside);
                    let measures = self.body.measure(&apex(middle));
                    if (self.excess)(&measures) > 0.0 {
                        out = middle;
                    } else {
                        (inside, volume) = (middle, measures.volume_m3);
                    }
                }
            }
            if volume >= ADMISSIBLE_SHARE * self.best_m3 {
                self.best_m3 = self.best_m3.max(volume);
                self.candidates.push((base + self.down * inside, volume));
            }
            return volume;
        }
        0.0
    }

    /// Where a line enters the opening: below it there is no wedge.
    fn entry(&self, base: &Vec3, top: f64, bottom: f64) -> Option<f64> {
        let (mut enter, mut leave) = (top, bottom);
        let mut cut = |height: f64, rate: f64| {
            if rate < 0.0 {
                enter = enter.max(height / -rate);
            } else if height > 0.0 && rate == 0.0 {
                leave = f64::NEG_INFINITY;
            }
        };
        cut(base.y, self.down.y);
        for facet in self.body.section().facets() {
            let n = Vec3::new(facet.normal.x, 0.0, facet.normal.y);
            let start = Vec3::new(facet.start.x, 0.0, facet.start.y);
            cut(n.dot(&(base - start)), n.dot(&self.down));
        }
        (leave > enter && enter > top).then_some(enter)
    }
}

/// The lines beside line `n` of the first grid.
fn neighbours(n: usize) -> impl Iterator<Item = usize> {
    let (i, j) = ((n / LINES) as i32, (n % LINES) as i32);
    let beside = (-1..=1).flat_map(move |a| (-1..=1).map(move |b| (i + a, j + b)));
    let inside = 0..LINES as i32;
    beside
        .filter(move |&(a, b)| (a, b) != (i, j) && inside.contains(&a) && inside.contains(&b))
        .map(|(a, b)| a as usize * LINES + b as usize)
}
