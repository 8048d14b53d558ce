//! The case file as it stands on paper: one struct a table. These structs (those of `[plan]` are in
//! the file beside this one) are the only place
//! where keys, units and ranges are written down; the JSON Schema that editors use, the checks of
//! a file that is read and the reading itself all follow from them.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::json;

use crate::support::{Aim, BoltKind, Covered};

pub use super::bolt_tables::{BoomTable, DowelShearTable};
pub use super::option_tables::{
    DropsWord, OptionTable, StockBoltTable, StockCoverageTable, StockPatternTable, StockSurfaceTable,
    StockTable,
};
pub use super::plan_tables::{
    PlanMinutesTable, PlanPriceTable, PlanReachTable, PlanResinTable, PlanScreenTable, PlanServiceTable,
    PlanTable,
};

/// One drive, its joints, limits, support and criteria. Lengths in metres, forces in kN,
/// stresses in kPa, angles in degrees.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Backhold case")]
#[schemars(extend(
    "allOf" = json!([
        {
            "if": { "required": ["joint_sets"] },
            "else": {
                "properties": { "joint_set": {
                    "minItems": 3,
                    "items": {
                        "required": ["name", "dip_deg", "dip_direction_deg"],
                        "anyOf": [{ "required": ["friction_deg"] }, { "required": ["strength"] }]
                    }
                } },
                "required": ["joint_set"]
            }
        },
        {
            "if": { "required": ["structures"] },
            "else": { "properties": { "structure": {
                "items": {
                        "required": ["name", "dip_deg", "dip_direction_deg"],
                        "anyOf": [{ "required": ["friction_deg"] }, { "required": ["strength"] }]
                    }
            } } }
        }
    ])
))]
pub struct CaseFile {
    /// What the drive is called.
    #[schemars(length(min = 1, max = 200))]
    pub title: String,
    /// The one north that every azimuth of the case is counted from.
    #[serde(default = "mine_grid")]
    #[schemars(length(min = 1, max = 100))]
    pub north: String,
    /// Where the case's data come from.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 500))]
    pub source: Option<String>,
    /// A file that the joint sets are taken from; `[[joint_set]]` entries of the same name then
    /// add strength and limits to them.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 500))]
    pub joint_sets: Option<String>,
    /// A file that mapped structures are taken from: each that a `[[structure]]` entry names, which adds strength and,
    /// where the file has none, the point that it passes through.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 500))]
    pub structures: Option<String>,
    /// A CSV file of pull tests, for bolts whose bond comes from them.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 500))]
    pub pull_tests: Option<String>,
    /// A CSV file of presets, bolts as somebody read or tested them.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 500))]
    pub presets: Option<String>,
    /// A CSV file of the directions that a mine plan drives in, for `backhold turn`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 500))]
    pub headings: Option<String>,
    /// The drive: direction, section, round.
    pub drive: DriveTable,
    /// The rock between the joints.
    pub rock: RockTable,
    /// The joint sets, three or more; at most 10, and 8 with two structures: every three of them are searched.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = 20))]
    pub joint_set: Vec<JointSetTable>,
    /// Caps on the size of wedges; absent means no cap.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limits: Option<LimitsTable>,
    /// The factors of safety that the site asks for; there is no default.
    pub criteria: CriteriaTable,
    /// The bolts that patterns name.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = 100))]
    pub bolt: Vec<BoltTable>,
    /// The bolt patterns; none is a check of the bare drive. At most 12.5 collars a square metre, and at most 6
    /// patterns that slide by themselves.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = 50))]
    pub pattern: Vec<PatternTable>,
    /// Single bolts at known chainages.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = 200))]
    pub bolt_at: Vec<BoltAtTable>,
    /// How bolts get installed; absent means as drawn.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub installation: Option<InstallationTable>,
    /// What the plan of a length of drive rests on; decides no verdict.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plan: Option<PlanTable>,
    /// Screen, straps and shotcrete on the surfaces of the drive.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = 20))]
    pub surface: Vec<SurfaceTable>,
    /// What advisory rules need to know; it never decides.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub advice: Option<AdviceTable>,
    /// Mapped structures: single planes that are where they are and nowhere else.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = 40))]
    pub structure: Vec<StructureTable>,
    /// Loads that hang from the surface: fans, pipes, ducts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = 200))]
    pub hung_load: Vec<HungLoadTable>,
    /// An earthquake or a blast as a steady share of the weight.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shaking: Option<ShakingTable>,
    /// Water on the joint faces as a steady pressure.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water: Option<WaterTable>,
    /// The stress in the rock: a loss where it harms, a second factor beside where it clamps.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stress: Option<StressTable>,
    /// The bolts as somebody found them over a stretch of the drive.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub as_built: Option<AsBuiltTable>,
    /// What the case itself is called among its options.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 60))]
    pub base_option: Option<String>,
    /// Support choices that a reviewer compares with the case.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = 40))]
    pub option: Vec<OptionTable>,
    /// What the mine stocks, for `fit`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stock: Option<StockTable>,
    /// Asks for a second factor of safety with the shear resistance of dowels; it never decides.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dowel_shear: Option<DowelShearTable>,
}

/// A file of joint sets that a case takes in; friction may be left to the case.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JointSetsFile {
    /// The north that its azimuths are counted from; has to be the case's.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 100))]
    pub north: Option<String>,
    /// Where its data come from; stands for each set that gives no source of its own.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 500))]
    pub source: Option<String>,
    /// The joint sets.
    #[schemars(length(max = 20))]
    pub joint_set: Vec<JointSetTable>,
}

