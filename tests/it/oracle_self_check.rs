//! The test-side evaluator against a worked example, and against answers known by hand.
//!
//! The worked example's numbers come from a third, separate calculation (volumes by Qhull,
//! apexes by linear programming, 2,304 ring phases) and are compared to their printed digits.

use crate::oracle::*;

/// Half of the last printed digit, with room for the rounding of the print itself.
fn digits(places: i32) -> f64 {
    0.5001 * 10f64.powi(-places)
}

#[track_caller]
fn near(what: &str, got: f64, want: f64, tolerance: f64) {
    let same = got == want || (got - want).abs() <= tolerance;
    assert!(same, "{what}: {got}, wanted {want} within {tolerance}");
}

fn joint(dip_deg: f64, dip_direction_deg: f64, friction_deg: f64, cohesion_kpa: f64) -> Joint {
    Joint { dip_deg, dip_direction_deg, friction_deg, cohesion_kpa }
}

fn worked() -> Input {
    Input {
        section: arched(5.0, 3.2, 1.6),
        trend_deg: 35.0,
        plunge_deg: 0.0,
        unit_weight_kn_m3: 27.0,
        shaking: [0.0; 3],
        water: None,
        joints: vec![
            joint(66.0, 48.0, 32.0, 0.0),
            joint(59.0, 170.0, 30.0, 0.0),
            joint(51.0, 288.0, 29.0, 5.0),
        ],
        bolts: vec![Bolt { steel_kn: 120.0, plate_kn: 100.0, hold: Hold::Bond { bond_kn_per_m: 180.0 } }],
        patterns: vec![Pattern {
            bolt: 0,
            length_m: 2.4,
            outside_hole_m: 0.1,
            ring_spacing_m: 1.2,
            spacing_m: 1.2,
            covers: vec!["back".into(), "walls".into()],
            lowest_collar_m: 1.5,
            stagger: true,
            direction: Direction::Normal,
            offset_m: None,
        }],
    }
}

struct Row {
    pyramid: [u8; 3],
    mode: Mode,
    contact: &'static [usize],
    slide_deg: Option<[f64; 2]>,
    volume: f64,
    weight: f64,
    depth: f64,
    length: f64,
    opening: f64,
    traces: [f64; 3],
    bare: f64,
    bare_0: f64,
    least_median: Option<[f64; 2]>,
}

#[rustfmt::skip]
const TABLE: [Row; 5] = [
    Row { pyramid: [0, 0, 0], mode: Mode::NoMotion, contact: &[], slide_deg: None,
          volume: 8.5976, weight: 232.14, depth: 2.3552, length: 4.7133, opening: 10.9516,
          traces: [5.132, 5.033, 4.929], bare: f64::INFINITY, bare_0: f64::INFINITY, least_median: None },
    Row { pyramid: [0, 0, 1], mode: Mode::Sliding, contact: &[0, 1], slide_deg: Some([113.71, 42.73]),
          volume: 1.3410, weight: 36.21, depth: 1.0106, length: 3.5892, opening: 3.9809,
          traces: [2.093, 4.199, 3.816], bare: 1.0246, bare_0: 1.0246, least_median: Some([7.42, 13.98]) },
    Row { pyramid: [1, 0, 1], mode: Mode::Sliding, contact: &[1], slide_deg: Some([170.0, 59.0]),
          volume: 0.0014, weight: 0.04, depth: 0.0545, length: 0.6239, opening: 0.0881,
          traces: [0.550, 0.803, 1.144], bare: 0.3469, bare_0: 0.3469, least_median: Some([0.347, 0.347]) },
    Row { pyramid: [1, 1, 0], mode: Mode::Sliding, contact: &[2], slide_deg: Some([288.0, 51.0]),
          volume: 1.7199, weight: 46.44, depth: 1.0969, length: 3.8958, opening: 4.7678,
          traces: [2.998, 5.212, 4.142], bare: 0.9193, bare_0: 0.4489, least_median: Some([7.30, 7.66]) },
    Row { pyramid: [1, 1, 1], mode: Mode::Falling, contact: &[], slide_deg: None,
          volume: 0.8523, weight: 23.01, depth: 1.0285, length: 2.6684, opening: 2.8269,
          traces: [4.441, 3.236, 3.205], bare: 0.0, bare_0: 0.0, least_median: Some([5.07, 9.91]) },
];

