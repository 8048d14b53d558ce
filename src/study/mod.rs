//! Studies: each composes the rooms of the trade into one call on plain data.

mod advice;
mod as_built;
mod beside;
mod bolt_warnings;
mod check;
mod checked;
mod compare;
mod demand;
mod face;
mod face_moments;
mod fit;
mod forces;
mod installed;
mod lacks;
mod lowest_rows;
mod meeting;
mod needles;
mod pieces;
pub mod plan;
mod prisms;
mod remedy;
mod scan;
mod screen;
mod seat;
mod sizes;
mod stages;
mod warning;
mod wedges;
mod widest;

pub use advice::{AdviceRow, advice, q_bolt_length_m};
pub use as_built::{AsBuiltCheck, AsBuiltWedge, RingPhase, RingRow, RingWorst, as_built};
pub use beside::{Beside, beside};
pub use check::{Whole, check};
pub use checked::{AtFace, CheckedWedge, Decided, Found, InDrive, Placed, Verdict, Wedge, decided};
pub use compare::{
    CompareError, Compared, Comparison, GoverningWedge, ScreenLoad, SurfaceFs, Variant, compare,
};
pub use demand::{DemandRow, GoverningDemand, demand};
pub use face::{FacePlacement, face};
pub use fit::{Candidate, Costed, Failing, Fit, FitError, Fitted, Stop, Tally, fit, holds_everything};
pub use forces::{Check, CheckError, forces_alone, forces_and_moments};
pub use installed::{Installed, Thinned, as_installed, installed};
pub use lacks::{Lack, LackOf, lacks, margin, tightest};
pub use lowest_rows::{LowestRow, lowest_rows};
pub use meeting::meeting;
pub use pieces::{DecidedPieces, PieceOf, decide_pieces, pieces};
pub use prisms::{ALONG_DRIVE_DEG, CheckedPrism, prisms};
pub use remedy::{CLOSEST_RINGS_M, LONGEST_BOLT_M, Remedy, remedy};
pub use screen::{DutyRow, Piece, ScalingRow, SharedFs, SurfaceStudy, surface_study};
pub use sizes::{Gap, Governing, JudgedBy, Size, SizeCurve, govern, size_curve, sizes};
pub use stages::{AssumedFrom, Place, Stage, StageRow, Stages, stages};
pub use warning::Warning;
pub use wedges::LEAST_VOLUME_M3;
pub(crate) use wedges::LONG_WEDGE_RATIO;
pub(crate) use wedges::LONGEST_PLACED_M;
pub use widest::{WIDEST_SPACING_M, Widest, widest};
