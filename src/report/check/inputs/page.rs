//! The page's section on inputs and where they come from.

use super::hung::hung_lines;
use super::scan::{scan_lines, scan_section_words};
use crate::case::{Case, Joint};
use crate::opening::SectionShape;
use crate::report::check::bolts::pull_tests::pull_test_words;
use crate::report::check::bolts::words::{boom_words, hold_words};
use crate::report::check::laws::law_words;
use crate::report::check::shaking::shaking_lines;
use crate::report::check::stress::stress_lines;
use crate::report::check::structures::{local_lines, structure_lines};
use crate::report::check::surface::words::support_words;
use crate::report::check::water::water_lines;
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::{Figure, Html};
use crate::report::paper::numbers::{fixed, shortest};
use crate::report::paper::table::Table;
use crate::report::words::NO_SOURCE;
use crate::study::{Check, lowest_rows};
use crate::support::{Aim, BondTests};

/// A row of the table of joint sets.
#[derive(Debug, Clone, Copy)]
struct JointSetRow<'a> {
    set: &'a Joint,
    longest_trace_m: Option<f64>,
}

fn joint_set_table<'a>() -> Table<JointSetRow<'a>> {
    use Format::{Shortest, Words};
    Table::<JointSetRow<'a>>::new()
        .only_shown("name", |r| (&r.set.name).into())
        .on_page("joint set", Words)
        .only_shown("dip_deg", |r| r.set.plane.dip_deg.into())
        .on_page("dip °", Shortest)
        .only_shown("dip_direction_deg", |r| r.set.plane.dip_direction_deg.into())
        .on_page("dip direction °", Shortest)
        .only_shown("friction_deg", |r| r.set.strength.friction_deg.into())
        .on_page("friction °", Shortest)
        .only_shown("cohesion_kpa", |r| r.set.strength.cohesion_kpa.into())
        .on_page("cohesion kPa", Shortest)
        .only_shown("longest_trace_m", |r| r.longest_trace_m.map_or("no cap".into(), Cell::Number))
        .on_page("longest trace m", Shortest)
        .only_shown("source", |r| r.set.source.as_deref().unwrap_or(NO_SOURCE).into())
        .on_page("source", Words)
}

/// The section.
pub(crate) fn section(
    body: &mut Html,
    case: &Case,
    check: &Check,
    bond_tests: &[Option<BondTests>],
    figures: &[Figure],
) {
    body.heading("Inputs and where they come from");
    let mut lines = vec![format!(
        "Drive: trend {}°, plunge {}°, {}; round {} m; rock {} kN/m³.",
        shortest(case.advance.trend_deg),
        shortest(case.advance.plunge_deg),
        section_words(&case.shape),
        shortest(case.round_length_m),
        shortest(case.unit_weight_kn_m3)
    )];
    lines.push(match case.last_ring_from_face_m {
        Some(m) => format!("Last ring behind the face once a round is bolted: {} m.", shortest(m)),
        None => "Last ring behind the face once a round is bolted: not given.".to_owned(),
    });
    lines.extend(scan_lines(case));
    lines.push(format!("Source of the case: {}.", case.source.as_deref().unwrap_or(NO_SOURCE)));
    lines.push(format!(
        "Asked: FS {} falling, {} sliding.",
        shortest(case.criteria.min_fs_falling),
        shortest(case.criteria.min_fs_sliding)
    ));
    body.list(lines.into_iter());
    body.figure(figures, "scan");
    let of_all = case.limits.max_trace_m;
    let rows: Vec<JointSetRow<'_>> = case
        .joints
        .iter()
        .map(|set| JointSetRow { set, longest_trace_m: set.max_trace_m.or(of_all) })
        .collect();
    body.table(&joint_set_table().page_of_all(&rows));
    let laws =
        case.joints.iter().filter_map(|set| Some(format!("{}: {}", set.name, law_words(set.law.as_ref()?))));
    body.list(laws);
    let limits = [
        ("depth", case.limits.max_depth_m, "m"),
        ("length", case.limits.max_length_m, "m"),
        ("volume", case.limits.max_volume_m3, "m³"),
    ];
    body.list(limits.iter().filter_map(|(what, cap, unit)| {
        cap.map(|c| format!("Greatest {what} of a wedge: {} {unit}.", shortest(c)))
    }));
    if case.patterns.is_empty() && case.local.is_empty() && case.face_bolts.is_empty() {
        body.paragraph("No pattern: a check without bolts.");
    }
    body.list((0..case.first_on_face()).map(|place| pattern_words(case, place)));
    body.list((0..case.face_bolts.len()).map(|at| face_words(case, at)));
    body.list(local_lines(case).into_iter());
    body.list(lowest_rows(case, &check.layouts).iter().map(|row| format!("{row}.")));
    body.list(pull_test_words(case, bond_tests).into_iter());
    body.list(case.every_surface().map(support_words));
    body.list(structure_lines(case, check).into_iter());
    body.list(hung_lines(case, check).into_iter());
    body.list(shaking_lines(case).into_iter().take(1));
    body.list(water_lines(case).into_iter().take(1));
    body.list(stress_lines(case).into_iter().take(1));
}

