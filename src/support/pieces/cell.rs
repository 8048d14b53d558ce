use std::cmp::Ordering;

/// A box of pieces.
#[derive(Debug, Clone)]
pub(super) struct Cell {
    /// No piece of it is carried less.
    pub bound: f64,
    /// Where the start ray daylights, metres along the chain.
    pub starts_m: (f64, f64),
    /// Where the end ray does.
    pub ends_m: (f64, f64),
    /// For each group, the chainages at which the start edge passes the reference line, from its ring 0.
    pub shifts_m: Vec<(f64, f64)>,
}

/// The middle of a stretch, and its length.
pub(super) fn middle((from, to): (f64, f64)) -> f64 {
    0.5 * (from + to)
}

pub(super) fn width((from, to): (f64, f64)) -> f64 {
    to - from
}

impl Cell {
    /// The cell of all pieces that start and end in a span, at these chainages.
    pub fn of_all(span_m: (f64, f64), shifts_m: Vec<(f64, f64)>) -> Self {
        Self { bound: 0.0, starts_m: span_m, ends_m: span_m, shifts_m }
    }

    /// The cell of one piece.
    pub fn of_piece(start_m: f64, end_m: f64, shifts_m: &[f64]) -> Self {
        Self {
            bound: 0.0,
            starts_m: (start_m, start_m),
            ends_m: (end_m, end_m),
            shifts_m: shifts_m.iter().map(|&s| (s, s)).collect(),
        }
    }

    /// Whether it is one piece.
    pub fn is_piece(&self) -> bool {
        let still = |(from, to): (f64, f64)| from == to;
        still(self.starts_m) && still(self.ends_m) && self.shifts_m.iter().all(|&s| still(s))
    }

    /// Whether a piece lies in it.
    pub fn holds(&self, start_m: f64, end_m: f64, shifts_m: &[f64]) -> bool {
        let within = |(from, to): (f64, f64), m: f64| from <= m && m <= to;
        within(self.starts_m, start_m)
            && within(self.ends_m, end_m)
            && self.shifts_m.iter().zip(shifts_m).all(|(&side, &m)| within(side, m))
    }

    /// Its sides: starts, ends, and the chainages of each group.
    pub fn sides(&self) -> usize {
        2 + self.shifts_m.len()
    }

    pub fn side(&self, side: usize) -> (f64, f64) {
        match side {
            0 => self.starts_m,
            1 => self.ends_m,
            g => self.shifts_m[g - 2],
        }
    }

    pub fn side_mut(&mut self, side: usize) -> &mut (f64, f64) {
        match side {
            0 => &mut self.starts_m,
            1 => &mut self.ends_m,
            g => &mut self.shifts_m[g - 2],
        }
    }
}

impl PartialEq for Cell {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Cell {}
impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Cell {
    /// The lowest bound comes first out of a heap; of equals the one that starts earlier, and so on, so
    /// that the order is the same always.
    fn cmp(&self, other: &Self) -> Ordering {
        other
            .bound
            .total_cmp(&self.bound)
            .then(other.starts_m.0.total_cmp(&self.starts_m.0))
            .then(other.ends_m.0.total_cmp(&self.ends_m.0))
            .then_with(|| {
                let pairs = other.shifts_m.iter().zip(&self.shifts_m);
                pairs.map(|(o, s)| o.0.total_cmp(&s.0)).find(|c| c.is_ne()).unwrap_or(Ordering::Equal)
            })
    }
}
