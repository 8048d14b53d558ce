//! Shear strength of joints.
//!
//! Wedges are balanced with a straight envelope, [`MohrCoulomb`]. A law that is not straight ([`StrengthLaw`]) is taken
//! by a line that nowhere lies above it up to a stated normal stress ([`StrengthLaw::line`]), so that no wedge
//! whose joints carry no more is flattered.

mod bridged;
mod law;
mod rough;
mod stepped;
mod straight;

pub use bridged::Bridged;
pub use law::{ShearStrength, StrengthLaw};
pub use rough::{PEAK_CAP_DEG, Rough};
pub use stepped::Stepped;
pub use straight::MohrCoulomb;