fn section_words(shape: &SectionShape) -> String {
    match shape {
        SectionShape::Flat { width_m, height_m } => {
            format!("flat back, {} × {} m", shortest(*width_m), shortest(*height_m))
        }
        SectionShape::Arched { width_m, wall_height_m, rise_m } => format!(
            "arched back, {} m wide, walls {} m, rise {} m",
            shortest(*width_m),
            shortest(*wall_height_m),
            shortest(*rise_m)
        ),
        SectionShape::Circular { diameter_m } => format!("circular, {} m", shortest(*diameter_m)),
        SectionShape::Outline { points } => format!("measured outline of {} points", points.len()),
        SectionShape::Scan(scan) => scan_section_words(scan),
    }
}

/// A single bolt; `None` for a pattern.
fn spot_words(case: &Case, index: usize) -> Option<String> {
    let number = case.spot_number(index)?;
    let spot = case.local.get(index - case.patterns.len())?;
    let collar = spot.collar()?;
    let (pattern, bolt) = (spot.pattern(), &case.bolts[spot.pattern().bolt]);
    Some(format!(
        "Single bolt {number}: {} ({}) in the {} at chainage {} m, u {} m, v {} m, {} m long, {} m outside the hole; steel {} kN, {}, plate {} kN. Capacities: {}.",
        bolt.name,
        bolt.kind.name(),
        collar.surface.name(),
        fixed(spot.from_m(), 2),
        fixed(collar.point.x, 2),
        fixed(collar.point.y, 2),
        shortest(pattern.length_m),
        shortest(pattern.outside_hole_m),
        shortest(bolt.steel_kn),
        hold_words(bolt.anchorage),
        shortest(bolt.plate_kn),
        bolt.source.as_deref().unwrap_or(NO_SOURCE)
    ))
}

/// A pattern on the face.
fn face_words(case: &Case, at: usize) -> String {
    let bolts = &case.face_bolts[at];
    let (pattern, bolt) = (bolts.pattern(), &case.bolts[bolts.pattern().bolt]);
    let along = bolts.up_deg() == 0.0 && bolts.right_deg() == 0.0;
    format!(
        "Pattern {}: {} ({}) in the face, {} m long, {} m outside the hole, {} m across the face, rows {} m above each other from {} m above the floor{}, {}; steel {} kN, {}, plate {} kN. They hold wedges at the face alone, and the next round blasts them away. Capacities: {}.",
        case.pattern_number(case.first_on_face() + at).unwrap_or_default(),
        bolt.name,
        bolt.kind.name(),
        shortest(pattern.length_m),
        shortest(pattern.outside_hole_m),
        shortest(pattern.spacing_m),
        shortest(bolts.row_spacing_m()),
        shortest(bolts.lowest_collar_m()),
        if pattern.stagger { ", staggered" } else { "" },
        if along {
            "along the drive's axis".to_owned()
        } else {
            format!(
                "{}° up and {}° to the right of the drive's axis",
                shortest(bolts.up_deg()),
                shortest(bolts.right_deg())
            )
        },
        shortest(bolt.steel_kn),
        hold_words(bolt.anchorage),
        shortest(bolt.plate_kn),
        bolt.source.as_deref().unwrap_or(NO_SOURCE)
    )
}

fn pattern_words(case: &Case, index: usize) -> String {
    let pattern = case.pattern_at(index);
    let bolt = &case.bolts[pattern.bolt];
    if let Some(words) = spot_words(case, index) {
        return words;
    }
    let local = index.checked_sub(case.patterns.len()).map(|at| &case.local[at]);
    let covers: Vec<&str> = pattern.covers.iter().map(|c| c.name()).collect();
    let hold = hold_words(bolt.anchorage);
    let aim = match pattern.aim {
        Aim::Normal => "square to the surface".to_owned(),
        Aim::Vertical => "vertical".to_owned(),
        Aim::Fan { origin } => format!("fanned from u {}, v {}", shortest(origin.x), shortest(origin.y)),
        Aim::Boom(boom) => boom_words(&boom),
    };
    let heights = [("lowest collar", pattern.lowest_collar_m), ("a row on each wall at", pattern.row_at_m)];
    let heights: String =
        heights.iter().filter_map(|(what, v)| Some(format!(", {what} {} m", shortest((*v)?)))).collect();
    format!(
        "Pattern {}: {} ({}) on {}, {} m long, {} m outside the hole, rings {} m, {} m along the perimeter{}{}{}, {aim}; steel {} kN, {hold}, plate {} kN{}. Capacities: {}.",
        index + 1,
        bolt.name,
        bolt.kind.name(),
        covers.join(", "),
        shortest(pattern.length_m),
        shortest(pattern.outside_hole_m),
        shortest(pattern.ring_spacing_m),
        shortest(pattern.spacing_m),
        if pattern.stagger { ", staggered" } else { "" },
        heights,
        match (local, pattern.offset_m) {
            (Some(local), _) => format!(
                ", from chainage {} to {} m alone ({} rings)",
                shortest(local.from_m()),
                shortest(local.to_m()),
                local.rings()
            ),
            (None, Some(m)) => format!(", ring 0 at chainage {} m", shortest(m)),
            (None, None) => String::new(),
        },
        shortest(bolt.steel_kn),
        shortest(bolt.plate_kn),
        bolt.fast_length_m.map(|m| format!(", fast resin {} m at the toe", shortest(m))).unwrap_or_default(),
        bolt.source.as_deref().unwrap_or(NO_SOURCE)
    )
}
