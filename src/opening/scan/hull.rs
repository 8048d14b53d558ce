use crate::numeric::signed_area;
use crate::opening::{Vec2, cross2};

/// Sides are taken off the hull, cheapest first, as long as that adds no more than this share of
/// its area: a tenth of what a survey of a blasted profile leaves open.
pub const SIMPLIFIED_SHARE: f64 = 0.0025;

/// No corner of the simplified hull lies further out than this from the side that it replaces:
/// half of what a blasted surface varies from one hand to the next.
pub const SIMPLIFIED_REACH_M: f64 = 0.05;

/// Facets of a scanned section; a check's time grows with them. An arched drive of 5 m has 47.
pub const MOST_FACETS: usize = 48;

/// A convex polygon with fewer sides that contains `hull`. Sides are dropped and their neighbours
/// drawn on until they meet, the side whose loss adds least area first, while the area added stays
/// within [`SIMPLIFIED_SHARE`] and no new corner lies beyond [`SIMPLIFIED_REACH_M`]; down to
/// [`MOST_FACETS`] in any case.
pub(super) fn simplified(hull: &[Vec2]) -> Vec<Vec2> {
    let mut points = hull.to_vec();
    let mut room_m2 = SIMPLIFIED_SHARE * signed_area(hull);
    while points.len() > 3 {
        let must = points.len() > MOST_FACETS;
        let losses = (0..points.len()).filter_map(|side| loss(&points, side));
        let within = |l: &Loss| l.area_m2 <= room_m2 && l.reach_m <= SIMPLIFIED_REACH_M;
        let Some(cheapest) = losses
            .filter(|l| must || within(l))
            .min_by(|a, b| a.area_m2.total_cmp(&b.area_m2).then(a.side.cmp(&b.side)))
        else {
            break;
        };
        room_m2 -= cheapest.area_m2;
        let end = (cheapest.side + 1) % points.len();
        points[cheapest.side] = cheapest.corner;
        points.remove(end);
    }
    points
}

/// What it costs to drop a side.
struct Loss {
    side: usize,
    /// Where its neighbours meet.
    corner: Vec2,
    area_m2: f64,
    /// How far that is from the side.
    reach_m: f64,
}

fn loss(points: &[Vec2], side: usize) -> Option<Loss> {
    let n = points.len();
    let (before, a, b, after) =
        (points[(side + n - 1) % n], points[side], points[(side + 1) % n], points[(side + 2) % n]);
    let (into, out) = (a - before, b - after);
    // Neighbours that turn by half a circle or more never meet on the outer side.
    let turn = cross2(&into, &-out);
    if turn <= 0.0 {
        return None;
    }
    let step = cross2(&(b - a), &-out) / turn;
    let corner = a + into * step;
    let area = 0.5 * cross2(&(corner - a), &(b - a)).abs();
    let length = (b - a).norm();
    (step >= 0.0 && corner.iter().all(|c| c.is_finite())).then_some(Loss {
        side,
        corner,
        area_m2: area,
        reach_m: 2.0 * area / length,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(count: u32, radius: f64) -> Vec<Vec2> {
        (0..count)
            .map(|i| {
                let turn = std::f64::consts::TAU * f64::from(i) / f64::from(count);
                Vec2::new(radius * turn.cos(), radius * turn.sin())
            })
            .collect()
    }

    #[test]
    fn a_simplified_hull_contains_the_hull_and_says_no_more_than_it_may() {
        for count in [5, 60, 400] {
            let hull = ring(count, 2.5);
            let simple = simplified(&hull);
            assert!(simple.len() <= MOST_FACETS.min(hull.len()), "{}", simple.len());
            let added = signed_area(&simple) / signed_area(&hull) - 1.0;
            assert!((0.0..=SIMPLIFIED_SHARE).contains(&added), "{count}: {added}");
            for point in &hull {
                for (i, a) in simple.iter().enumerate() {
                    let b = simple[(i + 1) % simple.len()];
                    let inside = cross2(&(b - a), &(point - a)) / (b - a).norm();
                    assert!(inside > -1e-12, "{count}: {inside}");
                }
            }
        }
    }

    #[test]
    fn a_rectangle_stays_as_it_is() {
        let hull = [(0.0, 0.0), (5.0, 0.0), (5.0, 4.0), (0.0, 4.0)].map(|(u, v)| Vec2::new(u, v));
        assert_eq!(simplified(&hull), hull);
    }
}
