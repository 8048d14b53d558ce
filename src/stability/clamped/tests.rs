use super::*;
use crate::stability::{Mode, Stability};

fn pressed(force: Vec3, inward: Vec3, area_m2: f64) -> FaceForce {
    let normal_kn = force.dot(&inward);
    FaceForce { normal_kn, shear_kn: force - inward * normal_kn, area_m2, error_kn: 0.0 }
}

fn strength(friction_deg: f64) -> MohrCoulomb {
    MohrCoulomb { friction_deg, cohesion_kpa: 0.0 }
}

/// Bray's prism: joints `half_deg` from upright on both sides, level forces of 100 kN a side, and its weight.
fn prism(half_deg: f64, friction_deg: f64, stiffness_ratio: f64, weight_kn: f64) -> Clamped {
    let (sin, cos) = half_deg.to_radians().sin_cos();
    let inward = [Vec3::new(cos, 0.0, -sin), Vec3::new(-cos, 0.0, -sin)];
    let motion = Motion::of_prism(&inward, &Vec3::new(0.0, 0.0, -weight_kn));
    let faces = [(inward[0], 100.0), (inward[1], -100.0)].map(|(m, level)| ClampedFace {
        inward: m,
        force: pressed(Vec3::new(level, 0.0, 0.0), m, 2.0),
        strength: strength(friction_deg),
        stiffness_ratio,
    });
    Clamped::of(&motion, &faces).unwrap()
}

/// Brady & Brown (2004), eqs 9.26-9.30, p. 259 (Bray 1977; Crawford & Bray 1983): P/2H₀ of a prism of 20° under 40° of
/// friction. The last is P/2H₀ = sin α sin(φ − α)/sin φ, of joints that are stiff square to themselves.
#[test]
fn brays_prism_by_the_book() {
    for (ratio, expected) in [(1.0, 0.36397), (10.0, 0.24058), (100.0, 0.18952), (1e6, 0.18199)] {
        let clamped = prism(20.0, 40.0, ratio, 50.0);
        let found = clamped.resistance_kn / 200.0;
        println!("kn/ks {ratio}: {found:.6}");
        assert!((found - expected).abs() < 1e-5, "{ratio}: {found}");
        assert!((clamped.fs() - found * 4.0).abs() < 1e-12);
        // Both joints are at their strength, and carry the load.
        let down: f64 = clamped.shear_kn.iter().map(|s| s.z).sum::<f64>();
        let open: f64 = clamped.normal_kn.iter().sum::<f64>() * 20f64.to_radians().sin();
        assert!((down - open - clamped.resistance_kn).abs() < 1e-6, "{clamped:?}");
    }
}

/// Hudson & Harrison (1997), fig. 20.11: no stress holds a prism of α = φ, and beyond it drives it out.
#[test]
fn stress_drives_a_blunt_prism_out() {
    for ratio in [0.5, 1.0, 10.0, 1000.0] {
        assert!(prism(40.0, 40.0, ratio, 50.0).resistance_kn.abs() < 1e-5);
        assert!(prism(50.0, 40.0, ratio, 50.0).fs() < 0.0);
    }
    assert!((prism(50.0, 40.0, 10.0, 50.0).resistance_kn / 200.0 + 0.2014).abs() < 1e-4);
}

/// Brady & Brown (2004), p. 329: W 0.26 MN/m, clamped with 0.18 MN/m, F 1.5.
#[test]
fn support_of_a_clamped_prism_by_the_book() {
    let clamped = Clamped {
        resistance_kn: 180.0,
        tight_kn: 0.0,
        normal_kn: vec![],
        shear_kn: vec![],
        driving_kn: 260.0,
    };
    assert!((clamped.support_needed_kn(1.5) - 140.0).abs() < 1e-9);
}

/// Without stress the factor is the plain one: of a falling block, one that slides on a joint, one that slides on two.
#[test]
fn without_stress_the_factor_is_the_plain_one() {
    use crate::orientation::Plane;
    use crate::wedge::{Cone, JointPyramid};
    let upward = [(60.0, 10.0), (52.0, 125.0), (44.0, 250.0)].map(|(dip_deg, dip_direction_deg)| {
        Plane { dip_deg, dip_direction_deg }.upward_normal().into_inner()
    });
    let strengths = [(30.0, 2.0), (35.0, 0.0), (28.0, 5.0)]
        .map(|(friction_deg, cohesion_kpa)| MohrCoulomb { friction_deg, cohesion_kpa });
    let mut modes = [0; 3];
    for pyramid in JointPyramid::all() {
        let cone = Cone::new(&upward, pyramid);
        let motion = Motion::of(&cone.inward, &Vec3::new(0.0, 0.0, -40.0));
        let faces: Vec<ClampedFace> = (0..3)
            .map(|i| ClampedFace {
                inward: cone.inward[i],
                force: pressed(Vec3::zeros(), cone.inward[i], 1.5),
                strength: strengths[i],
                stiffness_ratio: 10.0,
            })
            .collect();
        let clamped = match Clamped::of(&motion, &faces) {
            Ok(clamped) => clamped,
            Err(why) => {
                assert_eq!((motion.mode, why), (Mode::NoMotion, NotClamped::NoMotion));
                continue;
            }
        };
        modes[motion.mode.slides_on().len()] += 1;
        let bare = Stability::new(motion, cone.inward, &strengths, &[1.5; 3]).fs_bare();
        assert!((clamped.fs() - bare).abs() < 1e-6, "{motion:?}: {} {bare}", clamped.fs());
    }
    assert!(modes.iter().all(|m| *m > 0), "{modes:?}");
}

