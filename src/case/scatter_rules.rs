//! A number of a case file that scatters: what its table may hold, and the plain value.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value as Json, json};

use super::rules::Range;
use super::scatter::{Law, Quantity, Scatter, Scattered, ScatteredInput};
use super::words::bounds;
use super::{BoltOrigin, Case};
use crate::input::document::{Node, Table, Value};
use crate::input::{Collector, ProblemKind, Says};

/// How a number scatters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum ScatterWord {
    /// Normal: mean and sd.
    Normal,
    /// Lognormal: mean and sd of the number itself.
    Lognormal,
    /// Triangular: min, mode, max.
    Triangular,
    /// Uniform: min, max.
    Uniform,
    /// One of `values`, each as likely as the others.
    Data,
}

/// A number that scatters, for `backhold chance`; every other command takes its mean. Values beyond what the
/// key allows are never drawn.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ScatterTable {
    /// Its law; normal when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<ScatterWord>,
    /// Mean (normal, lognormal).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -1e9, max = 1e9))]
    pub mean: Option<f64>,
    /// Standard deviation (normal, lognormal).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 1e9), extend("exclusiveMinimum" = 0.0))]
    pub sd: Option<f64>,
    /// Least value; below it nothing is drawn.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -1e9, max = 1e9))]
    pub min: Option<f64>,
    /// Likeliest value (triangular).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -1e9, max = 1e9))]
    pub mode: Option<f64>,
    /// Greatest value; above it nothing is drawn.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -1e9, max = 1e9))]
    pub max: Option<f64>,
    /// Measured values (data).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = 10_000))]
    pub values: Vec<f64>,
}

/// The keys that may scatter: table in the schema, key in it.
const MAY_SCATTER: [(&str, &[&str]); 4] = [
    ("RockTable", &["unit_weight_kn_m3"]),
    ("JointSetTable", &["friction_deg", "cohesion_kpa", "max_trace_m", "spacing_m"]),
    ("LimitsTable", &["max_trace_m", "max_depth_m", "max_length_m", "max_volume_m3"]),
    ("BoltTable", &["steel_kn", "bond_kn_per_m", "anchor_kn", "plate_kn"]),
];

/// Lets keys of a schema hold a table that says how their number scatters.
pub(super) fn let_scatter(schema: &mut Json, of_scatter: Json) {
    let Some(defs) = schema.get_mut("$defs").and_then(Json::as_object_mut) else { return };
    for (table, keys) in MAY_SCATTER {
        for key in keys {
            let at = defs.get_mut(table).and_then(|t| t.get_mut("properties")).and_then(|p| p.get_mut(*key));
            let Some(at) = at else { continue };
            let Json::Object(mut number) = at.take() else { continue };
            let mut whole = Map::new();
            if let Some(description) = number.remove("description") {
                whole.insert("description".into(), description);
            }
            whole.insert("anyOf".into(), json!([number, { "$ref": "#/$defs/ScatterTable" }]));
            *at = Json::Object(whole);
        }
    }
    let Json::Object(mut of_scatter) = of_scatter else { return };
    of_scatter.remove("$schema");
    of_scatter.remove("title");
    if let Some(Json::Object(inner)) = of_scatter.remove("$defs") {
        defs.extend(inner);
    }
    defs.insert("ScatterTable".into(), Json::Object(of_scatter));
}

/// Puts the mean in place of a table that says how a number scatters, and keeps the table beside it. What makes
/// no sense is said where it stands; the number is of no use then.
pub(super) fn settle(node: &mut Node, range: &Range, key: &str, problems: &mut Collector) {
    let Value::Table(table) = &node.value else { return };
    let mut kept = table.clone();
    match law_of(&kept, node, problems).and_then(|law| cut_off(law, &kept, node, range, key, problems)) {
        Some(scattered) => {
            let mean = scattered.law().mean();
            // From here on its ends stand there, what the key allows counted in.
            for (key, value) in ["min", "max"].into_iter().zip(scattered.ends()) {
                kept.entries.retain(|(k, _)| k != key);
                let number = Value::Number { value, typed: String::new() };
                kept.entries.push((key.to_owned(), Node { value: number, ..node.clone() }));
            }
            node.value = Value::Number { value: mean, typed: format!("{mean}") };
            node.scatter = Some(Box::new(kept));
        }
        None => node.usable = false,
    }
}

/// A number that is needed.
fn needed(table: &Table, key: &str, law: &str, node: &Node, problems: &mut Collector) -> Option<f64> {
    if !table.mentions(key) {
        let says = Says::new(
            "nothing",
            format!("a number: a {law} law needs it"),
            format!("add {key}, in the unit of the key that scatters"),
        );
        problems.add(ProblemKind::MissingKey, node.place, &format!("{}.{key}", node.path), says);
    }
    table.number(key)
}

