//! A sheet of paper in millimetres, drawn once and written as SVG or PNG.
//!
//! The origin is the upper left corner, x runs right and y runs down, as on a page. Whatever is
//! put on the sheet first lies underneath. A sheet knows lines, areas, discs and words; it knows
//! nothing of rock.
//!
//! What draws SVG (plotters) and pixels (tiny-skia) stays behind this module.

mod clip;
mod dash;
mod font;
mod layout;
mod paint;
mod png;
mod svg;

pub(crate) use clip::clip_polyline;
#[cfg(test)]
pub(crate) use clip::length_inside_mm;
pub(crate) use dash::{DashPiece, cut_dashes};
pub(crate) use font::text_width_em;
pub(crate) use layout::Layout;
pub(crate) use paint::{Anchor, Colour, Fill, PAPER, Point, Rect, Stroke, Text, Turn};

use font::CAP_HEIGHT_EM;

/// The width at which a sheet is meant to be printed: the text column of an A4 page.
pub(crate) const FULL_WIDTH_MM: f64 = 180.0;

/// The least size of letters, in points, when the sheet is printed [`FULL_WIDTH_MM`] wide.
pub(crate) const LEAST_TEXT_PT: f64 = 9.0;

/// One point in millimetres: 1/72 inch.
pub(crate) const MM_PER_PT: f64 = 25.4 / 72.0;

/// Sheets are kept between these two sizes, so that no input can ask for an endless picture.
const LEAST_SIZE_MM: f64 = 1.0;
const MOST_SIZE_MM: f64 = 2000.0;

/// Coordinates further out than this, 100 m of paper, are taken as mistakes and are not drawn:
/// dashes out to them would never end.
const MOST_COORDINATE_MM: f64 = 1e5;

/// Why a sheet could not be written.
#[derive(Debug, thiserror::Error)]
pub enum DrawError {
    /// The picture would have more pixels than anybody can use.
    #[error("a picture of {width_px} by {height_px} pixels is too large; ask for fewer dots per inch")]
    TooLarge {
        /// Width asked for, pixels.
        width_px: u64,
        /// Height asked for, pixels.
        height_px: u64,
    },
    /// Dots per inch outside what is allowed.
    #[error("{dpi} dots per inch is outside {least} to {most}")]
    Resolution {
        /// What was asked for.
        dpi: f64,
        /// Least allowed.
        least: f64,
        /// Most allowed.
        most: f64,
    },
    /// The embedded font could not be read.
    #[error("the embedded font could not be read")]
    Font,
    /// The drawing backend refused.
    #[error("the drawing backend refused: {0}")]
    Backend(String),
    /// The PNG could not be encoded.
    #[error("the PNG could not be encoded: {0}")]
    Encode(String),
}

/// One thing on the sheet, in the order of drawing.
#[derive(Debug, Clone)]
enum Item {
    Line {
        points: Vec<Point>,
        closed: bool,
        stroke: Stroke,
    },
    /// The drawn parts of a dashed line.
    Dashes {
        pieces: Vec<DashPiece>,
        stroke: Stroke,
    },
    Area {
        points: Vec<Point>,
        fill: Fill,
    },
    Disc {
        centre: Point,
        radius_mm: f64,
        fill: Fill,
    },
    Words {
        /// Where the baseline begins, is halved or ends, by the anchor.
        baseline: Point,
        text: String,
        style: Text,
    },
}

/// A drawing in millimetres. See the [module](self) for its frame.
#[derive(Debug, Clone)]
pub(crate) struct Sheet {
    width_mm: f64,
    height_mm: f64,
    title: String,
    description: String,
    items: Vec<Item>,
    left_out: usize,
}

