use super::{Layout, Pattern};
use crate::opening::Opening;
use crate::wedge::Chain;

/// Stretches whose ends are nearer than this are one: a collar has no finer place.
const JOINED_M: f64 = 1e-9;

/// A stretch of a chain, metres along it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Where it begins.
    pub from_m: f64,
    /// Where it ends.
    pub to_m: f64,
}

impl Span {
    /// Whether some of it lies between two places.
    #[must_use]
    pub fn meets(&self, from_m: f64, to_m: f64) -> bool {
        self.from_m < to_m && from_m < self.to_m
    }
}

/// The bolted ground of a chain: facets of the surfaces that a pattern covers, walls down to half
/// a spacing below the pattern's lowest collar on them. Half a spacing is what each collar holds on
/// either side; below that the pattern does not reach.
#[must_use]
pub fn bolted_ground(
    chain: &Chain,
    opening: &Opening,
    patterns: &[Pattern],
    layouts: &[Layout],
) -> Vec<Span> {
    let section = &opening.section;
    let mut spans: Vec<Span> = Vec::new();
    for k in 0..chain.vertices().len() - 1 {
        let surface = opening.surface_of(chain.facet_index(k, section.facets().len()));
        let (from_m, to_m) = (chain.vertex_along_m(k), chain.vertex_along_m(k + 1));
        for (pattern, layout) in patterns.iter().zip(layouts) {
            if !pattern.covers.iter().any(|c| c.includes(surface)) {
                continue;
            }
            let farthest_m = layout
                .rows
                .iter()
                .filter(|r| r.collar.surface == surface)
                .map(|r| r.collar.arc_m.abs())
                .fold(f64::NEG_INFINITY, f64::max);
            let (mut low_m, mut high_m) = (from_m, to_m);
            if surface.is_wall() {
                // Along a facet the arc length from the crown falls as the place goes on.
                let middle_m = 0.5 * (from_m + to_m);
                let arc_m = section.arc_from_crown_m(chain.offset_m() + middle_m);
                let reach_m = farthest_m + 0.5 * pattern.spacing_m;
                low_m = low_m.max(middle_m + arc_m - reach_m);
                high_m = high_m.min(middle_m + arc_m + reach_m);
            }
            if high_m > low_m && farthest_m.is_finite() {
                spans.push(Span { from_m: low_m, to_m: high_m });
            }
        }
    }
    joined(spans)
}

/// The same stretches in order along the chain, those that touch or overlap as one.
#[must_use]
pub fn joined(mut spans: Vec<Span>) -> Vec<Span> {
    spans.sort_by(|a, b| a.from_m.total_cmp(&b.from_m));
    let mut joined: Vec<Span> = Vec::new();
    for span in spans {
        match joined.last_mut() {
            Some(last) if span.from_m <= last.to_m + JOINED_M => last.to_m = last.to_m.max(span.to_m),
            _ => joined.push(span),
        }
    }
    joined
}

/// What two lists of stretches share.
#[must_use]
pub fn common(a: &[Span], b: &[Span]) -> Vec<Span> {
    let shared = a
        .iter()
        .flat_map(|a| b.iter().map(|b| Span { from_m: a.from_m.max(b.from_m), to_m: a.to_m.min(b.to_m) }));
    joined(shared.filter(|s| s.to_m - s.from_m > JOINED_M).collect())
}

/// What is left of some stretches without others.
#[must_use]
pub fn without(from: &[Span], taken: &[Span]) -> Vec<Span> {
    let mut left = joined(from.to_vec());
    for cut in joined(taken.to_vec()) {
        left = left
            .into_iter()
            .flat_map(|s| {
                [
                    Span { from_m: s.from_m, to_m: s.to_m.min(cut.from_m) },
                    Span { from_m: s.from_m.max(cut.to_m), to_m: s.to_m },
                ]
            })
            .filter(|s| s.to_m - s.from_m > JOINED_M)
            .collect();
    }
    left
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spans(ends: &[(f64, f64)]) -> Vec<Span> {
        ends.iter().map(|&(from_m, to_m)| Span { from_m, to_m }).collect()
    }

    #[test]
    fn stretches_are_joined_shared_and_cut() {
        let a = spans(&[(3.0, 4.0), (0.0, 1.0), (1.0, 2.0)]);
        assert_eq!(joined(a.clone()), spans(&[(0.0, 2.0), (3.0, 4.0)]));
        assert_eq!(common(&a, &spans(&[(0.5, 3.5)])), spans(&[(0.5, 2.0), (3.0, 3.5)]));
        assert_eq!(without(&a, &spans(&[(0.5, 3.5)])), spans(&[(0.0, 0.5), (3.5, 4.0)]));
        assert_eq!(without(&a, &spans(&[(-1.0, 9.0)])), spans(&[]));
    }
}
