//! A check turned into files: tables, summary, drawings, page and calculation sheets.

mod acts;
mod advice;
mod answer;
mod as_built;
mod bolts;
mod calculation;
mod cells;
mod changes;
mod demand;
mod drawings;
mod files;
mod inputs;
mod installed;
mod laws;
mod loads;
mod models;
mod outputs;
mod page;
mod prisms;
mod scan_along;
mod shaking;
mod sizes;
mod stages;
mod stress;
mod structures;
mod summary;
mod surface;
mod tables;
mod terminal;
mod view;
mod water;
mod wedges;

pub use bolts::pull_tests::pull_test_words;
pub use calculation::{Followed, calculation_sheet};
pub(super) use inputs::echo::inputs_json;
pub use outputs::Outputs;
