//! What must not change a result, what must change it one way only, and inputs at the edge of
//! sense. Seeds are recorded; all data is invented.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use crate::random_cases::{
    Rng, advance, bare, bolt, cap_to, figures, outline, pattern, set, sets, shape, swap_sides,
};
use backhold::case::Case;
use backhold::opening::{SectionShape, Surface, Vec2};
use backhold::orientation::{Line, wrap_azimuth_deg};
use backhold::stability::Mode;
use backhold::study::{Check, CheckedWedge, Verdict, Warning, decided, forces_alone};
use backhold::support::{Aim, Covered};

/// Rounding of the azimuths (1e-14 rad) times the worst condition met: a wedge whose edges are a
/// few degrees apart multiplies it by thousands.
const ROUNDING: f64 = 1e-9;
/// Capped wedges, and the worst placement of capped wedges, are searched to 0.1 %; two searches
/// may lie that far apart either way.
const SEARCHED: f64 = 2e-3;

/// The verdict that forces alone give.
fn judged(case: &Case) -> Check {
    decided(case, forces_alone(case).unwrap())
}

/// A case with a pattern or two and, where asked, caps.
fn bolted_case(rng: &mut Rng, capped: bool) -> Case {
    loop {
        let count = 3 + usize::from(rng.chance(0.3));
        let mut case = bare(shape(rng), advance(rng), sets(rng, count, true));
        let free = forces_alone(&case).unwrap();
        if free.wedges.is_empty() {
            continue;
        }
        if capped {
            let model = free.wedges[rng.below(free.wedges.len())].clone();
            cap_to(rng, &mut case, &model);
        }
        for k in 0..1 + usize::from(rng.chance(0.3)) {
            let mechanical = rng.chance(0.3);
            case.bolts.push(bolt(rng, mechanical));
            case.patterns.push(pattern(rng, k, None));
        }
        if forces_alone(&case).is_ok() {
            return case;
        }
    }
}

fn relative(a: f64, b: f64) -> f64 {
    if a == b { 0.0 } else { (a - b).abs() / a.abs().max(b.abs()) }
}

fn turn_between(a_deg: f64, b_deg: f64) -> f64 {
    let off = (a_deg - b_deg).rem_euclid(360.0);
    off.min(360.0 - off)
}

/// The wedges of two checks, pair by pair; one that stands at a litre may be in one alone.
fn pairs<'a>(a: &'a Check, b: &'a Check) -> Vec<(&'a CheckedWedge, &'a CheckedWedge)> {
    let near_a_litre = |w: &CheckedWedge| w.wedge.shape.volume_m3 < 1.01e-3;
    let find = |list: &'a Check, id: &str| list.wedges.iter().find(|w| w.wedge.id == id);
    for (from, to) in [(a, b), (b, a)] {
        for wedge in &from.wedges {
            assert!(near_a_litre(wedge) || find(to, &wedge.wedge.id).is_some(), "{} is lost", wedge.wedge.id);
        }
    }
    a.wedges.iter().filter_map(|w| Some((w, find(b, &w.wedge.id)?))).collect()
}

/// Differences of all numbers that neither north nor left and right are in.
fn differences(a: &CheckedWedge, b: &CheckedWedge) -> Vec<f64> {
    let mut all = vec![
        relative(a.wedge.shape.volume_m3, b.wedge.shape.volume_m3),
        relative(a.wedge.weight_kn, b.wedge.weight_kn),
        relative(a.wedge.volume_uncapped_m3, b.wedge.volume_uncapped_m3),
        relative(a.found.fs_bare, b.found.fs_bare),
        relative(a.found.fs_bare_no_cohesion, b.found.fs_bare_no_cohesion),
    ];
    for (fs, other) in
        [(a.found.fs_bolted, b.found.fs_bolted), (a.found.fs_bolted_uncapped, b.found.fs_bolted_uncapped)]
    {
        assert_eq!(fs.is_some(), other.is_some());
        all.extend(fs.zip(other).map(|(x, y)| relative(x, y)));
    }
    all
}