impl Sheet {
    /// An empty sheet. `title` says what is seen; it goes into the SVG for readers who hear the
    /// page instead of seeing it, and is not drawn.
    ///
    /// # Units
    /// Millimetres; sizes outside 1 to 2000 mm, or not finite, are brought to the nearer end.
    #[must_use]
    pub(crate) fn new(width_mm: f64, height_mm: f64, title: &str) -> Self {
        Self {
            width_mm: bounded_size(width_mm),
            height_mm: bounded_size(height_mm),
            title: printable(title),
            description: String::new(),
            items: Vec::new(),
            left_out: 0,
        }
    }

    /// Adds a sentence or two on what the drawing holds, kept in the SVG beside the title.
    pub(crate) fn describe(&mut self, description: &str) {
        self.description = printable(description);
    }

    /// Width, millimetres.
    #[must_use]
    pub(crate) fn width_mm(&self) -> f64 {
        self.width_mm
    }

    /// Whether it is higher than wide.
    #[must_use]
    pub(crate) fn is_tall(&self) -> bool {
        self.height_mm > self.width_mm
    }

    /// Height, millimetres.
    #[cfg(test)]
    #[must_use]
    pub fn height_mm(&self) -> f64 {
        self.height_mm
    }

    /// How many things were not drawn because a coordinate or size was not a usable number.
    #[cfg(test)]
    #[must_use]
    pub fn left_out(&self) -> usize {
        self.left_out
    }

    /// A line through `points`; one that runs off the sheet is cut at the sheet's edge.
    pub(crate) fn polyline(&mut self, points: &[Point], stroke: Stroke) {
        let page = Rect::new(0.0, 0.0, self.width_mm, self.height_mm);
        if points.iter().all(|p| page.holds(*p)) {
            self.line(points, false, stroke);
        } else {
            self.polyline_within(points, stroke, &page);
        }
    }

    /// The part of a line that lies in `frame`. Its dashes stay where they are on the whole line.
    pub(crate) fn polyline_within(&mut self, points: &[Point], stroke: Stroke, frame: &Rect) {
        if !self.usable(points, &[stroke.width_mm]) {
            return;
        }
        if stroke.dash_mm.is_empty() {
            for part in clip_polyline(points, frame) {
                self.line(&part, false, stroke);
            }
            return;
        }
        let mut pieces = Vec::new();
        for piece in cut_dashes(points, stroke.dash_mm) {
            match piece {
                DashPiece::Dot(at) if frame.holds(at) => pieces.push(DashPiece::Dot(at)),
                DashPiece::Dot(_) => {}
                DashPiece::Run(run) => {
                    pieces.extend(clip_polyline(&run, frame).into_iter().map(DashPiece::Run));
                }
            }
        }
        if !pieces.is_empty() {
            self.items.push(Item::Dashes { pieces, stroke });
        }
    }

    /// The outline of a closed area, drawn without filling it.
    pub(crate) fn outline(&mut self, points: &[Point], stroke: Stroke) {
        self.line(points, true, stroke);
    }

    fn line(&mut self, points: &[Point], closed: bool, stroke: Stroke) {
        if self.usable(points, &[stroke.width_mm]) && points.len() >= 2 {
            self.items.push(Item::Line { points: points.to_vec(), closed, stroke });
        }
    }

    /// A closed area, filled, outlined, or both. Where the boundary crosses itself the area is
    /// what it winds round at least once.
    pub(crate) fn polygon(&mut self, points: &[Point], fill: Option<Fill>, stroke: Option<Stroke>) {
        if let Some(fill) = fill
            && self.usable(points, &[fill.opacity])
            && points.len() >= 3
        {
            self.items.push(Item::Area { points: points.to_vec(), fill });
        }
        if let Some(stroke) = stroke {
            self.outline(points, stroke);
        }
    }

    /// A circle, filled, outlined, or both.
    pub(crate) fn circle(
        &mut self,
        centre: Point,
        radius_mm: f64,
        fill: Option<Fill>,
        stroke: Option<Stroke>,
    ) {
        if let Some(fill) = fill
            && self.usable(&[centre], &[radius_mm, fill.opacity])
        {
            self.items.push(Item::Disc { centre, radius_mm, fill });
        }
        if let Some(stroke) = stroke {
            self.outline(&paint::circle_points(centre, radius_mm), stroke);
        }
    }

