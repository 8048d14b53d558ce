//! What a checked case lacks: the one place that says what "holds everything" asks for.

use super::{CheckedWedge, Place, Stage, StageRow, Verdict, Whole};
use crate::opening::Surface;
use crate::stability::Mode;

/// What is asked of a wedge.
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
/// Everything: each wedge of the drive at its governing size, falling wedges with moments in
/// balance too; the surface support where its capacity is given; each wedge across the last ring and
/// in the pattern once bolts are in, with young resin where its length is known, and with all resin
/// set. Not asked, because no pattern can change it: the bare round, ground wholly ahead of the last
/// ring, wedges at the face.
#[must_use]
pub fn lacks(whole: &Whole) -> Vec<Lack> {
    let mut found = asked(whole);
    // What is short in the whole pattern has been said of the wedge itself.
    let short: Vec<String> = whole
        .check
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
    asked(whole).into_iter().next().map(|(lack, _)| lack)
}

/// The least ratio of factor of safety to what is asked, over all that [`lacks()`] looks at: 1 or more
/// where everything holds, 0 where something is not judged, infinite where nothing moves.
#[must_use]
pub fn margin(whole: &Whole) -> f64 {
    tightest(whole).map_or(f64::INFINITY, |lack| lack.margin())
}

/// All that is asked, least margin first; of equals the first in the order of the check.
fn asked(whole: &Whole) -> Vec<(Lack, Verdict)> {
    let mut all: Vec<(Lack, Verdict)> = whole.check.wedges.iter().filter_map(of_wedge).collect();
    let judged = whole.beside.surface.duty.iter().filter(|d| d.fs.is_some());
    for duty in judged.filter(|d| d.verdict != Verdict::NotJudged) {
        let lack = Lack {
            of: LackOf::Screen,
            wedge: duty.wedge.clone(),
            surfaces: vec![duty.surface],
            fs: duty.fs,
            asked_fs: duty.criterion_fs,
        };
        all.push((lack, duty.verdict));
    }
    for row in whole.stages.rows.iter().filter(|r| bolts_can_meet(r)) {
        let wedge = whole.check.wedges.iter().find(|w| w.wedge.id == row.wedge);
        if let Some(asked_fs) = row.criterion_fs {
            let lack = Lack {
                of: LackOf::Stage(row.stage, row.place),
                wedge: row.wedge.clone(),
                surfaces: wedge.map(|w| w.wedge.surfaces.clone()).unwrap_or_default(),
                fs: Some(row.fs),
                asked_fs,
            };
            all.push((lack, row.verdict));
        }
    }
    all.sort_by(|a, b| a.0.margin().total_cmp(&b.0.margin()));
    all
}

fn of_wedge(wedge: &CheckedWedge) -> Option<(Lack, Verdict)> {
    let asked_fs = wedge.decided.criterion_fs?;
    let of = match (wedge.decided.verdict, wedge.wedge.stability.motion.mode) {
        (Verdict::NotJudged, _) => LackOf::NotJudged,
        _ if wedge.rotation_decides() => LackOf::Rotation,
        (_, Mode::Falling) => LackOf::Falling,
        _ => LackOf::Sliding,
    };
    let fs = (wedge.decided.verdict != Verdict::NotJudged).then(|| wedge.deciding_fs());
    let lack =
        Lack { of, wedge: wedge.wedge.id.clone(), surfaces: wedge.wedge.surfaces.clone(), fs, asked_fs };
    Some((lack, wedge.decided.verdict))
}

/// Whether a row of the stages is one that a pattern can change.
pub(super) fn bolts_can_meet(row: &StageRow) -> bool {
    row.stage != Stage::FreshRound && matches!(row.place, Place::Across | Place::InPattern)
}
