//! The drive in other directions: what a check finds there, ground turned with it, the other way, files and words.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;

use backhold::case::{Case, Heading, Scatter, parse_case};
use backhold::numeric::wilson_95;
use backhold::orientation::{Line, wrap_azimuth_deg};
use backhold::study::chance::{ChanceAsk, Spread, chance};
use backhold::study::{
    Steps, TurnChance, TurnDraws, Turned, Verdict, check, directions, lacks, margin, turn, turn_counted,
};

use crate::judgement::wall_drive;
use crate::program::{backhold, ran};

/// The drive with a wedge in its right wall, five bolts a ring over back and walls.
fn drive() -> Case {
    let bolts = r#"
        [[bolt]]
        name = "rebar"
        kind = "resin"
        steel_kn = 60.0
        bond_kn_per_m = 60.0
        plate_kn = 60.0
        [[pattern]]
        bolt = "rebar"
        length_m = 2.4
        outside_hole_m = 0.1
        ring_spacing_m = 1.3
        spacing_m = 1.2
        covers = ["back", "walls"]
        lowest_collar_m = 1.0
        "#;
    parse_case(&wall_drive(1.278, 0.5, bolts), "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into()))
        .unwrap()
        .case
}

fn towards(trend_deg: f64, plunge_deg: f64) -> Heading {
    Heading { name: None, advance: Line { trend_deg, plunge_deg }, length_m: None }
}

#[test]
fn a_direction_has_what_a_check_of_the_drive_there_finds() {
    let case = drive();
    let headings = [towards(0.0, 0.0), towards(70.0, 0.0), towards(145.0, -8.0)];
    let found = turn(&case, &headings).unwrap();
    assert_eq!(found.own, Turned { heading: found.own.heading.clone(), ..found.others[0].clone() });
    for (turned, heading) in found.others.iter().zip(&headings) {
        let there = check(&Case { advance: heading.advance, ..case.clone() }).unwrap();
        assert_eq!(turned.lacks, lacks(&there));
        assert_eq!(turned.margin(), margin(&there));
        let short = there.check.wedges.iter().filter(|w| w.decided.verdict == Verdict::Short).count();
        assert_eq!(turned.short, short);
        let heaviest = there.check.wedges.iter().filter(|w| w.decided.criterion_fs.is_some());
        let heaviest = heaviest.map(|w| w.wedge.weight_kn).fold(0.0, f64::max);
        assert_eq!(turned.heaviest.as_ref().map_or(0.0, |h| h.weight_kn), heaviest);
    }
    // The best stands first, and what holds everything stands before what does not.
    let order: Vec<&Turned> = found.ranked().into_iter().map(|at| &found.others[at]).collect();
    for pair in order.windows(2) {
        let held = |t: &Turned| t.verdict() == Verdict::Held;
        assert!(held(pair[0]) >= held(pair[1]));
        assert!(held(pair[0]) != held(pair[1]) || pair[0].margin() >= pair[1].margin());
    }
}

/// Ground that turns with the drive is the same ground: every direction stands as before, by so much further round.
#[test]
fn ground_that_turns_with_the_drive_changes_nothing() {
    let case = drive();
    let turned_by = |by_deg: f64| {
        let mut turned = case.clone();
        let around = |azimuth_deg: &mut f64| *azimuth_deg = wrap_azimuth_deg(*azimuth_deg + by_deg);
        around(&mut turned.advance.trend_deg);
        turned.joints.iter_mut().for_each(|joint| around(&mut joint.plane.dip_direction_deg));
        turn(&turned, &directions(90.0, &[0.0])).unwrap()
    };
    let (before, after) = (turned_by(0.0), turned_by(90.0));
    let pairs = before.others.iter().zip(after.others.iter().cycle().skip(1));
    for (a, b) in pairs.chain([(&before.own, &after.own)]) {
        assert_eq!((a.verdict(), a.short, a.moving), (b.verdict(), b.short, b.moving));
        let same = |a: f64, b: f64| a == b || (a - b).abs() <= 1e-9 * a.abs();
        assert!(same(a.margin(), b.margin()), "{} {}", a.margin(), b.margin());
        let weight = |t: &Turned| t.heaviest.as_ref().map_or(0.0, |h| h.weight_kn);
        assert!(same(weight(a), weight(b)));
        let kpa = |t: &Turned| t.pressure.as_ref().map_or(0.0, |p| p.kpa);
        assert!(same(kpa(a), kpa(b)));
    }
}

/// A level drive under bolts that are the same on both sides, walked the other way, meets the same wedges.
#[test]
fn the_other_way_the_same_wedges_ask_the_same() {
    let case = drive();
    let found = turn(&case, &directions(45.0, &[0.0])).unwrap();
    for (one, other) in found.others[..4].iter().zip(&found.others[4..]) {
        assert_eq!((one.verdict(), one.short, one.moving), (other.verdict(), other.short, other.moving));
        let (a, b) = (one.heaviest.as_ref().unwrap(), other.heaviest.as_ref().unwrap());
        assert!((a.weight_kn - b.weight_kn).abs() <= 1e-9 * a.weight_kn);
        // The least over pieces is known to 0.1 %.
        assert!((one.margin() - other.margin()).abs() <= 2e-3 * one.margin(), "{one:?} {other:?}");
    }
}

#[test]
fn what_is_known_by_chainage_is_left_out_and_said() {
    let text = fs::read_to_string("samples/structures.toml").unwrap();
    let read = backhold::case::read_case(std::path::Path::new("samples/structures.toml")).unwrap();
    assert!(text.contains("[[structure]]"));
    let found = turn(&read.case, &[]).unwrap();
    assert!(found.others.is_empty() && found.left_out.contains(&"mapped structures"), "{:?}", found.left_out);
    let mut sets_alone = read.case.clone();
    sets_alone.joints.retain(|j| j.kind == backhold::case::JointKind::Set);
    sets_alone.local.clear();
    sets_alone.site = backhold::case::Site::default();
    let alone = turn(&sets_alone, &[]).unwrap();
    assert_eq!(found.own, alone.own);
    assert!(alone.left_out.is_empty());
}

#[test]
fn a_mine_plan_is_ranked_and_made_again() {
    let run = ran(&["turn", "samples/mine_plan.toml"]);
    let table = run.text("turn.csv");
    assert_eq!(table.lines().count(), 7, "{table}");
    // The haulage that is driven now is held, the two crosscuts are, the rest of the plan asks for more.
    assert!(
        run.stdout.starts_with("Driven towards 230 as it lies, everything that is asked is held."),
        "{}",
        run.stdout
    );
    assert!(run.stdout.contains("3 of 5 headings hold"), "{}", run.stdout);
    let rank_of = |name: &str| table.lines().position(|line| line.split(',').nth(1) == Some(name));
    for name in ["haulage west", "crosscut 3", "crosscut 4", "footwall drive", "ramp"] {
        assert!(rank_of(name).is_some(), "{name}: {table}");
    }
    let words = run.stdout.split("\n\n").next().unwrap().split_whitespace().count();
    assert!((1..=60).contains(&words), "{words}: {}", run.stdout);
    assert!(run.text("turn.html").contains("crosscut 4") && run.text("plots/margin.svg").contains("ramp"));
    // The heading that the drive lies in is the drive.
    let row = |at: usize| -> Vec<&str> { table.lines().nth(at).unwrap().split(',').collect() };
    let west = row(rank_of("haulage west").unwrap());
    assert_eq!(row(1)[5..], west[5..]);

    let folder = tempfile::tempdir().unwrap();
    run.lay_into(folder.path());
    let summary = folder.path().join("summary.json");
    let again = backhold().args(["turn", "--again"]).arg(&summary).assert().success();
    let said = String::from_utf8_lossy(&again.get_output().stdout).into_owned();
    assert!(said.contains("turn.csv"), "{said}");
    // With --strict the status says whether every heading and the drive hold.
    let all_held = table.lines().skip(1).all(|line| line.contains(",held,"));
    let out = folder.path().join("strict");
    let status = backhold().args(["turn", "samples/mine_plan.toml", "--strict", "--out"]).arg(&out).assert();
    status.code(i32::from(!all_held));
}

#[test]
fn switches_that_ask_for_nothing_are_named_together() {
    let folder = tempfile::tempdir().unwrap();
    let wrong = [
        "turn",
        "samples/mine_plan.toml",
        "--step-deg",
        "0",
        "--plunge-deg",
        "91",
        "--plunge-deg",
        "91",
        "--draws",
        "0",
    ];
    let run = backhold().args(wrong).arg("--out").arg(folder.path().join("o")).assert().code(2);
    let said = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
    assert_eq!(said.matches("--plunge-deg 91").count(), 3, "{said}");
    assert!(said.contains("--step-deg 0: 1 to 90 degrees"), "{said}");
    assert!(said.contains("--draws 0: 1 to 10000000"), "{said}");
    let wrong = ["turn", "samples/haulage.toml", "--draws", "5", "--judged", "6"];
    let run = backhold().args(wrong).arg("--out").arg(folder.path().join("o")).assert().code(2);
    let said = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
    assert!(said.contains("--judged 6: 1 to 5, the draws of each direction"), "{said}");
}

/// What scatters is drawn in every direction as the chances of the case there draw it, on any number of threads.
#[test]
fn chances_of_a_direction_are_those_of_the_case_there() {
    let mut case = drive();
    case.joints.iter_mut().for_each(|joint| joint.fisher_k = Some(30.0));
    let scatter = Scatter::default();
    let draws = TurnDraws { scatter: &scatter, draws: 400, seed: 6, judged: 3 };
    let headings = [towards(0.0, 0.0), towards(70.0, 0.0), towards(145.0, -8.0)];
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| turn_counted(&case, &headings, Some(&draws), &Steps::default()).unwrap())
    };
    let found = on(1);
    assert_eq!(found, on(2));
    assert_eq!(found, on(8));
    let ask = ChanceAsk { from: 0, to: 400, seed: 6, spread: Spread::Plain, half_width: None, judged: 3 };
    let mut seen = Vec::new();
    for (turned, heading) in found.others.iter().zip(&headings) {
        let there = Case { advance: heading.advance, ..case.clone() };
        let drawn = chance(&there, &scatter, &ask, &Steps::default()).unwrap();
        let short = drawn.tally.places[0].short;
        let judged_short = drawn.judged.iter().filter(|draw| !draw.short.is_empty()).count() as u64;
        let wanted = TurnChance {
            draws: 400,
            short_bare: short.bare,
            short_bolted: Some(short.bolted),
            judged: Some((3, judged_short)),
        };
        assert_eq!(turned.chance, Some(wanted));
        seen.push(short.bolted);
    }
    assert!(seen.iter().any(|s| *s > 0) && seen.iter().any(|s| *s != seen[0]), "{seen:?}");
    // All else is as it is without them.
    let without = turn(&case, &headings).unwrap();
    assert!(without.others.iter().all(|t| t.chance.is_none()));
    for (a, b) in without.others.iter().zip(&found.others) {
        assert_eq!(a, &Turned { chance: None, ..b.clone() });
    }
}

