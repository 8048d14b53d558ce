use serde::{Deserialize, Serialize};

use super::{Anchorage, Bolt, BoltKind};

/// The state in which somebody found a bolt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Condition {
    /// As it was tested.
    #[serde(rename = "good")]
    Good,
    /// Plate or nut missing or loose: the head holds by bond alone.
    #[serde(rename = "no plate")]
    NoPlate,
    /// Resin or grout missing: nothing holds it in the rock. Bolts that hold without it do not have
    /// this state.
    #[serde(rename = "not grouted")]
    NotGrouted,
    /// Broken or corroded through: it carries nothing.
    #[serde(rename = "broken")]
    Broken,
    /// Drilled or marked and not there.
    #[serde(rename = "missing")]
    Missing,
}

impl Condition {
    /// All of them, the best first.
    pub const ALL: [Self; 5] = [Self::Good, Self::NoPlate, Self::NotGrouted, Self::Broken, Self::Missing];

    /// The word that files use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::NoPlate => "no plate",
            Self::NotGrouted => "not grouted",
            Self::Broken => "broken",
            Self::Missing => "missing",
        }
    }

    /// The bolt in this state; `None` where its kind cannot be in it.
    #[must_use]
    pub fn of(self, bolt: &Bolt) -> Option<Bolt> {
        let mut found = bolt.clone();
        match self {
            Self::Good => {}
            Self::NoPlate => found.plate_kn = 0.0,
            Self::NotGrouted => match (bolt.kind, &mut found.anchorage) {
                (
                    BoltKind::Resin | BoltKind::Cable,
                    Anchorage::Bonded { bond_kn_per_m } | Anchorage::BondedAtToe { bond_kn_per_m, .. },
                ) => *bond_kn_per_m = 0.0,
                _ => return None,
            },
            Self::Broken | Self::Missing => found.steel_kn = 0.0,
        }
        Some(found)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_each_state_leaves_by_hand() {
        let bar = Bolt {
            name: "bar".into(),
            kind: BoltKind::Resin,
            steel_kn: 120.0,
            anchorage: Anchorage::Bonded { bond_kn_per_m: 180.0 },
            plate_kn: 100.0,
            fast_length_m: None,
            source: None,
        };
        // 0.4 m inside the wedge, 1.9 m beyond: steel 120; without plate 180 · 0.4 = 72.
        let kn = |condition: Condition| condition.of(&bar).unwrap().capacity(0.4, 1.9).kn;
        let left = Condition::ALL.map(kn);
        for (found, expected) in left.into_iter().zip([120.0, 72.0, 0.0, 0.0, 0.0]) {
            assert!((found - expected).abs() < 1e-12, "{left:?}");
        }
        let tube = Bolt { kind: BoltKind::Friction, ..bar };
        assert!(Condition::NotGrouted.of(&tube).is_none());
    }
}
