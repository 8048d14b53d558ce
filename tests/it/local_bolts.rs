//! Patterns over a stretch and single bolts: they count where they stand, for wedges that a structure puts
//! there, and for no others. All data is invented.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use backhold::case::{Case, Criteria, Joint, ReadCase, SizeLimits, parse_case};
use backhold::opening::SectionShape;
use backhold::orientation::{Line, Plane, Vec3};
use backhold::stability::Mode;
use backhold::strength::MohrCoulomb;
use backhold::study::plan::{once, plan, planned_collars};
use backhold::study::{Check, CheckedWedge, check, forces_alone};
use backhold::support::{Anchorage, Bolt, BoltKind, Collar, LocalBolts, Pattern};

/// Least factors of pieces are known to 0.1 % from either side.
const BRACKET: f64 = 1.1e-3;

fn read(text: &str) -> ReadCase {
    match parse_case(text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into())) {
        Ok(read) => read,
        Err(problems) => panic!("{problems}"),
    }
}

fn sample(name: &str) -> String {
    std::fs::read_to_string(format!("{}/samples/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

/// The ore drive without what its fault has of its own.
fn ore_drive() -> Case {
    Case { local: Vec::new(), ..read(&sample("ore_drive_fault.toml")).case }
}

const PLANES: [(f64, f64); 3] = [(60.0, 120.0), (60.0, 240.0), (62.0, 15.0)];
const THROUGH: [f64; 3] = [0.3, 50.0, 4.0];
const STEEL_KN: f64 = 50.0;

/// A flat back of 5 m, 4 m above the floor, in a drive that goes north on the level, so that u, s and v are
/// east, north and up; two sets and a fault whose wedge falls, up to a cubic metre of it.
fn flat_back() -> Case {
    let friction = MohrCoulomb { friction_deg: 30.0, cohesion_kpa: 0.0 };
    let plane = |(dip_deg, dip_direction_deg): (f64, f64)| Plane { dip_deg, dip_direction_deg };
    let [u, s, v] = THROUGH;
    Case {
        joints: vec![
            Joint::set("A", plane(PLANES[0]), friction),
            Joint::set("B", plane(PLANES[1]), friction),
            Joint::set("C", Plane { dip_deg: 85.0, dip_direction_deg: 180.0 }, friction),
            Joint::structure("F", plane(PLANES[2]), friction, Vec3::new(u, s, v)),
        ],
        limits: SizeLimits { max_volume_m3: Some(1.0), ..SizeLimits::default() },
        // So strong beside its steel that the steel gives first wherever the joint crosses it.
        bolts: vec![Bolt {
            name: "rebar".into(),
            kind: BoltKind::Resin,
            steel_kn: STEEL_KN,
            anchorage: Anchorage::Bonded { bond_kn_per_m: 2000.0 },
            plate_kn: 100.0,
            fast_length_m: None,
            source: None,
        }],
        ..Case::bare(
            "flat back (invented)",
            Line { trend_deg: 0.0, plunge_deg: 0.0 },
            SectionShape::Flat { width_m: 5.0, height_m: 4.0 },
            3.0,
            27.0,
            Criteria::of(2.0, 1.5),
        )
    }
}

/// A bolt straight up in the flat back.
fn straight_up(case: &Case, u_m: f64, chainage_m: f64) -> LocalBolts {
    let opening = case.opening().unwrap();
    let (along_m, off_m) = opening.section.nearest_m(&backhold::opening::Vec2::new(u_m, 4.0));
    assert!(off_m < 1e-9);
    let place = opening.section.at(along_m, 0.0);
    let collar = Collar {
        arc_m: opening.section.arc_from_crown_m(along_m),
        along_m,
        point: place.point,
        surface: opening.surface_of(place.facet),
        direction: Vec3::z(),
    };
    LocalBolts::spot(0, 4.0, 0.0, chainage_m, collar)
}

fn falling_on_the_fault(check: &Check) -> &CheckedWedge {
    let falls = |w: &&CheckedWedge| {
        w.wedge.located.is_some()
            && w.wedge.sets == [0, 1, 3]
            && w.wedge.stability.motion.mode == Mode::Falling
    };
    check.wedges.iter().find(falls).unwrap()
}

/// Normals of the planes, into the wedge below them: (sin dip · sin dd, sin dip · cos dd, cos dip) reversed.
fn inward() -> [[f64; 3]; 3] {
    PLANES.map(|(dip, dd)| {
        let (dip, dd) = (dip.to_radians(), dd.to_radians());
        [-dip.sin() * dd.sin(), -dip.sin() * dd.cos(), -dip.cos()]
    })
}

/// The corners (u, s) of the wedge's face, from an apex at (0, 0) that stands `height_m` above the back.
fn corners(height_m: f64) -> [[f64; 2]; 3] {
    let m = inward();
    std::array::from_fn(|k| {
        // m · (x, y, −height) = 0 for two planes.
        let (a, b) = (m[(k + 1) % 3], m[(k + 2) % 3]);
        let det = a[0] * b[1] - a[1] * b[0];
        let (p, q) = (a[2] * height_m, b[2] * height_m);
        [(p * b[1] - q * a[1]) / det, (a[0] * q - b[0] * p) / det]
    })
}

/// Height of the wedge of a cubic metre: volumes go with its cube.
fn height_m() -> f64 {
    let [a, b, c] = corners(1.0);
    let area = 0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])).abs();
    (1.0 / (area / 3.0)).cbrt()
}

