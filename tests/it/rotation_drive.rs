//! The least load factor along the drive against even ring phases whose linear programs scipy
//! solved one by one (`tests/reference/rotation/make_dense.py`: own wedges, own centroids, own
//! collars, a contact at every corner of an arc's chords).

use crate::reference_cases;
use backhold::orientation::Vec3;
use backhold::stability::{Loads, Mode, Motion, Stability};
use backhold::study::{Check, decided, forces_and_moments as check};
use backhold::support::{Anchorage, Layout, Placement, Positions, phase_groups, place, place_rotation};
use backhold::wedge::{Admissible, Chain, Cone, Footprint, Frontier, JointPyramid, Limits, Sector};

/// The dense search is a grid: it may lie above the infimum. The other way round the two may differ
/// by this much, relative: what the search is asked for.
const ASKED: f64 = 1e-3;

#[test]
fn the_least_along_the_drive_is_not_above_a_dense_search() {
    let cases = reference_cases::cases();
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/rotation/dense.csv");
    let mut reader = csv::Reader::from_path(path).unwrap();
    let rows: Vec<(usize, String, String, f64)> = reader.deserialize().map(Result::unwrap).collect();
    let (mut compared, mut nought, mut falling) = (0, 0, 0);
    let (mut above, mut below) = (f64::NEG_INFINITY, Vec::new());
    let mut ratios = Vec::new();
    let mut last = None;
    for (number, id, mode, dense) in &rows {
        if last.as_ref().is_none_or(|(n, _)| n != number) {
            last = Some((*number, check(&cases[*number]).unwrap()));
        }
        let wedge = last.as_ref().unwrap().1.wedges.iter().find(|w| w.wedge.id == *id).unwrap();
        assert_eq!(wedge.wedge.stability.motion.mode.name(), mode);
        let found = wedge.found.fs_rotation.unwrap();
        compared += 1;
        if *dense < 1e-9 {
            nought += 1;
            assert!(found <= 1e-9, "case {number} {id}: {found}, dense {dense}");
        } else {
            let difference = found / dense - 1.0;
            if difference > 1e-9 {
                println!("case {number} {id} ({mode}): {found}, dense {dense}: {difference:.1e}");
            }
            above = above.max(difference);
            below.push(-difference);
            assert!(difference <= ASKED, "case {number} {id}: {found}, dense {dense}");
        }
        let there = wedge.rotation_placement().unwrap();
        let apart = (there.balance.load_factor - found).abs();
        assert!(apart <= 1e-9 * found, "case {number} {id}: {found} {}", there.balance.load_factor);
        assert_eq!(there.balance.bolts_kn.len(), there.serving.len());
        for (kn, serving) in there.balance.bolts_kn.iter().zip(&there.serving) {
            // A micrometre of a bolt is worth less than this.
            assert!(*kn <= serving.capacity.kn + 0.01, "case {number} {id}: {kn} of {serving:?}");
        }
        if wedge.wedge.stability.motion.mode == Mode::Falling {
            falling += 1;
            let forces = wedge.found.fs_bolted.unwrap();
            assert!(found <= forces * (1.0 + 1e-9), "case {number} {id}: {found} above {forces}");
            // Of the wedge as it is the lower one decides.
            let one = Check { wedges: vec![wedge.clone()], ..last.as_ref().unwrap().1.clone() };
            let said = decided(&cases[*number], one).wedges[0].decided.clone();
            assert_eq!(said.fs, Some(found.min(forces)));
            if forces > 0.0 {
                ratios.push(found / forces);
            }
        }
    }
    below.sort_by(f64::total_cmp);
    ratios.sort_by(f64::total_cmp);
    let middle = |v: &[f64]| v[v.len() / 2];
    println!("compared {compared}, of them zero {nought}; above the dense search by at most {above:.1e}");
    println!("below it: median {:.1e}, max {:.1e}", middle(&below), below[below.len() - 1]);
    println!(
        "falling {falling}; over forces alone where those hold any: n {} least {:.2} median {:.2} greatest {:.2}",
        ratios.len(),
        ratios[0],
        middle(&ratios),
        ratios[ratios.len() - 1]
    );
    assert_eq!((compared, falling), (408, 59));
}

