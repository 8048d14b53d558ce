//! Studies: each composes the rooms of the trade into one call on plain data.

mod as_built;
mod check;
mod demand;
mod face;
mod installed;
mod meeting;
mod remedy;
mod sizes;
mod stages;
mod warning;
mod wedges;
mod whole;

pub use as_built::{AsBuiltCheck, AsBuiltWedge, RingPhase, RingRow, RingWorst, as_built};
pub use check::{Check, CheckError, CheckedWedge, Verdict, check, check_with_moments, recheck};
pub use demand::{DemandRow, demand};
pub use face::{FacePlacement, face};
pub use installed::{Installed, Thinned, as_installed, installed};
pub use meeting::meeting;
pub use remedy::{CLOSEST_RINGS_M, LONGEST_BOLT_M, Remedy, remedy};
pub use sizes::{Gap, Governing, JudgedBy, Size, SizeCurve, govern, size_curve, sizes};
pub use stages::{Place, Stage, StageRow, Stages, stages};
pub use warning::Warning;
pub use wedges::{LEAST_VOLUME_M3, LONG_WEDGE_RATIO, LONGEST_PLACED_M};
pub use whole::{Whole, whole};
