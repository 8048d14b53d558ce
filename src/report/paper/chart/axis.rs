//! Scales, ranges and ticks.

/// How values are spread along an axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Scale {
    /// Equal steps for equal differences.
    #[default]
    Linear,
    /// Equal steps for equal ratios; only positive values are shown.
    Log,
}

/// An axis: what it counts and how far it reaches.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Axis {
    /// What it counts.
    pub name: String,
    /// Its unit, empty for a bare number.
    pub unit: String,
    /// How values are spread.
    pub scale: Scale,
    /// First value shown, if it is not to be taken from what the chart holds.
    pub from: Option<f64>,
    /// Last value shown, if it is not to be taken from what the chart holds.
    pub to: Option<f64>,
}

impl Axis {
    /// A linear axis over what the chart holds.
    #[must_use]
    pub(crate) fn linear(name: &str, unit: &str) -> Self {
        Self { name: name.to_owned(), unit: unit.to_owned(), scale: Scale::Linear, from: None, to: None }
    }

    /// A logarithmic axis over what the chart holds.
    #[must_use]
    pub(crate) fn log(name: &str, unit: &str) -> Self {
        Self { scale: Scale::Log, ..Self::linear(name, unit) }
    }

    /// The same axis from one value to another.
    #[must_use]
    pub(crate) fn between(self, from: f64, to: f64) -> Self {
        Self { from: Some(from), to: Some(to), ..self }
    }

    /// Name and unit, as written along the axis.
    pub(super) fn words(&self) -> String {
        if self.unit.is_empty() { self.name.clone() } else { format!("{} ({})", self.name, self.unit) }
    }

    /// The range that holds `values`, widened to round numbers where it was not given.
    pub(super) fn reach(&self, values: impl Iterator<Item = f64>) -> Reach {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for value in values.filter(|v| self.shows(*v)) {
            low = low.min(value);
            high = high.max(value);
        }
        let given = |bound: Option<f64>| bound.filter(|v| self.shows(*v));
        let (from, to) = (given(self.from), given(self.to));
        let low = from.unwrap_or(low.min(to.unwrap_or(low)));
        let high = to.unwrap_or(high.max(from.unwrap_or(high)));
        let (low, high) = if low.is_finite() && high.is_finite() {
            (low.min(high), low.max(high))
        } else {
            // Nothing to show: an empty frame still needs a scale.
            match self.scale {
                Scale::Linear => (0.0, 1.0),
                Scale::Log => (1.0, 10.0),
            }
        };
        let (wide_low, wide_high) = match self.scale {
            Scale::Linear => linear_bounds(low, high),
            Scale::Log => log_bounds(low, high),
        };
        // Given bounds are kept, unless they leave no room between them.
        let kept = (from.unwrap_or(wide_low), to.unwrap_or(wide_high));
        let (from, to) = if kept.0 < kept.1 { kept } else { (wide_low, wide_high) };
        Reach { scale: self.scale, from, to }
    }

    fn shows(&self, value: f64) -> bool {
        let limit = LARGEST;
        match self.scale {
            Scale::Linear => value.abs() <= limit,
            Scale::Log => value >= 1.0 / limit && value <= limit,
        }
    }
}

/// Larger numbers, or on a logarithmic axis smaller ones than its inverse, belong to no drawing.
const LARGEST: f64 = 1e100;

/// A tick of an axis.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tick {
    pub value: f64,
    /// The number beside it; none beside a minor tick.
    pub words: Option<String>,
}

/// An axis with its bounds fixed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reach {
    pub scale: Scale,
    pub from: f64,
    pub to: f64,
}

impl Reach {
    /// Where a value lies, as a share of the axis: 0 at its first value, 1 at its last; `None`
    /// for what the axis cannot show at all.
    pub(super) fn share(&self, value: f64) -> Option<f64> {
        let share = match self.scale {
            Scale::Linear => (value - self.from) / (self.to - self.from),
            Scale::Log => (value / self.from).ln() / (self.to / self.from).ln(),
        };
        share.is_finite().then_some(share)
    }

