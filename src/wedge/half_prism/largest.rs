use super::vertex::{Plane, farthest};
use super::{FaceBody, Measures, Reach};
use crate::numeric::golden_greatest;
use crate::orientation::Vec3;
use crate::wedge::{ADMISSIBLE_SHARE, CAP_MARGIN, Cap, LIMITING_SHARE, Limits};

/// Two uncapped corners within this share of the largest volume are equally large.
const EQUAL_SHARE: f64 = 1e-9;

/// Lines through the pyramid that the capped search starts from, each way across it.
const LINES: usize = 32;

/// The best lines of the first round that are refined.
const REFINED: usize = 20;

/// Lines whose volumes differ by less than this share stand on one facet: there a wedge is as large
/// wherever it is moved, and one of them speaks for all.
const ALIKE_SHARE: f64 = 5e-4;

/// Directions that a round of refinement tries first. Each round turns them by the golden angle.
const DIRECTIONS: usize = 10;

/// The golden angle, radians.
const GOLDEN_ANGLE: f64 = 2.399_963_229_728_653;

/// Golden-section steps that find the best direction between two of them: the best lines often lie
/// on a crest where two caps bind, and only along the crest does the volume rise.
const TURNS: usize = 9;

/// How steps change after a round with and without success.
const LONGER: f64 = 1.6;
const SHORTER: f64 = 0.4;

/// Refinement ends when its steps are this share of the first ones, or after so many rounds.
const LEAST_SHARE: f64 = 2e-4;
const MOST_ROUNDS: usize = 60;

/// Starts that are refined to the end, the best ones after their first rounds.
const FINISHED: usize = 8;
const FIRST_ROUNDS: usize = 5;

/// Rounds of steps to corners of the caps, from each start.
const CORNER_ROUNDS: usize = 40;

/// Slopes of measures are taken over this share of the section's size.
const SLOPE_SHARE: f64 = 1e-6;

/// Steps of false position that find where a line becomes admissible, in the first round and in the
/// others.
const CLOSING: [usize; 2] = [6, 30];

/// Where a line has become admissible to this share of its depth, it is.
const CLOSE: f64 = 1e-6;

/// A step up a line goes to where a measure in proportion to the depth would stand this many times
/// above its cap: most measures shrink faster, and a step too far would miss the cap.
const CAUTION: f64 = 1.2;

/// A step up a line never leaves more than this share of the depth: traces need not shrink evenly.
const LEAST_STEP: f64 = 0.75;

/// Steps after which a line has no wedge that counts: 0.75¹⁰⁰ of its depth is left.
const MOST_STEPS: usize = 100;

/// A line down a pyramid that leaves the drive's axis by less than this, per metre, runs along it.
const LEAST_ASIDE: f64 = 1e-9;

/// A foot within this share of the section's size of the perimeter is on it: rounding alone puts it
/// off.
const ON_PERIMETER_SHARE: f64 = 1e-9;

/// A facet that rises by less than this share of the section's size before a line is not entered.
const FLUSH: f64 = 1e-12;

/// Caps on a wedge at the face.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FaceLimits {
    /// The same as in the drive; lengths are along the drive, apex included.
    pub caps: Limits,
    /// How far it may reach back from the face, metres; `None` means no cap.
    pub behind_face_m: Option<f64>,
}

impl FaceLimits {
    /// What the wedge with an apex measures, its depth only where that is capped: 0 stands there else.
    #[must_use]
    pub fn measure(&self, body: &mut FaceBody, apex: &Vec3) -> Measures {
        match self.caps.depth_m {
            Some(_) => body.measure(apex),
            None => body.measure_but_depth(apex),
        }
    }

