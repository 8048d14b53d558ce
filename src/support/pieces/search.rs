//! Branch and bound over the pieces of a pyramid.

use std::collections::{BinaryHeap, HashMap};

use super::super::PhaseGroup;
use super::bounds::{Carried, Ground, Wanted};
use super::cell::{Cell, middle, width};
use super::line::Line;
use super::stretch::Stretch;
use super::{Carrier, Decision, LeastPiece, PieceAt, Pieces, ShortPiece, Uncarried};
use crate::wedge::{Footprint, ON_FACE_M};

/// The search ends when no piece can be carried less than the least one found by more than this share.
const BRACKET_SHARE: f64 = 1e-3;

/// Most cells that are divided for one pyramid; where the search ends here, the bracket is wider and says so.
const MOST_CELLS: usize = 4_000;

/// The same once it is known on which side of what is asked the least piece lies: a wider bracket then changes
/// no verdict.
const MOST_CELLS_ONCE_DECIDED: usize = 1_500;

/// The same for what is told beside and decides nothing.
const MOST_CELLS_BESIDE: usize = 500;

/// The same where each piece is only asked whether it is carried: what is decided at all is decided in some
/// hundred cells.
const MOST_DECIDING_CELLS: usize = 1_200;

/// A cell narrower than this in every direction is not divided, metres: nobody measures finer.
const LEAST_CELL_M: f64 = 1e-7;

/// Cells part where a row comes in. The place itself has it, those from here on beside it have not, metres:
/// a collar this near counts as on the face still.
const BESIDE_M: f64 = 2.0 * ON_FACE_M;

/// A side of a cell that is this many times as long as the one that a division would help most, each for
/// the size of what it is a part of, is divided first.
const LONGEST_TIMES: f64 = 8.0;

/// The same for chainages of sliding pieces, over the longer side across the drive.
const ALONG_TIMES: f64 = 4.0;

/// Even places, across and along the drive, at which a piece that needs bolts is looked for.
const NEEDS_PLACES: usize = 16;

/// Even places across the drive of small pieces that are asked whether anything is on them.
const UNCARRIED_PLACES: usize = 24;

/// A piece that is larger than those for the bar by this share is none of them.
const ABOVE_BAR_SHARE: f64 = 1e-6;

/// Even places, besides those where rows come in, of the pieces that a search for the least starts from.
const FIRST_PLACES: usize = 6;

/// In a stretch every bolt is a row of its own: of so many places no more than these are started from, evenly over
/// them, since pieces between every two of a hundred would cost more than all cells.
const MOST_FIRST_PLACES: usize = 32;

/// The same where each piece is only asked whether it is carried: there the pieces of the cells find most.
const MOST_FIRST_PLACES_DECIDING: usize = 16;

/// Places along the drive of each of them, and where pieces are only asked that.
const FIRST_SHIFTS: usize = 8;
const FIRST_SHIFTS_DECIDING: usize = 4;

/// After how many cells these are tried where nothing was decided before.
const FIRST_AFTER_CELLS: usize = 32;

/// After how many cells walks start from more pieces than the least: from as many of these as lie elsewhere.
const MORE_WALKS_AFTER_CELLS: usize = 256;
const MORE_WALKS: usize = 6;

/// Most walks down from a least piece to a lower one beside it.
const MOST_WALKS: usize = 16;

/// A walk's first step, for the size of what it goes over, and its last.
const FIRST_STEP_SHARE: f64 = 0.05;
const LAST_STEP_SHARE: f64 = 1e-8;

/// Where each piece is only asked whether it is carried, and the least found is this many times as well carried:
/// steps end here, and walks start from no more pieces.
const FAR_TIMES: f64 = 1.5;
const LAST_FAR_STEP_SHARE: f64 = 2e-3;

/// Even places, on either side, at which the heaviest of pieces that are carried alike is looked for, and the
/// last step of the walk from there.
const EQUAL_PLACES: usize = 24;
const LAST_EQUAL_STEP_SHARE: f64 = 1e-4;

/// A piece is heavier than another from this share on; a factor up to this is none.
const HEAVIER: f64 = 1.0 + 1e-9;
const NOTHING_FS: f64 = 1e-6;

/// Ways of a walk that are drawn besides those along the sides: what is carried least lies in corners that
/// run across them.
const DRAWN_WAYS: usize = 10;

/// The piece that is carried least of those tried, and what they needed.
#[derive(Default)]
struct Incumbent {
    best: Option<(Carried, Footprint, Vec<f64>)>,
    needed: Vec<Carrier>,
}

impl Incumbent {
    fn fs(&self) -> f64 {
        self.best.as_ref().map_or(f64::INFINITY, |b| b.0.fs)
    }

    /// Takes over what another one knows.
    fn take(&mut self, other: Self) {
        if other.fs() < self.fs() {
            self.best = other.best;
        }
        for carrier in other.needed {
            if !self.needed.contains(&carrier) {
                self.needed.push(carrier);
            }
        }
    }
}

/// How a search ended.
struct Ended {
    /// No piece is carried less.
    lowest: f64,
    cells: usize,
}

