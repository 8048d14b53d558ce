//! Loads on a wedge, how it moves, and its factor of safety by limit equilibrium.
//!
//! Source: Warburton (1981), vector stability analysis of an arbitrary polyhedral rock block.
//! Vectors may be given in any one right-handed frame, as long as planes and forces share it.

mod clamped;
mod hung;
mod loads;
mod motion;
mod rotation;
mod safety;
mod shaking;
mod stress_loss;
mod water;

pub use clamped::{Clamped, ClampedFace, NotClamped};
pub use hung::{Hung, HungLoad, HungPlace, HungSize, hung_on};
pub use loads::Loads;
pub use motion::{Mode, Motion};
pub(crate) use motion::{NO_CONTACT_SHARE, components};
pub(crate) use rotation::load_factor_as_before;
pub use rotation::{Action, Balance, BoltPull, Contact, Mechanism, Rotation, RotationScratch, load_factor};
pub use safety::{Reaction, Stability};
pub use shaking::{GroundVelocity, Shaking};
pub use stress_loss::{SAME_RESISTANCE, StressLoss};
pub use water::{WATER_KN_M3, Water, WaterForces, WaterModel};
