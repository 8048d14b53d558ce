//! Stress round a drive on the wedges that it clamps: a long wedge is Bray's prism, and what the rock presses a wedge
//! with is in balance.
#![allow(clippy::unwrap_used)] // helpers of tests are tests

use backhold::opening::{DriveFrame, Section, SectionShape, Vec2};
use backhold::orientation::{Line, Vec3};
use backhold::stability::{Clamped, ClampedFace, Mode, Motion};
use backhold::strength::MohrCoulomb;
use backhold::stress::{
    Accuracy, FaceForce, FarField, PrincipalStress, SectionStress, StressAround, VerticalStress,
    force_on_face, forces_on_block,
};
use backhold::wedge::{Chain, Cone, JointPyramid, Sector, Shape};

/// Half the angle at the ridge, degrees.
const HALF_DEG: f64 = 20.0;

/// Lengths of a wedge of 1 m depth, metres.
const LENGTHS_M: [f64; 6] = [2.0, 5.0, 10.0, 20.0, 50.0, 200.0];

fn north() -> DriveFrame {
    DriveFrame::new(Line { trend_deg: 0.0, plunge_deg: 0.0 })
}

/// A cone with these unit normals into the block, local.
fn cone(inward: [Vec3; 3]) -> Cone {
    let upward = inward.map(|m| if m.z < 0.0 { -m } else { m });
    Cone::new(&upward, JointPyramid { lower: inward.map(|m| m.z < 0.0) })
}

fn shape(section: &Section, cone: &Cone, apex: Vec2) -> Shape {
    let chain = Chain::of(section, &Sector::of(cone).unwrap()).unwrap();
    let foot = chain.footprint_at(&apex).unwrap();
    Shape::new(section, &chain, cone, &foot)
}

/// The joints' faces: corners and normal of each.
fn faces(shape: &Shape, cone: &Cone) -> Vec<(Vec<Vec3>, Vec3)> {
    let corners =
        |i: usize| std::iter::once(shape.apex).chain(shape.joints[i].trace.iter().copied()).collect();
    (0..3).map(|i| (corners(i), cone.inward[i])).collect()
}

fn whole(force: &FaceForce, inward: &Vec3) -> Vec3 {
    inward * force.normal_kn + force.shear_kn
}

/// A wedge in the middle of a wide back, 1 m deep, between two joints whose line dips along the drive so that it comes
/// out after `length_m`, and one upright joint across the end: what it holds over the level force on both sides.
fn held_over_clamped(stress: &StressAround, section: &Section, length_m: f64, stiffness_ratio: f64) -> f64 {
    let (sin, cos) = HALF_DEG.to_radians().sin_cos();
    let (down, ahead) = 1f64.atan2(length_m).sin_cos();
    let side = |sense: f64| Vec3::new(sense * ahead * cos, -down * sin, -ahead * sin).normalize();
    let cone = cone([side(1.0), side(-1.0), Vec3::y()]);
    let shape = shape(section, &cone, Vec2::new(0.0, 5.0));
    assert!((shape.length_m - length_m).abs() < 1e-9);
    let forces = forces_on_block(stress, &faces(&shape, &cone), Accuracy::Fine);
    let motion = Motion::of(&cone.inward, &(Vec3::z() * (-27.0 * shape.volume_m3)));
    assert_eq!(motion.mode, Mode::Falling);
    let faces: Vec<ClampedFace> = (0..3)
        .map(|i| ClampedFace {
            inward: cone.inward[i],
            force: forces[i],
            strength: MohrCoulomb { friction_deg: 40.0, cohesion_kpa: 0.0 },
            stiffness_ratio,
        })
        .collect();
    let level: f64 = (0..2).map(|i| whole(&forces[i], &cone.inward[i]).x.abs()).sum();
    Clamped::of(&motion, &faces).unwrap().resistance_kn / level
}

