//! How likely wedges are short where the numbers of a case scatter.
//!
//! A draw is the whole drive once: every joint set with one orientation and one strength, every pyramid of
//! every triple against the whole section. Chances are shares of draws. They hold for the case as it is typed:
//! its laws, independent but for what it correlates, and the largest admissible wedge of each pyramid, which
//! the joints are taken to make somewhere along the drive.

mod draw;
mod drivers;
mod fast;
mod one;
mod tally;

use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

pub use draw::{LOT, Spread};
pub use drivers::{Driver, DriverDraw};
pub use one::DrawnWedge;
pub use tally::{Histogram, PlaceTally, PyramidTally, QUANTILE_ERROR, Shorts, Tally};

use draw::{Drawing, Drawn, Room};
use one::{Bolts, Eyes, Scratch};
use tally::CHANCE_PARTS;

use super::check::verdicts_alone;
use super::forces::Ground;
use super::wedges::wedge_id;
use super::{CheckError, Steps, Verdict};
use crate::case::{Case, Scatter};
use crate::numeric::{triples, wilson_95};
use crate::orientation::Plane;
use crate::survey::block_volume_m3;
use crate::wedge::JointPyramid;

/// The first draws that drivers are found from: enough for a rank correlation to a hundredth, at a memory that
/// does not grow.
pub const DRIVER_DRAWS: u64 = 10_000;

/// Draws after which it is asked whether the wanted half-width is met.
const ASKED_EVERY: u64 = 10_000;

/// Draws that are looked at between two reports, where no half-width is wanted: threads wait for each other there.
const AT_ONCE: u64 = 256_000;

/// The same where every draw is handed over: they are held meanwhile.
const AT_ONCE_SEEN: u64 = 64_000;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChanceAsk {
    /// Number of the first draw.
    pub from: u64,
    /// One past the last.
    pub to: u64,
    /// What fixes the draws.
    pub seed: u64,
    /// How they are spread.
    pub spread: Spread,
    /// Half-width of the 95 % interval on the chance that a wedge is short at which no more are drawn; asked
    /// after every 10,000.
    pub half_width: Option<f64>,
    /// How many of the first draws are judged as a check judges: every piece, with collars off their place.
    pub judged: u64,
}

/// What was found; parts of it add up ([`Chance::merge`]).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Chance {
    /// Number of the first draw.
    pub from: u64,
    /// One past the last.
    pub to: u64,
    /// What was counted.
    pub tally: Tally,
    /// The draws that drivers are found from, in their order.
    pub driver_draws: Vec<DriverDraw>,
    /// The draws that were judged, in their order.
    pub judged: Vec<JudgedDraw>,
}

/// A draw as a check judges it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct JudgedDraw {
    /// Its number.
    pub index: u64,
    /// Pyramids that are short, and those that are not judged, as [`DrawnWedge::pyramid`] counts them.
    pub short: Vec<usize>,
    /// The same of those not judged.
    pub not_judged: Vec<usize>,
    /// Places of [`crate::opening::Surface::ALL`] on which one is short.
    pub short_on: Vec<usize>,
}

/// Looks at the draws that are asked for. `each` gets every draw with its wedges in the order of their numbers,
/// where it is given: that takes longer.
///
/// # Errors
/// As [`super::check()`].
pub fn chance(case: &Case, scatter: &Scatter, ask: &ChanceAsk, steps: &Steps) -> Result<Chance, CheckError> {
    let looking = Looking::new(case, scatter, ask)?;
    looking.run(ask, steps, None)
}

/// One draw as samples.csv has it.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenDraw {
    /// Its number.
    pub index: u64,
    /// What was drawn, in the order of [`drawn_names`].
    pub values: Vec<f64>,
    /// Its wedges that can move.
    pub wedges: Vec<DrawnWedge>,
}

