//! Advisory rules from print, shown beside the verdicts: none of them decides.

use super::Check;
use crate::case::Case;
use crate::opening::{Section, Surface};

/// Spans from here up have other rules in EM 1110-1-2907, metres.
const SMALL_SPAN_M: f64 = 6.0;

/// Widest spacing with mesh, metres (EM 1110-1-2907).
const SPACING_WITH_MESH_M: f64 = 1.8;

/// Height from which a heading's back and walls may need surface support, and down to which its
/// walls may, metres above the floor.
const TALL_HEADING_M: f64 = 3.5;

/// Room for rounding where a value is exactly what a rule asks for, metres.
const EXACTLY_M: f64 = 1e-9;

const EM: &str = "US Army Corps of Engineers EM 1110-1-2907 (1980), Rock Reinforcement, from memory";
const Q: &str = "Q-system, Barton et al. (1974), formula from memory";
const CODE: &str = "code of practice for headings of 3.5 m and higher, Western Australia; your local code may ask the same or more";

/// One rule against one thing.
#[derive(Debug, Clone, PartialEq)]
pub struct AdviceRow {
    /// What it is about: `pattern 1`, `back and walls`.
    pub about: String,
    /// The rule in words.
    pub rule: String,
    /// What was found, metres; `None` where nothing is there, or where it is no length.
    pub found_m: Option<f64>,
    /// What the rule says, metres; `None` where it is no length.
    pub advised_m: Option<f64>,
    /// Whether what was found is as the rule advises.
    pub is_as_advised: bool,
    /// Where the rule is printed.
    pub source: &'static str,
}

/// Bolt length by the Q-system, metres: 2 + 0.15 B / ESR for a span of B metres.
#[must_use]
pub fn q_bolt_length_m(span_m: f64, esr: f64) -> f64 {
    2.0 + 0.15 * span_m / esr
}

/// What print advises on the case's patterns and surface support: a row a rule and pattern.
#[must_use]
pub fn advice(case: &Case, check: &Check) -> Vec<AdviceRow> {
    let section = &check.opening.section;
    let (low, high) = section.bounds();
    let span_m = high.x - low.x;
    let block_m = block_width_m(case);
    let mut rows = Vec::new();
    for (index, pattern) in case.patterns.iter().enumerate() {
        let about = format!("pattern {}", index + 1);
        let spacing_m = pattern.ring_spacing_m.max(pattern.spacing_m);
        let mut add = |rule: &str, found_m: f64, advised_m: f64, at_least: bool, source| {
            rows.push(AdviceRow {
                about: about.clone(),
                rule: rule.to_owned(),
                found_m: Some(found_m),
                advised_m: Some(advised_m),
                is_as_advised: if at_least {
                    found_m >= advised_m - EXACTLY_M
                } else {
                    found_m <= advised_m + EXACTLY_M
                },
                source,
            });
        };
        add("length of at least twice the spacing", pattern.length_m, 2.0 * spacing_m, true, EM);
        if let Some(block_m) = block_m {
            add(
                "length of at least three times the width of critical blocks, taken as the mean joint spacing",
                pattern.length_m,
                3.0 * block_m,
                true,
                EM,
            );
        }
        if span_m < SMALL_SPAN_M {
            add(
                "length of at least half the span, for spans under 6 m",
                pattern.length_m,
                0.5 * span_m,
                true,
                EM,
            );
        }
        add("spacing of at most half the length", spacing_m, 0.5 * pattern.length_m, false, EM);
        if let Some(block_m) = block_m {
            add(
                "spacing of at most one and a half times the width of critical blocks, taken as the mean joint spacing",
                spacing_m,
                1.5 * block_m,
                false,
                EM,
            );
        }
        let meshed = case.surface_support.iter().any(|s| {
            matches!(s.kind, crate::support::SurfaceKind::Screen { .. })
                && Surface::ALL
                    .into_iter()
                    .any(|surface| s.includes(surface) && pattern.covers.iter().any(|c| c.includes(surface)))
        });
        if meshed {
            add("spacing of at most 1.8 m with mesh", spacing_m, SPACING_WITH_MESH_M, false, EM);
        }
        if let Some(esr) = case.esr {
            add(
                "length of 2 + 0.15 B / ESR for a span of B metres",
                pattern.length_m,
                q_bolt_length_m(span_m, esr),
                true,
                Q,
            );
        }
    }
    let height_m = high.y - low.y;
    if height_m >= TALL_HEADING_M - EXACTLY_M {
        rows.extend(down_the_walls(case, check, section));
    }
    rows
}

/// Mean of the sets' mean spacings, metres; `None` where none was measured.
fn block_width_m(case: &Case) -> Option<f64> {
    let known: Vec<f64> = case.joints.iter().filter_map(|s| s.spacing_m).collect();
    (!known.is_empty()).then(|| known.iter().sum::<f64>() / known.len() as f64)
}

/// Surface support in the back of a tall heading, and down each wall that stands higher than
/// 3.5 m above the floor.
fn down_the_walls(case: &Case, check: &Check, section: &Section) -> Vec<AdviceRow> {
    let floor_m = section.bounds().0.y;
    let top_m = |surface: Surface| {
        section
            .facets()
            .iter()
            .enumerate()
            .filter(|(i, _)| check.opening.surface_of(*i) == surface)
            .map(|(_, f)| f.start.y.max(f.start.y + f.tangent.y * f.length_m) - floor_m)
            .fold(f64::NEG_INFINITY, f64::max)
    };
    let covering = |surface: Surface| case.surface_support.iter().filter(move |s| s.includes(surface));
    let mut rows = Vec::new();
    if top_m(Surface::Back).is_finite() {
        rows.push(AdviceRow {
            about: Surface::Back.name().to_owned(),
            rule: "surface support in the back of a heading of 3.5 m or higher".to_owned(),
            found_m: None,
            advised_m: None,
            is_as_advised: covering(Surface::Back).next().is_some(),
            source: CODE,
        });
    }
    for wall in [Surface::LeftWall, Surface::RightWall] {
        if top_m(wall) <= TALL_HEADING_M + EXACTLY_M {
            continue;
        }
        let lowest_m = covering(wall).map(|s| s.lowest_m.unwrap_or(0.0) - floor_m).reduce(f64::min);
        rows.push(AdviceRow {
            about: wall.name().to_owned(),
            rule: "surface support down the wall to 3.5 m above the floor in a heading of 3.5 m or higher"
                .to_owned(),
            found_m: lowest_m,
            advised_m: Some(TALL_HEADING_M),
            is_as_advised: lowest_m.is_some_and(|m| m <= TALL_HEADING_M + EXACTLY_M),
            source: CODE,
        });
    }
    rows
}
