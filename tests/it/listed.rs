//! What `DEVELOPERS.md` says of the tests is all of them.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The modules of this binary as they lie in its folder.
fn modules() -> BTreeSet<String> {
    let entries = fs::read_dir(root().join("tests/it")).unwrap();
    let names = entries.map(|e| e.unwrap().file_name().into_string().unwrap());
    names.map(|n| n.trim_end_matches(".rs").to_owned()).filter(|n| n != "main").collect()
}

/// A file that no module names is not compiled, and one beside the folder is a binary of its own.
#[test]
fn every_file_is_a_module_of_the_one_binary() {
    let main = fs::read_to_string(root().join("tests/it/main.rs")).unwrap();
    let named = main.lines().filter_map(|l| l.strip_prefix("mod ")?.strip_suffix(';'));
    assert_eq!(named.map(str::to_owned).collect::<BTreeSet<_>>(), modules());
    for entry in fs::read_dir(root().join("tests")).unwrap() {
        let path = entry.unwrap().path();
        assert!(path.is_dir(), "{} would be linked by itself", path.display());
    }
}

#[test]
fn the_table_of_tests_holds_each_file_once() {
    let told = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let section = told.split("\n## Tests\n").nth(1).unwrap().split("\n## ").next().unwrap();
    let mut seen = BTreeSet::new();
    for row in section.lines().filter(|l| l.starts_with("| `")) {
        let cells: Vec<&str> = row.trim_matches('|').split(" | ").map(str::trim).collect();
        let [files, holds] = cells[..] else { panic!("not two cells: {row}") };
        assert!(!holds.is_empty(), "{row}");
        for file in files.split(", ") {
            let name = file.trim_matches('`').trim_end_matches('/').trim_end_matches(".rs");
            assert!(seen.insert(name.to_owned()), "{name} stands there twice");
        }
    }
    assert_eq!(seen, modules());
}
