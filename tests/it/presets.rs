//! Presets of bolts: a worked table, where its numbers go, and what is refused.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fs;
use std::io;

use assert_cmd::Command;
use backhold::case::{Problems, ReadCase, TEMPLATE, parse_case};
use backhold::support::{Anchorage, BoltKind};

const HEADER: &str = "preset,kind,steel_kn,bond_kn_per_m,anchor_kn,anchor_length_m,plate_kn,fast_length_m,source,read_by,tests\n";
const REBAR: &str = "rebar,resin,131,170,,,95,0.55,\"sheet 4, page 2\",A. Invented,8\n";
const SHELL: &str = "shell,mechanical,90,,80,0.25,70,,sheet 5,B. Invented,5\n";

/// The template with a bolt of these lines.
fn case_text(bolt: &str) -> String {
    let from = TEMPLATE.find("\n[[bolt]]").unwrap() + 1;
    let to = TEMPLATE.find("\n[[pattern]]").unwrap() + 1;
    let name = "name = \"resin rebar 20 mm\"";
    let text = format!("{}[[bolt]]\n{name}\n{bolt}\n\n{}", &TEMPLATE[..from], &TEMPLATE[to..]);
    let named = text.replacen("[drive]", "presets = \"presets.csv\"\n\n[drive]", 1);
    assert!(named != text);
    named
}

fn read(bolt: &str, csv: &str) -> Result<ReadCase, Problems> {
    parse_case(&case_text(bolt), "case.toml", &|name| {
        if name == "presets.csv" { Ok(csv.to_owned()) } else { Err(io::ErrorKind::NotFound.into()) }
    })
}

#[test]
fn a_preset_gives_all_that_the_bolt_does_not() {
    let table = format!("# invented\n{HEADER}{REBAR}{SHELL}");
    let found = read("preset = \"rebar\"", &table).unwrap_or_else(|problems| panic!("{problems}"));
    let bolt = &found.case.bolts[0];
    assert_eq!(bolt.kind, BoltKind::Resin);
    assert_eq!(bolt.anchorage, Anchorage::Bonded { bond_kn_per_m: 170.0 });
    assert_eq!((bolt.steel_kn, bolt.plate_kn, bolt.fast_length_m), (131.0, 95.0, Some(0.55)));
    assert_eq!(
        bolt.source.as_deref(),
        Some("preset \"rebar\": sheet 4, page 2, read by A. Invented, 8 tests")
    );
    let origin = found.bolt_origins[0].preset.as_ref().unwrap();
    assert_eq!((origin.line, origin.tests, origin.read_by.as_str()), (3, 8, "A. Invented"));
    assert!(found.notes.is_empty(), "{:?}", found.notes);

    // Typed values come before it, and are named; a factor multiplies what the preset gives.
    let typed = read("preset = \"rebar\"\nplate_kn = 0\nsource = \"old stock\"\nsteel_factor = 0.5", &table);
    let typed = typed.unwrap();
    let bolt = &typed.case.bolts[0];
    assert_eq!((bolt.steel_kn, bolt.plate_kn), (65.5, 0.0));
    assert_eq!(typed.bolt_origins[0].preset.as_ref().unwrap().typed_over, ["plate_kn"]);
    let source = bolt.source.as_deref().unwrap();
    assert!(
        source.starts_with("old stock; preset \"rebar\"")
            && source.contains("instead: plate_kn; what is left")
    );

    let shell = read("preset = \"shell\"", &table).unwrap();
    let anchored = Anchorage::PointAnchored { anchor_kn: 80.0, anchor_length_m: 0.25 };
    assert_eq!(shell.case.bolts[0].anchorage, anchored);
}

#[test]
fn few_tests_are_noted() {
    let table = format!("{HEADER}{}", REBAR.replace(",8\n", ",0\n"));
    let notes = read("preset = \"rebar\"", &table).unwrap().notes;
    assert!(notes.len() == 1 && notes[0].found.contains("rests on 0 tests"), "{notes:?}");
}

