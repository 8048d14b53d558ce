//! Bolts as they stand over a stretch of the drive, beside those that were drawn for it.

mod phase;
mod rings;

pub use phase::RingPhase;
pub use rings::{RingRow, RingWorst};

use rayon::prelude::*;

use self::phase::phases;
use self::rings::{Bins, ring_rows};
use super::{Check, CheckedWedge, Verdict};
use crate::case::{AsBuilt, Case};
use crate::stability::Stability;
use crate::support::{PhaseGroup, Positions, SetBolt, SetBolts, SetPlacement, SweepScratch, drawn_bolts};
use crate::wedge::Footprint;

/// Places across a band that the factors ring by ring are taken over, besides the worst ones.
const RING_PLACES: usize = 8;

/// A stretch of drive as designed and as built.
#[derive(Debug, Clone, PartialEq)]
pub struct AsBuiltCheck {
    /// The stretch, metres of chainage.
    pub from_m: f64,
    /// The same.
    pub to_m: f64,
    /// Where the rings of each pattern stand.
    pub phases: Vec<RingPhase>,
    /// Every wedge of the drive that moves, in the order of the check.
    pub wedges: Vec<AsBuiltWedge>,
    /// Every ring of every pattern in the stretch.
    pub rings: Vec<RingRow>,
}

/// One wedge, its largest admissible size, wherever its face lies in the stretch. Forces alone:
/// moments, sizes and gap wedge are as designed.
#[derive(Debug, Clone, PartialEq)]
pub struct AsBuiltWedge {
    /// Its id.
    pub wedge: String,
    /// The factor of safety that is asked for.
    pub criterion_fs: f64,
    /// The worst place with the bolts as drawn, rings where [`AsBuiltCheck::phases`] says; `None`
    /// where the stretch is too short for the wedge.
    pub designed: Option<SetPlacement>,
    /// The worst place with the bolts as they stand; `None` as `designed`. Its bolts count as
    /// [`AsBuiltCheck::standing`] lists them.
    pub as_built: Option<SetPlacement>,
    /// What is said of it as designed.
    pub designed_verdict: Verdict,
    /// What is said of it as built.
    pub as_built_verdict: Verdict,
}

impl AsBuiltWedge {
    /// Whether the bolts as drawn hold it and those that stand there do not.
    #[must_use]
    pub fn went_short(&self) -> bool {
        self.designed_verdict == Verdict::Held && self.as_built_verdict == Verdict::Short
    }
}

/// The bolts of a stretch, each with where it comes from.
pub(super) struct Standing {
    pub bolts: Vec<SetBolt>,
    /// Index into the as-built bolts, `None` for a drawn one.
    pub found: Vec<Option<usize>>,
}

impl Standing {
    fn of(mut all: Vec<(SetBolt, Option<usize>)>) -> Self {
        all.sort_by(|a, b| a.0.chainage_m.total_cmp(&b.0.chainage_m));
        let (bolts, found) = all.into_iter().unzip();
        Self { bolts, found }
    }
}

/// The stretch of `case.site.as_built` as designed and as built; `None` where the case has none.
/// `check` is what [`super::forces_alone()`] found for `case`.
///
/// Over the stretch bolts have chainages: the wedge slides along it, its face wholly inside, and
/// every event on the way is met. The drawn bolts stand at `offset_m` of their pattern, or, where it
/// has none, where their rings fit the bolts found best.
#[must_use]
pub fn as_built(case: &Case, check: &Check) -> Option<AsBuiltCheck> {
    let built = case.site.as_built.as_ref()?;
    let (phases, matches) = phases(case, check, built);
    let drawn = drawn(case, check, built, &phases);
    let standing = standing(built, &drawn);
    // What stands at known chainages alone is drawn for wedges that have a chainage too.
    let with_local: Vec<_> = drawn.iter().copied().chain(drawn_locally(case, check, built)).collect();
    let local = Both { standing: self::standing(built, &with_local), drawn: Standing::of(with_local) };
    let whole = Both { standing, drawn: Standing::of(drawn) };
    let look = Look { case, check, built, phases: &phases, whole: &whole, local: &local };
    let found: Vec<Option<(AsBuiltWedge, Bins)>> = check.wedges.par_iter().map(|w| look.wedge(w)).collect();
    let mut bins = Bins::new(case, &phases, built);
    let mut wedges = Vec::new();
    for (wedge, of_wedge) in found.into_iter().flatten() {
        bins.merge(of_wedge);
        wedges.push(wedge);
    }
    let rings = ring_rows(case, built, &phases, &matches, bins);
    Some(AsBuiltCheck { from_m: built.from_m, to_m: built.to_m, phases, wedges, rings })
}

/// The bolts that the patterns draw in the stretch.
fn drawn(case: &Case, check: &Check, built: &AsBuilt, phases: &[RingPhase]) -> Vec<(SetBolt, Option<usize>)> {
    let mut drawn = Vec::new();
    for (index, phase) in phases.iter().enumerate() {
        let (pattern, layout) = (&case.patterns[index], &check.layouts[index]);
        let bolts = drawn_bolts(pattern, layout, phase.offset_m, built.from_m, built.to_m);
        drawn.extend(bolts.into_iter().map(|(_, bolt)| (bolt, None)));
    }
    drawn
}

/// The bolts of the stretch that the design has at known chainages alone.
fn drawn_locally(case: &Case, check: &Check, built: &AsBuilt) -> Vec<(SetBolt, Option<usize>)> {
    let mut drawn = Vec::new();
    for (bolts, layout) in case.local.iter().zip(&check.local) {
        let found = drawn_bolts(bolts.pattern(), layout, bolts.from_m(), built.from_m, built.to_m);
        drawn.extend(found.into_iter().map(|(_, bolt)| (bolt, None)));
    }
    drawn
}

