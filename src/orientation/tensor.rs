use nalgebra::{Matrix3, SymmetricEigen, Unit};

use super::Vec3;

/// The orientation tensor of a set of axes: the mean of n·nᵀ. It is the same for n and −n, so
/// it needs no choice of sense.
///
/// Source: Scheidegger (1965); Woodcock (1977), *Geol. Soc. Am. Bull.* 88, 1231-1236, for the
/// shape measures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OrientationTensor {
    /// Normalised eigenvalues S₁ ≥ S₂ ≥ S₃, which sum to 1.
    pub eigenvalues: [f64; 3],
    /// The axes that belong to them: the first is the principal axis (the mean axis of a
    /// cluster), the third the axis of a girdle. Each points down or is level.
    pub axes: [Unit<Vec3>; 3],
}

impl OrientationTensor {
    /// The tensor of weighted axes, or `None` when the weights sum to nothing. Axes need not
    /// be of unit length: their length does not count.
    ///
    /// The sum runs in the order given: give a canonical order where bits matter.
    #[must_use]
    pub fn of_weighted(axes: impl IntoIterator<Item = (Vec3, f64)>) -> Option<Self> {
        let mut sum = Matrix3::zeros();
        let mut weights = 0.0;
        for (axis, weight) in axes {
            let square = axis.norm_squared();
            if square > 0.0 && weight > 0.0 {
                sum += axis * axis.transpose() * (weight / square);
                weights += weight;
            }
        }
        if weights > 0.0 { Some(Self::of_matrix(sum / weights)) } else { None }
    }

    fn of_matrix(tensor: Matrix3<f64>) -> Self {
        let eigen = SymmetricEigen::new(tensor);
        let mut order = [0, 1, 2];
        order.sort_by(|&a, &b| eigen.eigenvalues[b].total_cmp(&eigen.eigenvalues[a]));
        let axis = |column: usize| {
            let vector: Vec3 = eigen.eigenvectors.column(column).into_owned();
            Unit::new_normalize(if vector.z > 0.0 { -vector } else { vector })
        };
        Self { eigenvalues: order.map(|column| eigen.eigenvalues[column].max(0.0)), axes: order.map(axis) }
    }

    /// Woodcock's shape K = ln(S₁/S₂)/ln(S₂/S₃): above 1 a cluster, below 1 a girdle. `None`
    /// where S₃ is zero or S₂ = S₃, which say nothing about the ratio.
    #[must_use]
    pub fn shape(&self) -> Option<f64> {
        let [s1, s2, s3] = self.eigenvalues;
        let shape = (s1 / s2).ln() / (s2 / s3).ln();
        shape.is_finite().then_some(shape)
    }

    /// Woodcock's strength C = ln(S₁/S₃): 0 for no preferred orientation. `None` where S₃ is
    /// zero.
    #[must_use]
    pub fn strength(&self) -> Option<f64> {
        let strength = (self.eigenvalues[0] / self.eigenvalues[2]).ln();
        strength.is_finite().then_some(strength)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_axis_and_its_opposite_count_the_same() {
        let axes = [Vec3::new(0.1, 0.2, 0.9), Vec3::new(-0.2, 0.1, 0.8), Vec3::new(0.0, -0.1, 1.0)];
        let straight = OrientationTensor::of_weighted(axes.map(|a| (a, 1.0))).unwrap();
        let turned =
            OrientationTensor::of_weighted([(axes[0], 1.0), (-axes[1] * 3.0, 1.0), (-axes[2], 1.0)]).unwrap();
        for i in 0..3 {
            assert!((straight.eigenvalues[i] - turned.eigenvalues[i]).abs() < 1e-14);
        }
        assert!((straight.eigenvalues.iter().sum::<f64>() - 1.0).abs() < 1e-14);
        assert!(straight.axes[0].dot(&turned.axes[0]).abs() > 1.0 - 1e-14);
    }

    #[test]
    fn shape_tells_a_cluster_from_a_girdle() {
        let cluster = OrientationTensor::of_weighted([
            (Vec3::new(0.1, 0.0, 1.0), 1.0),
            (Vec3::new(-0.1, 0.0, 1.0), 1.0),
            (Vec3::new(0.0, 0.11, 1.0), 1.0),
            (Vec3::new(0.0, -0.11, 1.0), 1.0),
        ])
        .unwrap();
        assert!(cluster.shape().unwrap() > 1.0);
        let girdle = OrientationTensor::of_weighted([
            (Vec3::new(1.0, 0.0, 0.05), 1.0),
            (Vec3::new(0.0, 1.0, -0.05), 1.0),
            (Vec3::new(0.7, 0.8, 0.05), 1.0),
        ])
        .unwrap();
        assert!(girdle.shape().unwrap() < 1.0);
        assert!(OrientationTensor::of_weighted([]).is_none());
    }
}
