//! The piece that is carried least, against pieces drawn at random and measured by separate code; and
//! what may change it one way only. All data is invented.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use crate::oracle::rules::{Disc, Piece, Pyramid, Rules};
use crate::random_cases::{
    Rng, advance, bare, bolt, cap_to, caps, digits, mesh, oracle_input, pattern, sets, shape, swap_sides,
};
use crate::whole_verdicts::asked;
use backhold::case::Case;
use backhold::opening::{SectionShape, Surface};
use backhold::study::{Check, CheckedWedge, Judged, LEAST_VOLUME_M3, decide_pieces, forces_alone, judgement};
use backhold::support::{Carrier, Decision, Layout, LeastPiece, Uncarried};
use backhold::wedge::{Chain, Footprint, Frontier, Limits, Sector};

/// Pieces that are drawn for each wedge.
const DRAWN: usize = 400;

/// What a bracket may be above a piece that is found: rounding of two ways to the same number.
const ROUNDING: f64 = 1e-9;

/// Two ways to one factor: from where rays daylight, and from the apex, where a ray that grazes a facet leaves it a micron.
const SAME: f64 = 1e-5;

/// A collar this near an edge of the face is on it or beside it, as rounding has it, m.
const EDGE_M: f64 = 1e-8;

fn case(rng: &mut Rng, capped: bool) -> (Case, Check) {
    loop {
        let mut case = bare(shape(rng), advance(rng), sets(rng, 3, true));
        let free = forces_alone(&case).unwrap();
        if free.wedges.is_empty() {
            continue;
        }
        if capped {
            let model = free.wedges[rng.below(free.wedges.len())].clone();
            cap_to(rng, &mut case, &model);
        }
        let mechanical = rng.chance(0.3);
        case.bolts.push(bolt(rng, mechanical));
        case.patterns.push(pattern(rng, 0, None));
        case.installation.collar_tolerance_m = Some(0.0);
        if let Ok(found) = forces_alone(&case) {
            return (case, found);
        }
    }
}

/// A number of the wedge's caps, as the case gives them.
fn limits(case: &Case, wedge: &CheckedWedge) -> Limits {
    Limits {
        trace_m: wedge.wedge.sets.map(|s| case.joints[s].max_trace_m.or(case.limits.max_trace_m)),
        depth_m: case.limits.max_depth_m,
        length_m: case.limits.max_length_m,
        volume_m3: case.limits.max_volume_m3,
    }
}

/// A piece by separate code, its rings from where its apex is; `None` where nobody judges it, or nothing is on it that
/// would carry it.
fn measured(rules: &Rules, pyramid: &Pyramid, apex: [f64; 2], at_m: f64) -> Option<f64> {
    match rules.measure(pyramid, apex, &[at_m], Disc::Steepest, 0.0) {
        Piece::Judged(found) => Some(found.fs),
        Piece::Unjudged | Piece::Nobodys => None,
    }
}

fn pyramid_of<'r>(rules: &'r Rules, case: &Case, wedge: &CheckedWedge) -> Pyramid<'r> {
    let sets = wedge.wedge.sets;
    rules.pyramid(sets, digits(wedge.wedge.pyramid), caps(case, sets)).unwrap()
}

/// Where the apex of a piece is, and of one that begins and ends a hair farther out.
fn beside(chain: &Chain, foot: &Footprint) -> [[f64; 2]; 2] {
    let [start_m, _, end_m] = foot.along_m;
    let larger = chain.footprint((start_m - EDGE_M).max(0.0), (end_m + EDGE_M).min(chain.length_m()));
    [foot, &larger].map(|foot| [foot.apex.x, foot.apex.y])
}

/// Whether some of a piece's face lies on back or walls.
fn is_judged(check: &Check, wedge: &CheckedWedge, start_m: f64, end_m: f64) -> bool {
    let section = &check.opening.section;
    let chain = Chain::of(section, &Sector::of(&wedge.wedge.cone).unwrap()).unwrap();
    let mut judged = false;
    chain.each_facet(start_m, end_m, |k, _, _| {
        let surface = check.opening.surface_of(chain.facet_index(k, section.facets().len()));
        judged |= matches!(surface, Surface::Back | Surface::LeftWall | Surface::RightWall);
    });
    judged
}

