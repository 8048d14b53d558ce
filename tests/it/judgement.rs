//! The judgement across studies: what decides is what is drawn and followed, one piece has one verdict
//! wherever it is told, and every change that is listed does what it says. All data is invented.
#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests

use crate::random_cases::{Rng, advance, bare, bolt, mesh, pattern, sets, shape};
use backhold::case::{Case, ReadCase, parse_case};
use backhold::stability::Mode;
use backhold::study::{Changes, Edit, Stage, Unjudged, Verdict, Whole, changes, check, lacks, margin};
use backhold::support::{Carrier, Covered};

fn read(text: &str) -> ReadCase {
    parse_case(text, "case.toml", &|_| Err(std::io::ErrorKind::NotFound.into())).unwrap()
}

/// The haulage of the samples with some lines changed.
fn haulage(changed: &[(&str, &str)]) -> String {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/haulage.toml");
    let mut text = std::fs::read_to_string(path).unwrap();
    for (from, to) in changed {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    text
}

fn random_case(rng: &mut Rng, number: usize) -> Option<(Case, Whole)> {
    let mut case = bare(shape(rng), advance(rng), sets(rng, 3, true));
    case.limits.max_length_m = Some(10.0);
    case.bolts = vec![bolt(rng, false)];
    case.patterns = vec![pattern(rng, 0, None)];
    if !number.is_multiple_of(3) {
        case.surface_support = vec![mesh(rng.between(2.0, 40.0), rng.between(0.0, 1.5))];
    }
    let whole = check(&case).ok()?;
    Some((case, whole))
}

#[test]
fn what_decides_is_one_piece_wherever_it_is_told() {
    let mut rng = Rng::new(0x10d6);
    let (mut pieces, mut by_bolts, mut hanging, mut bare_of_screen) = (0, 0, 0, 0);
    for number in 0..42 {
        let Some((case, whole)) = random_case(&mut rng, number) else { continue };
        for wedge in whole.check.wedges.iter().filter(|w| w.decided.criterion_fs.is_some()) {
            let id = &wedge.wedge.id;
            let decided = &wedge.decided;
            // Without surface support nothing but joints and the bar carries what finds room.
            if case.surface_support.is_empty() && decided.verdict == Verdict::Held {
                assert!(decided.held_by.iter().all(|c| matches!(c, Carrier::Joints | Carrier::Bar)), "{id}");
                bare_of_screen += 1;
            }
            let Some(judged) = &wedge.found.judged else { continue };
            // Without surface support a piece that a collar off its place leaves alone is not looked at.
            let screened = !case.surface_support.is_empty();
            if let (Some(least), Some(drawn), true) = (&judged.least, judged.fs_as_drawn, screened) {
                assert!(least.fs_at_least <= drawn * (1.0 + 1e-9), "{number} {id}: {} {drawn}", least.fs);
            }
            let (Some(least), Some(piece)) = (&judged.least, wedge.deciding()) else { continue };
            pieces += 1;
            assert_eq!(decided.fs, Some(least.fs));
            assert!((piece.wedge.shape.volume_m3 - least.volume_m3).abs() <= 1e-9 * least.volume_m3);
            let give = piece.serving().unwrap().iter().filter(|s| s.capacity.kn > 0.0).count();
            assert_eq!(give, least.bolts, "{number} {id}: {least:?}");
            if least.carrier == Carrier::Bolts {
                by_bolts += 1;
                // Falling: forces and moments there. Sliding: bolts may pull less, or carry it hanging.
                if piece.wedge.stability.motion.mode == Mode::Falling {
                    let moments = piece.found.fs_rotation.unwrap();
                    assert!(
                        (moments - least.fs).abs() <= 1e-6 * moments.max(1e-3),
                        "{number} {id} {moments}"
                    );
                    assert!(moments <= piece.found.fs_bolted.unwrap() * (1.0 + 1e-9));
                } else {
                    let forces = piece.found.fs_bolted.unwrap();
                    let bolts: Vec<_> =
                        piece.serving().unwrap().iter().map(|s| (s.direction, s.capacity.kn)).collect();
                    let opens = piece.wedge.stability.opens(&bolts);
                    let sums = forces <= least.fs * (1.0 + 1e-6);
                    assert!(sums || opens, "{number} {id}: {forces} {}", least.fs);
                    let balance = piece.wedge.stability.fs_in_balance(&bolts);
                    assert!(
                        (balance / least.fs - 1.0).abs() < 1e-6 || least.fs >= decided.criterion_fs.unwrap()
                    );
                }
            }
            // The same piece is not short in one table and held in another.
            for duty in whole.beside.surface.duty.iter().filter(|d| d.wedge == *id) {
                if duty.verdict == Verdict::Short {
                    hanging += 1;
                    assert_eq!(decided.verdict, Verdict::Short, "{number} {id} {:?}", duty.surface);
                }
            }
        }
        // Young resin never holds better than set resin.
        for row in whole.stages.rows.iter().filter(|r| r.stage == Stage::YoungResin) {
            let set = whole
                .stages
                .rows
                .iter()
                .find(|r| r.stage == Stage::WholePattern && r.place == row.place && r.wedge == row.wedge);
            assert!(set.is_none_or(|set| row.fs <= set.fs * (1.0 + 2e-3)), "{number} {}", row.wedge);
        }
    }
    println!(
        "{pieces} pieces, {by_bolts} by bolts, {hanging} short rows of duty, {bare_of_screen} held bare"
    );
    assert!(pieces > 30 && by_bolts >= 4 && hanging > 3);
}

/// Types a change into the text of a case.
fn typed(text: &str, tried: &backhold::study::Tried) -> String {
    typed_keys(text, &tried.keys)
}

fn typed_keys(text: &str, keys: &[backhold::case::Change]) -> String {
    let mut table: toml::Table = toml::from_str(text).unwrap();
    for key in keys {
        let (outer, inner) = key.key.split_once('.').unwrap();
        let (list, place) = outer.trim_end_matches(']').split_once('[').unwrap();
        let place: usize = place.parse().unwrap();
        let entries = table.entry(list).or_insert_with(|| toml::Value::Array(Vec::new()));
        let entries = entries.as_array_mut().unwrap();
        if entries.len() < place {
            entries.push(toml::Value::Table(toml::Table::new()));
        }
        let entry = entries[place - 1].as_table_mut().unwrap();
        match &key.to {
            Some(to) => {
                let value: toml::Table = toml::from_str(&format!("value = {to}")).unwrap();
                entry.insert(inner.to_owned(), value["value"].clone());
            }
            None => {
                entry.remove(inner);
            }
        }
    }
    toml::to_string(&table).unwrap()
}

fn tried(text: &str) -> (ReadCase, Whole, Changes) {
    let read = read(text);
    let whole = check(&read.case).unwrap();
    let found = changes(&read.case, &whole, &read.plan, read.stock.as_ref()).unwrap();
    (read, whole, found)
}

/// Every change of a list, typed into the case, gives the verdicts that stand beside it.
fn does_what_it_says(text: &str) -> Changes {
    let (_, before, found) = tried(text);
    for one in &found.tried {
        let read = read(&typed(text, one));
        let whole = check(&read.case).unwrap();
        let counted = || whole.check.wedges.iter().filter(|w| w.decided.counts());
        let count = |v: Verdict| counted().filter(|w| w.decided.verdict == v).count();
        assert_eq!((count(Verdict::Short), one.short), (one.short, count(Verdict::Short)), "{:?}", one.edits);
        assert_eq!(count(Verdict::NotJudged), one.not_judged, "{:?}", one.edits);
        assert_eq!(lacks(&whole).is_empty(), one.holds_everything, "{:?}", one.edits);
        assert!((margin(&whole) - one.margin).abs() <= 1e-9 * one.margin.abs().max(1.0), "{:?}", one.edits);
        for (was, is) in before.check.wedges.iter().zip(&whole.check.wedges) {
            let held = |v: Verdict| v == Verdict::Held;
            let (was_held, is_held) = (held(was.decided.verdict), held(is.decided.verdict));
            assert_eq!(one.mends.contains(&was.wedge.id), !was_held && is_held, "{:?}", one.edits);
            assert_eq!(one.harms.contains(&was.wedge.id), was_held && !is_held, "{:?}", one.edits);
        }
    }
    found
}

const TO_FLOOR: (&str, &str) = ("lowest_m = 0.6", "lowest_m = 0.0");
const HEAVIER: (&str, &str) = ("bay_kn = 45.0", "bay_kn = 57.0");

#[test]
fn the_list_finds_the_known_remedy_of_stated_drives() {
    // Bare lower walls: mesh to the floor.
    let found = does_what_it_says(&haulage(&[HEAVIER]));
    assert!(matches!(found.tried[0].edits[..], [Edit::SurfaceDown(0, 0.0)]), "{:?}", found.tried[0].edits);
    assert!(found.tried[0].holds_everything && found.still_short.is_none());
    // A piece with one bolt that swings out, too heavy for a bay: closer rings, which have a price.
    let found = does_what_it_says(&haulage(&[TO_FLOOR]));
    assert!(matches!(found.tried[0].edits[..], [Edit::Rings(0, m)] if m < 1.2), "{:?}", found.tried[0].edits);
    assert!(found.tried.iter().any(|t| matches!(t.edits[..], [Edit::Bay(0, kn)] if kn > 45.0)));
    // Both at once: a pair, and no single change does.
    let found = does_what_it_says(&haulage(&[]));
    assert_eq!(found.tried[0].edits.len(), 2);
    assert!(found.tried[0].short == 0 && found.tried[1..].iter().all(|t| t.short > 0));
    // No screen at all.
    let text = haulage(&[]);
    let cut = format!("{}[advice]\nesr = 1.6\n", &text[..text.find("[[surface]]").unwrap()]);
    let found = does_what_it_says(&cut);
    assert!(found.tried[0].edits.iter().any(|e| matches!(e, Edit::Hang(_))), "{:?}", found.tried[0].edits);
    let (_, whole, _) = tried(&cut);
    assert!(whole.check.wedges.iter().any(|w| w.decided.unjudged == Some(Unjudged::NoSurfaceSupport)));
    // Mesh on the back alone: the wall that lacks it, not both.
    let back = ("covers = [\"back\", \"walls\"]\nlowest_m = 0.6", "covers = [\"back\"]");
    let found = does_what_it_says(&haulage(&[HEAVIER, back]));
    let right =
        |e: &Edit| matches!(e, Edit::SurfaceCovers(0, covers, _) if covers.contains(&Covered::RightWall));
    assert!(found.tried[0].edits.iter().any(right), "{:?}", found.tried[0].edits);
    // Nothing can.
    let found = does_what_it_says(&haulage(&[TO_FLOOR, ("min_fs_falling = 2.0", "min_fs_falling = 40.0")]));
    assert!(found.tried.iter().all(|t| t.short > 0));
    let left = found.still_short.unwrap();
    assert!(left.wedge == "A-B-C.111" && left.lacking_kn > 100.0, "{left:?}");
}

/// Two wedges of this decline lie in the floor, below the ground that is judged: no support is asked to mend them, and
/// what mends the others leaves nothing short and nothing that is not judged.
#[test]
fn what_the_case_leaves_out_is_no_matter_of_changes() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/decline_cables.toml");
    let text = std::fs::read_to_string(path).unwrap().replace("ring_spacing_m = 1.0", "ring_spacing_m = 2.4");
    let (_, whole, _) = tried(&text);
    assert!(whole.check.wedges.iter().filter(|w| w.decided.is_left_out()).count() == 2);
    let found = does_what_it_says(&text);
    let best = &found.tried[0];
    assert!(matches!(best.edits[..], [Edit::Rings(0, m)] if m < 2.4), "{:?}", best.edits);
    assert!(best.short == 0 && best.not_judged == 0 && best.holds_everything && found.still_short.is_none());
}

