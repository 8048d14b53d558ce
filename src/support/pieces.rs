//! The piece of a pyramid that is carried least, over every size and every place, from both sides.
//!
//! A piece is a wedge of the pyramid: its start ray daylights at some place of the chain, its end ray at
//! another, and it sits somewhere along the drive among the rings. A *cell* is a box of such pieces: a
//! stretch of starts, a stretch of ends, and for each group of patterns a stretch of chainages. Every
//! piece of a cell lies inside the wedge with the first start and the last end, moved, and contains the
//! one with the last start and the first end; where its three planes stand is bounded by how far each
//! plane's distance from the rings ranges over the cell. So weight, lengths of bolts, cohesion and
//! coverage are bounded on the cautious side for all of its pieces at once, and a search that always
//! divides the cell with the lowest bound ends when no cell can hold a piece that is carried less than
//! the least one found, by more than 0.1 %: branch and bound (Land & Doig 1960).

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::{Positions, Span, SurfaceKind, SurfaceSupport};
use crate::opening::{Vec2, cross2};
use crate::orientation::Vec3;
use crate::stability::{BoltPull, Contact, Mode, Reaction, Rotation, RotationScratch, Stability};
use crate::wedge::{AXIS_TOLERANCE, Footprint, ON_FACE_M};

/// The search ends when no piece can be carried less than the least one found by more than this share.
const BRACKET_SHARE: f64 = 1e-3;

/// Most cells that are divided for one pyramid; where the search ends here, the bracket is wider and says so.
const MOST_CELLS: usize = 4_000;

/// The centroid of a wedge bends a little between the corners of a cell: this share of its range is added
/// on every side.
const CENTROID_BEND_SHARE: f64 = 0.1;

/// A cell narrower than this in every direction is not divided, metres: nobody measures finer.
const LEAST_CELL_M: f64 = 1e-7;

/// Even places across, and along the drive, of small pieces that are asked whether anything is on them.
const UNCARRIED_PLACES: usize = 24;

/// A piece that is larger than those for the bar by this share is none of them.
const ABOVE_BAR_SHARE: f64 = 1e-6;

/// Where one surface support covers the chain.
#[derive(Debug, Clone)]
pub struct Covering<'a> {
    /// The support.
    pub support: &'a SurfaceSupport,
    /// The stretches of the chain that it covers.
    pub spans: Vec<Span>,
}

/// What carries a piece, in the order in which carriers are asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Carrier {
    /// Its joints alone.
    Joints,
    /// Bolts with the joints.
    Bolts,
    /// One bay of screen or straps.
    Screen,
    /// Shotcrete.
    Shotcrete,
    /// The scaling bar: it is small enough to be barred down.
    Bar,
}

impl Carrier {
    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Joints => "joints",
            Self::Bolts => "bolts",
            Self::Screen => "screen",
            Self::Shotcrete => "shotcrete",
            Self::Bar => "bar",
        }
    }
}

/// The pieces of one pyramid and what may carry them.
pub struct Pieces<'a> {
    /// Where they may be, and the bolts there; layouts with a tolerance count collars that are sure.
    pub positions: Positions<'a>,
    /// The equilibrium without support of the wedge with a footprint.
    pub judge: &'a (dyn Fn(&Footprint) -> Stability + Sync),
    /// The factor that is asked of bolts, joints, screen and shotcrete.
    pub asked_fs: f64,
    /// Screen, straps and shotcrete; where none is entered, a piece that no collar is sure to be on is
    /// not looked at: what would have to carry it is not there.
    pub coverings: &'a [Covering<'a>],
    /// The ground that is judged; a piece whose whole face lies elsewhere is not looked at.
    pub judged: &'a [Span],
    /// Pieces up to this are for the scaling bar, cubic metres.
    pub bar_m3: Option<f64>,
    /// Smaller pieces are not looked at, cubic metres.
    pub least_m3: f64,
}

/// The piece that is carried least.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastPiece {
    /// The factor of its best carrier.
    pub fs: f64,
    /// No piece of the pyramid has less: at most 0.1 % below `fs`, unless the search ran out of cells.
    pub fs_at_least: f64,
    /// The carrier that gives it most.
    pub carrier: Carrier,
    /// The piece.
    pub foot: Footprint,
    /// Its volume, cubic metres.
    pub volume_m3: f64,
    /// Chainage of its apex for each group of patterns, counted from where their offsets say, metres.
    pub phases_m: Vec<f64>,
    /// How many bolts are sure to cross it.
    pub bolts: usize,
    /// The carriers that pieces on the way needed, in order.
    pub needed: Vec<Carrier>,
    /// Cells that were divided.
    pub cells: usize,
}

/// One piece: where it is cut, and where it sits among the rings.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceAt {
    /// The piece.
    pub foot: Footprint,
    /// Its volume, cubic metres.
    pub volume_m3: f64,
    /// Chainage of its apex for each group of patterns, counted from where their offsets say, metres.
    pub phases_m: Vec<f64>,
}

