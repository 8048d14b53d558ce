//! What the reader says of screen, straps and shotcrete, key by key, and that good ones are taken.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use backhold::case::{ProblemKind, Problems, ReadCase, TEMPLATE, parse_case};
use backhold::support::{Covered, SurfaceKind};

const SCREEN: &str = "[[surface]]\nname = \"mesh\"\nkind = \"screen\"\ncovers = [\"back\", \"walls\"]\nlowest_m = 1.5\nbay_kn = 25.0\n";
const SHOTCRETE: &str = "[[surface]]\nname = \"spray\"\nkind = \"shotcrete\"\ncovers = [\"back\"]\nthickness_m = 0.05\nshear_strength_kpa = 2000.0\nadhesion_kpa = 500.0\nadhesion_width_m = 0.03\n";

fn read(added: &str) -> Result<ReadCase, Problems> {
    let text = format!("{TEMPLATE}\n{added}");
    parse_case(&text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into()))
}

#[test]
fn every_kind_is_read() {
    let strap = SCREEN.replace("mesh", "strap").replace("\"screen\"", "\"strap\"");
    let read = read(&format!("{SCREEN}\n{SHOTCRETE}\n{strap}\n[advice]\nesr = 1.6\n")).unwrap();
    assert!(read.notes.is_empty(), "{:?}", read.notes);
    let support = &read.case.surface_support;
    assert_eq!(support.len(), 3);
    assert_eq!(support[0].kind, SurfaceKind::Screen { bay_kn: 25.0 });
    assert_eq!(support[0].covers, [Covered::Back, Covered::Walls]);
    assert_eq!(support[0].lowest_m, Some(1.5));
    assert_eq!(
        support[1].kind,
        SurfaceKind::Shotcrete {
            thickness_m: 0.05,
            shear_strength_kpa: 2000.0,
            adhesion_kpa: 500.0,
            adhesion_width_m: 0.03
        }
    );
    assert_eq!(support[2].kind, SurfaceKind::Strap { bay_kn: 25.0 });
    assert_eq!(read.case.esr, Some(1.6));
}

/// Which of the two tables, the words changed, and what the one message then says: key, found,
/// allowed, advice.
type Mistake = (&'static str, &'static str, &'static str, [&'static str; 4]);

const MISTAKES: [Mistake; 15] = [
    (
        SCREEN,
        "bay_kn = 25.0",
        "",
        [
            "surface[1].bay_kn",
            "nothing",
            "bay_kn for kind \"screen\"",
            "from your tests; there is no default",
        ],
    ),
    (
        SCREEN,
        "bay_kn = 25.0",
        "bay_kn = 0.0",
        ["surface[1].bay_kn", "0.0", "above 0, up to 10000 kN", "one bay carried"],
    ),
    (
        SCREEN,
        "bay_kn = 25.0",
        "bay_kn = 25.0\nthickness_m = 0.05",
        ["surface[1].thickness_m", "kind \"screen\" does not have", "bay_kn", "delete it"],
    ),
    (
        SCREEN,
        "lowest_m = 1.5",
        "",
        ["surface[1].lowest_m", "nothing, though a wall is covered", "0 to 100 metres", "add lowest_m"],
    ),
    (
        SCREEN,
        "lowest_m = 1.5",
        "lowest_m = 4.8",
        ["surface[1].lowest_m", "4.8, at or above the crown", "below the crown, 4.800", "height"],
    ),
    (
        SCREEN,
        "lowest_m = 1.5",
        "lowest_m = -1.0",
        ["surface[1].lowest_m", "-1.0", "0 to 100 metres", "give metres"],
    ),
    (
        SCREEN,
        "\"screen\"",
        "\"skreen\"",
        [
            "surface[1].kind",
            "\"skreen\"",
            "\"screen\", \"strap\" or \"shotcrete\"",
            "did you mean \"screen\"?",
        ],
    ),
    (
        SCREEN,
        "bay_kn = 25.0",
        "bay_kN = 25.0",
        ["surface[1].bay_kN", "unknown key", "bay_kn", "did you mean bay_kn?"],
    ),
    (SCREEN, "name = \"mesh\"\n", "", ["surface[1].name", "nothing", "a text", "add name"]),
    (
        SHOTCRETE,
        "thickness_m = 0.05",
        "",
        [
            "surface[1].thickness_m",
            "nothing",
            "adhesion_kpa and adhesion_width_m for kind \"shotcrete\"",
            "add thickness_m",
        ],
    ),
    (
        SHOTCRETE,
        "adhesion_width_m = 0.03",
        "",
        ["surface[1].adhesion_width_m", "nothing", "thickness_m, shear_strength_kpa", "add adhesion_width_m"],
    ),
    (
        SHOTCRETE,
        "shear_strength_kpa = 2000.0",
        "shear_strength_kpa = 0.0",
        ["surface[1].shear_strength_kpa", "0.0", "above 0", "MPa times 1000"],
    ),
    (
        SHOTCRETE,
        "thickness_m = 0.05",
        "thickness_m = 50.0",
        ["surface[1].thickness_m", "50.0", "up to 2 metres", "millimetres divided by 1000"],
    ),
    (
        SHOTCRETE,
        "adhesion_kpa = 500.0",
        "adhesion_kpa = 500.0\nbay_kn = 20.0",
        ["surface[1].bay_kn", "kind \"shotcrete\" does not have", "thickness_m", "delete it"],
    ),
    (SHOTCRETE, "[\"back\"]", "[]", ["surface[1].covers", "0", "1", ""]),
];

