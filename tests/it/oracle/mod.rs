//! A plain, slow evaluator for tests. It shares no code with the library and imports none of
//! it; it says what the rules say, one after the other, and never optimises.
//!
//! # Frame and units
//!
//! x east, y north, z up. The section is seen along the advance: `u` right, `v` up, origin at
//! the middle of the floor; `w` (chainage) along the advance. Vectors `[f64; 3]` named `_uvw`
//! are in that frame, `_world` ones in east, north, up. Metres, kN, kPa, degrees.
//!
//! A pyramid has a digit per joint of its triple: 0 upper side, 1 lower side.
//!
//! Theory: Goodman & Shi (1985), *Block Theory and its Application to Rock Engineering*;
//! Warburton (1981).
#![allow(clippy::unwrap_used, clippy::expect_used)] // a helper of tests
#![allow(clippy::needless_range_loop)] // an index names a plane in several arrays at once

pub mod bolts;
pub mod frontier;
pub mod programme;
pub mod rules;
pub mod search;
pub mod section;
pub mod shape;
pub mod water;

pub use bolts::{Collar, Evaluation, Mode, Serving, dense_least, evaluate_wedge, fs_at, lay_out};
pub use frontier::{Frontier, Seat};
pub use search::{Caps, Effort, dense_largest, dense_largest_in};
pub use section::{arched, circular, flat};
pub use shape::{Wedge, largest_apex, wedge_at};
pub use water::Water;

/// A set of joints.
#[derive(Clone, Debug)]
pub struct Joint {
    pub dip_deg: f64,
    pub dip_direction_deg: f64,
    pub friction_deg: f64,
    pub cohesion_kpa: f64,
}

/// What holds a bolt in the rock.
#[derive(Clone, Debug)]
pub enum Hold {
    /// Resin, cable and friction bolts: bond along the whole hole.
    Bond { bond_kn_per_m: f64 },
    /// An anchor at the far end.
    Anchor { anchor_kn: f64, anchor_length_m: f64 },
}

#[derive(Clone, Debug)]
pub struct Bolt {
    pub steel_kn: f64,
    pub plate_kn: f64,
    pub hold: Hold,
}

#[derive(Clone, Debug)]
pub enum Direction {
    Normal,
    Vertical,
    Fan { u_m: f64, v_m: f64 },
}

#[derive(Clone, Debug)]
pub struct Pattern {
    /// Index into [`Input::bolts`].
    pub bolt: usize,
    pub length_m: f64,
    pub outside_hole_m: f64,
    pub ring_spacing_m: f64,
    pub spacing_m: f64,
    /// Any of `back`, `walls`, `left wall`, `right wall`.
    pub covers: Vec<String>,
    /// Section v below which no wall collar stands.
    pub lowest_collar_m: f64,
    pub stagger: bool,
    pub direction: Direction,
    /// `None`: the phase of this pattern is free. Ring k stands at offset + k * ring spacing.
    pub offset_m: Option<f64>,
}

/// Everything that a wedge and its bolts depend on.
#[derive(Clone, Debug)]
pub struct Input {
    /// Convex section, counter-clockwise, (u, v).
    pub section: Vec<[f64; 2]>,
    pub trend_deg: f64,
    pub plunge_deg: f64,
    pub unit_weight_kn_m3: f64,
    /// What shaking adds to the force on rock of unit weight: east, north, up.
    pub shaking: [f64; 3],
    /// On the joint faces; only [`rules`] counts it.
    pub water: Option<Water>,
    pub joints: Vec<Joint>,
    pub bolts: Vec<Bolt>,
    pub patterns: Vec<Pattern>,
}

/// A distance that is zero, m: far above rounding at tens of metres, far below a drill's step.
pub const ZERO_M: f64 = 1e-9;
/// Normal force over weight at or below which a plane is not in contact.
pub const NO_CONTACT: f64 = 1e-9;

pub fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

pub fn sub(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

/// `a + k * b`.
pub fn along(a: [f64; 3], k: f64, b: [f64; 3]) -> [f64; 3] {
    [a[0] + k * b[0], a[1] + k * b[1], a[2] + k * b[2]]
}

pub fn length(a: [f64; 3]) -> f64 {
    dot(a, a).sqrt()
}

pub fn unit(a: [f64; 3]) -> [f64; 3] {
    let l = length(a);
    [a[0] / l, a[1] / l, a[2] / l]
}

/// Rows: right, up in the section, advance, each in east, north, up.
pub fn frame(input: &Input) -> [[f64; 3]; 3] {
    let (st, ct) = input.trend_deg.to_radians().sin_cos();
    let (sp, cp) = input.plunge_deg.to_radians().sin_cos();
    let advance = [st * cp, ct * cp, -sp];
    let right = [ct, -st, 0.0];
    [right, cross(right, advance), advance]
}

/// World vector to (u, v, w).
pub fn to_uvw(input: &Input, x: [f64; 3]) -> [f64; 3] {
    let f = frame(input);
    [dot(f[0], x), dot(f[1], x), dot(f[2], x)]
}

/// (u, v, w) vector to east, north, up.
pub fn to_world(input: &Input, x: [f64; 3]) -> [f64; 3] {
    let f = frame(input);
    along(along(along([0.0; 3], x[0], f[0]), x[1], f[1]), x[2], f[2])
}

/// Normals of a joint pyramid's planes, pointing into the block, in (u, v, w).
pub fn inward_normals(input: &Input, sets: [usize; 3], pyramid: [u8; 3]) -> [[f64; 3]; 3] {
    std::array::from_fn(|i| {
        let j = &input.joints[sets[i]];
        let (sd, cd) = j.dip_deg.to_radians().sin_cos();
        let (sa, ca) = j.dip_direction_deg.to_radians().sin_cos();
        let n = to_uvw(input, [sd * sa, sd * ca, cd]);
        if pyramid[i] == 0 { n } else { [-n[0], -n[1], -n[2]] }
    })
}

/// Unit edges of the pyramid; edge i lies on the two planes other than i.
pub fn edges(m: [[f64; 3]; 3]) -> [[f64; 3]; 3] {
    std::array::from_fn(|i| {
        let e = unit(cross(m[(i + 1) % 3], m[(i + 2) % 3]));
        if dot(e, m[i]) > 0.0 { e } else { [-e[0], -e[1], -e[2]] }
    })
}
