//! The drawings of seven invented drives: what is on them, where, and that it can be read.

use super::flat::FlatFace;
use super::net::net;
use super::order::{by_importance, moves};
use super::plan::plan;
use super::section::section;
use super::unrolled::unrolled;
use super::{plan_wedges, rings, section_bolts, traces, unrolled_content};
use crate::case::{Case, Criteria, Joint, SizeLimits};
use crate::numeric::signed_area;
use crate::opening::SectionShape;
use crate::orientation::{Line, Plane, Vec3};
use crate::report::paper::numbers::{factor, volume};
use crate::report::paper::sheet::{
    Anchor, LEAST_TEXT_PT, PAPER, Point, Rect, Sheet, Turn, length_inside_mm, text_width_em,
};
use crate::report::paper::style::{INK, OUTLINE_MM, set_style};
use crate::strength::MohrCoulomb;
use crate::study::{Check, CheckedWedge, Verdict, check, decided, forces_alone};
use crate::support::{Aim, Anchorage, Bolt, BoltKind, Covered, LocalBolts, Pattern};

/// Rounding of coordinates of the order of 100 mm or m through a dozen operations.
const ROUNDING: f64 = 1e-9;

fn set(name: &str, dip_deg: f64, dip_direction_deg: f64, friction_deg: f64) -> Joint {
    Joint::set(name, Plane { dip_deg, dip_direction_deg }, MohrCoulomb { friction_deg, cohesion_kpa: 0.0 })
}

fn pattern() -> Pattern {
    Pattern {
        bolt: 0,
        length_m: 2.4,
        outside_hole_m: 0.1,
        ring_spacing_m: 1.2,
        spacing_m: 1.2,
        covers: vec![Covered::Back, Covered::Walls],
        lowest_collar_m: Some(1.5),
        stagger: true,
        aim: Aim::Normal,
        row_at_m: None,
        offset_m: None,
        tension_kn: None,
    }
}

fn arched() -> Case {
    Case {
        title: "arched".into(),
        north: "mine grid".into(),
        source: None,
        advance: Line { trend_deg: 35.0, plunge_deg: 0.0 },
        shape: SectionShape::Arched { width_m: 5.0, wall_height_m: 3.2, rise_m: 1.6 },
        round_length_m: 3.6,
        last_ring_from_face_m: None,
        unit_weight_kn_m3: 27.0,
        joints: vec![set("A", 66.0, 48.0, 32.0), set("B", 59.0, 170.0, 30.0), set("C", 51.0, 288.0, 29.0)],
        limits: SizeLimits::default(),
        criteria: Criteria::of(2.0, 1.5),
        surface_support: Vec::new(),
        face_support: Vec::new(),
        face_bolts: Vec::new(),
        esr: None,
        dowel_shear: None,
        local: Vec::new(),
        bolts: vec![Bolt {
            name: "resin rebar 20 mm".into(),
            kind: BoltKind::Resin,
            steel_kn: 120.0,
            anchorage: Anchorage::Bonded { bond_kn_per_m: 180.0 },
            plate_kn: 100.0,
            fast_length_m: None,
            source: None,
        }],
        patterns: vec![pattern()],
        installation: crate::support::Installation::default(),
        site: crate::case::Site::default(),
    }
}

fn four_sets() -> Case {
    let mut case = arched();
    case.shape = SectionShape::Flat { width_m: 5.5, height_m: 4.5 };
    case.joints.push(set("D", 25.0, 100.0, 28.0));
    case
}

/// Circular, on a decline.
fn circular() -> Case {
    let mut case = arched();
    case.shape = SectionShape::Circular { diameter_m: 4.0 };
    case.advance = Line { trend_deg: 355.0, plunge_deg: 12.0 };
    case.patterns[0] = Pattern { spacing_m: 1.0, stagger: false, lowest_collar_m: Some(1.2), ..pattern() };
    case
}

/// No bolts, long names.
fn bare() -> Case {
    let mut case = arched();
    case.bolts.clear();
    case.patterns.clear();
    case.north = "true north, turned from magnetic by 7.5 degrees".into();
    for (set, name) in case.joints.iter_mut().zip(["bedding_main", "foliation_north_2", "cross_joint"]) {
        set.name = name.into();
    }
    case
}

