//! What carries every piece of a cell at least.

use super::super::{Covering, Span, SurfaceKind};
use super::cell::Cell;
use super::rows::{Found, MOST_PLACES, Planes, RowAt, rows_at};
use super::{Carrier, Pieces};
use crate::stability::{BoltPull, Mode, Reaction, Rotation, RotationScratch, Stability};
use crate::wedge::{Footprint, ON_FACE_M};

/// Shares that a screen is counted with beside joints and bolts, where the better of them is at least any.
pub(super) const SCREEN_SHARES: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];

/// What carries the pieces of a cell at least.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Carried {
    pub fs: f64,
    pub carrier: Carrier,
    /// The first carrier that reaches the criterion; `None` where none does.
    pub first: Option<Carrier>,
    pub bolts: usize,
}

/// How far a factor has to be known: at or below `floor`, and from `enough` on, any bound on its side will
/// do.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wanted {
    pub floor: f64,
    pub enough: f64,
    /// Whether the first carrier is asked for too: then all are looked at.
    pub first: bool,
}

/// What bounds the equilibrium of a cell's pieces.
#[derive(Clone)]
pub(super) struct Looked {
    /// The largest piece, and its equilibrium.
    pub outer: Footprint,
    pub whole: Stability,
    /// The piece within all of them, where there is one.
    pub inner: Option<Footprint>,
    /// The largest piece with no more cohesion than any has.
    pub stability: Stability,
    /// The most that hangs from any, kN.
    pub hung_kn: f64,
    /// The largest piece with what hangs from it; `None` where nothing may.
    pub laden: Option<Stability>,
    /// The force on the largest piece, as a multiple of that on the largest wedge.
    pub times: f64,
    /// What a bay of screen or straps carries that covers the whole face of every piece, kN; 0 where none
    /// does.
    pub bay_kn: f64,
}

/// What all pieces of a pyramid share: one mode and one direction, as all that acts on them is vertical,
/// weights that go with their volumes, and cohesion that goes with their joint faces.
struct Alike {
    base: Stability,
    /// The force that `base` is under, and the weight of a cubic metre, kN.
    force_kn: f64,
    unit_kn_m3: f64,
    /// Of the joint opposite each ray, kPa; zero where it is not in contact.
    cohesion_kpa: [f64; 3],
    /// Whether anything may hang from a piece.
    hung: bool,
}

impl Alike {
    /// The force on a piece, as a multiple of that of `base`.
    fn times(&self, volume_m3: f64, hung_kn: f64) -> f64 {
        (self.unit_kn_m3 * volume_m3 + hung_kn) / self.force_kn
    }
}

/// The four corners of a cell, seen across the drive: first start and last end first, last start and first
/// end last.
pub(super) struct Corners {
    pub feet: [Footprint; 4],
    /// The forces on them with all that hangs from any piece, as multiples of that of the largest wedge.
    pub times: [f64; 4],
    /// The middle of the lines.
    pub centre: Footprint,
    /// The corners of what the caps leave of the cell, and the forces there.
    pub places: [[f64; 2]; MOST_PLACES],
    place_times: [f64; MOST_PLACES],
    pub count: usize,
    /// Whether caps cut off any of the four.
    pub is_cut: bool,
}

/// What the bolts of one group add to every sliding piece of a cell at least, kN, at each of its places.
pub(super) struct Added {
    /// Where at least one is sure.
    pub sure: [f64; MOST_PLACES],
    /// One that may be there where none is sure.
    pub single: [f64; MOST_PLACES],
    /// Whether there are chainages at which none is sure.
    pub none_sure: bool,
    /// The most by which they unload each joint.
    pub opened_kn: [f64; 3],
}

/// A bolt that is inside the planes of some of a cell's pieces between two chainages, and of all of them
/// between two others.
#[derive(Debug, Clone, Copy)]
struct Stretch {
    row: usize,
    ring_m: f64,
    some_m: (f64, f64),
    all_m: (f64, f64),
}

#[derive(Default)]
pub(super) struct Scratch {
    sure: Vec<Found>,
    maybe: Vec<Found>,
    called: Vec<(Reaction, f64)>,
    pub pulls: Vec<BoltPull>,
    /// Row and chainage of each of them.
    pub names: Vec<(usize, f64)>,
    /// Of cells, and of pieces: each begins with what limited the one before.
    pub rotation: RotationScratch,
    pub rotation_of_pieces: RotationScratch,
    stretches: Vec<Stretch>,
    events: Vec<f64>,
}

impl Scratch {
    /// The load factor of a cell with the bolts as they pull: from where the same bolts ended under a load beside it,
    /// which is sought no further than to `enough`, or the first of them, to its end, since only that is gone on from.
    pub fn load_factor(&mut self, rotation: &Rotation, going_on: bool, enough: f64) -> f64 {
        if going_on {
            rotation.load_factor_on(&self.pulls, enough, &mut self.rotation)
        } else {
            rotation.load_factor_near(&self.pulls, &self.names, f64::INFINITY, &mut self.rotation)
        }
    }
}

