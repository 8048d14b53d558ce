//! A case file written anew with other support in it: its own text, its comments kept, so that what
//! was chosen can be checked and signed as it stands.

use thiserror::Error;
use toml_edit::{Array, ArrayOfTables, DocumentMut, Formatted, InlineTable, Item, TableLike};

use super::options::{NOT_OF_THE_CASE, changes, laid_over};
use super::{Case, Change, FromStock, PlanInputs, ReadCase, StockedPattern};
use crate::input::Collector;
use crate::input::document::{Node, Table, Value, read_document};
use crate::opening::SectionShape;
use crate::support::{FaceBolts, LocalBolts};

/// What stands in the new text in place of the case's own support.
#[derive(Debug, Clone, Copy)]
pub enum InPlace<'a> {
    /// One of the choices of the case by its name, see [`ReadCase::chosen`].
    Choice(&'a str),
    /// Patterns made of what is on stock, in place of all patterns.
    Stock(&'a FromStock),
}

/// A case file written anew.
#[derive(Debug, Clone, PartialEq)]
pub struct Rewritten {
    /// Its text.
    pub text: String,
    /// What it changes in the case as it stands, key by key; what is left out is no part of it.
    pub changes: Vec<Change>,
    /// What is left out: other choices, bolts that no pattern uses any more, bolts as built.
    pub left_out: Vec<String>,
}

/// Why a case cannot be written anew.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum RewriteError {
    /// No choice of that name.
    #[error("the case has no option \"{0}\"")]
    NoSuchChoice(String),
    /// The text is no TOML.
    #[error("the text of the case cannot be edited: {0}")]
    Text(String),
}

/// The case's text with this support in it. What belongs to other choices (`[[option]]`, `[stock]`,
/// `base_option`), bolts that no pattern uses, and bolts as built of another pattern are left out.
/// `moved` says what a file that the case names is called from where the new one will lie.
///
/// # Errors
/// [`RewriteError`] where there is no such choice, or the text cannot be edited.
pub fn rewritten(
    read: &ReadCase,
    put: InPlace<'_>,
    moved: &dyn Fn(&str) -> String,
) -> Result<Rewritten, RewriteError> {
    // The text was read before: nothing is reported twice.
    let document = read_document(&read.text, 0, &mut Collector::default());
    let root = document.root;
    let mut left_out: Vec<String> = root
        .table()
        .into_iter()
        .flat_map(|table| NOT_OF_THE_CASE.into_iter().filter(|key| table.has(key)))
        .map(|key| match key {
            "option" => "every [[option]]".to_owned(),
            "stock" => "[stock]".to_owned(),
            other => other.to_owned(),
        })
        .collect();
    let merged = merged(&root, read, put)?;
    let changed = changes(&root, &merged);
    let (Value::Table(mut table), as_it_stands) = (merged.value, stands(read, put)) else {
        return Err(RewriteError::Text("it holds no table".into()));
    };
    // Bolts as built stand for the pattern that they were meant to be.
    if !as_it_stands && table.has("as_built") {
        table.entries.retain(|(key, _)| key != "as_built");
        left_out.push("[as_built], which is of the pattern as it stands".to_owned());
    }
    left_out.extend(drop_unused_bolts(&mut table).iter().map(|name| format!("bolt \"{name}\"")));
    move_files(&mut table, moved);
    let text = read.text.trim_start_matches('\u{feff}');
    let mut edited: DocumentMut =
        text.parse().map_err(|e: toml_edit::TomlError| RewriteError::Text(e.message().to_owned()))?;
    set_table(edited.as_table_mut(), &table, false);
    Ok(Rewritten { text: edited.to_string(), changes: changed, left_out })
}

/// Whether the case as it stands is what is wanted.
fn stands(read: &ReadCase, put: InPlace<'_>) -> bool {
    matches!(put, InPlace::Choice(name) if name == read.base_option)
}

