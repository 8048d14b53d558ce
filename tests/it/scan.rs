//! Cuts through scanned meshes against a reference that shares no method with the library
//! (`tests/reference/scan`), and what the noise of a scan does to the section that comes out.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::{Path, PathBuf};

use backhold::case::read_case;
use backhold::opening::scan::{
    CLOSED_GAP_M, MOST_FACETS, Mesh, SIMPLIFIED_SHARE, ScanError, ScanPlace, ScannedSection,
};
use backhold::opening::{DriveFrame, Section, SectionShape, Vec2, cross2};
use backhold::orientation::{Line, Vec3};
use backhold::study::{Warning, decided, forces_alone};

/// As in make_scan.py.
const NOISE_M: f64 = 0.010;
const ORIGIN: [f64; 3] = [4310.25, 7785.5, -412.75];

fn reference(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/scan").join(name)
}

fn rows(name: &str) -> Vec<Vec<f64>> {
    let text = std::fs::read_to_string(reference(name)).unwrap();
    text.lines().skip(1).map(|l| l.split(',').map(|n| n.parse().unwrap()).collect()).collect()
}

/// The tube as vertices and triangles, read with as little as will do.
fn tube() -> (Vec<Vec3>, Vec<[u32; 3]>) {
    let text = std::fs::read_to_string(reference("tube.obj")).unwrap();
    let (mut vertices, mut triangles) = (Vec::new(), Vec::new());
    for line in text.lines() {
        let words: Vec<&str> = line.split(' ').collect();
        match words[0] {
            "v" => vertices.push(Vec3::from_fn(|i, _| words[i + 1].parse().unwrap())),
            "f" => triangles.push([1, 2, 3].map(|i| words[i].parse::<u32>().unwrap() - 1)),
            _ => {}
        }
    }
    (vertices, triangles)
}

fn mesh_of(vertices: &[Vec3], triangles: &[[u32; 3]]) -> Mesh {
    let mut mesh = Mesh::default();
    for vertex in vertices {
        mesh.add_vertex(*vertex).unwrap();
    }
    for triangle in triangles {
        mesh.add_face(triangle).unwrap();
    }
    mesh
}

fn frame() -> DriveFrame {
    DriveFrame::new(Line { trend_deg: 127.3, plunge_deg: 6.5 })
}

fn at(chainage_m: f64) -> ScanPlace {
    ScanPlace { origin_m: Vec3::from(ORIGIN), chainage_m, close_gaps_m: CLOSED_GAP_M }
}

fn scanned(mesh: &Mesh, chainage_m: f64) -> Result<ScannedSection, ScanError> {
    let design = SectionShape::Flat { width_m: 5.0, height_m: 4.5 }.section().unwrap();
    ScannedSection::of(mesh, "tube.obj", &frame(), at(chainage_m), Some(&design))
}

fn distance_to_line(point: &Vec2, closed: &[Vec2]) -> f64 {
    let n = closed.len();
    let to = |i: usize| {
        let (a, b) = (closed[i], closed[(i + 1) % n]);
        let step = ((point - a).dot(&(b - a)) / (b - a).norm_squared()).clamp(0.0, 1.0);
        (point - (a + (b - a) * step)).norm()
    };
    (0..n).map(to).fold(f64::INFINITY, f64::min)
}

/// Least distance of a point to the inside of a convex line, negative outside.
fn depth_inside(point: &Vec2, convex: &[Vec2]) -> f64 {
    let n = convex.len();
    let side = |i: usize| {
        let along = convex[(i + 1) % n] - convex[i];
        cross2(&along, &(point - convex[i])) / along.norm()
    };
    (0..n).map(side).fold(f64::INFINITY, f64::min)
}

