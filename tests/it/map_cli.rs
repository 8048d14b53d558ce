//! `map` as a mapper runs it: files, counts, messages, and the way on to `check`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test may stop where it stands

use crate::common;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use assert_cmd::Command;
use assert_cmd::assert::Assert;
use tempfile::{TempDir, tempdir};

fn backhold() -> Command {
    Command::cargo_bin("backhold").unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn said(run: &Assert) -> (String, String) {
    (text(&run.get_output().stdout), text(&run.get_output().stderr))
}

fn map(survey: &Path, out: &Path, more: &[&str]) -> Assert {
    backhold().arg("map").arg(survey).arg("--out").arg(out).args(more).assert()
}

fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(name)
}

const LINES: [&str; 2] = ["--lines", concat!(env!("CARGO_MANIFEST_DIR"), "/samples/survey_lines.csv")];

fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(next) = open.pop() {
        for entry in fs::read_dir(next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().to_string_lossy().into_owned();
                found.insert(name, fs::read(&path).unwrap());
            }
        }
    }
    found
}

/// Header and rows of a table.
fn table(path: &Path) -> (Vec<String>, Vec<BTreeMap<String, String>>) {
    let mut reader = csv::Reader::from_path(path).unwrap();
    let header: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let rows = reader
        .records()
        .map(|row| header.iter().cloned().zip(row.unwrap().iter().map(str::to_owned)).collect())
        .collect();
    (header, rows)
}

struct Run {
    _dir: TempDir,
    out: PathBuf,
    stdout: String,
}

fn scanline(more: &[&str]) -> Run {
    let dir = tempdir().unwrap();
    let out = dir.path().join("out");
    let run = map(&sample("survey_scanline.csv"), &out, &[&LINES, more].concat()).success();
    let (stdout, stderr) = said(&run);
    assert!(stderr.is_empty(), "{stderr}");
    Run { _dir: dir, out, stdout }
}

#[test]
fn a_scanline_gives_every_file_and_nothing_else() {
    let run = scanline(&[]);
    let names: Vec<String> = files(&run.out).into_keys().collect();
    assert_eq!(
        names,
        [
            ".backhold",
            "domains.csv",
            "joint_sets.toml",
            "lines.csv",
            "plots/domains.png",
            "plots/domains.svg",
            "plots/rose.png",
            "plots/rose.svg",
            "plots/spacings.png",
            "plots/spacings.svg",
            "plots/stereonet.png",
            "plots/stereonet.svg",
            "plots/trace_lengths.png",
            "plots/trace_lengths.svg",
            "quality.csv",
            "quality_words.csv",
            "readings.csv",
            "rejects.csv",
            "report.html",
            "sets.csv",
            "summary.json",
            "triples.csv",
            "warnings.csv",
        ]
    );
}

#[test]
fn the_terminal_answers_first_within_a_hundred_characters_and_so_does_the_page() {
    let run = scanline(&[]);
    for line in run.stdout.lines().filter(|l| !l.starts_with("Written to ")) {
        assert!(line.chars().count() <= 100, "{line}");
    }
    let unwrapped = run.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(unwrapped.starts_with("3 joint sets from 142 readings (A 69/042, B 62/160, C 18/307); 2 readings are in no set, no rows were rejected. In doubt: set C"), "{unwrapped}");
    let html = fs::read_to_string(run.out.join("report.html")).unwrap();
    let answer = &unwrapped[..unwrapped.find(" set readings dip").unwrap()];
    assert!(html.contains(answer), "{answer}");
    crate::program::fetches_nothing(&html);
    let everything = [html, run.stdout].join("\n").to_lowercase();
    for word in everything.split(|c: char| !c.is_alphabetic()) {
        assert!(!["safe", "pass", "passed", "fail", "failed", "ok"].contains(&word), "{word}");
    }
}