    /// Whether a wedge that measures so meets every cap.
    #[must_use]
    pub fn admits(&self, measures: &Measures) -> bool {
        excess(measures, self) <= 0.0
    }
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
    let over = |m: &Measures| excess(m, limits);
    let (candidates, share) = if over(&uncapped) <= 0.0 {
        let free = measured.iter().filter(|(_, m)| over(m) <= 0.0);
        (free.map(|(apex, m)| (*apex, m.volume_m3)).collect(), 1.0 - EQUAL_SHARE)
    } else {
        let back_m = farthest_back_m(&measured, limits);
        let candidates = Lines::over(reach, body, back_m, limits)?.search();
        (candidates, ADMISSIBLE_SHARE)
    };
    found.volume_m3 = candidates.iter().map(|c| c.1).fold(0.0, f64::max);
    if found.volume_m3 <= 0.0 {
        return None;
    }
    let enough = share * found.volume_m3;
    let equals = candidates.into_iter().filter(|c| c.1 >= enough);
    let mut equals: Vec<((f64, f64, f64), Vec3)> =
        equals.map(|(apex, _)| (seat(body, &apex), apex)).collect();
    equals.sort_by(|(a, _), (b, _)| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2)));
    found.equals = equals.into_iter().map(|(_, apex)| apex).collect();
    found.shown = *found.equals.first()?;
    if share < 1.0 - EQUAL_SHARE {
        found.limited_by = limiting(&body.measure(&found.shown), limits);
    }
    Some(found)
}

/// How far behind the face a wedge that touches it can reach, metres: its length, its face, which
/// has its traces for a border, and all that the caps say of them.
fn farthest_back_m(corners: &[(Vec3, Measures)], limits: &FaceLimits) -> f64 {
    let uncapped = corners.iter().map(|(_, m)| m.length_m).fold(0.0, f64::max);
    let caps = &limits.caps;
    let border = caps.trace_m.iter().try_fold(0.0, |sum, trace| trace.map(|t| sum + t));
    [caps.length_m, limits.behind_face_m, border.map(|b| 0.5 * b)]
        .into_iter()
        .flatten()
        .fold(uncapped, f64::min)
}

/// By how much a wedge breaks its caps, as a share of the cap it breaks most; 0 or less where it
/// meets them all. A volume counts as the side of a cube: down a line all then fall much alike.
fn excess(m: &Measures, limits: &FaceLimits) -> f64 {
    excesses(m, limits).into_iter().fold(f64::NEG_INFINITY, f64::max)
}

/// The same cap by cap; far below 0 where there is none.
fn excesses(m: &Measures, limits: &FaceLimits) -> [f64; CAPS] {
    let caps = &limits.caps;
    let pairs = [
        (m.trace_m[0], caps.trace_m[0]),
        (m.trace_m[1], caps.trace_m[1]),
        (m.trace_m[2], caps.trace_m[2]),
        (m.depth_m, caps.depth_m),
        (m.length_m, caps.length_m),
        (m.volume_m3.cbrt(), caps.volume_m3.map(f64::cbrt)),
        (m.behind_face_m, limits.behind_face_m),
    ];
    pairs.map(|(value, cap)| cap.map_or(f64::NEG_INFINITY, |c| value / (c * (1.0 - CAP_MARGIN)) - 1.0))
}

/// Measures that may be capped.
const CAPS: usize = 7;

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
    let on_perimeter = nearest.0 <= ON_PERIMETER_SHARE * section.size_m();
    let from_crown_m =
        if on_perimeter { section.arc_from_crown_m(nearest.1).abs() } else { (place - crown).norm() };
    // Whole micrometres, so that rounding does not choose between mirror images.
    ((from_crown_m * 1e6).round(), (foot.x * 1e6).round(), -foot.y)
}

/// Where the search has climbed to.
#[derive(Debug, Clone, Copy)]
struct Start {
    /// The line.
    place: [f64; 2],
    /// Its best volume.
    volume_m3: f64,
    /// The next circle's radius, metres.
    step_m: f64,
}

/// Lines through the middle of a pyramid, each known by where it passes the plane square to them.
struct Lines<'s, 'a> {
    reach: &'s Reach,
    body: &'s mut FaceBody<'a>,
    limits: &'s FaceLimits,
    /// Down the pyramid; then across it, so that the axis lies along the first.
    down: Vec3,
    across: [Vec3; 2],
    from: [f64; 2],
    to: [f64; 2],
    candidates: Vec<(Vec3, f64)>,
    best_m3: f64,
    /// The apex that the last line with one came to.
    last: Vec3,
}