/// Differences of what else stays where the same wedge is shown.
fn shape_differences(a: &CheckedWedge, b: &CheckedWedge) -> Vec<f64> {
    let mut all = vec![
        relative(a.wedge.shape.depth_m, b.wedge.shape.depth_m),
        relative(a.wedge.shape.length_m, b.wedge.shape.length_m),
        relative(a.wedge.shape.opening_area_m2(), b.wedge.shape.opening_area_m2()),
    ];
    for (x, y) in a.wedge.shape.joints.iter().zip(&b.wedge.shape.joints) {
        all.push(relative(x.trace_m, y.trace_m));
        all.push(relative(x.area_m2, y.area_m2));
    }
    all
}

#[test]
fn turning_north_changes_azimuths_alone() {
    let mut rng = Rng::new(0x4007);
    let (mut free, mut capped) = (Vec::new(), Vec::new());
    for number in 0..120 {
        let has_caps = number % 3 == 0;
        let case = bolted_case(&mut rng, has_caps);
        let by = rng.between(0.0, 360.0);
        let mut turned = case.clone();
        turned.advance.trend_deg = wrap_azimuth_deg(turned.advance.trend_deg + by);
        for set in &mut turned.joints {
            set.plane.dip_direction_deg = wrap_azimuth_deg(set.plane.dip_direction_deg + by);
        }
        let (before, after) = (judged(&case), judged(&turned));
        for (a, b) in pairs(&before, &after) {
            assert_eq!(
                a.wedge.stability.motion.mode, b.wedge.stability.motion.mode,
                "{number} {}",
                a.wedge.id
            );
            if let (Some(x), Some(y)) = (a.wedge.slide, b.wedge.slide) {
                let off = turn_between(x.trend_deg + by, y.trend_deg) * x.plunge_deg.to_radians().cos();
                assert!(off < 1e-7 && (x.plunge_deg - y.plunge_deg).abs() < 1e-9, "{number} {}", a.wedge.id);
            }
            if has_caps {
                capped.extend(differences(a, b));
            } else {
                assert_eq!(
                    (&a.wedge.surfaces, a.decided.verdict),
                    (&b.wedge.surfaces, b.decided.verdict),
                    "{number} {}",
                    a.wedge.id
                );
                free.extend(differences(a, b));
                free.extend(shape_differences(a, b));
            }
        }
    }
    println!("{}", figures("north turned, no caps", &mut free));
    println!("{}", figures("north turned, caps", &mut capped));
    assert!(free.len() > 2000 && *free.last().unwrap() < ROUNDING);
    assert!(capped.len() > 500 && *capped.last().unwrap() < SEARCHED);
}

fn swapped(surface: Surface) -> Surface {
    match surface {
        Surface::LeftWall => Surface::RightWall,
        Surface::RightWall => Surface::LeftWall,
        other => other,
    }
}

/// The mirror image in the vertical plane of the drive. A plane's upward normal is mirrored with
/// it, at 90° as well: digits stay.
fn mirrored(case: &Case) -> Case {
    let mut image = case.clone();
    let trend = case.advance.trend_deg;
    for set in &mut image.joints {
        set.plane.dip_direction_deg = wrap_azimuth_deg(2.0 * trend - set.plane.dip_direction_deg);
    }
    swap_sides(&mut image);
    image
}

