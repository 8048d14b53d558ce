//! What people hand over, and what is said of it: tables as text, numbers as they are typed, and
//! problems with their file, line and key. It knows text and values; which files and keys there are
//! is for the rooms that use it.
//!
//! A text in TOML is read as a `document`: values with their lines, whatever keys there are.
//!
//! Every table beside a case, and every survey, goes the same way: `Sheet` parts header and rows and
//! keeps each row's own line; `Columns` finds the columns by name; what cannot be used ends in a
//! `Collector`, or with its line and reason among a caller's rejects. No row is dropped in silence
//! but the blank ones and comments.

mod columns;
#[cfg(feature = "files")]
pub(crate) mod document;
mod formula;
mod layout;
#[cfg(feature = "files")]
mod merged_ods;
mod number;
mod problem;
mod rows;
mod sheet;
mod words;
#[cfg(feature = "files")]
mod workbook;

pub use columns::ColumnMap;
pub(crate) use columns::{Columns, Known, header_list};
pub(crate) use formula::marked;
pub(crate) use layout::HeaderWorth;
pub use layout::Layout;
pub(crate) use number::{parse_number, parse_range, parse_yes_no};
pub(crate) use problem::{Collector, Place, Says, cited, quoted};
pub use problem::{LISTED_PROBLEMS, Problem, ProblemKind, Problems};
pub(crate) use rows::{Row, Rows};
pub(crate) use sheet::{Separator, Sheet, report_unclosed, too_wide};
pub(crate) use words::{nearest, one_of, unit};
#[cfg(feature = "files")]
pub use workbook::{SheetText, is_workbook, sheet_as_text};