/// More friction never holds less; and a stress many times as high holds many times as much of a falling wedge, whose
/// factor is that of the clamps alone.
#[test]
fn clamps_grow_with_stress_and_friction() {
    let at = |friction_deg: f64, level: f64| {
        let normals = [Vec3::new(0.9, 0.1, -0.3), Vec3::new(-0.8, 0.3, -0.25), Vec3::new(0.1, -0.9, -0.35)]
            .map(|n| n.normalize());
        let motion = Motion::of(&normals, &Vec3::new(0.0, 0.0, -30.0));
        let areas = [2.0, 1.5, 1.0];
        // Faces of one block close: what presses them goes out against each other but for the face on the opening.
        let faces: Vec<ClampedFace> = (0..3)
            .map(|i| {
                let flat = Vec3::new(normals[i].x, normals[i].y, 0.0);
                ClampedFace {
                    inward: normals[i],
                    force: pressed(flat * (level * areas[i]), normals[i], areas[i]),
                    strength: strength(friction_deg),
                    stiffness_ratio: 8.0,
                }
            })
            .collect();
        Clamped::of(&motion, &faces).unwrap().resistance_kn
    };
    let mut before = f64::NEG_INFINITY;
    for friction in 10..50 {
        let now = at(f64::from(friction), 500.0);
        assert!(now >= before - 1e-6 * 500.0, "{friction}: {before} {now}");
        before = now;
    }
    let (once, ten) = (at(35.0, 500.0), at(35.0, 5000.0));
    assert!(once > 0.0 && (ten / once - 10.0).abs() < 1e-4, "{once} {ten}");
}

/// Wedges at random in a flat back under a level stress: each has a way out that begins in balance, holds what its
/// joints' forces add up to, within their strength; and a prism's worth of it comes from the stress.
#[test]
fn random_wedges_are_in_balance_within_their_joints_strength() {
    let mut state = 11_u64;
    let mut draw = |low: f64, high: f64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let (mut wedges, mut driven, mut none, mut lost) = (0, 0, 0, 0);
    while wedges < 300 {
        let apex = Vec3::new(draw(-0.6, 0.6), draw(-0.6, 0.6), draw(0.3, 3.0));
        let hits: [Vec3; 3] = std::array::from_fn(|k| {
            let (sin, cos) = (2.1 * k as f64 + draw(-0.7, 0.7)).sin_cos();
            Vec3::new(cos, sin, 0.0) * draw(0.4, 2.0)
        });
        let [uu, ss] = [draw(0.0, 3000.0), draw(0.0, 3000.0)];
        let us = draw(-0.9, 0.9) * (uu * ss).sqrt();
        let stress = Matrix3::new(uu, us, 0.0, us, ss, 0.0, 0.0, 0.0, 0.0);
        let ratio = 10f64.powf(draw(-0.5, 2.0));
        let faces: [ClampedFace; 3] = std::array::from_fn(|i| {
            let (a, b) = (hits[(i + 1) % 3], hits[(i + 2) % 3]);
            let area = 0.5 * (a - apex).cross(&(b - apex));
            let inward = area.normalize() * area.dot(&(hits[i] - apex)).signum();
            ClampedFace {
                inward,
                force: pressed(stress * inward * area.norm(), inward, area.norm()),
                strength: MohrCoulomb { friction_deg: draw(15.0, 55.0), cohesion_kpa: 0.0 },
                stiffness_ratio: ratio,
            }
        });
        let motion = Motion::of(&faces.map(|f| f.inward), &Vec3::new(0.0, 0.0, -20.0));
        let clamped = match Clamped::of(&motion, &faces) {
            Ok(clamped) => clamped,
            Err(NotClamped::NoMotion) => continue,
            Err(NotClamped::NoBalance) => {
                (wedges, lost) = (wedges + 1, lost + 1);
                continue;
            }
        };
        wedges += 1;
        driven += usize::from(clamped.tight_kn < -1e-6);
        let size: f64 = faces.iter().map(|f| f.force.normal_kn.abs() + f.force.shear_kn.norm()).sum();
        let mut sum = motion.direction * clamped.resistance_kn;
        for (i, face) in faces.iter().enumerate() {
            let (normal, shear) = (clamped.normal_kn[i], clamped.shear_kn[i]);
            assert!(shear.norm() <= normal * face.strength.tan_friction() + 1e-7 * size, "{clamped:?}");
            assert!(shear.dot(&face.inward).abs() < 1e-9 * size);
            // What the load presses the joint with is balanced by the load.
            sum += face.inward * (normal - motion.normal_kn[i]) + shear;
        }
        none += usize::from(clamped.normal_kn.iter().all(|n| *n == 0.0));
        assert!(sum.norm() < 1e-7 * size || clamped.normal_kn.iter().all(|n| *n == 0.0), "{sum} {clamped:?}");
    }
    println!("{driven} of {wedges} driven out at first, {none} without any hold, {lost} not found");
    assert!(driven > 10 && none < wedges / 2);
}
