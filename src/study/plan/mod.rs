//! What a crew brings, drills and sets for a length of drive, how long it takes and what it costs.
//!
//! One boom, one activity after another. Numbers that the case does not give are common practice
//! without a source ([`crate::case::practice`]); each row says which.

mod collars;
mod consumables;
mod counting;
mod minutes;
mod resin;
mod screen;
mod tests_sheet;

use thiserror::Error;

pub use collars::{PlannedCollar, RingKind, planned_collars};
use counting::Counting;
pub use resin::{cartridge_length_m, cartridges};
pub use tests_sheet::{BoltTest, PlannedTest};

use super::{LowestRow, lowest_rows};
use crate::case::practice::{COMMON_PRACTICE, LONGEST_CABLE_HOLE_M};
use crate::case::{Case, PlanInputs, PlanNumber};
use crate::opening::{Opening, SectionError};
use crate::support::{BoltKind, FaceBolts, Layout, LayoutError, LocalBolts, Pattern};

/// The longest stretch of drive that is planned at once, metres: beyond it somebody typed another
/// unit.
pub const LONGEST_PLAN_M: f64 = 100_000.0;

/// Room for rounding where a length is a whole number of rings, sheets or cartridges: far below
/// what a tape reads, far above the rounding of a quotient.
pub(super) const WHOLE_TOLERANCE: f64 = 1e-9;

/// What sort of row it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlanItem {
    /// Something that is counted and neither brought nor done: rings, set-ups.
    Count,
    /// Something to bring.
    Consumable,
    /// Something that takes time.
    Activity,
    /// A sum.
    Total,
}

impl PlanItem {
    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Count => "count",
            Self::Consumable => "consumable",
            Self::Activity => "activity",
            Self::Total => "total",
        }
    }
}

/// One row of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanRow {
    /// What sort of row it is.
    pub item: PlanItem,
    /// What it is: `drill`, `plates`.
    pub what: String,
    /// Which bolt or service it is for; `None` where it is for all.
    pub of: Option<String>,
    /// How many or how much; `None` where the case does not say enough.
    pub quantity: Option<f64>,
    /// Of what the quantity is counted.
    pub unit: &'static str,
    /// Minutes at the work itself; `None` where it takes none of its own.
    pub minutes: Option<f64>,
    /// In the plan's currency; `None` where there is no price.
    pub cost: Option<f64>,
    /// How it was counted, and what of it is common practice.
    pub basis: String,
}

/// What deserves a word besides the rows.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum PlanNote {
    /// Collars beyond the reach.
    #[error(
        "{collars} collars a stretch lie beyond the reach of one set-up ({width_m} m wide, {height_m} m high): they need a set-up of their own, or another machine"
    )]
    BeyondReach {
        /// How many, in the whole stretch.
        collars: u64,
        /// Width of the reach, metres.
        width_m: f64,
        /// Its height, metres.
        height_m: f64,
    },
    /// A consumable that cannot be counted.
    #[error("cartridges or grout of {bolt} are not counted: {lacking} not given")]
    NotCounted {
        /// Name of the bolt.
        bolt: String,
        /// Which keys.
        lacking: String,
    },
    /// More cartridge than the hole takes.
    #[error(
        "{bolt}: whole cartridges overfill the hole by {over_percent:.0} percent; shorter cartridges would waste less"
    )]
    Overfilled {
        /// Name of the bolt.
        bolt: String,
        /// By how much, percent of the resin that the hole takes.
        over_percent: f64,
    },
    /// A cable hole beyond what is usual.
    #[error(
        "{bolt}: holes of {length_m} m are longer than the {usual_m} m that are usual for cables (common practice, no source)"
    )]
    LongCable {
        /// Name of the bolt.
        bolt: String,
        /// Its hole, metres.
        length_m: f64,
        /// What is usual, metres.
        usual_m: f64,
    },
    /// The lowest row does not stand where it was typed.
    #[error("{0}")]
    LowestRow(LowestRow),
    /// How far the screen goes is guessed from the bolts.
    #[error(
        "no [[surface]] of kind screen says how far mesh hangs: it is ordered from the outermost collar on one side to that on the other and {beyond_m} m beyond, and no verdict counts on it"
    )]
    ScreenByCollars {
        /// How far beyond, metres.
        beyond_m: f64,
    },
    /// No screen.
    #[error("no screen is planned: the case has no [plan.screen]")]
    NoScreen,
    /// Bolts that stand at known chainages alone.
    #[error(
        "{bolts} bolts stand at known chainages alone, from {from_m:.2} to {to_m:.2} m: they are counted once, whatever length is planned, and the sheet of tests leaves them out"
    )]
    Once {
        /// How many.
        bolts: u64,
        /// Chainage of the first, metres.
        from_m: f64,
        /// And of the last, metres.
        to_m: f64,
    },
    /// Bolts that the next round blasts away.
    #[error(
        "{a_face} bolts stand in each face and the next round blasts them away: every round takes as many again ({bolts} in all), and the sheet of tests leaves them out; no screen on the face is counted"
    )]
    InFace {
        /// In one face.
        a_face: u64,
        /// In all.
        bolts: u64,
    },
    /// Something without a price.
    #[error("no price for {what}: the cost of the whole is left empty")]
    NoPrice {
        /// Of what, joined by commas.
        what: String,
    },
}