/// A pyramid and what may carry its pieces, made ready.
pub(super) struct Ground<'s, 'a> {
    pub pieces: &'s Pieces<'a>,
    pub rows: Vec<RowAt<'a>>,
    pub planes: Planes,
    alike: Alike,
    scratch: Scratch,
    /// Whether bolts have unloaded a joint in some cell: then chainages have to be divided too.
    pub opens: bool,
    /// With water, whether pieces fall, and whether they slide.
    wet_ways: Option<(bool, bool)>,
    /// The last piece that was looked at, by its start and end: many are asked for at several chainages.
    last: Option<(f64, f64, Option<Looked>)>,
}

impl<'s, 'a> Ground<'s, 'a> {
    pub fn new(pieces: &'s Pieces<'a>) -> Self {
        let positions = &pieces.positions;
        let chain = positions.frontier.chain();
        let largest = chain.largest();
        let base = (pieces.judge)(&largest);
        let order = chain.sector().order;
        let cohesion_kn = base.cohesion_kn();
        let cohesion_kpa = std::array::from_fn(|position| {
            let kn = cohesion_kn[order[position]];
            if kn > 0.0 { kn / chain.joint_area_m2(positions.cone, &largest, position) } else { 0.0 }
        });
        let force_kn = base.active_kn().norm();
        // What hangs from no part of the largest face hangs from none of a smaller one, unless structures
        // put them at chainages of their own.
        let anywhere = positions.groups.iter().all(|g| g.located.is_none());
        let alike = Alike {
            force_kn,
            unit_kn_m3: (force_kn - base.hung_pull_kn()) / chain.volume_m3(&largest),
            cohesion_kpa,
            hung: base.hung().kn > 0.0 || !anywhere,
            base,
        };
        let planes = Planes::of(positions);
        let (from_m, to_m) = positions.frontier.span_m();
        let every = planes.range(chain.lines_at(from_m, from_m), chain.lines_at(to_m, to_m));
        Self {
            pieces,
            rows: rows_at(positions, &base, &every),
            planes,
            alike,
            scratch: Scratch::default(),
            opens: false,
            wet_ways: pieces.wet.as_ref().map(|_| pieces.ways()),
            last: None,
        }
    }

    /// The lines of a cell's first start and first end, and of its last ones.
    pub fn lines(&self, cell: &Cell) -> [[f64; 2]; 2] {
        let chain = self.pieces.positions.frontier.chain();
        [chain.lines_at(cell.starts_m.0, cell.ends_m.0), chain.lines_at(cell.starts_m.1, cell.ends_m.1)]
    }

    /// The cohesion of a piece's joints, kN.
    fn cohesion_kn(&self, foot: &Footprint) -> [f64; 3] {
        let positions = &self.pieces.positions;
        let chain = positions.frontier.chain();
        let mut cohesion_kn = [0.0; 3];
        for (position, kpa) in self.alike.cohesion_kpa.iter().enumerate() {
            if *kpa > 0.0 {
                let area_m2 = chain.joint_area_m2(positions.cone, foot, position);
                cohesion_kn[chain.sector().order[position]] = kpa * area_m2;
            }
        }
        cohesion_kn
    }

    /// Whether the pieces slide.
    pub fn slides(&self) -> bool {
        match self.wet_ways {
            Some((falls, _)) => !falls,
            None => self.alike.base.motion.mode != Mode::Falling,
        }
    }

    /// Whether anything may hang from a piece.
    pub fn may_hang(&self) -> bool {
        self.alike.hung
    }

    /// The largest piece of a cell and its volume, caps left aside; `None` where it is not on judged ground, or for
    /// the bar, or too small to look at.
    pub fn largest_of(&self, cell: &Cell) -> Option<(Footprint, f64)> {
        let Pieces { positions, judged, bar_m3, least_m3, .. } = self.pieces;
        let chain = positions.frontier.chain();
        let (from_m, to_m) = (cell.starts_m.0, cell.ends_m.1);
        if to_m <= from_m || !judged.iter().any(|s| s.meets(from_m, to_m)) {
            return None;
        }
        let outer = chain.footprint(from_m, to_m);
        let volume_m3 = chain.volume_m3(&outer);
        if volume_m3 < *least_m3 || bar_m3.is_some_and(|most| volume_m3 <= most) {
            return None;
        }
        Some((outer, volume_m3))
    }

    /// The piece within all of a cell's, where there is one.
    pub fn within_all(&self, cell: &Cell) -> Option<Footprint> {
        let chain = self.pieces.positions.frontier.chain();
        (cell.ends_m.0 > cell.starts_m.1).then(|| chain.footprint(cell.starts_m.1, cell.ends_m.0))
    }

