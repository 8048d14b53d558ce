use super::{HandSet, NetPolygon, SetBorder};
use crate::input::document::{Node, Table, Value, read_document};
use crate::input::{Collector, Place, ProblemKind, Problems, Says, cited, nearest, quoted};
use crate::orientation::{Line, Plane};

/// A case takes no more sets.
const MOST_SETS: usize = 20;
/// Nobody draws more corners by hand.
const MOST_CORNERS: usize = 200;
/// Letters of a name that a case takes.
const LONGEST_NAME: usize = 24;
/// The keys of a `[[set]]` table.
const KEYS: [&str; 5] = ["name", "dip_deg", "dip_direction_deg", "within_deg", "poles_deg"];
/// How a border is given, in words.
const BORDER: &str = "dip_deg, dip_direction_deg and within_deg, or poles_deg";

/// Reads sets by hand from TOML: a `[[set]]` table each, with a `name` and either `dip_deg`, `dip_direction_deg` and
/// `within_deg` (a mean plane, and how far poles may be off its own), or `poles_deg`, the poles at the corners of a
/// border as `[trend, plunge]` in the order in which it goes round.
///
/// # Units
/// Degrees, to the case's north.
///
/// # Errors
/// All problems at once, each with its line and key.
pub fn read_hand_sets(file_name: &str, text: &str) -> Result<Vec<HandSet>, Problems> {
    let mut problems = Collector::of_file(file_name);
    let document = read_document(text, 0, &mut problems);
    let mut reader = Reader { problems };
    let sets = match document.root.table() {
        Some(root) if document.broken_lines.is_empty() => reader.sets(root),
        _ => Vec::new(),
    };
    reader.problems.finish(sets)
}

struct Reader {
    problems: Collector,
}

impl Reader {
    fn wrong(&mut self, place: Place, key: &str, found: &str, allowed: &str, advice: &str) {
        self.problems.add(ProblemKind::Value, place, key, Says::new(found, allowed, advice));
    }

    fn unknown(&mut self, place: Place, key: String, found: &str, known: &[&str]) {
        let advice = nearest(found, known.iter().copied())
            .map_or_else(|| "take it out".to_owned(), |near| format!("did you mean {near}?"));
        let says = Says::new(format!("the unknown key {}", quoted(found)), known.join(", "), advice);
        self.problems.add(ProblemKind::UnknownKey, place, &key, says);
    }

    fn sets(&mut self, root: &Table) -> Vec<HandSet> {
        for (name, node) in root.entries.iter().filter(|(name, _)| name != "set") {
            self.unknown(node.place, cited(name), name, &["set"]);
        }
        let Some(set) = root.get("set") else {
            let says =
                Says::new("no set", "[[set]] tables, one a set", format!("give each a name, and {BORDER}"));
            self.problems.add(ProblemKind::MissingKey, Place::whole(), "set", says);
            return Vec::new();
        };
        let Value::List(list) = &set.value else {
            self.wrong(
                set.place,
                "set",
                "something else than a list of tables",
                "[[set]] tables",
                "write [[set]]",
            );
            return Vec::new();
        };
        if list.is_empty() || list.len() > MOST_SETS {
            let allowed = format!("1 to {MOST_SETS}");
            self.wrong(
                set.place,
                "set",
                &format!("{} sets", list.len()),
                &allowed,
                "draw fewer borders, or one",
            );
        }
        let mut sets: Vec<HandSet> = Vec::new();
        let mut names: Vec<String> = Vec::new();
        for (at, item) in list.iter().enumerate().take(MOST_SETS) {
            let (path, place) = (format!("set[{}]", at + 1), item.place);
            let Some(table) = item.table() else {
                self.wrong(place, &path, "something else than a table", "[[set]] tables", "write [[set]]");
                continue;
            };
            let name = self.name(table, &path, place, &names);
            names.extend(name.clone());
            let border = self.border(table, &path, place);
            sets.extend(name.zip(border).map(|(name, border)| HandSet { name, border }));
        }
        sets
    }

    fn name(&mut self, table: &Table, path: &str, place: Place, taken: &[String]) -> Option<String> {
        let key = format!("{path}.name");
        let allowed = format!("1 to {LONGEST_NAME} letters (a to z), digits and _");
        let Some(Node { value, place: at, .. }) = table.get("name") else {
            let says = Says::new("no name", allowed, "give the set a name, such as name = \"A\"");
            self.problems.add(ProblemKind::MissingKey, place, &key, says);
            return None;
        };
        let place = *at;
        let Value::Text(text) = value else {
            self.wrong(place, &key, &shown(value), &allowed, "put it between quotation marks");
            return None;
        };
        let fits = (1..=LONGEST_NAME).contains(&text.len())
            && text.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
        if !fits {
            self.wrong(place, &key, &quoted(text), &allowed, "shorten it, or write _ for other signs");
            return None;
        }
        if taken.contains(text) {
            let says = Says::new(format!("{} a second time", quoted(text)), "each name once", "rename one");
            self.problems.add(ProblemKind::Conflict, place, &key, says);
            return None;
        }
        Some(text.clone())
    }

