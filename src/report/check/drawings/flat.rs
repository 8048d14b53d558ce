//! A wedge's face laid flat on the unrolled surface.

use crate::opening::{Opening, Surface, Vec2};
use crate::orientation::Vec3;
use crate::report::paper::sheet::Point;
use crate::study::CheckedWedge;
use crate::wedge::{Sector, Shape};

/// A face with more than this share off the floor is laid where its back and walls are.
const OFF_FLOOR_SHARE: f64 = 0.1;

/// A wedge's face at its worst placement on the unrolled surface: chainage along the drive from
/// the apex, arc length from the crown, positive to the right; metres.
///
/// The surface is unrolled without an end: on a floor the arc goes on past the middle, so that
/// every face is in one piece.
#[derive(Debug, Clone)]
pub(super) struct FlatFace {
    /// Its traces, in the order of the wedge's sets.
    pub traces: [Vec<Point>; 3],
    /// The whole face, closed.
    pub outline: Vec<Point>,
}

impl FlatFace {
    /// The face of `wedge` on `opening`; `None` where its pyramid has no finite wedge, which no
    /// checked wedge has.
    pub(super) fn new(opening: &Opening, wedge: &CheckedWedge) -> Option<Self> {
        let shape = wedge.worst_shape();
        let sector = Sector::of(&wedge.cone)?;
        let facets = chain(opening, shape);
        let arc = |p: &Vec3| -> Point { [p.y, opening.section.crown_m() - along_m(opening, &facets, p)] };
        let mut traces: [Vec<Point>; 3] =
            std::array::from_fn(|i| shape.joints[i].trace.iter().map(arc).collect());
        let lift = turns(opening, shape, &facets) * opening.section.perimeter_m();
        traces.iter_mut().flatten().for_each(|p| p[1] += lift);
        // The lone plane's trace goes from the start to the end of the face, the two others
        // together do the same on its other side.
        let [opposite_start, lone, opposite_end] = sector.order;
        let mut outline = traces[lone].clone();
        outline.extend(traces[opposite_start].iter().rev());
        outline.extend(traces[opposite_end].iter().rev());
        outline.dedup();
        if outline.len() > 1 && outline.first() == outline.last() {
            outline.pop();
        }
        Some(Self { traces, outline })
    }

    /// Least and greatest chainage from the apex, metres.
    pub(super) fn along(&self) -> [f64; 2] {
        range(self.outline.iter().map(|p| p[0]))
    }

    /// Least and greatest arc length from the crown, metres.
    pub(super) fn arc(&self) -> [f64; 2] {
        range(self.outline.iter().map(|p| p[1]))
    }
}

fn range(values: impl Iterator<Item = f64>) -> [f64; 2] {
    values.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], x| [low.min(x), high.max(x)])
}

/// The facets that a face lies on, in order along the perimeter, each with the metres at which it
/// starts; past vertex 0 they count on.
fn chain(opening: &Opening, shape: &Shape) -> Vec<(usize, f64)> {
    let section = &opening.section;
    let mut facets: Vec<(usize, f64)> = Vec::with_capacity(shape.openings.len());
    for face in &shape.openings {
        let mut start = section.round_m()[face.facet];
        while facets.last().is_some_and(|(_, before)| start < *before) {
            start += section.perimeter_m();
        }
        facets.push((face.facet, start));
    }
    facets
}

/// Where a corner of the face is along the perimeter: on the nearest of its facets.
fn along_m(opening: &Opening, facets: &[(usize, f64)], point: &Vec3) -> f64 {
    let here = Vec2::new(point.x, point.z);
    let mut best = (f64::INFINITY, 0.0);
    for (index, start_m) in facets {
        let facet = &opening.section.facets()[*index];
        let offset = here - facet.start;
        let along = offset.dot(&facet.tangent).clamp(0.0, facet.length_m);
        let off = (offset - facet.tangent * along).norm();
        if off < best.0 {
            best = (off, start_m + along);
        }
    }
    best.1
}

/// How many whole perimeters the arc of a face moves: a face off the floor stands within half a
/// perimeter of the crown, one in the floor joins the right wall.
fn turns(opening: &Opening, shape: &Shape, facets: &[(usize, f64)]) -> f64 {
    let section = &opening.section;
    let floor = |facet: usize| opening.surface_of(facet) == Surface::Floor;
    let off_floor: f64 = shape.openings.iter().filter(|f| !floor(f.facet)).map(|f| f.area_m2).sum();
    let in_floor = off_floor <= OFF_FLOOR_SHARE * shape.opening_area_m2();
    let (mut sum, mut area) = (0.0, 0.0);
    for (face, (_, start_m)) in shape.openings.iter().zip(facets) {
        if in_floor || !floor(face.facet) {
            let middle = start_m + 0.5 * section.facets()[face.facet].length_m;
            sum += face.area_m2 * (section.crown_m() - middle);
            area += face.area_m2;
        }
    }
    let turns = if area > 0.0 { sum / area / section.perimeter_m() } else { 0.0 };
    if in_floor { -turns.floor() } else { -turns.round() }
}