/// Capped wedges, and two patterns that slide along the drive by themselves.
fn capped() -> Case {
    let mut case = arched();
    case.limits = SizeLimits {
        max_trace_m: Some(2.5),
        max_depth_m: Some(0.8),
        max_length_m: None,
        max_volume_m3: Some(0.5),
    };
    case.patterns.push(Pattern {
        ring_spacing_m: 1.0,
        spacing_m: 2.0,
        length_m: 4.0,
        covers: vec![Covered::Back],
        lowest_collar_m: None,
        ..pattern()
    });
    case
}

/// Two sets nearly along the drive: wedges of 50 to 120 m.
fn long() -> Case {
    let mut case = arched();
    case.advance = Line { trend_deg: 140.0, plunge_deg: 0.0 };
    case.joints[0] = set("A", 66.0, 48.5, 32.0);
    case.joints[1] = set("B", 59.0, 231.0, 30.0);
    case
}

/// Six sets: 66 wedges from 8 litres to 10 000 m³.
fn six_sets() -> Case {
    let mut case = arched();
    case.shape = SectionShape::Flat { width_m: 6.0, height_m: 5.0 };
    case.joints.extend([
        set("D", 25.0, 100.0, 28.0),
        set("E", 85.0, 320.0, 28.0),
        set("F", 75.0, 15.0, 28.0),
    ]);
    case.patterns[0].length_m = 1.2;
    case
}

fn cases() -> Vec<(&'static str, Case)> {
    vec![
        ("arched", arched()),
        ("four sets", four_sets()),
        ("circular", circular()),
        ("bare", bare()),
        ("capped", capped()),
        ("long", long()),
        ("six sets", six_sets()),
    ]
}

type Drawing = fn(&Case, &Check) -> Sheet;

const DRAWINGS: [(&str, Drawing); 4] =
    [("section", section), ("unrolled", unrolled), ("plan", plan), ("net", net)];

/// Room of a word from its drawn baseline: from the foot of the capitals to their head.
fn word_room(baseline: Point, text: &str, style: &crate::report::paper::sheet::Text) -> Rect {
    let em = style.size_pt * crate::report::paper::sheet::MM_PER_PT;
    let along = text_width_em(text, style.bold) * em;
    let before = match style.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => along / 2.0,
        Anchor::End => along,
    };
    let [x, y] = baseline;
    match style.turn {
        Turn::Level => Rect::new(x - before, y - 0.7 * em, x - before + along, y),
        Turn::Upward => Rect::new(x - 0.7 * em, y + before - along, x, y + before),
    }
}

#[test]
fn everything_is_on_the_sheet_in_letters_that_can_be_read() {
    for (name, case) in cases() {
        let check = decided(&case, forces_alone(&case).unwrap());
        for (what, draw) in DRAWINGS {
            let sheet = draw(&case, &check);
            assert_eq!(sheet.left_out(), 0, "{name} {what}");
            let page = Rect::new(0.0, 0.0, sheet.width_mm(), sheet.height_mm());
            assert!(page.width() == 180.0 && page.height() < 270.0, "{name} {what}: {page:?}");
            for point in sheet.points() {
                assert!(page.holds(point), "{name} {what}: {point:?} on {page:?}");
            }
            for (at, text, style) in sheet.words() {
                assert!(style.size_pt >= LEAST_TEXT_PT);
                let room = word_room(at, &text, &style);
                let shared = page.shared_area(&room);
                assert!((shared - room.width() * room.height()).abs() < ROUNDING, "{name} {what}: {text}");
            }
        }
    }
}

/// Whether words are a wedge's label: its name, alone or with the bolts that cross it.
fn is_name(words: &str, id: &str) -> bool {
    words.strip_prefix(id).is_some_and(|rest| rest.is_empty() || rest.starts_with(": "))
}

/// Words may touch a neighbour's rim; a share of their smaller room above this hides letters.
const MOST_OVERLAP: f64 = 0.3;

