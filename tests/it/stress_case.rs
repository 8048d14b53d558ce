//! Stress of a case: nothing without it, Bray's prism through a whole check, what is told, compared, made again, refused.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use crate::acting::{read, stressed, verdicts, vertical};
use crate::judgement::wall_drive;
use crate::program::backhold;
use crate::random_cases::{Rng, advance, bare, sets, shape};
use backhold::case::Case;
use backhold::opening::SectionShape;
use backhold::orientation::{Line, Plane, Vec3};
use backhold::stability::{Clamped, Mode};
use backhold::strength::MohrCoulomb;
use backhold::stress::{GivenStress, PrincipalStress};
use backhold::study::{CheckedWedge, StressEffect, Warning, check};

fn moves(wedge: &CheckedWedge) -> bool {
    wedge.wedge.stability.motion.mode != Mode::NoMotion
}

/// Drives of every shape without support.
fn cases(count: usize, seed: u64) -> Vec<Case> {
    let mut rng = Rng::new(seed);
    (0..count)
        .map(|_| {
            let mut case = bare(shape(&mut rng), advance(&mut rng), sets(&mut rng, 3, true));
            case.limits.max_length_m = Some(8.0);
            case
        })
        .collect()
}

fn inward(wedge: &CheckedWedge, joint: usize) -> Vec3 {
    wedge.wedge.cone.inward[joint]
}

#[test]
fn no_stress_at_all_leaves_the_plain_factor() {
    let mut asked = 0;
    for case in cases(3, 0x57e) {
        let zero = verdicts(&stressed(&case, vertical(0.0, 1.0, 1.0), 0.25, 10.0));
        for wedge in zero.wedges.iter().filter(|w| moves(w)) {
            let (fs, bare) = (wedge.fs_with_stress().unwrap(), wedge.found.fs_bare);
            assert!((fs - bare).abs() < 1e-6 * bare.max(1.0), "{}: {fs} {bare}", wedge.wedge.id);
            assert_eq!(wedge.stress_effect(), StressEffect::Nothing);
            let needed = wedge.force_needed_with_stress_kn().unwrap();
            assert!((needed - wedge.force_needed_kn()).abs() < 1e-5 * wedge.wedge.weight_kn.max(1.0));
            asked += 1;
        }
    }
    assert!(asked > 4, "{asked}");
}

/// Whatever the stress: factors without it stay, and verdicts where it harms none of a wedge's pieces; forces of the joints
/// add up to none before the wedge loosens, and to its load times its factor along the movement where most is held; what
/// harms is told.
#[test]
fn what_clamps_decides_nothing_and_forces_add_up() {
    let (mut clamped, mut harmed) = (0, 0);
    for (number, case) in cases(3, 0x5ee).into_iter().enumerate() {
        let plain = verdicts(&case);
        let under = stressed(&case, vertical(8.0, 0.3 + number as f64, 0.2), 0.25, 5.0);
        let found = check(&under).unwrap();
        let mut harms = Vec::new();
        for (a, b) in plain.wedges.iter().zip(&found.check.wedges) {
            assert_eq!((&a.placed, a.found.fs_bare), (&b.placed, b.found.fs_bare));
            if b.under_stress().is_none_or(|u| u.harmed + u.not_found == 0) {
                assert_eq!(a.decided, b.decided);
            }
            assert!(a.found.stressed.is_none() && a.fs_with_stress().is_none());
        }
        for wedge in &found.check.wedges {
            if !moves(wedge) {
                assert_eq!((wedge.stress_effect(), &wedge.found.stressed), (StressEffect::NotAsked, &None));
                continue;
            }
            let stressed = wedge.found.stressed.as_deref().unwrap();
            let size: f64 = stressed.elastic.iter().map(|f| f.normal_kn.abs() + f.shear_kn.norm()).sum();
            let sum: Vec3 = (0..3)
                .map(|i| inward(wedge, i) * stressed.elastic[i].normal_kn + stressed.elastic[i].shear_kn)
                .sum();
            assert!(sum.norm() < 1e-9 * size, "{}: {sum} of {size}", wedge.wedge.id);
            let Some(held) = &stressed.clamped else {
                let told = |w: &Warning| matches!(w, Warning::StressNotFound { wedges } if wedges.contains(&wedge.wedge.id));
                assert!(found.check.warnings.iter().any(told));
                continue;
            };
            let motion = &wedge.wedge.stability.motion;
            let carried: Vec3 = (0..3).map(|i| inward(wedge, i) * held.normal_kn[i] + held.shear_kn[i]).sum();
            let resistance_kn = -carried.dot(&motion.direction);
            assert!((resistance_kn - held.resistance_kn).abs() < 1e-6 * size, "{}", wedge.wedge.id);
            assert!((held.fs() * motion.driving_kn - held.resistance_kn).abs() < 1e-9 * size);
            clamped += usize::from(wedge.stress_effect() == StressEffect::Clamps);
            if wedge.stress_effect().harms() {
                assert!(held.fs() < wedge.found.fs_bare);
                harms.push(wedge.wedge.id.clone());
            }
        }
        harmed += harms.len();
        let told: Vec<&String> = found
            .check
            .warnings
            .iter()
            .filter_map(|w| if let Warning::StressHarms { wedges, .. } = w { Some(wedges) } else { None })
            .collect();
        assert_eq!(told.len(), usize::from(!harms.is_empty()));
        assert!(harms.iter().all(|id| told[0].contains(id)), "{harms:?} {told:?}");
    }
    assert!(clamped > 1, "{clamped} clamped, {harmed} harmed");
    println!("{clamped} clamped, {harmed} harmed");
}

