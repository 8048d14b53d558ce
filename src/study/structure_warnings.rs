use super::{Check, CheckedWedge, Warning};
use crate::case::Case;
use crate::orientation::Vec3;

/// A structure is carried far where the nearest corner of a wedge's face on it lies farther than this from
/// where it was mapped, metres: over so much five degrees of doubt in its orientation move it by 1.3 m, a
/// spacing of rings and more. Our own choice, no source.
pub(super) const FAR_FROM_MAPPED_M: f64 = 15.0;

/// Structures that wedges take for a plane far from where they were mapped, in the order of the case.
pub(super) fn structure_warnings(case: &Case, check: &Check) -> Vec<Warning> {
    let far = |(index, joint, through): (usize, &crate::case::Joint, Vec3)| {
        let wedges: Vec<String> = check
            .wedges
            .iter()
            .filter_map(|wedge| Some((wedge, carried_m(wedge, index, &through)?)))
            .filter(|(_, carried_m)| *carried_m > FAR_FROM_MAPPED_M)
            .map(|(wedge, carried_m)| format!("{} by {carried_m:.0} m", wedge.wedge.id))
            .collect();
        (!wedges.is_empty()).then(|| Warning::StructureCarriedFar {
            structure: joint.name.clone(),
            chainage_m: through.y,
            wedges: wedges.join(", "),
            far_m: FAR_FROM_MAPPED_M,
        })
    };
    case.structures().filter_map(far).collect()
}

/// From where a structure was mapped to the nearest corner of a wedge's face on it, at its worst placement,
/// metres; `None` where it is no face of the wedge, or where the wedge may be at any chainage.
fn carried_m(wedge: &CheckedWedge, structure: usize, through: &Vec3) -> Option<f64> {
    let face = wedge.wedge.sets.iter().position(|set| *set == structure)?;
    wedge.wedge.located.filter(|l| l.has_chainage())?;
    let shape = wedge.worst_shape();
    let chainage = Vec3::new(0.0, wedge.apex_chainage_m(), 0.0);
    let corners = shape.joints[face].trace.iter().chain([&shape.apex]);
    corners.map(|corner| (corner + chainage - through).norm()).min_by(f64::total_cmp)
}
