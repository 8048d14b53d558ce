use super::Site;
use crate::opening::{DriveFrame, Opening, SectionError, SectionShape};
use crate::orientation::{Line, Plane, Vec3};
use crate::strength::{MohrCoulomb, StrengthLaw};
use crate::support::{Bolt, DowelShear, FaceBolts, Installation, LocalBolts, Pattern, SurfaceSupport};

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
    /// The joints that wedges are cut by: three or more sets, and mapped structures. Results speak of
    /// them by their place in this list.
    pub joints: Vec<Joint>,
    /// Caps on the size of wedges.
    pub limits: SizeLimits,
    /// What factor of safety is asked for.
    pub criteria: Criteria,
    /// The bolts that patterns name.
    pub bolts: Vec<Bolt>,
    /// The patterns of the whole drive; none is a check of the bare drive.
    pub patterns: Vec<Pattern>,
    /// Patterns over a stretch, then single bolts: they stand at their chainages and nowhere else, so they
    /// count for wedges that structures put there and for no others. Where results name a pattern by its
    /// place, these come after [`Case::patterns`].
    pub local: Vec<LocalBolts>,
    /// Bolts in the face of the heading: they count for wedges at the face and for no others, and the next
    /// round blasts them away. Where results name a pattern by its place, these come after [`Case::local`].
    pub face_bolts: Vec<FaceBolts>,
    /// How bolts get installed.
    pub installation: Installation,
    /// Screen, straps and shotcrete.
    pub surface_support: Vec<SurfaceSupport>,
    /// What of it covers the face of the heading: it counts for wedges at the face, and what covers the face
    /// alone stands here and not in [`Case::surface_support`].
    pub face_support: Vec<SurfaceSupport>,
    /// Excavation support ratio of the Q-system, where it is given; for advice alone.
    pub esr: Option<f64>,
    /// What is there besides what was designed.
    pub site: Site,
    /// Asks for a second factor of safety with the shear resistance of dowels; it never decides.
    pub dowel_shear: Option<DowelShear>,
}

impl Case {
    /// A drive without joints, bolts or caps, to be filled: north is the mine grid, everything that a
    /// case may leave out is left out.
    ///
    /// # Example
    /// ```
    /// use backhold::case::{Case, Criteria, Joint};
    /// use backhold::opening::SectionShape;
    /// use backhold::orientation::{Line, Plane};
    /// use backhold::strength::MohrCoulomb;
    ///
    /// let friction = |friction_deg| MohrCoulomb { friction_deg, cohesion_kpa: 0.0 };
    /// let plane = |dip_deg, dip_direction_deg| Plane { dip_deg, dip_direction_deg };
    /// let case = Case {
    ///     joints: vec![
    ///         Joint::set("A", plane(66.0, 48.0), friction(32.0)),
    ///         Joint::set("B", plane(59.0, 170.0), friction(30.0)),
    ///         Joint::set("C", plane(51.0, 288.0), friction(29.0)),
    ///     ],
    ///     ..Case::bare(
    ///         "heading 12 (invented)",
    ///         Line { trend_deg: 35.0, plunge_deg: 0.0 },
    ///         SectionShape::Arched { width_m: 5.0, wall_height_m: 3.2, rise_m: 1.6 },
    ///         3.6,
    ///         27.0,
    ///         Criteria::of(2.0, 1.5),
    ///     )
    /// };
    /// let found = backhold::check(&case)?;
    /// assert!(found.check.wedges.iter().any(|w| w.wedge.id == "A-B-C.111"));
    /// # Ok::<(), backhold::CheckError>(())
    /// ```
    #[must_use]
    pub fn bare(
        title: &str,
        advance: Line,
        shape: SectionShape,
        round_length_m: f64,
        unit_weight_kn_m3: f64,
        criteria: Criteria,
    ) -> Self {
        Self {
            title: title.to_owned(),
            north: "mine grid".to_owned(),
            source: None,
            advance,
            shape,
            round_length_m,
            last_ring_from_face_m: None,
            unit_weight_kn_m3,
            joints: Vec::new(),
            limits: SizeLimits::default(),
            criteria,
            bolts: Vec::new(),
            patterns: Vec::new(),
            local: Vec::new(),
            face_bolts: Vec::new(),
            installation: Installation::default(),
            surface_support: Vec::new(),
            face_support: Vec::new(),
            esr: None,
            site: Site::default(),
            dowel_shear: None,
        }
    }

