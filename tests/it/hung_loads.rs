//! Hung loads: each equals extra weight in the wedge that it hangs from, and touches no other.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use crate::random_cases::mesh;
use crate::worked_case;
use backhold::case::{Case, SizeLimits, TEMPLATE, parse_case};
use backhold::stability::{HungLoad, HungSize, Shaking};
use backhold::study::{Check, CheckedWedge, decided, forces_alone, forces_and_moments, judge, judgement};
use backhold::support::LeastPiece;

fn hanging(size: HungSize, arc_m: f64) -> HungLoad {
    HungLoad { name: "fan".into(), size, arc_m, source: None }
}

fn place(kn: f64) -> HungSize {
    HungSize::AtPlace { kn, chainage_m: None }
}

fn with(case: &Case, loads: Vec<HungLoad>) -> Case {
    let mut case = case.clone();
    case.site.hung_loads = loads;
    case
}

/// Metres along the drive that a wedge's face covers at a place u of the section, by cutting the
/// printed polygons of its face.
fn covered_m(wedge: &CheckedWedge, check: &Check, arc_m: f64) -> f64 {
    let section = &check.opening.section;
    let place = section.at(section.crown_m() - arc_m, 0.0);
    let (point, tangent) = (place.point, section.facets()[place.facet].tangent);
    let mut s: Vec<f64> = Vec::new();
    for face in &wedge.wedge.shape.openings {
        for (i, a) in face.polygon.iter().enumerate() {
            let b = face.polygon[(i + 1) % face.polygon.len()];
            let on = |p: &backhold::orientation::Vec3| (p.x - point.x).hypot(p.z - point.y);
            // The edge that crosses the line along the drive through the place.
            let along =
                |p: &backhold::orientation::Vec3| (p.x - point.x) * tangent.x + (p.z - point.y) * tangent.y;
            let (da, db) = (along(a), along(&b));
            if da * db < 0.0 {
                let t = da / (da - db);
                let p = a + (b - a) * t;
                if on(&p) < 1e-6 {
                    s.push(p.y);
                }
            } else if on(a) < 1e-9 {
                s.push(a.y);
            }
        }
    }
    let (low, high) = s.iter().fold((f64::MAX, f64::MIN), |(l, h), &x| (l.min(x), h.max(x)));
    (high - low).max(0.0)
}

fn same_but_for(one: &Check, other: &Check, loaded: &[&str]) {
    for (a, b) in one.wedges.iter().zip(&other.wedges) {
        if !loaded.contains(&a.wedge.id.as_str()) {
            assert_eq!(a, b);
        }
    }
}

#[test]
fn a_hung_load_is_extra_weight_in_its_wedge_and_touches_no_other() {
    let case = worked_case::three_sets();
    let free = decided(&case, forces_alone(&case).unwrap());
    let mut asked = 0;
    for arc_m in [0.0, 1.1, -1.1, 3.5, -3.5] {
        let case_loaded = with(&case, vec![hanging(place(40.0), arc_m)]);
        let loaded = decided(&case_loaded, forces_alone(&case_loaded).unwrap());
        let takers: Vec<&str> =
            loaded.wedges.iter().filter(|w| w.wedge.hung_kn > 0.0).map(|w| w.wedge.id.as_str()).collect();
        same_but_for(&free, &loaded, &takers);
        for id in takers {
            let find = |c: &Check| c.wedges.iter().find(|w| w.wedge.id == id).unwrap().clone();
            let (before, after) = (find(&free), find(&loaded));
            assert!((after.wedge.hung_kn - 40.0).abs() < 1e-12);
            assert!(covered_m(&after, &loaded, arc_m) > 0.0, "{id} does not cover {arc_m}");
            // Rock as much heavier: the same mode and factors.
            let mut heavy = case.clone();
            heavy.unit_weight_kn_m3 *= (before.wedge.weight_kn + 40.0) / before.wedge.weight_kn;
            let heavy = find(&decided(&heavy, forces_alone(&heavy).unwrap()));
            assert_eq!(after.wedge.stability.motion.mode, heavy.wedge.stability.motion.mode);
            assert_eq!(after.decided.verdict, heavy.decided.verdict, "{id}");
            let near = |a: f64, b: f64| a == b || (a - b).abs() <= 1e-12 * a.abs().max(b.abs());
            assert!(near(after.found.fs_bare, heavy.found.fs_bare), "{id}");
            assert!(near(after.found.fs_bolted.unwrap(), heavy.found.fs_bolted.unwrap()), "{id}");
            assert!(near(after.force_needed_kn(), heavy.force_needed_kn()), "{id}");
            asked += usize::from(after.decided.criterion_fs.is_some());
        }
        // And every wedge that does not take it does not cover the place.
        for wedge in loaded.wedges.iter().filter(|w| w.wedge.hung_kn == 0.0) {
            assert!(covered_m(wedge, &loaded, arc_m) < 1e-6, "{} covers {arc_m}", wedge.wedge.id);
        }
    }
    assert!(asked >= 4, "only {asked} moving wedges took a load");
}

