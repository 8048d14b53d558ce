//! The largest wedge of each pyramid of a draw where no cap, structure or hung load asks for more: modes from
//! signs before any shape is made, tangents from a table of the section, volumes in the section's plane.
//!
//! The eight pyramids of three planes share three lines, nine dot products and three cross products; a side
//! more or less is a sign. No formula differs from those of the rooms `wedge` and `stability`, and a test holds
//! every wedge against a check.

use crate::case::Case;
use crate::opening::Opening;
use crate::orientation::Vec3;
use crate::stability::{Mode, NO_CONTACT_SHARE};
use crate::study::LEAST_VOLUME_M3;
use crate::wedge::AXIS_TOLERANCE;

/// An edge of a pyramid whose sine to a facet is below this runs along it, as the chain of a wedge has it.
const EDGE_ON_SINE: f64 = crate::wedge::EDGE_ON_SINE;

/// Three planes whose lines span at least this (the volume of their unit edges) have no pyramid that is thin:
/// a solid angle is at least half of it, far above what counts as thin.
const NOT_THIN: f64 = 1e-4;

/// What a section is to every draw.
#[derive(Debug, Clone)]
pub(super) struct Tables {
    /// Facets, counter-clockwise.
    facets: usize,
    /// Unit tangents of the facets, twice round.
    tangents: Vec<[f64; 2]>,
    /// The same as seen from the first one, once round, and which half of a turn they lie in.
    turned: Vec<([f64; 2], bool)>,
    /// By part of a turn from the first tangent ([`share_of_turn`]) how many facets lie in earlier parts: none of them is
    /// beyond a direction of that part.
    from_share: Vec<usize>,
    /// Vertices twice round and once more the first.
    vertices: Vec<[f64; 2]>,
    /// Lengths of facets, twice round, metres.
    lengths_m: Vec<f64>,
    /// Metres along the perimeter of each vertex, twice round.
    round_m: Vec<f64>,
    /// Surface of each facet, twice round, by its place.
    surfaces: Vec<usize>,
    /// The force on unit weight, local (u, s, v).
    pull: Vec3,
}

/// A wedge as far as forces and counts need it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Largest {
    /// Which of the eight pyramids, in the order of [`crate::wedge::JointPyramid::all`].
    pub pyramid: usize,
    pub mode: Mode,
    /// Unit vector of the movement.
    pub direction: Vec3,
    /// Of unit weight.
    pub driving: f64,
    pub normal: [f64; 3],
    pub volume_m3: f64,
    /// Of the joint faces; zero where none was asked for.
    pub areas_m2: [f64; 3],
    /// On each surface, in the order of [`crate::opening::Surface::ALL`].
    pub on_m2: [f64; 5],
    pub length_m: f64,
    /// In the section.
    pub apex: [f64; 2],
    /// Where its face begins, metres along the perimeter, and how long it is there.
    pub face_m: [f64; 2],
}

impl Largest {
    /// For each plane 1 where the wedge is on its upper side, −1 where it is on its lower one.
    pub fn sides(&self) -> [f64; 3] {
        sides(self.pyramid)
    }
}

/// The sides of a pyramid by its place in [`crate::wedge::JointPyramid::all`].
fn sides(pyramid: usize) -> [f64; 3] {
    let side = |i: usize| if pyramid >> (2 - i) & 1 == 1 { -1.0 } else { 1.0 };
    [side(0), side(1), side(2)]
}

type P2 = [f64; 2];

fn cross(a: P2, b: P2) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

fn minus(a: P2, b: P2) -> P2 {
    [a[0] - b[0], a[1] - b[1]]
}

fn times(a: P2, by: f64) -> P2 {
    [a[0] * by, a[1] * by]
}

/// A direction with the first axis turned into another one of unit length.
fn as_seen_from(first: P2, d: P2) -> P2 {
    [first[0] * d[0] + first[1] * d[1], cross(first, d)]
}

/// Half of a turn that a direction lies in, counter-clockwise from the one to the right.
fn half(d: P2) -> bool {
    d[1] < 0.0 || (d[1] == 0.0 && d[0] < 0.0)
}

/// Parts that a turn is parted in to look up facets: so many that few have more than one.
const SHARES: usize = 256;

/// Which part of a turn a direction lies in, counter-clockwise from the one to the right. Parts are as wide as they
/// are on a square that stands on its corner, whose sides a direction cuts without a sine.
fn share_of_turn(d: P2) -> usize {
    let along = d[1] / (d[0].abs() + d[1].abs());
    let quarters = if d[0] < 0.0 {
        2.0 - along
    } else if d[1] < 0.0 {
        4.0 + along
    } else {
        along
    };
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0 to 4
    let share = (quarters * (SHARES / 4) as f64) as usize;
    share.min(SHARES - 1)
}