    /// The pattern at a place of the list that has [`Case::local`] after [`Case::patterns`], and
    /// [`Case::face_bolts`] after both.
    ///
    /// # Panics
    /// For a place that the list does not have.
    #[must_use]
    pub fn pattern_at(&self, place: usize) -> &Pattern {
        match place.checked_sub(self.patterns.len()) {
            None => &self.patterns[place],
            Some(at) if at >= self.local.len() => self.face_bolts[at - self.local.len()].pattern(),
            Some(local) => self.local[local].pattern(),
        }
    }

    /// The place in that list of the first pattern on the face.
    #[must_use]
    pub fn first_on_face(&self) -> usize {
        self.patterns.len() + self.local.len()
    }

    /// The number of the pattern at a place of that list as the case file has it, from 1: single bolts are
    /// not among its patterns. `None` for a single bolt.
    #[must_use]
    pub fn pattern_number(&self, place: usize) -> Option<usize> {
        let spots = self.local.iter().filter(|b| b.is_spot()).count();
        if place >= self.first_on_face() {
            return Some(place - spots + 1);
        }
        self.spot_number(place).is_none().then_some(place + 1)
    }

    /// Which single bolt stands at a place of that list, counted from 1; `None` for a pattern.
    #[must_use]
    pub fn spot_number(&self, place: usize) -> Option<usize> {
        let local = place.checked_sub(self.patterns.len())?;
        let first = self.local.iter().position(LocalBolts::is_spot)?;
        (local >= first && local < self.local.len()).then(|| local - first + 1)
    }

    /// All screen, straps and shotcrete, in the order of the case file.
    pub fn every_surface(&self) -> impl Iterator<Item = &SurfaceSupport> {
        let alone = self.face_support.iter().filter(|s| !s.is_behind_face());
        self.surface_support.iter().chain(alone)
    }

    /// Whether anything is entered that supports the face itself.
    #[must_use]
    pub fn supports_face(&self) -> bool {
        !self.face_bolts.is_empty() || !self.face_support.is_empty()
    }

    /// The opening that the case describes.
    ///
    /// # Errors
    /// [`SectionError`] where its section is none.
    pub fn opening(&self) -> Result<Opening, SectionError> {
        Ok(Opening::new(self.shape.section()?, DriveFrame::new(self.advance)))
    }
}

/// What a case takes a joint to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum JointKind {
    /// A set of parallel joints: one may be anywhere.
    Set,
    /// One mapped plane, a fault or a single joint, that is where it is and nowhere else.
    Structure {
        /// A point that it passes through: u and v in the section, s the chainage, metres.
        through: Vec3,
    },
}

/// Joints of one orientation.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// Letters, digits and `_`.
    pub name: String,
    /// A set, or one structure.
    pub kind: JointKind,
    /// Mean orientation.
    pub plane: Plane,
    /// Shear strength, the straight line that wedges are balanced with.
    pub strength: MohrCoulomb,
    /// The law that it is the line of; `None` where it was given as a line.
    pub law: Option<StrengthLaw>,
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

impl Joint {
    /// A set of parallel joints, of which nothing but orientation and strength is known.
    #[must_use]
    pub fn set(name: &str, plane: Plane, strength: MohrCoulomb) -> Self {
        Self {
            name: name.to_owned(),
            kind: JointKind::Set,
            plane,
            strength,
            law: None,
            max_trace_m: None,
            spacing_m: None,
            trace_length_m: None,
            fisher_k: None,
            source: None,
        }
    }

    /// One mapped plane through a point, local (u, s, v), metres.
    #[must_use]
    pub fn structure(name: &str, plane: Plane, strength: MohrCoulomb, through: Vec3) -> Self {
        Self { kind: JointKind::Structure { through }, ..Self::set(name, plane, strength) }
    }
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
    /// Height above the floor down to which walls are judged, metres; 0 is all of them.
    pub judged_down_to_m: f64,
}

impl Criteria {
    /// Factors for falling and for sliding wedges, walls judged down to the floor, nothing for the bar.
    #[must_use]
    pub fn of(min_fs_falling: f64, min_fs_sliding: f64) -> Self {
        Self { min_fs_falling, min_fs_sliding, scaling_up_to_m3: None, judged_down_to_m: 0.0 }
    }

    /// Whether a piece of so many cubic metres is for the scaling bar.
    #[must_use]
    pub fn is_for_the_bar(&self, volume_m3: f64) -> bool {
        self.scaling_up_to_m3.is_some_and(|most| volume_m3 <= most)
    }
}
