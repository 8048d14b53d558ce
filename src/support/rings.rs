//! Rows of bonded bolts without end, laid out once: the least along the drive of one wedge after the other, for
//! studies that ask it of very many.

mod at_once;
mod walk;

use std::ops::Range;

use pulp::Arch;

use self::at_once::AtOnce;
use self::walk::{Bend, Round};
use super::{Anchorage, Bolt, Layout, Pattern, PhaseGroup};
use crate::opening::Vec2;
use crate::orientation::Vec3;
use crate::stability::Stability;
use crate::wedge::{AXIS_TOLERANCE, ON_FACE_M};

/// A wedge as rows of bolts see it.
#[derive(Debug, Clone, Copy)]
pub struct FacedWedge<'a> {
    /// Unit normals of its joints, into it, local (u, s, v).
    pub inward: &'a [Vec3; 3],
    /// Its apex in the section, metres.
    pub apex: Vec2,
    /// Where its face begins: metres along the section's perimeter from vertex 0, less than once round.
    pub from_m: f64,
    /// Length of its face along the perimeter, metres.
    pub length_m: f64,
}

/// Patterns that slide along the drive, their collars as drawn, row by row.
#[derive(Debug, Clone)]
pub struct Rings {
    perimeter_m: f64,
    /// Bolts, by their place in the case's list, and their lengths in the hole, metres.
    kinds: Vec<(usize, f64)>,
    rows: Vec<LaidRow>,
    /// Rows that slide together, and after how many metres they come again.
    groups: Vec<(Range<usize>, f64)>,
    /// The vectors that the processor has.
    arch: Arch,
}

/// A row whose rings come once in each period of its group.
#[derive(Debug, Clone, Copy)]
struct LaidRow {
    along_m: f64,
    point: Vec2,
    direction: Vec3,
    /// Which of [`Rings::kinds`] its bolts are.
    kind: usize,
    ring_m: f64,
}

/// Working memory.
#[derive(Debug, Default)]
pub struct RingScratch {
    /// Of each kind of bolt.
    bounds: Vec<Bounds>,
    lines: Vec<Line>,
    /// Lines of each group.
    groups: Vec<Range<usize>>,
    bends: Vec<Bend>,
    order: Vec<u64>,
    at_once: AtOnce,
}

/// What a bolt gives where a joint crosses it so far from its collar.
#[derive(Debug, Clone, Copy)]
struct Bounds {
    steel_kn: f64,
    plate_kn: f64,
    bond_kn_per_m: f64,
    length_m: f64,
    /// How far a joint is from the collar where another bound takes over: steel from the head, the toe from
    /// steel, nothing from the toe. Where steel never gives, the first two are one.
    over_m: [f64; 3],
}

impl Bounds {
    /// `None` for a bolt that is not bonded all along.
    fn of(bolt: &Bolt, length_m: f64) -> Option<Self> {
        let Anchorage::Bonded { bond_kn_per_m } = bolt.anchorage else { return None };
        if bond_kn_per_m.is_nan() || bond_kn_per_m <= 0.0 {
            return None;
        }
        let (steel_kn, plate_kn) = (bolt.steel_kn, bolt.plate_kn);
        let (head_m, toe_m) = ((steel_kn - plate_kn) / bond_kn_per_m, length_m - steel_kn / bond_kn_per_m);
        let between_m =
            if head_m < toe_m { [head_m, toe_m] } else { [0.5 * (length_m - plate_kn / bond_kn_per_m); 2] };
        let over_m = [between_m[0], between_m[1], length_m];
        Some(Self { steel_kn, plate_kn, bond_kn_per_m, length_m, over_m })
    }

    /// As [`Bolt::capacity`] has it, kN.
    fn given_kn(&self, head_m: f64) -> f64 {
        let toe_kn = self.bond_kn_per_m * (self.length_m - head_m).max(0.0);
        let head_kn = self.plate_kn + self.bond_kn_per_m * head_m.max(0.0);
        self.steel_kn.min(toe_kn).min(head_kn)
    }

    /// Which bound gives: 0 the head, 1 steel, 2 the toe, 3 none.
    fn part(&self, head_m: f64) -> usize {
        self.over_m.iter().map(|&m| usize::from(head_m >= m)).sum()
    }
}

/// How what a bolt gives goes with the distance of the joint, by the bound that gives, in bonds.
const RATES: [f64; 4] = [1.0, 0.0, -1.0, 0.0];

/// A row against a wedge. A collar x metres along the drive from the apex is inside the face for `low_m` ≤ x ≤
/// `high_m`, and meets plane i after `reach_m[i]` + `drift[i]`·x metres.
#[derive(Debug, Clone, Copy)]
struct Line {
    low_m: f64,
    high_m: f64,
    reach_m: [f64; 3],
    drift: [f64; 3],
    ring_m: f64,
    /// What one kN of its bolts adds to the resistance, kN, then what it presses on each joint, kN, then what it
    /// resists by itself, kN.
    adds: [f64; 5],
    /// Which bounds its bolts have.
    bounds: usize,
}

