//! What results are written on: sheets, charts, nets, fonts, marks, tables, pages and numbers. It
//! knows geometry, but no case and no study.
//!
//! [`sheet`] is a small vector sheet in millimetres that becomes an SVG or a PNG, [`style`] holds
//! the colours, dashes and marks that every drawing shares, and the drawings each make one kind of
//! picture from plain values.

pub mod cell;
pub mod chart;
pub mod compass;
pub mod dimensions;
pub mod html;
pub mod numbers;
pub mod output;
pub mod rose;
pub mod scale;
pub mod sheet;
pub mod stereonet;
pub mod style;
pub mod table;
