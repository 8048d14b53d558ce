use std::fmt;

use super::border::between_axes_deg;
use crate::orientation::{Line, Vec3, across};

/// Poles are axes, so between two of them the shorter way is no more than 90°; near that both ways are as short,
/// and nobody can tell which was drawn. Degrees.
const LONGEST_SIDE_DEG: f64 = 85.0;
/// Corners further than this from their middle take in most of the net, which is no set; nearer ones have an image
/// from the middle of the sphere in which sides are straight. Degrees.
const WIDEST_DEG: f64 = 80.0;
/// Corners closer than this are one corner twice, degrees: nobody draws finer.
const SAME_CORNER_DEG: f64 = 1e-3;
/// How far from a side a point still lies on it, in units of the image's radius at 45°: what rounding leaves of a
/// corner that is turned into a direction and projected is some 1e-15.
const ON_SIDE: f64 = 1e-9;

/// A polygon on the lower hemisphere, by the poles at its corners in order. Its sides are great circles, the shorter
/// way from corner to corner, so it is the same in every projection, and it may reach over the edge of the net.
#[derive(Debug, Clone, PartialEq)]
pub struct NetPolygon {
    /// Unit vectors; each is the one of its axis that is nearer to the one before it.
    corners: Vec<Vec3>,
    /// Their mean direction and two directions across it.
    middle: Vec3,
    across: [Vec3; 2],
    /// The corners' image: from the middle of the sphere onto the plane that touches it at the middle of the polygon.
    image: Vec<[f64; 2]>,
}

/// Why corners make no border. Corners are counted from 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PolygonFault {
    /// Fewer than three.
    TooFewCorners(usize),
    /// A corner lies where the one after it lies.
    CornerTwice(usize),
    /// The side that begins at this corner is so long, degrees, that nobody can tell which way it goes.
    LongSide(usize, f64),
    /// It goes all round the net, or a corner is too far from the middle of all.
    TooWide,
    /// Two sides, by the corners that they begin at, cross each other.
    SidesCross(usize, usize),
}

impl fmt::Display for PolygonFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewCorners(corners) => write!(f, "{corners} corners"),
            Self::CornerTwice(at) => write!(f, "corner {at} where the next one is"),
            Self::LongSide(at, angle_deg) => write!(f, "a side of {angle_deg:.1}° after corner {at}"),
            Self::TooWide => write!(f, "a border that takes in most of the net"),
            Self::SidesCross(first, second) => {
                write!(f, "the sides after corners {first} and {second} cross each other")
            }
        }
    }
}

impl PolygonFault {
    /// What is allowed there, in words.
    #[must_use]
    pub fn allowed(&self) -> String {
        match self {
            Self::TooFewCorners(_) => "3 corners or more".to_owned(),
            Self::CornerTwice(_) => "each corner once".to_owned(),
            Self::LongSide(..) => format!("sides up to {LONGEST_SIDE_DEG}°"),
            Self::TooWide => format!("corners up to {WIDEST_DEG}° from their middle"),
            Self::SidesCross(..) => "corners in the order in which the border goes round".to_owned(),
        }
    }

    /// What to do about it, in words.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::TooFewCorners(_) => "add corners, or give a mean and an angle",
            Self::CornerTwice(_) => "take one of them out; the border closes itself",
            Self::LongSide(..) => "put a corner between both, so that it is clear which way the side goes",
            Self::TooWide => "draw a smaller border, or two",
            Self::SidesCross(..) => "put the corners in order",
        }
    }
}

