use super::{Line, Plane, wrap_azimuth_deg};

impl Plane {
    /// The pole of the plane: the line across it, pointing down. Its trend is opposite to the
    /// dip direction and its plunge is 90° − dip.
    ///
    /// No trigonometry is involved, so a level plane's pole keeps a trend although a vertical
    /// line has none: the notations convert into each other without loss.
    #[must_use]
    pub fn pole(self) -> Line {
        Line { trend_deg: wrap_azimuth_deg(self.dip_direction_deg + 180.0), plunge_deg: 90.0 - self.dip_deg }
    }

    /// The plane whose pole is `pole`. A pole written with a negative plunge is turned down
    /// first: a pole is an axis without sense.
    #[must_use]
    pub fn from_pole(pole: Line) -> Self {
        let down = pole.downward();
        Self { dip_deg: 90.0 - down.plunge_deg, dip_direction_deg: wrap_azimuth_deg(down.trend_deg + 180.0) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pole_points_away_from_the_dip_direction() {
        let plane = Plane { dip_deg: 70.0, dip_direction_deg: 42.0 };
        let pole = plane.pole();
        assert!((pole.trend_deg - 222.0).abs() < 1e-12);
        assert!((pole.plunge_deg - 20.0).abs() < 1e-12);
        // The pole is the downward normal, by vectors too.
        let sum = pole.to_vector().into_inner() + plane.upward_normal().into_inner();
        assert!(sum.norm() < 1e-15);
    }

    #[test]
    fn an_upward_pole_is_the_same_axis() {
        let plane = Plane::from_pole(Line { trend_deg: 42.0, plunge_deg: -20.0 });
        assert!((plane.dip_deg - 70.0).abs() < 1e-12);
        assert!((plane.dip_direction_deg - 42.0).abs() < 1e-12);
    }
}
