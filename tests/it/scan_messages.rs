//! What is said of scans that cannot be used: file, key, found, allowed, what to do.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::io;

use backhold::case::{CaseFiles, Problem, ProblemKind, Problems, ReadCase, TEMPLATE, parse_case_with};
use backhold::opening::SectionShape;
use backhold::opening::scan::ScannedSection;
use backhold::study::{Warning, forces_alone};

const ARCHED: &str = "section = { shape = \"arched\", width_m = 5.0, wall_height_m = 3.2, rise_m = 1.6 }";

/// One mesh, whatever it is asked for.
struct OneFile(io::Result<Vec<u8>>);

impl CaseFiles for OneFile {
    fn text(&self, _: &str) -> io::Result<String> {
        Err(io::ErrorKind::NotFound.into())
    }

    fn bytes(&self, _: &str, most: usize) -> io::Result<Vec<u8>> {
        match &self.0 {
            Ok(bytes) if bytes.len() > most => Err(io::ErrorKind::FileTooLarge.into()),
            Ok(bytes) => Ok(bytes.clone()),
            Err(error) => Err(error.kind().into()),
        }
    }
}

fn read_with(name: &str, more: &str, bytes: io::Result<Vec<u8>>) -> Result<ReadCase, Problems> {
    let section = format!("section = {{ shape = \"scan\", file = \"{name}\"{more} }}");
    // Along north and level: u is east, s is north, v is up.
    let text: Vec<String> = TEMPLATE
        .replace(ARCHED, &section)
        .lines()
        .map(|line| match line.split_whitespace().next() {
            Some("trend_deg") => "trend_deg = 0.0".to_owned(),
            Some("plunge_deg") => "plunge_deg = 0.0".to_owned(),
            _ => line.to_owned(),
        })
        .collect();
    assert!(text.iter().any(|l| l.contains("\"scan\"")));
    parse_case_with(&text.join("\n"), "mine/case.toml", &OneFile(bytes))
}

fn read(name: &str, bytes: &[u8]) -> Result<ReadCase, Problems> {
    read_with(name, ", chainage_m = 2.0", Ok(bytes.to_vec()))
}

fn scan(read: &ReadCase) -> &ScannedSection {
    match &read.case.shape {
        SectionShape::Scan(scan) => scan,
        other => panic!("{other:?}"),
    }
}

/// All four things that a message has to say.
fn only(result: Result<ReadCase, Problems>) -> Problem {
    let problems = result.unwrap_err();
    assert_eq!(problems.list().len(), 1, "{problems}");
    let problem = problems.list()[0].clone();
    assert!(!problem.key.is_empty() && !problem.found.is_empty(), "{problem}");
    assert!(!problem.allowed.is_empty() && !problem.advice.is_empty(), "{problem}");
    problem
}

type Corner = [f64; 3];

/// A tube of 4 by 3 m along north, 4 m long, every length times `k`; as quadrilaterals.
fn tube(k: f64) -> Vec<[Corner; 4]> {
    let section = [(-2.0, 0.0), (2.0, 0.0), (2.0, 3.0), (-2.0, 3.0)];
    (0..4)
        .map(|i| {
            let ((u, v), (x, y)) = (section[i], section[(i + 1) % 4]);
            [[u, 0.0, v], [x, 0.0, y], [x, 4.0, y], [u, 4.0, v]].map(|c| c.map(|c| k * c))
        })
        .collect()
}

fn triangles(quads: &[[Corner; 4]]) -> Vec<[Corner; 3]> {
    quads.iter().flat_map(|[a, b, c, d]| [[*a, *b, *c], [*a, *c, *d]]).collect()
}

fn binary(triangles: &[[Corner; 3]]) -> Vec<u8> {
    // Some programs begin binary files with the word that text files begin with.
    let mut bytes = b"solid invented".to_vec();
    bytes.resize(80, b' ');
    bytes.extend((triangles.len() as u32).to_le_bytes());
    for triangle in triangles {
        bytes.extend([0u8; 12]);
        for number in triangle.iter().flatten() {
            bytes.extend((*number as f32).to_le_bytes());
        }
        bytes.extend([0u8; 2]);
    }
    bytes
}

