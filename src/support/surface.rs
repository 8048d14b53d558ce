use super::{Covered, Span, joined};
use crate::opening::{Opening, Surface, Vec2};
use crate::wedge::{Chain, Shape};

/// Room for rounding where a face ends exactly at the lower edge of a screen.
const EDGE_TOLERANCE_M: f64 = 1e-9;

/// The end of a facet is looked up this share of its length before it, where the chain still counts
/// it to that facet.
const BEFORE_END_SHARE: f64 = 1e-9;

/// What a surface support is and what it was tested to carry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SurfaceKind {
    /// Mesh that the plates of the bolts hold.
    Screen {
        /// What one bay between bolts carries, kN.
        bay_kn: f64,
    },
    /// Straps that the plates of the bolts hold.
    Strap {
        /// What one bay between bolts carries, kN.
        bay_kn: f64,
    },
    /// Sprayed concrete that adheres to the rock.
    Shotcrete {
        /// Thickness, metres.
        thickness_m: f64,
        /// Direct shear strength, kPa.
        shear_strength_kpa: f64,
        /// Adhesion to the rock, kPa.
        adhesion_kpa: f64,
        /// Width of the strip along the perimeter over which adhesion acts, metres.
        adhesion_width_m: f64,
    },
}

impl SurfaceKind {
    /// The word that case files and tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Screen { .. } => "screen",
            Self::Strap { .. } => "strap",
            Self::Shotcrete { .. } => "shotcrete",
        }
    }
}

/// What gives first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SurfaceGovernedBy {
    /// The bay of a screen or strap.
    Bay,
    /// Shear through the thickness of shotcrete.
    Shear,
    /// Adhesion of shotcrete.
    Adhesion,
}

impl SurfaceGovernedBy {
    /// The word that tables use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Bay => "bay",
            Self::Shear => "shear",
            Self::Adhesion => "adhesion",
        }
    }
}

/// What a surface support carries of one wedge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfaceCapacity {
    /// kN.
    pub kn: f64,
    /// What gives first.
    pub governed_by: SurfaceGovernedBy,
}

/// Screen, straps or shotcrete: every number is the user's, there are no defaults.
#[derive(Debug, Clone, PartialEq)]
pub struct SurfaceSupport {
    /// The user's name for it.
    pub name: String,
    /// What it is and carries.
    pub kind: SurfaceKind,
    /// Which surfaces it covers.
    pub covers: Vec<Covered>,
    /// Height (section v) down to which it covers walls and the face of the heading, metres; `None` where it
    /// covers no wall, or the face down to the floor.
    pub lowest_m: Option<f64>,
    /// Where the numbers come from.
    pub source: Option<String>,
}

impl SurfaceSupport {
    /// What it carries of a wedge whose face has this perimeter, metres: the sum of its traces. A
    /// bay of screen or straps carries what it carries. Shotcrete gives way along the perimeter, by
    /// shear through its thickness or by losing its adhesion over a strip along it, whichever is
    /// less (Barrett & McCreath 1995, quoted at second hand).
    #[must_use]
    pub fn capacity(&self, perimeter_m: f64) -> SurfaceCapacity {
        match self.kind {
            SurfaceKind::Screen { bay_kn } | SurfaceKind::Strap { bay_kn } => {
                SurfaceCapacity { kn: bay_kn, governed_by: SurfaceGovernedBy::Bay }
            }
            SurfaceKind::Shotcrete { thickness_m, shear_strength_kpa, adhesion_kpa, adhesion_width_m } => {
                let shear_kn = perimeter_m * thickness_m * shear_strength_kpa;
                let adhesion_kn = perimeter_m * adhesion_width_m * adhesion_kpa;
                if adhesion_kn < shear_kn {
                    SurfaceCapacity { kn: adhesion_kn, governed_by: SurfaceGovernedBy::Adhesion }
                } else {
                    SurfaceCapacity { kn: shear_kn, governed_by: SurfaceGovernedBy::Shear }
                }
            }
        }
    }

    /// Whether it covers a surface, at least in part.
    #[must_use]
    pub fn includes(&self, surface: Surface) -> bool {
        self.covers.iter().any(|c| c.includes(surface))
    }

    /// Whether it covers all of a wedge's face on a surface: of a wall and of the face of the heading, nothing
    /// of it lies below its lower edge. What hangs half out of a screen is not carried by it.
    #[must_use]
    pub fn covers_face(&self, opening: &Opening, shape: &Shape, surface: Surface) -> bool {
        let lowest_m = self.lowest_m.unwrap_or(f64::NEG_INFINITY) - EDGE_TOLERANCE_M;
        self.includes(surface)
            && (!(surface.is_wall() || surface == Surface::Face)
                || shape
                    .openings
                    .iter()
                    .filter(|f| opening.surface_of(f.facet) == surface)
                    .all(|f| f.polygon.iter().all(|p| p.z >= lowest_m)))
    }

    /// Whether it covers anything of the drive behind its face.
    #[must_use]
    pub fn is_behind_face(&self) -> bool {
        self.covers.iter().any(|&c| c != Covered::Face)
    }