#[test]
fn each_mistake_has_its_message() {
    for (table, from, to, [key, found, allowed, advice]) in MISTAKES {
        assert!(table.contains(from), "{from}");
        let problems = read(&table.replacen(from, to, 1)).unwrap_err();
        assert_eq!(problems.list().len(), 1, "{to:?}: {problems}");
        let p = &problems.list()[0];
        assert_eq!(p.key, key, "{problems}");
        assert!(p.found.contains(found), "{problems}");
        assert!(p.allowed.contains(allowed), "{problems}");
        assert!(p.advice.contains(advice), "{problems}");
        assert!(p.line.is_some());
    }
}

#[test]
fn all_mistakes_of_a_table_come_at_once() {
    let text = "[[surface]]\nname = \"spray\"\nkind = \"shotcrete\"\ncovers = [\"walls\"]\nbay_kn = 2.0\n";
    let problems = read(&format!("{SHOTCRETE}\n{text}")).unwrap_err();
    let mut keys: Vec<&str> = problems.list().iter().map(|p| p.key.as_str()).collect();
    keys.sort_unstable();
    assert_eq!(
        keys,
        [
            "surface[2].adhesion_kpa",
            "surface[2].adhesion_width_m",
            "surface[2].bay_kn",
            "surface[2].lowest_m",
            "surface[2].name",
            "surface[2].shear_strength_kpa",
            "surface[2].thickness_m",
        ]
    );
}

#[test]
fn notes_keep_nothing_from_being_checked() {
    let spare = SHOTCRETE.replace("[\"back\"]", "[\"back\"]\nlowest_m = 2.0").replace("0.05", "0.6");
    let notes = read(&spare).unwrap().notes;
    assert!(notes.iter().all(|n| n.kind == ProblemKind::Note));
    let keys: Vec<&str> = notes.iter().map(|n| n.key.as_str()).collect();
    assert_eq!(keys, ["surface[1].lowest_m", "surface[1].thickness_m"]);
    let bare = TEMPLATE.split("[[bolt]]").next().unwrap();
    let text = format!("{bare}\n{SCREEN}");
    let read = parse_case(&text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into())).unwrap();
    assert!(read.notes[0].found.contains("without a pattern"), "{:?}", read.notes);
}

#[test]
fn advice_and_scaling_have_ranges() {
    let problem = read("[advice]\nesr = 9.0\n").unwrap_err();
    assert_eq!(problem.list()[0].key, "advice.esr");
    let text = TEMPLATE.replace("[criteria]", "[criteria]\nscaling_up_to_m3 = 0.0");
    let problems = parse_case(&text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into())).unwrap_err();
    assert_eq!(problems.list()[0].key, "criteria.scaling_up_to_m3");
    assert!(problems.list()[0].allowed.contains("0.001 to 10 m³"), "{problems}");
}
