//! The case: one drive, its joints, limits, support and criteria, as plain values; and the TOML
//! file that it is read from.
//!
//! [`read_case`] reads a file and reports everything that is wrong with it at once; [`mod@file`]
//! holds the file's structs, which `schema` turns into a JSON Schema for editors; [`TEMPLATE`]
//! is a case to start from.

mod as_built;
#[cfg(feature = "files")]
mod as_built_file;
#[cfg(feature = "files")]
mod as_built_rules;
#[cfg(feature = "files")]
mod bolt_origin;
#[cfg(feature = "files")]
mod bolt_tables;
#[cfg(feature = "files")]
mod bolting;
mod bounds;
#[cfg(feature = "files")]
mod bounds_rules;
mod change;
#[cfg(feature = "files")]
mod collars;
#[cfg(feature = "files")]
mod convert;
#[cfg(feature = "files")]
mod face_bolting;
#[cfg(feature = "files")]
pub mod file;
#[cfg(feature = "files")]
mod files;
#[cfg(feature = "files")]
mod hanging;
mod headings;
#[cfg(feature = "files")]
mod listed;
#[cfg(feature = "files")]
mod local;
#[cfg(feature = "files")]
mod mesh;
mod model;
#[cfg(feature = "files")]
mod option_tables;
#[cfg(feature = "files")]
mod options;
#[cfg(feature = "files")]
mod outline;
mod plan_inputs;
#[cfg(feature = "files")]
mod plan_tables;
#[cfg(feature = "files")]
mod planning;
pub mod practice;
#[cfg(feature = "files")]
mod presets;
#[cfg(feature = "files")]
mod pull_tests;
#[cfg(feature = "files")]
mod read;
#[cfg(feature = "files")]
mod resampling;
#[cfg(feature = "files")]
mod rewrite;
#[cfg(feature = "files")]
mod rules;
#[cfg(feature = "files")]
mod scan;
mod scatter;
#[cfg(feature = "files")]
mod scatter_rules;
#[cfg(feature = "files")]
mod schema;
#[cfg(feature = "files")]
mod sets;
#[cfg(feature = "files")]
mod shaking;
mod site;
#[cfg(feature = "files")]
mod sources;
mod stock;
#[cfg(feature = "files")]
mod stock_rules;
#[cfg(feature = "files")]
mod strengths;
#[cfg(feature = "files")]
mod stresses;
#[cfg(feature = "files")]
mod structures;
#[cfg(feature = "files")]
mod surfaces;
#[cfg(feature = "files")]
mod template;
#[cfg(feature = "files")]
mod walk;
#[cfg(feature = "files")]
mod water;
#[cfg(feature = "files")]
mod words;

#[cfg(feature = "files")]
pub use crate::input::{LISTED_PROBLEMS, Problem, ProblemKind, Problems};
pub use as_built::{AsBuilt, FoundBolt, RejectedRow};
#[cfg(feature = "files")]
pub use bolt_origin::BoltOrigin;
pub use bounds::{CheckCost, check_cost};
pub use change::Change;
#[cfg(feature = "cli")]
pub(crate) use files::would_wait;
#[cfg(feature = "files")]
pub use files::{CaseFiles, LARGEST_FILE_BYTES};
pub use headings::Heading;
#[cfg(feature = "files")]
pub use listed::{ListedCase, read_case_list, with_own_names};
pub use model::{Case, Criteria, Joint, JointKind, SizeLimits};
#[cfg(feature = "files")]
pub(crate) use options::BASE_NAME;
#[cfg(feature = "files")]
pub use options::CaseOption;
pub use plan_inputs::{BoltPlan, PlanInputs, PlanNumber, PlanPrices, ScreenPlan, ServicePlan};
#[cfg(feature = "files")]
pub use presets::PresetOrigin;
#[cfg(feature = "files")]
pub use pull_tests::PullTest;
#[cfg(feature = "files")]
pub use read::{Chosen, ReadCase, parse_case, parse_case_with, read_case};
#[cfg(feature = "files")]
pub use rewrite::{InPlace, RewriteError, Rewritten, reads_as, rewritten};
pub use scatter::{
    Law, NoScatter, OrientationScatter, Quantity, Resampled, Scatter, Scattered, ScatteredInput,
};
pub use site::Site;
#[cfg(feature = "files")]
pub use sources::{SourceFile, inputs_sha256, sha256_hex};
pub use stock::{Coverage, FromStock, Stock, StockBolt, StockPattern, StockSurface, StockedPattern};
#[cfg(feature = "files")]
pub use template::TEMPLATE;
