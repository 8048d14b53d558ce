//! Spreadsheets and exports as people have them: headers of their own, notations that are named, rows that are chosen.
#![allow(clippy::unwrap_used, clippy::panic)] // a test may stop where it stands

use std::fmt::Write as _;
use std::path::Path;
use std::time::{Duration, Instant};

use backhold::input::{is_workbook, sheet_as_text};
use backhold::orientation::{Line, Plane};
use backhold::survey::{
    ColumnMap, Condition, LineKind, Notation, ReadOptions, RowChoice, StructureKind, Survey, SurveyLine,
    Warning, WrittenAs, map_survey, read_survey,
};

use crate::workbooks::{SheetToWrite, rows, xlsx};

fn pairs(columns: &[(&str, &str)]) -> ColumnMap {
    ColumnMap { pairs: columns.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect() }
}

/// Every row is a reading, a reject, a structure or left out.
fn read(text: &str, options: &ReadOptions) -> Survey {
    let survey = read_survey("s", text, options).unwrap();
    let told = survey.readings.len() + survey.rejects.len() + survey.structures.len() + survey.left_out.len();
    assert_eq!(told, survey.rows);
    survey
}

fn written(ways: &[WrittenAs]) -> ReadOptions {
    ReadOptions { written: ways.to_vec(), ..ReadOptions::default() }
}

/// The table of `samples/make_spreadsheets.py`.
fn mapping() -> ReadOptions {
    ReadOptions {
        columns: pairs(&[
            ("orientation", "Strike/dip"),
            ("line", "Line"),
            ("distance_m", "Dist (m)"),
            ("type", "Kind"),
            ("trace_length_m", "Trace (m)"),
            ("ends_seen", "Ends"),
            ("note", "Remark"),
        ]),
        written: vec![WrittenAs::Quadrant],
        ..ReadOptions::default()
    }
}

#[test]
fn one_table_in_three_kinds_of_spreadsheet_is_one_survey() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/workbooks");
    let mut found = Vec::new();
    for kind in ["xlsx", "xls", "ods"] {
        let bytes = std::fs::read(folder.join(format!("survey.{kind}"))).unwrap();
        assert!(is_workbook(&bytes));
        let error = sheet_as_text("s", &bytes, None).unwrap_err().to_string();
        assert!(
            error.contains("2 sheets and none named")
                && error.contains("Mapping")
                && error.contains("--sheet"),
            "{error}"
        );
        let error = sheet_as_text("s", &bytes, Some("Maping")).unwrap_err().to_string();
        assert!(
            error.contains("no sheet \"Maping\"") && error.contains("did you mean \"Mapping\"?"),
            "{error}"
        );
        let sheet = sheet_as_text("s", &bytes, Some("mapping")).unwrap();
        assert!(sheet.merged_rows > 0, "{kind}");
        let survey = read(&sheet.text, &mapping());
        assert_eq!(survey.rejects.len(), 2, "{kind}: {:?}", survey.rejects);
        assert!(survey.rejects[0].reason.contains("orientation \"not reached\""), "{:?}", survey.rejects[0]);
        assert!(
            survey.warnings.contains(&Warning::HeaderBelow { header_line: 5, lines: 3, sheet: None }),
            "{:?}",
            survey.warnings
        );
        let kinds: Vec<_> = survey.structures.iter().map(|s| (s.kind, s.name.as_str())).collect();
        let wanted = [
            (StructureKind::Fault, "fault_1"),
            (StructureKind::Contact, "contact_1"),
            (StructureKind::Fault, "fault_2"),
        ];
        assert_eq!(kinds, wanted);
        let fault = &survey.structures[0].reading;
        assert_eq!((fault.plane.dip_deg, fault.plane.dip_direction_deg), (74.0, 22.0));
        assert_eq!(fault.notation, Notation::Quadrant);
        let chainage = fault.chainage_m.unwrap() - fault.distance_m.unwrap();
        assert!((chainage - 100.0).abs() < 0.011, "{chainage}");
        found.push(format!("{:?} {:?} {:?}", survey.readings, survey.structures, survey.lines));
    }
    assert!(found[0] == found[1] && found[1] == found[2]);
}