pub(super) struct Search<'s, 'a> {
    ground: Ground<'s, 'a>,
    pieces: &'s Pieces<'a>,
    /// How large each side of a cell is that holds all pieces, metres.
    sizes_m: Vec<f64>,
    /// State of the numbers that walks draw.
    drawn: u64,
    /// Whether what is found decides nothing.
    beside: bool,
    /// The farthest ends that caps leave starts: a cell and its halves ask of the same ones.
    widest_m: HashMap<u64, Option<f64>>,
    widest_even_m: HashMap<u64, Option<f64>>,
    /// The last start and end that were asked for, and the wedge there where it is a piece: many are tried at
    /// several chainages.
    last: Option<(f64, f64, Option<Fitting>)>,
    /// The line that apexes are on, where there is one; `None` inside where no piece is.
    line: Option<Option<Line>>,
    /// No piece is carried less than this, as far as the last search for the least one came.
    pub lowest: f64,
    /// The stretch that faces have to lie in, where there is one, and the chainages of all pieces that do.
    stretch: Option<(Stretch, (f64, f64))>,
}

/// Pieces that a search starts from: where they begin and end, and at how many places along the drive.
struct Firsts {
    starts: Vec<f64>,
    ends: Vec<f64>,
    shifts: usize,
}

/// A piece and the chainages at which its face lies in the stretch; all of them without one.
#[derive(Clone, Copy)]
struct Fitting {
    foot: Footprint,
    shifts_m: (f64, f64),
}

/// All chainages: where there is no stretch.
const ANYWHERE_M: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

impl<'s, 'a> Search<'s, 'a> {
    pub fn new(pieces: &'s Pieces<'a>) -> Self {
        let length_m = pieces.positions.frontier.chain().length_m();
        let mut sizes_m = vec![length_m, length_m];
        let ground = Ground::new(pieces);
        let stretch = pieces.stretch_m.map(|stretch_m| {
            let stretch = Stretch::new(stretch_m, &pieces.positions, &ground.planes);
            let frontier = &pieces.positions.frontier;
            let shifts_m = stretch.shifts_m(frontier.chain(), &Cell::of_all(frontier.span_m(), Vec::new()));
            (stretch, shifts_m)
        });
        let along_m = |group: &PhaseGroup| match &stretch {
            // Where a piece has its chainage, rings of a known one do not slide past it.
            _ if group.is_known() => 0.0,
            Some((_, shifts_m)) => width(*shifts_m).max(LEAST_CELL_M),
            None => group.period_m,
        };
        sizes_m.extend(pieces.positions.groups.iter().map(along_m));
        let line = pieces.apexes_on.map(|on| Line::of(pieces.positions.frontier.chain(), on));
        Self {
            line,
            stretch,
            ground,
            pieces,
            sizes_m,
            drawn: 0x9e37_79b9_7f4a_7c15,
            beside: false,
            lowest: f64::INFINITY,
            widest_m: HashMap::new(),
            widest_even_m: HashMap::new(),
            last: None,
        }
    }

    /// The same for what is told beside and decides nothing: it ends sooner.
    pub fn beside(pieces: &'s Pieces<'a>) -> Self {
        Self { beside: true, ..Self::new(pieces) }
    }

    /// The cell of all pieces.
    fn whole(&self) -> Cell {
        let positions = &self.pieces.positions;
        let shifts = |(group, &size_m): (&PhaseGroup, &f64)| match &self.stretch {
            Some((_, shifts_m)) if !group.is_known() => *shifts_m,
            _ => (0.0, size_m),
        };
        let shifts_m = positions.groups.iter().zip(&self.sizes_m[2..]).map(shifts).collect();
        let mut whole = Cell::of_all(positions.frontier.span_m(), shifts_m);
        let chain = positions.frontier.chain();
        if let Some([starts_m, ends_m]) = self.line.flatten().and_then(|line| line.spans_m(chain)) {
            let within = |a: (f64, f64), b: (f64, f64)| (a.0.max(b.0), a.1.min(b.1));
            whole.starts_m = within(whole.starts_m, starts_m);
            whole.ends_m = within(whole.ends_m, ends_m);
            whole.starts_m.1 = whole.starts_m.1.min(whole.ends_m.1);
            whole.ends_m.0 = whole.ends_m.0.max(whole.starts_m.0);
        }
        whole
    }

    /// Whether there may be a piece at all.
    fn has_pieces(&self) -> bool {
        !matches!(self.line, Some(None))
    }

    pub fn least(&mut self) -> Option<LeastPiece> {
        let mut incumbent = Incumbent::default();
        let ended = self.run(&mut incumbent, None);
        self.lowest = ended.lowest;
        if !self.beside {
            self.look_for_bolts(&mut incumbent);
        }
        let least_fs = incumbent.fs();
        self.heaviest(&mut incumbent);
        let Incumbent { best, mut needed } = incumbent;
        let (carried, foot, shifts_m) = best?;
        let PieceAt { foot, volume_m3, phases_m } = self.piece_at(foot, &shifts_m);
        needed.sort_unstable();
        Some(LeastPiece {
            fs: carried.fs,
            fs_at_least: ended.lowest.min(least_fs),
            carrier: carried.carrier,
            volume_m3,
            foot,
            phases_m,
            bolts: carried.bolts,
            needed,
            cells: ended.cells,
        })
    }

    pub fn decision(&mut self, tried_first: &[PieceAt]) -> Decision {
        let asked_fs = self.pieces.asked_fs;
        let mut incumbent = self.least_of(tried_first);
        let mut lowest = f64::INFINITY;
        if incumbent.fs() >= asked_fs {
            lowest = self.run(&mut incumbent, Some(asked_fs)).lowest;
        }
        match incumbent.best {
            Some((Carried { fs, carrier, bolts, .. }, foot, shifts_m)) if fs < asked_fs => {
                Decision::Short(ShortPiece { fs, carrier, bolts, at: self.piece_at(foot, &shifts_m) })
            }
            _ if lowest >= asked_fs => Decision::Held(self.uncarried()),
            _ => Decision::Open,
        }
    }

