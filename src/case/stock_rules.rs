//! `[stock]` of a case file: its checks across keys, and the plain value.

use super::bolting::{WallHeight, check_below_crown, check_covers, check_height};
use super::file::{CaseFile, StockBoltTable, StockCoverageTable, StockSurfaceTable, StockTable};
use super::option_tables::StockPatternTable;
use super::rules::Rule;
use super::stock::{Coverage, MOST_CANDIDATES, Stock, StockBolt, StockPattern, StockSurface};
use super::walk::missing_key;
use crate::input::document::{Node, Table, Value};
use crate::input::{Collector, ProblemKind, Says, nearest, one_of, quoted};
use crate::opening::Section;

/// Keys that make the one pattern of a stock without `[[stock.pattern]]`, and whether it needs them.
const OF_ONE_PATTERN: [(&str, bool); 4] =
    [("spacings_m", true), ("ring_spacings_m", true), ("stagger", false), ("coverage", true)];

/// Checks `[stock]` against bolts, surface support and section; `rule` is that of the whole file.
pub(super) fn check_stock(root: &Table, rule: &Rule, section: Option<&Section>, problems: &mut Collector) {
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
        if let Some(section) = section {
            check_height(table, section, problems);
        }
    }
    check_one_or_several(node, stock, rule, problems);
    for pattern in stock.list("pattern") {
        check_pattern(stock, pattern, section, problems);
    }
    let many = combinations(stock);
    if many > MOST_CANDIDATES {
        let says = Says::new(
            format!("{many} combinations"),
            format!("at most {MOST_CANDIDATES}"),
            "take out what nobody would choose",
        );
        problems.add(ProblemKind::Conflict, node.place, &node.path, says);
    }
}

/// Spacings, stagger and coverages stand in `[stock]` for the one pattern, or in each of several.
fn check_one_or_several(node: &Node, stock: &Table, rule: &Rule, problems: &mut Collector) {
    if stock.mentions("pattern") {
        for (key, at) in OF_ONE_PATTERN.iter().filter_map(|(key, _)| Some((key, stock.get(key)?))) {
            let says = Says::new(
                format!("{key} beside [[stock.pattern]]"),
                "either this key, for a stock of one pattern, or [[stock.pattern]]",
                match *key {
                    "coverage" => "say covers, and for walls lowest_collars_m, in each [[stock.pattern]]",
                    _ => "move it into each [[stock.pattern]]",
                },
            );
            problems.add(ProblemKind::Conflict, at.place, &at.path, says);
        }
        return;
    }
    let keys = match rule {
        Rule::Table(root) => match root.get("stock").map(|k| &k.rule) {
            Some(Rule::Table(keys)) => keys,
            _ => return,
        },
        _ => return,
    };
    for (key, _) in OF_ONE_PATTERN.iter().filter(|(key, needed)| *needed && !stock.mentions(key)) {
        if let Some(known) = keys.get(key) {
            let path = format!("{}.{key}", node.path);
            problems.add(ProblemKind::MissingKey, node.place, &path, missing_key(known, &node.path));
        }
    }
}

