use nalgebra::{Matrix2, Matrix3, Vector2};

use thiserror::Error;

use super::Motion;
use crate::orientation::Vec3;
use crate::strength::{MohrCoulomb, ShearStrength};
use crate::stress::FaceForce;

/// The first step of a wedge that is drawn out of its clamps, as a share of the least movement by which any joint
/// opens or slips by itself, and how much longer each next step is.
const FIRST_STEP: f64 = 1e-2;
const STEP_RATIO: f64 = 1.15;

/// The last one, as a multiple of the greatest such movement: by then every joint has slipped or opened.
const LAST_STEP: f64 = 4.0;

/// Steps at the most.
const MOST_STEPS: usize = 600;

/// The steps about the greatest resistance are taken anew so often, in so many parts each: what is given away
/// after ten times is a step's (2/8)^10, a millionth.
const REFINED: usize = 10;
const PARTS: u32 = 8;

/// Newton's steps to equilibrium across the movement, halvings of one that goes too far, and the share of all joints'
/// forces that may be left over.
const NEWTON_STEPS: usize = 60;
const HALVINGS: usize = 12;
const LEFT_OVER: f64 = 1e-10;

/// Joints of which every choice of open ones is tried, at the most; a wedge has three.
const MOST_TRIED: usize = 8;

/// A force this share of all joints' forces off the one at which a joint gives is that one, but for rounding.
const ROUNDING_SHARE: f64 = 1e-9;

/// Steps in which stress comes on a wedge whose joints slip under it.
const RAMP: u32 = 20;

/// A joint that presses with less than this share of the forces on the wedge is open.
const OPEN_SHARE: f64 = 1e-12;

/// A joint's face as stress holds it before the wedge loosens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClampedFace {
    /// Unit normal into the wedge.
    pub inward: Vec3,
    /// What elastic stress presses it with; shear in the frame of the normal.
    pub force: FaceForce,
    /// The joint's strength.
    pub strength: MohrCoulomb,
    /// Joint normal stiffness over shear stiffness, above 0: of the same joint, per square metre.
    pub stiffness_ratio: f64,
}

/// Why nothing is said of what stress does to a wedge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum NotClamped {
    /// It does not move without stress.
    #[error("the wedge does not move without stress")]
    NoMotion,
    /// No place was found where its joints, under stress, and its load across the movement are in balance.
    #[error("no balance was found of the wedge's joints under stress")]
    NoBalance,
}

/// What the joints of a wedge that stress clamps hold at the most.
///
/// Bray's (1977) two steps, as Brady & Brown (2004), ch. 9, give them for a prism: the joints first carry what
/// elastic stress in unbroken rock brings to their faces; then the wedge moves as a rigid block against joints that are
/// springs along and square to themselves, which opens some and shears them until they slip by Coulomb's law. Only the
/// ratio of the stiffnesses counts. A wedge that moves out is let go: compression falls as joints open, however
/// high it was.
#[derive(Debug, Clone, PartialEq)]
pub struct Clamped {
    /// The greatest force along the movement that is still in balance, kN. Below 0 stress drives the wedge out: it has
    /// to be held by so much even without its load.
    pub resistance_kn: f64,
    /// The force along the movement, nearest to none, under which no joint slips or opens, kN. Below 0 stress alone
    /// shears a joint off, and the wedge moves until the others bear what is left of the stress.
    pub tight_kn: f64,
    /// Compression on each face there, kN.
    pub normal_kn: Vec<f64>,
    /// Force along each face there, kN, on the wedge.
    pub shear_kn: Vec<Vec3>,
    /// Force of the wedge's load along the movement, kN.
    pub driving_kn: f64,
}

/// Compression of each joint and the force along it, kN.
type Forces = Vec<(f64, Vec3)>;

/// How far a joint has slipped: the movement along it that its spring no longer knows.
type Slips = Vec<Vec3>;

impl Clamped {
    /// Of a wedge that moves so without stress. Joints that its load presses on do so on top of their stress. Forces alone
    /// are balanced; the wedge is not let turn.
    ///
    /// # Errors
    /// [`NotClamped`] where it does not move, or where no balance is found to let it out from.
    pub fn of(motion: &Motion, faces: &[ClampedFace]) -> Result<Self, NotClamped> {
        if motion.driving_kn <= 0.0 || faces.is_empty() {
            return Err(NotClamped::NoMotion);
        }
        let wedge = Springs::new(motion, faces);
        let (tight_kn, resistance_kn, forces) = wedge.greatest().ok_or(NotClamped::NoBalance)?;
        Ok(Self {
            resistance_kn,
            tight_kn,
            normal_kn: forces.iter().map(|f| f.0).collect(),
            shear_kn: forces.iter().map(|f| f.1).collect(),
            driving_kn: motion.driving_kn,
        })
    }

