//! Random cases from recorded seeds, and the same cases in the words of the plain evaluator. All
//! data is invented.
#![allow(clippy::unwrap_used)] // a helper of tests

use backhold::case::{Case, Criteria, Joint, SizeLimits};
use backhold::opening::{SectionShape, Vec2};
use backhold::orientation::{Line, Plane};
use backhold::stability::{HungSize, WaterModel};
use backhold::strength::MohrCoulomb;
use backhold::study::forces_alone;
use backhold::support::{Aim, Anchorage, Bolt, BoltKind, Covered, Pattern, SurfaceKind, SurfaceSupport};

use crate::oracle;

/// Splitmix64 (Steele, Lea & Flood 2014): the same numbers on every machine from one seed.
pub struct Rng(u64);

impl Rng {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Even between two bounds.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// 0 to n − 1.
    pub fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    pub fn chance(&mut self, share: f64) -> bool {
        self.between(0.0, 1.0) < share
    }
}

pub fn set(name: &str, dip_deg: f64, dip_direction_deg: f64, friction_deg: f64, cohesion_kpa: f64) -> Joint {
    Joint::set(name, Plane { dip_deg, dip_direction_deg }, MohrCoulomb { friction_deg, cohesion_kpa })
}

/// A case without limits, bolts or patterns.
pub fn bare(shape: SectionShape, advance: Line, joints: Vec<Joint>) -> Case {
    Case {
        title: "invented".into(),
        north: "mine grid".into(),
        source: None,
        advance,
        shape,
        round_length_m: 3.0,
        last_ring_from_face_m: None,
        unit_weight_kn_m3: 27.0,
        joints,
        limits: SizeLimits::default(),
        criteria: Criteria::of(2.0, 1.5),
        surface_support: Vec::new(),
        face_support: Vec::new(),
        face_bolts: Vec::new(),
        esr: None,
        dowel_shear: None,
        local: Vec::new(),
        bolts: Vec::new(),
        patterns: Vec::new(),
        installation: backhold::support::Installation::default(),
        site: backhold::case::Site::default(),
    }
}

/// Three or four sets, every two at least 15° apart: nearer ones have tests of their own.
pub fn sets(rng: &mut Rng, count: usize, cohesion: bool) -> Vec<Joint> {
    let mut sets: Vec<Joint> = Vec::new();
    while sets.len() < count {
        let plane = Plane { dip_deg: rng.between(10.0, 90.0), dip_direction_deg: rng.between(0.0, 360.0) };
        if sets.iter().all(|s| s.plane.angle_to_deg(plane) > 15.0) {
            let name = ["A", "B", "C", "D", "E"][sets.len()];
            let cohesion_kpa = if cohesion { rng.between(0.0, 8.0) } else { 0.0 };
            sets.push(set(
                name,
                plane.dip_deg,
                plane.dip_direction_deg,
                rng.between(20.0, 42.0),
                cohesion_kpa,
            ));
        }
    }
    sets
}

/// A flat, arched or circular section, or a random convex outline: triangles, trapezoids, and
/// polygons of five to nine corners.
pub fn shape(rng: &mut Rng) -> SectionShape {
    let width_m = rng.between(2.5, 7.0);
    match rng.below(10) {
        0..3 => SectionShape::Flat { width_m, height_m: rng.between(2.5, 6.0) },
        3..5 => SectionShape::Arched {
            width_m,
            wall_height_m: rng.between(1.0, 4.0),
            rise_m: width_m * rng.between(0.1, 0.5),
        },
        5 => SectionShape::Circular { diameter_m: rng.between(2.0, 6.0) },
        6 => {
            let top = rng.between(-0.5, 0.5) * width_m;
            outline(&[(-0.5 * width_m, 0.0), (0.5 * width_m, 0.0), (top, rng.between(2.0, 5.0))])
        }
        7 => {
            let height = rng.between(2.0, 5.0);
            let (left, right) = (rng.between(-0.6, -0.1) * width_m, rng.between(0.1, 0.6) * width_m);
            outline(&[(-0.5 * width_m, 0.0), (0.5 * width_m, 0.0), (right, height), (left, height)])
        }
        _ => {
            // Corners on an ellipse, one in each of even sectors: convex whatever they are.
            let corners = 5 + rng.below(5);
            let (a, b) = (0.5 * width_m, rng.between(1.2, 3.0));
            let points: Vec<(f64, f64)> = (0..corners)
                .map(|i| {
                    let turn = std::f64::consts::TAU * (i as f64 + rng.between(0.1, 0.9)) / corners as f64;
                    (a * turn.cos(), b * turn.sin())
                })
                .collect();
            outline(&points)
        }
    }
}

