use nalgebra::Matrix3;

use super::Complex;
use super::solved::Potentials;
use crate::opening::{Section, Vec2};

/// Chords from which on a section of equal chords is taken for the circle through its corners.
const LEAST_CHORDS: usize = 64;

/// How far corners of a circle may be off it, as a share of its radius, and chords off each other.
const ROUND_SHARE: f64 = 1e-9;

/// A circular section. The stress round it is Kirsch's (1898), and along the axis that of a circular hole under
/// antiplane shear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Circle {
    /// Its middle.
    pub middle: Vec2,
    /// Metres.
    pub radius_m: f64,
}

impl Circle {
    /// The circle of a section; `None` where it is none.
    pub fn of(section: &Section) -> Option<Self> {
        let corners = section.vertices();
        if corners.len() < LEAST_CHORDS {
            return None;
        }
        let middle = corners.iter().sum::<Vec2>() / corners.len() as f64;
        let radius_m = (corners[0] - middle).norm();
        let same = |a: f64, b: f64| (a - b).abs() <= ROUND_SHARE * radius_m;
        let round = corners.iter().all(|c| same((c - middle).norm(), radius_m))
            && section.facets().iter().all(|f| same(f.length_m, section.facets()[0].length_m));
        round.then_some(Self { middle, radius_m })
    }

    /// The potentials at a point, from its middle, under a uniform stress, local (u, s, v), kPa; without that stress.
    pub fn at(&self, far_kpa: &Matrix3<f64>, z: Complex) -> Potentials {
        let (uu, vv, uv) = (far_kpa[(0, 0)], far_kpa[(2, 2)], far_kpa[(0, 2)]);
        let mean = 0.25 * (uu + vv);
        let deviator = Complex::new(0.5 * (vv - uu), uv);
        let along = Complex::new(far_kpa[(0, 1)], -far_kpa[(1, 2)]);
        let a2 = self.radius_m * self.radius_m;
        let (inv, back) = (z.inv(), z.conj());
        let inv2 = inv * inv;
        // φ = −D* a²/z and ψ = −2M a²/z − D* a⁴/z³.
        let d = deviator.conj();
        Potentials {
            first: d * a2 * inv2,
            second: inv2 * (2.0 * mean * a2) + (d * (3.0 * a2 * a2)) * inv2 * inv2
                - back * d * (2.0 * a2) * inv2 * inv,
            axial: -(along.conj() * a2) * inv2,
        }
    }
}
