//! Options: the difference of each laid over the case's document, so that the result is read by the
//! rules of a case and its problems stand where the option says what is wrong.

use serde_json::Value as Json;

use super::{BoltOrigin, Case, Change, PlanInputs};
use crate::input::document::{Node, Table, Value};
use crate::input::{Collector, ProblemKind, Says, quoted};
use crate::support::BondTests;

/// What the case itself is called among its options, where the user gives it no name.
pub const BASE_NAME: &str = "as the case stands";

/// Keys of the case file that no option takes over.
pub(super) const NOT_OF_THE_CASE: [&str; 3] = ["option", "stock", "base_option"];

/// One support choice that a reviewer compares: a case with a small difference to another one.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseOption {
    /// What it is called.
    pub name: String,
    /// The whole case with the difference in it.
    pub case: Case,
    /// What a plan of it rests on.
    pub plan: PlanInputs,
    /// What pull tests say of each bolt whose bond comes from them, in the order of its bolts.
    pub bond_tests: Vec<Option<BondTests>>,
    /// How each bolt came to its numbers, in the same order.
    pub bolt_origins: Vec<BoltOrigin>,
    /// What differs from the case as it stands, key by key, in the order of the file.
    pub changes: Vec<Change>,
}

/// Whether a name stands for one option alone.
pub(super) fn check_names(root: &Table, problems: &mut Collector) {
    let base = root.text("base_option").unwrap_or(BASE_NAME);
    let mut seen = vec![(base, "the case itself".to_owned())];
    for option in root.list("option") {
        let Some(name) = option.table().and_then(|t| t.get("name")) else { continue };
        let Value::Text(text) = &name.value else { continue };
        if let Some((_, whose)) = seen.iter().find(|(t, _)| t == text) {
            let says = Says::new(
                format!("{}, which is the name of {whose} too", quoted(text)),
                "a name of its own for each option",
                "rename one of the two",
            );
            problems.add(ProblemKind::Conflict, name.place, &name.path, says);
        }
        seen.push((text, format!("the option on line {}", option.place.line)));
    }
}

/// The case's document with an option's difference in it. What comes from the option keeps the
/// place and path that it has there; what it adds is listed beside, since it has to be complete.
pub(super) fn laid_over(root: &Node, option: &Node) -> (Node, Vec<Added>) {
    let (Some(base), Some(over)) = (root.table(), option.table()) else { return (root.clone(), Vec::new()) };
    let mut merged = base.clone();
    merged.entries.retain(|(key, _)| !NOT_OF_THE_CASE.contains(&key.as_str()));
    let mut added = Vec::new();
    for word in over.list("drops") {
        if let Value::Text(word) = &word.value {
            drop_out(&mut merged, word);
        }
    }
    for (key, node) in &over.entries {
        match key.as_str() {
            "drive" | "plan" | "shaking" | "water" | "stress" => {
                let table = deep(merged_entry(&merged, key), node);
                put(&mut merged, key, table);
            }
            "bolt" | "surface" => {
                let list = by_name(&merged, key, node, &mut added);
                put(&mut merged, key, list);
            }
            "pattern" | "bolt_at" => {
                let list = by_place(&merged, key, node, &mut added);
                put(&mut merged, key, list);
            }
            _ => {}
        }
    }
    (Node { value: Value::Table(merged), ..root.clone() }, added)
}

/// Something that the case does not have: where it lands, `pattern` and 1 for the second pattern.
pub(super) struct Added {
    pub key: &'static str,
    pub index: usize,
}

fn drop_out(merged: &mut Table, word: &str) {
    match word.split_once('.') {
        None => merged.entries.retain(|(key, _)| key != word),
        Some((outer, inner)) => {
            for (_, node) in merged.entries.iter_mut().filter(|(key, _)| key == outer) {
                if let Value::Table(table) = &mut node.value {
                    table.entries.retain(|(key, _)| key != inner);
                }
            }
        }
    }
}

fn merged_entry<'t>(table: &'t Table, key: &str) -> Option<&'t Node> {
    table.entries.iter().find(|(k, _)| k == key).map(|(_, node)| node)
}

fn put(table: &mut Table, key: &str, node: Node) {
    match table.entries.iter_mut().find(|(k, _)| k == key) {
        Some((_, there)) => *there = node,
        None => table.entries.push((key.to_owned(), node)),
    }
}

