//! Mode, factor of safety, collars, and the bolts that serve a wedge.

use super::section::{facet, height, normal, surface};
use super::{
    Bolt, Direction, Hold, Input, NO_CONTACT, Pattern, Wedge, ZERO_M, along, cross, dot, edges,
    inward_normals, length, to_uvw, to_world, unit, wedge_at,
};

/// Facets that turn by more meet at a corner, degrees.
const CORNER_TURN_DEG: f64 = 10.0;
/// A collar this near a corner belongs to the facet nearer the crown, m.
const CORNER_NEAR_M: f64 = 1e-3;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    Falling,
    Sliding,
    NoMotion,
}

/// A place in the section where a pattern puts a collar.
#[derive(Clone, Debug)]
pub struct Collar {
    /// Along the perimeter from the crown, positive to the right, m.
    pub arc_m: f64,
    pub u_m: f64,
    pub v_m: f64,
    /// Unit vector into the rock, east, north, up.
    pub direction_world: [f64; 3],
    /// 0 on even rings, 1 on odd rings; without stagger every ring carries the 0 collars.
    pub parity: u8,
    pub surface: &'static str,
    /// Facets whose opening the collar stands on: one, or two at a vertex.
    pub facets: Vec<usize>,
}

/// A bolt whose collar is on the wedge's face and that crosses a joint.
#[derive(Clone, Debug)]
pub struct Serving {
    pub pattern: usize,
    pub ring: i64,
    pub u_m: f64,
    pub v_m: f64,
    /// Length inside the wedge.
    pub head_m: f64,
    /// Length beyond the joint.
    pub toe_m: f64,
    pub capacity_kn: f64,
    /// Falling: B * max(0, -d.s). Sliding: its part of P_t plus tan(phi) times its part of P_n on
    /// planes that are not lost. 0 for a bolt that carries nothing.
    pub share_kn: f64,
}

#[derive(Clone, Debug)]
pub struct Evaluation {
    pub mode: Mode,
    /// Positions in the triple of the contact planes.
    pub contact: Vec<usize>,
    /// Unit slide direction, east, north, up.
    pub slide_world: Option<[f64; 3]>,
    pub weight_kn: f64,
    pub fs_bare: f64,
    pub fs_bare_no_cohesion: f64,
    pub fs_bolted: f64,
    /// A contact plane lost its contact to the bolts.
    pub plane_lost: bool,
    /// The bolts together would give less than the bare FS, so they carry nothing.
    pub bare_floor: bool,
    pub serving: Vec<Serving>,
}

/// Collars of a pattern on one even and one odd ring.
pub fn lay_out(input: &Input, pattern: &Pattern) -> Vec<Collar> {
    let s = &input.section;
    let n = s.len();
    let (lo, hi) = s.iter().fold((f64::MAX, f64::MIN), |x, p| (x.0.min(p[0]), x.1.max(p[0])));
    let mid = 0.5 * (lo + hi);
    // crown: the top of the outline at mid-width, and the facet that holds it, walked clockwise
    let mut crown = [mid, f64::MIN];
    let mut holder = 0;
    for j in 0..n {
        let (a, b) = facet(s, j); // the back runs right to left: a is right of b
        if a[0] > mid - ZERO_M && b[0] <= mid - ZERO_M || (a[0] - mid).abs() <= ZERO_M && b[0] < mid {
            let v = a[1] + (b[1] - a[1]) * (mid - a[0]) / (b[0] - a[0]);
            if v > crown[1] {
                crown[1] = v;
                holder = j;
            }
        }
    }
    // arc length of each vertex clockwise from the crown
    let at_vertex = (0..n).find(|&k| dist(s[k], crown) <= ZERO_M);
    let first = at_vertex.unwrap_or(holder); // first vertex met clockwise
    let mut stations = vec![]; // (arc, vertex), ascending
    let mut arc = dist(s[first], crown);
    for k in 0..n {
        let v = (first + n - k) % n;
        stations.push((arc, v));
        arc += dist(s[v], s[(v + n - 1) % n]);
    }
    let round: f64 = (0..n).map(|j| dist(facet(s, j).0, facet(s, j).1)).sum();
    let mut out = vec![];
    let parities: &[u8] = if pattern.stagger { &[0, 1] } else { &[0] };
    for &parity in parities {
        for k in 0.. {
            let x = (k as f64 + 0.5 * parity as f64) * pattern.spacing_m;
            if x >= round / 2.0 {
                break;
            }
            place(input, pattern, &stations, round, x, parity, &mut out);
            if x > 0.0 {
                place(input, pattern, &stations, round, -x, parity, &mut out);
            }
        }
    }
    out
}