#[test]
fn names_of_wedges_do_not_hide_each_other() {
    for (name, case) in cases() {
        let check = decided(&case, forces_alone(&case).unwrap());
        for (what, draw) in DRAWINGS.into_iter().take(3) {
            let sheet = draw(&case, &check);
            let rooms: Vec<(String, Rect)> = sheet
                .words()
                .iter()
                .filter(|(_, text, _)| {
                    check.wedges.iter().any(|w| is_name(text, &w.wedge.id)) || text.starts_with("FS ")
                })
                .map(|(at, text, style)| (text.clone(), word_room(*at, text, style)))
                .collect();
            for (i, (a, room)) in rooms.iter().enumerate() {
                for (b, other) in &rooms[i + 1..] {
                    let least = (room.width() * room.height()).min(other.width() * other.height());
                    assert!(room.shared_area(other) < MOST_OVERLAP * least, "{name} {what}: {a} on {b}");
                }
            }
        }
    }
}

#[test]
fn the_same_check_gives_the_same_bytes_in_a_small_file() {
    for (name, case) in cases() {
        let (one, two) =
            (decided(&case, forces_alone(&case).unwrap()), decided(&case, forces_alone(&case).unwrap()));
        for (what, draw) in DRAWINGS {
            let svg = draw(&case, &one).to_svg().unwrap();
            assert_eq!(svg, draw(&case, &two).to_svg().unwrap(), "{name} {what}");
            assert!(svg.len() < 300_000, "{name} {what}: {} bytes", svg.len());
        }
    }
}

#[test]
fn every_wedge_is_named_once() {
    let case = arched();
    let check = decided(&case, forces_alone(&case).unwrap());
    assert_eq!(check.wedges.len(), 5);
    for (what, draw) in DRAWINGS {
        let words = draw(&case, &check).words();
        for wedge in &check.wedges {
            let count = words.iter().filter(|w| is_name(&w.1, &wedge.wedge.id)).count();
            // The unrolled surface and the net show what moves.
            let expected = usize::from(moves(wedge) || what == "section" || what == "plan");
            assert_eq!(count, expected, "{} in {what}", wedge.wedge.id);
        }
    }
}

#[test]
fn titles_say_what_is_seen() {
    let title = |case: &Case, draw: Drawing| {
        let sheet = draw(case, &decided(case, forces_alone(case).unwrap()));
        let svg = sheet.to_svg().unwrap();
        svg.split_once("<title>").unwrap().1.split_once("</title>").unwrap().0.to_owned()
    };
    assert_eq!(
        title(&arched(), section),
        "A-B-C.101 is short in the back and the left wall: no bolt crosses it, FS 0.34 where 1.50 is asked"
    );
    assert_eq!(title(&arched(), unrolled), "No bolt crosses A-B-C.101 where it sits worst between the rings");
    assert_eq!(
        title(&arched(), plan),
        "A-B-C.000 is the largest wedge: 8.6 m\u{00B3}, 4.7 m along a drive that advances toward 035"
    );
    assert_eq!(title(&arched(), net), "A-B-C.111 falls; A-B-C.101 and 2 more slide");
    assert!(
        title(&bare(), section)
            .ends_with("there is no bolt, FS 0.00 where 2.00 is asked; 3 more wedges are short")
    );
    assert!(title(&long(), section).starts_with("All 4 wedges are held; A-B-C.110 in the back"));
}

#[test]
fn faces_keep_their_area_when_they_are_unrolled() {
    for (name, case) in cases() {
        let check = decided(&case, forces_alone(&case).unwrap());
        for wedge in &check.wedges {
            let face = FlatFace::new(&check.opening, wedge).unwrap();
            let (flat, solid) = (signed_area(&face.outline).abs(), wedge.worst_shape().opening_area_m2());
            assert!((flat / solid - 1.0).abs() < 1e-7, "{name} {}: {flat} {solid}", wedge.wedge.id);
            for (trace, joint) in face.traces.iter().zip(&wedge.worst_shape().joints) {
                let length: f64 =
                    trace.windows(2).map(|p| (p[1][0] - p[0][0]).hypot(p[1][1] - p[0][1])).sum();
                assert!((length / joint.trace_m - 1.0).abs() < 1e-7, "{name} {}: {length}", wedge.wedge.id);
            }
        }
    }
}

/// A worst placement stands a micrometre off an event; on paper it is on the edge.
const ON_EDGE_M: f64 = 1e-5;

