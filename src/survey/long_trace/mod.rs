//! How long the traces of a set get: what was seen, and what hidden ends and the better chance of long traces
//! leave of it.

mod law;

pub use law::TraceLaw;
use law::{SeenTrace, best_law};

use super::trace::{EndCounts, WindowMeasure};
use super::{LineKind, Reading, SurveyLine, Termination};
use crate::numeric::evenly_picked;

/// The long end of a set's traces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LongTraces {
    /// The longest that was seen, metres: of a trace with hidden ends, no more than its visible part.
    pub longest_m: f64,
    /// How many ends of that one could be seen, where it was recorded.
    pub longest_ends_seen: Option<u8>,
    /// Traces by how many of their ends could be seen.
    pub ends: EndCounts,
    /// Traces with a length of which nobody recorded the ends.
    pub ends_not_recorded: usize,
    /// Ends by where they end.
    pub terminations: EndTally,
    /// The length that nine in ten of the set's traces are shorter than; `None` where too few ends were recorded or
    /// seen.
    pub trace_90: Option<Trace90>,
}

/// How many ends of traces end in rock, at another joint, or out of sight.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct EndTally {
    /// In rock.
    pub rock: usize,
    /// At another joint.
    pub joint: usize,
    /// Out of what could be seen.
    pub hidden: usize,
}

/// The length that nine in ten of a set's traces are shorter than, corrected for hidden ends and for the better
/// chance of long traces to be met.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trace90 {
    /// Metres.
    pub length_m: f64,
    /// 95 % interval of it, metres, given that traces follow the law; `None` where the likelihood is too flat.
    pub interval_m: Option<[f64; 2]>,
    /// The law that traces were taken to follow, the better one of two.
    pub law: TraceLaw,
    /// How many traces it rests on.
    pub values: usize,
}

/// Fewer traces than this tell no law. Common practice, no source.
const LEAST_TRACES: usize = 15;
/// More traces than this are picked from evenly: a law is known to a few in a hundred from so many.
const MOST_TRACES: usize = 1000;
/// Standard errors of a 95 % interval.
const INTERVAL: f64 = 1.96;
/// A suggestion is rounded up to this, metres.
const ROUND_UP_M: f64 = 0.1;

impl LongTraces {
    /// What may be taken for `max_trace_m`, metres, until somebody knows better: the upper end of the 95 % interval of
    /// the 90 % trace or the longest that was seen, whichever is longer, rounded up, since a cap below what traces may be
    /// makes wedges too small. A suggestion: how long a wedge's trace may be is for the engineer to say. `None` without a
    /// 90 % trace whose interval is known.
    #[must_use]
    pub fn suggested_max_trace_m(&self) -> Option<f64> {
        let longest = self.trace_90?.interval_m?[1].max(self.longest_m);
        let suggested = (longest / ROUND_UP_M - 1e-9).ceil() / ROUND_UP_M.recip();
        suggested.is_finite().then_some(suggested)
    }

    /// How many ends of the longest trace ran out of sight, where that is known: one or both, and it is longer than
    /// what was seen of it.
    #[must_use]
    pub fn longest_ends_hidden(&self) -> Option<u8> {
        self.longest_ends_seen.map(|seen| 2 - seen.min(2)).filter(|hidden| *hidden > 0)
    }
}

/// The long traces of a set; `None` where no length was recorded. `readings` are in canonical order, repeats left
/// out.
pub(crate) fn long_traces(readings: &[&Reading], lines: &[SurveyLine]) -> Option<LongTraces> {
    let lengths = readings.iter().filter_map(|r| Some((r.trace_length_m?, r.ends_seen)));
    let (longest_m, longest_ends_seen) = lengths.max_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))?;
    let windows: Vec<f64> = (0..lines.len()).map(|at| window_m(at, lines, readings)).collect();
    let (mut ends, mut ends_not_recorded) = (EndCounts::default(), 0);
    let mut terminations = EndTally::default();
    let mut traces = Vec::new();
    for reading in readings {
        for end in reading.terminations.into_iter().flatten() {
            match end {
                Termination::Rock => terminations.rock += 1,
                Termination::Joint => terminations.joint += 1,
                Termination::Hidden => terminations.hidden += 1,
            }
        }
        match (reading.ends_seen, reading.trace_length_m) {
            (Some(seen), length) => {
                ends.add(seen);
                let window_m = reading.line.map_or(0.0, |at| windows[at]);
                let trace = |length_m| SeenTrace { length_m, hidden: 2 - seen.min(2), window_m };
                traces.extend(length.map(trace));
            }
            (None, Some(_)) => ends_not_recorded += 1,
            (None, None) => {}
        }
    }
    let trace_90 = trace_90(&traces);
    Some(LongTraces { longest_m, longest_ends_seen, ends, ends_not_recorded, terminations, trace_90 })
}

/// Area of a line's window over its width square to the set's traces; 0 where it is none.
fn window_m(at: usize, lines: &[SurveyLine], readings: &[&Reading]) -> f64 {
    if lines[at].kind != Some(LineKind::Window) {
        return 0.0;
    }
    let normals: Vec<_> =
        readings.iter().filter(|r| r.line == Some(at)).map(|r| r.plane.upward_normal()).collect();
    let measure = WindowMeasure::of(&lines[at], &normals).filter(|m| m.across_m > 0.0);
    measure.map_or(0.0, |m| m.area_m2 / m.across_m)
}

fn trace_90(traces: &[SeenTrace]) -> Option<Trace90> {
    if traces.len() < LEAST_TRACES {
        return None;
    }
    let picked = evenly_picked(traces, MOST_TRACES);
    let fitted = best_law(&picked)?;
    let interval = |error: f64| [-1.0, 1.0].map(|side: f64| (fitted.ln_90 + side * INTERVAL * error).exp());
    Some(Trace90 {
        length_m: fitted.ln_90.exp(),
        interval_m: fitted.error.map(interval),
        law: fitted.law,
        values: picked.len(),
    })
}
