use std::cmp::Ordering;

use super::{Reading, Survey};

/// Indices of the readings in an order that depends on what they say and not on their rows:
/// every sum and every random draw runs in this order, so that sorting a file changes nothing.
pub(crate) fn canonical_order(survey: &Survey) -> Vec<usize> {
    let mut order: Vec<usize> = (0..survey.readings.len()).collect();
    order.sort_by(|&a, &b| compare(survey, &survey.readings[a], &survey.readings[b]));
    order
}

fn compare(survey: &Survey, a: &Reading, b: &Reading) -> Ordering {
    let number = |x: Option<f64>, y: Option<f64>| match (x, y) {
        (Some(x), Some(y)) => x.total_cmp(&y),
        (x, y) => x.is_some().cmp(&y.is_some()),
    };
    a.plane
        .dip_direction_deg
        .total_cmp(&b.plane.dip_direction_deg)
        .then_with(|| a.plane.dip_deg.total_cmp(&b.plane.dip_deg))
        .then_with(|| {
            // By name: indices follow the rows.
            let name = |r: &Reading| r.line.map(|at| survey.lines[at].id.as_str());
            name(a).cmp(&name(b))
        })
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
