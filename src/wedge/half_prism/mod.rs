//! Wedges at the face: the opening is a half-prism, a drive that ends at a plane square to its
//! axis. Local (u, s, v) with the face at s = 0, rock ahead, the opened drive at s ≤ 0.
//!
//! Goodman & Shi (1985): a wedge with its apex in the rock is finite exactly when its three edges
//! daylight. The apexes for which they do are a convex body ([`Reach`]); a half-prism lies inside
//! the prism of the same section, so no pyramid's largest wedge shrinks at the face, and of eight
//! pyramids seven have one there: all but the one that holds +axis.

mod body;
mod largest;
mod reach;
mod vertex;

pub use body::{FaceBody, Measures};
pub use largest::{FaceAdmissible, FaceLimits, largest_at_face};
pub use reach::Reach;
