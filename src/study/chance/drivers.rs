//! Which input drives what comes out, from the draws themselves.

/// What one input has to do with what comes out.
#[derive(Debug, Clone, PartialEq)]
pub struct Driver {
    /// Which input.
    pub input: String,
    /// Rank correlation with the largest volume of a draw (Spearman 1904).
    pub rank_volume: Option<f64>,
    /// Rank correlation with the least factor of safety of a draw.
    pub rank_fs: Option<f64>,
    /// Share of the variance of the largest volume that it explains by itself.
    pub first_order_volume: Option<f64>,
    /// Share of the variance of being short or not that it explains by itself.
    pub first_order_short: Option<f64>,
}

/// A draw that drivers are found from.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct DriverDraw {
    /// Its number.
    pub index: u64,
    /// What was drawn.
    pub values: Vec<f64>,
    /// Its largest volume, cubic metres; 0 where nothing can move.
    pub volume_m3: f64,
    /// Its least factor of safety; `None` where nothing can move.
    pub fs: Option<f64>,
    /// Whether a wedge was short.
    pub short: bool,
}

/// Classes that draws are put into by an input: so many draws a class at least, and so many classes at most.
const LEAST_IN_CLASS: usize = 50;
const MOST_CLASSES: usize = 40;

/// The drivers, in the order of the inputs.
pub(super) fn drivers(names: &[String], draws: &[DriverDraw]) -> Vec<Driver> {
    let volumes: Vec<f64> = draws.iter().map(|d| d.volume_m3).collect();
    let factors: Vec<f64> = draws.iter().map(|d| d.fs.unwrap_or(f64::INFINITY)).collect();
    let shorts: Vec<f64> = draws.iter().map(|d| f64::from(u8::from(d.short))).collect();
    let (rank_volumes, rank_factors) = (ranks(&volumes), ranks(&factors));
    let of_one = |(at, name): (usize, &String)| {
        let values: Vec<f64> = draws.iter().map(|d| d.values[at]).collect();
        let own = ranks(&values);
        Driver {
            input: name.clone(),
            rank_volume: correlation(&own, &rank_volumes),
            rank_fs: correlation(&own, &rank_factors),
            first_order_volume: first_order(&own, &volumes),
            first_order_short: first_order(&own, &shorts),
        }
    };
    names.iter().enumerate().map(of_one).collect()
}

/// Ranks from 1, equal numbers with the mean of theirs.
#[allow(clippy::cast_precision_loss)] // places in a list
fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]).then(a.cmp(&b)));
    let mut ranks = vec![0.0; values.len()];
    let mut first = 0;
    while first < order.len() {
        let same = order[first..].iter().take_while(|&&i| values[i] == values[order[first]]).count();
        let mean = first as f64 + 0.5 * (same as f64 + 1.0);
        order[first..first + same].iter().for_each(|&i| ranks[i] = mean);
        first += same;
    }
    ranks
}

/// Pearson's correlation; `None` where one of the two does not change.
#[allow(clippy::cast_precision_loss)]
fn correlation(a: &[f64], b: &[f64]) -> Option<f64> {
    let n = a.len() as f64;
    let (mean_a, mean_b) = (a.iter().sum::<f64>() / n, b.iter().sum::<f64>() / n);
    let (mut aa, mut bb, mut ab) = (0.0, 0.0, 0.0);
    for (x, y) in a.iter().zip(b) {
        let (x, y) = (x - mean_a, y - mean_b);
        aa += x * x;
        bb += y * y;
        ab += x * y;
    }
    (aa > 0.0 && bb > 0.0).then(|| ab / (aa * bb).sqrt())
}

/// The share of the variance of `out` that lies between classes of draws alike in one input: the first-order
/// index by the correlation ratio (Pearson 1905; McKay 1995, NUREG/CR-6311), less what classes of so many draws
/// show by chance alone (Kelley 1935, *Proc. Natl. Acad. Sci.* 21, 554-559), not below 0.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn first_order(ranks: &[f64], out: &[f64]) -> Option<f64> {
    let n = out.len();
    let classes = (n / LEAST_IN_CLASS).min(MOST_CLASSES);
    if classes < 2 {
        return None;
    }
    let class = |rank: f64| (((rank - 0.5) / n as f64 * classes as f64) as usize).min(classes - 1);
    let mut sums = vec![(0usize, 0.0); classes];
    for (rank, y) in ranks.iter().zip(out) {
        let of = &mut sums[class(*rank)];
        *of = (of.0 + 1, of.1 + y);
    }
    sums.retain(|s| s.0 > 0);
    if sums.len() < 2 {
        return None;
    }
    let mean = out.iter().sum::<f64>() / n as f64;
    let whole: f64 = out.iter().map(|y| (y - mean).powi(2)).sum();
    let between: f64 =
        sums.iter().map(|(count, sum)| *count as f64 * (sum / *count as f64 - mean).powi(2)).sum();
    if whole <= 0.0 {
        return None;
    }
    let (own, rest) = ((sums.len() - 1) as f64, (n - sums.len()) as f64);
    Some(((between - own * (whole - between) / rest) / whole).clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::super::draw::uniform;
    use super::*;
    use rand_chacha::ChaCha8Rng;
    use rand_chacha::rand_core::SeedableRng;

    /// y = 2a + b of two independent numbers of equal scatter: a explains four fifths, b one fifth, c nothing;
    /// the rank correlation of a is near √0.8.
    #[test]
    fn a_sum_is_driven_by_its_parts() {
        let n = 4000u32;
        let mut rng = ChaCha8Rng::seed_from_u64(17);
        let draws: Vec<DriverDraw> = (0..n)
            .map(|i| {
                let [a, b, c] = std::array::from_fn(|_| uniform(&mut rng) - 0.5);
                let y = 2.0 * a + b + 5.0;
                DriverDraw {
                    index: u64::from(i),
                    values: vec![a, b, c],
                    volume_m3: y,
                    fs: Some(-y),
                    short: y > 5.0,
                }
            })
            .collect();
        let names = ["a", "b", "c"].map(String::from);
        let found = drivers(&names, &draws);
        let first = |at: usize| found[at].first_order_volume.unwrap();
        assert!(
            (first(0) - 0.8).abs() < 0.02 && (first(1) - 0.2).abs() < 0.02 && first(2) < 0.01,
            "{found:?}"
        );
        let rank = found[0].rank_volume.unwrap();
        assert!((rank - 0.8f64.sqrt()).abs() < 0.02 && (found[0].rank_fs.unwrap() + rank).abs() < 1e-12);
    }

    #[test]
    fn equal_numbers_share_their_rank() {
        assert_eq!(ranks(&[3.0, 1.0, 3.0, 2.0]), [3.5, 1.0, 3.5, 2.0]);
        assert_eq!(correlation(&[1.0, 1.0], &[1.0, 2.0]), None);
    }
}
