//! Stages of the cycle and wedges at the face against hand figures and against searches that go
//! through positions one by one.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use crate::worked_case;
use backhold::case::{Case, SizeLimits};
use backhold::stability::Mode;
use backhold::study::{Check, Place, Stage, StageRow, Stages, face, forces_alone, stages};
use backhold::support::{Covered, Pattern};

fn capped() -> Case {
    let mut case = worked_case::three_sets();
    case.limits = SizeLimits { max_trace_m: Some(5.0), max_length_m: Some(6.0), ..SizeLimits::default() };
    case
}

fn studied(case: &Case) -> (Check, Stages) {
    let checked = face(case, forces_alone(case).unwrap());
    let found = stages(case, &checked);
    (checked, found)
}

fn at<'a>(stages: &'a Stages, stage: Stage, place: Place, wedge: &str) -> Option<&'a StageRow> {
    stages.rows.iter().find(|r| r.stage == stage && r.place == place && r.wedge == wedge)
}

#[test]
fn the_unsupported_length_is_the_round_and_the_last_ring() {
    let mut case = capped();
    case.last_ring_from_face_m = Some(0.8);
    let (_, found) = studied(&case);
    // By hand: 3.6 m of round and 0.8 m; once bolted 0.8 m.
    assert!((found.fresh_length_m() - 4.4).abs() < 1e-12);
    assert!(found.assumed_from.is_none());
    for row in &found.rows {
        let expected = if row.stage == Stage::FreshRound { 4.4 } else { 0.8 };
        assert!((row.unsupported_length_m - expected).abs() < 1e-12);
        if row.place == Place::Ahead {
            assert!(row.length_m <= expected + 1e-9 && row.bolts_serving == 0, "{row:?}");
        }
    }
    // Not known: one ring spacing, 1.2 m, is assumed and said.
    case.last_ring_from_face_m = None;
    let (_, found) = studied(&case);
    assert!(found.assumed_from.is_some() && (found.last_ring_m - 1.2).abs() < 1e-12);
    // A last ring at the face leaves nothing ahead of it once the round is bolted.
    case.last_ring_from_face_m = Some(0.0);
    let (_, found) = studied(&case);
    assert!((found.fresh_length_m() - 3.6).abs() < 1e-12);
    let ahead = |r: &&StageRow| matches!(r.place, Place::Ahead | Place::Across);
    assert!(found.rows.iter().filter(ahead).all(|r| r.stage == Stage::FreshRound));
    // Without a pattern the round stands alone.
    case.patterns.clear();
    let (_, found) = studied(&case);
    assert!((found.fresh_length_m() - 3.6).abs() < 1e-12 && found.assumed_from.is_none());
    assert!(found.rows.iter().all(|r| r.stage == Stage::FreshRound));
}

/// Bolts go up to the face with the round, cables are set behind them: what is assumed is the spacing of
/// the closest rings over the back, not of the widest, and not that of a wall's.
#[test]
fn an_unknown_last_ring_is_that_of_the_closest_pattern_over_the_back() {
    let mut case = capped();
    case.last_ring_from_face_m = None;
    let rebar = case.patterns[0].clone();
    let cables =
        Pattern { ring_spacing_m: 3.0, covers: vec![Covered::Back], lowest_collar_m: None, ..rebar.clone() };
    let walls = Pattern { ring_spacing_m: 0.9, covers: vec![Covered::Walls], ..rebar.clone() };
    case.patterns = vec![cables.clone(), walls.clone(), rebar];
    let (_, found) = studied(&case);
    assert_eq!(found.last_ring_m, 1.2);
    let from = found.assumed_from.unwrap();
    assert_eq!((from.pattern, from.is_one_of_several), (2, true));
    assert_eq!(from.bolt, case.bolts[case.patterns[2].bolt].name);
    // Where nothing covers the back, the closest of all.
    case.patterns = vec![walls];
    assert_eq!(studied(&case).1.last_ring_m, 0.9);
    // What is known is taken as it is.
    case.patterns = vec![cables];
    case.last_ring_from_face_m = Some(2.5);
    let (_, found) = studied(&case);
    assert_eq!((found.last_ring_m, found.assumed_from), (2.5, None));
}

