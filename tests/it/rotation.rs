//! The balance of forces and moments against linear programs solved by scipy (HiGHS): 500 invented
//! wedges, see `tests/reference/rotation/make_rotation.py`.

#![allow(clippy::unwrap_used)] // helpers of tests

use backhold::orientation::Vec3;
use backhold::stability::{BoltPull, Contact, Rotation, RotationScratch};
use serde_json::Value;

struct Problem {
    kind: String,
    force_kn: Vec3,
    acts_at: Vec3,
    normals: Vec<Vec3>,
    bolts: Vec<BoltPull>,
    contacts: Vec<Contact>,
    expected: f64,
}

fn vector(value: &Value) -> Vec3 {
    Vec3::from_fn(|i, _| value[i].as_f64().unwrap())
}

fn list(value: &Value) -> &Vec<Value> {
    value.as_array().unwrap()
}

fn problems() -> Vec<Problem> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/rotation/wedges.jsonl");
    let text = std::fs::read_to_string(path).unwrap();
    let parse = |line: &str| {
        let p: Value = serde_json::from_str(line).unwrap();
        let corners: Vec<Vec3> = list(&p["corners_m"]).iter().map(vector).collect();
        let normals: Vec<Vec3> = list(&p["normals"]).iter().map(vector).collect();
        let index = |v: &Value| usize::try_from(v.as_u64().unwrap()).unwrap();
        Problem {
            kind: p["kind"].as_str().unwrap().to_owned(),
            force_kn: vector(&p["force_kn"]),
            acts_at: vector(&p["acts_at_m"]),
            bolts: list(&p["bolts"])
                .iter()
                .map(|b| BoltPull {
                    point: vector(&b["point_m"]),
                    direction: vector(&b["direction"]),
                    capacity_kn: b["capacity_kn"].as_f64().unwrap(),
                })
                .collect(),
            contacts: list(&p["contacts"])
                .iter()
                .map(|c| Contact { point: corners[index(&c[0])], normal: normals[index(&c[1])] })
                .collect(),
            normals,
            expected: p["load_factor"].as_f64().unwrap_or(f64::INFINITY),
        }
    };
    text.lines().map(parse).collect()
}

fn quantile(sorted: &[f64], q: f64) -> f64 {
    sorted[((sorted.len() - 1) as f64 * q).round() as usize]
}

#[test]
fn five_hundred_wedges_agree_with_scipy() {
    let mut scratch = RotationScratch::default();
    let mut differences = Vec::new();
    let (mut endless, mut zero) = (0, 0);
    for (line, p) in problems().iter().enumerate() {
        let rotation = Rotation::new(&p.force_kn, &p.acts_at, &p.contacts);
        let found = rotation.load_factor(&p.bolts, &mut scratch);
        if p.expected.is_infinite() {
            assert!(found.is_infinite(), "line {line} ({}): {found}", p.kind);
            endless += 1;
            continue;
        }
        assert!(found.is_finite(), "line {line} ({}): without end, not {}", p.kind, p.expected);
        let difference = if p.expected == 0.0 {
            zero += 1;
            found
        } else {
            (found / p.expected - 1.0).abs()
        };
        assert!(difference <= 1e-7, "line {line} ({}): {found}, not {}", p.kind, p.expected);
        differences.push(difference);
    }
    differences.sort_by(f64::total_cmp);
    println!(
        "n {} q75 {:.1e} q99 {:.1e} max {:.1e}; without end {endless}, zero {zero}",
        differences.len(),
        quantile(&differences, 0.75),
        quantile(&differences, 0.99),
        quantile(&differences, 1.0)
    );
    // Pinned: fewer compared means that the data changed.
    assert_eq!((differences.len(), endless), (480, 20));
}

/// What a solution claims, checked from the outside: forces between their bounds that balance,
/// and a mechanism that no smaller load could resist.
#[test]
fn every_solution_proves_itself() {
    let mut scratch = RotationScratch::default();
    let mut worst: f64 = 0.0;
    for (line, p) in problems().iter().enumerate() {
        let rotation = Rotation::new(&p.force_kn, &p.acts_at, &p.contacts);
        let balance = rotation.balance(&p.bolts, &mut scratch);
        if balance.load_factor.is_infinite() {
            continue;
        }
        let scale = p.bolts.iter().map(|b| b.capacity_kn).fold(p.force_kn.norm(), f64::max);
        let mut force = p.force_kn * balance.load_factor;
        let mut moment = p.acts_at.cross(&force);
        let forces = p.bolts.iter().zip(&balance.bolts_kn).map(|(b, kn)| (b.point, b.direction, *kn));
        let presses = p.contacts.iter().zip(&balance.contacts_kn).map(|(c, kn)| (c.point, c.normal, *kn));
        for (point, direction, kn) in forces.chain(presses) {
            assert!(kn >= 0.0, "line {line}");
            force += direction * kn;
            moment += point.cross(&(direction * kn));
        }
        for (b, kn) in p.bolts.iter().zip(&balance.bolts_kn) {
            assert!(*kn <= b.capacity_kn * (1.0 + 1e-9), "line {line}: {kn} of {}", b.capacity_kn);
        }
        worst = worst.max(force.norm() / scale).max(moment.norm() / scale);
        let Some(mechanism) = balance.mechanism else { continue };
        let speed =
            |point: &Vec3| mechanism.translation + mechanism.spin_rad_per_m.cross(&(point - p.acts_at));
        let size = mechanism.translation.norm().max(1.0);
        for c in &p.contacts {
            assert!(speed(&c.point).dot(&c.normal) >= -1e-8 * size, "line {line}: enters a joint");
        }
        let work: f64 =
            p.bolts.iter().map(|b| b.capacity_kn * (-speed(&b.point).dot(&b.direction)).max(0.0)).sum();
        let bound = work / (p.force_kn.norm() * mechanism.translation.dot(&(p.force_kn / p.force_kn.norm())));
        let gap = (bound - balance.load_factor).abs();
        assert!(gap <= 1e-8 * balance.load_factor.max(1e-3), "line {line}: {bound} {}", balance.load_factor);
    }
    println!("forces and moments miss zero by at most {worst:.1e} of the largest");
    assert!(worst <= 1e-9);
}

/// For a force that leaves every joint, moments can only take from what forces alone would hold.
#[test]
fn never_above_the_balance_of_forces_for_falling_wedges() {
    let mut scratch = RotationScratch::default();
    let mut falling = 0;
    for p in problems() {
        let down = p.force_kn.normalize();
        if p.normals.iter().any(|m| m.dot(&down) < 0.0) {
            continue;
        }
        falling += 1;
        let forces: f64 = p.bolts.iter().map(|b| b.capacity_kn * (-b.direction.dot(&down)).max(0.0)).sum();
        let forces = forces / p.force_kn.norm();
        let found = Rotation::new(&p.force_kn, &p.acts_at, &p.contacts).load_factor(&p.bolts, &mut scratch);
        assert!(found <= forces * (1.0 + 1e-9), "{}: {found} above {forces}", p.kind);
        if p.kind == "one bolt" {
            assert!((found / forces - 1.0).abs() < 1e-7, "{found} {forces}");
        }
    }
    println!("falling: {falling}");
    assert!(falling >= 50);
}
