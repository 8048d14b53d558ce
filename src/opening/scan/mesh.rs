use thiserror::Error;

use crate::opening::{DriveFrame, Vec2};
use crate::orientation::Vec3;

/// A surveyed surface: points (east, north, up; metres) and flat faces of three or more of them.
/// Faces need not be joined up, nor turned one way.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mesh {
    vertices: Vec<Vec3>,
    corners: Vec<u32>,
    /// Where each face ends in `corners`.
    ends: Vec<usize>,
}

/// Why points and faces are no mesh.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum MeshError {
    /// A coordinate is NaN or infinite.
    #[error("a vertex with a coordinate that is not a finite number")]
    NotFinite,
    /// More vertices than an index can count.
    #[error("more than {} vertices", u32::MAX)]
    TooMany,
    /// A face needs three corners.
    #[error("a face of {found} corners")]
    TooFewCorners {
        /// How many it has.
        found: usize,
    },
    /// A face names a vertex that is not there.
    #[error("a face that names vertex {vertex}, and there are {count}")]
    NoSuchVertex {
        /// Index from 0.
        vertex: u32,
        /// How many there are.
        count: usize,
    },
}

impl Mesh {
    /// Adds a point (east, north, up; metres) and returns its index, from 0.
    ///
    /// # Errors
    /// [`MeshError::NotFinite`], [`MeshError::TooMany`].
    pub fn add_vertex(&mut self, at: Vec3) -> Result<u32, MeshError> {
        if !at.iter().all(|c| c.is_finite()) {
            return Err(MeshError::NotFinite);
        }
        let index = u32::try_from(self.vertices.len()).map_err(|_| MeshError::TooMany)?;
        self.vertices.push(at);
        Ok(index)
    }

    /// Adds a flat face by the indices of its corners, in order round it.
    ///
    /// # Errors
    /// [`MeshError::TooFewCorners`], [`MeshError::NoSuchVertex`].
    pub fn add_face(&mut self, corners: &[u32]) -> Result<(), MeshError> {
        if corners.len() < 3 {
            return Err(MeshError::TooFewCorners { found: corners.len() });
        }
        let count = self.vertices.len();
        if let Some(&vertex) = corners.iter().find(|&&c| c as usize >= count) {
            return Err(MeshError::NoSuchVertex { vertex, count });
        }
        self.corners.extend_from_slice(corners);
        self.ends.push(self.corners.len());
        Ok(())
    }

    /// How many faces there are.
    #[must_use]
    pub fn face_count(&self) -> usize {
        self.ends.len()
    }

    /// The vertices, in the order in which they were added.
    #[must_use]
    pub fn vertices(&self) -> &[Vec3] {
        &self.vertices
    }

    /// The corners of a face, counted from 0, in order round it.
    pub(super) fn face(&self, index: usize) -> &[u32] {
        let from = if index == 0 { 0 } else { self.ends[index - 1] };
        &self.corners[from..self.ends[index]]
    }

    /// The corners of each face.
    pub(super) fn faces(&self) -> impl Iterator<Item = &[u32]> {
        let starts = std::iter::once(&0).chain(&self.ends);
        starts.zip(&self.ends).map(|(&from, &to)| &self.corners[from..to])
    }

    /// Lower and upper corner of all vertices that faces use, in the local axes (u, s, v) of a
    /// drive whose mid-floor at chainage 0 is `origin`. `None` where there is no face.
    #[must_use]
    pub fn bounds(&self, frame: &DriveFrame, origin: &Vec3) -> Option<(Vec3, Vec3)> {
        let mut corners = self.corners.iter().map(|&c| frame.to_local(&(self.vertices[c as usize] - origin)));
        let first = corners.next()?;
        Some(corners.fold((first, first), |(low, high), p| (low.inf(&p), high.sup(&p))))
    }

    /// The straight pieces (u, v) along which the faces meet the plane square to the drive at
    /// `chainage_m`.
    ///
    /// A vertex on the plane counts as beyond it, so that no face is met in a point or in its
    /// whole area, and two faces that share an edge meet the plane in the same point to the last
    /// bit. A face's meetings are sorted along the line in which its plane meets the cut and taken
    /// in pairs, so that a face may turn inward as long as it is flat.
    #[must_use]
    pub fn cut(&self, frame: &DriveFrame, origin: &Vec3, chainage_m: f64) -> Vec<[Vec2; 2]> {
        let mut pieces = Vec::new();
        let mut local: Vec<Vec3> = Vec::new();
        for face in self.faces() {
            local.clear();
            local.extend(face.iter().map(|&c| frame.to_local(&(self.vertices[c as usize] - origin))));
            cut_face(&local, chainage_m, &mut pieces);
        }
        pieces
    }
}

