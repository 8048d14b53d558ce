use std::collections::{HashMap, HashSet};

use rayon::prelude::*;

use super::candidates::{Entry, MOST_PATTERNS, NONE, Offers, Picks, Way, is_near};
use super::{BEST, Costed, Failing, Fit, FitError, Fitted, Met, Tally, checked};
use crate::case::{Case, PlanInputs};
use crate::study::check::verdicts_of_one;
use crate::study::forces::Ground;
use crate::study::judgement::Judging;
use crate::study::lacks::lacks_of;
use crate::study::stages::closest_rings;
use crate::study::variant::{Known, MOST_KNOWN, Wedges, keep};
use crate::study::{Check, CheckError, Lack, LackOf, Steps, Verdict};
use crate::support::Uncarried;

/// Questions that are asked side by side. What is learnt of one serves those of the next lot, so the
/// number fixes what is asked, whatever the number of threads.
const LOT: usize = 16;

/// How far ahead of the cheapest candidate that is open questions are looked for.
const AHEAD: usize = 1024;

/// A wedge under what it can meet of a candidate: all candidates with the same are the same to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Asked {
    wedge: u32,
    /// [`NONE`] for patterns that it cannot meet.
    met: Picks,
}

/// Whether its pieces are carried.
#[derive(Debug, Clone, Copy, PartialEq)]
enum PiecesSaid {
    Carried,
    /// A piece is carried too little: its factor over what is asked.
    Short(f64),
    /// Not judged: the whole check has to say more.
    Open,
}

/// Whether all that is asked of it is met, stages too.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum AllSaid {
    Met,
    Lacks,
    /// Only the check of the candidate as a whole can say.
    Open,
}

/// What is asked next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Question {
    Pieces(Asked),
    /// With the last ring so far from the face, by the bits of its metres.
    All(Asked, u64),
    /// The check of the candidate at this place of the list.
    Whole(usize),
}

enum Answer {
    Pieces(PiecesSaid, Option<Known>),
    All(AllSaid),
    Whole(Option<Box<Fitted>>),
}

/// What is known of a candidate.
enum Standing {
    /// It lacks something; the margin of what was found, 1 where that is no piece.
    Refused {
        margin: f64,
        by_pieces: bool,
    },
    Open(Question),
    /// Every wedge by itself holds.
    EachHolds,
}

struct Search<'a> {
    offers: &'a Offers<'a>,
    case: &'a Case,
    inputs: &'a PlanInputs,
    entries: Vec<Entry>,
    wedges: Wedges,
    /// For each wedge, pattern and way of it whether they can meet.
    meets: Vec<Vec<Vec<bool>>>,
    pieces: HashMap<Asked, PiecesSaid>,
    all: HashMap<(Asked, u64), AllSaid>,
    /// What came of the checks of whole candidates; `None` for one that lacks something.
    wholes: HashMap<usize, Option<Box<Fitted>>>,
    /// Bad pieces of a wedge under patterns, told by their places in the stock as bits.
    known: HashMap<(u32, u8), Vec<Known>>,
    /// The wedges as they are asked.
    order: Vec<u32>,
    refused: Vec<usize>,
    tally: Tally,
}

/// What holds so far: how many, and how quick the quickest is.
#[derive(Debug, Clone, Copy)]
struct Held {
    count: usize,
    quickest_min: f64,
}

impl Held {
    /// Whether one that costs no less is still looked at.
    fn wants(&self, entry: &Entry) -> bool {
        self.count < BEST || entry.minutes_per_m < self.quickest_min
    }

    fn with(&self, minutes_per_m: f64) -> Self {
        Self { count: self.count + 1, quickest_min: self.quickest_min.min(minutes_per_m) }
    }
}

