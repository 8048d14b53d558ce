//! A scanned section: from a mesh's bytes and the keys of a case to plain values.

use super::file::{AlongTable, DesignTable, SectionTable};
use super::mesh::{LARGEST_MESH_BYTES, format_of, read_mesh};
use crate::input::document::Node;
use crate::input::{Collector, ProblemKind, Says};
use crate::opening::scan::{
    CLOSED_GAP_M, LARGEST_ACROSS_M, MOST_CUT_POINTS, ScanError, ScanPlace, ScannedSection,
};
use crate::opening::{DriveFrame, SECTION_SIZE_M, Section, SectionShape};
use crate::orientation::{Line, Vec3};

/// From one cut along the drive to the next, metres, where a case does not say.
const EVERY_M: f64 = 1.0;

/// Most cuts along a drive: a heading of 300 m, every metre.
const MOST_CUTS: usize = 300;

/// A last cut this share of a step beyond the end stands at it: rounding of a sum of steps.
const IN_RANGE_SHARE: f64 = 1e-9;

/// The shape of a design that a scan is compared with.
pub(super) fn design_shape(table: &DesignTable) -> SectionShape {
    match *table {
        DesignTable::Flat { width_m, height_m } => SectionShape::Flat { width_m, height_m },
        DesignTable::Arched { width_m, wall_height_m, rise_m } => {
            SectionShape::Arched { width_m, wall_height_m, rise_m }
        }
        DesignTable::Circular { diameter_m } => SectionShape::Circular { diameter_m },
    }
}

/// Whether a mesh's name has an ending that can be read; says so where it has not.
pub(super) fn check_name(at: &Node, name: &str, problems: &mut Collector) -> bool {
    if format_of(name).is_some() {
        return true;
    }
    let says = Says::new(
        crate::input::quoted(name),
        "a mesh whose name ends in .stl or .obj",
        "export the mesh as STL or OBJ",
    );
    problems.add(ProblemKind::Value, at.place, &at.path, says);
    false
}

/// What is said of a mesh that is larger than what is read.
pub(super) fn mesh_too_large(name: &str) -> Says {
    Says::new(
        format!("{name}: a file of more than {} MiB", LARGEST_MESH_BYTES >> 20),
        format!("at most {} MiB", LARGEST_MESH_BYTES >> 20),
        "export the part of the mesh round the chainage alone, or thin it out",
    )
}

/// Cuts the mesh of `section`, a scanned one. `mesh_file` is its place among the files of
/// messages, `node` the section's table in the case. `None` when there is a problem, which has
/// been reported.
pub(super) fn read_scan(
    section: &SectionTable,
    node: &Node,
    bytes: &[u8],
    mesh_file: usize,
    advance: Option<Line>,
    design: Option<&Section>,
    problems: &mut Collector,
) -> Option<SectionShape> {
    let SectionTable::Scan {
        file,
        chainage_m,
        origin_east_m,
        origin_north_m,
        origin_up_m,
        close_gaps_m,
        along,
        ..
    } = section
    else {
        return None;
    };
    let mesh = read_mesh(file, bytes, mesh_file, problems)?;
    let place = ScanPlace {
        origin_m: Vec3::new(
            origin_east_m.unwrap_or(0.0),
            origin_north_m.unwrap_or(0.0),
            origin_up_m.unwrap_or(0.0),
        ),
        chainage_m: *chainage_m,
        close_gaps_m: close_gaps_m.unwrap_or(CLOSED_GAP_M),
    };
    let frame = DriveFrame::new(advance?);
    let along_m = along_of(along.as_ref(), node, problems)?;
    match ScannedSection::with_cuts(&mesh, file, &frame, place, design, &along_m) {
        Ok(scan) => Some(SectionShape::Scan(Box::new(scan))),
        Err(error) => {
            let table = node.table()?;
            let key = if matches!(error, ScanError::Outside { .. } | ScanError::NothingMet) {
                "chainage_m"
            } else {
                "file"
            };
            let at = table.get(key).unwrap_or(node);
            problems.add(ProblemKind::Conflict, at.place, &at.path, says(&error, file, place));
            None
        }
    }
}

