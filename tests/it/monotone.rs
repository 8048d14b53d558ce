//! More, longer or stronger bolts never hold a falling wedge less: forces alone, forces with
//! moments, with a bolt missing, with collars off their place. Seeds are recorded; all data is
//! invented.
#![allow(clippy::unwrap_used)] // helpers of tests are tests

use crate::random_cases::{Rng, advance, bare, bolt, cap_to, pattern, sets, shape};
use backhold::case::Case;
use backhold::stability::Mode;
use backhold::study::{Check, as_installed, forces_and_moments, installed};
use backhold::support::Anchorage;

/// Forces are exact where nothing is capped.
const ROUNDING: f64 = 1e-9;
/// Capped wedges and moments are searched to 0.1 %; two searches may lie that far apart.
const SEARCHED: f64 = 2e-3;

fn judged(case: &Case) -> Option<Check> {
    let checked = forces_and_moments(case).ok()?;
    let found = installed(case, &checked);
    Some(as_installed(checked, found))
}

/// The case with better support, and what was made better.
fn better(rng: &mut Rng, case: &Case) -> (Case, &'static str) {
    let mut out = case.clone();
    let what = match rng.below(5) {
        0 => {
            out.patterns[0].length_m += rng.between(0.1, 1.5);
            "longer"
        }
        1 => {
            out.bolts[0].steel_kn *= rng.between(1.0, 2.0);
            "stronger steel"
        }
        2 => {
            out.bolts[0].plate_kn += rng.between(0.0, 60.0);
            "stronger plates"
        }
        3 => {
            let times = rng.between(1.0, 2.0);
            match &mut out.bolts[0].anchorage {
                Anchorage::Bonded { bond_kn_per_m } | Anchorage::BondedAtToe { bond_kn_per_m, .. } => {
                    *bond_kn_per_m *= times;
                }
                Anchorage::PointAnchored { anchor_kn, .. } => *anchor_kn *= times,
            }
            "better anchored"
        }
        _ => {
            let mechanical = rng.chance(0.3);
            out.bolts.push(bolt(rng, mechanical));
            out.patterns.push(pattern(rng, 1, None));
            "more"
        }
    };
    (out, what)
}

#[test]
fn better_support_never_lowers_the_least_factor_of_a_falling_wedge() {
    let mut rng = Rng::new(0x3077);
    let (mut compared, mut rose, mut turned, mut capped) = (0, 0, 0, 0);
    while compared < 400 {
        let mut case = bare(shape(&mut rng), advance(&mut rng), sets(&mut rng, 3, false));
        let mechanical = rng.chance(0.3);
        case.bolts.push(bolt(&mut rng, mechanical));
        case.patterns.push(pattern(&mut rng, 0, None));
        let Some(free) = judged(&case) else { continue };
        let falls = |c: &Check| {
            c.wedges.iter().any(|w| w.stability.motion.mode == Mode::Falling && w.placement.is_some())
        };
        if !falls(&free) {
            continue;
        }
        let has_caps = rng.chance(0.2);
        if has_caps {
            let model =
                free.wedges.iter().find(|w| w.stability.motion.mode == Mode::Falling).unwrap().clone();
            cap_to(&mut rng, &mut case, &model);
        }
        case.installation.any_one_missing = true;
        case.installation.collar_tolerance_m = Some(0.1);
        let (improved, what) = better(&mut rng, &case);
        let (Some(before), Some(after)) = (judged(&case), judged(&improved)) else { continue };
        for a in before.wedges.iter().filter(|w| w.stability.motion.mode == Mode::Falling) {
            let Some(b) = after.wedges.iter().find(|w| w.id == a.id) else { continue };
            let (Some(one), Some(two)) = (&a.installed, &b.installed) else { continue };
            let exact = if has_caps { SEARCHED } else { ROUNDING };
            for (name, x, y, room) in [
                ("forces", a.fs_bolted, b.fs_bolted, exact),
                ("moments", a.fs_rotation, b.fs_rotation, SEARCHED),
                ("one missing", one.fs_one_missing, two.fs_one_missing, exact),
                ("collars off", one.fs_collar_tolerance, two.fs_collar_tolerance, exact),
            ] {
                let (x, y) = (x.unwrap(), y.unwrap());
                assert!(y >= x * (1.0 - room) - 1e-12, "{}: {what}, {name}: {y} after {x}\n{case:?}", a.id);
                turned += usize::from(name == "moments" && y > x * (1.0 + 1e-9));
            }
            compared += 1;
            capped += usize::from(has_caps);
            rose += usize::from(b.fs_bolted > a.fs_bolted);
        }
    }
    println!("falling wedges {compared} ({capped} capped): forces risen in {rose}, moments in {turned}");
    assert!(rose > 50 && turned > 50 && capped > 20, "{rose} {turned} {capped}");
}