#[test]
fn ten_cuts_agree_with_the_reference() {
    let (vertices, triangles) = tube();
    let mesh = mesh_of(&vertices, &triangles);
    let cuts = rows("cuts.csv");
    let all_points = rows("points.csv");
    assert_eq!(cuts.len(), 10);
    let mut worst = [0.0f64; 4];
    for cut in &cuts {
        let [chainage, count, area, hull, width, height, over, under] = cut[..] else { panic!("columns") };
        let scan = scanned(&mesh, chainage).unwrap();
        assert_eq!(scan.cut.len(), count as usize, "chainage {chainage}");
        assert!(scan.gaps.is_empty() && scan.cut_crossings == 0);
        assert_eq!((scan.left_out.loops, scan.left_out.pieces), (0, 0));
        // Doubles near 8 km have steps of 1e-12 m; a cut is 17 m round.
        let [w, h] = scan.cut_size_m();
        let of_areas = (scan.cut_area_m2 - area).abs().max((scan.hull_area_m2 - hull).abs());
        worst[0] = worst[0].max(of_areas);
        worst[1] = worst[1].max((w - width).abs().max((h - height).abs()));
        let overbreak = scan.overbreak.as_ref().unwrap();
        let of_breaks = (overbreak.overbreak_m2 - over).abs().max((overbreak.underbreak_m2 - under).abs());
        worst[2] = worst[2].max(of_breaks);
        // Each point of the reference is a point of the cut.
        let points: Vec<Vec2> =
            all_points.iter().filter(|p| p[0] == chainage).map(|p| Vec2::new(p[1], p[2])).collect();
        assert_eq!(points.len(), scan.cut.len());
        for point in &points {
            let nearest = scan.cut.iter().map(|p| (p - point).norm()).fold(f64::INFINITY, f64::min);
            worst[3] = worst[3].max(nearest);
        }
    }
    println!(
        "areas {:.1e} m², sizes {:.1e} m, over/under {:.1e} m², points {:.1e} m",
        worst[0], worst[1], worst[2], worst[3]
    );
    assert!(worst[0] < 1e-9 && worst[1] < 1e-10 && worst[3] < 1e-10, "{worst:?}");
    // The reference's strips are 29 µm wide and the cut's upright sides fall between two of them:
    // at most a strip times the height for each of the four.
    assert!(worst[2] < 4.0 * 29e-6 * 5.2, "{worst:?}");
}

#[test]
fn the_known_section_comes_back_within_the_noise() {
    let section: Vec<Vec2> = rows("section.csv").iter().map(|p| Vec2::new(p[0], p[1])).collect();
    let n = section.len();
    let area = 0.5 * (0..n).map(|i| cross2(&section[i], &section[(i + 1) % n])).sum::<f64>();
    let round: f64 = (0..n).map(|i| (section[(i + 1) % n] - section[i]).norm()).sum();
    // Across the section a vertex is moved by at most this; rounding adds a hair.
    let most = NOISE_M * 2f64.sqrt() + 2e-4;
    let (vertices, triangles) = tube();
    let mesh = mesh_of(&vertices, &triangles);
    let mut worst = [0.0f64; 3];
    for cut in rows("cuts.csv") {
        let scan = scanned(&mesh, cut[0]).unwrap();
        for point in &scan.cut {
            worst[0] = worst[0].max(distance_to_line(point, &section));
        }
        for corner in &section {
            worst[1] = worst[1].max(distance_to_line(corner, &scan.cut));
        }
        worst[2] = worst[2].max((scan.cut_area_m2 - area).abs());
    }
    println!(
        "cut off section {:.4} m, section off cut {:.4} m, area {:.4} of {area:.4} m²",
        worst[0], worst[1], worst[2]
    );
    // Ring vertices do not lie in the plane: between two of them a cut bends by the noise of both,
    // so a corner may lie further off than one vertex can, by no more than as much again.
    assert!(worst[0] <= most && worst[1] <= 2.0 * most, "{worst:?}");
    assert!(worst[2] <= most * round, "{worst:?}");
    // Not by luck: with noise, it is not exact.
    assert!(worst[0] > 0.5 * NOISE_M);
}

#[test]
fn the_section_contains_its_cut_and_states_what_it_adds() {
    let (vertices, triangles) = tube();
    let mesh = mesh_of(&vertices, &triangles);
    for cut in rows("cuts.csv") {
        let scan = scanned(&mesh, cut[0]).unwrap();
        assert!(scan.outline.len() <= MOST_FACETS);
        let deepest = scan.cut.iter().map(|p| depth_inside(p, &scan.outline)).fold(f64::INFINITY, f64::min);
        assert!(deepest > -1e-9, "{deepest}");
        let simplified = scan.outline_area_m2 / scan.hull_area_m2 - 1.0;
        assert!((-1e-12..=SIMPLIFIED_SHARE + 1e-12).contains(&simplified), "{simplified}");
        assert!((scan.added_m2() - (scan.outline_area_m2 - cut[2])).abs() < 1e-9);
        assert!((scan.added_share() - scan.added_m2() / cut[2]).abs() < 1e-9);
        let section = SectionShape::Scan(Box::new(scan.clone())).section().unwrap();
        assert!((section.area_m2() - scan.outline_area_m2).abs() < 1e-9);
    }
}

