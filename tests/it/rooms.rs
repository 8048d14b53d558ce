//! The order of the rooms: no source file names a room that stands below its own.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // helpers of tests are tests

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// From top to bottom. A room knows the rooms above it.
const ORDER: [&str; 15] = [
    "numeric",
    "input",
    "orientation",
    "opening",
    "stress",
    "wedge",
    "strength",
    "stability",
    "support",
    "survey",
    "case",
    "study",
    "report",
    "cli",
    "guide",
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn place(room: &str) -> usize {
    ORDER.iter().position(|r| *r == room).unwrap_or_else(|| panic!("src/{room} has no place in the order"))
}

fn sources(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, into);
        } else if path.extension().is_some_and(|e| e == "rs") {
            into.push(path);
        }
    }
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// Where a quoted text that opens at `start` ends: plain and raw strings, characters; `None` where
/// none opens (a lifetime is not one).
fn quoted_end(code: &[char], start: usize) -> Option<usize> {
    let at = |i: usize| code.get(i).copied().unwrap_or('\0');
    if at(start) == 'r' && (start == 0 || !is_word(at(start - 1)) || at(start - 1) == 'b') {
        let hashes = code[start + 1..].iter().take_while(|c| **c == '#').count();
        if at(start + 1 + hashes) == '"' {
            let closing: String = std::iter::once('"').chain(std::iter::repeat_n('#', hashes)).collect();
            let body = start + 2 + hashes;
            let rest: String = code[body..].iter().collect();
            let length = rest[..rest.find(&closing).expect("a raw string ends")].chars().count();
            return Some(body + length + closing.len());
        }
    }
    let quote = at(start);
    let is_character = quote == '\'' && (at(start + 1) == '\\' || at(start + 2) == '\'');
    if quote != '"' && !is_character {
        return None;
    }
    let mut i = start + 1;
    while at(i) != quote {
        i += if at(i) == '\\' { 2 } else { 1 };
        assert!(i < code.len(), "a quoted text ends");
    }
    Some(i + 1)
}

/// The code without comments and without what stands in quotes.
fn bare_code(text: &str) -> String {
    let code: Vec<char> = text.chars().collect();
    let (mut out, mut i) = (String::new(), 0);
    while i < code.len() {
        let two = (code[i], code.get(i + 1).copied().unwrap_or('\0'));
        if two == ('/', '/') {
            i += code[i..].iter().take_while(|c| **c != '\n').count();
        } else if two == ('/', '*') {
            let mut depth = 0;
            loop {
                match (code[i], code[i + 1]) {
                    ('/', '*') => (depth, i) = (depth + 1, i + 2),
                    ('*', '/') => (depth, i) = (depth - 1, i + 2),
                    _ => i += 1,
                }
                if depth == 0 {
                    break;
                }
            }
        } else if let Some(end) = quoted_end(&code, i) {
            out.push_str("\"\"");
            i = end;
        } else {
            out.push(code[i]);
            i += 1;
        }
    }
    out
}

/// Splits off the code for tests: what is left, and the names of modules in files of their own that
/// are for tests alone.
fn without_tests(code: &str) -> (String, Vec<String>) {
    const MARK: &str = "#[cfg(test)]";
    let (mut left, mut files, mut rest) = (String::new(), Vec::new(), code);
    while let Some(at) = rest.find(MARK) {
        left.push_str(&rest[..at]);
        rest = &rest[at + MARK.len()..];
        // The item ends with its block, or with a semicolon outside of all brackets.
        let mut depth = 0;
        let end = rest.char_indices().find_map(|(i, c)| {
            match c {
                '{' | '(' | '[' => depth += 1,
                '}' | ')' | ']' => depth -= 1,
                _ => {}
            }
            (depth == 0 && (c == '}' || c == ';')).then_some(i + 1)
        });
        let item = &rest[..end.expect("an item for tests ends")];
        if let Some(name) = item.trim().strip_prefix("mod ").and_then(|m| m.strip_suffix(';')) {
            files.push(name.to_owned());
        }
        rest = &rest[item.len()..];
    }
    left.push_str(rest);
    (left, files)
}

