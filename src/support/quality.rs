use super::{Anchorage, Bolt};

/// What is left of a bolt's capacities in the ground as it is: corrosion, poor grout, dented plates.
/// Each is a share from 0 (nothing is left) to 1 (as tested).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quality {
    /// Of the load of bar, tube or strand.
    pub steel: f64,
    /// Of the bond a metre, or of the load of the anchor.
    pub bond: f64,
    /// Of the load of plate and nut.
    pub plate: f64,
}

impl Quality {
    /// As tested.
    pub const AS_TESTED: Self = Self { steel: 1.0, bond: 1.0, plate: 1.0 };

    /// Whether it takes nothing away.
    #[must_use]
    pub fn is_as_tested(&self) -> bool {
        *self == Self::AS_TESTED
    }
}

impl Bolt {
    /// The bolt with its capacities times what is left of them. Steel, hold in the rock and plate are
    /// parted because they age apart: corrosion thins a tube and its plate while the bond stays, a
    /// glove of film around resin takes bond and leaves the bar whole. Lengths stay as they are.
    #[must_use]
    pub fn at_quality(&self, quality: &Quality) -> Self {
        let anchorage = match self.anchorage {
            Anchorage::Bonded { bond_kn_per_m } => {
                Anchorage::Bonded { bond_kn_per_m: bond_kn_per_m * quality.bond }
            }
            Anchorage::PointAnchored { anchor_kn, anchor_length_m } => {
                Anchorage::PointAnchored { anchor_kn: anchor_kn * quality.bond, anchor_length_m }
            }
            Anchorage::BondedAtToe { bond_kn_per_m, set_length_m } => {
                Anchorage::BondedAtToe { bond_kn_per_m: bond_kn_per_m * quality.bond, set_length_m }
            }
        };
        Self {
            steel_kn: self.steel_kn * quality.steel,
            plate_kn: self.plate_kn * quality.plate,
            anchorage,
            ..self.clone()
        }
    }
}