/// The fewest of these bolts (u, s) that a cubic metre of it has on its face, wherever in the back the fault
/// lets it be: the apex lies on the fault, so where it is across gives where it is along.
fn fewest(bolts: &[[f64; 2]]) -> usize {
    let (m, height) = (inward(), height_m());
    let face = corners(height);
    let ends = |pick: fn(f64, f64) -> f64| face.iter().map(|c| c[0]).reduce(pick).unwrap();
    let (low, high) = (-2.5 - ends(f64::min), 2.5 - ends(f64::max));
    let fault = m[2];
    (0..=200_000)
        .map(|k| {
            let u = low + (high - low) * f64::from(k) / 200_000.0;
            let across = fault[0] * (u - THROUGH[0]) + fault[2] * height;
            let s = THROUGH[1] - across / fault[1];
            let inside = |b: &&[f64; 2]| {
                m.iter().all(|m| m[0] * (b[0] - u) + m[1] * (b[1] - s) - m[2] * height >= 0.0)
            };
            bolts.iter().filter(inside).count()
        })
        .min()
        .unwrap()
}

fn bolted_fs(case: &Case) -> f64 {
    falling_on_the_fault(&forces_alone(case).unwrap()).found.fs_bolted.unwrap_or(0.0)
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-6 * (1.0 + b.abs())
}

#[test]
fn single_bolts_over_a_fault_are_counted_by_hand() {
    let bare = flat_back();
    let weight_kn = 27.0;
    // Along the trace at the back, s = 50 − (u − 0.3) tan 15°, the face lies toward the dip, below the plane.
    let trace = |u: f64| 50.0 - (u - 0.3) * 15f64.to_radians().tan();
    let mut seen = Vec::new();
    for (step_u, off_s, count) in
        [(0.8, 0.4, 7), (0.6, 0.3, 9), (0.4, -0.4, 13), (0.4, 0.5, 13), (0.5, 0.9, 10)]
    {
        let places: Vec<[f64; 2]> = (0..count)
            .map(|k| {
                let u = -2.4 + f64::from(k) * step_u;
                [u, trace(u) + off_s]
            })
            .collect();
        let local: Vec<LocalBolts> = places.iter().map(|p| straight_up(&bare, p[0], p[1])).collect();
        let case = Case { local, ..bare.clone() };
        let hand = fewest(&places) as f64 * STEEL_KN / weight_kn;
        let found = bolted_fs(&case);
        assert!((found - hand).abs() <= 1e-3 * (1.0 + hand), "{step_u} {off_s}: {found}, by hand {hand}");
        seen.push(hand);
    }
    assert!(seen.contains(&0.0) && seen.iter().any(|fs| *fs > 3.0), "{seen:?}");
}

