use crate::orientation::wrap_azimuth_deg;

/// What turns a compass reading to the case's north, once.
///
/// # Units
/// Degrees, east positive.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct NorthCorrection {
    /// Magnetic declination: how far magnetic north lies east of true north. 0 when readings
    /// are to true north already.
    pub declination_deg: f64,
    /// Grid convergence: how far the case's north (mine grid) lies east of true north.
    pub convergence_deg: f64,
}

/// What an azimuth was counted from as it was written down.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum AzimuthFrom {
    /// A compass: magnetic north. Declination and convergence turn it.
    #[default]
    Compass,
    /// True north, as a gyro shows it: convergence turns it.
    TrueNorth,
    /// The case's own north, as lines are that were set out by surveyors: nothing turns it.
    Grid,
}

impl AzimuthFrom {
    /// As a lines file and the page write it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Compass => "compass",
            Self::TrueNorth => "true",
            Self::Grid => "grid",
        }
    }

    /// The one that a lines file calls so.
    pub(crate) fn of_word(word: &str) -> Option<Self> {
        let word = word.to_ascii_lowercase();
        [Self::Compass, Self::TrueNorth, Self::Grid].into_iter().find(|from| from.word() == word)
    }
}

impl NorthCorrection {
    /// What turns azimuths that were counted from another north than the compass's.
    #[must_use]
    pub fn counted_from(self, from: AzimuthFrom) -> Self {
        match from {
            AzimuthFrom::Compass => self,
            AzimuthFrom::TrueNorth => Self { declination_deg: 0.0, ..self },
            AzimuthFrom::Grid => Self::default(),
        }
    }

    /// What is added to every azimuth: declination − convergence.
    #[must_use]
    pub fn turn_deg(self) -> f64 {
        self.declination_deg - self.convergence_deg
    }

    /// An azimuth as it was read, to the case's north.
    #[must_use]
    pub fn apply_deg(self, azimuth_deg: f64) -> f64 {
        let turn = self.turn_deg();
        // Left alone, not wrapped, when there is nothing to do: 0 is added to no reading.
        if turn == 0.0 { azimuth_deg } else { wrap_azimuth_deg(azimuth_deg + turn) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Magnetic north 12° east of true, mine grid 2° west of true: a compass that reads 355
    /// points to true 007 and grid 009.
    #[test]
    fn declination_adds_and_convergence_subtracts() {
        let north = NorthCorrection { declination_deg: 12.0, convergence_deg: -2.0 };
        assert!((north.apply_deg(355.0) - 9.0).abs() < 1e-12);
    }
}
