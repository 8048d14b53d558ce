//! Stress that harms counts in verdicts: by hand, never better than without, nothing where it clamps, and the same through
//! every study.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::sync::OnceLock;

use crate::acting::{fading, stressed, verdicts, vertical, wedge};
use crate::random_cases::{Rng, bare, bolt, mesh, pattern, set, sets};
use backhold::case::{AsBuilt, Case, Heading, Scatter};
use backhold::opening::SectionShape;
use backhold::orientation::Line;
use backhold::stability::{BoltPull, Contact, Mode, load_factor};
use backhold::study::chance::{ChanceAsk, Spread, drawn_wedges, pyramid_id};
use backhold::study::{
    Check, CheckedWedge, DecidedBy, PieceUnderStress, Place, Stage, Verdict, as_built, check, lacks, margin,
    turn,
};
use backhold::support::{Bolt, BoltKind, Carrier, Layout, Pattern, drawn_bolts};

const FALLS: &str = "A-B-C.111";

/// Three joints that dip alike away from each other over the back of a round drive, bolted and under a screen. Flatter than
/// 90° − φ stress drives their pyramid out, steeper it clamps it.
fn roof(dip_deg: f64, friction_deg: f64, bay_kn: f64) -> Case {
    let joints = [0.0, 120.0, 240.0].iter().zip(["A", "B", "C"]);
    let joints = joints.map(|(dd, name)| set(name, dip_deg, dd + 15.0, friction_deg, 0.0)).collect();
    let shape = SectionShape::Circular { diameter_m: 5.0 };
    let mut case = bare(shape, Line { trend_deg: 20.0, plunge_deg: 0.0 }, joints);
    case.limits.max_depth_m = Some(0.6);
    case.bolts = vec![Bolt::bonded("long", BoltKind::Resin, 250.0, 400.0, 250.0)];
    case.patterns = vec![Pattern { offset_m: Some(0.3), ..Pattern::of_back(0, 3.0, 1.0, 1.0) }];
    case.surface_support = vec![mesh(bay_kn, 0.0)];
    case.installation.collar_tolerance_m = Some(0.0);
    case
}

fn under(case: &Case, vertical_mpa: f64) -> Case {
    stressed(case, vertical(vertical_mpa, 1.0, 1.0), 0.25, 10.0)
}

/// The flat pyramid without and with a stress that its support can hold.
fn pair() -> &'static [(Case, Check); 2] {
    static PAIR: OnceLock<[(Case, Check); 2]> = OnceLock::new();
    PAIR.get_or_init(|| {
        let case = roof(45.0, 30.0, 60.0);
        [case.clone(), under(&case, 0.02)].map(|case| (case.clone(), verdicts(&case)))
    })
}

