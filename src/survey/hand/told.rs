use super::HandSet;
use crate::orientation::Vec3;
use crate::survey::Warning;

/// Says which borders overlap and with how many readings in both, which hold nothing, and how many readings are
/// outside of all. `axes` are those of the readings.
pub(crate) fn warn_about_borders(sets: &[HandSet], axes: &[Vec3], warnings: &mut Vec<Warning>) {
    let held: Vec<Vec<bool>> =
        sets.iter().map(|set| axes.iter().map(|axis| set.border.holds(axis)).collect()).collect();
    for (at, first) in sets.iter().enumerate() {
        for (other, second) in sets.iter().enumerate().skip(at + 1) {
            let both = held[at].iter().zip(&held[other]).filter(|(a, b)| **a && **b).count();
            if both > 0 || first.border.overlaps(&second.border) {
                let (first, second) = (first.name.clone(), second.name.clone());
                warnings.push(Warning::BordersOverlap { first, second, readings: both });
            }
        }
    }
    for (at, set) in sets.iter().enumerate() {
        let own = |reading: usize| held[at][reading] && !held[..at].iter().any(|before| before[reading]);
        if !(0..axes.len()).any(own) {
            warnings.push(Warning::BorderHoldsNothing { set: set.name.clone() });
        }
    }
    let outside = (0..axes.len()).filter(|&reading| !held.iter().any(|set| set[reading])).count();
    if outside > 0 {
        warnings.push(Warning::OutsideBorders { outside, readings: axes.len() });
    }
}
