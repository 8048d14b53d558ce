//! Chances against closed forms and quadrature, the fast way against a check, parts against the whole, files
//! against each other.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::f64::consts::{PI, TAU};

use statrs::distribution::{ContinuousCDF, Normal};

use crate::program::{Run, backhold, files, ran};
use crate::random_cases::{Rng, bare, random_whole_case, set};
use backhold::case::{
    Case, Criteria, Joint, Law, Quantity, ReadCase, Scatter, Scattered, ScatteredInput, parse_case,
};
use backhold::input::Problems;
use backhold::numeric::wilson_95;
use backhold::opening::SectionShape;
use backhold::orientation::{Line, Plane, Vec3};
use backhold::stability::Mode;
use backhold::study::chance::{
    Chance, ChanceAsk, DrawnWedge, QUANTILE_ERROR, Spread, chance, drawn_case, drawn_planes, drawn_wedges,
    drivers, pyramid_id,
};
use backhold::study::{CheckedWedge, Steps, forces_alone};
use backhold::support::{Bolt, BoltKind, Pattern};

const SAMPLE: &str = "samples/scattered_haulage.toml";

fn asked(draws: u64, seed: u64, spread: Spread) -> ChanceAsk {
    ChanceAsk { from: 0, to: draws, seed, spread, half_width: None, judged: 0 }
}

fn found(case: &Case, scatter: &Scatter, ask: &ChanceAsk) -> Chance {
    chance(case, scatter, ask, &Steps::default()).unwrap()
}

fn normal(quantity: Quantity, mean: f64, sd: f64) -> ScatteredInput {
    let law = Law::Normal { mean, sd };
    let scattered = Scattered::new(law, f64::NEG_INFINITY, f64::INFINITY).unwrap();
    ScatteredInput { quantity, key: format!("{quantity:?}"), scattered, factor: 1.0 }
}

fn scatter(inputs: Vec<ScatteredInput>) -> Scatter {
    Scatter { inputs, ..Scatter::default() }
}

/// Joint A dips 50° to the west out of the right wall of a drive to the north; the others only cut its block
/// off: it slides on A alone.
fn wall() -> Case {
    let joints = vec![
        set("A", 50.0, 270.0, 30.0, 0.0),
        set("B", 70.0, 135.0, 35.0, 0.0),
        set("C", 70.0, 45.0, 35.0, 0.0),
    ];
    let shape = SectionShape::Flat { width_m: 5.0, height_m: 4.0 };
    let case = bare(shape, Line { trend_deg: 0.0, plunge_deg: 0.0 }, joints);
    Case { criteria: Criteria::of(1.0, 1.0), ..case }
}

const ON_A: usize = 0b011;

/// Three joints of 60° whose pyramid hangs over the back.
fn roof() -> Case {
    let joints = [0.0, 120.0, 240.0];
    let joints = joints.iter().zip(["A", "B", "C"]).map(|(dd, name)| set(name, 60.0, *dd + 15.0, 30.0, 0.0));
    let shape = SectionShape::Flat { width_m: 5.0, height_m: 4.0 };
    bare(shape, Line { trend_deg: 20.0, plunge_deg: 0.0 }, joints.collect())
}

/// Four standard errors of a share.
fn four_errors(share: f64, draws: u64) -> f64 {
    4.0 * (share * (1.0 - share) / draws as f64).sqrt()
}

/// FS = tan φ / tan ψ, so that it is below 1 where φ < ψ: Φ((ψ − μ)/σ), for any normal φ.
#[test]
fn a_block_on_one_plane_is_short_as_often_as_the_normal_law_says() {
    let case = wall();
    let (mean, sd, draws) = (52.0, 3.0, 20_000);
    let scatter = scatter(vec![normal(Quantity::Friction(0), mean, sd)]);
    let one = drawn_wedges(&case, &scatter, &asked(1, 1, Spread::Plain), 0, false).unwrap();
    assert!(one.iter().any(|w| w.pyramid == ON_A && w.mode == Mode::SlidingOnOne(0)), "{one:?}");
    let exact = Normal::new(mean, sd).unwrap().cdf(50.0);
    for spread in [Spread::Plain, Spread::LatinHypercube] {
        let tally = found(&case, &scatter, &asked(draws, 1, spread)).tally;
        let of = &tally.pyramids[ON_A];
        assert_eq!((of.moves, of.falls), (draws, 0));
        let share = of.short.bare as f64 / draws as f64;
        // Of one input a lot has one draw in each thousandth: nothing but the thousandth at the border is left
        // to chance.
        let room = if spread == Spread::Plain { four_errors(exact, draws) } else { 1e-3 };
        assert!((share - exact).abs() < room, "{share} {exact}");
    }
}

