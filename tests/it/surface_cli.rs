//! Surface support as a user of the program meets it: answer, files, exit status.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test may stop where it stands

use std::path::Path;

use assert_cmd::Command;
use tempfile::tempdir;

/// The haulage of the samples without its own surface support, and with a sliding criterion that its
/// wedge at the face meets too: then all wedges are held.
fn with(scaling: &str, added: &str) -> String {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/haulage.toml");
    let text = std::fs::read_to_string(sample).unwrap();
    assert!(text.contains("min_fs_sliding = 1.5"));
    let text = text.replace("min_fs_sliding = 1.5", "min_fs_sliding = 0.2");
    let bare = text.split("[[surface]]").next().unwrap();
    let start = bare.find("scaling_up_to_m3").unwrap();
    let end = start + bare[start..].find('\n').unwrap() + 1;
    format!("{}{scaling}{}{added}", &bare[..start], &bare[end..])
}

fn screen(bay_kn: f64) -> String {
    format!(
        "\n[[surface]]\nname = \"test mesh\"\nkind = \"screen\"\ncovers = [\"back\", \"walls\"]\nlowest_m = 0.0\nbay_kn = {bay_kn}\n"
    )
}

/// Runs a check; exit status and what it says.
fn run(text: &str, dir: &Path, options: &[&str]) -> (i32, String) {
    std::fs::write(dir.join("case.toml"), text).unwrap();
    let mut command = Command::cargo_bin("backhold").unwrap();
    command.arg("check").arg(dir.join("case.toml")).arg("--out").arg(dir.join("out")).args(options);
    let output = command.output().unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    // As one line, however it was broken.
    (output.status.code().unwrap(), said.split_whitespace().collect::<Vec<_>>().join(" "))
}

fn table(dir: &Path, name: &str) -> (Vec<String>, Vec<csv::StringRecord>) {
    let mut reader = csv::Reader::from_path(dir.join("out").join(name)).unwrap();
    let header = reader.headers().unwrap().iter().map(str::to_owned).collect();
    (header, reader.records().map(Result::unwrap).collect())
}

fn column<'r>(table: &'r (Vec<String>, Vec<csv::StringRecord>), name: &str) -> Vec<&'r str> {
    let at = table.0.iter().position(|h| h == name).unwrap_or_else(|| panic!("no {name}"));
    table.1.iter().map(|r| r.get(at).unwrap()).collect()
}

#[test]
fn without_surface_support_the_screen_is_not_judged() {
    let dir = tempdir().unwrap();
    let (status, said) = run(&with("", ""), dir.path(), &["--strict"]);
    // What is not judged does not pass a strict run.
    assert_eq!(status, 1);
    assert!(said.contains("the screen must carry up to"), "{said}");
    assert!(said.contains("With a screen of ") && said.contains("what the screen can carry"), "{said}");
    let duty = table(dir.path(), "screen_duty.csv");
    assert!(column(&duty, "verdict").contains(&"not judged"));
    assert!(column(&duty, "fs").iter().all(|fs| fs.is_empty()));
    let wedges = table(dir.path(), "wedges.csv");
    assert!(column(&wedges, "fs_with_surface").iter().all(|fs| fs.is_empty()));
    assert!(!dir.path().join("out/scaling.csv").exists());
}

#[test]
fn a_screen_that_is_short_is_said_first_and_fails_a_strict_run() {
    let dir = tempdir().unwrap();
    let weak = with("", &screen(1.0));
    let (status, said) = run(&weak, dir.path(), &[]);
    assert_eq!(status, 0);
    assert!(said.contains("Between the bolts the surface support is short:"), "{said}");
    assert!(said.contains("test mesh carries 1.00 kN, FS 0."), "{said}");
    assert!(!said.contains("what the screen can carry"), "{said}");
    assert_eq!(run(&weak, dir.path(), &["--strict"]).0, 1);

    let (status, said) = run(&with("", &screen(500.0)), dir.path(), &["--strict"]);
    assert_eq!(status, 0, "{said}");
    assert!(said.contains("are held by test mesh with FS"), "{said}");
    let wedges = table(dir.path(), "wedges.csv");
    let (bolted, both) = (column(&wedges, "fs_bolted"), column(&wedges, "fs_with_surface"));
    let more = bolted.iter().zip(&both).filter(|(b, s)| {
        let number = |t: &str| t.parse::<f64>().ok();
        matches!((number(b), number(s)), (Some(b), Some(s)) if s > b)
    });
    assert!(more.count() >= 1, "{bolted:?} {both:?}");
}

#[test]
fn the_scaling_size_is_said_with_its_list() {
    let dir = tempdir().unwrap();
    let (_, said) = run(&with("scaling_up_to_m3 = 5.0\n", &screen(1.0)), dir.path(), &["--strict"]);
    assert!(said.contains("Pieces up to 5 m³ are left to the scaling bar: loose ones of"), "{said}");
    assert!(!said.contains("surface support is short"), "{said}");
    let scaling = table(dir.path(), "scaling.csv");
    assert!(column(&scaling, "piece").iter().any(|p| *p == "gap wedge" || *p == "whole wedge"));
    let volumes = column(&scaling, "volume_m3");
    assert!(!volumes.is_empty() && volumes.iter().all(|v| v.parse::<f64>().unwrap() <= 5.0));
}
