//! What is said of each wedge without the rest of a check, against the check; and the command that says it. All data is
//! invented.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeSet;
use std::path::Path;

use crate::program::backhold;
use crate::random_cases::{Rng, random_whole_case};
use crate::whole_verdicts::wetted;
use backhold::case::{Case, read_case};
use backhold::stability::Shaking;
use backhold::study::{LackOf, Place, Stage, Stands, Unjudged, Verdict, check, lacks, margin, verdicts};

/// Two brackets of 0.1 %.
const BRACKETS: f64 = 2.5e-3;
/// Rounding of one search beside another.
const ROUNDING: f64 = 1e-9;

/// What was compared.
#[derive(Debug, Default)]
struct Seen {
    wedges: usize,
    held: usize,
    short: usize,
    unjudged: usize,
    bounded: usize,
    at_stages: usize,
    holding: usize,
}

fn compare(name: &str, case: &Case, seen: &mut Seen) {
    let (told, whole) = (verdicts(case).unwrap(), check(case).unwrap());
    let ids = |all: &mut dyn Iterator<Item = &str>| all.map(str::to_owned).collect::<Vec<String>>();
    assert_eq!(
        ids(&mut told.every().map(|w| w.wedge.id.as_str())),
        ids(&mut whole.check.every().map(|w| w.wedge.id.as_str())),
        "{name}"
    );
    let mut is_open = false;
    for (said, found) in told.every().zip(whole.check.every()) {
        seen.wedges += 1;
        let id = &said.wedge.id;
        assert_eq!(said.verdict, found.decided.verdict, "{name} {id}: {said:?} {:?}", found.decided);
        assert_eq!(said.unjudged, found.decided.unjudged, "{name} {id}");
        assert_eq!(said.asked_fs, found.decided.criterion_fs, "{name} {id}");
        assert_eq!(said.counts(), found.decided.counts(), "{name} {id}");
        is_open |= said.unjudged == Some(Unjudged::Open);
        match said.verdict {
            Verdict::Held => seen.held += 1,
            Verdict::Short => seen.short += 1,
            Verdict::NotJudged => seen.unjudged += 1,
        }
        let Stands { fs_between: Some((low, high)), asked_fs: Some(asked_fs), .. } = said else { continue };
        let (low, high, asked_fs) = (*low, *high, *asked_fs);
        assert!(said.verdict != Verdict::Short || high < asked_fs, "{name} {id}: {said:?}");
        assert!(said.verdict != Verdict::Held || low >= asked_fs * (1.0 - BRACKETS), "{name} {id}: {said:?}");
        seen.bounded += usize::from(low < high);
        // Of what is for the bar alone a check tells no factor either.
        assert!(found.decided.fs.is_some() || said.verdict != Verdict::Held, "{name} {id}: {said:?}");
        if let Some(fs) = found.decided.fs {
            assert!(low <= fs * (1.0 + BRACKETS), "{name} {id}: {said:?} {fs}");
        }
        if let Some(least) = found.least_piece() {
            // What was found is a piece: no bracket of the check is above it.
            assert!(least.fs_at_least <= high * (1.0 + ROUNDING), "{name} {id}: {said:?} {least:?}");
        }
    }
    let stages = |lacks: &[backhold::study::Lack]| -> BTreeSet<(String, String)> {
        // What stands in the whole pattern the wedges say themselves.
        let beside = |of: LackOf| of != LackOf::Stage(Stage::WholePattern, Place::InPattern);
        // What is not judged there is not judged in the pattern either.
        let is_short = |l: &backhold::study::Lack| {
            let mut rows = whole.stages.rows.iter().filter(|r| r.verdict == Verdict::Short);
            rows.any(|r| r.wedge == l.wedge && LackOf::Stage(r.stage, r.place) == l.of)
        };
        let at_a_stage =
            lacks.iter().filter(|l| matches!(l.of, LackOf::Stage(..)) && beside(l.of) && is_short(l));
        at_a_stage.map(|l| (l.of.words(), l.wedge.clone())).collect()
    };
    let all = lacks(&whole);
    seen.at_stages += told.at_stages.len();
    seen.holding += usize::from(told.holds_everything);
    assert_eq!(stages(&told.at_stages), stages(&all), "{name}");
    assert_eq!(told.holds_everything, all.is_empty(), "{name}: {all:?}");
    // Where a search ends open what is told is the least found, and one may find what another does not.
    let (said, found) = (told.margin, margin(&whole));
    let near = said == found || (said - found).abs() <= BRACKETS * found.abs();
    let narrow = whole
        .check
        .wedges
        .iter()
        .all(|w| w.least_piece().is_none_or(|least| least.fs_at_least >= least.fs * (1.0 - BRACKETS)));
    assert!(near || is_open || !narrow, "{name}: {said} {found}");
    // The one with the least factor is searched to the end, and no other has less.
    let ratio =
        |w: &Stands| w.fs_between.zip(w.asked_fs).map(|((low, high), asked)| (low / asked, high / asked));
    let short = || told.wedges.iter().filter(|w| w.verdict == Verdict::Short && w.counts()).filter_map(ratio);
    let known = short().filter(|(low, high)| low == high).map(|(_, high)| high).fold(f64::INFINITY, f64::min);
    let of_check =
        whole.check.wedges.iter().filter(|w| w.decided.verdict == Verdict::Short && w.decided.counts());
    let least = of_check.map(|w| w.decided.margin()).fold(f64::INFINITY, f64::min);
    assert!(
        (known - least).abs() <= BRACKETS * least || known == least || !narrow,
        "{name}: {known} {least}"
    );
}

