use crate::opening::{Section, Vec2, cross2};
use crate::orientation::Vec3;
use crate::wedge::{Cone, EDGE_ON_SINE};

/// An edge whose part in the section is shorter than this runs along the axis; far below any
/// compass, far above rounding.
const ALONG_AXIS: f64 = 1e-9;

/// No apex lies further off than this many sizes of the section: its edges would meet at less than
/// a ten-thousandth of a degree.
const FAR: f64 = 1e6;

/// The square that apexes are cut from for good is this many times as large as their first cut, so
/// that its own corners are none of theirs.
const REACH_ROOM: f64 = 1.1;

/// Apexes nearer than this share of the section's size are one.
const SAME_APEX: f64 = 1e-10;

/// A half-space of apexes, { a : normal · a ≤ bound }, local (u, s, v).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct HalfSpace {
    pub normal: Vec3,
    pub bound: f64,
}

/// The apexes of one pyramid whose three edges daylight in a half-prism: the intersection of the
/// half-prism swept back along each edge. It is a convex polyhedron that runs on along −axis,
/// where it is the drive's; its top is a concave surface s = top(u, v) over a polygon.
///
/// The volume is convex on it and does not fall toward the face, so the largest wedge stands at a
/// corner of the top.
#[derive(Debug, Clone)]
pub struct Reach {
    /// Corners of its top, each once, in a fixed order.
    corners: Vec<Vec3>,
    /// The half-spaces that bound it, those that bound nothing left out.
    half_spaces: Vec<HalfSpace>,
    /// How far its plan reaches from the middle of the floor, metres.
    plan_half_m: f64,
}

/// s ≤ at_origin + slope · (u, v).
#[derive(Debug, Clone, Copy)]
struct Ceiling {
    slope: Vec2,
    at_origin: f64,
}

impl Ceiling {
    fn at(&self, p: &Vec2) -> f64 {
        self.at_origin + self.slope.dot(p)
    }
}

impl Reach {
    /// The apexes of `cone` (local frame) behind and ahead of the face of a drive with this
    /// section; `None` where the cone holds +axis, so that no wedge is finite.
    #[must_use]
    pub fn of(section: &Section, cone: &Cone) -> Option<Self> {
        if cone.inward.iter().all(|m| m.y >= -ALONG_AXIS) {
            return None;
        }
        // Cut twice: corners keep the digits of the square that they were cut from.
        let rough = plan_of(section, cone, FAR * section.size_m())?;
        let plan = plan_of(section, cone, REACH_ROOM * rough.iter().map(|p| p.amax()).fold(0.0, f64::max))?;
        let mut ceilings: Vec<Ceiling> = Vec::new();
        for edge in &cone.edges {
            add_ceilings(section, &Vec2::new(edge.x, edge.z), edge.y, &mut ceilings);
        }
        let mut half_spaces = sides(&plan);
        let same = SAME_APEX * section.size_m();
        let mut corners: Vec<Vec3> = Vec::new();
        let mut part = Vec::new();
        let mut spare = Vec::new();
        for (k, ceiling) in ceilings.iter().enumerate() {
            part.clone_from(&plan);
            for (l, other) in ceilings.iter().enumerate() {
                if l != k && part.len() >= 3 {
                    let slope = other.slope - ceiling.slope;
                    let rise = other.at_origin - ceiling.at_origin;
                    clip(&mut part, &mut spare, |p| rise + slope.dot(p));
                }
            }
            if part.len() < 3 {
                continue;
            }
            half_spaces.push(HalfSpace {
                normal: Vec3::new(-ceiling.slope.x, 1.0, -ceiling.slope.y),
                bound: ceiling.at_origin,
            });
            for p in &part {
                let corner = Vec3::new(p.x, ceiling.at(p), p.y);
                if !corners.iter().any(|c| (c - corner).norm() <= same) {
                    corners.push(corner);
                }
            }
        }
        let plan_half_m = plan.iter().map(|p| p.amax()).fold(0.0, f64::max);
        Some(Self { corners, half_spaces, plan_half_m })
    }

    /// The corners of its top; local (u, s, v), metres.
    #[must_use]
    pub fn corners(&self) -> &[Vec3] {
        &self.corners
    }

