//! Bolts in the face: by hand, against a dense search by separate code, and what they may and may not change.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use backhold::case::{Case, Criteria, parse_case};
use backhold::opening::{SectionShape, Surface};
use backhold::orientation::{Line, Vec3};
use backhold::stability::{Loads, Mode, Motion, Stability};
use backhold::strength::MohrCoulomb;
use backhold::study::plan::{PlanNote, plan};
use backhold::study::{Check, CheckedWedge, Stage, Verdict, decided, face, forces_alone, stages};
use backhold::support::{
    Bolt, BoltKind, Covered, FaceBolts, FaceSupport, Pattern, SurfaceKind, SurfaceSupport,
};
use backhold::wedge::{Cone, FaceBody, JointPyramid, Reach};

use crate::random_cases::{Rng, bare, set};

/// What the scan of pieces may miss of the least factor.
const MISS: f64 = 1e-3;

fn rebar() -> Bolt {
    Bolt::bonded("rebar (invented)", BoltKind::Resin, 120.0, 180.0, 100.0)
}

/// A drive to the north through a roof of B and C over a floor A that dips out of the face.
fn heading(trend_deg: f64) -> Case {
    let joints = vec![
        set("A", 45.0, 180.0, 30.0, 0.0),
        set("B", 60.0, 60.0, 30.0, 0.0),
        set("C", 60.0, 300.0, 30.0, 0.0),
    ];
    let shape = SectionShape::Flat { width_m: 5.0, height_m: 4.5 };
    Case {
        bolts: vec![rebar()],
        last_ring_from_face_m: Some(0.8),
        ..bare(shape, Line { trend_deg, plunge_deg: 0.0 }, joints)
    }
}

fn on_face(spacings_m: [f64; 2], lowest_collar_m: f64) -> FaceBolts {
    FaceBolts::new(0, 2.4, spacings_m, lowest_collar_m).outside_hole_m(0.1)
}

fn mesh_on_face(bay_kn: f64) -> SurfaceSupport {
    SurfaceSupport {
        name: "mesh (invented)".into(),
        kind: SurfaceKind::Screen { bay_kn },
        covers: vec![Covered::Face],
        lowest_m: None,
        source: None,
    }
}

fn at_face(case: &Case) -> Check {
    decided(case, face(case, forces_alone(case).unwrap()))
}

fn wedge<'a>(check: &'a Check, id: &str) -> &'a CheckedWedge {
    check.face.iter().find(|w| w.wedge.id == id).unwrap_or_else(|| panic!("no {id}"))
}

