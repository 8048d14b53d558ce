use super::Hung;
use super::StressLoss;
use super::WaterForces;
use super::motion::{Mode, Motion, components};
use super::rotation::{Action, BoltPull, Contact, Rotation, RotationScratch};
use crate::orientation::Vec3;
use crate::strength::MohrCoulomb;

/// The share of a result that is given away for rounding where two joints have to stay closed, and the share within
/// which its least is known at which the search for it ends.
const PRICE_SHARE: f64 = 1e-9;
const PRICED_SHARE: f64 = 1e-13;

/// Most prices that are tried: where the least lies the result bends, and each price tells the next one.
const MOST_PRICES: usize = 60;

/// How often the bracket of prices is doubled at the most where the least lies beyond it.
const PRICE_DOUBLINGS: usize = 40;

/// Something to be taken from nothing to all of it: what it is worth, what it fills of the room (it may make some),
/// and of another room that is not watched here.
#[derive(Debug, Clone, Copy)]
struct Taken {
    worth: f64,
    size: f64,
    other: f64,
}

/// The most value of items whose sizes fill at most `room`, and what is then filled of the other room.
fn knapsack(items: impl Iterator<Item = Taken>, room: f64) -> (f64, f64) {
    let (mut value, mut left, mut other) = (0.0, room, 0.0);
    // (value for its size, item), of what needs room; giving back a taken maker of room needs it too.
    let mut wanted: Vec<(f64, Taken)> = Vec::with_capacity(items.size_hint().0);
    for item in items {
        let Taken { worth, size, .. } = item;
        if size > 0.0 {
            if worth > 0.0 {
                wanted.push((worth / size, item));
            }
            continue;
        }
        if worth < 0.0 && size == 0.0 {
            continue;
        }
        value += worth;
        left -= size;
        other += item.other;
        if worth < 0.0 {
            // Taken against its worth for the room it makes, and given back where that does not pay.
            wanted.push((worth / size, Taken { worth: -worth, size: -size, other: -item.other }));
        }
    }
    wanted.sort_by(|a, b| b.0.total_cmp(&a.0));
    for (_, Taken { worth, size, other: fills }) in wanted {
        let share = (left / size).clamp(0.0, 1.0);
        value += share * worth;
        left -= share * size;
        other += share * fills;
        if share < 1.0 {
            break;
        }
    }
    (value, other)
}

/// What a price for room makes of the most, which is convex in it, and its slope there.
#[derive(Debug, Clone, Copy)]
struct Priced {
    price: f64,
    value: f64,
    slope: f64,
}

/// The least over all prices from nothing up, by tangents: straight pieces are few, and where two tangents meet one of
/// them is left behind. `dearest` is a price to begin with.
fn least_priced(at: impl Fn(f64) -> Priced, dearest: f64) -> f64 {
    let mut low = at(0.0);
    if low.slope >= 0.0 {
        return low.value;
    }
    // A bolt that is only called on for the room that it makes on the other joint is still called on at prices above
    // its own.
    let mut high = at(dearest);
    for _ in 0..PRICE_DOUBLINGS {
        if high.slope >= 0.0 {
            break;
        }
        low = high;
        high = at(2.0 * high.price);
    }
    if high.slope < 0.0 {
        return high.value;
    }
    let mut least = low.value.min(high.value);
    for _ in 0..MOST_PRICES {
        let over = (high.price - low.price) * high.slope - (high.value - low.value);
        let met = low.price + over / (high.slope - low.slope);
        let below = low.value + low.slope * (met - low.price);
        if !(low.price < met && met < high.price) || least - below <= PRICED_SHARE * least.abs() {
            break;
        }
        let here = at(met);
        least = least.min(here.value);
        if here.slope < 0.0 {
            low = here;
        } else {
            high = here;
        }
    }
    least
}

/// What support adds to a wedge: compression on its joints and resistance along its movement.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Reaction {
    /// Added compression on each joint, kN (negative: it pulls the joint open).
    pub normal_kn: [f64; 3],
    /// Resistance against the movement, kN.
    pub against_kn: f64,
}

impl Reaction {
    /// This reaction `factor` times over.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self { normal_kn: self.normal_kn.map(|n| n * factor), against_kn: self.against_kn * factor }
    }
}

impl std::ops::AddAssign for Reaction {
    fn add_assign(&mut self, other: Self) {
        for (mine, theirs) in self.normal_kn.iter_mut().zip(other.normal_kn) {
            *mine += theirs;
        }
        self.against_kn += other.against_kn;
    }
}

