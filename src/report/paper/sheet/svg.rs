//! The sheet as SVG, through plotters' SVG backend.
//!
//! plotters draws in whole pixels, so a pixel is made a hundredth of a millimetre. Its output is
//! then given what it cannot write itself: the size in millimetres, title and description, the
//! font families, and the rim of paper round letters.

use std::fmt::Display;

use plotters::backend::SVGBackend;
use plotters::prelude::{DrawingBackend, RGBAColor};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontDesc, FontFamily, FontStyle, FontTransform, ShapeStyle, TextStyle};

use super::{
    Anchor, Colour, DashPiece, DrawError, Fill, Item, MM_PER_PT, PAPER, Point, Sheet, Stroke, Text, Turn,
    dash,
};

/// SVG units in a millimetre.
const UNITS_PER_MM: f64 = 100.0;

/// plotters divides a text's size by this number when it writes SVG.
const PLOTTERS_TEXT_DIVISOR: f64 = 1.24;

/// Families asked of the reader's machine: the one whose metrics the layout uses, one that shares
/// them nearly, and whatever there is.
const FAMILIES: &str = "DejaVu Sans, Verdana, sans-serif";

/// Stand-ins for a font family, replaced when the file is finished. Quotes in words are escaped,
/// so these attributes cannot occur in them.
const PLAIN: &str = "plain";
const HALO: &str = "halo";

/// Width of the rim of paper as a share of the letters' size; half of it shows.
pub(super) const HALO_EM: f64 = 0.3;

pub(super) fn write(sheet: &Sheet) -> Result<String, DrawError> {
    let mut raw = String::new();
    let mut paths = Vec::new();
    {
        let size = (units(sheet.width_mm).unsigned_abs(), units(sheet.height_mm).unsigned_abs());
        let mut backend = SVGBackend::with_string(&mut raw, size);
        backend
            .draw_rect((0, 0), (units(sheet.width_mm), units(sheet.height_mm)), &colour(PAPER, 1.0), true)
            .map_err(refused)?;
        for item in &sheet.items {
            draw(&mut backend, item, &mut paths)?;
        }
        backend.present().map_err(refused)?;
    }
    Ok(finish(sheet, &raw, &paths))
}

/// What a polyline of plotters' output stands for. A dashed line goes through plotters as one
/// polyline over all its pieces and becomes one path, since an element a dash makes files ten
/// times as large.
enum Path {
    Line,
    /// How many points each run has.
    Runs(Vec<usize>),
    Dots,
}

fn draw(backend: &mut SVGBackend<'_>, item: &Item, paths: &mut Vec<Path>) -> Result<(), DrawError> {
    match item {
        Item::Line { points, closed, stroke } => {
            draw_pieces(backend, &dash::pieces(points, *closed, stroke), stroke, paths)
        }
        Item::Dashes { pieces, stroke } => draw_pieces(backend, pieces, stroke, paths),
        Item::Area { points, fill } => {
            backend.fill_polygon(points.iter().map(|p| place(*p)), &fill_colour(fill)).map_err(refused)
        }
        Item::Disc { centre, radius_mm, fill } => backend
            .draw_circle(place(*centre), units(*radius_mm).unsigned_abs(), &fill_colour(fill), true)
            .map_err(refused),
        Item::Words { baseline, text, style } => draw_words(backend, *baseline, text, style),
    }
}

fn draw_pieces(
    backend: &mut SVGBackend<'_>,
    pieces: &[DashPiece],
    stroke: &Stroke,
    paths: &mut Vec<Path>,
) -> Result<(), DrawError> {
    let mut dots: Vec<Point> = Vec::new();
    let mut runs: Vec<&[Point]> = Vec::new();
    for piece in pieces {
        match piece {
            DashPiece::Dot(at) => dots.push(*at),
            DashPiece::Run(run) => runs.push(run),
        }
    }
    if let [run] = runs.as_slice() {
        draw_path(backend, run, stroke, Path::Line, paths)?;
    } else {
        let lengths = runs.iter().map(|r| r.len()).collect();
        draw_path(backend, &runs.concat(), stroke, Path::Runs(lengths), paths)?;
    }
    draw_path(backend, &dots, stroke, Path::Dots, paths)
}

fn draw_path(
    backend: &mut SVGBackend<'_>,
    points: &[Point],
    stroke: &Stroke,
    path: Path,
    paths: &mut Vec<Path>,
) -> Result<(), DrawError> {
    let stroke_width = units(stroke.width_mm).unsigned_abs();
    // plotters writes nothing for a line without width.
    if points.is_empty() || stroke_width == 0 {
        return Ok(());
    }
    paths.push(path);
    let style = ShapeStyle { color: colour(stroke.colour, 1.0), filled: false, stroke_width };
    backend.draw_path(points.iter().map(|p| place(*p)), &style).map_err(refused)
}