/// The case's document with the support in it that is wanted.
fn merged(root: &Node, read: &ReadCase, put: InPlace<'_>) -> Result<Node, RewriteError> {
    let Some(table) = root.table() else { return Err(RewriteError::Text("it holds no table".into())) };
    let of_option = |name: &str| {
        table.list("option").iter().find(|o| o.table().is_some_and(|t| t.text("name") == Some(name)))
    };
    match put {
        InPlace::Choice(name) if !stands(read, put) => {
            let option = of_option(name).ok_or_else(|| RewriteError::NoSuchChoice(name.to_owned()))?;
            Ok(laid_over(root, option).0)
        }
        _ => {
            let mut table = table.clone();
            table.entries.retain(|(key, _)| !NOT_OF_THE_CASE.contains(&key.as_str()));
            if let InPlace::Stock(stock) = put {
                from_stock(&mut table, read, stock, root);
            }
            Ok(Node { value: Value::Table(table), ..root.clone() })
        }
    }
}

/// Puts the patterns of the stock in place of all patterns, with their surface support and prices.
fn from_stock(table: &mut Table, read: &ReadCase, stock: &FromStock, like: &Node) {
    let node = |value: Value| Node { value, path: String::new(), ..like.clone() };
    let number = |value: f64| node(Value::Number { value, typed: format!("{value:?}") });
    let entry = |stocked: &StockedPattern| {
        let pattern = &stocked.pattern;
        let mut keys = Table::default();
        let mut put = |key: &str, value: Node| keys.entries.push((key.to_owned(), value));
        put("bolt", node(Value::Text(read.case.bolts[pattern.bolt].name.clone())));
        put("length_m", number(pattern.length_m));
        put("outside_hole_m", number(pattern.outside_hole_m));
        put("ring_spacing_m", number(pattern.ring_spacing_m));
        put("spacing_m", number(pattern.spacing_m));
        let covers = pattern.covers.iter().map(|c| node(Value::Text(c.name().to_owned()))).collect();
        put("covers", node(Value::List(covers)));
        if let Some(lowest_m) = pattern.lowest_collar_m {
            put("lowest_collar_m", number(lowest_m));
        }
        put("stagger", node(Value::Flag(pattern.stagger)));
        put("price_per_bolt", number(stocked.price_per_bolt));
        node(Value::Table(keys))
    };
    set(table, "pattern", node(Value::List(stock.patterns.iter().map(entry).collect())));
    let Some(chosen) = stock.surface else { return };
    let name = &read.case.surface_support[chosen.surface].name;
    for (_, list) in table.entries.iter_mut().filter(|(key, _)| key == "surface") {
        if let Value::List(list) = &mut list.value {
            list.retain(|s| s.table().and_then(|t| t.text("name")) == Some(name));
        }
    }
    if let Some(price) = chosen.price_per_sheet {
        set_at(table, &["plan", "price", "screen_sheet"], number(price));
    }
}

fn set(table: &mut Table, key: &str, node: Node) {
    match table.entries.iter_mut().find(|(k, _)| k == key) {
        Some((_, there)) => *there = node,
        None => table.entries.push((key.to_owned(), node)),
    }
}

/// The same in tables within tables, made where there are none.
fn set_at(table: &mut Table, path: &[&str], node: Node) {
    let Some((key, rest)) = path.split_first() else { return };
    if rest.is_empty() {
        set(table, key, node);
        return;
    }
    let there = table.entries.iter_mut().find(|(k, _)| k == key).map(|(_, n)| &mut n.value);
    if let Some(Value::Table(inner)) = there {
        set_at(inner, rest, node);
        return;
    }
    let (mut inner, place) = (Table::default(), node.place);
    set_at(&mut inner, rest, node);
    set(
        table,
        key,
        Node { value: Value::Table(inner), place, path: String::new(), usable: true, scatter: None },
    );
}

/// Leaves out the bolts that no pattern uses and no single bolt is, and names them. Bolts as built and pull tests name bolts
/// of the case in files of their own: where there are any, all bolts stay.
fn drop_unused_bolts(table: &mut Table) -> Vec<String> {
    if table.has("as_built") || table.has("pull_tests") {
        return Vec::new();
    }
    let drilled = table.list("pattern").iter().chain(table.list("bolt_at"));
    let used: Vec<String> = drilled.filter_map(|p| Some(p.table()?.text("bolt")?.to_owned())).collect();
    let mut dropped = Vec::new();
    for (_, list) in table.entries.iter_mut().filter(|(key, _)| key == "bolt") {
        let Value::List(list) = &mut list.value else { continue };
        list.retain(|bolt| match bolt.table().and_then(|b| b.text("name")) {
            Some(name) if !used.iter().any(|u| u == name) => {
                dropped.push(name.to_owned());
                false
            }
            _ => true,
        });
    }
    dropped
}