/// Whether there is a piece that nothing entered is on: larger than what is barred down, without a sure
/// bolt, and by its joints below what is asked. What would have to carry it is not entered, so it cannot
/// be judged; with a surface support entered it is judged by it, and is none of these.
#[derive(Debug, Clone, PartialEq)]
pub enum Uncarried {
    /// There is none.
    Absent,
    /// This is one.
    Found(PieceAt),
    /// None was found before the cells ran out.
    Open,
}

/// What is known of the pieces of a pyramid.
#[derive(Debug, Clone, PartialEq)]
pub struct Bracket {
    /// The piece that is carried least; `None` where there is none to look at.
    pub least: Option<LeastPiece>,
    /// Whether there is a piece that is left out of it, as nothing entered is on it.
    pub uncarried: Uncarried,
}

/// Whether each piece of a pyramid is carried.
#[derive(Debug, Clone, PartialEq)]
pub enum Decision {
    /// This piece is below what is asked: any one, not the least.
    Short(ShortPiece),
    /// None of those that can be judged is.
    Held(Uncarried),
    /// The cells ran out before either was known.
    Open,
}

/// A piece whose best carrier gives less than is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct ShortPiece {
    /// The factor of its best carrier.
    pub fs: f64,
    /// The carrier that gives it most.
    pub carrier: Carrier,
    /// How many bolts are sure to cross it.
    pub bolts: usize,
    /// The piece.
    pub at: PieceAt,
}

impl LeastPiece {
    /// Which piece it is.
    #[must_use]
    pub fn at(&self) -> PieceAt {
        PieceAt { foot: self.foot, volume_m3: self.volume_m3, phases_m: self.phases_m.clone() }
    }
}

/// A row of bolts, prepared for a cone.
struct RowAt<'a> {
    /// Place along the chain, metres.
    along_m: f64,
    point: Vec2,
    direction: Vec3,
    /// How much nearer each plane a collar may stand than drawn, and its tolerance along the section, metres.
    near_m: [f64; 3],
    tolerance_m: f64,
    /// Of the collar at chainage 0 to each plane's normal.
    base: [f64; 3],
    into: [f64; 3],
    ring_m: f64,
    period_m: f64,
    group: usize,
    length_m: f64,
    bolt: &'a super::Bolt,
    effect: Reaction,
}

#[derive(Debug, Clone)]
struct Cell {
    bound: f64,
    starts_m: (f64, f64),
    ends_m: (f64, f64),
    /// For each group, the chainages of the place where the start ray daylights, from its ring 0.
    shifts_m: Vec<(f64, f64)>,
}

impl Cell {
    /// Whether it is one piece.
    fn is_piece(&self) -> bool {
        let still = |(from, to): (f64, f64)| from == to;
        still(self.starts_m) && still(self.ends_m) && self.shifts_m.iter().all(|&s| still(s))
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

/// What carries the pieces of a cell at least.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Carried {
    fs: f64,
    carrier: Carrier,
    /// The first carrier that reaches the criterion; `None` where none does.
    first: Option<Carrier>,
    bolts: usize,
}

/// What bounds the equilibrium of a cell's pieces.
struct Looked {
    /// The largest piece, and its equilibrium.
    outer: Footprint,
    whole: Stability,
    /// The piece within all of them, where there is one.
    inner: Option<Footprint>,
    /// The largest piece with no more cohesion than any has.
    stability: Stability,
}

/// A bolt that is sure to hold something in every piece of a cell.
#[derive(Debug, Clone, Copy)]
struct Sure {
    row: usize,
    /// Its collar from the place where the start ray daylights, least and most, metres.
    along_m: (f64, f64),
    kn: f64,
}

#[derive(Default)]
struct Scratch {
    sure: Vec<Sure>,
    maybe: Vec<Sure>,
    called: Vec<(Reaction, f64)>,
    pulls: Vec<BoltPull>,
    rotation: RotationScratch,
}

struct Search<'s, 'a> {
    pieces: &'s Pieces<'a>,
    rows: Vec<RowAt<'a>>,
    /// h of plane i is (the section part of its normal) · from + over · (cross(to, end) − cross(from, end)).
    over: [f64; 3],
    scratch: Scratch,
}

impl Pieces<'_> {
    /// The piece that is carried least; none where there is none to look at: all are for the bar, below
    /// the least size, outside the judged ground, or without a sure bolt and anything else to carry them.
    ///
    /// Falling pieces are held by forces and moments in balance, with joints that may push; sliding ones
    /// by the greater of friction and bolts on the movement ([`Stability::fs_called`]) and of hanging in
    /// the bolts and leaning on joints without friction. With several freely sliding groups of patterns the
    /// moments of a cell are bounded at the ends of their stretches alone: a search there, not a proof.
    #[must_use]
    pub fn least(&self) -> Bracket {
        let mut search = Search::new(self);
        let least = search.least();
        Bracket { least, uncarried: search.uncarried() }
    }

