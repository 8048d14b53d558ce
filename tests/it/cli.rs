//! The program as a user runs it: commands, files, exit status, messages.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test may stop where it stands

use crate::program::{backhold, fetches_nothing, files, ran};
use std::fs;
use tempfile::tempdir;

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

const EXPECTED_FILES: [&str; 34] = [
    ".backhold",
    "advice.csv",
    "bolt_demand.csv",
    "bolts.csv",
    "changes.csv",
    "plots/face.png",
    "plots/face.svg",
    "plots/plan.png",
    "plots/plan.svg",
    "plots/section.png",
    "plots/section.svg",
    "plots/sizes_A-B-C.001.png",
    "plots/sizes_A-B-C.001.svg",
    "plots/sizes_A-B-C.101.png",
    "plots/sizes_A-B-C.101.svg",
    "plots/sizes_A-B-C.110.png",
    "plots/sizes_A-B-C.110.svg",
    "plots/sizes_A-B-C.111.png",
    "plots/sizes_A-B-C.111.svg",
    "plots/space.png",
    "plots/space.svg",
    "plots/stages.png",
    "plots/stages.svg",
    "plots/stereonet.png",
    "plots/stereonet.svg",
    "plots/unrolled.png",
    "plots/unrolled.svg",
    "prisms.csv",
    "report.html",
    "screen_duty.csv",
    "size_curve.csv",
    "stages.csv",
    "summary.json",
    "wedges.csv",
];

#[test]
fn a_new_case_runs_as_it_is_and_is_never_overwritten() {
    let dir = tempdir().unwrap();
    backhold().current_dir(&dir).args(["new", "drive.toml"]).assert().success();
    let written = fs::read(dir.path().join("drive.toml")).unwrap();
    let again = backhold().current_dir(&dir).args(["new", "drive.toml"]).assert().code(2);
    assert!(text(&again.get_output().stderr).contains("already there"));
    assert_eq!(fs::read(dir.path().join("drive.toml")).unwrap(), written);
    let run = backhold().current_dir(&dir).args(["check", "drive.toml", "--out", "out"]).assert().success();
    let names: Vec<String> = files(&dir.path().join("out")).into_iter().map(|f| f.0).collect();
    assert_eq!(names, EXPECTED_FILES);
    assert!(text(&run.get_output().stderr).is_empty(), "{}", text(&run.get_output().stderr));
    // Nothing but the folder is left behind.
    let left: Vec<_> = fs::read_dir(&dir).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(left.len(), 2, "{left:?}");
}

#[test]
fn the_same_case_gives_the_same_bytes_whatever_the_thread_count() {
    let dir = tempdir().unwrap();
    for (out, threads) in [("one", "1"), ("four", "4"), ("again", "4")] {
        backhold()
            .args(["check", "samples/crosscut_incline.toml", "--out"])
            .arg(dir.path().join(out))
            .env("RAYON_NUM_THREADS", threads)
            .assert()
            .success();
    }
    let one = files(&dir.path().join("one"));
    assert_eq!(one, files(&dir.path().join("four")));
    assert_eq!(one, files(&dir.path().join("again")));
}

#[test]
fn the_answer_is_the_same_on_terminal_page_and_summary() {
    let run = ran(&["check", "samples/short_drive.toml"]);
    let summary: serde_json::Value = serde_json::from_str(run.text("summary.json")).unwrap();
    let answer = summary["answer"].as_str().unwrap();
    let unwrapped = run.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    let on_one_line = answer.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(unwrapped.starts_with(&on_one_line), "{answer}\n{unwrapped}");
    // Good enough or not, what lacks most, what the crew must know: in at most 60 words.
    assert!(answer.starts_with("Not good enough: ") && answer.contains(" lacks most: "), "{answer}");
    assert!(answer.contains("After each round") && answer.split_whitespace().count() <= 60, "{answer}");
    // Names do not break over lines on the page.
    let page = run.text("report.html").replace("<span class=\"id\">", "").replace("</span>", "");
    assert!(page.contains(answer), "{answer}");
    assert!(answer.contains("short") && answer.contains("where"));
    // What is not judged is counted there and spelled out once below.
    let count: usize = answer.split(". ").last().unwrap().split(' ').next().unwrap().parse().unwrap();
    let list = summary["not_judged"].as_array().unwrap();
    assert_eq!(list.len(), count);
    assert!(list.iter().all(|what| on_one_line_of(&run.stdout).contains(what.as_str().unwrap())));
    for stream in [&run.stdout, &run.stderr] {
        assert!(!stream.contains('\u{1b}'), "no colour in a pipe");
    }
    // The folder's own name is the user's, of any length.
    for line in run.stdout.lines().filter(|l| !l.starts_with("Written to ")) {
        assert!(line.chars().count() <= 100, "{line}");
    }
}

