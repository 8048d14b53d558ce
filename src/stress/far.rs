use nalgebra::Matrix3;
use thiserror::Error;

use crate::opening::DriveFrame;
use crate::orientation::{Line, Vec3, angle_between_deg};

/// Principal axes are square to each other; trends and plunges that were rounded to whole degrees are off by up to
/// about this, degrees. Those within it are turned to the nearest axes that are square.
const AXES_OFF_DEG: f64 = 2.0;

/// kPa in a MPa.
const KPA: f64 = 1000.0;

/// One principal stress.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrincipalStress {
    /// MPa, compression positive.
    pub mpa: f64,
    /// Its axis; which of its two senses does not matter.
    pub axis: Line,
}

/// A stress of which one principal axis is vertical.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VerticalStress {
    /// Vertical stress, MPa, compression positive.
    pub vertical_mpa: f64,
    /// Greater level stress over the vertical one.
    pub k_max: f64,
    /// Lesser level stress over the vertical one.
    pub k_min: f64,
    /// Azimuth of the greater level stress, degrees.
    pub k_max_trend_deg: f64,
}

/// Why numbers are no far field.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[non_exhaustive]
pub enum FarFieldError {
    /// NaN or infinite.
    #[error("a stress, a ratio or an angle is not a finite number")]
    NotFinite,
    /// σ₁ ≥ σ₂ ≥ σ₃ does not hold.
    #[error(
        "sigma{greater} is {greater_mpa} MPa and sigma{lesser} {lesser_mpa} MPa; sigma1 is the greatest, sigma3 the least, compression positive"
    )]
    OutOfOrder {
        /// Index of the one that has to be greater, 1 to 3.
        greater: usize,
        /// Its value, MPa.
        greater_mpa: f64,
        /// Index of the other one.
        lesser: usize,
        /// Its value, MPa.
        lesser_mpa: f64,
    },
    /// Two axes are not square to each other.
    #[error(
        "the axes of sigma{first} and sigma{second} are {angle_deg:.1}° apart; principal axes are square to each other (within {AXES_OFF_DEG}°)"
    )]
    NotSquare {
        /// Index of one, 1 to 3.
        first: usize,
        /// Index of the other.
        second: usize,
        /// The angle between them, degrees.
        angle_deg: f64,
    },
    /// Ratios the wrong way round.
    #[error("k_max is {k_max} and k_min {k_min}; k_max is the greater one")]
    RatiosOutOfOrder {
        /// As given.
        k_max: f64,
        /// As given.
        k_min: f64,
    },
}

/// The uniform stress before the drive was there, as a tensor in (east, north, up).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FarField {
    kpa: Matrix3<f64>,
}

impl FarField {
    /// From the principal stresses, greatest first.
    ///
    /// # Errors
    /// [`FarFieldError`] where they are not in order, or their axes not square to each other: within 2°, as whole degrees
    /// leave them, they are turned to the nearest axes that are.
    pub fn principal(sigma: &[PrincipalStress; 3]) -> Result<Self, FarFieldError> {
        if let Some(first) = Self::wrong_principal(sigma).first() {
            return Err(*first);
        }
        let axes = sigma.map(|s| s.axis.to_vector().into_inner());
        // The nearest rotation (polar decomposition), so that none of the three axes is preferred.
        let typed = Matrix3::from_columns(&axes);
        let parts = typed.svd(true, true);
        let square = match (parts.u, parts.v_t) {
            (Some(u), Some(v_t)) => u * v_t,
            _ => typed,
        };
        let values = Matrix3::from_diagonal(&Vec3::new(sigma[0].mpa, sigma[1].mpa, sigma[2].mpa));
        Ok(Self { kpa: square * values * square.transpose() * KPA })
    }

    /// All that is wrong with three principal stresses; none where they make a far field.
    #[must_use]
    pub fn wrong_principal(sigma: &[PrincipalStress; 3]) -> Vec<FarFieldError> {
        let finite = |s: &PrincipalStress| {
            s.mpa.is_finite() && s.axis.trend_deg.is_finite() && s.axis.plunge_deg.is_finite()
        };
        if !sigma.iter().all(finite) {
            return vec![FarFieldError::NotFinite];
        }
        let out_of_order =
            (0..2).filter(|&i| sigma[i].mpa < sigma[i + 1].mpa).map(|i| FarFieldError::OutOfOrder {
                greater: i + 1,
                greater_mpa: sigma[i].mpa,
                lesser: i + 2,
                lesser_mpa: sigma[i + 1].mpa,
            });
        let axes = sigma.map(|s| s.axis.to_vector().into_inner());
        let not_square = [(0, 1), (0, 2), (1, 2)].into_iter().filter_map(|(i, j)| {
            let angle_deg = angle_between_deg(&axes[i], &axes[j]);
            let is_off = (angle_deg - 90.0).abs() > AXES_OFF_DEG;
            is_off.then_some(FarFieldError::NotSquare { first: i + 1, second: j + 1, angle_deg })
        });
        out_of_order.chain(not_square).collect()
    }

