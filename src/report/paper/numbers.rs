//! How numbers are written: shortest exact form in tables, rounded in sentences.

use std::fmt::Write as _;

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
            serializer.serialize_f64(unsigned_zero(self.0))
        } else {
            serializer.serialize_str(&shortest(self.0))
        }
    }
}

/// The shortest text that reads back as the same number; `inf` and `-inf` where there is none.
#[must_use]
pub(crate) fn shortest(value: f64) -> String {
    let mut text = String::new();
    put_shortest(value, &mut text);
    text
}

/// Whole numbers below this are as exact as whole numbers as they are as floats, and sooner written.
const WHOLE_BELOW: f64 = 1e15;

/// Numbers from here on, and those below [`LEAST_PLAIN`], have an exponent instead of rows of zeros.
const MOST_PLAIN: f64 = 1e25;
/// See [`MOST_PLAIN`].
const LEAST_PLAIN: f64 = 1e-25;

/// Adds what [`shortest`] says to a text.
pub(crate) fn put_shortest(value: f64, text: &mut String) {
    let value = unsigned_zero(value);
    // Writing to a text does not fail.
    let _ = if value.fract() == 0.0 && value.abs() < WHOLE_BELOW {
        #[allow(clippy::cast_possible_truncation)] // whole, and small enough
        let whole = value as i64;
        write!(text, "{whole}")
    } else if value.is_finite() && !(LEAST_PLAIN..MOST_PLAIN).contains(&value.abs()) {
        write!(text, "{value:e}")
    } else {
        write!(text, "{value}")
    };
}

/// A negative zero is a rounding of nothing.
fn unsigned_zero(value: f64) -> f64 {
    if value == 0.0 { 0.0 } else { value }
}

/// Lengths that are sums are told to this much, metres: far below what anybody measures or drills, far
/// above what adding leaves behind.
const LENGTH_TOLD_TO_PER_M: f64 = 1e6;

/// A length that was summed up, without what summing left in its last digits.
#[must_use]
pub(crate) fn told_length(metres: f64) -> f64 {
    let steps = (metres * LENGTH_TOLD_TO_PER_M).round();
    // Beyond 2^53 steps a float has no such digits.
    if steps.abs() < 9e15 { unsigned_zero(steps / LENGTH_TOLD_TO_PER_M) } else { metres }
}

/// With this many decimals, `inf` where infinite.
#[must_use]
pub(crate) fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return shortest(value);
    }
    if value.abs() >= MOST_PLAIN {
        return format!("{value:.decimals$e}");
    }
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        // What is left of it at these decimals is nothing, and nothing has no sign.
        Some(digits) if digits.bytes().all(|b| matches!(b, b'0' | b'.')) => digits.to_owned(),
        _ => text,
    }
}

/// A factor of safety in a sentence: two decimals, rounded down, so that 1.999 never reads as
/// 2.00.
#[must_use]
pub(crate) fn factor(value: f64) -> String {
    if value.is_finite() { fixed((value * 100.0 + 1e-9).floor() / 100.0, 2) } else { shortest(value) }
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

/// A count in a sentence: thousands divided by commas.
#[must_use]
pub(crate) fn thousands(count: u64) -> String {
    let digits = count.to_string();
    let mut text = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// A share in a sentence: a hundred times it, to one decimal.
#[must_use]
pub(crate) fn percent(share: f64) -> String {
    fixed(100.0 * share, 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_are_divided() {
        assert_eq!([0, 999, 1000, 1_234_567].map(thousands), ["0", "999", "1,000", "1,234,567"]);
    }

    #[test]
    fn tables_hold_what_reads_back() {
        for value in [0.1, 1.0 / 3.0, 5.0, 1e-9, 123_456.789] {
            assert_eq!(shortest(value).parse::<f64>().unwrap(), value);
        }
        for value in [5.0, -7.0, 1e14, 1e15, -1e15, 1e22, 123_456_789.0, 0.5, f64::NAN, f64::NEG_INFINITY] {
            assert_eq!(shortest(value), format!("{value}"));
        }
        for (value, told) in [(1e300, "1e300"), (-1.5e25, "-1.5e25"), (2.5e-300, "2.5e-300"), (0.0, "0")] {
            assert_eq!((shortest(value).as_str(), told.parse::<f64>().unwrap()), (told, value));
        }
        assert_eq!(fixed(1e300, 1), "1.0e300");
        assert_eq!(shortest(5.0), "5");
        assert_eq!(shortest(f64::INFINITY), "inf");
        assert_eq!(shortest(-0.0), "0");
    }

    #[test]
    fn nothing_has_no_sign() {
        assert_eq!(fixed(-0.0, 2), "0.00");
        assert_eq!(fixed(-0.004, 2), "0.00");
        assert_eq!(fixed(-0.4, 0), "0");
        assert_eq!(fixed(-0.006, 2), "-0.01");
        assert_eq!(factor(-0.0), "0.00");
        assert_eq!(kn(-0.001), "0.00");
        assert_eq!(volume(-0.000_01), "0.0000");
        assert_eq!(shortest(-0.0), "0");
        assert_eq!(serde_json::to_string(&Number(-0.0)).unwrap(), "0.0");
    }

    #[test]
    fn a_sum_of_spacings_is_told_as_it_was_meant() {
        assert_eq!(shortest(told_length(3.0 * 1.2)), "3.6");
        assert_eq!(shortest(told_length(-0.999_999_999_999_997_3)), "-1");
        assert_eq!(shortest(told_length(-1e-9)), "0");
        // Half a millimetre is told as it is, and so is what no float can round.
        assert_eq!(told_length(1.2345), 1.2345);
        assert_eq!(told_length(1e15), 1e15);
        assert_eq!(told_length(f64::INFINITY), f64::INFINITY);
    }

    #[test]
    fn a_factor_is_never_rounded_over_its_criterion() {
        assert_eq!(factor(1.999), "1.99");
        assert_eq!(factor(2.0), "2.00");
        assert_eq!(factor(1.15), "1.15");
    }
}
