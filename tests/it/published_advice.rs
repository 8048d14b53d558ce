//! Advisory rules and demand against print, source beside each number.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use crate::random_cases::{Rng, advance, bare, bolt, pattern, set, sets as random_sets, shape};
use backhold::case::Case;
use backhold::opening::SectionShape;
use backhold::orientation::Line;
use backhold::study::{AdviceRow, advice, demand, forces_alone, judge, judgement, q_bolt_length_m};
use backhold::support::{Covered, SurfaceKind, SurfaceSupport, bolt_load_kn};

fn case(width_m: f64, height_m: f64) -> Case {
    let sets = vec![
        set("A", 60.0, 0.0, 30.0, 0.0),
        set("B", 55.0, 130.0, 32.0, 0.0),
        set("C", 65.0, 235.0, 28.0, 0.0),
    ];
    let mut case =
        bare(SectionShape::Flat { width_m, height_m }, Line { trend_deg: 20.0, plunge_deg: 0.0 }, sets);
    let mut rng = Rng::new(7);
    case.bolts = vec![bolt(&mut rng, false)];
    case.patterns = vec![pattern(&mut rng, 0, None)];
    case.patterns[0].covers = vec![Covered::Back];
    case.patterns[0].length_m = 2.4;
    case.patterns[0].ring_spacing_m = 1.2;
    case.patterns[0].spacing_m = 1.0;
    case
}

fn rows(case: &Case) -> Vec<AdviceRow> {
    advice(case, &forces_alone(case).unwrap())
}

fn find<'r>(rows: &'r [AdviceRow], rule: &str) -> &'r AdviceRow {
    rows.iter().find(|r| r.rule.contains(rule)).unwrap_or_else(|| panic!("no {rule} in {rows:?}"))
}

/// R3: Brady & Brown (2004), eq. 11.8, p. 327: T = γ D s² = 84.375 kN.
#[test]
fn load_on_a_bolt_of_a_hanging_slab() {
    assert!((bolt_load_kn(25.0 * 1.5, 1.5, 1.5) - 84.375).abs() < 1e-12);
}

/// R6: Barton et al. (1974), formula from memory: B 6, ESR 1.6 gives 2.5625 m; B 20, ESR 1 gives 5.0.
#[test]
fn bolt_length_by_the_q_system() {
    assert!((q_bolt_length_m(6.0, 1.6) - 2.5625).abs() < 1e-12);
    assert!((q_bolt_length_m(20.0, 1.0) - 5.0).abs() < 1e-12);
    let mut case = case(6.0, 3.0);
    assert!(!rows(&case).iter().any(|r| r.rule.contains("ESR")), "only where it is given");
    case.esr = Some(1.6);
    let all = rows(&case);
    let row = find(&all, "0.15 B / ESR");
    assert!((row.advised_m.unwrap() - 2.5625).abs() < 1e-12);
    assert_eq!((row.found_m, row.is_as_advised), (Some(2.4), false));
}

/// R5: US Army Corps of Engineers EM 1110-1-2907 (1980), from memory.
#[test]
fn rules_of_rock_reinforcement() {
    let mut case = case(5.0, 3.0);
    let all = rows(&case);
    let twice = find(&all, "twice the spacing");
    // Exactly twice the wider of the two spacings: as advised.
    assert_eq!((twice.found_m, twice.advised_m, twice.is_as_advised), (Some(2.4), Some(2.4), true));
    let half_span = find(&all, "half the span");
    assert_eq!((half_span.advised_m, half_span.is_as_advised), (Some(2.5), false));
    assert!(find(&all, "half the length").is_as_advised);
    assert!(!all.iter().any(|r| r.rule.contains("critical blocks")), "no spacing was measured");
    assert!(!all.iter().any(|r| r.rule.contains("mesh")), "no mesh is entered");
    assert!(!all.iter().any(|r| r.rule.contains("wall")), "a heading of 3 m");

    for (set, spacing) in case.joints.iter_mut().zip([0.5, 0.8, 1.1]) {
        set.spacing_m = Some(spacing);
    }
    case.surface_support = vec![SurfaceSupport {
        name: "mesh".into(),
        kind: SurfaceKind::Screen { bay_kn: 20.0 },
        covers: vec![Covered::Back],
        lowest_m: None,
        source: None,
    }];
    let all = rows(&case);
    let three = find(&all, "three times the width");
    assert!((three.advised_m.unwrap() - 2.4).abs() < 1e-12 && three.is_as_advised);
    let width = find(&all, "one and a half times the width");
    assert!((width.advised_m.unwrap() - 1.2).abs() < 1e-12 && width.is_as_advised);
    let mesh = find(&all, "mesh");
    assert_eq!((mesh.advised_m, mesh.is_as_advised), (Some(1.8), true));
    // Wider than 6 m the span rule has no place.
    let wide = Case { shape: SectionShape::Flat { width_m: 6.0, height_m: 3.0 }, ..case };
    assert!(!rows(&wide).iter().any(|r| r.rule.contains("half the span")));
}