/// The plan of one stretch of drive.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Length of the stretch, metres.
    pub length_m: f64,
    /// Counts, consumables, activities, totals.
    pub rows: Vec<PlanRow>,
    /// What deserves a word.
    pub notes: Vec<PlanNote>,
    /// The torque and pull tests that go with it.
    pub tests: Vec<PlannedTest>,
    /// Bolts of all kinds.
    pub bolts: u64,
    /// Metres of bolt holes, service holes left out.
    pub drill_m: f64,
    /// Minutes at the work itself.
    pub minutes: f64,
    /// Shifts at the utilisation.
    pub shifts: f64,
    /// Bolts a shift, service holes and screen included; `None` without bolts.
    pub bolts_a_shift: Option<f64>,
    /// Minutes a bolt, all activities but service holes; `None` without bolts.
    pub minutes_a_bolt: Option<f64>,
    /// Cost of everything; `None` unless everything that is brought has a price.
    pub cost: Option<f64>,
}

/// Why a length cannot be planned.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum PlanError {
    /// A length that is none.
    #[error("a length of {} m; allowed is a length above 0, up to {LONGEST_PLAN_M} m", told(*found))]
    Length {
        /// As given.
        found: f64,
    },
    /// Nothing to plan.
    #[error("the case has no [[pattern]] of the whole drive or of its face: there is nothing to plan")]
    NoPattern,
    /// The section is none; a case that was read from a file has one.
    #[error(transparent)]
    Section(#[from] SectionError),
    /// A pattern that cannot be drilled; a case that was read from a file has none.
    #[error(transparent)]
    Layout(#[from] LayoutError),
    /// Inputs of another case.
    #[error("pattern {pattern} has a bolt that the case or its plan does not have")]
    UnknownBolt {
        /// Counted from 1.
        pattern: usize,
    },
}

/// One pattern with all that its rows need.
#[derive(Debug)]
pub(super) struct Drilled<'a> {
    pub name: &'a str,
    pub kind: BoltKind,
    pub length_m: f64,
    pub hole_m: f64,
    pub plate: bool,
    /// Whole numbers in a stretch, shares of them in a metre.
    pub bolts: f64,
    pub beyond_reach: f64,
    /// Rings, and those that hold a collar beyond the reach.
    pub rings: f64,
    pub rings_beyond: f64,
    pub ring_spacing_m: f64,
    /// Whether it stands in the face: then `rings` are faces, one a round, and `ring_spacing_m` is the round.
    pub in_face: bool,
    /// Chainages between which it stands once; `None` where it goes on along the drive.
    pub once: Option<(f64, f64)>,
    pub plan: &'a crate::case::BoltPlan,
    pub price: Option<f64>,
    pub layout: &'a Layout,
}

impl Drilled<'_> {
    /// Whether its plate is tightened, which takes minutes and is tested: a friction bolt's goes in with the bolt.
    fn is_tightened(&self) -> bool {
        self.plate && self.kind != BoltKind::Friction
    }
}

