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

mod balance;
mod bounds;
mod cell;
mod line;
mod rows;
mod search;
mod stretch;
mod wet;

use self::search::Search;
pub use self::wet::{OnPieces, ways_of};
use super::{Positions, Span, SurfaceSupport};
use crate::opening::Vec2;
use crate::stability::Stability;
use crate::wedge::Footprint;

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
    /// What water does to them; `None` without: then all of them move alike.
    pub wet: Option<OnPieces<'a>>,
    /// Where bolts have chainages of their own and nothing repeats: the stretch of drive, metres of chainage,
    /// in which the corners of a piece's face have to lie for it to be looked at. All patterns then are one
    /// group. `None` where rings repeat along the drive.
    pub stretch_m: Option<(f64, f64)>,
    /// The line of the section that structures hold apexes on: a point of it and its direction. `None` where
    /// apexes may be anywhere.
    pub apexes_on: Option<(Vec2, Vec2)>,
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
    /// How many bolts are sure to cross it with something to give.
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

impl Pieces<'_> {
    /// The piece that is carried least; none where there is none to look at: all are for the bar, below
    /// the least size, outside the judged ground, or without a sure bolt and anything else to carry them.
    ///
    /// Falling pieces are held by forces and moments in balance, with joints that may push; sliding ones
    /// by the greater of friction and bolts on the movement ([`Stability::fs_called`]) and of hanging in
    /// the bolts and leaning on joints without friction. In the bounds of falling pieces how far a centroid
    /// bends within a cell is an estimate; with several freely sliding groups of patterns their moments are
    /// bounded at the ends of the stretches of chainages alone: a search there, not a proof.
    #[must_use]
    pub fn least(&self) -> Bracket {
        let mut search = Search::new(self);
        let least = search.least();
        let mut uncarried = search.uncarried();
        // With water none may have been found that moves, and yet some cell be open in which one might.
        if least.is_none() && search.lowest < self.asked_fs && uncarried == Uncarried::Absent {
            uncarried = Uncarried::Open;
        }
        Bracket { least, uncarried }
    }

    /// How pieces of all sizes move, as far as even places tell: whether some fall, and whether some slide.
    fn ways(&self) -> (bool, bool) {
        ways_of(self.positions.frontier, self.least_m3.max(self.bar_m3.unwrap_or(0.0)), self.judge)
    }

    /// Whether there is a piece that nothing entered is on, by the rules of [`Pieces::least`].
    #[must_use]
    pub fn uncarried(&self) -> Uncarried {
        Search::new(self).uncarried()
    }

    /// The factor of the piece that is carried least as far as a short search finds it: told beside
    /// [`Pieces::least`], and no bound.
    #[must_use]
    pub fn least_found(&self) -> Option<f64> {
        Search::beside(self).least().map(|piece| piece.fs)
    }

    /// Whether each piece is carried, by the rules of [`Pieces::least`] and much sooner: any piece below
    /// what is asked ends it, and no cell above is divided. `tried_first` are pieces that may well be
    /// short, such as those that were under a similar pattern.
    #[must_use]
    pub fn decision(&self, tried_first: &[PieceAt]) -> Decision {
        Search::new(self).decision(tried_first)
    }

    /// Whether one of some pieces is carried less than is asked, where this pyramid has it: no search.
    #[must_use]
    pub fn is_short_of(&self, tried: &[PieceAt]) -> bool {
        Search::new(self).is_short_of(tried)
    }

    /// Whether no piece is carried less than a factor, by the rules of [`Pieces::least`]; `false` too where
    /// that was not found out. `tried_first` are pieces that may well be.
    #[must_use]
    pub fn none_below(&self, fs: f64, tried_first: &[PieceAt]) -> bool {
        Search::new(self).none_below(fs, tried_first)
    }
}
