//! What the README and the guide show of a run is what the program says.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test may stop where it stands

use std::fs;
use std::path::Path;

use crate::program::{backhold, ran};

/// A line that stands for lines that are left out.
const LEFT_OUT: &str = "…";

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
    let readme = fs::read_to_string("README.md").unwrap();
    let runs = shown_runs(&readme);
    assert_eq!(
        runs.len(),
        10,
        "check, verdict, compare, chance, fit of one pattern and of several, a mine plan, a fault with bolts of its own, water, stress"
    );
    for (arguments, shown) in runs {
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        is_real(&shown, &ran(&arguments).stdout);
    }
    assert!(readme.contains("cargo run --release -- check samples/haulage.toml --out out"));
    assert!(readme.contains("\ncargo test\n"));
}

/// Where files were written is the reader's affair; all else is shown as it was said, but for what is marked as
/// left out.
fn is_real(shown: &str, said: &str) {
    let without_place = |text: &str| -> Vec<String> {
        text.trim_end().lines().filter(|l| !l.starts_with("Written to ")).map(str::to_owned).collect()
    };
    let (shown, said) = (without_place(shown), without_place(said));
    let pieces: Vec<&[String]> = shown.split(|line| line == LEFT_OUT).collect();
    let mut from = 0;
    for (at, piece) in pieces.iter().enumerate() {
        let places = from..=said.len().saturating_sub(piece.len());
        // What nothing is left out before, or behind, stands there and nowhere else.
        let fits = |place: &usize| {
            (at > 0 || *place == 0)
                && (at + 1 < pieces.len() || piece.is_empty() || place + piece.len() == said.len())
                && said[*place..].starts_with(piece)
        };
        let place = places.into_iter().find(fits);
        from = place.unwrap_or_else(|| panic!("not said:\n{}\nbut:\n{}", piece.join("\n"), said.join("\n")))
            + piece.len();
    }
}

#[test]
fn what_is_left_out_is_marked() {
    let said = "a\nb\nc\nd\n";
    for shown in ["a\nb\nc\nd\n", "a\n…\nd", "a\n…", "…\nc\nd\n", "a\n…\nc\n…\n"] {
        is_real(shown, said);
    }
    for shown in ["a\nb\nc\n", "b\n…", "…\nc", "a\nc\nd", "a\n…\nd\n…\nb\n…", "…\nx\n…"] {
        assert!(std::panic::catch_unwind(|| is_real(shown, said)).is_err(), "{shown}");
    }
}

/// A block of the guide: its language, what the comment above it says of it, its text.
fn blocks(page: &str) -> Vec<(&str, &str, &str)> {
    let mut found = Vec::new();
    let mut rest = page;
    while let Some((before, block)) = rest.split_once("\n```") {
        let (language, block) = block.split_once('\n').unwrap();
        let (text, after) = block.split_once("```").unwrap();
        let above = before.lines().last().unwrap_or_default();
        let above = above.strip_prefix("<!-- ").and_then(|l| l.strip_suffix(" -->")).unwrap_or_default();
        found.push((language, above, text));
        rest = after;
    }
    found
}

/// The words of a command line; quotes keep blanks together.
fn words(line: &str) -> Vec<String> {
    let odd = |(at, part): (usize, &str)| match at % 2 {
        0 => part.split_whitespace().map(str::to_owned).collect::<Vec<_>>(),
        _ => vec![part.to_owned()],
    };
    line.split('"').enumerate().flat_map(odd).collect()
}

/// Writes what a comment says of a block: `file: NAME` is all of it, `file, more of it: NAME` goes below what is
/// there, `file, from OTHER: NAME` below a copy of another one.
fn write_file(folder: &Path, what: &str, text: &str) {
    let (how, name) = what.strip_prefix("file").and_then(|w| w.split_once(": ")).unwrap();
    let read = |name: &str| fs::read_to_string(folder.join(name)).unwrap() + "\n";
    let above = match how {
        "" => String::new(),
        ", more of it" => read(name),
        other => read(other.strip_prefix(", from ").unwrap()),
    };
    fs::write(folder.join(name), above + text).unwrap();
}

#[test]
fn the_guide_runs_from_the_survey_to_the_bolts_as_they_were_found() {
    let page = fs::read_to_string("src/guide/first_pattern.md").unwrap();
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path();
    fs::create_dir(folder.join("samples")).unwrap();
    for entry in fs::read_dir("samples").unwrap().map(|e| e.unwrap().path()).filter(|p| p.is_file()) {
        fs::copy(&entry, folder.join("samples").join(entry.file_name().unwrap())).unwrap();
    }
    let mut runs = 0;
    for (language, above, text) in blocks(&page) {
        match language {
            "toml" => write_file(folder, above, text),
            "console" => {
                let (command, shown) = text.split_once('\n').unwrap();
                let arguments = words(command.strip_prefix("$ backhold ").unwrap());
                let run = backhold().current_dir(folder).args(&arguments).assert().success();
                let said = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
                is_real(shown, &said(&run.get_output().stdout));
                let beside = said(&run.get_output().stderr);
                assert!(!beside.contains("killed"), "{command}: {beside}");
                runs += 1;
            }
            other => panic!("a block of {other}"),
        }
    }
    assert_eq!(runs, 10);
}