#[test]
fn a_mirror_image_swaps_left_and_right_alone() {
    let mut rng = Rng::new(0x3199);
    let (mut free, mut capped) = (Vec::new(), Vec::new());
    for number in 0..150 {
        let has_caps = number % 3 == 0;
        let mut case = bolted_case(&mut rng, has_caps);
        if rng.chance(0.3) {
            case.joints[0].plane.dip_deg = 90.0; // its digit is told by its dip direction
        }
        if rng.chance(0.3) {
            case.patterns[0].covers = vec![Covered::Back, Covered::LeftWall];
        }
        let (Ok(before), Ok(after)) = (forces_alone(&case), forces_alone(&mirrored(&case))) else {
            panic!("case {number} cannot be laid out");
        };
        for (a, b) in pairs(&before, &after) {
            assert_eq!(
                a.wedge.stability.motion.mode, b.wedge.stability.motion.mode,
                "{number} {}",
                a.wedge.id
            );
            if let (Some(x), Some(y)) = (a.wedge.slide, b.wedge.slide) {
                let off = turn_between(2.0 * case.advance.trend_deg - x.trend_deg, y.trend_deg);
                let off = off * x.plunge_deg.to_radians().cos();
                assert!(off < 1e-7 && (x.plunge_deg - y.plunge_deg).abs() < 1e-9, "{number} {}", a.wedge.id);
            }
            let found = differences(a, b);
            if has_caps {
                if found.iter().any(|d| *d > SEARCHED) {
                    println!(
                        "case {number} {}: {found:?} {:?} {:?} {:?}",
                        a.wedge.id, a.wedge.limited_by, a.found.fs_bolted, b.found.fs_bolted
                    );
                }
                capped.extend(found);
            } else {
                let mut image: Vec<Surface> = b.wedge.surfaces.iter().map(|&s| swapped(s)).collect();
                image.sort();
                assert_eq!(a.wedge.surfaces, image, "{number} {}", a.wedge.id);
                assert_eq!(a.decided.verdict, b.decided.verdict, "{number} {}", a.wedge.id);
                free.extend(found);
                free.extend(shape_differences(a, b));
            }
        }
    }
    println!("{}", figures("mirrored, no caps", &mut free));
    println!("{}", figures("mirrored, caps", &mut capped));
    assert!(free.len() > 2000 && *free.last().unwrap() < ROUNDING);
    assert!(capped.len() > 500 && *capped.last().unwrap() < SEARCHED);
}

/// All lengths times k. Arcs are drawn with chords of a given sagitta in metres, so they are scaled
/// as the polygons that they became.
#[test]
fn lengths_times_k_are_volumes_times_k_cubed() {
    let mut rng = Rng::new(0x5ca1e);
    let (mut free, mut capped) = (Vec::new(), Vec::new());
    for number in 0..120 {
        let has_caps = number % 3 == 0;
        let mut case = bare(shape(&mut rng), advance(&mut rng), sets(&mut rng, 3, true));
        let points: Vec<(f64, f64)> =
            case.shape.section().unwrap().vertices().iter().map(|p| (p.x, p.y)).collect();
        case.shape = outline(&points);
        let whole = forces_alone(&case).unwrap();
        if whole.wedges.is_empty() {
            continue;
        }
        if has_caps {
            let model = whole.wedges[rng.below(whole.wedges.len())].clone();
            cap_to(&mut rng, &mut case, &model);
        }
        let k = rng.between(1.0, 12.0);
        let mut large = case.clone();
        let points: Vec<(f64, f64)> = points.iter().map(|p| (p.0 * k, p.1 * k)).collect();
        large.shape = outline(&points);
        for set in &mut large.joints {
            set.max_trace_m = set.max_trace_m.map(|m| m * k);
        }
        large.limits.max_trace_m = large.limits.max_trace_m.map(|m| m * k);
        large.limits.max_depth_m = large.limits.max_depth_m.map(|m| m * k);
        large.limits.max_length_m = large.limits.max_length_m.map(|m| m * k);
        large.limits.max_volume_m3 = large.limits.max_volume_m3.map(|m| m * k * k * k);
        let (small, large) = (forces_alone(&case).unwrap(), forces_alone(&large).unwrap());
        for a in &small.wedges {
            let b = large.wedges.iter().find(|w| w.wedge.id == a.wedge.id).unwrap();
            assert_eq!(a.wedge.stability.motion.mode, b.wedge.stability.motion.mode);
            let into = if has_caps { &mut capped } else { &mut free };
            into.push(relative(a.wedge.shape.volume_m3 * k.powi(3), b.wedge.shape.volume_m3));
            into.push(relative(a.wedge.volume_uncapped_m3 * k.powi(3), b.wedge.volume_uncapped_m3));
            // Friction alone has no length in it.
            into.push(relative(a.found.fs_bare_no_cohesion, b.found.fs_bare_no_cohesion));
            if !has_caps {
                free.push(relative(a.wedge.shape.opening_area_m2() * k * k, b.wedge.shape.opening_area_m2()));
                free.push(relative(a.wedge.shape.length_m * k, b.wedge.shape.length_m));
                free.push(relative(a.wedge.shape.depth_m * k, b.wedge.shape.depth_m));
                // Cohesion's part falls with 1/k.
                let cohesive = |w: &CheckedWedge| w.found.fs_bare - w.found.fs_bare_no_cohesion;
                if a.found.fs_bare.is_finite() && cohesive(a) > 1e-3 {
                    free.push(relative(cohesive(a), cohesive(b) * k));
                }
            }
        }
    }
    println!("{}", figures("lengths scaled, no caps", &mut free));
    println!("{}", figures("lengths scaled, caps", &mut capped));
    assert!(free.len() > 1500 && *free.last().unwrap() < ROUNDING);
    assert!(capped.len() > 300 && *capped.last().unwrap() < SEARCHED);
}

