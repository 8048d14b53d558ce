//! The wedge over an apex: every facet of the drive clipped by the pyramid's three planes.

use super::section::{distance, facet, first_hit, height};
use super::{Input, ZERO_M, along, cross, dot, edges, inward_normals, length, sub};

/// A wedge. Areas, traces and joint faces are in the order of the triple.
#[derive(Clone, Debug)]
pub struct Wedge {
    /// Do all three edges daylight? Everything else is zero where they do not.
    pub finite: bool,
    pub volume_m3: f64,
    pub opening_area_m2: f64,
    pub joint_areas_m2: [f64; 3],
    pub traces_m: [f64; 3],
    /// Shortest distance of the apex to the opening.
    pub depth_m: f64,
    /// Axial extent, apex included.
    pub length_m: f64,
    /// Axial reach relative to the apex (least, greatest).
    pub reach_m: [f64; 2],
    /// Sum of the outward area vectors of all faces, (u, v, w): zero on a closed surface.
    pub area_sum_m2: [f64; 3],
    /// Its opening face, a polygon for each facet that it shows on, relative to the drive's axis across
    /// and to the apex along it.
    pub faces: Vec<Face>,
}

/// The part of a wedge's opening face on one facet.
#[derive(Clone, Debug)]
pub struct Face {
    pub facet: usize,
    pub at: Vec<[f64; 3]>,
    /// Which joint (of the triple) made the side from corner k to k + 1; `None` for the facet's own edges.
    pub tag: Vec<Option<usize>>,
}

const NOTHING: Wedge = Wedge {
    finite: false,
    volume_m3: 0.0,
    opening_area_m2: 0.0,
    joint_areas_m2: [0.0; 3],
    traces_m: [0.0; 3],
    depth_m: 0.0,
    length_m: 0.0,
    reach_m: [0.0; 2],
    area_sum_m2: [0.0; 3],
    faces: Vec::new(),
};

/// A polygon in space; `tag[k]` says which joint made the side from vertex k to k + 1.
struct Polygon {
    at: Vec<[f64; 3]>,
    tag: Vec<Option<usize>>,
}

/// Part of the polygon with m.(x - apex) >= 0; the new side gets the joint's tag.
fn clip(p: &Polygon, m: [f64; 3], apex: [f64; 3], joint: usize) -> Polygon {
    let mut out = Polygon { at: vec![], tag: vec![] };
    let n = p.at.len();
    for k in 0..n {
        let (a, b) = (p.at[k], p.at[(k + 1) % n]);
        let (ha, hb) = (dot(m, sub(a, apex)), dot(m, sub(b, apex)));
        if ha >= 0.0 {
            out.at.push(a);
            out.tag.push(p.tag[k]);
        }
        if (ha >= 0.0) != (hb >= 0.0) {
            out.at.push(along(a, ha / (ha - hb), sub(b, a)));
            // leaving: the cut starts here; entering: the rest of the old side
            out.tag.push(if ha >= 0.0 { Some(joint) } else { p.tag[k] });
        }
    }
    out
}

/// The wedge over an apex in the section plane.
pub fn wedge_at(input: &Input, sets: [usize; 3], pyramid: [u8; 3], apex_uv: [f64; 2]) -> Wedge {
    let section = &input.section;
    let m = inward_normals(input, sets, pyramid);
    let apex = [apex_uv[0], apex_uv[1], 0.0];
    // the triangle over the three hits lies in the drive, so the wedge reaches no farther
    let mut far = 1.0_f64;
    for e in edges(m) {
        match first_hit(section, apex_uv, [e[0], e[1]]) {
            Some(t) => far = far.max((t * e[2]).abs() + 1.0),
            None => return NOTHING,
        }
    }
    let mut w = Wedge { finite: true, depth_m: distance(section, apex_uv), ..NOTHING };
    let mut seen_any = false;
    for j in 0..section.len() {
        let h = height(section, j, apex_uv);
        if h <= 1e-12 {
            continue;
        }
        seen_any = true;
        let (a, b) = facet(section, j);
        // corners so that the polygon's area vector points out of the wedge, into the drive
        let strip = vec![[a[0], a[1], -far], [a[0], a[1], far], [b[0], b[1], far], [b[0], b[1], -far]];
        let mut p = Polygon { at: strip, tag: vec![None; 4] };
        for i in 0..3 {
            p = clip(&p, m[i], apex, i);
        }
        let n = p.at.len();
        let mut area = [0.0; 3];
        for k in 0..n {
            let (x, y) = (p.at[k], p.at[(k + 1) % n]);
            w.reach_m = [w.reach_m[0].min(x[2]), w.reach_m[1].max(x[2])];
            area = along(area, 0.5, cross(sub(x, p.at[0]), sub(y, p.at[0])));
            if let Some(i) = p.tag[k] {
                let side = cross(sub(y, apex), sub(x, apex));
                w.traces_m[i] += length(sub(y, x));
                w.joint_areas_m2[i] += 0.5 * length(side);
                w.area_sum_m2 = along(w.area_sum_m2, 0.5, side);
            }
        }
        w.area_sum_m2 = along(w.area_sum_m2, 1.0, area);
        w.opening_area_m2 += length(area);
        w.volume_m3 += length(area) * h / 3.0;
        if p.at.len() > 2 {
            w.faces.push(Face { facet: j, at: p.at, tag: p.tag });
        }
    }
    if !seen_any {
        return Wedge { finite: true, ..NOTHING };
    }
    w.length_m = w.reach_m[1] - w.reach_m[0];
    w
}

/// Apex of the largest wedge without caps and the two tangent vertices of the section; `None`
/// where the pyramid holds the axis or both tangents meet at one corner.
pub fn largest_apex(input: &Input, sets: [usize; 3], pyramid: [u8; 3]) -> Option<([f64; 2], [[f64; 2]; 2])> {
    let m = inward_normals(input, sets, pyramid);
    if m.iter().all(|x| x[2] > 0.0) || m.iter().all(|x| x[2] < 0.0) {
        return None;
    }
    let e = edges(m);
    let turn = |a: [f64; 3], b: [f64; 3]| a[0] * b[1] - a[1] * b[0];
    // right is the edge from which both others lie counter-clockwise, left the opposite
    let right = (0..3).find(|&i| (0..3).all(|k| k == i || turn(e[i], e[k]) >= 0.0))?;
    let left = (0..3).find(|&i| i != right && (0..3).all(|k| k == i || turn(e[i], e[k]) <= 0.0))?;
    let touch = |d: [f64; 3], side: f64| {
        let off = |p: &[f64; 2]| side * (d[0] * p[1] - d[1] * p[0]);
        let least = input.section.iter().map(off).fold(f64::INFINITY, f64::min);
        let step = |p: &[f64; 2]| d[0] * p[0] + d[1] * p[1];
        // of vertices on one tangent, the first that the edge meets
        input
            .section
            .iter()
            .copied()
            .filter(|p| off(p) - least < 1e-12)
            .min_by(|a, b| step(a).total_cmp(&step(b)))
    };
    let (p, q) = (touch(e[right], 1.0)?, touch(e[left], -1.0)?);
    if (p[0] - q[0]).hypot(p[1] - q[1]) < ZERO_M {
        return None;
    }
    // p + t * e_right on the line through q along e_left
    let t = turn([q[0] - p[0], q[1] - p[1], 0.0], e[left]) / turn(e[right], e[left]);
    Some(([p[0] + t * e[right][0], p[1] + t * e[right][1]], [p, q]))
}
