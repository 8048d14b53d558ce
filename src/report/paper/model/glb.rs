use serde_json::{Map, Value, json};

use super::Solid;
use crate::orientation::Vec3;
use crate::report::paper::sheet::Colour;

/// Codes of the glTF 2.0 specification.
const FLOAT: u32 = 5126;
const UNSIGNED_INT: u32 = 5125;
const ARRAY_BUFFER: u32 = 34962;
const ELEMENT_ARRAY_BUFFER: u32 = 34963;
const LINES: u32 = 1;
const TRIANGLES: u32 = 4;

/// Pieces of a GLB file stand on multiples of this many bytes.
const ALIGNED: usize = 4;

/// The share of a colour's light that a face sends back; the rest of the surface is dull rock.
const ROUGHNESS: f64 = 1.0;

/// What is drawn in one way.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct GlbMaterial {
    /// Its name.
    pub name: String,
    /// Its colour.
    pub colour: Colour,
    /// 1 where nothing shines through.
    pub opacity: f64,
    /// Whether both sides are seen.
    pub both_sides: bool,
}

/// What a node shows.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum GlbShape {
    /// A body; the material of each of its faces by its place.
    Solid(Solid, Vec<usize>),
    /// Lines from point to point, all of one material.
    Lines(Vec<[Vec3; 2]>, usize),
}

/// A named thing at a place of its own.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct GlbNode {
    /// Its name.
    pub name: String,
    /// Where its points count from, east, north, up; metres.
    pub at: Vec3,
    /// What it shows; points in east, north, up from `at`.
    pub shape: GlbShape,
    /// What else is said of it, an object.
    pub extras: Value,
    /// What goes with it; places counted from `at`.
    pub children: Vec<GlbNode>,
}

/// Things in space, metres; x east, y north, z up. Files of this form have y up, so that x stays east, up becomes
/// y and north becomes minus z.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct GlbScene {
    /// What it is called.
    pub name: String,
    /// What is said of the whole, an object.
    pub extras: Value,
    /// Ways of drawing.
    pub materials: Vec<GlbMaterial>,
    /// The things.
    pub nodes: Vec<GlbNode>,
}

/// The document and its bytes in the making.
#[derive(Default)]
struct Writer {
    bytes: Vec<u8>,
    views: Vec<Value>,
    accessors: Vec<Value>,
    meshes: Vec<Value>,
    nodes: Vec<Value>,
}

impl GlbScene {
    /// The scene as a file of glTF 2.0 in its binary form.
    ///
    /// # Errors
    /// When the document does not serialise, which no scene can cause.
    pub(crate) fn glb(&self) -> Result<Vec<u8>, serde_json::Error> {
        let mut writer = Writer::default();
        let roots: Vec<usize> = self.nodes.iter().map(|node| writer.node(node)).collect();
        let materials: Vec<Value> = self.materials.iter().map(material).collect();
        let document = json!({
            "asset": {
                "version": "2.0",
                "generator": format!("Backhold {}", env!("CARGO_PKG_VERSION")),
                "extras": self.extras,
            },
            "scene": 0,
            "scenes": [{ "name": self.name, "nodes": roots }],
            "nodes": writer.nodes,
            "meshes": writer.meshes,
            "materials": materials,
            "accessors": writer.accessors,
            "bufferViews": writer.views,
            "buffers": [{ "byteLength": writer.bytes.len() }],
        });
        let mut text = serde_json::to_vec(&document)?;
        padded(&mut text, b' ');
        padded(&mut writer.bytes, 0);
        let whole = 12 + 8 + text.len() + 8 + writer.bytes.len();
        let mut file = Vec::with_capacity(whole);
        file.extend(b"glTF");
        for number in [2, whole as u32, text.len() as u32] {
            file.extend(number.to_le_bytes());
        }
        file.extend(b"JSON");
        file.extend(text);
        file.extend((writer.bytes.len() as u32).to_le_bytes());
        file.extend(b"BIN\0");
        file.extend(writer.bytes);
        Ok(file)
    }
}

fn padded(bytes: &mut Vec<u8>, with: u8) {
    bytes.resize(bytes.len().next_multiple_of(ALIGNED), with);
}

