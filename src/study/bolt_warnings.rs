use super::{Check, Warning};
use crate::case::Case;
use crate::support::BoltKind;

/// What a reader should know of the bolts besides their numbers, in a fixed order.
pub(super) fn bolt_warnings(case: &Case, check: &Check) -> Vec<Warning> {
    let mut warnings = Vec::new();
    let flat: Vec<&str> = case
        .bolts
        .iter()
        .enumerate()
        .filter(|(i, b)| b.kind == BoltKind::Friction && case.patterns.iter().any(|p| p.bolt == *i))
        .map(|(_, b)| b.name.as_str())
        .collect();
    if !flat.is_empty() {
        warnings.push(Warning::FlatFrictionBond { bolts: flat.join(", ") });
    }
    let near = |serving: &[crate::support::Serving]| serving.iter().filter(|s| s.near_plate()).count();
    let wedges: Vec<(&str, usize)> = check
        .every()
        .filter_map(|w| Some((w.wedge.id.as_str(), near(w.serving()?))))
        .filter(|(_, count)| *count > 0)
        .collect();
    if !wedges.is_empty() {
        let named: Vec<String> = wedges.iter().map(|(id, count)| format!("{id} {count}")).collect();
        warnings.push(Warning::JointNearPlate { bolts: named.join(", ") });
    }
    if case.dowel_shear.is_some() {
        warnings.push(Warning::DowelShear);
    }
    warnings
}
