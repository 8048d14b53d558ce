//! The engine against an independent reference: 2,000 random cases, volumes and areas by Qhull,
//! removability and apexes by linear programmes, modes by projection of the weight on the cone
//! (see `tests/reference/README.md`; `make_reference.py` there makes the data).
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use crate::reference_cases;
use std::collections::BTreeMap;

use backhold::study::{CheckedWedge, forces_alone};

/// Wedges flatter than this are compared apart: their shape hangs on differences of large numbers
/// in the reference as much as here.
const THIN: f64 = 1e-3;

/// One row of `wedges.csv`, columns by name.
type Row = BTreeMap<String, String>;

fn reference_rows() -> BTreeMap<usize, BTreeMap<String, Row>> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/wedges.csv");
    let mut reader = csv::Reader::from_path(path).unwrap();
    let mut rows: BTreeMap<usize, BTreeMap<String, Row>> = BTreeMap::new();
    for row in reader.deserialize() {
        let row: Row = row.unwrap();
        rows.entry(row["case"].parse().unwrap()).or_default().insert(row["wedge"].clone(), row);
    }
    rows
}

/// Relative differences of one quantity, reported as n, q75, q99, max.
#[derive(Default)]
struct Differences(Vec<f64>);

impl Differences {
    fn add(&mut self, found: f64, expected: f64) {
        let difference = if found == expected { 0.0 } else { (found - expected).abs() / expected.abs() };
        self.0.push(difference);
    }

    fn quantile(&mut self, q: f64) -> f64 {
        self.0.sort_by(f64::total_cmp);
        self.0[((self.0.len() - 1) as f64 * q).round() as usize]
    }

    fn report(&mut self, name: &str) {
        let (q75, q99, max) = (self.quantile(0.75), self.quantile(0.99), self.quantile(1.0));
        println!("{name}: n {} q75 {q75:.1e} q99 {q99:.1e} max {max:.1e}", self.0.len());
    }
}

fn slides_on(case: &backhold::case::Case, wedge: &CheckedWedge) -> String {
    let names: Vec<&str> = wedge
        .stability
        .motion
        .mode
        .slides_on()
        .into_iter()
        .map(|i| case.joints[wedge.sets[i]].name.as_str())
        .collect();
    names.join("|")
}

#[test]
fn two_thousand_cases_agree_with_the_reference() {
    let cases = reference_cases::cases();
    let rows = reference_rows();
    assert_eq!(cases.len(), 2000);
    let mut exact: BTreeMap<&str, Differences> = BTreeMap::new();
    let mut thin: BTreeMap<&str, Differences> = BTreeMap::new();
    let (mut compared, mut held_at_least) = (0, 0);
    let mut worst_least = 0.0f64;
    for (number, case) in cases.iter().enumerate() {
        let mut bare = case.clone();
        if number >= 300 {
            bare.patterns.clear(); // the reference searched placements of the first 300 only
        }
        let check = forces_alone(&bare).unwrap();
        let mut found: BTreeMap<&str, &CheckedWedge> =
            check.wedges.iter().map(|w| (w.id.as_str(), w)).collect();
        let none = BTreeMap::new();
        for (id, row) in rows.get(&number).unwrap_or(&none) {
            let wedge = found.remove(id.as_str()).unwrap_or_else(|| {
                panic!("case {number}: {id} is in the reference ({} m³), not here", row["volume_m3"])
            });
            compared += 1;
            assert_eq!(wedge.stability.motion.mode.name(), row["mode"], "case {number} {id}");
            assert_eq!(slides_on(case, wedge), row["slides_on"], "case {number} {id}");
            let value = |key: &str| -> f64 { row[key].parse().unwrap() };
            let flat = value("height_over_base") <= THIN;
            let into = if flat { &mut thin } else { &mut exact };
            let shape = &wedge.shape;
            let mut compare = |name: &'static str, found: f64, expected: f64| {
                into.entry(name).or_default().add(found, expected);
            };
            compare("volume", shape.volume_m3, value("volume_m3"));
            compare("opening area", shape.opening_area_m2(), value("opening_area_m2"));
            for i in 0..3 {
                let key = i + 1;
                compare("joint area", shape.joints[i].area_m2, value(&format!("joint_area_{key}_m2")));
                compare("trace", shape.joints[i].trace_m, value(&format!("trace_{key}_m")));
            }
            compare("depth", shape.depth_m, value("depth_m"));
            compare("length", shape.length_m, value("length_m"));
            compare("bare FS", wedge.fs_bare, value("fs_bare"));
            compare("bare FS, friction only", wedge.fs_bare_no_cohesion, value("fs_bare_no_cohesion"));
            if let (Some(least), false) = (wedge.fs_bolted, row["least_fs_dense"].is_empty()) {
                let dense = value("least_fs_dense");
                let above = if dense == 0.0 { least } else { least / dense - 1.0 };
                worst_least = worst_least.max(above);
                held_at_least += 1;
                assert!(above <= 1e-3, "case {number} {id}: least {least}, dense search {dense}");
            }
        }
        // What is left here must belong to triples that the reference did not keep, or stand at
        // the edge of a litre.
        let triples: Option<Vec<String>> = reference_cases::triples(number);
        for (id, wedge) in found {
            let triple = id.split('.').next().unwrap().to_owned();
            let kept = triples.as_ref().is_none_or(|t| t.contains(&triple));
            assert!(!kept || (wedge.shape.volume_m3 - 1e-3).abs() < 1e-9, "case {number}: {id} only here");
        }
    }
    println!("wedges compared: {compared}; least bolted FS compared: {held_at_least}");
    println!("least bolted FS above the dense search by at most {worst_least:.1e} (relative)");
    for (name, differences) in &mut exact {
        differences.report(name);
        assert!(differences.quantile(0.99) <= 1e-9, "{name}");
        assert!(differences.quantile(1.0) <= 1e-6, "{name}");
    }
    for (name, differences) in &mut thin {
        differences.report(&format!("height/base ≤ {THIN}: {name}"));
    }
    // Pinned: fewer compared means that the data or the filter changed.
    assert_eq!((compared, held_at_least), (17568, 1872));
}
