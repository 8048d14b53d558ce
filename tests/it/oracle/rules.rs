//! The judgement of one piece, said plainly: what carries it, by how much, and the worst piece that a
//! dense search with walks finds.

use super::programme::most_of_first;
use super::section::{facet, height, normal, surface};
use super::shape::Face;
use super::{
    Bolt, Caps, Collar, Frontier, Hold, Input, Mode, NO_CONTACT, Wedge, along, cross, dot, edges,
    inward_normals, lay_out, length, sub, to_uvw, unit, wedge_at,
};

/// Smaller pieces are nobody's, m³.
pub const LITRE_M3: f64 = 1e-3;
/// Room for rounding where a face ends at the edge of what covers it, m.
const EDGE_M: f64 = 1e-9;

/// Where a force acts, from the apex, and the force, kN.
type Force = ([f64; 3], [f64; 3]);

/// What hangs over a surface.
#[derive(Clone, Debug)]
pub enum Hangs {
    /// Mesh or straps.
    Bay {
        kn: f64,
    },
    Shotcrete {
        thickness_m: f64,
        shear_kpa: f64,
        adhesion_kpa: f64,
        width_m: f64,
    },
}

#[derive(Clone, Debug)]
pub struct Cover {
    pub hangs: Hangs,
    pub covers: Vec<String>,
    pub lowest_m: f64,
}

/// What is asked and what hangs, besides what an [`Input`] holds.
#[derive(Clone, Debug)]
pub struct Asked {
    pub tolerance_m: f64,
    pub covers: Vec<Cover>,
    pub fs_falling: f64,
    pub fs_sliding: f64,
    pub judged_down_to_m: f64,
    pub bar_m3: f64,
}

/// How a collar off its place is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Disc {
    /// The disc as it lies unrolled over the facets, each by itself.
    Unrolled,
    /// Towards each plane as far as on the steepest facet that the disc touches.
    Steepest,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum By {
    Joints,
    Bolts,
    Screen,
    Shotcrete,
}

#[derive(Clone, Debug)]
pub struct Measured {
    pub mode: Mode,
    pub asked_fs: f64,
    pub fs: f64,
    pub by: By,
    /// The first carrier that reaches what is asked.
    pub first: Option<By>,
}

#[derive(Clone, Debug)]
pub enum Piece {
    /// The caps, the least size, the scaling bar or the judged ground leave it out.
    Nobodys,
    /// No collar is sure to be on it, its joints do not hold it, and nothing that hangs is entered.
    Unjudged,
    Judged(Measured),
}

/// A case made ready.
pub struct Rules<'a> {
    pub input: &'a Input,
    pub asked: &'a Asked,
    collars: Vec<Vec<Collar>>,
    names: Vec<&'static str>,
}

/// One pyramid of it.
pub struct Pyramid<'a> {
    pub sets: [usize; 3],
    pub digits: [u8; 3],
    pub caps: Caps,
    pub frontier: Frontier<'a>,
}

impl<'a> Rules<'a> {
    pub fn new(input: &'a Input, asked: &'a Asked) -> Self {
        let collars = input.patterns.iter().map(|p| lay_out(input, p)).collect();
        let names = (0..input.section.len()).map(|j| surface(input, j)).collect();
        Self { input, asked, collars, names }
    }

