use super::{FarField, FarFieldError, PrincipalStress, VerticalStress};

/// A far field as somebody gives it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum GivenStress {
    /// The principal stresses, greatest first.
    Principal([PrincipalStress; 3]),
    /// The vertical stress and the ratios of the level ones.
    Vertical(VerticalStress),
}

impl GivenStress {
    /// As a far field.
    ///
    /// # Errors
    /// As [`FarField::principal`] and [`FarField::vertical`].
    pub fn far(&self) -> Result<FarField, FarFieldError> {
        match self {
            Self::Principal(sigma) => FarField::principal(sigma),
            Self::Vertical(vertical) => FarField::vertical(vertical),
        }
    }
}

/// The stress in the rock of a drive, and what of rock and joints says how it comes onto a wedge and leaves it.
#[derive(Debug, Clone, PartialEq)]
pub struct RockStress {
    /// Before the drive was there.
    pub far: FarField,
    /// The same as it was given.
    pub given: GivenStress,
    /// Poisson's ratio of the rock, 0 to 0.5.
    pub poisson: f64,
    /// Joint normal stiffness over shear stiffness, above 0: of the same joint, per square metre.
    pub stiffness_ratio: f64,
    /// Whether what drives a wedge out, beyond all that its joints hold, is spent by the movement that support follows. As
    /// a rule it is: stress of megapascals on joints is gone after a fraction of a millimetre, which bolts and screen give.
    pub fades: bool,
    /// Where the numbers come from.
    pub source: Option<String>,
}

impl RockStress {
    /// Of a far field as it was given; what drives wedges out fades.
    ///
    /// # Errors
    /// As [`GivenStress::far`].
    pub fn of(given: GivenStress, poisson: f64, stiffness_ratio: f64) -> Result<Self, FarFieldError> {
        Ok(Self { far: given.far()?, given, poisson, stiffness_ratio, fades: true, source: None })
    }
}
