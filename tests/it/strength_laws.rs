//! Strength that is no straight line: the line that is taken of it, what is warned of, words and refusals. The laws by
//! themselves are tested beside their code.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use backhold::case::Case;
use backhold::strength::{ShearStrength, StrengthLaw};
use backhold::study::{Warning, check, forces_alone};

use crate::acting::{read, wedge};
use crate::judgement::wall_drive;
use crate::program::backhold;

/// The drive whose wall wedge slides on A alone, A's strength by these lines.
fn drive(strength: &str) -> String {
    let text = wall_drive(1.278, 0.5, "");
    assert_eq!(text.matches("friction_deg = 30.0\n").count(), 1);
    text.replace("friction_deg = 30.0\n", &format!("{strength}\n"))
}

const ROUGH: &str =
    "strength = { law = \"rough\", jrc = 8, jcs_mpa = 60, base_friction_deg = 25, up_to_kpa = 50 }";

fn case(strength: &str) -> Case {
    read(&drive(strength)).unwrap_or_else(|problems| panic!("{problems}")).case
}

#[test]
fn a_law_is_judged_as_the_line_below_it() {
    // By hand: 25 + 8 log10(60,000 / 50) = 25 + 8 × 3.0792 = 49.633°.
    let rough = case(ROUGH);
    assert!((rough.joints[0].strength.friction_deg - 49.633).abs() < 1e-3, "{:?}", rough.joints[0]);
    for strength in [
        ROUGH,
        "strength = { law = \"stepped\", base_friction_deg = 28, step_deg = 6, sheared_off_kpa = 20, residual_deg = 26, up_to_kpa = 80 }",
        "strength = { law = \"bridged\", persistence = 0.99, joint_friction_deg = 30, rock_friction_deg = 45, rock_cohesion_kpa = 400 }",
    ] {
        let of_law = case(strength);
        let line = of_law.joints[0].strength;
        let typed =
            case(&format!("friction_deg = {}\ncohesion_kpa = {}", line.friction_deg, line.cohesion_kpa));
        let (found, by_line) = (check(&of_law).unwrap(), check(&typed).unwrap());
        for (a, b) in found.check.wedges.iter().zip(&by_line.check.wedges) {
            assert_eq!((&a.decided, a.found.fs_bare), (&b.decided, b.found.fs_bare));
        }
        // The wedge on A alone, its own normal stress put into the law itself, resists no less than it is given.
        let on_a = found.check.wedges.iter().find(|w| w.wedge.id == "A-B-C.011").unwrap();
        let law = of_law.joints[0].law.unwrap();
        let area_m2 = on_a.wedge.shape.joints[0].area_m2;
        let motion = on_a.wedge.stability.motion;
        let by_law = law.shear_kpa(motion.normal_kn[0] / area_m2) * area_m2 / motion.driving_kn;
        assert!(on_a.found.fs_bare <= by_law * (1.0 + 1e-12), "{} {by_law}", on_a.found.fs_bare);
    }
}

#[test]
fn a_stress_beyond_the_line_is_warned_of() {
    let warned = |up_to_kpa: f64| {
        let text = ROUGH.replace("up_to_kpa = 50", &format!("up_to_kpa = {up_to_kpa}"));
        let found = check(&case(&text)).unwrap().check.warnings;
        found.into_iter().find_map(|w| match w {
            Warning::BeyondLaw { joint, wedge, kpa, .. } => Some((joint, wedge, kpa)),
            _ => None,
        })
    };
    // 95 kN on A, cos 50° of it, over its face.
    let (joint, _, kpa) = warned(1.0).unwrap();
    assert_eq!(joint, "A");
    assert!((2.0..40.0).contains(&kpa), "{kpa}");
    assert_eq!(warned(1.1 * kpa), None);
    // A line that reaches further is lower: less friction.
    let friction = |up_to: f64| {
        let text = ROUGH.replace("up_to_kpa = 50", &format!("up_to_kpa = {up_to}"));
        case(&text).joints[0].strength.friction_deg
    };
    assert!(friction(500.0) < friction(50.0));
}

#[test]
fn what_is_wrong_with_a_law_is_said_at_once() {
    let said = |strength: &str| read(&drive(strength)).unwrap_err().to_string();
    let both = said(&format!("friction_deg = 30\n{ROUGH}"));
    assert!(both.contains("joint_set[1].friction_deg: found friction_deg beside strength"), "{both}");
    let crushed = said(
        &ROUGH.replace("jcs_mpa = 60", "jcs_mpa = 0.1").replace("= 50 }", "= 100, block_length_m = 1 }"),
    );
    assert!(crushed.contains("no less than the walls bear (0.1 MPa)"), "{crushed}");
    assert!(crushed.contains("block_length_m without measured_length_m"), "{crushed}");
    let steep = "strength = { law = \"stepped\", base_friction_deg = 50, step_deg = 40, sheared_off_kpa = 20, residual_deg = 26, up_to_kpa = 80 }";
    assert!(said(steep).contains("at most 80 degrees together"));
    assert!(
        said("strength = { law = \"rugged\" }").contains("rough"),
        "{}",
        said("strength = { law = \"rugged\" }")
    );
    assert!(said("strength = { law = \"rough\", jrc = 25 }").contains("0 to 20"));
}

