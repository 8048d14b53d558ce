//! The rows of the tables, one struct a table: the names of its fields are the columns of the CSV
//! files and the keys of summary.json.

use serde::Serialize;

use crate::case::Case;
use crate::orientation::Line;
use crate::report::paper::numbers::Number;
use crate::study::{
    self, Check, CheckedWedge, DemandRow, GoverningDemand, SharedFs, Size, SizeCurve, Stages, Widest,
};
use crate::support::none_works;

/// A movement steeper than this is vertical and has no trend.
const VERTICAL_DEG: f64 = 90.0 - 1e-6;

/// A row of wedges.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)] // the columns are described in the README
pub struct WedgeRow {
    pub wedge: String,
    pub sets: String,
    pub joint_pyramid: String,
    pub surfaces: String,
    pub mode: String,
    pub slides_on: Option<String>,
    pub slide_trend_deg: Option<Number>,
    pub slide_plunge_deg: Option<Number>,
    pub volume_m3: Number,
    pub weight_kn: Number,
    pub depth_m: Number,
    pub length_m: Number,
    pub opening_area_m2: Number,
    pub trace_m: String,
    pub limited_by: Option<String>,
    pub volume_uncapped_m3: Number,
    pub fs_bare: Number,
    pub fs_bare_no_cohesion: Number,
    pub fs_bolted: Option<Number>,
    pub fs_bolted_median: Option<Number>,
    pub fs_tensioned: Option<Number>,
    pub fs_rotation: Option<Number>,
    pub fs_bolted_uncapped: Option<Number>,
    pub bolts_serving: Option<usize>,
    pub criterion: Option<Number>,
    pub verdict: String,
    pub volume_governing_m3: Option<Number>,
    pub fs_governing: Option<Number>,
    pub gap_volume_m3: Option<Number>,
    pub gap_weight_kn: Option<Number>,
    /// The worst placement: chainage (from the face, for a wedge there) and place in the section of
    /// the apex.
    pub worst_apex_chainage_m: Option<Number>,
    pub worst_apex_u_m: Option<Number>,
    pub worst_apex_v_m: Option<Number>,
    pub note: Option<String>,
    /// Of the wedge's three sets, among the triples of the case.
    pub meeting_probability: Option<Number>,
    pub fs_collar_tolerance: Option<Number>,
    pub fs_one_missing: Option<Number>,
    pub fs_thinned_median: Option<Number>,
    pub fs_thinned_low: Option<Number>,
    pub thinned_short_share: Option<Number>,
    /// With surface support added once to the bolts; decides nothing.
    pub surface_support_kn: Option<Number>,
    pub fs_with_surface: Option<Number>,
    pub fs_governing_with_surface: Option<Number>,
    /// What hangs from it at its worst placement, kN.
    pub hung_kn: Option<Number>,
    /// Those of its sets that are mapped structures.
    pub structures: Option<String>,
    /// With the shear resistance of dowels instead of their axial share; decides nothing.
    pub fs_dowel: Option<Number>,
}

/// A row of bolt_demand.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)]
pub struct BoltDemandRow {
    pub surface: String,
    pub wedge: String,
    pub area_m2: Number,
    pub force_needed_kn: Number,
    pub force_provided_kn: Option<Number>,
    pub pressure_needed_kpa: Number,
    pub bolts_needed: Option<u32>,
    pub utilisation: Option<Number>,
    pub square_spacing_m: Option<Number>,
    /// The same at the size that decides.
    pub governing_volume_m3: Option<Number>,
    pub governing_area_m2: Option<Number>,
    pub governing_force_needed_kn: Option<Number>,
    pub governing_force_provided_kn: Option<Number>,
    pub governing_pressure_needed_kpa: Option<Number>,
    pub governing_bolts_needed: Option<u32>,
    pub governing_utilisation: Option<Number>,
    /// Searched for at every size and the worst placement, where asked.
    pub widest_ring_spacing_m: Option<Number>,
    pub widest_square_spacing_m: Option<Number>,
    pub shortest_length_m: Option<Number>,
}

