//! What a mapped survey counts and by which rule, and what it says of rows that it does not count as they stand.
#![allow(clippy::unwrap_used, clippy::panic)] // a test may stop where it stands

use std::fmt::Write as _;

use backhold::orientation::Line;
use backhold::survey::{
    ColumnMap, LineKind, MapOptions, Mapped, NorthCorrection, ReadOptions, SetSource, Survey, SurveyLine,
    Warning, WindowShape, map_survey, read_lines, read_survey,
};

fn window() -> SurveyLine {
    SurveyLine {
        kind: Some(LineKind::Window),
        direction: Some(Line { trend_deg: 0.0, plunge_deg: 0.0 }),
        window: Some(WindowShape::Circle { radius_m: 3.0 }),
        ..SurveyLine::named("W1")
    }
}

fn read(text: &str, lines: Vec<SurveyLine>) -> Survey {
    read_survey("s.csv", text, &ReadOptions { lines, ..ReadOptions::default() }).unwrap()
}

fn map(text: &str, lines: Vec<SurveyLine>) -> (Survey, Mapped) {
    let survey = read(text, lines);
    let mapped = map_survey(&survey, &MapOptions::default());
    (survey, mapped)
}

/// Six whole traces of 1, 2, ... 6 m in a window: nothing runs out of it, so the balance of what runs out says
/// nothing, and the mean is the plain one, 3.5 m. One end hidden, and the window's balance is back.
#[test]
fn a_window_that_hides_no_end_gives_the_plain_mean() {
    let rows = |last_ends: u8| {
        let mut text = "dip_deg,dip_direction_deg,set,window,trace_length_m,ends_seen\n".to_owned();
        for i in 0..6_u8 {
            let ends = if i == 5 { last_ends } else { 2 };
            let _ = writeln!(text, "{},{},A,W1,{},{ends}", 60 + i, 80 + 2 * i, i + 1);
        }
        text
    };
    let (_, mapped) = map(&rows(2), vec![window()]);
    let trace = mapped.sets[0].trace_length.unwrap();
    assert!((trace.mean_m - 3.5).abs() < 1e-12 && !trace.corrected && trace.values == 6, "{trace:?}");
    assert!(!mapped.sets[0].traces_endless && mapped.sets[0].persistence_word().is_some());
    // By hand: A/P = pi r / 2 with r 3, one side that is run out through, eleven ends seen.
    let (_, mapped) = map(&rows(1), vec![window()]);
    let trace = mapped.sets[0].trace_length.unwrap();
    let wanted = std::f64::consts::PI * 1.5 / 11.0;
    assert!((trace.mean_m - wanted).abs() < 1e-12 && trace.corrected, "{trace:?}");
}

/// Two sets of 30, 70/040 and 65/150, a third of each labelled: as they stand, the others are out and that is said
/// with both ways to take them in; assigned, each goes to its own set, and three poles far from both to none.
#[test]
fn readings_without_a_label_are_told_of_and_can_join_the_labelled_sets() {
    let mut text = "dip_deg,dip_direction_deg,set\n".to_owned();
    for i in 0..30 {
        let (a, b) = (f64::from(i * 7 % 11) - 5.0, f64::from(i * 5 % 13) - 6.0);
        let label = |name| if i % 3 == 0 { name } else { "" };
        let _ = writeln!(text, "{},{},{}", 70.0 + a, 40.0 + b, label("east"));
        let _ = writeln!(text, "{},{},{}", 65.0 + b, 150.0 + a, label("west"));
    }
    text.push_str("5,10,\n8,200,\n4,90,\n");
    let (survey, mapped) = map(&text, Vec::new());
    assert_eq!(mapped.sets.iter().map(|s| s.readings).collect::<Vec<_>>(), [10, 10]);
    let told = Warning::SomeUnlabelled { unlabelled: 43, readings: 63 };
    assert!(mapped.warnings.contains(&told));
    let words = told.to_string();
    assert!(
        words.contains("43 of 63")
            && words.contains("--unlabelled assign")
            && words.contains("--ignore-labels")
    );
    let options = MapOptions { source: SetSource::LabelsForAll, ..MapOptions::default() };
    let mapped = map_survey(&survey, &options);
    assert_eq!(mapped.sets.iter().map(|s| s.readings).collect::<Vec<_>>(), [30, 30]);
    assert!(!mapped.warnings.iter().any(|w| matches!(w, Warning::SomeUnlabelled { .. })));
    for (at, class) in mapped.classes.iter().enumerate() {
        let wanted = if at < 60 { Some(at % 2) } else { None };
        assert_eq!(class.set, wanted, "reading {at}");
    }
}

