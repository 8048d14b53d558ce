use super::consumables::{name, service_holes, set_ups};
use super::screen::Mesh;
use super::{Counting, Drilled, PlanItem, PlanRow, number};
use crate::case::{PlanInputs, PlanNumber};
use crate::support::BoltKind;

/// The activity of service holes, which no bolt's minutes hold.
pub(super) const SERVICE: &str = "service holes";

/// Minutes by activity, in the order of the cycle.
pub(super) fn activities(
    drilled: &[Drilled],
    inputs: &PlanInputs,
    meshes: &[Mesh],
    counting: Counting,
) -> Vec<PlanRow> {
    let mut rows = Vec::new();
    if !meshes.is_empty() {
        let sheets = meshes.iter().map(|mesh| mesh.sheets(counting)).sum();
        rows.push(activity("screen up", None, sheets, "sheets", &inputs.screen_up_min, "min a sheet"));
    }
    for pattern in drilled {
        cycle(pattern, inputs, &mut rows);
    }
    let collars: f64 = drilled.iter().map(|d| d.bolts).sum();
    let (plain, extra) = set_ups(drilled, inputs, counting);
    rows.push(activity(
        "move to the next collar",
        None,
        collars,
        "collars",
        &inputs.move_collar_min,
        "min a collar",
    ));
    rows.push(activity(
        "move to the next set-up",
        None,
        plain + extra,
        "set-ups",
        &inputs.move_set_up_min,
        "min a set-up",
    ));
    for service in &inputs.services {
        let holes = service_holes(service, counting);
        let a_hole = service.length_m / inputs.drill_m_per_min.value
            + inputs.flush_min.value
            + inputs.move_collar_min.value;
        rows.push(PlanRow {
            item: PlanItem::Activity,
            what: SERVICE.into(),
            of: Some(service.name.clone()),
            quantity: Some(holes),
            unit: "holes",
            minutes: Some(holes * a_hole),
            cost: None,
            basis: format!(
                "{} every {} m, {} m long: drill at {}, flush {}, move {}",
                service.holes,
                service.every_m,
                service.length_m,
                number(&inputs.drill_m_per_min, "m/min"),
                number(&inputs.flush_min, "min"),
                number(&inputs.move_collar_min, "min"),
            ),
        });
    }
    rows
}

/// Drill, flush, charge or grout or drive in, spin and set, tighten: what the kind of bolt takes.
fn cycle(pattern: &Drilled, inputs: &PlanInputs, rows: &mut Vec<PlanRow>) {
    let bolts = pattern.bolts;
    let metres = bolts * pattern.hole_m;
    let of = || Some(name(pattern));
    let cable = pattern.kind == BoltKind::Cable;
    let (what, rate) = if cable {
        ("drill long holes", &inputs.long_hole_m_per_min)
    } else {
        ("drill", &inputs.drill_m_per_min)
    };
    rows.push(PlanRow {
        item: PlanItem::Activity,
        what: what.into(),
        of: of(),
        quantity: Some(metres),
        unit: "m",
        minutes: Some(metres / rate.value),
        cost: None,
        basis: format!("{bolts} holes of {:.2} m at {}", pattern.hole_m, number(rate, "m/min")),
    });
    rows.push(activity("flush", of(), bolts, "holes", &inputs.flush_min, "min a hole"));
    match pattern.kind {
        BoltKind::Resin => {
            rows.push(activity("charge", of(), bolts, "holes", &inputs.charge_min, "min a hole"));
            rows.push(PlanRow {
                basis: format!(
                    "spin {}, then {} before tightening",
                    number(&inputs.spin_min, "min"),
                    number(&inputs.set_s, "s")
                ),
                minutes: Some(bolts * (inputs.spin_min.value + inputs.set_s.value / 60.0)),
                ..activity("spin and set", of(), bolts, "bolts", &inputs.spin_min, "")
            });
        }
        BoltKind::Mechanical => {
            rows.push(activity("spin and set", of(), bolts, "bolts", &inputs.spin_min, "min an anchor"));
        }
        BoltKind::Friction => {
            rows.push(activity("drive in", of(), bolts, "bolts", &inputs.drive_in_min, "min a bolt"));
        }
        BoltKind::Cable => {
            rows.push(activity(
                "push in and grout",
                of(),
                metres,
                "m",
                &inputs.grout_min_per_m,
                "min a metre",
            ));
        }
    }
    if pattern.is_tightened() {
        rows.push(activity("tighten", of(), bolts, "bolts", &inputs.tighten_min, "min a nut"));
    }
}

fn activity(
    what: &str,
    of: Option<String>,
    quantity: f64,
    unit: &'static str,
    each: &PlanNumber,
    words: &str,
) -> PlanRow {
    PlanRow {
        item: PlanItem::Activity,
        what: what.into(),
        of,
        quantity: Some(quantity),
        unit,
        minutes: Some(quantity * each.value),
        cost: None,
        basis: number(each, words),
    }
}
