use serde::{Deserialize, Serialize};

/// Kinds of bolt, by the trade's names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum BoltKind {
    /// Bar in resin over its whole length.
    Resin,
    /// Bar or tube with an expanding anchor at its toe.
    Mechanical,
    /// Tube that holds by friction over its whole length.
    Friction,
    /// Strand in grout over its whole length.
    Cable,
}

impl BoltKind {
    /// The word that case files and tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Resin => "resin",
            Self::Mechanical => "mechanical",
            Self::Friction => "friction",
            Self::Cable => "cable",
        }
    }
}

/// How a bolt holds in the rock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Anchorage {
    /// Along its whole length in the hole, kN per metre. For friction bolts a flat figure is an
    /// approximation: their pull-out load grows less than in proportion to length.
    Bonded {
        /// kN a metre.
        bond_kn_per_m: f64,
    },
    /// At its toe alone.
    PointAnchored {
        /// kN, when the whole anchor sits beyond the joint.
        anchor_kn: f64,
        /// Length of the anchor at the toe, metres.
        anchor_length_m: f64,
    },
    /// Along the part at its toe alone: resin of which only the fast cartridge has set
    /// ([`Bolt::young`]).
    BondedAtToe {
        /// kN a metre.
        bond_kn_per_m: f64,
        /// Length that has set, from the toe, metres.
        set_length_m: f64,
    },
}

/// A bolt as it was tested: every number is the user's, there are no defaults.
#[derive(Debug, Clone, PartialEq)]
pub struct Bolt {
    /// The user's name for it.
    pub name: String,
    /// Its kind.
    pub kind: BoltKind,
    /// Breaking or yield load of the bar, tube or strand, kN, as the user defines it.
    pub steel_kn: f64,
    /// How it holds in the rock.
    pub anchorage: Anchorage,
    /// Load that plate and nut carry, kN; 0 where there is no plate.
    pub plate_kn: f64,
    /// Length at the toe that is set in fast resin, metres; `None` where it is not known, or where
    /// the bolt is not set in resin.
    pub fast_length_m: Option<f64>,
    /// Where the numbers come from.
    pub source: Option<String>,
}

/// What gives first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum GovernedBy {
    /// The bar.
    Steel,
    /// The part inside the wedge: plate and bond there.
    Head,
    /// The part beyond the joint.
    Toe,
}

impl GovernedBy {
    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Steel => "steel",
            Self::Head => "head",
            Self::Toe => "toe",
        }
    }
}

/// Capacity of a bolt at one crossing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Capacity {
    /// kN.
    pub kn: f64,
    /// What gives first.
    pub governed_by: GovernedBy,
}

impl Bolt {
    /// A bolt that is bonded over its whole length in the hole, kN and kN a metre.
    ///
    /// # Example
    /// ```
    /// use backhold::support::{Bolt, BoltKind};
    ///
    /// let rebar = Bolt::bonded("rebar (invented)", BoltKind::Resin, 120.0, 180.0, 100.0);
    /// // 0.5 m beyond the joint hold 90 kN.
    /// assert_eq!(rebar.capacity(1.7, 0.5).kn, 90.0);
    /// ```
    #[must_use]
    pub fn bonded(name: &str, kind: BoltKind, steel_kn: f64, bond_kn_per_m: f64, plate_kn: f64) -> Self {
        Self {
            name: name.to_owned(),
            kind,
            steel_kn,
            anchorage: Anchorage::Bonded { bond_kn_per_m },
            plate_kn,
            fast_length_m: None,
            source: None,
        }
    }

    /// A bolt with a mechanical anchor of this length at its toe, kN and metres.
    #[must_use]
    pub fn anchored(name: &str, steel_kn: f64, anchor_kn: f64, anchor_length_m: f64, plate_kn: f64) -> Self {
        Self {
            anchorage: Anchorage::PointAnchored { anchor_kn, anchor_length_m },
            ..Self::bonded(name, BoltKind::Mechanical, steel_kn, 0.0, plate_kn)
        }
    }

    /// The bolt as it is until its slow cartridge has set. Resin holds over its fast length at the
    /// toe alone, and the head by its plate: a bolt whose fast length is not known holds nothing
    /// yet, and neither does a cable, whose grout has not set. What holds by friction or by an
    /// expanding anchor holds at once.
    #[must_use]
    pub fn young(&self) -> Self {
        match (self.kind, self.anchorage) {
            (BoltKind::Resin | BoltKind::Cable, Anchorage::Bonded { bond_kn_per_m }) => Self {
                anchorage: Anchorage::BondedAtToe {
                    bond_kn_per_m,
                    set_length_m: self.fast_length_m.unwrap_or(0.0),
                },
                ..self.clone()
            },
            _ => self.clone(),
        }
    }

