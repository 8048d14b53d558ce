//! Does the bolt pattern hold the back?

pub mod case;
pub mod opening;
pub mod orientation;
pub mod report;
pub mod stability;
pub mod strength;
pub mod study;
pub mod support;
pub mod wedge;
