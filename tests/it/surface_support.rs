//! Screen, straps and shotcrete against what hangs between the bolts, the scaling list, and factors
//! with surface support added.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use crate::random_cases::{Rng, bare, bolt, pattern, set, sets as random_sets, shape};
use backhold::case::Case;
use backhold::opening::{SectionShape, Surface};
use backhold::orientation::Line;
use backhold::study::{
    Check, DutyRow, Piece, SizeCurve, SurfaceStudy, Verdict, forces_alone, sizes, surface_study,
};
use backhold::support::{Covered, SurfaceKind, SurfaceSupport};

/// A flat back with a falling wedge and a pattern on the back.
fn flat_case() -> Case {
    let joints = vec![
        set("A", 60.0, 0.0, 30.0, 0.0),
        set("B", 55.0, 130.0, 32.0, 0.0),
        set("C", 65.0, 235.0, 28.0, 0.0),
    ];
    let section = SectionShape::Flat { width_m: 5.0, height_m: 4.0 };
    let mut case = bare(section, Line { trend_deg: 20.0, plunge_deg: 0.0 }, joints);
    let mut rng = Rng::new(7);
    case.bolts = vec![bolt(&mut rng, false)];
    case.patterns = vec![pattern(&mut rng, 0, None)];
    case.patterns[0].covers = vec![Covered::Back];
    case.patterns[0].ring_spacing_m = 1.4;
    case.patterns[0].spacing_m = 1.3;
    case.patterns[0].stagger = false;
    case.installation.collar_tolerance_m = Some(0.0);
    case
}

fn covering(kind: SurfaceKind, covers: &[Covered], lowest_m: Option<f64>) -> SurfaceSupport {
    SurfaceSupport { name: "invented".into(), kind, covers: covers.to_vec(), lowest_m, source: None }
}

struct Run {
    check: Check,
    curves: Vec<SizeCurve>,
    study: SurfaceStudy,
}

fn run(case: &Case) -> Run {
    let checked = forces_alone(case).unwrap();
    let curves = sizes(case, &checked);
    let study = surface_study(case, &checked);
    Run { check: checked, curves, study }
}

const FALLING: &str = "A-B-C.111";

fn back_row(study: &SurfaceStudy) -> &DutyRow {
    study.duty.iter().find(|r| r.wedge == FALLING && r.surface == Surface::Back).unwrap()
}

#[test]
fn a_screen_is_held_against_the_whole_weight() {
    let mut case = flat_case();
    let plain = run(&case);
    let row = back_row(&plain.study);
    assert_eq!((row.verdict, row.support, row.fs), (Verdict::NotJudged, None, None));
    let curve = plain.curves.iter().find(|c| c.wedge == FALLING).unwrap();
    let gap = curve.screen_wedge().unwrap();
    assert_eq!(row.weight_kn, gap.weight_kn);
    let traces: f64 = gap.shape.joints.iter().map(|j| j.trace_m).sum();
    assert_eq!(row.perimeter_m, traces);
    assert!(plain.study.shared.is_empty());

    for strap in [false, true] {
        for (share, verdict) in [(1.001, Verdict::Held), (0.999, Verdict::Short)] {
            let bay_kn = 2.0 * row.weight_kn * share;
            let kind = if strap { SurfaceKind::Strap { bay_kn } } else { SurfaceKind::Screen { bay_kn } };
            case.surface_support = vec![covering(kind, &[Covered::Back], None)];
            let found = run(&case);
            let here = back_row(&found.study);
            assert_eq!(here.verdict, verdict, "{here:?}");
            assert_eq!(here.support, Some(0));
            assert!((here.fs.unwrap() - 2.0 * share).abs() < 1e-12);
            // Verdicts on wedges do not hang on it.
            for (with, without) in found.check.wedges.iter().zip(&plain.check.wedges) {
                assert_eq!(with.decided.verdict, without.decided.verdict);
            }
        }
    }
}

#[test]
fn shotcrete_holds_along_the_perimeter() {
    let mut case = flat_case();
    let plain = run(&case);
    let row = back_row(&plain.study);
    // Adhesion that just reaches 2.5 times the weight; shear would carry twice that.
    let adhesion_width_m = 0.03;
    let adhesion_kpa = 2.5 * row.weight_kn / (row.perimeter_m * adhesion_width_m);
    let spray = SurfaceKind::Shotcrete {
        thickness_m: 2.0 * adhesion_width_m,
        shear_strength_kpa: adhesion_kpa,
        adhesion_kpa,
        adhesion_width_m,
    };
    case.surface_support = vec![covering(spray, &[Covered::Back], None)];
    let found = run(&case);
    let here = back_row(&found.study);
    assert!((here.fs.unwrap() - 2.5).abs() < 1e-9, "{here:?}");
    assert_eq!(here.capacity.unwrap().governed_by.name(), "adhesion");
    assert_eq!(here.verdict, Verdict::Held);
}