/// In the axes of such files.
fn turned(point: &Vec3) -> [f64; 3] {
    [point.x, point.z, -point.y]
}

fn material(material: &GlbMaterial) -> Value {
    // Colours of screens are not linear in light, those of these files are.
    let linear = |c: u8| {
        let c = f64::from(c) / 255.0;
        if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
    };
    let Colour { red, green, blue } = material.colour;
    let mut value = json!({
        "name": material.name,
        "doubleSided": material.both_sides,
        "pbrMetallicRoughness": {
            "baseColorFactor": [linear(red), linear(green), linear(blue), material.opacity],
            "metallicFactor": 0.0,
            "roughnessFactor": ROUGHNESS,
        },
    });
    if material.opacity < 1.0 {
        value["alphaMode"] = json!("BLEND");
    }
    value
}

impl Writer {
    fn node(&mut self, node: &GlbNode) -> usize {
        let mut value = Map::new();
        value.insert("name".into(), json!(node.name));
        if node.at != Vec3::zeros() {
            value.insert("translation".into(), json!(turned(&node.at)));
        }
        value.insert("mesh".into(), json!(self.mesh(node)));
        if !node.extras.is_null() {
            value.insert("extras".into(), node.extras.clone());
        }
        let children: Vec<usize> = node.children.iter().map(|child| self.node(child)).collect();
        if !children.is_empty() {
            value.insert("children".into(), json!(children));
        }
        self.nodes.push(Value::Object(value));
        self.nodes.len() - 1
    }

    fn mesh(&mut self, node: &GlbNode) -> usize {
        let primitives: Vec<Value> = match &node.shape {
            GlbShape::Solid(solid, materials) => {
                let position = self.positions(solid.corners.iter());
                let faces = solid.faces.iter().zip(materials);
                let of_face = |writer: &mut Self, (face, material): (&super::SolidFace, &usize)| {
                    let indices = writer.indices(face.triangles.iter().flatten().copied());
                    json!({
                        "attributes": { "POSITION": position },
                        "indices": indices,
                        "mode": TRIANGLES,
                        "material": material,
                        "extras": { "face": face.name },
                    })
                };
                faces.map(|face| of_face(self, face)).collect()
            }
            GlbShape::Lines(lines, material) => {
                let position = self.positions(lines.iter().flatten());
                let indices = self.indices(0..2 * lines.len());
                vec![json!({
                    "attributes": { "POSITION": position },
                    "indices": indices,
                    "mode": LINES,
                    "material": material,
                })]
            }
        };
        self.meshes.push(json!({ "name": node.name, "primitives": primitives }));
        self.meshes.len() - 1
    }

    fn positions<'p>(&mut self, points: impl Iterator<Item = &'p Vec3>) -> usize {
        let (mut low, mut high) = ([f32::INFINITY; 3], [f32::NEG_INFINITY; 3]);
        let (from, mut count) = (self.bytes.len(), 0);
        for point in points {
            // The least and the most are those of the numbers as they are written.
            for (axis, value) in turned(point).map(|x| x as f32).into_iter().enumerate() {
                low[axis] = low[axis].min(value);
                high[axis] = high[axis].max(value);
                self.bytes.extend(value.to_le_bytes());
            }
            count += 1;
        }
        let view = self.view(from, ARRAY_BUFFER);
        self.accessors.push(json!({
            "bufferView": view, "componentType": FLOAT, "type": "VEC3", "count": count, "min": low, "max": high,
        }));
        self.accessors.len() - 1
    }

    fn indices(&mut self, indices: impl Iterator<Item = usize>) -> usize {
        let (from, mut count) = (self.bytes.len(), 0);
        for index in indices {
            self.bytes.extend((index as u32).to_le_bytes());
            count += 1;
        }
        let view = self.view(from, ELEMENT_ARRAY_BUFFER);
        self.accessors.push(json!({
            "bufferView": view, "componentType": UNSIGNED_INT, "type": "SCALAR", "count": count,
        }));
        self.accessors.len() - 1
    }

    fn view(&mut self, from: usize, target: u32) -> usize {
        let length = self.bytes.len() - from;
        self.views.push(json!({
            "buffer": 0, "byteOffset": from, "byteLength": length, "target": target,
        }));
        self.views.len() - 1
    }
}