#[test]
fn chances_stand_in_table_chart_and_sentence_and_are_made_again() {
    let run =
        ran(&["turn", "samples/scattered_haulage.toml", "--step-deg", "90", "--draws", "300", "--seed", "2"]);
    let mut table = csv::Reader::from_reader(run.text("turn.csv").as_bytes());
    let rows: Vec<std::collections::BTreeMap<String, String>> =
        table.deserialize().map(|r| r.unwrap()).collect();
    assert_eq!(rows.len(), 5);
    for row in &rows {
        let number = |key: &str| row[key].parse::<f64>().unwrap();
        assert_eq!(number("draws"), 300.0);
        for of in ["bare", "bolted"] {
            let [low, high] = wilson_95(number(&format!("short_{of}")) as u64, 300);
            let chance = format!("chance_short_{of}");
            assert!((number(&chance) - number(&format!("short_{of}")) / 300.0).abs() < 1e-12);
            assert_eq!((number(&format!("{chance}_low")), number(&format!("{chance}_high"))), (low, high));
        }
    }
    let answer = run.stdout.split("\n\n").next().unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(answer.contains(" % of 300 draws are short with the bolts as drawn, least towards "), "{answer}");
    assert!(answer.split_whitespace().count() <= 60, "{answer}");
    assert!(run.text("plots/chance.svg").contains("of draws have a wedge short"));
    assert!(run.stdout.lines().all(|l| l.chars().count() <= 100), "{}", run.stdout);
    assert!(!run.text("turn.csv").contains("judged_draws"));
    let folder = tempfile::tempdir().unwrap();
    run.lay_into(folder.path());
    let again =
        backhold().args(["turn", "--again"]).arg(folder.path().join("summary.json")).assert().success();
    assert!(String::from_utf8_lossy(&again.get_output().stdout).contains("Reproduced byte for byte"));
    // Judged, that is what counts, and it is made again too.
    let asked = ["--step-deg", "90", "--draws", "300", "--seed", "2", "--judged", "2"];
    let judged = ran(&[&["turn", "samples/scattered_haulage.toml"][..], &asked].concat());
    let mut table = csv::Reader::from_reader(judged.text("turn.csv").as_bytes());
    for row in table.deserialize::<std::collections::BTreeMap<String, String>>().map(|r| r.unwrap()) {
        let number = |key: &str| row[key].parse::<f64>().unwrap();
        assert_eq!((number("draws"), number("judged_draws")), (300.0, 2.0));
        let [low, high] = wilson_95(number("judged_short") as u64, 2);
        assert_eq!(number("chance_judged_short"), number("judged_short") / 2.0);
        let interval = (number("chance_judged_short_low"), number("chance_judged_short_high"));
        assert_eq!(interval, (low, high));
    }
    assert!(judged.stdout.contains("of 2 draws are short as a check judges"), "{}", judged.stdout);
    assert!(judged.stdout.lines().all(|l| l.chars().count() <= 100), "{}", judged.stdout);
    judged.lay_into(folder.path());
    let again =
        backhold().args(["turn", "--again"]).arg(folder.path().join("summary.json")).assert().success();
    assert!(String::from_utf8_lossy(&again.get_output().stdout).contains("Reproduced byte for byte"));
    // Without draws there is none of it.
    assert!(!ran(&["turn", "samples/mine_plan.toml"]).text("turn.csv").contains("draws"));
}
