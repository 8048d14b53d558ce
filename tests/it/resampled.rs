//! Orientations drawn from a set's own readings: how often each, against a check of each and Fisher's law, a mapping
//! taken in, what is refused.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::f64::consts::TAU;
use std::fs;

use backhold::case::{InPlace, ReadCase, Resampled, Scatter, parse_case, rewritten};
use backhold::input::Problems;
use backhold::numeric::wilson_95;
use backhold::orientation::{Plane, across};
use backhold::stability::Mode;
use backhold::study::chance::{ChanceAsk, Spread, chance, drawn_planes, drawn_wedges, pyramid_id};
use backhold::study::{Steps, forces_alone};

use crate::program::{backhold, files, ran};

const SAMPLE: &str = "samples/scattered_haulage.toml";
const FRICTION_OF_A: &str = "friction_deg = { mean = 32.0, sd = 3.0 }";

fn asked(draws: u64) -> ChanceAsk {
    ChanceAsk { from: 0, to: draws, seed: 4, spread: Spread::Plain, half_width: None, judged: 0 }
}

/// The sample with these keys in its set A, and this text as readings.csv.
fn with_readings(keys: &str, readings: &str) -> Result<ReadCase, Problems> {
    let text = fs::read_to_string(SAMPLE).unwrap();
    let text = text.replacen(FRICTION_OF_A, &format!("{keys}\n{FRICTION_OF_A}"), 1);
    parse_case(&text, "case.toml", &|name| match name {
        "readings.csv" => Ok(readings.to_owned()),
        _ => Err(std::io::ErrorKind::NotFound.into()),
    })
}

const KEYS: &str = "orientation = { readings = \"readings.csv\" }";

/// Readings 4° apart about the plane of A, 68/042, as a mapping writes them.
const TWO: &str = "line_number,class,set,membership,weight,dip_deg,dip_direction_deg,Set\n\
    2,set,A,1,1,66,42,first\n3,unassigned,,,1,5,100,\n4,set,B,1,1,,300,\n5,set,A,1,1,70,42,second\n";

/// The case of which nothing but the orientation of A scatters.
fn alone(read: &ReadCase) -> (backhold::Case, Scatter) {
    let mut case = read.case.clone();
    case.joints.iter_mut().for_each(|j| j.fisher_k = None);
    case.installation.ineffective_share = None;
    (case, Scatter { resampled: read.scatter.resampled.clone(), ..Scatter::default() })
}

#[test]
fn of_two_readings_each_is_drawn_as_often_and_is_its_own_check() {
    let read = with_readings(KEYS, TWO).unwrap();
    let (case, scatter) = alone(&read);
    let draws = 2000;
    let planes = drawn_planes(&case, &scatter, &asked(draws), draws).unwrap();
    let steep = planes.iter().filter(|p| (p[0].dip_deg - 70.0).abs() < 1e-9).count() as u64;
    let flat = planes.iter().filter(|p| (p[0].dip_deg - 66.0).abs() < 1e-9).count() as u64;
    assert_eq!(steep + flat, draws);
    // Four standard errors of a half.
    assert!((steep as f64 / draws as f64 - 0.5).abs() < 4.0 * 0.5 / (draws as f64).sqrt(), "{steep}");
    // Latin hypercube sampling parts a lot evenly.
    let even = ChanceAsk { spread: Spread::LatinHypercube, ..asked(1000) };
    let planes = drawn_planes(&case, &scatter, &even, 1000).unwrap();
    assert_eq!(planes.iter().filter(|p| p[0].dip_deg > 68.0).count(), 500);
    // Every pyramid moves, is as large and is short as often as the checks of the two cases say.
    let tally = chance(&case, &scatter, &asked(draws), &Steps::default()).unwrap().tally;
    let checks = [(66.0, flat), (70.0, steep)].map(|(dip_deg, times)| {
        let mut own = case.clone();
        own.joints[0].plane = Plane { dip_deg, dip_direction_deg: 42.0 };
        (forces_alone(&own).unwrap(), times)
    });
    let mut compared = 0;
    for (at, of) in tally.pyramids.iter().enumerate() {
        let id = pyramid_id(&case, at);
        let (mut moves, mut short, mut volume_m3) = (0, 0, 0.0);
        for (check, times) in &checks {
            let Some(wedge) = check.wedges.iter().find(|w| w.wedge.id == id) else { continue };
            if wedge.wedge.stability.motion.mode != Mode::NoMotion {
                moves += times;
                volume_m3 += *times as f64 * wedge.wedge.shape.volume_m3;
                let asked_fs = wedge.decided.criterion_fs.unwrap();
                short += if wedge.found.fs_bolted.unwrap() < asked_fs { *times } else { 0 };
                compared += 1;
            }
        }
        assert_eq!((of.moves, of.short.bolted), (moves, short), "{id}");
        // Volumes are counted in whole cubic centimetres.
        assert!((of.volume_cm3 as f64 * 1e-6 - volume_m3).abs() <= 1e-6 * moves as f64 + 1e-9, "{id}");
    }
    assert!(compared >= 6, "{compared}");
}

