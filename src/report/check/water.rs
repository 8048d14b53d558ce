//! What is said of water: each wedge dry and wet, with what else acts on it beside, water.csv.

use serde_json::{Value, json};

use super::loads::{HasLoads, Loads, with_loads};
use crate::case::Case;
use crate::orientation::Vec3;
use crate::report::paper::cell::{Cell, Format};
use crate::report::paper::html::Html;
use crate::report::paper::numbers::{Number, shortest};
use crate::report::paper::table::Table;
use crate::report::words::NO_SOURCE;
use crate::stability::{Water, WaterForces, WaterModel};
use crate::study::{AtRest, Check, CheckedWedge};

/// From this many times its factor dry on a wedge is held by water.
const HELD_BY_WATER: f64 = 1.0 + 1e-9;

/// A wedge dry and wet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct WaterRow<'a> {
    wedge: &'a CheckedWedge,
    dry: AtRest,
    /// What presses on it; nothing where it touches none of the joints that water acts on.
    water: WaterForces,
    /// True down, local.
    down: Vec3,
}

impl<'a> WaterRow<'a> {
    /// Wet, without what shakes it.
    fn wet(&self) -> AtRest {
        let (found, motion) = (&self.wedge.found, &self.wedge.wedge.stability.motion);
        found.at_rest.unwrap_or(AtRest { mode: motion.mode, fs_bare: found.fs_bare })
    }

    fn pressed(&self, joint: usize) -> Cell<'a> {
        self.water.kn[joint].into()
    }

    /// Whether its factor without support is higher wet than dry.
    fn is_held_by_it(&self) -> bool {
        self.wet().fs_bare > self.dry.fs_bare * HELD_BY_WATER
    }
}

impl HasLoads for WaterRow<'_> {
    fn loads(&self) -> Loads {
        Loads::of(self.wedge, &self.down)
    }
}

/// A row a wedge, those at the face last; none without water.
pub(super) fn water_rows<'a>(case: &Case, check: &'a Check) -> Vec<WaterRow<'a>> {
    if case.site.water.is_none() {
        return Vec::new();
    }
    let down = -check.opening.frame.to_local(&Vec3::z());
    let of = |wedge: &'a CheckedWedge| {
        let water = wedge.wedge.stability.water().copied().unwrap_or_default();
        Some(WaterRow { wedge, dry: wedge.found.dry?, water, down })
    };
    check.every().filter_map(of).collect()
}

/// The columns; the README says what each means.
pub(super) fn water_table<'a>() -> Table<WaterRow<'a>> {
    use Format::{Factor, Kn, Words};
    let table = Table::<WaterRow<'a>>::new()
        .column("wedge", |r| (&r.wedge.wedge.id).into())
        .on_page("wedge", Words)
        .column("mode_dry", |r| r.dry.mode.name().into())
        .on_page("dry", Words)
        .column("fs_bare_dry", |r| r.dry.fs_bare.into())
        .on_page("FS bare dry", Factor)
        .column("mode_wet", |r| r.wet().mode.name().into())
        .on_page("wet", Words)
        .column("fs_bare_wet", |r| r.wet().fs_bare.into())
        .on_page("FS bare wet", Factor)
        .column("mode", |r| r.wedge.wedge.stability.motion.mode.name().into())
        .on_page("with all that acts", Words)
        .column("fs_bare", |r| r.wedge.found.fs_bare.into())
        .on_page("FS bare with all that acts", Factor)
        .column("fs_with_stress", |r| r.wedge.fs_with_stress().into())
        .on_page("FS bare with stress", Factor)
        .column("fs_deciding", |r| r.wedge.decided.fs.into())
        .on_page("FS that decides", Factor)
        .column("water_1_kn", |r| r.pressed(0))
        .on_page("water on the first joint kN", Kn)
        .column("water_2_kn", |r| r.pressed(1))
        .on_page("on the second kN", Kn)
        .column("water_3_kn", |r| r.pressed(2))
        .on_page("on the third kN", Kn);
    with_loads(table, true)
}

/// The rows with what presses on each joint: force and where it acts, local (u, s, v), apex at s = 0.
pub(super) fn water_json<'a>(case: &Case, rows: &[WaterRow<'a>]) -> Value {
    let table = water_table();
    let vector = |v: &Vec3| json!([v.x, v.y, v.z].map(Number));
    let with_joints = |row: &WaterRow<'a>| {
        let mut object = table.object(row);
        let wedge = &row.wedge.wedge;
        let forces = row.water.vectors_kn(&wedge.cone.inward);
        let joint = |i: usize| {
            json!({
                "joint": case.joints[wedge.sets[i]].name,
                "force_kn": vector(&forces[i]),
                "at_m": (row.water.kn[i] > 0.0).then(|| vector(&row.water.at[i])),
            })
        };
        object.insert("joints".into(), (0..3).map(joint).collect());
        Value::Object(object)
    };
    rows.iter().map(with_joints).collect()
}

