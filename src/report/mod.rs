//! Results turned into files and words: tables, summary, drawings, page, calculation sheet.
//!
//! Nothing here computes mechanics; it writes what the studies found. [`sheet`] is a small vector
//! sheet in millimetres that becomes an SVG or a PNG, [`style`] holds the colours, dashes and
//! marks that every drawing shares, and the drawings each make one kind of picture from plain
//! values.

mod answer;
mod as_built_rows;
mod as_built_words;
mod calculation;
pub mod chart;
mod compass;
pub mod drawings;
mod echo;
mod face_drawing;
mod html;
mod hung_words;
mod installed_words;
pub mod numbers;
mod outputs;
mod page;
pub mod rose;
mod rows;
pub mod sheet;
mod size_chart;
mod sizes_words;
mod stages_drawing;
mod stages_page;
mod stages_words;
pub mod stereonet;
mod structure_words;
pub mod style;
mod summary;
pub mod survey;
mod tables;
pub mod words;

pub use answer::{answer, not_judged};
pub use as_built_rows::{
    AsBuiltBoltRow, AsBuiltRingRow, AsBuiltWedgeRow, RejectedBoltRow, as_built_bolt_rows, as_built_ring_rows,
    as_built_wedge_rows, rejected_bolt_rows,
};
pub use as_built_words::{as_built_answer, as_built_lines};
pub use calculation::calculation_sheet;
pub use echo::inputs_json;
pub use face_drawing::face_drawing;
pub use installed_words::{installed_lines, one_missing};
pub use outputs::{OutputError, OutputFile, Outputs};
pub use rows::{
    BoltDemandRow, BoltRow, IDLE_BOLTS, NO_BOLT, SizeRow, StageTableRow, WedgeRow, bolt_demand_rows,
    bolt_rows, size_rows, stage_rows, wedge_rows,
};
pub use sheet::DrawError;
pub use size_chart::size_chart;
pub use sizes_words::{screen_duty, unbolted_ground};
pub use stages_drawing::stages_drawing;
pub use stages_words::{at_the_face, unsupported};
pub use structure_words::{located_lines, structure_lines};
pub use summary::{Summary, summary_json};
pub use tables::{TableError, csv_table};
