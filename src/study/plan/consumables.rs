use super::resin::{HoleResin, grout_litres};
use super::screen::Mesh;
use super::{Counting, Drilled, PlanItem, PlanRow, number};
use crate::case::{PlanInputs, PlanNumber};
use crate::support::BoltKind;

/// Rings, and set-ups of the machine.
pub(super) fn counts(drilled: &[Drilled], inputs: &PlanInputs, counting: Counting) -> Vec<PlanRow> {
    let mut rows: Vec<PlanRow> = drilled
        .iter()
        .map(|pattern| PlanRow {
            item: PlanItem::Count,
            what: if pattern.in_face { "faces" } else { "rings" }.into(),
            of: Some(name(pattern)),
            quantity: Some(pattern.rings),
            unit: if pattern.in_face { "faces" } else { "rings" },
            minutes: None,
            cost: None,
            basis: match pattern.once {
                None if pattern.in_face => format!(
                    "{} m at {} m of round; the next round blasts its bolts away",
                    counting.length_m(),
                    pattern.ring_spacing_m
                ),
                None => format!(
                    "{} m at {} m, the first at the start",
                    counting.length_m(),
                    pattern.ring_spacing_m
                ),
                Some((from_m, to_m)) if from_m == to_m => {
                    format!("at chainage {from_m:.2} m, once")
                }
                Some((from_m, to_m)) => {
                    format!("chainage {from_m} to {to_m} m at {} m, once", pattern.ring_spacing_m)
                }
            },
        })
        .collect();
    let (plain, extra) = set_ups(drilled, inputs, counting);
    rows.push(PlanRow {
        item: PlanItem::Count,
        what: "set-ups".into(),
        of: None,
        quantity: Some(plain + extra),
        unit: "set-ups",
        minutes: None,
        cost: None,
        basis: format!(
            "{} rings a set-up{}; {extra} more for collars beyond the reach ({} wide, {} high)",
            inputs.rings_a_set_up.value,
            practice(&inputs.rings_a_set_up),
            number(&inputs.reach_width_m, "m"),
            number(&inputs.reach_height_m, "m"),
        ),
    });
    rows.push(PlanRow {
        item: PlanItem::Count,
        what: "collars beyond the reach".into(),
        of: None,
        quantity: Some(drilled.iter().fold(0.0, |sum, d| sum + d.beyond_reach)),
        unit: "collars",
        minutes: None,
        cost: None,
        basis: format!(
            "farther than {} from the middle or higher than {}",
            number(&PlanNumber { value: 0.5 * inputs.reach_width_m.value, ..inputs.reach_width_m }, "m"),
            number(&inputs.reach_height_m, "m"),
        ),
    });
    rows
}

/// Set-ups for all rings, and those that collars beyond the reach add. Rings of several patterns
/// are drilled from a set-up each: they need not stand at one chainage.
pub(super) fn set_ups(drilled: &[Drilled], inputs: &PlanInputs, counting: Counting) -> (f64, f64) {
    let a_set_up = inputs.rings_a_set_up.value;
    let sum = |rings: fn(&Drilled) -> f64| {
        // A face is drilled from one set-up.
        let at_once = |d: &Drilled| if d.in_face { 1.0 } else { a_set_up };
        drilled.iter().fold(0.0, |sum, d| sum + counting.up(rings(d) / at_once(d)))
    };
    (sum(|d| d.rings), sum(|d| d.rings_beyond))
}

/// What is to be brought.
pub(super) fn consumables(
    drilled: &[Drilled],
    inputs: &PlanInputs,
    meshes: &[Mesh],
    counting: Counting,
) -> Vec<PlanRow> {
    let mut rows = Vec::new();
    for pattern in drilled {
        bolts_and_plates(pattern, &mut rows);
        match pattern.kind {
            BoltKind::Resin => resin(pattern, inputs, counting, &mut rows),
            BoltKind::Cable => rows.push(grout(pattern, inputs)),
            BoltKind::Mechanical | BoltKind::Friction => {}
        }
    }
    let holes: f64 = drilled.iter().map(|d| d.bolts).sum();
    let metres: f64 = drilled.iter().map(|d| d.bolts * d.hole_m).sum();
    // Not `sum`: the sum of no floats is a negative zero.
    let services = inputs.services.iter().fold(0.0, |sum, s| sum + service_holes(s, counting) * s.length_m);
    rows.push(PlanRow {
        item: PlanItem::Consumable,
        what: "drill metres".into(),
        of: None,
        quantity: Some(metres + services),
        unit: "m",
        minutes: None,
        cost: inputs.prices.drill_metre.map(|price| price * (metres + services)),
        basis: format!("{holes} bolt holes {metres:.2} m, service holes {services:.2} m; bits, rods, shanks"),
    });
    rows.extend(meshes.iter().map(|mesh| mesh.row(inputs, counting)));
    rows
}

