//! Draws by their number: each is the same whatever was drawn before, on whatever thread.

use nalgebra::Unit;
use pulp::{Arch, NullaryFnOnce};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use statrs::distribution::{ContinuousCDF, Normal};

use crate::case::{Case, OrientationScatter, Quantity, Resampled, Scatter, SizeLimits};
use crate::numeric::{ln_1p, sin_cos_turn};
use crate::opening::DriveFrame;
use crate::orientation::{Plane, Vec3};
use crate::support::Anchorage;

/// Draws that are spread over the laws together by Latin hypercube sampling, and looked at as one lot.
pub const LOT: u64 = 1000;

/// Streams of the generator from here on are those of the lots' orders; from the next on, of bolts without
/// effect. Draws themselves have the streams below: their numbers.
const ORDERS: u64 = 1 << 62;
const BOLTS: u64 = 1 << 63;

/// How draws are spread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spread {
    /// Each by itself.
    Plain,
    /// Latin hypercube (McKay, Beckman & Conover 1979, *Technometrics* 21, 239-245) in lots of [`LOT`]: in
    /// each lot every input has one draw in each thousandth of its law.
    LatinHypercube,
}

/// What is drawn of a case.
#[derive(Debug, Clone)]
pub(super) struct Drawing<'a> {
    scatter: &'a Scatter,
    /// The generator before any number was taken of it: sown once, every draw is a stream of it.
    sown: ChaCha8Rng,
    spread: Spread,
    up: Vec3,
    joints: Vec<DrawnJoint<'a>>,
    /// Where the case caps sizes: planes are taken as dip and dip direction have them, as a check of the draw's own
    /// case does. A search under caps ends within 0.1 % of the largest volume, at a place that hangs on the last
    /// bits of the planes; so both find the same wedge. Where nothing is capped there is no such search.
    exact: Option<DriveFrame>,
    /// By input: the input that it follows, with the correlation.
    follows: Vec<Option<(usize, f64)>>,
}

/// A joint whose orientation may be drawn.
#[derive(Debug, Clone)]
struct DrawnJoint<'a> {
    plane: Plane,
    upward: Vec3,
    /// Which way its normal goes as it gets steeper, and as its dip direction turns clockwise.
    steeper: Vec3,
    turned: Vec3,
    law: PoleLaw<'a>,
}

/// How a pole is drawn.
#[derive(Debug, Clone)]
enum PoleLaw<'a> {
    Fixed,
    /// By Fisher's law.
    Fisher {
        k: f64,
        /// e^(−2K) − 1.
        whole: f64,
    },
    /// One of these readings: upward normal, and how many degrees steeper and further clockwise its pole is than
    /// the mean's.
    Readings(&'a Resampled, Vec<(Vec3, [f64; 2])>),
}

impl PoleLaw<'_> {
    /// Uniform numbers that a draw takes.
    fn shares(&self) -> usize {
        match self {
            Self::Fixed => 0,
            Self::Fisher { .. } => 2,
            Self::Readings(..) => 1,
        }
    }

    fn scatters(&self) -> bool {
        self.shares() > 0
    }
}

/// One draw.
#[derive(Debug, Clone, Default)]
pub(super) struct Drawn {
    /// Upward unit normals of the joints, local (u, s, v).
    pub upward: Vec<Vec3>,
    /// Their planes, where the normals are those of dip and dip direction; else empty.
    planes: Vec<Plane>,
    /// What was drawn, in the order of [`Drawing::names`]; without how far poles went where nobody asked.
    pub values: Vec<f64>,
}

/// Draws that are made at a time where many are asked for.
const BATCH: usize = 64;

/// Room to draw in, with draws that were made ahead.
#[derive(Debug, Default)]
pub(super) struct Room {
    /// One past the last draw that will be asked for, where more than one at a time will be.
    pub until: u64,
    lot: Option<u64>,
    /// By input and place in the lot, the thousandth.
    orders: Vec<Vec<u16>>,
    shares: Vec<f64>,
    /// Number of the first draw that was made ahead, and how many were.
    first: u64,
    made: usize,
    /// By number that is drawn: first its shares, in the end of poles how far they went, of inputs what they are.
    columns: Vec<[f64; BATCH]>,
    /// By joint.
    poles: Vec<Poles>,
}

/// Poles that were drawn by Fisher's law.
#[derive(Debug, Clone)]
struct Poles {
    /// Upward unit normals, local.
    upward: [[f64; BATCH]; 3],
    /// 1 − cos and sine of the angle off the mean, sine and cosine of the way.
    off: [[f64; BATCH]; 2],
    way: [[f64; BATCH]; 2],
}

