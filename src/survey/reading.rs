use std::sync::Arc;

use super::quality::RockQuality;
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
    /// Strike and dip by quadrants.
    Quadrant,
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
            Self::Quadrant => "strike and dip by quadrants",
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
    /// Chainage along the drive, metres.
    pub chainage_m: Option<f64>,
    /// Length of the trace that could be seen, metres.
    pub trace_length_m: Option<f64>,
    /// How many ends of the trace could be seen: 0, 1 or 2.
    pub ends_seen: Option<u8>,
    /// How each end of the trace ends, where that was recorded.
    pub terminations: Option<[Termination; 2]>,
    /// Distance to the next joint of the same set, square to the joint, metres.
    pub spacing_m: Option<f64>,
    /// Joint roughness coefficient, 0 to 20.
    pub jrc: Option<f64>,
    /// What else it says of rock quality in numbers.
    pub quality: Option<Box<RockQuality>>,
    /// The mapper's own weight, which multiplies the Terzaghi weight; counts as 1 where there is none.
    pub mapper_weight: Option<f64>,
    /// Taken near steel, where a compass is not to be trusted.
    pub near_steel: bool,
    /// Words that were recorded, as they stood; readings with the same words share them.
    pub remarks: Option<Arc<Remarks>>,
}

/// How a trace ends, by the letters of ISRM (1978), from memory.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Termination {
    /// X: it runs out of what could be seen.
    Hidden,
    /// R: in rock.
    Rock,
    /// D: at another joint.
    Joint,
}

impl Termination {
    /// Both ends of a trace from two letters such as `XR`; `None` where they are none.
    pub(crate) fn both_of(text: &str) -> Option<[Self; 2]> {
        let mut letters = text.chars().filter(|c| c.is_alphabetic()).map(|c| match c.to_ascii_uppercase() {
            'X' => Some(Self::Hidden),
            'R' => Some(Self::Rock),
            'D' => Some(Self::Joint),
            _ => None,
        });
        let both = [letters.next()??, letters.next()??];
        letters.next().is_none().then_some(both)
    }

    /// How many of both ends could be seen.
    pub(crate) fn ends_seen(both: [Self; 2]) -> u8 {
        u8::from(both[0] != Self::Hidden) + u8::from(both[1] != Self::Hidden)
    }
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
    /// Chainage along the drive, metres, where it says one.
    pub chainage_m: Option<f64>,
    /// Index into [`super::Survey::labels`]: the set that the mapper gave it.
    pub label: Option<usize>,
}
