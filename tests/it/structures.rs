//! Mapped structures: a wedge that uses one has it where it is.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use crate::oracle;
use crate::random_cases::{digits, oracle_input};
use crate::worked_case;
use backhold::case::{Case, Joint, JointKind, SizeLimits, TEMPLATE, parse_case};
use backhold::orientation::{Plane, Vec3};
use backhold::study::{Check, CheckedWedge, Warning, check, forces_alone, forces_and_moments, sizes};
use backhold::wedge::Across;

/// A placement stands a hair off the event that makes it worst, so its factor is reproduced to what
/// bolts gain on that hair, 10 nm.
const REPRODUCED: f64 = 1e-6;

fn surveyed() -> Case {
    let mut case = worked_case::three_sets();
    case.patterns[0].offset_m = Some(0.37);
    case
}

/// The case with structures; each has the plane and strength of one of its sets.
fn with(case: &Case, structures: &[(usize, Vec3)]) -> Case {
    let mut found = case.clone();
    for (n, (like, through)) in structures.iter().enumerate() {
        let kind = JointKind::Structure { through: *through };
        found.joints.push(Joint { name: format!("F{n}"), kind, ..case.joints[*like].clone() });
    }
    found
}

/// The wedge of these joints whose every side is that of the free wedge.
fn like<'c>(check: &'c Check, case: &Case, free: &CheckedWedge) -> Option<&'c CheckedWedge> {
    check.wedges.iter().find(|w| {
        w.wedge.located.is_some()
            && (0..3).all(|i| {
                let set = |s: usize| (case.joints[s].plane, case.joints[s].strength);
                (0..3).any(|k| {
                    set(w.wedge.sets[k]) == set(free.wedge.sets[i])
                        && w.wedge.pyramid.lower[k] == free.wedge.pyramid.lower[i]
                })
            })
    })
}

fn near(a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= REPRODUCED * (1.0 + a.abs().max(b.abs()))
}

fn plain_fs(case: &Case, wedge: &CheckedWedge, apex: Vec3) -> f64 {
    let input = oracle_input(case);
    oracle::fs_at(&input, wedge.wedge.sets, digits(wedge.wedge.pyramid), [apex.x, apex.z], apex.y).fs_bolted
}

fn moving(check: &Check) -> Vec<&CheckedWedge> {
    check.wedges.iter().filter(|w| w.placement().is_some()).collect()
}

fn worst_apex(wedge: &CheckedWedge) -> Vec3 {
    wedge.worst_apex().unwrap()
}

#[test]
fn where_the_worst_free_placement_lies_a_structure_gives_its_numbers_and_elsewhere_its_own() {
    let case = surveyed();
    let free = forces_alone(&case).unwrap();
    let (mut same, mut moved) = (0, 0);
    for wedge in moving(&free) {
        for set in wedge.wedge.sets {
            let there = worst_apex(wedge);
            let placed = with(&case, &[(set, there)]);
            let found = forces_alone(&placed).unwrap();
            let mine = like(&found, &placed, wedge).unwrap();
            assert!(matches!(mine.wedge.located.unwrap().across, Across::Anywhere));
            assert!(
                near(mine.found.fs_bolted.unwrap(), wedge.found.fs_bolted.unwrap()),
                "{} {set}",
                wedge.wedge.id
            );
            assert!((worst_apex(mine) - there).norm() < 1e-6);
            assert_eq!(mine.wedge.stability.motion.mode.name(), wedge.wedge.stability.motion.mode.name());
            same += 1;
            for step in [0.31, 0.83, 1.4, 2.1] {
                let away = there + Vec3::new(0.0, step, 0.0);
                let elsewhere = with(&case, &[(set, away)]);
                let found = forces_alone(&elsewhere).unwrap();
                let mine = like(&found, &elsewhere, wedge).unwrap();
                let own = plain_fs(&elsewhere, mine, away);
                assert!(
                    near(mine.found.fs_bolted.unwrap(), own),
                    "{}: {:?}, plainly {own}",
                    mine.wedge.id,
                    mine.found.fs_bolted
                );
                assert!(mine.found.fs_bolted.unwrap() >= wedge.found.fs_bolted.unwrap() * (1.0 - REPRODUCED));
                moved += usize::from(mine.found.fs_bolted.unwrap() > wedge.found.fs_bolted.unwrap() * 1.001);
            }
        }
    }
    assert!(same >= 9 && moved >= 6, "{same} {moved}");
}