    /// The equilibrium that bounds those of a cell's pieces; `None` where it has no piece to look at.
    pub fn looked_at(&self, cell: &Cell) -> Option<Looked> {
        let frontier = self.pieces.positions.frontier;
        let (outer, volume_m3) = self.largest_of(cell)?;
        let is_piece = cell.is_piece();
        if !is_piece && frontier.excludes(cell.starts_m, cell.ends_m) {
            return None;
        }
        if self.pieces.wet.is_some() {
            let stability = self.wet_piece(&outer)?;
            let bay_kn = self.bay_kn(cell);
            return Some(Looked {
                outer,
                whole: stability,
                inner: Some(outer),
                stability,
                hung_kn: 0.0,
                laden: None,
                times: 1.0,
                bay_kn,
            });
        }
        // No piece is heavier than the cap on its volume.
        let capped_m3 = frontier.volume_cap_m3().map_or(volume_m3, |cap| volume_m3.min(cap));
        if self.alike.base.motion.mode == Mode::NoMotion {
            return None;
        }
        let laden = self.may_hang().then(|| (self.pieces.judge)(&outer));
        let hung_kn = laden.as_ref().map_or(0.0, Stability::hung_pull_kn);
        let times = self.alike.times(capped_m3, hung_kn);
        let whole = self.alike.base.under(times, [0.0; 3]);
        let inner = self.within_all(cell);
        let stability = match &inner {
            Some(foot) => whole.under(1.0, self.cohesion_kn(foot)),
            None => whole,
        };
        let bay_kn = self.bay_kn(cell);
        Some(Looked { outer, whole, inner, stability, hung_kn, laden, times, bay_kn })
    }

    /// As [`Ground::looked_at`] of a piece: where rings stand makes no difference to it.
    fn looked_at_piece(&mut self, piece: &Cell) -> Option<Looked> {
        let (start_m, end_m) = (piece.starts_m.0, piece.ends_m.0);
        match &self.last {
            Some((start, end, looked)) if *start == start_m && *end == end_m => looked.clone(),
            _ => {
                let looked = self.looked_at(piece);
                self.last = Some((start_m, end_m, looked.clone()));
                looked
            }
        }
    }

    /// What a bay of screen or straps carries that covers the whole face of every piece of a cell, kN.
    pub fn bay_kn(&self, cell: &Cell) -> f64 {
        let mut bay_kn = 0.0f64;
        for cover in self.covering(cell) {
            if let SurfaceKind::Screen { bay_kn: kn } | SurfaceKind::Strap { bay_kn: kn } = cover.support.kind
            {
                bay_kn = bay_kn.max(kn);
            }
        }
        bay_kn
    }

    /// What covers the whole face of every piece of a cell.
    pub fn covering(&self, cell: &Cell) -> impl Iterator<Item = &'s Covering<'a>> + use<'s, 'a> {
        let (from_m, to_m) = (cell.starts_m.0, cell.ends_m.1);
        let covers = move |s: &Span| s.from_m <= from_m + ON_FACE_M && to_m <= s.to_m + ON_FACE_M;
        let pieces: &'s Pieces<'a> = self.pieces;
        pieces.coverings.iter().filter(move |cover| cover.spans.iter().any(covers))
    }

    /// What joints alone give every piece of a cell at least.
    ///
    /// Moved back along the edge that a joint does not hold, all of a piece comes onto the face of that
    /// joint, and no way is longer than that edge: the face is at least the volume over it, however small
    /// the piece is.
    fn least_bare(&self, looked: &Looked) -> f64 {
        let bare = looked.stability.fs_bare();
        if looked.hung_kn > 0.0 || self.alike.cohesion_kpa == [0.0; 3] {
            return bare;
        }
        let positions = &self.pieces.positions;
        let sector = positions.frontier.chain().sector();
        let face = |position: usize| {
            let plane = sector.order[position];
            let depth = positions.cone.inward[plane].dot(&positions.cone.edges[plane]);
            self.alike.cohesion_kpa[position] / (looked.outer.edge_m[position] * depth)
        };
        let driving_kn_m3 = self.alike.base.motion.driving_kn * self.alike.unit_kn_m3 / self.alike.force_kn;
        bare.max(self.alike.base.fs_bare_no_cohesion() + (0..3).map(face).sum::<f64>() / driving_kn_m3)
    }

    /// What carries every piece of a cell at least; `None` where it has no piece to look at.
    pub fn carried(&mut self, cell: &Cell, wanted: Wanted) -> Option<Carried> {
        if self.pieces.wet.is_none() {
            return self.carried_alike(cell, wanted);
        }
        if !cell.is_piece() {
            return self.carried_wet(cell, wanted);
        }
        // A piece that moves in a way of which more is asked than of the pyramid counts for less.
        let mode = self.looked_at_piece(cell)?.stability.motion.mode;
        let share = self.wet_share(mode);
        let wanted = Wanted { floor: wanted.floor / share, enough: wanted.enough / share, ..wanted };
        let mut carried = self.carried_alike(cell, wanted)?;
        carried.fs *= share;
        if carried.fs < self.pieces.asked_fs {
            carried.first = None;
        }
        Some(carried)
    }

