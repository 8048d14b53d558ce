//! What results are written on: sheets, charts, nets, fonts, marks, tables, pages and numbers. It
//! knows geometry, but no case and no study.
//!
//! [`sheet`] is a small vector sheet in millimetres that becomes an SVG or a PNG, [`style`] holds
//! the colours, dashes and marks that every drawing shares, and the drawings each make one kind of
//! picture from plain values.

pub(super) mod cell;
pub(super) mod chart;
pub(super) mod compass;
pub(super) mod csv_metadata;
pub(super) mod depth;
pub(super) mod dimensions;
pub(super) mod html;
pub(super) mod model;
pub(super) mod numbers;
pub(super) mod output;
pub(super) mod polar;
pub(super) mod rose;
pub(super) mod scale;
pub(super) mod sheet;
pub(super) mod stereonet;
pub(super) mod style;
pub(super) mod table;
