//! What stands before what in space, whatever side it is seen from.
//!
//! A tree of planes parts areas and lines: what a plane parts is drawn from the far side to the near one, and what
//! crosses it is cut along it, so that the order is right from every side. The page's script holds the same idea for
//! pictures that turn: it plants a tree for each wedge and size that a reader chooses, and their trees, written out,
//! would outgrow the page.

use crate::orientation::Vec3;

/// What lies this near to a plane lies on it, metres: far above the rounding of corners that faces share, far below
/// what a drawing shows.
const ON_PLANE_M: f64 = 1e-6;

/// An area with less than this has no plane of its own, square metres.
const LEAST_AREA_M2: f64 = 1e-9;

/// Areas whose planes are tried for each parting.
const TRIED: usize = 8;

/// What a cut costs beside an uneven parting.
const COST_OF_CUT: usize = 4;

/// A plane area without dents, or a line.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Piece<T> {
    /// Its corners in order round it, or the two ends of a line, metres.
    pub points: Vec<Vec3>,
    /// For each corner whether the side from it to the next one is drawn.
    pub sides: Vec<bool>,
    /// Of what lies on one plane the lower is drawn first.
    pub rank: u8,
    /// What it is.
    pub what: T,
}

#[derive(Debug, Clone, Copy)]
struct Plane {
    normal: Vec3,
    at: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Before,
    Behind,
    On,
    Across,
}

impl Plane {
    /// Of an area; `None` where it has none.
    fn of(points: &[Vec3]) -> Option<Self> {
        let first = points.first()?;
        let double: Vec3 = points.windows(2).map(|w| (w[0] - first).cross(&(w[1] - first))).sum();
        let size = double.norm();
        (points.len() > 2 && size > 2.0 * LEAST_AREA_M2).then(|| {
            let normal = double / size;
            Self { normal, at: normal.dot(first) }
        })
    }

    fn off(&self, point: &Vec3) -> f64 {
        self.normal.dot(point) - self.at
    }

    fn side(&self, points: &[Vec3]) -> Side {
        let before = points.iter().any(|p| self.off(p) > ON_PLANE_M);
        let behind = points.iter().any(|p| self.off(p) < -ON_PLANE_M);
        match (before, behind) {
            (true, true) => Side::Across,
            (true, false) => Side::Before,
            (false, true) => Side::Behind,
            (false, false) => Side::On,
        }
    }
}

impl<T: Clone> Piece<T> {
    /// A line; it lies over all that is in its plane.
    pub(crate) fn line(from: Vec3, to: Vec3, what: T) -> Self {
        Self { points: vec![from, to], sides: vec![true, false], rank: u8::MAX, what }
    }

    fn is_line(&self) -> bool {
        self.points.len() == 2
    }

    /// The parts before and behind a plane that goes through it; sides that the cut makes are not drawn.
    fn cut(&self, plane: &Plane) -> [Self; 2] {
        let empty =
            || Self { points: Vec::new(), sides: Vec::new(), rank: self.rank, what: self.what.clone() };
        let mut parts = [empty(), empty()];
        let mut put = |part: usize, point: Vec3, side: bool| {
            parts[part].points.push(point);
            parts[part].sides.push(side);
        };
        let count = self.points.len();
        let sign = |off: f64| if off.abs() <= ON_PLANE_M { 0.0 } else { off.signum() };
        for i in 0..count {
            let (from, to) = (self.points[i], self.points[(i + 1) % count]);
            let (a, b) = (plane.off(&from), plane.off(&to));
            let (here, next) = (sign(a), sign(b));
            // From a corner on the plane the side belongs to the part that it goes to; the other goes on along the cut.
            if here >= 0.0 {
                put(0, from, self.sides[i] && (here > 0.0 || next > 0.0));
            }
            if here <= 0.0 {
                put(1, from, self.sides[i] && (here < 0.0 || next < 0.0));
            }
            if here * next < 0.0 && !(self.is_line() && i == 1) {
                let at = from + (to - from) * (a / (a - b));
                put(0, at, here < 0.0 && self.sides[i]);
                put(1, at, here > 0.0 && self.sides[i]);
            }
        }
        parts
    }
}

