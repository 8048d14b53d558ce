//! A simplex method for six equations with a zero right-hand side.
//!
//! Maximise x₀ over Σ xⱼ·aⱼ = 0, 0 ≤ xⱼ ≤ uⱼ. Every problem of this kind starts at x = 0 with all
//! six equations degenerate, where a plain simplex method may circle for ever. The rule that a
//! variable leaves by is therefore lexicographic (Dantzig, Orden & Wolfe 1955): the right-hand
//! side is thought of as shifted by ε, ε², … along the columns of the first basis, ties are
//! decided by those powers, and no basis comes twice.
//!
//! Own code because it is the inside of a loop: with ten bolts and twelve contacts it takes 4 µs and
//! meets scipy to 1e-13, where a general solver (microlp 0.7, sparse) took 150 µs and 1e-7.

/// Force and moment: six equations.
pub(super) const ROWS: usize = 6;

/// A column of the equations.
pub(super) type Column = [f64; ROWS];

/// Columns have lengths about 1. What elimination leaves of them below this is rounding, not a
/// direction of its own: a force that leaves the span of bolts and contacts by less counts as
/// within it.
const RANK: f64 = 1e-10;

/// The value x₀ must gain a unit of a variable by more than this for the variable to enter.
/// Rounding in the reduced values is some 1e-14.
const GAIN: f64 = 1e-11;

/// Pivots smaller than this are zeros that rounding has touched; dividing by them would spread it.
const PIVOT: f64 = 1e-10;

/// A basis with a smaller pivot than this is singular but for rounding.
const SINGULAR: f64 = 1e-13;

/// Steps and their lexicographic parts that differ by less are equal: upper bounds are about 1,
/// and rounding in steps is some 1e-15 of them.
const TIE: f64 = 1e-12;

/// Columns have lengths about 1, and so have upper bounds: equations that miss zero by no more are met.
const BALANCED: f64 = 1e-10;

/// Pivots and turns after which the method gives up, and more of them for each column: the
/// lexicographic rule needs a few times `ROWS` pivots, and a turn or two for each bolt.
const MOST_PIVOTS: usize = 1000;
const MOST_PIVOTS_A_COLUMN: usize = 10;

/// Rounding that pivots may have multiplied by this much, from some 1e-16, is still too small to see: an end is
/// looked at again in a table made afresh only beyond it.
const SOUND_GROWTH: f64 = 1e5;

/// A column for x₀ that has less than this in the row of the last one takes a run from the beginning.
const PIVOT_ON: f64 = 1e-3;

/// Pivots after which a run from another one's end is given up for one from the beginning: as a rule it takes
/// none or one.
const MOST_PIVOTS_ON: usize = 40;

/// What a bounded column is told by from run to run: the bolt's row and the chainage of its ring.
pub(super) type Name = (usize, f64);

/// Not in the basis of any row.
const NONE: usize = usize::MAX;

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    /// x₀ is at its greatest.
    Greatest,
    /// x₀ has reached what was asked for.
    Enough,
    /// x₀ can grow without end.
    Unbounded,
    /// Rounding kept the method from an end; x₀ is a value that is reached, not the greatest.
    GaveUp,
}

/// Columns without upper bounds that many problems share, eliminated once: the first basis.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Start {
    /// The matrix that turns columns into coordinates of the first basis.
    map: [Column; ROWS],
    /// Which column is the basis of each row.
    basis: [usize; ROWS],
    /// All columns in those coordinates, x₀ first.
    columns: Vec<Column>,
}

impl Start {
    /// Eliminates `columns`, of which the first is that of x₀ and stays out of the basis.
    pub fn new(mut columns: Vec<Column>) -> Self {
        let mut map: [Column; ROWS] =
            std::array::from_fn(|i| std::array::from_fn(|j| f64::from(u8::from(i == j))));
        let mut basis = [NONE; ROWS];
        for _ in 0..ROWS {
            let Some((row, column)) = largest(&basis, columns.len(), |row, j| columns[j][row]) else { break };
            let pivot = columns[column];
            for c in &mut columns {
                eliminate(c, row, &pivot);
            }
            for c in &mut map {
                eliminate(c, row, &pivot);
            }
            basis[row] = column;
        }
        Self { map, basis, columns }
    }