/// What decides under stress is the piece's own factor by hand, less what stress takes over the load along the movement.
#[test]
fn the_factor_that_decides_is_that_of_its_carriers_less_what_stress_takes() {
    let [(_, without), (case, with)] = pair();
    let (before, falls) = (wedge(without, FALLS), wedge(with, FALLS));
    assert_eq!(falls.wedge.stability.motion.mode, Mode::Falling);
    assert_eq!(falls.decided.by, Some(DecidedBy::Stress));
    let found = falls.under_stress().unwrap();
    assert!(found.asked >= 4 && found.harmed >= 1 && found.not_found == 0, "{found:?}");
    let least = found.least.as_ref().unwrap();
    assert!(falls.decided.fs == Some(least.fs) && least.fs < before.decided.fs.unwrap());
    let (stability, place) = (&least.stability, &least.deciding.as_ref().unwrap().place);
    let driving_kn = stability.motion.driving_kn;
    let lost = stability.loss().lost_kn / driving_kn;
    assert!(lost > 0.0 && stability.loss().lost_kn == stability.loss().out_kn, "{stability:?}");
    // The screen carries a bay over the weight, the bolts what forces and moments leave of them.
    let screen = 60.0 / driving_kn - lost;
    let down = stability.motion.direction;
    let forces: f64 =
        place.worst.serving.iter().map(|s| s.capacity.kn * (-s.direction.dot(&down)).max(0.0)).sum();
    let bolts: Vec<BoltPull> = place
        .worst
        .serving
        .iter()
        .map(|s| BoltPull {
            point: nalgebra::Vector3::new(s.point.x, s.chainage_m - place.worst.chainage_m, s.point.y),
            direction: s.direction,
            capacity_kn: s.capacity.kn,
        })
        .collect();
    let inward = falls.wedge.cone.inward;
    let corners = place.shape.joints.iter().zip(inward).flat_map(|(joint, normal)| {
        let of = |point: &backhold::orientation::Vec3| Contact { point: *point, normal };
        joint.trace.iter().map(of).chain([of(&place.shape.apex)]).collect::<Vec<_>>()
    });
    let centroid = centroid(&place.shape);
    let moments = load_factor(&stability.active_kn(), &centroid, &bolts, &corners.collect::<Vec<_>>());
    let by_bolts = (forces / driving_kn).min(moments) - lost;
    let by_hand = screen.max(by_bolts).max(-lost);
    println!("{:?}: {by_hand} {}; {forces} {moments} {lost}", least.carrier, least.fs);
    assert!((by_hand - least.fs).abs() < 1e-6 * by_hand.abs().max(1.0), "{by_hand} {}", least.fs);
    // A bolt more of what is missing would do: what is asked goes up by what stress takes.
    let asked = falls.decided.criterion_fs.unwrap();
    let needed = falls.force_asked_kn().unwrap();
    assert!((needed - (asked * driving_kn + stability.loss().lost_kn)).abs() < 1e-9 * needed);
    assert!(case.site.stress.is_some());
}

/// Of the body between the apex and the parts of its opening.
fn centroid(shape: &backhold::wedge::Shape) -> backhold::orientation::Vec3 {
    let (mut moment, mut volume) = (backhold::orientation::Vec3::zeros(), 0.0);
    for face in &shape.openings {
        let first = face.polygon[0];
        for pair in face.polygon[1..].windows(2) {
            let part = (first - shape.apex).dot(&(pair[0] - shape.apex).cross(&(pair[1] - shape.apex))).abs();
            moment += (shape.apex + first + pair[0] + pair[1]) * (0.25 * part);
            volume += part;
        }
    }
    moment / volume
}

/// Twice the stress takes more; a screen and bolts that hold all of that are held, and said to hold it with and without.
#[test]
fn more_stress_never_holds_better_and_stronger_support_never_worse() {
    let flat = roof(45.0, 30.0, 60.0);
    let fs = |case: &Case| wedge(&verdicts(case), FALLS).decided.fs.unwrap();
    let [(_, without), (_, with)] = pair();
    let (none, some) = (wedge(without, FALLS).decided.fs.unwrap(), wedge(with, FALLS).decided.fs.unwrap());
    let more = fs(&under(&flat, 0.04));
    assert!(more < some && some < none, "{more} {some} {none}");
    let strong = under(&roof(45.0, 30.0, 2000.0), 0.02);
    let held = verdicts(&strong);
    let held = wedge(&held, FALLS);
    assert_eq!(held.decided.verdict, Verdict::Held, "{:?}", held.decided);
    assert!(held.decided.held_by.contains(&Carrier::Screen) && held.decided.fs.unwrap() > some);
}