/// Areas and lines, parted by planes.
#[derive(Debug)]
pub(crate) enum DepthTree<T> {
    /// Lines alone.
    Lines(Vec<Piece<T>>),
    /// A plane, what lies on it, and what it parts.
    Parted(Box<Parted<T>>),
}

#[derive(Debug)]
pub(crate) struct Parted<T> {
    plane: Plane,
    on: Vec<Piece<T>>,
    before: DepthTree<T>,
    behind: DepthTree<T>,
}

impl<T: Clone> DepthTree<T> {
    /// The tree of these pieces; areas too small to have a plane are left out.
    pub(crate) fn of(pieces: Vec<Piece<T>>) -> Self {
        let drawn = pieces.into_iter().filter(|p| p.is_line() || Plane::of(&p.points).is_some()).collect();
        Self::grow(drawn)
    }

    fn grow(pieces: Vec<Piece<T>>) -> Self {
        let planes: Vec<Plane> =
            pieces.iter().filter(|p| !p.is_line()).filter_map(|p| Plane::of(&p.points)).collect();
        let cost = |plane: &Plane| {
            let count = |side: Side| pieces.iter().filter(|p| plane.side(&p.points) == side).count();
            COST_OF_CUT * count(Side::Across) + count(Side::Before).abs_diff(count(Side::Behind))
        };
        let tried = planes.iter().step_by(planes.len().div_ceil(TRIED).max(1));
        let Some(&plane) = tried.min_by_key(|plane| cost(plane)) else { return Self::Lines(pieces) };
        let (mut on, mut before, mut behind) = (Vec::new(), Vec::new(), Vec::new());
        for piece in pieces {
            match plane.side(&piece.points) {
                Side::On => on.push(piece),
                Side::Before => before.push(piece),
                Side::Behind => behind.push(piece),
                Side::Across => {
                    let least = piece.points.len().min(3);
                    let [a, b] = piece.cut(&plane);
                    // A corner that is cut off within the tolerance leaves nothing to draw.
                    let stays = |part: &Piece<T>| {
                        part.points.len() >= least && (least == 2 || Plane::of(&part.points).is_some())
                    };
                    before.extend(Some(a).filter(stays));
                    behind.extend(Some(b).filter(stays));
                }
            }
        }
        on.sort_by_key(|p| p.rank);
        Self::Parted(Box::new(Parted { plane, on, before: Self::grow(before), behind: Self::grow(behind) }))
    }

    /// Far to near for somebody who looks along `look`.
    pub(crate) fn far_to_near(&self, look: &Vec3) -> Vec<&Piece<T>> {
        let mut order = Vec::new();
        self.visit(look, &mut order);
        order
    }

