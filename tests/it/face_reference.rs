//! Wedges at the face against an independent reference: 500 random half-prisms by Qhull and linear
//! programmes (`tests/reference/face`).
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use std::collections::BTreeMap;

use backhold::opening::{DriveFrame, Section, SectionShape};
use backhold::orientation::{Line, Plane, Vec3};
use backhold::stability::{Mode, Motion};
use backhold::wedge::{Cone, FaceBody, FaceLimits, JointPyramid, Reach, largest_at_face};
use serde_json::Value;

/// Relative. Qhull's vertices are good to about 1e-12 of the sweep of 400 m on wedges of metres.
const VOLUME_TOLERANCE: f64 = 1e-9;

/// Wedges below a litre are not in the reference; at its edge either may be right.
const LEAST_M3: f64 = 1e-3;

struct Case {
    section: Section,
    frame: DriveFrame,
    upward: [Vec3; 3],
    unit_weight_kn_m3: f64,
}

fn cases() -> Vec<Case> {
    let text = include_str!("../reference/face/cases.jsonl");
    text.lines()
        .map(|line| {
            let value: Value = serde_json::from_str(line).unwrap();
            let number = |v: &Value, key: &str| v[key].as_f64().unwrap();
            let shape = &value["section"];
            let shape = match shape["shape"].as_str().unwrap() {
                "flat" => SectionShape::Flat {
                    width_m: number(shape, "width_m"),
                    height_m: number(shape, "height_m"),
                },
                "arched" => SectionShape::Arched {
                    width_m: number(shape, "width_m"),
                    wall_height_m: number(shape, "wall_height_m"),
                    rise_m: number(shape, "rise_m"),
                },
                _ => SectionShape::Circular { diameter_m: number(shape, "diameter_m") },
            };
            let frame = DriveFrame::new(Line {
                trend_deg: number(&value, "trend_deg"),
                plunge_deg: number(&value, "plunge_deg"),
            });
            let upward = std::array::from_fn(|i| {
                let set = &value["sets"][i];
                let plane = Plane {
                    dip_deg: number(set, "dip_deg"),
                    dip_direction_deg: number(set, "dip_direction_deg"),
                };
                frame.to_local(&plane.upward_normal())
            });
            Case {
                section: shape.section().unwrap(),
                frame,
                upward,
                unit_weight_kn_m3: number(&value, "unit_weight_kn_m3"),
            }
        })
        .collect()
}

#[test]
fn five_hundred_half_prisms_agree_with_the_reference() {
    let mut reader = csv::Reader::from_reader(include_str!("../reference/face/wedges.csv").as_bytes());
    let mut rows: BTreeMap<(usize, String), BTreeMap<String, String>> = BTreeMap::new();
    for row in reader.deserialize() {
        let row: BTreeMap<String, String> = row.unwrap();
        rows.insert((row["case"].parse().unwrap(), row["pyramid"].clone()), row);
    }
    let cases = cases();
    assert_eq!(cases.len(), 500);
    let (mut differences, mut open) = (Vec::new(), 0.0f64);
    for (number, case) in cases.iter().enumerate() {
        let down = case.frame.to_local(&-Vec3::z());
        for pyramid in JointPyramid::all() {
            let cone = Cone::new(&case.upward, pyramid);
            let mut body = FaceBody::new(&case.section, &cone);
            let found = Reach::of(&case.section, &cone)
                .and_then(|reach| largest_at_face(&reach, &mut body, &FaceLimits::default()))
                .filter(|f| f.volume_m3 >= LEAST_M3 * (1.0 - VOLUME_TOLERANCE));
            let row = rows.get(&(number, pyramid.code()));
            let (found, row) = match (found, row) {
                (Some(found), Some(row)) => (found, row),
                (None, None) => continue,
                (Some(found), None) => {
                    panic!("case {number} {}: {} m³ only here", pyramid.code(), found.volume_m3)
                }
                (None, Some(row)) => {
                    panic!("case {number} {}: only in the reference, {row:?}", pyramid.code())
                }
            };
            let value = |key: &str| -> f64 { row[key].parse().unwrap() };
            let difference = (found.volume_m3 / value("volume_m3") - 1.0).abs();
            assert!(difference < VOLUME_TOLERANCE, "case {number} {}: {difference:.1e}", pyramid.code());
            differences.push(difference);
            let weight_kn = found.volume_m3 * case.unit_weight_kn_m3;
            assert!((weight_kn / value("weight_kn") - 1.0).abs() < VOLUME_TOLERANCE);
            let mode = Motion::of(&cone.inward, &down).mode;
            assert_eq!(mode.name(), row["mode"], "case {number} {}", pyramid.code());
            let joints: Vec<&str> = mode.slides_on().iter().map(|&i| ["A", "B", "C"][i]).collect();
            assert_eq!(joints.join("|"), row["slides_on"], "case {number} {}", pyramid.code());
            assert!(mode != Mode::NoMotion || row["mode"] == "no motion");
            let shape = body.shape(&found.shown);
            // A closed body: relative to its own surface.
            let surface = shape.opening_area_m2() + shape.joints.iter().map(|j| j.area_m2).sum::<f64>();
            open = open.max(shape.open_area(&case.section, &cone).norm() / surface);
        }
    }
    differences.sort_by(f64::total_cmp);
    let quantile = |q: f64| differences[((differences.len() - 1) as f64 * q).round() as usize];
    println!(
        "{} wedges; volume q75 {:.1e} q99 {:.1e} max {:.1e}; open by {open:.1e}",
        differences.len(),
        quantile(0.75),
        quantile(0.99),
        quantile(1.0)
    );
    assert!(open < 1e-9, "{open}");
    assert_eq!(differences.len(), rows.len());
    // Pinned: fewer compared means that the data or the filter changed.
    assert_eq!(differences.len(), 1973);
}