/// A row of bolts.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)]
pub struct BoltRow {
    pub wedge: String,
    pub pattern: usize,
    pub ring: i64,
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
    pub source: String,
    /// `yes` where the joint crosses it within a plate's reach of the collar, else `no`.
    pub near_plate: String,
}

/// A row of size_curve.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)]
pub struct SizeRow {
    pub wedge: String,
    pub volume_m3: Number,
    pub weight_kn: Number,
    pub fs_bolted: Number,
    pub fs_bolted_median: Number,
    pub bolts_serving: usize,
    pub force_needed_kn: Number,
    pub force_provided_kn: Number,
    pub judged_by: String,
}

/// A row of stages.csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[allow(missing_docs)]
pub struct StageTableRow {
    pub stage: String,
    pub place: String,
    pub wedge: String,
    pub unsupported_length_m: Number,
    pub length_m: Number,
    pub volume_m3: Number,
    pub weight_kn: Number,
    pub mode: String,
    pub fs: Number,
    pub bolts_serving: usize,
    pub criterion: Option<Number>,
    pub verdict: String,
}

pub(super) fn joined<T: AsRef<str>>(parts: impl IntoIterator<Item = T>) -> String {
    parts.into_iter().map(|p| p.as_ref().to_owned()).collect::<Vec<_>>().join("|")
}

pub(super) fn none_if_empty(text: String) -> Option<String> {
    (!text.is_empty()).then_some(text)
}

/// Trend and plunge as tables hold them: a vertical line has plunge ±90 and no trend.
pub(super) fn trend_and_plunge(line: Line) -> (Option<Number>, Number) {
    if line.plunge_deg.abs() > VERTICAL_DEG {
        (None, Number(90f64.copysign(line.plunge_deg)))
    } else {
        (Some(Number(line.trend_deg)), Number(line.plunge_deg))
    }
}

/// What is said of a wedge that no bolt crosses.
pub const NO_BOLT: &str = "no bolt crosses it at its worst placement";

/// What is said of a wedge whose bolts carry nothing.
pub const IDLE_BOLTS: &str = "the bolts that cross it at its worst placement carry nothing: their anchors do not sit beyond the joint, their pull goes with the movement, or it would open the joints it slides on";

/// What is worth saying of a wedge besides its numbers.
fn note(wedge: &CheckedWedge) -> Option<String> {
    let serving = wedge.serving()?;
    if serving.is_empty() {
        Some(NO_BOLT.to_owned())
    } else {
        none_works(serving).then(|| IDLE_BOLTS.to_owned())
    }
}