/// One bolt after the other whose toe gives first: what holds a falling wedge goes with the bond, so that
/// FS = f · bond at any place, and P(FS < 2) = Φ((2/f − μ)/σ).
#[test]
fn a_falling_wedge_is_short_as_often_as_its_bond_is_weak() {
    let mut case = roof();
    // Steel and plate never give; bonded so short beyond the joint that the toe is weaker than the head.
    case.bolts = vec![Bolt::bonded("long", BoltKind::Resin, 1e5, 100.0, 1e5)];
    case.patterns = vec![Pattern::of_back(0, 3.0, 1.0, 1.0)];
    let alone = forces_alone(&case).unwrap();
    let falls = alone.wedges.iter().find(|w| w.wedge.stability.motion.mode == Mode::Falling).unwrap();
    let per_bond = falls.found.fs_bolted.unwrap() / 100.0;
    assert!(per_bond > 0.0);
    let (mean, sd, draws) = (1.9 / per_bond, 0.2 / per_bond, 4000);
    let scatter = scatter(vec![normal(Quantity::Bond(0), mean, sd)]);
    let exact = Normal::new(mean, sd).unwrap().cdf(2.0 / per_bond);
    let tally = found(&case, &scatter, &asked(draws, 5, Spread::Plain)).tally;
    let of = tally.pyramids.iter().find(|p| p.falls == draws).unwrap();
    assert_eq!((of.moves, of.short.bare), (draws, draws));
    let share = of.short.bolted as f64 / draws as f64;
    assert!((share - exact).abs() < four_errors(exact, draws), "{share} {exact}");
}

/// Volume of the wedge that three planes cut out of a flat back of width w, by this test's own arithmetic:
/// edges from a unit height, drawn up until they span the width.
fn in_a_flat_back(normals: [Vec3; 3], across: &Vec3, width_m: f64) -> f64 {
    let down = normals.map(|n| if n.z > 0.0 { -n } else { n });
    let edge = |i: usize| {
        let e = down[(i + 1) % 3].cross(&down[(i + 2) % 3]);
        e / -e.z
    };
    let edges = [edge(0), edge(1), edge(2)];
    let places = edges.map(|e| e.dot(across));
    let span =
        places.iter().fold(f64::MIN, |a, b| a.max(*b)) - places.iter().fold(f64::MAX, |a, b| a.min(*b));
    edges[0].dot(&edges[1].cross(&edges[2])).abs() / 6.0 * (width_m / span).powi(3)
}

/// One set scattered by Fisher's law: the mean volume is the integral over both angles, and so is its square.
#[test]
fn the_mean_volume_is_that_of_quadrature() {
    let mut case = roof();
    let k = 400.0;
    case.joints[0].fisher_k = Some(k);
    let normals = [0, 1, 2].map(|j: usize| case.joints[j].plane.upward_normal().into_inner());
    let across = Vec3::new(20f64.to_radians().cos(), -20f64.to_radians().sin(), 0.0);
    let mean = normals[0];
    let a = mean.cross(&Vec3::z()).normalize();
    let b = mean.cross(&a);
    let (steps, mut sums) = (400, [0.0; 2]);
    for i in 0..steps {
        for j in 0..steps {
            // The middle of even parts of the law.
            let [u, turn] = [i, j].map(|n| (f64::from(n) + 0.5) / f64::from(steps));
            let cos = 1.0 + (1.0 - u * (1.0 - (-2.0 * k).exp())).ln() / k;
            let sin = (1.0 - cos * cos).sqrt();
            let n = mean * cos + (a * (TAU * turn).cos() + b * (TAU * turn).sin()) * sin;
            let volume = in_a_flat_back([n, normals[1], normals[2]], &across, 5.0);
            sums[0] += volume / f64::from(steps * steps);
            sums[1] += volume * volume / f64::from(steps * steps);
        }
    }
    let exact = sums[0];
    let sd = (sums[1] - exact * exact).sqrt();
    let draws = 20_000;
    let tally = found(&case, &Scatter::default(), &asked(draws, 2, Spread::Plain)).tally;
    let of = tally.pyramids.iter().find(|p| p.falls == draws).unwrap();
    let mean_m3 = of.volume_cm3 as f64 * 1e-6 / draws as f64;
    assert!((mean_m3 - exact).abs() < 4.0 * sd / (draws as f64).sqrt(), "{mean_m3} {exact} {sd}");
    assert!(sd > 0.03 * exact, "it scatters: {sd} {exact}");
}

/// Of a thousand seeds so many intervals hold the exact chance as are said to, 95 %, within four standard
/// errors (0.028) and what a count of 200 leaves of it.
#[test]
fn intervals_hold_as_often_as_they_say() {
    let case = wall();
    let scatter = scatter(vec![normal(Quantity::Friction(0), 51.0, 3.0)]);
    let exact = Normal::new(51.0, 3.0).unwrap().cdf(50.0);
    let held = (0..1000).filter(|seed| {
        let tally = found(&case, &scatter, &asked(200, *seed, Spread::Plain)).tally;
        let [low, high] = wilson_95(tally.pyramids[ON_A].short.bare, 200);
        (low..=high).contains(&exact)
    });
    let share = held.count() as f64 / 1000.0;
    println!("{share} of 1,000 intervals hold the chance");
    assert!((share - 0.95).abs() < 0.028, "{share}");
}

