//! Which changes are tried: a ladder of values for each key, the smallest step first.

use super::Edit;
use crate::case::{Case, Stock};
use crate::opening::Vec2;
use crate::support::{Aim, BoltKind, Covered, Pattern, SurfaceKind, SurfaceSupport};

/// Closest rings and collars that are tried, metres: below this a boom has no room between plates.
pub(in crate::study) const CLOSEST_RINGS_M: f64 = 0.5;

/// Steps in which longer bolts are tried, metres: a foot, as bars are stocked.
pub(in crate::study) const LENGTH_STEP_M: f64 = 0.3;

/// Longest bolts that are tried, metres: what is set without a coupling in a five-metre heading.
pub(in crate::study) const LONGEST_BOLT_M: f64 = 6.0;

/// Longest cables that are tried, metres: twice that, from a coil.
const LONGEST_CABLE_M: f64 = 12.0;

/// Spacings are tried in tenths of a metre, rows and lower edges in steps of this, metres.
const ROW_STEP_M: f64 = 0.3;

/// The lowest row that is tried, metres above the floor: lower a boom does not get.
const LOWEST_ROW_M: f64 = 0.3;

/// Bays that are tried, over what one carries now. Which mesh carries it is the user's to find and test.
const BAYS: [f64; 5] = [1.25, 1.5, 2.0, 3.0, 5.0];

/// What one bay of a screen that is not there yet may carry, kN: from light weld mesh to heavy chain link as
/// pull tests on panels give it; common practice, no source. Which mesh does is the user's to find and test.
const HUNG_KN: [f64; 7] = [20.0, 30.0, 40.0, 50.0, 60.0, 80.0, 110.0];

/// Heights that a fan is drilled from, metres above the floor.
const FANS_FROM_M: [f64; 3] = [1.0, 2.0, 3.0];

/// The ladders of a case.
pub(super) fn ladders(case: &Case, stock: Option<&Stock>) -> Vec<Vec<Edit>> {
    let mut all: Vec<Vec<Edit>> = Vec::new();
    for (at, pattern) in case.patterns.iter().enumerate() {
        all.push(closer(pattern.ring_spacing_m).map(|m| Edit::Rings(at, m)).collect());
        all.push(closer(pattern.spacing_m).map(|m| Edit::Spacing(at, m)).collect());
        all.push(vec![Edit::Stagger(at, !pattern.stagger)]);
        all.push(lengths(case, pattern, stock).into_iter().map(|m| Edit::Length(at, m)).collect());
        if pattern.covers.iter().any(|c| c.is_wall()) {
            all.push(down(pattern.lowest_collar_m).map(|m| Edit::Row(at, m)).collect());
            all.push(down(pattern.lowest_collar_m).map(|m| Edit::LowestCollar(at, m)).collect());
        }
        all.push(
            more_covered(&pattern.covers)
                .into_iter()
                .flat_map(|covers| {
                    let wall = covers.iter().any(|c| c.is_wall());
                    let heights = pattern.lowest_collar_m.map_or(vec![1.5, 1.2, 0.9, 0.6], |m| vec![m]);
                    heights
                        .into_iter()
                        .take(if wall { usize::MAX } else { 1 })
                        .map(move |m| Edit::Covers(at, covers.clone(), wall.then_some(m)))
                        .collect::<Vec<_>>()
                })
                .collect(),
        );
        all.push(aims(pattern).into_iter().map(|aim| Edit::Aim(at, aim)).collect());
        let others = (0..case.bolts.len()).filter(|&b| b != pattern.bolt);
        all.push(others.map(|b| Edit::Bolt(at, b)).collect());
    }
    // Mesh hangs from plates: without bolts there is nothing to hang it from.
    if case.surface_support.is_empty() && !case.patterns.is_empty() {
        all.push(HUNG_KN.map(Edit::Hang).to_vec());
    }
    for (at, support) in case.surface_support.iter().enumerate() {
        if support.covers.iter().any(|c| c.is_wall()) {
            let lower = down(support.lowest_m).filter(|&m| m > 0.0).chain([0.0]);
            let now_m = support.lowest_m.unwrap_or(0.0);
            all.push(lower.filter(|&m| m < now_m).map(|m| Edit::SurfaceDown(at, m)).collect());
        }
        all.push(wider(at, support));
        if let SurfaceKind::Screen { bay_kn } | SurfaceKind::Strap { bay_kn } = support.kind {
            all.push(BAYS.iter().map(|share| Edit::Bay(at, whole_kn(share * bay_kn))).collect());
        }
    }
    all.retain(|ladder| !ladder.is_empty());
    all
}

