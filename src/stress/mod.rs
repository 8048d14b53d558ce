//! Elastic stress in the rock round a drive.
//!
//! Far from the drive the stress is uniform ([`FarField`]); round its section it is that of linear elastic, uniform,
//! isotropic rock under plane strain, with an opening whose surface carries nothing ([`SectionStress`]). The far field
//! may be oblique to the drive: its two shears along the axis make an antiplane problem of their own. Weight of the
//! rock, joints, blasting damage and yield are not in it, nor the face: it holds a few diameters behind.
//!
//! Compression is positive; kPa inside, MPa where people type it; local (u, s, v).
//!
//! Sources: Kirsch (1898); Inglis (1913); Muskhelishvili (1953), *Some Basic Problems of the Mathematical Theory of
//! Elasticity*; Crouch & Starfield (1983), *Boundary Element Methods in Solid Mechanics*.

mod around;
mod circle;
mod elements;
mod face;
mod far;
mod known;
mod rock;
mod solved;

pub use around::{BoundaryStress, SectionStress, StressAround};
pub use face::{Accuracy, FaceForce, force_on_face, forces_on_block};
pub use far::{FarField, FarFieldError, PrincipalStress, VerticalStress};
pub use rock::{GivenStress, RockStress};

/// A number of the complex plane: a point of the section as u + iv, or a potential there.
type Complex = nalgebra::Complex<f64>;

fn complex(point: &crate::opening::Vec2) -> Complex {
    Complex::new(point.x, point.y)
}
