#[cfg(feature = "files")]
use super::file::{BoltTable, CaseFile, PlanTable};
#[cfg(feature = "files")]
use super::practice;

/// A number of a plan, and whether the case gives it or it is common practice without a source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlanNumber {
    /// Its value, in the unit of its key.
    pub value: f64,
    /// Whether the case gives it.
    pub given: bool,
}

#[cfg(feature = "files")]
impl PlanNumber {
    fn of(given: Option<f64>, practice: f64) -> Self {
        Self { value: given.unwrap_or(practice), given: given.is_some() }
    }
}

/// What planning needs to know of a bolt besides its capacities; `None` where the case says
/// nothing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BoltPlan {
    /// Diameter of the hole, millimetres.
    pub hole_mm: Option<f64>,
    /// Diameter of bar or strand, millimetres.
    pub bar_mm: Option<f64>,
    /// Diameter of a resin cartridge, millimetres.
    pub cartridge_mm: Option<f64>,
    /// Length of hole that fast resin fills at the toe, metres.
    pub fast_length_m: Option<f64>,
    /// Price of a plate with its nut.
    pub price_per_plate: Option<f64>,
}

/// Sheets of screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScreenPlan {
    /// Size along the perimeter, metres.
    pub across_m: PlanNumber,
    /// Size along the drive, metres.
    pub along_m: PlanNumber,
    /// Overlap of neighbours, metres.
    pub overlap_m: PlanNumber,
    /// Beyond the outermost collars, metres.
    pub beyond_m: PlanNumber,
}

/// Holes for one service.
#[derive(Debug, Clone, PartialEq)]
pub struct ServicePlan {
    /// What hangs from them.
    pub name: String,
    /// From station to station, metres.
    pub every_m: f64,
    /// Holes of a station.
    pub holes: u32,
    /// Length of a hole, metres.
    pub length_m: f64,
}

/// Prices; `None` where none is given, never a default.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PlanPrices {
    /// A bolt of each pattern, in the order of the case's patterns, those over a stretch behind the others.
    pub per_bolt: Vec<Option<f64>>,
    /// Each single bolt of the case, in its order.
    pub per_bolt_at: Vec<Option<f64>>,
    /// A fast cartridge.
    pub fast_cartridge: Option<f64>,
    /// A slow cartridge.
    pub slow_cartridge: Option<f64>,
    /// A litre of grout.
    pub grout_litre: Option<f64>,
    /// A sheet of screen.
    pub screen_sheet: Option<f64>,
    /// A metre of drilled hole.
    pub drill_metre: Option<f64>,
    /// An hour of crew and machine.
    pub crew_hour: Option<f64>,
}

/// All that a plan rests on besides the case: plain values, with common practice written in where
/// the case says nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanInputs {
    /// What prices are counted in.
    pub currency: Option<String>,
    /// Where the numbers come from.
    pub source: Option<String>,
    /// Hours of a shift.
    pub shift_h: PlanNumber,
    /// Share of the shift spent on the work itself.
    pub utilisation: PlanNumber,
    /// Width that one set-up covers, metres.
    pub reach_width_m: PlanNumber,
    /// Height that one set-up covers, metres.
    pub reach_height_m: PlanNumber,
    /// Rings that one set-up covers.
    pub rings_a_set_up: PlanNumber,
    /// Metres a minute in bolt holes.
    pub drill_m_per_min: PlanNumber,
    /// Metres a minute in long holes.
    pub long_hole_m_per_min: PlanNumber,
    /// Minutes a sheet of screen.
    pub screen_up_min: PlanNumber,
    /// Minutes a hole.
    pub flush_min: PlanNumber,
    /// Minutes a hole.
    pub charge_min: PlanNumber,
    /// Minutes a bolt.
    pub spin_min: PlanNumber,
    /// Seconds a bolt.
    pub set_s: PlanNumber,
    /// Minutes a bolt.
    pub tighten_min: PlanNumber,
    /// Minutes a friction bolt.
    pub drive_in_min: PlanNumber,
    /// Minutes a metre of cable.
    pub grout_min_per_m: PlanNumber,
    /// Minutes a collar.
    pub move_collar_min: PlanNumber,
    /// Minutes a set-up.
    pub move_set_up_min: PlanNumber,
    /// Screen; `None` where none is planned.
    pub screen: Option<ScreenPlan>,
    /// Length of a fast cartridge, metres.
    pub fast_cartridge_m: PlanNumber,
    /// Length of a slow cartridge, metres.
    pub slow_cartridge_m: PlanNumber,
    /// Length of hole filled by fast resin where a bolt does not say it, metres.
    pub fast_length_m: PlanNumber,
    /// Percent lost.
    pub waste_percent: PlanNumber,
    /// Service holes.
    pub services: Vec<ServicePlan>,
    /// Bolts, in the order of the case.
    pub bolts: Vec<BoltPlan>,
    /// Prices.
    pub prices: PlanPrices,
}