/// A wedge 1 m deep in a wide flat back under a level stress across, its two long joints 20° from upright and their line
/// dipping along the drive so that it comes out after `length_m`, one upright joint across its end.
fn prism_like(length_m: f64) -> Case {
    let (sin, cos) = 20_f64.to_radians().sin_cos();
    let (down, ahead) = 1f64.atan2(length_m).sin_cos();
    let side = |sense: f64| {
        // Upward normal, u east and s north.
        let normal = Vec3::new(-sense * ahead * cos, down * sin, ahead * sin).normalize();
        Plane {
            dip_deg: normal.z.acos().to_degrees(),
            dip_direction_deg: normal.x.atan2(normal.y).to_degrees().rem_euclid(360.0),
        }
    };
    let strength = MohrCoulomb { friction_deg: 40.0, cohesion_kpa: 0.0 };
    let planes = [side(1.0), side(-1.0), Plane { dip_deg: 90.0, dip_direction_deg: 0.0 }];
    let joints = planes.into_iter().zip(["A", "B", "C"]);
    let joints = joints.map(|(plane, name)| backhold::Joint::set(name, plane, strength)).collect();
    let north = Line { trend_deg: 0.0, plunge_deg: 0.0 };
    let mut case = bare(SectionShape::Flat { width_m: 10.0, height_m: 4.0 }, north, joints);
    case.limits.max_depth_m = Some(1.0);
    case
}

/// Brady & Brown (2004), eqs 9.26-9.30 (Bray 1977): P/2H₀ of a prism of 20° under 40° of friction is 0.24058 for a stiffness
/// ratio of 10. The wedge comes to it, but for its one end, with the square of its length.
#[test]
fn a_long_wedge_of_a_case_is_brays_prism() {
    let at = |mpa, trend_deg, plunge_deg| PrincipalStress { mpa, axis: Line { trend_deg, plunge_deg } };
    let across = GivenStress::Principal([at(10.0, 90.0, 0.0), at(0.0, 0.0, 0.0), at(0.0, 0.0, 90.0)]);
    for length_m in [5.0, 20.0, 50.0] {
        let found = check(&stressed(&prism_like(length_m), across, 0.0, 10.0)).unwrap();
        let long = |w: &&CheckedWedge| {
            w.wedge.stability.motion.mode == Mode::Falling && (w.wedge.shape.length_m - length_m).abs() < 1e-6
        };
        let wedge = found.check.wedges.iter().find(long).unwrap();
        let stressed = wedge.found.stressed.as_deref().unwrap();
        let level_kn: f64 = (0..2)
            .map(|i| {
                (inward(wedge, i) * stressed.elastic[i].normal_kn + stressed.elastic[i].shear_kn).x.abs()
            })
            .sum();
        let clamped: &Clamped = stressed.clamped.as_ref().unwrap();
        let off = clamped.resistance_kn / level_kn / 0.24058 - 1.0;
        println!("{length_m} m: off by {off:.6}, apex at {:.3}", wedge.wedge.shape.apex.x);
        assert!(off.abs() < 0.4 / (length_m * length_m) + 1e-4, "{length_m} m: {off}");
        assert_eq!(wedge.stress_effect(), StressEffect::Clamps);
    }
}

