use std::sync::Arc;

use crate::orientation::Plane;

/// How a plane was written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Notation {
    /// Dip and dip direction.
    DipDirection,
    /// Strike (right-hand rule) and dip.
    Strike,
    /// Trend and plunge of the pole.
    Pole,
    /// Alpha and beta on oriented core.
    Core,
}

impl Notation {
    /// The notation in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::DipDirection => "dip and dip direction",
            Self::Strike => "strike (right-hand rule) and dip",
            Self::Pole => "pole trend and plunge",
            Self::Core => "alpha and beta on core",
        }
    }
}

/// One joint as the mapper measured it, turned to the case's north. What was not recorded is
/// `None`, never zero.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Line of the file it came from, from 1.
    pub line_number: usize,
    /// The plane, to the case's north.
    pub plane: Plane,
    /// How it was written down.
    pub notation: Notation,
    /// Index into [`super::Survey::labels`]: the set that the mapper gave it.
    pub label: Option<usize>,
    /// Index into [`super::Survey::lines`]: the scanline, window or hole it was seen on.
    pub line: Option<usize>,
    /// Distance along the line from its start, metres.
    pub distance_m: Option<f64>,
    /// Length of the trace that could be seen, metres.
    pub trace_length_m: Option<f64>,
    /// How many ends of the trace could be seen: 0, 1 or 2.
    pub ends_seen: Option<u8>,
    /// Distance to the next joint of the same set, square to the joint, metres.
    pub spacing_m: Option<f64>,
    /// Joint roughness coefficient, 0 to 20.
    pub jrc: Option<f64>,
    /// Taken near steel, where a compass is not to be trusted.
    pub near_steel: bool,
    /// Words that were recorded, as they stood; readings with the same words share them.
    pub remarks: Option<Arc<Remarks>>,
}

/// What was recorded in words.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash)]
pub struct Remarks {
    /// Roughness in words.
    pub roughness: Option<Box<str>>,
    /// Filling.
    pub filling: Option<Box<str>>,
    /// Water.
    pub water: Option<Box<str>>,
    /// Instrument that measured it.
    pub instrument: Option<Box<str>>,
    /// Note.
    pub note: Option<Box<str>>,
}

/// A row that could not become a reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reject {
    /// Line of the file, from 1.
    pub line_number: usize,
    /// Every reason, joined by "; ".
    pub reason: String,
    /// The row as it stood.
    pub row: String,
    /// Index into [`super::Survey::lines`]: the line that it names, where its cells can be told apart.
    pub line: Option<usize>,
    /// Distance along that line, metres, where it says one: a joint was there all the same.
    pub distance_m: Option<f64>,
    /// Index into [`super::Survey::labels`]: the set that the mapper gave it.
    pub label: Option<usize>,
}
