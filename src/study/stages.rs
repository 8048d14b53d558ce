use rayon::prelude::*;
use serde::Serialize;

use super::judgement::Judging;
use super::seat::criterion_fs;
use super::wedges::limits;
use super::{Check, CheckedWedge, LEAST_VOLUME_M3, LONGEST_PLACED_M, Verdict};
use crate::case::Case;
use crate::stability::{Mode, Stability};
use crate::support::{Body, Bolt, Covered, FaceSupport, Pattern, PatternEnd};
use crate::wedge::{Across, Limits, Shape};

/// Places across a band of equally large wedges at which one is laid across the last ring, besides the
/// one that is shown and the worst one in the pattern.
const ACROSS_PLACES: usize = 40;

/// Moments of the cycle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Stage {
    /// The round is out, nothing is bolted in it yet.
    #[serde(rename = "fresh round")]
    FreshRound,
    /// Bolted up to the last ring, only fast resin has set.
    #[serde(rename = "young resin")]
    YoungResin,
    /// Bolted up to the last ring, all resin has set.
    #[serde(rename = "whole pattern")]
    WholePattern,
    /// The same with the bolts in the face, before the next round is drilled and blasts them away.
    #[serde(rename = "face bolted")]
    FaceBolted,
}

impl Stage {
    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::FreshRound => "fresh round",
            Self::YoungResin => "young resin",
            Self::WholePattern => "whole pattern",
            Self::FaceBolted => "face bolted",
        }
    }
}

/// Where along the drive a wedge is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Place {
    /// Wholly ahead of the last ring: no bolt can meet it.
    #[serde(rename = "ahead of last ring")]
    Ahead,
    /// At the face.
    #[serde(rename = "face")]
    Face,
    /// Partly under bolts, partly ahead of the last ring.
    #[serde(rename = "across last ring")]
    Across,
    /// Anywhere in the pattern, far from its end.
    #[serde(rename = "in pattern")]
    InPattern,
}

impl Place {
    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Ahead => "ahead of last ring",
            Self::Face => "face",
            Self::Across => "across last ring",
            Self::InPattern => "in pattern",
        }
    }
}

/// A wedge at one stage and place.
#[derive(Debug, Clone, PartialEq)]
pub struct StageRow {
    /// The stage.
    pub stage: Stage,
    /// Where the wedge is.
    pub place: Place,
    /// Id of the wedge.
    pub wedge: String,
    /// From the last ring to the face at this stage, metres.
    pub unsupported_length_m: f64,
    /// Extent along the drive, metres.
    pub length_m: f64,
    /// Cubic metres.
    pub volume_m3: f64,
    /// kN.
    pub weight_kn: f64,
    /// How it moves.
    pub mode: Mode,
    /// Least factor of safety with what supports it at this stage.
    pub fs: f64,
    /// How many bolts cross it where that is.
    pub bolts_serving: usize,
    /// What is asked; `None` where it does not move.
    pub criterion_fs: Option<f64>,
    /// What is said of it.
    pub verdict: Verdict,
    /// Its corners from the face, local (u, s, v), for drawing; where it stands free along the drive
    /// it is drawn at the face.
    pub shape: Shape,
    /// Where its apex is drawn, metres from the face.
    pub apex_from_face_m: f64,
}

/// The pattern whose ring spacing stands for a last ring that is not known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AssumedFrom {
    /// Its index in the case's list.
    pub pattern: usize,
    /// Name of its bolt.
    pub bolt: String,
    /// Whether the case has another pattern.
    pub is_one_of_several: bool,
}

/// What stands unsupported, and what the support carries, from round to round.
#[derive(Debug, Clone, PartialEq)]
pub struct Stages {
    /// Length of a round, metres.
    pub round_length_m: f64,
    /// From the last ring to the face once a round is bolted, metres; 0 without a pattern, where
    /// nothing is.
    pub last_ring_m: f64,
    /// Where that was assumed: the pattern whose ring spacing it is.
    pub assumed_from: Option<AssumedFrom>,
    /// Whether young resin was looked at: some bolt says how much of it is fast.
    pub young: bool,
    /// Stages in order, in each the places in order, in each the wedges in the order of the check.
    pub rows: Vec<StageRow>,
}

