//! What is said of mapped structures and of the wedges that use them.

use crate::case::Case;
use crate::report::paper::numbers::{fixed, shortest};
use crate::report::words::NO_SOURCE;
use crate::study::{Check, CheckedWedge};
use crate::support::Serving;
use crate::wedge::Across;

/// A line a structure, a line a wedge that uses any, and what was not looked at; nothing without
/// structures.
#[must_use]
pub(super) fn structure_lines(case: &Case, check: &Check) -> Vec<String> {
    let mut lines: Vec<String> = case
        .structures()
        .map(|(_, joints, through)| {
            format!(
                "Structure {}: {}/{} (dip/dip direction) through chainage {} m, u {} m, v {} m; friction {}°, cohesion {} kPa. Source: {}.",
                joints.name,
                shortest(joints.plane.dip_deg),
                shortest(joints.plane.dip_direction_deg),
                fixed(through.y, 2),
                fixed(through.x, 2),
                fixed(through.z, 2),
                shortest(joints.strength.friction_deg),
                shortest(joints.strength.cohesion_kpa),
                joints.source.as_deref().unwrap_or(NO_SOURCE)
            )
        })
        .collect();
    if lines.is_empty() {
        return lines;
    }
    lines.extend(located_lines(case, check));
    lines.push("A wedge that uses a structure has it where it was mapped, not anywhere. One structure that crosses the drive leaves the place across the section open and gives each its chainage, one along the drive a line of apexes, two a line, three a point. Patterns with offset_m, those over a stretch and single bolts then stand where they are, other patterns slide. Smaller sizes of wedges whose apex has a line or a point are not judged, nor such wedges at the face and through the stages; a structure that crosses the drive counts there as one that the face can meet anywhere.".to_owned());
    lines
}

/// What is said of patterns over a stretch and of single bolts; nothing without any.
#[must_use]
pub(super) fn local_lines(case: &Case) -> Option<String> {
    (!case.local.is_empty()).then(|| {
        "Patterns over a stretch and single bolts stand at their chainages and nowhere else. They count for wedges that a structure which crosses the drive puts there, wherever along its trace these can be; never for wedges of sets alone, which may lie where they are not, nor for wedges at the face or across the last ring.".to_owned()
    })
}

/// Where each wedge that uses a structure is, and which rings hold it there.
#[must_use]
pub(super) fn located_lines(case: &Case, check: &Check) -> Vec<String> {
    let with_structure: Vec<&CheckedWedge> =
        check.wedges.iter().filter(|w| w.wedge.located.is_some()).collect();
    if with_structure.is_empty() && case.structures().next().is_some() {
        return vec!["No removable wedge of a litre or more uses a structure.".to_owned()];
    }
    with_structure.into_iter().map(|wedge| located_line(case, wedge)).collect()
}

fn located_line(case: &Case, wedge: &CheckedWedge) -> String {
    let left = match wedge.wedge.located.map(|l| l.across) {
        Some(Across::OnLine { .. }) => "its apex on a line",
        Some(Across::At(_)) => "its apex at one point",
        _ => "its place across the section open",
    };
    let place = match wedge.worst_apex() {
        Some(apex) => format!(
            "the largest has its apex at chainage {} m, u {} m, v {} m",
            fixed(apex.y, 2),
            fixed(apex.x, 2),
            fixed(apex.z, 2)
        ),
        None => "along the drive anywhere".to_owned(),
    };
    let mut text = format!("{} uses a structure, {left}: {place}", wedge.wedge.id);
    if let Some(placement) = &wedge.placement() {
        // Rings that slide have no number there.
        let stands = |s: &&Serving| case.pattern_at(s.pattern).offset_m.is_some();
        let mut rings: Vec<String> = Vec::new();
        for bolt in placement.serving.iter().filter(stands) {
            let ring = match case.spot_number(bolt.pattern) {
                Some(number) => format!("bolt_at {number}"),
                None => format!("ring {} of pattern {}", bolt.ring, bolt.pattern + 1),
            };
            if !rings.contains(&ring) {
                rings.push(ring);
            }
        }
        let sliding = placement.serving.iter().filter(|s| !stands(s)).count();
        let counted = if sliding == 1 { "1 bolt".to_owned() } else { format!("{sliding} bolts") };
        text.push_str(&match (rings.is_empty(), sliding) {
            (true, 0) => "; no bolt crosses it there".to_owned(),
            (false, 0) => format!("; crossed by bolts of {}", rings.join(", ")),
            (true, _) => {
                let why = "rings at their worst since no pattern gives offset_m";
                format!("; crossed by {counted}, {why}")
            }
            (false, _) => {
                format!("; crossed by bolts of {} and by {counted} of rings at their worst", rings.join(", "))
            }
        });
    }
    text.push('.');
    text
}