    /// Whether one of some pieces is carried less than is asked.
    pub fn is_short_of(&mut self, tried: &[PieceAt]) -> bool {
        self.least_of(tried).fs() < self.pieces.asked_fs
    }

    /// What is carried least of some pieces.
    fn least_of(&mut self, tried: &[PieceAt]) -> Incumbent {
        let mut incumbent = Incumbent::default();
        for at in tried {
            self.try_first(at, &mut incumbent);
        }
        incumbent
    }

    /// Whether no piece is carried less than `fs`; `false` too where the cells run out before that is known.
    pub fn none_below(&mut self, fs: f64, tried_first: &[PieceAt]) -> bool {
        let mut incumbent = self.least_of(tried_first);
        incumbent.fs() >= fs && {
            let lowest = self.run(&mut incumbent, Some(fs)).lowest;
            incumbent.fs() >= fs && lowest >= fs
        }
    }

    /// From where the start edge of a piece passes the reference line to its apex, along the drive.
    fn back_m(&self, foot: &Footprint) -> f64 {
        let chain = self.pieces.positions.frontier.chain();
        self.ground.planes.back_m(chain.lines_at(foot.along_m[0], foot.along_m[2]))
    }

    fn piece_at(&self, foot: Footprint, shifts_m: &[f64]) -> PieceAt {
        let back_m = self.back_m(&foot);
        let phases_m = shifts_m.iter().map(|s| s + back_m).collect();
        PieceAt { foot, volume_m3: self.pieces.positions.frontier.chain().volume_m3(&foot), phases_m }
    }

    /// Tries a piece of another search where this pyramid has it too.
    fn try_first(&mut self, at: &PieceAt, incumbent: &mut Incumbent) {
        let positions = &self.pieces.positions;
        let (from_m, to_m) = positions.frontier.span_m();
        let [start_m, _, end_m] = at.foot.along_m;
        if start_m < from_m || end_m > to_m || at.phases_m.len() != positions.groups.len() {
            return;
        }
        let back_m = self.back_m(&positions.frontier.chain().footprint(start_m, end_m));
        let shifts = positions.groups.iter().zip(&at.phases_m);
        let shift = |(g, m): (&PhaseGroup, &f64)| match self.stretch {
            _ if g.is_known() => 0.0,
            Some(_) => m - back_m,
            None => (m - back_m).rem_euclid(g.period_m),
        };
        let shifts: Vec<f64> = shifts.map(shift).collect();
        self.try_at(start_m, end_m, &shifts, incumbent, false);
    }

    /// Divides cells until none can hold a piece that is carried less than the least one found by more
    /// than the bracket's share; with `decides_at`, until a piece below that is found or none can be.
    fn run(&mut self, incumbent: &mut Incumbent, decides_at: Option<f64>) -> Ended {
        let enough =
            |incumbent: &Incumbent| decides_at.unwrap_or_else(|| incumbent.fs() * (1.0 - BRACKET_SHARE));
        let decided = |incumbent: &Incumbent| decides_at.is_some_and(|fs| incumbent.fs() < fs);
        let needs = decides_at.is_none();
        let asked_fs = self.pieces.asked_fs;
        let most_cells = |beside: bool, incumbent: &Incumbent, lowest: f64| match beside {
            _ if !needs => MOST_DECIDING_CELLS,
            true => MOST_CELLS_BESIDE,
            false if incumbent.fs() < asked_fs || lowest >= asked_fs => MOST_CELLS_ONCE_DECIDED,
            false => MOST_CELLS,
        };
        let mut first = self.whole();
        let mut heap = BinaryHeap::new();
        let mut ended = Ended { lowest: f64::INFINITY, cells: 0 };
        let mut walks = 0;
        if !self.has_pieces() || !self.draw_in_along(&mut first) {
            return ended;
        }
        if needs {
            self.try_firsts(&first, incumbent, None, None);
            self.walk(incumbent, None);
        }
        let mut walked_fs = incumbent.fs();
        let wanted = Wanted { floor: f64::NEG_INFINITY, enough: enough(incumbent), first: false };
        if let Some(carried) = self.ground.carried(&first, wanted) {
            first.bound = carried.fs;
            heap.push(first);
        }
        while let Some(cell) = heap.pop() {
            if cell.bound >= enough(incumbent)
                || ended.cells >= most_cells(self.beside, incumbent, cell.bound)
            {
                ended.lowest = ended.lowest.min(cell.bound);
                break;
            }
            if ended.cells == FIRST_AFTER_CELLS && !needs {
                // What was known may lie beside another piece that is carried less: walks start from both.
                let mut afresh = Incumbent::default();
                let left: Vec<Cell> = heap.iter().chain([&cell]).cloned().collect();
                self.try_firsts(&self.whole(), &mut afresh, decides_at, Some(&left));
                for from in [&mut afresh, &mut *incumbent] {
                    if !decided(from) {
                        self.walk(from, decides_at);
                    }
                    if decided(from) {
                        break;
                    }
                }
                incumbent.take(afresh);
                if decided(incumbent) {
                    return ended;
                }
                walked_fs = incumbent.fs();
            }
            if ended.cells == MORE_WALKS_AFTER_CELLS
                && decides_at.is_none_or(|fs| incumbent.fs() < FAR_TIMES * fs)
            {
                // The least one may be walked to from where no lower one is.
                let left: Option<Vec<Cell>> =
                    decides_at.map(|_| heap.iter().chain([&cell]).cloned().collect());
                self.walk_from_more(incumbent, decides_at, left.as_deref());
                if decided(incumbent) {
                    return ended;
                }
                walked_fs = incumbent.fs();
            }
            let Some(halves) = self.halves(&cell) else {
                ended.lowest = ended.lowest.min(cell.bound);
                continue;
            };
            ended.cells += 1;
            for mut half in halves {
                if !self.draw_in(&mut half) {
                    continue;
                }
                if !needs && !self.bound(&mut half, enough(incumbent)) {
                    continue;
                }
                // Of a cell that is carried well enough no piece is worth a look.
                if needs || half.bound < enough(incumbent) {
                    self.try_pieces(&half, incumbent, needs);
                    if decided(incumbent) {
                        return ended;
                    }
                    let walks_yet = needs || ended.cells > FIRST_AFTER_CELLS;
                    if walks_yet && incumbent.fs() < walked_fs * (1.0 - BRACKET_SHARE) && walks < MOST_WALKS {
                        self.walk(incumbent, decides_at);
                        walked_fs = incumbent.fs();
                        walks += 1;
                        if decided(incumbent) {
                            return ended;
                        }
                    }
                }
                if needs && !self.bound(&mut half, enough(incumbent)) {
                    continue;
                }
                if half.bound < enough(incumbent) {
                    heap.push(half);
                } else {
                    ended.lowest = ended.lowest.min(half.bound);
                }
            }
        }
        ended
    }