#[test]
fn neither_the_order_of_faces_nor_their_turn_nor_a_move_of_both_changes_the_cut() {
    let (vertices, triangles) = tube();
    let first = scanned(&mesh_of(&vertices, &triangles), 7.777).unwrap();
    let mut shuffled = triangles.clone();
    shuffled.reverse();
    for (i, triangle) in shuffled.iter_mut().enumerate() {
        triangle.rotate_left(i % 3);
        if i % 2 == 0 {
            triangle.swap(0, 1);
        }
    }
    let second = scanned(&mesh_of(&vertices, &shuffled), 7.777).unwrap();
    assert!((first.cut_area_m2 - second.cut_area_m2).abs() < 1e-12);
    assert_eq!(first.outline.len(), second.outline.len());
    for (a, b) in first.outline.iter().zip(&second.outline) {
        assert!((a - b).norm() < 1e-12);
    }
    // Mesh and origin moved together, and the cut counted from further back.
    let by = Vec3::new(-300.0, 120.0, 55.0);
    let moved: Vec<Vec3> = vertices.iter().map(|v| v + by).collect();
    let back = 4.0;
    let place = ScanPlace {
        origin_m: Vec3::from(ORIGIN) + by - frame().along().into_inner() * back,
        chainage_m: 7.777 + back,
        close_gaps_m: CLOSED_GAP_M,
    };
    let third = ScannedSection::of(&mesh_of(&moved, &triangles), "", &frame(), place, None).unwrap();
    assert!((first.cut_area_m2 - third.cut_area_m2).abs() < 1e-9);
}

/// Triangles whose centroid, in local (u, s, v), is kept.
fn kept(vertices: &[Vec3], triangles: &[[u32; 3]], keep: impl Fn(&Vec3) -> bool) -> Vec<[u32; 3]> {
    let frame = frame();
    let middle = |t: &[u32; 3]| {
        let sum: Vec3 = t.iter().map(|&i| vertices[i as usize] - Vec3::from(ORIGIN)).sum();
        frame.to_local(&(sum / 3.0))
    };
    triangles.iter().filter(|t| keep(&middle(t))).copied().collect()
}

#[test]
fn a_small_hole_is_closed_and_a_large_one_is_named() {
    let (vertices, triangles) = tube();
    let whole = scanned(&mesh_of(&vertices, &triangles), 5.01).unwrap();
    // A floor that was never scanned.
    let open = kept(&vertices, &triangles, |p| p.z > 0.25);
    let mesh = mesh_of(&vertices, &open);
    match scanned(&mesh, 5.01) {
        Err(ScanError::Hole { from, to, place, pieces }) => {
            assert_eq!((place, pieces), ("floor", 1));
            assert!((4.5..5.5).contains(&(to - from).norm()), "{from:?} {to:?}");
        }
        other => panic!("{other:?}"),
    }
    // Asked to close it, a straight floor comes out, and the gap is stated.
    let wide = ScanPlace { close_gaps_m: 6.0, ..at(5.01) };
    let closed = ScannedSection::of(&mesh, "", &frame(), wide, None).unwrap();
    assert_eq!(closed.gaps.len(), 1);
    assert!(closed.cut_area_m2 < whole.cut_area_m2 && closed.cut_area_m2 > 0.9 * whole.cut_area_m2);
    // One triangle missing in the right wall, 0.3 m wide at its base and nothing at its tip: closed
    // unasked up to the limit, a hole beyond it.
    let lacking: Vec<[u32; 3]> = {
        let near = kept(&vertices, &triangles, |p| {
            p.x > 2.4 && (1.9..2.1).contains(&p.z) && (4.4..5.4).contains(&p.y)
        });
        assert!(!near.is_empty());
        triangles.iter().filter(|t| **t != near[0]).copied().collect()
    };
    let mesh = mesh_of(&vertices, &lacking);
    let (mut closed, mut open) = (0, 0);
    for s in (0..16).map(|i| 4.1 + 0.1 * f64::from(i)) {
        match scanned(&mesh, s) {
            Ok(scan) if scan.gaps.is_empty() => {}
            Ok(scan) => {
                closed += 1;
                assert!(scan.gaps.len() == 1 && scan.gaps[0].width_m() <= CLOSED_GAP_M, "{:?}", scan.gaps);
            }
            Err(ScanError::Hole { from, to, place, .. }) => {
                open += 1;
                assert!((to - from).norm() > CLOSED_GAP_M && place == "right side");
            }
            Err(other) => panic!("{other}"),
        }
    }
    assert!(closed > 0 && open > 0, "{closed} {open}");
}

