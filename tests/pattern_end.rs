//! Bolts of a pattern that ends behind the face, against every collar looked at by itself.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

mod worked_case;

use backhold::case::Case;
use backhold::opening::Vec2;
use backhold::orientation::Vec3;
use backhold::stability::Reaction;
use backhold::study::{Check, CheckedWedge, check};
use backhold::support::PatternEnd;
use backhold::wedge::Reach;

/// Factor of a wedge with its apex here and the last ring so far behind the face, for either ring of
/// the staggered pattern as the last one: every collar by itself.
fn by_collar(case: &Case, check: &Check, wedge: &CheckedWedge, apex: &Vec3, last_ring_m: f64) -> [f64; 2] {
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
                if !sees || wedge.cone.inward.iter().any(|m| m.dot(&from_apex) < -1e-9) {
                    continue;
                }
                let d = &row.collar.direction;
                let head_m = wedge
                    .cone
                    .inward
                    .iter()
                    .filter(|m| m.dot(d) < 0.0)
                    .map(|m| -m.dot(&from_apex) / m.dot(d))
                    .fold(f64::INFINITY, f64::min);
                let toe_m = pattern.length_in_hole_m() - head_m;
                if toe_m >= 0.0 {
                    let kn = case.bolts[0].capacity(head_m, toe_m).kn;
                    sum += wedge.stability.effect(d).times(kn);
                }
            }
        }
        wedge.stability.fs(&sum)
    })
}

#[test]
fn every_collar_by_itself_gives_the_same_factor() {
    let case = worked_case::three_sets();
    let checked = check(&case).unwrap();
    let section = &checked.opening.section;
    let support = (&case.patterns[..], &checked.layouts[..], &case.bolts[..]);
    let (mut compared, mut held) = (0, 0);
    for wedge in checked.wedges.iter().filter(|w| w.criterion_fs.is_some()) {
        let reach = Reach::of(section, &wedge.cone).unwrap();
        let front_m = wedge.shape.vertices().iter().map(|v| v.y).fold(f64::NEG_INFINITY, f64::max);
        for step in 0..12 {
            // From wholly behind the face to well across it, as far as the edges still daylight.
            let apex = wedge.shape.apex + Vec3::y() * (0.2 * f64::from(step) - 0.4 - front_m);
            if reach.outside_m(&apex) > 0.0 {
                continue;
            }
            let end = PatternEnd::at_face(section, &apex, &wedge.cone, wedge.stability, support);
            let mut tried = f64::INFINITY;
            for centimetres in 0..=120 {
                let last_ring_m = 0.01 * f64::from(centimetres) + 1.3e-5;
                let brute = by_collar(&case, &checked, wedge, &apex, last_ring_m);
                let brute = brute[0].min(brute[1]);
                let found = end.least(apex.y + last_ring_m, apex.y + last_ring_m);
                assert!(
                    (found.least_fs - brute).abs() <= 1e-9 * brute.max(1.0),
                    "{} {found:?} {brute}",
                    wedge.id
                );
                tried = tried.min(brute);
                compared += 1;
                held += usize::from(brute > wedge.fs_bare);
            }
            // Over all distances: never above one that was tried, and no further below than a
            // centimetre's worth of bond, 1.8 kN a bolt, can be.
            let over_all = end.least(apex.y, apex.y + 1.21);
            assert!(over_all.least_fs <= tried + 1e-9);
            let slack = 1.8 * (over_all.serving.len() + 1) as f64 / wedge.stability.motion.driving_kn;
            assert!(over_all.least_fs >= tried - slack - 1e-9, "{} {} {tried}", wedge.id, over_all.least_fs);
        }
    }
    println!("{compared} positions, {held} held better than bare");
    assert!(compared > 3000 && held > 1000);
}