/// Every wedge is closed: its outward area vectors sum to zero. With planes that contain the
/// drive's axis exactly, and with dips of 0 and 90.
#[test]
fn every_wedge_is_closed() {
    let mut rng = Rng::new(0xc105ed);
    let mut open = Vec::new();
    let mut along_the_axis = 0;
    for number in 0..600 {
        let mut line = advance(&mut rng);
        let mut joints = sets(&mut rng, 3, false);
        match number % 4 {
            0 => {
                // Square to a level drive, exactly or as degrees round.
                line.plunge_deg = 0.0;
                line.trend_deg = [0.0, 90.0, 180.0, 35.0, 217.0][rng.below(5)];
                let side = if rng.chance(0.5) { 90.0 } else { 270.0 };
                joints[0].plane.dip_direction_deg = wrap_azimuth_deg(line.trend_deg + side);
            }
            1 => joints[rng.below(3)].plane.dip_deg = 90.0,
            2 => {
                joints[0].plane.dip_deg = 0.0;
                joints[1].plane.dip_deg = joints[1].plane.dip_deg.max(40.0);
                joints[2].plane.dip_deg = 90.0;
            }
            _ => {}
        }
        let mut case = bare(shape(&mut rng), line, joints);
        let whole = forces_alone(&case).unwrap();
        if number % 5 == 0 && !whole.wedges.is_empty() {
            cap_to(&mut rng, &mut case, &whole.wedges[0]);
        }
        let found = forces_alone(&case).unwrap();
        for wedge in &found.wedges {
            let faces: f64 = wedge.wedge.shape.joints.iter().map(|j| j.area_m2).sum();
            let left = wedge.wedge.shape.open_area(&found.opening.section, &wedge.wedge.cone).norm();
            open.push(left / (faces + wedge.wedge.shape.opening_area_m2()));
            assert!(wedge.wedge.shape.volume_m3 > 0.0);
            along_the_axis += usize::from(wedge.wedge.cone.inward.iter().any(|m| m.y.abs() < 1e-12));
        }
    }
    println!(
        "{}; {along_the_axis} with a plane along the drive",
        figures("area left open over area", &mut open)
    );
    assert!(open.len() > 1900 && along_the_axis > 300, "{} {along_the_axis}", open.len());
    assert!(*open.last().unwrap() < ROUNDING);
}

#[test]
fn no_factor_rises_when_friction_falls() {
    let mut rng = Rng::new(0xf21c);
    let (mut compared, mut fell, mut bolted) = (0, 0, 0);
    for _ in 0..120 {
        let case = bolted_case(&mut rng, false);
        let mut smoother = case.clone();
        let one = rng.below(case.joints.len() + 1);
        for (i, set) in smoother.joints.iter_mut().enumerate() {
            if i == one || one == case.joints.len() {
                set.strength.friction_deg *= rng.between(0.0, 1.0);
            }
        }
        let (before, after) = (forces_alone(&case).unwrap(), forces_alone(&smoother).unwrap());
        for (a, b) in pairs(&before, &after) {
            assert!(b.found.fs_bare <= a.found.fs_bare * (1.0 + 1e-12), "{}", a.wedge.id);
            assert!(
                b.found.fs_bare_no_cohesion <= a.found.fs_bare_no_cohesion * (1.0 + 1e-12),
                "{}",
                a.wedge.id
            );
            compared += 2;
            fell += usize::from(b.found.fs_bare < a.found.fs_bare);
            // A bolt that would pull a joint open carries nothing where the friction it takes is
            // more than what it gives; with less friction it may begin to carry. Elsewhere the
            // bolted factor does not rise either.
            let carries = |w: &CheckedWedge| -> Vec<bool> {
                let rows = before.layouts.iter().flat_map(|l| &l.rows);
                rows.map(|r| w.wedge.stability.effect(&r.collar.direction).against_kn > 0.0).collect()
            };
            if carries(a) == carries(b) {
                let (rough, smooth) = (a.found.fs_bolted.unwrap(), b.found.fs_bolted.unwrap());
                assert!(smooth <= rough * (1.0 + 1e-12), "{}: {smooth} above {rough}", a.wedge.id);
                bolted += 1;
            }
        }
    }
    println!("bolted factors compared {bolted}");
    assert!(bolted > 300, "{bolted}");
    println!("factors compared {compared}, fallen {fell}");
    assert!(compared > 700 && fell > 150, "{compared} {fell}");
}

