//! A part of a stretch as the judgement of a drive sees it: a drive whose bolts all have chainages.

use super::standing::Standing;
use crate::case::{AsBuilt, Case};
use crate::opening::Opening;
use crate::stability::HungSize;
use crate::study::CheckedWedge;
use crate::study::judgement::Judging;
use crate::study::seat::{Drive, Seat};
use crate::support::{Anchorage, Bolt, Layout, LocalBolts};
use crate::wedge::Chain;

/// A part is at least this long, metres, however short the wedge: parts of a hair would be looked at by the
/// thousand.
const SHORTEST_PART_M: f64 = 3.0;

/// The corners of a piece's face lie in its part; between them it may bulge out by less than this, metres, so
/// that bolts this far outside can be on it.
const BULGE_M: f64 = 1.0;

/// The drive of a case without patterns and with the bolts of a part at their chainages.
pub(super) struct Part {
    pub case: Case,
    /// Its stretch, metres of chainage.
    pub stretch_m: (f64, f64),
    layouts: Vec<Layout>,
    /// The layouts with collars as far off as is left open; `None` where nothing is.
    within: Option<Vec<Layout>>,
    /// The places of its bolts among those that stand in the stretch.
    bolts: Vec<usize>,
}

/// A stretch as it was built, made ready to be looked at in parts.
#[derive(Clone, Copy)]
pub(super) struct Built<'s> {
    /// Its case without any bolts: see [`bare_case`].
    pub bare: &'s Case,
    pub built: &'s AsBuilt,
    pub opening: &'s Opening,
}

impl Built<'_> {
    /// The whole stretch, metres of chainage.
    pub fn stretch_m(&self) -> (f64, f64) {
        (self.built.from_m, self.built.to_m)
    }

    /// The part between two chainages, with what stands there.
    pub fn part(&self, standing: &Standing, stretch_m: (f64, f64)) -> Part {
        Part::of(*self, standing, stretch_m)
    }

    /// The parts that a wedge is looked at in, metres of chainage: those that it may lie in. `None` where it has no seat.
    pub fn parts_m(&self, wedge: &CheckedWedge) -> Option<Vec<(f64, f64)>> {
        let whole = self.part(&Standing::none(), self.stretch_m());
        let seat = Seat::of_wedge(whole.drive(self.opening), wedge)?;
        let mut parts_m = parts_m(seat.chain(), self.stretch_m());
        parts_m.retain(|&part_m| seat.may_lie_between(part_m));
        Some(parts_m)
    }
}

impl Part {
    fn of(built: Built, standing: &Standing, stretch_m: (f64, f64)) -> Self {
        let Built { bare, built, opening } = built;
        let (from_m, to_m) = stretch_m;
        let mut here: Vec<usize> = standing.between(from_m - BULGE_M, to_m + BULGE_M).collect();
        here.retain(|&at| !carries_nothing(&bare.bolts[standing.bolts[at].kind]));
        let spot = |at: usize| {
            let set = &standing.bolts[at];
            LocalBolts::spot(set.kind, set.length_in_hole_m, 0.0, set.chainage_m, set.collar)
        };
        let local: Vec<LocalBolts> = here.iter().copied().map(spot).collect();
        // A single collar has a layout always.
        let layouts: Vec<Layout> = local.iter().filter_map(|bolt| bolt.layout(opening).ok()).collect();
        let off_m = |at: usize| match standing.found[at] {
            Some(_) => built.survey_error_m,
            None => bare.installation.judged_tolerance_m(),
        };
        let within = here.iter().any(|&at| off_m(at) > 0.0).then(|| {
            let off = here.iter().zip(&layouts);
            off.map(|(&at, layout)| layout.within(off_m(at), &opening.section)).collect()
        });
        let mut case = bare.clone();
        case.local = local;
        case.site.hung_loads.retain(|load| match load.size {
            HungSize::AtPlace { chainage_m: Some(m), .. } => (from_m - BULGE_M..=to_m + BULGE_M).contains(&m),
            HungSize::AtPlace { chainage_m: None, .. } | HungSize::PerMetre { .. } => true,
        });
        Self { case, stretch_m, layouts, within, bolts: here }
    }

    pub fn drive<'s>(&'s self, opening: &'s Opening) -> Drive<'s> {
        Drive {
            case: &self.case,
            opening,
            layouts: &[],
            local: &self.layouts,
            groups: &[],
            stretch_m: Some(self.stretch_m),
            // What stress takes of a wedge is known of it already.
            stress: None,
        }
    }

    /// Made ready for its pieces to be judged, with collars as far off their place as is left open.
    pub fn judging<'s>(&'s self, opening: &'s Opening) -> Judging<'s> {
        Judging::over_stretch(self.drive(opening), self.within.clone())
    }

    /// The same, as drawn where nothing is left open.
    pub fn judged_layouts(&self) -> &[Layout] {
        self.within.as_deref().unwrap_or(&self.layouts)
    }

    /// Where a bolt of it, as placements count them, is among those that stand in the stretch.
    pub fn standing_at(&self, pattern: usize) -> usize {
        self.bolts[pattern]
    }
}

/// The case of a stretch without any bolts: its kinds are those of the bolts found.
pub(super) fn bare_case(case: &Case, built: &AsBuilt) -> Case {
    let site = crate::case::Site { as_built: None, ..case.site.clone() };
    Case { patterns: Vec::new(), local: Vec::new(), bolts: built.kinds.clone(), site, ..case.clone() }
}

/// Whether a bolt of this kind carries nothing, wherever a joint crosses it: broken, missing, or without grout. It
/// is then no bolt, and what has no other one is held by whatever else is entered.
fn carries_nothing(kind: &Bolt) -> bool {
    let bond_kn_per_m = match kind.anchorage {
        Anchorage::Bonded { bond_kn_per_m } | Anchorage::BondedAtToe { bond_kn_per_m, .. } => {
            Some(bond_kn_per_m)
        }
        Anchorage::PointAnchored { .. } => None,
    };
    kind.steel_kn <= 0.0 || bond_kn_per_m.is_some_and(|kn| kn <= 0.0)
}

/// Stretches that overlap so far that every piece of a chain has its face in one of them.
fn parts_m(chain: &Chain, (from_m, to_m): (f64, f64)) -> Vec<(f64, f64)> {
    // No piece is longer than the largest.
    let longest_m = chain.extent_along_drive_m(&chain.largest()).max(SHORTEST_PART_M);
    let spare_m = (to_m - from_m) - 2.0 * longest_m;
    if spare_m <= 0.0 {
        return vec![(from_m, to_m)];
    }
    let steps = (spare_m / longest_m).ceil();
    let step_m = spare_m / steps;
    (0..=steps as usize).map(|k| from_m + step_m * k as f64).map(|m| (m, m + 2.0 * longest_m)).collect()
}
