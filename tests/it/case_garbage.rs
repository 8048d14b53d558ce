//! Nothing that is typed into a case file makes the reader panic, or keeps it busy.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::io;
use std::time::{Duration, Instant};

use backhold::case::{LARGEST_FILE_BYTES, LISTED_PROBLEMS, TEMPLATE, parse_case};
use backhold::study::forces_alone;
use proptest::prelude::*;

/// Reads a text, and checks the case where there is one: whatever is taken can be worked with.
fn read(text: &str) {
    match parse_case(text, "case.toml", &|_| Ok(text.to_owned())) {
        Ok(read) => assert!(forces_alone(&read.case).is_ok(), "{text}"),
        Err(problems) => {
            assert!(!problems.list().is_empty());
            for p in problems.list() {
                assert!(p.to_string().lines().count() <= 3 || p.paste.is_some(), "{p}");
                assert!(p.line.is_none_or(|l| l <= text.lines().count().max(1)), "{p}\n{text}");
            }
        }
    }
}

const PIECES: &[&str] = &[
    "=",
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "\"",
    "'",
    ",",
    ".",
    "#",
    "\n",
    "\u{0}",
    "\u{feff}",
    "nan",
    "-inf",
    "1e308",
    "-0.0",
    "5e-324",
    "9223372036854775808",
    "0x7f",
    "1979-05-27",
    "true",
    "[[pattern]]",
    "[drive]",
    "[[joint_set]]",
    "\"\"\"",
    "joint_sets = \"x\"\n",
    "\"outline\"",
    "file = \"x\"",
    "\"face\"",
    "\"vertical\"",
    "é",
    "\\u0000",
    "90",
    "360.0",
    "0",
    "100",
    "0.1",
    "{ fan_origin_u_m = 0, fan_origin_v_m = 4.8 }",
    "\"mechanical\"",
    "\"circular\"",
    "diameter_m = 0.1",
];

fn piece() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => (0..PIECES.len()).prop_map(|i| PIECES[i].to_owned()),
        2 => any::<f64>().prop_map(|x| format!("{x:?}")),
        1 => "\\PC{0,8}",
    ]
}

/// Where to cut, how much to take out, what to put in.
fn edits() -> impl Strategy<Value = Vec<(prop::sample::Index, usize, String)>> {
    prop::collection::vec((any::<prop::sample::Index>(), 0usize..12, piece()), 1..6)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        read(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn toml_like_words(words in prop::collection::vec(piece(), 0..60)) {
        read(&words.concat());
    }

    #[test]
    fn the_template_with_pieces_changed(edits in edits()) {
        let mut text: Vec<char> = TEMPLATE.chars().collect();
        for (at, take, put) in edits {
            let start = at.index(text.len() + 1);
            let end = (start + take).min(text.len());
            text.splice(start..end, put.chars());
        }
        read(&text.into_iter().collect::<String>());
    }

    #[test]
    fn the_template_with_one_value_changed(line in 0usize..80, value in piece()) {
        let text: Vec<String> = TEMPLATE
            .lines()
            .enumerate()
            .map(|(i, l)| match l.split_once(" = ") {
                Some((key, _)) if i == line => format!("{} = {value}", key.trim_start_matches("# ")),
                _ => l.to_owned(),
            })
            .collect();
        read(&text.join("\n"));
    }
}

#[test]
fn garbage_of_the_largest_size_is_refused_in_bounded_time() {
    let shapes = [
        "=[{\"x",
        "a.a.a.a.",
        "[[a]]\n",
        "\n\"",
        "[",
        "{",
        "a=[1,",
        "[a.b]\n",
        "x=1\n",
        "[[joint_set]]\n",
        "[[pattern]]\n",
        "a = [[[[[[[[",
        "{a={a={",
        "[[bolt]]\nname='b'\n",
        "é",
        "\u{0}",
    ];
    for shape in shapes {
        let text = shape.repeat(LARGEST_FILE_BYTES / shape.len());
        let start = Instant::now();
        let problems = parse_case(&text, "case.toml", &|_| Err(io::ErrorKind::NotFound.into())).unwrap_err();
        assert!(problems.list().len() <= LISTED_PROBLEMS);
        // Seconds where a thousandth of them is usual: this is about loops that do not end.
        assert!(start.elapsed() < Duration::from_secs(20), "{shape:?} took {:?}", start.elapsed());
        println!(
            "{shape:?}: {} problems and {} more, {:?}",
            problems.list().len(),
            problems.unlisted(),
            start.elapsed()
        );
    }
    let long = format!("{} = 1\ntitle = \"{}\"", "k".repeat(400_000), "t".repeat(400_000));
    let problems = parse_case(&long, "case.toml", &|_| Err(io::ErrorKind::NotFound.into())).unwrap_err();
    assert!(problems.list().iter().all(|p| p.to_string().len() < 2000));
}