    pub fn pyramid(&self, sets: [usize; 3], digits: [u8; 3], caps: Caps) -> Option<Pyramid<'a>> {
        let frontier = Frontier::new(self.input, sets, digits, caps.clone())?;
        Some(Pyramid { sets, digits, caps, frontier })
    }

    fn is_judged(&self, face: &Face) -> bool {
        let name = self.names[face.facet];
        let down_to = self.asked.judged_down_to_m;
        let top = face.at.iter().map(|x| x[1]).fold(f64::NEG_INFINITY, f64::max);
        name == "back" || name.ends_with("wall") && (down_to <= 0.0 || top > down_to + EDGE_M)
    }

    fn covered(&self, cover: &Cover, face: &Face) -> bool {
        let name = self.names[face.facet];
        let wall = name.ends_with("wall");
        let named = cover.covers.iter().any(|c| c == name || wall && c == "walls");
        named && (!wall || face.at.iter().all(|x| x[1] >= cover.lowest_m - EDGE_M))
    }

    /// What carries the piece over an apex, its chainage measured from ring 0 of each pattern. A collar
    /// counts as on the face up to `room_m` beyond a plane.
    pub fn measure(
        &self,
        pyramid: &Pyramid,
        apex_uv: [f64; 2],
        at_m: &[f64],
        disc: Disc,
        room_m: f64,
    ) -> Piece {
        let wedge = wedge_at(self.input, pyramid.sets, pyramid.digits, apex_uv);
        self.measure_wedge(pyramid, &wedge, apex_uv, at_m, disc, room_m)
    }

    pub fn measure_wedge(
        &self,
        pyramid: &Pyramid,
        wedge: &Wedge,
        apex_uv: [f64; 2],
        at_m: &[f64],
        disc: Disc,
        room_m: f64,
    ) -> Piece {
        if !pyramid.caps.admit(wedge)
            || wedge.volume_m3 < LITRE_M3
            || wedge.volume_m3 <= self.asked.bar_m3
            || !wedge.faces.iter().any(|f| self.is_judged(f))
        {
            return Piece::Nobodys;
        }
        let input = self.input;
        let m = inward_normals(input, pyramid.sets, pyramid.digits);
        // Shaken rock is heavier rock that pulls another way.
        let pull = along([0.0, 0.0, -1.0], 1.0, input.shaking);
        let mut down = to_uvw(input, unit(pull));
        let mut weight = wedge.volume_m3 * input.unit_weight_kn_m3 * length(pull);
        // With water what acts is another force still: its size in the place of the weight, its way in that of down.
        let mut wet: Vec<Force> = vec![];
        if let Some(water) = &input.water {
            wet.push(([0.0; 3], down.map(|x| x * weight)));
            let mut all = wet[0].1;
            let forces = super::water::pressed(input, water, pyramid.sets, wedge, apex_uv);
            for (i, (kn, turn)) in forces.into_iter().enumerate().filter(|(_, f)| f.0 > 0.0) {
                all = along(all, kn, m[i]);
                wet.push((turn.map(|x| x / kn), m[i].map(|x| x * kn)));
            }
            weight = length(all);
            down = unit(all);
        }
        let go = motion(m, down);
        let tan = pyramid.sets.map(|s| input.joints[s].friction_deg.to_radians().tan());
        let bond = [0, 1, 2].map(|i| input.joints[pyramid.sets[i]].cohesion_kpa * wedge.joint_areas_m2[i]);
        let Some(go) = go else {
            let all = Measured {
                mode: Mode::NoMotion,
                asked_fs: 0.0,
                fs: f64::INFINITY,
                by: By::Joints,
                first: Some(By::Joints),
            };
            return Piece::Judged(all);
        };
        let falls = go.contact.is_empty();
        let asked_fs = if falls { self.asked.fs_falling } else { self.asked.fs_sliding };
        let drive = go.drive * weight;
        let bare: f64 = go.contact.iter().map(|&(i, n)| bond[i] + n * weight * tan[i]).sum::<f64>() / drive;
        let bolts = self.sure(m, apex_uv, at_m, disc, room_m);
        if bolts.is_empty() && self.asked.covers.is_empty() && bare < asked_fs {
            return Piece::Unjudged;
        }
        let mut found: Vec<(By, f64)> = vec![(By::Joints, bare)];
        if !bolts.is_empty() {
            let fs = if falls {
                self.balanced(m, wedge, apex_uv, (down, weight, &wet), &bolts)
            } else {
                sliding(m, down, weight, tan, bond, &bolts)
            };
            assert!(!fs.is_nan(), "a linear programme that does not end");
            found.push((By::Bolts, fs));
        }
        let around_m: f64 = wedge.traces_m.iter().sum();
        for cover in &self.asked.covers {
            if !wedge.faces.iter().all(|f| self.covered(cover, f)) {
                continue;
            }
            found.push(match cover.hangs {
                Hangs::Bay { kn } => (By::Screen, kn / weight),
                Hangs::Shotcrete { thickness_m, shear_kpa, adhesion_kpa, width_m } => {
                    let kn = around_m * (thickness_m * shear_kpa).min(width_m * adhesion_kpa);
                    (By::Shotcrete, bare + kn / drive)
                }
            });
        }
        let (by, fs) = found.iter().copied().fold((By::Joints, 0.0), |b, x| if x.1 > b.1 { x } else { b });
        let first = found.iter().filter(|x| x.1 >= asked_fs).map(|x| x.0).min();
        let mode = if falls { Mode::Falling } else { Mode::Sliding };
        Piece::Judged(Measured { mode, asked_fs, fs, by, first })
    }

    /// Bolts whose collar is on the face wherever it stands, with the least that each can take there:
    /// place relative to the apex, direction, kN.
    fn sure(
        &self,
        m: [[f64; 3]; 3],
        apex_uv: [f64; 2],
        at_m: &[f64],
        disc: Disc,
        room_m: f64,
    ) -> Vec<([f64; 3], [f64; 3], f64)> {
        let input = self.input;
        let mut out = vec![];
        for (which, pattern) in input.patterns.iter().enumerate() {
            for collar in &self.collars[which] {
                let d = to_uvw(input, collar.direction_world);
                let flat = [collar.u_m - apex_uv[0], collar.v_m - apex_uv[1], 0.0];
                let Some((from, to)) = inside(m, flat, room_m) else { continue };
                let rs = pattern.ring_spacing_m;
                let first = ((from + at_m[which]) / rs - 1e-6).floor() as i64;
                let last = ((to + at_m[which]) / rs + 1e-6).ceil() as i64;
                for ring in first..=last {
                    if pattern.stagger && i64::from(collar.parity) != ring.rem_euclid(2) {
                        continue;
                    }
                    let r = [flat[0], flat[1], ring as f64 * rs - at_m[which]];
                    if let Some([low, high]) = self.ranges(m, apex_uv, collar, r, disc, room_m) {
                        let into = [0, 1, 2].map(|i| -dot(m[i], d));
                        let through = |x: [f64; 3]| {
                            (0..3)
                                .filter(|&i| into[i] > 0.0)
                                .map(|i| x[i] / into[i])
                                .fold(f64::INFINITY, f64::min)
                        };
                        let hole = pattern.length_m - pattern.outside_hole_m;
                        let kn = least_kn(&input.bolts[pattern.bolt], through(low), hole - through(high));
                        out.push((r, d, kn));
                    }
                }
            }
        }
        out
    }

    /// Least and most of how far a collar stands inside each plane, wherever it stands; `None` where it may
    /// be off the face.
    fn ranges(
        &self,
        m: [[f64; 3]; 3],
        apex_uv: [f64; 2],
        collar: &Collar,
        r: [f64; 3],
        disc: Disc,
        room_m: f64,
    ) -> Option<[[f64; 3]; 2]> {
        let s = &self.input.section;
        let drawn = [0, 1, 2].map(|i| dot(m[i], r));
        let off = self.asked.tolerance_m;
        let seen = |f: usize| height(s, f, apex_uv) > 1e-12;
        if drawn.iter().any(|&x| x < -room_m) || !collar.facets.iter().any(|&f| seen(f)) {
            return None;
        }
        if off == 0.0 {
            return Some([drawn, drawn]);
        }
        let strips = strips(s, collar, off);
        let (mut low, mut high) = (drawn, drawn);
        match disc {
            Disc::Unrolled => {
                if strips.iter().any(|strip| !seen(strip.facet)) {
                    return None;
                }
                for i in 0..3 {
                    for strip in &strips {
                        low[i] = low[i].min(drawn[i] + strip.least([m[i][0], m[i][1]], m[i][2], off));
                        let back = [-m[i][0], -m[i][1]];
                        high[i] = high[i].max(drawn[i] - strip.least(back, -m[i][2], off));
                    }
                }
            }
            Disc::Steepest => {
                for i in 0..3 {
                    let steep = strips
                        .iter()
                        .map(|strip| {
                            let n = normal(s, strip.facet);
                            (1.0 - (m[i][0] * n[0] + m[i][1] * n[1]).powi(2)).max(0.0).sqrt()
                        })
                        .fold(0.0, f64::max);
                    low[i] = drawn[i] - off * steep;
                    high[i] = drawn[i] + off * steep;
                }
                // Across, between the outer rays and on facets that face the apex.
                let e = edges(m).map(|x| [x[0], x[1]]);
                for strip in &strips {
                    for (x, by) in
                        [(strip.from, strip.offset(strip.from)), (strip.to, strip.offset(strip.to))]
                    {
                        if x.abs() < off {
                            continue; // a corner within the disc, not its rim
                        }
                        let q = [r[0] + by[0], r[1] + by[1]];
                        if !within_rays(e, q, room_m) || !seen(strip.facet) {
                            return None;
                        }
                    }
                }
            }
        }
        low.iter().all(|&x| x >= -room_m).then_some([low, high])
    }

    /// The most times that a falling piece's weight can grow: forces and moments in balance, joints that
    /// push anywhere on their faces, bolts up to what they can take.
    fn balanced(
        &self,
        m: [[f64; 3]; 3],
        wedge: &Wedge,
        apex_uv: [f64; 2],
        (down, weight, wet): ([f64; 3], f64, &[Force]),
        bolts: &[([f64; 3], [f64; 3], f64)],
    ) -> f64 {
        let apex = [apex_uv[0], apex_uv[1], 0.0];
        let (mut centre, mut volume) = ([0.0; 3], 0.0);
        for face in &wedge.faces {
            let p: Vec<[f64; 3]> = face.at.iter().map(|&x| sub(x, apex)).collect();
            for k in 1..p.len() - 1 {
                let v = dot(p[0], cross(p[k], p[k + 1])).abs() / 6.0;
                volume += v;
                for x in [p[0], p[k], p[k + 1]] {
                    centre = along(centre, 0.25 * v, x);
                }
            }
        }
        let centre = [0, 1, 2].map(|k| centre[k] / volume);
        let size = volume.cbrt();
        let column = |at: [f64; 3], way: [f64; 3]| {
            let turn = cross(sub(at, centre), way);
            let mut all = way.to_vec();
            all.extend(turn.iter().map(|x| x / size));
            all
        };
        let mut load = column(centre, down);
        for (at, force) in wet.iter().skip(1) {
            for (k, x) in cross(sub(*at, centre), *force).iter().enumerate() {
                load[3 + k] += x / (size * weight);
            }
        }
        let mut columns = vec![load];
        let mut most = vec![f64::INFINITY];
        for &(r, d, kn) in bolts {
            columns.push(column(r, d));
            most.push(kn / weight);
        }
        for i in 0..3 {
            let mut points = vec![[0.0; 3]];
            for face in &wedge.faces {
                let n = face.at.len();
                for k in 0..n {
                    if face.tag[k] == Some(i) {
                        points.extend([sub(face.at[k], apex), sub(face.at[(k + 1) % n], apex)]);
                    }
                }
            }
            for at in hull(&points, m[i]) {
                columns.push(column(at, m[i]));
                most.push(f64::INFINITY);
            }
        }
        most_of_first(&columns, &most)
    }
}