#[test]
fn a_wedge_across_the_end_of_a_stretch_has_the_rings_that_are_there() {
    let bare = flat_back();
    let pattern = Pattern::of_back(0, 4.0, 0.5, 0.4);
    let (mut part, mut whole) = (0, 0);
    // Collars every 0.4 m from the crown, rings every half metre from 48.1 m on.
    for to_m in [48.3, 49.2, 49.7, 50.3, 51.0, 53.9] {
        let local = vec![LocalBolts::stretch(pattern.clone(), 48.1, to_m)];
        let mut places = Vec::new();
        for ring in 0..40 {
            let s = 48.1 + 0.5 * f64::from(ring);
            if s <= to_m + 1e-9 {
                places.extend((-6..=6).map(|k| [0.4 * f64::from(k), s]));
            }
        }
        let hand = fewest(&places) as f64 * STEEL_KN / 27.0;
        let found = bolted_fs(&Case { local, ..bare.clone() });
        assert!((found - hand).abs() <= 1e-3 * (1.0 + hand), "to {to_m}: {found}, by hand {hand}");
        let endless = Pattern { offset_m: Some(48.1), ..pattern.clone() };
        let all = bolted_fs(&Case { patterns: vec![endless], ..bare.clone() });
        assert!(found <= all + 1e-9);
        if found < 0.99 * all { part += 1 } else { whole += 1 }
    }
    assert!(part >= 3 && whole >= 1, "{part} {whole}");
}

/// The wedges that a structure puts at a chainage.
fn placed(check: &Check) -> impl Iterator<Item = &CheckedWedge> {
    check.wedges.iter().filter(|w| w.wedge.located.is_some() && w.decided.criterion_fs.is_some())
}

#[test]
fn a_stretch_that_covers_all_of_a_faults_reach_is_the_pattern_without_ends() {
    let mut endless = ore_drive();
    endless.patterns[0].offset_m = Some(8.4);
    let mut over = endless.clone();
    let pattern = over.patterns.remove(0);
    over.local = vec![LocalBolts::stretch(pattern, 8.4, 40.0)];
    let (a, b) = (check(&endless).unwrap(), check(&over).unwrap());
    let mut seen = 0;
    for (a, b) in placed(&a.check).zip(placed(&b.check)) {
        assert_eq!(a.wedge.id, b.wedge.id);
        let same = |what: &str, a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => {
                assert!((a - b).abs() <= 1e-9 * (1.0 + a.abs()) || a == b, "{what}: {a} {b}")
            }
            (a, b) => assert_eq!(a, b, "{what}"),
        };
        same("deciding", a.decided.fs, b.decided.fs);
        same("largest", a.found.fs_bolted, b.found.fs_bolted);
        same("median", a.found.fs_bolted_median, b.found.fs_bolted_median);
        same("size", a.decided.volume_m3, b.decided.volume_m3);
        same("as drawn", a.fs_as_drawn(), b.fs_as_drawn());
        assert_eq!(a.decided.verdict, b.decided.verdict);
        seen += usize::from(a.placement().is_some_and(|p| !p.serving.is_empty()));
    }
    assert!(seen >= 3, "{seen}");
}

