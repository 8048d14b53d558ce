use serde_json::{Map, Value};

/// What may stand at a key: the part of the JSON Schema that the case file's structs give rise
/// to, in a form that can be walked along with a document.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Rule {
    Number(Range),
    Text {
        least_chars: u64,
        most_chars: u64,
        /// Letters, digits and `_` alone.
        name: bool,
    },
    Flag,
    Words(Vec<String>),
    List {
        item: Box<Rule>,
        least: u64,
        most: u64,
    },
    Table(Keys),
    /// A table whose other keys depend on the word at one of them.
    Tagged {
        tag: String,
        variants: Vec<(String, Keys)>,
    },
    /// A number, or a table that says how it scatters.
    NumberOrTable(Range, Keys),
    /// A word or a table.
    WordsOrTable(Vec<String>, Keys),
    /// A piece of schema that is not understood: nothing is checked. A test sees to it that the
    /// case file has none.
    Anything,
}

/// Bounds of a number.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Range {
    pub least: Option<f64>,
    pub above: Option<f64>,
    pub most: Option<f64>,
    /// Whether only whole numbers are taken.
    pub whole: bool,
}

/// The keys of a table.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Keys(pub Vec<Key>);

/// One key of a table.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Key {
    pub name: String,
    pub rule: Rule,
    pub required: bool,
    /// The first sentence of its description.
    pub about: String,
}

impl Rule {
    /// The rule that a whole schema stands for.
    pub fn of_schema(root: &Value) -> Self {
        compile(root, root)
    }
}

fn compile(schema: &Value, root: &Value) -> Rule {
    let Some(map) = schema.as_object() else { return Rule::Anything };
    if let Some(target) = map.get("$ref").and_then(Value::as_str) {
        let target = target.strip_prefix('#').and_then(|pointer| root.pointer(pointer));
        return target.map_or(Rule::Anything, |t| compile(t, root));
    }
    if let Some(branches) = map.get("oneOf").or_else(|| map.get("anyOf")).and_then(Value::as_array) {
        return alternatives(branches, root);
    }
    if let Some(word) = map.get("const").and_then(Value::as_str) {
        return Rule::Words(vec![word.to_owned()]);
    }
    if let Some(words) = map.get("enum").and_then(Value::as_array) {
        return Rule::Words(words.iter().filter_map(Value::as_str).map(str::to_owned).collect());
    }
    let bound = |key: &str| map.get(key).and_then(Value::as_f64);
    let count = |key: &str| map.get(key).and_then(Value::as_u64);
    match map.get("type").and_then(Value::as_str) {
        Some(kind @ ("number" | "integer")) => Rule::Number(Range {
            least: bound("minimum"),
            above: bound("exclusiveMinimum"),
            most: bound("maximum"),
            whole: kind == "integer",
        }),
        Some("string") => Rule::Text {
            least_chars: count("minLength").unwrap_or(0),
            most_chars: count("maxLength").unwrap_or(u64::MAX),
            name: map.contains_key("pattern"),
        },
        Some("boolean") => Rule::Flag,
        Some("array") => Rule::List {
            item: Box::new(map.get("items").map_or(Rule::Anything, |items| compile(items, root))),
            least: count("minItems").unwrap_or(0),
            most: count("maxItems").unwrap_or(u64::MAX),
        },
        Some("object") => Rule::Table(keys(map, root)),
        _ => Rule::Anything,
    }
}

fn keys(map: &Map<String, Value>, root: &Value) -> Keys {
    let required = map.get("required").and_then(Value::as_array);
    let Some(properties) = map.get("properties").and_then(Value::as_object) else { return Keys::default() };
    let key = |(name, schema): (&String, &Value)| Key {
        name: name.clone(),
        rule: compile(schema, root),
        required: required.is_some_and(|all| all.iter().any(|r| r == name)),
        about: first_sentence(schema.get("description").and_then(Value::as_str).unwrap_or_default()),
    };
    Keys(properties.iter().map(key).collect())
}

fn alternatives(branches: &[Value], root: &Value) -> Rule {
    let rules: Vec<Rule> = branches.iter().map(|b| compile(b, root)).collect();
    let mut words = Vec::new();
    let mut tables = Vec::new();
    let mut numbers = Vec::new();
    for rule in rules {
        match rule {
            Rule::Number(range) => numbers.push(range),
            Rule::Words(more) => words.extend(more),
            Rule::Table(keys) => tables.push(keys),
            _ => return Rule::Anything,
        }
    }
    if let ([range], 1, true) = (numbers.as_slice(), tables.len(), words.is_empty()) {
        return Rule::NumberOrTable(*range, tables.swap_remove(0));
    }
    if !numbers.is_empty() {
        return Rule::Anything;
    }
    match (words.is_empty(), tables.len()) {
        (false, 0) => Rule::Words(words),
        (false, 1) => Rule::WordsOrTable(words, tables.swap_remove(0)),
        (true, 1..) => tagged(tables).unwrap_or(Rule::Anything),
        _ => Rule::Anything,
    }
}