/// From the apex, the stretch along the drive in which a place of the section is inside all three planes.
fn inside(m: [[f64; 3]; 3], flat: [f64; 3], room_m: f64) -> Option<(f64, f64)> {
    let (mut from, mut to) = (f64::NEG_INFINITY, f64::INFINITY);
    for n in m {
        let x = dot(n, flat) + room_m;
        if n[2] > 1e-12 {
            from = from.max(-x / n[2]);
        } else if n[2] < -1e-12 {
            to = to.min(-x / n[2]);
        } else if x < 0.0 {
            return None;
        }
    }
    (from <= to + 1e-6 && from.is_finite() && to.is_finite()).then_some((from, to))
}

fn least_kn(bolt: &Bolt, head_m: f64, toe_m: f64) -> f64 {
    if toe_m < 0.0 {
        return 0.0;
    }
    let head_m = head_m.max(0.0);
    let (head, toe) = match bolt.hold {
        Hold::Bond { bond_kn_per_m } => (bolt.plate_kn + bond_kn_per_m * head_m, bond_kn_per_m * toe_m),
        Hold::Anchor { anchor_kn, anchor_length_m } => {
            (bolt.plate_kn, if toe_m >= anchor_length_m { anchor_kn } else { 0.0 })
        }
    };
    bolt.steel_kn.min(head).min(toe)
}

