//! Sets by hand: what borders hold, by separate code; what becomes of readings in none or in two; what is said of a
//! file that is wrong; the mapper's own weights.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test may stop where it stands

use std::f64::consts::{PI, TAU};
use std::fmt::Write as _;
use std::fs;

use assert_cmd::Command;
use backhold::orientation::{Line, Plane, Vec3, across};
use backhold::survey::{
    HandSet, MapOptions, Mapped, NetPolygon, ReadOptions, SetBorder, SetSource, Survey, Warning, map_survey,
    read_hand_sets, read_survey,
};
use nalgebra::Unit;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use tempfile::tempdir;

/// A number from 0 to 1.
fn uniform(rng: &mut ChaCha8Rng) -> f64 {
    (rng.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
}

fn any_direction(rng: &mut ChaCha8Rng) -> Unit<Vec3> {
    let (up, turn) = (2.0 * uniform(rng) - 1.0, TAU * uniform(rng));
    let level = (1.0 - up * up).sqrt();
    Unit::new_normalize(Vec3::new(level * turn.cos(), level * turn.sin(), up))
}

fn read(text: &str) -> Survey {
    read_survey("s.csv", text, &ReadOptions::default()).unwrap()
}

fn by_hand(survey: &Survey, borders: &str) -> Mapped {
    let sets = read_hand_sets("borders.toml", borders).unwrap_or_else(|problems| panic!("{problems}"));
    map_survey(survey, &MapOptions { source: SetSource::ByHand(sets), ..MapOptions::default() })
}

/// Which axes a polygon holds, by the bearings of its corners as seen from the axis: they go round it once where it is
/// within, of whichever sense, and nowhere where it is not. Corners come as poles that point down, whatever the side
/// of the sphere that they were made on, in bulges and bays round a middle anywhere, so over the edge of the net too.
#[test]
fn a_polygon_holds_what_its_corners_go_round() {
    let mut rng = ChaCha8Rng::seed_from_u64(41);
    let (mut within, mut over_the_edge) = (0, 0);
    for _ in 0..200 {
        let middle = any_direction(&mut rng);
        let [right, up] = across(&middle);
        let count = 4 + (rng.next_u64() % 6) as usize;
        let corners: Vec<Vec3> = (0..count)
            .map(|at| {
                let turn = TAU * (at as f64 + 0.8 * uniform(&mut rng)) / count as f64;
                let off = (5.0 + 35.0 * uniform(&mut rng)).to_radians();
                middle.into_inner() * off.cos() + (right * turn.cos() + up * turn.sin()) * off.sin()
            })
            .collect();
        over_the_edge += usize::from(corners.iter().any(|c| c.z < 0.0) && corners.iter().any(|c| c.z > 0.0));
        let poles: Vec<Line> = corners.iter().map(|corner| Line::from_vector(corner).downward()).collect();
        let polygon = NetPolygon::new(&poles).unwrap_or_else(|fault| panic!("{fault}: {poles:?}"));
        for _ in 0..300 {
            let axis = any_direction(&mut rng);
            let [right, up] = across(&axis);
            let bearing = |corner: &Vec3| corner.dot(&up).atan2(corner.dot(&right));
            let turned: f64 = (0..count)
                .map(|at| {
                    let turn = bearing(&corners[(at + 1) % count]) - bearing(&corners[at]);
                    (turn + PI).rem_euclid(TAU) - PI
                })
                .sum();
            let wanted = turned.abs() > PI;
            assert_eq!(polygon.holds(&axis), wanted, "{axis:?} in {poles:?}");
            assert_eq!(polygon.distance_deg(&axis) == 0.0, wanted);
            within += usize::from(wanted);
        }
    }
    assert!(within > 3_000 && over_the_edge > 20, "{within} {over_the_edge}");
}

/// Two clouds, 60/040 and 75/150, each row labelled with the other's name, and five poles far from both.
fn two_clouds() -> String {
    let mut text = "dip_deg,dip_direction_deg,set\n".to_owned();
    for i in 0..30 {
        let (a, b) = (f64::from(i * 7 % 11) - 5.0, f64::from(i * 5 % 13) - 6.0);
        let _ = writeln!(text, "{},{},west", 60.0 + a, 40.0 + b);
        let _ = writeln!(text, "{},{},east", 75.0 + b, 150.0 + a);
    }
    text.push_str("5,10,\n8,200,\n4,90,\n6,300,\n2,45,\n");
    text
}

/// Borders in both ways hold both clouds: the sets have the names and the order of the file, the statistics that
/// labels on the same readings give, and what is outside is counted.
#[test]
fn borders_by_hand_make_the_sets_that_labels_would() {
    let survey = read(&two_clouds());
    let borders = "[[set]]\nname = \"steep\"\npoles_deg = [[310, 30], [350, 30], [350, 2], [310, 2]]\n\n\
                   [[set]]\nname = \"mid\"\ndip_deg = 60\ndip_direction_deg = 40\nwithin_deg = 15\n";
    let mapped = by_hand(&survey, borders);
    let labelled = map_survey(&survey, &MapOptions::default());
    let names: Vec<(&str, usize)> = mapped.sets.iter().map(|s| (s.name.as_str(), s.readings)).collect();
    assert_eq!(names, [("steep", 30), ("mid", 30)]);
    for (set, label) in mapped.sets.iter().zip(["east", "west"]) {
        let same = labelled.sets.iter().find(|s| s.name == label).unwrap();
        assert_eq!(
            (set.mean, set.fisher_k, set.weighted_count),
            (same.mean, same.fisher_k, same.weighted_count)
        );
    }
    let none = mapped.classes.iter().filter(|class| class.set.is_none()).count();
    assert_eq!(none, 5);
    assert!(mapped.warnings.contains(&Warning::OutsideBorders { outside: 5, readings: 65 }));
    assert!(!mapped.warnings.iter().any(|w| matches!(
        w,
        Warning::BordersOverlap { .. } | Warning::BorderHoldsNothing { .. } | Warning::SomeUnlabelled { .. }
    )));
    assert!(mapped.mixture.is_none());
}

/// Of borders that overlap the first has what is in both, and that is told, with its number; so is an overlap that
/// holds no reading, and a border for which none is left.
#[test]
fn overlaps_and_empty_borders_are_told() {
    let survey = read("dip_deg,dip_direction_deg\n60,40\n60,50\n60,60\n");
    let round = |name: &str, direction: f64, within: f64| HandSet {
        name: name.to_owned(),
        border: SetBorder::Round {
            mean: Plane { dip_deg: 60.0, dip_direction_deg: direction },
            within_deg: within,
        },
    };
    let map = |sets: Vec<HandSet>| {
        map_survey(&survey, &MapOptions { source: SetSource::ByHand(sets), ..MapOptions::default() })
    };
    let told = |mapped: &Mapped| -> Vec<String> {
        mapped
            .warnings
            .iter()
            .filter(|w| matches!(w, Warning::BordersOverlap { .. } | Warning::BorderHoldsNothing { .. }))
            .map(ToString::to_string)
            .collect()
    };
    // 10° of direction at a dip of 60° are 8.66° of angle.
    let mapped = map(vec![round("A", 40.0, 10.0), round("B", 60.0, 10.0), round("C", 240.0, 5.0)]);
    assert_eq!(mapped.sets.iter().map(|s| s.readings).collect::<Vec<_>>(), [2, 1]);
    let said = told(&mapped);
    assert!(
        said[0].starts_with("the borders of sets A and B overlap; readings in both, 1 of them"),
        "{said:?}"
    );
    assert!(said[1].contains("border of set C") && said.len() == 2, "{said:?}");
    // 9.9° and 9.9° about means 17.3° apart overlap between the readings.
    let mapped = map(vec![round("A", 40.0, 8.0), round("B", 60.0, 9.5)]);
    let said = told(&mapped);
    assert!(said.len() == 1 && said[0].contains("0 of them"), "{said:?}");
    assert!(told(&map(vec![round("A", 40.0, 8.0), round("B", 60.0, 8.6)])).is_empty());
    // A second border over the first has nothing left.
    let said = told(&map(vec![round("A", 50.0, 20.0), round("B", 50.0, 15.0)]));
    assert!(said[0].contains("3 of them") && said[1].contains("border of set B"), "{said:?}");
}

/// Everything that is wrong with a file comes at once, with line and key.
#[test]
fn all_that_is_wrong_with_a_file_of_borders_is_said_at_once() {
    let text = "[[set]]\nname = \"A B\"\ndip_deg = 95\ndip_direction_deg = \"40\"\nwithin_deg = 0\n\
                [[set]]\nname = \"C\"\ndip_deg = 60\n\
                [[set]]\nname = \"C\"\npoles_deg = [[10, 20], [30, 20]]\n\
                [[set]]\npoles_deg = [[10, 20], [400, 20], [30]]\n\
                [[set]]\nname = \"E\"\nwithin_deg = 10\npoles_deg = [[0, 10], [20, 40], [20, 10], [0, 40]]\n\
                [[set]]\nname = \"F\"\ndip_dge = 60\n\
                [[set]]\nname = \"G\"\n\
                [[set]]\nname = \"H\"\npoles_deg = [[0, 10], [20, 40], [20, 10], [0, 40]]\n\
                [[stes]]\nname = \"I\"\n";
    let said = read_hand_sets("b.toml", text).unwrap_err().to_string();
    let wanted = [
        "b.toml:2: set[1].name: found \"A B\"",
        "b.toml:3: set[1].dip_deg: found 95\n  allowed: 0 to 90, degrees",
        "b.toml:4: set[1].dip_direction_deg: found \"40\"",
        "b.toml:5: set[1].within_deg: found 0\n  allowed: above 0 to 90, degrees",
        "b.toml:6: set[2].dip_direction_deg: found nothing",
        "b.toml:6: set[2].within_deg: found nothing",
        "b.toml:10: set[3].name: found \"C\" a second time",
        "b.toml:11: set[3].poles_deg: found 2 corners\n  allowed: 3 corners or more",
        "b.toml:12: set[4].name: found no name",
        "b.toml:13: set[4].poles_deg[2][1]: found 400",
        "b.toml:13: set[4].poles_deg[3]: found a list of 1",
        "b.toml:17: set[5].poles_deg: found within_deg beside poles_deg",
        "b.toml:20: set[6].dip_dge: found the unknown key \"dip_dge\"",
        "do: did you mean dip_deg?",
        "b.toml:21: set[7]: found no border",
        "b.toml:25: set[8].poles_deg: found the sides after corners 1 and 3 cross each other",
        "b.toml:26: stes: found the unknown key \"stes\"",
        "do: did you mean set?",
    ];
    for part in wanted {
        assert!(said.contains(part), "{part} in\n{said}");
    }
    assert_eq!(said.lines().filter(|line| line.starts_with("b.toml:")).count(), wanted.len() - 2, "{said}");
    // Lines that are no TOML, and a file without any set.
    let said = read_hand_sets("b.toml", "[[set]]\nname = A\nwithin_deg = 1,5\n").unwrap_err().to_string();
    assert!(said.contains("b.toml:2: name: found name = A"), "{said}");
    assert!(said.contains("b.toml:3: within_deg: found within_deg = 1,5"), "{said}");
    let said = read_hand_sets("b.toml", "# nothing\n").unwrap_err().to_string();
    assert!(said.starts_with("b.toml: set: found no set"), "{said}");
    assert!(read_hand_sets("b.toml", "set = 3\n").unwrap_err().to_string().contains("b.toml:1: set:"));
}

/// A weight of 3 moves a mean as three readings do, and counts as three in the weighted count; what is no weight is
/// told of and counts as 1. It changes neither the number of readings nor what is said of capped ones.
#[test]
fn the_mappers_weights_multiply() {
    let rows = [(60, 40, 3), (70, 50, 1), (65, 35, 2), (58, 47, 1)];
    let (mut weighed, mut repeated) = (
        "dip_deg,dip_direction_deg,set,mapper_weight\n".to_owned(),
        "dip_deg,dip_direction_deg,set\n".to_owned(),
    );
    for (dip, direction, weight) in rows {
        let _ = writeln!(weighed, "{dip},{direction},A,{weight}");
        for _ in 0..weight {
            let _ = writeln!(repeated, "{dip},{direction},A");
        }
    }
    let set = |text: &str| map_survey(&read(text), &MapOptions::default()).sets.remove(0);
    let (weighed, repeated) = (set(&weighed), set(&repeated));
    assert!(weighed.mean.angle_to_deg(repeated.mean) < 1e-6, "{:?} {:?}", weighed.mean, repeated.mean);
    assert!((weighed.weighted_count - 7.0).abs() < 1e-12 && weighed.readings == 4);
    let plain = set("dip_deg,dip_direction_deg,set\n60,40,A\n70,50,A\n65,35,A\n58,47,A\n");
    assert!(weighed.mean.angle_to_deg(plain.mean) > 0.5);
    let text = "dip_deg,dip_direction_deg,set,mapper_weight\n60,40,A,0\n70,50,A,-2\n65,35,A,101\n58,47,A,9\n";
    let survey = read(text);
    let left_out =
        survey.warnings.iter().filter(|w| matches!(w, Warning::ValueLeftOut { column: "mapper_weight", .. }));
    assert_eq!(left_out.count(), 3);
    let mapped = map_survey(&survey, &MapOptions::default());
    assert!((mapped.sets[0].weighted_count - 12.0).abs() < 1e-12);
    assert!(!mapped.warnings.iter().any(|w| matches!(w, Warning::WeightCapped { .. })));
    // A column of weights that somebody computed is not one of the mapper's.
    let computed = read("dip_deg,dip_direction_deg,weight\n60,40,3\n");
    assert_eq!(computed.readings[0].mapper_weight, None);
}

/// From the terminal: what is said, what the page and the summary carry, and that the summary makes it again.
#[test]
fn a_file_of_borders_goes_with_the_summary() {
    let dir = tempdir().unwrap();
    let path = |name: &str| dir.path().join(name);
    fs::write(path("s.csv"), two_clouds()).unwrap();
    fs::write(path("lines.csv"), "id,kind,trend_deg,plunge_deg,length_m\nSL1,scanline,90,0,20\n").unwrap();
    fs::create_dir(path("drawn")).unwrap();
    fs::write(
        path("drawn/b.toml"),
        "[[set]]\nname = \"mid\"\ndip_deg = 60\ndip_direction_deg = 40\nwithin_deg = 15\n\n\
         [[set]]\nname = \"wide\"\ndip_deg = 60\ndip_direction_deg = 50\nwithin_deg = 30\n",
    )
    .unwrap();
    let backhold =
        |args: &[&str]| Command::cargo_bin("backhold").unwrap().current_dir(dir.path()).args(args).assert();
    for lines in [&[][..], &["--lines", "lines.csv"][..]] {
        let asked = ["map", "s.csv", "--set-borders", "drawn/b.toml", "--out", "out", "--overwrite"];
        let run = backhold(&[&asked, lines].concat()).success();
        let said = String::from_utf8(run.get_output().stdout.clone()).unwrap();
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            said.contains("35 readings are in no set") && said.contains("borders by hand overlap"),
            "{said}"
        );
        let page = fs::read_to_string(path("out/report.html")).unwrap();
        assert!(
            page.contains("mid within 15° of 60/40; wide within 30° of 60/50"),
            "the borders on the page"
        );
        let summary: serde_json::Value =
            serde_json::from_str(&fs::read_to_string(path("out/summary.json")).unwrap()).unwrap();
        let text = summary.to_string();
        assert!(
            text.contains("--set-borders=b.toml") && text.contains("\"readings_in_no_set\":35"),
            "{text}"
        );
        let fragment = fs::read_to_string(path("out/joint_sets.toml")).unwrap();
        assert!(fragment.contains("border by hand, b.toml"), "{fragment}");
        // The file itself may be gone.
        let moved = path("elsewhere");
        fs::rename(path("drawn"), &moved).unwrap();
        backhold(&["map", "--again", "out/summary.json"]).success();
        fs::rename(moved, path("drawn")).unwrap();
    }
    fs::write(path("bad.toml"), "[[set]]\nname = 3\n").unwrap();
    let asked = ["map", "s.csv", "--set-borders", "bad.toml", "--sets", "3", "--out", "no"];
    let run = backhold(&[&asked[..], &["--base-friction-deg", "30"]].concat()).code(2);
    let said = String::from_utf8(run.get_output().stderr.clone()).unwrap();
    for part in
        ["--set-borders: borders by hand", "bad.toml:2: set[1].name", "bad.toml:1: set[1]: found no border"]
    {
        assert!(said.contains(part), "{part} in\n{said}");
    }
    assert!(said.contains("a hint on friction needs both") && !path("no").exists(), "{said}");
    let run = backhold(&["map", "s.csv", "--set-borders", "none.toml", "--out", "no"]).code(2);
    assert!(String::from_utf8_lossy(&run.get_output().stderr).contains("none.toml"));
}

/// The file that the README shows, on the sample of the README: it holds the sets that are found there.
#[test]
fn the_borders_of_the_readme_hold_what_it_says() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let readme = fs::read_to_string(root.join("README.md")).unwrap();
    let shown = readme.split("**Sets by hand.**").nth(1).unwrap();
    let shown = shown.split("```toml\n").nth(1).unwrap().split("```").next().unwrap();
    let survey = read(&fs::read_to_string(root.join("samples/survey_scanline.csv")).unwrap());
    let (found, mapped) = (map_survey(&survey, &MapOptions::default()), by_hand(&survey, shown));
    assert_eq!(mapped.sets.iter().map(|s| s.name.as_str()).collect::<Vec<_>>(), ["bedding", "J1"]);
    for set in &mapped.sets {
        let nearest = found.sets.iter().map(|s| s.mean.angle_to_deg(set.mean)).fold(90.0, f64::min);
        assert!(nearest < 5.0 && set.readings >= 8, "{}: {nearest}, {}", set.name, set.readings);
    }
}
