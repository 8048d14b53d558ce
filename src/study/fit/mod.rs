//! The cheapest and the quickest pattern of a stock that hold everything.

mod candidates;
mod search;

use thiserror::Error;

use super::plan::{PlanError, PlanNote, per_metre};
use super::standing::standing;
use super::{AsDrawn, CheckError, Lack, Whole, as_drawn, check, lacks};
use crate::case::{Case, FromStock, PlanInputs, Stock};
use candidates::{case_of, costed, every, of_stock, set_prices};

/// One combination of what is on stock: indices into the lists of [`Stock`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Candidate {
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
    /// The surface support; `None` where the stock lists none and the case's stands as it is.
    pub surface: Option<usize>,
}

/// A candidate with what it costs and takes, by the metre of drive.
#[derive(Debug, Clone, Copy, PartialEq)]
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

/// A candidate that holds everything, and that no other one undercuts in both cost and minutes.
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
    /// How it would fare with every collar exactly where it is drawn.
    pub as_drawn: AsDrawn,
}

/// Of a stock of which nothing holds everything: the candidate that comes nearest by forces, what
/// stops it, and what would be needed.
#[derive(Debug, Clone, PartialEq)]
pub struct Stop {
    /// The candidate and what it lacks.
    pub nearest: Failing,
    /// Force that the first lack asks of bolts against the movement, or of the surface support between
    /// them, kN; `None` where nothing is judged.
    pub force_needed_kn: Option<f64>,
    /// What the candidate gives of it, kN.
    pub force_provided_kn: Option<f64>,
}

/// How many candidates each test refused: which test depends on the order of the search, that a
/// candidate is refused does not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Tally {
    /// Combinations of the stock.
    pub combinations: usize,
    /// Those that lay no collar on what they cover.
    pub no_collar: usize,
    /// Short at some piece of a wedge.
    pub pieces: usize,
    /// Short at a stage, or not judged.
    pub whole: usize,
    /// Not looked at: undercut in cost and minutes by one that holds.
    pub undercut: usize,
}

/// What the stock has to offer.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Those that hold everything and are undercut by none, by rising cost and falling minutes: the
    /// first is the cheapest, the last the quickest. Empty where nothing on stock holds.
    pub efficient: Vec<Fitted>,
    /// The next cheaper candidate than the cheapest, and why it does not do; `None` where there is
    /// none.
    pub next_cheaper: Option<Failing>,
    /// The next quicker candidate than the quickest, and why it does not do.
    pub next_quicker: Option<Failing>,
    /// Where nothing holds: what stops it.
    pub stop: Option<Stop>,
    /// How the search went.
    pub tally: Tally,
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
    /// A stock of another case.
    #[error("the stock names a bolt or a surface support that the case does not have")]
    UnknownEntry,
}

/// Whether a case holds everything that is asked; see [`super::lacks()`].
///
/// # Errors
/// As [`super::check()`].
pub fn holds_everything(case: &Case) -> Result<bool, CheckError> {
    Ok(standing(case, &|_| Vec::new())?.holds_everything)
}

/// Looks through every combination of a stock, each in place of all patterns of the case, for those
/// that hold everything ([`super::lacks()`]) at the least cost and in the least minutes.
///
/// The search is exhaustive: by rising cost, each candidate is refused by the first test that it does
/// not meet, cheap tests before dear ones, or looked at as a whole. No test takes one pattern to
/// be better than another: where a candidate is short was a placement of its own. A placement that was
/// bad for one candidate is tried first on the next ones, which is why the search is quick.
///
/// # Errors
/// [`FitError`] where a price is missing, where nothing can be drilled, or where the case makes no
/// sense.
pub fn fit(case: &Case, inputs: &PlanInputs, stock: &Stock) -> Result<Fit, FitError> {
    let known = stock.bolts.iter().all(|b| b.bolt < case.bolts.len())
        && stock.surfaces.iter().all(|s| s.surface < case.surface_support.len());
    if !known {
        return Err(FitError::UnknownEntry);
    }
    let all = every(stock);
    let combinations = all.len();
    let mut costed = costed(case, inputs, stock, &all)?;
    let no_collar = combinations - costed.len();
    if costed.is_empty() {
        return Err(FitError::NothingToDrill);
    }
    // Of equals the first in the order of the stock.
    costed.sort_by(|a, b| {
        a.cost_per_m.total_cmp(&b.cost_per_m).then(a.minutes_per_m.total_cmp(&b.minutes_per_m))
    });
    let mut found = search::search(case, stock, &costed)?;
    found.tally.combinations = combinations;
    found.tally.no_collar = no_collar;
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

/// What one candidate lacks; `None` where it lacks nothing.
fn failing(case: &Case, stock: &Stock, costed: &Costed) -> Result<Option<Failing>, CheckError> {
    let (_, found) = checked(case, stock, costed)?;
    Ok((!found.lacks.is_empty()).then_some(found))
}

/// The whole check of one candidate, and what it lacks.
fn checked(case: &Case, stock: &Stock, costed: &Costed) -> Result<(Whole, Failing), CheckError> {
    let own = case_of(case, stock, &costed.candidate);
    let whole = check(&own)?;
    let found = Failing { costed: *costed, lacks: lacks(&whole), as_drawn: as_drawn(&own, &whole) };
    Ok((whole, found))
}
