use std::fmt;

use crate::case::Case;
use crate::opening::Surface;
use crate::support::Layout;

/// Heights that differ by less are the same to whoever drills, metres.
const SAME_HEIGHT_M: f64 = 0.01;

/// Where the lowest row of a pattern stands on one wall, where that is not what was typed: collars stand
/// at whole spacings from the crown, and `lowest_collar_m` only says which of them are left out.
#[derive(Debug, Clone, PartialEq)]
pub struct LowestRow {
    /// Index of the pattern.
    pub pattern: usize,
    /// The walls of which this holds.
    pub walls: Vec<Surface>,
    /// What was typed, metres above the floor: the row that is asked for, else the lowest collar.
    pub typed_m: f64,
    /// The lowest collar of each kind of ring that has one there, metres above the floor, in the order of
    /// the rings; empty where none has.
    pub drilled_m: Vec<f64>,
}

/// The lowest row of each pattern on each wall that it covers, where it is not within a centimetre of what
/// was typed in every ring; walls that are alike as one.
#[must_use]
pub fn lowest_rows(case: &Case, layouts: &[Layout]) -> Vec<LowestRow> {
    let mut all: Vec<LowestRow> = Vec::new();
    for (index, (pattern, layout)) in case.patterns.iter().zip(layouts).enumerate() {
        let lowest_m = [pattern.lowest_collar_m, pattern.row_at_m].into_iter().flatten().reduce(f64::min);
        let Some(typed_m) = lowest_m else { continue };
        for wall in [Surface::LeftWall, Surface::RightWall] {
            if !pattern.covers.iter().any(|c| c.includes(wall)) {
                continue;
            }
            let drilled_m = layout.lowest_on_m(wall);
            let same = |a: f64, b: f64| (a - b).abs() <= SAME_HEIGHT_M;
            let kinds = layout.rings_in_period as usize;
            if drilled_m.len() == kinds && drilled_m.iter().all(|&v| same(v, typed_m)) {
                continue;
            }
            let alike = |row: &&mut LowestRow| {
                row.pattern == index
                    && row.drilled_m.len() == drilled_m.len()
                    && row.drilled_m.iter().zip(&drilled_m).all(|(a, b)| same(*a, *b))
            };
            match all.iter_mut().find(alike) {
                Some(row) => row.walls.push(wall),
                None => all.push(LowestRow { pattern: index, walls: vec![wall], typed_m, drilled_m }),
            }
        }
    }
    all
}

/// `pattern 1: the lowest row on the left wall and the right wall stands 1.54 m above the floor, in every
/// other ring 2.14 m, and 1.5 m was typed`
impl fmt::Display for LowestRow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let walls: Vec<String> = self.walls.iter().map(|w| format!("the {}", w.name())).collect();
        let (pattern, walls, typed_m) = (self.pattern + 1, walls.join(" and "), self.typed_m);
        match self.drilled_m.as_slice() {
            [] => write!(f, "pattern {pattern}: no collar stands on {walls}, and {typed_m} m was typed"),
            [all] => write!(
                f,
                "pattern {pattern}: the lowest row on {walls} stands {all:.2} m above the floor, and {typed_m} m was typed"
            ),
            [first, other, ..] => write!(
                f,
                "pattern {pattern}: the lowest row on {walls} stands {:.2} m above the floor, in every other ring {:.2} m, and {typed_m} m was typed",
                first.min(*other),
                first.max(*other)
            ),
        }?;
        f.write_str("; collars stand at whole spacings from the crown, and row_at_m puts a row at a height")
    }
}
