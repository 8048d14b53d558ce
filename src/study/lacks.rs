//! What a checked case lacks: the one place that says what "holds everything" asks for.

use super::{CheckedWedge, Place, Stage, StageRow, Verdict, Whole};
use crate::opening::Surface;
use crate::stability::Mode;

/// What is not met.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LackOf {
    /// The criterion of a falling wedge, by forces.
    Falling,
    /// The criterion of a sliding wedge.
    Sliding,
    /// The criterion of a falling wedge with moments in balance.
    Rotation,
    /// What the surface support has to carry between the bolts.
    Screen,
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
            Self::Falling => "falling".into(),
            Self::Sliding => "sliding".into(),
            Self::Rotation => "rotation".into(),
            Self::Screen => "screen".into(),
            Self::Stage(stage, place) => format!("{}, {}", stage.name(), place.name()),
            Self::NotJudged => "not judged".into(),
        }
    }
}

/// A wedge that does not meet what is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Lack {
    /// What it does not meet.
    pub of: LackOf,
    /// Id of the wedge.
    pub wedge: String,
    /// The surfaces it shows on.
    pub surfaces: Vec<Surface>,
    /// Its factor of safety; `None` where it is not judged.
    pub fs: Option<f64>,
    /// What is asked.
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
/// Everything: each wedge of the drive at its governing size, falling wedges with moments in
/// balance too; the surface support where its capacity is given; each wedge across the last ring and
/// in the pattern once bolts are in, with young resin where its length is known, and with all resin
/// set. Not asked, because no pattern can change it: the bare round, ground wholly ahead of the last
/// ring, wedges at the face.
#[must_use]
pub fn lacks(whole: &Whole) -> Vec<Lack> {
    let mut found: Vec<Lack> = whole.check.wedges.iter().filter_map(of_wedge).collect();
    for duty in whole.beside.surface.duty.iter().filter(|d| d.verdict == Verdict::Short) {
        found.push(Lack {
            of: LackOf::Screen,
            wedge: duty.wedge.clone(),
            surfaces: vec![duty.surface],
            fs: duty.fs,
            asked_fs: duty.criterion_fs,
        });
    }
    for row in whole.stages.rows.iter().filter(|r| bolts_can_meet(r)) {
        let wedge = whole.check.wedges.iter().find(|w| w.id == row.wedge);
        // What is short in the whole pattern has been said of the wedge itself.
        let said = wedge.is_some_and(|w| w.verdict == Verdict::Short)
            && (row.stage, row.place) == (Stage::WholePattern, Place::InPattern);
        if let (Verdict::Short, Some(asked_fs), false) = (row.verdict, row.criterion_fs, said) {
            found.push(Lack {
                of: LackOf::Stage(row.stage, row.place),
                wedge: row.wedge.clone(),
                surfaces: wedge.map(|w| w.surfaces.clone()).unwrap_or_default(),
                fs: Some(row.fs),
                asked_fs,
            });
        }
    }
    // Of equals the first in the order of the check.
    found.sort_by(|a, b| a.margin().total_cmp(&b.margin()));
    found
}

fn of_wedge(wedge: &CheckedWedge) -> Option<Lack> {
    let asked_fs = wedge.criterion_fs?;
    let (of, fs) = match (wedge.verdict, wedge.stability.motion.mode) {
        (Verdict::Held, _) => return None,
        (Verdict::NotJudged, _) => (LackOf::NotJudged, None),
        (Verdict::Short, _) if wedge.rotation_decides() => (LackOf::Rotation, Some(wedge.deciding_fs())),
        (Verdict::Short, Mode::Falling) => (LackOf::Falling, Some(wedge.deciding_fs())),
        (Verdict::Short, _) => (LackOf::Sliding, Some(wedge.deciding_fs())),
    };
    Some(Lack { of, wedge: wedge.id.clone(), surfaces: wedge.surfaces.clone(), fs, asked_fs })
}

/// Whether a row of the stages is one that a pattern can change.
pub(super) fn bolts_can_meet(row: &StageRow) -> bool {
    row.stage != Stage::FreshRound && matches!(row.place, Place::Across | Place::InPattern)
}

/// The least ratio of factor of safety to what is asked, over all that [`lacks`] looks at: 1 or more
/// where everything holds, 0 where something is not judged, infinite where nothing moves.
#[must_use]
pub fn margin(whole: &Whole) -> f64 {
    let wedges = whole.check.wedges.iter().filter_map(|w| {
        let asked = w.criterion_fs?;
        Some(if w.verdict == Verdict::NotJudged { 0.0 } else { w.deciding_fs() / asked })
    });
    let duty = whole.beside.surface.duty.iter().filter_map(|d| Some(d.fs? / d.criterion_fs));
    let rows = whole.stages.rows.iter().filter(|r| bolts_can_meet(r));
    let stages = rows.filter_map(|r| Some(r.fs / r.criterion_fs?));
    wedges.chain(duty).chain(stages).fold(f64::INFINITY, f64::min)
}