#[test]
fn a_second_drive_beside_it_and_scraps_are_left_out_and_counted() {
    let (vertices, triangles) = tube();
    let whole = scanned(&mesh_of(&vertices, &triangles), 5.01).unwrap();
    let mut mesh = mesh_of(&vertices, &triangles);
    let aside = frame().right().into_inner() * 20.0;
    let first = vertices.len() as u32;
    for vertex in &vertices {
        mesh.add_vertex(vertex + aside).unwrap();
    }
    for t in &triangles {
        mesh.add_face(&t.map(|i| i + first)).unwrap();
    }
    // A hanging plate: a loose triangle that the plane crosses.
    let near = Vec3::from(ORIGIN) + frame().to_world(&Vec3::new(0.0, 5.01, 3.0));
    let scrap = [(-0.2, -0.3, 0.0), (0.4, -0.3, 0.0), (0.1, 0.3, 0.2)]
        .map(|(u, s, v)| mesh.add_vertex(near + frame().to_world(&Vec3::new(u, s, v))).unwrap());
    mesh.add_face(&scrap).unwrap();
    let found = scanned(&mesh, 5.01).unwrap();
    assert_eq!(found.outline, whole.outline);
    assert_eq!((found.left_out.loops, found.left_out.pieces), (1, 1));
    assert!((found.left_out.loops_area_m2 - whole.cut_area_m2).abs() < 1e-9);
    assert!(found.left_out.longest_piece_m > 0.2);
}

#[test]
fn the_sample_is_read_and_its_overbreak_is_where_it_was_put() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/scan.toml");
    let read = read_case(&path).unwrap_or_else(|problems| panic!("{problems}"));
    assert!(read.notes.is_empty(), "{:?}", read.notes);
    let SectionShape::Scan(scan) = &read.case.shape else { panic!("no scan") };
    let over = scan.overbreak.as_ref().unwrap();
    // 6 cm all round, 0.55 m more at the right shoulder (make_scan.py).
    assert!(over.farthest_m > 0.45 && over.farthest_m < 0.65, "{}", over.farthest_m);
    assert!(over.farthest_at.x > 1.8 && over.farthest_at.y > 3.3, "{}", over.farthest_at);
    assert!(over.overbreak_m2 > 1.0 && over.underbreak_m2 < 0.1);
    let balance = scan.cut_area_m2 - over.overbreak_m2 - (over.design_area_m2 - over.underbreak_m2);
    assert!(balance.abs() < 1e-9);
    // What is cut goes into the check.
    let checked = forces_alone(&read.case).unwrap();
    assert!((checked.opening.section.area_m2() - scan.outline_area_m2).abs() < 1e-9);
    assert!(
        checked.warnings.iter().all(|w| !matches!(w, Warning::ScanWidened { .. })),
        "{:?}",
        checked.warnings
    );
    assert!(!checked.wedges.is_empty());
}