/// As [`chance`], and hands over every draw in the order of their numbers.
///
/// # Errors
/// As [`chance`].
pub fn chance_seen(
    case: &Case,
    scatter: &Scatter,
    ask: &ChanceAsk,
    steps: &Steps,
    each: &mut dyn FnMut(SeenDraw),
) -> Result<Chance, CheckError> {
    let looking = Looking::new(case, scatter, ask)?;
    looking.run(ask, steps, Some(each))
}

/// What is drawn: of each set whose orientation scatters (it has a Fisher K or readings to be drawn from) how many
/// degrees steeper and how many clockwise its pole went, then the numbers that scatter by their keys.
#[must_use]
pub fn drawn_names(case: &Case, scatter: &Scatter) -> Vec<String> {
    let frame = crate::opening::DriveFrame::new(case.advance);
    Drawing::new(case, scatter, &frame, 0, Spread::Plain).names(case)
}

/// The case that a draw stands for, to be checked by itself.
///
/// # Errors
/// As [`chance`].
pub fn drawn_case(case: &Case, scatter: &Scatter, ask: &ChanceAsk, index: u64) -> Result<Case, CheckError> {
    let looking = Looking::new(case, scatter, ask)?;
    let (mut room, mut drawn) = (Room::default(), Drawn::default());
    looking.drawing.draw(index, false, &mut room, &mut drawn);
    let mut own = case.clone();
    looking.drawing.put(&drawn, &looking.ground.opening.frame, &mut own);
    Ok(own)
}

/// The planes of the first draws, a list a draw in the order of the joints, for pictures.
///
/// # Errors
/// As [`chance`].
pub fn drawn_planes(
    case: &Case,
    scatter: &Scatter,
    ask: &ChanceAsk,
    draws: u64,
) -> Result<Vec<Vec<Plane>>, CheckError> {
    let looking = Looking::new(case, scatter, ask)?;
    let (mut room, mut drawn) = (Room::default(), Drawn::default());
    let planes = (0..draws).map(|index| {
        looking.drawing.draw(index, false, &mut room, &mut drawn);
        let frame = &looking.ground.opening.frame;
        drawn.upward.iter().map(|n| Plane::from_normal(&frame.to_world(n))).collect()
    });
    Ok(planes.collect())
}

/// The wedges of one draw; `general` looks at each in the way of a check, which is slow and is what the fast
/// way has to agree with.
///
/// # Errors
/// As [`chance`].
pub fn drawn_wedges(
    case: &Case,
    scatter: &Scatter,
    ask: &ChanceAsk,
    index: u64,
    general: bool,
) -> Result<Vec<DrawnWedge>, CheckError> {
    let looking = Looking::new(case, scatter, ask)?;
    let mut at = At::new(case);
    looking.look(index, general, &mut at);
    Ok(at.wedges)
}

/// The name of a pyramid as [`DrawnWedge::pyramid`] counts them: that of its wedge in a check.
#[must_use]
pub fn pyramid_id(case: &Case, pyramid: usize) -> String {
    let sets = triples(case.joints.len())[pyramid / 8];
    wedge_id(case, sets, JointPyramid::all()[pyramid % 8])
}

/// The drivers of what was found; fewer than a hundred draws say nothing.
#[must_use]
pub fn drivers(case: &Case, scatter: &Scatter, found: &Chance) -> Vec<Driver> {
    if found.driver_draws.len() < 100 {
        return Vec::new();
    }
    drivers::drivers(&drawn_names(case, scatter), &found.driver_draws)
}

/// Why parts do not add up.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MergeError {
    /// Draws that are in two parts, or in none.
    #[error("draws {from} to {to} are {} parts", if *twice { "in two" } else { "in none of the" })]
    Gap {
        /// The first of them.
        from: u64,
        /// One past the last.
        to: u64,
        /// Whether two have them.
        twice: bool,
    },
    /// No part at all.
    #[error("there is no part")]
    Nothing,
}