/// The places in [`Line::adds`] of what is added to the resistance while joints stay in contact, of what is pressed on
/// the first joint, and of what resists the movement by itself.
const GAIN: usize = 0;
const ON_JOINT: usize = 1;
const AGAINST: usize = 4;

/// A joint that keeps this share of its compression wherever the bolts stand is never opened, one that somewhere is
/// pulled by as much is: rounding is far below.
const CLOSED_SHARE: f64 = 1e-9;

/// One end of an interval between bends: the middle of it, and the end itself.
#[derive(Debug, Clone, Copy)]
struct End {
    middle_m: f64,
    at_m: f64,
}

impl Rings {
    /// The rows of these patterns on a section with this perimeter; `None` where some is not bonded all along, may
    /// stand off its place, or ends, or where structures may say where wedges stand.
    #[must_use]
    pub fn of(
        patterns: &[Pattern],
        layouts: &[Layout],
        bolts: &[Bolt],
        groups: &[PhaseGroup],
        perimeter_m: f64,
    ) -> Option<Self> {
        let (mut kinds, mut rows) = (Vec::new(), Vec::new());
        let mut together = Vec::new();
        for group in groups {
            if group.located.is_some() {
                return None;
            }
            let first = rows.len();
            for &at in &group.patterns {
                let (pattern, layout) = (&patterns[at], &layouts[at]);
                let length_in_hole_m = pattern.length_in_hole_m();
                let bonded = Bounds::of(&bolts[pattern.bolt], length_in_hole_m).is_some();
                if !bonded || layout.tolerance_m != 0.0 || layout.rings.is_some() {
                    return None;
                }
                let kind = kinds.len();
                kinds.push((pattern.bolt, length_in_hole_m));
                #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a count
                let copies = (group.period_m / layout.period_m).round().max(1.0) as u32;
                for row in &layout.rows {
                    let ring_m =
                        pattern.offset_m.unwrap_or(0.0) + f64::from(row.first_ring) * pattern.ring_spacing_m;
                    rows.extend((0..copies).map(|copy| LaidRow {
                        along_m: row.collar.along_m,
                        point: row.collar.point,
                        direction: row.collar.direction,
                        kind,
                        ring_m: ring_m + f64::from(copy) * layout.period_m,
                    }));
                }
            }
            together.push((first..rows.len(), group.period_m));
        }
        Some(Self { perimeter_m, kinds, rows, groups: together, arch: Arch::new() })
    }

    /// The least factor of safety over all places along the drive of this wedge, forces alone: that of
    /// [`super::place`] where one wedge alone is admissible. `None` where a joint holds the drive's axis, where bolts
    /// of several groups may open one, or where nobody can tell whether they do: that takes the way of the placement
    /// search.
    ///
    /// What a bonded bolt gives is straight but for where it enters or leaves the wedge's face, another joint is the
    /// first that it crosses, or head, steel and toe take over from each other. So the sum of a group is straight
    /// between such bends, and one walk over all of them finds the interval at whose end it is least. What it is
    /// there is then added up bolt by bolt.
    #[must_use]
    pub fn least_fs(
        &self,
        wedge: &FacedWedge<'_>,
        bolts: &[Bolt],
        stability: &Stability,
        room: &mut RingScratch,
    ) -> Option<f64> {
        let RingScratch { bounds, lines, groups, bends, order, at_once } = room;
        let mut seen = Seen::of(wedge, stability)?;
        bounds.clear();
        for (bolt, length_m) in &self.kinds {
            bounds.push(Bounds::of(&bolts[*bolt], *length_m)?);
        }
        lines.clear();
        groups.clear();
        for (rows, period_m) in &self.groups {
            let first = lines.len();
            for row in &self.rows[rows.clone()] {
                if seen.covers(row.along_m, self.perimeter_m) {
                    lines.extend(seen.line(row, bounds[row.kind].steel_kn, *period_m));
                }
            }
            groups.push(first..lines.len());
        }
        // Were all bolts at their strongest at once.
        let may_open: [bool; 3] = std::array::from_fn(|joint| seen.may_open(joint));
        let mut gained_kn = 0.0;
        let mut pressed_kn = [0.0; 3];
        for (range, (_, period_m)) in groups.iter().zip(&self.groups).filter(|(range, _)| !range.is_empty()) {
            let lines = &lines[range.clone()];
            let least = at_once.least(lines, bounds, *period_m, self.arch);
            if let Some((_, kn)) = least
                && may_open == [false; 3]
            {
                gained_kn += kn;
                continue;
            }
            let round = Round::of((lines, bounds), *period_m, (bends, order))?;
            gained_kn += match least {
                Some((_, kn)) => kn,
                None => round.sum_kn(GAIN, &round.least(GAIN)?),
            };
            for joint in (0..3).filter(|&joint| may_open[joint]) {
                pressed_kn[joint] += round.sum_kn(ON_JOINT + joint, &round.least(ON_JOINT + joint)?);
            }
        }
        // And then by how it is along the drive.
        let mut opens = false;
        for joint in (0..3).filter(|&joint| may_open[joint]) {
            let left_share = 1.0 + pressed_kn[joint] / seen.normal_kn[joint];
            if left_share.abs() < CLOSED_SHARE {
                return None;
            }
            opens |= left_share < 0.0;
        }
        if !opens {
            return Some(stability.fs_gaining(gained_kn));
        }
        let [(_, period_m)] = self.groups[..] else { return None };
        Round { lines, bounds, bends, order, period_m }.least_fs_opening(stability)
    }
}