/// The candidates by rising cost, each only while nothing that holds is as quick, or fewer than
/// [`BEST`] hold.
pub(super) fn search(
    case: &Case,
    inputs: &PlanInputs,
    offers: &Offers,
    entries: Vec<Entry>,
    steps: &Steps,
) -> Result<Fit, FitError> {
    let mut search = Search::of(case, inputs, offers, entries)?;
    steps.begin("going through the stock by cost", search.entries.len());
    search.put_in_order();
    let mut held = Held { count: 0, quickest_min: f64::INFINITY };
    let (mut efficient, mut undercut): (Vec<Fitted>, Vec<Fitted>) = (Vec::new(), Vec::new());
    let mut cheapest = None;
    let mut nearest: Option<(f64, usize)> = None;
    let mut at = 0;
    while at < search.entries.len() {
        steps.reach(at);
        search.settle(at, held.quickest_min)?;
        let entry = &search.entries[at];
        if !held.wants(entry) {
            search.tally.undercut += 1;
            at += 1;
            continue;
        }
        let (margin, by_pieces) = match search.standing(entry) {
            Standing::Refused { margin, by_pieces } => (margin, by_pieces),
            Standing::EachHolds if search.wholes.contains_key(&at) => match search.wholes.remove(&at) {
                Some(Some(fitted)) => {
                    cheapest = cheapest.or(Some(at));
                    let quicker = fitted.costed.minutes_per_m < held.quickest_min;
                    held = held.with(fitted.costed.minutes_per_m);
                    if quicker {
                        efficient.push(*fitted)
                    } else {
                        undercut.push(*fitted)
                    }
                    at += 1;
                    continue;
                }
                _ => (1.0, false),
            },
            _ => {
                search.ask(at, held)?;
                continue;
            }
        };
        if by_pieces {
            search.tally.pieces += 1
        } else {
            search.tally.whole += 1
        }
        // The dearest of equals: it has most to give.
        if nearest.is_none_or(|(best, _)| margin >= best) {
            nearest = Some((margin, at));
        }
        at += 1;
    }
    steps.begin("asking what stands beside the best", 0);
    let next_cheaper = cheapest.and_then(|at: usize| at.checked_sub(1));
    let next_quicker = match efficient.last() {
        Some(quickest) => search.next_quicker(quickest.costed.minutes_per_m)?,
        None => None,
    };
    let stop = nearest.filter(|_| efficient.is_empty()).map(|(_, at)| at);
    let asked = [next_cheaper, next_quicker, stop];
    let failing: Vec<Result<Option<Failing>, FitError>> =
        asked.par_iter().map(|at| at.map_or(Ok(None), |at| search.failing(at))).collect();
    let mut failing = failing.into_iter();
    let mut next = || failing.next().unwrap_or(Ok(None));
    let (next_cheaper, next_quicker, stop) = (next()?, next()?, next()?);
    let met = search.met();
    let tally = search.tally;
    Ok(Fit { efficient, undercut, next_cheaper, next_quicker, stop, met, tally })
}

impl<'a> Search<'a> {
    fn of(
        case: &'a Case,
        inputs: &'a PlanInputs,
        offers: &'a Offers<'a>,
        entries: Vec<Entry>,
    ) -> Result<Self, CheckError> {
        let bare = Case { patterns: Vec::new(), ..case.clone() };
        let wedges = Wedges::of(case)?;
        let ground = Ground::of(&bare)?;
        let count = wedges.ids().count();
        let meets = (0..count).map(|at| {
            let span = wedges.face_span(ground.drive(&bare), at);
            let met = |way: &Way| match (&way.made, &span) {
                (None, _) => false,
                (Some(_), None) => true,
                (Some((_, layout)), Some(span)) => span.meets(layout),
            };
            offers.ways.iter().map(|ways| ways.all.iter().map(met).collect()).collect()
        });
        Ok(Self {
            offers,
            case,
            inputs,
            entries,
            meets: meets.collect(),
            wedges,
            pieces: HashMap::new(),
            all: HashMap::new(),
            wholes: HashMap::new(),
            known: HashMap::new(),
            order: (0..count as u32).collect(),
            refused: vec![0; count],
            tally: Tally::default(),
        })
    }

