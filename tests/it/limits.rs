//! Caps on the size of wedges, against a dense search by a separate, plain evaluator; and every
//! cap measured again from the corners of the wedge that is reported.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use crate::oracle;
use crate::oracle::{Effort, Input, dense_largest_in};
use crate::random_cases::{Rng, advance, bare, cap_to, caps, digits, figures, oracle_input, sets, shape};
use backhold::case::Case;
use backhold::orientation::Vec3;
use backhold::study::{CheckedWedge, forces_alone};
use backhold::wedge::{ADMISSIBLE_SHARE, Cap, Chain, Frontier, Limits, Sector};

/// The engine may miss this much of the largest admissible volume: its stated accuracy.
const VOLUME_MISS: f64 = 1e-3;
/// The wedge that is shown comes this near to a cap that limits it. It may be 0.1 % smaller than
/// the largest, which touches the cap: where a wedge reaches far round a curve a trace falls
/// faster than the volume.
const NEAR_CAP: f64 = 0.99;
/// A corner this near a plane, in metres, lies on it: rounding at tens of metres is 1e-14.
const ON_PLANE_M: f64 = 1e-9;
/// A foot may be this much further from the crown than one of the dense sample: feet that differ
/// by less than a micrometre count as equally far.
const FOOT_M: f64 = 2e-6;

/// What caps limit, measured from corners in east, north, up alone.
struct Measured {
    traces_m: [f64; 3],
    depth_m: f64,
    length_m: f64,
    volume_m3: f64,
}

/// Apex first; `normals` of the joints in the drive's frame, whatever their sense.
fn measure(input: &Input, corners: &[Vec3], normals: [[f64; 3]; 3]) -> Measured {
    let local: Vec<[f64; 3]> = corners.iter().map(|c| oracle::to_uvw(input, [c.x, c.y, c.z])).collect();
    let apex = local[0];
    let s = &input.section;
    // Chain order along the outline: facet, then distance along it.
    let along = |x: &[f64; 3]| {
        let mut sum = 0.0;
        for j in 0..s.len() {
            let (a, b) = oracle::section::facet(s, j);
            let l = (b[0] - a[0]).hypot(b[1] - a[1]);
            let t = ((x[0] - a[0]) * (b[0] - a[0]) + (x[1] - a[1]) * (b[1] - a[1])) / l;
            if oracle::section::height(s, j, [x[0], x[1]]).abs() < ON_PLANE_M && t > -1e-9 && t < l + 1e-9 {
                return sum + t;
            }
            sum += l;
        }
        panic!("a corner off the opening: {x:?}");
    };
    let round: f64 = (0..s.len())
        .map(|j| {
            let (a, b) = oracle::section::facet(s, j);
            (b[0] - a[0]).hypot(b[1] - a[1])
        })
        .sum();
    let mut placed: Vec<(f64, [f64; 3])> = local[1..].iter().map(|x| (along(x), *x)).collect();
    // The face covers less than the whole outline: start the count in the widest gap.
    placed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let gap = |k: usize| {
        let next = placed[(k + 1) % placed.len()].0;
        (next - placed[k].0).rem_euclid(round)
    };
    let widest = (0..placed.len()).max_by(|&a, &b| gap(a).total_cmp(&gap(b))).unwrap();
    let origin = placed[(widest + 1) % placed.len()].0;
    for p in &mut placed {
        p.0 = (p.0 - origin + 1e-7).rem_euclid(round);
    }
    placed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let traces_m = normals.map(|n| {
        let mut on: Vec<&(f64, [f64; 3])> =
            placed.iter().filter(|p| oracle::dot(n, oracle::sub(p.1, apex)).abs() < ON_PLANE_M).collect();
        // A plane along the drive draws its trace along the drive.
        on.sort_by(
            |a, b| if (a.0 - b.0).abs() < 1e-9 { a.1[2].total_cmp(&b.1[2]) } else { a.0.total_cmp(&b.0) },
        );
        on.windows(2).map(|w| oracle::length(oracle::sub(w[1].1, w[0].1))).sum()
    });
    let mut volume_m3 = 0.0;
    for j in 0..s.len() {
        let h = oracle::section::height(s, j, [apex[0], apex[1]]);
        let on: Vec<[f64; 2]> = local[1..]
            .iter()
            .filter(|x| oracle::section::height(s, j, [x[0], x[1]]).abs() < ON_PLANE_M)
            .map(|x| {
                let (a, _) = oracle::section::facet(s, j);
                let n = oracle::section::normal(s, j);
                [-(x[0] - a[0]) * n[1] + (x[1] - a[1]) * n[0], x[2]]
            })
            .collect();
        if h > 0.0 && on.len() > 2 {
            volume_m3 += convex_area(on) * h / 3.0;
        }
    }
    let (low, high) = local.iter().fold((f64::MAX, f64::MIN), |x, p| (x.0.min(p[2]), x.1.max(p[2])));
    Measured {
        traces_m,
        depth_m: oracle::section::distance(s, [apex[0], apex[1]]),
        length_m: high - low,
        volume_m3,
    }
}

