use proptest::prelude::*;

use super::*;

fn v(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3::new(x, y, z)
}

/// Contacts at the corners of a tetrahedron's three joint faces, apex first.
fn tetrahedron(apex: Vec3, hits: [Vec3; 3]) -> (Vec3, Vec<Contact>) {
    let mut contacts = Vec::new();
    for i in 0..3 {
        let (a, b) = (hits[(i + 1) % 3], hits[(i + 2) % 3]);
        let across = (a - apex).cross(&(b - apex)).normalize();
        let normal = if across.dot(&(hits[i] - apex)) < 0.0 { -across } else { across };
        contacts.extend([apex, a, b].map(|point| Contact { point, normal }));
    }
    ((apex + hits[0] + hits[1] + hits[2]) / 4.0, contacts)
}

/// A wedge that falls: apex up, every joint leaning out of its way.
fn roof() -> (Vec3, Vec<Contact>) {
    tetrahedron(v(0.1, 0.2, 1.0), [v(1.0, 0.0, 0.0), v(-0.6, 0.8, 0.0), v(-0.4, -0.9, 0.0)])
}

fn upright(x: f64, y: f64, capacity_kn: f64) -> BoltPull {
    BoltPull { point: v(x, y, 0.0), direction: v(0.0, 0.0, 1.0), capacity_kn }
}

const DOWN: Vec3 = Vec3::new(0.0, 0.0, -1.0);

#[test]
fn one_bolt_under_the_centroid_holds_all_it_can() {
    let (centroid, contacts) = roof();
    let bolt = upright(centroid.x, centroid.y, 35.0);
    assert!((load_factor(&(DOWN * 10.0), &centroid, &[bolt], &contacts) - 3.5).abs() < 1e-14);
    // Without joints to lean on too, and as little off as a drill is, nothing.
    assert!((load_factor(&(DOWN * 10.0), &centroid, &[bolt], &[]) - 3.5).abs() < 1e-14);
    let beside = upright(centroid.x + 1e-3, centroid.y, 35.0);
    assert_eq!(load_factor(&(DOWN * 10.0), &centroid, &[beside], &[]), 0.0);
}

/// A beam on two bolts, by hand: the weight hangs a quarter of the way along, so the near bolt
/// has three quarters of it and breaks at 120/0.75 = 160.
#[test]
fn two_bolts_share_a_weight_by_the_law_of_levers() {
    let bolts = [upright(0.0, 0.0, 120.0), upright(4.0, 0.0, 120.0)];
    let rotation = Rotation::new(&(DOWN * 20.0), &v(1.0, 0.0, 0.5), &[]);
    let balance = rotation.balance(&bolts, &mut RotationScratch::default());
    assert!((balance.load_factor - 8.0).abs() < 1e-13);
    assert!((balance.bolts_kn[0] - 120.0).abs() < 1e-11 && (balance.bolts_kn[1] - 40.0).abs() < 1e-11);
    // It turns about the far bolt: the near one opens 4/3 m for each metre of the centroid.
    let mechanism = balance.mechanism.unwrap();
    let fall = |b: &BoltPull| {
        (mechanism.translation + mechanism.spin_rad_per_m.cross(&(b.point - v(1.0, 0.0, 0.5)))).z
    };
    assert!((fall(&bolts[0]) + 4.0 / 3.0).abs() < 1e-13 && fall(&bolts[1]).abs() < 1e-13);
}

/// A wedge with a single bolt beside its centroid leans on a joint, by hand in the plane: bolt at
/// x = 0.5, weight at x = 0, one upright joint at x = 1 that presses along −x at z = 0 or 1, and
/// one at x = −1 that presses along +x. The couple 0.5·b is met by c·1 with b = λW: no limit but
/// the bolt.
#[test]
fn upright_joints_take_a_couple() {
    let contact = |x: f64, z: f64| Contact { point: v(x, 0.0, z), normal: v(-x, 0.0, 0.0) };
    let contacts = [contact(1.0, 0.0), contact(1.0, 1.0), contact(-1.0, 0.0), contact(-1.0, 1.0)];
    let balance = Rotation::new(&(DOWN * 10.0), &v(0.0, 0.0, 0.5), &contacts)
        .balance(&[upright(0.5, 0.0, 20.0)], &mut RotationScratch::default());
    assert!((balance.load_factor - 2.0).abs() < 1e-13);
    let pressed: f64 = balance.contacts_kn.iter().sum();
    assert!((pressed - 20.0).abs() < 1e-11, "{balance:?}");
}