/// A wedge's limit equilibrium: its motion, and what its joints resist.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stability {
    /// How it moves without support.
    pub motion: Motion,
    /// tan φ of each joint.
    tan_friction: [f64; 3],
    /// Cohesion times face of each joint in contact, kN.
    cohesion_kn: [f64; 3],
    inward: [Vec3; 3],
    /// The part of the active force that hangs from the wedge.
    hung: Hung,
    /// The force on a kN of rock and of what hangs from it: 1 at rest.
    pull: f64,
    /// The part that water presses; `None` where there is none.
    wet: Option<Wet>,
    /// What stress takes from the resistance; nothing where it takes none.
    loss: StressLoss,
}

/// What water presses, beside what acts on the wedge without it.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Wet {
    water: WaterForces,
    /// Weight, hung load and what shakes them, kN.
    dry_kn: Vec3,
    /// The share of `dry_kn` that hangs.
    hung_share: f64,
}

impl Stability {
    /// The equilibrium of a wedge with these joints (unit normals into the block, strengths,
    /// face areas in square metres) under a motion found for the same joints.
    #[must_use]
    pub fn new(motion: Motion, inward: [Vec3; 3], strengths: &[MohrCoulomb; 3], areas_m2: &[f64; 3]) -> Self {
        let cohesion_kn = std::array::from_fn(|i| strengths[i].cohesion_kpa * areas_m2[i]);
        Self::of_parts(motion, inward, strengths.map(MohrCoulomb::tan_friction), cohesion_kn)
    }

    /// The same from what is known already: tan φ of each joint, and cohesion times face, kN, which counts on joints
    /// in contact alone.
    #[must_use]
    pub fn of_parts(
        motion: Motion,
        inward: [Vec3; 3],
        tan_friction: [f64; 3],
        cohesion_kn: [f64; 3],
    ) -> Self {
        let in_contact = |i: usize| if motion.normal_kn[i] > 0.0 { cohesion_kn[i] } else { 0.0 };
        let cohesion_kn = [in_contact(0), in_contact(1), in_contact(2)];
        Self {
            motion,
            tan_friction,
            cohesion_kn,
            inward,
            hung: Hung::default(),
            pull: 1.0,
            wet: None,
            loss: StressLoss::default(),
        }
    }

    /// The same with a note of what water presses onto its joints, beside `dry_kn`, the force without it, of which a
    /// share hangs; `motion` was found with both already.
    #[must_use]
    pub fn pressed(self, water: WaterForces, dry_kn: Vec3, hung_share: f64) -> Self {
        Self { wet: Some(Wet { water, dry_kn, hung_share }), ..self }
    }

    /// What water presses onto its joints; `None` where there is none.
    #[must_use]
    pub fn water(&self) -> Option<&WaterForces> {
        self.wet.as_ref().map(|wet| &wet.water)
    }

    /// The active force without water, kN: weight, hung load and what shakes them; `None` where there is no water.
    #[must_use]
    pub fn without_water_kn(&self) -> Option<Vec3> {
        self.wet.map(|wet| wet.dry_kn)
    }

    /// The same with a note of what hangs from the wedge and of the force on each kN of it and of the rock, above 1
    /// where both are shaken; `motion` was found with them already.
    #[must_use]
    pub fn hanging(self, hung: Hung, pull: f64) -> Self {
        Self { hung, pull, ..self }
    }

    /// The same with what stress takes from the resistance along the movement, whatever supports the wedge besides: bolts
    /// pull with all they can along the whole way on which it is let out.
    #[must_use]
    pub fn losing(self, loss: StressLoss) -> Self {
        Self { loss, ..self }
    }

    /// What stress takes; nothing where it takes none.
    #[must_use]
    pub fn loss(&self) -> StressLoss {
        self.loss
    }

    /// What drives the wedge out beyond all that its joints hold, over the load along the movement: so much less is a factor
    /// of support that counts on no joint.
    #[must_use]
    pub fn driven_out_share(&self) -> f64 {
        if self.loss.out_kn > 0.0 { self.loss.out_kn / self.motion.driving_kn } else { 0.0 }
    }

    /// The same joints under another motion, with this much cohesion on each, kN.
    pub(crate) fn moved(self, motion: Motion, cohesion_kn: [f64; 3]) -> Self {
        Self { motion, cohesion_kn, ..self }
    }

    /// What hangs from the wedge.
    #[must_use]
    pub fn hung(&self) -> &Hung {
        &self.hung
    }

    /// Its part of the active force, kN: what hangs is shaken with the rock.
    #[must_use]
    pub fn hung_pull_kn(&self) -> f64 {
        self.hung.kn * self.pull
    }