    /// Factor of safety: the resistance over the load along the movement. Without stress it is the plain factor.
    #[must_use]
    pub fn fs(&self) -> f64 {
        self.resistance_kn / self.driving_kn
    }

    /// Support along the movement that is needed for a factor on what the joints hold, kN: R = W − P/F (Brady & Brown
    /// 2004, p. 329). It divides the resistance alone, and is not what [`Clamped::fs`] would ask.
    #[must_use]
    pub fn support_needed_kn(&self, fs: f64) -> f64 {
        (self.driving_kn - self.resistance_kn / fs).max(0.0)
    }
}

/// One joint as a spring with a limit.
#[derive(Clone)]
struct Spring {
    inward: Vec3,
    normal_kn: f64,
    shear_kn: Vec3,
    tan_friction: f64,
    cohesion_kn: f64,
    /// kN for a unit of movement, square to the face and along it; the unit is no metre, for only their ratio is known.
    stiffness: [f64; 2],
}

impl Spring {
    fn strength_kn(&self, normal_kn: f64, open_kn: f64) -> f64 {
        if normal_kn > open_kn { self.cohesion_kn + normal_kn * self.tan_friction } else { 0.0 }
    }

    fn along(&self, moved: &Vec3) -> Vec3 {
        moved - self.inward * self.inward.dot(moved)
    }

    /// Compression after a movement, below 0 where it is open by so much; shear while it has not slipped.
    fn pressed_kn(&self, moved: &Vec3) -> f64 {
        self.normal_kn - self.stiffness[0] * self.inward.dot(moved)
    }

    fn elastic_kn(&self, moved: &Vec3) -> Vec3 {
        self.shear_kn - self.along(moved) * self.stiffness[1]
    }
}

#[derive(Clone)]
struct Springs {
    joints: Vec<Spring>,
    direction: Vec3,
    /// Two unit vectors across the movement.
    across: [Vec3; 2],
    /// What presses a joint with less than this is nothing, kN; and the forces on the wedge, added by their size.
    open_kn: f64,
    size_kn: f64,
    /// The part of the load across the movement.
    load_across_kn: Vec3,
}

/// A place on the wedge's way out, in balance: movement, slips up to there, force along the movement.
#[derive(Clone)]
struct Place {
    moved: Vec3,
    slips: Slips,
    forces: Forces,
    held_kn: f64,
}

impl Springs {
    fn new(motion: &Motion, faces: &[ClampedFace]) -> Self {
        let pressed = |i: usize| motion.normal_kn.get(i).copied().unwrap_or(0.0);
        let joints: Vec<Spring> = faces
            .iter()
            .enumerate()
            .map(|(i, face)| {
                let area_m2 = face.force.area_m2;
                Spring {
                    inward: face.inward,
                    // Where stress pulls, the joint opens, and has to be closed before it carries anything.
                    normal_kn: face.force.normal_kn + pressed(i),
                    shear_kn: face.force.shear_kn,
                    tan_friction: face.strength.tan_friction(),
                    cohesion_kn: face.strength.shear_kpa(0.0) * area_m2,
                    stiffness: [area_m2 * face.stiffness_ratio, area_m2],
                }
            })
            .collect();
        let direction = motion.direction;
        let helper = if direction.x.abs() < 0.6 { Vec3::x() } else { Vec3::y() };
        let first = direction.cross(&helper).normalize();
        let load_across_kn =
            -faces.iter().enumerate().map(|(i, face)| face.inward * pressed(i)).sum::<Vec3>();
        let size_kn = motion.driving_kn
            + joints.iter().map(|j| j.normal_kn.abs() + j.shear_kn.norm() + j.cohesion_kn).sum::<f64>();
        Self {
            across: [first, direction.cross(&first)],
            direction,
            open_kn: OPEN_SHARE * size_kn,
            size_kn,
            load_across_kn,
            joints,
        }
    }

    /// Force of a joint after a movement, and its slip, which grows where its strength is reached.
    fn force(&self, joint: &Spring, moved: &Vec3, slip: &Vec3) -> (f64, Vec3, Vec3) {
        let normal_kn = joint.pressed_kn(moved).max(0.0);
        let along = joint.along(moved);
        let elastic = joint.elastic_kn(moved) + slip * joint.stiffness[1];
        let strength_kn = joint.strength_kn(normal_kn, self.open_kn);
        let size = elastic.norm();
        if size <= strength_kn {
            return (normal_kn, elastic, *slip);
        }
        let shear_kn = elastic * (strength_kn / size);
        (normal_kn, shear_kn, along - (joint.shear_kn - shear_kn) / joint.stiffness[1])
    }