/// The rows of wedges.csv.
#[must_use]
pub fn wedge_rows(case: &Case, check: &Check, shared: &[SharedFs]) -> Vec<WedgeRow> {
    let meeting = study::meeting(case);
    check
        .every()
        .map(|wedge| {
            let name = |i: usize| case.joint_sets[wedge.sets[i]].name.as_str();
            let slide = wedge.slide.map(trend_and_plunge);
            let installed = wedge.installed.as_ref();
            let thinned = installed.and_then(|i| i.thinned);
            let apex = wedge.worst_apex();
            let shared = shared.iter().find(|s| s.wedge == wedge.id);
            WedgeRow {
                wedge: wedge.id.clone(),
                sets: joined((0..3).map(name)),
                joint_pyramid: wedge.pyramid.code(),
                surfaces: joined(wedge.surfaces.iter().map(|s| s.name())),
                mode: wedge.stability.motion.mode.name().into(),
                slides_on: none_if_empty(joined(
                    wedge.stability.motion.mode.slides_on().into_iter().map(name),
                )),
                slide_trend_deg: slide.and_then(|s| s.0),
                slide_plunge_deg: slide.map(|s| s.1),
                volume_m3: wedge.shape.volume_m3.into(),
                weight_kn: wedge.weight_kn.into(),
                depth_m: wedge.shape.depth_m.into(),
                length_m: wedge.shape.length_m.into(),
                opening_area_m2: wedge.shape.opening_area_m2().into(),
                trace_m: joined(
                    wedge.shape.joints.iter().map(|j| crate::report::paper::numbers::shortest(j.trace_m)),
                ),
                limited_by: none_if_empty(joined(wedge.limited_by.iter().map(|c| c.name()))),
                volume_uncapped_m3: wedge.volume_uncapped_m3.into(),
                fs_bare: wedge.fs_bare.into(),
                fs_bare_no_cohesion: wedge.fs_bare_no_cohesion.into(),
                fs_bolted: wedge.fs_bolted.map(Number),
                fs_bolted_median: wedge.fs_bolted_median.map(Number),
                fs_tensioned: wedge.fs_tensioned.map(Number),
                fs_rotation: wedge.fs_rotation.map(Number),
                fs_bolted_uncapped: wedge.fs_bolted_uncapped.map(Number),
                bolts_serving: wedge.serving().map(<[_]>::len),
                criterion: wedge.criterion_fs.map(Number),
                verdict: wedge.verdict.name().into(),
                volume_governing_m3: wedge.governing.as_ref().map(|g| g.size.volume_m3.into()),
                fs_governing: wedge.governing.as_ref().map(|g| g.size.fs_bolted.into()),
                gap_volume_m3: wedge.governing.as_ref().and_then(|g| g.gap).map(|g| g.0.into()),
                gap_weight_kn: wedge.governing.as_ref().and_then(|g| g.gap).map(|g| g.1.into()),
                worst_apex_chainage_m: apex.map(|a| a.y.into()),
                worst_apex_u_m: apex.map(|a| a.x.into()),
                worst_apex_v_m: apex.map(|a| a.z.into()),
                note: note(wedge),
                meeting_probability: meeting
                    .iter()
                    .find(|triple| triple.sets == wedge.sets)
                    .map(|triple| triple.probability.into()),
                fs_collar_tolerance: installed.and_then(|i| i.fs_collar_tolerance).map(Number),
                fs_one_missing: installed.and_then(|i| i.fs_one_missing).map(Number),
                fs_thinned_median: thinned.map(|t| Number(t.fs_median)),
                fs_thinned_low: thinned.map(|t| Number(t.fs_low)),
                thinned_short_share: thinned.map(|t| Number(t.short_share)),
                surface_support_kn: shared.map(|s| s.capacity_kn.into()),
                fs_with_surface: shared.map(|s| s.fs.into()),
                fs_governing_with_surface: shared.and_then(|s| s.fs_governing).map(Number),
                structures: none_if_empty(joined(
                    (0..3).filter(|&i| wedge.sets[i] >= case.set_count()).map(name),
                )),
                hung_kn: (!case.site.hung_loads.is_empty()).then_some(Number(wedge.hung_kn)),
                fs_dowel: wedge.fs_dowel.map(Number),
            }
        })
        .collect()
}

/// The rows of bolt_demand.csv.
#[must_use]
pub fn bolt_demand_rows(demand: &[DemandRow], widest: &[Widest]) -> Vec<BoltDemandRow> {
    let governing =
        |row: &DemandRow, pick: fn(&GoverningDemand) -> f64| row.governing.as_ref().map(|g| Number(pick(g)));
    let found = |row: &DemandRow, pick: fn(&Widest) -> Option<f64>| {
        widest.iter().find(|w| w.wedge == row.wedge).and_then(pick).map(Number)
    };
    demand
        .iter()
        .map(|row| BoltDemandRow {
            surface: row.surface.name().into(),
            wedge: row.wedge.clone(),
            area_m2: row.area_m2.into(),
            force_needed_kn: row.force_needed_kn.into(),
            force_provided_kn: row.force_provided_kn.map(Number),
            pressure_needed_kpa: row.pressure_needed_kpa.into(),
            bolts_needed: row.bolts_needed,
            utilisation: row.utilisation.map(Number),
            square_spacing_m: row.square_spacing_m.map(Number),
            governing_volume_m3: governing(row, |g| g.volume_m3),
            governing_area_m2: governing(row, |g| g.area_m2),
            governing_force_needed_kn: governing(row, |g| g.force_needed_kn),
            governing_force_provided_kn: governing(row, |g| g.force_provided_kn),
            governing_pressure_needed_kpa: governing(row, |g| g.pressure_needed_kpa),
            governing_bolts_needed: row.governing.as_ref().and_then(|g| g.bolts_needed),
            governing_utilisation: governing(row, |g| g.utilisation),
            widest_ring_spacing_m: found(row, |w| w.ring_spacing_m),
            widest_square_spacing_m: found(row, |w| w.square_spacing_m),
            shortest_length_m: found(row, |w| w.length_m),
        })
        .collect()
}