    /// Where the minutes of a candidate are a sum and as good as so many, takes its plan's own.
    fn settle(&mut self, at: usize, minutes_per_m: f64) -> Result<(), FitError> {
        let entry = &self.entries[at];
        if !entry.is_exact && is_near(entry.minutes_per_m, minutes_per_m) {
            self.entries[at] = self.offers.exact(self.inputs, &entry.picks)?;
        }
        Ok(())
    }

    /// The slowest of those that are quicker than so many minutes, the dearest of equals.
    fn next_quicker(&mut self, quickest_min: f64) -> Result<Option<usize>, FitError> {
        let count = self.entries.len();
        (0..count).try_for_each(|at| self.settle(at, quickest_min))?;
        let minutes = |entries: &[Entry], at: usize| entries[at].minutes_per_m;
        let quicker = |entries: &[Entry]| {
            let quicker = (0..count).filter(|&at| minutes(entries, at) < quickest_min);
            quicker.reduce(|a, b| if minutes(entries, b) >= minutes(entries, a) { b } else { a })
        };
        let Some(slowest) = quicker(&self.entries) else { return Ok(None) };
        let slowest_min = minutes(&self.entries, slowest);
        (0..count).try_for_each(|at| self.settle(at, slowest_min))?;
        Ok(quicker(&self.entries))
    }

    /// Asks first those wedges whose answers count for most candidates, of them those that refused most.
    fn put_in_order(&mut self) {
        let (meets, refused) = (&self.meets, &self.refused);
        let patterns = |wedge: usize| meets[wedge].iter().filter(|ways| ways.contains(&true)).count();
        self.order.sort_by_cached_key(|&wedge| {
            (patterns(wedge as usize), std::cmp::Reverse(refused[wedge as usize]), wedge)
        });
    }

    /// For each wedge the patterns that it can meet.
    fn met(&self) -> Vec<Met> {
        let patterns = |at: usize| {
            let meets = self.meets[at].iter().enumerate();
            meets.filter(|(_, ways)| ways.contains(&true)).map(|(slot, _)| slot).collect()
        };
        self.wedges
            .ids()
            .enumerate()
            .map(|(at, id)| Met { wedge: id.to_owned(), patterns: patterns(at) })
            .collect()
    }

    fn asked(&self, wedge: u32, entry: &Entry) -> Asked {
        let meets = &self.meets[wedge as usize];
        let mut met = entry.picks;
        for (slot, pick) in met.ways.iter_mut().enumerate() {
            if *pick != NONE && !meets[slot][*pick as usize] {
                *pick = NONE;
            }
        }
        Asked { wedge, met }
    }

    /// From the last ring to the face, metres, as bits.
    fn last_ring(&self, entry: &Entry) -> u64 {
        let metres = self.case.last_ring_from_face_m.unwrap_or_else(|| {
            let made: Vec<_> = self.offers.made(&entry.picks.ways).map(|s| &s.pattern).collect();
            closest_rings(made.iter().copied()).map_or(0.0, |at| made[at].ring_spacing_m)
        });
        metres.to_bits()
    }

    /// What is known of a candidate, and what is to be asked next.
    fn standing(&self, entry: &Entry) -> Standing {
        let mut open: Option<Question> = None;
        for &wedge in &self.order {
            match self.pieces_said(self.asked(wedge, entry)) {
                Ok(PiecesSaid::Short(margin)) => return Standing::Refused { margin, by_pieces: true },
                Ok(_) => {}
                Err(question) => open = open.or(Some(question)),
            }
        }
        // While pieces are open stages are not asked.
        let last_ring = self.last_ring(entry);
        let pieces_open = open.is_some();
        for &wedge in &self.order {
            match self.all_said(self.asked(wedge, entry), last_ring) {
                Ok(AllSaid::Lacks) => return Standing::Refused { margin: 1.0, by_pieces: false },
                Ok(_) => {}
                Err(question) if !pieces_open => open = open.or(Some(question)),
                Err(_) => {}
            }
        }
        open.map_or(Standing::EachHolds, Standing::Open)
    }

