//! The `[plan]` table of a case file: what a crew needs to know to bring, drill and set the
//! pattern. No key of it changes a verdict. What is left out takes a value of common practice
//! ([`super::practice`]), which every output marks; prices have none.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the plan of a length of drive rests on.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanTable {
    /// What prices are counted in.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 12))]
    pub currency: Option<String>,
    /// Hours of a shift.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 24.0), extend("exclusiveMinimum" = 0.0))]
    pub shift_h: Option<f64>,
    /// Share of the shift that is spent on the work itself, above 0, up to 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 1.0), extend("exclusiveMinimum" = 0.0))]
    pub utilisation: Option<f64>,
    /// Where its numbers come from.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 500))]
    pub source: Option<String>,
    /// How far the machine reaches from one set-up.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reach: Option<PlanReachTable>,
    /// How fast it drills and how long each activity takes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minutes: Option<PlanMinutesTable>,
    /// Screen that is put up with the bolts; absent means none is planned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub screen: Option<PlanScreenTable>,
    /// Cartridges, grout and their waste.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub resin: Option<PlanResinTable>,
    /// Holes for pipes, ducts, fans and cables, which hold no rock.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = 50))]
    pub service: Vec<PlanServiceTable>,
    /// Prices; a consumable without one has no cost.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<PlanPriceTable>,
}

/// How far the machine reaches from one set-up at the middle of the floor.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanReachTable {
    /// Width that it covers, half of it to each side, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 100.0), extend("exclusiveMinimum" = 0.0))]
    pub width_m: Option<f64>,
    /// Height above the floor that it covers, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 100.0), extend("exclusiveMinimum" = 0.0))]
    pub height_m: Option<f64>,
    /// Rings that are drilled from one set-up.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 100))]
    pub rings: Option<u32>,
}

/// How fast the machine drills and how long each activity takes.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanMinutesTable {
    /// Drilling of bolt holes and service holes, metres a minute.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 100.0), extend("exclusiveMinimum" = 0.0))]
    pub drill_m_per_min: Option<f64>,
    /// Drilling of holes for cables with coupled rods, metres a minute.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 100.0), extend("exclusiveMinimum" = 0.0))]
    pub long_hole_m_per_min: Option<f64>,
    /// Putting up a sheet of screen.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 600.0), extend("exclusiveMinimum" = 0.0))]
    pub screen_up_min: Option<f64>,
    /// Flushing a hole.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 600.0), extend("exclusiveMinimum" = 0.0))]
    pub flush_min: Option<f64>,
    /// Charging a hole with cartridges.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 600.0), extend("exclusiveMinimum" = 0.0))]
    pub charge_min: Option<f64>,
    /// Spinning a resin bolt in, or setting an anchor.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 600.0), extend("exclusiveMinimum" = 0.0))]
    pub spin_min: Option<f64>,
    /// From the end of spinning to tightening, seconds: the fast resin sets.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 3600.0), extend("exclusiveMinimum" = 0.0))]
    pub set_s: Option<f64>,
    /// Tightening a nut.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 600.0), extend("exclusiveMinimum" = 0.0))]
    pub tighten_min: Option<f64>,
    /// Driving a friction bolt in.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 600.0), extend("exclusiveMinimum" = 0.0))]
    pub drive_in_min: Option<f64>,
    /// Pushing a cable in and grouting it, minutes a metre of hole.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 600.0), extend("exclusiveMinimum" = 0.0))]
    pub grout_min_per_m: Option<f64>,
    /// Moving the boom to the next collar.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 600.0), extend("exclusiveMinimum" = 0.0))]
    pub move_collar_min: Option<f64>,
    /// Moving the machine to its next set-up.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 600.0), extend("exclusiveMinimum" = 0.0))]
    pub move_set_up_min: Option<f64>,
}

/// Sheets of screen, as far as each `[[surface]]` of kind screen covers; without one, over all ground from
/// the outermost collar on one side to that on the other.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanScreenTable {
    /// Size of a sheet along the perimeter, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.2, max = 20.0))]
    pub across_m: Option<f64>,
    /// Size of a sheet along the drive, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.2, max = 20.0))]
    pub along_m: Option<f64>,
    /// Overlap of neighbouring sheets, both ways, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 5.0))]
    pub overlap_m: Option<f64>,
    /// How far the screen goes beyond the outermost collars, metres, where no `[[surface]]` says how far.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 5.0))]
    pub beyond_m: Option<f64>,
}

/// Cartridges, grout and their waste.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanResinTable {
    /// Length of a fast cartridge, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.05, max = 5.0))]
    pub fast_cartridge_m: Option<f64>,
    /// Length of a slow cartridge, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.05, max = 5.0))]
    pub slow_cartridge_m: Option<f64>,
    /// Length of hole that fast resin fills at the toe, metres, for bolts without a
    /// `fast_length_m` of their own.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 30.0), extend("exclusiveMinimum" = 0.0))]
    pub fast_length_m: Option<f64>,
    /// Cartridges and grout that are lost, percent of what is set.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 100.0))]
    pub waste_percent: Option<f64>,
}

/// Holes for one service.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanServiceTable {
    /// What hangs from them.
    #[schemars(length(min = 1, max = 60))]
    pub name: String,
    /// From one station to the next along the drive, metres.
    #[schemars(range(min = 0.1, max = 1000.0))]
    pub every_m: f64,
    /// Holes of a station, a whole number.
    #[schemars(range(min = 1, max = 100))]
    pub holes: u32,
    /// Length of a hole, metres.
    #[schemars(range(max = 30.0), extend("exclusiveMinimum" = 0.0))]
    pub length_m: f64,
}

/// Prices, in the plan's currency.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanPriceTable {
    /// A fast cartridge.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e9))]
    pub fast_cartridge: Option<f64>,
    /// A slow cartridge.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e9))]
    pub slow_cartridge: Option<f64>,
    /// A litre of grout.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e9))]
    pub grout_litre: Option<f64>,
    /// A sheet of screen.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e9))]
    pub screen_sheet: Option<f64>,
    /// A metre of drilled hole: bits, rods, shanks.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e9))]
    pub drill_metre: Option<f64>,
    /// An hour of crew and machine, paid for the whole shift.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e9))]
    pub crew_hour: Option<f64>,
}
