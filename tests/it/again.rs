//! Sign-off: a report says what it was made from, and can be made again from its summary alone.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fs;
use std::path::{Path, PathBuf};

use crate::program::{backhold, ran};
use serde_json::Value;
use tempfile::{TempDir, tempdir};

/// Dated and with all names that a report can carry.
const SIGNED: [&str; 8] = [
    "--dated",
    "2026-11-25",
    "--prepared",
    "A. Nobody",
    "--checked",
    "B. <Nobody>",
    "--approved",
    "C. Nobody",
];

fn checked(sample: &str, more: &[&str]) -> (TempDir, PathBuf) {
    let dir = tempdir().unwrap();
    let out = dir.path().join("out");
    ran(&[&["check", sample], more].concat()).lay_into(&out);
    (dir, out)
}

/// Exit status, stdout and stderr of `check --again`.
fn again(summary: &Path, more: &[&Path]) -> (i32, String, String) {
    let mut command = backhold();
    command.args(["check", "--again"]).arg(summary);
    if let [out] = more {
        command.arg("--out").arg(out);
    }
    let output = command.output().unwrap();
    let text = |bytes: &[u8]| {
        String::from_utf8(bytes.to_vec()).unwrap().split_whitespace().collect::<Vec<_>>().join(" ")
    };
    (output.status.code().unwrap(), text(&output.stdout), text(&output.stderr))
}

fn json(path: &Path) -> Value {
    serde_json::from_slice(&fs::read(path).unwrap()).unwrap()
}

#[test]
fn the_tables_come_out_the_same_from_the_summary_alone() {
    // The outline takes its section and its sets from two more files.
    let (dir, out) = checked("samples/outline.toml", &SIGNED);
    let (status, said, _) = again(&out.join("summary.json"), &[]);
    assert_eq!(status, 0, "{said}");
    assert!(said.starts_with("Reproduced byte for byte") && said.contains("wedges.csv"), "{said}");
    // Elsewhere, with nothing beside it: no file of the case is needed.
    let alone = dir.path().join("elsewhere");
    fs::create_dir(&alone).unwrap();
    fs::copy(out.join("summary.json"), alone.join("summary.json")).unwrap();
    let made = dir.path().join("made");
    let (status, said, _) = again(&alone.join("summary.json"), &[&made]);
    assert_eq!(status, 0, "{said}");
    for file in
        ["wedges.csv", "bolt_demand.csv", "bolts.csv", "size_curve.csv", "summary.json", "report.html"]
    {
        assert_eq!(fs::read(out.join(file)).unwrap(), fs::read(made.join(file)).unwrap(), "{file}");
    }
}

