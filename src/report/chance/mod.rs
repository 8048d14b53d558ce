//! Chances turned into files: tables, charts, page, and the counts that parts are merged from.

mod charts;
mod counts;
mod files;
mod outputs;
mod page;
mod places;
mod pyramids;
mod samples;
mod words;

pub use counts::{ChancePart, PartError};
pub use outputs::{ChanceOutputs, chance_asked};
pub use samples::{samples_header, samples_row};
