/// All of a list, or of a longer one `most` of it, evenly picked.
#[must_use]
pub fn evenly_picked<T: Clone>(all: &[T], most: usize) -> Vec<T> {
    if all.len() <= most {
        return all.to_vec();
    }
    (0..most).map(|i| all[(2 * i + 1) * all.len() / (2 * most)].clone()).collect()
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
}
