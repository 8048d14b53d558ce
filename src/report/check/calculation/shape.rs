//! The wedge by hand: edges, apex, faces, volume.

use super::sheet::{Sheet, num, vector};
use crate::opening::Surface;
use crate::orientation::Vec3;
use crate::study::CheckedWedge;
use crate::wedge::Shape;

impl Sheet<'_> {
    pub(super) fn edges(&mut self) {
        self.section("3 Edges and apex");
        self.line(if self.wedge.surfaces.contains(&Surface::Face) {
            "Edge i = ± mⱼ × mₖ, of unit length, with mᵢ · edge > 0. Each edge from the apex meets the opened drive or its face, at s = 0: the wedge is finite and can leave."
        } else {
            "Edge i = ± mⱼ × mₖ, of unit length, with mᵢ · edge > 0. Seen along the drive each edge meets the opening: the wedge is finite and can leave. The apex is where the lines back along the two outer edges cross in the section."
        });
        self.line("");
        self.line(
            "| edge off | edge_u | edge_s | edge_v | length_m | daylight_u_m | daylight_s_m | daylight_v_m |",
        );
        self.line("|---|---|---|---|---|---|---|---|");
        let apex = self.shape().apex;
        let ends = edge_ends(self.shape(), self.wedge);
        for (i, end) in ends.iter().enumerate() {
            let edge = self.wedge.cone.edges[i];
            let row = format!(
                "| {} | {} | {} | {} |",
                self.name(i),
                vector(&edge),
                num((end - apex).norm()),
                vector(end)
            );
            self.line(row);
        }
        self.line("");
        let depth = num(self.shape().depth_m);
        let length = num(self.shape().length_m);
        self.line(format!(
            "Apex: u {} m, s {} m, v {} m. Depth {depth} m. Length along the drive {length} m.",
            num(apex.x),
            if apex.y == 0.0 { "0".into() } else { num(apex.y) },
            num(apex.z)
        ));
    }

    pub(super) fn body(&mut self) {
        self.section("4 Faces, volume");
        self.line("Each facet of the opening that the wedge covers is the base of a pyramid with the apex: volume = area × height / 3.");
        self.line("");
        self.line("| facet | surface | area_m2 | height_m | volume_m3 |");
        self.line("|---|---|---|---|---|");
        for face in &self.wedge.worst_shape().openings {
            let row = format!(
                "| {} | {} | {} | {} | {} |",
                face.facet,
                self.check.opening.surface_of(face.facet).name(),
                num(face.area_m2),
                num(face.height_m),
                num(face.area_m2 * face.height_m / 3.0)
            );
            self.line(row);
        }
        self.line(format!(
            "| sum | | {} | | {} |",
            num(self.shape().opening_area_m2()),
            num(self.shape().volume_m3)
        ));
        self.line("");
        self.line("| joint | face_area_m2 | trace_m |");
        self.line("|---|---|---|");
        for i in 0..3 {
            let joint = &self.shape().joints[i];
            let row = format!("| {} | {} | {} |", self.name(i), num(joint.area_m2), num(joint.trace_m));
            self.line(row);
        }
    }
}

/// Where the edge off each plane daylights.
fn edge_ends(shape: &Shape, wedge: &CheckedWedge) -> [Vec3; 3] {
    // Edge i lies in planes j and k: it is the one point that their traces share.
    std::array::from_fn(|i| {
        let (j, k) = ((i + 1) % 3, (i + 2) % 3);
        let ends = |p: usize| [shape.joints[p].trace.first(), shape.joints[p].trace.last()];
        let pairs = ends(j).into_iter().flatten().flat_map(|p| {
            let other = ends(k).into_iter().flatten();
            other.map(move |q| ((p - q).norm(), *p))
        });
        pairs
            .reduce(|a, b| if b.0 < a.0 { b } else { a })
            .map_or(shape.apex + wedge.cone.edges[i], |nearest| nearest.1)
    })
}
