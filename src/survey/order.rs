use std::cmp::Ordering;

use super::{Reading, Survey};

/// Indices of the readings in an order that depends on what they say and not on their rows:
/// every sum and every random draw runs in this order, so that sorting a file changes nothing.
pub(crate) fn canonical_order(survey: &Survey) -> Vec<usize> {
    let lines = ranks(survey);
    // What tells nearly all of them apart lies beside each other.
    let key = |(at, reading): (usize, &Reading)| Key {
        dip_direction: ordered_bits(reading.plane.dip_direction_deg),
        dip: ordered_bits(reading.plane.dip_deg),
        line: reading.line.map(|line| lines[line]),
        distance: reading.distance_m.map(ordered_bits),
        at,
    };
    let mut order: Vec<Key> = survey.readings.iter().enumerate().map(key).collect();
    order.sort_by(|a, b| {
        a.place()
            .cmp(&b.place())
            .then_with(|| compare(survey, &survey.readings[a.at], &survey.readings[b.at]))
    });
    // By reference: the list would else keep the room that its keys took, several times its own.
    order.iter().map(|key| key.at).collect()
}

/// What readings are ordered by before anything else.
struct Key {
    dip_direction: i64,
    dip: i64,
    line: Option<usize>,
    distance: Option<i64>,
    at: usize,
}

impl Key {
    /// What is not said comes first.
    fn place(&self) -> (i64, i64, Option<usize>, Option<i64>) {
        (self.dip_direction, self.dip, self.line, self.distance)
    }
}

/// Where each line comes by its name: places in the list follow the rows. Equal names have equal ranks.
fn ranks(survey: &Survey) -> Vec<usize> {
    let mut names: Vec<&str> = survey.lines.iter().map(|line| line.id.as_str()).collect();
    names.sort_unstable();
    survey.lines.iter().map(|line| names.partition_point(|name| *name < line.id.as_str())).collect()
}

/// A whole number that is ordered as `total_cmp` orders the value.
fn ordered_bits(value: f64) -> i64 {
    let bits = value.to_bits().cast_signed();
    bits ^ ((bits >> 63).cast_unsigned() >> 1).cast_signed()
}

/// Of readings of the same plane at the same place.
fn compare(survey: &Survey, a: &Reading, b: &Reading) -> Ordering {
    let number = |x: Option<f64>, y: Option<f64>| match (x, y) {
        (Some(x), Some(y)) => x.total_cmp(&y),
        (x, y) => x.is_some().cmp(&y.is_some()),
    };
    number(a.trace_length_m, b.trace_length_m)
        .then_with(|| a.ends_seen.cmp(&b.ends_seen))
        .then_with(|| number(a.spacing_m, b.spacing_m))
        .then_with(|| number(a.jrc, b.jrc))
        .then_with(|| number(a.mapper_weight, b.mapper_weight))
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