/// An arched heading in three sets without caps but on traces: friction bolts that are few, short of the lower
/// walls, under a mesh that hangs too high and carries too little. No one of these mends a wedge by itself.
const LACKS_THREE_THINGS: &str = r#"
title = "Heading that lacks three things (invented)"
north = "mine grid"
source = "invented"
[drive]
trend_deg = 118.0
plunge_deg = -1.0
section = { shape = "arched", width_m = 5.2, wall_height_m = 3.4, rise_m = 1.7 }
round_length_m = 3.4
last_ring_from_face_m = 0.8
[rock]
unit_weight_kn_m3 = 27.5
[[joint_set]]
name = "P"
dip_deg = 72.0
dip_direction_deg = 205.0
friction_deg = 30.0
max_trace_m = 7.0
[[joint_set]]
name = "Q"
dip_deg = 55.0
dip_direction_deg = 338.0
friction_deg = 28.0
[[joint_set]]
name = "R"
dip_deg = 38.0
dip_direction_deg = 85.0
friction_deg = 32.0
[limits]
max_trace_m = 8.0
[criteria]
min_fs_falling = 2.0
min_fs_sliding = 1.5
scaling_up_to_m3 = 0.005
[[bolt]]
name = "friction bolt"
kind = "friction"
steel_kn = 110.0
bond_kn_per_m = 35.0
plate_kn = 60.0
[[pattern]]
bolt = "friction bolt"
length_m = 2.4
outside_hole_m = 0.1
ring_spacing_m = 1.3
spacing_m = 1.3
covers = ["back", "walls"]
lowest_collar_m = 1.5
stagger = true
[[surface]]
name = "mesh"
kind = "screen"
covers = ["back", "walls"]
lowest_m = 1.5
bay_kn = 22.0
"#;

