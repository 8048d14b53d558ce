//! A file of bolts as they stand: each row is used or rejected with its reason, nothing is lost.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::Path;

use backhold::case::{Case, Problems, ReadCase, TEMPLATE, parse_case, read_case};
use backhold::study::{Verdict, check};
use backhold::support::Condition;

const HEADER: &str = "chainage_m,u_m,v_m,trend_deg,plunge_deg,length_m,outside_hole_m,bolt,state\n";
const BAR: &str = "2.4,0.1,resin rebar 20 mm";

fn read_with(keys: &str, bolts: &str) -> Result<ReadCase, Problems> {
    let text = format!("{TEMPLATE}\n[as_built]\nfile = \"bolts.csv\"\n{keys}\n");
    parse_case(&text, "case.toml", &|name| match name {
        "bolts.csv" => Ok(bolts.to_owned()),
        _ => Err(std::io::ErrorKind::NotFound.into()),
    })
}

fn read(bolts: &str) -> Case {
    read_with("mode = \"replaces\"\nfrom_m = 40.0\nto_m = 60.0", bolts).unwrap().case
}

#[test]
fn every_row_is_used_or_rejected_with_its_reason() {
    // The drive goes to 035 level, arched 5.0 by 3.2 and 1.6 m: the crown is at v 4.8.
    let rows = [
        (format!("41.0,0.0,4.8,0,-90,{BAR},good"), None),
        (format!("42.0,-2.5,2.0,305,0,{BAR},no plate"), None),
        (format!("42.5,2.6,2.0,125,5,{BAR},not grouted"), None),
        (format!("43.0,0.0,4.8,0,90,{BAR},good"), Some("points into the opening")),
        (format!("44.0,2.5,2.0,37,0,{BAR},good"), Some("along the surface")),
        (format!("45.0,0.0,7.1,0,-90,{BAR},good"), Some("a collar 2.30 m from the section")),
        ("46.0,0.0,4.8,0,-90,0.0,0.1,resin rebar 20 mm,good".into(), Some("length_m 0, not from 0.1 to 30")),
        ("47.0,0.0,4.8,0,-90,0.4,0.5,resin rebar 20 mm,good".into(), Some("m of the bolt in its hole")),
        ("48.0,0.0,4.8,0,-90,2.4,0.1,rebar,good".into(), Some("which the case does not have")),
        (format!("49.0,0.0,4.8,0,-90,{BAR},fine"), Some("state \"fine\"; it is one of \"good\"")),
        (format!("50.0,0.0,4.8,0,-90,{BAR},"), Some("no state")),
        (format!("5O.0,0.0,4.8,0,-90,{BAR},good"), Some("which is not a number")),
        (format!(",0.0,4.8,0,-90,{BAR},good"), Some("no chainage_m")),
        (format!("51.0,0.0,4.8,0,-190,{BAR},good"), Some("plunge_deg -190, not from -90 to 90")),
        (format!("41.0,0.0,4.8,10,-85,{BAR},good"), Some("the collar of line 2 once more")),
        ("52.0,0.0".into(), Some("no length_m")),
    ];
    let text = format!("{HEADER}{}\n", rows.iter().map(|r| r.0.as_str()).collect::<Vec<_>>().join("\n"));
    let built = read(&text).site.as_built.unwrap();
    assert_eq!(built.rows(), rows.len());
    for (i, (row, reason)) in rows.iter().enumerate() {
        let line = i + 2;
        let used = built.bolts.iter().any(|b| b.line == line);
        let rejected = built.rejected.iter().find(|r| r.line == line);
        assert_eq!(used, reason.is_none(), "{row}");
        assert_eq!(rejected.is_some(), reason.is_some(), "{row}");
        if let (Some(rejected), Some(reason)) = (rejected, reason) {
            assert!(rejected.reason.contains(reason), "{row}: {}", rejected.reason);
            assert_eq!(&rejected.row, row);
        }
    }
    // What is left of each state, at a place where the good bolt holds by its steel.
    let kind = |i: usize| &built.kinds[built.bolts[i].set.kind];
    assert_eq!(built.bolts[1].condition, Condition::NoPlate);
    assert!((kind(0).capacity(0.3, 2.0).kn - 120.0).abs() < 1e-12);
    assert!((kind(1).capacity(0.3, 2.0).kn - 54.0).abs() < 1e-12);
    assert!(kind(2).capacity(0.3, 2.0).kn.abs() < 1e-12);
}