/// Says what the files beside the case are called from where the new one will lie.
fn move_files(root: &mut Table, moved: &dyn Fn(&str) -> String) {
    const NAMED: [&[&str]; 8] = [
        &["headings"],
        &["joint_sets"],
        &["structures"],
        &["pull_tests"],
        &["presets"],
        &["as_built", "file"],
        &["as_built", "compared_with"],
        &["drive", "section", "file"],
    ];
    for path in NAMED {
        if let Some(Node { value: Value::Text(name), .. }) = at(root, path) {
            *name = moved(name);
        }
    }
    let Some(Node { value: Value::List(sets), .. }) = at(root, &["joint_set"]) else { return };
    for set in sets {
        if let Value::Table(set) = &mut set.value
            && let Some(Node { value: Value::Text(name), .. }) = at(set, &["orientation", "readings"])
        {
            *name = moved(name);
        }
    }
}

fn at<'t>(table: &'t mut Table, path: &[&str]) -> Option<&'t mut Node> {
    let (key, rest) = path.split_first()?;
    let node = table.entries.iter_mut().find(|(k, _)| k == key).map(|(_, node)| node)?;
    if rest.is_empty() {
        return Some(node);
    }
    match &mut node.value {
        Value::Table(inner) => at(inner, rest),
        _ => None,
    }
}

/// Makes an edited table hold what `to` holds; what is the same already stays as it was typed.
fn set_table(edited: &mut dyn TableLike, to: &Table, inline: bool) {
    let gone: Vec<String> = edited.iter().map(|(key, _)| key.to_owned()).filter(|key| !to.has(key)).collect();
    for key in gone {
        edited.remove(&key);
    }
    for (key, node) in &to.entries {
        match edited.get_mut(key) {
            Some(item) => set_item(item, node, inline),
            None => {
                edited.insert(key, item_of(node, inline));
            }
        }
    }
}

fn set_item(item: &mut Item, node: &Node, inline: bool) {
    match (&mut *item, &node.value) {
        (Item::Table(table), Value::Table(to)) => set_table(table, to, false),
        (Item::Value(toml_edit::Value::InlineTable(table)), Value::Table(to)) => set_table(table, to, true),
        (Item::ArrayOfTables(list), Value::List(to)) if to.iter().all(|n| n.table().is_some()) => {
            set_tables(list, to);
        }
        (Item::Value(value), _) => {
            if !same(value, node) {
                let mut new = value_of(node);
                // What stands round it, such as the comment behind it, stays.
                *new.decor_mut() = value.decor().clone();
                *value = new;
            }
        }
        _ => *item = item_of(node, inline),
    }
}

/// Entries with names are told by them, so that comments stay with what they were said of.
fn set_tables(list: &mut ArrayOfTables, to: &[Node]) {
    let names: Vec<&str> = to.iter().filter_map(|n| n.table()?.text("name")).collect();
    list.retain(|entry| match entry.get("name").and_then(Item::as_str) {
        Some(name) => names.contains(&name),
        None => true,
    });
    while list.len() > to.len() {
        list.remove(list.len() - 1);
    }
    for (index, node) in to.iter().enumerate() {
        let Some(table) = node.table() else { continue };
        match list.get_mut(index) {
            Some(entry) => set_table(entry, table, false),
            None => list.push(table_of(table)),
        }
    }
}

/// Whether a value says the same already, however it was typed.
fn same(value: &toml_edit::Value, node: &Node) -> bool {
    match (value, &node.value) {
        (toml_edit::Value::String(a), Value::Text(b)) => a.value() == b,
        (toml_edit::Value::Integer(a), Value::Number { value, .. }) => *a.value() as f64 == *value,
        (toml_edit::Value::Float(a), Value::Number { value, .. }) => a.value() == value,
        (toml_edit::Value::Boolean(a), Value::Flag(b)) => a.value() == b,
        (toml_edit::Value::Datetime(a), Value::Date(b)) => a.value().to_string() == *b,
        (toml_edit::Value::Array(a), Value::List(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b))
        }
        (toml_edit::Value::InlineTable(a), Value::Table(b)) => {
            a.len() == b.entries.len()
                && b.entries.iter().all(|(key, node)| a.get(key).is_some_and(|v| same(v, node)))
        }
        _ => false,
    }
}