impl NetPolygon {
    /// The polygon with these poles at its corners, in order.
    ///
    /// # Units
    /// Degrees; a pole may be written with a plunge below 0.
    ///
    /// # Errors
    /// The first [`PolygonFault`] of the corners.
    pub fn new(poles: &[Line]) -> Result<Self, PolygonFault> {
        let count = poles.len();
        if count < 3 {
            return Err(PolygonFault::TooFewCorners(count));
        }
        let mut corners: Vec<Vec3> = Vec::with_capacity(count);
        for pole in poles {
            let axis = pole.to_vector().into_inner();
            let turned = corners.last().is_some_and(|before| before.dot(&axis) < 0.0);
            corners.push(if turned { -axis } else { axis });
        }
        for at in 0..count {
            let angle_deg = between_axes_deg(&corners[at], &corners[(at + 1) % count]);
            if angle_deg < SAME_CORNER_DEG {
                return Err(PolygonFault::CornerTwice(at + 1));
            }
            if angle_deg > LONGEST_SIDE_DEG {
                return Err(PolygonFault::LongSide(at + 1, angle_deg));
            }
        }
        // The last side would have to end at the other pole of the first axis: it goes round the net.
        if corners[count - 1].dot(&corners[0]) < 0.0 {
            return Err(PolygonFault::TooWide);
        }
        let middle = corners.iter().sum::<Vec3>().try_normalize(f64::EPSILON).ok_or(PolygonFault::TooWide)?;
        let widest = WIDEST_DEG.to_radians().cos();
        if corners.iter().any(|corner| corner.dot(&middle) < widest) {
            return Err(PolygonFault::TooWide);
        }
        let across = across(&nalgebra::Unit::new_unchecked(middle));
        let mut polygon = Self { corners, middle, across, image: Vec::new() };
        polygon.image = polygon.corners.iter().map(|corner| polygon.image_of(corner)).collect();
        match polygon.first_crossing() {
            Some((first, second)) => Err(PolygonFault::SidesCross(first + 1, second + 1)),
            None => Ok(polygon),
        }
    }

    /// Its corners in order: unit poles, each on the side of its line that is nearer to the corner before.
    #[must_use]
    pub fn corners(&self) -> &[Vec3] {
        &self.corners
    }

    /// Whether it holds the pole on this axis; on its border too.
    #[must_use]
    pub fn holds(&self, axis: &Vec3) -> bool {
        // Corners and sides are nearer to the middle.
        if axis.dot(&self.middle).abs() < WIDEST_DEG.to_radians().cos() * (1.0 - ON_SIDE) * axis.norm() {
            return false;
        }
        let place = self.image_of(axis);
        self.on_side(place) || self.around(place)
    }

    /// How far an axis is from it, degrees; 0 within.
    #[must_use]
    pub fn distance_deg(&self, axis: &Vec3) -> f64 {
        if self.holds(axis) {
            return 0.0;
        }
        self.sides().map(|(a, b)| to_side_deg(axis, a, b)).fold(90.0, f64::min)
    }

    /// Whether it shares more than its line with another one.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        let reaches_into = |from: &Self, into: &Self| {
            from.corners.iter().chain(&from.inner_point()).any(|axis| into.holds_inside(axis))
        };
        reaches_into(self, other)
            || reaches_into(other, self)
            || self.sides().any(|one| other.sides().any(|two| sides_cross(one, two)))
    }

    /// The image of an axis, of either sense.
    fn image_of(&self, axis: &Vec3) -> [f64; 2] {
        let up = axis.dot(&self.middle);
        self.across.map(|side| axis.dot(&side) / up)
    }

    fn sides(&self) -> impl Iterator<Item = (&Vec3, &Vec3)> {
        self.corners.iter().zip(self.corners.iter().cycle().skip(1))
    }

    fn image_sides(&self) -> impl Iterator<Item = ([f64; 2], [f64; 2])> {
        self.image.iter().copied().zip(self.image.iter().copied().cycle().skip(1))
    }

    fn holds_inside(&self, axis: &Vec3) -> bool {
        let place = self.image_of(axis);
        self.holds(axis) && !self.on_side(place)
    }

    fn on_side(&self, place: [f64; 2]) -> bool {
        self.image_sides().any(|(a, b)| {
            let (along, to) = ([b[0] - a[0], b[1] - a[1]], [place[0] - a[0], place[1] - a[1]]);
            let share = (along[0] * to[0] + along[1] * to[1]) / (along[0].powi(2) + along[1].powi(2));
            let share = share.clamp(0.0, 1.0);
            (to[0] - share * along[0]).hypot(to[1] - share * along[1]) <= ON_SIDE
        })
    }

    /// Whether the sides go round a place of the image: a ray to the right crosses an odd number of them.
    fn around(&self, [x, y]: [f64; 2]) -> bool {
        let crossed = self.image_sides().filter(|(a, b)| {
            (a[1] > y) != (b[1] > y) && x < a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
        });
        crossed.count() % 2 == 1
    }

    /// A point within it: in the middle of the first run across at half the height between its two lowest corners.
    fn inner_point(&self) -> Option<Vec3> {
        let mut heights: Vec<f64> = self.image.iter().map(|place| place[1]).collect();
        heights.sort_by(f64::total_cmp);
        let above = heights.iter().find(|height| **height > heights[0] + ON_SIDE)?;
        let y = f64::midpoint(heights[0], *above);
        let mut across: Vec<f64> = self
            .image_sides()
            .filter(|(a, b)| (a[1] > y) != (b[1] > y))
            .map(|(a, b)| a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]))
            .collect();
        across.sort_by(f64::total_cmp);
        let x = f64::midpoint(*across.first()?, *across.get(1)?);
        Some((self.middle + self.across[0] * x + self.across[1] * y).normalize())
    }

    /// Two sides that cross, or a corner on a side that does not end there.
    fn first_crossing(&self) -> Option<(usize, usize)> {
        let sides: Vec<_> = self.image_sides().collect();
        let last = sides.len() - 1;
        let pairs = (0..sides.len()).flat_map(|i| (i + 2..=last).map(move |j| (i, j)));
        // The last side ends where the first begins.
        pairs.filter(|&(i, j)| (i, j) != (0, last)).find(|&(i, j)| segments_meet(sides[i], sides[j]))
    }
}

