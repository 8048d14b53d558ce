//! The opening: a convex section swept along the drive's axis, its facets and their names.
//!
//! Sections are drawn looking along the advance: u to the right, v up, origin at the middle of
//! the floor. The third local coordinate, s, is the chainage along the axis. [`DriveFrame`]
//! turns local (u, s, v) into east, north, up.

mod drive;
mod profile;
pub mod scan;
mod section;
mod surface;

pub use drive::DriveFrame;
pub use profile::{SectionError, SectionShape};
pub use section::{CORNER_TURN_DEG, Facet, ON_VERTEX_M, PerimeterPoint, SECTION_SIZE_M, Section};
pub use surface::{STEEP_DEG, Surface};

use nalgebra::Vector2;

use crate::orientation::Vec3;

/// A point or direction in the section: u (right), v (up), metres.
pub type Vec2 = Vector2<f64>;

/// Twice the signed area between two section vectors, positive where `b` lies counter-clockwise
/// of `a` as drawn (looking along the advance).
#[must_use]
pub fn cross2(a: &Vec2, b: &Vec2) -> f64 {
    a.x * b.y - a.y * b.x
}

/// How far the opening runs along its axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Extent {
    /// A prism without ends: a drive far from its face.
    Through,
}

/// A drive as the wedges meet it: section, frame, and the surface each facet belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// The convex section.
    pub section: Section,
    /// The drive's axis and the section's axes in space.
    pub frame: DriveFrame,
    /// How far the prism runs.
    pub extent: Extent,
    surfaces: Vec<Surface>,
}

impl Opening {
    /// An opening of this section along this drive. Surfaces are named from true level, so an
    /// inclined drive keeps its back and its walls.
    #[must_use]
    pub fn new(section: Section, frame: DriveFrame) -> Self {
        let surfaces = section.facets().iter().map(|facet| Surface::of(&facet.normal, &frame)).collect();
        Self { section, frame, extent: Extent::Through, surfaces }
    }

    /// The surface that facet `index` of the section belongs to; [`Opening::face_index`] is the
    /// face of the heading.
    #[must_use]
    pub fn surface_of(&self, index: usize) -> Surface {
        self.surfaces.get(index).copied().unwrap_or(Surface::Face)
    }

    /// The index that stands for the face of the heading: one past the section's facets.
    #[must_use]
    pub fn face_index(&self) -> usize {
        self.surfaces.len()
    }

    /// Outward unit normal of a facet or of the face, into the rock; local (u, s, v).
    #[must_use]
    pub fn outward(&self, index: usize) -> Vec3 {
        self.section.facets().get(index).map_or_else(Vec3::y, |f| Vec3::new(f.normal.x, 0.0, f.normal.y))
    }

    /// One surface a facet, in the order of [`Section::facets`].
    #[must_use]
    pub fn surfaces(&self) -> &[Surface] {
        &self.surfaces
    }
}
