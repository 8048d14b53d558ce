//! The second factor with the shear resistance of dowels: off by default, by plain arithmetic from what
//! the check reports, and it never decides. The relation itself: R8, beside `DowelShear`.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use crate::worked_case;
use backhold::case::Case;
use backhold::stability::Mode;
use backhold::study::{CheckedWedge, decided, forces_alone};
use backhold::support::{Aim, BoltKind, Covered, DowelShear, Pattern};

/// Rounding of sums of some ten terms, relative.
const ROUNDING: f64 = 1e-9;

fn with_dowels(case: &Case) -> Case {
    Case { dowel_shear: Some(DowelShear { rock_strength_mpa: 80.0, dilation_deg: 3.0 }), ..case.clone() }
}

/// Its factor by plain arithmetic: what joints and other bolts resist, and the shear of each dowel;
/// and how many dowels there are.
fn by_hand(case: &Case, wedge: &CheckedWedge) -> Option<(f64, usize)> {
    let placement = wedge.placement.as_ref()?;
    let motion = wedge.stability.motion;
    let on = motion.mode.slides_on();
    let mut added = 0.0;
    let mut dowels = 0;
    for bolt in &placement.serving {
        let with = bolt.direction.dot(&motion.direction);
        if with > 1e-9 || !on.contains(&bolt.plane) {
            added += bolt.share_kn;
            continue;
        }
        dowels += 1;
        let normal = wedge.cone.inward[bolt.plane];
        let alpha = (normal.dot(&bolt.direction).abs()).asin() + 3f64.to_radians();
        let tan = case.joints[wedge.sets[bolt.plane]].strength.friction_deg.to_radians().tan();
        let ratio =
            (1.55 + 0.011 * 80f64.powf(1.07) * alpha.sin().powi(2)) * 80f64.powf(-0.14) * (0.85 + 0.45 * tan);
        added += bolt.capacity.kn * ratio;
    }
    (dowels > 0).then(|| (wedge.fs_bare + added / motion.driving_kn, dowels))
}

#[test]
fn dowels_give_a_second_factor_by_hand_and_decide_nothing() {
    let (mut with, mut without, mut most) = (0, 0, 0);
    for turn in 0..24 {
        let mut case = worked_case::three_sets();
        case.advance.trend_deg = 30.0 * f64::from(turn % 12) + 5.0;
        if turn >= 12 {
            // More bolts a wedge, and vertical ones beside those square to the surface.
            (case.patterns[0].spacing_m, case.patterns[0].ring_spacing_m) = (0.6, 0.5);
            let vertical =
                Pattern { aim: Aim::Vertical, covers: vec![Covered::Back], ..case.patterns[0].clone() };
            case.patterns.push(vertical);
        }
        let plain = decided(&case, forces_alone(&case).unwrap());
        let asked = with_dowels(&case);
        for (wedge, plain) in decided(&asked, forces_alone(&asked).unwrap()).wedges.iter().zip(&plain.wedges)
        {
            // Nothing else moves, and nobody who does not ask gets it.
            assert!(plain.fs_dowel.is_none());
            assert_eq!(wedge.verdict, plain.verdict);
            assert_eq!(wedge.fs_bolted.map(f64::to_bits), plain.fs_bolted.map(f64::to_bits));
            let sliding =
                matches!(wedge.stability.motion.mode, Mode::SlidingOnOne(_) | Mode::SlidingOnTwo(..));
            match (wedge.fs_dowel, by_hand(&asked, wedge).filter(|_| sliding)) {
                (Some(fs), Some((expected, dowels))) => {
                    let axial = wedge.fs_bolted.unwrap();
                    println!("{turn} {}: {dowels} dowels, {fs:.4} beside {axial:.4}", wedge.id);
                    assert!((fs - expected).abs() < ROUNDING * expected, "{}: {fs} {expected}", wedge.id);
                    with += 1;
                    most = most.max(dowels);
                }
                (None, None) => without += 1,
                other => panic!("{}: {other:?}", wedge.id),
            }
        }
    }
    println!("{with} wedges with dowels, {without} without");
    assert!(with >= 20 && without >= 20 && most > 3, "{with} {without}");
}

#[test]
fn only_bars_in_resin_are_dowels() {
    for kind in [BoltKind::Friction, BoltKind::Cable] {
        let mut case = with_dowels(&worked_case::three_sets());
        case.bolts[0].kind = kind;
        assert!(forces_alone(&case).unwrap().wedges.iter().all(|w| w.fs_dowel.is_none()), "{kind:?}");
    }
}