    fn visit<'t>(&'t self, look: &Vec3, order: &mut Vec<&'t Piece<T>>) {
        match self {
            Self::Lines(lines) => {
                let mut sorted: Vec<&Piece<T>> = lines.iter().collect();
                let depth = |p: &Piece<T>| p.points.iter().map(|q| q.dot(look)).sum::<f64>();
                sorted.sort_by(|a, b| depth(b).total_cmp(&depth(a)));
                order.extend(sorted);
            }
            Self::Parted(node) => {
                let (far, near) = if node.plane.normal.dot(look) < 0.0 {
                    (&node.behind, &node.before)
                } else {
                    (&node.before, &node.behind)
                };
                far.visit(look, order);
                order.extend(&node.on);
                near.visit(look, order);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(points: [[f64; 3]; 4], what: usize) -> Piece<usize> {
        Piece { points: points.map(Vec3::from).to_vec(), sides: vec![true; 4], rank: 1, what }
    }

    /// Three areas of which each lies over the next: no order of them whole is right.
    fn ring() -> Vec<Piece<usize>> {
        let turned = |k: usize| {
            let angle = std::f64::consts::TAU * k as f64 / 3.0;
            let (sin, cos) = angle.sin_cos();
            area(
                [[-3.0, 0.4, -0.6], [3.0, 0.4, 0.6], [3.0, 1.4, 0.6], [-3.0, 1.4, -0.6]]
                    .map(|[x, y, z]| [x * cos - y * sin, x * sin + y * cos, z]),
                k,
            )
        };
        (0..3).map(turned).collect()
    }

    /// Where a ray from far behind along −`look` passes an area, as depth along `look`.
    fn depth_at(piece: &Piece<usize>, at: &Vec3, look: &Vec3) -> Option<f64> {
        let plane = Plane::of(&piece.points)?;
        let slope = plane.normal.dot(look);
        if slope.abs() < 1e-3 {
            return None;
        }
        let t = -plane.off(at) / slope;
        let hit = at + look * t;
        let count = piece.points.len();
        let inside = (0..count).all(|i| {
            let (a, b) = (piece.points[i], piece.points[(i + 1) % count]);
            (b - a).cross(&(hit - a)).dot(&plane.normal) > 1e-6
        });
        inside.then_some(t)
    }

    #[test]
    fn what_is_drawn_last_on_any_line_of_sight_is_the_nearest() {
        let whole = ring();
        let tree = DepthTree::of(whole.clone());
        let mut seen = 0;
        for view in 0..60 {
            let (yaw, pitch) = (0.7 * f64::from(view), (0.37 * f64::from(view)).sin());
            let look = Vec3::new(yaw.sin() * pitch.cos(), yaw.cos() * pitch.cos(), -pitch.sin());
            let order = tree.far_to_near(&look);
            for step in 0..400 {
                let at = Vec3::new(
                    2.9 * (1.7 * f64::from(step)).sin(),
                    2.9 * (2.3 * f64::from(step)).cos(),
                    0.5 * (3.1 * f64::from(step)).sin(),
                );
                let last = order.iter().rev().find(|p| depth_at(p, &at, &look).is_some());
                let nearest = whole
                    .iter()
                    .filter_map(|p| Some((depth_at(p, &at, &look)?, p.what)))
                    .min_by(|a, b| a.0.total_cmp(&b.0));
                let (Some(last), Some(nearest)) = (last, nearest) else { continue };
                assert_eq!(last.what, nearest.1, "view {view}, ray {step}");
                seen += 1;
            }
        }
        assert!(seen > 2000, "{seen}");
        assert!(tree.far_to_near(&Vec3::z()).len() > 3, "a ring has to be cut");
    }

    #[test]
    fn parts_of_a_cut_are_the_whole_and_show_no_new_side() {
        let piece = area([[0.0, 0.0, 0.0], [2.0, 0.0, 0.0], [2.0, 1.0, 0.0], [0.0, 1.0, 0.0]], 0);
        let plane = Plane { normal: Vec3::x(), at: 0.5 };
        let [before, behind] = piece.cut(&plane);
        let size = |p: &Piece<usize>| {
            let double: Vec3 =
                p.points.windows(2).map(|w| (w[0] - p.points[0]).cross(&(w[1] - p.points[0]))).sum();
            0.5 * double.norm()
        };
        assert!((size(&before) - 1.5).abs() < 1e-12 && (size(&behind) - 0.5).abs() < 1e-12);
        let drawn = |p: &Piece<usize>| -> f64 {
            let count = p.points.len();
            let sides = (0..count).filter(|&i| p.sides[i]);
            sides.map(|i| (p.points[(i + 1) % count] - p.points[i]).norm()).sum()
        };
        assert!((drawn(&before) - 4.0).abs() < 1e-12 && (drawn(&behind) - 2.0).abs() < 1e-12);
        let [a, b] = Piece::line(Vec3::zeros(), Vec3::x(), 0).cut(&plane);
        assert_eq!((a.points.len(), b.points.len()), (2, 2));
        assert!((drawn(&a) + drawn(&b) - 1.0).abs() < 1e-12);
    }
}