#[test]
fn worked_example() {
    let input = worked();
    let mut compared = 0;
    for row in &TABLE {
        let p = row.pyramid;
        let (apex, _) = largest_apex(&input, [0, 1, 2], p).expect("removable");
        let w = wedge_at(&input, [0, 1, 2], p, apex);
        let e = fs_at(&input, [0, 1, 2], p, apex, 0.0);
        let what = |x: &str| format!("{p:?} {x}");
        assert!(w.finite && e.mode == row.mode && e.contact == row.contact, "{p:?} {e:?}");
        near(&what("volume"), w.volume_m3, row.volume, digits(4));
        near(&what("weight"), e.weight_kn, row.weight, digits(2));
        near(&what("depth"), w.depth_m, row.depth, digits(4));
        near(&what("length"), w.length_m, row.length, digits(4));
        near(&what("opening"), w.opening_area_m2, row.opening, digits(4));
        for i in 0..3 {
            near(&what("trace"), w.traces_m[i], row.traces[i], digits(3));
        }
        near(&what("closed"), length(w.area_sum_m2), 0.0, 1e-9);
        near(&what("bare"), e.fs_bare, row.bare, digits(4));
        near(&what("bare, c = 0"), e.fs_bare_no_cohesion, row.bare_0, digits(4));
        if let Some([trend, plunge]) = row.slide_deg {
            let s = e.slide_world.expect("slides");
            near(&what("trend"), s[0].atan2(s[1]).to_degrees().rem_euclid(360.0), trend, digits(2));
            near(&what("plunge"), (-s[2]).asin().to_degrees(), plunge, digits(2));
        }
        if let Some([least, median]) = row.least_median {
            let (l, m) = dense_least(&input, [0, 1, 2], p, apex, 2305);
            let places = if least < 1.0 { 3 } else { 2 };
            near(&what("least"), l, least, digits(places));
            near(&what("median"), m, median, digits(places));
        }
        compared += 1;
    }
    assert_eq!(compared, 5);
}

#[test]
fn other_pyramids_have_no_wedge() {
    let input = worked();
    for p in [[0, 1, 1], [1, 0, 0], [0, 1, 0]] {
        assert!(largest_apex(&input, [0, 1, 2], p).is_none(), "{p:?}");
    }
}

#[test]
fn sections() {
    // 2 facets of wall, 1 of floor, 44 chords; sagitta of 44 chords 0.922 mm, of 42 1.012 mm
    let s = arched(5.0, 3.2, 1.6);
    assert_eq!(s.len(), 47);
    assert_eq!(s[2 + 22], [0.0, 3.2 + 1.6]);
    let c = circular(4.0);
    // 2 (1 - cos(pi / n)) <= 0.001 from n = 99.3
    assert_eq!(c.len(), 100);
    near("crown", c[0][1], 4.0, 1e-12);
    near("floor", c[50][1], 0.0, 1e-12);
}

