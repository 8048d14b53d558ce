//! The sentences that every output of a survey carries, and words that several of them use.

use crate::orientation::Line;
use crate::survey::Warning;

/// The cautions in one line, for the terminal.
pub(crate) const SURVEY_CAUTION_LINE: &str = "Sets are statistics: a competent person has to see them in the \
rock. Joints that a survey could not see may be the ones that matter. Friction and criteria are the \
engineer's.";

/// What a reader must not forget.
pub(super) const CAUTIONS: [&str; 5] = [
    "Sets are statistics of directions. Whether they are sets is for a competent person to see in the rock.",
    "What a survey could not see is not in it: a joint along the line or the hole may be the one that matters.",
    "One face or one hole speaks for the rock it went through, not for the next fault block.",
    "A mean is not a limit: wedges are made by single joints. Limits on traces are the engineer's to set.",
    "Friction and criteria are not in a survey: the engineer types them, with their source.",
];

/// What is not covered of large structures where none was mapped.
pub(super) const LARGE_STRUCTURES: &str =
    "single large structures (faults, shears, contacts): they belong into a case by hand, not into a mean";
/// The same where some were.
pub(super) const MAPPED_STRUCTURES: &str =
    "single large structures beyond those in structures.toml, and how far those reach into the rock";

/// What no output of a survey speaks of.
pub(super) const NOT_COVERED: [&str; 5] = [
    "age, order and termination of joints, and what fillings tell: readings are grouped by direction alone, unless they were labelled",
    "domains, unless borders are asked for: the survey is taken as one body of rock",
    "curved or stepped joints",
    "trace lengths outside of windows are plain means of what was seen, not corrected for ends that were hidden or for the better chance of long traces",
    "errors of the instrument, beyond what was marked",
];

/// A warning as a sentence.
#[must_use]
pub(super) fn sentence(warning: &Warning) -> String {
    let text = warning.to_string();
    if text.ends_with('?') { text } else { text + "." }
}

/// `no rows`, `1 row`, `12 rows`.
pub(super) fn counted(count: usize, one: &str, many: &str) -> String {
    match count {
        0 => format!("no {many}"),
        1 => format!("1 {one}"),
        _ => format!("{count} {many}"),
    }
}

/// A line as inputs are echoed: trend and plunge.
pub(super) fn trend_and_plunge(line: Line) -> String {
    format!("{:03.0}/{:.0}", line.trend_deg.round() % 360.0, line.plunge_deg)
}
