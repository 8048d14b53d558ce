//! What stands in every summary.json and on every page that somebody signs, whatever was asked: what it
//! was made from, by which version, by whom, and whether running again gives the same.

mod again;
mod asked;
mod sign_off;
mod summary;

pub use again::{Recorded, differences};
pub use asked::{Also, Asked};
pub use sign_off::SignOff;
pub(super) use summary::{Head, folder, judged_json, summary_json};
