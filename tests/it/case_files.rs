//! Files that a case names, and files on disk.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::io;
use std::path::Path;

use backhold::case::{
    LARGEST_FILE_BYTES, Problem, ProblemKind, Problems, ReadCase, TEMPLATE, parse_case, read_case,
};

const ARCHED: &str = "section = { shape = \"arched\", width_m = 5.0, wall_height_m = 3.2, rise_m = 1.6 }";

fn outline(csv: &str) -> Result<ReadCase, Problems> {
    let text = TEMPLATE.replace(ARCHED, "section = { shape = \"outline\", file = \"section.csv\" }");
    parse_case(&text, "case.toml", &|name| {
        assert_eq!(name, "section.csv");
        Ok(csv.to_owned())
    })
}

fn first(problems: &Problems) -> &Problem {
    &problems.list()[0]
}

#[test]
fn a_good_outline_reads_whatever_its_sense_and_its_comments() {
    let csv = "\u{feff}# a survey\n\nnote,v_m,u_m\nfloor,0,-2.5\nfloor,0,2.5\nback,4,2.5\n\nback,4,-2.5\nagain,4,-2.5\n";
    let case = outline(csv).unwrap().case;
    assert!((case.opening().unwrap().section.area_m2() - 20.0).abs() < 1e-9);
}

#[test]
fn each_mistake_of_an_outline_has_its_message_and_its_line() {
    let rows: [(&str, Option<usize>, &str, &str, &str); 16] = [
        ("u_m,v_m\n0,0\n1,0\n", Some(3), "outline", "2 different points", "at least 3"),
        ("u_m,v_m\n0,0\n1,0\n1,0\n0,0\n", Some(5), "outline", "2 different points", "at least 3"),
        (
            "u_m,v_m\n0,0\n4,4\n4,0\n0,4\n",
            Some(4),
            "outline",
            "the edge from line 2 to line 3 meets the edge from line 4 to line 5",
            "in order",
        ),
        (
            "u_m,v_m\n0,0\n4,0\n2,1\n0,4\n",
            Some(4),
            "outline",
            "turns inward at u_m 2, v_m 1: it is not convex",
            "a convex outline",
        ),
        ("u_m,v_m\n0,0\n1,0\n2,0\n", Some(4), "outline", "no area", "encloses an area"),
        ("", None, "outline", "an empty file", "u_m,v_m"),
        ("u,v_m\n0,0\n", Some(1), "u_m", "u,v_m", "the columns u_m and v_m"),
        ("u_m;v_m\n0;0\n", Some(1), "u_m, v_m", "u_m;v_m", "the columns u_m and v_m"),
        ("u_m,v_m\n0,0\n4,x\n4,4\n0,4\n", Some(3), "v_m", "x", "a number"),
        ("u_m,v_m\n0,0\n4,nan\n4,4\n0,4\n", Some(3), "v_m", "nan", "a number"),
        ("u_m,v_m\n0,0\n4\n4,4\n0,4\n", Some(3), "outline", "4 (1 fields)", "2 fields"),
        // Decimal commas: 4.5, 0 would be read as 4, 5.
        ("u_m,v_m\n0,0\n4,5,0\n4,4\n0,4\n", Some(3), "outline", "3 fields", "2, as the first line"),
        ("u_m,v_m,u_m\n0,0,0\n4,0,0\n4,4,0\n", Some(1), "u_m", "the column \"u_m\" twice", "one column"),
        ("u_m,v_m,note\n0,0,\n4,0,\n4,4,\"a\n", Some(4), "outline", "never closed", "in pairs"),
        (
            "u_m,v_m\n0,0\n4000,0\n4000,4000\n0,4000\n",
            Some(5),
            "outline",
            "4000.000 m by 4000.000 m",
            "0.1 to 100",
        ),
        ("u_m,v_m\n0,0\n0.01,0\n0.01,0.01\n", Some(4), "outline", "0.010 m by 0.010 m", "0.1 to 100"),
    ];
    for (csv, line, key, found, allowed) in rows {
        let problems = outline(csv).unwrap_err();
        let p = first(&problems);
        assert_eq!((p.file.as_str(), p.line, p.key.as_str()), ("section.csv", line, key), "{problems}");
        assert!(p.found.contains(found) && p.allowed.contains(allowed), "{problems}");
        assert_eq!(problems.list().len(), 1, "{problems}");
    }
    let bad = outline("u_m,v_m\n0,0\nx,0\n4,y\n").unwrap_err();
    assert_eq!(bad.list().iter().map(|p| p.line).collect::<Vec<_>>(), [Some(3), Some(4)]);
    let points: String = (0..2001).map(|i| format!("{i},0\n")).collect();
    assert!(
        first(&outline(&format!("u_m,v_m\n{points}")).unwrap_err()).found.contains("more than 2000 points")
    );
}

