use nalgebra::Unit;

use super::Vec3;

/// Statistics of directions scattered round a mean after Fisher (1953), *Proc. R. Soc. Lond.*
/// A 217, 295-305.
///
/// # Units
/// `cone_95_deg` in degrees; the rest is dimensionless.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FisherStatistics {
    /// Number of directions N, or the sum of what stands for it when they are weighted.
    pub count: f64,
    /// Mean direction, the resultant made a unit vector.
    pub mean: Unit<Vec3>,
    /// Length R of the resultant of N unit vectors, scaled to `count` when they are weighted.
    pub resultant: f64,
    /// K = (N − 1)/(N − R). `None` for fewer than two directions, infinite where all agree.
    pub k: Option<f64>,
    /// Half-angle in degrees of the cone that holds the true mean with 95 % confidence,
    /// cos⁻¹[1 − (N − R)/R · (20^(1/(N−1)) − 1)]. `None` for fewer than two directions; 180
    /// where the directions say nothing about a mean.
    pub cone_95_deg: Option<f64>,
}

/// One over the chance left outside the cone of confidence: 95 %.
const ONE_IN: f64 = 20.0;

impl FisherStatistics {
    /// Statistics of directions that have a sense, unweighted. `None` when there are none or
    /// their resultant vanishes.
    #[must_use]
    pub fn of_directions(directions: &[Vec3]) -> Option<Self> {
        let sum: Vec3 = directions.iter().filter_map(|d| d.try_normalize(0.0)).sum();
        #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
        let count = directions.len() as f64;
        Self::from_sum(sum, count, count)
    }

    /// Statistics of axes, each turned to the side of `toward` first, with weights that are
    /// rescaled so that they sum to `count`: a weighted set of N readings is still worth N
    /// readings. `None` when there is nothing, or their resultant vanishes.
    #[must_use]
    pub fn of_axes(axes: impl IntoIterator<Item = (Vec3, f64)>, toward: &Vec3, count: f64) -> Option<Self> {
        let mut sum = Vec3::zeros();
        let mut weights = 0.0;
        for (axis, weight) in axes {
            if let Some(unit) = axis.try_normalize(0.0) {
                sum += unit * weight.copysign(unit.dot(toward));
                weights += weight;
            }
        }
        Self::from_sum(sum, weights, count)
    }

    fn from_sum(sum: Vec3, weights: f64, count: f64) -> Option<Self> {
        let mean = Unit::try_new(sum, 0.0)?;
        if weights <= 0.0 || count <= 0.0 {
            return None;
        }
        // Rounding may lift the resultant of equal directions above their number.
        let resultant = (sum.norm() / weights).min(1.0) * count;
        let (k, cone_95_deg) = if count > 1.0 {
            (Some((count - 1.0) / (count - resultant)), Some(cone_95_deg(count, resultant)))
        } else {
            (None, None)
        };
        Some(Self { count, mean, resultant, k, cone_95_deg })
    }
}

/// The half-angle of the 95 % cone in degrees; 1 − cos is used throughout, so that small cones
/// keep their digits.
fn cone_95_deg(count: f64, resultant: f64) -> f64 {
    let versine = (count - resultant) / resultant * (ONE_IN.powf(1.0 / (count - 1.0)) - 1.0);
    if versine >= 2.0 { 180.0 } else { (2.0 * (versine / 2.0).sqrt().asin()).to_degrees() }
}

/// A direction of the Fisher distribution round `mean` with concentration `k` from two uniform
/// numbers in 0 ≤ u < 1. Pure, so that a caller owns the seed.
///
/// Source: Wood (1994), *Commun. Stat. Simul. Comput.* 23, 157-164, for the sphere: cos θ =
/// 1 + ln(u + (1 − u)·e^(−2K))/K.
#[must_use]
pub fn fisher_direction(mean: &Unit<Vec3>, k: f64, uniform: [f64; 2]) -> Unit<Vec3> {
    let [first, second] = uniform;
    // 1 − u is in (0, 1], so that the logarithm is finite.
    let u = 1.0 - first;
    let down = if k > 0.0 { -(u + (1.0 - u) * (-2.0 * k).exp()).ln() / k } else { 2.0 * first };
    let cos = 1.0 - down;
    let sin = (down * (2.0 - down)).max(0.0).sqrt();
    let [a, b] = across(mean);
    let (sin_turn, cos_turn) = (second * std::f64::consts::TAU).sin_cos();
    Unit::new_normalize(mean.into_inner() * cos + (a * cos_turn + b * sin_turn) * sin)
}

