//! A collar at a place of the perimeter, as files state it: of a bolt that was found, or of one that is
//! drilled by itself.

use crate::opening::{Opening, Section};
use crate::orientation::Vec3;
use crate::support::Collar;

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
    Collar::at(opening, along_m, aim).map_err(|sine| {
        let angle = sine.clamp(-1.0, 1.0).asin().to_degrees();
        if sine <= 0.0 {
            format!("points into the opening, {:.0}° out of the rock", -angle)
        } else {
            format!("enters the rock at {angle:.0}°, along the surface")
        }
    })
}
