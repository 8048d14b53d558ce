//! Water through the studies that vary a case: `turn`, `chance`, `fit`, a stretch as built, loads that hang, structures.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use crate::acting::{parsed, read, verdicts, wedge, wet};
use crate::judgement::wall_drive;
use backhold::case::{AsBuilt, Case, Heading, Scatter};
use backhold::stability::{HungLoad, HungSize, Mode, WaterModel};
use backhold::study::chance::{ChanceAsk, Spread, chance, drawn_wedges, pyramid_id};
use backhold::study::{Check, Steps, Verdict, as_built, check, fit, lacks, margin, turn};
use backhold::support::{Layout, drawn_bolts};

const WATER: WaterModel = WaterModel::HeadPerMetre { m_per_m: 0.8 };

const BOLTED: &str = r#"
[[bolt]]
name = "rebar"
kind = "resin"
steel_kn = 120.0
bond_kn_per_m = 200.0
plate_kn = 90.0
[[pattern]]
bolt = "rebar"
length_m = 2.4
outside_hole_m = 0.1
ring_spacing_m = 1.2
spacing_m = 1.2
covers = ["back", "walls"]
lowest_collar_m = 1.0
offset_m = 0.4
"#;

/// The drive with a wedge in its right wall that slides on one joint.
fn drive() -> Case {
    let mut case = parsed(&wall_drive(1.0, 0.4, BOLTED));
    case.installation.collar_tolerance_m = Some(0.0);
    case
}

fn order(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Held => 2,
        Verdict::NotJudged => 1,
        Verdict::Short => 0,
    }
}

/// Without cohesion a pressure never raises the bare factor of what slides on the one joint that it presses on.
fn never_better(dry: &Check, wet: &Check) -> usize {
    let mut compared = 0;
    for a in dry.wedges.iter().filter(|w| matches!(w.wedge.stability.motion.mode, Mode::SlidingOnOne(_))) {
        let b = wedge(wet, &a.wedge.id);
        assert!(b.found.fs_bare <= a.found.fs_bare * (1.0 + 1e-12), "{}", a.wedge.id);
        assert!(order(b.decided.verdict) <= order(a.decided.verdict), "{}", a.wedge.id);
        compared += 1;
    }
    compared
}

/// Water on the joint that the wall's wedge slides on alone: on the others it might press the wedge onto it.
fn on_a(case: &Case) -> Case {
    let mut case = wet(case, WATER);
    case.site.water.as_mut().unwrap().joints = Some(vec![0]);
    case
}

#[test]
fn turned_into_its_own_direction_a_wet_case_is_its_check() {
    let case = on_a(&drive());
    let whole = check(&case).unwrap();
    let own = Heading { name: None, advance: case.advance, length_m: None };
    let found = turn(&case, &[own]).unwrap();
    assert_eq!((&found.others[0].lacks, found.others[0].margin()), (&lacks(&whole), margin(&whole)));
    assert!(never_better(&verdicts(&drive()), &whole.check) > 0);
}

#[test]
fn wet_chances_without_scatter_are_the_check() {
    let case = wet(&drive(), WATER);
    let checked = verdicts(&case);
    let ask = ChanceAsk { from: 0, to: 3, seed: 1, spread: Spread::Plain, half_width: None, judged: 0 };
    let drawn = drawn_wedges(&case, &Scatter::default(), &ask, 0, false).unwrap();
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * b.abs().max(1.0);
    let moving = checked.wedges.iter().filter(|w| w.wedge.stability.motion.mode != Mode::NoMotion).count();
    assert!(drawn.len() == moving && moving > 1, "{} {moving}", drawn.len());
    for one in &drawn {
        let of_check = wedge(&checked, &pyramid_id(&case, one.pyramid));
        assert!(of_check.wedge.stability.water().is_some());
        assert!(near(one.fs_bare, of_check.found.fs_bare), "{one:?}");
        assert!(near(one.fs_bolted.unwrap(), of_check.found.fs_bolted.unwrap()), "{one:?}");
    }
    // Short bare in all draws or in none, as the check has it.
    let tally = chance(&case, &Scatter::default(), &ask, &Steps::default()).unwrap().tally;
    for (at, of) in tally.pyramids.iter().enumerate().filter(|(_, of)| of.moves > 0) {
        let of_check = wedge(&checked, &pyramid_id(&case, at));
        let short = of_check.decided.criterion_fs.is_some_and(|asked| of_check.found.fs_bare < asked);
        assert_eq!(of.short.bare, if short { 3 } else { 0 });
    }
}

