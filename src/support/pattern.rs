use thiserror::Error;

use super::{Boom, OutOfReach};
use crate::opening::{Opening, Section, Surface, Vec2};
use crate::orientation::Vec3;

/// A collar this near a corner of the section belongs to the facet nearer the crown: nobody
/// drills into an edge.
pub(super) const CORNER_COLLAR_M: f64 = 1e-3;

/// A bolt has to enter the rock at more than this angle to the surface: below it a hole cannot be
/// collared. Sine of about 6°.
pub(super) const LEAST_ENTRY_SINE: f64 = 0.1;

/// An even collar this near to the row that is asked for stands in that row: two holes nearer to each
/// other than this serve no purpose, metres along the perimeter.
const MOVED_TO_ROW_M: f64 = 0.3;

/// Room for rounding where a collar stands exactly at the lowest height.
pub(super) const HEIGHT_TOLERANCE_M: f64 = 1e-9;

/// What a pattern covers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Covered {
    /// The back.
    Back,
    /// Both walls.
    Walls,
    /// The left wall alone.
    LeftWall,
    /// The right wall alone.
    RightWall,
    /// The face of the heading.
    Face,
}

impl Covered {
    /// The word that case files use.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Back => "back",
            Self::Walls => "walls",
            Self::LeftWall => "left wall",
            Self::RightWall => "right wall",
            Self::Face => "face",
        }
    }

    /// Whether it takes in this surface.
    #[must_use]
    pub fn includes(self, surface: Surface) -> bool {
        match self {
            Self::Back => surface == Surface::Back,
            Self::Walls => surface.is_wall(),
            Self::LeftWall => surface == Surface::LeftWall,
            Self::RightWall => surface == Surface::RightWall,
            Self::Face => surface == Surface::Face,
        }
    }

    /// Whether it covers a wall.
    #[must_use]
    pub fn is_wall(self) -> bool {
        matches!(self, Self::Walls | Self::LeftWall | Self::RightWall)
    }
}

/// Where bolts are aimed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Aim {
    /// Square to the surface.
    Normal,
    /// True vertical: up in the back.
    Vertical,
    /// Away from one point of the section (u, v), metres.
    Fan {
        /// The point that all holes of a ring are drilled from.
        origin: Vec2,
    },
    /// As near square to the surface as a boom gets.
    Boom(Boom),
}

/// Bolts in even rings along a drive.
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// Index of its bolt in the case's list.
    pub bolt: usize,
    /// Whole length of a bolt, metres.
    pub length_m: f64,
    /// The part that stays outside the hole, metres.
    pub outside_hole_m: f64,
    /// Ring to ring along the drive, metres.
    pub ring_spacing_m: f64,
    /// Collar to collar along the perimeter, metres.
    pub spacing_m: f64,
    /// Which surfaces it covers.
    pub covers: Vec<Covered>,
    /// Height (section v) below which walls get no collar, metres.
    pub lowest_collar_m: Option<f64>,
    /// Height (section v) of one more row on each covered wall, in every ring, metres: even collars stand
    /// at whole spacings from the crown, so the lowest of them seldom stands where it is wanted.
    pub row_at_m: Option<f64>,
    /// Whether odd rings are shifted by half a spacing.
    pub stagger: bool,
    /// Where the bolts are aimed.
    pub aim: Aim,
    /// Chainage of ring 0, where the survey fixes it, metres.
    pub offset_m: Option<f64>,
    /// Tension of each bolt, kN, where bolts are tensioned.
    pub tension_kn: Option<f64>,
}

impl Pattern {
    /// Rings of a bolt (its index in the case's list) over the back, square to the surface, all of a
    /// bolt in its hole, rings not staggered; metres.
    #[must_use]
    pub fn of_back(bolt: usize, length_m: f64, ring_spacing_m: f64, spacing_m: f64) -> Self {
        Self {
            bolt,
            length_m,
            outside_hole_m: 0.0,
            ring_spacing_m,
            spacing_m,
            covers: vec![Covered::Back],
            lowest_collar_m: None,
            stagger: false,
            aim: Aim::Normal,
            row_at_m: None,
            offset_m: None,
            tension_kn: None,
        }
    }