/// The back's wedge falls, so that FS is the sum of capacities over the weight: by hand from the
/// rows' own numbers for a last ring so far off that no bolt reaches, and one so near that all do.
#[test]
fn young_resin_holds_less_and_no_bolt_holds_nothing() {
    let mut case = capped();
    case.last_ring_from_face_m = Some(3.0);
    case.bolts[0].fast_length_m = Some(0.4);
    let (checked, found) = studied(&case);
    assert!(found.young);
    let (mut compared, mut less) = (0, 0);
    for wedge in checked.wedges.iter().filter(|w| w.decided.criterion_fs.is_some()) {
        let young = at(&found, Stage::YoungResin, Place::InPattern, &wedge.wedge.id).unwrap();
        let set = at(&found, Stage::WholePattern, Place::InPattern, &wedge.wedge.id).unwrap();
        assert!((set.fs - wedge.found.fs_bolted.unwrap()).abs() < 1e-12);
        assert!(young.fs <= set.fs + 1e-12 && young.fs >= wedge.found.fs_bare - 1e-12);
        less += usize::from(young.fs < set.fs - 1e-6);
        compared += 1;
        // Rings end 3 m behind the face, more than the pattern's period of 2.4 m: the end leaves a
        // wedge that lies across it no more bolts than the endless pattern.
        if let Some(across) = at(&found, Stage::WholePattern, Place::Across, &wedge.wedge.id) {
            assert!(across.fs <= set.fs * (1.0 + 1e-9), "{} {} {}", wedge.wedge.id, across.fs, set.fs);
        }
    }
    assert!(compared >= 3 && less >= 1, "{compared} {less}");
    // A falling wedge of W kN by young bolts alone: none gives more than 180 kN/m · 0.4 m = 72 kN.
    let falling = found.rows.iter().filter(|r| r.stage == Stage::YoungResin && r.mode == Mode::Falling);
    let mut seen = 0;
    for row in falling {
        assert!(row.fs * row.weight_kn <= 72.0 * row.bolts_serving as f64 + 1e-9, "{row:?}");
        seen += 1;
    }
    assert!(seen >= 2);
    // Without a fast length the stage is left out, not made up.
    case.bolts[0].fast_length_m = None;
    let (_, found) = studied(&case);
    assert!(!found.young && found.rows.iter().all(|r| r.stage != Stage::YoungResin));
}

/// Not asserted: machines are noisy. The bench `check` times the same.
#[test]
fn times_of_face_and_stages() {
    for (name, case) in [("uncapped", worked_case::three_sets()), ("traces and length capped", capped())] {
        let mut case = case;
        case.bolts[0].fast_length_m = Some(0.4);
        case.last_ring_from_face_m = Some(0.6);
        let checked = forces_alone(&case).unwrap();
        let started = std::time::Instant::now();
        let checked = face(&case, checked);
        let face_ms = 1e3 * started.elapsed().as_secs_f64();
        let found = stages(&case, &checked);
        let both_ms = 1e3 * started.elapsed().as_secs_f64();
        println!("{name}: face {face_ms:.0} ms, stages {:.0} ms", both_ms - face_ms);
        assert!(!found.rows.is_empty());
    }
}

#[test]
fn wedges_at_the_face_are_of_their_own_or_larger() {
    let (checked, _) = studied(&capped());
    assert!(!checked.face.is_empty());
    for wedge in &checked.face {
        assert!(wedge.wedge.id.ends_with(".face"));
        let drive = checked.wedges.iter().find(|w| format!("{}.face", w.wedge.id) == wedge.wedge.id);
        assert!(drive.is_none_or(|d| wedge.wedge.shape.volume_m3 > 1.01 * d.wedge.shape.volume_m3));
        assert!(
            wedge.wedge.shape.length_m <= 6.0 && wedge.wedge.shape.joints.iter().all(|j| j.trace_m <= 5.0)
        );
        let open = wedge.wedge.shape.open_area(&checked.opening.section, &wedge.wedge.cone).norm();
        assert!(open < 1e-9 * wedge.wedge.shape.opening_area_m2(), "{open}");
    }
}
