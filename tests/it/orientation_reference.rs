//! Means, Fisher statistics and densities against the mplstereonet Python library, version
//! 0.6.3; the committed values were written by `tests/reference/orientation/make.py`.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;

use backhold::orientation::{FisherStatistics, Line, OrientationTensor, Strike, Vec3};
use backhold::survey::KambDensity;

/// Both sides compute in doubles; the library goes through longitudes and latitudes, which
/// costs it a few digits.
const STATISTICS: f64 = 1e-6;
const DENSITY: f64 = 1e-3;

fn rows(name: &str) -> Vec<Vec<String>> {
    let path = format!("{}/tests/reference/orientation/{name}", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::Reader::from_path(path).unwrap();
    reader.records().map(|record| record.unwrap().iter().map(str::to_owned).collect()).collect()
}

struct Plane {
    group: String,
    pole: Vec3,
    weight: f64,
}

fn planes() -> Vec<Plane> {
    rows("planes.csv")
        .into_iter()
        .map(|row| {
            let number = |i: usize| row[i].parse::<f64>().unwrap();
            let plane = Strike { strike_deg: number(1), dip_deg: number(2) }.to_plane();
            Plane { group: row[0].clone(), pole: -plane.upward_normal().into_inner(), weight: number(3) }
        })
        .collect()
}

#[test]
fn statistics_agree() {
    let mut groups: BTreeMap<String, Vec<Vec3>> = BTreeMap::new();
    for plane in planes() {
        groups.entry(plane.group).or_default().push(plane.pole);
    }
    let references = rows("statistics.csv");
    assert_eq!(references.len(), 3, "every group of the file is compared");
    for row in references {
        let number = |i: usize| row[i].parse::<f64>().unwrap();
        let poles = &groups[&row[0]];
        let n = poles.len() as f64;
        assert!((n - number(1)).abs() < 0.5);
        let fisher = FisherStatistics::of_directions(poles).unwrap();
        let mean = Line::from_vector(&fisher.mean);
        let near = |found: f64, wanted: f64, what: &str| {
            assert!(
                (found - wanted).abs() < STATISTICS,
                "{}, {what}: {found} where mplstereonet has {wanted}",
                row[0]
            );
        };
        near(mean.plunge_deg, number(2), "plunge of the mean");
        near(mean.trend_deg, number(3), "trend of the mean");
        near(fisher.resultant / n, number(4), "length of the mean");
        near(fisher.cone_95_deg.unwrap(), number(5), "cone");
        near(fisher.k.unwrap(), number(6), "K");
        let tensor = OrientationTensor::of_weighted(poles.iter().map(|p| (*p, 1.0))).unwrap();
        for axis in 0..3 {
            let at = 7 + 3 * axis;
            let wanted = Line { plunge_deg: number(at), trend_deg: number(at + 1) }.to_vector();
            let found = tensor.axes[axis];
            let off = found.cross(&wanted).norm().asin().to_degrees();
            near(off, 0.0, "eigenvector");
            near(tensor.eigenvalues[axis], number(at + 2), "eigenvalue");
        }
    }
}

#[test]
fn densities_agree() {
    let planes = planes();
    let plain: Vec<(Vec3, f64)> = planes.iter().map(|p| (p.pole, 1.0)).collect();
    let weighted: Vec<(Vec3, f64)> = planes.iter().map(|p| (p.pole, p.weight)).collect();
    let densities = [
        KambDensity::new(&plain, 2.0).unwrap(),
        KambDensity::new(&plain, 3.0).unwrap(),
        KambDensity::new(&weighted, 3.0).unwrap(),
    ];
    let references = rows("density.csv");
    assert_eq!(references.len(), 24 * 24, "every grid point is compared");
    let mut worst = 0.0_f64;
    let mut greatest = 0.0_f64;
    for row in references {
        let number = |i: usize| row[i].parse::<f64>().unwrap();
        let direction = Line { trend_deg: number(0), plunge_deg: number(1) }.to_vector();
        for (i, density) in densities.iter().enumerate() {
            let wanted = number(2 + i);
            worst = worst.max((density.at(&direction) - wanted).abs());
            greatest = greatest.max(wanted);
        }
    }
    assert!(greatest > 10.0, "the file holds clusters");
    assert!(worst < DENSITY, "densities differ by {worst}");
    println!("greatest density {greatest}, greatest difference {worst:e}");
}
