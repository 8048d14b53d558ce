//! Words of ISRM (1978), *Suggested methods for the quantitative description of
//! discontinuities in rock masses*, as in Brady & Brown (2004), tables 3.1 and 3.2. A value on
//! a boundary takes the wider or higher class.

/// The word for a mean spacing.
#[must_use]
pub fn spacing_word(spacing_m: f64) -> &'static str {
    class(
        spacing_m,
        &[
            (0.020, "extremely close"),
            (0.060, "very close"),
            (0.200, "close"),
            (0.600, "moderate"),
            (2.0, "wide"),
            (6.0, "very wide"),
        ],
        "extremely wide",
    )
}

/// The word for persistence, from a mean trace length.
#[must_use]
pub fn persistence_word(trace_length_m: f64) -> &'static str {
    class(trace_length_m, &[(1.0, "very low"), (3.0, "low"), (10.0, "medium"), (20.0, "high")], "very high")
}

fn class(value: f64, below: &[(f64, &'static str)], last: &'static str) -> &'static str {
    below.iter().find(|(limit, _)| value < *limit).map_or(last, |(_, word)| word)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISRM (1978); Brady & Brown (2004), tables 3.1 (spacing) and 3.2 (persistence).
    #[test]
    fn words_after_isrm_1978() {
        for (mm, word) in [
            (10.0, "extremely close"),
            (20.0, "very close"),
            (59.9, "very close"),
            (60.0, "close"),
            (200.0, "moderate"),
            (599.0, "moderate"),
            (600.0, "wide"),
            (2000.0, "very wide"),
            (6001.0, "extremely wide"),
        ] {
            assert_eq!(spacing_word(mm / 1000.0), word, "{mm} mm");
        }
        for (m, word) in [
            (0.5, "very low"),
            (1.0, "low"),
            (3.0, "medium"),
            (10.0, "high"),
            (19.9, "high"),
            (20.1, "very high"),
        ] {
            assert_eq!(persistence_word(m), word, "{m} m");
        }
    }
}
