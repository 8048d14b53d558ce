//! The plan: drive and largest wedges from above.

use crate::case::Case;
use crate::opening::Opening;
use crate::orientation::Vec3;
use crate::report::paper::compass::{arrow_head, azimuth_words};
use crate::report::paper::numbers::fixed;
use crate::report::paper::sheet::{Anchor, FULL_WIDTH_MM, Fill, Layout, Point, Rect, Sheet, Stroke};
use crate::report::paper::style::{self, GREY, HAIR_MM, INK, LABEL, LABEL_LEADING_MM, OUTLINE_MM, set_style};
use crate::study::Check;

use super::MARK_ROOM_MM;
use super::labels::{Label, on_line, rows};
use super::legend::Legend;
use super::plan_wedges::{Standing, largest, lines, standing};
use super::traces::StructureTrace;
use crate::report::paper::scale::MARGIN_MM;
use crate::report::paper::scale::{self, Scale};

/// Column of the north arrow, and the height of the drawing, millimetres.
const NORTH_MM: f64 = 24.0;
const MOST_HEIGHT_MM: f64 = 140.0;
/// Kept free round drive and wedges for labels and the arrow of the advance, millimetres.
const ROUND_MM: f64 = 13.0;
/// Widest row of a label before it breaks, millimetres.
const LABEL_MM: f64 = 48.0;

/// The drive from above, to scale, north up: its walls, its centre line along its trend, and the
/// largest wedges, at most 5, one behind the other. Each stands at its worst placement, moved
/// along the drive by whole periods of the (first) pattern.
#[must_use]
pub(crate) fn plan(case: &Case, check: &Check) -> Sheet {
    let (standing, traces) = standing(case, check);
    let title = title(case, check);
    let along = drive_ends(check, &standing, &traces);
    let view = View::new(check, &standing, along);

    let mut trial = Sheet::new(FULL_WIDTH_MM, 100.0, "");
    let top = style::title(&mut trial, [MARGIN_MM; 2], &title, FULL_WIDTH_MM - 2.0 * MARGIN_MM) + 3.0;
    let north_mm = 22.0 + LABEL_LEADING_MM * north_words(&trial, case).len() as f64;
    let height = (view.size[1] * view.scale.mm_per_m() + 2.0 * ROUND_MM).max(north_mm);
    let frame = Rect::new(MARGIN_MM, top, FULL_WIDTH_MM - MARGIN_MM - NORTH_MM, top + height);
    let drawing = Drawing { case, check, standing: &standing, traces: &traces, along, view, frame };
    let bottom = drawing.foot(&mut trial, frame.bottom + 2.0);

    let mut sheet = Sheet::new(FULL_WIDTH_MM, bottom + MARGIN_MM, &title);
    sheet.describe(&format!(
        "Plan, {} up, scale {}: the drive toward {} and its {} largest wedges.",
        case.north,
        drawing.view.scale.words(),
        azimuth_words(case.advance.trend_deg),
        standing.len()
    ));
    style::title(&mut sheet, [MARGIN_MM; 2], &title, FULL_WIDTH_MM - 2.0 * MARGIN_MM);
    drawing.draw(&mut sheet);
    drawing.foot(&mut sheet, frame.bottom + 2.0);
    sheet
}

fn title(case: &Case, check: &Check) -> String {
    let trend = azimuth_words(case.advance.trend_deg);
    match largest(check).first() {
        None => format!("The drive advances toward {trend}; no removable wedge of a litre or more"),
        Some(wedge) => {
            let shape = wedge.worst_shape();
            format!(
                "{} is the largest wedge: {} m\u{00B3}, {} m along a drive that advances toward {trend}",
                wedge.wedge.id,
                volume_words(shape.volume_m3),
                fixed(shape.length_m, 1),
            )
        }
    }
}

fn volume_words(volume_m3: f64) -> String {
    let decimals = match volume_m3 {
        v if v >= 100.0 => 0,
        v if v >= 1.0 => 1,
        v if v >= 0.1 => 2,
        _ => 3,
    };
    fixed(volume_m3, decimals)
}

/// Chainages of the ends of the drive as drawn, metres.
fn drive_ends(check: &Check, standing: &[Standing], traces: &[StructureTrace]) -> [f64; 2] {
    let beyond = 0.3 * check.opening.section.size_m();
    let placed = || traces.iter().filter(|t| t.crosses).map(StructureTrace::along);
    let ends = || standing.iter().map(|s| s.along).chain(placed());
    let from = ends().map(|e| e[0]).fold(f64::INFINITY, f64::min);
    let to = ends().map(|e| e[1]).fold(f64::NEG_INFINITY, f64::max);
    if from <= to { [from - beyond, to + beyond] } else { [0.0, 3.0 * check.opening.section.size_m()] }
}

/// East and north of a local place (u, s, v), metres.
fn east_north(opening: &Opening, local: &Vec3) -> [f64; 2] {
    let world = opening.frame.to_world(local);
    [world.x, world.y]
}