/// A piece drawn at random; `None` where the caps do not admit it, it is too small, or nobody judges it.
fn drawn_piece(rng: &mut Rng, check: &Check, wedge: &CheckedWedge, frontier: &Frontier) -> Option<Footprint> {
    let chain = frontier.chain();
    let length_m = chain.length_m();
    let (a, b) = (rng.between(0.0, length_m), rng.between(0.0, length_m));
    let (start_m, end_m) = (a.min(b), a.max(b));
    if end_m - start_m < 0.02 || !is_judged(check, wedge, start_m, end_m) {
        return None;
    }
    let foot = chain.footprint(start_m, end_m);
    (frontier.admits(&foot) && chain.volume_m3(&foot) >= LEAST_VOLUME_M3).then_some(foot)
}

#[test]
fn no_piece_that_is_drawn_is_held_less_than_the_bracket_says() {
    let count = std::env::var("PIECES_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(24);
    let mut rng = Rng::new(0x91ec);
    let (mut drawn, mut wedges, mut narrow, mut at_an_edge, mut closest) = (0, 0, 0, 0, f64::INFINITY);
    for number in 0..count {
        let (case, check) = case(&mut rng, number % 2 == 1);
        let section = &check.opening.section;
        let (input, asks) = (oracle_input(&case), asked(&case));
        let rules = Rules::new(&input, &asks);
        for piece in judgement(&case, &check) {
            let Some(least) = piece.least else { continue };
            let wedge = check.wedges.iter().find(|w| w.wedge.id == piece.wedge).unwrap();
            let pyramid = pyramid_of(&rules, &case, wedge);
            let chain = Chain::of(section, &Sector::of(&wedge.wedge.cone).unwrap()).unwrap();
            let frontier = Frontier::new(chain, &wedge.wedge.cone, &limits(&case, wedge));
            wedges += 1;
            narrow += usize::from(least.fs_at_least >= least.fs * (1.0 - 1.001e-3));
            assert!(least.fs_at_least <= least.fs);
            // The piece that is named has the factor that is named; where a collar stands on the very edge of its
            // face, so has one a hair larger or beside it.
            let offset = case.patterns[0].offset_m.unwrap_or(0.0);
            let named: Vec<f64> = beside(frontier.chain(), &least.foot)
                .into_iter()
                .flat_map(|apex| [0.0, -EDGE_M, EDGE_M].map(|off_m| (apex, off_m)))
                .filter_map(|(apex, off_m)| {
                    measured(&rules, &pyramid, apex, least.phases_m[0] - offset + off_m)
                })
                .collect();
            let same = |fs: &f64| (fs - least.fs).abs() <= SAME * fs.max(1.0);
            assert!(
                named.is_empty() || named.iter().any(same),
                "{number} {} {named:?} {least:?}",
                piece.wedge
            );
            at_an_edge += usize::from(named.first().is_some_and(|fs| !same(fs)));
            for _ in 0..DRAWN {
                let Some(foot) = drawn_piece(&mut rng, &check, wedge, &frontier) else { continue };
                let [start_m, _, end_m] = foot.along_m;
                let at_m = rng.between(0.0, case.patterns[0].period_m());
                let Some(fs) = measured(&rules, &pyramid, [foot.apex.x, foot.apex.y], at_m) else { continue };
                drawn += 1;
                closest = closest.min(fs / least.fs_at_least.max(1e-12));
                assert!(
                    fs >= least.fs_at_least * (1.0 - ROUNDING),
                    "{number} {} at {start_m} to {end_m}, {at_m}: {fs}\n{least:?}",
                    piece.wedge
                );
            }
        }
    }
    println!(
        "{drawn} pieces of {wedges} wedges drawn, the nearest {closest:.4} of its bracket; {narrow} brackets within 0.1 %; \
         {at_an_edge} of those named at the edge of a collar"
    );
    assert!(drawn > 40 * count && wedges > count && at_an_edge <= wedges / 50);
}

/// The least of all wedges, as a share of what is asked.
fn margin(case: &Case) -> f64 {
    let check = forces_alone(case).unwrap();
    judgement(case, &check)
        .iter()
        .filter_map(|p| {
            let wedge = check.wedges.iter().find(|w| w.wedge.id == p.wedge)?;
            Some(p.least.as_ref()?.fs_at_least / wedge.decided.criterion_fs?)
        })
        .fold(f64::INFINITY, f64::min)
}

/// A bracket is 0.1 % wide where the search ends by itself.
const BRACKET: f64 = 2e-3;

#[test]
fn support_that_is_taken_away_never_makes_it_better() {
    let mut rng = Rng::new(0x5e1f);
    let mut compared = 0;
    for number in 0..16 {
        let (mut case, _) = case(&mut rng, false);
        case.surface_support = vec![mesh(30.0, 0.0)];
        let with = margin(&case);
        let mut weaker = case.clone();
        match number % 4 {
            0 => weaker.surface_support = vec![mesh(20.0, 0.0)],
            1 => weaker.bolts[0].steel_kn *= 0.6,
            2 => weaker.surface_support = vec![mesh(30.0, 1.8)],
            _ => weaker.installation.collar_tolerance_m = Some(0.1),
        }
        let without = margin(&weaker);
        assert!(without <= with * (1.0 + BRACKET), "{number}: {with} {without}");
        // Less friction neither.
        let mut smoother = case.clone();
        for joint in &mut smoother.joints {
            joint.strength.friction_deg *= 0.9;
        }
        let smooth = margin(&smoother);
        assert!(smooth <= with * (1.0 + BRACKET), "{number}: {with} {smooth}");
        compared += 1;
    }
    assert_eq!(compared, 16);
}

#[test]
fn what_is_barred_down_or_meshed_is_nobody_elses() {
    let mut case = crate::worked_case::three_sets();
    case.installation.collar_tolerance_m = Some(0.0);
    let check = forces_alone(&case).unwrap();
    let plain = judgement(&case, &check);
    let falling = |found: &[backhold::study::Judged]| {
        found.iter().find(|p| p.wedge == "A-B-C.111").unwrap().least.clone()
    };
    let bare = falling(&plain).unwrap();
    assert!(bare.volume_m3 < 0.86 && bare.fs < 2.0 && bare.bolts >= 1, "{bare:?}");
    // A mesh that carries any piece twice over is what carries the least one at the latest.
    case.surface_support = vec![mesh(60.0, 0.0)];
    let meshed = falling(&judgement(&case, &check)).unwrap();
    assert!(meshed.fs_at_least >= 2.0 && meshed.needed.contains(&Carrier::Screen), "{meshed:?}");
    // All of them are for the bar.
    case.criteria.scaling_up_to_m3 = Some(0.86);
    assert!(falling(&judgement(&case, &check)).is_none());
}

#[test]
fn a_tolerance_is_that_of_a_layout_within_it() {
    let mut case = crate::worked_case::three_sets();
    case.installation.collar_tolerance_m = Some(0.0);
    let check = forces_alone(&case).unwrap();
    let within: Vec<Layout> = check.layouts.iter().map(|l| l.within(0.15, &check.opening.section)).collect();
    let mut off = case.clone();
    off.installation.collar_tolerance_m = Some(0.15);
    let mut moved = check.clone();
    moved.layouts = within;
    let found = |judged: Vec<Judged>| -> Vec<(Option<LeastPiece>, Uncarried)> {
        judged.into_iter().map(|j| (j.least, j.uncarried)).collect()
    };
    assert_eq!(found(judgement(&off, &check)), found(judgement(&case, &moved)));
}

/// For each wedge that two searches bracket, what the first and the second found.
fn both<'a>(
    first: &'a [Judged],
    second: &'a [Judged],
) -> impl Iterator<Item = (&'a str, &'a LeastPiece, &'a LeastPiece)> {
    first.iter().filter_map(|a| {
        let b = second.iter().find(|b| b.wedge == a.wedge)?;
        Some((a.wedge.as_str(), a.least.as_ref()?, b.least.as_ref()?))
    })
}