/// Puts one collar at a signed arc length from the crown, if the pattern covers the place.
fn place(
    input: &Input,
    pattern: &Pattern,
    stations: &[(f64, usize)],
    round: f64,
    arc_m: f64,
    parity: u8,
    out: &mut Vec<Collar>,
) {
    let s = &input.section;
    let n = s.len();
    let clockwise = if arc_m < -ZERO_M { arc_m + round } else { arc_m };
    // the last vertex passed going clockwise; before the first one it is the one behind the crown
    let passed = stations.iter().rev().find(|x| x.0 <= clockwise + ZERO_M);
    let (gone, vertex) = match passed {
        Some(&(a, v)) => (clockwise - a, v),
        None => {
            let &(a, v) = stations.last().unwrap();
            (clockwise + round - a, v)
        }
    };
    // going clockwise from a vertex runs along the facet that ends at it
    let ahead = (vertex + n - 1) % n;
    let (to, from) = facet(s, ahead);
    let whole = dist(from, to);
    let at = [from[0] + (to[0] - from[0]) * gone / whole, from[1] + (to[1] - from[1]) * gone / whole];
    // near[0]: distance to the vertex behind, near[1]: to the one in front; (other facet, gap)
    let neighbours = [(vertex, gone), ((ahead + n - 1) % n, whole - gone)];
    let mut home = ahead;
    let mut facets = vec![ahead];
    let mut d = normal(s, ahead);
    for (other, gap) in neighbours {
        let (a, b) = (normal(s, ahead), normal(s, other));
        let turn = (a[0] * b[0] + a[1] * b[1]).clamp(-1.0, 1.0).acos().to_degrees();
        // going away from the crown the nearer facet is the one behind, on the left in front
        let nearer_is_other = (other == vertex) == (arc_m >= 0.0);
        if gap.abs() <= ZERO_M {
            facets.push(other);
        }
        if turn > CORNER_TURN_DEG {
            if gap <= CORNER_NEAR_M && nearer_is_other {
                home = other;
                d = b;
            }
        } else if gap.abs() <= ZERO_M {
            let l = (a[0] + b[0]).hypot(a[1] + b[1]);
            d = [(a[0] + b[0]) / l, (a[1] + b[1]) / l];
            if nearer_is_other {
                home = other;
            }
        }
    }
    let name = surface(input, home);
    let wall = name.ends_with("wall");
    let covered = pattern.covers.iter().any(|c| c == name || wall && c == "walls");
    if !covered || wall && at[1] < pattern.lowest_collar_m - ZERO_M {
        return;
    }
    let direction_world = match pattern.direction {
        Direction::Normal => to_world(input, [d[0], d[1], 0.0]),
        Direction::Vertical => [0.0, 0.0, 1.0],
        Direction::Fan { u_m, v_m } => to_world(input, unit([at[0] - u_m, at[1] - v_m, 0.0])),
    };
    out.push(Collar { arc_m, u_m: at[0], v_m: at[1], direction_world, parity, surface: name, facets });
}

