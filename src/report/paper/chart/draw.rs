//! Frame, legend and layers.

use crate::report::paper::sheet::{Anchor, FULL_WIDTH_MM, Fill, Layout, PAPER, Point, Rect, Sheet, Stroke};
use crate::report::paper::style::{self, HAIR_MM, INK, LABEL, LABEL_LEADING_MM, LEADER, PALE, THIN_MM};

use super::axis::{Reach, Tick};
use super::{Across, Bar, Chart, Layer, Mark};

const MARGIN_MM: f64 = 8.0;
/// Widths of the samples in front of the legend's words: of lines, and of marks.
const SAMPLE_MM: f64 = 9.0;
const MARK_SAMPLE_MM: f64 = 3.2;
const MARK_MM: f64 = 2.2;
const LEAST_FRAME_MM: f64 = 20.0;
const MOST_FRAME_MM: f64 = 250.0;
/// Labelled ticks that fit along the frame.
const X_TICKS: usize = 8;
const Y_TICKS: usize = 6;

/// The frame with its axes fixed.
struct Plot {
    frame: Rect,
    x: Reach,
    y: Reach,
}

impl Plot {
    fn place(&self, [x, y]: [f64; 2]) -> Option<Point> {
        Some([
            self.frame.left + self.x.share(x)? * self.frame.width(),
            self.frame.bottom - self.y.share(y)? * self.frame.height(),
        ])
    }

    /// The stretches of a line whose values the axes can show.
    fn runs(&self, points: &[[f64; 2]]) -> Vec<Vec<Point>> {
        points
            .split(|p| self.place(*p).is_none())
            .map(|run| run.iter().filter_map(|p| self.place(*p)).collect())
            .filter(|run: &Vec<Point>| !run.is_empty())
            .collect()
    }
}

pub(super) fn draw(chart: &Chart) -> Sheet {
    let width = FULL_WIDTH_MM;
    let x = chart.x.reach(values(chart, Across::X));
    let y = chart.y.reach(values(chart, Across::Y));
    let (x_ticks, y_ticks) = (x.ticks(X_TICKS), y.ticks(Y_TICKS));

    // Title and legend are laid out once on a trial sheet to know their heights.
    let mut trial = Sheet::new(width, 100.0, "");
    let top = head(&mut trial, chart);
    let widest = y_ticks
        .iter()
        .filter_map(|t| t.words.as_deref())
        .map(|w| trial.text_width_mm(w, &LABEL))
        .fold(0.0, f64::max);
    let frame_height = if chart.frame_height_mm.is_nan() {
        LEAST_FRAME_MM
    } else {
        chart.frame_height_mm.clamp(LEAST_FRAME_MM, MOST_FRAME_MM)
    };
    let frame = Rect::new(
        MARGIN_MM + LABEL_LEADING_MM + 2.0 + widest + 2.5,
        top + 3.0,
        width - MARGIN_MM - 4.0,
        top + 3.0 + frame_height,
    );
    let height = frame.bottom + 2.5 + 2.0 * LABEL_LEADING_MM + MARGIN_MM;

    let mut sheet = Sheet::new(width, height, &chart.title);
    sheet.describe(&format!("Chart of {} against {}.", chart.y.words(), chart.x.words()));
    head(&mut sheet, chart);
    let plot = Plot { frame, x, y };
    axes(&mut sheet, chart, &plot, &x_ticks, &y_ticks);
    let mut layout = Layout::within(plot.frame);
    for layer in &chart.layers {
        draw_layer(&mut sheet, &mut layout, &plot, layer);
    }
    base_lines(&mut sheet, &plot.frame);
    for layer in &chart.layers {
        rule_words(&mut sheet, &mut layout, &plot, layer);
    }
    for layer in &chart.layers {
        if let Layer::Names { points } = layer {
            names(&mut sheet, &mut layout, &plot, points);
        }
    }
    sheet
}