fn bracketed(case: &Case) -> Vec<Judged> {
    judgement(case, &forces_alone(case).unwrap())
}

#[test]
fn lower_caps_leave_fewer_pieces_and_none_that_is_worse() {
    let mut rng = Rng::new(0xcab5);
    let mut compared = 0;
    for number in 0..40 {
        let (case, check) = case(&mut rng, true);
        let mut free = case.clone();
        free.limits = Default::default();
        for joint in &mut free.joints {
            joint.max_trace_m = None;
        }
        for (wedge, capped, whole) in both(&judgement(&case, &check), &bracketed(&free)) {
            compared += 1;
            assert!(
                capped.fs >= whole.fs_at_least * (1.0 - ROUNDING),
                "{number} {wedge}\n{capped:?}\n{whole:?}"
            );
        }
    }
    println!("{compared} compared");
    assert!(compared > 40);
}

#[test]
fn more_bolts_and_more_friction_make_no_wedge_worse() {
    let mut rng = Rng::new(0xb017);
    let (mut bolted, mut rougher) = (0, 0);
    for number in 0..16 {
        let (mut case, _) = case(&mut rng, number % 2 == 1);
        case.surface_support = vec![mesh(rng.between(5.0, 40.0), 0.0)];
        let plain = bracketed(&case);
        let mut more = case.clone();
        more.bolts.push(bolt(&mut rng, false));
        more.patterns.push(pattern(&mut rng, 1, None));
        for (wedge, less, more) in both(&plain, &bracketed(&more)) {
            bolted += 1;
            assert!(more.fs >= less.fs_at_least * (1.0 - ROUNDING), "{number} {wedge}\n{less:?}\n{more:?}");
        }
        let mut smoother = case.clone();
        for joint in &mut smoother.joints {
            joint.strength.friction_deg *= 0.9;
        }
        for (wedge, rough, smooth) in both(&plain, &bracketed(&smoother)) {
            rougher += 1;
            assert!(
                smooth.fs_at_least <= rough.fs * (1.0 + ROUNDING),
                "{number} {wedge}\n{rough:?}\n{smooth:?}"
            );
        }
    }
    println!("{bolted} and {rougher} compared");
    assert!(bolted > 16 && rougher > 16);
}

