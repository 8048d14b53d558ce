//! What is said of bolts as they get installed.

use crate::case::Case;
use crate::report::paper::cell::Format;
use crate::report::paper::html::Html;
use crate::report::paper::numbers::{factor, fixed, shortest};
use crate::report::paper::table::Table;
use crate::study::{Check, CheckedWedge, Installed};

/// What the case asked of one wedge, a sentence each; empty where it asked nothing.
#[must_use]
pub(super) fn installed_lines(case: &Case, wedge: &CheckedWedge) -> Vec<String> {
    let Some(found) = &wedge.found.installed else { return Vec::new() };
    let asks = &case.installation;
    let mut lines = Vec::new();
    if let (Some(fs), Some(off_m)) = (found.fs_collar_tolerance, asks.collar_tolerance_m) {
        lines.push(format!(
            "With every collar anywhere within {} m of its place FS is at least {} (forces; while no joint is pulled open): of the largest wedge; the verdict asks it of every piece.",
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
pub(super) fn one_missing(check: &Check) -> Option<String> {
    let missing = |w: &CheckedWedge| w.found.installed.as_ref().and_then(|i| i.fs_one_missing);
    let asked = check.wedges.iter().any(|w| missing(w).is_some());
    let lean: Vec<String> = check
        .wedges
        .iter()
        .filter_map(|w| {
            let (fs, asked) = (missing(w)?, w.decided.criterion_fs?);
            (fs < asked).then(|| format!("{} FS {}", w.wedge.id, factor(fs)))
        })
        .collect();
    match lean.as_slice() {
        _ if !asked => None,
        [] => Some("With any one bolt missing every wedge keeps what is asked.".into()),
        lean => Some(format!("With any one bolt missing: {}.", lean.join(", "))),
    }
}

/// A row of the page's table.
#[derive(Debug, Clone, Copy)]
struct InstalledRow<'a> {
    wedge: &'a CheckedWedge,
    found: &'a Installed,
}

fn table<'a>() -> Table<InstalledRow<'a>> {
    use Format::{Factor, Fixed, Words};
    Table::<InstalledRow<'a>>::new()
        .only_shown("wedge", |r| (&r.wedge.wedge.id).into())
        .on_page("wedge", Words)
        .only_shown("fs_bolted", |r| r.wedge.found.fs_bolted.into())
        .on_page("FS as drawn", Factor)
        .only_shown("fs_collar_tolerance", |r| r.found.fs_collar_tolerance.into())
        .on_page("collars off their place", Factor)
        .only_shown("fs_one_missing", |r| r.found.fs_one_missing.into())
        .on_page("any one missing", Factor)
        .only_shown("fs_thinned_median", |r| r.found.thinned.map(|t| t.fs_median).into())
        .on_page("thinned, median", Factor)
        .only_shown("fs_thinned_low", |r| r.found.thinned.map(|t| t.fs_low).into())
        .on_page("one in twenty below", Factor)
        .only_shown("thinned_short_percent", |r| r.found.thinned.map(|t| 100.0 * t.short_share).into())
        .on_page("short %", Fixed(1))
        .only_shown("criterion", |r| r.wedge.decided.criterion_fs.into())
        .on_page("asked", Fixed(2))
}

/// The page's section; nothing where the case asked nothing.
pub(super) fn section<'a>(body: &mut Html, case: &Case, check: &'a Check) {
    if !case.installation.asks() {
        return;
    }
    body.heading("As bolts get installed");
    let row = |wedge: &'a CheckedWedge| Some(InstalledRow { wedge, found: wedge.found.installed.as_ref()? });
    let rows: Vec<InstalledRow<'a>> = check.wedges.iter().filter_map(row).collect();
    body.table(&table().page_of_all(&rows));
    let asks = &case.installation;
    let mut notes = Vec::new();
    if let Some(off_m) = asks.collar_tolerance_m {
        notes.push(format!(
            "Collars off their place: the least FS that holds for every collar within {} m of where it is drawn, measured on the surface, bolts parallel to those drawn. Where bolts could pull a joint open it is a search, not a bound. The verdict asks the same of every piece, moments included.",
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
    notes.push("All for the largest admissible wedge, forces alone; they decide nothing.".into());
    body.list(notes.into_iter());
}