#[test]
fn each_bad_row_has_a_message_of_its_own() {
    let rows = [
        ("a,resin,131,170,,,95,,,A. Invented,8", "source", "nothing", "every row"),
        ("b,resin,131,170,,,95,,sheet,,8", "read_by", "nothing", "every row"),
        ("c,resin,131,170,,,95,,sheet,A. Invented,", "tests", "nothing", "every row"),
        ("d,resin,131,170,,,95,,sheet,A. Invented,some", "tests", "some", "a whole number from 0"),
        ("e,resin,131,170,,,95,,sheet,A. Invented,2.5", "tests", "2.5", "a whole number from 0"),
        ("f,rasin,131,170,,,95,,sheet,A. Invented,8", "kind", "rasin", "\"resin\""),
        ("g,resin,0,170,,,95,,sheet,A. Invented,8", "steel_kn", "0", "above 0, up to 10000 kN"),
        ("h,resin,131,170,,,none,,sheet,A. Invented,8", "plate_kn", "none", "from 0 to 10000 kN"),
        ("i,resin,131,nan,,,95,,sheet,A. Invented,8", "bond_kn_per_m", "nan", "from 0 to 10000"),
        ("rebar,resin,131,170,,,95,,sheet,A. Invented,8", "preset", "on line 2 too", "of its own"),
        (",resin,131,170,,,95,,sheet,A. Invented,8", "preset", "nothing", "every row"),
        ("j,resin,131,170,,,95,,sheet 4, page 2,A. Invented,8", "", "12 fields", "11"),
    ];
    let mut table = format!("{HEADER}{REBAR}");
    for (row, ..) in rows {
        table += row;
        table.push('\n');
    }
    let problems = read("preset = \"rebar\"", &table).unwrap_err();
    assert_eq!(problems.list().len(), rows.len(), "{problems}");
    for (index, (problem, (row, key, found, allowed))) in problems.list().iter().zip(rows).enumerate() {
        assert_eq!((problem.line, problem.key.as_str()), (Some(3 + index), key), "{row}: {problem}");
        assert!(problem.file.ends_with("presets.csv"), "{problem}");
        assert!(problem.found.contains(found) && problem.allowed.contains(allowed), "{row}: {problem}");
        assert!(!problem.advice.is_empty(), "{row}: {problem}");
    }
}

#[test]
fn what_names_no_preset_is_refused() {
    let only = |text: &str, csv: &str, key: &str, found: &str| {
        let read = parse_case(text, "case.toml", &|_| Ok(csv.to_owned()));
        let problems = read.unwrap_err();
        assert_eq!(problems.list().len(), 1, "{problems}");
        let problem = &problems.list()[0];
        assert_eq!(problem.key, key, "{problem}");
        assert!(problem.found.contains(found), "{problem}");
    };
    let table = format!("{HEADER}{REBAR}");
    only(&case_text("preset = \"rebra\""), &table, "bolt[1].preset", "does not have");
    only(&case_text("preset = \"rebar\""), "", "presets", "an empty file");
    only(&case_text("preset = \"rebar\""), REBAR, "presets", "names no column");
    let unnamed = case_text("preset = \"rebar\"").replacen("presets = \"presets.csv\"\n", "", 1);
    only(&unnamed, &table, "bolt[1].preset", "names no presets");
    only(&case_text("preset = \"rebar\"\nkind = \"cable\""), &table, "bolt[1].kind", "another kind");
    // What a preset lacks for its kind is missed in the bolt.
    let bondless = format!("{HEADER}{}", REBAR.replace(",170,", ",,"));
    only(&case_text("preset = \"rebar\""), &bondless, "bolt[1].bond_kn_per_m", "nothing");
    let spelt = HEADER.replace("plate_kn", "plate") + REBAR;
    let problems = read("preset = \"rebar\"", &spelt).unwrap_err();
    assert_eq!(problems.list().len(), 2, "{problems}");
    assert!(problems.list()[0].advice.contains("did you mean plate_kn?"), "{problems}");
}

#[test]
fn a_check_carries_its_presets_and_runs_again_from_its_summary() {
    let dir = tempfile::tempdir().unwrap();
    let table = format!("{HEADER}{REBAR}");
    fs::write(dir.path().join("case.toml"), case_text("preset = \"rebar\"\nquality_factor = 0.9")).unwrap();
    fs::write(dir.path().join("presets.csv"), &table).unwrap();
    let backhold = || Command::cargo_bin("backhold").unwrap();
    backhold().current_dir(&dir).args(["check", "case.toml", "--out", "out"]).assert().success();
    let summary: serde_json::Value =
        serde_json::from_slice(&fs::read(dir.path().join("out/summary.json")).unwrap()).unwrap();
    let origin = &summary["bolt_origins"][0];
    assert_eq!(origin["preset"]["read_by"], "A. Invented");
    assert_eq!(origin["preset"]["tests"], 8);
    assert_eq!((&origin["steel_factor"], &origin["as_tested"]["steel_kn"]), (&0.9.into(), &131.0.into()));
    assert_eq!(summary["inputs"]["bolt"][0]["steel_kn"], 131.0 * 0.9);
    assert_eq!(summary["read_from"][1]["text"], table);
    let html = fs::read_to_string(dir.path().join("out/report.html")).unwrap();
    assert!(
        html.contains("read by A. Invented, 8 tests; what is left: steel 0.9 × 131 kN"),
        "origin on the page"
    );
    fs::remove_file(dir.path().join("presets.csv")).unwrap();
    backhold().current_dir(&dir).args(["check", "--again", "out/summary.json"]).assert().success();
}
