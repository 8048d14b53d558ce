//! From a mapper's table to joint sets: reading, corrections, sets, statistics.
//!
//! The room knows values and text, not files or terminals: readers take the text and a name
//! for messages. Azimuths are turned to the case's north once, while reading; from there on
//! everything is in the case's frame.
//!
//! Nothing is lost on the way: each row of a survey ends as a [`Reading`] or as a [`Reject`]
//! with its line and every reason.
//!
//! # How well sets are found again
//!
//! `cargo test --release --test it recovery:: -- --ignored --nocapture` draws 200 synthetic surveys
//! of 2 to 5 sets with 0 to 20 % background and 60 to 400 readings in whole degrees, twice:
//!
//! | sets | number right | too few, too many | mean off by, median / 95 % | K found / true, median (5 %, 95 %) |
//! |---|---|---|---|---|
//! | more than 35° apart, K 30 to 80 | 197 of 200 | 3, 0 | 1.49° / 3.71° | 0.98 (0.70, 1.35) |
//! | more than 20° apart, K 15 to 80 | 171 of 200 | 29, 0 | 1.46° / 4.30° | 1.00 (0.73, 1.39) |
//!
//! The angles and K are those of the surveys whose number of sets was right. Synthetic sets
//! follow the model; real ones are skewed, and what a geologist sees in the rock (age, filling,
//! bedding) is not in the numbers: labels beat the mixture.

mod ags;
mod analyse;
mod as_read;
mod assign;
mod bootstrap;
mod contour;
mod counts;
mod density;
mod domains;
mod doubt;
mod fields;
pub mod frequency;
mod grid;
mod hand;
mod intern;
pub mod isrm;
mod joint_set;
mod line;
mod lines_file;
mod long_trace;
mod meeting;
pub mod mixture;
mod north;
mod order;
mod quadrant;
mod quality;
mod read;
mod reading;
mod row;
mod row_choice;
mod set_doubt;
mod spacing;
mod structure;
mod template;
mod text;
pub mod trace;
mod values;
mod warning;
mod weight;
mod written_as;

pub use crate::input::{ColumnMap, Layout, Problem, Problems};
pub use analyse::{LineSummary, MapOptions, Mapped, Memberships, ReadingClass, map_survey};
pub use as_read::AsRead;
pub use assign::SetSource;
pub use bootstrap::Spread;
pub use contour::{Contour, contour_levels, trace_contours};
pub use counts::COUNTING_RULE;
pub use density::{DEFAULT_SIGMA, KambDensity};
pub use domains::{
    AlongDrive, BORDER_LEVEL, Border, Domain, Domains, NearestSet, map_domains, say_of_domains,
};
pub use grid::NetGrid;
#[cfg(feature = "files")]
pub use hand::read_hand_sets;
pub use hand::{HandSet, NetPolygon, PolygonFault, SetBorder};
pub use joint_set::{Form, JointSet, TraceLength};
pub use line::{LineKind, SurveyLine, WindowShape};
pub use lines_file::read_lines;
pub use long_trace::{EndTally, LongTraces, Trace90, TraceLaw};
pub(crate) use meeting::block_volume_m3;
pub use meeting::{Triple, meeting_probabilities};
pub use north::{AzimuthFrom, NorthCorrection};
pub use quality::{
    FrictionHint, HintConditions, LEAST_RQD_PERCENT, QualitySummary, Quantity, QuantitySummary, RockQuality,
    WordColumn, WordCount,
};
pub use read::{ReadOptions, read_survey};
pub use reading::{Notation, Reading, Reject, Remarks, Termination};
pub use row_choice::{Condition, RowChoice, Wanted};
pub use set_doubt::FEW_READINGS;
pub use spacing::{Spacing, SpacingBasis, spacings_seen_m};
pub use structure::{MappedStructure, StructureKind};
pub use template::SURVEY_TEMPLATE;
pub use text::{Text, read_text};
pub use values::{StatedSpacing, Survey};
pub use warning::Warning;
pub use weight::{BlindZone, DEFAULT_MAX_WEIGHT};
pub use written_as::WrittenAs;
