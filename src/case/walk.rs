use super::rules::{Keys, Range, Rule};
use super::scatter_rules::settle;
use super::words::{advice_for, bounds};
use crate::input::document::{Node, Table, Value};
use crate::input::{Collector, Place, ProblemKind, Says, cited, nearest, one_of, quoted};

/// Checks a document against the rules. Keys that are unknown are taken out of it, values that
/// are wrong are marked, so that later checks see only what can be used.
pub(super) fn check_against_rules(root: &mut Node, rule: &Rule, last_line: usize, problems: &mut Collector) {
    Walk { whole: rule, last_line, problems }.node(root, rule, "");
}

/// Checks that something which an option adds has all its keys; what each of them holds has been
/// checked.
pub(super) fn check_complete(node: &mut Node, rule: &Rule, list: &str, problems: &mut Collector) {
    let Rule::Table(root) = rule else { return };
    let Some(Rule::List { item, .. }) = root.get(list).map(|k| &k.rule) else { return };
    let (Rule::Table(keys), Value::Table(table)) = (item.as_ref(), &mut node.value) else { return };
    for key in keys.0.iter().filter(|k| k.required) {
        if table.has(&key.name) {
            continue;
        }
        table.lacks_keys = true;
        if !table.meant.contains(&key.name) {
            let path = format!("{}.{}", node.path, key.name);
            problems.add(ProblemKind::MissingKey, node.place, &path, missing_key(key, &node.path));
        }
    }
}

struct Walk<'a> {
    whole: &'a Rule,
    /// The last line of the file: a table that is missing may go behind it.
    last_line: usize,
    problems: &'a mut Collector,
}

impl Walk<'_> {
    fn node(&mut self, node: &mut Node, rule: &Rule, path: &str) {
        node.path = path.to_owned();
        let place = node.place;
        let key = path.rsplit('.').next().unwrap_or(path);
        let key = key.split('[').next().unwrap_or(key);
        let wrong = match (rule, &mut node.value) {
            (Rule::Anything, _) => None,
            (Rule::Number(range) | Rule::NumberOrTable(range, _), Value::Number { value, typed }) => {
                out_of_range(*value, typed, range, key)
            }
            (Rule::Number(range) | Rule::NumberOrTable(range, _), Value::Text(text)) => {
                Some(number_as_text(text, range, key))
            }
            (Rule::NumberOrTable(range, keys), Value::Table(table)) => {
                let before = self.problems.count();
                self.table(table, keys, path, place);
                if self.problems.count() == before {
                    settle(node, range, key, self.problems);
                } else {
                    node.usable = false;
                }
                None
            }
            (Rule::Text { least_chars, most_chars, name }, Value::Text(text)) => {
                unfit_text(text, *least_chars, *most_chars, *name)
            }
            (Rule::Flag, Value::Flag(_)) => None,
            (Rule::Words(words) | Rule::WordsOrTable(words, _), Value::Text(text)) => {
                unknown_word(text, words)
            }
            (Rule::List { item, least, most }, Value::List(list)) => {
                let count = list.len() as u64;
                for (index, entry) in
                    list.iter_mut().enumerate().take(usize::try_from(*most).unwrap_or(usize::MAX))
                {
                    self.node(entry, item, &format!("{path}[{}]", index + 1));
                }
                (count < *least || count > *most).then(|| {
                    let allowed =
                        if count < *least { format!("at least {least}") } else { format!("at most {most}") };
                    Says::new(
                        format!("{count} entries"),
                        allowed,
                        "add what is missing, or delete what is too much",
                    )
                })
            }
            (Rule::Table(keys) | Rule::WordsOrTable(_, keys), Value::Table(table)) => {
                self.table(table, keys, path, place);
                None
            }
            (Rule::Tagged { tag, variants }, Value::Table(table)) => {
                self.tagged(table, tag, variants, path, place);
                None
            }
            (_, value) => Some(wrong_type(value, rule, path, key)),
        };
        if let Some(says) = wrong {
            node.usable = false;
            self.problems.add(ProblemKind::Value, place, path, says);
        }
    }

    fn table(&mut self, table: &mut Table, keys: &Keys, path: &str, place: Place) {
        let dotted = |key: &str| if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") };
        let mut meant: Vec<String> = Vec::new();
        table.entries.retain(|(key, node)| {
            if keys.get(key).is_some() {
                return true;
            }
            let near = nearest(key, keys.names());
            let home = homes(self.whole, key, path);
            if home.is_none() {
                meant.extend(near.map(str::to_owned));
            }
            let says = unknown_key(key, near, home, keys);
            self.problems.add(ProblemKind::UnknownKey, node.place, &dotted(&cited(key)), says);
            false
        });
        table.meant = meant;
        for (key, node) in &mut table.entries {
            if let Some(known) = keys.get(key) {
                self.node(node, &known.rule, &dotted(key));
            }
        }
        for key in keys.0.iter().filter(|k| k.required) {
            if table.has(&key.name) {
                continue;
            }
            table.lacks_keys = true;
            if table.meant.contains(&key.name) {
                continue; // it is there, misspelt, and has been reported
            }
            let is_table = matches!(key.rule, Rule::Table(_) | Rule::List { .. });
            let at_end = path.is_empty() && is_table;
            let place = if at_end { Place { line: self.last_line, ..place } } else { place };
            self.problems.add(ProblemKind::MissingKey, place, &dotted(&key.name), missing_key(key, path));
        }
    }

    fn tagged(
        &mut self,
        table: &mut Table,
        tag: &str,
        variants: &[(String, Keys)],
        path: &str,
        place: Place,
    ) {
        let words: Vec<String> = variants.iter().map(|(word, _)| word.clone()).collect();
        let given = table.entries.iter_mut().find(|(key, _)| key == tag);
        let Some((_, node)) = given else {
            table.lacks_keys = true;
            let says = Says::new(
                "nothing",
                one_of(words.iter().map(String::as_str)),
                format!("say which {tag} it is, for example {tag} = \"{}\"", words.first().map_or("", |w| w)),
            );
            self.problems.add(ProblemKind::MissingKey, place, &format!("{path}.{tag}"), says);
            return;
        };
        let word = match &node.value {
            Value::Text(text) => text.clone(),
            _ => String::new(),
        };
        match variants.iter().find(|(w, _)| *w == word) {
            Some((_, keys)) => self.table(table, keys, path, place),
            None => self.node(node, &Rule::Words(words), &format!("{path}.{tag}")),
        }
    }
}