pub fn outline(points: &[(f64, f64)]) -> SectionShape {
    SectionShape::Outline { points: points.iter().map(|&(u, v)| Vec2::new(u, v)).collect() }
}

/// A level, gently inclined or steep drive.
pub fn advance(rng: &mut Rng) -> Line {
    let plunge_deg = match rng.below(4) {
        0 => 0.0,
        1 | 2 => rng.between(-15.0, 15.0),
        _ => rng.between(-60.0, 60.0),
    };
    Line { trend_deg: rng.between(0.0, 360.0), plunge_deg }
}

/// A bonded or a mechanical bolt.
pub fn bolt(rng: &mut Rng, mechanical: bool) -> Bolt {
    let plate_kn = if rng.chance(0.2) { 0.0 } else { rng.between(30.0, 120.0) };
    let anchorage = if mechanical {
        Anchorage::PointAnchored {
            anchor_kn: rng.between(40.0, 120.0),
            anchor_length_m: rng.between(0.1, 0.5),
        }
    } else {
        Anchorage::Bonded { bond_kn_per_m: rng.between(30.0, 250.0) }
    };
    Bolt {
        name: "invented".into(),
        kind: if mechanical { BoltKind::Mechanical } else { BoltKind::Resin },
        steel_kn: rng.between(60.0, 200.0),
        anchorage,
        plate_kn,
        fast_length_m: None,
        source: None,
    }
}

/// A pattern over back and walls, or back alone, with whole decimetres between rings.
pub fn pattern(rng: &mut Rng, bolt: usize, fan_from: Option<(f64, f64)>) -> Pattern {
    Pattern {
        bolt,
        length_m: rng.between(1.2, 4.0),
        outside_hole_m: rng.between(0.0, 0.15),
        ring_spacing_m: (rng.between(0.8, 2.4) * 10.0).round() / 10.0,
        spacing_m: rng.between(0.7, 2.0),
        covers: if rng.chance(0.7) { vec![Covered::Back, Covered::Walls] } else { vec![Covered::Back] },
        lowest_collar_m: Some(rng.between(0.3, 1.5)),
        stagger: rng.chance(0.5),
        aim: fan_from.map_or(Aim::Normal, |(u, v)| Aim::Fan { origin: Vec2::new(u, v) }),
        row_at_m: None,
        offset_m: None,
        tension_kn: None,
    }
}

fn ccw_area(points: &[[f64; 2]]) -> f64 {
    let n = points.len();
    (0..n).map(|i| points[i][0] * points[(i + 1) % n][1] - points[(i + 1) % n][0] * points[i][1]).sum()
}

/// The outline, counter-clockwise, moved to the middle of its floor: facets that fall more than
/// 30° below level, lowest v.
fn outline_section(points: &[Vec2]) -> Vec<[f64; 2]> {
    let mut section: Vec<[f64; 2]> = points.iter().map(|p| [p.x, p.y]).collect();
    if ccw_area(&section) < 0.0 {
        section.reverse();
    }
    let n = section.len();
    let mut us: Vec<f64> = Vec::new();
    for j in 0..n {
        if oracle::section::normal(&section, j)[1] < -0.5 {
            us.extend([section[j][0], section[(j + 1) % n][0]]);
        }
    }
    if us.is_empty() {
        us.extend(section.iter().map(|p| p[0]));
    }
    let (low, high) = us.iter().fold((f64::MAX, f64::MIN), |x, &u| (x.0.min(u), x.1.max(u)));
    let floor = section.iter().map(|p| p[1]).fold(f64::MAX, f64::min);
    section.iter().map(|p| [p[0] - 0.5 * (low + high), p[1] - floor]).collect()
}

