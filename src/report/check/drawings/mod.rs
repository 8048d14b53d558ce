//! The drawings of a check: section, unrolled surface, plan and stereonet; and the cut of a scan
//! where the section is one.
//!
//! Each is a function of the case and its check that gives a [`Sheet`](crate::report::paper::sheet::Sheet)
//! 180 mm wide. They draw what the study found and compute no mechanics. Lengths are to scale; the
//! scale is a round one that holds when the sheet is printed 180 mm wide.

mod arrange;
mod clip;
mod face;
mod flat;
mod labels;
mod legend;
mod net;
mod order;
mod placed;
mod plan;
mod plan_wedges;
mod rings;
mod scan;
mod section;
mod section_bolts;
mod section_dxf;
mod section_labels;
mod space;
#[cfg(test)]
mod tests;
mod traces;
mod unrolled;
mod unrolled_content;
mod unrolled_surface;

pub(super) use face::face_drawing;
pub(super) use net::net;
pub(super) use order::{MOST_NAMED, crossing_words, every_by_importance};
pub(super) use plan::plan;
pub(super) use scan::scan;
pub(super) use section::section;
pub(super) use section_dxf::section_dxf;
pub(super) use space::space;
pub(super) use unrolled::unrolled;

/// Side of the mark that says held or short, millimetres.
const MARK_MM: f64 = 2.4;

/// From the left end of a mark to the words after it, millimetres.
const MARK_ROOM_MM: f64 = 3.8;
