//! What could be drilled or hung otherwise, each change judged on the whole case.

mod combined;
mod edit;
mod offered;
#[cfg(all(test, feature = "files"))]
mod tests;

use std::cmp::Ordering;

use rayon::prelude::*;

pub use edit::Edit;
pub(super) use offered::{CLOSEST_RINGS_M, LENGTH_STEP_M, LONGEST_BOLT_M};

use super::check::verdicts_of_some;
use super::forces::Ground;
use super::judgement::Judging;
use super::plan::{PerMetre, per_metre};
use super::seat::Drive;
use super::standing::standing;
use super::variant::{FaceSpan, Known, MOST_KNOWN, Wedges, keep};
use super::{Check, CheckError, CheckedWedge, Steps, Unjudged, Verdict, Whole};
use crate::case::{Case, Change, PlanInputs, Stock};
use crate::support::Layout;

/// Most single changes that are listed: the best of each key, and no more than a page takes.
const MOST_LISTED: usize = 6;

/// Pieces up to this find room between any collars that a boom can drill half a metre apart, cubic metres: a
/// corner of 0.4 by 0.4 m, 0.4 m deep.
const FINDS_ROOM_M3: f64 = 0.01;

/// A change that was tried, judged on the whole case.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// What was done, in the order in which it was done.
    pub edits: Vec<Edit>,
    /// The keys that it alters, as a case file has them.
    pub keys: Vec<Change>,
    /// The case with it.
    pub case: Case,
    /// Wedges of the drive that are short after it.
    pub short: usize,
    /// Wedges of the drive that are not judged after it.
    pub not_judged: usize,
    /// Whether everything holds after it; see [`super::lacks()`].
    pub holds_everything: bool,
    /// The least ratio of factor of safety to what is asked after it; see [`super::margin()`].
    pub margin: f64,
    /// What a metre of it takes; `None` without a pattern.
    pub per_metre: Option<PerMetre>,
    /// Ids of the wedges that it turns to held.
    pub mends: Vec<String>,
    /// Ids of the wedges that it turns from held.
    pub harms: Vec<String>,
    /// Other values of the same key that mend as much, and those between them that do not: told where a
    /// step further does less.
    pub uneven: Option<Uneven>,
}

impl Tried {
    /// Cost a metre; `None` where something of it has no price.
    #[must_use]
    pub fn cost_per_m(&self) -> Option<f64> {
        self.per_metre.as_ref().and_then(|p| p.cost)
    }

    fn rank(&self) -> Rank {
        rank(self.short, self.not_judged, self.per_metre.as_ref())
    }

    /// Minutes a metre; `None` without a pattern.
    #[must_use]
    pub fn minutes_per_m(&self) -> Option<f64> {
        self.per_metre.as_ref().map(|p| p.minutes)
    }
}

/// A key of which a value further on does less than one before it.
#[derive(Debug, Clone, PartialEq)]
pub struct Uneven {
    /// Values that leave as few wedges short as the one listed, as a case file has them.
    pub do_as_much: Vec<String>,
    /// Values beyond one of those that leave more.
    pub do_less: Vec<String>,
}

/// What could be changed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Changes {
    /// Best first: those that leave fewest wedges short, then those that cost least. Single changes, the
    /// best of each key; where none of them leaves nothing short, the cheapest pair that does comes first, or
    /// a few more where no pair does. Empty where nothing is short.
    pub tried: Vec<Tried>,
    /// How many changes were judged.
    pub judged: usize,
    /// How many pairs of changes were left unasked, after many of which nobody knows.
    pub unasked: usize,
    /// Where no change that was tried leaves nothing short: what is then still missing most.
    pub still_short: Option<StillShort>,
    /// Whether not even the strongest value that was tried of every key that only adds support, all together,
    /// was found to leave every wedge held.
    pub none_can: bool,
}

/// The wedge that lacks most after the best change that was tried.
#[derive(Debug, Clone, PartialEq)]
pub struct StillShort {
    /// Id of the wedge.
    pub wedge: String,
    /// What its criterion asks of what carries it, kN.
    pub asked_kn: f64,
    /// What is missing of it, kN.
    pub lacking_kn: f64,
}

impl StillShort {
    fn of(check: &Check) -> Option<Self> {
        check.lacks_most().map(|w| Self {
            wedge: w.wedge.id.clone(),
            asked_kn: w.force_asked_kn().unwrap_or(0.0),
            lacking_kn: w.force_lacking_kn(),
        })
    }
}