    /// The part of one surface that it covers, metres along a chain.
    #[must_use]
    pub fn covered_ground(&self, chain: &Chain, opening: &Opening, surface: Surface) -> Vec<Span> {
        if !self.includes(surface) {
            return Vec::new();
        }
        let lowest_m = self.lowest_m.filter(|_| surface.is_wall());
        ground_of(chain, opening, surface)
            .into_iter()
            .filter_map(|span| lowest_m.map_or(Some(span), |v| above(chain, span, v)))
            .collect()
    }

    /// How far it goes round the perimeter without a break, metres, a length for each stretch from the
    /// section's vertex 0 on: back and both walls are one, two walls are two.
    #[must_use]
    pub fn covered_lengths_m(&self, opening: &Opening) -> Vec<f64> {
        let section = &opening.section;
        let covered = (0..section.facets().len()).filter_map(|index| {
            let surface = opening.surface_of(index);
            if !self.includes(surface) {
                return None;
            }
            let span = Span { from_m: section.round_m()[index], to_m: section.round_m()[index + 1] };
            let (from, to) = (section.round()[index], section.round()[index + 1]);
            let lowest_m = self.lowest_m.filter(|_| surface.is_wall());
            lowest_m.map_or(Some(span), |v| part_above(span, from.y, to.y, v))
        });
        let mut stretches = joined(covered.collect());
        // Vertex 0 parts nothing.
        let whole_m = section.perimeter_m();
        let (first, last) = (stretches.first().copied(), stretches.last().copied());
        if let (Some(first), Some(last), true) = (first, last, stretches.len() > 1)
            && joined(vec![Span { from_m: last.from_m - whole_m, to_m: last.to_m - whole_m }, first]).len()
                == 1
        {
            stretches.pop();
            stretches[0].from_m = last.from_m - whole_m;
        }
        stretches.iter().map(|s| s.to_m - s.from_m).collect()
    }
}

/// The facets of a chain that lie on a surface, one span each.
#[must_use]
pub fn ground_of(chain: &Chain, opening: &Opening, surface: Surface) -> Vec<Span> {
    let facets = opening.section.facets().len();
    (0..chain.vertices().len() - 1)
        .filter(|&k| opening.surface_of(chain.facet_index(k, facets)) == surface)
        .map(|k| Span { from_m: chain.vertex_along_m(k), to_m: chain.vertex_along_m(k + 1) })
        .collect()
}

/// The part of a straight span of a chain that lies above a height, metres; `None` where none does.
#[must_use]
pub fn above(chain: &Chain, span: Span, height_m: f64) -> Option<Span> {
    let length_m = span.to_m - span.from_m;
    let inside = BEFORE_END_SHARE * length_m;
    let (from, to): (Vec2, Vec2) = (chain.point_at(span.from_m), chain.point_at(span.to_m - inside));
    part_above(span, from.y, to.y, height_m)
}

/// The part above a height of a straight span that rises from one height to another.
fn part_above(span: Span, from_v_m: f64, to_v_m: f64, height_m: f64) -> Option<Span> {
    let length_m = span.to_m - span.from_m;
    let place = |v: f64| span.from_m + length_m * ((v - from_v_m) / (to_v_m - from_v_m)).clamp(0.0, 1.0);
    match (from_v_m >= height_m, to_v_m >= height_m) {
        (true, true) => Some(span),
        (false, false) => None,
        (true, false) => Some(Span { to_m: place(height_m), ..span }),
        (false, true) => Some(Span { from_m: place(height_m), ..span }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shotcrete(thickness_m: f64, adhesion_kpa: f64) -> SurfaceSupport {
        SurfaceSupport {
            name: "invented".into(),
            kind: SurfaceKind::Shotcrete {
                thickness_m,
                shear_strength_kpa: 2000.0,
                adhesion_kpa,
                adhesion_width_m: 0.03,
            },
            covers: vec![Covered::Back],
            lowest_m: None,
            source: None,
        }
    }

    /// Perimeter × bond width × strength: 4 × 1.2 m × 0.03 m × 0.5 MPa = 72 kN (derived; the width
    /// of 30 mm from memory).
    #[test]
    fn adhesion_along_the_perimeter() {
        let capacity = shotcrete(0.05, 500.0).capacity(4.0 * 1.2);
        assert!((capacity.kn - 72.0).abs() < 1e-12);
        assert_eq!(capacity.governed_by, SurfaceGovernedBy::Adhesion);
        // The twin that shears: 3.3 m × 0.006 m × 2000 kPa = 39.6 kN, less than 49.5 kN of adhesion.
        let capacity = shotcrete(0.006, 500.0).capacity(3.3);
        assert!((capacity.kn - 39.6).abs() < 1e-12);
        assert_eq!(capacity.governed_by, SurfaceGovernedBy::Shear);
    }

    #[test]
    fn a_bay_carries_the_same_whatever_the_perimeter() {
        let screen = SurfaceSupport { kind: SurfaceKind::Screen { bay_kn: 25.0 }, ..shotcrete(0.05, 1.0) };
        assert_eq!(screen.capacity(0.1), screen.capacity(9.0));
        assert_eq!(screen.capacity(1.0).kn, 25.0);
    }
}