/// Thousands of bolts in a long wedge: every one comes to its bound. In a line under the weight, so
/// that all of them hold; by hand the factor is their sum over the weight.
#[test]
fn thousands_of_bolts_all_come_to_their_bounds() {
    let mut state = 99u64;
    let mut capacity = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        20.0 + (state >> 57) as f64
    };
    // Two and two, mirrored about the centroid: their moments cancel.
    let bolts: Vec<BoltPull> = (1..=2000)
        .flat_map(|k| {
            let (x, kn) = (0.2 * f64::from(k), capacity());
            [upright(x, 0.0, kn), upright(-x, 0.0, kn)]
        })
        .collect();
    let total: f64 = bolts.iter().map(|b| b.capacity_kn).sum();
    let corner = |x: f64, y: f64| Contact { point: v(x, y, 1.0), normal: v(0.0, -y, 0.0) };
    let contacts = [corner(-400.0, 1.0), corner(400.0, 1.0), corner(-400.0, -1.0), corner(400.0, -1.0)];
    let rotation = Rotation::new(&(DOWN * 900.0), &v(0.0, 0.0, 0.5), &contacts);
    let balance = rotation.balance(&bolts, &mut RotationScratch::default());
    assert!((balance.load_factor * 900.0 / total - 1.0).abs() < 1e-9, "{}", balance.load_factor);
    assert!(balance.bolts_kn.iter().zip(&bolts).all(|(kn, b)| (kn - b.capacity_kn).abs() < 1e-6));
}

#[test]
fn what_cannot_move_has_no_end() {
    let (centroid, contacts) = roof();
    let up = DOWN * -10.0;
    assert_eq!(load_factor(&up, &centroid, &[], &contacts), f64::INFINITY);
    assert_eq!(load_factor(&Vec3::zeros(), &centroid, &[], &contacts), f64::INFINITY);
}

#[test]
fn degenerate_input_gives_a_number() {
    let (centroid, contacts) = roof();
    let force = DOWN * 10.0;
    assert_eq!(load_factor(&force, &centroid, &[], &contacts), 0.0);
    assert_eq!(load_factor(&force, &centroid, &[], &[]), 0.0);
    assert_eq!(load_factor(&force, &centroid, &[upright(0.0, 0.0, 0.0)], &contacts), 0.0);
    assert_eq!(load_factor(&force, &centroid, &[upright(0.0, 0.0, f64::NAN)], &contacts), 0.0);
    assert_eq!(load_factor(&force, &centroid, &[upright(f64::INFINITY, 0.0, 5.0)], &contacts), 0.0);
    // No length to scale by; all corners in one place; all bolts in a line, one of them twice.
    let at_centroid = Contact { point: centroid, normal: v(1.0, 0.0, 0.0) };
    assert_eq!(load_factor(&force, &centroid, &[], &[at_centroid; 4]), 0.0);
    let one_place: Vec<Contact> =
        contacts.iter().map(|c| Contact { point: v(0.0, 0.0, 0.0), ..*c }).collect();
    assert!(load_factor(&force, &centroid, &[upright(0.3, 0.3, 5.0)], &one_place).is_finite());
    let line: Vec<BoltPull> = [-1.0, 0.0, 0.0, 1.0, 2.0].map(|x| upright(x, 0.2, 40.0)).to_vec();
    assert!(load_factor(&force, &centroid, &line, &contacts) > 0.0);
    // A bolt that never breaks.
    let endless =
        load_factor(&force, &centroid, &[upright(centroid.x, centroid.y, f64::INFINITY)], &contacts);
    assert_eq!(endless, f64::INFINITY);
    let aimless = BoltPull { direction: Vec3::zeros(), ..upright(0.0, 0.0, 50.0) };
    assert_eq!(load_factor(&force, &centroid, &[aimless], &contacts), 0.0);
}

