use super::{RingKind, whole};

/// What is counted: a stretch with its ends, or a metre of a drive that has none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Counting {
    /// So many metres: whole rings, sheets, cartridges, set-ups.
    Stretch {
        /// How long it is, metres.
        length_m: f64,
    },
    /// One metre: shares of all of them.
    Metre,
}

impl Counting {
    /// How long it is, metres.
    pub fn length_m(self) -> f64 {
        match self {
            Self::Stretch { length_m } => length_m,
            Self::Metre => 1.0,
        }
    }

    /// A count: rounded up in a stretch, as it is in a metre.
    pub fn up(self, value: f64) -> f64 {
        match self {
            Self::Stretch { .. } => whole(value) as f64,
            Self::Metre => value,
        }
    }

    /// How many of `rings` rings are of a kind.
    pub fn of_kind(self, kind: RingKind, rings: f64) -> f64 {
        match (self, kind) {
            (Self::Stretch { .. }, _) => kind.count(rings as u64) as f64,
            (Self::Metre, RingKind::Every) => rings,
            (Self::Metre, RingKind::Odd | RingKind::Even) => 0.5 * rings,
        }
    }

    /// Sheets along the drive, each overlapping the one before: what a metre takes is what a sheet adds.
    pub fn sheets(self, sheet_m: f64, overlap_m: f64) -> f64 {
        match self {
            Self::Stretch { length_m } => sheets(length_m, sheet_m, overlap_m),
            Self::Metre => 1.0 / (sheet_m - overlap_m),
        }
    }
}

/// Whole sheets over `length_m`, each overlapping the one before.
pub(super) fn sheets(length_m: f64, sheet_m: f64, overlap_m: f64) -> f64 {
    whole((length_m - overlap_m) / (sheet_m - overlap_m)).max(1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sheets_overlap_each_other_and_not_the_ends() {
        // 3.0 + 2.7 = 5.7 m with two sheets; a hair more takes a third.
        assert_eq!(sheets(5.7, 3.0, 0.3), 2.0);
        assert_eq!(sheets(5.71, 3.0, 0.3), 3.0);
        assert_eq!(sheets(0.2, 3.0, 0.3), 1.0);
    }

    #[test]
    fn a_metre_is_what_a_long_stretch_comes_to() {
        let long = Counting::Stretch { length_m: 90_000.0 };
        let off = |a: f64, b: f64| (a / 90_000.0 / b - 1.0).abs();
        assert!(off(long.sheets(2.4, 0.3), Counting::Metre.sheets(2.4, 0.3)) < 1e-4);
        assert!(off(long.up(90_000.0 / 1.3), Counting::Metre.up(1.0 / 1.3)) < 1e-4);
        let [odd, even] = [RingKind::Odd, RingKind::Even].map(|kind| Counting::Metre.of_kind(kind, 0.8));
        assert_eq!(odd + even, Counting::Metre.of_kind(RingKind::Every, 0.8));
    }
}