/// Up to the next whole kN: what is printed is what was tried.
fn whole_kn(kn: f64) -> f64 {
    kn.ceil()
}

/// Whole tenths below a spacing.
fn closer(now_m: f64) -> impl Iterator<Item = f64> {
    let first = (now_m * 10.0 - 1e-6).ceil() as i64 - 1;
    let last = (CLOSEST_RINGS_M * 10.0).round() as i64;
    (last..=first).rev().map(|tenths| tenths as f64 / 10.0)
}

/// Heights below one, in steps, from the highest on.
fn down(now_m: Option<f64>) -> impl Iterator<Item = f64> {
    let below_m = now_m.unwrap_or(f64::INFINITY);
    let steps = (below_m.min(3.0) / ROW_STEP_M - 1e-6).ceil() as i64 - 1;
    let least = (LOWEST_ROW_M / ROW_STEP_M).round() as i64;
    (least..=steps).rev().map(|step| (step as f64 * ROW_STEP_M * 10.0).round() / 10.0)
}

/// What the stock has of this bolt; without a stock feet of bar and metres of cable.
fn lengths(case: &Case, pattern: &Pattern, stock: Option<&Stock>) -> Vec<f64> {
    let stocked = stock.and_then(|s| s.bolts.iter().find(|b| b.bolt == pattern.bolt));
    let mut all: Vec<f64> = match stocked {
        Some(bolt) => bolt.lengths.iter().map(|l| l.0).filter(|&m| m > pattern.length_m).collect(),
        None if case.bolts[pattern.bolt].kind == BoltKind::Cable => {
            let first = pattern.length_m.floor() as i64 + 1;
            (first..=LONGEST_CABLE_M as i64).map(|m| m as f64).collect()
        }
        None => {
            let first = (pattern.length_m / LENGTH_STEP_M + 1e-6).floor() as i64 + 1;
            let last = (LONGEST_BOLT_M / LENGTH_STEP_M).round() as i64;
            (first..=last).map(|step| (step as f64 * LENGTH_STEP_M * 10.0).round() / 10.0).collect()
        }
    };
    all.sort_by(f64::total_cmp);
    all
}

/// The same with back, or walls, or both too; empty where both are covered.
fn more_covered(covers: &[Covered]) -> Vec<Vec<Covered>> {
    let back = covers.contains(&Covered::Back);
    let walls = covers.contains(&Covered::Walls)
        || covers.contains(&Covered::LeftWall) && covers.contains(&Covered::RightWall);
    let with = |more: Covered| {
        let mut all: Vec<Covered> = covers.to_vec();
        if more == Covered::Walls {
            all.retain(|c| !c.is_wall());
        }
        all.push(more);
        all
    };
    let mut all = Vec::new();
    if !back {
        all.push(with(Covered::Back));
    }
    if !walls {
        for one in [Covered::LeftWall, Covered::RightWall] {
            if !covers.contains(&one) && !covers.iter().any(|c| c.is_wall()) {
                all.push(with(one));
            }
        }
        all.push(with(Covered::Walls));
    }
    all
}

fn wider(at: usize, support: &SurfaceSupport) -> Vec<Edit> {
    more_covered(&support.covers)
        .into_iter()
        .flat_map(|covers| {
            let wall = covers.iter().any(|c| c.is_wall());
            let heights = support.lowest_m.map_or(vec![1.5, 1.2, 0.9, 0.6, 0.3, 0.0], |m| vec![m]);
            heights
                .into_iter()
                .take(if wall { usize::MAX } else { 1 })
                .map(move |m| Edit::SurfaceCovers(at, covers.clone(), wall.then_some(m)))
                .collect::<Vec<_>>()
        })
        .collect()
}

/// Holes that lean: square to the surface, upright, or fanned from one place.
fn aims(pattern: &Pattern) -> Vec<Aim> {
    let fans = FANS_FROM_M.map(|v_m| Aim::Fan { origin: Vec2::new(0.0, v_m) });
    let mut all = vec![Aim::Normal];
    if !pattern.covers.iter().any(|c| c.is_wall()) {
        all.push(Aim::Vertical);
    }
    all.extend(fans);
    all.retain(|aim| *aim != pattern.aim && !matches!(pattern.aim, Aim::Boom(_)));
    all
}
