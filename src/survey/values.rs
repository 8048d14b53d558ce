use crate::input::Layout;

use super::{MappedStructure, NorthCorrection, Reading, Reject, SurveyLine, Warning};

/// A survey as it was read: values only, turned to the case's north.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// What could be used, in the order of the file.
    pub readings: Vec<Reading>,
    /// What could not, in the order of the file. `readings`, `rejects`, `structures` and
    /// `left_out` together are all rows.
    pub rejects: Vec<Reject>,
    /// Rows whose type says fault, shear, contact or dyke, in the order of the file: none of any set.
    pub structures: Vec<MappedStructure>,
    /// Rows that [`super::RowChoice`] left out, with what kept them out, in the order of the file.
    pub left_out: Vec<Reject>,
    /// Rows of the file that hold anything, header and comments not counted.
    pub rows: usize,
    /// Set labels in order of first appearance, as names of letters, digits and `_`.
    pub labels: Vec<String>,
    /// Scanlines, windows and holes: those of the lines file, then those only named.
    pub lines: Vec<SurveyLine>,
    /// Spacings that the file states by set instead of by reading (AGS `FRAC`).
    pub stated_spacings: Vec<StatedSpacing>,
    /// What was added to azimuths.
    pub north: NorthCorrection,
    /// Where the table's header stands and what parts its cells; `None` of an AGS file.
    pub layout: Option<Layout>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
}

impl Survey {
    /// Whether no row of it tells of a joint or a structure, though it has rows.
    #[must_use]
    pub fn is_without_joints(&self) -> bool {
        self.rows > 0 && self.readings.is_empty() && self.structures.is_empty()
    }
}

/// A mean spacing that somebody logged for a set over an interval of a hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StatedSpacing {
    /// Index into [`Survey::labels`].
    pub label: Option<usize>,
    /// Index into [`Survey::lines`].
    pub line: Option<usize>,
    /// Mean spacing along the core, metres.
    pub mean_m: f64,
}
