//! Water on joint faces: by hand, against a published slope, by the divergence theorem, in files and words.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use crate::acting::{force_of, parsed, read, verdicts, wedge, wet};
use crate::judgement::wall_drive;
use crate::program::{backhold, ran};
use crate::random_cases::{Rng, bare, random_whole_case, set};
use backhold::case::Case;
use backhold::opening::SectionShape;
use backhold::orientation::{Line, Plane, Vec3};
use backhold::stability::{Mode, Motion, Stability, WATER_KN_M3, WaterForces, WaterModel};
use backhold::strength::MohrCoulomb;
use backhold::study::{face, forces_alone};
use backhold::wedge::{FaceField, Shape};

/// Cases of every kind, some tens of wedges.
fn cases(count: usize, seed: u64) -> Vec<Case> {
    let mut rng = Rng::new(seed);
    (0..).filter_map(|number| random_whole_case(&mut rng, number)).take(count).collect()
}

/// The four models, as strong as they may well be.
fn models() -> [WaterModel; 4] {
    [
        WaterModel::Pressure { kpa: 6.0 },
        WaterModel::ApexHead { head_m: 1.5 },
        WaterModel::HeadPerMetre { m_per_m: 1.0 },
        WaterModel::Table { level_m: 5.0 },
    ]
}

fn normal(dip_deg: f64, dip_direction_deg: f64) -> Vec3 {
    Plane { dip_deg, dip_direction_deg }.upward_normal().into_inner()
}

/// Where three planes through given points meet.
fn meet(planes: [(Vec3, f64); 3]) -> Vec3 {
    let [a, b, c] = planes;
    let volume = a.0.dot(&b.0.cross(&c.0));
    (b.0.cross(&c.0) * a.1 + c.0.cross(&a.0) * b.1 + a.0.cross(&b.0) * c.1) / volume
}

/// The wedge of a slope on two joints, given its free faces instead of a drive: factor dry and saturated. Saturated the
/// pressure is greatest half way up the line of the joints, a head of half the height, and nothing where they come to the
/// surface. Lengths, weights and stresses in any units that go together.
fn slope(cohesion: [f64; 2], height: f64, unit: f64, unit_water: f64) -> [f64; 2] {
    let joints = [normal(45.0, 105.0), normal(70.0, 235.0)];
    let (toe_face, top) = (normal(65.0, 185.0), normal(12.0, 195.0));
    let line = {
        let line = joints[0].cross(&joints[1]).normalize();
        if line.z > 0.0 { line } else { -line }
    };
    // The toe is the origin, and the other end of the line stands the height of the wedge above it.
    let end = line * (height / line.z);
    let crest = |joint: Vec3| meet([(joint, 0.0), (toe_face, 0.0), (top, top.dot(&end))]);
    let crests = joints.map(crest);
    let volume = crests[0].dot(&crests[1].cross(&end)).abs() / 6.0;
    let middle = end * 0.5;
    // A joint that opens as the wedge slides, without strength or water: the slope has none.
    let inward = [joints[0], joints[1], -line];
    let strengths = [
        MohrCoulomb { friction_deg: 30.0, cohesion_kpa: cohesion[0] },
        MohrCoulomb { friction_deg: 20.0, cohesion_kpa: cohesion[1] },
        MohrCoulomb { friction_deg: 0.0, cohesion_kpa: 0.0 },
    ];
    let areas = [0.5 * crests[0].cross(&end).norm(), 0.5 * crests[1].cross(&end).norm(), 0.0];
    let weight = Vec3::new(0.0, 0.0, -volume * unit);
    let field = FaceField::FromApex(unit_water * 0.5 * height);
    let on = |k: usize| {
        field.over_fan(&middle, |visit| {
            visit(&Vec3::zeros(), &crests[k]);
            visit(&crests[k], &end);
        })
    };
    let wet = WaterForces::of([on(0), on(1), Default::default()]);
    [weight, weight + wet.resultant_kn(&inward)].map(|force| {
        let motion = Motion::of(&inward, &force);
        assert_eq!(motion.mode, Mode::SlidingOnTwo(0, 1));
        Stability::new(motion, inward, &strengths, &areas).fs_bare()
    })
}

