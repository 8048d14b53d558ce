use nalgebra::Unit;

use crate::numeric::triples;
use crate::orientation::Vec3;

/// Three sets that cut blocks together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Triple {
    /// Indices of the sets, ascending.
    pub sets: [usize; 3],
    /// Volume of the block between neighbouring joints of the three sets, m³.
    pub volume_m3: f64,
    /// Probability that three sets which meet are these.
    pub probability: f64,
}

/// Volume of the parallelepiped between joints at spacings xᵢ (square to the joints):
/// x₁·x₂·x₃/|n₁·(n₂×n₃)|, m³. Infinite where the planes share a line.
///
/// For sets square to each other it is the product of the spacings, as in Palmström (2005),
/// *Tunn. Undergr. Space Technol.* 20, 362-377.
#[must_use]
pub(crate) fn block_volume_m3(unit_normals: [Vec3; 3], spacings_m: [f64; 3]) -> f64 {
    let [a, b, c] = unit_normals;
    let triple_product = a.dot(&b.cross(&c)).abs();
    spacings_m.iter().product::<f64>() / triple_product
}

/// Every triple of sets with the probability that it is the one which meets, likeliest first:
/// `P_ijk` = (1/`V_ijk`)/Σ(1/V), V the block volume of the triple.
///
/// Source: Hatzor & Feintuch (2005), *Int. J. Rock Mech. Min. Sci.* 42, 531-541 (title and
/// pages from memory, formula as read). Ranks triples; says nothing about how many blocks there
/// are.
#[must_use]
pub fn meeting_probabilities(sets: &[(Unit<Vec3>, f64)]) -> Vec<Triple> {
    let of_sets = |of: [usize; 3]| {
        let volume_m3 = block_volume_m3(of.map(|i| sets[i].0.into_inner()), of.map(|i| sets[i].1));
        Triple { sets: of, volume_m3, probability: 1.0 / volume_m3 }
    };
    let mut triples: Vec<Triple> = triples(sets.len()).into_iter().map(of_sets).collect();
    let total: f64 = triples.iter().map(|t| t.probability).sum();
    if total > 0.0 {
        for triple in &mut triples {
            triple.probability /= total;
        }
    }
    triples.sort_by(|a, b| b.probability.total_cmp(&a.probability).then(a.sets.cmp(&b.sets)));
    triples
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::Plane;

    /// Formula of Hatzor & Feintuch (2005); the four-set example is derived: 70/090 at 0.8 m,
    /// 65/210 at 1.2, 60/330 at 1.5, 10/045 at 2.0 give 0.4236 (123), 0.2690 (124),
    /// 0.1659 (134), 0.1416 (234), confirmed by Monte Carlo.
    #[test]
    fn four_sets_meet_as_derived() {
        let sets: Vec<(Unit<Vec3>, f64)> =
            [(70.0, 90.0, 0.8), (65.0, 210.0, 1.2), (60.0, 330.0, 1.5), (10.0, 45.0, 2.0)]
                .into_iter()
                .map(|(dip_deg, dip_direction_deg, spacing)| {
                    let plane = Plane { dip_deg, dip_direction_deg };
                    (plane.upward_normal(), spacing)
                })
                .collect();
        let triples = meeting_probabilities(&sets);
        let wanted = [([0, 1, 2], 0.4236), ([0, 1, 3], 0.2690), ([0, 2, 3], 0.1659), ([1, 2, 3], 0.1416)];
        assert_eq!(triples.len(), wanted.len());
        for (triple, (sets, probability)) in triples.iter().zip(wanted) {
            assert_eq!(triple.sets, sets);
            assert!((triple.probability - probability).abs() < 1e-4, "{triple:?}");
        }
    }

    /// Palmström (2005), formula from memory: spacings 0.5, 1 and 2 m square to each other cut
    /// blocks of 1.0 m³.
    #[test]
    fn orthogonal_sets_cut_bricks() {
        let sets = [(Vec3::x(), 0.5), (Vec3::y(), 1.0), (Vec3::z(), 2.0)]
            .map(|(n, spacing)| (Unit::new_normalize(n), spacing));
        let triples = meeting_probabilities(&sets);
        assert!((triples[0].volume_m3 - 1.0).abs() < 1e-12);
        assert!((triples[0].probability - 1.0).abs() < 1e-12);
    }

    #[test]
    fn planes_that_share_a_line_never_meet_in_a_block() {
        let sets = [(Vec3::x(), 1.0), (Vec3::y(), 1.0), (Vec3::new(1.0, 1.0, 0.0), 1.0)]
            .map(|(n, spacing)| (Unit::new_normalize(n), spacing));
        let triples = meeting_probabilities(&sets);
        assert!(triples[0].volume_m3 > 1e12);
        assert!(meeting_probabilities(&sets[..2]).is_empty());
    }
}
