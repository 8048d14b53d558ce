//! Many cases in one call: a folder, a list, one that fails, going on from where an earlier run ended.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;
use std::path::Path;

use crate::judgement::wall_drive;
use crate::program::{backhold, files};

/// A drive that its support holds, one without any, one with a slip of the pen.
fn folder_of_cases(folder: &Path) {
    let cases = folder.join("cases");
    fs::create_dir_all(&cases).unwrap();
    fs::copy("samples/mine_plan.toml", cases.join("north.toml")).unwrap();
    fs::copy("samples/headings.csv", cases.join("headings.csv")).unwrap();
    fs::write(cases.join("south.toml"), wall_drive(1.278, 0.001, "")).unwrap();
    fs::write(cases.join("east.toml"), wall_drive(1.0, 0.5, "").replace("dip_deg = 50.0", "dip_deg = 500.0"))
        .unwrap();
    fs::write(cases.join("joint_sets.toml"), "[[joint_set]]\nname = \"A\"\n").unwrap();
    fs::write(cases.join("notes.txt"), "not a case").unwrap();
}

fn check(folder: &Path, list: &str, more: &[&str]) -> assert_cmd::assert::Assert {
    backhold().current_dir(folder).args(["check", list, "--out", "out"]).args(more).assert()
}

/// What it printed, however it is wrapped.
fn said_by(run: &assert_cmd::assert::Assert) -> String {
    let said = String::from_utf8_lossy(&run.get_output().stdout).into_owned();
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn column(table: &str, name: &str) -> Vec<String> {
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let at = rows.headers().unwrap().iter().position(|h| h == name).unwrap();
    rows.records().map(|row| row.unwrap()[at].to_owned()).collect()
}

#[test]
fn every_case_of_a_folder_is_checked_and_one_that_fails_is_named() {
    let folder = tempfile::tempdir().unwrap();
    folder_of_cases(folder.path());
    let run = check(folder.path(), "cases", &[]).code(2);
    let said = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
    assert!(said.contains("joint_set[1].dip_deg: found 500"), "{said}");
    let answer = said_by(&run);
    assert!(answer.starts_with("3 cases: 1 held, 1 short, 1 could not be checked."), "{answer}");
    let table = fs::read_to_string(folder.path().join("out/all-cases/cases.csv")).unwrap();
    assert_eq!(column(&table, "name"), ["east", "north", "south"]);
    assert_eq!(column(&table, "verdict"), ["failed", "held", "short"]);
    assert!(column(&table, "failed_because")[0].contains("500"), "{table}");
    // Each folder is what a call of its own writes.
    for name in ["north", "south"] {
        let alone = folder.path().join(format!("alone-{name}"));
        let case = folder.path().join(format!("cases/{name}.toml"));
        backhold().arg("check").arg(case).arg("--out").arg(&alone).assert().success();
        let there = folder.path().join("out").join(name);
        assert!(files(&there) == files(&alone), "{name}");
    }
    assert!(!folder.path().join("out/east").exists());
}

#[test]
fn the_same_command_goes_on_from_where_it_stopped() {
    let folder = tempfile::tempdir().unwrap();
    folder_of_cases(folder.path());
    fs::remove_file(folder.path().join("cases/east.toml")).unwrap();
    let list = "case,chainage_m\ncases/south.toml,120\ncases/north.toml,40\n";
    fs::write(folder.path().join("level.csv"), list).unwrap();
    check(folder.path(), "level.csv", &["--strict"]).code(1);
    let table = || fs::read_to_string(folder.path().join("out/all-cases/cases.csv")).unwrap();
    let first = table();
    assert_eq!(
        (column(&first, "name"), column(&first, "chainage_m")),
        (vec!["south".into(), "north".into()], vec!["120".into(), "40".into()])
    );
    // One folder is gone, one stands: the second run makes the first again and leaves the other.
    let stood = folder.path().join("out/south/summary.json");
    let before = fs::metadata(&stood).unwrap().modified().unwrap();
    fs::remove_dir_all(folder.path().join("out/north")).unwrap();
    let run = check(folder.path(), "level.csv", &[]).success();
    assert!(said_by(&run).contains("1 stood there already"));
    assert_eq!(fs::metadata(&stood).unwrap().modified().unwrap(), before);
    assert!(folder.path().join("out/north/report.html").exists());
    assert_eq!(table(), first);
    // Other inputs are checked anew.
    fs::write(folder.path().join("cases/south.toml"), wall_drive(1.2, 0.001, "")).unwrap();
    let run = check(folder.path(), "level.csv", &[]).success();
    assert!(said_by(&run).contains("1 stood there already"));
    assert_ne!(column(&table(), "margin_weight_kn")[0], column(&first, "margin_weight_kn")[0]);
}

#[test]
fn a_list_or_folder_that_cannot_be_used_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("empty")).unwrap();
    let said = |list: &str, more: &[&str]| {
        let run = check(folder.path(), list, more).code(2);
        String::from_utf8_lossy(&run.get_output().stderr).split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert!(said("empty", &[]).contains("no case file lies in this folder"));
    fs::write(folder.path().join("l.csv"), "file\na.toml\n").unwrap();
    assert!(said("l.csv", &[]).contains("l.csv:1: case: found"), "{}", said("l.csv", &[]));
    fs::write(folder.path().join("l.csv"), "case\nall-cases.toml\n").unwrap();
    assert!(said("l.csv", &[]).contains("the table of all"));
    let said = said("l.csv", &["--option", "a", "--write", "w.toml"]);
    assert!(said.contains("--write: one case is written from one case"), "{said}");
}

