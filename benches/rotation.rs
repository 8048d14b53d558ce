//! Time of one balance of forces and moments, for wedges as a pattern meets them and for large
//! ones. Nothing is asserted; machines are noisy. `cargo bench --bench rotation`

use std::hint::black_box;

use backhold::orientation::Vec3;
use backhold::stability::{BoltPull, Contact, Rotation, RotationScratch};
use criterion::{Criterion, criterion_group, criterion_main};

/// Even numbers from a linear congruence, the same on every machine.
struct Draw(u64);

impl Draw {
    fn within(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// A wedge in a level back: its weight hangs at the centroid; `bolts` of them, and `contacts`
/// corners of which nine are those of the joint faces and the others lie between.
fn problem(draw: &mut Draw, bolts: usize, contacts: usize) -> (Rotation, Vec<BoltPull>) {
    let apex = Vec3::new(draw.within(-0.4, 0.4), draw.within(-0.4, 0.4), draw.within(0.4, 1.5));
    let mut hit = |x: f64, y: f64| Vec3::new(x + draw.within(-0.3, 0.3), y + draw.within(-0.3, 0.3), 0.0);
    let hits = [hit(1.2, 0.0), hit(-0.6, 1.0), hit(-0.6, -1.0)];
    let mut corners = Vec::new();
    for k in 0..contacts {
        let i = k % 3;
        let (a, b) = (hits[(i + 1) % 3], hits[(i + 2) % 3]);
        let normal = (b - apex).cross(&(a - apex)).normalize();
        let point = match k / 3 {
            0 => apex,
            1 => a,
            2 => b,
            _ => {
                let share = draw.within(0.0, 0.5);
                apex * (0.5 - share) + a * share + b * 0.5
            }
        };
        corners.push(Contact { point, normal: normal * normal.dot(&(hits[i] - apex)).signum() });
    }
    let pulls = (0..bolts)
        .map(|_| BoltPull {
            point: Vec3::new(draw.within(-0.5, 0.5), draw.within(-0.5, 0.5), 0.0),
            direction: Vec3::new(draw.within(-0.2, 0.2), draw.within(-0.2, 0.2), 1.0).normalize(),
            capacity_kn: draw.within(10.0, 120.0),
        })
        .collect();
    let centroid = (apex + hits[0] + hits[1] + hits[2]) / 4.0;
    (Rotation::new(&Vec3::new(0.0, 0.0, -25.0), &centroid, &corners), pulls)
}

fn benches(criterion: &mut Criterion) {
    for (bolts, contacts) in [(3, 9), (10, 12), (20, 60)] {
        let mut draw = Draw(7);
        let problems: Vec<_> = (0..64).map(|_| problem(&mut draw, bolts, contacts)).collect();
        let mut scratch = RotationScratch::default();
        criterion.bench_function(&format!("64 balances, {bolts} bolts, {contacts} contacts"), |b| {
            b.iter(|| {
                problems
                    .iter()
                    .map(|(rotation, pulls)| rotation.load_factor(black_box(pulls), &mut scratch))
                    .sum::<f64>()
            });
        });
    }
}

criterion_group! {
    name = all;
    config = Criterion::default().sample_size(30);
    targets = benches
}
criterion_main!(all);
