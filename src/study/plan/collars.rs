use super::{PlanError, face_layouts, planned_layouts};
use crate::case::{Case, PlanInputs};
use crate::opening::{Surface, Vec2};
use crate::support::{Collar, Layout, Row};

/// A collar stands within the reach up to this much beyond it: rounding of an exact half width.
const REACH_TOLERANCE_M: f64 = 1e-9;

/// Which rings of a pattern a collar is in. Crews count rings from 1, as the sheet of tests does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RingKind {
    /// In every ring: the pattern is not staggered.
    Every,
    /// In rings 1, 3, 5, … of a staggered pattern: those with a collar in the crown.
    Odd,
    /// In rings 2, 4, 6, …: those shifted by half a spacing.
    Even,
}

impl RingKind {
    /// The kinds of ring that a layout has, in the order of drilling.
    #[must_use]
    pub fn of(layout: &Layout) -> &'static [Self] {
        if layout.rings_in_period > 1 { &[Self::Odd, Self::Even] } else { &[Self::Every] }
    }

    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Every => "every",
            Self::Odd => "odd",
            Self::Even => "even",
        }
    }

    /// Whether the ring with this number, from 1, is of this kind.
    #[must_use]
    pub fn takes_in(self, ring: u64) -> bool {
        match self {
            Self::Every => true,
            Self::Odd => ring % 2 == 1,
            Self::Even => ring.is_multiple_of(2),
        }
    }

    /// Whether a row of collars is in it. Layouts count their rings from 0.
    #[must_use]
    pub fn holds(self, row: &Row) -> bool {
        match self {
            Self::Every => true,
            Self::Odd => row.first_ring == 0,
            Self::Even => row.first_ring == 1,
        }
    }

    /// How many of `rings` rings are of this kind.
    pub(super) fn count(self, rings: u64) -> u64 {
        match self {
            Self::Every => rings,
            Self::Odd => rings.div_ceil(2),
            Self::Even => rings / 2,
        }
    }
}

/// A hole that the crew collars.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedCollar {
    /// Its pattern, from 0: those of the whole drive, then [`Case::local`], then [`Case::face_bolts`].
    pub pattern: usize,
    /// Which rings it is in.
    pub ring: RingKind,
    /// Its number in the ring from left to right, from 1; on the face row by row from the lowest.
    pub number: usize,
    /// The surface it is on.
    pub surface: Surface,
    /// Where it is in the section, metres.
    pub point: Vec2,
    /// Arc length from the crown, positive to the right, metres; on the face how far it is to the right.
    pub arc_m: f64,
    /// Length of its hole, metres.
    pub hole_m: f64,
    /// Angle of the hole in the section, degrees from straight up the section, positive to the
    /// right looking along the advance.
    pub from_up_deg: f64,
    /// How far the hole leans along the advance, degrees, positive toward the face.
    pub lean_deg: f64,
    /// Unit direction in the section (u, v), shorter than 1 where the hole leans.
    pub direction: Vec2,
    /// Whether one set-up reaches it.
    pub within_reach: bool,
}

/// Every collar of each kind of ring, from left to right.
///
/// # Errors
/// [`PlanError`] where a pattern cannot be laid out.
pub fn planned_collars(case: &Case, inputs: &PlanInputs) -> Result<Vec<PlannedCollar>, PlanError> {
    let (opening, mut layouts) = planned_layouts(case)?;
    for bolts in &case.local {
        layouts.push(bolts.layout(&opening)?);
    }
    layouts.extend(face_layouts(case, &opening)?);
    let mut all = Vec::new();
    for (index, layout) in layouts.iter().enumerate() {
        let pattern = case.pattern_at(index);
        for kind in RingKind::of(layout) {
            let mut rows: Vec<&Row> = layout.rows.iter().filter(|r| kind.holds(r)).collect();
            // On the face row by row from the lowest.
            let row = |r: &Row| if r.collar.surface == Surface::Face { r.collar.point.y } else { 0.0 };
            rows.sort_by(|a, b| row(a).total_cmp(&row(b)).then(a.collar.arc_m.total_cmp(&b.collar.arc_m)));
            all.extend(rows.iter().enumerate().map(|(number, row)| {
                let collar = &row.collar;
                PlannedCollar {
                    pattern: index,
                    ring: *kind,
                    number: number + 1,
                    surface: collar.surface,
                    point: collar.point,
                    arc_m: collar.arc_m,
                    hole_m: pattern.length_in_hole_m(),
                    from_up_deg: collar.direction.x.atan2(collar.direction.z).to_degrees(),
                    lean_deg: collar.direction.y.clamp(-1.0, 1.0).asin().to_degrees(),
                    direction: Vec2::new(collar.direction.x, collar.direction.z),
                    within_reach: within_reach(collar, inputs),
                }
            }));
        }
    }
    Ok(all)
}

/// Whether a machine at the middle of the floor reaches a collar.
pub(super) fn within_reach(collar: &Collar, inputs: &PlanInputs) -> bool {
    let half_m = 0.5 * inputs.reach_width_m.value + REACH_TOLERANCE_M;
    collar.point.x.abs() <= half_m && collar.point.y <= inputs.reach_height_m.value + REACH_TOLERANCE_M
}