/// The same drive walked from its other end.
fn walked_back(case: &Case) -> Case {
    let mut back = case.clone();
    back.advance.trend_deg = (case.advance.trend_deg + 180.0).rem_euclid(360.0);
    back.advance.plunge_deg = -case.advance.plunge_deg;
    swap_sides(&mut back);
    if let SectionShape::Outline { points } = &mut back.shape {
        points.reverse();
    }
    back
}

#[test]
fn a_drive_walked_the_other_way_has_the_same_least_pieces() {
    let mut rng = Rng::new(0xbac4);
    let mut compared = 0;
    for number in 0..24 {
        let (mut case, check) = case(&mut rng, number % 2 == 1);
        if number % 3 == 0 {
            case.surface_support = vec![mesh(30.0, 0.0)];
        }
        let there = judgement(&case, &check);
        let back = bracketed(&walked_back(&case));
        assert_eq!(there.len(), back.len());
        for (wedge, there, back) in both(&there, &back) {
            compared += 1;
            assert!(
                there.fs_at_least <= back.fs * (1.0 + ROUNDING)
                    && back.fs_at_least <= there.fs * (1.0 + ROUNDING),
                "{number} {wedge}\n{there:?}\n{back:?}"
            );
        }
    }
    println!("{compared} compared");
    assert!(compared > 30);
}

/// Whether what is decided and what is bracketed are one; what each came to is counted in `seen`.
fn agree(number: usize, case: &Case, check: &Check, brackets: &[Judged], seen: &mut [usize; 3]) {
    let decided = decide_pieces(case, check, &|_| Vec::new());
    assert_eq!(decided.len(), brackets.len());
    for (bracket, decided) in brackets.iter().zip(&decided) {
        assert_eq!(bracket.wedge, decided.wedge);
        let wedge = check.wedges.iter().find(|w| w.wedge.id == bracket.wedge).unwrap();
        let asked = wedge.decided.criterion_fs.unwrap();
        let said = format!("{number} {decided:?}\n{bracket:?}");
        match (&decided.decision, &bracket.least) {
            (Decision::Short(short), Some(least)) => {
                seen[0] += 1;
                assert!(short.fs < asked && least.fs_at_least <= short.fs, "{said}");
                // Known before, it is found at once.
                let again = decide_pieces(case, check, &|id| {
                    (id == bracket.wedge).then(|| short.at.clone()).into_iter().collect()
                });
                let again = again.iter().find(|d| d.wedge == bracket.wedge).unwrap();
                let Decision::Short(same) = &again.decision else { panic!("{again:?}") };
                assert!((same.fs - short.fs).abs() <= 1e-6 * asked, "{said} {again:?}");
            }
            (Decision::Short(_), None) => panic!("{said}"),
            (Decision::Held(uncarried), least) => {
                seen[1] += 1;
                assert!(least.as_ref().is_none_or(|l| l.fs >= asked), "{said}");
                assert_eq!(*uncarried, bracket.uncarried);
            }
            (Decision::Open, _) => seen[2] += 1,
        }
    }
}

