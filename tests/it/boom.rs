//! Patterns within the reach of a boom: against a plain search over angles, against patterns that need
//! no boom, and what it cannot drill.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::io;

use backhold::case::{Problems, ReadCase, TEMPLATE, parse_case};
use backhold::opening::{DriveFrame, Opening, SectionShape, Vec2};
use backhold::orientation::Line;
use backhold::support::{Aim, Boom, Covered, Layout, LayoutError, Pattern};

/// Steps of the search, degrees.
const STEP_DEG: f64 = 0.005;

/// Rounding of unit vectors.
const ROUNDING: f64 = 1e-12;

fn opening() -> Opening {
    let section = SectionShape::Arched { width_m: 5.2, wall_height_m: 3.1, rise_m: 1.5 };
    let frame = DriveFrame::new(Line { trend_deg: 35.0, plunge_deg: -4.0 });
    Opening::new(section.section().unwrap(), frame)
}

fn pattern(aim: Aim) -> Pattern {
    Pattern {
        bolt: 0,
        length_m: 2.4,
        outside_hole_m: 0.1,
        ring_spacing_m: 1.2,
        spacing_m: 1.1,
        covers: vec![Covered::Back, Covered::Walls],
        lowest_collar_m: Some(1.0),
        stagger: true,
        aim,
        row_at_m: None,
        offset_m: None,
        tension_kn: None,
    }
}

fn boom(tilt_deg: f64, off_normal_deg: f64) -> Boom {
    Boom { pivot: Vec2::new(0.7, 1.6), tilt_deg, off_normal_deg, reach_m: None }
}

fn turned(v: Vec2, deg: f64) -> Vec2 {
    let (sin, cos) = deg.to_radians().sin_cos();
    Vec2::new(cos * v.x - sin * v.y, sin * v.x + cos * v.y)
}

fn angle_deg(a: Vec2, b: Vec2) -> f64 {
    (a.dot(&b) / (a.norm() * b.norm())).clamp(-1.0, 1.0).acos().to_degrees()
}

#[test]
fn each_hole_is_the_reachable_one_nearest_to_the_normal() {
    let opening = opening();
    let square = Layout::new(&pattern(Aim::Normal), &opening).unwrap();
    let (mut leaning, mut worst) = (0, 0.0f64);
    for tilt_deg in [0.0, 8.0, 25.0] {
        let boom = boom(tilt_deg, 80.0);
        let layout = Layout::new(&pattern(Aim::Boom(boom)), &opening).unwrap();
        assert_eq!(layout.rows.len(), square.rows.len());
        for (row, square) in layout.rows.iter().zip(&square.rows) {
            let hole = Vec2::new(row.collar.direction.x, row.collar.direction.z);
            let normal = Vec2::new(square.collar.direction.x, square.collar.direction.z);
            let away = row.collar.point - boom.pivot;
            assert!((hole.norm() - 1.0).abs() < ROUNDING && row.collar.direction.y == 0.0);
            // Every direction round the clock that the feed can take, one nearest to the normal.
            let steps = (360.0 / STEP_DEG) as usize;
            let nearest = (0..steps)
                .map(|i| turned(normal, STEP_DEG * i as f64))
                .filter(|d| angle_deg(*d, away) <= tilt_deg + STEP_DEG)
                .map(|d| angle_deg(d, normal))
                .fold(f64::INFINITY, f64::min);
            let found = angle_deg(hole, normal);
            assert!(angle_deg(hole, away) <= tilt_deg + 1e-5, "within the tilt");
            // acos loses half of the digits near 0.
            assert!((found - nearest).abs() <= 2.0 * STEP_DEG, "{tilt_deg}: {found} {nearest}");
            worst = worst.max((found - nearest).abs());
            leaning += usize::from(found > 1.0);
        }
    }
    println!("{leaning} leaning holes, worst difference {worst:.4}°");
    assert!(leaning > 20, "{leaning}");
}