/// The names that directly follow the root in every path that begins there, whether `crate::a::b`,
/// `crate::{a::b, c}` or as many `super::` as lead to the root from a module `depth` levels down.
fn named_at_root(code: &str, depth: usize) -> BTreeSet<String> {
    let tight: String = {
        let words: Vec<&str> = code.split_whitespace().collect();
        words.join(" ").replace(" ::", "::").replace(":: ", "::").replace("{ ", "{").replace(", ", ",")
    };
    let mut found = BTreeSet::new();
    for start in ["crate::".to_owned(), "super::".repeat(depth)] {
        for (at, _) in tight.match_indices(&start) {
            let before = &tight[..at];
            if before.ends_with(is_word) || before.ends_with("super::") || start.is_empty() {
                continue;
            }
            let mut rest = &tight[at + start.len()..];
            if let Some(listed) = rest.strip_prefix('{') {
                let mut nested = 0;
                let mut begins = true;
                for (i, c) in listed.char_indices() {
                    if begins {
                        found.insert(listed[i..].chars().take_while(|c| is_word(*c)).collect());
                    }
                    begins = false;
                    match c {
                        '{' => nested += 1,
                        '}' if nested == 0 => break,
                        '}' => nested -= 1,
                        ',' => begins = nested == 0,
                        _ => {}
                    }
                }
                continue;
            }
            rest = rest.trim_start_matches("self::");
            found.insert(rest.chars().take_while(|c| is_word(*c)).collect());
        }
    }
    found
}

/// How many modules lie between the root and this file's.
fn depth_of(inside: &Path) -> usize {
    let folders = inside.components().count() - 1;
    folders + usize::from(inside.file_name().is_some_and(|n| n != "mod.rs"))
}

#[test]
fn no_room_knows_one_below_it() {
    let src = root().join("src");
    let mut paths = Vec::new();
    sources(&src, &mut paths);
    let mut for_tests = BTreeSet::new();
    let mut codes = Vec::new();
    for path in paths {
        let (code, files) = without_tests(&bare_code(&fs::read_to_string(&path).unwrap()));
        let folder = match path.file_name().and_then(|n| n.to_str()) {
            Some("mod.rs" | "lib.rs" | "main.rs") => path.parent().unwrap().to_path_buf(),
            _ => path.with_extension(""),
        };
        for name in files {
            for file in [folder.join(format!("{name}.rs")), folder.join(&name).join("mod.rs")] {
                for_tests.insert(file);
            }
        }
        codes.push((path, code));
    }
    let (mut upward, mut wrong) = (0, Vec::new());
    for (path, code) in codes.iter().filter(|(path, _)| !for_tests.contains(path)) {
        let inside = path.strip_prefix(&src).unwrap();
        let Some(room) = inside.parent().and_then(|p| p.iter().next()) else { continue };
        let room = room.to_str().unwrap();
        for name in named_at_root(code, depth_of(inside)) {
            let Some(named) = ORDER.iter().position(|r| *r == name) else {
                panic!("{}: {name} stands at the root and is no room", inside.display());
            };
            upward += usize::from(named < place(room));
            if named > place(room) {
                wrong.push(format!("{} knows {name}", inside.display()));
            }
        }
    }
    assert!(upward > 100, "only {upward} files' uses of a room were seen: the paths are read wrongly");
    assert!(wrong.is_empty(), "a room knows only the rooms above it:\n{}", wrong.join("\n"));
}

#[test]
fn the_order_is_the_one_that_developers_are_told() {
    let told = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let section = told.split("\n## Rooms\n").nth(1).unwrap().split("\n## ").next().unwrap();
    let rooms: Vec<&str> = section.lines().filter_map(|l| l.strip_prefix("| `")?.split('`').next()).collect();
    let there = |room: &&str| root().join("src").join(room).is_dir();
    let expected: Vec<&str> = ORDER.into_iter().filter(there).collect();
    assert_eq!(rooms, expected);
    let folders = fs::read_dir(root().join("src")).unwrap().map(|e| e.unwrap().path());
    for folder in folders.filter(|p| p.is_dir()) {
        place(folder.file_name().unwrap().to_str().unwrap());
    }
}

