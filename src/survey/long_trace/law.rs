use statrs::function::erf::erfc;

use crate::numeric::golden_greatest;

/// How trace lengths are distributed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TraceLaw {
    /// Exponential.
    Exponential,
    /// Lognormal.
    Lognormal,
}

impl TraceLaw {
    /// The law in a word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Exponential => "exponential",
            Self::Lognormal => "lognormal",
        }
    }
}

/// One trace as it was seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SeenTrace {
    /// The part that could be seen, metres.
    pub length_m: f64,
    /// How many of its ends could not: 0, 1 or 2.
    pub hidden: u8,
    /// Area of the window over its width square to the traces, metres; 0 on a line.
    pub window_m: f64,
}

/// A law fitted to traces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Fitted {
    pub law: TraceLaw,
    /// Logarithm of the length that nine in ten are shorter than, metres.
    pub ln_90: f64,
    /// Its standard error; `None` where the likelihood is too flat to tell.
    pub error: Option<f64>,
    /// Of Akaike (1974): −2·ln L + 2·parameters; least is best.
    aic: f64,
}

/// The normal deviate that nine in ten fall below.
const Z_90: f64 = 1.281_551_565_544_8;
/// What is less than this has vanished: its logarithm stays a number.
const VANISHED: f64 = 1e-300;
/// Rounds of a golden search: brackets of some units shrink to a millionth.
const ROUNDS: usize = 32;
/// Logarithms by which a mean may lie below the shortest or above the longest trace.
const BELOW: f64 = 3.0;
const ABOVE: f64 = 4.0;
/// A best value this near to the end of its bracket is no best value: the likelihood rises beyond.
const AT_THE_END: f64 = 0.01;
/// Standard deviations of ln l that traces may have.
const LN_S: (f64, f64) = (-3.0, 1.1);
/// Step of the differences that curvature is taken by.
const STEP: f64 = 1e-3;

/// The better of both laws by Akaike's criterion; `None` where neither has a greatest likelihood, as without any
/// end seen.
///
/// The likelihood is that of Laslett (1982), *Biometrika* 69, 169-176 (from memory): of line segments in a plane, a
/// convex window of area A and width P square to them meets `λ(A + Pμ)`, and of those that it meets the ones of
/// which both ends, one or none is seen at length v come with density f(v), S(v) and ∫S from v on, where f is
/// that of lengths, S its survivor and μ its mean. So each trace gives the one or the other over A/P + μ. A line
/// along a wall is the limit without area: a trace is met in proportion to its length and hidden by the wall's
/// edges, which leaves the same terms over μ (derived). Nothing is lost for hidden ends, and the better chance of
/// long traces is taken off.
pub(crate) fn best_law(traces: &[SeenTrace]) -> Option<Fitted> {
    let both = [exponential(traces), lognormal(traces)];
    both.into_iter().flatten().min_by(|a, b| a.aic.total_cmp(&b.aic))
}

/// ln μ may lie here.
fn bracket(traces: &[SeenTrace]) -> Option<(f64, f64)> {
    let logs = || traces.iter().map(|t| t.length_m.ln());
    let (low, high) = (logs().reduce(f64::min)?, logs().reduce(f64::max)?);
    Some((low - BELOW, high + ABOVE))
}

/// A best value within its bracket, not at its end.
fn inside((low, high): (f64, f64), at: f64) -> Option<f64> {
    (at > low + AT_THE_END && at < high - AT_THE_END).then_some(at)
}

fn middle((low, high): (f64, f64)) -> f64 {
    f64::midpoint(low, high)
}

fn exponential(traces: &[SeenTrace]) -> Option<Fitted> {
    let value = |ln_mean: f64| {
        let mean = ln_mean.exp();
        traces
            .iter()
            .map(|t| (f64::from(t.hidden) - 1.0) * ln_mean - t.length_m / mean - (t.window_m + mean).ln())
            .sum::<f64>()
    };
    let bracket = bracket(traces)?;
    let ln_mean = inside(bracket, middle(golden_greatest(bracket, ROUNDS, value)))?;
    let greatest = value(ln_mean);
    let curvature = (2.0 * greatest - value(ln_mean + STEP) - value(ln_mean - STEP)) / (STEP * STEP);
    Some(Fitted {
        law: TraceLaw::Exponential,
        ln_90: ln_mean + std::f64::consts::LN_10.ln(),
        error: (curvature > 0.0).then(|| curvature.sqrt().recip()),
        aic: 2.0 - 2.0 * greatest,
    })
}

/// The chance that a normal deviate exceeds `z`.
fn beyond(z: f64) -> f64 {
    0.5 * erfc(z / std::f64::consts::SQRT_2)
}

