use thiserror::Error;

use super::scan::ScannedSection;
use super::{Section, Vec2};

/// Arcs become chords that leave the arc by at most this: a millimetre is less than any survey
/// of a blasted profile can see.
pub const ARC_SAGITTA_M: f64 = 1e-3;

/// The shapes of section that a case can name.
#[derive(Debug, Clone, PartialEq)]
pub enum SectionShape {
    /// Flat back, upright walls.
    Flat {
        /// Wall to wall, metres.
        width_m: f64,
        /// Floor to back, metres.
        height_m: f64,
    },
    /// Upright walls under a circular arc through both springlines.
    Arched {
        /// Wall to wall, metres.
        width_m: f64,
        /// Floor to springline, metres.
        wall_height_m: f64,
        /// Springline to crown, metres; at most half the width.
        rise_m: f64,
    },
    /// A full circle.
    Circular {
        /// Diameter, metres.
        diameter_m: f64,
    },
    /// A measured outline, u and v in metres, in either sense of turning. Its origin is moved to
    /// the middle of its floor.
    Outline {
        /// The vertices.
        points: Vec<Vec2>,
    },
    /// A cut through a scanned heading. Its origin stays on the drive's axis, so that heights in a
    /// case count from the designed floor.
    Scan(Box<ScannedSection>),
}

/// Why a shape is no section.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum SectionError {
    /// A length that must be above zero is not.
    #[error("{key} is {found}; a length above 0 is needed")]
    NotPositive {
        /// Which length.
        key: &'static str,
        /// Its value.
        found: f64,
    },
    /// The arc would bulge beyond the walls.
    #[error(
        "rise_m is {rise_m}, more than half of width_m ({half_width_m}); the arc would bulge out over the walls and the section would not be convex"
    )]
    RiseTooHigh {
        /// The rise asked for.
        rise_m: f64,
        /// The largest rise that the width allows.
        half_width_m: f64,
    },
    /// An outline needs three different points.
    #[error("the outline has {found} different points; at least 3 are needed")]
    TooFewPoints {
        /// How many there are.
        found: usize,
    },
    /// A coordinate is NaN or infinite.
    #[error("point {} of the outline is not a finite number", index + 1)]
    NotFinite {
        /// Index from 0.
        index: usize,
    },
    /// Two edges cross.
    #[error("the outline crosses itself: its edges {} and {} meet", first + 1, second + 1)]
    CrossesItself {
        /// Index of the first edge, from 0.
        first: usize,
        /// Index of the second edge, from 0.
        second: usize,
    },
    /// It turns inward somewhere.
    #[error("the outline is not convex: it turns inward at u {u_m}, v {v_m}; draw a convex outline round it")]
    NotConvex {
        /// u of the point.
        u_m: f64,
        /// v of the point.
        v_m: f64,
    },
    /// All points lie on a line.
    #[error("the outline encloses no area")]
    NoArea,
}

impl SectionShape {
    /// The convex section of this shape, origin at the middle of its floor.
    ///
    /// # Errors
    /// [`SectionError`] where lengths or points make no convex section.
    pub fn section(&self) -> Result<Section, SectionError> {
        match self {
            Self::Flat { width_m, height_m } => {
                let half = 0.5 * positive("width_m", *width_m)?;
                let height = positive("height_m", *height_m)?;
                Section::from_vertices(&[
                    Vec2::new(-half, 0.0),
                    Vec2::new(half, 0.0),
                    Vec2::new(half, height),
                    Vec2::new(-half, height),
                ])
            }
            Self::Arched { width_m, wall_height_m, rise_m } => arched(*width_m, *wall_height_m, *rise_m),
            Self::Circular { diameter_m } => {
                let radius = 0.5 * positive("diameter_m", *diameter_m)?;
                let chords = chord_count(radius, std::f64::consts::TAU);
                let points: Vec<Vec2> = (0..chords)
                    .map(|i| {
                        let turn = std::f64::consts::TAU * f64::from(i) / f64::from(chords);
                        // From the crown, counter-clockwise.
                        Vec2::new(-radius * turn.sin(), radius + radius * turn.cos())
                    })
                    .collect();
                Section::from_vertices(&points)
            }
            Self::Outline { points } => {
                let section = Section::from_vertices(points)?;
                let origin = middle_of_floor(&section);
                let moved: Vec<Vec2> = section.vertices().iter().map(|p| p - origin).collect();
                Section::from_vertices(&moved)
            }
            Self::Scan(scan) => Section::from_vertices(&scan.outline),
        }
    }
}

impl SectionShape {
    /// Where the middle of the floor, which is the section's origin, lies in the coordinates that an outline was
    /// given in, metres; `None` for every other shape, and where the outline is no section.
    #[must_use]
    pub fn moved_origin(&self) -> Option<Vec2> {
        match self {
            Self::Outline { points } => Section::from_vertices(points).ok().map(|s| middle_of_floor(&s)),
            _ => None,
        }
    }
}

fn positive(key: &'static str, value: f64) -> Result<f64, SectionError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(SectionError::NotPositive { key, found: value })
    }
}