/// Poles to be drawn of two shares each: a type of its own, as a closure would not be compiled for the processor's
/// own vectors.
struct Pole<'w> {
    joint: &'w DrawnJoint<'w>,
    up: &'w Vec3,
    fisher: (f64, f64),
    off: &'w [f64; BATCH],
    turn: &'w [f64; BATCH],
    into: &'w mut Poles,
}

impl NullaryFnOnce for Pole<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let (mean, steeper, turned) = (&self.joint.upward, &self.joint.steeper, &self.joint.turned);
        let (k, whole) = self.fisher;
        for i in 0..BATCH {
            let (versine, sin) = fisher_off(k, whole, self.off[i]);
            let (sin_turn, cos_turn) = sin_cos_turn(self.turn[i]);
            let part = |axis: usize| {
                mean[axis] * (1.0 - versine) + (steeper[axis] * cos_turn + turned[axis] * sin_turn) * sin
            };
            let drawn = [part(0), part(1), part(2)];
            let rises = drawn[0] * self.up[0] + drawn[1] * self.up[1] + drawn[2] * self.up[2];
            let sense = if rises < 0.0 { -1.0 } else { 1.0 };
            for (axis, part) in drawn.into_iter().enumerate() {
                self.into.upward[axis][i] = part * sense;
            }
            self.into.off[0][i] = versine;
            self.into.off[1][i] = sin;
            self.into.way[0][i] = sin_turn;
            self.into.way[1][i] = cos_turn;
        }
    }
}

impl DrawnJoint<'_> {
    /// How many degrees steeper, and further clockwise, the pole of a plane is than the mean's.
    fn off_mean(&self, upward: &Vec3) -> [f64; 2] {
        let near = if upward.dot(&self.upward) < 0.0 { -upward } else { *upward };
        let (steeper, turned) = (near.dot(&self.steeper), near.dot(&self.turned));
        let sin = steeper.hypot(turned);
        if sin == 0.0 {
            return [0.0; 2];
        }
        let off_deg = sin.atan2(near.dot(&self.upward)).to_degrees();
        [off_deg * steeper / sin, off_deg * turned / sin]
    }
}

impl<'a> Drawing<'a> {
    pub fn new(case: &Case, scatter: &'a Scatter, frame: &DriveFrame, seed: u64, spread: Spread) -> Self {
        let joints = case.joints.iter().enumerate().map(|(at, joint)| {
            let normal = joint.plane.upward_normal();
            let (sin, cos) = joint.plane.dip_direction_deg.to_radians().sin_cos();
            let (sin_dip, cos_dip) = joint.plane.dip_deg.to_radians().sin_cos();
            let mut of = DrawnJoint {
                plane: joint.plane,
                upward: frame.to_local(&normal),
                steeper: frame.to_local(&Vec3::new(cos_dip * sin, cos_dip * cos, -sin_dip)),
                turned: frame.to_local(&Vec3::new(cos, -sin, 0.0)),
                law: PoleLaw::Fixed,
            };
            of.law = match scatter.orientation(case, at) {
                OrientationScatter::Fixed => PoleLaw::Fixed,
                OrientationScatter::Fisher(k) => PoleLaw::Fisher { k, whole: (-2.0 * k).exp_m1() },
                OrientationScatter::Resampled(readings) => {
                    let each = readings.planes().iter().map(|plane| {
                        let upward = frame.to_local(&plane.upward_normal());
                        (upward, of.off_mean(&upward))
                    });
                    PoleLaw::Readings(readings, each.collect())
                }
            };
            of
        });
        let inputs = &scatter.inputs;
        let at = |q: Quantity| inputs.iter().position(|input| input.quantity == q);
        let mut follows = vec![None; inputs.len()];
        for &(joint, rho) in &scatter.friction_cohesion {
            if let (Some(friction), Some(cohesion)) =
                (at(Quantity::Friction(joint)), at(Quantity::Cohesion(joint)))
            {
                follows[cohesion] = Some((friction, rho));
            }
        }
        let sown = ChaCha8Rng::seed_from_u64(seed);
        let capped =
            case.limits != SizeLimits::default() || case.joints.iter().any(|j| j.max_trace_m.is_some());
        Self {
            scatter,
            sown,
            spread,
            up: frame.to_local(&Vec3::z()),
            joints: joints.collect(),
            exact: capped.then_some(*frame),
            follows,
        }
    }

