//! A large survey within its limits of time and memory. Run with
//! `cargo test --release --test it map_speed:: -- --ignored --nocapture`.
#![allow(clippy::unwrap_used)]

use crate::common;
use std::time::{Duration, Instant};

use backhold::orientation::Projection;
use backhold::survey::{
    DEFAULT_SIGMA, KambDensity, MapOptions, NetGrid, ReadOptions, contour_levels, map_survey, read_survey,
    trace_contours,
};

const READINGS: usize = 100_000;
const LIMIT: Duration = Duration::from_secs(3);
const LIMIT_MB: u64 = 300;

#[test]
#[ignore = "measures time and memory; run it alone and in release"]
fn a_hundred_thousand_readings_take_seconds() {
    let case = common::synthetic(3, 1, 35.0, 30.0);
    let text = common::as_csv(&common::many(&case, READINGS, 5), 1);
    let start = Instant::now();
    let survey = read_survey("large.csv", &text, &ReadOptions::default()).unwrap();
    let read = start.elapsed();
    let mapped = map_survey(&survey, &MapOptions::default());
    let sets = start.elapsed();
    let axes: Vec<_> = survey.readings.iter().map(|r| (r.plane.upward_normal().into_inner(), 1.0)).collect();
    let density = KambDensity::new(&axes, DEFAULT_SIGMA).unwrap();
    let grid = NetGrid::of_density(&density, Projection::EqualArea, 181);
    let lines: usize =
        contour_levels(grid.greatest(), 8).into_iter().map(|level| trace_contours(&grid, level).len()).sum();
    let all = start.elapsed();
    println!(
        "read {read:?}, sets and statistics {:?}, density and {lines} contour lines {:?}, \
         altogether {all:?}; {} sets of {}",
        sets - read,
        all - sets,
        mapped.sets.len(),
        case.sets.len()
    );
    assert_eq!(mapped.sets.len(), case.sets.len());
    assert!(all < LIMIT, "{all:?}");
    if let Some(peak_mb) = peak_memory_mb() {
        println!("peak memory {peak_mb} MB, the text included");
        assert!(peak_mb < LIMIT_MB);
    }
}

/// The process's peak on Linux.
fn peak_memory_mb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kb: u64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kb / 1024)
}