#[test]
fn a_report_says_what_it_was_made_from_and_who_answers_for_it() {
    let (_dir, out) = checked("samples/outline.toml", &SIGNED);
    let summary = json(&out.join("summary.json"));
    assert_eq!(summary["sign_off"]["checked"], "B. <Nobody>");
    let names: Vec<&str> =
        summary["read_from"].as_array().unwrap().iter().map(|f| f["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["outline.toml", "outline.csv", "outline_joint_sets.toml"]);
    let text = fs::read_to_string("samples/outline.csv").unwrap();
    assert_eq!(summary["read_from"][1]["text"], text);
    let html = fs::read_to_string(out.join("report.html")).unwrap();
    for part in [
        summary["inputs_sha256"].as_str().unwrap(),
        summary["read_from"][2]["sha256"].as_str().unwrap(),
        "B. &lt;Nobody&gt;",
        "signature",
        env!("CARGO_PKG_VERSION"),
    ] {
        assert!(html.contains(part), "{part}");
    }
    // Without names the lines are there to be filled in by hand.
    let (_dir, out) = checked("samples/mine_plan.toml", &[]);
    let html = fs::read_to_string(out.join("report.html")).unwrap();
    assert!(html.contains("<td>approved</td><td></td>") && !html.contains("none of them is a signature"));
    for name in ["", " ", "two\nlines"] {
        let run = backhold()
            .args(["check", "samples/haulage.toml", "--prepared", name, "--out"])
            .arg(out.join("x"))
            .assert()
            .code(2);
        assert!(String::from_utf8_lossy(&run.get_output().stderr).contains("--prepared"));
    }
}

#[test]
fn what_differs_is_named_by_table_row_and_value() {
    let (_dir, out) = checked("samples/mine_plan.toml", &[]);
    let summary = out.join("summary.json");
    let text = fs::read_to_string(&summary).unwrap();
    // Edits of the text: another program's rewriting may round the last digit of a number.
    let with = |changed: String| {
        assert_ne!(changed, text);
        fs::write(&summary, changed).unwrap();
        again(&summary, &[])
    };
    let (status, said, _) = with(format!("{text}\n"));
    assert_eq!(status, 1);
    assert!(said.contains("the same values, written in other bytes"), "{said}");

    // The second wedge's weight.
    let key = "\"weight_kn\": ";
    let at = text.match_indices(key).nth(1).unwrap().0 + key.len();
    let end = at + text[at..].find(',').unwrap();
    let (status, said, _) = with(format!("{}1.5{}", &text[..at], &text[end..]));
    assert_eq!(status, 1);
    let value: Value = serde_json::from_str(&text).unwrap();
    let wedge = value["wedges"][1]["wedge"].as_str().unwrap();
    assert!(said.contains(&format!("wedges, row 2 ({wedge}): weight_kn 1.5 then, ")), "{said}");
    assert_eq!(said.matches(" then, ").count(), 1, "{said}");

    let (status, said, _) = with(text.replacen(env!("CARGO_PKG_VERSION"), "0.0.9", 1));
    assert_eq!(status, 1);
    assert!(said.contains("version: written by 0.0.9, run again by"), "{said}");

    // An input that was changed in the summary: the hash tells, and so do the rows.
    let (status, said, _) = with(text.replacen("unit_weight_kn_m3 = 2", "unit_weight_kn_m3 = 1", 1));
    assert_eq!(status, 1);
    assert!(said.contains("the inputs in the summary were changed after it was written"), "{said}");
    assert!(said.contains("tables that are not the same bytes: wedges.csv"), "{said}");
    assert!(said.contains("wedges, row 1") && said.contains("weight_kn"), "{said}");

    let hash = value["tables_sha256"]["bolts.csv"].as_str().unwrap();
    let (status, said, _) = with(text.replacen(hash, "0", 1));
    assert_eq!(status, 1);
    assert!(said.contains("tables that are not the same bytes: bolts.csv"), "{said}");

    // A table that somebody edited beside an honest summary.
    fs::write(&summary, &text).unwrap();
    let table = fs::read_to_string(out.join("wedges.csv")).unwrap();
    fs::write(out.join("wedges.csv"), table.replacen("held", "short", 1)).unwrap();
    let (status, said, _) = again(&summary, &[]);
    assert_eq!(status, 1);
    assert!(
        said.contains("wedges.csv beside the summary, changed since it was written: differs from line"),
        "{said}"
    );
}

/// A date or a name in the summary that somebody changed: nothing computed tells, the folder's mark does; a summary
/// that was carried off says that nothing guards them.
#[test]
fn a_date_that_was_changed_in_the_summary_is_seen_where_it_was_written() {
    let (dir, out) = checked("samples/short_drive.toml", &SIGNED);
    let summary = out.join("summary.json");
    let text = fs::read_to_string(&summary).unwrap();
    fs::write(&summary, text.replacen("2026-11-25", "2027-01-01", 1)).unwrap();
    let (status, said, _) = again(&summary, &[]);
    assert_eq!(status, 1, "{said}");
    assert!(said.contains("summary.json: changed since it was written"), "{said}");
    let alone = dir.path().join("alone.json");
    fs::copy(&summary, &alone).unwrap();
    let (status, said, _) = again(&alone, &[]);
    assert_eq!(status, 0, "{said}");
    assert!(said.contains("Not protected: date and names") && said.contains("dated 2027-01-01"), "{said}");
    fs::write(&alone, text.replacen("2026-11-25", "yesterday", 1)).unwrap();
    let (status, said, _) = again(&alone, &[]);
    assert_eq!(status, 1, "{said}");
    assert!(said.contains("dated: yesterday is no date"), "{said}");
    let page = fs::read_to_string(out.join("report.html")).unwrap();
    assert!(page.contains("Dated 2026-11-25, as given; no hash covers it."));
}

/// Every file of the folder is compared, not the tables alone: a page or drawing that somebody edited is
/// named, and so is what is missing and what nobody can vouch for.
#[test]
fn pages_and_drawings_are_compared_and_what_is_absent_is_named() {
    let (_dir, out) = checked("samples/mine_plan.toml", &SIGNED);
    let summary = out.join("summary.json");
    let (status, said, _) = again(&summary, &[]);
    assert_eq!(status, 0, "{said}");
    assert!(said.contains("report.html") && said.contains("files in plots/"), "{said}");
    assert!(!said.contains("Not there") && !said.contains("Not of the check"), "{said}");
    assert!(said.contains("Not protected: date and names"), "{said}");
    assert!(said.contains("dated 2026-11-25, prepared A. Nobody, checked B. <Nobody>"), "{said}");

    // The page says another thing than was found.
    let page = fs::read_to_string(out.join("report.html")).unwrap();
    fs::write(out.join("report.html"), page.replacen("</h1>", " </h1>", 1)).unwrap();
    let (status, said, _) = again(&summary, &[]);
    assert_eq!(status, 1);
    assert!(!said.contains("byte for byte"), "{said}");
    assert!(
        said.contains("report.html beside the summary, changed since it was written: differs from line"),
        "{said}"
    );
    fs::write(out.join("report.html"), &page).unwrap();

    // A drawing, as text and as an image.
    for drawing in ["plots/section.svg", "plots/section.png"] {
        let bytes = fs::read(out.join(drawing)).unwrap();
        fs::write(out.join(drawing), [&bytes[..], b" "].concat()).unwrap();
        let (status, said, _) = again(&summary, &[]);
        assert_eq!(status, 1);
        assert!(said.contains(&format!("{drawing} beside the summary, changed since")), "{said}");
        fs::write(out.join(drawing), bytes).unwrap();
    }

    // Missing tables are named, and so is what is nobody's.
    fs::remove_file(out.join("wedges.csv")).unwrap();
    fs::write(out.join("notes.txt"), "look at the left wall").unwrap();
    let (status, said, _) = again(&summary, &[]);
    assert_eq!(status, 0, "{said}");
    assert!(said.contains("Not there, and not compared: wedges.csv."), "{said}");
    assert!(said.contains("Not of the check, and not looked at: notes.txt."), "{said}");
}

#[test]
fn what_is_no_summary_is_refused() {
    let dir = tempdir().unwrap();
    let file = dir.path().join("summary.json");
    for (text, found) in [
        ("", "no JSON"),
        ("{}", "it has no read_from"),
        (r#"{"read_from": []}"#, "read_from with names and texts"),
        (r#"{"read_from": [{"name": "a"}]}"#, "read_from with names and texts"),
        (r#"{"read_from": [{"name": "a", "text": ""}]}"#, "it has no backhold_version"),
    ] {
        fs::write(&file, text).unwrap();
        let (status, _, said) = again(&file, &[]);
        assert_eq!(status, 2);
        assert!(said.contains("--again") && said.contains(found), "{said}");
    }
    // Inputs that are no case any more come with their line.
    let broken = r#"{"read_from": [{"name": "c.toml", "text": "title = 3\n"}], "backhold_version": "1", "inputs_sha256": "0"}"#;
    fs::write(&file, broken).unwrap();
    let (status, _, said) = again(&file, &[]);
    assert!(status == 2 && said.contains("c.toml:1: title: found the number 3"), "{said}");
    assert_eq!(again(&dir.path().join("none.json"), &[]).0, 2);
    assert_eq!(again(dir.path(), &[]).0, 2);
    backhold().args(["check", "samples/haulage.toml", "--again"]).arg(&file).assert().code(2);
    backhold().args(["check", "samples/haulage.toml"]).assert().code(2);
}

/// What each command wrote comes out the same from its summary, is signed for in the same place, and what
/// somebody edited is named.
#[test]
fn comparisons_fits_and_plans_are_made_again_as_checks_are() {
    for (command, sample, more, table) in [
        ("compare", "samples/options.toml", &[][..], "compare.csv"),
        ("fit", "samples/options.toml", &[], "fit.csv"),
        ("fit", "samples/stock_by_surface.toml", &[], "fit.csv"),
        ("plan", "samples/haulage.toml", &["--length-m", "60.3"], "plan.csv"),
    ] {
        let dir = tempdir().unwrap();
        let out = dir.path().join("out");
        let run = ran(&[&[command, sample], more, &SIGNED].concat());
        run.lay_into(&out);
        let again = |command: &str, more: &[&str]| {
            let output = backhold()
                .args([command, "--again"])
                .arg(out.join("summary.json"))
                .args(more)
                .output()
                .unwrap();
            let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
            let said = text(&output.stdout) + &text(&output.stderr);
            (output.status.code().unwrap(), said.split_whitespace().collect::<Vec<_>>().join(" "))
        };
        let (status, said) = again(command, &[]);
        assert_eq!(status, 0, "{said}");
        assert!(said.starts_with("Reproduced byte for byte") && said.contains(table), "{said}");
        let page = format!("{command}.html");
        assert!(said.contains(&page) && said.contains("files in plots/"), "{said}");

        // The page is signed where a check's is, and says how to run it again.
        let html = run.text(&page);
        let summary = json(&out.join("summary.json"));
        for part in [
            "<h2>Sign-off</h2>",
            "B. &lt;Nobody&gt;",
            "Dated 2026-11-25, as given",
            &format!("backhold {command} --again summary.json"),
            summary["inputs_sha256"].as_str().unwrap(),
        ] {
            assert!(html.contains(part), "{command}: {part}");
        }
        assert_eq!(summary["asked"]["command"], command);
        assert_eq!(summary["read_from"][0]["text"], fs::read_to_string(sample).unwrap());
        assert!(summary["tables_sha256"][table].is_string());
        let answer = summary["answer"].as_str().unwrap();
        let first = answer.split_whitespace().take(8).collect::<Vec<_>>().join(" ");
        assert!(run.stdout.split_whitespace().collect::<Vec<_>>().join(" ").starts_with(&first), "{first}");

        // Into a folder of its own, from the summary alone.
        let made = dir.path().join("made");
        let (status, _) = again(command, &["--out", made.to_str().unwrap()]);
        assert_eq!(status, 0);
        for file in [table, "summary.json", &page] {
            assert_eq!(fs::read(out.join(file)).unwrap(), fs::read(made.join(file)).unwrap(), "{file}");
        }

        // Another command does not take it.
        let (status, said) = again("check", &[]);
        assert_eq!(status, 2);
        assert!(said.contains(&format!("give backhold {command} --again with it")), "{said}");

        // A value that somebody made better.
        let text = fs::read_to_string(out.join("summary.json")).unwrap();
        let key = if command == "plan" { "\"minutes\": " } else { "\"cost_per_m\": " };
        let at =
            text.match_indices(key).find(|(at, _)| !text[at + key.len()..].starts_with("null")).unwrap().0;
        let end = at + text[at..].find([',', '\n']).unwrap();
        fs::write(out.join("summary.json"), format!("{}{key}1.25{}", &text[..at], &text[end..])).unwrap();
        let (status, said) = again(command, &[]);
        assert_eq!(status, 1, "{said}");
        assert!(said.contains("row") && said.contains("1.25 then, "), "{said}");
    }
}