/// A file of mapped structures that a case takes from; strength and the point on the section may be left to the case.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StructuresFile {
    /// The north that its azimuths are counted from; has to be the case's.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 100))]
    pub north: Option<String>,
    /// The structures, as many as were mapped.
    #[serde(default)]
    #[schemars(length(max = 10_000))]
    pub structure: Vec<StructureTable>,
}

fn mine_grid() -> String {
    "mine grid".to_owned()
}

/// The drive: direction, section, round.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DriveTable {
    /// Azimuth of the advance, degrees clockwise from north.
    #[schemars(range(min = 0.0, max = 360.0))]
    pub trend_deg: f64,
    /// Plunge of the advance, degrees, positive down: an incline that climbs is negative.
    #[schemars(range(min = -90.0, max = 90.0))]
    pub plunge_deg: f64,
    /// The section, square to the advance.
    pub section: SectionTable,
    /// Length of a round, metres.
    #[schemars(range(min = 0.1, max = 100.0))]
    pub round_length_m: f64,
    /// Distance of the last ring behind the face once a round is bolted, metres, the same for every
    /// pattern; absent means that it is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 100.0))]
    pub last_ring_from_face_m: Option<f64>,
}

/// The section, drawn looking along the advance: u to the right, v up, origin at the middle of
/// the floor.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "shape", rename_all = "lowercase", deny_unknown_fields)]
pub enum SectionTable {
    /// Flat back, upright walls.
    Flat {
        /// Wall to wall, metres.
        #[schemars(range(min = 0.1, max = 100.0))]
        width_m: f64,
        /// Floor to back, metres.
        #[schemars(range(min = 0.1, max = 100.0))]
        height_m: f64,
    },
    /// Upright walls under a circular arc.
    Arched {
        /// Wall to wall, metres.
        #[schemars(range(min = 0.1, max = 100.0))]
        width_m: f64,
        /// Floor to springline, metres.
        #[schemars(range(min = 0.01, max = 100.0))]
        wall_height_m: f64,
        /// Springline to crown at mid-width, metres; at most half the width.
        #[schemars(range(min = 0.01, max = 100.0))]
        rise_m: f64,
    },
    /// A full circle.
    Circular {
        /// Diameter, metres.
        #[schemars(range(min = 0.1, max = 100.0))]
        diameter_m: f64,
    },
    /// A measured convex outline.
    Outline {
        /// CSV file with the columns u_m and v_m, beside the case file.
        #[schemars(length(min = 1, max = 500))]
        file: String,
    },
    /// A scanned heading, cut at one chainage and made convex. Heights count from the drive's
    /// axis, not from the floor that was scanned.
    Scan {
        /// Surface mesh beside the case file, STL or OBJ, in metres: x east, y north, z up.
        #[schemars(length(min = 1, max = 500))]
        file: String,
        /// Where to cut it, metres along the drive's axis from chainage 0.
        #[schemars(range(min = -1e6, max = 1e6))]
        chainage_m: f64,
        /// Middle of the floor at chainage 0 in the mesh's coordinates: east; 0 when absent.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(range(min = -1e9, max = 1e9))]
        origin_east_m: Option<f64>,
        /// The same: north; 0 when absent.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(range(min = -1e9, max = 1e9))]
        origin_north_m: Option<f64>,
        /// The same: up; 0 when absent.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(range(min = -1e9, max = 1e9))]
        origin_up_m: Option<f64>,
        /// The widest gap in the cut that is closed by a straight line, metres; 0.25 when absent.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(range(min = 0.0, max = 20.0))]
        close_gaps_m: Option<f64>,
        /// The section that was designed, about the same axis: overbreak is reported against it.
        #[serde(skip_serializing_if = "Option::is_none")]
        design: Option<DesignTable>,
        /// Further cuts along the drive, each checked by itself: overbreak and verdicts by chainage.
        #[serde(skip_serializing_if = "Option::is_none")]
        along: Option<AlongTable>,
    },
}

/// Cuts through a scan along the drive.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AlongTable {
    /// Chainage of the first cut, metres.
    #[schemars(range(min = -1e6, max = 1e6))]
    pub from_m: f64,
    /// Chainage that the last cut stands at or before, metres.
    #[schemars(range(min = -1e6, max = 1e6))]
    pub to_m: f64,
    /// From one cut to the next, metres; 1 when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.1, max = 100.0))]
    pub every_m: Option<f64>,
}

/// A designed section that a scan is compared with, origin at the middle of its floor.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "shape", rename_all = "lowercase", deny_unknown_fields)]
pub enum DesignTable {
    /// Flat back, upright walls.
    Flat {
        /// Wall to wall, metres.
        #[schemars(range(min = 0.1, max = 100.0))]
        width_m: f64,
        /// Floor to back, metres.
        #[schemars(range(min = 0.1, max = 100.0))]
        height_m: f64,
    },
    /// Upright walls under a circular arc.
    Arched {
        /// Wall to wall, metres.
        #[schemars(range(min = 0.1, max = 100.0))]
        width_m: f64,
        /// Floor to springline, metres.
        #[schemars(range(min = 0.01, max = 100.0))]
        wall_height_m: f64,
        /// Springline to crown at mid-width, metres; at most half the width.
        #[schemars(range(min = 0.01, max = 100.0))]
        rise_m: f64,
    },
    /// A full circle.
    Circular {
        /// Diameter, metres.
        #[schemars(range(min = 0.1, max = 100.0))]
        diameter_m: f64,
    },
}

