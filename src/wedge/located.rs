use super::sector::AXIS_TOLERANCE;
use crate::opening::Vec2;
use crate::orientation::Vec3;

/// Two planes whose lines in the section turn by less than this sine are parallel there.
const PARALLEL_SINE: f64 = 1e-9;

/// A plane with a known place: unit normal and a point on it; local (u, s, v), metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacedPlane {
    /// Unit normal, either sense.
    pub normal: Vec3,
    /// A point on it, s its chainage.
    pub through: Vec3,
}

/// Where across the section planes with known places put the apex of their wedge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Across {
    /// Anywhere: at each place they fix its chainage alone.
    Anywhere,
    /// On a line.
    OnLine {
        /// A point of it.
        through: Vec2,
        /// Its unit direction.
        along: Vec2,
    },
    /// At one point.
    At(Vec2),
}

/// Where planes with known places put the apex of their wedge: one leaves it a plane, two a line,
/// three a point. A plane that crosses the drive gives a chainage to each place of the section, one
/// that runs along the drive a line in the section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Located {
    /// Across the section.
    pub across: Across,
    /// Along the drive: the apex's chainage at the section's origin and what a metre of u and v adds;
    /// `None` where every plane runs along the drive.
    chainage: Option<(f64, Vec2)>,
}

impl Located {
    /// Where one to three planes put the apex; `None` without a plane, or where two of them are
    /// parallel, so that they have no wedge.
    #[must_use]
    pub fn of(planes: &[PlacedPlane]) -> Option<Self> {
        // s = at origin + slope · (u, v) for planes that cross the drive; normal · (u, v) = bound
        // for those that run along it.
        let mut crossing: Vec<(f64, Vec2)> = Vec::new();
        let mut lines: Vec<(Vec2, f64)> = Vec::new();
        for plane in planes {
            let m = Vec2::new(plane.normal.x, plane.normal.z);
            let point = Vec2::new(plane.through.x, plane.through.z);
            if plane.normal.y.abs() > AXIS_TOLERANCE {
                let slope = -m / plane.normal.y;
                crossing.push((plane.through.y - slope.dot(&point), slope));
            } else {
                let unit = m.try_normalize(f64::MIN_POSITIVE)?;
                lines.push((unit, unit.dot(&point)));
            }
        }
        let chainage = crossing.first().copied();
        // Two crossing planes meet where they give the same chainage.
        for other in crossing.iter().skip(1) {
            let (at_origin, slope) = crossing[0];
            let apart = slope - other.1;
            let size = apart.norm();
            if size <= PARALLEL_SINE * (1.0 + slope.norm()) {
                return None;
            }
            lines.push((apart / size, (other.0 - at_origin) / size));
        }
        let across = match lines.as_slice() {
            [] if crossing.is_empty() => return None,
            [] => Across::Anywhere,
            [(normal, bound)] => {
                Across::OnLine { through: normal * *bound, along: Vec2::new(-normal.y, normal.x) }
            }
            [(a, at_a), (b, at_b), ..] => {
                let sine = a.x * b.y - a.y * b.x;
                if sine.abs() <= PARALLEL_SINE {
                    return None;
                }
                Across::At(Vec2::new((at_a * b.y - at_b * a.y) / sine, (a.x * at_b - b.x * at_a) / sine))
            }
        };
        Some(Self { across, chainage })
    }

    /// Whether it gives each place of the section a chainage: some plane crosses the drive.
    #[must_use]
    pub fn has_chainage(&self) -> bool {
        self.chainage.is_some()
    }

    /// Chainage of an apex at a place of the section, metres; `None` where it may be any.
    #[must_use]
    pub fn chainage_m(&self, apex: &Vec2) -> Option<f64> {
        self.chainage.map(|(at_origin, slope)| at_origin + slope.dot(apex))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on(plane: &PlacedPlane, at: Vec3) -> f64 {
        plane.normal.dot(&(at - plane.through)).abs()
    }

    #[test]
    fn the_apex_lies_on_every_plane() {
        let through = Vec3::new(0.4, 63.0, 5.1);
        let planes = [Vec3::new(0.3, 0.8, 0.5), Vec3::new(-0.6, 0.2, 0.7), Vec3::new(0.5, -0.4, 0.6)]
            .map(|n| PlacedPlane { normal: n.normalize(), through });
        let one = Located::of(&planes[..1]).unwrap();
        assert_eq!(one.across, Across::Anywhere);
        let place = Vec2::new(-1.3, 6.0);
        let apex = Vec3::new(place.x, one.chainage_m(&place).unwrap(), place.y);
        assert!(on(&planes[0], apex) < 1e-12);
        let Across::OnLine { through: from, along } = Located::of(&planes[..2]).unwrap().across else {
            panic!("a line")
        };
        let two = Located::of(&planes[..2]).unwrap();
        for t in [-2.0, 0.0, 3.0] {
            let place = from + along * t;
            let apex = Vec3::new(place.x, two.chainage_m(&place).unwrap(), place.y);
            assert!(on(&planes[0], apex) < 1e-11 && on(&planes[1], apex) < 1e-11);
        }
        let three = Located::of(&planes).unwrap();
        let Across::At(at) = three.across else { panic!("a point") };
        assert!((at - Vec2::new(0.4, 5.1)).norm() < 1e-10);
        assert!((three.chainage_m(&at).unwrap() - 63.0).abs() < 1e-10);
    }

    #[test]
    fn a_plane_along_the_drive_leaves_a_line_and_any_chainage() {
        let plane = PlacedPlane { normal: Vec3::new(0.6, 0.0, 0.8), through: Vec3::new(1.0, 40.0, 4.0) };
        let located = Located::of(&[plane]).unwrap();
        let Across::OnLine { through, along } = located.across else { panic!("a line") };
        assert!(on(&plane, Vec3::new(through.x + along.x, 7.0, through.y + along.y)) < 1e-12);
        assert!(located.chainage_m(&through).is_none());
        assert!(Located::of(&[plane, plane]).is_none());
        assert!(Located::of(&[]).is_none());
    }
}