impl<'s, 'a> Lines<'s, 'a> {
    fn over(
        reach: &'s Reach,
        body: &'s mut FaceBody<'a>,
        back_m: f64,
        limits: &'s FaceLimits,
    ) -> Option<Self> {
        let down = body.cone().edges.iter().sum::<Vec3>().try_normalize(f64::MIN_POSITIVE)?;
        let first = (Vec3::y() - down * down.y).try_normalize(LEAST_ASIDE);
        let first = first.or_else(|| (Vec3::z() - down * down.z).try_normalize(LEAST_ASIDE))?;
        let across = [first, down.cross(&first)];
        let mut lines = Self {
            reach,
            body,
            limits,
            down,
            across,
            from: [f64::INFINITY; 2],
            to: [f64::NEG_INFINITY; 2],
            candidates: Vec::new(),
            best_m3: 0.0,
            last: Vec3::zeros(),
        };
        // A line that counts enters the opening where its wedge has its face.
        for vertex in lines.body.section().vertices() {
            for s in [0.0, -back_m] {
                for (k, direction) in across.iter().enumerate() {
                    let at = direction.dot(&Vec3::new(vertex.x, s, vertex.y));
                    lines.from[k] = lines.from[k].min(at);
                    lines.to[k] = lines.to[k].max(at);
                }
            }
        }
        Some(lines)
    }

    fn search(mut self) -> Vec<(Vec3, f64)> {
        let step: [f64; 2] = std::array::from_fn(|k| (self.to[k] - self.from[k]) / LINES as f64);
        let place = |lines: &Self, n: usize| {
            let at = |k: usize, i: usize| lines.from[k] + step[k] * (i as f64 + 0.5);
            [at(0, n / LINES), at(1, n % LINES)]
        };
        let grid: Vec<f64> = (0..LINES * LINES)
            .map(|n| {
                let place = place(&self, n);
                self.first_admissible(place, 0.0, CLOSING[0])
            })
            .collect();
        let mut order: Vec<usize> = (0..LINES * LINES)
            .filter(|&n| grid[n] > 0.0 && beside(n).all(|other| grid[other] <= grid[n]))
            .collect();
        order.sort_by(|&a, &b| grid[b].total_cmp(&grid[a]).then(a.cmp(&b)));
        let mut peaks: Vec<usize> = Vec::new();
        for n in order {
            let alike = |&p: &usize| grid[p] - grid[n] <= ALIKE_SHARE * grid[p];
            if peaks.len() < REFINED && !peaks.iter().any(alike) {
                peaks.push(n);
            }
        }
        let first = step[0].max(step[1]);
        let mut starts: Vec<Start> = peaks
            .into_iter()
            .map(|n| {
                let place = place(&self, n);
                let volume_m3 = self.first_admissible(place, 0.0, CLOSING[1]);
                let mut start = Start { place, volume_m3, step_m: first };
                self.refine(&mut start, FIRST_ROUNDS, LEAST_SHARE * first);
                self.climb_to_corners(&mut start, first);
                start
            })
            .collect();
        starts.sort_by(|a, b| b.volume_m3.total_cmp(&a.volume_m3));
        for start in starts.iter_mut().take(FINISHED) {
            self.refine(start, MOST_ROUNDS, LEAST_SHARE * first);
            self.climb_to_corners(start, first);
        }
        self.candidates
    }