#[test]
fn an_exact_scan_of_a_design_checks_as_the_design_does() {
    // A flat section scanned without noise, in a drive that dips: the same wedges as designed.
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/haulage.toml");
    let mut case = read_case(&path).unwrap().case;
    let flat = SectionShape::Flat { width_m: 5.0, height_m: 4.5 };
    let section: Section = flat.section().unwrap();
    let frame = DriveFrame::new(case.advance);
    let mut mesh = Mesh::default();
    for s in [-1.0, 3.0] {
        for p in section.vertices() {
            mesh.add_vertex(frame.to_world(&Vec3::new(p.x, s, p.y))).unwrap();
        }
    }
    let n = section.vertices().len() as u32;
    for i in 0..n {
        let j = (i + 1) % n;
        mesh.add_face(&[i, j, n + j, n + i]).unwrap();
    }
    let place = ScanPlace { origin_m: Vec3::zeros(), chainage_m: 0.9, close_gaps_m: 0.0 };
    let scan = ScannedSection::of(&mesh, "", &frame, place, Some(&section)).unwrap();
    assert!(scan.added_m2().abs() < 1e-9);
    case.shape = flat;
    let designed = decided(&case, forces_alone(&case).unwrap());
    case.shape = SectionShape::Scan(Box::new(scan));
    let measured = decided(&case, forces_alone(&case).unwrap());
    assert_eq!(designed.wedges.len(), measured.wedges.len());
    for (a, b) in designed.wedges.iter().zip(&measured.wedges) {
        assert_eq!((&a.wedge.id, a.decided.verdict), (&b.wedge.id, b.decided.verdict));
        assert!(
            (a.wedge.shape.volume_m3 - b.wedge.shape.volume_m3).abs() <= 1e-3 * a.wedge.shape.volume_m3,
            "{}",
            a.wedge.id
        );
    }
}

/// An arched heading of 5.0 by 4.8 m whose middle at `s` of the frame lies at `across(s)`, each ring of points
/// square to the frame's axis turned by `turn(s)` degrees about the vertical.
fn heading(scale: f64, across: impl Fn(f64) -> f64, turn_deg: impl Fn(f64) -> f64) -> Mesh {
    let section = SectionShape::Arched { width_m: 5.0, wall_height_m: 3.2, rise_m: 1.6 }.section().unwrap();
    let ring = section.vertices();
    let n = ring.len() as u32;
    let mut mesh = Mesh::default();
    let steps = 40;
    for k in 0..=steps {
        let s = 16.0 * f64::from(k) / f64::from(steps);
        let (sine, cosine) = turn_deg(s).to_radians().sin_cos();
        for p in ring {
            let local = Vec3::new(across(s) + p.x * cosine, s - p.x * sine, p.y) * scale;
            mesh.add_vertex(Vec3::from(ORIGIN) + level().to_world(&local)).unwrap();
        }
    }
    for k in 0..steps {
        for i in 0..n {
            let j = (i + 1) % n;
            let at = |row: i32, i: u32| row as u32 * n + i;
            mesh.add_face(&[at(k, i), at(k, j), at(k + 1, j), at(k + 1, i)]).unwrap();
        }
    }
    mesh
}

fn level() -> DriveFrame {
    DriveFrame::new(Line { trend_deg: 40.0, plunge_deg: 0.0 })
}

/// What is said of a cut at chainage 8, with the design and without.
fn said_of(mesh: &Mesh, with_design: bool) -> (ScannedSection, Vec<String>) {
    let design = SectionShape::Arched { width_m: 5.0, wall_height_m: 3.2, rise_m: 1.6 }.section().unwrap();
    let scan = ScannedSection::of(mesh, "m", &level(), at(8.0), with_design.then_some(&design)).unwrap();
    let mut case = crate::worked_case::three_sets();
    case.advance = Line { trend_deg: 40.0, plunge_deg: 0.0 };
    case.shape = SectionShape::Scan(Box::new(scan.clone()));
    let said = forces_alone(&case).unwrap().warnings.iter().map(ToString::to_string).collect();
    (scan, said)
}

