//! What is said of hung loads.

use crate::case::Case;
use crate::report::paper::numbers::{kn, shortest};
use crate::report::words::NO_SOURCE;
use crate::stability::HungSize;
use crate::study::Check;

/// A line a load, what hangs from which wedge, and how it was counted; nothing without loads.
#[must_use]
pub(crate) fn hung_lines(case: &Case, check: &Check) -> Vec<String> {
    if case.site.hung_loads.is_empty() {
        return Vec::new();
    }
    let mut lines: Vec<String> = case
        .site
        .hung_loads
        .iter()
        .map(|load| {
            let size = match load.size {
                HungSize::AtPlace { kn, chainage_m: Some(at) } => {
                    format!("{} kN at chainage {} m", shortest(kn), shortest(at))
                }
                HungSize::AtPlace { kn, chainage_m: None } => {
                    format!("{} kN at one place, anywhere along the drive", shortest(kn))
                }
                HungSize::PerMetre { kn_per_m } => format!("{} kN for each metre", shortest(kn_per_m)),
            };
            format!(
                "Hung load {}: {size}, {} m along the surface from the crown. Source: {}.",
                load.name,
                crate::report::paper::numbers::fixed(load.arc_m, 2),
                load.source.as_deref().unwrap_or(NO_SOURCE)
            )
        })
        .collect();
    let taken: Vec<String> = check
        .wedges
        .iter()
        .filter(|w| w.hung_kn > 0.0)
        .map(|w| format!("{} {} kN", w.id, kn(w.hung_kn)))
        .collect();
    lines.push(if taken.is_empty() {
        "No wedge takes any of it.".to_owned()
    } else {
        format!("It hangs, at the worst placement, from {}.", taken.join(", "))
    });
    lines.push("A load at one place is taken by every wedge whose face can cover it, one along the drive over the length that the face covers there; it pulls straight down and counts as weight does, at its own place for moments. Wedges at the face take none.".to_owned());
    lines
}