/// What a metre of drive takes in the long run.
#[derive(Debug, Clone, PartialEq)]
pub struct PerMetre {
    /// Bolts of all kinds.
    pub bolts: f64,
    /// Metres of bolt holes, service holes left out.
    pub drill_m: f64,
    /// Minutes at the work itself.
    pub minutes: f64,
    /// Cost of everything; `None` unless everything that is brought has a price.
    pub cost: Option<f64>,
    /// What deserves a word.
    pub notes: Vec<PlanNote>,
}

/// Plans `length_m` metres of drive: the first ring of each pattern at its start, the last before
/// its end; the first is ring 1. What stands at known chainages alone ([`Case::local`]) is counted once, all
/// of it, whatever the length.
///
/// # Errors
/// [`PlanError`] for a length that is none, and for a case without a pattern.
pub fn plan(case: &Case, inputs: &PlanInputs, length_m: f64) -> Result<Plan, PlanError> {
    plan_of(case, &case.local, inputs, length_m)
}

/// As [`plan`], of one round of the drive, without what stands at known chainages alone.
///
/// # Errors
/// As [`plan`].
pub fn plan_round(case: &Case, inputs: &PlanInputs) -> Result<Plan, PlanError> {
    plan_of(case, &[], inputs, case.round_length_m)
}

fn plan_of(case: &Case, local: &[LocalBolts], inputs: &PlanInputs, length_m: f64) -> Result<Plan, PlanError> {
    if !(length_m > 0.0 && length_m <= LONGEST_PLAN_M) {
        return Err(PlanError::Length { found: length_m });
    }
    let (opening, layouts) = planned_layouts(case)?;
    let face_layouts = face_layouts(case, &opening)?;
    let local_layouts = local.iter().map(|b| b.layout(&opening)).collect::<Result<Vec<_>, _>>()?;
    let counting = Counting::Stretch { length_m };
    let mut drilled = drilled(case, inputs, &layouts, counting)?;
    let whole = drilled.len();
    for (at, (bolts, layout)) in local.iter().zip(&local_layouts).enumerate() {
        drilled.push(drilled_once(case, inputs, (at, bolts), layout)?);
    }
    drilled.extend(drilled_in_face(case, inputs, &face_layouts, counting)?);
    let counted = counted(case, inputs, &opening, &drilled, counting);
    let bolts = counted.bolts;
    Ok(Plan {
        length_m,
        tests: tests_sheet::test_sheet(&drilled[..whole], counted.shifts),
        bolts: bolts as u64,
        drill_m: counted.drill_m,
        minutes: counted.minutes,
        shifts: counted.shifts,
        bolts_a_shift: (bolts > 0.0).then(|| bolts / counted.shifts),
        minutes_a_bolt: (bolts > 0.0).then(|| (counted.minutes - counted.service_minutes) / bolts),
        cost: counted.cost,
        rows: counted.rows,
        notes: counted.notes,
    })
}

/// What stands at known chainages alone takes, once.
#[derive(Debug, Clone, PartialEq)]
pub struct Once {
    /// Bolts of all kinds.
    pub bolts: f64,
    /// Metres of bolt holes.
    pub drill_m: f64,
    /// Minutes at the work itself.
    pub minutes: f64,
    /// Cost of it; `None` unless everything that is brought has a price.
    pub cost: Option<f64>,
}

/// What is drilled at known chainages alone ([`Case::local`]), bolts and their holes without screen and
/// services; `None` where there is none of it.
///
/// # Errors
/// [`PlanError`] where it cannot be laid out.
pub fn once(case: &Case, inputs: &PlanInputs) -> Result<Option<Once>, PlanError> {
    if case.local.is_empty() {
        return Ok(None);
    }
    let bare = PlanInputs { screen: None, services: Vec::new(), ..inputs.clone() };
    let opening = case.opening()?;
    let layouts = case.local.iter().map(|b| b.layout(&opening)).collect::<Result<Vec<_>, _>>()?;
    let local = case.local.iter().enumerate().zip(&layouts);
    let drilled: Vec<Drilled> =
        local.map(|(bolts, layout)| drilled_once(case, &bare, bolts, layout)).collect::<Result<_, _>>()?;
    let counting = Counting::Stretch { length_m: 0.0 };
    let Counted { bolts, drill_m, minutes, cost, .. } = counted(case, &bare, &opening, &drilled, counting);
    Ok(Some(Once { bolts, drill_m, minutes, cost }))
}