/// What was entered, under the keys of the case file.
pub(super) fn inputs_json(case: &Case, water: &Water) -> Value {
    let (key, value) = typed(water.model);
    let names = |joints: &Vec<usize>| joints.iter().map(|&j| case.joints[j].name.clone()).collect::<Vec<_>>();
    json!({
        key: Number(value),
        "joints": water.joints.as_ref().map(names),
        "unit_weight_kn_m3": Number(water.unit_weight_kn_m3),
        "source": water.source,
    })
}

fn typed(model: WaterModel) -> (&'static str, f64) {
    match model {
        WaterModel::Pressure { kpa } => ("pressure_kpa", kpa),
        WaterModel::ApexHead { head_m } => ("apex_head_m", head_m),
        WaterModel::HeadPerMetre { m_per_m } => ("head_per_m", m_per_m),
        WaterModel::Table { level_m } => ("table_m", level_m),
    }
}

/// What was entered, in words.
pub(super) fn model_words(water: &Water) -> String {
    match water.model {
        WaterModel::Pressure { kpa } => format!("{} kPa all over the joint faces", shortest(kpa)),
        WaterModel::ApexHead { head_m } => {
            format!("a head of {} m at the apex, falling to nothing at the traces", shortest(head_m))
        }
        WaterModel::HeadPerMetre { m_per_m } => format!(
            "a head at the apex of {} m for each metre behind the opening, falling to nothing at the traces",
            shortest(m_per_m)
        ),
        WaterModel::Table { level_m } => {
            format!("a water table {} m above the middle of the floor", shortest(level_m))
        }
    }
}

fn joint_words(case: &Case, water: &Water) -> String {
    match &water.joints {
        None => "on every joint".to_owned(),
        Some(joints) => {
            let names: Vec<&str> = joints.iter().map(|&j| case.joints[j].name.as_str()).collect();
            format!("on {} alone", names.join(", "))
        }
    }
}

/// What the first screen says of it; `None` without water.
#[must_use]
pub(super) fn water_sentence(case: &Case, check: &Check) -> Option<String> {
    let water = case.site.water.as_ref()?;
    let mut text = format!("Wet: {}, {} (water.csv)", model_words(water), joint_words(case, water));
    let rows = water_rows(case, check);
    let moved = rows.iter().filter(|r| r.dry.fs_bare.is_infinite() && r.wet().fs_bare.is_finite()).count();
    if moved > 0 {
        text.push_str(&match moved {
            1 => "; one wedge moves that stays where it is dry".to_owned(),
            n => format!("; {n} wedges move that stay where they are dry"),
        });
    }
    text.push('.');
    let held: Vec<&str> =
        rows.iter().filter(|r| r.is_held_by_it()).map(|r| r.wedge.wedge.id.as_str()).collect();
    if !held.is_empty() {
        text.push_str(&format!(
            " It presses {} onto the joints that hold it, and what holds so may drain away: check the case dry too.",
            held.join(", ")
        ));
    }
    Some(text)
}

/// What was entered and how it is counted; nothing without water.
#[must_use]
pub(super) fn water_lines(case: &Case) -> Vec<String> {
    let Some(water) = &case.site.water else { return Vec::new() };
    let mut lines = vec![format!(
        "Water: {}, {}; {} kN/m³. Source: {}.",
        model_words(water),
        joint_words(case, water),
        shortest(water.unit_weight_kn_m3),
        water.source.as_deref().unwrap_or(NO_SOURCE)
    )];
    lines.push("It presses square to each joint face into the wedge, summed exactly over the face, and acts at its centre of pressure: what is left of the weight on a joint is its effective normal force. Every verdict, stage, piece for the screen and prism is judged with it. The pressure is steady: it does not fall as a wedge moves and its joints open, nothing drains, no drain hole, grout or shotcrete changes it, and the opening is at the pressure of the air.".to_owned());
    lines.push(match water.model {
        WaterModel::Pressure { .. } | WaterModel::ApexHead { .. } => {
            "It is the same for a small piece as for a large one, so that the smaller a piece is, the more it outweighs it: pieces of a few litres decide where nothing holds them back. Where heads are less near the surface, head_per_m says so."
        }
        WaterModel::HeadPerMetre { .. } => {
            "Depth is that of the apex behind the opening, its shortest distance: small pieces have small heads."
        }
        WaterModel::Table { .. } => {
            "It is hydrostatic up to the traces, as if nothing had drained into the drive: more than a drained back has. On an incline it stands as high above the floor wherever the wedge is."
        }
    }.to_owned());
    lines.push("Where smaller pieces of a pyramid move in another way than its largest, all are asked the greater of the two criteria. Their least factor is bounded from below as that of dry ones is; where that bound stays below what is asked, the wedge is not judged (the search did not end), never held.".to_owned());
    lines
}

/// The page's section; nothing without water.
pub(super) fn section(body: &mut Html, case: &Case, rows: &[WaterRow]) {
    if case.site.water.is_none() {
        return;
    }
    body.heading("The same wedge dry and wet");
    body.table(&water_table().page_of_all(rows));
    body.list(water_lines(case).into_iter());
}
