//! The least along the drive where bolts may pull a joint open.

use super::least::{Along, STAND_OFF_M};
use crate::stability::{Mode, Reaction, Stability};

/// Points inside a stretch that stand in for it when several groups slide freely and two joints
/// may be at the edge of contact at once; with one, the place where it is just lost is found exactly.
const INNER_POINTS: usize = 7;

/// Most combinations of points of all groups that are tried: 0.1 s at the outside.
const MOST_COMBINATIONS: f64 = 1e6;

/// How far beyond the edge of contact a joint counts as lost, as a share of its compression.
const JUST_LOST: f64 = 1e-12;

/// A stretch of positions between two events of one group. Between them every bolt crosses the
/// same joint and is bounded by the same end, so what the group does changes evenly.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch {
    pub from_m: f64,
    pub to_m: f64,
    /// What the group does at either end, as limits from inside.
    pub first: Reaction,
    pub last: Reaction,
}

#[derive(Debug, Clone, Copy)]
struct Point {
    phase_m: f64,
    reaction: Reaction,
}

impl Stretch {
    /// A place of it, a hair inside where it is an end.
    pub fn inside(&self, phase_m: f64) -> f64 {
        let stand_off = STAND_OFF_M.min(0.25 * (self.to_m - self.from_m));
        phase_m.clamp(self.from_m + stand_off, self.to_m - stand_off)
    }

    fn at(&self, share: f64) -> Point {
        let mut reaction = self.first.times(1.0 - share);
        reaction += self.last.times(share);
        Point { phase_m: self.inside(self.from_m + share * (self.to_m - self.from_m)), reaction }
    }

    /// The least of each component.
    fn floor(&self, counts: &[bool; 3]) -> [f64; 4] {
        let (a, b) = (components(&self.first, counts), components(&self.last, counts));
        std::array::from_fn(|i| a[i].min(b[i]))
    }
}

/// What a reaction does that counts: what it presses on joints that the wedge does not slide on is nothing to it.
fn components(reaction: &Reaction, counts: &[bool; 3]) -> [f64; 4] {
    let pressed = |joint: usize| if counts[joint] { reaction.normal_kn[joint] } else { 0.0 };
    [reaction.against_kn, pressed(0), pressed(1), pressed(2)]
}

fn at_most(a: &[f64; 4], b: &[f64; 4]) -> bool {
    a.iter().zip(b).all(|(a, b)| a <= b)
}

/// The least factor of safety over all phases of all groups, each given by its stretches.
///
/// While the same joints are lost the factor is linear in every group's phase; so it is least
/// with every group at the end of a stretch, or one of them where a joint is just lost. It never
/// falls when a bolt presses or resists more: points that another point of the group stays below
/// in every respect need not be tried.
pub(super) fn least_with_loss(groups: &[Vec<Stretch>], stability: &Stability) -> Along {
    let counts = stability.motion.normal_kn.map(|kn| kn > 0.0);
    let several = groups.len() > 1 && counts.iter().filter(|&&counts| counts).count() > 1;
    let kept: Vec<(Vec<Stretch>, Vec<Point>)> =
        groups.iter().map(|stretches| lowest(stretches, several, &counts)).collect();
    let most = MOST_COMBINATIONS.powf(1.0 / groups.len().max(1) as f64).floor().max(2.0) as usize;
    let points: Vec<Vec<Point>> = kept.iter().map(|(_, points)| thinned(points, most)).collect();
    let bare_kn = stability.resistance_kn(&Reaction::default());
    let held_kn = |sum: &Reaction| stability.resistance_kn(sum).max(bare_kn);
    let mut least_kn = f64::INFINITY;
    let mut phases_m = vec![0.0; groups.len()];
    each_combination(&points, None, |chosen, sum| {
        let kn = held_kn(sum);
        if kn < least_kn {
            least_kn = kn;
            phases_m.clear();
            phases_m.extend(chosen.iter().map(|p| p.phase_m));
        }
    });
    for (g, (stretches, _)) in kept.iter().enumerate() {
        each_combination(&points, Some(g), |chosen, others| {
            for stretch in stretches {
                for joint in 0..3 {
                    let Some((point, mut sum)) = just_lost(stretch, others, joint, stability) else {
                        continue;
                    };
                    let normal = stability.motion.normal_kn[joint];
                    sum.normal_kn[joint] = -normal * (1.0 + JUST_LOST);
                    let kn = held_kn(&sum);
                    if kn < least_kn {
                        least_kn = kn;
                        phases_m.clear();
                        phases_m.extend(chosen.iter().map(|p| p.phase_m));
                        phases_m[g] = point.phase_m;
                    }
                }
            }
        });
    }
    let moves = stability.motion.mode != Mode::NoMotion;
    let least_fs = if moves { least_kn / stability.motion.driving_kn } else { f64::INFINITY };
    Along { least_fs, phases_m }
}

