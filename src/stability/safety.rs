use super::Hung;
use super::motion::{Mode, Motion, components};
use crate::orientation::Vec3;
use crate::strength::MohrCoulomb;

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
}

impl Stability {
    /// The equilibrium of a wedge with these joints (unit normals into the block, strengths,
    /// face areas in square metres) under a motion found for the same joints.
    #[must_use]
    pub fn new(motion: Motion, inward: [Vec3; 3], strengths: &[MohrCoulomb; 3], areas_m2: &[f64; 3]) -> Self {
        Self {
            motion,
            tan_friction: strengths.map(MohrCoulomb::tan_friction),
            cohesion_kn: std::array::from_fn(|i| {
                if motion.normal_kn[i] > 0.0 { strengths[i].cohesion_kpa * areas_m2[i] } else { 0.0 }
            }),
            inward,
            hung: Hung::default(),
        }
    }

    /// The same with a note of what hangs from the wedge; `motion` was found with it already.
    #[must_use]
    pub fn hanging(self, hung: Hung) -> Self {
        Self { hung, ..self }
    }

    /// What hangs from the wedge.
    #[must_use]
    pub fn hung(&self) -> &Hung {
        &self.hung
    }

    /// Where the active force acts, of a wedge with this centroid: both are local, apex at s = 0.
    /// Weight and hung load are parallel, so it is their weighted mean.
    #[must_use]
    pub fn acts_at(&self, centroid: &Vec3) -> Vec3 {
        let whole_kn = self.active_kn().norm();
        if self.hung.kn > 0.0 && whole_kn > 0.0 {
            centroid + (self.hung.at - centroid) * (self.hung.kn / whole_kn)
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
        Self { cohesion_kn: [0.0; 3], ..*self }.fs_bare()
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

    /// Resistance along the movement, kN: joints in contact and support.
    #[must_use]
    pub fn resistance_kn(&self, support: &Reaction) -> f64 {
        let mut resistance = support.against_kn;
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
        if self.gain_kn(&reaction) <= 0.0 { Reaction::default() } else { reaction }
    }
}