/// A level line of 20 m to the east and two sets of upright joints: A square to it, B at 60° to A, labelled. Of
/// A's rows two repeat others and four lack a dip; of those without a label two are rejected. By hand: the line has
/// 14 + 2 + 10 readings, of which 2 repeat, and 6 rejects, so 30 joints, 1.5 a metre. The loose rejects go 14 : 10
/// to the sets: A has 14 + 4 + 2 · 14/24, B 10 + 2 · 10/24.
#[test]
fn rejected_rows_are_joints_on_the_line_and_repeated_ones_count_once() {
    let line = SurveyLine {
        kind: Some(LineKind::Scanline),
        direction: Some(Line { trend_deg: 90.0, plunge_deg: 0.0 }),
        length_m: Some(20.0),
        ..SurveyLine::named("L")
    };
    let mut text = "dip_deg,dip_direction_deg,set,scanline,distance_m\n".to_owned();
    for i in 0..14 {
        let _ = writeln!(text, "90,90,A,L,{}", 0.5 + f64::from(i));
    }
    text.push_str("90,90,A,L,0.5\n90,90,A,L,1.5\n");
    for i in 0..10 {
        let _ = writeln!(text, "90,30,B,L,{}", 0.9 + f64::from(i));
    }
    for (i, label) in ["A", "A", "A", "A", "", ""].into_iter().enumerate() {
        let _ = writeln!(text, "steep,90,{label},L,{}", 15 + i);
    }
    // Rejected again word for word, and one that nobody can place.
    text.push_str("steep,90,A,L,15\nsteep,90,A,L,\n");
    let (_, mapped) = map(&text, vec![line]);
    let found = mapped.lines[0];
    assert_eq!((found.readings, found.repeats, found.rejects), (26, 2, 6));
    assert!((found.frequency_per_m - 1.5).abs() < 1e-12);
    let spacing = |at: usize| mapped.sets[at].spacing.unwrap();
    let [a, b] = [14.0 + 4.0 + 2.0 * 14.0 / 24.0, 10.0 + 2.0 * 10.0 / 24.0];
    // All poles of a set are equal, so the exposure is that of its mean: 1 and cos 60°.
    assert!((spacing(0).mean_m - 20.0 / a).abs() < 1e-9, "{:?}", spacing(0));
    assert!((spacing(1).mean_m - 10.0 / b).abs() < 1e-9, "{:?}", spacing(1));
    assert!((spacing(0).rejects - (a - 14.0)).abs() < 1e-9 && spacing(0).values == 14);
    let told: Vec<String> = mapped
        .warnings
        .iter()
        .filter(|w| matches!(w, Warning::CountedByRule { .. }))
        .map(ToString::to_string)
        .collect();
    assert_eq!(
        told,
        [
            "line \"L\": 26 readings, less 2 that repeat a row, and 6 rejected rows with a distance on it: 30 joints are counted along it, 1.50 a metre, where the readings as they stand would give 1.30"
        ]
    );
    // Without a length, gaps: the 14 readings of A part 13 m into 13 gaps, and the joints that it has besides part them
    // in the same share.
    let line = SurveyLine {
        kind: Some(LineKind::Scanline),
        direction: Some(Line { trend_deg: 90.0, plunge_deg: 0.0 }),
        ..SurveyLine::named("L")
    };
    let (_, mapped) = map(&text, vec![line]);
    let spacing = mapped.sets[0].spacing.unwrap();
    assert!((spacing.mean_m - 13.0 / (13.0 * a / 14.0)).abs() < 1e-9, "{spacing:?}");
}

/// Seven equal poles have no scatter: no K of rounding errors, no form, and a word about it. An eighth that is off by
/// a degree gives all three again.
#[test]
fn equal_poles_have_no_scatter_and_no_form() {
    let header = "dip_deg,dip_direction_deg,set\n".to_owned();
    let equal = header + &"63,217,A\n".repeat(7);
    let (_, mapped) = map(&equal, Vec::new());
    let set = &mapped.sets[0];
    assert_eq!((set.fisher_k, set.cone_95_deg, set.form, set.spread), (None, None, None, None));
    assert!(mapped.warnings.contains(&Warning::NoScatter { set: "A".to_owned(), readings: 7 }));
    let (_, mapped) = map(&(equal + "64,217,A\n"), Vec::new());
    let set = &mapped.sets[0];
    assert!(set.fisher_k.is_some_and(|k| k < 1e6) && set.cone_95_deg.is_some(), "{set:?}");
    assert!(!mapped.warnings.iter().any(|w| matches!(w, Warning::NoScatter { .. })));
}