/// More, longer, stronger bolts never lower the least. Each least is found by a search, so they are
/// compared to what the search is asked for.
#[test]
fn more_longer_stronger_bolts_never_hold_less() {
    let (mut compared, mut raised, mut worst) = (0, [0, 0, 0], f64::INFINITY);
    for case in reference_cases::cases().iter().take(60) {
        let mut longer = case.clone();
        longer.patterns[0].length_m += 0.4;
        let mut stronger = case.clone();
        stronger.bolts[0].steel_kn *= 1.3;
        stronger.bolts[0].plate_kn *= 1.3;
        match &mut stronger.bolts[0].anchorage {
            Anchorage::Bonded { bond_kn_per_m } => *bond_kn_per_m *= 1.3,
            Anchorage::PointAnchored { anchor_kn, .. } => *anchor_kn *= 1.3,
            Anchorage::BondedAtToe { .. } => unreachable!("no reference case is young"),
        }
        // A second pattern between, which slides along the drive by itself.
        let mut more = case.clone();
        let mut second = more.patterns[0].clone();
        (second.spacing_m, second.ring_spacing_m, second.stagger) = (1.7, 2.1, false);
        more.patterns.push(second);
        let plain = check(case).unwrap();
        for (change, changed) in [&longer, &stronger, &more].into_iter().enumerate() {
            let changed = check(changed).unwrap();
            for (a, b) in plain.wedges.iter().zip(&changed.wedges) {
                let (Some(before), Some(after)) = (a.found.fs_rotation, b.found.fs_rotation) else {
                    continue;
                };
                assert_eq!(a.wedge.id, b.wedge.id);
                compared += 1;
                assert!(
                    after >= before * (1.0 - ASKED),
                    "{} {}: {before} then {after}",
                    case.title,
                    a.wedge.id
                );
                if before > 0.0 {
                    worst = worst.min(after / before - 1.0);
                }
                raised[change] += usize::from(after > before * (1.0 + ASKED));
            }
        }
    }
    println!("compared {compared}, raised by longer, stronger, more bolts {raised:?}, worst {worst:.1e}");
    assert!(compared > 1000 && raised.iter().all(|&r| r > 30));
}