impl Stages {
    /// From the last ring to the face once a round is out and before it is bolted, metres.
    #[must_use]
    pub fn fresh_length_m(&self) -> f64 {
        self.round_length_m + self.last_ring_m
    }

    /// From the last ring to the face at a stage, metres.
    #[must_use]
    pub fn unsupported_length_m(&self, stage: Stage) -> f64 {
        if stage == Stage::FreshRound { self.fresh_length_m() } else { self.last_ring_m }
    }

    /// The heaviest wedge that can come out of fresh ground bare: wholly ahead of the last ring or
    /// at the face, less than what is asked of it.
    #[must_use]
    pub fn heaviest_fresh(&self) -> Option<&StageRow> {
        self.rows
            .iter()
            .filter(|r| r.stage == Stage::FreshRound && matches!(r.place, Place::Ahead | Place::Face))
            .filter(|r| r.bolts_serving == 0 && r.verdict == Verdict::Short)
            .reduce(|a, b| if b.weight_kn > a.weight_kn { b } else { a })
    }
}

/// What can move at each stage of the cycle, and what holds it. `check` has the wedges of the drive
/// and those at the face ([`super::face()`]).
///
/// Fresh round: bolts end a round and the last ring's distance behind the face. Young resin: they
/// end at the last ring, and every one of them holds as [`Bolt::young`] does, the older ones too.
/// Whole pattern: the same with all resin set. At each, wedges that fit ahead of the last ring are
/// bare, those at the face and those that lie across the last ring have the bolts that reach them,
/// and those deep in the pattern stand as the check found them. Stress is asked of those across the last ring and deep in
/// the pattern; ahead of the last ring and at the face it is not that of plane strain.
#[must_use]
pub fn stages(case: &Case, check: &Check) -> Stages {
    let mut found = nothing_yet(case);
    let green = young_case(case);
    let judging = found.young.then(|| Judging::of(check.drive(&green)));
    let mut at = vec![(Stage::FreshRound, case)];
    if found.young {
        at.push((Stage::YoungResin, &green));
    }
    if !case.patterns.is_empty() {
        at.push((Stage::WholePattern, case));
    }
    if !case.face_bolts.is_empty() {
        at.push((Stage::FaceBolted, case));
    }
    for (stage, case) in at {
        let now =
            Now { case, check, stage, judging: judging.as_ref(), ahead_m: found.unsupported_length_m(stage) };
        type Look<'a> = fn(&Now<'a>, &CheckedWedge) -> Option<StageRow>;
        let looks: [(&[CheckedWedge], Look); 4] = [
            (&check.wedges, Now::ahead),
            (&check.face, Now::face),
            (&check.wedges, Now::across),
            (&check.wedges, Now::in_pattern),
        ];
        // Bolts in the face reach no wedge but those there.
        let looks = if stage == Stage::FaceBolted { &looks[1..2] } else { &looks[..] };
        for &(wedges, look) in looks {
            let rows: Vec<Option<StageRow>> =
                wedges.par_iter().filter(face_passes).map(|wedge| look(&now, wedge)).collect();
            found.rows.extend(rows.into_iter().flatten());
        }
    }
    found
}

/// The face passes a structure that crosses the drive; other fixed wedges stay where they are.
pub(super) fn face_passes(wedge: &&CheckedWedge) -> bool {
    wedge.wedge.located.is_none_or(|l| l.across == Across::Anywhere)
}

