//! Bolts that unload the joint that a wedge slides on: by hand on a block over a joint of 60°, against a
//! plain linear programme, and what more bolts, stronger ones and more friction may do.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use crate::oracle::rules::sliding;
use crate::random_cases::Rng;
use backhold::orientation::Vec3;
use backhold::stability::{BoltPull, Contact, Mode, Motion, Reaction, Stability, load_factor};
use backhold::strength::MohrCoulomb;

/// Weight of the blocks, kN.
const WEIGHT_KN: f64 = 100.0;

fn stability(inward: [Vec3; 3], friction_deg: [f64; 3], cohesion_kn: f64) -> Stability {
    let motion = Motion::of(&inward, &Vec3::new(0.0, 0.0, -WEIGHT_KN));
    let strengths = friction_deg.map(|friction_deg| MohrCoulomb { friction_deg, cohesion_kpa: cohesion_kn });
    Stability::new(motion, inward, &strengths, &[1.0; 3])
}

/// What a piece is given: the greater of bolts that are called on and of hanging in them.
fn given(stability: &Stability, bolts: &[(Vec3, f64)]) -> f64 {
    stability.fs_in_balance(bolts)
}

fn hanging(inward: &[Vec3; 3], bolts: &[(Vec3, f64)]) -> f64 {
    let point = Vec3::zeros();
    let pulls: Vec<BoltPull> =
        bolts.iter().map(|&(direction, capacity_kn)| BoltPull { point, direction, capacity_kn }).collect();
    let contacts = inward.map(|normal| Contact { point, normal });
    load_factor(&Vec3::new(0.0, 0.0, -WEIGHT_KN), &point, &pulls, &contacts)
}

/// The factor by the sum alone, all bolts at what they can take.
fn summed(stability: &Stability, bolts: &[(Vec3, f64)]) -> f64 {
    let mut all = Reaction::default();
    for (d, kn) in bolts {
        all += stability.effect(d).times(*kn);
    }
    stability.fs(&all)
}

/// A block that slides on a joint of 60° that dips to the east, φ 35°, with two upright joints that it
/// leaves. Of its weight W = 100 kN it drives 86.6 kN and presses 50 kN onto the joint. An upright bolt of
/// B kN pulls 0.866 B against it and takes 0.5 B off the joint:
///
/// * B = 40: (34.64 + (50 − 20) 0.7002) / 86.60 = 0.6426
/// * B = 1000: it hangs, B / W = 10, and the joint is open.
///
/// With 60 kN of cohesion and B = 120 the joint would open, and its cohesion with it: (103.92 + 0) / 86.60 =
/// 1.2. Pulling with 100 kN alone it stays closed: (86.60 + 60) / 86.60 = 1.6928.
#[test]
fn a_block_on_a_joint_of_60_degrees_under_an_upright_bolt() {
    let (sin, cos) = 60f64.to_radians().sin_cos();
    // Above the joint; the sides are upright and let it go east.
    let inward = [
        Vec3::new(sin, 0.0, cos),
        Vec3::new(0.5, 0.75f64.sqrt(), 0.0),
        Vec3::new(0.5, -(0.75f64.sqrt()), 0.0),
    ];
    let block = stability(inward, [35.0; 3], 0.0);
    assert_eq!(block.motion.mode, Mode::SlidingOnOne(0));
    // To the four digits of the hand.
    let near = |found: f64, by_hand: f64| assert!((found / by_hand - 1.0).abs() < 1e-4, "{found} {by_hand}");
    near(block.motion.driving_kn, 86.60);
    near(block.motion.normal_kn[0], 50.0);
    near(block.fs_bare(), 35f64.to_radians().tan() / 60f64.to_radians().tan());
    let upright = |kn: f64| vec![(Vec3::z(), kn)];
    near(given(&block, &upright(40.0)), 0.6426);
    near(given(&block, &upright(1000.0)), 10.0);
    near(hanging(&inward, &upright(1000.0)), 10.0);
    let held = stability(inward, [35.0; 3], 60.0);
    near(summed(&held, &upright(120.0)), 1.2);
    near(given(&held, &upright(120.0)), 1.6928);
    // At φ 70° a kN of it takes more off the joint than it gives, 0.866 - 0.5 · 2.747 = -0.507: with the joint closed it
    // would lower tan 70° / tan 60° = 1.5863. The block hangs in it all the same.
    let rough = stability(inward, [70.0; 3], 0.0);
    near(rough.fs_bare(), 1.5863);
    near(summed(&rough, &upright(1000.0)), 1.5863);
    assert!(rough.opens(&upright(1000.0)));
    near(given(&rough, &upright(1000.0)), 10.0);
    // Between the two it never falls as the bolt gets stronger.
    let mut last = 0.0;
    for kn in 0..400 {
        let now = given(&held, &upright(f64::from(kn)));
        assert!(now >= last * (1.0 - 1e-9), "{kn}: {now} after {last}");
        last = now;
    }
}

