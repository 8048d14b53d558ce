//! What an unrolled surface shows at its chainage: structures, and bolts in the state in which they were found.

use crate::case::{AsBuilt, FoundBolt};
use crate::report::paper::sheet::{Colour, Fill, PAPER, Point, Sheet, Stroke};
use crate::report::paper::style::INK;
use crate::support::Condition;

/// Width of the lines of marks, millimetres.
const MARK_LINE_MM: f64 = 0.3;

/// What a reader has to tell apart of bolts as they were found: shape and colour both say it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FoundMark {
    /// As it was tested: an upright cross.
    Good,
    /// There, and less than it was drawn to be: a hollow square.
    Bad,
    /// Not there: a diagonal cross.
    Missing,
}

impl FoundMark {
    pub(super) const ALL: [Self; 3] = [Self::Good, Self::Bad, Self::Missing];

    pub(super) fn of(bolt: &FoundBolt) -> Self {
        match bolt.condition {
            Condition::Good => Self::Good,
            Condition::Missing => Self::Missing,
            Condition::NoPlate | Condition::NotGrouted | Condition::Broken => Self::Bad,
        }
    }

    /// The words of the legend.
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Good => "bolt found good",
            Self::Bad => "found bad (no plate, not grouted, broken)",
            Self::Missing => "missing: found so, or drawn and nothing found",
        }
    }

    fn colour(self) -> Colour {
        // After Okabe & Ito: bluish green, orange, vermilion.
        match self {
            Self::Good => Colour::from_hex(0x00_9E_73),
            Self::Bad => Colour::from_hex(0xE6_9F_00),
            Self::Missing => Colour::from_hex(0xD5_5E_00),
        }
    }

    pub(super) fn draw(self, sheet: &mut Sheet, [x, y]: Point, half: f64) {
        let stroke = Stroke::solid(self.colour(), MARK_LINE_MM);
        match self {
            Self::Good => {
                sheet.polyline(&[[x - half, y], [x + half, y]], stroke);
                sheet.polyline(&[[x, y - half], [x, y + half]], stroke);
            }
            Self::Bad => sheet.square([x, y], 1.8 * half, Some(Fill::solid(PAPER)), Some(stroke)),
            Self::Missing => {
                sheet.polyline(&[[x - half, y - half], [x + half, y + half]], stroke);
                sheet.polyline(&[[x - half, y + half], [x + half, y - half]], stroke);
            }
        }
    }
}

/// Round a bolt that is not as an earlier survey found it: a ring.
pub(super) fn changed_ring(sheet: &mut Sheet, at: Point, half: f64) {
    sheet.circle(at, 2.0 * half, None, Some(Stroke::solid(INK, MARK_LINE_MM)));
}

/// The bolts of a stretch that were found between two chainages.
pub(super) fn found_between(built: &AsBuilt, [from_m, to_m]: [f64; 2]) -> impl Iterator<Item = &FoundBolt> {
    built.bolts.iter().filter(move |b| (from_m..=to_m).contains(&b.set.chainage_m))
}

/// A collar that stands at its chainage alone: a diamond, filled where its bolt crosses a wedge.
pub(super) fn local_collar(sheet: &mut Sheet, [x, y]: Point, half: f64, serving: bool) {
    let diamond = [[x, y - half], [x + half, y], [x, y + half], [x - half, y]];
    let fill = if serving { Fill::solid(INK) } else { Fill::solid(PAPER) };
    sheet.polygon(&diamond, Some(fill), Some(Stroke::solid(INK, MARK_LINE_MM)));
}