/// Whether bolts pull a joint open in some phase of the groups, each given by its stretches: what they do is
/// linear along each, so the ends say it.
pub(super) fn loses_a_joint(groups: &[Vec<Stretch>], stability: &Stability) -> bool {
    stability.motion.normal_kn.iter().enumerate().any(|(joint, &normal)| {
        let least = |stretches: &Vec<Stretch>| {
            let ends = stretches.iter().flat_map(|s| [s.first.normal_kn[joint], s.last.normal_kn[joint]]);
            ends.reduce(f64::min).unwrap_or(0.0)
        };
        normal > 0.0 && normal + groups.iter().map(least).sum::<f64>() < 0.0
    })
}

/// The point of a stretch where a joint is just lost, a hair on the lost side, and what all groups
/// do at the edge itself.
fn just_lost(
    stretch: &Stretch,
    others: &Reaction,
    joint: usize,
    stability: &Stability,
) -> Option<(Point, Reaction)> {
    let normal = stability.motion.normal_kn[joint];
    if normal <= 0.0 {
        return None;
    }
    let contact = normal + others.normal_kn[joint];
    let (a, b) = (contact + stretch.first.normal_kn[joint], contact + stretch.last.normal_kn[joint]);
    if a * b >= 0.0 {
        return None;
    }
    let mut point = stretch.at(a / (a - b));
    let mut sum = *others;
    sum += point.reaction;
    let step = STAND_OFF_M.min(0.25 * (stretch.to_m - stretch.from_m));
    point.phase_m = stretch.inside(point.phase_m + if a < 0.0 { -step } else { step });
    Some((point, sum))
}

/// The points of a group that no other point stays below, and the stretches that may hold such.
fn lowest(stretches: &[Stretch], several: bool, counts: &[bool; 3]) -> (Vec<Stretch>, Vec<Point>) {
    let ends = stretches.iter().flat_map(|s| [s.at(0.0), s.at(1.0)]).collect();
    let mut points = not_undercut(ends, counts);
    let kept: Vec<Stretch> = stretches
        .iter()
        .filter(|s| {
            let floor = s.floor(counts);
            !points.iter().any(|p| {
                let low = components(&p.reaction, counts);
                at_most(&low, &floor) && low != floor
            })
        })
        .copied()
        .collect();
    if several {
        let inner = |k: usize| k as f64 / (INNER_POINTS + 1) as f64;
        points.extend(kept.iter().flat_map(|s| (1..=INNER_POINTS).map(move |k| s.at(inner(k)))));
        points = not_undercut(points, counts);
    }
    (kept, points)
}

fn not_undercut(points: Vec<Point>, counts: &[bool; 3]) -> Vec<Point> {
    let mut points: Vec<([f64; 4], Point)> =
        points.into_iter().map(|point| (components(&point.reaction, counts), point)).collect();
    let sum = |p: &([f64; 4], Point)| p.0.iter().sum::<f64>();
    points.sort_by(|a, b| sum(a).total_cmp(&sum(b)));
    let mut kept: Vec<([f64; 4], Point)> = Vec::new();
    for (here, point) in points {
        if !kept.iter().any(|k| at_most(&k.0, &here)) {
            kept.push((here, point));
        }
    }
    kept.into_iter().map(|(_, point)| point).collect()
}

/// At most `most` of the points, evenly spread over their order.
fn thinned(points: &[Point], most: usize) -> Vec<Point> {
    if points.len() <= most {
        return points.to_vec();
    }
    (0..most).map(|i| points[i * (points.len() - 1) / (most - 1)]).collect()
}

/// Calls `visit` with one point of each group and their sum; group `but`, where given, stands at
/// its first point and is not in the sum.
fn each_combination(points: &[Vec<Point>], but: Option<usize>, mut visit: impl FnMut(&[Point], &Reaction)) {
    let Some(mut chosen) = points.iter().map(|p| p.first().copied()).collect::<Option<Vec<Point>>>() else {
        return;
    };
    let mut index = vec![0usize; points.len()];
    loop {
        let mut sum = Reaction::default();
        for (g, point) in chosen.iter().enumerate() {
            if but != Some(g) {
                sum += point.reaction;
            }
        }
        visit(&chosen, &sum);
        let mut g = 0;
        loop {
            if g == points.len() {
                return;
            }
            if but != Some(g) {
                index[g] += 1;
                if index[g] < points[g].len() {
                    chosen[g] = points[g][index[g]];
                    break;
                }
                index[g] = 0;
                chosen[g] = points[g][0];
            }
            g += 1;
        }
    }
}