#[test]
fn a_cut_askew_aside_or_in_a_bend_is_said() {
    let of_course = |said: &[String]| {
        let words = ["runs", "turns by", "the middle of the scan's cut", "see that the mesh"];
        said.iter().filter(|s| words.iter().any(|w| s.contains(w))).cloned().collect::<Vec<_>>()
    };
    let (scan, said) = said_of(&heading(1.0, |_| 0.0, |_| 0.0), true);
    assert!(of_course(&said).is_empty(), "{said:?}");
    assert!(scan.course.askew_deg().unwrap().iter().all(|deg| deg.abs() < 1e-6));
    // 15° to the right, through the axis at chainage 8.
    let askew = heading(1.0, |s| (s - 8.0) * 15f64.to_radians().tan(), |_| 15.0);
    let (scan, said) = said_of(&askew, true);
    assert!((scan.course.askew_deg().unwrap()[0] - 15.0).abs() < 0.3, "{:?}", scan.course);
    assert_eq!(of_course(&said).len(), 1, "{said:?}");
    assert!(of_course(&said)[0].contains("to the right of the drive's axis"), "{said:?}");
    // An origin 2 m aside: the loop over the axis is still the heading.
    for with_design in [true, false] {
        let (scan, said) = said_of(&heading(1.0, |_| -2.0, |_| 0.0), with_design);
        assert!((scan.aside_m()[0] + 2.0).abs() < 1e-9);
        assert!(of_course(&said)[0].contains("2.00 m to the left"), "{said:?}");
    }
    // A bend of 12 m radius that begins at chainage 8 runs with the axis at the cut.
    let bend = |s: f64| if s > 8.0 { 12.0 - (144.0 - (s - 8.0).powi(2)).sqrt() } else { (s - 8.0) * 0.0 };
    let turn = |s: f64| if s > 8.0 { ((s - 8.0) / 12.0).asin().to_degrees() } else { 0.0 };
    let sharp = |s: f64| if s > 8.0 { (s - 8.0) * 20f64.to_radians().tan() } else { 0.0 };
    let (scan, said) = said_of(&heading(1.0, sharp, |_| 0.0), true);
    assert!((scan.course.bend_deg().unwrap() - 20.0).abs() < 0.5, "{:?}", scan.course);
    assert!(said.iter().any(|s| s.contains("turns by 2") || s.contains("turns by 19")), "{said:?}");
    let (scan, _) = said_of(&heading(1.0, bend, turn), true);
    assert!(scan.course.bend_deg().unwrap() > 1.0, "{:?}", scan.course);
    // In feet, without a design.
    let (scan, said) = said_of(&heading(3.2808, |_| 0.0, |_| 0.0), false);
    assert!(scan.cut_size_m()[0] > 16.0);
    assert!(said.iter().any(|s| s.contains("in feet it would be 5.0 by 4.8 m")), "{said:?}");
}

#[test]
fn a_scan_cut_all_along_is_each_cut_by_itself() {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let text = std::fs::read_to_string(sample.join("scan.toml")).unwrap();
    let folder = tempfile::tempdir().unwrap();
    std::fs::copy(sample.join("scan_heading.stl"), folder.path().join("scan_heading.stl")).unwrap();
    let with = |keys: &str, chainage: &str| {
        let text = text.replace("chainage_m = 8.0", &format!("chainage_m = {chainage}\n{keys}"));
        std::fs::write(folder.path().join("case.toml"), text).unwrap();
        read_case(&folder.path().join("case.toml"))
    };
    let case = with("along = { from_m = 2.0, to_m = 15.0, every_m = 3.25 }", "8.0").unwrap().case;
    let rows = backhold::study::scan_along(&case);
    let chainages: Vec<f64> = rows.iter().map(|r| r.chainage_m).collect();
    assert_eq!(chainages, [2.0, 5.25, 8.5, 11.75, 15.0]);
    for row in &rows[..4] {
        let alone = with("", &row.chainage_m.to_string()).unwrap().case;
        let SectionShape::Scan(scan) = &alone.shape else { panic!("a scan") };
        let there = row.section.as_ref().unwrap();
        assert_eq!((there, &there.overbreak), (scan.as_ref(), &scan.overbreak));
        let check = backhold::study::check(&alone).unwrap().check;
        let count = |verdict: backhold::study::Verdict| {
            let asked = check.wedges.iter().filter(|w| w.decided.criterion_fs.is_some());
            asked.filter(|w| !w.decided.is_left_out() && w.decided.verdict == verdict).count()
        };
        let found = row.found.as_ref().unwrap();
        assert_eq!(found.short, count(backhold::study::Verdict::Short));
        assert_eq!(found.not_judged, count(backhold::study::Verdict::NotJudged));
    }
    // Beyond the mesh it says why.
    assert!(rows[4].found.is_none() && rows[4].why_not.as_ref().unwrap().contains("the mesh reaches"));
    for (keys, says) in [
        ("along = { from_m = 9.0, to_m = 2.0 }", "a last chainage beyond the first"),
        ("along = { from_m = 0.0, to_m = 400.0 }", "at most 300 cuts"),
    ] {
        let said = with(keys, "8.0").map(|_| ()).unwrap_err().to_string();
        assert!(said.contains(says), "{said}");
    }
}
