//! Prisms of two sets: worked by hand, and their sections against a dense search with separate code.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use crate::random_cases::{Rng, advance, bare, bolt, pattern, set, sets as random_sets, shape};
use backhold::case::Case;
use backhold::opening::{Opening, SectionShape, Surface, Vec2};
use backhold::orientation::{Line, Vec3};
use backhold::stability::Mode;
use backhold::study::{ALONG_DRIVE_DEG, CheckedPrism, Verdict, forces_alone, prisms};
use backhold::support::{Aim, Anchorage, Bolt, BoltKind, Covered, Pattern};
use backhold::wedge::{Prism, PrismCaps};

fn run(case: &Case) -> Vec<CheckedPrism> {
    prisms(case, &forces_alone(case).unwrap())
}

/// A drive to the north with a flat back of 5 m, and a third set that has no part in it.
fn flat(a: (f64, f64, f64, f64), b: (f64, f64, f64, f64)) -> Case {
    let sets =
        vec![set("A", a.0, a.1, a.2, a.3), set("B", b.0, b.1, b.2, b.3), set("C", 3.0, 200.0, 60.0, 0.0)];
    let mut case = bare(
        SectionShape::Flat { width_m: 5.0, height_m: 4.0 },
        Line { trend_deg: 0.0, plunge_deg: 0.0 },
        sets,
    );
    case.round_length_m = 3.5;
    case
}

fn named<'p>(prisms: &'p [CheckedPrism], id: &str) -> &'p CheckedPrism {
    prisms.iter().find(|p| p.id == id).unwrap_or_else(|| panic!("no {id} in {prisms:?}"))
}

/// Two joints of 60° over a back of 5 m: an equilateral triangle. Bolts of 6 m square to the back, at
/// 0, ±1 and ±2 m: heads 5/2·tan 60 − |u|·tan 60, bond 100 kN/m, plate 100 kN, steel 400 kN.
#[test]
fn an_equilateral_roof_prism_by_hand() {
    let mut case = flat((60.0, 90.0, 30.0, 0.0), (60.0, 270.0, 30.0, 0.0));
    let tan = 60f64.to_radians().tan();
    let area_m2 = 0.5 * 5.0 * 2.5 * tan;
    let all = run(&case);
    let bare = named(&all, "A-B.11");
    assert_eq!(bare.stability.motion.mode, Mode::Falling);
    assert_eq!(bare.surfaces, [Surface::Back]);
    assert!((bare.area_m2 - area_m2).abs() < 1e-9);
    assert!((bare.weight_kn_per_m - 27.0 * area_m2).abs() < 1e-9);
    assert!((bare.depth_m - 2.5 * tan).abs() < 1e-9 && (bare.width_m - 5.0).abs() < 1e-9);
    assert!(bare.off_axis_deg < 1e-5);
    assert_eq!((bare.fs_bare, bare.fs_bolted, bare.verdict), (0.0, None, Verdict::Short));

    case.bolts = vec![Bolt {
        name: "invented".into(),
        kind: BoltKind::Resin,
        steel_kn: 400.0,
        anchorage: Anchorage::Bonded { bond_kn_per_m: 100.0 },
        fast_length_m: None,
        plate_kn: 100.0,
        source: None,
    }];
    case.patterns = vec![Pattern {
        bolt: 0,
        length_m: 6.0,
        outside_hole_m: 0.0,
        ring_spacing_m: 1.0,
        spacing_m: 1.0,
        covers: vec![Covered::Back],
        lowest_collar_m: None,
        stagger: false,
        aim: Aim::Normal,
        row_at_m: None,
        offset_m: None,
        tension_kn: None,
    }];
    let capacity = |u: f64| {
        let head = (2.5 - u) * tan;
        400f64.min(100.0 + 100.0 * head).min(100.0 * (6.0 - head))
    };
    let ring_kn = capacity(0.0) + 2.0 * capacity(1.0) + 2.0 * capacity(2.0);
    let weight_kn = 27.0 * area_m2 * 3.5;
    let all = run(&case);
    let bolted = named(&all, "A-B.11");
    // 3.5 m of drive meet three rings a metre apart at least, at most four.
    assert_eq!(bolted.bolts_serving, Some(15));
    assert!((bolted.fs_bolted.unwrap() - 3.0 * ring_kn / weight_kn).abs() < 1e-9);

    // Staggered: a ring with bolts at 0, ±1, ±2, the next at ±0.5, ±1.5, 1 m on, and so on. A bolt at
    // ±2.5 stands in the corner and on the prism's edge: it does not count. 3.5 m just after an even
    // ring: odd, even, odd; just after an odd one: even, odd, even.
    case.patterns[0].stagger = true;
    let odd_kn = 2.0 * (capacity(0.5) + capacity(1.5));
    let least_kn = (2.0 * odd_kn + ring_kn).min(2.0 * ring_kn + odd_kn);
    let all = run(&case);
    assert!((named(&all, "A-B.11").fs_bolted.unwrap() - least_kn / weight_kn).abs() < 1e-9);

    // Capped by the traces along the drive: 3 m long, in the section 3 m from ridge to back.
    case.limits.max_trace_m = Some(3.0);
    let all = run(&case);
    let capped = named(&all, "A-B.11");
    assert_eq!(capped.length_m, 3.0);
    assert!((capped.area_m2 - 0.5 * 3.0 * 1.5 * tan).abs() < 1e-6, "{}", capped.area_m2);
    assert!((capped.area_uncapped_m2 - area_m2).abs() < 1e-9);
    assert_eq!(capped.limited_by.iter().map(|c| c.name()).collect::<Vec<_>>(), ["trace"]);
}