#[test]
fn a_free_feed_drills_square_and_a_stiff_one_fans() {
    let opening = opening();
    let directions = |aim| -> Vec<_> {
        Layout::new(&pattern(aim), &opening).unwrap().rows.iter().map(|r| r.collar.direction).collect()
    };
    let same = |a: Aim, b: Aim| {
        for (a, b) in directions(a).iter().zip(&directions(b)) {
            assert!((a - b).norm() < ROUNDING, "{a:?} {b:?}");
        }
    };
    same(Aim::Boom(boom(180.0, 0.0)), Aim::Normal);
    same(Aim::Boom(boom(0.0, 84.0)), Aim::Fan { origin: boom(0.0, 84.0).pivot });
}

#[test]
fn what_a_boom_cannot_drill_is_named_collar_by_collar() {
    let opening = opening();
    let all = Layout::new(&pattern(Aim::Normal), &opening).unwrap().rows;
    let reach_m = 3.1;
    let limited = Boom { reach_m: Some(reach_m), ..boom(15.0, 20.0) };
    let error = Layout::new(&pattern(Aim::Boom(limited)), &opening).unwrap_err();
    let LayoutError::BeyondBoom { collars } = &error else { panic!("{error}") };
    // By arithmetic of its own, over the same collars.
    let by_hand: Vec<_> = all
        .iter()
        .filter(|row| {
            let away = row.collar.point - limited.pivot;
            let normal = Vec2::new(row.collar.direction.x, row.collar.direction.z);
            away.norm() > reach_m || angle_deg(normal, away) > 15.0 + 20.0
        })
        .map(|row| row.collar.point)
        .collect();
    assert!(!by_hand.is_empty() && by_hand.len() < all.len());
    let named: Vec<_> = collars.iter().map(|c| Vec2::new(c.u_m, c.v_m)).collect();
    assert_eq!(named, by_hand);
    let text = error.to_string();
    assert!(text.starts_with(&format!("{} collars that the boom cannot drill: u ", named.len())), "{text}");
}

fn read(direction: &str) -> Result<ReadCase, Problems> {
    let text = TEMPLATE.replacen("# direction = \"normal\"", &format!("{direction} #"), 1);
    assert!(text != TEMPLATE);
    parse_case(&text, "case.toml", &|_| Err(io::ErrorKind::NotFound.into()))
}

const BOOM: &str = "boom = { pivot_u_m = 0.0, pivot_v_m = 1.8, tilt_deg = 30, off_normal_deg = 40 }";

#[test]
fn a_case_gives_a_boom_or_is_told_what_lacks() {
    let found = read(&format!("direction = \"boom\"\n{BOOM}")).unwrap_or_else(|p| panic!("{p}"));
    let Aim::Boom(boom) = found.case.patterns[0].aim else { panic!("a boom") };
    assert_eq!((boom.pivot, boom.tilt_deg, boom.reach_m), (Vec2::new(0.0, 1.8), 30.0, None));

    let only = |direction: &str, key: &str, found: &str| {
        let problems = read(direction).unwrap_err();
        assert_eq!(problems.list().len(), 1, "{problems}");
        let problem = &problems.list()[0];
        assert_eq!(problem.key, key, "{problem}");
        assert!(problem.found.contains(found) && !problem.advice.is_empty(), "{problem}");
    };
    only("direction = \"boom\"", "pattern[1].boom", "nothing, though");
    only(BOOM, "pattern[1].boom", "not \"boom\"");
    only(&format!("direction = \"vertical\"\n{BOOM}"), "pattern[1].boom", "not \"boom\"");
    let short = BOOM.replace("40 }", "40, reach_m = 1.5 }");
    only(&format!("direction = \"boom\"\n{short}"), "pattern[1].boom", "that the boom cannot drill: u 0.00");
    let none = BOOM.replace(", tilt_deg = 30", "");
    only(&format!("direction = \"boom\"\n{none}"), "pattern[1].boom.tilt_deg", "nothing");
}