#[test]
fn a_file_that_cannot_be_had_is_blamed_where_it_is_named() {
    let text = TEMPLATE.replace(ARCHED, "section = { shape = \"outline\", file = \"section.csv\" }");
    let line = 1 + text
        .lines()
        .position(|l| l.contains("outline\", file = \"section.csv\" }") && !l.starts_with('#'))
        .unwrap();
    let rows = [
        (io::ErrorKind::NotFound, "section.csv: no such file", false),
        (io::ErrorKind::IsADirectory, "section.csv: a directory", false),
        (io::ErrorKind::PermissionDenied, "section.csv: a file that may not be read", true),
        (io::ErrorKind::Other, "section.csv: ", true),
    ];
    for (kind, found, machine) in rows {
        let problems = parse_case(&text, "case.toml", &|_| Err(kind.into())).unwrap_err();
        let p = first(&problems);
        assert_eq!(
            (p.file.as_str(), p.line, p.key.as_str()),
            ("case.toml", Some(line), "drive.section.file")
        );
        assert!(p.found.starts_with(found), "{problems}");
        assert_eq!(problems.machine_said_no(), machine);
    }
}

const MAPPED: &str = "north = \"mine grid\"\n\n[[joint_set]]\nname = \"A\"\ndip_deg = 66.0\ndip_direction_deg = 48.0\nfisher_k = 40.0\n\n\
    [[joint_set]]\nname = \"B\"\ndip_deg = 59.0\ndip_direction_deg = 170.0\n\n\
    [[joint_set]]\nname = \"C\"\ndip_deg = 51.0\ndip_direction_deg = 288.0\nsource = \"scanline 3\"\n";

/// The template with its sets taken from a file, and these entries instead of its own.
fn mapped(entries: &str, file: &str) -> Result<ReadCase, Problems> {
    let start = TEMPLATE.find("# Three joint sets").unwrap();
    let end = TEMPLATE.find("# Caps on").unwrap();
    let text = format!("{}{entries}\n{}", &TEMPLATE[..start], &TEMPLATE[end..])
        .replace("# joint_sets = \"joint_sets.toml\"", "joint_sets = \"joint_sets.toml\"");
    parse_case(&text, "case.toml", &|name| {
        assert_eq!(name, "joint_sets.toml");
        Ok(file.to_owned())
    })
}

fn strength(names: &[&str]) -> String {
    names
        .iter()
        .map(|n| format!("[[joint_set]]\nname = \"{n}\"\nfriction_deg = 30.0\nsource = \"tilt tests\"\n"))
        .collect()
}

#[test]
fn strength_is_added_to_mapped_sets() {
    let case = mapped(&strength(&["B", "A", "C"]), MAPPED).unwrap().case;
    let names: Vec<&str> = case.joints.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["A", "B", "C"]);
    assert_eq!(case.joints[0].fisher_k, Some(40.0));
    assert!((case.joints[0].strength.friction_deg - 30.0).abs() < 1e-12);
    assert_eq!(case.joints[0].source.as_deref(), Some("tilt tests"));
    assert_eq!(case.joints[2].source.as_deref(), Some("orientation: scanline 3; strength: tilt tests"));
}

#[test]
fn sets_without_friction_are_named_with_lines_to_paste() {
    let problems = mapped(&strength(&["A"]), MAPPED).unwrap_err();
    let p = first(&problems);
    assert_eq!((problems.list().len(), p.key.as_str()), (1, "joint_sets"));
    assert!(p.found.contains("no friction_deg for B, C of joint_sets.toml"), "{p}");
    let paste = p.paste.as_deref().unwrap();
    assert!(p.to_string().ends_with(paste));
    // Pasted and filled in, the case reads.
    let filled = paste.replace("friction_deg = ", "friction_deg = 30.0");
    assert!(mapped(&format!("{}{filled}", strength(&["A"])), MAPPED).is_ok());
    // Pasted and not filled in, it does not.
    let problems = mapped(&format!("{}{paste}", strength(&["A"])), MAPPED).unwrap_err();
    assert_eq!(problems.list().len(), 2);
    assert!(problems.list().iter().all(|p| p.advice == "type the value behind the ="), "{problems}");
}