/// Every value that an axis should reach.
fn values(chart: &Chart, across: Across) -> impl Iterator<Item = f64> {
    let along = match across {
        Across::X => 0,
        Across::Y => 1,
    };
    let of_bar = move |bar: &Bar| match across {
        Across::X => [bar.from, bar.to],
        Across::Y => [0.0, bar.height],
    };
    chart.layers.iter().flat_map(move |layer| match layer {
        Layer::Line { points, .. } | Layer::Marks { points, .. } => {
            points.iter().map(|p| p[along]).collect::<Vec<f64>>()
        }
        Layer::Names { points } => points.iter().map(|(p, _)| p[along]).collect(),
        Layer::Rule { across: of, value, .. } if *of == across => vec![*value],
        Layer::Rule { .. } => Vec::new(),
        Layer::Bars { bars, .. } => bars.iter().flat_map(of_bar).collect(),
    })
}

/// Title and, beneath it, the legend; gives the y below them.
fn head(sheet: &mut Sheet, chart: &Chart) -> f64 {
    let width = sheet.width_mm() - 2.0 * MARGIN_MM;
    let mut y = style::title(sheet, [MARGIN_MM; 2], &chart.title, width) + 1.5;
    let mut x = MARGIN_MM;
    let mut any = false;
    for layer in &chart.layers {
        let (Layer::Line { label, .. } | Layer::Marks { label, .. } | Layer::Bars { label, .. }) = layer
        else {
            continue;
        };
        if label.is_empty() {
            continue;
        }
        let room = match layer {
            Layer::Line { .. } | Layer::Rule { .. } => SAMPLE_MM,
            Layer::Marks { .. } | Layer::Bars { .. } | Layer::Names { .. } => MARK_SAMPLE_MM,
        };
        let needed = room + 1.5 + sheet.text_width_mm(label, &LABEL);
        if any && x + needed > MARGIN_MM + width {
            x = MARGIN_MM;
            y += LABEL_LEADING_MM;
        }
        any = true;
        let middle = y + LABEL_LEADING_MM / 2.0;
        sample(sheet, layer, [x, middle]);
        sheet.text([x + room + 1.5, middle], label, &LABEL);
        x += needed + 6.0;
    }
    if any { y + LABEL_LEADING_MM } else { y }
}

fn sample(sheet: &mut Sheet, layer: &Layer, [x, y]: Point) {
    let middle = [x + MARK_SAMPLE_MM / 2.0, y];
    match layer {
        Layer::Line { stroke, .. } | Layer::Rule { stroke, .. } => {
            sheet.polyline(&[[x, y], [x + SAMPLE_MM, y]], *stroke);
        }
        Layer::Marks { mark, .. } => draw_mark(sheet, middle, *mark),
        Layer::Names { .. } => {}
        Layer::Bars { colour, .. } => {
            let (fill, line) = bar_paint(*colour);
            sheet.square(middle, 3.0, Some(fill), Some(line));
        }
    }
}

fn axes(sheet: &mut Sheet, chart: &Chart, plot: &Plot, x_ticks: &[Tick], y_ticks: &[Tick]) {
    let frame = &plot.frame;
    let grid = Stroke::solid(PALE, HAIR_MM);
    let ink = Stroke::solid(INK, HAIR_MM);
    for tick in x_ticks {
        let Some(share) = plot.x.share(tick.value) else {
            continue;
        };
        let x = frame.left + share * frame.width();
        let long = if tick.words.is_some() { 1.6 } else { 0.8 };
        sheet.polyline(&[[x, frame.bottom], [x, frame.bottom + long]], ink);
        if let Some(words) = &tick.words {
            sheet.polyline(&[[x, frame.top], [x, frame.bottom]], grid);
            let at = [x, frame.bottom + 2.0 + LABEL_LEADING_MM / 2.0];
            sheet.text(at, words, &LABEL.anchored(Anchor::Middle));
        }
    }
    for tick in y_ticks {
        let Some(share) = plot.y.share(tick.value) else {
            continue;
        };
        let y = frame.bottom - share * frame.height();
        let long = if tick.words.is_some() { 1.6 } else { 0.8 };
        sheet.polyline(&[[frame.left - long, y], [frame.left, y]], ink);
        if let Some(words) = &tick.words {
            sheet.polyline(&[[frame.left, y], [frame.right, y]], grid);
            sheet.text([frame.left - 2.4, y], words, &LABEL.anchored(Anchor::End));
        }
    }
    let centre = LABEL.anchored(Anchor::Middle);
    let x_at = [f64::midpoint(frame.left, frame.right), frame.bottom + 2.5 + 1.5 * LABEL_LEADING_MM];
    sheet.text(x_at, &chart.x.words(), &centre);
    let y_at = [MARGIN_MM + LABEL_LEADING_MM / 2.0, f64::midpoint(frame.top, frame.bottom)];
    sheet.text(y_at, &chart.y.words(), &centre.upward());
}

