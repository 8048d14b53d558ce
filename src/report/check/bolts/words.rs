//! Bolts in more depth, in words and for summary.json: booms, presets, what is left of a capacity,
//! joints near plates, dowels.

use serde_json::{Value, json};

use crate::case::{BoltOrigin, Case};
use crate::report::paper::numbers::{Number, shortest};
use crate::support::{Boom, PLATE_REACH_M};

/// Where a boom aims.
pub(crate) fn boom_words(boom: &Boom) -> String {
    let reach = boom.reach_m.map(|m| format!(", reach {} m", shortest(m))).unwrap_or_default();
    format!(
        "as near square to the surface as a boom gets (pivot u {}, v {}, tilt {}°, at most {}° off the normal{reach}; the feed's length against the other wall is not looked at)",
        shortest(boom.pivot.x),
        shortest(boom.pivot.y),
        shortest(boom.tilt_deg),
        shortest(boom.off_normal_deg),
    )
}

/// What the column `near_plate` means.
pub(crate) fn near_plate_words(count: usize) -> String {
    format!(
        "Crossed by the joint within {} m of the collar, where the plate bears on loose rock: {count}. That length is ours, half the side of a large plate; it changes no capacity.",
        shortest(PLATE_REACH_M)
    )
}

/// How each bolt came to its numbers.
pub(crate) fn bolt_origins_json(case: &Case, origins: &[BoltOrigin]) -> Value {
    case.bolts
        .iter()
        .zip(origins)
        .map(|(bolt, origin)| {
            json!({
                "name": bolt.name,
                "preset": origin.preset.as_ref().map(|p| json!({
                    "preset": p.preset,
                    "line": p.line,
                    "source": p.source,
                    "read_by": p.read_by,
                    "tests": p.tests,
                    "typed_over": p.typed_over,
                })),
                "steel_factor": Number(origin.quality.steel),
                "bond_factor": Number(origin.quality.bond),
                "plate_factor": Number(origin.quality.plate),
                "as_tested": crate::report::check::inputs::echo::bolt(&origin.as_tested),
            })
        })
        .collect()
}
