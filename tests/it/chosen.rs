//! One choice of a case: checked as `compare` judges it, and written as a case of its own.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fs;
use std::io;
use std::path::Path;

use crate::program::{backhold, ran};
use backhold::case::{InPlace, ReadCase, parse_case, read_case, reads_as, rewritten};
use backhold::study::{Variant, check, compare};
use serde_json::Value;
use tempfile::{TempDir, tempdir};

const SAMPLE: &str = "samples/options.toml";
const WIDER: &str = "rings at 1.5 m";

fn parse(text: &str) -> ReadCase {
    parse_case(text, "case.toml", &|_| Err(io::ErrorKind::NotFound.into()))
        .unwrap_or_else(|problems| panic!("{problems}\n{text}"))
}

fn sample() -> String {
    fs::read_to_string(SAMPLE).unwrap()
}

/// Words of stderr, and the exit status.
fn refused(arguments: &[&str], dir: &Path) -> (i32, String) {
    let output = backhold().args(arguments).arg("--out").arg(dir.join("never")).output().unwrap();
    assert!(!dir.join("never").exists());
    let said = String::from_utf8(output.stderr).unwrap();
    (output.status.code().unwrap(), said.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// Options that change what an option can change: lists dropped and added, a section, inline tables.
const MORE: &str = r#"
[[option]]
name = "bare"
drops = ["pattern", "surface", "plan.screen"]

[[option]]
name = "lower, \"flat\""
[option.drive]
round_length_m = 3.0
section = { shape = "flat", width_m = 5.0, height_m = 4.5 }

[[option]]
name = "cables too"
[[option.bolt]]
name = "cable"
kind = "cable"
steel_kn = 250.0
bond_kn_per_m = 200.0
plate_kn = 150.0
[[option.bolt]]
name = "resin rebar 20 mm"
plate_kn = 90
[[option.pattern]]
direction = { fan_origin_u_m = 0.0, fan_origin_v_m = 2.5 }
[[option.pattern]]
bolt = "cable"
length_m = 6.0
outside_hole_m = 0.3
ring_spacing_m = 2.4
spacing_m = 2.0
covers = ["back"]
[[option.surface]]
name = "shotcrete"
kind = "shotcrete"
covers = ["back"]
thickness_m = 0.05
shear_strength_kpa = 1000.0
adhesion_kpa = 300.0
adhesion_width_m = 0.1
[option.plan.minutes]
spin_min = 0.3
"#;

#[test]
fn an_option_is_checked_as_compare_judges_it() {
    let read = parse(&(sample().replace("max_trace_m", "trace_length_m") + MORE));
    let variants: Vec<Variant> = read
        .choices()
        .map(|name| {
            let chosen = read.chosen(name).unwrap();
            Variant { name, case: chosen.case, plan: chosen.plan, changes: chosen.changes }
        })
        .collect();
    assert_eq!(variants.len(), 8);
    let found = compare(&variants).unwrap();
    for (variant, compared) in variants.iter().zip(&found.options) {
        assert_eq!(check(variant.case).unwrap(), compared.whole, "{}", variant.name);
    }
    assert!(read.chosen("no such").is_none());
}

#[test]
fn the_tables_of_an_option_are_those_of_the_case_typed_anew() {
    let run = ran(&["check", SAMPLE, "--option", WIDER]);
    let text = sample();
    let typed =
        text[..text.find("[[option]]").unwrap()].replacen("ring_spacing_m = 1.2", "ring_spacing_m = 1.5", 1);
    let dir = tempdir().unwrap();
    fs::write(dir.path().join("typed.toml"), typed).unwrap();
    let out = dir.path().join("out");
    backhold().arg("check").arg(dir.path().join("typed.toml")).arg("--out").arg(&out).assert().success();
    for table in
        ["wedges.csv", "bolts.csv", "bolt_demand.csv", "size_curve.csv", "stages.csv", "screen_duty.csv"]
    {
        assert_eq!(run.text(table), fs::read_to_string(out.join(table)).unwrap(), "{table}");
    }
    // Terminal, page and summary say which option it is, and what it changes.
    let line = format!("Option \"{WIDER}\" of the case.");
    assert!(run.stdout.starts_with(&line), "{}", run.stdout);
    let page = run.text("report.html");
    assert!(page.contains("Option &quot;rings at 1.5 m&quot;. North:"));
    assert!(page.contains("<li>pattern[1].ring_spacing_m: 1.2 -&gt; 1.5</li>"));
    let summary: Value = serde_json::from_str(run.text("summary.json")).unwrap();
    assert!(summary["answer"].as_str().unwrap().starts_with(&line));
    assert_eq!(summary["asked"]["option"], WIDER);
    assert_eq!(summary["option_changes"][0], "pattern[1].ring_spacing_m: 1.2 -> 1.5");
    assert_eq!(summary["inputs"]["pattern"][0]["ring_spacing_m"], 1.5);
    // And run again it is the same option.
    run.lay_into(&dir.path().join("again"));
    let again = backhold().args(["check", "--again"]).arg(dir.path().join("again/summary.json")).assert();
    let said = String::from_utf8(again.success().get_output().stdout.clone()).unwrap();
    assert!(said.starts_with("Reproduced byte for byte"), "{said}");
    // A check as it stands says nothing of options.
    let plain: Value =
        serde_json::from_str(ran(&["check", "samples/haulage.toml"]).text("summary.json")).unwrap();
    assert!(plain.get("asked").is_none() && plain.get("option_changes").is_none());
}

#[test]
fn what_was_searched_for_besides_is_searched_for_again() {
    let run = ran(&["check", "samples/mine_plan.toml", "--spacings"]);
    let dir = tempdir().unwrap();
    run.lay_into(dir.path());
    let again = backhold().args(["check", "--again"]).arg(dir.path().join("summary.json")).assert();
    let said = String::from_utf8(again.success().get_output().stdout.clone()).unwrap();
    assert!(said.contains("bolt_demand.csv"), "{said}");
}

#[test]
fn an_option_that_is_not_there_is_answered_with_those_that_are() {
    let dir = tempdir().unwrap();
    let (status, said) = refused(&["check", SAMPLE, "--option", "rings at 1,5 m"], dir.path());
    assert_eq!(status, 2);
    for name in ["resin 2.4 m, as now", WIDER, "friction bolts at 1.0 m", "rings at 1.1 m, lighter mesh"] {
        assert!(said.contains(&format!("\"{name}\"")), "{said}");
    }
    let (status, said) = refused(&["check", "samples/haulage.toml", "--option", "x"], dir.path());
    assert!(status == 2 && said.contains("it has no [[option]]"), "{said}");
    let (status, said) = refused(&["check", SAMPLE, "--write", "x.toml"], dir.path());
    assert!(status == 2 && said.contains("--option"), "{said}");
}

/// The text of a choice, and what it reads as.
fn written(read: &ReadCase, name: &str) -> (String, ReadCase) {
    let new = rewritten(read, InPlace::Choice(name), &|file| file.to_owned()).unwrap();
    let back = parse(&new.text);
    (new.text, back)
}

#[test]
fn every_choice_is_written_as_a_case_that_reads_as_it() {
    let text = sample() + MORE;
    let read = parse(&text);
    for name in read.choices() {
        let (written, back) = written(&read, name);
        let chosen = read.chosen(name).unwrap();
        assert!(reads_as(&back, chosen.case, chosen.plan), "{name}\n{written}");
        assert!(
            back.options.is_empty() && back.stock.is_none() && back.notes.is_empty(),
            "{name}: {:?}",
            back.notes
        );
        // What the case says in comments stays.
        assert!(written.contains("# An invented haulage of an invented mine"), "{written}");
        // Bolts are told by names, not by places: the same verdicts whatever was left out.
        let verdicts = |case| {
            let found = check(case).unwrap();
            found.check.wedges.iter().map(|w| (w.wedge.clone(), w.decided.clone())).collect::<Vec<_>>()
        };
        assert_eq!(verdicts(&back.case), verdicts(chosen.case), "{name}");
    }
    // Another reading is noticed.
    let other = read.chosen(WIDER).unwrap();
    assert!(!reads_as(&read, other.case, other.plan));
}

#[test]
fn what_is_typed_and_said_stays_where_nothing_changes() {
    let text = sample()
        .replace("ring_spacing_m = 1.2\n", "ring_spacing_m = 1.2      # as approved\n")
        .replace("steel_kn = 120.0", "steel_kn = 1_20.0  # tested")
        .replace("[[surface]]", "# two panels were loaded\n[[surface]]");
    let (written, _) = written(&parse(&text), WIDER);
    for kept in [
        "ring_spacing_m = 1.5      # as approved\n",
        "steel_kn = 1_20.0  # tested\n",
        "# two panels were loaded\n[[surface]]",
        "section = { shape = \"arched\", width_m = 5.0, wall_height_m = 3.4, rise_m = 1.6 }",
    ] {
        assert!(written.contains(kept), "{kept}\n{written}");
    }
    // Everything else is the case's own text, line by line.
    let before = &text[..text.find("[[option]]").unwrap()];
    let gone: Vec<&str> = before.lines().filter(|line| !written.contains(line)).collect();
    assert_eq!(
        gone,
        [
            "base_option = \"resin 2.4 m, as now\"",
            "name = \"friction 46 mm\"",
            "kind = \"friction\"",
            "steel_kn = 110.0",
            "bond_kn_per_m = 45.0",
            "plate_kn = 60.0",
            "price_per_plate = 2.5",
            "ring_spacing_m = 1.2      # as approved",
        ]
    );
}

/// A folder with the outline sample in `cases/`, an option behind it.
fn beside() -> TempDir {
    let dir = tempdir().unwrap();
    for folder in ["cases", "signed/deep"] {
        fs::create_dir_all(dir.path().join(folder)).unwrap();
    }
    for file in ["outline.csv", "outline_joint_sets.toml"] {
        fs::copy(Path::new("samples").join(file), dir.path().join("cases").join(file)).unwrap();
    }
    let text = fs::read_to_string("samples/outline.toml").unwrap();
    let text = text + "\n[[option]]\nname = \"closer\"\n[[option.pattern]]\nring_spacing_m = 1.0\n";
    fs::write(dir.path().join("cases/case.toml"), text).unwrap();
    dir
}

#[test]
fn files_that_the_case_names_are_found_from_where_the_new_one_lies() {
    let dir = beside();
    let run = |file: &str, more: &[&str]| {
        let mut command = backhold();
        command.current_dir(&dir).args(["check", "cases/case.toml", "--option", "closer", "--out", "out"]);
        command.args(["--write", file]).args(more).assert()
    };
    run("signed/deep/closer.toml", &["--dated", "2026-11-25"]).success();
    let path = dir.path().join("signed/deep/closer.toml");
    let text = fs::read_to_string(&path).unwrap();
    assert!(text.contains("joint_sets = \"../../cases/outline_joint_sets.toml\""), "{text}");
    let first = text.lines().next().unwrap();
    assert!(
        first.starts_with("# From case.toml, its option \"closer\"; written by backhold ")
            && first.ends_with(", dated 2026-11-25."),
        "{first}"
    );
    let read = read_case(&dir.path().join("cases/case.toml")).unwrap();
    let chosen = read.chosen("closer").unwrap();
    assert!(reads_as(&read_case(&path).unwrap(), chosen.case, chosen.plan));
    // From anywhere, with the tables that the option had.
    let elsewhere = dir.path().join("elsewhere");
    backhold().arg("check").arg(&path).arg("--out").arg(&elsewhere).assert().success();
    for table in ["wedges.csv", "bolts.csv", "stages.csv"] {
        let of = |folder: &Path| fs::read_to_string(folder.join(table)).unwrap();
        assert_eq!(of(&elsewhere), of(&dir.path().join("out")), "{table}");
    }
    // In the same folder names stay, and no date is given unless asked for.
    run("cases/closer.toml", &[]).success();
    let text = fs::read_to_string(dir.path().join("cases/closer.toml")).unwrap();
    assert!(text.contains("joint_sets = \"outline_joint_sets.toml\"") && !text.contains("dated"), "{text}");

    // What stands there is not lost.
    let said = |assert: assert_cmd::assert::Assert| {
        let said = String::from_utf8(assert.get_output().stderr.clone()).unwrap();
        said.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let again = said(run("cases/closer.toml", &[]).code(2));
    assert!(again.contains("--write cases/closer.toml: this file is already there"), "{again}");
    fs::write(dir.path().join("cases/closer.toml"), "somebody's notes").unwrap();
    let aside = said(run("cases/closer.toml", &["--overwrite"]).success());
    assert!(aside.contains("what stood there is now cases/closer.toml.before"), "{aside}");
    assert_eq!(fs::read_to_string(dir.path().join("cases/closer.toml.before")).unwrap(), "somebody's notes");
    for (file, why) in [
        ("cases/case.toml", "the case is read from this file"),
        ("cases/outline.csv", "the case is read from this file"),
        ("out/closer.toml", "in the folder of --out"),
        ("nowhere/closer.toml", "there is no such folder"),
        ("signed", "this is a folder"),
    ] {
        let found = said(run(file, &["--overwrite"]).code(2));
        assert!(found.contains(&format!("--write {file}: ")) && found.contains(why), "{found}");
    }
    // Nothing is left lying about.
    for entry in fs::read_dir(dir.path().join("cases")).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().into_owned();
        assert!(!name.starts_with('.'), "{name}");
    }
}

#[test]
fn bolts_as_built_are_of_the_pattern_as_it_stands() {
    let text = fs::read_to_string("samples/as_built.toml").unwrap();
    let text = text + "\n[[option]]\nname = \"closer\"\n[[option.pattern]]\nring_spacing_m = 1.0\n";
    let load = |name: &str| fs::read_to_string(Path::new("samples").join(name));
    let read = parse_case(&text, "case.toml", &load).unwrap();
    let new = rewritten(&read, InPlace::Choice("closer"), &|file| file.to_owned()).unwrap();
    assert!(new.left_out.iter().any(|what| what.starts_with("[as_built]")), "{:?}", new.left_out);
    assert!(parse_case(&new.text, "new.toml", &load).unwrap().case.site.as_built.is_none());
    let base = rewritten(&read, InPlace::Choice(&read.base_option), &|file| file.to_owned()).unwrap();
    assert!(base.changes.is_empty());
    assert_eq!(parse_case(&base.text, "new.toml", &load).unwrap().case, read.case);
    assert!(rewritten(&read, InPlace::Choice("none"), &|file| file.to_owned()).is_err());
}