/// W1: Hoek & Bray (1981), *Rock Slope Engineering*, 3rd ed., the sheet of a wedge on two joints (inputs from memory;
/// the values with exact vectors by two ways, the sheet's own from angles read off a stereonet, saturated 1.3562).
#[test]
fn the_published_slope_has_its_factors_dry_and_saturated() {
    let [dry, saturated] = slope([24.0, 48.0], 40.0, 25.0, 9.81);
    assert!((dry - 1.9720).abs() < 1e-4, "{dry}");
    assert!((saturated - 1.3419).abs() < 1e-4, "{saturated}");
    let [friction, _] = slope([0.0, 0.0], 40.0, 25.0, 9.81);
    assert!((friction - 1.2335).abs() < 1e-4, "{friction}");
    // In pounds and feet.
    let [_, saturated] = slope([500.0, 1000.0], 130.0, 160.0, 62.5);
    assert!((saturated - 1.3460).abs() < 1e-4, "{saturated}");
    assert!((saturated - 1.3562).abs() < 0.0103, "off the rounded sheet by more than its angles allow");
}

/// Area vector of a polygon, pointing away from a point that is beside its plane.
fn away_from(polygon: &[Vec3], point: &Vec3) -> Vec3 {
    let first = polygon[0];
    let area: Vec3 = polygon.windows(2).map(|w| 0.5 * (w[0] - first).cross(&(w[1] - first))).sum();
    if area.dot(&(first - point)) < 0.0 { -area } else { area }
}

/// Of a tetrahedron with these depths under a level at its corners the share that lies below it: cut edge by edge.
fn share_below(mut depths: [f64; 4]) -> f64 {
    depths.sort_by(|a, b| b.total_cmp(a));
    let [a, b, c, d] = depths;
    let cut = |wet: f64, dry: f64| wet / (wet - dry);
    match depths.iter().filter(|x| **x > 0.0).count() {
        0 => 0.0,
        1 => cut(a, b) * cut(a, c) * cut(a, d),
        2 => {
            let (ac, ad, bc, bd) = (cut(a, c), cut(a, d), cut(b, c), cut(b, d));
            ac * ad + bc * bd * (1.0 - ac) + bd * ac * (1.0 - ad)
        }
        3 => 1.0 - cut(-d, -a) * cut(-d, -b) * cut(-d, -c),
        _ => 1.0,
    }
}

/// Over all of a wedge's faces a pressure comes to what its gradient says of the body: nothing where it is even, the
/// weight of the water that the part below a table displaces. So the force on the joints is that on the opening, turned
/// round, and that weight.
#[test]
fn pressure_on_the_joints_is_what_the_opening_and_the_displaced_water_leave() {
    let mut compared = 0;
    for case in cases(6, 0xd1f) {
        for model in [models()[0], models()[3], WaterModel::Table { level_m: 60.0 }] {
            let wet = wet(&case, model);
            let found = face(&wet, forces_alone(&wet).unwrap());
            let up = found.opening.frame.to_local(&Vec3::z());
            for wedge in found.every() {
                let (shape, cone): (&Shape, _) = (&wedge.wedge.shape, &wedge.wedge.cone);
                let field = wet.site.water.as_ref().unwrap().pressure_kpa(shape.depth_m, &up);
                let on = |i: usize| {
                    field.over_fan(&shape.apex, |visit| {
                        shape.joints[i].trace.windows(2).for_each(|w| visit(&w[0], &w[1]));
                    })
                };
                let joints = WaterForces::of([on(0), on(1), on(2)]).resultant_kn(&cone.inward);
                let (mut opening, mut displaced, mut size) = (Vec3::zeros(), 0.0, 0.0);
                for part in &shape.openings {
                    let first = part.polygon[0];
                    let kpa = field.over_fan(&first, |visit| {
                        part.polygon[1..].windows(2).for_each(|w| visit(&w[0], &w[1]));
                    });
                    let outward = away_from(&part.polygon, &shape.apex);
                    opening += outward.normalize() * kpa.whole;
                    size += kpa.whole;
                    if let WaterModel::Table { level_m } = model {
                        for pair in part.polygon[1..].windows(2) {
                            let corners = [shape.apex, first, pair[0], pair[1]];
                            let volume = (first - shape.apex)
                                .dot(&(pair[0] - shape.apex).cross(&(pair[1] - shape.apex)));
                            displaced +=
                                volume.abs() / 6.0 * share_below(corners.map(|c| level_m - up.dot(&c)));
                        }
                    }
                }
                let expected = opening + up * (displaced * WATER_KN_M3);
                size += displaced * WATER_KN_M3 + joints.norm();
                assert!(
                    (joints - expected).norm() <= 1e-12 * size.max(1.0),
                    "{} {model:?}: {joints:?} {expected:?}",
                    wedge.wedge.id
                );
                compared += usize::from(size > 0.0);
            }
        }
    }
    assert!(compared > 40, "{compared}");
}