const VERTICAL: &str = "[stress]\nvertical_mpa = 12.0\nk_max = 1.6\nk_min = 0.8\nk_max_trend_deg = 70.0\npoisson = 0.25\nstiffness_ratio = 10.0\n";

fn drive(below: &str) -> String {
    format!("{}\n{below}", wall_drive(1.278, 1.6, ""))
}

#[test]
fn what_makes_no_stress_is_told_with_its_line() {
    let of = |table: &str| {
        let text = drive(&format!("[stress]\n{table}\n"));
        read(&text).unwrap_err().to_string()
    };
    let joints = "poisson = 0.25\nstiffness_ratio = 10.0";
    for (table, says) in [
        (joints, vec!["stress.vertical_mpa", "three principal stresses"]),
        (
            "poisson = 0.25\nvertical_mpa = 8.0\nk_max = 1.0\nk_min = 1.0\nk_max_trend_deg = 0.0",
            vec!["stiffness_ratio"],
        ),
        (
            "vertical_mpa = 8.0\nsigma_1_mpa = 9.0\npoisson = 0.6\nstiffness_ratio = 0.0",
            vec!["both sigma_1_mpa and vertical_mpa", "stress.poisson", "stress.stiffness_ratio"],
        ),
        (
            "vertical_mpa = 8.0\npoisson = 0.2\nstiffness_ratio = 1.0",
            vec!["add k_max", "add k_min", "add k_max_trend_deg"],
        ),
        (
            "vertical_mpa = 8.0\nk_max = 1.0\nk_min = 1.5\nk_max_trend_deg = 0.0\npoisson = 0.2\nstiffness_ratio = 1.0",
            vec!["stress.k_min: found 1.5, above the 1 of k_max"],
        ),
    ] {
        let told = of(table);
        assert!(says.iter().all(|s| told.contains(s)), "{table}: {told}");
    }
    // Out of order and not square, all of it at once, each at the line of its own key.
    let text = drive(&format!(
        "[stress]\nsigma_1_mpa = 5.0\nsigma_1_trend_deg = 90.0\nsigma_1_plunge_deg = 0.0\nsigma_2_mpa = 8.0\nsigma_2_trend_deg = 40.0\nsigma_2_plunge_deg = 0.0\nsigma_3_mpa = 9.0\nsigma_3_trend_deg = 0.0\nsigma_3_plunge_deg = 90.0\n{joints}\n"
    ));
    let problems = read(&text).unwrap_err();
    let line_of = |key: &str| text.lines().position(|l| l.starts_with(key)).unwrap() + 1;
    let told: Vec<(String, Option<usize>)> =
        problems.list().iter().map(|p| (p.key.clone(), p.line)).collect();
    for key in ["sigma_2_mpa", "sigma_2_trend_deg", "sigma_3_mpa"] {
        assert!(told.contains(&(format!("stress.{key}"), Some(line_of(key)))), "{key}: {told:?}");
    }
    assert_eq!(told.len(), 3, "{problems}");
    assert!(problems.to_string().contains("an axis 50.0° from that of sigma_1"), "{problems}");
}

#[test]
fn an_option_adds_drops_or_changes_it() {
    let options = "[[option]]\nname = \"none\"\ndrops = [\"stress\"]\n[[option]]\nname = \"deep\"\nstress = { vertical_mpa = 20.0 }\n";
    let case = read(&drive(&format!("{VERTICAL}{options}"))).unwrap();
    let of = |name: &str| case.chosen(name).unwrap().case.site.stress.clone();
    assert_eq!(of("none"), None);
    let GivenStress::Vertical(deep) = of("deep").unwrap().given else { panic!("not vertical") };
    assert_eq!((deep.vertical_mpa, deep.k_max), (20.0, 1.6));
    let added = "[[option]]\nname = \"stressed\"\nstress = { vertical_mpa = 8.0, k_max = 1.5, k_min = 1.0, k_max_trend_deg = 0.0, poisson = 0.25, stiffness_ratio = 10.0 }\n";
    let case = read(&drive(added)).unwrap();
    assert!(case.case.site.stress.is_none() && case.options[0].case.site.stress.is_some());
    assert!(read(&drive("[[option]]\nname = \"half\"\nstress = { vertical_mpa = 8.0 }\n")).is_err());
}