#[test]
fn the_sheet_and_the_page_put_the_numbers_in() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("case.toml");
    let scaled = ROUGH.replace("up_to_kpa", "measured_length_m = 0.1, block_length_m = 1, up_to_kpa");
    std::fs::write(&path, drive(&scaled)).unwrap();
    let run = backhold().arg("explain").arg(&path).args(["--wedge", "A-B-C.011"]).assert().success();
    let sheet = String::from_utf8_lossy(&run.get_output().stdout).into_owned();
    for part in [
        "JRC_n = 8 × (1 / 0.1)^(−0.02 × 8)",
        "Barton & Choubey 1977",
        "below 50 kPa the law gives more",
        "By the laws of its joints, each at σ = N/A",
        "the straight line costs",
    ] {
        assert!(sheet.contains(part), "{part}: {sheet}");
    }
    let out = folder.path().join("out");
    backhold().arg("check").arg(&path).arg("--out").arg(&out).assert().success();
    let page = std::fs::read_to_string(out.join("report.html")).unwrap();
    assert!(page.contains("JRC_n = 8") && page.contains("by the law of its rough joints"));
    assert!(std::fs::read_to_string(out.join("acts.csv")).unwrap().contains("fs_bare_rough"));
    let summary = out.join("summary.json");
    assert!(std::fs::read_to_string(&summary).unwrap().contains("strength_up_to_kpa"));
    backhold().args(["check", "--again"]).arg(&summary).assert().success();
    let law: StrengthLaw = read(&drive(&scaled)).unwrap().case.joints[0].law.unwrap();
    assert_eq!(law.up_to_kpa(), Some(50.0));
}

/// The wall's wedge slides on A alone: N = W cos 50°, T = W sin 50°, so that its factor is τ(N/A)/(N/A) over tan 50°.
/// By the law at its own stress (Barton & Choubey 1977, from memory): tan(25 + 8 log10(60,000 / σ)), at most of 70°, over tan 50°.
#[test]
fn a_rough_face_at_its_own_stress_has_the_factor_by_hand() {
    let case = case(ROUGH);
    let found = forces_alone(&case).unwrap();
    let on_a = wedge(&found, "A-B-C.011");
    let law = on_a.by_law(&case).unwrap();
    let area_m2 = on_a.wedge.shape.joints[0].area_m2;
    let sigma_kpa = on_a.wedge.weight_kn * 50_f64.to_radians().cos() / area_m2;
    assert!((law.faces[0].normal_kpa - sigma_kpa).abs() < 1e-9 * sigma_kpa, "{sigma_kpa} {law:?}");
    let secant_deg = (25.0 + 8.0 * (60_000.0 / sigma_kpa).log10()).min(70.0);
    let by_hand = secant_deg.to_radians().tan() / 50_f64.to_radians().tan();
    println!("σ {sigma_kpa:.3} kPa, {secant_deg:.3}°, FS {by_hand:.4}, line {:.4}", on_a.found.fs_bare);
    assert!((law.fs_bare - by_hand).abs() < 1e-9, "{} {by_hand}", law.fs_bare);
    // Up to where the line is drawn it costs, and never flatters.
    assert!(sigma_kpa < 50.0 && law.line_costs(on_a.found.fs_bare) > 0.0);
    // Straight lines have no law.
    let plain = self::case("friction_deg = 30.0");
    assert!(wedge(&forces_alone(&plain).unwrap(), "A-B-C.011").by_law(&plain).is_none());
}

/// Patton (1966): with steps that are never sheared off S/N = tan(φ + i); by hand 28° + 6° over 50°: 0.67451 / 1.19175 = 0.56598.
/// Sheared off at half the wedge's stress σ the rest has the residual 26°: (tan 34° + tan 26°) / 2 / tan 50°.
#[test]
fn a_stepped_face_at_its_own_stress_has_the_factor_by_hand() {
    let stepped = |sheared_off_kpa: f64| {
        let law = format!(
            "strength = {{ law = \"stepped\", base_friction_deg = 28, step_deg = 6, sheared_off_kpa = {sheared_off_kpa}, residual_deg = 26, up_to_kpa = 400 }}"
        );
        let case = case(&law);
        let found = forces_alone(&case).unwrap();
        let by_law = wedge(&found, "A-B-C.011").by_law(&case).unwrap();
        (by_law, wedge(&found, "A-B-C.011").found.fs_bare)
    };
    let (riding, line) = stepped(200.0);
    assert!((riding.fs_bare - 0.565_98).abs() < 1e-5 && riding.fs_bare > line, "{} {line}", riding.fs_bare);
    let (half, _) = stepped(0.5 * riding.faces[0].normal_kpa);
    let tan = |deg: f64| deg.to_radians().tan();
    assert!((half.fs_bare - 0.5 * (tan(34.0) + tan(26.0)) / tan(50.0)).abs() < 1e-6, "{}", half.fs_bare);
}
