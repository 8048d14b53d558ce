use crate::opening::{Vec2, cross2};

/// A drill boom where a ring is drilled from: which directions its feed can take at a collar.
///
/// In the plane of the ring the boom points from its pivot to the collar, and the feed at its end
/// tilts off that line by at most [`Boom::tilt_deg`]. Each hole takes the direction within that reach
/// that is nearest to the normal of the surface. Not looked at: the feed's own length against the
/// other wall, and leaning along the drive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boom {
    /// The pivot in the section (u, v), metres.
    pub pivot: Vec2,
    /// The most that the feed tilts off the line from the pivot to the collar, degrees.
    pub tilt_deg: f64,
    /// The most that a hole may lie off the normal of the surface, degrees: beyond it the bit skids,
    /// or the plate does not seat.
    pub off_normal_deg: f64,
    /// The farthest collar from the pivot, metres; `None` where nothing limits it.
    pub reach_m: Option<f64>,
}

/// Why a boom cannot drill at a collar: one of the two is beyond its limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutOfReach {
    /// How far off the normal the nearest hole would lie that the feed can take, degrees.
    pub off_normal_deg: f64,
    /// From the pivot to the collar, metres.
    pub distance_m: f64,
}

/// Room for rounding where a hole lies exactly at a limit: degrees, and metres.
const LIMIT_TOLERANCE: f64 = 1e-9;

impl Boom {
    /// The direction (unit, u and v) of the hole at a collar whose surface has this outward unit
    /// normal.
    ///
    /// # Errors
    /// [`OutOfReach`] where no hole within the limits can be drilled there.
    pub fn direction(&self, collar: Vec2, normal: Vec2) -> Result<Vec2, OutOfReach> {
        let away = collar - self.pivot;
        let distance_m = away.norm();
        // Angle from the normal to the boom, counter-clockwise.
        let to_boom = cross2(&normal, &away).atan2(normal.dot(&away));
        let off = (to_boom.abs() - self.tilt_deg.to_radians()).max(0.0).copysign(to_boom);
        let off_normal_deg = off.abs().to_degrees();
        let near = self.reach_m.is_none_or(|reach_m| distance_m <= reach_m + LIMIT_TOLERANCE);
        let upright = off_normal_deg <= self.off_normal_deg + LIMIT_TOLERANCE;
        if distance_m == 0.0 || !near || !upright {
            return Err(OutOfReach { off_normal_deg, distance_m });
        }
        let (sin, cos) = off.sin_cos();
        Ok(Vec2::new(cos * normal.x - sin * normal.y, sin * normal.x + cos * normal.y))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn boom() -> Boom {
        Boom { pivot: Vec2::new(0.0, 2.0), tilt_deg: 20.0, off_normal_deg: 45.0, reach_m: Some(4.0) }
    }

    #[test]
    fn a_hole_within_the_tilt_is_square_and_beyond_it_as_near_as_the_feed_gets() {
        let up = Vec2::new(0.0, 1.0);
        // Right above, and 20° aside: 3·tan 20° = 1.092 m.
        for u in [0.0, 1.0, -1.09] {
            let hole = boom().direction(Vec2::new(u, 5.0), up).unwrap();
            assert!((hole - up).norm() < 1e-15, "{u} {hole:?}");
        }
        // By hand: a collar 2 m to the right and 3 m up lies at atan(2/3) = 33.690°, so the hole leans
        // 13.690° to the right; the mirror image to the left.
        for side in [1.0, -1.0] {
            let hole = boom().direction(Vec2::new(2.0 * side, 5.0), up).unwrap();
            let lean = hole.x.atan2(hole.y).to_degrees();
            assert!((lean - side * ((2.0f64 / 3.0).atan().to_degrees() - 20.0)).abs() < 1e-12, "{lean}");
            assert!((hole.norm() - 1.0).abs() < 1e-15);
        }
    }

    #[test]
    fn what_is_too_far_or_too_flat_is_beyond_the_boom() {
        let up = Vec2::new(0.0, 1.0);
        // 3.5 m aside and 3 m up: 4.61 m away.
        let far = boom().direction(Vec2::new(3.5, 5.0), up).unwrap_err();
        assert!((far.distance_m - 21.25f64.sqrt()).abs() < 1e-12);
        // The pivot 0.2 m under the back, 2 m aside: 84.29° less 20° is more than 45°.
        let low = Boom { pivot: Vec2::new(0.0, 4.8), ..boom() };
        let flat = low.direction(Vec2::new(2.0, 5.0), up).unwrap_err();
        assert!((flat.off_normal_deg - (10.0f64.atan().to_degrees() - 20.0)).abs() < 1e-9);
        // On the pivot itself nothing can be drilled, and from outside the surface neither.
        assert!(boom().direction(Vec2::new(0.0, 2.0), up).is_err());
        let outside = Boom { pivot: Vec2::new(0.0, 7.0), ..boom() };
        assert!(outside.direction(Vec2::new(0.0, 5.0), up).is_err());
    }
}