/// Checks one `[[stock.pattern]]` against the bolts on stock and the section.
fn check_pattern(stock: &Table, node: &Node, section: Option<&Section>, problems: &mut Collector) {
    let Some(pattern) = node.table() else { return };
    let height = WallHeight {
        key: "lowest_collars_m",
        advice: "add lowest_collars_m: a list of heights above the floor of the lowest collar on the wall",
        face: Some("take it out: bolts in the face are a [[pattern]] of their own, bought as it stands"),
    };
    height.check(node, pattern, problems);
    if let Some(section) = section {
        for entry in pattern.list("lowest_collars_m").iter().filter(|n| n.usable) {
            if let Value::Number { value: lowest_m, .. } = entry.value {
                check_below_crown(lowest_m, entry, section, problems);
            }
        }
    }
    // Bolts on stock that cannot be used have been reported.
    if stock.list("bolt").iter().any(|b| !b.whole()) || stock.list("bolt").is_empty() {
        return;
    }
    let on_stock: Vec<&Table> = stock.list("bolt").iter().filter_map(Node::table).collect();
    let names: Vec<&str> = on_stock.iter().filter_map(|b| b.text("bolt")).collect();
    for entry in pattern.list("bolts").iter().filter(|n| n.usable) {
        let Value::Text(name) = &entry.value else { continue };
        if names.contains(&name.as_str()) {
            continue;
        }
        let advice = match nearest(name, names.iter().copied()) {
            Some(near) => format!("did you mean {}?", quoted(near)),
            None => format!("add a [[stock.bolt]] with bolt = {}", quoted(name)),
        };
        let says = Says::new(
            format!("{}, which no [[stock.bolt]] has", quoted(name)),
            one_of(names.iter().copied()),
            advice,
        );
        problems.add(ProblemKind::Conflict, entry.place, &entry.path, says);
    }
    let wanted = texts(pattern.list("bolts"));
    let its_own =
        on_stock.iter().filter(|b| wanted.is_empty() || b.text("bolt").is_some_and(|n| wanted.contains(&n)));
    let there: Vec<f64> = its_own.flat_map(|b| numbers(b.list("lengths_m"))).collect();
    if there.is_empty() {
        return;
    }
    for entry in pattern.list("lengths_m").iter().filter(|n| n.usable) {
        let Value::Number { value: length_m, .. } = entry.value else { continue };
        if !there.contains(&length_m) {
            let mut lengths = there.clone();
            lengths.sort_by(f64::total_cmp);
            lengths.dedup();
            let lengths: Vec<String> = lengths.iter().map(f64::to_string).collect();
            let says = Says::new(
                format!("{length_m}, a length that none of its bolts has on stock"),
                format!("{} metres", lengths.join(", ")),
                "correct it, or add it with a price to its [[stock.bolt]]",
            );
            problems.add(ProblemKind::Conflict, entry.place, &entry.path, says);
        }
    }
}

fn texts(list: &[Node]) -> Vec<&str> {
    let text = |node: &'_ Node| matches!(node.value, Value::Text(_)) && node.usable;
    list.iter()
        .filter(|n| text(n))
        .filter_map(|node| match &node.value {
            Value::Text(text) => Some(text.as_str()),
            _ => None,
        })
        .collect()
}

fn numbers(list: &[Node]) -> Vec<f64> {
    list.iter()
        .filter(|n| n.usable)
        .filter_map(|node| match node.value {
            Value::Number { value, .. } => Some(value),
            _ => None,
        })
        .collect()
}

/// How many combinations the lists make, as far as they can be used.
fn combinations(stock: &Table) -> usize {
    let surfaces = stock.list("surface").len().max(1);
    let bolts: Vec<&Table> = stock.list("bolt").iter().filter_map(Node::table).collect();
    let of = |table: &Table, keys: &[&str], lengths: usize| {
        keys.iter().fold(lengths, |n, key| n.saturating_mul(table.list(key).len().max(1)))
    };
    let patterns = stock.list("pattern");
    if patterns.is_empty() {
        let lengths: usize = bolts.iter().map(|b| b.list("lengths_m").len()).sum();
        return of(stock, &["spacings_m", "ring_spacings_m", "stagger", "coverage"], lengths)
            .saturating_mul(surfaces);
    }
    patterns.iter().filter_map(Node::table).fold(surfaces, |n, pattern| {
        let (names, wanted_m) = (texts(pattern.list("bolts")), numbers(pattern.list("lengths_m")));
        let lengths: usize = bolts
            .iter()
            .filter(|b| names.is_empty() || b.text("bolt").is_some_and(|n| names.contains(&n)))
            .flat_map(|b| numbers(b.list("lengths_m")))
            .filter(|m| wanted_m.is_empty() || wanted_m.contains(m))
            .count();
        let keys = ["spacings_m", "ring_spacings_m", "stagger", "lowest_collars_m"];
        let left_out = matches!(pattern.get("may_be_left_out").map(|n| &n.value), Some(Value::Flag(true)));
        n.saturating_mul(of(pattern, &keys, lengths).saturating_add(usize::from(left_out)))
    })
}

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
        let Value::Number { value: length_m, .. } = node.value else { continue };
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