/// On a joint of 70° under one of 40°, both toward the drive: the tangents through the back's far
/// corner and the wall's foot cross over the left shoulder; area by the corners, factor
/// (c·trace + W cos 70 tan φ) / (W sin 70).
#[test]
fn a_prism_over_the_shoulder_slides_on_its_foot_joint() {
    let case = flat((70.0, 90.0, 32.0, 9.0), (40.0, 90.0, 25.0, 50.0));
    let all = run(&case);
    let prism = named(&all, "A-B.01");
    let (sin, cos) = 70f64.to_radians().sin_cos();
    let (steep, gentle) = (70f64.to_radians().tan(), 40f64.to_radians().tan());
    let x = -(4.0 + 2.5 * (gentle + steep)) / (steep - gentle);
    let corners = [(x, -steep * (x + 2.5)), (-2.5, 0.0), (-2.5, 4.0), (2.5, 4.0)];
    let twice: f64 = (0..4)
        .map(|i| {
            let (a, b) = (corners[i], corners[(i + 1) % 4]);
            a.0 * b.1 - a.1 * b.0
        })
        .sum();
    let weight = 27.0 * 0.5 * twice.abs();
    let trace = -(x + 2.5) / cos;
    assert_eq!(prism.stability.motion.mode, Mode::SlidingOnOne(0));
    assert_eq!(prism.surfaces, [Surface::Back, Surface::LeftWall]);
    assert!((prism.weight_kn_per_m - weight).abs() < 1e-9 * weight, "{} {weight}", prism.weight_kn_per_m);
    let fs = (9.0 * trace + weight * cos * 32f64.to_radians().tan()) / (weight * sin);
    assert!((prism.fs_bare - fs).abs() < 1e-9, "{} {fs}", prism.fs_bare);
    assert!((prism.slide.plunge_deg - 70.0).abs() < 1e-9 && (prism.slide.trend_deg - 90.0).abs() < 1e-9);
    assert_eq!(prism.criterion_fs, 1.5);
}

/// A joint that strikes 25° off the drive still carries its block down its true dip, not down the
/// flatter trace in the section.
#[test]
fn movement_is_in_space() {
    let case = flat((65.0, 115.0, 30.0, 0.0), (35.0, 100.0, 30.0, 0.0));
    let all = run(&case);
    let prism = named(&all, "A-B.01");
    let expected = 30f64.to_radians().tan() / 65f64.to_radians().tan();
    assert!((prism.fs_bare - expected).abs() < 1e-12);
    assert!((prism.slide.plunge_deg - 65.0).abs() < 1e-9);
    assert!(prism.off_axis_deg > 1.0);
}