#[test]
fn away_from_the_fault_a_stretch_does_nothing_and_free_wedges_never_notice() {
    let bare = ore_drive();
    let pattern = Pattern { stagger: true, ..Pattern::of_back(0, 2.4, 0.5, 0.5) };
    let at = |from_m: f64| {
        let local = vec![LocalBolts::stretch(pattern.clone(), from_m, from_m + 6.0)];
        check(&Case { local, ..bare.clone() }).unwrap()
    };
    let without = check(&bare).unwrap();
    let (away, there) = (at(300.0), at(18.0));
    assert_eq!(away.check.wedges, without.check.wedges);
    assert_eq!(away.check.face, without.check.face);
    let mut changed = 0;
    for (now, before) in there.check.wedges.iter().zip(&without.check.wedges) {
        if now.wedge.located.is_some() {
            changed += usize::from(now.decided.fs != before.decided.fs);
            let (fs, least) = (now.decided.fs.unwrap_or(f64::INFINITY), before.decided.fs.unwrap_or(0.0));
            assert!(fs >= least * (1.0 - BRACKET), "{}: {fs} below {least}", now.wedge.id);
        } else {
            assert_eq!(now, before);
        }
    }
    assert!(changed >= 1, "nothing held better");
    let free = |id: &str| without.check.wedges.iter().any(|w| w.wedge.id == id && w.wedge.located.is_none());
    let sizes = |whole: &backhold::study::Whole| -> Vec<_> {
        whole.sizes.iter().filter(|c| free(&c.wedge)).cloned().collect()
    };
    let stages = |whole: &backhold::study::Whole| -> Vec<_> {
        whole.stages.rows.iter().filter(|r| free(&r.wedge)).cloned().collect()
    };
    assert_eq!(sizes(&there), sizes(&without));
    assert_eq!(stages(&there), stages(&without));
}

#[test]
fn taking_a_single_bolt_away_never_improves() {
    let mut bare = ore_drive();
    bare.patterns.clear();
    let opening = bare.opening().unwrap();
    let spot = |arc_m: f64, chainage_m: f64| {
        let place = opening.section.at(opening.section.crown_m() - arc_m, 0.0);
        let collar = Collar {
            arc_m,
            along_m: place.along_m,
            point: place.point,
            surface: opening.surface_of(place.facet),
            direction: Vec3::new(place.normal.x, 0.0, place.normal.y),
        };
        LocalBolts::spot(0, 2.4, 0.1, chainage_m, collar)
    };
    let local: Vec<LocalBolts> =
        (0..12).map(|k| spot(0.7 * (f64::from(k % 4) - 1.5), 20.2 + 0.9 * f64::from(k / 4))).collect();
    let all = check(&Case { local: local.clone(), ..bare.clone() }).unwrap();
    let mut fell = 0;
    for gone in 0..local.len() {
        let mut fewer = local.clone();
        fewer.remove(gone);
        let fewer = check(&Case { local: fewer, ..bare.clone() }).unwrap();
        for (less, more) in placed(&fewer.check).zip(placed(&all.check)) {
            assert_eq!(less.wedge.id, more.wedge.id);
            let (a, b) = (less.decided.margin(), more.decided.margin());
            assert!(a <= b * (1.0 + BRACKET) || a == b, "{} without {gone}: {a} above {b}", less.wedge.id);
            let (a, b) = (less.found.fs_bolted, more.found.fs_bolted);
            // Across the section the worst place is searched to 0.1 %.
            let most = b.map(|fs| fs * (1.0 + BRACKET));
            assert!(a <= most, "{} without {gone}: {a:?} above {b:?}", less.wedge.id);
            fell += usize::from(less.found.fs_bolted < more.found.fs_bolted);
        }
    }
    assert!(fell >= 3, "{fell}");
}

/// The same drive walked from its other end: chainages and u change sign.
fn turned(case: &Case) -> Case {
    let mut turned = case.clone();
    turned.advance =
        Line { trend_deg: (case.advance.trend_deg + 180.0) % 360.0, plunge_deg: -case.advance.plunge_deg };
    for joint in &mut turned.joints {
        if let backhold::case::JointKind::Structure { through } = &mut joint.kind {
            (through.x, through.y) = (-through.x, -through.y);
        }
    }
    turned
}

