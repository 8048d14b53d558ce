//! Every notation of a plane returns from every other one over the whole sphere.
#![allow(clippy::unwrap_used)]

use backhold::orientation::{CoreAngles, Line, OrientedHole, Plane, ReferenceLine, Strike};
use proptest::prelude::*;

/// A round trip is a handful of operations on numbers up to 360, whose last bit is 6e-14.
const ROUND_TRIP_DEG: f64 = 1e-10;

fn azimuth_off(a: f64, b: f64) -> f64 {
    let off = (a - b).rem_euclid(360.0);
    off.min(360.0 - off)
}

fn same(a: Plane, b: Plane) -> bool {
    (a.dip_deg - b.dip_deg).abs() < ROUND_TRIP_DEG
        && azimuth_off(a.dip_direction_deg, b.dip_direction_deg) < ROUND_TRIP_DEG
}

/// Dips with the ends and their neighbourhood over-represented.
fn any_dip() -> impl Strategy<Value = f64> {
    prop_oneof![
        6 => 0.0..=90.0,
        1 => Just(0.0),
        1 => Just(90.0),
        1 => 1e-6..1e-3,
        1 => 89.999..90.0,
    ]
}

fn any_azimuth() -> impl Strategy<Value = f64> {
    prop_oneof![6 => 0.0..360.0, 1 => prop::sample::select(vec![0.0, 90.0, 180.0, 270.0])]
}

prop_compose! {
    fn any_plane()(dip_deg in any_dip(), dip_direction_deg in any_azimuth()) -> Plane {
        Plane { dip_deg, dip_direction_deg }
    }
}

prop_compose! {
    fn any_hole()(
        trend_deg in any_azimuth(),
        plunge_deg in -88.5..88.5,
        bottom in any::<bool>(),
    ) -> OrientedHole {
        OrientedHole {
            axis: Line { trend_deg, plunge_deg },
            reference: if bottom { ReferenceLine::Bottom } else { ReferenceLine::Top },
        }
    }
}

/// Turns `v` about the unit axis `k` by an angle, right-handed (Rodrigues).
fn turn(v: [f64; 3], k: [f64; 3], angle: f64) -> [f64; 3] {
    let (s, c) = angle.sin_cos();
    let cross = [k[1] * v[2] - k[2] * v[1], k[2] * v[0] - k[0] * v[2], k[0] * v[1] - k[1] * v[0]];
    let dot = k[0] * v[0] + k[1] * v[1] + k[2] * v[2];
    std::array::from_fn(|i| v[i] * c + cross[i] * s + k[i] * dot * (1.0 - c))
}

proptest! {
    #[test]
    fn strike_and_pole_return(plane in any_plane()) {
        prop_assert!(same(Strike::from_plane(plane).to_plane(), plane));
        prop_assert!(same(Plane::from_pole(plane.pole()), plane));
        let strike = Strike::from_plane(Plane::from_pole(plane.pole()));
        prop_assert!(same(strike.to_plane(), plane));
    }

    #[test]
    fn a_plane_returns_from_its_normal(plane in any_plane()) {
        let back = Plane::from_normal(&plane.upward_normal());
        if plane.dip_deg == 0.0 {
            // A level plane's normal cannot remember a dip direction.
            prop_assert!(back.dip_deg < ROUND_TRIP_DEG);
        } else {
            prop_assert!(same(back, plane), "{plane:?} {back:?}");
        }
    }

    #[test]
    fn a_plane_returns_from_core(plane in any_plane(), hole in any_hole()) {
        let angles = hole.core_angles(plane).unwrap();
        let back = hole.plane(angles).unwrap();
        prop_assert!((0.0..=90.0).contains(&angles.alpha_deg));
        prop_assert!((0.0..360.0).contains(&angles.beta_deg));
        // Compared as planes: near level and near vertical the numbers may differ while the
        // plane does not (dip 90 has two dip directions).
        prop_assert!(back.angle_to_deg(plane) < ROUND_TRIP_DEG, "{plane:?} {back:?}");
    }

    #[test]
    fn core_angles_return_from_the_plane(
        alpha_deg in 0.01..89.99,
        beta_deg in any_azimuth(),
        hole in any_hole(),
    ) {
        let plane = hole.plane(CoreAngles { alpha_deg, beta_deg }).unwrap();
        let back = hole.core_angles(plane).unwrap();
        prop_assert!((back.alpha_deg - alpha_deg).abs() < ROUND_TRIP_DEG);
        // Beta is an azimuth about the core: its error grows as the ellipse becomes a circle.
        let sine = alpha_deg.to_radians().cos();
        prop_assert!(azimuth_off(back.beta_deg, beta_deg) * sine < ROUND_TRIP_DEG);
    }

    /// The explicit rotations: a core that stands on its end in the map frame (axis down, the
    /// reference line to the north, so that beta is an azimuth and dip = 90 − alpha) is laid
    /// down by turning it about the east axis and then swung to the hole's trend.
    #[test]
    fn core_angles_agree_with_explicit_rotations(
        alpha_deg in 0.0..90.0f64,
        beta_deg in any_azimuth(),
        trend_deg in any_azimuth(),
        plunge_deg in -88.5..88.5f64,
    ) {
        let upright = Plane { dip_deg: 90.0 - alpha_deg, dip_direction_deg: beta_deg };
        let normal = upright.upward_normal();
        // Standing core, reference north; a turn about east lifts the down axis toward north
        // and the north side to the top.
        let lifted = turn(
            [normal.x, normal.y, normal.z],
            [1.0, 0.0, 0.0],
            (90.0 - plunge_deg).to_radians(),
        );
        let swung = turn(lifted, [0.0, 0.0, 1.0], -trend_deg.to_radians());
        let wanted = Plane::from_normal(&swung.into());
        let hole = OrientedHole {
            axis: Line { trend_deg, plunge_deg },
            reference: ReferenceLine::Top,
        };
        let found = hole.plane(CoreAngles { alpha_deg, beta_deg }).unwrap();
        prop_assert!(found.angle_to_deg(wanted) < ROUND_TRIP_DEG, "{found:?} {wanted:?}");
    }
}
