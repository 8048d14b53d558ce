//! The stereonet: directions of planes and lines on the lower hemisphere.
//!
//! Everything comes in as plain values; [`Stereonet::draw`] gives a [`Sheet`] 180 mm wide with
//! the net, a legend beside it, and in its corner which hemisphere, projection and north it is.

mod blind;
mod cloud;
mod curves;
mod disc;
mod draw;
mod labels;
mod legend;
mod movement;
#[cfg(test)]
mod tests;

pub(crate) use self::curves::{great_arcs, small_circle};
pub(crate) use crate::orientation::Projection;
pub(crate) use crate::survey::Contour;

use crate::orientation::{Line, Plane, Vec3};

use super::sheet::Sheet;

/// What a stereonet shows. Empty lists draw nothing.
#[derive(Debug, Clone, Default)]
pub(crate) struct Stereonet {
    /// One sentence that says what is seen.
    pub title: String,
    /// Which north the azimuths count from, for example `mine grid`.
    pub north: String,
    /// How the hemisphere is laid flat.
    pub projection: Projection,
    /// Planes, drawn as great circles.
    pub planes: Vec<NetPlane>,
    /// Lines, drawn as marks.
    pub lines: Vec<NetLine>,
    /// Directions in which wedges move.
    pub slides: Vec<NetLine>,
    /// The drive's axis along the advance, drawn as two ticks on the rim.
    pub drive: Option<Line>,
    /// Poles of readings. Beyond some thousand only every so many are drawn, and the legend says
    /// so.
    pub poles: Vec<NetPole>,
    /// Lines of equal density.
    pub contours: Vec<Contour>,
    /// What the contours' levels count, for the legend, for example `% of poles in 1 % of area`.
    pub contour_unit: String,
    /// Cones of confidence round mean directions.
    pub cones: Vec<Cone>,
    /// What the cones are, for the legend, for example `95 % cone of the mean pole`.
    pub cone_note: String,
    /// Borders that somebody drew round sets of poles.
    pub borders: Vec<NetBorder>,
    /// Zones that a traverse could not see.
    pub blind_zones: Vec<BlindZone>,
}

/// A plane on the net.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NetPlane {
    /// Letter or name that stands on the great circle.
    pub label: String,
    /// Its orientation.
    pub plane: Plane,
    /// Index of the joint set whose colour and dash it takes.
    pub set: usize,
}

/// A line or direction on the net.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NetLine {
    /// Name beside the mark; several at one place are listed together.
    pub label: String,
    /// The direction. One that goes upward is shown at its opposite, with a hollow arrow where
    /// it stands for a movement.
    pub line: Line,
}

/// The pole of a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct NetPole {
    /// The direction of the pole; either end of the axis.
    pub pole: Line,
    /// Index of the joint set it belongs to, if any.
    pub set: Option<usize>,
}

/// A cone round a direction, drawn as a small circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Cone {
    /// Axis of the cone.
    pub axis: Line,
    /// Angle between axis and cone, degrees.
    pub half_angle_deg: f64,
    /// Index of the joint set whose colour it takes; ink without.
    pub set: Option<usize>,
}

/// A border round the poles of a set.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NetBorder {
    /// Axes along it, closed: a line with small steps.
    pub outline: Vec<Vec3>,
    /// Index of the joint set whose colour it takes; ink without.
    pub set: Option<usize>,
}

/// Poles whose planes a survey could hardly see: those within `half_width_deg` of hidden from
/// every one of its lines and windows (Terzaghi 1965).
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct BlindZone {
    /// What the joints were looked for with. Without any, nothing is drawn.
    pub sights: Vec<Sight>,
    /// The angle between joint and line, or joint and window, that is too small, degrees.
    pub half_width_deg: f64,
    /// Name of the survey, for the legend; empty if it needs none.
    pub label: String,
}

/// What joints were looked for with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Sight {
    /// A scanline or hole, by its direction: it misses joints along it.
    Along(Line),
    /// A window, by the direction square to it: it misses joints parallel to it.
    Square(Line),
}

impl Stereonet {
    /// Draws the net on a sheet 180 mm wide, as high as title, net and legend need.
    #[must_use]
    pub(crate) fn draw(&self) -> Sheet {
        draw::draw(self)
    }
}