    /// What joints and the load across the movement leave unbalanced.
    fn unbalanced(&self, moved: &Vec3, slips: &Slips) -> Vec3 {
        self.joints
            .iter()
            .zip(slips)
            .map(|(joint, slip)| {
                let (normal_kn, shear_kn, _) = self.force(joint, moved, slip);
                joint.inward * normal_kn + shear_kn
            })
            .sum::<Vec3>()
            + self.load_across_kn
    }

    /// The place where the wedge has moved so far along its way and is in balance across it, from a place before;
    /// `None` where none is found.
    fn moved_to(&self, along: f64, from: &Place) -> Option<Place> {
        let ahead = along - from.moved.dot(&self.direction);
        let mut moved = from.moved + self.direction * ahead;
        let left = |moved: &Vec3| {
            let force = self.unbalanced(moved, &from.slips);
            Vector2::new(force.dot(&self.across[0]), force.dot(&self.across[1]))
        };
        let stiffness: f64 = self.joints.iter().map(|j| j.stiffness[0] + j.stiffness[1]).sum();
        // For slopes by differences: far below any step, far above rounding.
        let small = 1e-7 * (ahead.abs() + moved.norm()).max(1e-9 * self.size_kn / stiffness);
        let mut now = left(&moved);
        for _ in 0..NEWTON_STEPS {
            if now.norm() <= LEFT_OVER * self.size_kn {
                return Some(self.place(moved, &from.slips));
            }
            let slope = |k: usize| {
                let step = self.across[k] * small;
                (left(&(moved + step)) - left(&(moved - step))) / (2.0 * small)
            };
            let slopes = Matrix2::from_columns(&[slope(0), slope(1)]);
            let step = slopes.try_inverse()? * -now;
            let mut share = 1.0;
            for _ in 0..HALVINGS {
                let there = moved + (self.across[0] * step.x + self.across[1] * step.y) * share;
                let after = left(&there);
                if after.norm() < now.norm() {
                    (moved, now) = (there, after);
                    break;
                }
                share *= 0.5;
            }
            if share <= 0.5f64.powi(HALVINGS as i32) {
                return None;
            }
        }
        None
    }

    fn place(&self, moved: Vec3, slips: &Slips) -> Place {
        let all: Vec<_> = self.joints.iter().zip(slips).map(|(j, s)| self.force(j, &moved, s)).collect();
        let held: Vec3 = self.joints.iter().zip(&all).map(|(j, (n, s, _))| j.inward * *n + s).sum();
        Place {
            moved,
            slips: all.iter().map(|(_, _, slip)| *slip).collect(),
            held_kn: -(held + self.load_across_kn).dot(&self.direction),
            forces: all.iter().map(|(n, s, _)| (*n, *s)).collect(),
        }
    }

