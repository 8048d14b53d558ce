//! Bonds from pull tests: a worked table, what it says, and what is refused.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fs;
use std::io;

use assert_cmd::Command;
use backhold::case::{Problems, ReadCase, parse_case};
use backhold::report::pull_test_words;
use backhold::support::Anchorage;

/// Half of the last digit of the values that were derived, kN per metre.
const DIGIT: f64 = 5e-3;

/// 42, 55, 38, 61, 49 kN/m over lengths that differ; derived: mean 49, characteristic 27.16.
const FIVE: &str = "load_kn,embedded_length_m,kind,condition,held\n# invented\n21,0.5,resin,dry,no\n16.5,0.3,resin,dry,no\n38,1,resin,dry,no\n122,2,resin,dry,no\n24.5,0.5,resin,dry,no\n";

fn case_text() -> String {
    let text = fs::read_to_string("samples/haulage.toml").unwrap();
    let text =
        text.replacen("north = \"mine grid\"", "north = \"mine grid\"\npull_tests = \"pull_tests.csv\"", 1);
    let changed = text.replacen("bond_kn_per_m = 180.0", "bond_from = \"tests\"", 1);
    assert!(changed.contains("pull_tests.csv") && changed != text);
    changed
}

fn read_with(case: &str, csv: &str) -> Result<ReadCase, Problems> {
    parse_case(case, "case.toml", &|name| {
        if name == "pull_tests.csv" { Ok(csv.to_owned()) } else { Err(io::ErrorKind::NotFound.into()) }
    })
}

fn read(csv: &str) -> Result<ReadCase, Problems> {
    read_with(&case_text(), csv)
}

fn bond(read: &ReadCase) -> f64 {
    match read.case.bolts[0].anchorage {
        Anchorage::Bonded { bond_kn_per_m } => bond_kn_per_m,
        Anchorage::PointAnchored { .. } | Anchorage::BondedAtToe { .. } => panic!("a bonded bolt"),
    }
}

#[test]
fn five_tests_give_their_characteristic_bond_and_keep_their_scatter() {
    let read = read(FIVE).unwrap();
    assert!((bond(&read) - 27.16).abs() < DIGIT, "{}", bond(&read));
    let tests = read.bond_tests[0].unwrap();
    assert!((tests.mean_kn_per_m - 49.0).abs() < 1e-9 && (tests.deviation_kn_per_m - 9.354).abs() < DIGIT);
    assert_eq!((tests.count, tests.held, read.pull_tests.len()), (5, 0, 5));
    assert!(read.notes.is_empty(), "{:?}", read.notes);
    assert!(read.case.bolts[0].source.as_deref().unwrap().ends_with("characteristic 27.16 kN/m"));
    let words = pull_test_words(&read.case, &read.bond_tests);
    assert!(words[0].contains("less than 45 %"), "{words:?}");
}

#[test]
fn a_bolt_s_own_tests_come_before_those_of_its_kind_and_conditions_are_kept_apart() {
    let own = "load_kn,embedded_length_m,kind,bolt,condition,held\n100,1,,resin rebar 20 mm,dry,yes\n110,1,,resin rebar 20 mm,dry,yes\n1,1,resin,,dry,no\n1,1,friction,,dry,no\n";
    let found = read(own).unwrap();
    assert_eq!((found.bond_tests[0].unwrap().count, found.bond_tests[0].unwrap().held), (2, 2));
    // Two tests: a note, not a refusal; t(0.95, 1) = 6.3138, k = 6.3138·√1.5, s = 7.0711.
    assert!((bond(&found) - (105.0 - 6.3138 * 1.5_f64.sqrt() * 7.071_068)).abs() < DIGIT);
    assert!(found.notes.iter().any(|n| n.found.contains("2 pull tests") && n.found.contains("fewer than")));
    let words = pull_test_words(&found.case, &found.bond_tests);
    assert!(words[0].contains("2 tests without one that pulled show"), "{words:?}");

    let wet = FIVE.to_owned() + "20,1,resin,wet,no\n22,1,resin,wet,no\n21,1,resin,wet,no\n";
    let problems = read(&wet).unwrap_err();
    assert!(problems.list()[0].found.contains("2 conditions: dry, wet"), "{problems}");
    let chosen =
        case_text().replacen("bond_from = \"tests\"", "bond_from = \"tests\"\ntests_condition = \"wet\"", 1);
    assert_eq!(read_with(&chosen, &wet).unwrap().bond_tests[0].unwrap().count, 3);
}