    /// Climbs from a line to better ones: to the best one on a circle about it while that is better,
    /// on smaller circles when it is not.
    fn refine(&mut self, start: &mut Start, rounds: usize, least_step_m: f64) {
        for round in 0..rounds {
            if start.step_m < least_step_m {
                return;
            }
            let (about, step_m) = (start.place, start.step_m);
            let on = |turn: f64| [about[0] + step_m * turn.cos(), about[1] + step_m * turn.sin()];
            let width = std::f64::consts::TAU / DIRECTIONS as f64;
            let mut best = (f64::NEG_INFINITY, 0.0);
            for k in 0..DIRECTIONS {
                let turn = width * k as f64 + GOLDEN_ANGLE * round as f64;
                let volume_m3 = self.first_admissible(on(turn), self.nothing_above(best.0), CLOSING[1]);
                if volume_m3 > best.0 {
                    best = (volume_m3, turn);
                }
            }
            golden_greatest((best.1 - width, best.1 + width), TURNS, |turn| {
                let volume_m3 = self.first_admissible(on(turn), 0.0, CLOSING[1]);
                if volume_m3 > best.0 {
                    best = (volume_m3, turn);
                }
                volume_m3
            });
            if best.0 > start.volume_m3 {
                *start = Start { place: on(best.1), volume_m3: best.0, step_m: LONGER * step_m };
            } else {
                start.step_m *= SHORTER;
            }
        }
    }

    /// Climbs to the corner where caps, and what bounds apexes, hold the wedge: to where the volume would be greatest
    /// within a step if all measures went on as they do here, and from there down its line to where the caps are
    /// met. Circles lose a crest that turns; this goes round its corners.
    fn climb_to_corners(&mut self, start: &mut Start, first_m: f64) {
        if self.first_admissible(start.place, 0.0, CLOSING[1]) <= 0.0 {
            return;
        }
        let mut apex = self.last;
        let mut step_m = first_m;
        for _ in 0..CORNER_ROUNDS {
            if step_m < LEAST_SHARE * first_m {
                return;
            }
            let there = apex + self.way_up(&apex, step_m);
            let place = [self.across[0].dot(&there), self.across[1].dot(&there)];
            let volume_m3 = self.first_admissible(place, self.nothing_above(start.volume_m3), CLOSING[1]);
            if volume_m3 > start.volume_m3 {
                *start = Start { place, volume_m3, step_m: start.step_m };
                apex = self.last;
                step_m *= LONGER;
            } else {
                step_m *= SHORTER;
            }
        }
    }

    /// The step from an apex, at most `step_m` in each direction, to where the volume would be greatest under the
    /// caps if every measure went on as it does here.
    fn way_up(&mut self, apex: &Vec3, step_m: f64) -> Vec3 {
        let h = SLOPE_SHARE * self.body.section().size_m();
        let here = excesses(&self.limits.measure(self.body, apex), self.limits);
        let mut rise = Vec3::zeros();
        let mut slopes = [Vec3::zeros(); CAPS];
        for k in 0..3 {
            let mut off = Vec3::zeros();
            off[k] = h;
            let (to, from) = (
                self.limits.measure(self.body, &(apex + off)),
                self.limits.measure(self.body, &(apex - off)),
            );
            rise[k] = (to.volume_m3 - from.volume_m3) / (2.0 * h);
            let (over_to, over_from) = (excesses(&to, self.limits), excesses(&from, self.limits));
            for (slope, (a, b)) in slopes.iter_mut().zip(over_to.into_iter().zip(over_from)) {
                slope[k] = (a - b) / (2.0 * h);
            }
        }
        let caps = slopes.iter().zip(here).filter(|(_, over)| over.is_finite());
        let caps = caps.map(|(slope, over)| Plane { normal: *slope, most: -over });
        let bounds = self.reach.half_spaces().iter();
        let bounds = bounds.map(|b| Plane { normal: b.normal, most: b.bound - b.normal.dot(apex) });
        farthest(&rise, step_m, caps.chain(bounds))
    }

    /// What a line has to have more than to count where it only counts above this volume: it may still be one of the
    /// equally admissible ones.
    fn nothing_above(&self, volume_m3: f64) -> f64 {
        volume_m3.min(ADMISSIBLE_SHARE * self.best_m3).max(0.0)
    }

