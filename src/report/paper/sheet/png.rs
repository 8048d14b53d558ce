//! The sheet as PNG: pixels through plotters' bitmap backend, letters from the font's outlines.

use std::fmt::Display;

use plotters::backend::BitMapBackend;
use plotters::prelude::{DrawingBackend, RGBAColor};

use super::raster::{Span, cover};
use super::svg::HALO_EM;
use super::{
    Anchor, Colour, DashPiece, DrawError, Item, MM_PER_PT, PAPER, Point, Sheet, Text, Turn, font,
    paint::circle_points, stroke,
};

const MM_PER_INCH: f64 = 25.4;
const LEAST_DPI: f64 = 36.0;
const MOST_DPI: f64 = 1200.0;
/// 300 megabytes of pixels.
const MOST_PIXELS: u64 = 100_000_000;

pub(super) fn write(sheet: &Sheet, dpi: f64) -> Result<Vec<u8>, DrawError> {
    if !(LEAST_DPI..=MOST_DPI).contains(&dpi) {
        return Err(DrawError::Resolution { dpi, least: LEAST_DPI, most: MOST_DPI });
    }
    let scale = dpi / MM_PER_INCH;
    let width = (sheet.width_mm * scale).ceil() as u32;
    let height = (sheet.height_mm * scale).ceil() as u32;
    let pixels = u64::from(width) * u64::from(height);
    if pixels > MOST_PIXELS {
        return Err(DrawError::TooLarge { width_px: width.into(), height_px: height.into() });
    }
    let mut buffer = vec![u8::MAX; pixels as usize * 3];
    {
        let backend = BitMapBackend::with_buffer_and_format(&mut buffer, (width, height)).map_err(refused)?;
        let mut canvas = Canvas { backend, scale, width: width as i32, height: height as i32 };
        for item in &sheet.items {
            canvas.draw(item)?;
        }
        canvas.backend.present().map_err(refused)?;
    }
    encode(&buffer, width, height, dpi)
}

struct Canvas<'a> {
    backend: BitMapBackend<'a>,
    /// Pixels in a millimetre.
    scale: f64,
    width: i32,
    height: i32,
}

impl Canvas<'_> {
    fn draw(&mut self, item: &Item) -> Result<(), DrawError> {
        match item {
            Item::Line { points, closed, stroke } => {
                for piece in stroke::pieces(points, *closed, stroke) {
                    let parts = stroke::outline(&piece, stroke.width_mm);
                    self.paint(&parts, stroke.colour, 1.0)?;
                }
                Ok(())
            }
            Item::Dashes { pieces, stroke } => {
                for piece in pieces {
                    self.paint(&stroke::outline(piece, stroke.width_mm), stroke.colour, 1.0)?;
                }
                Ok(())
            }
            Item::Area { points, fill } => {
                self.paint(std::slice::from_ref(points), fill.colour, fill.opacity.min(1.0))
            }
            Item::Disc { centre, radius_mm, fill } => {
                let disc = circle_points(*centre, *radius_mm);
                self.paint(&[disc], fill.colour, fill.opacity.min(1.0))
            }
            Item::Words { baseline, text, style } => self.words(*baseline, text, style),
        }
    }

    fn words(&mut self, baseline: Point, text: &str, style: &Text) -> Result<(), DrawError> {
        let em = style.size_pt * MM_PER_PT;
        let width_em = font::text_width_em(text, style.bold);
        let before_em = match style.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => width_em / 2.0,
            Anchor::End => width_em,
        };
        let place = |p: &Point| {
            let (along, down) = (em * (p[0] - before_em), em * p[1]);
            match style.turn {
                Turn::Level => [baseline[0] + along, baseline[1] + down],
                Turn::Upward => [baseline[0] + down, baseline[1] - along],
            }
        };
        let contours: Vec<Vec<Point>> = font::outlines_em(text, style.bold)
            .ok_or(DrawError::Font)?
            .iter()
            .map(|contour| contour.iter().map(place).collect())
            .collect();
        if style.halo {
            let mut rim = Vec::new();
            for contour in &contours {
                let mut path = contour.clone();
                path.extend(contour.iter().take(2));
                rim.extend(stroke::outline(&DashPiece::Run(path), em * HALO_EM));
            }
            self.paint(&rim, PAPER, 1.0)?;
        }
        self.paint(&contours, style.colour, 1.0)
    }

    /// Covers the union of polygons in millimetres with a colour.
    fn paint(&mut self, polygons: &[Vec<Point>], colour: Colour, opacity: f64) -> Result<(), DrawError> {
        let scaled: Vec<Vec<Point>> = polygons
            .iter()
            .map(|polygon| polygon.iter().map(|p| [p[0] * self.scale, p[1] * self.scale]).collect())
            .collect();
        let mut result = Ok(());
        let (width, height) = (self.width, self.height);
        let backend = &mut self.backend;
        cover(&scaled, width, height, |span: Span| {
            if result.is_ok() {
                let paint = RGBAColor(colour.red, colour.green, colour.blue, opacity * span.coverage);
                result = backend
                    .draw_rect((span.from, span.row), (span.to, span.row + 1), &paint, true)
                    .map_err(refused);
            }
        });
        result
    }
}

fn encode(buffer: &[u8], width: u32, height: u32, dpi: f64) -> Result<Vec<u8>, DrawError> {
    let wrong = |e: png::EncodingError| DrawError::Encode(e.to_string());
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let per_metre = (dpi / MM_PER_INCH * 1000.0).round() as u32;
    encoder.set_pixel_dims(Some(png::PixelDimensions {
        xppu: per_metre,
        yppu: per_metre,
        unit: png::Unit::Meter,
    }));
    let mut writer = encoder.write_header().map_err(wrong)?;
    writer.write_image_data(buffer).map_err(wrong)?;
    writer.finish().map_err(wrong)?;
    Ok(bytes)
}

fn refused(error: impl Display) -> DrawError {
    DrawError::Backend(error.to_string())
}
