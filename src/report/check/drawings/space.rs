//! The wedge that matters most, in the drive as a body: for paper, and for a page without scripts.

use crate::case::Case;
use crate::opening::Vec2;
use crate::orientation::Vec3;
use crate::report::paper::depth::{DepthTree, Piece};
use crate::report::paper::numbers::{kn, volume};
use crate::report::paper::scale::{self, MARGIN_MM, Scale};
use crate::report::paper::sheet::{Anchor, Colour, FULL_WIDTH_MM, Fill, PAPER, Point, Rect, Sheet, Stroke};
use crate::report::paper::style::{
    self, GREY, HAIR_MM, INK, LABEL, OUTLINE_MM, PALE, THIN_MM, bolt_stroke, set_style,
};
use crate::study::{Check, CheckedWedge};
use crate::support::Serving;

use super::clip::clip_area;
use super::legend::Legend;
use super::order::{MOST_NAMED, every_by_importance, fs_against_criterion, moves, place_words};

/// Greatest height of the picture, millimetres.
const MOST_HEIGHT_MM: f64 = 96.0;
/// How far above the level somebody stands who looks across the drive at the wedge, degrees, and how far off the
/// advance he looks: its face and its apex are then both seen.
const PITCH_DEG: f64 = 20.0;
const YAW_DEG: f64 = 38.0;
/// The drive goes on by so much of its size on both sides of the wedge.
const BEYOND: f64 = 0.3;
/// What is further from the opening than so many of its sizes does not make the picture smaller; it is cut.
const REACH: f64 = 0.8;
/// A collar this near to one of a bolt that crosses the wedge is that bolt's, metres.
const SAME_COLLAR_M: f64 = 2e-3;
/// Lines along the drive where the section has no corners.
const ROUND_LINES: usize = 8;
/// How much of their colour faces have: of joints and of the opening, of the wedge and of others.
const JOINT: [f64; 2] = [0.46, 0.12];
const FACE: [f64; 2] = [0.2, 0.06];
const FLOOR: f64 = 0.06;
/// What a face that is seen at a slant is darker by, so that neighbours are told apart.
const SLANT: f64 = 0.25;
/// Length of the arrows that say which way is north, ahead and up, millimetres.
const ARROW_MM: f64 = 7.0;

/// Directions nearer to each other than this cosine have names that meet; north is then drawn so many times as long.
const NEARLY_ALIKE: f64 = 0.8;
const BEFORE_AHEAD: f64 = 3.2;

/// What a piece of the picture is.
#[derive(Debug, Clone, Copy, PartialEq)]
enum What {
    /// A joint's face, by its set, of the wedge or of another one.
    Joint(usize, bool),
    /// The part of a wedge that looks into the drive.
    Face(bool),
    Floor,
    Outline,
    /// A line along the drive.
    Along,
    Bolt {
        toe_side: bool,
        serving: bool,
    },
    /// Where a bolt that crosses the wedge has its plate.
    Plate,
}

/// The wedge that matters most where it is carried least, with the drive, the bolts about it and the wedges beside
/// it, seen across the drive from above; `None` where there is no wedge.
///
/// Parallel projection: lines square to the line of sight are to scale. What lies behind a face is hidden by it.
#[must_use]
pub(crate) fn space(case: &Case, check: &Check) -> Option<Sheet> {
    let order = every_by_importance(check);
    let &(wedge, at_face) = order.first()?;
    let scene = Scene::about(case, check, wedge, at_face);
    let view = Looking::at(wedge, check);
    let others = order.iter().skip(1).take(MOST_NAMED - 1).filter(|o| o.1 == at_face).map(|o| o.0);
    let pieces = scene.pieces(others);
    let title = title(wedge);
    let width = FULL_WIDTH_MM - 2.0 * MARGIN_MM;
    let mut trial = Sheet::new(FULL_WIDTH_MM, 100.0, "");
    let top = style::title(&mut trial, [MARGIN_MM; 2], &title, width) + 2.0;
    let (low, high) = scene.extent(&view);
    let size = high - low;
    let scale = Scale::fitting([size.x, size.y], [width, MOST_HEIGHT_MM]);
    let height = size.y * scale.mm_per_m();
    let frame = Rect::new(MARGIN_MM, top, FULL_WIDTH_MM - MARGIN_MM, top + height);
    let foot_top = frame.bottom + 3.0;
    let foot_bottom = scene.foot(&mut trial, foot_top, scale, &view);
    let mut sheet = Sheet::new(FULL_WIDTH_MM, foot_bottom + MARGIN_MM, &title);
    sheet.describe(&format!(
        "{} in the drive, seen across it from above, {}: opening, wedges, bolts about it.",
        wedge.wedge.id,
        scale.words()
    ));
    style::title(&mut sheet, [MARGIN_MM; 2], &title, width);
    let middle = 0.5 * (low + high);
    let place = |p: &Vec3| -> Point {
        let (at, k) = (view.flat(p), scale.mm_per_m());
        [
            0.5 * (frame.left + frame.right) + k * (at.x - middle.x),
            0.5 * (frame.top + frame.bottom) - k * (at.y - middle.y),
        ]
    };
    let tree = DepthTree::of(pieces);
    for piece in tree.far_to_near(&view.look) {
        draw(&mut sheet, piece, &place, &view.look, &frame);
    }
    scene.letters(&mut sheet, &place, &view.look, &frame);
    scene.foot(&mut sheet, foot_top, scale, &view);
    Some(sheet)
}

