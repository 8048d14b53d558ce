//! Surveys as people hand them over: nothing is lost, and what is wrong is named.
#![allow(clippy::unwrap_used, clippy::panic)] // a test may stop where it stands

use std::path::Path;

use backhold::orientation::{Line, Plane, ReferenceLine};
use backhold::survey::{
    ColumnMap, LineKind, NorthCorrection, Notation, ReadOptions, StructureKind, Survey, SurveyLine, Warning,
    read_lines, read_survey, read_text,
};

fn read(text: &str) -> Survey {
    read_with(text, &ReadOptions::default())
}

fn read_with(text: &str, options: &ReadOptions) -> Survey {
    let survey = read_survey("s.csv", text, options).unwrap();
    assert_eq!(
        survey.readings.len() + survey.rejects.len() + survey.structures.len(),
        survey.rows,
        "each row is a reading, a structure or a reject"
    );
    survey
}

fn planes(survey: &Survey) -> Vec<(f64, f64)> {
    survey.readings.iter().map(|r| (r.plane.dip_deg, r.plane.dip_direction_deg)).collect()
}

#[test]
fn one_survey_in_every_spelling() {
    let plain = read("dip_deg,dip_direction_deg,set,trace_length_m\n45.5,120,A,2.5\n80,359.5,B,\n");
    let spellings = [
        "\u{FEFF}set;trace_length_m;dip_direction_deg;dip_deg\r\nA;2,5;120;45,5\r\n\r\n# note\r\nB;;359,5;80\r\n;;;\r\n",
        "# made up\n\nDip (deg)\tDip direction (deg)\tset\ttrace_length_m\n45.5\t120\tA\t2.5\n80\t359.5\tB\n",
        "dip_deg,dip_direction_deg,set,trace_length_m\n\"45,5\",120°,A,\"2,5\"\n 80 , 359.5 ,B,NA\n",
        "strike_deg,dip_deg,set,trace_length_m\n30,45.5,A,2.5\n269.5,80,B,-\n",
        "pole_trend_deg,pole_plunge_deg,set,trace_length_m\n300,44.5,A,2.5\n179.5,10,B,\n",
    ];
    for text in spellings {
        let bytes = read_text(text.as_bytes()).unwrap();
        let survey = read(&bytes.text);
        assert_eq!(planes(&survey), planes(&plain), "{text}");
        for (a, b) in survey.readings.iter().zip(&plain.readings) {
            assert_eq!(a.label, b.label);
            assert_eq!(a.trace_length_m, b.trace_length_m);
        }
        assert!(survey.rejects.is_empty() && survey.warnings.is_empty(), "{:?}", survey.warnings);
    }
    assert_eq!(plain.readings[1].trace_length_m, None, "absent is not zero");
}

#[test]
fn every_kind_of_bad_row_is_rejected_with_its_line_and_reason() {
    let text = "dip_deg,dip_direction_deg,strike_deg,note\n\
                95,120,,dip too steep\n\
                45,800,,azimuth too large\n\
                -5,120,,negative dip\n\
                abc,120,,no number\n\
                45,,,half a plane\n\
                ,,,nothing but a note\n\
                45,120,200,two planes\n\
                \"1.234,5\",120,,thousands\n\
                45,120,30,5,too many cells\n\
                85-95,120,,range too far\n\
                45,120,30,good\n";
    let survey = read(text);
    assert_eq!(survey.readings.len(), 1);
    let expected = [
        (2, "dip_deg \"95\" is out of range; allowed 0 to 90"),
        (3, "dip_direction_deg \"800\" is out of range; allowed 0 to 360"),
        (4, "dip_deg \"-5\" is out of range"),
        (5, "dip_deg \"abc\" is not a number"),
        (6, "dip_direction_deg or strike_deg is empty"),
        (7, "no orientation in this row"),
        (8, "one of them is wrong"),
        (9, "dip_deg \"1.234,5\" is not a number"),
        (10, "5 cells where the header has 4"),
        (11, "dip_deg \"85-95\" is out of range"),
    ];
    assert_eq!(survey.rejects.len(), expected.len());
    for (reject, (line, reason)) in survey.rejects.iter().zip(expected) {
        assert_eq!(reject.line_number, line);
        assert!(reject.reason.contains(reason), "{line}: {}", reject.reason);
    }
    assert_eq!(survey.rejects[0].row, "95,120,,dip too steep");
    // Both reasons of one row are given.
    let both = read("dip_deg,dip_direction_deg\n95,800\n");
    let reason = &both.rejects[0].reason;
    assert!(reason.contains("95") && reason.contains("800"), "{reason}");
}

