//! The tables of a stretch as designed and as built.

use serde::Serialize;

use crate::case::Case;
use crate::orientation::Line;
use crate::report::check::rows::trend_and_plunge;
use crate::report::paper::numbers::Number;
use crate::study::{AsBuiltCheck, Check, RingWorst};

/// A row of as_built.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)] // the columns are described in the README
pub struct AsBuiltRingRow {
    pub pattern: usize,
    pub ring: i64,
    pub chainage_m: Number,
    pub bolts_designed: usize,
    pub found: usize,
    pub missing: usize,
    pub off_place: usize,
    pub not_good: usize,
    pub extra: usize,
    pub wedge_as_designed: Option<String>,
    pub fs_as_designed: Option<Number>,
    pub verdict_as_designed: Option<String>,
    pub wedge_as_built: Option<String>,
    pub fs_as_built: Option<Number>,
    pub verdict_as_built: Option<String>,
}

/// A row of as_built_wedges.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)]
pub struct AsBuiltWedgeRow {
    pub wedge: String,
    pub criterion: Number,
    pub fs_as_designed: Option<Number>,
    pub apex_chainage_as_designed_m: Option<Number>,
    pub bolts_as_designed: Option<usize>,
    pub verdict_as_designed: String,
    pub fs_as_built: Option<Number>,
    pub apex_chainage_as_built_m: Option<Number>,
    pub bolts_as_built: Option<usize>,
    pub verdict_as_built: String,
    pub change: String,
}

/// A row of as_built_bolts.csv: a bolt that serves a wedge at its worst place as built.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)]
pub struct AsBuiltBoltRow {
    pub wedge: String,
    pub line_number: Option<usize>,
    pub chainage_m: Number,
    pub u_m: Number,
    pub v_m: Number,
    pub trend_deg: Option<Number>,
    pub plunge_deg: Number,
    pub head_m: Number,
    pub toe_m: Number,
    pub capacity_kn: Number,
    pub governed_by: String,
    pub share_kn: Number,
    pub bolt: String,
    pub state: String,
}

/// A row of bolts_rejected.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)]
pub struct RejectedBoltRow {
    pub line_number: usize,
    pub reason: String,
    pub row: String,
}

/// The rows of as_built.csv.
#[must_use]
pub fn as_built_ring_rows(found: &AsBuiltCheck) -> Vec<AsBuiltRingRow> {
    let fs = |worst: &Option<RingWorst>| worst.as_ref().map(|w| Number(w.fs));
    let wedge = |worst: &Option<RingWorst>| worst.as_ref().map(|w| w.wedge.clone());
    let verdict = |worst: &Option<RingWorst>| worst.as_ref().map(|w| w.verdict().name().to_owned());
    let row = |ring: &crate::study::RingRow| AsBuiltRingRow {
        pattern: ring.pattern + 1,
        ring: ring.ring,
        chainage_m: ring.chainage_m.into(),
        bolts_designed: ring.designed,
        found: ring.found,
        missing: ring.missing,
        off_place: ring.off_place,
        not_good: ring.not_good,
        extra: ring.extra,
        wedge_as_designed: wedge(&ring.as_designed),
        fs_as_designed: fs(&ring.as_designed),
        verdict_as_designed: verdict(&ring.as_designed),
        wedge_as_built: wedge(&ring.as_built),
        fs_as_built: fs(&ring.as_built),
        verdict_as_built: verdict(&ring.as_built),
    };
    found.rings.iter().map(row).collect()
}

/// The rows of as_built_wedges.csv.
#[must_use]
pub fn as_built_wedge_rows(found: &AsBuiltCheck) -> Vec<AsBuiltWedgeRow> {
    let row = |wedge: &crate::study::AsBuiltWedge| {
        let (drawn, built) = (wedge.designed.as_ref(), wedge.as_built.as_ref());
        let (a, b) = (wedge.designed_verdict, wedge.as_built_verdict);
        AsBuiltWedgeRow {
            wedge: wedge.wedge.clone(),
            criterion: wedge.criterion_fs.into(),
            fs_as_designed: drawn.map(|p| Number(p.least_fs)),
            apex_chainage_as_designed_m: drawn.map(|p| Number(p.chainage_m)),
            bolts_as_designed: drawn.map(|p| p.serving.len()),
            verdict_as_designed: a.name().into(),
            fs_as_built: built.map(|p| Number(p.least_fs)),
            apex_chainage_as_built_m: built.map(|p| Number(p.chainage_m)),
            bolts_as_built: built.map(|p| p.serving.len()),
            verdict_as_built: b.name().into(),
            change: if a == b { "none".into() } else { format!("{} to {}", a.name(), b.name()) },
        }
    };
    found.wedges.iter().map(row).collect()
}

/// The rows of as_built_bolts.csv.
#[must_use]
pub fn as_built_bolt_rows(case: &Case, check: &Check, found: &AsBuiltCheck) -> Vec<AsBuiltBoltRow> {
    let Some(built) = case.site.as_built.as_ref() else { return Vec::new() };
    let standing = found.standing(case, check);
    let mut rows = Vec::new();
    for wedge in &found.wedges {
        for serving in wedge.as_built.iter().flat_map(|p| &p.serving) {
            let Some((set, index)) = standing.get(serving.bolt) else { continue };
            let listed = index.map(|i| &built.bolts[i]);
            let world = check.opening.frame.to_world(&set.collar.direction);
            let (trend_deg, plunge_deg) = trend_and_plunge(Line::from_vector(&world));
            rows.push(AsBuiltBoltRow {
                wedge: wedge.wedge.clone(),
                line_number: listed.map(|b| b.line),
                chainage_m: set.chainage_m.into(),
                u_m: set.collar.point.x.into(),
                v_m: set.collar.point.y.into(),
                trend_deg,
                plunge_deg,
                head_m: serving.head_m.into(),
                toe_m: serving.toe_m.into(),
                capacity_kn: serving.capacity.kn.into(),
                governed_by: serving.capacity.governed_by.name().into(),
                share_kn: serving.share_kn.into(),
                bolt: built.kinds[set.kind].name.clone(),
                state: listed.map_or("as drawn", |b| b.condition.name()).into(),
            });
        }
    }
    rows
}

/// The rows of bolts_rejected.csv.
#[must_use]
pub fn rejected_bolt_rows(case: &Case) -> Vec<RejectedBoltRow> {
    let rejected = case.site.as_built.iter().flat_map(|b| &b.rejected);
    rejected
        .map(|r| RejectedBoltRow { line_number: r.line, reason: r.reason.clone(), row: r.row.clone() })
        .collect()
}