/// Nothing that presses changes nothing but that it is told.
#[test]
fn no_pressure_changes_no_number() {
    for case in cases(2, 0x0) {
        let dry = verdicts(&case);
        for model in [WaterModel::Pressure { kpa: 0.0 }, WaterModel::ApexHead { head_m: 0.0 }] {
            let zero = verdicts(&wet(&case, model));
            for (a, b) in dry.wedges.iter().zip(&zero.wedges) {
                assert_eq!(a.wedge.id, b.wedge.id);
                assert_eq!(a.found.fs_bare, b.found.fs_bare);
                assert_eq!(a.found.fs_bolted, b.found.fs_bolted);
                assert_eq!((a.decided.verdict, &a.decided.fs), (b.decided.verdict, &b.decided.fs));
                assert_eq!(b.found.dry.map(|r| r.fs_bare), Some(a.found.fs_bare));
                assert!(b.wedge.stability.water().is_none() && a.found.dry.is_none());
            }
        }
    }
}

/// A pyramid under a flat back between three joints that dip 60° away from each other: an even pressure p pushes it down
/// with p times its face, whatever the joints. By hand: three joints of area A press with p·A each along their normals,
/// cos 60° of it down, 3·A·cos 60° is the face, and level parts cancel.
#[test]
fn an_even_pressure_pushes_a_pyramid_down_with_its_face() {
    let joints = [0.0, 120.0, 240.0].map(|dd| set("J", 60.0, dd, 30.0, 0.0));
    let names = ["A", "B", "C"];
    let joints = joints.into_iter().zip(names).map(|(mut j, n)| {
        j.name = n.into();
        j
    });
    let flat = SectionShape::Flat { width_m: 5.0, height_m: 4.0 };
    let case = bare(flat, Line { trend_deg: 17.0, plunge_deg: 0.0 }, joints.collect());
    let wet = forces_alone(&wet(&case, WaterModel::Pressure { kpa: 7.0 })).unwrap();
    let falls = wedge(&wet, "A-B-C.111");
    let shape = &falls.wedge.shape;
    let area_m2 = shape.opening_area_m2();
    let on = falls.wedge.stability.water().unwrap();
    for i in 0..3 {
        assert!((on.kn[i] - 7.0 * area_m2 / (3.0 * 60_f64.to_radians().cos())).abs() < 1e-9);
        // The centre of an even pressure is that of the triangle.
        let corners = shape.apex + shape.joints[i].trace[0] + shape.joints[i].trace.last().unwrap();
        assert!((on.at[i] - corners / 3.0).norm() < 1e-9 || shape.joints[i].trace.len() > 2);
    }
    let motion = &falls.wedge.stability.motion;
    assert_eq!(motion.mode, Mode::Falling);
    assert!((motion.driving_kn - (falls.wedge.weight_kn + 7.0 * area_m2)).abs() < 1e-9);
    assert!((motion.direction + Vec3::z()).norm() < 1e-12);
    // The pressures meet on its axis, so nothing turns it.
    let action = falls.wedge.stability.action(&shape.centroid());
    assert!(action.couple_knm.norm() < 1e-9 * motion.driving_kn);
    // A bolt of B kN straight up gives B/(W + p·A), wherever its own balance of moments lets it.
    let fs = falls.wedge.stability.fs(&falls.wedge.stability.effect(&Vec3::z()).times(100.0));
    assert!((fs - 100.0 / (falls.wedge.weight_kn + 7.0 * area_m2)).abs() < 1e-12);
}

