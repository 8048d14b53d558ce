//! Time from a survey's text to sets and contours.
//!
//! `cargo bench --bench map`; `benches/contours.py` sets the contouring beside mplstereonet's.
#![allow(missing_docs, clippy::unwrap_used)]

#[allow(dead_code)] // tests ask for more of it
#[path = "../tests/it/common/mod.rs"]
mod common;

use std::hint::black_box;

use backhold::orientation::{Projection, Vec3};
use backhold::survey::{
    KambDensity, MapOptions, NetGrid, ReadOptions, contour_levels, map_survey, read_survey, trace_contours,
};
use criterion::{Criterion, criterion_group, criterion_main};

/// Counters of the library that is compared with: a square of longitudes and latitudes.
fn lon_lat_grid(side: u32) -> Vec<Vec3> {
    let along = |i: u32| std::f64::consts::PI * (f64::from(i) / f64::from(side - 1) - 0.5);
    (0..side)
        .flat_map(|i| (0..side).map(move |j| (along(i), along(j))))
        .map(|(lon, lat)| Vec3::new(lat.cos() * lon.sin(), lat.sin(), -(lat.cos() * lon.cos())))
        .collect()
}

fn axes(n: usize) -> Vec<(Vec3, f64)> {
    let case = common::synthetic(3, 1, 35.0, 30.0);
    let all = common::many(&case, n, 5);
    all.iter().map(|(plane, _)| (plane.upward_normal().into_inner(), 1.0)).collect()
}

fn contouring(c: &mut Criterion) {
    let counters = lon_lat_grid(100);
    for n in [200, 2000] {
        let axes = axes(n);
        c.bench_function(&format!("density_{n}_on_100x100"), |b| {
            b.iter(|| {
                let density = KambDensity::new(black_box(&axes), 3.0).unwrap();
                density.at_all(black_box(&counters))
            });
        });
        let grid = NetGrid::of_density(&KambDensity::new(&axes, 3.0).unwrap(), Projection::EqualArea, 100);
        c.bench_function(&format!("contour_lines_{n}_on_100x100"), |b| {
            b.iter(|| {
                contour_levels(grid.greatest(), 8)
                    .into_iter()
                    .flat_map(|level| trace_contours(black_box(&grid), level))
                    .count()
            });
        });
    }
}

fn whole(c: &mut Criterion) {
    let mut group = c.benchmark_group("survey");
    group.sample_size(10);
    for n in [200, 100_000] {
        let case = common::synthetic(3, 1, 35.0, 30.0);
        let text = common::as_csv(&common::many(&case, n, 5), 0);
        group.bench_function(format!("read_and_map_{n}"), |b| {
            b.iter(|| {
                let survey = read_survey("s.csv", &text, &ReadOptions::default()).unwrap();
                map_survey(&survey, &MapOptions::default())
            });
        });
    }
    group.finish();
}

criterion_group!(benches, contouring, whole);
criterion_main!(benches);
