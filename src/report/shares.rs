//! Shares of draws.

use crate::numeric::wilson_95;

/// A share of draws with its 95 % interval.
#[allow(clippy::cast_precision_loss)] // counts are far below 2^53
pub(super) fn chance(hits: u64, draws: u64) -> [f64; 3] {
    let [low, high] = wilson_95(hits, draws);
    [if draws == 0 { f64::NAN } else { hits as f64 / draws as f64 }, low, high]
}
