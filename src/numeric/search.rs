/// Golden section for the greatest value between `low` and `high`: looks at two inner places a
/// step, the lower one first, and drops the outer part on the side of the lesser. Returns the
/// bracket that is left, 0.618^`steps` of the first.
///
/// The value should have one peak in the bracket; where it has more, the bracket closes in on one
/// of them. Among equals it keeps to the lower side. The caller notes in `value` what it wants to
/// keep of the places looked at, 2 · `steps` of them: the best of those is never worse than the
/// bracket's middle. There is no tolerance: a bracket of width w is as fine as a double, about
/// 1e-16 of w, after 76 steps; past half of those digits a smooth peak is flat to rounding.
pub fn golden_greatest(
    (mut low, mut high): (f64, f64),
    steps: usize,
    mut value: impl FnMut(f64) -> f64,
) -> (f64, f64) {
    let golden = 0.5 * (5f64.sqrt() - 1.0);
    for _ in 0..steps {
        let (a, b) = (high - golden * (high - low), low + golden * (high - low));
        let (at_a, at_b) = (value(a), value(b));
        if at_a >= at_b { high = b } else { low = a }
    }
    (low, high)
}

/// As [`golden_greatest`], for the least value.
pub fn golden_least(bracket: (f64, f64), steps: usize, mut value: impl FnMut(f64) -> f64) -> (f64, f64) {
    golden_greatest(bracket, steps, |at| -value(at))
}

/// Halves the stretch between a place where `holds` is true and one where it is not, `steps`
/// times, and returns both ends of what is left: (last place where it holds, nearest where it does
/// not), 2^−`steps` of the first stretch apart.
///
/// Either may be the greater. Neither is looked at: where `holds` is false of the first after all,
/// or true of the second, that end comes back as it was given. It stops early where no double lies
/// between the ends.
pub fn bisect(holding: f64, failing: f64, steps: usize, holds: impl FnMut(f64) -> bool) -> (f64, f64) {
    halve(holding, failing, steps, f64::NEG_INFINITY, holds)
}

/// As [`bisect`], until the ends are at most `apart` from each other, in the unit of the places.
pub fn bisect_to(holding: f64, failing: f64, apart: f64, holds: impl FnMut(f64) -> bool) -> (f64, f64) {
    halve(holding, failing, usize::MAX, apart, holds)
}

fn halve(
    mut holding: f64,
    mut failing: f64,
    steps: usize,
    apart: f64,
    mut holds: impl FnMut(f64) -> bool,
) -> (f64, f64) {
    for _ in 0..steps {
        if (failing - holding).abs() <= apart {
            break;
        }
        let middle = 0.5 * (holding + failing);
        if middle == holding || middle == failing {
            break;
        }
        if holds(middle) {
            holding = middle;
        } else {
            failing = middle;
        }
    }
    (holding, failing)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn golden_section_closes_in_on_a_peak() {
        let mut seen = Vec::new();
        let (low, high) = golden_greatest((0.0, 4.0), 24, |x| {
            seen.push(x);
            -(x - 1.3).powi(2)
        });
        assert!(low <= 1.3 && 1.3 <= high);
        let left = (0.5 * (5f64.sqrt() - 1.0)).powi(24);
        assert!(((high - low) / 4.0 - left).abs() < 1e-12, "{}", high - low);
        assert_eq!(seen.len(), 48);
        assert!(seen[0] < seen[1], "the lower place first");
        let (low, high) = golden_least((-1.0, 0.5), 30, |x| (x + 0.25).abs());
        assert!(low <= -0.25 && -0.25 <= high && high - low < 1e-5);
    }

    #[test]
    fn a_peak_at_an_end_is_found_and_equals_keep_low() {
        let (low, high) = golden_greatest((2.0, 3.0), 40, |x| x);
        assert!(3.0 - low < 1e-8 && high == 3.0);
        let (low, high) = golden_greatest((2.0, 3.0), 40, |_| 1.0);
        assert!(low == 2.0 && high - 2.0 < 1e-8);
    }

    #[test]
    fn bisection_finds_an_edge_from_either_side() {
        let (holding, failing) = bisect(0.0, 1.0, 30, |x| x * x < 0.5);
        assert!(holding < 0.5f64.sqrt() && failing >= 0.5f64.sqrt());
        assert_eq!(failing - holding, 0.5f64.powi(30));
        let (holding, failing) = bisect(1.0, 0.0, 30, |x| x * x >= 0.5);
        assert!(holding >= 0.5f64.sqrt() && failing < 0.5f64.sqrt());
    }

    #[test]
    fn bisection_ends_where_a_double_does() {
        let mut looks = 0;
        let (holding, failing) = bisect(1.0, 2.0, usize::MAX, |x| {
            looks += 1;
            x < 1.6
        });
        assert_eq!((holding.next_up(), failing, looks), (1.6, 1.6, 52));
    }

    #[test]
    fn bisection_to_a_width_stops_there_and_looks_at_neither_end() {
        let (holding, failing) = bisect_to(3.0, -5.0, 0.1, |x| x > 0.3);
        assert!(holding > 0.3 && failing <= 0.3 && holding - failing <= 0.1 && holding - failing > 0.05);
        assert_eq!(bisect_to(1.0, 1.05, 0.1, |_| unreachable!()), (1.0, 1.05));
    }
}