/// From statics. Local axes: u east, s north, v up, apex 1.5 m ahead of the face. A is met by the face 1.5 m
/// below the apex (dip 45°); B and C meet above it at v − v0 = 1.5·0.433/0.5 = 1.299 and A at
/// u = ±(0.433·1.5 + 0.5·1.5)/0.75 = ±1.866. So the face of the wedge is a triangle of
/// 3.732 · 2.799 / 2 = 5.223 m², its volume 5.223 · 1.5 / 3 = 2.611 m³, its weight 27 · 2.611 = 70.51 kN.
/// It slides down A: T = N = 70.51 · sin 45° = 49.86 kN, bare FS = tan 30° = 0.577.
/// A bolt along the axis, 0.5 m below the apex: A is 1.5 − 0.5 = 1.0 m behind its collar, B and C
/// 1.5 + 0.5·0.5/0.433 = 2.08 m; beyond A lie 2.3 − 1.0 = 1.3 m: toe 180 · 1.3 = 234 kN, head
/// 100 + 180 · 1.0 = 280 kN, steel 120 kN: B = 120 kN. Against the slide it pulls 120 · cos 45° = 84.85 kN, onto A it
/// presses as much: FS = ((49.86 + 84.85) · 0.5774 + 84.85) / 49.86 = 3.262.
#[test]
fn a_bolt_in_the_face_by_hand() {
    let case = heading(0.0);
    let checked = forces_alone(&case).unwrap();
    let section = &checked.opening.section;
    let upward = [0, 1, 2].map(|i| checked.opening.frame.to_local(&case.joints[i].plane.upward_normal()));
    let pyramid = JointPyramid::all().into_iter().find(|p| p.code() == "011").unwrap();
    let cone = Cone::new(&upward, pyramid);
    let mut body = FaceBody::new(section, &cone);
    let apex = Vec3::new(0.0, 1.5, 2.4);
    let volume_m3 = body.measure(&apex).volume_m3;
    assert!((volume_m3 - 2.611).abs() < 1e-3, "{volume_m3}");
    let loads = Loads::weight(volume_m3, case.unit_weight_kn_m3);
    let motion = Motion::of(&cone.inward, &loads.resultant_kn(&Vec3::z()));
    let strengths: [MohrCoulomb; 3] = [0, 1, 2].map(|i| case.joints[i].strength);
    let stability = Stability::new(motion, cone.inward, &strengths, &body.joint_areas_m2(&apex));
    assert!(
        (stability.motion.driving_kn - 49.86).abs() < 0.01 && (stability.fs_bare() - 0.5774).abs() < 1e-4
    );

    let one = on_face([10.0, 10.0], 1.9);
    let layout = one.layout(&checked.opening).unwrap();
    assert_eq!(layout.rows.len(), 1);
    let at = |tolerance_m: f64| {
        let (patterns, layouts) = (std::slice::from_ref(&one), std::slice::from_ref(&layout));
        FaceSupport { patterns, layouts, bolts: &case.bolts, first: 0, tolerance_m }
            .serving(&apex, &cone, &stability)
    };
    let [bolt] = at(0.0)[..] else { panic!("one bolt") };
    assert!((bolt.head_m - 1.0).abs() < 1e-9 && (bolt.toe_m - 1.3).abs() < 1e-9, "{bolt:?}");
    assert!((bolt.capacity.kn - 120.0).abs() < 1e-9 && bolt.surface == Surface::Face);
    let fs = stability.fs(&stability.effect(&bolt.direction).times(bolt.capacity.kn));
    let by_hand = ((49.86 + 84.85) * 0.577_35 + 84.85) / 49.86;
    assert!((fs - by_hand).abs() < 1e-3 && (fs - 3.262).abs() < 2e-3, "{fs} {by_hand}");

    // 0.1 m off, the collar may stand 0.1 m lower: A is then 0.9 m behind it, or 1.1 m where it stands higher.
    let [bolt] = at(0.1)[..] else { panic!("one bolt") };
    assert!((bolt.head_m - 0.9).abs() < 1e-9 && (bolt.toe_m - 1.2).abs() < 1e-9, "{bolt:?}");
    // The corner of A and the face lies 1 m below the collar: from 1.01 m on it may stand off the wedge.
    assert_eq!((at(0.99).len(), at(1.01).len()), (1, 0));
}

/// What holds a wedge at the face, bolt by bolt, from distances to planes alone.
fn by_collar(case: &Case, check: &Check, cone: &Cone, stability: &Stability, apex: &Vec3) -> f64 {
    let off_m = 0.1;
    let mut bolts: Vec<(Vec3, f64)> = Vec::new();
    let mut add = |collar: Vec3, normal: Vec3, direction: Vec3, hole_m: f64| {
        let from = collar - apex;
        let off = |m: &Vec3| off_m * (1.0 - m.dot(&normal).powi(2)).max(0.0).sqrt();
        if cone.inward.iter().any(|m| m.dot(&from) - off(m) < -1e-9) {
            return;
        }
        let (mut head_m, mut reach_m) = (f64::INFINITY, f64::INFINITY);
        for m in cone.inward.iter().filter(|m| m.dot(&direction) < 0.0) {
            head_m = head_m.min((m.dot(&from) - off(m)) / -m.dot(&direction));
            reach_m = reach_m.min((m.dot(&from) + off(m)) / -m.dot(&direction));
        }
        if reach_m <= hole_m {
            bolts.push((direction, case.bolts[0].capacity(head_m, hole_m - reach_m).kn));
        }
    };
    for (design, layout) in case.face_bolts.iter().zip(&check.face_bolts) {
        for row in &layout.rows {
            let p = row.collar.point;
            add(
                Vec3::new(p.x, 0.0, p.y),
                Vec3::y(),
                row.collar.direction,
                design.pattern().length_in_hole_m(),
            );
        }
    }
    let section = &check.opening.section;
    for (pattern, layout) in case.patterns.iter().zip(&check.layouts) {
        for row in &layout.rows {
            let p = row.collar.point;
            let facet = section.facets().iter().find(|f| f.normal.dot(&(p - f.start)).abs() < 1e-6).unwrap();
            let normal = Vec3::new(facet.normal.x, 0.0, facet.normal.y);
            if normal.dot(&(apex - Vec3::new(facet.start.x, 0.0, facet.start.y))) <= 0.0 {
                continue;
            }
            for ring in 0..12 {
                let s = -0.8 - f64::from(ring) * pattern.ring_spacing_m;
                add(Vec3::new(p.x, s, p.y), normal, row.collar.direction, pattern.length_in_hole_m());
            }
        }
    }
    if bolts.is_empty() { stability.fs_bare() } else { stability.fs_in_balance(&bolts) }
}

