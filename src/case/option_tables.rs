//! The `[[option]]` and `[stock]` tables of a case file: what a reviewer compares, and what the mine
//! has to choose from. No key of them changes what `check` says.

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value, json};

use super::file::{
    BoltAtTable, BoltTable, CoveredWord, DriveTable, PatternTable, PlanTable, ShakingTable, StressTable,
    SurfaceTable, WaterTable,
};

/// One support choice that a reviewer compares: a small difference to the case. The same keys as
/// there, each of them optional.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OptionTable {
    /// What it is called.
    #[schemars(length(min = 1, max = 60))]
    pub name: String,
    /// Lists of the case that it does not take over: its own stand in their place.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = 6))]
    pub drops: Vec<DropsWord>,
    /// Keys of the drive: round, last ring, section; direction and joints stay those of the case.
    #[serde(default, skip_serializing_if = "Map::is_empty")]
    #[schemars(schema_with = "drive_keys")]
    pub drive: Map<String, Value>,
    /// Keys of bolts, by name: a name of the case changes that bolt, another one adds a bolt.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(schema_with = "bolt_keys")]
    pub bolt: Vec<Map<String, Value>>,
    /// Keys of patterns, by place: the first changes the case's first; one more than the case has
    /// is added.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(schema_with = "pattern_keys")]
    pub pattern: Vec<Map<String, Value>>,
    /// Keys of single bolts, by place: as for patterns.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(schema_with = "bolt_at_keys")]
    pub bolt_at: Vec<Map<String, Value>>,
    /// Keys of surface support, by name: as for bolts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(schema_with = "surface_keys")]
    pub surface: Vec<Map<String, Value>>,
    /// Keys of the shaking.
    #[serde(default, skip_serializing_if = "Map::is_empty")]
    #[schemars(schema_with = "shaking_keys")]
    pub shaking: Map<String, Value>,
    /// Keys of the water.
    #[serde(default, skip_serializing_if = "Map::is_empty")]
    #[schemars(schema_with = "water_keys")]
    pub water: Map<String, Value>,
    /// Keys of the stress.
    #[serde(default, skip_serializing_if = "Map::is_empty")]
    #[schemars(schema_with = "stress_keys")]
    pub stress: Map<String, Value>,
    /// Keys of the plan.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plan: Option<PlanTable>,
}

/// What an option does not take over from the case.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum DropsWord {
    /// All patterns.
    #[serde(rename = "pattern")]
    Pattern,
    /// All single bolts.
    #[serde(rename = "bolt_at")]
    BoltAt,
    /// All surface support.
    #[serde(rename = "surface")]
    Surface,
    /// The screen that is planned.
    #[serde(rename = "plan.screen")]
    PlanScreen,
    /// The shaking.
    #[serde(rename = "shaking")]
    Shaking,
    /// The water.
    #[serde(rename = "water")]
    Water,
    /// The stress.
    #[serde(rename = "stress")]
    Stress,
}

/// The keys of a table with none of them required.
fn partial<T: JsonSchema>(generator: &mut SchemaGenerator, without: &[&str]) -> Value {
    let mut table = T::json_schema(generator).to_value();
    if let Some(map) = table.as_object_mut() {
        for key in ["required", "if", "then", "else"] {
            map.remove(key);
        }
        if let Some(keys) = map.get_mut("properties").and_then(Value::as_object_mut) {
            keys.retain(|key, _| !without.contains(&key.as_str()));
        }
    }
    table
}

fn list_of(items: Value, most: u32) -> Schema {
    Schema::try_from(json!({ "type": "array", "maxItems": most, "items": items })).unwrap_or_default()
}

fn drive_keys(generator: &mut SchemaGenerator) -> Schema {
    Schema::try_from(partial::<DriveTable>(generator, &["trend_deg", "plunge_deg"])).unwrap_or_default()
}

fn shaking_keys(generator: &mut SchemaGenerator) -> Schema {
    Schema::try_from(partial::<ShakingTable>(generator, &[])).unwrap_or_default()
}

fn water_keys(generator: &mut SchemaGenerator) -> Schema {
    Schema::try_from(partial::<WaterTable>(generator, &[])).unwrap_or_default()
}

fn stress_keys(generator: &mut SchemaGenerator) -> Schema {
    Schema::try_from(partial::<StressTable>(generator, &[])).unwrap_or_default()
}

fn pattern_keys(generator: &mut SchemaGenerator) -> Schema {
    list_of(partial::<PatternTable>(generator, &[]), 50)
}

fn bolt_at_keys(generator: &mut SchemaGenerator) -> Schema {
    list_of(partial::<BoltAtTable>(generator, &[]), 200)
}

fn named(mut table: Value, most: u32) -> Schema {
    if let Some(map) = table.as_object_mut() {
        map.insert("required".to_owned(), json!(["name"]));
    }
    list_of(table, most)
}

