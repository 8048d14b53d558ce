//! Rock quality columns: what is summed up by set, what follows only where all its inputs stand, and a hint on
//! friction that decides nothing.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test may stop where it stands

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use backhold::survey::{
    HintConditions, MapOptions, QualitySummary, Quantity, ReadOptions, Warning, WordColumn, map_survey,
    read_survey,
};
use tempfile::tempdir;

/// Five readings of A, two of B, one of none. Q' by hand: lines 2, 3 and 7 hold all four; GSI: lines 2 and 4.
const SURVEY: &str = "\
dip_deg,dip_direction_deg,set,jrc,jcs_mpa,jr,ja,jn,rqd_percent,jcond89,filling,water
60,40,A,8,50,3,2,9,80,20,Calcite,dry
62,42,A,10,70,1.5,1,9,4,,calcite,Dry
58,38,A,4,,3,2,,60,10,clay,
61,44,A,,90,,,,,,,damp
59,41,A,6,60,,,,,,,
70,150,B,12,40,2,4,12,50,,,
72,152,B,14,,,,,,,,
10,10,,2,,,,,,,,dry
";

fn median_least_greatest(quality: &QualitySummary, quantity: Quantity) -> Option<(usize, [f64; 3])> {
    quality.quantity(quantity).map(|s| (s.readings, [s.median, s.least, s.greatest]))
}

#[test]
fn quantities_have_median_range_and_count_and_words_are_counted() {
    let survey = read_survey("s.csv", SURVEY, &ReadOptions::default()).unwrap();
    let mapped = map_survey(&survey, &MapOptions::default());
    let [a, b] = &mapped.sets[..] else { panic!("two sets") };
    let of = median_least_greatest;
    assert_eq!(of(&a.quality, Quantity::Jrc), Some((4, [7.0, 4.0, 10.0])));
    assert_eq!(of(&a.quality, Quantity::Jcs), Some((4, [65.0, 50.0, 90.0])));
    assert_eq!(of(&a.quality, Quantity::Jr), Some((3, [3.0, 1.5, 3.0])));
    assert_eq!(of(&b.quality, Quantity::Jcond89), None);
    assert_eq!(
        of(&mapped.quality, Quantity::Jrc),
        Some((7, [8.0, 2.0, 14.0])),
        "what is in no set counts in all"
    );
    // 80/9 × 3/2, and an RQD of 4 counting as 10: 10/9 × 1.5.
    let (count, [median, least, greatest]) = of(&a.quality, Quantity::QPrime).unwrap();
    assert!(count == 2 && (least - 5.0 / 3.0).abs() < 1e-12 && (greatest - 40.0 / 3.0).abs() < 1e-12);
    assert!((median - 7.5).abs() < 1e-12);
    let (count, [median, ..]) = of(&b.quality, Quantity::QPrime).unwrap();
    assert!(count == 1 && (median - 50.0 / 12.0 * 0.5).abs() < 1e-12);
    assert_eq!(of(&a.quality, Quantity::Gsi), Some((2, [57.5, 45.0, 70.0])));
    assert_eq!(of(&b.quality, Quantity::Gsi), None);
    let words: Vec<(WordColumn, &str, usize)> =
        a.quality.words.iter().map(|w| (w.column, w.words.as_str(), w.readings)).collect();
    let wanted = [
        (WordColumn::Filling, "calcite", 2),
        (WordColumn::Filling, "clay", 1),
        (WordColumn::Water, "dry", 2),
        (WordColumn::Water, "damp", 1),
    ];
    assert_eq!(words, wanted);
}

#[test]
fn values_that_cannot_be_are_left_out_and_told_of() {
    let text = "dip_deg,dip_direction_deg,jcs_mpa,jr,ja,jn,rqd_percent,jcond89\n60,40,0,6,0.5,0,101,31\n\
                60,41,1000,5,24,60,100,30\n";
    let survey = read_survey("s.csv", text, &ReadOptions::default()).unwrap();
    let told: Vec<&str> = survey
        .warnings
        .iter()
        .filter_map(|w| match w {
            Warning::ValueLeftOut { line: 2, column, .. } => Some(*column),
            _ => None,
        })
        .collect();
    assert_eq!(told, ["jcs_mpa", "jr", "ja", "jn", "rqd_percent", "jcond89"]);
    assert_eq!(survey.readings[0].quality, None);
    assert!(survey.readings[1].quality.as_ref().is_some_and(|q| q.gsi() == Some(95.0)));
}