fn item_of(node: &Node, inline: bool) -> Item {
    match &node.value {
        Value::Table(table) if !inline => Item::Table(table_of(table)),
        Value::List(list) if !inline && !list.is_empty() && list.iter().all(|n| n.table().is_some()) => {
            let mut tables = ArrayOfTables::new();
            list.iter().filter_map(Node::table).for_each(|table| tables.push(table_of(table)));
            Item::ArrayOfTables(tables)
        }
        _ => Item::Value(value_of(node)),
    }
}

fn table_of(table: &Table) -> toml_edit::Table {
    let mut new = toml_edit::Table::new();
    for (key, node) in &table.entries {
        // A section or a direction is a line of its table.
        let inline = matches!(node.value, Value::Table(_));
        new.insert(key, item_of(node, inline));
    }
    new
}

fn value_of(node: &Node) -> toml_edit::Value {
    match &node.value {
        Value::Text(text) => toml_edit::Value::String(Formatted::new(text.clone())),
        Value::Number { value, typed } => {
            let as_typed = typed.parse::<toml_edit::Value>().ok().filter(|v| same(v, node));
            as_typed.unwrap_or_else(|| toml_edit::Value::Float(Formatted::new(*value)))
        }
        Value::Flag(flag) => toml_edit::Value::Boolean(Formatted::new(*flag)),
        Value::Date(text) => {
            let date = text.parse::<toml_edit::Value>().ok();
            date.unwrap_or_else(|| toml_edit::Value::String(Formatted::new(text.clone())))
        }
        Value::List(list) => toml_edit::Value::Array(list.iter().map(value_of).collect::<Array>()),
        Value::Table(table) => {
            let mut new = InlineTable::new();
            for (key, node) in &table.entries {
                new.insert(key, value_of(node));
            }
            toml_edit::Value::InlineTable(new)
        }
    }
}

/// Whether what was read is this case with this plan, but for what [`rewritten`] leaves out and the
/// names of files.
#[must_use]
pub fn reads_as(read: &ReadCase, case: &Case, plan: &PlanInputs) -> bool {
    bare(&read.case, &read.plan) == bare(case, plan)
}

/// A case and its plan without bolts that no pattern uses, bolts as built and names of files.
fn bare(case: &Case, plan: &PlanInputs) -> (Case, PlanInputs) {
    let (mut case, mut plan) = (case.clone(), plan.clone());
    let used: Vec<usize> = (0..case.bolts.len())
        .filter(|bolt| {
            let local = case.local.iter().map(LocalBolts::pattern);
            let in_face = case.face_bolts.iter().map(FaceBolts::pattern);
            case.patterns.iter().chain(local).chain(in_face).any(|pattern| pattern.bolt == *bolt)
        })
        .collect();
    let kept = |index: usize| used.contains(&index);
    let mut index = 0..;
    case.bolts.retain(|_| index.next().is_some_and(kept));
    let mut index = 0..;
    plan.bolts.retain(|_| index.next().is_some_and(kept));
    for pattern in &mut case.patterns {
        pattern.bolt = used.iter().position(|bolt| *bolt == pattern.bolt).unwrap_or(pattern.bolt);
    }
    for bolts in &mut case.local {
        let bolt = bolts.pattern().bolt;
        *bolts = bolts.clone().of_bolt(used.iter().position(|b| *b == bolt).unwrap_or(bolt));
    }
    for bolts in &mut case.face_bolts {
        let bolt = bolts.pattern().bolt;
        *bolts = bolts.clone().of_bolt(used.iter().position(|b| *b == bolt).unwrap_or(bolt));
    }
    case.site.as_built = None;
    if let SectionShape::Scan(scan) = &mut case.shape {
        scan.mesh_name.clear();
    }
    (case, plan)
}
