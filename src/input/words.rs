//! Words that are slips of known ones, lists of words, and units that keys end in.

/// Words that are less alike than this (Jaro-Winkler, 1 is the same) are no help.
const LEAST_LIKENESS: f64 = 0.75;

/// How alike a key is to a word that ends in it; a slip of one letter is more.
const KEY_WITH_A_WORD_IN_FRONT: f64 = 0.9;

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
pub(crate) fn nearest<'k>(word: &str, known: impl Iterator<Item = &'k str>) -> Option<&'k str> {
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
    // A word more in front says more than was asked: `hole_length_m` means `length_m`.
    if a.strip_suffix(b).is_some_and(|front| front.ends_with('_')) {
        return KEY_WITH_A_WORD_IN_FRONT;
    }
    let whole = strsim::jaro_winkler(a, b).max(strsim::jaro_winkler(a, bare));
    if a.matches('_').count() != b.matches('_').count() {
        return whole;
    }
    let parts: Vec<f64> = a.split('_').zip(b.split('_')).map(|(a, b)| strsim::jaro_winkler(a, b)).collect();
    whole.max(parts.iter().sum::<f64>() / parts.len() as f64)
}

/// "a", "b" or "c".
pub(crate) fn one_of<'k>(words: impl Iterator<Item = &'k str>) -> String {
    let quoted: Vec<String> = words.map(|w| format!("\"{w}\"")).collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => quoted.concat(),
    }
}

/// The unit that a key or column ends in, in words; empty where it has none.
pub(crate) fn unit(key: &str) -> &'static str {
    UNITS.iter().find(|(suffix, _)| key.ends_with(suffix)).map_or("", |(_, unit)| unit)
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