    /// The same where all pieces have one mode and one direction, and of one piece.
    fn carried_alike(&mut self, cell: &Cell, wanted: Wanted) -> Option<Carried> {
        let Pieces { positions, asked_fs, coverings, .. } = self.pieces;
        let frontier = positions.frontier;
        let is_piece = cell.is_piece();
        let looked = if is_piece { self.looked_at_piece(cell)? } else { self.looked_at(cell)? };
        let mut best = Carried { fs: 0.0, carrier: Carrier::Joints, first: None, bolts: 0 };
        let reach = |best: &mut Carried, fs: f64, carrier: Carrier| {
            if best.first.is_none_or(|first| carrier < first) && fs >= *asked_fs {
                best.first = Some(carrier);
            }
            if fs > best.fs || (fs == best.fs && carrier < best.carrier) {
                best.fs = fs;
                best.carrier = carrier;
            }
        };
        let mut bare = if is_piece { looked.stability.fs_bare() } else { self.least_bare(&looked) };
        reach(&mut best, bare, Carrier::Joints);
        if looked.bay_kn > 0.0 {
            reach(&mut best, looked.bay_kn / looked.whole.active_kn().norm(), Carrier::Screen);
        }
        for cover in self.covering(cell) {
            if let SurfaceKind::Shotcrete { .. } = cover.support.kind {
                let around_m = looked.inner.as_ref().map_or(0.0, |foot| frontier.traces_m(foot));
                let kn = cover.support.capacity(around_m).kn;
                reach(&mut best, bare + kn / looked.whole.motion.driving_kn, Carrier::Shotcrete);
            }
        }
        if best.fs >= wanted.enough && !wanted.first {
            return Some(best);
        }
        let sliding = looked.whole.motion.mode != Mode::Falling;
        let mut corners = None;
        if !is_piece && looked.inner.is_some() {
            corners = self.corners(cell, &looked);
            if let Some(corners) = &corners {
                if corners.count == 0 {
                    return None;
                }
                if sliding {
                    bare = bare.max(self.mixed(
                        corners,
                        &looked,
                        &self.touching_kn(corners),
                        &[0.0; MOST_PLACES],
                    ));
                    reach(&mut best, bare, Carrier::Joints);
                }
            }
        }
        if best.fs >= wanted.enough && !wanted.first {
            return Some(best);
        }
        if !is_piece && sliding {
            let fs = self.sliding(cell, &looked, corners.as_ref(), bare);
            if fs == f64::INFINITY {
                return None;
            }
            reach(&mut best, fs, Carrier::Bolts);
            if best.fs >= wanted.enough {
                return Some(best);
            }
        }
        let floor = if wanted.first { wanted.floor } else { wanted.floor.max(best.fs) };
        let wanted = Wanted { floor, ..wanted };
        match self.bolts(cell, &looked, corners.as_ref(), bare, wanted) {
            Some((fs, count)) => {
                best.bolts = count;
                reach(&mut best, fs, Carrier::Bolts);
            }
            // What would have to carry such a piece is not entered; of a cell some may stand by their joints.
            None if coverings.is_empty() && bare < *asked_fs => {
                if is_piece || self.most_bare(&looked) < *asked_fs {
                    return None;
                }
                best.fs = best.fs.max(*asked_fs);
            }
            None => {}
        }
        Some(best)
    }

    /// The most that joints alone give any piece of a cell.
    fn most_bare(&self, looked: &Looked) -> f64 {
        let alike = &self.alike;
        if alike.cohesion_kpa == [0.0; 3] {
            return alike.base.fs_bare();
        }
        let chain = self.pieces.positions.frontier.chain();
        let least_m3 = looked.inner.as_ref().map_or(0.0, |foot| chain.volume_m3(foot));
        let times = alike.times(least_m3.max(self.pieces.least_m3), 0.0);
        alike.base.under(times, self.cohesion_kn(&looked.outer)).fs_bare()
    }

    /// Finds the bolts that are sure for every piece of a cell, and those that may be for some.
    pub fn find_bolts(&mut self, cell: &Cell) {
        let [low, high] = self.lines(cell);
        let planes = self.planes.range(low, high);
        let inward = &self.pieces.positions.cone.inward;
        self.scratch.sure.clear();
        self.scratch.maybe.clear();
        for (index, row) in self.rows.iter().enumerate() {
            let (some, all) = row.across(cell);
            if !some {
                continue;
            }
            let shift_m = cell.shifts_m[row.group];
            let scratch = &mut self.scratch;
            row.rings(inward, &planes, shift_m, |ring_m, sure_along| {
                let kn = row.least_kn(inward, &planes, ring_m, shift_m);
                let found = Found { row: index, ring_m, kn };
                if all && sure_along {
                    scratch.sure.push(found);
                } else {
                    scratch.maybe.push(found);
                }
            });
        }
    }

