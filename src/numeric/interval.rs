/// The point of the standard normal law that one in forty lies above: an interval of 95 %.
const NORMAL_97_5: f64 = 1.959_963_984_540_054;

/// The 95 % interval of a chance that was met `hits` times in `draws`; 0 to 1 without draws.
///
/// Source: Wilson (1927), *J. Am. Stat. Assoc.* 22, 209-212: the chances that a normal test of the count does
/// not refuse. It stays within 0 to 1 and has a width where nothing was met.
#[must_use]
#[allow(clippy::cast_precision_loss)] // counts are far below 2^53
pub fn wilson_95(hits: u64, draws: u64) -> [f64; 2] {
    if draws == 0 {
        return [0.0, 1.0];
    }
    let (n, share) = (draws as f64, hits as f64 / draws as f64);
    let z2 = NORMAL_97_5 * NORMAL_97_5;
    let middle = share + z2 / (2.0 * n);
    let half = NORMAL_97_5 * (share * (1.0 - share) / n + z2 / (4.0 * n * n)).sqrt();
    let whole = 1.0 + z2 / n;
    // At the ends rounding would leave a hair.
    let low = if hits == 0 { 0.0 } else { ((middle - half) / whole).max(0.0) };
    let high = if hits == draws { 1.0 } else { ((middle + half) / whole).min(1.0) };
    [low, high]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Solved by hand: 10 of 100 gives (0.1 + 0.019207 ± 0.061797)/1.038415, that is 0.05523 to 0.17437;
    /// none of 10 gives z²/(n + z²) = 0.27753.
    #[test]
    fn intervals_by_hand() {
        let [low, high] = wilson_95(10, 100);
        assert!((low - 0.055_23).abs() < 1e-5 && (high - 0.174_37).abs() < 1e-5, "{low} {high}");
        let [low, high] = wilson_95(0, 10);
        assert!(low == 0.0 && (high - 0.277_53).abs() < 1e-5, "{high}");
        assert_eq!(wilson_95(0, 0), [0.0, 1.0]);
        assert!(wilson_95(10, 10)[1] == 1.0);
    }
}
