//! Does the bolt pattern hold the back?
pub mod opening;
pub mod orientation;
pub mod wedge;