/// Covered surfaces as the plain evaluator names them.
pub fn covered_names(covers: &[Covered]) -> Vec<String> {
    let name = |c: &Covered| match c {
        Covered::Back => "back",
        Covered::Walls => "walls",
        Covered::LeftWall => "left wall",
        Covered::RightWall => "right wall",
        Covered::Face => "face",
    };
    covers.iter().map(|c| name(c).to_owned()).collect()
}

/// What a case's shaking towards a given azimuth adds to unit weight: east, north, up.
fn pushed(case: &Case) -> [f64; 3] {
    case.site.shaking.as_ref().map_or([0.0; 3], |shaking| {
        let (sin, cos) = shaking.trend_deg.unwrap().to_radians().sin_cos();
        [shaking.horizontal * sin, shaking.horizontal * cos, -shaking.vertical]
    })
}

/// The case as the plain evaluator takes it.
pub fn oracle_input(case: &Case) -> oracle::Input {
    let section = match &case.shape {
        SectionShape::Flat { width_m, height_m } => oracle::flat(*width_m, *height_m),
        SectionShape::Arched { width_m, wall_height_m, rise_m } => {
            oracle::arched(*width_m, *wall_height_m, *rise_m)
        }
        SectionShape::Circular { diameter_m } => oracle::circular(*diameter_m),
        SectionShape::Outline { points } => outline_section(points),
        SectionShape::Scan(scan) => scan.outline.iter().map(|p| [p.x, p.y]).collect(),
    };
    let joint = |s: &Joint| oracle::Joint {
        dip_deg: s.plane.dip_deg,
        dip_direction_deg: s.plane.dip_direction_deg,
        friction_deg: s.strength.friction_deg,
        cohesion_kpa: s.strength.cohesion_kpa,
    };
    let bolt = |b: &Bolt| oracle::Bolt {
        steel_kn: b.steel_kn,
        plate_kn: b.plate_kn,
        hold: match b.anchorage {
            Anchorage::Bonded { bond_kn_per_m } => oracle::Hold::Bond { bond_kn_per_m },
            Anchorage::PointAnchored { anchor_kn, anchor_length_m } => {
                oracle::Hold::Anchor { anchor_kn, anchor_length_m }
            }
            Anchorage::BondedAtToe { .. } => unreachable!("no random case is young"),
        },
    };
    let pattern = |p: &Pattern| oracle::Pattern {
        bolt: p.bolt,
        length_m: p.length_m,
        outside_hole_m: p.outside_hole_m,
        ring_spacing_m: p.ring_spacing_m,
        spacing_m: p.spacing_m,
        covers: covered_names(&p.covers),
        lowest_collar_m: p.lowest_collar_m.unwrap_or(f64::NEG_INFINITY),
        stagger: p.stagger,
        direction: match p.aim {
            Aim::Normal => oracle::Direction::Normal,
            Aim::Vertical => oracle::Direction::Vertical,
            Aim::Fan { origin } => oracle::Direction::Fan { u_m: origin.x, v_m: origin.y },
            #[allow(clippy::panic)] // a helper of tests may
            Aim::Boom(_) => panic!("random cases have no boom"),
        },
        offset_m: p.offset_m,
    };
    oracle::Input {
        section,
        trend_deg: case.advance.trend_deg,
        plunge_deg: case.advance.plunge_deg,
        unit_weight_kn_m3: case.unit_weight_kn_m3,
        shaking: pushed(case),
        water: case.site.water.as_ref().map(|water| oracle::Water {
            unit_kn_m3: water.unit_weight_kn_m3,
            kind: match water.model {
                WaterModel::Pressure { kpa } => oracle::water::Kind::Even { kpa },
                WaterModel::ApexHead { head_m } => oracle::water::Kind::ApexHead { head_m },
                WaterModel::HeadPerMetre { m_per_m } => oracle::water::Kind::HeadPerMetre { m_per_m },
                WaterModel::Table { level_m } => oracle::water::Kind::Table { level_m },
            },
            on: (0..case.joints.len()).map(|joint| water.acts_on(joint)).collect(),
        }),
        joints: case.joints.iter().map(joint).collect(),
        bolts: case.bolts.iter().map(bolt).collect(),
        patterns: case.patterns.iter().map(pattern).collect(),
    }
}