#[test]
fn every_row_is_counted_once_and_tables_have_their_columns() {
    let dir = tempdir().unwrap();
    for (name, rows) in [("survey_scanline.csv", 142), ("survey_core.csv", 102), ("survey_mistakes.csv", 19)]
    {
        let out = dir.path().join(name);
        map(&sample(name), &out, &LINES).success();
        let (header, readings) = table(&out.join("readings.csv"));
        let start = ["line_number", "class", "set", "membership", "weight", "dip_deg", "dip_direction_deg"];
        assert_eq!(header[..7], start);
        let (header, rejects) = table(&out.join("rejects.csv"));
        assert_eq!(header, ["line_number", "reason", "row"]);
        assert_eq!(readings.len() + rejects.len(), rows, "{name}");
        let mut lines: Vec<&str> =
            readings.iter().chain(&rejects).map(|r| r["line_number"].as_str()).collect();
        lines.sort_unstable();
        lines.dedup();
        assert_eq!(lines.len(), rows, "{name}: a line twice");
        let (header, sets) = table(&out.join("sets.csv"));
        let first = [
            "set",
            "readings",
            "dip_deg",
            "dip_direction_deg",
            "fisher_k",
            "cone_95_deg",
            "spacing_m",
            "trace_length_m",
        ];
        assert_eq!(header[..8], first);
        let mut assigned = 0;
        for set in &sets {
            let members: Vec<_> = readings.iter().filter(|r| r["set"] == set["set"]).collect();
            assert_eq!(members.len().to_string(), set["readings"], "{name}");
            assert!(members.iter().all(|r| r["class"] == "set"));
            let weights: f64 = members.iter().map(|r| r["weight"].parse::<f64>().unwrap()).sum();
            assert!((weights - set["weighted_count"].parse::<f64>().unwrap()).abs() < 1e-6);
            assigned += members.len();
        }
        let loose = readings.iter().filter(|r| r["class"] == "unassigned" && r["set"].is_empty()).count();
        assert_eq!(assigned + loose, readings.len());
    }
}

#[test]
fn readings_carry_memberships_and_every_column_as_it_was_read() {
    let run = scanline(&["--declination-deg", "-3.5"]);
    let (_, readings) = table(&run.out.join("readings.csv"));
    let source = fs::read_to_string(sample("survey_scanline.csv")).unwrap();
    let lines: Vec<&str> = source.lines().collect();
    for row in &readings {
        let line = lines[row["line_number"].parse::<usize>().unwrap() - 1];
        let as_read: Vec<&str> = line.split(',').collect();
        assert_eq!(as_read[0], row["as_read_dip_deg"]);
        assert_eq!(as_read[1], row["as_read_dip_direction_deg"]);
        assert_eq!(as_read[2], row["trace_length_m"]);
        assert_eq!(as_read[5], row["distance_m"]);
        let turned = (as_read[1].parse::<f64>().unwrap() - 3.5).rem_euclid(360.0);
        assert!((row["dip_direction_deg"].parse::<f64>().unwrap() - turned).abs() < 1e-9);
        let each = ["A", "B", "C"].map(|s| row[&format!("membership_{s}")].parse::<f64>().unwrap());
        let none = 1.0 - each.iter().sum::<f64>();
        let own = row["membership"].parse::<f64>().unwrap();
        let wanted = match row["set"].as_str() {
            "A" => each[0],
            "B" => each[1],
            "C" => each[2],
            _ => none,
        };
        assert!((own - wanted).abs() < 3e-6, "{row:?}");
        assert!(each.iter().all(|&p| p <= own + 1e-6) && none <= own + 3e-6, "{row:?}");
    }
    let html = fs::read_to_string(run.out.join("report.html")).unwrap();
    assert!(html.contains("declination -3.5°"));
}

