//! A scanned opening: a surveyed mesh of the heading, cut square to the drive's axis at a
//! chainage, and reduced to a convex section.
//!
//! Wedges need a convex opening. The convex hull of the cut contains all of it, so no rock is
//! taken for granted that the scan shows to be gone; in turn it counts as open what stands in the
//! cut's bays, and that area is stated ([`ScannedSection::added_m2`]). The hull's sides are then
//! made fewer by drawing neighbours out until they meet, which again only adds.

mod compare;
mod course;
mod hull;
mod join;
mod loops;
mod mesh;
mod surface;

pub use compare::Overbreak;
pub use course::Course;
pub use hull::{MOST_FACETS, SIMPLIFIED_REACH_M, SIMPLIFIED_SHARE};
pub use join::{ClosedGap, SAME_POINT_M};
pub use loops::{FLOOR_OFF_M, LeftOut};
pub use mesh::{Mesh, MeshError};
pub use surface::{Hit, ScanMesh, Topology};

use thiserror::Error;

use super::{DriveFrame, SECTION_SIZE_M, Section, SectionError, Vec2, cross2};
use crate::numeric::{convex_hull, signed_area};
use crate::orientation::Vec3;
use join::join;

/// Gaps in a cut that are closed unless a case says otherwise, metres: the shadow of a plate or of
/// a hanging pipe, far below the size of a wedge that matters.
pub const CLOSED_GAP_M: f64 = 0.25;

/// A mesh wider and higher than this, square to the drive, is no heading in metres.
pub const LARGEST_ACROSS_M: f64 = 1000.0;

/// A cut of more points than this is refused: a point a millimetre would do for any heading.
pub const MOST_CUT_POINTS: usize = 50_000;

/// Where and how a mesh is cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScanPlace {
    /// The middle of the drive's floor at chainage 0, in the mesh's coordinates (east, north, up;
    /// metres).
    pub origin_m: Vec3,
    /// Where the cut is taken, metres along the drive's axis from there.
    pub chainage_m: f64,
    /// The widest gap that is closed by a straight line, metres.
    pub close_gaps_m: f64,
}

/// A cut through a scan and the convex section that stands for it; u, v in metres from the drive's
/// axis (middle of the designed floor).
#[derive(Debug, Clone, PartialEq)]
pub struct ScannedSection {
    /// What the mesh is called: its file, as a case named it.
    pub mesh_name: String,
    /// Where it was cut.
    pub place: ScanPlace,
    /// The cut, a closed line, counter-clockwise.
    pub cut: Vec<Vec2>,
    /// Its area, square metres.
    pub cut_area_m2: f64,
    /// Places in which the cut crosses itself (noise, surfaces that overlap): its area and the
    /// overbreak are then uncertain by the little bows there.
    pub cut_crossings: usize,
    /// Area of the cut's convex hull, square metres.
    pub hull_area_m2: f64,
    /// The convex section that is worked with, counter-clockwise: the hull with fewer sides.
    pub outline: Vec<Vec2>,
    /// Its area, square metres.
    pub outline_area_m2: f64,
    /// Gaps that were closed, in order round the cut.
    pub gaps: Vec<ClosedGap>,
    /// What the plane met besides.
    pub left_out: LeftOut,
    /// Which way the heading runs there.
    pub course: Course,
    /// The cut against a design, where one was given.
    pub overbreak: Option<Overbreak>,
    /// Further cuts along the drive, in the order of their chainage; none unless they were asked for.
    pub along: Vec<CutAlong>,
}

/// A further cut of a scan.
#[derive(Debug, Clone, PartialEq)]
pub struct CutAlong {
    /// Its chainage, metres.
    pub chainage_m: f64,
    /// The section there, or why there is none.
    pub cut: Result<ScannedSection, ScanError>,
}