fn bolt_keys(generator: &mut SchemaGenerator) -> Schema {
    named(partial::<BoltTable>(generator, &[]), 100)
}

fn surface_keys(generator: &mut SchemaGenerator) -> Schema {
    named(partial::<SurfaceTable>(generator, &[]), 20)
}

/// What the mine stocks: every combination is one that `fit` may choose, in place of all patterns of the
/// case. Either one pattern is made of it (spacings, stagger and coverages stand here), or several, each
/// under a `[[stock.pattern]]` with spacings, stagger and what it covers of its own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend(
    "if" = json!({ "required": ["pattern"] }),
    "then" = json!({
        "properties": { "spacings_m": false, "ring_spacings_m": false, "stagger": false, "coverage": false }
    }),
    "else" = json!({ "required": ["spacings_m", "ring_spacings_m", "coverage"] })
))]
pub struct StockTable {
    /// The bolts on stock with their lengths.
    #[schemars(length(min = 1, max = 50))]
    pub bolt: Vec<StockBoltTable>,
    /// Collar to collar along the perimeter, metres.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(min = 1, max = 100), inner(range(min = 0.3, max = 100.0)))]
    pub spacings_m: Vec<f64>,
    /// Ring to ring along the drive, metres.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(min = 1, max = 100), inner(range(min = 0.3, max = 100.0)))]
    pub ring_spacings_m: Vec<f64>,
    /// Whether every other ring is shifted by half a spacing; `[false]` when absent, `[false, true]`
    /// tries both.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(min = 1, max = 2))]
    pub stagger: Vec<bool>,
    /// What the bolts may cover.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(min = 1, max = 20))]
    pub coverage: Vec<StockCoverageTable>,
    /// The patterns that stand together, such as one for the back, one for the walls and long cables;
    /// absent means one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(min = 1, max = 3))]
    pub pattern: Vec<StockPatternTable>,
    /// Surface support to choose from, one of them at a time; absent means what the case has.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(min = 1, max = 20))]
    pub surface: Vec<StockSurfaceTable>,
}

/// A bolt on stock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StockBoltTable {
    /// Name of a bolt of the case.
    #[schemars(length(min = 1, max = 100))]
    pub bolt: String,
    /// Whole lengths of it, metres.
    #[schemars(length(min = 1, max = 50), inner(range(min = 0.1, max = 30.0)))]
    pub lengths_m: Vec<f64>,
    /// Price of one bolt of each length, without plate.
    #[schemars(length(min = 1, max = 50), inner(range(min = 0.0, max = 1e9)))]
    pub prices: Vec<f64>,
    /// The part that stays outside the hole, metres.
    #[schemars(range(min = 0.0, max = 30.0))]
    pub outside_hole_m: f64,
}

/// One of several patterns that stand together, and what it may be made of.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StockPatternTable {
    /// The surfaces that it covers.
    #[schemars(length(min = 1, max = 5))]
    pub covers: Vec<CoveredWord>,
    /// Heights above the floor (section v) below which walls get no collar, metres, to choose from; needed
    /// where a wall is covered.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(min = 1, max = 20), inner(range(min = 0.0, max = 100.0)))]
    pub lowest_collars_m: Vec<f64>,
    /// Names of the bolts on stock that it may have; absent means all of them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(min = 1, max = 50), inner(length(min = 1, max = 100)))]
    pub bolts: Vec<String>,
    /// Of their lengths those that it may have, metres; absent means all of them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(min = 1, max = 50), inner(range(min = 0.1, max = 30.0)))]
    pub lengths_m: Vec<f64>,
    /// Collar to collar along the perimeter, metres.
    #[schemars(length(min = 1, max = 100), inner(range(min = 0.3, max = 100.0)))]
    pub spacings_m: Vec<f64>,
    /// Ring to ring along the drive, metres.
    #[schemars(length(min = 1, max = 100), inner(range(min = 0.3, max = 100.0)))]
    pub ring_spacings_m: Vec<f64>,
    /// Whether every other ring is shifted by half a spacing; `[false]` when absent, `[false, true]`
    /// tries both.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(min = 1, max = 2))]
    pub stagger: Vec<bool>,
    /// Whether it may be left out: then there is a choice without it too.
    #[serde(default)]
    pub may_be_left_out: bool,
}

/// What the bolts of a pattern may cover.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StockCoverageTable {
    /// The surfaces.
    #[schemars(length(min = 1, max = 5))]
    pub covers: Vec<CoveredWord>,
    /// Height above the floor (section v) below which walls get no collar, metres; needed where a
    /// wall is covered.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 100.0))]
    pub lowest_collar_m: Option<f64>,
}

/// A surface support on stock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StockSurfaceTable {
    /// Name of a surface support of the case.
    #[schemars(length(min = 1, max = 100))]
    pub surface: String,
    /// Price of a sheet of it; absent means the price of `[plan.price]`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e9))]
    pub price_per_sheet: Option<f64>,
}
