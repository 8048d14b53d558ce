//! Results turned into files and words: tables, summary, drawings, page, calculation sheet.
//!
//! Nothing here computes mechanics; it writes what the studies found.

mod answer;
mod calculation;
pub mod numbers;
mod rows;
mod summary;
mod tables;
pub mod words;

pub use answer::{answer, not_judged};
pub use calculation::calculation_sheet;
pub use rows::{BoltDemandRow, BoltRow, WedgeRow, bolt_demand_rows, bolt_rows, wedge_rows};
pub use summary::{Summary, summary_json};
pub use tables::{TableError, csv_table};