    /// Capacity where a joint crosses the bolt with `head_m` of it inside the wedge and `toe_m`
    /// beyond: the least of steel, toe and head.
    #[must_use]
    pub fn capacity(&self, head_m: f64, toe_m: f64) -> Capacity {
        let anchored = match self.anchorage {
            Anchorage::Bonded { .. } | Anchorage::BondedAtToe { .. } => true,
            Anchorage::PointAnchored { anchor_length_m, .. } => toe_m >= anchor_length_m,
        };
        self.capacity_when(head_m, toe_m, anchored)
    }

    /// As [`Bolt::capacity`], with the anchor's state given: at the very place where an anchor
    /// passes a joint both states count.
    pub(super) fn capacity_when(&self, head_m: f64, toe_m: f64, anchored: bool) -> Capacity {
        let (toe, head) = match self.anchorage {
            Anchorage::Bonded { bond_kn_per_m } => {
                (bond_kn_per_m * toe_m.max(0.0), self.plate_kn + bond_kn_per_m * head_m.max(0.0))
            }
            Anchorage::PointAnchored { anchor_kn, .. } => {
                (if anchored { anchor_kn } else { 0.0 }, self.plate_kn)
            }
            Anchorage::BondedAtToe { bond_kn_per_m, set_length_m } => {
                (bond_kn_per_m * toe_m.clamp(0.0, set_length_m), self.plate_kn)
            }
        };
        let mut capacity = Capacity { kn: self.steel_kn, governed_by: GovernedBy::Steel };
        if toe < capacity.kn {
            capacity = Capacity { kn: toe, governed_by: GovernedBy::Toe };
        }
        if head < capacity.kn {
            capacity = Capacity { kn: head, governed_by: GovernedBy::Head };
        }
        capacity
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rebar() -> Bolt {
        Bolt {
            name: "resin rebar".into(),
            kind: BoltKind::Resin,
            steel_kn: 120.0,
            anchorage: Anchorage::Bonded { bond_kn_per_m: 180.0 },
            plate_kn: 100.0,
            fast_length_m: None,
            source: None,
        }
    }

    #[test]
    fn a_bonded_bolt_by_hand_at_three_depths() {
        // Head 100 + 180·0.05 = 109 < steel 120 < toe.
        let shallow = rebar().capacity(0.05, 2.25);
        assert!((shallow.kn - 109.0).abs() < 1e-12 && shallow.governed_by == GovernedBy::Head);
        let middle = rebar().capacity(1.0, 1.3);
        assert!((middle.kn - 120.0).abs() < 1e-12 && middle.governed_by == GovernedBy::Steel);
        // Toe 180·0.3 = 54.
        let deep = rebar().capacity(2.0, 0.3);
        assert!((deep.kn - 54.0).abs() < 1e-12 && deep.governed_by == GovernedBy::Toe);
    }

    #[test]
    fn resin_holds_at_the_toe_alone_until_the_slow_cartridge_has_set() {
        let bolt = Bolt { fast_length_m: Some(0.5), ..rebar() };
        let young = bolt.young();
        // By hand, 2.3 m in the hole. 1.0 m inside the wedge, 1.3 m beyond: 180·0.5 = 90 at the toe,
        // less than plate 100 and steel 120; set: 120, the steel.
        let early = young.capacity(1.0, 1.3);
        assert!((early.kn - 90.0).abs() < 1e-12 && early.governed_by == GovernedBy::Toe);
        assert!((bolt.capacity(1.0, 1.3).kn - 120.0).abs() < 1e-12);
        // 0.3 m beyond, within the fast length: 180·0.3 = 54, young as set.
        assert!((young.capacity(2.0, 0.3).kn - 54.0).abs() < 1e-12);
        assert!((bolt.capacity(2.0, 0.3).kn - 54.0).abs() < 1e-12);
        // A fast length of 0.8 m holds 144: the plate alone holds the head, 100, where the set
        // bolt has 100 + 180·1.0.
        let early = Bolt { fast_length_m: Some(0.8), ..rebar() }.young().capacity(1.0, 1.3);
        assert!((early.kn - 100.0).abs() < 1e-12 && early.governed_by == GovernedBy::Head);
        // Not known, not counted; friction holds at once.
        assert!(rebar().young().capacity(1.0, 1.3).kn.abs() < 1e-12);
        let tube = Bolt { kind: BoltKind::Friction, ..rebar() };
        assert_eq!(tube.young(), tube);
    }

    #[test]
    fn a_mechanical_anchor_holds_only_wholly_beyond_the_joint() {
        let bolt = Bolt {
            kind: BoltKind::Mechanical,
            anchorage: Anchorage::PointAnchored { anchor_kn: 80.0, anchor_length_m: 0.2 },
            plate_kn: 70.0,
            ..rebar()
        };
        assert!((bolt.capacity(1.0, 0.2).kn - 70.0).abs() < 1e-12);
        assert!(bolt.capacity(1.0, 0.199).kn.abs() < 1e-12);
    }
}