    /// The active force where it acts, of a wedge with this centroid, local, apex at s = 0: each pressure of water acts
    /// at its own centre, so that there may be a couple besides.
    #[must_use]
    pub fn action(&self, centroid: &Vec3) -> Action {
        let Some(wet) = &self.wet else { return Action::at(self.active_kn(), self.acts_at(centroid)) };
        let mut moment = wet.water.moment_knm(&self.inward, centroid);
        if wet.hung_share > 0.0 {
            moment += (self.hung.at - centroid).cross(&(wet.dry_kn * wet.hung_share));
        }
        Action::central(self.active_kn(), centroid, &moment)
    }

    /// Where the active force without water acts, of a wedge with this centroid: both are local, apex at s = 0.
    /// Weight and hung load are parallel, so it is their weighted mean.
    #[must_use]
    pub fn acts_at(&self, centroid: &Vec3) -> Vec3 {
        let whole_kn = self.active_kn().norm();
        if self.hung.kn > 0.0 && whole_kn > 0.0 {
            centroid + (self.hung.at - centroid) * (self.hung_pull_kn() / whole_kn)
        } else {
            *centroid
        }
    }

    /// The active force, kN, put together again from its parts along the movement and on the
    /// joints; zero without motion.
    #[must_use]
    pub fn active_kn(&self) -> Vec3 {
        let pressed = self.inward.iter().zip(self.motion.normal_kn).map(|(m, kn)| m * kn);
        self.motion.direction * self.motion.driving_kn - pressed.sum::<Vec3>()
    }

    /// Factor of safety without support: 0 for a falling wedge, infinite without motion.
    #[must_use]
    pub fn fs_bare(&self) -> f64 {
        self.fs(&Reaction::default())
    }

    /// As [`Stability::fs_bare`], with friction alone.
    #[must_use]
    pub fn fs_bare_no_cohesion(&self) -> f64 {
        self.without_cohesion().fs_bare()
    }

    /// Factor of safety with support as a resistance on the bare motion. A joint whose
    /// compression turns negative is lost: it gives neither friction nor cohesion. Support that
    /// would take more than it gives carries nothing: the factor is never below the bare one.
    #[must_use]
    pub fn fs(&self, support: &Reaction) -> f64 {
        match self.motion.mode {
            Mode::NoMotion => f64::INFINITY,
            _ => {
                let bare = self.resistance_kn(&Reaction::default());
                self.resistance_kn(support).max(bare) / self.motion.driving_kn
            }
        }
    }

    /// The same with support that adds so much resistance while every joint stays in contact, kN.
    #[must_use]
    pub fn fs_gaining(&self, gain_kn: f64) -> f64 {
        match self.motion.mode {
            Mode::NoMotion => f64::INFINITY,
            _ => (self.resistance_kn(&Reaction::default()) + gain_kn.max(0.0)) / self.motion.driving_kn,
        }
    }

    /// Resistance along the movement, kN: joints in contact and support, less what stress takes.
    #[must_use]
    pub fn resistance_kn(&self, support: &Reaction) -> f64 {
        let mut resistance = support.against_kn - self.loss.lost_kn;
        for i in 0..3 {
            if self.motion.normal_kn[i] > 0.0 {
                let normal = self.motion.normal_kn[i] + support.normal_kn[i];
                if normal >= 0.0 {
                    resistance += self.cohesion_kn[i] + normal * self.tan_friction[i];
                }
            }
        }
        resistance
    }

    /// The factor of safety with bolts of which each may pull with anything from nothing to its capacity:
    /// pairs of what one kN of a bolt does ([`Stability::called`]) and its capacity, kN. The bolts pull so
    /// that together they hold most while every joint that the wedge slides on stays closed: a state of
    /// equilibrium. More bolts, or stronger ones, never hold less, and less friction never holds more.
    ///
    /// With every joint in contact each bolt adds, so all of them pull fully: [`Stability::fs`]. Where that
    /// would open a joint, what they pull square to it has nothing to balance it, so they pull no more than
    /// keeps it closed: a knapsack whose dual is searched where two joints bound it. Never below the bare
    /// factor.
    #[must_use]
    pub fn fs_called(&self, bolts: &[(Reaction, f64)]) -> f64 {
        if self.motion.mode == Mode::NoMotion {
            return f64::INFINITY;
        }
        let full = self.in_full(bolts);
        if self.keeps_closed(&full) {
            return self.fs(&full);
        }
        let in_contact: Vec<usize> = (0..3).filter(|&i| self.motion.normal_kn[i] > 0.0).collect();
        self.fs_bare().max(self.most_closed(&in_contact, bolts) / self.motion.driving_kn)
    }