#[test]
fn what_only_three_changes_mend_together_is_found() {
    let found = does_what_it_says(LACKS_THREE_THINGS);
    let best = &found.tried[0];
    println!("{:?}, {} judged", best.edits, found.judged);
    assert!(best.edits.len() == 3 && best.short == 0 && best.not_judged == 0, "{:?}", best.edits);
    assert!(found.tried[1..].iter().all(|t| t.short > 0) && found.still_short.is_none() && !found.none_can);
    // Each of the three is needed: without any of them something is short.
    let base = read(LACKS_THREE_THINGS);
    for left_out in 0..3 {
        let keys: Vec<_> =
            best.edits.iter().enumerate().filter(|(at, _)| *at != left_out).map(|(_, e)| e.clone()).collect();
        let keys: Vec<_> = keys.iter().flat_map(|edit| edit.keys(&base.case)).collect();
        let case = read(&typed_keys(LACKS_THREE_THINGS, &keys)).case;
        let whole = check(&case).unwrap();
        let short = whole.check.wedges.iter().any(|w| w.decided.verdict != Verdict::Held);
        assert!(short, "without {:?}", best.edits[left_out]);
    }
}

#[test]
fn it_is_said_where_not_even_everything_together_would_do() {
    let asks = LACKS_THREE_THINGS.replace("min_fs_falling = 2.0", "min_fs_falling = 40.0");
    let (_, _, found) = tried(&asks);
    assert!(found.none_can && found.still_short.is_some(), "{:?}", found.still_short);
}