    /// Bounds half of a cell, which comes with the bound of the whole one; `false` where it has no piece to look at.
    fn bound(&mut self, half: &mut Cell, enough: f64) -> bool {
        let wanted = Wanted { floor: half.bound, enough, first: false };
        let Some(carried) = self.ground.carried(half, wanted) else { return false };
        half.bound = half.bound.max(carried.fs);
        true
    }

    /// Ends beyond the farthest that the caps leave the last start are no pieces'. `false` where none is
    /// left.
    fn draw_in(&mut self, cell: &mut Cell) -> bool {
        let frontier = self.pieces.positions.frontier;
        if let Some(line) = self.line.flatten() {
            line.draw_in(frontier.chain(), cell);
        }
        if !frontier.is_uncapped() {
            let start_m = cell.starts_m.1;
            let farthest = || frontier.widest_even(start_m).map(|f| f.along_m[2]);
            let last_m = *self.widest_even_m.entry(start_m.to_bits()).or_insert_with(farthest);
            cell.ends_m.1 = cell.ends_m.1.min(last_m.map_or(f64::INFINITY, |m| m + BESIDE_M));
        }
        cell.starts_m.1 = cell.starts_m.1.min(cell.ends_m.1);
        cell.ends_m.0 = cell.ends_m.0.max(cell.starts_m.0);
        width(cell.starts_m) >= 0.0 && width(cell.ends_m) >= 0.0 && self.draw_in_along(cell)
    }

    /// Chainages at which no face of a cell's pieces lies in the stretch are no pieces'. `false` where none is
    /// left.
    fn draw_in_along(&self, cell: &mut Cell) -> bool {
        let Some((stretch, _)) = &self.stretch else { return true };
        let fit = stretch.shifts_m(self.pieces.positions.frontier.chain(), cell);
        for shift in &mut cell.shifts_m {
            *shift = (shift.0.max(fit.0), shift.1.min(fit.1));
        }
        cell.shifts_m.iter().all(|&shift| width(shift) >= 0.0)
    }

    /// The piece in the middle of a cell, the largest one, and the largest that the caps leave its first
    /// start, where the caps admit them.
    fn try_pieces(&mut self, cell: &Cell, incumbent: &mut Incumbent, needs: bool) {
        let frontier = self.pieces.positions.frontier;
        let shifts: Vec<f64> = cell.shifts_m.iter().map(|&s| middle(s)).collect();
        self.try_at(middle(cell.starts_m), middle(cell.ends_m), &shifts, incumbent, needs);
        self.try_at(cell.starts_m.0, cell.ends_m.1, &shifts, incumbent, needs);
        if !frontier.is_uncapped()
            && let Some(end_m) = self.widest_end_m(cell.starts_m.0)
            && (cell.ends_m.0..cell.ends_m.1).contains(&end_m)
        {
            self.try_at(cell.starts_m.0, end_m, &shifts, incumbent, needs);
        }
    }

    /// The farthest end that the caps leave a start.
    fn widest_end_m(&mut self, start_m: f64) -> Option<f64> {
        let frontier = self.pieces.positions.frontier;
        let farthest = || frontier.widest(start_m).map(|f| f.along_m[2]);
        *self.widest_m.entry(start_m.to_bits()).or_insert_with(farthest)
    }

    /// Tries pieces that begin and end where rows come in and at even places, as large as the caps leave
    /// them; with `decides_at`, until one is below that. `left` are the cells that the others do not matter beside.
    fn try_firsts(
        &mut self,
        whole: &Cell,
        incumbent: &mut Incumbent,
        decides_at: Option<f64>,
        left: Option<&[Cell]>,
    ) {
        let needs = decides_at.is_none();
        let firsts = self.firsts(whole, !needs);
        for &start_m in &firsts.starts {
            self.try_from((whole, left), start_m, &firsts, incumbent, decides_at, needs);
            if decides_at.is_some_and(|fs| incumbent.fs() < fs) {
                return;
            }
        }
    }

