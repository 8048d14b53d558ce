//! How many joints a line meets, and what follows from it.

use nalgebra::Unit;

use crate::orientation::Vec3;

/// Joints per metre that a line meets: Σ λᵢ·|cos δᵢ|, δ between the line and the set's normal,
/// λ the set's frequency square to its joints.
///
/// Source: Terzaghi (1965), *Géotechnique* 15, 287-304; Brady & Brown (2004), eqs 3.7-3.8, p. 62.
#[must_use]
pub fn frequency_along_per_m(sets: &[(Unit<Vec3>, f64)], line: &Unit<Vec3>) -> f64 {
    sets.iter().map(|(normal, per_m)| per_m * normal.dot(line).abs()).sum()
}

/// RQD in percent expected for joints at random along a line with `per_m` joints a metre:
/// 100·e^(−0.1λ)·(0.1λ + 1). An estimate, not a measured RQD.
///
/// Source: Priest & Hudson (1976), *Int. J. Rock Mech. Min. Sci.* 13, 135-148.
#[must_use]
pub fn rqd_percent(per_m: f64) -> f64 {
    let in_10_cm = 0.1 * per_m;
    100.0 * (-in_10_cm).exp() * (in_10_cm + 1.0)
}

/// Joints per cubic metre, Σ 1/Sᵢ from mean spacings square to the joints.
///
/// Source: Palmström (2005), *Tunn. Undergr. Space Technol.* 20, 362-377, formula from memory.
#[must_use]
pub fn volumetric_joint_count_per_m3(spacings_m: &[f64]) -> f64 {
    spacings_m.iter().map(|s| 1.0 / s).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::{Line, Plane};

    /// Terzaghi (1965), formula; sets 40/100 at 2 per m, 70/210 at 3, 55/330 at 1.5 along a
    /// line 060/25 give 3.25494 per m.
    #[test]
    fn three_sets_along_a_line_after_terzaghi() {
        let sets: Vec<(Unit<Vec3>, f64)> = [(40.0, 100.0, 2.0), (70.0, 210.0, 3.0), (55.0, 330.0, 1.5)]
            .into_iter()
            .map(|(dip_deg, dip_direction_deg, per_m)| {
                let plane = Plane { dip_deg, dip_direction_deg };
                (plane.upward_normal(), per_m)
            })
            .collect();
        let line = Line { trend_deg: 60.0, plunge_deg: 25.0 };
        let found = frequency_along_per_m(&sets, &line.to_vector());
        // Half a unit of the last digit printed.
        assert!((found - 3.254_94).abs() < 5e-6, "{found}");
    }

    /// Priest & Hudson (1976), formula read.
    #[test]
    fn rqd_after_priest_and_hudson() {
        for (per_m, wanted) in [(1.0, 99.532), (5.0, 90.980), (10.0, 73.576), (20.0, 40.601), (40.0, 9.158)] {
            assert!((rqd_percent(per_m) - wanted).abs() < 5e-4, "{per_m}");
        }
        assert!((rqd_percent(0.0) - 100.0).abs() < 1e-12);
    }

    /// Palmström (2005), formula from memory: spacings 0.5, 1, 2 m give 3.5 per m³.
    #[test]
    fn volumetric_count_after_palmstrom() {
        let found = volumetric_joint_count_per_m3(&[0.5, 1.0, 2.0]);
        assert!((found - 3.5).abs() < 1e-12);
    }
}