#[test]
fn a_wet_stretch_with_the_drawn_bolts_has_the_verdict_of_the_drive() {
    let stretch = |case: &Case| {
        let opening = case.opening().unwrap();
        let pattern = &case.patterns[0];
        let layout = Layout::new(pattern, &opening).unwrap();
        let bolts = drawn_bolts(pattern, &layout, 0.4, 30.0, 70.0).into_iter().map(|b| b.1).collect();
        let mut built = case.clone();
        let listed = AsBuilt::of_good(case, bolts, (35.0, 65.0));
        built.site.as_built = Some(AsBuilt { survey_error_m: 0.0, ..listed });
        let drive = verdicts(case);
        (as_built(&built, &drive).unwrap(), drive)
    };
    let ((dry, _), (found, drive)) = (stretch(&drive()), stretch(&on_a(&drive())));
    let mut slid = 0;
    for wedge_of in &found.wedges {
        let (there, here) = (&wedge_of.found.decided, &wedge(&drive, &wedge_of.wedge).decided);
        assert_eq!(there.verdict, here.verdict, "{}: {there:?} {here:?}", wedge_of.wedge);
        let of_drive = wedge(&drive, &wedge_of.wedge);
        if let (Some(there_fs), Some(least)) = (there.fs, of_drive.least_piece()) {
            // No piece of the stretch is carried less than the drive's bound; where wet brackets are narrow (what slides on
            // the one joint), both searches meet.
            let told = format!("{}: {there_fs} {least:?}", wedge_of.wedge);
            assert!(there_fs >= least.fs_at_least * (1.0 - 2.1e-3), "{told}");
            if least.fs_at_least >= least.fs * (1.0 - 1e-3) {
                assert!(there_fs >= least.fs * (1.0 - 2.1e-3), "{told}");
            }
            if matches!(of_drive.wedge.stability.motion.mode, Mode::SlidingOnOne(0)) {
                assert!((there_fs / least.fs - 1.0).abs() < 2.1e-3, "{told}");
            }
        }
        let dry = dry.wedges.iter().find(|w| w.wedge == wedge_of.wedge).unwrap();
        if matches!(wedge(&drive, &wedge_of.wedge).wedge.stability.motion.mode, Mode::SlidingOnOne(0)) {
            assert!(there.fs.unwrap() <= dry.found.decided.fs.unwrap() * (1.0 + 1e-3));
            slid += 1;
        }
    }
    assert!(slid > 0 && found.wedges.len() >= slid);
}