#[test]
fn what_is_decided_is_what_is_bracketed() {
    let mut rng = Rng::new(0xdec1);
    let mut seen = [0; 3];
    for number in 0..24 {
        let (mut case, check) = case(&mut rng, number % 2 == 1);
        agree(number, &case, &check, &judgement(&case, &check), &mut seen);
        case.installation.collar_tolerance_m = Some(0.1);
        agree(number, &case, &check, &judgement(&case, &check), &mut seen);
        case.surface_support = vec![mesh(30.0, 0.0)];
        agree(number, &case, &check, &judgement(&case, &check), &mut seen);
    }
    println!("{} short, {} held, {} open", seen[0], seen[1], seen[2]);
    assert!(seen[0] > 10 && seen[1] > 40 && 20 * seen[2] <= seen[0] + seen[1]);
}

#[test]
fn a_piece_that_nothing_is_on_is_found_where_there_is_one() {
    let mut rng = Rng::new(0x0a1e);
    let (mut found, mut absent) = (0, 0);
    for number in 0..24 {
        let (mut case, check) = case(&mut rng, number % 2 == 1);
        if number % 3 == 0 {
            case.criteria.scaling_up_to_m3 = Some(rng.between(0.05, 2.0));
        }
        let (input, asks) = (oracle_input(&case), asked(&case));
        let rules = Rules::new(&input, &asks);
        for bracket in judgement(&case, &check) {
            let wedge = check.wedges.iter().find(|w| w.wedge.id == bracket.wedge).unwrap();
            let chain = Chain::of(&check.opening.section, &Sector::of(&wedge.wedge.cone).unwrap()).unwrap();
            let frontier = Frontier::new(chain, &wedge.wedge.cone, &limits(&case, wedge));
            let pyramid = pyramid_of(&rules, &case, wedge);
            let bar_m3 = case.criteria.scaling_up_to_m3.unwrap_or(0.0);
            let offset = case.patterns[0].offset_m.unwrap_or(0.0);
            match &bracket.uncarried {
                Uncarried::Found(at) => {
                    found += 1;
                    assert!(frontier.admits(&at.foot) && at.volume_m3 >= LEAST_VOLUME_M3.max(bar_m3));
                    let apex = [at.foot.apex.x, at.foot.apex.y];
                    let at_m = [at.phases_m[0] - offset];
                    let there = rules.measure(&pyramid, apex, &at_m, Disc::Steepest, -EDGE_M);
                    assert!(matches!(there, Piece::Unjudged), "{number} {there:?} {bracket:?}");
                }
                Uncarried::Absent => {
                    absent += 1;
                    for _ in 0..DRAWN {
                        let Some(foot) = drawn_piece(&mut rng, &check, wedge, &frontier) else { continue };
                        let [start_m, _, end_m] = foot.along_m;
                        if chain.volume_m3(&foot) <= bar_m3 {
                            continue;
                        }
                        let at_m = rng.between(0.0, case.patterns[0].period_m());
                        let apex = [foot.apex.x, foot.apex.y];
                        let there = rules.measure(&pyramid, apex, &[at_m], Disc::Steepest, EDGE_M);
                        assert!(
                            !matches!(there, Piece::Unjudged),
                            "{number} {start_m} {end_m} {at_m} {bracket:?}"
                        );
                    }
                }
                Uncarried::Open => {}
            }
        }
    }
    println!("{found} found, {absent} absent");
    assert!(found > 10 && absent > 10);
}
