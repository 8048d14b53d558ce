use super::{Check, CheckedWedge, Warning};
use crate::case::Case;
use crate::stability::Reaction;
use crate::strength::StrengthLaw;

/// Joints whose law was drawn as a line up to a normal stress that a wedge goes beyond, weight and bolts at their
/// capacity together: the most of each joint, in the order of the case. Beyond it the line may lie above the law.
pub(super) fn law_warnings(case: &Case, check: &Check) -> Vec<Warning> {
    let limits: Vec<Option<f64>> =
        case.joints.iter().map(|joint| joint.law.as_ref().and_then(StrengthLaw::up_to_kpa)).collect();
    if limits.iter().all(Option::is_none) {
        return Vec::new();
    }
    let mut most: Vec<Option<(f64, String)>> = vec![None; limits.len()];
    let mut look = |wedge: &CheckedWedge| {
        for (place, kpa) in pressed_kpa(wedge).into_iter().enumerate() {
            let joint = wedge.wedge.sets[place];
            if most[joint].as_ref().is_none_or(|(known, _)| kpa > *known) {
                most[joint] = Some((kpa, wedge.wedge.id.clone()));
            }
        }
    };
    for wedge in check.every() {
        look(wedge);
        if let Some(piece) = wedge.deciding() {
            look(&piece);
        }
    }
    let limits = case.joints.iter().zip(limits);
    limits
        .zip(most)
        .filter_map(|((joint, limit), most)| {
            let (up_to_kpa, (kpa, wedge)) = (limit?, most?);
            let joint = joint.name.clone();
            (kpa > up_to_kpa).then_some(Warning::BeyondLaw { joint, wedge, kpa, up_to_kpa })
        })
        .collect()
}

/// Normal stress on each joint, kPa: what the active force presses, and what the bolts that serve it press at their
/// capacity; 0 where it is pulled off.
fn pressed_kpa(wedge: &CheckedWedge) -> [f64; 3] {
    let stability = &wedge.wedge.stability;
    let mut bolts = Reaction::default();
    for serving in wedge.serving().unwrap_or_default() {
        bolts += stability.effect(&serving.direction).times(serving.capacity.kn);
    }
    std::array::from_fn(|i| {
        let kn = stability.motion.normal_kn[i] + bolts.normal_kn[i].max(0.0);
        let area_m2 = wedge.wedge.shape.joints[i].area_m2;
        if stability.motion.normal_kn[i] > 0.0 && area_m2 > 0.0 { kn / area_m2 } else { 0.0 }
    })
}