impl Tables {
    pub fn new(opening: &Opening, pull: Vec3) -> Self {
        let facets = opening.section.facets();
        let n = facets.len();
        let tangents: Vec<P2> = facets.iter().map(|f| [f.tangent.x, f.tangent.y]).collect();
        let turned = |t: &P2| {
            let turned = as_seen_from(tangents[0], *t);
            (turned, half(turned))
        };
        let turned: Vec<(P2, bool)> = tangents.iter().map(turned).collect();
        // Facets of earlier parts are not beyond any direction of this one.
        let earlier = |share: usize| turned.iter().take_while(|(t, _)| share_of_turn(*t) < share).count();
        Self {
            facets: n,
            from_share: (0..SHARES).map(earlier).collect(),
            turned,
            tangents: tangents.repeat(2),
            vertices: opening.section.round().iter().map(|v| [v.x, v.y]).collect(),
            lengths_m: (0..=2 * n)
                .map(|i| {
                    let round_m = opening.section.round_m();
                    if i < 2 * n { round_m[i + 1] - round_m[i] } else { 0.0 }
                })
                .collect(),
            round_m: opening.section.round_m().to_vec(),
            surfaces: (0..=2 * n).map(|i| opening.surface_of(i % n).place()).collect(),
            pull,
        }
    }

    /// The first facet whose tangent is turned further than a direction; tangents turn counter-clockwise, once
    /// round from the first.
    fn first_beyond(&self, d: P2) -> usize {
        // Whether a facet comes after the direction, both counted from the first tangent.
        let own = as_seen_from(self.tangents[0], d);
        let own_half = half(own);
        let beyond = |(t, t_half): ([f64; 2], bool)| {
            if t_half == own_half { cross(own, t) > 0.0 } else { t_half }
        };
        let mut at = self.from_share[share_of_turn(own)];
        while at < self.facets && !beyond(self.turned[at]) {
            at += 1;
        }
        if at == self.facets { 0 } else { at }
    }

    /// Calls `visit` with the largest wedge of every pyramid that moves and has a litre; `false`, and nothing,
    /// where a plane nearly holds the drive's axis or two nearly share a line: there every tolerance counts.
    pub fn each_largest(
        &self,
        upward: &[Vec3; 3],
        with_areas: bool,
        visit: &mut impl FnMut(&Largest),
    ) -> bool {
        let n = upward;
        if n[0].y.abs().min(n[1].y.abs()).min(n[2].y.abs()) <= AXIS_TOLERANCE {
            return false;
        }
        // Three of everything, written out: this runs for every draw, and what is written out is inlined.
        let lines = [n[1].cross(&n[2]), n[2].cross(&n[0]), n[0].cross(&n[1])];
        let det = n[0].dot(&lines[0]);
        let norms = [lines[0].norm(), lines[1].norm(), lines[2].norm()];
        if det * det < NOT_THIN * norms[0] * norms[1] * norms[2] {
            return false;
        }
        // Edge k of a pyramid is this line, with the sign of its side of plane k.
        let side = det.signum();
        let unit = [lines[0] * (side / norms[0]), lines[1] * (side / norms[1]), lines[2] * (side / norms[2])];
        let rays = [[unit[0].x, unit[0].z], [unit[1].x, unit[1].z], [unit[2].x, unit[2].z]];
        let seen = Seen { tables: self, upward: n, unit: &unit, rays: &rays, det, norms: &norms };
        let moves = Moves::of(n, &unit, &self.pull);
        // Where lines of either sense touch the section, once for all pyramids.
        let both = |r: P2| [self.first_beyond(r), self.first_beyond([-r[0], -r[1]])];
        let beyond = [both(rays[0]), both(rays[1]), both(rays[2])];
        for pyramid in 0..8usize {
            let sides = sides(pyramid);
            let ahead = [sides[0] * n[0].y > 0.0, sides[1] * n[1].y > 0.0, sides[2] * n[2].y > 0.0];
            // The plane that lies on its own on one side of the axis; none where all lie on one.
            let lone = match ahead {
                [false, false, false] | [true, true, true] => continue,
                [true, false, false] | [false, true, true] => 0,
                [false, true, false] | [true, false, true] => 1,
                [false, false, true] | [true, true, false] => 2,
            };
            let Some((mode, driving, normal)) = moves.under(sides) else { continue };
            if let Some(mut largest) = seen.largest(sides, lone, &beyond, with_areas) {
                largest.pyramid = pyramid;
                largest.mode = mode;
                largest.direction = seen.direction(mode, sides, driving);
                largest.driving = driving;
                largest.normal = normal;
                visit(&largest);
            }
        }
        true
    }
}

/// What the sides of pyramids change by signs alone.
struct Moves {
    size: f64,
    /// The pull on each normal.
    on: [f64; 3],
    /// Cosines between normals: of the two that are not k.
    cosines: [f64; 3],
    /// The pull along each line.
    along: [f64; 3],
}