/// A strip of the unrolled surface about a collar: between two distances from it, on one facet.
struct Strip {
    facet: usize,
    from: f64,
    to: f64,
    /// From the collar to its start, in the section, and the way along it.
    start: [f64; 2],
    way: [f64; 2],
}

impl Strip {
    fn offset(&self, x: f64) -> [f64; 2] {
        let gone = x - self.from;
        [self.start[0] + gone * self.way[0], self.start[1] + gone * self.way[1]]
    }

    /// The least of a linear function, 0 at the collar, over what of the disc lies on the strip.
    fn least(&self, across: [f64; 2], along_drive: f64, off: f64) -> f64 {
        let slope = across[0] * self.way[0] + across[1] * self.way[1];
        let steep = slope.hypot(along_drive);
        let best = if steep > 0.0 { -off * slope / steep } else { 0.0 };
        let x = best.clamp(self.from, self.to);
        let z = (off * off - x * x).max(0.0).sqrt();
        let by = self.offset(x);
        across[0] * by[0] + across[1] * by[1] - along_drive.abs() * z
    }
}

/// The strips that a disc about a collar covers.
fn strips(s: &[[f64; 2]], collar: &Collar, off: f64) -> Vec<Strip> {
    let n = s.len();
    let at = [collar.u_m, collar.v_m];
    let home = collar.facets[0];
    let mut out = vec![];
    for (step, sign) in [(1, 1.0), (n - 1, -1.0)] {
        let (mut j, mut gone, mut from) = (home, 0.0, at);
        loop {
            let (a, b) = facet(s, j);
            let end = if sign > 0.0 { b } else { a };
            let left = (end[0] - from[0]).hypot(end[1] - from[1]);
            let reach = left.min(off - gone);
            let whole = (b[0] - a[0]).hypot(b[1] - a[1]);
            let way = [(b[0] - a[0]) / whole, (b[1] - a[1]) / whole];
            if reach > 1e-9 {
                let start = [from[0] - at[0], from[1] - at[1]];
                out.push(if sign > 0.0 {
                    Strip { facet: j, from: gone, to: gone + reach, start, way }
                } else {
                    let start = [start[0] - reach * way[0], start[1] - reach * way[1]];
                    Strip { facet: j, from: -gone - reach, to: -gone, start, way }
                });
            }
            gone += left;
            if gone >= off {
                break;
            }
            from = end;
            j = (j + step) % n;
        }
    }
    out
}