/// The rows of size_curve.csv: every size that was studied, wedges in the order of the check.
#[must_use]
pub fn size_rows(curves: &[SizeCurve]) -> Vec<SizeRow> {
    let row = |curve: &SizeCurve, size: &Size| SizeRow {
        wedge: curve.wedge.clone(),
        volume_m3: size.volume_m3.into(),
        weight_kn: size.weight_kn.into(),
        fs_bolted: size.fs_bolted.into(),
        fs_bolted_median: size.fs_bolted_median.into(),
        bolts_serving: size.bolts_serving,
        force_needed_kn: size.force_needed_kn.into(),
        force_provided_kn: size.force_provided_kn.into(),
        judged_by: size.judged_by.name().into(),
    };
    curves.iter().flat_map(|curve| curve.sizes.iter().map(move |size| row(curve, size))).collect()
}

/// The rows of stages.csv: stages in order, in each the places, in each the wedges.
#[must_use]
pub fn stage_rows(stages: &Stages) -> Vec<StageTableRow> {
    stages
        .rows
        .iter()
        .map(|row| StageTableRow {
            stage: row.stage.name().into(),
            place: row.place.name().into(),
            wedge: row.wedge.clone(),
            unsupported_length_m: row.unsupported_length_m.into(),
            length_m: row.length_m.into(),
            volume_m3: row.volume_m3.into(),
            weight_kn: row.weight_kn.into(),
            mode: row.mode.name().into(),
            fs: row.fs.into(),
            bolts_serving: row.bolts_serving,
            criterion: row.criterion_fs.map(Number),
            verdict: row.verdict.name().into(),
        })
        .collect()
}

/// The rows of bolts.csv: the bolts that cross each wedge at its worst placement.
#[must_use]
pub fn bolt_rows(case: &Case, check: &Check) -> Vec<BoltRow> {
    let mut rows = Vec::new();
    for wedge in check.every() {
        for bolt in wedge.serving().unwrap_or_default() {
            let design = &case.bolts[case.patterns[bolt.pattern].bolt];
            let world = check.opening.frame.to_world(&bolt.direction);
            let (trend_deg, plunge_deg) = trend_and_plunge(Line::from_vector(&world));
            rows.push(BoltRow {
                wedge: wedge.id.clone(),
                pattern: bolt.pattern + 1,
                ring: bolt.ring,
                chainage_m: bolt.chainage_m.into(),
                u_m: bolt.point.x.into(),
                v_m: bolt.point.y.into(),
                trend_deg,
                plunge_deg,
                head_m: bolt.head_m.into(),
                toe_m: bolt.toe_m.into(),
                capacity_kn: bolt.capacity.kn.into(),
                governed_by: bolt.capacity.governed_by.name().into(),
                share_kn: bolt.share_kn.into(),
                bolt: design.name.clone(),
                source: design.source.clone().unwrap_or_else(|| crate::report::words::NO_SOURCE.into()),
                near_plate: if bolt.near_plate() { "yes" } else { "no" }.into(),
            });
        }
    }
    rows
}