impl Chance {
    /// The whole that parts make, whatever their order.
    ///
    /// # Errors
    /// [`MergeError`] where draws are missing or come twice.
    pub fn merge(mut parts: Vec<Self>) -> Result<Self, MergeError> {
        parts.sort_by_key(|part| (part.from, part.to));
        let mut parts = parts.into_iter();
        let mut whole = parts.next().ok_or(MergeError::Nothing)?;
        for part in parts {
            if part.from != whole.to {
                let twice = part.from < whole.to;
                let (from, to) = (part.from.min(whole.to), part.from.max(whole.to));
                return Err(MergeError::Gap { from, to, twice });
            }
            whole.to = part.to;
            whole.tally.merge(&part.tally);
            whole.driver_draws.extend(part.driver_draws);
            whole.judged.extend(part.judged);
        }
        Ok(whole)
    }

    /// How many draws.
    #[must_use]
    pub fn draws(&self) -> u64 {
        self.tally.draws
    }

    /// Draws in which a wedge is short: with bolts where the case has any, else bare.
    #[must_use]
    pub fn short(&self, case: &Case) -> u64 {
        self.tally.short(case)
    }
}

/// Everything that does not change from draw to draw.
struct Looking<'a> {
    case: &'a Case,
    ground: Ground,
    drawing: Drawing<'a>,
}

/// Where a thread is.
struct At {
    case: Case,
    room: Room,
    drawn: Drawn,
    wedges: Vec<DrawnWedge>,
    scratch: Scratch,
}

impl At {
    fn new(case: &Case) -> Self {
        Self {
            case: case.clone(),
            room: Room::default(),
            drawn: Drawn::default(),
            wedges: Vec::new(),
            scratch: Scratch::default(),
        }
    }
}

/// One that draws, with what it counted: as many as there are threads. What is counted takes megabytes, so that it is
/// put together once, at the end, and not lot by lot.
struct Worker {
    at: At,
    tally: Tally,
    driver_draws: Vec<DriverDraw>,
    seen: Vec<SeenDraw>,
}

impl<'a> Looking<'a> {
    fn new(case: &'a Case, scatter: &'a Scatter, ask: &ChanceAsk) -> Result<Self, CheckError> {
        let ground = Ground::of(case)?;
        let drawing = Drawing::new(case, scatter, &ground.opening.frame, ask.seed, ask.spread);
        Ok(Self { case, ground, drawing })
    }

    /// Makes a draw and finds its wedges.
    fn look(&self, index: u64, general: bool, at: &mut At) {
        let eyes = Eyes::new(self.case, &self.ground);
        self.look_with(&eyes, index, (general, true), at);
    }

    fn look_with(&self, eyes: &Eyes, index: u64, (general, told): (bool, bool), at: &mut At) {
        self.drawing.draw(index, told, &mut at.room, &mut at.drawn);
        self.drawing.put_numbers(&at.drawn, &mut at.case);
        at.wedges.clear();
        let At { case, drawn, wedges, scratch, .. } = at;
        let mut bolts = Bolts::new(&self.drawing, index);
        eyes.each_wedge((case, drawn), (&mut bolts, scratch), general, |wedge| wedges.push(wedge));
    }