fn word_of(table: &Table) -> &str {
    table.text("kind").unwrap_or("normal")
}

fn law_of(table: &Table, node: &Node, problems: &mut Collector) -> Option<Law> {
    if table.has("kind") && table.get("kind").is_none() {
        return None; // reported
    }
    let word = word_of(table);
    let keys: &[&str] = match word {
        "normal" | "lognormal" => &["mean", "sd", "min", "max"],
        "triangular" => &["min", "mode", "max"],
        "uniform" => &["min", "max"],
        _ => &["values", "min", "max"],
    };
    let before = problems.count();
    for (key, odd) in table.entries.iter().filter(|(k, _)| k != "kind" && !keys.contains(&k.as_str())) {
        let says = Says::new(
            format!("{key}, which a {word} law does not have"),
            keys.join(", "),
            "delete it, or give another kind",
        );
        problems.add(ProblemKind::Conflict, odd.place, &odd.path, says);
    }
    let conflict = |key: &str, found: String, allowed: &str, todo: &str, problems: &mut Collector| {
        let at = table.get(key).unwrap_or(node);
        problems.add(ProblemKind::Conflict, at.place, &at.path, Says::new(found, allowed, todo));
    };
    let law = match word {
        "normal" | "lognormal" => {
            let mean = needed(table, "mean", word, node, problems);
            let sd = needed(table, "sd", word, node, problems);
            let (mean, sd) = (mean?, sd?);
            if word == "normal" {
                Law::Normal { mean, sd }
            } else {
                if mean <= 0.0 {
                    conflict(
                        "mean",
                        format!("{mean}"),
                        "a number above 0: a lognormal number has no other",
                        "give the mean of the number itself, not of its logarithm",
                        problems,
                    );
                }
                Law::Lognormal { mean, sd }
            }
        }
        "triangular" => {
            let ends = [
                needed(table, "min", word, node, problems),
                needed(table, "mode", word, node, problems),
                needed(table, "max", word, node, problems),
            ];
            let [min, mode, max] = [ends[0]?, ends[1]?, ends[2]?];
            if !(min..=max).contains(&mode) {
                conflict(
                    "mode",
                    format!("{mode}, outside of {min} to {max}"),
                    "min ≤ mode ≤ max",
                    "give the likeliest value, between least and greatest",
                    problems,
                );
            }
            Law::Triangular { min, mode, max }
        }
        "uniform" => {
            let min = needed(table, "min", word, node, problems);
            let max = needed(table, "max", word, node, problems);
            Law::Uniform { min: min?, max: max? }
        }
        _ => {
            let list = table.list("values");
            if list.is_empty() && (!table.has("values") || table.get("values").is_some()) {
                let says = Says::new("nothing", "values = [ … ]", "give the measured values");
                problems.add(ProblemKind::MissingKey, node.place, &format!("{}.values", node.path), says);
            }
            let values = list.iter().filter(|n| n.usable).filter_map(|n| match n.value {
                Value::Number { value, .. } => Some(value),
                _ => None,
            });
            let values: Vec<f64> = values.collect();
            if values.len() < list.len() {
                return None; // reported
            }
            Law::Data(values)
        }
    };
    if let (Some(min), Some(max)) = (table.number("min"), table.number("max"))
        && min >= max
    {
        conflict(
            "max",
            format!("{max}, not above min, {min}"),
            "min below max",
            "give the greatest value, or write a number that does not scatter",
            problems,
        );
    }
    (problems.count() == before).then_some(law)
}

fn cut_off(
    law: Law,
    table: &Table,
    node: &Node,
    range: &Range,
    key: &str,
    problems: &mut Collector,
) -> Option<Scattered> {
    let [least, most] = ends(table, range);
    let mean = law.mean();
    let inside = |value: f64| {
        range.least.is_none_or(|l| value >= l)
            && range.above.is_none_or(|a| value > a)
            && range.most.is_none_or(|m| value <= m)
    };
    for end in ["min", "max", "mode"] {
        if let Some(value) = table.number(end).filter(|v| !inside(*v)) {
            let at = table.get(end).unwrap_or(node);
            let says = Says::new(
                format!("{value}, which {key} cannot be"),
                bounds(range, key),
                "give an end that the number itself may have",
            );
            problems.add(ProblemKind::Value, at.place, &at.path, says);
            return None;
        }
    }
    if !inside(mean) {
        let at = table.get("mean").unwrap_or(node);
        let says = Says::new(
            format!("a mean of {mean}"),
            bounds(range, key),
            "give a mean that the number itself may have: every other command takes it",
        );
        problems.add(ProblemKind::Value, at.place, &at.path, says);
        return None;
    }
    if let Ok(scattered) = Scattered::new(law, least, most) {
        return Some(scattered);
    }
    let says = Says::new(
        format!("a law of which nothing lies from {least} to {most}"),
        "ends that leave something of it",
        "correct mean and sd, or min and max",
    );
    problems.add(ProblemKind::Conflict, node.place, &node.path, says);
    None
}