fn out_of_range(value: f64, typed: &str, range: &Range, key: &str) -> Option<Says> {
    if !value.is_finite() {
        let found = format!("{}, which is not a finite number", cited(typed));
        return Some(Says::new(found, bounds(range, key), advice_for(key)));
    }
    let low =
        range.least.is_some_and(|least| value < least) || range.above.is_some_and(|above| value <= above);
    let high = range.most.is_some_and(|most| value > most);
    let broken = range.whole && value.fract() != 0.0;
    (low || high || broken).then(|| Says::new(cited(typed), bounds(range, key), advice_for(key)))
}

fn number_as_text(text: &str, range: &Range, key: &str) -> Says {
    let pointed = text.trim().replace(',', ".");
    let end = pointed
        .char_indices()
        .find(|&(i, c)| !(c.is_ascii_digit() || c == '.' || (i == 0 && "+-".contains(c))))
        .map_or(pointed.len(), |(i, _)| i);
    let advice = match pointed[..end].parse::<f64>() {
        Ok(number) if end == pointed.len() => {
            format!("write the number without quotation marks: {key} = {number}")
        }
        Ok(number) => format!("write the number alone, its unit is in the key: {key} = {number}"),
        Err(_) => "write a number".to_owned(),
    };
    Says::new(format!("the text {}", quoted(text)), bounds(range, key), advice)
}

fn unfit_text(text: &str, least_chars: u64, most_chars: u64, name: bool) -> Option<Says> {
    let chars = text.chars().count() as u64;
    if chars < least_chars || text.trim().len() < usize::from(least_chars > 0) {
        return Some(Says::new("an empty text", "at least one character", "fill it in"));
    }
    if name && !text.chars().all(|c| c.is_ascii_alphanumeric() || c == '_') {
        let allowed = "letters A to Z and a to z, digits and _";
        let plain: String = text.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '_' }).collect();
        let plain: String = plain.chars().take(usize::try_from(most_chars).unwrap_or(24)).collect();
        return Some(Says::new(quoted(text), allowed, format!("for example \"{plain}\"")));
    }
    if text.chars().any(char::is_control) {
        let allowed = "one line without control characters";
        return Some(Says::new(quoted(text), allowed, "write it on one line"));
    }
    (chars > most_chars).then(|| {
        Says::new(format!("{chars} characters"), format!("at most {most_chars} characters"), "shorten it")
    })
}

