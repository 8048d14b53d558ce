use crate::case::Case;
use crate::survey::{Triple, meeting_probabilities};

/// Which three sets of a case meet, likeliest first; nothing unless every set has a measured
/// spacing, since without one the shares of the others would be wrong as well.
#[must_use]
pub fn meeting(case: &Case) -> Vec<Triple> {
    let sets: Option<Vec<_>> =
        case.sets().map(|(_, set)| Some((set.plane.upward_normal(), set.spacing_m?))).collect();
    sets.map(|sets| meeting_probabilities(&sets)).unwrap_or_default()
}