#[test]
fn three_structures_through_one_point_give_the_wedge_of_their_planes() {
    let mut case = surveyed();
    // Below the apex of the largest wedge that these planes can have, off its middle.
    let free = forces_alone(&case).unwrap();
    let largest = free.wedges.iter().find(|w| w.wedge.id == "A-B-C.111").unwrap().wedge.shape.apex;
    let apex = Vec3::new(largest.x + 0.03, 12.3, largest.z - 0.25);
    // Three other sets, so that the structures' own wedge can only be theirs.
    let planes = [(66.0, 48.0), (59.0, 170.0), (51.0, 288.0)];
    for (set, (dip_deg, dip_direction_deg)) in
        case.joints.iter_mut().zip([(80.0, 20.0), (75.0, 130.0), (20.0, 250.0)])
    {
        set.plane = Plane { dip_deg, dip_direction_deg };
    }
    for (n, (dip_deg, dip_direction_deg)) in planes.into_iter().enumerate() {
        let plane = Plane { dip_deg, dip_direction_deg };
        // Another point of each plane than the apex.
        let normal = case.opening().unwrap().frame.to_local(&plane.upward_normal());
        let beside = normal.cross(&Vec3::new(0.3, -0.5, 0.8)).normalize() * (1.0 + n as f64);
        let kind = JointKind::Structure { through: apex + beside };
        case.joints.push(Joint { name: format!("F{n}"), plane, kind, ..case.joints[0].clone() });
    }
    let found = forces_alone(&case).unwrap();
    let theirs: Vec<&CheckedWedge> = found.wedges.iter().filter(|w| w.wedge.sets == [3, 4, 5]).collect();
    assert_eq!(theirs.len(), 1, "{:?}", theirs.iter().map(|w| &w.wedge.id).collect::<Vec<_>>());
    let wedge = theirs[0];
    assert_eq!(wedge.wedge.id, "F0-F1-F2.111");
    assert!((worst_apex(wedge) - apex).norm() < 1e-9);
    // Corners by hand: along the line of two planes from the apex to the flat or arched back.
    let frame = case.opening().unwrap().frame;
    let m = planes.map(|(dip_deg, dip_direction_deg)| {
        -frame.to_local(&Plane { dip_deg, dip_direction_deg }.upward_normal())
    });
    for i in 0..3 {
        let mut edge = m[(i + 1) % 3].cross(&m[(i + 2) % 3]).normalize();
        if edge.dot(&m[i]) < 0.0 {
            edge = -edge;
        }
        let hit = wedge.wedge.shape.joints[(i + 1) % 3].trace.iter().any(|p| {
            let along = p - wedge.wedge.shape.apex;
            along.cross(&edge).norm() < 1e-7 * along.norm() && along.dot(&edge) > 0.0
        });
        assert!(hit, "edge {i} does not end on the opening");
    }
    let input = oracle_input(&case);
    let plain = oracle::wedge_at(&input, wedge.wedge.sets, digits(wedge.wedge.pyramid), [apex.x, apex.z]);
    assert!((plain.volume_m3 - wedge.wedge.shape.volume_m3).abs() < 1e-9 * plain.volume_m3);
    assert!(near(wedge.found.fs_bolted.unwrap(), plain_fs(&case, wedge, apex)));
    assert!(!wedge.placement().unwrap().serving.is_empty());
    // Where its planes do not meet in the rock over the opening there is none.
    for joint in &mut case.joints {
        if let JointKind::Structure { through } = &mut joint.kind {
            through.z += 40.0;
        }
    }
    let gone = forces_alone(&case).unwrap();
    assert!(gone.wedges.iter().all(|w| w.wedge.sets != [3, 4, 5]));
}

#[test]
fn two_structures_leave_a_line_and_the_largest_wedge_on_it_is_found() {
    let case = surveyed();
    let free = forces_alone(&case).unwrap();
    let back = free.wedges.iter().find(|w| w.wedge.id == "A-B-C.111").unwrap();
    let there = worst_apex(back);
    // Through the largest wedge's own apex: that wedge. Lower: a smaller one, by a plain walk.
    for lower_m in [0.0, 0.25] {
        let through = there - Vec3::new(0.0, 0.0, lower_m);
        let placed = with(&case, &[(0, through), (1, through)]);
        let found = forces_alone(&placed).unwrap();
        let mine = found.wedges.iter().find(|w| {
            w.wedge.sets == [2, 3, 4] && w.wedge.shape.volume_m3 > 0.01 && w.wedge.pyramid.lower == [true; 3]
        });
        let mine = mine.unwrap();
        let Across::OnLine { through: from, along } = mine.wedge.located.unwrap().across else {
            panic!("a line")
        };
        let input = oracle_input(&placed);
        let mut most = 0.0f64;
        for i in -40_000..=40_000 {
            let at = from + along * (f64::from(i) * 2.5e-4);
            let plain = oracle::wedge_at(&input, mine.wedge.sets, digits(mine.wedge.pyramid), [at.x, at.y]);
            if plain.finite {
                most = most.max(plain.volume_m3);
            }
        }
        assert!(mine.wedge.shape.volume_m3 >= most * (1.0 - 1e-9), "{} {most}", mine.wedge.shape.volume_m3);
        assert!(mine.wedge.shape.volume_m3 <= most * 1.002 + 1e-6, "{} {most}", mine.wedge.shape.volume_m3);
        let apex = worst_apex(mine);
        let plain = plain_fs(&placed, mine, apex);
        assert!(near(mine.found.fs_bolted.unwrap(), plain), "{:?} {plain}", mine.found.fs_bolted);
        if lower_m == 0.0 {
            assert!(mine.wedge.shape.volume_m3 >= back.wedge.shape.volume_m3 * (1.0 - 1e-6));
        } else {
            assert!(mine.wedge.shape.volume_m3 < back.wedge.shape.volume_m3);
        }
    }
}