/// Area of the convex polygon with these corners, in any order.
fn convex_area(mut corners: Vec<[f64; 2]>) -> f64 {
    let n = corners.len() as f64;
    let middle = corners.iter().fold([0.0, 0.0], |m, c| [m[0] + c[0] / n, m[1] + c[1] / n]);
    let angle = |c: &[f64; 2]| (c[1] - middle[1]).atan2(c[0] - middle[0]);
    corners.sort_by(|a, b| angle(a).total_cmp(&angle(b)));
    let k = corners.len();
    0.5 * (0..k)
        .map(|i| corners[i][0] * corners[(i + 1) % k][1] - corners[(i + 1) % k][0] * corners[i][1])
        .sum::<f64>()
}

/// The engine's own search for one wedge of a case: greatest admissible volume and bands.
fn admissible(case: &Case, wedge: &CheckedWedge, caps: &oracle::Caps) -> Option<f64> {
    let opening = case.opening().unwrap();
    let sector = Sector::of(&wedge.cone).unwrap();
    let chain = Chain::of(&opening.section, &sector).unwrap();
    let limits = Limits {
        trace_m: caps.traces_m,
        depth_m: caps.depth_m,
        length_m: caps.length_m,
        volume_m3: caps.volume_m3,
    };
    let frontier = Frontier::new(chain, &wedge.cone, &limits);
    let arc = |m: f64| opening.section.arc_from_crown_m(chain.offset_m() + m);
    frontier.largest(arc).map(|a| a.volume_m3)
}

fn arc_of_foot(case: &Case, apex_uv: [f64; 2], input: &Input) -> f64 {
    // Nearest point of the outline, then its arc from the crown by the section's own count.
    let s = &input.section;
    let mut best = (f64::MAX, [0.0, 0.0]);
    for j in 0..s.len() {
        let (a, b) = oracle::section::facet(s, j);
        let d = [b[0] - a[0], b[1] - a[1]];
        let t = ((apex_uv[0] - a[0]) * d[0] + (apex_uv[1] - a[1]) * d[1]) / (d[0] * d[0] + d[1] * d[1]);
        let t = t.clamp(0.0, 1.0);
        let foot = [a[0] + t * d[0], a[1] + t * d[1]];
        let off = (foot[0] - apex_uv[0]).hypot(foot[1] - apex_uv[1]);
        if off < best.0 {
            best = (off, foot);
        }
    }
    arc_from_crown(case, s, best.1)
}

/// Arc length from the crown to a point of the outline, the shorter way round, metres.
fn arc_from_crown(case: &Case, s: &[[f64; 2]], at: [f64; 2]) -> f64 {
    let (low, high) = s.iter().fold((f64::MAX, f64::MIN), |x, p| (x.0.min(p[0]), x.1.max(p[0])));
    let middle = 0.5 * (low + high);
    let walked = |x: [f64; 2]| {
        let mut sum = 0.0;
        let mut found = (f64::MAX, 0.0);
        for j in 0..s.len() {
            let (a, b) = oracle::section::facet(s, j);
            let l = (b[0] - a[0]).hypot(b[1] - a[1]);
            let t = (((x[0] - a[0]) * (b[0] - a[0]) + (x[1] - a[1]) * (b[1] - a[1])) / l).clamp(0.0, l);
            let foot = [a[0] + (b[0] - a[0]) * t / l, a[1] + (b[1] - a[1]) * t / l];
            let off = (foot[0] - x[0]).hypot(foot[1] - x[1]);
            if off < found.0 {
                found = (off, sum + t);
            }
            sum += l;
        }
        (found.1, sum)
    };
    // The top at mid-width: the highest crossing of the outline with u = middle.
    let mut top = f64::MIN;
    for j in 0..s.len() {
        let (a, b) = oracle::section::facet(s, j);
        if (a[0] - middle) * (b[0] - middle) <= 0.0 && a[0] != b[0] {
            top = top.max(a[1] + (b[1] - a[1]) * (middle - a[0]) / (b[0] - a[0]));
        }
    }
    assert!(top > f64::MIN, "{}", case.title);
    let ((crown, round), (there, _)) = (walked([middle, top]), walked(at));
    let off = (crown - there).rem_euclid(round);
    off.min(round - off)
}