#[test]
fn one_reading_is_the_check() {
    let one = "set,dip_deg,dip_direction_deg\nA,68,42\n";
    let read = with_readings("orientation = { readings = \"readings.csv\", set = \"A\" }", one).unwrap();
    let (case, scatter) = alone(&read);
    let check = forces_alone(&case).unwrap();
    let moving: Vec<_> =
        check.wedges.iter().filter(|w| w.wedge.stability.motion.mode != Mode::NoMotion).collect();
    for index in [0, 7] {
        let drawn = drawn_wedges(&case, &scatter, &asked(10), index, false).unwrap();
        assert_eq!(drawn.len(), moving.len());
        for (a, b) in drawn.iter().zip(&moving) {
            let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * b.abs();
            assert!(near(a.volume_m3, b.wedge.shape.volume_m3), "{}", b.wedge.id);
            assert!(
                near(a.fs_bare, b.found.fs_bare) && near(a.fs_bolted.unwrap(), b.found.fs_bolted.unwrap())
            );
        }
    }
}

/// Readings that stand evenly over Fisher's law say what the law says: of each count of short draws the difference
/// lies within what so many draws of either leave open.
#[test]
fn readings_of_fishers_law_are_fishers_law() {
    let k = 60.0;
    let mut read = with_readings("", "").unwrap();
    read.case.joints[1].fisher_k = None;
    read.case.joints[2].fisher_k = None;
    let scatter = Scatter::default();
    let draws = 20_000;
    assert_eq!(read.case.joints[0].fisher_k, Some(k));
    let by_law = chance(&read.case, &scatter, &asked(draws), &Steps::default()).unwrap();
    let mean = read.case.joints[0].plane.upward_normal();
    let [a, b] = across(&mean);
    let steps = 80;
    let middles = move || (0..steps).map(move |i| (f64::from(i) + 0.5) / f64::from(steps));
    let reading = |share: f64, turn: f64| {
        let cos = 1.0 + (1.0 - share * (1.0 - (-2.0 * k).exp())).ln() / k;
        let sin = (1.0 - cos * cos).sqrt();
        let turn = TAU * turn;
        let normal = mean.into_inner() * cos + (a * turn.cos() + b * turn.sin()) * sin;
        (Plane::from_normal(&normal), 1.0)
    };
    let readings: Vec<_> =
        middles().flat_map(|s| middles().map(move |t| (s, t))).map(|(s, t)| reading(s, t)).collect();
    let resampled = vec![Resampled::new(0, "readings.csv", "A", &readings).unwrap()];
    let ask = ChanceAsk { seed: 5, ..asked(draws) };
    let by_readings = chance(&read.case, &Scatter { resampled, ..scatter }, &ask, &Steps::default()).unwrap();
    let mut told = 0;
    for (law, readings) in by_law.tally.pyramids.iter().zip(&by_readings.tally.pyramids) {
        for (x, y) in [
            (law.moves, readings.moves),
            (law.short.bare, readings.short.bare),
            (law.short.bolted, readings.short.bolted),
        ] {
            let n = draws as f64;
            let (p, q) = (x as f64 / n, y as f64 / n);
            let pooled = 0.5 * (p + q);
            let error = (2.0 * pooled * (1.0 - pooled) / n).sqrt();
            assert!((p - q).abs() <= 4.0 * error, "{p} {q}");
            told += usize::from((0.02..0.98).contains(&pooled));
        }
    }
    assert!(told >= 2, "{told}");
    let [low, high] = wilson_95(by_law.short(&read.case), draws);
    assert!(high - low < 0.02);
}

