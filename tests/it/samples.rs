//! Every sample reads without a note and comes out as its first lines say.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::Path;

use backhold::case::{TEMPLATE, parse_case, read_case};
use backhold::stability::Mode;
use backhold::study::{Check, Verdict, check};

use crate::program::ran;

fn run(name: &str) -> Check {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(name);
    let read = read_case(&path).unwrap_or_else(|problems| panic!("{problems}"));
    // An outline in a survey's own coordinates says where its origin went; no sample says anything else.
    let moved = read.notes.iter().filter(|n| n.to_string().contains("the origin is moved")).count();
    assert_eq!(
        (moved, read.notes.len()),
        (usize::from(name == "outline.toml"), moved),
        "{name}: {:?}",
        read.notes
    );
    assert!(read.text.lines().take(3).any(|l| l.contains("invented")), "{name} does not say it is invented");
    check(&read.case).unwrap().check
}

fn count(check: &Check, verdict: Verdict) -> usize {
    let moving = check.wedges.iter().filter(|w| w.wedge.stability.motion.mode != Mode::NoMotion);
    moving.filter(|w| w.decided.verdict == verdict).count()
}

#[test]
fn the_haulage_lacks_mesh_at_its_feet_and_is_capped_by_its_traces() {
    let check = run("haulage.toml");
    // Below the mesh the bare wall, and in the back a piece that swings out of one bolt.
    let short: Vec<&str> = check
        .wedges
        .iter()
        .filter(|w| w.decided.verdict == Verdict::Short)
        .map(|w| w.wedge.id.as_str())
        .collect();
    assert_eq!(short, ["A-B-C.101", "A-B-C.111"]);
    assert_eq!(count(&check, Verdict::Held), 2);
    assert!(check.wedges.iter().any(|w| !w.wedge.limited_by.is_empty()));
    // Bolts do it: without them some are short.
    assert!(check.wedges.iter().any(|w| w.found.fs_bare < 1.0));
}

#[test]
fn the_cross_cut_climbs_and_takes_four_sets_by_triples() {
    let check = run("crosscut_incline.toml");
    assert!(check.opening.frame.advance().plunge_deg < 0.0);
    let triples: std::collections::BTreeSet<_> = check.wedges.iter().map(|w| w.wedge.sets).collect();
    assert_eq!(triples.len(), 4);
    assert_eq!(check.layouts.len(), 2);
    // Small wedges of the flat set slip between the bolts, and no mesh is entered.
    assert!(count(&check, Verdict::NotJudged) >= 1);
    assert!(count(&check, Verdict::Held) >= 1 && count(&check, Verdict::Short) >= 1);
}

#[test]
fn the_short_drive_falls_short_and_not_everywhere() {
    let check = run("short_drive.toml");
    assert!(count(&check, Verdict::Short) >= 1 && count(&check, Verdict::NotJudged) >= 1);
    let falling = check.wedges.iter().find(|w| w.wedge.stability.motion.mode == Mode::Falling).unwrap();
    assert_eq!(falling.decided.verdict, Verdict::Short);
}

#[test]
fn the_outline_takes_its_sets_from_another_file() {
    let check = run("outline.toml");
    assert_eq!(check.opening.section.facets().len(), 10);
    // Forces hold all three at their largest; one is short at a smaller size, and for the pieces of the
    // others between the bolts nothing is entered.
    assert!(check.wedges.iter().all(|w| w.found.fs_bolted >= w.decided.criterion_fs));
    assert!(count(&check, Verdict::NotJudged) >= 1);
    let short: Vec<_> = check.wedges.iter().filter(|w| w.decided.verdict == Verdict::Short).collect();
    assert!(short.len() == 1 && short[0].wedge.id == "S1-S2-S3.111");
    assert!(check.wedges.iter().all(|w| w.wedge.id.starts_with("S1-S2-S3.")));
}

#[test]
fn the_scanned_heading_is_cut_where_it_broke_wide() {
    let check = run("scan.toml");
    let (low, high) = check.opening.section.bounds();
    // Designed 5 m wide; the axis stays where it was, so the broken side lies further out.
    assert!(high.x > 2.6 && low.x < -2.5 && high.x - low.x > 5.2);
    assert!(count(&check, Verdict::Short) >= 1 && count(&check, Verdict::NotJudged) >= 1);
}