fn ascii(triangles: &[[Corner; 3]]) -> String {
    let mut text = "solid invented\n".to_owned();
    for triangle in triangles {
        text += "facet normal 0 0 0\n  outer loop\n";
        for [x, y, z] in triangle {
            text += &format!("    vertex {x} {y} {z:e}\n");
        }
        text += "  endloop\nendfacet\n";
    }
    text + "endsolid invented\n"
}

fn obj(quads: &[[Corner; 4]]) -> String {
    let mut text = "# invented\no heading\n".to_owned();
    for quad in quads {
        for [x, y, z] in quad {
            text += &format!("v {x} {y} {z}\n");
        }
        // Counted back from the last vertex, with texture and normal.
        text += "f -4/1/1 -3//2 \\\n -2/7 -1\n";
    }
    text
}

#[test]
fn the_three_formats_give_the_same_section() {
    let quads = tube(1.0);
    let files = [
        ("a.stl", binary(&triangles(&quads))),
        ("a.STL", ascii(&triangles(&quads)).into_bytes()),
        ("a.obj", obj(&quads).into_bytes()),
    ];
    for (name, bytes) in files {
        let read = read(name, &bytes).unwrap_or_else(|problems| panic!("{name}: {problems}"));
        assert!(read.notes.is_empty());
        let scan = scan(&read);
        assert!((scan.cut_area_m2 - 12.0).abs() < 1e-9, "{name}");
        assert!(scan.added_m2().abs() < 1e-9);
        assert_eq!((scan.outline.len(), scan.mesh_name.as_str()), (4, name));
    }
}

/// File name, bytes; then line, key, part of what is found and of what to do.
type Row = (&'static str, Vec<u8>, Option<usize>, &'static str, &'static str, &'static str);

#[test]
fn each_mistake_in_a_mesh_has_its_message_and_its_place() {
    let quads = tube(1.0);
    let good = triangles(&quads);
    let text = ascii(&good);
    let bad_binary = |at: usize, number: f32| {
        let mut bytes = binary(&good);
        bytes[at..at + 4].copy_from_slice(&number.to_le_bytes());
        bytes
    };
    let rows: Vec<Row> = vec![
        ("a.stl", vec![], None, "mesh", "an empty file", "export the mesh again"),
        ("a.obj", b" \n\n".to_vec(), None, "mesh", "an empty file", "export the mesh again"),
        ("a.stl", b"short".to_vec(), None, "mesh", "5 bytes", "again"),
        (
            "a.stl",
            binary(&good)[..300].to_vec(),
            None,
            "mesh",
            "where 8 triangles take 484: the file was cut short",
            "again",
        ),
        ("a.stl", [binary(&good), vec![0; 7]].concat(), None, "mesh", "more follows", "again"),
        (
            "a.stl",
            bad_binary(84 + 12, f32::NAN),
            None,
            "triangle 1",
            "the coordinate NaN",
            "delete the faces",
        ),
        (
            "a.stl",
            bad_binary(84 + 50 + 16, f32::INFINITY),
            None,
            "triangle 2",
            "the coordinate inf",
            "delete the faces",
        ),
        ("a.stl", binary(&[]), None, "mesh", "a mesh without faces", "export the surface"),
        (
            "a.stl",
            text.replacen("vertex -2 0", "vertex nan 0", 1).into_bytes(),
            Some(4),
            "vertex",
            "\"nan\"",
            "delete the faces",
        ),
        (
            "a.stl",
            text.replacen("vertex -2 0", "vertex x 0", 1).into_bytes(),
            Some(4),
            "vertex",
            "\"x\"",
            "delete",
        ),
        (
            "a.stl",
            text.replacen(" 0e0\n", "\n", 1).into_bytes(),
            Some(4),
            "vertex",
            "a vertex of 2 numbers",
            "again",
        ),
        (
            "a.stl",
            text.as_bytes()[..text.match_indices("  endloop").nth(3).unwrap().0].to_vec(),
            Some(27),
            "mesh",
            "in the middle of a facet",
            "again",
        ),
        (
            "a.stl",
            text.replace("endsolid invented\n", "").into_bytes(),
            Some(57),
            "mesh",
            "without endsolid",
            "again",
        ),
        (
            "a.stl",
            text.replacen("outer loop", "inner loop", 1).into_bytes(),
            Some(3),
            "mesh",
            "\"inner loop\"",
            "again",
        ),
        ("a.obj", b"v 0 0 0\nv 1 0\nf 1 2 3\n".to_vec(), Some(2), "v", "a vertex of 2 numbers", "again"),
        ("a.obj", b"v 0 0 0\nv 1 0 nan\nf 1 2 3\n".to_vec(), Some(2), "v", "\"nan\"", "delete the faces"),
        (
            "a.obj",
            b"v 0 0 0\nv 1 0 0\nv 1 1 0\nf 1 2 4\n".to_vec(),
            Some(4),
            "f",
            "names vertex 4, and there are 3",
            "again",
        ),
        ("a.obj", b"v 0 0 0\nv 1 0 0\nv 1 1 0\nf 0 1 2\n".to_vec(), Some(4), "f", "vertex 0", "again"),
        (
            "a.obj",
            b"v 0 0 0\nv 1 0 0\nv 1 1 0\nf -1 -2 -4\n".to_vec(),
            Some(4),
            "f",
            "vertex -4, with 3 vertices before it",
            "again",
        ),
        ("a.obj", b"v 0 0 0\nv 1 0 0\nf 1 2\n".to_vec(), Some(3), "f", "a face of 2 corners", "again"),
        ("a.obj", b"v 0 0 0\nv 1 0 0\nf 1 two 2\n".to_vec(), Some(3), "f", "\"two\"", "again"),
        ("a.obj", b"v 0 0 0 1 2\n".to_vec(), Some(1), "v", "a vertex of 5 numbers", "again"),
        ("a.obj", b"v 0 0 0\nv 1 0 0\n".to_vec(), None, "mesh", "a mesh without faces", "export the surface"),
        ("a.obj", b"v 0 0 0\nsurf 0 1 0 1 1 2 3\n".to_vec(), Some(2), "mesh", "surf", "flat faces"),
        ("a.ply", b"ply".to_vec(), Some(0), "drive.section.file", "a.ply", "as STL or OBJ"),
    ];
    for (name, bytes, line, key, found, advice) in rows {
        let problem = only(read(name, &bytes));
        assert!(problem.found.contains(found), "{found}: {problem}");
        assert!(problem.advice.contains(advice), "{found}: {problem}");
        if key == "drive.section.file" {
            assert_eq!((problem.file.as_str(), problem.key.as_str()), ("mine/case.toml", key));
            continue;
        }
        assert_eq!(problem.file, format!("mine/{name}"), "{found}");
        if !key.is_empty() {
            assert_eq!((problem.line, problem.key.as_str()), (line, key), "{found}: {problem}");
        }
    }
}

