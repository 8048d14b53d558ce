//! Rock quality as it was recorded: what stands in a row, what follows from it, and its summary by set.

mod friction_hint;
mod index;
mod summary;

pub use friction_hint::{FrictionHint, HintConditions};
pub use index::{LEAST_RQD_PERCENT, gsi, q_prime};
pub use summary::{QualitySummary, Quantity, QuantitySummary, WordColumn, WordCount, summarise};

/// What a row says of the quality of joint and rock in numbers, beside its JRC. What was not recorded is `None`.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct RockQuality {
    /// Joint wall compressive strength, MPa.
    pub jcs_mpa: Option<f64>,
    /// Joint roughness number Jr of the Q-system.
    pub jr: Option<f64>,
    /// Joint alteration number Ja of the Q-system.
    pub ja: Option<f64>,
    /// Joint set number Jn of the Q-system, of the rock round the joint.
    pub jn: Option<f64>,
    /// RQD of the rock round the joint, percent, as it was logged.
    pub rqd_percent: Option<f64>,
    /// Joint condition rating of RMR 1989, 0 to 30.
    pub jcond89: Option<f64>,
}

impl RockQuality {
    /// Q' = RQD/Jn × Jr/Ja, where all four stand in the row.
    #[must_use]
    pub fn q_prime(&self) -> Option<f64> {
        Some(q_prime(self.rqd_percent?, self.jn?, self.jr?, self.ja?))
    }

    /// GSI, where both its inputs stand in the row.
    #[must_use]
    pub fn gsi(&self) -> Option<f64> {
        Some(gsi(self.jcond89?, self.rqd_percent?))
    }
}