    /// Whether each piece is carried, by the rules of [`Pieces::least`] and much sooner: any piece below
    /// what is asked ends it, and no cell above is divided. `tried_first` are pieces that may well be
    /// short, such as those that were under a similar pattern.
    #[must_use]
    pub fn decision(&self, tried_first: &[PieceAt]) -> Decision {
        Search::new(self).decision(tried_first)
    }
}

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
}

/// How a search ended.
struct Ended {
    /// No piece is carried less.
    lowest: f64,
    cells: usize,
}

impl<'s, 'a> Search<'s, 'a> {
    fn new(pieces: &'s Pieces<'a>) -> Self {
        let positions = &pieces.positions;
        let chain = positions.frontier.chain();
        let cone = positions.cone;
        let stability = (pieces.judge)(&chain.largest());
        let mut rows = Vec::new();
        for (group, in_group) in positions.groups.iter().enumerate() {
            for &pattern in &in_group.patterns {
                let (design, layout) = (&positions.patterns[pattern], &positions.layouts[pattern]);
                for (row, line) in layout.rows.iter().enumerate() {
                    let along_m = (line.collar.along_m - chain.offset_m()).rem_euclid(positions.perimeter_m);
                    if along_m > chain.length_m() {
                        continue;
                    }
                    let direction = line.collar.direction;
                    let effect = stability.effect(&direction);
                    rows.push(RowAt {
                        along_m,
                        point: line.collar.point,
                        direction,
                        near_m: cone.inward.map(|m| layout.nearer_m(row, &m)),
                        tolerance_m: layout.tolerance_m,
                        base: cone.inward.map(|m| m.x * line.collar.point.x + m.z * line.collar.point.y),
                        into: cone.inward.map(|m| m.dot(&direction)),
                        ring_m: design.offset_m.unwrap_or(0.0)
                            + f64::from(line.first_ring) * design.ring_spacing_m,
                        period_m: layout.period_m,
                        group,
                        length_m: design.length_in_hole_m(),
                        bolt: &positions.bolts[design.bolt],
                        effect,
                    });
                }
            }
        }
        let sector = chain.sector();
        let start_edge = cone.edges[sector.order[0]];
        let sine = cross2(&sector.rays[0], &sector.rays[2]);
        let over = cone.inward.map(|m| m.dot(&start_edge) / sine);
        Self { pieces, rows, over, scratch: Scratch::default() }
    }

    /// The cell of all pieces.
    fn whole(&self) -> Cell {
        let positions = &self.pieces.positions;
        let (from_m, to_m) = positions.frontier.span_m();
        let shifts_m = positions.groups.iter().map(|g| (0.0, g.period_m)).collect();
        Cell { bound: 0.0, starts_m: (from_m, to_m), ends_m: (from_m, to_m), shifts_m }
    }

    fn least(&mut self) -> Option<LeastPiece> {
        let mut incumbent = Incumbent::default();
        let ended = self.run(&mut incumbent, None);
        let Incumbent { best, mut needed } = incumbent;
        let (carried, foot, shifts_m) = best?;
        let PieceAt { foot, volume_m3, phases_m } = self.piece_at(foot, &shifts_m);
        needed.sort_unstable();
        Some(LeastPiece {
            fs: carried.fs,
            fs_at_least: ended.lowest.min(carried.fs),
            carrier: carried.carrier,
            volume_m3,
            foot,
            phases_m,
            bolts: carried.bolts,
            needed,
            cells: ended.cells,
        })
    }

