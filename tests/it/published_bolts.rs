//! Bolts against published values. Each check names its source, and has a twin with inputs of its
//! own whose expected value is worked here by plain arithmetic.
//!
//! B&B: Brady & Brown (2004), *Rock Mechanics for Underground Mining*, 3rd ed. H&H: Harrison &
//! Hudson (2000), *Engineering Rock Mechanics, Part 2*.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use backhold::orientation::Vec3;
use backhold::stability::{Loads, Mode, Motion, Stability};
use backhold::strength::MohrCoulomb;
use backhold::support::{Anchorage, Bolt, BoltKind, bolt_load_kn, bolts_needed, force_needed_kn};

/// A block on a plane that dips toward +x, between two steep joints that it leaves as it slides.
struct Slope {
    weight_kn: f64,
    dip_deg: f64,
    strength: MohrCoulomb,
    area_m2: f64,
    inward: [Vec3; 3],
}

impl Slope {
    fn new(weight_kn: f64, dip_deg: f64, friction_deg: f64, cohesion_kpa: f64, area_m2: f64) -> Self {
        let (sin, cos) = dip_deg.to_radians().sin_cos();
        // The second and third joint face down the slope: sliding opens them.
        let back = |y: f64| Vec3::new(0.9, y, 0.1).normalize();
        Self {
            weight_kn,
            dip_deg,
            strength: MohrCoulomb { friction_deg, cohesion_kpa },
            area_m2,
            inward: [Vec3::new(sin, 0.0, cos), back(0.4), back(-0.5)],
        }
    }

    /// Into the rock, against the slide, at `angle_deg` to the plane.
    fn bolt(&self, angle_deg: f64) -> Vec3 {
        let (sin, cos) = self.dip_deg.to_radians().sin_cos();
        let down_dip = Vec3::new(cos, 0.0, -sin);
        let (into, along) = angle_deg.to_radians().sin_cos();
        -down_dip * along - self.inward[0] * into
    }

    fn stability(&self, force_kn: &Vec3) -> Stability {
        let motion = Motion::of(&self.inward, force_kn);
        assert_eq!(motion.mode, Mode::SlidingOnOne(0));
        let none = MohrCoulomb { friction_deg: 0.0, cohesion_kpa: 0.0 };
        Stability::new(motion, self.inward, &[self.strength, none, none], &[self.area_m2, 1.0, 1.0])
    }

    fn weight(&self) -> Vec3 {
        Loads { weight_kn: self.weight_kn, hung_kn: 0.0 }.resultant_kn(&Vec3::z())
    }

    /// The bolt as resistance: called on by the movement.
    fn passive(&self, bolt: &Vec3, kn: f64) -> f64 {
        let stability = self.stability(&self.weight());
        stability.fs(&stability.effect(bolt).times(kn))
    }

    /// The bolt's tension as a load.
    fn active(&self, bolt: &Vec3, kn: f64) -> f64 {
        self.stability(&(self.weight() + bolt * kn)).fs_bare()
    }
}

/// R1: H&H A16.2, p. 268: the tension that a slope needs is least for a bolt at β to the plane where β
/// = φ. Searched for in steps of 0.01°, so half a step is all that it may differ; the least itself is
/// W·sin(ψ − φ), by putting β = φ into T·(cos β + sin β·tan φ) = W·(sin ψ − cos ψ·tan φ).
#[test]
fn r1_the_least_tension_is_at_the_friction_angle() {
    const STEP_DEG: f64 = 0.01;
    for (weight_kn, dip_deg, friction_deg) in [(1000.0, 42.0, 36.0), (640.0, 55.0, 31.0), (250.0, 71.0, 17.5)]
    {
        let slope = Slope::new(weight_kn, dip_deg, friction_deg, 0.0, 1.0);
        let stability = slope.stability(&slope.weight());
        let needed = |angle_deg: f64| {
            let one_kn = stability.gain_kn(&stability.effect(&slope.bolt(angle_deg)));
            force_needed_kn(&stability, 1.0) / one_kn
        };
        let best = (0..8900)
            .map(|i| STEP_DEG * f64::from(i))
            .min_by(|a, b| needed(*a).total_cmp(&needed(*b)))
            .unwrap();
        println!("R1: {best:.2}° for φ {friction_deg}°, {:.4} kN", needed(best));
        assert!((best - friction_deg).abs() <= 0.5 * STEP_DEG + 1e-9, "{best} {friction_deg}");
        let least = weight_kn * (dip_deg - friction_deg).to_radians().sin();
        assert!((needed(friction_deg) - least).abs() < 1e-9, "{} {least}", needed(friction_deg));
    }
}

