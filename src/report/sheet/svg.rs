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
    stroke,
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
    {
        let size = (units(sheet.width_mm).unsigned_abs(), units(sheet.height_mm).unsigned_abs());
        let mut backend = SVGBackend::with_string(&mut raw, size);
        backend
            .draw_rect((0, 0), (units(sheet.width_mm), units(sheet.height_mm)), &colour(PAPER, 1.0), true)
            .map_err(refused)?;
        for item in &sheet.items {
            draw(&mut backend, item)?;
        }
        backend.present().map_err(refused)?;
    }
    Ok(finish(sheet, &raw))
}

fn draw(backend: &mut SVGBackend<'_>, item: &Item) -> Result<(), DrawError> {
    match item {
        Item::Line { points, closed, stroke } => {
            for piece in stroke::pieces(points, *closed, stroke) {
                draw_piece(backend, &piece, stroke)?;
            }
            Ok(())
        }
        Item::Area { points, fill } => {
            backend.fill_polygon(points.iter().map(|p| place(*p)), &fill_colour(fill)).map_err(refused)
        }
        Item::Disc { centre, radius_mm, fill } => backend
            .draw_circle(place(*centre), units(*radius_mm).unsigned_abs(), &fill_colour(fill), true)
            .map_err(refused),
        Item::Words { baseline, text, style } => draw_words(backend, *baseline, text, style),
    }
}

fn draw_piece(backend: &mut SVGBackend<'_>, piece: &DashPiece, stroke: &Stroke) -> Result<(), DrawError> {
    let width = units(stroke.width_mm).unsigned_abs();
    match piece {
        DashPiece::Dot(at) => {
            backend.draw_circle(place(*at), width / 2, &colour(stroke.colour, 1.0), true).map_err(refused)
        }
        DashPiece::Run(run) => {
            let style = ShapeStyle { color: colour(stroke.colour, 1.0), filled: false, stroke_width: width };
            backend.draw_path(run.iter().map(|p| place(*p)), &style).map_err(refused)
        }
    }
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

/// Rewrites plotters' output row by row: its head, and each text on a row of its own.
fn finish(sheet: &Sheet, raw: &str) -> String {
    let mut svg = head(sheet);
    let mut rows = raw.lines().skip(1);
    while let Some(row) = rows.next() {
        if row.starts_with("<text ") {
            // The words stand alone on the next row; the white space round them is plotters'.
            let words = rows.next().unwrap_or_default();
            let close = rows.next().unwrap_or_default();
            svg.push_str(&text_tag(row));
            svg.push_str(words);
            svg.push_str(close);
        } else {
            svg.push_str(row);
        }
        svg.push('\n');
    }
    svg
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