/// A wedge, with what one kN along a unit vector does for it, and what bolts may take from its joints.
struct Seen<'a> {
    wedge: &'a FacedWedge<'a>,
    /// −1 over the part of each normal along the drive.
    over_axial: [f64; 3],
    against: Vec3,
    normal: [Vec3; 3],
    gain: Vec3,
    normal_kn: [f64; 3],
    pulled_kn: [f64; 3],
}

impl<'a> Seen<'a> {
    fn of(wedge: &'a FacedWedge<'a>, stability: &Stability) -> Option<Self> {
        let axial = [wedge.inward[0].y, wedge.inward[1].y, wedge.inward[2].y];
        if axial.iter().any(|y| y.abs() <= AXIS_TOLERANCE) {
            return None;
        }
        let (against, normal, gain) = stability.calls();
        Some(Self {
            wedge,
            over_axial: [-1.0 / axial[0], -1.0 / axial[1], -1.0 / axial[2]],
            against,
            normal,
            gain,
            normal_kn: stability.motion.normal_kn,
            pulled_kn: [0.0; 3],
        })
    }

    /// Whether the wedge's face covers a place of the perimeter.
    fn covers(&self, along_m: f64, perimeter_m: f64) -> bool {
        let mut along_m = along_m - self.wedge.from_m;
        if along_m < 0.0 {
            along_m += perimeter_m;
        }
        if along_m > perimeter_m - ON_FACE_M {
            along_m -= perimeter_m;
        }
        along_m >= -ON_FACE_M && along_m <= self.wedge.length_m + ON_FACE_M
    }

    /// Whether the bolts of the lines so far could pull a joint open that the wedge slides on.
    fn may_open(&self, joint: usize) -> bool {
        self.normal_kn[joint] > 0.0 && self.pulled_kn[joint] >= self.normal_kn[joint]
    }

    /// A row that does something for the wedge.
    fn line(&mut self, row: &LaidRow, steel_kn: f64, period_m: f64) -> Option<Line> {
        let d = &row.direction;
        let gain = d.dot(&self.gain);
        let against = d.dot(&self.against);
        if against <= 0.0 || gain <= 0.0 {
            return None;
        }
        let (u, v) = (row.point.x - self.wedge.apex.x, row.point.y - self.wedge.apex.y);
        let (mut low_m, mut high_m) = (f64::NEG_INFINITY, f64::INFINITY);
        let (mut reach_m, mut drift) = ([f64::INFINITY; 3], [0.0; 3]);
        for i in 0..3 {
            let m = &self.wedge.inward[i];
            let across = m.x * u + m.z * v;
            let edge_m = across * self.over_axial[i];
            if m.y > 0.0 {
                low_m = if edge_m > low_m { edge_m } else { low_m };
            } else {
                high_m = if edge_m < high_m { edge_m } else { high_m };
            }
            let into = m.dot(d);
            if into < 0.0 {
                let over = -1.0 / into;
                reach_m[i] = across * over;
                drift[i] = m.y * over;
            }
        }
        // Also where no plane bounds it on one side: then there is no end to it.
        if !(low_m < high_m && high_m - low_m < f64::INFINITY) {
            return None;
        }
        let mut adds = [gain, 0.0, 0.0, 0.0, against];
        #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)] // a drive is short
        let most = ((high_m - low_m) / period_m) as i64 as f64 + 1.0;
        for i in 0..3 {
            if self.normal_kn[i] > 0.0 {
                let pressed = d.dot(&self.normal[i]);
                adds[ON_JOINT + i] = pressed;
                self.pulled_kn[i] += (-pressed).max(0.0) * steel_kn * most;
            }
        }
        Some(Line { low_m, high_m, reach_m, drift, ring_m: row.ring_m, adds, bounds: row.kind })
    }
}