/// Tables key by key, all else replaced. A section is one thing: half of another shape makes none.
fn deep(base: Option<&Node>, over: &Node) -> Node {
    let (Some(Value::Table(there)), Value::Table(keys)) = (base.map(|b| &b.value), &over.value) else {
        return over.clone();
    };
    let mut table = there.clone();
    for (key, node) in &keys.entries {
        let whole = key == "section";
        let merged = if whole { node.clone() } else { deep(merged_entry(&table, key), node) };
        put(&mut table, key, merged);
    }
    Node { value: Value::Table(table), ..over.clone() }
}

fn entries(table: &Table, key: &str) -> Vec<Node> {
    match merged_entry(table, key).map(|n| &n.value) {
        Some(Value::List(list)) => list.clone(),
        _ => Vec::new(),
    }
}

fn by_place(merged: &Table, key: &str, over: &Node, added: &mut Vec<Added>) -> Node {
    let mut list = entries(merged, key);
    let Value::List(changes) = &over.value else { return over.clone() };
    for (index, change) in changes.iter().enumerate() {
        match list.get(index).cloned() {
            Some(base) => list[index] = deep(Some(&base), change),
            None => {
                let key = if key == "pattern" { "pattern" } else { "bolt_at" };
                added.push(Added { key, index });
                list.push(change.clone());
            }
        }
    }
    Node { value: Value::List(list), ..over.clone() }
}

fn by_name(merged: &Table, key: &str, over: &Node, added: &mut Vec<Added>) -> Node {
    let mut list = entries(merged, key);
    let Value::List(changes) = &over.value else { return over.clone() };
    // Two entries of one name in the option are two: the check of names says so.
    let of_case = list.len();
    for change in changes {
        let name = change.table().and_then(|t| t.text("name"));
        let same = |n: &Node| name.is_some() && n.table().and_then(|t| t.text("name")) == name;
        match list[..of_case].iter().position(|n| same(n) && n.place != change.place) {
            Some(index) => list[index] = deep(Some(&list[index].clone()), change),
            None => {
                let key = if key == "bolt" { "bolt" } else { "surface" };
                added.push(Added { key, index: list.len() });
                list.push(change.clone());
            }
        }
    }
    Node { value: Value::List(list), ..over.clone() }
}

/// What differs between two documents of a case, key by key.
pub(super) fn changes(base: &Node, option: &Node) -> Vec<Change> {
    let strip = |node: &Node| {
        let mut json = node.to_json();
        if let Some(map) = json.as_object_mut() {
            map.retain(|key, _| !NOT_OF_THE_CASE.contains(&key.as_str()));
        }
        json
    };
    let mut found = Vec::new();
    differ(&strip(base), &strip(option), "", &mut found);
    found
}

fn differ(a: &Json, b: &Json, path: &str, found: &mut Vec<Change>) {
    let dotted = |key: &str| if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") };
    match (a, b) {
        (Json::Object(x), Json::Object(y)) => {
            let more = y.keys().filter(|key| !x.contains_key(*key));
            for key in x.keys().chain(more) {
                differ(
                    x.get(key).unwrap_or(&Json::Null),
                    y.get(key).unwrap_or(&Json::Null),
                    &dotted(key),
                    found,
                );
            }
        }
        (Json::Array(x), Json::Array(y)) if tables(x) && tables(y) => {
            for index in 0..x.len().max(y.len()) {
                let at = |list: &[Json]| list.get(index).cloned().unwrap_or(Json::Null);
                differ(&at(x), &at(y), &format!("{path}[{}]", index + 1), found);
            }
        }
        // A list that is there on one side alone: entry by entry.
        (Json::Array(x), Json::Null) if tables(x) => differ(a, &Json::Array(Vec::new()), path, found),
        (Json::Null, Json::Array(y)) if tables(y) => differ(&Json::Array(Vec::new()), b, path, found),
        _ if a == b => {}
        _ => found.push(Change { key: path.to_owned(), from: words(a), to: words(b) }),
    }
}

fn tables(list: &[Json]) -> bool {
    list.iter().all(Json::is_object)
}

/// A value as TOML writes it on one line.
fn words(value: &Json) -> Option<String> {
    Some(match value {
        Json::Null => return None,
        Json::String(text) => format!("\"{text}\""),
        Json::Array(list) => {
            let all: Vec<String> = list.iter().filter_map(words).collect();
            format!("[{}]", all.join(", "))
        }
        Json::Object(map) => {
            let all: Vec<String> =
                map.iter().filter_map(|(k, v)| words(v).map(|v| format!("{k} = {v}"))).collect();
            format!("{{ {} }}", all.join(", "))
        }
        other => other.to_string(),
    })
}
