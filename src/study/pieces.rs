//! Of every wedge the piece that is carried least: any size, any place, any carrier.

use rayon::prelude::*;

use super::{Check, CheckedWedge, LEAST_VOLUME_M3, Verdict};
use crate::case::Case;
use crate::opening::Surface;
use crate::support::{
    Covering, Decision, Layout, LeastPiece, PieceAt, Pieces, Positions, Span, Uncarried, ground_of, joined,
};

/// The surfaces that are judged: over people and beside them.
const JUDGED: [Surface; 3] = [Surface::Back, Surface::LeftWall, Surface::RightWall];

/// The piece of one wedge's pyramid that is carried least.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceOf {
    /// Id of the wedge.
    pub wedge: String,
    /// The piece; `None` where none is looked at: what would have to carry them all is not entered, or
    /// they are for the scaling bar.
    pub least: Option<LeastPiece>,
    /// Whether there is a piece that nothing entered is on, which `least` leaves out.
    pub uncarried: Uncarried,
}

/// What is decided of the pieces of one wedge's pyramid.
#[derive(Debug, Clone, PartialEq)]
pub struct DecidedPieces {
    /// Id of the wedge.
    pub wedge: String,
    /// Whether each piece is carried.
    pub decision: Decision,
}

impl PieceOf {
    /// What the bracket says against a criterion: held where no piece is below it, not judged where no
    /// piece was looked at.
    #[must_use]
    pub fn verdict(&self, asked_fs: Option<f64>) -> Verdict {
        self.least.as_ref().map_or(Verdict::NotJudged, |least| Verdict::of(least.fs_at_least, asked_fs))
    }
}

/// For every wedge of the drive that moves and is held against bolts, the piece of its pyramid that is
/// carried least: of every size that the caps allow, wherever it can sit, by the best of what may carry
/// it. Collars count where they are sure within the case's tolerance. Wedges that structures hold in one
/// place are left out. `check` is what [`super::forces_alone()`] found for `case`.
#[must_use]
pub fn pieces(case: &Case, check: &Check) -> Vec<PieceOf> {
    of_each(case, check, |wedge, pieces| {
        let found = pieces.least();
        PieceOf { wedge: wedge.wedge.id.clone(), least: found.least, uncarried: found.uncarried }
    })
}

/// As [`pieces()`], whether each piece is carried and no more: much sooner. `tried_first` are pieces of a
/// wedge (by its id) that may well be short, such as those that were under a similar pattern.
#[must_use]
pub fn decide_pieces(
    case: &Case,
    check: &Check,
    tried_first: &(dyn Fn(&str) -> Vec<PieceAt> + Sync),
) -> Vec<DecidedPieces> {
    of_each(case, check, |wedge, pieces| {
        let wedge = wedge.wedge.id.clone();
        DecidedPieces { decision: pieces.decision(&tried_first(&wedge)), wedge }
    })
}

/// What `ask` says of the pieces of each wedge.
fn of_each<T: Send>(case: &Case, check: &Check, ask: impl Fn(&CheckedWedge, &Pieces) -> T + Sync) -> Vec<T> {
    let section = &check.opening.section;
    let within: Option<Vec<Layout>> = case
        .installation
        .collar_tolerance_m
        .map(|m| check.layouts.iter().map(|l| l.within(m, section)).collect());
    let layouts = within.as_deref().unwrap_or(&check.layouts);
    // Collected in the order of the check, whatever the number of threads.
    check.wedges.par_iter().filter_map(|wedge| of_wedge(case, check, layouts, wedge, &ask)).collect()
}

fn of_wedge<T>(
    case: &Case,
    check: &Check,
    layouts: &[Layout],
    wedge: &CheckedWedge,
    ask: impl Fn(&CheckedWedge, &Pieces) -> T,
) -> Option<T> {
    let asked_fs = wedge.decided.criterion_fs?;
    wedge.placement()?;
    if wedge.is_fixed(case) {
        return None;
    }
    let seat = check.seat(case, wedge)?;
    let (chain, opening) = (seat.chain(), &check.opening);
    let over = |surface: Surface| ground_of(chain, opening, surface);
    let judged: Vec<Span> = joined(JUDGED.into_iter().flat_map(over).collect());
    let coverings: Vec<Covering> = case
        .surface_support
        .iter()
        .map(|support| {
            let covered = |surface: Surface| support.covered_ground(chain, opening, surface);
            Covering { support, spans: joined(JUDGED.into_iter().flat_map(covered).collect()) }
        })
        .collect();
    let judge = |foot: &crate::wedge::Footprint| seat.stability(foot);
    let pieces = Pieces {
        positions: Positions { layouts, ..seat.positions() },
        judge: &judge,
        asked_fs,
        coverings: &coverings,
        judged: &judged,
        bar_m3: case.criteria.scaling_up_to_m3,
        least_m3: LEAST_VOLUME_M3,
    };
    Some(ask(wedge, &pieces))
}