    /// Another column for x₀: what was eliminated of the others stays.
    pub fn set_first(&mut self, column: &Column) {
        self.columns[0] = Self::mapped(&self.map, column);
    }

    fn mapped(map: &[Column; ROWS], column: &Column) -> Column {
        std::array::from_fn(|i| (0..ROWS).map(|j| map[j][i] * column[j]).sum())
    }
}

/// The largest entry among rows without a basis and columns from 1 on, where it is no rounding.
fn largest(
    basis: &[usize; ROWS],
    columns: usize,
    entry: impl Fn(usize, usize) -> f64,
) -> Option<(usize, usize)> {
    let mut best = (RANK, None);
    for row in (0..ROWS).filter(|&r| basis[r] == NONE) {
        for column in 1..columns {
            let size = entry(row, column).abs();
            if size > best.0 {
                best = (size, Some((row, column)));
            }
        }
    }
    best.1
}

/// How much a pivot on `row` of a column may multiply rounding. Columns have lengths about 1: one that is small
/// all over may be nothing but rounding.
fn growth(column: &Column, row: usize) -> f64 {
    let most = column.iter().fold(1.0_f64, |m, e| m.max(e.abs()));
    most / column[row].abs()
}

/// What a pivot on `row` of the column `pivot` makes of another column.
fn eliminate(column: &mut Column, row: usize, pivot: &Column) {
    let scaled = column[row] / pivot[row];
    for (i, (entry, p)) in column.iter_mut().zip(pivot).enumerate() {
        if i == row {
            *entry = scaled;
        } else {
            *entry -= p * scaled;
        }
    }
}

/// The inverse, row by row, of the matrix with these columns; `None` where it has none but for
/// rounding.
fn inverse(columns: [Column; ROWS]) -> Option<[Column; ROWS]> {
    let mut rows: [[f64; 2 * ROWS]; ROWS] = std::array::from_fn(|i| {
        std::array::from_fn(|j| if j < ROWS { columns[j][i] } else { f64::from(u8::from(j - ROWS == i)) })
    });
    for k in 0..ROWS {
        let mut best = k;
        for i in k + 1..ROWS {
            if rows[i][k].abs() > rows[best][k].abs() {
                best = i;
            }
        }
        rows.swap(k, best);
        let pivot = rows[k][k];
        if pivot.abs() < SINGULAR {
            return None;
        }
        let line = rows[k].map(|e| e / pivot);
        for (i, row) in rows.iter_mut().enumerate() {
            if i != k {
                let factor = row[k];
                for (entry, p) in row.iter_mut().zip(&line) {
                    *entry -= factor * p;
                }
            }
        }
        rows[k] = line;
    }
    Some(rows.map(|row| std::array::from_fn(|j| row[ROWS + j])))
}

/// Working memory and, after a run, its result.
#[derive(Debug, Default, Clone)]
pub(super) struct Simplex {
    /// Rows of the table one after the other, the reduced values last.
    table: Vec<f64>,
    /// The rows as they were in the first basis.
    origin: Vec<f64>,
    /// The pivot row, aside.
    pivot_row: Vec<f64>,
    width: usize,
    /// Columns at the end that never enter: none, or x₀'s as a run from another one's end began with it. The
    /// first basis has to keep it where x₀'s own is exchanged.
    kept: usize,
    upper: Vec<f64>,
    /// Variables counted down from their upper bound.
    turned: Vec<bool>,
    /// Names of the bounded columns, where the run had them, and those and what was turned of the run before.
    names: Vec<Name>,
    ended_names: Vec<Name>,
    ended_turned: Vec<bool>,
    /// Whether the table is that of a run with names.
    is_named: bool,
    /// Values of the basic variables.
    beta: [f64; ROWS],
    basis: [usize; ROWS],
    /// The first basis, row by row.
    first: [usize; ROWS],
    /// Its map from columns to coordinates.
    map: [Column; ROWS],
    pivots: usize,
    /// How much pivots may have multiplied rounding by since the table was made from the columns.
    growth: f64,
    /// After a turn, the variable to look at next.
    after_turn: Option<usize>,
}

impl Simplex {
    /// Maximises x₀ over the columns of `start`, which have no upper bounds, and `bounded` ones
    /// with their upper bounds above zero, which are best about 1. Stops once x₀ ≥ `enough`.
    pub fn run(&mut self, start: &Start, bounded: impl Iterator<Item = (Column, f64)>, enough: f64) -> End {
        self.is_named = false;
        self.run_cold(start, bounded, enough)
    }

