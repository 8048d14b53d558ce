//! A case whose support was changed, judged on the wedges of the case that it was changed from: what a
//! search over many of them asks.

use super::forces::{Moments, check_one, forces_alone};
use super::judgement::Judging;
use super::seat::{Drive, Seat};
use super::{Check, CheckError, CheckedWedge, Verdict, as_installed, decided, installed, judge};
use crate::case::Case;
use crate::support::{Layout, PieceAt};
use crate::wedge::ON_FACE_M;

/// Most bad pieces that searches keep of one wedge.
pub(super) const MOST_KNOWN: usize = 8;

/// A collar this near a face counts as on it here: above what the searches allow for rounding.
const BESIDE_FACE_M: f64 = 4.0 * ON_FACE_M;

/// A piece that was carried too little under some support.
#[derive(Debug, Clone)]
pub(super) struct Known {
    /// The piece.
    pub piece: PieceAt,
    /// Its factor over what is asked, then.
    pub margin: f64,
}

impl Known {
    /// The piece that decides on a checked wedge.
    pub fn of(wedge: &CheckedWedge) -> Option<Self> {
        let piece = wedge.least_piece()?.at();
        Some(Self { piece, margin: wedge.decided.margin() })
    }
}

/// The stretch of the perimeter that faces of a wedge's pieces can take.
#[derive(Debug, Clone, Copy)]
pub(super) struct FaceSpan {
    /// Where it is counted from, metres along the perimeter.
    offset_m: f64,
    perimeter_m: f64,
    from_m: f64,
    to_m: f64,
}

impl FaceSpan {
    /// Whether some collar of a layout, where it is drawn, can be on the face of some piece.
    pub fn meets(&self, layout: &Layout) -> bool {
        let on_face = |m: f64| m >= self.from_m - BESIDE_FACE_M && m <= self.to_m + BESIDE_FACE_M;
        layout.rows.iter().any(|row| {
            let along_m = (row.collar.along_m - self.offset_m).rem_euclid(self.perimeter_m);
            // A collar a hair before where it is counted from stands at the end of the perimeter.
            on_face(along_m) || on_face(along_m - self.perimeter_m)
        })
    }
}

/// The wedges of a case, whatever supports it.
pub(super) struct Wedges {
    wedges: Vec<CheckedWedge>,
}

impl Wedges {
    /// The wedges of a case that move, what it leaves out among them.
    ///
    /// # Errors
    /// As [`forces_alone`].
    pub fn of(case: &Case) -> Result<Self, CheckError> {
        let bare = Case { patterns: Vec::new(), ..case.clone() };
        Ok(Self::of_check(&forces_alone(&bare)?))
    }

    /// Those of a check that count: what the case leaves out is not judged under any support.
    pub fn of_check(check: &Check) -> Self {
        Self { wedges: check.wedges.iter().filter(|w| w.decided.counts()).cloned().collect() }
    }

    pub fn ids(&self) -> impl Iterator<Item = &str> {
        self.wedges.iter().map(|w| w.wedge.id.as_str())
    }

    /// Place of a wedge in the list.
    pub fn at(&self, id: &str) -> Option<usize> {
        self.ids().position(|i| i == id)
    }

    /// Whether structures hold the wedge at a place in one place.
    pub fn is_fixed(&self, at: usize) -> bool {
        self.wedges[at].is_fixed()
    }

    /// Id of the wedge at a place.
    pub fn id(&self, at: usize) -> &str {
        &self.wedges[at].wedge.id
    }

    /// Where faces of the pieces of the wedge at a place can be; `None` where that is not known.
    pub fn face_span(&self, drive: Drive, at: usize) -> Option<FaceSpan> {
        let seat = Seat::of_wedge(drive, &self.wedges[at])?;
        let (from_m, to_m) = seat.frontier().span_m();
        let perimeter_m = drive.opening.section.perimeter_m();
        Some(FaceSpan { offset_m: seat.chain().offset_m(), perimeter_m, from_m, to_m })
    }

    pub fn nothing_known(&self) -> Vec<Vec<Known>> {
        vec![Vec::new(); self.wedges.len()]
    }

    /// What is said of one wedge where a stronger support was found not to hold it: short where a known piece says
    /// so, else not judged, without a search.
    pub fn verdict_below(&self, judging: &Judging, at: usize, known: &[Known]) -> (Verdict, Option<Known>) {
        let short =
            |known: &&Known| judging.is_short_of(&self.wedges[at], std::slice::from_ref(&known.piece));
        match known.iter().rev().find(short) {
            Some(known) => (Verdict::Short, Some(known.clone())),
            None => (Verdict::NotJudged, None),
        }
    }

    /// Whether a piece that is known of one wedge is short under the support that `judging` judges by.
    pub fn is_known_short(&self, judging: &Judging, at: usize, known: &[Known]) -> bool {
        judging.is_short_of(&self.wedges[at], &last_first(known))
    }

    /// What is said of one wedge under the support that `judging` judges by, and the piece that says it where
    /// it is short.
    pub fn verdict(
        &self,
        judging: &Judging,
        at: usize,
        known: &[Known],
    ) -> Result<(Verdict, Option<Known>), CheckError> {
        let (case, wedge) = (judging.case(), &self.wedges[at]);
        let asked_fs = wedge.decided.criterion_fs;
        match judging.verdict(wedge, &last_first(known)) {
            Some((verdict, piece)) => {
                let margin = |fs: f64| asked_fs.map_or(f64::INFINITY, |asked| fs / asked);
                Ok((verdict, piece.map(|piece| Known { margin: margin(piece.fs), piece: piece.at })))
            }
            None => {
                let of = Some((wedge.wedge.sets, wedge.wedge.pyramid));
                // Forces alone first: they take less time, and what they leave short moments do not mend.
                let fast = check_one(case, of, Moments::No)?;
                let said = decided(case, judge(case, fast, Vec::new()));
                let verdict =
                    |check: &Check| check.wedges.first().map_or(Verdict::Held, |w| w.decided.verdict);
                if verdict(&said) != Verdict::Held {
                    return Ok((verdict(&said), None));
                }
                let alone = check_one(case, of, Moments::OfAll)?;
                let found = installed(case, &alone);
                let alone = decided(case, judge(case, as_installed(alone, found), Vec::new()));
                Ok((verdict(&alone), None))
            }
        }
    }
}

/// Known pieces, the last one found first.
fn last_first(known: &[Known]) -> Vec<PieceAt> {
    known.iter().rev().map(|k| k.piece.clone()).collect()
}

/// Keeps a bad piece among at most so many: the last ones serve best, since candidates are ordered.
pub(super) fn keep(known: &mut Vec<Known>, piece: Known, most: usize) {
    known.push(piece);
    if known.len() > most {
        known.remove(0);
    }
}
