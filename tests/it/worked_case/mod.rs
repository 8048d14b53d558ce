//! The case of `tests/it/worked_example.rs`, which benches run too: an arched haulage with three sets
//! and one pattern. Invented data.

use backhold::case::{Case, Criteria, Joint, SizeLimits};
use backhold::opening::SectionShape;
use backhold::orientation::{Line, Plane};
use backhold::strength::MohrCoulomb;
use backhold::support::{Aim, Anchorage, Bolt, BoltKind, Covered, Pattern};

/// The case.
pub fn three_sets() -> Case {
    let set = |name: &str, dip_deg, dip_direction_deg, friction_deg, cohesion_kpa| {
        Joint::set(name, Plane { dip_deg, dip_direction_deg }, MohrCoulomb { friction_deg, cohesion_kpa })
    };
    Case {
        title: "worked example".into(),
        north: "mine grid".into(),
        source: None,
        advance: Line { trend_deg: 35.0, plunge_deg: 0.0 },
        shape: SectionShape::Arched { width_m: 5.0, wall_height_m: 3.2, rise_m: 1.6 },
        round_length_m: 3.6,
        last_ring_from_face_m: None,
        unit_weight_kn_m3: 27.0,
        joints: vec![
            set("A", 66.0, 48.0, 32.0, 0.0),
            set("B", 59.0, 170.0, 30.0, 0.0),
            set("C", 51.0, 288.0, 29.0, 5.0),
        ],
        limits: SizeLimits::default(),
        criteria: Criteria::of(2.0, 1.5),
        surface_support: Vec::new(),
        face_support: Vec::new(),
        face_bolts: Vec::new(),
        esr: None,
        dowel_shear: None,
        local: Vec::new(),
        bolts: vec![Bolt {
            name: "resin rebar 20 mm".into(),
            kind: BoltKind::Resin,
            steel_kn: 120.0,
            anchorage: Anchorage::Bonded { bond_kn_per_m: 180.0 },
            plate_kn: 100.0,
            fast_length_m: None,
            source: None,
        }],
        patterns: vec![Pattern {
            bolt: 0,
            length_m: 2.4,
            outside_hole_m: 0.1,
            ring_spacing_m: 1.2,
            spacing_m: 1.2,
            covers: vec![Covered::Back, Covered::Walls],
            lowest_collar_m: Some(1.5),
            stagger: true,
            aim: Aim::Normal,
            row_at_m: None,
            offset_m: None,
            tension_kn: None,
        }],
        installation: backhold::support::Installation::default(),
        site: backhold::case::Site::default(),
    }
}
