//! Bolts as they stand over a stretch of the drive, beside those that were drawn for it.

mod compared;
mod judged;
mod largest;
mod part;
mod phase;
mod rings;
mod spots;
mod standing;

pub use compared::{BoltChange, ChangedBolt, bolt_changes};
pub use judged::{BuiltDecision, BuiltPiece, BuiltServing};
pub use phase::RingPhase;
pub use rings::{RingRow, RingWorst};
pub use spots::{SpotBolt, SpotBolts, with_spot_bolts};

use rayon::prelude::*;

use self::judged::Asked;
use self::largest::{Largest, Worst};
use self::part::{Built, bare_case};
use self::phase::phases;
use self::rings::{Bins, ring_rows};
use self::standing::Both;
use super::checked::{Decided, DecidedBy};
use super::{Check, CheckedWedge, Unjudged, Verdict};
use crate::case::{AsBuilt, Case};
use crate::support::SetPlacement;

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
    /// Bolts found outside the stretch and at none of the drawn places.
    pub outside: usize,
    /// The bolts that are not as an earlier survey found them ([`bolt_changes()`]).
    pub changed_bolts: Vec<ChangedBolt>,
    /// The spot bolts that mend it; `None` where none was looked for ([`with_spot_bolts()`]).
    pub spot_bolts: Option<SpotBolts>,
}

/// One wedge in the stretch: what is decided of it, and beside that its largest admissible size by forces alone.
#[derive(Debug, Clone, PartialEq)]
pub struct AsBuiltWedge {
    /// Its id.
    pub wedge: String,
    /// The factor of safety that is asked for.
    pub criterion_fs: f64,
    /// Its largest size at the worst place with the bolts as drawn, rings where [`AsBuiltCheck::phases`] says,
    /// forces alone; `None` where the stretch is too short for the wedge.
    pub designed: Option<SetPlacement>,
    /// The same with the bolts as they stand.
    pub as_built: Option<SetPlacement>,
    /// What the check decided of it by the patterns: along the whole drive.
    pub by_design: Decided,
    /// What the same judgement decides with the bolts as they stand: every piece whose face lies in the stretch,
    /// with collars as far off their place as the survey's error leaves open.
    pub found: BuiltDecision,
    /// What it decides with the bolts of the earlier survey; `None` where there is none.
    pub before: Option<Decided>,
}

impl AsBuiltWedge {
    /// Whether the verdict is another one than with the bolts of the earlier survey.
    #[must_use]
    pub fn turned(&self) -> bool {
        self.before.as_ref().is_some_and(|before| before.verdict != self.as_built_verdict())
    }

    /// What is said of it as designed.
    #[must_use]
    pub fn designed_verdict(&self) -> Verdict {
        self.by_design.verdict
    }

    /// What is said of it as built.
    #[must_use]
    pub fn as_built_verdict(&self) -> Verdict {
        self.found.decided.verdict
    }

    /// Whether the bolts as drawn hold it and those that stand there do not.
    #[must_use]
    pub fn went_short(&self) -> bool {
        self.designed_verdict() == Verdict::Held && self.as_built_verdict() == Verdict::Short
    }

    /// Chainage of the apex of what decides as built, metres; `None` where nothing was found.
    #[must_use]
    pub fn apex_m(&self) -> Option<f64> {
        let piece = self.found.piece.as_ref().map(|piece| piece.apex_m);
        piece.or(self.as_built.as_ref().filter(|_| self.found.decided.fs.is_some()).map(|p| p.chainage_m))
    }
}

