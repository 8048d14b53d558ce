//! The stages of the cycle, and the face.

pub mod drawing;
pub mod page;
pub mod table;
pub mod words;