/// The rows of [`stages`] that [`super::lacks()`] asks for and that hang on no piece: what lies across the
/// last ring, and wedges whose pieces are not looked at, with young resin and with all of it set.
pub(super) fn without_pieces(case: &Case, check: &Check, judging: &Judging) -> Vec<StageRow> {
    let found = nothing_yet(case);
    let green = young_case(case);
    let mut at = Vec::new();
    if found.young {
        at.push((Stage::YoungResin, &green));
    }
    if !case.patterns.is_empty() {
        at.push((Stage::WholePattern, case));
    }
    let mut rows = Vec::new();
    for (stage, case) in at {
        let now = Now { case, check, stage, judging: None, ahead_m: found.unsupported_length_m(stage) };
        let of_wedge = |wedge: &CheckedWedge| {
            let in_pattern = if judging.looks_at(wedge) { None } else { now.as_one(wedge) };
            [now.across(wedge), in_pattern]
        };
        // Collected in the order of the check, whatever the number of threads.
        let all: Vec<[Option<StageRow>; 2]> =
            check.wedges.par_iter().filter(face_passes).map(of_wedge).collect();
        rows.extend(all.into_iter().flatten().flatten());
    }
    rows
}

/// The case while only fast resin has set; the same where no bolt says how much of it is fast.
pub(super) fn young_case(case: &Case) -> Case {
    Case { bolts: case.bolts.iter().map(Bolt::young).collect(), ..case.clone() }
}

/// Lengths and what is looked at, no row yet.
fn nothing_yet(case: &Case) -> Stages {
    let closest = closest_rings(&case.patterns);
    let last_ring_m = closest
        .map_or(0.0, |pattern| case.last_ring_from_face_m.unwrap_or(case.patterns[pattern].ring_spacing_m));
    let assumed = closest.filter(|_| case.last_ring_from_face_m.is_none());
    Stages {
        round_length_m: case.round_length_m,
        last_ring_m,
        assumed_from: assumed.map(|pattern| AssumedFrom {
            pattern,
            bolt: case.bolts[case.patterns[pattern].bolt].name.clone(),
            is_one_of_several: case.patterns.len() > 1,
        }),
        young: has_young(case),
        rows: Vec::new(),
    }
}

/// Whether some bolt that is drilled says how much of it is fast.
pub(super) fn has_young(case: &Case) -> bool {
    case.patterns.iter().any(|p| case.bolts[p.bolt].fast_length_m.is_some())
}

/// The pattern whose rings follow each other closest, of those that cover the back where any does: it
/// goes up to the face with the round, and wider ones, cables above all, are set behind it.
pub(super) fn closest_rings<'p>(patterns: impl IntoIterator<Item = &'p Pattern>) -> Option<usize> {
    let all: Vec<&Pattern> = patterns.into_iter().collect();
    let of_back = |p: &usize| all[*p].covers.contains(&Covered::Back);
    let closer = |a: usize, b: usize| if all[b].ring_spacing_m < all[a].ring_spacing_m { b } else { a };
    let every = 0..all.len();
    every.clone().filter(of_back).reduce(closer).or_else(|| every.reduce(closer))
}

/// One stage.
struct Now<'a> {
    /// With what the bolts hold at the stage.
    case: &'a Case,
    check: &'a Check,
    stage: Stage,
    /// The drive with young bolts.
    judging: Option<&'a Judging<'a>>,
    /// From the last ring to the face.
    ahead_m: f64,
}

impl<'a> Now<'a> {
    fn row(
        &self,
        (place, wedge): (Place, &CheckedWedge),
        shape: Shape,
        stability: &Stability,
        (fs, bolts_serving): (f64, usize),
        apex_from_face_m: f64,
    ) -> StageRow {
        let mut criterion_fs = criterion_fs(self.case, stability.motion.mode);
        if self.case.site.pressing().is_some() {
            // Pieces of its pyramid may move otherwise: what is asked of them is asked of it.
            criterion_fs = criterion_fs.map(|own| own.max(wedge.decided.criterion_fs.unwrap_or(own)));
        }
        StageRow {
            stage: self.stage,
            place,
            wedge: wedge.wedge.id.clone(),
            unsupported_length_m: self.ahead_m,
            length_m: shape.length_m,
            volume_m3: shape.volume_m3,
            weight_kn: shape.volume_m3 * self.case.unit_weight_kn_m3,
            mode: stability.motion.mode,
            fs,
            bolts_serving,
            criterion_fs,
            verdict: Verdict::of(fs, criterion_fs),
            shape,
            apex_from_face_m,
        }
    }

