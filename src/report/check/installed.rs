//! What is said of bolts as they get installed.

use crate::case::Case;
use crate::report::paper::html::Html;
use crate::report::paper::numbers::{factor, fixed, shortest};
use crate::study::{Check, CheckedWedge};

/// What the case asked of one wedge, a sentence each; empty where it asked nothing.
#[must_use]
pub fn installed_lines(case: &Case, wedge: &CheckedWedge) -> Vec<String> {
    let Some(found) = &wedge.installed else { return Vec::new() };
    let asks = &case.installation;
    let mut lines = Vec::new();
    if let (Some(fs), Some(off_m)) = (found.fs_collar_tolerance, asks.collar_tolerance_m) {
        lines.push(format!(
            "With every collar anywhere within {} m of its place FS is at least {} (forces; while no joint is pulled open). It enters the verdict.",
            shortest(off_m),
            factor(fs)
        ));
    }
    if let Some(fs) = found.fs_one_missing {
        lines.push(format!("With any one bolt missing FS is at least {}; it decides nothing.", factor(fs)));
    }
    if let (Some(thinned), Some(share)) = (found.thinned, asks.ineffective_share) {
        lines.push(format!(
            "With {} % of bolts without effect, drawn at random (seed {}): median FS {}, one position in twenty below {}, short in {} % of positions; it decides nothing.",
            shortest(100.0 * share),
            asks.seed,
            factor(thinned.fs_median),
            factor(thinned.fs_low),
            fixed(100.0 * thinned.short_share, 1)
        ));
    }
    lines
}

/// Which wedges keep less than what is asked with a bolt missing, in one sentence.
#[must_use]
pub fn one_missing(check: &Check) -> Option<String> {
    let missing = |w: &CheckedWedge| w.installed.as_ref().and_then(|i| i.fs_one_missing);
    let asked = check.wedges.iter().any(|w| missing(w).is_some());
    let lean: Vec<String> = check
        .wedges
        .iter()
        .filter_map(|w| {
            let (fs, asked) = (missing(w)?, w.criterion_fs?);
            (fs < asked).then(|| format!("{} FS {}", w.id, factor(fs)))
        })
        .collect();
    match lean.as_slice() {
        _ if !asked => None,
        [] => Some("With any one bolt missing every wedge keeps what is asked.".into()),
        lean => Some(format!("With any one bolt missing: {}.", lean.join(", "))),
    }
}

/// Wedges that the collar tolerance decides, in one sentence.
#[must_use]
pub fn off_their_place(case: &Case, check: &Check) -> Option<String> {
    let off_m = case.installation.collar_tolerance_m?;
    let decided: Vec<String> = check
        .wedges
        .iter()
        .filter(|w| w.tolerance_decides())
        .map(|w| format!("{} FS {}", w.id, factor(w.deciding_fs())))
        .collect();
    (!decided.is_empty()).then(|| {
        format!(
            "With collars up to {} m off their place, which decides: {}.",
            shortest(off_m),
            decided.join(", ")
        )
    })
}

/// The page's section; nothing where the case asked nothing.
pub(super) fn installed_section(body: &mut Html, case: &Case, check: &Check) {
    if !case.installation.asks() {
        return;
    }
    body.heading("As bolts get installed");
    let rows: Vec<Vec<String>> = check
        .wedges
        .iter()
        .filter_map(|w| w.installed.as_ref().map(|i| (w, i)))
        .map(|(wedge, found)| {
            let optional = |fs: Option<f64>| fs.map(factor).unwrap_or_default();
            vec![
                wedge.id.clone(),
                optional(wedge.fs_bolted),
                optional(found.fs_collar_tolerance),
                optional(found.fs_one_missing),
                optional(found.thinned.map(|t| t.fs_median)),
                optional(found.thinned.map(|t| t.fs_low)),
                found.thinned.map(|t| fixed(100.0 * t.short_share, 1)).unwrap_or_default(),
                wedge.criterion_fs.map(|fs| fixed(fs, 2)).unwrap_or_default(),
            ]
        })
        .collect();
    body.table(
        &[
            ("wedge", false),
            ("FS as drawn", true),
            ("collars off their place", true),
            ("any one missing", true),
            ("thinned, median", true),
            ("one in twenty below", true),
            ("short %", true),
            ("asked", true),
        ],
        &rows,
    );
    let asks = &case.installation;
    let mut notes = Vec::new();
    if let Some(off_m) = asks.collar_tolerance_m {
        notes.push(format!(
            "Collars off their place: the least FS that holds for every collar within {} m of where it is drawn, measured on the surface, bolts parallel to those drawn. It enters the verdict. Where bolts could pull a joint open it is a search, not a bound; gap wedge, sizes and moments take collars as drawn.",
            shortest(off_m)
        ));
    }
    if let Some(share) = asks.ineffective_share {
        notes.push(format!(
            "Thinned: {} % of bolts without effect, drawn at random with seed {}, over positions along the drive.",
            shortest(100.0 * share),
            asks.seed
        ));
    }
    notes.extend(one_missing(check));
    notes.push(
        "All for the largest admissible wedge, forces alone. Only the collar tolerance decides anything."
            .into(),
    );
    body.list(notes.into_iter());
}
