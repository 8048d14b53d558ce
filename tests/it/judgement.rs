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
                    assert!(forces <= least.fs * (1.0 + 1e-6), "{number} {id}: {forces} {}", least.fs);
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
    let mut table: toml::Table = toml::from_str(text).unwrap();
    for key in &tried.keys {
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
        let count = |v: Verdict| whole.check.wedges.iter().filter(|w| w.decided.verdict == v).count();
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

#[test]
fn nothing_is_offered_where_nothing_lacks() {
    let text = haulage(&[TO_FLOOR, HEAVIER]);
    let (_, whole, found) = tried(&text);
    assert!(whole.check.wedges.iter().all(|w| w.decided.verdict == Verdict::Held));
    assert_eq!(found, Changes::default());
}
