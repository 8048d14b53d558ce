//! The least factor of safety over sizes against a dense search by the plain evaluator, and a gap
//! wedge that can be worked by hand.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use crate::oracle::{Frontier, evaluate_wedge, lay_out};
use crate::random_cases::{
    Rng, advance, bare, bolt, cap_to, caps, digits, figures, oracle_input, pattern, set, sets, shape,
};
use backhold::case::Case;
use backhold::opening::SectionShape;
use backhold::orientation::Line;
use backhold::study::{JudgedBy, forces_alone, judgement, size_curve, sizes};
use backhold::support::{Aim, Covered, Pattern};

/// The promised accuracy: never above a dense search by more than this share. Of 600 cases one is 0.16 % above it.
const LEAST_ABOVE: f64 = 2e-3;
/// Where the least is near 0 (a bolt without a plate at the edge of the face) no ratio can be taken.
const NEAR_ZERO: f64 = 1e-3;

fn random_case(rng: &mut Rng) -> Option<(Case, String)> {
    let mut case = bare(shape(rng), advance(rng), sets(rng, 3, true));
    let free = forces_alone(&case).ok()?;
    let model = free.wedges.get(rng.below(free.wedges.len().max(1)))?.clone();
    if rng.chance(0.4) {
        cap_to(rng, &mut case, &model);
    }
    let mechanical = rng.chance(0.3);
    case.bolts.push(bolt(rng, mechanical));
    case.patterns.push(pattern(rng, 0, None));
    Some((case, model.wedge.id))
}