    fn decision(&mut self, tried_first: &[PieceAt]) -> Decision {
        let asked_fs = self.pieces.asked_fs;
        let mut incumbent = Incumbent::default();
        for at in tried_first {
            self.try_first(at, &mut incumbent);
        }
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

    fn piece_at(&self, foot: Footprint, shifts_m: &[f64]) -> PieceAt {
        let chain = self.pieces.positions.frontier.chain();
        let back_m = foot.edge_m[0] * chain.sector().axial[0];
        let phases_m = shifts_m.iter().map(|s| s - back_m).collect();
        PieceAt { foot, volume_m3: chain.volume_m3(&foot), phases_m }
    }

    /// Tries a piece of another search where this pyramid has it too.
    fn try_first(&mut self, at: &PieceAt, incumbent: &mut Incumbent) {
        let positions = &self.pieces.positions;
        let (from_m, to_m) = positions.frontier.span_m();
        let [start_m, _, end_m] = at.foot.along_m;
        if start_m < from_m || end_m > to_m || at.phases_m.len() != positions.groups.len() {
            return;
        }
        let chain = positions.frontier.chain();
        let back_m = chain.footprint(start_m, end_m).edge_m[0] * chain.sector().axial[0];
        let shifts = positions.groups.iter().zip(&at.phases_m);
        let shifts: Vec<f64> = shifts.map(|(g, m)| (m + back_m).rem_euclid(g.period_m)).collect();
        self.try_at(start_m, end_m, &shifts, incumbent);
    }

    /// Divides cells until none can hold a piece that is carried less than the least one found by more
    /// than the bracket's share; with `decides_at`, until a piece below that is found or none can be.
    fn run(&mut self, incumbent: &mut Incumbent, decides_at: Option<f64>) -> Ended {
        let enough =
            |incumbent: &Incumbent| decides_at.unwrap_or_else(|| incumbent.fs() * (1.0 - BRACKET_SHARE));
        let decided = |incumbent: &Incumbent| decides_at.is_some_and(|fs| incumbent.fs() < fs);
        let mut first = self.whole();
        let mut heap = BinaryHeap::new();
        let mut ended = Ended { lowest: f64::INFINITY, cells: 0 };
        if let Some(carried) = self.carried(&first) {
            first.bound = carried.fs;
            heap.push(first);
        }
        while let Some(cell) = heap.pop() {
            if cell.bound >= enough(incumbent) || ended.cells >= MOST_CELLS {
                ended.lowest = ended.lowest.min(cell.bound);
                break;
            }
            let Some(halves) = self.halves(&cell) else {
                ended.lowest = ended.lowest.min(cell.bound);
                continue;
            };
            ended.cells += 1;
            for mut half in halves {
                self.draw_in(&mut half);
                self.try_pieces(&half, incumbent);
                if decided(incumbent) {
                    return ended;
                }
                let Some(carried) = self.carried(&half) else { continue };
                half.bound = carried.fs.max(cell.bound);
                if half.bound < enough(incumbent) {
                    heap.push(half);
                } else {
                    ended.lowest = ended.lowest.min(half.bound);
                }
            }
        }
        ended
    }

    /// Ends beyond the farthest that the caps leave the last start are no pieces'.
    fn draw_in(&self, cell: &mut Cell) {
        let last_m = self.pieces.positions.frontier.widest_even(cell.starts_m.1).map(|f| f.along_m[2]);
        cell.ends_m.1 = cell.ends_m.1.min(last_m.unwrap_or(f64::INFINITY)).max(cell.ends_m.0);
    }

    /// The piece in the middle of a cell, the largest one, and the largest that the caps leave its first
    /// start, where the caps admit them.
    fn try_pieces(&mut self, cell: &Cell, incumbent: &mut Incumbent) {
        let middle = |(from, to): (f64, f64)| 0.5 * (from + to);
        let frontier = self.pieces.positions.frontier;
        let capped_m = frontier.widest(cell.starts_m.0).map(|f| f.along_m[2]);
        let capped_m = capped_m.filter(|m| (cell.ends_m.0..=cell.ends_m.1).contains(m));
        let ends = [(middle(cell.starts_m), middle(cell.ends_m)), (cell.starts_m.0, cell.ends_m.1)];
        let shifts: Vec<f64> = cell.shifts_m.iter().map(|&s| middle(s)).collect();
        for (start_m, end_m) in ends.into_iter().chain(capped_m.map(|m| (cell.starts_m.0, m))) {
            self.try_at(start_m, end_m, &shifts, incumbent);
        }
    }

    /// Tries one piece, where the caps admit it.
    fn try_at(&mut self, start_m: f64, end_m: f64, shifts_m: &[f64], incumbent: &mut Incumbent) {
        let Some((foot, piece)) = self.piece(start_m, end_m, shifts_m) else { return };
        let Some(carried) = self.carried(&piece) else { return };
        if let Some(first) = carried.first
            && !incumbent.needed.contains(&first)
        {
            incumbent.needed.push(first);
        }
        if carried.fs < incumbent.fs() {
            incumbent.best = Some((carried, foot, shifts_m.to_vec()));
        }
    }

    /// The cell of one piece; `None` where the caps do not admit it, or it is too small to look at.
    fn piece(&self, start_m: f64, end_m: f64, shifts_m: &[f64]) -> Option<(Footprint, Cell)> {
        let frontier = self.pieces.positions.frontier;
        if end_m - start_m <= LEAST_CELL_M {
            return None;
        }
        let foot = frontier.chain().footprint(start_m, end_m);
        if !frontier.admits(&foot) || frontier.chain().volume_m3(&foot) < self.pieces.least_m3 {
            return None;
        }
        let piece = Cell {
            bound: 0.0,
            starts_m: (start_m, start_m),
            ends_m: (end_m, end_m),
            shifts_m: shifts_m.iter().map(|&s| (s, s)).collect(),
        };
        Some((foot, piece))
    }

    /// Whether there is a piece that nothing entered is on.
    fn uncarried(&mut self) -> Uncarried {
        if !self.pieces.coverings.is_empty() {
            return Uncarried::Absent;
        }
        let mut first = self.whole();
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
            let Some(halves) = self.halves(&cell) else {
                open = true;
                continue;
            };
            cells += 1;
            for mut half in halves {
                self.draw_in(&mut half);
                half.bound = cell.bound + 1.0;
                let middle = |(from, to): (f64, f64)| 0.5 * (from + to);
                let shifts: Vec<f64> = half.shifts_m.iter().map(|&s| middle(s)).collect();
                let at = self.uncarried_at(middle(half.starts_m), middle(half.ends_m), &shifts);
                if let Some(found) = at {
                    return Uncarried::Found(found);
                }
                if self.may_be_uncarried(&half) {
                    heap.push(half);
                }
            }
        }
        if open { Uncarried::Open } else { Uncarried::Absent }
    }

