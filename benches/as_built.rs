//! Time of a stretch with 5,000 bolts as built, beside its design, in memory. Nothing is asserted;
//! machines are noisy. `cargo bench --bench as_built`

#[path = "../tests/it/worked_case/mod.rs"]
mod worked_case;

use backhold::case::{AsBuilt, Case, SizeLimits};
use backhold::study::{as_built, forces_alone};
use backhold::support::{Layout, SetBolt, drawn_bolts};
use criterion::{Criterion, criterion_group, criterion_main};

/// The drawn bolts of a stretch, each moved a little, by a rule that any machine repeats.
fn bolts(case: &Case, from_m: f64, to_m: f64) -> Vec<SetBolt> {
    let Ok(opening) = case.opening() else { return Vec::new() };
    let Ok(layout) = Layout::new(&case.patterns[0], &opening) else { return Vec::new() };
    let mut bolts: Vec<SetBolt> =
        drawn_bolts(&case.patterns[0], &layout, 0.0, from_m, to_m).into_iter().map(|b| b.1).collect();
    for (i, bolt) in bolts.iter_mut().enumerate() {
        bolt.chainage_m += 0.2 * ((i as f64 * 0.618_034).fract() - 0.5);
    }
    bolts
}

fn benches(criterion: &mut Criterion) {
    let case = worked_case::three_sets();
    let mut capped = case.clone();
    capped.limits = SizeLimits {
        max_trace_m: Some(3.0),
        max_depth_m: Some(0.9),
        max_length_m: Some(3.0),
        max_volume_m3: Some(0.6),
    };
    for (name, mut case) in [("uncapped", case), ("every cap", capped)] {
        let mut listed = bolts(&case, 0.0, 2000.0);
        listed.truncate(5000);
        let to_m = listed.last().map_or(1.0, |b| b.chainage_m);
        case.patterns[0].offset_m = Some(0.0);
        let count = listed.len();
        case.site.as_built = Some(AsBuilt::of_good(&case, listed, (0.0, to_m)));
        if let Ok(checked) = forces_alone(&case) {
            criterion.bench_function(&format!("{count} bolts as built, {name}"), |b| {
                b.iter(|| as_built(&case, &checked));
            });
        }
    }
}

criterion_group! {
    name = all;
    config = Criterion::default().sample_size(10);
    targets = benches
}
criterion_main!(all);