fn dist(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// Mode under weight alone: contact planes with their normal force, slide direction and driving
/// force, per unit of weight, (u, v, w).
struct Motion {
    mode: Mode,
    contact: Vec<(usize, f64)>,
    slide: [f64; 3],
    drive: f64,
}

fn motion(m: [[f64; 3]; 3], down: [f64; 3]) -> Motion {
    let r = [dot(m[0], down), dot(m[1], down), dot(m[2], down)];
    if r.iter().all(|&x| x >= -NO_CONTACT) {
        return Motion { mode: Mode::Falling, contact: vec![], slide: down, drive: 1.0 };
    }
    for i in 0..3 {
        let s = along(down, -r[i], m[i]);
        if r[i] < -NO_CONTACT && length(s) > NO_CONTACT {
            let slide = unit(s);
            if (0..3).all(|j| j == i || dot(slide, m[j]) >= -NO_CONTACT) {
                let contact = vec![(i, -r[i])];
                return Motion { mode: Mode::Sliding, contact, slide, drive: length(s) };
            }
        }
    }
    let e = edges(m);
    for k in 0..3 {
        let (i, j) = ((k + 1) % 3, (k + 2) % 3);
        let (i, j) = (i.min(j), i.max(j));
        let drive = dot(down, e[k]);
        let (ni, nj) = on_two(m[i], m[j], down);
        if drive > NO_CONTACT && ni > NO_CONTACT && nj > NO_CONTACT {
            let contact = vec![(i, ni), (j, nj)];
            return Motion { mode: Mode::Sliding, contact, slide: e[k], drive };
        }
    }
    Motion { mode: Mode::NoMotion, contact: vec![], slide: [0.0; 3], drive: 0.0 }
}

/// Components (a, b) of a force on -mi and -mj, the rest being along the planes' line.
fn on_two(mi: [f64; 3], mj: [f64; 3], force: [f64; 3]) -> (f64, f64) {
    let line = cross(mi, mj);
    let det = dot(line, line);
    // Cramer's rule: force = -a mi - b mj + c line
    let a = -dot(force, cross(mj, line)) / det;
    let b = -dot(force, cross(line, mi)) / det;
    (a, b)
}

fn capacity(bolt: &Bolt, head_m: f64, toe_m: f64) -> f64 {
    let (head, toe) = match bolt.hold {
        Hold::Bond { bond_kn_per_m } => (bolt.plate_kn + bond_kn_per_m * head_m, bond_kn_per_m * toe_m),
        Hold::Anchor { anchor_kn, anchor_length_m } => {
            (bolt.plate_kn, if toe_m >= anchor_length_m { anchor_kn } else { 0.0 })
        }
    };
    bolt.steel_kn.min(head).min(toe)
}

/// The wedge with its apex at a chainage of the drive, ring k of each pattern at
/// `offset_m.unwrap_or(0) + k * ring_spacing_m`, ring 0 even.
pub fn fs_at(
    input: &Input,
    sets: [usize; 3],
    pyramid: [u8; 3],
    apex_uv: [f64; 2],
    apex_chainage_m: f64,
) -> Evaluation {
    let at: Vec<f64> = input.patterns.iter().map(|p| apex_chainage_m - p.offset_m.unwrap_or(0.0)).collect();
    let collars: Vec<_> = input.patterns.iter().map(|p| lay_out(input, p)).collect();
    evaluate(input, sets, pyramid, apex_uv, &at, &collars)
}

/// The same with the apex's chainage measured from ring 0 of each pattern on its own.
fn evaluate(
    input: &Input,
    sets: [usize; 3],
    pyramid: [u8; 3],
    apex_uv: [f64; 2],
    apex_from_ring_0_m: &[f64],
    collars: &[Vec<Collar>],
) -> Evaluation {
    let wedge = wedge_at(input, sets, pyramid, apex_uv);
    evaluate_wedge(input, sets, pyramid, apex_uv, &wedge, apex_from_ring_0_m, collars)
}

/// The same for a wedge that has been made already.
pub fn evaluate_wedge(
    input: &Input,
    sets: [usize; 3],
    pyramid: [u8; 3],
    apex_uv: [f64; 2],
    wedge: &Wedge,
    apex_from_ring_0_m: &[f64],
    collars: &[Vec<Collar>],
) -> Evaluation {
    let m = inward_normals(input, sets, pyramid);
    let weight = wedge.volume_m3 * input.unit_weight_kn_m3;
    let go = motion(m, to_uvw(input, [0.0, 0.0, -1.0]));
    let tan = sets.map(|s| input.joints[s].friction_deg.to_radians().tan());
    let bond = [0, 1, 2].map(|i| input.joints[sets[i]].cohesion_kpa * wedge.joint_areas_m2[i]);
    // (head, toe, capacity, direction) of every bolt that serves the wedge
    let mut serving = vec![];
    let mut pulls = vec![];
    for (which, pattern) in input.patterns.iter().enumerate() {
        let bolt = &input.bolts[pattern.bolt];
        let rs = pattern.ring_spacing_m;
        let x = apex_from_ring_0_m[which];
        let from = ((x + wedge.reach_m[0]) / rs).floor() as i64 - 1;
        let to = ((x + wedge.reach_m[1]) / rs).ceil() as i64 + 1;
        for ring in from..=to {
            let odd = ring.rem_euclid(2) as u8;
            for c in &collars[which] {
                if pattern.stagger && c.parity != odd {
                    continue;
                }
                let d = to_uvw(input, c.direction_world);
                let r = [c.u_m - apex_uv[0], c.v_m - apex_uv[1], ring as f64 * rs - x];
                let seen = c.facets.iter().any(|&f| height(&input.section, f, apex_uv) > 1e-12);
                let into_rock = c.facets.iter().all(|&f| {
                    let n = normal(&input.section, f);
                    n[0] * d[0] + n[1] * d[1] > ZERO_M
                });
                if !wedge.finite || !seen || !into_rock || (0..3).any(|i| dot(m[i], r) < 0.0) {
                    continue;
                }
                let head_m = (0..3)
                    .filter(|&i| dot(m[i], d) < 0.0)
                    .map(|i| dot(m[i], r) / -dot(m[i], d))
                    .fold(f64::INFINITY, f64::min);
                let toe_m = pattern.length_m - pattern.outside_hole_m - head_m;
                if toe_m < 0.0 {
                    continue; // ends inside the wedge
                }
                let capacity_kn = capacity(bolt, head_m, toe_m);
                serving.push(Serving {
                    pattern: which,
                    ring,
                    u_m: c.u_m,
                    v_m: c.v_m,
                    head_m,
                    toe_m,
                    capacity_kn,
                    share_kn: 0.0,
                });
                pulls.push((d, capacity_kn));
            }
        }
    }
    let contact: Vec<usize> = go.contact.iter().map(|c| c.0).collect();
    let mut out = Evaluation {
        mode: go.mode,
        contact: contact.clone(),
        slide_world: (go.mode != Mode::NoMotion).then(|| to_world(input, go.slide)),
        weight_kn: weight,
        fs_bare: f64::INFINITY,
        fs_bare_no_cohesion: f64::INFINITY,
        fs_bolted: f64::INFINITY,
        plane_lost: false,
        bare_floor: false,
        serving,
    };
    if go.mode == Mode::NoMotion {
        return out;
    }
    // per bolt: pull against the slide, press on each contact plane
    let mut pull = 0.0;
    let mut press = vec![0.0; contact.len()];
    let mut parts = vec![];
    for &(d, b) in &pulls {
        let against = -dot(d, go.slide);
        let on: Vec<f64> = match contact[..] {
            [i] => vec![-dot(d, m[i])],
            [i, j] => {
                let (a, c) = on_two(m[i], m[j], d);
                vec![a, c]
            }
            _ => vec![],
        };
        let gain: f64 = against + contact.iter().zip(&on).map(|(&i, x)| x * tan[i]).sum::<f64>();
        let carries = against > 0.0 && gain >= 0.0;
        let b = if carries { b } else { 0.0 };
        pull += b * against;
        for (p, x) in press.iter_mut().zip(&on) {
            *p += b * x;
        }
        parts.push((b, against, on));
    }
    let drive = go.drive * weight;
    let (mut bare, mut bare_0, mut total) = (0.0, 0.0, pull);
    let mut kept = vec![true; contact.len()];
    for (k, &(i, n)) in go.contact.iter().enumerate() {
        bare += bond[i] + n * weight * tan[i];
        bare_0 += n * weight * tan[i];
        let now = n * weight + press[k];
        kept[k] = now >= 0.0;
        if kept[k] {
            total += bond[i] + now * tan[i];
        } else {
            out.plane_lost = true;
        }
    }
    out.bare_floor = total < bare * (1.0 - 1e-12);
    out.fs_bare = bare / drive;
    out.fs_bare_no_cohesion = bare_0 / drive;
    out.fs_bolted = total.max(bare) / drive;
    if !out.bare_floor {
        for (s, (b, against, on)) in out.serving.iter_mut().zip(parts) {
            let rub: f64 = (0..on.len()).filter(|&k| kept[k]).map(|k| on[k] * tan[contact[k]]).sum();
            s.share_kn = b * (against + rub);
        }
    }
    out
}

/// Least and median bolted FS over even positions along the drive, in the middle of each step.
///
/// Patterns without an offset have a phase each: the grid is then `n_phases` to the power of their
/// number. Patterns with an offset move together over their common period (an infinite one
/// panics: this is for tests). With patterns of both sorts the fixed ones count as one.
pub fn dense_least(
    input: &Input,
    sets: [usize; 3],
    pyramid: [u8; 3],
    apex_uv: [f64; 2],
    n_phases: usize,
) -> (f64, f64) {
    let period = |p: &Pattern| p.ring_spacing_m * if p.stagger { 2.0 } else { 1.0 };
    let fixed: Vec<f64> = input.patterns.iter().filter(|p| p.offset_m.is_some()).map(period).collect();
    let common = fixed.first().map(|&first| {
        (1..=1000)
            .map(|k| k as f64 * first)
            .find(|c| fixed.iter().all(|p| (c / p - (c / p).round()).abs() < 1e-9))
            .expect("patterns with a common period")
    });
    // one axis of the grid: its period and the patterns that move with it
    let mut axes: Vec<(f64, Vec<usize>)> = vec![];
    if let Some(c) = common {
        let which = (0..input.patterns.len()).filter(|&k| input.patterns[k].offset_m.is_some());
        axes.push((c, which.collect()));
    }
    for (k, p) in input.patterns.iter().enumerate() {
        if p.offset_m.is_none() {
            axes.push((period(p), vec![k]));
        }
    }
    let collars: Vec<_> = input.patterns.iter().map(|p| lay_out(input, p)).collect();
    let mut all = vec![];
    for index in 0..n_phases.pow(axes.len() as u32) {
        let mut rest = index;
        let mut at = vec![0.0; input.patterns.len()];
        for (span, members) in &axes {
            let x = ((rest % n_phases) as f64 + 0.5) * span / n_phases as f64;
            rest /= n_phases;
            for &k in members {
                at[k] = x - input.patterns[k].offset_m.unwrap_or(0.0);
            }
        }
        all.push(evaluate(input, sets, pyramid, apex_uv, &at, &collars).fs_bolted);
    }
    all.sort_by(f64::total_cmp);
    let n = all.len();
    (all[0], 0.5 * (all[(n - 1) / 2] + all[n / 2]))
}