#[test]
fn doubtful_rows_are_kept_and_warned_about() {
    let text = "dip_deg,dip_direction_deg,strike_deg,scanline,distance_m,trace_length_m,ends_seen,jrc\n\
                0,135,,L,1.0,2,2,4\n\
                40,200,200,L,2.0,2,2,4\n\
                70,10,,L,3.0,2,2,4\n\
                70,10,,L,3.0,2,2,4\n\
                80-86,10,,L,4.0,-2,3,25\n\
                45,402,,L,5.0,2,2,4\n\
                45,-30,,L,6.0,2,2,4\n";
    let survey = read(text);
    assert_eq!((survey.readings.len(), survey.rejects.len()), (7, 0));
    assert_eq!(planes(&survey)[5..], [(45.0, 42.0), (45.0, 330.0)]);
    let has = |wanted: &dyn Fn(&Warning) -> bool| survey.warnings.iter().filter(|w| wanted(w)).count();
    assert_eq!(has(&|w| matches!(w, Warning::LevelWithDirection { line: 2 })), 1);
    assert_eq!(has(&|w| matches!(w, Warning::StrikeLooksLikeDipDirection { line: 3 })), 1);
    assert_eq!(has(&|w| matches!(w, Warning::Duplicate { line: 5, first_line: 4 })), 1);
    assert_eq!(has(&|w| matches!(w, Warning::RangeTaken { line: 6, .. })), 1);
    assert_eq!(has(&|w| matches!(w, Warning::ValueLeftOut { line: 6, .. })), 3);
    assert_eq!(has(&|w| matches!(w, Warning::BeyondFullCircle { line: 7 | 8, .. })), 2);
    assert_eq!(has(&|w| matches!(w, Warning::UnknownLine { readings: 7, .. })), 1);
    assert_eq!(survey.warnings.len(), 10, "{:#?}", survey.warnings);
    let last = &survey.readings[4];
    assert!((last.plane.dip_deg - 83.0).abs() < 1e-12);
    assert_eq!((last.trace_length_m, last.ends_seen, last.jrc), (None, None, None));
}

#[test]
fn a_table_that_cannot_be_read_says_everything_at_once() {
    let options = ReadOptions {
        columns: ColumnMap {
            pairs: vec![
                ("dipp_deg".to_owned(), "Neigung".to_owned()),
                ("dip_deg".to_owned(), "Einfallen".to_owned()),
            ],
        },
        ..ReadOptions::default()
    };
    let error = read_survey("old.csv", "Neigung,Azimuth\n1,2\n", &options).unwrap_err();
    assert_eq!(error.list().len(), 3, "{error}");
    let text = error.to_string();
    for part in [
        "old.csv",
        "did you mean \"dip_deg\"?",
        "no column \"Einfallen\"",
        "dip_deg with dip_direction_deg",
        "\"Azimuth\"",
        "--column dip_deg=\"Fall\"",
    ] {
        assert!(text.contains(part), "{part} is missing in\n{text}");
    }
    // A strike that nobody called right-handed is not guessed at.
    let error = read_survey("s.csv", "dip_deg,strike\n45,30\n", &ReadOptions::default());
    assert!(error.unwrap_err().to_string().contains("right-hand rule"));
    let error =
        read_survey("s.csv", "# only\n\ndip_deg,dip_direction_deg\n", &ReadOptions::default()).unwrap_err();
    assert!(error.to_string().contains("s.csv:3: found a header and no row under it"), "{error}");
    let error = read_survey("s.csv", "", &ReadOptions::default());
    assert!(error.unwrap_err().to_string().contains("an empty file"));
    let error =
        read_survey("s.csv", "dip_deg,dip_direction_deg,note\n1,2,\"open\n3,4,x\n", &ReadOptions::default());
    assert!(error.unwrap_err().to_string().contains("s.csv:2: found a quotation mark"));
}