/// The same for chances: each case as a call of its own draws it, in one table, and going on from there.
#[test]
fn every_case_of_a_folder_is_drawn() {
    let folder = tempfile::tempdir().unwrap();
    let cases = folder.path().join("cases");
    fs::create_dir_all(&cases).unwrap();
    let text = fs::read_to_string("samples/scattered_haulage.toml").unwrap();
    fs::write(cases.join("north.toml"), &text).unwrap();
    fs::write(cases.join("west.toml"), text.replacen("trend_deg = 35.0", "trend_deg = 280.0", 1)).unwrap();
    fs::write(cases.join("odd.toml"), text.replacen("sd = 3.0", "sd = -3.0", 1)).unwrap();
    let draw = |list: &str, more: &[&str]| {
        let draws = ["--draws", "250", "--seed", "2", "--samples"];
        backhold()
            .current_dir(folder.path())
            .args(["chance", list, "--out", "out"])
            .args(draws)
            .args(more)
            .assert()
    };
    let run = draw("cases", &[]).code(2);
    let said = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
    assert!(said.contains("friction_deg.sd: found -3"), "{said}");
    let answer = said_by(&run);
    assert!(
        answer.starts_with("3 cases, of which 1 could not be checked. A wedge is likeliest short in "),
        "{answer}"
    );
    let table = fs::read_to_string(folder.path().join("out/all-cases/cases.csv")).unwrap();
    assert_eq!(column(&table, "name"), ["north", "odd", "west"]);
    assert!(column(&table, "failed_because")[1].contains("-3"), "{table}");
    for (at, name) in [(0, "north"), (2, "west")] {
        let alone = folder.path().join(format!("alone-{name}"));
        let case = cases.join(format!("{name}.toml"));
        let mut command = backhold();
        command.arg("chance").arg(case).args(["--draws", "250", "--seed", "2", "--samples", "--out"]);
        command.arg(&alone).assert().success();
        assert!(files(&folder.path().join("out").join(name)) == files(&alone), "{name}");
        let own = fs::read_to_string(alone.join("chance.csv")).unwrap();
        for key in ["draws", "chance_short_bare", "chance_short_bolted_low", "volume_95_m3", "needed_95_kpa"]
        {
            assert_eq!(column(&table, key)[at], column(&own, key)[0], "{name} {key}");
        }
    }
    // A list goes on from there; an option has no laws of its own to be drawn.
    let list = "case,chainage_m,option\ncases/west.toml,120,\ncases/north.toml,40,other\n";
    fs::write(folder.path().join("level.csv"), list).unwrap();
    let run = draw("level.csv", &["--overwrite"]).code(2);
    assert!(said_by(&run).contains("1 stood there already"), "{}", said_by(&run));
    let table = fs::read_to_string(folder.path().join("out/all-cases/cases.csv")).unwrap();
    assert!(column(&table, "failed_because")[1].contains("option other"), "{table}");
    let mut merge = backhold();
    merge.current_dir(folder.path()).args([
        "chance",
        "cases",
        "--out",
        "o",
        "--merge",
        "out/north/counts.json",
    ]);
    let run = merge.assert().code(2);
    assert!(String::from_utf8_lossy(&run.get_output().stderr).contains("--merge"), "--merge");
}