#[test]
fn a_structure_along_the_drive_slides_free_on_its_line() {
    let mut case = worked_case::three_sets();
    case.advance.trend_deg = 48.0 + 90.0; // along the strike of A
    let free = forces_alone(&case).unwrap();
    let wedge = free.wedges.iter().find(|w| w.placement().is_some()).unwrap();
    let apex = wedge.wedge.shape.apex;
    let placed = with(&case, &[(0, Vec3::new(apex.x, 500.0, apex.z))]);
    let found = forces_alone(&placed).unwrap();
    let mine = like(&found, &placed, wedge).unwrap();
    assert!(matches!(mine.wedge.located.unwrap().across, Across::OnLine { .. }));
    assert!(
        near(mine.found.fs_bolted.unwrap(), wedge.found.fs_bolted.unwrap()),
        "{:?} {:?}",
        mine.found.fs_bolted,
        wedge.found.fs_bolted
    );
}

#[test]
fn without_known_rings_a_structure_across_the_drive_is_free_and_its_chainage_is_told() {
    let case = worked_case::three_sets();
    let free = forces_and_moments(&case).unwrap();
    let wedge = free.wedges.iter().find(|w| w.wedge.id == "A-B-C.111").unwrap();
    let through = Vec3::new(wedge.wedge.shape.apex.x, 63.0, wedge.wedge.shape.apex.z);
    let placed = with(&case, &[(1, through)]);
    let found = forces_and_moments(&placed).unwrap();
    let mine = like(&found, &placed, wedge).unwrap();
    assert!(near(mine.found.fs_bolted.unwrap(), wedge.found.fs_bolted.unwrap()));
    assert!(near(mine.found.fs_rotation.unwrap(), wedge.found.fs_rotation.unwrap()));
    assert!((worst_apex(mine).y - 63.0).abs() < 1e-9);
    // Sizes are studied as of a free one, where rings are known too.
    let curves = sizes(&placed, &found);
    assert!(curves.iter().any(|c| c.wedge == mine.wedge.id));
    let mut known = placed.clone();
    known.patterns[0].offset_m = Some(0.2);
    let found = check(&known).unwrap();
    assert!(found.sizes.iter().any(|c| c.wedge == mine.wedge.id));
    let judged = found.check.wedges.iter().find(|w| w.wedge.id == mine.wedge.id).unwrap();
    let least = judged.least_piece().unwrap();
    let chainage_m = judged.wedge.located.unwrap().chainage_m(&least.foot.apex).unwrap();
    assert!(!judged.is_fixed() && (least.phases_m[0] - chainage_m).abs() < 1e-9);
}

#[test]
fn the_wedges_of_the_sets_alone_stay_as_they_are() {
    let mut case = surveyed();
    case.limits = SizeLimits { max_volume_m3: Some(2.0), ..SizeLimits::default() };
    let free = forces_alone(&case).unwrap();
    let found = forces_alone(&with(&case, &[(0, Vec3::new(0.0, 20.0, 4.0))])).unwrap();
    for wedge in &free.wedges {
        assert_eq!(found.wedges.iter().find(|w| w.wedge.id == wedge.wedge.id), Some(wedge));
    }
}

fn problem(structure: &str) -> String {
    let text = format!("{TEMPLATE}\n[[structure]]\n{structure}\n");
    match parse_case(&text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into())) {
        Ok(read) => format!("read: {:?} {:?}", read.case.structures().count(), read.case.sets().count()),
        Err(problems) => problems.to_string(),
    }
}