/// K comes back as (N − 1)/(N − R), and angles follow Fisher's law: Kolmogorov-Smirnov, at one in a thousand
/// (1.95/√n), of the angle off the mean; Kuiper, at the same (2.30/√n), of the way that it goes.
#[test]
fn fisher_draws_are_fishers() {
    let mut case = roof();
    let k = 45.0;
    for joint in &mut case.joints {
        joint.plane.dip_deg = 40.0;
        joint.fisher_k = Some(k);
    }
    let draws = 8000;
    let planes = drawn_planes(&case, &Scatter::default(), &asked(draws, 9, Spread::Plain), draws).unwrap();
    for joint in 0..3 {
        let mean = case.joints[joint].plane.upward_normal().into_inner();
        let normals: Vec<Vec3> = planes.iter().map(|p| p[joint].upward_normal().into_inner()).collect();
        let n = draws as f64;
        let resultant = normals.iter().sum::<Vec3>().norm();
        let found_k = (n - 1.0) / (n - resultant);
        assert!((found_k / k - 1.0).abs() < 4.0 / n.sqrt(), "{found_k}");
        let a = mean.cross(&Vec3::z()).normalize();
        let b = mean.cross(&a);
        let law = |cos: f64| (1.0 - (-k * (1.0 - cos)).exp()) / (1.0 - (-2.0 * k).exp());
        let off: Vec<f64> = normals.iter().map(|v| law(v.dot(&mean))).collect();
        let turn: Vec<f64> =
            normals.iter().map(|v| (v.dot(&b).atan2(v.dot(&a)) / TAU).rem_euclid(1.0)).collect();
        // How far the shares lie above and below even ones at most.
        let apart = |mut shares: Vec<f64>| {
            shares.sort_by(f64::total_cmp);
            let even = shares.iter().enumerate();
            even.fold((0.0f64, 0.0f64), |(over, under), (i, share)| {
                (over.max((i + 1) as f64 / n - share), under.max(share - i as f64 / n))
            })
        };
        let (over, under) = apart(off);
        assert!(over.max(under) < 1.95 / n.sqrt(), "{over} {under}");
        // On a circle, where no direction is the first, both count together (Kuiper 1960).
        let (over, under) = apart(turn);
        assert!(over + under < 2.30 / n.sqrt(), "{over} {under}");
    }
}

/// What a check finds of the wedges that can move, in the order of the check.
fn of_check(case: &Case) -> Vec<CheckedWedge> {
    let moves = |w: &CheckedWedge| w.wedge.stability.motion.mode != Mode::NoMotion;
    forces_alone(case).unwrap().wedges.into_iter().filter(moves).collect()
}