    /// Whether all that bolts of these directions (unit vectors into the rock) can take, kN, would open a joint
    /// that the wedge slides on.
    #[must_use]
    pub fn opens(&self, bolts: &[(Vec3, f64)]) -> bool {
        let called: Vec<(Reaction, f64)> = bolts.iter().map(|(d, kn)| (self.called(d), *kn)).collect();
        self.opened_by(&called)
    }

    /// As [`Stability::opens`], of what one kN of each bolt does ([`Stability::called`]) and its capacity.
    ///
    /// Where they do not, hanging gives no more than [`Stability::fs_called`]: along the movement it gives no more than
    /// all that bolts pull against it, and to pull so is a state with every joint closed. Bolts that would lower the
    /// factor by what they take off a joint count here too: the wedge may hang in them.
    pub(crate) fn opened_by(&self, bolts: &[(Reaction, f64)]) -> bool {
        let mut all = Reaction::default();
        for (effect, kn) in bolts {
            all += effect.times(*kn);
        }
        !self.keeps_closed(&all)
    }

    /// What bolts do at their capacity, but for those that would lower the factor by themselves.
    fn in_full(&self, bolts: &[(Reaction, f64)]) -> Reaction {
        let mut full = Reaction::default();
        for (effect, kn) in bolts.iter().filter(|(effect, _)| self.gain_kn(effect) > 0.0) {
            full += effect.times(*kn);
        }
        full
    }

    /// Whether every joint that the wedge slides on stays in contact.
    fn keeps_closed(&self, support: &Reaction) -> bool {
        let kn = self.motion.normal_kn.iter().zip(support.normal_kn);
        kn.into_iter().all(|(&own, added)| own <= 0.0 || own + added >= 0.0)
    }

    /// The factor of safety with bolts of these directions (unit vectors into the rock) and capacities, kN, as
    /// a state of equilibrium of forces: the greater of [`Stability::fs_called`] and of hanging in the bolts
    /// and leaning on joints without friction.
    #[must_use]
    pub fn fs_in_balance(&self, bolts: &[(Vec3, f64)]) -> f64 {
        if self.motion.mode == Mode::NoMotion {
            return f64::INFINITY;
        }
        let called: Vec<(Reaction, f64)> = bolts.iter().map(|(d, kn)| (self.called(d), *kn)).collect();
        let hanging =
            self.fs_hanging(bolts.iter().copied(), &mut Vec::new(), &mut RotationScratch::default());
        self.fs_called(&called).max(hanging)
    }

    /// Hanging in bolts of these directions and capacities, kN, and leaning on the joints without friction,
    /// forces alone. `pulls` is working memory.
    pub(crate) fn fs_hanging(
        &self,
        bolts: impl Iterator<Item = (Vec3, f64)>,
        pulls: &mut Vec<BoltPull>,
        scratch: &mut RotationScratch,
    ) -> f64 {
        let point = Vec3::zeros();
        pulls.clear();
        pulls.extend(bolts.map(|(direction, capacity_kn)| BoltPull { point, direction, capacity_kn }));
        let contacts = self.inward.map(|normal| Contact { point, normal });
        Rotation::new(&self.active_kn(), &point, &contacts).load_factor(pulls, scratch)
            - self.driven_out_share()
    }

    /// The most resistance, kN, with these joints, all that are in contact, kept closed.
    fn most_closed(&self, closed: &[usize], bolts: &[(Reaction, f64)]) -> f64 {
        let own: f64 = closed
            .iter()
            .map(|&i| self.cohesion_kn[i] + self.motion.normal_kn[i] * self.tan_friction[i])
            .sum::<f64>()
            - self.loss.lost_kn;
        let gain = |effect: &Reaction| {
            let friction: f64 = closed.iter().map(|&i| effect.normal_kn[i] * self.tan_friction[i]).sum();
            effect.against_kn + friction
        };
        let room = |i: usize| self.motion.normal_kn[i];
        match closed {
            [i] => {
                let items = bolts.iter().map(|(e, kn)| Taken {
                    worth: gain(e) * kn,
                    size: -e.normal_kn[*i] * kn,
                    other: 0.0,
                });
                own + knapsack(items, room(*i)).0
            }
            [i, j] => {
                // Strong duality: the least over the price of the second joint's room is the most. It is
                // convex in the price; beyond the dearest no bolt pulls for what it gives itself.
                let dearest = bolts
                    .iter()
                    .filter(|(e, _)| e.normal_kn[*j] < 0.0)
                    .map(|(e, _)| gain(e).abs() / -e.normal_kn[*j])
                    .fold(0.0, f64::max);
                let at = |price: f64| {
                    let items = bolts.iter().map(|(e, kn)| {
                        let opens = -e.normal_kn[*j] * kn;
                        Taken {
                            worth: gain(e) * kn - price * opens,
                            size: -e.normal_kn[*i] * kn,
                            other: opens,
                        }
                    });
                    let (value, opened) = knapsack(items, room(*i));
                    Priced { price, value: price * room(*j) + value, slope: room(*j) - opened }
                };
                own + least_priced(at, dearest) * (1.0 - PRICE_SHARE) - PRICE_SHARE * own.abs()
            }
            _ => 0.0,
        }
    }