/// Every apex of a dense grid and of random draws on sliding pyramids: none is carried less than what is told.
#[test]
fn no_wedge_of_a_dense_search_is_carried_less_than_what_is_told() {
    let mut rng = Rng::new(4711);
    let (mut looked, mut short, mut bolted) = (0, 0, 0);
    let mut nearest = f64::INFINITY;
    for k in 0..4 {
        let mut case = heading(rng.between(-25.0, 25.0));
        case.joints[0].plane.dip_deg = rng.between(40.0, 65.0);
        case.joints[1].strength.cohesion_kpa = rng.between(0.0, 4.0);
        case.limits.max_trace_m = (k % 2 == 0).then_some(5.0);
        let rings = Pattern { outside_hole_m: 0.1, ..Pattern::of_back(0, 2.4, 1.2, 1.3) };
        case.patterns = vec![rings.down_walls(1.2)];
        case.face_bolts = vec![on_face([1.3, 1.2], 0.6).staggered(true)];
        // A bay that carries small ones: what is carried least is large, and its bolts few.
        let bay_kn = rng.between(8.0, 40.0);
        case.face_support = vec![mesh_on_face(bay_kn)];
        let check = at_face(&case);
        for found in &check.face {
            let Some(scan) = &found.found.at_face else { continue };
            if matches!(found.wedge.stability.motion.mode, Mode::Falling | Mode::NoMotion) || scan.apexes == 0
            {
                continue;
            }
            let told = found.decided.fs.unwrap();
            let section = &check.opening.section;
            let cone = found.wedge.cone;
            let reach = Reach::of(section, &cone).unwrap();
            let mut body = FaceBody::new(section, &cone);
            let strengths: [MohrCoulomb; 3] = found.wedge.sets.map(|i| case.joints[i].strength);
            let far_m = reach.corners().iter().map(|c| c.y).fold(0.0, f64::max);
            let trace_m = case.limits.max_trace_m.unwrap_or(f64::INFINITY);
            let mut ask = |apex: Vec3| {
                if apex.y <= 0.0 || reach.outside_m(&apex) > 0.0 {
                    return;
                }
                let measures = body.measure(&apex);
                if measures.volume_m3 < 1e-3 || measures.trace_m.iter().any(|t| *t > trace_m * (1.0 - 1e-6)) {
                    return;
                }
                let loads = Loads::weight(measures.volume_m3, case.unit_weight_kn_m3);
                let motion = Motion::of(&cone.inward, &loads.resultant_kn(&Vec3::z()));
                let stability = Stability::new(motion, cone.inward, &strengths, &body.joint_areas_m2(&apex));
                let bolts = by_collar(&case, &check, &cone, &stability, &apex);
                let faces = body.shape(&apex).openings;
                let covered = faces.iter().all(|f| f.facet == check.opening.face_index());
                let mesh = bay_kn / (case.unit_weight_kn_m3 * measures.volume_m3);
                let fs = if covered { bolts.max(mesh) } else { bolts };
                assert!(fs >= told * (1.0 - MISS), "{}: {fs} at {apex:?}, told {told}", found.wedge.id);
                looked += 1;
                bolted += usize::from(bolts > stability.fs_bare() * (1.0 + 1e-9));
                nearest = nearest.min(fs / told);
            };
            for plane in 0..24 {
                let s = far_m * 0.97 * 0.84f64.powi(plane);
                for i in 0..60 {
                    for j in 0..60 {
                        let (u, v) = (-3.0 + 6.0 * f64::from(i) / 59.0, 6.5 * f64::from(j) / 59.0);
                        ask(Vec3::new(u, s, v));
                    }
                }
            }
            for _ in 0..20_000 {
                let s = far_m * rng.between(0.0, 1.0).powi(2);
                ask(Vec3::new(rng.between(-4.0, 4.0), s, rng.between(-1.0, 7.0)));
            }
            short += usize::from(found.decided.verdict == Verdict::Short);
        }
    }
    println!(
        "{looked} wedges looked at, {bolted} held better than bare by bolts, the nearest {nearest} times what is \
         told; {short} pyramids short"
    );
    assert!(looked > 20_000 && bolted > 3_000 && short > 0);
}