/// With room across the section: no place of a dense walk along the bands lies below the search.
#[test]
fn the_search_across_the_section_is_not_above_a_dense_walk() {
    let cases = reference_cases::cases();
    let (mut places, mut wedges, mut above) = (0, 0, 0.0f64);
    let mut problems = Vec::new();
    // `ROTATION_DRIVES=150` for all of them.
    let drives = std::env::var("ROTATION_DRIVES").ok().and_then(|n| n.parse().ok()).unwrap_or(120);
    for case in cases.iter().take(drives) {
        problems.extend([0.3, 0.45].map(|share| (case, share)));
    }
    for (case, share) in problems {
        let opening = case.opening().unwrap();
        let section = &opening.section;
        let layouts = [Layout::new(&case.patterns[0], &opening).unwrap()];
        let groups = phase_groups(&case.patterns);
        let upward: [Vec3; 3] =
            std::array::from_fn(|i| opening.frame.to_local(&case.joints[i].plane.upward_normal()));
        for pyramid in JointPyramid::all() {
            let cone = Cone::new(&upward, pyramid);
            let Some(chain) = Sector::of(&cone).and_then(|s| Chain::of(section, &s)) else { continue };
            // A cap on the depth leaves wedges room along the back.
            let depth_m = Some(share * chain.depth_m(&chain.largest().apex).0);
            let frontier = Frontier::new(chain, &cone, &Limits { depth_m, ..Limits::default() });
            let arc = |along_m: f64| section.arc_from_crown_m(chain.offset_m() + along_m);
            let Some(admissible) = frontier.largest(arc) else { continue };
            if admissible.bands.iter().all(|b| b.to_m - b.from_m < 0.2) {
                continue; // as good as one place
            }
            let up = opening.frame.to_local(&Vec3::z());
            let judge = |foot: &Footprint| {
                let force = Loads::weight(chain.volume_m3(foot), 27.0).resultant_kn(&up);
                let strengths = [0, 1, 2].map(|i: usize| case.joints[i].strength);
                let areas = chain.joint_areas_m2(&cone, foot);
                Stability::new(Motion::of(&cone.inward, &force), cone.inward, &strengths, &areas)
            };
            if judge(&admissible.shown).motion.mode == Mode::NoMotion {
                continue;
            }
            let positions = Positions {
                frontier: &frontier,
                cone: &cone,
                perimeter_m: section.perimeter_m(),
                patterns: &case.patterns,
                layouts: &layouts,
                bolts: &case.bolts,
                groups: &groups,
            };
            let force = place(&positions, &admissible, &judge);
            let found = place_rotation(&positions, &admissible, &judge, &force).least_fs;
            if found == 0.0 {
                continue;
            }
            wedges += 1;
            for band in &admissible.bands {
                for i in 0..=701 {
                    let at = band.from_m + (band.to_m - band.from_m) * f64::from(i) / 701.0;
                    let Some(shown) = frontier.widest(at) else { continue };
                    let here = Admissible { shown, bands: Vec::new(), ..admissible.clone() };
                    let only = Placement { foot: shown, ..force.clone() };
                    let dense = place_rotation(&positions, &here, &judge, &only).least_fs;
                    places += 1;
                    above = above.max(found / dense - 1.0);
                    assert!(
                        found <= dense * (1.0 + ASKED),
                        "{} {pyramid:?} {at}: {found} {dense}",
                        case.title
                    );
                }
            }
        }
    }
    println!("{wedges} wedges at {places} places; above by at most {above:.1e}");
    assert!(wedges > 20);
}

/// Two patterns that slide freely are held no better than with any offset between them that a
/// survey could fix: then they slide as one, and every event of both is tried.
#[test]
fn free_patterns_are_not_above_any_fixed_offset() {
    let (mut compared, mut above, mut reached) = (0, f64::NEG_INFINITY, 0);
    for case in reference_cases::cases().iter().take(6) {
        let mut free = case.clone();
        free.patterns[0].ring_spacing_m = 1.2;
        let mut second = free.patterns[0].clone();
        (second.spacing_m, second.ring_spacing_m, second.stagger) = (1.9, 1.6, false);
        free.patterns.push(second);
        assert_eq!(phase_groups(&free.patterns).len(), 2);
        let held = check(&free).unwrap();
        let mut least = vec![f64::INFINITY; held.wedges.len()];
        for step in 0..48 {
            let mut fixed = free.clone();
            fixed.patterns[0].offset_m = Some(0.0);
            fixed.patterns[1].offset_m = Some(1.6 * f64::from(step) / 48.0);
            assert_eq!(phase_groups(&fixed.patterns).len(), 1);
            for (wedge, low) in check(&fixed).unwrap().wedges.iter().zip(&mut least) {
                *low = low.min(wedge.found.fs_rotation.unwrap_or(f64::INFINITY));
            }
        }
        for (wedge, fixed) in held.wedges.iter().zip(least) {
            let Some(found) = wedge.found.fs_rotation else { continue };
            compared += 1;
            assert!(
                found <= fixed * (1.0 + ASKED),
                "{} {}: {found}, fixed {fixed}",
                case.title,
                wedge.wedge.id
            );
            if found > 0.0 {
                above = above.max(found / fixed - 1.0);
                reached += usize::from(fixed < 1.05 * found);
            }
        }
    }
    println!("compared {compared}, above by at most {above:.1e}; {reached} not zero and within 5 %");
    assert!(compared > 50 && reached > 8);
}
