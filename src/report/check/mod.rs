//! A check turned into files: tables, summary, drawings, page and calculation sheets.

mod advice;
mod again;
mod answer;
mod as_built;
mod bolts;
mod calculation;
mod cells;
mod demand;
mod drawings;
mod files;
mod inputs;
mod installed;
mod outputs;
mod page;
mod pieces;
mod prisms;
mod sign_off;
mod sizes;
mod stages;
mod structures;
mod summary;
mod surface;
mod tables;
mod terminal;
mod wedges;

pub use again::{Recorded, differences};
pub use bolts::pull_tests::pull_test_words;
pub use calculation::calculation_sheet;
pub use outputs::Outputs;
pub use sign_off::SignOff;