/// The stretch of `case.site.as_built` as designed and as built; `None` where the case has none. `check` is what
/// [`super::check()`] found for `case`, its verdicts those of the design.
///
/// Over the stretch bolts have chainages, and each piece whose face lies in it is judged as the pieces of the
/// drive are. The drawn bolts stand at `offset_m` of their pattern, or, where it has none, where their rings fit
/// the bolts found best.
///
/// Where the case has an earlier survey of the stretch too, the same is decided by its bolts, and beside that stands
/// which bolts changed.
#[must_use]
pub fn as_built(case: &Case, check: &Check) -> Option<AsBuiltCheck> {
    let built = case.site.as_built.as_ref()?;
    let mut found = by_survey(case, check)?;
    let Some(earlier) = built.earlier.as_deref() else { return Some(found) };
    found.changed_bolts = bolt_changes(built, check.opening.section.perimeter_m());
    let mut then = case.clone();
    then.site.as_built = Some(AsBuilt { earlier: None, ..earlier.clone() });
    let before = by_survey(&then, check)?;
    for wedge in &mut found.wedges {
        let before = before.wedges.iter().find(|before| before.wedge == wedge.wedge);
        wedge.before = before.map(|before| before.found.decided.clone());
    }
    Some(found)
}

/// The stretch by one survey of its bolts.
fn by_survey(case: &Case, check: &Check) -> Option<AsBuiltCheck> {
    let built = case.site.as_built.as_ref()?;
    let (phases, matches) = phases(case, check, built);
    let (whole, local) = Both::of(case, check, built, &phases);
    let bare = bare_case(case, built);
    let stretch = Built { bare: &bare, built, opening: &check.opening };
    let largest = Largest { stretch, case, phases: &phases };
    let of_one = |wedge: &CheckedWedge| {
        let asked_fs = wedge.decided.criterion_fs?;
        let has_chainage = wedge.wedge.located.is_some_and(|l| l.has_chainage());
        let both = if has_chainage { &local } else { &whole };
        let (Worst { designed, as_built }, bins) = largest.of(wedge, both, asked_fs)?;
        let asked = Asked { stretch, standing: &both.standing };
        let mut found = asked.of(wedge, as_built.as_ref());
        short_of_the_drawn(&mut found, asked_fs, (designed.as_ref(), as_built.as_ref()), wedge);
        let by_design = wedge.decided.clone();
        let id = wedge.wedge.id.clone();
        let told = AsBuiltWedge {
            wedge: id,
            criterion_fs: asked_fs,
            designed,
            as_built,
            by_design,
            found,
            before: None,
        };
        Some((told, bins))
    };
    // Collected in the order of the check, whatever the number of threads.
    let found: Vec<Option<(AsBuiltWedge, Bins)>> = check.wedges.par_iter().map(of_one).collect();
    let mut bins = Bins::new(case, &phases, built);
    let mut wedges = Vec::new();
    for (wedge, of_wedge) in found.into_iter().flatten() {
        bins.merge(of_wedge);
        wedges.push(wedge);
    }
    let rings = ring_rows(case, built, &phases, &matches, bins);
    let outside = matches.outside;
    Some(AsBuiltCheck {
        from_m: built.from_m,
        to_m: built.to_m,
        phases,
        wedges,
        rings,
        outside,
        changed_bolts: Vec::new(),
        spot_bolts: None,
    })
}

/// Where nothing entered carries what finds room between bolts, a drive is not judged. In a stretch whose drawn
/// bolts hold the largest wedge, one that those found do not hold is short all the same: what is missing there is
/// not what nobody entered.
fn short_of_the_drawn(
    found: &mut BuiltDecision,
    asked_fs: f64,
    (designed, as_built): (Option<&SetPlacement>, Option<&SetPlacement>),
    wedge: &CheckedWedge,
) {
    let (Some(designed), Some(as_built)) = (designed, as_built) else { return };
    let lost = designed.least_fs >= asked_fs && as_built.least_fs < asked_fs;
    if lost && found.decided.unjudged == Some(Unjudged::NoSurfaceSupport) {
        found.decided = Decided {
            verdict: Verdict::Short,
            fs: Some(as_built.least_fs),
            by: Some(DecidedBy::Forces),
            volume_m3: Some(wedge.wedge.shape.volume_m3),
            ..Decided::asked(Some(asked_fs))
        };
        found.piece = None;
    }
}

impl AsBuiltCheck {
    /// The wedges that the bolts as drawn hold and those that stand there do not.
    pub fn went_short(&self) -> impl Iterator<Item = &AsBuiltWedge> {
        self.wedges.iter().filter(|w| w.went_short())
    }
}
