//! What is said of sizes: the screen's duty and ground that no bolt covers.

use crate::report::paper::numbers::{kn, volume};
use crate::study::{Gap, SizeCurve};

/// The heaviest of some wedges that need support, with the id of its curve; the first of equals.
fn heaviest(curves: &[SizeCurve], pick: impl Fn(&SizeCurve) -> Option<&Gap>) -> Option<(&str, &Gap)> {
    curves
        .iter()
        .filter_map(|c| pick(c).map(|gap| (c.wedge.as_str(), gap)))
        .filter(|(_, gap)| gap.force_needed_kn > 0.0)
        .reduce(|a, b| if b.1.weight_kn > a.1.weight_kn { b } else { a })
}

/// `Between the bolts the screen must carry up to 12.9 kN (A-B-C.111).` `None` where every wedge
/// that slips between the bolts is held by its joints.
#[must_use]
pub(crate) fn screen_duty(curves: &[SizeCurve]) -> Option<String> {
    heaviest(curves, SizeCurve::screen_wedge).map(|(wedge, gap)| {
        format!("Between the bolts the screen must carry up to {} kN ({wedge}).", kn(gap.weight_kn))
    })
}

/// What sits untouched where no bolt covers the ground, in one sentence; `None` where nothing that
/// needs support is larger there than between the bolts.
#[must_use]
pub(crate) fn unbolted_ground(curves: &[SizeCurve]) -> Option<String> {
    heaviest(curves, |c| c.unbolted.as_ref()).map(|(wedge, gap)| {
        format!(
            "On ground that no bolt covers, wholly or in part, wedges up to {} m³, {} kN, meet no bolt ({wedge}).",
            volume(gap.volume_m3),
            kn(gap.weight_kn)
        )
    })
}