/// On one joint, with water on that joint alone: (W cos ψ − U) tan φ / (W sin ψ), and free of it once U is more.
#[test]
fn water_under_a_block_takes_from_what_presses_on_its_joint() {
    let case = parsed(&wall_drive(1.278, 1.6, ""));
    let (sin, cos) = 50_f64.to_radians().sin_cos();
    let tan = 30_f64.to_radians().tan();
    for kpa in [0.5, 2.0, 5.0, 400.0] {
        let mut wet = wet(&case, WaterModel::Pressure { kpa });
        wet.site.water.as_mut().unwrap().joints = Some(vec![0]);
        let found = forces_alone(&wet).unwrap();
        let on_a = wedge(&found, "A-B-C.011");
        let weight = on_a.wedge.stability.without_water_kn().unwrap().norm();
        let uplift = on_a.wedge.stability.water().unwrap().kn[0];
        if uplift < weight * cos {
            assert_eq!(on_a.wedge.stability.motion.mode, Mode::SlidingOnOne(0));
            let by_hand = (weight * cos - uplift) * tan / (weight * sin);
            assert!((on_a.found.fs_bare - by_hand).abs() < 1e-12, "{kpa}: {}", on_a.found.fs_bare);
        } else {
            assert_ne!(on_a.wedge.stability.motion.mode, Mode::SlidingOnOne(0), "{kpa}");
        }
        let dry = on_a.found.dry.unwrap();
        assert!((dry.fs_bare - tan * cos / sin).abs() < 1e-12);
    }
}

/// Over all joints an even pressure pushes a wedge out of the rock, square to its opening: with it no factor without
/// support rises, but where the opening meets a joint at so blunt an angle that the push presses the wedge onto it: then
/// that is told (`check the case dry too`).
#[test]
fn water_raises_no_factor_unless_it_presses_onto_a_joint() {
    let (mut compared, mut raised) = (0, 0);
    for case in cases(20, 0x3e7) {
        for model in models() {
            let wet = wet(&case, model);
            let found = face(&wet, forces_alone(&wet).unwrap());
            for wedge in found.every() {
                let stability = &wedge.wedge.stability;
                let dry = wedge.found.dry.unwrap().fs_bare;
                compared += usize::from(dry > 0.0);
                if wedge.found.fs_bare > dry * (1.0 + 1e-9) {
                    let dry_kn = stability.without_water_kn().unwrap();
                    let before = Motion::of(&wedge.wedge.cone.inward, &dry_kn).normal_kn;
                    let after = stability.motion.normal_kn;
                    assert!(
                        before.iter().zip(after).any(|(b, a)| a > *b),
                        "{} {model:?}: {} wet, {dry} dry",
                        wedge.wedge.id,
                        wedge.found.fs_bare
                    );
                    raised += 1;
                }
            }
        }
    }
    println!("{compared} compared, {raised} raised");
    assert!(compared > 100 && raised < compared / 10, "{raised} of {compared}");
}

#[test]
fn what_contradicts_itself_is_told_with_its_line() {
    let of = |table: &str| {
        let text = format!("{}\n[water]\n{table}\n", wall_drive(1.278, 1.6, ""));
        read(&text).unwrap_err().to_string()
    };
    for (table, says) in [
        ("", "say how the water presses"),
        ("source = \"a standpipe\"", "one of pressure_kpa, apex_head_m, head_per_m and table_m"),
        ("pressure_kpa = 5.0\ntable_m = 3.0", "table_m beside pressure_kpa"),
        ("table_m = -1.5", "1.5 m under the floor"),
        ("pressure_kpa = -5.0", "water.pressure_kpa"),
        ("head_per_m = 1.0\njoints = [\"Z\"]", "one of A, B, C"),
        ("head_per_m = 1.0\njoints = [\"A\", \"A\"]", "\"A\" twice"),
        ("head_per_m = 1.0\nunit_weight_kn_m3 = 1.0", "water.unit_weight_kn_m3"),
        ("head_per_metre = 1.0", "head_per_m"),
    ] {
        let told = of(table);
        assert!(told.contains(says) && told.contains("case.toml:"), "{table}: {told}");
    }
}

