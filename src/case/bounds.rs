//! A guess of how long the check of a case takes.

use super::{Case, JointKind};
use crate::opening::{Opening, Section};
use crate::support::phase_groups;

/// What a check of a case takes, by what was measured of cases of one triple to 56, sections of 3 to 497
/// facets, one pattern to six and 0.7 to 25 collars on a square metre. It is a guess: within three times
/// either way for those that it was made from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CheckCost {
    /// Triples of joints of which at most one is a structure.
    pub triples: usize,
    /// Facets of the section.
    pub facets: usize,
    /// Patterns that slide along the drive by themselves.
    pub sliding: usize,
    /// Collars that may be on the face of one wedge, about.
    pub collars: f64,
    /// Seconds of one core, about.
    pub core_seconds: f64,
}

/// Reading, drawing and writing, seconds.
const ALWAYS_S: f64 = 1.5;
/// A triple under one pattern of few bolts on a section of few facets, seconds.
const TRIPLE_S: f64 = 0.9;
/// What goes with the square of facets, and with the collars on a wedge and their square, seconds.
const FACETS_SQUARE_S: f64 = 1.4e-4;
const COLLAR_S: f64 = 0.012;
const COLLARS_SQUARE_S: f64 = 3.3e-5;
/// How much longer each further sliding pattern makes it.
const SLIDING_FACTOR: f64 = 1.6;
/// A wedge without caps is about so many times as long as the section is wide.
const LENGTH_OVER_WIDTH: f64 = 1.5;

/// Triples of joints of which at most one is a structure.
#[must_use]
pub(super) fn triples(sets: usize, structures: usize) -> usize {
    let pairs = sets * sets.saturating_sub(1) / 2;
    pairs * sets.saturating_sub(2) / 3 + pairs * structures
}

/// About what a check of this case takes.
#[must_use]
pub fn check_cost(case: &Case, opening: &Opening) -> CheckCost {
    let structures = case.joints.iter().filter(|j| j.kind != JointKind::Set).count();
    let triples = triples(case.joints.len() - structures, structures);
    let per_m2: f64 = case.patterns.iter().map(|p| 1.0 / (p.spacing_m * p.ring_spacing_m)).sum();
    let sliding = phase_groups(&case.patterns).len();
    let facets = opening.section.facets().len();
    let collars = per_m2 * widest_face_m2(case, &opening.section);
    #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_possible_wrap)]
    // counts of some hundreds
    let core_seconds = {
        let facets = (facets as f64).powi(2) * FACETS_SQUARE_S;
        let bolts = collars * COLLAR_S + collars * collars * COLLARS_SQUARE_S;
        let slide = SLIDING_FACTOR.powi(sliding.saturating_sub(1) as i32);
        ALWAYS_S + triples as f64 * (TRIPLE_S + facets + bolts) * slide
    };
    CheckCost { triples, facets, sliding, collars, core_seconds }
}

/// About the greatest face of a wedge: as wide as the section and half as long again, but for the caps.
fn widest_face_m2(case: &Case, section: &Section) -> f64 {
    let (low, high) = section.bounds();
    let across = (high - low).max();
    let trace = |cap: Option<f64>| cap.or(case.limits.max_trace_m).unwrap_or(f64::INFINITY);
    let traces = case.joints.iter().map(|j| trace(j.max_trace_m));
    let longest = traces.fold(0.0, f64::max).min(case.limits.max_length_m.unwrap_or(f64::INFINITY));
    across.min(longest) * (LENGTH_OVER_WIDTH * across).min(longest)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn triples_are_counted() {
        assert_eq!([3, 4, 8, 10, 20].map(|n| triples(n, 0)), [1, 4, 56, 120, 1140]);
        // Three sets and a structure: one of sets, three with the structure.
        assert_eq!(triples(3, 1), 4);
        assert_eq!(triples(2, 2), 2);
        assert_eq!([0, 1, 2].map(|n| triples(n, 0)), [0, 0, 0]);
    }
}
