use crate::stability::{Reaction, Stability};

/// The support force against the movement that a wedge needs to reach a factor of safety, kN; 0
/// where its joints reach it alone.
#[must_use]
pub fn force_needed_kn(stability: &Stability, fs_asked: f64) -> f64 {
    let resistance = stability.resistance_kn(&Reaction::default());
    (fs_asked * stability.motion.driving_kn - resistance).max(0.0)
}

/// How many bolts of this effect carry a force; `None` where one bolt does nothing.
#[must_use]
pub fn bolts_needed(force_needed_kn: f64, one_bolt_kn: f64) -> Option<u32> {
    if force_needed_kn <= 0.0 {
        Some(0)
    } else if one_bolt_kn > 0.0 {
        Some((force_needed_kn / one_bolt_kn).ceil().min(f64::from(u32::MAX)) as u32)
    } else {
        None
    }
}

/// The load on one bolt of a square or rectangular pattern under a pressure, kN: pressure times
/// the area that one bolt serves. For a slab that hangs from its bolts the pressure is γ · D;
/// Brady & Brown (2004), eq. 11.8.
#[must_use]
pub fn bolt_load_kn(pressure_kpa: f64, ring_spacing_m: f64, spacing_m: f64) -> f64 {
    pressure_kpa * ring_spacing_m * spacing_m
}

#[cfg(test)]
mod tests {
    use super::*;

    /// R3: Brady & Brown (2004), eq. 11.8, p. 327: 25 kN/m³, slab of 1.5 m, spacing 1.5 m.
    #[test]
    fn a_hanging_slab_loads_each_bolt_with_its_share() {
        assert!((bolt_load_kn(25.0 * 1.5, 1.5, 1.5) - 84.375).abs() < 1e-12);
        // The asymmetric twin: 1.2 m between rings, 1.8 m across.
        assert!((bolt_load_kn(26.0 * 1.1, 1.2, 1.8) - 61.776).abs() < 1e-9);
    }

    #[test]
    fn bolts_are_counted_upward() {
        assert_eq!(bolts_needed(0.0, 0.0), Some(0));
        assert_eq!(bolts_needed(100.1, 50.0), Some(3));
        assert_eq!(bolts_needed(10.0, 0.0), None);
    }
}
