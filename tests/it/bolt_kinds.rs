//! Bolts of each kind as a case file gives them: capacity by hand at three depths, young and set, with
//! what is left of it; cables up to 15 m.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::io;

use backhold::case::{Problems, ReadCase, TEMPLATE, parse_case};
use backhold::support::{Bolt, GovernedBy, Quality};

/// Rounding alone, kN.
const ROUNDING_KN: f64 = 1e-9;

/// The template with its bolt given by these lines instead, and its pattern by these lengths.
fn read(bolt: &str, length_m: f64, outside_hole_m: f64) -> Result<ReadCase, Problems> {
    let from = TEMPLATE.find("\n[[bolt]]").unwrap() + 1;
    let to = TEMPLATE.find("\n[[pattern]]").unwrap() + 1;
    let name = "name = \"resin rebar 20 mm\"";
    let text = format!("{}[[bolt]]\n{name}\n{bolt}\n\n{}", &TEMPLATE[..from], &TEMPLATE[to..]);
    let changed = text.replacen("\nlength_m = 2.4", &format!("\nlength_m = {length_m:?}"), 1).replacen(
        "\noutside_hole_m = 0.1",
        &format!("\noutside_hole_m = {outside_hole_m:?}"),
        1,
    );
    parse_case(&changed, "case.toml", &|_| Err(io::ErrorKind::NotFound.into()))
}

fn bolt(lines: &str, length_m: f64, outside_hole_m: f64) -> Bolt {
    let read = read(lines, length_m, outside_hole_m).unwrap_or_else(|problems| panic!("{problems}"));
    assert_eq!(read.case.patterns[0].length_m.to_bits(), length_m.to_bits());
    read.case.bolts[0].clone()
}

/// Checks (length inside the wedge, kN, what gives first) of a bolt with this length in its hole.
fn holds(bolt: &Bolt, in_hole_m: f64, by_hand: [(f64, f64, GovernedBy); 3]) {
    for (head_m, kn, governed_by) in by_hand {
        let found = bolt.capacity(head_m, in_hole_m - head_m);
        assert!((found.kn - kn).abs() < ROUNDING_KN, "{} at {head_m}: {found:?}, by hand {kn}", bolt.name);
        assert_eq!(found.governed_by, governed_by, "{} at {head_m}", bolt.name);
    }
}

use GovernedBy::{Head, Steel, Toe};

#[test]
fn resin_young_and_set() {
    let lines = "kind = \"resin\"\nsteel_kn = 120\nbond_kn_per_m = 180\nplate_kn = 100\nfast_length_m = 0.6";
    let rebar = bolt(lines, 2.4, 0.1);
    // Set: 100 + 180·0.05 = 109; 180·0.3 = 54.
    holds(&rebar, 2.3, [(0.05, 109.0, Head), (1.0, 120.0, Steel), (2.0, 54.0, Toe)]);
    // Young: the toe holds 180·0.6 = 108, the head its plate alone.
    holds(&rebar.young(), 2.3, [(0.05, 100.0, Head), (1.0, 100.0, Head), (2.0, 54.0, Toe)]);
}

#[test]
fn mechanical_holds_at_once() {
    let lines = "kind = \"mechanical\"\nsteel_kn = 90\nanchor_kn = 80\nanchor_length_m = 0.25\nplate_kn = 85";
    let shell = bolt(lines, 2.4, 0.1);
    // The anchor's 80 wherever the whole of it lies beyond the joint.
    let by_hand = [(0.05, 80.0, Toe), (2.0, 80.0, Toe), (2.2, 0.0, Toe)];
    holds(&shell, 2.3, by_hand);
    holds(&shell.young(), 2.3, by_hand);
}

#[test]
fn friction_bolts_hold_by_their_bond_alone_and_by_a_plate_where_there_is_one() {
    let lines =
        |plate: f64| format!("kind = \"friction\"\nsteel_kn = 110\nbond_kn_per_m = 45\nplate_kn = {plate:?}");
    let bare = bolt(&lines(0.0), 2.4, 0.1);
    // No plate: 45·0.05 = 2.25, 45·1.0 = 45 in the wedge; 45·0.3 = 13.5 beyond it.
    let by_hand = [(0.05, 2.25, Head), (1.0, 45.0, Head), (2.0, 13.5, Toe)];
    holds(&bare, 2.3, by_hand);
    holds(&bare.young(), 2.3, by_hand);
    // A plate of 60: 62.25 in the wedge, 45·1.3 = 58.5 beyond it.
    let plated = bolt(&lines(60.0), 2.4, 0.1);
    holds(&plated, 2.3, [(0.05, 62.25, Head), (1.0, 58.5, Toe), (2.0, 13.5, Toe)]);
}