    /// The volume of the first admissible apex down a line; 0 where it has none, or none above
    /// `least_m3`.
    fn first_admissible(&mut self, place: [f64; 2], least_m3: f64, closing: usize) -> f64 {
        let base = self.across[0] * place[0] + self.across[1] * place[1];
        let Some((top, bottom)) = self.reach.line(&base, &self.down) else { return 0.0 };
        let Some(bottom) = self.entry(&base, top, bottom) else { return 0.0 };
        let down = self.down;
        let apex = |share: f64| base + down * (bottom - (bottom - top) * share);
        // Shares of the depth from the entry up: the last one that breaks a cap, with its excess.
        let mut above: Option<(f64, f64)> = None;
        let mut share = 1.0;
        for _ in 0..MOST_STEPS {
            let measures = self.limits.measure(self.body, &apex(share));
            let over = excess(&measures, self.limits);
            // All further down is less; what meets its caps lies between this step and the one before.
            if measures.volume_m3 <= if over > 0.0 { least_m3 } else { 0.0 } {
                return 0.0;
            }
            if over <= 0.0 {
                let mut inside = (share, over);
                let mut volume_m3 = measures.volume_m3;
                if let Some(mut outside) = above {
                    // An end that stays counts half each time, so that both close in (the Illinois rule): where one
                    // cap hands over to another the plain false position stays a per cent away, and what differs
                    // from line to line by that has peaks of its own.
                    let mut stayed = 0;
                    for _ in 0..closing {
                        if (outside.0 - inside.0) <= CLOSE * outside.0 || inside.1 >= 0.0 {
                            break;
                        }
                        let rate = (outside.1 - inside.1) / (outside.0 - inside.0);
                        let aim = inside.0 - inside.1 / rate;
                        let measures = self.limits.measure(self.body, &apex(aim));
                        let over = excess(&measures, self.limits);
                        if over > 0.0 {
                            outside = (aim, over);
                            inside.1 *= if stayed < 0 { 0.5 } else { 1.0 };
                            stayed = -1;
                        } else {
                            inside = (aim, over);
                            outside.1 *= if stayed > 0 { 0.5 } else { 1.0 };
                            stayed = 1;
                            volume_m3 = measures.volume_m3;
                        }
                    }
                }
                self.last = apex(inside.0);
                if volume_m3 >= ADMISSIBLE_SHARE * self.best_m3 {
                    self.best_m3 = self.best_m3.max(volume_m3);
                    self.candidates.push((apex(inside.0), volume_m3));
                }
                return volume_m3;
            }
            above = Some((share, over));
            share *= (CAUTION / (1.0 + over)).min(LEAST_STEP);
        }
        0.0
    }

    /// Where a line enters the opening: below it there is no wedge.
    fn entry(&self, base: &Vec3, top: f64, bottom: f64) -> Option<f64> {
        let (mut enter, mut leave) = (top, bottom);
        let flush = FLUSH * self.body.section().size_m();
        let mut cut = |height: f64, rate: f64| {
            if rate < -FLUSH {
                enter = enter.max(height / -rate);
            } else if rate > FLUSH {
                leave = leave.min(-height / rate);
            } else if height > flush {
                leave = f64::NEG_INFINITY;
            }
        };
        cut(base.y, self.down.y);
        for facet in self.body.section().facets() {
            let n = Vec3::new(facet.normal.x, 0.0, facet.normal.y);
            let start = Vec3::new(facet.start.x, 0.0, facet.start.y);
            cut(n.dot(&(base - start)), n.dot(&self.down));
        }
        (leave >= enter && enter > top).then_some(enter)
    }
}

/// The lines beside line `n` of the first grid.
fn beside(n: usize) -> impl Iterator<Item = usize> {
    let (i, j) = ((n / LINES) as i32, (n % LINES) as i32);
    let around = (-1..=1).flat_map(move |a| (-1..=1).map(move |b| (i + a, j + b)));
    let inside = 0..LINES as i32;
    around
        .filter(move |&(a, b)| (a, b) != (i, j) && inside.contains(&a) && inside.contains(&b))
        .map(|(a, b)| a as usize * LINES + b as usize)
}