    /// What is drawn: of each set whose orientation scatters how much steeper and how far turned, degrees of
    /// its pole's way, then the numbers by their keys.
    pub fn names(&self, case: &Case) -> Vec<String> {
        let of_sets = case.joints.iter().zip(&self.joints).filter(|(_, drawn)| drawn.law.scatters());
        let of_sets = of_sets.flat_map(|(joint, _)| {
            [format!("{}.steeper_deg", joint.name), format!("{}.turned_deg", joint.name)]
        });
        of_sets.chain(self.scatter.inputs.iter().map(|input| input.key.clone())).collect()
    }

    /// Whether anything scatters.
    pub fn is_fixed(&self) -> bool {
        self.count() == 0
    }

    fn count(&self) -> usize {
        self.joints.iter().map(|j| j.law.shares()).sum::<usize>() + self.scatter.inputs.len()
    }

    fn stream(&self, stream: u64) -> ChaCha8Rng {
        let mut rng = self.sown.clone();
        rng.set_stream(stream);
        rng
    }

    /// Numbers of bolts without effect, for one draw.
    pub fn bolts(&self, index: u64) -> ChaCha8Rng {
        self.stream(BOLTS | index)
    }

    /// Uniform numbers above 0 and below 1, one for each number that is drawn.
    fn shares(&self, index: u64, room: &mut Room) {
        let mut rng = self.stream(index);
        room.shares.clear();
        room.shares.extend((0..self.count()).map(|_| uniform(&mut rng)));
        if self.spread == Spread::Plain {
            return;
        }
        let (lot, place) = (index / LOT, index % LOT);
        if room.lot != Some(lot) {
            room.lot = Some(lot);
            room.orders = self.orders(lot);
        }
        #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)] // below a thousand
        for (share, order) in room.shares.iter_mut().zip(&room.orders) {
            *share = (f64::from(order[place as usize]) + *share) / LOT as f64;
        }
    }