/// The rock between the joints.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RockTable {
    /// Unit weight, kN/m³ (t/m³ times 9.81).
    #[schemars(range(max = 60.0), extend("exclusiveMinimum" = 0.0))]
    pub unit_weight_kn_m3: f64,
}

/// A set of parallel joints.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JointSetTable {
    /// Name of the set: letters, digits and _.
    #[schemars(length(min = 1, max = 24), regex(pattern = r"^[A-Za-z0-9_]+$"))]
    pub name: String,
    /// Mean dip, degrees below level.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 90.0))]
    pub dip_deg: Option<f64>,
    /// Mean dip direction, degrees clockwise from north.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 360.0))]
    pub dip_direction_deg: Option<f64>,
    /// Friction angle of the joints, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 85.0))]
    pub friction_deg: Option<f64>,
    /// Cohesion over the whole joint face, kPa; 0 when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 100_000.0))]
    pub cohesion_kpa: Option<f64>,
    /// A strength that is not a straight line, instead of `friction_deg` and `cohesion_kpa`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strength: Option<StrengthTable>,
    /// Longest trace that a wedge may have on this set, metres; absent means the cap of `[limits]`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.01, max = 10_000.0))]
    pub max_trace_m: Option<f64>,
    /// Measured mean spacing, metres; caps nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 10_000.0), extend("exclusiveMinimum" = 0.0))]
    pub spacing_m: Option<f64>,
    /// Measured mean trace length, metres; caps nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 10_000.0), extend("exclusiveMinimum" = 0.0))]
    pub trace_length_m: Option<f64>,
    /// Fisher's K of the measured orientations; `backhold chance` draws them by it, it caps nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 1e12), extend("exclusiveMinimum" = 0.0))]
    pub fisher_k: Option<f64>,
    /// The set's own readings, which `backhold chance` draws its orientation from, instead of by `fisher_k`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub orientation: Option<OrientationTable>,
    /// Correlation of friction and cohesion where both scatter, -1 to 1: between the normal numbers that both
    /// are drawn by; 0 when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -1.0, max = 1.0))]
    pub friction_cohesion_correlation: Option<f64>,
    /// Where its numbers come from.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 500))]
    pub source: Option<String>,
}

/// Readings of a joint set that its orientation is drawn from, each as it was read and as often as its weight. Their
/// mean has to be the plane of the set, within 2 degrees.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OrientationTable {
    /// The `readings.csv` that `backhold map` wrote, or a table with its columns set, dip_deg, dip_direction_deg and
    /// weight; its path starts from the folder of the case file.
    #[schemars(length(min = 1, max = 500))]
    pub readings: String,
    /// The set as that table names it; the set's own name when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 60))]
    pub set: Option<String>,
}

/// Caps on the size of wedges; an absent key means no cap.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LimitsTable {
    /// Longest trace on any set, metres; a set's own cap comes before it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.01, max = 10_000.0))]
    pub max_trace_m: Option<f64>,
    /// Greatest depth of the apex, its shortest distance to the opening, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.01, max = 10_000.0))]
    pub max_depth_m: Option<f64>,
    /// Greatest extent along the drive, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.01, max = 10_000.0))]
    pub max_length_m: Option<f64>,
    /// Greatest volume, cubic metres; below a litre no wedge is listed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.001, max = 1e9))]
    pub max_volume_m3: Option<f64>,
}

/// The factors of safety that the site asks for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CriteriaTable {
    /// Least factor of safety of a falling wedge.
    #[schemars(range(max = 100.0), extend("exclusiveMinimum" = 0.0))]
    pub min_fs_falling: f64,
    /// Least factor of safety of a sliding wedge.
    #[schemars(range(max = 100.0), extend("exclusiveMinimum" = 0.0))]
    pub min_fs_sliding: f64,
    /// Pieces up to this volume are for the scaling bar, not for the screen, cubic metres; absent
    /// means that the screen carries every piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.001, max = 10.0))]
    pub scaling_up_to_m3: Option<f64>,
    /// Height above the floor, metres, down to which walls are judged, bolted or not; absent means down to
    /// the floor. A wedge is left out only where its whole face lies below.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 100.0))]
    pub judged_down_to_m: Option<f64>,
}

/// An earthquake or a blast as a steady force on the rock, a share of its weight.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ShakingTable {
    /// Level coefficient, share of the weight: 0.15 pushes with 15 % of it; or `ppv_mm_s` and `frequency_hz`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 2.0))]
    pub horizontal: Option<f64>,
    /// Peak particle velocity of a harmonic shaking, mm/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 10_000.0), extend("exclusiveMinimum" = 0.0))]
    pub ppv_mm_s: Option<f64>,
    /// Its frequency, Hz.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 1_000.0), extend("exclusiveMinimum" = 0.0))]
    pub frequency_hz: Option<f64>,
    /// Vertical coefficient, share of the weight, positive down; 0 when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -0.9, max = 2.0))]
    pub vertical: Option<f64>,
    /// Azimuth that the rock is pushed towards, degrees clockwise from north; absent means the one that asks
    /// most of support, wedge by wedge.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 360.0))]
    pub trend_deg: Option<f64>,
    /// Where its numbers come from.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 500))]
    pub source: Option<String>,
}