#[test]
fn pairs_whose_line_crosses_the_drive_have_none() {
    // Both strike across the drive.
    let case = flat((60.0, 5.0, 30.0, 0.0), (60.0, 175.0, 30.0, 0.0));
    assert!(run(&case).iter().all(|p| p.sets != [0, 1]));
}

/// Where the sections taper, bolts counted on the widest one hold nothing by themselves.
#[test]
fn bolts_hold_no_prism_far_off_the_axis() {
    let mut rng = Rng::new(5);
    let mut seen = [0; 3];
    for _ in 0..150 {
        let mut case = bare(shape(&mut rng), advance(&mut rng), random_sets(&mut rng, 4, true));
        case.limits.max_depth_m = Some(rng.between(0.5, 4.0));
        case.bolts = vec![bolt(&mut rng, false)];
        case.patterns = vec![pattern(&mut rng, 0, None)];
        let Ok(checked) = forces_alone(&case) else { continue };
        for prism in prisms(&case, &checked) {
            let bolted = prism.fs_bolted.unwrap();
            assert!(bolted >= prism.fs_bare);
            let by_joints = prism.fs_bare >= prism.criterion_fs;
            let along = prism.off_axis_deg <= ALONG_DRIVE_DEG;
            let expected = match (bolted >= prism.criterion_fs, by_joints || along) {
                (false, _) => Verdict::Short,
                (true, true) => Verdict::Held,
                (true, false) => Verdict::NotJudged,
            };
            assert_eq!(prism.verdict, expected, "{prism:?}");
            seen[prism.verdict as usize] += 1;
        }
    }
    assert!(seen.iter().all(|&n| n > 5), "{seen:?}");
}

/// The ground between a ridge and the opening: the triangle of ridge and the two hits, less what of it
/// lies in the opening. `None` where a ray misses, or the ridge is not in the rock.
fn area_at(section: &[Vec2], ridge: Vec2, rays: [Vec2; 2]) -> Option<(f64, [f64; 2])> {
    let cross = |a: Vec2, b: Vec2| a.x * b.y - a.y * b.x;
    let n = section.len();
    let side = |i: usize, p: Vec2| cross(section[(i + 1) % n] - section[i], p - section[i]);
    if (0..n).all(|i| side(i, ridge) >= -1e-12) {
        return None;
    }
    let hit = |ray: Vec2| {
        (0..n)
            .filter_map(|i| {
                let chord = section[(i + 1) % n] - section[i];
                let sine = cross(ray, chord);
                if sine.abs() < 1e-14 {
                    return None;
                }
                let from = section[i] - ridge;
                let (t, w) = (cross(from, chord) / sine, cross(from, ray) / sine);
                (t > 0.0 && (0.0..=1.0).contains(&w)).then_some(t)
            })
            .reduce(f64::min)
    };
    let reach = [hit(rays[0])?, hit(rays[1])?];
    let mut triangle = vec![ridge, ridge + rays[0] * reach[0], ridge + rays[1] * reach[1]];
    let area = |p: &[Vec2]| -> f64 {
        0.5 * (0..p.len()).map(|i| cross(p[i], p[(i + 1) % p.len()])).sum::<f64>().abs()
    };
    let whole = area(&triangle);
    // Sutherland & Hodgman: the triangle clipped to the section.
    for i in 0..n {
        let mut kept = Vec::new();
        for k in 0..triangle.len() {
            let (a, b) = (triangle[k], triangle[(k + 1) % triangle.len()]);
            let (sa, sb) = (side(i, a), side(i, b));
            if sa >= 0.0 {
                kept.push(a);
            }
            if (sa >= 0.0) != (sb >= 0.0) {
                kept.push(a + (b - a) * (sa / (sa - sb)));
            }
        }
        triangle = kept;
        if triangle.is_empty() {
            break;
        }
    }
    Some((whole - if triangle.len() > 2 { area(&triangle) } else { 0.0 }, reach))
}

