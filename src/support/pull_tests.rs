use serde::Serialize;
use statrs::distribution::{ContinuousCDF, StudentsT};

/// Fewer tests than this for a rock and a way of installing say little: ISRM (1974), *Suggested
/// methods for rockbolt testing*, asks for at least five.
pub const LEAST_TESTS: usize = 5;

/// The share that a characteristic value is below of: 95 of 100 further tests hold more.
const CONFIDENCE: f64 = 0.95;

/// What pull tests say of a bond.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BondTests {
    /// How many tests.
    pub count: usize,
    /// How many of them held up to the load, so that their bond is at least what is counted.
    pub held: usize,
    /// Mean bond, kN per metre.
    pub mean_kn_per_m: f64,
    /// Standard deviation of the tests, n − 1 in its denominator, kN per metre.
    pub deviation_kn_per_m: f64,
    /// Mean less k deviations, kN per metre: what a check works with.
    pub characteristic_kn_per_m: f64,
}

impl BondTests {
    /// Statistics of bonds, kN per metre, each with whether its test held; `None` below two tests,
    /// which have no scatter.
    #[must_use]
    pub fn of(bonds: &[(f64, bool)]) -> Option<Self> {
        let count = bonds.len();
        let k = characteristic_factor(count)?;
        let n = count as f64;
        let mean = bonds.iter().map(|(b, _)| b).sum::<f64>() / n;
        let variance = bonds.iter().map(|(b, _)| (b - mean).powi(2)).sum::<f64>() / (n - 1.0);
        let deviation = variance.sqrt();
        Some(Self {
            count,
            held: bonds.iter().filter(|(_, held)| *held).count(),
            mean_kn_per_m: mean,
            deviation_kn_per_m: deviation,
            characteristic_kn_per_m: mean - k * deviation,
        })
    }
}

/// k of a characteristic value from n tests, mean − k·s: the one-sided 95 % bound for one further
/// test of a normal population, k = t(0.95, n − 1)·√(1 + 1/n). `None` below two tests.
#[must_use]
pub fn characteristic_factor(count: usize) -> Option<f64> {
    if count < 2 {
        return None;
    }
    let n = count as f64;
    let student = StudentsT::new(0.0, 1.0, n - 1.0).ok()?;
    Some(student.inverse_cdf(CONFIDENCE) * (1.0 + 1.0 / n).sqrt())
}

/// What n tests without a failure show at 95 %: the share that does not hold is below this,
/// 1 − 0.05^(1/n). 1 without a test: nothing is shown.
#[must_use]
pub fn failing_share_below(count: usize) -> f64 {
    if count == 0 { 1.0 } else { 1.0 - (1.0 - CONFIDENCE).powf(1.0 / count as f64) }
}

/// Which bolts of one work area and shift have their torque tested: the first, every tenth, the
/// last (30 CFR 57.3203, older text, United States), counted from 1.
#[must_use]
pub fn torque_tested(bolts: u64) -> Vec<u64> {
    let mut tested: Vec<u64> = (1..=bolts.min(1)).chain((1..=bolts / 10).map(|ten| 10 * ten)).collect();
    if bolts > 1 && tested.last() != Some(&bolts) {
        tested.push(bolts);
    }
    tested
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Half of the last digit of the values that were derived.
    const DIGIT: f64 = 5e-5;

    /// Derived from tables of Student's t.
    #[test]
    fn the_factor_is_that_of_a_prediction_bound() {
        for (count, k) in [(5, 2.3353), (10, 1.9226), (20, 1.7718)] {
            assert!((characteristic_factor(count).unwrap() - k).abs() < DIGIT, "{count}");
        }
        assert_eq!(characteristic_factor(1), None);
    }

    /// Derived: mean 49, deviation 9.354, 49 − 2.3353·9.354 = 27.16.
    #[test]
    fn five_pulls_by_hand() {
        let pulls = [42.0, 55.0, 38.0, 61.0, 49.0].map(|b| (b, false));
        let tests = BondTests::of(&pulls).unwrap();
        assert!((tests.mean_kn_per_m - 49.0).abs() < 1e-12);
        assert!((tests.deviation_kn_per_m - 9.354).abs() < 5e-4);
        assert!((tests.characteristic_kn_per_m - 27.16).abs() < 5e-3);
        assert!(BondTests::of(&pulls[..1]).is_none());
    }

    /// Derived: five tests 45 %, 59 tests 5 %.
    #[test]
    fn tests_without_a_failure_show_little() {
        assert!((failing_share_below(5) - 0.45).abs() < 5e-3);
        assert!((failing_share_below(59) - 0.05).abs() < 5e-3);
        assert_eq!(failing_share_below(0), 1.0);
    }

    #[test]
    fn first_every_tenth_and_last() {
        assert_eq!(torque_tested(45), [1, 10, 20, 30, 40, 45]);
        assert_eq!(torque_tested(0), [0; 0]);
        assert_eq!(torque_tested(1), [1]);
        assert_eq!(torque_tested(10), [1, 10]);
        assert_eq!(torque_tested(9), [1, 9]);
    }
}
