//! A collar at a place of the perimeter, as files state it: of a bolt that was found, or of one that is
//! drilled by itself.

use crate::opening::{Opening, Section};
use crate::orientation::Vec3;
use crate::support::{CORNER_COLLAR_M, Collar, LEAST_ENTRY_SINE};

/// What is known of the drive that places are checked against: a section asks nothing of where the drive goes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ground<'a> {
    pub section: Option<&'a Section>,
    pub opening: Option<&'a Opening>,
}

/// The collar at a place of the perimeter (metres from its vertex 0); `aim` makes its direction, local, of
/// where it stands and the surface's normal there.
///
/// # Errors
/// How its hole misses the rock.
pub(super) fn collar_along(
    opening: &Opening,
    along_m: f64,
    aim: impl FnOnce(&crate::opening::Vec2, Vec3) -> Vec3,
) -> Result<Collar, String> {
    let section = &opening.section;
    let place = section.at(along_m, CORNER_COLLAR_M);
    let direction = aim(&place.point, Vec3::new(place.normal.x, 0.0, place.normal.y));
    let normal = section.facets()[place.facet].normal;
    let sine = direction.x * normal.x + direction.z * normal.y;
    if sine < LEAST_ENTRY_SINE {
        let angle = sine.clamp(-1.0, 1.0).asin().to_degrees();
        return Err(if sine <= 0.0 {
            format!("points into the opening, {:.0}° out of the rock", -angle)
        } else {
            format!("enters the rock at {angle:.0}°, along the surface")
        });
    }
    Ok(Collar {
        arc_m: section.arc_from_crown_m(place.along_m),
        along_m: place.along_m,
        point: place.point,
        surface: opening.surface_of(place.facet),
        direction,
    })
}