#[test]
fn rejects_keep_the_row_as_it_stood() {
    let dir = tempdir().unwrap();
    let out = dir.path().join("out");
    let run = map(&sample("survey_mistakes.csv"), &out, &LINES).success();
    let source = fs::read_to_string(sample("survey_mistakes.csv")).unwrap();
    let (_, rejects) = table(&out.join("rejects.csv"));
    assert_eq!(rejects.len(), 8);
    for reject in &rejects {
        let line = reject["line_number"].parse::<usize>().unwrap();
        // A cell that a spreadsheet would run has an apostrophe before it.
        let row = source.lines().nth(line - 1).unwrap();
        let marked = if row.starts_with(['=', '+', '-', '@']) { format!("'{row}") } else { row.to_owned() };
        assert_eq!(marked, reject["row"]);
        assert!(!reject["reason"].is_empty());
    }
    assert!(said(&run).0.contains("8 rows were rejected") || said(&run).0.contains("8\nrows"));
    let (_, warnings) = table(&out.join("warnings.csv"));
    assert!(warnings.iter().any(|w| w["warning"].contains("402")));
}

/// Neither rows nor threads change what sets and fragment say.
#[test]
fn the_order_of_rows_and_the_number_of_threads_change_nothing() {
    let dir = tempdir().unwrap();
    let source = fs::read_to_string(sample("survey_scanline.csv")).unwrap();
    let (head, mut rows): (Vec<&str>, Vec<&str>) =
        source.lines().partition(|l| l.starts_with('#') || l.starts_with("dip_deg"));
    rows.reverse();
    let half = rows.len() / 3;
    rows.rotate_left(half);
    let survey = dir.path().join("survey_scanline.csv");
    fs::write(&survey, [head, rows].concat().join("\n")).unwrap();
    let other = dir.path().join("other");
    map(&survey, &other, &LINES).success();
    let run = scanline(&[]);
    for name in ["sets.csv", "joint_sets.toml", "triples.csv", "lines.csv"] {
        assert_eq!(fs::read(run.out.join(name)).unwrap(), fs::read(other.join(name)).unwrap(), "{name}");
    }
    for threads in ["1", "3"] {
        let out = dir.path().join(threads);
        backhold()
            .arg("map")
            .arg(sample("survey_scanline.csv"))
            .arg("--out")
            .arg(&out)
            .args(LINES)
            .env("RAYON_NUM_THREADS", threads)
            .assert()
            .success();
        assert_eq!(files(&run.out), files(&out), "{threads} threads");
    }
}

#[test]
fn everything_that_is_wrong_is_said_at_once_and_nothing_is_written() {
    let dir = tempdir().unwrap();
    let survey = dir.path().join("s.csv");
    fs::write(&survey, "strike,dip_deg\n10,20\n").unwrap();
    let lines = dir.path().join("l.csv");
    fs::write(&lines, "id,kind,trend_deg,plunge_deg\nL1,rope,400,0\n").unwrap();
    let out = dir.path().join("out");
    let more = [
        "--lines",
        lines.to_str().unwrap(),
        "--sets",
        "0",
        "--start",
        "95/10",
        "--column",
        "nonsense",
        "--max-weight",
        "0.5",
        "--declination-deg",
        "999",
    ];
    let run = map(&survey, &out, &more).code(2);
    let (stdout, stderr) = said(&run);
    assert!(stdout.is_empty());
    let wanted = [
        "--sets 0",
        "--start 95/10",
        "--column nonsense",
        "--max-weight",
        "--declination-deg 999",
        "rope",
        "strike_deg",
    ];
    for part in wanted {
        assert!(stderr.contains(part), "{part} in\n{stderr}");
    }
    assert!(!out.exists());
    // Files that are not there are named together.
    let run = map(&dir.path().join("none.csv"), &out, &["--lines", "nowhere.csv"]).code(2);
    let stderr = said(&run).1;
    assert!(stderr.contains("none.csv") && stderr.contains("nowhere.csv"), "{stderr}");
    map(dir.path(), &out, &[]).code(2);
    let file = dir.path().join("file");
    fs::write(&file, "x").unwrap();
    map(&sample("survey_core.csv"), &file.join("out"), &LINES).code(3);
    // A folder of somebody else stays.
    fs::create_dir(&out).unwrap();
    fs::write(out.join("mine.txt"), "x").unwrap();
    assert!(said(&map(&sample("survey_core.csv"), &out, &LINES).code(2)).1.contains("mine.txt"));
}

