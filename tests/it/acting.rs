//! What acts on a case's wedges besides weight, as tests put it there, and what they ask of a check then.
#![allow(clippy::unwrap_used)]

use backhold::case::{Case, ReadCase, parse_case};
use backhold::orientation::Vec3;
use backhold::stability::{Shaking, WATER_KN_M3, Water, WaterModel};
use backhold::stress::{GivenStress, RockStress, VerticalStress};
use backhold::study::{Check, CheckedWedge, decided, forces_alone, judge, judgement};

/// Water on every joint.
pub fn wet(case: &Case, model: WaterModel) -> Case {
    let mut case = case.clone();
    case.site.water = Some(Water { model, joints: None, unit_weight_kn_m3: WATER_KN_M3, source: None });
    case
}

pub fn shaking(horizontal: f64, vertical: f64, trend_deg: Option<f64>) -> Shaking {
    Shaking { horizontal, vertical, trend_deg, velocity: None, source: None }
}

pub fn shaken(case: &Case, shaking: Shaking) -> Case {
    let mut case = case.clone();
    case.site.shaking = Some(shaking);
    case
}

/// A vertical stress and its two ratios.
pub fn vertical(vertical_mpa: f64, k_max: f64, k_min: f64) -> GivenStress {
    GivenStress::Vertical(VerticalStress { vertical_mpa, k_max, k_min, k_max_trend_deg: 30.0 })
}

/// With stress, all that drives wedges out counted in full.
pub fn stressed(case: &Case, given: GivenStress, poisson: f64, stiffness_ratio: f64) -> Case {
    let mut case = case.clone();
    let rock = RockStress::of(given, poisson, stiffness_ratio).unwrap();
    case.site.stress = Some(RockStress { fades: false, ..rock });
    case
}

/// The same where it fades.
pub fn fading(stressed: &Case) -> Case {
    let mut case = stressed.clone();
    case.site.stress.as_mut().unwrap().fades = true;
    case
}

/// A force of a row of a summary, kN, local (u, s, v).
pub fn force_of(row: &serde_json::Value, what: &str) -> Vec3 {
    Vec3::from(["u", "s", "v"].map(|axis| row[format!("{what}_{axis}_kn")].as_f64().unwrap()))
}

/// A case file without others beside it.
pub fn read(text: &str) -> Result<ReadCase, backhold::input::Problems> {
    parse_case(text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into()))
}

pub fn parsed(text: &str) -> Case {
    read(text).unwrap().case
}

pub fn wedge<'c>(check: &'c Check, id: &str) -> &'c CheckedWedge {
    check.wedges.iter().find(|w| w.wedge.id == id).unwrap()
}

/// The verdicts of a whole check, without what stands beside them.
pub fn verdicts(case: &Case) -> Check {
    let found = forces_alone(case).unwrap();
    let pieces = judgement(case, &found);
    decided(case, judge(case, found, pieces))
}