#[test]
fn a_workbook_with_one_filled_sheet_needs_no_name_and_keeps_row_numbers() {
    let table = rows("Title\n\n#|Dip|Dip direction|note\n1|45|120|a\n\n2|95|10|b\n3|50|130|");
    let sheets = [
        SheetToWrite { name: "Empty", rows: Vec::new(), merged: Vec::new() },
        SheetToWrite { name: "Data", rows: table, merged: vec!["D4:D7".to_owned()] },
    ];
    let sheet = sheet_as_text("s", &xlsx(&sheets), None).unwrap();
    assert_eq!((sheet.sheet.as_str(), sheet.merged_rows), ("Data", 1));
    let survey = read(&sheet.text, &ReadOptions::default());
    // Row 5 would hold nothing but the value of the merged cell, and is empty.
    let lines: Vec<usize> = survey.readings.iter().map(|r| r.line_number).collect();
    let rejected: Vec<usize> = survey.rejects.iter().map(|r| r.line_number).collect();
    assert_eq!((lines, rejected), (vec![4, 7], vec![6]));
}

#[test]
fn an_empty_sheet_and_notes_on_headers_are_named() {
    let table = rows("Title\n\nDip (deg)|Dip direction (deg)|colour\n45|120|red");
    let book = xlsx(&[
        SheetToWrite { name: "Leer", rows: Vec::new(), merged: Vec::new() },
        SheetToWrite { name: "Data", rows: table, merged: Vec::new() },
    ]);
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("s.xlsx"), book).unwrap();
    let run = backhold(folder.path(), &["map", "s.xlsx", "--out", "o", "--sheet", "leer"]).code(2);
    let said = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
    assert!(said.contains("found sheet \"Leer\", which holds nothing") && said.contains("Data"), "{said}");
    backhold(folder.path(), &["map", "s.xlsx", "--out", "o"]).success();
    let notes = std::fs::read_to_string(folder.path().join("o/warnings.csv")).unwrap();
    assert!(notes.contains("on line 3 of sheet \"\"Data\"\"; 1 line above it was passed over"), "{notes}");
    assert!(notes.contains("column \"\"colour\"\" of sheet \"\"Data\"\" is not known"), "{notes}");
}

/// Types that nobody knows are one note, the commonest first; types and notations that are named for nothing are told.
#[test]
fn what_was_named_for_nothing_is_told() {
    let text = "dip_deg,dip_direction_deg,type\n1,2,Ader\n3,4,FLT\n5,6,FLT\n7,8,joint\n";
    let options = ReadOptions {
        structure_types: vec![("Stoerung".to_owned(), StructureKind::Fault)],
        ..written(&[WrittenAs::DipThenDirection, WrittenAs::About])
    };
    let survey = read(text, &options);
    let told: Vec<String> = survey.warnings.iter().map(ToString::to_string).collect();
    assert_eq!(told.len(), 4, "{told:?}");
    assert!(told[0].contains("--structure fault=Stoerung: no row"), "{told:?}");
    assert!(told[1].contains("--notation dip/direction") && told[2].contains("--notation about"), "{told:?}");
    assert!(told[3].contains("\"FLT\" (2 rows), \"Ader\" (1 row); where one"), "{told:?}");
    // Used ones are not.
    let options = ReadOptions {
        structure_types: vec![
            ("flt".to_owned(), StructureKind::Fault),
            ("ADER".to_owned(), StructureKind::Dyke),
        ],
        ..written(&[WrittenAs::About])
    };
    let survey = read(&text.replace("1,2,", "ca. 1,2,"), &options);
    let about = |w: &Warning| matches!(w, Warning::AboutTaken { .. });
    assert!(survey.structures.len() == 3 && survey.warnings.iter().all(about), "{:?}", survey.warnings);
}