#[test]
fn a_load_along_the_drive_is_taken_over_the_length_that_the_face_covers() {
    let case = worked_case::three_sets();
    let mut compared = 0;
    for arc_m in [0.0, 0.7, -1.3, 2.9, -3.1] {
        let loaded =
            forces_alone(&with(&case, vec![hanging(HungSize::PerMetre { kn_per_m: 2.0 }, arc_m)])).unwrap();
        for wedge in &loaded.wedges {
            let covered = covered_m(wedge, &loaded, arc_m);
            assert!((wedge.wedge.hung_kn - 2.0 * covered).abs() < 1e-6, "{} at {arc_m}", wedge.wedge.id);
            compared += usize::from(covered > 0.0);
        }
    }
    assert!(compared >= 5, "{compared}");
}

#[test]
fn loads_with_chainages_hang_together_only_where_one_wedge_covers_them() {
    let case = worked_case::three_sets();
    let at = |kn, chainage_m| hanging(HungSize::AtPlace { kn, chainage_m: Some(chainage_m) }, 0.0);
    let most = |loads| {
        let loaded = forces_alone(&with(&case, loads)).unwrap();
        loaded
            .wedges
            .iter()
            .filter(|w| w.decided.criterion_fs.is_some())
            .map(|w| w.wedge.hung_kn)
            .fold(0.0, f64::max)
    };
    assert!((most(vec![at(10.0, 50.0), at(7.0, 50.1)]) - 17.0).abs() < 1e-12);
    assert!((most(vec![at(10.0, 50.0), at(7.0, 90.0)]) - 10.0).abs() < 1e-12);
    assert!((most(vec![at(10.0, 50.0), at(7.0, 90.0), at(8.0, 90.1)]) - 15.0).abs() < 1e-12);
}

#[test]
fn moments_see_where_a_load_hangs() {
    // Straight below the centroid a load is extra weight for moments too; off to the side it turns.
    let case = worked_case::three_sets();
    let rotation = |arc_m: f64| {
        let loaded = forces_and_moments(&with(&case, vec![hanging(place(60.0), arc_m)])).unwrap();
        let taker = loaded.wedges.iter().find(|w| w.wedge.id == "A-B-C.111").unwrap();
        assert!(taker.wedge.hung_kn > 0.0, "{arc_m}");
        taker.found.fs_rotation.unwrap()
    };
    let free = forces_and_moments(&case).unwrap();
    let free = free.wedges.iter().find(|w| w.wedge.id == "A-B-C.111").unwrap().found.fs_rotation.unwrap();
    let (middle, side) = (rotation(0.0), rotation(1.2));
    assert!(middle < free && side < free, "{free} {middle} {side}");
    assert!((middle - side).abs() > 1e-3, "{middle} and {side} do not see the place");
}

#[test]
fn with_limits_the_worst_place_across_the_section_takes_the_load() {
    let mut case = worked_case::three_sets();
    case.limits = SizeLimits { max_volume_m3: Some(1.5), ..SizeLimits::default() };
    let free = forces_alone(&case).unwrap();
    let loaded = forces_alone(&with(&case, vec![hanging(place(30.0), 0.2)])).unwrap();
    let mut lower = 0;
    for (a, b) in free.wedges.iter().zip(&loaded.wedges) {
        assert!(b.found.fs_bolted <= a.found.fs_bolted, "{}", a.wedge.id);
        lower += usize::from(b.found.fs_bolted < a.found.fs_bolted);
    }
    assert!(lower >= 1);
    // Without bolts too.
    case.patterns.clear();
    let bare = forces_alone(&with(&case, vec![hanging(place(30.0), 0.2)])).unwrap();
    assert!(bare.wedges.iter().any(|w| w.wedge.hung_kn > 0.0));
}

fn problem(load: &str) -> String {
    let text = format!("{TEMPLATE}\n[[hung_load]]\n{load}\n");
    match parse_case(&text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into())) {
        Ok(read) => format!("read: {:?}", read.case.site.hung_loads),
        Err(problems) => problems.to_string(),
    }
}

