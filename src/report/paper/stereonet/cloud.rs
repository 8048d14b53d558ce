//! A cloud of poles: how many are drawn, and how.

use super::Stereonet;
use crate::report::paper::sheet::Colour;
use crate::report::paper::style::{GREY, INK};

/// More readings than this get smaller marks and darker contours.
const MANY_POLES: usize = 300;
/// Poles that are drawn at most: more would be a blot, and a file of many megabytes.
const MOST_POLES: usize = 900;

/// Every how many of the poles one is drawn.
pub(super) fn drawn_every(poles: usize) -> usize {
    poles.div_ceil(MOST_POLES).max(1)
}

/// Side of a pole's mark, millimetres.
pub(super) fn mark_mm(net: &Stereonet) -> f64 {
    if net.poles.len() > MANY_POLES { 1.1 } else { 1.8 }
}

/// The colour of contours: darker over a cloud of poles.
pub(super) fn contour_colour(net: &Stereonet) -> Colour {
    if net.poles.len() > MANY_POLES { INK } else { GREY }
}