/// The bolts as drawn, and as they stand.
struct Both {
    drawn: Standing,
    standing: Standing,
}

/// The bolts that stand in the stretch: those found, and where they add to the patterns those drawn.
fn standing(built: &AsBuilt, drawn: &[(SetBolt, Option<usize>)]) -> Standing {
    let mut all: Vec<(SetBolt, Option<usize>)> =
        built.bolts.iter().enumerate().map(|(i, b)| (b.set, Some(i))).collect();
    if !built.replaces {
        all.extend(drawn.iter().copied());
    }
    Standing::of(all)
}

struct Look<'a> {
    case: &'a Case,
    check: &'a Check,
    built: &'a AsBuilt,
    phases: &'a [RingPhase],
    /// Without and with what stands at known chainages alone.
    whole: &'a Both,
    local: &'a Both,
}

impl Look<'_> {
    fn wedge(&self, wedge: &CheckedWedge) -> Option<(AsBuiltWedge, Bins)> {
        let asked = wedge.decided.criterion_fs?;
        let (case, check) = (self.case, self.check);
        let section = &check.opening.section;
        let seat = check.seat(case, wedge)?;
        let admissible = seat.largest()?;
        let kinds = &self.built.kinds;
        let mut positions = Positions { bolts: kinds, ..seat.positions() };
        // Without a pattern the wedge has its place all the same.
        let located = wedge.wedge.located;
        let has_chainage = located.is_some_and(|l| l.has_chainage());
        let Both { drawn, standing } = if has_chainage { self.local } else { self.whole };
        let alone = [PhaseGroup { patterns: Vec::new(), period_m: 1.0, located, surveyed: false }];
        if positions.groups.is_empty() {
            positions.groups = &alone;
        }
        let stretch = (self.built.from_m, self.built.to_m);
        // Where the pattern holds it least anywhere: a start for both.
        let known: Vec<Footprint> = wedge.placement().iter().map(|p| p.foot).collect();
        let place = |standing: &Standing, known: &[Footprint]| {
            let bolts = SetBolts::new(&standing.bolts, kinds);
            bolts.place(section, &positions, &admissible, known, stretch, &|foot| seat.stability(foot))
        };
        let designed = place(drawn, &known);
        let as_built = place(standing, &known);
        let verdict = |placed: &Option<SetPlacement>| match placed {
            Some(p) => Verdict::of(p.least_fs, Some(asked)),
            None => Verdict::NotJudged,
        };
        let mut bins = Bins::new(case, self.phases, self.built);
        let mut feet: Vec<Footprint> = vec![admissible.shown];
        feet.extend(designed.iter().chain(&as_built).map(|p| p.foot));
        for band in &admissible.bands {
            let step = (band.to_m - band.from_m) / RING_PLACES as f64;
            let places = (1..RING_PLACES).map(|i| band.from_m + step * i as f64);
            feet.extend(places.filter(|_| step > 0.0).filter_map(|m| seat.equal_at(m, &admissible)));
        }
        let mut scratch = SweepScratch::default();
        for foot in &feet {
            let body = crate::support::Body {
                chain: seat.chain(),
                cone: &wedge.wedge.cone,
                foot: *foot,
                perimeter_m: section.perimeter_m(),
            };
            let stability: Stability = seat.stability(foot);
            let within = SetBolts::reachable(section, &body, stretch.0, stretch.1);
            let chainage_m = seat.chainage_m(foot);
            let Some(within) = within.and_then(|w| w.at(chainage_m)) else { continue };
            let centre_m = 0.5 * (within.face_m.0 + within.face_m.1);
            let breaks: Vec<f64> = bins.bounds_m().map(|m| m - centre_m).collect();
            for (built, standing) in [(false, drawn), (true, standing)] {
                let bolts = SetBolts::new(&standing.bolts, kinds);
                bolts.sweep(&body, &stability, &within, &breaks, &mut scratch, |apex_m, fs| {
                    bins.note(apex_m + centre_m, built, &wedge.wedge.id, fs, asked);
                });
            }
        }
        let found = AsBuiltWedge {
            wedge: wedge.wedge.id.clone(),
            criterion_fs: asked,
            designed_verdict: verdict(&designed),
            as_built_verdict: verdict(&as_built),
            designed,
            as_built,
        };
        Some((found, bins))
    }
}

impl AsBuiltCheck {
    /// The wedges that the bolts as drawn hold and those that stand there do not.
    pub fn went_short(&self) -> impl Iterator<Item = &AsBuiltWedge> {
        self.wedges.iter().filter(|w| w.went_short())
    }

    /// The bolts that stand in the stretch for a wedge, in the order in which [`SetPlacement::serving`] counts
    /// as built, each with its index into the case's as-built bolts; `None` for one of the design.
    #[must_use]
    pub fn standing(&self, case: &Case, check: &Check, wedge: &str) -> Vec<(SetBolt, Option<usize>)> {
        let Some(built) = case.site.as_built.as_ref() else { return Vec::new() };
        let mut drawn = drawn(case, check, built, &self.phases);
        let placed = check.wedges.iter().find(|w| w.wedge.id == wedge).and_then(|w| w.wedge.located);
        if placed.is_some_and(|l| l.has_chainage()) {
            drawn.extend(drawn_locally(case, check, built));
        }
        let standing = standing(built, &drawn);
        standing.bolts.into_iter().zip(standing.found).collect()
    }
}