/// Water on the joint faces of wedges as a steady pressure. Exactly one of `pressure_kpa`, `apex_head_m`, `head_per_m` and
/// `table_m` says how it is distributed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WaterTable {
    /// The same pressure all over the joint faces, kPa.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 20_000.0))]
    pub pressure_kpa: Option<f64>,
    /// Head at the apex, metres of water; the pressure falls linearly to zero at the traces.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 2_000.0))]
    pub apex_head_m: Option<f64>,
    /// Head at the apex for each metre that it lies behind the opening; the pressure falls linearly to zero at the
    /// traces.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1_000.0))]
    pub head_per_m: Option<f64>,
    /// Level of the water table above the middle of the floor, metres; hydrostatic below it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -10_000.0, max = 2_000.0))]
    pub table_m: Option<f64>,
    /// Names of the sets and structures that it presses on; absent means all.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 40))]
    pub joints: Option<Vec<String>>,
    /// Unit weight of water, kN/m³; 9.81 when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 9.0, max = 15.0))]
    pub unit_weight_kn_m3: Option<f64>,
    /// Where its numbers come from.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 500))]
    pub source: Option<String>,
}

/// The stress in the rock before the drive was there: three principal stresses with the trend and plunge of their axes, or
/// a vertical stress with ratios. It counts where it takes from what holds a wedge; where it clamps it gives a second factor and decides nothing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StressTable {
    /// Greatest principal stress, MPa, compression positive.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100.0, max = 500.0))]
    pub sigma_1_mpa: Option<f64>,
    /// Azimuth of its axis, degrees clockwise from north; either of its two ends.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 360.0))]
    pub sigma_1_trend_deg: Option<f64>,
    /// Plunge of its axis at that end, degrees, positive down.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -90.0, max = 90.0))]
    pub sigma_1_plunge_deg: Option<f64>,
    /// Middle principal stress, MPa, compression positive.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100.0, max = 500.0))]
    pub sigma_2_mpa: Option<f64>,
    /// Azimuth of its axis, degrees clockwise from north; either of its two ends.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 360.0))]
    pub sigma_2_trend_deg: Option<f64>,
    /// Plunge of its axis at that end, degrees, positive down.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -90.0, max = 90.0))]
    pub sigma_2_plunge_deg: Option<f64>,
    /// Least principal stress, MPa, compression positive.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100.0, max = 500.0))]
    pub sigma_3_mpa: Option<f64>,
    /// Azimuth of its axis, degrees clockwise from north; either of its two ends.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 360.0))]
    pub sigma_3_trend_deg: Option<f64>,
    /// Plunge of its axis at that end, degrees, positive down.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -90.0, max = 90.0))]
    pub sigma_3_plunge_deg: Option<f64>,
    /// Vertical stress, a principal one, MPa, compression positive; or the three principal stresses.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 500.0))]
    pub vertical_mpa: Option<f64>,
    /// Greater level stress over the vertical one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -2.0, max = 20.0))]
    pub k_max: Option<f64>,
    /// Lesser level stress over the vertical one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -2.0, max = 20.0))]
    pub k_min: Option<f64>,
    /// Azimuth of the greater level stress, degrees clockwise from north; either of its two ends.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 360.0))]
    pub k_max_trend_deg: Option<f64>,
    /// Poisson's ratio of the rock.
    #[schemars(range(min = 0.0, max = 0.5))]
    pub poisson: f64,
    /// Normal stiffness of the joints over their shear stiffness, kn/ks: the greater, the sooner clamping is lost.
    #[schemars(range(min = 0.01, max = 1000.0))]
    pub stiffness_ratio: f64,
    /// Whether what drives a wedge out, beyond all that its joints hold, is spent by the movement that support follows: true
    /// when absent. False counts it in full.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fades: Option<bool>,
    /// Where its numbers come from.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 500))]
    pub source: Option<String>,
}

/// What advisory rules need to know.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AdviceTable {
    /// Excavation support ratio of the Q-system; without it its bolt length is not worked.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.5, max = 5.0))]
    pub esr: Option<f64>,
}

/// How bolts get installed.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InstallationTable {
    /// How far from its drawn place a collar may stand, measured on the surface, metres: verdicts ask for
    /// the least factor of safety that holds wherever each collar stands. Absent means 0.1, common
    /// practice without a source; 0 means exactly as drawn.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 5.0))]
    pub collar_tolerance_m: Option<f64>,
    /// Whether to ask for the factor of safety that any one missing bolt leaves.
    #[serde(default)]
    pub any_one_missing: bool,
    /// Share of bolts without effect, drawn at random: 0.1 is one in ten.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 0.95))]
    pub ineffective_share: Option<f64>,
    /// A whole number that fixes which bolts those are; 1 when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0, max = 4_294_967_295_u32))]
    pub seed: Option<u32>,
}

/// How a bolt holds in the rock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum KindWord {
    /// Bar in resin over its whole length.
    Resin,
    /// Bar or tube with an expanding anchor at its toe.
    Mechanical,
    /// Tube that holds by friction over its whole length.
    Friction,
    /// Strand in grout over its whole length.
    Cable,
}

impl From<KindWord> for BoltKind {
    fn from(word: KindWord) -> Self {
        match word {
            KindWord::Resin => Self::Resin,
            KindWord::Mechanical => Self::Mechanical,
            KindWord::Friction => Self::Friction,
            KindWord::Cable => Self::Cable,
        }
    }
}

