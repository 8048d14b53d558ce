//! Functions of many numbers at once, for what draws them by the million: without a branch or a call, so that
//! numbers are worked on together by whatever vectors the processor has. Every operation is one of a number by
//! itself and in a fixed order, so the bits are the same on every processor.

use pulp::{Arch, NullaryFnOnce};
use statrs::distribution::{ContinuousCDF, Normal};

/// Numbers that are worked on at a time.
const CHUNK: usize = 64;

/// Each share, above 0 and below 1, by the number below which that share of the standard normal distribution lies
/// ([`normal_quantile`]).
pub fn normal_quantiles(shares: &mut [f64]) {
    struct Near<'n>(&'n mut [f64]);
    impl NullaryFnOnce for Near<'_> {
        type Output = ();

        #[inline(always)]
        fn call(self) {
            for share in self.0.iter_mut() {
                *share = near_median(*share - 0.5);
            }
        }
    }
    let arch = Arch::new();
    for chunk in shares.chunks_mut(CHUNK) {
        let mut asked = [0.5; CHUNK];
        asked[..chunk.len()].copy_from_slice(chunk);
        arch.dispatch(Near(chunk));
        for (share, quantile) in asked.iter().zip(chunk) {
            if (share - 0.5).abs() > NEAR_MEDIAN {
                *quantile = Normal::standard().inverse_cdf(*share);
            }
        }
    }
}

/// The number below which this share of the standard normal distribution lies, 0 < share < 1.
///
/// Near the median by Wichura (1988), Algorithm AS 241, *Appl. Statist.* 37, 477-484, good to 1e-16 of itself
/// (coefficients from memory, and a test holds them against another implementation); beyond it the long way.
#[must_use]
pub fn normal_quantile(share: f64) -> f64 {
    if (share - 0.5).abs() > NEAR_MEDIAN {
        Normal::standard().inverse_cdf(share)
    } else {
        near_median(share - 0.5)
    }
}

/// How far from a half a share may be for the first of Wichura's three formulas.
const NEAR_MEDIAN: f64 = 0.425;

#[inline(always)]
fn near_median(off: f64) -> f64 {
    let r = NEAR_MEDIAN * NEAR_MEDIAN - off * off;
    let above =
        ((((((2.509_080_928_730_122_6e3 * r + 3.343_057_558_358_813e4) * r + 6.726_577_092_700_87e4) * r
            + 4.592_195_393_154_987e4)
            * r
            + 1.373_169_376_550_946e4)
            * r
            + 1.971_590_950_306_551_3e3)
            * r
            + 1.331_416_678_917_843_8e2)
            * r
            + 3.387_132_872_796_366_5;
    let below =
        ((((((5.226_495_278_852_854e3 * r + 2.872_908_573_572_194_3e4) * r + 3.930_789_580_009_271e4) * r
            + 2.121_379_430_158_659_7e4)
            * r
            + 5.394_196_021_424_751e3)
            * r
            + 6.871_870_074_920_579e2)
            * r
            + 4.231_333_070_160_091e1)
            * r
            + 1.0;
    off * above / below
}

/// ln(1 + x) for −1 < x ≤ 0, off by a unit or two of the last place: by the series of ln((1 + s)/(1 − s)) on
/// √½ to √2, its coefficients fitted to that range (those of Sun's fdlibm, 1993).
#[inline(always)]
#[must_use]
pub fn ln_1p(x: f64) -> f64 {
    const HALF_ROOT: u64 = 0x3fe6_a09e_667f_3bcd;
    const ONE: u64 = 0x3ff0_0000_0000_0000;
    const FRACTION: u64 = 0x000f_ffff_ffff_ffff;
    // 2^52: an integer below it in its last bits is that integer added to it.
    const WHOLE: u64 = 0x4330_0000_0000_0000;
    let w = 1.0 + x;
    // What 1 + x lost.
    let lost = (x - (w - 1.0)) / w;
    let bits = w.to_bits().wrapping_add(ONE - HALF_ROOT);
    let power = f64::from_bits((bits >> 52) | WHOLE) - (f64::from_bits(WHOLE) + 1023.0);
    let f = f64::from_bits((bits & FRACTION) + HALF_ROOT) - 1.0;
    let s = f / (2.0 + f);
    let z = s * s;
    let q = z * z;
    let even =
        q * (3.999_999_999_940_942e-1 + q * (2.222_219_843_214_978_4e-1 + q * 1.531_383_769_920_937_3e-1));
    let odd = z
        * (6.666_666_666_666_735e-1
            + q * (2.857_142_874_366_239e-1
                + q * (1.818_357_216_161_805e-1 + q * 1.479_819_860_511_658_6e-1)));
    let half = 0.5 * f * f;
    s * (half + (even + odd)) + (power * 1.908_214_929_270_587_7e-10 + lost) - half
        + f
        + power * 6.931_471_803_691_238e-1
}