#[test]
fn collars_on_a_flat_section_by_hand() {
    let mut input = worked();
    input.section = flat(4.0, 3.0);
    input.patterns[0].spacing_m = 1.0;
    let all = lay_out(&input, &input.patterns[0]);
    // even: 0, 1, 2 (the corner, back), 3 (wall at v = 2) on each side, 4 is at v = 1: too low;
    // odd: 0.5, 1.5, 2.5 (wall at v = 2.5), 3.5 (wall at v = 1.5, the lowest)
    let list = |parity| {
        let mut x: Vec<_> = all.iter().filter(|c| c.parity == parity).map(|c| c.arc_m).collect();
        x.sort_by(f64::total_cmp);
        x
    };
    assert_eq!(list(0), [-3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0]);
    assert_eq!(list(1), [-3.5, -2.5, -1.5, -0.5, 0.5, 1.5, 2.5, 3.5]);
    for c in &all {
        let want = match c.arc_m {
            x if x.abs() <= 2.0 => ("back", [x, 3.0], [0.0, 0.0, 1.0]),
            x if x > 0.0 => ("right wall", [2.0, 5.0 - x], to_world(&input, [1.0, 0.0, 0.0])),
            x => ("left wall", [-2.0, 5.0 + x], to_world(&input, [-1.0, 0.0, 0.0])),
        };
        assert_eq!(c.surface, want.0, "{c:?}");
        near("u", c.u_m, want.1[0], 1e-12);
        near("v", c.v_m, want.1[1], 1e-12);
        near("direction", length(sub(c.direction_world, want.2)), 0.0, 1e-12);
    }
    // 0.9 mm past the corner is still the back's, 1.1 mm is the wall's; before it, the back's
    for (spacing, name) in [(2.0009, "back"), (2.0011, "right wall"), (1.9995, "back")] {
        input.patterns[0].spacing_m = spacing;
        let all = lay_out(&input, &input.patterns[0]);
        let c = all.iter().find(|c| (c.arc_m - spacing).abs() < 1e-9).expect("collar");
        assert_eq!(c.surface, name, "{c:?}");
        let left = all.iter().find(|c| (c.arc_m + spacing).abs() < 1e-9).expect("collar");
        assert_eq!(left.surface, name.replace("right", "left"), "{left:?}");
    }
}

#[test]
fn collars_on_an_arch() {
    let mut input = worked();
    let even = |i: &Input| lay_out(i, &i.patterns[0]).into_iter().find(|c| c.arc_m == 0.0).unwrap();
    let c = even(&input);
    assert_eq!(c.facets.len(), 2);
    near("crown goes straight up", c.direction_world[2], 1.0, 1e-12);
    // on an incline the normal leans with the section, vertical does not
    input.plunge_deg = 20.0;
    near("normal leans", even(&input).direction_world[2], 20f64.to_radians().cos(), 1e-12);
    input.patterns[0].direction = Direction::Vertical;
    near("vertical stands", even(&input).direction_world[2], 1.0, 1e-12);
    input.plunge_deg = 0.0;
    input.patterns[0].direction = Direction::Fan { u_m: 0.0, v_m: 2.0 };
    for c in lay_out(&input, &input.patterns[0]) {
        let d = to_uvw(&input, c.direction_world);
        near("from the fan's origin", d[0] * (c.v_m - 2.0) - d[1] * c.u_m, 0.0, 1e-12);
        assert!(d[0] * c.u_m + d[1] * (c.v_m - 2.0) > 0.0);
    }
}

/// Falling wedge in a flat back between three planes, no symmetry.
fn flat_back() -> Input {
    let mut input = worked();
    input.section = flat(6.0, 3.5);
    input.joints =
        vec![joint(61.0, 20.0, 30.0, 0.0), joint(48.0, 142.0, 30.0, 0.0), joint(70.0, 265.0, 30.0, 0.0)];
    input.patterns[0].covers = vec!["back".into()];
    input
}