#[test]
fn the_template_runs_as_it_is() {
    let read = parse_case(TEMPLATE, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into())).unwrap();
    assert!(read.notes.is_empty(), "{:?}", read.notes);
    let check = check(&read.case).unwrap().check;
    assert!(count(&check, Verdict::Short) + count(&check, Verdict::NotJudged) >= 1);
    // Each number that counts is marked.
    for line in TEMPLATE.lines().filter(|l| !l.starts_with('#') && l.contains('=')) {
        let number =
            line.split_once('=').is_some_and(|(_, v)| v.trim().starts_with(|c: char| c.is_ascii_digit()));
        assert!(!number || line.contains("invented"), "{line}");
    }
}

#[test]
fn the_heading_with_a_boom_takes_its_bolts_from_presets() {
    let check = run("boom_and_cables.toml");
    assert_eq!(check.layouts.len(), 2);
    // The boom leans some holes, in the plane of the ring.
    let square = |r: &backhold::support::Row| r.collar.direction.y.abs() < 1e-12;
    assert!(check.layouts[0].rows.iter().all(square));
    assert!(check.wedges.iter().filter(|w| w.found.fs_bolted >= w.decided.criterion_fs).count() >= 3);
    assert!(check.wedges.iter().any(|w| w.found.fs_dowel.is_some()));
}

/// Three drives with support that holds: each wedge by what carries all of its pieces.
#[test]
fn the_mended_drives_are_held() {
    use backhold::support::Carrier;
    for (name, wedges) in
        [("haulage_four_sets.toml", 10), ("decline_cables.toml", 11), ("ore_drive_fault.toml", 6)]
    {
        let check = run(name);
        let judged = check.wedges.iter().filter(|w| w.decided.criterion_fs.is_some());
        let judged: Vec<_> = judged.filter(|w| !w.decided.is_left_out()).collect();
        assert_eq!(judged.len(), wedges, "{name}");
        for wedge in judged {
            assert_eq!(wedge.decided.verdict, Verdict::Held, "{name} {}", wedge.wedge.id);
            assert!(!wedge.decided.held_by.is_empty(), "{name} {}", wedge.wedge.id);
        }
        // No wedge is held by mesh that the bolts hold better; some need both.
        let needs = |c: Carrier| check.wedges.iter().filter(|w| w.decided.held_by.contains(&c)).count();
        assert!(needs(Carrier::Bolts) > 0 && needs(Carrier::Screen) > 0, "{name}");
    }
}

/// What a reader sees first has to be read whole: every command's answer on every sample has at most 60 words.
#[test]
fn no_answer_is_longer_than_sixty_words() {
    const MOST_WORDS: usize = 60;
    let samples = |start: &str, end: &str| -> Vec<String> {
        let names = std::fs::read_dir("samples").unwrap().map(|e| e.unwrap().file_name());
        let names = names.map(|name| name.to_string_lossy().into_owned());
        let mut found: Vec<String> = names
            .filter(|name| name.starts_with(start) && name.ends_with(end))
            .map(|n| format!("samples/{n}"))
            .collect();
        found.sort();
        found
    };
    let mut seen = std::collections::BTreeMap::new();
    let mut look = |arguments: &[&str]| {
        let said = &ran(arguments).stdout;
        // The answer ends at the first empty line.
        let answer = said.split("\n\n").next().unwrap();
        let words = answer.split_whitespace().count();
        assert!((1..=MOST_WORDS).contains(&words), "{arguments:?}: {words} words: {answer}");
        *seen.entry(arguments[0].to_owned()).or_insert(0) += 1;
    };
    for case in samples("", ".toml") {
        let text = std::fs::read_to_string(&case).unwrap();
        let has = |header: &str| text.lines().any(|line| line.split('#').next().unwrap().trim() == header);
        if !has("[drive]") {
            continue;
        }
        look(&["check", &case]);
        look(&["plan", &case, "--length-m", "60"]);
        if has("[[option]]") {
            look(&["compare", &case]);
        }
        if text.lines().any(|line| line.starts_with("headings = ")) {
            look(&["turn", &case]);
        }
        if has("[stock]") {
            look(&["fit", &case]);
        }
    }
    for survey in samples("survey_", ".csv").iter().filter(|s| !s.ends_with("survey_lines.csv")) {
        // Angles on a core say nothing without the hole that it came from.
        if !survey.ends_with("survey_core.csv") {
            look(&["map", survey]);
        }
        look(&["map", survey, "--lines", "samples/survey_lines.csv"]);
    }
    assert!(
        ["check", "plan", "compare", "fit", "turn", "map"].iter().all(|command| seen.contains_key(*command)),
        "{seen:?}"
    );
}