#[test]
fn walked_the_other_way_the_same_is_held_as_well() {
    let bare = ore_drive();
    let pattern = Pattern::of_back(0, 2.4, 0.5, 0.5);
    // Seven rings, 19.0 to 22.0 m.
    let one = Case { local: vec![LocalBolts::stretch(pattern.clone(), 19.0, 22.2)], ..bare.clone() };
    let other = Case { local: vec![LocalBolts::stretch(pattern, -22.0, -18.9)], ..turned(&bare) };
    let (one, other) = (check(&one).unwrap().check, check(&other).unwrap().check);
    let without = check(&bare).unwrap().check;
    let mut seen = 0;
    for wedge in placed(&one) {
        let mirrored = other.wedges.iter().find(|w| w.wedge.id == wedge.wedge.id).unwrap();
        assert_eq!(wedge.decided.verdict, mirrored.decided.verdict);
        let (a, b) = (wedge.decided.fs.unwrap_or(0.0), mirrored.decided.fs.unwrap_or(0.0));
        assert!((a - b).abs() <= BRACKET * a.max(b), "{}: {a} {b}", wedge.wedge.id);
        let (a, b) = (wedge.found.fs_bolted.unwrap(), mirrored.found.fs_bolted.unwrap());
        // Across the section the worst place is searched to 0.1 %.
        assert!((a - b).abs() <= BRACKET * a.max(b) || a == b, "{}: {a} {b}", wedge.wedge.id);
        let before = without.wedges.iter().find(|w| w.wedge.id == wedge.wedge.id).unwrap();
        seen += usize::from(wedge.found.fs_bolted > before.found.fs_bolted);
    }
    assert!(seen >= 1, "{seen}");
}

fn with(added: &str) -> String {
    let text = sample("ore_drive_fault.toml");
    // Without what the sample's fault has of its own.
    let own = text.find("# Of the fault alone").map_or(text.len(), |at| at);
    let rest = text.find("[[surface]]").unwrap();
    format!("{}{}\n{added}\n", &text[..own.min(rest)], &text[rest..])
}

fn said(added: &str) -> String {
    said_of(&with(added))
}

fn said_of(text: &str) -> String {
    match parse_case(text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into())) {
        Ok(read) => format!("read: {} {:?}", read.case.local.len(), read.notes),
        Err(problems) => problems.to_string(),
    }
}

const STRETCH: &str = "[[pattern]]\nbolt = \"resin rebar 20 mm\"\nlength_m = 2.4\noutside_hole_m = 0.1\nring_spacing_m = 0.6\nspacing_m = 0.6\ncovers = [\"back\"]\n";
const SPOT: &str = "[[bolt_at]]\nbolt = \"resin rebar 20 mm\"\nlength_m = 2.4\noutside_hole_m = 0.1\n";

#[test]
fn a_collar_is_given_in_any_of_three_ways() {
    let at = |place: &str| read(&with(&format!("{SPOT}{place}"))).case.local[0].clone();
    let by_section = at("chainage_m = 21.0\nu_m = 0.5\nv_m = 4.2");
    let by_arc = at("chainage_m = 21.0\narc_m = 0.5");
    let opening = ore_drive().opening().unwrap();
    let world = opening.frame.to_world(&Vec3::new(0.5, 21.0, 4.2));
    let by_world = at(&format!("east_m = {}\nnorth_m = {}\nup_m = {}", world.x, world.y, world.z));
    for other in [by_arc, by_world] {
        assert!((other.from_m() - by_section.from_m()).abs() < 1e-9);
        let (a, b) = (other.collar().unwrap(), by_section.collar().unwrap());
        assert!((a.point - b.point).norm() < 1e-9 && (a.direction - b.direction).norm() < 1e-9);
    }
    let up = at("chainage_m = 21.0\narc_m = 0.5\ndirection = \"vertical\"");
    let lean = at("chainage_m = 21.0\narc_m = 0.5\ntrend_deg = 12.0\nplunge_deg = -60.0");
    let world = |b: &LocalBolts| opening.frame.to_world(&b.collar().unwrap().direction);
    assert!((world(&up) - Vec3::z()).norm() < 1e-12);
    let trend = 12f64.to_radians();
    let by_hand = Vec3::new(0.5 * trend.sin(), 0.5 * trend.cos(), 0.75f64.sqrt());
    assert!((world(&lean) - by_hand).norm() < 1e-12);
}

