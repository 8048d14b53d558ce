//! Results turned into files and words: a folder for each thing that is shown.
//!
//! Nothing here computes mechanics; it writes what the studies found. `paper` holds what any of them
//! is written on: sheets, charts, nets, tables, pages, numbers. It knows no study.

mod check;
mod compare;
mod fit;
mod map;
pub(crate) mod paper;
mod plan;
pub(crate) mod words;

pub use check::outputs::{OutputError, OutputFile, Outputs};
pub use check::{Recorded, SignOff, differences};
pub use check::{bolt_rows, calculation_sheet, pull_test_words};
pub use compare::{CompareOutputs, compare_answer, compare_rows};
pub use fit::FitOutputs;
pub use map::SurveyOutputs;
pub use plan::PlanOutputs;

pub(crate) use check::inputs::scan::scan_lines;
pub(crate) use check::installed::{off_their_place, one_missing};
pub(crate) use check::rows::{IDLE_BOLTS, NO_BOLT};
pub(crate) use check::sizes::words::unbolted_ground;
pub(crate) use check::structures::located_lines;
pub(crate) use compare::NOT_ASKED;
pub(crate) use fit::{fit_answer, fit_rows};
pub(crate) use map::{SURVEY_CAUTION_LINE, sentence};
pub(crate) use plan::PLAN_CAUTION;
