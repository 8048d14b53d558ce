//! Studies: each composes the rooms of the trade into one call on plain data.

mod advice;
mod as_built;
mod as_drawn;
mod beside;
mod bolt_warnings;
mod by_law;
pub mod chance;
mod changes;
mod check;
mod checked;
mod compare;
mod demand;
mod face;
mod face_moments;
mod face_pieces;
mod fit;
mod forces;
mod installed;
mod judged_under_stress;
mod judgement;
mod lacks;
mod law_warnings;
mod lowest_rows;
mod meeting;
mod needles;
pub mod plan;
mod prisms;
mod scan;
mod scan_along;
mod screen;
mod seat;
mod shaken;
mod sizes;
mod stages;
mod standing;
mod steps;
mod stressed;
mod structure_warnings;
mod turn;
mod variant;
mod verdicts;
mod warning;
mod wedges;
mod widest;

pub use advice::{AdviceRow, advice, q_bolt_length_m};
pub use as_built::{
    AsBuiltCheck, AsBuiltWedge, BoltChange, BuiltDecision, BuiltPiece, BuiltServing, ChangedBolt, RingPhase,
    RingRow, RingWorst, SpotBolt, SpotBolts, as_built, bolt_changes, with_spot_bolts,
};
pub use as_drawn::{AsDrawn, as_drawn};
pub use beside::{Beside, beside};
pub use by_law::{ByLaw, FaceByLaw};
pub use changes::{Changes, Edit, StillShort, Tried, Uneven, changes, changes_counted};
pub use check::{Whole, check, check_counted};
pub use checked::{
    AtFace, CheckedWedge, Decided, DecidedBy, Found, InDrive, Placed, Unjudged, Verdict, Wedge, decided,
};
pub use compare::{
    CompareError, Compared, Comparison, GoverningWedge, ScreenLoad, SurfaceFs, Variant, compare,
    compare_counted,
};
pub use demand::{DecidingDemand, DemandRow, demand};
pub use face::{FacePlacement, face};
pub use face_pieces::{FacePiece, FaceScan};
pub use fit::{
    Candidate, Choice, Costed, Doubled, Failing, Fit, FitError, Fitted, Met, Tally, fit, fit_counted,
    holds_everything,
};
pub use forces::{Check, CheckError, forces_alone, forces_and_moments};
pub use installed::{Installed, Thinned, as_installed, installed};
pub use judged_under_stress::{LeastUnderStress, UnderStress};
pub use judgement::{DecidedPieces, Deciding, Judged, decide_pieces, judge, judgement};
pub use lacks::{Lack, LackOf, lacks, margin, tightest};
pub use lowest_rows::{LowestRow, lowest_rows};
pub use meeting::meeting;
pub use prisms::{ALONG_DRIVE_DEG, CheckedPrism, prisms};
pub use scan_along::{ScanFound, ScanRow, Tightest, scan_along};
pub use screen::{DutyRow, Piece, ScalingRow, SharedFs, SurfaceStudy, surface_study};
pub use seat::{ASKED_SHARES, ASKED_STARTS};
pub use shaken::{AtRest, Shaken};
pub use sizes::{AmongBolts, Gap, JudgedBy, Size, SizeCurve, size_curve, sizes};
pub use stages::{AssumedFrom, Place, Stage, StageRow, Stages, stages};
pub use steps::{Steps, StepsSeen};
pub use stressed::{AskedPiece, PieceUnderStress, StressEffect, Stressed};
pub use turn::{
    HeaviestWedge, MostPressure, Turn, TurnChance, TurnDraws, TurnError, Turned, directions, turn,
    turn_counted,
};
pub use verdicts::{Stands, Verdicts, verdicts};
pub use warning::Warning;
pub use wedges::LEAST_VOLUME_M3;
pub(crate) use wedges::LONG_WEDGE_RATIO;
pub(crate) use wedges::LONGEST_PLACED_M;
pub use widest::{WIDEST_SPACING_M, Widest, widest, widest_counted};
