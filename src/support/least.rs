//! The least along the drive, as the searches give it.

/// How far inside its interval a reported placement stands off the event that makes it worst, so
/// that no collar is exactly on an edge. Ten times the tolerance of an edge; a bolt that gains
/// 250 kN/m gains 2.5 N on it, a ten-thousandth of the weight of a litre of rock.
pub(super) const STAND_OFF_M: f64 = 1e-8;

/// The least factor of safety over all positions along the drive, for one apex.
#[derive(Debug, Clone, PartialEq)]
pub struct Along {
    /// The infimum; one-sided limits at events count.
    pub least_fs: f64,
    /// Chainage of the apex relative to each group's ring 0, metres, a hair inside the interval
    /// where the infimum is reached.
    pub phases_m: Vec<f64>,
}