    /// Where the way out begins: in balance without a force along the movement, or, where joints would slip then, with
    /// the force nearest to none under which none does.
    fn start(&self) -> Option<Place> {
        let still: Slips = vec![Vec3::zeros(); self.joints.len()];
        // Which joints are open is not known beforehand: of all choices that come out as they were taken, the one
        // with the force nearest to none.
        let all = 1_usize << self.joints.len().min(MOST_TRIED);
        (0..all)
            .filter_map(|open| self.without_slip(|i| open >> i & 1 == 1))
            .min_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))
            .map(|(moved, _)| self.place(moved, &still))
            .or_else(|| self.clamped_by_and_by())
    }

    /// The movement in balance while no closed joint slips, under the force along the movement nearest to none, and that
    /// force; `None` where these joints cannot be the open ones, or slip whatever the force.
    fn without_slip(&self, is_open: impl Fn(usize) -> bool) -> Option<(Vec3, f64)> {
        let closed = || self.joints.iter().enumerate().filter(|(i, _)| !is_open(*i)).map(|(_, j)| j);
        let stiffness: Matrix3<f64> = closed()
            .map(|j| {
                let square = j.inward * j.inward.transpose();
                square * j.stiffness[0] + (Matrix3::identity() - square) * j.stiffness[1]
            })
            .sum();
        let loose = stiffness.try_inverse()?;
        let first = closed().map(|j| j.inward * j.normal_kn + j.shear_kn).sum::<Vec3>();
        // Movement without slip is linear in the force: from + by · force.
        let (from, by) = (loose * (first + self.load_across_kn), loose * self.direction);
        let mut breaks = vec![0.0];
        for joint in &self.joints {
            let (n0, n1) = (joint.pressed_kn(&from), -joint.stiffness[0] * joint.inward.dot(&by));
            let (s0, s1) = (joint.elastic_kn(&from), -joint.along(&by) * joint.stiffness[1]);
            let (q0, q1) = (joint.cohesion_kn + n0 * joint.tan_friction, n1 * joint.tan_friction);
            let (a, b, c) = (s1.norm_squared() - q1 * q1, s0.dot(&s1) - q0 * q1, s0.norm_squared() - q0 * q0);
            let root = (b * b - a * c).sqrt();
            breaks.extend([-n0 / n1, (-b - root) / a, (-b + root) / a]);
        }
        let holds = |force_kn: f64| {
            let moved = from + by * force_kn;
            self.joints.iter().enumerate().all(|(i, joint)| {
                let normal_kn = joint.pressed_kn(&moved);
                if is_open(i) {
                    return normal_kn <= self.open_kn;
                }
                let strength_kn = joint.strength_kn(normal_kn, self.open_kn);
                normal_kn >= -self.open_kn && joint.elastic_kn(&moved).norm() <= strength_kn + self.open_kn
            })
        };
        breaks.retain(|b| b.is_finite());
        breaks.sort_by(|a, b| a.abs().total_cmp(&b.abs()));
        // The forces under which nothing slips are one run; the break nearest to none that is in it is either none
        // itself or its nearer end, which rounding may put just outside.
        let by_kn = ROUNDING_SHARE * self.size_kn;
        let force_kn =
            breaks.into_iter().find_map(|b| [b, b - by_kn, b + by_kn].into_iter().find(|&f| holds(f)))?;
        Some((from + by * force_kn, force_kn))
    }

    /// Where joints slip whatever holds the wedge: held where it stands along its movement while stress comes on by
    /// and by, so that joints slip no more than they have to.
    fn clamped_by_and_by(&self) -> Option<Place> {
        let scaled = |share: f64| Self {
            joints: self
                .joints
                .iter()
                .map(|j| Spring { normal_kn: j.normal_kn * share, shear_kn: j.shear_kn * share, ..*j })
                .collect(),
            load_across_kn: self.load_across_kn * share,
            ..*self
        };
        let nothing = scaled(0.0);
        let first = nothing.place(Vec3::zeros(), &vec![Vec3::zeros(); self.joints.len()]);
        (1..=RAMP).try_fold(first, |place, k| scaled(f64::from(k) / f64::from(RAMP)).moved_to(0.0, &place))
    }

    /// The force along the movement up to which no joint gives, and the greatest in balance, with the joints' forces there.
    /// `None` where no balance is found to begin with.
    fn greatest(&self) -> Option<(f64, f64, Forces)> {
        let start = self.start()?;
        let begun = start.moved.dot(&self.direction);
        let first = start.clone();
        let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
        for (joint, (normal_kn, _)) in self.joints.iter().zip(&start.forces) {
            let away = joint.inward.dot(&self.direction).abs();
            let slips =
                (joint.strength_kn(*normal_kn, self.open_kn) + joint.shear_kn.norm()) / joint.stiffness[1];
            let opens = normal_kn / (joint.stiffness[0] * away);
            for scale in [slips, opens].into_iter().filter(|s| s.is_finite() && *s > 0.0) {
                (least, most) = (least.min(scale), most.max(scale));
            }
        }
        let (mut step, mut ahead) = (FIRST_STEP * least, 0.0);
        let outward = std::iter::from_fn(|| {
            (step.is_finite() && ahead <= LAST_STEP * most).then(|| {
                ahead += step;
                step *= STEP_RATIO;
                begun + ahead
            })
        });
        let (mut way, mut best) = self.walked(start, outward.take(MOST_STEPS - 1));
        let mut found = way[best].clone();
        for _ in 0..REFINED {
            let from = way[best.saturating_sub(1)].clone();
            let to = way.get(best + 1).unwrap_or(&way[best]).moved.dot(&self.direction);
            let start = from.moved.dot(&self.direction);
            let part = |k: u32| start + (to - start) * f64::from(k) / f64::from(PARTS);
            (way, best) = self.walked(from, (1..=PARTS).map(part));
            if way[best].held_kn > found.held_kn {
                found = way[best].clone();
            }
        }
        // Where all that is ever held is nothing, the wedge has come loose: what it asks for is what it asked first.
        let loose = found.held_kn <= self.open_kn && first.held_kn < found.held_kn;
        let held = if loose { first.clone() } else { found };
        Some((first.held_kn, held.held_kn, held.forces))
    }

    /// Places one after the other from one on, each so far along the movement, as long as there is a balance; and which
    /// of them holds most, the first of equals.
    fn walked(&self, from: Place, along: impl Iterator<Item = f64>) -> (Vec<Place>, usize) {
        let (mut way, mut best) = (vec![from], 0);
        for along in along {
            let Some(next) = way.last().and_then(|last| self.moved_to(along, last)) else { break };
            if next.held_kn > way[best].held_kn {
                best = way.len();
            }
            way.push(next);
        }
        (way, best)
    }
}

#[cfg(test)]
mod tests;