/// Planes over the sphere, written in every notation with as many digits as there are, come back: to rounding, and
/// quadrants to the plane itself, whose letters only tell the side.
#[test]
fn every_notation_round_trips() {
    let points = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
    let mut planes = Vec::new();
    for i in 0..200 {
        let (dip_deg, dip_direction_deg) =
            (f64::from(i * 37 % 179) / 2.0 + 0.25, f64::from(i * 101 % 720) / 2.0);
        planes.push(Plane { dip_deg, dip_direction_deg });
    }
    let quadrant = |p: &Plane| {
        let strike = (p.dip_direction_deg + 270.0) % 360.0;
        let side = points[(p.dip_direction_deg / 45.0).round() as usize % 8];
        let text = match strike {
            s if s <= 90.0 => format!("N{s}E"),
            s if s <= 180.0 => format!("S{}E", 180.0 - s),
            s if s <= 270.0 => format!("S{}W", s - 180.0),
            s => format!("N{}W", 360.0 - s),
        };
        (text, format!("{}{side}", p.dip_deg))
    };
    let strike = |p: &Plane| (p.dip_direction_deg + 270.0) % 360.0;
    type Write<'w> = Box<dyn Fn(&Plane) -> String + 'w>;
    let ways: Vec<(&str, Option<WrittenAs>, Write<'_>)> = vec![
        ("dip_deg\tdip_direction_deg", None, Box::new(|p| format!("{}\t{}", p.dip_deg, p.dip_direction_deg))),
        ("strike_deg\tdip_deg", None, Box::new(|p| format!("{}\t{}", strike(p), p.dip_deg))),
        (
            "pole_trend_deg\tpole_plunge_deg",
            None,
            Box::new(|p| format!("{}\t{}", (p.dip_direction_deg + 180.0) % 360.0, 90.0 - p.dip_deg)),
        ),
        (
            "orientation",
            Some(WrittenAs::DipThenDirection),
            Box::new(|p| format!("{}/{}", p.dip_deg, p.dip_direction_deg)),
        ),
        (
            "orientation",
            Some(WrittenAs::DirectionThenDip),
            Box::new(|p| format!("{} / {}", p.dip_direction_deg, p.dip_deg)),
        ),
        ("orientation", Some(WrittenAs::StrikeThenDip), Box::new(|p| format!("{};{}", strike(p), p.dip_deg))),
        (
            "orientation",
            Some(WrittenAs::Quadrant),
            Box::new(|p| {
                let (a, b) = quadrant(p);
                format!("{a}/{b}")
            }),
        ),
        (
            "orientation",
            Some(WrittenAs::Quadrant),
            Box::new(|p| {
                let (a, b) = quadrant(p);
                format!("{a} {b}")
            }),
        ),
        (
            "strike_quadrant\tdip_quadrant",
            Some(WrittenAs::Quadrant),
            Box::new(|p| {
                let (a, b) = quadrant(p);
                format!("{a}\t{b}")
            }),
        ),
        (
            "dip_deg\tdip_direction_deg",
            Some(WrittenAs::About),
            Box::new(|p| format!("ca. {}\t~{}", p.dip_deg, p.dip_direction_deg)),
        ),
    ];
    for (header, way, write) in ways {
        let mut text = format!("no\t{header}\n");
        for (at, plane) in planes.iter().enumerate() {
            let _ = writeln!(text, "{at}\t{}", write(plane));
        }
        let survey = read(&text, &written(&way.into_iter().collect::<Vec<_>>()));
        assert!(survey.rejects.is_empty(), "{way:?}: {:?}", survey.rejects.first());
        for (reading, plane) in survey.readings.iter().zip(&planes) {
            let off = reading.plane.angle_to_deg(*plane);
            assert!(off < 1e-6, "{way:?} {plane:?} {off}");
        }
    }
}

