//! What a checked case lacks: the one place that says what "holds everything" asks for.

use super::checked::{Decided, DecidedBy};
use super::{Check, CheckedWedge, Place, Stage, StageRow, Stages, Verdict, Whole};
use crate::opening::Surface;
use crate::support::Carrier;

/// What is asked of a wedge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LackOf {
    /// Its criterion, for each of its pieces; what the factor that decides comes from.
    Pieces(DecidedBy),
    /// The criterion at a stage of the cycle, where bolts can meet the wedge.
    Stage(Stage, Place),
    /// A wedge of which nothing is said.
    NotJudged,
}

impl LackOf {
    /// The words that tables use.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::Pieces(by) => by.name().into(),
            Self::Stage(stage, place) => format!("{}, {}", stage.name(), place.name()),
            Self::NotJudged => "not judged".into(),
        }
    }
}

/// Something that is asked of a wedge, and what there is: in a list of lacks it is not met.
#[derive(Debug, Clone, PartialEq)]
pub struct Lack {
    /// What is asked.
    pub of: LackOf,
    /// Id of the wedge.
    pub wedge: String,
    /// The surfaces it shows on.
    pub surfaces: Vec<Surface>,
    /// Its factor of safety; `None` where it is not judged.
    pub fs: Option<f64>,
    /// The factor that is asked.
    pub asked_fs: f64,
}

impl Lack {
    /// Factor of safety over what is asked; 0 where nothing is judged.
    #[must_use]
    pub fn margin(&self) -> f64 {
        self.fs.map_or(0.0, |fs| fs / self.asked_fs)
    }
}

/// What is not met, least margin first; empty where everything holds.
///
/// Everything: each wedge of the drive, by the piece that is carried least; each wedge that bolts have
/// to hold across the last ring, and every one in the pattern, once bolts are in, with young resin where
/// its length is known, and with all resin set. Not asked: the bare round and ground wholly ahead of the last
/// ring, which no pattern can change, and wedges at the face, whose verdicts stand beside.
#[must_use]
pub fn lacks(whole: &Whole) -> Vec<Lack> {
    lacks_of(&whole.check, &whole.stages)
}

/// As [`lacks`], of the parts of a whole check that it rests on.
pub(super) fn lacks_of(check: &Check, stages: &Stages) -> Vec<Lack> {
    let mut found = asked(check, stages);
    // What is short in the whole pattern has been said of the wedge itself.
    let short: Vec<String> = check
        .wedges
        .iter()
        .filter(|w| w.decided.verdict == Verdict::Short)
        .map(|w| w.wedge.id.clone())
        .collect();
    let said =
        |l: &Lack| l.of == LackOf::Stage(Stage::WholePattern, Place::InPattern) && short.contains(&l.wedge);
    found.retain(|(lack, verdict)| *verdict != Verdict::Held && !said(lack));
    found.into_iter().map(|(lack, _)| lack).collect()
}

/// What has the least margin of all that [`lacks()`] looks at, met or not; `None` where nothing moves.
#[must_use]
pub fn tightest(whole: &Whole) -> Option<Lack> {
    tightest_of(&whole.check, &whole.stages)
}

/// As [`tightest`], of the parts of a whole check that it rests on.
pub(super) fn tightest_of(check: &Check, stages: &Stages) -> Option<Lack> {
    asked(check, stages).into_iter().next().map(|(lack, _)| lack)
}

/// The least ratio of factor of safety to what is asked, over all that [`lacks()`] looks at: 1 or more
/// where everything holds, 0 where something is not judged, infinite where nothing moves.
#[must_use]
pub fn margin(whole: &Whole) -> f64 {
    margin_of(&whole.check, &whole.stages)
}

/// As [`margin`], of the parts of a whole check that it rests on.
pub(super) fn margin_of(check: &Check, stages: &Stages) -> f64 {
    asked(check, stages).first().map_or(f64::INFINITY, |(lack, _)| lack.margin())
}

/// All that is asked, least margin first; of equals the first in the order of the check.
fn asked(check: &Check, stages: &Stages) -> Vec<(Lack, Verdict)> {
    let mut all: Vec<(Lack, Verdict)> = check.wedges.iter().filter_map(of_wedge).collect();
    for row in stages.rows.iter().filter(|r| bolts_can_meet(r)) {
        let wedge = check.wedges.iter().find(|w| w.wedge.id == row.wedge);
        // Across the last ring bolts are asked of those wedges alone that they have to hold.
        let others = wedge.is_some_and(|w| {
            w.decided.verdict == Verdict::Held && !w.decided.held_by.contains(&Carrier::Bolts)
        });
        if row.place == Place::Across && others {
            continue;
        }
        if let Some(asked_fs) = row.criterion_fs {
            all.push((of_row(row, wedge, asked_fs), row.verdict));
        }
    }
    all.sort_by(|a, b| a.0.margin().total_cmp(&b.0.margin()));
    all
}

/// What a row of the stages asks of its wedge.
pub(super) fn of_row(row: &StageRow, wedge: Option<&CheckedWedge>, asked_fs: f64) -> Lack {
    Lack {
        of: LackOf::Stage(row.stage, row.place),
        wedge: row.wedge.clone(),
        surfaces: wedge.map(|w| w.wedge.surfaces.clone()).unwrap_or_default(),
        fs: Some(row.fs),
        asked_fs,
    }
}

/// What is asked of a wedge of the drive, and what is said of it; `None` where nothing is.
pub(super) fn of_wedge(wedge: &CheckedWedge) -> Option<(Lack, Verdict)> {
    let Decided { criterion_fs, verdict, fs, by, .. } = &wedge.decided;
    let of = match (verdict, by) {
        (Verdict::NotJudged, _) | (_, None) => LackOf::NotJudged,
        (_, Some(by)) => LackOf::Pieces(*by),
    };
    // Pieces that are for the bar alone, and those below the ground that is judged, ask nothing of support.
    if *verdict == Verdict::Held && fs.is_none() || wedge.decided.is_left_out() {
        return None;
    }
    let lack = Lack {
        of,
        wedge: wedge.wedge.id.clone(),
        surfaces: wedge.wedge.surfaces.clone(),
        fs: fs.filter(|_| *verdict != Verdict::NotJudged),
        asked_fs: (*criterion_fs)?,
    };
    Some((lack, *verdict))
}

/// Whether a row of the stages is one that a pattern can change.
pub(super) fn bolts_can_meet(row: &StageRow) -> bool {
    row.stage != Stage::FreshRound && matches!(row.place, Place::Across | Place::InPattern)
}