/// What a metre of drive takes where no end of it matters: one ring a ring spacing, sheets by the length
/// that each of them adds, cartridges, stations and set-ups by their shares. Patterns are ranked by this:
/// in any one length the rounding to whole rings favours those whose spacing happens to fit into it.
///
/// # Errors
/// [`PlanError`] for a case without a pattern.
pub fn per_metre(case: &Case, inputs: &PlanInputs) -> Result<PerMetre, PlanError> {
    let (opening, layouts) = planned_layouts(case)?;
    let face_layouts = face_layouts(case, &opening)?;
    let mut drilled = drilled(case, inputs, &layouts, Counting::Metre)?;
    drilled.extend(drilled_in_face(case, inputs, &face_layouts, Counting::Metre)?);
    let Counted { bolts, drill_m, minutes, cost, notes, .. } =
        counted(case, inputs, &opening, &drilled, Counting::Metre);
    Ok(PerMetre { bolts, drill_m, minutes, cost, notes })
}

fn drilled<'a>(
    case: &'a Case,
    inputs: &'a PlanInputs,
    layouts: &'a [Layout],
    counting: Counting,
) -> Result<Vec<Drilled<'a>>, PlanError> {
    let one = |(index, (pattern, layout)): (usize, (&'a Pattern, &'a Layout))| {
        let rings = counting.up(counting.length_m() / pattern.ring_spacing_m);
        let price = inputs.prices.per_bolt.get(index).copied().flatten();
        drilled_rings(case, inputs, (index, pattern, layout), (rings, counting), price)
    };
    case.patterns.iter().zip(layouts).enumerate().map(one).collect()
}

/// The bolts in the face: all of them once a round.
fn drilled_in_face<'a>(
    case: &'a Case,
    inputs: &'a PlanInputs,
    layouts: &'a [Layout],
    counting: Counting,
) -> Result<Vec<Drilled<'a>>, PlanError> {
    let rounds = counting.up(counting.length_m() / case.round_length_m);
    let one = |(at, (bolts, layout)): (usize, (&'a FaceBolts, &'a Layout))| {
        let place = case.first_on_face() + at;
        let listed = case.pattern_number(place).and_then(|number| inputs.prices.per_bolt.get(number - 1));
        let pattern = (place, bolts.pattern(), layout);
        let drilled = drilled_rings(case, inputs, pattern, (rounds, counting), listed.copied().flatten())?;
        Ok(Drilled { in_face: true, ring_spacing_m: case.round_length_m, ..drilled })
    };
    case.face_bolts.iter().zip(layouts).enumerate().map(one).collect()
}

/// What stands at known chainages alone, with its place in [`Case::local`]: so many rings as it has.
fn drilled_once<'a>(
    case: &'a Case,
    inputs: &'a PlanInputs,
    (at, bolts): (usize, &'a LocalBolts),
    layout: &'a Layout,
) -> Result<Drilled<'a>, PlanError> {
    let place = case.patterns.len() + at;
    let price = match case.spot_number(place) {
        Some(number) => inputs.prices.per_bolt_at.get(number - 1),
        None => inputs.prices.per_bolt.get(place),
    };
    let counting = Counting::Stretch { length_m: bolts.to_m() - bolts.from_m() };
    let rings = f64::from(bolts.rings());
    let pattern = (place, bolts.pattern(), layout);
    let drilled = drilled_rings(case, inputs, pattern, (rings, counting), price.copied().flatten())?;
    Ok(Drilled { once: Some((bolts.from_m(), bolts.to_m())), ..drilled })
}