#[test]
fn cables_of_15_m_with_and_without_plate() {
    let lines =
        |plate: f64| format!("kind = \"cable\"\nsteel_kn = 250\nbond_kn_per_m = 300\nplate_kn = {plate:?}");
    let plain = bolt(&lines(0.0), 15.0, 0.3);
    // 14.7 m in the hole. 300·0.5 = 150 in the wedge; 300·0.2 = 60 beyond it.
    holds(&plain, 14.7, [(0.5, 150.0, Head), (7.0, 250.0, Steel), (14.5, 60.0, Toe)]);
    // 180 + 150 = 330 is more than the strand.
    holds(
        &bolt(&lines(180.0), 15.0, 0.3),
        14.7,
        [(0.5, 250.0, Steel), (7.0, 250.0, Steel), (14.5, 60.0, Toe)],
    );
    // Grout that has not set holds nothing.
    holds(&plain.young(), 14.7, [(0.5, 0.0, Toe), (7.0, 0.0, Toe), (14.5, 0.0, Toe)]);
    assert!(read(&lines(0.0), 15.0, 0.3).unwrap().notes.is_empty());
    let notes = read(&lines(0.0), 15.5, 0.3).unwrap().notes;
    assert!(notes.len() == 1 && notes[0].found.contains("a cable of 15.5 m"), "{notes:?}");
}

#[test]
fn what_is_left_multiplies_steel_hold_and_plate() {
    let resin =
        "kind = \"resin\"\nsteel_kn = 120\nbond_kn_per_m = 180\nplate_kn = 100\nfast_length_m = 0.6\n";
    // All by 0.8: 96, 144 kN/m, 80. At 0.05 m 80 + 7.2 = 87.2; at 2.0 m 144·0.3 = 43.2.
    let all = bolt(&format!("{resin}quality_factor = 0.8"), 2.4, 0.1);
    holds(&all, 2.3, [(0.05, 87.2, Head), (1.0, 96.0, Steel), (2.0, 43.2, Toe)]);
    // Young: 144·0.6 = 86.4 at the toe, the plate's 80 at the head.
    holds(&all.young(), 2.3, [(0.05, 80.0, Head), (1.0, 80.0, Head), (2.0, 43.2, Toe)]);
    // One of its own comes before the factor of all: 60 of steel, 180·0.8 = 144, no plate.
    let lines = format!("{resin}quality_factor = 0.8\nsteel_factor = 0.5\nplate_factor = 0.0");
    let parted = read(&lines, 2.4, 0.1).unwrap();
    holds(&parted.case.bolts[0], 2.3, [(0.05, 7.2, Head), (1.0, 60.0, Steel), (2.0, 43.2, Toe)]);
    let origin = &parted.bolt_origins[0];
    assert_eq!(origin.quality, Quality { steel: 0.5, bond: 0.8, plate: 0.0 });
    holds(&origin.as_tested, 2.3, [(0.05, 109.0, Head), (1.0, 120.0, Steel), (2.0, 54.0, Toe)]);
    let source = parted.case.bolts[0].source.as_deref().unwrap();
    assert!(source.ends_with("steel 0.5 × 120 kN, bond 0.8 × 180 kN/m, plate 0 × 100 kN"), "{source}");

    let shell =
        "kind = \"mechanical\"\nsteel_kn = 90\nanchor_kn = 80\nanchor_length_m = 0.25\nplate_kn = 85\n";
    let worn = bolt(&format!("{shell}bond_factor = 0.75"), 2.4, 0.1);
    holds(&worn, 2.3, [(0.05, 60.0, Toe), (2.0, 60.0, Toe), (2.2, 0.0, Toe)]);
    // Nothing left holds nothing, and 1 is as tested.
    let gone = bolt(&format!("{resin}quality_factor = 0"), 2.4, 0.1);
    assert!(gone.capacity(1.0, 1.3).kn.abs() < ROUNDING_KN);
    let kept = read(&format!("{resin}quality_factor = 1"), 2.4, 0.1).unwrap();
    assert!(kept.case.bolts[0].source.is_none() && kept.bolt_origins[0].quality.is_as_tested());

    let problems = read(&format!("{resin}quality_factor = 1.2\nplate_factor = -0.1"), 2.4, 0.1).unwrap_err();
    assert_eq!(problems.list().len(), 2, "{problems}");
    assert!(problems.list()[0].allowed.contains("from 0 to 1") && problems.list()[0].advice.contains("left"));
}