    /// A chainage of a group at which none of its bolts is sure for every piece of a cell; `None` where one is
    /// at each, but for stretches of at most `least_m`.
    pub fn free_shift_m(&mut self, cell: &Cell, group: usize, least_m: f64) -> Option<f64> {
        let [low, high] = self.lines(cell);
        let planes = self.planes.range(low, high);
        let inward = &self.pieces.positions.cone.inward;
        let shift_m = cell.shifts_m[group];
        let mut sure: Vec<(f64, f64)> = Vec::new();
        for row in self.rows.iter().filter(|row| row.group == group && row.across(cell).1) {
            row.stretches(inward, &planes, shift_m, |_, _, all_m| {
                if all_m.0 <= all_m.1 {
                    sure.push(all_m);
                }
            });
        }
        if shift_m.0 == shift_m.1 {
            let one_is = sure.iter().any(|s| s.0 <= shift_m.0 && shift_m.0 <= s.1);
            return (!one_is).then_some(shift_m.0);
        }
        sure.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut reached_m = shift_m.0;
        for (from_m, to_m) in sure.into_iter().chain([(shift_m.1, shift_m.1)]) {
            if from_m - reached_m > least_m {
                return Some(0.5 * (reached_m + from_m));
            }
            reached_m = reached_m.max(to_m);
        }
        None
    }

    /// What carries a cell's pieces at least by forces alone, without a look at its corners: what tells
    /// along which side the cell is best divided.
    pub fn roughly(&mut self, cell: &Cell) -> f64 {
        if self.pieces.wet.is_some() {
            return self.wet_roughly(cell);
        }
        let Some(looked) = self.looked_at(cell) else { return f64::INFINITY };
        let bare = self.least_bare(&looked);
        let best = bare.max(looked.bay_kn / looked.whole.active_kn().norm());
        self.find_bolts(cell);
        let kn: f64 = self.scratch.sure.iter().map(|b| self.rows[b.row].gain * b.kn).sum();
        best.max(bare + kn / looked.whole.motion.driving_kn)
    }

    /// The factor that bolts give every piece of a cell at least, with how many are sure; `None` where no
    /// bolt is sure for any of its pieces.
    fn bolts(
        &mut self,
        cell: &Cell,
        looked: &Looked,
        corners: Option<&Corners>,
        bare: f64,
        wanted: Wanted,
    ) -> Option<(f64, usize)> {
        self.find_bolts(cell);
        if !self.scratch.sure.is_empty() {
            let sure = std::mem::take(&mut self.scratch.sure);
            let fs = self.held(cell, looked, corners, &sure, wanted);
            let count = sure.iter().filter(|b| b.kn > 0.0).count();
            self.scratch.sure = sure;
            Some((fs, count))
        } else if self.scratch.maybe.is_empty() {
            None
        } else if self.pieces.coverings.is_empty() {
            // Each piece that is looked at has at least one of them, or stands by its joints.
            let maybe = std::mem::take(&mut self.scratch.maybe);
            let stands = self.most_bare(looked) >= self.pieces.asked_fs;
            let mut least = if stands { bare.max(self.pieces.asked_fs) } else { f64::INFINITY };
            for one in &maybe {
                if least <= wanted.floor {
                    break;
                }
                let wanted = Wanted { enough: wanted.enough.min(least), ..wanted };
                least = least.min(self.held(cell, looked, corners, std::slice::from_ref(one), wanted));
            }
            self.scratch.maybe = maybe;
            Some((least.max(bare), 0))
        } else {
            Some((bare, 0))
        }
    }

    /// The factor that these bolts give every piece of a cell at least.
    fn held(
        &mut self,
        cell: &Cell,
        looked: &Looked,
        corners: Option<&Corners>,
        bolts: &[Found],
        wanted: Wanted,
    ) -> f64 {
        let mut scratch = std::mem::take(&mut self.scratch);
        let fs = if looked.whole.motion.mode == Mode::Falling {
            self.balanced(cell, looked, corners, bolts, wanted, &mut scratch)
        } else {
            scratch.called.clear();
            let wet = self.pieces.wet.is_some();
            let called = |row: usize| match wet {
                true => looked.stability.called(&self.rows[row].direction),
                false => self.rows[row].called,
            };
            scratch.called.extend(
                bolts
                    .iter()
                    .map(|b| (called(b.row), b.kn))
                    .filter(|(effect, kn)| effect.against_kn > 0.0 && *kn > 0.0),
            );
            looked.stability.fs_called(&scratch.called)
        };
        self.scratch = scratch;
        if looked.whole.motion.mode == Mode::Falling {
            return fs;
        }
        // While no joint opens, what hanging gives along the movement all bolts give with friction besides.
        if fs >= wanted.enough || !looked.stability.opened_by(&self.scratch.called) {
            return fs;
        }
        let Scratch { pulls, rotation, .. } = &mut self.scratch;
        let give = bolts.iter().filter(|b| b.kn > 0.0).map(|b| (self.rows[b.row].direction, b.kn));
        fs.max(looked.stability.fs_hanging(give, pulls, rotation))
    }

