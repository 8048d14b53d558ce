/// An RQD below this counts as this in Q and Q', percent (Barton et al. 1974, from memory).
pub const LEAST_RQD_PERCENT: f64 = 10.0;

/// Q' = RQD/Jn × Jr/Ja: Q without water and stress.
///
/// Source: Barton, Lien & Lunde (1974), *Rock Mechanics* 6, 189-236, for the terms, from memory; Q' leaves the last of
/// their three quotients out.
///
/// # Units
/// RQD in percent, the rest without; numbers above 0.
#[must_use]
pub fn q_prime(rqd_percent: f64, jn: f64, jr: f64, ja: f64) -> f64 {
    rqd_percent.max(LEAST_RQD_PERCENT) / jn * (jr / ja)
}

/// GSI = 1.5 Jcond89 + RQD/2.
///
/// Source: Hoek, Carter & Diederichs (2013), ARMA 13-672, from memory.
///
/// # Units
/// Jcond89 0 to 30, RQD in percent; the result 0 to 95.
#[must_use]
pub fn gsi(jcond89: f64, rqd_percent: f64) -> f64 {
    1.5 * jcond89 + rqd_percent / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotients_by_hand() {
        // 80/9 × 3/2 = 13.33, and RQD 4 counts as 10: 10/15 × 1/4 = 0.1667.
        assert!((q_prime(80.0, 9.0, 3.0, 2.0) - 40.0 / 3.0).abs() < 1e-12);
        assert!((q_prime(4.0, 15.0, 1.0, 4.0) - 1.0 / 6.0).abs() < 1e-12);
        assert_eq!(gsi(20.0, 75.0), 67.5);
    }
}