/// An empty fragment would look as if there were no joints.
#[test]
fn a_survey_none_of_whose_rows_can_be_used_is_refused_with_its_lines() {
    let dir = tempdir().unwrap();
    let survey = dir.path().join("s.csv");
    let out = dir.path().join("out");
    let refused = |text: &str, more: &[&str]| {
        fs::write(&survey, text).unwrap();
        let stderr = said(&map(&survey, &out, more).code(2)).1;
        assert!(!out.exists());
        stderr
    };
    let head = "dip_deg,dip_direction_deg,note\n";
    assert!(refused(head, &[]).contains("a header and no row under it"));
    let rows: String = (0..9).map(|i| format!("9{i},10,\n")).collect();
    let stderr = refused(&format!("{head}{}", &rows[7..]), &[]);
    assert!(stderr.contains("found 8 rows, none of which gives a joint"), "{stderr}");
    assert!(stderr.contains("line 2: dip_deg") && stderr.contains("and 3 more"), "{stderr}");
    let stderr = refused(&format!("{head}50,10,left\n"), &["--where", "note=right"]);
    assert!(stderr.contains("found 1 row, none of which is asked for"), "{stderr}");
    // A structure is something that was found.
    fs::write(&survey, "dip_deg,dip_direction_deg,type\n60,30,fault\n").unwrap();
    map(&survey, &out, &[]).success();
    assert!(out.join("structures.toml").exists());
}

/// What a spreadsheet would run has an apostrophe in our tables, and is read from them as it was.
#[test]
fn formulas_in_a_survey_are_text_in_every_table() {
    let dir = tempdir().unwrap();
    let survey = dir.path().join("s.csv");
    let out = dir.path().join("out");
    let text = "dip_deg,dip_direction_deg,note,=own\n50,10,=1+1,@a\n51,12,-3.2,+.5\n52,13,plain,-cmd|'x'!A0\n=2,1,x,y\n";
    fs::write(&survey, text).unwrap();
    map(&survey, &out, &[]).success();
    let readings = fs::read_to_string(out.join("readings.csv")).unwrap();
    for cell in [",'=own", ",'=1+1,'@a", ",-3.2,+.5", "plain,'-cmd|'x'!A0"] {
        assert!(readings.contains(cell), "{cell} in\n{readings}");
    }
    assert!(fs::read_to_string(out.join("rejects.csv")).unwrap().contains("\"'=2,1,x,y\""));
    // Read back, the cells are what the mapper wrote.
    let again = dir.path().join("again");
    map(&out.join("readings.csv"), &again, &["--ignore-labels"]).success();
    let second = fs::read_to_string(again.join("readings.csv")).unwrap();
    assert!(second.contains(",'=1+1,'@a") && !second.contains("''"), "{second}");
}

#[test]
fn absent_values_are_empty_cells() {
    let dir = tempdir().unwrap();
    let survey = dir.path().join("s.csv");
    let case = common::synthetic(12, 3, 40.0, 40.0);
    fs::write(&survey, common::as_csv(&case.planes, 0)).unwrap();
    let out = dir.path().join("out");
    map(&survey, &out, &["--equal-angle", "--dated", "2026-11-25"]).success();
    let (_, sets) = table(&out.join("sets.csv"));
    for set in &sets {
        for empty in ["spacing_m", "trace_length_m", "jrc", "frequency_per_m", "spacing_isrm"] {
            assert_eq!(set[empty], "");
        }
    }
    assert_eq!(table(&out.join("triples.csv")).1.len(), 0);
    let fragment = fs::read_to_string(out.join("joint_sets.toml")).unwrap();
    assert!(!fragment.contains("spacing_m") && fragment.contains("fisher_k"));
    let net = fs::read_to_string(out.join("plots/stereonet.svg")).unwrap();
    assert!(net.contains("equal angle"));
    assert!(fs::read_to_string(out.join("report.html")).unwrap().contains("2026-11-25"));
    assert!(!out.join("plots/spacings.svg").exists() && !out.join("plots/trace_lengths.svg").exists());
}

