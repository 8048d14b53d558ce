//! A drive typed in code, without any file. Every number is invented.

use std::error::Error;

use backhold::{
    Bolt, BoltKind, Case, Criteria, Joint, Line, MohrCoulomb, Pattern, Plane, SectionShape, check,
};

fn set(name: &str, dip_deg: f64, dip_direction_deg: f64, friction_deg: f64) -> Joint {
    Joint::set(name, Plane { dip_deg, dip_direction_deg }, MohrCoulomb { friction_deg, cohesion_kpa: 0.0 })
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut case = Case::bare(
        "heading 12 (invented)",
        Line { trend_deg: 35.0, plunge_deg: 0.0 },
        SectionShape::Arched { width_m: 5.0, wall_height_m: 3.2, rise_m: 1.6 },
        3.6,
        27.0,
        Criteria::of(2.0, 1.5),
    );
    case.joints = vec![set("A", 66.0, 48.0, 32.0), set("B", 59.0, 170.0, 30.0), set("C", 51.0, 288.0, 29.0)];
    case.bolts = vec![Bolt::bonded("rebar (invented)", BoltKind::Resin, 120.0, 180.0, 100.0)];
    case.patterns = vec![Pattern { stagger: true, ..Pattern::of_back(0, 2.4, 1.2, 1.2).down_walls(1.5) }];
    for found in check(&case)?.check.wedges {
        let (wedge, verdict) = (&found.wedge, found.decided.verdict);
        println!("{:<10} {:>8.3} m³  {}", wedge.id, wedge.shape.volume_m3, verdict.name());
    }
    Ok(())
}