    /// The bolts that were found last: those that are sure, and those that may be.
    pub fn take_found(&mut self) -> (Vec<Found>, Vec<Found>) {
        (std::mem::take(&mut self.scratch.sure), std::mem::take(&mut self.scratch.maybe))
    }

    pub fn give_back_found(&mut self, sure: Vec<Found>, maybe: Vec<Found>) {
        (self.scratch.sure, self.scratch.maybe) = (sure, maybe);
    }

    pub fn found_sure(&self) -> &[Found] {
        &self.scratch.sure
    }

    pub fn take_scratch(&mut self) -> Scratch {
        std::mem::take(&mut self.scratch)
    }

    pub fn give_back_scratch(&mut self, scratch: Scratch) {
        self.scratch = scratch;
    }

    /// What joints alone give every piece of a cell at least; `None` where it has no piece to look at.
    pub fn bare_of(&self, cell: &Cell) -> Option<f64> {
        if self.pieces.wet.is_some() && !cell.is_piece() {
            return self.wet_bare(cell);
        }
        let stability = self.looked_at(cell)?.stability;
        Some(stability.fs_bare() * self.wet_share(stability.motion.mode))
    }

    /// The corners of a cell across the drive; `None` where one of them is no piece.
    fn corners(&self, cell: &Cell, looked: &Looked) -> Option<Corners> {
        let chain = self.pieces.positions.frontier.chain();
        let mut corners = self.places(cell, &looked.outer, &looked.inner?)?;
        corners.times = corners.feet.map(|foot| self.alike.times(chain.volume_m3(&foot), looked.hung_kn));
        if corners.is_cut {
            for k in 0..corners.count {
                let foot = chain.footprint_at(&chain.apex_of(corners.places[k]))?;
                corners.place_times[k] = self.alike.times(chain.volume_m3(&foot), looked.hung_kn);
            }
        } else {
            corners.place_times[..4].copy_from_slice(&corners.times);
        }
        Some(corners)
    }

    /// The same without the forces there.
    pub fn places(&self, cell: &Cell, outer: &Footprint, inner: &Footprint) -> Option<Corners> {
        let frontier = self.pieces.positions.frontier;
        let chain = frontier.chain();
        let [low, high] = self.lines(cell);
        let lines = [[low[0], high[1]], low, high, [high[0], low[1]]];
        let feet = [
            *outer,
            chain.footprint(cell.starts_m.0, cell.ends_m.0),
            chain.footprint(cell.starts_m.1, cell.ends_m.1),
            *inner,
        ];
        let centre = chain.apex_of([0.5 * (low[0] + high[0]), 0.5 * (low[1] + high[1])]);
        let centre = chain.footprint_at(&centre)?;
        let mut corners = Corners {
            feet,
            times: [0.0; 4],
            centre,
            places: [[0.0; 2]; MOST_PLACES],
            place_times: [0.0; MOST_PLACES],
            count: 4,
            is_cut: false,
        };
        corners.places[..4].copy_from_slice(&lines);
        if !frontier.is_uncapped() {
            let half = [0.5 * (high[0] - low[0]), 0.5 * (high[1] - low[1])];
            let cuts = frontier.cuts(&corners.feet, &corners.centre, half);
            if !cuts.is_empty() {
                // Round the box in order.
                let mut round = vec![lines[0], lines[1], lines[3], lines[2]];
                for (constant, slopes) in cuts {
                    let over = |p: &[f64; 2]| constant + slopes[0] * p[0] + slopes[1] * p[1];
                    round = cut_off(&round, over);
                }
                if round.len() <= MOST_PLACES {
                    corners.count = round.len();
                    corners.is_cut = true;
                    corners.places[..round.len()].copy_from_slice(&round);
                }
            }
        }
        Some(corners)
    }

    /// Cohesion of a cell's pieces at each of its places, kN, on the planes that touch the areas of the joint
    /// faces in the middle: areas are convex, so no piece has less than the mixture of these.
    fn touching_kn(&self, corners: &Corners) -> [f64; MOST_PLACES] {
        let positions = &self.pieces.positions;
        let (chain, cone) = (positions.frontier.chain(), positions.cone);
        let mut held_kn = [0.0; MOST_PLACES];
        let centre = chain.lines_at(corners.centre.along_m[0], corners.centre.along_m[2]);
        for (position, &kpa) in self.alike.cohesion_kpa.iter().enumerate() {
            if kpa == 0.0 {
                continue;
            }
            let least_m2 = chain.joint_area_m2(cone, &corners.feet[3], position);
            let slopes = chain.joint_area_slopes(cone, &corners.centre, position);
            let middle_m2 = chain.joint_area_m2(cone, &corners.centre, position);
            let touching = |at: &[f64; 2]| {
                slopes.map_or(f64::NEG_INFINITY, |slopes| {
                    middle_m2 + slopes[0] * (at[0] - centre[0]) + slopes[1] * (at[1] - centre[1])
                })
            };
            let places = &corners.places[..corners.count];
            let flat = places.iter().all(|at| touching(at) < least_m2) || slopes.is_none();
            for (kn, at) in held_kn.iter_mut().zip(places) {
                *kn += kpa * if flat { least_m2 } else { touching(at) };
            }
        }
        held_kn
    }