fn title(wedge: &CheckedWedge) -> String {
    let (id, place, weight) = (&wedge.wedge.id, place_words(wedge), kn(wedge.wedge.weight_kn));
    if moves(wedge) {
        format!("{id} in {place}, {weight} kN: {}", fs_against_criterion(wedge))
    } else {
        format!("{id} in {place}, {} m³, {weight} kN: no motion", volume(wedge.wedge.shape.volume_m3))
    }
}

/// From where the picture is taken; local (u, s, v).
struct Looking {
    look: Vec3,
    right: Vec3,
    up: Vec3,
}

impl Looking {
    /// Across the drive toward the wedge.
    fn at(wedge: &CheckedWedge, check: &Check) -> Self {
        let (low, high) = check.opening.section.bounds();
        let side = if wedge.worst_shape().apex.x < 0.5 * (low.x + high.x) { -1.0 } else { 1.0 };
        let ((sin_yaw, cos_yaw), (sin, cos)) =
            ((side * YAW_DEG).to_radians().sin_cos(), PITCH_DEG.to_radians().sin_cos());
        let look = Vec3::new(sin_yaw * cos, cos_yaw * cos, -sin);
        let right = Vec3::new(cos_yaw, -sin_yaw, 0.0);
        Self { look, right, up: right.cross(&look) }
    }

    fn flat(&self, p: &Vec3) -> Vec2 {
        Vec2::new(self.right.dot(p), self.up.dot(p))
    }
}

struct Scene<'a> {
    case: &'a Case,
    check: &'a Check,
    wedge: &'a CheckedWedge,
    at_face: bool,
    /// Chainages between which the drive is shown; at the face up to it, at 0.
    from_m: f64,
    to_m: f64,
}

