//! Bolts as somebody read or tested them, a row each: `presets.csv`.

use super::document::{Node, Table, Value};
use super::outline::fields;
use super::problem::{Collector, Place, ProblemKind, Says, cited, quoted};
use super::rules::{Keys, Rule};
use super::walk::check_against_rules;
use super::words::{nearest, one_of};
use crate::support::LEAST_TESTS;

/// A table of more presets than any mine has bolts is another file.
const MOST_PRESETS: usize = 1_000;

/// Columns that every row fills in.
const NEEDED: [&str; 7] = ["preset", "kind", "steel_kn", "plate_kn", "source", "read_by", "tests"];

/// Columns that depend on the kind, or that plans need.
const OPTIONAL: [&str; 8] = [
    "bond_kn_per_m",
    "anchor_kn",
    "anchor_length_m",
    "fast_length_m",
    "hole_mm",
    "bar_mm",
    "cartridge_mm",
    "price_per_plate",
];

/// Where a bolt's numbers come from that a preset gave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PresetOrigin {
    /// The preset's name.
    pub preset: String,
    /// Its line in the table.
    pub line: usize,
    /// What its row gives as source.
    pub source: String,
    /// Who read the numbers there, or tested.
    pub read_by: String,
    /// Number of tests that they rest on.
    pub tests: usize,
    /// Keys that the case itself gives: they come before the preset's.
    pub typed_over: Vec<String>,
}

impl PresetOrigin {
    /// The origin in words.
    #[must_use]
    pub fn words(&self) -> String {
        let tests = if self.tests == 1 { "1 test".to_owned() } else { format!("{} tests", self.tests) };
        let mut text =
            format!("preset {}: {}, read by {}, {tests}", quoted(&self.preset), self.source, self.read_by);
        if !self.typed_over.is_empty() {
            text.push_str(&format!("; typed in the case instead: {}", self.typed_over.join(", ")));
        }
        text
    }
}

/// A row of the table.
pub(super) struct Preset {
    name: String,
    place: Place,
    values: Table,
    source: String,
    read_by: String,
    tests: usize,
}

/// Reads a table of presets. Each bad row is reported; what is left can be used.
pub(super) fn read_presets(
    text: &str,
    file: usize,
    bolt_rule: &Rule,
    problems: &mut Collector,
) -> Vec<Preset> {
    let text = text.trim_start_matches('\u{feff}');
    let mut columns: Option<Vec<String>> = None;
    let mut presets: Vec<Preset> = Vec::new();
    for (index, line) in text.lines().enumerate() {
        if line.trim().is_empty() || line.trim_start().starts_with('#') {
            continue;
        }
        let place = Place { file, line: index + 1 };
        let fields = fields(line);
        let Some(columns) = &columns else {
            match header(&fields, place, problems) {
                true => columns = Some(fields),
                false => return presets,
            }
            continue;
        };
        if presets.len() >= MOST_PRESETS {
            let says = Says::new(
                format!("more than {MOST_PRESETS} presets"),
                format!("at most {MOST_PRESETS}"),
                "give those that this mine uses",
            );
            problems.add(ProblemKind::Value, place, "presets", says);
            return presets;
        }
        let Some(preset) = row(columns, &fields, place, bolt_rule, problems) else { continue };
        if let Some(earlier) = presets.iter().find(|p| p.name == preset.name) {
            let says = Says::new(
                format!("{}, which is the preset on line {} too", quoted(&preset.name), earlier.place.line),
                "a name of its own for each preset",
                "rename one of the two, or delete it",
            );
            problems.add(ProblemKind::Conflict, place, "preset", says);
            continue;
        }
        presets.push(preset);
    }
    if columns.is_none() {
        let says = Says::new(
            "an empty file",
            format!("a line with the columns {} and a line a preset", NEEDED.join(",")),
            "write the presets into it",
        );
        problems.add(ProblemKind::File, Place { file, line: 0 }, "presets", says);
    }
    presets
}