/// Adds the pieces along which a face, by its corners in local axes, meets the plane.
pub(super) fn cut_face(corners: &[Vec3], chainage_m: f64, pieces: &mut Vec<[Vec2; 2]>) {
    let mut met: Vec<Vec2> = Vec::new();
    for (i, a) in corners.iter().enumerate() {
        let b = &corners[(i + 1) % corners.len()];
        if (a.y < chainage_m) != (b.y < chainage_m) {
            met.push(crossing(a, b, chainage_m));
        }
    }
    if let [first, rest @ ..] = met.as_slice() {
        let far = rest.iter().map(|p| p - first).max_by(|a, b| a.norm().total_cmp(&b.norm()));
        let along = far.unwrap_or_default();
        met.sort_by(|a, b| a.dot(&along).total_cmp(&b.dot(&along)));
    }
    pieces.extend(met.chunks_exact(2).map(|pair| [pair[0], pair[1]]));
}

/// Where the edge between two points on either side of the plane meets it. The same edge walked
/// the other way gives the same bits.
fn crossing(a: &Vec3, b: &Vec3, chainage_m: f64) -> Vec2 {
    let (near, far) = if a.y < b.y { (a, b) } else { (b, a) };
    // Near lies before the plane, far on or beyond it.
    if far.y <= chainage_m {
        return Vec2::new(far.x, far.z);
    }
    let share = (chainage_m - near.y) / (far.y - near.y);
    Vec2::new(near.x + share * (far.x - near.x), near.z + share * (far.z - near.z))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::Line;

    fn north() -> DriveFrame {
        DriveFrame::new(Line { trend_deg: 0.0, plunge_deg: 0.0 })
    }

    #[test]
    fn a_face_that_turns_inward_is_cut_in_two_pieces() {
        // A level U, open to the north: at y = 2 the cut meets its two legs alone.
        let mut mesh = Mesh::default();
        let corners: Vec<u32> = [(0, 0), (5, 0), (5, 3), (4, 3), (4, 1), (1, 1), (1, 3), (0, 3)]
            .iter()
            .map(|&(x, y)| mesh.add_vertex(Vec3::new(f64::from(x), f64::from(y), 1.0)).unwrap())
            .collect();
        mesh.add_face(&corners).unwrap();
        let mut pieces = mesh.cut(&north(), &Vec3::zeros(), 2.0);
        pieces.iter_mut().for_each(|p| p.sort_by(|a, b| a.x.total_cmp(&b.x)));
        pieces.sort_by(|a, b| a[0].x.total_cmp(&b[0].x));
        let us: Vec<[f64; 2]> = pieces.iter().map(|p| [p[0].x, p[1].x]).collect();
        assert_eq!(us, [[0.0, 1.0], [4.0, 5.0]]);
    }

    #[test]
    fn a_plane_through_vertices_meets_each_face_once_or_not() {
        // Two triangles that share an edge in the plane: the one beyond it is not met, the one
        // before it along the whole edge.
        let mut mesh = Mesh::default();
        for (x, y) in [(0.0, 1.0), (2.0, 1.0), (1.0, 0.0), (1.0, 2.0)] {
            mesh.add_vertex(Vec3::new(x, y, 0.5)).unwrap();
        }
        mesh.add_face(&[0, 1, 2]).unwrap();
        mesh.add_face(&[1, 0, 3]).unwrap();
        let pieces = mesh.cut(&north(), &Vec3::zeros(), 1.0);
        assert_eq!(pieces.len(), 1);
        let mut us = [pieces[0][0].x, pieces[0][1].x];
        us.sort_by(f64::total_cmp);
        assert_eq!(us, [0.0, 2.0]);
    }

    #[test]
    fn what_is_no_mesh_is_refused() {
        let mut mesh = Mesh::default();
        assert_eq!(mesh.add_vertex(Vec3::new(0.0, f64::NAN, 0.0)), Err(MeshError::NotFinite));
        assert_eq!(mesh.add_face(&[0, 1]), Err(MeshError::TooFewCorners { found: 2 }));
        mesh.add_vertex(Vec3::zeros()).unwrap();
        assert_eq!(mesh.add_face(&[0, 0, 1]), Err(MeshError::NoSuchVertex { vertex: 1, count: 1 }));
        assert!(mesh.bounds(&north(), &Vec3::zeros()).is_none());
    }
}
