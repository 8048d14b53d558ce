//! What the mine stocks, as plain values, and the checks of its table across keys.

#[cfg(feature = "files")]
use super::bolting::{check_covers, check_height};
#[cfg(feature = "files")]
use super::document::{Node, Table};
#[cfg(feature = "files")]
use super::file::{CaseFile, StockTable};
#[cfg(feature = "files")]
use crate::input::{Collector, ProblemKind, Says, nearest, one_of, quoted};
#[cfg(feature = "files")]
use crate::opening::Opening;
use crate::support::{Covered, Pattern};

/// More combinations than this are refused: somebody typed a list twice.
#[cfg(feature = "files")]
pub const MOST_CANDIDATES: usize = 100_000;

/// What a pattern may be made of. Every combination is a candidate.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Bolts with their lengths.
    pub bolts: Vec<StockBolt>,
    /// Collar to collar, metres.
    pub spacings_m: Vec<f64>,
    /// Ring to ring, metres.
    pub ring_spacings_m: Vec<f64>,
    /// Whether rings are staggered: either or both.
    pub stagger: Vec<bool>,
    /// What bolts may cover.
    pub coverages: Vec<Coverage>,
    /// Surface support to choose from; empty means all that the case has, at once.
    pub surfaces: Vec<StockSurface>,
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

/// A pattern made of what is on stock, to stand in place of all patterns of a case.
#[derive(Debug, Clone, PartialEq)]
pub struct FromStock {
    /// The pattern.
    pub pattern: Pattern,
    /// Price of one of its bolts, without plate.
    pub price_per_bolt: f64,
    /// The surface support, in place of all that the case has; `None` where that stands.
    pub surface: Option<StockSurface>,
}

impl Stock {
    /// How many candidates there are.
    #[must_use]
    pub fn candidates(&self) -> usize {
        let bolts: usize = self.bolts.iter().map(|b| b.lengths.len()).sum();
        [
            self.spacings_m.len(),
            self.ring_spacings_m.len(),
            self.stagger.len(),
            self.coverages.len(),
            self.surfaces.len().max(1),
        ]
        .into_iter()
        .fold(bolts, usize::saturating_mul)
    }
}

#[cfg(feature = "files")]
/// Checks `[stock]` against bolts, surface support and opening.
pub(super) fn check_stock(root: &Table, opening: Option<&Opening>, problems: &mut Collector) {
    let Some(node) = root.get("stock") else { return };
    let Some(stock) = node.table() else { return };
    for bolt in stock.list("bolt").iter().filter_map(Node::table) {
        check_named(root, bolt, "bolt", problems);
        check_lengths(root, bolt, problems);
    }
    for surface in stock.list("surface").iter().filter_map(Node::table) {
        check_named(root, surface, "surface", problems);
    }
    for coverage in stock.list("coverage") {
        let Some(table) = coverage.table() else { continue };
        check_covers(coverage, table, problems);
        if let Some(opening) = opening {
            check_height(table, opening, problems);
        }
    }
    let lengths: usize =
        stock.list("bolt").iter().filter_map(Node::table).map(|b| b.list("lengths_m").len()).sum();
    let many = ["spacings_m", "ring_spacings_m", "stagger", "coverage", "surface"]
        .into_iter()
        .fold(lengths, |n, key| n.saturating_mul(stock.list(key).len().max(1)));
    if many > MOST_CANDIDATES {
        let says = Says::new(
            format!("{many} combinations"),
            format!("at most {MOST_CANDIDATES}"),
            "take out what nobody would choose",
        );
        problems.add(ProblemKind::Conflict, node.place, &node.path, says);
    }
}

#[cfg(feature = "files")]
fn check_named(root: &Table, entry: &Table, key: &str, problems: &mut Collector) {
    let (Some(name), Some(at)) = (entry.text(key), entry.get(key)) else { return };
    if root.has(key) && root.get(key).is_none() {
        return;
    }
    let names: Vec<&str> = root.list(key).iter().filter_map(|n| n.table()?.text("name")).collect();
    if names.contains(&name) {
        return;
    }
    let allowed = match names.as_slice() {
        [] => format!("the name of a [[{key}]]; there is none"),
        names => one_of(names.iter().copied()),
    };
    let advice = match nearest(name, names.iter().copied()) {
        Some(near) => format!("did you mean {}?", quoted(near)),
        None => format!("add a [[{key}]] with name = {}", quoted(name)),
    };
    let says = Says::new(format!("{}, which the case does not have", quoted(name)), allowed, advice);
    problems.add(ProblemKind::Conflict, at.place, &at.path, says);
}

#[cfg(feature = "files")]
fn check_lengths(root: &Table, entry: &Table, problems: &mut Collector) {
    let (lengths, prices) = (entry.list("lengths_m"), entry.list("prices"));
    if let (Some(at), true) = (entry.get("prices"), lengths.len() != prices.len() && !lengths.is_empty()) {
        let says = Says::new(
            format!("{} prices for {} lengths", prices.len(), lengths.len()),
            "a price for each length",
            "give as many prices as lengths_m has, in the same order",
        );
        problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    }
    let Some(outside_m) = entry.number("outside_hole_m") else { return };
    let bolt = root
        .list("bolt")
        .iter()
        .filter_map(Node::table)
        .find(|b| b.text("name").is_some() && b.text("name") == entry.text("bolt"));
    let needed_m = ["fast_length_m", "anchor_length_m"]
        .into_iter()
        .filter_map(|key| bolt.and_then(|b| b.number(key)))
        .fold(0.0, f64::max);
    for node in lengths {
        let super::document::Value::Number { value: length_m, .. } = node.value else { continue };
        let in_hole_m = length_m - outside_m;
        if node.usable && (in_hole_m < outside_m || in_hole_m < needed_m) {
            let says = Says::new(
                format!("{length_m}: {outside_m} m of it stay outside the hole"),
                format!("at least {} metres", (2.0 * outside_m).max(outside_m + needed_m)),
                "correct the length, outside_hole_m, or what the bolt asks for in its hole",
            );
            problems.add(ProblemKind::Conflict, node.place, &node.path, says);
        }
    }
}

#[cfg(feature = "files")]
/// The plain value; `None` where it names something that is not there.
pub(super) fn stock_of(table: &StockTable, file: &CaseFile) -> Option<Stock> {
    let bolt = |entry: &super::file::StockBoltTable| {
        Some(StockBolt {
            bolt: file.bolt.iter().position(|b| b.name == entry.bolt)?,
            lengths: entry.lengths_m.iter().copied().zip(entry.prices.iter().copied()).collect(),
            outside_hole_m: entry.outside_hole_m,
        })
    };
    let surface = |entry: &super::file::StockSurfaceTable| {
        Some(StockSurface {
            surface: file.surface.iter().position(|s| s.name == entry.surface)?,
            price_per_sheet: entry.price_per_sheet,
        })
    };
    let coverage = |entry: &super::file::StockCoverageTable| Coverage {
        covers: entry.covers.iter().map(|&c| c.into()).collect(),
        lowest_collar_m: entry.lowest_collar_m,
    };
    Some(Stock {
        bolts: table.bolt.iter().map(bolt).collect::<Option<_>>()?,
        spacings_m: table.spacings_m.clone(),
        ring_spacings_m: table.ring_spacings_m.clone(),
        stagger: if table.stagger.is_empty() { vec![false] } else { table.stagger.clone() },
        coverages: table.coverage.iter().map(coverage).collect(),
        surfaces: table.surface.iter().map(surface).collect::<Option<_>>()?,
    })
}
