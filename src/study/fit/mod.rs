//! The cheapest and the quickest patterns of a stock that hold everything.

mod candidates;
mod search;

use thiserror::Error;

use super::check::verdicts_and_stages;
use super::lacks::tightest_of;
use super::plan::{PlanError, PlanNote};
use super::standing::standing;
use super::{AsDrawn, CheckError, Lack, LackOf, Steps, Whole, as_drawn, check, lacks};
use crate::case::{Case, FromStock, PlanInputs, Stock};
use candidates::{MOST_PATTERNS, Offers, of_stock, set_prices};

/// How many of the cheapest that hold are told of.
const BEST: usize = 5;

/// How one pattern is made of what is on stock: indices into the lists of its
/// [`StockPattern`](crate::case::StockPattern).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Choice {
    /// The bolt.
    pub bolt: usize,
    /// Its length, in the bolt's own list.
    pub length: usize,
    /// The spacing along the perimeter.
    pub spacing: usize,
    /// The ring spacing.
    pub rings: usize,
    /// Whether rings are staggered, in the list of what is tried.
    pub stagger: usize,
    /// What is covered.
    pub coverage: usize,
}

/// One combination of what is on stock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Candidate {
    /// For each pattern of [`Stock`] how it is made; `None` where it is left out.
    pub patterns: Vec<Option<Choice>>,
    /// The surface support, in the list of [`Stock`]; `None` where that lists none and the case's stands
    /// as it is.
    pub surface: Option<usize>,
}

/// A candidate with what it costs and takes, by the metre of drive.
#[derive(Debug, Clone, PartialEq)]
pub struct Costed {
    /// What it is.
    pub candidate: Candidate,
    /// Cost a metre.
    pub cost_per_m: f64,
    /// Minutes at the work a metre.
    pub minutes_per_m: f64,
    /// Bolts a metre.
    pub bolts_per_m: f64,
    /// Metres of bolt holes a metre.
    pub drill_m_per_m: f64,
}

/// How a candidate would fare with every collar anywhere within twice the tolerance that verdicts count
/// with: whether it bears more than the crew is asked to keep to.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubled {
    /// Twice the tolerance, metres on the surface.
    pub tolerance_m: f64,
    /// Least ratio of factor of safety to what is asked, 0 where something is not judged.
    pub margin: f64,
    /// What has it; `None` where nothing moves.
    pub tightest: Option<Lack>,
}

/// A candidate that holds everything.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// What it is and costs.
    pub costed: Costed,
    /// The case with it.
    pub case: Case,
    /// Its whole check.
    pub whole: Whole,
    /// How it would fare with every collar exactly where it is drawn; that decides nothing.
    pub as_drawn: AsDrawn,
    /// The same with collars twice as far off; `None` where they are counted on exactly. That decides
    /// nothing either.
    pub doubled: Option<Doubled>,
}

impl Fitted {
    /// What it puts into the case: what a case file of it holds.
    #[must_use]
    pub fn from_stock(&self, stock: &Stock) -> FromStock {
        of_stock(stock, &self.costed.candidate)
    }

    /// What a plan of it rests on: that of the case with its prices.
    #[must_use]
    pub fn plan(&self, inputs: &PlanInputs, stock: &Stock) -> PlanInputs {
        let mut own = inputs.clone();
        set_prices(&mut own, inputs, &self.from_stock(stock));
        own
    }
}

/// A candidate that does not hold everything, and what it lacks.
#[derive(Debug, Clone, PartialEq)]
pub struct Failing {
    /// What it is and costs.
    pub costed: Costed,
    /// What it lacks, least margin first; never empty.
    pub lacks: Vec<Lack>,
    /// Force that the first lack asks of bolts against the movement, or of the surface support between
    /// them, kN; `None` where nothing is judged.
    pub force_needed_kn: Option<f64>,
    /// What the candidate gives of it, kN.
    pub force_provided_kn: Option<f64>,
    /// How it would fare with every collar exactly where it is drawn.
    pub as_drawn: AsDrawn,
    /// The same with collars twice as far off; `None` where they are counted on exactly.
    pub doubled: Option<Doubled>,
}

