//! The section, looking along the advance.

use crate::case::Case;
use crate::opening::Vec2;
use crate::orientation::Vec3;
use crate::report::paper::compass::azimuth_words;
use crate::report::paper::sheet::{
    Anchor, FULL_WIDTH_MM, Fill, Layout, PAPER, Point, Rect, Sheet, Stroke, clip_polyline,
};
use crate::report::paper::style::{
    self, GREY, HAIR_MM, INK, LABEL, LABEL_LEADING_MM, OUTLINE_MM, PALE, set_style,
};
use crate::study::{Check, CheckedWedge, Verdict};
use crate::wedge::Sector;

use super::MARK_ROOM_MM;
use super::clip::clip_area;
use super::labels::{Label, on_line, rows, thinner};
use super::legend::{Legend, criteria_words, plate};
use super::order::{
    MOST_NAMED, by_importance, crossing, crossing_words, fs_against_criterion, fs_words, moves, place_words,
};
use super::section_bolts::{SectionBolt, bolts};
use super::section_labels::{self, Named, fuller_column_mm};
use crate::report::paper::dimensions;
use crate::report::paper::scale::MARGIN_MM;
use crate::report::paper::scale::{self, Scale};

/// Widest column of names beside the section, millimetres; and the narrowest.
const COLUMN_MM: [f64; 2] = [48.0, 18.0];
/// Between a column and the drawing, millimetres.
const BESIDE_MM: f64 = 3.0;
/// Greatest height of the drawing, millimetres.
const MOST_HEIGHT_MM: f64 = 104.0;
/// The drawing goes at most this many sizes of the opening beyond it; larger wedges are cut.
const REACH: f64 = 1.0;
/// Half the distance between the two lines of an edge, millimetres.
const HALF_EDGE_MM: f64 = 0.4;

/// The section, to scale: the opening with its dimensions, the wedges where they sit at their
/// worst placement, and bolts.
///
/// A wedge's two outer edges are drawn as pairs of lines, one for each of the two joints that
/// meet in that edge. For each named wedge, and each pattern, the bolts of one ring are drawn: the
/// ring nearest to the wedge's centroid at its worst placement. Rings of one kind lie on each
/// other; a bolt stands in full ink where it crosses a wedge in that wedge's own ring.
#[must_use]
pub(crate) fn section(case: &Case, check: &Check) -> Sheet {
    let wedges = by_importance(check);
    let named = &wedges[..wedges.len().min(MOST_NAMED)];
    let bolts = bolts(case, check, named);
    let title = title(check, &wedges);

    let trial = Sheet::new(FULL_WIDTH_MM, 100.0, "");
    let labels: Vec<Label> = named.iter().map(|w| label(&trial, w)).collect();
    let widest = labels.iter().map(|l| l.size_mm(&trial)[0]).fold(COLUMN_MM[1], f64::max);
    let column_mm = if labels.is_empty() { 0.0 } else { widest };
    let frame_left = MARGIN_MM + column_mm + BESIDE_MM;
    let frame_width = FULL_WIDTH_MM - 2.0 * frame_left;

    let (low, high) = extent(check, named, &bolts);
    let size = high - low;
    let scale = Scale::fitting([size.x, size.y], [frame_width, MOST_HEIGHT_MM]);
    let columns_mm = fuller_column_mm(&trial, &labels);
    let frame_height = (size.y * scale.mm_per_m() + 2.0).max(columns_mm);

    let mut heading = Sheet::new(FULL_WIDTH_MM, 100.0, "");
    let frame_top = style::title(&mut heading, [MARGIN_MM; 2], &title, FULL_WIDTH_MM - 2.0 * MARGIN_MM) + 3.0;
    let frame = Rect::new(frame_left, frame_top, frame_left + frame_width, frame_top + frame_height);
    let view = View { scale, middle: 0.5 * (low + high), frame };

    let drawing = Drawing { case, check, wedges: &wedges, named, bolts: &bolts, view };
    let foot_top = frame.bottom + 3.0;
    let foot_bottom = drawing.foot(&mut heading, foot_top);
    let mut sheet = Sheet::new(FULL_WIDTH_MM, foot_bottom + MARGIN_MM, &title);
    sheet.describe(&format!(
        "Section looking along the advance {}, scale {}: opening, {} wedges at their worst placement, bolts.",
        azimuth_words(case.advance.trend_deg),
        scale.words(),
        check.wedges.len()
    ));
    style::title(&mut sheet, [MARGIN_MM; 2], &title, FULL_WIDTH_MM - 2.0 * MARGIN_MM);
    drawing.draw(&mut sheet);
    let columns = [
        Rect::new(MARGIN_MM, frame.top, MARGIN_MM + column_mm, frame.bottom),
        Rect::new(FULL_WIDTH_MM - MARGIN_MM - column_mm, frame.top, FULL_WIDTH_MM - MARGIN_MM, frame.bottom),
    ];
    let named_labels = named
        .iter()
        .zip(labels)
        .map(|(wedge, label)| Named { label, target: drawing.target(wedge) })
        .collect();
    section_labels::draw(&mut sheet, named_labels, &columns[0], &columns[1]);
    drawing.foot(&mut sheet, foot_top);
    sheet
}

