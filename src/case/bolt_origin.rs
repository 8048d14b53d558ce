use super::Case;
use super::file::BoltTable;
use super::presets::PresetOrigin;
use crate::support::{Anchorage, Bolt, Quality};

/// How a bolt of the case came to its numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct BoltOrigin {
    /// The preset that gave them; `None` where the case gives them itself.
    pub preset: Option<PresetOrigin>,
    /// What is left of them.
    pub quality: Quality,
    /// The bolt before that: as tested or typed. [`Case::bolts`] has it after.
    pub as_tested: Bolt,
}

/// What is left of a bolt, as its table says.
pub(super) fn quality_of(table: &BoltTable) -> Quality {
    let all = table.quality_factor.unwrap_or(1.0);
    Quality {
        steel: table.steel_factor.unwrap_or(all),
        bond: table.bond_factor.unwrap_or(all),
        plate: table.plate_factor.unwrap_or(all),
    }
}

/// Puts in force what is left of each bolt; its source says so from then on.
pub(super) fn apply_quality(
    case: &mut Case,
    qualities: &[Quality],
    presets: Vec<Option<PresetOrigin>>,
) -> Vec<BoltOrigin> {
    let mut presets = presets.into_iter();
    let bolts = case.bolts.iter_mut().zip(qualities);
    bolts
        .map(|(bolt, quality)| {
            let as_tested = bolt.clone();
            if !quality.is_as_tested() {
                let words = quality_words(&as_tested, quality);
                *bolt = Bolt { source: joined(bolt.source.as_deref(), &words), ..bolt.at_quality(quality) };
            }
            BoltOrigin { preset: presets.next().flatten(), quality: *quality, as_tested }
        })
        .collect()
}

/// What somebody says of a source, and what is known besides.
pub(super) fn joined(said: Option<&str>, more: &str) -> Option<String> {
    Some(said.map_or_else(|| more.to_owned(), |said| format!("{said}; {more}")))
}

fn quality_words(bolt: &Bolt, quality: &Quality) -> String {
    let hold = match bolt.anchorage {
        Anchorage::Bonded { bond_kn_per_m } | Anchorage::BondedAtToe { bond_kn_per_m, .. } => {
            format!("bond {} × {bond_kn_per_m} kN/m", quality.bond)
        }
        Anchorage::PointAnchored { anchor_kn, .. } => format!("anchor {} × {anchor_kn} kN", quality.bond),
    };
    format!(
        "what is left: steel {} × {} kN, {hold}, plate {} × {} kN",
        quality.steel, bolt.steel_kn, quality.plate, bolt.plate_kn
    )
}
