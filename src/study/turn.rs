//! The same drive in other directions: which heading meets the joints best.
//!
//! Everything but the direction stays: section, patterns, criteria, joints and their limits. What is known by
//! chainage (structures, single bolts, stretches of patterns, loads at one place, bolts as built) belongs to the drive
//! as it lies and is left out.

use rayon::prelude::*;
use thiserror::Error;

use super::chance::{ChanceAsk, Spread, chance};
use super::check::verdicts_and_stages;
use super::judgement::JUDGED;
use super::lacks::{lacks_of, tightest_of};
use super::{Check, CheckError, Lack, LackOf, Steps, Verdict, demand};
use crate::case::{Case, Heading, JointKind, Scatter};
use crate::opening::Surface;
use crate::orientation::Line;
use crate::stability::HungSize;

/// The heaviest wedge that can move.
#[derive(Debug, Clone, PartialEq)]
pub struct HeaviestWedge {
    /// Its id.
    pub wedge: String,
    /// The surfaces it shows on.
    pub surfaces: Vec<Surface>,
    /// Volume of its largest size under the caps, cubic metres.
    pub volume_m3: f64,
    /// Its weight, kN.
    pub weight_kn: f64,
}

/// The most that back and walls ask of support, by the largest wedge of each pyramid.
#[derive(Debug, Clone, PartialEq)]
pub struct MostPressure {
    /// The surface.
    pub surface: Surface,
    /// Id of the wedge.
    pub wedge: String,
    /// Pressure against the movement that the criterion asks for, kPa.
    pub kpa: f64,
}

/// What is asked of every direction besides: draws of numbers that scatter.
#[derive(Debug, Clone, Copy)]
pub struct TurnDraws<'a> {
    /// What scatters in the case.
    pub scatter: &'a Scatter,
    /// How many draws, above 0.
    pub draws: u64,
    /// What fixes them. In every direction they are the same: ground that is drawn once and driven through in each,
    /// so that directions differ by less than their intervals say.
    pub seed: u64,
    /// How many of the first draws are judged as a check judges, [`ChanceAsk::judged`].
    pub judged: u64,
}

/// How many draws of a direction have a wedge that is short; [`super::chance`] says what a draw is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TurnChance {
    /// How many were looked at.
    pub draws: u64,
    /// Those with a wedge short without support.
    pub short_bare: u64,
    /// Those with one short with the bolts as drawn; `None` without bolts.
    pub short_bolted: Option<u64>,
    /// Draws that were judged as a check judges, and those of them with a wedge short; `None` where none was.
    pub judged: Option<(u64, u64)>,
}

impl TurnChance {
    /// How many draws are short, and of how many, by what counts: as judged where that was asked for, else by the sum
    /// of forces, with bolts where there are any.
    #[must_use]
    pub fn deciding(&self) -> (u64, u64) {
        match self.judged {
            Some((draws, short)) => (short, draws),
            None => (self.short_bolted.unwrap_or(self.short_bare), self.draws),
        }
    }
}

/// A drive in one direction.
#[derive(Debug, Clone, PartialEq)]
pub struct Turned {
    /// The direction.
    pub heading: Heading,
    /// Wedges of the drive that can move, but for those wholly below the ground that is judged.
    pub moving: usize,
    /// The heaviest of them; `None` where nothing moves.
    pub heaviest: Option<HeaviestWedge>,
    /// The least factor of safety of them without support, and whose it is.
    pub least_bare: Option<(f64, String)>,
    /// What is asked most of; `None` where nothing moves.
    pub pressure: Option<MostPressure>,
    /// What has the least factor of safety over what is asked, met or not; `None` where nothing moves.
    pub tightest: Option<Lack>,
    /// Wedges of the drive that are short.
    pub short: usize,
    /// Wedges of the drive that are not judged.
    pub not_judged: usize,
    /// What it lacks, least margin first; empty where it holds everything that is asked.
    pub lacks: Vec<Lack>,
    /// How likely a wedge is short where numbers scatter; `None` where that was not asked.
    pub chance: Option<TurnChance>,
}

impl Turned {
    /// Least factor of safety over what is asked: 0 where something is not judged, infinite where nothing moves.
    #[must_use]
    pub fn margin(&self) -> f64 {
        self.tightest.as_ref().map_or(f64::INFINITY, Lack::margin)
    }

