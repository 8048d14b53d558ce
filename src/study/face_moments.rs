//! Forces and moments together for a wedge at the face.

use super::FacePlacement;
use crate::orientation::Vec3;
use crate::stability::{BoltPull, Contact, Rotation, RotationScratch, Stability};
use crate::support::{PatternEnd, Serving};
use crate::wedge::{Cone, Shape};

/// Positions of the last ring that are tried where the case does not say where it stands.
const POSITIONS: usize = 33;

/// The least load factor with forces and moments in balance of a wedge at the face, over the places
/// of the last ring between two distances behind it, metres, and at the place where forces alone
/// hold it least. Where the last ring is known that is one position; else a search by even steps.
pub(super) fn least_with_moments(
    shape: &Shape,
    cone: &Cone,
    stability: &Stability,
    end: &PatternEnd,
    (from_m, to_m): (f64, f64),
    worst: &FacePlacement,
) -> f64 {
    let count = if to_m > from_m { POSITIONS } else { 1 };
    let at = |i: usize| from_m + (to_m - from_m) * i as f64 / (count - 1).max(1) as f64;
    let all: Vec<f64> = (0..count).map(at).collect();
    least_at(shape, cone, stability, end, &all, worst)
}

/// The same at these distances of the last ring behind the face alone.
pub(super) fn least_at(
    shape: &Shape,
    cone: &Cone,
    stability: &Stability,
    end: &PatternEnd,
    last_rings_m: &[f64],
    worst: &FacePlacement,
) -> f64 {
    let contacts = contacts(shape, cone);
    let rotation = Rotation::of(&stability.action(&shape.centroid()), &contacts);
    let mut scratch = RotationScratch::default();
    let mut factor = |serving: &[Serving], origin_m: f64| {
        let pulls: Vec<BoltPull> = serving
            .iter()
            .map(|s| BoltPull {
                point: Vec3::new(s.point.x, s.chainage_m - origin_m, s.point.y),
                direction: s.direction,
                capacity_kn: s.capacity.kn,
            })
            .collect();
        rotation.load_factor(&pulls, &mut scratch)
    };
    let mut least = factor(&worst.serving, 0.0);
    for &last_ring_m in last_rings_m {
        let apex_m = shape.apex.y + last_ring_m;
        // Chainages there count from the last ring; the shape's from the face.
        let serving = end.least(apex_m, apex_m).serving;
        least = least.min(factor(&serving, last_ring_m));
    }
    least
}

/// Where the joints may press: the corners of their faces that others do not lie between.
fn contacts(shape: &Shape, cone: &Cone) -> Vec<Contact> {
    let mut contacts = Vec::with_capacity(9);
    for (joint, normal) in shape.joints.iter().zip(cone.inward) {
        let ends = [joint.trace.first(), joint.trace.last()];
        let points = std::iter::once(&shape.apex).chain(ends.into_iter().flatten());
        contacts.extend(points.map(|&point| Contact { point, normal }));
    }
    contacts
}
