use std::cmp::Ordering;

use super::{Reading, Survey};

/// Indices of the readings in an order that depends on what they say and not on their rows:
/// every sum and every random draw runs in this order, so that sorting a file changes nothing.
pub(crate) fn canonical_order(survey: &Survey) -> Vec<usize> {
    // What tells most of them apart lies beside each other.
    let key = |(at, reading): (usize, &Reading)| {
        (ordered_bits(reading.plane.dip_direction_deg), ordered_bits(reading.plane.dip_deg), at)
    };
    let mut order: Vec<(i64, i64, usize)> = survey.readings.iter().enumerate().map(key).collect();
    order.sort_by(|a, b| {
        (a.0, a.1)
            .cmp(&(b.0, b.1))
            .then_with(|| compare(survey, &survey.readings[a.2], &survey.readings[b.2]))
    });
    order.into_iter().map(|(.., at)| at).collect()
}

/// A whole number that is ordered as `total_cmp` orders the value.
fn ordered_bits(value: f64) -> i64 {
    let bits = value.to_bits().cast_signed();
    bits ^ ((bits >> 63).cast_unsigned() >> 1).cast_signed()
}

/// Of readings of the same plane.
fn compare(survey: &Survey, a: &Reading, b: &Reading) -> Ordering {
    let number = |x: Option<f64>, y: Option<f64>| match (x, y) {
        (Some(x), Some(y)) => x.total_cmp(&y),
        (x, y) => x.is_some().cmp(&y.is_some()),
    };
    // By name: indices follow the rows.
    let line = |r: &Reading| r.line.map(|at| survey.lines[at].id.as_str());
    let by_line = if a.line == b.line { Ordering::Equal } else { line(a).cmp(&line(b)) };
    by_line
        .then_with(|| number(a.distance_m, b.distance_m))
        .then_with(|| number(a.trace_length_m, b.trace_length_m))
        .then_with(|| a.ends_seen.cmp(&b.ends_seen))
        .then_with(|| number(a.spacing_m, b.spacing_m))
        .then_with(|| number(a.jrc, b.jrc))
        .then_with(|| {
            let name = |r: &Reading| r.label.map(|at| survey.labels[at].as_str());
            name(a).cmp(&name(b))
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bits_are_ordered_as_values_are() {
        let values =
            [f64::NEG_INFINITY, -360.0, -1e-9, -0.0, 0.0, 1e-300, 0.5, 89.999, 90.0, 360.0, f64::INFINITY];
        for a in values {
            for b in values {
                assert_eq!(ordered_bits(a).cmp(&ordered_bits(b)), a.total_cmp(&b), "{a} {b}");
            }
        }
    }
}
