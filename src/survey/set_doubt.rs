use super::analyse::{MapOptions, Mapped};
use super::warning::Warning;
use super::weight::{best_exposure, lines_seen};
use super::{SetSource, Survey};
use crate::orientation::Plane;

/// The greatest K that careful mapping by hand can resolve: K = 1/σ² for a standard deviation σ
/// of 5° each way. 5° in dip is how far a hand-held scanner and a compass were found apart on
/// the same joints (a conference abstract); the turn into K is derived.
pub const RESOLVABLE_K: f64 = 131.3;
/// Fewer readings than this are warned about. Common practice, no source.
pub const FEW_READINGS: usize = 10;
/// A labelled reading further than this from its set's mean is looked at twice, and a quarter
/// turn explains it when it brings it this near.
const FAR_DEG: f64 = 45.0;
const NEAR_DEG: f64 = 20.0;
/// Fisher's angular standard deviation is 81°/√K.
const STANDARD_DEVIATION_DEG: f64 = 81.0;

/// Finds what is doubtful about sets, once they are known.
pub(crate) fn warn_about_sets(survey: &Survey, options: &MapOptions, mapped: &mut Mapped) {
    let (mut warnings, max_weight) = (Vec::new(), options.max_weight);
    let unlabelled = survey.readings.iter().filter(|r| r.label.is_none()).count();
    if mapped.mixture.is_none() && options.source == SetSource::LabelsElseAutomatic && unlabelled > 0 {
        warnings.push(Warning::SomeUnlabelled { unlabelled, readings: survey.readings.len() });
    }
    if let Some(zone) = mapped.blind_zone.as_ref().filter(|zone| zone.share > 0.0) {
        warnings.push(Warning::BlindZone { share: zone.share, max_weight });
    }
    let capped = mapped.classes.iter().filter(|class| class.weight >= max_weight).count();
    if capped > 0 {
        warnings.push(Warning::WeightCapped { readings: capped, max_weight });
    }
    let lines = lines_seen(&survey.readings, &survey.lines);
    for set in &mapped.sets {
        let name = || set.name.clone();
        if set.no_scatter {
            warnings.push(Warning::NoScatter { set: name(), readings: set.readings });
        }
        if set.readings < FEW_READINGS {
            warnings.push(Warning::FewReadings { set: name(), readings: set.readings });
        } else if let Some(k) = set.fisher_k.filter(|&k| k > RESOLVABLE_K) {
            warnings.push(Warning::KTooHigh { set: name(), k, resolvable: RESOLVABLE_K });
        }
        if set.traces_endless {
            warnings.push(Warning::TracesEndless { set: name() });
        }
        if let Some(lines) = &lines
            && best_exposure(lines, &set.normal()) * max_weight < 1.0
        {
            warnings.push(Warning::SetInBlindZone { set: name() });
        }
    }
    for (at, first) in mapped.sets.iter().enumerate() {
        for second in &mapped.sets[at + 1..] {
            let angle_deg = first.mean.angle_to_deg(second.mean);
            let scatter_deg = [first, second]
                .iter()
                .filter_map(|set| set.fisher_k)
                .map(|k| STANDARD_DEVIATION_DEG / k.sqrt())
                .fold(0.0, f64::max);
            if angle_deg < scatter_deg {
                warnings.push(Warning::SetsOverlap {
                    first: first.name.clone(),
                    second: second.name.clone(),
                    angle_deg,
                });
            }
        }
    }
    if mapped.mixture.is_none() {
        quarter_turns(survey, mapped, &mut warnings);
    }
    mapped.warnings.append(&mut warnings);
}

/// Readings of a labelled set that a quarter turn would bring back to it.
fn quarter_turns(survey: &Survey, mapped: &Mapped, warnings: &mut Vec<Warning>) {
    for (reading, class) in survey.readings.iter().zip(&mapped.classes) {
        let Some(set) = class.set.and_then(|at| mapped.sets.get(at)) else {
            continue;
        };
        if reading.plane.angle_to_deg(set.mean) < FAR_DEG {
            continue;
        }
        let turned = [-90.0, 90.0]
            .map(|turn| Plane { dip_direction_deg: reading.plane.dip_direction_deg + turn, ..reading.plane });
        if turned.iter().any(|plane| plane.angle_to_deg(set.mean) < NEAR_DEG) {
            warnings.push(Warning::QuarterTurnFits { line: reading.line_number, set: set.name.clone() });
        }
    }
}
