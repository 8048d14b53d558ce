use std::f64::consts::PI;

use super::{Complex, complex};
use crate::opening::{Section, Vec2, cross2};

/// Elements round a section, about: with straight ones of three nodes the greatest boundary stress of a circle or an
/// ellipse of 2 to 1 is within 1 % of the closed form.
const ELEMENTS: f64 = 64.0;

/// Sides of the boundary at the most, before they are divided: a solution takes time with the cube of them. Of an
/// outline with more, the flattest corners are left out.
const MOST_SIDES: usize = 128;

/// Elements at least between two corners of the opening, and the power by which their ends draw near to a corner:
/// stress grows there without limit, the faster the sharper it is, and short elements keep that to themselves.
const LEAST_BETWEEN_CORNERS: f64 = 8.0;
const GRADING: f64 = 2.0;

/// An angle as near to a half turn as this is one: the point lies on the element, and rounding alone says on which
/// side. Radians.
const ON_ELEMENT_RAD: f64 = 1e-9;

/// One straight piece of the boundary. What is unknown along it is a quadratic through its two ends and its middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Element {
    /// Where it starts, going counter-clockwise.
    pub start: Complex,
    /// From its start to its end.
    pub along: Complex,
}

/// Integrals over an element of x^k/(x − ζ) and x^k/(x − ζ)², x from 0 at its start to 1 at its end, where ζ is the
/// point at which a potential is asked, in the element's own coordinate.
pub(super) struct Seen {
    pub zeta: Complex,
    pub once: [Complex; 3],
}

/// Coefficients of 1, x, x² in the quadratic that is 1 at one node and 0 at the others: start, middle, end.
pub(super) const SHAPES: [[f64; 3]; 3] = [[1.0, -3.0, 2.0], [0.0, 4.0, -4.0], [0.0, -1.0, 2.0]];

/// The same of their slopes.
pub(super) const SLOPES: [[f64; 2]; 3] = [[-3.0, 4.0], [4.0, -8.0], [-1.0, 4.0]];

/// Their integrals (Simpson).
pub(super) const SHARES: [f64; 3] = [1.0 / 6.0, 4.0 / 6.0, 1.0 / 6.0];

impl Element {
    /// How the element is seen from a point of the rock or its boundary.
    pub fn seen_from(&self, z: Complex) -> Seen {
        let zeta = (z - self.start) / self.along;
        let ratio = (zeta - 1.0) / zeta;
        let mut turn = ratio.arg();
        // Rock lies to the right of the element. From a point on it, seen from there, its end is half a turn
        // clockwise from its start.
        if turn > PI - ON_ELEMENT_RAD {
            turn -= 2.0 * PI;
        }
        let zeroth = Complex::new(ratio.norm().ln(), turn);
        let first = zeta * zeroth + 1.0;
        Seen { zeta, once: [zeroth, first, zeta * first + 0.5] }
    }

    /// The conjugate of its direction over its direction.
    pub fn turned(&self) -> Complex {
        self.along.conj() / self.along
    }

    /// Its middle.
    pub fn middle(&self) -> Complex {
        self.start + self.along * 0.5
    }
}

impl Seen {
    /// Integrals of 1/(x − ζ)² and x/(x − ζ)².
    pub fn twice(&self) -> [Complex; 2] {
        let zeroth = -(self.zeta.inv() + (-self.zeta + 1.0).inv());
        [zeroth, self.once[0] + self.zeta * zeroth]
    }
}

/// The boundary of a section in elements, counter-clockwise, from the section's middle.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Boundary {
    /// The elements; each begins where the one before ends.
    pub elements: Vec<Element>,
    /// The opening's angle at each element's start, radians; π where the boundary is straight.
    pub angles: Vec<f64>,
    /// Where the origin of all points here lies in the section.
    pub middle: Vec2,
    /// Square metres.
    pub area_m2: f64,
    /// Metres.
    pub perimeter_m: f64,
}

