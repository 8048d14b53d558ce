//! Bolts that stand at known chainages and nowhere else: patterns over a stretch, and single bolts.
//!
//! A wedge of joint sets alone may lie anywhere along the drive, also where such bolts are not, so they
//! never count for it. They count for a wedge that structures put at a chainage.

use super::{Collar, Layout, LayoutError, Pattern, Row};
use crate::opening::Opening;

/// A ring this near the end of its stretch stands in it, metres: rounding of a sum of spacings.
const IN_STRETCH_M: f64 = 1e-9;

/// Bolts of one kind and length at known chainages.
#[derive(Debug, Clone, PartialEq)]
pub struct LocalBolts {
    /// The rings of a stretch, ring 0 at its first chainage. Of a single bolt: which bolt, its lengths, its
    /// chainage as the offset of its one ring.
    pattern: Pattern,
    place: LocalPlace,
}

/// Where they stand.
#[derive(Debug, Clone, Copy, PartialEq)]
enum LocalPlace {
    /// Rings up to this chainage, metres.
    Stretch { to_m: f64 },
    /// One collar.
    Spot(Collar),
}

impl LocalBolts {
    /// The rings of a pattern from one chainage to another, metres: ring 0 at the first, whatever offset the
    /// pattern gives.
    #[must_use]
    pub fn stretch(pattern: Pattern, from_m: f64, to_m: f64) -> Self {
        Self { pattern: Pattern { offset_m: Some(from_m), ..pattern }, place: LocalPlace::Stretch { to_m } }
    }

    /// A single bolt (its index in the case's list) with its collar at a chainage; metres.
    #[must_use]
    pub fn spot(bolt: usize, length_m: f64, outside_hole_m: f64, chainage_m: f64, collar: Collar) -> Self {
        let pattern = Pattern {
            outside_hole_m,
            covers: Vec::new(),
            offset_m: Some(chainage_m),
            ..Pattern::of_back(bolt, length_m, 1.0, 1.0)
        };
        Self { pattern, place: LocalPlace::Spot(collar) }
    }

    /// Its bolts as a pattern with the chainage of its ring 0; of a single bolt that has one ring.
    #[must_use]
    pub fn pattern(&self) -> &Pattern {
        &self.pattern
    }

    /// The same with another bolt of the case's list.
    #[must_use]
    pub fn of_bolt(mut self, bolt: usize) -> Self {
        self.pattern.bolt = bolt;
        self
    }

    /// The collar of a single bolt; `None` for a pattern.
    #[must_use]
    pub fn collar(&self) -> Option<&Collar> {
        match &self.place {
            LocalPlace::Spot(collar) => Some(collar),
            LocalPlace::Stretch { .. } => None,
        }
    }

    /// Whether it is a single bolt.
    #[must_use]
    pub fn is_spot(&self) -> bool {
        matches!(self.place, LocalPlace::Spot(_))
    }

    /// Chainage of its first ring, metres.
    #[must_use]
    pub fn from_m(&self) -> f64 {
        self.pattern.offset_m.unwrap_or(0.0)
    }

    /// Chainage that its last ring stands at or before, metres.
    #[must_use]
    pub fn to_m(&self) -> f64 {
        match self.place {
            LocalPlace::Stretch { to_m } => to_m,
            LocalPlace::Spot(_) => self.from_m(),
        }
    }

    /// How many rings it has.
    #[must_use]
    pub fn rings(&self) -> u32 {
        match self.place {
            LocalPlace::Stretch { to_m } => {
                let steps = (to_m - self.from_m() + IN_STRETCH_M) / self.pattern.ring_spacing_m;
                steps.max(0.0).floor() as u32 + 1
            }
            LocalPlace::Spot(_) => 1,
        }
    }

    /// Its collars, in the rings that it has and no others.
    ///
    /// # Errors
    /// As [`Layout::new`].
    pub fn layout(&self, opening: &Opening) -> Result<Layout, LayoutError> {
        let whole = match self.place {
            LocalPlace::Stretch { .. } => Layout::new(&self.pattern, opening)?,
            LocalPlace::Spot(collar) => Layout::of_row(Row { collar, first_ring: 0 }, 1.0),
        };
        Ok(whole.ending(self.rings()))
    }
}