#[cfg(feature = "files")]
/// The plain values of `[plan]` and of what `[[bolt]]` and `[[pattern]]` say for planning.
pub(super) fn plan_inputs_of(file: &CaseFile) -> PlanInputs {
    let table = file.plan.clone().unwrap_or_default();
    let prices_per_bolt = file.pattern.iter().map(|p| p.price_per_bolt).collect();
    let mut found = inputs(&table, file.bolt.iter().map(bolt_plan).collect(), prices_per_bolt);
    found.prices.per_bolt_at = file.bolt_at.iter().map(|b| b.price_per_bolt).collect();
    found
}

#[cfg(feature = "files")]
fn bolt_plan(bolt: &BoltTable) -> BoltPlan {
    BoltPlan {
        hole_mm: bolt.hole_mm,
        bar_mm: bolt.bar_mm,
        cartridge_mm: bolt.cartridge_mm,
        fast_length_m: bolt.fast_length_m,
        price_per_plate: bolt.price_per_plate,
    }
}

#[cfg(feature = "files")]
fn inputs(table: &PlanTable, bolts: Vec<BoltPlan>, per_bolt: Vec<Option<f64>>) -> PlanInputs {
    let of = PlanNumber::of;
    let reach = table.reach.clone().unwrap_or_default();
    let minutes = table.minutes.clone().unwrap_or_default();
    let resin = table.resin.clone().unwrap_or_default();
    let price = table.price.clone().unwrap_or_default();
    PlanInputs {
        currency: table.currency.clone(),
        source: table.source.clone(),
        shift_h: of(table.shift_h, practice::SHIFT_H),
        utilisation: of(table.utilisation, practice::UTILISATION),
        reach_width_m: of(reach.width_m, practice::REACH_WIDTH_M),
        reach_height_m: of(reach.height_m, practice::REACH_HEIGHT_M),
        rings_a_set_up: of(reach.rings.map(f64::from), practice::RINGS_A_SET_UP),
        drill_m_per_min: of(minutes.drill_m_per_min, practice::DRILL_M_PER_MIN),
        long_hole_m_per_min: of(minutes.long_hole_m_per_min, practice::LONG_HOLE_M_PER_MIN),
        screen_up_min: of(minutes.screen_up_min, practice::SCREEN_UP_MIN),
        flush_min: of(minutes.flush_min, practice::FLUSH_MIN),
        charge_min: of(minutes.charge_min, practice::CHARGE_MIN),
        spin_min: of(minutes.spin_min, practice::SPIN_MIN),
        set_s: of(minutes.set_s, practice::SET_S),
        tighten_min: of(minutes.tighten_min, practice::TIGHTEN_MIN),
        drive_in_min: of(minutes.drive_in_min, practice::DRIVE_IN_MIN),
        grout_min_per_m: of(minutes.grout_min_per_m, practice::GROUT_MIN_PER_M),
        move_collar_min: of(minutes.move_collar_min, practice::MOVE_COLLAR_MIN),
        move_set_up_min: of(minutes.move_set_up_min, practice::MOVE_SET_UP_MIN),
        screen: table.screen.as_ref().map(|screen| ScreenPlan {
            across_m: of(screen.across_m, practice::SCREEN_ACROSS_M),
            along_m: of(screen.along_m, practice::SCREEN_ALONG_M),
            overlap_m: of(screen.overlap_m, practice::SCREEN_OVERLAP_M),
            beyond_m: of(screen.beyond_m, practice::SCREEN_BEYOND_M),
        }),
        fast_cartridge_m: of(resin.fast_cartridge_m, practice::CARTRIDGE_M),
        slow_cartridge_m: of(resin.slow_cartridge_m, practice::CARTRIDGE_M),
        fast_length_m: of(resin.fast_length_m, practice::FAST_LENGTH_M),
        waste_percent: of(resin.waste_percent, practice::WASTE_PERCENT),
        services: table
            .service
            .iter()
            .map(|s| ServicePlan {
                name: s.name.clone(),
                every_m: s.every_m,
                holes: s.holes,
                length_m: s.length_m,
            })
            .collect(),
        bolts,
        prices: PlanPrices {
            per_bolt,
            per_bolt_at: Vec::new(),
            fast_cartridge: price.fast_cartridge,
            slow_cartridge: price.slow_cartridge,
            grout_litre: price.grout_litre,
            screen_sheet: price.screen_sheet,
            drill_metre: price.drill_metre,
            crew_hour: price.crew_hour,
        },
    }
}

#[cfg(all(test, feature = "files"))]
mod tests {
    use super::*;

    #[test]
    fn what_is_given_is_told_from_common_practice() {
        let table = PlanTable { shift_h: Some(10.0), ..PlanTable::default() };
        let inputs = inputs(&table, Vec::new(), Vec::new());
        assert_eq!(inputs.shift_h, PlanNumber { value: 10.0, given: true });
        assert_eq!(inputs.utilisation, PlanNumber { value: practice::UTILISATION, given: false });
        assert!(inputs.screen.is_none() && inputs.prices == PlanPrices::default());
    }
}