/// What drives a wedge out fades unless somebody says that it does not: then a wedge that hangs from its support alone is
/// judged as without stress, and none better than without or worse than with all of it.
#[test]
fn what_drives_a_wedge_out_fades() {
    let [(case, without), (full, with)] = pair();
    let faded = verdicts(&fading(full));
    let (before, falls) = (wedge(without, FALLS), wedge(&faded, FALLS));
    assert_eq!(falls.decided, before.decided);
    // What stress does to it stands beside all the same.
    assert_eq!(falls.fs_with_stress(), wedge(with, FALLS).fs_with_stress());
    assert!(falls.fs_with_stress().unwrap() < 0.0 && falls.under_stress().unwrap().harmed == 0);
    let mut compared = 0;
    for ((a, b), c) in without.wedges.iter().zip(&faded.wedges).zip(&with.wedges) {
        if let (Some(none), Some(some), Some(all)) = (a.decided.fs, b.decided.fs, c.decided.fs) {
            assert!(all <= some && some <= none, "{} {none} {some} {all}", a.wedge.id);
            compared += 1;
        }
    }
    assert!(compared > 1 && case.site.stress.is_none());
    // Joints that hold by cohesion lose no more than that.
    let mut sticky = full.clone();
    sticky.joints.iter_mut().for_each(|joint| joint.strength.cohesion_kpa = 5.0);
    let sticky = verdicts(&fading(&sticky));
    for under in sticky.wedges.iter().filter_map(CheckedWedge::under_stress) {
        let least = under.least.as_ref().map(|least| &least.stability);
        let bare_kn = |s: &backhold::stability::Stability| s.resistance_kn(&Default::default());
        assert!(
            least.is_none_or(|s| s.loss().out_kn == 0.0 && s.loss().lost_kn <= bare_kn(s) + s.loss().lost_kn)
        );
    }
}

#[test]
fn where_stress_only_clamps_it_decides_nothing() {
    let case = roof(70.0, 45.0, 10.0);
    let (without, with) = (verdicts(&case), verdicts(&under(&case, 0.5)));
    let clamped = with.wedges.iter().filter(|w| w.decided.criterion_fs.is_some());
    let mut seen = 0;
    for (a, b) in without.wedges.iter().filter(|w| w.decided.criterion_fs.is_some()).zip(clamped) {
        let harms = b.under_stress().is_some_and(|u| u.harmed + u.not_found > 0);
        if !harms {
            assert_eq!((&a.decided, &a.placed), (&b.decided, &b.placed), "{}", a.wedge.id);
            seen += 1;
        }
    }
    assert!(seen > 0 && wedge(&with, FALLS).fs_with_stress().unwrap() > 0.0);
}

fn order(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Held => 2,
        Verdict::NotJudged => 1,
        Verdict::Short => 0,
    }
}

/// Whatever the drive: with stress no wedge stands better than without, short is never said of one that is held with it.
#[test]
fn no_wedge_stands_better_with_stress_than_without() {
    let mut rng = Rng::new(0x57ab);
    let (mut asked, mut by_stress) = (0, 0);
    for number in 0..6 {
        let shape = SectionShape::Circular { diameter_m: rng.between(3.0, 6.0) };
        let mut case = bare(shape, Line { trend_deg: 50.0, plunge_deg: 0.0 }, sets(&mut rng, 3, true));
        case.limits.max_length_m = Some(6.0);
        if number % 3 > 0 {
            case.bolts = vec![bolt(&mut rng, false)];
            case.patterns = vec![pattern(&mut rng, 0, None)];
            case.surface_support = vec![mesh(rng.between(5.0, 60.0), 0.0)];
        }
        let without = verdicts(&case);
        let with = verdicts(&stressed(&case, vertical(rng.between(0.01, 0.1), 1.5, 0.3), 0.2, 5.0));
        for (a, b) in without.wedges.iter().zip(&with.wedges) {
            let told = format!("{number} {}: {:?} {:?}", a.wedge.id, a.decided, b.decided);
            assert!(order(b.decided.verdict) <= order(a.decided.verdict), "{told}");
            if let (Some(a), Some(b)) = (a.decided.fs, b.decided.fs) {
                assert!(b <= a * (1.0 + 1e-12), "{told}");
            }
            assert_eq!(a.found.fs_bare, b.found.fs_bare);
            asked += usize::from(b.under_stress().is_some());
            by_stress += usize::from(b.decided.by == Some(DecidedBy::Stress));
        }
    }
    println!("{asked} asked, {by_stress} by stress");
    assert!(asked > 8 && by_stress > 1, "{asked} {by_stress}");
}

