//! What is said of stress: each wedge's factor without and with it, its joints' forces, stress.csv.

use serde_json::{Value, json};

use crate::case::Case;
use crate::orientation::Vec3;
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::numbers::{Number, factor, shortest};
use crate::report::paper::table::Table;
use crate::report::words::NO_SOURCE;
use crate::stability::Clamped;
use crate::stress::{GivenStress, RockStress};
use crate::study::{
    ASKED_SHARES, ASKED_STARTS, Check, CheckedWedge, LeastUnderStress, StressEffect, Stressed, UnderStress,
    Warning,
};

/// A wedge of the drive, asked or not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct StressRow<'a> {
    wedge: &'a CheckedWedge,
}

impl<'a> StressRow<'a> {
    fn stressed(&self) -> Option<&'a Stressed> {
        self.wedge.found.stressed.as_deref()
    }

    fn clamped(&self) -> Option<&'a Clamped> {
        self.stressed()?.clamped.as_ref()
    }

    fn under(&self) -> Option<&'a UnderStress> {
        self.wedge.under_stress()
    }

    fn least(&self) -> Option<&'a LeastUnderStress> {
        self.under()?.least.as_ref()
    }

    fn normal(&self, joint: usize) -> Cell<'a> {
        self.stressed().map(|s| s.elastic[joint].normal_kn).into()
    }

    fn shear(&self, joint: usize) -> Cell<'a> {
        self.stressed().map(|s| s.elastic[joint].shear_kn.norm()).into()
    }

    fn held_normal(&self, joint: usize) -> Cell<'a> {
        self.clamped().map(|c| c.normal_kn[joint]).into()
    }

    fn held_shear(&self, joint: usize) -> Cell<'a> {
        self.clamped().map(|c| c.shear_kn[joint].norm()).into()
    }
}

/// A row a wedge of the drive; none without stress.
pub(super) fn stress_rows<'a>(case: &Case, check: &'a Check) -> Vec<StressRow<'a>> {
    let wedges = check.wedges.iter().filter(|_| case.site.stress.is_some());
    wedges.map(|wedge| StressRow { wedge }).collect()
}

/// The columns; the README says what each means.
pub(super) fn stress_table<'a>() -> Table<StressRow<'a>> {
    use Format::{Factor, Kn, Whole, Words};
    Table::<StressRow<'a>>::new()
        .column("wedge", |r| (&r.wedge.wedge.id).into())
        .on_page("wedge", Words)
        .column("stress_effect", |r| r.wedge.stress_effect().name().into())
        .on_page("stress", Words)
        .column("fs_bare", |r| r.wedge.found.fs_bare.into())
        .on_page("FS bare", Factor)
        .column("fs_with_stress", |r| r.wedge.fs_with_stress().into())
        .on_page("FS bare with stress", Factor)
        .column("driving_kn", |r| r.clamped().map(|c| c.driving_kn).into())
        .on_page("load along movement kN", Kn)
        .column("resistance_with_stress_kn", |r| r.clamped().map(|c| c.resistance_kn).into())
        .on_page("held with stress kN", Kn)
        .column("support_needed_kn", |r| {
            r.stressed().map(|_| r.wedge.force_needed_without_stress_kn()).into()
        })
        .on_page("support needed kN", Kn)
        .column("support_needed_with_stress_kn", |r| r.wedge.force_needed_with_stress_kn().into())
        .on_page("support needed with stress kN", Kn)
        .column("pieces_asked", |r| r.under().map(|u| u.asked).into())
        .on_page("pieces asked", Whole)
        .column("pieces_harmed", |r| r.under().map(|u| u.harmed).into())
        .on_page("harmed", Whole)
        .column("pieces_not_found", |r| r.under().map(|u| u.not_found).into())
        .column("least_fs_with_stress", |r| r.least().map(|l| l.fs).into())
        .on_page("least FS with support", Factor)
        .column("least_carrier", |r| r.least().map(|l| l.carrier.name()).into())
        .column("least_volume_m3", |r| r.least().map(|l| l.at.volume_m3).into())
        .column("least_lost_kn", |r| r.least().map(|l| l.stability.loss().lost_kn).into())
        .column("fs_deciding", |r| r.wedge.decided.fs.into())
        .on_page("FS that decides", Factor)
        .column("normal_1_kn", |r| r.normal(0))
        .column("normal_2_kn", |r| r.normal(1))
        .column("normal_3_kn", |r| r.normal(2))
        .column("shear_1_kn", |r| r.shear(0))
        .column("shear_2_kn", |r| r.shear(1))
        .column("shear_3_kn", |r| r.shear(2))
        .column("held_normal_1_kn", |r| r.held_normal(0))
        .column("held_normal_2_kn", |r| r.held_normal(1))
        .column("held_normal_3_kn", |r| r.held_normal(2))
        .column("held_shear_1_kn", |r| r.held_shear(0))
        .column("held_shear_2_kn", |r| r.held_shear(1))
        .column("held_shear_3_kn", |r| r.held_shear(2))
        .column("stress_error_kn", |r| {
            r.stressed().map(|s| s.elastic.iter().map(|f| f.error_kn).sum::<f64>()).into()
        })
}

