use std::f64::consts::{PI, TAU};

use nalgebra::{DMatrix, Matrix3};

use super::Complex;
use super::elements::{Boundary, SHAPES, SHARES, SLOPES};

/// What stands before every integral over the boundary: 1/(2πi).
const BEFORE: Complex = Complex::new(0.0, -1.0 / TAU);

/// Uniform stresses that make up every other: σ_u, σ_v, τ_uv.
const PLANE_UNITS: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

/// The same of the shears along the axis: τ_us, τ_vs.
const AXIAL_UNITS: [Complex; 2] = [Complex::new(1.0, 0.0), Complex::new(0.0, -1.0)];

/// The stress round a boundary under each of five uniform stresses of 1.
///
/// In the plane the stress is written with Muskhelishvili's potentials φ and ψ. They are Cauchy integrals of a
/// density ω on the boundary as Sherman and Lauricella write them, which makes the condition there, that φ + z φ'* + ψ*
/// is one constant all round, an equation of the second kind: ω is smooth where the boundary is, and the system is
/// well conditioned. That sum is the resultant of the traction along the boundary (to a factor): between any
/// two nodes the boundary carries no force at all, to rounding, whatever the elements are. Outside of a boundary one ω
/// in the shape of the boundary itself makes no stress, and a pressure is missing: the Cauchy integral of t* in ψ, which is
/// what an opening filled with something that swells evenly does to the rock, takes its place. Along the axis the same is done with the one potential of an antiplane
/// shear. All integrals over elements are closed forms.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Solved {
    /// The boundary.
    pub boundary: Boundary,
    plane: [Plane; 3],
    axial: [Vec<f64>; 2],
    /// φ of each plane solution, and the potential of each axial one, at each element's start.
    at_starts: Vec<([Complex; 3], [Complex; 2])>,
}

/// Density at the nodes, and how much the filling swells.
#[derive(Debug, Clone, PartialEq)]
struct Plane {
    density: Vec<Complex>,
    swelling: f64,
}

/// Stress at a point as potentials have it, without the uniform part.
pub(super) struct Potentials {
    /// φ'.
    pub first: Complex,
    /// z* φ'' + ψ'.
    pub second: Complex,
    /// Derivative of the axial potential: τ_us − i τ_vs.
    pub axial: Complex,
}

/// How the density at each node counts in φ, and in z* φ' + ψ; without the 1/(2πi).
struct Row {
    first: Vec<Complex>,
    second: Vec<Complex>,
}

/// The nodes of element `j` of `n`: start, middle, end.
fn nodes(j: usize, n: usize) -> [usize; 3] {
    [2 * j, 2 * j + 1, (2 * j + 2) % (2 * n)]
}

/// The sum over the boundary of the resultant that a uniform stress has at `z`: φ + z φ'* + ψ* of it.
fn uniform(stress: [f64; 3], z: Complex) -> Complex {
    let [uu, vv, uv] = stress;
    z * (0.5 * (uu + vv)) + (Complex::new(0.5 * (vv - uu), uv) * z).conj()
}