impl Moves {
    fn of(n: &[Vec3; 3], unit: &[Vec3; 3], pull: &Vec3) -> Self {
        Self {
            size: pull.norm(),
            on: [n[0].dot(pull), n[1].dot(pull), n[2].dot(pull)],
            cosines: [n[1].dot(&n[2]), n[2].dot(&n[0]), n[0].dot(&n[1])],
            along: [unit[0].dot(pull), unit[1].dot(pull), unit[2].dot(pull)],
        }
    }

    /// How a block on these sides moves, and the force along the movement and on the joints; `None` where it
    /// does not.
    fn under(&self, sides: [f64; 3]) -> Option<(Mode, f64, [f64; 3])> {
        let tolerance = NO_CONTACT_SHARE * self.size;
        let away = [sides[0] * self.on[0], sides[1] * self.on[1], sides[2] * self.on[2]];
        if away[0] >= -tolerance && away[1] >= -tolerance && away[2] >= -tolerance {
            return Some((Mode::Falling, self.size, [0.0; 3]));
        }
        for i in 0..3 {
            if away[i] >= -tolerance {
                continue;
            }
            let (j, k) = ((i + 1) % 3, (i + 2) % 3);
            // What is left of the pull along plane i, on the two others.
            let on_j = sides[j] * (self.on[j] - self.on[i] * self.cosines[k]);
            let on_k = sides[k] * (self.on[k] - self.on[i] * self.cosines[j]);
            let driving = (self.size * self.size - self.on[i] * self.on[i]).max(0.0).sqrt();
            if driving > tolerance && on_j >= -tolerance && on_k >= -tolerance {
                let mut normal = [0.0; 3];
                normal[i] = -away[i];
                return Some((Mode::SlidingOnOne(i), driving, normal));
            }
        }
        for k in 0..3 {
            let (i, j) = match k {
                0 => (1, 2),
                1 => (0, 2),
                _ => (0, 1),
            };
            let driving = sides[k] * self.along[k];
            let cosine = self.cosines[k];
            let whole = 1.0 - cosine * cosine;
            let on_i = -sides[i] * (self.on[i] - cosine * self.on[j]) / whole;
            let on_j = -sides[j] * (self.on[j] - cosine * self.on[i]) / whole;
            if driving > tolerance && on_i > tolerance && on_j > tolerance {
                let mut normal = [0.0; 3];
                normal[i] = on_i;
                normal[j] = on_j;
                return Some((Mode::SlidingOnTwo(i, j), driving, normal));
            }
        }
        None
    }
}

/// Three planes seen along the drive.
struct Seen<'a> {
    tables: &'a Tables,
    upward: &'a [Vec3; 3],
    unit: &'a [Vec3; 3],
    rays: &'a [P2; 3],
    det: f64,
    norms: &'a [f64; 3],
}

