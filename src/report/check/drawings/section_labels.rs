//! The names of wedges in two columns beside a section.

use crate::report::paper::sheet::{Point, Rect, Sheet};

use super::labels::{Label, leader};

/// Between two labels of a column, millimetres.
const BETWEEN_MM: f64 = 2.0;

/// A label on its way into a column.
#[derive(Debug, Clone)]
pub(super) struct Named {
    pub label: Label,
    pub target: Point,
}

/// Height that labels take one above the other, millimetres.
fn stacked_mm(sheet: &Sheet, labels: &[&Label]) -> f64 {
    labels.iter().map(|l| l.size_mm(sheet)[1] + BETWEEN_MM).sum()
}

/// Most labels that one of two columns takes of so many.
fn most_in_a_column(labels: usize) -> usize {
    (labels.div_ceil(2) + 1).min(labels)
}

/// Height that the fuller of the two columns may need, millimetres.
pub(super) fn fuller_column_mm(sheet: &Sheet, labels: &[Label]) -> f64 {
    let mut by_height: Vec<&Label> = labels.iter().collect();
    by_height.sort_by_key(|label| std::cmp::Reverse(label.rows.len()));
    stacked_mm(sheet, &by_height[..most_in_a_column(labels.len())])
}

/// Draws the labels in the column on the side of their targets, each at its target's height as
/// nearly as the others let it, with lines to the targets. Neither column takes many more than
/// half: labels whose targets are nearest to the middle go over to the other side.
pub(super) fn draw(sheet: &mut Sheet, mut named: Vec<Named>, left: &Rect, right: &Rect) {
    let middle = 0.5 * (left.right + right.left);
    named.sort_by(|a, b| a.target[0].total_cmp(&b.target[0]));
    let most = most_in_a_column(named.len());
    let on_left = named.iter().filter(|n| n.target[0] < middle).count();
    let on_left = on_left.clamp(named.len() - most, most);
    let on_right = named.split_off(on_left);
    column(sheet, named, left, true);
    column(sheet, on_right, right, false);
}

fn column(sheet: &mut Sheet, mut named: Vec<Named>, room: &Rect, on_left: bool) {
    named.sort_by(|a, b| a.target[1].total_cmp(&b.target[1]));
    let heights: Vec<f64> = named.iter().map(|n| n.label.size_mm(sheet)[1] + BETWEEN_MM).collect();
    let mut tops: Vec<f64> = Vec::with_capacity(named.len());
    let mut free = room.top;
    for (one, height) in named.iter().zip(&heights) {
        let top = (one.target[1] - 0.5 * height).max(free);
        tops.push(top);
        free = top + height;
    }
    // What has run out at the foot is pushed back up.
    let mut floor = room.bottom;
    for (top, height) in tops.iter_mut().zip(&heights).rev() {
        *top = top.min(floor - height);
        floor = *top;
    }
    let widest = named.iter().map(|n| n.label.size_mm(sheet)[0]).fold(0.0, f64::max);
    let left = if on_left { room.right - widest } else { room.left };
    for (one, top) in named.iter().zip(tops) {
        let height = one.label.size_mm(sheet)[1];
        let near = [if on_left { room.right + 0.8 } else { room.left - 0.8 }, top + 0.5 * height - 1.0];
        leader(sheet, one.target, near, true);
        one.label.draw(sheet, [left, top]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::Verdict;

    #[test]
    fn labels_of_one_height_move_apart_and_stay_in_their_column() {
        let label = |name: &str| Label { verdict: Verdict::Held, rows: vec![name.into(), "FS 2.00".into()] };
        let named: Vec<Named> =
            ["P", "Q", "R"].iter().map(|name| Named { label: label(name), target: [60.0, 48.0] }).collect();
        let mut sheet = Sheet::new(180.0, 60.0, "columns");
        draw(&mut sheet, named, &Rect::new(5.0, 5.0, 35.0, 50.0), &Rect::new(140.0, 5.0, 175.0, 50.0));
        let words = sheet.words();
        let mut heights: Vec<f64> = words.iter().map(|w| w.0[1]).collect();
        heights.sort_by(f64::total_cmp);
        assert_eq!(heights.len(), 6);
        for pair in heights.windows(2) {
            assert!(pair[1] - pair[0] > 4.5, "{heights:?}");
        }
        assert!(heights[5] < 50.0);
        // Their targets lie left of the middle, and three are not many more than half of three.
        assert!(words.iter().all(|w| w.0[0] < 35.0));
    }
}