/// Whether the first line names the columns that are needed, and none that is unknown or twice.
fn header(fields: &[String], place: Place, problems: &mut Collector) -> bool {
    let before = problems.count();
    let known = || NEEDED.into_iter().chain(OPTIONAL);
    if !fields.iter().any(|f| known().any(|k| k == f)) {
        let says = Says::new(
            format!("{}, which names no column of presets", cited(&fields.join(","))),
            format!("the columns {}, and where they are needed {}", NEEDED.join(", "), OPTIONAL.join(", ")),
            "name the columns in the first line, divided by commas",
        );
        problems.add(ProblemKind::MissingKey, place, "presets", says);
        return false;
    }
    for (index, field) in fields.iter().enumerate() {
        if !known().any(|k| k == field) {
            let advice = match nearest(field, known()) {
                Some(near) => format!("did you mean {near}?"),
                None => "take the column out, or rename it".to_owned(),
            };
            let says = Says::new(format!("the column {}", quoted(field)), one_of(known()), advice);
            problems.add(ProblemKind::UnknownKey, place, &cited(field), says);
        } else if fields[..index].contains(field) {
            let says = Says::new(
                format!("the column {} twice", quoted(field)),
                "each column once",
                "delete one of the two",
            );
            problems.add(ProblemKind::Conflict, place, &cited(field), says);
        }
    }
    let lacking: Vec<&str> = NEEDED.into_iter().filter(|n| !fields.iter().any(|f| f == n)).collect();
    if !lacking.is_empty() {
        let says = Says::new(
            "a first line without them",
            format!("the columns {}, named in the first line", NEEDED.join(", ")),
            format!(
                "add {}: without source, reader and tests nobody can tell what a number is worth",
                lacking.join(", ")
            ),
        );
        problems.add(ProblemKind::MissingKey, place, &lacking.join(", "), says);
    }
    problems.count() == before
}

fn row(
    columns: &[String],
    fields: &[String],
    place: Place,
    bolt_rule: &Rule,
    problems: &mut Collector,
) -> Option<Preset> {
    let before = problems.count();
    let field = |name: &str| {
        let at = columns.iter().position(|c| c == name)?;
        fields.get(at).map(String::as_str).filter(|f| !f.is_empty())
    };
    let mut missing = |key: &str, advice: &str| {
        let says = Says::new("nothing", "a value in every row", advice);
        problems.add(ProblemKind::MissingKey, place, key, says);
    };
    for key in NEEDED.into_iter().filter(|key| field(key).is_none()) {
        missing(
            key,
            match key {
                "source" => "say where the numbers come from: the test sheet, the data sheet, page and date",
                "read_by" => "say who read them there, or who tested",
                "tests" => "give the number of tests; 0 where nobody tested",
                "plate_kn" => "give the load that plate and nut carry, kN; 0 where there is no plate",
                _ => "fill it in",
            },
        );
    }
    if fields.len() > columns.len() {
        let says = Says::new(
            format!("{} fields", fields.len()),
            format!("{}, as the first line names them", columns.len()),
            "put a text that holds a comma between double quotes",
        );
        problems.add(ProblemKind::Syntax, place, "", says);
        return None;
    }
    let tests = field("tests").and_then(|typed| {
        let count = typed.parse::<usize>().ok();
        if count.is_none() {
            let says = Says::new(cited(typed), "a whole number from 0", "give the number of tests");
            problems.add(ProblemKind::Value, place, "tests", says);
        }
        count
    });
    let value = |name: &str, typed: &str| match typed.parse::<f64>() {
        Ok(value) if name != "kind" => Value::Number { value, typed: typed.to_owned() },
        _ => Value::Text(typed.to_owned()),
    };
    let node = |value: Value| Node { value, place, path: String::new(), usable: true };
    let bolt_columns =
        columns.iter().filter(|c| !["preset", "source", "read_by", "tests"].contains(&c.as_str()));
    let mut entries: Vec<(String, Node)> =
        bolt_columns.filter_map(|c| Some((c.clone(), node(value(c, field(c)?))))).collect();
    // The rules of a [[bolt]] hold for a preset: it has to have a name there.
    let name = field("preset").unwrap_or("-").to_owned();
    entries.push(("name".into(), node(Value::Text(name.clone()))));
    let mut bolt = node(Value::Table(Table { entries, ..Table::default() }));
    check_against_rules(&mut bolt, bolt_rule, place.line, problems);
    if problems.count() > before {
        return None;
    }
    let Value::Table(mut values) = bolt.value else { return None };
    values.entries.retain(|(key, _)| key != "name");
    let text = |key: &str| field(key).unwrap_or_default().to_owned();
    Some(Preset { name, place, values, source: text("source"), read_by: text("read_by"), tests: tests? })
}