    fn run_cold(&mut self, start: &Start, bounded: impl Iterator<Item = (Column, f64)>, enough: f64) -> End {
        self.load(start, bounded);
        if !self.complete_basis() {
            return End::Greatest;
        }
        self.keep_origin();
        loop {
            let before = self.pivots;
            let end = self.climb(enough, MOST_PIVOTS + MOST_PIVOTS_A_COLUMN * self.width);
            // A tie may have forced a small pivot on the way, and rounding with it: the greatest counts only in a
            // table that is made afresh from the columns; of what is enough it is known where that is not so.
            let sound = self.pivots == before || (end == End::Enough && self.growth <= SOUND_GROWTH);
            if end == End::GaveUp || sound || !self.refresh() {
                return end;
            }
        }
    }

    /// As [`Simplex::run`], from the basis that the last run with names ended in, where that is one of this run
    /// too: much sooner where the two are alike, and the same value but for rounding. `shared` are the columns of
    /// `start`, which is asked for only where that basis does not serve. `names` are those of the bounded columns,
    /// in rising order: columns of one name are taken for the same.
    pub fn run_near<'s>(
        &mut self,
        shared: &[Column],
        start: impl FnOnce() -> &'s Start,
        bounded: impl Iterator<Item = (Column, f64)> + Clone,
        names: impl Iterator<Item = Name>,
        enough: f64,
    ) -> End {
        let basis = self.is_named.then_some(self.basis).filter(|basis| !basis.contains(&NONE));
        let width = self.width - self.kept;
        std::mem::swap(&mut self.turned, &mut self.ended_turned);
        std::mem::swap(&mut self.names, &mut self.ended_names);
        self.names.clear();
        self.names.extend(names);
        let known = basis.filter(|_| self.ended_names.len() + shared.len() == width);
        let end = known.and_then(|basis| self.run_from(basis, shared, bounded.clone(), enough));
        let end = end.unwrap_or_else(|| self.run_cold(start(), bounded, enough));
        self.is_named = self.width > 0;
        end
    }

    /// A run from the basis of another one; `None` where it is none of this one, or leads nowhere soon. That
    /// basis is the first one here: nothing has to be eliminated for another.
    fn run_from(
        &mut self,
        basis: [usize; ROWS],
        shared: &[Column],
        bounded: impl Iterator<Item = (Column, f64)>,
        enough: f64,
    ) -> Option<End> {
        self.upper.clear();
        self.upper.resize(shared.len(), f64::INFINITY);
        // Columns lie one after the other in `pivot_row`, since their number is not known.
        self.pivot_row.clear();
        for (column, upper) in bounded {
            self.pivot_row.extend(column);
            self.upper.push(upper);
        }
        self.kept = usize::from(basis.contains(&0));
        if self.kept > 0 {
            self.pivot_row.extend(shared[0]);
            self.upper.push(0.0);
        }
        let width = self.upper.len();
        self.width = width;
        self.turned.clear();
        self.turned.resize(width, false);
        let basis = self.renamed(basis, shared.len())?;
        let own = &self.pivot_row;
        let given = |j: usize| -> Column {
            match j.checked_sub(shared.len()) {
                None => shared[j],
                Some(k) => std::array::from_fn(|i| own[k * ROWS + i]),
            }
        };
        let inverse = inverse(basis.map(given))?;
        if inverse.iter().flatten().any(|e| e.abs() > SOUND_GROWTH) {
            return None;
        }
        self.map = std::array::from_fn(|j| std::array::from_fn(|i| inverse[i][j]));
        self.origin.clear();
        self.origin.resize(ROWS * width, 0.0);
        for j in 0..width {
            let column = Start::mapped(&self.map, &given(j));
            for (i, entry) in column.iter().enumerate() {
                self.origin[i * width + j] = *entry;
            }
        }
        self.table.clear();
        self.table.resize((ROWS + 1) * width, 0.0);
        self.basis = basis;
        self.first = basis.map(|column| if column == 0 { width - 1 } else { column });
        self.pivots = 0;
        self.tabulate(None);
        if !self.settle() {
            return None;
        }
        let end = self.climb(enough, MOST_PIVOTS_ON);
        (self.growth <= SOUND_GROWTH && end != End::GaveUp).then_some(end)
    }

    /// The columns of this run that have the names of a basis of the run before, and what was turned of them;
    /// `None` where one is missing.
    fn renamed(&mut self, mut basis: [usize; ROWS], shared: usize) -> Option<[usize; ROWS]> {
        // Both lists of names rise.
        let mut at = 0;
        let mut found = basis.map(|column| column < shared);
        for (old, name) in self.ended_names.iter().enumerate() {
            while self.names.get(at).is_some_and(|here| here < name) {
                at += 1;
            }
            if self.names.get(at) != Some(name) {
                continue;
            }
            self.turned[shared + at] = self.ended_turned[shared + old];
            for (column, found) in basis.iter_mut().zip(&mut found) {
                if *column == shared + old && !*found {
                    (*column, *found) = (shared + at, true);
                }
            }
        }
        (!found.contains(&false)).then_some(basis)
    }

    /// Whether the variables that limited the last run with names hold x₀ at `enough` or more under other columns:
    /// x₀ first, `shared` ones without upper bounds, and those with names and bounds. Much sooner than a run; what
    /// it says of x₀ is reached, and as a rule not the greatest. `None` where it is not, or nothing is known of it.
    pub fn holds_as_before(
        &self,
        shared: usize,
        column_of: impl Fn(usize) -> Column,
        bounded: impl Fn(usize) -> (Column, f64),
        names: &[Name],
        enough: f64,
    ) -> Option<f64> {
        if !self.is_named || self.basis.contains(&NONE) || self.names.len() + shared + self.kept != self.width
        {
            return None;
        }
        let mut columns = [[0.0; ROWS]; ROWS];
        let mut upper = [f64::INFINITY; ROWS];
        let mut found = 0;
        for (row, &basic) in self.basis.iter().enumerate() {
            if basic < shared {
                columns[row] = column_of(basic);
                found += 1;
            }
        }
        let mut right = [0.0; ROWS];
        let mut at = 0;
        for (k, name) in self.names.iter().enumerate() {
            let old = shared + k;
            let row = self.basis.iter().position(|&b| b == old);
            if row.is_none() && !self.turned[old] {
                continue;
            }
            while names.get(at).is_some_and(|here| here < name) {
                at += 1;
            }
            if names.get(at) != Some(name) {
                continue;
            }
            let (column, most) = bounded(at);
            match row {
                Some(row) => {
                    (columns[row], upper[row]) = (column, most);
                    found += 1;
                }
                None => {
                    for (sum, entry) in right.iter_mut().zip(&column) {
                        *sum -= entry * most;
                    }
                }
            }
        }
        let x0 = self.basis.iter().position(|&b| b == 0)?;
        if found < ROWS {
            return None;
        }
        let values = inverse(columns)?.map(|row| row.iter().zip(&right).map(|(a, b)| a * b).sum::<f64>());
        let inside = values.iter().zip(&upper).all(|(&v, &most)| (0.0..=most).contains(&v));
        if !inside || values[x0] < enough {
            return None;
        }
        // An inverse that rounding has spoilt balances nothing.
        let missing = |i: usize| columns.iter().zip(&values).map(|(c, v)| c[i] * v).sum::<f64>() - right[i];
        (0..ROWS).all(|i| missing(i).abs() <= BALANCED).then_some(values[x0])
    }

    /// No run is left to go on from.
    fn forget(&mut self) {
        (self.width, self.kept) = (0, 0);
    }

    fn keep_origin(&mut self) {
        self.origin.clear();
        self.origin.extend_from_slice(&self.table[..ROWS * self.width]);
    }

    /// From where a run has ended, the same with another column for x₀; `None` where no such run is left, or
    /// the basis that it ended in does not hold for this column: then all has to be run from the beginning.
    pub fn run_on(&mut self, column: &Column, enough: f64) -> Option<End> {
        if self.width == 0 || self.basis.contains(&NONE) {
            return None;
        }
        let mapped = Start::mapped(&self.map, column);
        let here: Column = std::array::from_fn(|row| {
            let own = self.own_row(row);
            let entry: f64 = own.iter().zip(&mapped).map(|(a, b)| a * b).sum();
            if self.turned[self.basis[row]] { -entry } else { entry }
        });
        let (width, at) = (self.width, self.basis.iter().position(|&b| b == 0));
        for (row, entry) in here.iter().enumerate() {
            self.table[row * width] = *entry;
        }
        for (row, entry) in mapped.iter().enumerate() {
            self.origin[row * width] = *entry;
        }
        if let Some(row) = at {
            // Of the other sign, and what was best would be worst.
            if here[row] < PIVOT_ON {
                self.forget();
                return None;
            }
            self.pivot(row, 0);
            let step = self.beta[row] / here[row];
            for (i, value) in self.beta.iter_mut().enumerate() {
                if i == row {
                    *value = step;
                } else {
                    *value -= here[i] * step;
                }
            }
            // The pivot row, aside, is x₀'s.
            for (gain, entry) in self.table[ROWS * width..].iter_mut().zip(&self.pivot_row) {
                *gain = -entry;
            }
            self.table[ROWS * width] = 0.0;
        }
        self.pivots = 0;
        if !self.settle() {
            self.forget();
            return None;
        }
        self.after_turn = None;
        let end = self.climb(enough, MOST_PIVOTS_ON);
        if self.growth > SOUND_GROWTH || end == End::GaveUp {
            self.forget();
            return None;
        }
        Some(end)
    }

    /// How far the basic variable of a row is outside its bounds, below zero where it is inside.
    fn outside(&self, row: usize) -> f64 {
        let (value, upper) = (self.beta[row], self.upper[self.basis[row]]);
        (-value).max(value - upper)
    }

    /// Brings basic variables that are outside their bounds back inside, by the dual simplex method with bounds
    /// (Lemke 1954): after a run to the greatest x₀ every reduced value stays at or below zero; where they do not, by
    /// [`Simplex::restore`]. False where it takes too long.
    fn settle(&mut self) -> bool {
        for _ in 0..MOST_PIVOTS_ON {
            let mut worst = (TIE, None);
            for row in 0..ROWS {
                let by = self.outside(row);
                if by > worst.0 {
                    worst = (by, Some(row));
                }
            }
            let Some(row) = worst.1 else { return true };
            if self.entering().is_some() {
                return self.restore();
            }
            if self.beta[row] > 0.0 {
                self.turn_basic(row);
                self.beta[row] = self.upper[self.basis[row]] - self.beta[row];
            }
            let mut least = (f64::INFINITY, 0.0, None);
            for j in 0..self.width - self.kept {
                let slope = self.at(row, j);
                if slope < -PIVOT && !self.basis.contains(&j) {
                    let ratio = (self.at(ROWS, j) / slope).max(0.0);
                    if ratio < least.0 - TIE || (ratio <= least.0 + TIE && slope < least.1) {
                        least = (ratio, slope, Some(j));
                    }
                }
            }
            let Some(entering) = least.2 else { return false };
            let step = self.beta[row] / least.1;
            for i in (0..ROWS).filter(|&i| i != row) {
                self.beta[i] -= self.at(i, entering) * step;
            }
            self.pivot(row, entering);
            self.beta[row] = step;
            self.pivots += 1;
        }
        false
    }

    /// The same whatever x₀ still gains: variables enter that lower what the basic ones are outside by together, until
    /// none is. All at zero is inside, so there is a way.
    fn restore(&mut self) -> bool {
        for _ in 0..MOST_PIVOTS_ON {
            // Of each row, −1 below zero, 1 above the upper bound.
            let sides: [f64; ROWS] =
                std::array::from_fn(
                    |row| {
                        if self.outside(row) <= TIE { 0.0 } else { self.beta[row].signum() }
                    },
                );
            if sides == [0.0; ROWS] {
                self.after_turn = None;
                return true;
            }
            let mut best = (PIVOT, None);
            for j in (0..self.width - self.kept).filter(|j| !self.basis.contains(j)) {
                let rate: f64 = (0..ROWS).map(|row| sides[row] * self.at(row, j)).sum();
                if rate > best.0 {
                    best = (rate, Some(j));
                }
            }
            let Some(entering) = best.1 else { return false };
            let mut step = self.upper[entering];
            let mut leaving: Option<(usize, bool)> = None;
            for (row, side) in sides.into_iter().enumerate() {
                let slope = self.at(row, entering);
                let (value, upper) = (self.beta[row], self.upper[self.basis[row]]);
                // One that is outside stops where it comes inside.
                let (room, at_upper) = if side < 0.0 && slope < -PIVOT {
                    (-value, false)
                } else if side > 0.0 && slope > PIVOT {
                    (value - upper, true)
                } else if side == 0.0 && slope > PIVOT {
                    (value, false)
                } else if side == 0.0 && slope < -PIVOT && upper.is_finite() {
                    (upper - value, true)
                } else {
                    continue;
                };
                let here = room.max(0.0) / slope.abs();
                let steeper = |other: (usize, bool)| slope.abs() > self.at(other.0, entering).abs();
                if here < step - TIE || here <= step + TIE && leaving.is_none_or(steeper) {
                    step = here;
                    leaving = Some((row, at_upper));
                }
            }
            if leaving.is_none() && step.is_infinite() {
                return false;
            }
            self.take(entering, step, leaving);
            self.pivots += 1;
        }
        false
    }

    fn climb(&mut self, enough: f64, most_pivots: usize) -> End {
        loop {
            if self.value() >= enough {
                return End::Enough;
            }
            let Some(entering) = self.after_turn.take().or_else(|| self.entering()) else {
                return End::Greatest;
            };
            if self.pivots >= most_pivots {
                return End::GaveUp;
            }
            if !self.step(entering) {
                return End::Unbounded;
            }
            self.pivots += 1;
        }
    }

    fn load(&mut self, start: &Start, bounded: impl Iterator<Item = (Column, f64)>) {
        self.upper.clear();
        self.upper.resize(start.columns.len(), f64::INFINITY);
        // Columns first lie one after the other in `pivot_row`, since their number is not known.
        self.pivot_row.clear();
        for (column, upper) in bounded {
            self.pivot_row.extend(Start::mapped(&start.map, &column));
            self.upper.push(upper);
        }
        self.width = self.upper.len();
        self.kept = 0;
        self.table.clear();
        self.table.resize((ROWS + 1) * self.width, 0.0);
        for row in 0..ROWS {
            let line = &mut self.table[row * self.width..(row + 1) * self.width];
            let shared = start.columns.iter().map(|c| c[row]);
            let own = self.pivot_row.chunks_exact(ROWS).map(|c| c[row]);
            for (entry, value) in line.iter_mut().zip(shared.chain(own)) {
                *entry = value;
            }
        }
        self.table[ROWS * self.width] = 1.0;
        self.turned.clear();
        self.turned.resize(self.width, false);
        self.beta = [0.0; ROWS];
        self.basis = start.basis;
        self.map = start.map;
        self.pivots = 0;
        self.growth = 1.0;
        self.after_turn = None;
    }

    fn at(&self, row: usize, column: usize) -> f64 {
        self.table[row * self.width + column]
    }

    /// Fills rows that the shared columns left without a basis from the bounded ones; rows that
    /// stay without one say 0 = 0. False where x₀ alone is left in such a row: it cannot move.
    fn complete_basis(&mut self) -> bool {
        while let Some((row, column)) = largest(&self.basis, self.width, |row, j| self.at(row, j)) {
            let pivot: Column = std::array::from_fn(|i| self.at(i, column));
            for c in &mut self.map {
                eliminate(c, row, &pivot);
            }
            self.pivot(row, column);
        }
        self.first = self.basis;
        for row in (0..ROWS).filter(|&r| self.basis[r] == NONE) {
            if self.at(row, 0).abs() > RANK {
                return false;
            }
            self.table[row * self.width..(row + 1) * self.width].fill(0.0);
        }
        true
    }

    /// The variable that gains x₀ most a unit.
    fn entering(&self) -> Option<usize> {
        let gains = &self.table[ROWS * self.width..(ROWS + 1) * self.width - self.kept];
        let mut best = (GAIN, None);
        for (j, &gain) in gains.iter().enumerate() {
            if gain > best.0 && !self.basis.contains(&j) {
                best = (gain, Some(j));
            }
        }
        best.1
    }

    /// The next variable after `column` that gains x₀. A turn leaves all other reduced values as they
    /// were, so hundreds of bolts come to their bounds in one pass.
    fn next_gaining(&self, column: usize) -> Option<usize> {
        let gains = &self.table[ROWS * self.width..];
        (column + 1..self.width - self.kept).find(|&j| gains[j] > GAIN && !self.basis.contains(&j))
    }

    /// Lets a variable enter: to its own upper bound, or until another one leaves. False where
    /// nothing stops it.
    fn step(&mut self, entering: usize) -> bool {
        let mut step = self.upper[entering];
        let mut leaving: Option<(usize, bool)> = None;
        for row in 0..ROWS {
            let slope = self.at(row, entering);
            let (room, at_upper) = if slope > PIVOT {
                (self.beta[row], false)
            } else if slope < -PIVOT && self.upper[self.basis[row]].is_finite() {
                (self.upper[self.basis[row]] - self.beta[row], true)
            } else {
                continue;
            };
            let here = room.max(0.0) / slope.abs();
            if here < step - TIE
                || (here <= step + TIE && self.leaves_before(row, leaving.map(|l| l.0), entering))
            {
                step = here;
                leaving = Some((row, at_upper));
            }
        }
        if leaving.is_none() && step.is_infinite() {
            return false;
        }
        self.take(entering, step, leaving);
        if leaving.is_none() {
            self.after_turn = self.next_gaining(entering);
        }
        true
    }

    /// Takes a step with a variable: to its own upper bound, from which it is then counted down, or into the place of
    /// the basic variable of a row that leaves at zero or at its upper bound.
    fn take(&mut self, entering: usize, step: f64, leaving: Option<(usize, bool)>) {
        for row in 0..ROWS {
            self.beta[row] -= self.at(row, entering) * step;
        }
        match leaving {
            None => {
                for row in 0..=ROWS {
                    self.table[row * self.width + entering] *= -1.0;
                }
                self.turned[entering] ^= true;
            }
            Some((row, at_upper)) => {
                if at_upper {
                    self.turn_basic(row);
                }
                self.pivot(row, entering);
                self.beta[row] = step;
            }
        }
    }

    /// Of two rows that stop a variable after equal steps, whether the first does so before the
    /// second (`None`: the variable's own upper bound) in powers of ε.
    fn leaves_before(&self, row: usize, other: Option<usize>, entering: usize) -> bool {
        let slope = self.at(row, entering);
        let other_slope = other.map_or(1.0, |o| self.at(o, entering));
        for &column in self.first.iter().filter(|&&c| c != NONE) {
            // A variable counted down does not turn the shift of the right-hand side round.
            let sign = if self.turned[column] { -1.0 } else { 1.0 };
            let mine = sign * self.at(row, column) / slope;
            let theirs = other.map_or(0.0, |o| sign * self.at(o, column) / other_slope);
            if (mine - theirs).abs() > TIE * mine.abs().max(theirs.abs()).max(1.0) {
                return mine < theirs;
            }
        }
        slope.abs() > other_slope.abs()
    }

    /// Counts the basic variable of a row down from its upper bound, or up again; its value is left to the caller.
    fn turn_basic(&mut self, row: usize) {
        let basic = self.basis[row];
        let line = &mut self.table[row * self.width..(row + 1) * self.width];
        for entry in line.iter_mut() {
            *entry *= -1.0;
        }
        line[basic] = 1.0;
        self.turned[basic] ^= true;
    }

    fn pivot(&mut self, row: usize, column: usize) {
        let width = self.width;
        self.growth *= growth(&std::array::from_fn(|i| self.at(i, column)), row);
        let scale = 1.0 / self.at(row, column);
        self.pivot_row.clear();
        self.pivot_row.extend(self.table[row * width..(row + 1) * width].iter().map(|e| e * scale));
        self.pivot_row[column] = 1.0;
        for (i, line) in self.table.chunks_exact_mut(width).enumerate() {
            if i == row {
                line.copy_from_slice(&self.pivot_row);
                continue;
            }
            let factor = line[column];
            if factor != 0.0 {
                for (entry, p) in line.iter_mut().zip(&self.pivot_row) {
                    *entry -= factor * p;
                }
                line[column] = 0.0;
            }
        }
        self.basis[row] = column;
    }

    /// Makes table and values afresh for the basis as it stands. False where rounding has made
    /// the basis one that cannot be inverted: then nothing is changed.
    fn refresh(&mut self) -> bool {
        let width = self.width;
        let has_basis = self.basis.map(|b| b != NONE);
        let of_basis = std::array::from_fn(|row| {
            let basic = self.basis[row];
            std::array::from_fn(|i| {
                if has_basis[row] { self.origin[i * width + basic] } else { f64::from(u8::from(i == row)) }
            })
        });
        let Some(inverse) = inverse(of_basis) else { return false };
        self.tabulate(Some(&inverse));
        true
    }

    /// Table and values of the basis as it stands, from the rows of the first basis and the inverse of this
    /// basis there; `None` where it is the first one.
    fn tabulate(&mut self, inverse: Option<&[Column; ROWS]>) {
        self.after_turn = None;
        self.growth = 1.0;
        let width = self.width;
        let has_basis = self.basis.map(|b| b != NONE);
        let sign = |turned: bool| if turned { -1.0 } else { 1.0 };
        let signs = self.basis.map(|b| b != NONE && self.turned[b]).map(sign);
        let mut values = [0.0; ROWS];
        for j in 0..width {
            if let Some(row) = self.basis.iter().position(|&b| b == j) {
                for i in 0..=ROWS {
                    self.table[i * width + j] = f64::from(u8::from(i == row));
                }
                continue;
            }
            let column: Column = std::array::from_fn(|i| self.origin[i * width + j]);
            for i in 0..ROWS {
                let entry: f64 = inverse
                    .map_or(column[i], |inverse| inverse[i].iter().zip(&column).map(|(a, b)| a * b).sum());
                if self.turned[j] {
                    values[i] -= entry * self.upper[j];
                }
                self.table[i * width + j] = entry * signs[i] * sign(self.turned[j]);
            }
            self.table[ROWS * width + j] = f64::from(u8::from(j == 0));
        }
        if let Some(row) = self.basis.iter().position(|&b| b == 0) {
            for j in (0..width).filter(|j| !self.basis.contains(j)) {
                self.table[ROWS * width + j] = -self.table[row * width + j];
            }
        }
        for row in (0..ROWS).filter(|&r| has_basis[r]) {
            let basic = self.basis[row];
            self.beta[row] = if self.turned[basic] { self.upper[basic] - values[row] } else { values[row] };
        }
    }

    /// x₀.
    pub fn value(&self) -> f64 {
        self.basis.iter().position(|&b| b == 0).map_or(0.0, |row| self.beta[row])
    }

    /// Pivots and turns that the run took.
    #[cfg(test)]
    pub fn pivots(&self) -> usize {
        self.pivots
    }

    /// The value of variable `index`.
    pub fn variable(&self, index: usize) -> f64 {
        let counted = self.basis.iter().position(|&b| b == index).map_or(0.0, |row| self.beta[row]);
        if self.turned[index] { self.upper[index] - counted } else { counted }
    }

    /// Row `row` of the inverse of the basis, in coordinates of the first basis.
    fn own_row(&self, row: usize) -> Column {
        std::array::from_fn(|k| {
            let column = self.first[k];
            if column == NONE {
                return 0.0;
            }
            // Undo the turns of the row's own variable and of the first basis.
            let turns = self.turned[column] ^ self.turned[self.basis[row]];
            let entry = self.at(row, column);
            if turns { -entry } else { entry }
        })
    }

    /// Row `row` of the inverse of the basis, in the equations as they were given.
    fn inverse_row(&self, row: usize) -> Column {
        let own = self.own_row(row);
        std::array::from_fn(|j| (0..ROWS).map(|k| own[k] * self.map[j][k]).sum())
    }

    /// Takes the rounding of the pivots out of the basic variables: `missing` is what the columns
    /// as they were given, times [`Simplex::variable`], leave of the equations (their sum).
    pub fn polish(&mut self, missing: &Column) {
        let mapped = Start::mapped(&self.map, missing);
        for row in (0..ROWS).filter(|&r| self.basis[r] != NONE) {
            let own = self.own_row(row);
            let change: f64 = own.iter().zip(&mapped).map(|(a, b)| a * b).sum();
            self.beta[row] += if self.turned[self.basis[row]] { change } else { -change };
        }
    }

    /// The multipliers of the equations, where x₀ is basic: the mechanism that limits it. A column
    /// times them is minus its reduced value; that of x₀ is 1.
    pub fn multipliers(&self) -> Option<Column> {
        self.basis.iter().position(|&b| b == 0).map(|row| self.inverse_row(row))
    }
}