/// The chainages of the further cuts; `None` where they are none or too many, which has been reported.
fn along_of(table: Option<&AlongTable>, node: &Node, problems: &mut Collector) -> Option<Vec<f64>> {
    let Some(&AlongTable { from_m, to_m, every_m }) = table else { return Some(Vec::new()) };
    let at = node.table()?.get("along").unwrap_or(node);
    let every_m = every_m.unwrap_or(EVERY_M);
    let steps = ((to_m - from_m) / every_m + IN_RANGE_SHARE).floor();
    let says = if steps < 0.0 {
        Says::new(
            format!("cuts from chainage {from_m} to {to_m} m"),
            "a last chainage beyond the first",
            "give the first chainage as from_m, the last as to_m",
        )
    } else if steps >= MOST_CUTS as f64 {
        Says::new(
            format!("{} cuts", steps + 1.0),
            format!("at most {MOST_CUTS} cuts: each is checked by itself"),
            "raise every_m, or divide the drive",
        )
    } else {
        return Some((0..=steps as usize).map(|k| from_m + every_m * k as f64).collect());
    };
    problems.add(ProblemKind::Conflict, at.place, &at.path, says);
    None
}

/// What is said of a mesh that gives no section.
fn says(error: &ScanError, file: &str, place: ScanPlace) -> Says {
    let origin = [place.origin_m.x, place.origin_m.y, place.origin_m.z];
    let found = format!("{file}: {error}");
    let [least, most] = SECTION_SIZE_M;
    let metres = format!("a mesh in metres, of a heading {least} to {most} m wide and high");
    match error {
        ScanError::NotMetres { width, height } => Says::new(
            format!("{found}, if its unit is the metre"),
            format!("a mesh in metres, at most {LARGEST_ACROSS_M} m across"),
            unit_advice(width.min(*height)),
        ),
        ScanError::Size { width_m, height_m } => Says::new(
            format!("{found}, if the mesh is in metres"),
            metres,
            unit_advice(width_m.min(*height_m)),
        ),
        ScanError::Outside { from_m, to_m, .. } => Says::new(
            found,
            format!("a chainage between {from_m:.3} and {to_m:.3} metres, not at an end"),
            format!(
                "correct chainage_m; or the origin, which is the middle of the floor at chainage 0 in the mesh's coordinates (x east, y north, z up) and stands at {}, {}, {}; or trend_deg and plunge_deg",
                origin[0], origin[1], origin[2]
            ),
        ),
        ScanError::OffAxis { .. } => Says::new(
            found,
            "a cut that lies over the drive's axis, its floor within 1 m of it",
            "correct origin_east_m, origin_north_m and origin_up_m: the middle of the floor at chainage 0 in the mesh's coordinates (x east, y north, z up); or trend_deg and plunge_deg",
        ),
        ScanError::Hole { .. } => Says::new(
            found,
            format!("gaps of at most {} m, which are closed by straight lines", place.close_gaps_m),
            "fill the hole in the survey's software, cut at another chainage, or, where a straight line across it is right, raise close_gaps_m",
        ),
        ScanError::NothingMet => {
            Says::new(found, "a chainage at which the mesh has a surface", "cut at another chainage")
        }
        ScanError::Shreds { .. } => Says::new(
            found,
            "a surface whose faces share their edges",
            "make a surface of the points in the survey's software, and fill its holes",
        ),
        ScanError::TooFine { .. } => Says::new(
            found,
            format!("at most {MOST_CUT_POINTS} pieces of line"),
            "thin the mesh out; a point every few centimetres is enough",
        ),
        _ => Says::new(found, metres, "export the mesh again, or cut at another chainage"),
    }
}

/// What unit a size that makes no sense in metres is probably in. Headings are a few metres wide
/// and high.
fn unit_advice(across: f64) -> &'static str {
    match across {
        a if a >= 1000.0 => {
            "it is probably in millimetres: multiply its coordinates by 0.001 and export it again"
        }
        a if a > SECTION_SIZE_M[1] => {
            "it may be in centimetres (then multiply its coordinates by 0.01) or millimetres (by 0.001); export it again in metres"
        }
        a if a < SECTION_SIZE_M[0] => "give coordinates in metres, or cut at another chainage",
        _ => {
            "cut at a chainage where the heading is whole; at an intersection the cut runs out into the other drive"
        }
    }
}