impl Line {
    fn head_m(&self, joint: usize, x: f64) -> f64 {
        self.reach_m[joint] + self.drift[joint] * x
    }

    /// The joint that a bolt crosses first at x: of equals the one that comes nearer further on.
    fn first_joint(&self, x: f64) -> usize {
        let heads_m = [self.head_m(0, x), self.head_m(1, x), self.head_m(2, x)];
        let mut first = 0;
        for i in 1..3 {
            if heads_m[i] < heads_m[first]
                || heads_m[i] == heads_m[first] && self.drift[i] < self.drift[first]
            {
                first = i;
            }
        }
        first
    }

    /// The joint that a bolt crosses first after this one as its collar goes on, and from where on: one whose reach
    /// grows less. Where three meet it is the one that grows least. Beyond the high end where there is none.
    fn next_joint(&self, joint: usize, from_m: f64) -> (usize, f64) {
        let mut next = (joint, f64::INFINITY);
        for other in 0..3 {
            let apart = self.drift[joint] - self.drift[other];
            if apart <= 0.0 || self.reach_m[other] == f64::INFINITY {
                continue;
            }
            // Rounding may put it before where this one begins.
            let x = ((self.reach_m[other] - self.reach_m[joint]) / apart).max(from_m);
            if x < next.1 || x == next.1 && self.drift[other] < self.drift[next.0] {
                next = (other, x);
            }
        }
        next
    }

    /// Calls `bend(x, jump, slope)` for every place of the collar at which what the bolt gives changes as x falls, by
    /// how much it jumps there, kN, and its slope, kN/m.
    #[inline]
    fn each_bend(&self, bounds: &Bounds, mut bend: impl FnMut(f64, f64, f64)) {
        let over_m = &bounds.over_m;
        let most = bounds.bond_kn_per_m;
        let mut joint = self.first_joint(self.low_m);
        let mut next = self.next_joint(joint, self.low_m);
        let head_m = self.head_m(joint, self.low_m);
        let mut part = bounds.part(head_m);
        let mut x = self.low_m;
        let mut slope = RATES[part] * most * self.drift[joint];
        bend(x, -bounds.given_kn(head_m), slope);
        loop {
            let drift = self.drift[joint];
            // Where another bound takes over.
            let (over, at) = if drift > 0.0 && part < 3 {
                (part + 1, over_m[part])
            } else if drift < 0.0 && part > 0 {
                (part - 1, over_m[part - 1])
            } else {
                (part, f64::INFINITY)
            };
            let over_x =
                if over == part { f64::INFINITY } else { ((at - self.reach_m[joint]) / drift).max(x) };
            if over_x.min(next.1) >= self.high_m {
                break;
            }
            if over_x < next.1 {
                (x, part) = (over_x, over);
            } else {
                (joint, x) = next;
                next = self.next_joint(joint, x);
            }
            let above = RATES[part] * most * self.drift[joint];
            if above != slope {
                bend(x, 0.0, above - slope);
                slope = above;
            }
        }
        bend(self.high_m, bounds.given_kn(self.head_m(joint, self.high_m)), -slope);
    }

    /// What the row's bolts give at the end of an interval, kN, as a limit from within it. Inside the face what a
    /// bolt gives is steady; so it is enough that those count which are inside within the interval.
    fn given_kn(&self, bounds: &Bounds, end: &End, period_m: f64) -> f64 {
        let ring_m = self.ring_m - end.middle_m;
        let first = (self.low_m - ON_FACE_M - ring_m) / period_m;
        // Not `ceil`, which is a call where the processor's oldest instructions have to do.
        #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)] // a drive is short
        let whole = first as i64 as f64;
        let mut k = if whole < first { whole + 1.0 } else { whole };
        let mut sum_kn = 0.0;
        loop {
            let x = ring_m + k * period_m;
            if x > self.high_m + ON_FACE_M {
                break;
            }
            let there = x - (end.at_m - end.middle_m);
            let head_m = self.head_m(0, there).min(self.head_m(1, there)).min(self.head_m(2, there));
            sum_kn += bounds.given_kn(head_m);
            k += 1.0;
        }
        sum_kn
    }
}

/// A chainage counted round one period; what a remainder gives but for rounding, in a fraction of its time.
fn within_period(at_m: f64, period_m: f64, over_period: f64) -> f64 {
    // Not `floor`, which is a call where the processor's oldest instructions have to do.
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)] // a drive is short
    let turns = (at_m * over_period) as i64 as f64;
    let left_m = at_m - period_m * turns;
    let left_m = if left_m < 0.0 { left_m + period_m } else { left_m };
    // Rounding may end at either end of the period.
    if (0.0..period_m).contains(&left_m) { left_m } else { 0.0 }
}
