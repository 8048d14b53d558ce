/// All of a list, or of a longer one `most` of it, evenly picked.
#[must_use]
pub fn evenly_picked<T: Clone>(all: &[T], most: usize) -> Vec<T> {
    if all.len() <= most {
        return all.to_vec();
    }
    (0..most).map(|i| all[(2 * i + 1) * all.len() / (2 * most)].clone()).collect()
}

/// All ways to take three of so many things: ascending, the first one slowest.
#[must_use]
pub fn triples(count: usize) -> Vec<[usize; 3]> {
    let mut all = Vec::new();
    for i in 0..count {
        for j in i + 1..count {
            all.extend((j + 1..count).map(|k| [i, j, k]));
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_lists_stay_and_long_ones_are_picked_from_their_middles() {
        assert_eq!(evenly_picked(&[1, 2, 3], 3), [1, 2, 3]);
        // Three parts of four each: their third ones.
        let long: Vec<u32> = (0..12).collect();
        assert_eq!(evenly_picked(&long, 3), [2, 6, 10]);
    }

    #[test]
    fn four_things_make_four_triples() {
        assert_eq!(triples(4), [[0, 1, 2], [0, 1, 3], [0, 2, 3], [1, 2, 3]]);
        assert!(triples(2).is_empty());
    }
}