    /// Ticks at round numbers, at most about `most` of them with words.
    pub(super) fn ticks(&self, most: usize) -> Vec<Tick> {
        match self.scale {
            Scale::Linear => linear_ticks(self.from, self.to, most),
            Scale::Log => log_ticks(self.from, self.to, most),
        }
    }
}

/// Bounds that only touch a multiple of the step by rounding count as on it.
const ON_STEP: f64 = 1e-9;

/// The least of 1, 2, 5 times a power of ten that cuts `span` into at most `most` steps, with the
/// power.
pub(crate) fn round_step(span: f64, most: usize) -> (f64, i32) {
    let rough = span / most.max(1) as f64;
    let mut power = rough.log10().floor() as i32;
    for factor in [1.0, 2.0, 5.0] {
        let step = factor * 10.0_f64.powi(power);
        if step >= rough * (1.0 - ON_STEP) {
            return (step, power);
        }
    }
    power += 1;
    (10.0_f64.powi(power), power)
}

fn linear_bounds(low: f64, high: f64) -> (f64, f64) {
    // A single value gets room on both sides.
    let (low, high) = if high - low > ON_STEP * low.abs().max(high.abs()) {
        (low, high)
    } else {
        let room = if low == 0.0 { 1.0 } else { 0.1 * low.abs() };
        (low - room, high + room)
    };
    let (step, _) = round_step(high - low, 5);
    ((low / step + ON_STEP).floor() * step, (high / step - ON_STEP).ceil() * step)
}

fn linear_ticks(from: f64, to: f64, most: usize) -> Vec<Tick> {
    let (step, power) = round_step(to - from, most);
    let first = (from / step - ON_STEP).ceil();
    let count = (to / step + ON_STEP).floor() - first;
    (0..=count.clamp(0.0, 2.0 * most as f64) as u32)
        .map(|i| {
            let value = (first + f64::from(i)) * step;
            Tick { value, words: Some(number(value, power)) }
        })
        .collect()
}

fn log_bounds(low: f64, high: f64) -> (f64, f64) {
    let below = |v: f64| {
        let decade = 10.0_f64.powi((v.log10() + ON_STEP).floor() as i32);
        let factor = [5.0, 2.0].into_iter().find(|f| f * decade <= v * (1.0 + ON_STEP));
        factor.unwrap_or(1.0) * decade
    };
    let above = |v: f64| {
        let decade = 10.0_f64.powi((v.log10() + ON_STEP).floor() as i32);
        let factor = [1.0, 2.0, 5.0].into_iter().find(|f| f * decade >= v * (1.0 - ON_STEP));
        factor.unwrap_or(10.0) * decade
    };
    let (from, to) = (below(low), above(high));
    if from < to { (from, to) } else { (from / 2.0, to * 2.0) }
}

fn log_ticks(from: f64, to: f64, most: usize) -> Vec<Tick> {
    let first = from.log10().floor() as i32;
    let last = to.log10().ceil() as i32;
    let decades = (last - first).max(1) as usize;
    let every = decades.div_ceil(most.max(1)) as i32;
    let mut ticks = Vec::new();
    for power in first..=last {
        let decade = 10.0_f64.powi(power);
        for factor in 1..=9_u8 {
            let value = f64::from(factor) * decade;
            if value < from * (1.0 - ON_STEP) || value > to * (1.0 + ON_STEP) {
                continue;
            }
            let worded = match factor {
                1 => power.rem_euclid(every) == 0,
                2 | 5 => 3 * decades <= most,
                _ => false,
            };
            // Minor ticks over many decades would run together.
            if worded || decades <= 2 * most {
                ticks.push(Tick { value, words: worded.then(|| number(value, power)) });
            }
        }
    }
    ticks
}