    /// Of the smallest pieces that are not for the bar, at even places across and along the drive, one
    /// that nothing entered is on: where a large piece finds room between bolts, a small one does.
    fn small_uncarried(&mut self, whole: &Cell) -> Option<PieceAt> {
        let least_m3 = self.pieces.bar_m3.unwrap_or(0.0).max(self.pieces.least_m3);
        let smallest = self.pieces.positions.frontier.up_to_m3(least_m3 * (1.0 + ABOVE_BAR_SHARE));
        let at = |(from, to): (f64, f64), k: usize| {
            from + (to - from) * (k as f64 + 0.5) / UNCARRIED_PLACES as f64
        };
        for start in 0..UNCARRIED_PLACES {
            let Some(foot) = smallest.widest(at(whole.starts_m, start)) else { continue };
            for shift in 0..UNCARRIED_PLACES {
                let shifts: Vec<f64> = whole.shifts_m.iter().map(|&s| at(s, shift)).collect();
                let found = self.uncarried_at(foot.along_m[0], foot.along_m[2], &shifts);
                if found.is_some() {
                    return found;
                }
            }
        }
        None
    }

    fn uncarried_at(&mut self, start_m: f64, end_m: f64, shifts_m: &[f64]) -> Option<PieceAt> {
        let (foot, piece) = self.piece(start_m, end_m, shifts_m)?;
        self.may_be_uncarried(&piece).then(|| self.piece_at(foot, shifts_m))
    }

    /// Whether a cell may hold a piece that nothing entered is on; a piece is one or is not.
    fn may_be_uncarried(&mut self, cell: &Cell) -> bool {
        let Some(looked) = self.looked_at(cell) else { return false };
        if looked.stability.fs_bare() >= self.pieces.asked_fs {
            return false;
        }
        self.find_bolts(cell);
        self.scratch.sure.is_empty()
    }

    /// The cell in two, across its longest side for the size of what it is a part of.
    fn halves(&self, cell: &Cell) -> Option<[Cell; 2]> {
        let positions = &self.pieces.positions;
        let length_m = positions.frontier.chain().length_m();
        let width = |(from, to): (f64, f64)| to - from;
        let mut longest = (width(cell.starts_m) / length_m, 0);
        if width(cell.ends_m) / length_m > longest.0 {
            longest = (width(cell.ends_m) / length_m, 1);
        }
        for (g, (shift, group)) in cell.shifts_m.iter().zip(positions.groups).enumerate() {
            if width(*shift) / group.period_m > longest.0 {
                longest = (width(*shift) / group.period_m, 2 + g);
            }
        }
        let mut halves = [cell.clone(), cell.clone()];
        for (which, half) in halves.iter_mut().enumerate() {
            let stretch = match longest.1 {
                0 => &mut half.starts_m,
                1 => &mut half.ends_m,
                g => &mut half.shifts_m[g - 2],
            };
            if width(*stretch) <= LEAST_CELL_M {
                return None;
            }
            let middle = 0.5 * (stretch.0 + stretch.1);
            if which == 0 {
                stretch.1 = middle;
            } else {
                stretch.0 = middle;
            }
        }
        Some(halves)
    }

    /// The equilibrium that bounds those of a cell's pieces; `None` where it has no piece to look at.
    fn looked_at(&self, cell: &Cell) -> Option<Looked> {
        let Pieces { positions, judge, judged, bar_m3, least_m3, .. } = self.pieces;
        let frontier = positions.frontier;
        let chain = frontier.chain();
        let (from_m, to_m) = (cell.starts_m.0, cell.ends_m.1);
        if frontier.excludes(cell.starts_m, cell.ends_m) {
            return None;
        }
        let outer = chain.footprint(from_m, to_m);
        let volume_m3 = chain.volume_m3(&outer);
        if volume_m3 < *least_m3 || bar_m3.is_some_and(|most| volume_m3 <= most) {
            return None;
        }
        if !judged.iter().any(|s| s.from_m < to_m && from_m < s.to_m) {
            return None;
        }
        let whole = judge(&outer);
        if whole.motion.mode == Mode::NoMotion {
            return None;
        }
        let inner = (cell.ends_m.0 > cell.starts_m.1)
            .then(|| chain.footprint(cell.starts_m.1, cell.ends_m.0))
            .map(|foot| (judge(&foot), foot));
        let stability = match &inner {
            Some((least, _)) => whole.with_cohesion_of(least),
            None => whole.without_cohesion(),
        };
        Some(Looked { outer, whole, inner: inner.map(|i| i.1), stability })
    }