    /// Of them those that begin at one place.
    fn try_from(
        &mut self,
        (whole, left): (&Cell, Option<&[Cell]>),
        start_m: f64,
        firsts: &Firsts,
        incumbent: &mut Incumbent,
        decides_at: Option<f64>,
        needs: bool,
    ) {
        let frontier = self.pieces.positions.frontier;
        let widest_m = if frontier.is_uncapped() { None } else { self.widest_end_m(start_m) };
        let mut shifts = vec![0.0; whole.shifts_m.len()];
        // Pieces of a line begin and end elsewhere than they are asked for.
        let left = left.filter(|_| self.line.is_none());
        for end_m in firsts.ends.iter().copied().chain(widest_m) {
            if end_m <= start_m {
                continue;
            }
            for k in 0..firsts.shifts {
                first_shifts(whole, k, firsts.shifts, &mut shifts);
                if left.is_some_and(|left| !left.iter().any(|c| c.holds(start_m, end_m, &shifts))) {
                    continue;
                }
                self.try_at(start_m, end_m, &shifts, incumbent, needs);
            }
            if decides_at.is_some_and(|fs| incumbent.fs() < fs) {
                return;
            }
        }
    }

    /// Starts and ends where rows come in, and even ones; fewer where pieces are only asked whether they are
    /// carried.
    fn firsts(&self, whole: &Cell, deciding: bool) -> Firsts {
        let even =
            |(from_m, to_m): (f64, f64), k: usize| from_m + (to_m - from_m) * k as f64 / FIRST_PLACES as f64;
        let (starts_m, ends_m) = (whole.starts_m, whole.ends_m);
        let mut starts: Vec<f64> = (0..FIRST_PLACES).map(|k| even(starts_m, k)).collect();
        let mut ends: Vec<f64> = (1..=FIRST_PLACES).map(|k| even(ends_m, k)).collect();
        for row in &self.ground.rows {
            let (first_m, last_m) = (row.along_m - row.tolerance_m, row.along_m + row.tolerance_m);
            let begins = |m: &&f64| (starts_m.0..starts_m.1).contains(*m);
            starts.extend([first_m, first_m + BESIDE_M].iter().filter(begins));
            ends.extend([last_m - BESIDE_M, last_m].iter().filter(|&&m| m > ends_m.0 && m <= ends_m.1));
        }
        for places in [&mut starts, &mut ends] {
            places.sort_by(f64::total_cmp);
            places.dedup();
            let most = match deciding {
                true => MOST_FIRST_PLACES_DECIDING,
                false if self.stretch.is_some() => MOST_FIRST_PLACES,
                false => usize::MAX,
            };
            let count = places.len();
            if count > most {
                *places = (0..most).map(|k| places[k * count / most]).collect();
            }
        }
        // One place tells the other.
        match self.line.flatten().map(|line| line.side()) {
            Some(0) => ends = vec![ends_m.1],
            Some(_) => starts = vec![starts_m.0],
            None => {}
        }
        Firsts { starts, ends, shifts: if deciding { FIRST_SHIFTS_DECIDING } else { FIRST_SHIFTS } }
    }

    /// Where some pieces need what is hung and none so far needed bolts, looks for one that does, at even
    /// places: which carriers a wedge needs is told.
    fn look_for_bolts(&mut self, incumbent: &mut Incumbent) {
        let hangs = incumbent.needed.iter().any(|&carrier| carrier > Carrier::Bolts);
        if !hangs || incumbent.needed.contains(&Carrier::Bolts) || self.ground.rows.is_empty() {
            return;
        }
        let whole = self.whole();
        let at = |(from, to): (f64, f64), k: usize, of: usize| from + (to - from) * k as f64 / of as f64;
        for start in 0..NEEDS_PLACES {
            for end in start + 1..=NEEDS_PLACES {
                for shift in 0..NEEDS_PLACES {
                    let shifts: Vec<f64> =
                        whole.shifts_m.iter().map(|&s| at(s, shift, NEEDS_PLACES)).collect();
                    let start_m = at(whole.starts_m, start, NEEDS_PLACES);
                    self.try_at(start_m, at(whole.ends_m, end, NEEDS_PLACES), &shifts, incumbent, true);
                    if incumbent.needed.contains(&Carrier::Bolts) {
                        return;
                    }
                }
            }
        }
    }

    /// Walks from the least of the pieces that begin at each of some places, the lowest first; of those that lie in the
    /// cells that are left.
    fn walk_from_more(&mut self, incumbent: &mut Incumbent, decides_at: Option<f64>, left: Option<&[Cell]>) {
        let whole = self.whole();
        let firsts = self.firsts(&whole, decides_at.is_some());
        let mut lowest: Vec<Incumbent> = Vec::new();
        for &start_m in &firsts.starts {
            let mut least = Incumbent::default();
            self.try_from((&whole, left), start_m, &firsts, &mut least, None, false);
            if least.best.is_some() {
                lowest.push(least);
            }
        }
        lowest.sort_by(|a, b| a.fs().total_cmp(&b.fs()));
        for mut from in lowest.into_iter().take(MORE_WALKS) {
            self.walk(&mut from, decides_at);
            incumbent.take(from);
            if decides_at.is_some_and(|fs| incumbent.fs() < fs) {
                return;
            }
        }
    }

