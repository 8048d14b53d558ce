use serde::Serialize;

use super::{Check, CheckedWedge, Wedge};
use crate::case::Case;
use crate::opening::{Surface, Vec2};
use crate::orientation::Vec3;
use crate::stability::Stability;
use crate::support::{Pattern, bolts_needed};
use crate::wedge::Shape;

/// What one surface has to carry for one wedge. A wedge on several surfaces is shared between
/// them by the area of its face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DemandRow {
    /// The surface.
    pub surface: Surface,
    /// Id of the wedge.
    pub wedge: String,
    /// Area of the wedge's face on the surface, square metres.
    pub area_m2: f64,
    /// Support force against the movement that the criterion asks of this surface, kN.
    pub force_needed_kn: f64,
    /// What the pattern gives at the worst placement, kN; `None` without a pattern.
    pub force_provided_kn: Option<f64>,
    /// Force needed over area, kPa.
    pub pressure_needed_kpa: f64,
    /// Bolts of the first pattern on the surface, each taken at the centroid of the face, that
    /// carry the force needed; `None` where such a bolt does nothing for the wedge.
    pub bolts_needed: Option<u32>,
    /// Needed over provided; infinite where nothing is provided, `None` without a pattern.
    pub utilisation: Option<f64>,
    /// The same of the piece that decides; `None` where none was looked for, or where it does not show on
    /// this surface.
    pub deciding: Option<DecidingDemand>,
}

/// What one surface has to carry of the piece that decides.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DecidingDemand {
    /// Volume of the whole piece, cubic metres.
    pub volume_m3: f64,
    /// Area of its face on the surface, square metres.
    pub area_m2: f64,
    /// The surface's share of the force against the movement that the criterion asks for, kN.
    pub force_needed_kn: f64,
    /// The surface's share of what the pattern gives, kN.
    pub force_provided_kn: f64,
    /// Force needed over area, kPa.
    pub pressure_needed_kpa: f64,
    /// As [`DemandRow::bolts_needed`].
    pub bolts_needed: Option<u32>,
    /// As [`DemandRow::utilisation`].
    pub utilisation: f64,
}

/// The demand of every wedge that moves, in the order of the check, surfaces in the order of
/// [`Surface::ALL`].
#[must_use]
pub fn demand(case: &Case, check: &Check) -> Vec<DemandRow> {
    let mut rows = Vec::new();
    for wedge in check.every().filter(|w| w.decided.criterion_fs.is_some()) {
        let whole_m2 = wedge.wedge.shape.opening_area_m2();
        let needed_kn = wedge.force_needed_kn();
        let provided_kn = wedge.force_provided_kn();
        let deciding = AtSize::of(wedge);
        let shows = |s: &Surface| {
            wedge.wedge.surfaces.contains(s)
                || deciding.as_ref().is_some_and(|g| g.piece.wedge.surfaces.contains(s))
        };
        for surface in Surface::ALL.into_iter().filter(shows) {
            let pattern = Drilled::on(case, surface);
            let deciding = deciding.as_ref().and_then(|g| g.on(case, check, wedge, surface, pattern));
            let pressure_needed_kpa = needed_kn / whole_m2;
            let mut row = DemandRow {
                surface,
                wedge: wedge.wedge.id.clone(),
                area_m2: 0.0,
                force_needed_kn: 0.0,
                force_provided_kn: provided_kn.map(|_| 0.0),
                pressure_needed_kpa,
                bolts_needed: Some(0),
                utilisation: provided_kn.map(|p| utilisation(needed_kn, p)),
                deciding,
            };
            if wedge.wedge.surfaces.contains(&surface) {
                let face = Face::of(check, &wedge.wedge.shape, surface);
                let share = face.area_m2 / whole_m2;
                let one_bolt_kn = pattern
                    .map(|p| face.one_bolt_kn(case, wedge, &wedge.wedge.shape, &wedge.wedge.stability, p));
                row.area_m2 = face.area_m2;
                row.force_needed_kn = needed_kn * share;
                row.force_provided_kn = provided_kn.map(|p| p * share);
                row.bolts_needed = one_bolt_kn.and_then(|one| bolts_needed(row.force_needed_kn, one));
            }
            rows.push(row);
        }
    }
    rows
}

/// A pattern on a surface.
#[derive(Debug, Clone, Copy)]
struct Drilled<'a> {
    pattern: &'a Pattern,
    /// Where its bolts go, of one on the face; others are aimed by where they stand.
    direction: Option<Vec3>,
}

impl<'a> Drilled<'a> {
    /// The first pattern of a case on a surface.
    fn on(case: &'a Case, surface: Surface) -> Option<Self> {
        let covers = |p: &&Pattern| p.covers.iter().any(|c| c.includes(surface));
        let in_drive = case.patterns.iter().find(covers).map(|pattern| Self { pattern, direction: None });
        let in_face = || {
            let bolts = case.face_bolts.first().filter(|_| surface == Surface::Face)?;
            Some(Self { pattern: bolts.pattern(), direction: Some(bolts.direction()) })
        };
        in_drive.or_else(in_face)
    }
}

