use std::collections::BTreeSet;
use std::hash::{DefaultHasher, Hash, Hasher};

use super::warning::Warning;
use super::{Reading, Remarks, RockQuality, Termination};

/// What tells a joint from every other one.
#[derive(PartialEq, Eq, Hash)]
struct Identity<'r> {
    /// The bits of dip, dip direction, place and trace length.
    numbers: [u64; 4],
    line: Option<usize>,
    label: Option<usize>,
    /// What else was recorded, where the place is a chainage: people read it to the metre.
    rest: Option<Rest<'r>>,
}

/// What a row says besides plane, place, trace and label.
type Rest<'r> = (Option<u8>, Option<[Termination; 2]>, [u64; 9], Option<&'r Remarks>);

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

/// Two joints of equal orientation are common, as people read whole degrees; at the same distance on the same line, or
/// at the same chainage where no distance stands and with the same of all that was recorded, they are one joint
/// written twice. Without a place nothing can be said.
fn identity(reading: &Reading) -> Option<Identity<'_>> {
    let place = reading.distance_m.or(reading.chainage_m)?;
    let bits = |v: Option<f64>| v.map_or(u64::MAX, f64::to_bits);
    let rest = || {
        let of = |value: fn(&RockQuality) -> Option<f64>| bits(reading.quality.as_deref().and_then(value));
        let numbers = [
            bits(reading.spacing_m),
            bits(reading.jrc),
            bits(reading.mapper_weight),
            of(|q| q.jcs_mpa),
            of(|q| q.jr),
            of(|q| q.ja),
            of(|q| q.jn),
            of(|q| q.rqd_percent),
            of(|q| q.jcond89),
        ];
        (reading.ends_seen, reading.terminations, numbers, reading.remarks.as_deref())
    };
    Some(Identity {
        numbers: [
            reading.plane.dip_deg.to_bits(),
            reading.plane.dip_direction_deg.to_bits(),
            place.to_bits(),
            bits(reading.trace_length_m),
        ],
        line: reading.line,
        label: reading.label,
        rest: reading.distance_m.is_none().then(rest),
    })
}