impl Solved {
    /// Solves for a boundary; `None` where the system has no solution, which no section has been seen to bring about.
    pub fn of(boundary: Boundary) -> Option<Self> {
        let n = boundary.elements.len();
        let count = 2 * n;
        let mut weights = vec![0.0; count];
        // How the density at a node counts in the swelling: most where it has the boundary's own shape.
        let mut shape = vec![Complex::default(); count];
        for (j, element) in boundary.elements.iter().enumerate() {
            for (node, share) in nodes(j, n).into_iter().zip(SHARES) {
                weights[node] += share * element.along.norm() / boundary.perimeter_m;
                shape[node] += element.along.conj() * (share / (2.0 * boundary.area_m2));
            }
        }
        let mirrored: Vec<Complex> =
            boundary.elements.iter().flat_map(|e| [e.start.conj(), e.middle().conj()]).collect();
        let mut plane = DMatrix::<f64>::zeros(2 * count, 2 * count);
        let mut axial = DMatrix::<f64>::zeros(count, count);
        let mut plane_right = DMatrix::<f64>::zeros(2 * count, PLANE_UNITS.len());
        let mut axial_right = DMatrix::<f64>::zeros(count, AXIAL_UNITS.len());
        let mut rows_of_starts = Vec::with_capacity(n);
        for node in 0..count {
            let element = &boundary.elements[node / 2];
            let z = if node.is_multiple_of(2) { element.start } else { element.middle() };
            let row = Row::at_node(&boundary, node);
            let centre = -(dot(&row.first, &mirrored) * BEFORE).conj();
            for other in 0..count {
                let first = row.first[other] * BEFORE;
                let second = row.second[other] * BEFORE;
                let (re, im) = (-shape[other].im, -shape[other].re);
                plane[(2 * node, 2 * other)] = 2.0 * first.re + second.re + weights[other] + centre.re * re;
                plane[(2 * node, 2 * other + 1)] = -second.im + centre.re * im;
                plane[(2 * node + 1, 2 * other)] = -second.im + centre.im * re;
                plane[(2 * node + 1, 2 * other + 1)] =
                    2.0 * first.re - second.re + weights[other] + centre.im * im;
                axial[(node, other)] = first.re + weights[other];
            }
            for (k, unit) in PLANE_UNITS.into_iter().enumerate() {
                let there = uniform(unit, z);
                plane_right[(2 * node, k)] = -there.re;
                plane_right[(2 * node + 1, k)] = -there.im;
            }
            for (k, unit) in AXIAL_UNITS.into_iter().enumerate() {
                axial_right[(node, k)] = -(unit * z).im;
            }
            if node.is_multiple_of(2) {
                rows_of_starts.push(row.first);
            }
        }
        let plane = plane.lu().solve(&plane_right)?;
        let axial = axial.lu().solve(&axial_right)?;
        let plane: [Plane; 3] = std::array::from_fn(|k| {
            let column = plane.column(k);
            let density: Vec<Complex> =
                (0..count).map(|i| Complex::new(column[2 * i], column[2 * i + 1])).collect();
            let swelling = density.iter().zip(&shape).map(|(w, s)| -s.im * w.re - s.re * w.im).sum();
            Plane { density, swelling }
        });
        let axial: [Vec<f64>; 2] = std::array::from_fn(|k| axial.column(k).iter().copied().collect());
        let at_starts = rows_of_starts
            .iter()
            .map(|row| {
                let phi = |k: usize| dot(row, &plane[k].density) * BEFORE;
                let along = |k: usize| row.iter().zip(&axial[k]).map(|(c, w)| c * w).sum::<Complex>() / TAU;
                (std::array::from_fn(phi), std::array::from_fn(along))
            })
            .collect();
        Some(Self { boundary, plane, axial, at_starts })
    }

    /// The solution under a uniform stress, local (u, s, v), kPa.
    pub fn under(&self, far_kpa: &Matrix3<f64>) -> Loaded {
        let of_plane = [far_kpa[(0, 0)], far_kpa[(2, 2)], far_kpa[(0, 2)]];
        let of_axial = [far_kpa[(0, 1)], far_kpa[(1, 2)]];
        let count = 2 * self.boundary.elements.len();
        let density = (0..count)
            .map(|i| self.plane.iter().zip(of_plane).map(|(p, kpa)| p.density[i] * kpa).sum())
            .collect();
        let swelling = self.plane.iter().zip(of_plane).map(|(p, kpa)| p.swelling * kpa).sum();
        let axial =
            (0..count).map(|i| self.axial.iter().zip(of_axial).map(|(a, kpa)| a[i] * kpa).sum()).collect();
        let starts = self
            .at_starts
            .iter()
            .map(|(phi, along)| {
                (
                    phi.iter().zip(of_plane).map(|(p, kpa)| p * kpa).sum(),
                    along.iter().zip(of_axial).map(|(p, kpa)| p * kpa).sum(),
                )
            })
            .collect();
        Loaded { density, swelling, axial, starts }
    }
}

/// Densities under one uniform stress.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Loaded {
    density: Vec<Complex>,
    swelling: f64,
    axial: Vec<f64>,
    /// φ and the axial potential at each element's start.
    starts: Vec<(Complex, Complex)>,
}