#[test]
fn each_bad_row_has_a_message_of_its_own() {
    let rows = [
        ("21,0,resin,dry,no", "embedded_length_m", "0", "above 0, up to 30 metres"),
        ("21,-1,resin,dry,no", "embedded_length_m", "-1", "above 0"),
        ("-21,0.5,resin,dry,no", "load_kn", "-21", "from 0 to 10000 kN"),
        ("lots,0.5,resin,dry,no", "load_kn", "lots", "a number"),
        ("nan,0.5,resin,dry,no", "load_kn", "nan", "a number"),
        (",0.5,resin,dry,no", "load_kn", "nothing", "a number"),
        ("21,0.5,resine,dry,no", "kind", "resine", "\"resin\""),
        ("21,0.5,,dry,no", "kind", "nothing", "\"resin\""),
        ("21,0.5,resin,dry,perhaps", "held", "perhaps", "\"yes\" or \"no\""),
        ("21,0.5,resin", "held", "nothing", "\"yes\" or \"no\""),
    ];
    let mut all = FIVE.to_owned();
    for (row, ..) in rows {
        all += row;
        all.push('\n');
    }
    let problems = read(&all).unwrap_err();
    assert_eq!(problems.list().len(), rows.len(), "{problems}");
    for (index, (problem, (row, key, found, allowed))) in problems.list().iter().zip(rows).enumerate() {
        assert_eq!((problem.line, problem.key.as_str()), (Some(8 + index), key), "{row}: {problem}");
        assert!(problem.file.ends_with("pull_tests.csv"));
        assert!(problem.found.contains(found) && problem.allowed.contains(allowed), "{row}: {problem}");
        assert!(!problem.advice.is_empty());
    }
}

#[test]
fn what_gives_no_bond_is_refused() {
    let only = |text: &str, csv: &str, key: &str, found: &str| {
        let problems = read_with(text, csv).unwrap_err();
        assert_eq!(problems.list().len(), 1, "{problems}");
        let problem = &problems.list()[0];
        assert_eq!(problem.key, key, "{problem}");
        assert!(problem.found.contains(found), "{problem}");
        assert!(problem.line.is_some() || csv.is_empty(), "{problem}");
    };
    let text = case_text();
    only(&text, "", "pull_tests", "an empty file");
    only(&text, "load_kn,length_m,kind,held\n1,1,resin,no\n", "embedded_length_m", "length_m");
    let header = "load_kn,embedded_length_m,kind,condition,held\n";
    only(&text, &format!("{header}40,1,resin,dry,no\n"), "bolt[1].bond_from", "1 tests");
    only(
        &text,
        &format!("{header}1,1,resin,dry,no\n99,1,resin,dry,no\n"),
        "bolt[1].bond_from",
        "not above 0",
    );
    let unnamed = text.replacen("pull_tests = \"pull_tests.csv\"\n", "", 1);
    only(&unnamed, FIVE, "bolt[1].bond_from", "names no tests");
    let both = text.replacen("bond_from = \"tests\"", "bond_from = \"tests\"\nbond_kn_per_m = 180.0", 1);
    only(&both, FIVE, "bolt[1].bond_kn_per_m", "beside bond_from");
}

#[test]
fn a_check_carries_its_tests_and_runs_again_from_its_summary() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("case.toml"), case_text()).unwrap();
    fs::write(dir.path().join("pull_tests.csv"), FIVE).unwrap();
    let backhold = || Command::cargo_bin("backhold").unwrap();
    backhold().current_dir(&dir).args(["check", "case.toml", "--out", "out"]).assert().success();
    let summary: serde_json::Value =
        serde_json::from_slice(&fs::read(dir.path().join("out/summary.json")).unwrap()).unwrap();
    assert_eq!(summary["pull_tests"][0]["tests"], 5);
    assert_eq!(summary["read_from"][1]["text"], FIVE);
    let html = fs::read_to_string(dir.path().join("out/report.html")).unwrap();
    assert!(html.contains("5 pull tests") && html.contains("less than 45 %"));
    fs::remove_file(dir.path().join("pull_tests.csv")).unwrap();
    backhold().current_dir(&dir).args(["check", "--again", "out/summary.json"]).assert().success();
}