/// One and a half times 2^52: added, it leaves whole numbers in the last bits.
const ROUNDS: f64 = 6_755_399_441_055_744.0;

/// The greatest whole number that is not above x, |x| below 2^51.
#[inline(always)]
#[must_use]
pub fn whole_below(x: f64) -> f64 {
    let whole = (x + ROUNDS) - ROUNDS;
    if whole > x { whole - 1.0 } else { whole }
}

/// Sine and cosine of a share of a whole turn from 0 to 1, off by a unit or two of the last place: within an
/// eighth of a turn by Taylor's series, fitted to that range (the coefficients of Sun's fdlibm, 1993).
#[inline(always)]
#[must_use]
pub fn sin_cos_turn(turn: f64) -> (f64, f64) {
    let quarters = 4.0 * turn;
    let rounded = quarters + ROUNDS;
    let x = (quarters - (rounded - ROUNDS)) * std::f64::consts::FRAC_PI_2;
    let z = x * x;
    let sin = x + x
        * z
        * (-1.666_666_666_666_663_2e-1
            + z * (8.333_333_333_322_49e-3
                + z * (-1.984_126_982_985_795e-4
                    + z * (2.755_731_370_707_006_8e-6
                        + z * (-2.505_076_025_340_686_3e-8 + z * 1.589_690_995_211_55e-10)))));
    let cos = (1.0 - 0.5 * z)
        + z * z
            * (4.166_666_666_666_66e-2
                + z * (-1.388_888_888_887_411e-3
                    + z * (2.480_158_728_947_673e-5
                        + z * (-2.755_731_435_139_066_3e-7
                            + z * (2.087_572_321_298_175e-9 + z * -1.135_964_755_778_819_5e-11)))));
    let quarter = rounded.to_bits();
    let (a, b) = if quarter & 1 == 0 { (sin, cos) } else { (cos, sin) };
    let sign = |negative: u64| negative << 63;
    (
        f64::from_bits(a.to_bits() ^ sign(quarter >> 1 & 1)),
        f64::from_bits(b.to_bits() ^ sign((quarter >> 1 ^ quarter) & 1)),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shares() -> Vec<f64> {
        let even = (0..4000).map(|i| (f64::from(i) + 0.5) / 4000.0);
        even.chain([1e-16, 1e-12, 1e-6, 0.075, 0.925, 0.125, 0.375, 0.5, 0.625, 1.0 - 1e-9]).collect()
    }

    #[test]
    fn they_are_those_of_the_standard_library() {
        for by in [-1.0, -0.999, -0.5, -1e-3] {
            for share in shares() {
                let (found, wanted) = (ln_1p(by * share), (by * share).ln_1p());
                assert!((found - wanted).abs() <= 1e-15 * wanted.abs(), "{by} {share} {found} {wanted}");
            }
        }
        for share in shares() {
            let (sine, cosine) = sin_cos_turn(share);
            let (sin, cos) = (share * std::f64::consts::TAU).sin_cos();
            assert!((sine - sin).abs() < 1e-15 && (cosine - cos).abs() < 1e-15, "{share} {sine} {cosine}");
        }
    }

    #[test]
    fn normal_quantiles_are_those_of_the_long_way() {
        let mut found = shares();
        normal_quantiles(&mut found);
        for (share, found) in shares().into_iter().zip(found) {
            let wanted = Normal::standard().inverse_cdf(share);
            assert!((found - wanted).abs() <= 4e-15 * wanted.abs().max(0.1), "{share} {found} {wanted}");
            assert_eq!(found.to_bits(), normal_quantile(share).to_bits());
        }
    }
}
