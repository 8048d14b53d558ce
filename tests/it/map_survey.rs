//! Sets and statistics of whole surveys.
#![allow(clippy::unwrap_used)]

use crate::common;
use std::path::Path;

use backhold::orientation::{Line, Plane, Vec3};
use backhold::survey::{
    ColumnMap, LineKind, MapOptions, Mapped, Memberships, NorthCorrection, ReadOptions, ReadingClass,
    SetSource, SpacingBasis, Survey, SurveyLine, Warning, WindowShape, map_survey, read_lines, read_survey,
    read_text,
};

fn sample(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(name);
    read_text(std::fs::File::open(path).unwrap()).unwrap().text
}

fn sample_options() -> ReadOptions {
    let (lines, warnings) = read_lines(
        "survey_lines.csv",
        &sample("survey_lines.csv"),
        &ColumnMap::default(),
        NorthCorrection::default(),
    )
    .unwrap();
    assert!(warnings.is_empty());
    ReadOptions { lines, ..ReadOptions::default() }
}

fn read(name: &str) -> Survey {
    let survey = read_survey(name, &sample(name), &sample_options()).unwrap();
    assert_eq!(survey.readings.len() + survey.rejects.len(), survey.rows);
    survey
}

/// Everything but the order of readings and their line numbers.
fn essence(mapped: &Mapped) -> String {
    let mut mapped = mapped.clone();
    // This one names a line of the file.
    mapped.warnings.retain(|w| !matches!(w, Warning::QuarterTurnFits { .. }));
    let of_reading = |(at, class): (usize, &ReadingClass)| {
        let memberships: Vec<u64> = mapped.memberships.of(at).iter().map(|p| p.to_bits()).collect();
        (class.set, class.weight.to_bits(), memberships, class.repeat)
    };
    let mut readings: Vec<_> = mapped.classes.iter().enumerate().map(of_reading).collect();
    readings.sort();
    mapped.classes.clear();
    mapped.memberships = Memberships::default();
    format!("{mapped:?} {readings:?}")
}

#[test]
fn rows_in_another_order_change_nothing() {
    for (name, seed) in [("survey_scanline.csv", 1), ("survey_core.csv", 2), ("survey_mistakes.csv", 3)] {
        let text = sample(name);
        let survey = read_survey(name, &text, &sample_options()).unwrap();
        let wanted = essence(&map_survey(&survey, &MapOptions::default()));
        let mut lines: Vec<&str> = text.lines().filter(|l| !l.starts_with('#')).collect();
        let header = lines.remove(0);
        for round in 0..3 {
            // Fisher-Yates with a number of its own.
            let mut state = seed * 7919 + round;
            for i in (1..lines.len()).rev() {
                state = (state * 48_271 % 2_147_483_647).max(1);
                lines.swap(i, (state % (i as u64 + 1)) as usize);
            }
            let shuffled = format!("{header}\n{}\n", lines.join("\n"));
            assert_ne!(shuffled, text);
            let survey = read_survey(name, &shuffled, &sample_options()).unwrap();
            let found = essence(&map_survey(&survey, &MapOptions::default()));
            assert_eq!(found, wanted, "{name}");
        }
    }
}

#[test]
fn one_thread_gives_the_same_bits() {
    let case = common::synthetic(9, 0, 35.0, 30.0);
    let text = common::as_csv(&common::many(&case, 4500, 4), 1);
    let survey = read_survey("s.csv", &text, &ReadOptions::default()).unwrap();
    let mut options = MapOptions { resamples: 20, ..MapOptions::default() };
    options.mixture.sets = Some(2);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| format!("{:?}", map_survey(&survey, &options)))
    };
    assert_eq!(on(1), on(3));
}