/// A second pattern beside the first: with its own phase, or surveyed in with it.
#[test]
fn a_further_bolt_never_lowers_a_falling_wedge() {
    let mut rng = Rng::new(0xb017);
    let (mut compared, mut rose, mut capped) = (0, 0, 0);
    let mut number = 0;
    while compared < 150 {
        number += 1;
        let has_caps = number % 4 == 0;
        let mut case = bolted_case(&mut rng, has_caps);
        case.patterns.truncate(1);
        if rng.chance(0.5) {
            case.patterns[0].offset_m = Some(0.4);
        }
        let before = forces_alone(&case).unwrap();
        if before.wedges.iter().all(|w| w.wedge.stability.motion.mode != Mode::Falling) {
            continue;
        }
        let mechanical = rng.chance(0.3);
        case.bolts.push(bolt(&mut rng, mechanical));
        let mut further = pattern(&mut rng, case.bolts.len() - 1, None);
        further.offset_m = Some(rng.between(0.0, 1.0));
        case.patterns.push(further);
        let Ok(after) = forces_alone(&case) else { continue };
        for (a, b) in pairs(&before, &after) {
            if a.wedge.stability.motion.mode != Mode::Falling {
                continue;
            }
            let (one, two) = (a.found.fs_bolted.unwrap(), b.found.fs_bolted.unwrap());
            // Capped wedges are placed to 0.1 % with one pattern as with two.
            let room = if has_caps { SEARCHED } else { 1e-12 };
            assert!(two >= one * (1.0 - room), "{number} {}: {two} below {one}", a.wedge.id);
            compared += 1;
            rose += usize::from(two > one);
            capped += usize::from(has_caps);
        }
    }
    println!("falling wedges {compared} ({capped} capped), risen {rose}");
    assert!(rose > 30 && capped > 20, "{rose} {capped}");
}

#[test]
fn permuting_the_sets_permutes_the_rows() {
    let mut rng = Rng::new(0x9e21);
    let (mut free, mut capped) = (Vec::new(), Vec::new());
    let mut rows = 0;
    for number in 0..120 {
        let has_caps = number % 3 == 0;
        let case = bolted_case(&mut rng, has_caps);
        let n = case.joints.len();
        let mut order: Vec<usize> = (0..n).collect();
        for i in (1..n).rev() {
            order.swap(i, rng.below(i + 1));
        }
        let mut other = case.clone();
        other.joints = order.iter().map(|&i| case.joints[i].clone()).collect();
        let (before, after) = (forces_alone(&case).unwrap(), forces_alone(&other).unwrap());
        assert_eq!(before.wedges.len(), after.wedges.len(), "{number}");
        assert_eq!(before.left_out, after.left_out, "{number}");
        for b in &after.wedges {
            // Names and digits in the order of the first case.
            let mut named: Vec<(usize, bool)> =
                (0..3).map(|i| (order[b.wedge.sets[i]], b.wedge.pyramid.lower[i])).collect();
            named.sort();
            let names: Vec<&str> = named.iter().map(|(s, _)| case.joints[*s].name.as_str()).collect();
            let digits: String = named.iter().map(|(_, l)| if *l { '1' } else { '0' }).collect();
            let id = format!("{}.{digits}", names.join("-"));
            let own: Vec<&str> = b.wedge.sets.iter().map(|&s| other.joints[s].name.as_str()).collect();
            assert_eq!(b.wedge.id, format!("{}.{}", own.join("-"), b.wedge.pyramid.code()));
            let a = before.wedges.iter().find(|w| w.wedge.id == id).unwrap();
            rows += 1;
            assert_eq!(a.wedge.surfaces, b.wedge.surfaces, "{number} {id}");
            let into = if has_caps { &mut capped } else { &mut free };
            into.extend(differences(a, b));
        }
        // Rows come in the order of the file's sets, pyramids counted up.
        for pair in after.wedges.windows(2) {
            assert!(
                (pair[0].wedge.sets, pair[0].wedge.pyramid) < (pair[1].wedge.sets, pair[1].wedge.pyramid)
            );
        }
    }
    println!("rows {rows}\n{}", figures("sets permuted, no caps", &mut free));
    println!("{}", figures("sets permuted, caps", &mut capped));
    assert!(free.len() > 1500 && *free.last().unwrap() < 1e-12);
    assert!(capped.len() > 500 && *capped.last().unwrap() < SEARCHED);
}