/// One pattern more on the face, then another between its rows: no factor falls and what is held stays so.
#[test]
fn bolts_in_the_face_never_make_a_wedge_worse() {
    let mut rng = Rng::new(99);
    let (mut compared, mut better) = (0, 0);
    for _ in 0..5 {
        let mut case = heading(rng.between(-30.0, 30.0));
        case.joints[0].plane.dip_deg = rng.between(40.0, 65.0);
        case.limits.max_trace_m = Some(rng.between(3.5, 6.0));
        case.patterns = vec![Pattern::of_back(0, 2.4, 1.2, 1.2)];
        case.face_support = vec![mesh_on_face(15.0)];
        let few = on_face([1.5, 1.3], 0.7);
        let patterns = [vec![], vec![few.clone()], vec![few.clone(), on_face([1.1, 1.3], 1.35)]];
        let all = patterns.map(|face_bolts| at_face(&Case { face_bolts, ..case.clone() }));
        for pair in all.windows(2) {
            assert_eq!(pair[0].wedges, pair[1].wedges, "a wedge of the drive met a bolt in the face");
            for before in &pair[0].face {
                let now = wedge(&pair[1], &before.wedge.id);
                let (Some(a), Some(b)) = (before.decided.fs, now.decided.fs) else { continue };
                assert!(b >= a * (1.0 - MISS), "{}: {a} before, {b} now", before.wedge.id);
                if before.decided.verdict == Verdict::Held {
                    assert_eq!(now.decided.verdict, Verdict::Held, "{}", before.wedge.id);
                }
                assert!(now.found.fs_bolted >= before.found.fs_bolted.map(|fs| fs * (1.0 - MISS)));
                compared += 1;
                better += usize::from(b > a * (1.0 + MISS));
            }
        }
    }
    println!("{compared} compared, {better} better");
    assert!(compared >= 10 && better >= 1);
}

/// The ground and the drive seen in a mirror: left and right change places and nothing else.
#[test]
fn a_mirrored_face_is_judged_alike() {
    let mut rng = Rng::new(5);
    let mut compared = 0;
    for _ in 0..3 {
        let mut case = heading(rng.between(-30.0, 30.0));
        case.joints[0].plane.dip_deg = rng.between(40.0, 65.0);
        case.limits.max_trace_m = Some(5.0);
        case.patterns = vec![Pattern::of_back(0, 2.4, 1.2, 1.2)];
        case.face_bolts = vec![on_face([1.4, 1.2], 0.7).staggered(true).aimed(5.0, 10.0)];
        case.face_support = vec![mesh_on_face(10.0)];
        let mut mirrored = case.clone();
        for joint in &mut mirrored.joints {
            joint.plane.dip_direction_deg =
                (2.0 * case.advance.trend_deg - joint.plane.dip_direction_deg).rem_euclid(360.0);
        }
        mirrored.face_bolts = vec![on_face([1.4, 1.2], 0.7).staggered(true).aimed(5.0, -10.0)];
        let (here, there) = (at_face(&case), at_face(&mirrored));
        for a in &here.face {
            let b = wedge(&there, &a.wedge.id);
            assert_eq!(a.decided.verdict, b.decided.verdict, "{}", a.wedge.id);
            if let (Some(a_fs), Some(b_fs)) = (a.decided.fs, b.decided.fs) {
                assert!((a_fs - b_fs).abs() <= MISS * a_fs.abs(), "{}: {a_fs} {b_fs}", a.wedge.id);
                compared += 1;
            }
        }
    }
    assert!(compared >= 3);
}

