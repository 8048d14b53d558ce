//! What the surface support carries: screen, straps, shotcrete; what is left to the scaling bar.

pub(super) mod duty;
pub(super) mod scaling;
pub(super) mod shared;
pub(super) mod words;
