use std::collections::{BTreeSet, HashMap};

use super::Reading;
use super::warning::Warning;

/// What tells a joint from every other one: the bits of its numbers.
type Identity = ([u64; 4], Option<usize>, Option<usize>);

/// Finds readings that are kept but should be looked at.
pub(crate) fn find_doubts(readings: &[Reading], warnings: &mut Vec<Warning>) {
    let mut seen: HashMap<Identity, usize> = HashMap::new();
    for reading in readings {
        if reading.plane.dip_deg == 0.0 && reading.plane.dip_direction_deg != 0.0 {
            warnings.push(Warning::LevelWithDirection { line: reading.line_number });
        }
        if let Some(identity) = identity(reading) {
            let first_line = *seen.entry(identity).or_insert(reading.line_number);
            if first_line != reading.line_number {
                warnings.push(Warning::Duplicate { line: reading.line_number, first_line });
            }
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