/// An edit with what is said of each wedge after it.
#[derive(Debug, Clone)]
struct Judged {
    edits: Vec<Edit>,
    case: Case,
    verdicts: Vec<Verdict>,
    per_metre: Option<PerMetre>,
    /// Pieces that are short after it, wedge by wedge.
    found: Vec<Option<Known>>,
    /// Whether what is said of every wedge was found out; else those that were held before may not be so still.
    of_all: bool,
    /// Whether a search of this very case found a wedge held.
    searched: Vec<bool>,
}

impl Judged {
    fn short(&self) -> usize {
        self.verdicts.iter().filter(|&&v| v == Verdict::Short).count()
    }

    fn unjudged(&self) -> usize {
        self.verdicts.iter().filter(|&&v| v == Verdict::NotJudged).count()
    }

    fn is_all_held(&self) -> bool {
        self.verdicts.iter().all(|&v| v == Verdict::Held)
    }

    fn rank(&self) -> Rank {
        rank(self.short(), self.unjudged(), self.per_metre.as_ref())
    }

    fn better(&self, other: &Self) -> Ordering {
        by_rank(self.rank(), other.rank())
    }
}

/// What several changes do together.
#[derive(Debug, Clone)]
enum Together {
    /// Every wedge is held.
    Holds(Box<Judged>),
    /// The wedge at this place is short by a piece that was not known.
    Short(usize, Known),
    /// A wedge is not held, and no piece shows it: nothing is entered that would carry it, or the search ran out.
    Open,
    /// What was known before says that a wedge is not held.
    KnownNot,
}

/// Fewest short first, then fewest not judged, then what costs least, then what takes least time.
type Rank = (usize, usize, f64, f64);

fn rank(short: usize, not_judged: usize, per_metre: Option<&PerMetre>) -> Rank {
    let cost = per_metre.map_or(0.0, |p| p.cost.unwrap_or(f64::INFINITY));
    (short, not_judged, cost, per_metre.map_or(0.0, |p| p.minutes))
}

fn by_rank(a: Rank, b: Rank) -> Ordering {
    a.0.cmp(&b.0).then(a.1.cmp(&b.1)).then(a.2.total_cmp(&b.2)).then(a.3.total_cmp(&b.3))
}

/// The search: the wedges, what is said of them now, and the pieces that say it.
struct Search<'a> {
    base: &'a Case,
    plan: &'a PlanInputs,
    stock: Option<&'a Stock>,
    wedges: Wedges,
    /// The patterns of the case as they are.
    layouts: &'a [Layout],
    now: Vec<Verdict>,
    /// What is missing most as the case stands.
    missing: Option<StillShort>,
    known: Vec<Vec<Known>>,
    /// Those that are not held, the one that changes mended most seldom first, so that a combination that
    /// leaves it is put aside at once.
    wanting: Vec<usize>,
    /// Where faces of each wedge's pieces can be, whatever supports it; `None` where that is not known.
    spans: Vec<Option<FaceSpan>>,
    steps: &'a Steps,
}

/// Single changes of what can be drilled or hung, each judged on every wedge of the drive; then the
/// cheapest pair, or the few together, that leave nothing short. `whole` is what [`super::check()`] found for `case`.
///
/// A change that is listed was tried: typed into the case it gives the verdicts that stand beside it.
/// Values between two steps that were tried are not spoken of, and a step further may do less.
///
/// # Errors
/// As [`super::forces_alone()`].
pub fn changes(
    case: &Case,
    whole: &Whole,
    plan: &PlanInputs,
    stock: Option<&Stock>,
) -> Result<Changes, CheckError> {
    changes_counted(case, whole, plan, stock, &Steps::default())
}

/// As [`changes`], with its steps counted.
///
/// # Errors
/// As [`changes`].
pub fn changes_counted(
    case: &Case,
    whole: &Whole,
    plan: &PlanInputs,
    stock: Option<&Stock>,
    steps: &Steps,
) -> Result<Changes, CheckError> {
    // Nothing else that is not judged can be mended by what is drilled or hung.
    let lacks = |w: &CheckedWedge| {
        w.decided.verdict == Verdict::Short || w.decided.unjudged == Some(Unjudged::NoSurfaceSupport)
    };
    if !whole.check.wedges.iter().any(lacks) {
        return Ok(Changes::default());
    }
    Search::of(case, whole, plan, stock, steps).run()
}