fn near(a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

/// Same wedges, same numbers.
fn agree(case: &Case, drawn: &[DrawnWedge], checked: &[CheckedWedge], what: &str) {
    let ids: Vec<String> = drawn.iter().map(|w| pyramid_id(case, w.pyramid)).collect();
    let wanted: Vec<&str> = checked.iter().map(|w| w.wedge.id.as_str()).collect();
    assert_eq!(ids, wanted, "{what}");
    for (a, b) in drawn.iter().zip(checked) {
        let id = &b.wedge.id;
        assert_eq!(a.mode, b.wedge.stability.motion.mode, "{what} {id}");
        let volume_m3 = b.wedge.shape.volume_m3;
        assert!(near(a.volume_m3, volume_m3), "{what} {id} {} {volume_m3}", a.volume_m3);
        assert!(near(a.weight_kn, b.wedge.weight_kn), "{what} {id}");
        assert!(near(a.fs_bare, b.found.fs_bare), "{what} {id} {} {}", a.fs_bare, b.found.fs_bare);
        let (mine, theirs) = (a.fs_bolted, b.found.fs_bolted);
        assert_eq!(mine.is_some(), theirs.is_some(), "{what} {id}");
        if let (Some(mine), Some(theirs)) = (mine, theirs) {
            assert!(near(mine, theirs), "{what} {id} bolted {mine} {theirs}");
        }
        assert!(near(a.needed_kn, b.force_needed_kn()), "{what} {id}");
        let shows = backhold::opening::Surface::ALL.map(|s| b.wedge.surfaces.contains(&s));
        assert_eq!(a.shows_on, shows, "{what} {id}");
    }
}

/// The heart of it: random drives with random bolts, caps, cohesion and inclines, each with sets that scatter
/// widely, and the sample: every wedge of every draw as a check of that draw's own case has it.
#[test]
fn every_draw_is_as_a_check_of_it() {
    let mut rng = Rng::new(17);
    let mut compared = [0usize; 2];
    for number in 0..16 {
        let Some(mut case) = random_whole_case(&mut rng, number) else { continue };
        case.joints.iter_mut().for_each(|j| j.fisher_k = Some(40.0));
        let inputs = vec![
            normal(Quantity::Friction(0), 33.0, 2.0),
            normal(Quantity::Cohesion(1), 20.0, 2.0),
            normal(Quantity::UnitWeight, 26.0, 0.5),
        ];
        compare(&case, &scatter(inputs), 3, &format!("case {number}"), &mut compared);
        // The same without caps: most wedges go the fast way then.
        case.limits = backhold::case::SizeLimits::default();
        case.joints.iter_mut().for_each(|j| j.max_trace_m = None);
        compare(&case, &Scatter::default(), 12, &format!("case {number} without caps"), &mut compared);
    }
    let read = read_sample();
    compare(&read.case, &read.scatter, 60, "the sample", &mut compared);
    println!("{} wedges, {} of them with bolts", compared[0], compared[1]);
    assert!(compared[0] > 300 && compared[1] > 150, "{compared:?}");
}

/// Rows of bolts laid out once for all draws against the placement search that a check makes, for bolts whose head,
/// steel or toe gives first or never does, staggered, two patterns that slide together or each by itself.
#[test]
fn rows_laid_out_once_give_what_the_placement_search_gives() {
    let mut rng = Rng::new(29);
    let (mut bolted, mut held) = (0, 0);
    for number in 0..60 {
        let joints = ["A", "B", "C"].map(|name| {
            let cohesion_kpa = if rng.chance(0.3) { rng.between(0.0, 20.0) } else { 0.0 };
            let (dip_deg, towards_deg) = (rng.between(20.0, 89.0), rng.between(0.0, 360.0));
            let joint = set(name, dip_deg, towards_deg, rng.between(15.0, 40.0), cohesion_kpa);
            Joint { fisher_k: Some(40.0), ..joint }
        });
        let shape = if rng.chance(0.4) {
            SectionShape::Flat { width_m: rng.between(3.0, 7.0), height_m: rng.between(3.0, 5.5) }
        } else {
            SectionShape::Arched {
                width_m: 5.0,
                wall_height_m: rng.between(2.0, 3.5),
                rise_m: rng.between(0.8, 2.4),
            }
        };
        let advance = Line { trend_deg: rng.between(0.0, 360.0), plunge_deg: rng.between(-10.0, 10.0) };
        let mut case = bare(shape, advance, joints.to_vec());
        let mut bolt = |name: &str| {
            let (steel_kn, plate_kn) = (rng.between(40.0, 250.0), rng.between(0.0, 260.0));
            Bolt::bonded(name, BoltKind::Resin, steel_kn, rng.between(40.0, 300.0), plate_kn)
        };
        case.bolts = vec![bolt("short"), bolt("long")];
        let length_m = rng.between(1.5, 3.5);
        let short = Pattern {
            stagger: rng.chance(0.4),
            ..Pattern::of_back(0, length_m, rng.between(0.8, 2.0), rng.between(0.8, 1.8)).down_walls(1.2)
        };
        let long = Pattern::of_back(1, rng.between(2.5, 6.0), rng.between(1.5, 3.0), rng.between(1.5, 2.2));
        case.patterns = match number % 3 {
            0 => vec![short],
            1 => vec![short, long],
            _ => vec![
                Pattern { ring_spacing_m: 1.2, offset_m: Some(0.3), ..short },
                Pattern { ring_spacing_m: 1.8, offset_m: Some(0.7), ..long },
            ],
        };
        for index in 0..10 {
            let ask = asked(10, 3, Spread::Plain);
            let of = |general| drawn_wedges(&case, &Scatter::default(), &ask, index, general).unwrap();
            let (rows, search) = (of(false), of(true));
            assert_eq!(rows.len(), search.len(), "{number} {index}");
            for (a, b) in rows.iter().zip(&search) {
                assert_eq!((a.pyramid, a.mode, a.shows_on), (b.pyramid, b.mode, b.shows_on));
                assert_eq!(a.fs_bolted.is_some(), b.fs_bolted.is_some());
                let Some((mine, theirs)) = a.fs_bolted.zip(b.fs_bolted) else { continue };
                // Where nothing holds, a toe that ends at its joint may give the last bit of its bond.
                assert!(near(mine, theirs) || mine.max(theirs) < 1e-12, "{number} {index}: {a:?} {b:?}");
                bolted += 1;
                held += usize::from(mine > a.fs_bare);
            }
        }
    }
    assert!(bolted > 800 && held > 200, "{bolted} {held}");
}

fn compare(case: &Case, scatter: &Scatter, draws: u64, what: &str, compared: &mut [usize; 2]) {
    let ask = asked(draws, 4, Spread::Plain);
    for index in 0..draws {
        let own = drawn_case(case, scatter, &ask, index).unwrap();
        let checked = of_check(&own);
        let what = format!("{what}, draw {index}");
        // The draw's own case, in which nothing scatters: the very planes of the check.
        let mut fixed = own.clone();
        fixed.joints.iter_mut().for_each(|j| j.fisher_k = None);
        let nothing = Scatter::default();
        let fast = drawn_wedges(&fixed, &nothing, &ask, 0, false).unwrap();
        agree(&fixed, &fast, &checked, &what);
        if index == 0 {
            agree(&fixed, &drawn_wedges(&fixed, &nothing, &ask, 0, true).unwrap(), &checked, &what);
        }
        // The draw itself: without caps its normals differ from those of dip and dip direction by their last bits.
        let drawn = drawn_wedges(case, scatter, &ask, index, false).unwrap();
        assert_eq!(drawn.len(), fast.len(), "{what}");
        for (a, b) in drawn.iter().zip(&fast) {
            assert_eq!((a.pyramid, a.mode), (b.pyramid, b.mode), "{what}");
            assert!(near(a.volume_m3, b.volume_m3) && near(a.fs_bare, b.fs_bare), "{what}: {a:?} {b:?}");
            let bolted = a.fs_bolted.zip(b.fs_bolted);
            assert!(bolted.is_none_or(|(a, b)| near(a, b)), "{what}: {a:?} {b:?}");
        }
        compared[0] += fast.len();
        compared[1] += fast.iter().filter(|w| w.fs_bolted.is_some()).count();
    }
}

fn read_sample() -> ReadCase {
    backhold::read_case(std::path::Path::new(SAMPLE)).unwrap()
}

#[test]
fn without_scatter_every_draw_is_the_check() {
    let mut case = read_sample().case;
    case.joints.iter_mut().for_each(|j| j.fisher_k = None);
    case.installation.ineffective_share = None;
    let checked = of_check(&case);
    let ask = asked(50, 3, Spread::Plain);
    for index in [0, 49] {
        agree(
            &case,
            &drawn_wedges(&case, &Scatter::default(), &ask, index, false).unwrap(),
            &checked,
            "fixed",
        );
    }
    let whole = found(&case, &Scatter::default(), &ask);
    for (at, of) in whole.tally.pyramids.iter().enumerate() {
        let id = pyramid_id(&case, at);
        let wedge = checked.iter().find(|w| w.wedge.id == id);
        let times = |yes: bool| if yes { 50 } else { 0 };
        assert_eq!(of.moves, times(wedge.is_some()), "{id}");
        let short = |fs: Option<f64>| {
            wedge.is_some_and(|w| fs.is_some_and(|fs| fs < w.decided.criterion_fs.unwrap()))
        };
        assert_eq!(of.short.bare, times(short(wedge.map(|w| w.found.fs_bare))), "{id}");
        assert_eq!(of.short.bolted, times(short(wedge.and_then(|w| w.found.fs_bolted))), "{id}");
        assert_eq!(of.short.somewhere, 0);
    }
    assert!(whole.driver_draws.is_empty() && drivers(&case, &Scatter::default(), &whole).is_empty());
}

#[test]
fn threads_and_parts_change_nothing() {
    let read = read_sample();
    for spread in [Spread::Plain, Spread::LatinHypercube] {
        let ask = asked(2600, 8, spread);
        let on = |threads: usize, ask: &ChanceAsk| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| found(&read.case, &read.scatter, ask))
        };
        let whole = on(1, &ask);
        assert_eq!(whole, on(2, &ask));
        assert_eq!(whole, on(8, &ask));
        if spread == Spread::Plain {
            let judged = on(2, &ChanceAsk { judged: 1, to: 2, ..ask }).judged;
            assert!(judged.len() == 1 && judged[0].index == 0, "{judged:?}");
        }
        // Parts that begin in the middle of a lot, put together in another order.
        let ends = [0, 1, 700, 1900, 2600];
        let mut parts: Vec<Chance> = ends
            .windows(2)
            .map(|w| found(&read.case, &read.scatter, &ChanceAsk { from: w[0], to: w[1], ..ask }))
            .collect();
        parts.swap(0, 3);
        assert_eq!(Chance::merge(parts.clone()).unwrap(), whole);
        parts.remove(1);
        assert!(Chance::merge(parts.clone()).unwrap_err().to_string().contains("in none of the parts"));
        parts.push(parts[0].clone());
        assert!(Chance::merge(parts).is_err());
        assert!(Chance::merge(Vec::new()).is_err());
    }
}