    fn support(&self) -> (&'a [crate::support::Pattern], &'a [crate::support::Layout], &'a [Bolt]) {
        (&self.case.patterns, &self.check.layouts, &self.case.bolts)
    }

    /// The largest wedge of a pyramid that fits ahead of the last ring, bare.
    fn ahead(&self, wedge: &CheckedWedge) -> Option<StageRow> {
        if self.ahead_m <= 0.0 {
            return None;
        }
        let mut caps: Limits = limits(self.case, wedge.wedge.sets);
        caps.length_m = Some(caps.length_m.map_or(self.ahead_m, |m| m.min(self.ahead_m)));
        let (shape, stability) = if wedge.wedge.shape.length_m <= self.ahead_m {
            (wedge.wedge.shape.clone(), wedge.wedge.stability)
        } else {
            let seat = self.check.seat(self.case, wedge)?.under(&caps);
            let foot = seat.most_hung(&seat.largest()?);
            (seat.shape(&foot), seat.stability(&foot))
        };
        if shape.volume_m3 < LEAST_VOLUME_M3 {
            return None;
        }
        let front_m = front_m(&shape);
        Some(self.row((Place::Ahead, wedge), shape, &stability, (stability.fs_bare(), 0), -front_m))
    }

    /// A wedge at the face with the bolts that reach it: of its pieces the one that is carried least once all
    /// is in that supports the face, before that the largest with the rings alone.
    fn face(&self, wedge: &CheckedWedge) -> Option<StageRow> {
        let last = if self.case.face_bolts.is_empty() { Stage::WholePattern } else { Stage::FaceBolted };
        if let (true, Some(piece)) = (self.stage == last, wedge.face_piece()) {
            let found = (piece.fs, piece.worst.serving.len());
            let row = self.row((Place::Face, wedge), piece.shape.clone(), &piece.stability, found, 0.0);
            return Some(StageRow { verdict: wedge.decided.verdict, ..row });
        }
        let shape = wedge.worst_shape().clone();
        let section = &self.check.opening.section;
        let end = PatternEnd::at_face(
            section,
            &shape.apex,
            &wedge.wedge.cone,
            wedge.wedge.stability,
            self.support(),
            &FaceSupport::none(&self.case.bolts),
        );
        let at_m = shape.apex.y + self.ahead_m;
        let placed = end.least(at_m, at_m);
        let fs = if wedge.decided.criterion_fs.is_none() { f64::INFINITY } else { placed.least_fs };
        Some(self.row((Place::Face, wedge), shape, &wedge.wedge.stability, (fs, placed.serving.len()), 0.0))
    }

    /// The largest wedge where it lies across the last ring: its front anywhere between the last
    /// ring and the face. Where all of it fits ahead, that is said there.
    fn across(&self, wedge: &CheckedWedge) -> Option<StageRow> {
        let worst = &wedge.placement()?.foot;
        if self.ahead_m <= 0.0 || wedge.worst_shape().length_m <= self.ahead_m {
            return None;
        }
        let seat = self.check.seat(self.case, wedge)?;
        let perimeter_m = self.check.opening.section.perimeter_m();
        // Which of the equally large wedges is worst hangs on where the pattern ends.
        let admissible = seat.largest()?;
        let mut feet = vec![*worst, admissible.shown];
        for band in &admissible.bands {
            let step_m = (band.to_m - band.from_m) / ACROSS_PLACES as f64;
            let places = (0..=ACROSS_PLACES).map(|i| band.from_m + step_m * i as f64);
            feet.extend(places.filter_map(|m| seat.equal_at(m, &admissible)));
        }
        let rows = feet.iter().filter_map(|foot| {
            let shape = seat.shape(foot);
            if shape.length_m <= self.ahead_m {
                return None;
            }
            let stability = seat.stability_with_stress(foot);
            let body = Body { chain: seat.chain(), cone: &wedge.wedge.cone, foot: *foot, perimeter_m };
            let end = PatternEnd::in_drive(&body, stability, self.support());
            let front_m = front_m(&shape);
            let placed = end.least(-front_m, self.ahead_m - front_m);
            let found = (placed.least_fs, placed.serving.len());
            let apex_m = placed.from_last_ring_m - self.ahead_m;
            Some(self.row((Place::Across, wedge), shape, &stability, found, apex_m))
        });
        // The first of equals.
        rows.reduce(|a, b| if b.fs < a.fs { b } else { a })
    }

