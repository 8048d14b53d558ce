//! Results turned into files and words: tables, summary, drawings, page, calculation sheet.
//!
//! Nothing here computes mechanics; it writes what the studies found. [`sheet`] is a small vector
//! sheet in millimetres that becomes an SVG or a PNG, [`style`] holds the colours, dashes and
//! marks that every drawing shares, and the drawings each make one kind of picture from plain
//! values.

mod again;
mod answer;
mod as_built_rows;
mod as_built_words;
mod bolt_words;
mod calculation;
pub mod chart;
mod compare;
mod compass;
pub mod drawings;
mod echo;
mod face_drawing;
mod fit;
mod html;
mod hung_words;
mod installed_words;
pub mod numbers;
mod outputs;
mod page;
mod plan;
mod pull_tests;
pub mod rose;
mod rows;
mod scan_words;
pub mod sheet;
mod sign_off;
mod size_chart;
mod sizes_words;
mod stages_drawing;
mod stages_page;
mod stages_words;
pub mod stereonet;
mod structure_words;
pub mod style;
mod summary;
mod surface_page;
mod surface_rows;
mod surface_words;
pub mod survey;
mod tables;
pub mod words;

pub use again::{Recorded, differences};
pub use answer::{answer, not_judged};
pub use as_built_rows::{
    AsBuiltBoltRow, AsBuiltRingRow, AsBuiltWedgeRow, RejectedBoltRow, as_built_bolt_rows, as_built_ring_rows,
    as_built_wedge_rows, rejected_bolt_rows,
};
pub use as_built_words::{as_built_answer, as_built_lines};
pub use calculation::calculation_sheet;
pub use compare::{
    CompareOutputs, CompareRow, NOT_ASKED, compare_answer, compare_rows, lack_words, margin_chart, use_bars,
};
pub use echo::inputs_json;
pub use face_drawing::face_drawing;
pub use fit::{FitOutputs, FitRow, candidate_words, fit_answer, fit_rows};
pub use installed_words::{installed_lines, off_their_place, one_missing};
pub use outputs::{OutputError, OutputFile, Outputs};
pub use plan::{
    CollarRow, PLAN_CAUTION, PlanOutputs, PlanTableRow, TestRow, collar_rows, plan_table_rows, ring_drawing,
    test_rows,
};
pub use pull_tests::pull_test_words;
pub use rows::{
    BoltDemandRow, BoltRow, IDLE_BOLTS, NO_BOLT, SizeRow, StageTableRow, WedgeRow, bolt_demand_rows,
    bolt_rows, size_rows, stage_rows, wedge_rows,
};
pub use scan_words::{scan_lines, scan_of};
pub use sheet::DrawError;
pub use sign_off::SignOff;
pub use size_chart::size_chart;
pub use sizes_words::{screen_duty, unbolted_ground};
pub use stages_drawing::stages_drawing;
pub use stages_words::{at_the_face, unsupported};
pub use structure_words::{located_lines, structure_lines};
pub use summary::{Summary, summary_json};
pub use surface_rows::{
    AdviceListRow, PrismRow, ScalingListRow, ScreenDutyRow, advice_rows, prism_rows, scaling_rows,
    screen_duty_rows,
};
pub use surface_words::{prism_sentence, scaling_sentence, screen_sentence};
pub use tables::{TableError, csv_table};
