//! The least load factor along the drive against even ring phases whose linear programs scipy
//! solved one by one (`tests/reference/rotation/make_dense.py`: own wedges, own centroids, own
//! collars, a contact at every corner of an arc's chords).

#[allow(dead_code)] // each test file uses a part of it
mod reference_cases;

use backhold::stability::Mode;
use backhold::study::check;

/// The dense search is a grid: it may lie above the infimum. The other way round the two may differ
/// by this much, relative: what the search is asked for.
const ASKED: f64 = 1e-3;

#[test]
fn the_least_along_the_drive_is_not_above_a_dense_search() {
    let cases = reference_cases::cases();
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/rotation/dense.csv");
    let mut reader = csv::Reader::from_path(path).unwrap();
    let rows: Vec<(usize, String, String, f64)> = reader.deserialize().map(Result::unwrap).collect();
    let (mut compared, mut nought, mut falling) = (0, 0, 0);
    let (mut above, mut below) = (f64::NEG_INFINITY, Vec::new());
    let mut ratios = Vec::new();
    let mut last = None;
    for (number, id, mode, dense) in &rows {
        if last.as_ref().is_none_or(|(n, _)| n != number) {
            last = Some((*number, check(&cases[*number]).unwrap()));
        }
        let wedge = last.as_ref().unwrap().1.wedges.iter().find(|w| w.id == *id).unwrap();
        assert_eq!(wedge.stability.motion.mode.name(), mode);
        let found = wedge.fs_rotation.unwrap();
        compared += 1;
        if *dense < 1e-9 {
            nought += 1;
            assert!(found <= 1e-9, "case {number} {id}: {found}, dense {dense}");
        } else {
            let difference = found / dense - 1.0;
            if difference > 1e-9 {
                println!("case {number} {id} ({mode}): {found}, dense {dense}: {difference:.1e}");
            }
            above = above.max(difference);
            below.push(-difference);
            assert!(difference <= ASKED, "case {number} {id}: {found}, dense {dense}");
        }
        let there = wedge.rotation_placement.as_ref().unwrap();
        let apart = (there.balance.load_factor - found).abs();
        assert!(apart <= 1e-9 * found, "case {number} {id}: {found} {}", there.balance.load_factor);
        assert_eq!(there.balance.bolts_kn.len(), there.serving.len());
        for (kn, serving) in there.balance.bolts_kn.iter().zip(&there.serving) {
            // A micrometre of a bolt is worth less than this.
            assert!(*kn <= serving.capacity.kn + 0.01, "case {number} {id}: {kn} of {serving:?}");
        }
        if wedge.stability.motion.mode == Mode::Falling {
            falling += 1;
            let forces = wedge.fs_bolted.unwrap();
            assert!(found <= forces * (1.0 + 1e-9), "case {number} {id}: {found} above {forces}");
            assert_eq!(wedge.deciding_fs(), found.min(forces));
            if forces > 0.0 {
                ratios.push(found / forces);
            }
        }
    }
    below.sort_by(f64::total_cmp);
    ratios.sort_by(f64::total_cmp);
    let middle = |v: &[f64]| v[v.len() / 2];
    println!("compared {compared}, of them zero {nought}; above the dense search by at most {above:.1e}");
    println!("below it: median {:.1e}, max {:.1e}", middle(&below), below[below.len() - 1]);
    println!(
        "falling {falling}; over forces alone where those hold any: n {} least {:.2} median {:.2} greatest {:.2}",
        ratios.len(),
        ratios[0],
        middle(&ratios),
        ratios[ratios.len() - 1]
    );
    assert_eq!((compared, falling), (408, 59));
}