/// A wedge's pyramid as digits.
pub fn digits(pyramid: backhold::wedge::JointPyramid) -> [u8; 3] {
    pyramid.lower.map(u8::from)
}

/// The caps of a case on one triple.
pub fn caps(case: &Case, sets: [usize; 3]) -> oracle::Caps {
    oracle::Caps {
        traces_m: sets.map(|s| case.joints[s].max_trace_m.or(case.limits.max_trace_m)),
        depth_m: case.limits.max_depth_m,
        length_m: case.limits.max_length_m,
        volume_m3: case.limits.max_volume_m3,
    }
}

/// How many caps are set to what: single ones, and all together, as shares of the measures of one
/// wedge of the bare case so that they bind.
pub fn cap_to(rng: &mut Rng, case: &mut Case, wedge: &backhold::study::CheckedWedge) {
    let mut share = |low: f64| rng.between(low, 1.1);
    let traces = [0, 1, 2].map(|i| wedge.wedge.shape.joints[i].trace_m * share(0.25));
    let depth_m = wedge.wedge.shape.depth_m * share(0.25);
    let length_m = wedge.wedge.shape.length_m * share(0.25);
    let volume_m3 = wedge.wedge.shape.volume_m3 * share(0.05);
    match rng.below(8) {
        0 => {
            let i = rng.below(3);
            case.joints[wedge.wedge.sets[i]].max_trace_m = Some(traces[i]);
        }
        1 => {
            for (set, trace_m) in wedge.wedge.sets.into_iter().zip(traces) {
                case.joints[set].max_trace_m = Some(trace_m);
            }
        }
        2 => case.limits.max_trace_m = Some(traces[rng.below(3)]),
        3 => case.limits.max_depth_m = Some(depth_m),
        4 => case.limits.max_length_m = Some(length_m),
        5 => case.limits.max_volume_m3 = Some(volume_m3),
        6 => {
            case.limits.max_trace_m = Some(traces[rng.below(3)]);
            case.limits.max_depth_m = Some(depth_m);
            case.limits.max_length_m = Some(length_m);
            case.limits.max_volume_m3 = Some(volume_m3);
        }
        _ => {
            for (set, trace_m) in wedge.wedge.sets.into_iter().zip(traces) {
                case.joints[set].max_trace_m = Some(trace_m);
            }
            case.limits.max_depth_m = Some(depth_m);
            case.limits.max_length_m = Some(length_m);
        }
    }
}

/// n, q75, q99 and the greatest of some figures.
pub fn figures(name: &str, values: &mut [f64]) -> String {
    values.sort_by(f64::total_cmp);
    let quantile = |q: f64| values[((values.len() - 1) as f64 * q).round() as usize];
    if values.is_empty() {
        return format!("{name}: n 0");
    }
    format!(
        "{name}: n {} q75 {:.1e} q99 {:.1e} max {:.1e}",
        values.len(),
        quantile(0.75),
        quantile(0.99),
        quantile(1.0)
    )
}

/// A screen over back and walls, down to a height.
pub fn mesh(bay_kn: f64, lowest_m: f64) -> SurfaceSupport {
    SurfaceSupport {
        name: "mesh (invented)".into(),
        kind: SurfaceKind::Screen { bay_kn },
        covers: vec![Covered::Back, Covered::Walls],
        lowest_m: Some(lowest_m),
        source: None,
    }
}