fn label(sheet: &Sheet, wedge: &CheckedWedge) -> Label {
    let mut lines = rows(sheet, &wedge.wedge.id, COLUMN_MM[0] - MARK_ROOM_MM);
    lines.push(fs_words(wedge));
    Label { verdict: wedge.decided.verdict, rows: lines }
}

fn title(check: &Check, wedges: &[&CheckedWedge]) -> String {
    let Some(first) = wedges.first() else {
        return "No removable wedge of a litre or more".into();
    };
    let short = wedges.iter().filter(|w| w.decided.verdict == Verdict::Short).count();
    let all = wedges.len();
    let bolts = match crossing(first) {
        Some(count) if none_works(first) => {
            format!("{} but {} nothing", crossing_words(count), if count == 1 { "carries" } else { "carry" })
        }
        Some(count) => crossing_words(count),
        None => "there is no bolt".into(),
    };
    let fs = fs_against_criterion(first);
    if short > 0 {
        let others = match short {
            1 => String::new(),
            2 => "; 1 more wedge is short".into(),
            n => format!("; {} more wedges are short", n - 1),
        };
        return format!("{} is short in {}: {bolts}, {fs}{others}", first.wedge.id, place_words(first));
    }
    let bare = if check.layouts.is_empty() { " without bolts" } else { "" };
    if !moves(first) {
        return format!("None of the {all} wedges moves under its own weight");
    }
    let judged = wedges.iter().filter(|w| !w.decided.is_left_out());
    let unjudged = judged.filter(|w| w.decided.verdict == Verdict::NotJudged).count();
    let left_out = wedges.iter().filter(|w| w.decided.is_left_out()).count();
    let held = match (unjudged, all - left_out) {
        (0, 1) if left_out == 0 => "The one wedge is held".into(),
        (0, _) if left_out == 0 => format!("All {all} wedges are held"),
        (0, judged) => format!("All {judged} wedges that are judged are held"),
        (1, _) => format!("No wedge of {all} is short, 1 is not judged"),
        (n, _) => format!("No wedge of {all} is short, {n} are not judged"),
    };
    if first.decided.fs.is_none() {
        return format!("{held}{bare}");
    }
    format!("{held}{bare}; {} in {} comes nearest to its criterion, {fs}", first.wedge.id, place_words(first))
}

/// Whether the bolts that the title counts carry nothing.
fn none_works(wedge: &CheckedWedge) -> bool {
    wedge.placement().is_some_and(crate::support::Placement::none_works)
}

fn flat(point: &Vec3) -> Vec2 {
    Vec2::new(point.x, point.z)
}

/// What is drawn, lower and upper corner: the opening, bolts, and named wedges as far as they do
/// not dwarf it.
fn extent(check: &Check, wedges: &[&CheckedWedge], bolts: &[SectionBolt]) -> (Vec2, Vec2) {
    let (opening_low, opening_high) = check.opening.section.bounds();
    let reach = Vec2::repeat(REACH * check.opening.section.size_m());
    let (mut low, mut high) = (opening_low, opening_high);
    let apexes = wedges.iter().map(|w| flat(&w.worst_shape().apex));
    for point in apexes.chain(bolts.iter().map(|b| b.end)) {
        low = low.inf(&point);
        high = high.sup(&point);
    }
    let clear = Vec2::repeat(0.04 * check.opening.section.size_m());
    (low.sup(&(opening_low - reach)) - clear, high.inf(&(opening_high + reach)) + clear)
}

/// Section coordinates on the sheet.
#[derive(Debug, Clone, Copy)]
struct View {
    scale: Scale,
    middle: Vec2,
    frame: Rect,
}

impl View {
    fn place(&self, at: &Vec2) -> Point {
        let k = self.scale.mm_per_m();
        let x = 0.5 * (self.frame.left + self.frame.right);
        let y = 0.5 * (self.frame.top + self.frame.bottom);
        [x + k * (at.x - self.middle.x), y - k * (at.y - self.middle.y)]
    }
}