/// Brady & Brown (2004), eqs 9.26-9.30, p. 259 (Bray 1977): P/2H₀ of a prism of 20° under 40° of friction is 0.36397,
/// 0.24058, 0.18952 for stiffness ratios of 1, 10, 100. The wedge is that prism but for its one end and for its sides
/// that lean along the drive.
#[test]
fn a_long_wedge_in_a_flat_back_is_brays_prism() {
    let section = SectionShape::Flat { width_m: 10.0, height_m: 4.0 }.section().unwrap();
    let solved = SectionStress::of(&section).unwrap();
    let at = |mpa, trend_deg, plunge_deg| PrincipalStress { mpa, axis: Line { trend_deg, plunge_deg } };
    let far = FarField::principal(&[at(10.0, 90.0, 0.0), at(0.0, 0.0, 0.0), at(0.0, 0.0, 90.0)]).unwrap();
    // Without a Poisson's ratio nothing presses on the end.
    let stress = solved.under(&far, &north(), 0.0);
    for (ratio, expected) in [(1.0, 0.36397), (10.0, 0.24058), (100.0, 0.18952)] {
        let off =
            LENGTHS_M.map(|length_m| held_over_clamped(&stress, &section, length_m, ratio) / expected - 1.0);
        println!("kn/ks {ratio}: off by {off:.5?}");
        // The end's part goes with the square of how short it is; what the elements leave is a ten-thousandth.
        for (off, length_m) in off.iter().zip(LENGTHS_M) {
            assert!(off.abs() < 0.4 / (length_m * length_m) + 1e-4, "{length_m} m: {off}");
        }
    }
}

/// The rock's weight is not in the elastic stress, and the surface carries nothing: the forces on the three joints of
/// any wedge add up to none, under a far field that is oblique to the drive.
#[test]
fn joints_of_a_wedge_are_pressed_in_balance() {
    let far = FarField::vertical(&VerticalStress {
        vertical_mpa: 20.0,
        k_max: 1.8,
        k_min: 0.9,
        k_max_trend_deg: 60.0,
    })
    .unwrap();
    let shapes = [
        SectionShape::Arched { width_m: 5.0, wall_height_m: 3.2, rise_m: 1.6 },
        SectionShape::Flat { width_m: 5.0, height_m: 4.0 },
        SectionShape::Circular { diameter_m: 5.0 },
    ];
    for opening in shapes {
        let section = opening.section().unwrap();
        let solved = SectionStress::of(&section).unwrap();
        let stress = solved.under(&far, &north(), 0.25);
        let top = section.bounds().1.y;
        let normals = [Vec3::new(0.8, 0.3, -0.45), Vec3::new(-0.7, 0.25, -0.5), Vec3::new(0.1, -0.9, -0.4)];
        let cone = cone(normals.map(|n| n.normalize()));
        // One over the crown, and one so large that it goes round both corners of the back.
        for apex in [Vec2::new(0.2, top + 0.8), Vec2::new(0.0, top + 4.5)] {
            let chain = Chain::of(&section, &Sector::of(&cone).unwrap()).unwrap();
            let Some(foot) = chain.footprint_at(&apex) else { continue };
            let shape = Shape::new(&section, &chain, &cone, &foot);
            let faces = faces(&shape, &cone);
            let forces: Vec<FaceForce> = faces.iter().map(|(p, m)| force_on_face(&stress, p, m)).collect();
            let sum: Vec3 = forces.iter().zip(&cone.inward).map(|(f, m)| whole(f, m)).sum();
            let size: f64 = forces.iter().zip(&cone.inward).map(|(f, m)| whole(f, m).norm()).sum();
            let error: f64 = forces.iter().map(|f| f.error_kn).sum();
            println!(
                "{opening:?}: {:.1e} left of {size:.0} kN, error stated {:.1e}",
                sum.norm() / size,
                error / size
            );
            assert!(sum.norm() < 1e-3 * size && error < 2e-4 * size, "{opening:?} {apex}: {sum} of {size}");
            // What is left would be a load on the wedge: it is taken off and told.
            let block = forces_on_block(&stress, &faces, Accuracy::Fine);
            let balanced: Vec3 = block.iter().zip(&cone.inward).map(|(f, m)| whole(f, m)).sum();
            assert!(balanced.norm() < 1e-12 * size);
            let told: f64 = block.iter().map(|f| f.error_kn).sum();
            assert!((told - error - sum.norm()).abs() < 1e-9 * size, "{told} {error} {sum}");
        }
    }
}