#[test]
fn a_case_file_says_where_a_structure_is() {
    const PLANE: &str = "dip_deg = 62.0\ndip_direction_deg = 40.0\nfriction_deg = 25.0\n";
    let good = problem(&format!("name = \"F1\"\n{PLANE}chainage_m = 63.0\nu_m = 0.0\nv_m = 1.5"));
    assert!(good.starts_with("read: ") && good.ends_with(" 3"), "{good}");
    // 10 m north of mid-floor at chainage 0, of a drive that goes to 035.
    let good = problem(&format!("name = \"F1\"\n{PLANE}east_m = 0.0\nnorth_m = 10.0\nup_m = 1.5"));
    assert!(good.starts_with("read: "), "{good}");
    for (structure, says) in [
        (format!("name = \"F1\"\n{PLANE}"), "no point that it passes through"),
        (format!("name = \"F1\"\n{PLANE}chainage_m = 63.0\nu_m = 0.0"), "a part of a point"),
        (
            format!("name = \"F1\"\n{PLANE}chainage_m = 63.0\nu_m = 0.0\nv_m = 1.0\nup_m = 1.0"),
            "parts of two points",
        ),
        (
            format!("name = \"A\"\n{PLANE}chainage_m = 63.0\nu_m = 0.0\nv_m = 1.0"),
            "the name of the joints on line",
        ),
        (format!("name = \"F 1\"\n{PLANE}chainage_m = 63.0\nu_m = 0.0\nv_m = 1.0"), "letters"),
        ("name = \"F1\"\nchainage_m = 63.0\nu_m = 0.0\nv_m = 1.0".to_owned(), "friction_deg"),
    ] {
        let said = problem(&structure);
        assert!(said.contains(says) && said.contains("case.toml:"), "{structure}: {said}");
    }
}

/// What was mapped far away is carried here on the strength of its orientation alone: a note says how far, the
/// numbers stay the same.
#[test]
fn a_structure_carried_far_from_where_it_was_mapped_is_told_of() {
    let text = std::fs::read_to_string("samples/structures.toml").unwrap();
    let here = parse_case(&text, "case", &|_| unreachable!()).unwrap().case;
    let carried = |case: &Case| {
        let whole = check(case).unwrap();
        let told = whole.check.warnings.iter().filter_map(|w| match w {
            Warning::StructureCarriedFar { structure, chainage_m, wedges, far_m } => {
                Some((structure.clone(), *chainage_m, wedges.clone(), *far_m))
            }
            _ => None,
        });
        (told.collect::<Vec<_>>(), whole)
    };
    let (told, whole) = carried(&here);
    assert_eq!(told, [], "mapped where its wedges are");
    let users: Vec<&CheckedWedge> = whole.check.wedges.iter().filter(|w| w.wedge.located.is_some()).collect();
    assert!(users.len() >= 3, "{}", users.len());

    // The same plane, mapped 40 m further up its dip: on another level.
    let mut moved = here.clone();
    let frame = whole.check.opening.frame;
    let at = moved.joints.iter().position(|j| matches!(j.kind, JointKind::Structure { .. })).unwrap();
    let plane = moved.joints[at].plane;
    let (dip, towards) = (plane.dip_deg.to_radians(), plane.dip_direction_deg.to_radians());
    // East, north, up.
    let up_dip = -Vec3::new(towards.sin() * dip.cos(), towards.cos() * dip.cos(), -dip.sin());
    let JointKind::Structure { through } = moved.joints[at].kind else { unreachable!() };
    let elsewhere = through + frame.to_local(&up_dip) * 40.0;
    moved.joints[at].kind = JointKind::Structure { through: elsewhere };
    let (told, far) = carried(&moved);
    let [(structure, chainage_m, wedges, far_m)] = &told[..] else { panic!("{told:?}") };
    assert_eq!(structure, "fault_63");
    assert!((chainage_m - elsewhere.y).abs() < 1e-12);
    let named: Vec<&str> = wedges.split(", ").collect();
    assert_eq!(named.len(), users.len(), "{wedges}");
    for (name, wedge) in named.iter().zip(&users) {
        let (id, metres) = name.split_once(" by ").unwrap();
        assert_eq!(id, wedge.wedge.id);
        let metres: f64 = metres.trim_end_matches(" m").parse().unwrap();
        // No corner of a wedge is farther from where it was mapped first than the section is wide.
        assert!((metres - 40.0).abs() < 12.0 && metres > *far_m, "{name}");
    }
    for (a, b) in whole.check.wedges.iter().zip(&far.check.wedges) {
        assert_eq!(a.decided.verdict, b.decided.verdict);
        let [was, is] = [a, b].map(|w| w.decided.fs.unwrap_or(0.0));
        assert!(near(was, is), "{} {was} {is}", a.wedge.id);
    }
}