/// Why a mesh gives no section.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum ScanError {
    /// A mesh without a face.
    #[error("a mesh without faces")]
    NoFaces,
    /// So large that its coordinates are hardly metres.
    #[error("a mesh {width:.0} wide and {height:.0} high square to the drive")]
    NotMetres {
        /// Width in the mesh's own unit.
        width: f64,
        /// Height in the mesh's own unit.
        height: f64,
    },
    /// The plane misses the mesh.
    #[error("chainage {chainage_m} m, and the mesh reaches from chainage {from_m:.3} m to {to_m:.3} m")]
    Outside {
        /// Where it was to be cut.
        chainage_m: f64,
        /// Where the mesh begins, to the millimetre.
        from_m: f64,
        /// Where it ends, to the millimetre.
        to_m: f64,
    },
    /// The plane meets no face, although there is mesh on either side.
    #[error("no surface at this chainage: the mesh has a hole all round there")]
    NothingMet,
    /// A cut in so many scraps that joining them would mean nothing.
    #[error("a cut in {pieces} loose pieces")]
    Shreds {
        /// How many.
        pieces: usize,
    },
    /// A cut with very many points.
    #[error("a cut of {points} pieces of line")]
    TooFine {
        /// How many.
        points: usize,
    },
    /// The loop round the axis is open.
    #[error(
        "a hole of {:.2} m in the cut, at the {place}, from u {:.2}, v {:.2} to u {:.2}, v {:.2} (the cut is in {pieces} open pieces)",
        (to - from).norm(), from.x, from.y, to.x, to.y
    )]
    Hole {
        /// One end, section coordinates.
        from: Vec2,
        /// The other.
        to: Vec2,
        /// Floor, back, left or right side.
        place: &'static str,
        /// How many open pieces there are.
        pieces: usize,
    },
    /// No loop lies round the axis.
    #[error(
        "a cut from u {:.2} to {:.2} and v {:.2} to {:.2}: the drive's axis (u 0, v 0, the middle of its floor) does not run along its floor",
        low.x, high.x, low.y, high.y
    )]
    OffAxis {
        /// Lower corner of the largest loop.
        low: Vec2,
        /// Upper corner.
        high: Vec2,
    },
    /// A cut that is no heading by its size.
    #[error("a cut {width_m:.3} m wide and {height_m:.3} m high")]
    Size {
        /// Width, in metres if the mesh is.
        width_m: f64,
        /// Height.
        height_m: f64,
    },
    /// The hull is no section.
    #[error(transparent)]
    Section(#[from] SectionError),
}

impl ScannedSection {
    /// Cuts a mesh and reduces the cut to a convex section; `design`, about the same axis, is
    /// compared with it. `mesh_name` is kept for reports.
    ///
    /// # Errors
    /// [`ScanError`] where the mesh gives no closed cut round the axis.
    pub fn of(
        mesh: &Mesh,
        mesh_name: &str,
        frame: &DriveFrame,
        place: ScanPlace,
        design: Option<&Section>,
    ) -> Result<Self, ScanError> {
        let surface = ScanMesh::of(mesh, frame, &place.origin_m).ok_or(ScanError::NoFaces)?;
        Self::cut_of(&surface, mesh_name, place, design)
    }

    /// As [`ScannedSection::of`], with further cuts at these chainages, each compared with the same design.
    ///
    /// # Errors
    /// As [`ScannedSection::of`]; of the further cuts each has its own.
    pub fn with_cuts(
        mesh: &Mesh,
        mesh_name: &str,
        frame: &DriveFrame,
        place: ScanPlace,
        design: Option<&Section>,
        along_m: &[f64],
    ) -> Result<Self, ScanError> {
        let surface = ScanMesh::of(mesh, frame, &place.origin_m).ok_or(ScanError::NoFaces)?;
        let cut =
            |chainage_m: f64| Self::cut_of(&surface, mesh_name, ScanPlace { chainage_m, ..place }, design);
        let along = along_m.iter().map(|&chainage_m| CutAlong { chainage_m, cut: cut(chainage_m) });
        Ok(Self { along: along.collect(), ..cut(place.chainage_m)? })
    }