#[test]
fn samples_stand_as_their_checks_say() {
    let mut seen = Seen::default();
    for name in [
        "haulage",
        "crosscut_incline",
        "decline_cables",
        "structures",
        "bolted_face",
        "wet_drive",
        "shaken_drive",
    ] {
        let read = read_case(Path::new(&format!("samples/{name}.toml"))).unwrap();
        compare(name, &read.case, &mut seen);
    }
    println!("{seen:?}");
    assert!(seen.held > 20 && seen.short > 5 && seen.unjudged > 5 && seen.bounded > 10 && seen.at_stages > 3);
}

/// Any drive with any support, at rest, shaken and wet.
#[test]
fn random_cases_stand_as_their_checks_say() {
    let count = std::env::var("STANDING_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(24);
    let mut seen = Seen::default();
    let (mut number, mut cases) = (0, 0);
    while cases < count {
        let mut rng = Rng::new(0x57a4_d000 ^ number as u64);
        if let Some(mut case) = random_whole_case(&mut rng, number) {
            match number % 4 {
                1 => {
                    let shaking = |horizontal| Shaking {
                        horizontal,
                        vertical: 0.0,
                        trend_deg: None,
                        velocity: None,
                        source: None,
                    };
                    case.site.shaking = Some(shaking(rng.between(0.05, 0.3)));
                }
                2 => wetted(number / 4 % 4, &mut rng, &mut case),
                _ => {}
            }
            compare(&format!("case {number}"), &case, &mut seen);
            cases += 1;
        }
        number += 1;
    }
    println!("{seen:?}");
    assert!(seen.held > 2 * count && seen.short > count / 2 && seen.bounded > count, "{seen:?}");
}

#[test]
fn the_command_says_it_and_writes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    for file in ["haulage.toml", "as_built.toml", "as_built_bolts.csv"] {
        std::fs::copy(format!("samples/{file}"), folder.path().join(file)).unwrap();
    }
    let names = || -> BTreeSet<_> {
        std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect()
    };
    let before = names();
    let run = |arguments: &[&str], status: i32| {
        let output =
            backhold().current_dir(folder.path()).args(arguments).assert().code(status).get_output().clone();
        // Told without breaks of lines.
        let words = |bytes: Vec<u8>| {
            String::from_utf8(bytes).unwrap().split_whitespace().collect::<Vec<_>>().join(" ")
        };
        (words(output.stdout), words(output.stderr))
    };
    let (said, _) = run(&["verdict", "haulage.toml"], 0);
    assert!(said.starts_with("Not good enough: 2 of 4 wedges that can move are short."), "{said}");
    assert!(
        said.contains("below 2.00") && said.contains("or more") && said.contains("young resin"),
        "{said}"
    );
    assert!(said.contains("Not looked at") && said.contains("competent person"), "{said}");
    assert_eq!(run(&["verdict", "haulage.toml", "--strict"], 1).0, said);
    let (said, _) = run(&["verdict", "as_built.toml"], 0);
    assert!(said.contains("the stretch as built"), "{said}");
    let (_, refused) = run(&["verdict", "as_built.toml", "--strict"], 2);
    assert!(refused.contains("check --strict"), "{refused}");
    let (_, refused) = run(&["verdict", "."], 2);
    assert!(refused.contains("takes one case"), "{refused}");
    let (_, refused) = run(&["verdict", "haulage.toml", "--option", "none such"], 2);
    assert!(refused.contains("none such"), "{refused}");
    let (_, refused) = run(&["verdict", "haulage.toml", "--out", "x"], 2);
    assert!(refused.contains("writes nothing") && refused.contains("check"), "{refused}");
    assert_eq!(names(), before);
}
