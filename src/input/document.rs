//! A TOML text with the place of everything in it: what is none is told line by line, and the rest is still read.

use serde_json::Value as Json;
use toml::de::{DeTable, DeValue};

use super::{Collector, Place, ProblemKind, Says, cited};

/// A TOML value with the place it came from.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    pub value: Value,
    pub place: Place,
    /// Dotted path of its key; set when it is checked against the rules.
    pub path: String,
    /// Whether it is of the right type and in range; set when it is checked.
    pub usable: bool,
    /// How it scatters, of a number that a table stood for; set when it is checked.
    pub scatter: Option<Box<Table>>,
}

#[derive(Debug, Clone)]
pub(crate) enum Value {
    Text(String),
    Number {
        value: f64,
        /// As it was typed.
        typed: String,
    },
    Flag(bool),
    Date(String),
    List(Vec<Node>),
    Table(Table),
}

/// Keys and values in the order of the file.
#[derive(Debug, Clone, Default)]
pub(crate) struct Table {
    pub entries: Vec<(String, Node)>,
    /// Whether a required key is missing; set when it is checked.
    pub lacks_keys: bool,
    /// Known keys that unknown ones seem to stand for; set when it is checked.
    pub meant: Vec<String>,
}

impl Table {
    /// A value that is there and of use.
    pub fn get(&self, key: &str) -> Option<&Node> {
        self.entries.iter().find(|(k, node)| k == key && node.usable).map(|(_, node)| node)
    }

    /// Whether the key is there, of use or not.
    pub fn has(&self, key: &str) -> bool {
        self.entries.iter().any(|(k, _)| k == key)
    }

    /// Whether the key is there, or one that seems to stand for it: then it is no longer to be
    /// asked for.
    pub fn mentions(&self, key: &str) -> bool {
        self.has(key) || self.meant.iter().any(|m| m == key)
    }

    pub fn number(&self, key: &str) -> Option<f64> {
        match self.get(key)?.value {
            Value::Number { value, .. } => Some(value),
            _ => None,
        }
    }

    pub fn text(&self, key: &str) -> Option<&str> {
        match &self.get(key)?.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    pub fn list(&self, key: &str) -> &[Node] {
        match self.get(key).map(|node| &node.value) {
            Some(Value::List(list)) => list,
            _ => &[],
        }
    }

    pub fn table(&self, key: &str) -> Option<&Table> {
        self.get(key)?.table()
    }
}

impl Node {
    pub fn table(&self) -> Option<&Table> {
        match &self.value {
            Value::Table(table) => Some(table),
            _ => None,
        }
    }

    /// Whether everything in it is there and of use.
    pub fn whole(&self) -> bool {
        self.usable
            && match &self.value {
                Value::List(list) => list.iter().all(Self::whole),
                Value::Table(table) => !table.lacks_keys && table.entries.iter().all(|(_, n)| n.whole()),
                _ => true,
            }
    }