/// A round number with the decimals that its power of ten asks for.
fn number(value: f64, power: i32) -> String {
    let plain = (-5..6).contains(&power) && value.abs() < 1e12;
    let words = if value == 0.0 {
        "0".to_owned()
    } else if plain {
        let decimals = (-power).max(0).unsigned_abs() as usize;
        format!("{value:.decimals$}")
    } else {
        // Round numbers have one digit, or few; the others are rounding.
        let words = format!("{value:.6e}");
        match words.split_once('e') {
            Some((digits, exponent)) => {
                let digits = digits.trim_end_matches('0').trim_end_matches('.');
                format!("{digits}e{exponent}")
            }
            None => words,
        }
    };
    words.replace('-', "\u{2212}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(ticks: &[Tick]) -> Vec<&str> {
        ticks.iter().filter_map(|t| t.words.as_deref()).collect()
    }

    #[test]
    fn linear_ticks_stand_at_round_numbers() {
        let axis = Axis::linear("FS", "");
        let reach = axis.reach([0.07, 2.83].into_iter());
        assert_eq!((reach.from, reach.to), (0.0, 3.0));
        assert_eq!(
            words(&reach.ticks(6)),
            ["0.0", "0.5", "1.0", "1.5", "2.0", "2.5", "3.0"].map(|w| if w == "0.0" { "0" } else { w })
        );
        let reach = axis.reach([-120.0, 340.0].into_iter());
        assert_eq!((reach.from, reach.to), (-200.0, 400.0));
        assert_eq!(words(&reach.ticks(6))[0], "\u{2212}200");
    }

    #[test]
    fn logarithmic_ticks_stand_at_powers_and_between() {
        let axis = Axis::log("volume", "m³");
        let reach = axis.reach([0.013, 18.0, -4.0, 0.0, f64::NAN].into_iter());
        assert_eq!((reach.from, reach.to), (0.01, 20.0));
        let ticks = reach.ticks(8);
        assert_eq!(words(&ticks), ["0.01", "0.1", "1", "10"]);
        assert_eq!(ticks.len(), 3 * 9 + 2);
        let reach = axis.reach([1.0, 90.0].into_iter());
        assert_eq!(words(&reach.ticks(8)), ["1", "2", "5", "10", "20", "50", "100"]);
    }

    #[test]
    fn shares_run_from_one_end_to_the_other() {
        let log = Axis::log("", "").between(0.1, 10.0).reach(std::iter::empty());
        assert!((log.share(1.0).unwrap() - 0.5).abs() < 1e-15);
        assert_eq!(log.share(0.0), None);
        let linear = Axis::linear("", "").between(2.0, 4.0).reach(std::iter::empty());
        assert_eq!(linear.share(5.0), Some(1.5));
        assert_eq!(linear.share(f64::INFINITY), None);
    }

    #[test]
    fn an_axis_over_nothing_or_one_value_has_room() {
        for axis in [Axis::linear("", ""), Axis::log("", "")] {
            for values in [vec![], vec![f64::NAN], vec![3.0], vec![1e90], vec![1e-90]] {
                let reach = axis.reach(values.iter().copied());
                assert!(reach.from < reach.to, "{axis:?} {values:?} {reach:?}");
                assert!(reach.ticks(6).len() <= 120);
            }
        }
        let upside_down = Axis::linear("", "").between(4.0, 2.0).reach(std::iter::empty());
        assert!(upside_down.from < upside_down.to);
    }

    #[test]
    fn numbers_are_written_short() {
        assert_eq!(number(0.30000000000000004, -1), "0.3");
        assert_eq!(number(2e6, 6), "2e6");
        assert_eq!(number(-5e-7, -7), "\u{2212}5e\u{2212}7");
        assert_eq!(number(1500.0, 2), "1500");
        // Neighbouring ticks of large coordinates stay apart.
        assert_eq!(number(7_654_320.0, 1), "7654320");
    }
}