    /// What carries every piece of a cell at least; `None` where it has no piece to look at.
    fn carried(&mut self, cell: &Cell) -> Option<Carried> {
        let Pieces { positions, asked_fs, coverings, .. } = self.pieces;
        let frontier = positions.frontier;
        let (from_m, to_m) = (cell.starts_m.0, cell.ends_m.1);
        let Looked { outer, whole, inner, stability } = self.looked_at(cell)?;
        let mut best = Carried { fs: stability.fs_bare(), carrier: Carrier::Joints, first: None, bolts: 0 };
        let reach = |best: &mut Carried, fs: f64, carrier: Carrier| {
            if best.first.is_none() && fs >= *asked_fs {
                best.first = Some(carrier);
            }
            if fs > best.fs {
                best.fs = fs;
                best.carrier = carrier;
            }
        };
        let bare = best.fs;
        reach(&mut best, bare, Carrier::Joints);
        let bolts = self.bolts(cell, &stability, &outer, inner.as_ref());
        match bolts {
            Some((fs, count)) => {
                best.bolts = count;
                reach(&mut best, fs, Carrier::Bolts);
            }
            // What would have to carry such a piece is not entered; of a cell some may stand by their joints.
            None if coverings.is_empty() && bare < *asked_fs => {
                if cell.is_piece() {
                    return None;
                }
                best.fs = *asked_fs;
            }
            None => {}
        }
        for cover in *coverings {
            if !cover.spans.iter().any(|s| s.from_m <= from_m + ON_FACE_M && to_m <= s.to_m + ON_FACE_M) {
                continue;
            }
            match cover.support.kind {
                SurfaceKind::Screen { bay_kn } | SurfaceKind::Strap { bay_kn } => {
                    reach(&mut best, bay_kn / whole.active_kn().norm(), Carrier::Screen);
                }
                SurfaceKind::Shotcrete { .. } => {
                    let around_m = inner.as_ref().map_or(0.0, |foot| frontier.traces_m(foot));
                    let kn = cover.support.capacity(around_m).kn;
                    reach(&mut best, bare + kn / whole.motion.driving_kn, Carrier::Shotcrete);
                }
            }
        }
        Some(best)
    }

    /// Least and most of m_i · apex over a cell, with the start ray daylighting at chainage 0.
    fn planes_m(&self, cell: &Cell) -> [(f64, f64); 3] {
        let chain = self.pieces.positions.frontier.chain();
        let end = chain.sector().rays[2];
        let cone = self.pieces.positions.cone;
        std::array::from_fn(|i| {
            let m = Vec2::new(cone.inward[i].x, cone.inward[i].z);
            let over = self.over[i];
            let starts = range(chain, cell.starts_m, |p| m.dot(p) - over * cross2(p, &end));
            let ends = range(chain, cell.ends_m, |p| over * cross2(p, &end));
            (starts.0 + ends.0, starts.1 + ends.1)
        })
    }

    /// Finds the bolts that are sure for every piece of a cell, and those that may be for some.
    fn find_bolts(&mut self, cell: &Cell) {
        let planes_m = self.planes_m(cell);
        let mut scratch = std::mem::take(&mut self.scratch);
        scratch.sure.clear();
        scratch.maybe.clear();
        for (index, row) in self.rows.iter().enumerate() {
            let (from_m, to_m) = (row.along_m - row.tolerance_m, row.along_m + row.tolerance_m);
            if from_m < cell.starts_m.0 - ON_FACE_M || to_m > cell.ends_m.1 + ON_FACE_M {
                continue;
            }
            let sure_across = from_m >= cell.starts_m.1 - ON_FACE_M && to_m <= cell.ends_m.0 + ON_FACE_M;
            let shift = cell.shifts_m[row.group];
            self.rings(row, &planes_m, shift, |along_m, sure_along| {
                let kn = self.capacity_kn(row, &planes_m, along_m);
                let found = Sure { row: index, along_m, kn };
                if sure_across && sure_along {
                    scratch.sure.push(found);
                } else {
                    scratch.maybe.push(found);
                }
            });
        }
        self.scratch = scratch;
    }

    /// The factor that bolts give every piece of a cell at least, with how many are sure; `None` where no
    /// bolt is sure for any of its pieces.
    fn bolts(
        &mut self,
        cell: &Cell,
        stability: &Stability,
        outer: &Footprint,
        inner: Option<&Footprint>,
    ) -> Option<(f64, usize)> {
        self.find_bolts(cell);
        let mut scratch = std::mem::take(&mut self.scratch);
        let result = if !scratch.sure.is_empty() {
            let sure = std::mem::take(&mut scratch.sure);
            let fs = self.held(cell, stability, outer, inner, &sure, &mut scratch);
            let count = sure.len();
            scratch.sure = sure;
            Some((fs, count))
        } else if scratch.maybe.is_empty() {
            None
        } else if self.pieces.coverings.is_empty() {
            // Each piece that is looked at has at least one of them, or stands by its joints.
            let maybe = std::mem::take(&mut scratch.maybe);
            let mut least = stability.fs_bare().max(self.pieces.asked_fs);
            for one in &maybe {
                let alone = std::slice::from_ref(one);
                least = least.min(self.held(cell, stability, outer, inner, alone, &mut scratch));
            }
            scratch.maybe = maybe;
            Some((least, 0))
        } else {
            Some((stability.fs_bare(), 0))
        };
        self.scratch = scratch;
        result
    }