#[test]
fn of_rows_at_one_collar_the_worse_counts_and_of_dated_ones_the_later() {
    let header = HEADER.trim_end();
    let header = format!("{header},inspected_on\n");
    let row = |m: f64, state: &str, day: &str| format!("{m},0.0,4.8,0,-90,{BAR},{state},{day}\n");
    let counted = |rows: &[(&str, &str)]| {
        let text: String = rows.iter().map(|(state, day)| row(41.0, state, day)).collect();
        let built = read(&format!("{header}{text}{}", row(45.0, "good", ""))).site.as_built.unwrap();
        assert_eq!((built.bolts.len(), built.rejected.len()), (2, rows.len() - 1), "{rows:?}");
        let reasons: Vec<String> = built.rejected.iter().map(|r| r.reason.clone()).collect();
        (built.bolts[0].condition, reasons.join("; "))
    };
    // A list that says all is well, with one after it that says what broke; and the other way round.
    let (state, why) = counted(&[("good", ""), ("broken", "")]);
    assert_eq!(state, Condition::Broken);
    assert!(why.contains("the collar of line 3 once more; that line counts: found worse"), "{why}");
    assert_eq!(counted(&[("broken", ""), ("good", "")]).0, Condition::Broken);
    // One day alone does not say which came later.
    assert_eq!(counted(&[("broken", "2026-01-05"), ("good", "")]).0, Condition::Broken);
    // Mended, or broken since.
    let (state, why) = counted(&[("broken", "2026-01-05"), ("good", "2026-02-01")]);
    assert_eq!(state, Condition::Good);
    assert!(why.contains("inspected latest"), "{why}");
    assert_eq!(counted(&[("good", "2026-01-05"), ("no plate", "2026-02-01")]).0, Condition::NoPlate);
    assert_eq!(counted(&[("no plate", "2026-02-01"), ("missing", "2026-02-01")]).0, Condition::Missing);
    // Three rows, in any order.
    let three = [("good", "2026-03-01"), ("broken", "2026-01-05"), ("no plate", "2026-02-01")];
    for turn in 0..3 {
        let rows = [three[turn], three[(turn + 1) % 3], three[(turn + 2) % 3]];
        assert_eq!(counted(&rows).0, Condition::Good, "{rows:?}");
    }
    // What has no day stands beside the latest that has one.
    let beside = [("good", ""), ("good", "2026-03-01"), ("broken", "2026-01-05")];
    for turn in 0..3 {
        let rows = [beside[turn], beside[(turn + 1) % 3], beside[(turn + 2) % 3]];
        assert_eq!(counted(&rows).0, Condition::Good, "{rows:?}");
    }
    let built = read(&format!("{header}{}{}", row(41.0, "good", "5.1.2026"), row(45.0, "good", "")));
    let built = built.site.as_built.unwrap();
    assert!(built.rejected[0].reason.contains("a day is year-month-day"), "{}", built.rejected[0].reason);
}

#[test]
fn a_place_may_be_given_three_ways() {
    let case = read(&format!("{HEADER}41.0,0.0,4.8,0,-90,{BAR},good\n"));
    let by_section = case.site.as_built.unwrap().bolts[0].set;
    let text = "chainage_m;arc_m;length_m;outside_hole_m;bolt\n41,0;0;2,4;0,1;resin rebar 20 mm\n";
    let by_arc = read(text).site.as_built.unwrap().bolts[0].set;
    let (sine, cosine) = 35f64.to_radians().sin_cos();
    let text = format!(
        "east_m,north_m,up_m,length_m,outside_hole_m,bolt\n{},{},4.8,{BAR}\n",
        41.0 * sine,
        41.0 * cosine
    );
    let by_world = read(&text).site.as_built.unwrap().bolts[0].set;
    for set in [by_arc, by_world] {
        assert!((set.chainage_m - 41.0).abs() < 1e-9);
        assert!((set.collar.point - by_section.collar.point).norm() < 1e-9);
        assert!((set.collar.direction - by_section.collar.direction).norm() < 1e-6);
        assert!((set.length_in_hole_m - 2.3).abs() < 1e-12);
    }
}

