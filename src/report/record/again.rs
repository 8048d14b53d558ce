//! Whether running again gave the same, and what differs if not.

use serde_json::{Map, Value};

use super::Asked;
use crate::case::{SourceFile, inputs_sha256};

/// Differing rows of one table beyond this many are counted, not listed.
const MOST_ROWS: usize = 5;

/// Differing values of one row beyond this many are counted, not listed.
const MOST_VALUES: usize = 4;

/// What a summary.json says of how it was made.
#[derive(Debug, Clone, PartialEq)]
pub struct Recorded {
    /// The version that wrote it.
    pub version: String,
    /// The hash of the inputs as it was written.
    pub inputs_sha256: String,
    /// What was asked of the case.
    pub asked: Asked,
    /// The case file first, then the files that it names.
    pub files: Vec<SourceFile>,
    /// The date that was given.
    pub dated: Option<String>,
    /// Who prepared, checked and approved.
    pub names: [Option<String>; 3],
}

impl Recorded {
    /// Reads a summary.json.
    ///
    /// # Errors
    /// What is wrong with it, in words.
    pub fn of(text: &str) -> Result<Self, String> {
        let value: Value = serde_json::from_str(text).map_err(|e| format!("this is no JSON ({e})"))?;
        let words = |key: &str| value.get(key).and_then(Value::as_str).map(str::to_owned);
        let lacks =
            |key: &str| format!("it has no {key}: it is no summary.json of ours, or of an older version");
        let file = |file: &Value| {
            let part = |key: &str| file.get(key).and_then(Value::as_str).map(str::to_owned);
            let bytes = match (part("text"), part("hex")) {
                (Some(text), _) => Some(text.into_bytes()),
                (None, Some(hex)) => Some(bytes_of(&hex)?),
                (None, None) => None,
            };
            let name = part("name")?;
            Some(match bytes {
                Some(bytes) => SourceFile::new(name, bytes),
                None => SourceFile { name, sha256: part("sha256")?, content: None },
            })
        };
        let files = value.get("read_from").and_then(Value::as_array).ok_or_else(|| lacks("read_from"))?;
        let files: Option<Vec<SourceFile>> = files.iter().map(file).collect();
        let files = files.filter(|f| !f.is_empty()).ok_or_else(|| lacks("read_from with names and texts"))?;
        let name = |who: &str| {
            value.get("sign_off").and_then(|s| s.get(who)).and_then(Value::as_str).map(str::to_owned)
        };
        Ok(Self {
            version: words("backhold_version").ok_or_else(|| lacks("backhold_version"))?,
            inputs_sha256: words("inputs_sha256").ok_or_else(|| lacks("inputs_sha256"))?,
            asked: Asked::of_json(value.get("asked"))
                .ok_or_else(|| "its asked names nothing that this version does".to_owned())?,
            files,
            dated: words("dated"),
            names: [name("prepared"), name("checked"), name("approved")],
        })
    }
}

fn bytes_of(hex: &str) -> Option<Vec<u8>> {
    let digits: Option<Vec<u8>> = hex.chars().map(|c| c.to_digit(16).map(|d| d as u8)).collect();
    let digits = digits?;
    (digits.len() % 2 == 0).then(|| digits.chunks(2).map(|pair| 16 * pair[0] + pair[1]).collect())
}