    fn cut_of(
        surface: &ScanMesh,
        mesh_name: &str,
        place: ScanPlace,
        design: Option<&Section>,
    ) -> Result<Self, ScanError> {
        let (low, high) = surface.bounds();
        let size = high - low;
        if size.x.min(size.z) > LARGEST_ACROSS_M {
            return Err(ScanError::NotMetres { width: size.x, height: size.z });
        }
        let ScanPlace { chainage_m, close_gaps_m, .. } = place;
        // At its very ends a mesh is cut in part or not at all.
        if chainage_m <= low.y + SAME_POINT_M || chainage_m >= high.y - SAME_POINT_M {
            return Err(ScanError::Outside { chainage_m, from_m: to_mm(low.y), to_m: to_mm(high.y) });
        }
        let pieces = surface.cut(chainage_m);
        if pieces.len() > MOST_CUT_POINTS {
            return Err(ScanError::TooFine { points: pieces.len() });
        }
        let joined = join(&pieces, close_gaps_m).map_err(|pieces| ScanError::Shreds { pieces })?;
        let (path, left_out) = loops::heading(joined)?;
        let (low, high) = loops::bounds(&path.points).ok_or(ScanError::NothingMet)?;
        let (width_m, height_m) = (high.x - low.x, high.y - low.y);
        if width_m.min(height_m) < SECTION_SIZE_M[0] || width_m.max(height_m) > SECTION_SIZE_M[1] {
            return Err(ScanError::Size { width_m, height_m });
        }
        let hull = convex_hull(&path.points);
        // By way of the section, which drops what rounding leaves of a corner.
        let section = Section::from_vertices(&hull::simplified(&hull))?;
        Ok(Self {
            mesh_name: mesh_name.to_owned(),
            place,
            cut_area_m2: path.area_m2(),
            cut_crossings: crossings(&path.points),
            hull_area_m2: signed_area(&hull),
            outline_area_m2: section.area_m2(),
            outline: section.vertices().to_vec(),
            gaps: path.gaps,
            left_out,
            course: Course::of(surface, &path.points, chainage_m, close_gaps_m),
            overbreak: design.map(|design| compare::compare(&path.points, design)),
            cut: path.points,
            along: Vec::new(),
        })
    }

    /// Width and height of the cut, metres.
    #[must_use]
    pub fn cut_size_m(&self) -> [f64; 2] {
        loops::bounds(&self.cut).map_or([0.0; 2], |(low, high)| [high.x - low.x, high.y - low.y])
    }

    /// How far the middle of the cut lies off that of the design, right and up, metres; without a design how far
    /// to the right of the axis, which runs along the middle of the floor, and no height.
    #[must_use]
    pub fn aside_m(&self) -> [f64; 2] {
        let middle = self.course.here;
        match &self.overbreak {
            Some(over) => (middle - course::centroid(&over.design)).into(),
            None => [middle.x, 0.0],
        }
    }

    /// What the convex section has more than the cut, square metres: bays of the cut that the hull
    /// spans, and what making its sides fewer adds.
    #[must_use]
    pub fn added_m2(&self) -> f64 {
        self.outline_area_m2 - self.cut_area_m2
    }

    /// The same as a share of the cut.
    #[must_use]
    pub fn added_share(&self) -> f64 {
        self.added_m2() / self.cut_area_m2
    }

    /// The widest gap that was closed, metres; `None` where there was none.
    #[must_use]
    pub fn widest_gap_m(&self) -> Option<f64> {
        self.gaps.iter().map(ClosedGap::width_m).max_by(f64::total_cmp)
    }
}

/// Rounded to the millimetre, without a negative zero.
fn to_mm(metres: f64) -> f64 {
    (metres * 1e3).round() / 1e3 + 0.0
}