    /// For each number that is drawn an order of the thousandths of its law (Fisher & Yates 1938).
    fn orders(&self, lot: u64) -> Vec<Vec<u16>> {
        let mut rng = self.stream(ORDERS | lot);
        let shuffled = |_| {
            #[allow(clippy::cast_possible_truncation)] // a thousand
            let mut order: Vec<u16> = (0..LOT as u16).collect();
            for last in (1..order.len()).rev() {
                #[allow(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    clippy::cast_precision_loss
                )]
                // below a thousand
                let other = (uniform(&mut rng) * (last + 1) as f64) as usize;
                order.swap(last, other.min(last));
            }
            order
        };
        (0..self.count()).map(shuffled).collect()
    }

    /// Makes so many draws from this number on.
    fn make(&self, first: u64, count: usize, room: &mut Room) {
        (room.first, room.made) = (first, count);
        room.columns.resize(self.count(), [0.5; BATCH]);
        let none = || Poles { upward: [[0.0; BATCH]; 3], off: [[0.0; BATCH]; 2], way: [[0.0; BATCH]; 2] };
        room.poles.resize_with(self.joints.len(), none);
        for (i, index) in (first..).take(count).enumerate() {
            self.shares(index, room);
            for (column, share) in room.columns.iter_mut().zip(&room.shares) {
                column[i] = *share;
            }
        }
        let mut at = 0;
        let arch = Arch::new();
        for (joint, into) in self.joints.iter().zip(&mut room.poles) {
            if let (PoleLaw::Fisher { k, whole }, [off, turn, ..]) = (&joint.law, &room.columns[at..]) {
                arch.dispatch(Pole { joint, up: &self.up, fisher: (*k, *whole), off, turn, into });
            }
            at += joint.law.shares();
        }
        let columns = &mut room.columns[at..];
        for (own, follows) in self.follows.iter().enumerate() {
            let Some((first, rho)) = *follows else { continue };
            let normal = Normal::standard();
            let of_first = columns[first];
            for (share, a) in columns[own].iter_mut().zip(of_first).take(count) {
                let z = rho * normal.inverse_cdf(a) + (1.0 - rho * rho).sqrt() * normal.inverse_cdf(*share);
                *share = normal.cdf(z);
            }
        }
        for (input, column) in self.scatter.inputs.iter().zip(columns) {
            input.scattered.quantiles(&mut column[..count]);
        }
    }

    /// The draw of this number; `told` asks how far poles went off their means too.
    pub fn draw(&self, index: u64, told: bool, room: &mut Room, into: &mut Drawn) {
        let ahead = |room: &Room| index.checked_sub(room.first).map_or(usize::MAX, |i| i as usize);
        if ahead(room) >= room.made {
            #[allow(clippy::cast_possible_truncation)] // few
            let count = room.until.saturating_sub(index).clamp(1, BATCH as u64) as usize;
            self.make(index, count, room);
        }
        let i = ahead(room);
        into.upward.clear();
        into.planes.clear();
        into.values.clear();
        let mut at = 0;
        for (joint, poles) in self.joints.iter().zip(&room.poles) {
            match &joint.law {
                PoleLaw::Fixed => self.push(joint.upward, Some(joint.plane), into),
                PoleLaw::Fisher { .. } => {
                    let [x, y, z] = &poles.upward;
                    self.push(Vec3::new(x[i], y[i], z[i]), None, into);
                    if told {
                        let (versine, sin) = (poles.off[0][i], poles.off[1][i]);
                        let off_deg = sin.atan2(1.0 - versine).to_degrees();
                        into.values.extend([off_deg * poles.way[1][i], off_deg * poles.way[0][i]]);
                    }
                }
                PoleLaw::Readings(readings, each) => {
                    let reading = readings.at(room.columns[at][i]);
                    let (upward, off) = each[reading];
                    self.push(upward, Some(readings.planes()[reading]), into);
                    if told {
                        into.values.extend(off);
                    }
                }
            }
            at += joint.law.shares();
        }
        into.values.extend(room.columns[at..].iter().map(|column| column[i]));
    }

    /// Adds a normal, whose plane may be known.
    #[inline]
    fn push(&self, upward: Vec3, plane: Option<Plane>, into: &mut Drawn) {
        let Some(frame) = &self.exact else { return into.upward.push(upward) };
        let plane = plane.unwrap_or_else(|| Plane::from_normal(&frame.to_world(&upward)));
        into.planes.push(plane);
        into.upward.push(frame.to_local(&plane.upward_normal()));
    }

    /// Puts the numbers of a draw into a case, which has the same joints and bolts; orientations are left as
    /// they are.
    pub fn put_numbers(&self, drawn: &Drawn, case: &mut Case) {
        let first = drawn.values.len() - self.scatter.inputs.len();
        for (input, value) in self.scatter.inputs.iter().zip(&drawn.values[first..]) {
            put(case, input.quantity, value * input.factor);
        }
    }

    /// The case of a draw, orientations too.
    pub fn put(&self, drawn: &Drawn, frame: &DriveFrame, case: &mut Case) {
        self.put_numbers(drawn, case);
        let joints = case.joints.iter_mut().zip(&self.joints).zip(&drawn.upward).enumerate();
        for (at, ((joint, _), upward)) in joints.filter(|(_, ((_, of), _))| of.law.scatters()) {
            let plane = drawn.planes.get(at).copied();
            joint.plane =
                plane.unwrap_or_else(|| Plane::from_normal(&Unit::new_normalize(frame.to_world(upward))));
        }
    }
}

fn put(case: &mut Case, quantity: Quantity, value: f64) {
    match quantity {
        Quantity::UnitWeight => case.unit_weight_kn_m3 = value,
        Quantity::Friction(joint) => case.joints[joint].strength.friction_deg = value,
        Quantity::Cohesion(joint) => case.joints[joint].strength.cohesion_kpa = value,
        Quantity::MaxTrace(joint) => case.joints[joint].max_trace_m = Some(value),
        Quantity::Spacing(joint) => case.joints[joint].spacing_m = Some(value),
        Quantity::LimitTrace => case.limits.max_trace_m = Some(value),
        Quantity::LimitDepth => case.limits.max_depth_m = Some(value),
        Quantity::LimitLength => case.limits.max_length_m = Some(value),
        Quantity::LimitVolume => case.limits.max_volume_m3 = Some(value),
        Quantity::Steel(bolt) => case.bolts[bolt].steel_kn = value,
        Quantity::Plate(bolt) => case.bolts[bolt].plate_kn = value,
        Quantity::Bond(bolt) => match &mut case.bolts[bolt].anchorage {
            Anchorage::Bonded { bond_kn_per_m } | Anchorage::BondedAtToe { bond_kn_per_m, .. } => {
                *bond_kn_per_m = value;
            }
            Anchorage::PointAnchored { .. } => {}
        },
        Quantity::Anchor(bolt) => {
            if let Anchorage::PointAnchored { anchor_kn, .. } = &mut case.bolts[bolt].anchorage {
                *anchor_kn = value;
            }
        }
    }
}