    /// Held where everything that is asked is; short where anything is short.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        match &self.lacks[..] {
            [] => Verdict::Held,
            lacks if lacks.iter().all(|l| l.of == LackOf::NotJudged) => Verdict::NotJudged,
            _ => Verdict::Short,
        }
    }
}

/// A drive in many directions.
#[derive(Debug, Clone, PartialEq)]
pub struct Turn {
    /// As the case has it.
    pub own: Turned,
    /// The others, in the order they were given.
    pub others: Vec<Turned>,
    /// What of the case was left out, in words; empty where nothing was.
    pub left_out: Vec<&'static str>,
}

impl Turn {
    /// Places in [`Turn::others`], the best first: those that hold everything, then by the least factor of safety over
    /// what is asked, then by the pressure that is asked for, of equals the first given.
    #[must_use]
    pub fn ranked(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.others.len()).collect();
        let pressure = |t: &Turned| t.pressure.as_ref().map_or(0.0, |p| p.kpa);
        order.sort_by(|&a, &b| {
            let (a, b) = (&self.others[a], &self.others[b]);
            let held = |t: &Turned| t.verdict() == Verdict::Held;
            held(b)
                .cmp(&held(a))
                .then(b.margin().total_cmp(&a.margin()))
                .then(pressure(a).total_cmp(&pressure(b)))
        });
        order
    }
}

/// A direction in which the case cannot be checked.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("driven towards {trend_deg}, plunge {plunge_deg}, it cannot be checked: {error}")]
pub struct TurnError {
    /// Trend of the advance, degrees.
    pub trend_deg: f64,
    /// Its plunge, degrees, positive down.
    pub plunge_deg: f64,
    /// Why.
    pub error: CheckError,
}

/// Every direction in steps from north on, at each of these plunges.
///
/// # Units
/// Degrees; a step of 0 or less gives no direction.
#[must_use]
pub fn directions(step_deg: f64, plunges_deg: &[f64]) -> Vec<Heading> {
    let count = if step_deg > 0.0 { (360.0 / step_deg - STEP_SLACK).ceil() } else { 0.0 };
    let trends = move || (0..count as u32).map(move |i| f64::from(i) * step_deg);
    let of_plunge = |&plunge_deg: &f64| {
        trends().map(move |trend_deg| Heading {
            name: None,
            advance: Line { trend_deg, plunge_deg },
            length_m: None,
        })
    };
    plunges_deg.iter().flat_map(of_plunge).collect()
}

/// A step that divides the circle up to rounding does not come round to north again.
const STEP_SLACK: f64 = 1e-9;

/// The case as it lies and in these directions, each judged as [`super::check()`] judges the drive: every piece of its
/// wedges, and stages; not the face.
///
/// # Errors
/// [`TurnError`] of the first direction, in the order given, in which the case cannot be checked.
pub fn turn(case: &Case, headings: &[Heading]) -> Result<Turn, TurnError> {
    turn_counted(case, headings, None, &Steps::default())
}

/// As [`turn`], with its steps counted, and with chances where draws are asked for.
///
/// # Errors
/// As [`turn`].
pub fn turn_counted(
    case: &Case,
    headings: &[Heading],
    draws: Option<&TurnDraws<'_>>,
    steps: &Steps,
) -> Result<Turn, TurnError> {
    let own = Heading { name: None, advance: case.advance, length_m: None };
    let every: Vec<&Heading> = std::iter::once(&own).chain(headings).collect();
    steps.begin("judging directions", every.len());
    let of_one = |heading: &&Heading| {
        let judged = turned(case, heading, draws);
        steps.step();
        judged
    };
    // Collected in the order given, whatever the number of threads.
    let judged: Vec<Result<Turned, TurnError>> = every.par_iter().map(of_one).collect();
    let mut others = judged.into_iter().collect::<Result<Vec<_>, _>>()?;
    let own = others.remove(0);
    Ok(Turn { own, others, left_out: left_out(case) })
}