#[test]
fn a_mesh_full_of_mistakes_is_not_read_to_its_end() {
    let problems = read("a.obj", "v 0 0 nan\n".repeat(5000).as_bytes()).unwrap_err();
    assert_eq!(problems.list().len(), 21);
    assert!(problems.list()[20].found.contains("the rest of the mesh was not read"), "{problems}");
}

#[test]
fn a_mesh_that_cannot_be_had_is_said_at_the_key() {
    for (error, kind, found) in [
        (io::ErrorKind::NotFound, ProblemKind::File, "no such file"),
        (io::ErrorKind::FileTooLarge, ProblemKind::File, "more than 128 MiB"),
        (io::ErrorKind::PermissionDenied, ProblemKind::Machine, "may not be read"),
    ] {
        let problem = only(read_with("a.stl", ", chainage_m = 2.0", Err(error.into())));
        assert_eq!((problem.kind, problem.key.as_str()), (kind, "drive.section.file"));
        assert!(problem.found.contains(found) && problem.line.is_some(), "{problem}");
    }
}

#[test]
fn millimetres_a_chainage_outside_and_a_wrong_origin_say_what_to_do() {
    let file = |k: f64| Ok(obj(&tube(k)).into_bytes());
    let problem = only(read_with("a.obj", ", chainage_m = 2.0", file(1000.0)));
    assert_eq!(problem.key, "drive.section.file");
    assert!(problem.found.contains("4000 wide and 3000 high"), "{problem}");
    assert!(problem.advice.contains("millimetres: multiply its coordinates by 0.001"), "{problem}");

    let problem = only(read_with("a.obj", ", chainage_m = 2.0", file(100.0)));
    assert!(problem.found.contains("400.000 m wide") && problem.advice.contains("centimetres"), "{problem}");

    for chainage in ["4.5", "-1.0", "0.0", "4.0"] {
        let problem = only(read_with("a.obj", &format!(", chainage_m = {chainage}"), file(1.0)));
        assert_eq!(problem.key, "drive.section.chainage_m");
        assert!(problem.found.contains("reaches from chainage 0.000 m to 4.000 m"), "{problem}");
        assert!(problem.allowed.contains("between 0.000 and 4.000 metres"), "{problem}");
        assert!(problem.advice.contains("origin"), "{problem}");
    }

    let problem = only(read_with("a.obj", ", chainage_m = 2.0, origin_east_m = 30.0", file(1.0)));
    assert!(problem.found.contains("from u -32.00 to -28.00"), "{problem}");
    assert!(problem.advice.contains("origin_east_m"), "{problem}");
}

