use super::{Report, mesh_error, not_a_coordinate, vertex, within};
use crate::input::{Says, quoted};
use crate::opening::scan::Mesh;
use crate::orientation::Vec3;

/// A binary file begins with a header of free text and the number of triangles.
const HEADER_BYTES: usize = 80;
const COUNT_BYTES: usize = 4;
/// A triangle: its normal and three vertices in single precision, two bytes to spare.
const TRIANGLE_BYTES: usize = 50;
const NORMAL_BYTES: usize = 12;

/// Single precision of coordinates far from 0 is coarser than a survey; from here on that is worth
/// a note.
const COARSE_M: f64 = 0.005;

/// Reads an STL file, binary or text. Normals are not used: the order of corners does not matter
/// to a cut.
pub(super) fn read(bytes: &[u8], report: &mut Report) -> Mesh {
    let text = bytes.trim_ascii_start();
    let says_solid = text.get(..5).is_some_and(|word| word.eq_ignore_ascii_case(b"solid"));
    // Programs write "solid" into the header of binary files too: the length decides.
    let fits = triangle_count(bytes).is_some_and(|n| bytes.len() as u64 == whole_length(n));
    if fits || !says_solid || text.iter().take(1024).any(|&b| b == 0) {
        binary(bytes, report)
    } else {
        ascii(&String::from_utf8_lossy(bytes), report)
    }
}

fn triangle_count(bytes: &[u8]) -> Option<u32> {
    let count = bytes.get(HEADER_BYTES..HEADER_BYTES + COUNT_BYTES)?;
    Some(u32::from_le_bytes(count.try_into().ok()?))
}

fn whole_length(triangles: u32) -> u64 {
    (HEADER_BYTES + COUNT_BYTES) as u64 + TRIANGLE_BYTES as u64 * u64::from(triangles)
}

fn binary(bytes: &[u8], report: &mut Report) -> Mesh {
    let mut mesh = Mesh::default();
    let Some(count) = triangle_count(bytes) else {
        let found =
            format!("{} bytes, no STL: too short for the header of a binary file, and not text", bytes.len());
        report.file(found, "a whole STL file, binary or text", AGAIN);
        return mesh;
    };
    let (length, asked) = (bytes.len() as u64, whole_length(count));
    if length != asked {
        let what = if length < asked { "the file was cut short" } else { "more follows" };
        let found =
            format!("{length} bytes, where {count} triangles take {asked}: {what}, or it is no STL file");
        report.file(found, "a whole STL file, binary or text", AGAIN);
        return mesh;
    }
    let mut farthest = 0.0f64;
    for (index, triangle) in bytes[HEADER_BYTES + COUNT_BYTES..].chunks_exact(TRIANGLE_BYTES).enumerate() {
        if report.full() {
            return mesh;
        }
        let mut numbers = triangle[NORMAL_BYTES..]
            .chunks_exact(4)
            .map(|b| f64::from(f32::from_le_bytes([b[0], b[1], b[2], b[3]])));
        let mut at = || Vec3::from_fn(|_, _| numbers.next().unwrap_or(f64::NAN));
        let corners = [at(), at(), at()];
        let name = format!("triangle {}", index + 1);
        if let Some(number) = corners.iter().flat_map(|c| c.iter()).find(|n| !within(**n)) {
            report.add(0, &name, not_a_coordinate(&number.to_string()));
            continue;
        }
        farthest = corners.iter().map(|c| c.amax()).fold(farthest, f64::max);
        add(&mut mesh, &corners, 0, &name, report);
    }
    coarse(farthest, report);
    mesh
}

/// Says so where single precision (24 binary digits) is coarser than a survey.
fn coarse(farthest_m: f64, report: &mut Report) {
    let step_m = f64::from(f32::EPSILON) * farthest_m.max(1.0).log2().floor().exp2();
    if step_m > COARSE_M {
        report.note(
            format!(
                "coordinates up to {farthest_m:.0} m, which a binary STL file rounds to steps of {step_m:.3} m"
            ),
            "take a round number of metres off the mesh's coordinates and off the origin in the case, or export the mesh as OBJ",
        );
    }
}

fn add(mesh: &mut Mesh, corners: &[Vec3; 3], line: usize, name: &str, report: &mut Report) {
    let mut indices = [0u32; 3];
    for (index, corner) in indices.iter_mut().zip(corners) {
        match mesh.add_vertex(*corner) {
            Ok(i) => *index = i,
            Err(error) => return report.add(line, name, mesh_error(&error)),
        }
    }
    if let Err(error) = mesh.add_face(&indices) {
        report.add(line, name, mesh_error(&error));
    }
}

const AGAIN: &str = "export or copy the mesh again";
const WHOLE_FACET: &str = "facets of three vertices, each from facet to endfacet";

/// What a line of a text file may begin with.
const WORDS: &str = "solid, facet normal, outer loop, vertex, endloop, endfacet, endsolid";

/// A facet that is being read.
#[derive(Default)]
struct Facet {
    corners: Vec<Vec3>,
    /// One of its vertices has been reported.
    broken: bool,
}

fn ascii(text: &str, report: &mut Report) -> Mesh {
    let mut mesh = Mesh::default();
    let mut in_solid = false;
    let mut facet: Option<Facet> = None;
    let mut last = 1;
    for (index, line) in text.lines().enumerate() {
        if report.full() {
            return mesh;
        }
        let words: Vec<&str> = line.split_whitespace().collect();
        let Some(word) = words.first() else { continue };
        last = index + 1;
        match word.to_ascii_lowercase().as_str() {
            "solid" => in_solid = true,
            "endsolid" => in_solid = false,
            "facet" => facet = Some(Facet::default()),
            "outer" | "endloop" => {}
            "vertex" => match (vertex(&words[1..]), facet.as_mut()) {
                (Ok(at), Some(facet)) => facet.corners.push(at),
                (Ok(_), None) => {
                    report.add(last, "vertex", Says::new("a vertex outside of a facet", WHOLE_FACET, AGAIN));
                }
                (Err(says), facet) => {
                    report.add(last, "vertex", says);
                    if let Some(facet) = facet {
                        facet.broken = true;
                    }
                }
            },
            "endfacet" => match facet.take() {
                Some(facet) if facet.broken => {}
                Some(Facet { corners, .. }) => {
                    if let [a, b, c] = corners[..] {
                        add(&mut mesh, &[a, b, c], last, "facet", report);
                    } else {
                        let found = format!("a facet of {} vertices", corners.len());
                        report.add(last, "facet", Says::new(found, WHOLE_FACET, AGAIN));
                    }
                }
                None => {
                    report.add(last, "facet", Says::new("an endfacet without its facet", WHOLE_FACET, AGAIN))
                }
            },
            _ => report.add(last, "mesh", Says::new(quoted(line.trim()), WORDS, AGAIN)),
        }
    }
    if (facet.is_some() || in_solid) && !report.full() {
        let how = if facet.is_some() { "in the middle of a facet" } else { "without endsolid" };
        let found = format!("a file that ends {how}: it was cut short");
        report.add(last, "mesh", Says::new(found, "a whole STL file, down to endsolid", AGAIN));
    }
    mesh
}
