//! A scanned drive cut by cut: overbreak, and what is short where.

use rayon::prelude::*;

use super::check::verdicts_alone;
use super::{CheckedWedge, Verdict};
use crate::case::Case;
use crate::opening::SectionShape;
use crate::opening::scan::{CutAlong, ScannedSection};

/// A cut along a scanned drive, checked as if the drive ran on as it is there.
#[derive(Debug, Clone, PartialEq)]
pub struct ScanRow {
    /// Chainage of the cut, metres.
    pub chainage_m: f64,
    /// The section there; `None` where the mesh gives none.
    pub section: Option<ScannedSection>,
    /// What the check says; `None` where there is no section, or where it cannot be bolted as the case says.
    pub found: Option<ScanFound>,
    /// Why there is none.
    pub why_not: Option<String>,
}

/// What a check says of a cut: the wedges of the drive alone, none at the face and no stages.
#[derive(Debug, Clone, PartialEq)]
pub struct ScanFound {
    /// Wedges that move, those that the case leaves out not among them.
    pub moving: usize,
    /// How many of them are short.
    pub short: usize,
    /// How many are not judged.
    pub not_judged: usize,
    /// The one with the least of what is asked; `None` where nothing was found of any.
    pub tightest: Option<Tightest>,
}

/// The wedge of a cut that has least of what is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Tightest {
    /// Its id.
    pub wedge: String,
    /// What is said of it.
    pub verdict: Verdict,
    /// The factor that decides; `None` where nothing was found that says anything.
    pub fs: Option<f64>,
    /// What is asked.
    pub criterion_fs: f64,
    /// Weight of what decides, kN.
    pub weight_kn: f64,
}

/// Every further cut of a scanned section ([`ScannedSection::along`]) checked by itself; nothing where the case asks
/// for none.
#[must_use]
pub fn scan_along(case: &Case) -> Vec<ScanRow> {
    let SectionShape::Scan(scan) = &case.shape else { return Vec::new() };
    // Collected in the order of chainage, whatever the number of threads.
    scan.along.par_iter().map(|cut| row(case, cut)).collect()
}

fn row(case: &Case, CutAlong { chainage_m, cut }: &CutAlong) -> ScanRow {
    let (section, found) = match cut {
        Ok(section) => (Some(section.clone()), found(case, section)),
        Err(error) => (None, Err(error.to_string())),
    };
    let (found, why_not) = match found {
        Ok(found) => (Some(found), None),
        Err(why) => (None, Some(why)),
    };
    ScanRow { chainage_m: *chainage_m, section, found, why_not }
}

fn found(case: &Case, section: &ScannedSection) -> Result<ScanFound, String> {
    let here = Case { shape: SectionShape::Scan(Box::new(section.clone())), ..case.clone() };
    let check = verdicts_alone(&here).map_err(|error| error.to_string())?;
    let moving: Vec<&CheckedWedge> = check.wedges.iter().filter(|w| w.decided.counts()).collect();
    let count = |verdict: Verdict| moving.iter().filter(|w| w.decided.verdict == verdict).count();
    let margin = |w: &CheckedWedge| w.decided.margin();
    // One of which nothing was found says nothing.
    let told = moving.iter().copied().filter(|w| w.decided.fs.is_some());
    let least = told.reduce(|a, b| if margin(b) < margin(a) { b } else { a });
    let tightest = least.and_then(|w| {
        Some(Tightest {
            wedge: w.wedge.id.clone(),
            verdict: w.decided.verdict,
            fs: w.decided.fs,
            criterion_fs: w.decided.criterion_fs?,
            weight_kn: w.deciding_piece().map_or(w.wedge.weight_kn, |piece| piece.weight_kn),
        })
    });
    Ok(ScanFound {
        moving: moving.len(),
        short: count(Verdict::Short),
        not_judged: count(Verdict::NotJudged),
        tightest,
    })
}
