use super::analyse::{MapOptions, Mapped};
use super::warning::Warning;
use super::weight::{best_exposure, lines_seen};
use super::{SetSource, Survey};
use crate::orientation::{FisherStatistics, OrientationTensor, Plane, Vec3};

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
    let of_cap = survey.readings.iter().map(|r| max_weight * r.mapper_weight.unwrap_or(1.0));
    let capped = mapped.classes.iter().zip(of_cap).filter(|(class, cap)| class.weight >= *cap).count();
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
    domains_in_doubt(survey, mapped, &mut warnings);
    // A border by hand holds what its author saw fit.
    if mapped.mixture.is_none() && !matches!(options.source, SetSource::ByHand(_)) {
        quarter_turns(survey, mapped, &mut warnings);
    }
    mapped.warnings.append(&mut warnings);
}

/// Readings of a set on one side of a border that show a mean.
const LEAST_ON_A_SIDE: usize = 5;

/// Borders, and sets whose mean is not the same on both sides of one: further apart than both cones of confidence.
fn domains_in_doubt(survey: &Survey, mapped: &Mapped, warnings: &mut Vec<Warning>) {
    let Some(domains) = &mapped.domains else { return };
    let places: Vec<f64> = domains.borders.iter().map(|b| b.at_m).collect();
    for (nth, border) in domains.borders.iter().enumerate() {
        warnings.push(Warning::BorderFound { at_m: border.at_m, chance: border.chance, applied: false });
        let from = nth.checked_sub(1).map_or(f64::NEG_INFINITY, |before| places[before]);
        let to = places.get(nth + 1).copied().unwrap_or(f64::INFINITY);
        for (at, set) in mapped.sets.iter().enumerate() {
            let side = |from: f64, to: f64| {
                let axes: Vec<Vec3> = survey
                    .readings
                    .iter()
                    .zip(&mapped.classes)
                    .filter(|(_, class)| class.set == Some(at))
                    .filter(|(r, _)| domains.along.place_m(r).is_some_and(|m| m >= from && m < to))
                    .map(|(r, _)| r.plane.upward_normal().into_inner())
                    .collect();
                mean_and_cone(&axes)
            };
            let (Some(before), Some(after)) = (side(from, border.at_m), side(border.at_m, to)) else {
                continue;
            };
            let angle_deg = before.0.angle_to_deg(after.0);
            if angle_deg > before.1 + after.1 {
                let (set, border_m, means) = (set.name.clone(), border.at_m, [before.0, after.0]);
                warnings.push(Warning::MeanHidesTwo { set, border_m, means, angle_deg });
            }
        }
    }
}

/// Mean plane of some axes and the half-angle of its 95 % cone, degrees; `None` of too few.
fn mean_and_cone(axes: &[Vec3]) -> Option<(Plane, f64)> {
    // In an order of their own: sums do not depend on that of the rows.
    let mut axes = axes.to_vec();
    axes.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)).then(a.z.total_cmp(&b.z)));
    let weighted = || axes.iter().map(|axis| (*axis, 1.0));
    let toward =
        OrientationTensor::of_weighted(weighted()).filter(|_| axes.len() >= LEAST_ON_A_SIDE)?.axes[0];
    #[allow(clippy::cast_precision_loss)] // counts are far below 2^53
    let fisher = FisherStatistics::of_axes(weighted(), &toward, axes.len() as f64)?;
    Some((Plane::from_normal(&fisher.mean), fisher.cone_95_deg?))
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