/// A joint that the force runs along but for rounding carries none of it.
#[test]
fn a_joint_that_only_touches_holds_nothing() {
    for tilt in [-1e-10, 0.0, 1e-10] {
        let normal = v(1.0, 0.0, tilt);
        let contacts = [-1.0, 1.0].map(|y| Contact { point: v(-1.0, y, 0.0), normal });
        let facing = [-1.0, 1.0].map(|y| Contact { point: v(1.0, y, 0.0), normal: -normal });
        let all = [contacts, facing].concat();
        assert_eq!(load_factor(&(DOWN * 10.0), &Vec3::zeros(), &[], &all), 0.0, "tilt {tilt}");
    }
}

#[test]
fn a_search_stops_at_enough() {
    let (centroid, contacts) = roof();
    let rotation = Rotation::new(&(DOWN * 10.0), &centroid, &contacts);
    let bolts = [upright(0.1, 0.1, 60.0), upright(-0.2, 0.1, 90.0), upright(0.0, -0.2, 120.0)];
    let mut scratch = RotationScratch::default();
    let whole = rotation.load_factor(&bolts, &mut scratch);
    let early = rotation.load_factor_up_to(&bolts, 0.5 * whole, &mut scratch);
    assert!(early >= 0.5 * whole && early <= whole * (1.0 + 1e-12));
    assert_eq!(rotation.load_factor_up_to(&bolts, 2.0 * whole, &mut scratch), whole);
}

/// Bolts and contacts on a lattice: many ties, many ranks below six. Every answer has to prove
/// itself: forces within bounds that balance, a mechanism that no smaller load resists.
#[test]
fn lattice_problems_prove_themselves() {
    let mut state = 12345u64;
    let mut draw = |n: i64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((state >> 33) % (2 * n as u64 + 1)) as f64 - n as f64
    };
    let mut scratch = RotationScratch::default();
    let (mut limited, mut endless, mut most_pivots) = (0, 0, 0);
    for _ in 0..20_000 {
        let mut vector = |n| v(draw(n), draw(n), draw(n));
        let centre = vector(1);
        let force = vector(1);
        if force.norm() == 0.0 {
            continue;
        }
        let bolts: Vec<BoltPull> = (0..7)
            .map(|i| BoltPull { point: vector(2), direction: vector(1), capacity_kn: f64::from(i % 4) })
            .collect();
        let contacts: Vec<Contact> =
            (0..9).map(|_| Contact { point: vector(2), normal: vector(1) }).collect();
        let balance = Rotation::new(&force, &centre, &contacts).balance(&bolts, &mut scratch);
        most_pivots = most_pivots.max(scratch.simplex.pivots());
        if balance.load_factor.is_infinite() {
            endless += 1;
            continue;
        }
        let mut sum = force * balance.load_factor;
        let mut moment = Vec3::zeros();
        for (b, kn) in bolts.iter().zip(&balance.bolts_kn) {
            assert!((0.0..=b.capacity_kn + 1e-12).contains(kn));
            sum += b.direction * *kn;
            moment += (b.point - centre).cross(&b.direction) * *kn;
        }
        for (c, kn) in contacts.iter().zip(&balance.contacts_kn) {
            assert!(*kn >= 0.0);
            sum += c.normal * *kn;
            moment += (c.point - centre).cross(&c.normal) * *kn;
        }
        assert!(sum.norm() < 1e-11 && moment.norm() < 1e-11, "{balance:?}");
        let Some(mechanism) = balance.mechanism else {
            assert_eq!(balance.load_factor, 0.0);
            continue;
        };
        limited += 1;
        let speed = |point: &Vec3| mechanism.translation + mechanism.spin_rad_per_m.cross(&(point - centre));
        for c in &contacts {
            assert!(speed(&c.point).dot(&c.normal) > -1e-9);
        }
        let work: f64 =
            bolts.iter().map(|b| b.capacity_kn * (-speed(&b.point).dot(&b.direction)).max(0.0)).sum();
        assert!((mechanism.translation.dot(&force) / force.norm() - 1.0).abs() < 1e-11);
        assert!((work / force.norm() - balance.load_factor).abs() < 1e-10, "{work} {balance:?}");
    }
    println!("limited {limited}, without end {endless}, at most {most_pivots} pivots");
    assert!(limited > 5_000 && endless > 1_000 && most_pivots < 100);
}

