//! A stretch as designed and as built.

pub mod bolts;
pub mod page;
pub mod rings;
pub mod wedges;
pub mod words;
