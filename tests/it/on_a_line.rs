//! A mapped fault that runs along the drive holds the apexes of its wedges on a line of the section: of these every
//! piece is judged, as of any other wedge. All data is invented.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::Path;

use backhold::case::{Case, read_case};
use backhold::study::{Check, CheckedWedge, Verdict, decided, forces_alone, judge, judgement};
use backhold::wedge::Across;

/// A bay of screen that carries next to nothing, kN.
const BAY_KN: f64 = 0.5;

/// The largest wedge of a cap is found to 0.1 %, and so is the least piece.
const BRACKETS: f64 = 2.5e-3;

/// The least of so many sizes stands this near the least of all at least.
const BETWEEN_SIZES: f64 = 0.04;
const SIZES: usize = 80;
const LARGEST_M3: f64 = 5.0;
const SMALLEST_SHARE: f64 = 4e-4;

/// The sample with a fault, turned along the drive, with its place on a wall at a height; collars as drawn, and a
/// screen.
fn drive(side_u_m: f64, height_m: f64, dip_deg: f64, friction_deg: f64) -> Case {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/structures.toml");
    let text = std::fs::read_to_string(sample).unwrap();
    let text = text
        .replace(
            "dip_deg = 71.0\ndip_direction_deg = 20.0",
            &format!("dip_deg = {dip_deg:?}\ndip_direction_deg = 140.0"),
        )
        .replace(
            "friction_deg = 22.0\nchainage_m = 63.0        # seen on the left wall\nu_m = -2.5\nv_m = 1.5",
            &format!(
                "friction_deg = {friction_deg:?}\nchainage_m = 63.0\nu_m = {side_u_m:?}\nv_m = {height_m:?}"
            ),
        );
    let text = format!(
        "{text}\n[installation]\ncollar_tolerance_m = 0.0\n\n[[surface]]\nname = \"light mesh\"\nkind = \"screen\"\n\
         bay_kn = {BAY_KN:?}\ncovers = [\"back\", \"walls\"]\nlowest_m = 0.0\n"
    );
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("case.toml");
    std::fs::write(&path, text).unwrap();
    read_case(&path).unwrap().case
}

/// Faults along the drive: place on a wall, height, dip, friction.
const FAULTS: [(f64, f64, f64, f64); 4] =
    [(-2.5, 2.0, 75.0, 20.0), (2.5, 2.5, 60.0, 22.0), (2.5, 1.0, 80.0, 18.0), (-2.5, 3.0, 50.0, 25.0)];

fn verdicts(case: &Case) -> Check {
    let found = forces_alone(case).unwrap();
    let pieces = judgement(case, &found);
    decided(case, judge(case, found, pieces))
}

/// Wedges of the fault that move.
fn on_the_line(check: &Check) -> impl Iterator<Item = &CheckedWedge> {
    let on_line = |w: &&CheckedWedge| {
        w.wedge.located.is_some_and(|l| matches!(l.across, Across::OnLine { .. }))
            && w.decided.criterion_fs.is_some()
    };
    check.wedges.iter().filter(on_line)
}

/// The largest wedge of each of many caps, at its worst place among the bolts, by the search along the drive that
/// knows nothing of pieces: none is carried less than the piece that decides, and the least about as much.
#[test]
fn no_size_on_the_line_is_carried_less_than_the_piece_that_decides() {
    let mut compared = 0;
    for (u_m, v_m, dip_deg, friction_deg) in FAULTS {
        let case = drive(u_m, v_m, dip_deg, friction_deg);
        let whole = verdicts(&case);
        // Moments are not asked of what slides.
        let slides = |w: &&CheckedWedge| w.wedge.stability.motion.mode.name() == "sliding";
        let wedges: Vec<&CheckedWedge> = on_the_line(&whole).filter(slides).collect();
        let mut least = vec![f64::INFINITY; wedges.len()];
        for k in 0..=SIZES {
            let mut capped = case.clone();
            if k > 0 {
                capped.limits.max_volume_m3 = Some(LARGEST_M3 * SMALLEST_SHARE.powf(k as f64 / SIZES as f64));
            }
            let check = forces_alone(&capped).unwrap();
            for (wedge, least) in wedges.iter().zip(&mut least) {
                let Some(one) = check.wedges.iter().find(|w| w.wedge.id == wedge.wedge.id) else { continue };
                let fs = one.placement().unwrap().least_fs.max(BAY_KN / one.wedge.weight_kn);
                let said = wedge.least_piece().unwrap();
                assert!(fs >= said.fs * (1.0 - BRACKETS), "{} of {u_m}: {fs}, {said:?}", one.wedge.id);
                *least = least.min(fs);
            }
        }
        for (wedge, least) in wedges.iter().zip(least) {
            let said = wedge.least_piece().unwrap();
            let id = &wedge.wedge.id;
            println!("{id} of {u_m}: {} of {} m³, among sizes {least}", said.fs, said.volume_m3);
            assert!(said.fs >= least * (1.0 - BETWEEN_SIZES), "{id} of {u_m}: {least}, {said:?}");
            compared += 1;
        }
    }
    assert!(compared >= 6, "{compared}");
}

/// Lower caps take pieces away, and make no wedge short that was held.
#[test]
fn a_lower_cap_makes_no_wedge_on_the_line_short() {
    let (mut held, mut seen) = (0, 0);
    for (u_m, v_m, dip_deg, friction_deg) in FAULTS {
        let mut case = drive(u_m, v_m, dip_deg, friction_deg);
        // A screen that holds something.
        for bay_kn in [5.0, 20.0, 60.0] {
            for support in &mut case.surface_support {
                support.kind = backhold::support::SurfaceKind::Screen { bay_kn };
            }
            case.limits.max_volume_m3 = None;
            let whole = verdicts(&case);
            for cap_m3 in [3.0, 1.0, 0.3, 0.1, 0.011] {
                case.limits.max_volume_m3 = Some(cap_m3);
                let capped = verdicts(&case);
                for was in on_the_line(&whole) {
                    let Some(now) = capped.wedges.iter().find(|w| w.wedge.id == was.wedge.id) else {
                        continue;
                    };
                    let (before, after) = (was.decided.margin(), now.decided.margin());
                    assert!(
                        after >= before * (1.0 - BRACKETS),
                        "{}: {before} to {after} with {cap_m3}",
                        was.wedge.id
                    );
                    if was.decided.verdict == Verdict::Held {
                        assert_eq!(now.decided.verdict, Verdict::Held, "{} with {cap_m3}", was.wedge.id);
                        held += 1;
                    }
                    seen += 1;
                }
            }
        }
    }
    println!("{held} of {seen} held");
    assert!(held > 20 && seen > held);
}
