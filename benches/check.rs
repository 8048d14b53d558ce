//! Time of a whole check in memory: geometry, stability, placement search. Nothing is asserted;
//! machines are noisy. `cargo bench --bench check`

#[path = "../tests/it/worked_case/mod.rs"]
mod worked_case;

use backhold::case::SizeLimits;
use backhold::study::{check, face, forces_alone, forces_and_moments, sizes, stages};
use criterion::{Criterion, criterion_group, criterion_main};

fn benches(criterion: &mut Criterion) {
    let case = worked_case::three_sets();
    criterion.bench_function("three sets, uncapped", |b| b.iter(|| forces_alone(&case)));
    criterion.bench_function("whole, three sets, uncapped", |b| b.iter(|| check(&case)));

    let mut capped = case.clone();
    capped.limits = SizeLimits {
        max_trace_m: Some(3.0),
        max_depth_m: Some(0.9),
        max_length_m: Some(3.0),
        max_volume_m3: Some(0.6),
    };
    criterion.bench_function("three sets, every cap", |b| b.iter(|| forces_alone(&capped)));
    criterion.bench_function("whole, three sets, every cap", |b| b.iter(|| check(&capped)));

    for (name, case) in
        [("sizes of three sets, uncapped", &case), ("sizes of three sets, every cap", &capped)]
    {
        if let Ok(checked) = forces_alone(case) {
            criterion.bench_function(name, |b| b.iter(|| sizes(case, &checked)));
        }
    }

    let mut young = capped.clone();
    young.bolts[0].fast_length_m = Some(0.5);
    young.last_ring_from_face_m = Some(0.6);
    for (name, case) in [("uncapped", &case), ("every cap", &young)] {
        if let Ok(checked) = forces_alone(case) {
            criterion.bench_function(&format!("face of three sets, {name}"), |b| {
                b.iter(|| face(case, checked.clone()));
            });
            let checked = face(case, checked);
            criterion.bench_function(&format!("stages of three sets, {name}"), |b| {
                b.iter(|| stages(case, &checked));
            });
        }
    }

    let mut flat = capped.clone();
    flat.shape = backhold::opening::SectionShape::Flat { width_m: 5.0, height_m: 4.8 };
    criterion.bench_function("three sets, every cap, flat back", |b| b.iter(|| forces_alone(&flat)));

    // Rings of a second pattern slide by themselves: placements are combinations.
    let mut two = capped.clone();
    let mut second = two.patterns[0].clone();
    (second.ring_spacing_m, second.spacing_m, second.stagger) = (1.6, 1.9, false);
    two.patterns.push(second);
    criterion.bench_function("three sets, every cap, two free patterns", |b| b.iter(|| forces_alone(&two)));
    two.limits = SizeLimits::default();
    criterion.bench_function("three sets, uncapped, two free patterns", |b| b.iter(|| forces_alone(&two)));

    for (name, limits) in [("uncapped", SizeLimits::default()), ("every cap", capped.limits)] {
        let (mut one, mut both) = (case.clone(), two.clone());
        (one.limits, both.limits) = (limits, limits);
        criterion.bench_function(&format!("with moments, {name}"), |b| b.iter(|| forces_and_moments(&one)));
        criterion.bench_function(&format!("with moments, {name}, two free patterns"), |b| {
            b.iter(|| forces_and_moments(&both));
        });
    }

    let mut bare = case.clone();
    bare.patterns.clear();
    criterion.bench_function("three sets, no bolts", |b| b.iter(|| forces_alone(&bare)));
}

criterion_group! {
    name = all;
    config = Criterion::default().sample_size(30);
    targets = benches
}
criterion_main!(all);