#[test]
fn notations_are_named_and_never_guessed() {
    let text = "orientation,note\n65/120,x\n";
    let error = read_survey("s", text, &ReadOptions::default()).unwrap_err().to_string();
    assert!(error.contains("--notation"), "{error}");
    // Beside plain columns the combined one is passed over, and that is said.
    let survey = read("orientation,dip_deg,dip_direction_deg\n65/120,10,20\n", &ReadOptions::default());
    assert!(survey.warnings.contains(&Warning::OrientationPassedOver));
    assert_eq!(survey.readings[0].plane.dip_deg, 10.0);
    let bad = "orientation\n65-120\n95/120\nN45E/60SE\n65/\n/120\n";
    let survey = read(bad, &written(&[WrittenAs::DipThenDirection]));
    let reasons: Vec<&str> = survey.rejects.iter().map(|r| r.reason.as_str()).collect();
    assert!(survey.readings.is_empty() && reasons.len() == 5, "{reasons:?}");
    for (reason, part) in reasons.iter().zip([
        "\"65-120\" is not written as dip/direction",
        "dip_deg \"95\" is out of range",
        "dip_deg \"N45E\" is not a number",
        "",
        "",
    ]) {
        assert!(reason.contains(part), "{reason}");
    }
    // Without its name, a rough number is none.
    let rough = "dip_deg,dip_direction_deg,trace_length_m\nca. 60,120,about 3\n";
    assert_eq!(read(rough, &ReadOptions::default()).rejects.len(), 1);
    let survey = read(rough, &written(&[WrittenAs::About]));
    assert_eq!((survey.readings[0].plane.dip_deg, survey.readings[0].trace_length_m), (60.0, Some(3.0)));
    assert!(survey.warnings.iter().any(|w| matches!(w, Warning::AboutTaken { line: 2, .. })));
}

#[test]
fn only_the_rows_that_are_asked_for_are_taken() {
    let choice = |conditions: &[&str]| ReadOptions {
        rows: RowChoice { conditions: conditions.iter().map(|c| Condition::parse(c).unwrap()).collect() },
        lines: vec![SurveyLine {
            kind: Some(LineKind::Scanline),
            direction: Some(Line { trend_deg: 0.0, plunge_deg: 0.0 }),
            length_m: Some(60.0),
            ..SurveyLine::named("L1")
        }],
        ..ReadOptions::default()
    };
    let mut text = "dip_deg,dip_direction_deg,scanline,distance_m,Geologist\n".to_owned();
    for i in 0..60 {
        let _ = writeln!(
            text,
            "80,{},L1,{},{}",
            i % 5,
            f64::from(i) + 0.5,
            if i % 2 == 0 { "ann" } else { "Bo" }
        );
    }
    text.push_str("x,0,L1,12,ann\n");
    for (conditions, taken, length_m) in [
        (&["distance_m=10..40"][..], 30, 30.0),
        (&["distance_m=..10", "distance_m=50..90"], 20, 20.0),
        (&["geologist=BO"], 30, 60.0),
        (&["Geologist=ann", "distance_m=0..20"], 10, 20.0),
        (&["scanline=L2"], 0, 60.0),
    ] {
        let survey = read(&text, &choice(conditions));
        assert_eq!(survey.readings.len(), taken, "{conditions:?}");
        assert_eq!(survey.lines[0].length_m, Some(length_m), "{conditions:?}");
        assert_eq!(survey.left_out.len() + survey.rejects.len(), 61 - taken);
        if taken > 0 {
            let mapped = map_survey(&survey, &backhold::survey::MapOptions::default());
            let joints = (taken + survey.rejects.len()) as f64;
            assert!((mapped.lines[0].frequency_per_m - joints / length_m).abs() < 1e-12);
        }
    }
    let survey = read(&text, &choice(&["distance_m=10..40"]));
    assert_eq!(survey.left_out[0].reason, "left out: distance_m is \"0.5\", not 10..40");
    let error = read_survey("s", &text, &choice(&["Geolog=x", "nothing=1"])).unwrap_err();
    assert_eq!(error.list().len(), 2, "{error}");
}