#[test]
fn tall_headings_and_their_walls() {
    let mut case = case(5.0, 5.0);
    let found = |case: &Case| -> Vec<(String, Option<f64>, bool)> {
        let tall = |r: &AdviceRow| r.rule.contains("3.5 m or higher");
        rows(case).into_iter().filter(tall).map(|r| (r.about, r.found_m, r.is_as_advised)).collect()
    };
    let none = |about: &str| (about.to_owned(), None, false);
    assert_eq!(found(&case), [none("back"), none("left wall"), none("right wall")]);
    let mut support = SurfaceSupport {
        name: "mesh".into(),
        kind: SurfaceKind::Screen { bay_kn: 20.0 },
        covers: vec![Covered::Back, Covered::LeftWall],
        lowest_m: Some(3.6),
        source: None,
    };
    case.surface_support = vec![support.clone()];
    assert_eq!(
        found(&case),
        [("back".into(), None, true), ("left wall".into(), Some(3.6), false), none("right wall")]
    );
    support.lowest_m = Some(3.5);
    case.surface_support = vec![support];
    assert_eq!(found(&case)[1], ("left wall".into(), Some(3.5), true));
    assert!(rows(&case).iter().any(|r| r.source.contains("your local code may ask")));
}

/// W / A = γ h / 3 for any tetrahedron on a flat face, so for every wedge that shows on one facet only
/// (derived: volume is a third of face times height).
#[test]
fn weight_over_face_is_a_third_of_the_depth() {
    let mut rng = Rng::new(33);
    let mut seen = 0;
    for _ in 0..400 {
        let mut case = bare(shape(&mut rng), advance(&mut rng), random_sets(&mut rng, 3, true));
        case.unit_weight_kn_m3 = rng.between(20.0, 40.0);
        if rng.chance(0.5) {
            case.limits.max_trace_m = Some(rng.between(1.0, 6.0));
        }
        for wedge in forces_alone(&case).unwrap().wedges {
            if let [face] = wedge.wedge.shape.openings.as_slice() {
                seen += 1;
                let pressure_kpa = wedge.wedge.weight_kn / wedge.wedge.shape.opening_area_m2();
                let expected_kpa = case.unit_weight_kn_m3 * face.height_m / 3.0;
                assert!((pressure_kpa / expected_kpa - 1.0).abs() < 1e-9, "{}", wedge.wedge.id);
                // The apex stands over the facet or beside it: never nearer than its height.
                assert!(wedge.wedge.shape.depth_m >= face.height_m * (1.0 - 1e-9));
            }
        }
    }
    assert!(seen > 300, "{seen}");
    // 26.5 kN/m³ and 1.5 m: 13.25 kPa (derived).
    assert!((26.5f64 * 1.5 / 3.0 - 13.25).abs() < 1e-12);
}

/// The demand of the size that decides adds up over surfaces, and is that of the size curve.
#[test]
fn demand_of_the_piece_that_decides_adds_up() {
    let mut rng = Rng::new(12);
    let mut seen = 0;
    for _ in 0..25 {
        let mut case =
            bare(shape(&mut rng), Line { trend_deg: 50.0, plunge_deg: 0.0 }, random_sets(&mut rng, 3, false));
        case.limits.max_length_m = Some(10.0);
        case.bolts = vec![bolt(&mut rng, false)];
        case.patterns = vec![pattern(&mut rng, 0, None)];
        let Ok(checked) = forces_alone(&case) else { continue };
        let pieces = judgement(&case, &checked);
        let checked = judge(&case, checked, pieces);
        let rows = demand(&case, &checked);
        for wedge in &checked.wedges {
            let Some(piece) = wedge.deciding() else { continue };
            let (asked_kn, given_kn) = (piece.force_needed_kn(), piece.force_provided_kn().unwrap());
            let own: Vec<_> = rows.iter().filter(|r| r.wedge == wedge.wedge.id).collect();
            let at_size: Vec<_> = own.iter().filter_map(|r| r.deciding.as_ref()).collect();
            let needed: f64 = at_size.iter().map(|g| g.force_needed_kn).sum();
            let provided: f64 = at_size.iter().map(|g| g.force_provided_kn).sum();
            let scale = asked_kn.max(1.0);
            assert!((needed - asked_kn).abs() < 1e-6 * scale, "{}", wedge.wedge.id);
            assert!((provided - given_kn).abs() < 1e-6 * given_kn.max(1.0));
            let whole: f64 = own.iter().map(|r| r.force_needed_kn).sum();
            assert!((whole - wedge.force_needed_kn()).abs() < 1e-6 * wedge.force_needed_kn().max(1.0));
            for g in &at_size {
                assert!((g.pressure_needed_kpa * g.area_m2 - g.force_needed_kn).abs() < 1e-6 * scale);
            }
            seen += at_size.len();
        }
    }
    assert!(seen > 40, "{seen}");
}