/// Whether a place seen from the apex lies between the outer rays, up to some room beside them.
fn within_rays(e: [[f64; 2]; 3], q: [f64; 2], room_m: f64) -> bool {
    let turn = |a: [f64; 2], b: [f64; 2]| a[0] * b[1] - a[1] * b[0];
    let outer = |sign: f64| e.iter().find(|a| e.iter().all(|b| sign * turn(**a, *b) >= -1e-14));
    let off = |a: &[f64; 2]| turn(*a, q) / a[0].hypot(a[1]);
    outer(1.0).is_some_and(|right| off(right) >= -room_m)
        && outer(-1.0).is_some_and(|left| off(left) <= room_m)
}

/// Under its weight alone, per unit of it: contact planes with their forces, the way it goes, and what
/// drives it; `None` where it does not move.
struct Goes {
    contact: Vec<(usize, f64)>,
    way: [f64; 3],
    drive: f64,
}

fn motion(m: [[f64; 3]; 3], down: [f64; 3]) -> Option<Goes> {
    let r = m.map(|n| dot(n, down));
    if r.iter().all(|&x| x >= -NO_CONTACT) {
        return Some(Goes { contact: vec![], way: down, drive: 1.0 });
    }
    for i in 0..3 {
        let s = along(down, -r[i], m[i]);
        if r[i] < -NO_CONTACT
            && length(s) > NO_CONTACT
            && (0..3).all(|j| j == i || dot(s, m[j]) >= -NO_CONTACT)
        {
            return Some(Goes { contact: vec![(i, -r[i])], way: unit(s), drive: length(s) });
        }
    }
    for (k, e) in edges(m).into_iter().enumerate() {
        let (i, j) = ((k + 1) % 3, (k + 2) % 3);
        let (ni, nj) = on_two(m[i], m[j], down);
        if dot(down, e) > NO_CONTACT && ni > NO_CONTACT && nj > NO_CONTACT {
            return Some(Goes { contact: vec![(i, ni), (j, nj)], way: e, drive: dot(down, e) });
        }
    }
    None
}

