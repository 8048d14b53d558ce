//! What people state beside a survey: borders of sets, and what a hint on friction holds for.

use std::path::PathBuf;

use crate::survey::HintConditions;

/// What is stated beside the survey.
#[derive(Debug, clap::Args)]
pub(super) struct Stated {
    /// A TOML file with the borders of sets by hand: a table "set" for each, with a name and dip_deg,
    /// dip_direction_deg and within_deg, or poles_deg, the corners of a border on the net; labels are put aside.
    #[arg(long, value_name = "FILE")]
    pub(super) set_borders: Option<PathBuf>,
    /// Effective normal stress, kPa, for a hint on friction from JRC and JCS; with --base-friction-deg.
    #[arg(long, value_name = "KPA", allow_negative_numbers = true)]
    pub(super) normal_stress_kpa: Option<f64>,
    /// Base friction of the rock, degrees, for a hint on friction from JRC and JCS; with --normal-stress-kpa.
    #[arg(long, value_name = "DEG", allow_negative_numbers = true)]
    pub(super) base_friction_deg: Option<f64>,
}

/// Stresses beyond this are those of no joint round a drive, kPa.
const MOST_STRESS_KPA: f64 = 1e6;
/// No rock has a base friction beyond this, degrees.
const MOST_BASE_FRICTION_DEG: f64 = 60.0;

impl Stated {
    /// What a hint on friction holds for; both have to be stated, since neither has a value that is common practice.
    pub(super) fn hint_conditions(&self, wrong: &mut Vec<String>) -> Option<HintConditions> {
        let (stress, friction) = (self.normal_stress_kpa, self.base_friction_deg);
        if stress.is_some() != friction.is_some() {
            wrong.push(
                "--normal-stress-kpa, --base-friction-deg: a hint on friction needs both; give both, or none"
                    .to_owned(),
            );
        }
        for (name, value, most, unit) in [
            ("--normal-stress-kpa", stress, MOST_STRESS_KPA, "kPa"),
            ("--base-friction-deg", friction, MOST_BASE_FRICTION_DEG, "degrees"),
        ] {
            if let Some(value) = value.filter(|value| !(*value > 0.0 && *value <= most)) {
                wrong.push(format!("{name} {value}: allowed above 0 to {most}, {unit}"));
            }
        }
        Some(HintConditions { normal_stress_kpa: stress?, base_friction_deg: friction? })
    }
}
