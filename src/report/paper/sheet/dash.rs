//! Cutting a line into dashes.

use super::{Point, Stroke};

/// A part of a dashed line that is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum DashPiece {
    /// A stretch of the line, with the corners it runs round.
    Run(Vec<Point>),
    /// A dot.
    Dot(Point),
}

/// A pattern shorter than this would make more pieces than can be told apart.
const LEAST_PATTERN_MM: f64 = 0.2;

/// Cuts a line into the drawn parts of `dash_mm`: lengths drawn and skipped in turn, in
/// millimetres along the line, corners included. A drawn length of 0 is a dot. A pattern with an
/// odd count is run twice, so that it ends with a skipped length.
///
/// A line cut elsewhere, for example at a frame, must be cut into dashes first and clipped
/// afterwards if its dashes are to stay where they are.
///
/// An empty pattern, or one that is not usable (negative, not finite, or in all under 0.2 mm),
/// gives the whole line.
#[must_use]
pub(crate) fn cut_dashes(points: &[Point], dash_mm: &[f64]) -> Vec<DashPiece> {
    let usable =
        dash_mm.iter().all(|d| d.is_finite() && *d >= 0.0) && dash_mm.iter().sum::<f64>() >= LEAST_PATTERN_MM;
    let Some(&first) = points.first() else {
        return Vec::new();
    };
    if !usable {
        return vec![DashPiece::Run(points.to_vec())];
    }
    let mut cutter = Cutter {
        pattern: dash_mm,
        index: 0,
        left_mm: dash_mm[0],
        drawing: true,
        run: vec![first],
        pieces: Vec::new(),
    };
    for pair in points.windows(2) {
        cutter.advance(pair[0], pair[1]);
    }
    cutter.finish()
}

struct Cutter<'a> {
    pattern: &'a [f64],
    index: usize,
    left_mm: f64,
    drawing: bool,
    run: Vec<Point>,
    pieces: Vec<DashPiece>,
}

impl Cutter<'_> {
    fn advance(&mut self, from: Point, to: Point) {
        let length = (to[0] - from[0]).hypot(to[1] - from[1]);
        let mut gone = 0.0;
        while length - gone > self.left_mm {
            gone += self.left_mm;
            let share = gone / length;
            let at = [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])];
            self.turn_over(at);
        }
        self.left_mm -= length - gone;
        if self.drawing && length > gone {
            self.run.push(to);
        }
    }

    /// The present length of the pattern ends at `at` and the next one begins.
    fn turn_over(&mut self, at: Point) {
        if self.drawing {
            self.run.push(at);
            self.flush();
        } else {
            self.run = vec![at];
        }
        self.drawing = !self.drawing;
        self.index = (self.index + 1) % self.pattern.len();
        self.left_mm = self.pattern[self.index];
    }

    fn flush(&mut self) {
        let run = std::mem::take(&mut self.run);
        let Some(&first) = run.first() else { return };
        if run.iter().all(|p| *p == first) {
            self.pieces.push(DashPiece::Dot(first));
        } else {
            self.pieces.push(DashPiece::Run(run));
        }
    }

    fn finish(mut self) -> Vec<DashPiece> {
        if self.drawing && self.run.len() > 1 {
            self.flush();
        }
        self.pieces
    }
}

/// What is drawn of a line: its dashes, or the whole of it. A closed line comes back to its
/// first point.
pub(super) fn pieces(points: &[Point], closed: bool, stroke: &Stroke) -> Vec<DashPiece> {
    let mut path = points.to_vec();
    if closed {
        path.extend(points.first());
        // A solid outline runs over its first side again, which joins its corner; dashes must not.
        if stroke.dash_mm.is_empty() {
            path.extend(points.get(1));
        }
    }
    cut_dashes(&path, stroke.dash_mm)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lengths add up to rounding on values of the order of 10 mm.
    const LENGTH_TOLERANCE_MM: f64 = 1e-12;

    fn length_mm(run: &[Point]) -> f64 {
        run.windows(2).map(|p| (p[1][0] - p[0][0]).hypot(p[1][1] - p[0][1])).sum()
    }

    #[test]
    fn dashes_run_on_round_a_corner() {
        // 5 mm right, then 5 mm down; 3 drawn, 1 skipped: 0-3, 4-7 (round the corner), 8-10.
        let line = [[0.0, 0.0], [5.0, 0.0], [5.0, 5.0]];
        let pieces = cut_dashes(&line, &[3.0, 1.0]);
        assert_eq!(
            pieces,
            vec![
                DashPiece::Run(vec![[0.0, 0.0], [3.0, 0.0]]),
                DashPiece::Run(vec![[4.0, 0.0], [5.0, 0.0], [5.0, 2.0]]),
                DashPiece::Run(vec![[5.0, 3.0], [5.0, 5.0]]),
            ]
        );
    }

    #[test]
    fn a_length_of_nothing_is_a_dot() {
        let pieces = cut_dashes(&[[0.0, 0.0], [5.0, 0.0]], &[0.0, 2.0]);
        assert_eq!(
            pieces,
            vec![DashPiece::Dot([0.0, 0.0]), DashPiece::Dot([2.0, 0.0]), DashPiece::Dot([4.0, 0.0]),]
        );
    }

    #[test]
    fn an_odd_pattern_swaps_ink_and_gap_on_its_second_run() {
        let pieces = cut_dashes(&[[0.0, 0.0], [9.0, 0.0]], &[1.0, 2.0, 3.0]);
        // Drawn 0-1, skipped 1-3, drawn 3-6, skipped 6-7, drawn 7-9.
        let drawn: Vec<f64> = pieces
            .iter()
            .map(|p| match p {
                DashPiece::Run(run) => length_mm(run),
                DashPiece::Dot(_) => 0.0,
            })
            .collect();
        assert_eq!(drawn, vec![1.0, 3.0, 2.0]);
    }

    #[test]
    fn many_short_steps_give_the_dashes_of_one_long_step() {
        let fine: Vec<Point> = (0..=1000).map(|i| [f64::from(i) * 0.01, 0.0]).collect();
        let coarse = [[0.0, 0.0], [10.0, 0.0]];
        let pattern = [1.7, 0.6];
        let lengths = |points: &[Point]| -> Vec<f64> {
            cut_dashes(points, &pattern)
                .iter()
                .map(|p| match p {
                    DashPiece::Run(run) => length_mm(run),
                    DashPiece::Dot(_) => 0.0,
                })
                .collect()
        };
        let (fine, coarse) = (lengths(&fine), lengths(&coarse));
        assert_eq!(fine.len(), coarse.len());
        assert_eq!(coarse.len(), 5);
        for (a, b) in fine.iter().zip(&coarse) {
            // A thousand additions of rounded steps.
            assert!((a - b).abs() < 1000.0 * LENGTH_TOLERANCE_MM, "{a} {b}");
        }
    }

    #[test]
    fn a_pattern_that_cannot_end_gives_the_whole_line() {
        let line = [[0.0, 0.0], [10.0, 0.0]];
        for pattern in [&[][..], &[0.0, 0.0], &[-1.0, 2.0], &[f64::NAN, 1.0]] {
            assert_eq!(cut_dashes(&line, pattern), vec![DashPiece::Run(line.to_vec())]);
        }
    }
}
