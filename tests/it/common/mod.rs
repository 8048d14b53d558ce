//! Invented joint sets with known answers, for tests.
#![allow(clippy::unwrap_used)]

use backhold::orientation::{Plane, Vec3, fisher_direction};
use nalgebra::Unit;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// A uniform number in 0 ≤ u < 1.
pub fn uniform(rng: &mut ChaCha8Rng) -> f64 {
    (rng.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
}

pub fn between(rng: &mut ChaCha8Rng, low: f64, high: f64) -> f64 {
    low + (high - low) * uniform(rng)
}

pub fn any_axis(rng: &mut ChaCha8Rng) -> Unit<Vec3> {
    let (z, turn) = (2.0 * uniform(rng) - 1.0, uniform(rng) * std::f64::consts::TAU);
    let level = (1.0 - z * z).sqrt();
    Unit::new_normalize(Vec3::new(level * turn.cos(), level * turn.sin(), z))
}

/// Acute angle of two axes, degrees.
pub fn axes_apart_deg(a: &Unit<Vec3>, b: &Unit<Vec3>) -> f64 {
    let angle = backhold::orientation::angle_between_deg(a, b);
    angle.min(180.0 - angle)
}

/// A set that readings are drawn from.
#[derive(Debug, Clone, Copy)]
pub struct TrueSet {
    pub axis: Unit<Vec3>,
    pub k: f64,
}

/// A synthetic survey: planes with the set each came from.
pub struct Synthetic {
    pub sets: Vec<TrueSet>,
    pub planes: Vec<(Plane, Option<usize>)>,
    pub background: f64,
}

/// Survey number `index`: 2 to 5 sets whose means are more than `apart_deg` apart, K from
/// `least_k` to 80, 0 to 20 % background, 60 to 400 readings; no set has less than half of an
/// equal share.
pub fn synthetic(seed: u64, index: u64, apart_deg: f64, least_k: f64) -> Synthetic {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    rng.set_stream(index);
    let count = 2 + (rng.next_u64() % 4) as usize;
    let mut sets: Vec<TrueSet> = Vec::new();
    while sets.len() < count {
        let axis = any_axis(&mut rng);
        if sets.iter().all(|s| axes_apart_deg(&s.axis, &axis) > apart_deg) {
            let k = between(&mut rng, least_k, 80.0);
            sets.push(TrueSet { axis, k });
        }
    }
    let shares: Vec<f64> = sets.iter().map(|_| 0.5 + uniform(&mut rng)).collect();
    let total: f64 = shares.iter().sum();
    let background = 0.2 * uniform(&mut rng);
    let readings = 60 + (rng.next_u64() % 341) as usize;
    let planes = (0..readings)
        .map(|_| {
            if uniform(&mut rng) < background {
                return (Plane::from_normal(&any_axis(&mut rng)), None);
            }
            let mut left = uniform(&mut rng) * total;
            let set = shares
                .iter()
                .position(|s| {
                    left -= s;
                    left < 0.0
                })
                .unwrap_or(count - 1);
            let numbers = [uniform(&mut rng), uniform(&mut rng)];
            let normal = fisher_direction(&sets[set].axis, sets[set].k, numbers);
            (Plane::from_normal(&normal), Some(set))
        })
        .collect();
    Synthetic { sets, planes, background }
}

/// The planes as a survey file of whole degrees to `digits` decimals.
pub fn as_csv(planes: &[(Plane, Option<usize>)], digits: usize) -> String {
    let mut text = String::from("dip_deg,dip_direction_deg\n");
    for (plane, _) in planes {
        text.push_str(&format!("{:.digits$},{:.digits$}\n", plane.dip_deg, plane.dip_direction_deg));
    }
    text
}

/// `n` planes drawn from the sets of a case, equal shares and its background.
pub fn many(case: &Synthetic, n: usize, seed: u64) -> Vec<(Plane, Option<usize>)> {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    (0..n)
        .map(|_| {
            if uniform(&mut rng) < case.background {
                return (Plane::from_normal(&any_axis(&mut rng)), None);
            }
            let set = (rng.next_u64() % case.sets.len() as u64) as usize;
            let numbers = [uniform(&mut rng), uniform(&mut rng)];
            let normal = fisher_direction(&case.sets[set].axis, case.sets[set].k, numbers);
            (Plane::from_normal(&normal), Some(set))
        })
        .collect()
}
