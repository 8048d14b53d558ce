//! The guide for users and the theory: pages to read, no code.
//!
//! - [`first_pattern`]: from a first mapping sheet to an approved pattern, and to the bolts as they were found.
//! - [`theory`]: every formula that the engine uses, its source, and where it stands in the code.
//!
//! What the numbers say, and the wrong conclusions that people draw from them, stands in the README under
//! *Reading the numbers*; so do files, columns and switches.

#[doc = include_str!("first_pattern.md")]
pub mod first_pattern {}

#[doc = include_str!("theory.md")]
pub mod theory {}
