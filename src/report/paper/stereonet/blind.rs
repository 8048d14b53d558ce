//! The zone that a survey could hardly see.

use crate::orientation::Vec3;

use super::curves::{lower_parts, small_circle};
use super::{BlindZone, Sight};

impl Sight {
    /// The sine of the angle between what was looked along, or at, and the joint with this pole.
    fn exposure(self, pole: &Vec3) -> f64 {
        match self {
            Self::Along(line) => pole.dot(&line.to_vector()).abs(),
            Self::Square(line) => pole.cross(&line.to_vector()).norm(),
        }
    }

    /// Where that angle is `half_width_deg`.
    fn edge(self, half_width_deg: f64) -> Vec<Vec3> {
        match self {
            // The other edge is this circle's opposite, which the lower hemisphere shows as well.
            Self::Along(line) => small_circle(&line.to_vector(), 90.0 - half_width_deg),
            Self::Square(line) => small_circle(&line.to_vector(), half_width_deg),
        }
    }
}

impl BlindZone {
    /// Whether a pole lies in the zone.
    pub(super) fn holds(&self, pole: &Vec3) -> bool {
        let limit = self.half_width_deg.to_radians().sin();
        !self.sights.is_empty() && self.sights.iter().all(|sight| sight.exposure(pole) < limit)
    }

    /// The edges of the zone on the lower hemisphere.
    pub(super) fn edges(&self) -> Vec<Vec<Vec3>> {
        let limit = self.half_width_deg.to_radians().sin();
        let mut edges = Vec::new();
        for (at, sight) in self.sights.iter().enumerate() {
            let hidden_from_others = |pole: &Vec3| {
                self.sights.iter().enumerate().all(|(other, s)| other == at || s.exposure(pole) <= limit)
            };
            for part in lower_parts(&sight.edge(self.half_width_deg)) {
                edges.extend(
                    part.split(|pole| !hidden_from_others(pole))
                        .filter(|piece| piece.len() > 1)
                        .map(<[Vec3]>::to_vec),
                );
            }
        }
        edges
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::{Line, Plane};

    fn zone(sights: Vec<Sight>) -> BlindZone {
        BlindZone { sights, half_width_deg: 11.0, label: String::new() }
    }

    fn pole(dip_deg: f64, dip_direction_deg: f64) -> Vec3 {
        Plane { dip_deg, dip_direction_deg }.upward_normal().into_inner()
    }

    #[test]
    fn a_line_misses_joints_along_it_and_a_window_those_parallel_to_it() {
        let east = Line { trend_deg: 90.0, plunge_deg: 0.0 };
        let line = zone(vec![Sight::Along(east)]);
        assert!(line.holds(&pole(90.0, 0.0)) && line.holds(&pole(0.0, 0.0)));
        assert!(!line.holds(&pole(90.0, 90.0)));
        let window = zone(vec![Sight::Square(east)]);
        assert!(window.holds(&pole(85.0, 90.0)));
        assert!(!window.holds(&pole(90.0, 0.0)) && !window.holds(&pole(0.0, 0.0)));
    }

    #[test]
    fn two_lines_leave_only_what_both_miss_and_its_edge_closes_round_it() {
        let both = zone(vec![
            Sight::Along(Line { trend_deg: 90.0, plunge_deg: 0.0 }),
            Sight::Along(Line { trend_deg: 0.0, plunge_deg: 0.0 }),
        ]);
        assert!(both.holds(&pole(0.0, 0.0)) && !both.holds(&pole(90.0, 0.0)));
        let edges = both.edges();
        assert!(edges.len() >= 4);
        for point in edges.iter().flatten() {
            assert!(point.z <= 0.0 && point.z.abs() > 0.9, "{point:?}");
        }
        assert!(!zone(Vec::new()).holds(&pole(0.0, 0.0)));
    }
}