#[test]
fn number_and_starts_of_sets_can_be_given() {
    for (more, names) in [
        (&["--sets", "2"][..], &["A", "B"][..]),
        (&["--start", "18/300", "--start", "69/042", "--start", "62/160"], &["A", "B", "C"]),
    ] {
        let run = scanline(more);
        let (_, sets) = table(&run.out.join("sets.csv"));
        let found: Vec<&str> = sets.iter().map(|s| s["set"].as_str()).collect();
        assert_eq!(found, names);
        if names.len() == 3 {
            // In the order of the starts.
            assert!(sets[0]["dip_deg"].parse::<f64>().unwrap() < 30.0);
        }
    }
}

/// A spreadsheet's export: other headers, decimal commas, semicolons, Windows line ends.
fn spreadsheet() -> String {
    let source = fs::read_to_string(sample("survey_scanline.csv")).unwrap();
    let mut text = String::from("\u{FEFF}Nr;Azimut;Fall;Spurl\u{e4}nge (m)\r\n");
    for (at, line) in source.lines().filter(|l| l.starts_with(|c: char| c.is_ascii_digit())).enumerate() {
        let cells: Vec<&str> = line.split(',').collect();
        text.push_str(&format!("{at};{};{},0;{}\r\n", cells[1], cells[0], cells[2].replace('.', ",")));
    }
    text
}

#[test]
fn from_a_spreadsheet_to_a_running_check() {
    let dir = tempdir().unwrap();
    let path = |name: &str| dir.path().join(name);
    fs::write(path("export.csv"), spreadsheet()).unwrap();
    let more = [
        "--column",
        "dip_deg=Fall",
        "--column",
        "dip_direction_deg=azimut",
        "--column",
        "trace_length_m=Spurl\u{e4}nge (m)",
    ];
    map(&path("export.csv"), &path("sets"), &more).success();
    backhold().current_dir(&dir).args(["new", "drive.toml"]).assert().success();
    let template = fs::read_to_string(path("drive.toml")).unwrap();
    // The case names the fragment; each set gets its friction from the engineer.
    let (before, rest) = template.split_once("\n[[joint_set]]\n").unwrap();
    let (_, after) = rest.split_once("\n[limits]\n").unwrap();
    let before =
        before.replace("# joint_sets = \"joint_sets.toml\"", "joint_sets = \"sets/joint_sets.toml\"");
    let mut sets = String::new();
    for name in ["A", "B", "C"] {
        sets.push_str(&format!("[[joint_set]]\nname = \"{name}\"\nfriction_deg = 30.0\n\n"));
    }
    fs::write(path("drive.toml"), format!("{before}\n{sets}[limits]\n{after}")).unwrap();
    let run = backhold().current_dir(&dir).args(["check", "drive.toml", "--out", "out"]).assert().success();
    assert!(said(&run).1.is_empty(), "{}", said(&run).1);
    let (header, wedges) = table(&path("out/wedges.csv"));
    assert!(!wedges.is_empty());
    // No spacings were measured, so nobody knows which triples meet.
    assert!(header.iter().any(|c| c == "meeting_probability"));
    assert!(wedges.iter().all(|w| w["meeting_probability"].is_empty()));
    // Sets that the engineer forgets are named.
    fs::write(path("drive.toml"), format!("{before}\n[limits]\n{after}")).unwrap();
    let run = backhold().current_dir(&dir).args(["check", "drive.toml", "--out", "out"]).assert().code(2);
    assert!(said(&run).1.contains("friction_deg"));
}