#[test]
fn holes_and_shreds_say_where_and_what_to_do() {
    // Without the right wall.
    let mut quads = tube(1.0);
    quads.remove(1);
    let problem = only(read("a.obj", obj(&quads).as_bytes()));
    assert_eq!((problem.key.as_str(), problem.kind), ("drive.section.file", ProblemKind::Conflict));
    assert!(
        problem.found.contains("a hole of 3.00 m in the cut, at the right side, from u 2.00, v"),
        "{problem}"
    );
    assert!(problem.allowed.contains("at most 0.25 m"), "{problem}");
    assert!(problem.advice.contains("close_gaps_m"), "{problem}");
    // The same, closed by request: the warning says so.
    let more = ", chainage_m = 2.0, close_gaps_m = 3.1";
    let read = read_with("a.obj", more, Ok(obj(&quads).into_bytes())).unwrap();
    assert!((scan(&read).cut_area_m2 - 12.0).abs() < 1e-9);
    let warnings = forces_alone(&read.case).unwrap().warnings;
    assert!(warnings.iter().any(|w| matches!(w, Warning::ScanGapsClosed { count: 1, .. })), "{warnings:?}");

    // A hole all round.
    let mut far = tube(1.0);
    for corner in far.iter_mut().flatten() {
        corner[1] += 10.0;
    }
    let both = [tube(1.0), far].concat();
    let problem = only(read_with("a.obj", ", chainage_m = 7.0", Ok(obj(&both).into_bytes())));
    assert_eq!(problem.key, "drive.section.chainage_m");
    assert!(problem.found.contains("a hole all round"), "{problem}");

    // Loose triangles by the thousand.
    let shreds: Vec<[Corner; 4]> = (0..3000)
        .map(|i| {
            let (u, v) = (f64::from(i % 60), f64::from(i / 60));
            [[u, 1.0, v], [u + 0.3, 1.0, v], [u + 0.3, 3.0, v], [u, 3.0, v]]
        })
        .collect();
    let problem = only(self::read("a.obj", obj(&shreds).as_bytes()));
    assert!(problem.found.contains("3000 loose pieces"), "{problem}");
}

#[test]
fn keys_of_a_scan_are_checked_like_all_others() {
    let mesh = || Ok(obj(&tube(1.0)).into_bytes());
    let problem = only(read_with("a.obj", "", mesh()));
    assert_eq!((problem.kind, problem.key.as_str()), (ProblemKind::MissingKey, "drive.section.chainage_m"));
    let problem = only(read_with("a.obj", ", chainage_m = 2.0, close_gaps_m = 50.0", mesh()));
    assert_eq!(problem.key, "drive.section.close_gaps_m");
    let more = ", chainage_m = 2.0, design = { shape = \"arched\", width_m = 4.0, wall_height_m = 2.0, rise_m = 2.5 }";
    let problem = only(read_with("a.obj", more, mesh()));
    assert_eq!(problem.key, "drive.section.design.rise_m");
    let more = ", chainage_m = 2.0, design = { shape = \"flat\", width_m = 4.0, height = 3.0 }";
    let problems = read_with("a.obj", more, mesh()).unwrap_err();
    assert!(problems.list().iter().any(|p| p.key == "drive.section.design.height"), "{problems}");
}

