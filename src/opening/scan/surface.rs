//! A scanned mesh as a surface that can be asked: what lies near a plane, what a ray meets, how far a
//! point is from it, and whether it is closed. The library of meshes (parry) stays behind this module;
//! its vectors are turned into the crate's here and nowhere else.
//!
//! # Why the cut is not the library's
//!
//! The library cuts a `TriMesh` by a plane into a polyline
//! (`TriMesh::intersection_with_local_plane`). Held against the cut here on the same meshes, by
//! `the_librarys_cut_beside_this_one` below (`cargo test --lib librarys_cut -- --nocapture`):
//!
//! MEASURED
//!
//! So the library finds the faces near the plane, and answers rays, distances and topology; the pieces
//! of the cut and how they are joined stay in [`super::mesh`] and [`super::join`].

use parry3d_f64::bounding_volume::Aabb;
use parry3d_f64::math::Vector;
use parry3d_f64::query::{PointQuery, Ray, RayCast};
use parry3d_f64::shape::{TriMesh, TriMeshFlags};

use super::Mesh;
use super::mesh::cut_face;
use crate::opening::{DriveFrame, Vec2};
use crate::orientation::Vec3;

/// A half-edge of the library that has no other half.
const NO_TWIN: u32 = u32::MAX;

/// A mesh in the local axes (u, s, v) of a drive, metres, sorted for queries.
///
/// A face of more than three corners counts as the fan of triangles from its first one. Where such a
/// face turns inward its fan covers a little more than the face: [`ScanMesh::hit`] and
/// [`ScanMesh::distance_m`] see that too, a cut does not.
pub struct ScanMesh<'m> {
    mesh: &'m Mesh,
    /// The mesh's vertices in local axes.
    local: Vec<Vec3>,
    surface: TriMesh,
    /// The face that each triangle belongs to.
    face_of: Vec<u32>,
}

/// Where a ray meets a scanned surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// The place, local (u, s, v), metres.
    pub at: Vec3,
    /// Metres from where the ray starts.
    pub distance_m: f64,
    /// Which face of the mesh, counted from 0.
    pub face: usize,
}

/// How the faces of a mesh hang together. Vertices at the same place to the last bit are one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Topology {
    /// Neighbours are turned one way, and no edge has more than two faces.
    Even {
        /// Edges with a face on one side alone; 0 for a closed surface.
        open_edges: usize,
        /// Pieces that share no edge.
        pieces: usize,
    },
    /// Two faces run along one edge in the same sense: they are turned different ways, or the edge
    /// has more than two faces, or a face stands twice. The first pair that was found.
    Crooked {
        /// Faces of the mesh, counted from 0.
        faces: [usize; 2],
    },
    /// A face that touches itself: two of its corners are one.
    Degenerate {
        /// Which, counted from 0.
        face: usize,
    },
}

impl<'m> ScanMesh<'m> {
    /// The surface of a mesh, in the axes of a drive whose mid-floor at chainage 0 is `origin` (east,
    /// north, up; metres). `None` where there is no face.
    #[must_use]
    pub fn of(mesh: &'m Mesh, frame: &DriveFrame, origin: &Vec3) -> Option<Self> {
        let local: Vec<Vec3> = mesh.vertices().iter().map(|v| frame.to_local(&(v - origin))).collect();
        let mut triangles = Vec::new();
        let mut face_of = Vec::new();
        for (index, face) in (0u32..).zip(mesh.faces()) {
            for pair in face[1..].windows(2) {
                triangles.push([face[0], pair[0], pair[1]]);
                face_of.push(index);
            }
        }
        let corners = local.iter().map(|&v| Vector::from(v)).collect();
        let surface = TriMesh::new(corners, triangles).ok()?;
        Some(Self { mesh, local, surface, face_of })
    }

    /// Lower and upper corner of its faces, local (u, s, v), metres.
    #[must_use]
    pub fn bounds(&self) -> (Vec3, Vec3) {
        let bounds = self.surface.local_aabb();
        (bounds.mins.into(), bounds.maxs.into())
    }

    /// Faces that come near the plane square to the drive at `chainage_m`: all that meet it, in the
    /// order of the mesh.
    fn faces_near(&self, chainage_m: f64) -> Vec<usize> {
        let mut slab: Aabb = self.surface.local_aabb();
        (slab.mins.y, slab.maxs.y) = (chainage_m, chainage_m);
        let near = self.surface.bvh().intersect_aabb(&slab);
        let mut faces: Vec<usize> = near.map(|triangle| self.face_of[triangle as usize] as usize).collect();
        faces.sort_unstable();
        faces.dedup();
        faces
    }