/// Twenty exports as they come: what parts the cells, titles, headers in other words, decimal commas, rows of units,
/// comments, merged cells, notations. Each is read without being edited, with every row accounted for, and each
/// holds the same forty planes as far as it says.
#[test]
fn twenty_exports_are_read_as_they_are() {
    struct Export {
        text: String,
        options: ReadOptions,
        rejects: usize,
    }
    let planes: Vec<(f64, f64)> =
        (0..40).map(|i| (f64::from(30 + i * 7 % 60) + 0.5, f64::from(i * 53 % 360))).collect();
    let comma = |v: f64| v.to_string().replace('.', ",");
    let table = |head: &str, row: &dyn Fn(usize, f64, f64) -> String| {
        planes.iter().enumerate().fold(format!("{head}\n"), |text, (i, (a, b))| text + &row(i, *a, *b) + "\n")
    };
    let mapped = |columns: &[(&str, &str)]| ReadOptions { columns: pairs(columns), ..ReadOptions::default() };
    let both = |columns: &[(&str, &str)], ways: &[WrittenAs]| ReadOptions {
        written: ways.to_vec(),
        ..mapped(columns)
    };
    let german = [("dip_deg", "Fallen"), ("dip_direction_deg", "Fallrichtung")];
    let spanish = [("dip_deg", "Buzamiento (°)"), ("dip_direction_deg", "Dirección")];
    let mut exports: Vec<Export> = Vec::new();
    let mut add =
        |text: String, options: ReadOptions, rejects: usize| exports.push(Export { text, options, rejects });
    add(table("dip,dip dir", &|_, a, b| format!("{a},{b}")), ReadOptions::default(), 0);
    add(table("Fallen;Fallrichtung", &|_, a, b| format!("{};{b}", comma(a))), mapped(&german), 0);
    add(
        table("Nr\tFallrichtung\tFallen\tBemerkung", &|i, a, b| format!("{i}\t{b}\t{}\tkeine", comma(a))),
        mapped(&german),
        0,
    );
    add(
        format!(
            "Mina (inventada)\r\nNivel 12; galería\r\n\r\n{}",
            table("Buzamiento (°);Dirección", &|_, a, b| format!("{};{b}\r", comma(a)))
        ),
        mapped(&spanish),
        0,
    );
    add(
        table("Buzamiento (°)|Dirección|Nota", &|_, a, b| format!("{}|{b}|x, y", comma(a))),
        mapped(&spanish),
        0,
    );
    add(
        table("Dip (deg),Dip Direction (deg),Comment", &|_, a, b| format!("{a},{b},\"a, b\"")),
        ReadOptions::default(),
        0,
    );
    add(
        format!("{}Total;40\n", table("Fallen;Fallrichtung", &|_, a, b| format!("{};{b}", comma(a)))),
        mapped(&german),
        1,
    );
    add(table("DIP;DIP_DIRECTION\n°;°", &|_, a, b| format!("{a};{b}")), ReadOptions::default(), 1);
    add(
        table("Azi,Dip,ID", &|i, a, b| format!("{b}°,{a}°,J-{i}")),
        mapped(&[("dip_direction_deg", "Azi")]),
        0,
    );
    add(
        table("strike (RHR);dip", &|_, a, b| format!("{};{}", (b + 270.0) % 360.0, comma(a))),
        mapped(&[("strike_deg", "strike (RHR)")]),
        0,
    );
    add(
        table("Measurement\tby", &|_, a, b| format!("{a}/{b}\tx")),
        both(&[("orientation", "Measurement")], &[WrittenAs::DipThenDirection]),
        0,
    );
    add(
        table("Lage;von", &|_, a, b| format!("{b:03}/{};x", comma(a))),
        both(&[("orientation", "Lage")], &[WrittenAs::DirectionThenDip]),
        0,
    );
    add(
        table("S/D,x", &|_, a, b| format!("{}/{a},", (b + 270.0) % 360.0)),
        both(&[("orientation", "S/D")], &[WrittenAs::StrikeThenDip]),
        0,
    );
    add(
        table("dip,dip direction", &|i, a, b| {
            if i == 3 { format!("ca. {a},~{b}") } else { format!("{a},{b}") }
        }),
        written(&[WrittenAs::About]),
        0,
    );
    add(
        table("Pole trend;Pole plunge", &|_, a, b| format!("{};{}", (b + 180.0) % 360.0, comma(90.0 - a))),
        ReadOptions::default(),
        0,
    );
    add(
        format!(
            "# exported\n,,,\nMapping sheet,,,\nLevel,12,,\n\n{}",
            table("No.,Dip,DipDir,", &|i, a, b| format!("{i},{a},{b},"))
        ),
        ReadOptions::default(),
        0,
    );
    add(
        format!(
            "\u{feff}{}",
            table("\"Dip\n(deg)\";\"Dip direction\n(deg)\"", &|_, a, b| format!("\"{}\";\"{b}\"", comma(a)))
        ),
        ReadOptions::default(),
        0,
    );
    add(
        table("Fallrichtung;Fallen;Spur;Enden", &|_, a, b| format!("{b};{};2,5;1", comma(a))),
        mapped(&[german[0], german[1], ("trace_length_m", "Spur"), ("ends_seen", "Enden")]),
        0,
    );
    // Two that were spreadsheets, one with a merged line and a second title.
    let sheet = |text: &str, merged: Vec<String>| {
        let sheet = SheetToWrite { name: "Blatt 1", rows: rows(text), merged };
        sheet_as_text("s", &xlsx(&[sheet]), None).unwrap().text
    };
    add(
        sheet(
            &table("Kartierung\n\nOrt|Fallen|Fallrichtung", &|i, a, b| {
                format!("{}|{a}|{b}", if i == 0 { "W1" } else { "" })
            }),
            vec!["A4:A43".to_owned(), "A1:C1".to_owned()],
        ),
        mapped(&[german[0], german[1], ("line", "Ort")]),
        0,
    );
    add(
        sheet(
            &table("Fallen|Fallrichtung|Art", &|i, a, b| {
                format!("{}|{b}|{}", comma(a), if i == 7 { "St\u{f6}rung" } else { "Kluft" })
            }),
            Vec::new(),
        ),
        ReadOptions {
            structure_types: vec![("St\u{f6}rung".to_owned(), StructureKind::Fault)],
            ..mapped(&[german[0], german[1], ("type", "Art")])
        },
        0,
    );
    assert_eq!(exports.len(), 20);
    for (at, export) in exports.iter().enumerate() {
        let survey = read(&export.text, &export.options);
        assert_eq!(survey.rejects.len(), export.rejects, "export {at}: {:?}", survey.rejects);
        let mut all: Vec<_> =
            survey.readings.iter().chain(survey.structures.iter().map(|s| &s.reading)).collect();
        all.sort_by_key(|r| r.line_number);
        assert_eq!(all.len(), planes.len(), "export {at}");
        for (reading, (dip_deg, dip_direction_deg)) in all.iter().zip(&planes) {
            let off = reading
                .plane
                .angle_to_deg(Plane { dip_deg: *dip_deg, dip_direction_deg: *dip_direction_deg });
            assert!(off < 1e-6, "export {at}, line {}: {off}", reading.line_number);
        }
    }
    let merged = read(&exports[18].text, &exports[18].options);
    assert!(merged.readings.iter().all(|r| r.line == Some(0)) && merged.lines[0].id == "W1");
    assert_eq!(read(&exports[19].text, &exports[19].options).structures.len(), 1);
}

