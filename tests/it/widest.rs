//! Widest spacings and shortest bolts: each holds, and the step beyond it does not.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use crate::random_cases::{Rng, bare, pattern, set};
use backhold::case::Case;
use backhold::opening::SectionShape;
use backhold::orientation::Line;
use backhold::study::{Verdict, WIDEST_SPACING_M, check, widest};
use backhold::support::{Anchorage, Bolt, BoltKind, Covered, SurfaceKind, SurfaceSupport};

fn verdict(case: &Case, id: &str) -> Verdict {
    check(case).unwrap().check.wedges.iter().find(|w| w.wedge.id == id).unwrap().decided.verdict
}

fn changed(case: &Case, change: impl Fn(&mut Case)) -> Case {
    let mut changed = case.clone();
    change(&mut changed);
    changed
}

#[test]
fn the_last_step_holds_and_the_next_does_not() {
    let joints = vec![
        set("A", 60.0, 0.0, 30.0, 0.0),
        set("B", 55.0, 130.0, 32.0, 0.0),
        set("C", 65.0, 235.0, 28.0, 0.0),
    ];
    let section = SectionShape::Flat { width_m: 5.0, height_m: 4.0 };
    let mut case = bare(section, Line { trend_deg: 20.0, plunge_deg: 0.0 }, joints);
    case.limits.max_trace_m = Some(4.0);
    case.bolts = vec![Bolt {
        name: "invented".into(),
        kind: BoltKind::Resin,
        steel_kn: 150.0,
        anchorage: Anchorage::Bonded { bond_kn_per_m: 200.0 },
        fast_length_m: None,
        plate_kn: 110.0,
        source: None,
    }];
    case.patterns = vec![pattern(&mut Rng::new(7), 0, None)];
    let p = &mut case.patterns[0];
    p.covers = vec![Covered::Back];
    (p.ring_spacing_m, p.spacing_m, p.length_m, p.outside_hole_m, p.stagger) = (1.0, 1.0, 3.0, 0.1, false);

    // What slips between the bolts hangs in a mesh that carries the largest of it not quite.
    case.surface_support = vec![SurfaceSupport {
        name: "mesh (invented)".into(),
        kind: SurfaceKind::Screen { bay_kn: 60.0 },
        covers: vec![Covered::Back, Covered::Walls],
        lowest_m: Some(0.0),
        source: None,
    }];

    let found = widest(&case, &check(&case).unwrap().check).unwrap();
    let roof = found.iter().find(|w| w.wedge == "A-B-C.111").unwrap();
    let rings = |m: f64| changed(&case, |c| c.patterns[0].ring_spacing_m = m);
    let square = |m: f64| {
        changed(&case, |c| {
            c.patterns[0].ring_spacing_m = m;
            c.patterns[0].spacing_m = m;
        })
    };
    let bolts = |m: f64| changed(&case, |c| c.patterns[0].length_m = m);
    let (ring_m, square_m, length_m) =
        (roof.ring_spacing_m.unwrap(), roof.square_spacing_m.unwrap(), roof.length_m.unwrap());
    println!("rings {ring_m}, square {square_m}, bolts {length_m}");
    assert!(ring_m < WIDEST_SPACING_M && square_m < WIDEST_SPACING_M && length_m > 0.6, "{roof:?}");
    for (case, held) in [
        (rings(ring_m), true),
        (rings(ring_m + 0.1), false),
        (square(square_m), true),
        (square(square_m + 0.1), false),
        (bolts(length_m), true),
        (bolts(length_m - 0.3), false),
    ] {
        let p = &case.patterns[0];
        let found = verdict(&case, &roof.wedge) == Verdict::Held;
        assert_eq!(found, held, "{} {} {}", p.ring_spacing_m, p.spacing_m, p.length_m);
    }
}