#[test]
fn a_column_map_reads_other_peoples_headers() {
    let options = ReadOptions {
        columns: ColumnMap {
            pairs: vec![
                ("dip_deg".to_owned(), "Neigung".to_owned()),
                ("strike_deg".to_owned(), "Azimuth".to_owned()),
            ],
        },
        ..ReadOptions::default()
    };
    let survey = read_with("Azimuth,Neigung\n30,45\n", &options);
    assert_eq!(planes(&survey), [(45.0, 120.0)]);
    assert_eq!(survey.readings[0].notation, Notation::Strike);
}

/// Any of our names for a column will do: `hole` is another word for `scanline`, `dip` for `dip_deg`.
#[test]
fn a_column_map_takes_every_name_that_a_header_may_have() {
    let pair = |ours: &str, theirs: &str| (ours.to_owned(), theirs.to_owned());
    let pairs = vec![pair("hole", "Hole ID"), pair("dip", "Fall"), pair("Dip direction", "Az")];
    let options = ReadOptions { columns: ColumnMap { pairs }, ..ReadOptions::default() };
    let survey = read_with("Hole ID,Fall,Az,dip\nH7,45,120,9\n", &options);
    assert_eq!(planes(&survey), [(45.0, 120.0)]);
    assert_eq!(survey.lines[survey.readings[0].line.unwrap()].id, "H7");
}

/// Titles above the header, with other separators and with words of the header in them.
#[test]
fn a_header_below_titles_is_found_or_named() {
    let text = "Mapping of level 12; dip to the right\n\nby somebody, 3 May\nNo|dip_deg|dip_direction_deg|scanline\n1|45,5|120|L\n2|80|359,5|L\n";
    let survey = read(text);
    assert_eq!(planes(&survey), [(45.5, 120.0), (80.0, 359.5)]);
    assert_eq!(survey.readings[0].line_number, 5);
    let told = Warning::HeaderBelow { header_line: 4, lines: 2, sheet: None };
    assert!(survey.warnings.contains(&told) && told.to_string().contains("line 4; 2 lines above it"));
    // Two tables in one file: the first header is taken unless the other one is named.
    let two = "dip_deg,dip_direction_deg\n10,20\ndip_deg,strike_deg\n30,40\n";
    let first = read(two);
    assert_eq!((planes(&first), first.rejects.len()), (vec![(10.0, 20.0), (30.0, 40.0)], 1));
    let named = |line| ReadOptions { header_line: Some(line), ..ReadOptions::default() };
    assert_eq!(planes(&read_with(two, &named(3))), [(30.0, 130.0)]);
    let error = read_survey("s.csv", two, &named(9)).unwrap_err().to_string();
    assert!(error.contains("s.csv:9: found no row on the line that --header-row names"), "{error}");
    // Where nothing is a whole header, what is said is said of the row that names most, once.
    let columns = ColumnMap { pairs: vec![("dip_deg".to_owned(), "Fall".to_owned())] };
    let options = ReadOptions { columns, ..ReadOptions::default() };
    let error = read_survey("s.csv", "title\nmore\nFall;Azimut\n1;2\n", &options).unwrap_err();
    assert_eq!(error.list().len(), 1, "{error}");
    assert!(error.to_string().starts_with("s.csv:3: found columns \"Fall\", \"Azimut\""), "{error}");
}

#[test]
fn what_is_no_number_is_said_before_what_is_empty() {
    let survey = read("dip_deg,dip_direction_deg\nN45E/60SE,\n");
    let reason = &survey.rejects[0].reason;
    assert!(
        reason.starts_with("dip_deg \"N45E/60SE\" is not a number") && reason.contains("--notation"),
        "{reason}"
    );
}

#[test]
fn north_is_turned_once() {
    let north = NorthCorrection { declination_deg: 10.0, convergence_deg: 1.5 };
    let (lines, _) = read_lines(
        "lines.csv",
        "id,kind,trend_deg,plunge_deg,reference_line\nH1,hole,90,0,top\n",
        &ColumnMap::default(),
        north,
    )
    .unwrap();
    assert!((lines[0].direction.unwrap().trend_deg - 98.5).abs() < 1e-12);
    let options = ReadOptions { north, lines, ..ReadOptions::default() };
    let text = "dip_deg,dip_direction_deg,alpha_deg,beta_deg,hole\n\
                40,355,,,\n\
                ,,60,0,H1\n";
    let survey = read_with(text, &options);
    let found = planes(&survey);
    assert!((found[0].1 - 3.5).abs() < 1e-12);
    // A level hole to 098.5 with the ellipse's low end on top dips back along the hole.
    assert!((found[1].0 - 60.0).abs() < 1e-9 && (found[1].1 - 278.5).abs() < 1e-9);
    assert_eq!(survey.north, north, "echoed");
}