#[test]
fn check_ranks_the_triples_of_a_case_with_spacings() {
    let dir = tempdir().unwrap();
    let case = fs::read_to_string(sample("crosscut_incline.toml")).unwrap();
    let mut spacings = ["0.8", "1.2", "1.5", "2.0"].iter();
    let with: String = case
        .lines()
        .map(|line| {
            let add = line.trim_start().starts_with("friction_deg").then(|| spacings.next()).flatten();
            add.map_or_else(|| format!("{line}\n"), |s| format!("{line}\nspacing_m = {s}\n"))
        })
        .collect();
    let path = dir.path().join("case.toml");
    fs::write(&path, &with).unwrap();
    let out = dir.path().join("out");
    backhold().arg("check").arg(&path).arg("--out").arg(&out).assert().success();
    let (_, wedges) = table(&out.join("wedges.csv"));
    let mut triples: BTreeMap<&str, f64> = BTreeMap::new();
    for wedge in &wedges {
        let probability = wedge["meeting_probability"].parse().unwrap();
        assert_eq!(*triples.entry(&wedge["sets"]).or_insert(probability), probability);
    }
    assert_eq!(triples.len(), 4);
    assert!((triples.values().sum::<f64>() - 1.0).abs() < 1e-9, "{triples:?}");
    let summary: serde_json::Value =
        serde_json::from_slice(&fs::read(out.join("summary.json")).unwrap()).unwrap();
    assert!(summary["wedges"][0]["meeting_probability"].is_number());
    // One spacing less, and nothing is said.
    fs::write(&path, with.replacen("spacing_m = 2.0\n", "", 1)).unwrap();
    backhold().arg("check").arg(&path).arg("--out").arg(&out).assert().success();
    assert!(table(&out.join("wedges.csv")).1.iter().all(|w| w["meeting_probability"].is_empty()));
}

#[test]
fn a_new_survey_maps_as_it_is_and_files_are_never_overwritten() {
    let dir = tempdir().unwrap();
    let new = || backhold().current_dir(&dir).args(["new", "case.toml", "--survey", "survey.csv"]).assert();
    new().success();
    let stderr = said(&new().code(2)).1;
    assert!(stderr.contains("case.toml") && stderr.contains("survey.csv"), "{stderr}");
    let run = map(&dir.path().join("survey.csv"), &dir.path().join("sets"), &[]).success();
    assert!(said(&run).0.starts_with("3 joint sets from 40 readings"), "{}", said(&run).0);
    let (_, sets) = table(&dir.path().join("sets/sets.csv"));
    assert!(sets.iter().all(|s| !s["spacing_m"].is_empty() && !s["trace_length_m"].is_empty()));
    let text = fs::read_to_string(dir.path().join("survey.csv")).unwrap();
    assert!(text.lines().next().unwrap().contains("invented"));
    // With one of the two there, neither is written.
    let other = backhold().current_dir(&dir).args(["new", "other.toml", "--survey", "survey.csv"]).assert();
    other.code(2);
    assert!(!dir.path().join("other.toml").exists());
}

/// A table handed over as a file of borders is told of in a few lines, a pipe that nobody writes into is not waited for.
#[test]
fn wrong_files_are_told_of_shortly() {
    let dir = tempdir().unwrap();
    let out = dir.path().join("out");
    let borders = sample("survey_scanline.csv").display().to_string();
    let run = map(&sample("survey_scanline.csv"), &out, &["--set-borders", &borders]).code(2);
    let (_, said) = said(&run);
    assert!(said.lines().count() <= 20 && said.contains("more problems; is this a TOML file"), "{said}");
    #[cfg(unix)]
    {
        let pipe = dir.path().join("pipe");
        assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
        let run = map(&pipe, &out, &[]).code(2);
        assert!(text(&run.get_output().stderr).contains("this is a pipe or a device"));
    }
}