impl<'a> Scene<'a> {
    fn about(case: &'a Case, check: &'a Check, wedge: &'a CheckedWedge, at_face: bool) -> Self {
        let moved = chainage_m(wedge, at_face);
        let along = wedge.worst_shape().vertices().into_iter().map(|p| p.y + moved);
        let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), s| (l.min(s), h.max(s)));
        let beyond = BEYOND * check.opening.section.size_m();
        let to_m = if at_face { 0.0 } else { high + beyond };
        Self { case, check, wedge, at_face, from_m: low - beyond, to_m }
    }

    fn serving(&self) -> &'a [Serving] {
        self.wedge.serving().unwrap_or_default()
    }

    fn ring(&self, s: f64) -> Vec<Vec3> {
        self.check.opening.section.vertices().iter().map(|p| Vec3::new(p.x, s, p.y)).collect()
    }

    fn pieces(&self, others: impl Iterator<Item = &'a CheckedWedge>) -> Vec<Piece<What>> {
        let mut pieces = Vec::new();
        let here_m = chainage_m(self.wedge, self.at_face);
        of_body(self.wedge, here_m, true, &mut pieces);
        let period_m = self
            .check
            .layouts
            .iter()
            .map(|l| l.period_m)
            .reduce(f64::max)
            .unwrap_or_else(|| self.check.opening.section.size_m());
        for other in others {
            let own_m = chainage_m(other, self.at_face);
            // A wedge without a place of its own may sit a whole number of periods further.
            let periods = if other.wedge.located.is_some() || self.at_face {
                0.0
            } else {
                ((here_m - own_m) / period_m).round()
            };
            let moved = own_m + periods * period_m;
            let shape = other.worst_shape();
            let within = |p: &Vec3| (self.from_m..=self.to_m).contains(&(p.y + moved));
            // One that is cut by the ends of the picture would end in nothing.
            if shape.vertices().iter().all(within) {
                of_body(other, moved, false, &mut pieces);
            }
        }
        self.opening(&mut pieces);
        self.bolts(&mut pieces);
        pieces
    }

    fn opening(&self, pieces: &mut Vec<Piece<What>>) {
        let section = &self.check.opening.section;
        let (near, far) = (self.ring(self.from_m), self.ring(self.to_m));
        let count = near.len();
        for i in 0..count {
            let next = (i + 1) % count;
            for ring in [&near, &far] {
                pieces.push(Piece::line(ring[i], ring[next], What::Outline));
            }
        }
        let corners: Vec<usize> = (0..count).filter(|&i| section.is_corner(i)).collect();
        let lines = if corners.is_empty() {
            (0..ROUND_LINES).map(|k| k * count / ROUND_LINES).collect()
        } else {
            corners
        };
        pieces.extend(lines.into_iter().map(|i| Piece::line(near[i], far[i], What::Along)));
        // The floor, unless it would hide the wedge.
        if !self.wedge.wedge.surfaces.contains(&crate::opening::Surface::Floor) {
            let low = section.bounds().0.y + 0.02;
            for i in 0..count {
                let next = (i + 1) % count;
                if near[i].z < low && near[next].z < low {
                    pieces.push(Piece {
                        points: vec![near[i], near[next], far[next], far[i]],
                        sides: vec![false; 4],
                        rank: 1,
                        what: What::Floor,
                    });
                }
            }
        }
    }

    fn bolts(&self, pieces: &mut Vec<Piece<What>>) {
        let mut line = |from: Vec3, to: Vec3, toe_side, serving| {
            pieces.push(Piece::line(from, to, What::Bolt { toe_side, serving }));
        };
        let crossing: Vec<(Vec3, &Serving)> =
            self.serving().iter().map(|b| (Vec3::new(b.point.x, b.chainage_m, b.point.y), b)).collect();
        // Behind a face rings stand by the last of them: those that cross the wedge are known.
        let shifts_m = self.wedge.placement().map(|p| p.shifts_m.as_slice()).unwrap_or_default();
        for (at, layout) in self.check.layouts.iter().enumerate().filter(|_| !self.at_face) {
            let design = &self.case.patterns[at];
            let group = self.check.groups.iter().position(|g| g.patterns.contains(&at));
            let shift_m = group.and_then(|g| shifts_m.get(g)).copied().unwrap_or(0.0);
            for row in &layout.rows {
                let zero = design.offset_m.unwrap_or(0.0)
                    + shift_m
                    + f64::from(row.first_ring) * design.ring_spacing_m;
                let mut ring = ((self.from_m - zero) / layout.period_m).ceil();
                while zero + ring * layout.period_m <= self.to_m {
                    let collar = &row.collar;
                    let from = Vec3::new(collar.point.x, zero + ring * layout.period_m, collar.point.y);
                    if !crossing.iter().any(|(c, _)| (c - from).norm() < SAME_COLLAR_M) {
                        line(from, from + collar.direction * design.length_in_hole_m(), false, false);
                    }
                    ring += 1.0;
                }
            }
        }
        for (collar, bolt) in &crossing {
            let end_m = self.case.pattern_at(bolt.pattern).length_in_hole_m();
            let joint = collar + bolt.direction * bolt.head_m.min(end_m);
            line(*collar, joint, false, true);
            line(joint, collar + bolt.direction * end_m, true, true);
        }
        pieces.extend(crossing.iter().map(|(collar, _)| Piece::line(*collar, *collar, What::Plate)));
    }

    /// What has to be seen: the opening, bolts that cross the wedge, and the wedge as far as it does not dwarf them.
    fn extent(&self, view: &Looking) -> (Vec2, Vec2) {
        let section = &self.check.opening.section;
        let reach = Vec2::repeat(REACH * section.size_m());
        let (low, high) = section.bounds();
        let near = |p: &Vec3| {
            let at = Vec2::new(p.x, p.z);
            at.inf(&(low - reach)) == low - reach && at.sup(&(high + reach)) == high + reach
        };
        let moved = Vec3::new(0.0, chainage_m(self.wedge, self.at_face), 0.0);
        let body = self.wedge.worst_shape().vertices().into_iter().map(|p| p + moved).filter(near);
        let bolts = self.serving().iter().map(|b| {
            Vec3::new(b.point.x, b.chainage_m, b.point.y)
                + b.direction * self.case.pattern_at(b.pattern).length_in_hole_m()
        });
        let all = self.ring(self.from_m).into_iter().chain(self.ring(self.to_m)).chain(body).chain(bolts);
        let (mut least, mut most) = (Vec2::repeat(f64::INFINITY), Vec2::repeat(f64::NEG_INFINITY));
        for at in all.map(|p| view.flat(&p)) {
            least = least.inf(&at);
            most = most.sup(&at);
        }
        let clear = Vec2::repeat(0.03 * section.size_m());
        (least - clear, most + clear)
    }

    /// The names of the sets on those joints that look this way.
    fn letters(&self, sheet: &mut Sheet, place: &impl Fn(&Vec3) -> Point, look: &Vec3, frame: &Rect) {
        let shape = self.wedge.worst_shape();
        let moved = Vec3::new(0.0, chainage_m(self.wedge, self.at_face), 0.0);
        for (k, joint) in shape.joints.iter().enumerate() {
            // The joint's normal points into the wedge.
            if self.wedge.wedge.cone.inward[k].dot(look) < 0.05 {
                continue;
            }
            let (Some(first), Some(last)) = (joint.trace.first(), joint.trace.last()) else { continue };
            let half = joint.trace[joint.trace.len() / 2];
            let base = 0.5 * half + 0.25 * (first + last);
            let at = place(&(shape.apex * 0.38 + base * 0.62 + moved));
            if frame.holds(at) {
                let name = &self.case.joints[self.wedge.wedge.sets[k]].name;
                sheet.text(at, name, &LABEL.anchored(Anchor::Middle).bold().halo());
            }
        }
    }

    /// Scale bar, directions and legend; gives the lowest y.
    fn foot(&self, sheet: &mut Sheet, top: f64, scale: Scale, view: &Looking) -> f64 {
        let bar_y = top + ARROW_MM;
        let right = scale::bar(sheet, [MARGIN_MM, bar_y], scale);
        sheet.text([right + 3.0, bar_y - 0.8], "square to the line of sight", &LABEL);
        let at = [FULL_WIDTH_MM - MARGIN_MM - 24.0, bar_y];
        let north = self.check.opening.frame.to_local(&Vec3::y());
        let ahead = view.flat(&Vec3::y());
        for (direction, name) in [(north, "N"), (Vec3::y(), "advance"), (Vec3::z(), "up")] {
            // Where north lies nearly ahead its name stands before the other one.
            let nearly_ahead = view.flat(&direction).normalize().dot(&ahead.normalize()) > NEARLY_ALIKE;
            let longer = if name == "N" && nearly_ahead { BEFORE_AHEAD } else { 1.0 };
            let flat = view.flat(&direction) * longer;
            let tip = [at[0] + ARROW_MM * flat.x, at[1] - ARROW_MM * flat.y];
            if flat.norm() < 0.15 {
                continue;
            }
            sheet.polyline(&[at, tip], Stroke::solid(INK, THIN_MM));
            let out = 1.0 + 2.6 / (ARROW_MM * flat.norm());
            let words = [at[0] + (tip[0] - at[0]) * out, at[1] + (tip[1] - at[1]) * out];
            let anchor = match flat.x {
                x if x > 0.3 => Anchor::Start,
                x if x < -0.3 => Anchor::End,
                _ => Anchor::Middle,
            };
            sheet.text(words, name, &LABEL.anchored(anchor).halo());
        }
        let mut legend = Legend::new(sheet, [MARGIN_MM, bar_y + ARROW_MM + 1.5], FULL_WIDTH_MM - MARGIN_MM);
        legend.sets(self.case, &self.wedge.wedge.sets);
        let serving = !self.serving().is_empty();
        legend.bolts(serving, false);
        let others = !self.at_face && !self.check.layouts.is_empty();
        legend.line("other bolt of the pattern", bolt_stroke(false, false), others);
        legend.bottom()
    }
}