struct Drawing<'a> {
    case: &'a Case,
    check: &'a Check,
    wedges: &'a [&'a CheckedWedge],
    named: &'a [&'a CheckedWedge],
    bolts: &'a [SectionBolt],
    view: View,
}

impl Drawing<'_> {
    fn draw(&self, sheet: &mut Sheet) {
        let mut layout = Layout::within(self.view.frame);
        // What matters most is drawn last and lies on top.
        for wedge in self.wedges.iter().skip(self.named.len()).rev() {
            let path = self.outline(wedge);
            sheet.polyline_within(&path, Stroke::solid(PALE, HAIR_MM), &self.view.frame);
        }
        // Only the wedge that the title speaks of: shades of several would add up.
        if let Some(wedge) = self.named.first().filter(|w| w.decided.verdict == Verdict::Short) {
            let area = clip_area(&self.outline(wedge), &self.view.frame);
            sheet.polygon(&area, Some(Fill::tint(INK, 0.09)), None);
        }
        self.draw_bolts(sheet, &mut layout);
        let edges: Vec<(Vec<Point>, String)> =
            self.named.iter().rev().flat_map(|wedge| self.draw_edges(sheet, wedge)).collect();
        self.draw_opening(sheet, &mut layout);
        for [x, y] in self.named.iter().map(|w| self.target(w)) {
            layout.take(Rect::new(x - 1.0, y - 1.0, x + 1.0, y + 1.0), 12.0);
        }
        for (line, letters) in edges.iter().rev() {
            on_line(sheet, &mut layout, line, letters);
        }
    }

    /// The wedge in section, closed: apex, along the face, back to the apex.
    fn outline(&self, wedge: &CheckedWedge) -> Vec<Point> {
        let shape = wedge.worst_shape();
        let lone = Sector::of(&wedge.wedge.cone).map_or(0, |s| s.order[1]);
        let apex = self.view.place(&flat(&shape.apex));
        let mut path = vec![apex];
        path.extend(shape.joints[lone].trace.iter().map(|p| self.view.place(&flat(p))));
        path.push(apex);
        path
    }

    /// Draws the two outer edges as pairs of lines and gives each with the names of its sets.
    fn draw_edges(&self, sheet: &mut Sheet, wedge: &CheckedWedge) -> Vec<(Vec<Point>, String)> {
        let Some(sector) = Sector::of(&wedge.wedge.cone) else { return Vec::new() };
        let [opposite_start, lone, opposite_end] = sector.order;
        let path = self.outline(wedge);
        let (Some(&apex), Some(&start), Some(&end)) =
            (path.first(), path.get(1), path.get(path.len().saturating_sub(2)))
        else {
            return Vec::new();
        };
        let mut edges = Vec::new();
        for (foot, outer, other) in [(start, opposite_end, end), (end, opposite_start, start)] {
            let (dx, dy) = (foot[0] - apex[0], foot[1] - apex[1]);
            let length = dx.hypot(dy);
            if length == 0.0 {
                continue;
            }
            // Across the edge, toward the inside of the wedge.
            let turn = (dx * (other[1] - apex[1]) - dy * (other[0] - apex[0])).signum();
            let inward = [-dy / length * turn * HALF_EDGE_MM, dx / length * turn * HALF_EDGE_MM];
            for (plane, side) in [(lone, 1.0), (outer, -1.0)] {
                let moved = |p: Point| [p[0] + side * inward[0], p[1] + side * inward[1]];
                let stroke = thinner(set_style(wedge.wedge.sets[plane]).stroke());
                sheet.polyline_within(&[moved(apex), moved(foot)], stroke, &self.view.frame);
            }
            let mut sets = [wedge.wedge.sets[lone], wedge.wedge.sets[outer]];
            sets.sort_unstable();
            let names = sets.map(|s| self.case.joints[s].name.as_str());
            for part in clip_polyline(&[apex, foot], &self.view.frame) {
                edges.push((part, names.join("|")));
            }
        }
        edges
    }

    fn draw_bolts(&self, sheet: &mut Sheet, layout: &mut Layout) {
        let (crossing, others): (Vec<&SectionBolt>, Vec<&SectionBolt>) =
            self.bolts.iter().partition(|b| b.joint.is_some());
        for bolt in others.iter().chain(&crossing) {
            let serving = bolt.joint.is_some();
            let (collar, end) = (self.view.place(&bolt.collar), self.view.place(&bolt.end));
            let head = bolt.joint.map_or(end, |j| self.view.place(&j));
            sheet.polyline_within(&[collar, head], style::bolt_stroke(false, serving), &self.view.frame);
            if serving {
                sheet.polyline_within(&[head, end], style::bolt_stroke(true, true), &self.view.frame);
            }
            layout.take_line(&[collar, end], if serving { 4.0 } else { 1.0 });
        }
    }

    fn draw_opening(&self, sheet: &mut Sheet, layout: &mut Layout) {
        let section = &self.check.opening.section;
        let outline: Vec<Point> = section.vertices().iter().map(|v| self.view.place(v)).collect();
        sheet.polygon(&outline, Some(Fill::solid(PAPER)), Some(Stroke::solid(INK, OUTLINE_MM)));
        let mut closed = outline.clone();
        closed.extend(outline.first());
        layout.take_line(&closed, 8.0);
        for bolt in self.bolts.iter().filter(|b| b.plate) {
            let collar = self.view.place(&bolt.collar);
            let end = self.view.place(&bolt.end);
            let length = (end[0] - collar[0]).hypot(end[1] - collar[1]);
            if length > 0.0 {
                let along = [(end[0] - collar[0]) / length, (end[1] - collar[1]) / length];
                // Inside the opening, clear of its outline.
                let out = OUTLINE_MM / 2.0 + 0.5;
                let at = [collar[0] - out * along[0], collar[1] - out * along[1]];
                let colour = if bolt.joint.is_some() { INK } else { GREY };
                plate(sheet, at, [-along[1], along[0]], colour);
            }
        }
        dimensions::draw(sheet, section, |at| self.view.place(at));
    }

    /// The middle of the wedge in section, or the nearest place that the drawing shows.
    fn target(&self, wedge: &CheckedWedge) -> Point {
        let path = self.outline(wedge);
        let along_face = &path[1..path.len().max(2) - 1];
        let middle = along_face.get(along_face.len() / 2).copied().unwrap_or(path[0]);
        let middle = match (along_face.first(), along_face.last()) {
            (Some(a), Some(b)) if along_face.len() <= 2 => [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])],
            _ => middle,
        };
        let at = [0.6 * middle[0] + 0.4 * path[0][0], 0.6 * middle[1] + 0.4 * path[0][1]];
        let frame = self.view.frame.grown(-1.0);
        [at[0].clamp(frame.left, frame.right), at[1].clamp(frame.top, frame.bottom)]
    }

    fn foot(&self, sheet: &mut Sheet, top: f64) -> f64 {
        let looking = format!("looking along the advance {}", azimuth_words(self.case.advance.trend_deg));
        scale::bar(sheet, [MARGIN_MM, top + 3.0], self.view.scale);
        sheet.text([FULL_WIDTH_MM - MARGIN_MM, top + 2.2], &looking, &LABEL.anchored(Anchor::End));
        let right = FULL_WIDTH_MM - MARGIN_MM;
        let mut legend = Legend::new(sheet, [MARGIN_MM, top + 3.0 + LABEL_LEADING_MM], right);
        legend.verdicts(self.named.iter().copied());
        let crosses = self.bolts.iter().any(|b| b.joint.is_some());
        legend.bolts(crosses, self.bolts.iter().any(|b| b.joint.is_none()));
        legend.new_row();
        let sets: Vec<usize> = self.named.iter().flat_map(|w| w.wedge.sets).collect();
        legend.sets(self.case, &sets);
        for note in self.notes() {
            legend.note(&note);
        }
        legend.bottom()
    }

    fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        if !self.named.is_empty() {
            notes.push(criteria_words(self.case));
        }
        if !self.check.layouts.is_empty() && !self.bolts.is_empty() {
            notes.push(
                "Each wedge at its worst placement, with the ring nearest to its centroid there; rings of one kind lie on each other."
                    .into(),
            );
        }
        let unnamed = self.wedges.len() - self.named.len();
        if unnamed > 0 {
            let those = if unnamed == 1 {
                "1 wedge that matters".into()
            } else {
                format!("{unnamed} wedges that matter")
            };
            notes.push(format!("Without a name, pale: {those} less than these {}.", self.named.len()));
        }
        let cut: Vec<&str> = self
            .named
            .iter()
            .filter(|w| !self.view.frame.holds(self.view.place(&flat(&w.worst_shape().apex))))
            .map(|w| w.wedge.id.as_str())
            .collect();
        if !cut.is_empty() {
            notes.push(format!("Cut at the edge of the drawing, where they go on: {}.", cut.join(", ")));
        }
        notes
    }
}
