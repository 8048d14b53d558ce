//! Bolts as they stand: exactly the drawn ones give the design's numbers; any others are held against
//! a plain evaluator that looks at every bolt by itself.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use crate::worked_case;
use backhold::case::{AsBuilt, Case, SizeLimits};
use backhold::orientation::Vec3;
use backhold::stability::Mode;
use backhold::study::{Check, CheckedWedge, Verdict, as_built, forces_alone};
use backhold::support::{Anchorage, Layout, SetBolt, drawn_bolts};

const STRETCH_M: (f64, f64) = (100.0, 140.0);

/// Equal to rounding.
const SAME: f64 = 1e-9;

fn surveyed() -> Case {
    let mut case = worked_case::three_sets();
    case.patterns[0].offset_m = Some(0.37);
    case
}

fn drawn(case: &Case) -> Vec<SetBolt> {
    let opening = case.opening().unwrap();
    let mut all = Vec::new();
    for pattern in &case.patterns {
        let layout = Layout::new(pattern, &opening).unwrap();
        let offset_m = pattern.offset_m.unwrap_or(0.0);
        all.extend(
            drawn_bolts(pattern, &layout, offset_m, STRETCH_M.0, STRETCH_M.1).into_iter().map(|b| b.1),
        );
    }
    all
}

fn with(case: &Case, bolts: Vec<SetBolt>) -> Case {
    let mut built = case.clone();
    built.site.as_built = Some(AsBuilt::of_good(case, bolts, STRETCH_M));
    built
}

fn same(a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= SAME * a.abs().max(b.abs())
}

#[test]
fn exactly_the_drawn_bolts_give_the_numbers_of_the_design() {
    let mut cases = vec![surveyed()];
    // Uncapped, capped, plain rings, mechanical anchors, a fan, two patterns that repeat together.
    let mut capped = surveyed();
    capped.limits = SizeLimits { max_volume_m3: Some(1.5), max_trace_m: Some(4.0), ..SizeLimits::default() };
    cases.push(capped);
    let mut plain = surveyed();
    plain.patterns[0].stagger = false;
    cases.push(plain);
    let mut anchors = surveyed();
    anchors.bolts[0].anchorage = Anchorage::PointAnchored { anchor_kn: 90.0, anchor_length_m: 0.3 };
    cases.push(anchors);
    let mut two = surveyed();
    let mut second = two.patterns[0].clone();
    (second.ring_spacing_m, second.spacing_m, second.stagger) = (1.6, 1.9, false);
    second.offset_m = Some(0.9);
    two.patterns.push(second);
    cases.push(two);
    let mut compared = 0;
    for case in cases {
        let checked = forces_alone(&case).unwrap();
        let found = as_built(&with(&case, drawn(&case)), &checked).unwrap();
        for wedge in &found.wedges {
            let design = checked.wedges.iter().find(|w| w.wedge.id == wedge.wedge).unwrap();
            let (drawn, built) = (wedge.designed.as_ref().unwrap(), wedge.as_built.as_ref().unwrap());
            let least = design.found.fs_bolted.unwrap();
            if case.limits == SizeLimits::default() {
                assert!(same(drawn.least_fs, least), "{}: {} for {least}", wedge.wedge, drawn.least_fs);
            } else {
                // Caps leave room across the section: both are searches there, each to 0.1 %, and
                // this one begins where the other ended.
                let near = drawn.least_fs <= least * (1.0 + SAME) && drawn.least_fs >= 0.999 * least;
                assert!(near, "{}: {} for {least}", wedge.wedge, drawn.least_fs);
            }
            assert_eq!(drawn.least_fs, built.least_fs, "{}", wedge.wedge);

            compared += 1;
        }
        for ring in &found.rings {
            assert_eq!((ring.found, ring.missing, ring.off_place, ring.extra), (ring.designed, 0, 0, 0));
            assert_eq!(ring.as_designed, ring.as_built);
        }
        assert!(found.rings.len() >= 32);
    }
    assert!(compared >= 15, "{compared}");
}

#[test]
fn a_phase_that_the_case_does_not_say_is_fitted() {
    let case = surveyed();
    let bolts = drawn(&case);
    let mut free = case.clone();
    free.patterns[0].offset_m = None;
    let checked = forces_alone(&free).unwrap();
    let found = as_built(&with(&free, bolts), &checked).unwrap();
    assert!(found.phases[0].fitted);
    let off = (found.phases[0].offset_m - 0.37).rem_euclid(2.4);
    assert!(off.min(2.4 - off) < 1e-9, "{}", found.phases[0].offset_m);
    assert!(found.rings.iter().all(|r| r.found == r.designed && r.off_place == 0));
}