/// 150 random sections with two random joints, capped and not: the section found has the area that
/// separate code gives its ridge, meets its caps, and no ridge of a dense grid has more.
#[test]
fn the_largest_section_against_a_dense_search() {
    let mut rng = Rng::new(61);
    let (mut capped, mut most) = (0, Vec::new());
    for _ in 0..400 {
        let case = bare(shape(&mut rng), advance(&mut rng), random_sets(&mut rng, 3, false));
        let opening: Opening = case.opening().unwrap();
        let side = rng.below(4);
        let inward: [Vec3; 2] = [0, 1].map(|k| {
            let up = opening.frame.to_local(&case.joints[k].plane.upward_normal());
            if side >> k & 1 == 1 { -up } else { up }
        });
        let Some(prism) = Prism::of(&opening.section, &inward) else { continue };
        let whole = prism.largest();
        let depth = prism.depth_m(&whole);
        // Needles of tens of metres would need a grid of their own.
        if depth > 15.0 {
            continue;
        }
        let mut caps = PrismCaps::default();
        if rng.chance(0.6) {
            caps.depth_m = Some(depth * rng.between(0.2, 1.1));
            let traces = prism.trace_m(&whole);
            caps.trace_m = traces.map(|t| Some(t * rng.between(0.2, 1.1)));
        }
        let foot = prism.largest_within(&caps).unwrap();
        let found = prism.area_m2(&foot);
        // Rays of separate making: along each joint's trace, into the other's side.
        let rays = [0, 1].map(|k| {
            let (own, other) = (inward[k], inward[1 - k]);
            let along = Vec2::new(own.z, -own.x).normalize();
            if along.x * other.x + along.y * other.z < 0.0 { -along } else { along }
        });
        let section = opening.section.vertices();
        let inside = 1e-9 * (rays[0] + rays[1]);
        let (own, reach) = area_at(section, foot.apex + inside, rays).unwrap();
        assert!((own - found).abs() < 1e-6 * found.max(1.0), "{own} {found}");
        let slack = 1.0 + 1e-6;
        let meets = |reach: [f64; 2], ridge: Vec2| {
            let deep = opening
                .section
                .facets()
                .iter()
                .map(|f| {
                    let along = (ridge - f.start).dot(&f.tangent).clamp(0.0, f.length_m);
                    (ridge - f.start - f.tangent * along).norm()
                })
                .fold(f64::INFINITY, f64::min);
            caps.depth_m.is_none_or(|c| deep <= c * slack)
                && (0..2).all(|k| caps.trace_m[k].is_none_or(|c| reach[k] <= c * slack))
        };
        assert!(meets(reach, foot.apex));
        let mut densest = 0.0f64;
        capped += usize::from(caps != PrismCaps::default());
        let (low, high) = opening.section.bounds();
        let reach_m = depth + 0.5;
        let steps = 160;
        for i in 0..=steps {
            for j in 0..=steps {
                let at =
                    |low: f64, high: f64, i: usize| low + (high - low) * i as f64 / f64::from(steps as u32);
                let ridge = Vec2::new(
                    at(low.x - reach_m, high.x + reach_m, i),
                    at(low.y - reach_m, high.y + reach_m, j),
                );
                if let Some((area, reach)) = area_at(section, ridge, rays)
                    && meets(reach, ridge)
                {
                    densest = densest.max(area / found);
                }
            }
        }
        most.push(densest);
    }
    most.sort_by(f64::total_cmp);
    let (cases, median) = (most.len(), most[most.len() / 2]);
    let greatest = most[cases - 1];
    println!("{cases} sections, {capped} capped: dense over found, median {median:.4}, most {greatest:.9}");
    assert!(cases >= 150 && capped >= 60, "{cases} {capped}");
    // The grid comes near what was found, and never above it.
    assert!(median > 0.9, "{median}");
    assert!(greatest < 1.0 + 1e-5, "{greatest}");
}