#[test]
fn core_needs_its_hole_and_reference() {
    let hole = SurveyLine {
        kind: Some(LineKind::Hole),
        direction: Some(Line { trend_deg: 0.0, plunge_deg: 60.0 }),
        reference: Some(ReferenceLine::Bottom),
        ..SurveyLine::named("H1")
    };
    let vertical = SurveyLine {
        direction: Some(Line { trend_deg: 0.0, plunge_deg: 90.0 }),
        ..SurveyLine { id: "H2".to_owned(), ..hole.clone() }
    };
    let options = ReadOptions { lines: vec![hole, vertical], ..ReadOptions::default() };
    let text = "alpha_deg,beta_deg,hole,hole_trend_deg,hole_plunge_deg,reference_line\n\
                30,180,H1,,,\n\
                30,180,,0,60,bottom\n\
                30,180,,0,,bottom\n\
                30,180,H9,,,\n\
                30,180,H2,,,\n\
                40,35,H2,,,north\n\
                40,35,H2,,,side\n";
    let survey = read_with(text, &options);
    assert_eq!(survey.readings.len(), 3);
    let wanted = [(30.0, 0.0), (30.0, 0.0), (50.0, 35.0)];
    for (reading, (dip_deg, dip_direction_deg)) in survey.readings.iter().zip(wanted) {
        let plane = Plane { dip_deg, dip_direction_deg };
        assert!(reading.plane.angle_to_deg(plane) < 1e-9, "{reading:?}");
    }
    let reasons = [
        (4, "belong together"),
        (5, "need the hole's trend and plunge"),
        (6, "no top or bottom"),
        (8, "allowed top, bottom, north"),
    ];
    for (reject, (line, reason)) in survey.rejects.iter().zip(reasons) {
        assert_eq!(reject.line_number, line);
        assert!(reject.reason.contains(reason), "{}", reject.reason);
    }
    assert_eq!(survey.rejects.len(), reasons.len());
}

#[test]
fn a_lines_file_says_everything_at_once() {
    let text = "id,kind,trend_deg,plunge_deg,radius_m,width_m\n\
                L1,scanline,400,0,,\n\
                L1,rope,10,0,,\n\
                ,hole,10,,,\n\
                W1,window,10,0,2,3\n";
    let error = read_lines("lines.csv", text, &ColumnMap::default(), NorthCorrection::default())
        .unwrap_err()
        .to_string();
    for part in [
        "lines.csv:2: trend_deg: found \"400\"",
        "lines.csv:3: kind: found \"rope\"",
        "lines.csv:4: id: found nothing",
        "lines.csv:4: plunge_deg: found nothing",
        "lines.csv:5: found a window's size",
    ] {
        assert!(error.contains(part), "{part} is missing in\n{error}");
    }
}