/// A bolt's name with its length: one kind comes in several.
pub(super) fn name(pattern: &Drilled) -> String {
    format!("{}, {} m", pattern.name, pattern.length_m)
}

fn bolts_and_plates(pattern: &Drilled, rows: &mut Vec<PlanRow>) {
    let bolts = pattern.bolts;
    let basis = if pattern.in_face {
        format!("{} faces, blasted away with the next round; {}", pattern.rings, pattern.kind.name())
    } else {
        format!("{} rings; {}", pattern.rings, pattern.kind.name())
    };
    rows.push(PlanRow {
        item: PlanItem::Consumable,
        what: "bolts".into(),
        of: Some(name(pattern)),
        quantity: Some(bolts),
        unit: "bolts",
        minutes: None,
        cost: pattern.price.map(|price| price * bolts),
        basis,
    });
    if pattern.plate {
        rows.push(PlanRow {
            item: PlanItem::Consumable,
            what: "plates".into(),
            of: Some(name(pattern)),
            quantity: Some(bolts),
            unit: "plates",
            minutes: None,
            cost: pattern.plan.price_per_plate.map(|price| price * bolts),
            basis: "one a bolt, with its nut".into(),
        });
    }
}

fn resin(pattern: &Drilled, inputs: &PlanInputs, counting: Counting, rows: &mut Vec<PlanRow>) {
    let hole = HoleResin::of(pattern, inputs);
    let waste = 1.0 + 0.01 * inputs.waste_percent.value;
    let kinds = [
        ("fast cartridges", inputs.fast_cartridge_m, inputs.prices.fast_cartridge),
        ("slow cartridges", inputs.slow_cartridge_m, inputs.prices.slow_cartridge),
    ];
    for (index, (what, cartridge_m, price)) in kinds.into_iter().enumerate() {
        let quantity = hole.map(|h| counting.up(pattern.bolts * h.cartridges[index] as f64 * waste));
        let basis = match hole {
            None => "hole_mm, bar_mm and cartridge_mm are needed".to_owned(),
            Some(h) => {
                let length_m = if index == 0 { h.fast_length_m } else { pattern.hole_m - h.fast_length_m };
                let split = if pattern.plan.fast_length_m.is_some() {
                    String::new()
                } else {
                    practice(&inputs.fast_length_m)
                };
                format!(
                    "{:.3} m of cartridge by volume for {length_m:.3} m of hole{split}: {} of {} a hole; waste {}",
                    h.needed_m[index],
                    h.cartridges[index],
                    number(&cartridge_m, "m"),
                    number(&inputs.waste_percent, "%"),
                )
            }
        };
        rows.push(PlanRow {
            item: PlanItem::Consumable,
            what: what.into(),
            of: Some(name(pattern)),
            quantity,
            unit: "cartridges",
            minutes: None,
            cost: price.zip(quantity).map(|(price, quantity)| price * quantity),
            basis,
        });
    }
}

fn grout(pattern: &Drilled, inputs: &PlanInputs) -> PlanRow {
    let waste = 1.0 + 0.01 * inputs.waste_percent.value;
    let hole = grout_litres(pattern);
    let quantity = hole.map(|litres| litres * pattern.bolts * waste);
    PlanRow {
        item: PlanItem::Consumable,
        what: "grout".into(),
        of: Some(name(pattern)),
        quantity,
        unit: "litres",
        minutes: None,
        cost: inputs.prices.grout_litre.zip(quantity).map(|(price, litres)| price * litres),
        basis: match hole {
            None => "hole_mm and bar_mm are needed".into(),
            Some(litres) => format!(
                "{litres:.3} litres a hole, hole less strand; waste {}",
                number(&inputs.waste_percent, "%")
            ),
        },
    }
}

/// Holes of a service in a stretch, a station at its start.
pub(super) fn service_holes(service: &crate::case::ServicePlan, counting: Counting) -> f64 {
    counting.up(counting.length_m() / service.every_m) * f64::from(service.holes)
}

fn practice(number: &PlanNumber) -> String {
    if number.given { String::new() } else { format!(" ({})", crate::case::practice::COMMON_PRACTICE) }
}