/// Where its apex stands; a shape at the face counts from the face itself.
fn chainage_m(wedge: &CheckedWedge, at_face: bool) -> f64 {
    if at_face { 0.0 } else { wedge.apex_chainage_m() }
}

/// The faces of a wedge: joints as triangles from its apex, since a trace may bend, and the parts of its opening.
fn of_body(wedge: &CheckedWedge, chainage_m: f64, is_it: bool, pieces: &mut Vec<Piece<What>>) {
    let shape = wedge.worst_shape();
    let moved = |p: &Vec3| Vec3::new(p.x, p.y + chainage_m, p.z);
    let apex = moved(&shape.apex);
    let rank = if is_it { 3 } else { 2 };
    for (k, joint) in shape.joints.iter().enumerate() {
        let last = joint.trace.len().saturating_sub(2);
        for (i, pair) in joint.trace.windows(2).enumerate() {
            pieces.push(Piece {
                points: vec![apex, moved(&pair[0]), moved(&pair[1])],
                sides: vec![i == 0, true, i == last],
                rank,
                what: What::Joint(wedge.wedge.sets[k], is_it),
            });
        }
    }
    pieces.extend(shape.openings.iter().map(|face| Piece {
        points: face.polygon.iter().map(moved).collect(),
        sides: vec![false; face.polygon.len()],
        rank,
        what: What::Face(is_it),
    }));
}