/// How many candidates each test refused: which test depends on the order of the search, that a
/// candidate is refused does not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Tally {
    /// Combinations of the stock.
    pub combinations: usize,
    /// Those that lay no collar on what they cover.
    pub no_collar: usize,
    /// Those that lay the same collars, of the same bolts, as another one.
    pub alike: usize,
    /// Short at some piece of a wedge.
    pub pieces: usize,
    /// Short at a stage, or not judged.
    pub whole: usize,
    /// Not looked at: undercut in cost and minutes by one that holds, and dearer than five that hold.
    pub undercut: usize,
    /// How often a wedge was judged under what it can meet of a candidate.
    pub judged: usize,
}

/// The patterns of a stock whose bolts a wedge can meet, however they are made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Met {
    /// Id of the wedge.
    pub wedge: String,
    /// Indices in the patterns of [`Stock`], rising.
    pub patterns: Vec<usize>,
}

/// What the stock has to offer.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Those that hold everything and are undercut in cost and minutes by none, by rising cost and falling
    /// minutes: the first is the cheapest, the last the quickest. Empty where nothing on stock holds.
    pub efficient: Vec<Fitted>,
    /// Of the five cheapest that hold everything those that another one undercuts, by rising cost.
    pub undercut: Vec<Fitted>,
    /// The next cheaper candidate than the cheapest, and why it does not do; `None` where there is
    /// none.
    pub next_cheaper: Option<Failing>,
    /// The next quicker candidate than the quickest, and why it does not do.
    pub next_quicker: Option<Failing>,
    /// Where nothing holds: the candidate that comes nearest by forces, and what stops it.
    pub stop: Option<Failing>,
    /// For each wedge that moves the patterns that it can meet.
    pub met: Vec<Met>,
    /// How the search went.
    pub tally: Tally,
}

impl Fit {
    /// The cheapest that hold everything, at most five, by cost, then minutes.
    #[must_use]
    pub fn best(&self) -> Vec<&Fitted> {
        let mut all: Vec<&Fitted> = self.efficient.iter().chain(&self.undercut).collect();
        let order = |f: &&Fitted| (f.costed.cost_per_m, f.costed.minutes_per_m);
        all.sort_by(|a, b| {
            let (a, b) = (order(a), order(b));
            a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
        });
        all.truncate(BEST);
        all
    }
}

/// Why a stock cannot be searched.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum FitError {
    /// Without every price the cheapest is not known.
    #[error("no price for {what}: the cheapest pattern is not known until everything has one")]
    NoPrice {
        /// Of what.
        what: String,
    },
    /// No combination can be drilled.
    #[error("no combination of the stock lays a collar on what it covers")]
    NothingToDrill,
    /// The case cannot be planned.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The case cannot be checked.
    #[error(transparent)]
    Check(#[from] CheckError),
    /// More patterns than are searched together.
    #[error("a stock of {found} patterns; at most {MOST_PATTERNS} stand together")]
    TooManyPatterns {
        /// How many there are.
        found: usize,
    },
    /// A stock of another case.
    #[error("the stock names a bolt or a surface support that the case does not have")]
    UnknownEntry,
}

/// Whether a case holds everything that is asked; see [`super::lacks()`].
///
/// # Errors
/// As [`super::check()`].
pub fn holds_everything(case: &Case) -> Result<bool, CheckError> {
    Ok(standing(case, &|_| Vec::new(), &|_| false)?.holds_everything)
}

/// Looks through every combination of a stock, each in place of all patterns of the case, for those
/// that hold everything ([`super::lacks()`]) at the least cost and in the least minutes.
///
/// The search is exhaustive: by rising cost, each candidate is refused by a wedge that is short under
/// what it can meet of it, or looked at as a whole. What is found of a wedge is told of every candidate
/// that is the same to it: patterns whose collars none of its pieces can have on their face change nothing
/// about it. So where no wedge meets two patterns each pattern is searched by itself, and where wedges
/// share them they are searched together. No test takes one pattern to be better than another: where a
/// candidate is short was a piece of its own. A piece that was bad for one candidate is tried first on the
/// next ones, which is why the search is quick.
///
/// # Errors
/// [`FitError`] where a price is missing, where nothing can be drilled, or where the case makes no
/// sense.
pub fn fit(case: &Case, inputs: &PlanInputs, stock: &Stock) -> Result<Fit, FitError> {
    fit_counted(case, inputs, stock, &Steps::default())
}