    /// The same over the back and down both walls to a height, section v, metres.
    #[must_use]
    pub fn down_walls(self, lowest_collar_m: f64) -> Self {
        let covers = vec![Covered::Back, Covered::Walls];
        Self { covers, lowest_collar_m: Some(lowest_collar_m), ..self }
    }

    /// Length of a bolt in its hole, metres.
    #[must_use]
    pub fn length_in_hole_m(&self) -> f64 {
        self.length_m - self.outside_hole_m
    }

    /// After how many metres of drive the pattern repeats.
    #[must_use]
    pub fn period_m(&self) -> f64 {
        if self.stagger { 2.0 * self.ring_spacing_m } else { self.ring_spacing_m }
    }
}

/// A collar of one ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Collar {
    /// Arc length from the crown, metres, positive to the right.
    pub arc_m: f64,
    /// Metres along the section's perimeter from its vertex 0.
    pub along_m: f64,
    /// Where it is in the section.
    pub point: Vec2,
    /// The surface it is on.
    pub surface: Surface,
    /// Unit vector into the rock, local (u, s, v).
    pub direction: Vec3,
}

impl Collar {
    /// The collar at a place of the perimeter (metres from its vertex 0); `aim` makes its direction, a unit vector,
    /// local, of where it stands and the surface's normal there.
    ///
    /// # Errors
    /// The sine of the angle at which its hole meets the surface, where it does not enter the rock at more than 6°:
    /// below that a hole cannot be collared. Negative out of the rock.
    pub fn at(opening: &Opening, along_m: f64, aim: impl FnOnce(&Vec2, Vec3) -> Vec3) -> Result<Self, f64> {
        let section = &opening.section;
        let place = section.at(along_m, CORNER_COLLAR_M);
        let direction = aim(&place.point, Vec3::new(place.normal.x, 0.0, place.normal.y));
        let normal = section.facets()[place.facet].normal;
        let sine = direction.x * normal.x + direction.z * normal.y;
        if sine < LEAST_ENTRY_SINE {
            return Err(sine);
        }
        Ok(Self {
            arc_m: section.arc_from_crown_m(place.along_m),
            along_m: place.along_m,
            point: place.point,
            surface: opening.surface_of(place.facet),
            direction,
        })
    }
}

/// Collars in line along the drive: the same place in every ring of one kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Its place in the section.
    pub collar: Collar,
    /// The first ring it is in: 0, or 1 for the odd rings of a staggered pattern.
    pub first_ring: u32,
}

/// A pattern laid out on an opening.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Its rows, even rings first, each from the crown outward, right before left.
    pub rows: Vec<Row>,
    /// Metres from one ring of a row to the next.
    pub period_m: f64,
    /// Rings from one ring of a row to the next: 2 when staggered, else 1.
    pub rings_in_period: u32,
    /// How far from its place a collar may stand, measured on the surface, metres; 0 as drawn.
    pub tolerance_m: f64,
    /// How many rings there are, from ring 0 on; `None` where they go on all along the drive.
    pub rings: Option<u32>,
    /// For each row the outward normals (u, v) of the facets that its collars may stand on; empty
    /// as drawn.
    stands_on: Vec<Vec<Vec2>>,
}