/// Two unit vectors that complete `axis` to a right-handed frame.
#[must_use]
pub fn across(axis: &Unit<Vec3>) -> [Vec3; 2] {
    // The axis that lies furthest from it gives the best-conditioned cross product.
    let helper = if axis.z.abs() < 0.7 { Vec3::z() } else { Vec3::x() };
    let a = axis.cross(&helper).normalize();
    [a, axis.cross(&a)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::{Line, Plane};

    fn lines(list: &[(f64, f64)]) -> Vec<Vec3> {
        list.iter()
            .map(|&(trend_deg, plunge_deg)| Line { trend_deg, plunge_deg }.to_vector().into_inner())
            .collect()
    }

    /// Fisher (1953), formula; four lines worked for this test, numbers derived with an
    /// independent script: R 3.9916089, K 357.52163, cone 4.86589°, mean 147.87248/−42.52873.
    #[test]
    fn four_lines_after_fisher_1953() {
        let stats = FisherStatistics::of_directions(&lines(&[
            (150.0, -45.0),
            (151.0, -46.0),
            (145.0, -38.0),
            (146.0, -41.0),
        ]))
        .unwrap();
        // Half a unit of the last digit printed.
        assert!((stats.resultant - 3.991_608_9).abs() < 5e-8);
        assert!((stats.k.unwrap() - 357.521_63).abs() < 5e-6);
        assert!((stats.cone_95_deg.unwrap() - 4.865_89).abs() < 5e-6);
        let mean = Line::from_vector(&stats.mean);
        assert!((mean.trend_deg - 147.872_48).abs() < 5e-6);
        assert!((mean.plunge_deg + 42.528_73).abs() < 5e-6);
    }

    /// Harrison & Hudson (2000), Q7.10, p. 423: a borehole of trend 136, plunge 55 and six
    /// planes, inputs as read; the answers are derived (mean 224.57/44.34, R 5.7544, K 20.36;
    /// weighted by 1/cos δ, 220.26/48.39).
    #[test]
    fn six_planes_on_a_borehole_after_harrison_and_hudson() {
        let planes = [
            (201.0, 39.0, 2.066),
            (213.0, 50.0, 2.338),
            (215.0, 63.0, 3.645),
            (230.0, 52.0, 1.866),
            (247.0, 42.0, 1.340),
            (253.0, 28.0, 1.183),
        ];
        let hole = Line { trend_deg: 136.0, plunge_deg: 55.0 }.to_vector();
        let normals: Vec<Vec3> = planes
            .iter()
            .map(|&(dip_direction_deg, dip_deg, _)| {
                Plane { dip_deg, dip_direction_deg }.upward_normal().into_inner()
            })
            .collect();
        let stats = FisherStatistics::of_directions(&normals).unwrap();
        let mean = Plane::from_normal(&stats.mean);
        assert!((mean.dip_direction_deg - 224.57).abs() < 0.005);
        assert!((mean.dip_deg - 44.34).abs() < 0.005);
        assert!((stats.resultant - 5.7544).abs() < 5e-5);
        assert!((stats.k.unwrap() - 20.36).abs() < 0.005);

        let weighted: Vec<(Vec3, f64)> = normals.iter().map(|n| (*n, 1.0 / n.dot(&hole).abs())).collect();
        for ((_, weight), (_, _, printed)) in weighted.iter().zip(planes) {
            assert!((weight - printed).abs() < 5e-4, "{weight} {printed}");
        }
        let stats = FisherStatistics::of_axes(weighted, &Vec3::z(), 6.0).unwrap();
        let mean = Plane::from_normal(&stats.mean);
        assert!((mean.dip_direction_deg - 220.26).abs() < 0.005);
        assert!((mean.dip_deg - 48.39).abs() < 0.005);
    }

    #[test]
    fn one_direction_has_a_mean_but_no_scatter() {
        let stats = FisherStatistics::of_directions(&lines(&[(10.0, 20.0)])).unwrap();
        assert_eq!((stats.k, stats.cone_95_deg), (None, None));
        assert!(FisherStatistics::of_directions(&[]).is_none());
        assert!(FisherStatistics::of_directions(&[Vec3::x(), -Vec3::x()]).is_none());
    }

    /// Mean of cos θ is coth K − 1/K: for K = 20, 0.95. On a grid of 400 × 50 uniform numbers
    /// the midpoint rule is good to 1e-3.
    #[test]
    fn sampled_directions_have_the_asked_concentration() {
        let mean = Unit::new_normalize(Vec3::new(0.3, -0.5, 0.4));
        let mut sum = Vec3::zeros();
        for i in 0..400 {
            for j in 0..50 {
                let uniform = [(f64::from(i) + 0.5) / 400.0, (f64::from(j) + 0.5) / 50.0];
                sum += fisher_direction(&mean, 20.0, uniform).into_inner();
            }
        }
        let average = sum / 20_000.0;
        assert!((average.norm() - 0.95).abs() < 1e-3);
        assert!(average.normalize().dot(&mean) > 1.0 - 1e-12);
    }
}
