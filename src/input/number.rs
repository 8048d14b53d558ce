/// A number as people type it: decimal point or comma, a degree sign, a typographic minus.
///
/// Text with both a comma and a point, or with more than one of either, could be thousands or
/// a date and is not guessed at.
pub(crate) fn parse_number(text: &str) -> Option<f64> {
    let text = text.trim().trim_end_matches('°').trim_end();
    // As nearly all numbers are: nothing to be replaced.
    if text.bytes().all(|b| b.is_ascii_digit() || b == b'.') {
        let points = text.bytes().filter(|&b| b == b'.').count();
        return if points > 1 { None } else { text.parse().ok().filter(|n: &f64| n.is_finite()) };
    }
    let digits_only =
        text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '−' | '+' | 'e' | 'E'));
    if !digits_only || text.is_empty() {
        return None;
    }
    let marks = text.chars().filter(|c| matches!(c, '.' | ',')).count();
    if marks > 1 {
        return None;
    }
    let number: f64 = if text.contains([',', '−']) {
        text.replace(',', ".").replace('−', "-").parse().ok()?
    } else {
        text.parse().ok()?
    };
    number.is_finite().then_some(number)
}

/// What a range such as "80-85" stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Range {
    pub from: f64,
    pub to: f64,
}

/// A range written with a hyphen, a dash or "to". Both ends are 0 or more.
pub(crate) fn parse_range(text: &str) -> Option<Range> {
    let trimmed = text.trim().trim_end_matches('°');
    let (from, to) = trimmed
        .split_once(" to ")
        .or_else(|| trimmed.split_once(['–', '—']))
        .or_else(|| trimmed.split_once('-'))?;
    let (from, to) = (parse_number(from)?, parse_number(to)?);
    (from >= 0.0 && to >= 0.0).then_some(Range { from, to })
}

/// Yes or no as people type it.
pub(crate) fn parse_yes_no(text: &str) -> Option<bool> {
    match text.trim().to_ascii_lowercase().as_str() {
        "yes" | "y" | "true" | "1" | "x" => Some(true),
        "no" | "n" | "false" | "0" => Some(false),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_as_people_type_them() {
        for (text, wanted) in [
            ("45", Some(45.0)),
            (" 45,5 ", Some(45.5)),
            ("45.5°", Some(45.5)),
            ("−12", Some(-12.0)),
            ("1e2", Some(100.0)),
            ("1.234,5", None),
            ("1,234,567", None),
            ("", None),
            ("nan", None),
            ("inf", None),
            ("1e999", None),
            ("45 deg", None),
            (">80", None),
            ("1.2.3", None),
            (".", None),
            (".5", Some(0.5)),
            ("5.", Some(5.0)),
        ] {
            assert_eq!(parse_number(text), wanted, "{text:?}");
        }
    }

    #[test]
    fn ranges_as_people_type_them() {
        let range = |from, to| Some(Range { from, to });
        assert_eq!(parse_range("80-85"), range(80.0, 85.0));
        assert_eq!(parse_range("80 – 85°"), range(80.0, 85.0));
        assert_eq!(parse_range("80 to 85"), range(80.0, 85.0));
        assert_eq!(parse_range("-80"), None);
        assert_eq!(parse_range("80"), None);
    }
}