impl Boundary {
    /// The boundary of a section. Each of its sides has elements of its own; between chords of an arc they are as
    /// long as the chords allow, towards a corner they grow shorter.
    pub fn of(section: &Section) -> Self {
        let corners = at_most(section.vertices(), MOST_SIDES);
        let n = corners.len();
        let side = |i: usize| corners[(i + 1) % n] - corners[i % n];
        let turn = |i: usize| {
            let (before, after) = (side(i + n - 1), side(i));
            cross2(&before, &after).atan2(before.dot(&after))
        };
        let is_corner = |i: usize| turn(i % n).to_degrees() > crate::opening::CORNER_TURN_DEG;
        let perimeter_m: f64 = (0..n).map(|i| side(i).norm()).sum();
        let mut points = Vec::new();
        let mut angles = Vec::new();
        for (i, corner) in corners.iter().enumerate() {
            let ends = [is_corner(i), is_corner(i + 1)];
            let share = ELEMENTS * side(i).norm() / perimeter_m;
            let least = if ends == [true, true] { LEAST_BETWEEN_CORNERS } else { 1.0 };
            let count = share.round().max(least) as usize;
            for k in 0..count {
                let place = graded(k as f64 / count as f64, ends);
                points.push(corner + side(i) * place);
                angles.push(if k == 0 { PI - turn(i) } else { PI });
            }
        }
        Self::through(&points, angles)
    }

    /// Elements from point to point.
    fn through(points: &[Vec2], angles: Vec<f64>) -> Self {
        let n = points.len();
        let middle = points.iter().sum::<Vec2>() / n as f64;
        let elements: Vec<Element> = (0..n)
            .map(|i| Element {
                start: complex(&(points[i] - middle)),
                along: complex(&(points[(i + 1) % n] - points[i])),
            })
            .collect();
        Self {
            area_m2: crate::numeric::signed_area(points),
            perimeter_m: elements.iter().map(|e| e.along.norm()).sum(),
            elements,
            angles,
            middle,
        }
    }

    /// One element a side of a polygon, whatever its turns: a smooth line that is known at its corners.
    #[cfg(test)]
    pub fn of_polygon(points: &[Vec2]) -> Self {
        let n = points.len();
        let side = |i: usize| points[(i + 1) % n] - points[i % n];
        let angles = (0..n)
            .map(|i| {
                let (before, after) = (side(i + n - 1), side(i));
                PI - cross2(&before, &after).atan2(before.dot(&after))
            })
            .collect();
        Self::through(points, angles)
    }
}

/// A place from 0 to 1, drawn towards those ends that are corners.
fn graded(place: f64, corners: [bool; 2]) -> f64 {
    match corners {
        [false, false] => place,
        [true, false] => place.powf(GRADING),
        [false, true] => 1.0 - (1.0 - place).powf(GRADING),
        [true, true] if place <= 0.5 => 0.5 * (2.0 * place).powf(GRADING),
        [true, true] => 1.0 - 0.5 * (2.0 - 2.0 * place).powf(GRADING),
    }
}

/// A convex outline without the corners that take least area off it, until so many are left.
fn at_most(vertices: &[Vec2], most: usize) -> Vec<Vec2> {
    let mut left = vertices.to_vec();
    while left.len() > most {
        let n = left.len();
        let taken = |i: usize| {
            let (before, here, after) = (left[(i + n - 1) % n], left[i], left[(i + 1) % n]);
            cross2(&(here - before), &(after - here)).abs()
        };
        let least = (0..n).min_by(|&a, &b| taken(a).total_cmp(&taken(b)));
        left.remove(least.unwrap_or_default());
    }
    left
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::opening::SectionShape;

    #[test]
    fn elements_draw_near_to_corners_and_close() {
        let section = SectionShape::Flat { width_m: 5.0, height_m: 4.0 }.section().unwrap();
        let boundary = Boundary::of(&section);
        assert!((60..=68).contains(&boundary.elements.len()), "{}", boundary.elements.len());
        let whole: Complex = boundary.elements.iter().map(|e| e.along).sum();
        assert!(whole.norm() < 1e-12 && (boundary.perimeter_m - 18.0).abs() < 1e-12);
        assert!((boundary.area_m2 - 20.0).abs() < 1e-12);
        let lengths: Vec<f64> = boundary.elements.iter().map(|e| e.along.norm()).collect();
        let (short, long) = lengths.iter().fold((f64::MAX, 0.0_f64), |(s, l), &x| (s.min(x), l.max(x)));
        assert!(short < 0.05 && long > 0.4, "{short} {long}");
        let corners = boundary.angles.iter().filter(|&&a| a < 0.9 * PI).count();
        assert_eq!(corners, 4);
    }

    #[test]
    fn an_outline_of_many_sides_keeps_its_area() {
        let points: Vec<Vec2> = (0..400)
            .map(|i| {
                let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / 400.0).sin_cos();
                Vec2::new(3.0 * cos, 2.0 * sin)
            })
            .collect();
        let boundary = Boundary::of(&Section::from_vertices(&points).unwrap());
        assert_eq!(boundary.elements.len(), MOST_SIDES);
        let whole = crate::numeric::signed_area(&points);
        assert!((boundary.area_m2 / whole - 1.0).abs() < 1e-3);
    }
}
