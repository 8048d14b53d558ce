use std::collections::BTreeSet;
use std::hash::{DefaultHasher, Hash, Hasher};

use super::Reading;
use super::warning::Warning;

/// What tells a joint from every other one: the bits of its numbers.
type Identity = ([u64; 4], Option<usize>, Option<usize>);

/// Finds readings that are kept but should be looked at.
pub(crate) fn find_doubts(readings: &[Reading], warnings: &mut Vec<Warning>) {
    let repeats = repeats(readings);
    let mut next = repeats.iter().peekable();
    for (at, reading) in readings.iter().enumerate() {
        if reading.plane.dip_deg == 0.0 && reading.plane.dip_direction_deg != 0.0 {
            warnings.push(Warning::LevelWithDirection { line: reading.line_number });
        }
        if let Some(&(_, first)) = next.next_if(|(repeat, _)| *repeat == at) {
            let first_line = readings[first].line_number;
            warnings.push(Warning::Duplicate { line: reading.line_number, first_line });
        }
    }
    let near_steel = readings.iter().filter(|r| r.near_steel).count();
    if near_steel > 0 {
        warnings.push(Warning::NearSteel { readings: near_steel });
    }
    let instruments: BTreeSet<&str> =
        readings.iter().filter_map(|r| r.remarks.as_ref()?.instrument.as_deref()).collect();
    if instruments.len() > 1 {
        warnings
            .push(Warning::MixedInstruments { names: instruments.into_iter().map(str::to_owned).collect() });
    }
}

/// The readings that are one joint with an earlier one, by their places, with the first such.
pub(crate) fn repeats(readings: &[Reading]) -> Vec<(usize, usize)> {
    // Sums of the identities sorted, not a map of them: a tenth of the memory of a million readings.
    let mut sums: Vec<(u64, usize)> = readings
        .iter()
        .enumerate()
        .filter_map(|(at, reading)| {
            let mut hasher = DefaultHasher::new();
            identity(reading)?.hash(&mut hasher);
            Some((hasher.finish(), at))
        })
        .collect();
    sums.sort_unstable();
    let mut found = Vec::new();
    for alike in sums.chunk_by(|a, b| a.0 == b.0).filter(|alike| alike.len() > 1) {
        for (nth, &(_, at)) in alike.iter().enumerate().skip(1) {
            // Equal sums are not yet equal joints.
            let own = identity(&readings[at]);
            let first = alike[..nth].iter().find(|(_, earlier)| identity(&readings[*earlier]) == own);
            found.extend(first.map(|&(_, first)| (at, first)));
        }
    }
    found.sort_unstable();
    found
}

/// Two joints of equal orientation are common, as people read whole degrees; at the same place
/// of the same line, or with the same trace length to the centimetre on the same line, they are
/// one joint written twice. Without a distance nothing can be said.
fn identity(reading: &Reading) -> Option<Identity> {
    let distance = reading.distance_m?;
    let bits = |v: Option<f64>| v.map_or(u64::MAX, f64::to_bits);
    Some((
        [
            reading.plane.dip_deg.to_bits(),
            reading.plane.dip_direction_deg.to_bits(),
            distance.to_bits(),
            bits(reading.trace_length_m),
        ],
        reading.line,
        reading.label,
    ))
}