fn unknown_word(text: &str, words: &[String]) -> Option<Says> {
    if words.iter().any(|w| w == text) {
        return None;
    }
    let near = nearest(text, words.iter().map(String::as_str));
    let advice = near.map_or_else(
        || "write one of the words that are allowed".to_owned(),
        |near| format!("did you mean \"{near}\"?"),
    );
    Some(Says::new(quoted(text), one_of(words.iter().map(String::as_str)), advice))
}

fn wrong_type(value: &Value, rule: &Rule, path: &str, key: &str) -> Says {
    let header = header_of(path);
    let found = match value {
        Value::Text(text) => format!("the text {}", quoted(text)),
        Value::Number { typed, .. } => format!("the number {}", cited(typed)),
        Value::Flag(flag) => format!("{flag}"),
        Value::Date(date) => format!("the date {}", cited(date)),
        Value::List(list) if list.iter().any(|n| n.table().is_some()) => "a list of tables".to_owned(),
        Value::List(_) => "a list".to_owned(),
        Value::Table(_) => "a table".to_owned(),
    };
    let table_of_words = |words: &[String]| one_of(words.iter().map(String::as_str));
    let (allowed, advice) = match (rule, value) {
        (Rule::Number(range), _) => (bounds(range, key), "write a number".to_owned()),
        (Rule::NumberOrTable(range, _), _) => (
            bounds(range, key),
            format!("write a number, or how it scatters: {key} = {{ mean = …, sd = … }}"),
        ),
        (Rule::Text { .. }, Value::Number { typed, .. }) => {
            ("a text".to_owned(), format!("put it between quotation marks: {key} = \"{}\"", cited(typed)))
        }
        (Rule::Text { .. }, _) => ("a text".to_owned(), "put it between quotation marks".to_owned()),
        (Rule::Flag, _) => ("true or false".to_owned(), "write it without quotation marks".to_owned()),
        (Rule::Words(words), _) => (table_of_words(words), "write one of the words".to_owned()),
        (Rule::WordsOrTable(words, keys), _) => {
            let keys: Vec<&str> = keys.names().collect();
            (
                format!("{} or a table with {}", table_of_words(words), keys.join(" and ")),
                "write one of the two".to_owned(),
            )
        }
        (Rule::List { item, .. }, found) => match (item.as_ref(), found) {
            (Rule::Table(_), Value::Table(_)) => (
                format!("a list of tables, each under [[{header}]]"),
                format!("write [[{header}]] with double brackets over each of them"),
            ),
            (Rule::Table(_), _) => (format!("a list of tables, each under [[{header}]]"), String::new()),
            (Rule::Words(_) | Rule::Text { .. }, Value::Text(text)) => {
                (list_of(item), format!("put it between square brackets: {key} = [{}]", quoted(text)))
            }
            (Rule::Number(_), Value::Number { typed, .. }) => {
                (list_of(item), format!("put it between square brackets: {key} = [{}]", cited(typed)))
            }
            (Rule::Flag, Value::Flag(flag)) => {
                (list_of(item), format!("put it between square brackets: {key} = [{flag}]"))
            }
            _ => (list_of(item), "write it between square brackets".to_owned()),
        },
        (Rule::Table(_), Value::List(_)) => {
            (format!("one table [{header}]"), format!("write [{header}] once, with single brackets"))
        }
        (Rule::Tagged { tag, variants }, _) => {
            let word = variants.first().map_or("", |(w, _)| w.as_str());
            ("a table".to_owned(), format!("for example {key} = {{ {tag} = \"{word}\", … }}"))
        }
        (Rule::Table(_), _) => ("a table".to_owned(), format!("write [{header}] and its keys below it")),
        (Rule::Anything, _) => (String::new(), String::new()),
    };
    Says::new(found, allowed, advice)
}

