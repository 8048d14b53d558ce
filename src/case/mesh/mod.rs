//! Meshes as files: STL (binary and text) and OBJ. Coordinates are east, north, up in metres.

mod obj;
mod stl;

use crate::input::{Collector, Place, ProblemKind, Says};
use crate::opening::scan::{Mesh, MeshError};
use crate::orientation::Vec3;

/// Larger meshes are refused unread: 128 MiB are 2.7 million triangles, far more than one heading
/// needs.
pub const LARGEST_MESH_BYTES: usize = 128 << 20;

/// No coordinate lies further out: a mine grid in millimetres stays below it.
const FARTHEST: f64 = 1e11;

/// After this many problems the rest of a mesh is not read: they have one reason.
const MOST_PROBLEMS: usize = 20;

/// The mesh in a file's bytes; the ending of its name says which format it is. `None` when there
/// is a problem, which has been reported.
pub(super) fn read_mesh(name: &str, bytes: &[u8], file: usize, problems: &mut Collector) -> Option<Mesh> {
    let mut report = Report { file, count: 0, problems };
    let format = format_of(name)?;
    if bytes.iter().all(u8::is_ascii_whitespace) {
        report.file("an empty file", "a mesh", "export the mesh again");
        return None;
    }
    let mesh = match format {
        Format::Stl => stl::read(bytes, &mut report),
        Format::Obj => obj::read(&String::from_utf8_lossy(bytes), &mut report),
    };
    if report.count > 0 {
        return None;
    }
    if mesh.face_count() == 0 {
        report.file("a mesh without faces", "a surface of faces", "export the surface, not its points alone");
        return None;
    }
    Some(mesh)
}

/// Formats that are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Format {
    Stl,
    Obj,
}

/// The format that a name stands for by its ending.
pub(super) fn format_of(name: &str) -> Option<Format> {
    let ending = name.rsplit_once('.')?.1.to_ascii_lowercase();
    match ending.as_str() {
        "stl" => Some(Format::Stl),
        "obj" => Some(Format::Obj),
        _ => None,
    }
}

/// Reports what is wrong with one mesh.
struct Report<'a> {
    file: usize,
    count: usize,
    problems: &'a mut Collector,
}

impl Report<'_> {
    /// Whether so much is wrong that reading on makes no sense.
    fn full(&self) -> bool {
        self.count >= MOST_PROBLEMS
    }

    fn add(&mut self, line: usize, key: &str, says: Says) {
        let place = Place { file: self.file, line };
        self.count += 1;
        self.problems.add(ProblemKind::Value, place, key, says);
        if self.full() {
            let says = Says::new(
                format!("{MOST_PROBLEMS} problems; the rest of the mesh was not read"),
                "a mesh without problems",
                "export the mesh again",
            );
            self.problems.add(ProblemKind::File, place, "mesh", says);
        }
    }

    /// Something about the file as a whole.
    fn file(&mut self, found: impl Into<String>, allowed: &str, advice: &str) {
        self.count += 1;
        let place = Place { file: self.file, line: 0 };
        self.problems.add(ProblemKind::File, place, "mesh", Says::new(found, allowed, advice));
    }

    /// Worth knowing; the mesh is used all the same.
    fn note(&mut self, found: String, advice: &str) {
        let place = Place { file: self.file, line: 0 };
        self.problems.add(ProblemKind::Note, place, "mesh", Says::new(found, "", advice));
    }
}

/// Three numbers in words, as a vertex; or what is wrong with them.
fn vertex(words: &[&str]) -> Result<Vec3, Says> {
    let [x, y, z, ..] = words else {
        return Err(Says::new(
            format!("a vertex of {} numbers", words.len()),
            "three numbers: east, north, up",
            "export the mesh again; the file may have been cut short here",
        ));
    };
    let mut at = Vec3::zeros();
    for (i, word) in [x, y, z].into_iter().enumerate() {
        at[i] = word
            .parse::<f64>()
            .ok()
            .filter(|&number| within(number))
            .ok_or_else(|| not_a_coordinate(&crate::input::quoted(word)))?;
    }
    Ok(at)
}

fn within(number: f64) -> bool {
    number.is_finite() && number.abs() <= FARTHEST
}

fn not_a_coordinate(found: &str) -> Says {
    Says::new(
        format!("the coordinate {found}"),
        format!("a finite number from -{FARTHEST:e} to {FARTHEST:e}"),
        "delete the faces with broken vertices in the survey's software and export the mesh again",
    )
}

fn mesh_error(error: &MeshError) -> Says {
    Says::new(
        error.to_string(),
        "faces of three or more vertices that are in the file",
        "export the mesh again",
    )
}