/// 1 − cos and sine of the angle off the mean of a Fisher distribution (Fisher 1953) below which a share of it
/// lies: 1 − cos θ = −ln(1 − share·(1 − e^(−2K)))/K. `whole` is e^(−2K) − 1.
#[inline(always)]
fn fisher_off(k: f64, whole: f64, share: f64) -> (f64, f64) {
    let versine = -ln_1p(share * whole) / k;
    let versine = versine.clamp(0.0, 2.0);
    (versine, (versine * (2.0 - versine)).sqrt())
}

/// A number above 0 and below 1: the middle of one of 2^53 parts.
pub(super) fn uniform(rng: &mut ChaCha8Rng) -> f64 {
    #[allow(clippy::cast_precision_loss)] // 53 bits
    let part = (rng.next_u64() >> 11) as f64;
    (part + 0.5) * (0.5f64).powi(53)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{Law, Scattered, ScatteredInput};

    /// The exact share within θ is (1 − e^(−K(1−cos θ)))/(1 − e^(−2K)).
    #[test]
    fn the_angle_off_the_mean_is_fishers() {
        for k in [0.5, 5.0, 60.0, 2000.0] {
            for share in [1e-9, 0.1, 0.5, 0.99] {
                let (versine, sin) = fisher_off(k, (-2.0 * k).exp_m1(), share);
                let back = (-k * versine).exp_m1() / (-2.0 * k).exp_m1();
                assert!((back - share).abs() < 1e-12, "{k} {share} {back}");
                assert!((sin * sin + (1.0 - versine).powi(2) - 1.0).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn friction_and_cohesion_are_correlated_as_asked() {
        let mut case = crate::study::chance::tests::flat();
        case.joints.iter_mut().for_each(|j| j.fisher_k = None);
        let law =
            |mean, sd| Scattered::new(Law::Normal { mean, sd }, f64::NEG_INFINITY, f64::INFINITY).unwrap();
        let input = |quantity, key: &str, scattered| ScatteredInput {
            quantity,
            key: key.into(),
            scattered,
            factor: 1.0,
        };
        let scatter = Scatter {
            inputs: vec![
                input(Quantity::Friction(0), "A.friction_deg", law(30.0, 2.0)),
                input(Quantity::Cohesion(0), "A.cohesion_kpa", law(10.0, 3.0)),
            ],
            friction_cohesion: vec![(0, -0.6)],
            resampled: Vec::new(),
        };
        let frame = DriveFrame::new(case.advance);
        for spread in [Spread::Plain, Spread::LatinHypercube] {
            let drawing = Drawing::new(&case, &scatter, &frame, 7, spread);
            let (mut room, mut drawn) = (Room::default(), Drawn::default());
            let n = 20_000u32;
            let mut sums = [0.0; 5];
            for index in 0..n {
                drawing.draw(u64::from(index), true, &mut room, &mut drawn);
                let (x, y) = ((drawn.values[0] - 30.0) / 2.0, (drawn.values[1] - 10.0) / 3.0);
                for (sum, v) in sums.iter_mut().zip([x, y, x * x, y * y, x * y]) {
                    *sum += v / f64::from(n);
                }
            }
            // Standard errors are 1/√n = 0.007, of the correlation (1 − ρ²)/√n = 0.0045: four of them.
            assert!(sums[0].abs() < 0.03 && sums[1].abs() < 0.03, "{sums:?}");
            assert!((sums[2] - 1.0).abs() < 0.04 && (sums[3] - 1.0).abs() < 0.04, "{sums:?}");
            assert!((sums[4] + 0.6).abs() < 0.035, "{sums:?}");
        }
    }

    #[test]
    fn a_lot_has_one_draw_in_each_thousandth() {
        let case = crate::study::chance::tests::flat();
        let scatter = Scatter::default();
        let frame = DriveFrame::new(case.advance);
        let drawing = Drawing::new(&case, &scatter, &frame, 3, Spread::LatinHypercube);
        let mut room = Room::default();
        for lot in [0, 5] {
            let mut seen = vec![vec![false; 1000]; drawing.count()];
            for index in lot * LOT..(lot + 1) * LOT {
                drawing.shares(index, &mut room);
                for (share, seen) in room.shares.iter().zip(&mut seen) {
                    seen[(share * 1000.0) as usize] = true;
                }
            }
            assert!(seen.iter().flatten().all(|s| *s));
        }
    }
}
