use std::collections::BinaryHeap;

use super::StressAround;
use super::known::Known;
use crate::opening::Vec2;
use crate::orientation::Vec3;

/// How exactly a face's force is found; what error is left is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Accuracy {
    /// To 1e-4 of the force that the size of its tractions would make, on 4,000 triangles at the most: what is told of one wedge.
    Fine,
    /// To 2e-3, on 150 triangles at the most: a tenth of the time, for pieces that are asked by the dozen.
    Quick,
}

impl Accuracy {
    /// Share of the force, and triangles at the most.
    fn limits(self) -> (f64, usize) {
        match self {
            Self::Fine => (1e-4, 4000),
            Self::Quick => (2e-3, 150),
        }
    }
}

/// Places and shares of a rule on the triangle that is exact for fifth powers (Radon 1948; Stroud 1971): the middle,
/// and two rings of three on the lines from it to the corners.
const MIDDLE_SHARE: f64 = 0.225;
/// (coordinate of the near corner, share) of each ring: (9 ∓ 2√15)/21, (155 ± √15)/1200.
const RINGS: [(f64, f64); 2] = [
    (0.059_715_871_789_769_81, 0.132_394_152_788_506_16),
    (0.797_426_985_353_087_2, 0.125_939_180_544_827_17),
];

/// The force that the rock presses a face of a block with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceForce {
    /// Square to the face, kN, positive where it presses on the block.
    pub normal_kn: f64,
    /// Along the face, on the block, kN; in the frame of the face's corners.
    pub shear_kn: Vec3,
    /// Square metres.
    pub area_m2: f64,
    /// How far the force may be off, kN: what the last division of the face changed, summed.
    pub error_kn: f64,
}

/// A triangle of the face with the force on it: from a rule on the whole, and from the rule on its four quarters.
struct Piece {
    corners: [Vec3; 3],
    force: Vec3,
    error: f64,
}

impl PartialEq for Piece {
    fn eq(&self, other: &Self) -> bool {
        self.error == other.error
    }
}

impl Eq for Piece {}

impl PartialOrd for Piece {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Piece {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.error.total_cmp(&other.error)
    }
}

/// The force on a plane face: `polygon` are its corners in order, local (u, s, v) at any chainage, seen whole from
/// the first of them (as a joint's face is from the wedge's apex); `inward` is the unit normal into the block. Corners
/// may lie on the opening, the face must not cross it.
#[must_use]
pub fn force_on_face(stress: &StressAround, polygon: &[Vec3], inward: &Vec3) -> FaceForce {
    force_to(stress, polygon, inward, Accuracy::Fine)
}

fn force_to(stress: &StressAround, polygon: &[Vec3], inward: &Vec3, accuracy: Accuracy) -> FaceForce {
    let (error_share, most_triangles) = accuracy.limits();
    let mut pieces = BinaryHeap::new();
    let (mut force, mut error, mut size) = (Vec3::zeros(), 0.0, 0.0);
    let mut area_m2 = 0.0;
    let Some((anchor, others)) = polygon.split_first() else {
        return FaceForce { normal_kn: 0.0, shear_kn: Vec3::zeros(), area_m2, error_kn: 0.0 };
    };
    for pair in others.windows(2) {
        let corners = [*anchor, pair[0], pair[1]];
        area_m2 += area(&corners);
        let whole = on_triangle(stress, &corners, inward);
        size += whole.norm();
        let piece = piece(stress, corners, &whole, inward);
        (force, error) = (force + piece.force, error + piece.error);
        pieces.push(piece);
    }
    // Forces that go out against each other along a face are still found to a share of what they are.
    let far = (stress.far_kpa() * inward).norm() * area_m2;
    let allowed = error_share * size.max(error_share * far);
    while error > allowed && pieces.len() < most_triangles {
        let Some(worst) = pieces.pop() else { break };
        (force, error) = (force - worst.force, error - worst.error);
        for corners in quarters(&worst.corners) {
            let whole = on_triangle(stress, &corners, inward);
            let piece = piece(stress, corners, &whole, inward);
            (force, error) = (force + piece.force, error + piece.error);
            pieces.push(piece);
        }
    }
    // Summed anew, from the smallest error on: what was added and taken off again leaves nothing behind.
    let sorted = pieces.into_sorted_vec();
    let force: Vec3 = sorted.iter().map(|p| p.force).sum();
    let normal_kn = force.dot(inward);
    FaceForce {
        normal_kn,
        shear_kn: force - inward * normal_kn,
        area_m2,
        error_kn: sorted.iter().map(|p| p.error).sum(),
    }
}