#[test]
fn a_run_ends_once_the_chance_is_known() {
    let case = wall();
    let scatter = scatter(vec![normal(Quantity::Friction(0), 52.0, 3.0)]);
    let ask = ChanceAsk { half_width: Some(0.008), ..asked(100_000, 1, Spread::Plain) };
    let run = found(&case, &scatter, &ask);
    let width = |found: &Chance| {
        let [low, high] = wilson_95(found.short(&case), found.draws());
        0.5 * (high - low)
    };
    assert!(
        run.draws() < 100_000 && run.draws().is_multiple_of(10_000) && width(&run) <= 0.008,
        "{}",
        run.draws()
    );
    if run.draws() > 10_000 {
        let before = found(&case, &scatter, &asked(run.draws() - 10_000, 1, Spread::Plain));
        assert!(width(&before) > 0.008);
    }
}

/// Chance of meeting: published formula, of a draw without scatter.
#[test]
fn meeting_is_that_of_spacings_and_orientations() {
    let joints = [(70.0, 90.0, 0.8), (65.0, 210.0, 1.2), (60.0, 330.0, 1.5), (10.0, 45.0, 2.0)];
    let joints = joints.iter().zip(["1", "2", "3", "4"]).map(|(&(dip, dd, spacing), name)| Joint {
        spacing_m: Some(spacing),
        ..set(name, dip, dd, 30.0, 0.0)
    });
    let shape = SectionShape::Flat { width_m: 5.0, height_m: 4.0 };
    let case = bare(shape, Line { trend_deg: 10.0, plunge_deg: 0.0 }, joints.collect());
    let found = found(&case, &Scatter::default(), &asked(10, 1, Spread::Plain));
    let meets = backhold::study::chance::meets(&found);
    // Derived from the formula of Hatzor & Feintuch (2005), confirmed by Monte Carlo: 123, 124, 134, 234.
    for (meets, wanted) in meets.iter().zip([0.4236, 0.2690, 0.1659, 0.1416]) {
        assert!((meets - wanted).abs() < 1e-4, "{meets} {wanted}");
    }
}

