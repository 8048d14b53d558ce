//! From a mapper's table to joint sets: reading, corrections, sets, statistics.
//!
//! The room knows values and text, not files or terminals: readers take the text and a name
//! for messages. Azimuths are turned to the case's north once, while reading; from there on
//! everything is in the case's frame.
//!
//! Nothing is lost on the way: each row of a survey ends as a [`Reading`] or as a [`Reject`]
//! with its line and every reason.

mod ags;
mod column;
mod doubt;
mod fields;
mod intern;
mod line;
mod lines_file;
mod north;
mod number;
mod problem;
mod read;
mod reading;
mod row;
mod table;
mod text;
mod values;
mod warning;

pub use column::ColumnMap;
pub use line::{LineKind, SurveyLine, WindowShape};
pub use lines_file::read_lines;
pub use north::NorthCorrection;
pub use problem::{Problem, Problems};
pub use read::{ReadOptions, read_survey};
pub use reading::{Notation, Reading, Reject, Remarks};
pub use text::{Text, read_text};
pub use values::{StatedSpacing, Survey};
pub use warning::Warning;