#[test]
fn stages_sizes_and_directions_have_what_the_verdict_has() {
    let [_, (case, judged)] = pair();
    let whole = check(case).unwrap();
    let falls = wedge(&whole.check, FALLS);
    assert_eq!(falls.decided, wedge(judged, FALLS).decided);
    let in_pattern = |r: &&backhold::study::StageRow| {
        r.stage == Stage::WholePattern && r.place == Place::InPattern && r.wedge == FALLS
    };
    let row = whole.stages.rows.iter().find(in_pattern).unwrap();
    assert_eq!((Some(row.fs), row.verdict), (falls.decided.fs, falls.decided.verdict));
    let curve = whole.sizes.iter().find(|c| c.wedge == FALLS).unwrap();
    let mut lowered = 0;
    for size in &curve.sizes {
        let with = size.fs_with_stress.unwrap();
        assert!(with <= size.fs_bolted, "{size:?}");
        lowered += usize::from(with < size.fs_bolted);
    }
    assert!(lowered > 2, "{lowered}");
    // The drive in its own direction is the case itself.
    let own = Heading { name: None, advance: case.advance, length_m: None };
    let turned = turn(case, &[own]).unwrap();
    assert_eq!((&turned.others[0].lacks, turned.others[0].margin()), (&lacks(&whole), margin(&whole)));
}

/// Chances without scatter are the check: its largest wedge with what stress takes.
#[test]
fn chances_without_scatter_are_the_check_with_stress() {
    let [_, (case, judged)] = pair();
    let ask = ChanceAsk { from: 0, to: 1, seed: 1, spread: Spread::Plain, half_width: None, judged: 0 };
    let drawn = drawn_wedges(case, &Scatter::default(), &ask, 0, false).unwrap();
    let lost = |w: &CheckedWedge| match w.found.stressed.as_ref().unwrap().asked[0].found {
        PieceUnderStress::Harmed(loss) => loss.lost_kn / w.wedge.stability.motion.driving_kn,
        _ => 0.0,
    };
    let mut harmed = 0;
    for one in &drawn {
        let checked = wedge(judged, &pyramid_id(case, one.pyramid));
        let lost = lost(checked);
        // Draws find the forces less exactly.
        let near = |a: f64, b: f64| (a - b).abs() < 1e-9 + 0.02 * lost;
        assert!(near(one.fs_bare, checked.found.fs_bare - lost), "{one:?}");
        assert!(near(one.fs_bolted.unwrap(), checked.found.fs_bolted.unwrap() - lost), "{one:?}");
        harmed += usize::from(lost > 0.0);
    }
    assert!(harmed > 0 && !drawn.is_empty());
}

/// The drawn bolts at their chainages come to the drive's verdict, with stress as without.
#[test]
fn a_stretch_with_the_drawn_bolts_has_the_verdict_of_the_drive() {
    let [_, (case, judged)] = pair();
    let opening = case.opening().unwrap();
    let pattern = &case.patterns[0];
    let layout = Layout::new(pattern, &opening).unwrap();
    let bolts = drawn_bolts(pattern, &layout, 0.3, 40.0, 70.0).into_iter().map(|b| b.1).collect();
    let mut built = case.clone();
    let listed = AsBuilt::of_good(case, bolts, (45.0, 65.0));
    built.site.as_built = Some(AsBuilt { survey_error_m: 0.0, ..listed });
    let found = as_built(&built, judged).unwrap();
    let stretch = found.wedges.iter().find(|w| w.wedge == FALLS).unwrap();
    let (there, here) = (&stretch.found.decided, &wedge(judged, FALLS).decided);
    assert_eq!((there.verdict, there.by), (here.verdict, Some(DecidedBy::Stress)));
    let (there, here) = (there.fs.unwrap(), here.fs.unwrap());
    assert!((there - here).abs() < 0.05 * here.abs().max(1.0), "{there} {here}");
}
