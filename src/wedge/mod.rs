//! Removable wedges: joint pyramids, which of them daylight, how large they can be, their shape.
//!
//! Everything here is written in the drive's local frame (u, s, v). A drive without ends looks
//! the same at every chainage, so finiteness and size are questions of the section plane: a
//! joint pyramid seen along the drive is a [`Sector`], the part of the perimeter that it can
//! reach is a [`Chain`], and an apex is fixed by the two places on that chain where the sector's
//! outer rays daylight (a [`Footprint`]).
//!
//! A drive that ends at a face is a half-prism, and there an apex is a point in space: [`Reach`] holds
//! those that a pyramid may have, [`largest_at_face`] finds the best of them.
//!
//! Sources: Goodman & Shi (1985), *Block Theory and its Application to Rock Engineering*.

mod chain;
mod corners;
mod half_prism;
mod limits;
mod located;
mod pressed;
mod prism;
mod pyramid;
mod sector;
mod shape;

pub(crate) use chain::EDGE_ON_SINE;
pub use chain::{Chain, Footprint, ON_FACE_M};
pub use half_prism::{FaceAdmissible, FaceBody, FaceLimits, Measures, Reach, largest_at_face};
pub(crate) use limits::CAP_MARGIN;
pub use limits::{ADMISSIBLE_SHARE, Admissible, Band, Cap, Frontier, LIMITING_SHARE, Limits};
pub use located::{Across, Located, PlacedPlane};
pub use pressed::{FaceField, FaceIntegral};
pub use prism::{Prism, PrismCaps};
pub use pyramid::{Cone, JointPyramid, THIN_TRIPLE_SR, joint_pyramid_codes, smallest_solid_angle_sr};
pub use sector::{AXIS_TOLERANCE, FlatSide, Sector};
pub use shape::{JointFace, OpeningFace, Shape};