impl<'a> Search<'a> {
    fn of(
        base: &'a Case,
        whole: &'a Whole,
        plan: &'a PlanInputs,
        stock: Option<&'a Stock>,
        steps: &'a Steps,
    ) -> Self {
        let wedges = Wedges::of_check(&whole.check);
        let found = |id: &str| whole.check.wedges.iter().find(|w| w.wedge.id == id);
        let now: Vec<Verdict> = wedges.ids().filter_map(found).map(|w| w.decided.verdict).collect();
        let mut known = wedges.nothing_known();
        for (at, verdict) in now.iter().enumerate() {
            let piece = found(wedges.id(at)).and_then(Known::of);
            if let (Verdict::Short, Some(piece)) = (verdict, piece) {
                keep(&mut known[at], piece, MOST_KNOWN);
            }
        }
        let wanting = (0..now.len()).filter(|&at| now[at] != Verdict::Held).collect();
        let drive = whole.check.drive(base);
        let spans = (0..now.len()).map(|at| wedges.face_span(drive, at)).collect();
        let (layouts, missing) = (&whole.check.layouts[..], StillShort::of(&whole.check));
        Self { base, plan, stock, wedges, layouts, now, missing, known, wanting, spans, steps }
    }

    fn run(mut self) -> Result<Changes, CheckError> {
        let ladders = offered::ladders(self.base, self.stock);
        self.steps.begin("trying changes", ladders.iter().map(Vec::len).sum());
        // Collected in order, whatever the number of threads.
        let judged: Vec<Vec<Option<Judged>>> = ladders
            .par_iter()
            .map(|ladder| {
                let of_one = |edit: &Edit, stronger: Option<&Judged>| {
                    let judged = self.judged(vec![edit.clone()], stronger);
                    self.steps.step();
                    judged
                };
                if !ladder.iter().all(Edit::is_capacity) {
                    return ladder.par_iter().map(|edit| of_one(edit, None)).collect();
                }
                // The strongest first.
                let mut rungs: Vec<Option<Judged>> = Vec::with_capacity(ladder.len());
                for edit in ladder.iter().rev() {
                    rungs.push(of_one(edit, rungs.last().and_then(Option::as_ref)));
                }
                rungs.reverse();
                rungs
            })
            .collect();
        let mut count: usize = judged.iter().map(Vec::len).sum();
        let base = self.judged_base();
        let mut best: Vec<(Judged, Option<Uneven>)> = Vec::new();
        for (ladder, rungs) in ladders.iter().zip(&judged) {
            let mends = rungs.iter().flatten().filter(|j| !self.mended(j).is_empty());
            // The first of equals: the smallest step.
            let Some(chosen) = mends.min_by(|a, b| a.better(b)) else { continue };
            best.push((chosen.clone(), self.uneven(ladder, rungs, chosen)));
        }
        best.sort_by(|a, b| a.0.better(&b.0));
        let (mut none_can, mut unasked) = (false, 0);
        if !best.first().is_some_and(|b| b.0.is_all_held()) {
            self.learn(judged.iter().flatten().flatten());
            let found = combined::cheapest(&self, &base, &judged);
            count += found.judged;
            (none_can, unasked) = (found.none_can, found.unasked);
            if let Some(does) = found.does {
                best.insert(0, (does, None));
            }
        }
        best.truncate(MOST_LISTED);
        self.steps.begin("judging the changes that are listed", best.len());
        let helps = best.first().is_some_and(|b| b.0.better(&base).is_lt());
        let tried: Result<Vec<(Tried, Vec<String>)>, CheckError> =
            best.into_par_iter().map(|(judged, uneven)| self.tried(judged, uneven)).collect();
        let mut tried = tried?;
        // A check may know more of a wedge than the shorter search before it,
        // and of changes that leave nothing short those that hold at every stage come first.
        let stages = |t: &Tried| (t.short, t.not_judged, !t.holds_everything);
        tried.sort_by(|(a, _), (b, _)| stages(a).cmp(&stages(b)).then(by_rank(a.rank(), b.rank())));
        let all_held = tried.first().is_some_and(|(t, _)| t.short + t.not_judged == 0);
        let still_short = match tried.first() {
            _ if all_held => None,
            Some((best, short)) if helps => {
                StillShort::of(&verdicts_of_some(&best.case, |id| short.iter().any(|s| s == id))?)
            }
            _ => self.missing,
        };
        let tried = tried.into_iter().map(|(tried, _)| tried).collect();
        Ok(Changes { tried, judged: count, unasked, still_short, none_can })
    }

