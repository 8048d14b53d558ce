//! Words of messages: the nearest known word, units from keys, lists, and what to do about a key.

use super::rules::Range;

/// Words that are less alike than this (Jaro-Winkler, 1 is the same) are no help.
const LEAST_LIKENESS: f64 = 0.75;

/// Longer words are not compared: no key is.
const LONGEST_COMPARED: usize = 64;

/// What keys end in, longest first, and the unit in words.
const UNITS: [(&str, &str); 15] = [
    ("_min_per_m", "minutes a metre"),
    ("_m_per_min", "metres a minute"),
    ("_percent", "percent"),
    ("_kn_m3", "kN/m³"),
    ("_kn_per_m", "kN per metre"),
    ("kn_per_m", "kN per metre"),
    ("_m3", "m³"),
    ("_deg", "degrees"),
    ("_kpa", "kPa"),
    ("_min", "minutes"),
    ("_mm", "millimetres"),
    ("_kn", "kN"),
    ("_m", "metres"),
    ("_h", "hours"),
    ("_s", "seconds"),
];

/// The known word most like `word`.
pub(super) fn nearest<'k>(word: &str, known: impl Iterator<Item = &'k str>) -> Option<&'k str> {
    if word.len() > LONGEST_COMPARED {
        return None;
    }
    let plain = |w: &str| w.to_lowercase().replace(['-', ' ', '_'], "_");
    let word = plain(word);
    let mut best: Option<(f64, &str)> = None;
    for candidate in known {
        let likeness = likeness(&word, &plain(candidate));
        if likeness >= LEAST_LIKENESS && best.is_none_or(|(b, _)| likeness > b) {
            best = Some((likeness, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// Likeness of the word to the whole key, to the key without its unit (`dip_dir` means
/// `dip_direction_deg`), or of their parts in turn (`dip_dir_deg`), whichever is most.
fn likeness(a: &str, b: &str) -> f64 {
    let bare = UNITS.iter().find_map(|(suffix, _)| b.strip_suffix(suffix)).unwrap_or(b);
    let whole = strsim::jaro_winkler(a, b).max(strsim::jaro_winkler(a, bare));
    if a.matches('_').count() != b.matches('_').count() {
        return whole;
    }
    let parts: Vec<f64> = a.split('_').zip(b.split('_')).map(|(a, b)| strsim::jaro_winkler(a, b)).collect();
    whole.max(parts.iter().sum::<f64>() / parts.len() as f64)
}

/// "a", "b" or "c".
pub(super) fn one_of<'k>(words: impl Iterator<Item = &'k str>) -> String {
    let quoted: Vec<String> = words.map(|w| format!("\"{w}\"")).collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => quoted.concat(),
    }
}

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

fn unit(key: &str) -> &'static str {
    UNITS.iter().find(|(suffix, _)| key.ends_with(suffix)).map_or("", |(_, unit)| unit)
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
        "scaling_up_to_m3" => "give the volume of the largest piece that is barred down, in m³",
        "bay_kn" => "give the load in kN that one bay carried in your tests: tonnes times 9.81",
        "thickness_m" | "adhesion_width_m" => "give metres: millimetres divided by 1000",
        "plate_kn" => "give 0 where there is no plate",
        "min_fs_falling" | "min_fs_sliding" => "give the factor of safety that your site asks for",
        "utilisation" => "give the share of the shift that is worked, such as 0.5",
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_the_pen_finds_its_key() {
        let known = ["dip_deg", "dip_direction_deg", "friction_deg", "name"];
        let near = |word| nearest(word, known.into_iter());
        assert_eq!(near("dip"), Some("dip_deg"));
        assert_eq!(near("dip_dir"), Some("dip_direction_deg"));
        assert_eq!(near("dip_dir_deg"), Some("dip_direction_deg"));
        assert_eq!(near("Friction"), Some("friction_deg"));
        assert_eq!(near("colour"), None);
        assert_eq!(near(&"d".repeat(1000)), None);
    }
}
