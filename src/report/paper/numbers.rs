//! How numbers are written: shortest exact form in tables, rounded in sentences.

use serde::{Serialize, Serializer};

/// A number for tables and JSON: infinite becomes the text `inf`, since JSON has no such number.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub(crate) struct Number(pub f64);

impl From<f64> for Number {
    fn from(value: f64) -> Self {
        Self(value)
    }
}

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0.is_finite() {
            serializer.serialize_f64(self.0)
        } else {
            serializer.serialize_str(&shortest(self.0))
        }
    }
}

/// The shortest text that reads back as the same number; `inf` and `-inf` where there is none.
#[must_use]
pub(crate) fn shortest(value: f64) -> String {
    // A negative zero is a rounding of nothing.
    format!("{}", if value == 0.0 { 0.0 } else { value })
}

/// With this many decimals, `inf` where infinite.
#[must_use]
pub(crate) fn fixed(value: f64, decimals: usize) -> String {
    if value.is_finite() { format!("{value:.decimals$}") } else { shortest(value) }
}

/// A factor of safety in a sentence: two decimals, rounded down, so that 1.999 never reads as
/// 2.00.
#[must_use]
pub(crate) fn factor(value: f64) -> String {
    if value.is_finite() { format!("{:.2}", (value * 100.0 + 1e-9).floor() / 100.0) } else { shortest(value) }
}

/// A force or weight in a sentence: three figures or whole kN.
#[must_use]
pub(crate) fn kn(value: f64) -> String {
    let decimals = match value.abs() {
        v if v >= 100.0 => 0,
        v if v >= 10.0 => 1,
        _ => 2,
    };
    fixed(value, decimals)
}

/// A volume in a sentence, m³: three figures.
#[must_use]
pub(crate) fn volume(value: f64) -> String {
    let decimals = match value.abs() {
        v if v >= 100.0 => 0,
        v if v >= 10.0 => 1,
        v if v >= 1.0 => 2,
        v if v >= 0.1 => 3,
        _ => 4,
    };
    fixed(value, decimals)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_hold_what_reads_back() {
        for value in [0.1, 1.0 / 3.0, 5.0, 1e-9, 123_456.789] {
            assert_eq!(shortest(value).parse::<f64>().unwrap(), value);
        }
        assert_eq!(shortest(5.0), "5");
        assert_eq!(shortest(f64::INFINITY), "inf");
        assert_eq!(shortest(-0.0), "0");
    }

    #[test]
    fn a_factor_is_never_rounded_over_its_criterion() {
        assert_eq!(factor(1.999), "1.99");
        assert_eq!(factor(2.0), "2.00");
        assert_eq!(factor(1.15), "1.15");
    }
}