/// So much of a colour on paper.
fn on_paper(colour: Colour, share: f64) -> Colour {
    let mixed = |paper: u8, ink: u8| {
        let value = f64::from(paper) + (f64::from(ink) - f64::from(paper)) * share.clamp(0.0, 1.0);
        // Between two values of a byte.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let byte = value.round() as u8;
        byte
    };
    Colour {
        red: mixed(PAPER.red, colour.red),
        green: mixed(PAPER.green, colour.green),
        blue: mixed(PAPER.blue, colour.blue),
    }
}

fn draw(sheet: &mut Sheet, piece: &Piece<What>, place: &impl Fn(&Vec3) -> Point, look: &Vec3, frame: &Rect) {
    let at: Vec<Point> = piece.points.iter().map(place).collect();
    let line = |sheet: &mut Sheet, stroke: Stroke| sheet.polyline_within(&at, stroke, frame);
    let (colour, share) = match piece.what {
        What::Outline => return line(sheet, Stroke::solid(INK, 0.7 * OUTLINE_MM)),
        What::Along => return line(sheet, Stroke::solid(INK, THIN_MM)),
        What::Bolt { serving: false, .. } => return line(sheet, Stroke::solid(GREY, THIN_MM)),
        What::Bolt { toe_side, .. } => return line(sheet, bolt_stroke(toe_side, true)),
        What::Plate => {
            if frame.holds(at[0]) {
                sheet.circle(at[0], 0.8, Some(Fill::solid(INK)), None);
            }
            return;
        }
        What::Joint(set, is_it) => (set_style(set).colour, JOINT[usize::from(!is_it)]),
        What::Face(is_it) => (INK, FACE[usize::from(!is_it)]),
        What::Floor => (INK, FLOOR),
    };
    let normal = (piece.points[1] - piece.points[0]).cross(&(piece.points[2] - piece.points[0]));
    let slant = 1.0 - normal.try_normalize(0.0).map_or(1.0, |n| n.dot(look).abs());
    let fill = on_paper(colour, share * (1.0 + SLANT * slant));
    let area = clip_area(&at, frame);
    // A line of its own colour closes the seam to the next part of the same face.
    sheet.polygon(&area, Some(Fill::solid(fill)), None);
    if let What::Joint(set, is_it) = piece.what {
        let style = set_style(set);
        let stroke = if is_it {
            style.stroke()
        } else {
            Stroke { colour: on_paper(style.colour, 0.55), width_mm: HAIR_MM, ..style.stroke() }
        };
        for (i, _) in piece.sides.iter().enumerate().filter(|(_, drawn)| **drawn) {
            sheet.polyline_within(&[at[i], at[(i + 1) % at.len()]], stroke, frame);
        }
    } else if piece.what == What::Face(true) {
        let side = Stroke::solid(PALE, HAIR_MM);
        for i in 0..area.len() {
            sheet.polyline(&[area[i], area[(i + 1) % area.len()]], side);
        }
    }
}
