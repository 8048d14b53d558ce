//! Shaking as a steady force: by hand, against heavier rock, in its worst direction, in files and words.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use crate::acting::{force_of, parsed, read, shaken, shaking, wedge};
use crate::judgement::wall_drive;
use crate::program::{backhold, ran};
use crate::random_cases::{Rng, random_whole_case};
use backhold::case::Case;
use backhold::orientation::wrap_azimuth_deg;
use backhold::stability::Mode;
use backhold::study::{CheckedWedge, check, face, forces_alone};

/// The drive whose right wall has a wedge that slides on A alone: A dips 50° to the west, φ 30°, no cohesion.
fn on_one_plane() -> String {
    wall_drive(1.278, 1.6, "")
}

/// The pseudo-static factor of a block on a plane, level force out of the slope, no cohesion (force polygon of a
/// block on an incline, any text on slopes; from memory): (cos ψ − k sin ψ) tan φ / (sin ψ + k cos ψ).
#[test]
fn a_block_on_one_plane_has_the_factor_of_the_force_polygon() {
    let case = parsed(&on_one_plane());
    let (sin, cos) = 50_f64.to_radians().sin_cos();
    let tan = 30_f64.to_radians().tan();
    for k in [0.0, 0.05, 0.15, 0.3] {
        for (v, trend) in [(0.0, 270.0), (0.1, 270.0), (-0.1, 270.0)] {
            let found = forces_alone(&shaken(&case, shaking(k, v, Some(trend)))).unwrap();
            let on_a = wedge(&found, "A-B-C.011");
            assert_eq!(on_a.wedge.stability.motion.mode, Mode::SlidingOnOne(0));
            let (down, out) = (1.0 + v, k);
            let by_hand = (down * cos - out * sin) * tan / (down * sin + out * cos);
            assert!((on_a.found.fs_bare - by_hand).abs() < 1e-12, "{k} {v}: {}", on_a.found.fs_bare);
            // At rest the vertical share and the level one are both gone.
            let at_rest = on_a.found.at_rest.unwrap();
            assert!((at_rest.fs_bare - tan * cos / sin).abs() < 1e-12);
        }
        // The worst direction of a plane is down its dip.
        let found = forces_alone(&shaken(&case, shaking(k.max(0.01), 0.0, None))).unwrap();
        let towards = wedge(&found, "A-B-C.011").found.shaken.unwrap().trend_deg;
        assert!((towards - 270.0).abs() < 1e-3, "{towards}");
    }
}

/// Cases of every kind, some tens of wedges.
fn cases(count: usize, seed: u64) -> Vec<Case> {
    let mut rng = Rng::new(seed);
    (0..).filter_map(|number| random_whole_case(&mut rng, number)).take(count).collect()
}

fn same(a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1e-3)
}

/// Straight down, shaking is weight: everything that weighs a quarter more, shares and factors alike.
#[test]
fn shaking_straight_down_is_heavier_rock() {
    let mut wedges = 0;
    for case in cases(5, 0x5ba1) {
        let shaken = check(&shaken(&case, shaking(0.0, 0.25, None))).unwrap();
        let mut heavier = case.clone();
        heavier.unit_weight_kn_m3 *= 1.25;
        let heavy = check(&heavier).unwrap();
        for (a, b) in shaken.check.every().zip(heavy.check.every()) {
            assert_eq!((&a.wedge.id, a.decided.verdict), (&b.wedge.id, b.decided.verdict));
            assert_eq!(a.wedge.stability.motion.mode, b.wedge.stability.motion.mode);
            assert!(same(a.found.fs_bare, b.found.fs_bare), "{}", a.wedge.id);
            let bolted = a.found.fs_bolted.zip(b.found.fs_bolted);
            assert!(bolted.is_none_or(|(x, y)| same(x, y)), "{} {bolted:?}", a.wedge.id);
            // Above what is asked a search ends early, by rounding at another piece: the brackets meet.
            let found = a.least_piece().zip(b.least_piece());
            let apart = |x: f64, y: f64| x > y * (1.0 + 1e-9);
            assert!(
                found.is_none_or(|(x, y)| !apart(x.fs_at_least, y.fs) && !apart(y.fs_at_least, x.fs)),
                "{} {found:?}",
                a.wedge.id
            );
            wedges += 1;
        }
        for (a, b) in shaken.beside.surface.duty.iter().zip(&heavy.beside.surface.duty) {
            assert_eq!((&a.wedge, a.verdict), (&b.wedge, b.verdict));
            assert!(a.fs.zip(b.fs).is_none_or(|(x, y)| same(x, y)), "{} {:?} {:?}", a.wedge, a.fs, b.fs);
            assert!(same(a.active_kn, b.active_kn));
        }
        for (a, b) in shaken.beside.prisms.iter().zip(&heavy.beside.prisms) {
            assert!(a.id == b.id && a.verdict == b.verdict && same(a.fs_bare, b.fs_bare), "{}", a.id);
        }
    }
    assert!(wedges > 25, "{wedges}");
}

