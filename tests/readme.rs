//! What the README shows of a run is what the program says.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test may stop where it stands

use assert_cmd::Command;

/// The block behind `<!-- run: ARGUMENTS -->`.
fn shown_run(readme: &str) -> (Vec<String>, String) {
    let start = readme.find("<!-- run: ").expect("a marked run") + "<!-- run: ".len();
    let (arguments, rest) = readme[start..].split_once(" -->").unwrap();
    let block = rest.split("```").nth(1).unwrap().trim_start_matches('\n');
    (arguments.split(' ').map(str::to_owned).collect(), block.to_owned())
}

#[test]
fn the_run_in_the_readme_is_real() {
    let readme = std::fs::read_to_string("README.md").unwrap();
    let (arguments, shown) = shown_run(&readme);
    assert!(readme.contains("cargo run --release -- check samples/haulage.toml --out out"));
    assert!(readme.contains("\ncargo test\n"));
    let dir = tempfile::tempdir().unwrap();
    let run = Command::cargo_bin("backhold")
        .unwrap()
        .args(arguments)
        .arg("--out")
        .arg(dir.path().join("out"))
        .assert()
        .success();
    let said = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    let without_place = |text: &str| -> Vec<String> {
        text.lines().filter(|l| !l.starts_with("Written to ")).map(str::to_owned).collect()
    };
    assert_eq!(without_place(&shown), without_place(&said));
}