fn without(caps: &oracle::Caps, named: &[Cap]) -> oracle::Caps {
    let mut left = caps.clone();
    for cap in named {
        match cap {
            Cap::Trace => left.traces_m = [None; 3],
            Cap::Depth => left.depth_m = None,
            Cap::Length => left.length_m = None,
            Cap::Volume => left.volume_m3 = None,
        }
    }
    left
}

#[test]
fn capped_wedges_are_the_largest_and_meet_every_cap() {
    let mut rng = Rng::new(0x11_7e5);
    let (mut cases, mut wedges, mut bound) = (0, 0, 0);
    let (mut missed, mut beaten, mut over) = (Vec::new(), Vec::new(), Vec::new());
    let mut volumes = Vec::new();
    let mut faults = Vec::new();
    while cases < 200 {
        let count = if rng.chance(0.2) { 4 } else { 3 };
        let mut case = bare(shape(&mut rng), advance(&mut rng), sets(&mut rng, count, true));
        let free = forces_alone(&case).unwrap();
        if free.wedges.is_empty() {
            continue;
        }
        let model = &free.wedges[rng.below(free.wedges.len())];
        cap_to(&mut rng, &mut case, model);
        cases += 1;
        let capped = forces_alone(&case).unwrap();
        let input = oracle_input(&case);
        // The wedge that the caps were made for, and one other.
        let other = &free.wedges[rng.below(free.wedges.len())];
        let mut of_interest = vec![model];
        if other.id != model.id {
            of_interest.push(other);
        }
        for whole in of_interest {
            let what = format!("case {cases} {} {:?}", whole.id, case.shape);
            let (triple, pyramid) = (whole.sets, digits(whole.pyramid));
            let caps = caps(&case, triple);
            let arcs = input.section.len() > 20;
            let effort =
                Effort { n: if arcs { 36 } else { 60 }, rounds: 3, followed: if arcs { 3 } else { 6 } };
            let dense = dense_largest_in(&input, triple, pyramid, &caps, effort);
            let Some(wedge) = capped.wedges.iter().find(|w| w.id == whole.id) else {
                // Left out below a litre: the dense search must agree.
                let volume = dense.map_or(0.0, |d| d.1);
                if volume > 1.001e-3 {
                    faults.push(format!("{what}: left out, the dense search has {volume} m³"));
                }
                continue;
            };
            wedges += 1;
            let Some((_, dense_m3)) = dense else { continue };
            let largest_m3 = admissible(&case, wedge, &caps).unwrap();
            missed.push((1.0 - largest_m3 / dense_m3).max(0.0));
            beaten.push((largest_m3 / dense_m3 - 1.0).max(0.0));
            if largest_m3 < dense_m3 * (1.0 - VOLUME_MISS) {
                faults.push(format!("{what} {caps:?}: {largest_m3} m³, the dense search has {dense_m3}"));
            }
            if wedge.shape.volume_m3 < ADMISSIBLE_SHARE * largest_m3 * (1.0 - 1e-9) {
                faults.push(format!("{what}: shown {} of {largest_m3} m³", wedge.shape.volume_m3));
            }
            if wedge.shape.volume_m3 > whole.shape.volume_m3 * (1.0 + 1e-9) {
                faults.push(format!("{what}: the caps enlarge it"));
            }

            // Measured again from the corners.
            let frame = case.opening().unwrap().frame;
            let corners: Vec<Vec3> = wedge.shape.vertices().iter().map(|c| frame.to_world(c)).collect();
            let normals = oracle::inward_normals(&input, triple, pyramid);
            let found = measure(&input, &corners, normals);
            volumes.push((found.volume_m3 / wedge.shape.volume_m3 - 1.0).abs());
            let mut used = [0.0f64; 4];
            let mut hold = |slot: usize, value: f64, cap: Option<f64>| {
                if let Some(cap) = cap {
                    over.push(value / cap - 1.0);
                    used[slot] = used[slot].max(value / cap);
                    if value > cap {
                        faults.push(format!("{what}: {value} above the cap {cap}"));
                    }
                }
            };
            for i in 0..3 {
                hold(0, found.traces_m[i], caps.traces_m[i]);
            }
            hold(1, found.depth_m, caps.depth_m);
            hold(2, found.length_m, caps.length_m);
            hold(3, found.volume_m3, caps.volume_m3);

            // What limits it.
            let smaller = wedge.shape.volume_m3 < whole.shape.volume_m3 * (1.0 - 1e-9);
            if smaller == wedge.limited_by.is_empty() {
                faults.push(format!("{what}: limited by {:?}, smaller: {smaller}", wedge.limited_by));
            }
            for cap in &wedge.limited_by {
                let slot = [Cap::Trace, Cap::Depth, Cap::Length, Cap::Volume];
                let slot = slot.iter().position(|c| c == cap).unwrap();
                if used[slot] < NEAR_CAP {
                    faults.push(format!("{what}: limited by {cap:?}, used {used:?}"));
                }
            }
            if smaller {
                bound += 1;
                let freed = admissible(&case, wedge, &without(&caps, &wedge.limited_by)).unwrap();
                if freed <= largest_m3 {
                    faults.push(format!("{what}: no larger without {:?}", wedge.limited_by));
                }
            }

            // The one shown has its foot nearest the crown.
            let shown =
                arc_of_foot(&case, [corners_uv(&wedge.shape)[0], corners_uv(&wedge.shape)[1]], &input);
            let frontier = oracle::Frontier::new(&input, triple, pyramid, caps.clone()).unwrap();
            if frontier.caps_bind() {
                for k in 0..40 {
                    let Some(seat) = frontier.widest(k as f64 / 40.0, 20) else { continue };
                    if seat.wedge.volume_m3 < ADMISSIBLE_SHARE * largest_m3 * (1.0 + 1e-9) {
                        continue;
                    }
                    let there = arc_of_foot(&case, seat.apex_uv, &input);
                    if there < shown - FOOT_M {
                        faults.push(format!("{what} {caps:?}: foot at {shown} m of arc, another at {there}"));
                        break;
                    }
                }
            }
        }
    }
    println!("cases {cases}, wedges {wedges}, limited {bound}");
    println!("{}", figures("volume missed of the dense search", &mut missed));
    println!("{}", figures("volume above the dense search", &mut beaten));
    println!("{}", figures("use of caps above 1 (negative: below)", &mut over));
    println!("{}", figures("volume from corners", &mut volumes));
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
    assert!(wedges >= 200 && bound >= 150, "{wedges} {bound}");
    assert!(*volumes.last().unwrap() < 1e-9);
}