/// A drive to the north, 5 by 4 m, with one wedge that asks for anything. A dips 50° to the west, φ 30°; B
/// and C dip 70° to south-east and north-east and stick (100 kPa), so that what touches them needs nothing.
/// In the right wall a wedge stands on A alone under B and C. With its apex d behind the wall its face is
/// a triangle, point up: 1.94 d above the apex, 1.19 d below it, 3.22 d wide at its foot; it stays on the
/// wall, holds 1.68 d³ and weighs 45.3 d³ kN. In the wall of 4 m d is at most 1.278 m: 3.5 m³, 95 kN. It
/// slides: tan 30° / tan 50° = 0.484 of its drive of 0.766 W, so that 1.5 asks 0.778 W of bolts, of which one
/// square to the wall gives cos 50° + sin 50° tan 30° = 1.085 of what it takes. The falling wedge of the back,
/// 0.612 h³ for a depth of h, is for the bar.
pub fn wall_drive(depth_m: f64, bar_m3: f64, support: &str) -> String {
    format!(
        r#"
title = "Wall above A (invented)"
north = "mine grid"
source = "invented"
[drive]
trend_deg = 0.0
plunge_deg = 0.0
section = {{ shape = "flat", width_m = 5.0, height_m = 4.0 }}
round_length_m = 3.0
[rock]
unit_weight_kn_m3 = 27.0
[[joint_set]]
name = "A"
dip_deg = 50.0
dip_direction_deg = 270.0
friction_deg = 30.0
[[joint_set]]
name = "B"
dip_deg = 70.0
dip_direction_deg = 135.0
friction_deg = 35.0
cohesion_kpa = 100.0
[[joint_set]]
name = "C"
dip_deg = 70.0
dip_direction_deg = 45.0
friction_deg = 35.0
cohesion_kpa = 100.0
[limits]
max_depth_m = {depth_m}
[criteria]
min_fs_falling = 2.0
min_fs_sliding = 1.5
scaling_up_to_m3 = {bar_m3}
{support}
"#
    )
}