/// Twice the area of a triangle, positive counter-clockwise.
fn turn(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

fn segments_meet((a, b): ([f64; 2], [f64; 2]), (c, d): ([f64; 2], [f64; 2])) -> bool {
    let apart = |axis: usize| {
        a[axis].max(b[axis]) < c[axis].min(d[axis]) || c[axis].max(d[axis]) < a[axis].min(b[axis])
    };
    !apart(0) && !apart(1) && turn(a, b, c) * turn(a, b, d) <= 0.0 && turn(c, d, a) * turn(c, d, b) <= 0.0
}

/// Whether two arcs of axes cross between their ends.
fn sides_cross(one: (&Vec3, &Vec3), two: (&Vec3, &Vec3)) -> bool {
    let Some(meeting) = one.0.cross(one.1).cross(&two.0.cross(two.1)).try_normalize(ON_SIDE) else {
        return false;
    };
    [one, two].iter().all(|(a, b)| lies_between(&meeting, a, b))
}

/// Whether an axis on the great circle of `a` and `b` lies between them, and not at an end.
fn lies_between(axis: &Vec3, a: &Vec3, b: &Vec3) -> bool {
    let normal = a.cross(b);
    [1.0, -1.0].iter().any(|sense| {
        let x = axis * *sense;
        a.cross(&x).dot(&normal) > ON_SIDE && x.cross(b).dot(&normal) > ON_SIDE
    })
}

/// How far an axis is from the arc between `a` and `b`, degrees.
fn to_side_deg(axis: &Vec3, a: &Vec3, b: &Vec3) -> f64 {
    let normal = a.cross(b).normalize();
    let foot = axis - normal * axis.dot(&normal);
    if lies_between(&foot, a, b) {
        return 90.0 - between_axes_deg(axis, &normal);
    }
    between_axes_deg(axis, a).min(between_axes_deg(axis, b))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pole(trend_deg: f64, plunge_deg: f64) -> Line {
        Line { trend_deg, plunge_deg }
    }

    fn polygon(corners: &[(f64, f64)]) -> Result<NetPolygon, PolygonFault> {
        NetPolygon::new(&corners.iter().map(|&(t, p)| pole(t, p)).collect::<Vec<_>>())
    }

    fn holds(polygon: &NetPolygon, trend_deg: f64, plunge_deg: f64) -> bool {
        polygon.holds(&pole(trend_deg, plunge_deg).to_vector())
    }

    #[test]
    fn a_border_round_the_middle_of_the_net_holds_steep_poles() -> Result<(), PolygonFault> {
        let flat = polygon(&[(0.0, 60.0), (90.0, 60.0), (180.0, 60.0), (270.0, 60.0)])?;
        assert!(holds(&flat, 10.0, 89.0) && holds(&flat, 0.0, 60.0) && holds(&flat, 90.0, 60.0));
        // Halfway between two corners the great circle is nearer to the middle: tan of its plunge is √2 tan 60°.
        let edge_deg = (60.0_f64.to_radians().tan() * 2.0_f64.sqrt()).atan().to_degrees();
        assert!(holds(&flat, 45.0, edge_deg + 0.01) && !holds(&flat, 45.0, edge_deg - 0.01));
        assert!(!holds(&flat, 0.0, 59.9) && !holds(&flat, 200.0, 5.0));
        Ok(())
    }

    #[test]
    fn a_border_reaches_over_the_edge_of_the_net() -> Result<(), PolygonFault> {
        // 10° on both sides of a level pole to the east, the far side written on the other edge of the net.
        let edge = polygon(&[(80.0, 10.0), (100.0, 10.0), (280.0, 10.0), (260.0, 10.0)])?;
        assert!(holds(&edge, 90.0, 0.0) && holds(&edge, 270.0, 0.0));
        assert!(holds(&edge, 90.0, 9.9) && holds(&edge, 270.0, 9.9) && !holds(&edge, 90.0, 11.0));
        assert!(!holds(&edge, 110.0, 0.0) && !holds(&edge, 0.0, 90.0) && !holds(&edge, 0.0, 0.0));
        Ok(())
    }

    #[test]
    fn what_is_no_border_is_refused() {
        assert_eq!(polygon(&[(0.0, 10.0), (20.0, 10.0)]), Err(PolygonFault::TooFewCorners(2)));
        let closed = polygon(&[(0.0, 10.0), (20.0, 10.0), (20.0, 40.0), (0.0, 10.0)]);
        assert_eq!(closed, Err(PolygonFault::CornerTwice(4)));
        let crossed = polygon(&[(0.0, 10.0), (20.0, 40.0), (20.0, 10.0), (0.0, 40.0)]);
        assert_eq!(crossed, Err(PolygonFault::SidesCross(1, 3)));
        assert!(matches!(
            polygon(&[(0.0, 0.0), (89.0, 0.0), (40.0, 40.0)]),
            Err(PolygonFault::LongSide(1, _))
        ));
        let round = polygon(&[(0.0, 1.0), (60.0, 1.0), (120.0, 1.0)]);
        assert_eq!(round, Err(PolygonFault::TooWide), "a girdle right round");
    }

    #[test]
    fn borders_overlap_by_more_than_a_line() -> Result<(), PolygonFault> {
        let left = polygon(&[(0.0, 20.0), (20.0, 20.0), (20.0, 50.0), (0.0, 50.0)])?;
        let right = polygon(&[(20.0, 20.0), (40.0, 20.0), (40.0, 50.0), (20.0, 50.0)])?;
        let within = polygon(&[(8.0, 30.0), (12.0, 30.0), (10.0, 34.0)])?;
        let across = polygon(&[(350.0, 30.0), (30.0, 30.0), (30.0, 34.0), (350.0, 34.0)])?;
        assert!(!left.overlaps(&right) && !right.overlaps(&left), "a side of both");
        assert!(left.overlaps(&left) && left.overlaps(&within) && within.overlaps(&left));
        assert!(left.overlaps(&across) && across.overlaps(&left) && !within.overlaps(&right));
        Ok(())
    }

    #[test]
    fn the_distance_from_a_border_is_the_least_to_a_side_or_corner() -> Result<(), PolygonFault> {
        // Its lower side lies on the edge of the net, which is a great circle.
        let low = polygon(&[(0.0, 0.0), (40.0, 0.0), (20.0, 30.0)])?;
        let distance = |trend, plunge| low.distance_deg(&pole(trend, plunge).to_vector());
        assert_eq!(distance(20.0, 10.0), 0.0);
        assert!((distance(200.0, 7.0) - 7.0).abs() < 1e-9, "{}", distance(200.0, 7.0));
        assert!((distance(50.0, 0.0) - 10.0).abs() < 1e-9, "{}", distance(50.0, 0.0));
        assert!((distance(20.0, 45.0) - 15.0).abs() < 1e-9, "{}", distance(20.0, 45.0));
        Ok(())
    }
}