    fn border(&mut self, table: &Table, path: &str, place: Place) -> Option<SetBorder> {
        let mut meant = Vec::new();
        for (name, node) in table.entries.iter().filter(|(name, _)| !KEYS.contains(&name.as_str())) {
            meant.extend(nearest(name, KEYS.iter().copied()));
            self.unknown(node.place, format!("{path}.{}", cited(name)), name, &KEYS);
        }
        let round = ["dip_deg", "dip_direction_deg", "within_deg"];
        let given: Vec<&str> = round.into_iter().filter(|key| table.has(key)).collect();
        match (given.is_empty(), table.get("poles_deg")) {
            (false, Some(poles)) => {
                let says =
                    Says::new(format!("{} beside poles_deg", given.join(", ")), BORDER, "take one of both");
                self.problems.add(ProblemKind::Conflict, poles.place, &format!("{path}.poles_deg"), says);
                None
            }
            (true, None) => {
                // A slip of a key has been told of.
                if !meant.iter().any(|key| *key != "name") {
                    let says = Says::new("no border", BORDER, "say what the set takes in");
                    self.problems.add(ProblemKind::MissingKey, place, path, says);
                }
                None
            }
            (true, Some(poles)) => self.polygon(poles, &format!("{path}.poles_deg")),
            (false, None) => {
                for key in round.iter().filter(|key| !given.contains(key) && !meant.contains(key)) {
                    let says = Says::new("nothing", BORDER, "add it");
                    self.problems.add(ProblemKind::MissingKey, place, &format!("{path}.{key}"), says);
                }
                let [dip, direction, within] = [
                    self.angle(table, path, "dip_deg", [0.0, 90.0]),
                    self.angle(table, path, "dip_direction_deg", [0.0, 360.0]),
                    self.angle(table, path, "within_deg", [0.0, 90.0]),
                ];
                if within == Some(0.0) {
                    let (place, key) = (table.get("within_deg")?.place, format!("{path}.within_deg"));
                    self.wrong(place, &key, "0", "above 0 to 90, degrees", "a border takes an angle");
                    return None;
                }
                let mean = Plane { dip_deg: dip?, dip_direction_deg: direction? };
                Some(SetBorder::Round { mean, within_deg: within? })
            }
        }
    }

    fn angle(&mut self, table: &Table, path: &str, key: &str, range: [f64; 2]) -> Option<f64> {
        self.number(table.get(key)?, &format!("{path}.{key}"), range)
    }

    fn number(&mut self, node: &Node, key: &str, [low, high]: [f64; 2]) -> Option<f64> {
        let found = match node.value {
            Value::Number { value, .. } => Some(value),
            _ => None,
        };
        if let Some(number) = found.filter(|number| (low..=high).contains(number)) {
            return Some(number);
        }
        let advice = match node.value {
            Value::Text(_) => "numbers stand without quotation marks, their unit is in the key",
            _ if found.is_some() => "check the number",
            _ => "type a number",
        };
        self.wrong(node.place, key, &shown(&node.value), &format!("{low} to {high}, degrees"), advice);
        None
    }

    fn polygon(&mut self, node: &Node, key: &str) -> Option<SetBorder> {
        const CORNERS: &str = "a list of poles, each [trend, plunge]";
        let place = node.place;
        let Value::List(list) = &node.value else {
            self.wrong(place, key, &shown(&node.value), CORNERS, "such as [[200, 10], [230, 10], [215, 40]]");
            return None;
        };
        if list.len() > MOST_CORNERS {
            let found = format!("{} corners", list.len());
            self.wrong(place, key, &found, &format!("up to {MOST_CORNERS}"), "draw it with fewer");
            return None;
        }
        let mut corners = Vec::new();
        for (at, item) in list.iter().enumerate() {
            let path = format!("{key}[{}]", at + 1);
            let parts = match &item.value {
                Value::List(parts) if parts.len() == 2 => parts,
                other => {
                    self.wrong(
                        item.place,
                        &path,
                        &shown(other),
                        "[trend, plunge], degrees",
                        "write both numbers",
                    );
                    continue;
                }
            };
            let trend = self.number(&parts[0], &format!("{path}[1]"), [0.0, 360.0]);
            let plunge = self.number(&parts[1], &format!("{path}[2]"), [0.0, 90.0]);
            corners.extend(trend.zip(plunge).map(|(trend_deg, plunge_deg)| Line { trend_deg, plunge_deg }));
        }
        // What is wrong with a corner says more than what the others make.
        if corners.len() < list.len() {
            return None;
        }
        match NetPolygon::new(&corners) {
            Ok(polygon) => Some(SetBorder::Polygon(polygon)),
            Err(fault) => {
                self.wrong(place, key, &fault.to_string(), &fault.allowed(), fault.advice());
                None
            }
        }
    }
}

/// A value as messages call it.
fn shown(value: &Value) -> String {
    match value {
        Value::Text(text) => quoted(text),
        Value::Number { typed, .. } => cited(typed),
        Value::Flag(flag) => flag.to_string(),
        Value::Date(date) => date.clone(),
        Value::List(list) => format!("a list of {}", list.len()),
        Value::Table(_) => "a table".to_owned(),
    }
}
