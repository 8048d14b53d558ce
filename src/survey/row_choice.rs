use super::fields::Field;
use super::{LineKind, SurveyLine, Warning};
use crate::input::{Collector, Place, ProblemKind, Row, Says, header_list, parse_number, quoted};

/// Which rows of a survey are taken: those that meet every condition. Several conditions on one column are one
/// that any of them meets.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct RowChoice {
    /// What each asks of its column, which is named by one of our names or by its header.
    pub conditions: Vec<Condition>,
}

/// What is asked of one column.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// One of our names for the column, or its header.
    pub column: String,
    /// What its cell has to hold.
    pub wanted: Wanted,
}

/// What a cell has to hold.
#[derive(Debug, Clone, PartialEq)]
pub enum Wanted {
    /// These words, whatever their case, or this number.
    Value(String),
    /// A number from the first to the last, both included; `None` where it is open.
    Range([Option<f64>; 2]),
}

impl Wanted {
    fn takes(&self, text: &str) -> bool {
        match self {
            Self::Value(wanted) => {
                let number = || Some(parse_number(wanted)? == parse_number(text)?);
                wanted.to_lowercase() == text.to_lowercase() || number().unwrap_or(false)
            }
            Self::Range([from, to]) => parse_number(text)
                .is_some_and(|v| from.is_none_or(|from| v >= from) && to.is_none_or(|to| v <= to)),
        }
    }

    fn words(&self) -> String {
        let end = |end: &Option<f64>| end.map_or_else(String::new, |v| v.to_string());
        match self {
            Self::Value(wanted) => wanted.clone(),
            Self::Range([from, to]) => format!("{}..{}", end(from), end(to)),
        }
    }
}

impl Condition {
    /// Reads `column=value` or `column=from..to`, either end of which may be left open. `None` where it is
    /// neither.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let (column, wanted) = text.split_once('=')?;
        let (column, wanted) = (column.trim().to_owned(), wanted.trim());
        let end = |text: &str| match text.trim() {
            "" => Some(None),
            text => parse_number(text).map(Some),
        };
        let wanted = match wanted.split_once("..") {
            Some((from, to)) => {
                let range = [end(from)?, end(to)?];
                let fits = match range {
                    [Some(from), Some(to)] => from <= to,
                    [from, to] => from.is_some() || to.is_some(),
                };
                Wanted::Range(Some(range).filter(|_| fits)?)
            }
            None => Wanted::Value(wanted.to_owned()),
        };
        (!column.is_empty()).then_some(Self { column, wanted })
    }
}

/// Conditions with their columns found, those of one column together.
#[derive(Debug, Default)]
pub(crate) struct RowFilter {
    columns: Vec<(usize, String, Vec<Wanted>)>,
    /// Of the distance along lines: what they were cut to, ascending and apart. Empty without such a condition.
    distances: Vec<[f64; 2]>,
    /// Whether chainages were asked for, so that nobody knows how much of a line was looked at.
    by_chainage: bool,
}

impl RowFilter {
    /// Finds the columns of a choice; those that are not there are reported. `columns` are those of the fields,
    /// `find` finds one by a name.
    pub(crate) fn of(
        choice: &RowChoice,
        header: &Row<'_>,
        columns: &[Option<usize>],
        find: impl Fn(&str) -> Option<usize>,
        problems: &mut Collector,
    ) -> Self {
        let mut filter = Self::default();
        for Condition { column, wanted } in &choice.conditions {
            let Some(at) = find(column) else {
                let found = format!("no column {}, which --where asks for", quoted(column));
                let advice = "give one of our names, or the header as it stands";
                let says = Says::new(found, header_list(&header.cells), advice);
                problems.add(ProblemKind::Conflict, Place::line(header.line), "", says);
                continue;
            };
            let there = filter.columns.iter_mut().find(|(other, ..)| *other == at);
            match there {
                Some((_, _, any_of)) => any_of.push(wanted.clone()),
                None => filter.columns.push((at, column.clone(), vec![wanted.clone()])),
            }
        }
        for (at, _, any_of) in &filter.columns {
            if columns[Field::Distance as usize] == Some(*at) {
                filter.distances = stretches(any_of);
            }
            filter.by_chainage |= columns[Field::Chainage as usize] == Some(*at);
        }
        filter
    }

