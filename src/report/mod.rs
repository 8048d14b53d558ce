//! Results turned into files and words: a folder for each thing that is shown.
//!
//! Nothing here computes mechanics; it writes what the studies found. `paper` holds what any of them
//! is written on: sheets, charts, nets, tables, pages, numbers. It knows no study. Each kind of
//! outputs takes what a study found, and gives an answer in words, the files of a folder, and what the
//! terminal shows below the answer.

// What stands on a terminal is the command line's to ask for; the crate offers it to nobody else.
#![cfg_attr(not(feature = "cli"), allow(dead_code, unused_imports))]

mod cases;
mod chance;
mod check;
mod compare;
mod fit;
mod lacks;
mod map;
mod paper;
mod plan;
mod record;
mod shares;
mod turn;
mod verdict;
mod words;

pub use cases::{CaseRow, CaseState, CasesOf, CasesOutputs};
pub use chance::{ChanceOutputs, ChancePart, PartError, chance_asked, samples_header, samples_row};
pub use check::{Followed, Outputs, calculation_sheet, pull_test_words};
pub use compare::CompareOutputs;
pub use fit::FitOutputs;
pub use map::SurveyOutputs;
pub use paper::output::{OutputError, OutputFile};
pub use paper::sheet::DrawError;
pub use paper::table::TableError;
pub use plan::PlanOutputs;
pub use record::{Also, Asked, Recorded, SignOff, differences};
pub use turn::TurnOutputs;
pub use verdict::VerdictOutputs;

pub(crate) use map::SURVEY_CAUTION_LINE;
pub(crate) use paper::table::Grid;
pub(crate) use words::{CAUTION_LINE, CHANCE_CAUTION, NOT_ASKED, PLAN_CAUTION, change_list};
