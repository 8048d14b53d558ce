//! A chart of y against x, for histograms and curves.
//!
//! Plain values in, a [`Sheet`] 180 mm wide out. Where a value is not finite, or not positive on a
//! logarithmic axis, a line is broken; where it runs out of the axes it is cut at the frame.

mod axis;
mod draw;
#[cfg(test)]
mod tests;

pub(crate) use axis::{Axis, round_step};

use super::sheet::{Colour, Sheet, Stroke};

/// What a chart shows, from the bottom layer to the top.
#[derive(Debug, Clone)]
pub(crate) struct Chart {
    /// One sentence that says what is seen.
    pub title: String,
    /// The level axis.
    pub x: Axis,
    /// The upright axis.
    pub y: Axis,
    /// Bars, lines, rules and marks.
    pub layers: Vec<Layer>,
    /// Height of the frame between the axes, millimetres; 20 to 250.
    pub frame_height_mm: f64,
}

/// Which axis a rule's value belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Across {
    /// An upright rule at a value of x.
    X,
    /// A level rule at a value of y.
    Y,
}

/// A bar from `from` to `to` along x, as high as `height` along y, standing on 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bar {
    /// Its lower bound along x.
    pub from: f64,
    /// Its upper bound along x.
    pub to: f64,
    /// Its value along y.
    pub height: f64,
}

/// The shape of a mark at a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mark {
    /// Held: a filled square.
    Held,
    /// Short: a hollow triangle, point down.
    Short,
    /// A hollow circle.
    Ring(Colour),
}

/// One thing on the chart.
#[derive(Debug, Clone)]
pub(crate) enum Layer {
    /// A line through points (x, y).
    Line {
        /// Its name in the legend; empty for none.
        label: String,
        /// Its points.
        points: Vec<[f64; 2]>,
        /// How it is drawn.
        stroke: Stroke,
    },
    /// A straight line across the frame at one value, with its name on it.
    Rule {
        /// Its name, written on the rule.
        label: String,
        /// Which axis the value belongs to.
        across: Across,
        /// Where it lies.
        value: f64,
        /// How it is drawn.
        stroke: Stroke,
    },
    /// Marks at points (x, y).
    Marks {
        /// Their name in the legend; empty for none.
        label: String,
        /// Their places.
        points: Vec<[f64; 2]>,
        /// Their shape.
        mark: Mark,
    },
    /// Words beside points (x, y), where they hide least.
    Names {
        /// Places and what is written there.
        points: Vec<([f64; 2], String)>,
    },
    /// The bars of a histogram.
    Bars {
        /// Their name in the legend; empty for none.
        label: String,
        /// The bars.
        bars: Vec<Bar>,
        /// Their colour.
        colour: Colour,
    },
}

impl Chart {
    /// A chart without layers, its frame 75 mm high.
    #[must_use]
    pub(crate) fn new(title: &str, x: Axis, y: Axis) -> Self {
        Self { title: title.to_owned(), x, y, layers: Vec::new(), frame_height_mm: 75.0 }
    }

    /// Adds a layer on top.
    #[must_use]
    pub(crate) fn with(mut self, layer: Layer) -> Self {
        self.layers.push(layer);
        self
    }

    /// Draws the chart on a sheet 180 mm wide.
    #[must_use]
    pub(crate) fn draw(&self) -> Sheet {
        draw::draw(self)
    }
}

/// Values that were read in tenths meet borders in tenths, but for a rounding error: a bar's
/// share that still counts as its border.
const ON_BORDER: f64 = 1e-9;

/// Counts values into bars of equal width, from `from` on; a value on a border belongs to the
/// upper bar. Values outside, or not finite, are counted in the second number.
///
/// No bars come out of a width that is not positive, or of more than 1000 of them.
#[must_use]
pub(crate) fn histogram(values: &[f64], from: f64, width: f64, bars: usize) -> (Vec<Bar>, usize) {
    if !(width > 0.0 && width.is_finite() && from.is_finite()) || bars > 1000 {
        return (Vec::new(), values.len());
    }
    let mut counts = vec![0_u32; bars];
    let mut outside = 0;
    for value in values {
        let index = ((value - from) / width + ON_BORDER).floor();
        // Also false for what is not a number.
        let inside = index >= 0.0 && index < bars as f64;
        match counts.get_mut(index as usize) {
            Some(count) if inside => *count += 1,
            _ => outside += 1,
        }
    }
    let bars = counts
        .iter()
        .zip(0..)
        .map(|(count, i)| Bar {
            from: from + width * f64::from(i),
            to: from + width * f64::from(i + 1),
            height: f64::from(*count),
        })
        .collect();
    (bars, outside)
}
