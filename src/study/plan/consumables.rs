use super::resin::{HoleResin, grout_litres};
use super::{Drilled, PlanItem, PlanRow, number, whole};
use crate::case::{PlanInputs, PlanNumber, ScreenPlan};
use crate::opening::Surface;
use crate::support::BoltKind;

/// Rings, and set-ups of the machine.
pub(super) fn counts(drilled: &[Drilled], inputs: &PlanInputs, length_m: f64) -> Vec<PlanRow> {
    let mut rows: Vec<PlanRow> = drilled
        .iter()
        .map(|pattern| PlanRow {
            item: PlanItem::Count,
            what: "rings".into(),
            of: Some(name(pattern)),
            quantity: Some(pattern.rings as f64),
            unit: "rings",
            minutes: None,
            cost: None,
            basis: format!("{length_m} m at {} m, the first at the start", pattern.ring_spacing_m),
        })
        .collect();
    let (plain, extra) = set_ups(drilled, inputs);
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
        quantity: Some(drilled.iter().map(|d| d.beyond_reach).sum::<u64>() as f64),
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
pub(super) fn set_ups(drilled: &[Drilled], inputs: &PlanInputs) -> (f64, f64) {
    let a_set_up = inputs.rings_a_set_up.value;
    let sum = |rings: fn(&Drilled) -> u64| {
        drilled.iter().map(|d| whole(rings(d) as f64 / a_set_up)).sum::<u64>() as f64
    };
    (sum(|d| d.rings), sum(|d| d.rings_beyond))
}

/// What is to be brought.
pub(super) fn consumables(drilled: &[Drilled], inputs: &PlanInputs, length_m: f64) -> Vec<PlanRow> {
    let mut rows = Vec::new();
    for pattern in drilled {
        bolts_and_plates(pattern, &mut rows);
        match pattern.kind {
            BoltKind::Resin => resin(pattern, inputs, &mut rows),
            BoltKind::Cable => rows.push(grout(pattern, inputs)),
            BoltKind::Mechanical | BoltKind::Friction => {}
        }
    }
    let holes: u64 = drilled.iter().map(|d| d.bolts).sum();
    let metres: f64 = drilled.iter().map(|d| d.bolts as f64 * d.hole_m).sum();
    // Not `sum`: the sum of no floats is a negative zero.
    let services =
        inputs.services.iter().fold(0.0, |sum, s| sum + service_holes(s, length_m) as f64 * s.length_m);
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
    if let Some(screen) = &inputs.screen {
        rows.push(sheets_row(drilled, screen, inputs, length_m));
    }
    rows
}

/// A bolt's name with its length: one kind comes in several.
pub(super) fn name(pattern: &Drilled) -> String {
    format!("{}, {} m", pattern.name, pattern.length_m)
}

fn bolts_and_plates(pattern: &Drilled, rows: &mut Vec<PlanRow>) {
    let bolts = pattern.bolts as f64;
    let basis = format!("{} rings; {}", pattern.rings, pattern.kind.name());
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

fn resin(pattern: &Drilled, inputs: &PlanInputs, rows: &mut Vec<PlanRow>) {
    let hole = HoleResin::of(pattern, inputs);
    let waste = 1.0 + 0.01 * inputs.waste_percent.value;
    let kinds = [
        ("fast cartridges", inputs.fast_cartridge_m, inputs.prices.fast_cartridge),
        ("slow cartridges", inputs.slow_cartridge_m, inputs.prices.slow_cartridge),
    ];
    for (index, (what, cartridge_m, price)) in kinds.into_iter().enumerate() {
        let quantity = hole.map(|h| whole(pattern.bolts as f64 * h.cartridges[index] as f64 * waste) as f64);
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
    let quantity = hole.map(|litres| litres * pattern.bolts as f64 * waste);
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

/// Stretches of the perimeter that the screen covers, metres: from the outermost collar on one
/// side to that on the other; where both walls are bolted and the back is not, each wall apart.
fn screened_m(drilled: &[Drilled], beyond_m: f64) -> Vec<f64> {
    let arcs = |wanted: &dyn Fn(Surface) -> bool| -> Option<f64> {
        let mut range: Option<(f64, f64)> = None;
        for row in drilled.iter().flat_map(|d| &d.layout.rows).filter(|r| wanted(r.collar.surface)) {
            let arc = row.collar.arc_m;
            range = Some(range.map_or((arc, arc), |(low, high)| (low.min(arc), high.max(arc))));
        }
        range.map(|(low, high)| high - low + 2.0 * beyond_m)
    };
    let has =
        |surface: Surface| drilled.iter().any(|d| d.layout.rows.iter().any(|r| r.collar.surface == surface));
    if !has(Surface::Back) && has(Surface::LeftWall) && has(Surface::RightWall) {
        return [Surface::LeftWall, Surface::RightWall].iter().filter_map(|s| arcs(&|o| o == *s)).collect();
    }
    arcs(&|_| true).into_iter().collect()
}

/// Sheets in a row of `length_m`, each overlapping the one before.
fn sheets(length_m: f64, sheet_m: f64, overlap_m: f64) -> u64 {
    whole((length_m - overlap_m) / (sheet_m - overlap_m)).max(1)
}

/// How many sheets a stretch of drive takes.
pub(super) fn screen_sheets(drilled: &[Drilled], screen: &ScreenPlan, length_m: f64) -> u64 {
    let overlap_m = screen.overlap_m.value;
    let along = sheets(length_m, screen.along_m.value, overlap_m);
    screened_m(drilled, screen.beyond_m.value)
        .iter()
        .map(|across_m| sheets(*across_m, screen.across_m.value, overlap_m) * along)
        .sum()
}

fn sheets_row(drilled: &[Drilled], screen: &ScreenPlan, inputs: &PlanInputs, length_m: f64) -> PlanRow {
    let quantity = screen_sheets(drilled, screen, length_m) as f64;
    let across: Vec<String> =
        screened_m(drilled, screen.beyond_m.value).iter().map(|m| format!("{m:.2} m")).collect();
    PlanRow {
        item: PlanItem::Consumable,
        what: "screen sheets".into(),
        of: None,
        quantity: Some(quantity),
        unit: "sheets",
        minutes: None,
        cost: inputs.prices.screen_sheet.map(|price| price * quantity),
        basis: format!(
            "{} of perimeter by {length_m} m of drive; sheets {} by {}, overlap {}, {} beyond the outermost collars",
            across.join(" and "),
            number(&screen.across_m, "m"),
            number(&screen.along_m, "m"),
            number(&screen.overlap_m, "m"),
            number(&screen.beyond_m, "m"),
        ),
    }
}

/// Holes of a service in a stretch, a station at its start.
pub(super) fn service_holes(service: &crate::case::ServicePlan, length_m: f64) -> u64 {
    whole(length_m / service.every_m) * u64::from(service.holes)
}

fn practice(number: &PlanNumber) -> String {
    if number.given { String::new() } else { format!(" ({})", crate::case::practice::COMMON_PRACTICE) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sheets_overlap_each_other_and_not_the_ends() {
        // 3.0 + 2.7 = 5.7 m with two sheets; a hair more takes a third.
        assert_eq!(sheets(5.7, 3.0, 0.3), 2);
        assert_eq!(sheets(5.71, 3.0, 0.3), 3);
        assert_eq!(sheets(0.2, 3.0, 0.3), 1);
    }
}