/// The rows with the force of each joint on the wedge as vectors, local (u, s, v), kN: what stress brings to it, and
/// what it carries where most is held.
pub(super) fn stress_json<'a>(case: &Case, rows: &[StressRow<'a>]) -> Value {
    let table = stress_table();
    let vector = |force: Vec3| json!([force.x, force.y, force.z].map(Number));
    let with_joints = |row: &StressRow<'a>| {
        let mut object = table.object(row);
        let joints = row.stressed().map(|stressed| {
            let joint = |i: usize| {
                let inward = row.wedge.wedge.cone.inward[i];
                let elastic = &stressed.elastic[i];
                json!({
                    "joint": case.joints[row.wedge.wedge.sets[i]].name,
                    "area_m2": Number(elastic.area_m2),
                    "force_kn": vector(inward * elastic.normal_kn + elastic.shear_kn),
                    "held_force_kn":
                        stressed.clamped.as_ref().map(|c| vector(inward * c.normal_kn[i] + c.shear_kn[i])),
                })
            };
            (0..3).map(joint).collect::<Vec<_>>()
        });
        object.insert("joints".into(), json!(joints));
        Value::Object(object)
    };
    rows.iter().map(with_joints).collect()
}

/// What was entered, under the keys of the case file.
pub(super) fn inputs_json(rock: &RockStress) -> Value {
    let mut inputs = match &rock.given {
        GivenStress::Principal(sigma) => {
            let mut keys = serde_json::Map::new();
            for (i, stress) in sigma.iter().enumerate() {
                keys.insert(format!("sigma_{}_mpa", i + 1), json!(Number(stress.mpa)));
                keys.insert(format!("sigma_{}_trend_deg", i + 1), json!(Number(stress.axis.trend_deg)));
                keys.insert(format!("sigma_{}_plunge_deg", i + 1), json!(Number(stress.axis.plunge_deg)));
            }
            Value::Object(keys)
        }
        GivenStress::Vertical(vertical) => json!({
            "vertical_mpa": Number(vertical.vertical_mpa),
            "k_max": Number(vertical.k_max),
            "k_min": Number(vertical.k_min),
            "k_max_trend_deg": Number(vertical.k_max_trend_deg),
        }),
    };
    inputs["poisson"] = json!(Number(rock.poisson));
    inputs["stiffness_ratio"] = json!(Number(rock.stiffness_ratio));
    inputs["fades"] = json!(rock.fades);
    inputs["source"] = json!(rock.source);
    inputs
}

fn given_words(given: &GivenStress) -> String {
    match given {
        GivenStress::Principal(sigma) => {
            let words = sigma.iter().enumerate().map(|(i, stress)| {
                format!(
                    "σ{} {} MPa ({}/{})",
                    i + 1,
                    shortest(stress.mpa),
                    shortest(stress.axis.trend_deg),
                    shortest(stress.axis.plunge_deg)
                )
            });
            words.collect::<Vec<_>>().join(", ")
        }
        GivenStress::Vertical(vertical) => format!(
            "{} MPa vertical, {} times that level towards {}°, {} times across",
            shortest(vertical.vertical_mpa),
            shortest(vertical.k_max),
            shortest(vertical.k_max_trend_deg),
            shortest(vertical.k_min)
        ),
    }
}

