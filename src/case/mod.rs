//! The case: one drive, its joints, limits, support and criteria, as plain values; and the TOML
//! file that it is read from.
//!
//! [`read_case`] reads a file and reports everything that is wrong with it at once; [`mod@file`]
//! holds the file's structs, which [`schema()`] turns into a JSON Schema for editors; [`TEMPLATE`]
//! is a case to start from.

mod as_built;
mod as_built_file;
mod as_built_rules;
mod bolting;
mod convert;
mod document;
pub mod file;
mod files;
mod hanging;
mod model;
mod outline;
mod problem;
mod read;
mod rules;
mod schema;
mod sets;
mod site;
mod structures;
mod template;
mod walk;
mod words;

pub use as_built::{AsBuilt, FoundBolt, RejectedRow};
pub use as_built_file::FARTHEST_COLLAR_M;
pub use as_built_rules::OFF_BY_M;
pub use files::LARGEST_FILE_BYTES;
pub use model::{Case, Criteria, JointSet, SizeLimits};
pub use problem::{LISTED_PROBLEMS, Problem, ProblemKind, Problems};
pub use read::{ReadCase, parse_case, read_case};
pub use schema::schema;
pub use sets::LEAST_ANGLE_BETWEEN_SETS_DEG;
pub use site::{Site, Structure};
pub use template::TEMPLATE;