    fn run(
        &self,
        ask: &ChanceAsk,
        steps: &Steps,
        mut each: Option<&mut dyn FnMut(SeenDraw)>,
    ) -> Result<Chance, CheckError> {
        let triples = triples(self.case.joints.len()).len();
        let worker = || Worker {
            at: At::new(self.case),
            tally: Tally::new(triples),
            driver_draws: Vec::new(),
            seen: Vec::new(),
        };
        let mut workers: Vec<Worker> = (0..rayon::current_num_threads().max(1)).map(|_| worker()).collect();
        let eyes = Eyes::new(self.case, &self.ground);
        let every = match (ask.half_width, &each) {
            (Some(_), _) => ASKED_EVERY,
            (None, Some(_)) => AT_ONCE_SEEN,
            (None, None) => AT_ONCE,
        };
        steps.begin("drawing", usize::try_from(ask.to - ask.from).unwrap_or(usize::MAX));
        let mut drawn_to = ask.from;
        while drawn_to < ask.to {
            // At the same numbers wherever a run begins.
            let end = ((drawn_to / every + 1) * every).min(ask.to);
            self.draw_on(&eyes, (drawn_to, end), each.is_some(), &mut workers);
            drawn_to = end;
            if let Some(each) = &mut each {
                let mut seen: Vec<SeenDraw> = workers.iter_mut().flat_map(|w| w.seen.drain(..)).collect();
                seen.sort_by_key(|d| d.index);
                seen.into_iter().for_each(each);
            }
            steps.reach(usize::try_from(drawn_to - ask.from).unwrap_or(usize::MAX));
            if self.is_narrow(ask, drawn_to, &workers) {
                break;
            }
        }
        let mut tally = Tally::new(triples);
        let mut driver_draws = Vec::new();
        for worker in workers {
            tally.merge(&worker.tally);
            driver_draws.extend(worker.driver_draws);
        }
        driver_draws.sort_by_key(|d| d.index);
        let judged = self.judged(ask, drawn_to, steps)?;
        Ok(Chance { from: ask.from, to: drawn_to, tally, driver_draws, judged })
    }

    /// Whether the chance is known as well as is wanted.
    fn is_narrow(&self, ask: &ChanceAsk, drawn_to: u64, workers: &[Worker]) -> bool {
        ask.half_width.is_some_and(|wanted| {
            let short = workers.iter().map(|w| w.tally.short(self.case)).sum();
            let [low, high] = wilson_95(short, workers.iter().map(|w| w.tally.draws).sum());
            drawn_to.is_multiple_of(ASKED_EVERY) && 0.5 * (high - low) <= wanted
        })
    }

    /// The draws from one number up to another, shared in lots.
    fn draw_on(&self, eyes: &Eyes, (from, to): (u64, u64), seen: bool, workers: &mut [Worker]) {
        let lots: Vec<(u64, u64)> = lots(from, to).collect();
        let next = AtomicUsize::new(0);
        workers.par_iter_mut().with_max_len(1).for_each(|worker| {
            while let Some(lot) = lots.get(next.fetch_add(1, Ordering::Relaxed)) {
                self.draw_lot(eyes, *lot, seen, worker);
            }
        });
    }

    fn draw_lot(&self, eyes: &Eyes, (from, to): (u64, u64), seen: bool, worker: &mut Worker) {
        let Worker { at, tally, driver_draws, seen: seen_draws } = worker;
        at.room.until = to;
        for index in from..to {
            let drives = index < DRIVER_DRAWS && !self.drawing.is_fixed();
            self.look_with(eyes, index, (false, drives || seen), at);
            let came_to = tally.add(&at.case, &at.wedges);
            self.add_meeting(eyes, at, tally);
            if drives {
                driver_draws.push(DriverDraw {
                    index,
                    values: at.drawn.values.clone(),
                    volume_m3: came_to.volume_m3,
                    fs: came_to.fs.is_finite().then_some(came_to.fs),
                    short: came_to.short,
                });
            }
            if seen {
                let (values, wedges) = (at.drawn.values.clone(), at.wedges.clone());
                seen_draws.push(SeenDraw { index, values, wedges });
            }
        }
    }

    /// Adds how likely each triple is the one that meets; nothing where a set has no spacing.
    fn add_meeting(&self, eyes: &Eyes, at: &At, tally: &mut Tally) {
        let joints = &at.case.joints;
        if joints.iter().any(|j| j.spacing_m.is_none()) {
            return;
        }
        let triples = eyes.triples();
        tally.meets.resize(triples.len(), 0);
        let per_m3 = |t: &[usize; 3]| {
            let spacings_m = t.map(|j| joints[j].spacing_m.unwrap_or(f64::INFINITY));
            1.0 / block_volume_m3(t.map(|j| at.drawn.upward[j]), spacings_m)
        };
        let all: f64 = triples.iter().map(per_m3).sum();
        for (sum, triple) in tally.meets.iter_mut().zip(triples) {
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a share of 1
            {
                *sum += (per_m3(triple) / all * CHANCE_PARTS).round() as u64;
            }
        }
    }

