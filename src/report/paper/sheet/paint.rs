//! Plain values that say where and how to draw.

/// A place on the sheet: x right, y down, millimetres.
pub(crate) type Point = [f64; 2];

/// An opaque colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Colour {
    /// Red, 0 to 255.
    pub red: u8,
    /// Green, 0 to 255.
    pub green: u8,
    /// Blue, 0 to 255.
    pub blue: u8,
}

impl Colour {
    /// The colour written as `0xRRGGBB`.
    #[must_use]
    pub(crate) const fn from_hex(rgb: u32) -> Self {
        let [_, red, green, blue] = rgb.to_be_bytes();
        Self { red, green, blue }
    }
}

/// White paper.
pub(crate) const PAPER: Colour = Colour::from_hex(0xFF_FF_FF);

/// How a line is drawn. Lines are opaque.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stroke {
    /// Colour of the line.
    pub colour: Colour,
    /// Width, millimetres.
    pub width_mm: f64,
    /// Lengths drawn and skipped in turn, millimetres; empty for a solid line. A drawn length
    /// of 0 is a dot as wide as the line.
    pub dash_mm: &'static [f64],
}

impl Stroke {
    /// A solid line.
    #[must_use]
    pub(crate) const fn solid(colour: Colour, width_mm: f64) -> Self {
        Self { colour, width_mm, dash_mm: &[] }
    }

    /// The same line with another width.
    #[must_use]
    pub(crate) const fn wide(self, width_mm: f64) -> Self {
        Self { width_mm, ..self }
    }
}

/// How an area is filled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Fill {
    /// Colour of the area.
    pub colour: Colour,
    /// 0 lets everything beneath show, 1 hides it; larger values count as 1.
    pub opacity: f64,
}

impl Fill {
    /// A fill that hides what lies beneath.
    #[must_use]
    pub(crate) const fn solid(colour: Colour) -> Self {
        Self { colour, opacity: 1.0 }
    }

    /// A fill that lets what lies beneath show.
    #[must_use]
    pub(crate) const fn tint(colour: Colour, opacity: f64) -> Self {
        Self { colour, opacity }
    }
}

/// Which end of the words stands at the given place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    /// The words begin there.
    Start,
    /// The words are centred there.
    Middle,
    /// The words end there.
    End,
}

/// The reading direction of words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Turn {
    /// Left to right.
    Level,
    /// Bottom to top.
    Upward,
}

/// How words are drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Text {
    /// Size of the letters, points of 1/72 inch.
    pub size_pt: f64,
    /// Colour of the letters.
    pub colour: Colour,
    /// Which end stands at the given place.
    pub anchor: Anchor,
    /// Reading direction.
    pub turn: Turn,
    /// Heavy letters.
    pub bold: bool,
    /// A rim of paper round the letters, so that they stand free of lines beneath.
    pub halo: bool,
}

impl Text {
    /// Level words that begin at the given place.
    #[must_use]
    pub(crate) const fn new(size_pt: f64, colour: Colour) -> Self {
        Self { size_pt, colour, anchor: Anchor::Start, turn: Turn::Level, bold: false, halo: false }
    }

    /// The same words, anchored elsewhere.
    #[must_use]
    pub(crate) const fn anchored(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    /// The same words in heavy letters.
    #[must_use]
    pub(crate) const fn bold(self) -> Self {
        Self { bold: true, ..self }
    }

    /// The same words with a rim of paper.
    #[must_use]
    pub(crate) const fn halo(self) -> Self {
        Self { halo: true, ..self }
    }

    /// The same words, read from bottom to top.
    #[must_use]
    pub(crate) const fn upward(self) -> Self {
        Self { turn: Turn::Upward, ..self }
    }
}

/// A level rectangle on the sheet, millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rect {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

impl Rect {
    /// The rectangle between two corners, in either order.
    #[must_use]
    pub(crate) fn new(x0: f64, y0: f64, x1: f64, y1: f64) -> Self {
        Self { left: x0.min(x1), top: y0.min(y1), right: x0.max(x1), bottom: y0.max(y1) }
    }

    /// Width, millimetres.
    #[must_use]
    pub(crate) fn width(&self) -> f64 {
        self.right - self.left
    }

    /// Height, millimetres.
    #[must_use]
    pub(crate) fn height(&self) -> f64 {
        self.bottom - self.top
    }

    /// The rectangle with every edge moved out by `margin_mm`, or in where it is negative.
    #[must_use]
    pub(crate) fn grown(&self, margin_mm: f64) -> Self {
        Self {
            left: self.left - margin_mm,
            top: self.top - margin_mm,
            right: self.right + margin_mm,
            bottom: self.bottom + margin_mm,
        }
    }

    /// The area that two rectangles share, square millimetres.
    #[must_use]
    pub(crate) fn shared_area(&self, other: &Self) -> f64 {
        let across = self.right.min(other.right) - self.left.max(other.left);
        let down = self.bottom.min(other.bottom) - self.top.max(other.top);
        across.max(0.0) * down.max(0.0)
    }

    /// Whether `point` lies in the rectangle or on its edge.
    #[must_use]
    pub(crate) fn holds(&self, point: Point) -> bool {
        (self.left..=self.right).contains(&point[0]) && (self.top..=self.bottom).contains(&point[1])
    }
}

/// A circle as a closed polygon whose corners are at most [`CIRCLE_SAG_MM`] off it.
pub(super) fn circle_points(centre: Point, radius_mm: f64) -> Vec<Point> {
    // The sagitta of a chord is r(1 − cos(π/n)), about r π²/(2n²).
    let sides = std::f64::consts::PI * (radius_mm.max(0.0) / (2.0 * CIRCLE_SAG_MM)).sqrt();
    let sides = (sides.ceil() as usize).clamp(12, 720);
    (0..sides)
        .map(|i| {
            let (sin, cos) = (std::f64::consts::TAU * i as f64 / sides as f64).sin_cos();
            [centre[0] + radius_mm * cos, centre[1] + radius_mm * sin]
        })
        .collect()
}

/// A twentieth of the thinnest line: no eye sees it.
const CIRCLE_SAG_MM: f64 = 0.005;