fn parsed(text: &str) -> Result<ReadCase, Problems> {
    parse_case(text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into()))
}

/// The sample with one line changed; the line's number.
fn changed(from: &str, to: &str) -> (String, usize) {
    let text = std::fs::read_to_string(SAMPLE).unwrap();
    let at = text.lines().position(|l| l.contains(from)).unwrap();
    (text.replacen(from, to, 1), at + 1)
}

#[test]
fn laws_that_make_no_sense_are_refused_with_their_line() {
    let friction = "friction_deg = { mean = 32.0, sd = 3.0 }";
    let rows = [
        ("{ mean = 32.0, sd = -3.0 }", ".sd", "-3.0"),
        ("{ mean = 32.0, sd = 0 }", ".sd", "0"),
        ("{ mean = 32.0 }", ".sd", "nothing"),
        ("{ sd = 3.0 }", ".mean", "nothing"),
        ("{ mean = 95.0, sd = 3.0 }", ".mean", "a mean of 95"),
        (
            "{ mean = 32.0, sd = 3.0, min = 60.0, max = 70.0 }",
            "",
            "a law of which nothing lies from 60 to 70",
        ),
        ("{ mean = 32.0, sd = 3.0, min = 35.0, max = 30.0 }", ".max", "30, not above min, 35"),
        ("{ mean = 32.0, sd = 3.0, mode = 30.0 }", ".mode", "which a normal law does not have"),
        ("{ mean = 32.0, sd = 3.0, max = 95.0 }", ".max", "95, which friction_deg cannot be"),
        (
            "{ kind = \"triangular\", min = 20.0, mode = 40.0, max = 35.0 }",
            ".mode",
            "40, outside of 20 to 35",
        ),
        ("{ kind = \"triangular\", min = 20.0, max = 35.0 }", ".mode", "nothing"),
        ("{ kind = \"uniform\", min = 35.0, max = 20.0 }", ".max", "20, not above min, 35"),
        ("{ kind = \"lognormal\", mean = 0.0, sd = 2.0 }", ".mean", "0"),
        ("{ kind = \"data\", values = [] }", ".values", "nothing"),
        ("{ kind = \"data\", values = [90.0, 95.0] }", "", "a mean of 92.5"),
        ("{ kind = \"beta\", mean = 3.0 }", ".kind", "\"beta\""),
        ("{ mean = 32.0, sdev = 3.0 }", ".sdev", "the unknown key \"sdev\""),
        ("\"32\"", "", "the text \"32\""),
        ("true", "", "true"),
    ];
    for (value, key, says) in rows {
        let (text, line) = changed(friction, &format!("friction_deg = {value}"));
        let problems = parsed(&text).unwrap_err();
        let problem = &problems.list()[0];
        assert_eq!(problem.line, Some(line), "{value}: {problems}");
        assert_eq!(problem.key, format!("joint_set[1].friction_deg{key}"), "{value}: {problems}");
        assert!(problem.found.contains(says), "{value}: {problems}");
        assert!(!problem.advice.is_empty() && !problem.allowed.is_empty(), "{value}: {problems}");
    }
    // A correlation of what does not scatter, and all of them at once.
    let (text, _) =
        changed("cohesion_kpa = { kind = \"lognormal\", mean = 4.0, sd = 2.0 }", "cohesion_kpa = 4.0");
    let text = text.replace(friction, "friction_deg = { mean = 32.0, sd = -1.0 }");
    let text = text.replace("sd = 0.4 }", "sd = 0.4, min = 90.0 }");
    let problems = parsed(&text).unwrap_err();
    let keys: Vec<&str> = problems.list().iter().map(|p| p.key.as_str()).collect();
    let wanted = [
        "rock.unit_weight_kn_m3.min",
        "joint_set[1].friction_deg.sd",
        "joint_set[2].friction_cohesion_correlation",
    ];
    assert_eq!(keys, wanted, "{problems}");
    // A key that may not scatter.
    let (text, line) = changed("dip_deg = 68.0", "dip_deg = { mean = 68.0, sd = 2.0 }");
    let problems = parsed(&text).unwrap_err();
    assert_eq!(
        (problems.list()[0].line, problems.list()[0].key.as_str()),
        (Some(line), "joint_set[1].dip_deg")
    );
}