fn turned(case: &Case, heading: &Heading, draws: Option<&TurnDraws<'_>>) -> Result<Turned, TurnError> {
    let Line { trend_deg, plunge_deg } = heading.advance;
    let case = Case { advance: heading.advance, ..anywhere(case) };
    let failed = |error| TurnError { trend_deg, plunge_deg, error };
    let (check, stages) = verdicts_and_stages(&case).map_err(failed)?;
    let chance = draws.map(|draws| chance_of(&case, draws)).transpose().map_err(failed)?;
    let count = |verdict: Verdict| check.wedges.iter().filter(|w| w.decided.verdict == verdict).count();
    Ok(Turned {
        heading: heading.clone(),
        moving: moving(&check).count(),
        heaviest: moving(&check)
            .reduce(|a, b| if b.wedge.weight_kn > a.wedge.weight_kn { b } else { a })
            .map(|w| HeaviestWedge {
                wedge: w.wedge.id.clone(),
                surfaces: w.wedge.surfaces.clone(),
                volume_m3: w.wedge.shape.volume_m3,
                weight_kn: w.wedge.weight_kn,
            }),
        least_bare: moving(&check)
            .map(|w| (w.wedge.stability.fs_bare(), w.wedge.id.clone()))
            .reduce(|a, b| if b.0 < a.0 { b } else { a }),
        pressure: pressure(&case, &check),
        tightest: tightest_of(&check, &stages),
        short: count(Verdict::Short),
        not_judged: count(Verdict::NotJudged),
        lacks: lacks_of(&check, &stages),
        chance,
    })
}

fn chance_of(case: &Case, asked: &TurnDraws<'_>) -> Result<TurnChance, CheckError> {
    let ask = ChanceAsk {
        from: 0,
        to: asked.draws,
        seed: asked.seed,
        spread: Spread::Plain,
        half_width: None,
        judged: asked.judged,
    };
    let found = chance(case, asked.scatter, &ask, &Steps::default())?;
    let short = found.tally.places[0].short;
    let bolted = !case.patterns.is_empty();
    Ok(TurnChance {
        draws: found.draws(),
        short_bare: short.bare,
        short_bolted: bolted.then_some(short.bolted),
        judged: (asked.judged > 0).then(|| {
            let short = found.judged.iter().filter(|draw| !draw.short.is_empty()).count();
            (found.judged.len() as u64, short as u64)
        }),
    })
}

fn moving(check: &Check) -> impl Iterator<Item = &super::CheckedWedge> {
    check.wedges.iter().filter(|w| w.decided.criterion_fs.is_some() && !w.decided.is_left_out())
}

fn pressure(case: &Case, check: &Check) -> Option<MostPressure> {
    let judged = |id: &str| moving(check).any(|w| w.wedge.id == id);
    demand(case, check)
        .into_iter()
        .filter(|row| JUDGED.contains(&row.surface) && judged(&row.wedge))
        .map(|row| MostPressure { surface: row.surface, wedge: row.wedge, kpa: row.pressure_needed_kpa })
        .reduce(|a, b| if b.kpa > a.kpa { b } else { a })
}

/// The case without what is known by chainage.
fn anywhere(case: &Case) -> Case {
    let mut case = case.clone();
    case.joints.retain(|joint| joint.kind == JointKind::Set);
    case.local.clear();
    case.site.hung_loads.retain(|load| !stands_at_a_chainage(&load.size));
    case.site.as_built = None;
    case
}

fn stands_at_a_chainage(size: &HungSize) -> bool {
    matches!(size, HungSize::AtPlace { chainage_m: Some(_), .. })
}

/// What [`anywhere`] takes away, in words.
fn left_out(case: &Case) -> Vec<&'static str> {
    let structures = case.joints.iter().any(|joint| joint.kind != JointKind::Set);
    let loads = case.site.hung_loads.iter().any(|load| stands_at_a_chainage(&load.size));
    [
        (structures, "mapped structures"),
        (!case.local.is_empty(), "bolts that stand at their chainages"),
        (loads, "loads that hang at one chainage"),
        (case.site.as_built.is_some(), "bolts as built"),
    ]
    .into_iter()
    .filter_map(|(is, words)| is.then_some(words))
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn directions_go_once_round_at_each_plunge() {
        let trends = |step_deg| -> Vec<f64> {
            directions(step_deg, &[0.0]).iter().map(|h| h.advance.trend_deg).collect()
        };
        assert_eq!(trends(90.0), [0.0, 90.0, 180.0, 270.0]);
        assert_eq!(trends(100.0), [0.0, 100.0, 200.0, 300.0]);
        // 0.1 is no binary fraction: 3,600 steps and not one more.
        assert_eq!(trends(0.1).len(), 3600);
        assert!(trends(0.0).is_empty() && trends(-5.0).is_empty());
        let plunges: Vec<f64> =
            directions(180.0, &[-7.0, 7.0]).iter().map(|h| h.advance.plunge_deg).collect();
        assert_eq!(plunges, [-7.0, -7.0, 7.0, 7.0]);
    }
}