    /// Calls `visit(where its collar stands from the place where the start ray daylights, whether it is
    /// inside the three planes of every piece)` for each ring that is inside them for some piece.
    fn rings(
        &self,
        row: &RowAt,
        planes_m: &[(f64, f64); 3],
        shift_m: (f64, f64),
        mut visit: impl FnMut((f64, f64), bool),
    ) {
        // Least and most of the collar's place for the smallest piece, and for the largest one.
        let mut all = (f64::NEG_INFINITY, f64::INFINITY);
        let mut some = all;
        for (i, m) in self.pieces.positions.cone.inward.iter().enumerate() {
            let (low, high) = planes_m[i];
            let (short, long) = (row.base[i] - high - row.near_m[i], row.base[i] - low - row.near_m[i]);
            if m.y > AXIS_TOLERANCE {
                all.0 = all.0.max(-short / m.y);
                some.0 = some.0.max(-long / m.y);
            } else if m.y < -AXIS_TOLERANCE {
                all.1 = all.1.min(short / -m.y);
                some.1 = some.1.min(long / -m.y);
            } else {
                if short < -ON_FACE_M {
                    all = (f64::INFINITY, f64::NEG_INFINITY);
                }
                if long < -ON_FACE_M {
                    return;
                }
            }
        }
        if some.0 > some.1 + ON_FACE_M {
            return;
        }
        let mut ring = ((some.0 - ON_FACE_M + shift_m.0 - row.ring_m) / row.period_m).ceil();
        loop {
            let z = row.ring_m + ring * row.period_m;
            let along_m = (z - shift_m.1, z - shift_m.0);
            if along_m.0 > some.1 + ON_FACE_M {
                break;
            }
            visit(along_m, along_m.0 >= all.0 - ON_FACE_M && along_m.1 <= all.1 + ON_FACE_M);
            ring += 1.0;
        }
    }

    /// The least that a bolt with its collar in such a stretch can take in any piece of a cell, kN.
    fn capacity_kn(&self, row: &RowAt, planes_m: &[(f64, f64); 3], along_m: (f64, f64)) -> f64 {
        let (mut head_m, mut most_m) = (f64::INFINITY, f64::INFINITY);
        for (i, m) in self.pieces.positions.cone.inward.iter().enumerate() {
            if row.into[i] >= 0.0 {
                continue;
            }
            let (a, b) = (m.y * along_m.0, m.y * along_m.1);
            let (low, high) = planes_m[i];
            head_m = head_m.min((row.base[i] + a.min(b) - high - row.near_m[i]) / -row.into[i]);
            most_m = most_m.min((row.base[i] + a.max(b) - low + row.near_m[i]) / -row.into[i]);
        }
        let toe_m = row.length_m - most_m;
        if toe_m < 0.0 { 0.0 } else { row.bolt.capacity(head_m.max(0.0), toe_m).kn }
    }

    /// The factor that these bolts give every piece of a cell at least.
    fn held(
        &self,
        cell: &Cell,
        stability: &Stability,
        outer: &Footprint,
        inner: Option<&Footprint>,
        bolts: &[Sure],
        scratch: &mut Scratch,
    ) -> f64 {
        if stability.motion.mode == Mode::Falling {
            return self.balanced(cell, stability, outer, inner, bolts, scratch);
        }
        scratch.called.clear();
        scratch.called.extend(
            bolts
                .iter()
                .map(|b| (self.rows[b.row].effect, b.kn))
                .filter(|(effect, kn)| effect.against_kn > 0.0 && *kn > 0.0),
        );
        let called = stability.fs_called(&scratch.called);
        if called >= self.pieces.asked_fs {
            return called;
        }
        called.max(self.hanging(stability, bolts, scratch))
    }

    /// Hanging in the bolts and leaning on the joints without friction, forces alone.
    fn hanging(&self, stability: &Stability, bolts: &[Sure], scratch: &mut Scratch) -> f64 {
        let at = Vec3::zeros();
        let contacts: Vec<Contact> =
            self.pieces.positions.cone.inward.iter().map(|&normal| Contact { point: at, normal }).collect();
        scratch.pulls.clear();
        scratch.pulls.extend(bolts.iter().filter(|b| b.kn > 0.0).map(|b| BoltPull {
            point: at,
            direction: self.rows[b.row].direction,
            capacity_kn: b.kn,
        }));
        Rotation::new(&stability.active_kn(), &at, &contacts)
            .load_factor(&scratch.pulls, &mut scratch.rotation)
    }