/// Where nothing more is drawn: what the table says, and what the key allows.
fn ends(table: &Table, range: &Range) -> [f64; 2] {
    // A number that has to be above a bound is kept off it by what no tool could tell from it.
    let least = range.least.or(range.above.map(|a| a + f64::EPSILON)).unwrap_or(f64::NEG_INFINITY);
    let most = range.most.unwrap_or(f64::INFINITY);
    [table.number("min").map_or(least, |m| m.max(least)), table.number("max").map_or(most, |m| m.min(most))]
}

/// Checks what sets say of friction with cohesion.
pub(super) fn check_correlations(sets: &[Node], problems: &mut Collector) {
    for set in sets {
        let Some(table) = set.table() else { continue };
        let Some(at) = table.get(CORRELATION) else { continue };
        let scatters = |key: &str| table.get(key).is_some_and(|n| n.scatter.is_some());
        if !(scatters("friction_deg") && scatters("cohesion_kpa")) {
            let says = Says::new(
                "a correlation of what does not scatter",
                "friction_deg and cohesion_kpa that both scatter",
                "say how both scatter, or delete it",
            );
            problems.add(ProblemKind::Conflict, at.place, &at.path, says);
        }
    }
}

/// The key of that correlation.
const CORRELATION: &str = "friction_cohesion_correlation";

/// All that scatters in a case that has been read.
pub(super) fn scatter_of(root: &Table, sets: &[Node], case: &Case, origins: &[BoltOrigin]) -> Scatter {
    let mut scatter = Scatter::default();
    let mut of =
        |table: &Table, path: &str, keys: &[(&'static str, Quantity)], factor: &dyn Fn(&Quantity) -> f64| {
            for (key, quantity) in keys {
                let Some(node) = table.get(key) else { continue };
                let Some(kept) = &node.scatter else { continue };
                // It was settled without a problem before, and its ends were put there.
                let law = law_of(kept, node, &mut Collector::default());
                let [least, most] = ends(kept, &Range::default());
                if let Some(Ok(scattered)) = law.map(|law| Scattered::new(law, least, most)) {
                    let key = format!("{path}{key}");
                    scatter.inputs.push(ScatteredInput {
                        quantity: *quantity,
                        key,
                        scattered,
                        factor: factor(quantity),
                    });
                }
            }
        };
    let whole = |_: &Quantity| 1.0;
    if let Some(rock) = root.table("rock") {
        of(rock, "rock.", &[("unit_weight_kn_m3", Quantity::UnitWeight)], &whole);
    }
    for (i, set) in sets.iter().enumerate() {
        let Some(table) = set.table() else { continue };
        let name = table.text("name").unwrap_or_default();
        let keys = [
            ("friction_deg", Quantity::Friction(i)),
            ("cohesion_kpa", Quantity::Cohesion(i)),
            ("max_trace_m", Quantity::MaxTrace(i)),
            ("spacing_m", Quantity::Spacing(i)),
        ];
        of(table, &format!("{name}."), &keys, &whole);
    }
    if let Some(limits) = root.table("limits") {
        let keys = [
            ("max_trace_m", Quantity::LimitTrace),
            ("max_depth_m", Quantity::LimitDepth),
            ("max_length_m", Quantity::LimitLength),
            ("max_volume_m3", Quantity::LimitVolume),
        ];
        of(limits, "limits.", &keys, &whole);
    }
    for (i, bolt) in root.list("bolt").iter().enumerate() {
        let (Some(table), Some(origin)) = (bolt.table(), origins.get(i)) else { continue };
        let name = &case.bolts[i].name;
        let keys = [
            ("steel_kn", Quantity::Steel(i)),
            ("bond_kn_per_m", Quantity::Bond(i)),
            ("anchor_kn", Quantity::Anchor(i)),
            ("plate_kn", Quantity::Plate(i)),
        ];
        let factor = |quantity: &Quantity| left_of(quantity, origin);
        of(table, &format!("{name}."), &keys, &factor);
    }
    for (i, set) in sets.iter().enumerate() {
        if let Some(rho) = set.table().and_then(|t| t.number(CORRELATION)) {
            scatter.friction_cohesion.push((i, rho));
        }
    }
    scatter
}

/// What is left of a bolt's number.
fn left_of(quantity: &Quantity, origin: &BoltOrigin) -> f64 {
    match quantity {
        Quantity::Steel(_) => origin.quality.steel,
        Quantity::Bond(_) | Quantity::Anchor(_) => origin.quality.bond,
        Quantity::Plate(_) => origin.quality.plate,
        _ => 1.0,
    }
}