/// A resin bolt that its steel governs, and a pattern of it.
fn wall_bolt(name: &str, steel_kn: f64) -> String {
    format!(
        "[[bolt]]\nname = \"{name}\"\nkind = \"resin\"\nsteel_kn = {steel_kn}\nbond_kn_per_m = 400.0\nplate_kn = 200.0\n"
    )
}

fn wall_pattern(bolt: &str, covers: &str, rings_m: f64, spacing_m: f64, lowest_m: f64, more: &str) -> String {
    format!(
        "[[pattern]]\nbolt = \"{bolt}\"\nlength_m = 2.4\noutside_hole_m = 0.1\nring_spacing_m = {rings_m}\nspacing_m = {spacing_m}\ncovers = [\"{covers}\"]\nlowest_collar_m = {lowest_m}\n{more}\n"
    )
}

/// Mesh over back and walls down to the floor.
fn wall_mesh(bay_kn: f64) -> String {
    format!(
        "[[surface]]\nname = \"mesh\"\nkind = \"screen\"\ncovers = [\"back\", \"walls\"]\nlowest_m = 0.0\nbay_kn = {bay_kn}\n"
    )
}

/// The wedge of the right wall is what lacks; every change that leaves nothing short is one of `these`, and
/// there is one.
fn only(text: &str, these: impl Fn(&Edit) -> bool) {
    let (_, whole, _) = tried(text);
    for wedge in &whole.check.wedges {
        let lacks = wedge.decided.verdict != Verdict::Held;
        assert_eq!(lacks, wedge.wedge.id == "A-B-C.011", "{:?} {:?}", wedge.wedge.id, wedge.decided);
    }
    let found = does_what_it_says(text);
    let mending: Vec<_> = found.tried.iter().filter(|t| t.short == 0 && t.not_judged == 0).collect();
    println!("{:?}", found.tried.iter().map(|t| (&t.edits, t.short, t.not_judged)).collect::<Vec<_>>());
    assert!(!mending.is_empty() && found.still_short.is_none());
    for one in mending {
        assert!(one.edits.len() == 1 && these(&one.edits[0]), "{:?}", one.edits);
    }
}

/// Bolts of 35 kN: 95 kN ask 0.778 × 95 / 1.085 = 68 kN of them, two bolts; with rings 1.9 m and rows 1.5 m
/// apart some pieces have one, some none. The back's bolts give 2 kN each, on the wall too; longer ones give
/// no more, as the steel governs; lower rows there are none; leaning gives 1 / cos 30° = 1.155 at the most,
/// 6 % above 1.085; and a bay five times as strong carries 25 kN, of 1.5 × 43 for the smallest that is not
/// for the bar.
#[test]
fn the_walls_own_rings_or_rows_alone_mend_it() {
    let support = [
        wall_bolt("light", 2.0),
        wall_bolt("bar", 35.0),
        wall_pattern("light", "back", 1.5, 1.5, 0.3, "offset_m = 0.0"),
        wall_pattern("bar", "right wall", 1.9, 1.5, 0.3, "offset_m = 0.0"),
        wall_mesh(5.0),
    ];
    only(&wall_drive(1.278, 1.6, &support.concat()), |e| {
        matches!(e, Edit::Rings(1, _) | Edit::Spacing(1, _))
    });
}