/// How often a closed line crosses itself.
fn crossings(points: &[Vec2]) -> usize {
    let n = points.len();
    let ends = |i: usize| (points[i], points[(i + 1) % n]);
    let span = |i: usize| {
        let (a, b) = ends(i);
        (a.x.min(b.x), a.x.max(b.x))
    };
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|&i, &j| span(i).0.total_cmp(&span(j).0).then(i.cmp(&j)));
    let mut count = 0;
    for (at, &i) in order.iter().enumerate() {
        let (a, b) = ends(i);
        for &j in order[at + 1..].iter().take_while(|&&j| span(j).0 <= span(i).1) {
            let (c, d) = ends(j);
            let (ab, cd) = (b - a, d - c);
            let apart = cross2(&ab, &(c - a)) * cross2(&ab, &(d - a)) < 0.0
                && cross2(&cd, &(a - c)) * cross2(&cd, &(b - c)) < 0.0;
            count += usize::from(apart);
        }
    }
    count
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::Line;

    /// A tube along the drive, s from 0 to 4, of a section given counter-clockwise.
    fn tube(frame: &DriveFrame, origin: Vec3, section: &[(f64, f64)]) -> Mesh {
        let mut mesh = Mesh::default();
        let n = section.len() as u32;
        for s in [0.0, 4.0] {
            for &(u, v) in section {
                mesh.add_vertex(origin + frame.to_world(&Vec3::new(u, s, v))).unwrap();
            }
        }
        for i in 0..n {
            let j = (i + 1) % n;
            mesh.add_face(&[i, j, n + j, n + i]).unwrap();
        }
        mesh
    }

    const NOTCHED: [(f64, f64); 6] =
        [(-2.0, 0.0), (2.0, 0.0), (2.0, 4.0), (0.5, 4.0), (0.0, 3.0), (-2.0, 4.0)];

    #[test]
    fn the_hull_of_a_notched_cut_states_what_it_adds() {
        let frame = DriveFrame::new(Line { trend_deg: 35.0, plunge_deg: -8.0 });
        let origin_m = Vec3::new(1200.0, 3400.0, -520.0);
        let mesh = tube(&frame, origin_m, &NOTCHED);
        let place = ScanPlace { origin_m, chainage_m: 1.7, close_gaps_m: CLOSED_GAP_M };
        let design = Section::from_vertices(
            &[(-2.0, 0.0), (2.0, 0.0), (2.0, 3.5), (-2.0, 3.5)].map(|(u, v)| Vec2::new(u, v)),
        )
        .unwrap();
        let scan = ScannedSection::of(&mesh, "notched", &frame, place, Some(&design)).unwrap();
        // The notch is a triangle 2.5 m wide and 1 m deep.
        assert!((scan.cut_area_m2 - (16.0 - 1.25)).abs() < 1e-9);
        assert!((scan.added_m2() - 1.25).abs() < 1e-9);
        assert_eq!(scan.outline.len(), 4);
        assert_eq!(scan.cut_crossings, 0);
        // The notch reaches 0.5 m below the design's back, over half of its width there.
        let over = scan.overbreak.unwrap();
        assert!((over.underbreak_m2 - 0.5 * 0.5 * 1.25).abs() < 1e-9);
        assert!((over.overbreak_m2 - (0.5 * 4.0 - (1.25 - 0.3125))).abs() < 1e-9);
        assert!((over.farthest_m - 0.5).abs() < 1e-9);
    }

    #[test]
    fn a_mesh_in_millimetres_and_a_chainage_outside_are_told_apart() {
        let frame = DriveFrame::new(Line { trend_deg: 0.0, plunge_deg: 0.0 });
        let large: Vec<(f64, f64)> = NOTCHED.iter().map(|&(u, v)| (1000.0 * u, 1000.0 * v)).collect();
        let place = ScanPlace { origin_m: Vec3::zeros(), chainage_m: 9.0, close_gaps_m: 0.25 };
        let found = |section: &[(f64, f64)]| {
            ScannedSection::of(&tube(&frame, Vec3::zeros(), section), "", &frame, place, None)
        };
        assert!(matches!(found(&large), Err(ScanError::NotMetres { .. })));
        assert!(matches!(found(&NOTCHED), Err(ScanError::Outside { .. })));
    }
}