/// Why a pattern cannot be drilled on an opening.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum LayoutError {
    /// A bolt would not enter the rock.
    #[error("a bolt at u {u_m:.2}, v {v_m:.2} on the {} would not enter the rock when it is aimed so (it meets the surface at {angle_deg:.0}°)", surface.name())]
    DoesNotEnter {
        /// Collar, u.
        u_m: f64,
        /// Collar, v.
        v_m: f64,
        /// Its surface.
        surface: Surface,
        /// Angle between hole and surface, negative out of the rock, degrees.
        angle_deg: f64,
    },
    /// Collars that the boom cannot drill.
    #[error("{} that the boom cannot drill: {}", counted(collars.len(), "collar"), named(collars))]
    BeyondBoom {
        /// Each of them, even rings first, from the crown outward.
        collars: Vec<BeyondBoom>,
    },
    /// A spacing that is not above zero: its collars would have no end.
    #[error("{key} is {found}; a spacing above 0 is needed")]
    NoSpacing {
        /// Which spacing.
        key: &'static str,
        /// Its value.
        found: f64,
    },
    /// A row at a height that a covered wall does not have.
    #[error("row_at_m is {row_at_m}; the {} reaches from {from_m:.3} to {to_m:.3} m above the floor", surface.name())]
    RowOffWall {
        /// The height that was asked for, metres.
        row_at_m: f64,
        /// The wall.
        surface: Surface,
        /// The wall's foot, metres.
        from_m: f64,
        /// Its top, metres.
        to_m: f64,
    },
    /// A row at a height, and no covered wall to put it on.
    #[error("row_at_m is {row_at_m}, and no wall is covered")]
    RowWithoutWall {
        /// The height that was asked for, metres.
        row_at_m: f64,
    },
    /// Nothing is covered.
    #[error("no collar falls on what the pattern covers")]
    NoCollar,
}

/// A collar that a boom cannot drill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BeyondBoom {
    /// Collar, u.
    pub u_m: f64,
    /// Collar, v.
    pub v_m: f64,
    /// Its surface.
    pub surface: Surface,
    /// How far off it is.
    pub why: OutOfReach,
}

fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

fn named(collars: &[BeyondBoom]) -> String {
    let one = |c: &BeyondBoom| {
        format!(
            "u {:.2}, v {:.2} on the {} ({:.0}° off the normal at best, {:.2} m from the pivot)",
            c.u_m,
            c.v_m,
            c.surface.name(),
            c.why.off_normal_deg,
            c.why.distance_m
        )
    };
    collars.iter().map(one).collect::<Vec<_>>().join("; ")
}

impl Layout {
    /// Lays a pattern out: collars at arc length 0, ±spacing, … from the crown, on the odd rings
    /// of a staggered pattern at ± half a spacing and so on, wherever the surface is covered. A pattern with
    /// a `row_at_m` has a collar at that height too, on each covered wall and in every ring: the even one
    /// nearest to it where one stands within 0.3 m, moved there; one more otherwise.
    ///
    /// # Errors
    /// [`LayoutError`] when a spacing is not above zero, when a bolt would not enter the rock, when a
    /// boom cannot drill every collar, when a covered wall does not have the height of the row, or when
    /// no collar is left.
    pub fn new(pattern: &Pattern, opening: &Opening) -> Result<Self, LayoutError> {
        for (key, found) in [("spacing_m", pattern.spacing_m), ("ring_spacing_m", pattern.ring_spacing_m)] {
            if !(found.is_finite() && found > 0.0) {
                return Err(LayoutError::NoSpacing { key, found });
            }
        }
        let mut rows = Vec::new();
        let mut beyond = Vec::new();
        let half = 0.5 * opening.section.perimeter_m();
        let kinds: &[(u32, f64)] = if pattern.stagger { &[(0, 0.0), (1, 0.5)] } else { &[(0, 0.0)] };
        let asked_m = rows_asked_m(pattern, opening)?;
        for &(first_ring, shift) in kinds {
            let of_kind = rows.len();
            let mut step = 0u32;
            loop {
                let arc = (f64::from(step) + shift) * pattern.spacing_m;
                if arc > half {
                    break;
                }
                for side in [1.0, -1.0] {
                    if side < 0.0 && arc == 0.0 {
                        continue;
                    }
                    // The nearest even collar is moved to the row, which is laid below.
                    let step_m = side * arc;
                    if asked_m.iter().any(|&row_m| is_moved(step_m, row_m, pattern.spacing_m)) {
                        continue;
                    }
                    let lowest_m = pattern.lowest_collar_m;
                    if let Some(collar) = collar_at(pattern, opening, step_m, lowest_m, &mut beyond)? {
                        rows.push(Row { collar, first_ring });
                    }
                }
                step += 1;
            }
            for &arc_m in &asked_m {
                if let Some(collar) = collar_at(pattern, opening, arc_m, None, &mut beyond)? {
                    rows.push(Row { collar, first_ring });
                }
            }
            if !asked_m.is_empty() {
                // From the crown outward, right before left.
                rows[of_kind..].sort_by(|a: &Row, b: &Row| {
                    let (a, b) = (a.collar.arc_m, b.collar.arc_m);
                    a.abs().total_cmp(&b.abs()).then(b.total_cmp(&a))
                });
            }
        }
        if !beyond.is_empty() {
            return Err(LayoutError::BeyondBoom { collars: beyond });
        }
        if rows.is_empty() {
            return Err(LayoutError::NoCollar);
        }
        Ok(Self {
            rows,
            period_m: pattern.period_m(),
            rings_in_period: if pattern.stagger { 2 } else { 1 },
            tolerance_m: 0.0,
            rings: None,
            stands_on: Vec::new(),
        })
    }