    /// Tries one piece, where the caps admit it; `needs` asks what carries it first. Whether it is the least.
    fn try_at(
        &mut self,
        start_m: f64,
        end_m: f64,
        shifts_m: &[f64],
        incumbent: &mut Incumbent,
        needs: bool,
    ) -> bool {
        let Some((foot, piece)) = self.piece(start_m, end_m, shifts_m) else { return false };
        let least = incumbent.fs();
        let enough = if needs { least.max(self.pieces.asked_fs) } else { least };
        let wanted = Wanted { floor: f64::NEG_INFINITY, enough, first: needs };
        let Some(carried) = self.ground.carried(&piece, wanted) else { return false };
        if needs
            && let Some(first) = carried.first
            && !incumbent.needed.contains(&first)
        {
            incumbent.needed.push(first);
        }
        let lower = carried.fs < least;
        if lower {
            incumbent.best = Some((carried, foot, shifts_m.to_vec()));
        }
        lower
    }

    /// The cell of one piece; `None` where the caps do not admit it, or it is too small to look at.
    fn piece(&mut self, start_m: f64, end_m: f64, shifts_m: &[f64]) -> Option<(Footprint, Cell)> {
        let [start_m, end_m] = match self.line.flatten() {
            Some(line) => line.onto(self.pieces.positions.frontier.chain(), start_m, end_m)?,
            None => [start_m, end_m],
        };
        let fitting = self.fitting(start_m, end_m)?;
        let (first, last) = fitting.shifts_m;
        let fits = shifts_m.iter().all(|m| (first..=last).contains(m));
        fits.then(|| (fitting.foot, Cell::of_piece(start_m, end_m, shifts_m)))
    }

    /// The piece that begins and ends at these places, where it is one.
    fn fitting(&mut self, start_m: f64, end_m: f64) -> Option<Fitting> {
        match self.last {
            Some((start, end, fitting)) if start == start_m && end == end_m => fitting,
            _ => {
                let chain = self.pieces.positions.frontier.chain();
                let shifts_m = || match &self.stretch {
                    Some((stretch, _)) => stretch.shifts_m(chain, &Cell::of_piece(start_m, end_m, &[])),
                    None => ANYWHERE_M,
                };
                let foot = self.foot(start_m, end_m);
                let fitting = foot.map(|foot| Fitting { foot, shifts_m: shifts_m() });
                self.last = Some((start_m, end_m, fitting));
                fitting
            }
        }
    }

    fn foot(&self, start_m: f64, end_m: f64) -> Option<Footprint> {
        let frontier = self.pieces.positions.frontier;
        if end_m - start_m <= LEAST_CELL_M {
            return None;
        }
        let foot = frontier.chain().footprint(start_m, end_m);
        let is_piece = (frontier.is_uncapped() || frontier.admits(&foot))
            && frontier.chain().volume_m3(&foot) >= self.pieces.least_m3;
        is_piece.then_some(foot)
    }