    /// The first draws as a check judges them.
    fn judged(&self, ask: &ChanceAsk, to: u64, steps: &Steps) -> Result<Vec<JudgedDraw>, CheckError> {
        let (from, to) = (ask.from, to.min(ask.judged));
        if from >= to {
            return Ok(Vec::new());
        }
        steps.begin("judging draws", usize::try_from(to - from).unwrap_or(usize::MAX));
        let of_one = |index: u64| {
            let mut at = At::new(self.case);
            self.drawing.draw(index, false, &mut at.room, &mut at.drawn);
            self.drawing.put(&at.drawn, &self.ground.opening.frame, &mut at.case);
            let check = verdicts_alone(&at.case)?;
            let mut draw =
                JudgedDraw { index, short: Vec::new(), not_judged: Vec::new(), short_on: Vec::new() };
            let triples = triples(self.case.joints.len());
            for wedge in &check.wedges {
                let triple = triples.iter().position(|t| *t == wedge.wedge.sets).unwrap_or(0);
                let pyramid = 8 * triple + wedge.wedge.pyramid.number();
                match wedge.decided.verdict {
                    Verdict::Short => {
                        draw.short.push(pyramid);
                        draw.short_on.extend(wedge.wedge.surfaces.iter().map(|s| s.place()));
                    }
                    Verdict::NotJudged => draw.not_judged.push(pyramid),
                    Verdict::Held => {}
                }
            }
            draw.short_on.sort_unstable();
            draw.short_on.dedup();
            steps.step();
            Ok(draw)
        };
        (from..to).into_par_iter().map(of_one).collect()
    }
}

/// Which triples meet, with the mean chance over the draws, in the order of the joints; empty where it is not
/// known.
#[must_use]
#[allow(clippy::cast_precision_loss)] // counts are far below 2^53
pub fn meets(found: &Chance) -> Vec<f64> {
    let draws = found.draws().max(1) as f64;
    found.tally.meets.iter().map(|sum| *sum as f64 / CHANCE_PARTS / draws).collect()
}

/// The lots that the draws from one number up to another lie in, as far as they are asked for.
fn lots(from: u64, to: u64) -> impl Iterator<Item = (u64, u64)> {
    let mut at = from;
    std::iter::from_fn(move || {
        if at >= to {
            return None;
        }
        let end = ((at / LOT + 1) * LOT).min(to);
        let lot = (at, end);
        at = end;
        Some(lot)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{Criteria, Joint};
    use crate::opening::SectionShape;
    use crate::orientation::Line;
    use crate::strength::MohrCoulomb;

    pub(in crate::study::chance) fn flat() -> Case {
        let set = |name: &str, dip_deg, dip_direction_deg, k| {
            let strength = MohrCoulomb { friction_deg: 30.0, cohesion_kpa: 0.0 };
            let plane = Plane { dip_deg, dip_direction_deg };
            Joint { fisher_k: Some(k), ..Joint::set(name, plane, strength) }
        };
        Case {
            joints: vec![
                set("A", 68.0, 42.0, 60.0),
                set("B", 61.0, 163.0, 45.0),
                set("C", 49.0, 281.0, 80.0),
            ],
            ..Case::bare(
                "flat (invented)",
                Line { trend_deg: 35.0, plunge_deg: 0.0 },
                SectionShape::Flat { width_m: 5.0, height_m: 4.5 },
                3.0,
                27.0,
                Criteria::of(2.0, 1.5),
            )
        }
    }

    #[test]
    fn lots_part_at_the_same_numbers() {
        let all: Vec<_> = lots(500, 2700).collect();
        assert_eq!(all, [(500, 1000), (1000, 2000), (2000, 2700)]);
        assert_eq!(lots(5, 5).count(), 0);
    }
}
