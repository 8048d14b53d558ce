use rayon::prelude::*;

use super::changes::{CLOSEST_RINGS_M, LENGTH_STEP_M, LONGEST_BOLT_M};
use super::forces::Ground;
use super::judgement::Judging;
use super::variant::Wedges;
use super::{Check, CheckError, Steps, Verdict};
use crate::case::Case;

/// Steps of a spacing, per metre.
const STEPS_PER_M: f64 = 10.0;

/// Widest spacing that is tried, metres: twice what is common with the longest bolts that are set
/// from the floor; wider is no pattern.
pub const WIDEST_SPACING_M: f64 = 4.0;

/// Shortest bolt that is tried, metres.
const SHORTEST_BOLT_M: f64 = 0.6;

/// The widest spacings and the shortest bolts that hold one wedge with the bolt at hand, at every
/// size and at its worst placement.
#[derive(Debug, Clone, PartialEq)]
pub struct Widest {
    /// Id of the wedge.
    pub wedge: String,
    /// Index of the pattern that was changed: the first that covers one of its surfaces.
    pub pattern: usize,
    /// Widest rings with the same spacing along the perimeter, metres; `None` where none down to
    /// half a metre hold it.
    pub ring_spacing_m: Option<f64>,
    /// Widest spacing that is the same along the drive and along the perimeter, metres.
    pub square_spacing_m: Option<f64>,
    /// Shortest bolts in the same pattern, metres; `None` where none up to 6 m hold it.
    pub length_m: Option<f64>,
}

/// What would just do for each wedge that moves and sits where a pattern covers, in the order of the
/// check. Steps of 0.1 m and of 0.3 m of bolt are tried one after the other, away from what holds
/// until a step does not, or from what is short until one does: between two steps that hold nothing
/// is said, and factors can jump. It repeats the whole check at each step and takes as much longer.
///
/// # Errors
/// [`CheckError`] as [`super::check()`].
pub fn widest(case: &Case, check: &Check) -> Result<Vec<Widest>, CheckError> {
    widest_counted(case, check, &Steps::default())
}

/// As [`widest`], with its steps counted.
///
/// # Errors
/// As [`widest`].
pub fn widest_counted(case: &Case, check: &Check, steps: &Steps) -> Result<Vec<Widest>, CheckError> {
    let wedges = Wedges::of_check(check);
    steps.begin("searching spacings, wedge by wedge", check.wedges.len());
    check
        .wedges
        .par_iter()
        .inspect(|_| steps.step())
        .filter(|w| w.decided.criterion_fs.is_some() && w.decided.verdict != Verdict::NotJudged)
        .filter_map(|wedge| {
            let pattern = case
                .patterns
                .iter()
                .position(|p| wedge.wedge.surfaces.iter().any(|&s| p.covers.iter().any(|c| c.includes(s))))?;
            let at = wedges.at(&wedge.wedge.id)?;
            Some(of_wedge(case, &wedges, at, pattern))
        })
        .collect()
}

fn of_wedge(case: &Case, wedges: &Wedges, at: usize, pattern: usize) -> Result<Widest, CheckError> {
    let now = &case.patterns[pattern];
    let tries = |change: &dyn Fn(&mut Case)| -> Result<bool, CheckError> {
        let mut changed = case.clone();
        change(&mut changed);
        match Ground::of(&changed) {
            // Collars too far apart to lay one, or none that can be drilled: not a pattern.
            Err(CheckError::Layout { .. }) => Ok(false),
            Err(other) => Err(other),
            Ok(ground) => {
                let judging = Judging::of(ground.drive(&changed));
                Ok(wedges.verdict(&judging, at, &[])?.0 == Verdict::Held)
            }
        }
    };
    let spacings = Ladder {
        least: (CLOSEST_RINGS_M * STEPS_PER_M).round() as i64,
        most: (WIDEST_SPACING_M * STEPS_PER_M).round() as i64,
        step_m: 1.0 / STEPS_PER_M,
    };
    let begin = spacings.at_most(now.ring_spacing_m);
    let ring_spacing_m = spacings
        .last_that_holds(begin, &|spacing_m| tries(&|c| c.patterns[pattern].ring_spacing_m = spacing_m))?;
    let begin = spacings.at_most(now.ring_spacing_m.min(now.spacing_m));
    let square_spacing_m = spacings.last_that_holds(begin, &|spacing_m| {
        tries(&|c| {
            c.patterns[pattern].ring_spacing_m = spacing_m;
            c.patterns[pattern].spacing_m = spacing_m;
        })
    })?;
    // Shorter is what longer bolts are to spacings: count down from the longest.
    let least_m = SHORTEST_BOLT_M.max(2.0 * now.outside_hole_m);
    let lengths = Ladder {
        least: -(LONGEST_BOLT_M / LENGTH_STEP_M).round() as i64,
        most: -(least_m / LENGTH_STEP_M - 1e-6).ceil() as i64,
        step_m: -LENGTH_STEP_M,
    };
    let begin = -((now.length_m / LENGTH_STEP_M - 1e-6).ceil() as i64);
    let length_m = lengths.last_that_holds(begin.clamp(lengths.least, lengths.most), &|length_m| {
        tries(&|c| c.patterns[pattern].length_m = length_m)
    })?;
    Ok(Widest { wedge: wedges.id(at).to_owned(), pattern, ring_spacing_m, square_spacing_m, length_m })
}

/// Whole steps from the most support to the least.
struct Ladder {
    least: i64,
    most: i64,
    step_m: f64,
}

impl Ladder {
    /// The step that is no wider than this.
    fn at_most(&self, spacing_m: f64) -> i64 {
        ((spacing_m / self.step_m + 1e-6).floor() as i64).clamp(self.least, self.most)
    }

    /// Metres of a step, to the digit that is printed.
    fn metres(&self, step: i64) -> f64 {
        (step as f64 * self.step_m * STEPS_PER_M).round() / STEPS_PER_M
    }

    /// From `begin` on toward less support while it holds, or toward more until it does.
    fn last_that_holds(
        &self,
        begin: i64,
        holds: &dyn Fn(f64) -> Result<bool, CheckError>,
    ) -> Result<Option<f64>, CheckError> {
        let mut step = begin;
        if holds(self.metres(step))? {
            while step < self.most && holds(self.metres(step + 1))? {
                step += 1;
            }
            return Ok(Some(self.metres(step)));
        }
        while step > self.least {
            step -= 1;
            if holds(self.metres(step))? {
                return Ok(Some(self.metres(step)));
            }
        }
        Ok(None)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_end_where_it_no_longer_holds() {
        let steps = Ladder { least: 5, most: 40, step_m: 0.1 };
        let up_to = |limit: f64| move |m: f64| Ok(m <= limit);
        let found = |begin, limit| steps.last_that_holds(begin, &up_to(limit)).unwrap();
        assert_eq!(found(12, 1.75), Some(1.7));
        assert_eq!(found(12, 0.9), Some(0.9));
        assert_eq!(found(12, 0.4), None);
        assert_eq!(found(12, 9.0), Some(4.0));
        let lengths = Ladder { least: -20, most: -2, step_m: -0.3 };
        assert_eq!(lengths.last_that_holds(-8, &|m| Ok(m >= 1.3)).unwrap(), Some(1.5));
        assert_eq!(lengths.last_that_holds(-8, &|m| Ok(m >= 3.1)).unwrap(), Some(3.3));
    }
}