/// As [`fit`], with its steps counted.
///
/// # Errors
/// As [`fit`].
pub fn fit_counted(case: &Case, inputs: &PlanInputs, stock: &Stock, steps: &Steps) -> Result<Fit, FitError> {
    steps.begin("laying out the stock", 0);
    if stock.patterns.len() > MOST_PATTERNS {
        return Err(FitError::TooManyPatterns { found: stock.patterns.len() });
    }
    let bolts = stock.patterns.iter().flat_map(|p| &p.bolts);
    let known = bolts.chain(&stock.bolts).all(|b| b.bolt < case.bolts.len())
        && stock.surfaces.iter().all(|s| s.surface < case.surface_support.len());
    if !known {
        return Err(FitError::UnknownEntry);
    }
    let opening = case.opening().map_err(PlanError::from)?;
    let offers = Offers::of(case, stock, &opening);
    let entries = offers.by_cost(inputs)?;
    if entries.is_empty() {
        return Err(FitError::NothingToDrill);
    }
    let count = entries.len();
    let mut found = search::search(case, inputs, &offers, entries, steps)?;
    found.tally.combinations = stock.candidates();
    found.tally.alike = offers.alike();
    found.tally.no_collar = found.tally.combinations - found.tally.alike - count;
    Ok(found)
}

/// Whether the missing price is that of everything: asked once, of the first candidate.
fn missing_price(notes: &[PlanNote]) -> Option<String> {
    notes.iter().find_map(|n| match n {
        PlanNote::NoPrice { what } => Some(what.clone()),
        PlanNote::NotCounted { bolt, lacking } => {
            Some(format!("cartridges or grout of {bolt} ({lacking} not given)"))
        }
        _ => None,
    })
}

/// The whole check of a case with a candidate in it, and what it lacks.
fn checked(case: &Case, costed: Costed) -> Result<(Whole, Failing), CheckError> {
    let whole = check(case)?;
    let lacks = lacks(&whole);
    let (force_needed_kn, force_provided_kn) = lacks.first().and_then(|first| forces(&whole, first)).unzip();
    let as_drawn = as_drawn(case, &whole);
    let doubled = doubled(case)?;
    let found = Failing { costed, lacks, force_needed_kn, force_provided_kn, as_drawn, doubled };
    Ok((whole, found))
}

/// A case judged with collars twice as far off as it says; `None` where it counts on them exactly.
fn doubled(case: &Case) -> Result<Option<Doubled>, CheckError> {
    let tolerance_m = 2.0 * case.installation.judged_tolerance_m();
    if tolerance_m == 0.0 {
        return Ok(None);
    }
    let mut own = case.clone();
    own.installation.collar_tolerance_m = Some(tolerance_m);
    let (check, stages) = verdicts_and_stages(&own)?;
    let tightest = tightest_of(&check, &stages);
    Ok(Some(Doubled { tolerance_m, margin: tightest.as_ref().map_or(f64::INFINITY, Lack::margin), tightest }))
}

/// What is asked of what carries it, and what there is, kN: of the piece that decides, and at a stage of
/// the wedge that stands there, against the movement.
fn forces(found: &Whole, lack: &Lack) -> Option<(f64, f64)> {
    let wedge = found.check.wedges.iter().find(|w| w.wedge.id == lack.wedge)?;
    match lack.of {
        LackOf::NotJudged => None,
        LackOf::Pieces(_) => {
            let needed_kn = wedge.force_asked_kn()?;
            Some((needed_kn, (needed_kn - wedge.force_lacking_kn()).max(0.0)))
        }
        LackOf::Stage(stage, place) => {
            let rows = &found.stages.rows;
            let row = rows.iter().find(|r| (r.stage, r.place, &r.wedge) == (stage, place, &lack.wedge))?;
            let own = &wedge.wedge;
            // Forces go with volume.
            let share = row.volume_m3 / own.shape.volume_m3;
            let needed_kn = wedge.force_needed_kn() * share;
            let lacking_kn = (lack.asked_fs - row.fs) * own.stability.motion.driving_kn * share;
            Some((needed_kn, (needed_kn - lacking_kn).max(0.0)))
        }
    }
}
