//! The sheet in the making, and how it writes numbers.

use std::fmt::Write as _;

use crate::case::Case;
use crate::orientation::Vec3;
use crate::report::paper::numbers::fixed;
use crate::study::{Check, CheckedWedge};
use crate::wedge::Shape;

/// Decimals of lengths, areas and components.
const DECIMALS: usize = 6;

/// The sheet in the making.
pub(super) struct Sheet<'a> {
    pub(super) text: String,
    pub(super) case: &'a Case,
    pub(super) check: &'a Check,
    /// What the sheet follows.
    pub(super) wedge: &'a CheckedWedge,
    /// The largest wedge of the pyramid.
    pub(super) largest: &'a CheckedWedge,
    /// Whether it follows the piece that decides.
    pub(super) is_piece: bool,
}

pub(super) fn num(value: f64) -> String {
    fixed(if value.abs() < 0.5e-6 { 0.0 } else { value }, DECIMALS)
}

pub(super) fn vector(v: &Vec3) -> String {
    format!("{} | {} | {}", num(v.x), num(v.y), num(v.z))
}

impl Sheet<'_> {
    pub(super) fn line(&mut self, text: impl AsRef<str>) {
        self.text.push_str(text.as_ref());
        self.text.push('\n');
    }

    pub(super) fn section(&mut self, title: &str) {
        let _ = write!(self.text, "\n## {title}\n\n");
    }

    pub(super) fn name(&self, i: usize) -> &str {
        &self.case.joints[self.wedge.wedge.sets[i]].name
    }

    /// The wedge at its worst placement, which the bolts are checked against.
    pub(super) fn shape(&self) -> &Shape {
        self.wedge.worst_shape()
    }

    /// From the wedge as shown to the one at its worst placement: forces go with volume.
    pub(super) fn to_placed(&self) -> f64 {
        // What water presses hangs on the place: forces then are those there.
        if self.case.site.water.is_some() {
            return 1.0;
        }
        self.shape().volume_m3 / self.wedge.wedge.shape.volume_m3
    }

    pub(super) fn driving_kn(&self) -> f64 {
        self.wedge.wedge.stability.motion.driving_kn * self.to_placed()
    }
}