    /// A row alone, in rings that are so far apart, metres.
    pub(super) fn of_row(row: Row, period_m: f64) -> Self {
        Self {
            rows: vec![row],
            period_m,
            rings_in_period: 1,
            tolerance_m: 0.0,
            rings: None,
            stands_on: Vec::new(),
        }
    }

    /// Rows that are all there is of a pattern: one ring of them.
    pub(super) fn of_rows(rows: Vec<Row>) -> Self {
        Self { rows, period_m: 1.0, rings_in_period: 1, tolerance_m: 0.0, rings: None, stands_on: Vec::new() }
    }

    /// The same with so many rings, from ring 0 on, and no others.
    pub(super) fn ending(self, rings: u32) -> Self {
        Self { rings: Some(rings), ..self }
    }

    /// Which times a row comes, first and last, counted from the ring that it is in first: all where the
    /// rings do not end; where it is in none of them the last comes before the first.
    pub(super) fn turns(&self, row: usize) -> (f64, f64) {
        match self.rings {
            None => (f64::NEG_INFINITY, f64::INFINITY),
            Some(rings) => {
                let after = f64::from(rings) - 1.0 - f64::from(self.rows[row].first_ring);
                (0.0, (after / f64::from(self.rings_in_period)).floor())
            }
        }
    }

    /// The same pattern with each collar anywhere within `tolerance_m` of its place, measured on
    /// the surface as it would lie unrolled, and each bolt parallel to the one drawn. What a
    /// placement search then counts on is what a bolt gives wherever its collar stands: nothing
    /// unless it is inside the wedge's face everywhere, and no more than its capacity with the
    /// shortest part inside the wedge and the shortest part beyond the joint that it can have.
    #[must_use]
    pub fn within(&self, tolerance_m: f64, section: &Section) -> Self {
        let stands_on = self
            .rows
            .iter()
            .map(|row| section.facets_within(row.collar.along_m, tolerance_m).map(|f| f.normal).collect())
            .collect();
        Self { tolerance_m, stands_on, ..self.clone() }
    }

    /// The lowest collar on a wall, section v, metres, of each kind of ring that has one there, in the order
    /// of the rings.
    #[must_use]
    pub fn lowest_on_m(&self, wall: Surface) -> Vec<f64> {
        let of_kind = |first_ring: u32| {
            let rows = self.rows.iter().filter(|r| r.first_ring == first_ring && r.collar.surface == wall);
            rows.map(|r| r.collar.point.y).reduce(f64::min)
        };
        (0..self.rings_in_period).filter_map(of_kind).collect()
    }

    /// How much nearer a plane with the unit normal `plane` (local) a collar of row `row` may
    /// stand than drawn, metres: a way of `tolerance_m` over the facets it may stand on goes
    /// towards the plane at most as steeply as the steepest of them.
    pub(super) fn nearer_m(&self, row: usize, plane: &Vec3) -> f64 {
        self.stands_on.get(row).map_or(0.0, |stands_on| nearer_m(self.tolerance_m, stands_on, plane))
    }

