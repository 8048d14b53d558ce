//! The stages of the cycle, and the face.

pub(super) mod drawing;
pub(super) mod page;
pub(super) mod table;
pub(super) mod words;