fn drilled_rings<'a>(
    case: &'a Case,
    inputs: &'a PlanInputs,
    (index, pattern, layout): (usize, &Pattern, &'a Layout),
    (rings, counting): (f64, Counting),
    price: Option<f64>,
) -> Result<Drilled<'a>, PlanError> {
    let unknown = PlanError::UnknownBolt { pattern: index + 1 };
    let bolt = case.bolts.get(pattern.bolt).ok_or_else(|| unknown.clone())?;
    let plan = inputs.bolts.get(pattern.bolt).ok_or(unknown)?;
    let mut drilled = Drilled {
        name: &bolt.name,
        kind: bolt.kind,
        length_m: pattern.length_m,
        hole_m: pattern.length_in_hole_m(),
        plate: bolt.plate_kn > 0.0,
        bolts: 0.0,
        beyond_reach: 0.0,
        rings,
        rings_beyond: 0.0,
        ring_spacing_m: pattern.ring_spacing_m,
        in_face: false,
        once: None,
        plan,
        price,
        layout,
    };
    for kind in RingKind::of(layout) {
        let rings = counting.of_kind(*kind, rings);
        let in_ring = || layout.rows.iter().filter(|r| kind.holds(r));
        let beyond = in_ring().filter(|r| !collars::within_reach(&r.collar, inputs)).count() as f64;
        drilled.bolts += rings * in_ring().count() as f64;
        drilled.beyond_reach += rings * beyond;
        drilled.rings_beyond += if beyond > 0.0 { rings } else { 0.0 };
    }
    Ok(drilled)
}

/// What a stretch or a metre comes to.
struct Counted {
    rows: Vec<PlanRow>,
    notes: Vec<PlanNote>,
    bolts: f64,
    drill_m: f64,
    minutes: f64,
    /// The part of the minutes that is no bolt's.
    service_minutes: f64,
    shifts: f64,
    cost: Option<f64>,
}

fn counted(
    case: &Case,
    inputs: &PlanInputs,
    opening: &Opening,
    drilled: &[Drilled],
    counting: Counting,
) -> Counted {
    let meshes = screen::meshes(case, inputs, opening, drilled);
    let mut rows = consumables::counts(drilled, inputs, counting);
    rows.extend(consumables::consumables(drilled, inputs, &meshes, counting));
    rows.extend(minutes::activities(drilled, inputs, &meshes, counting));
    let mut notes = notes(drilled, inputs);
    let whole = drilled.iter().filter(|d| d.once.is_none() && !d.in_face);
    let layouts: Vec<Layout> = whole.map(|d| d.layout.clone()).collect();
    notes.extend(lowest_rows(case, &layouts).into_iter().map(PlanNote::LowestRow));
    notes.extend(screen::note(case, inputs));
    totals(rows, notes, drilled, inputs, counting)
}

fn notes(drilled: &[Drilled], inputs: &PlanInputs) -> Vec<PlanNote> {
    let mut notes = Vec::new();
    let collars = drilled.iter().fold(0.0, |sum, d| sum + d.beyond_reach);
    if collars > 0.0 {
        notes.push(PlanNote::BeyondReach {
            collars: collars as u64,
            width_m: inputs.reach_width_m.value,
            height_m: inputs.reach_height_m.value,
        });
    }
    let once = || drilled.iter().filter_map(|d| Some((d.bolts, d.once?)));
    let bolts: f64 = once().map(|(bolts, _)| bolts).sum();
    if bolts > 0.0 {
        notes.push(PlanNote::Once {
            bolts: bolts as u64,
            from_m: once().map(|(_, at)| at.0).fold(f64::INFINITY, f64::min),
            to_m: once().map(|(_, at)| at.1).fold(f64::NEG_INFINITY, f64::max),
        });
    }
    let in_face = || drilled.iter().filter(|d| d.in_face);
    let bolts: f64 = in_face().map(|d| d.bolts).sum();
    if bolts > 0.0 {
        let a_face = in_face().map(|d| d.layout.rows.len() as u64).sum();
        notes.push(PlanNote::InFace { a_face, bolts: bolts as u64 });
    }
    for pattern in drilled {
        notes.extend(resin::note(pattern, inputs));
        if pattern.kind == BoltKind::Cable && pattern.hole_m > LONGEST_CABLE_HOLE_M {
            notes.push(PlanNote::LongCable {
                bolt: pattern.name.to_owned(),
                length_m: pattern.hole_m,
                usual_m: LONGEST_CABLE_HOLE_M,
            });
        }
    }
    notes
}

