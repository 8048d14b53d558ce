//! summary.json, but for what each command finds.

use serde_json::{Map, Value, json};

use super::{Asked, SignOff};
use crate::case::{Case, sha256_hex};
use crate::report::paper::output::OutputFile;
use crate::report::words::{CAUTIONS, NOT_ASKED, NOT_COVERED, assumptions};

/// What every summary begins and ends with.
#[derive(Debug)]
pub(in crate::report) struct Head<'a> {
    pub answer: &'a str,
    pub asked: &'a Asked,
    pub dated: Option<&'a str>,
    pub sign_off: &'a SignOff<'a>,
    /// The case as it was worked with.
    pub inputs: Value,
}

/// The document: keys in a fixed order, so that the same input gives the same bytes. `found` is what
/// this command found, an object; `csv` are the tables as they are written, under their names.
///
/// # Errors
/// When the document does not serialise, which no input can cause.
pub(in crate::report) fn summary_json(
    head: Head<'_>,
    found: Value,
    csv: &[(&str, String)],
) -> Result<String, serde_json::Error> {
    let mut keys = Map::new();
    let mut put = |key: &str, value: Value| keys.insert(key.to_owned(), value);
    put("answer", json!(head.answer));
    put("backhold_version", json!(env!("CARGO_PKG_VERSION")));
    if let Some(asked) = head.asked.json() {
        put("asked", asked);
    }
    put("dated", json!(head.dated));
    put("sign_off", head.sign_off.names_json());
    put("inputs_sha256", json!(head.sign_off.inputs_sha256()));
    put("inputs", head.inputs);
    if let Value::Object(found) = found {
        found.into_iter().for_each(|(key, value)| {
            put(&key, value);
        });
    }
    put("tables_sha256", hashes(csv));
    put("read_from", head.sign_off.files_json());
    let mut text = serde_json::to_string_pretty(&Value::Object(keys))?;
    text.push('\n');
    Ok(text)
}

/// What a study found, and what every study that judges takes for granted and leaves out.
pub(in crate::report) fn judged_json(case: &Case, mut found: Value) -> Value {
    found["not_asked"] = json!(NOT_ASKED);
    found["not_covered"] = json!(NOT_COVERED);
    found["assumptions"] = json!(assumptions(case));
    found["cautions"] = json!(CAUTIONS);
    found
}

/// A folder's files in their order: `drawings`, tables, the summary, the page.
pub(in crate::report) fn folder(
    mut drawings: Vec<OutputFile>,
    csv: impl IntoIterator<Item = (&'static str, String)>,
    summary: String,
    (name, page): (&'static str, String),
) -> Vec<OutputFile> {
    drawings.extend(csv.into_iter().map(|(name, text)| OutputFile::text(name, text)));
    drawings.push(OutputFile::text("summary.json", summary));
    drawings.push(OutputFile::text(name, page));
    drawings
}

/// The hash of each table, under its name.
fn hashes(tables: &[(&str, String)]) -> Value {
    let hashes = tables.iter().map(|(name, text)| ((*name).to_owned(), json!(sha256_hex(text.as_bytes()))));
    Value::Object(hashes.collect::<Map<_, _>>())
}