/// The medians of A, JRC 7 and JCS 65 MPa, at 65 kPa: 28 + 7 log10(1000) = 49. Of B too: 13 and 40 MPa.
#[test]
fn a_hint_on_friction_rests_on_medians_and_on_what_is_stated() {
    let survey = read_survey("s.csv", SURVEY, &ReadOptions::default()).unwrap();
    let hint = |normal_stress_kpa| {
        let conditions = HintConditions { normal_stress_kpa, base_friction_deg: 28.0 };
        map_survey(&survey, &MapOptions { hint: Some(conditions), ..MapOptions::default() })
    };
    let peaks =
        |stress| hint(stress).sets.iter().map(|s| s.friction_hint.map(|h| h.peak_deg)).collect::<Vec<_>>();
    let at_65 = peaks(65.0);
    assert!((at_65[0].unwrap() - 49.0).abs() < 1e-9, "{at_65:?}");
    let wanted = 28.0 + 13.0 * (40_000.0_f64 / 65.0).log10();
    assert!((at_65[1].unwrap() - wanted).abs() < 1e-9);
    // At the strength of B's walls the rule says nothing of B.
    assert!(matches!(peaks(40_000.0)[..], [Some(_), None]));
    assert!(map_survey(&survey, &MapOptions::default()).sets.iter().all(|s| s.friction_hint.is_none()));
}

fn rows(path: &Path) -> Vec<Vec<String>> {
    let mut reader = csv::Reader::from_path(path).unwrap();
    reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
}

/// In the files: tables, what the page says of inputs that stand nowhere, and the fragment, which as a document is
/// the same with the hint and without.
#[test]
fn the_hint_is_a_comment_and_absent_inputs_are_named() {
    let dir = tempdir().unwrap();
    let path = |name: &str| dir.path().join(name);
    fs::write(path("s.csv"), SURVEY).unwrap();
    let map = |out: &str, more: &[&str]| {
        let asked = ["map", "s.csv", "--out", out];
        Command::cargo_bin("backhold").unwrap().current_dir(dir.path()).args(asked).args(more).assert()
    };
    map("plain", &[]).success();
    map("hinted", &["--normal-stress-kpa", "65", "--base-friction-deg", "28"]).success();
    let fragment = |out: &str| fs::read_to_string(path(out).join("joint_sets.toml")).unwrap();
    let (plain, hinted) = (fragment("plain"), fragment("hinted"));
    assert_eq!(plain.parse::<toml::Table>().unwrap(), hinted.parse::<toml::Table>().unwrap());
    let document = hinted.parse::<toml::Table>().unwrap();
    let sets = document["joint_set"].as_array().unwrap();
    assert!(sets.len() == 2 && sets.iter().all(|set| set.get("friction_deg").is_none()), "{hinted}");
    assert!(!plain.contains("Barton"), "{plain}");
    let hint = "# Friction, to be set in the case: a hint, which decides nothing: JRC 7.0 and JCS 65 MPa (medians) \
                give a peak friction of 49° at a normal stress of 65 kPa with a base friction of 28° (Barton & Choubey 1977";
    assert!(hinted.contains(hint), "{hinted}");
    let page = fs::read_to_string(path("plain/report.html")).unwrap();
    assert!(page.contains("Rock quality as recorded") && page.contains("of 3 rows that hold all of it"));
    let found = rows(&path("plain/quality.csv"));
    let gsi: Vec<&Vec<String>> = found.iter().filter(|row| row[2] == "gsi").collect();
    assert_eq!(gsi.len(), 2);
    assert_eq!(gsi[0][..], ["set", "A", "gsi", "2", "57.5", "45", "70"]);
    assert_eq!(gsi[1][..], ["all", "", "gsi", "2", "57.5", "45", "70"]);
    let words = rows(&path("plain/quality_words.csv"));
    assert!(words.iter().any(|row| row[..] == ["all", "", "water", "dry", "3"]), "{words:?}");
    // The summary makes the hint again.
    let again = ["map", "--again", "hinted/summary.json"];
    Command::cargo_bin("backhold").unwrap().current_dir(dir.path()).args(again).assert().success();
    fs::write(path("s.csv"), "dip_deg,dip_direction_deg,jr,rqd_percent\n60,40,3,80\n").unwrap();
    map("lacking", &[]).success();
    let page = fs::read_to_string(path("lacking/report.html")).unwrap();
    assert!(
        page.contains("not given, since no row holds jn, ja") && page.contains("no row holds jcond89"),
        "{page}"
    );
    fs::write(path("s.csv"), "dip_deg,dip_direction_deg\n60,40\n").unwrap();
    map("none", &[]).success();
    assert!(!path("none/quality.csv").exists());
    for (flag, value, said) in
        [("--normal-stress-kpa", "65", "needs both"), ("--base-friction-deg", "0", "allowed above 0 to 60")]
    {
        let run = map("refused", &[flag, value]).code(2);
        assert!(String::from_utf8_lossy(&run.get_output().stderr).contains(said));
    }
}
