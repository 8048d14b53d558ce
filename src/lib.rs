//! Does the bolt pattern hold the back?
pub mod orientation;
pub mod survey;