/// Bit by bit: Rust prints the shortest digits that read back to the same number.
#[test]
fn one_thread_and_four_give_the_same_bits() {
    let pool = |threads: usize| rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    let (one, four) = (pool(1), pool(4));
    let mut rng = Rng::new(0x7423);
    for number in 0..60 {
        let case = bolted_case(&mut rng, number % 2 == 0);
        let (a, b) =
            (one.install(|| forces_alone(&case).unwrap()), four.install(|| forces_alone(&case).unwrap()));
        assert_eq!(format!("{a:?}"), format!("{b:?}"), "case {number}");
        assert!(!a.wedges.is_empty() || a.left_out > 0);
    }
}

/// A wedge of an input at the edge of sense is still a wedge.
fn makes_sense(case: &Case, what: &str) -> usize {
    let Ok(found) = forces_alone(case) else { return 0 };
    let found = decided(case, found);
    for wedge in &found.wedges {
        let volume = wedge.wedge.shape.volume_m3;
        assert!(volume.is_finite() && volume > 0.0, "{what} {}: {volume} m³", wedge.wedge.id);
        // A plane within 1e-9 of the drive's axis is taken as along it by one of the two.
        assert!(volume <= wedge.wedge.volume_uncapped_m3 * (1.0 + 1e-6), "{what} {}", wedge.wedge.id);
        assert!(!wedge.found.fs_bare.is_nan() && wedge.found.fs_bare >= 0.0, "{what} {}", wedge.wedge.id);
        assert!(
            wedge.wedge.shape.depth_m > 0.0 && wedge.wedge.shape.length_m > 0.0,
            "{what} {}",
            wedge.wedge.id
        );
        assert!(!wedge.wedge.surfaces.is_empty(), "{what} {}", wedge.wedge.id);
        if let Some(fs) = wedge.found.fs_bolted {
            let freely = !wedge.wedge.limited_by.is_empty(); // cohesion differs from seat to seat
            assert!(freely || fs >= wedge.found.fs_bare * (1.0 - 1e-12), "{what} {}: {fs}", wedge.wedge.id);
            assert!(!fs.is_nan(), "{what} {}", wedge.wedge.id);
            assert!(wedge.decided.verdict != Verdict::NotJudged, "{what} {}", wedge.wedge.id);
            assert!(
                wedge.found.fs_bolted_median.is_some_and(|m| m >= fs * (1.0 - 1e-9)),
                "{what} {}",
                wedge.wedge.id
            );
        } else if !case.patterns.is_empty() {
            // Left unjudged, and said so, where a plane is a hair off the drive's axis.
            assert!(wedge.decided.verdict == Verdict::NotJudged, "{what} {}", wedge.wedge.id);
            let said = found
                .warnings
                .iter()
                .any(|w| matches!(w, Warning::TooLongToPlace { wedge: id, .. } if *id == wedge.wedge.id));
            assert!(said, "{what} {}", wedge.wedge.id);
        }
    }
    found.wedges.len()
}