/// Groups and headings of the open AGS 4 format; the data is invented.
#[test]
fn an_ags_file_is_read() {
    let text = "\"GROUP\",\"LOCA\"\r\n\
                \"HEADING\",\"LOCA_ID\",\"LOCA_FDEP\"\r\n\
                \"UNIT\",\"\",\"m\"\r\n\
                \"TYPE\",\"ID\",\"2DP\"\r\n\
                \"DATA\",\"X1\",\"20.00\"\r\n\
                \r\n\
                \"GROUP\",\"HORN\"\r\n\
                \"HEADING\",\"LOCA_ID\",\"HORN_TOP\",\"HORN_BASE\",\"HORN_ORNT\",\"HORN_INCL\"\r\n\
                \"UNIT\",\"\",\"m\",\"m\",\"deg\",\"deg\"\r\n\
                \"TYPE\",\"ID\",\"2DP\",\"2DP\",\"0DP\",\"0DP\"\r\n\
                \"DATA\",\"X1\",\"0.00\",\"20.00\",\"90\",\"30\"\r\n\
                \r\n\
                \"GROUP\",\"DISC\"\r\n\
                \"HEADING\",\"LOCA_ID\",\"DISC_TOP\",\"FRAC_SET\",\"DISC_DIP\",\"DISC_DIR\",\"DISC_PERS\",\"DISC_TERM\",\"DISC_REM\",\"DISC_TYPE\",\"DISC_STR\"\r\n\
                \"UNIT\",\"\",\"m\",\"\",\"deg\",\"deg\",\"m\",\"\",\"\",\"\",\"MPa\"\r\n\
                \"TYPE\",\"ID\",\"2DP\",\"X\",\"X\",\"X\",\"2DP\",\"X\",\"X\",\"X\",\"0DP\"\r\n\
                \"DATA\",\"X1\",\"1.20\",\"J1\",\"80-85\",\"270\",\"3.00\",\"XR\",\"planar\",\"Joint\",\"60\"\r\n\
                \"DATA\",\"X1\",\"2.40\",\"J1\",\"78\",\"350-010\",\"\",\"\",\"\",\"\",\"\"\r\n\
                \"DATA\",\"X1\",\"2.90\",\"\",\"64\",\"200\",\"\",\"\",\"clay\",\"Fault\",\"\"\r\n\
                \"DATA\",\"X1\",\"3.10\",\"J2\",\"SV\",\"120\",\"\",\"\",\"\",\"\",\"\"\r\n\
                \r\n\
                \"GROUP\",\"FRAC\"\r\n\
                \"HEADING\",\"LOCA_ID\",\"FRAC_SET\",\"FRAC_IAVE\"\r\n\
                \"UNIT\",\"\",\"\",\"mm\"\r\n\
                \"TYPE\",\"ID\",\"X\",\"0DP\"\r\n\
                \"DATA\",\"X1\",\"J1\",\"400\"\r\n";
    let survey = read(text);
    assert_eq!((survey.rows, survey.readings.len(), survey.rejects.len()), (4, 2, 1));
    assert_eq!(planes(&survey), [(82.5, 270.0), (78.0, 0.0)]);
    // A fault is in no set: it stands apart, with its place.
    let [fault] = &survey.structures[..] else { panic!("{:?}", survey.structures) };
    assert_eq!((fault.kind, fault.reading.distance_m), (StructureKind::Fault, Some(2.9)));
    assert_eq!(survey.readings[0].quality.as_ref().unwrap().jcs_mpa, Some(60.0));
    assert_eq!(survey.readings[0].ends_seen, Some(1));
    assert_eq!(survey.readings[0].line_number, 17);
    assert!(survey.rejects[0].reason.contains("\"SV\" is not a number"));
    assert_eq!(survey.labels, ["J1"]);
    let line = &survey.lines[0];
    assert_eq!((line.id.as_str(), line.length_m), ("X1", Some(20.0)));
    assert_eq!(line.direction, Some(Line { trend_deg: 90.0, plunge_deg: 30.0 }));
    assert!((survey.stated_spacings[0].mean_m - 0.4).abs() < 1e-12);
    let error = read_survey("x.ags", "\"GROUP\",\"LOCA\"\n", &ReadOptions::default());
    assert!(error.unwrap_err().to_string().contains("DISC"));
}

/// 200 planes that a general stereonet library ships as sample data (see `tests/data`). One
/// has an azimuth of 364, which no compass shows: it is kept as 004, with a warning.
#[test]
fn sample_data_of_a_stereonet_library_runs_through() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/orientations_200.csv");
    let text = read_text(std::fs::File::open(path).unwrap()).unwrap().text;
    let survey = read(&text);
    assert_eq!((survey.rows, survey.readings.len()), (200, 200));
    let odd = survey.readings.iter().find(|r| r.line_number == 96).unwrap();
    assert_eq!(odd.plane, Plane { dip_deg: 4.0, dip_direction_deg: 4.0 });
    assert!(matches!(survey.warnings[..], [Warning::BeyondFullCircle { line: 96, .. }]));
    let mapped = backhold::survey::map_survey(&survey, &backhold::survey::MapOptions::default());
    let assigned: usize = mapped.sets.iter().map(|s| s.readings).sum();
    let free = mapped.classes.iter().filter(|c| c.set.is_none()).count();
    assert_eq!(assigned + free, 200);
    for set in &mapped.sets {
        println!(
            "{} {} readings {:.1}/{:.1} K {:.1}",
            set.name,
            set.readings,
            set.mean.dip_deg,
            set.mean.dip_direction_deg,
            set.fisher_k.unwrap()
        );
    }
    println!("none {free}; {:?}", mapped.warnings);
}
