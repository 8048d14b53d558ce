//! The unrolled surface: collars against faces.

use crate::case::Case;
use crate::report::paper::sheet::{
    Anchor, FULL_WIDTH_MM, Fill, Layout, Point, Rect, Sheet, Stroke, clip_polyline,
};
use crate::report::paper::style::{
    self, GREY, HAIR_MM, INK, LABEL, LABEL_LEADING_MM, PALE, THIN_MM, set_style,
};
use crate::study::{Check, CheckedWedge, Verdict, bolt_changes};

use super::MARK_ROOM_MM;
use super::clip::{centre, clip_area};
use super::labels::{Label, on_line, rows};
use super::legend::{Legend, collar};
use super::order::{by_importance, crossing, moves, size_words, some_of};
use super::placed::{FoundMark, changed_ring, found_between, local_collar};
use super::traces::{StructureTrace, traces};
use super::unrolled_content::{AXIS_MM, Content, PAST_END_MM, Panel, TICKS_MM, content, shown_collars};
use super::unrolled_surface::{boundaries, number, surfaces, tick_step_m};
use crate::report::paper::scale;
use crate::report::paper::scale::MARGIN_MM;

/// Widest row of a label before it breaks, millimetres.
const LABEL_MM: f64 = 52.0;

/// The surface of the drive laid flat, to scale: chainage to the right, arc length from the crown,
/// the right wall below and the left wall above, as in a plan. Collars of all rings, and the faces
/// of the wedges that move, each where it sits worst against the rings.
///
/// Wedges share a stretch of the drive where they can: each is moved by whole periods of the
/// pattern, so that it keeps its place between the rings. Patterns that slide along the drive by
/// themselves stand differently for each wedge; then each wedge has a stretch of its own. At most
/// 12 wedges are drawn.
///
/// A wedge that structures put at a chainage stands there, in a stretch of its own, with the traces of the
/// structures, all that is drilled at known chainages alone and the bolts as they were found.
#[must_use]
pub(crate) fn unrolled(case: &Case, check: &Check) -> Sheet {
    let content = content(case, check);
    let title = title(check);
    let strip_mm = (content.arc[1] - content.arc[0]) * content.scale.mm_per_m();
    let strips = content.strips().max(1);
    let mut trial = Sheet::new(FULL_WIDTH_MM, 100.0, "");
    let top = style::title(&mut trial, [MARGIN_MM; 2], &title, FULL_WIDTH_MM - 2.0 * MARGIN_MM) + 3.0;
    let foot_top = top + strips as f64 * (strip_mm + TICKS_MM);
    let drawing = Drawing { case, check, content: &content, top, strip_mm };
    let bottom = drawing.foot(&mut trial, foot_top);

    let mut sheet = Sheet::new(FULL_WIDTH_MM, bottom + MARGIN_MM, &title);
    sheet.describe(&format!(
        "Unrolled surface of the drive, scale {}: chainage to the right, arc length from the crown downward to the right wall; collars of all rings and the faces of {} wedges.",
        content.scale.words(),
        content.panels.iter().map(|p| p.faces.len()).sum::<usize>()
    ));
    style::title(&mut sheet, [MARGIN_MM; 2], &title, FULL_WIDTH_MM - 2.0 * MARGIN_MM);
    drawing.draw(&mut sheet);
    drawing.foot(&mut sheet, foot_top);
    sheet
}