fn unit(rng: &mut Rng) -> Vec3 {
    loop {
        let v = Vec3::new(rng.between(-1.0, 1.0), rng.between(-1.0, 1.0), rng.between(-1.0, 1.0));
        if (0.2..1.0).contains(&v.norm()) {
            return v.normalize();
        }
    }
}

/// Normals into a block, friction of its joints, cohesion of each in contact, and bolts: direction and kN.
type Block = ([Vec3; 3], [f64; 3], f64, Vec<(Vec3, f64)>);

/// A random pyramid that slides, with bolts into the upper half, most of them enough to open a joint.
fn sliding_block(rng: &mut Rng) -> Block {
    loop {
        let inward = [unit(rng), unit(rng), unit(rng)];
        if inward[0].cross(&inward[1]).dot(&inward[2]).abs() < 0.1 {
            continue;
        }
        let friction_deg = [0, 1, 2].map(|_| rng.between(5.0, 45.0));
        let cohesion_kn = if rng.chance(0.5) { 0.0 } else { rng.between(0.0, 80.0) };
        let block = stability(inward, friction_deg, cohesion_kn);
        if !matches!(block.motion.mode, Mode::SlidingOnOne(_) | Mode::SlidingOnTwo(..)) {
            continue;
        }
        let count = 1 + rng.below(5);
        let bolts = (0..count)
            .map(|_| {
                let mut d = unit(rng);
                d.z = d.z.abs();
                (d, WEIGHT_KN * rng.between(0.05, 2.5))
            })
            .collect();
        return (inward, friction_deg, cohesion_kn, bolts);
    }
}

#[test]
fn bolts_that_are_called_on_are_what_a_linear_programme_says() {
    let mut rng = Rng::new(0x0a_1d);
    let (mut opened, mut unbalanced, mut furthest) = (0, 0, 0.0_f64);
    for number in 0..2000 {
        let (inward, friction_deg, cohesion_kn, bolts) = sliding_block(&mut rng);
        let block = stability(inward, friction_deg, cohesion_kn);
        let found = given(&block, &bolts);
        let plain: Vec<([f64; 3], [f64; 3], f64)> =
            bolts.iter().map(|(d, kn)| ([0.0; 3], [d.x, d.y, d.z], *kn)).collect();
        let by_hand = sliding(
            inward.map(|m| [m.x, m.y, m.z]),
            [0.0, 0.0, -1.0],
            WEIGHT_KN,
            friction_deg.map(|f| f.to_radians().tan()),
            [cohesion_kn; 3],
            &plain,
        );
        let off = (found - by_hand).abs() / by_hand.max(1e-3);
        furthest = furthest.max(off);
        assert!(
            off < 1e-6,
            "{number}: {found} and {by_hand}\n{inward:?} {friction_deg:?} {cohesion_kn} {bolts:?}"
        );
        // Never below the sum while no joint opens, nor ever below the joints alone.
        let sum = summed(&block, &bolts);
        assert!(found >= block.fs_bare() * (1.0 - 1e-12));
        let in_sum: Vec<(Vec3, f64)> =
            bolts.iter().filter(|(d, _)| block.effect(d) != Reaction::default()).copied().collect();
        assert!(block.opens(&in_sum) || found >= sum * (1.0 - 1e-12));
        opened += usize::from(found > sum * (1.0 + 1e-9));
        unbalanced += usize::from(found < sum * (1.0 - 1e-9));
    }
    println!(
        "{opened} of 2000 above the sum, {unbalanced} below one that opens a joint, furthest apart {furthest:.1e}"
    );
    assert!(opened > 100 && unbalanced > 20);
}