#[test]
fn a_case_file_says_where_a_load_hangs() {
    let good = problem("name = \"duct\"\nkn_per_m = 0.6\nu_m = 1.0\nv_m = 4.6");
    assert!(good.starts_with("read: ") && good.contains("PerMetre"), "{good}");
    for (load, says) in [
        ("name = \"fan\"\narc_m = 0.0", "kn or kn_per_m"),
        ("name = \"fan\"\nkn = 4.0\nkn_per_m = 1.0\narc_m = 0.0", "both kn and kn_per_m"),
        ("name = \"fan\"\nkn = 4.0", "say where it hangs"),
        ("name = \"fan\"\nkn = 4.0\nu_m = 0.0", "u_m without v_m"),
        ("name = \"fan\"\nkn = 4.0\nu_m = 0.0\nv_m = 2.5", "from the surface"),
        ("name = \"fan\"\nkn = 4.0\narc_m = 40.0", "farther round than the middle of the floor"),
        ("name = \"fan\"\nkn = -4.0\narc_m = 0.0", "a number above 0"),
        (
            "name = \"fan\"\nkn_per_m = 4.0\narc_m = 0.0\nchainage_m = 4.0",
            "chainage_m for a load at one place",
        ),
        ("name = \"fan\"\nkn = 4.0\narc = 0.0", "did you mean arc_m"),
    ] {
        let said = problem(load);
        assert!(said.contains(says) && said.contains("case.toml:"), "{load}: {said}");
    }
}

#[test]
fn a_wedge_that_has_its_place_takes_a_load_there_and_no_other() {
    use backhold::case::{Joint, JointKind};
    use backhold::orientation::Vec3;
    let case = worked_case::three_sets();
    let free = forces_alone(&case).unwrap();
    let apex = free.wedges.iter().find(|w| w.wedge.id == "A-B-C.111").unwrap().wedge.shape.apex;
    let mut placed = case.clone();
    let kind = JointKind::Structure { through: Vec3::new(apex.x, 63.0, apex.z) };
    placed.joints.push(Joint { name: "F".into(), kind, ..case.joints[0].clone() });
    let hung = |chainage_m: f64| {
        let size = HungSize::AtPlace { kn: 12.0, chainage_m: Some(chainage_m) };
        let found = forces_alone(&with(&placed, vec![hanging(size, 0.0)])).unwrap();
        let kn = |id: &str| found.wedges.iter().find(|w| w.wedge.id == id).unwrap().wedge.hung_kn;
        (kn("B-C-F.111"), kn("A-B-C.111"))
    };
    assert_eq!(hung(63.1), (12.0, 12.0));
    assert_eq!(hung(90.0), (0.0, 12.0));
}

/// Shaken straight down, rock and what hangs from it weigh so much more: each piece is carried as it is at rest with
/// both as heavy, whatever part of them hangs.
#[test]
fn what_hangs_is_shaken_with_the_rock() {
    let vertical = 0.35;
    let mut case = worked_case::three_sets();
    case.surface_support = vec![mesh(12.0, 0.0)];
    // So close that bolts hold the largest, and what slips between them is for the mesh.
    (case.patterns[0].ring_spacing_m, case.patterns[0].spacing_m) = (0.7, 0.7);
    case.site.hung_loads = vec![hanging(place(9.0), 0.1)];
    let mut shaken = case.clone();
    shaken.site.shaking =
        Some(Shaking { horizontal: 0.0, vertical, trend_deg: Some(0.0), velocity: None, source: None });
    let mut heavier = case;
    heavier.unit_weight_kn_m3 *= 1.0 + vertical;
    heavier.site.hung_loads = vec![hanging(place(9.0 * (1.0 + vertical)), 0.1)];
    let (shaken, heavier) = (judged(&shaken), judged(&heavier));
    let mut loaded = 0;
    for (a, b) in shaken.wedges.iter().zip(&heavier.wedges) {
        let (Some(x), Some(y)) = (a.least_piece(), b.least_piece()) else { continue };
        println!(
            "{}: {} to {} at {} m³, {} to {}",
            a.wedge.id, x.fs_at_least, x.fs, x.volume_m3, y.fs_at_least, y.fs
        );
        // Searches walk ways of their own; their brackets hold the same factor.
        assert!(
            x.fs_at_least <= y.fs * (1.0 + 1e-9) && y.fs_at_least <= x.fs * (1.0 + 1e-9),
            "{}",
            a.wedge.id
        );
        let closed = |p: &LeastPiece| p.fs_at_least > p.fs * (1.0 - BRACKET);
        // The load is a greater part of a smaller piece.
        let smaller = x.volume_m3 < 0.9 * a.wedge.shape.volume_m3;
        loaded += usize::from(a.wedge.hung_kn > 0.0 && smaller && closed(x) && closed(y));
    }
    assert!(loaded >= 1, "no bracket of a wedge that a load hangs from is closed");
}

/// A closed bracket is no wider.
const BRACKET: f64 = 2e-3;

fn judged(case: &Case) -> Check {
    let found = forces_alone(case).unwrap();
    let pieces = judgement(case, &found);
    decided(case, judge(case, found, pieces))
}
