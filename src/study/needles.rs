use super::wedges::limits;
use super::{Check, Warning};
use crate::case::Case;
use crate::wedge::Cap;

/// A wedge deeper than this many times the longest trace that its joints may have is a needle: joints
/// that end within a few metres at the surface hardly meet that far behind it.
const NEEDLE_RATIO: f64 = 3.0;

/// Wedges that caps on traces leave as needles, where no cap on depth stands. A trace says how far a
/// joint runs along the surface, and nothing of how deep it goes.
pub(super) fn needles(case: &Case, check: &Check) -> Vec<Warning> {
    check
        .every()
        .filter(|w| w.wedge.limited_by.contains(&Cap::Trace))
        .filter_map(|w| {
            let caps = limits(case, w.wedge.sets);
            let trace_m = caps.trace_m.into_iter().flatten().reduce(f64::max)?;
            let depth_m = w.wedge.shape.depth_m;
            (caps.depth_m.is_none() && depth_m > NEEDLE_RATIO * trace_m).then(|| Warning::Needle {
                wedge: w.wedge.id.clone(),
                depth_m,
                volume_m3: w.wedge.shape.volume_m3,
                trace_m,
            })
        })
        .collect()
}

#[cfg(all(test, feature = "files"))]
#[allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests
mod tests {
    use super::*;
    use crate::case::parse_case;
    use crate::study::forces_alone;

    /// The sample with joints so steep that traces of two metres bound wedges of many.
    fn steep(limits: &str) -> Case {
        let text = include_str!("../../samples/haulage.toml")
            .replace("dip_deg = 68.0", "dip_deg = 88.0")
            .replace("dip_deg = 52.0", "dip_deg = 87.0")
            .replace("dip_deg = 49.0", "dip_deg = 88.5")
            .replace("max_trace_m = 6.0", "max_trace_m = 2.3")
            .replace("max_trace_m = 5.7", "max_trace_m = 2.1")
            .replace("max_trace_m = 5.4", "max_trace_m = 2.0")
            .replace("max_length_m = 10.0", limits);
        parse_case(&text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into())).unwrap().case
    }

    #[test]
    fn short_traces_that_leave_deep_wedges_are_warned_of() {
        let case = steep("");
        let check = forces_alone(&case).unwrap();
        let found = needles(&case, &check);
        assert!(!found.is_empty(), "no wedge is deep: {:?}", check.wedges);
        for warning in &found {
            let Warning::Needle { wedge, depth_m, trace_m, .. } = warning else { panic!("{warning:?}") };
            let of = check.every().find(|w| w.wedge.id == *wedge).unwrap();
            assert_eq!(*trace_m, 2.3);
            assert_eq!(*depth_m, of.wedge.shape.depth_m);
            assert!(*depth_m > 3.0 * 2.3, "{warning}");
            assert!(warning.to_string().contains("max_depth_m"), "{warning}");
        }
        let deep = check.wedges.iter().filter(|w| w.wedge.shape.depth_m > 3.0 * 2.3).count();
        assert_eq!(found.len(), deep);
    }

    #[test]
    fn a_cap_on_depth_and_wedges_as_flat_as_their_traces_are_left_alone() {
        let capped = steep("max_depth_m = 20.0");
        assert!(needles(&capped, &forces_alone(&capped).unwrap()).is_empty());
        let text = include_str!("../../samples/haulage.toml");
        let read = parse_case(text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into())).unwrap();
        assert!(needles(&read.case, &forces_alone(&read.case).unwrap()).is_empty());
    }
}