impl Loaded {
    /// The potentials at a point, from the boundary's middle.
    pub fn at(&self, boundary: &Boundary, z: Complex) -> Potentials {
        let n = boundary.elements.len();
        let mut first = Complex::default();
        let mut second = Complex::default();
        let mut axial = Complex::default();
        for (j, element) in boundary.elements.iter().enumerate() {
            let seen = element.seen_from(z);
            let twice = seen.twice();
            let nodes = nodes(j, n);
            // Slope of each density over the element: c + d x.
            let slope = |of: &dyn Fn(usize) -> Complex| {
                let part = |k: usize| (0..3).map(|i| of(nodes[i]) * SLOPES[i][k]).sum::<Complex>();
                [part(0), part(1)]
            };
            let [c, d] = slope(&|i| self.density[i]);
            let [ca, da] = slope(&|i| self.axial[i].into());
            let inv = element.along.inv();
            let [s0, s1, _] = seen.once;
            first += (c * s0 + d * s1) * inv;
            axial += (ca * s0 + da * s1) * inv;
            // ∫ x²/(x − ζ)² dx.
            let r2 = s1 + seen.zeta * twice[1];
            let back = seen.zeta.conj();
            let bent = c * (twice[1] - back * twice[0]) + d * (r2 - back * twice[1]);
            let turned = element.turned();
            second += (c.conj() * s0 + d.conj() * s1 - bent * turned) * inv - turned * s0 * self.swelling;
        }
        Potentials { first: first * BEFORE, second: second * BEFORE, axial: axial / TAU }
    }

    /// Mean over an element of φ' and of the axial potential's derivative, from what the potentials are at its ends.
    pub fn mean(&self, boundary: &Boundary, j: usize) -> (Complex, Complex) {
        let (from, to) = (self.starts[j], self.starts[(j + 1) % self.starts.len()]);
        let inv = boundary.elements[j].along.inv();
        ((to.0 - from.0) * inv, (to.1 - from.1) * inv)
    }
}

impl Row {
    /// At a node of the boundary, as seen from the rock: own elements' singular parts go out against each other, but
    /// for the angle of the opening there.
    fn at_node(boundary: &Boundary, node: usize) -> Self {
        let n = boundary.elements.len();
        let mut row =
            Self { first: vec![Complex::default(); 2 * n], second: vec![Complex::default(); 2 * n] };
        let own = &boundary.elements[node / 2];
        let z = if node.is_multiple_of(2) { own.start } else { own.middle() };
        for (j, element) in boundary.elements.iter().enumerate() {
            let nodes = nodes(j, n);
            let turned = element.turned();
            if let Some(place) = nodes.iter().position(|&i| i == node) {
                let shares = match place {
                    0 => [Complex::from(-2.0), Complex::from(2.0), Complex::default()],
                    1 => [Complex::from(-1.0), Complex::new(0.0, -PI), Complex::from(1.0)],
                    _ => [Complex::default(), Complex::from(-2.0), Complex::from(2.0)],
                };
                for (i, share) in nodes.into_iter().zip(shares) {
                    row.first[i] += share;
                }
                // On its own line (t* − z*)/(t − z) is one number.
                row.second[nodes[0]] += turned;
                row.second[nodes[2]] -= turned;
                continue;
            }
            let seen = element.seen_from(z);
            let [s0, s1, s2] = seen.once;
            let back = seen.zeta.conj();
            for i in 0..3 {
                row.first[nodes[i]] += s0 * SHAPES[i][0] + s1 * SHAPES[i][1] + s2 * SHAPES[i][2];
                let bent = (s1 - back * s0) * SLOPES[i][0] + (s2 - back * s1) * SLOPES[i][1];
                row.second[nodes[i]] -= turned * bent;
            }
        }
        if node.is_multiple_of(2) {
            let (after, before) = (node / 2, (node / 2 + n - 1) % n);
            let lengths = boundary.elements[after].along.norm() / boundary.elements[before].along.norm();
            row.first[node] += Complex::new(lengths.ln(), -boundary.angles[after]);
        }
        row
    }
}

fn dot(row: &[Complex], density: &[Complex]) -> Complex {
    row.iter().zip(density).map(|(c, w)| c * w).sum()
}
