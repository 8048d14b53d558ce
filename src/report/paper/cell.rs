//! What a cell of a table holds, and how it is spelled: one way for files, another for people.

use std::borrow::Cow;

use serde_json::{Value as Json, json};

use super::numbers::{Number, factor, fixed, kn, put_shortest, shortest, told_length, volume};

/// What a cell holds, before anybody spells it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Cell<'a> {
    /// Nothing was asked, found or given.
    Absent,
    /// A number; it may be infinite.
    Number(f64),
    /// A count or an index.
    Whole(i128),
    /// A name, a word, a sentence.
    Text(Cow<'a, str>),
    /// Several things; nothing where there are none.
    List(Vec<Cell<'a>>),
    /// Several sentences.
    Sentences(Vec<String>),
    /// What files spell `true` and `false`.
    Flag(bool),
    /// What files spell `yes` and `no`: columns that people fill in or filter by hand.
    YesNo(bool),
}

impl<'a> Cell<'a> {
    /// Several things in one cell.
    pub(crate) fn list<T: Into<Cell<'a>>>(things: impl IntoIterator<Item = T>) -> Self {
        Self::List(things.into_iter().map(Into::into).collect())
    }

    /// A computed coordinate or sum of lengths, as [`told_length`] has it.
    #[must_use]
    pub(crate) fn metres(metres: f64) -> Self {
        Self::Number(told_length(metres))
    }

    /// A computed angle, to a millionth of a degree: what computing leaves in its last digits is cut as of lengths.
    #[must_use]
    pub(crate) fn degrees(degrees: f64) -> Self {
        Self::Number(told_length(degrees))
    }

    /// As a CSV file has it: absent is empty, numbers in their shortest exact form, `inf` where
    /// infinite, lists divided by `|`, sentences by semicolons.
    #[must_use]
    pub(crate) fn csv(&self) -> Cow<'_, str> {
        match self {
            Self::Absent => "".into(),
            Self::Number(value) => shortest(*value).into(),
            Self::Whole(count) => count.to_string().into(),
            Self::Text(text) => Cow::Borrowed(text),
            Self::List(things) => {
                things.iter().map(Cell::csv).collect::<Vec<Cow<'_, str>>>().join("|").into()
            }
            Self::Sentences(sentences) => sentences.join("; ").into(),
            Self::Flag(flag) => flag.to_string().into(),
            Self::YesNo(yes) => yes_or_no(*yes).into(),
        }
    }

    /// Adds what [`Self::csv`] says to a text.
    pub(crate) fn put_csv(&self, text: &mut String) {
        match self {
            Self::Absent => {}
            Self::Number(value) => put_shortest(*value, text),
            Self::Text(own) => text.push_str(own),
            _ => text.push_str(&self.csv()),
        }
    }

    /// As summary.json has it: absent and empty lists are null, infinite numbers the text `inf`,
    /// since JSON has no such number, lists one text as in CSV.
    #[must_use]
    pub(crate) fn json(&self) -> Json {
        match self {
            Self::Absent => Json::Null,
            Self::List(things) if things.is_empty() => Json::Null,
            Self::Number(value) => json!(Number(*value)),
            Self::Whole(count) => match i64::try_from(*count) {
                Ok(count) => count.into(),
                Err(_) => self.csv().into(),
            },
            Self::Flag(flag) => (*flag).into(),
            _ => self.csv().into(),
        }
    }

    /// As a page or a terminal has it.
    #[must_use]
    pub(crate) fn shown(&self, as_what: Format) -> String {
        match self {
            Self::Absent => String::new(),
            Self::Number(value) => as_what.number(*value),
            Self::List(things) => things.iter().map(|t| t.shown(as_what)).collect::<Vec<String>>().join(", "),
            Self::Flag(yes) => yes_or_no(*yes).to_owned(),
            Self::Whole(_) | Self::Text(_) | Self::Sentences(_) | Self::YesNo(_) => self.csv().into_owned(),
        }
    }
}