#[test]
fn a_file_that_cannot_be_used_is_refused_with_a_message() {
    let good = format!("{HEADER}41.0,0.0,4.8,0,-90,{BAR},good\n");
    let replaces = "mode = \"replaces\"\nfrom_m = 40.0\nto_m = 60.0";
    for (keys, text, says) in [
        (replaces, "", "an empty file"),
        (replaces, HEADER, "no row below the column names"),
        (replaces, "chainage_m,arc_m,lenght_m,outside_hole_m,bolt\n", "did you mean length_m?"),
        (replaces, "chainage_m,length_m,outside_hole_m,bolt\n", "no place of a collar"),
        (replaces, "chainage_m,arc_m,u_m,v_m,length_m,outside_hole_m,bolt\n", "several places"),
        (replaces, "chainage_m,arc_m,trend_deg,length_m,outside_hole_m,bolt\n", "without the other"),
        (replaces, &format!("{HEADER}41.0,0.0,4.8,0,90,{BAR},good\n"), "none of which can be used"),
        ("mode = \"replaces\"", good.as_str(), "a stretch with some length"),
        ("mode = \"replaces\"\nfrom_m = 60.0\nto_m = 40.0", good.as_str(), "not beyond from_m 60"),
        ("mode = \"adds\"\nfrom_m = 40.0\nto_m = 60.0", good.as_str(), "add offset_m"),
        ("mode = \"replace\"", good.as_str(), "did you mean \"replaces\"?"),
    ] {
        let said = read_with(keys, text).map(|_| ()).unwrap_err().to_string();
        assert!(said.contains(says), "{says}: {said}");
    }
}

#[test]
fn the_sample_says_what_is_short_and_which_spot_bolts_mend_it() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/as_built.toml");
    let read = read_case(&path).unwrap();
    assert_eq!(read.notes.len(), 1, "{:?}", read.notes);
    let built = read.case.site.as_built.clone().unwrap();
    assert_eq!((built.rows(), built.bolts.len(), built.rejected.len()), (176, 172, 4));
    let found = check(&read.case).unwrap();
    let stretch = found.as_built.unwrap();
    // By the same judgement the design is short of it already, by a smaller piece between fewer bolts.
    assert_eq!(stretch.went_short().count(), 0);
    let short = stretch.wedges.iter().filter(|w| w.as_built_verdict() == Verdict::Short);
    let short: Vec<&backhold::study::AsBuiltWedge> = short.collect();
    assert!(short.len() == 1 && short[0].wedge == "A-B-C.111", "{short:?}");
    assert_eq!(short[0].designed_verdict(), Verdict::Short);
    let spots = stretch.spot_bolts.unwrap();
    assert!((1..=20).contains(&spots.bolts.len()), "{}", spots.bolts.len());
    assert!(spots.promised.iter().all(|p| p.1 == Verdict::Held), "{:?}", spots.promised);
    // Where the two rings behind the duct are missing.
    let rings: Vec<i64> = stretch
        .rings
        .iter()
        .filter(|r| r.as_built.as_ref().is_some_and(|w| w.verdict() == Verdict::Short))
        .map(|r| r.ring)
        .collect();
    assert_eq!(rings, [9, 10]);
    assert_eq!(stretch.rings.iter().map(|r| r.missing).sum::<usize>(), 7);
    // By design its largest wedges are held by forces; a smaller piece with one bolt swings out.
    let asked = |w: &&backhold::study::CheckedWedge| w.decided.criterion_fs.is_some();
    assert!(found.check.wedges.iter().filter(asked).all(|w| w.found.fs_bolted >= w.decided.criterion_fs));
    assert!(found.check.wedges.iter().any(|w| w.decided.verdict == Verdict::Short));
    assert!(found.check.wedges.iter().any(|w| w.wedge.hung_kn > 0.0));
}

#[test]
fn spot_bolts_add_to_the_pattern_and_never_take_away() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/as_built.toml");
    let mut case = read_case(&path).unwrap().case;
    let checked = backhold::study::forces_alone(&case).unwrap();
    case.site.as_built.as_mut().unwrap().replaces = false;
    let found = backhold::study::as_built(&case, &checked).unwrap();
    let mut more = 0;
    for wedge in &found.wedges {
        let (drawn, built) = (wedge.designed.as_ref().unwrap(), wedge.as_built.as_ref().unwrap());
        assert!(built.least_fs >= drawn.least_fs * (1.0 - 1e-9), "{}", wedge.wedge);
        more += usize::from(built.least_fs > drawn.least_fs);
    }
    assert!(more >= 1);
    assert!(found.rings.iter().all(|r| r.missing == 0 && r.found == r.designed));
}

#[test]
fn a_list_that_is_not_there_is_named_beside_all_else() {
    let text = format!(
        "{TEMPLATE}\n[as_built]\nfile = \"lost.csv\"\nmode = \"replaces\"\nfrom_m = 60.0\nto_m = 40.0\n"
    );
    let said = parse_case(&text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into())).map(|_| ());
    let said = said.unwrap_err().to_string();
    assert!(said.contains("lost.csv: no such file"), "{said}");
    assert!(said.contains("not beyond from_m 60"), "{said}");
}