/// The forces on all faces of one block but those on the opening: corners in order and unit normal into the block of
/// each, as for [`force_on_face`]. Since the opening carries nothing and the rock's weight is no part of the stress,
/// they add up to none; what elements and divisions leave of a sum, which would count as a load on the block, is taken off
/// them by their areas, and told with each face's error.
#[must_use]
pub fn forces_on_block(
    stress: &StressAround,
    faces: &[(Vec<Vec3>, Vec3)],
    accuracy: Accuracy,
) -> Vec<FaceForce> {
    let key = || {
        let numbers = faces.iter().flat_map(|(polygon, inward)| polygon.iter().chain([inward]));
        let mut key = stress.key();
        key.push(accuracy as u64);
        key.extend(numbers.flat_map(|v| [v.x, v.y, v.z]).map(f64::to_bits));
        key
    };
    FORCES.of(key(), || on_block(stress, faces, accuracy))
}

/// Forces on blocks that were asked before: studies that vary the support of a case ask the same blocks many times.
static FORCES: Known<Vec<FaceForce>> = Known::new(2000);

fn on_block(stress: &StressAround, faces: &[(Vec<Vec3>, Vec3)], accuracy: Accuracy) -> Vec<FaceForce> {
    let found: Vec<FaceForce> =
        faces.iter().map(|(polygon, inward)| force_to(stress, polygon, inward, accuracy)).collect();
    let area_m2: f64 = found.iter().map(|f| f.area_m2).sum();
    let left: Vec3 = found.iter().zip(faces).map(|(f, (_, inward))| inward * f.normal_kn + f.shear_kn).sum();
    found
        .into_iter()
        .zip(faces)
        .map(|(force, (_, inward))| {
            let off = left * (force.area_m2 / area_m2);
            let square = off.dot(inward);
            FaceForce {
                normal_kn: force.normal_kn - square,
                shear_kn: force.shear_kn - (off - inward * square),
                error_kn: force.error_kn + off.norm(),
                ..force
            }
        })
        .collect()
}

fn area([a, b, c]: &[Vec3; 3]) -> f64 {
    0.5 * (b - a).cross(&(c - a)).norm()
}

fn quarters([a, b, c]: &[Vec3; 3]) -> [[Vec3; 3]; 4] {
    let (ab, bc, ca) = (0.5 * (a + b), 0.5 * (b + c), 0.5 * (c + a));
    [[*a, ab, ca], [ab, *b, bc], [ca, bc, *c], [ab, bc, ca]]
}

/// A triangle's force by its quarters, and by how much that differs from `whole`.
fn piece(stress: &StressAround, corners: [Vec3; 3], whole: &Vec3, inward: &Vec3) -> Piece {
    let force: Vec3 = quarters(&corners).iter().map(|q| on_triangle(stress, q, inward)).sum();
    Piece { corners, force, error: (force - whole).norm() }
}

fn on_triangle(stress: &StressAround, corners: &[Vec3; 3], inward: &Vec3) -> Vec3 {
    let at = |point: Vec3| stress.at_kpa(&Vec2::new(point.x, point.z)) * inward;
    let sum: Vec3 = corners.iter().sum();
    let mut mean = at(sum / 3.0) * MIDDLE_SHARE;
    for (near, share) in RINGS {
        let other = 0.5 * (1.0 - near);
        for corner in corners {
            mean += at(corner * (near - other) + sum * other) * share;
        }
    }
    mean * area(corners)
}
