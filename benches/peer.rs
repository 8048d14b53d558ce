//! Wedges per second on the first 200 reference cases, the Rust side of `benches/peer`: the
//! largest wedge of every pyramid, its volume, areas, traces, mode and bare factor of safety, one
//! thread, no bolts. Prints one line to be set beside that of `benches/peer/wedges_scipy.py`.

#[path = "../tests/it/reference_cases/mod.rs"]
mod reference_cases;

use std::time::Instant;

use backhold::study::forces_alone;

const CASES: usize = 200;
const REPEATS: usize = 20;

fn main() {
    let mut cases = reference_cases::cases();
    cases.truncate(CASES);
    let kept: Vec<Option<Vec<String>>> = (0..CASES).map(reference_cases::triples).collect();
    for case in &mut cases {
        case.patterns.clear();
    }
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build();
    let Ok(pool) = pool else { return };
    // What the scipy side works on as well; the engine also does the triples that it left out.
    let mut wedges = 0;
    let mut fastest = f64::INFINITY;
    let mut all = 0;
    for _ in 0..REPEATS {
        let start = Instant::now();
        let checks: Vec<_> = pool.install(|| cases.iter().map(forces_alone).collect());
        fastest = fastest.min(start.elapsed().as_secs_f64());
        all = 0;
        wedges = 0;
        for (result, kept) in checks.iter().zip(&kept) {
            let Ok(result) = result else { continue };
            all += result.wedges.len();
            wedges += result
                .wedges
                .iter()
                .filter(|w| kept.as_ref().is_none_or(|k| k.iter().any(|t| w.id.split('.').next() == Some(t))))
                .count();
        }
    }
    let rate = all as f64 / fastest;
    println!("backhold: wedges {wedges} (of {all} made) seconds {fastest:.5} wedges_per_s {rate:.0}");
}
