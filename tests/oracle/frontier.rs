//! Apexes by the two places at which a pyramid's outer edges daylight, and for each place of the
//! left one the farthest place of the right one that the caps allow.

use super::{Caps, Input, Wedge, edges, inward_normals, largest_apex, wedge_at};

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

    /// Shares of the chain at its vertices.
    pub fn vertices(&self) -> Vec<f64> {
        let whole = self.length_m();
        let mut sum = 0.0;
        let mut out = vec![0.0];
        for w in self.chain.windows(2) {
            sum += (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]);
            out.push(sum / whole);
        }
        out
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
}
