//! Bolts of a pattern that ends behind the face, against every collar looked at by itself.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use crate::worked_case;
use backhold::case::Case;
use backhold::opening::Vec2;
use backhold::orientation::Vec3;
use backhold::stability::{Loads, Mode, Motion, Reaction, Stability};
use backhold::strength::MohrCoulomb;
use backhold::study::{Check, forces_alone};
use backhold::support::{FaceSupport, PatternEnd};
use backhold::wedge::{Cone, FaceBody, JointPyramid, Reach};

/// Factor of a wedge with its apex here and the last ring so far behind the face, for either ring of
/// the staggered pattern as the last one: every collar by itself.
fn by_collar(
    case: &Case,
    check: &Check,
    (cone, stability): (&Cone, &Stability),
    apex: &Vec3,
    last_ring_m: f64,
) -> [f64; 2] {
    let section = &check.opening.section;
    let (pattern, layout) = (&case.patterns[0], &check.layouts[0]);
    let place = Vec2::new(apex.x, apex.z);
    [0, 1].map(|last| {
        let mut sum = Reaction::default();
        for row in &layout.rows {
            let first_m = if row.first_ring == last { 0.0 } else { pattern.ring_spacing_m };
            let sees = section.facets().iter().any(|f| {
                let off = row.collar.point - f.start;
                off.dot(&f.normal).abs() < 1e-9
                    && (-1e-9..=f.length_m + 1e-9).contains(&off.dot(&f.tangent))
                    && f.normal.dot(&(place - f.start)) > 0.0
            });
            for k in 0..60 {
                let s = -last_ring_m - first_m - 2.0 * pattern.ring_spacing_m * f64::from(k);
                let from_apex = Vec3::new(row.collar.point.x, s, row.collar.point.y) - apex;
                if !sees || cone.inward.iter().any(|m| m.dot(&from_apex) < -1e-9) {
                    continue;
                }
                let d = &row.collar.direction;
                let head_m = cone
                    .inward
                    .iter()
                    .filter(|m| m.dot(d) < 0.0)
                    .map(|m| -m.dot(&from_apex) / m.dot(d))
                    .fold(f64::INFINITY, f64::min);
                let toe_m = pattern.length_in_hole_m() - head_m;
                if toe_m >= 0.0 {
                    let kn = case.bolts[0].capacity(head_m, toe_m).kn;
                    sum += stability.effect(d).times(kn);
                }
            }
        }
        stability.fs(&sum)
    })
}

#[test]
fn every_collar_by_itself_gives_the_same_factor() {
    let (mut compared, mut held) = (0, 0);
    for k in 0..6 {
        let mut case = worked_case::three_sets();
        case.advance.trend_deg = 5.0 + 60.0 * f64::from(k);
        let counts = compare(&case);
        compared += counts[0];
        held += counts[1];
    }
    println!("{compared} positions, {held} held better than bare");
    assert!(compared > 3000 && held > 500);
}

/// How many positions were compared, and in how many of them bolts hold something.
fn compare(case: &Case) -> [usize; 2] {
    let checked = forces_alone(case).unwrap();
    let (section, frame) = (&checked.opening.section, &checked.opening.frame);
    let support = (&case.patterns[..], &checked.layouts[..], &case.bolts[..]);
    let upward: [Vec3; 3] = std::array::from_fn(|i| frame.to_local(&case.joints[i].plane.upward_normal()));
    let strengths: [MohrCoulomb; 3] = std::array::from_fn(|i| case.joints[i].strength);
    let (mut compared, mut held) = (0, 0);
    for pyramid in JointPyramid::all() {
        let cone = Cone::new(&upward, pyramid);
        let Some(reach) = Reach::of(section, &cone) else { continue };
        let mut body = FaceBody::new(section, &cone);
        // From an apex toward the opening all edges daylight: smaller wedges, round every corner.
        let apexes: Vec<Vec3> = reach
            .corners()
            .iter()
            .flat_map(|c| {
                let foot = body.depth_m(c).1;
                [(0.3, 0.0), (0.7, 0.0), (0.9, 0.5), (0.9, 1.5), (0.6, 2.5)]
                    .map(|(share, back_m)| foot + (c - foot) * share - Vec3::y() * back_m)
            })
            .collect();
        for apex in apexes {
            let volume_m3 = body.measure(&apex).volume_m3;
            let loads = Loads::weight(volume_m3, case.unit_weight_kn_m3);
            let motion = Motion::of(&cone.inward, &loads.resultant_kn(&frame.to_local(&Vec3::z())));
            if volume_m3 < 0.01 || motion.mode == Mode::NoMotion {
                continue;
            }
            let areas = body.joint_areas_m2(&apex);
            let stability = Stability::new(motion, cone.inward, &strengths, &areas);
            let end = PatternEnd::at_face(
                section,
                &apex,
                &cone,
                stability,
                support,
                &FaceSupport::none(&case.bolts),
            );
            let mut tried = f64::INFINITY;
            for centimetres in (0..=120).step_by(6) {
                let last_ring_m = 0.01 * f64::from(centimetres) + 1.3e-5;
                let brute = by_collar(case, &checked, (&cone, &stability), &apex, last_ring_m);
                let brute = brute[0].min(brute[1]);
                let found = end.least(apex.y + last_ring_m, apex.y + last_ring_m);
                let off = (found.least_fs - brute).abs();
                assert!(off <= 1e-9 * brute.max(1.0), "{} {found:?} {brute}", pyramid.code());
                tried = tried.min(brute);
                compared += 1;
                held += usize::from(brute > stability.fs_bare());
            }
            // Over all distances: never above one that was tried.
            let over_all = end.least(apex.y, apex.y + 1.21).least_fs;
            assert!(over_all <= tried * (1.0 + 1e-9) + 1e-12, "{} {over_all} {tried}", pyramid.code());
        }
    }
    [compared, held]
}
