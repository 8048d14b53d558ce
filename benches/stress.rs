//! Time of the elastic stress round a section of 64 elements, and of a wedge's forces from it. Nothing is
//! asserted; machines are noisy. `cargo bench --bench stress`

use std::hint::black_box;

use backhold::opening::{DriveFrame, SectionShape};
use backhold::orientation::{Line, Vec3};
use backhold::stress::{FarField, SectionStress, VerticalStress, force_on_face};
use criterion::{Criterion, criterion_group, criterion_main};

fn benches(criterion: &mut Criterion) {
    let flat = SectionShape::Flat { width_m: 5.0, height_m: 4.0 };
    let arched = SectionShape::Arched { width_m: 5.0, wall_height_m: 3.2, rise_m: 1.6 };
    let frame = DriveFrame::new(Line { trend_deg: 0.0, plunge_deg: 0.0 });
    let far = VerticalStress { vertical_mpa: 20.0, k_max: 1.8, k_min: 0.9, k_max_trend_deg: 60.0 };
    let (Ok(far), Ok(flat), Ok(arched)) = (FarField::vertical(&far), flat.section(), arched.section()) else {
        return;
    };
    for (name, section) in [("flat", &flat), ("arched", &arched)] {
        let Some(solved) = SectionStress::of(section) else { return };
        let stress = solved.under(&far, &frame, 0.25);
        let elements = stress.boundary().len();
        criterion.bench_function(&format!("stress round the {name} section, {elements} elements"), |b| {
            b.iter(|| SectionStress::of(black_box(section)));
        });
        // From 1.5 m over the back down to two places on it, through an upright joint across the drive.
        let top = section.bounds().1.y;
        let polygon = [Vec3::new(0.0, 0.0, top + 1.5), Vec3::new(-1.0, 0.0, top), Vec3::new(1.0, 0.0, top)];
        criterion.bench_function(&format!("force on a joint's face over the {name} back"), |b| {
            b.iter(|| force_on_face(&stress, black_box(&polygon), &Vec3::y()));
        });
    }
}

criterion_group! {
    name = all;
    config = Criterion::default().sample_size(30);
    targets = benches
}
criterion_main!(all);