    /// The factor that friction, this cohesion and what bolts add give every sliding piece of a cell at
    /// least, all at each of its places.
    ///
    /// Seen from the place of the apex and the chainage, volumes and joint faces are convex (the distance
    /// from the apex to the opening is) and what a bolt takes is bounded by what is concave. A piece is a
    /// mixture of the cell's places: it weighs at most the mixture of their weights, and what holds it is
    /// at least the mixture of what holds them. A ratio of mixtures is at least the least ratio. Where a bay
    /// of screen covers all of them, the better of the two holds a piece, and so at least any share of one
    /// with the rest of the other does.
    fn mixed(
        &self,
        corners: &Corners,
        looked: &Looked,
        held_kn: &[f64; MOST_PLACES],
        added_kn: &[f64; MOST_PLACES],
    ) -> f64 {
        let alike = &self.alike;
        let ratio = |held: f64, times: f64| held / (alike.base.motion.driving_kn * times);
        let held = |place: usize| held_kn[place] + added_kn[place];
        let places = 0..corners.count;
        let friction = alike.base.fs_bare_no_cohesion();
        let least_of = |share: f64| {
            let at = |p: usize| {
                let screen = looked.bay_kn / (alike.force_kn * corners.place_times[p]);
                share * screen + (1.0 - share) * (friction + ratio(held(p), corners.place_times[p]))
            };
            places.clone().map(at).fold(f64::INFINITY, f64::min)
        };
        let shares = if looked.bay_kn > 0.0 { &SCREEN_SHARES[..] } else { &SCREEN_SHARES[..1] };
        let mixed = shares.iter().map(|&share| least_of(share)).fold(0.0, f64::max);
        let mut least = 0.0f64;
        if let Some(cap_m3) = self.pieces.positions.frontier.volume_cap_m3() {
            let held = places.clone().map(held).fold(f64::INFINITY, f64::min);
            least = least.max(ratio(held, alike.times(cap_m3, looked.hung_kn)));
        }
        mixed.max(friction + least)
    }

    /// The factor that joints and bolts give every sliding piece of a cell at least, with every joint in
    /// contact; infinite where the cell has no piece to look at.
    ///
    /// Where a group's rings stand makes no difference to another's, so the least over the chainages is
    /// found for each group by itself: between two chainages at which a bolt comes to be sure or ceases to
    /// be, the same ones are.
    fn sliding(&mut self, cell: &Cell, looked: &Looked, corners: Option<&Corners>, bare: f64) -> f64 {
        let Some(corners) = corners else { return 0.0 };
        let alone = self.pieces.coverings.is_empty();
        let held_kn = self.touching_kn(corners);
        let mut added_kn = [0.0; MOST_PLACES];
        let mut single_kn = [f64::INFINITY; MOST_PLACES];
        let mut opened_kn = [0.0; 3];
        let mut always = false;
        for group in 0..cell.shifts_m.len() {
            let added = self.added(cell, corners, group, &|_, row| (row.gain, row.effect.normal_kn));
            always |= !added.none_sure;
            for place in 0..corners.count {
                if !added.none_sure {
                    added_kn[place] += added.sure[place];
                }
                let single = added.sure[place].min(added.single[place]);
                single_kn[place] = single_kn[place].min(single);
            }
            for (sum, kn) in opened_kn.iter_mut().zip(added.opened_kn) {
                *sum += kn;
            }
        }
        let motion = &self.alike.base.motion;
        // The lightest piece is the one whose joints are unloaded first.
        let chain = self.pieces.positions.frontier.chain();
        let lightest = self.alike.times(chain.volume_m3(&corners.feet[3]), 0.0);
        // Bolts that could open a joint of some piece all pull less by the share that keeps every one closed.
        let share = |i: usize| motion.normal_kn[i] * lightest / opened_kn[i];
        let opened = (0..3).filter(|&i| motion.normal_kn[i] > 0.0 && opened_kn[i] > 0.0);
        let pulled = opened.map(share).fold(1.0, f64::min);
        if pulled < 1.0 {
            self.opens = true;
            for kn in added_kn.iter_mut().chain(&mut single_kn).filter(|kn| kn.is_finite()) {
                *kn *= pulled;
            }
        }
        if always || !alone {
            return self.mixed(corners, looked, &held_kn, &added_kn).max(bare);
        }
        // Each piece that is looked at has at least one bolt, or stands by its joints.
        let mut least = f64::INFINITY;
        if single_kn[..corners.count].iter().all(|kn| kn.is_finite()) {
            least = self.mixed(corners, looked, &held_kn, &single_kn).max(bare);
        }
        if self.most_bare(looked) >= self.pieces.asked_fs {
            least = least.min(bare.max(self.pieces.asked_fs));
        }
        least
    }