    /// What one change left short, the next may leave too; and a wedge that few changes mend is asked first.
    fn learn<'j>(&mut self, rungs: impl Iterator<Item = &'j Judged>) {
        let mut mended = vec![0_usize; self.now.len()];
        for rung in rungs {
            for (at, (verdict, found)) in rung.verdicts.iter().zip(&rung.found).enumerate() {
                mended[at] += usize::from(*verdict == Verdict::Held);
                if let Some(found) = found {
                    keep(&mut self.known[at], found.clone(), MOST_KNOWN);
                }
            }
        }
        // Stable: of equals the first in the order of the check.
        self.wanting.sort_by_key(|&at| mended[at]);
    }

    fn judged_base(&self) -> Judged {
        let per_metre = per_metre(self.base, self.plan).ok();
        Judged {
            edits: Vec::new(),
            case: self.base.clone(),
            verdicts: self.now.clone(),
            per_metre,
            found: Vec::new(),
            of_all: true,
            searched: vec![false; self.now.len()],
        }
    }

    /// The case and what its plan rests on after some edits.
    fn after(&self, edits: &[Edit]) -> (Case, PlanInputs) {
        let (mut case, mut plan) = (self.base.clone(), self.plan.clone());
        for edit in edits {
            edit.apply(&mut case);
            edit.price(&case, &mut plan, self.stock);
        }
        (case, plan)
    }

    /// What is said of every wedge after some edits; `None` where they make no case that can be drilled. `stronger`
    /// is the same with more capacity: what that does not hold this does not.
    fn judged(&self, edits: Vec<Edit>, stronger: Option<&Judged>) -> Option<Judged> {
        let (case, plan) = self.after(&edits);
        let ground = Ground::of(&case).ok()?;
        let judging = Judging::of(ground.drive(&case));
        let mut verdicts = self.now.clone();
        let mut found: Vec<Option<Known>> = vec![None; verdicts.len()];
        // Those that are not held come first: a change that mends none of them harms nobody.
        let first: Vec<usize> =
            self.wanting.iter().copied().filter(|&at| self.can_be_held(&case, at)).collect();
        let rest: Vec<usize> = (0..verdicts.len()).filter(|at| !first.contains(at)).collect();
        let drive = judging.drive();
        let mut searched = vec![false; verdicts.len()];
        let mut of_all = edits.iter().all(|edit| edit.leaves_all(self.base, &case));
        for (look_at, needs_a_mend) in [(&first, false), (&rest, true)] {
            let mends = || self.wanting.iter().any(|&at| verdicts[at] == Verdict::Held);
            if needs_a_mend && !mends() {
                break;
            }
            for &at in look_at {
                if self.stays_held(&case, drive, &edits, at) {
                    continue;
                }
                searched[at] = true;
                let left = stronger.filter(|j| j.verdicts[at] == Verdict::NotJudged);
                (verdicts[at], found[at]) = match (left, stronger.and_then(|j| j.found[at].clone())) {
                    (Some(_), _) => self.wedges.verdict_below(&judging, at, &self.known[at]),
                    (None, Some(piece)) => {
                        let known = [&self.known[at][..], &[piece]].concat();
                        self.wedges.verdict(&judging, at, &known).ok()?
                    }
                    (None, None) => self.wedges.verdict(&judging, at, &self.known[at]).ok()?,
                };
            }
        }
        for (searched, verdict) in searched.iter_mut().zip(&verdicts) {
            *searched &= *verdict == Verdict::Held;
        }
        of_all |= self.wanting.iter().any(|&at| verdicts[at] == Verdict::Held);
        let per_metre = per_metre(&case, &plan).ok();
        Some(Judged { edits, case, verdicts, per_metre, found, of_all, searched })
    }

    /// Whether a wedge is held after some edits because it is as the case stands: whatever of them it meets leaves all
    /// that held it.
    fn stays_held(&self, after: &Case, drive: Drive, edits: &[Edit], at: usize) -> bool {
        self.now[at] == Verdict::Held && {
            let mut bearing = edits.iter().filter(|edit| self.bears(drive, edit, at));
            bearing.all(|edit| edit.leaves_all(self.base, after))
        }
    }

    /// Whether a wedge is held after several changes because it is after one of them alone, and whatever of the others it
    /// meets leaves all that held it: no search is needed.
    fn is_held_by_one(&self, after: &Case, drive: Drive, set: &[&Judged], at: usize) -> bool {
        let held_after =
            |j: &Judged| j.verdicts[at] == Verdict::Held && (j.of_all || self.now[at] != Verdict::Held);
        set.iter().enumerate().any(|(one, j)| {
            let beside = |other: &Edit| {
                !self.bears(drive, other, at)
                    || other.leaves_all(self.base, after) && j.edits.iter().all(|e| e.is_apart_from(other))
            };
            let others = set.iter().enumerate().filter(|(i, _)| *i != one).flat_map(|(_, j)| &j.edits);
            held_after(j) && others.into_iter().all(beside)
        })
    }

    /// What several changes that were judged alone do together. `known` are pieces that may well be short, wedge by
    /// wedge; what each of the changes left short may be short still.
    fn together(&self, set: &[&Judged], known: &[Vec<Known>]) -> Together {
        self.searched_together(set, known).unwrap_or(Together::KnownNot)
    }

    /// The same; `None` where no search is needed, or they make no case that can be drilled.
    fn searched_together(&self, set: &[&Judged], known: &[Vec<Known>]) -> Option<Together> {
        let mut edits: Vec<Edit> = set.iter().flat_map(|j| j.edits.clone()).collect();
        edits.sort_by_key(|edit| !edit.covers_more());
        let (case, plan) = self.after(&edits);
        let ground = Ground::of(&case).ok()?;
        let drive = ground.drive(&case);
        let may_be_held =
            |&at: &usize| self.can_be_held(&case, at) && !self.leaves_as_a_part_does(drive, set, at);
        if !self.wanting.iter().all(may_be_held) {
            return None;
        }
        let judging = Judging::of(drive);
        let known = |at: usize| -> Vec<Known> {
            let of_parts = set.iter().filter_map(|j| j.found.get(at)?.clone());
            known[at].iter().cloned().chain(of_parts).collect()
        };
        // No search for one wedge where a piece that is known of another one ends it.
        if self.wanting.iter().any(|&at| self.wedges.is_known_short(&judging, at, &known(at))) {
            return None;
        }
        let count = self.now.len();
        let rest = (0..count).filter(|at| !self.wanting.contains(at));
        let mut searched = vec![false; count];
        for at in self.wanting.iter().copied().chain(rest) {
            let stays = self.stays_held(&case, drive, &edits, at);
            if stays || self.is_held_by_one(&case, drive, set, at) {
                continue;
            }
            match self.wedges.verdict(&judging, at, &known(at)).ok()? {
                (Verdict::Held, _) => searched[at] = true,
                (Verdict::Short, Some(piece)) => return Some(Together::Short(at, piece)),
                _ => return Some(Together::Open),
            }
        }
        let per_metre = per_metre(&case, &plan).ok();
        let (verdicts, found) = (vec![Verdict::Held; count], vec![None; count]);
        Some(Together::Holds(Box::new(Judged {
            edits,
            case,
            verdicts,
            per_metre,
            found,
            of_all: true,
            searched,
        })))
    }

    /// Whether each wedge that is not held is held after one of these.
    fn mend_between_them(&self, set: &[&Judged]) -> bool {
        self.wanting.iter().all(|&at| set.iter().any(|j| j.verdicts[at] == Verdict::Held))
    }

    /// Whether a wedge that is not held stays so because only one of the changes that these are made of alters
    /// anything that it meets, and that one alone does not mend it: bolts none of whose collars can be on the
    /// face of any of its pieces, before or after, are nothing to it.
    fn leaves_as_a_part_does(&self, drive: Drive, of: &[&Judged], at: usize) -> bool {
        let mut bearing = of.iter().filter(|j| j.edits.iter().any(|edit| self.bears(drive, edit, at)));
        match (bearing.next(), bearing.next()) {
            (None, _) => true,
            (Some(one), None) => one.verdicts[at] != Verdict::Held,
            _ => false,
        }
    }

    /// Whether an edit alters anything that a wedge meets: of a pattern whose collars can be on the face of one of its
    /// pieces before or after, or what hangs.
    fn bears(&self, drive: Drive, edit: &Edit, at: usize) -> bool {
        let Some(pattern) = edit.pattern() else { return true };
        let Some(span) = &self.spans[at] else { return true };
        let layouts = [self.layouts.get(pattern), drive.layouts.get(pattern)];
        layouts.into_iter().flatten().any(|layout| span.meets(layout))
    }

    /// Whether what a case hangs leaves a wedge to be held at all. Without any surface support the smallest
    /// piece that is not for the bar finds room between collars, however close they are drilled, and none
    /// carries it; only a wedge that structures hold in one place has no smaller pieces.
    fn can_be_held(&self, case: &Case, at: usize) -> bool {
        let bar_m3 = case.criteria.scaling_up_to_m3.unwrap_or(0.0);
        !case.surface_support.is_empty() || bar_m3 > FINDS_ROOM_M3 || self.wedges.is_fixed(at)
    }

    fn turned(&self, judged: &Judged, to_held: bool) -> Vec<String> {
        let held = |v: Verdict| v == Verdict::Held;
        let turned = |at: &usize| {
            let (before, after) = (held(self.now[*at]), held(judged.verdicts[*at]));
            before != after && after == to_held
        };
        (0..self.now.len()).filter(turned).map(|at| self.wedges.id(at).to_owned()).collect()
    }

    fn mended(&self, judged: &Judged) -> Vec<String> {
        self.turned(judged, true)
    }

    /// A change that is listed, as a check would find it, with the ids of the wedges that are short after it.
    fn tried(&self, judged: Judged, uneven: Option<Uneven>) -> Result<(Tried, Vec<String>), CheckError> {
        let known = |id: &str| {
            let at = self.wedges.at(id);
            let of_base = at.iter().flat_map(|&at| self.known[at].iter().rev());
            let of_its_own = at.and_then(|at| judged.found.get(at)?.as_ref());
            of_its_own.into_iter().chain(of_base).map(|k| k.piece.clone()).collect()
        };
        let is_held = |id: &str| self.wedges.at(id).is_some_and(|at| judged.searched[at]);
        let standing = standing(&judged.case, &known, &is_held)?;
        self.steps.step();
        let verdict = |id: &str| standing.wedges.iter().find(|w| w.wedge.id == id).map(|w| w.verdict);
        // Where a search ran out before, the longer one of a check may have ended.
        let verdicts =
            self.wedges.ids().zip(&judged.verdicts).map(|(id, v)| verdict(id).unwrap_or(*v)).collect();
        let judged = Judged { verdicts, ..judged };
        let is_short =
            |(at, id): (usize, &str)| (judged.verdicts[at] == Verdict::Short).then(|| id.to_owned());
        let short = self.wedges.ids().enumerate().filter_map(is_short).collect();
        let keys = judged.edits.iter().flat_map(|edit| edit.keys(self.base)).collect();
        let tried = Tried {
            keys,
            short: judged.short(),
            not_judged: judged.unjudged(),
            holds_everything: standing.holds_everything,
            margin: standing.margin,
            mends: self.mended(&judged),
            harms: self.turned(&judged, false),
            edits: judged.edits,
            case: judged.case,
            per_metre: judged.per_metre,
            uneven,
        };
        Ok((tried, short))
    }

    /// Whether a step of a ladder does less than one before it.
    fn uneven(&self, ladder: &[Edit], rungs: &[Option<Judged>], chosen: &Judged) -> Option<Uneven> {
        // Of a surface that comes in the height is another key: without it two steps would read alike.
        let value = |edit: &Edit| {
            let mut keys = edit.keys(self.base).into_iter().filter_map(|k| Some((k.key, k.to?)));
            let (_, first) = keys.next()?;
            let beside =
                keys.map(|(key, to)| format!(" with {} {to}", key.rsplit('.').next().unwrap_or(&key)));
            Some(first + &beside.collect::<String>())
        };
        let (mut do_as_much, mut do_less) = (Vec::new(), Vec::new());
        for (edit, rung) in ladder.iter().zip(rungs) {
            let Some(value) = value(edit) else { continue };
            match rung {
                Some(rung) if rung.short() <= chosen.short() => do_as_much.push(value),
                _ if !do_as_much.is_empty() => do_less.push(value),
                _ => {}
            }
        }
        (!do_less.is_empty()).then_some(Uneven { do_as_much, do_less })
    }
}
