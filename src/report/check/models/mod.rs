//! Wedges, bolts and opening as bodies in space, for whatever reads meshes: glTF and STL.

mod scene;
mod solids;
mod space;

use super::drawings::section_dxf;
use super::outputs::Outputs;
use crate::report::paper::model::stl;
use crate::report::paper::output::{OutputError, OutputFile};
use space::Space;

impl Outputs<'_> {
    /// Wedges, bolts and opening in space: `models/wedges.glb`, an STL for each body, and `models/frame.json`,
    /// which says where they count from.
    pub(super) fn models(&self) -> Result<Vec<OutputFile>, OutputError> {
        let bodies = solids::bodies(self.case, self.whole);
        let space =
            Space::of(self.case, &self.whole.check.opening, &bodies, !self.whole.check.face.is_empty());
        let file = |name: &str, content: Vec<u8>| OutputFile { name: format!("models/{name}"), content };
        let scene = scene::scene(self.case, &space, &bodies);
        let mut files = vec![file("wedges.glb", scene.glb()?)];
        let units = "metres, east north up from models/frame.json";
        let opening = space.opening();
        files.push(file("opening.stl", stl(&opening, &format!("Opening; {units}"))));
        for body in &bodies {
            let solid = body.solid.moved(|p| space.place(body, p));
            let says = format!("{} {}; {units}", body.id, body.size.name());
            files.push(file(&format!("{}.stl", body.file_stem()), stl(&solid, &says)));
        }
        let mut text = serde_json::to_string_pretty(&space.frame_and_bodies(&bodies))?;
        text.push('\n');
        files.push(file("frame.json", text.into_bytes()));
        Ok(files)
    }

    /// The section for a drawing system: `drawings/section.dxf`.
    pub(super) fn drawings_as_lines(&self) -> Vec<OutputFile> {
        let section = section_dxf(self.case, self.deciding);
        vec![OutputFile::text("drawings/section.dxf", section.text())]
    }
}
