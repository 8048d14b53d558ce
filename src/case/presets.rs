//! Bolts as somebody read or tested them, a row each: `presets.csv`.

use super::rules::{Keys, Rule};
use super::walk::check_against_rules;
use crate::input::document::{Node, Table, Value};
use crate::input::{
    Collector, Columns, Known, Place, ProblemKind, Row, Says, Separator, Sheet, cited, nearest, one_of,
    quoted,
};
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

/// All of them.
const COLUMNS: [Known; 15] = [
    Known::named("preset"),
    Known::named("kind"),
    Known::named("steel_kn"),
    Known::named("plate_kn"),
    Known::named("source"),
    Known::named("read_by"),
    Known::named("tests"),
    Known::named("bond_kn_per_m"),
    Known::named("anchor_kn"),
    Known::named("anchor_length_m"),
    Known::named("fast_length_m"),
    Known::named("hole_mm"),
    Known::named("bar_mm"),
    Known::named("cartridge_mm"),
    Known::named("price_per_plate"),
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
    let mut presets: Vec<Preset> = Vec::new();
    let Some(mut sheet) = Sheet::of(text, Separator::Comma, file) else {
        let says = Says::new(
            "an empty file",
            format!("a line with the columns {} and a line a preset", NEEDED.join(",")),
            "write the presets into it",
        );
        problems.add(ProblemKind::File, Place { file, line: 0 }, "presets", says);
        return presets;
    };
    let Some(columns) = columns(&sheet, problems) else { return presets };
    while let Some((found, place)) = sheet.next_row() {
        if presets.len() >= MOST_PRESETS {
            let says = Says::new(
                format!("more than {MOST_PRESETS} presets"),
                format!("at most {MOST_PRESETS}"),
                "give those that this mine uses",
            );
            problems.add(ProblemKind::Value, place, "presets", says);
            return presets;
        }
        // What stands in a wide row has moved: nothing else of it can be judged.
        if sheet.report_too_wide(&found, "", problems) {
            continue;
        }
        let Some(preset) = row(&columns, &found, place, bolt_rule, problems) else { continue };
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
    sheet.report_unclosed("presets", problems);
    presets
}

/// The columns, where the first line names those that are needed, and none that is unknown or twice.
fn columns(sheet: &Sheet, problems: &mut Collector) -> Option<Columns> {
    let before = problems.count();
    let place = sheet.header_place();
    let columns = Columns::of(&sheet.header, place, &COLUMNS);
    if columns.is_empty() {
        let says = Says::new(
            format!("{}, which names no column of presets", cited(sheet.header.raw)),
            format!("the columns {}, and where they are needed {}", NEEDED.join(", "), OPTIONAL.join(", ")),
            "name the columns in the first line, divided by commas",
        );
        problems.add(ProblemKind::MissingKey, place, "presets", says);
        return None;
    }
    columns.report_unknown("take the column out, or rename it", problems);
    columns.report_twice("rename or delete one of the two", problems);
    let lacking = columns.lacking(&NEEDED);
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
    (problems.count() == before).then_some(columns)
}

fn row(
    columns: &Columns,
    found: &Row<'_>,
    place: Place,
    bolt_rule: &Rule,
    problems: &mut Collector,
) -> Option<Preset> {
    let before = problems.count();
    let field = |name: &str| Some(columns.text(found, name)).filter(|text| !text.is_empty());
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
    let node = |value: Value| Node { value, place, path: String::new(), usable: true, scatter: None };
    let names = columns.in_file_order().into_iter().map(|(name, _)| name);
    let mut entries: Vec<(String, Node)> = names
        .filter(|name| !["preset", "source", "read_by", "tests"].contains(name))
        .filter_map(|name| Some((name.to_owned(), node(value(name, field(name)?)))))
        .collect();
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
    entry_rule(case, "bolt")
}

/// The rule of one entry of a list within the rule of the case file, and its keys.
pub(super) fn entry_rule<'r>(case: &'r Rule, list: &str) -> Option<(&'r Rule, &'r Keys)> {
    let Rule::Table(root) = case else { return None };
    let Rule::List { item, .. } = &root.get(list)?.rule else { return None };
    let Rule::Table(keys) = item.as_ref() else { return None };
    Some((item.as_ref(), keys))
}