    /// A square of side `side_mm`, level, about `centre`.
    pub(crate) fn square(&mut self, centre: Point, side_mm: f64, fill: Option<Fill>, stroke: Option<Stroke>) {
        let half = side_mm / 2.0;
        let [x, y] = centre;
        let corners =
            [[x - half, y - half], [x + half, y - half], [x + half, y + half], [x - half, y + half]];
        self.polygon(&corners, fill, stroke);
    }

    /// A triangle with its point down, `side_mm` along the top, about `centre`.
    pub(crate) fn triangle_down(
        &mut self,
        centre: Point,
        side_mm: f64,
        fill: Option<Fill>,
        stroke: Option<Stroke>,
    ) {
        let half = side_mm / 2.0;
        let height = side_mm * 3.0_f64.sqrt() / 2.0;
        let [x, y] = centre;
        // The centre of area is a third of the height below the top edge.
        let corners =
            [[x - half, y - height / 3.0], [x + half, y - height / 3.0], [x, y + 2.0 * height / 3.0]];
        self.polygon(&corners, fill, stroke);
    }

    /// Words on one line. Letters smaller than [`LEAST_TEXT_PT`] at full print width are
    /// enlarged to it; control characters become spaces.
    ///
    /// `at` is on the middle of the capitals' height and at the start, middle or end of the
    /// words, by the anchor. Words turned upward read from bottom to top.
    pub(crate) fn text(&mut self, at: Point, text: &str, style: &Text) {
        if text.is_empty() || !self.usable(&[at], &[style.size_pt]) {
            return;
        }
        let style = Text { size_pt: self.size_pt(style.size_pt), ..*style };
        let drop_mm = style.size_pt * MM_PER_PT * CAP_HEIGHT_EM / 2.0;
        let baseline = match style.turn {
            Turn::Level => [at[0], at[1] + drop_mm],
            Turn::Upward => [at[0] + drop_mm, at[1]],
        };
        self.items.push(Item::Words { baseline, text: printable(text), style });
    }

    /// The size at which words of `size_pt` are drawn on this sheet, points.
    #[must_use]
    pub(crate) fn size_pt(&self, size_pt: f64) -> f64 {
        size_pt.max(LEAST_TEXT_PT * (self.width_mm / FULL_WIDTH_MM).max(1.0))
    }

    /// The width that [`text`](Self::text) takes along its reading direction, millimetres, from
    /// the metrics of the embedded font.
    #[must_use]
    pub(crate) fn text_width_mm(&self, text: &str, style: &Text) -> f64 {
        text_width_em(&printable(text), style.bold) * self.size_pt(style.size_pt) * MM_PER_PT
    }

