//! The direction in which a case's shaking asks most of what supports a wedge.

use super::seat::{Drive, criterion_fs};
use crate::case::Case;
use crate::numeric::golden_least;
use crate::opening::DriveFrame;
use crate::orientation::Vec3;
use crate::stability::{Mode, Motion, Stability};

/// Directions that are tried before the best is refined between its neighbours: whole degrees.
const DIRECTIONS: u16 = 360;

/// Golden-section steps over two degrees: to 1e-6 of a degree.
const REFINING_STEPS: usize = 32;

/// How a case's shaking acts on a wedge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shaken {
    /// Azimuth that the rock is pushed towards, degrees.
    pub trend_deg: f64,
    /// Whether it was looked for as the worst one.
    pub is_worst: bool,
    /// The force that comes to rock of unit weight, local (u, s, v).
    pub share: Vec3,
}

/// A wedge as it stands without its shaking, or without its water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtRest {
    /// How it moves.
    pub mode: Mode,
    /// Factor of safety without support.
    pub fs_bare: f64,
}

impl AtRest {
    /// Of its equilibrium.
    pub(super) fn of(stability: &Stability) -> Self {
        Self { mode: stability.motion.mode, fs_bare: stability.fs_bare() }
    }
}

impl Drive<'_> {
    /// How the case's shaking acts on a wedge between three joints, on which water presses with `wet` for each kN that
    /// it weighs; `None` without shaking.
    pub fn shaken(&self, sets: [usize; 3], inward: &[Vec3; 3], wet: &Vec3) -> Option<Shaken> {
        shaken(self.case, &self.opening.frame, &sets, |force| Motion::of(inward, &(force + wet)))
    }
}

/// The active force on unit weight, local (u, s, v): down, and what shaking adds.
pub(super) fn pull(frame: &DriveFrame, shaken: Option<&Shaken>) -> Vec3 {
    let up = frame.to_local(&Vec3::z());
    shaken.map_or(-up, |shaken| shaken.share - up)
}

/// How the case's shaking acts on what moves so under a force: towards the given azimuth, or towards the one
/// that asks most of support for its weight, friction counted and cohesion, which no direction changes while
/// a joint stays in contact, not: the greatest of criterion × driving force − friction. Where no direction
/// moves it, north. `None` without shaking.
pub(super) fn shaken(
    case: &Case,
    frame: &DriveFrame,
    joints: &[usize],
    motion: impl Fn(&Vec3) -> Motion,
) -> Option<Shaken> {
    let shaking = case.site.shaking.as_ref()?;
    let is_worst = shaking.trend_deg.is_none();
    let towards = |trend_deg: f64| Shaken {
        trend_deg,
        is_worst,
        share: frame.to_local(&shaking.share_towards(trend_deg)),
    };
    if let Some(trend_deg) = shaking.trend_deg {
        return Some(towards(trend_deg));
    }
    let asks = |trend_deg: f64| {
        let motion = motion(&pull(frame, Some(&towards(trend_deg))));
        let Some(asked_fs) = criterion_fs(case, motion.mode) else { return f64::NEG_INFINITY };
        let friction = |(&joint, kn): (&usize, f64)| kn * case.joints[joint].strength.tan_friction();
        asked_fs * motion.driving_kn - joints.iter().zip(motion.normal_kn).map(friction).sum::<f64>()
    };
    let more = |best: (f64, f64), trend_deg: f64| {
        let asked = asks(trend_deg);
        if asked > best.1 { (trend_deg, asked) } else { best }
    };
    let whole = (1..DIRECTIONS).map(f64::from).fold((0.0, asks(0.0)), more);
    // What is kept is the most of all that are tried, whole degrees among them.
    let mut best = whole;
    golden_least((whole.0 - 1.0, whole.0 + 1.0), REFINING_STEPS, |trend_deg| {
        best = more(best, trend_deg);
        -asks(trend_deg)
    });
    Some(towards(best.0.rem_euclid(360.0)))
}