    /// What the bolts of a group add to every piece of a cell at least; `works` says what a kN of a row's adds, and
    /// presses onto the joints.
    pub fn added(
        &mut self,
        cell: &Cell,
        corners: &Corners,
        group: usize,
        works: &impl Fn(usize, &RowAt) -> (f64, [f64; 3]),
    ) -> Added {
        let [low, high] = self.lines(cell);
        let planes = self.planes.range(low, high);
        let inward = &self.pieces.positions.cone.inward;
        let shift_m = cell.shifts_m[group];
        let Scratch { stretches, events, .. } = &mut self.scratch;
        stretches.clear();
        events.clear();
        events.extend([shift_m.0, shift_m.1]);
        for (index, row) in self.rows.iter().enumerate().filter(|(_, row)| row.group == group) {
            let (some, all) = row.across(cell);
            if !some {
                continue;
            }
            row.stretches(inward, &planes, shift_m, |ring_m, some_m, all_m| {
                let all_m = if all { all_m } else { (f64::INFINITY, f64::NEG_INFINITY) };
                stretches.push(Stretch { row: index, ring_m, some_m, all_m });
                let ends = [some_m.0, some_m.1, all_m.0, all_m.1];
                events.extend(ends.iter().filter(|&&m| m > shift_m.0 && m < shift_m.1));
            });
        }
        events.sort_unstable_by(f64::total_cmp);
        let mut added = Added {
            sure: [f64::INFINITY; MOST_PLACES],
            single: [f64::INFINITY; MOST_PLACES],
            none_sure: false,
            opened_kn: [0.0; 3],
        };
        let mut values = [[0.0; 2]; MOST_PLACES];
        let places = &corners.places[..corners.count];
        let whole = [(shift_m.0, shift_m.1)];
        let between = events.windows(2).map(|w| (w[0], w[1])).filter(|(a, b)| b > a);
        let still = if shift_m.1 > shift_m.0 { &[][..] } else { &whole[..] };
        for part in between.chain(still.iter().copied()) {
            let middle = 0.5 * (part.0 + part.1);
            let within = |s: (f64, f64)| s.0 <= middle && middle <= s.1;
            let mut sum = [[0.0; 2]; MOST_PLACES];
            let mut opened = [0.0; 3];
            let mut any_sure = false;
            for stretch in stretches.iter() {
                let sure = within(stretch.all_m);
                if !sure && !within(stretch.some_m) {
                    continue;
                }
                let row = &self.rows[stretch.row];
                let (gain, normal_kn) = works(stretch.row, row);
                any_sure |= sure;
                let kn = row.least_kn(inward, &planes, stretch.ring_m, part);
                let known = gain > 0.0
                    && row.concave_kn((inward, &self.planes), stretch.ring_m, part, places, kn, &mut values);
                if !known {
                    values = [[kn; 2]; MOST_PLACES];
                }
                let mut most = 0.0f64;
                for (place, kn) in values[..places.len()].iter().enumerate() {
                    let at = kn.map(|kn| kn * gain);
                    most = most.max(kn[0]).max(kn[1]);
                    if sure {
                        sum[place][0] += at[0];
                        sum[place][1] += at[1];
                    } else {
                        added.single[place] = added.single[place].min(at[0]).min(at[1]);
                    }
                }
                for (opened, normal) in opened.iter_mut().zip(normal_kn) {
                    *opened += (-normal).max(0.0) * most;
                }
            }
            added.none_sure |= !any_sure;
            for (most, opened) in added.opened_kn.iter_mut().zip(opened) {
                *most = most.max(opened);
            }
            if any_sure {
                for (least, at) in added.sure.iter_mut().zip(&sum[..places.len()]) {
                    *least = least.min(at[0]).min(at[1]);
                }
            }
        }
        added
    }
}

/// The part of a polygon where `over` is not above 0.
fn cut_off(round: &[[f64; 2]], over: impl Fn(&[f64; 2]) -> f64) -> Vec<[f64; 2]> {
    let mut left = Vec::with_capacity(round.len() + 1);
    for (k, from) in round.iter().enumerate() {
        let to = &round[(k + 1) % round.len()];
        let (a, b) = (over(from), over(to));
        if a <= 0.0 {
            left.push(*from);
        }
        if (a < 0.0 && b > 0.0) || (a > 0.0 && b < 0.0) {
            let share = a / (a - b);
            left.push([from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share]);
        }
    }
    left
}
