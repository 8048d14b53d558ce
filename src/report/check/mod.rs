//! A check turned into files: tables, summary, drawings, page and calculation sheets.

pub mod again;
pub mod answer;
pub mod as_built;
pub mod bolts;
pub mod calculation;
pub mod drawings;
pub mod inputs;
pub mod installed;
pub mod outputs;
pub mod page;
pub mod rows;
pub mod sign_off;
pub mod sizes;
pub mod stages;
pub mod structures;
pub mod summary;
pub mod surface;

pub use again::{Recorded, differences};
pub use bolts::pull_tests::pull_test_words;
pub use calculation::calculation_sheet;
pub use rows::bolt_rows;
pub use sign_off::SignOff;
