//! Cutting lines at the edges of a rectangle.

use super::{Point, Rect};

/// The parts of a line that lie in `frame`. Parts that only touch it in a point are left out.
#[must_use]
pub(crate) fn clip_polyline(points: &[Point], frame: &Rect) -> Vec<Vec<Point>> {
    let mut parts: Vec<Vec<Point>> = Vec::new();
    let mut open = false;
    for pair in points.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let Some((enter, leave)) = share_inside(from, to, frame) else {
            open = false;
            continue;
        };
        let (a, b) = (along(from, to, enter, frame), along(from, to, leave, frame));
        match parts.last_mut() {
            Some(part) if open && enter == 0.0 => part.push(b),
            _ => parts.push(vec![a, b]),
        }
        open = leave == 1.0;
    }
    parts
}

/// The length of a line that lies in `frame`, millimetres.
#[must_use]
pub(crate) fn length_inside_mm(points: &[Point], frame: &Rect) -> f64 {
    points
        .windows(2)
        .filter_map(|pair| {
            let (enter, leave) = share_inside(pair[0], pair[1], frame)?;
            let length = (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1]);
            Some((leave - enter) * length)
        })
        .sum()
}

/// The stretch of a segment inside the frame, as shares of its length, by clipping it against
/// each of the four edges in turn (Liang and Barsky 1984).
fn share_inside(from: Point, to: Point, frame: &Rect) -> Option<(f64, f64)> {
    // Most segments lie wholly beyond one edge: labels ask for each of many places.
    let beyond =
        |k: usize, low: f64, high: f64| (from[k] < low && to[k] < low) || (from[k] > high && to[k] > high);
    if beyond(0, frame.left, frame.right) || beyond(1, frame.top, frame.bottom) {
        return None;
    }
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    let edges = [
        (from[0] - to[0], from[0] - frame.left),
        (to[0] - from[0], frame.right - from[0]),
        (from[1] - to[1], from[1] - frame.top),
        (to[1] - from[1], frame.bottom - from[1]),
    ];
    for (outward, room) in edges {
        // Without this, what is not a number would pass every comparison below.
        if !(outward.is_finite() && room.is_finite()) {
            return None;
        }
        if outward == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if outward > 0.0 {
            leave = leave.min(room / outward);
        } else {
            enter = enter.max(room / outward);
        }
    }
    (enter < leave).then_some((enter, leave))
}

/// The point at `share` of a segment, kept on the frame against rounding.
fn along(from: Point, to: Point, share: f64, frame: &Rect) -> Point {
    if share == 0.0 {
        from
    } else if share == 1.0 {
        to
    } else {
        let x = from[0] + share * (to[0] - from[0]);
        let y = from[1] + share * (to[1] - from[1]);
        [x.max(frame.left).min(frame.right), y.max(frame.top).min(frame.bottom)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame() -> Rect {
        Rect::new(0.0, 0.0, 10.0, 4.0)
    }

    #[test]
    fn a_line_that_leaves_and_returns_gives_two_parts() {
        let line = [[1.0, 1.0], [1.0, -1.0], [3.0, -1.0], [3.0, 2.0], [20.0, 2.0]];
        assert_eq!(
            clip_polyline(&line, &frame()),
            vec![vec![[1.0, 1.0], [1.0, 0.0]], vec![[3.0, 0.0], [3.0, 2.0], [10.0, 2.0]],]
        );
    }

    #[test]
    fn a_line_across_the_frame_keeps_its_slope() {
        let parts = clip_polyline(&[[-5.0, -1.0], [15.0, 3.0]], &frame());
        assert_eq!(parts.len(), 1);
        let (a, b) = (parts[0][0], parts[0][1]);
        // y = x / 5: it enters at (0, 0) and leaves at (10, 2).
        assert!(a[0].abs() < 1e-12 && a[1].abs() < 1e-12, "{a:?}");
        assert!((b[0] - 10.0).abs() < 1e-12 && (b[1] - 2.0).abs() < 1e-12);
        let length = length_inside_mm(&[[-5.0, -1.0], [15.0, 3.0]], &frame());
        assert!((length - 10.0_f64.hypot(2.0)).abs() < 1e-12);
    }

    #[test]
    fn lines_outside_or_not_numbers_give_nothing() {
        for line in [[[-1.0, -1.0], [11.0, -1.0]], [[0.0, 5.0], [5.0, 10.0]], [[f64::NAN, 1.0], [5.0, 1.0]]] {
            assert!(clip_polyline(&line, &frame()).is_empty(), "{line:?}");
        }
    }
}