#[derive(Debug, Clone, Copy)]
struct View {
    scale: Scale,
    /// East and north extent, metres.
    size: [f64; 2],
    middle: [f64; 2],
}

impl View {
    fn new(check: &Check, standing: &[Standing], along: [f64; 2]) -> Self {
        let (low_u, high_u) = check.opening.section.bounds();
        let mut points: Vec<[f64; 2]> = Vec::new();
        for s in along {
            for u in [low_u.x, high_u.x] {
                points.push(east_north(&check.opening, &Vec3::new(u, s, 0.0)));
            }
        }
        for one in standing {
            for line in lines(one) {
                points.extend(line.points.iter().map(|p| east_north(&check.opening, p)));
            }
        }
        let range = |i: usize| {
            points.iter().fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], p| [a.min(p[i]), b.max(p[i])])
        };
        let ([west, east], [south, north]) = (range(0), range(1));
        let size = [east - west, north - south];
        let room = [FULL_WIDTH_MM - 2.0 * (MARGIN_MM + ROUND_MM) - NORTH_MM, MOST_HEIGHT_MM - 2.0 * ROUND_MM];
        Self { scale: Scale::fitting(size, room), size, middle: [0.5 * (west + east), 0.5 * (south + north)] }
    }
}

fn north_words(sheet: &Sheet, case: &Case) -> Vec<String> {
    rows(sheet, &case.north, NORTH_MM - 2.0)
}

struct Drawing<'a> {
    case: &'a Case,
    check: &'a Check,
    standing: &'a [Standing<'a>],
    traces: &'a [StructureTrace],
    along: [f64; 2],
    view: View,
    frame: Rect,
}

