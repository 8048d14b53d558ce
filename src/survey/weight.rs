use nalgebra::Unit;

use super::contour::{Contour, trace_contours};
use super::grid::NetGrid;
use super::{Reading, SurveyLine};
use crate::orientation::{Projection, Vec3};

/// The greatest Terzaghi weight unless another is asked for: joints within 11.5° of the line
/// count as if they stood at 11.5°. Common practice, no source: values from 3 to 10 are in use.
pub const DEFAULT_MAX_WEIGHT: f64 = 5.0;

/// What one reading stands for, against a joint square to the line: 1/sin of the angle between
/// line (or window) and joint, capped. 1 for a reading whose line has no known direction.
///
/// Source: Terzaghi (1965), *Géotechnique* 15, 287-304.
#[must_use]
pub fn terzaghi_weight(line: Option<&SurveyLine>, normal: &Unit<Vec3>, max_weight: f64) -> f64 {
    match line.and_then(|line| line.exposure(normal)) {
        // Compared as a product: an exposure of 0 must not divide.
        Some(exposure) if exposure * max_weight > 1.0 => 1.0 / exposure,
        Some(_) => max_weight,
        None => 1.0,
    }
}

/// Directions of joints that a survey could hardly see: those whose weight passes the cap on
/// every one of its lines.
#[derive(Debug, Clone, PartialEq)]
pub struct BlindZone {
    /// Share of all directions, 0 to 1.
    pub share: f64,
    /// The zone's outline on the lower hemisphere, as poles; `level` is 1/cap.
    pub outline: Vec<Contour>,
}

/// The lines that a survey's readings were seen on, or `None` when a reading has no line, or
/// one without direction: then nobody can say what could not be seen.
#[must_use]
pub fn lines_seen<'l>(readings: &[Reading], lines: &'l [SurveyLine]) -> Option<Vec<&'l SurveyLine>> {
    let mut used = vec![false; lines.len()];
    for reading in readings {
        used[reading.line?] = true;
    }
    let seen: Vec<&SurveyLine> =
        lines.iter().zip(used).filter_map(|(line, used)| used.then_some(line)).collect();
    (!seen.is_empty() && seen.iter().all(|line| line.direction.is_some())).then_some(seen)
}

/// The best exposure that any of the lines gives to joints with this normal.
#[must_use]
pub fn best_exposure(lines: &[&SurveyLine], normal: &Unit<Vec3>) -> f64 {
    lines.iter().filter_map(|line| line.exposure(normal)).fold(0.0, f64::max)
}

/// Points along each side of the grid that the zone's outline is traced on.
const OUTLINE_SIDE: usize = 181;

impl BlindZone {
    /// The blind zone of a survey along `lines` under a cap of `max_weight`.
    #[must_use]
    pub fn of(lines: &[&SurveyLine], max_weight: f64) -> Self {
        let limit = 1.0 / max_weight;
        let grid = NetGrid::of(
            |axis| best_exposure(lines, &Unit::new_unchecked(*axis)),
            Projection::EqualArea,
            OUTLINE_SIDE,
        );
        // The grid is of equal area, so a share of its points is a share of directions.
        let (mut blind, mut all) = (0_u32, 0_u32);
        for (i, &exposure) in grid.values.iter().enumerate() {
            let [x, y] = grid.place(i % grid.side, i / grid.side);
            if x.hypot(y) <= 1.0 {
                all += 1;
                blind += u32::from(exposure < limit);
            }
        }
        Self { share: f64::from(blind) / f64::from(all.max(1)), outline: trace_contours(&grid, limit) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::{Line, Plane};
    use crate::survey::LineKind;

    fn line(kind: LineKind, trend_deg: f64, plunge_deg: f64) -> SurveyLine {
        SurveyLine {
            kind: Some(kind),
            direction: Some(Line { trend_deg, plunge_deg }),
            ..SurveyLine::named("l")
        }
    }

    #[test]
    fn a_weight_is_one_over_the_sine_up_to_the_cap() {
        let level = line(LineKind::Scanline, 90.0, 0.0);
        let weight = |dip_deg, dip_direction_deg| {
            let normal = Plane { dip_deg, dip_direction_deg }.upward_normal();
            terzaghi_weight(Some(&level), &normal, 5.0)
        };
        assert!((weight(90.0, 90.0) - 1.0).abs() < 1e-12);
        assert!((weight(30.0, 90.0) - 2.0).abs() < 1e-12);
        assert!((weight(5.0, 90.0) - 5.0).abs() < 1e-12);
        assert!((weight(90.0, 0.0) - 5.0).abs() < 1e-12);
        // A wall seen looking east hides the joints parallel to it, not those across.
        let wall = line(LineKind::Window, 90.0, 0.0);
        let across = Plane { dip_deg: 90.0, dip_direction_deg: 0.0 };
        assert!((terzaghi_weight(Some(&wall), &across.upward_normal(), 5.0) - 1.0).abs() < 1e-12);
        let along = Plane { dip_deg: 90.0, dip_direction_deg: 90.0 };
        assert!((terzaghi_weight(Some(&wall), &along.upward_normal(), 5.0) - 5.0).abs() < 1e-12);
    }

    /// A band |n·l| < 1/5 covers a fifth of the sphere (Archimedes' hat box). Two square lines
    /// leave only where both bands cross.
    #[test]
    fn one_line_is_blind_to_one_in_cap() {
        let east = line(LineKind::Scanline, 90.0, 10.0);
        let zone = BlindZone::of(&[&east], 5.0);
        assert!((zone.share - 0.2).abs() < 0.005, "{}", zone.share);
        assert!(!zone.outline.is_empty());
        for point in zone.outline.iter().flat_map(|c| &c.points) {
            let exposure = east.exposure(&Unit::new_normalize(*point)).unwrap();
            assert!((exposure - 0.2).abs() < 0.01);
        }
        let up = line(LineKind::Hole, 0.0, -80.0);
        assert!(BlindZone::of(&[&east, &up], 5.0).share < 0.05);
    }
}