/// Parts (a, b) of a force on −mi and −mj, the rest along the planes' line.
fn on_two(mi: [f64; 3], mj: [f64; 3], force: [f64; 3]) -> (f64, f64) {
    let line = cross(mi, mj);
    let det = dot(line, line);
    (-dot(force, cross(mj, line)) / det, -dot(force, cross(line, mi)) / det)
}

/// The most resistance of a sliding piece, kN: each bolt pulls with up to what it can take, and the joints
/// in contact stay closed.
fn called(
    go: &Goes,
    m: [[f64; 3]; 3],
    weight: f64,
    tan: [f64; 3],
    bond: [f64; 3],
    bolts: &[([f64; 3], [f64; 3], f64)],
) -> f64 {
    // Of each bolt: against the movement, onto each contact, most.
    let mut pulls: Vec<(f64, Vec<f64>, f64)> = vec![];
    for &(_, d, kn) in bolts {
        let against = -dot(d, go.way);
        let onto: Vec<f64> = match go.contact[..] {
            [(i, _)] => vec![-dot(d, m[i])],
            [(i, _), (j, _)] => {
                let (a, b) = on_two(m[i], m[j], d);
                vec![a, b]
            }
            _ => vec![],
        };
        if against > 0.0 && kn > 0.0 {
            pulls.push((against, onto, kn));
        }
    }
    let own: f64 = go.contact.iter().map(|&(i, n)| bond[i] + n * weight * tan[i]).sum();
    // z = Σ gain · T; each joint: Σ onto · T + what is left = its own push. The push stands in a variable that
    // cannot pass 1, and need not pass anything else.
    let rooms = go.contact.len();
    let mut first = vec![-1.0];
    first.extend(vec![0.0; rooms]);
    let mut columns = vec![first];
    let mut bound = vec![f64::INFINITY];
    let mut dear = 0.0_f64;
    for (against, onto, kn) in &pulls {
        let gain: f64 = against + (0..rooms).map(|c| onto[c] * tan[go.contact[c].0]).sum::<f64>();
        let mut column = vec![gain * kn / weight];
        column.extend(onto.iter().map(|x| x * kn / weight));
        columns.push(column);
        bound.push(1.0);
        dear += gain.abs() * kn / weight;
    }
    if dear == 0.0 {
        return own;
    }
    // The joint's own push, and what is left of it.
    let mut push = vec![0.0];
    push.extend(go.contact.iter().map(|c| c.1));
    columns.push(push);
    bound.push(1.0);
    for k in 0..rooms {
        let mut left = vec![0.0; rooms + 1];
        left[k + 1] = -1.0;
        columns.push(left);
        bound.push(f64::INFINITY);
    }
    own + most_of_first(&columns, &bound) * weight
}

