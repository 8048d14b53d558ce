//! What a check says of each wedge and of each stage, without what it finds besides: much sooner.

use super::check::all_but_pieces;
use super::face::at_face;
use super::standing::{Standing, standing_of};
use super::{CheckError, CheckedWedge, Lack, Unjudged, Verdict, Warning, Wedge};
use crate::case::Case;
use crate::support::Carrier;

/// What is said of one wedge.
#[derive(Debug, Clone, PartialEq)]
pub struct Stands {
    /// The largest admissible wedge of its pyramid.
    pub wedge: Wedge,
    /// What is said of it.
    pub verdict: Verdict,
    /// Why it is not judged.
    pub unjudged: Option<Unjudged>,
    /// The factor of safety that is asked for; `None` where it does not move.
    pub asked_fs: Option<f64>,
    /// The factor of safety that decides, as far as it was looked for: it is no less than the first, and no more than
    /// the second. Both are the same where it was searched to the end. `None` where nothing says anything of it.
    pub fs_between: Option<(f64, f64)>,
    /// What carries the piece that has the second best.
    pub carrier: Option<Carrier>,
    /// Its volume, cubic metres.
    pub volume_m3: Option<f64>,
}

impl Stands {
    /// What was decided of a wedge.
    pub(super) fn decided(wedge: &CheckedWedge) -> Self {
        Self {
            wedge: wedge.wedge.clone(),
            verdict: wedge.decided.verdict,
            unjudged: wedge.decided.unjudged,
            asked_fs: wedge.decided.criterion_fs,
            fs_between: wedge.decided.fs.map(|fs| (fs, fs)),
            carrier: wedge.deciding_carrier().map(|(carrier, _)| carrier),
            volume_m3: wedge.decided.volume_m3,
        }
    }

    /// Whether it moves and is one of those that a verdict on the drive counts.
    #[must_use]
    pub fn counts(&self) -> bool {
        self.asked_fs.is_some() && !self.is_left_out()
    }

    /// Whether the case leaves it out: its whole face lies below the ground that is judged.
    #[must_use]
    pub fn is_left_out(&self) -> bool {
        self.unjudged == Some(Unjudged::BelowJudgedGround)
    }
}

/// How a case stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdicts {
    /// Every wedge of the drive, in the order of a check.
    pub wedges: Vec<Stands>,
    /// Those at the face.
    pub face: Vec<Stands>,
    /// What is short at a stage of the cycle where bolts can meet a wedge, least margin first; what stands in the whole
    /// pattern the wedges say themselves. The factor of a piece is that of one that was found, and another may have less.
    pub at_stages: Vec<Lack>,
    /// Whether [`super::lacks()`] of a check would find nothing; wedges at the face stand beside.
    pub holds_everything: bool,
    /// What geometry and case leave to be said beside, as a check has it.
    pub warnings: Vec<Warning>,
    /// [`super::margin()`] of a check: the least ratio of factor to what is asked.
    pub margin: f64,
}

impl Verdicts {
    /// Whether nothing is short or not judged: no wedge of the drive or at the face, at no stage.
    #[must_use]
    pub fn is_all_held(&self) -> bool {
        self.holds_everything && self.every().filter(|w| !w.is_left_out()).all(|w| w.verdict == Verdict::Held)
    }

    /// The wedges of the drive, then those at the face.
    pub fn every(&self) -> impl Iterator<Item = &Stands> {
        self.wedges.iter().chain(&self.face)
    }
}

/// How a case stands: the verdicts that [`super::check()`] gives of each wedge of the drive and at the face, and at each
/// stage, and the least margin. It takes a fraction of the time, since a wedge is searched no further than to know on which
/// side of what is asked its least piece lies; only that with the least margin is searched to the end. Not looked at:
/// how factors go with size, what slips between bolts, surface support by itself, changes, a stretch as built.
///
/// # Errors
/// As [`super::check()`].
pub fn verdicts(case: &Case) -> Result<Verdicts, CheckError> {
    let check = all_but_pieces(case)?;
    let (standing, face) = rayon::join(
        || standing_of(case, &check, &|_| Vec::new(), &|_| false, true),
        || {
            let mut face = at_face(case, &check);
            face.iter_mut().for_each(|wedge| wedge.decide(case));
            face
        },
    );
    let Standing { wedges, mut at_stages, holds_everything, margin } = standing;
    // Stable: of equals the first in the order of the check.
    at_stages.sort_by(|a, b| a.margin().total_cmp(&b.margin()));
    Ok(Verdicts {
        wedges,
        face: face.iter().map(Stands::decided).collect(),
        at_stages,
        holds_everything,
        warnings: check.warnings,
        margin,
    })
}