/// Files, page, sheet and words of one run; the same again from its summary; none of them without a stress.
#[test]
fn every_output_has_both_factors_and_comes_out_again() {
    let dir = tempfile::tempdir().unwrap();
    let ran = |name: &str, text: &str| {
        let (path, out) = (dir.path().join(format!("{name}.toml")), dir.path().join(name));
        std::fs::write(&path, text).unwrap();
        let run = backhold().arg("check").arg(&path).arg("--out").arg(&out).output().unwrap();
        let said = String::from_utf8(run.stdout).unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
        (path, out, said)
    };
    let (path, out, said) = ran("stressed", &drive(VERTICAL));
    let text = |name: &str| std::fs::read_to_string(out.join(name)).unwrap();
    let summary: serde_json::Value = serde_json::from_str(&text("summary.json")).unwrap();
    assert_eq!(summary["inputs"]["stress"]["k_max"], 1.6);
    assert!(said.contains("With stress (12 MPa vertical, 1.6 times that level towards 70°"), "{said}");
    assert!(
        said.contains("Where stress clamps, no verdict counts it, since it may be gone tomorrow"),
        "{said}"
    );
    let rows = summary["stress"].as_array().unwrap();
    assert_eq!(text("stress.csv").lines().count(), rows.len() + 1);
    assert!(text("report.html").contains("Without and with stress"));
    let (mut asked, mut harmed) = (0, false);
    for row in rows {
        harmed |= ["lowers", "drives out"].contains(&row["stress_effect"].as_str().unwrap());
        let Some(joints) = row["joints"].as_array() else {
            assert!(row["stress_effect"] == "not asked" && row["fs_with_stress"].is_null(), "{row}");
            continue;
        };
        let sum: f64 = (0..3)
            .map(|k| joints.iter().map(|j| j["force_kn"][k].as_f64().unwrap()).sum::<f64>().abs())
            .sum();
        let size: f64 = (1..=3).map(|i| row[format!("normal_{i}_kn")].as_f64().unwrap().abs()).sum();
        assert!(sum < 1e-6 * size, "{row}");
        asked += 1;
        // The sheet's own digits give its factor again: the joints' forces along the movement over the load.
        let id = row["wedge"].as_str().unwrap();
        let sheet = backhold().arg("explain").arg(&path).args(["--wedge", id]).output().unwrap();
        let sheet = String::from_utf8(sheet.stdout).unwrap();
        let with_stress = sheet.split("they hold most along the movement with:").nth(1).unwrap();
        let numbers = |line: &str| -> Vec<f64> {
            line.split('|').filter_map(|cell| cell.trim().parse().ok()).collect()
        };
        let table: Vec<Vec<f64>> =
            with_stress.lines().filter(|l| l.starts_with("| ")).skip(1).take(4).map(numbers).collect();
        let movement = &table[3];
        let along = |joint: &Vec<f64>| (0..3).map(|k| joint[3 + k] * movement[k]).sum::<f64>();
        let resistance = -table[..3].iter().map(along).sum::<f64>();
        assert!(table[..3].iter().all(|joint| joint[1] <= joint[2] + 1e-4 * size), "{id}: {table:?}");
        let fs = resistance / row["driving_kn"].as_f64().unwrap();
        let told = row["fs_with_stress"].as_f64().unwrap();
        assert!((fs - told).abs() < 1e-4 * told.abs().max(1.0), "{id}: {fs} {told}");
        assert!(with_stress.contains(&format!("= {told:.4}")), "{id} {told}: {with_stress}");
    }
    assert!(asked > 0);
    assert_eq!(said.contains("STRESS DOES HARM"), harmed, "{said}");
    let again = backhold().args(["check", "--again"]).arg(out.join("summary.json")).output().unwrap();
    let told = String::from_utf8(again.stdout).unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.starts_with("Reproduced byte for byte") && told.contains("stress.csv"), "{told}");

    let (_, out, said) = ran("plain", &drive(""));
    assert!(!out.join("stress.csv").exists() && !said.contains("stress ("), "{said}");
    let summary: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(out.join("summary.json")).unwrap()).unwrap();
    assert!(summary.get("stress").is_none() && summary["inputs"].get("stress").is_none());
}