fn yes_or_no(yes: bool) -> &'static str {
    if yes { "yes" } else { "no" }
}

/// How people see a cell. Numbers stand to the right, words to the left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Format {
    /// Names, words, lists of them.
    Words,
    /// Counts and indices.
    Whole,
    /// So many decimals.
    Fixed(usize),
    /// A factor of safety, rounded down.
    Factor,
    /// A force or weight.
    Kn,
    /// A volume.
    Volume,
    /// As exactly as in files.
    Shortest,
    /// Whole numbers as they are, others with two decimals.
    Quantity,
}

impl Format {
    /// Whether such cells stand to the right.
    #[must_use]
    pub(crate) fn is_number(self) -> bool {
        self != Self::Words
    }

    fn number(self, value: f64) -> String {
        match self {
            Self::Words | Self::Shortest => shortest(value),
            Self::Whole => fixed(value, 0),
            Self::Fixed(decimals) => fixed(value, decimals),
            Self::Factor => factor(value),
            Self::Kn => kn(value),
            Self::Volume => volume(value),
            Self::Quantity => fixed(value, if value.fract() == 0.0 { 0 } else { 2 }),
        }
    }
}

impl From<f64> for Cell<'_> {
    fn from(value: f64) -> Self {
        Self::Number(value)
    }
}

impl<'a> From<&'a str> for Cell<'a> {
    fn from(text: &'a str) -> Self {
        Self::Text(text.into())
    }
}

impl<'a> From<&'a String> for Cell<'a> {
    fn from(text: &'a String) -> Self {
        Self::Text(text.into())
    }
}

impl From<String> for Cell<'_> {
    fn from(text: String) -> Self {
        Self::Text(text.into())
    }
}

impl<'a> From<Cow<'a, str>> for Cell<'a> {
    fn from(text: Cow<'a, str>) -> Self {
        Self::Text(text)
    }
}

impl<'a, T: Into<Cell<'a>>> From<Option<T>> for Cell<'a> {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::Absent, Into::into)
    }
}

macro_rules! whole {
    ($($kind:ty),*) => {
        $(impl From<$kind> for Cell<'_> {
            fn from(count: $kind) -> Self {
                Self::Whole(count as i128)
            }
        })*
    };
}

whole!(usize, u32, u64, i64);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_and_people_spell_cells_in_their_own_ways() {
        let spelled = |cell: Cell<'_>, format: Format| {
            (cell.csv().into_owned(), cell.json().to_string(), cell.shown(format))
        };
        let three = |csv: &str, json: &str, shown: &str| (csv.to_owned(), json.to_owned(), shown.to_owned());
        assert_eq!(spelled(None::<f64>.into(), Format::Factor), three("", "null", ""));
        assert_eq!(spelled(1.999.into(), Format::Factor), three("1.999", "1.999", "1.99"));
        assert_eq!(spelled(5.0.into(), Format::Fixed(2)), three("5", "5.0", "5.00"));
        assert_eq!(spelled(f64::INFINITY.into(), Format::Kn), three("inf", "\"inf\"", "inf"));
        assert_eq!(spelled(2.5.into(), Format::Quantity), three("2.5", "2.5", "2.50"));
        assert_eq!(spelled(7_usize.into(), Format::Whole), three("7", "7", "7"));
        assert_eq!(
            spelled(Cell::list(["back", "left wall"]), Format::Words),
            three("back|left wall", "\"back|left wall\"", "back, left wall")
        );
        assert_eq!(
            spelled(Cell::list([1.5, 2.0]), Format::Fixed(1)),
            three("1.5|2", "\"1.5|2\"", "1.5, 2.0")
        );
        assert_eq!(spelled(Cell::list::<f64>([]), Format::Words), three("", "null", ""));
        assert_eq!(spelled(Cell::Flag(true), Format::Words), three("true", "true", "yes"));
        assert_eq!(spelled(Cell::YesNo(false), Format::Words), three("no", "\"no\"", "no"));
    }
}