    /// Why a row is left out; `None` where it is taken.
    pub(crate) fn leaves_out(&self, row: &Row<'_>) -> Option<String> {
        let failed = self.columns.iter().find(|(at, _, any_of)| {
            let text = row.text(Some(*at));
            !any_of.iter().any(|wanted| wanted.takes(text))
        });
        failed.map(|(at, column, any_of)| {
            let wanted: Vec<String> = any_of.iter().map(Wanted::words).collect();
            format!("left out: {column} is {}, not {}", quoted(row.text(Some(*at))), wanted.join(" or "))
        })
    }

    /// Lines are as long as the part of them that was asked for.
    pub(crate) fn cut(&self, lines: &mut [SurveyLine], warnings: &mut Vec<Warning>) {
        for line in lines.iter_mut().filter(|l| l.kind != Some(LineKind::Window)) {
            let Some(length_m) = line.length_m else { continue };
            let left_m = if self.by_chainage {
                None
            } else if self.distances.is_empty() {
                continue;
            } else {
                let within = |[from, to]: &[f64; 2]| (to.min(length_m) - from.max(0.0)).max(0.0);
                Some(self.distances.iter().map(within).sum()).filter(|m: &f64| *m > 0.0)
            };
            if left_m != Some(length_m) {
                line.length_m = left_m;
                warnings.push(Warning::LineCut { line: line.id.clone(), length_m, left_m });
            }
        }
    }
}

/// What ranges and single places cover, ascending, without overlap.
fn stretches(any_of: &[Wanted]) -> Vec<[f64; 2]> {
    let mut all: Vec<[f64; 2]> = any_of
        .iter()
        .filter_map(|wanted| match wanted {
            Wanted::Range([from, to]) => {
                Some([from.unwrap_or(f64::NEG_INFINITY), to.unwrap_or(f64::INFINITY)])
            }
            Wanted::Value(text) => parse_number(text).map(|v| [v, v]),
        })
        .collect();
    all.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let mut joined: Vec<[f64; 2]> = Vec::new();
    for [from, to] in all {
        match joined.last_mut() {
            Some(last) if from <= last[1] => last[1] = last[1].max(to),
            _ => joined.push([from, to]),
        }
    }
    joined
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conditions_as_people_type_them() {
        let range = |from, to| Some(Wanted::Range([from, to]));
        for (text, wanted) in [
            ("distance_m=10..40", range(Some(10.0), Some(40.0))),
            ("distance_m = 10,5 ..", range(Some(10.5), None)),
            ("distance_m=..40", range(None, Some(40.0))),
            ("distance_m=40..10", None),
            ("distance_m=..", None),
            ("distance_m=a..b", None),
            ("Line ID=SL 1", Some(Wanted::Value("SL 1".to_owned()))),
            ("note=", Some(Wanted::Value(String::new()))),
            ("=x", None),
            ("x", None),
        ] {
            assert_eq!(Condition::parse(text).map(|c| c.wanted), wanted, "{text}");
        }
        let value = Wanted::Value("12".to_owned());
        assert!(value.takes("12,0") && !value.takes("13") && Wanted::Value("a".into()).takes("A"));
    }

    #[test]
    fn a_line_is_as_long_as_what_was_asked_for_of_it() {
        let range = |from: f64, to: f64| Wanted::Range([Some(from), Some(to)]);
        let asked = [range(30.0, 90.0), range(5.0, 10.0), range(8.0, 12.0), Wanted::Value("3".into())];
        let filter = RowFilter { distances: stretches(&asked), ..RowFilter::default() };
        assert_eq!(filter.distances, [[3.0, 3.0], [5.0, 12.0], [30.0, 90.0]]);
        let mut lines =
            [SurveyLine { length_m: Some(60.0), ..SurveyLine::named("a") }, SurveyLine::named("b")];
        let mut warnings = Vec::new();
        filter.cut(&mut lines, &mut warnings);
        // By hand: 7 m from 5 to 12, and 30 m from 30 to the end.
        assert_eq!((lines[0].length_m, lines[1].length_m, warnings.len()), (Some(37.0), None, 1));
    }
}