    /// How far off its place a collar of row `row` may stand, metres, and the normals of the facets it may
    /// then stand on; `None` as drawn.
    pub(super) fn off_its_place(&self, row: usize) -> Option<(f64, Vec<Vec2>)> {
        self.stands_on.get(row).map(|stands_on| (self.tolerance_m, stands_on.clone()))
    }
}

/// As [`Layout::nearer_m`], of a collar that may stand so far off on facets with these normals.
pub(super) fn nearer_m(tolerance_m: f64, stands_on: &[Vec2], plane: &Vec3) -> f64 {
    let steepest = stands_on.iter().map(|normal| {
        let across = plane.x * normal.x + plane.z * normal.y;
        (1.0 - across * across).max(0.0).sqrt()
    });
    tolerance_m * steepest.fold(0.0, f64::max)
}

/// Whether the even collar at `arc_m` is the one that is moved to the row at `row_m`: within reach of it,
/// and no other even collar is nearer.
fn is_moved(arc_m: f64, row_m: f64, spacing_m: f64) -> bool {
    let off_m = arc_m - row_m;
    // Of two equally near the one below moves.
    let nearest = off_m.abs() < 0.5 * spacing_m || (off_m.abs() == 0.5 * spacing_m && off_m * row_m > 0.0);
    nearest && off_m.abs() <= MOVED_TO_ROW_M
}

/// Arc lengths from the crown at which a pattern's `row_at_m` crosses the walls that it covers, right
/// before left; empty where it asks for none.
fn rows_asked_m(pattern: &Pattern, opening: &Opening) -> Result<Vec<f64>, LayoutError> {
    let Some(row_at_m) = pattern.row_at_m else { return Ok(Vec::new()) };
    let walls = [Surface::RightWall, Surface::LeftWall];
    let covered = walls.into_iter().filter(|wall| pattern.covers.iter().any(|c| c.includes(*wall)));
    let found: Vec<f64> =
        covered.map(|wall| row_on_wall_m(row_at_m, wall, opening)).collect::<Result<_, _>>()?;
    if found.is_empty() { Err(LayoutError::RowWithoutWall { row_at_m }) } else { Ok(found) }
}

/// Where a height crosses one wall, metres of arc from the crown.
fn row_on_wall_m(row_at_m: f64, wall: Surface, opening: &Opening) -> Result<f64, LayoutError> {
    let section = &opening.section;
    let (mut from_m, mut to_m) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut found = None;
    for (index, facet) in section.facets().iter().enumerate() {
        if opening.surface_of(index) != wall {
            continue;
        }
        let rise = facet.tangent.y * facet.length_m;
        let (start, end) = (facet.start.y, facet.start.y + rise);
        from_m = from_m.min(start.min(end));
        to_m = to_m.max(start.max(end));
        let step = (row_at_m - start) / rise;
        if rise != 0.0 && (0.0..=1.0).contains(&step) {
            found = Some(section.round_m()[index] + step * facet.length_m);
        }
    }
    // At its very top it is the back's, at its very foot the floor's.
    let inside = row_at_m > from_m + CORNER_COLLAR_M && row_at_m < to_m - CORNER_COLLAR_M;
    match found.filter(|_| inside) {
        Some(along_m) => Ok(section.arc_from_crown_m(along_m)),
        None => Err(LayoutError::RowOffWall { row_at_m, surface: wall, from_m, to_m }),
    }
}