#[test]
fn doubts_about_a_scan_are_warned_about() {
    // A bench of 1.5 by 1.5 m in the section: the hull adds half of what it cuts off.
    let section = [(-2.0, 0.0), (2.0, 0.0), (2.0, 3.0), (0.5, 3.0), (0.5, 1.2), (-2.0, 1.2)];
    let quads: Vec<[Corner; 4]> = (0..6)
        .map(|i| {
            let ((u, v), (x, y)) = (section[i], section[(i + 1) % 6]);
            [[u, 0.0, v], [x, 0.0, y], [x, 4.0, y], [u, 4.0, v]]
        })
        .collect();
    let more = ", chainage_m = 2.0, design = { shape = \"flat\", width_m = 1.2, height_m = 1.0 }";
    let read = read_with("a.obj", more, Ok(obj(&quads).into_bytes())).unwrap();
    let area = 4.0 * 1.2 + 1.5 * 1.8;
    let triangle = 0.5 * 2.5 * 1.8;
    assert!((scan(&read).added_m2() - triangle).abs() < 1e-9);
    assert!((scan(&read).added_share() - triangle / area).abs() < 1e-9);
    let warnings = forces_alone(&read.case).unwrap().warnings;
    assert!(warnings.iter().any(|w| matches!(w, Warning::ScanWidened { .. })), "{warnings:?}");
    assert!(warnings.iter().any(|w| matches!(w, Warning::ScanUnlikeDesign { .. })), "{warnings:?}");
}

#[test]
fn single_precision_far_from_zero_is_noted_and_lines_are_too() {
    let far: Vec<[Corner; 3]> =
        triangles(&tube(1.0)).iter().map(|t| t.map(|[x, y, z]| [x, y + 3_000_000.0, z])).collect();
    let more = ", chainage_m = 2.0, origin_north_m = 3000000.0";
    let read = read_with("a.stl", more, Ok(binary(&far))).unwrap();
    assert_eq!(read.notes.len(), 1);
    assert!(read.notes[0].found.contains("rounds to steps of 0.250 m"), "{}", read.notes[0]);
    assert!(read.notes[0].advice.contains("export the mesh as OBJ"));
    let text = obj(&tube(1.0)) + "l 1 2\np 3\n";
    let read = self::read("a.obj", text.as_bytes()).unwrap();
    assert!(read.notes[0].found.contains("2 lines or points"), "{:?}", read.notes);
}

#[test]
fn a_ring_of_vertices_in_the_plane_is_cut_like_any_other_place() {
    let mut on = tube(1.0);
    for corner in on.iter_mut().flatten() {
        corner[1] += 4.0;
    }
    let both = triangles(&[tube(1.0), on].concat());
    for chainage in ["4.0", "3.999999999999", "4.000000000001"] {
        let read = read_with("a.stl", &format!(", chainage_m = {chainage}"), Ok(binary(&both))).unwrap();
        let scan = scan(&read);
        assert!((scan.cut_area_m2 - 12.0).abs() < 1e-9 && scan.gaps.is_empty(), "{chainage}");
        assert_eq!((scan.left_out.loops, scan.left_out.pieces, scan.outline.len()), (0, 0, 4));
    }
}

#[test]
fn no_garbage_gets_through_or_stops_the_reader() {
    let quads = tube(1.0);
    let files = [
        ("a.stl", binary(&triangles(&quads))),
        ("a.stl", ascii(&triangles(&quads)).into_bytes()),
        ("a.obj", obj(&quads).into_bytes()),
    ];
    // A plain congruential generator (Knuth's constants), so that a failure can be found again.
    let mut state = 20_635u64;
    let mut next = |below: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below
    };
    let (mut good, mut bad) = (0, 0);
    for round in 0..1500 {
        let (name, whole) = &files[round % 3];
        let mut bytes = whole.clone();
        for _ in 0..=next(6) {
            let at = next(bytes.len());
            match next(4) {
                0 => bytes[at] = next(256) as u8,
                1 => bytes[at] = b"0123456789-. \nef/"[next(17)],
                2 => bytes.truncate(at.max(1)),
                _ => drop(bytes.remove(at)),
            }
            if bytes.is_empty() {
                bytes.push(b' ');
            }
        }
        match read(name, &bytes) {
            Ok(read) => {
                good += 1;
                let scan = scan(&read);
                assert!(scan.cut_area_m2 > 0.0 && scan.added_m2() > -1e-9);
                assert!(read.case.opening().is_ok());
            }
            Err(problems) => {
                bad += 1;
                for problem in problems.list() {
                    assert!(!problem.found.is_empty() && !problem.advice.is_empty(), "{problem}");
                    assert!(!problem.found.contains("that the reader accepts"), "{problem}");
                }
            }
        }
    }
    assert!(good > 50 && bad > 500, "{good} {bad}");
}