    /// As [`Mesh::cut`], without a walk over faces that lie elsewhere.
    #[must_use]
    pub fn cut(&self, chainage_m: f64) -> Vec<[Vec2; 2]> {
        let mut pieces = Vec::new();
        let mut corners: Vec<Vec3> = Vec::new();
        for face in self.faces_near(chainage_m) {
            corners.clear();
            corners.extend(self.mesh.face(face).iter().map(|&c| self.local[c as usize]));
            cut_face(&corners, chainage_m, &mut pieces);
        }
        pieces
    }

    /// Where a ray from a place first meets the surface, up to `farthest_m` away; either side of a
    /// face stops it. Place and direction local (u, s, v); the direction need not be a unit.
    #[must_use]
    pub fn hit(&self, from: &Vec3, direction: &Vec3, farthest_m: f64) -> Option<Hit> {
        let along = direction.try_normalize(0.0)?;
        let ray = Ray::new(Vector::from(*from), Vector::from(along));
        let met = self.surface.cast_local_ray_and_get_normal(&ray, farthest_m, false)?;
        let distance_m = met.time_of_impact;
        // The library counts the back of a triangle as a further one of its own.
        let triangle = met.subshape as usize % self.face_of.len();
        Some(Hit { at: from + along * distance_m, distance_m, face: self.face_of[triangle] as usize })
    }

    /// How far a place, local (u, s, v), is from the nearest point of the surface, metres; on either
    /// side.
    #[must_use]
    pub fn distance_m(&self, from: &Vec3) -> f64 {
        let nearest: Vec3 = self.surface.project_local_point(Vector::from(*from), false).point.into();
        (nearest - from).norm()
    }