fn corners_uv(shape: &backhold::wedge::Shape) -> [f64; 2] {
    [shape.apex.x, shape.apex.z]
}

/// Every further cap leaves the wedge as large or smaller, whatever the order of adding them.
#[test]
fn a_further_cap_never_enlarges_a_wedge() {
    let mut rng = Rng::new(0x11_7e6);
    let mut compared = 0;
    let mut growth = Vec::new();
    for _ in 0..200 {
        let mut case = bare(shape(&mut rng), advance(&mut rng), sets(&mut rng, 3, false));
        let free = forces_alone(&case).unwrap();
        let Some(model) = free.wedges.first() else { continue };
        cap_to(&mut rng, &mut case, model);
        let before = forces_alone(&case).unwrap();
        let tighter = |cap: &mut Option<f64>, value: f64| {
            *cap = Some(cap.map_or(value, |c: f64| c.min(value)));
        };
        let share = rng.between(0.3, 0.9);
        tighter(&mut case.limits.max_depth_m, model.shape.depth_m * share);
        tighter(&mut case.limits.max_length_m, model.shape.length_m * share);
        let after = forces_alone(&case).unwrap();
        for wedge in &after.wedges {
            let Some(old) = before.wedges.iter().find(|w| w.id == wedge.id) else {
                panic!("{} was left out under fewer caps", wedge.id)
            };
            growth.push(wedge.shape.volume_m3 / old.shape.volume_m3 - 1.0);
            compared += 1;
        }
    }
    println!("{}", figures("growth under a further cap", &mut growth));
    assert!(compared > 300, "{compared}");
    // Each of the two is shown to 0.1 % of its largest.
    assert!(*growth.last().unwrap() <= 1.0 / ADMISSIBLE_SHARE - 1.0 + VOLUME_MISS);
}
