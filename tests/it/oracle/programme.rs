//! A linear programme, plainly: a dense table and Bland's rule, which never goes round in circles
//! (Bland 1977).

/// An entry this small of a scaled table is rounding.
const NOTHING: f64 = 1e-11;

/// The most of the first variable over `columns` · x = 0, 0 ≤ x, x_k ≤ `most`_k; infinite where it has no
/// end. x = 0 meets all of it.
pub fn most_of_first(columns: &[Vec<f64>], most: &[f64]) -> f64 {
    let equations = columns[0].len();
    let bounded: Vec<usize> = (0..columns.len()).filter(|&k| most[k].is_finite()).collect();
    let width = columns.len() + bounded.len() + 1;
    let mut table: Vec<Vec<f64>> = Vec::new();
    for e in 0..equations {
        let mut row: Vec<f64> = columns.iter().map(|c| c[e]).collect();
        let scale = row.iter().fold(0.0_f64, |m, x| m.max(x.abs()));
        if scale <= 0.0 {
            continue;
        }
        row.iter_mut().for_each(|x| *x /= scale);
        row.resize(width, 0.0);
        table.push(row);
    }
    // Every equation is solved for some variable; as all are 0 there, no sign is asked.
    let mut basis: Vec<usize> = Vec::new();
    let mut kept: Vec<Vec<f64>> = Vec::new();
    while let Some(mut row) = table.pop() {
        let (column, largest) = (0..columns.len())
            .filter(|k| !basis.contains(k))
            .map(|k| (k, row[k].abs()))
            .fold((0, 0.0), |best, x| if x.1 > best.1 { x } else { best });
        if largest <= NOTHING {
            continue; // says what others say
        }
        let by = row[column];
        row.iter_mut().for_each(|x| *x /= by);
        for other in table.iter_mut().chain(kept.iter_mut()) {
            clear(other, &row, column);
        }
        basis.push(column);
        kept.push(row);
    }
    for (slack, &k) in bounded.iter().enumerate() {
        let mut row = vec![0.0; width];
        row[k] = 1.0;
        row[columns.len() + slack] = 1.0;
        row[width - 1] = most[k];
        if let Some(at) = basis.iter().position(|&b| b == k) {
            let solved = kept[at].clone();
            clear(&mut row, &solved, k);
        }
        basis.push(columns.len() + slack);
        kept.push(row);
    }
    // The gain of a variable, over the basis.
    let mut gain = vec![0.0; width];
    gain[0] = 1.0;
    if let Some(at) = basis.iter().position(|&b| b == 0) {
        let solved = kept[at].clone();
        clear(&mut gain, &solved, 0);
    }
    for _ in 0..20_000 {
        let Some(enters) = (0..width - 1).find(|&k| gain[k] > NOTHING) else {
            return -gain[width - 1];
        };
        let mut leaves: Option<(f64, usize)> = None;
        for (at, row) in kept.iter().enumerate() {
            if row[enters] > NOTHING {
                let ratio = row[width - 1].max(0.0) / row[enters];
                let better = leaves.is_none_or(|(least, other)| {
                    ratio < least - 1e-14 || (ratio <= least && basis[at] < basis[other])
                });
                if better {
                    leaves = Some((ratio, at));
                }
            }
        }
        let Some((_, at)) = leaves else { return f64::INFINITY };
        let by = kept[at][enters];
        kept[at].iter_mut().for_each(|x| *x /= by);
        let solved = kept[at].clone();
        for (other, row) in kept.iter_mut().enumerate() {
            if other != at {
                clear(row, &solved, enters);
            }
        }
        clear(&mut gain, &solved, enters);
        basis[at] = enters;
    }
    f64::NAN
}

/// Takes a solved row so many times off another one that the column is gone from it.
fn clear(row: &mut [f64], solved: &[f64], column: usize) {
    let times = row[column];
    if times != 0.0 {
        for (x, s) in row.iter_mut().zip(solved) {
            *x -= times * s;
        }
        row[column] = 0.0;
    }
}