/// 100,000 rows of nine columns in an `.xlsx`: into a survey within five seconds, the process below 400 MB.
#[test]
#[ignore = "a time and a peak of memory: run it alone, with --nocapture, in release"]
fn a_hundred_thousand_rows_of_a_spreadsheet() {
    let mut table =
        String::from("No|Dip|Dip direction|scanline|distance_m|trace_length_m|ends_seen|jrc|note\n");
    for i in 0..100_000_u32 {
        let _ = writeln!(
            table,
            "{i}|{}|{}|L1|{}|{}|{}|{}|planar, rough",
            30 + i % 60,
            i * 7 % 360,
            f64::from(i) / 10.0,
            f64::from(1 + i % 40) / 10.0,
            i % 3,
            2 * (i % 9)
        );
    }
    let bytes = xlsx(&[SheetToWrite { name: "Data", rows: rows(&table), merged: Vec::new() }]);
    drop(table);
    let path = std::env::temp_dir().join("backhold_hundred_thousand.xlsx");
    std::fs::write(&path, &bytes).unwrap();
    let start = Instant::now();
    let sheet = sheet_as_text("s", &bytes, None).unwrap();
    let text = start.elapsed();
    let survey = read(&sheet.text, &ReadOptions::default());
    let all = start.elapsed();
    println!("{} bytes: text {text:?}, survey {all:?}; written to {}", bytes.len(), path.display());
    assert_eq!(survey.readings.len(), 100_000);
    assert!(all < Duration::from_secs(5));
}