#[test]
fn a_check_takes_the_means() {
    let read = read_sample();
    assert_eq!(read.case.unit_weight_kn_m3, 27.0);
    let frictions: Vec<f64> = read.case.joints.iter().map(|j| j.strength.friction_deg).collect();
    assert_eq!(frictions, [32.0, 30.0, 28.5]);
    assert!((read.case.joints[1].spacing_m.unwrap() - 1.2).abs() < 1e-12);
    assert_eq!(read.scatter.inputs.len(), 7);
    assert_eq!(read.scatter.friction_cohesion, [(1, -0.4)]);
    let b = &read.scatter.inputs[2];
    assert_eq!((b.key.as_str(), b.scattered.ends()), ("B.friction_deg", [22.0, 38.0]));
    // What the key allows counts as an end too.
    assert_eq!(read.scatter.inputs[1].scattered.ends(), [0.0, 85.0]);
    let note = read.notes.iter().find(|n| n.found.contains("backhold chance")).unwrap();
    assert!(note.found.contains("A.friction_deg"));
    // What is left of a bolt is left of what is drawn.
    let (text, _) = changed("plate_kn = 100.0", "plate_kn = 100.0\nbond_factor = 0.5");
    let left = parsed(&text).unwrap();
    assert_eq!(left.scatter.inputs[6].factor, 0.5);
    let ask = asked(3, 1, Spread::Plain);
    let bond =
        |read: &ReadCase| match drawn_case(&read.case, &read.scatter, &ask, 2).unwrap().bolts[0].anchorage {
            backhold::support::Anchorage::Bonded { bond_kn_per_m } => bond_kn_per_m,
            _ => f64::NAN,
        };
    assert_eq!(bond(&left), 0.5 * bond(&read));
}

fn sampled() -> &'static Run {
    ran(&["chance", SAMPLE, "--draws", "1500", "--seed", "3", "--samples"])
}

/// A table by its header.
fn rows(text: &str) -> Vec<std::collections::BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.deserialize().map(|row| row.unwrap()).collect()
}

#[test]
fn the_tables_say_what_every_draw_says() {
    let run = sampled();
    let samples = rows(run.text("samples.csv"));
    assert_eq!(samples.len(), 1500);
    let all = &rows(run.text("chance.csv"))[0];
    let number = |row: &std::collections::BTreeMap<String, String>, key: &str| -> f64 {
        row[key].parse().unwrap_or(0.0)
    };
    let count = |key: &str| samples.iter().filter(|s| number(s, key) > 0.0).count() as f64;
    assert_eq!(number(all, "draws"), 1500.0);
    assert_eq!(number(all, "moves"), count("moves"));
    assert_eq!(number(all, "short_bare"), count("short_bare"));
    assert_eq!(number(all, "short_bolted"), count("short_bolted"));
    assert!((number(all, "chance_short_bolted") - count("short_bolted") / 1500.0).abs() < 1e-12);
    let [low, high] = wilson_95(count("short_bolted") as u64, 1500);
    assert_eq!(
        (number(all, "chance_short_bolted_low"), number(all, "chance_short_bolted_high")),
        (low, high)
    );
    for (of, table) in [("largest_m3", "volume"), ("needed_kn", "needed")] {
        let mut values: Vec<f64> = samples.iter().map(|s| number(s, of)).collect();
        values.sort_by(f64::total_cmp);
        let unit = if of == "largest_m3" { "m3" } else { "kn" };
        for share in [50, 90, 95, 99] {
            let exact = values[1500 * share / 100 - 1];
            let told = number(all, &format!("{table}_{share}_{unit}"));
            assert!((told / exact - 1.0).abs() <= QUANTILE_ERROR, "{of} {share}: {told} {exact}");
        }
    }
    // Exceedance falls, from all to few, and agrees with the draws where it is asked.
    let exceedance = rows(run.text("exceedance.csv"));
    let of_all: Vec<_> =
        exceedance.iter().filter(|r| r["place"] == "all surfaces" && r["of"] == "volume_m3").collect();
    assert!(of_all.len() > 10);
    for row in &of_all {
        let above = samples.iter().filter(|s| number(s, "largest_m3") >= number(row, "value")).count();
        assert_eq!(number(row, "draws_above"), above as f64, "{row:?}");
    }
    let answer = run.stdout.lines().take_while(|l| !l.is_empty()).collect::<Vec<_>>().join(" ");
    assert!(answer.split_whitespace().count() <= 60, "{answer}");
    assert!(answer.starts_with("Of 1,500 draws, ") && answer.contains("At the face, first "), "{answer}");
    for word in ["safe", "pass", "fail"] {
        assert!(!run.text("chance.html").split(|c: char| !c.is_alphanumeric()).any(|w| w == word), "{word}");
    }
    assert!(run.stdout.lines().all(|l| l.chars().count() <= 100));
}