    /// Forces and moments in balance, for every piece of a cell.
    ///
    /// Bolts stand still and the wedge ranges over the cell. For each place of the centroid that is a corner
    /// of the box it ranges over, the greatest factor is a linear programme; for a place between them the
    /// same mixture of the corners' forces balances the least of their factors. A joint may press where it
    /// lies in every piece: within its triangle, as far from its sides as its corners range.
    fn balanced(
        &self,
        cell: &Cell,
        stability: &Stability,
        outer: &Footprint,
        inner: Option<&Footprint>,
        bolts: &[Sure],
        scratch: &mut Scratch,
    ) -> f64 {
        let positions = &self.pieces.positions;
        let (chain, cone) = (positions.frontier.chain(), positions.cone);
        let axial = chain.sector().axial[0];
        let middle = |(from, to): (f64, f64)| 0.5 * (from + to);
        // Everything from the place where the start ray daylights, along the drive.
        let placed = |foot: &Footprint| {
            let back = Vec3::new(0.0, -foot.edge_m[0] * axial, 0.0);
            (chain.corners(cone, foot).map(|c| c + back), chain.centroid(cone, foot) + back)
        };
        let mut feet = vec![*outer];
        feet.extend(inner);
        for (start_m, end_m) in [(cell.starts_m.0, cell.ends_m.0), (cell.starts_m.1, cell.ends_m.1)] {
            if end_m > start_m + LEAST_CELL_M {
                feet.push(chain.footprint(start_m, end_m));
            }
        }
        let all: Vec<([Vec3; 4], Vec3)> = feet.iter().map(placed).collect();
        let along = cell.shifts_m.first().map_or(0.0, |s| 0.5 * (s.1 - s.0));
        let (mut low, mut high) = (all[0].1, all[0].1);
        for (_, centroid) in &all {
            low = low.inf(centroid);
            high = high.sup(centroid);
        }
        let bend = (high - low) * CENTROID_BEND_SHARE + Vec3::new(0.0, along, 0.0);
        (low, high) = (low - bend, high + bend);
        // The largest piece is the one whose corners the others' are measured from.
        let reference = &all[0].0;
        let mut contacts: Vec<Contact> = Vec::with_capacity(9);
        for plane in 0..3 {
            let corners = [0, 1 + (plane + 1) % 3, 1 + (plane + 2) % 3];
            let mut off = along;
            for (other, _) in &all[1..] {
                for k in corners {
                    off = off.max((other[k] - reference[k]).norm() + along);
                }
            }
            contacts.extend(
                pressed(corners.map(|k| reference[k]), off)
                    .into_iter()
                    .flatten()
                    .map(|point| Contact { point, normal: cone.inward[plane] }),
            );
        }
        let force = stability.active_kn();
        let wide = (high - low).norm() > 0.0;
        let groups = positions.groups.len();
        let ends = if groups > 1 { 1usize << (groups - 1) } else { 1 };
        let mut least = f64::INFINITY;
        for end in 0..ends {
            scratch.pulls.clear();
            scratch.pulls.extend(bolts.iter().filter(|b| b.kn > 0.0).map(|b| {
                let row = &self.rows[b.row];
                let at = match row.group {
                    0 => middle(b.along_m),
                    g if end >> (g - 1) & 1 == 0 => b.along_m.0,
                    _ => b.along_m.1,
                };
                BoltPull {
                    point: Vec3::new(row.point.x, at, row.point.y),
                    direction: row.direction,
                    capacity_kn: b.kn,
                }
            }));
            for corner in 0..if wide { 8 } else { 1 } {
                let pick = |bit: usize, a: f64, b: f64| if corner >> bit & 1 == 0 { a } else { b };
                let centroid =
                    Vec3::new(pick(0, low.x, high.x), pick(1, low.y, high.y), pick(2, low.z, high.z));
                let at = stability.acts_at(&centroid);
                let rotation = Rotation::new(&force, &at, &contacts);
                least = least.min(rotation.load_factor_up_to(&scratch.pulls, least, &mut scratch.rotation));
            }
        }
        least
    }
}

/// The corners of a triangle drawn in by `off_m` from each of its sides; none where it has no such part.
fn pressed(corners: [Vec3; 3], off_m: f64) -> [Option<Vec3>; 3] {
    let [a, b, c] = corners;
    let sides = [(b - c).norm(), (c - a).norm(), (a - b).norm()];
    let around = sides[0] + sides[1] + sides[2];
    let area = 0.5 * (b - a).cross(&(c - a)).norm();
    let radius = 2.0 * area / around;
    if off_m <= 0.0 {
        return corners.map(Some);
    }
    if off_m >= radius {
        return [None; 3];
    }
    let centre = (a * sides[0] + b * sides[1] + c * sides[2]) / around;
    corners.map(|p| Some(centre + (p - centre) * (1.0 - off_m / radius)))
}

/// Least and most of a linear function of a place over a stretch of the chain.
fn range(
    chain: &crate::wedge::Chain,
    (from_m, to_m): (f64, f64),
    value: impl Fn(&Vec2) -> f64,
) -> (f64, f64) {
    let (a, b) = (value(&chain.point_at(from_m)), value(&chain.point_at(to_m)));
    let (mut low, mut high) = (a.min(b), a.max(b));
    let (first, last) = (chain.facet_at(from_m), chain.facet_at(to_m));
    for vertex in &chain.vertices()[first + 1..=last.max(first)] {
        let at = value(vertex);
        low = low.min(at);
        high = high.max(at);
    }
    (low, high)
}
