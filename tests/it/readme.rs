//! What the README shows of a run is what the program says.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test may stop where it stands

use crate::program::ran;

/// The blocks behind `<!-- run: ARGUMENTS -->`.
fn shown_runs(readme: &str) -> Vec<(Vec<String>, String)> {
    let marked = readme.split("<!-- run: ").skip(1).map(|piece| {
        let (arguments, rest) = piece.split_once(" -->").unwrap();
        let block = rest.split("```").nth(1).unwrap().trim_start_matches('\n');
        (arguments.split(' ').map(str::to_owned).collect(), block.to_owned())
    });
    marked.collect()
}

#[test]
fn the_runs_in_the_readme_are_real() {
    let readme = std::fs::read_to_string("README.md").unwrap();
    let runs = shown_runs(&readme);
    assert_eq!(
        runs.len(),
        7,
        "check, compare, chance, fit of one pattern and of several, a mine plan, a fault with bolts of its own"
    );
    runs.into_iter().for_each(is_real);
    assert!(readme.contains("cargo run --release -- check samples/haulage.toml --out out"));
    assert!(readme.contains("\ncargo test\n"));
}

fn is_real((arguments, shown): (Vec<String>, String)) {
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let said = &ran(&arguments).stdout;
    let without_place = |text: &str| -> Vec<String> {
        text.lines().filter(|l| !l.starts_with("Written to ")).map(str::to_owned).collect()
    };
    assert_eq!(without_place(&shown), without_place(said));
}
