//! Every study stands a wedge in the same place: what structures and hung loads do in the check they
//! do in stages, sizes, fit, comparison and as built.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;
use std::io;

use backhold::case::{Case, ReadCase, parse_case};
use backhold::stability::{HungLoad, HungSize};
use backhold::study::{
    CheckedWedge, Place, Stage, StageRow, Verdict, Whole, check, fit, forces_alone, lacks, size_curve,
};

/// The searches of two studies over the same placements end within the promise of each, 0.1 %.
const SEARCHED: f64 = 1e-3;

fn sample(name: &str) -> String {
    fs::read_to_string(format!("{}/samples/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

fn read(text: &str) -> ReadCase {
    parse_case(text, "case.toml", &|_| Err(io::ErrorKind::NotFound.into()))
        .unwrap_or_else(|problems| panic!("{problems}\n{text}"))
}

/// A stock small enough to be tried whole, so that what is told of it is told of every combination.
fn small_stock() -> String {
    sample("options.toml")
        .replace("spacings_m = [1.0, 1.1, 1.2, 1.3, 1.4, 1.5]", "spacings_m = [1.0, 1.2]")
        .replace("ring_spacings_m = [1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.8]", "ring_spacings_m = [1.0, 1.2]")
        .replace("stagger = [false, true]", "stagger = [true]")
        .replace("lengths_m = [1.8, 2.4, 3.0]", "lengths_m = [2.4, 3.0]")
        .replace("prices = [11.0, 14.0, 17.5]", "prices = [14.0, 17.5]")
}

/// A structure that no wedge of the drive reaches: it runs along the drive, 40 m above and beside it.
fn far_fault(name: &str, dip_deg: f64, dip_direction_deg: f64) -> String {
    format!(
        "\n[[structure]]\nname = \"{name}\"\ndip_deg = {dip_deg:.1}\ndip_direction_deg = {dip_direction_deg:.1}\n\
         friction_deg = 25.0\nchainage_m = 60.0\nu_m = 40.0\nv_m = 45.0\n"
    )
}

fn young(found: &Whole, place: Place) -> Vec<&StageRow> {
    found.stages.rows.iter().filter(|r| r.stage == Stage::YoungResin && r.place == place).collect()
}

fn wedge<'w>(found: &'w Whole, id: &str) -> &'w CheckedWedge {
    found.check.wedges.iter().find(|w| w.wedge.id == id).unwrap()
}

#[test]
fn a_fault_that_makes_no_wedge_changes_nothing_that_fit_finds() {
    let plain = read(&small_stock());
    let of = |r: &ReadCase| fit(&r.case, &r.plan, r.stock.as_ref().unwrap()).unwrap();
    let without = of(&plain);
    assert!(!without.efficient.is_empty());
    // One, two, and three that meet in a line far off.
    let faults = [far_fault("F1", 62.0, 140.0), far_fault("F2", 62.0, 320.0), far_fault("F3", 25.0, 140.0)];
    for count in 1..=3 {
        let with = read(&(small_stock() + &faults[..count].concat()));
        assert!(forces_alone(&plain.case).unwrap().wedges == forces_alone(&with.case).unwrap().wedges);
        let found = of(&with);
        let told =
            |f: &backhold::study::Fit| -> Vec<_> { f.efficient.iter().map(|e| e.costed.clone()).collect() };
        assert_eq!(told(&found), told(&without), "{count} faults");
        for fitted in &found.efficient {
            // What fit calls holding holds when it is checked by itself.
            assert!(lacks(&check(&fitted.case).unwrap()).is_empty());
        }
    }
}

#[test]
fn where_a_structure_stands_young_resin_meets_the_rings_that_stand_there() {
    let read = read(&sample("structures.toml"));
    let found = check(&read.case).unwrap();
    // Bolts as they are when their resin is young, as a case of their own.
    let mut green = read.case.clone();
    green.bolts = green.bolts.iter().map(backhold::support::Bolt::young).collect();
    let alone = check(&green).unwrap();
    let mut compared = 0;
    for row in young(&found, Place::InPattern) {
        let same = wedge(&alone, &row.wedge);
        // Of a wedge of the fault the same piece at the one chainage that the fault gives it.
        let Some((located, piece)) = same.wedge.located.zip(same.least_piece()) else { continue };
        assert!((row.fs - piece.fs).abs() <= SEARCHED * piece.fs, "{} {} {}", row.wedge, row.fs, piece.fs);
        let known_m = located.chainage_m(&piece.foot.apex).unwrap();
        assert!((piece.phases_m[0] - known_m).abs() < 1e-9, "{} {:?} {known_m}", row.wedge, piece.phases_m);
        assert_eq!(row.bolts_serving, same.deciding().unwrap().serving().unwrap().len());
        compared += 1;
    }
    assert!(compared >= 4, "{compared}");
}

#[test]
fn a_hung_load_is_in_every_stage_and_in_every_size() {
    let text = sample("options.toml");
    let mut case: Case = read(&text).case;
    let load = |kn: f64| HungLoad {
        name: "fan".into(),
        size: HungSize::AtPlace { kn, chainage_m: None },
        arc_m: 0.4,
        source: None,
    };
    let plain = check(&case).unwrap();
    case.site.hung_loads = vec![load(25.0)];
    let loaded = check(&case).unwrap();
    let mut lower = 0;
    for (a, b) in plain.stages.rows.iter().zip(&loaded.stages.rows) {
        assert_eq!((a.stage, a.place, &a.wedge), (b.stage, b.place, &b.wedge));
        assert!(b.fs <= a.fs * (1.0 + SEARCHED), "{a:?}\n{b:?}");
        lower += usize::from(b.place != Place::Ahead && b.fs < 0.95 * a.fs);
    }
    assert!(lower >= 3, "a fan of 25 kN is felt in {lower} rows");
    for curve in &loaded.sizes {
        let held = wedge(&loaded, &curve.wedge);
        let refined = size_curve(&case, &loaded.check, held).unwrap();
        assert!(refined.governing_size().fs_bolted <= curve.governing_size().fs_bolted);
        if held.decided.fs.is_none() {
            continue; // all of it is for the bar
        }
        // The whole pattern's row is the check's own factor.
        let row = loaded
            .stages
            .rows
            .iter()
            .find(|r| r.stage == Stage::WholePattern && r.place == Place::InPattern && r.wedge == curve.wedge)
            .unwrap();
        assert_eq!(Some(row.fs), held.decided.fs);
    }
    // A load of nothing is none.
    case.site.hung_loads = vec![load(0.0)];
    let nothing = check(&case).unwrap();
    for (a, b) in plain.stages.rows.iter().zip(&nothing.stages.rows) {
        assert!((a.fs - b.fs).abs() <= SEARCHED * a.fs || a.fs == b.fs, "{a:?}\n{b:?}");
    }
}

#[test]
fn fit_and_check_agree_under_a_hung_load_and_a_structure() {
    for extra in [
        "\n[[hung_load]]\nname = \"fan\"\nkn = 8.0\narc_m = 0.4\nsource = \"invented\"\n".to_owned(),
        // A fault that crosses the drive and cuts wedges of its own.
        "\n[[structure]]\nname = \"F9\"\ndip_deg = 71.0\ndip_direction_deg = 20.0\nfriction_deg = 32.0\n\
         chainage_m = 63.0\nu_m = -2.5\nv_m = 1.5\nsource = \"invented\"\n"
            .to_owned(),
    ] {
        let text = small_stock().replace("min_fs_falling = 2.0", "min_fs_falling = 1.2");
        let text = text.replace("min_fs_sliding = 1.5", "min_fs_sliding = 1.1") + &extra;
        let read = read(&text);
        let stock = read.stock.as_ref().unwrap();
        let found = fit(&read.case, &read.plan, stock).unwrap();
        for fitted in &found.efficient {
            assert!(lacks(&check(&fitted.case).unwrap()).is_empty());
        }
        for failing in found.next_cheaper.iter().chain(&found.next_quicker) {
            assert!(!failing.lacks.is_empty());
        }
        assert_eq!(found.stop.is_some(), found.efficient.is_empty());
    }
}

/// Only one file of the studies builds a frontier.
#[test]
fn nothing_but_the_seat_builds_a_frontier() {
    let mut builders = Vec::new();
    let mut folders = vec![std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src/study")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if fs::read_to_string(&path).unwrap().contains("Frontier::new") {
                builders.push(path.file_name().unwrap().to_string_lossy().into_owned());
            }
        }
    }
    assert_eq!(builders, ["seat.rs"]);
}

#[test]
fn the_front_door_gives_the_verdict_that_sizes_and_moments_leave() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/outline.toml");
    let case = backhold::case::read_case(&path).unwrap().case;
    let whole = check(&case).unwrap();
    let judged = wedge(&whole, "S1-S2-S3.111");
    assert_eq!(judged.decided.verdict, Verdict::Short);
    // The largest wedge with moments has 1.94; some piece of its pyramid has no more.
    assert!(judged.decided.fs.unwrap() < 1.95, "{:?}", judged.decided);
    // The fast half finds forces, and says nothing of the verdict.
    let fast = forces_alone(&case).unwrap();
    assert!(fast.wedges.iter().all(|w| w.decided.verdict == Verdict::NotJudged));
    let same = fast.wedges.iter().find(|w| w.wedge.id == judged.wedge.id).unwrap();
    assert!((same.found.fs_bolted.unwrap() - 4.30).abs() < 0.01, "{:?}", same.found.fs_bolted);
}
