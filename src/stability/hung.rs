use crate::opening::{Section, Vec2};
use crate::orientation::Vec3;
use crate::wedge::{AXIS_TOLERANCE, Chain, Cone, Footprint, ON_FACE_M};

/// A load that hangs from the surface: a fan, a pipe, a duct. It pulls true vertically.
#[derive(Debug, Clone, PartialEq)]
pub struct HungLoad {
    /// The user's name for it.
    pub name: String,
    /// How much it is.
    pub size: HungSize,
    /// Where it hangs: arc length from the crown, metres, positive to the right of the advance.
    pub arc_m: f64,
    /// Where the number comes from.
    pub source: Option<String>,
}

/// How much hangs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HungSize {
    /// From one place.
    AtPlace {
        /// kN.
        kn: f64,
        /// Its chainage, metres; `None` where it may be anywhere along the drive.
        chainage_m: Option<f64>,
    },
    /// All along the drive.
    PerMetre {
        /// kN for each metre of drive.
        kn_per_m: f64,
    },
}

/// A hung load whose place on a section is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HungPlace {
    /// Metres along the section's perimeter from its vertex 0.
    pub along_m: f64,
    /// The place in the section.
    pub point: Vec2,
    /// How much hangs there.
    pub size: HungSize,
}

/// What hangs from one wedge.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Hung {
    /// kN, downward.
    pub kn: f64,
    /// Where its resultant acts; local (u, s, v), apex at s = 0, metres. Meaningless where nothing
    /// hangs.
    pub at: Vec3,
}

impl HungPlace {
    /// The place of a load on a section.
    #[must_use]
    pub fn of(load: &HungLoad, section: &Section) -> Self {
        let place = section.at(section.crown_m() - load.arc_m, 0.0);
        Self { along_m: place.along_m, point: place.point, size: load.size }
    }

    /// The places of the apex along the drive, from the load, at which the wedge's face covers the
    /// load's place in the section: s of the load from the apex, least and greatest.
    fn stretch_m(
        &self,
        chain: &Chain,
        cone: &Cone,
        foot: &Footprint,
        perimeter_m: f64,
    ) -> Option<(f64, f64)> {
        let mut along_m = (self.along_m - chain.offset_m()).rem_euclid(perimeter_m);
        if along_m > perimeter_m - ON_FACE_M {
            along_m -= perimeter_m;
        }
        if along_m < foot.along_m[0] - ON_FACE_M || along_m > foot.along_m[2] + ON_FACE_M {
            return None;
        }
        let offset = self.point - foot.apex;
        let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
        for m in &cone.inward {
            let across = m.x * offset.x + m.z * offset.y;
            if m.y > AXIS_TOLERANCE {
                low = low.max(-across / m.y);
            } else if m.y < -AXIS_TOLERANCE {
                high = high.min(-across / m.y);
            }
        }
        (low <= high + ON_FACE_M && low.is_finite() && high.is_finite()).then_some((low, high.max(low)))
    }
}

/// What hangs from the wedge with a footprint. Where the chainage of its apex is known
/// (`apex_chainage_m`), a load whose chainage is known hangs from it or not; everywhere else the
/// wedge may be wherever most hangs from it: a load at one place without a chainage is taken by
/// every wedge whose face can cover it, and of loads with chainages as many as it can cover at once.
/// A load without a chainage is taken to act at the middle of the stretch that the face covers.
#[must_use]
pub fn hung_on(
    places: &[HungPlace],
    chain: &Chain,
    cone: &Cone,
    foot: &Footprint,
    perimeter_m: f64,
    apex_chainage_m: Option<f64>,
) -> Hung {
    let mut sum = Hung::default();
    let add = |sum: &mut Hung, kn: f64, point: &Vec2, s: f64| {
        sum.kn += kn;
        sum.at += Vec3::new(point.x, s, point.y) * kn;
    };
    let stretch = |place: &HungPlace| place.stretch_m(chain, cone, foot, perimeter_m);
    for place in places {
        let Some((low, high)) = stretch(place) else { continue };
        match place.size {
            HungSize::AtPlace { kn, chainage_m: None } => add(&mut sum, kn, &place.point, 0.5 * (low + high)),
            HungSize::PerMetre { kn_per_m } => {
                add(&mut sum, kn_per_m * (high - low), &place.point, 0.5 * (low + high));
            }
            HungSize::AtPlace { chainage_m: Some(_), .. } => {}
        }
    }
    // Loads with chainages: most hang from the wedge where the last of them is just on its face.
    let surveyed = |apex_m: f64| {
        let mut there = Hung::default();
        for place in places {
            if let HungSize::AtPlace { kn, chainage_m: Some(chainage_m) } = place.size
                && let Some((low, high)) = stretch(place)
                && (low - ON_FACE_M..=high + ON_FACE_M).contains(&(chainage_m - apex_m))
            {
                add(&mut there, kn, &place.point, chainage_m - apex_m);
            }
        }
        there
    };
    let most = match apex_chainage_m {
        Some(apex_m) => surveyed(apex_m),
        None => places
            .iter()
            .filter_map(|place| match place.size {
                HungSize::AtPlace { chainage_m: Some(chainage_m), .. } => {
                    stretch(place).map(|(_, high)| surveyed(chainage_m - high))
                }
                _ => None,
            })
            .reduce(|a, b| if b.kn > a.kn { b } else { a })
            .unwrap_or_default(),
    };
    sum.kn += most.kn;
    sum.at += most.at;
    if sum.kn > 0.0 {
        sum.at /= sum.kn;
    }
    sum
}