/// Whether a point lies in a polygon, and how far from its edge.
fn inside(outline: &[Point], at: Point) -> (bool, f64) {
    let (mut odd, mut edge) = (false, f64::INFINITY);
    for (i, a) in outline.iter().enumerate() {
        let b = outline[(i + 1) % outline.len()];
        if (a[1] > at[1]) != (b[1] > at[1]) && at[0] < a[0] + (at[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]) {
            odd = !odd;
        }
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let length = dx * dx + dy * dy;
        if length > 0.0 {
            let share = (((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / length).clamp(0.0, 1.0);
            edge = edge.min((a[0] + share * dx - at[0]).hypot(a[1] + share * dy - at[1]));
        }
    }
    (odd, edge)
}

#[test]
fn full_discs_are_the_collars_inside_the_faces() {
    for (name, case) in cases() {
        let check = decided(&case, forces_alone(&case).unwrap());
        let content = unrolled_content::content(&case, &check);
        let deepest = |w: &CheckedWedge| w.worst_shape().depth_m;
        for panel in &content.panels {
            let shown = unrolled_content::shown_collars(&case, &check, &content, panel);
            for (index, moved) in &panel.faces {
                let wedge = content.wedges[*index];
                let apex_m = wedge.apex_chainage_m() + moved;
                let outline = &content.faces[*index].outline;
                let mut serving = 0;
                for (collar, full) in &shown {
                    let (within, off_m) = inside(outline, [collar.chainage_m - apex_m, collar.arc_m]);
                    let serves = wedge.placement().is_some_and(|p| rings::serves(collar, p, *moved));
                    serving += usize::from(serves);
                    assert!(!serves || *full);
                    assert!(!serves || within || off_m < ON_EDGE_M, "{name} {}: {collar:?}", wedge.wedge.id);
                    // A bolt longer than the wedge is deep goes through it.
                    let reaches = case.patterns[collar.pattern].length_in_hole_m() > 3.0 * deepest(wedge);
                    if reaches && within && off_m > ON_EDGE_M {
                        assert!(serves, "{name} {}: {collar:?}", wedge.wedge.id);
                    }
                }
                if !content.cut.contains(index) {
                    let all = wedge.placement().map_or(0, |p| p.serving.len());
                    assert_eq!(serving, all, "{name} {}", wedge.wedge.id);
                }
            }
        }
    }
}

#[test]
fn every_collar_of_the_stretch_is_drawn() {
    let case = arched();
    let check = decided(&case, forces_alone(&case).unwrap());
    let content = unrolled_content::content(&case, &check);
    assert_eq!(content.panels.len(), 1);
    let [from, to] = content.panels[0].along;
    // Counted anew: ring k of the staggered pattern stands at 1.2 k m and has the rows of its kind.
    let mut expected = 0;
    for ring in -100..100 {
        let chainage = 1.2 * f64::from(ring);
        if chainage >= from && chainage <= to {
            let kind = if ring % 2 == 0 { 0 } else { 1 };
            expected += check.layouts[0].rows.iter().filter(|r| r.first_ring == kind).count();
        }
    }
    let serving: usize = check.wedges.iter().filter_map(|w| w.placement()).map(|p| p.serving.len()).sum();
    assert!(expected > 40 && serving == 4, "{expected} {serving}");
    let discs = unrolled(&case, &check).discs();
    let rings = discs.iter().filter(|d| d.2.colour == PAPER).count();
    // Dots at the ends of leaders are smaller.
    let full = discs.iter().filter(|d| d.2.colour == INK && d.1 > 0.6).count();
    // One of each stands in the legend.
    assert_eq!((rings - 1, full - 1), (expected - serving, serving));
}

#[test]
fn wedges_of_one_stretch_do_not_overlap() {
    for (name, case) in cases() {
        let check = decided(&case, forces_alone(&case).unwrap());
        let content = unrolled_content::content(&case, &check);
        for panel in &content.panels {
            let placed: Vec<(usize, Vec<Point>)> = panel
                .faces
                .iter()
                .map(|(index, moved)| {
                    let apex_m = content.wedges[*index].apex_chainage_m() + moved;
                    let outline = &content.faces[*index].outline;
                    (*index, outline.iter().map(|p| [p[0] + apex_m, p[1]]).collect())
                })
                .collect();
            for (i, (a, outline)) in placed.iter().enumerate() {
                for (b, other) in &placed[i + 1..] {
                    assert!(other.iter().all(|p| !inside(outline, *p).0), "{name}: {a} {b}");
                    assert!(outline.iter().all(|p| !inside(other, *p).0), "{name}: {a} {b}");
                }
            }
        }
        let drawn: usize = content.panels.iter().map(|p| p.faces.len()).sum();
        let moving = check.wedges.iter().filter(|w| moves(w)).count();
        assert_eq!(drawn + content.left_out, moving, "{name}");
    }
}

fn extent(points: &[Point], axis: usize) -> f64 {
    let values = points.iter().map(|p| p[axis]);
    values.clone().fold(f64::NEG_INFINITY, f64::max) - values.fold(f64::INFINITY, f64::min)
}

#[test]
fn the_section_is_to_scale_and_its_outline_heaviest() {
    let case = arched();
    let check = decided(&case, forces_alone(&case).unwrap());
    let sheet = section(&case, &check);
    let lines = sheet.lines();
    let heaviest = lines.iter().max_by(|a, b| a.1.width_mm.total_cmp(&b.1.width_mm)).unwrap();
    // 44 chords make 45 corners; two more at the floor.
    assert_eq!((heaviest.1.width_mm, heaviest.0.len()), (OUTLINE_MM, 47));
    // 1:100, as the scale bar says: 10 mm a metre.
    assert!(sheet.words().iter().any(|w| w.1 == "2 m \u{00B7} 1:100"));
    assert!((extent(&heaviest.0, 0) - 50.0).abs() < ROUNDING);
    assert!((extent(&heaviest.0, 1) - 48.0).abs() < ROUNDING);
    for dimension in ["5.00 m", "4.80 m"] {
        assert_eq!(sheet.words().iter().filter(|w| w.1 == dimension).count(), 1);
    }
}

#[test]
fn bolts_of_the_section_are_those_of_the_nearest_rings() {
    let case = arched();
    let check = decided(&case, forces_alone(&case).unwrap());
    let wedges = by_importance(&check);
    let falling: Vec<&CheckedWedge> = wedges.iter().copied().filter(|w| w.wedge.id == "A-B-C.111").collect();
    let nearest = rings::nearest(&case, &check, falling[0]);
    let centroid_m = falling[0].apex_chainage_m() + rings::centroid_along_m(falling[0]);
    assert_eq!(nearest.len(), 1);
    assert!((nearest[0].2 - centroid_m).abs() <= 0.6 && nearest[0].2 == 1.2 * nearest[0].1 as f64);
    let bolts = section_bolts::bolts(&case, &check, &falling);
    let kind = (nearest[0].1.rem_euclid(2)) as u32;
    let rows = check.layouts[0].rows.iter().filter(|r| r.first_ring == kind).count();
    assert_eq!(bolts.len(), rows);
    for bolt in &bolts {
        assert!(((bolt.end - bolt.collar).norm() - 2.3).abs() < ROUNDING);
    }
    let serving: Vec<f64> = falling[0]
        .placement()
        .as_ref()
        .unwrap()
        .serving
        .iter()
        .filter(|s| s.ring == nearest[0].1)
        .map(|s| s.head_m)
        .collect();
    let heads: Vec<f64> = bolts.iter().filter_map(|b| b.joint.map(|j| (j - b.collar).norm())).collect();
    assert_eq!(heads.len(), serving.len());
    for (drawn, found) in heads.iter().zip(&serving) {
        assert!((drawn - found).abs() < ROUNDING);
    }
}

/// What is not judged, or left out, is never called held.
#[test]
fn a_title_says_held_of_held_wedges_alone() {
    let mut case = arched();
    case.limits.max_volume_m3 = Some(0.5);
    let whole = check(&case).unwrap();
    let moving = || whole.check.wedges.iter().filter(|w| moves(w));
    let unjudged = moving().filter(|w| w.decided.verdict == Verdict::NotJudged).count();
    let mut shown = whole.deciding();
    shown.wedges.retain(|w| w.decided.verdict != Verdict::Short);
    assert!(unjudged > 0);
    let said =
        |check: &Check| section(&case, check).words().into_iter().map(|w| w.1).collect::<Vec<_>>().join(" ");
    let title = said(&shown);
    assert!(!title.contains("wedges are held") && title.contains("not judged"), "{title}");
    // Where its own face lies outside of what is judged, it is left out.
    for wedge in shown.wedges.iter_mut().filter(|w| moves(w)) {
        wedge.decided.unjudged = Some(crate::study::Unjudged::BelowJudgedGround);
        (wedge.decided.verdict, wedge.decided.fs) = (Verdict::NotJudged, None);
    }
    let title = said(&shown);
    assert!(title.contains("that are judged are held") || title.contains("None of"), "{title}");
}

/// The title's count of bolts, its factor and its size are those of the piece that decides: never the
/// largest wedge's bolts beside a smaller one's factor.
#[test]
fn a_factor_stands_beside_the_bolts_of_its_own_size() {
    let mut case = arched();
    case.limits.max_volume_m3 = Some(5.0);
    let whole = check(&case).unwrap();
    // The title is broken into lines, each of them words of the sheet.
    let said = |sheet: Sheet| sheet.words().into_iter().map(|w| w.1).collect::<Vec<_>>().join(" ");
    let (mut seen, mut fewer) = (0, 0);
    for wedge in &whole.check.wedges {
        let Some(piece) = wedge.deciding() else { continue };
        let least = wedge.found.judged.as_ref().unwrap().least.as_ref().unwrap();
        let bolts = piece.serving().unwrap().len();
        let give = piece.serving().unwrap().iter().filter(|s| s.capacity.kn > 0.0).count();
        assert_eq!(give, least.bolts, "{}", wedge.wedge.id);
        assert!((piece.wedge.shape.volume_m3 - least.volume_m3).abs() < 1e-9 * least.volume_m3);
        let crossing = match bolts {
            0 => "no bolt crosses it".to_owned(),
            1 => "1 bolt crosses it".to_owned(),
            n => format!("{n} bolts cross it"),
        };
        let fs = format!("FS {} at {} m³ where", factor(least.fs), volume(least.volume_m3));
        let one = Check { wedges: vec![piece], ..whole.deciding() };
        let title = said(section(&case, &one));
        let short = wedge.decided.verdict == Verdict::Short;
        assert!(title.contains(&fs) && (!short || title.contains(&crossing)), "{title}");
        seen += 1;
        fewer += usize::from(wedge.serving().is_some_and(|all| all.len() > bolts));
    }
    assert!(seen > 2 && fewer > 0, "{seen} {fewer}");
}

#[test]
fn the_plan_shows_the_drive_along_its_trend() {
    for (case, width_m) in [(arched(), 5.0), (circular(), 4.0), (long(), 5.0)] {
        let check = decided(&case, forces_alone(&case).unwrap());
        let sheet = plan(&case, &check);
        let lines = sheet.lines();
        let walls: Vec<&Vec<Point>> =
            lines.iter().filter(|l| l.1.width_mm == OUTLINE_MM).map(|l| &l.0).collect();
        assert_eq!(walls.len(), 2);
        let (sin, cos) = case.advance.trend_deg.to_radians().sin_cos();
        for wall in &walls {
            let (dx, dy) = (wall[1][0] - wall[0][0], wall[1][1] - wall[0][1]);
            let length = dx.hypot(dy);
            assert!((dx / length - sin).abs() < ROUNDING && (dy / length + cos).abs() < ROUNDING);
        }
        let words = sheet.words();
        let scale: f64 = words.iter().find_map(|w| w.1.split_once("1:")?.1.parse().ok()).unwrap();
        let apart = (walls[1][0][0] - walls[0][0][0]).hypot(walls[1][0][1] - walls[0][0][1]);
        assert!((apart - 1000.0 / scale * width_m).abs() < ROUNDING, "{apart} at 1:{scale}");
        // The right wall lies to the right of the advance.
        let across = (walls[1][0][0] - walls[0][0][0]) * cos + (walls[1][0][1] - walls[0][0][1]) * sin;
        assert!(across > 0.0);
        for standing in plan_wedges::standing(&case, &check).0 {
            assert!(!plan_wedges::lines(&standing).is_empty(), "{}", standing.wedge.wedge.id);
        }
    }
}

#[test]
fn traces_in_plan_stay_between_the_walls() {
    let case = four_sets();
    let check = decided(&case, forces_alone(&case).unwrap());
    let all = plan_wedges::standing(&case, &check).0;
    assert_eq!(all.len(), 5);
    for (i, one) in all.iter().enumerate() {
        for line in plan_wedges::lines(one).iter().filter(|l| l.set.is_some()) {
            assert!(line.points.iter().all(|p| p.x.abs() <= 2.75 + ROUNDING));
        }
        for other in &all[i + 1..] {
            assert!(one.along[1] < other.along[0] || other.along[1] < one.along[0]);
        }
    }
}

#[test]
fn the_net_shows_every_set_and_direction() {
    let case = six_sets();
    let check = decided(&case, forces_alone(&case).unwrap());
    let words = net(&case, &check).words();
    for set in &case.joints {
        assert_eq!(words.iter().filter(|w| w.1 == set.name).count(), 1, "{}", set.name);
    }
    // What is named and what is counted add up to what moves.
    let named = words.iter().filter(|w| check.wedges.iter().any(|c| c.wedge.id == w.1)).count();
    let more = |w: &str| -> Option<usize> { w.strip_prefix("and ")?.strip_suffix(" more")?.parse().ok() };
    let counted: usize = words.iter().filter_map(|w| more(&w.1)).sum();
    assert_eq!(named + counted, check.wedges.iter().filter(|w| moves(w)).count());
}

#[test]
fn a_drive_without_wedges_still_gives_its_drawings() {
    let mut case = arched();
    case.limits.max_volume_m3 = Some(1e-4);
    let check = decided(&case, forces_alone(&case).unwrap());
    assert!(check.wedges.is_empty());
    for (what, draw) in DRAWINGS {
        let sheet = draw(&case, &check);
        assert_eq!(sheet.left_out(), 0, "{what}");
        assert!(!sheet.lines().is_empty(), "{what}");
    }
    let page = Rect::new(0.0, 0.0, 180.0, 300.0);
    let section = section(&case, &check);
    let drawn: f64 = section.lines().iter().map(|l| length_inside_mm(&l.0, &page)).sum();
    assert!(drawn > 100.0);
}

/// A flat drive with a fault that crosses it, rings over the stretch that it is in, and a single bolt.
fn faulted() -> Case {
    let mut case = arched();
    case.shape = SectionShape::Flat { width_m: 5.0, height_m: 4.0 };
    let fault = Plane { dip_deg: 70.0, dip_direction_deg: case.advance.trend_deg + 20.0 };
    let friction = MohrCoulomb { friction_deg: 25.0, cohesion_kpa: 0.0 };
    // First, since the first style has no dash: a line that is cut into dashes has no corners to look at.
    case.joints.insert(0, Joint::structure("F1", fault, friction, Vec3::new(0.5, 50.0, 4.0)));
    let rings = Pattern { covers: vec![Covered::Back], ..Pattern::of_back(0, 2.4, 0.6, 0.6) };
    case.local = vec![LocalBolts::stretch(rings, 49.0, 52.0)];
    case
}

/// F1 dips 70° toward 20° right of the advance, so its upward normal has sin 70 · sin 20 to the right,
/// sin 70 · cos 20 along the advance and cos 70 up, and s = 50 − (n_u (u − 0.5) + n_v (v − 4)) / n_s.
fn by_hand(u: f64, v: f64) -> f64 {
    let (dip, turn) = (70f64.to_radians(), 20f64.to_radians());
    let n = [dip.sin() * turn.sin(), dip.sin() * turn.cos(), dip.cos()];
    50.0 - (n[0] * (u - 0.5) + n[2] * (v - 4.0)) / n[1]
}

#[test]
fn a_fault_is_drawn_where_its_plane_meets_the_drive() {
    let case = faulted();
    let check = decided(&case, forces_alone(&case).unwrap());
    let style = set_style(0);
    let of_fault = |sheet: &Sheet| -> Vec<Vec<Point>> {
        let is = |stroke: &crate::report::paper::sheet::Stroke| {
            stroke.colour == style.colour && stroke.dash_mm == style.dash_mm
        };
        sheet.lines().into_iter().filter(|l| is(&l.1)).map(|l| l.0).collect()
    };
    let found = traces::traces(&case, &check, [-6.5, 6.5], [0.0, 0.0]);
    assert!(found.len() == 1 && found[0].crosses);
    for p in &found[0].lines[0] {
        assert!((p.at.y - by_hand(p.at.x, p.at.z)).abs() < ROUNDING, "{p:?}");
    }
    // Unrolled: over the back 1 m to the right is 1 m of arc; down the right wall 1 m of arc is 1 m less of v.
    let content = unrolled_content::content(&case, &check);
    let k = content.scale.mm_per_m();
    let slope = |from: (f64, f64), to: (f64, f64)| by_hand(to.0, to.1) - by_hand(from.0, from.1);
    let over_back = slope((0.0, 4.0), (1.0, 4.0));
    let down_right = slope((2.5, 4.0), (2.5, 3.0));
    let sheet = unrolled(&case, &check);
    let whole: Vec<Vec<Point>> = of_fault(&sheet).into_iter().filter(|l| extent(l, 1) > 5.0 * k).collect();
    assert!(!whole.is_empty());
    let mut backs = 0;
    for line in &whole {
        for pair in line.windows(2).filter(|p| p[1][1] - p[0][1] > 0.5 * k) {
            let turn = (pair[1][0] - pair[0][0]) / (pair[1][1] - pair[0][1]);
            let known = [over_back, down_right, -slope((-2.5, 4.0), (-2.5, 3.0))];
            assert!(known.iter().any(|s| (s - turn).abs() < 1e-6), "{turn} {known:?}");
        }
        // Where a stretch holds all of it over the back.
        if let Some(back) = line.windows(2).find(|p| ((p[1][1] - p[0][1]) / k - 5.0).abs() < 1e-6) {
            assert!(((back[1][0] - back[0][0]) / k - 5.0 * over_back).abs() < 1e-6);
            backs += 1;
        }
    }
    assert!(backs > 0, "{whole:?}");
    // In plan the trace over the back joins the walls where the plane meets their tops.
    let (sheet, (sin, cos)) = (plan(&case, &check), case.advance.trend_deg.to_radians().sin_cos());
    let words = sheet.words();
    let scale: f64 = words.iter().find_map(|w| w.1.split_once("1:")?.1.parse().ok()).unwrap();
    let k = 1000.0 / scale;
    let lines = of_fault(&sheet);
    let across = |p: Point, q: Point| [(q[0] - p[0]) / k, (p[1] - q[1]) / k];
    let found = lines.iter().flat_map(|l| l.windows(2)).any(|pair| {
        // From the left wall's top to the right one's: east and north of u = 5 m and of the chainages between.
        let [east, north] = across(pair[0], pair[1]);
        let s = by_hand(2.5, 4.0) - by_hand(-2.5, 4.0);
        let hand = [5.0 * cos + s * sin, -5.0 * sin + s * cos];
        (east - hand[0]).hypot(north - hand[1]) < 1e-6
    });
    assert!(found, "{lines:?}");
    assert!(sheet.words().iter().any(|w| w.1 == "F1"));
}

#[test]
fn what_stands_at_its_chainage_is_drawn_there() {
    let case = faulted();
    let check = decided(&case, forces_alone(&case).unwrap());
    let content = unrolled_content::content(&case, &check);
    let placed: Vec<_> = content.panels.iter().filter(|p| p.placed).collect();
    assert!(!placed.is_empty());
    let mut seen = 0;
    for panel in &placed {
        for (index, moved) in &panel.faces {
            assert!(*moved == 0.0 && content.wedges[*index].wedge.located.is_some());
        }
        for (one, serving) in unrolled_content::shown_collars(&case, &check, &content, panel) {
            if one.pattern == case.patterns.len() {
                let step = (one.chainage_m - 49.0) / 0.6;
                assert!((step - step.round()).abs() < 1e-9 && (0.0..=5.0).contains(&step.round()));
                let crosses = panel.faces.iter().any(|(i, _)| {
                    let placement = content.wedges[*i].placement();
                    placement.is_some_and(|p| rings::serves(&one, p, 0.0))
                });
                assert_eq!(serving, crosses);
                seen += usize::from(serving);
            }
        }
    }
    assert!(seen > 0);
    // Nothing of it where wedges stand anywhere.
    for panel in content.panels.iter().filter(|p| !p.placed) {
        let shown = unrolled_content::shown_collars(&case, &check, &content, panel);
        assert!(shown.iter().all(|c| c.0.pattern < case.patterns.len()));
        assert!(panel.faces.iter().all(|f| content.wedges[f.0].wedge.located.is_none()));
    }
}
