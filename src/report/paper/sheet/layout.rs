//! Finding room for labels.

use super::{Point, Rect, clip::length_inside_mm};

/// What already stands on a sheet, and how much it costs to write over it.
///
/// Labels are placed one after the other, each at the cheapest of the places offered; the first
/// of equally cheap places wins, so the order of the offers is the order of preference.
#[derive(Debug, Clone, Default)]
pub(crate) struct Layout {
    boxes: Vec<(Rect, f64)>,
    lines: Vec<(Vec<Point>, Rect, f64)>,
    within: Option<Rect>,
}

/// Cost of a square millimetre of another label.
const COST_OF_TEXT: f64 = 10.0;
/// Cost of a square millimetre outside the frame: words that cannot be read at all.
const COST_OUTSIDE: f64 = 1000.0;

impl Layout {
    /// A layout for a sheet or frame; labels that stick out of it are avoided above all.
    #[must_use]
    pub(crate) fn within(frame: Rect) -> Self {
        Self { within: Some(frame), ..Self::default() }
    }

    /// Marks room that is taken, for example by a symbol. `cost` is per square millimetre
    /// covered; another label costs 10.
    pub(crate) fn take(&mut self, room: Rect, cost: f64) {
        self.boxes.push((room, cost));
    }

    /// Marks a line that should stay visible. `cost` is per millimetre covered.
    pub(crate) fn take_line(&mut self, points: &[Point], cost: f64) {
        let mut bounds = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        for [x, y] in points {
            bounds = [bounds[0].min(*x), bounds[1].min(*y), bounds[2].max(*x), bounds[3].max(*y)];
        }
        let [left, top, right, bottom] = bounds;
        self.lines.push((points.to_vec(), Rect { left, top, right, bottom }, cost));
    }

    /// What it costs to write in `room`.
    #[must_use]
    pub(crate) fn cost(&self, room: &Rect) -> f64 {
        let boxes: f64 = self.boxes.iter().map(|(taken, cost)| cost * taken.shared_area(room)).sum();
        let meets = |bounds: &Rect| {
            bounds.left <= room.right
                && bounds.right >= room.left
                && bounds.top <= room.bottom
                && bounds.bottom >= room.top
        };
        let near = self.lines.iter().filter(|(_, bounds, _)| meets(bounds));
        let lines: f64 = near.map(|(line, _, cost)| cost * length_inside_mm(line, room)).sum();
        let outside = self
            .within
            .map_or(0.0, |frame| COST_OUTSIDE * (room.width() * room.height() - frame.shared_area(room)));
        boxes + lines + outside
    }

    /// The cheapest of `places` (each a room and what it costs on its own account), marked as
    /// taken. `None` only when no place is offered.
    pub(crate) fn choose(&mut self, places: &[(Rect, f64)]) -> Option<usize> {
        let mut best: Option<(usize, f64)> = None;
        for (index, (room, own_cost)) in places.iter().enumerate() {
            let cost = self.cost(room) + own_cost;
            if best.is_none_or(|(_, least)| cost < least) {
                best = Some((index, cost));
            }
        }
        let (index, _) = best?;
        self.take(places[index].0, COST_OF_TEXT);
        Some(index)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_second_label_moves_aside() {
        let places = [
            (Rect::new(0.0, 0.0, 10.0, 3.0), 0.0),
            (Rect::new(0.0, 2.0, 10.0, 5.0), 0.0),
            (Rect::new(0.0, 4.0, 10.0, 7.0), 0.0),
        ];
        let mut layout = Layout::default();
        assert_eq!(layout.choose(&places), Some(0));
        assert_eq!(layout.choose(&places), Some(2));
        assert_eq!(layout.choose(&[]), None);
    }

    #[test]
    fn lines_and_edges_are_avoided() {
        let mut layout = Layout::within(Rect::new(0.0, 0.0, 20.0, 20.0));
        layout.take_line(&[[0.0, 5.0], [20.0, 5.0]], 1.0);
        let on_line = (Rect::new(2.0, 4.0, 8.0, 6.0), 0.0);
        let off_sheet = (Rect::new(15.0, 10.0, 25.0, 12.0), 0.0);
        let free = (Rect::new(2.0, 10.0, 8.0, 12.0), 5.0);
        assert_eq!(layout.clone().choose(&[on_line, off_sheet, free]), Some(2));
        // 6 mm of line is cheaper than 10 square millimetres off the sheet.
        assert_eq!(layout.choose(&[off_sheet, on_line]), Some(1));
    }
}
