use crate::orientation::Vec3;
use crate::wedge::{FaceField, FaceIntegral};

/// Unit weight of water, kN/m³: 1000 kg/m³ at standard gravity.
pub const WATER_KN_M3: f64 = 9.81;

/// Water on the joint faces of wedges, as a steady pressure.
#[derive(Debug, Clone, PartialEq)]
pub struct Water {
    /// How the pressure is distributed.
    pub model: WaterModel,
    /// The joints it acts on, places in the case's list; `None` is all of them.
    pub joints: Option<Vec<usize>>,
    /// Its unit weight, kN/m³.
    pub unit_weight_kn_m3: f64,
    /// Where the numbers come from.
    pub source: Option<String>,
}

/// How the pressure on a joint face is distributed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WaterModel {
    /// The same all over the joint faces.
    Pressure {
        /// kPa.
        kpa: f64,
    },
    /// A head at the apex, from there falling linearly to zero at the traces: on each triangle a third of it in
    /// the mean.
    ApexHead {
        /// Metres of water.
        head_m: f64,
    },
    /// As [`WaterModel::ApexHead`], with a head that grows with the depth of the apex behind the opening.
    HeadPerMetre {
        /// Metres of water for each metre.
        m_per_m: f64,
    },
    /// A level water table, hydrostatic below it, up to the traces.
    Table {
        /// Metres of true level above the middle of the floor, where the drive passes the apex; of a wedge at the
        /// face, at the face.
        level_m: f64,
    },
}

/// What water presses onto the joint faces of one wedge.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WaterForces {
    /// Force on each joint face, along its inward normal, kN.
    pub kn: [f64; 3],
    /// Its centre of pressure, local (u, s, v), as the wedge's apex is counted, metres; the origin where there is no
    /// force.
    pub at: [Vec3; 3],
}

impl Water {
    /// Whether it presses on anything at all: a table at the floor does on what lies below it.
    #[must_use]
    pub fn presses(&self) -> bool {
        match self.model {
            WaterModel::Pressure { kpa: much }
            | WaterModel::ApexHead { head_m: much }
            | WaterModel::HeadPerMetre { m_per_m: much } => much > 0.0,
            WaterModel::Table { .. } => true,
        }
    }

    /// Whether it acts on a joint of the case.
    #[must_use]
    pub fn acts_on(&self, joint: usize) -> bool {
        self.joints.as_ref().is_none_or(|joints| joints.contains(&joint))
    }

    /// The pressure over the joint faces of a wedge, kPa: `depth_m` is how far its apex lies behind the opening, `up`
    /// the unit vector upward in the frame of the wedge, whose origin is the middle of the floor.
    #[must_use]
    pub fn pressure_kpa(&self, depth_m: f64, up: &Vec3) -> FaceField {
        let unit = self.unit_weight_kn_m3;
        match self.model {
            WaterModel::Pressure { kpa } => FaceField::Linear { at_origin: kpa, per_m: Vec3::zeros() },
            WaterModel::ApexHead { head_m } => FaceField::FromApex(unit * head_m),
            WaterModel::HeadPerMetre { m_per_m } => FaceField::FromApex(unit * m_per_m * depth_m),
            WaterModel::Table { level_m } => {
                FaceField::Linear { at_origin: unit * level_m, per_m: -up * unit }
            }
        }
    }
}

impl WaterForces {
    /// Of what the pressure on each joint comes to.
    #[must_use]
    pub fn of(faces: [FaceIntegral; 3]) -> Self {
        Self { kn: faces.map(|f| f.whole), at: faces.map(|f| f.centre) }
    }

    /// On each joint, kN, in the frame of its inward normals.
    #[must_use]
    pub fn vectors_kn(&self, inward: &[Vec3; 3]) -> [Vec3; 3] {
        std::array::from_fn(|i| inward[i] * self.kn[i])
    }

    /// Their resultant, kN.
    #[must_use]
    pub fn resultant_kn(&self, inward: &[Vec3; 3]) -> Vec3 {
        self.vectors_kn(inward).iter().sum()
    }

    /// Their moment about a point, kN·m.
    #[must_use]
    pub fn moment_knm(&self, inward: &[Vec3; 3], about: &Vec3) -> Vec3 {
        (0..3).map(|i| (self.at[i] - about).cross(&(inward[i] * self.kn[i]))).sum()
    }
}