#[test]
fn paths_are_seen_wherever_they_stand_and_only_there() {
    let code = r##"
        //! See [`crate::cli`].
        use crate::wedge::Cone; /* crate::study /* crate::report */ crate::cli */
        pub(crate) use crate::{opening::{Section, surface}, strength, support::*};
        const SAID: &str = "crate::case \" crate::case"; // crate::case
        const RAW: &str = r#"crate::case "quoted" crate::case"#;
        fn f<'a>(x: &'a str, c: char) -> bool { c == '"' && crate :: stability :: ok(x) && c == '\'' }
        use super::super::survey::Rows;
        use super::cli::not_of_the_root;
        #[cfg(test)]
        pub fn seen() -> [u8; 2] { crate::case::seen() }
        #[cfg(test)]
        mod tests;
        #[cfg(test)]
        mod more { use crate::report; fn deep() { { crate::cli::run() } } }
        fn last() { crate::orientation::last() }
    "##;
    let (left, files) = without_tests(&bare_code(code));
    assert_eq!(files, ["tests"]);
    let found = named_at_root(&left, 2);
    let expected = ["opening", "orientation", "stability", "strength", "support", "survey", "wedge"];
    assert_eq!(found.into_iter().collect::<Vec<_>>(), expected);
    assert_eq!(depth_of(Path::new("wedge/mod.rs")), 1);
    assert_eq!(depth_of(Path::new("wedge/half_prism/body.rs")), 3);
}

/// The names that a room's `mod.rs` offers to users of the crate.
fn offered(code: &str) -> Vec<String> {
    let mut names = Vec::new();
    for statement in code.split("pub use ").skip(1) {
        let body = statement.split(';').next().unwrap_or_default();
        let list = body.split_once('{').map_or(body, |(_, list)| list.trim_end().trim_end_matches('}'));
        for name in list.split(',') {
            let name = name.rsplit("::").next().unwrap_or_default();
            let name = name.rsplit(" as ").next().unwrap_or_default().trim();
            if !name.is_empty() {
                names.push(name.to_owned());
            }
        }
    }
    names
}

/// Whether a word stands in a text by itself.
fn has_word(text: &str, word: &str) -> bool {
    text.split(|c: char| !(c.is_alphanumeric() || c == '_')).any(|w| w == word)
}

/// A public item is there because somebody outside its room uses it: by its name, or as a part of
/// another public item of the room that he gets or gives.
#[test]
fn every_public_item_has_a_user_outside_its_room() {
    let mut paths = Vec::new();
    for folder in ["src", "tests", "benches", "examples"] {
        sources(&root().join(folder), &mut paths);
    }
    let texts: Vec<(PathBuf, String)> = paths
        .into_iter()
        .map(|path| {
            let text = bare_code(&fs::read_to_string(&path).unwrap());
            (path, text)
        })
        .collect();
    let (mut seen, mut alone) = (0, Vec::new());
    for room in ORDER {
        let folder = root().join("src").join(room);
        let Some((_, code)) = texts.iter().find(|(path, _)| *path == folder.join("mod.rs")) else { continue };
        for name in offered(code) {
            seen += 1;
            let outside =
                texts.iter().any(|(path, text)| !path.starts_with(&folder) && has_word(text, &name));
            // A field, an argument or a result of another public item.
            let carried = || {
                texts.iter().filter(|(path, _)| path.starts_with(&folder)).any(|(_, text)| {
                    let mut lines = text.lines();
                    lines.any(|line| {
                        let line = line.trim_start();
                        let declares = ["pub struct ", "pub enum ", "pub use ", "pub const ", "pub mod "];
                        // What a variant of an enum holds has no `pub` of its own.
                        let held = [format!("({name})"), format!("<{name}>")];
                        let variant = line.ends_with(',') && held.iter().any(|h| line.contains(h));
                        let is_public = line.starts_with("pub ")
                            || line.contains(") -> ")
                            || line.contains("#[from]")
                            || variant;
                        let itself = line.starts_with(&format!("pub fn {name}"));
                        is_public
                            && !itself
                            && !declares.iter().any(|d| line.starts_with(d))
                            && has_word(line, &name)
                    })
                })
            };
            if !outside && !carried() {
                alone.push(format!("{room}::{name}"));
            }
        }
    }
    assert!(seen > 300, "only {seen} public items were seen");
    assert!(alone.is_empty(), "nobody outside their room uses them:\n{}", alone.join("\n"));
}
