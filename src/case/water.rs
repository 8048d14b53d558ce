//! Water of a case file: what its keys ask of each other, and the plain value.

use super::Joint;
use super::file::WaterTable;
use crate::input::document::{Node, Table, Value};
use crate::input::{Collector, ProblemKind, Says, nearest};
use crate::stability::{WATER_KN_M3, Water, WaterModel};

/// The keys of which one says how the pressure is distributed.
const MODELS: [&str; 4] = ["pressure_kpa", "apex_head_m", "head_per_m", "table_m"];

const ONE_OF: &str = "one of pressure_kpa, apex_head_m, head_per_m and table_m";

/// Checks `[water]`: one model, a table that is not under the floor, joints that there are. `sets` are the case's
/// joint sets, wherever they were typed; `None` where they could not be read.
pub(super) fn check_water(root: &Table, sets: Option<&[Node]>, problems: &mut Collector) {
    let Some(node) = root.get("water") else { return };
    let Some(table) = node.table() else { return };
    let typed: Vec<&str> = MODELS.into_iter().filter(|key| table.mentions(key)).collect();
    match typed[..] {
        [] => {
            let says = Says::new("nothing", ONE_OF, "say how the water presses: add head_per_m, or another");
            problems.add(ProblemKind::MissingKey, node.place, &format!("{}.head_per_m", node.path), says);
        }
        [_] => {}
        [first, ..] => {
            let at = table.get(typed[1]).unwrap_or(node);
            let says = Says::new(
                format!("{} beside {first}", typed[1..].join(", ")),
                ONE_OF,
                "delete all but one; an option that brings another one first drops = [\"water\"]",
            );
            problems.add(ProblemKind::Conflict, at.place, &at.path, says);
        }
    }
    if let (Some(level_m), Some(at)) = (table.number("table_m"), table.get("table_m"))
        && level_m < 0.0
    {
        let says = Says::new(
            format!("{level_m} m, {} m under the floor", -level_m),
            "a level at or above the middle of the floor, 0 or more",
            "a drive above the water table is dry: delete [water], or give the level that the rock drains to",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
    check_joints(root, table, sets, problems);
}

fn check_joints(root: &Table, table: &Table, sets: Option<&[Node]>, problems: &mut Collector) {
    let Some(sets) = sets else { return };
    let all = sets.iter().chain(root.list("structure"));
    let known: Vec<&str> = all.filter_map(|n| n.table()?.text("name")).collect();
    let mut seen: Vec<&str> = Vec::new();
    for at in table.list("joints") {
        let Value::Text(name) = &at.value else { continue };
        if !known.contains(&name.as_str()) {
            let near = nearest(name, known.iter().copied());
            let todo = near.map_or_else(
                || "name sets and structures of the case".to_owned(),
                |near| format!("did you mean \"{near}\"?"),
            );
            let says = Says::new(format!("\"{name}\""), format!("one of {}", known.join(", ")), todo);
            problems.add(ProblemKind::Conflict, at.place, &at.path, says);
        } else if seen.contains(&name.as_str()) {
            let says = Says::new(format!("\"{name}\" twice"), "each joint once", "delete one of them");
            problems.add(ProblemKind::Conflict, at.place, &at.path, says);
        }
        seen.push(name);
    }
}

/// The plain value; `None` when something is missing that earlier checks ask for.
pub(super) fn water_of(table: &WaterTable, joints: &[Joint]) -> Option<Water> {
    let model = match (table.pressure_kpa, table.apex_head_m, table.head_per_m, table.table_m) {
        (Some(kpa), None, None, None) => WaterModel::Pressure { kpa },
        (None, Some(head_m), None, None) => WaterModel::ApexHead { head_m },
        (None, None, Some(m_per_m), None) => WaterModel::HeadPerMetre { m_per_m },
        (None, None, None, Some(level_m)) => WaterModel::Table { level_m },
        _ => return None,
    };
    let place = |name: &String| joints.iter().position(|joint| joint.name == *name);
    let named = match &table.joints {
        Some(names) => Some(names.iter().map(place).collect::<Option<Vec<usize>>>()?),
        None => None,
    };
    Some(Water {
        model,
        joints: named,
        unit_weight_kn_m3: table.unit_weight_kn_m3.unwrap_or(WATER_KN_M3),
        source: table.source.clone(),
    })
}
