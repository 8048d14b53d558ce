//! The sheet as PNG: pixels by tiny-skia, letters from the font's outlines.

use tiny_skia::{
    Color, FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, Shader, Stroke as Pen, Transform,
};

use super::svg::HALO_EM;
use super::{
    Anchor, Colour, DashPiece, DrawError, Item, MM_PER_PT, PAPER, Point, Sheet, Text, Turn, dash, font,
    paint::circle_points,
};

const MM_PER_INCH: f64 = 25.4;
const LEAST_DPI: f64 = 36.0;
const MOST_DPI: f64 = 1200.0;
/// 240 megabytes of pixels, with what is encoded of them.
const MOST_PIXELS: u64 = 40_000_000;

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
    let too_large = || DrawError::TooLarge { width_px: width.into(), height_px: height.into() };
    let mut pixmap = Pixmap::new(width, height).ok_or_else(too_large)?;
    pixmap.fill(Color::WHITE);
    let mut canvas = Canvas { pixmap, scale: Transform::from_scale(scale as f32, scale as f32) };
    for item in &sheet.items {
        canvas.draw(item)?;
    }
    let pixels = canvas.pixmap.data();
    // Charts in ink and grey alone are a third of the bytes to filter and pack.
    let (kind, bytes) = if is_grey(pixels) {
        (png::ColorType::Grayscale, channels_of::<1>(pixels))
    } else {
        (png::ColorType::Rgb, channels_of::<3>(pixels))
    };
    encode(&bytes, kind, [width, height], dpi)
}

/// Edges of letters may touch pixels so far beyond their outline.
const BEYOND_PX: f64 = 2.0;

/// Bytes of a pixel of the canvas: red, green, blue, and how much it hides.
const PIXEL: usize = 4;

fn is_grey(pixels: &[u8]) -> bool {
    pixels.as_chunks::<PIXEL>().0.iter().all(|[red, green, blue, _]| red == green && green == blue)
}

/// The first so many bytes of each pixel, as many as the compiler knows: of a million pixels each would else be a call.
/// The paper lets nothing through, so no pixel does.
fn channels_of<const CHANNELS: usize>(pixels: &[u8]) -> Vec<u8> {
    let mut bytes = vec![0; pixels.len() / PIXEL * CHANNELS];
    let places = bytes.as_chunks_mut::<CHANNELS>().0;
    for (to, from) in places.iter_mut().zip(pixels.as_chunks::<PIXEL>().0) {
        to.copy_from_slice(&from[..CHANNELS]);
    }
    bytes
}

struct Canvas {
    pixmap: Pixmap,
    /// Pixels in a millimetre, both ways.
    scale: Transform,
}

impl Canvas {
    fn draw(&mut self, item: &Item) -> Result<(), DrawError> {
        match item {
            Item::Line { points, closed, stroke } => {
                for piece in dash::pieces(points, *closed, stroke) {
                    self.line(&piece, stroke.width_mm, stroke.colour);
                }
            }
            Item::Dashes { pieces, stroke } => {
                for piece in pieces {
                    self.line(piece, stroke.width_mm, stroke.colour);
                }
            }
            Item::Area { points, fill } => {
                self.fill(std::slice::from_ref(points), fill.colour, fill.opacity.min(1.0));
            }
            Item::Disc { centre, radius_mm, fill } => {
                self.fill(&[circle_points(*centre, *radius_mm)], fill.colour, fill.opacity.min(1.0));
            }
            Item::Words { baseline, text, style } => self.words(*baseline, text, style)?,
        }
        Ok(())
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
        let contours: Vec<Vec<Point>> = font::outlines_em(text, style.bold, em * f64::from(self.scale.sx))
            .ok_or(DrawError::Font)?
            .iter()
            .map(|contour| contour.iter().map(place).collect())
            .collect();
        if style.halo
            && let Some(path) = path_of(&contours, true)
            && !self.is_blank(&path, em * HALO_EM)
        {
            // Its corners are too small to be seen, and round ones are most of its edges.
            self.stroke(&path, em * HALO_EM, PAPER, LineJoin::Bevel);
        }
        self.fill(&contours, style.colour, 1.0);
        Ok(())
    }

    /// Whether nothing is drawn yet where a line of this width along a path would be: paper on paper is not seen, and
    /// outlines of letters take longest of all.
    fn is_blank(&self, path: &Path, width_mm: f64) -> bool {
        let (bounds, scale) = (path.bounds(), f64::from(self.scale.sx));
        let off_px = width_mm * scale + BEYOND_PX;
        let (width, height) = (self.pixmap.width() as usize, self.pixmap.height() as usize);
        // Casts from floating point end at the bounds of what they are cast to.
        let first = |mm: f32| (f64::from(mm) * scale - off_px).floor() as usize;
        let end = |mm: f32, most: usize| ((f64::from(mm) * scale + off_px).ceil() as usize).min(most);
        let (left, right) = (first(bounds.left()), end(bounds.right(), width));
        let pixels = self.pixmap.data().as_chunks::<PIXEL>().0;
        (first(bounds.top())..end(bounds.bottom(), height))
            .all(|row| (left..right).all(|column| pixels[row * width + column] == [u8::MAX; PIXEL]))
    }

    /// Draws a stretch of a line, its ends cut square, or a dot.
    fn line(&mut self, piece: &DashPiece, width_mm: f64, colour: Colour) {
        match piece {
            DashPiece::Dot(at) => self.fill(&[circle_points(*at, width_mm / 2.0)], colour, 1.0),
            DashPiece::Run(run) => {
                if let Some(path) = path_of(std::slice::from_ref(run), false) {
                    self.stroke(&path, width_mm, colour, LineJoin::Round);
                }
            }
        }
    }

    fn stroke(&mut self, path: &Path, width_mm: f64, colour: Colour, line_join: LineJoin) {
        let pen = Pen { width: width_mm as f32, line_cap: LineCap::Butt, line_join, ..Pen::default() };
        self.pixmap.stroke_path(path, &ink(colour, 1.0), &pen, self.scale, None);
    }

    /// Covers the union of polygons in millimetres with a colour.
    fn fill(&mut self, polygons: &[Vec<Point>], colour: Colour, opacity: f64) {
        if let Some(path) = path_of(polygons, true) {
            self.pixmap.fill_path(&path, &ink(colour, opacity), FillRule::Winding, self.scale, None);
        }
    }
}

fn ink(colour: Colour, opacity: f64) -> Paint<'static> {
    let alpha = (opacity * f64::from(u8::MAX)).round() as u8;
    let colour = Color::from_rgba8(colour.red, colour.green, colour.blue, alpha);
    Paint { shader: Shader::SolidColor(colour), anti_alias: true, ..Paint::default() }
}

/// Lines in millimetres; `None` where there is nothing to draw.
fn path_of(lines: &[Vec<Point>], closed: bool) -> Option<Path> {
    let mut path = PathBuilder::new();
    for line in lines {
        let mut points = line.iter().map(|p| (p[0] as f32, p[1] as f32));
        let Some((x, y)) = points.next() else { continue };
        path.move_to(x, y);
        for (x, y) in points {
            path.line_to(x, y);
        }
        if closed {
            path.close();
        }
    }
    path.finish()
}

fn encode(
    buffer: &[u8],
    kind: png::ColorType,
    [width, height]: [u32; 2],
    dpi: f64,
) -> Result<Vec<u8>, DrawError> {
    let wrong = |e: png::EncodingError| DrawError::Encode(e.to_string());
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(kind);
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
