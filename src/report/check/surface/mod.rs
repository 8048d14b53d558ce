//! What the surface support carries: screen, straps, shotcrete; scaling, prisms, advice.

pub mod page;
pub mod rows;
pub mod words;