    /// By how much an apex lies outside, metres of the half-space that it breaks most; negative
    /// inside.
    #[must_use]
    pub fn outside_m(&self, apex: &Vec3) -> f64 {
        self.half_spaces
            .iter()
            .map(|h| (h.normal.dot(apex) - h.bound) / h.normal.norm())
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// The apexes this far ahead of the face, metres: the corners of a convex polygon of (u, v), none where
    /// there is no apex.
    #[must_use]
    pub fn slice(&self, ahead_m: f64) -> Vec<Vec2> {
        let half_m = REACH_ROOM * self.plan_half_m;
        let square = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
        let mut polygon: Vec<Vec2> = square.iter().map(|(u, v)| Vec2::new(*u, *v) * half_m).collect();
        let mut spare = Vec::new();
        for h in &self.half_spaces {
            if polygon.len() < 3 {
                return Vec::new();
            }
            let across = Vec2::new(h.normal.x, h.normal.z);
            clip(&mut polygon, &mut spare, |p| h.bound - h.normal.y * ahead_m - across.dot(p));
        }
        if polygon.len() < 3 { Vec::new() } else { polygon }
    }

    /// The half-spaces that bound it.
    pub(super) fn half_spaces(&self) -> &[HalfSpace] {
        &self.half_spaces
    }

    /// The part of the line `from` + τ · `along` that lies inside, as (least, greatest) τ.
    #[must_use]
    pub fn line(&self, from: &Vec3, along: &Vec3) -> Option<(f64, f64)> {
        let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
        for h in &self.half_spaces {
            let rate = h.normal.dot(along);
            let room = h.bound - h.normal.dot(from);
            if rate.abs() <= EDGE_ON_SINE {
                if room < 0.0 {
                    return None;
                }
            } else if rate > 0.0 {
                high = high.min(room / rate);
            } else {
                low = low.max(room / rate);
            }
        }
        (low < high).then_some((low, high))
    }
}

/// The apexes in the section plane from which all three edges meet the section, cut from a square
/// of twice `half_m`.
fn plan_of(section: &Section, cone: &Cone, half_m: f64) -> Option<Vec<Vec2>> {
    let square = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
    let mut plan: Vec<Vec2> = square.iter().map(|(u, v)| Vec2::new(*u, *v) * half_m).collect();
    for edge in &cone.edges {
        clip_plan(section, &Vec2::new(edge.x, edge.z), &mut plan);
    }
    (plan.len() >= 3).then_some(plan)
}

/// Keeps the part of `plan` from which the section is met along `ray`.
fn clip_plan(section: &Section, ray: &Vec2, plan: &mut Vec<Vec2>) {
    let mut spare = Vec::new();
    let along_axis = ray.norm() <= ALONG_AXIS;
    for facet in section.facets() {
        if along_axis || facet.normal.dot(ray) >= 0.0 {
            clip(plan, &mut spare, |p| facet.normal.dot(&(facet.start - p)));
        }
    }
    if along_axis {
        return;
    }
    // Both tangents along the ray.
    for side in [1.0, -1.0] {
        let across = Vec2::new(-ray.y, ray.x) * (side / ray.norm());
        let most = section.vertices().iter().map(|p| across.dot(p)).fold(f64::NEG_INFINITY, f64::max);
        clip(plan, &mut spare, |p| most - across.dot(p));
    }
}

/// How far ahead an apex may lie for one edge, whose part in the section is `ray` and along the
/// axis `axial`, to reach the opened drive.
fn add_ceilings(section: &Section, ray: &Vec2, axial: f64, ceilings: &mut Vec<Ceiling>) {
    if axial >= 0.0 {
        // It must have entered the section before it passes the face.
        ceilings.push(Ceiling { slope: Vec2::zeros(), at_origin: 0.0 });
    }
    for facet in section.facets() {
        let rate = facet.normal.dot(ray);
        // Entering: −axial × the distance to the facet; leaving: the same with the other sign.
        let counts = if axial >= 0.0 { rate < -EDGE_ON_SINE } else { rate > EDGE_ON_SINE };
        if counts && axial != 0.0 {
            let slope = facet.normal * (axial / rate);
            ceilings.push(Ceiling { slope, at_origin: -slope.dot(&facet.start) });
        }
    }
}

/// The half-spaces beside a plan, parallel to the axis.
fn sides(plan: &[Vec2]) -> Vec<HalfSpace> {
    (0..plan.len())
        .filter_map(|i| {
            let (a, b) = (plan[i], plan[(i + 1) % plan.len()]);
            let along = (b - a).try_normalize(f64::MIN_POSITIVE)?;
            let normal = Vec3::new(along.y, 0.0, -along.x);
            Some(HalfSpace { normal, bound: normal.x * a.x + normal.z * a.y })
        })
        .collect()
}

/// Keeps the part of a convex polygon where `inside` is not negative.
fn clip(polygon: &mut Vec<Vec2>, spare: &mut Vec<Vec2>, inside: impl Fn(&Vec2) -> f64) {
    spare.clear();
    for i in 0..polygon.len() {
        let (a, b) = (polygon[i], polygon[(i + 1) % polygon.len()]);
        let (at_a, at_b) = (inside(&a), inside(&b));
        if at_a >= 0.0 {
            spare.push(a);
        }
        if (at_a > 0.0 && at_b < 0.0) || (at_a < 0.0 && at_b > 0.0) {
            spare.push(a + (b - a) * (at_a / (at_a - at_b)));
        }
    }
    std::mem::swap(polygon, spare);
    debug_assert!(
        polygon.len() < 3 || polygon.windows(3).all(|w| cross2(&(w[1] - w[0]), &(w[2] - w[1])) > -1e-3)
    );
}