/// What hangs somewhere in a random case.
fn support(rng: &mut Rng) -> SurfaceSupport {
    let bay_kn = rng.between(3.0, 60.0);
    let kind = match rng.below(6) {
        0..3 => SurfaceKind::Screen { bay_kn },
        3 => SurfaceKind::Strap { bay_kn },
        _ => SurfaceKind::Shotcrete {
            thickness_m: rng.between(0.03, 0.1),
            shear_strength_kpa: rng.between(300.0, 2000.0),
            adhesion_kpa: rng.between(50.0, 600.0),
            adhesion_width_m: rng.between(0.02, 0.05),
        },
    };
    let covers = match rng.below(6) {
        0 => vec![Covered::Back],
        1 => vec![Covered::Back, Covered::LeftWall],
        2 => vec![Covered::Walls],
        _ => vec![Covered::Back, Covered::Walls],
    };
    let lowest_m =
        covers.iter().any(|c| c.is_wall()).then(|| if rng.chance(0.5) { 0.0 } else { rng.between(0.0, 1.5) });
    SurfaceSupport { name: "invented".into(), kind, covers, lowest_m, source: None }
}

/// A random case of every kind: caps, one or two patterns, surface support or none, collars off their place
/// or not, what is for the bar and what is judged; every tenth has five sets. `None` where it cannot be laid
/// out or nothing daylights.
pub fn random_whole_case(rng: &mut Rng, number: usize) -> Option<Case> {
    let count = if number % 10 == 9 { 5 } else { 3 + usize::from(rng.chance(0.15)) };
    let cohesion = rng.chance(0.7);
    let mut case = bare(shape(rng), advance(rng), sets(rng, count, cohesion));
    let free = forces_alone(&case).ok()?;
    if free.wedges.is_empty() {
        return None;
    }
    if rng.chance(0.75) {
        let model = free.wedges[rng.below(free.wedges.len())].clone();
        cap_to(rng, &mut case, &model);
    }
    let patterns = if rng.chance(0.75) { 1 } else { 2 };
    let surveyed = rng.chance(0.2);
    for k in 0..patterns {
        let mechanical = rng.chance(0.2);
        case.bolts.push(bolt(rng, mechanical));
        let fan = rng.chance(0.15).then(|| (rng.between(-0.3, 0.3), rng.between(0.8, 1.5)));
        let mut one = pattern(rng, k, fan);
        if surveyed {
            one.offset_m = Some(rng.between(0.0, 2.0));
        }
        case.patterns.push(one);
    }
    if !number.is_multiple_of(3) {
        let layers = 1 + usize::from(rng.chance(0.2));
        case.surface_support = (0..layers).map(|_| support(rng)).collect();
    }
    let tolerance_m = match rng.below(4) {
        0 => Some(0.0),
        1 => None,
        2 => Some(0.1),
        _ => Some(rng.between(0.01, 0.3)),
    };
    case.installation.collar_tolerance_m = tolerance_m;
    case.criteria.min_fs_falling = rng.between(1.1, 2.5);
    case.criteria.min_fs_sliding = rng.between(1.05, 1.8);
    if rng.chance(0.3) {
        case.criteria.scaling_up_to_m3 = Some(rng.between(0.002, 0.5));
    }
    if rng.chance(0.2) {
        case.criteria.judged_down_to_m = rng.between(0.2, 2.0);
    }
    forces_alone(&case).is_ok().then_some(case)
}

/// Left and right of section, patterns, surface support and hung loads change places.
pub fn swap_sides(case: &mut Case) {
    if let SectionShape::Outline { points } = &mut case.shape {
        for point in points {
            point.x = -point.x;
        }
    }
    for pattern in &mut case.patterns {
        match &mut pattern.aim {
            Aim::Fan { origin } => origin.x = -origin.x,
            Aim::Boom(boom) => boom.pivot.x = -boom.pivot.x,
            Aim::Normal | Aim::Vertical => {}
        }
    }
    let of_patterns = case.patterns.iter_mut().map(|p| &mut p.covers);
    for covers in of_patterns.chain(case.surface_support.iter_mut().map(|s| &mut s.covers)) {
        for covered in covers {
            *covered = match *covered {
                Covered::LeftWall => Covered::RightWall,
                Covered::RightWall => Covered::LeftWall,
                other => other,
            };
        }
    }
    for load in &mut case.site.hung_loads {
        load.arc_m = -load.arc_m;
        if let HungSize::AtPlace { chainage_m, .. } = &mut load.size {
            *chainage_m = chainage_m.map(|m| -m);
        }
    }
}
