//! Studies: each composes the rooms of the trade into one call on plain data.

mod advice;
mod beside;
mod bolt_warnings;
mod check;
mod demand;
mod face;
mod installed;
mod meeting;
pub mod plan;
mod prisms;
mod remedy;
mod screen;
mod sizes;
mod stages;
mod warning;
mod wedges;
mod whole;
mod widest;

pub use advice::{AdviceRow, advice, q_bolt_length_m};
pub use beside::{Beside, beside};
pub use check::{Check, CheckError, CheckedWedge, Verdict, check, check_with_moments, recheck};
pub use demand::{DemandRow, GoverningDemand, demand};
pub use face::{FacePlacement, face};
pub use installed::{Installed, Thinned, as_installed, installed};
pub use meeting::meeting;
pub use prisms::{ALONG_DRIVE_DEG, CheckedPrism, prisms};
pub use remedy::{CLOSEST_RINGS_M, LONGEST_BOLT_M, Remedy, remedy};
pub use screen::{DutyRow, Piece, ScalingRow, SharedFs, SurfaceStudy, surface_study};
pub use sizes::{Gap, Governing, JudgedBy, Size, SizeCurve, govern, size_curve, sizes};
pub use stages::{Place, Stage, StageRow, Stages, stages};
pub use warning::Warning;
pub use wedges::{LEAST_VOLUME_M3, LONG_WEDGE_RATIO, LONGEST_PLACED_M};
pub use whole::{Whole, whole};
pub use widest::{WIDEST_SPACING_M, Widest, widest};