fn title(check: &Check) -> String {
    let moving: Vec<&CheckedWedge> = by_importance(check).into_iter().filter(|w| moves(w)).collect();
    if moving.is_empty() {
        return "No wedge moves under its own weight".into();
    }
    if check.layouts.is_empty() {
        let ids: Vec<&str> = moving.iter().map(|w| w.wedge.id.as_str()).collect();
        let verb = if ids.len() == 1 { "moves" } else { "move" };
        return format!("{} {verb}, and there is no bolt", some_of(&ids));
    }
    let missed: Vec<&str> =
        moving.iter().filter(|w| crossing(w) == Some(0)).map(|w| w.wedge.id.as_str()).collect();
    if let Some((first, count)) = moving.first().and_then(|w| Some((w, crossing(w)?)))
        && first.decided.verdict == Verdict::Short
        && count > 0
    {
        let verb = if count == 1 { "1 bolt crosses".to_owned() } else { format!("{count} bolts cross") };
        let size = size_words(first);
        return format!("{verb} {}{size} where it sits worst, and it is short", first.wedge.id);
    }
    if missed.len() == moving.len() && moving.len() > 1 {
        return format!("No bolt crosses any of {} wedges where they sit worst", moving.len());
    }
    if !missed.is_empty() {
        let sit = if missed.len() == 1 { "it sits" } else { "they sit" };
        return format!("No bolt crosses {} where {sit} worst between the rings", some_of(&missed));
    }
    let counts = moving.iter().filter_map(|w| crossing(w));
    let (least, most) = (counts.clone().min().unwrap_or(0), counts.max().unwrap_or(0));
    let bolts = |n: usize| if n == 1 { "1 bolt crosses".to_owned() } else { format!("{n} bolts cross") };
    match moving.as_slice() {
        [one] => format!("{} {} where it sits worst", bolts(least), one.wedge.id),
        _ if least == most => format!("{} each wedge where it sits worst", bolts(least)),
        _ => format!("{least} to {most} bolts cross each wedge where it sits worst"),
    }
}

/// The frame of a stretch with the paper past its ends.
fn past_ends(frame: &Rect) -> Rect {
    Rect { left: frame.left - PAST_END_MM, right: frame.right + PAST_END_MM, ..*frame }
}

struct Drawing<'a> {
    case: &'a Case,
    check: &'a Check,
    content: &'a Content<'a>,
    top: f64,
    strip_mm: f64,
}