#[test]
fn what_nothing_covers_is_short_and_layers_are_not_added() {
    let mut case = flat_case();
    let weight_kn = back_row(&run(&case).study).weight_kn;
    let bay_kn = 1.5 * weight_kn;
    let screen = SurfaceKind::Screen { bay_kn };
    case.surface_support = vec![covering(screen, &[Covered::Walls], Some(1.0))];
    let found = run(&case);
    let row = back_row(&found.study);
    assert_eq!((row.verdict, row.support, row.capacity), (Verdict::Short, None, None));
    assert_eq!(row.fs, Some(row.fs_bare));
    // Two layers of 1.5 times the weight are not one of three times.
    case.surface_support =
        vec![covering(screen, &[Covered::Back], None), covering(screen, &[Covered::Back], None)];
    let found = run(&case);
    let rows: Vec<&DutyRow> =
        found.study.duty.iter().filter(|r| r.wedge == FALLING && r.surface == Surface::Back).collect();
    assert_eq!(rows.len(), 2);
    assert!(rows.iter().all(|r| r.verdict == Verdict::Short && (r.fs.unwrap() - 1.5).abs() < 1e-12));
}

/// Falling: what the bolts give and the bay, over the weight, by hand.
#[test]
fn surface_support_is_added_once_beside_the_bolts() {
    let mut case = flat_case();
    case.surface_support = vec![covering(SurfaceKind::Screen { bay_kn: 40.0 }, &[Covered::Back], None)];
    let found = run(&case);
    let wedge = found.check.wedges.iter().find(|w| w.wedge.id == FALLING).unwrap();
    let shared = found.study.shared.iter().find(|s| s.wedge == FALLING).unwrap();
    assert_eq!(wedge.wedge.surfaces, [Surface::Back]);
    let weight_kn = wedge.worst_shape().volume_m3 * case.unit_weight_kn_m3;
    assert_eq!(shared.capacity_kn, 40.0);
    assert!((shared.fs - (wedge.found.fs_bolted.unwrap() + 40.0 / weight_kn)).abs() < 1e-9);
}

#[test]
fn scaling_takes_pieces_from_the_screen_and_changes_no_verdict() {
    let mut case = flat_case();
    let plain = run(&case);
    let gap_m3 = back_row(&plain.study).volume_m3;
    let largest_m3 = plain.check.wedges.iter().find(|w| w.wedge.id == FALLING).unwrap().wedge.shape.volume_m3;
    assert!(largest_m3 > 1.1 * gap_m3);
    for (most_m3, piece) in [(1.01 * gap_m3, Piece::Gap), (1.01 * largest_m3, Piece::Whole)] {
        case.criteria.scaling_up_to_m3 = Some(most_m3);
        let found = run(&case);
        assert!(!found.study.duty.iter().any(|r| r.wedge == FALLING));
        let row = found.study.scaling.iter().find(|r| r.wedge == FALLING).unwrap();
        assert_eq!(row.piece, piece);
        assert!(row.volume_m3 <= most_m3 && row.is_loose && row.fs_bare == 0.0);
        for (with, without) in found.check.wedges.iter().zip(&plain.check.wedges) {
            assert_eq!(
                (with.decided.verdict, with.decided.fs),
                (without.decided.verdict, without.decided.fs)
            );
        }
    }
    // A hair below the gap wedge it is the screen's again.
    case.criteria.scaling_up_to_m3 = Some(0.999 * gap_m3);
    assert_eq!(back_row(&run(&case).study).volume_m3, gap_m3);
}

/// On random drives: each piece is no larger than the largest of its pyramid, its factor and verdict
/// belong together, and a surface that shows such a piece and needs support never goes without a row.
#[test]
fn duty_is_told_for_every_surface_of_random_drives() {
    let mut rng = Rng::new(20_261_125);
    let (mut rows, mut under, mut uncovered) = (0, 0, 0);
    for _ in 0..60 {
        let joints = random_sets(&mut rng, 3, true);
        let section = shape(&mut rng);
        let mut case = bare(section, Line { trend_deg: rng.between(0.0, 360.0), plunge_deg: 0.0 }, joints);
        case.limits.max_length_m = Some(12.0);
        case.bolts = vec![bolt(&mut rng, false)];
        case.patterns = vec![pattern(&mut rng, 0, None)];
        case.installation.collar_tolerance_m = Some(0.0);
        let bay_kn = rng.between(2.0, 60.0);
        let lowest_m = rng.between(0.2, 1.8);
        case.surface_support =
            vec![covering(SurfaceKind::Screen { bay_kn }, &[Covered::Back, Covered::Walls], Some(lowest_m))];
        if forces_alone(&case).is_err() {
            continue; // an outline on which the pattern lays no collar
        }
        let found = run(&case);
        for wedge in found.check.wedges.iter().filter(|w| w.decided.criterion_fs.is_some()) {
            let own: Vec<&DutyRow> = found.study.duty.iter().filter(|r| r.wedge == wedge.wedge.id).collect();
            let largest_m3 = wedge.wedge.shape.volume_m3 / 0.999;
            for row in &own {
                rows += 1;
                assert!(row.volume_m3 <= largest_m3 * (1.0 + 1e-6), "{row:?}");
                let fs = row.fs.unwrap();
                assert_eq!(row.verdict == Verdict::Held, fs >= row.criterion_fs, "{row:?}");
                if row.support.is_some() {
                    under += 1;
                    assert!((fs - row.fs_bare.max(bay_kn / row.weight_kn)).abs() < 1e-9 * fs.max(1.0));
                } else {
                    uncovered += 1;
                    assert_eq!(fs, row.fs_bare);
                }
            }
        }
    }
    assert!(rows > 150 && under > 100 && uncovered > 5, "{rows} {under} {uncovered}");
}