    /// From the vertical stress and its ratios.
    ///
    /// # Errors
    /// [`FarFieldError`] where a number is not finite or the ratios are the wrong way round.
    pub fn vertical(stress: &VerticalStress) -> Result<Self, FarFieldError> {
        let VerticalStress { vertical_mpa, k_max, k_min, k_max_trend_deg } = *stress;
        if ![vertical_mpa, k_max, k_min, k_max_trend_deg].iter().all(|x| x.is_finite()) {
            return Err(FarFieldError::NotFinite);
        }
        if k_max < k_min {
            return Err(FarFieldError::RatiosOutOfOrder { k_max, k_min });
        }
        let level = Line { trend_deg: k_max_trend_deg, plunge_deg: 0.0 }.to_vector().into_inner();
        let across = level.cross(&Vec3::z());
        let part = |axis: &Vec3, ratio: f64| axis * axis.transpose() * ratio;
        let sum = part(&Vec3::z(), 1.0) + part(&level, k_max) + part(&across, k_min);
        Ok(Self { kpa: sum * (vertical_mpa * KPA) })
    }

    /// As a tensor in the drive's (u, s, v), kPa.
    #[must_use]
    pub fn local_kpa(&self, frame: &DriveFrame) -> Matrix3<f64> {
        let axes = Matrix3::from_columns(&[
            frame.right().into_inner(),
            frame.along().into_inner(),
            frame.up().into_inner(),
        ]);
        axes.transpose() * self.kpa * axes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(mpa: f64, trend_deg: f64, plunge_deg: f64) -> PrincipalStress {
        PrincipalStress { mpa, axis: Line { trend_deg, plunge_deg } }
    }

    #[test]
    fn a_level_stress_comes_square_and_oblique_to_the_drive() {
        let far =
            FarField::principal(&[at(20.0, 90.0, 0.0), at(12.0, 0.0, 0.0), at(8.0, 0.0, 90.0)]).unwrap();
        let towards = |trend_deg| far.local_kpa(&DriveFrame::new(Line { trend_deg, plunge_deg: 0.0 }));
        let north = towards(0.0);
        assert!((north - Matrix3::from_diagonal(&Vec3::new(20e3, 12e3, 8e3))).norm() < 1e-9, "{north}");
        // 45° between both: the mean of them, and half their difference as shear (Mohr's circle). Walking
        // north-east, sigma1 (east-west) runs to the right and ahead: a shear with a positive sign.
        let oblique = towards(45.0);
        assert!((oblique[(0, 0)] - 16e3).abs() < 1e-9 && (oblique[(1, 1)] - 16e3).abs() < 1e-9);
        assert!((oblique[(0, 1)] - 4e3).abs() < 1e-9, "{oblique}");
        let same = VerticalStress { vertical_mpa: 8.0, k_max: 2.5, k_min: 1.5, k_max_trend_deg: 270.0 };
        let same = FarField::vertical(&same).unwrap();
        assert!((same.kpa - far.kpa).norm() < 1e-9);
    }

    #[test]
    fn axes_that_were_rounded_are_turned_square_and_others_refused() {
        let rounded = [at(20.0, 91.0, 1.0), at(12.0, 0.0, 0.0), at(8.0, 0.0, 89.0)];
        let far = FarField::principal(&rounded).unwrap();
        let eigen = far.kpa.symmetric_eigenvalues();
        let mut values: Vec<f64> = eigen.iter().copied().collect();
        values.sort_by(f64::total_cmp);
        for (found, typed) in values.iter().zip([8e3, 12e3, 20e3]) {
            assert!((found - typed).abs() < 1e-8, "{values:?}");
        }
        let skew = FarField::principal(&[at(20.0, 90.0, 0.0), at(12.0, 0.0, 0.0), at(8.0, 0.0, 80.0)]);
        let Err(told @ FarFieldError::NotSquare { first: 2, second: 3, .. }) = skew else {
            panic!("{skew:?}")
        };
        assert!(told.to_string().contains("sigma2 and sigma3 are 80.0° apart"), "{told}");
    }

    #[test]
    fn stresses_out_of_order_are_refused() {
        let up = FarField::principal(&[at(20.0, 90.0, 0.0), at(7.0, 0.0, 0.0), at(8.0, 0.0, 90.0)]);
        let told = up.unwrap_err().to_string();
        assert!(told.starts_with("sigma2 is 7 MPa and sigma3 8 MPa"), "{told}");
        let ratios = VerticalStress { vertical_mpa: 8.0, k_max: 1.0, k_min: 1.5, k_max_trend_deg: 0.0 };
        assert!(matches!(FarField::vertical(&ratios), Err(FarFieldError::RatiosOutOfOrder { .. })));
        assert_eq!(
            FarField::vertical(&VerticalStress { k_max: f64::NAN, ..ratios }),
            Err(FarFieldError::NotFinite)
        );
    }
}