/// No shaking at all, entered as zero, changes nothing but that it is told.
#[test]
fn zero_changes_no_number() {
    for case in cases(3, 0x0) {
        let (rests, zero) = (check(&case).unwrap(), check(&shaken(&case, shaking(0.0, 0.0, None))).unwrap());
        for (a, b) in rests.check.every().zip(zero.check.every()) {
            assert_eq!(a.decided, b.decided, "{}", a.wedge.id);
            assert_eq!(a.found.fs_bare, b.found.fs_bare);
            assert_eq!(b.found.at_rest.map(|r| r.fs_bare), Some(a.found.fs_bare));
            assert!(a.found.shaken.is_none() && a.found.at_rest.is_none());
        }
    }
}

/// What a wedge asks of support for its weight: criterion × driving force − friction.
fn asks(case: &Case, wedge: &CheckedWedge) -> f64 {
    let motion = wedge.wedge.stability.motion;
    let asked_fs = match motion.mode {
        Mode::NoMotion => return f64::NEG_INFINITY,
        Mode::Falling => case.criteria.min_fs_falling,
        _ => case.criteria.min_fs_sliding,
    };
    let tan = |i: usize| case.joints[wedge.wedge.sets[i]].strength.tan_friction();
    let friction: f64 = (0..3).map(|i| motion.normal_kn[i] * tan(i)).sum();
    (asked_fs * motion.driving_kn - friction) / wedge.wedge.weight_kn
}

/// The direction that is found asks at least what any whole degree does, in the drive and at the face.
#[test]
fn no_direction_of_360_asks_more_than_the_worst() {
    let mut looked_at = 0;
    for mut case in cases(2, 0x360) {
        // Bolts are not asked in what the worst direction is, and placing them is all the work.
        case.patterns.clear();
        case.local.clear();
        let checked = |trend| {
            let case = shaken(&case, shaking(0.3, -0.05, trend));
            face(&case, forces_alone(&case).unwrap())
        };
        let worst = checked(None);
        // `SHAKING_STEP=1` for all of 360; every day the fifth of them from another one on in each case.
        let step = std::env::var("SHAKING_STEP").ok().and_then(|n| n.parse().ok()).unwrap_or(5);
        for trend in (looked_at % step..360).step_by(step) {
            let typed = checked(Some(f64::from(u16::try_from(trend).unwrap())));
            for found in worst.every() {
                // A wedge at the face is listed by its size, the same in every direction.
                let Some(there) = typed.every().find(|w| w.wedge.id == found.wedge.id) else { continue };
                let (most, here) = (asks(&case, found), asks(&case, there));
                assert!(here <= most + 1e-9, "{} {trend}: {here} {most}", found.wedge.id);
                looked_at += 1;
            }
        }
        // Typed, it gives the same forces.
        for found in worst.every().filter(|w| w.wedge.stability.motion.mode != Mode::NoMotion) {
            let typed = checked(Some(found.found.shaken.unwrap().trend_deg));
            let there = typed.every().find(|w| w.wedge.id == found.wedge.id).unwrap();
            assert!(same(there.found.fs_bare, found.found.fs_bare), "{}", found.wedge.id);
        }
    }
    assert!(looked_at > 400, "{looked_at}");
}

/// Stronger shaking asks more in the worst direction, so that a piece is never held that was not.
#[test]
fn stronger_shaking_asks_no_less() {
    for case in cases(12, 0x577) {
        let mut before: Vec<(String, f64)> = Vec::new();
        for k in [0.0, 0.1, 0.2, 0.4] {
            let case = shaken(&case, shaking(k, 0.0, None));
            let found = forces_alone(&case).unwrap();
            let now: Vec<(String, f64)> =
                found.wedges.iter().map(|w| (w.wedge.id.clone(), asks(&case, w))).collect();
            for ((id, was), (_, is)) in before.iter().zip(&now) {
                assert!(*is >= was - 1e-9, "{id} {k}: {was} {is}");
            }
            before = now;
        }
    }
}

