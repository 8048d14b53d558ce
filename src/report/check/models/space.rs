use serde_json::{Value, json};

use super::solids::Body;
use crate::case::Case;
use crate::opening::{Opening, SectionShape};
use crate::orientation::Vec3;
use crate::report::paper::model::Solid;
use crate::report::paper::numbers::Number;

/// The opening goes this far beyond the wedges, metres.
const BEYOND_M: f64 = 2.0;

/// Models count from chainage 0 unless their middle lies further than this from it, metres: the single
/// precision of mesh files then still tells a hundredth of a millimetre.
const NEAR_M: f64 = 100.0;

/// Where models count from is at a whole number of so many metres of chainage.
const ROUND_M: f64 = 10.0;

/// Where the bodies of a check stand in its models: east, north, up from one point of the drive.
#[derive(Debug, Clone, Copy)]
pub(super) struct Space<'a> {
    opening: &'a Opening,
    /// Chainage of the point at mid-floor that all coordinates count from.
    origin_chainage_m: f64,
    /// The middle of the floor at chainage 0 in the survey's coordinates, where the case knows it.
    surveyed_m: Option<Vec3>,
    /// The stretch of opening that is shown; wedges at the face stand at its end.
    stretch_m: [f64; 2],
    has_face: bool,
}

impl<'a> Space<'a> {
    pub(super) fn of(case: &Case, opening: &'a Opening, bodies: &[Body], has_face: bool) -> Self {
        let (mut from_m, mut to_m) = (f64::INFINITY, f64::NEG_INFINITY);
        for body in bodies.iter().filter(|b| !b.at_face) {
            for corner in &body.solid.corners {
                from_m = from_m.min(body.apex.y + corner.y);
                to_m = to_m.max(body.apex.y + corner.y);
            }
        }
        if from_m > to_m {
            (from_m, to_m) = (0.0, 0.0);
        }
        let behind_m =
            |body: &Body| body.solid.corners.iter().map(|c| -(body.apex.y + c.y)).fold(0.0, f64::max);
        let longest_m = bodies.iter().filter(|b| b.at_face).map(behind_m).fold(0.0, f64::max);
        let stretch_m = [from_m.min(to_m - longest_m) - BEYOND_M, to_m + BEYOND_M];
        let middle_m = 0.5 * (stretch_m[0] + stretch_m[1]);
        let far = middle_m.abs() > NEAR_M;
        let surveyed_m = match &case.shape {
            SectionShape::Scan(scan) => Some(scan.place.origin_m),
            _ => None,
        };
        Self {
            opening,
            origin_chainage_m: if far { (middle_m / ROUND_M).round() * ROUND_M } else { 0.0 },
            surveyed_m,
            stretch_m,
            has_face,
        }
    }

    /// Local (u, s, v) with s as a chainage to east, north, up in the models.
    fn world(&self, local: &Vec3) -> Vec3 {
        self.opening.frame.to_world(&(local - Vec3::new(0.0, self.origin_chainage_m, 0.0)))
    }

    /// Where a body's apex stands in the models.
    pub(super) fn apex(&self, body: &Body) -> Vec3 {
        let face_m = if body.at_face { self.stretch_m[1] } else { 0.0 };
        self.world(&(body.apex + Vec3::new(0.0, face_m, 0.0)))
    }

    /// A direction or an offset.
    pub(super) fn turned(&self, local: &Vec3) -> Vec3 {
        self.opening.frame.to_world(local)
    }

    /// A corner of a body, counted from its apex, in the models.
    pub(super) fn place(&self, body: &Body, corner: &Vec3) -> Vec3 {
        self.apex(body) + self.turned(corner)
    }

    /// The stretch of opening as a closed body: faces by surface, then its two ends.
    pub(super) fn opening(&self) -> Solid {
        let opening = self.opening;
        let outline: Vec<[f64; 2]> = opening.section.vertices().iter().map(|v| [v.x, v.y]).collect();
        let end = if self.has_face { "face" } else { "end" };
        let surface = |side: usize| opening.surface_of(side).name();
        Solid::swept(&outline, self.stretch_m, surface, ["start", end]).moved(|p| self.world(p))
    }

    /// What the models' coordinates mean, and which bodies there are.
    pub(super) fn frame_and_bodies(&self, bodies: &[Body]) -> Value {
        let row = |body: &Body| {
            json!({
                "wedge": body.id,
                "size": body.size.name(),
                "file": format!("{}.stl", body.file_stem()),
                "volume_m3": Number(body.volume_m3),
                "weight_kn": Number(body.weight_kn),
                "verdict": body.verdict,
                "apex_m": vector(self.apex(body)),
                "at_face": body.at_face,
            })
        };
        let mut told = self.frame();
        told["bodies"] = bodies.iter().map(row).collect();
        told
    }

    /// What the models' coordinates mean.
    pub(super) fn frame(&self) -> Value {
        let frame = &self.opening.frame;
        let along = self.turned(&Vec3::new(0.0, self.origin_chainage_m, 0.0));
        json!({
            "unit": "metre",
            "axes": "x east, y north, z up in the STL files; in wedges.glb, whose format has y up, x east, y up, z south",
            "origin": "middle of the drive's floor at origin_chainage_m",
            "origin_chainage_m": Number(self.origin_chainage_m),
            // The point that was taken off survey coordinates; null where the case has none.
            "subtracted_origin_m": self.surveyed_m.map(|o| vector(o + along)),
            "right_u": vector(frame.right().into_inner()),
            "along_s": vector(frame.along().into_inner()),
            "up_v": vector(frame.up().into_inner()),
            "opening_from_chainage_m": Number(self.stretch_m[0]),
            "opening_to_chainage_m": Number(self.stretch_m[1]),
            "wedges_at_the_face_stand_at_chainage_m": self.has_face.then_some(Number(self.stretch_m[1])),
        })
    }
}

fn vector(v: Vec3) -> [Number; 3] {
    [Number(v.x), Number(v.y), Number(v.z)]
}
