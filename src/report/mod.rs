//! Results turned into what a reader sees.
//!
//! Nothing here computes mechanics. [`sheet`] is a small vector sheet in millimetres that becomes
//! an SVG or a PNG, [`style`] holds the colours, dashes and marks that every drawing shares, and
//! the other modules each draw one kind of picture from plain values.

pub mod chart;
mod compass;
pub mod rose;
pub mod sheet;
pub mod stereonet;
pub mod style;
