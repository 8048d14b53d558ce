//! Laws of strength in words, with the numbers put in.

use crate::report::paper::numbers::{fixed, shortest};
use crate::strength::{PEAK_CAP_DEG, Rough, StrengthLaw};

/// A law with its numbers, and the line that is taken of it, so that somebody can work it out by hand.
#[must_use]
pub(super) fn law_words(law: &StrengthLaw) -> String {
    let line = law.line();
    let friction = fixed(line.friction_deg, 3);
    match law {
        StrengthLaw::Rough(rough, up_to_kpa) => {
            let (jrc, jcs_mpa) = rough.at_block();
            let Rough { base_friction_deg, lengths_m, .. } = rough;
            let scaled = lengths_m.map_or_else(String::new, |[measured_m, block_m]| {
                format!(
                    "JRC_n = {} × ({} / {})^(−0.02 × {}) = {}, JCS_n = {} × ({} / {})^(−0.03 × {}) = {} MPa; ",
                    shortest(rough.jrc),
                    shortest(block_m.max(measured_m)),
                    shortest(measured_m),
                    shortest(rough.jrc),
                    fixed(jrc, 4),
                    shortest(rough.jcs_mpa),
                    shortest(block_m.max(measured_m)),
                    shortest(measured_m),
                    shortest(rough.jrc),
                    fixed(jcs_mpa, 3)
                )
            });
            let capped = if rough.uncapped_deg(*up_to_kpa) > PEAK_CAP_DEG {
                format!(", capped at {PEAK_CAP_DEG}°")
            } else {
                String::new()
            };
            format!(
                "rough joint (Barton & Choubey 1977; scale by Barton & Bandis 1982). {scaled}at {} kPa φ = {} + {} × log10({} × 1000 / {}) = {friction}°{capped}. Taken as the straight line τ = σ tan φ; below {} kPa the law gives more.",
                shortest(*up_to_kpa),
                shortest(*base_friction_deg),
                fixed(jrc, 4),
                fixed(jcs_mpa, 3),
                shortest(*up_to_kpa),
                shortest(*up_to_kpa)
            )
        }
        StrengthLaw::Stepped(stepped, up_to_kpa) => {
            let riding = stepped.friction_deg + stepped.step_deg;
            let below_kpa = up_to_kpa.min(stepped.sheared_off_kpa);
            format!(
                "steps that are sheared off at {} kPa (Patton 1966). At {} kPa τ = {} tan {}° + {} tan {}°, so tan φ = τ / {}, φ = {friction}°. Taken as the straight line τ = σ tan φ; below {} kPa the law gives no less.",
                shortest(stepped.sheared_off_kpa),
                shortest(*up_to_kpa),
                shortest(below_kpa),
                shortest(riding),
                shortest(up_to_kpa - below_kpa),
                shortest(stepped.residual_deg),
                shortest(*up_to_kpa),
                shortest(*up_to_kpa)
            )
        }
        StrengthLaw::Bridged(bridged) => {
            let share = shortest(bridged.persistence);
            format!(
                "joint over {share} of the plane, rock over the rest (Jennings 1970). tan φ = {share} tan {}° + (1 − {share}) tan {}°, φ = {friction}°; c = {share} × {} + (1 − {share}) × {} = {} kPa. Rock bridges are seen by nobody: a joint that runs through has none.",
                shortest(bridged.joint.friction_deg),
                shortest(bridged.rock.friction_deg),
                shortest(bridged.joint.cohesion_kpa),
                shortest(bridged.rock.cohesion_kpa),
                fixed(line.cohesion_kpa, 3)
            )
        }
    }
}