#[test]
fn strict_tells_short_by_its_status() {
    let dir = tempdir().unwrap();
    let out = dir.path().join("out");
    // The same without --strict is done, status 0.
    ran(&["check", "samples/short_drive.toml"]).lay_into(&out);
    backhold()
        .args(["check", "samples/short_drive.toml", "--overwrite", "--strict", "--out"])
        .arg(&out)
        .assert()
        .code(1);
}

#[test]
fn every_problem_of_a_case_is_said_at_once_and_nothing_is_written() {
    let dir = tempdir().unwrap();
    let case = dir.path().join("bad.toml");
    let good = fs::read_to_string("samples/haulage.toml").unwrap();
    let bad = good.replacen("trend_deg", "trend_degrees", 1).replacen("[criteria]", "[criterion]", 1);
    assert_ne!(good, bad);
    fs::write(&case, bad).unwrap();
    let out = dir.path().join("out");
    let run = backhold().arg("check").arg(&case).arg("--out").arg(&out).assert().code(2);
    let said = text(&run.get_output().stderr);
    assert!(said.contains("trend_degrees") && said.contains("trend_deg"), "{said}");
    assert!(said.contains("criterion") && said.contains("criteria"), "{said}");
    assert!(!out.exists());
    assert_eq!(fs::read_dir(&dir).unwrap().count(), 1);
}

#[test]
fn a_folder_of_somebody_else_is_not_replaced() {
    let dir = tempdir().unwrap();
    let out = dir.path().join("out");
    fs::create_dir(&out).unwrap();
    fs::write(out.join("thesis.txt"), "years of work").unwrap();
    let check = |overwrite: bool| {
        let mut command = backhold();
        command.args(["check", "samples/mine_plan.toml", "--out"]).arg(&out);
        if overwrite {
            command.arg("--overwrite");
        }
        command.assert()
    };
    let refused = check(false).code(2);
    assert!(text(&refused.get_output().stderr).contains("thesis.txt"));
    assert_eq!(fs::read_to_string(out.join("thesis.txt")).unwrap(), "years of work");
    // With --overwrite it is set aside, not deleted.
    check(true).success();
    assert!(out.join("report.html").exists());
    assert_eq!(fs::read_to_string(dir.path().join("out.before/thesis.txt")).unwrap(), "years of work");
    // Its own folder is replaced; with a foreign file in it, it is not.
    check(false).success();
    fs::write(out.join("notes.txt"), "mine").unwrap();
    check(false).code(2);
    assert_eq!(fs::read_to_string(out.join("notes.txt")).unwrap(), "mine");
    // Nor is one in which a file was edited.
    fs::remove_file(out.join("notes.txt")).unwrap();
    check(false).success();
    let table = fs::read_to_string(out.join("wedges.csv")).unwrap() + "checked by hand\n";
    fs::write(out.join("wedges.csv"), &table).unwrap();
    let refused = check(false).code(2);
    assert!(text(&refused.get_output().stderr).contains("wedges.csv"));
    assert_eq!(fs::read_to_string(out.join("wedges.csv")).unwrap(), table);
}

#[test]
fn no_folder_of_the_system_is_set_aside() {
    let here = std::env::current_dir().unwrap();
    for folder in [std::env::temp_dir(), here.clone(), here.parent().unwrap().to_path_buf()] {
        let run = backhold()
            .args(["check", "samples/haulage.toml", "--overwrite", "--out"])
            .arg(&folder)
            .assert()
            .code(2);
        assert!(text(&run.get_output().stderr).contains("a folder of its own"), "{}", folder.display());
        assert!(folder.is_dir());
    }
}