#[test]
fn no_dense_search_over_sizes_finds_a_lower_factor() {
    let wanted = std::env::var("SIZES_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(60);
    let seed = std::env::var("SIZES_SEED").ok().and_then(|n| n.parse().ok()).unwrap_or(0x512e5);
    let mut rng = Rng::new(seed);
    let (mut cases, mut smaller) = (0, 0);
    let (mut above, mut faults) = (Vec::new(), Vec::new());
    while cases < wanted {
        let Some((case, id)) = random_case(&mut rng) else { continue };
        let Ok(checked) = forces_alone(&case) else { continue };
        let Some(wedge) = checked.wedges.iter().find(|w| w.wedge.id == id) else { continue };
        let Some(curve) = size_curve(&case, &checked, wedge) else { continue };
        let bolted = |s: &&backhold::study::Size| s.judged_by == JudgedBy::Bolts;
        if curve.sizes.iter().filter(bolted).count() < 3 {
            continue; // the largest wedge alone: other tests hold that
        }
        cases += 1;
        smaller += usize::from(curve.smaller_governs());
        let input = oracle_input(&case);
        let pyramid = digits(wedge.wedge.pyramid);
        let frontier =
            Frontier::new(&input, wedge.wedge.sets, pyramid, caps(&case, wedge.wedge.sets)).unwrap();
        let collars = vec![lay_out(&input, &input.patterns[0])];
        let p = &input.patterns[0];
        let period = p.ring_spacing_m * if p.stagger { 2.0 } else { 1.0 };
        let slips = curve.screen_wedge().map_or(1e-3, |g| g.volume_m3).max(1e-3) * 1.0011;
        let mut own = Rng::new(seed ^ (cases as u64) << 24);
        let fs = |place: f64, end: f64, phase: f64| -> Option<f64> {
            let seat = frontier.between(place, end);
            if seat.wedge.volume_m3 < slips || !caps(&case, wedge.wedge.sets).admit(&seat.wedge) {
                return None;
            }
            let e = evaluate_wedge(
                &input,
                wedge.wedge.sets,
                pyramid,
                seat.apex_uv,
                &seat.wedge,
                &[phase],
                &collars,
            );
            Some(e.fs_bolted)
        };
        let mut dense = f64::INFINITY;
        for (from, to) in frontier.bolted_runs() {
            // Random starts over places, ends and phases, then shrinking steps from the lowest.
            let mut found: Vec<(f64, [f64; 3])> = Vec::new();
            for _ in 0..4000 {
                let a = own.between(from, to);
                let b = own.between(a, to);
                let phase = own.between(0.0, period);
                found.extend(fs(a, b, phase).map(|f| (f, [a, b, phase])));
            }
            found.sort_by(|x, y| x.0.total_cmp(&y.0));
            for (mut least, mut at) in found.into_iter().take(8) {
                let mut reach = 0.1;
                for _ in 0..14 {
                    for _ in 0..30 {
                        let a = (at[0] + reach * (to - from) * own.between(-1.0, 1.0)).clamp(from, to);
                        let b = (at[1] + reach * (to - from) * own.between(-1.0, 1.0)).clamp(a, to);
                        let phase = at[2] + reach * period * own.between(-1.0, 1.0);
                        if let Some(f) = fs(a, b, phase)
                            && f < least
                        {
                            (least, at) = (f, [a, b, phase]);
                        }
                    }
                    reach *= 0.6;
                }
                dense = dense.min(least);
            }
        }
        let engine = curve.governing_size().fs_bolted;
        let gap = if engine <= dense { 0.0 } else { engine / dense - 1.0 };
        above.push(gap);
        if gap > LEAST_ABOVE && engine - dense > NEAR_ZERO {
            faults.push(format!(
                "case {cases} {id}: {engine}, a dense search finds {dense}\n{case:?}\n{curve:?}"
            ));
        }
    }
    println!("cases {cases}: a smaller wedge governs in {smaller}");
    println!("{}", figures("least over sizes above the dense search", &mut above));
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
}

/// Three joints of one dip whose dip directions are 120° apart make a regular pyramid over the flat
/// back: its face is an equilateral triangle with one side along the drive. A square grid of collars
/// of spacing a lets one in whose base runs along a row and whose other sides each touch a collar of
/// the next row: at the height a the triangle is a wide, so its side is a + 2a/√3 and the next row
/// but one, at 2a, lies above its tip (0.866 · 2.155 a = 1.866 a).
#[test]
fn a_gap_between_four_collars_by_hand() {
    let (a, dip_deg) = (1.0, 60.0f64);
    let joints = [90.0, 210.0, 330.0].map(|dd| dd).into_iter().zip(["A", "B", "C"]);
    let joints = joints.map(|(dd, name)| set(name, dip_deg, dd, 30.0, 0.0)).collect();
    let flat = SectionShape::Flat { width_m: 9.0, height_m: 5.0 };
    let mut case = bare(flat, Line { trend_deg: 0.0, plunge_deg: 0.0 }, joints);
    let mut rng = Rng::new(1);
    case.bolts.push(bolt(&mut rng, false));
    case.patterns.push(Pattern {
        bolt: 0,
        length_m: 2.4,
        outside_hole_m: 0.1,
        ring_spacing_m: a,
        spacing_m: a,
        covers: vec![Covered::Back],
        lowest_collar_m: None,
        stagger: false,
        aim: Aim::Normal,
        row_at_m: None,
        offset_m: None,
        tension_kn: None,
    });
    let checked = forces_alone(&case).unwrap();
    let curves = sizes(&case, &checked);
    let gap = curves.iter().find(|c| c.wedge == "A-B-C.111").unwrap().gap.clone().unwrap();
    let side = a + 2.0 * a / 3f64.sqrt();
    let area = 3f64.sqrt() / 4.0 * side * side;
    // The apex stands over the middle, the inradius times tan 60° high.
    let height = side / (2.0 * 3f64.sqrt()) * dip_deg.to_radians().tan();
    let volume = area * height / 3.0;
    assert!((gap.shape.volume_m3 / volume - 1.0).abs() < 1e-3, "{} {volume}", gap.shape.volume_m3);
    assert!(gap.volume_m3 >= volume * (1.0 - 1e-9) && gap.volume_m3 <= 1.001 * volume);
    assert!((gap.weight_kn - 27.0 * gap.volume_m3).abs() < 1e-9);
}

/// From the gap wedge down to a litre nothing but the joints holds, and sizes only rise.
#[test]
fn sizes_shrink_to_a_litre_and_the_verdict_is_the_governing_sizes() {
    let mut rng = Rng::new(77);
    let mut seen = 0;
    while seen < 40 {
        let Some((case, _)) = random_case(&mut rng) else { continue };
        let Ok(checked) = forces_alone(&case) else { continue };
        let curves = sizes(&case, &checked);
        let drawn = Case { installation: as_drawn(), ..case.clone() };
        let pieces = judgement(&drawn, &checked);
        for curve in &curves {
            seen += 1;
            let before = checked.wedges.iter().find(|w| w.wedge.id == curve.wedge).unwrap();
            for pair in curve.sizes.windows(2) {
                // The largest is shown within 0.1 % of its size.
                assert!(pair[0].volume_m3 <= pair[1].volume_m3 * 1.0021, "{curve:?}");
            }
            if let Some(gap) = &curve.gap {
                let first = &curve.sizes[0];
                assert!((first.volume_m3 - 1e-3).abs() < 1e-9 && first.judged_by == JudgedBy::Screen);
                let screen = curve.sizes.iter().filter(|s| s.judged_by == JudgedBy::Screen);
                for size in screen {
                    assert!(size.bolts_serving == 0 && size.force_provided_kn == 0.0);
                    assert!(size.volume_m3 <= gap.volume_m3);
                }
            }
            let least = curve.governing_size().fs_bolted;
            assert!(least <= before.found.fs_bolted.unwrap() * (1.0 + 1e-9));
            let size = curve.governing_size();
            // Of all pieces, those of this size among them, one is carried no better.
            let all = pieces.iter().find(|p| p.wedge == curve.wedge).unwrap();
            if size.bolts_serving > 0 {
                let found = all.least.as_ref().unwrap();
                assert!(found.fs_at_least <= least * (1.0 + 1e-9), "{} {least}", found.fs_at_least);
            }
        }
    }
}

fn as_drawn() -> backhold::support::Installation {
    backhold::support::Installation { collar_tolerance_m: Some(0.0), ..Default::default() }
}
