/// A calendar date, year-month-day.
pub(super) fn parse(text: &str) -> Result<String, String> {
    let parts: Vec<&str> = text.split('-').collect();
    let number = |s: &str, digits: usize| -> Option<u32> {
        (s.len() == digits && s.bytes().all(|b| b.is_ascii_digit())).then(|| s.parse().ok()).flatten()
    };
    let valid = match parts[..] {
        [y, m, d] => match (number(y, 4), number(m, 2), number(d, 2)) {
            (Some(y), Some(m @ 1..=12), Some(d @ 1..)) => d <= days_in(y, m),
            _ => false,
        },
        _ => false,
    };
    if valid { Ok(text.to_owned()) } else { Err("a date reads year-month-day, such as 2026-11-25".into()) }
}

fn days_in(year: u32, month: u32) -> u32 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400)) => 29,
        2 => 28,
        _ => 31,
    }
}

#[cfg(test)]
mod tests {
    use super::parse;

    #[test]
    fn only_days_of_the_calendar_are_dates() {
        assert!(parse("2026-11-25").is_ok() && parse("2024-02-29").is_ok());
        for wrong in ["2026-02-29", "2026-13-01", "26-1-1", "2026-11-25T10:00", "yesterday", ""] {
            assert!(parse(wrong).is_err(), "{wrong}");
        }
    }
}