#[test]
fn each_mistake_between_the_two_files_has_its_message() {
    let all = strength(&["A", "B", "C"]);
    let rows = [
        (
            format!("{all}{}", strength(&["D"])),
            MAPPED.to_owned(),
            "case.toml",
            "joint_set[4].name",
            "\"D\", which joint_sets.toml does not have",
        ),
        (
            format!("{all}{}", strength(&["A"])),
            MAPPED.to_owned(),
            "case.toml",
            "joint_set[4].name",
            "\"A\" again",
        ),
        (
            all.replace("name = \"A\"", "name = \"A\"\ndip_deg = 60.0"),
            MAPPED.to_owned(),
            "case.toml",
            "joint_set[1].dip_deg",
            "measured",
        ),
        (
            all.clone(),
            MAPPED.replace("fisher_k = 40.0", "friction_deg = 20.0"),
            "case.toml",
            "joint_set[1].friction_deg",
            "a second value, beside line 7 of joint_sets.toml",
        ),
        (
            all.clone(),
            MAPPED.replace("dip_deg = 66.0", "dip_deg = 95.0"),
            "joint_sets.toml",
            "joint_set[1].dip_deg",
            "95",
        ),
        (
            all.clone(),
            MAPPED.replace("dip_deg = 66.0", "dip = 66.0"),
            "joint_sets.toml",
            "joint_set[1].dip",
            "unknown key",
        ),
        (
            all.clone(),
            MAPPED.replace("dip_deg = 66.0", ""),
            "joint_sets.toml",
            "joint_set[1].dip_deg",
            "nothing",
        ),
        (
            all.clone(),
            MAPPED.replace("mine grid", "true north"),
            "joint_sets.toml",
            "north",
            "\"true north\", but the case counts from \"mine grid\"",
        ),
        (
            strength(&["A", "B"]),
            MAPPED[..MAPPED.find("[[joint_set]]\nname = \"C\"").unwrap()].to_owned(),
            "case.toml",
            "joint_set",
            "2 joint sets",
        ),
    ];
    for (entries, file, blamed, key, found) in rows {
        let problems = mapped(&entries, &file).unwrap_err();
        let p = first(&problems);
        assert_eq!((p.file.as_str(), p.key.as_str()), (blamed, key), "{problems}");
        assert!(p.found.contains(found), "{problems}");
        assert!(p.line.is_some());
        assert_eq!(problems.list().len(), 1, "{problems}");
    }
}

#[test]
fn files_on_disk_that_are_no_case() {
    let folder = tempfile::tempdir().unwrap();
    let refused = |path: &Path| {
        let problems = read_case(path).unwrap_err();
        assert_eq!((problems.list().len(), first(&problems).line), (1, None), "{problems}");
        assert_eq!(first(&problems).kind, ProblemKind::File);
        assert!(!problems.machine_said_no());
        first(&problems).clone()
    };
    let with = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        path
    };
    assert_eq!(refused(&folder.path().join("none.toml")).found, "no such file");
    assert_eq!(refused(folder.path()).found, "a directory");
    assert_eq!(refused(&with("empty.toml", b" \n\n")).found, "an empty file");
    assert!(
        refused(&with("latin.toml", b"title = \"x\"\n# Kl\xfcfte\n"))
            .found
            .contains("no UTF-8 text in line 2")
    );
    assert!(refused(&with("wide.toml", b"\xff\xfet\0i\0")).found.contains("UTF-16"));
    let large = vec![b'#'; LARGEST_FILE_BYTES + 1];
    assert!(refused(&with("large.toml", &large)).found.contains("more than 1048576 bytes"));
    assert!(refused(Path::new("nul\0byte")).found.contains("no file can have"));
}

#[test]
fn names_in_a_case_start_from_its_folder_and_messages_do_not() {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    assert!(read_case(&samples.join("outline.toml")).is_ok());
    let folder = tempfile::tempdir().unwrap();
    for name in ["outline.toml", "outline_joint_sets.toml"] {
        std::fs::copy(samples.join(name), folder.path().join(name)).unwrap();
    }
    std::fs::write(folder.path().join("outline.csv"), "u_m,v_m\n0,0\n").unwrap();
    let problems = read_case(&folder.path().join("outline.toml")).unwrap_err();
    assert_eq!(first(&problems).file, folder.path().join("outline.csv").display().to_string());
}

#[test]
fn an_outline_says_where_its_origin_went() {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let notes = read_case(&samples.join("outline.toml")).unwrap().notes;
    let moved: Vec<String> = notes.iter().map(ToString::to_string).filter(|n| n.contains("origin")).collect();
    assert_eq!(moved.len(), 1, "{notes:?}");
    assert!(moved[0].contains("u 99.975, v 211.980 in the file"), "{moved:?}");
    // One that counts from there says nothing.
    let read = outline("u_m,v_m\n-2,0\n2,0\n2,3\n-2,3\n").unwrap();
    assert!(read.notes.iter().all(|n| !n.to_string().contains("origin")), "{:?}", read.notes);
}

#[cfg(unix)]
#[test]
fn a_pipe_is_refused_and_not_waited_for() {
    let folder = tempfile::tempdir().unwrap();
    let pipe = folder.path().join("bolts.toml");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status().unwrap();
    assert!(made.success());
    let problems = read_case(&pipe).unwrap_err();
    assert!(first(&problems).found.contains("a pipe or a device"), "{problems}");
}
