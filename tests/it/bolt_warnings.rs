//! What is said of bolts besides their numbers, on the sample with a boom and cables.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::Path;

use backhold::case::{Case, read_case};
use backhold::study::{Warning, check};
use backhold::support::{Anchorage, BoltKind, PLATE_REACH_M};

fn sample() -> Case {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/boom_and_cables.toml");
    let read = read_case(&path).unwrap_or_else(|problems| panic!("{problems}"));
    assert!(read.notes.is_empty(), "{:?}", read.notes);
    read.case
}

#[test]
fn joints_near_plates_are_flagged_and_counted() {
    let case = sample();
    let found = check(&case).unwrap();
    let bolts: Vec<_> = found.check.every().flat_map(|w| w.serving().unwrap_or_default()).collect();
    for bolt in &bolts {
        assert_eq!(bolt.near_plate(), bolt.head_m < PLATE_REACH_M, "{bolt:?}");
    }
    let near = bolts.iter().filter(|b| b.near_plate()).count();
    println!("{near} of {} bolts", bolts.len());
    assert!(near >= 1 && near < bolts.len());
    // The warning says how many of which wedge.
    let said: Vec<&str> = found
        .check
        .warnings
        .iter()
        .filter_map(|w| if let Warning::JointNearPlate { bolts } = w { Some(bolts.as_str()) } else { None })
        .collect();
    assert_eq!(said.len(), 1);
    let counted: usize =
        said[0].split(", ").map(|one| one.rsplit(' ').next().unwrap().parse::<usize>().unwrap()).sum();
    assert_eq!(counted, near);
    assert!(found.check.warnings.contains(&Warning::DowelShear));
    assert!(!found.check.warnings.iter().any(|w| matches!(w, Warning::FlatFrictionBond { .. })));
}

#[test]
fn a_flat_bond_of_friction_bolts_is_called_an_approximation() {
    let mut case = sample();
    case.dowel_shear = None;
    case.bolts[0].kind = BoltKind::Friction;
    case.bolts[0].anchorage = Anchorage::Bonded { bond_kn_per_m: 45.0 };
    let warnings = check(&case).unwrap().check.warnings;
    let flat = Warning::FlatFrictionBond { bolts: "resin rebar".into() };
    assert!(warnings.contains(&flat), "{warnings:?}");
    assert!(flat.to_string().contains("an approximation"));
    assert!(!warnings.contains(&Warning::DowelShear));
}
