//! What the mine stocks, as plain values.

use crate::support::{Covered, Pattern};

/// More combinations than this are refused: somebody typed a list twice.
#[cfg(feature = "files")]
pub const MOST_CANDIDATES: usize = 100_000;

/// What the patterns of a case may be made of. Every combination is a candidate.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Bolts with their lengths.
    pub bolts: Vec<StockBolt>,
    /// The patterns that stand together, in the order of the file; never empty.
    pub patterns: Vec<StockPattern>,
    /// Surface support to choose from; empty means all that the case has, at once.
    pub surfaces: Vec<StockSurface>,
}

/// One of the patterns that stand together, and what it may be made of.
#[derive(Debug, Clone, PartialEq)]
pub struct StockPattern {
    /// Bolts of the stock with the lengths that it may have.
    pub bolts: Vec<StockBolt>,
    /// Collar to collar, metres.
    pub spacings_m: Vec<f64>,
    /// Ring to ring, metres.
    pub ring_spacings_m: Vec<f64>,
    /// Whether rings are staggered: either or both.
    pub stagger: Vec<bool>,
    /// What bolts may cover.
    pub coverages: Vec<Coverage>,
    /// Whether there is a choice without it.
    pub may_be_left_out: bool,
}

/// A bolt on stock.
#[derive(Debug, Clone, PartialEq)]
pub struct StockBolt {
    /// Index in the bolts of the case.
    pub bolt: usize,
    /// Whole length, metres, and price of one without its plate.
    pub lengths: Vec<(f64, f64)>,
    /// The part that stays outside the hole, metres.
    pub outside_hole_m: f64,
}

/// What bolts may cover.
#[derive(Debug, Clone, PartialEq)]
pub struct Coverage {
    /// The surfaces.
    pub covers: Vec<Covered>,
    /// Height below which walls get no collar, metres.
    pub lowest_collar_m: Option<f64>,
}

/// A surface support on stock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StockSurface {
    /// Index in the surface support of the case.
    pub surface: usize,
    /// Price of a sheet, where it is not that of the plan.
    pub price_per_sheet: Option<f64>,
}

/// A pattern made of what is on stock.
#[derive(Debug, Clone, PartialEq)]
pub struct StockedPattern {
    /// The pattern.
    pub pattern: Pattern,
    /// Price of one of its bolts, without plate.
    pub price_per_bolt: f64,
}

/// Patterns made of what is on stock, to stand in place of all patterns of a case.
#[derive(Debug, Clone, PartialEq)]
pub struct FromStock {
    /// The patterns, in the order of the stock; those that are left out are not among them.
    pub patterns: Vec<StockedPattern>,
    /// The surface support, in place of all that the case has; `None` where that stands.
    pub surface: Option<StockSurface>,
}

impl Stock {
    /// How many candidates there are.
    #[must_use]
    pub fn candidates(&self) -> usize {
        let patterns = self.patterns.iter().map(StockPattern::candidates);
        patterns.fold(self.surfaces.len().max(1), usize::saturating_mul)
    }
}

impl StockPattern {
    /// In how many ways it may be made, that without it counted too.
    #[must_use]
    pub fn candidates(&self) -> usize {
        let bolts: usize = self.bolts.iter().map(|b| b.lengths.len()).sum();
        let made =
            [self.spacings_m.len(), self.ring_spacings_m.len(), self.stagger.len(), self.coverages.len()]
                .into_iter()
                .fold(bolts, usize::saturating_mul);
        made.saturating_add(usize::from(self.may_be_left_out))
    }
}
