use super::{Report, mesh_error, vertex};
use crate::input::{Says, quoted};
use crate::opening::scan::Mesh;

/// Lines that carry looks and names, no surface.
const NO_SURFACE: [&str; 19] = [
    "vt",
    "vn",
    "vp",
    "o",
    "g",
    "s",
    "mg",
    "usemtl",
    "mtllib",
    "usemap",
    "maplib",
    "bevel",
    "c_interp",
    "d_interp",
    "lod",
    "shadow_obj",
    "trace_obj",
    "call",
    "csh",
];

/// Numbers that may follow `v`: a place, a weight, a colour, or both.
const VERTEX_NUMBERS: [usize; 4] = [3, 4, 6, 7];

const WORDS: &str = "v and f lines, and lines about names, normals and looks";

/// Reads an OBJ file: `v` and `f` lines, faces of any number of corners, indices from 1 or counted
/// back from the last vertex. Texture and normal indices are not used.
pub(super) fn read(text: &str, report: &mut Report) -> Mesh {
    let mut mesh = Mesh::default();
    // Faces may name vertices that follow.
    let mut faces: Vec<(usize, Vec<u32>)> = Vec::new();
    let mut lines_and_points = 0usize;
    let mut vertices = 0usize;
    for (number, line) in logical_lines(text) {
        if report.full() {
            return mesh;
        }
        let line = line.split('#').next().unwrap_or_default();
        let words: Vec<&str> = line.split_whitespace().collect();
        let Some((&word, rest)) = words.split_first() else { continue };
        match word {
            "v" => {
                // Counted whether good or not, so that the indices after it keep their meaning.
                vertices += 1;
                let count = rest.len();
                if count > 3 && !VERTEX_NUMBERS.contains(&count) {
                    let found = format!("a vertex of {count} numbers");
                    report.add(
                        number,
                        "v",
                        Says::new(found, "east, north, up; a weight or colour may follow", AGAIN),
                    );
                    continue;
                }
                match vertex(rest) {
                    Ok(at) => {
                        if let Err(error) = mesh.add_vertex(at) {
                            report.add(number, "v", mesh_error(&error));
                        }
                    }
                    Err(says) => report.add(number, "v", says),
                }
            }
            "f" | "fo" => match rest.iter().map(|w| index(w, vertices)).collect::<Result<Vec<u32>, Says>>() {
                Ok(corners) => faces.push((number, corners)),
                Err(says) => report.add(number, "f", says),
            },
            "l" | "p" => lines_and_points += 1,
            word if NO_SURFACE.contains(&word) => {}
            _ => {
                let advice = "export the surface as flat faces; curves and curved surfaces are not read";
                report.add(number, "mesh", Says::new(quoted(line.trim()), WORDS, advice));
            }
        }
    }
    if report.count > 0 {
        return mesh; // a vertex may be missing: indices would be wrong
    }
    for (number, corners) in faces {
        if report.full() {
            return mesh;
        }
        if let Err(error) = mesh.add_face(&corners) {
            let named = corners.iter().map(|&c| u64::from(c) + 1).max().unwrap_or_default();
            let says = if corners.len() < 3 {
                mesh_error(&error)
            } else {
                Says::new(
                    format!("a face that names vertex {named}, and there are {vertices}"),
                    "vertices that are in the file, counted from 1",
                    "export the mesh again; the file may have been cut short",
                )
            };
            report.add(number, "f", says);
        }
    }
    if lines_and_points > 0 {
        report.note(
            format!("{lines_and_points} lines or points, which are no surface and are left out"),
            "see that the heading's surface is made of faces",
        );
    }
    mesh
}

const AGAIN: &str = "export the mesh again as OBJ";

/// The index, from 0, that a corner of a face names: `7`, `7/1`, `7//3`, `-2`.
fn index(word: &str, vertices: usize) -> Result<u32, Says> {
    let bad = |found: String| {
        Says::new(
            found,
            "whole numbers: from 1, or from -1 back for the last vertices before the face",
            AGAIN,
        )
    };
    let number = word.split('/').next().unwrap_or_default();
    let Ok(number) = number.parse::<i64>() else {
        return Err(bad(format!("the corner {}", quoted(word))));
    };
    let index = match number {
        0 => return Err(bad("vertex 0".to_owned())),
        1.. => number - 1,
        _ => number + i64::try_from(vertices).unwrap_or(i64::MAX),
    };
    u32::try_from(index).map_err(|_| bad(format!("vertex {number}, with {vertices} vertices before it")))
}

/// Lines with their numbers; a line that ends in a backslash goes on in the next one.
fn logical_lines(text: &str) -> impl Iterator<Item = (usize, String)> {
    let mut lines = text.trim_start_matches('\u{feff}').lines().enumerate();
    std::iter::from_fn(move || {
        let (index, first) = lines.next()?;
        let mut line = first.trim_end().to_owned();
        while line.ends_with('\\') {
            line.pop();
            line.push(' ');
            match lines.next() {
                Some((_, more)) => line.push_str(more.trim_end()),
                None => break,
            }
        }
        Some((index + 1, line))
    })
}