/// The scanline's rock is known (see `samples/README.md`), and so is what the line must miss.
#[test]
fn the_sample_scanline_gives_its_rock_back() {
    let survey = read("survey_scanline.csv");
    assert!((140..=170).contains(&survey.readings.len()), "{}", survey.readings.len());
    assert!(survey.rejects.is_empty());
    let mapped = map_survey(&survey, &MapOptions::default());
    for set in &mapped.sets {
        println!(
            "{} {} readings {:.1}/{:.1} K {:.1} cone {:.1} spread {:?} spacing {:?} trace {:?} {:?}",
            set.name,
            set.readings,
            set.mean.dip_deg,
            set.mean.dip_direction_deg,
            set.fisher_k.unwrap(),
            set.cone_95_deg.unwrap(),
            set.spread,
            set.spacing,
            set.trace_length,
            set.form,
        );
    }
    println!("{:?} {:?} {:?}", mapped.lines, mapped.triples, mapped.warnings);
    let true_sets = [(68.0, 42.0, 0.55), (61.0, 160.0, 0.80), (18.0, 295.0, 0.75)];
    for (dip_deg, dip_direction_deg, spacing) in true_sets {
        let wanted = Plane { dip_deg, dip_direction_deg };
        let found = mapped
            .sets
            .iter()
            .find(|set| set.mean.angle_to_deg(wanted) < 8.0)
            .unwrap_or_else(|| panic!("{wanted:?} was not found"));
        let mean = found.spacing.unwrap();
        assert_eq!(mean.basis, SpacingBasis::LineFrequency);
        // Three standard errors of a Poisson count; the few joints of the set in the blind zone
        // are held to two, which still tells 0.75 m from 0.3 or 3.
        let errors = if mean.values < 20 { 2.0 } else { 3.0 };
        let error = errors / (mean.values as f64).sqrt();
        assert!((spacing / mean.mean_m - 1.0).abs() < error, "{mean:?} {spacing}");
        assert!(found.trace_length.is_some() && found.jrc.is_some());
    }
    assert_eq!(mapped.sets.len(), 3);
    let blind = mapped.blind_zone.as_ref().unwrap();
    assert!((blind.share - 0.2).abs() < 0.01, "one line and a cap of 5");
    assert!(mapped.warnings.iter().any(|w| matches!(w, Warning::BlindZone { .. })));
    let sum: f64 = mapped.triples.iter().map(|t| t.probability).sum();
    assert!((sum - 1.0).abs() < 1e-12);
}

#[test]
fn the_sample_core_sees_the_same_rock() {
    let survey = read("survey_core.csv");
    assert!(survey.rejects.is_empty());
    let mapped = map_survey(&survey, &MapOptions::default());
    for (dip_deg, dip_direction_deg) in [(68.0, 42.0), (18.0, 295.0)] {
        let wanted = Plane { dip_deg, dip_direction_deg };
        assert!(mapped.sets.iter().any(|set| set.mean.angle_to_deg(wanted) < 8.0), "{:?}", mapped.sets);
    }
}

#[test]
fn the_sample_mistakes_are_all_named() {
    let survey = read("survey_mistakes.csv");
    assert_eq!((survey.rows, survey.readings.len()), (19, 11));
    let lines: Vec<usize> = survey.rejects.iter().map(|r| r.line_number).collect();
    assert_eq!(lines, [5, 7, 8, 9, 10, 11, 18, 21]);
}