fn draw_words(
    backend: &mut SVGBackend<'_>,
    baseline: Point,
    text: &str,
    style: &Text,
) -> Result<(), DrawError> {
    let family = FontFamily::Name(if style.halo { HALO } else { PLAIN });
    let weight = if style.bold { FontStyle::Bold } else { FontStyle::Normal };
    let size = style.size_pt * MM_PER_PT * UNITS_PER_MM * PLOTTERS_TEXT_DIVISOR;
    let turn = match style.turn {
        Turn::Level => FontTransform::None,
        Turn::Upward => FontTransform::Rotate270,
    };
    let across = match style.anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    let style = TextStyle {
        font: FontDesc::new(family, size, weight).transform(turn),
        color: colour(style.colour, 1.0).to_backend_color(),
        pos: Pos::new(across, VPos::Top),
    };
    backend.draw_text(text, &style, place(baseline)).map_err(refused)
}

/// Rewrites plotters' output row by row: its head, each text on a row of its own, and each dashed
/// line as one path.
fn finish(sheet: &Sheet, raw: &str, paths: &[Path]) -> String {
    let mut svg = head(sheet);
    let mut rows = raw.lines().skip(1);
    let mut paths = paths.iter();
    while let Some(row) = rows.next() {
        if row.starts_with("<text ") {
            // The words stand alone on the next row; the white space round them is plotters'.
            let words = rows.next().unwrap_or_default();
            let close = rows.next().unwrap_or_default();
            svg.push_str(&text_tag(row));
            svg.push_str(words);
            svg.push_str(close);
        } else if row.starts_with("<polyline ") {
            svg.push_str(&path_tag(row, paths.next().unwrap_or(&Path::Line)));
        } else {
            svg.push_str(row);
        }
        svg.push('\n');
    }
    svg
}

/// A polyline as what it stands for.
fn path_tag(row: &str, path: &Path) -> String {
    let Some((before, rest)) = row.split_once(" points=\"") else { return row.to_owned() };
    let Some((points, _)) = rest.split_once('"') else { return row.to_owned() };
    let mut points = points.split_whitespace();
    let (mut d, mut cap) = (String::new(), "");
    match path {
        Path::Line => return row.to_owned(),
        Path::Runs(lengths) => {
            for length in lengths {
                for (i, point) in points.by_ref().take(*length).enumerate() {
                    d.push_str(if i == 0 { "M" } else { " " });
                    d.push_str(point);
                }
            }
        }
        Path::Dots => {
            // A line of no length with a round cap is a dot as wide as the line.
            cap = " stroke-linecap=\"round\"";
            for point in points {
                d.push_str(&format!("M{point}h0"));
            }
        }
    }
    format!("{}{cap} d=\"{d}\"/>", before.replacen("<polyline", "<path", 1))
}

fn head(sheet: &Sheet) -> String {
    let (width, height) = (sheet.width_mm, sheet.height_mm);
    let (wide, high) = (units(width), units(height));
    let mut head = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {wide} {high}\" role=\"img\" font-family=\"{FAMILIES}\" \
         stroke-linejoin=\"round\">\n<title>{}</title>\n",
        escaped(&sheet.title)
    );
    if !sheet.description.is_empty() {
        head.push_str(&format!("<desc>{}</desc>\n", escaped(&sheet.description)));
    }
    head
}

/// The opening tag of a text: the baseline stands where it was put, the family is inherited.
fn text_tag(tag: &str) -> String {
    let size: f64 = tag
        .split("font-size=\"")
        .nth(1)
        .and_then(|rest| rest.split('"').next())
        .and_then(|number| number.parse().ok())
        .unwrap_or_default();
    let Colour { red, green, blue } = PAPER;
    let halo = format!(
        " stroke=\"#{red:02X}{green:02X}{blue:02X}\" stroke-width=\"{}\" paint-order=\"stroke\"",
        (size * HALO_EM).round()
    );
    tag.replacen(" dy=\"0.76em\"", "", 1)
        .replacen(&format!(" font-family=\"{PLAIN}\""), "", 1)
        .replacen(&format!(" font-family=\"{HALO}\""), &halo, 1)
        .replacen(
            &format!("font-size=\"{size}\""),
            &format!("font-size=\"{}\"", (size * 10.0).round() / 10.0),
            1,
        )
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

/// Whole SVG units. The sheet has refused coordinates that do not fit.
fn units(mm: f64) -> i32 {
    (mm * UNITS_PER_MM).round() as i32
}

fn place(point: Point) -> (i32, i32) {
    (units(point[0]), units(point[1]))
}

fn fill_colour(fill: &Fill) -> RGBAColor {
    colour(fill.colour, fill.opacity.min(1.0))
}

fn colour(colour: Colour, opacity: f64) -> RGBAColor {
    RGBAColor(colour.red, colour.green, colour.blue, opacity)
}

fn refused(error: impl Display) -> DrawError {
    DrawError::Backend(error.to_string())
}
