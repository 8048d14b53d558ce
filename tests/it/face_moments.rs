//! Moments at the face: centroids by another way, and what must hold of the load factor there.
#![allow(clippy::unwrap_used)] // helpers of tests are tests

use crate::random_cases::{Rng, advance, bare, bolt, pattern, sets, shape};
use backhold::orientation::Vec3;
use backhold::stability::Mode;
use backhold::study::{face, forces_alone};

#[test]
fn centroids_and_moments_of_bodies_split_another_way() {
    let mut rng = Rng::new(0xface);
    let (mut bodies, mut balanced, mut falling) = (0, 0, 0);
    for number in 0..120 {
        let mut case = bare(shape(&mut rng), advance(&mut rng), sets(&mut rng, 3, false));
        case.bolts.push(bolt(&mut rng, false));
        case.patterns.push(pattern(&mut rng, 0, None));
        case.last_ring_from_face_m = (number % 2 == 0).then(|| rng.between(0.0, 1.0));
        let Ok(checked) = forces_alone(&case) else { continue };
        let whole = face(&case, checked);
        for wedge in whole.every() {
            let shape = &wedge.shape;
            let from = shape.openings[0].polygon[0] + Vec3::new(0.3, -0.2, 0.1);
            let (mut volume, mut moment) = (0.0, Vec3::zeros());
            let mut add = |a: &Vec3, b: &Vec3, c: &Vec3, out: &Vec3| {
                // Signed by the outward normal of the face that the triangle is part of.
                let cross = (b - a).cross(&(c - a));
                let sign = if cross.dot(out) < 0.0 { -1.0 } else { 1.0 };
                let part = sign * (a - from).dot(&cross) / 6.0;
                volume += part;
                moment += (a + b + c + from) * (0.25 * part);
            };
            for face in &shape.openings {
                // Out of the wedge is into the opening: against the facet's outward normal.
                let out = -whole.opening.outward(face.facet);
                for pair in face.polygon.windows(2) {
                    add(&face.polygon[0], &pair[0], &pair[1], &out);
                }
            }
            for (joint, inward) in shape.joints.iter().zip(wedge.cone.inward) {
                for pair in joint.trace.windows(2) {
                    add(&shape.apex, &pair[0], &pair[1], &-inward);
                }
            }
            assert!((volume - shape.volume_m3).abs() < 1e-9 * shape.volume_m3, "{}", wedge.id);
            assert!((moment / volume - shape.centroid()).norm() < 1e-7, "{}", wedge.id);
            bodies += usize::from(wedge.id.ends_with(".face"));
            if wedge.id.ends_with(".face") && wedge.placement.is_none() && wedge.at_face.is_some() {
                balanced += usize::from(wedge.fs_rotation.is_some_and(|fs| fs >= 0.0));
            }
            if let (Some(fs), Some(rotation)) = (wedge.fs_bolted, wedge.fs_rotation)
                && wedge.id.ends_with(".face")
                && wedge.stability.motion.mode == Mode::Falling
            {
                assert!(rotation <= fs * (1.0 + 1e-9), "{}: {rotation} {fs}", wedge.id);
                falling += 1;
            }
        }
    }
    println!("bodies at the face {bodies}, moments balanced for {balanced}, of which {falling} fall");
    assert!(bodies > 60 && balanced > 40, "{bodies} {balanced}");
}