/// The plain value; `None` where it names something that is not there.
pub(super) fn stock_of(table: &StockTable, file: &CaseFile) -> Option<Stock> {
    let bolt = |entry: &StockBoltTable| {
        Some(StockBolt {
            bolt: file.bolt.iter().position(|b| b.name == entry.bolt)?,
            lengths: entry.lengths_m.iter().copied().zip(entry.prices.iter().copied()).collect(),
            outside_hole_m: entry.outside_hole_m,
        })
    };
    let surface = |entry: &StockSurfaceTable| {
        Some(StockSurface {
            surface: file.surface.iter().position(|s| s.name == entry.surface)?,
            price_per_sheet: entry.price_per_sheet,
        })
    };
    let coverage = |entry: &StockCoverageTable| Coverage {
        covers: entry.covers.iter().map(|&c| c.into()).collect(),
        lowest_collar_m: entry.lowest_collar_m,
    };
    let bolts: Vec<StockBolt> = table.bolt.iter().map(bolt).collect::<Option<_>>()?;
    let one = || StockPattern {
        bolts: bolts.clone(),
        spacings_m: table.spacings_m.clone(),
        ring_spacings_m: table.ring_spacings_m.clone(),
        stagger: staggered(&table.stagger),
        coverages: table.coverage.iter().map(coverage).collect(),
        may_be_left_out: false,
    };
    let patterns = if table.pattern.is_empty() {
        vec![one()]
    } else {
        let named =
            |index: usize, names: &[String]| names.is_empty() || names.contains(&table.bolt[index].bolt);
        table.pattern.iter().map(|entry| pattern_of(entry, &bolts, &named)).collect()
    };
    Some(Stock { patterns, surfaces: table.surface.iter().map(surface).collect::<Option<_>>()?, bolts })
}

fn staggered(typed: &[bool]) -> Vec<bool> {
    if typed.is_empty() { vec![false] } else { typed.to_vec() }
}

/// `named` says whether a bolt on stock, by its place, is among names.
fn pattern_of(
    entry: &StockPatternTable,
    bolts: &[StockBolt],
    named: &dyn Fn(usize, &[String]) -> bool,
) -> StockPattern {
    let with_lengths = |bolt: &StockBolt| {
        let wanted = |m: f64| entry.lengths_m.is_empty() || entry.lengths_m.contains(&m);
        let lengths: Vec<(f64, f64)> = bolt.lengths.iter().copied().filter(|l| wanted(l.0)).collect();
        (!lengths.is_empty()).then(|| StockBolt { lengths, ..bolt.clone() })
    };
    let covers: Vec<_> = entry.covers.iter().map(|&c| c.into()).collect();
    let coverages = match entry.lowest_collars_m.as_slice() {
        [] => vec![Coverage { covers, lowest_collar_m: None }],
        lowest => {
            let at = |&m: &f64| Coverage { covers: covers.clone(), lowest_collar_m: Some(m) };
            lowest.iter().map(at).collect()
        }
    };
    StockPattern {
        bolts: bolts
            .iter()
            .enumerate()
            .filter(|(index, _)| named(*index, &entry.bolts))
            .filter_map(|(_, bolt)| with_lengths(bolt))
            .collect(),
        spacings_m: entry.spacings_m.clone(),
        ring_spacings_m: entry.ring_spacings_m.clone(),
        stagger: staggered(&entry.stagger),
        coverages,
        may_be_left_out: entry.may_be_left_out,
    }
}
