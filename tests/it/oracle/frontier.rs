//! Apexes by the two places at which a pyramid's outer edges daylight, and for each place of the
//! left one the farthest place of the right one that the caps allow.

use super::section::{facet, surface};
use super::{Caps, Input, Wedge, edges, inward_normals, largest_apex, lay_out, wedge_at};

/// The part of the outline between the two tangent points of a pyramid's largest wedge.
pub struct Frontier<'a> {
    input: &'a Input,
    sets: [usize; 3],
    pyramid: [u8; 3],
    caps: Caps,
    /// Section parts of the outer edges: the one that lies counter-clockwise of the others, and
    /// the one that lies clockwise of them.
    left: [f64; 2],
    right: [f64; 2],
    chain: Vec<[f64; 2]>,
    /// Apex of the largest wedge without caps.
    largest: [f64; 2],
}

/// A wedge of the frontier.
#[derive(Clone, Debug)]
pub struct Seat {
    /// Where the left edge daylights, as a share of the chain.
    pub place: f64,
    pub apex_uv: [f64; 2],
    pub wedge: Wedge,
}

fn turn(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

impl<'a> Frontier<'a> {
    pub fn new(input: &'a Input, sets: [usize; 3], pyramid: [u8; 3], caps: Caps) -> Option<Self> {
        let (largest, [p, q]) = largest_apex(input, sets, pyramid)?;
        let e = edges(inward_normals(input, sets, pyramid)).map(|x| [x[0], x[1]]);
        let outer =
            |sign: f64| e.iter().copied().find(|&a| e.iter().all(|&b| a == b || sign * turn(a, b) >= -1e-14));
        let (right, left) = (outer(1.0)?, outer(-1.0)?);
        // The left edge is tangent at q: the outline is walked from there to p.
        let s = &input.section;
        let at = |x: [f64; 2]| s.iter().position(|&y| y == x);
        let (from, to) = (at(q)?, at(p)?);
        let count = (to + s.len() - from) % s.len();
        let chain = (0..=count).map(|k| s[(from + k) % s.len()]).collect();
        Some(Self { input, sets, pyramid, caps, left, right, chain, largest })
    }

    fn length_m(&self) -> f64 {
        self.chain.windows(2).map(|w| (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1])).sum()
    }

    fn point(&self, share: f64) -> [f64; 2] {
        let mut rest = share * self.length_m();
        for w in self.chain.windows(2) {
            let d = [w[1][0] - w[0][0], w[1][1] - w[0][1]];
            let l = d[0].hypot(d[1]);
            if rest <= l {
                return [w[0][0] + d[0] * rest / l, w[0][1] + d[1] * rest / l];
            }
            rest -= l;
        }
        *self.chain.last().unwrap()
    }

    /// The apex whose left and right edges daylight at two shares of the chain.
    fn apex(&self, from: f64, to: f64) -> [f64; 2] {
        let (a, b) = (self.point(from), self.point(to));
        // a − t left = b − x right
        let t = turn([a[0] - b[0], a[1] - b[1]], self.right) / turn(self.left, self.right);
        [a[0] - t * self.left[0], a[1] - t * self.left[1]]
    }

    fn seat(&self, place: f64, to: f64) -> Seat {
        let apex_uv = self.apex(place, to);
        Seat { place, apex_uv, wedge: wedge_at(self.input, self.sets, self.pyramid, apex_uv) }
    }

    /// The wedge without caps.
    pub fn whole(&self) -> Seat {
        let wedge = wedge_at(self.input, self.sets, self.pyramid, self.largest);
        Seat { place: 0.0, apex_uv: self.largest, wedge }
    }

    pub fn caps_bind(&self) -> bool {
        !self.caps.admit(&self.whole().wedge)
    }

    /// The admissible wedge with its left edge at a share of the chain and its right edge as far
    /// off as `steps` steps and bisection find; `None` where none of the steps is admissible.
    pub fn widest(&self, place: f64, steps: usize) -> Option<Seat> {
        let to = |k: usize| 1.0 + (place - 1.0) * k as f64 / steps as f64;
        let first = (0..steps).find(|&k| self.caps.admit(&self.seat(place, to(k)).wedge))?;
        let mut best = self.seat(place, to(first));
        if first > 0 {
            let (mut good, mut bad) = (to(first), to(first - 1));
            for _ in 0..34 {
                let half = 0.5 * (good + bad);
                let seat = self.seat(place, half);
                if self.caps.admit(&seat.wedge) {
                    good = half;
                    best = seat;
                } else {
                    bad = half;
                }
            }
        }
        Some(best)
    }

    /// The wedge between two shares of the chain, whatever the caps say.
    pub fn between(&self, place: f64, to: f64) -> Seat {
        self.seat(place, to)
    }

    /// The share of the chain at which a wedge's right edge daylights.
    pub fn right_of(&self, seat: &Seat) -> f64 {
        let apex = seat.apex_uv;
        let d = self.right;
        let side = |x: [f64; 2]| turn(d, [x[0] - apex[0], x[1] - apex[1]]);
        let whole = self.length_m();
        let mut sum = 0.0;
        for w in self.chain.windows(2) {
            let l = (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]);
            let (a, b) = (side(w[0]), side(w[1]));
            if a >= 0.0 && b <= 0.0 && a > b {
                return (sum + l * a / (a - b)) / whole;
            }
            sum += l;
        }
        1.0
    }

    /// Chainage from the apex to where the left edge daylights.
    pub fn chainage_of_left(&self, seat: &Seat) -> f64 {
        let at = self.point(seat.place);
        let gone = (at[0] - seat.apex_uv[0]).hypot(at[1] - seat.apex_uv[1]);
        // Where a plane holds the axis two edges share the left ray: either will do.
        let e = edges(inward_normals(self.input, self.sets, self.pyramid))
            .into_iter()
            .find(|e| e[0] == self.left[0] && e[1] == self.left[1]);
        e.map_or(0.0, |e| gone * e[2] / e[0].hypot(e[1]))
    }

    /// Stretches of the chain, as shares of it, on bolted ground: facets that a pattern covers,
    /// walls no further from the crown than half a spacing beyond the pattern's last collar there.
    pub fn bolted_runs(&self) -> Vec<(f64, f64)> {
        let s = &self.input.section;
        let whole = self.length_m();
        let laid: Vec<_> = self.input.patterns.iter().map(|p| lay_out(self.input, p)).collect();
        let round: f64 = (0..s.len()).map(|j| span(facet(s, j))).sum();
        let mut runs: Vec<(f64, f64)> = Vec::new();
        let mut sum = 0.0;
        for w in self.chain.windows(2) {
            let j = s.iter().position(|&x| x == w[0]).unwrap();
            let l = span((w[0], w[1]));
            let name = surface(self.input, j);
            for (p, collars) in self.input.patterns.iter().zip(&laid) {
                let wall = name.ends_with("wall");
                if !p.covers.iter().any(|c| c == name || wall && c == "walls") {
                    continue;
                }
                let last = collars.iter().filter(|c| c.surface == name).map(|c| c.arc_m.abs());
                let last = last.fold(f64::NEG_INFINITY, f64::max);
                if last < 0.0 {
                    continue;
                }
                let (mut a, mut b) = (0.0, l);
                if wall {
                    // From the crown to the facet's first vertex, walked against the outline; on
                    // the left the shorter way runs along it.
                    let to_vertex = arc_to(s, j);
                    let arc = if to_vertex > 0.5 * round { round - to_vertex } else { to_vertex };
                    let reach = last + 0.5 * p.spacing_m;
                    if name == "left wall" {
                        b = b.min(reach - arc);
                    } else {
                        a = f64::max(a, arc - reach);
                    }
                }
                if b > a {
                    runs.push(((sum + a) / whole, (sum + b) / whole));
                }
            }
            sum += l;
        }
        runs.sort_by(|x, y| x.0.total_cmp(&y.0));
        let mut joined: Vec<(f64, f64)> = Vec::new();
        for run in runs {
            match joined.last_mut() {
                Some(last) if run.0 <= last.1 + 1e-9 => last.1 = last.1.max(run.1),
                _ => joined.push(run),
            }
        }
        joined
    }
}

fn span((a, b): ([f64; 2], [f64; 2])) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// From the crown (top at mid-width) clockwise, along the right wall first, to vertex j.
fn arc_to(s: &[[f64; 2]], j: usize) -> f64 {
    let (lo, hi) = s.iter().fold((f64::MAX, f64::MIN), |x, p| (x.0.min(p[0]), x.1.max(p[0])));
    let mid = 0.5 * (lo + hi);
    let n = s.len();
    let holder = (0..n).find(|&k| s[k][0] > mid - 1e-12 && s[(k + 1) % n][0] < mid - 1e-12).unwrap();
    let (a, b) = facet(s, holder);
    let share = (a[0] - mid) / (a[0] - b[0]);
    let mut arc = share * span((a, b));
    let mut at = holder;
    while at != j {
        let before = (at + n - 1) % n;
        arc += span(facet(s, before));
        at = before;
    }
    arc
}
