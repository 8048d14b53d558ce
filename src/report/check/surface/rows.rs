//! Rows of the tables that stand beside the wedges: screen duty, scaling list, prisms, advice.

use serde::Serialize;

use crate::case::Case;
use crate::report::check::rows::{joined, none_if_empty, trend_and_plunge};
use crate::report::paper::numbers::Number;
use crate::report::words::NO_SOURCE;
use crate::study::{AdviceRow, CheckedPrism, DutyRow, ScalingRow};

/// A row of screen_duty.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)] // the columns are described in the README
pub struct ScreenDutyRow {
    pub surface: String,
    pub wedge: String,
    pub support: Option<String>,
    pub kind: Option<String>,
    pub mode: String,
    pub volume_m3: Number,
    pub weight_kn: Number,
    pub perimeter_m: Number,
    pub force_needed_kn: Number,
    pub fs_bare: Number,
    pub capacity_kn: Option<Number>,
    pub governed_by: Option<String>,
    pub fs: Option<Number>,
    pub criterion: Number,
    pub verdict: String,
    pub source: Option<String>,
}

/// A row of scaling.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)]
pub struct ScalingListRow {
    pub surface: String,
    pub wedge: String,
    pub piece: String,
    pub volume_m3: Number,
    pub weight_kn: Number,
    pub mode: String,
    pub fs_bare: Number,
    pub loose: bool,
}

/// A row of prisms.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)]
pub struct PrismRow {
    pub prism: String,
    pub sets: String,
    pub joint_pyramid: String,
    pub surfaces: String,
    pub mode: String,
    pub slides_on: Option<String>,
    pub slide_trend_deg: Option<Number>,
    pub slide_plunge_deg: Number,
    pub off_axis_deg: Number,
    pub length_m: Number,
    pub area_m2: Number,
    pub area_uncapped_m2: Number,
    pub limited_by: Option<String>,
    pub weight_kn_per_m: Number,
    pub depth_m: Number,
    pub width_m: Number,
    pub fs_bare: Number,
    pub fs_bolted: Option<Number>,
    pub bolts_serving: Option<usize>,
    pub criterion: Number,
    pub verdict: String,
}

/// A row of advice.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)]
pub struct AdviceListRow {
    pub about: String,
    pub rule: String,
    pub found_m: Option<Number>,
    pub advised_m: Option<Number>,
    pub as_advised: bool,
    pub source: String,
}

/// The rows of screen_duty.csv.
#[must_use]
pub fn screen_duty_rows(case: &Case, duty: &[DutyRow]) -> Vec<ScreenDutyRow> {
    duty.iter()
        .map(|row| {
            let support = row.support.map(|i| &case.surface_support[i]);
            ScreenDutyRow {
                surface: row.surface.name().into(),
                wedge: row.wedge.clone(),
                support: support.map(|s| s.name.clone()),
                kind: support.map(|s| s.kind.name().into()),
                mode: row.mode.name().into(),
                volume_m3: row.volume_m3.into(),
                weight_kn: row.weight_kn.into(),
                perimeter_m: row.perimeter_m.into(),
                force_needed_kn: row.force_needed_kn.into(),
                fs_bare: row.fs_bare.into(),
                capacity_kn: row.capacity.map(|c| c.kn.into()),
                governed_by: row.capacity.map(|c| c.governed_by.name().into()),
                fs: row.fs.map(Number),
                criterion: row.criterion_fs.into(),
                verdict: row.verdict.name().into(),
                source: support.map(|s| s.source.clone().unwrap_or_else(|| NO_SOURCE.into())),
            }
        })
        .collect()
}

/// The rows of scaling.csv.
#[must_use]
pub fn scaling_rows(scaling: &[ScalingRow]) -> Vec<ScalingListRow> {
    scaling
        .iter()
        .map(|row| ScalingListRow {
            surface: row.surface.name().into(),
            wedge: row.wedge.clone(),
            piece: row.piece.name().into(),
            volume_m3: row.volume_m3.into(),
            weight_kn: row.weight_kn.into(),
            mode: row.mode.name().into(),
            fs_bare: row.fs_bare.into(),
            loose: row.is_loose,
        })
        .collect()
}

/// The rows of prisms.csv.
#[must_use]
pub fn prism_rows(case: &Case, prisms: &[CheckedPrism]) -> Vec<PrismRow> {
    prisms
        .iter()
        .map(|prism| {
            let name = |i: usize| case.joint_sets[prism.sets[i]].name.as_str();
            let (slide_trend_deg, slide_plunge_deg) = trend_and_plunge(prism.slide);
            PrismRow {
                prism: prism.id.clone(),
                sets: joined((0..2).map(name)),
                joint_pyramid: prism.lower.iter().map(|&l| if l { '1' } else { '0' }).collect(),
                surfaces: joined(prism.surfaces.iter().map(|s| s.name())),
                mode: prism.stability.motion.mode.name().into(),
                slides_on: none_if_empty(joined(
                    prism.stability.motion.mode.slides_on().into_iter().map(name),
                )),
                slide_trend_deg,
                slide_plunge_deg,
                off_axis_deg: prism.off_axis_deg.into(),
                length_m: prism.length_m.into(),
                area_m2: prism.area_m2.into(),
                area_uncapped_m2: prism.area_uncapped_m2.into(),
                limited_by: none_if_empty(joined(prism.limited_by.iter().map(|c| c.name()))),
                weight_kn_per_m: prism.weight_kn_per_m.into(),
                depth_m: prism.depth_m.into(),
                width_m: prism.width_m.into(),
                fs_bare: prism.fs_bare.into(),
                fs_bolted: prism.fs_bolted.map(Number),
                bolts_serving: prism.bolts_serving,
                criterion: prism.criterion_fs.into(),
                verdict: prism.verdict.name().into(),
            }
        })
        .collect()
}

/// The rows of advice.csv.
#[must_use]
pub fn advice_rows(advice: &[AdviceRow]) -> Vec<AdviceListRow> {
    advice
        .iter()
        .map(|row| AdviceListRow {
            about: row.about.clone(),
            rule: row.rule.clone(),
            found_m: row.found_m.map(Number),
            advised_m: row.advised_m.map(Number),
            as_advised: row.is_as_advised,
            source: row.source.into(),
        })
        .collect()
}
