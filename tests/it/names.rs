//! The table of names and looks in `DEVELOPERS.md` says of every name where it comes from, and of none that is gone.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use crate::program::backhold;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Names by what they are, as `DEVELOPERS.md` has them.
fn told() -> BTreeMap<String, BTreeSet<String>> {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let section = text.split("\n## Names and looks\n").nth(1).unwrap().split("\n## ").next().unwrap();
    let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for row in section.lines().filter(|l| l.starts_with("| ")).skip(1) {
        let cells: Vec<&str> = row.trim_matches('|').split(" | ").map(str::trim).collect();
        let [what, names, from, _note] = cells[..] else { panic!("not four cells: {row}") };
        assert!(["trade", "standard", "own"].contains(&from), "{row}");
        if what == "symbol" {
            continue;
        }
        for name in names.split("; ") {
            let name =
                name.strip_prefix('`').and_then(|n| n.strip_suffix('`')).unwrap_or_else(|| panic!("{name}"));
            assert!(
                found.entry(what.to_owned()).or_default().insert(name.to_owned()),
                "{name} stands there twice"
            );
        }
    }
    found
}

fn sources(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, into);
        } else {
            into.push(path);
        }
    }
}

/// The code below folders of `src`, without its tests.
fn code(folders: &[&str], ending: &str) -> Vec<String> {
    let mut paths = Vec::new();
    folders.iter().for_each(|folder| sources(&root().join("src").join(folder), &mut paths));
    paths.retain(|p| p.to_string_lossy().ends_with(ending) && !p.ends_with("tests.rs"));
    let text = |p: &PathBuf| fs::read_to_string(p).unwrap().split("#[cfg(test)]").next().unwrap().to_owned();
    paths.iter().map(text).collect()
}

/// The quoted text that comes first after each of these calls.
fn first_quoted(texts: &[String], calls: &[&str]) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for text in texts {
        for call in calls {
            for after in text.split(call).skip(1) {
                if let Some(quoted) = after.trim_start().strip_prefix('"') {
                    found.insert(quoted.split('"').next().unwrap().to_owned());
                }
            }
        }
    }
    // A column may go without a heading.
    found.remove("");
    found
}

#[track_caller]
fn the_same(told: &BTreeMap<String, BTreeSet<String>>, what: &str, there: &BTreeSet<String>, least: usize) {
    assert!(there.len() >= least, "only {} of {what} were seen: the code is read wrongly", there.len());
    let told = &told[what];
    let missing: Vec<&String> = there.difference(told).collect();
    let gone: Vec<&String> = told.difference(there).collect();
    assert!(
        missing.is_empty() && gone.is_empty(),
        "the table of names in DEVELOPERS.md, {what}: say of {missing:?} where each comes from (trade, standard, own); take away {gone:?}"
    );
}

#[test]
fn every_column_and_label_stands_in_the_table() {
    let texts = code(&["report"], ".rs");
    let told = told();
    the_same(&told, "column", &first_quoted(&texts, &[".column(", ".only_shown("]), 300);
    let looks = [".on_page(", ".on_page_as(", ".on_terminal(", ".on_terminal_as("];
    the_same(&told, "label", &first_quoted(&texts, &looks), 200);
}

/// What stands over sections of pages, on axes, in legends, in the live view and in layers of drawings.
#[test]
fn every_other_word_of_pages_and_drawings_stands_in_the_table() {
    let texts = code(&["report"], ".rs");
    let told = told();
    the_same(&told, "heading", &first_quoted(&texts, &[".heading("]), 40);
    the_same(&told, "axis", &first_quoted(&texts, &["Axis::linear(", "Axis::log("]), 8);
    the_same(&told, "legend", &first_quoted(&texts, &["label: "]), 8);
    the_same(&told, "layer", &first_quoted(&texts, &["drawing.layer("]), 3);
    // Rows of the live view's list of facts: `['held by', ...`.
    let view = code(&["report/paper/page"], "view.js").concat();
    let facts = view.split("['").skip(1).filter_map(|t| t.split_once("', ")).map(|(fact, _)| fact.to_owned());
    let facts = facts.filter(|f| f.chars().all(|c| c.is_ascii_lowercase() || c == ' ')).collect();
    the_same(&told, "fact", &facts, 6);
}

#[test]
fn every_file_stands_in_the_table() {
    let is_name = |name: &&str| {
        let (stem, ending) = name.rsplit_once('.').unwrap_or(("", ""));
        ["csv", "json", "html", "glb", "stl", "dxf", "toml"].contains(&ending)
            && !stem.is_empty()
            && stem.chars().all(|c| c.is_ascii_lowercase() || "_-/".contains(c))
    };
    let texts = code(&["report", "cli"], ".rs");
    let quoted = texts.iter().flat_map(|t| t.split('"'));
    let found: BTreeSet<String> = quoted.filter(is_name).map(str::to_owned).collect();
    the_same(&told(), "file", &found, 40);
}

#[test]
fn every_command_and_option_stands_in_the_table() {
    let help = |command: Option<&str>| {
        let run = backhold().args(command).arg("--help").assert().success();
        String::from_utf8(run.get_output().stdout.clone()).unwrap()
    };
    let whole = help(None);
    let commands: BTreeSet<String> = {
        let list = whole.split("\nCommands:\n").nth(1).unwrap().split("\n\n").next().unwrap();
        // What a command does may go on below it, further in.
        let first = list
            .lines()
            .filter_map(|l| l.strip_prefix("  "))
            .filter(|l| !l.starts_with(' '))
            .filter_map(|l| l.split_whitespace().next());
        first.map(str::to_owned).filter(|c| c != "help").collect()
    };
    let told = told();
    let mut options = BTreeSet::new();
    for text in commands.iter().map(|c| help(Some(c))).chain([whole]) {
        for line in text.lines().map(str::trim_start) {
            let line =
                if line.starts_with("--") { line } else { line.split_once(", ").map_or("", |(_, l)| l) };
            if line.starts_with("--") {
                options.insert(line.split([' ', '=']).next().unwrap().to_owned());
            }
        }
    }
    the_same(&told, "option", &options, 35);
    the_same(&told, "command", &commands, 8);
}

#[test]
fn every_colour_stands_in_the_table() {
    let mut found = BTreeSet::new();
    for text in code(&["report"], ".rs") {
        for hex in text.split("from_hex(0x").skip(1) {
            found.insert(hex.split(')').next().unwrap().replace('_', ""));
        }
    }
    let styles = [code(&["report/paper/page"], ".css"), code(&["report/paper"], "html.rs")].concat();
    for text in &styles {
        for hex in text.split(":#").skip(1) {
            let digits = hex.chars().take_while(char::is_ascii_hexdigit).collect::<String>();
            if digits.len() == 3 || digits.len() == 6 {
                found.insert(digits);
            }
        }
    }
    the_same(&told(), "colour", &found, 18);
}
