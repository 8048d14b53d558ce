//! Words of messages: the bounds of a number, and what to do about a key.

use super::rules::Range;
use crate::input::unit;

/// The bounds of a number in words, with the unit of its key.
pub(super) fn bounds(range: &Range, key: &str) -> String {
    let span = match (range.least, range.above, range.most) {
        (Some(least), _, Some(most)) => format!("a number from {least} to {most}"),
        (None, Some(above), Some(most)) => format!("a number above {above}, up to {most}"),
        (Some(least), _, None) => format!("a number from {least} up"),
        (None, Some(above), None) => format!("a number above {above}"),
        (None, None, Some(most)) => format!("a number up to {most}"),
        (None, None, None) => "a number".to_owned(),
    };
    let span = if range.whole { span.replacen("a number", "a whole number", 1) } else { span };
    match unit(key) {
        "" => span,
        unit => format!("{span} {unit}"),
    }
}

/// What to do about a value that is out of range.
pub(super) fn advice_for(key: &str) -> &'static str {
    match key {
        "dip_deg" => "measure down from level; an overturned plane takes the opposite dip direction",
        "dip_direction_deg" | "trend_deg" => "count clockwise from north, once round",
        "plunge_deg" => "count down from level; an incline that climbs has a negative plunge",
        "friction_deg" => "give the friction angle of the joints, not a coefficient",
        "unit_weight_kn_m3" => "give kN/m³: t/m³ times 9.81",
        "spacing_m" | "ring_spacing_m" => "give the distance between bolts in metres",
        "judged_down_to_m" => {
            "give the height above the floor, in metres, below which a wall is nobody's concern"
        }
        "scaling_up_to_m3" => "give the volume of the largest piece that is barred down, in m³",
        "bay_kn" => "give the load in kN that one bay carried in your tests: tonnes times 9.81",
        "thickness_m" | "adhesion_width_m" => "give metres: millimetres divided by 1000",
        "plate_kn" => "give 0 where there is no plate",
        "min_fs_falling" | "min_fs_sliding" => "give the factor of safety that your site asks for",
        "utilisation" => "give the share of the shift that is worked, such as 0.5",
        "holes" | "rings" => "give a whole number of them",
        _ if key.ends_with("_factor") => "give the share that is left, such as 0.9; 1 is as tested",
        _ if key.ends_with("_mpa") => "give MPa: kPa divided by 1000",
        _ if key.starts_with("price_") => "give the price of one, or leave the key out",
        _ if key.ends_with("_min") => "give minutes; an activity that is not done has no bolts of its kind",
        _ if key.ends_with("_mm") => "give the diameter in millimetres",
        _ if key.ends_with("_m") => "give metres",
        _ if key.ends_with("_kn") => "give kN: tonnes times 9.81",
        _ if key.ends_with("_kpa") => "give kPa: MPa times 1000",
        _ => "correct the number",
    }
}
