//! A stretch as designed and as built.

pub mod rows;
pub mod words;
