//! Stress of a case file: what its keys ask of each other, and the plain value.

use super::file::StressTable;
use crate::input::document::{Node, Table};
use crate::input::{Collector, ProblemKind, Says};
use crate::orientation::Line;
use crate::stress::{FarField, FarFieldError, GivenStress, PrincipalStress, RockStress, VerticalStress};

const PRINCIPAL: [&str; 9] = [
    "sigma_1_mpa",
    "sigma_1_trend_deg",
    "sigma_1_plunge_deg",
    "sigma_2_mpa",
    "sigma_2_trend_deg",
    "sigma_2_plunge_deg",
    "sigma_3_mpa",
    "sigma_3_trend_deg",
    "sigma_3_plunge_deg",
];

const VERTICAL: [&str; 4] = ["vertical_mpa", "k_max", "k_min", "k_max_trend_deg"];

const EITHER: &str = "three principal stresses with their axes, or vertical_mpa with its ratios";

/// Checks `[stress]`: three principal stresses square to each other and in order, or a vertical one with its ratios.
pub(super) fn check_stress(root: &Table, problems: &mut Collector) {
    let Some(node) = root.get("stress") else { return };
    let Some(table) = node.table() else { return };
    let first = |keys: &[&'static str]| keys.iter().copied().find(|key| table.mentions(key));
    match (first(&PRINCIPAL), first(&VERTICAL)) {
        (None, None) => {
            let says = Says::new(
                "nothing",
                EITHER,
                "say what stress the rock is under: add vertical_mpa, k_max, k_min and k_max_trend_deg",
            );
            problems.add(ProblemKind::MissingKey, node.place, &format!("{}.vertical_mpa", node.path), says);
        }
        (Some(sigma), Some(vertical)) => {
            let at = table.get(vertical).unwrap_or(node);
            let says =
                Says::new(format!("both {sigma} and {vertical}"), EITHER, "delete the one or the other");
            problems.add(ProblemKind::Conflict, at.place, &at.path, says);
        }
        (Some(_), None) => {
            missing(node, table, &PRINCIPAL, problems);
            if let Some(sigma) = principal_of(|key| table.number(key)) {
                for wrong in FarField::wrong_principal(&sigma) {
                    add(node, table, &wrong, problems);
                }
            }
        }
        (None, Some(_)) => {
            missing(node, table, &VERTICAL, problems);
            if let Some(vertical) = vertical_of(|key| table.number(key))
                && let Err(wrong) = FarField::vertical(&vertical)
            {
                add(node, table, &wrong, problems);
            }
        }
    }
}

fn missing(node: &Node, table: &Table, keys: &[&str], problems: &mut Collector) {
    for key in keys.iter().filter(|key| !table.mentions(key)) {
        let says = Says::new("nothing", format!("all of {}", keys.join(", ")), format!("add {key}"));
        problems.add(ProblemKind::MissingKey, node.place, &format!("{}.{key}", node.path), says);
    }
}

/// What numbers are no far field for, at the key that has to change.
fn add(node: &Node, table: &Table, wrong: &FarFieldError, problems: &mut Collector) {
    let (key, says) = match wrong {
        FarFieldError::NotFinite => return,
        FarFieldError::OutOfOrder { greater, greater_mpa, lesser, lesser_mpa } => (
            format!("sigma_{lesser}_mpa"),
            Says::new(
                format!("{lesser_mpa} MPa, above the {greater_mpa} MPa of sigma_{greater}_mpa"),
                "sigma_1_mpa the greatest, sigma_3_mpa the least, compression positive",
                "exchange the two with their axes, or see the signs",
            ),
        ),
        FarFieldError::NotSquare { first, second, angle_deg } => (
            format!("sigma_{second}_trend_deg"),
            Says::new(
                format!("an axis {angle_deg:.1}° from that of sigma_{first}"),
                "axes square to each other, within 2° for rounding",
                "see trends and plunges of both: a plunge is positive down",
            ),
        ),
        FarFieldError::RatiosOutOfOrder { k_max, k_min } => (
            "k_min".to_owned(),
            Says::new(
                format!("{k_min}, above the {k_max} of k_max"),
                "at most k_max",
                "exchange the two; k_max_trend_deg is the azimuth of the greater one",
            ),
        ),
    };
    let at = table.get(&key).unwrap_or(node);
    problems.add(ProblemKind::Conflict, at.place, &at.path, says);
}

fn principal_of(number: impl Fn(&str) -> Option<f64>) -> Option<[PrincipalStress; 3]> {
    let one = |keys: &[&str]| {
        let axis = Line { trend_deg: number(keys[1])?, plunge_deg: number(keys[2])? };
        Some(PrincipalStress { mpa: number(keys[0])?, axis })
    };
    Some([one(&PRINCIPAL[..3])?, one(&PRINCIPAL[3..6])?, one(&PRINCIPAL[6..])?])
}

fn vertical_of(number: impl Fn(&str) -> Option<f64>) -> Option<VerticalStress> {
    Some(VerticalStress {
        vertical_mpa: number("vertical_mpa")?,
        k_max: number("k_max")?,
        k_min: number("k_min")?,
        k_max_trend_deg: number("k_max_trend_deg")?,
    })
}

/// The plain value; `None` where its keys make none, which has been asked before.
pub(super) fn stress_of(table: &StressTable) -> Option<RockStress> {
    let number = |key: &str| match key {
        "sigma_1_mpa" => table.sigma_1_mpa,
        "sigma_1_trend_deg" => table.sigma_1_trend_deg,
        "sigma_1_plunge_deg" => table.sigma_1_plunge_deg,
        "sigma_2_mpa" => table.sigma_2_mpa,
        "sigma_2_trend_deg" => table.sigma_2_trend_deg,
        "sigma_2_plunge_deg" => table.sigma_2_plunge_deg,
        "sigma_3_mpa" => table.sigma_3_mpa,
        "sigma_3_trend_deg" => table.sigma_3_trend_deg,
        "sigma_3_plunge_deg" => table.sigma_3_plunge_deg,
        "vertical_mpa" => table.vertical_mpa,
        "k_max" => table.k_max,
        "k_min" => table.k_min,
        "k_max_trend_deg" => table.k_max_trend_deg,
        _ => None,
    };
    let given = principal_of(number)
        .map(GivenStress::Principal)
        .or_else(|| vertical_of(number).map(GivenStress::Vertical));
    let stress = RockStress::of(given?, table.poisson, table.stiffness_ratio).ok()?;
    let fades = table.fades.unwrap_or(stress.fades);
    Some(RockStress { fades, source: table.source.clone(), ..stress })
}