/// Tables that share a key which holds one word in each.
fn tagged(tables: Vec<Keys>) -> Option<Rule> {
    let word = |keys: &Keys, tag: &str| match &keys.get(tag)?.rule {
        Rule::Words(words) => words.first().filter(|_| words.len() == 1).cloned(),
        _ => None,
    };
    let candidates = tables.first()?.0.iter();
    let tag = candidates.map(|k| k.name.clone()).find(|t| tables.iter().all(|k| word(k, t).is_some()))?;
    let variants = tables.into_iter().filter_map(|keys| Some((word(&keys, &tag)?, keys))).collect();
    Some(Rule::Tagged { tag, variants })
}

impl Keys {
    pub fn get(&self, name: &str) -> Option<&Key> {
        self.0.iter().find(|k| k.name == name)
    }

    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.0.iter().map(|k| k.name.as_str())
    }
}

fn first_sentence(text: &str) -> String {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    // A dot inside a number or a key ends nothing.
    let ends = |(at, _): &(usize, &str)| matches!(text.as_bytes().get(at + 1), None | Some(b' '));
    let end = text.match_indices(['.', ';']).find(ends).map_or(text.len(), |(at, _)| at);
    text[..end].to_owned()
}

#[cfg(test)]
mod tests {
    use super::super::schema::{joint_sets_schema, schema, structures_schema};
    use super::*;

    fn gaps(rule: &Rule, path: &str, found: &mut Vec<String>) {
        let mut table = |keys: &Keys| keys.0.iter().for_each(|k| gaps(&k.rule, &k.name, found));
        match rule {
            Rule::Anything => found.push(path.to_owned()),
            Rule::List { item, .. } => gaps(item, path, found),
            Rule::Table(keys) | Rule::WordsOrTable(_, keys) | Rule::NumberOrTable(_, keys) => table(keys),
            Rule::Tagged { variants, .. } => variants.iter().for_each(|(_, keys)| table(keys)),
            _ => {}
        }
    }

    #[test]
    fn every_key_of_the_schema_is_understood() {
        for schema in [schema(), joint_sets_schema(), structures_schema()] {
            let rule = Rule::of_schema(&schema);
            let mut found = Vec::new();
            gaps(&rule, "root", &mut found);
            assert!(found.is_empty(), "{found:?}");
            // And every textual pattern that there is means what `name` is taken for.
            let text = schema.to_string();
            let known = text.matches(r#""pattern":"^[A-Za-z0-9_]+$""#).count();
            assert!(known > 0 && text.matches("\"pattern\":\"").count() == known);
        }
    }

    #[test]
    fn a_sentence_ends_at_its_full_stop_and_not_inside_a_number() {
        assert_eq!(
            first_sentence("Unit weight, kN/m³ (t/m³ times 9.81)."),
            "Unit weight, kN/m³ (t/m³ times 9.81)"
        );
        assert_eq!(first_sentence("Cohesion, kPa; 0 when absent."), "Cohesion, kPa");
        assert_eq!(first_sentence("One. Two."), "One");
        assert_eq!(first_sentence("No full stop 0.5"), "No full stop 0.5");
    }

    #[test]
    fn bounds_come_out_of_the_structs() {
        let Rule::Table(root) = Rule::of_schema(&schema()) else { panic!("a table") };
        let Rule::List { item, most: 20, .. } = &root.get("joint_set").unwrap().rule else {
            panic!("a list")
        };
        let Rule::Table(set) = item.as_ref() else { panic!("a table") };
        let dip = Range { least: Some(0.0), above: None, most: Some(90.0), whole: false };
        assert_eq!(set.get("dip_deg").unwrap().rule, Rule::Number(dip));
        let Rule::Table(drive) = &root.get("drive").unwrap().rule else { panic!("a table") };
        let Rule::Tagged { tag, variants } = &drive.get("section").unwrap().rule else { panic!("tagged") };
        assert_eq!((tag.as_str(), variants.len()), ("shape", 5));
    }
}
