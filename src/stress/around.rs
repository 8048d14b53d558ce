use std::sync::Arc;

use nalgebra::Matrix3;

use super::circle::Circle;
use super::elements::Boundary;
use super::known::Known;
use super::solved::{Loaded, Potentials, Solved};
use super::{Complex, FarField, complex};
use crate::opening::{DriveFrame, Section, Vec2};

/// The elastic stress round a section under any uniform stress: solved once, used for all wedges and samples.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionStress {
    way: Way,
}

#[derive(Debug, Clone, PartialEq)]
enum Way {
    /// In closed form.
    Circle(Circle, Vec<Vec2>),
    /// By boundary elements.
    Elements(Box<Solved>),
}

/// The elastic stress round a drive under its far field.
#[derive(Debug, Clone, PartialEq)]
pub struct StressAround<'a> {
    way: Around<'a>,
    far_kpa: Matrix3<f64>,
    poisson: f64,
}

#[derive(Debug, Clone, PartialEq)]
enum Around<'a> {
    Circle(&'a Circle, &'a [Vec2]),
    Elements(&'a Boundary, Loaded),
}

/// Stress in a piece of the opening's surface: means over it. Square to the surface there is none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoundaryStress {
    /// Its ends, counter-clockwise along the section.
    pub ends: [Vec2; 2],
    /// Along the perimeter, kPa, compression positive.
    pub tangential_kpa: f64,
    /// Along the drive, kPa, compression positive.
    pub axial_kpa: f64,
    /// Shear between both, kPa: positive where it is a positive stress of (s, counter-clockwise).
    pub shear_kpa: f64,
}

impl SectionStress {
    /// Solves for a section: in closed form where it is a circle of 64 chords or more, else by boundary elements on
    /// its sides, 64 or more. `None` where the elements have no solution, which no section has been seen to bring about.
    ///
    /// At a corner of the opening elastic stress grows without limit. Elements grow shorter towards it, no node's
    /// stress is asked there, and [`StressAround::boundary`] tells means over elements, which are
    /// finite; forces on surfaces that end in a corner are finite too.
    #[must_use]
    pub fn of(section: &Section) -> Option<Self> {
        if let Some(circle) = Circle::of(section) {
            return Some(Self { way: Way::Circle(circle, section.vertices().to_vec()) });
        }
        Some(Self { way: Way::Elements(Box::new(Solved::of(Boundary::of(section))?)) })
    }

    /// The stress round it under a far field, in rock with this Poisson's ratio, which says how much of the change
    /// across the drive comes along it (plane strain).
    #[must_use]
    pub fn under(&self, far: &FarField, frame: &DriveFrame, poisson: f64) -> StressAround<'_> {
        self.under_kpa(far.local_kpa(frame), poisson)
    }

    /// As [`SectionStress::of`], solved once for each section that is asked again and again.
    #[must_use]
    pub fn shared(section: &Section) -> Option<Arc<Self>> {
        static SOLVED: Known<Option<Arc<SectionStress>>> = Known::new(16);
        let key = section.vertices().iter().flat_map(|p| [p.x.to_bits(), p.y.to_bits()]).collect();
        SOLVED.of(key, || Self::of(section).map(Arc::new))
    }

    fn under_kpa(&self, far_kpa: Matrix3<f64>, poisson: f64) -> StressAround<'_> {
        let way = match &self.way {
            Way::Circle(circle, corners) => Around::Circle(circle, corners),
            Way::Elements(solved) => Around::Elements(&solved.boundary, solved.under(&far_kpa)),
        };
        StressAround { way, far_kpa, poisson }
    }
}

impl StressAround<'_> {
    /// The bits of all that it hangs on.
    pub(super) fn key(&self) -> Vec<u64> {
        let mut numbers: Vec<f64> = match &self.way {
            Around::Circle(circle, corners) => {
                let of = [circle.middle.x, circle.middle.y, circle.radius_m];
                of.into_iter().chain(corners.iter().flat_map(|p| [p.x, p.y])).collect()
            }
            Around::Elements(boundary, _) => {
                let starts = boundary.elements.iter().flat_map(|e| [e.start.re, e.start.im]);
                [boundary.middle.x, boundary.middle.y].into_iter().chain(starts).collect()
            }
        };
        numbers.extend(self.far_kpa.iter());
        numbers.push(self.poisson);
        numbers.into_iter().map(f64::to_bits).collect()
    }

    /// The uniform stress far from the drive, local (u, s, v), kPa.
    #[must_use]
    pub fn far_kpa(&self) -> &Matrix3<f64> {
        &self.far_kpa
    }

    /// The stress at a point of the rock, local (u, s, v), kPa; it is the same at every chainage. Inside of the
    /// opening it has no meaning.
    #[must_use]
    pub fn at_kpa(&self, point: &Vec2) -> Matrix3<f64> {
        let added = match &self.way {
            Around::Circle(circle, _) => circle.at(&self.far_kpa, complex(&(point - circle.middle))),
            Around::Elements(boundary, loaded) => loaded.at(boundary, complex(&(point - boundary.middle))),
        };
        self.with(&added)
    }

    fn with(&self, added: &Potentials) -> Matrix3<f64> {
        let sum = 4.0 * added.first.re;
        let (difference, uv) = (2.0 * added.second.re, added.second.im);
        let (uu, vv) = (0.5 * (sum - difference), 0.5 * (sum + difference));
        let (us, vs) = (added.axial.re, -added.axial.im);
        self.far_kpa + Matrix3::new(uu, us, uv, us, self.poisson * sum, vs, uv, vs, vv)
    }

    /// The stress in the opening's surface: a piece an element, or a chord of a circle, counter-clockwise.
    #[must_use]
    pub fn boundary(&self) -> Vec<BoundaryStress> {
        match &self.way {
            Around::Circle(circle, corners) => {
                let ends = |i: usize| [corners[i], corners[(i + 1) % corners.len()]];
                (0..corners.len())
                    .map(|i| {
                        let ends = ends(i);
                        let out = (0.5 * (ends[0] + ends[1]) - circle.middle).normalize();
                        let added = circle.at(&self.far_kpa, complex(&(out * circle.radius_m)));
                        let along = Complex::new(-out.y, out.x);
                        self.in_surface(ends, along, added.first.re, added.axial)
                    })
                    .collect()
            }
            Around::Elements(boundary, loaded) => {
                let n = boundary.elements.len();
                let place = |z: Complex| boundary.middle + Vec2::new(z.re, z.im);
                (0..n)
                    .map(|j| {
                        let element = &boundary.elements[j];
                        let ends = [element.start, boundary.elements[(j + 1) % n].start].map(place);
                        let (first, axial) = loaded.mean(boundary, j);
                        let along = element.along / element.along.norm();
                        self.in_surface(ends, along, first.re, axial)
                    })
                    .collect()
            }
        }
    }

    /// Since the surface carries nothing, the trace of the stress is what is along it.
    fn in_surface(&self, ends: [Vec2; 2], along: Complex, first: f64, axial: Complex) -> BoundaryStress {
        let far = &self.far_kpa;
        let shear = Complex::new(far[(0, 1)], -far[(1, 2)]) + axial;
        BoundaryStress {
            ends,
            tangential_kpa: far[(0, 0)] + far[(2, 2)] + 4.0 * first,
            axial_kpa: far[(1, 1)] + self.poisson * 4.0 * first,
            shear_kpa: (shear * along).re,
        }
    }
}

#[cfg(test)]
mod tests;