    /// What is known of pieces, or what is to be asked first. More bolts never harm, so what holds under
    /// one of the patterns alone holds under several.
    fn pieces_said(&self, asked: Asked) -> Result<PiecesSaid, Question> {
        if let Some(said) = self.pieces.get(&asked) {
            return Ok(*said);
        }
        let mut open = Question::Pieces(asked);
        for alone in asked.each_alone().into_iter().flatten() {
            match self.pieces.get(&alone) {
                Some(PiecesSaid::Carried) => return Ok(PiecesSaid::Carried),
                Some(_) => {}
                None => open = Question::Pieces(alone),
            }
        }
        Err(open)
    }

    fn all_said(&self, asked: Asked, last_ring: u64) -> Result<AllSaid, Question> {
        if let Some(said) = self.all.get(&(asked, last_ring)) {
            return Ok(*said);
        }
        let mut open = Question::All(asked, last_ring);
        for alone in asked.each_alone().into_iter().flatten() {
            if self.pieces.get(&alone) != Some(&PiecesSaid::Carried) {
                continue;
            }
            match self.all.get(&(alone, last_ring)) {
                Some(AllSaid::Met) => return Ok(AllSaid::Met),
                Some(_) => {}
                None => open = Question::All(alone, last_ring),
            }
        }
        Err(open)
    }

    /// Asks what is open of the candidate at a place and of those behind it, and keeps the answers.
    fn ask(&mut self, at: usize, held: Held) -> Result<(), FitError> {
        let mut lot: Vec<(Question, usize)> = Vec::with_capacity(LOT);
        let mut seen: HashSet<Question> = HashSet::new();
        let mut held = held;
        for (at, entry) in self.entries.iter().enumerate().skip(at).take(AHEAD) {
            if lot.len() == LOT {
                break;
            }
            if !held.wants(entry) {
                continue;
            }
            let question = match self.standing(entry) {
                Standing::Refused { .. } => continue,
                Standing::Open(question) => question,
                Standing::EachHolds => match self.wholes.get(&at) {
                    Some(None) => continue,
                    // What follows is looked for as if it held, which it nearly always does.
                    found => {
                        held = held.with(entry.minutes_per_m);
                        if found.is_some() {
                            continue;
                        }
                        Question::Whole(at)
                    }
                },
            };
            if seen.insert(question) {
                lot.push((question, at));
            }
        }
        // Collected in order, whatever the number of threads.
        let answers: Vec<Result<Answer, FitError>> =
            lot.par_iter().map(|(question, at)| self.answer(question, &self.entries[*at])).collect();
        for ((question, _), answer) in lot.iter().zip(answers) {
            self.keep(question, answer?);
        }
        self.put_in_order();
        Ok(())
    }

    fn answer(&self, question: &Question, entry: &Entry) -> Result<Answer, FitError> {
        match question {
            Question::Pieces(asked) => {
                let case = self.case_of(asked, entry);
                let ground = Ground::of(&case)?;
                let known = self.known.get(&(asked.wedge, asked.patterns())).map_or(&[][..], Vec::as_slice);
                let judging = Judging::of(ground.drive(&case));
                Ok(match self.wedges.verdict(&judging, asked.wedge as usize, known)? {
                    (Verdict::Held, _) => Answer::Pieces(PiecesSaid::Carried, None),
                    (Verdict::Short, Some(piece)) => {
                        Answer::Pieces(PiecesSaid::Short(piece.margin), Some(piece))
                    }
                    _ => Answer::Pieces(PiecesSaid::Open, None),
                })
            }
            Question::All(asked, last_ring) => {
                let mut case = self.case_of(asked, entry);
                case.last_ring_from_face_m = Some(f64::from_bits(*last_ring));
                let (check, stages) = verdicts_of_one(&case, self.wedges.id(asked.wedge as usize))?;
                let lacks = lacks_of(&check, &stages);
                Ok(Answer::All(match lacks.as_slice() {
                    [] => AllSaid::Met,
                    lacks if lacks.iter().any(|lack| is_proof(lack, &check)) => AllSaid::Lacks,
                    _ => AllSaid::Open,
                }))
            }
            Question::Whole(at) => {
                let (case, costed) = self.candidate(*at)?;
                let (whole, found) = checked(&case, costed)?;
                let Failing { costed, lacks, as_drawn, doubled, .. } = found;
                let fitted = lacks.is_empty().then_some(Fitted { costed, case, whole, as_drawn, doubled });
                Ok(Answer::Whole(fitted.map(Box::new)))
            }
        }
    }