#[test]
fn what_is_wrong_with_a_stretch_or_a_single_bolt_is_said() {
    let spot_at = |place: &str| format!("{SPOT}{place}");
    for (added, says) in [
        (format!("{STRETCH}from_m = 19.0\nto_m = 24.0"), "read: 1"),
        (format!("{STRETCH}from_m = 19.0"), "nothing, though from_m is there"),
        (format!("{STRETCH}to_m = 19.0"), "nothing, though to_m is there"),
        (format!("{STRETCH}from_m = 24.0\nto_m = 19.0"), "19, not beyond from_m 24"),
        (format!("{STRETCH}from_m = 24.0\nto_m = 24.0"), "24, not beyond from_m 24"),
        (format!("{STRETCH}from_m = 19.0\nto_m = 24.0\noffset_m = 19.0"), "offset_m beside from_m"),
        (
            format!("{STRETCH}from_m = 19.0\nto_m = 24.0\n{STRETCH}"),
            "a pattern of the whole drive behind one over a stretch",
        ),
        (spot_at("chainage_m = 21.0\nu_m = 0.5\nv_m = 4.2"), "read: 1"),
        (spot_at("chainage_m = 21.0\nu_m = 0.5"), "a collar by chainage_m, u_m"),
        (spot_at(""), "no place of a collar"),
        (spot_at("chainage_m = 21.0\narc_m = 0.5\nu_m = 0.5\nv_m = 4.2"), "a collar by chainage_m, arc_m"),
        (spot_at("chainage_m = 21.0\nu_m = 0.5\nv_m = 3.6"), "a collar 0.60 m off the section"),
        (spot_at("chainage_m = 21.0\narc_m = 50.0"), "farther round than the middle of the floor"),
        (
            spot_at("chainage_m = 21.0\narc_m = 0.0").replace("resin rebar 20 mm", "resin rebar 22 mm"),
            "\"resin rebar 22 mm\", a bolt that nobody defined",
        ),
        (
            spot_at("chainage_m = 21.0\narc_m = 0.0").replace("outside_hole_m = 0.1", "outside_hole_m = 1.9"),
            "it is longer outside than in it",
        ),
        (spot_at("chainage_m = 21.0\narc_m = 0.0\ntrend_deg = 12.0"), "nothing, though trend_deg is there"),
        (
            spot_at("chainage_m = 21.0\narc_m = 0.0\ntrend_deg = 12.0\nplunge_deg = 60.0"),
            "points into the opening",
        ),
        (
            spot_at(
                "chainage_m = 21.0\narc_m = 0.0\ntrend_deg = 12.0\nplunge_deg = -60.0\ndirection = \"normal\"",
            ),
            "a direction beside trend_deg and plunge_deg",
        ),
        (spot_at("chainage_m = 21.0\narc_m = 0.0\ndirection = \"boom\""), "\"boom\""),
        (format!("{0}chainage_m = 21.0\narc_m = 0.2\n{0}chainage_m = 21.0\narc_m = 0.2", SPOT), "once more"),
        (spot_at("chainage_m = 21.0\narc_m = 0.0\ncovers = [\"back\"]"), "covers"),
    ] {
        let said = said(&added);
        assert!(said.contains(says), "{added}\n{said}");
        assert!(said.starts_with("read: ") || said.contains("case.toml:"), "{said}");
    }
    // All at once.
    let said = said(&format!("{STRETCH}from_m = 24.0\nto_m = 19.0\n{SPOT}chainage_m = 21.0"));
    assert!(said.contains("not beyond from_m") && said.contains("a collar by chainage_m"), "{said}");
}