/// Where a bond comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum BondFromWord {
    /// The pull tests that the case names.
    Tests,
}

/// A bolt as it was tested. No capacity has a default.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend(
    "if" = json!({ "required": ["preset"] }),
    "else" = json!({
        "required": ["kind", "steel_kn", "plate_kn"],
        "if": { "properties": { "kind": { "const": "mechanical" } }, "required": ["kind"] },
        "then": {
            "required": ["anchor_kn", "anchor_length_m"],
            "properties": { "bond_kn_per_m": false, "bond_from": false, "tests_condition": false }
        },
        "else": {
            "oneOf": [{ "required": ["bond_kn_per_m"] }, { "required": ["bond_from"] }],
            "properties": { "anchor_kn": false, "anchor_length_m": false }
        }
    })
))]
pub struct BoltTable {
    /// The name that patterns use.
    #[schemars(length(min = 1, max = 100))]
    pub name: String,
    /// A row of the table of presets, whose values stand wherever the bolt gives none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 100))]
    pub preset: Option<String>,
    /// How it holds in the rock.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<KindWord>,
    /// Load that bar, tube or strand carries, kN.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 10_000.0), extend("exclusiveMinimum" = 0.0))]
    pub steel_kn: Option<f64>,
    /// Bond along the bolt, kN per metre (resin, friction, cable).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 10_000.0))]
    pub bond_kn_per_m: Option<f64>,
    /// Takes the characteristic bond of the pull tests instead of a typed one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bond_from: Option<BondFromWord>,
    /// Which condition of the pull tests is the one here, where there are several.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 100))]
    pub tests_condition: Option<String>,
    /// Load that the anchor at the toe carries, kN (mechanical).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 10_000.0))]
    pub anchor_kn: Option<f64>,
    /// Length of the anchor at the toe, metres (mechanical).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 30.0), extend("exclusiveMinimum" = 0.0))]
    pub anchor_length_m: Option<f64>,
    /// Load that plate and nut carry, kN; 0 where there is no plate.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 10_000.0))]
    pub plate_kn: Option<f64>,
    /// Share of the capacities that is left in this ground (corrosion, poor grout): 1 is as tested.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1.0))]
    pub quality_factor: Option<f64>,
    /// The same of steel_kn alone; comes before quality_factor.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1.0))]
    pub steel_factor: Option<f64>,
    /// The same of the bond or the anchor alone; comes before quality_factor.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1.0))]
    pub bond_factor: Option<f64>,
    /// The same of plate_kn alone; comes before quality_factor.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1.0))]
    pub plate_factor: Option<f64>,
    /// Length at the toe that is set in fast resin, metres (resin): all that holds until the slow
    /// cartridge has set.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 30.0), extend("exclusiveMinimum" = 0.0))]
    pub fast_length_m: Option<f64>,
    /// Diameter of its hole, millimetres; for plans.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 10.0, max = 200.0))]
    pub hole_mm: Option<f64>,
    /// Diameter of its bar or strand, millimetres; for plans.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 5.0, max = 190.0))]
    pub bar_mm: Option<f64>,
    /// Diameter of its cartridges, millimetres (resin); for plans.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 5.0, max = 190.0))]
    pub cartridge_mm: Option<f64>,
    /// Price of a plate with its nut; for plans.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e9))]
    pub price_per_plate: Option<f64>,
    /// Where the numbers come from: which tests, how many.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 500))]
    pub source: Option<String>,
}

/// A surface that a pattern covers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum CoveredWord {
    /// Overhead.
    #[serde(rename = "back")]
    Back,
    /// Both walls.
    #[serde(rename = "walls")]
    Walls,
    /// The wall to the left of somebody walking the advance.
    #[serde(rename = "left wall")]
    LeftWall,
    /// The wall to the right of somebody walking the advance.
    #[serde(rename = "right wall")]
    RightWall,
    /// The end of the heading.
    #[serde(rename = "face")]
    Face,
}

impl From<CoveredWord> for Covered {
    fn from(word: CoveredWord) -> Self {
        match word {
            CoveredWord::Back => Self::Back,
            CoveredWord::Walls => Self::Walls,
            CoveredWord::LeftWall => Self::LeftWall,
            CoveredWord::RightWall => Self::RightWall,
            CoveredWord::Face => Self::Face,
        }
    }
}

/// What a surface support is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum SurfaceKindWord {
    /// Mesh held by the plates of the bolts.
    Screen,
    /// Straps held by the plates of the bolts.
    Strap,
    /// Sprayed concrete that adheres to the rock.
    Shotcrete,
}