/// An option may drop the water, or bring another.
#[test]
fn an_option_drops_water_or_changes_it() {
    let text = format!(
        "{}\n[water]\nhead_per_m = 1.0\n[[option]]\nname = \"drained\"\ndrops = [\"water\"]\n[[option]]\nname = \"high\"\nwater = {{ head_per_m = 2.0 }}\n[[option]]\nname = \"even\"\ndrops = [\"water\"]\nwater = {{ pressure_kpa = 5.0, joints = [\"A\"] }}\n",
        wall_drive(1.278, 1.6, "")
    );
    let read = read(&text).unwrap();
    let of = |i: usize| read.options[i].case.site.water.as_ref();
    assert!(of(0).is_none());
    assert_eq!(of(1).unwrap().model, WaterModel::HeadPerMetre { m_per_m: 2.0 });
    assert_eq!(of(2).unwrap().model, WaterModel::Pressure { kpa: 5.0 });
    assert_eq!(of(2).unwrap().joints, Some(vec![0]));
}

/// Each load of each wedge stands in the summary, and they add up; the table and the page show it dry and wet.
#[test]
fn the_table_has_both_states_and_forces_that_add_up() {
    let run = ran(&["check", "samples/wet_drive.toml"]);
    assert!(run.stdout.contains("Wet: a head at the apex"), "{}", run.stdout);
    let summary: serde_json::Value = serde_json::from_str(run.text("summary.json")).unwrap();
    assert_eq!(summary["inputs"]["water"]["head_per_m"], 0.8);
    let rows = summary["water"].as_array().unwrap();
    assert!(rows.len() > 4);
    for row in rows {
        let of = |what: &str| force_of(row, what);
        let (weight, shaking, water, active) = (of("weight"), of("shaking"), of("water"), of("active"));
        assert!((weight + shaking + water - active).norm() < 1e-9 * active.norm());
        let joints: Vec3 = row["joints"]
            .as_array()
            .unwrap()
            .iter()
            .map(|j| {
                let v = j["force_kn"].as_array().unwrap();
                Vec3::new(v[0].as_f64().unwrap(), v[1].as_f64().unwrap(), v[2].as_f64().unwrap())
            })
            .sum();
        assert!((joints - water).norm() < 1e-9 * weight.norm());
        assert!(
            row["fs_bare_wet"].as_f64().unwrap_or(f64::INFINITY)
                <= row["fs_bare_dry"].as_f64().unwrap_or(f64::INFINITY)
        );
    }
    assert!(run.text("water.csv").lines().count() == rows.len() + 1);
    assert!(run.text("report.html").contains("The same wedge dry and wet"));
    assert!(run.text("report.html").contains("does not change as a wedge moves"));
    assert!(!run.text("report.html").contains("no water"));
}

/// The sheet of a wedge adds water to the weight in digits.
#[test]
fn the_calculation_sheet_shows_it_by_hand() {
    let run = ran(&["check", "samples/wet_drive.toml"]);
    let summary: serde_json::Value = serde_json::from_str(run.text("summary.json")).unwrap();
    let ids: Vec<String> = summary["water"]
        .as_array()
        .unwrap()
        .iter()
        .map(|r| r["wedge"].as_str().unwrap().to_owned())
        .filter(|id| !id.ends_with(".face"))
        .collect();
    for id in ids {
        let said = backhold().args(["explain", "samples/wet_drive.toml", "--wedge", &id]).output().unwrap();
        assert!(said.status.success(), "{id}");
        let sheet = String::from_utf8(said.stdout).unwrap();
        let rows = |start: &str| -> Vec<Vec<f64>> {
            let numbers = |l: &str| l.split('|').filter_map(|cell| cell.trim().parse().ok()).collect();
            sheet.lines().filter(|l| l.starts_with(start)).map(numbers).collect()
        };
        let (weight, water, force) = (rows("| weight |"), rows("| water on "), rows("| F |"));
        assert_eq!(water.len(), 3, "{id}");
        for k in 0..3 {
            let sum: f64 = weight[0][k] + water.iter().map(|w| w[k]).sum::<f64>();
            assert!((sum - force[0][k]).abs() < 5e-6, "{id}");
        }
    }
}