/// Collars down to 2.2 m above the floor, bolts of 8 kN. A piece of 1.6 m³ (d = 0.984 m, 43 kN) asks 31 kN
/// of bolts, four of them; on the floor it reaches to 3.08 m, with 0.91 m of width and 0.40 m² above 2.2 m:
/// rings or rows as close as half a metre put one or two bolts there. Lower rows put ten on it.
#[test]
fn lower_rows_alone_mend_it() {
    let support = [wall_bolt("bar", 8.0), wall_pattern("bar", "right wall", 0.8, 0.6, 2.2, "")];
    only(&wall_drive(1.278, 1.6, &support.concat()), |e| {
        matches!(e, Edit::Row(0, _) | Edit::LowestCollar(0, _))
    });
}

/// Pieces of at most d = 0.3 m: 0.94 m high, 0.97 m wide, 1.22 kN, of which a bay of 1.2 kN carries 0.98 times
/// the weight; those of the back are for the bar. They find room between rows 1.2 m apart however close
/// the rings, and between rings 1.2 m apart however close the rows. A bay of 2 kN carries 1.63 times the
/// heaviest.
#[test]
fn a_stronger_screen_alone_mends_it() {
    let support =
        [wall_bolt("bar", 120.0), wall_pattern("bar", "right wall", 1.2, 1.2, 0.3, ""), wall_mesh(1.2)];
    only(&wall_drive(0.3, 0.02, &support.concat()), |e| matches!(e, Edit::Bay(0, kn) if *kn >= 2.0));
}

/// Holes fanned from 6.5 m above the floor lean 45° down at the top of the wall and more below: 50° + 45° is
/// beyond a right angle, so that they pull the wedge down its joint and give nothing, however many, long or
/// strong. Square to the wall one bolt of 120 kN gives 130 kN, of which the heaviest piece asks 74; and on
/// the smallest that is not for the bar (0.97 m to each side of its middle) there always is one, rows
/// and rings being 1 m apart.
#[test]
fn holes_that_lean_otherwise_alone_mend_it() {
    let fan = "direction = { fan_origin_u_m = 0.0, fan_origin_v_m = 6.5 }";
    let support = [wall_bolt("bar", 120.0), wall_pattern("bar", "right wall", 1.0, 1.0, 0.3, fan)];
    only(&wall_drive(1.278, 1.6, &support.concat()), |e| matches!(e, Edit::Aim(0, _)));
}

/// The falling wedge of the back is at most 0.612 × 1.278³ = 1.28 m³, all of it for a bar of 1.3 m³.
#[test]
fn a_wedge_that_is_whole_for_the_bar_is_held_by_it() {
    let support = [wall_bolt("bar", 120.0), wall_pattern("bar", "right wall", 1.0, 1.0, 0.3, "")];
    let whole = check(&read(&wall_drive(1.278, 1.3, &support.concat())).case).unwrap();
    let wedge = whole.check.wedges.iter().find(|w| w.wedge.id == "A-B-C.111").unwrap();
    assert!(wedge.wedge.shape.volume_m3 < 1.28);
    assert_eq!(wedge.decided.verdict, Verdict::Held, "{:?}", wedge.decided);
    assert_eq!(wedge.decided.held_by, [Carrier::Bar]);
}

#[test]
fn nothing_is_offered_where_nothing_lacks() {
    let text = haulage(&[TO_FLOOR, HEAVIER]);
    let (_, whole, found) = tried(&text);
    assert!(whole.check.wedges.iter().all(|w| w.decided.verdict == Verdict::Held));
    assert_eq!(found, Changes::default());
}