/// Screen, straps or shotcrete as it was tested. No capacity has a default.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend(
    "if" = json!({ "properties": { "kind": { "const": "shotcrete" } }, "required": ["kind"] }),
    "then" = json!({
        "required": ["thickness_m", "shear_strength_kpa", "adhesion_kpa", "adhesion_width_m"],
        "properties": { "bay_kn": false }
    }),
    "else" = json!({
        "required": ["bay_kn"],
        "properties": {
            "thickness_m": false, "shear_strength_kpa": false, "adhesion_kpa": false, "adhesion_width_m": false
        }
    })
))]
pub struct SurfaceTable {
    /// What it is called.
    #[schemars(length(min = 1, max = 100))]
    pub name: String,
    /// What it is.
    pub kind: SurfaceKindWord,
    /// The surfaces it covers.
    #[schemars(length(min = 1, max = 5))]
    pub covers: Vec<CoveredWord>,
    /// Height above the floor (section v) down to which it covers walls, metres; needed where a
    /// wall is covered.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 100.0))]
    pub lowest_m: Option<f64>,
    /// Load that one bay between bolts carries, kN (screen, strap).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 10_000.0), extend("exclusiveMinimum" = 0.0))]
    pub bay_kn: Option<f64>,
    /// Thickness that is there, metres (shotcrete).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 2.0), extend("exclusiveMinimum" = 0.0))]
    pub thickness_m: Option<f64>,
    /// Direct shear strength through the thickness, kPa (shotcrete).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 100_000.0), extend("exclusiveMinimum" = 0.0))]
    pub shear_strength_kpa: Option<f64>,
    /// Adhesion to the rock, kPa (shotcrete); 0 where it does not adhere.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 100_000.0))]
    pub adhesion_kpa: Option<f64>,
    /// Width of the strip along a wedge's perimeter over which adhesion acts, metres (shotcrete).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 2.0), extend("exclusiveMinimum" = 0.0))]
    pub adhesion_width_m: Option<f64>,
    /// Where the numbers come from: which tests, how many.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 500))]
    pub source: Option<String>,
}

/// Bolts in even rings along the drive, or in rows over its face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend(
    "if" = json!({ "properties": { "covers": { "contains": { "const": "face" } } }, "required": ["covers"] }),
    "then" = json!({
        "required": ["row_spacing_m", "lowest_collar_m"],
        "properties": {
            "covers": { "maxItems": 1 }, "ring_spacing_m": false, "row_at_m": false, "direction": false,
            "boom": false, "offset_m": false, "from_m": false, "to_m": false, "tension_kn": false
        }
    }),
    "else" = json!({
        "required": ["ring_spacing_m"],
        "properties": { "row_spacing_m": false, "up_deg": false, "right_deg": false }
    })
))]
pub struct PatternTable {
    /// Name of its bolt.
    #[schemars(length(min = 1, max = 100))]
    pub bolt: String,
    /// Whole length of a bolt, metres.
    #[schemars(range(min = 0.1, max = 30.0))]
    pub length_m: f64,
    /// The part that stays outside the hole, metres.
    #[schemars(range(min = 0.0, max = 30.0))]
    pub outside_hole_m: f64,
    /// Ring to ring along the drive, metres; of every pattern but one on the face.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.1, max = 100.0))]
    pub ring_spacing_m: Option<f64>,
    /// Row to row up the face, metres; of a pattern on the face alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.1, max = 100.0))]
    pub row_spacing_m: Option<f64>,
    /// Collar to collar along the perimeter, on the face across it, metres.
    #[schemars(range(min = 0.1, max = 100.0))]
    pub spacing_m: f64,
    /// The surfaces it covers: the face alone, or others.
    #[schemars(length(min = 1, max = 5))]
    pub covers: Vec<CoveredWord>,
    /// Height above the floor (section v) below which walls get no collar, metres; needed where
    /// a wall is covered. On the face the height of the lowest row.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 100.0))]
    pub lowest_collar_m: Option<f64>,
    /// Height above the floor (section v) of one more row on each covered wall, metres. Collars stand at
    /// whole spacings from the crown, so that the lowest of them stands where it comes; this row stands
    /// where it is wanted, in every ring, and a collar within 0.3 m of it is moved there.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 100.0))]
    pub row_at_m: Option<f64>,
    /// Whether every other ring, on the face every other row, is shifted by half a spacing.
    #[serde(default)]
    pub stagger: bool,
    /// How far bolts in the face rise from the drive's axis, degrees, negative where they dip below it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -80.0, max = 80.0))]
    pub up_deg: Option<f64>,
    /// How far bolts in the face leave the drive's axis to the right, degrees, negative to the left.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -80.0, max = 80.0))]
    pub right_deg: Option<f64>,
    /// Where the bolts are aimed.
    #[serde(default)]
    pub direction: DirectionEntry,
    /// The boom that limits the holes (direction "boom").
    #[serde(skip_serializing_if = "Option::is_none")]
    pub boom: Option<BoomTable>,
    /// Chainage of ring 0, metres, where the survey fixes it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100_000.0, max = 100_000.0))]
    pub offset_m: Option<f64>,
    /// Chainage of the first ring of a pattern over a stretch, metres; with `to_m`. Such a pattern counts
    /// for wedges that a structure puts at a chainage, and for no others: these may lie where it is not.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100_000.0, max = 100_000.0))]
    pub from_m: Option<f64>,
    /// Chainage at or before which the last ring of a pattern over a stretch stands, metres; at most 2,000 rings
    /// of all such patterns together.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100_000.0, max = 100_000.0))]
    pub to_m: Option<f64>,
    /// Tension of each bolt, kN, where bolts are tensioned.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 10_000.0))]
    pub tension_kn: Option<f64>,
    /// Price of one bolt of this length, without plate; for plans.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e9))]
    pub price_per_bolt: Option<f64>,
}

impl PatternTable {
    /// Whether it stands in the face of the heading.
    pub fn is_on_face(&self) -> bool {
        self.covers.contains(&CoveredWord::Face)
    }
}