/// Wedges that stress alone would keep from being short or bring down, two sentences; none without stress.
#[must_use]
pub(super) fn stress_sentences(case: &Case, check: &Check) -> Vec<String> {
    let Some(rock) = &case.site.stress else { return Vec::new() };
    let with = |effect: StressEffect| check.wedges.iter().filter(move |w| w.stress_effect() == effect);
    let count = |effect: StressEffect| with(effect).count();
    let mut counts: Vec<String> = [
        (StressEffect::Clamps, "clamped"),
        (StressEffect::Nothing, "unchanged"),
        (StressEffect::Lowers, "lowered"),
        (StressEffect::DrivesOut, "driven out"),
        (StressEffect::NotFound, "not found"),
        (StressEffect::NotAsked, "not asked, since they do not move without it"),
    ]
    .into_iter()
    .filter(|(effect, _)| count(*effect) > 0)
    .map(|(effect, words)| format!("{} {words}", count(effect)))
    .collect();
    let known = check.wedges.iter().filter_map(|w| Some((w, w.fs_with_stress()?)));
    if let Some((wedge, fs)) = known.min_by(|a, b| a.1.total_cmp(&b.1)) {
        counts.push(format!(
            "the least factor with it {}, {} without ({})",
            factor(fs),
            factor(wedge.found.fs_bare),
            wedge.wedge.id
        ));
    }
    let told = if counts.is_empty() { "no wedge of a litre or more".to_owned() } else { counts.join(", ") };
    vec![
        format!(
            "With stress ({}), the largest wedges without support: {told} (stress.csv).",
            given_words(&rock.given)
        ),
        GONE_TOMORROW.to_owned(),
    ]
}

const GONE_TOMORROW: &str = "Where stress clamps, no verdict counts it, since it may be gone tomorrow: a blast, slabbing or time takes it away. Where it takes from what holds a wedge, verdicts count it: a wedge has to hold with and without it. Wedges at the face are not asked, since plane strain is wrong there.";

/// What becomes of what drives a wedge out.
const FADES: &str = "What drives a wedge out, beyond all that its joints hold, is spent by its movement: joints under megapascals are let go within a fraction of a millimetre, which bolts and screen give. So no more is taken off than its joints hold, and support has to carry the wedge without them; shotcrete and stiff linings may crack first (`fades = false` counts it in full).";
const IN_FULL: &str = "What drives a wedge out is counted in full, as if it did not fade (`fades = false`); in truth it is spent by a movement that is not known, since stiffnesses are a ratio: support that follows so far has the wedge to carry without its joints.";

/// Where stress does harm, for the lines right below the answer.
pub(super) fn harm(check: &Check) -> impl Iterator<Item = String> {
    check.warnings.iter().filter(|w| is_harm(w)).map(|w| format!("{w}."))
}

/// Whether a warning is told by [`harm`].
pub(super) fn is_harm(warning: &Warning) -> bool {
    matches!(warning, Warning::StressHarms { .. })
}

/// What was entered and how it is counted; nothing without stress.
#[must_use]
pub(super) fn stress_lines(case: &Case) -> Vec<String> {
    let Some(rock) = &case.site.stress else { return Vec::new() };
    vec![
        format!(
            "Stress: {}; Poisson's ratio {}, joint stiffness kn/ks {}. Source: {}.",
            given_words(&rock.given),
            shortest(rock.poisson),
            shortest(rock.stiffness_ratio),
            rock.source.as_deref().unwrap_or(NO_SOURCE)
        ),
        GONE_TOMORROW.to_owned(),
        "The joints of a wedge first carry what the elastic stress round the unjointed section brings to their faces (plane strain, few diameters behind the face); then the wedge is moved out as a rigid block against joints that are springs, which open, or slip by their strength, and the most that they hold is the resistance (Bray 1977; Brady & Brown 2004, ch. 9). Factor: resistance over the load along the movement; below 0 stress drives the wedge out. Rotation, yield, slabbing, weight of the rock in the stress and joints beside the wedge are not in it.".to_owned(),
        format!(
            "Where that resistance is below the one without stress, the difference is taken off whatever carries the piece: joints, bolts with all that they can take along the whole way out, shotcrete; off a screen what drives the piece out beyond its joints. Asked are the largest wedge of each pyramid and up to {} smaller ones: at {} places across it the widest that caps leave, and {} of its width; those alone (where structures hold the apex, the largest), and no bound is given for pieces between them. Stages ask it across the last ring and in the pattern; ahead of the last ring, at the face and of prisms it is not asked. {}",
            ASKED_STARTS * ASKED_SHARES.len(),
            ASKED_STARTS,
            ASKED_SHARES[1..].iter().map(|share| shortest(*share)).collect::<Vec<_>>().join(" and "),
            if rock.fades { FADES } else { IN_FULL }
        ),
        "Support needed: criterion × load along the movement − resistance.".to_owned(),
    ]
}

/// The page's section; nothing without stress.
pub(super) fn section(body: &mut Html, case: &Case, rows: &[StressRow]) {
    if case.site.stress.is_none() {
        return;
    }
    body.heading("Without and with stress");
    body.table(&stress_table().page_of_all(rows));
    body.list(stress_lines(case).into_iter());
}
