//! Reads the cases of `tests/reference` into the library's plain types.
#![allow(clippy::unwrap_used, clippy::panic)] // a helper of tests

use std::path::Path;

use backhold::case::{Case, Criteria, Joint, SizeLimits};
use backhold::opening::SectionShape;
use backhold::orientation::{Line, Plane};
use backhold::strength::MohrCoulomb;
use backhold::support::{Aim, Anchorage, Bolt, BoltKind, Covered, Pattern};
use serde_json::Value;

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("{key} in {value}"))
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_else(|| panic!("{key} in {value}"))
}

fn shape(value: &Value) -> SectionShape {
    match text(value, "shape") {
        "flat" => {
            SectionShape::Flat { width_m: number(value, "width_m"), height_m: number(value, "height_m") }
        }
        "arched" => SectionShape::Arched {
            width_m: number(value, "width_m"),
            wall_height_m: number(value, "wall_height_m"),
            rise_m: number(value, "rise_m"),
        },
        "circular" => SectionShape::Circular { diameter_m: number(value, "diameter_m") },
        other => panic!("shape {other}"),
    }
}

fn joint_set(value: &Value) -> Joint {
    let plane =
        Plane { dip_deg: number(value, "dip_deg"), dip_direction_deg: number(value, "dip_direction_deg") };
    let strength = MohrCoulomb {
        friction_deg: number(value, "friction_deg"),
        cohesion_kpa: number(value, "cohesion_kpa"),
    };
    Joint::set(text(value, "name"), plane, strength)
}

fn bolt(value: &Value) -> Bolt {
    let kind = match text(value, "kind") {
        "resin" => BoltKind::Resin,
        "mechanical" => BoltKind::Mechanical,
        "friction" => BoltKind::Friction,
        "cable" => BoltKind::Cable,
        other => panic!("kind {other}"),
    };
    let anchorage = if kind == BoltKind::Mechanical {
        Anchorage::PointAnchored {
            anchor_kn: number(value, "anchor_kn"),
            anchor_length_m: number(value, "anchor_length_m"),
        }
    } else {
        Anchorage::Bonded { bond_kn_per_m: number(value, "bond_kn_per_m") }
    };
    Bolt {
        name: text(value, "name").into(),
        kind,
        steel_kn: number(value, "steel_kn"),
        anchorage,
        plate_kn: number(value, "plate_kn"),
        fast_length_m: None,
        source: None,
    }
}

fn pattern(value: &Value) -> Pattern {
    let covers = value["covers"].as_array().unwrap().iter().map(|c| match c.as_str().unwrap() {
        "back" => Covered::Back,
        "walls" => Covered::Walls,
        other => panic!("covers {other}"),
    });
    Pattern {
        bolt: 0,
        length_m: number(value, "length_m"),
        outside_hole_m: number(value, "outside_hole_m"),
        ring_spacing_m: number(value, "ring_spacing_m"),
        spacing_m: number(value, "spacing_m"),
        covers: covers.collect(),
        lowest_collar_m: value["lowest_collar_m"].as_f64(),
        stagger: value["stagger"].as_bool().unwrap(),
        aim: Aim::Normal,
        row_at_m: None,
        offset_m: None,
        tension_kn: None,
    }
}

fn case(value: &Value) -> Case {
    Case {
        title: format!("reference case {}", value["case"]),
        north: "mine grid".into(),
        source: None,
        advance: Line { trend_deg: number(value, "trend_deg"), plunge_deg: number(value, "plunge_deg") },
        shape: shape(&value["section"]),
        round_length_m: 3.0,
        last_ring_from_face_m: None,
        unit_weight_kn_m3: number(value, "unit_weight_kn_m3"),
        joints: value["sets"].as_array().unwrap().iter().map(joint_set).collect(),
        limits: SizeLimits::default(),
        criteria: Criteria::of(2.0, 1.5),
        surface_support: Vec::new(),
        face_support: Vec::new(),
        face_bolts: Vec::new(),
        esr: None,
        dowel_shear: None,
        local: Vec::new(),
        bolts: vec![bolt(&value["bolt"])],
        patterns: vec![pattern(&value["pattern"])],
        installation: backhold::support::Installation::default(),
        site: backhold::case::Site::default(),
    }
}

/// Every reference case, in the order of the file.
pub fn cases() -> Vec<Case> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/cases.jsonl");
    let text = std::fs::read_to_string(path).unwrap();
    text.lines().map(|line| case(&serde_json::from_str(line).unwrap())).collect()
}

/// The triples that the reference kept of a case, as `A-B-C`, or `None` where it kept all.
pub fn triples(number: usize) -> Option<Vec<String>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/cases.jsonl");
    static LINES: std::sync::OnceLock<Vec<Value>> = std::sync::OnceLock::new();
    let lines = LINES.get_or_init(|| {
        let text = std::fs::read_to_string(path).unwrap();
        text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
    });
    let case = &lines[number];
    let names: Vec<&str> = case["sets"].as_array()?.iter().map(|s| text(s, "name")).collect();
    let triples = case["triples"].as_array()?;
    Some(
        triples
            .iter()
            .map(|t| {
                let set = |i: usize| names[t[i].as_u64().unwrap() as usize];
                format!("{}-{}-{}", set(0), set(1), set(2))
            })
            .collect(),
    )
}