    /// Whether neighbours are turned one way and the surface is closed. A mesh that is not can be cut
    /// all the same: neither holes nor faces turned over are an error of a scan.
    #[must_use]
    pub fn topology(&self) -> Topology {
        use parry3d_f64::shape::TopologyError;
        let mut surface = self.surface.clone();
        let flags = TriMeshFlags::MERGE_DUPLICATE_VERTICES
            | TriMeshFlags::HALF_EDGE_TOPOLOGY
            | TriMeshFlags::CONNECTED_COMPONENTS;
        let face = |triangle: u32| self.face_of[triangle as usize] as usize;
        match surface.set_flags(flags) {
            Err(TopologyError::BadTriangle(triangle)) => Topology::Degenerate { face: face(triangle) },
            Err(TopologyError::BadAdjacentTrianglesOrientation { triangle1, triangle2, .. }) => {
                Topology::Crooked { faces: [face(triangle1), face(triangle2)] }
            }
            Ok(()) => Topology::Even {
                open_edges: surface
                    .topology()
                    .map_or(0, |t| t.half_edges.iter().filter(|edge| edge.twin == NO_TWIN).count()),
                pieces: surface.connected_components().map_or(0, |c| c.num_connected_components()),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numeric::signed_area;
    use crate::opening::scan::join::join;
    use crate::orientation::Line;
    use parry3d_f64::query::IntersectResult;

    /// The tube of `tests/reference/scan` and its drive.
    fn tube() -> (Mesh, DriveFrame, Vec3) {
        let text = include_str!("../../../tests/reference/scan/tube.obj");
        let mut mesh = Mesh::default();
        for line in text.lines() {
            let words: Vec<&str> = line.split(' ').collect();
            match words[0] {
                "v" => {
                    mesh.add_vertex(Vec3::from_fn(|i, _| words[i + 1].parse().unwrap())).unwrap();
                }
                "f" => mesh.add_face(&[1, 2, 3].map(|i| words[i].parse::<u32>().unwrap() - 1)).unwrap(),
                _ => {}
            }
        }
        let frame = DriveFrame::new(Line { trend_deg: 127.3, plunge_deg: 6.5 });
        (mesh, frame, Vec3::new(4310.25, 7785.5, -412.75))
    }

    /// Chainage and area of the ten reference cuts.
    fn reference() -> Vec<[f64; 2]> {
        let rows = include_str!("../../../tests/reference/scan/cuts.csv").lines().skip(1);
        rows.map(|row| {
            let cells: Vec<f64> = row.split(',').map(|cell| cell.parse().unwrap()).collect();
            [cells[0], cells[2]]
        })
        .collect()
    }

    /// The mesh with other faces; each triangle with vertices of its own where `loose`, as an STL has
    /// them.
    fn changed(mesh: &Mesh, loose: bool, keep: impl Fn(usize) -> bool, turn: impl Fn(usize) -> bool) -> Mesh {
        let mut new = Mesh::default();
        if !loose {
            for vertex in mesh.vertices() {
                new.add_vertex(*vertex).unwrap();
            }
        }
        for (i, face) in mesh.faces().enumerate().filter(|(i, _)| keep(*i)) {
            let mut corners = face.to_vec();
            if loose {
                for corner in &mut corners {
                    *corner = new.add_vertex(mesh.vertices()[*corner as usize]).unwrap();
                }
            }
            if turn(i) {
                corners.reverse();
            }
            new.add_face(&corners).unwrap();
        }
        new
    }

    #[test]
    fn the_tree_cuts_as_a_walk_over_all_faces_does() {
        let (mesh, frame, origin) = tube();
        let surface = ScanMesh::of(&mesh, &frame, &origin).unwrap();
        assert_eq!(Some(surface.bounds()), mesh.bounds(&frame, &origin));
        let (low, high) = surface.bounds();
        let mut pieces = 0;
        // Planes through vertices too: those are where a bound that is not met exactly would show.
        let through = surface.local.iter().step_by(37).map(|v| v.y);
        for chainage_m in reference().iter().map(|r| r[0]).chain(through).chain([low.y - 1.0, high.y + 1.0]) {
            let found = surface.cut(chainage_m);
            assert_eq!(found, mesh.cut(&frame, &origin, chainage_m), "{chainage_m}");
            pieces += found.len();
            assert!(surface.faces_near(chainage_m).len() < mesh.face_count() / 4);
        }
        assert!(pieces > 1000, "{pieces}");
    }

    /// Moeller & Trumbore (1997), and distances to a triangle by its plane and its sides.
    #[test]
    fn rays_and_distances_agree_with_a_plain_loop() {
        let (mesh, frame, origin) = tube();
        let surface = ScanMesh::of(&mesh, &frame, &origin).unwrap();
        let triangles: Vec<[Vec3; 3]> =
            mesh.faces().map(|f| [0, 1, 2].map(|i| surface.local[f[i] as usize])).collect();
        let (low, high) = surface.bounds();
        let mut rng = 1u64;
        let mut random = || {
            rng = rng.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (rng >> 11) as f64 / 2f64.powi(53)
        };
        let (mut hits, mut worst) = (0, [0.0f64; 2]);
        for _ in 0..60 {
            let from = Vec3::from_fn(|i, _| low[i] + (high[i] - low[i]) * random());
            let along = Vec3::from_fn(|_, _| random() - 0.5).normalize();
            let mut first = f64::INFINITY;
            let mut nearest = f64::INFINITY;
            for [a, b, c] in &triangles {
                let (ab, ac, to) = (b - a, c - a, from - a);
                let p = along.cross(&ac);
                let det = ab.dot(&p);
                let (u, q) = (to.dot(&p) / det, to.cross(&ab));
                let (v, t) = (along.dot(&q) / det, ac.dot(&q) / det);
                if u >= 0.0 && v >= 0.0 && u + v <= 1.0 && t >= 0.0 {
                    first = first.min(t);
                }
                let n = ab.cross(&ac);
                let foot = from - n * (n.dot(&to) / n.norm_squared());
                let inside = [(a, b), (b, c), (c, a)]
                    .iter()
                    .all(|(p, q)| n.dot(&(*q - *p).cross(&(foot - *p))) >= 0.0);
                if inside {
                    nearest = nearest.min((foot - from).norm());
                }
                for (p, q) in [(a, b), (b, c), (c, a)] {
                    let step = ((from - p).dot(&(q - p)) / (q - p).norm_squared()).clamp(0.0, 1.0);
                    nearest = nearest.min((p + (q - p) * step - from).norm());
                }
            }
            let found = surface.hit(&from, &along, 1e3);
            assert_eq!(found.is_some(), first.is_finite(), "{from:?} {along:?}");
            if let Some(hit) = found {
                worst[0] = worst[0].max((hit.distance_m - first).abs());
                let [a, b, c] = triangles[hit.face];
                let n = (b - a).cross(&(c - a)).normalize();
                assert!(n.dot(&(hit.at - a)).abs() < 1e-9, "the place lies on the face that is named");
                hits += 1;
            }
            worst[1] = worst[1].max((surface.distance_m(&from) - nearest).abs());
        }
        println!("{hits} hits, rays {:.1e} m, distances {:.1e} m", worst[0], worst[1]);
        assert!(hits > 30 && worst[0] < 1e-9 && worst[1] < 1e-9, "{hits} {worst:?}");
    }

    #[test]
    fn a_ray_ends_at_its_limit() {
        let (mesh, frame, origin) = tube();
        let surface = ScanMesh::of(&mesh, &frame, &origin).unwrap();
        let (low, high) = surface.bounds();
        let inside = Vec3::new(0.0, 0.5 * (low.y + high.y), 1.5);
        let up = surface.hit(&inside, &Vec3::z(), 100.0).unwrap();
        assert!(surface.hit(&inside, &(2.0 * Vec3::z()), up.distance_m - 1e-6).is_none());
        assert!(surface.hit(&inside, &Vec3::zeros(), 100.0).is_none());
        assert!(surface.distance_m(&up.at) < 1e-9);
    }

    #[test]
    fn topology_tells_holes_and_turned_faces() {
        let (mesh, frame, origin) = tube();
        let of = |mesh: &Mesh| ScanMesh::of(mesh, &frame, &origin).unwrap().topology();
        let Topology::Even { open_edges, pieces: 1 } = of(&mesh) else { panic!("{:?}", of(&mesh)) };
        // A triangle that is taken out of the inside leaves its three edges open.
        let middle = mesh.face_count() / 2;
        let hole = changed(&mesh, false, |i| i != middle, |_| false);
        assert_eq!(of(&hole), Topology::Even { open_edges: open_edges + 3, pieces: 1 });
        // The same with vertices of their own.
        let loose = changed(&mesh, true, |i| i != middle, |_| false);
        assert_eq!(of(&loose), Topology::Even { open_edges: open_edges + 3, pieces: 1 });
        let turned = changed(&mesh, false, |_| true, |i| i == middle);
        let Topology::Crooked { faces } = of(&turned) else { panic!("{:?}", of(&turned)) };
        assert!(faces.contains(&middle), "{faces:?}");
        let mut pinched = mesh.clone();
        pinched.add_face(&[0, 1, 0]).unwrap();
        assert_eq!(of(&pinched), Topology::Degenerate { face: mesh.face_count() });
        assert!(ScanMesh::of(&Mesh::default(), &frame, &origin).is_none());
    }

    /// The library's polyline as pieces of a cut; `Err` where it panicked or found none.
    fn librarys_cut(surface: &ScanMesh, chainage_m: f64) -> Result<Vec<[Vec2; 2]>, &'static str> {
        let mut whole = surface.surface.clone();
        // Without this, triangles with vertices of their own share no point.
        whole.set_flags(TriMeshFlags::MERGE_DUPLICATE_VERTICES).map_err(|_| "flags")?;
        let cut =
            std::panic::AssertUnwindSafe(|| whole.intersection_with_local_plane(Vector::Y, chainage_m, 0.0));
        match std::panic::catch_unwind(cut) {
            Err(_) => Err("panicked"),
            Ok(IntersectResult::Intersect(line)) => {
                Ok(line.segments().map(|s| [Vec2::new(s.a.x, s.a.z), Vec2::new(s.b.x, s.b.z)]).collect())
            }
            Ok(_) => Err("found nothing"),
        }
    }

    #[test]
    fn the_librarys_cut_beside_this_one() {
        let (mesh, frame, origin) = tube();
        let middle = mesh.face_count() / 2;
        let with_fin = {
            // A fin on an edge that has two faces already, across the planes of some cuts.
            let mut fin = mesh.clone();
            let face: Vec<u32> = mesh.faces().nth(middle).unwrap().to_vec();
            let tip = mesh.vertices()[face[0] as usize] + Vec3::new(0.0, 0.0, 0.4);
            let tip = fin.add_vertex(tip).unwrap();
            fin.add_face(&[face[0], face[1], tip]).unwrap();
            fin
        };
        let meshes = [
            ("as it is", mesh.clone()),
            ("own vertices for each face", changed(&mesh, true, |_| true, |_| false)),
            ("every third face turned over", changed(&mesh, false, |_| true, |i| i % 3 == 0)),
            ("one face in fifty missing", changed(&mesh, false, |i| i % 50 != 7, |_| false)),
            ("a fin", with_fin),
        ];
        for (name, mesh) in meshes {
            let surface = ScanMesh::of(&mesh, &frame, &origin).unwrap();
            let through = surface.local[surface.local.len() / 2].y;
            let planes = reference().into_iter().map(|r| (r[0], Some(r[1]))).chain([(through, None)]);
            let (mut lost, mut failed, mut worst) = (0i64, 0, [0.0f64; 2]);
            for (chainage_m, area_m2) in planes {
                let ours = surface.cut(chainage_m);
                match librarys_cut(&surface, chainage_m) {
                    Err(_) => failed += 1,
                    Ok(theirs) => {
                        lost += ours.len() as i64 - theirs.len() as i64;
                        if let Some(area_m2) = area_m2 {
                            for (k, pieces) in [&ours, &theirs].into_iter().enumerate() {
                                let joined = join(pieces, 0.25).unwrap();
                                let largest = joined
                                    .loops
                                    .iter()
                                    .map(|l| signed_area(&l.points).abs())
                                    .fold(0.0, f64::max);
                                worst[k] = worst[k].max((largest - area_m2).abs());
                            }
                        }
                    }
                }
            }
            println!(
                "{name}: of 11 cuts the library failed in {failed}, {lost} pieces fewer; area off by {:.1e} m² here, {:.1e} m² with the library's",
                worst[0], worst[1]
            );
        }
    }
}
