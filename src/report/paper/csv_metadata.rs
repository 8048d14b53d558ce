//! What the columns of CSV files hold, in the form of the W3C's CSV on the Web: the file csv-metadata.json beside
//! them, which readers of that form look for.

use serde_json::{Value, json};

use super::cell::Cell;

/// What was seen in the cells of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Holds {
    text: bool,
    number: bool,
    whole: bool,
    flag: bool,
    yes_no: bool,
    infinite: bool,
    list: bool,
}

impl Holds {
    /// With one more cell.
    #[must_use]
    pub(crate) fn and(mut self, cell: &Cell<'_>) -> Self {
        match cell {
            Cell::Absent => {}
            Cell::Number(value) if value.is_infinite() => (self.number, self.infinite) = (true, true),
            Cell::Number(_) => self.number = true,
            Cell::Whole(_) => self.whole = true,
            Cell::Text(_) | Cell::Sentences(_) => self.text = true,
            Cell::Flag(_) => self.flag = true,
            Cell::YesNo(_) => self.yes_no = true,
            Cell::List(things) => {
                self = things.iter().fold(self, Self::and);
                self.list = true;
            }
        }
        self
    }
}

/// A column of a CSV file.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ColumnOfFile {
    /// Its name in the file.
    pub name: &'static str,
    /// What people see above it on the page.
    pub heading: Option<String>,
    /// What its cells hold.
    pub holds: Holds,
}

/// Endings of names that are units, longest first where one ends another: as people write the unit, and its code
/// in the Unified Code for Units of Measure.
const UNITS: [(&str, &str, &str); 9] = [
    ("_kn_per_m", "kN/m", "kN/m"),
    ("_minutes_per_m", "min/m", "min/m"),
    ("minutes_per_m", "min/m", "min/m"),
    ("_kpa", "kPa", "kPa"),
    ("_kn", "kN", "kN"),
    ("_deg", "°", "deg"),
    ("_m3", "m³", "m3"),
    ("_m2", "m²", "m2"),
    ("_m", "m", "m"),
];

/// The unit that a column's name ends in.
fn unit(name: &str) -> Option<(&'static str, &'static str)> {
    // What money a cost is in no case says.
    let known = UNITS.iter().find(|(ending, ..)| name.ends_with(ending) && !name.starts_with("cost"));
    known.map(|(_, written, code)| (*written, *code))
}

/// How numbers are written that may be infinite: the form's own numbers are infinite as INF alone.
const NUMBER_OR_INF: &str = "-?(inf|[0-9]+(\\.[0-9]+)?([eE]-?[0-9]+)?)";

fn column(column: &ColumnOfFile) -> Value {
    let Holds { text, number, whole, flag, yes_no, infinite, list } = column.holds;
    let unit = unit(column.name);
    let datatype = match () {
        () if text || (flag && yes_no) => json!("string"),
        () if infinite => json!({ "base": "string", "format": NUMBER_OR_INF }),
        () if flag => json!("boolean"),
        () if yes_no => json!({ "base": "boolean", "format": "yes|no" }),
        () if number || unit.is_some() => json!("double"),
        () if whole => json!("integer"),
        () => json!("string"),
    };
    let mut value = json!({ "name": column.name, "titles": column.name, "datatype": datatype });
    if let Some(heading) = &column.heading {
        value["dc:title"] = json!(heading);
    }
    if list {
        value["separator"] = json!("|");
    }
    if infinite {
        value["dc:description"] = json!("numbers; inf is infinite");
    }
    if let Some((written, code)) = unit {
        value["schema:unitText"] = json!(written);
        value["schema:unitCode"] = json!(format!("UCUM:{code}"));
    }
    value
}

/// The document for tables under the names of their files.
#[must_use]
pub(crate) fn csv_metadata(title: &str, tables: &[(&'static str, Vec<ColumnOfFile>)]) -> Value {
    let table = |(name, columns): &(&'static str, Vec<ColumnOfFile>)| {
        json!({
            "url": name,
            "tableSchema": { "columns": columns.iter().map(column).collect::<Vec<Value>>() },
        })
    };
    json!({
        "@context": ["http://www.w3.org/ns/csvw", { "@language": "en" }],
        "dc:title": title,
        "dialect": { "lineTerminators": ["\n"] },
        "tables": tables.iter().map(table).collect::<Vec<Value>>(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(name: &'static str, cells: &[Cell<'_>]) -> Value {
        let holds = cells.iter().fold(Holds::default(), |h, c| h.and(c));
        column(&ColumnOfFile { name, heading: None, holds })
    }

    #[test]
    fn columns_are_typed_by_what_they_hold_and_united_by_their_names() {
        assert_eq!(of("wedge", &["A".into()])["datatype"], "string");
        assert_eq!(of("bolts_serving", &[3_usize.into(), Cell::Absent])["datatype"], "integer");
        let weight = of("weight_kn", &[2.0.into()]);
        assert_eq!((&weight["datatype"], &weight["schema:unitCode"]), (&json!("double"), &json!("UCUM:kN")));
        // Without a row to see, the unit tells that it is a number.
        assert_eq!(of("hung_kn", &[])["datatype"], "double");
        let traces = of("trace_m", &[Cell::list([1.0, 2.0])]);
        assert_eq!((&traces["datatype"], &traces["separator"]), (&json!("double"), &json!("|")));
        assert_eq!(of("fs_bare", &[f64::INFINITY.into(), 1.5.into()])["datatype"]["base"], "string");
        assert_eq!(of("missing", &[Cell::YesNo(true)])["datatype"]["format"], "yes|no");
        let cost = of("cost_per_m", &[1.5.into()]);
        assert!(cost.get("schema:unitText").is_none(), "{cost}");
        assert_eq!(of("weight_kn_per_m", &[1.5.into()])["schema:unitText"], "kN/m");
        assert_eq!(of("minutes_per_m", &[1.5.into()])["schema:unitText"], "min/m");
        assert_eq!(of("volume_uncapped_m3", &[1.5.into()])["schema:unitText"], "m³");
    }
}