#[test]
fn parts_run_elsewhere_are_the_whole_to_the_byte() {
    let dir = tempfile::tempdir().unwrap();
    let at = |name: &str| dir.path().join(name);
    let run = |arguments: &[&str], out: &str| {
        backhold().args(["chance", SAMPLE]).args(arguments).arg("--out").arg(at(out)).assert().success();
    };
    run(&["--draws", "1200"], "whole");
    run(&["--from", "0", "--to", "350"], "first");
    run(&["--from", "350", "--to", "1200"], "second");
    let counts = |name: &str| at(name).join("counts.json").display().to_string();
    run(&["--merge", &counts("second"), &counts("first")], "merged");
    assert_eq!(files(&at("whole")), files(&at("merged")));
    // Another seed is another run; a part alone is a part.
    run(&["--from", "350", "--to", "1200", "--seed", "2"], "other");
    let refused = |parts: &[&str], why: &str| {
        let mut command = backhold();
        command.args(["chance", SAMPLE, "--merge"]).args(parts.iter().map(|p| counts(p)));
        let assert = command.arg("--out").arg(at("refused")).assert().code(2);
        let said = String::from_utf8_lossy(&assert.get_output().stderr).into_owned();
        assert!(said.contains(why), "{said}");
    };
    refused(&["first", "other"], "another seed");
    refused(&["first", "first"], "in two parts");
    assert!(!at("refused").exists());
    // Run again from its summary.
    let summary = at("merged").join("summary.json");
    let again = backhold().args(["chance", "--again"]).arg(summary).assert().success();
    assert!(String::from_utf8_lossy(&again.get_output().stdout).contains("Reproduced byte for byte"));
}

#[test]
fn what_cannot_be_asked_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    for (arguments, why) in [
        (vec!["--draws", "0"], "at least one draw"),
        (vec!["--from", "5", "--to", "5"], "at least one draw"),
        (vec!["--half-width", "0.9"], "--half-width"),
        (vec!["--draws", "2000000000"], "at most"),
        (vec!["--from", "5"], "--to"),
        (vec!["--merge", "no_such.json"], "no_such.json"),
    ] {
        let mut command = backhold();
        command.args(["chance", SAMPLE]).args(&arguments).arg("--out").arg(dir.path().join("out"));
        let assert = command.assert().failure();
        let said = String::from_utf8_lossy(&assert.get_output().stderr).into_owned();
        assert!(said.contains(why), "{arguments:?}: {said}");
        assert!(!dir.path().join("out").exists());
    }
}

/// The mean dip comes back where a plane is drawn by its pole: nothing is turned.
#[test]
fn planes_are_drawn_round_their_means() {
    let mut case = wall();
    case.joints[0].fisher_k = Some(1000.0);
    let planes = drawn_planes(&case, &Scatter::default(), &asked(2000, 6, Spread::Plain), 2000).unwrap();
    let sum: Vec3 = planes.iter().map(|p| p[0].upward_normal().into_inner()).sum();
    let mean = Plane::from_normal(&sum);
    // A standard error of the mean is 1/√(K·n) rad: 0.04°.
    assert!(mean.angle_to_deg(case.joints[0].plane) < 4.0 * (180.0 / PI) / 2e6f64.sqrt(), "{mean:?}");
    assert!(planes.iter().all(|p| p[1].angle_to_deg(case.joints[1].plane) < 1e-9));
}

/// A case of which nothing scatters is told so before any share of its draws.
#[test]
fn draws_that_are_all_alike_are_said_to_be_no_chances() {
    let run = ran(&["chance", "samples/haulage.toml", "--draws", "50"]);
    let answer = run.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(answer.starts_with("No number of this case scatters: all draws are alike"), "{answer}");
    assert!(!sampled().stdout.contains("all draws are alike"));
}