/// The most times that the weight can grow while the piece hangs in its bolts and leans on joints without
/// friction: forces alone.
fn hanging(m: [[f64; 3]; 3], down: [f64; 3], weight: f64, bolts: &[([f64; 3], [f64; 3], f64)]) -> f64 {
    let mut columns = vec![down.to_vec()];
    let mut most = vec![f64::INFINITY];
    for &(_, d, kn) in bolts {
        columns.push(d.to_vec());
        most.push(kn / weight);
    }
    for n in m {
        columns.push(n.to_vec());
        most.push(f64::INFINITY);
    }
    most_of_first(&columns, &most)
}

/// The corners of the hull of points in a plane with this normal.
fn hull(points: &[[f64; 3]], n: [f64; 3]) -> Vec<[f64; 3]> {
    let aside = if n[0].abs() < 0.6 { [1.0, 0.0, 0.0] } else { [0.0, 1.0, 0.0] };
    let x = unit(cross(n, aside));
    let y = cross(n, x);
    let mut flat: Vec<(f64, f64, [f64; 3])> = points.iter().map(|&p| (dot(p, x), dot(p, y), p)).collect();
    flat.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut out: Vec<[f64; 3]> = vec![];
    for turned in [false, true] {
        let mut half: Vec<(f64, f64, [f64; 3])> = vec![];
        let order: Vec<_> = if turned { flat.iter().rev().collect() } else { flat.iter().collect() };
        for p in order {
            while let [.., a, b] = half[..] {
                if (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0) > 0.0 {
                    break;
                }
                half.pop();
            }
            half.push(*p);
        }
        half.pop();
        out.extend(half.iter().map(|p| p.2));
    }
    out
}

/// What a dense search found of a pyramid.
#[derive(Clone, Debug, Default)]
pub struct Worst {
    /// Least factor over what is asked, and where: apex, chainages from each ring 0.
    pub least: Option<(f64, Measured, [f64; 2], Vec<f64>)>,
    /// A piece for which nothing is entered.
    pub unjudged: Option<([f64; 2], Vec<f64>)>,
    /// First carriers that pieces needed.
    pub firsts: Vec<By>,
    pub judged: usize,
    pub largest_m3: f64,
}

/// How hard a dense search looks.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    /// Even places, on either side, of edges that daylight.
    pub places: usize,
    /// Places along the drive of each.
    pub shifts: usize,
    /// Worst pieces that walks start from, and the steps of each walk.
    pub walks: usize,
    pub steps: usize,
}