impl Drawing<'_> {
    fn frame(&self, panel: &Panel) -> Rect {
        let top = self.top + panel.strip as f64 * (self.strip_mm + TICKS_MM);
        let left = MARGIN_MM + AXIS_MM + PAST_END_MM + panel.left_mm;
        let width = (panel.along[1] - panel.along[0]) * self.content.scale.mm_per_m();
        Rect::new(left, top, left + width, top + self.strip_mm)
    }

    fn radius_mm(&self) -> f64 {
        let k = self.content.scale.mm_per_m();
        let spacing = self
            .case
            .patterns
            .iter()
            .map(|p| p.ring_spacing_m.min(p.spacing_m))
            .fold(f64::INFINITY, f64::min);
        (0.22 * spacing * k).min(0.95)
    }

    /// Half the size of marks that stand at their chainage, millimetres.
    fn half_mm(&self) -> f64 {
        self.radius_mm().max(0.8)
    }

    /// The structures where they cross a stretch.
    fn structures(&self, panel: &Panel) -> Vec<StructureTrace> {
        if panel.placed { traces(self.case, self.check, self.content.arc, panel.along) } else { Vec::new() }
    }

    /// The bolts of a stretch as they were found, each with its arc length in the drawing.
    fn found(&self, panel: &Panel) -> Vec<(FoundMark, f64, f64)> {
        let Some(built) = self.case.site.as_built.as_ref().filter(|_| panel.placed) else {
            return Vec::new();
        };
        let perimeter_m = self.check.opening.section.perimeter_m();
        let [low, high] = self.content.arc;
        let turned = |arc_m: f64| {
            [-1.0, 0.0, 1.0]
                .map(|turn| arc_m + turn * perimeter_m)
                .into_iter()
                .find(|a| (low..=high).contains(a))
        };
        let mut found: Vec<(FoundMark, f64, f64)> = found_between(built, panel.along)
            .filter_map(|b| Some((FoundMark::of(b), b.set.chainage_m, turned(b.set.collar.arc_m)?)))
            .collect();
        // A collar of the design with no row of the file nearer than half the way to the next.
        let missing: Vec<(FoundMark, f64, f64)> = shown_collars(self.case, self.check, self.content, panel)
            .into_iter()
            .filter(|(one, _)| (built.from_m..=built.to_m).contains(&one.chainage_m))
            .filter(|(one, _)| {
                let pattern = self.case.pattern_at(one.pattern);
                let reach_m = 0.5 * pattern.ring_spacing_m.min(pattern.spacing_m);
                found.iter().all(|(_, s, arc)| (s - one.chainage_m).hypot(arc - one.arc_m) > reach_m)
            })
            .map(|(one, _)| (FoundMark::Missing, one.chainage_m, one.arc_m))
            .collect();
        found.extend(missing);
        found
    }

    /// Where bolts of a stretch are not as an earlier survey found them, each with its arc length in the drawing; and
    /// of those that are in no row of this one what the mark is.
    fn changed(&self, panel: &Panel) -> Vec<(Option<FoundMark>, f64, f64)> {
        let Some(built) = self.case.site.as_built.as_ref().filter(|_| panel.placed) else {
            return Vec::new();
        };
        let perimeter_m = self.check.opening.section.perimeter_m();
        let [low, high] = self.content.arc;
        let [from_m, to_m] = panel.along;
        let changes = bolt_changes(built, perimeter_m);
        let here = changes.iter().filter_map(|bolt| {
            let row = bolt.row().filter(|row| (from_m..=to_m).contains(&row.set.chainage_m))?;
            let turns = [-1.0, 0.0, 1.0].map(|turn| row.set.collar.arc_m + turn * perimeter_m);
            let arc_m = turns.into_iter().find(|a| (low..=high).contains(a))?;
            Some((bolt.now.is_none().then_some(FoundMark::Missing), row.set.chainage_m, arc_m))
        });
        here.collect()
    }

    fn draw(&self, sheet: &mut Sheet) {
        for strip in 0..self.content.strips() {
            let here: Vec<&Panel> = self.content.panels.iter().filter(|p| p.strip == strip).collect();
            let frames: Vec<Rect> = here.iter().map(|p| self.frame(p)).collect();
            let (Some(first), Some(last)) = (frames.first(), frames.last()) else { continue };
            let whole = past_ends(&Rect::new(first.left, first.top, last.right, last.bottom));
            for (panel, frame) in here.iter().zip(&frames) {
                self.ground(sheet, frame);
                self.chainages(sheet, panel, frame);
            }
            self.arcs(sheet, &whole);
            self.surface_names(sheet, &whole);
            for (panel, frame) in here.iter().zip(&frames) {
                let edge = past_ends(frame);
                let mut layout = Layout::within(edge.grown(-0.6));
                let lines = self.faces(sheet, &mut layout, panel, frame);
                let labels: Vec<(usize, Point)> = panel
                    .faces
                    .iter()
                    .map(|(i, moved)| (*i, self.target(panel, frame, *i, *moved)))
                    .collect();
                for (_, [x, y]) in &labels {
                    layout.take(Rect::new(x - 0.8, y - 0.8, x + 0.8, y + 0.8), 8.0);
                }
                for (line, set) in &lines {
                    on_line(sheet, &mut layout, line, &self.case.joints[*set].name);
                }
                for (line, _) in &lines {
                    layout.take_line(line, 8.0);
                }
                for (index, target) in labels {
                    let label = self.label(sheet, index, edge.width() - 3.0);
                    // A dot at the end of its line would look like a collar.
                    label.place(sheet, &mut layout, target, false);
                }
            }
        }
    }

    fn place(&self, panel: &Panel, frame: &Rect, chainage_m: f64, arc_m: f64) -> Point {
        let k = self.content.scale.mm_per_m();
        [frame.left + k * (chainage_m - panel.along[0]), frame.top + k * (arc_m - self.content.arc[0])]
    }

    fn y(&self, frame: &Rect, arc_m: f64) -> f64 {
        frame.top + self.content.scale.mm_per_m() * (arc_m - self.content.arc[0])
    }

    /// Frame, corners of the section, and where back, walls and floor meet.
    fn ground(&self, sheet: &mut Sheet, frame: &Rect) {
        let frame = &past_ends(frame);
        for (arc, is_corner) in boundaries(self.check, self.content.arc) {
            let y = self.y(frame, arc);
            let stroke = if is_corner {
                Stroke::solid(INK, THIN_MM)
            } else {
                Stroke { colour: GREY, width_mm: HAIR_MM, dash_mm: &[2.0, 1.4] }
            };
            sheet.polyline(&[[frame.left, y], [frame.right, y]], stroke);
        }
        let crown = self.y(frame, 0.0);
        sheet.polyline(&[[frame.left, crown], [frame.right, crown]], Stroke::solid(PALE, HAIR_MM));
        let corners = [
            [frame.left, frame.top],
            [frame.right, frame.top],
            [frame.right, frame.bottom],
            [frame.left, frame.bottom],
        ];
        sheet.outline(&corners, Stroke::solid(GREY, HAIR_MM));
    }

    fn chainages(&self, sheet: &mut Sheet, panel: &Panel, frame: &Rect) {
        let k = self.content.scale.mm_per_m();
        let step = tick_step_m(10.0 / k);
        let mut i = (panel.along[0] / step).ceil();
        while i * step <= panel.along[1] {
            let x = frame.left + k * (i * step - panel.along[0]);
            sheet.polyline(&[[x, frame.bottom], [x, frame.bottom + 1.4]], Stroke::solid(INK, HAIR_MM));
            let words = number(i * step, step);
            sheet.text([x, frame.bottom + 3.8], &words, &LABEL.anchored(Anchor::Middle));
            i += 1.0;
        }
    }

    fn arcs(&self, sheet: &mut Sheet, whole: &Rect) {
        let k = self.content.scale.mm_per_m();
        let step = tick_step_m(9.0 / k);
        let mut i = (self.content.arc[0] / step).ceil();
        while i * step <= self.content.arc[1] {
            let y = self.y(whole, i * step);
            sheet.polyline(&[[whole.left - 1.4, y], [whole.left, y]], Stroke::solid(INK, HAIR_MM));
            let words = number(i * step, step);
            sheet.text([whole.left - 2.0, y], &words, &LABEL.anchored(Anchor::End));
            i += 1.0;
        }
        let long = "arc length from the crown, m (right wall below)";
        let words =
            if sheet.text_width_mm(long, &LABEL) <= whole.height() { long } else { "from the crown, m" };
        let at = [MARGIN_MM + 1.8, 0.5 * (whole.top + whole.bottom)];
        sheet.text(at, words, &LABEL.anchored(Anchor::Middle).upward());
    }

    fn surface_names(&self, sheet: &mut Sheet, whole: &Rect) {
        let k = self.content.scale.mm_per_m();
        let style = LABEL.anchored(Anchor::Middle).upward();
        for (surface, [low, high]) in surfaces(self.check, self.content.arc) {
            let room = (high - low) * k - 1.0;
            let middle = self.y(whole, 0.5 * (low + high));
            let words: Vec<&str> = if sheet.text_width_mm(surface.name(), &style) <= room {
                vec![surface.name()]
            } else {
                surface.name().split(' ').collect()
            };
            if words.iter().all(|w| sheet.text_width_mm(w, &style) <= room) {
                for (i, word) in words.iter().enumerate() {
                    sheet.text([whole.right + 2.8 + 4.4 * i as f64, middle], word, &style);
                }
            }
        }
    }

    /// Collars, faces and traces of one stretch; gives the traces with their sets.
    fn faces(
        &self,
        sheet: &mut Sheet,
        layout: &mut Layout,
        panel: &Panel,
        frame: &Rect,
    ) -> Vec<(Vec<Point>, usize)> {
        let mut lines = Vec::new();
        let edge = past_ends(frame);
        let content = self.content;
        let on_paper = |points: &[Point], index: usize, moved: f64| -> Vec<Point> {
            let apex_m = content.wedges[index].apex_chainage_m() + moved;
            points.iter().map(|p| self.place(panel, frame, p[0] + apex_m, p[1])).collect()
        };
        for (index, moved) in &panel.faces {
            if content.wedges[*index].decided.verdict == Verdict::Short {
                let area = clip_area(&on_paper(&content.faces[*index].outline, *index, *moved), &edge);
                sheet.polygon(&area, Some(Fill::tint(INK, 0.08)), None);
            }
        }
        for trace in self.structures(panel) {
            for line in &trace.lines {
                let line: Vec<Point> =
                    line.iter().map(|p| self.place(panel, frame, p.at.y, p.arc_m)).collect();
                sheet.polyline_within(&line, set_style(trace.joint).stroke(), &edge);
                lines.extend(clip_polyline(&line, &edge).into_iter().map(|part| (part, trace.joint)));
            }
        }
        let shown = shown_collars(self.case, self.check, content, panel);
        let (radius, half) = (self.radius_mm(), self.half_mm());
        let mut take = |[x, y]: Point, half: f64, cost: f64| {
            layout.take(Rect::new(x - half, y - half, x + half, y + half), cost);
        };
        for wanted in [false, true] {
            for (one, serving) in shown.iter().filter(|c| c.1 == wanted) {
                let at = self.place(panel, frame, one.chainage_m, one.arc_m);
                let local = one.pattern >= self.case.patterns.len();
                if local {
                    local_collar(sheet, at, half, *serving);
                } else {
                    collar(sheet, at, radius, *serving);
                }
                let cost = match (*serving, local) {
                    (true, _) => 40.0,
                    (false, true) => 10.0,
                    (false, false) => 2.5,
                };
                take(at, if local { half } else { radius }, cost);
            }
        }
        for (mark, chainage_m, arc_m) in self.found(panel) {
            let at = self.place(panel, frame, chainage_m, arc_m);
            mark.draw(sheet, at, half);
            take(at, half, 10.0);
        }
        for (mark, chainage_m, arc_m) in self.changed(panel) {
            let at = self.place(panel, frame, chainage_m, arc_m);
            if let Some(mark) = mark {
                mark.draw(sheet, at, half);
            }
            changed_ring(sheet, at, half);
            take(at, 2.0 * half, 10.0);
        }
        for (index, moved) in panel.faces.iter().rev() {
            for (trace, set) in content.faces[*index].traces.iter().zip(content.wedges[*index].wedge.sets) {
                let line = on_paper(trace, *index, *moved);
                sheet.polyline_within(&line, set_style(set).stroke(), &edge);
                lines.extend(clip_polyline(&line, &edge).into_iter().map(|part| (part, set)));
            }
        }
        lines
    }

    /// Middle of the face as far as it is drawn.
    fn target(&self, panel: &Panel, frame: &Rect, index: usize, moved: f64) -> Point {
        let face = &self.content.faces[index];
        let apex_m = self.content.wedges[index].apex_chainage_m() + moved;
        let ([from, to], [low, high]) = (face.along(), face.arc());
        let at = self.place(panel, frame, 0.5 * (from + to) + apex_m, 0.5 * (low + high));
        let outline: Vec<Point> =
            face.outline.iter().map(|p| self.place(panel, frame, p[0] + apex_m, p[1])).collect();
        centre(&clip_area(&outline, frame)).unwrap_or(at)
    }

    fn label(&self, sheet: &Sheet, index: usize, most_mm: f64) -> Label {
        let wedge = self.content.wedges[index];
        let id = &wedge.wedge.id;
        let width_mm = LABEL_MM.min(most_mm) - MARK_ROOM_MM;
        let bolts = crossing(wedge).map(|count| match count {
            0 => "no bolt".to_owned(),
            1 => "1 bolt".to_owned(),
            n => format!("{n} bolts"),
        });
        let one_row = bolts.as_ref().map_or_else(|| id.clone(), |bolts| format!("{id}: {bolts}"));
        // Short, since it stands on what the drawing shows: factors are told in section and table.
        let lines = if sheet.text_width_mm(&one_row, &LABEL) <= width_mm {
            vec![one_row]
        } else {
            rows(sheet, id, width_mm).into_iter().chain(bolts).collect()
        };
        Label { verdict: wedge.decided.verdict, rows: lines }
    }

    fn foot(&self, sheet: &mut Sheet, top: f64) -> f64 {
        let right = FULL_WIDTH_MM - MARGIN_MM;
        let bar_end = scale::bar(sheet, [MARGIN_MM + AXIS_MM, top + 3.2], self.content.scale);
        let panels = self.content.panels.iter().filter(|p| p.strip + 1 == self.content.strips());
        let drawn_to = panels.map(|p| self.frame(p).right).fold(0.0, f64::max);
        // Under the last numbers, or as far beyond them as the words and the bar ask.
        let words = self.axis_words();
        let beside_bar = bar_end + 4.0 + sheet.text_width_mm(&words, &LABEL);
        let axis_end = drawn_to.max(beside_bar).min(right);
        sheet.text([axis_end, top + 2.0], &words, &LABEL.anchored(Anchor::End));
        let mut legend = Legend::new(sheet, [MARGIN_MM, top + 3.0 + LABEL_LEADING_MM], right);
        let drawn: Vec<&CheckedWedge> = self
            .content
            .panels
            .iter()
            .flat_map(|p| p.faces.iter().map(|f| self.content.wedges[f.0]))
            .collect();
        legend.verdicts(drawn.iter().copied());
        let shown: Vec<(bool, bool)> = self
            .content
            .panels
            .iter()
            .flat_map(|p| shown_collars(self.case, self.check, self.content, p))
            .map(|c| (c.0.pattern >= self.case.patterns.len(), c.1))
            .collect();
        let has = |local: bool, serving: bool| shown.contains(&(local, serving));
        legend.collars(has(false, true), has(false, false), self.radius_mm());
        legend.local_collars(has(true, true), has(true, false), self.half_mm());
        let found: Vec<FoundMark> =
            self.content.panels.iter().flat_map(|p| self.found(p)).map(|found| found.0).collect();
        for mark in FoundMark::ALL.into_iter().filter(|mark| found.contains(mark)) {
            legend.found(mark, self.half_mm());
        }
        let earlier = self.case.site.as_built.as_ref().and_then(|built| built.earlier.as_ref());
        if let Some(earlier) =
            earlier.filter(|_| self.content.panels.iter().any(|p| !self.changed(p).is_empty()))
        {
            legend.changed(&earlier.file, self.half_mm());
        }
        legend.new_row();
        let mut sets: Vec<usize> = drawn.iter().flat_map(|w| w.wedge.sets).collect();
        let placed = || self.content.panels.iter().filter(|p| p.placed);
        if placed().next().is_some() {
            sets.extend(self.case.structures().map(|(joint, ..)| joint));
        }
        legend.sets(self.case, &sets);
        for note in self.notes(&drawn) {
            legend.note(&note);
        }
        legend.bottom()
    }

    fn axis_words(&self) -> String {
        let any = |placed: bool| self.content.panels.iter().any(|p| p.placed == placed);
        if any(true) && !any(false) {
            "chainage, m".into()
        } else if any(true) {
            "chainage, m; from ring 0 where wedges may be anywhere".into()
        } else if self.case.patterns.is_empty() {
            "along the advance, m".into()
        } else if self.case.patterns.iter().any(|p| p.offset_m.is_some()) {
            "chainage, m".into()
        } else {
            "chainage from ring 0, m".into()
        }
    }

    fn notes(&self, drawn: &[&CheckedWedge]) -> Vec<String> {
        let mut notes = Vec::new();
        if !drawn.is_empty() {
            if self.check.groups.len() > 1 {
                notes.push(
                    "Each wedge at its worst placement, with the rings as they stand for it: the patterns slide along the drive by themselves.".into(),
                );
            } else if !self.check.layouts.is_empty() {
                notes.push(
                    "Each wedge at its worst placement between the rings, moved along the drive by whole periods of the pattern.".into(),
                );
            } else {
                notes.push("Wedges stand anywhere along the drive.".into());
            }
        }
        let placed: Vec<&Panel> = self.content.panels.iter().filter(|p| p.placed).collect();
        if !placed.is_empty() {
            let spans: Vec<String> =
                placed.iter().map(|p| format!("{:.1} to {:.1} m", p.along[0], p.along[1])).collect();
            let mut what = Vec::new();
            if self.case.structures().next().is_some() {
                what.push("structures and the wedges that use them");
            }
            if !self.case.local.is_empty() {
                what.push("bolts at their chainage alone");
            }
            if self.case.site.as_built.is_some() {
                what.push("bolts as they were found");
            }
            notes.push(format!(
                "At their chainage, in the stretches from {}: {}.",
                spans.join(", "),
                what.join(", ")
            ));
        }
        match self.content.left_out {
            0 => {}
            1 => notes.push("1 wedge that matters less is not drawn.".into()),
            n => notes.push(format!("{n} wedges that matter less are not drawn.")),
        }
        let still = self.check.wedges.iter().filter(|w| !moves(w)).count();
        match still {
            0 => {}
            1 => notes.push("Not drawn: 1 wedge that does not move.".into()),
            n => notes.push(format!("Not drawn: {n} wedges that do not move.")),
        }
        let cut: Vec<String> = self
            .content
            .cut
            .iter()
            .map(|index| {
                let [from, to] = self.content.faces[*index].along();
                format!("{} ({:.1} m)", self.content.wedges[*index].wedge.id, to - from)
            })
            .collect();
        if !cut.is_empty() {
            notes.push(format!(
                "Cut at the ends of a strip, with the whole length of the face: {}.",
                cut.join(", ")
            ));
        }
        notes
    }
}