/// ln L of a lognormal law; `m` is the mean of ln l, `ln_s` the logarithm of its standard deviation.
fn lognormal_value(traces: &[SeenTrace], m: f64, ln_s: f64) -> f64 {
    let s = ln_s.exp();
    let mean = (m + 0.5 * s * s).exp();
    let of = |t: &SeenTrace| {
        let ln_v = t.length_m.ln();
        let z = (ln_v - m) / s;
        let term = match t.hidden {
            0 => -0.5 * z * z - ln_s - ln_v - 0.5 * std::f64::consts::TAU.ln(),
            1 => beyond(z).max(VANISHED).ln(),
            // The mean of what exceeds v.
            _ => (mean * beyond(z - s) - t.length_m * beyond(z)).max(VANISHED).ln(),
        };
        term - (t.window_m + mean).ln()
    };
    traces.iter().map(of).sum()
}

fn lognormal(traces: &[SeenTrace]) -> Option<Fitted> {
    let bracket = bracket(traces)?;
    let best_m = |ln_s: f64| middle(golden_greatest(bracket, ROUNDS, |m| lognormal_value(traces, m, ln_s)));
    let found = golden_greatest(LN_S, ROUNDS, |ln_s| lognormal_value(traces, best_m(ln_s), ln_s));
    let ln_s = inside(LN_S, middle(found))?;
    let m = inside(bracket, best_m(ln_s))?;
    let value = |dm: f64, ds: f64| lognormal_value(traces, m + dm, ln_s + ds);
    let greatest = value(0.0, 0.0);
    let square = STEP * STEP;
    let mm = (2.0 * greatest - value(STEP, 0.0) - value(-STEP, 0.0)) / square;
    let ss = (2.0 * greatest - value(0.0, STEP) - value(0.0, -STEP)) / square;
    let ms =
        -(value(STEP, STEP) - value(STEP, -STEP) - value(-STEP, STEP) + value(-STEP, -STEP)) / (4.0 * square);
    let determinant = mm * ss - ms * ms;
    // ln q = m + z·s: its slope along ln s is z·s.
    let (s, slope) = (ln_s.exp(), Z_90 * ln_s.exp());
    let variance = (ss - 2.0 * slope * ms + slope * slope * mm) / determinant;
    Some(Fitted {
        law: TraceLaw::Lognormal,
        ln_90: m + Z_90 * s,
        error: (mm > 0.0 && determinant > 0.0 && variance > 0.0).then(|| variance.sqrt()),
        aic: 4.0 - 2.0 * greatest,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whole traces of 1, 2 and 6 m on a line, exponential: each gives e^(−v/μ)/μ², so μ is half of their mean, 1.5 m,
    /// and the curvature of ln L in ln μ is Σv/μ = 6, by hand.
    #[test]
    fn whole_traces_on_a_line_by_hand() {
        let traces = [1.0, 2.0, 6.0].map(|length_m| SeenTrace { length_m, hidden: 0, window_m: 0.0 });
        let found = exponential(&traces).unwrap();
        assert!((found.ln_90.exp() - 1.5 * std::f64::consts::LN_10).abs() < 1e-5, "{found:?}");
        assert!((found.error.unwrap() - 6.0_f64.sqrt().recip()).abs() < 1e-5, "{found:?}");
    }

    /// One end hidden each: e^(−v/μ)/μ, the plain mean. Both hidden: e^(−v/μ), which grows with μ for ever.
    #[test]
    fn hidden_ends_by_hand() {
        let all = |hidden| [1.0, 2.0, 6.0].map(|length_m| SeenTrace { length_m, hidden, window_m: 0.0 });
        let one = exponential(&all(1)).unwrap();
        assert!((one.ln_90.exp() - 3.0 * std::f64::consts::LN_10).abs() < 1e-4, "{one:?}");
        assert_eq!(exponential(&all(2)), None);
        assert_eq!(best_law(&[]), None);
    }

    /// Terms of a lognormal law against sums over its density: S and the mean beyond v.
    #[test]
    fn terms_of_a_lognormal_law_are_integrals_of_its_density() {
        let (m, s, v): (f64, f64, f64) = (0.4, 0.7, 1.9);
        let trace = |hidden| [SeenTrace { length_m: v, hidden, window_m: 0.0 }];
        let mean = (m + 0.5 * s * s).exp();
        let [density, survivor, beyond_v] =
            [0, 1, 2].map(|h| (lognormal_value(&trace(h), m, s.ln()) + mean.ln()).exp());
        let f = |x: f64| (-0.5 * ((x.ln() - m) / s).powi(2)).exp() / (x * s * std::f64::consts::TAU.sqrt());
        let (mut sum, mut excess) = (0.0, 0.0);
        let step = 1e-3;
        for i in 0..200_000 {
            let x = v + (f64::from(i) + 0.5) * step;
            sum += f(x) * step;
            excess += (x - v) * f(x) * step;
        }
        assert!((density - f(v)).abs() < 1e-12);
        // The midpoint rule errs by the square of its step.
        assert!((survivor - sum).abs() < 1e-6 && (beyond_v - excess).abs() < 1e-6, "{survivor} {sum}");
    }
}