fn totals(
    mut rows: Vec<PlanRow>,
    mut notes: Vec<PlanNote>,
    drilled: &[Drilled],
    inputs: &PlanInputs,
    counting: Counting,
) -> Counted {
    let minutes: f64 = rows.iter().filter_map(|r| r.minutes).sum();
    let service_minutes: f64 =
        rows.iter().filter(|r| r.what == minutes::SERVICE).filter_map(|r| r.minutes).sum();
    let bolts: f64 = drilled.iter().map(|d| d.bolts).sum();
    let drill_m: f64 = drilled.iter().map(|d| d.bolts * d.hole_m).sum();
    let shift_min = inputs.shift_h.value * 60.0 * inputs.utilisation.value;
    let shifts = minutes / shift_min;
    let crew = inputs.prices.crew_hour.map(|price| price * shifts * inputs.shift_h.value);
    rows.push(PlanRow {
        item: PlanItem::Total,
        what: "shifts".into(),
        of: None,
        quantity: Some(shifts),
        unit: "shifts",
        minutes: Some(minutes),
        cost: crew,
        basis: format!(
            "{}, of which {} at the work",
            number(&inputs.shift_h, "h"),
            number(&inputs.utilisation, "")
        ),
    });
    let brought = rows
        .iter()
        .filter(|r| r.item == PlanItem::Consumable || (r.item == PlanItem::Total && r.what == "shifts"));
    let mut cost = Some(0.0);
    let mut lacking: Vec<String> = Vec::new();
    for row in brought.filter(|r| r.quantity != Some(0.0)) {
        cost = cost.zip(row.cost).map(|(sum, cost)| sum + cost);
        if row.cost.is_none() {
            let what = match &row.of {
                Some(of) => format!("{} ({of})", row.what),
                None => row.what.clone(),
            };
            if !lacking.contains(&what) {
                lacking.push(what);
            }
        }
    }
    if !lacking.is_empty() {
        notes.push(PlanNote::NoPrice { what: lacking.join(", ") });
    }
    rows.push(PlanRow {
        item: PlanItem::Total,
        what: "cost".into(),
        of: None,
        quantity: Some(counting.length_m()),
        unit: "m of drive",
        minutes: None,
        cost,
        basis: "sum of consumables and shifts; empty unless each of them has a price".into(),
    });
    Counted { rows, notes, bolts, drill_m, minutes, service_minutes, shifts, cost }
}

/// The least whole number that is not below `value`, rounding apart; at least 1 above 0.
pub(super) fn whole(value: f64) -> u64 {
    (value * (1.0 - WHOLE_TOLERANCE)).ceil().max(0.0) as u64
}

/// A number that nobody vouches for: with an exponent where it would be a row of zeros, nothing without a sign.
fn told(found: f64) -> String {
    const LARGE: f64 = 1e15;
    if found.abs() < LARGE { format!("{}", found + 0.0) } else { format!("{found:e}") }
}

/// A number with its unit, and whether it is common practice.
pub(super) fn number(number: &PlanNumber, unit: &str) -> String {
    let space = if unit.is_empty() { "" } else { " " };
    let from = if number.given { String::new() } else { format!(" ({COMMON_PRACTICE})") };
    format!("{}{space}{unit}{from}", number.value)
}

/// The opening of a case and its patterns laid out.
///
/// # Errors
/// [`PlanError`] for a case without a pattern, and where a pattern cannot be laid out.
fn planned_layouts(case: &Case) -> Result<(Opening, Vec<Layout>), PlanError> {
    if case.patterns.is_empty() && case.face_bolts.is_empty() {
        return Err(PlanError::NoPattern);
    }
    let opening = case.opening()?;
    let layouts =
        case.patterns.iter().map(|p| Layout::new(p, &opening)).collect::<Result<Vec<_>, LayoutError>>()?;
    Ok((opening, layouts))
}

/// The patterns on a case's face, laid out.
///
/// # Errors
/// [`PlanError`] where one cannot be laid out.
fn face_layouts(case: &Case, opening: &Opening) -> Result<Vec<Layout>, PlanError> {
    Ok(case.face_bolts.iter().map(|b| b.layout(opening)).collect::<Result<_, LayoutError>>()?)
}