/// What hangs from a wet wedge is weight more: the force adds up, and the joint's factor by hand is the one found.
#[test]
fn a_load_hangs_from_a_wet_wedge_beside_its_water() {
    let mut case = on_a(&drive());
    let arc_m = {
        let found = verdicts(&case);
        let slid = wedge(&found, "A-B-C.011");
        let opening = case.opening().unwrap();
        let face = &slid.wedge.shape.openings[0].polygon;
        let middle = face.iter().fold((0.0, 0.0), |(u, v), p| (u + p.x, v + p.z));
        let n = face.len() as f64;
        let at = backhold::opening::Vec2::new(middle.0 / n, middle.1 / n);
        // The wall is upright at u = 2.5 m: along it from the crown, half the width and down to there.
        assert!((at.x.abs() - 2.5).abs() < 1e-6, "{at:?}");
        let top = opening.section.vertices().iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
        at.x.signum() * (2.5 + top - at.y)
    };
    case.site.hung_loads = vec![HungLoad {
        name: "fan".into(),
        size: HungSize::AtPlace { kn: 12.0, chainage_m: None },
        arc_m,
        source: None,
    }];
    let found = verdicts(&case);
    let slid = wedge(&found, "A-B-C.011");
    assert_eq!(slid.wedge.hung_kn, 12.0);
    let stability = &slid.wedge.stability;
    let pressed = stability.water().unwrap().resultant_kn(&slid.wedge.cone.inward);
    let down = stability.without_water_kn().unwrap();
    assert!((stability.active_kn() - (down + pressed)).norm() < 1e-9 * down.norm());
    let heavy_kn = down.norm();
    let (sin, cos) = 50_f64.to_radians().sin_cos();
    let by_hand =
        (heavy_kn * cos - stability.water().unwrap().kn[0]) * 30_f64.to_radians().tan() / (heavy_kn * sin);
    assert!((slid.found.fs_bare - by_hand).abs() < 1e-9, "{} {by_hand}", slid.found.fs_bare);
}

/// An option that drops water, or adds it, is the case without it or with it.
#[test]
fn options_dry_and_wet_are_the_two_cases() {
    let options = "[water]\nhead_per_m = 0.8\njoints = [\"A\"]\n[[option]]\nname = \"dry\"\ndrops = [\"water\"]\n[[option]]\nname = \"wetter\"\nwater = { head_per_m = 1.2 }\n";
    let text = format!("{}\n{options}", wall_drive(1.0, 0.4, BOLTED));
    let with_options = read(&text).unwrap();
    for (name, text) in [
        ("dry", wall_drive(1.0, 0.4, BOLTED)),
        (
            "wetter",
            format!("{}\n[water]\nhead_per_m = 1.2\njoints = [\"A\"]\n", wall_drive(1.0, 0.4, BOLTED)),
        ),
    ] {
        let option = with_options.chosen(name).unwrap();
        assert_eq!(option.case.site.water, parsed(&text).site.water);
        assert_eq!(verdicts(option.case), verdicts(&parsed(&text)), "{name}");
    }
}

const STOCK: &str = r#"
[water]
head_per_m = 0.8
joints = ["A"]
[[surface]]
name = "mesh"
kind = "screen"
covers = ["back", "walls"]
lowest_m = 0.0
bay_kn = 40.0
[[bolt]]
name = "rebar"
kind = "friction"
steel_kn = 120.0
bond_kn_per_m = 90.0
plate_kn = 60.0
price_per_plate = 4.0
[plan.screen]
[plan.price]
screen_sheet = 48.0
drill_metre = 2.5
crew_hour = 310.0
[stock]
spacings_m = [1.0, 1.4]
ring_spacings_m = [1.0, 1.4]
stagger = [false]
[[stock.bolt]]
bolt = "rebar"
lengths_m = [2.4]
prices = [12.0]
outside_hole_m = 0.1
[[stock.coverage]]
covers = ["back", "walls"]
lowest_collar_m = 1.0
"#;

/// What `fit` proposes for a wet drive holds everything in a check of it, with the margin that it said.
#[test]
fn a_pattern_that_fit_proposes_wet_holds_wet() {
    let read = read(&wall_drive(0.8, 0.4, STOCK)).unwrap_or_else(|p| panic!("{p}"));
    assert!(read.case.site.pressing().is_some());
    let found = fit(&read.case, &read.plan, read.stock.as_ref().unwrap()).unwrap();
    let best = found.best()[0];
    let whole = check(&best.case).unwrap();
    assert!(best.case.site.water == read.case.site.water && lacks(&whole).is_empty());
    assert_eq!(margin(&whole), margin(&best.whole));
    // Dry the same pattern holds no less where the wedge slides on the joint that is wet.
    let mut dry = best.case.clone();
    dry.site.water = None;
    assert!(never_better(&verdicts(&dry), &whole.check) > 0);
}