/// On one flat surface all wedges of a pyramid are similar: V grows with the cube of any length.
#[test]
fn caps_on_a_flat_back_scale_by_the_cube() {
    let input = flat_back();
    let (sets, p) = ([0, 1, 2], [1, 1, 1]);
    let (apex, _) = largest_apex(&input, sets, p).expect("removable");
    let w = wedge_at(&input, sets, p, apex);
    near("one surface", w.volume_m3, w.opening_area_m2 * (apex[1] - 3.5) / 3.0, 1e-12);
    let mut ran = 0;
    for k in [0.35, 0.6, 0.9, 1.5] {
        let want = w.volume_m3 * f64::min(k, 1.0).powi(3);
        let mut traces = Caps::default();
        traces.traces_m[1] = Some(k * w.traces_m[1]);
        for caps in [
            traces,
            Caps { depth_m: Some(k * w.depth_m), ..Caps::default() },
            Caps { length_m: Some(k * w.length_m), ..Caps::default() },
            Caps { volume_m3: Some(k.powi(3) * w.volume_m3), ..Caps::default() },
        ] {
            let (at, v) = dense_largest(&input, sets, p, &caps, 60).expect("a wedge");
            near("capped volume", v, want, 1e-6 * want);
            assert!(caps.admit(&wedge_at(&input, sets, p, at)));
            ran += 1;
        }
    }
    assert_eq!(ran, 16);
}

#[test]
fn finer_grids_agree_under_caps_on_an_arch() {
    let input = worked();
    let caps = Caps {
        traces_m: [Some(2.6), Some(3.0), Some(2.9)],
        depth_m: Some(0.9),
        length_m: Some(3.0),
        volume_m3: None,
    };
    let mut ran = 0;
    for p in TABLE.iter().map(|r| r.pyramid) {
        let (_, coarse) = dense_largest(&input, [0, 1, 2], p, &caps, 60).expect("a wedge");
        let (_, fine) = dense_largest(&input, [0, 1, 2], p, &caps, 173).expect("a wedge");
        near("two grids", coarse, fine, 2e-4 * fine);
        ran += 1;
    }
    assert_eq!(ran, 5);
}

/// One vertical bolt under a falling wedge, by hand: the crossing, the three ends, the FS.
#[test]
fn one_bolt_by_hand() {
    let mut input = flat_back();
    input.patterns[0].spacing_m = 50.0; // one collar a ring, at the crown
    input.patterns[0].ring_spacing_m = 50.0;
    input.patterns[0].stagger = false;
    input.patterns[0].length_m = 4.1;
    let (sets, p) = ([0, 1, 2], [1, 1, 1]);
    let (apex, _) = largest_apex(&input, sets, p).expect("removable");
    let m = inward_normals(&input, sets, p);
    let e = fs_at(&input, sets, p, apex, 0.0);
    assert_eq!((e.mode, e.serving.len()), (Mode::Falling, 1));
    let s = &e.serving[0];
    // a roof of three planes over (0, 3.5, 0): the lowest crossing straight above
    let above = |i: usize| {
        let n = m[i];
        apex[1] + (n[0] * apex[0]) / n[1] - 3.5
    };
    let head = (0..3).map(above).fold(f64::INFINITY, f64::min);
    near("head", s.head_m, head, 1e-12);
    near("toe", s.toe_m, 4.0 - head, 1e-12);
    let want = 120f64.min(180.0 * (4.0 - head)).min(100.0 + 180.0 * head);
    near("capacity", s.capacity_kn, want, 1e-9);
    near("FS", e.fs_bolted, want / e.weight_kn, 1e-12);
    // an anchor that ends exactly one anchor length beyond holds; a little longer does not
    for (longer, kn) in [(-1e-6, 90.0), (1e-6, 0.0)] {
        let hold = Hold::Anchor { anchor_kn: 90.0, anchor_length_m: 4.0 - head + longer };
        input.bolts[0] = Bolt { steel_kn: 120.0, plate_kn: 100.0, hold };
        let e = fs_at(&input, sets, p, apex, 0.0);
        near("anchor", e.serving[0].capacity_kn, kn, 0.0);
    }
    // too short to cross: it does not serve
    input.patterns[0].length_m = 0.1 + head - 1e-6;
    assert!(fs_at(&input, sets, p, apex, 0.0).serving.is_empty());
}
