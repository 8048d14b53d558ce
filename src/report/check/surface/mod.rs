//! What the surface support carries: screen, straps, shotcrete; what is left to the scaling bar.

pub mod duty;
pub mod scaling;
pub mod shared;
pub mod words;
