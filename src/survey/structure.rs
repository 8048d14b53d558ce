use super::Reading;

/// What stands apart from joints: one plane that is where it is, and part of no set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StructureKind {
    /// A fault.
    Fault,
    /// A shear.
    Shear,
    /// A contact of two kinds of rock.
    Contact,
    /// A dyke.
    Dyke,
}

impl StructureKind {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Fault, Self::Shear, Self::Contact, Self::Dyke];

    /// The kind in a word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fault => "fault",
            Self::Shear => "shear",
            Self::Contact => "contact",
            Self::Dyke => "dyke",
        }
    }

    /// The kind that a row's type says: by its first word, so that a fault zone is a fault and a joint near a
    /// fault is a joint.
    #[must_use]
    pub fn of_word(text: &str) -> Option<Self> {
        let first: String =
            text.trim().chars().take_while(|c| c.is_alphabetic()).flat_map(char::to_lowercase).collect();
        match first.as_str() {
            "fault" | "faults" => Some(Self::Fault),
            "shear" | "shears" => Some(Self::Shear),
            "contact" | "contacts" => Some(Self::Contact),
            "dyke" | "dykes" | "dike" | "dikes" => Some(Self::Dyke),
            _ => None,
        }
    }
}

/// A row whose type says that it is no joint.
#[derive(Debug, Clone, PartialEq)]
pub struct MappedStructure {
    /// A name of its own: letters, digits and `_`.
    pub name: String,
    /// What it is.
    pub kind: StructureKind,
    /// The type as it stood.
    pub as_read: String,
    /// Where it lies and what was recorded of it.
    pub reading: Reading,
    /// The row as it stood.
    pub row: String,
}

/// Words in a type column that mean a joint: others are warned about, once each.
pub(crate) fn means_joint(text: &str) -> bool {
    const JOINTS: [&str; 12] = [
        "joint",
        "joints",
        "jt",
        "j",
        "bedding",
        "foliation",
        "cleavage",
        "vein",
        "fracture",
        "schistosity",
        "bedding plane",
        "discontinuity",
    ];
    JOINTS.contains(&text.trim().to_lowercase().as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_word_of_a_type_decides() {
        use StructureKind::{Contact, Dyke, Fault, Shear};
        for (text, wanted) in [
            ("Fault", Some(Fault)),
            ("FAULT zone, 20 cm", Some(Fault)),
            ("shear", Some(Shear)),
            ("contact (basalt)", Some(Contact)),
            ("Dike", Some(Dyke)),
            ("joint near fault", None),
            ("faulted joint", None),
            ("FLT", None),
            ("", None),
        ] {
            assert_eq!(StructureKind::of_word(text), wanted, "{text}");
        }
        assert!(means_joint(" Joint ") && !means_joint("FLT"));
    }
}