/// A factor of safety from every bolt by itself; falling and sliding on one or two joints.
pub fn plain_fs(case: &Case, wedge: &CheckedWedge, bolts: &[SetBolt], apex: Vec3) -> f64 {
    let motion = &wedge.wedge.stability.motion;
    let m = wedge.wedge.cone.inward;
    let (mut along_kn, mut pressed) = (0.0, motion.normal_kn);
    for bolt in bolts {
        let collar = Vec3::new(bolt.collar.point.x, bolt.chainage_m, bolt.collar.point.y);
        let d = bolt.collar.direction;
        // On the wedge's face: inside the pyramid, on a facet that the apex sees.
        if m.iter().any(|m| m.dot(&(collar - apex)) < 0.0) {
            continue;
        }
        let opening = case.opening().unwrap();
        let seen = opening.section.facets().iter().any(|f| {
            let off = bolt.collar.point - f.start;
            let along = off.dot(&f.tangent);
            off.dot(&f.normal).abs() < 1e-9
                && (-1e-9..=f.length_m + 1e-9).contains(&along)
                && f.normal.dot(&(backhold::opening::Vec2::new(apex.x, apex.z) - f.start)) > 0.0
        });
        if !seen {
            continue;
        }
        let reach = m.iter().filter(|m| m.dot(&d) < 0.0).map(|m| -m.dot(&(collar - apex)) / m.dot(&d));
        let head_m = reach.fold(f64::INFINITY, f64::min);
        let toe_m = bolt.length_in_hole_m - head_m;
        if toe_m < 0.0 || d.dot(&motion.direction) >= 0.0 {
            continue;
        }
        let kind = &case.bolts[bolt.kind];
        let Anchorage::Bonded { bond_kn_per_m } = kind.anchorage else { panic!("bonded bolts") };
        let kn = kind.steel_kn.min(bond_kn_per_m * toe_m).min(kind.plate_kn + bond_kn_per_m * head_m);
        // Parts of the pull on the joints in contact and against the movement.
        let (against, onto) = match motion.mode {
            Mode::Falling => (-d.dot(&motion.direction), [0.0; 3]),
            Mode::SlidingOnOne(i) => {
                let mut onto = [0.0; 3];
                onto[i] = -d.dot(&m[i]);
                (-d.dot(&motion.direction), onto)
            }
            Mode::SlidingOnTwo(i, j) => {
                // d = a (−mᵢ) + b (−mⱼ) + c ŝ
                let basis = nalgebra::Matrix3::from_columns(&[-m[i], -m[j], motion.direction]);
                let parts = basis.lu().solve(&d).unwrap();
                let mut onto = [0.0; 3];
                (onto[i], onto[j]) = (parts[0], parts[1]);
                (-parts[2], onto)
            }
            Mode::NoMotion => panic!("it moves"),
        };
        let tan = |i: usize| case.joints[wedge.wedge.sets[i]].strength.friction_deg.to_radians().tan();
        let gain: f64 = against + (0..3).map(|i| onto[i] * tan(i)).sum::<f64>();
        if gain > 0.0 {
            along_kn += kn * against;
            for i in 0..3 {
                pressed[i] += kn * onto[i];
            }
        }
    }
    let resist = |pressed: [f64; 3], along_kn: f64| {
        let mut sum = along_kn;
        for i in (0..3).filter(|&i| motion.normal_kn[i] > 0.0 && pressed[i] >= 0.0) {
            let strength = case.joints[wedge.wedge.sets[i]].strength;
            let cohesive_kn = strength.cohesion_kpa * wedge.wedge.shape.joints[i].area_m2;
            sum += cohesive_kn + pressed[i] * strength.friction_deg.to_radians().tan();
        }
        sum
    };
    resist(pressed, along_kn).max(resist(motion.normal_kn, 0.0)) / motion.driving_kn
}

/// A small generator of its own: the same on every machine.
pub struct Draw(pub u64);