/// A single bolt that is drilled at a chainage. It counts for wedges that a structure puts there, and for
/// no others: these may lie where it is not.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoltAtTable {
    /// Name of its bolt.
    #[schemars(length(min = 1, max = 100))]
    pub bolt: String,
    /// Its whole length, metres.
    #[schemars(range(min = 0.1, max = 30.0))]
    pub length_m: f64,
    /// The part that stays outside the hole, metres.
    #[schemars(range(min = 0.0, max = 30.0))]
    pub outside_hole_m: f64,
    /// Chainage of its collar, metres; with `arc_m`, or with `u_m` and `v_m`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100_000.0, max = 100_000.0))]
    pub chainage_m: Option<f64>,
    /// Where its collar is along the perimeter: arc length from the crown, positive to the right, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -1000.0, max = 1000.0))]
    pub arc_m: Option<f64>,
    /// Its collar, metres to the right of the middle of the floor.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -1000.0, max = 1000.0))]
    pub u_m: Option<f64>,
    /// Its collar, metres above the floor.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -1000.0, max = 1000.0))]
    pub v_m: Option<f64>,
    /// The collar instead by coordinates from the middle of the floor at chainage 0, metres east; with
    /// `north_m` and `up_m`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100_000.0, max = 100_000.0))]
    pub east_m: Option<f64>,
    /// The same, metres north.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100_000.0, max = 100_000.0))]
    pub north_m: Option<f64>,
    /// The same, metres up.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100_000.0, max = 100_000.0))]
    pub up_m: Option<f64>,
    /// Where it is aimed, as of a pattern but for a boom; square to the surface when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub direction: Option<DirectionEntry>,
    /// The azimuth that it is drilled toward instead, degrees; with `plunge_deg`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 360.0))]
    pub trend_deg: Option<f64>,
    /// Its plunge from the collar into the rock, degrees, positive down.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -90.0, max = 90.0))]
    pub plunge_deg: Option<f64>,
    /// Price of it, without plate; for plans.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e9))]
    pub price_per_bolt: Option<f64>,
}

/// Where the bolts of a pattern are aimed: a word, or the origin of a fan.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum DirectionEntry {
    /// A word.
    Word(DirectionWord),
    /// A fan.
    Fan(FanOrigin),
}

impl Default for DirectionEntry {
    fn default() -> Self {
        Self::Word(DirectionWord::Normal)
    }
}

impl DirectionEntry {
    /// Where bolts are aimed; `None` where the boom is asked for and not there.
    #[must_use]
    pub fn aim(self, boom: Option<BoomTable>) -> Option<Aim> {
        Some(match self {
            Self::Word(DirectionWord::Normal) => Aim::Normal,
            Self::Word(DirectionWord::Vertical) => Aim::Vertical,
            Self::Word(DirectionWord::Boom) => Aim::Boom(boom?.into()),
            Self::Fan(fan) => {
                Aim::Fan { origin: crate::opening::Vec2::new(fan.fan_origin_u_m, fan.fan_origin_v_m) }
            }
        })
    }
}

/// Words for a direction.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum DirectionWord {
    /// Square to the surface.
    Normal,
    /// True vertical, up.
    Vertical,
    /// As near square to the surface as the boom gets.
    Boom,
}

/// The point of the section that all holes of a ring are drilled from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FanOrigin {
    /// Its u, metres to the right of the middle of the floor.
    #[schemars(range(min = -100.0, max = 100.0))]
    pub fan_origin_u_m: f64,
    /// Its v, metres above the floor.
    #[schemars(range(min = -100.0, max = 100.0))]
    pub fan_origin_v_m: f64,
}

/// A load that hangs from the surface; the wedge that it hangs from takes it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HungLoadTable {
    /// What hangs there.
    #[schemars(length(min = 1, max = 100))]
    pub name: String,
    /// Load at one place, kN; this or `kn_per_m`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 10_000.0), extend("exclusiveMinimum" = 0.0))]
    pub kn: Option<f64>,
    /// Load all along the drive, kN per metre; this or `kn`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 10_000.0), extend("exclusiveMinimum" = 0.0))]
    pub kn_per_m: Option<f64>,
    /// Where it hangs, arc length from the crown, metres, positive to the right of the advance; this
    /// or `u_m` and `v_m`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -200.0, max = 200.0))]
    pub arc_m: Option<f64>,
    /// Where it hangs, metres to the right of the middle of the floor; the nearest place of the
    /// surface is taken.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -200.0, max = 200.0))]
    pub u_m: Option<f64>,
    /// Where it hangs, metres above the floor.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -200.0, max = 200.0))]
    pub v_m: Option<f64>,
    /// Chainage of a load at one place, metres; absent means anywhere along the drive.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100_000.0, max = 100_000.0))]
    pub chainage_m: Option<f64>,
    /// Where its numbers come from.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 500))]
    pub source: Option<String>,
}

/// What as-built bolts are to the patterns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum AsBuiltWord {
    /// They are all that is there.
    Replaces,
    /// The patterns are there too: spot bolts.
    Adds,
}

/// The bolts as somebody found them over a stretch of the drive.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AsBuiltTable {
    /// CSV file of the bolts, beside the case file.
    #[schemars(length(min = 1, max = 500))]
    pub file: String,
    /// Whether they are all that is there or stand between those of the patterns.
    pub mode: AsBuiltWord,
    /// First chainage of the stretch, metres; the first bolt's when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100_000.0, max = 100_000.0))]
    pub from_m: Option<f64>,
    /// Last chainage of the stretch, metres; the last bolt's when absent. At most 2,000 m from the first.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100_000.0, max = 100_000.0))]
    pub to_m: Option<f64>,
    /// A bolt farther than this from its drawn place is off its place, metres; 0.3 when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 5.0))]
    pub off_by_m: Option<f64>,
    /// How far a collar may stand from where the list puts it, metres on the surface: the error of the survey. A
    /// bolt counts for a wedge where its collar is sure to be on the face. 0 when absent: as listed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1.0))]
    pub survey_error_m: Option<f64>,
    /// CSV file of an earlier survey of the same stretch, in the same columns: what changed since then is told.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 500))]
    pub compared_with: Option<String>,
}