/// R2: H&H A16.3, p. 270: 1,000 kN on a slope of 42°, φ 36°, a bolt at 15° to the plane. F = 1
/// needs T = 112.0 kN (read; printed to 0.1 kN, so half of that). Active and passive F are derived,
/// four digits, half of the last one.
#[test]
fn r2_a_bolt_on_a_slope() {
    let slope = Slope::new(1000.0, 42.0, 36.0, 0.0, 1.0);
    let bolt = slope.bolt(15.0);
    let printed = [
        (87.0, 0.9508, 0.9569),
        (97.0, 0.9700, 0.9742),
        (107.0, 0.9899, 0.9914),
        (117.0, 1.0104, 1.0087),
        (127.0, 1.0317, 1.0259),
        (137.0, 1.0538, 1.0432),
    ];
    for (kn, active, passive) in printed {
        assert!((slope.active(&bolt, kn) - active).abs() < 0.5001e-4, "{kn} {}", slope.active(&bolt, kn));
        assert!((slope.passive(&bolt, kn) - passive).abs() < 0.5001e-4, "{kn} {}", slope.passive(&bolt, kn));
    }
    // What F = 1 needs: the force along the slide over what one kN of the bolt gives.
    let stability = slope.stability(&slope.weight());
    let one_kn = stability.gain_kn(&stability.effect(&bolt));
    let needed = force_needed_kn(&stability, 1.0) / one_kn;
    println!("R2: {needed:.4} kN");
    assert!((needed - 112.0).abs() < 0.05, "{needed}");
    // Only there do the two agree.
    assert!((slope.active(&bolt, needed) - 1.0).abs() < 1e-12);
    assert!((slope.passive(&bolt, needed) - 1.0).abs() < 1e-12);
    // A bolt of half that load: two, and a little more, are needed.
    assert_eq!(bolts_needed(force_needed_kn(&stability, 1.0), one_kn * 0.5 * needed * 0.999), Some(3));
}

/// R2's twin: 640 kN on 55°, φ 31°, c 12 kPa over 9 m², bolts at 25° to the plane.
#[test]
fn r2_twin_with_cohesion() {
    let slope = Slope::new(640.0, 55.0, 31.0, 12.0, 9.0);
    let bolt = slope.bolt(25.0);
    let (sin, cos) = 55f64.to_radians().sin_cos();
    let (into, along) = 25f64.to_radians().sin_cos();
    let tan = 31f64.to_radians().tan();
    let (down, press, bond) = (640.0 * sin, 640.0 * cos, 12.0 * 9.0);
    for kn in [0.0, 55.0, 140.0, 260.0] {
        let resists = bond + (press + kn * into) * tan;
        let active = resists / (down - kn * along);
        let passive = (resists + kn * along) / down;
        assert!((slope.active(&bolt, kn) - active).abs() < 1e-12, "{kn}");
        assert!((slope.passive(&bolt, kn) - passive).abs() < 1e-12, "{kn}");
    }
    let stability = slope.stability(&slope.weight());
    let needed = force_needed_kn(&stability, 1.5) / stability.gain_kn(&stability.effect(&bolt));
    let by_hand = (1.5 * down - bond - press * tan) / (along + into * tan);
    assert!((needed - by_hand).abs() < 1e-9, "{needed} {by_hand}");

    // One that points down the slide carries nothing, however strong.
    assert!((slope.passive(&-bolt, 500.0) - slope.passive(&bolt, 0.0)).abs() < 1e-12);
}

/// R3: B&B eq. 11.8, p. 327: a slab of 1.5 m of 25 kN/m³ hangs from bolts 1.5 m apart: T = γDs² =
/// 84.375 kN, exact.
#[test]
fn r3_a_slab_hangs_from_its_bolts() {
    assert!((bolt_load_kn(25.0 * 1.5, 1.5, 1.5) - 84.375).abs() < 1e-12);
    // The same from the limit equilibrium: one bolt's share of the slab falls, and a bolt that
    // just carries it brings F = 1.
    let share = Loads::weight(1.5 * 1.5 * 1.5, 25.0);
    assert!((share.weight_kn - 84.375).abs() < 1e-12);
    let bolt = Bolt {
        name: "invented".into(),
        kind: BoltKind::Resin,
        steel_kn: 84.375,
        anchorage: Anchorage::Bonded { bond_kn_per_m: 200.0 },
        plate_kn: 90.0,
        fast_length_m: None,
        source: None,
    };
    let hung = |share: Loads, direction: &Vec3, kn: f64| {
        // Straight down lies well inside the cone of three joints that meet above.
        let inward = [(1.0, 0.0), (-0.5, 0.9), (-0.5, -0.9)].map(|(x, y)| Vec3::new(x, y, -0.8).normalize());
        let motion = Motion::of(&inward, &share.resultant_kn(&Vec3::z()));
        assert_eq!(motion.mode, Mode::Falling);
        let rock = MohrCoulomb { friction_deg: 35.0, cohesion_kpa: 20.0 };
        let stability = Stability::new(motion, inward, &[rock; 3], &[2.0; 3]);
        assert!(stability.fs_bare() == 0.0);
        stability.fs(&stability.effect(direction).times(kn))
    };
    let capacity = bolt.capacity(1.5, 0.9).kn;
    assert!((hung(share, &Vec3::z(), capacity) - 1.0).abs() < 1e-12);

    // The twin: 1.1 m of 26 kN/m³, rings 1.2 m apart, 1.8 m across, bolts 20° off the vertical.
    let load = 26.0 * 1.1 * 1.2 * 1.8;
    assert!((bolt_load_kn(26.0 * 1.1, 1.2, 1.8) - load).abs() < 1e-12);
    let off = 20f64.to_radians();
    let direction = Vec3::new(off.sin(), 0.0, off.cos());
    let toe = 200.0 * 0.35; // 0.35 m beyond the slab: less than steel or head
    assert!((bolt.capacity(1.1 / off.cos(), 0.35).kn - toe).abs() < 1e-12);
    let fs = hung(Loads::weight(1.1 * 1.2 * 1.8, 26.0), &direction, toe);
    assert!((fs - toe * off.cos() / load).abs() < 1e-12);
}