fn utilisation(needed_kn: f64, provided_kn: f64) -> f64 {
    if needed_kn == 0.0 { 0.0 } else { needed_kn / provided_kn }
}

/// The piece that decides, where it sits.
struct AtSize {
    piece: CheckedWedge,
    needed_kn: f64,
    provided_kn: f64,
}

impl AtSize {
    fn of(wedge: &CheckedWedge) -> Option<Self> {
        let piece = wedge.deciding()?;
        Some(Self {
            needed_kn: piece.force_needed_kn(),
            provided_kn: piece.force_provided_kn().unwrap_or(0.0),
            piece,
        })
    }

    fn on(
        &self,
        case: &Case,
        check: &Check,
        wedge: &CheckedWedge,
        surface: Surface,
        pattern: Option<Drilled>,
    ) -> Option<DecidingDemand> {
        let Wedge { surfaces, shape, stability, .. } = &self.piece.wedge;
        if !surfaces.contains(&surface) {
            return None;
        }
        let face = Face::of(check, shape, surface);
        let whole_m2 = shape.opening_area_m2();
        let share = face.area_m2 / whole_m2;
        let force_needed_kn = self.needed_kn * share;
        let one_bolt_kn = pattern.map(|p| face.one_bolt_kn(case, wedge, shape, stability, p));
        Some(DecidingDemand {
            volume_m3: shape.volume_m3,
            area_m2: face.area_m2,
            force_needed_kn,
            force_provided_kn: self.provided_kn * share,
            pressure_needed_kpa: self.needed_kn / whole_m2,
            bolts_needed: one_bolt_kn.and_then(|one| bolts_needed(force_needed_kn, one)),
            utilisation: utilisation(self.needed_kn, self.provided_kn),
        })
    }
}

/// The part of a wedge's face on one surface.
struct Face {
    area_m2: f64,
    /// Centroid and mean outward normal, local (u, s, v), apex at s = 0.
    centroid: Vec3,
    normal: Vec3,
}

impl Face {
    fn of(check: &Check, shape: &Shape, surface: Surface) -> Self {
        let mut area_m2 = 0.0;
        let mut moment = Vec3::zeros();
        let mut normal = Vec3::zeros();
        for face in shape.openings.iter().filter(|f| check.opening.surface_of(f.facet) == surface) {
            area_m2 += face.area_m2;
            normal += check.opening.outward(face.facet) * face.area_m2;
            let anchor = face.polygon[0];
            for pair in face.polygon.windows(2) {
                let part = 0.5 * (pair[0] - anchor).cross(&(pair[1] - anchor)).norm();
                moment += (anchor + pair[0] + pair[1]) / 3.0 * part;
            }
        }
        Self {
            area_m2,
            centroid: moment / area_m2,
            normal: normal.try_normalize(f64::MIN_POSITIVE).unwrap_or_default(),
        }
    }

    /// What one bolt of the pattern, square to the face at its centroid, adds to the resistance
    /// along the movement, kN.
    fn one_bolt_kn(
        &self,
        case: &Case,
        wedge: &CheckedWedge,
        shape: &Shape,
        stability: &Stability,
        Drilled { pattern, direction }: Drilled,
    ) -> f64 {
        let direction = direction.unwrap_or(match pattern.aim {
            crate::support::Aim::Fan { origin } => {
                let away = Vec2::new(self.centroid.x, self.centroid.z) - origin;
                Vec3::new(away.x, 0.0, away.y).try_normalize(f64::MIN_POSITIVE).unwrap_or(self.normal)
            }
            crate::support::Aim::Boom(boom) => {
                let at = Vec2::new(self.centroid.x, self.centroid.z);
                let square = Vec2::new(self.normal.x, self.normal.z);
                // Where the boom does not reach the centroid itself, a bolt square to the face stands.
                boom.direction(at, square).map_or(self.normal, |hole| Vec3::new(hole.x, 0.0, hole.y))
            }
            crate::support::Aim::Normal | crate::support::Aim::Vertical => self.normal,
        });
        let from_apex = self.centroid - shape.apex;
        let head_m = wedge
            .wedge
            .cone
            .inward
            .iter()
            .filter_map(|m| {
                let into = m.dot(&direction);
                (into < 0.0).then(|| -m.dot(&from_apex) / into)
            })
            .fold(f64::INFINITY, f64::min);
        let toe_m = pattern.length_in_hole_m() - head_m;
        if toe_m < 0.0 {
            return 0.0;
        }
        let capacity = case.bolts[pattern.bolt].capacity(head_m, toe_m);
        stability.gain_kn(&stability.effect(&direction)) * capacity.kn
    }
}