/// What a search asks before it looks at hanging: the rougher the joints, the more bolts take off them than they give.
#[test]
fn bolts_that_open_no_joint_hold_no_more_by_hanging() {
    let mut rng = Rng::new(0x0a_5d);
    let (mut closed, mut hung, mut lowering) = (0, 0, 0);
    for number in 0..8000 {
        let (inward, _, cohesion_kn, bolts) = sliding_block(&mut rng);
        let block = stability(inward, [0, 1, 2].map(|_| rng.between(5.0, 75.0)), cohesion_kn);
        let called: Vec<(Reaction, f64)> = bolts.iter().map(|(d, kn)| (block.called(d), *kn)).collect();
        let (kept, balanced) = (block.fs_called(&called), given(&block, &bolts));
        if block.opens(&bolts) {
            hung += usize::from(balanced > kept * (1.0 + 1e-9));
            let lowers = |(d, _): &(Vec3, f64)| block.effect(d) == Reaction::default();
            lowering += usize::from(balanced > kept * (1.0 + 1e-9) && bolts.iter().all(lowers));
        } else {
            closed += 1;
            assert!(
                balanced <= kept * (1.0 + 1e-12),
                "{number}: {balanced} above {kept}\n{block:?}\n{bolts:?}"
            );
        }
    }
    println!(
        "{closed} stay closed, {hung} hang, {lowering} of them in bolts that lower friction by more than they give"
    );
    assert!(closed > 800 && hung > 400 && lowering > 40);
}

#[test]
fn more_and_stronger_bolts_never_hold_a_sliding_block_less() {
    let mut rng = Rng::new(0x0a_2d);
    let mut rose = 0;
    for number in 0..2000 {
        let (inward, friction_deg, cohesion_kn, bolts) = sliding_block(&mut rng);
        let block = stability(inward, friction_deg, cohesion_kn);
        let before = given(&block, &bolts);
        let mut more = bolts.clone();
        if rng.chance(0.5) {
            let mut d = unit(&mut rng);
            d.z = d.z.abs();
            more.push((d, WEIGHT_KN * rng.between(0.05, 2.5)));
        } else {
            let at = rng.below(more.len());
            more[at].1 *= rng.between(1.0, 3.0);
        }
        let after = given(&block, &more);
        assert!(after >= before * (1.0 - 1e-7), "{number}: {after} after {before}\n{bolts:?}\n{more:?}");
        rose += usize::from(after > before * (1.0 + 1e-6));
    }
    assert!(rose > 500, "{rose}");
}

/// What a block is held by, by which friction and by less of it.
fn with_less_friction(rng: &mut Rng) -> (f64, f64) {
    let (inward, friction_deg, cohesion_kn, bolts) = sliding_block(rng);
    let block = stability(inward, friction_deg, cohesion_kn);
    let less = friction_deg.map(|f| f * rng.between(0.3, 1.0));
    let smooth = stability(inward, less, cohesion_kn);
    (given(&block, &bolts), given(&smooth, &bolts))
}

/// By hand: on a joint of 45° a bolt leans 15° beyond upright, away from the joint, so that a kN of it pulls
/// 0.5 against the movement and takes 0.866 off the joint. With φ 31° that is 0.5 − 0.866 × 0.601 = −0.02,
/// and the block of 100 kN stands by its joint alone, tan 31° = 0.601. With φ 29° it is +0.02 and the bolt of
/// 300 kN is called on, for no more than keeps the joint closed: 70.71 / 0.866 = 81.65 kN, which leaves no
/// friction and pulls 40.82 kN: 40.82 / 70.71 = 0.5774. All of it along the joint would be 150 / 70.71 = 2.12,
/// but nothing balances what it pulls square to it.
#[test]
fn a_bolt_that_opens_its_joint_is_called_on_for_no_more_than_keeps_it_closed() {
    let up = |deg: f64| 45f64.to_radians() + deg.to_radians();
    let inward = [
        Vec3::new(0.5f64.sqrt(), 0.0, 0.5f64.sqrt()),
        Vec3::new(0.5, 0.75f64.sqrt(), 0.0),
        Vec3::new(0.5, -(0.75f64.sqrt()), 0.0),
    ];
    let leans = vec![(Vec3::new(up(30.0).cos(), 0.0, up(30.0).sin()), 300.0)];
    let at = |friction_deg: f64| given(&stability(inward, [friction_deg; 3], 0.0), &leans);
    let near = |found: f64, by_hand: f64| assert!((found / by_hand - 1.0).abs() < 1e-4, "{found} {by_hand}");
    near(at(31.0), 31f64.to_radians().tan());
    near(at(29.0), 0.577_35);
}

#[test]
fn less_friction_never_holds_a_block_more() {
    let mut rng = Rng::new(0x0a_3d);
    let mut fell = 0;
    for number in 0..4000 {
        let (before, after) = with_less_friction(&mut rng);
        assert!(after <= before * (1.0 + 1e-7), "{number}: {after} after {before}");
        fell += usize::from(after < before * (1.0 - 1e-6));
    }
    assert!(fell > 1000, "{fell}");
}