fn backhold(folder: &Path, arguments: &[&str]) -> assert_cmd::assert::Assert {
    assert_cmd::Command::cargo_bin("backhold").unwrap().current_dir(folder).args(arguments).assert()
}

/// The sample spreadsheet, titles, quadrants and faults in it, goes through `map` as it is, and a case that names the
/// fragment and takes a structure in runs through `check`; the summary makes every file of the map again.
#[test]
fn a_spreadsheet_becomes_sets_structures_and_a_running_check_without_being_edited() {
    let folder = tempfile::tempdir().unwrap();
    let sample = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/survey_spreadsheet.xlsx");
    let map = [
        "map",
        sample,
        "--sheet",
        "Mapping",
        "--notation",
        "quadrant",
        "--column=orientation=Strike/dip",
        "--column=type=Kind",
        "--column=distance_m=Dist (m)",
        "--column=chainage_m=Chainage (m)",
        "--column=trace_length_m=Trace (m)",
        "--column=ends_seen=Ends",
        "--border=found",
        "--out",
        "sets",
    ];
    let run = backhold(folder.path(), &map).success();
    assert!(run.get_output().stderr.is_empty(), "{}", String::from_utf8_lossy(&run.get_output().stderr));
    let read = |name: &str| std::fs::read_to_string(folder.path().join(name)).unwrap();
    let structures = read("sets/structures.toml");
    assert_eq!(structures.matches("\n[[structure]]\n").count(), 3, "{structures}");
    assert_eq!(read("sets/structures.csv").lines().count(), 4);
    assert_eq!(read("sets/rejects.csv").lines().count(), 3);
    assert!(read("sets/joint_sets.toml").contains("# max_trace_m = "));

    // The engineer's part, typed before the survey came in or after it: friction of each set and of the fault, and where
    // on the section the fault was seen. Nothing that `map` wrote is touched.
    let template = {
        backhold(folder.path(), &["new", "drive.toml"]).success();
        read("drive.toml")
    };
    let (before, rest) = template.split_once("\n[[joint_set]]\n").unwrap();
    let (_, after) = rest.split_once("\n[limits]\n").unwrap();
    let before =
        before.replace("# joint_sets = \"joint_sets.toml\"", "joint_sets = \"sets/joint_sets.toml\"");
    let before =
        before.replace("# structures = \"structures.toml\"", "structures = \"sets/structures.toml\"");
    let sets =
        ["A", "B", "C"].map(|name| format!("[[joint_set]]\nname = \"{name}\"\nfriction_deg = 30.0\n\n"));
    let fault = "[[structure]]\nname = \"fault_1\"\nfriction_deg = 22.0\nu_m = 0.0\nv_m = 1.5\n";
    let case = |fault: &str| format!("{before}\n{}{fault}\n[limits]\n{after}", sets.concat());
    std::fs::write(folder.path().join("drive.toml"), case(fault)).unwrap();
    let run = backhold(folder.path(), &["check", "drive.toml", "--out", "checked"]).success();
    assert!(read("checked/wedges.csv").contains("fault_1"));
    let noted = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
    assert!(noted.contains("named by no [[structure]]"), "{noted}");
    backhold(folder.path(), &["check", "--again", "checked/summary.json"]).success();

    // Pasted whole, the same fault gives the same wedges.
    let pasted = structures.split("\n[[structure]]\n").find(|s| s.contains("\"fault_1\"")).unwrap();
    let pasted = pasted
        .replace("# u_m = ", "u_m = 0.0")
        .replace("# v_m = ", "v_m = 1.5")
        .replace("# friction_deg = ", "friction_deg = 22.0");
    let whole = case(&format!("[[structure]]\n{pasted}"));
    std::fs::write(folder.path().join("pasted.toml"), whole.replace("structures = \"sets", "# \"sets"))
        .unwrap();
    backhold(folder.path(), &["check", "pasted.toml", "--out", "pasted"]).success();
    assert_eq!(read("checked/wedges.csv"), read("pasted/wedges.csv"));

    // A name that was not mapped, a value that was, and a fault whose friction nobody gave: all three at once.
    let wrong = "[[structure]]\nname = \"fault_9\"\nfriction_deg = 22.0\n\n\
                 [[structure]]\nname = \"fault_1\"\ndip_deg = 40.0\nu_m = 0.0\nv_m = 1.5\n";
    std::fs::write(folder.path().join("wrong.toml"), case(wrong)).unwrap();
    let run = backhold(folder.path(), &["check", "wrong.toml", "--out", "wrong"]).code(2);
    let said =
        String::from_utf8_lossy(&run.get_output().stderr).split_whitespace().collect::<Vec<_>>().join(" ");
    // What the file would have given is not missed besides.
    assert!(!said.contains("structure[1].dip_deg") && !said.contains("structure[1].chainage_m"), "{said}");
    for part in [
        "\"fault_9\", which sets/structures.toml does not have",
        "structure[2].dip_deg: found a second value",
        "structure[2].friction_deg: found nothing",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }

    let again = backhold(folder.path(), &["map", "--again", "sets/summary.json"]).success();
    let said =
        String::from_utf8_lossy(&again.get_output().stdout).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("Reproduced byte for byte") && said.contains("sets.csv"), "{said}");
    // A table that somebody touched is named.
    std::fs::write(folder.path().join("sets/sets.csv"), read("sets/sets.csv") + "x\n").unwrap();
    let again = backhold(folder.path(), &["map", "--again", "sets/summary.json"]).code(1);
    assert!(String::from_utf8_lossy(&again.get_output().stdout).contains("sets.csv beside the summary"));
    // Another command's summary is told apart.
    let wrong = backhold(folder.path(), &["map", "--again", "checked/summary.json"]).code(2);
    assert!(String::from_utf8_lossy(&wrong.get_output().stderr).contains("backhold check wrote it"));
}

#[test]
fn switches_that_say_nothing_are_named_together() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("s.csv"), "dip_deg,dip_direction_deg\n1,2\n").unwrap();
    std::fs::write(folder.path().join("p.png"), b"\x89PNG\0\0").unwrap();
    let wrong = [
        "map",
        "s.csv",
        "--out",
        "o",
        "--notation=runes",
        "--notation=quadrant",
        "--notation=dip/direction",
        "--where=x",
        "--structure=dog=D",
        "--border=far",
        "--sheet=A",
        "--unlabelled=assign",
        "--sets=3",
    ];
    let said = backhold(folder.path(), &wrong).code(2);
    let said = String::from_utf8_lossy(&said.get_output().stderr).into_owned();
    for part in [
        "--notation runes",
        "column orientation is written in one way",
        "--where x",
        "--structure dog=D",
        "--border far",
        "is no spreadsheet",
        "--unlabelled assign",
    ] {
        assert!(said.contains(part), "{part} in\n{said}");
    }
    let said = backhold(folder.path(), &["map", "p.png", "--out", "o"]).code(2);
    assert!(String::from_utf8_lossy(&said.get_output().stderr).contains("this is no text"));
    assert!(!folder.path().join("o").exists());
}