    /// The same equilibrium with friction alone.
    #[must_use]
    pub fn without_cohesion(&self) -> Self {
        Self { cohesion_kn: [0.0; 3], ..*self }
    }

    /// The same equilibrium with the cohesion of another wedge of the same pyramid.
    #[must_use]
    pub fn with_cohesion_of(&self, other: &Self) -> Self {
        Self { cohesion_kn: other.cohesion_kn, ..*self }
    }

    /// The same wedge's equilibrium under `times` the force, with this much cohesion on each joint, kN.
    #[must_use]
    pub fn under(&self, times: f64, cohesion_kn: [f64; 3]) -> Self {
        let motion = Motion {
            driving_kn: self.motion.driving_kn * times,
            normal_kn: self.motion.normal_kn.map(|n| n * times),
            ..self.motion
        };
        Self { motion, cohesion_kn, ..*self }
    }

    /// Cohesive part of each joint's resistance, kN.
    #[must_use]
    pub fn cohesion_kn(&self) -> [f64; 3] {
        self.cohesion_kn
    }

    /// Resistance that a reaction adds while every joint stays in contact, kN.
    #[must_use]
    pub fn gain_kn(&self, support: &Reaction) -> f64 {
        let friction: f64 = (0..3).map(|i| support.normal_kn[i] * self.tan_friction[i]).sum();
        support.against_kn + friction
    }

    /// What one kN of force on the wedge along the unit vector `direction` adds as a resistance.
    /// A force along the movement, or one that would lower the factor of safety, adds nothing: a
    /// bolt is called on by the movement, it never drives it.
    #[must_use]
    pub fn effect(&self, direction: &Vec3) -> Reaction {
        let reaction = self.called(direction);
        if self.gain_kn(&reaction) <= 0.0 { Reaction::default() } else { reaction }
    }

    /// As [`Stability::effect`], of a force that would lower the factor by itself too: what it presses onto
    /// another joint may let other bolts pull more.
    #[must_use]
    pub fn called(&self, direction: &Vec3) -> Reaction {
        let against_kn = -direction.dot(&self.motion.direction);
        if against_kn <= 0.0 {
            return Reaction::default();
        }
        let mut reaction = Reaction { normal_kn: [0.0; 3], against_kn };
        match self.motion.mode {
            Mode::NoMotion => return Reaction::default(),
            Mode::Falling => {}
            Mode::SlidingOnOne(i) => reaction.normal_kn[i] = -direction.dot(&self.inward[i]),
            Mode::SlidingOnTwo(i, j) => {
                let (on_i, on_j) = components(&self.inward[i], &self.inward[j], direction);
                reaction.normal_kn[i] = on_i;
                reaction.normal_kn[j] = on_j;
            }
        }
        reaction
    }

    /// [`Stability::called`] of any unit vector d along which a force resists the movement, as it goes with d: d times
    /// the first is the resistance, times each of the next three what it presses on that joint, times the last
    /// [`Stability::gain_kn`] of it all.
    #[must_use]
    pub fn calls(&self) -> (Vec3, [Vec3; 3], Vec3) {
        let against = -self.motion.direction;
        let mut normal = [Vec3::zeros(); 3];
        match self.motion.mode {
            Mode::NoMotion | Mode::Falling => {}
            Mode::SlidingOnOne(i) => normal[i] = -self.inward[i],
            Mode::SlidingOnTwo(i, j) => {
                let (on_i, on_j) = (&self.inward[i], &self.inward[j]);
                let cosine = on_i.dot(on_j);
                let over = -1.0 / (1.0 - cosine * cosine);
                normal[i] = (on_i - on_j * cosine) * over;
                normal[j] = (on_j - on_i * cosine) * over;
            }
        }
        let [a, b, c] = &self.tan_friction;
        let gain = against + normal[0] * *a + normal[1] * *b + normal[2] * *c;
        (against, normal, gain)
    }
}
