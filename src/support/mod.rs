//! Ground support: bolt kinds and their capacity, patterns on the opening, the placement search,
//! and the demand that a wedge makes.
//!
//! A bolt is resistance that the bare movement of a wedge calls on, never a load.

mod across;
mod along;
mod bolt;
mod boom;
mod condition;
mod demand;
mod dowel;
mod face_bolts;
mod gap_wedge;
mod gaps;
mod ground;
mod installed;
mod least;
mod local;
mod loss;
mod pattern;
mod pattern_end;
mod pieces;
mod placement;
mod positions;
mod pull_tests;
mod quality;
mod rings;
mod rotation;
mod sampled;
mod set_bolts;
mod surface;
mod track;
mod untouched;

pub use across::HAIR_SHARE;
pub use along::{PhaseGroup, located_groups, phase_groups};
pub use bolt::{Anchorage, Bolt, BoltKind, Capacity, GovernedBy};
pub use boom::{Boom, OutOfReach};
pub use condition::Condition;
pub use demand::{bolt_load_kn, bolts_needed, force_needed_kn};
pub use dowel::{DOWEL_LIMITS, DowelShear};
pub use face_bolts::{FaceBolts, FaceSupport};
pub use gap_wedge::{GapWedge, gap_wedge};
pub use ground::{Span, bolted_ground, common, joined, without};
pub use installed::{Installation, place_one_missing, thinned};
pub use least::Along;
pub use local::LocalBolts;
pub use pattern::{Aim, BeyondBoom, Collar, Covered, Layout, LayoutError, Pattern, Row};
pub use pattern_end::{EndPlacement, PatternEnd};
pub use pieces::{
    Bracket, Carrier, Covering, Decision, LeastPiece, OnPieces, PieceAt, Pieces, ShortPiece, Uncarried,
    ways_of,
};
pub use placement::{PLATE_REACH_M, Placement, Serving, none_works, place, placed_at, placed_least};
pub use positions::Positions;
pub use pull_tests::{BondTests, LEAST_TESTS, failing_share_below, torque_tested};
pub use quality::Quality;
pub use rings::{FacedWedge, RingScratch, Rings};
pub use rotation::{RotationPlacement, balanced_at, place_rotation};
pub use sampled::{Bolting, BoltingScratch};
pub use set_bolts::{Reachable, SetBolt, SetBolts, SetPlacement, SetServing, SweepScratch, drawn_bolts};
pub use surface::{SurfaceCapacity, SurfaceGovernedBy, SurfaceKind, SurfaceSupport, above, ground_of};
pub use track::Body;
pub use untouched::Obstacles;