#[test]
fn readings_that_cannot_be_drawn_from_are_refused_with_file_line_and_key() {
    let head = "set,dip_deg,dip_direction_deg,weight\n";
    let rows = [
        (KEYS, String::new(), ("readings.csv", None, "readings", "an empty file")),
        (KEYS, "set,dip_deg\nA,3\n".into(), ("readings.csv", Some(1), "dip_direction_deg", "set,dip_deg")),
        (KEYS, format!("{head}A,68,42,1\nA,95,42,1\n"), ("readings.csv", Some(3), "dip_deg", "95")),
        (KEYS, format!("{head}A,68,,1\n"), ("readings.csv", Some(2), "dip_direction_deg", "nothing")),
        (KEYS, format!("{head}A,68,42,-1\n"), ("readings.csv", Some(2), "weight", "-1")),
        (
            KEYS,
            format!("{head}A,68,42,0\n"),
            ("case.toml", None, "joint_set[1].orientation.readings", "none has a weight"),
        ),
        (
            KEYS,
            format!("{head}A1,68,42,1\n"),
            (
                "case.toml",
                None,
                "joint_set[1].orientation.readings",
                "\"A\", of which readings.csv has no reading",
            ),
        ),
        (
            "orientation = { readings = \"readings.csv\", set = \"first\" }",
            format!("{head}A,68,42,1\n"),
            ("case.toml", None, "joint_set[1].orientation.set", "\"first\", of which"),
        ),
        (
            KEYS,
            format!("{head}A,60,42,1\nA,70,42,3\n"),
            ("case.toml", None, "joint_set[1].orientation.readings", "dip 67.5, dip direction 42.0, is 0.5°"),
        ),
        (
            "orientation = { readings = \"no_such.csv\" }",
            String::new(),
            ("case.toml", None, "joint_set[1].orientation.readings", "no_such.csv: no such file"),
        ),
        (
            "orientation = {}",
            String::new(),
            ("case.toml", None, "joint_set[1].orientation.readings", "nothing"),
        ),
        (
            "orientation = \"readings.csv\"",
            String::new(),
            ("case.toml", None, "joint_set[1].orientation", "the text"),
        ),
    ];
    for (keys, table, (file, line, key, says)) in rows {
        let read = with_readings(keys, &table);
        if says.contains("is 0.5°") {
            // Half a degree off is what rounding leaves.
            assert!(read.is_ok());
            continue;
        }
        let problems = read.unwrap_err();
        let problem = &problems.list()[0];
        assert!(problem.file.ends_with(file), "{keys} {table}: {problems}");
        assert!(line.is_none() || problem.line == line, "{keys} {table}: {problems}");
        assert!(file != "case.toml" || problem.line == Some(24), "{keys} {table}: {problems}");
        assert_eq!(problem.key, key, "{keys} {table}: {problems}");
        assert!(problem.found.contains(says), "{keys} {table}: {problems}");
        assert!(!problem.advice.is_empty(), "{problems}");
    }
    // The readings of another set, or to another north.
    let problems = with_readings(KEYS, &format!("{head}A,68,52,1\n")).unwrap_err();
    let problem = &problems.list()[0];
    assert!(
        problem.found.contains("dip 68.0, dip direction 52.0, is 9.3° from the plane of the set"),
        "{problems}"
    );
    assert!(problem.allowed.contains("2°"), "{problems}");
}

/// A survey is mapped, a case takes in its sets and draws their orientations from its readings; the run is made again
/// from its summary alone, and a case written elsewhere names the table from there.
#[test]
fn a_mapping_is_taken_in_and_drawn_from() {
    let folder = tempfile::tempdir().unwrap();
    ran(&["map", "samples/survey_scanline.csv", "--lines", "samples/survey_lines.csv"])
        .lay_into(&folder.path().join("mapped"));
    let sets = fs::read_to_string(folder.path().join("mapped/joint_sets.toml")).unwrap();
    let text = fs::read_to_string(SAMPLE).unwrap();
    let (before, after) = (text.find("[[joint_set]]").unwrap(), text.find("[criteria]").unwrap());
    let mut case = text[..before].replace("north = \"mine grid\"", &line_of(&sets, "north"));
    case = case.replacen("title", "joint_sets = \"mapped/joint_sets.toml\"\ntitle", 1);
    let names: Vec<String> =
        sets.lines().filter_map(|l| l.strip_prefix("name = ")).map(str::to_owned).collect();
    assert!(names.len() >= 3, "{sets}");
    for name in &names {
        case += &format!(
            "[[joint_set]]\nname = {name}\nfriction_deg = 31.0\norientation = {{ readings = \"mapped/readings.csv\" }}\n\n"
        );
    }
    case += &text[after..];
    let path = folder.path().join("case.toml");
    fs::write(&path, &case).unwrap();
    let read = backhold::read_case(&path).unwrap();
    let readings: usize = read.scatter.resampled.iter().map(|r| r.planes().len()).sum();
    let table = fs::read_to_string(folder.path().join("mapped/readings.csv")).unwrap();
    assert_eq!(readings, table.lines().filter(|l| l.split(',').nth(1) == Some("set")).count());
    assert!(read.notes.iter().any(|n| n.found.contains(".orientation")), "{:?}", read.notes);
    let draw = |threads: &str, out: &str| {
        let mut command = backhold();
        command.env("RAYON_NUM_THREADS", threads).arg("chance").arg(&path).args(["--draws", "300", "--out"]);
        command.arg(folder.path().join(out)).assert().success();
        files(&folder.path().join(out))
    };
    assert!(draw("1", "one") == draw("3", "three"));
    let page = fs::read_to_string(folder.path().join("one/chance.html")).unwrap();
    assert!(page.contains("in mapped/readings.csv, as it was read, each as often as its weight"));
    fs::remove_dir_all(folder.path().join("mapped")).unwrap();
    let summary = folder.path().join("one/summary.json");
    let again = backhold().args(["chance", "--again"]).arg(summary).assert().success();
    assert!(String::from_utf8_lossy(&again.get_output().stdout).contains("Reproduced byte for byte"));
    let moved = |name: &str| format!("../there/{name}");
    let new = rewritten(&read, InPlace::Choice(&read.base_option), &moved).unwrap();
    assert_eq!(new.text.matches("../there/mapped/readings.csv").count(), names.len(), "{}", new.text);
}

fn line_of(text: &str, key: &str) -> String {
    text.lines().find(|l| l.starts_with(&format!("{key} = "))).unwrap().to_owned()
}