#[test]
fn a_plan_counts_what_stands_at_a_chainage_once() {
    let text = with(&format!("{STRETCH}from_m = 19.0\nto_m = 22.1\n{SPOT}chainage_m = 21.3\narc_m = 0.3"));
    let ReadCase { case, plan: inputs, .. } = read(&text);
    let bare = Case { local: Vec::new(), ..case.clone() };
    // Rings at 19.0, 19.6, … 22.0: six; collars at 0, ±0.6, ±1.2, ±1.8 m of a back of 4.5 m: seven.
    let taken = once(&case, &inputs).unwrap().unwrap();
    assert!(near(taken.bolts, 43.0) && near(taken.drill_m, 43.0 * 2.3), "{taken:?}");
    assert!(once(&bare, &inputs).unwrap().is_none());
    for length_m in [10.0, 60.0] {
        let (with, without) =
            (plan(&case, &inputs, length_m).unwrap(), plan(&bare, &inputs, length_m).unwrap());
        assert_eq!(with.bolts, without.bolts + 43);
        assert!(near(with.drill_m - without.drill_m, 43.0 * 2.3));
        assert!(with.minutes > without.minutes);
    }
    let collars = planned_collars(&case, &inputs).unwrap();
    let of = |pattern: usize| collars.iter().filter(|c| c.pattern == pattern).count();
    assert_eq!((of(1), of(2)), (7, 1));
}

#[test]
fn an_option_may_give_the_fault_its_own_bolts() {
    let stretch = STRETCH.replace("[[pattern]]", "[[option.pattern]]\n[[option.pattern]]");
    let spot = SPOT.replace("[[bolt_at]]", "[[option.bolt_at]]");
    let text = with(&format!(
        "[[option]]\nname = \"own\"\n{stretch}from_m = 19.0\nto_m = 24.0\n{spot}chainage_m = 21.0\narc_m = 0.0\n"
    ));
    let found = read(&text);
    assert!(found.case.local.is_empty());
    let local = &found.options[0].case.local;
    assert_eq!(local.iter().map(LocalBolts::is_spot).collect::<Vec<_>>(), [false, true]);
    assert_eq!((local[0].from_m(), local[0].to_m(), local[0].rings()), (19.0, 24.0, 9));
}

/// A place needs nothing but its own numbers and the section: what else is wrong in its table, or with where
/// the drive goes, does not keep it from being named.
#[test]
fn a_collar_off_the_section_is_named_beside_whatever_else_is_wrong() {
    let spot = |rest: &str| with(&format!("{SPOT}{rest}"));
    let arc = "bolt_at[1].arc_m: found 60, farther round than the middle of the floor";
    let wrong = [
        ("chainage_m = 63\narc_m = 60\ndirection = \"boom\"\n", "bolt_at[1].direction: found \"boom\""),
        ("chainage_m = 63\narc_m = 60\ntrend_deg = 12\n", "bolt_at[1].plunge_deg: found nothing"),
        ("chainage_m = 63\narc_m = 60\nquality = 1\n", "bolt_at[1].quality: found the unknown key"),
        ("chainage_m = 63\narc_m = 60\nprice_per_bolt = \"two\"\n", "price_per_bolt: found the text \"two\""),
    ];
    for (rest, other) in wrong {
        let problems = said_of(&spot(rest));
        assert!(problems.contains(arc) && problems.contains(other), "{rest}: {problems}");
        assert_eq!(problems.matches(arc).count(), 1, "{problems}");
    }
    // The section is known though the drive's direction is not.
    let askew = spot("chainage_m = 63\narc_m = 60\n").replacen("trend_deg = ", "trend_deg = 9", 1);
    let problems = said_of(&askew);
    assert!(problems.contains(arc) && problems.contains("drive.trend_deg"), "{problems}");
    // In the world's coordinates it is not: nothing is said of what cannot be known.
    let askew = spot("east_m = 900\nnorth_m = 0\nup_m = 0\n").replacen("trend_deg = ", "trend_deg = 9", 1);
    let problems = said_of(&askew);
    assert!(!problems.contains("bolt_at") && problems.contains("drive.trend_deg"), "{problems}");
}