impl Draw {
    pub fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

fn displaced(case: &Case, seed: u64) -> Vec<SetBolt> {
    displaced_but(case, seed, 0.15)
}

/// The drawn bolts off their place and askew, this share of them not there.
pub fn displaced_but(case: &Case, seed: u64, missing: f64) -> Vec<SetBolt> {
    let opening = case.opening().unwrap();
    let section = &opening.section;
    let mut draw = Draw(seed);
    let mut bolts = Vec::new();
    for mut bolt in drawn(case) {
        if draw.unit() < missing {
            continue;
        }
        bolt.chainage_m += 0.6 * (draw.unit() - 0.5);
        let place = section.at(bolt.collar.along_m + 0.6 * (draw.unit() - 0.5), 0.0);
        bolt.collar.along_m = place.along_m;
        bolt.collar.point = place.point;
        let lean = Vec3::new(draw.unit() - 0.5, draw.unit() - 0.5, draw.unit() - 0.5) * 0.5;
        bolt.collar.direction = (Vec3::new(place.normal.x, 0.0, place.normal.y) + lean).normalize();
        bolts.push(bolt);
    }
    bolts
}

#[test]
fn bolts_anywhere_are_held_against_a_plain_evaluator() {
    let case = surveyed();
    let checked: Check = forces_alone(&case).unwrap();
    let (mut sampled, mut lower) = (0, 0);
    for seed in 1..=6 {
        let bolts = displaced(&case, seed);
        let built = with(&case, bolts.clone());
        let found = as_built(&built, &checked).unwrap();
        for wedge in &found.wedges {
            let of = checked.wedges.iter().find(|w| w.wedge.id == wedge.wedge).unwrap();
            let placed = wedge.as_built.as_ref().unwrap();
            // No cap: one place across the section.
            let at = |s: f64| Vec3::new(placed.foot.apex.x, s, placed.foot.apex.y);
            let there = plain_fs(&case, of, &bolts, at(placed.chainage_m));
            assert!((there - placed.least_fs).abs() < 1e-6 * (1.0 + there), "{there} {}", placed.least_fs);
            let face = of.wedge.shape.openings.iter().flat_map(|f| &f.polygon).map(|p| p.y);
            let (low, high) = face.fold((f64::MAX, f64::MIN), |(l, h), s| (l.min(s), h.max(s)));
            let (from, to) = (STRETCH_M.0 - low, STRETCH_M.1 - high);
            let mut draw = Draw(seed ^ 0x5eed);
            let mut least = f64::INFINITY;
            for _ in 0..1500 {
                let fs = plain_fs(&case, of, &bolts, at(from + (to - from) * draw.unit()));
                assert!(fs >= placed.least_fs - 1e-6 * (1.0 + fs), "{fs} below {}", placed.least_fs);
                least = least.min(fs);
                sampled += 1;
            }
            lower += usize::from(placed.least_fs < wedge.designed.as_ref().unwrap().least_fs);
            // Samples come near: the search is not far below what is there.
            assert!(least <= placed.least_fs + 0.5 + 0.2 * placed.least_fs.abs(), "{least}");
        }
    }
    assert!(sampled >= 20_000 && lower >= 6, "{sampled} {lower}");
}

#[test]
fn missing_and_displaced_bolts_are_counted_ring_by_ring() {
    let case = surveyed();
    let checked = forces_alone(&case).unwrap();
    let mut bolts = drawn(&case);
    bolts.sort_by(|a, b| a.chainage_m.total_cmp(&b.chainage_m));
    let at_m = bolts[60].chainage_m;
    let here: Vec<usize> = (0..bolts.len()).filter(|&i| bolts[i].chainage_m == at_m).collect();
    let number = here.len();
    bolts[here[1]].chainage_m += 0.45; // off its place, within half the way to the next
    bolts.remove(here[0]);
    let found = as_built(&with(&case, bolts), &checked).unwrap();
    let ring = found.rings.iter().find(|r| (r.chainage_m - at_m).abs() < 1e-9).unwrap();
    assert_eq!((ring.designed, ring.found, ring.missing, ring.off_place), (number, number - 1, 1, 1));
    let others = found.rings.iter().filter(|r| (r.chainage_m - at_m).abs() > 1e-9);
    assert!(others.clone().all(|r| r.found == r.designed && r.missing == 0 && r.off_place == 0));
    // No bolts at all: every moving wedge is as bare.
    let none = as_built(&with(&case, Vec::new()), &checked).unwrap();
    for wedge in &none.wedges {
        let of = checked.wedges.iter().find(|w| w.wedge.id == wedge.wedge).unwrap();
        assert!(same(wedge.as_built.as_ref().unwrap().least_fs, of.found.fs_bare));
    }
    assert!(none.wedges.iter().any(|w| w.as_built_verdict() == Verdict::Short));
}

#[test]
fn a_stretch_shorter_than_a_wedge_judges_nothing() {
    let case = surveyed();
    let checked = forces_alone(&case).unwrap();
    let mut short = case.clone();
    short.site.as_built = Some(AsBuilt::of_good(&case, drawn(&case), (100.0, 100.2)));
    let found = as_built(&short, &checked).unwrap();
    assert!(found.wedges.iter().any(|w| w.as_built.is_none() && w.as_built_verdict() == Verdict::NotJudged));
}

#[test]
fn bolts_outside_the_stretch_are_counted_apart_and_a_bad_fit_is_known() {
    let case = surveyed();
    let checked = forces_alone(&case).unwrap();
    let mut bolts = drawn(&case);
    for m in [60.0, 61.3, 171.0] {
        let mut far = bolts[3];
        far.chainage_m = m;
        bolts.push(far);
    }
    let mut between = bolts[40];
    between.chainage_m += 0.6;
    between.collar.along_m += 0.61;
    bolts.push(between);
    let found = as_built(&with(&case, bolts), &checked).unwrap();
    assert_eq!(found.outside, 3);
    assert_eq!(found.rings.iter().map(|r| r.extra).sum::<usize>(), 1);
    let (first, last) = (found.rings.first().unwrap(), found.rings.last().unwrap());
    assert_eq!((first.extra, last.extra), (0, 0));
    assert!(found.phases.iter().all(|p| !p.fits_badly()));
    // A list of a few bolts of no pattern: what the rings were fitted to is no ring.
    let mut free = case.clone();
    free.patterns[0].offset_m = None;
    let some: Vec<SetBolt> = displaced(&case, 5).into_iter().step_by(40).collect();
    let checked = forces_alone(&free).unwrap();
    let found = as_built(&with(&free, some), &checked).unwrap();
    assert!(found.phases[0].fits_badly(), "{:?}", found.phases);
    assert!(found.phases[0].found < found.phases[0].drawn);
}