/// The two axes, over whatever stands on them.
fn base_lines(sheet: &mut Sheet, frame: &Rect) {
    let corner = [[frame.left, frame.top], [frame.left, frame.bottom], [frame.right, frame.bottom]];
    sheet.polyline(&corner, Stroke::solid(INK, THIN_MM));
}

fn draw_layer(sheet: &mut Sheet, layout: &mut Layout, plot: &Plot, layer: &Layer) {
    match layer {
        Layer::Line { points, stroke, .. } => {
            for run in plot.runs(points) {
                if let [alone] = run[..] {
                    // A value between two that cannot be shown is still a value.
                    if plot.frame.holds(alone) {
                        let fill = Fill::solid(stroke.colour);
                        sheet.circle(alone, stroke.width_mm, Some(fill), None);
                    }
                }
                sheet.polyline_within(&run, *stroke, &plot.frame);
                layout.take_line(&run, 1.0);
            }
        }
        Layer::Rule { across, value, stroke, .. } => {
            if let Some(line) = rule_line(plot, *across, *value) {
                sheet.polyline_within(&line, *stroke, &plot.frame);
                layout.take_line(&line, 1.0);
            }
        }
        Layer::Marks { points, mark, .. } => {
            for at in points.iter().filter_map(|p| plot.place(*p)) {
                if plot.frame.holds(at) {
                    draw_mark(sheet, at, *mark);
                    let room = Rect::new(at[0], at[1], at[0], at[1]).grown(MARK_MM / 2.0);
                    layout.take(room, 2.0);
                }
            }
        }
        // Written when everything else stands.
        Layer::Names { .. } => {}
        Layer::Bars { bars, colour, .. } => {
            for bar in bars {
                draw_bar(sheet, layout, plot, bar, *colour);
            }
        }
    }
}

fn draw_bar(
    sheet: &mut Sheet,
    layout: &mut Layout,
    plot: &Plot,
    bar: &Bar,
    colour: crate::report::paper::sheet::Colour,
) {
    // On a logarithmic axis a bar stands on the axis itself.
    let foot = plot.y.share(0.0).unwrap_or(0.0);
    let (Some(left), Some(right), Some(top)) =
        (plot.x.share(bar.from), plot.x.share(bar.to), plot.y.share(bar.height))
    else {
        return;
    };
    let across = |share: f64| plot.frame.left + share.clamp(0.0, 1.0) * plot.frame.width();
    let up = |share: f64| plot.frame.bottom - share.clamp(0.0, 1.0) * plot.frame.height();
    let room = Rect::new(across(left), up(foot), across(right), up(top));
    if room.width() <= 0.0 || room.height() <= 0.0 {
        return;
    }
    let corners =
        [[room.left, room.bottom], [room.left, room.top], [room.right, room.top], [room.right, room.bottom]];
    let (fill, line) = bar_paint(colour);
    sheet.polygon(&corners, Some(fill), Some(line));
    layout.take(room, 0.5);
}

fn bar_paint(colour: crate::report::paper::sheet::Colour) -> (Fill, Stroke) {
    (Fill::tint(colour, 0.35), Stroke::solid(colour, THIN_MM))
}

fn draw_mark(sheet: &mut Sheet, at: Point, mark: Mark) {
    match mark {
        Mark::Held => style::held_mark(sheet, at, MARK_MM),
        Mark::Short => style::short_mark(sheet, at, 1.2 * MARK_MM),
        Mark::Ring(colour) => {
            sheet.circle(at, 0.45 * MARK_MM, Some(Fill::solid(PAPER)), Some(Stroke::solid(colour, 0.35)))
        }
    }
}