    /// The room that [`text`](Self::text) takes with the same arguments: full width, and from
    /// the foot of a `g` to the head of an `h`.
    #[must_use]
    pub(crate) fn text_box(&self, at: Point, text: &str, style: &Text) -> Rect {
        let along = self.text_width_mm(text, style);
        let half_across = self.size_pt(style.size_pt) * MM_PER_PT * font::LINE_HALF_HEIGHT_EM;
        let before = match style.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => along / 2.0,
            Anchor::End => along,
        };
        let [x, y] = at;
        match style.turn {
            Turn::Level => Rect::new(x - before, y - half_across, x - before + along, y + half_across),
            Turn::Upward => Rect::new(x - half_across, y + before - along, x + half_across, y + before),
        }
    }

    /// `text` broken at spaces into lines that are at most `width_mm` wide. A single word that is
    /// wider stands alone on its line; a no-break space does not part words.
    #[must_use]
    pub(crate) fn wrap(&self, text: &str, style: &Text, width_mm: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text.split([' ', '\t', '\n']).filter(|w| !w.is_empty()) {
            if let Some(line) = lines.last_mut() {
                let longer = format!("{line} {word}");
                if self.text_width_mm(&longer, style) <= width_mm {
                    *line = longer;
                    continue;
                }
            }
            lines.push(word.to_owned());
        }
        lines
    }

    /// The sheet as a self-contained SVG: no script, no font file, nothing fetched; the same
    /// sheet gives the same bytes.
    ///
    /// # Errors
    /// [`DrawError::Backend`] when the backend refuses.
    pub(crate) fn to_svg(&self) -> Result<String, DrawError> {
        svg::write(self)
    }

    /// The sheet as a PNG on white paper.
    ///
    /// # Units
    /// `dpi` dots per inch, 36 to 1200; 200 prints well at the sheet's own size.
    ///
    /// # Errors
    /// [`DrawError`]: a resolution outside the range, a picture of too many pixels, or a
    /// refusal by the font, backend or encoder.
    pub(crate) fn to_png(&self, dpi: f64) -> Result<Vec<u8>, DrawError> {
        png::write(self, dpi)
    }

    /// The words on the sheet, each with its baseline, for tests.
    #[cfg(test)]
    pub(crate) fn words(&self) -> Vec<(Point, String, Text)> {
        let word = |item: &Item| match item {
            Item::Words { baseline, text, style } => Some((*baseline, text.clone(), *style)),
            _ => None,
        };
        self.items.iter().filter_map(word).collect()
    }

    /// The lines on the sheet, without those that are cut into dashes, for tests.
    #[cfg(test)]
    pub(crate) fn lines(&self) -> Vec<(Vec<Point>, Stroke)> {
        let line = |item: &Item| match item {
            Item::Line { points, stroke, .. } => Some((points.clone(), *stroke)),
            _ => None,
        };
        self.items.iter().filter_map(line).collect()
    }

    /// The discs on the sheet, for tests.
    #[cfg(test)]
    pub(crate) fn discs(&self) -> Vec<(Point, f64, Fill)> {
        let disc = |item: &Item| match item {
            Item::Disc { centre, radius_mm, fill } => Some((*centre, *radius_mm, *fill)),
            _ => None,
        };
        self.items.iter().filter_map(disc).collect()
    }

    /// Every point of lines, areas and discs on the sheet, for tests.
    #[cfg(test)]
    pub(crate) fn points(&self) -> Vec<Point> {
        self.items
            .iter()
            .flat_map(|item| match item {
                Item::Line { points, .. } | Item::Area { points, .. } => points.clone(),
                Item::Dashes { pieces, .. } => pieces
                    .iter()
                    .flat_map(|p| match p {
                        DashPiece::Run(run) => run.clone(),
                        DashPiece::Dot(at) => vec![*at],
                    })
                    .collect(),
                Item::Disc { centre, radius_mm: r, .. } => {
                    vec![[centre[0] - r, centre[1] - r], [centre[0] + r, centre[1] + r]]
                }
                Item::Words { .. } => Vec::new(),
            })
            .collect()
    }

    /// Counts what cannot be drawn instead of drawing something wrong.
    fn usable(&mut self, points: &[Point], sizes: &[f64]) -> bool {
        let good = points.iter().flatten().all(|c| c.abs() <= MOST_COORDINATE_MM)
            && sizes.iter().all(|s| s.is_finite() && *s >= 0.0);
        if !good {
            self.left_out += 1;
        }
        good
    }
}

fn bounded_size(size_mm: f64) -> f64 {
    if size_mm.is_nan() { LEAST_SIZE_MM } else { size_mm.clamp(LEAST_SIZE_MM, MOST_SIZE_MM) }
}

/// Characters that XML cannot hold, and line ends, become spaces.
fn printable(text: &str) -> String {
    text.chars().map(|c| if c.is_control() || c == '\u{FFFE}' || c == '\u{FFFF}' { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests;