fn bolt() -> impl Strategy<Value = BoltPull> {
    (-0.5..0.5f64, -0.5..0.5f64, -0.3..0.3f64, -0.3..0.3f64, 0.0..150.0f64).prop_map(|(x, y, a, b, kn)| {
        BoltPull { point: v(x, y, 0.0), direction: v(a, b, 1.0).normalize(), capacity_kn: kn }
    })
}

/// A wedge under a level back and a force that leans by up to 45°.
fn wedge() -> impl Strategy<Value = (Vec3, Vec<Contact>, Vec3)> {
    let corner = (-0.3..0.3f64, -0.3..0.3f64);
    let force = (-1.0..1.0f64, -1.0..1.0f64, 5.0..50.0f64);
    (corner.clone(), corner.clone(), corner.clone(), corner, 0.1..2.0f64, force).prop_map(
        |(a, b, c, d, depth, (x, y, kn))| {
            let hits = [v(1.0 + a.0, a.1, 0.0), v(-0.6 + b.0, 0.8 + b.1, 0.0), v(-0.4 + c.0, c.1 - 0.9, 0.0)];
            let (centroid, contacts) = tetrahedron(v(4.0 * d.0, 4.0 * d.1, depth), hits);
            (centroid, contacts, v(x, y, -1.0).normalize() * kn)
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn more_and_stronger_bolts_never_hold_less(
        (centroid, contacts, force) in wedge(),
        bolts in prop::collection::vec(bolt(), 1..9),
        more in bolt(),
        stronger in 1.0..3.0f64,
    ) {
        let least = load_factor(&force, &centroid, &bolts, &contacts) * (1.0 - 1e-10);
        let mut extended = bolts.clone();
        extended.push(more);
        prop_assert!(load_factor(&force, &centroid, &extended, &contacts) >= least);
        let mut raised = bolts.clone();
        raised[0].capacity_kn *= stronger;
        prop_assert!(load_factor(&force, &centroid, &raised, &contacts) >= least);
    }

    /// From where a run ended under another load, as from the beginning.
    #[test]
    fn going_on_from_another_load_is_as_good_as_beginning(
        (centroid, contacts, force) in wedge(),
        bolts in prop::collection::vec(bolt(), 1..12),
        moves in prop::collection::vec((-0.3..0.3f64, -0.3..0.3f64, 0.3..3.0f64), 1..8),
        alike in 0.0..1.0f64,
    ) {
        let mut scratch = RotationScratch::default();
        let mut rotation = Rotation::new(&force, &centroid, &contacts);
        let _ = rotation.load_factor(&bolts, &mut scratch);
        for (x, y, times) in moves {
            rotation.under(force.norm() * times, &(centroid + v(x, y, 0.1 * x) * alike));
            let anew = rotation.load_factor(&bolts, &mut RotationScratch::default());
            let on = rotation.load_factor_on(&bolts, f64::INFINITY, &mut scratch);
            let same = anew == on || (anew - on).abs() <= 1e-9 * anew.max(1e-3);
            prop_assert!(same, "{} {}", anew, on);
        }
    }

    /// From where the run of another wedge among other bolts ended, as from the beginning; and what the forces that
    /// limited that one reach is no more than this one's greatest.
    #[test]
    fn beginning_with_the_forces_of_a_wedge_alike_is_as_good(
        wedges in prop::collection::vec((wedge(), prop::collection::vec(any::<bool>(), 12), 0.5..2.0f64), 2..8),
        bolts in prop::collection::vec(bolt(), 12),
        moves in prop::collection::vec((-0.3..0.3f64, -0.3..0.3f64, 0.3..3.0f64), 0..4),
        alike in 0.0..1.0f64,
    ) {
        let mut scratch = RotationScratch::default();
        let ((first_at, first, first_force), ..) = &wedges[0];
        for ((at, contacts, force), stand, times) in &wedges {
            // Between the first wedge and one of its own, with some of the bolts.
            let mix = |a: &Vec3, b: &Vec3| a * alike + b * (1.0 - alike);
            let (at, force) = (mix(first_at, at), mix(first_force, force) * *times);
            let contacts: Vec<Contact> = first.iter().zip(contacts)
                .map(|(a, b)| Contact { point: mix(&a.point, &b.point), normal: mix(&a.normal, &b.normal).normalize() })
                .collect();
            let names: Vec<(usize, f64)> =
                (0..bolts.len()).filter(|&i| stand[i]).map(|i| (i / 3, (i % 3) as f64)).collect();
            let bolts: Vec<BoltPull> = bolts.iter().zip(stand).filter(|b| *b.1).map(|b| *b.0).collect();
            let anew = load_factor(&force, &at, &bolts, &contacts);
            for enough in [0.0, 0.3 * anew, 0.999 * anew] {
                let load = (&force, &at);
                let before = load_factor_as_before(load, &contacts, &bolts, &names, enough, &scratch);
                prop_assert!(before.is_none_or(|fs| enough <= fs && fs <= anew * (1.0 + 1e-9) + 1e-12));
            }
            let mut rotation = Rotation::new(&force, &at, &contacts);
            let near = rotation.load_factor_near(&bolts, &names, f64::INFINITY, &mut scratch);
            let same = anew == near || (anew - near).abs() <= 1e-9 * anew.max(1e-3);
            prop_assert!(same, "{} {}", anew, near);
            // And on from there, more than once.
            for (x, y, times) in &moves {
                rotation.under(force.norm() * times, &(at + v(*x, *y, 0.1 * x) * alike));
                let anew = rotation.load_factor(&bolts, &mut RotationScratch::default());
                let on = rotation.load_factor_on(&bolts, f64::INFINITY, &mut scratch);
                let same = anew == on || (anew - on).abs() <= 1e-9 * anew.max(1e-3);
                prop_assert!(same, "{} {}", anew, on);
            }
        }
    }

    #[test]
    fn any_frame_any_unit_any_order_is_the_same(
        (centroid, contacts, force) in wedge(),
        bolts in prop::collection::vec(bolt(), 0..9),
        axis in (-1.0..1.0f64, -1.0..1.0f64, 0.1..1.0f64),
        shift in (-1e3..1e3f64, -1e3..1e3f64, -1e3..1e3f64),
        log_length in -3.0..3.0f64,
        log_force in -3.0..3.0f64,
    ) {
        let here = load_factor(&force, &centroid, &bolts, &contacts);
        let turn = nalgebra::Rotation3::new(v(axis.0, axis.1, axis.2) * 2.0);
        let (metre, kn) = (10f64.powf(log_length), 10f64.powf(log_force));
        let place = |p: &Vec3| (turn * p + v(shift.0, shift.1, shift.2)) * metre;
        let turned: Vec<BoltPull> = bolts.iter().rev().map(|b| BoltPull {
            point: place(&b.point), direction: turn * b.direction, capacity_kn: b.capacity_kn * kn,
        }).collect();
        let against: Vec<Contact> = contacts.iter().rev()
            .map(|c| Contact { point: place(&c.point), normal: turn * c.normal }).collect();
        let there = load_factor(&(turn * force * kn), &place(&centroid), &turned, &against);
        prop_assert!(here == there || (here / there - 1.0).abs() < 1e-8, "{} {}", here, there);
    }

    /// Corners within the hull of a joint's others add nothing.
    #[test]
    fn corners_inside_a_face_change_nothing(
        (centroid, contacts, force) in wedge(),
        bolts in prop::collection::vec(bolt(), 1..9),
        shares in prop::collection::vec((0.0..1.0f64, 0.0..1.0f64), 12),
    ) {
        let least = load_factor(&force, &centroid, &bolts, &contacts);
        let mut all = contacts.clone();
        for (k, (x, y)) in shares.into_iter().enumerate() {
            let face = &contacts[3 * (k % 3)..3 * (k % 3) + 3];
            let (x, y) = if x + y > 1.0 { (1.0 - x, 1.0 - y) } else { (x, y) };
            let point = face[0].point * (1.0 - x - y) + face[1].point * x + face[2].point * y;
            all.push(Contact { point, ..face[0] });
        }
        let with = load_factor(&force, &centroid, &bolts, &all);
        prop_assert!(least == with || (least / with - 1.0).abs() < 1e-10, "{} {}", least, with);
    }
}
