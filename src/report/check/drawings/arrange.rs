//! Sharing a stretch of drive between wedges so that their faces do not overlap.

/// Kept free between two faces, along and across, and at the ends of a stretch; metres.
const CLEAR_M: [f64; 2] = [0.6, 0.2];

/// A face before it is moved: its chainage and arc length, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Slot {
    pub along: [f64; 2],
    pub arc: [f64; 2],
}

impl Slot {
    fn clashes(&self, moved_m: f64, other: &Self, other_moved_m: f64) -> bool {
        let apart = |a: [f64; 2], b: [f64; 2], clear: f64| a[1] + clear < b[0] || b[1] + clear < a[0];
        let moved = |s: &Self, m: f64| [s.along[0] + m, s.along[1] + m];
        !apart(moved(self, moved_m), moved(other, other_moved_m), CLEAR_M[0])
            && !apart(self.arc, other.arc, CLEAR_M[1])
    }
}

/// A stretch of drive with the faces that stand on it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stretch {
    /// Chainages of its ends, metres.
    pub along: [f64; 2],
    /// Index of each face and how far it is moved along the drive, metres.
    pub faces: Vec<(usize, f64)>,
}

/// How faces share the drive.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Arrangement {
    pub stretches: Vec<Stretch>,
    /// Faces that found no place.
    pub left_out: Vec<usize>,
    /// Faces that are longer than a stretch.
    pub cut: Vec<usize>,
}

/// Puts faces, the most important first, on at most `most` stretches of at most `length_m`
/// metres, each moved by whole periods. A face that is longer than a stretch has one of its own,
/// about its middle.
pub(super) fn arrange(slots: &[Slot], period_m: f64, length_m: f64, most: usize) -> Arrangement {
    let mut stretches: Vec<Stretch> = Vec::new();
    let (mut left_out, mut cut) = (Vec::new(), Vec::new());
    for (index, slot) in slots.iter().enumerate() {
        let long = slot.along[1] - slot.along[0] + 2.0 * CLEAR_M[0] > length_m;
        let place = if long { None } else { find(&stretches, slots, slot, period_m, length_m) };
        if let Some((stretch, moved_m)) = place {
            stretches[stretch].faces.push((index, moved_m));
        } else if stretches.len() < most {
            let from = if long {
                cut.push(index);
                0.5 * (slot.along[0] + slot.along[1] - length_m)
            } else {
                slot.along[0] - CLEAR_M[0]
            };
            stretches.push(Stretch { along: [from, from + length_m], faces: vec![(index, 0.0)] });
        } else {
            left_out.push(index);
        }
    }
    for stretch in &mut stretches {
        let end = stretch.faces.iter().map(|(i, moved)| slots[*i].along[1] + moved + CLEAR_M[0]);
        stretch.along[1] = stretch.along[1].min(end.fold(f64::NEG_INFINITY, f64::max));
    }
    Arrangement { stretches, left_out, cut }
}

/// The first stretch that has room, and the least move forward to it.
fn find(
    stretches: &[Stretch],
    slots: &[Slot],
    slot: &Slot,
    period_m: f64,
    length_m: f64,
) -> Option<(usize, f64)> {
    for (index, stretch) in stretches.iter().enumerate() {
        let first = stretch.along[0] + CLEAR_M[0];
        let last = stretch.along[0] + length_m - CLEAR_M[0];
        let mut periods = ((first - slot.along[0]) / period_m).ceil();
        while slot.along[1] + periods * period_m <= last {
            let moved = periods * period_m;
            if !stretch.faces.iter().any(|(other, by)| slot.clashes(moved, &slots[*other], *by)) {
                return Some((index, moved));
            }
            periods += 1.0;
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slot(along: [f64; 2], arc: [f64; 2]) -> Slot {
        Slot { along, arc }
    }

    #[test]
    fn faces_move_by_whole_periods_until_they_are_clear() {
        let slots = [
            slot([0.0, 3.0], [-1.0, 1.0]),
            // Overlaps the first: three periods of 1.2 m clear it by 0.6 m, two do not.
            slot([0.1, 2.0], [0.0, 2.0]),
            // On another surface: no need to move.
            slot([0.2, 2.0], [3.0, 4.0]),
        ];
        let found = arrange(&slots, 1.2, 10.0, 1);
        assert_eq!(found.stretches.len(), 1);
        let faces = &found.stretches[0].faces;
        assert_eq!(faces[0], (0, 0.0));
        assert!(faces[1].0 == 1 && (faces[1].1 - 3.6).abs() < 1e-12, "{faces:?}");
        assert_eq!(faces[2], (2, 0.0));
        // It ends 0.6 m past the last face.
        assert!((found.stretches[0].along[1] - 6.2).abs() < 1e-12);
    }

    #[test]
    fn what_finds_no_room_is_counted() {
        let slots = [slot([0.0, 50.0], [0.0, 1.0]), slot([0.0, 3.0], [0.0, 1.0])];
        let found = arrange(&slots, 1.2, 10.0, 1);
        assert_eq!((found.left_out, found.cut), (vec![1], vec![0]));
        assert_eq!(found.stretches[0].along, [20.0, 30.0]);
    }
}