fn unknown_key(key: &str, near: Option<&str>, home: Option<String>, keys: &Keys) -> Says {
    let found = format!("the unknown key {}", quoted(key));
    let allowed = keys.names().collect::<Vec<_>>().join(", ");
    let advice = match (home, near) {
        (Some(home), _) => home,
        (None, Some(near)) => format!("did you mean {near}?"),
        (None, None) => "delete it, or see the keys that are allowed here".to_owned(),
    };
    Says::new(found, allowed, advice)
}

/// Where a key that is unknown in the table at `path` would be known.
fn homes(whole: &Rule, key: &str, path: &str) -> Option<String> {
    let Rule::Table(root) = whole else { return None };
    if let Some(known) = root.get(key) {
        let header = match &known.rule {
            Rule::Table(_) => format!("[{key}]"),
            Rule::List { .. } => format!("[[{key}]]"),
            _ => return Some(format!("{key} belongs to the top of the file, before the first [table]")),
        };
        return Some(if is_option(path) {
            format!("no option changes {key}: write {header} once, for the case and all its options")
        } else {
            format!("{key} is a table of its own: write {header} over its keys")
        });
    }
    let mut homes = Vec::new();
    for table in &root.0 {
        match &table.rule {
            Rule::Table(keys) if keys.get(key).is_some() => homes.push(format!("[{}]", table.name)),
            Rule::List { item, .. } => {
                if matches!(item.as_ref(), Rule::Table(keys) if keys.get(key).is_some()) {
                    homes.push(format!("[[{}]]", table.name));
                }
            }
            _ => {}
        }
    }
    (!homes.is_empty()).then(|| format!("{key} belongs to {}", homes.join(" or ")))
}

/// What a list holds that is none of tables.
fn list_of(item: &Rule) -> String {
    match item {
        Rule::Words(words) => format!("a list of {}", one_of(words.iter().map(String::as_str))),
        Rule::Number(_) => "a list of numbers between square brackets".to_owned(),
        Rule::Text { .. } => "a list of texts between square brackets".to_owned(),
        Rule::Flag => "a list of true and false between square brackets".to_owned(),
        _ => "a list".to_owned(),
    }
}

/// Whether a path is that of an option itself.
fn is_option(path: &str) -> bool {
    path.starts_with("option[") && !path.contains('.')
}

/// A path as the header of its table has it: `option[2].pattern` stands under `option.pattern`.
fn header_of(path: &str) -> String {
    let parts = path.split('.').map(|part| part.split('[').next().unwrap_or(part));
    parts.collect::<Vec<&str>>().join(".")
}

/// What is said of a key that is not there.
pub(super) fn missing_key(key: &super::rules::Key, path: &str) -> Says {
    let about = &key.about;
    let allowed = match &key.rule {
        Rule::Number(range) | Rule::NumberOrTable(range, _) => bounds(range, &key.name),
        Rule::Words(words) => one_of(words.iter().map(String::as_str)),
        Rule::Table(keys) => {
            let needed: Vec<&str> = keys.0.iter().filter(|k| k.required).map(|k| k.name.as_str()).collect();
            format!("a table [{}] with {}", key.name, needed.join(", "))
        }
        Rule::Tagged { variants, .. } => {
            format!("a table whose shape is {}", one_of(variants.iter().map(|(w, _)| w.as_str())))
        }
        Rule::List { item, .. } => match item.as_ref() {
            Rule::Table(_) if path.is_empty() => format!("tables under [[{}]]", key.name),
            Rule::Table(_) => format!("tables under [[{}.{}]]", header_of(path), key.name),
            item => list_of(item),
        },
        Rule::Text { .. } => "a text".to_owned(),
        _ => String::new(),
    };
    let advice = match (path, key.name.as_str()) {
        ("", "criteria") => {
            "add [criteria] with the factors of safety that your site asks for: there is no default"
                .to_owned()
        }
        (_, "plate_kn") => {
            "add plate_kn: the load that plate and nut carry, kN; 0 where there is no plate".to_owned()
        }
        _ if about.is_empty() => format!("add {}", key.name),
        _ => format!("add {} ({about})", key.name),
    };
    Says::new("nothing", allowed, advice)
}