/// Declination 10, convergence 1.5: a compass trend of 90 becomes 98.5, a true one 88.5, one on the grid stays.
#[test]
fn each_line_says_which_north_its_trend_is_counted_from() {
    let north = NorthCorrection { declination_deg: 10.0, convergence_deg: 1.5 };
    let text = "id,kind,trend_deg,plunge_deg,north\nA,scanline,90,0,\nB,scanline,90,0,compass\nC,hole,90,0,true\nD,scanline,90,0,Grid\n";
    let (lines, warnings) = read_lines("l.csv", text, &ColumnMap::default(), north).unwrap();
    assert!(warnings.is_empty());
    let trends: Vec<f64> = lines.iter().map(|l| l.direction.unwrap().trend_deg).collect();
    for (found, wanted) in trends.iter().zip([98.5, 98.5, 88.5, 90.0]) {
        assert!((found - wanted).abs() < 1e-12, "{trends:?}");
    }
    let wrong = text.replace("Grid", "mine");
    let error = read_lines("l.csv", &wrong, &ColumnMap::default(), north).unwrap_err().to_string();
    assert!(
        error.contains("l.csv:5: north: found \"mine\"") && error.contains("or grid (not turned)"),
        "{error}"
    );
}

/// A row typed twice: it pulls the mean to itself unless repeats are dropped, and then it is among the rows left out.
#[test]
fn repeated_rows_are_dropped_where_that_is_asked_for() {
    let text = "dip_deg,dip_direction_deg,set,scanline,distance_m\n40,90,A,L,1\n60,90,A,L,2\n60,90,A,L,2\n60,90,A,L,\n";
    let read = |drop_repeats| {
        let survey =
            read_survey("s.csv", text, &ReadOptions { drop_repeats, ..ReadOptions::default() }).unwrap();
        assert_eq!(survey.readings.len() + survey.left_out.len(), survey.rows);
        survey
    };
    let dips = |survey: &Survey| survey.readings.iter().map(|r| r.plane.dip_deg).collect::<Vec<_>>();
    assert_eq!(dips(&read(false)), [40.0, 60.0, 60.0, 60.0]);
    let dropped = read(true);
    assert_eq!(dips(&dropped), [40.0, 60.0, 60.0]);
    let out = &dropped.left_out[0];
    assert_eq!((out.line_number, out.row.as_str()), (4, "60,90,A,L,2"));
    assert_eq!(out.reason, "left out: the same joint as on line 3");
}

/// With chainages alone a row repeats one that says the same of everything; one that says something else of its
/// filling is another joint, as chainages are read to the metre, and so is one without any place.
#[test]
fn rows_repeat_at_a_chainage_where_all_else_is_the_same() {
    let text = "dip_deg,dip_direction_deg,chainage_m,trace_length_m,filling\n\
                60,90,140,2.5,clay\n60,90,140,2.5,clay\n60,90,140,2.5,\n60,90,141,2.5,clay\n60,90,,2.5,\n60,90,,2.5,\n";
    let read = |drop_repeats| {
        read_survey("s.csv", text, &ReadOptions { drop_repeats, ..ReadOptions::default() }).unwrap()
    };
    let told = Warning::Duplicate { line: 3, first_line: 2 };
    let doubled =
        |s: &Survey| s.warnings.iter().filter(|w| matches!(w, Warning::Duplicate { .. })).cloned().collect();
    let found: Vec<Warning> = doubled(&read(false));
    assert_eq!(found, [told]);
    let left_out: Vec<usize> = read(true).left_out.iter().map(|r| r.line_number).collect();
    assert_eq!(left_out, [3]);
    let told = read(true).warnings;
    assert!(told.contains(&Warning::RepeatsLeftOut { rows: 1 }), "{told:?}");
    assert!(!told.iter().any(|w| matches!(w, Warning::RowsLeftOut { .. })));
}

/// An azimuth that is a turn off is kept, one beyond is rejected, and both say where the limit is.
#[test]
fn azimuths_are_kept_up_to_a_turn_off() {
    let rows = "60,-360\n60,-361\n60,720\n60,721\n60,361\n";
    let survey = read(&format!("dip_deg,dip_direction_deg\n{rows}"), Vec::new());
    let kept: Vec<usize> = survey.readings.iter().map(|r| r.line_number).collect();
    let rejected: Vec<usize> = survey.rejects.iter().map(|r| r.line_number).collect();
    assert_eq!((kept, rejected), (vec![2, 4, 6], vec![3, 5]));
    assert!(survey.rejects.iter().all(|r| r.reason.contains("kept with a note from -360 to 720")));
    let told = survey.warnings.iter().filter(|w| w.to_string().contains("kept from -360 to 720"));
    assert_eq!(told.count(), 3);
}
