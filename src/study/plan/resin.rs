use super::{Drilled, PlanNote, whole};
use crate::case::PlanInputs;
use crate::support::BoltKind;

/// Whole cartridges that hold this share more than the hole takes are worth a word.
const OVERFILLED: f64 = 0.25;

/// Cartridge that fills the ring between hole and bar over `length_m`, metres: the volumes are
/// equal, (hole² − bar²)·length = cartridge²·result. Diameters in millimetres; derived.
///
/// A hole of 28 mm, a bar of 20 mm and cartridges of 24 mm need 1.000 m for 1.5 m.
#[must_use]
pub fn cartridge_length_m(hole_mm: f64, bar_mm: f64, cartridge_mm: f64, length_m: f64) -> f64 {
    (hole_mm * hole_mm - bar_mm * bar_mm) / (cartridge_mm * cartridge_mm) * length_m
}

/// Whole cartridges of a hole: nobody loads half of one.
#[must_use]
pub fn cartridges(needed_m: f64, cartridge_m: f64) -> u64 {
    whole(needed_m / cartridge_m)
}

/// What the resin of one hole comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct HoleResin {
    /// Length of hole that fast resin fills, metres, and whether the bolt says so itself.
    pub fast_length_m: f64,
    /// Metres of cartridge by volume: fast, slow.
    pub needed_m: [f64; 2],
    /// Whole cartridges: fast, slow.
    pub cartridges: [u64; 2],
}

impl HoleResin {
    /// Of a resin bolt whose three diameters are known.
    pub fn of(pattern: &Drilled, inputs: &PlanInputs) -> Option<Self> {
        if pattern.kind != BoltKind::Resin {
            return None;
        }
        let (hole, bar, cartridge) =
            (pattern.plan.hole_mm?, pattern.plan.bar_mm?, pattern.plan.cartridge_mm?);
        let fast_length_m =
            pattern.plan.fast_length_m.unwrap_or(inputs.fast_length_m.value).min(pattern.hole_m);
        let slow_length_m = pattern.hole_m - fast_length_m;
        let needed_m =
            [fast_length_m, slow_length_m].map(|length| cartridge_length_m(hole, bar, cartridge, length));
        let cartridges = [
            cartridges(needed_m[0], inputs.fast_cartridge_m.value),
            cartridges(needed_m[1], inputs.slow_cartridge_m.value),
        ];
        Some(Self { fast_length_m, needed_m, cartridges })
    }

    /// By how much whole cartridges overfill the hole, a share of what it takes.
    fn over(&self, inputs: &PlanInputs) -> f64 {
        let loaded = self.cartridges[0] as f64 * inputs.fast_cartridge_m.value
            + self.cartridges[1] as f64 * inputs.slow_cartridge_m.value;
        loaded / self.needed_m.iter().sum::<f64>() - 1.0
    }
}

/// Grout of one cable hole, litres: hole less strand.
pub(super) fn grout_litres(pattern: &Drilled) -> Option<f64> {
    let (hole, bar) = (pattern.plan.hole_mm?, pattern.plan.bar_mm?);
    // mm² times metres are millilitres.
    Some(std::f64::consts::FRAC_PI_4 * (hole * hole - bar * bar) * pattern.hole_m / 1000.0)
}

/// What deserves a word of a pattern's resin or grout.
pub(super) fn note(pattern: &Drilled, inputs: &PlanInputs) -> Option<PlanNote> {
    let bolt = pattern.name.to_owned();
    let plan = pattern.plan;
    let mut asked = vec![("hole_mm", plan.hole_mm), ("bar_mm", plan.bar_mm)];
    match pattern.kind {
        BoltKind::Resin => asked.push(("cartridge_mm", plan.cartridge_mm)),
        BoltKind::Cable => {}
        BoltKind::Mechanical | BoltKind::Friction => return None,
    }
    let lacking: Vec<&str> = asked.iter().filter(|(_, value)| value.is_none()).map(|(key, _)| *key).collect();
    if !lacking.is_empty() {
        return Some(PlanNote::NotCounted { bolt, lacking: lacking.join(", ") });
    }
    let over = HoleResin::of(pattern, inputs)?.over(inputs);
    (over > OVERFILLED).then_some(PlanNote::Overfilled { bolt, over_percent: 100.0 * over })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Named in units of metres: rounding alone.
    const ROUNDING_M: f64 = 1e-12;

    /// Derived: (28² − 20²)/24² = 384/576 = 2/3 of 1.5 m.
    #[test]
    fn a_volume_balance_by_hand() {
        assert!((cartridge_length_m(28.0, 20.0, 24.0, 1.5) - 1.0).abs() < ROUNDING_M);
        // An unlike twin: (33² − 22²)/28² = 605/784 of 2.3 m.
        assert!((cartridge_length_m(33.0, 22.0, 28.0, 2.3) - 2.3 * 605.0 / 784.0).abs() < ROUNDING_M);
    }

    #[test]
    fn cartridges_are_whole_and_rounding_adds_none() {
        assert_eq!(cartridges(1.0, 0.5), 2);
        assert_eq!(cartridges(0.1 + 0.2, 0.1), 3);
        assert_eq!(cartridges(1.01, 0.5), 3);
        assert_eq!(cartridges(0.0, 0.5), 0);
    }
}