#[test]
fn a_cap_lowered_never_makes_a_wedge_at_the_face_heavier_or_short() {
    let mut case = heading(12.0);
    case.face_bolts = vec![on_face([1.4, 1.2], 0.7)];
    case.face_support = vec![mesh_on_face(20.0)];
    let mut before: Option<Check> = None;
    for trace_m in [f64::INFINITY, 6.0, 4.5, 3.0] {
        case.limits.max_trace_m = Some(trace_m).filter(|m| m.is_finite());
        let now = at_face(&case);
        for wide in before.iter().flat_map(|check| &check.face) {
            let Some(own) = now.face.iter().find(|w| w.wedge.id == wide.wedge.id) else { continue };
            assert!(own.wedge.weight_kn <= wide.wedge.weight_kn * (1.0 + 1e-3), "{}", own.wedge.id);
            let deciding = own.deciding_weight_kn().unwrap_or(0.0);
            assert!(deciding <= own.wedge.weight_kn * (1.0 + 1e-3), "{}", own.wedge.id);
            if let (Some(a), Some(b)) = (wide.decided.fs, own.decided.fs) {
                assert!(b >= a * (1.0 - MISS), "{}: {a} before, {b} under lower caps", own.wedge.id);
            }
        }
        before = Some(now);
    }
}

/// What the rings hold of the largest says nothing of one wholly ahead of them.
#[test]
fn a_small_wedge_ahead_of_the_last_ring_is_not_hidden_by_a_large_one() {
    let mut case = heading(0.0);
    // Steep rings of strong bolts that the largest wedge, which breaks into the back, meets.
    case.patterns = vec![Pattern::of_back(0, 2.4, 0.6, 0.6)];
    case.last_ring_from_face_m = Some(0.3);
    let check = at_face(&case);
    let found = wedge(&check, "A-B-C.011.face");
    assert!(found.found.at_face.as_ref().unwrap().apexes > 500);
    assert_eq!(found.decided.verdict, Verdict::Short);
    let piece = found.face_piece().unwrap();
    // The bare joints: tan 30° on 45°.
    assert!(piece.worst.serving.is_empty() && (piece.fs - 0.5774).abs() < 1e-3, "{}", piece.fs);
}

/// Between bolts in the face nothing is entered; bolts alone do not judge what slips between them.
#[test]
fn pieces_between_bolts_need_something_on_the_face() {
    let mut case = heading(0.0);
    case.face_bolts = vec![on_face([0.9, 0.9], 0.4)];
    let open = at_face(&case);
    let found = wedge(&open, "A-B-C.011.face");
    assert!(found.found.at_face.as_ref().unwrap().uncarried.is_some());
    assert_ne!(found.decided.verdict, Verdict::Held);
    case.face_support = vec![mesh_on_face(200.0)];
    let meshed = at_face(&case);
    let found = wedge(&meshed, "A-B-C.011.face");
    assert!(found.found.at_face.as_ref().unwrap().uncarried.is_none());
    assert_eq!(found.decided.verdict, Verdict::Held, "{:?}", found.decided);
    assert!(!found.decided.held_by.is_empty());
}

#[test]
fn the_stage_face_bolted_is_there_where_bolts_are_in_the_face_and_counts_them_alone() {
    let mut case = heading(0.0);
    case.patterns = vec![Pattern::of_back(0, 2.4, 1.2, 1.2)];
    let without = stages(&case, &at_face(&case));
    assert!(without.rows.iter().all(|r| r.stage != Stage::FaceBolted));
    case.face_bolts = vec![on_face([0.9, 0.9], 0.4)];
    case.face_support = vec![mesh_on_face(200.0)];
    let with = stages(&case, &at_face(&case));
    let rows: Vec<_> = with.rows.iter().filter(|r| r.stage == Stage::FaceBolted).collect();
    assert!(rows.iter().any(|r| r.wedge == "A-B-C.011.face" && r.verdict == Verdict::Held));
    // The round before has none of them.
    let fresh = |s: &backhold::study::Stages| {
        s.rows.iter().filter(|r| r.stage == Stage::FreshRound).cloned().collect::<Vec<_>>()
    };
    for row in fresh(&without) {
        assert!(fresh(&with).contains(&row), "{}", row.wedge);
    }
}

const SAMPLE: &str = include_str!("../../samples/bolted_face.toml");