    /// The piece that is carried least deep in the pattern: older ground at the first stage, so not said
    /// there.
    fn in_pattern(&self, wedge: &CheckedWedge) -> Option<StageRow> {
        let judged = match (self.stage, &wedge.found.judged) {
            (Stage::FreshRound | Stage::FaceBolted, _) => return None,
            (_, None) => return self.as_one(wedge),
            (Stage::WholePattern, Some(_)) => wedge.clone(),
            (Stage::YoungResin, Some(_)) => self.judged_young(wedge)?,
        };
        let (fs, piece) = (judged.decided.fs?, judged.deciding()?);
        let bolts = piece.serving().map_or(0, <[_]>::len);
        let (shape, stability) = (piece.wedge.shape.clone(), piece.wedge.stability);
        let apex_m = -self.ahead_m - front_m(&shape);
        let row = self.row((Place::InPattern, wedge), shape, &stability, (fs, bolts), apex_m);
        Some(StageRow { verdict: judged.decided.verdict, ..row })
    }

    /// The wedge as it is judged with young bolts.
    fn judged_young(&self, wedge: &CheckedWedge) -> Option<CheckedWedge> {
        let mut found = wedge.clone();
        found.found.judged = Some(Box::new(self.judging?.judged(wedge)?));
        found.decide(self.case);
        Some(found)
    }

    /// A wedge that structures hold in one place, deep in the pattern.
    fn as_one(&self, wedge: &CheckedWedge) -> Option<StageRow> {
        let placement = wedge.placement()?;
        let found = match self.stage {
            Stage::FreshRound | Stage::FaceBolted => return None,
            Stage::WholePattern => (placement.least_fs, placement.serving.len()),
            Stage::YoungResin => self.young(wedge)?,
        };
        let found = self.under_stress(wedge, found);
        let shape = wedge.worst_shape().clone();
        // Drawn behind the last ring.
        let apex_m = -self.ahead_m - front_m(&shape);
        Some(self.row((Place::InPattern, wedge), shape, &wedge.wedge.stability, found, apex_m))
    }

    /// A factor and its bolts, or those of what stress leaves carried less.
    fn under_stress(&self, wedge: &CheckedWedge, without: (f64, usize)) -> (f64, usize) {
        if self.case.site.stress.is_none() {
            return without;
        }
        let under = Judging::of(self.check.drive(self.case)).under_stress(wedge);
        let least = under.and_then(|under| under.least);
        least.filter(|least| least.fs < without.0).map_or(without, |least| (least.fs, least.bolts))
    }

    /// The least factor with young bolts over all placements.
    fn young(&self, wedge: &CheckedWedge) -> Option<(f64, usize)> {
        let seat = self.check.seat(self.case, wedge)?;
        debug_assert!(wedge.wedge.shape.length_m <= LONGEST_PLACED_M);
        let placed = seat.place(&seat.positions(), &seat.largest()?);
        Some((placed.least_fs, placed.serving.len()))
    }
}

/// How far a wedge reaches ahead of s = 0 of its own frame, metres.
fn front_m(shape: &Shape) -> f64 {
    shape.vertices().iter().map(|v| v.y).fold(f64::NEG_INFINITY, f64::max)
}