fn rule_line(plot: &Plot, across: Across, value: f64) -> Option<[Point; 2]> {
    let frame = &plot.frame;
    let (share, axis) = match across {
        Across::X => (plot.x.share(value)?, 0),
        Across::Y => (plot.y.share(value)?, 1),
    };
    if !(0.0..=1.0).contains(&share) {
        return None;
    }
    Some(if axis == 0 {
        let x = frame.left + share * frame.width();
        [[x, frame.bottom], [x, frame.top]]
    } else {
        let y = frame.bottom - share * frame.height();
        [[frame.left, y], [frame.right, y]]
    })
}

/// Writes a rule's name beside it, at the place along it that hides least.
fn rule_words(sheet: &mut Sheet, layout: &mut Layout, plot: &Plot, layer: &Layer) {
    let Layer::Rule { label, across, value, .. } = layer else {
        return;
    };
    let Some([from, to]) = rule_line(plot, *across, *value) else {
        return;
    };
    if label.is_empty() {
        return;
    }
    let aside = LABEL_LEADING_MM / 2.0 + 0.4;
    let style = LABEL.anchored(Anchor::Middle).halo();
    let (style, offsets) = match across {
        Across::X => (style.upward(), [[aside, 0.0], [-aside, 0.0]]),
        Across::Y => (style, [[0.0, -aside], [0.0, aside]]),
    };
    let half = sheet.text_width_mm(label, &style) / 2.0 + 1.0;
    let length = (to[0] - from[0]).hypot(to[1] - from[1]);
    let first = (half / length).min(0.5);
    let mut spots: Vec<Point> = Vec::new();
    for offset in offsets {
        // From the far end back to the near one.
        for step in 0..=20 {
            let share = 1.0 - first - f64::from(step) / 20.0 * (1.0 - 2.0 * first);
            spots.push([
                from[0] + share * (to[0] - from[0]) + offset[0],
                from[1] + share * (to[1] - from[1]) + offset[1],
            ]);
        }
    }
    let places: Vec<(Rect, f64)> =
        spots.iter().map(|at| (sheet.text_box(*at, label, &style).grown(-0.3), 0.0)).collect();
    if let Some(at) = layout.choose(&places).and_then(|i| spots.get(i)) {
        sheet.text(*at, label, &style);
    }
}

/// Writes a name beside each point: right or left of it, above or below, further out where it is
/// crowded.
fn names(sheet: &mut Sheet, layout: &mut Layout, plot: &Plot, points: &[([f64; 2], String)]) {
    for (point, name) in points {
        let Some(at) = plot.place(*point).filter(|at| plot.frame.holds(*at)) else { continue };
        let mut spots: Vec<(Point, Anchor)> = Vec::new();
        for out in 0..6 {
            let (aside, off) = (MARK_MM, LABEL_LEADING_MM * (0.8 + 0.9 * f64::from(out)));
            if out == 0 {
                spots.push(([at[0] + aside, at[1]], Anchor::Start));
                spots.push(([at[0] - aside, at[1]], Anchor::End));
            }
            for up in [-1.0, 1.0] {
                spots.push(([at[0], at[1] + up * off], Anchor::Start));
                spots.push(([at[0], at[1] + up * off], Anchor::End));
                spots.push(([at[0], at[1] + up * off], Anchor::Middle));
            }
        }
        let style = |anchor: Anchor| LABEL.anchored(anchor).halo();
        let places: Vec<(Rect, f64)> = spots
            .iter()
            .zip(0u32..)
            .map(|((at, anchor), order)| {
                (sheet.text_box(*at, name, &style(*anchor)), 0.05 * f64::from(order))
            })
            .collect();
        if let Some((spot, anchor)) = layout.choose(&places).and_then(|i| spots.get(i)) {
            // Where another name could be meant a line ties it to its mark.
            if (spot[1] - at[1]).abs() > LABEL_LEADING_MM {
                let gap = if spot[1] < at[1] { -0.5 } else { 0.5 };
                let from = [at[0], at[1] + gap * MARK_MM * 1.2];
                sheet.polyline(&[from, [at[0], spot[1] - gap * LABEL_LEADING_MM]], LEADER);
            }
            sheet.text(*spot, name, &style(*anchor));
        }
    }
}