#[test]
fn labels_are_kept_and_unlabelled_readings_stay_free() {
    let text = "dip_deg,dip_direction_deg,set\n\
                70,40,2\n72,44,2\n68,38,2\n66,45,2\n\
                30,200,10\n33,204,10\n\
                67,132,2\n\
                10,10,\n";
    let survey = read_survey("s.csv", text, &ReadOptions::default()).unwrap();
    let mapped = map_survey(&survey, &MapOptions::default());
    let names: Vec<&str> = mapped.sets.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["2", "10"]);
    assert_eq!(mapped.sets[0].readings, 5);
    assert_eq!(mapped.classes[7].set, None);
    assert_eq!(mapped.memberships.of(7), [0.0, 0.0]);
    assert!(
        mapped.warnings.iter().any(|w| matches!(w, Warning::QuarterTurnFits { line: 8, set } if set == "2"))
    );
    // Nothing was measured but orientation: absent, not zero.
    for set in &mapped.sets {
        assert_eq!((set.spacing, set.trace_length, set.jrc), (None, None, None));
        assert_eq!(set.frequency_per_m(), None);
    }
    assert!(mapped.triples.is_empty() && mapped.volumetric_count_per_m3.is_none());
    assert!(mapped.blind_zone.is_none());
    // On request the labels are put aside.
    let options = MapOptions { source: SetSource::Automatic, ..MapOptions::default() };
    assert!(map_survey(&survey, &options).mixture.is_some());
}

#[test]
fn the_number_of_sets_and_their_starts_can_be_given() {
    let case = common::synthetic(12, 3, 40.0, 40.0);
    let text = common::as_csv(&case.planes, 0);
    let survey = read_survey("s.csv", &text, &ReadOptions::default()).unwrap();
    let mut options = MapOptions { resamples: 0, ..MapOptions::default() };
    for sets in 1..=5 {
        options.mixture.sets = Some(sets);
        assert_eq!(map_survey(&survey, &options).sets.len(), sets);
    }
    options.mixture.sets = None;
    let starts: Vec<Vec3> = case.sets.iter().map(|s| s.axis.into_inner()).collect();
    options.mixture.starts = starts;
    let mapped = map_survey(&survey, &options);
    assert_eq!(mapped.sets.len(), case.sets.len());
    for (set, truth) in mapped.sets.iter().zip(&case.sets) {
        // Sets keep the order of their starts.
        assert!(common::axes_apart_deg(&set.normal(), &truth.axis) < 8.0);
    }
}

#[test]
fn a_survey_without_readings_has_no_sets() {
    let survey = read_survey("s.csv", "dip_deg,dip_direction_deg\n95,10\n", &ReadOptions::default());
    let mapped = map_survey(&survey.unwrap(), &MapOptions::default());
    assert!(mapped.sets.is_empty() && mapped.classes.is_empty());
    // A single one is no set either, and nothing breaks.
    let survey = read_survey("s.csv", "dip_deg,dip_direction_deg\n40,50\n", &ReadOptions::default());
    let mapped = map_survey(&survey.unwrap(), &MapOptions::default());
    assert_eq!(mapped.classes.len(), 1);
}

#[test]
fn suspicious_sets_are_warned_about() {
    // Twelve joints within a degree: tighter than a compass.
    let mut text = String::from("dip_deg,dip_direction_deg,set,window,ends_seen\n");
    for i in 0..12 {
        text.push_str(&format!("{}.{},120,T,W1,0\n", 60 + i % 2, i));
    }
    let options = ReadOptions {
        lines: vec![SurveyLine {
            kind: Some(LineKind::Window),
            direction: Some(Line { trend_deg: 120.0, plunge_deg: -30.0 }),
            window: Some(WindowShape::Circle { radius_m: 1.5 }),
            ..SurveyLine::named("W1")
        }],
        ..ReadOptions::default()
    };
    let survey = read_survey("s.csv", &text, &options).unwrap();
    let mapped = map_survey(&survey, &MapOptions::default());
    let has = |wanted: fn(&Warning) -> bool| mapped.warnings.iter().any(wanted);
    assert!(has(|w| matches!(w, Warning::KTooHigh { .. })));
    assert!(has(|w| matches!(w, Warning::TracesEndless { .. })));
    // The joints lie in the plane of the window itself.
    assert!(has(|w| matches!(w, Warning::SetInBlindZone { .. })));
    assert_eq!(mapped.sets[0].trace_length, None);
    for warning in &mapped.warnings {
        assert!(!warning.to_string().is_empty());
    }
}