    /// A number between -1 and 1, the same each time a search runs.
    fn draw(&mut self) -> f64 {
        // Xorshift (Marsaglia 2003).
        self.drawn ^= self.drawn << 13;
        self.drawn ^= self.drawn >> 7;
        self.drawn ^= self.drawn << 17;
        (self.drawn >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }

    /// Walks from the least piece to lower ones beside it, in steps that are halved where none is; with
    /// `decides_at`, until it is below that.
    fn walk(&mut self, incumbent: &mut Incumbent, decides_at: Option<f64>) {
        let (from_m, to_m) = self.pieces.positions.frontier.span_m();
        let sides = self.sizes_m.len();
        let mut step = FIRST_STEP_SHARE;
        let mut way = vec![0.0; sides];
        let mut shifts = vec![0.0; sides - 2];
        while step > LAST_STEP_SHARE {
            if step < LAST_FAR_STEP_SHARE && decides_at.is_some_and(|fs| incumbent.fs() > FAR_TIMES * fs) {
                return;
            }
            let mut lower = false;
            for k in 0..2 * sides + DRAWN_WAYS {
                let Some((_, foot, at)) = &incumbent.best else { return };
                let (start, end) = (foot.along_m[0], foot.along_m[2]);
                shifts.copy_from_slice(at);
                for (side, w) in way.iter_mut().enumerate() {
                    *w = if k < 2 * sides {
                        let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
                        if k / 2 == side { sign } else { 0.0 }
                    } else {
                        self.draw()
                    };
                    *w *= step * self.sizes_m[side];
                }
                let start_m = (start + way[0]).clamp(from_m, to_m);
                let end_m = (end + way[1]).clamp(from_m, to_m);
                for (shift, w) in shifts.iter_mut().zip(&way[2..]) {
                    *shift += w;
                }
                // Down the same way as long as it goes.
                if self.try_at(start_m, end_m, &shifts, incumbent, false) {
                    lower = true;
                    if decides_at.is_some_and(|fs| incumbent.fs() < fs) {
                        return;
                    }
                }
            }
            if !lower {
                step *= 0.4;
            }
        }
    }

    /// Of pieces that are carried as little, within the bracket, the one that weighs most: what has to be
    /// carried is told by it. Where joints alone decide, factors do not hang on size, so that any size may
    /// have been found first; then even places are tried before the walk.
    fn heaviest(&mut self, incumbent: &mut Incumbent) {
        let Some((found, foot, _)) = &incumbent.best else { return };
        let mut most = found.fs * (1.0 + BRACKET_SHARE) + NOTHING_FS;
        if found.fs < self.pieces.asked_fs {
            // One that is short stays so.
            most = most.min(self.pieces.asked_fs * (1.0 - BRACKET_SHARE * BRACKET_SHARE)).max(found.fs);
        }
        let mut volume_m3 = self.pieces.positions.frontier.chain().volume_m3(foot);
        if found.carrier == Carrier::Joints || found.fs <= NOTHING_FS {
            let whole = self.whole();
            let at = |(from, to): (f64, f64), share: f64| from + (to - from) * share;
            for start in 0..EQUAL_PLACES {
                let start_m = at(whole.starts_m, start as f64 / EQUAL_PLACES as f64);
                for end in (start + 1..=EQUAL_PLACES).rev() {
                    let end_m = at(whole.ends_m, end as f64 / EQUAL_PLACES as f64);
                    for k in 0..FIRST_SHIFTS {
                        let share = k as f64 / FIRST_SHIFTS as f64;
                        let shifts: Vec<f64> = whole.shifts_m.iter().map(|&s| at(s, share)).collect();
                        self.try_heavier(start_m, end_m, &shifts, most, &mut volume_m3, incumbent);
                    }
                }
            }
        }
        let (from_m, to_m) = self.pieces.positions.frontier.span_m();
        let mut step = FIRST_STEP_SHARE;
        while step > LAST_EQUAL_STEP_SHARE {
            let mut heavier = false;
            for way in 0..2 + 2 * self.sizes_m.len() {
                let Some((_, foot, at)) = &incumbent.best else { return };
                let (mut start_m, mut end_m, mut shifts) = (foot.along_m[0], foot.along_m[2], at.clone());
                let by = |side: usize| step * self.sizes_m[side];
                match way {
                    0 => start_m -= by(0),
                    1 => end_m += by(1),
                    2 => (start_m, end_m) = (start_m - by(0), end_m + by(1)),
                    3 => (start_m, end_m) = (start_m + by(0), end_m + by(1)),
                    4 => (start_m, end_m) = (start_m - by(0), end_m - by(1)),
                    // Moved along and grown together: the room between rings is seldom where it was.
                    _ => {
                        let (group, sign) = ((way - 5) / 2, if way % 2 == 0 { 1.0 } else { -1.0 });
                        let Some(shift) = shifts.get_mut(group) else { continue };
                        *shift += sign * step * self.sizes_m[2 + group];
                        (start_m, end_m) = (start_m - 0.25 * by(0), end_m + 0.25 * by(1));
                    }
                }
                let (start_m, end_m) = (start_m.clamp(from_m, to_m), end_m.clamp(from_m, to_m));
                heavier |= self.try_heavier(start_m, end_m, &shifts, most, &mut volume_m3, incumbent);
            }
            if !heavier {
                step *= 0.5;
            }
        }
    }

    /// Takes a piece in the place of the incumbent where it is larger and carried no better than `most`.
    fn try_heavier(
        &mut self,
        start_m: f64,
        end_m: f64,
        shifts_m: &[f64],
        most: f64,
        volume_m3: &mut f64,
        incumbent: &mut Incumbent,
    ) -> bool {
        let Some((foot, piece)) = self.piece(start_m, end_m, shifts_m) else { return false };
        let larger_m3 = self.pieces.positions.frontier.chain().volume_m3(&foot);
        if larger_m3 <= *volume_m3 * HEAVIER {
            return false;
        }
        // Its factor has to be known, not only bounded.
        let wanted = Wanted { floor: f64::NEG_INFINITY, enough: f64::INFINITY, first: false };
        let Some(carried) = self.ground.carried(&piece, wanted).filter(|c| c.fs <= most) else {
            return false;
        };
        *volume_m3 = larger_m3;
        incumbent.best = Some((carried, foot, shifts_m.to_vec()));
        true
    }

    /// The cell in two, across the side where it helps most: where the bound of the cell with that side
    /// drawn together in its middle is highest. Across a row's place where one is in the way.
    fn halves(&mut self, cell: &Cell) -> Option<[Cell; 2]> {
        let mut longest = (0.0, 0);
        let mut helps = (f64::NEG_INFINITY, 0.0, 0);
        let mut drawn = cell.clone();
        let share_of = |side: usize| width(cell.side(side)) / self.sizes_m[side];
        let across = share_of(0).max(share_of(1));
        // What sliding pieces have of all chainages is found without dividing them, but for what opens
        // joints, or hangs in bolts where these with friction are not enough.
        let whole_along = self.ground.slides() && width(cell.starts_m).max(width(cell.ends_m)) > LEAST_CELL_M;
        let divides = self.ground.opens || cell.bound < self.pieces.asked_fs;
        for side in 0..cell.sides() {
            let stretch = cell.side(side);
            let share = share_of(side);
            if self.follows(side)
                || width(stretch) <= LEAST_CELL_M
                || (side >= 2 && whole_along && !(divides && share > ALONG_TIMES * across))
            {
                continue;
            }
            if share > longest.0 {
                longest = (share, side);
            }
            let centre = middle(stretch);
            *drawn.side_mut(side) = (centre, centre);
            let fs = self.ground.roughly(&drawn);
            *drawn.side_mut(side) = stretch;
            if fs > helps.0 || (fs == helps.0 && share > helps.1) {
                helps = (fs, share, side);
            }
        }
        if longest.0 == 0.0 {
            return None;
        }
        let side = if longest.0 > LONGEST_TIMES * helps.1 { longest.1 } else { helps.2 };
        Some(self.parted_cell(cell, side))
    }

    /// Whether a side of a cell follows from the other one across the drive: it is not divided.
    fn follows(&self, side: usize) -> bool {
        self.line.flatten().is_some_and(|line| side == 1 - line.side())
    }

    fn parted_cell(&self, cell: &Cell, side: usize) -> [Cell; 2] {
        let (to, from) = self.parted(side, cell.side(side));
        let mut halves = [cell.clone(), cell.clone()];
        halves[0].side_mut(side).1 = to;
        halves[1].side_mut(side).0 = from;
        halves
    }

    /// Where a side is divided: where the first half ends and the second begins.
    fn parted(&self, side: usize, stretch: (f64, f64)) -> (f64, f64) {
        let centre = middle(stretch);
        let off = |place: &f64| (place - centre).abs();
        let inside = |place: &f64| *place - LEAST_CELL_M > stretch.0 && *place + LEAST_CELL_M < stretch.1;
        let rows = self.ground.rows.iter();
        let nearest = |places: &mut dyn Iterator<Item = f64>| {
            places.filter(inside).min_by(|a, b| off(a).total_cmp(&off(b)))
        };
        let parted = match side {
            0 => nearest(&mut rows.map(|r| r.along_m - r.tolerance_m)).map(|m| (m, m + BESIDE_M)),
            1 => nearest(&mut rows.map(|r| r.along_m + r.tolerance_m)).map(|m| (m - BESIDE_M, m)),
            _ => None,
        };
        parted.unwrap_or((centre, centre))
    }

    /// Whether there is a piece that nothing entered is on.
    pub fn uncarried(&mut self) -> Uncarried {
        if !self.pieces.coverings.is_empty() {
            return Uncarried::Absent;
        }
        let mut first = self.whole();
        if !self.has_pieces() || !self.draw_in_along(&mut first) {
            return Uncarried::Absent;
        }
        if let Some(found) = self.small_uncarried(&first) {
            return Uncarried::Found(found);
        }
        let mut heap = BinaryHeap::new();
        if self.may_be_uncarried(&first) {
            first.bound = 0.0;
            heap.push(first);
        }
        let mut cells = 0;
        let mut open = false;
        // Those that were divided least come first.
        while let Some(cell) = heap.pop() {
            if cells >= MOST_CELLS {
                return Uncarried::Open;
            }
            let Some(halves) = self.halves_across(&cell) else {
                open = true;
                continue;
            };
            cells += 1;
            for mut half in halves {
                if !self.draw_in(&mut half) {
                    continue;
                }
                half.bound = cell.bound + 1.0;
                if let Some(found) = self.uncarried_at(middle(half.starts_m), middle(half.ends_m)) {
                    return Uncarried::Found(found);
                }
                if self.may_be_uncarried(&half) {
                    heap.push(half);
                }
            }
        }
        if open { Uncarried::Open } else { Uncarried::Absent }
    }

    /// Of the smallest pieces that are not for the bar, at even places across the drive, one that nothing
    /// entered is on: where a large piece finds room between bolts, a small one does.
    fn small_uncarried(&mut self, whole: &Cell) -> Option<PieceAt> {
        let least_m3 = self.pieces.bar_m3.unwrap_or(0.0).max(self.pieces.least_m3);
        let smallest = self.pieces.positions.frontier.up_to_m3(least_m3 * (1.0 + ABOVE_BAR_SHARE));
        (0..UNCARRIED_PLACES).find_map(|k| {
            let share = (k as f64 + 0.5) / UNCARRIED_PLACES as f64;
            let foot = smallest.widest(whole.starts_m.0 + width(whole.starts_m) * share)?;
            self.uncarried_at(foot.along_m[0], foot.along_m[2])
        })
    }

    /// The piece that begins and ends at these places, where nothing entered is on it.
    fn uncarried_at(&mut self, start_m: f64, end_m: f64) -> Option<PieceAt> {
        let (foot, mut piece) = self.piece(start_m, end_m, &[])?;
        piece.shifts_m = self.whole().shifts_m;
        if !self.draw_in_along(&mut piece) {
            return None;
        }
        let shifts_m = self.uncarried_shifts(&piece)?;
        Some(self.piece_at(foot, &shifts_m))
    }

    /// Whether a cell of whole periods may hold a piece that nothing entered is on.
    fn may_be_uncarried(&mut self, cell: &Cell) -> bool {
        self.uncarried_shifts(cell).is_some()
    }

    /// Chainages of the groups at which no bolt is sure for all pieces of a cell, where their joints may not
    /// hold them; each group is asked by itself, as it slides by itself.
    fn uncarried_shifts(&mut self, cell: &Cell) -> Option<Vec<f64>> {
        if self.ground.bare_of(cell)? >= self.pieces.asked_fs {
            return None;
        }
        (0..cell.shifts_m.len()).map(|group| self.ground.free_shift_m(cell, group, LEAST_CELL_M)).collect()
    }

    /// A cell in two across its longer side across the drive, as [`Search::halves`] divides it.
    fn halves_across(&self, cell: &Cell) -> Option<[Cell; 2]> {
        let longer = usize::from(width(cell.ends_m) > width(cell.starts_m));
        let side = self.line.flatten().map_or(longer, |line| line.side());
        if width(cell.side(side)) <= LEAST_CELL_M {
            return None;
        }
        Some(self.parted_cell(cell, side))
    }
}

/// Chainages of the groups for the `k`th of so many first pieces of one start and end.
fn first_shifts(whole: &Cell, k: usize, of: usize, shifts: &mut [f64]) {
    for (g, (shift, side)) in shifts.iter_mut().zip(&whole.shifts_m).enumerate() {
        // Groups go round unlike each other.
        let share = ((k * (2 * g + 1)) % of) as f64 / of as f64;
        *shift = side.0 + width(*side) * share;
    }
}