fn arched(width_m: f64, wall_height_m: f64, rise_m: f64) -> Result<Section, SectionError> {
    let half = 0.5 * positive("width_m", width_m)?;
    let wall = positive("wall_height_m", wall_height_m)?;
    let rise = positive("rise_m", rise_m)?;
    if rise > half {
        return Err(SectionError::RiseTooHigh { rise_m, half_width_m: half });
    }
    let radius = (half * half + rise * rise) / (2.0 * rise);
    let centre_v = wall + rise - radius;
    let half_angle = half.atan2(radius - rise);
    let chords = chord_count(radius, 2.0 * half_angle);
    let mut points = vec![Vec2::new(-half, 0.0), Vec2::new(half, 0.0), Vec2::new(half, wall)];
    // From the right springline over the crown to the left one. The half angle from the crown is
    // mirrored exactly, so that a symmetric drive stays symmetric to the last bit.
    for i in 1..chords {
        let turn = half_angle * (1.0 - 2.0 * f64::from(i) / f64::from(chords));
        points.push(Vec2::new(radius * turn.sin(), centre_v + radius * turn.cos()));
    }
    points.push(Vec2::new(-half, wall));
    Section::from_vertices(&points)
}

/// The least even number of equal chords whose sagitta is at most [`ARC_SAGITTA_M`].
fn chord_count(radius: f64, angle: f64) -> u32 {
    let sagitta = |chords: u32| radius * (1.0 - (0.5 * angle / f64::from(chords)).cos());
    // A first guess from the small-angle formula, then exact.
    let guess = 0.5 * angle / (2.0 * ARC_SAGITTA_M / radius).sqrt();
    let mut chords = ((guess / 2.0).floor() as u32).saturating_mul(2).max(2);
    while chords > 2 && sagitta(chords - 2) <= ARC_SAGITTA_M {
        chords -= 2;
    }
    while sagitta(chords) > ARC_SAGITTA_M {
        chords += 2;
    }
    // A polygon needs at least four chords to be a circle's section.
    if angle > 6.0 { chords.max(4) } else { chords }
}

/// Middle of the u range of the facets that point down (more than 30° below level in section),
/// at the section's lowest v.
fn middle_of_floor(section: &Section) -> Vec2 {
    let (low, high) = section.bounds();
    let (mut left, mut right) = (f64::INFINITY, f64::NEG_INFINITY);
    for facet in section.facets().iter().filter(|f| f.normal.y < -0.5) {
        let end = facet.start + facet.tangent * facet.length_m;
        left = left.min(facet.start.x).min(end.x);
        right = right.max(facet.start.x).max(end.x);
    }
    if left > right {
        (left, right) = (low.x, high.x);
    }
    Vec2::new(0.5 * (left + right), low.y)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arched_drive_of_five_metres_has_44_chords() {
        // Worked by hand: R 2.753 m, 130.5°, sagitta 0.92 mm at 44 chords, 1.01 mm at 42.
        let section =
            SectionShape::Arched { width_m: 5.0, wall_height_m: 3.2, rise_m: 1.6 }.section().unwrap();
        assert_eq!(section.facets().len(), 3 + 44);
        let crown = section.at(section.crown_m(), 0.0);
        assert!((crown.point - Vec2::new(0.0, 4.8)).norm() < 1e-12);
        assert!((crown.normal - Vec2::y()).norm() < 1e-12);
        assert!(section.facets().iter().any(|f| (f.start - Vec2::new(0.0, 4.8)).norm() < 1e-12));
    }

    #[test]
    fn a_circle_stands_on_the_middle_of_its_floor() {
        let section = SectionShape::Circular { diameter_m: 4.0 }.section().unwrap();
        let (low, high) = section.bounds();
        assert!(low.y.abs() < 1e-12 && (high.y - 4.0).abs() < 1e-12);
        assert_eq!(section.facets().len() % 2, 0);
        let crown = section.at(section.crown_m(), 0.0);
        assert!((crown.point - Vec2::new(0.0, 4.0)).norm() < 1e-12);
    }

    #[test]
    fn an_outline_moves_to_the_middle_of_its_floor() {
        let points = [(100.0, 50.0), (104.0, 50.0), (104.5, 53.0), (100.0, 54.0)];
        let points = points.iter().map(|&(u, v)| Vec2::new(u, v)).collect();
        let section = SectionShape::Outline { points }.section().unwrap();
        assert!(section.vertices().iter().any(|p| (p - Vec2::new(-2.0, 0.0)).norm() < 1e-12));
        assert!(section.vertices().iter().any(|p| (p - Vec2::new(2.0, 0.0)).norm() < 1e-12));
    }

    #[test]
    fn a_rise_above_half_the_width_is_refused() {
        let shape = SectionShape::Arched { width_m: 4.0, wall_height_m: 2.0, rise_m: 2.1 };
        assert!(matches!(shape.section(), Err(SectionError::RiseTooHigh { .. })));
        let shape = SectionShape::Flat { width_m: -1.0, height_m: f64::INFINITY };
        assert!(matches!(shape.section(), Err(SectionError::NotPositive { key: "width_m", .. })));
    }
}