#[test]
fn rows_with_more_cells_than_columns_and_blank_states_are_rejected() {
    let rows = [format!("41.0,0.0,4.8,0,-90,{BAR},good,extra"), format!("42.0,0.0,4.8,0,-90,{BAR},good")];
    let built = read(&format!("{HEADER}{}\n{}\n", rows[0], rows[1])).site.as_built.unwrap();
    assert_eq!((built.bolts.len(), built.rejected.len()), (1, 1));
    assert!(built.rejected[0].reason.contains("cells"), "{}", built.rejected[0].reason);
}

#[test]
fn the_error_of_the_survey_is_a_key_with_bounds() {
    let rows = format!("{HEADER}41.0,0.0,4.8,0,-90,{BAR},good\n");
    let stretch = "mode = \"replaces\"\nfrom_m = 40.0\nto_m = 60.0";
    let built =
        |keys: &str| read_with(keys, &rows).map(|read| read.case.site.as_built.unwrap().survey_error_m);
    assert_eq!(built(stretch).unwrap(), 0.0);
    assert_eq!(built(&format!("{stretch}\nsurvey_error_m = 0.05")).unwrap(), 0.05);
    let said = built(&format!("{stretch}\nsurvey_error_m = 3.0")).unwrap_err().to_string();
    assert!(said.contains("survey_error_m") && said.contains("a number from 0 to 1"), "{said}");
}

#[test]
fn spot_bolts_as_they_are_written_are_read_as_a_list() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    for name in ["as_built.toml", "as_built_bolts.csv"] {
        std::fs::copy(samples.join(name), folder.path().join(name)).unwrap();
    }
    let case = folder.path().join("as_built.toml");
    let run = |case: &Path| {
        let mut command = assert_cmd::Command::cargo_bin("backhold").unwrap();
        command.arg("check").arg(case).arg("--out").arg(&out).arg("--overwrite").assert().success();
        let summary: serde_json::Value =
            serde_json::from_slice(&std::fs::read(out.join("summary.json")).unwrap()).unwrap();
        summary["as_built"].clone()
    };
    let before = run(&case);
    let promised = before["promised"].as_object().unwrap();
    let list = std::fs::read_to_string(folder.path().join("as_built_bolts.csv")).unwrap();
    let spots = std::fs::read_to_string(out.join("spot_bolts.csv")).unwrap();
    let header = |text: &str| text.lines().find(|l| !l.starts_with('#')).unwrap().to_owned();
    assert_eq!(header(&list), header(&spots));
    let rows: String = spots.lines().skip(1).map(|row| format!("{row}\n")).collect();
    std::fs::write(folder.path().join("as_built_bolts.csv"), format!("{list}{rows}")).unwrap();
    let after = run(&case);
    assert!(after["spot_bolts"].is_null());
    for wedge in after["wedges"].as_array().unwrap() {
        let id = wedge["wedge"].as_str().unwrap();
        assert_eq!(wedge["verdict_as_built"], promised[id], "{id}");
    }
}

/// Rings fitted to bolts that hardly stand at any of them say so where everybody reads it.
#[test]
fn a_bad_fit_is_said_on_the_terminal_and_in_the_summary() {
    let folder = tempfile::tempdir().unwrap();
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let text = std::fs::read_to_string(samples.join("as_built.toml")).unwrap();
    let text = text.replace("offset_m = 40.0          #", "#").replace("to_m = 64.0", "to_m = 46.0");
    let case = folder.path().join("case.toml");
    std::fs::write(&case, text).unwrap();
    let list = "chainage_m,arc_m,length_m,outside_hole_m,bolt,state\n41.0,0.0,2.4,0.1,resin rebar 20 mm,missing\n\
                45.0,0.3,2.4,0.1,resin rebar 20 mm,missing\n";
    std::fs::write(folder.path().join("as_built_bolts.csv"), list).unwrap();
    let out = folder.path().join("out");
    let mut command = assert_cmd::Command::cargo_bin("backhold").unwrap();
    let run = command.arg("check").arg(&case).arg("--out").arg(&out).assert().success();
    let said = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    // Six rings of eight and nine collars in turn.
    let fit = "The rings of pattern 1 have nothing to be fitted to: of 51 drawn bolts none has a bolt within half a spacing";
    assert!(said.contains(&format!("Note: {fit}")), "{said}");
    let summary = std::fs::read_to_string(out.join("summary.json")).unwrap();
    assert!(summary.contains(fit));
}
