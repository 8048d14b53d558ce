//! Values over the net, as a square grid that contours are traced on.

use rayon::prelude::*;

use crate::orientation::{Projection, Vec3};

use super::density::KambDensity;

/// Values on a square grid over the net, rim included.
#[derive(Debug, Clone, PartialEq)]
pub struct NetGrid {
    /// Projection of the net that the grid lies on.
    pub projection: Projection,
    /// Points along each side; the grid spans −`half_width` to `half_width` both ways.
    pub side: usize,
    /// A little more than 1, so that contours can be cut exactly at the rim.
    pub half_width: f64,
    /// Values row by row from south to north, each row from west to east. Beyond the rim an
    /// axis shows its other end.
    pub values: Vec<f64>,
}

impl NetGrid {
    /// Evaluates `value`, a function of an axis, on a grid of `side` × `side` points, at
    /// least 8, on all threads.
    #[must_use]
    pub fn of(value: impl Fn(&Vec3) -> f64 + Sync, projection: Projection, side: usize) -> Self {
        let all = |axes: &[Vec3]| axes.par_iter().map(&value).collect();
        Self::of_all(all, projection, side)
    }

    /// Densities in multiples of the expected deviation.
    #[must_use]
    pub fn of_density(density: &KambDensity, projection: Projection, side: usize) -> Self {
        Self::of_all(|axes| density.at_all(axes), projection, side)
    }

    fn of_all(values: impl Fn(&[Vec3]) -> Vec<f64>, projection: Projection, side: usize) -> Self {
        let side = side.max(8);
        #[allow(clippy::cast_precision_loss)] // a grid has some hundred points a side
        let cell = 2.0 / (side - 3) as f64;
        // One cell beyond the rim on every side.
        let mut grid = Self { projection, side, half_width: 1.0 + cell, values: Vec::new() };
        // Places further out than any cell that the rim passes are given the value there: no
        // contour inside the rim depends on them, and an equal-area net ends at √2.
        let limit = 1.0 + 2.0 * cell;
        let axes: Vec<Vec3> = (0..side * side)
            .map(|i| {
                let [x, y] = grid.place(i % side, i / side);
                let radius = x.hypot(y);
                let scale = if radius > limit { limit / radius } else { 1.0 };
                projection.from_net([x * scale, y * scale]).unwrap_or_else(|| -Vec3::z())
            })
            .collect();
        grid.values = values(&axes);
        grid
    }

    /// The place on the net of a grid point.
    #[must_use]
    pub fn place(&self, column: usize, row: usize) -> [f64; 2] {
        #[allow(clippy::cast_precision_loss)] // a grid has some hundred points a side
        let along = |i: usize| (2.0 * i as f64 / (self.side - 1) as f64 - 1.0) * self.half_width;
        [along(column), along(row)]
    }

    /// The greatest value inside the rim.
    #[must_use]
    pub fn greatest(&self) -> f64 {
        (0..self.values.len())
            .filter(|i| {
                let [x, y] = self.place(i % self.side, i / self.side);
                x.hypot(y) <= 1.0
            })
            .map(|i| self.values[i])
            .fold(0.0, f64::max)
    }
}