impl Seen<'_> {
    /// Where a block on these sides goes.
    fn direction(&self, mode: Mode, sides: [f64; 3], driving: f64) -> Vec3 {
        let pull = &self.tables.pull;
        match mode {
            Mode::NoMotion => Vec3::zeros(),
            Mode::Falling => pull / driving,
            Mode::SlidingOnOne(i) => (pull - self.upward[i] * self.upward[i].dot(pull)) / driving,
            Mode::SlidingOnTwo(i, j) => self.unit[3 - i - j] * sides[3 - i - j],
        }
    }

    /// The largest wedge on these sides whose middle edge leaves plane `lone`; `None` below a litre.
    fn largest(
        &self,
        sides: [f64; 3],
        lone: usize,
        beyond: &[[usize; 2]; 3],
        with_areas: bool,
    ) -> Option<Largest> {
        let tables = self.tables;
        let ray = |i: usize| times(self.rays[i], sides[i]);
        let (a, b) = ((lone + 1) % 3, (lone + 2) % 3);
        let (first, last) = if cross(ray(a), ray(b)) < 0.0 { (a, b) } else { (b, a) };
        let (start, middle, end) = (ray(first), ray(lone), ray(last));
        // Against the start ray for the first facet that faces it, along the end ray for the last.
        let along = |i: usize| usize::from(sides[i] < 0.0);
        let mut from = beyond[first][1 - along(first)];
        let mut to = beyond[last][along(last)];
        if to < from {
            to += tables.facets;
        }
        // Facets that a ray runs along are none of it.
        let norm = |r: P2| (r[0] * r[0] + r[1] * r[1]).sqrt();
        let (start_hair, end_hair) = (-EDGE_ON_SINE * norm(start), -EDGE_ON_SINE * norm(end));
        let faces = |i: usize| {
            let t = tables.tangents[i];
            cross(start, t) < start_hair && cross(end, t) < end_hair
        };
        while from < to && !faces(from) {
            from += 1;
        }
        while from < to && !faces(to - 1) {
            to -= 1;
        }
        if from == to {
            return None;
        }
        let sine = cross(start, end);
        let (at_start, at_end) = (tables.vertices[from], tables.vertices[to]);
        let chord = minus(at_end, at_start);
        let start_edge = -cross(chord, end) / sine;
        let end_edge = cross(start, chord) / sine;
        let apex = minus(at_start, times(start, start_edge));
        // Where the middle ray daylights: the facet that it passes from its left to its right.
        let left = |v: P2| cross(middle, minus(v, apex));
        let (mut low, mut high) = (from, to);
        while high - low > 1 {
            let at = usize::midpoint(low, high);
            if left(tables.vertices[at]) > 0.0 {
                low = at;
            } else {
                high = at;
            }
        }
        let (p, q) = (tables.vertices[low], tables.vertices[low + 1]);
        let (before, after) = (left(p), left(q));
        let share = if before == after { 0.0 } else { (before / (before - after)).clamp(0.0, 1.0) };
        let hit = [p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share];
        let hit = minus(hit, apex);
        let ridge = self.det.abs() / self.norms[lone] / self.upward[lone].y.abs();
        let mut sums = Sums::default();
        let part = |outer: P2| times(outer, ridge / cross(outer, middle));
        let (rising, falling) = (part(start), part(end));
        let (low_length_m, part_m) = (tables.lengths_m[low], tables.lengths_m[low] * share);
        let mut at = minus(at_start, apex);
        for i in from..low {
            let next = minus(tables.vertices[i + 1], apex);
            sums.add(at, next, rising, tables.lengths_m[i], tables.surfaces[i]);
            at = next;
        }
        sums.add(at, hit, rising, part_m, tables.surfaces[low]);
        let seen_before = sums.seen;
        at = hit;
        let next = minus(q, apex);
        sums.add(at, next, falling, low_length_m - part_m, tables.surfaces[low]);
        at = next;
        for i in low + 1..to {
            let next = minus(tables.vertices[i + 1], apex);
            sums.add(at, next, falling, tables.lengths_m[i], tables.surfaces[i]);
            at = next;
        }
        let volume_m3 = -sums.volume / 6.0;
        if volume_m3 < LEAST_VOLUME_M3 {
            return None;
        }
        let middle_edge =
            (hit[0] * middle[0] + hit[1] * middle[1]) / (middle[0] * middle[0] + middle[1] * middle[1]);
        let (mut least, mut most) = (0.0f64, 0.0f64);
        for (i, edge) in [(first, start_edge), (lone, middle_edge), (last, end_edge)] {
            let s = edge * sides[i] * self.unit[i].y;
            least = least.min(s);
            most = most.max(s);
        }
        let mut areas_m2 = [0.0; 3];
        if with_areas {
            // Seen along the drive each joint face is the fan over its part of the chain.
            let parts = [(first, sums.seen - seen_before), (lone, sums.seen), (last, seen_before)];
            for (plane, seen) in parts {
                areas_m2[plane] = -0.5 * seen / self.upward[plane].y.abs();
            }
        }
        Some(Largest {
            pyramid: 0,
            mode: Mode::NoMotion,
            direction: Vec3::zeros(),
            driving: 0.0,
            normal: [0.0; 3],
            volume_m3,
            areas_m2,
            on_m2: sums.halved_on_m2(),
            length_m: most - least,
            apex,
            face_m: [
                tables.round_m[if from < tables.facets { from } else { from - tables.facets }],
                tables.round_m[to] - tables.round_m[from],
            ],
        })
    }
}

/// What is summed up over the pieces of a wedge's face.
#[derive(Default)]
struct Sums {
    /// Six times the volume, negative.
    volume: f64,
    /// Twice the area seen along the drive, negative.
    seen: f64,
    /// Twice the area of the face on each surface.
    on_m2: [f64; 5],
}

impl Sums {
    fn halved_on_m2(&self) -> [f64; 5] {
        let mut on_m2 = self.on_m2;
        for m2 in &mut on_m2 {
            *m2 *= 0.5;
        }
        on_m2
    }

    /// Adds the piece between two offsets from the apex; `outer` gives how wide the wedge is there along the drive.
    #[inline]
    fn add(&mut self, a: P2, b: P2, outer: P2, length_m: f64, surface: usize) {
        let turn = cross(a, b);
        let wide = cross(outer, a) + cross(outer, b);
        self.volume += turn * wide;
        self.seen += turn;
        self.on_m2[surface] += length_m * wide;
    }
}

/// tan φ of each joint of a case.
pub(super) fn tangents(case: &Case, into: &mut Vec<f64>) {
    into.clear();
    into.extend(case.joints.iter().map(|j| j.strength.tan_friction()));
}