/// Fills the presets into the bolts that name one; what a bolt gives itself stays. Returns for each
/// bolt where its numbers come from, `None` for those without a preset. `presets` is `None` where the
/// case names no table.
pub(super) fn fill_presets(
    root: &mut Table,
    presets: Option<&[Preset]>,
    problems: &mut Collector,
) -> Vec<Option<PresetOrigin>> {
    let named = root.mentions("presets");
    let bolts = root.entries.iter_mut().find(|(key, node)| key == "bolt" && node.usable);
    let Some((_, Node { value: Value::List(bolts), .. })) = bolts else { return Vec::new() };
    bolts.iter_mut().map(|node| fill(node, presets, named, problems)).collect()
}

fn fill(
    node: &mut Node,
    presets: Option<&[Preset]>,
    named: bool,
    problems: &mut Collector,
) -> Option<PresetOrigin> {
    let path = node.path.clone();
    let Value::Table(bolt) = &mut node.value else { return None };
    let at = bolt.get("preset")?;
    let (at, name) = ((at.place, at.path.clone()), bolt.text("preset")?.to_owned());
    let Some(presets) = presets else {
        // A table that is named and could not be read has been reported.
        if !named {
            let says = Says::new(
                format!("{}, but the case names no presets", quoted(&name)),
                "presets = \"presets.csv\" at the top of the file",
                "add presets, or type the bolt's numbers",
            );
            problems.add(ProblemKind::Conflict, at.0, &at.1, says);
        }
        return None;
    };
    let Some(preset) = presets.iter().find(|p| p.name == name) else {
        let names = || presets.iter().map(|p| p.name.as_str());
        let advice = match nearest(&name, names()) {
            Some(near) => format!("did you mean {}?", quoted(near)),
            None => "add a row for it, or correct the name".to_owned(),
        };
        let allowed =
            if presets.is_empty() { "a row of presets; there is none".to_owned() } else { one_of(names()) };
        let says =
            Says::new(format!("{}, a preset that the table does not have", quoted(&name)), allowed, advice);
        problems.add(ProblemKind::Conflict, at.0, &at.1, says);
        return None;
    };
    let (here, there) = (bolt.get("kind").map(|n| n.place), preset.values.text("kind"));
    if let (Some(place), Some(kind)) = (here, there)
        && bolt.text("kind") != Some(kind)
    {
        let says = Says::new(
            format!("another kind than its preset's, {}", quoted(kind)),
            "the preset's kind",
            "delete the kind, or name another preset",
        );
        problems.add(ProblemKind::Conflict, place, &format!("{path}.kind"), says);
        // What else is said has to follow from one of the two kinds.
        bolt.entries.retain(|(key, _)| key != "kind");
    }
    let mut typed_over = Vec::new();
    for (key, value) in &preset.values.entries {
        // A bond from tests stands instead of the preset's.
        let tested = key == "bond_kn_per_m" && bolt.mentions("bond_from");
        if bolt.mentions(key) || tested {
            if key != "kind" {
                typed_over.push(if tested { "bond_from".to_owned() } else { key.clone() });
            }
            continue;
        }
        bolt.entries.push((key.clone(), Node { path: format!("{path}.{key}"), ..value.clone() }));
    }
    if preset.tests < LEAST_TESTS {
        let says = Says::new(
            format!(
                "the preset {} rests on {} tests, fewer than the {LEAST_TESTS} that ISRM (1974) asks for",
                quoted(&name),
                preset.tests
            ),
            "",
            "test more bolts",
        );
        problems.add(ProblemKind::Note, at.0, &at.1, says);
    }
    Some(PresetOrigin {
        preset: name,
        line: preset.place.line,
        source: preset.source.clone(),
        read_by: preset.read_by.clone(),
        tests: preset.tests,
        typed_over,
    })
}

/// The rule of one `[[bolt]]` within the rule of the case file, and its keys.
pub(super) fn bolt_rule(case: &Rule) -> Option<(&Rule, &Keys)> {
    let Rule::Table(root) = case else { return None };
    let Rule::List { item, .. } = &root.get("bolt")?.rule else { return None };
    let Rule::Table(keys) = item.as_ref() else { return None };
    Some((item.as_ref(), keys))
}
