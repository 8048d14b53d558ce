//! Bodies as others read them: meshes, binary STL, binary glTF, lines of a drawing in DXF.
//!
//! It knows points, faces and names, no rock.

mod dxf;
mod glb;
mod solid;
mod stl;

pub(crate) use dxf::DxfDrawing;
pub(crate) use glb::{GlbMaterial, GlbNode, GlbScene, GlbShape};
pub(crate) use solid::{Solid, SolidFace};
pub(crate) use stl::stl;
