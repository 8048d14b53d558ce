//! Strength laws of a case file: what their keys ask of each other, and the plain values.

use super::file::StrengthTable;
use crate::input::document::{Node, Table};
use crate::input::{Collector, ProblemKind, Says};
use crate::strength::{Bridged, MohrCoulomb, Rough, Stepped, StrengthLaw};

/// The steepest that flanks of steps may rise with friction, degrees: beyond it they would hold any load.
const STEEPEST_DEG: f64 = 80.0;

/// Checks how a set or a structure gives its strength: a line, or a law and no line.
pub(super) fn check_strength(node: &Node, problems: &mut Collector) {
    let Some(table) = node.table() else { return };
    let Some(at) = table.get("strength") else { return };
    for key in ["friction_deg", "cohesion_kpa"] {
        if let Some(here) = table.get(key) {
            let says = Says::new(
                format!("{key} beside strength"),
                "friction_deg and cohesion_kpa, or strength",
                format!("delete {key}, or strength"),
            );
            problems.add(ProblemKind::Conflict, here.place, &here.path, says);
        }
    }
    if let Some(law) = at.table() {
        check_law(at, law, problems);
    }
}

fn check_law(at: &Node, law: &Table, problems: &mut Collector) {
    let mut wrong = |key: &str, found: String, allowed: &str, advice: &str| {
        let place = law.get(key).map_or(at.place, |node| node.place);
        problems.add(
            ProblemKind::Conflict,
            place,
            &format!("{}.{key}", at.path),
            Says::new(found, allowed, advice),
        );
    };
    let number = |key: &str| law.number(key);
    if let (Some(jcs_mpa), Some(up_to_kpa)) = (number("jcs_mpa"), number("up_to_kpa"))
        && up_to_kpa >= 1000.0 * jcs_mpa
    {
        wrong(
            "up_to_kpa",
            format!("{up_to_kpa} kPa, no less than the walls bear ({jcs_mpa} MPa)"),
            "a normal stress below jcs_mpa",
            "the rule ends where walls are crushed: give a lower stress, or type friction_deg",
        );
    }
    if law.mentions("measured_length_m") != law.mentions("block_length_m") {
        let (there, lacking) = if law.mentions("measured_length_m") {
            ("measured_length_m", "block_length_m")
        } else {
            ("block_length_m", "measured_length_m")
        };
        wrong(
            there,
            format!("{there} without {lacking}"),
            "both, or neither",
            "give the other length as well",
        );
    }
    if let (Some(friction_deg), Some(step_deg)) = (number("base_friction_deg"), number("step_deg"))
        && friction_deg + step_deg > STEEPEST_DEG
    {
        wrong(
            "step_deg",
            format!("{step_deg}, with base_friction_deg {} together", friction_deg + step_deg),
            "at most 80 degrees together",
            "measure the steps over the length of a block: short ones are steeper",
        );
    }
}

/// The plain value.
pub(super) fn law_of(table: &StrengthTable) -> StrengthLaw {
    match *table {
        StrengthTable::Rough {
            jrc,
            jcs_mpa,
            base_friction_deg,
            measured_length_m,
            block_length_m,
            up_to_kpa,
        } => {
            let lengths_m = measured_length_m.zip(block_length_m).map(<[f64; 2]>::from);
            StrengthLaw::Rough(Rough { jrc, jcs_mpa, base_friction_deg, lengths_m }, up_to_kpa)
        }
        StrengthTable::Stepped { base_friction_deg, step_deg, sheared_off_kpa, residual_deg, up_to_kpa } => {
            let law = Stepped { friction_deg: base_friction_deg, step_deg, sheared_off_kpa, residual_deg };
            StrengthLaw::Stepped(law, up_to_kpa)
        }
        StrengthTable::Bridged {
            persistence,
            joint_friction_deg,
            joint_cohesion_kpa,
            rock_friction_deg,
            rock_cohesion_kpa,
        } => {
            let of = |friction_deg, cohesion_kpa| MohrCoulomb { friction_deg, cohesion_kpa };
            StrengthLaw::Bridged(Bridged {
                persistence,
                joint: of(joint_friction_deg, joint_cohesion_kpa.unwrap_or(0.0)),
                rock: of(rock_friction_deg, rock_cohesion_kpa),
            })
        }
    }
}

/// The line of a law, or the one that was typed; `None` where neither was.
pub(super) fn line_of(
    law: Option<&StrengthLaw>,
    friction_deg: Option<f64>,
    cohesion_kpa: Option<f64>,
) -> Option<MohrCoulomb> {
    match law {
        Some(law) => Some(law.line()),
        None => Some(MohrCoulomb { friction_deg: friction_deg?, cohesion_kpa: cohesion_kpa.unwrap_or(0.0) }),
    }
}