/// A strength that is not typed as a straight line. Wedges are balanced with a line that lies nowhere above it up to
/// `up_to_kpa`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "law", rename_all = "lowercase", deny_unknown_fields)]
pub enum StrengthTable {
    /// A rough joint without filling, by roughness and strength of its walls (Barton & Choubey 1977).
    Rough {
        /// Joint roughness coefficient, as measured.
        #[schemars(range(min = 0.0, max = 20.0))]
        jrc: f64,
        /// Joint wall compressive strength, as measured, MPa.
        #[schemars(range(min = 0.1, max = 1000.0))]
        jcs_mpa: f64,
        /// Base friction of the rock, of weathered walls the residual one, degrees.
        #[schemars(range(min = 0.0, max = 60.0))]
        base_friction_deg: f64,
        /// Length over which roughness and wall strength were measured, metres; with `block_length_m`.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(range(min = 0.01, max = 10.0))]
        measured_length_m: Option<f64>,
        /// Length of the joint that a block slides on, metres: longer joints are smoother.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(range(min = 0.01, max = 100.0))]
        block_length_m: Option<f64>,
        /// Normal stress up to which it is needed, what bolts press included, kPa.
        #[schemars(range(min = 1.0, max = 100_000.0))]
        up_to_kpa: f64,
    },
    /// Steps that ride over each other and are sheared off under more load (Patton 1966).
    Stepped {
        /// Friction of the steps' flanks, degrees.
        #[schemars(range(min = 0.0, max = 60.0))]
        base_friction_deg: f64,
        /// How steep the flanks are against the mean plane, degrees.
        #[schemars(range(min = 0.0, max = 60.0))]
        step_deg: f64,
        /// Normal stress at which steps are sheared off, kPa.
        #[schemars(range(min = 0.1, max = 1_000_000.0))]
        sheared_off_kpa: f64,
        /// Friction from there on, degrees.
        #[schemars(range(min = 0.0, max = 60.0))]
        residual_deg: f64,
        /// Normal stress up to which it is needed, what bolts press included, kPa.
        #[schemars(range(min = 1.0, max = 100_000.0))]
        up_to_kpa: f64,
    },
    /// A joint interrupted by rock, both taken by their share of the plane's area (Jennings 1970).
    Bridged {
        /// Share of the plane's area that is joint.
        #[schemars(range(min = 0.01, max = 1.0))]
        persistence: f64,
        /// Friction of the joint, degrees.
        #[schemars(range(min = 0.0, max = 85.0))]
        joint_friction_deg: f64,
        /// Cohesion of the joint, kPa; 0 when absent.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(range(min = 0.0, max = 100_000.0))]
        joint_cohesion_kpa: Option<f64>,
        /// Friction of the rock between, degrees.
        #[schemars(range(min = 0.0, max = 85.0))]
        rock_friction_deg: f64,
        /// Cohesion of the rock between, kPa.
        #[schemars(range(min = 0.0, max = 100_000.0))]
        rock_cohesion_kpa: f64,
    },
}

/// One mapped plane, a fault or a single joint, with a point that it passes through.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StructureTable {
    /// Name of the structure, none of a joint set: letters, digits and _.
    #[schemars(length(min = 1, max = 24), regex(pattern = r"^[A-Za-z0-9_]+$"))]
    pub name: String,
    /// Dip, degrees below level.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 90.0))]
    pub dip_deg: Option<f64>,
    /// Dip direction, degrees clockwise from north.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 360.0))]
    pub dip_direction_deg: Option<f64>,
    /// Friction angle, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 85.0))]
    pub friction_deg: Option<f64>,
    /// Cohesion over the whole face, kPa; 0 when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 100_000.0))]
    pub cohesion_kpa: Option<f64>,
    /// A strength that is not a straight line, instead of `friction_deg` and `cohesion_kpa`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strength: Option<StrengthTable>,
    /// Chainage of a point that it passes through, metres; with `u_m` and `v_m`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100_000.0, max = 100_000.0))]
    pub chainage_m: Option<f64>,
    /// Of that point, metres to the right of the middle of the floor.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -1000.0, max = 1000.0))]
    pub u_m: Option<f64>,
    /// Of that point, metres above the floor.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -1000.0, max = 1000.0))]
    pub v_m: Option<f64>,
    /// The point instead by coordinates from the middle of the floor at chainage 0, metres east; with
    /// `north_m` and `up_m`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100_000.0, max = 100_000.0))]
    pub east_m: Option<f64>,
    /// The same, metres north.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100_000.0, max = 100_000.0))]
    pub north_m: Option<f64>,
    /// The same, metres up.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -100_000.0, max = 100_000.0))]
    pub up_m: Option<f64>,
    /// Longest trace that a wedge may have on it, metres; absent means the cap of `[limits]`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.01, max = 10_000.0))]
    pub max_trace_m: Option<f64>,
    /// Where its numbers come from.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 500))]
    pub source: Option<String>,
}