/// The same drive turned by an angle: the worst directions turn with it, and no factor changes.
#[test]
fn a_turned_drive_is_shaken_worst_in_the_turned_direction() {
    for (case, by) in cases(8, 0x7e1).into_iter().zip([13.0, 77.0, 121.0, 166.0, 201.0, 249.0, 300.0, 351.0])
    {
        let mut turned = case.clone();
        turned.advance.trend_deg = wrap_azimuth_deg(turned.advance.trend_deg + by);
        for joint in &mut turned.joints {
            joint.plane.dip_direction_deg = wrap_azimuth_deg(joint.plane.dip_direction_deg + by);
        }
        let [a, b] = [&case, &turned].map(|c| forces_alone(&shaken(c, shaking(0.25, 0.0, None))).unwrap());
        for (a, b) in a.wedges.iter().zip(&b.wedges) {
            if a.wedge.stability.motion.mode == Mode::NoMotion {
                continue;
            }
            assert!((a.found.fs_bare - b.found.fs_bare).abs() < 1e-4, "{}", a.wedge.id);
            assert!((asks(&case, a) - asks(&turned, b)).abs() < 1e-9, "{}", a.wedge.id);
        }
    }
}

/// A wedge that stays at rest can move when it is shaken, and the forces of shaking.csv add up.
#[test]
fn the_table_has_both_states_and_forces_that_add_up() {
    let run = ran(&["check", "samples/shaken_drive.toml"]);
    assert!(run.stdout.contains("Shaken with 0.150 of the weight, level"), "{}", run.stdout);
    assert!(run.stdout.contains("shaken: "), "{}", run.stdout);
    let summary: serde_json::Value = serde_json::from_str(run.text("summary.json")).unwrap();
    assert_eq!(summary["inputs"]["shaking"]["horizontal"], 0.15);
    let rows = summary["shaking"].as_array().unwrap();
    assert!(rows.len() > 4);
    for row in rows {
        let of = |what: &str| force_of(row, what);
        let (weight, shaking, active) = (of("weight"), of("shaking"), of("active"));
        assert!((weight + shaking - active).norm() < 1e-9 * active.norm());
        assert!((shaking.norm() - 0.15 * weight.norm()).abs() < 1e-9 * weight.norm());
    }
    assert!(run.text("shaking.csv").lines().count() == rows.len() + 1);
    assert!(run.text("report.html").contains("At rest and shaken"));
}

/// The sheet of every wedge, of its deciding size, adds the shaking to the weight in digits, and its force moves
/// the wedge as it says.
#[test]
fn the_calculation_sheet_adds_it_to_the_weight() {
    let mut sheets = 0;
    for id in ["K1-K2-K3.001", "K1-K2-K3.110", "K1-K2-K3.111", "K1-K2-K3.000"] {
        let said = backhold().args(["explain", "samples/shaken_drive.toml", "--wedge", id]).output().unwrap();
        assert!(said.status.success(), "{id}");
        let sheet = String::from_utf8(said.stdout).unwrap();
        let row = |name: &str| -> Vec<f64> {
            let start = format!("| {name} |");
            let line = sheet.lines().find(|l| l.starts_with(&start)).unwrap();
            line[start.len()..].split('|').filter_map(|cell| cell.trim().parse().ok()).collect()
        };
        let (weight, share, shaking, force) = (row("weight"), row("share"), row("shaking"), row("F"));
        let heavy = weight.iter().map(|x| x * x).sum::<f64>().sqrt();
        for k in 0..3 {
            assert!((weight[k] + shaking[k] - force[k]).abs() < 2e-6, "{id}");
            assert!((share[k] * heavy - shaking[k]).abs() < 1e-5 * heavy, "{id}");
        }
        assert!((share.iter().map(|x| x * x).sum::<f64>().sqrt() - 0.15).abs() < 1e-5);
        // A joint that F presses on, and only such a one, can carry it.
        let products = sheet.lines().filter(|l| l.ends_with("presses on it |")).count();
        assert_eq!(products == 0, sheet.contains("**Falling**"), "{id}");
        sheets += 1;
    }
    assert_eq!(sheets, 4);
}

#[test]
fn what_contradicts_itself_is_told_with_its_line() {
    let of = |table: &str| {
        let text = format!("{}\n[shaking]\n{table}\n", on_one_plane());
        read(&text).unwrap_err().to_string()
    };
    for (table, says) in [
        ("vertical = 0.1", "horizontal, or ppv_mm_s and frequency_hz"),
        ("ppv_mm_s = 50.0", "a velocity alone is no acceleration"),
        ("frequency_hz = 50.0", "add ppv_mm_s"),
        ("horizontal = 0.1\nppv_mm_s = 50.0\nfrequency_hz = 8.0", "both horizontal and ppv_mm_s"),
        ("ppv_mm_s = 900.0\nfrequency_hz = 80.0", "times the weight"),
        ("horizontal = -0.1", "shaking.horizontal"),
        ("horizontal = 0.1\nvertical = -1.0", "shaking.vertical"),
    ] {
        let told = of(table);
        assert!(told.contains(says), "{table}: {told}");
    }
}