    fn keep(&mut self, question: &Question, answer: Answer) {
        match (question, answer) {
            (Question::Pieces(asked), Answer::Pieces(said, piece)) => {
                self.tally.judged += 1;
                self.pieces.insert(*asked, said);
                if let Some(piece) = piece {
                    self.refused[asked.wedge as usize] += 1;
                    let known = self.known.entry((asked.wedge, asked.patterns())).or_default();
                    keep(known, piece, MOST_KNOWN);
                }
            }
            (Question::All(asked, last_ring), Answer::All(said)) => {
                self.tally.judged += 1;
                if said == AllSaid::Lacks {
                    self.refused[asked.wedge as usize] += 1;
                }
                self.all.insert((*asked, *last_ring), said);
            }
            (Question::Whole(at), Answer::Whole(found)) => {
                self.wholes.insert(*at, found);
            }
            _ => {}
        }
    }

    /// The case with the patterns that a wedge can meet; where there are none with all of a candidate's,
    /// which then change nothing about it but that the ground is bolted.
    fn case_of(&self, asked: &Asked, entry: &Entry) -> Case {
        let met = if asked.patterns() == 0 { &entry.picks } else { &asked.met };
        self.offers.case_of(met)
    }

    /// The case with a candidate, and what that costs as a plan says it.
    fn candidate(&self, at: usize) -> Result<(Case, Costed), FitError> {
        let picks = &self.entries[at].picks;
        let entry = self.offers.exact(self.inputs, picks)?;
        Ok((self.offers.case_of(picks), self.offers.costed(&entry)))
    }

    /// What a candidate lacks; `None` where it lacks nothing.
    fn failing(&self, at: usize) -> Result<Option<Failing>, FitError> {
        let (case, costed) = self.candidate(at)?;
        let (_, found) = checked(&case, costed)?;
        Ok((!found.lacks.is_empty()).then_some(found))
    }
}

impl Asked {
    /// The patterns that can be met, as bits by their places in the stock.
    fn patterns(&self) -> u8 {
        let bit = |slot: usize| u8::from(self.met.ways[slot] != NONE) << slot;
        (0..MOST_PATTERNS).map(bit).sum()
    }

    /// The same with each of several patterns alone; none where there are not several.
    fn each_alone(&self) -> [Option<Self>; MOST_PATTERNS] {
        let several = self.patterns().count_ones() > 1;
        std::array::from_fn(|slot| {
            let pick = self.met.ways[slot];
            if !several || pick == NONE {
                return None;
            }
            let mut ways = [NONE; MOST_PATTERNS];
            ways[slot] = pick;
            Some(Self { wedge: self.wedge, met: Picks { ways, ..self.met } })
        })
    }
}

/// Whether a lack rests on a piece or a place that was found: then it stands under every candidate that is
/// the same to the wedge. Where a search ended before it knew, another one may know.
fn is_proof(lack: &Lack, check: &Check) -> bool {
    let uncarried = || {
        let wedge = check.wedges.iter().find(|w| w.wedge.id == lack.wedge);
        let judged = wedge.and_then(|w| w.found.judged.as_ref());
        judged.is_some_and(|judged| matches!(judged.uncarried, Uncarried::Found(_)))
    };
    match lack.of {
        LackOf::NotJudged => uncarried(),
        LackOf::Pieces(_) | LackOf::Stage(..) => lack.fs.is_some_and(|fs| fs < lack.asked_fs) || uncarried(),
    }
}