/// What differs between a summary.json as it was written and as running again writes it: version,
/// hash, tables row by row, the rest by key. Empty where the two are the same byte for byte.
#[must_use]
pub fn differences(then: &str, now: &str) -> Vec<String> {
    if then == now {
        return Vec::new();
    }
    let parsed = |text: &str| match serde_json::from_str(text) {
        Ok(Value::Object(map)) => map,
        _ => Map::new(),
    };
    let (old, new) = (parsed(then), parsed(now));
    let mut said = Vec::new();
    if let Ok(recorded) = Recorded::of(then) {
        let hash = inputs_sha256(&recorded.files);
        if hash != recorded.inputs_sha256 {
            said.push(format!(
                "the inputs in the summary were changed after it was written: their hash was {}, now it is {hash}",
                recorded.inputs_sha256
            ));
        }
    }
    let mut keys: Vec<&String> = old.keys().collect();
    keys.extend(new.keys().filter(|k| !old.contains_key(*k)));
    for key in keys {
        let (was, is) = (old.get(key).unwrap_or(&Value::Null), new.get(key).unwrap_or(&Value::Null));
        if was == is {
            continue;
        }
        match (key.as_str(), was, is) {
            ("inputs_sha256", ..) => {} // said above, or it follows from read_from
            ("backhold_version", ..) => {
                said.push(format!("version: written by {}, run again by {}", short(was), short(is)));
            }
            ("tables_sha256", Value::Object(was), Value::Object(is)) => {
                let differing: Vec<&str> = was
                    .keys()
                    .chain(is.keys().filter(|k| !was.contains_key(*k)))
                    .filter(|k| was.get(*k) != is.get(*k))
                    .map(String::as_str)
                    .collect();
                said.push(format!("tables that are not the same bytes: {}", differing.join(", ")));
            }
            (_, Value::Array(was), Value::Array(is)) if tabular(was) && tabular(is) => {
                rows(key, was, is, &mut said);
            }
            _ => said.push(format!("{key}: {}", value_words(was, is))),
        }
    }
    if said.is_empty() {
        said.push("the same values, written in other bytes (spaces, line ends or the order of keys)".into());
    }
    said
}

fn tabular(rows: &[Value]) -> bool {
    rows.iter().all(Value::is_object)
}

fn rows(table: &str, was: &[Value], is: &[Value], said: &mut Vec<String>) {
    if was.len() != is.len() {
        said.push(format!("{table}: {} rows then, {} now", was.len(), is.len()));
    }
    let differing: Vec<(usize, &Value, &Value)> =
        was.iter().zip(is).enumerate().filter(|(_, (a, b))| a != b).map(|(i, (a, b))| (i, a, b)).collect();
    for (index, a, b) in differing.iter().take(MOST_ROWS) {
        let (Value::Object(a), Value::Object(b)) = (a, b) else { continue };
        let name = ["wedge", "name", "option", "surface", "what"]
            .iter()
            .find_map(|k| a.get(*k).and_then(Value::as_str));
        let name = name.map(|n| format!(" ({n})")).unwrap_or_default();
        let mut keys: Vec<&String> = a.keys().collect();
        keys.extend(b.keys().filter(|k| !a.contains_key(*k)));
        let null = Value::Null;
        let values: Vec<String> = keys
            .into_iter()
            .map(|k| (k, a.get(k).unwrap_or(&null), b.get(k).unwrap_or(&null)))
            .filter(|(_, x, y)| x != y)
            .map(|(k, x, y)| format!("{k} {}", value_words(x, y)))
            .collect();
        let more = values.len().saturating_sub(MOST_VALUES);
        let mut words = values.into_iter().take(MOST_VALUES).collect::<Vec<_>>().join("; ");
        if more > 0 {
            words.push_str(&format!("; and {more} more values"));
        }
        said.push(format!("{table}, row {}{name}: {words}", index + 1));
    }
    if differing.len() > MOST_ROWS {
        said.push(format!("{table}: and {} more rows", differing.len() - MOST_ROWS));
    }
}

fn value_words(was: &Value, is: &Value) -> String {
    match (was, is) {
        (Value::Array(_) | Value::Object(_), _) | (_, Value::Array(_) | Value::Object(_)) => {
            "not the same".to_owned()
        }
        _ => format!("{} then, {} now", short(was), short(is)),
    }
}

/// A value on one line, not too long.
fn short(value: &Value) -> String {
    const MOST_CHARS: usize = 60;
    let text = match value {
        Value::String(text) => text.clone(),
        Value::Null => "nothing".to_owned(),
        other => other.to_string(),
    };
    let cut: String = text.chars().take(MOST_CHARS).collect();
    if cut.len() < text.len() { cut + "…" } else { cut }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_row_and_the_value_that_differ_are_named() {
        let then = r#"{"wedges": [{"wedge": "A", "fs": 1.5}, {"wedge": "B", "fs": 2.0}], "answer": "x"}"#;
        let now = r#"{"wedges": [{"wedge": "A", "fs": 1.5}, {"wedge": "B", "fs": 2.1}], "answer": "y"}"#;
        assert!(differences(then, then).is_empty());
        assert_eq!(
            differences(then, now),
            ["wedges, row 2 (B): fs 2.0 then, 2.1 now", "answer: x then, y now"]
        );
        assert_eq!(differences(then, &format!("{then}\n")).len(), 1);
    }
}