#[test]
fn inputs_at_the_edge_of_sense_never_panic() {
    let mut rng = Rng::new(0xed9e);
    let mut wedges = 0;
    let whole_degrees = |rng: &mut Rng, trend: f64| {
        let dip = [0.0, 90.0, 45.0, 1e-9, 90.0 - 1e-9][rng.below(5)];
        let dd = wrap_azimuth_deg(trend + [0.0, 90.0, 180.0, 270.0, 45.0, 90.0 + 1e-9][rng.below(6)]);
        (dip, dd)
    };
    for number in 0..900 {
        let trend_deg = [0.0, 90.0, 35.0, 359.999_999][rng.below(4)];
        let plunge_deg = [0.0, 90.0, -90.0, 89.999_999, 30.0, -1e-12][rng.below(6)];
        let size = 10f64.powf(rng.between(0.5f64.log10(), 2.0));
        let mut planes: Vec<(f64, f64)> = Vec::new();
        for _ in 0..3 + rng.below(2) {
            let plane = match rng.below(4) {
                0 => whole_degrees(&mut rng, trend_deg),
                1 if !planes.is_empty() => {
                    // Nearly, or exactly, parallel to another set, dip for dip or across 90°.
                    let (dip, dd) = planes[rng.below(planes.len())];
                    let off = [0.0, 1e-12, 1e-6, 0.05, 0.2][rng.below(5)];
                    if rng.chance(0.8) {
                        ((dip + off).min(90.0), dd + off)
                    } else {
                        (dip, (dd + 180.0) % 360.0)
                    }
                }
                _ => (rng.between(0.0, 90.0), rng.between(0.0, 360.0)),
            };
            planes.push(plane);
        }
        let joints = planes
            .iter()
            .enumerate()
            .map(|(i, p)| {
                let friction = [0.0, 30.0, 89.9][rng.below(3)];
                set(["A", "B", "C", "D"][i], p.0, p.1, friction, [0.0, 1e6][rng.below(2)])
            })
            .collect();
        let section = match rng.below(6) {
            0 => SectionShape::Flat { width_m: size, height_m: size * rng.between(0.05, 3.0) },
            1 => SectionShape::Flat { width_m: 100.0, height_m: 0.5 },
            2 => SectionShape::Arched { width_m: size, wall_height_m: 0.5 * size, rise_m: 0.5 * size },
            3 => SectionShape::Circular { diameter_m: size },
            4 => outline(&[(0.0, 0.0), (size, 0.0), (0.3 * size, 0.6 * size)]),
            _ => outline(&[(0.0, 0.0), (size, 1e-3), (size, 0.5 * size), (0.0, 0.5 * size)]),
        };
        let mut case = bare(section, Line { trend_deg, plunge_deg }, joints);
        match rng.below(6) {
            0 => case.limits.max_trace_m = Some([1e-9, 0.01, 1.0, 1e9][rng.below(4)]),
            1 => case.limits.max_depth_m = Some([1e-9, 0.01, 1.0, 1e9][rng.below(4)]),
            2 => case.limits.max_length_m = Some([1e-9, 0.01, 1.0, 1e9][rng.below(4)]),
            3 => case.limits.max_volume_m3 = Some([1e-9, 0.002, 1.0, 1e9][rng.below(4)]),
            _ => {}
        }
        if rng.chance(0.6) {
            let mechanical = rng.chance(0.5);
            case.bolts.push(bolt(&mut rng, mechanical));
            let mut new = pattern(&mut rng, 0, None);
            new.lowest_collar_m = None;
            new.covers = vec![Covered::Back, Covered::Walls];
            match rng.below(5) {
                0 => new.spacing_m = 1e4,                                   // beyond the perimeter
                1 => new.ring_spacing_m = 500.0,                            // longer than any wedge
                2 => (new.length_m, new.outside_hole_m) = (1e-3, 0.999e-3), // shorter than anything
                3 => new.length_m = 1e3,
                _ => new.spacing_m = 0.2,
            }
            new.spacing_m = new.spacing_m.max(size / 25.0);
            new.ring_spacing_m = new.ring_spacing_m.max(size / 25.0);
            new.aim = match rng.below(4) {
                0 => Aim::Vertical,
                1 => Aim::Fan { origin: Vec2::new(0.0, 0.1 * size) },
                _ => Aim::Normal,
            };
            case.patterns.push(new);
        }
        wedges +=
            makes_sense(&case, &format!("case {number} {:?} {:?} {planes:?}", case.shape, case.advance));
    }
    println!("{wedges} wedges of 900 inputs at the edge of sense");
    assert!(wedges > 1800, "{wedges}");
}
