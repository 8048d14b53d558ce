use super::Site;
use crate::opening::{DriveFrame, Opening, SectionError, SectionShape};
use crate::orientation::{Line, Plane};
use crate::strength::MohrCoulomb;
use crate::support::{Bolt, DowelShear, Installation, Pattern, SurfaceSupport};

/// One drive with all that a check needs to know of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// What the drive is called.
    pub title: String,
    /// The north that every azimuth of the case is counted from.
    pub north: String,
    /// Where the case's data come from.
    pub source: Option<String>,
    /// Trend and plunge of the advance.
    pub advance: Line,
    /// The section.
    pub shape: SectionShape,
    /// Length of a round, metres.
    pub round_length_m: f64,
    /// How far behind the face the last ring of every pattern stands, metres; `None` where it is
    /// not known.
    pub last_ring_from_face_m: Option<f64>,
    /// Unit weight of the rock, kN/m³.
    pub unit_weight_kn_m3: f64,
    /// The joint sets, three or more.
    pub joint_sets: Vec<JointSet>,
    /// Caps on the size of wedges.
    pub limits: SizeLimits,
    /// What factor of safety is asked for.
    pub criteria: Criteria,
    /// The bolts that patterns name.
    pub bolts: Vec<Bolt>,
    /// The patterns; none is a check of the bare drive.
    pub patterns: Vec<Pattern>,
    /// How bolts get installed.
    pub installation: Installation,
    /// Screen, straps and shotcrete.
    pub surface_support: Vec<SurfaceSupport>,
    /// Excavation support ratio of the Q-system, where it is given; for advice alone.
    pub esr: Option<f64>,
    /// What is there besides what was designed.
    pub site: Site,
    /// Asks for a second factor of safety with the shear resistance of dowels; it never decides.
    pub dowel_shear: Option<DowelShear>,
}

impl Case {
    /// The opening that the case describes.
    ///
    /// # Errors
    /// [`SectionError`] where its section is none.
    pub fn opening(&self) -> Result<Opening, SectionError> {
        Ok(Opening::new(self.shape.section()?, DriveFrame::new(self.advance)))
    }
}

/// A set of parallel joints.
#[derive(Debug, Clone, PartialEq)]
pub struct JointSet {
    /// Letters, digits and `_`.
    pub name: String,
    /// Mean orientation.
    pub plane: Plane,
    /// Shear strength.
    pub strength: MohrCoulomb,
    /// Cap on the trace that a wedge may have on this set, metres.
    pub max_trace_m: Option<f64>,
    /// Measured mean spacing, metres; caps nothing.
    pub spacing_m: Option<f64>,
    /// Measured mean trace length, metres; caps nothing.
    pub trace_length_m: Option<f64>,
    /// Fisher's K as measured; caps nothing.
    pub fisher_k: Option<f64>,
    /// Where its numbers come from.
    pub source: Option<String>,
}

/// Caps on wedges of every set; `None` means no cap.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SizeLimits {
    /// Longest trace on any set, metres; a set's own cap comes before it.
    pub max_trace_m: Option<f64>,
    /// Greatest depth of the apex, metres.
    pub max_depth_m: Option<f64>,
    /// Greatest extent along the drive, metres.
    pub max_length_m: Option<f64>,
    /// Greatest volume, cubic metres.
    pub max_volume_m3: Option<f64>,
}

/// The factors of safety that the site asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Criteria {
    /// Of falling wedges.
    pub min_fs_falling: f64,
    /// Of sliding wedges.
    pub min_fs_sliding: f64,
    /// Pieces up to this volume are for the scaling bar, cubic metres; `None` where the screen has
    /// to carry every piece.
    pub scaling_up_to_m3: Option<f64>,
}
