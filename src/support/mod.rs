//! Ground support: bolt kinds and their capacity, patterns on the opening, the placement search,
//! and the demand that a wedge makes.
//!
//! A bolt is resistance that the bare movement of a wedge calls on, never a load.

mod across;
mod along;
mod bolt;
mod demand;
mod gap_wedge;
mod gaps;
mod ground;
mod loss;
mod pattern;
mod placement;
mod rotation;
mod surface;
mod track;
mod untouched;

pub use along::{Along, AlongScratch, PhaseGroup, phase_groups};
pub use bolt::{Anchorage, Bolt, BoltKind, Capacity, GovernedBy};
pub use demand::{bolt_load_kn, bolts_needed, force_needed_kn, square_spacing_m};
pub use gap_wedge::{GapWedge, gap_wedge};
pub use ground::{Span, bolted_ground, common, joined, without};
pub use pattern::{Aim, CORNER_COLLAR_M, Collar, Covered, Layout, LayoutError, Pattern, Row};
pub use placement::{Placement, Positions, Serving, place};
pub use rotation::{RotationPlacement, place_rotation};
pub use surface::{SurfaceCapacity, SurfaceGovernedBy, SurfaceKind, SurfaceSupport, ground_of};
pub use track::Body;
pub use untouched::Obstacles;