impl Drawing<'_> {
    fn place(&self, local: &Vec3) -> Point {
        let [east, north] = east_north(&self.check.opening, local);
        let k = self.view.scale.mm_per_m();
        let x = 0.5 * (self.frame.left + self.frame.right) + k * (east - self.view.middle[0]);
        let y = 0.5 * (self.frame.top + self.frame.bottom) - k * (north - self.view.middle[1]);
        [x, y]
    }

    fn draw(&self, sheet: &mut Sheet) {
        let mut layout = Layout::within(self.frame);
        self.drive(sheet, &mut layout);
        let mut named: Vec<(Vec<Point>, usize)> = Vec::new();
        for trace in self.traces {
            for line in &trace.lines {
                let path: Vec<Point> = line.iter().map(|p| self.place(&p.at)).collect();
                sheet.polyline(&path, set_style(trace.joint).stroke());
                named.push((path, trace.joint));
            }
        }
        for one in self.standing {
            for line in lines(one) {
                let path: Vec<Point> = line.points.iter().map(|p| self.place(p)).collect();
                match line.set {
                    Some(set) => {
                        sheet.polyline(&path, set_style(set).stroke());
                        named.push((path, set));
                    }
                    None => {
                        sheet.polyline(&path, Stroke::solid(GREY, HAIR_MM));
                        layout.take_line(&path, 1.0);
                    }
                }
            }
        }
        self.north(sheet);
        for (path, set) in &named {
            on_line(sheet, &mut layout, path, &self.case.joints[*set].name);
        }
        for (path, _) in &named {
            layout.take_line(path, 2.5);
        }
        for one in self.standing {
            self.label(sheet, one).place(sheet, &mut layout, self.target(one), true);
        }
    }

    /// Walls, centre line, and the arrow of the advance.
    fn drive(&self, sheet: &mut Sheet, layout: &mut Layout) {
        let (low, high) = self.check.opening.section.bounds();
        for u in [low.x, high.x] {
            let wall = self.along.map(|s| self.place(&Vec3::new(u, s, 0.0)));
            sheet.polyline(&wall, Stroke::solid(INK, OUTLINE_MM));
            layout.take_line(&wall, 6.0);
        }
        let centre = self.along.map(|s| self.place(&Vec3::new(0.0, s, 0.0)));
        let dashes = Stroke { colour: INK, width_mm: HAIR_MM, dash_mm: &[6.0, 1.5, 1.0, 1.5] };
        sheet.polyline(&centre, dashes);
        layout.take_line(&centre, 1.0);
        let trend = self.case.advance.trend_deg;
        let (sin, cos) = trend.to_radians().sin_cos();
        let out = |mm: f64| [centre[1][0] + mm * sin, centre[1][1] - mm * cos];
        sheet.polyline(&[out(0.8), out(6.0)], Stroke::solid(INK, 0.45));
        arrow_head(sheet, out(8.0), trend, 3.2, Fill::solid(INK));
        layout.take_line(&[out(0.0), out(8.0)], 10.0);
        let words = format!("advance {}", azimuth_words(trend));
        let style = LABEL.halo();
        let at = out(5.0);
        let mut places = Vec::new();
        for (anchor, dx, dy) in [
            (Anchor::Start, 3.0, 0.0),
            (Anchor::End, -3.0, 0.0),
            (Anchor::Middle, 0.0, -4.0),
            (Anchor::Middle, 0.0, 4.0),
            (Anchor::Middle, 0.0, 7.0),
        ] {
            let spot = [at[0] + dx, at[1] + dy];
            places.push((sheet.text_box(spot, &words, &style.anchored(anchor)), (spot, anchor)));
        }
        let rooms: Vec<(Rect, f64)> = places.iter().map(|p| (p.0, 0.0)).collect();
        if let Some((_, (spot, anchor))) = layout.choose(&rooms).and_then(|i| places.get(i)) {
            sheet.text(*spot, &words, &style.anchored(*anchor));
        }
    }

    fn north(&self, sheet: &mut Sheet) {
        let x = self.frame.right + 0.5 * NORTH_MM;
        let top = self.frame.top;
        sheet.polyline(&[[x, top + 18.0], [x, top + 6.0]], Stroke::solid(INK, 0.45));
        arrow_head(sheet, [x, top + 4.6], 0.0, 3.6, Fill::solid(INK));
        sheet.text([x, top + 1.6], "N", &LABEL.bold().anchored(Anchor::Middle));
        for (i, row) in north_words(sheet, self.case).iter().enumerate() {
            let at = [x, top + 21.0 + LABEL_LEADING_MM * i as f64];
            sheet.text(at, row, &LABEL.anchored(Anchor::Middle));
        }
    }

    /// Middle of the wedge's face in plan.
    fn target(&self, one: &Standing) -> Point {
        let traces = lines(one).into_iter().filter(|l| l.set.is_some()).flat_map(|l| l.points);
        let points: Vec<Point> = traces.map(|p| self.place(&p)).collect();
        let range = |i: usize| {
            points.iter().fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], p| [a.min(p[i]), b.max(p[i])])
        };
        if points.is_empty() {
            return self.place(&Vec3::new(0.0, one.apex_m, 0.0));
        }
        let ([x0, x1], [y0, y1]) = (range(0), range(1));
        [0.5 * (x0 + x1), 0.5 * (y0 + y1)]
    }

    fn label(&self, sheet: &Sheet, one: &Standing) -> Label {
        let mut lines = rows(sheet, &one.wedge.wedge.id, LABEL_MM - MARK_ROOM_MM);
        lines.push(format!("{} m\u{00B3}", volume_words(one.wedge.worst_shape().volume_m3)));
        Label { verdict: one.wedge.decided.verdict, rows: lines }
    }

    fn foot(&self, sheet: &mut Sheet, top: f64) -> f64 {
        let right = FULL_WIDTH_MM - MARGIN_MM;
        scale::bar(sheet, [MARGIN_MM, top + 3.2], self.view.scale);
        let mut legend = Legend::new(sheet, [MARGIN_MM, top + 3.0 + LABEL_LEADING_MM], right);
        legend.verdicts(self.standing.iter().map(|s| s.wedge));
        legend.line("edge between two joints", Stroke::solid(GREY, HAIR_MM), !self.standing.is_empty());
        legend.new_row();
        let mut sets: Vec<usize> = self.standing.iter().flat_map(|s| s.wedge.wedge.sets).collect();
        sets.extend(self.traces.iter().map(|t| t.joint));
        legend.sets(self.case, &sets);
        for note in self.notes() {
            legend.note(&note);
        }
        legend.bottom()
    }

    fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        if self.check.layouts.is_empty() {
            notes.push("Wedges stand anywhere along the drive.".into());
        } else if !self.standing.is_empty() {
            notes.push(
                "Each wedge at its worst placement, moved along the drive by whole periods of the pattern."
                    .into(),
            );
        }
        for trace in self.traces.iter().filter(|t| t.crosses) {
            let [from, to] = trace.along();
            notes.push(format!(
                "{} crosses back and walls between chainage {} and {} m: its trace on them, seen from above; wedges that use it stand where it is.",
                self.case.joints[trace.joint].name,
                fixed(from, 1),
                fixed(to, 1)
            ));
        }
        let elsewhere: Vec<&str> = self
            .case
            .structures()
            .filter(|(joint, ..)| !self.traces.iter().any(|t| t.joint == *joint))
            .map(|(_, structure, _)| structure.name.as_str())
            .collect();
        if !elsewhere.is_empty() {
            notes.push(format!("Not in this stretch of drive: {}.", elsewhere.join(", ")));
        }
        match self.check.wedges.len() - self.standing.len() {
            0 => {}
            1 => notes.push("1 smaller wedge is not drawn.".into()),
            n => notes.push(format!("{n} smaller wedges are not drawn.")),
        }
        let cut: Vec<String> = self
            .standing
            .iter()
            .filter(|s| s.cut)
            .map(|s| {
                let shape = s.wedge.worst_shape();
                format!(
                    "{} ({} m long, {} m deep)",
                    s.wedge.wedge.id,
                    fixed(shape.length_m, 1),
                    fixed(shape.depth_m, 1)
                )
            })
            .collect();
        if !cut.is_empty() {
            notes.push(format!("Cut where they go on: {}.", cut.join(", ")));
        }
        notes
    }
}