/// The collar at an arc length, if it is covered and, on a wall, not below `lowest_m`; one that a boom
/// cannot drill goes into `beyond`.
fn collar_at(
    pattern: &Pattern,
    opening: &Opening,
    arc_m: f64,
    lowest_m: Option<f64>,
    beyond: &mut Vec<BeyondBoom>,
) -> Result<Option<Collar>, LayoutError> {
    let section = &opening.section;
    let place = section.at(section.crown_m() - arc_m, CORNER_COLLAR_M);
    let surface = opening.surface_of(place.facet);
    if !pattern.covers.iter().any(|c| c.includes(surface)) {
        return Ok(None);
    }
    let lowest = lowest_m.unwrap_or(f64::NEG_INFINITY);
    if surface.is_wall() && place.point.y < lowest - HEIGHT_TOLERANCE_M {
        return Ok(None);
    }
    let normal = Vec3::new(place.normal.x, 0.0, place.normal.y);
    let direction = match pattern.aim {
        Aim::Normal => normal,
        Aim::Vertical => opening.frame.to_local(&Vec3::z()),
        Aim::Fan { origin } => {
            let away = place.point - origin;
            Vec3::new(away.x, 0.0, away.y).try_normalize(f64::MIN_POSITIVE).unwrap_or_default()
        }
        Aim::Boom(boom) => match boom.direction(place.point, place.normal) {
            Ok(hole) => Vec3::new(hole.x, 0.0, hole.y),
            Err(why) => {
                beyond.push(BeyondBoom { u_m: place.point.x, v_m: place.point.y, surface, why });
                return Ok(None);
            }
        },
    };
    let facet_normal = section.facets()[place.facet].normal;
    let sine = direction.x * facet_normal.x + direction.z * facet_normal.y;
    if sine < LEAST_ENTRY_SINE {
        return Err(LayoutError::DoesNotEnter {
            u_m: place.point.x,
            v_m: place.point.y,
            surface,
            angle_deg: sine.clamp(-1.0, 1.0).asin().to_degrees(),
        });
    }
    Ok(Some(Collar { arc_m, along_m: place.along_m, point: place.point, surface, direction }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::opening::{DriveFrame, SectionShape};
    use crate::orientation::Line;

    fn opening() -> Opening {
        let section = SectionShape::Arched { width_m: 5.0, wall_height_m: 3.2, rise_m: 1.6 };
        let frame = DriveFrame::new(Line { trend_deg: 35.0, plunge_deg: 0.0 });
        Opening::new(section.section().unwrap(), frame)
    }

    fn pattern() -> Pattern {
        Pattern {
            bolt: 0,
            length_m: 2.4,
            outside_hole_m: 0.1,
            ring_spacing_m: 1.2,
            spacing_m: 1.2,
            covers: vec![Covered::Back, Covered::Walls],
            lowest_collar_m: Some(1.5),
            stagger: true,
            aim: Aim::Normal,
            row_at_m: None,
            offset_m: None,
            tension_kn: None,
        }
    }

    #[test]
    fn even_rings_have_a_bolt_in_the_crown_and_odd_rings_straddle_it() {
        let layout = Layout::new(&pattern(), &opening()).unwrap();
        let arcs = |ring: u32| -> Vec<f64> {
            layout.rows.iter().filter(|r| r.first_ring == ring).map(|r| r.collar.arc_m).collect()
        };
        assert_eq!(arcs(0)[..3], [0.0, 1.2, -1.2]);
        assert_eq!(arcs(1)[..2], [0.6, -0.6]);
        assert!(layout.rows.iter().all(|r| r.collar.point.y >= 1.5));
        // The arc is 6.27 m: half of it and 1.7 m of wall hold 4.8 m, so ±4.8 is the last even one.
        assert!((arcs(0).last().unwrap() + 4.8).abs() < 1e-12, "{:?}", arcs(0));
    }

    /// Walls of 3.2 m below half an arc of 3.135 m: even collars at 4.8 m of arc stand 1.535 m above the
    /// floor, those of odd rings at 4.2 m 2.135 m.
    #[test]
    fn a_row_that_is_asked_for_stands_where_it_is_asked_for() {
        let heights = |layout: &Layout, ring: u32, wall: Surface| -> Vec<f64> {
            let of = layout.rows.iter().filter(|r| r.first_ring == ring && r.collar.surface == wall);
            of.map(|r| (1000.0 * r.collar.point.y).round() / 1000.0).collect()
        };
        let even = Layout::new(&pattern(), &opening()).unwrap();
        let [lowest, next] = even.lowest_on_m(Surface::LeftWall)[..] else { panic!("two kinds of ring") };
        assert!((lowest - 1.535).abs() < 1e-2 && (next - 2.135).abs() < 1e-2, "{lowest} {next}");
        // At 1.0 m: one more row on both walls in both kinds of ring, all others where they were.
        let low = Layout::new(&Pattern { row_at_m: Some(1.0), ..pattern() }, &opening()).unwrap();
        for wall in [Surface::LeftWall, Surface::RightWall] {
            for ring in [0, 1] {
                let mut asked = heights(&even, ring, wall);
                asked.push(1.0);
                assert_eq!(heights(&low, ring, wall), asked);
            }
            assert!(low.lowest_on_m(wall).iter().all(|v| (v - 1.0).abs() < 1e-9));
        }
        // At 1.4 m: the even collar 0.135 m above it is moved there, the odd one stays and has one below.
        let moved = Layout::new(&Pattern { row_at_m: Some(1.4), ..pattern() }, &opening()).unwrap();
        for wall in [Surface::LeftWall, Surface::RightWall] {
            let (before, now) = (heights(&even, 0, wall), heights(&moved, 0, wall));
            assert_eq!(before.len(), now.len());
            assert_eq!(
                (before[..before.len() - 1].to_vec(), 1.4),
                (now[..now.len() - 1].to_vec(), *now.last().unwrap())
            );
            assert_eq!(heights(&moved, 1, wall).len(), heights(&even, 1, wall).len() + 1);
        }
        // From the crown outward, right before left.
        for pair in moved.rows.windows(2).filter(|p| p[0].first_ring == p[1].first_ring) {
            let [a, b] = [pair[0].collar.arc_m, pair[1].collar.arc_m];
            assert!(b.abs() >= a.abs() - 1e-9 && (b.abs() > a.abs() + 1e-9 || a > b), "{a} {b}");
        }
        // Only on the wall that is covered.
        let right =
            Pattern { row_at_m: Some(1.0), covers: vec![Covered::Back, Covered::RightWall], ..pattern() };
        let right = Layout::new(&right, &opening()).unwrap();
        assert!(right.lowest_on_m(Surface::LeftWall).is_empty());
        assert_eq!(right.lowest_on_m(Surface::RightWall).len(), 2);
    }

    #[test]
    fn a_row_off_its_wall_is_refused() {
        for height in [-0.5, 0.0, 4.6, 9.0] {
            let off = Pattern { row_at_m: Some(height), ..pattern() };
            assert!(matches!(Layout::new(&off, &opening()), Err(LayoutError::RowOffWall { .. })), "{height}");
        }
        let back = Pattern { row_at_m: Some(1.5), covers: vec![Covered::Back], ..pattern() };
        assert!(matches!(Layout::new(&back, &opening()), Err(LayoutError::RowWithoutWall { .. })));
    }

    #[test]
    fn a_vertical_bolt_does_not_enter_a_wall() {
        let vertical = Pattern { aim: Aim::Vertical, ..pattern() };
        assert!(matches!(Layout::new(&vertical, &opening()), Err(LayoutError::DoesNotEnter { .. })));
        let back = Pattern { covers: vec![Covered::Back], ..vertical };
        assert!(Layout::new(&back, &opening()).is_ok());
    }

    #[test]
    fn a_spacing_of_nothing_is_refused() {
        for found in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let pattern = Pattern { ring_spacing_m: found, ..pattern() };
            assert!(matches!(
                Layout::new(&pattern, &opening()),
                Err(LayoutError::NoSpacing { key: "ring_spacing_m", .. })
            ));
        }
    }

    #[test]
    fn a_fan_points_away_from_its_origin() {
        let fan = Pattern { aim: Aim::Fan { origin: Vec2::new(0.0, 2.0) }, ..pattern() };
        for row in Layout::new(&fan, &opening()).unwrap().rows {
            let away = row.collar.point - Vec2::new(0.0, 2.0);
            let direction = Vec2::new(row.collar.direction.x, row.collar.direction.z);
            assert!((away.normalize() - direction).norm() < 1e-12);
        }
    }
}