fn read(text: &str) -> Result<backhold::case::ReadCase, backhold::input::Problems> {
    parse_case(text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into()))
}

/// 12 m at 3 m a round are four faces; each has its collars once, and the rings are those of the drive alone.
#[test]
fn a_plan_counts_the_face_once_a_round() {
    let sample = read(SAMPLE).unwrap();
    let planned = plan(&sample.case, &sample.plan, 12.0).unwrap();
    let bare = Case { face_bolts: Vec::new(), ..sample.case.clone() };
    let without = plan(&bare, &sample.plan, 12.0).unwrap();
    let a_face = forces_alone(&sample.case).unwrap().face_bolts[0].rows.len() as u64;
    assert_eq!(planned.bolts - without.bolts, 4 * a_face);
    let hole_m = sample.case.face_bolts[0].pattern().length_in_hole_m();
    assert!((planned.drill_m - without.drill_m - 4.0 * a_face as f64 * hole_m).abs() < 1e-9);
    assert!(planned.minutes > without.minutes && planned.cost > without.cost && planned.cost.is_some());
    assert!(planned.tests.iter().all(|t| t.pattern == 0) && !without.tests.is_empty());
    let said = planned.notes.iter().any(
        |n| matches!(n, PlanNote::InFace { a_face: said, bolts } if *said == a_face && *bolts == 4 * a_face),
    );
    assert!(said, "{:?}", planned.notes);
}

#[test]
fn the_sample_is_held_with_its_face_bolted_and_short_without() {
    let sample = read(SAMPLE).unwrap();
    let verdicts = |case: &Case| -> Vec<Verdict> {
        at_face(case)
            .face
            .iter()
            .filter(|w| w.decided.criterion_fs.is_some())
            .map(|w| w.decided.verdict)
            .collect()
    };
    assert!(verdicts(&sample.case).iter().all(|v| *v == Verdict::Held), "{:?}", verdicts(&sample.case));
    let bare = sample.options.iter().find(|o| o.name == "bare face").unwrap();
    assert!(bare.case.face_bolts.is_empty());
    assert!(verdicts(&bare.case).contains(&Verdict::Short));
    let wider = sample.options.iter().find(|o| o.name == "face at 1.5 m").unwrap();
    assert_eq!(wider.case.face_bolts[0].pattern().spacing_m, 1.5);
    assert_eq!(wider.case.patterns, sample.case.patterns);
}

#[test]
fn a_pattern_on_the_face_has_keys_of_its_own() {
    let face = "covers = [\"face\"]\n";
    let problem = |from: &str, to: &str| {
        assert!(SAMPLE.contains(from), "{from}");
        read(&SAMPLE.replacen(from, to, 1)).err().map(|p| p.to_string()).unwrap_or_default()
    };
    let with_key = |key: &str| problem(face, &format!("{face}{key}\n"));
    for key in ["ring_spacing_m = 1.2", "direction = \"vertical\"", "offset_m = 0.0", "tension_kn = 10.0"] {
        assert!(with_key(key).contains("pattern[2]"), "{key}: {}", with_key(key));
    }
    assert!(problem(face, "covers = [\"face\", \"back\"]\n").contains("of their own"));
    assert!(problem("row_spacing_m = 0.9", "# row_spacing_m").contains("row_spacing_m"));
    assert!(problem("ring_spacing_m = 1.2", "# ring_spacing_m").contains("pattern[1].ring_spacing_m"));
    assert!(
        problem("ring_spacing_m = 1.2", "ring_spacing_m = 1.2\nrow_spacing_m = 1.0")
            .contains("row_spacing_m")
    );
    assert!(with_key("up_deg = 85.0").contains("up_deg"));
    assert!(with_key("up_deg = 79.0\nright_deg = 79.0").contains("enter the rock"));
}

/// A drive without criteria to speak of: nothing moves out of a face of one set.
#[test]
fn criteria_are_asked_of_the_face_as_of_the_drive() {
    let mut case = heading(0.0);
    case.criteria = Criteria::of(0.1, 0.1);
    let check = at_face(&case);
    let found = wedge(&check, "A-B-C.011.face");
    assert_eq!(found.decided.verdict, Verdict::Held);
    assert_eq!(found.decided.criterion_fs, Some(0.1));
}
