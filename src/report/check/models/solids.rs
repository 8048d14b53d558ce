use crate::case::Case;
use crate::orientation::Vec3;
use crate::report::paper::model::Solid;
use crate::study::{CheckedWedge, Whole};
use crate::support::Serving;
use crate::wedge::{Cone, Shape};

/// The face of every wedge that looks into the drive.
pub(super) const OPENING: &str = "opening";

/// Which of a pyramid's wedges a body is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Size {
    /// The largest admissible one, at its worst placement.
    Largest,
    /// The piece that decides, where it is carried least.
    Deciding,
}

impl Size {
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Largest => "largest",
            Self::Deciding => "deciding",
        }
    }
}

/// A wedge as a body where it sits.
#[derive(Debug, Clone)]
pub(super) struct Body {
    /// Id of the wedge.
    pub id: String,
    pub size: Size,
    pub volume_m3: f64,
    pub weight_kn: f64,
    /// Corners from the apex, local (u, s, v), metres; faces by the names of joints, then the opening.
    pub solid: Solid,
    /// The apex: local, at its chainage; at the face from the face.
    pub apex: Vec3,
    pub at_face: bool,
    pub verdict: &'static str,
    pub bolts: Vec<Serving>,
    /// The joints, in the order of the wedge's planes.
    pub sets: [usize; 3],
}

impl Body {
    /// Name of its file, without ending.
    pub(super) fn file_stem(&self) -> String {
        format!("{}_{}", self.id, self.size.name())
    }
}

/// Every wedge as its largest, and as the piece that decides where one was looked for; those at the face last.
pub(super) fn bodies(case: &Case, whole: &Whole) -> Vec<Body> {
    let mut found = Vec::new();
    let drive = whole.check.wedges.iter().map(|w| (w, false));
    for (wedge, at_face) in drive.chain(whole.check.face.iter().map(|w| (w, true))) {
        found.push(body(case, wedge, Size::Largest, at_face));
        if let Some(piece) = wedge.deciding() {
            found.push(body(case, &piece, Size::Deciding, at_face));
        }
    }
    found
}

fn body(case: &Case, wedge: &CheckedWedge, size: Size, at_face: bool) -> Body {
    let shape = wedge.worst_shape();
    let names = wedge.wedge.sets.map(|set| case.joints[set].name.as_str());
    let from_face = Vec3::new(0.0, wedge.apex_chainage_m(), 0.0);
    Body {
        id: wedge.wedge.id.clone(),
        size,
        volume_m3: shape.volume_m3,
        weight_kn: shape.volume_m3 * case.unit_weight_kn_m3,
        solid: solid_of(shape, &wedge.wedge.cone, &names),
        apex: shape.apex + if at_face { Vec3::zeros() } else { from_face },
        at_face,
        verdict: wedge.decided.verdict.name(),
        bolts: wedge.serving().unwrap_or_default().to_vec(),
        sets: wedge.wedge.sets,
    }
}

/// The body of a wedge, corners from its apex; faces `names` on its joints, then [`OPENING`].
pub(super) fn solid_of(shape: &Shape, cone: &Cone, names: &[&str; 3]) -> Solid {
    let polygons: Vec<Vec<Vec3>> =
        shape.openings.iter().map(|o| o.polygon.iter().map(|p| p - shape.apex).collect()).collect();
    let polygons: Vec<&[Vec3]> = polygons.iter().map(Vec::as_slice).collect();
    // The joint that both ends of the edge are nearest to.
    let joint_of = |from: &Vec3, to: &Vec3| {
        let off = |i: usize| cone.inward[i].dot(from).abs() + cone.inward[i].dot(to).abs();
        (1..3).fold(0, |best, i| if off(i) < off(best) { i } else { best })
    };
    Solid::from_apex(Vec3::zeros(), &polygons, OPENING, names, joint_of)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{TEMPLATE, parse_case};
    use crate::study::check;

    /// The divergence theorem and the exact shape are two ways to one volume.
    const SAME_VOLUME: f64 = 1e-9;

    #[test]
    fn every_wedge_of_the_samples_is_closed_and_encloses_its_volume() {
        let mut seen = 0;
        let sample = |name: &str| std::fs::read_to_string(format!("samples/{name}.toml")).unwrap();
        let cases = [TEMPLATE.to_owned(), sample("haulage"), sample("short_drive"), sample("structures")];
        for text in cases {
            let read = parse_case(&text, "case", &|_| unreachable!()).unwrap();
            let whole = check(&read.case).unwrap();
            for body in bodies(&read.case, &whole) {
                let is = (&body.id, body.size);
                assert!(body.solid.is_watertight(), "{is:?}");
                let off = (body.solid.volume_m3() / body.volume_m3 - 1.0).abs();
                assert!(off < SAME_VOLUME, "{is:?} {off}");
                let names: Vec<&str> = body.solid.faces.iter().map(|f| f.name.as_str()).collect();
                let joints = body.sets.map(|s| read.case.joints[s].name.as_str());
                assert_eq!(names, [joints[0], joints[1], joints[2], OPENING], "{is:?}");
                seen += 1;
            }
        }
        assert!(seen > 20, "{seen}");
    }
}
