//! The case: one drive, its joints, limits, support and criteria, as plain values; and the TOML
//! file that it is read from.
//!
//! [`read_case`] reads a file and reports everything that is wrong with it at once; [`mod@file`]
//! holds the file's structs, which [`schema()`] turns into a JSON Schema for editors; [`TEMPLATE`]
//! is a case to start from.

mod as_built;
mod as_built_file;
mod as_built_rules;
mod bolt_origin;
mod bolt_tables;
mod bolting;
mod convert;
mod document;
pub mod file;
mod files;
mod hanging;
mod mesh;
mod model;
mod option_tables;
mod options;
mod outline;
mod plan_inputs;
mod plan_tables;
mod planning;
pub mod practice;
mod presets;
mod pull_tests;
mod read;
mod rules;
mod scan;
mod schema;
mod sets;
mod site;
mod sources;
mod stock;
mod structures;
mod surfaces;
mod template;
mod walk;
mod words;

pub use crate::input::{LISTED_PROBLEMS, Problem, ProblemKind, Problems};
pub use as_built::{AsBuilt, FoundBolt, RejectedRow};
pub use as_built_file::FARTHEST_COLLAR_M;
pub use as_built_rules::OFF_BY_M;
pub use bolt_origin::BoltOrigin;
pub use files::{CaseFiles, LARGEST_FILE_BYTES};
pub use mesh::LARGEST_MESH_BYTES;
pub use model::{Case, Criteria, Joint, JointKind, SizeLimits};
pub use options::{BASE_NAME, CaseOption, Change};
pub use plan_inputs::{BoltPlan, PlanInputs, PlanNumber, PlanPrices, ScreenPlan, ServicePlan};
pub use presets::PresetOrigin;
pub use pull_tests::PullTest;
pub use read::{ReadCase, parse_case, parse_case_with, read_case};
pub use schema::schema;
pub use sets::LEAST_ANGLE_BETWEEN_SETS_DEG;
pub use site::Site;
pub use sources::{LARGEST_EMBEDDED_BYTES, SourceFile, inputs_sha256, sha256_hex};
pub use stock::{Coverage, MOST_CANDIDATES, Stock, StockBolt, StockSurface};
pub use template::TEMPLATE;