impl Rules<'_> {
    /// Searches all that the caps allow. `draw` gives numbers from 0 to 1.
    pub fn worst(&self, pyramid: &Pyramid, effort: Effort, draw: &mut dyn FnMut() -> f64) -> Worst {
        let mut out = Worst::default();
        let mut seen: Vec<(f64, [f64; 2], Vec<f64>)> = vec![];
        let periods: Vec<f64> = self
            .input
            .patterns
            .iter()
            .map(|p| p.ring_spacing_m * if p.stagger { 2.0 } else { 1.0 })
            .collect();
        let fixed = self.input.patterns.iter().filter(|p| p.offset_m.is_some()).count() > 1;
        let mut pairs: Vec<[f64; 2]> = vec![];
        let n = effort.places;
        for a in 0..n {
            let from = a as f64 / n as f64;
            for b in a + 1..=n {
                pairs.push([from, b as f64 / n as f64]);
            }
            // As large as the caps leave it, and as small as anybody judges.
            if let Some(seat) = pyramid.frontier.widest(from, 2 * n) {
                pairs.push([from, pyramid.frontier.right_of(&seat)]);
            }
            let least_m3 = self.asked.bar_m3.max(LITRE_M3) * (1.0 + 1e-6);
            let (mut small, mut large) = (from, 1.0);
            if pyramid.frontier.between(from, 1.0).wedge.volume_m3 > least_m3 {
                for _ in 0..30 {
                    let half = 0.5 * (small + large);
                    if pyramid.frontier.between(from, half).wedge.volume_m3 > least_m3 {
                        large = half;
                    } else {
                        small = half;
                    }
                }
                pairs.push([from, large]);
                pairs.push([from, (large + 0.3 * (large - from)).min(1.0)]);
            }
        }
        let look = |pair: [f64; 2], shifts: &[f64], out: &mut Worst| -> Option<f64> {
            if pair[0] < 0.0 || pair[1] > 1.0 || pair[1] - pair[0] < 1e-6 {
                return None;
            }
            let seat = pyramid.frontier.between(pair[0], pair[1]);
            let at: Vec<f64> = shifts.to_vec();
            // On the generous side: a collar at the very edge counts.
            match self.measure_wedge(pyramid, &seat.wedge, seat.apex_uv, &at, Disc::Unrolled, 1e-8) {
                Piece::Nobodys => None,
                Piece::Unjudged => {
                    out.judged += 1;
                    out.unjudged.get_or_insert((seat.apex_uv, at));
                    None
                }
                Piece::Judged(found) => {
                    out.judged += 1;
                    out.largest_m3 = out.largest_m3.max(seat.wedge.volume_m3);
                    if let Some(first) = found.first
                        && !out.firsts.contains(&first)
                    {
                        out.firsts.push(first);
                    }
                    let ratio = found.fs / found.asked_fs.max(1e-12);
                    if out.least.as_ref().is_none_or(|l| ratio < l.0) {
                        out.least = Some((ratio, found, seat.apex_uv, at));
                    }
                    Some(ratio)
                }
            }
        };
        let shifted = |draw: &mut dyn FnMut() -> f64, k: usize| -> Vec<f64> {
            let together = (k as f64 + draw()) / effort.shifts as f64;
            let offsets = self.input.patterns.iter().map(|p| p.offset_m.unwrap_or(0.0));
            let most = periods.iter().copied().fold(0.0, f64::max);
            let free = |(g, period): (usize, &f64)| {
                if g == 0 { together * period } else { draw() * period }
            };
            if fixed {
                // Patterns that were surveyed in move together, over some of their periods.
                let at = 20.0 * most * draw();
                offsets.map(|o| at - o).collect()
            } else {
                periods.iter().enumerate().map(free).collect()
            }
        };
        for &pair in &pairs {
            for k in 0..effort.shifts {
                let at = shifted(draw, k);
                if let Some(ratio) = look(pair, &at, &mut out) {
                    seen.push((ratio, pair, at));
                }
            }
        }
        seen.sort_by(|a, b| a.0.total_cmp(&b.0));
        let apart = seen.len() / 40;
        let starts: Vec<_> =
            (0..effort.walks).filter_map(|w| seen.get(w * apart.min(1 + w)).cloned()).collect();
        for (mut ratio, mut pair, mut at) in starts {
            let mut step = 0.08;
            let mut failed = 0;
            for _ in 0..effort.steps {
                let mut way = || step * (2.0 * draw() - 1.0) * if draw() < 0.4 { 0.0 } else { 1.0 };
                let next = [(pair[0] + way()).clamp(0.0, 1.0), (pair[1] + way()).clamp(0.0, 1.0)];
                let along = way();
                let moved: Vec<f64> = at
                    .iter()
                    .zip(&periods)
                    .map(|(x, period)| x + if fixed { along } else { way() } * period)
                    .collect();
                match look(next, &moved, &mut out) {
                    Some(lower) if lower < ratio => {
                        (ratio, pair, at) = (lower, next, moved);
                        failed = 0;
                    }
                    _ => failed += 1,
                }
                if failed > 12 {
                    step *= 0.5;
                    failed = 0;
                }
            }
        }
        out
    }
}

/// What bolts give a piece that slides: the greater of what they are called on for and of hanging in them.
pub fn sliding(
    m: [[f64; 3]; 3],
    down: [f64; 3],
    weight: f64,
    tan: [f64; 3],
    bond: [f64; 3],
    bolts: &[([f64; 3], [f64; 3], f64)],
) -> f64 {
    motion(m, down).map_or(f64::INFINITY, |go| {
        let called = called(&go, m, weight, tan, bond, bolts) / (go.drive * weight);
        called.max(hanging(m, down, weight, bolts))
    })
}