#[test]
fn what_the_reader_wondered_about_stands_in_the_report() {
    let dir = tempdir().unwrap();
    let case = dir.path().join("light.toml");
    let good = fs::read_to_string("samples/haulage.toml").unwrap();
    let light = good.replacen("unit_weight_kn_m3 = 27.0", "unit_weight_kn_m3 = 2.7", 1);
    assert_ne!(good, light);
    fs::write(&case, light).unwrap();
    let out = dir.path().join("out");
    backhold().arg("check").arg(&case).arg("--out").arg(&out).assert().success();
    for file in ["report.html", "summary.json"] {
        assert!(fs::read_to_string(out.join(file)).unwrap().contains("unit_weight_kn_m3: "), "{file}");
    }
}

#[test]
fn usage_and_machine_have_their_own_status() {
    let dir = tempdir().unwrap();
    backhold().args(["check"]).assert().code(2);
    backhold().args(["chekc"]).assert().code(2);
    backhold().args(["--help"]).assert().success();
    backhold().args(["check", "no_such_case.toml", "--out"]).arg(dir.path().join("o")).assert().code(2);
    backhold()
        .args(["check", "samples/haulage.toml", "--dated", "2026-02-30", "--out"])
        .arg(dir.path().join("o"))
        .assert()
        .code(2);
    let file = dir.path().join("file");
    fs::write(&file, "x").unwrap();
    // A file stands where a folder of the path should be: the machine says no.
    backhold().args(["check", "samples/haulage.toml", "--out"]).arg(file.join("out")).assert().code(3);
    backhold().args(["explain", "samples/haulage.toml", "--wedge", "X-Y-Z.000"]).assert().code(2);
}

#[test]
fn a_date_stands_only_where_it_is_given() {
    let dir = tempdir().unwrap();
    let out = dir.path().join("out");
    backhold()
        .args(["check", "samples/haulage.toml", "--dated", "2026-11-25", "--out"])
        .arg(&out)
        .assert()
        .success();
    assert!(fs::read_to_string(out.join("report.html")).unwrap().contains("2026-11-25"));
    let summary: serde_json::Value =
        serde_json::from_slice(&fs::read(out.join("summary.json")).unwrap()).unwrap();
    assert_eq!(summary["dated"], "2026-11-25");
}

#[test]
fn no_output_fetches_anything_or_says_safe() {
    let run = ran(&["check", "samples/haulage.toml"]);
    let html = run.text("report.html");
    fetches_nothing(html);
    let everything = [html, &run.stdout].join("\n").to_lowercase();
    for word in everything.split(|c: char| !c.is_alphabetic()) {
        assert!(!["safe", "pass", "passed", "fail", "failed", "ok"].contains(&word), "{word}");
    }
}

fn on_one_line_of(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_manual_has_a_page_for_each_command_and_completions_for_each_shell() {
    let run = ran(&["manual"]);
    let whole = run.text("man/backhold.1");
    for command in ["new", "map", "check", "verdict", "explain", "plan", "compare", "fit", "manual"] {
        let page = run.text(&format!("man/backhold-{command}.1"));
        assert!(page.contains(&format!(".TH backhold-{command} 1")), "{page}");
        assert!(page.contains("\\fB\\-\\-help\\fR") || page.contains("\\-\\-help"), "{page}");
        assert!(whole.contains(&format!("backhold\\-{command}(1)")), "{command}: {whole}");
    }
    assert!(run.text("man/backhold-check.1").contains("\\-\\-also"));
    assert!(whole.contains("Exit status: 0 done"), "{whole}");
    for (shell, what) in [
        ("bash", "complete -F _backhold"),
        ("fish", "complete -c backhold"),
        ("zsh", "#compdef backhold"),
        ("elvish", "edit:completion:arg-completer[backhold]"),
        ("powershell", "Register-ArgumentCompleter -Native -CommandName 'backhold'"),
    ] {
        let script = run.text(&format!("completions/backhold.{shell}"));
        assert!(script.contains(what), "{shell}");
        assert!(script.contains("spacings"), "{shell}");
    }
}