    /// The plain value, for serde.
    pub fn to_json(&self) -> Json {
        match &self.value {
            Value::Text(text) | Value::Date(text) => Json::from(text.as_str()),
            // A whole number is one for serde too; beyond 2^53 a float has no units left.
            Value::Number { value, .. } if value.fract() == 0.0 && value.abs() < 9e15 => {
                Json::from(*value as i64)
            }
            Value::Number { value, .. } => Json::from(*value),
            Value::Flag(flag) => Json::from(*flag),
            Value::List(list) => list.iter().map(Self::to_json).collect(),
            Value::Table(table) => table.entries.iter().map(|(k, n)| (k.clone(), n.to_json())).collect(),
        }
    }
}

/// A file read as TOML, as far as it could be.
pub(crate) struct Document {
    pub root: Node,
    /// Lines that are no TOML.
    pub broken_lines: Vec<usize>,
    /// Whether the rest of the file may have been misread because of them.
    pub broken: bool,
    /// The last line that holds something.
    pub last_line: usize,
}

/// Reads a text as TOML, reporting what is none.
pub(crate) fn read_document(text: &str, file: usize, problems: &mut Collector) -> Document {
    let lines = Lines::of(text);
    let (table, errors) = DeTable::parse_recoverable(text);
    let mut broken_lines: Vec<usize> = Vec::new();
    let mut broken = false;
    for error in &errors {
        let line = error.span().map_or(1, |span| lines.number(text, span.start));
        if broken_lines.last() == Some(&line) {
            continue; // one message a line: the rest follows from it
        }
        broken_lines.push(line);
        let typed = lines.text(text, line).trim();
        // A key given twice leaves the rest of the file readable; a table given twice does not.
        broken |= error.message() != "duplicate key" || typed.starts_with('[');
        let says = syntax(error.message(), typed);
        problems.add(ProblemKind::Syntax, Place { file, line }, &key_of_line(typed), says);
    }
    let root = Node {
        value: Value::Table(table_of(table.get_ref(), file, text, &lines)),
        place: Place { file, line: 1 },
        path: String::new(),
        usable: true,
        scatter: None,
    };
    Document { root, broken_lines, broken, last_line: lines.number(text, text.len()) }
}

fn syntax(message: &str, typed: &str) -> Says {
    let found = if typed.is_empty() { "an empty line".to_owned() } else { cited(typed) };
    if message == "duplicate key" {
        return Says::new(
            format!("{found} a second time"),
            "each key and each [table] once",
            "delete one of the two, or write a list with double brackets",
        );
    }
    let value = typed.split_once('=').map(|(_, v)| v.trim()).unwrap_or_default();
    let value = if value.starts_with('#') { "" } else { value };
    let advice = if decimal_comma(value) {
        "write the decimals after a point, not after a comma"
    } else if value.is_empty() && typed.contains('=') {
        "type the value behind the ="
    } else if value.starts_with(|c: char| c.is_alphabetic()) {
        "put words between quotation marks; numbers stand alone, their unit is in the key"
    } else {
        "correct the line; what depends on it is checked when the file can be read"
    };
    Says::new(found, format!("TOML ({message})"), advice)
}

/// Whether a value starts like 68,5.
fn decimal_comma(value: &str) -> bool {
    let digits = value.trim_start_matches(['-', '+']).trim_start_matches(|c: char| c.is_ascii_digit());
    digits.len() < value.len()
        && digits.strip_prefix(',').is_some_and(|d| d.starts_with(|c: char| c.is_ascii_digit()))
}

fn key_of_line(typed: &str) -> String {
    let head = typed.split_once('=').map_or("", |(key, _)| key.trim());
    let plain = head.chars().all(|c| c.is_ascii_alphanumeric() || "_-.".contains(c));
    if plain { cited(head) } else { String::new() }
}

fn table_of(table: &DeTable<'_>, file: usize, text: &str, lines: &Lines) -> Table {
    let mut entries: Vec<_> = table.iter().collect();
    entries.sort_by_key(|(key, _)| key.span().start);
    let entries = entries
        .into_iter()
        .map(|(key, value)| {
            let line = lines.number(text, key.span().start);
            (key.get_ref().to_string(), node_of(value.get_ref(), Place { file, line }, text, lines))
        })
        .collect();
    Table { entries, ..Table::default() }
}

fn node_of(value: &DeValue<'_>, place: Place, text: &str, lines: &Lines) -> Node {
    let value = match value {
        DeValue::String(s) => Value::Text(s.to_string()),
        DeValue::Integer(i) => {
            let value = i128::from_str_radix(i.as_str(), i.radix())
                .map_or_else(|_| i.as_str().parse().unwrap_or(f64::INFINITY), |v| v as f64);
            Value::Number { value, typed: i.to_string() }
        }
        DeValue::Float(f) => {
            Value::Number { value: f.as_str().parse().unwrap_or(f64::NAN), typed: f.as_str().to_owned() }
        }
        DeValue::Boolean(flag) => Value::Flag(*flag),
        DeValue::Datetime(date) => Value::Date(date.to_string()),
        DeValue::Array(array) => Value::List(
            array
                .iter()
                .map(|item| {
                    let line = lines.number(text, item.span().start);
                    node_of(item.get_ref(), Place { line, ..place }, text, lines)
                })
                .collect(),
        ),
        DeValue::Table(table) => Value::Table(table_of(table, place.file, text, lines)),
    };
    Node { value, place, path: String::new(), usable: true, scatter: None }
}

/// Where the lines of a text start.
struct Lines(Vec<usize>);

impl Lines {
    fn of(text: &str) -> Self {
        Self(std::iter::once(0).chain(text.match_indices('\n').map(|(i, _)| i + 1)).collect())
    }

    /// The line of a byte, from 1. The end of the text belongs to the last line that holds
    /// something.
    fn number(&self, text: &str, byte: usize) -> usize {
        let within = byte.min(text.trim_end().len());
        self.0.partition_point(|&start| start <= within).max(1)
    }

    fn text<'t>(&self, text: &'t str, line: usize) -> &'t str {
        let start = self.0.get(line.saturating_sub(1)).copied().unwrap_or(text.len());
        let end = self.0.get(line).copied().unwrap_or(text.len());
        text.get(start..end).unwrap_or_default()
    }
}
